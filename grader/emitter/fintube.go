package emitter

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"math"
	"strconv"
	"strings"

	"loopwright/grader/quantity"
)

// Conventions of US fin-tube ratings.
const (
	// finTubeAir is the entering air of the rating, 65 °F. Source: I=B=R
	// baseboard rating convention, from memory.
	finTubeAir = quantity.Celsius((65.0 - 32) / 1.8)

	// FinTubeFlowExponent is m in output ∝ flow^m. Source: I=B=R convention,
	// output at 4 gpm about 6 % over that at 1 gpm (4^0.04 = 1.057), as a
	// trade magazine column on fin-tube ratings states; exponent from memory.
	FinTubeFlowExponent = 0.04

	// HeatingEffect is the allowance that published fin-tube ratings hold:
	// output as tested times 1.15. Source: ASHRAE Handbook HVAC Systems and
	// Equipment (2016) p. 36.3, as quoted in a trade magazine column.
	HeatingEffect = 1.15
)

// FinTubeRatedCapacity is the capacity rate of the rated flow, 500 lb/h of
// water at 1 BTU/lb·°F, in W/K. About 1 gpm. Source: I=B=R convention, from
// memory.
var FinTubeRatedCapacity = quantity.BTUPerHour.Factor * 500 * 1.8

//go:embed fintube.csv
var finTubeTable string

// TemperatureFactor is one row of the published table: output at a mean water
// temperature over output on 215 °F steam, with 65 °F air.
type TemperatureFactor struct {
	Mean   quantity.Celsius
	Factor float64
}

// TemperatureFactors is the table from which the exponent of fin-tube is
// derived. Source: finned-tube rating convention (I=B=R / AHRI), from memory.
var TemperatureFactors = readFactors(finTubeTable)

// FinTubeExponent is n of fin-tube: the slope of the line through (215 °F, 1)
// that best fits the table in logarithms.
//
//	n = Σ x·y / Σ x²,  x = ln((T − 65)/(215 − 65)),  y = ln factor
//
// No unit; mean water 150 to 220 °F. Derived here from [TemperatureFactors],
// because constants recalled for this law do not reproduce their own rating.
var FinTubeExponent = fitExponent(TemperatureFactors)

// readFactors panics on a malformed table: it is part of the program.
func readFactors(text string) []TemperatureFactor {
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		panic(fmt.Sprintf("emitter: fintube.csv: %v", err))
	}
	var out []TemperatureFactor
	for _, r := range rows[1:] {
		t, errT := strconv.ParseFloat(r[0], 64)
		f, errF := strconv.ParseFloat(r[2], 64)
		if errT != nil || errF != nil || r[1] != "°F" || r[3] == "" {
			panic(fmt.Sprintf("emitter: fintube.csv: row %q", r))
		}
		out = append(out, TemperatureFactor{quantity.Celsius(quantity.Fahrenheit.ToSI(t)), f})
	}
	return out
}

func fitExponent(table []TemperatureFactor) float64 {
	reference := float64(quantity.Celsius(quantity.Fahrenheit.ToSI(215)) - finTubeAir)
	xy, xx := 0.0, 0.0
	for _, row := range table {
		x, y := math.Log(float64(row.Mean-finTubeAir)/reference), math.Log(row.Factor)
		xy, xx = xy+x*y, xx+x*x
	}
	return xy / xx
}

// Element is fin-tube baseboard by the meter: the emitter that one meter is.
type Element struct{ perMeter Emitter }

// FinTube is a fin-tube element by its published rating: output per length at
// a mean water temperature, 500 lb/h of water and 65 °F entering air.
//
//	q = q_rated ((T − T_air)/(T_rated − 65 °F))^n (c/c_rated)^0.04
//
// rated in W/m, mean in °C. The power law stands on figures from 150 to 220 °F
// mean water (47 to 86 K excess). Sources: n from [TemperatureFactors], the
// rest at the constants.
func FinTube(rated float64, mean quantity.Celsius) (Element, error) {
	e := Emitter{
		Output: rated, Excess: mean.Minus(finTubeAir), Exponent: FinTubeExponent,
		FlowExponent: FinTubeFlowExponent, RatedCapacity: FinTubeRatedCapacity,
		From: TemperatureFactors[0].Mean.Minus(finTubeAir),
		To:   TemperatureFactors[len(TemperatureFactors)-1].Mean.Minus(finTubeAir),
	}
	return Element{e}, e.Check()
}

// DemoFinTube is the residential element of the lessons: 600 BTU/h·ft at
// 180 °F mean water. A common-practice figure for ¾ in baseboard, not any
// maker's; it counts the heating-effect allowance in, as catalogs do.
func DemoFinTube() Element {
	e, err := FinTube(quantity.BTUPerHourFoot.ToSI(600), quantity.Celsius(quantity.Fahrenheit.ToSI(180)))
	if err != nil {
		panic(err) // the figures above are part of the program
	}
	return e
}

// AsTested is the element without the heating-effect allowance: its rating
// over [HeatingEffect]. Use it where the water's own heat balance matters: the
// allowance is comfort credited, not heat that left the water.
func (f Element) AsTested() Element {
	return Element{f.perMeter.Times(1 / HeatingEffect)}
}

// PerMeter is the output in W/m at a mean water temperature, an entering air
// temperature (°C) and a capacity rate (W/K), by [Emitter.AtMean].
func (f Element) PerMeter(mean, air quantity.Celsius, c float64) float64 {
	return f.perMeter.AtMean(mean, air, c)
}

// Length is so many meters of the element as one emitter.
func (f Element) Length(meters float64) Emitter { return f.perMeter.Times(meters) }

// LengthFor is the length that gives off a load at a mean water temperature.
//
//	L = load / q(mean, air, c)
//
// load in W, temperatures in °C, c in W/K, result in m. Water at or below the
// air is an error.
func (f Element) LengthFor(load float64, mean, air quantity.Celsius, c float64) (float64, error) {
	q := f.PerMeter(mean, air, c)
	if !(load >= 0) || !(q > 0) || math.IsInf(q, 0) {
		return 0, fmt.Errorf("emitter: no length of fin-tube gives %g W with water at %.1f °C in air at %.1f °C", load, float64(mean), float64(air))
	}
	return load / q, nil
}

// LengthAlong is the length that gives off a load from a known supply, with
// the water followed along the element: the inverse of [Emitter.HeatAlong].
//
//	L = (c/k) ∫ dθ/θ^n from θ_out to θ_in,  θ_out = θ_in − load/c
//
// load in W, temperatures in °C, c in W/K, result in m. A load that would cool
// the water to the air or below is an error.
func (f Element) LengthAlong(load float64, supply, air quantity.Celsius, c float64) (float64, error) {
	in, done, err := f.perMeter.entering(c, supply, air)
	if err != nil {
		return 0, err
	}
	out := in - load/c
	if done || !(load >= 0) || !(out > 0) {
		return 0, fmt.Errorf("emitter: water at %.1f °C with %.3g W/K cannot give %g W to air at %.1f °C", float64(supply), c, load, float64(air))
	}
	k := f.perMeter.Output / math.Pow(float64(f.perMeter.Excess), f.perMeter.Exponent) * f.perMeter.FlowFactor(c)
	return c / k * along(out, load/c, f.perMeter.Exponent), nil
}
