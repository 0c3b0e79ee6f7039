package steady_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"loopwright/grader/closeto"
	"loopwright/grader/steady"
)

// line is nodes in a row, joined by links, with heads given at its ends.
func line(first, last float64, laws ...steady.Law) *layout {
	n := len(laws) + 1
	l := &layout{nodes: n, fixed: []int{0, n - 1}, laws: laws, inflow: make([]float64, n), head: make([]float64, n)}
	l.head[0], l.head[n-1] = first, last
	for k := range laws {
		l.links = append(l.links, [2]int{k, k + 1})
	}
	return l
}

// A check valve against any difference the wrong way passes exactly nothing;
// the right way it is a resistance and its spring.
func TestCheckValve(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		opens := rapid.Float64Range(0, 2).Draw(t, "opens")
		drive := rapid.Float64Range(-50, 50).Draw(t, "drive")
		k := math.Pow(10, rapid.Float64Range(3, 8).Draw(t, "decade"))
		l := line(drive, 0, powerLaw{k, 2}, valveOneWay{opens, powerLaw{3 * k, 2}})
		n := solved(t, l)
		requireBalanced(t, l, n)
		switch over := drive - opens; {
		case over < -1e-6:
			require.True(t, n.Seated[1])
			require.Zero(t, n.Flow[1])
			require.InDelta(t, 0, n.Flow[0], 1e-14)
			require.InDelta(t, drive, n.Head[1], 1e-9, "all of the difference is at the seat")
		case over > 1e-6:
			// drive − opens = (k + 3 k) q²
			require.False(t, n.Seated[1])
			require.InEpsilon(t, math.Sqrt(over/(4*k)), n.Flow[1], 1e-6)
		}
	})
}

// A circulator whose head at no flow is below what opens the valve: nothing
// moves; above: what is left drives the flow. Against a static head, too.
func TestCirculatorAgainstCheckValve(t *testing.T) {
	for _, row := range []struct{ shutoff, opens, lift float64 }{
		{5, 6, 0}, {5, 4.999, 0.01}, {5, 0, 5.5}, {5, 4, 0}, {5, 0, 4}, {5, 2, 2},
	} {
		l := line(0, row.lift, circulatorLaw{row.shutoff, 1e6}, valveOneWay{row.opens, powerLaw{2e6, 2}}, powerLaw{1e6, 2})
		n := solved(t, l)
		requireBalanced(t, l, n)
		left := row.shutoff - row.opens - row.lift
		if left <= 0 {
			require.True(t, n.Seated[1])
			require.Zero(t, n.Flow[1])
			closeto.Absolute(t, 0, n.Flow[0], 1e-14, "flow")
			closeto.Absolute(t, row.shutoff, n.Head[1], 1e-9, "the circulator presses against the seat")
			closeto.Absolute(t, row.lift, n.Head[2], 1e-9, "behind the seat stands the lift")
			continue
		}
		// left = (1 + 2 + 1)·10⁶ q²
		closeto.Relative(t, math.Sqrt(left/4e6), n.Flow[0], 1e-6, "flow")
	}
}

// Two circulators side by side with check valves: the weaker one's seat closes
// when the stronger lifts more than it can.
func TestStrongerCirculatorClosesWeaker(t *testing.T) {
	// nodes: 0 suction (given), 1 and 2 discharges, 3 header
	l := &layout{nodes: 4, fixed: []int{0}, inflow: make([]float64, 4), head: make([]float64, 4)}
	l.links = [][2]int{{0, 1}, {0, 2}, {1, 3}, {2, 3}, {3, 0}}
	l.laws = []steady.Law{circulatorLaw{10, 1e6}, circulatorLaw{4, 1e6}, valveOneWay{0, powerLaw{1e5, 2}}, valveOneWay{0, powerLaw{1e5, 2}}, powerLaw{4e6, 2}}
	n := solved(t, l)
	requireBalanced(t, l, n)
	require.True(t, n.Seated[3])
	require.Zero(t, n.Flow[3])
	closeto.Absolute(t, 0, n.Flow[1], 1e-14, "flow of the weaker")
	// 10 = (1 + 0.1 + 4)·10⁶ q²: the header stands at 4·10⁶ q² = 7.84 m,
	// above the 4 m of the weaker one.
	closeto.Relative(t, math.Sqrt(10/5.1e6), n.Flow[0], 1e-7, "flow of the stronger")
	closeto.Relative(t, 40/5.1, n.Head[3], 1e-7, "header")
	// With less resistance both run: 3 = header; a check that seats open again.
	l.laws[4], n.Laws[4] = powerLaw{1e4, 2}, powerLaw{1e4, 2}
	_, err := n.Solve()
	require.NoError(t, err)
	requireBalanced(t, l, n)
	require.False(t, n.Seated[3])
	require.Positive(t, n.Flow[1])
}

// A part without a given head: its heads are relative, its flows are not.
func TestPartWithoutGivenHead(t *testing.T) {
	// Two loops that do not hang together, each with a circulator; only the
	// first has a given head. 6 = (1 + 5)·10⁶ q².
	l := &layout{nodes: 4, fixed: []int{0}, inflow: make([]float64, 4), head: []float64{7, 0, 0, 0}}
	l.links = [][2]int{{0, 1}, {1, 0}, {2, 3}, {3, 2}}
	l.laws = []steady.Law{circulatorLaw{6, 1e6}, powerLaw{5e6, 2}, circulatorLaw{6, 1e6}, powerLaw{5e6, 2}}
	n := solved(t, l)
	requireBalanced(t, l, n)
	require.Equal(t, []bool{false, false, true, true}, n.Loose)
	for k := range l.links {
		closeto.Relative(t, 1e-3, n.Flow[k], 1e-8, "flow")
	}
	closeto.Relative(t, 12, n.Head[1], 1e-9, "7 + 6 − 1")
	closeto.Relative(t, 5, n.Head[3]-n.Head[2], 1e-9, "6 − 1")

	// What flows into the second loop cannot leave it.
	n.Inflow[2] = 1e-4
	_, err := n.Solve()
	var unfed *steady.UnfedError
	require.ErrorAs(t, err, &unfed)
	require.Contains(t, []int{2, 3}, unfed.Node)
	closeto.Relative(t, 1e-4, unfed.Inflow, 1e-9, "inflow")
	// With a way out it may.
	n.Inflow[3] = -1e-4
	_, err = n.Solve()
	require.NoError(t, err)
	closeto.Relative(t, 1e-4, n.Flow[2]-n.Flow[3], 1e-7, "what enters at one node leaves at the other")
}

// A check valve is the only way into a part: it feeds what the part gives off,
// and what flows into the part cannot leave through it.
func TestPartBehindCheckValve(t *testing.T) {
	l := &layout{nodes: 2, fixed: []int{0}, links: [][2]int{{0, 1}}, inflow: []float64{0, -1e-4}, head: []float64{5, 0}}
	l.laws = []steady.Law{valveOneWay{0.5, powerLaw{1e8, 2}}}
	n := solved(t, l)
	closeto.Relative(t, 1e-4, n.Flow[0], 1e-9, "flow")
	closeto.Relative(t, 3.5, n.Head[1], 1e-9, "5 − 0.5 − 1e8 × 1e-8")
	n.Inflow[1] = 1e-4
	_, err := n.Solve()
	var unfed *steady.UnfedError
	require.ErrorAs(t, err, &unfed)
}

// Random networks with many seats.
func TestManySeats(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := draws{t}
		l := drawLayout(c, 10, 2)
		clear(l.inflow)
		for range c.whole(1, 5) {
			k := c.whole(0, len(l.laws)-1)
			if p, ok := l.laws[k].(powerLaw); ok {
				l.laws[k] = valveOneWay{float64(c.whole(0, 4)) * 0.25, p}
			}
		}
		n := solved(t, l)
		requireBalanced(t, l, n)
	})
}
