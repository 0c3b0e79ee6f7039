package expansion

import (
	"fmt"
	"math"

	"loopwright/grader/fluid"
	"loopwright/grader/quantity"
)

// Linear expansion of pipe, in 1/K, between room and boiling temperature.
const (
	// Steel is 12e-6. Source: a public piping reference page, carbon steel
	// 12.2e-6; ASHRAE HVAC Systems and Equipment, hydronic chapter, takes
	// 6.5e-6 per °F, which is 11.7e-6.
	Steel = 12e-6
	// Copper is 17e-6. Source: a tube maker's public page, 9.4e-6 per °F from
	// 70 to 212 °F, which is 16.9e-6; ASHRAE, as above, 9.5e-6 per °F.
	Copper = 17e-6
)

// StandardAtmosphere is the pressure of the air at sea level, in Pa. Source:
// ISO 2533. A kilometer higher it is about 11 % less.
const StandardAtmosphere quantity.Pascal = 101325

// Absolute is a gauge pressure counted from nothing, at sea level, in Pa.
//
//	p_abs = p_gauge + 101,325 Pa
func Absolute(gauge quantity.Pascal) quantity.Pascal { return gauge + StandardAtmosphere }

// NetGrowth is how much of its volume the water of a system outgrows its pipes
// by, warmed from cold to hot.
//
//	growth = (v_hot/v_cold − 1) − 3 α (t_hot − t_cold)
//
// Temperatures in °C, 0 to 150; α is the linear expansion of the pipe in 1/K,
// [Steel] or [Copper], 0 to 1e-4 (plastic reaches 2e-4 and is not meant here).
// No unit. hot below cold and an α out of range are errors, temperatures out of
// range a *quantity.RangeError. Where the pipe grows more than the water, near
// 4 °C, the result is below zero. Source: ASHRAE HVAC Systems and Equipment,
// hydronic chapter, equation of the tanks; v by fluid.Water.
func NetGrowth(cold, hot quantity.Celsius, pipeExpansion float64) (float64, error) {
	if !(pipeExpansion >= 0 && pipeExpansion <= 1e-4) {
		return 0, &quantity.RangeError{Quantity: "linear expansion of the pipe", Value: pipeExpansion, Low: 0, High: 1e-4, Unit: "1/K"}
	}
	if hot < cold {
		return 0, fmt.Errorf("expansion: the hot water, %g °C, is cooler than the cold, %g °C", float64(hot), float64(cold))
	}
	before, err := fluid.Water(cold)
	if err != nil {
		return 0, err
	}
	after, err := fluid.Water(hot)
	if err != nil {
		return 0, err
	}
	return before.Density/after.Density - 1 - 3*pipeExpansion*float64(hot-cold), nil
}

// DiaphragmTank is the least volume, in m³, of a tank whose air is kept apart
// from the water and charged to the fill pressure.
//
//	V = V_s · growth / (1 − P_1/P_2)
//
// V_s is the water of the system in m³, growth as [NetGrowth] gives it, P_1 the
// fill and P_2 the highest pressure at the tank, both absolute. Water that the
// tank holds in reserve is left out (EN 12828 adds 0.5 % of V_s, at least 3 L:
// from memory). Errors: a volume that is not above zero, a growth below zero,
// pressures that do not rise from above zero. Source: ASHRAE HVAC Systems and
// Equipment, hydronic chapter.
func DiaphragmTank(system, growth float64, fillAbsolute, highestAbsolute quantity.Pascal) (float64, error) {
	if err := checkTank(system, growth, fillAbsolute, highestAbsolute); err != nil {
		return 0, err
	}
	return system * growth / (1 - float64(fillAbsolute/highestAbsolute)), nil
}

// PlainTank is the least volume, in m³, of a plain steel tank in which air and
// water touch. It starts full of air at the pressure of the atmosphere, and
// the fill already compresses it.
//
//	V = V_s · growth / (P_a/P_1 − P_a/P_2)
//
// P_a is the atmosphere, absolute; the rest, errors and source as
// [DiaphragmTank]. A fill below the atmosphere is an error too.
func PlainTank(system, growth float64, atmosphere, fillAbsolute, highestAbsolute quantity.Pascal) (float64, error) {
	if err := checkTank(system, growth, fillAbsolute, highestAbsolute); err != nil {
		return 0, err
	}
	if !(atmosphere > 0 && atmosphere <= fillAbsolute) {
		return 0, fmt.Errorf("expansion: an atmosphere of %g Pa does not lie below the fill, %g Pa absolute", float64(atmosphere), float64(fillAbsolute))
	}
	return system * growth / float64(atmosphere/fillAbsolute-atmosphere/highestAbsolute), nil
}

func checkTank(system, growth float64, fill, highest quantity.Pascal) error {
	switch {
	case !(system > 0) || math.IsInf(system, 0):
		return fmt.Errorf("expansion: a tank needs a system volume above zero, got %g m³", system)
	case !(growth >= 0) || math.IsInf(growth, 0):
		return fmt.Errorf("expansion: a tank needs a growth of zero or more, got %g", growth)
	case !(fill > 0):
		return fmt.Errorf("expansion: the fill pressure must be above zero, absolute, got %g Pa", float64(fill))
	case !(highest > fill) || math.IsInf(float64(highest), 0):
		return fmt.Errorf("expansion: the highest pressure, %g Pa, must lie above the fill, %g Pa, both absolute", float64(highest), float64(fill))
	}
	return nil
}
