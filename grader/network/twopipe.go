package network

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
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
// by Newton's method on all circuits at once:
//
//	source(Σq) − shared(Σq) − Σ supply − circuit_i(q_i) − Σ return = 0
//
// The equations are the gradient of a convex function, so that with a step
// that is halved until the error falls the method converges from any start.
// Independent check: the march of the tests from the last circuit back.
func (t *TwoPipe) Solve(source HeadSource) (*TwoPipeFlow, error) {
	n := len(t.Circuits)
	if n == 0 || len(t.Supply) != n || len(t.Return) != n {
		return nil, fmt.Errorf("network: a two-pipe system needs as many supply and return sections as circuits, got %d, %d and %d", len(t.Supply), len(t.Return), n)
	}
	h0, _ := source.SourceHead(0)
	if !(h0 > 0) {
		return nil, fmt.Errorf("network: the source gives no head at zero flow (%.3g m)", h0)
	}
	q := make([]float64, n)
	for i := range q {
		q[i] = flowAt(t.Circuits[i], h0/2)
	}
	residual, jacobian := make([]float64, n), mat.NewDense(n, n, nil)
	step, trial := mat.NewVecDense(n, nil), make([]float64, n)
	t.evaluate(q, source, residual, jacobian)
	err := norm(residual)
	const maxIterations, tolerance = 200, 1e-12
	iterations := 0
	for ; iterations < maxIterations && err > tolerance*h0; iterations++ {
		if e := step.SolveVec(jacobian, mat.NewVecDense(n, residual)); e != nil {
			return nil, fmt.Errorf("network: two-pipe system: %w", e)
		}
		scale := 1.0
		for try := 0; ; try++ {
			for i := range q {
				trial[i] = q[i] - scale*step.AtVec(i)
			}
			t.evaluate(trial, source, residual, jacobian)
			if next := norm(residual); next < err || try == 40 {
				if next >= err { // no better point: rounding is reached
					iterations = maxIterations
				}
				err = next
				break
			}
			scale /= 2
		}
		copy(q, trial)
	}
	if !(err <= 1e-9*h0) {
		return nil, &NotConvergedError{"two-pipe system", iterations, err / h0}
	}
	return t.describe(q, source, iterations, err/h0), nil
}

// flowAt is a rough start: the flow at which r loses head h.
func flowAt(r Resistance, h float64) float64 {
	q := 1e-4
	for range 60 {
		got, slope := r.HeadAndSlope(q)
		next := q + (h-got)/slope
		if next <= 0 {
			next = q / 2
		}
		if math.Abs(next-q) < 1e-3*q {
			break
		}
		q = next
	}
	return q
}

// sections gives the flow of each section of both mains.
func (t *TwoPipe) sections(q []float64) (supply, back []float64) {
	n := len(q)
	supply, back = make([]float64, n), make([]float64, n)
	sum := 0.0
	for i := n - 1; i >= 0; i-- {
		sum += q[i]
		supply[i] = sum
	}
	if !t.Reverse {
		copy(back, supply)
		return supply, back
	}
	sum = 0
	for i := range q {
		sum += q[i]
		back[i] = sum
	}
	return supply, back
}

// evaluate fills the error of each circuit's equation and its derivatives.
func (t *TwoPipe) evaluate(q []float64, source HeadSource, residual []float64, jacobian *mat.Dense) {
	n := len(q)
	supply, back := t.sections(q)
	driving, drivingSlope := source.SourceHead(supply[0])
	if t.Shared != nil {
		h, d := t.Shared.HeadAndSlope(supply[0])
		driving, drivingSlope = driving-h, drivingSlope-d
	}
	// Running sums along the mains: what the path to take-off i loses, and
	// how that changes with the flow of a circuit that shares the path.
	supplyHead, supplySlope := make([]float64, n), make([]float64, n)
	backHead, backSlope := make([]float64, n), make([]float64, n)
	run(t.Supply, supply, supplyHead, supplySlope, false)
	run(t.Return, back, backHead, backSlope, t.Reverse)
	for i := range q {
		h, d := t.Circuits[i].HeadAndSlope(q[i])
		residual[i] = driving - supplyHead[i] - h - backHead[i]
		for j := range q {
			shared := supplySlope[min(i, j)]
			if t.Reverse {
				shared += backSlope[max(i, j)]
			} else {
				shared += backSlope[min(i, j)]
			}
			v := drivingSlope - shared
			if i == j {
				v -= d
			}
			jacobian.Set(i, j, v)
		}
	}
}

// run sums head and slope along a main: from the source to each take-off, or,
// fromEnd, from each take-off to the far end.
func run(main []Resistance, flow, head, slope []float64, fromEnd bool) {
	h, d := 0.0, 0.0
	n := len(main)
	for k := range n {
		i := k
		if fromEnd {
			i = n - 1 - k
		}
		hi, di := main[i].HeadAndSlope(flow[i])
		h, d = h+hi, d+di
		head[i], slope[i] = h, d
	}
}

func norm(r []float64) float64 {
	m := 0.0
	for _, v := range r {
		m = max(m, math.Abs(v))
	}
	return m
}

func (t *TwoPipe) describe(q []float64, source HeadSource, iterations int, residual float64) *TwoPipeFlow {
	n := len(q)
	supply, back := t.sections(q)
	f := &TwoPipeFlow{Flows: q, Total: supply[0], SupplyHead: make([]float64, n), ReturnHead: make([]float64, n),
		Difference: make([]float64, n), Iterations: iterations, Residual: residual}
	f.Head, _ = source.SourceHead(f.Total)
	top := f.Head
	if t.Shared != nil {
		h, _ := t.Shared.HeadAndSlope(f.Total)
		top -= h
	}
	slope := make([]float64, n)
	run(t.Supply, supply, f.SupplyHead, slope, false)
	run(t.Return, back, f.ReturnHead, slope, t.Reverse)
	for i := range q {
		f.SupplyHead[i] = top - f.SupplyHead[i]
		f.Difference[i] = f.SupplyHead[i] - f.ReturnHead[i]
	}
	return f
}
