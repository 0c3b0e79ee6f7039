package lessons

import (
	"testing"

	"github.com/stretchr/testify/require"

	"loopwright/exercises"
	"loopwright/grader/closeto"
	"loopwright/grader/quantity"
)

// worth evaluates an expression with values that are native in both systems and
// gives the number in the unit that it is shown in.
func worth(t *testing.T, units exercises.System, expression string) float64 {
	t.Helper()
	sc := &scope{units: units, values: map[string]any{}}
	for name, v := range map[string][2]quantity.Quantity{
		"height": {quantity.Of(40, quantity.Foot), quantity.Of(8, quantity.Meter)},
		"pass":   {quantity.Of(0, quantity.Foot), quantity.Of(2000, quantity.Meter)},
		"least":  {quantity.Of(4, quantity.PSI), quantity.Of(30, quantity.Kilopascal)},
		"fill":   {quantity.Of(10, quantity.PSI), quantity.Of(100, quantity.Kilopascal)},
		"most":   {quantity.Of(25, quantity.PSI), quantity.Of(250, quantity.Kilopascal)},
		"system": {quantity.Of(100, quantity.Gallon), quantity.Of(500, quantity.Liter)},
		"cold":   {quantity.Of(60, quantity.Fahrenheit), quantity.Of(15, quantity.CelsiusUnit)},
		"hot":    {quantity.Of(180, quantity.Fahrenheit), quantity.Of(80, quantity.CelsiusUnit)},
		"mild":   {quantity.Of(120, quantity.Fahrenheit), quantity.Of(50, quantity.CelsiusUnit)},
		"room":   {quantity.Of(70, quantity.Fahrenheit), quantity.Of(20, quantity.CelsiusUnit)},
		"much":   {quantity.Of(6, quantity.GallonPerMinute), quantity.Of(0.6, quantity.LiterPerSecond)},
		"little": {quantity.Of(2, quantity.GallonPerMinute), quantity.Of(0.2, quantity.LiterPerSecond)},
	} {
		sc.values[name] = v[0]
		if units == exercises.SI {
			sc.values[name] = v[1]
		}
	}
	v, err := sc.eval(expression)
	require.NoError(t, err, expression)
	return quantityOf(v).Number()
}

func TestPlantFunctionsByHand(t *testing.T) {
	for _, c := range []struct {
		units      exercises.System
		expression string
		want, off  float64
	}{
		// 40 ft over 2.31 ft for each psi is 17.32 psi; with 4 psi, 21.32.
		{exercises.US, "column(height, cold)", 17.32, 0.02},
		{exercises.US, "fill_pressure(height, least, cold)", 21.32, 0.02},
		// 8 m × 999.1 kg/m³ × 9.80665 m/s² = 78.38 kPa; with 30, 108.38; of 100
		// kPa, 21.62 are left.
		{exercises.SI, "column(height, cold)", 78.38, 0.03},
		{exercises.SI, "fill_pressure(height, least, cold)", 108.38, 0.03},
		{exercises.SI, "top_pressure(fill, height, cold)", 21.62, 0.03},
		// The air: 14.696 psi at the sea; ISO 2533, 79.495 kPa at 2000 m.
		{exercises.US, "absolute(fill)", 24.696, 0.001},
		{exercises.US, "air_at(pass)", 14.696, 0.001},
		{exercises.SI, "air_at(pass)", 79.495, 0.01},
		// Steam tables: 7.51 psi at 180 °F, 47.4 kPa at 80 °C (from memory). So
		// 24.696 − 7.51 = 17.19 psi and 100 + 79.495 − 47.4 = 132.1 kPa.
		{exercises.US, "boiling_pressure(hot)", 7.51, 0.02},
		{exercises.SI, "boiling_pressure(hot)", 47.4, 0.1},
		{exercises.US, "suction_margin(fill, air_at(pass), hot)", 17.19, 0.02},
		{exercises.SI, "suction_margin(fill, air_at(pass), hot)", 132.1, 0.1},
		// Steam tables: 0.016033 and 0.016510 ft³/lb at 60 and 180 °F: 2.975 %,
		// less 3 × 6.5e-6 × 120 = 0.234 %. 0.0010009 and 0.0010291 m³/kg at 15
		// and 80 °C: 2.817 %, less 3 × 12e-6 × 65 = 0.234 % (volumes from
		// memory).
		{exercises.US, "net_growth(cold, hot)", 2.74, 0.05},
		{exercises.SI, "net_growth(cold, hot)", 2.58, 0.03},
		// 3 gal grow: 3/(1 − 24.696/39.696) = 7.939; (24.696/14.696) times that
		// in a plain tank, 13.34. 15 L: 15/(1 − 201.325/351.325) = 35.13; times
		// 201.325/101.325, 69.81.
		{exercises.US, "diaphragm_tank(system, 0.03, fill, most)", 7.939, 0.002},
		{exercises.US, "plain_tank(system, 0.03, fill, most)", 13.34, 0.005},
		{exercises.SI, "diaphragm_tank(system, 0.03, fill, most)", 35.13, 0.01},
		{exercises.SI, "plain_tank(system, 0.03, fill, most)", 69.81, 0.02},
		// (6 × 180 + 2 × 60)/8 = 150; (0.6 × 80 + 0.2 × 15)/0.8 = 63.75.
		{exercises.US, "mixed(much, hot, little, cold)", 150, 1e-9},
		{exercises.SI, "mixed(much, hot, little, cold)", 63.75, 1e-9},
		// Half of the lift, (120 − 60)/(180 − 60); (50 − 15)/(80 − 15) = 53.85 %.
		{exercises.US, "hot_share(hot, cold, mild)", 50, 1e-9},
		{exercises.SI, "hot_share(hot, cold, mild)", 53.846, 0.001},
		{exercises.US, "between(hot, cold)", 120, 1e-9},
		{exercises.SI, "between(hot, cold)", 65, 1e-9},
		// The demo boiler's points: 88.5 % at 50 °C; 86.29 % at 80 °C, on the
		// line from 87 % at 56 to 86 % at 90. 1 − 86.294/88.5 = 2.49 %.
		{exercises.SI, "demo_efficiency(mild)", 88.5, 1e-9},
		{exercises.SI, "fuel_saved(hot, mild)", 2.49, 0.01},
		// (110/50)^1.3: 1.3 × ln 2.2 = 1.02500, e to that 2.7871; (60/30)^1.3 =
		// 2.4623.
		{exercises.US, "more_radiator(hot, mild, room)", 178.71, 0.02},
		{exercises.SI, "more_radiator(hot, mild, room)", 146.23, 0.02},
		{exercises.SI, "panel_exponent()", 1.3, 1e-12},
	} {
		closeto.Absolute(t, c.want, worth(t, c.units, c.expression), c.off, string(c.units)+" "+c.expression)
	}
}

func TestPlantFunctionsRefuse(t *testing.T) {
	sc := &scope{units: exercises.SI, values: map[string]any{
		"none": quantity.Of(0, quantity.LiterPerSecond),
		"cold": quantity.Of(15, quantity.CelsiusUnit), "hot": quantity.Of(80, quantity.CelsiusUnit), "ice": quantity.Of(-30, quantity.CelsiusUnit),
		"low": quantity.Of(50, quantity.Kilopascal), "high": quantity.Of(100, quantity.Kilopascal), "system": quantity.Of(500, quantity.Liter),
		"down": quantity.Of(-1, quantity.Meter),
	}}
	for expression, says := range map[string]string{
		"mixed(none, hot, none, cold)":              "do not mix",
		"hot_share(cold, hot, cold)":                "cannot be mixed",
		"hot_share(hot, cold, ice)":                 "cannot be mixed",
		"more_radiator(cold, hot, cold)":            "does not heat",
		"more_radiator(hot, cold, cold)":            "does not heat",
		"net_growth(hot, cold)":                     "cooler",
		"diaphragm_tank(system, 0.03, high, low)":   "must lie above",
		"plain_tank(system, 0.03, high, low)":       "must lie above",
		"fill_pressure(down, low, cold)":            "height",
		"top_pressure(low, down, cold)":             "height",
		"column(down, ice)":                         "temperature",
		"air_at(down)":                              "altitude",
		"boiling_pressure(ice)":                     "temperature",
		"suction_margin(low, high, ice)":            "temperature",
		"demo_efficiency(ice)":                      "return temperature",
		"fuel_saved(hot, ice)":                      "return temperature",
		"diaphragm_tank(system, system, low, high)": "a plain number belongs here",
	} {
		_, err := sc.eval(expression)
		require.ErrorContains(t, err, says, expression)
	}
}
