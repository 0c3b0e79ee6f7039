package fluid

import (
	"math"
	"sync"

	"loopwright/grader/quantity"
)

// Liquid gives the properties of a liquid over its temperatures fast: from a
// table of the exact formulation, by cubics between its rows.
type Liquid struct {
	lowest, highest float64 // °C
	rows            []liquidRow
}

type liquidRow struct{ density, specificHeat, logViscosity, enthalpy float64 }

const liquidStep = 1.0 // K

var nearWater = sync.OnceValue(func() *Liquid {
	l := &Liquid{lowest: float64(LowestWater), highest: float64(HighestWater)}
	for t := l.lowest; t <= l.highest; t += liquidStep {
		p, err := Water(quantity.Celsius(t))
		if err != nil {
			panic(err) // the range is Water's own
		}
		_, _, h := region1(t+zeroCelsius, WaterPressure)
		l.rows = append(l.rows, liquidRow{p.Density, p.SpecificHeat, math.Log(p.Viscosity), h})
	}
	return l
})

// NearWater is water by table: [Water] within 10⁻⁶ of each property.
func NearWater() *Liquid { return nearWater() }

// Range of temperatures that the table covers.
func (l *Liquid) Range() (lowest, highest quantity.Celsius) {
	return quantity.Celsius(l.lowest), quantity.Celsius(l.highest)
}

// At gives the properties at t (°C); outside the table a *quantity.RangeError.
func (l *Liquid) At(t quantity.Celsius) (Properties, error) {
	i, w, err := l.weights(float64(t))
	if err != nil {
		return Properties{}, err
	}
	var p Properties
	var log float64
	for j, w := range w {
		r := &l.rows[i+j]
		p.Density += w * r.density
		p.SpecificHeat += w * r.specificHeat
		log += w * r.logViscosity
	}
	p.Viscosity = math.Exp(log)
	return p, nil
}

// Enthalpy is the specific enthalpy at t (°C), in J/kg, at [WaterPressure];
// outside the table a *quantity.RangeError. Source: IAPWS R7-97(2012), region 1.
func (l *Liquid) Enthalpy(t quantity.Celsius) (float64, error) {
	i, w, err := l.weights(float64(t))
	h := 0.0
	for j, w := range w {
		h += w * l.rows[i+j].enthalpy
	}
	return h, err
}

// Heat is specific enthalpy (J/kg) and specific heat (J/(kg·K)) at t (°C), as
// [Liquid.Enthalpy] and [Liquid.At] give them, in one reading of the table.
func (l *Liquid) Heat(t quantity.Celsius) (enthalpy, specificHeat float64, err error) {
	i, w, err := l.weights(float64(t))
	for j, w := range w {
		r := &l.rows[i+j]
		enthalpy += w * r.enthalpy
		specificHeat += w * r.specificHeat
	}
	return enthalpy, specificHeat, err
}

// Temperature is the temperature (°C) of a specific enthalpy (J/kg): the
// inverse of [Liquid.Enthalpy] to 10⁻¹⁰ K.
func (l *Liquid) Temperature(enthalpy float64) (quantity.Celsius, error) {
	last := len(l.rows) - 1
	low, high := l.rows[0].enthalpy, l.rows[last].enthalpy
	t := l.lowest + (l.highest-l.lowest)*(enthalpy-low)/(high-low)
	if !(enthalpy >= low && enthalpy <= high) {
		return 0, &quantity.RangeError{Quantity: "water temperature", Value: t, Low: l.lowest, High: l.highest, Unit: "degC"}
	}
	for range 20 {
		t = min(max(t, l.lowest), l.highest)
		i, w, err := l.weights(t)
		if err != nil {
			return 0, err
		}
		h, c := 0.0, 0.0
		for j, w := range w {
			h += w * l.rows[i+j].enthalpy
			c += w * l.rows[i+j].specificHeat
		}
		// The slope of enthalpy is the specific heat: Newton's method.
		step := (enthalpy - h) / c
		t += step
		if math.Abs(step) < 1e-10 {
			break
		}
	}
	return quantity.Celsius(t), nil
}

// weights are Lagrange's for the four rows round t.
func (l *Liquid) weights(t float64) (first int, w [4]float64, err error) {
	if !(t >= l.lowest && t <= l.highest) {
		return 0, w, &quantity.RangeError{Quantity: "water temperature", Value: t, Low: l.lowest, High: l.highest, Unit: "degC"}
	}
	x := (t - l.lowest) / liquidStep
	first = min(max(int(x)-1, 0), len(l.rows)-4)
	x -= float64(first)
	a, b, c, d := x, x-1, x-2, x-3
	return first, [4]float64{-b * c * d / 6, a * c * d / 2, -a * b * d / 2, a * b * c / 6}, nil
}
