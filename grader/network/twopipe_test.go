package network

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"loopwright/grader/closeto"
	"loopwright/grader/fluid"
	"loopwright/grader/pipe"
)

func squares(coefficients ...float64) []Resistance {
	r := make([]Resistance, len(coefficients))
	for i, c := range coefficients {
		r[i] = PowerLaw{c, 2}
	}
	return r
}

// One circuit is one equation: h = (S + C + R) q², so q = √(h / (S + C + R)).
func TestOneCircuitByHand(t *testing.T) {
	s := TwoPipe{Supply: squares(1e6), Return: squares(2e6), Circuits: squares(6e6)}
	f, err := s.Solve(FixedHead(9))
	require.NoError(t, err)
	closeto.Relative(t, 1e-3, f.Total, 1e-9, "flow")        // √(9 / 9e6)
	closeto.Relative(t, 8, f.SupplyHead[0], 1e-9, "supply") // 9 − 1e6 × 1e-6
	closeto.Relative(t, 2, f.ReturnHead[0], 1e-9, "return")
	closeto.Relative(t, 6, f.Difference[0], 1e-9, "difference")
}

// Two circuits, direct return, worked backward by hand with square laws and
// flows in L/s, heads in m: the far circuit takes 1 L/s and loses 4 m, its
// main sections lose 0.5 m each at 1 L/s, so the near take-off sees 5 m; its
// circuit loses 5 m at 2 L/s; 3 L/s through sections of 1/3 m/(L/s)² lose 3 m
// each: 11 m in all.
func TestTwoCircuitsByHand(t *testing.T) {
	s := TwoPipe{
		Supply:   squares(1e6/3, 0.5e6),
		Return:   squares(1e6/3, 0.5e6),
		Circuits: squares(1.25e6, 4e6),
	}
	f, err := s.Solve(FixedHead(11))
	require.NoError(t, err)
	closeto.Relative(t, 2e-3, f.Flows[0], 1e-9, "near")
	closeto.Relative(t, 1e-3, f.Flows[1], 1e-9, "far")
	closeto.Relative(t, 5, f.Difference[0], 1e-9, "near difference")
	closeto.Relative(t, 4, f.Difference[1], 1e-9, "far difference")
}

// marchBack is an independent method for direct return: guess the flow of the
// last circuit, walk back to the source, and bisect on the head that results.
func marchBack(s *TwoPipe, source FixedHead) []float64 {
	n := len(s.Circuits)
	flows := make([]float64, n)
	walk := func(last float64) float64 {
		total, difference := 0.0, 0.0
		for i := n - 1; i >= 0; i-- {
			if i == n-1 {
				flows[i] = last
				difference, _ = s.Circuits[i].HeadAndSlope(last)
			} else {
				flows[i] = bisect(0, 1, func(q float64) float64 { h, _ := s.Circuits[i].HeadAndSlope(q); return h - difference })
			}
			total += flows[i]
			hs, _ := s.Supply[i].HeadAndSlope(total)
			hr, _ := s.Return[i].HeadAndSlope(total)
			difference += hs + hr
		}
		return difference
	}
	walk(bisect(0, 1, func(q float64) float64 { return walk(q) - float64(source) }))
	return flows
}

func bisect(low, high float64, f func(float64) float64) float64 {
	for range 200 {
		mid := (low + high) / 2
		if f(mid) < 0 {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2
}

func TestDirectReturnAgreesWithMarchingBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 8).Draw(t, "circuits")
		s := TwoPipe{}
		for range n {
			e := rapid.Float64Range(1.7, 2).Draw(t, "exponent")
			s.Supply = append(s.Supply, PowerLaw{rapid.Float64Range(1e3, 1e6).Draw(t, "supply"), e})
			s.Return = append(s.Return, PowerLaw{rapid.Float64Range(1e3, 1e6).Draw(t, "return"), e})
			s.Circuits = append(s.Circuits, PowerLaw{rapid.Float64Range(1e5, 1e8).Draw(t, "circuit"), e})
		}
		f, err := s.Solve(FixedHead(5))
		require.NoError(t, err)
		for i, want := range marchBack(&s, 5) {
			require.InEpsilon(t, want, f.Flows[i], 1e-6)
			require.False(t, math.IsNaN(f.Flows[i]))
		}
	})
}

// Reverse return with equal circuits and equal mains is its own mirror image:
// circuit i and circuit n−1−i take the same flow.
func TestReverseReturnIsSymmetric(t *testing.T) {
	s := TwoPipe{Supply: squares(0, 1e5, 1e5, 1e5), Return: squares(1e5, 1e5, 1e5, 0), Circuits: squares(4e6, 4e6, 4e6, 4e6), Reverse: true}
	s.Supply[0], s.Return[3] = PowerLaw{1e3, 2}, PowerLaw{1e3, 2}
	f, err := s.Solve(FixedHead(4))
	require.NoError(t, err)
	closeto.Relative(t, f.Flows[0], f.Flows[3], 1e-9, "ends")
	closeto.Relative(t, f.Flows[1], f.Flows[2], 1e-9, "middle")
	require.Less(t, f.Flows[1], f.Flows[0], "the middle circuits are worst off in a reverse return")
}

// The heads round every circuit must add up to the source's, and the flows to
// the total, whatever the layout.
func TestHeadsAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 6).Draw(t, "circuits")
		s := TwoPipe{Reverse: rapid.Bool().Draw(t, "reverse"), Shared: PowerLaw{1e4, 2}}
		for range n {
			s.Supply = append(s.Supply, PowerLaw{math.Pow(10, rapid.Float64Range(2, 7).Draw(t, "supply")), 1.75})
			s.Return = append(s.Return, PowerLaw{math.Pow(10, rapid.Float64Range(2, 7).Draw(t, "return")), 1.75})
			s.Circuits = append(s.Circuits, PowerLaw{math.Pow(10, rapid.Float64Range(2, 9).Draw(t, "circuit")), 2})
		}
		f, err := s.Solve(FixedHead(6))
		require.NoError(t, err)
		sum := 0.0
		for i, q := range f.Flows {
			sum += q
			h, _ := s.Circuits[i].HeadAndSlope(q)
			require.InDelta(t, f.Difference[i], h, 1e-8)
		}
		require.InEpsilon(t, sum, f.Total, 1e-12)
	})
}

func TestSolveRefuses(t *testing.T) {
	_, err := (&TwoPipe{Circuits: squares(1)}).Solve(FixedHead(1))
	require.ErrorContains(t, err, "as many supply and return sections")
	_, err = (&TwoPipe{Supply: squares(1), Return: squares(1), Circuits: squares(1)}).Solve(FixedHead(0))
	require.ErrorContains(t, err, "no head")
}

func BenchmarkTwoPipe(b *testing.B) {
	for _, n := range []int{6, 12} {
		b.Run(fmt.Sprintf("%d circuits", n), func(b *testing.B) {
			s := TwoPipe{}
			for range n {
				s.Supply = append(s.Supply, PowerLaw{1e5, 1.8})
				s.Return = append(s.Return, PowerLaw{1e5, 1.8})
				s.Circuits = append(s.Circuits, PowerLaw{4e6, 2})
			}
			for b.Loop() {
				if _, err := s.Solve(FixedHead(5)); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// A run of pipe loses what its pipe and its fittings lose apart.
func TestPipeRunAddsUp(t *testing.T) {
	w, err := fluid.Water(60)
	require.NoError(t, err)
	s := pipe.MustFind("copper-m", "3/4")
	elbow, err := pipe.FittingNamed("elbow-90")
	require.NoError(t, err)
	run := PipeRun{Size: s, Length: 12, K: 3 * elbow.LossCoefficient(s), Water: w}
	for _, q := range []float64{0, 1e-6, 1e-5, 2.5e-4, -2.5e-4} {
		h, slope := run.HeadAndSlope(q)
		closeto.Absolute(t, float64(s.HeadLoss(q, 12, w))+3*float64(elbow.HeadLoss(q, s)), h, 1e-12, "head")
		up, _ := run.HeadAndSlope(q + 1e-9)
		down, _ := run.HeadAndSlope(q - 1e-9)
		closeto.Relative(t, slope, (up-down)/2e-9, 1e-4, "slope")
	}
}
