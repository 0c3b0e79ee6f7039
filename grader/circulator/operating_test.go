package circulator

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"loopwright/grader/closeto"
	"loopwright/grader/quantity"
)

func drawSystem(t *rapid.T, c Curve) SystemCurve {
	// Through a flow within the curve, somewhere around its head there.
	q := c.End() * rapid.Float64Range(0.02, 1.2).Draw(t, "system flow")
	h := float64(c.Shutoff()) * rapid.Float64Range(0.01, 1.5).Draw(t, "system head")
	static := h * rapid.SampledFrom([]float64{0, 0, 0.3, 0.9}).Draw(t, "static")
	s, err := Through(quantity.MetersHead(static), q, quantity.MetersHead(h), rapid.Float64Range(1, 2).Draw(t, "exponent"))
	require.NoError(t, err)
	return s
}

// The solver against plain bisection over the whole curve; without a crossing
// the reason must be true.
func TestOperatingPointAgainstBisection(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawCurve(t)
		s := drawSystem(t, c)
		surplus := func(q float64) float64 {
			h, err := c.Head(q)
			require.NoError(t, err)
			return float64(h - s.Head(q))
		}
		at, err := OperatingPoint(c, s)
		if err != nil {
			var none *NoCrossingError
			require.ErrorAs(t, err, &none)
			if none.BeyondEnd {
				require.Positive(t, surplus(c.End()))
				require.ErrorContains(t, err, "run off the end")
			} else {
				require.LessOrEqual(t, surplus(0), 0.0)
				require.ErrorContains(t, err, "nothing flows")
			}
			return
		}
		low, high := 0.0, c.End()
		for range 100 {
			if mid := (low + high) / 2; surplus(mid) > 0 {
				low = mid
			} else {
				high = mid
			}
		}
		require.InDelta(t, low, at.Flow, 1e-11*c.End())
		require.InDelta(t, float64(s.Head(at.Flow)), float64(at.Head), 1e-9*float64(c.Shutoff()))
	})
}

// Friction alone by the square law is the case in which flow follows speed.
func TestOperatingPointFollowsSpeed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawCurve(t)
		q := c.End() * rapid.Float64Range(0.05, 0.9).Draw(t, "flow")
		h, err := c.Head(q)
		require.NoError(t, err)
		s, err := Through(0, q, h, 2)
		require.NoError(t, err)
		r := rapid.Float64Range(0.3, 1.5).Draw(t, "ratio")
		other, err := c.AtSpeed(r)
		require.NoError(t, err)
		at, err := OperatingPoint(other, s)
		require.NoError(t, err)
		require.InEpsilon(t, r*q, at.Flow, 1e-9)
		require.InEpsilon(t, r*r*float64(h), float64(at.Head), 1e-9)
	})
}

// Two circulators 20 − 0.05 f² (ft, gpm) side by side are 20 − 0.0125 f². On
// 0.05 f² one gives √(20/0.1) = 14.142 gpm and two √(20/0.0625) = 17.889 gpm:
// 26 % more, not twice.
func TestParallelDoesNotDouble(t *testing.T) {
	c, err := NewCurve(Point{Head: feet(20)}, Point{Flow: gpm(18), Head: feet(20 - 0.05*18*18)})
	require.NoError(t, err)
	s, err := Through(0, gpm(10), feet(5), 2)
	require.NoError(t, err)
	one, err := OperatingPoint(c, s)
	require.NoError(t, err)
	closeto.Relative(t, 14.1421, quantity.GallonPerMinute.FromSI(one.Flow), 1e-5, "one")
	pair, err := Parallel(c, c)
	require.NoError(t, err)
	two, err := OperatingPoint(pair, s)
	require.NoError(t, err)
	closeto.Relative(t, 17.8885, quantity.GallonPerMinute.FromSI(two.Flow), 1e-5, "two")
}

// By hand: 0.5 L/s at 4 m of water of 1000 kg/m³ is 0.5 × 9.80665 × 4 =
// 19.6133 W; out of 80 W that is 24.5 %.
func TestWireToWater(t *testing.T) {
	e, err := Point{5e-4, 4, 80}.WireToWater(1000)
	require.NoError(t, err)
	closeto.Relative(t, 19.6133/80, e, 1e-9, "efficiency")
	_, err = Point{5e-4, 4, 0}.WireToWater(1000)
	require.Error(t, err)
	_, err = Point{5e-4, 4, 10}.WireToWater(1000)
	require.Error(t, err)
}

func TestRefusesSystems(t *testing.T) {
	var outside *quantity.RangeError
	_, err := Through(0, 1e-3, 3, 2.5)
	require.ErrorAs(t, err, &outside)
	for _, row := range [][3]float64{{0, 0, 3}, {4, 1e-3, 3}, {-1, 1e-3, 3}, {0, math.NaN(), 3}, {0, 1e-3, math.Inf(1)}} {
		_, err = Through(quantity.MetersHead(row[0]), row[1], quantity.MetersHead(row[2]), 2)
		require.Error(t, err)
	}
}

func TestDemo(t *testing.T) {
	set := Demo()
	require.Len(t, set, 7)
	water := 0.0
	for _, m := range set {
		found, ok := DemoNamed(m.ID)
		require.True(t, ok)
		require.Equal(t, m.Name, found.Name)
		require.Contains(t, m.Name, "demo")
		require.NotEmpty(t, m.Note)
		best, most := 0.0, 0.0
		lastSlope := 0.0
		for i := 1; i < 60; i++ {
			q := m.Curve.End() * float64(i) / 60
			h, err := m.Curve.Head(q)
			require.NoError(t, err)
			w, err := m.Curve.Power(q)
			require.NoError(t, err)
			e, err := Point{q, h, w}.WireToWater(990)
			require.NoError(t, err)
			best, most = max(best, e), max(most, HydraulicPower(q, h, 990))
			// Chords between the points steepen: no hump.
			if i%10 == 0 {
				h0, err := m.Curve.Head(q - m.Curve.End()/6)
				require.NoError(t, err)
				require.Less(t, float64(h-h0), lastSlope, m.ID)
				lastSlope = float64(h - h0)
			}
		}
		require.Greater(t, best, 0.15, m.ID)
		require.Less(t, best, 0.60, m.ID)
		require.Greater(t, most, water, "smallest first: "+m.ID)
		water = most
	}
	_, ok := DemoNamed("C-1")
	require.False(t, ok)
	set[0] = Model{}
	require.NotEmpty(t, Demo()[0].ID, "callers cannot change the set")
}

// By hand from the table: at 12 gpm C-15 gives 12.0 ft and C-35 about 18.5;
// C-24 15.2; C-08 2.9. For 11 ft take C-15; with 10 % in hand 12.1 ft are
// needed and C-24 is next (15.2 ft).
func TestPickByHand(t *testing.T) {
	c, err := Pick(Demo(), gpm(12), feet(11), 0)
	require.NoError(t, err)
	require.Equal(t, "C-15", c.Model.ID)
	closeto.Absolute(t, 1, toFeet(c.Verdicts[1].Surplus), 1e-9, "surplus")
	got := map[string]Reason{}
	for _, v := range c.Verdicts {
		got[v.Model.ID] = v.Reason
		require.NotEmpty(t, v.Reason.String())
	}
	require.Equal(t, map[string]Reason{
		"C-08": TooLittleHead, "C-15": Taken, "C-24": LargerThanNeeded, "C-35": LargerThanNeeded,
		"C-60": LargerThanNeeded, "C-90": LargerThanNeeded, "C-130": LargerThanNeeded,
	}, got)
	c, err = Pick(Demo(), gpm(12), feet(11), 0.1)
	require.NoError(t, err)
	require.Equal(t, "C-24", c.Model.ID)
	c, err = Pick(Demo(), gpm(20), feet(5), 0)
	require.NoError(t, err)
	require.Equal(t, "C-15", c.Model.ID) // 5.6 ft
	require.Equal(t, BeyondItsCurve, c.Verdicts[0].Reason)

	_, err = Pick(Demo(), gpm(100), feet(60), 0)
	var none *NoneFitsError
	require.ErrorAs(t, err, &none)
	require.Len(t, none.Verdicts, 7)
	_, err = Pick(Demo(), 0, 3, 0)
	require.Error(t, err)
	_, err = Pick(Demo(), gpm(4), 3, -0.1)
	require.Error(t, err)
}

// What is taken delivers, and nothing that delivers is smaller.
func TestPickIsSmallest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := gpm(rapid.Float64Range(0.5, 170).Draw(t, "flow"))
		h := feet(rapid.Float64Range(0.5, 50).Draw(t, "head"))
		c, err := Pick(Demo(), q, h, 0)
		for _, m := range Demo() {
			gives, outside := m.Curve.Head(q)
			delivers := outside == nil && gives >= h
			if err != nil {
				require.False(t, delivers)
				continue
			}
			if m.ID == c.Model.ID {
				require.True(t, delivers)
			} else if delivers {
				taken, _ := c.Model.Curve.Head(q)
				require.LessOrEqual(t, taken, gives)
			}
		}
	})
}

func BenchmarkOperatingPoint(b *testing.B) {
	m, _ := DemoNamed("C-60")
	s, err := Through(0, gpm(45), feet(20), 2)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := OperatingPoint(m.Curve, s); err != nil {
			b.Fatal(err)
		}
	}
}
