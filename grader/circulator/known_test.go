package circulator

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"loopwright/grader/closeto"
	"loopwright/grader/quantity"
)

const cubicFoot = 0.3048 * 0.3048 * 0.3048 // m³, exact

func gpm(x float64) float64                { return quantity.GallonPerMinute.ToSI(x) }
func feet(x float64) quantity.MetersHead   { return quantity.MetersHead(quantity.FootHead.ToSI(x)) }
func toFeet(h quantity.MetersHead) float64 { return quantity.FootHead.FromSI(float64(h)) }

// published is one row of points.csv.
type published struct{ want, tolerance float64 }

func knownPoints(t *testing.T) map[string]published {
	t.Helper()
	f, err := os.Open("testdata/known/points.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	out := map[string]published{}
	for _, r := range rows[1:] {
		require.NotEmpty(t, r[5], "source")
		want, err := strconv.ParseFloat(r[2], 64)
		require.NoError(t, err)
		tolerance, err := strconv.ParseFloat(r[4], 64)
		require.NoError(t, err)
		out[r[0]+" "+r[1]] = published{want, tolerance}
	}
	return out
}

func TestKnownPoints(t *testing.T) {
	rows := knownPoints(t)
	check := func(name string, got float64) {
		t.Helper()
		row, ok := rows[name]
		require.True(t, ok, name)
		closeto.Relative(t, row.want, got, row.tolerance, name)
		delete(rows, name)
	}

	// Affinity: a curve through the rated point, read at its scaled flow.
	hp := quantity.Horsepower
	c, err := NewCurve(Point{0, feet(150), hp.ToSI(9)}, Point{gpm(400), feet(126), hp.ToSI(17.5)})
	require.NoError(t, err)
	slow, err := c.AtSpeed(1700.0 / 3500)
	require.NoError(t, err)
	check("affinity flow", quantity.GallonPerMinute.FromSI(slow.End()))
	h, err := slow.Head(slow.End())
	require.NoError(t, err)
	check("affinity head", toFeet(h))
	p, err := slow.Power(slow.End())
	require.NoError(t, err)
	check("affinity power", hp.FromSI(p))

	// The source fits H = a + c Q² by least squares through 81, 60 and 20 ft
	// at 0, 5000 and 7850 gpm, and prints a = 82.5, c = −0.201 and K = 0.16
	// rounded but goes on with all figures. K to five: 0.16021 ft/cfs².
	a, b := leastSquares([]float64{0, gpm(5000), gpm(7850)}, []float64{81, 60, 20})
	closeto.Absolute(t, 82.5, a, 0.05, "a")
	closeto.Absolute(t, -0.201, b*cubicFoot*cubicFoot, 5e-4, "c")
	c, err = NewCurve(Point{Head: feet(a)}, Point{Flow: gpm(7850), Head: feet(a + b*gpm(7850)*gpm(7850))})
	require.NoError(t, err)
	s, err := Through(feet(30), 10*cubicFoot, feet(30+0.16021*100), 2)
	require.NoError(t, err)
	at, err := OperatingPoint(c, s)
	require.NoError(t, err)
	check("three-point fit flow", at.Flow/cubicFoot)
	check("three-point fit head", toFeet(at.Head))

	c, err = NewCurve(Point{Flow: gpm(1500), Head: feet(250)})
	require.NoError(t, err)
	h, err = c.Head(gpm(1866.175781))
	require.NoError(t, err)
	check("one point head", toFeet(h))

	// 7.46 − 0.0453 × 10² = 2.93 m and 3.52 + 0.0261 × 10² = 6.13 m.
	lpm := quantity.LiterPerMinute
	c, err = NewCurve(Point{Head: 7.46}, Point{Flow: lpm.ToSI(10), Head: 2.93})
	require.NoError(t, err)
	s, err = Through(3.52, lpm.ToSI(10), 6.13, 2)
	require.NoError(t, err)
	at, err = OperatingPoint(c, s)
	require.NoError(t, err)
	check("quadratic flow", lpm.FromSI(at.Flow))
	check("quadratic head", float64(at.Head))

	// Water at 60 to 70 °F weighs 8.33 lb/gal: 998.2 kg/m³ (the 60 °F of the
	// constants: 999).
	check("pump power power", hp.FromSI(HydraulicPower(gpm(100), feet(421), 998))/0.7)
	check("shaft power power", hp.FromSI(HydraulicPower(gpm(1600), feet(66.5), 999))/0.84)
	check("constant US power", 1/hp.FromSI(HydraulicPower(gpm(1), feet(1), 999)))
	check("constant SI power", 1000/HydraulicPower(1.0/3600, 1, 1000))
	require.Empty(t, rows, "published rows without a check")
}

// Hydraulic Institute, Engineering Data Library, pump fundamentals 1.A: a
// system of 265 ft static head, printed to whole feet.
func TestSystemCurveKnown(t *testing.T) {
	s, err := Through(feet(265), gpm(300), feet(335), 2)
	require.NoError(t, err)
	for _, row := range [][2]float64{{20, 265}, {100, 273}, {140, 280}, {200, 296}, {240, 310}, {300, 335}} {
		closeto.Absolute(t, row[1], toFeet(s.Head(gpm(row[0]))), 0.6, "head in ft")
	}
}

// leastSquares fits y = a + b x².
func leastSquares(x, y []float64) (a, b float64) {
	var n, u, uu, v, uv float64
	for i := range x {
		q := x[i] * x[i]
		n, u, uu, v, uv = n+1, u+q, uu+q*q, v+y[i], uv+q*y[i]
	}
	b = (n*uv - u*v) / (n*uu - u*u)
	return (v - b*u) / n, b
}
