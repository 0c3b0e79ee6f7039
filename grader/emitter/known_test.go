package emitter

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"loopwright/grader/closeto"
	"loopwright/grader/quantity"
)

// known reads a table typed from publications: its numbers, row by row, and
// the names of its columns.
func known(t *testing.T, file string) (names []string, rows [][]float64) {
	t.Helper()
	f, err := os.Open("testdata/known/" + file)
	require.NoError(t, err)
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Equal(t, "source", all[0][len(all[0])-1])
	for _, r := range all[1:] {
		require.NotEmpty(t, r[len(r)-1], "source")
		row := make([]float64, len(r)-1)
		for i := range row {
			row[i], err = strconv.ParseFloat(r[i], 64)
			require.NoError(t, err)
		}
		rows = append(rows, row)
	}
	require.NotEmpty(t, rows)
	return all[0], rows
}

func f2c(f float64) quantity.Celsius { return quantity.Celsius((f - 32) / 1.8) }

// Printed to 0.1 mK and four figures.
func TestMeansKnown(t *testing.T) {
	_, rows := known(t, "means.csv")
	for _, r := range rows {
		s, b, room := quantity.Celsius(r[0]), quantity.Celsius(r[1]), quantity.Celsius(r[2])
		closeto.Absolute(t, r[3], float64(ArithmeticExcess(s, b, room)), 1e-9, "arithmetic")
		log, err := LogarithmicExcess(s, b, room)
		require.NoError(t, err)
		closeto.Absolute(t, r[4], float64(log), 6e-4, "logarithmic")
		closeto.Absolute(t, r[5], OutputFactor(ArithmeticExcess(s, b, room), 50, 1.3), 6e-5, "factor, arithmetic")
		rated, err := LogarithmicExcess(75, 65, 20)
		require.NoError(t, err)
		closeto.Absolute(t, r[6], OutputFactor(log, rated, 1.3), 6e-5, "factor, logarithmic")
		require.Equal(t, ArithmeticExcess(s, b, room), MeanExcess(s, b, room))
	}
}

func TestFactorsKnown(t *testing.T) {
	names, rows := known(t, "factors.csv")
	for _, r := range rows {
		for i := 1; i < len(r); i++ {
			n, err := strconv.ParseFloat(names[i][1:], 64)
			require.NoError(t, err)
			closeto.Absolute(t, r[i], OutputFactor(quantity.Kelvin(r[0]), 50, n), 6e-5, names[i])
		}
	}
	// Supplier's EN 442 page, 50 to 60 K: 1.267, printed to three decimals.
	closeto.Absolute(t, 1.267, OutputFactor(60, 50, 1.3), 6e-4, "60 K on a 50 K rating")
}

// The list is a straight line, the law is not: the tolerances grow to 23 % at
// 120 °F, as the comment of CastIron says.
func TestCastIronKnown(t *testing.T) {
	e, err := CastIron(1)
	require.NoError(t, err)
	_, rows := known(t, "edr.csv")
	for _, r := range rows {
		got := quantity.BTUPerHour.FromSI(e.AtMean(f2c(r[0]), f2c(70), 1))
		closeto.Relative(t, r[1], got, r[2], "BTU/h·ft² at "+strconv.Itoa(int(r[0]))+" °F")
	}
	// By definition 240 BTU/h = 70.337 W.
	closeto.Relative(t, 70.337, CastIronOnSteam(1), 1e-5, "on steam")
}

func TestFloorKnown(t *testing.T) {
	_, rows := known(t, "floor.csv")
	for _, r := range rows {
		q, err := FloorOutput(quantity.Celsius(20+r[0]), 20)
		require.NoError(t, err)
		closeto.Relative(t, r[1], q, 2e-5, "floor output")
		surface, err := FloorSurface(q, 20)
		require.NoError(t, err)
		closeto.Absolute(t, 20+r[0], float64(surface), 1e-9, "surface back")
	}
	// EN 1264-2 prints the limits rounded: 100, 175 and 100 W/m².
	closeto.Relative(t, 100, Occupied.Limit(), 0.003, "occupied")
	closeto.Relative(t, 175, Peripheral.Limit(), 0.003, "edge strip")
	closeto.Relative(t, 100, Bathroom.Limit(), 0.003, "bathroom")
	require.NoError(t, Occupied.Allows(29))
	var outside *quantity.RangeError
	require.ErrorAs(t, Occupied.Allows(29.1), &outside)
	_, err := FloorOutput(36, 20)
	require.ErrorAs(t, err, &outside)
	_, err = FloorOutput(19, 20)
	require.ErrorAs(t, err, &outside)
	_, err = FloorSurface(180, 20)
	require.ErrorAs(t, err, &outside)
}

// The table is printed to 0.01: the law must be within half of that and a
// little for the one exponent that serves all rows.
func TestFinTubeTable(t *testing.T) {
	require.Len(t, TemperatureFactors, 15)
	e, err := FinTube(1000, f2c(215))
	require.NoError(t, err)
	for i, row := range TemperatureFactors {
		got := e.PerMeter(row.Mean, finTubeAir, FinTubeRatedCapacity) / 1000
		closeto.Absolute(t, row.Factor, got, 0.009, strconv.FormatFloat(float64(row.Mean), 'f', 1, 64)+" °C")
		if i > 0 {
			require.Greater(t, row.Mean, TemperatureFactors[i-1].Mean)
			require.Greater(t, row.Factor, TemperatureFactors[i-1].Factor)
		}
	}
	// Two rows by hand: ln 0.45 / ln (85/150) = −0.79851 / −0.56798 = 1.4059
	// at 150 °F and ln 0.69 / ln (115/150) = −0.37106 / −0.26570 = 1.3965 at
	// 180 °F. The far rows carry the most weight, so the fit lies by them.
	closeto.Absolute(t, 1.401, FinTubeExponent, 0.015, "exponent")
}

// 4^0.04 = 1.057, as printed; half-flow 0.9727.
func TestFinTubeFlowKnown(t *testing.T) {
	e := DemoFinTube().Length(1)
	closeto.Absolute(t, 1.057, e.FlowFactor(4*FinTubeRatedCapacity), 1e-4, "4 gpm")
	closeto.Absolute(t, 1.0281, e.FlowFactor(2*FinTubeRatedCapacity), 1e-4, "2 gpm")
	closeto.Absolute(t, 0.9727, e.FlowFactor(FinTubeRatedCapacity/2), 1e-4, "half a gpm")
	// 500 BTU/h·°F = 500 × 0.2930711 W / (5/9 K) = 263.764 W/K.
	closeto.Relative(t, 263.764, FinTubeRatedCapacity, 1e-5, "rated capacity rate")
}
