package steady

import (
	"fmt"

	"loopwright/grader/sparse"
)

// Law is what a link does to the head of a flow.
type Law interface {
	// HeadAndSlope gives the head lost at a flow (m at m³/s, negative where
	// the link adds head) and its derivative, zero or positive.
	HeadAndSlope(flow float64) (head, slope float64)
}

// Starter is a law that knows a flow (m³/s) from which to start.
type Starter interface{ StartFlow() float64 }

// Seat is a law that lets nothing back: a check valve, a spring-loaded bypass.
// Its head below flow zero stands for the seat: [SeatedHead].
type Seat interface {
	Law
	// OpensAt is the difference H_from − H_to (m) above which it opens.
	OpensAt() float64
}

// seatSlope is how steeply the head of a seated valve falls below zero flow,
// m/(m³/s): ten meters would press 0.1 mL/s through. It only guides the
// iteration: at the end a seated valve is shut altogether.
const seatSlope = 1e8

// SeatedHead is the head of a [Seat] at a flow below zero.
func SeatedHead(opensAt, flow float64) (head, slope float64) {
	return opensAt + seatSlope*flow, seatSlope
}

// Network is a set of nodes and links with their laws, and the last solution.
// It is not safe for use by several goroutines at once.
type Network struct {
	// Laws of the links. They may be replaced between solutions.
	Laws []Law
	// Shut links pass nothing.
	Shut []bool
	// Inflow is what enters the network at each node, m³/s; negative leaves it.
	Inflow []float64
	// Head of each node, m: given where Fixed, else the solution.
	Head []float64
	// Flow of each link, m³/s, and the start of the next solution.
	Flow []float64
	// Seated says which seats the last solution found shut.
	Seated []bool
	// Loose says which nodes hang on no given head: their part of the network
	// has heads only relative to one of its own nodes.
	Loose []bool

	from, to []int32
	fixed    []bool
	free     []int32 // unknown of a node, or -1
	nodeOf   []int32 // node of an unknown
	pair     []int32 // pair of a link in the matrix, or -1
	matrix   *sparse.Matrix

	head, slope     []float64 // of each link at its flow
	residual        []float64 // energy, of each link
	step            []float64 // of each link's flow
	trial           []float64
	right           []float64 // of each unknown
	conductance     []float64
	root            []int32 // of each node, for the parts of the network
	started, linked bool
}

// New makes a network of so many nodes, of which the fixed ones have a given
// head, and of links that each lead from a node to another. A link that names a
// node out of range, or the same node twice, is an error.
func New(nodes int, fixed []int, links [][2]int) (*Network, error) {
	n := &Network{
		Laws: make([]Law, len(links)), Shut: make([]bool, len(links)), Flow: make([]float64, len(links)), Seated: make([]bool, len(links)),
		Inflow: make([]float64, nodes), Head: make([]float64, nodes), Loose: make([]bool, nodes),
		from: make([]int32, len(links)), to: make([]int32, len(links)), pair: make([]int32, len(links)),
		fixed: make([]bool, nodes), free: make([]int32, nodes), root: make([]int32, nodes),
		head: make([]float64, len(links)), slope: make([]float64, len(links)), residual: make([]float64, len(links)),
		step: make([]float64, len(links)), trial: make([]float64, len(links)), conductance: make([]float64, len(links)),
	}
	for _, i := range fixed {
		if i < 0 || i >= nodes {
			return nil, fmt.Errorf("steady: no node %d of %d to give a head to", i, nodes)
		}
		n.fixed[i] = true
	}
	for i := range nodes {
		n.free[i] = -1
		if !n.fixed[i] {
			n.free[i] = int32(len(n.nodeOf))
			n.nodeOf = append(n.nodeOf, int32(i))
		}
	}
	var pairs [][2]int
	for k, l := range links {
		if min(l[0], l[1]) < 0 || max(l[0], l[1]) >= nodes || l[0] == l[1] {
			return nil, fmt.Errorf("steady: link %d from node %d to node %d in a network of %d nodes", k, l[0], l[1], nodes)
		}
		n.from[k], n.to[k], n.pair[k] = int32(l[0]), int32(l[1]), -1
		if a, b := n.free[l[0]], n.free[l[1]]; a >= 0 && b >= 0 {
			n.pair[k] = int32(len(pairs))
			pairs = append(pairs, [2]int{int(a), int(b)})
		}
	}
	n.matrix = sparse.Analyze(len(n.nodeOf), pairs)
	n.right = make([]float64, len(n.nodeOf))
	return n, nil
}

// Forget makes the next solution start afresh.
func (n *Network) Forget() { n.started = false }

func (n *Network) open(k int) bool { return !n.Shut[k] && !n.Seated[k] }

// parts finds which nodes hang together through open links, and which of the
// parts hold no given head.
func (n *Network) parts() error {
	for i := range n.root {
		n.root[i] = int32(i)
	}
	for k := range n.from {
		if n.open(k) {
			a, b := n.find(n.from[k]), n.find(n.to[k])
			// A part's root is a node with a given head if it has one.
			if n.fixed[a] {
				a, b = b, a
			}
			if a != b {
				n.root[a] = b
			}
		}
	}
	for i := range n.root {
		n.Loose[i] = !n.fixed[n.find(int32(i))]
	}
	// What enters a part without a given head must leave it again.
	clear(n.right)
	most := 0.0
	for i, q := range n.Inflow {
		if q != 0 && n.Loose[i] {
			n.right[n.free[n.find(int32(i))]] += q
			most = max(most, abs(q))
		}
	}
	for u, q := range n.right {
		if abs(q) > max(atRestFlow, 1e-12*most) {
			return &UnfedError{int(n.nodeOf[u]), q}
		}
	}
	n.linked = true
	return nil
}

func (n *Network) find(i int32) int32 {
	for n.root[i] != i {
		n.root[i] = n.root[n.root[i]]
		i = n.root[i]
	}
	return i
}

// UnfedError says that more enters a part of the network than leaves it, with
// no node of given head to take up the difference.
type UnfedError struct {
	Node   int     // one node of the part
	Inflow float64 // m³/s, sum of the part
}

func (e *UnfedError) Error() string {
	return fmt.Sprintf("steady: the part of the network round node %d takes in %.3g m³/s more than it gives off, and no node of it has a given head", e.Node, e.Inflow)
}

// NotConvergedError says that the method found no solution it can vouch for.
type NotConvergedError struct {
	Iterations int
	Energy     float64 // largest error of a link's head, m
	Mass       float64 // largest error of a node's balance, m³/s
}

func (e *NotConvergedError) Error() string {
	return fmt.Sprintf("steady: no solution after %d iterations; heads are wrong by %.3g m, balances by %.3g m³/s", e.Iterations, e.Energy, e.Mass)
}
