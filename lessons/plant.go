package lessons

import (
	"fmt"

	"loopwright/grader/boiler"
	"loopwright/grader/emitter"
	"loopwright/grader/expansion"
	"loopwright/grader/fluid"
	"loopwright/grader/quantity"
)

// pressure gives a pressure the unit of the learner's system.
func (sc *scope) pressure(p quantity.Pascal) quantity.Quantity {
	return sc.native(float64(p), quantity.PSI, quantity.Kilopascal)
}

func (sc *scope) reading(t quantity.Celsius) quantity.Quantity {
	return sc.native(float64(t), quantity.Fahrenheit, quantity.CelsiusUnit)
}

func (sc *scope) volume(si float64) quantity.Quantity {
	return sc.native(si, quantity.Gallon, quantity.Liter)
}

// steel is the linear expansion of steel, in 1/K. Sources: 6.5e-6 per °F, ASHRAE
// HVAC Systems and Equipment, hydronic chapter; see expansion.Steel.
func (sc *scope) steel() float64 {
	if sc.inSI() {
		return expansion.Steel
	}
	return 6.5e-6 * 1.8
}

func pascal(v any) quantity.Pascal   { return quantity.Pascal(quantityOf(v).SI) }
func celsius(v any) quantity.Celsius { return quantity.Celsius(quantityOf(v).SI) }

func share(x float64) quantity.Quantity { return quantity.FromSI(x, quantity.Percent) }

// plantFunctions ask the engine about pressures at rest, expansion tanks,
// mixing and boilers. Pressures are gauge where nothing else is said; air
// counts as at sea level where no height is given.
var plantFunctions = map[string]function{
	// Weight of the water in a height.
	"column": {[]argument{of(quantity.Length), of(quantity.Temperature)}, func(sc *scope, a []any) (any, error) {
		w, err := water(a[1])
		return sc.pressure(quantity.MetersHead(quantityOf(a[0]).SI).Pressure(w.Density)), err
	}},
	"fill_pressure": {[]argument{of(quantity.Length), of(quantity.Pressure), of(quantity.Temperature)}, func(sc *scope, a []any) (any, error) {
		p, err := expansion.FillPressure(quantityOf(a[0]).SI, pascal(a[1]), celsius(a[2]))
		return sc.pressure(p), err
	}},
	// What is left at a height above the gauge, at rest.
	"top_pressure": {[]argument{of(quantity.Pressure), of(quantity.Length), of(quantity.Temperature)}, func(sc *scope, a []any) (any, error) {
		p, err := expansion.TopPressure(pascal(a[0]), quantityOf(a[1]).SI, celsius(a[2]))
		return sc.pressure(p), err
	}},
	"absolute": {[]argument{of(quantity.Pressure)}, func(sc *scope, a []any) (any, error) {
		return sc.pressure(expansion.Absolute(pascal(a[0]))), nil
	}},
	// Pressure of the air at a height above the sea, absolute.
	"air_at": {[]argument{of(quantity.Length)}, func(sc *scope, a []any) (any, error) {
		p, err := expansion.Atmosphere(quantityOf(a[0]).SI)
		return sc.pressure(p), err
	}},
	// Absolute.
	"boiling_pressure": {[]argument{of(quantity.Temperature)}, func(sc *scope, a []any) (any, error) {
		p, err := fluid.BoilingPressure(celsius(a[0]))
		return sc.pressure(p), err
	}},
	// Suction, pressure of the air, temperature.
	"suction_margin": {[]argument{of(quantity.Pressure), of(quantity.Pressure), of(quantity.Temperature)}, func(sc *scope, a []any) (any, error) {
		p, err := expansion.SuctionMargin(pascal(a[0]), pascal(a[1]), celsius(a[2]))
		return sc.pressure(p), err
	}},
	// What water outgrows steel pipe by.
	"net_growth": {[]argument{of(quantity.Temperature), of(quantity.Temperature)}, func(sc *scope, a []any) (any, error) {
		g, err := expansion.NetGrowth(celsius(a[0]), celsius(a[1]), sc.steel())
		return share(g), err
	}},
	// Tanks: water of the system, net growth, fill, highest pressure.
	"diaphragm_tank": {[]argument{of(quantity.Volume), of(quantity.Number), of(quantity.Pressure), of(quantity.Pressure)}, func(sc *scope, a []any) (any, error) {
		v, err := expansion.DiaphragmTank(quantityOf(a[0]).SI, quantityOf(a[1]).SI, expansion.Absolute(pascal(a[2])), expansion.Absolute(pascal(a[3])))
		return sc.volume(v), err
	}},
	"plain_tank": {[]argument{of(quantity.Volume), of(quantity.Number), of(quantity.Pressure), of(quantity.Pressure)}, func(sc *scope, a []any) (any, error) {
		v, err := expansion.PlainTank(quantityOf(a[0]).SI, quantityOf(a[1]).SI, expansion.StandardAtmosphere, expansion.Absolute(pascal(a[2])), expansion.Absolute(pascal(a[3])))
		return sc.volume(v), err
	}},
	// Two streams that meet, each flow with its temperature: balance of energy
	// with equal density and specific heat.
	"mixed": {[]argument{of(quantity.Flow), of(quantity.Temperature), of(quantity.Flow), of(quantity.Temperature)}, func(sc *scope, a []any) (any, error) {
		f, g := quantityOf(a[0]).SI, quantityOf(a[2]).SI
		if !(f >= 0 && g >= 0 && f+g > 0) {
			return nil, fmt.Errorf("flows of %g and %g m³/s do not mix", f, g)
		}
		return sc.reading((quantity.Celsius(f)*celsius(a[1]) + quantity.Celsius(g)*celsius(a[3])) / quantity.Celsius(f+g)), nil
	}},
	// Share of the hot stream in a mix: hot, cool, wanted.
	"hot_share": {[]argument{of(quantity.Temperature), of(quantity.Temperature), of(quantity.Temperature)}, func(_ *scope, a []any) (any, error) {
		hot, cool, wanted := celsius(a[0]), celsius(a[1]), celsius(a[2])
		if !(cool < hot && cool <= wanted && wanted <= hot) {
			return nil, fmt.Errorf("%g °C cannot be mixed from %g and %g °C", float64(wanted), float64(hot), float64(cool))
		}
		return share(float64((wanted - cool) / (hot - cool))), nil
	}},
	// First temperature less second.
	"between": {[]argument{of(quantity.Temperature), of(quantity.Temperature)}, func(sc *scope, a []any) (any, error) {
		return sc.native(float64(celsius(a[0])-celsius(a[1])), quantity.FahrenheitDifference, quantity.KelvinDifference), nil
	}},
	// The demo boiler, by its return.
	"demo_efficiency": {[]argument{of(quantity.Temperature)}, func(_ *scope, a []any) (any, error) {
		e, err := boiler.Demo().At(celsius(a[0]))
		return share(e), err
	}},
	// Fuel that it saves when its return goes from the first to the second.
	"fuel_saved": {[]argument{of(quantity.Temperature), of(quantity.Temperature)}, func(_ *scope, a []any) (any, error) {
		s, err := boiler.Demo().Saving(celsius(a[0]), celsius(a[1]))
		return share(s), err
	}},
	// How much more radiator cooler water asks for than warmer: warmer mean,
	// cooler mean, room. Heat goes with a power of the difference.
	"more_radiator": {[]argument{of(quantity.Temperature), of(quantity.Temperature), of(quantity.Temperature)}, func(_ *scope, a []any) (any, error) {
		warm, cool, room := celsius(a[0]), celsius(a[1]), celsius(a[2])
		if !(room < cool && cool <= warm) {
			return nil, fmt.Errorf("water of %g and %g °C does not heat a room of %g °C", float64(warm), float64(cool), float64(room))
		}
		return share(1/emitter.OutputFactor(cool.Minus(room), warm.Minus(room), emitter.PanelExponent) - 1), nil
	}},
	"panel_exponent": {nil, func(*scope, []any) (any, error) {
		return quantity.Of(emitter.PanelExponent, quantity.One), nil
	}},
}
