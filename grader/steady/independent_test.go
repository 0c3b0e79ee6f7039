package steady_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize"

	"loopwright/grader/closeto"
	"loopwright/grader/steady"
)

// A second, slow and plain way to the same answers. Of all flows that balance
// at the nodes, the right ones have the least content Σ ∫ h dQ (M. Collins et
// al., Management Science 24 (1978) 747). A tree of links carries what enters
// at the nodes; a flow may be added round each loop that one more link closes.
// These loop flows are the unknowns of a minimum, and the content's slope by
// each is the head that is missing round its loop. No heads, no matrix of
// nodes: nothing is shared with package steady but the laws.

// contentOf is ∫ h dQ from no flow, by hand for each law.
func contentOf(law steady.Law, q float64) float64 {
	switch l := law.(type) {
	case powerLaw:
		return l.k * math.Pow(math.Abs(q), l.n+1) / (l.n + 1)
	case circulatorLaw:
		return l.k*math.Abs(q*q*q)/3 - l.shutoff*q
	case givenHead:
		return -float64(l) * q
	}
	panic("no content")
}

// givenHead stands for a node of given head: a link that adds it, from the
// ground.
type givenHead float64

func (h givenHead) HeadAndSlope(float64) (head, slope float64) { return -float64(h), 0 }

// loops is a layout as tree and chords. One node more stands for the ground
// from which the given heads rise.
type loops struct {
	ends   [][2]int
	laws   []steady.Law
	chords []int
	base   []float64   // flows that balance, without loop flows
	round  [][]float64 // of each chord, ±1 for the links of its loop
}

func findLoops(l *layout) *loops {
	s := &loops{ends: append([][2]int{}, l.links...), laws: append([]steady.Law{}, l.laws...)}
	root, count := 0, l.nodes
	if len(l.fixed) > 0 {
		root, count = l.nodes, l.nodes+1
		for _, i := range l.fixed {
			s.ends = append(s.ends, [2]int{root, i})
			s.laws = append(s.laws, givenHead(l.head[i]))
		}
	}
	via := make([]int, count) // link to a node from its parent
	parent := make([]int, count)
	seen := make([]bool, count)
	inTree := make([]bool, len(s.ends))
	order := []int{root}
	seen[root] = true
	for at := 0; at < len(order); at++ {
		for k, e := range s.ends {
			for side := range 2 {
				if a, b := e[side], e[1-side]; a == order[at] && !seen[b] {
					seen[b], via[b], parent[b], inTree[k] = true, k, a, true
					order = append(order, b)
				}
			}
		}
	}
	// carry gives the tree's flows for what enters at the nodes.
	carry := func(entering []float64, flow []float64) {
		left := append([]float64{}, entering...)
		for at := len(order) - 1; at > 0; at-- {
			i := order[at]
			k := via[i]
			flow[k] = -left[i] // toward the node
			if s.ends[k][0] == i {
				flow[k] = left[i]
			}
			left[parent[i]] += left[i]
		}
	}
	s.base = make([]float64, len(s.ends))
	carry(append(append([]float64{}, l.inflow...), 0)[:count], s.base)
	for k, e := range s.ends {
		if !inTree[k] {
			one, entering := make([]float64, len(s.ends)), make([]float64, count)
			entering[e[0]]--
			entering[e[1]]++
			carry(entering, one)
			one[k] = 1
			s.chords, s.round = append(s.chords, k), append(s.round, one)
		}
	}
	return s
}

// flows of all links for loop flows in liters a second.
func (s *loops) flows(x []float64) []float64 {
	q := append([]float64{}, s.base...)
	for j, one := range s.round {
		for k, sign := range one {
			q[k] += sign * x[j] * 1e-3
		}
	}
	return q
}

// missing is the head that is missing round each loop, m, and the largest head.
func (s *loops) missing(x, into []float64) (largest float64) {
	clear(into)
	for k, q := range s.flows(x) {
		h, _ := s.laws[k].HeadAndSlope(q)
		largest = math.Max(largest, math.Abs(h))
		for j, one := range s.round {
			into[j] += one[k] * h
		}
	}
	return largest
}

// least finds the loop flows of the least content: by Newton's method with
// line search as gonum has it, and, where the content is too flat for that, by
// halving the error of one loop after the other.
func (s *loops) least(t require.TestingT) []float64 {
	x := make([]float64, len(s.chords))
	if len(x) == 0 {
		return x
	}
	problem := optimize.Problem{
		Func: func(x []float64) (sum float64) {
			for k, q := range s.flows(x) {
				sum += contentOf(s.laws[k], q)
			}
			return 1e3 * sum
		},
		Grad: func(grad, x []float64) { s.missing(x, grad) },
		Hess: func(hess *mat.SymDense, x []float64) {
			q := s.flows(x)
			for i := range x {
				for j := range i + 1 {
					sum := 0.0
					for k, law := range s.laws {
						_, d := law.HeadAndSlope(q[k])
						sum += s.round[i][k] * s.round[j][k] * d * 1e-3
					}
					hess.SetSym(i, j, sum)
				}
			}
		},
	}
	settings := &optimize.Settings{GradientThreshold: 1e-10, MajorIterations: 200}
	// Its error says that the line search found no lower content: rounding.
	if r, _ := optimize.Minimize(problem, x, settings, &optimize.Newton{}); r != nil {
		copy(x, r.X)
	}
	missing := make([]float64, len(x))
	for range 20000 {
		worst, largest := 0.0, s.missing(x, missing)
		for j := range x {
			worst = math.Max(worst, math.Abs(missing[j]))
		}
		if worst <= 1e-11*math.Max(largest, 1) {
			return x
		}
		for j := range x {
			s.halve(x, j, missing)
		}
	}
	require.FailNow(t, "the independent method did not get there")
	return nil
}

// halve finds by bisection the flow of one loop at which no head is missing.
func (s *loops) halve(x []float64, j int, missing []float64) {
	at := func(v float64) float64 {
		x[j] = v
		s.missing(x, missing)
		return missing[j]
	}
	middle, width := x[j], 1e-6
	for at(middle-width) > 0 || at(middle+width) < 0 {
		width *= 4
	}
	low, high := middle-width, middle+width
	for range 200 {
		v := low + (high-low)/2
		if v == low || v == high {
			break
		}
		if at(v) < 0 {
			low = v
		} else {
			high = v
		}
	}
	x[j] = high
}

// One loop needs one unknown: bisection on the head that is missing round it,
// with what enters and leaves on the way.
func TestOneLoopByBisection(t *testing.T) {
	c := dice{rand.New(rand.NewPCG(7, 8))}
	for range 200 {
		nodes := c.whole(2, 12)
		l := &layout{nodes: nodes, inflow: make([]float64, nodes), head: make([]float64, nodes)}
		if c.whole(0, 1) == 1 {
			l.fixed = []int{c.whole(0, nodes-1)}
			l.head[l.fixed[0]] = c.real(0, 20)
		}
		for i := range nodes {
			l.links = append(l.links, [2]int{i, (i + 1) % nodes})
			l.laws = append(l.laws, drawPower(c, 2))
		}
		l.laws[c.whole(0, nodes-1)] = circulatorLaw{c.real(1, 10), math.Pow(10, c.real(4, 7))}
		// What enters at one node leaves at another.
		in, out, through := c.whole(0, nodes-1), c.whole(0, nodes-1), c.real(0, 1e-3)
		l.inflow[in] += through
		l.inflow[out] -= through
		// flow of link i, where the last link, into node 0, carries q.
		flow := func(q float64) (flows []float64, missing float64) {
			flows = make([]float64, nodes)
			for i := range nodes {
				q += l.inflow[i]
				flows[i] = q
				h, _ := l.laws[i].HeadAndSlope(q)
				missing += h
			}
			return flows, missing
		}
		low, high := -1.0, 1.0
		for range 200 {
			if _, missing := flow((low + high) / 2); missing < 0 {
				low = (low + high) / 2
			} else {
				high = (low + high) / 2
			}
		}
		want, _ := flow(high)
		n := l.network(t)
		_, err := n.Solve()
		require.NoError(t, err)
		largest := through
		for _, q := range want {
			largest = math.Max(largest, math.Abs(q))
		}
		for i := range nodes {
			closeto.Absolute(t, want[i], n.Flow[i], 1e-7*largest, "flow")
		}
	}
}

func TestLeastContentAgrees(t *testing.T) {
	c := dice{rand.New(rand.NewPCG(20, 26))}
	const wanted = 400
	loopsSeen := 0
	for try := range wanted {
		l := drawLayout(c, 9, 2)
		n := l.network(t)
		_, err := n.Solve()
		require.NoError(t, err, "network %d", try)
		s := findLoops(l)
		loopsSeen += len(s.chords)
		flows := s.flows(s.least(t))
		largest := 0.0
		for _, q := range flows {
			largest = math.Max(largest, math.Abs(q))
		}
		for k := range l.links {
			closeto.Absolute(t, flows[k], n.Flow[k], 1e-5*largest+1e-12, "flow")
		}
		if t.Failed() {
			t.Fatalf("network %d: %+v", try, *l)
		}
	}
	require.Greater(t, loopsSeen, wanted, "more than a loop in each")
}
