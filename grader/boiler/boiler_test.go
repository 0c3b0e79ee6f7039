package boiler

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"loopwright/grader/closeto"
	"loopwright/grader/quantity"
)

func at(t *testing.T, e Efficiency, back quantity.Celsius) float64 {
	t.Helper()
	v, err := e.At(back)
	require.NoError(t, err)
	return v
}

func TestAtHand(t *testing.T) {
	e, err := NewEfficiency(Point{30, 0.96}, Point{50, 0.88}, Point{60, 0.87})
	require.NoError(t, err)
	// Hand: 35 °C is a quarter of the way from 30 to 50 °C: 0.96 − 0.08/4.
	closeto.Relative(t, 0.94, at(t, e, 35), 1e-12, "a quarter on")
	// Hand: 58 °C is eight tenths of the way from 50 to 60: 0.88 − 0.8 × 0.01.
	closeto.Relative(t, 0.872, at(t, e, 58), 1e-12, "eight tenths on")
	for _, p := range e.Points() {
		require.Equal(t, p.Efficiency, at(t, e, p.Back), "at a point")
	}
	// Hand: from 60 to 30 °C the fuel falls from 1/0.87 to 1/0.96, by
	// 1 − 0.87/0.96 = 0.09375.
	saving, err := e.Saving(60, 30)
	require.NoError(t, err)
	closeto.Relative(t, 0.09375, saving, 1e-12, "saving")
	saving, err = e.Saving(30, 60)
	require.NoError(t, err)
	closeto.Relative(t, 1-0.96/0.87, saving, 1e-12, "burns more")
}

// flueLoss is what the flue gas of one mole of methane carries away, as a share
// of the gross heating value: 20 % excess dry air, gas leaving saturated, at t
// in °C. Heats of methane 890.7 kJ/mol and of evaporation 44.0 kJ/mol at 25 °C,
// molar heats CO2 37.5, O2 29.4, N2 29.1, steam 33.6 J/(mol·K): thermochemical
// tables, from memory. Vapor pressure of water by Antoine, log10(mmHg) =
// 8.07131 − 1730.63/(233.426 + t), 1 to 100 °C, from memory: an independent
// formula.
func flueLoss(t float64) float64 {
	const nitrogen, oxygen = 2 / 0.2095 * 1.2 * 0.7905, 2 * 0.2
	p := 133.322 * math.Pow(10, 8.07131-1730.63/(233.426+t))
	water := min(2, (1+nitrogen+oxygen)*p/(101325-p))
	sensible := (37.5 + 29.4*oxygen + 29.1*nitrogen + 33.6*water) * (t - 25)
	return (sensible + 44.0e3*water) / 890.7e3
}

// The demo curve against the balance of the flue gas, 5 K above the return and
// with 1 % for the casing: within 0.7 points all along.
func TestDemoAgainstFlueGas(t *testing.T) {
	for back := 20.0; back <= 90; back += 0.5 {
		closeto.Absolute(t, 1-flueLoss(back+5)-0.01, at(t, Demo(), quantity.Celsius(back)), 0.015, "efficiency")
	}
	for _, p := range Demo().Points() {
		closeto.Absolute(t, 1-flueLoss(float64(p.Back)+5)-0.01, p.Efficiency, 0.007, "point")
	}
	// A public forum answer on boiler tests: a return of 80 °F gives 10 %
	// more than one of 150 °F, roughly.
	gain := at(t, Demo(), (80-32)/1.8) - at(t, Demo(), (150-32)/1.8)
	closeto.Absolute(t, 0.10, gain, 0.01, "gain from 150 to 80 °F")
	// The demo keeps the rules of NewEfficiency, and its knee is the dew point.
	again, err := NewEfficiency(Demo().Points()...)
	require.NoError(t, err)
	require.Equal(t, Demo(), again)
	closeto.Absolute(t, 0.87, at(t, Demo(), DewPoint), 0.005, "above the dew point nothing is gained")
	closeto.Absolute(t, at(t, Demo(), DewPoint), at(t, Demo(), 85), 0.01, "plateau")
}

func TestDewPoint(t *testing.T) {
	// Hand, without excess air: 2 moles of water in 1 + 2/0.2095 = 10.547 moles
	// are 0.18963 of 101.325 kPa = 19.215 kPa. Steam tables (from memory):
	// 18.15 kPa at 58 °C, 19.01 at 59, 19.94 at 60; so 59.2 °C.
	dew, err := FlueGasDewPoint(0)
	require.NoError(t, err)
	closeto.Absolute(t, 59.2, float64(dew), 0.1, "no excess air")
	// With 20 %: 2/(1 + 1.2 × 9.547) = 0.16056, 16.27 kPa; 15.76 kPa at 55 °C,
	// 16.53 at 56; so 55.7 °C, which the round 56 stands for.
	dew, err = FlueGasDewPoint(0.2)
	require.NoError(t, err)
	closeto.Absolute(t, 55.7, float64(dew), 0.1, "20 % excess air")
	closeto.Absolute(t, float64(dew), float64(DewPoint), 0.5, "the round value")
	// Common practice: 130 to 135 °F.
	closeto.Absolute(t, 132.5, quantity.Fahrenheit.FromSI(float64(DewPoint)), 2.5, "°F")
	for _, e := range []float64{-0.01, 2.01, math.NaN()} {
		_, err := FlueGasDewPoint(e)
		var outside *quantity.RangeError
		require.ErrorAs(t, err, &outside)
	}
}

// More air thins the moisture: the dew point falls.
func TestDewPointFallsWithAir(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := rapid.Float64Range(0, 1.9).Draw(t, "excess air")
		little, err := FlueGasDewPoint(e)
		require.NoError(t, err)
		much, err := FlueGasDewPoint(e + 0.01)
		require.NoError(t, err)
		require.Less(t, much, little)
	})
}

func TestRefuses(t *testing.T) {
	var outside *quantity.RangeError
	for _, back := range []quantity.Celsius{19.99, 90.01, quantity.Celsius(math.NaN()), quantity.Celsius(math.Inf(1))} {
		_, err := Demo().At(back)
		require.ErrorAs(t, err, &outside)
		_, err = Demo().Saving(back, 40)
		require.ErrorAs(t, err, &outside)
		_, err = Demo().Saving(40, back)
		require.ErrorAs(t, err, &outside)
	}
	_, err := Efficiency{}.At(0)
	require.ErrorAs(t, err, &outside, "no points, no range")
	nan := math.NaN()
	for name, points := range map[string][]Point{
		"needs two points": {{30, 0.9}},
		"warmer than":      {{30, 0.9}, {30, 0.9}},
		"rises":            {{30, 0.9}, {40, 0.91}},
		"gross":            {{30, 1.07}, {40, 0.9}},
		"outside":          {{30, 0.9}, {40, 0}},
		"no return":        {{30, 0.9}, {quantity.Celsius(nan), 0.9}},
		"efficiency of":    {{30, 0.9}, {40, nan}},
	} {
		_, err := NewEfficiency(points...)
		require.ErrorContains(t, err, name)
	}
}

// A curve never leaves the band of its points, never rises with the return, and
// is its own copy.
func TestCurveStaysBetweenItsPoints(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 8).Draw(t, "points")
		points := make([]Point, n)
		back, efficiency := rapid.Float64Range(10, 30).Draw(t, "first"), 0.99
		for i := range points {
			points[i] = Point{quantity.Celsius(back), efficiency}
			back += rapid.Float64Range(0.5, 10).Draw(t, "step")
			efficiency -= rapid.Float64Range(0, 0.03).Draw(t, "fall")
		}
		e, err := NewEfficiency(points...)
		require.NoError(t, err)
		low, high := e.Range()
		first, last := points[0].Efficiency, points[n-1].Efficiency
		a := rapid.Float64Range(float64(low), float64(high)).Draw(t, "a")
		b := rapid.Float64Range(float64(low), float64(high)).Draw(t, "b")
		cool, err := e.At(quantity.Celsius(min(a, b)))
		require.NoError(t, err)
		warm, err := e.At(quantity.Celsius(max(a, b)))
		require.NoError(t, err)
		require.LessOrEqual(t, warm, cool+1e-12)
		require.LessOrEqual(t, cool, first+1e-12)
		require.GreaterOrEqual(t, warm, last-1e-12)
		points[0].Efficiency = 0.1
		e.Points()[0].Efficiency = 0.2
		kept, err := e.At(low)
		require.NoError(t, err)
		require.Equal(t, first, kept)
	})
}
