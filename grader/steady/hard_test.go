package steady_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"loopwright/grader/closeto"
	"loopwright/grader/steady"
)

// squareGrid is k × k nodes joined to their neighbors. Water of a given head
// enters at one corner, and every other node draws a little.
func squareGrid(k int, draw float64, law func() steady.Law) *layout {
	l := &layout{nodes: k * k, fixed: []int{0}, inflow: make([]float64, k*k), head: make([]float64, k*k)}
	l.head[0] = 50
	for i := range k * k {
		if (i+1)%k != 0 {
			l.links = append(l.links, [2]int{i, i + 1})
		}
		if i+k < k*k {
			l.links = append(l.links, [2]int{i, i + k})
		}
		if i > 0 {
			l.inflow[i] = -draw
		}
	}
	for range l.links {
		l.laws = append(l.laws, law())
	}
	return l
}

func requireFlows(t require.TestingT, l *layout, want []float64, n *steady.Network) {
	largest, largestHead := requireBalanced(t, l, n)
	for k, q := range want {
		requireSameFlow(t, l.laws[k], q, n.Flow[k], largest, largestHead)
	}
}

// Large grids: 4,900 links of power laws over four decades, 1,624 pipes of
// Colebrook and White, some of them laminar. From nothing, again from the
// answer, from wild flows, and after Forget.
func TestGrids(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	bores := []float64{0.016, 0.02, 0.026, 0.035, 0.041, 0.053, 0.1}
	for _, row := range []struct {
		name  string
		k     int
		draw  float64
		law   func() steady.Law
		links int
	}{
		{"power laws", 50, 1e-4, func() steady.Law { return powerLaw{math.Pow(10, 2+4*r.Float64()), 1 + r.Float64()} }, 4900},
		{"pipes", 29, 1e-5, func() steady.Law {
			return colebrookLaw{2 + 20*r.Float64(), bores[r.IntN(len(bores))], 4.5e-5, 1e-6, 9.80665}
		}, 1624},
	} {
		t.Run(row.name, func(t *testing.T) {
			l := squareGrid(row.k, row.draw, row.law)
			require.Len(t, l.links, row.links)
			n := l.network(t)
			copy(n.Laws, l.laws) // without a start
			proof, err := n.Solve()
			require.NoError(t, err)
			cold := proof.Iterations
			requireBalanced(t, l, n)
			want := append([]float64{}, n.Flow...)
			again, err := n.Solve()
			require.NoError(t, err)
			require.LessOrEqual(t, again.Iterations, 3, "from the answer")
			for k := range n.Flow {
				n.Flow[k] = 1e3 * (2*r.Float64() - 1)
			}
			wild, err := n.Solve()
			require.NoError(t, err, "from wild flows")
			requireFlows(t, l, want, n)
			n.Forget()
			afresh, err := n.Solve()
			require.NoError(t, err)
			require.Equal(t, cold, afresh.Iterations, "afresh is afresh")
			requireFlows(t, l, want, n)
			t.Logf("iterations: %d cold, %d again, %d wild", cold, again.Iterations, wild.Iterations)
		})
	}
}

// From wild flows and wild heads, every network finds its answer again.
func TestWildStart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := draws{t}
		l := drawLayout(c, 10, 2)
		want := append([]float64{}, solved(t, l).Flow...)
		n := solved(t, l)
		fixed := map[int]bool{}
		for _, i := range l.fixed {
			fixed[i] = true
		}
		for k := range n.Flow {
			n.Flow[k] = c.real(-1e3, 1e3)
		}
		for i := range n.Head {
			if !fixed[i] {
				n.Head[i] = c.real(-1e3, 1e3)
			}
		}
		_, err := n.Solve()
		passOverStall(t, err)
		require.NoError(t, err)
		requireFlows(t, l, want, n)
		n.Forget()
		_, err = n.Solve()
		require.NoError(t, err)
		requireFlows(t, l, want, n)
	})
}

// One pipe at flows from laminar through the passage to turbulent: the head is
// the law's, and two in parallel share the flow as bisection says.
func TestLaminarToTurbulent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := draws{t}
		wide := colebrookLaw{10, 0.02, 1.5e-6, 1e-6, 9.80665}
		narrow := colebrookLaw{10, 0.012, 1.5e-6, 1e-6, 9.80665}
		// Re = 4 Q/(π D ν): 1000 at 0.0157 L/s, 10000 at 0.157 L/s in the wide one.
		q := math.Pow(10, c.real(-6, -3.5))
		l := &layout{nodes: 2, fixed: []int{1}, links: [][2]int{{0, 1}, {0, 1}}, laws: []steady.Law{wide, narrow}, inflow: []float64{q, 0}, head: []float64{0, 3}}
		low, high := 0.0, q
		for range 200 {
			middle := (low + high) / 2
			a, _ := wide.HeadAndSlope(middle)
			b, _ := narrow.HeadAndSlope(q - middle)
			if a < b {
				low = middle
			} else {
				high = middle
			}
		}
		n := solved(t, l)
		requireBalanced(t, l, n)
		require.InDelta(t, low, n.Flow[0], 1e-8*q)
	})
}

// Where nothing drives water, none moves.
func TestNothingDrives(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := draws{t}
		l := drawLayout(c, 8, 2)
		clear(l.inflow)
		level := float64(c.whole(0, 20))
		for i := range l.head {
			l.head[i] = level
		}
		for k := range l.laws {
			l.laws[k] = drawPower(c, 2)
		}
		n := solved(t, l)
		for k, q := range n.Flow {
			// A straight part of 10⁴ m/(m³/s) and 10⁻¹² m: 10⁻¹⁶ m³/s and less;
			// the flattest law here is a thousand times flatter.
			require.InDelta(t, 0, q, 1e-11, "link %d", k)
		}
		if len(l.fixed) > 0 {
			for i := range n.Head {
				require.InDelta(t, level, n.Head[i], 1e-9, "node %d", i)
			}
		}
	})
}

// Random networks of every kind, also ones that cannot work: each solves, and
// then every equation holds, or the error is one that Solve promises.
func TestSolvesOrSaysWhy(t *testing.T) {
	c := dice{rand.New(rand.NewPCG(31, 41))}
	tries := 20000
	if testing.Short() {
		tries = 2000
	}
	count := map[string]int{}
	for try := range tries {
		l := drawLayout(c, 14, 4)
		for k, law := range l.laws {
			p, ok := law.(powerLaw)
			switch {
			case ok && c.whole(0, 5) == 0:
				l.laws[k] = valveOneWay{c.real(0, 3), p}
			case c.whole(0, 12) == 0:
				l.laws[k] = circulatorLaw{c.real(1, 20), math.Pow(10, c.real(3, 8))}
			case c.whole(0, 12) == 0:
				l.laws[k] = colebrookLaw{c.real(1, 50), c.real(0.01, 0.1), c.real(1e-6, 1e-3), 1e-6, 9.80665}
			}
		}
		if c.whole(0, 9) == 0 {
			l.inflow[c.whole(0, l.nodes-1)] += c.real(-1e-3, 1e-3)
		}
		n := l.network(t)
		for k := range n.Shut {
			n.Shut[k] = c.whole(0, 9) == 0
		}
		_, err := n.Solve()
		var unfed *steady.UnfedError
		var stuck *steady.NotConvergedError
		switch {
		case err == nil:
			requireBalanced(t, l, n)
			count["solved"]++
		case errors.As(err, &unfed):
			requireUnfed(t, l, n, err)
			count["unfed"]++
		case stalled(err):
			count["stalled"]++
		case errors.As(err, &stuck):
			count["not converged"]++
			t.Logf("network %d: %v", try, err)
		default:
			count["other"]++
			t.Logf("network %d: %v", try, err)
		}
	}
	t.Log(count)
	require.Greater(t, count["solved"], tries/2)
	closeto.Absolute(t, 0, float64(count["not converged"]+count["other"]), 0.5, "networks that gave up")
}
