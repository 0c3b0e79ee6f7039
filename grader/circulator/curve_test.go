package circulator

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"loopwright/grader/closeto"
	"loopwright/grader/quantity"
)

// Three points by hand: 6, 5.5 and 3 m at 0, 1 and 2 L/s. H = 6 + b q + c q²:
// b + c = −0.5 and 2b + 4c = −3, so c = −1, b = 0.5. That rises at first and is
// refused; 6, 5, 3 give c = −0.5, b = −0.5: at 1.5 L/s 6 − 0.75 − 1.125 = 4.125.
func TestThreePointsByHand(t *testing.T) {
	_, err := NewCurve(Point{Head: 6}, Point{Flow: 1e-3, Head: 5.5}, Point{Flow: 2e-3, Head: 3})
	require.ErrorContains(t, err, "rises near")
	c, err := NewCurve(Point{0, 6, 40}, Point{1e-3, 5, 50}, Point{2e-3, 3, 56})
	require.NoError(t, err)
	h, err := c.Head(1.5e-3)
	require.NoError(t, err)
	closeto.Relative(t, 4.125, float64(h), 1e-12, "head")
	slope, err := c.Slope(1.5e-3)
	require.NoError(t, err)
	closeto.Relative(t, -2000, slope, 1e-12, "slope") // −0.5 − 1.5 = −2 m per L/s
	// Power 40 + 12 q − 2 q²: at 1.5 L/s 40 + 18 − 4.5 = 53.5 W.
	p, err := c.Power(1.5e-3)
	require.NoError(t, err)
	closeto.Relative(t, 53.5, p, 1e-12, "power")
	require.True(t, c.Powered())
}

// drawCurve makes a curve of 1 to 8 points that falls.
func drawCurve(t *rapid.T) Curve {
	n := rapid.IntRange(1, 8).Draw(t, "points")
	end := rapid.Float64Range(1e-4, 0.02).Draw(t, "end")
	top := rapid.Float64Range(1, 20).Draw(t, "top")
	if n == 1 {
		c, err := NewCurve(Point{Flow: end / 2, Head: quantity.MetersHead(top), Power: 10})
		require.NoError(t, err)
		return c
	}
	points := make([]Point, n)
	fall := make([]float64, n)
	sum := 0.0
	for i := 1; i < n; i++ {
		// Falls that grow, but not more than threefold, keep the parabola
		// through three points from rising.
		sum += rapid.Float64Range(0.5, 1).Draw(t, "fall")
		fall[i] = fall[i-1] + sum
	}
	left := rapid.Float64Range(0, 0.6).Draw(t, "left")
	for i := range points {
		points[i] = Point{end * float64(i) / float64(n-1), quantity.MetersHead(top * (1 - (1-left)*fall[i]/fall[n-1])), 50 + 40*float64(i)}
	}
	points[n-1].Head = quantity.MetersHead(top * left)
	c, err := NewCurve(points...)
	require.NoError(t, err)
	for _, p := range points {
		h, err := c.Head(p.Flow)
		require.NoError(t, err)
		require.InDelta(t, float64(p.Head), float64(h), 1e-9*top)
	}
	return c
}

func TestCurveFalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawCurve(t)
		last := float64(c.Shutoff())
		for i := 0; i <= 64; i++ {
			q := c.End() * float64(i) / 64
			h, err := c.Head(q)
			require.NoError(t, err)
			require.LessOrEqual(t, float64(h), last*(1+1e-12)+1e-12)
			last = float64(h)
			// The slope is the curve's.
			slope, err := c.Slope(q)
			require.NoError(t, err)
			d := c.End() * 1e-6
			a, b := max(0, q-d), min(c.End(), q+d)
			ha, _ := c.head(a)
			hb, _ := c.head(b)
			require.InDelta(t, (hb-ha)/(b-a), slope, 1e-3*float64(c.Shutoff())/c.End())
			sh, ss := c.SourceHead(q)
			require.Equal(t, float64(h), sh)
			require.Equal(t, slope, ss)
		}
	})
}

// The extension for solvers meets the curve and keeps falling.
func TestSourceHeadOutside(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawCurve(t)
		over := rapid.Float64Range(1e-6, 1).Draw(t, "over") * c.End()
		last, _ := c.head(c.End())
		h, s := c.SourceHead(c.End() + over)
		require.Less(t, h, last)
		require.Negative(t, s)
		h, s = c.SourceHead(-over)
		require.Greater(t, h, float64(c.Shutoff()))
		require.Negative(t, s)
	})
}

// There and back is the same curve; twice as fast is four times the head.
func TestAffinity(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawCurve(t)
		r := rapid.Float64Range(0.7, 1.4).Draw(t, "ratio")
		other, err := c.AtSpeed(r)
		require.NoError(t, err)
		back, err := other.AtSpeed(1 / r)
		require.NoError(t, err)
		q := c.End() * rapid.Float64Range(0, 0.999).Draw(t, "flow")
		h, err := c.Head(q)
		require.NoError(t, err)
		scaled, err := other.Head(r * q)
		require.NoError(t, err)
		require.InDelta(t, r*r*float64(h), float64(scaled), 1e-9*float64(c.Shutoff()))
		h2, err := back.Head(q)
		require.NoError(t, err)
		require.InDelta(t, float64(h), float64(h2), 1e-9*float64(c.Shutoff()))
		p, err := c.Power(q)
		if c.Powered() {
			require.NoError(t, err)
			p2, err := back.Power(q)
			require.NoError(t, err)
			require.InEpsilon(t, p, p2, 1e-9)
		} else {
			require.Error(t, err)
		}
	})
}

func TestRefusesCurves(t *testing.T) {
	for name, points := range map[string][]Point{
		"none":         {},
		"one at zero":  {{0, 5, 0}},
		"no shutoff":   {{1e-3, 5, 0}, {2e-3, 4, 0}},
		"order":        {{0, 5, 0}, {2e-3, 4, 0}, {1e-3, 3, 0}},
		"same flow":    {{0, 5, 0}, {0, 4, 0}},
		"rises":        {{0, 5, 0}, {1e-3, 5.2, 0}, {2e-3, 3, 0}, {3e-3, 1, 0}},
		"not a number": {{0, quantity.MetersHead(math.NaN()), 0}, {1e-3, 1, 0}},
		"infinite":     {{0, 5, 0}, {math.Inf(1), 1, 0}},
		"negative":     {{0, 5, 0}, {1e-3, -1, 0}},
		"no head":      {{0, 0, 0}, {1e-3, 0, 0}},
	} {
		_, err := NewCurve(points...)
		require.Error(t, err, name)
	}
	c, err := NewCurve(Point{Head: 5}, Point{Flow: 1e-3, Head: 1})
	require.NoError(t, err)
	var outside *quantity.RangeError
	for _, q := range []float64{-1e-9, 1.01e-3, math.NaN()} {
		_, err = c.Head(q)
		require.ErrorAs(t, err, &outside)
		_, err = c.Slope(q)
		require.ErrorAs(t, err, &outside)
	}
	_, err = c.Power(5e-4)
	require.ErrorContains(t, err, "no power figures")
	_, err = c.AtSpeed(0.05)
	require.ErrorAs(t, err, &outside)
}

// Two curves 6 − 2q² and 4 − q² (m, L/s) by hand. Series at 1 L/s: 4 + 3 = 7.
// Parallel at 4 m: the first passes 1 L/s, the second nothing; at 3 m it is
// √1.5 + 1 = 2.22474 L/s.
func TestCombinedByHand(t *testing.T) {
	a, err := NewCurve(Point{0, 6, 50}, Point{1.6e-3, 6 - 2*1.6*1.6, 80})
	require.NoError(t, err)
	b, err := NewCurve(Point{0, 4, 30}, Point{1.8e-3, 4 - 1.8*1.8, 66})
	require.NoError(t, err)
	s, err := Series(a, b)
	require.NoError(t, err)
	h, err := s.Head(1e-3)
	require.NoError(t, err)
	closeto.Relative(t, 7, float64(h), 1e-12, "series")
	closeto.Relative(t, 1.6e-3, s.End(), 1e-12, "series ends with the shorter")
	// Power at 1 L/s: 50 + 30/1.6 = 68.75 and 30 + 36/1.8 = 50.
	w, err := s.Power(1e-3)
	require.NoError(t, err)
	closeto.Relative(t, 118.75, w, 1e-12, "series power")

	p, err := Parallel(a, b)
	require.NoError(t, err)
	h, err = p.Head(1e-3)
	require.NoError(t, err)
	closeto.Relative(t, 4, float64(h), 1e-9, "parallel, second idle")
	h, err = p.Head((math.Sqrt(1.5) + 1) * 1e-3)
	require.NoError(t, err)
	closeto.Relative(t, 3, float64(h), 1e-9, "parallel")
	// Slopes −4q and −2q: −4.89898 and −2 m per L/s; 1/(1/4.89898 + 1/2) =
	// 1.42020.
	slope, err := p.Slope((math.Sqrt(1.5) + 1) * 1e-3)
	require.NoError(t, err)
	closeto.Relative(t, -1420.20, slope, 1e-5, "parallel slope")
	// The first ends at 0.88 m, the second at 0.76 m: the pair ends at 0.88 m,
	// with 1.6 + √3.12 = 3.36635 L/s.
	closeto.Relative(t, 3.36635e-3, p.End(), 1e-6, "parallel ends")
	closeto.Absolute(t, 6, float64(p.Shutoff()), 0, "parallel shutoff")
	// Power at 3 m: 50 + 30 × 1.224745/1.6 = 72.964 and 50.
	w, err = p.Power((math.Sqrt(1.5) + 1) * 1e-3)
	require.NoError(t, err)
	closeto.Relative(t, 122.964, w, 1e-5, "parallel power")
	_, err = Series()
	require.Error(t, err)
	_, err = Parallel()
	require.Error(t, err)
}

// Two of a kind: series doubles the head, parallel the flow.
func TestTwoOfAKind(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawCurve(t)
		q := c.End() * rapid.Float64Range(0.01, 0.99).Draw(t, "flow")
		h, err := c.Head(q)
		require.NoError(t, err)
		s, err := Series(c, c)
		require.NoError(t, err)
		hs, err := s.Head(q)
		require.NoError(t, err)
		require.InEpsilon(t, 2*float64(h), float64(hs), 1e-12)
		p, err := Parallel(c, c)
		require.NoError(t, err)
		hp, err := p.Head(2 * q)
		require.NoError(t, err)
		require.InDelta(t, float64(h), float64(hp), 1e-9*float64(c.Shutoff()))
	})
}
