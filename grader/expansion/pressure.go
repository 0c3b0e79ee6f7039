package expansion

import (
	"fmt"
	"math"

	"loopwright/grader/fluid"
	"loopwright/grader/quantity"
)

// The customary least pressure at the top of a closed system, so that air is
// pushed out there and none drawn in. Common practice: 4 to 5 psi in US books,
// 30 kPa in SI ones; ASHRAE HVAC Systems and Equipment, hydronic chapter (from
// memory), takes 4 psi.
const (
	LeastAtTopUS quantity.Pascal = 27579 // 4 psi
	LeastAtTopSI quantity.Pascal = 30000
)

// PressureAt is the gauge pressure, in Pa, at a point of a closed system,
// counted from the place where the tank holds the pressure: the tank's
// connection keeps it, whether the circulator runs or not.
//
//	p = p_held − ρ g Δz + gained
//
// held is the gauge pressure at the tank's connection; above is how much higher
// the point lies, in m, negative below; gained is what the water gains on its
// way from the connection to the point, with the flow: the circulator's rise
// where it passes it, less the losses of what it passes, in Pa, and 0 at rest.
// t is the mean temperature of the water between the two, 0 to 150 °C, else a
// *quantity.RangeError. A pressure or a height that is not finite is an error.
// Source: hydrostatics; the tank as the point of no pressure change: ASHRAE
// HVAC Systems and Equipment, hydronic chapter.
func PressureAt(held quantity.Pascal, above float64, gained quantity.Pascal, t quantity.Celsius) (quantity.Pascal, error) {
	w, err := fluid.Water(t)
	if err != nil {
		return 0, err
	}
	p := held - quantity.MetersHead(above).Pressure(w.Density) + gained
	if math.IsNaN(float64(p)) || math.IsInf(float64(p), 0) {
		return 0, fmt.Errorf("expansion: no pressure from %g Pa held, %g m of height and %g Pa gained", float64(held), above, float64(gained))
	}
	return p, nil
}

// TopPressure is the gauge pressure, in Pa, at the top of a system at rest,
// height m above the gauge that shows fill. Source and errors as [PressureAt];
// a height below zero is an error: then the gauge is the top.
func TopPressure(fill quantity.Pascal, height float64, t quantity.Celsius) (quantity.Pascal, error) {
	if err := checkHeight(height); err != nil {
		return 0, err
	}
	return PressureAt(fill, height, 0, t)
}

// FillPressure is the gauge pressure, in Pa, to fill to at the bottom, so that
// the top, height m above the gauge, keeps a margin.
//
//	p = ρ g h + margin
//
// t is the temperature of the fill water, which is cold: 0 to 150 °C, else a
// *quantity.RangeError. A height or a margin below zero is an error. Source:
// as [LeastAtTopUS].
func FillPressure(height float64, margin quantity.Pascal, t quantity.Celsius) (quantity.Pascal, error) {
	if err := checkHeight(height); err != nil {
		return 0, err
	}
	if !(margin >= 0) {
		return 0, fmt.Errorf("expansion: the margin at the top must be zero or more, got %g Pa", float64(margin))
	}
	return PressureAt(margin, -height, 0, t)
}

func checkHeight(height float64) error {
	if !(height >= 0) {
		return fmt.Errorf("expansion: the height above the gauge must be zero or more, got %g m", height)
	}
	return nil
}

// Atmosphere is the pressure of the standard air at an altitude in m, 0 to
// 5000, in Pa absolute; outside, a *quantity.RangeError.
//
//	p = 101,325 Pa (1 − 0.0065 z / 288.15)^5.2559
//
// Source: ISO 2533, troposphere. Weather moves it by about 3 %.
func Atmosphere(altitude float64) (quantity.Pascal, error) {
	const highest = 5000
	if !(altitude >= 0 && altitude <= highest) {
		return 0, &quantity.RangeError{Quantity: "altitude", Value: altitude, Low: 0, High: highest, Unit: "m"}
	}
	return StandardAtmosphere * quantity.Pascal(math.Pow(1-0.0065*altitude/288.15, 5.2559)), nil
}

// SuctionMargin is how far, in Pa, the pressure at a circulator's suction lies
// above the one at which its water boils; below zero the water boils there.
//
//	margin = p_suction + p_atmosphere − p_boiling(t)
//
// suction is gauge, atmosphere absolute ([Atmosphere]), t in °C from 0 to 150,
// else a *quantity.RangeError. What the circulator needs of it, its NPSH times
// ρ g, stands on its maker's sheet. An atmosphere below zero, or a suction
// below a perfect vacuum, is an error. Source: definition of the net positive
// suction head without the velocity head, Crane TP-410; boiling pressure by
// IAPWS R7-97(2012).
func SuctionMargin(suction, atmosphere quantity.Pascal, t quantity.Celsius) (quantity.Pascal, error) {
	if !(t >= fluid.LowestWater && t <= fluid.HighestWater) {
		return 0, &quantity.RangeError{Quantity: "water temperature", Value: float64(t), Low: float64(fluid.LowestWater), High: float64(fluid.HighestWater), Unit: "degC"}
	}
	if !(atmosphere >= 0) || !(suction+atmosphere >= 0) || math.IsInf(float64(suction+atmosphere), 0) {
		return 0, fmt.Errorf("expansion: a suction of %g Pa under an atmosphere of %g Pa lies below nothing", float64(suction), float64(atmosphere))
	}
	boiling, err := fluid.BoilingPressure(t)
	if err != nil {
		return 0, err
	}
	return suction + atmosphere - boiling, nil
}
