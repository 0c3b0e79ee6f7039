package steady

// Limits of the method.
const (
	mostIterations = 200
	energyTight    = 1e-12 // of the largest head: a starved circuit has little of it
	massTight      = 1e-11 // of the largest flow; 1e-9 is promised
	stepTight      = 1e-6  // of the largest flow: the step before the last one
	// leastSlope bounds a link's conductance, m/(m³/s): a liter a second
	// through less loses a millionth of a millimeter.
	leastSlope  = 1e-6
	atRestHead  = 1e-12 // m: heads below it are nothing
	restAfter   = 60
	atRestFlow  = 1e-15 // m³/s: a drop in two years
	seatRounds  = 20
	startFlow   = 1e-4 // m³/s, of a law that knows none: there its slope does not vanish
	searchSteps = 30
)

// Proof is how well a solution fulfils the equations.
type Proof struct {
	Iterations int
	Energy     float64 // largest error of a link's head over the largest head
	Mass       float64 // largest error of a node's balance over the largest flow
}

// Solve finds flows and heads from the last solution, or afresh the first time.
// It allocates nothing. Errors: [*UnfedError], [*NotConvergedError].
func (n *Network) Solve() (Proof, error) {
	clear(n.Seated)
	n.linked = false
	if !n.started {
		n.begin()
	}
	var proof Proof
	total := 0
	for range seatRounds {
		var err error
		if proof, err = n.newton(); err != nil {
			return proof, err
		}
		total += proof.Iterations
		proof.Iterations = total
		if !n.settleSeats() {
			n.started = true
			return proof, nil
		}
	}
	// Seats that open and close by turns: their laws as they are decide.
	clear(n.Seated)
	proof, err := n.newton()
	n.started = err == nil
	proof.Iterations += total
	return proof, err
}

func (n *Network) begin() {
	for k, law := range n.Laws {
		n.Flow[k] = startFlow
		if s, ok := law.(Starter); ok {
			n.Flow[k] = s.StartFlow()
		}
	}
	for i, fixed := range n.fixed {
		if !fixed {
			n.Head[i] = 0
		}
	}
}

// settleSeats shuts what is seated, opens what should not be, and says whether
// anything changed.
func (n *Network) settleSeats() bool {
	changed := false
	for k, law := range n.Laws {
		if n.Shut[k] {
			continue
		}
		s, ok := law.(Seat)
		if !ok {
			continue
		}
		difference := n.Head[n.from[k]] - n.Head[n.to[k]]
		switch {
		case !n.Seated[k] && n.Flow[k] <= 0:
			n.Seated[k], n.Flow[k] = true, 0
			changed = true
		case n.Seated[k] && difference > s.OpensAt()+1e-9 && !n.Loose[n.from[k]] && !n.Loose[n.to[k]]:
			n.Seated[k] = false
			changed = true
		}
	}
	if changed {
		n.linked = false
	}
	return changed
}

func (n *Network) newton() (Proof, error) {
	if !n.linked {
		if err := n.parts(); err != nil {
			return Proof{}, err
		}
	}
	for k := range n.Flow {
		if !n.open(k) {
			n.Flow[k], n.head[k], n.residual[k], n.step[k] = 0, 0, 0, 0
		}
	}
	n.evaluate(n.Flow)
	lastStep := 0.0
	for i := 0; ; i++ {
		energy, largestHead := n.energyError()
		mass, largestFlow := n.massError()
		energyDone := energy <= energyTight*largestHead+atRestHead
		// At rest heads say all there is: flat laws let flows fade for ever.
		stepDone := i > 0 && lastStep <= stepTight*largestFlow+atRestFlow || largestFlow == 0 || i > restAfter && energy <= atRestHead
		if energyDone && stepDone && mass <= massTight*largestFlow+atRestFlow {
			if mass <= atRestFlow {
				mass = 0 // nothing, and not to be compared with next to nothing
			}
			return Proof{i, ratio(energy, largestHead), ratio(mass, largestFlow)}, nil
		}
		if i == mostIterations || energy != energy || mass != mass {
			return Proof{}, &NotConvergedError{i, energy, mass}
		}
		if err := n.direction(); err != nil {
			return Proof{}, err
		}
		// Once the heads are right a search would work on rounding.
		lastStep = n.advance(mass <= 1e-6*largestFlow && !energyDone)
	}
}

func ratio(a, b float64) float64 {
	if b == 0 {
		return 0
	}
	return a / b
}

// evaluate asks the laws at the given flows.
func (n *Network) evaluate(flow []float64) {
	for k, law := range n.Laws {
		if n.open(k) {
			n.head[k], n.slope[k] = law.HeadAndSlope(flow[k])
			n.residual[k] = n.head[k] - (n.Head[n.from[k]] - n.Head[n.to[k]])
		}
	}
}

// energyError is the largest error of a link's head, beyond what the last
// figures of its flow and of the heads at its ends leave undetermined.
func (n *Network) energyError() (worst, largestHead float64) {
	const rounding = 8 * 0x1p-53
	for k := range n.residual {
		dust := rounding * (n.slope[k]*abs(n.Flow[k]) + abs(n.Head[n.from[k]]) + abs(n.Head[n.to[k]]))
		if r := abs(n.residual[k]); !(r <= dust) {
			worst = larger(worst, r)
		}
		largestHead = larger(largestHead, abs(n.head[k]))
	}
	return worst, largestHead
}

// massError leaves the error of each balance in n.right.
func (n *Network) massError() (worst, largestFlow float64) {
	for u, i := range n.nodeOf {
		n.right[u] = n.Inflow[i]
		largestFlow = max(largestFlow, abs(n.Inflow[i]))
	}
	for k, q := range n.Flow {
		if q == 0 {
			continue
		}
		largestFlow = max(largestFlow, abs(q))
		if u := n.free[n.from[k]]; u >= 0 {
			n.right[u] -= q
		}
		if u := n.free[n.to[k]]; u >= 0 {
			n.right[u] += q
		}
	}
	for _, m := range n.right {
		worst = larger(worst, abs(m))
	}
	return worst, largestFlow
}

// direction finds Newton's step: of the heads in n.right, of the flows in
// n.step. It expects the errors of the balances in n.right.
//
//	A δH = m + Σ_out p r − Σ_in p r,   δQ = p (δH_from − δH_to − r),   p = 1/h′
func (n *Network) direction() error {
	m := n.matrix
	m.Clear()
	for k := range n.Laws {
		if !n.open(k) {
			continue
		}
		p := 1 / max(n.slope[k], leastSlope)
		n.conductance[k] = p
		a, b := n.free[n.from[k]], n.free[n.to[k]]
		push := p * n.residual[k]
		if a >= 0 {
			m.AddDiagonal(int(a), p)
			n.right[a] += push
		}
		if b >= 0 {
			m.AddDiagonal(int(b), p)
			n.right[b] -= push
		}
		if n.pair[k] >= 0 {
			m.AddPair(int(n.pair[k]), -p)
		}
	}
	for i, loose := range n.Loose {
		// One node of each part without a given head keeps its head.
		if loose && n.root[i] == int32(i) {
			m.AddDiagonal(int(n.free[i]), 1)
		}
	}
	if err := m.Factor(); err != nil {
		return err
	}
	m.Solve(n.right)
	for k := range n.Laws {
		if !n.open(k) {
			continue
		}
		d := -n.residual[k]
		if a := n.free[n.from[k]]; a >= 0 {
			d += n.right[a]
		}
		if b := n.free[n.to[k]]; b >= 0 {
			d -= n.right[b]
		}
		n.step[k] = n.conductance[k] * d
	}
	return nil
}

// advance takes the step, or, where the content would rise again, so much of
// it that the content's slope along it has about gone. Flows that do not
// balance yet take all of it: only then do they balance. It gives the largest
// change of a flow.
func (n *Network) advance(balanced bool) float64 {
	for u, i := range n.nodeOf {
		n.Head[i] += n.right[u]
	}
	before := 0.0
	largest := 0.0
	for k, d := range n.step {
		before += d * n.residual[k]
		n.trial[k] = n.Flow[k] + d
		largest = max(largest, abs(d))
	}
	n.evaluate(n.trial)
	share := 1.0
	if balanced && before < 0 {
		share = n.search(before)
	}
	copy(n.Flow, n.trial)
	return share * largest
}

// search finds by regula falsi (Illinois) the share of the step at which the
// slope of the content along it, Σ step × residual, has fallen to half of what
// it was at the start.
func (n *Network) search(atStart float64) float64 {
	slope := func() (sum float64) {
		for k, d := range n.step {
			sum += d * n.residual[k]
		}
		return sum
	}
	enough := -atStart / 2
	low, high := 0.0, 1.0
	atLow, atHigh := atStart, slope()
	if atHigh <= enough {
		return 1
	}
	share := 1.0
	for range searchSteps {
		share = low + (high-low)*atLow/(atLow-atHigh)
		// The slope is often nearly zero over most of the way: halve too.
		share = max(share, low+(high-low)/16)
		for k, d := range n.step {
			n.trial[k] = n.Flow[k] + share*d
		}
		n.evaluate(n.trial)
		at := slope()
		if abs(at) <= enough {
			break
		}
		if at > 0 {
			high, atHigh = share, at
			atLow /= 2
		} else {
			low, atLow = share, at
			atHigh /= 2
		}
	}
	return share
}

func abs(x float64) float64 {
	if x < 0 {
		return -x
	}
	return x
}

// larger is max that keeps NaN, so that it cannot pass for converged.
func larger(a, b float64) float64 {
	if b <= a {
		return a
	}
	return b
}
