package network

import (
	"fmt"

	"loopwright/grader/steady"
)

// TwoPipe is a supply and a return main with circuits between them, numbered
// from the circulator outward. Section i of a main leads to take-off i.
//
//	         S[0]      S[1]      S[2]
//	source ──────┬─────────┬─────────┐
//	          C[0]      C[1]      C[2]
//	       ──────┴─────────┴─────────┘
//	         R[0]      R[1]      R[2]
//
// With a direct return, section R[i] carries circuits i and beyond back the
// way they came. With a reverse return, R[i] leads on from take-off i, away
// from the source: R[i] carries circuits 0 … i, and the last one runs home.
type TwoPipe struct {
	Supply, Return, Circuits []Resistance
	Reverse                  bool
	// Shared is what every circuit shares besides the mains: boiler,
	// separator, the circulator's own valves. It may be nil.
	Shared Resistance
}

// TwoPipeFlow is the solution of a TwoPipe.
type TwoPipeFlow struct {
	Flows []float64 // of each circuit, m³/s
	Total float64
	Head  float64 // of the source, m
	// SupplyHead and ReturnHead are the heads at each take-off, relative to
	// the suction of the source; Difference is what drives each circuit.
	SupplyHead, ReturnHead, Difference []float64
	Iterations                         int
	Residual                           float64 // largest error of a circuit's head, relative to the source's
}

// NotConvergedError says that a solver found no answer it can vouch for.
type NotConvergedError struct {
	What       string
	Iterations int
	Residual   float64
}

func (e *NotConvergedError) Error() string {
	return fmt.Sprintf("%s: no solution after %d iterations, residual %.3g", e.What, e.Iterations, e.Residual)
}

// Solve finds the flows at which the heads round every circuit add up to zero,
// with package steady. Independent check: the march of the tests from the last
// circuit back.
func (t *TwoPipe) Solve(source HeadSource) (*TwoPipeFlow, error) {
	n := len(t.Circuits)
	if n == 0 || len(t.Supply) != n || len(t.Return) != n {
		return nil, fmt.Errorf("network: a two-pipe system needs as many supply and return sections as circuits, got %d, %d and %d", len(t.Supply), len(t.Return), n)
	}
	h0, _ := source.SourceHead(0)
	if !(h0 > 0) {
		return nil, fmt.Errorf("network: the source gives no head at zero flow (%.3g m)", h0)
	}
	// Nodes: the suction, the discharge, behind what is shared, then the
	// take-offs of supply and return.
	const suction, discharge, mains = 0, 1, 2
	supply := func(i int) int { return mains + 1 + i }
	back := func(i int) int { return mains + 1 + n + i }
	var links [][2]int
	var laws []steady.Law
	add := func(from, to int, law steady.Law) {
		links, laws = append(links, [2]int{from, to}), append(laws, law)
	}
	for i := range n {
		add(supply(i), back(i), t.Circuits[i])
	}
	add(suction, discharge, driven{source})
	if t.Shared == nil {
		add(discharge, mains, PowerLaw{0, 2})
	} else {
		add(discharge, mains, t.Shared)
	}
	for i := range n {
		before := mains
		if i > 0 {
			before = supply(i - 1)
		}
		add(before, supply(i), t.Supply[i])
		next := suction
		switch {
		case !t.Reverse && i > 0:
			next = back(i - 1)
		case t.Reverse && i < n-1:
			next = back(i + 1)
		}
		add(back(i), next, t.Return[i])
	}
	net, err := steady.New(mains+1+2*n, []int{suction}, links)
	if err != nil {
		return nil, err
	}
	copy(net.Laws, laws)
	proof, err := net.Solve()
	if err != nil {
		return nil, fmt.Errorf("network: two-pipe system: %w", err)
	}
	f := &TwoPipeFlow{Flows: net.Flow[:n:n], Total: net.Flow[n], Iterations: proof.Iterations, Residual: proof.Energy,
		SupplyHead: make([]float64, n), ReturnHead: make([]float64, n), Difference: make([]float64, n)}
	f.Head, _ = source.SourceHead(f.Total)
	for i := range n {
		f.SupplyHead[i], f.ReturnHead[i] = net.Head[supply(i)], net.Head[back(i)]
		f.Difference[i] = f.SupplyHead[i] - f.ReturnHead[i]
	}
	return f, nil
}

// driven is a source of head as a law of a link.
type driven struct{ HeadSource }

func (d driven) HeadAndSlope(q float64) (head, slope float64) {
	h, s := d.SourceHead(q)
	return -h, -s
}
