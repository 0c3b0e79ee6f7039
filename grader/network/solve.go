package network

import (
	"fmt"
	"math"

	"loopwright/grader/steady"
)

// Limits of the passes between flows, temperatures and controls.
const (
	mostPasses       = 600
	temperatureTight = 1e-7 // K, the change of a temperature in the last pass
	energyPromise    = 1e-6 // the heat balance, relative to the heat moved
	massPromise      = 1e-9 // the balance of a node, relative to the largest flow
)

// Proof is how well a solution fulfils its equations.
type Proof struct {
	Passes, Iterations int
	// Mass is the largest error of a node's balance over the largest flow,
	// Head that of a link's head over the largest head, Heat that of the heat
	// balance of the whole over the heat moved.
	Mass, Head, Heat float64
}

// Solve finds flows, pressures and, where asked for, temperatures. Flows are
// solved with the water and the settings of the last pass; then the
// temperatures that belong to these flows; then every control takes a step;
// until all agree. Errors: *NotConvergedError, *steady.UnfedError, and a
// *quantity.RangeError where water would freeze or boil.
func (m *Model) Solve() (*Solution, error) {
	proof, err := m.settle()
	if err != nil && m.solved {
		// What was found before may be a bad start for what it has become.
		m.afresh()
		proof, err = m.settle()
	}
	if err != nil {
		m.afresh() // nothing of a failure stays for the next
		return nil, err
	}
	return m.describe(proof)
}

// afresh forgets every solution.
func (m *Model) afresh() {
	m.net.Forget()
	m.solved = false
	if m.heat != nil {
		m.heat = newThermal(m)
	}
	for k := range m.laws {
		m.setLaw(k)
	}
	m.controls = newControls(m, nil)
}

func (m *Model) settle() (Proof, error) {
	var proof Proof
	for _, c := range m.controls {
		c.restart()
	}
	kicked := m.kick()
	const tightest = 1e-8 // K
	tight := tightest
	for pass := 1; ; pass++ {
		flow, err := m.net.Solve()
		proof.Passes, proof.Iterations = pass, proof.Iterations+flow.Iterations
		proof.Mass, proof.Head = flow.Mass, flow.Energy
		if err != nil {
			return proof, fmt.Errorf("network: flows: %w", err)
		}
		change := 0.0
		if m.heat != nil {
			if change, err = m.heat.solve(tight); err != nil {
				return proof, fmt.Errorf("network: temperatures: %w", err)
			}
		}
		open := 0.0
		for _, c := range m.controls {
			open = max(open, c.adjust(m, ease(pass)))
		}
		settled := change <= temperatureTight && open == 0 && !kicked
		if settled && tight > tightest {
			settled = false // the last pass must be a tight one
		}
		// While controls are far off, temperatures need not be closer.
		tight = min(max(tightest, open*controlTight*1e-3), 1e-3)
		if settled {
			if m.heat != nil && m.heat.outside {
				return proof, fmt.Errorf("network: temperatures: %w", m.heat.whereOutside())
			}
			break
		}
		if pass == mostPasses {
			return proof, &NotConvergedError{"temperatures and controls", pass, max(change, open)}
		}
		if kicked {
			kicked = false
			m.weigh()
		}
		if m.heat != nil {
			for k := range m.laws {
				if err := m.refill(k, m.heat.meanOf(k)); err != nil {
					return proof, fmt.Errorf("network: %w", err)
				}
			}
		}
	}
	if m.heat != nil {
		proof.Heat = m.heat.imbalance()
	}
	m.solved = true
	if !(proof.Mass <= massPromise) {
		return proof, &NotConvergedError{"mass balance", proof.Iterations, proof.Mass}
	}
	if !(proof.Heat <= energyPromise) {
		return proof, &NotConvergedError{"heat balance", proof.Passes, proof.Heat}
	}
	return proof, nil
}

// ease is the share of a control's step that is taken: less and less where many
// passes have not settled it.
func ease(pass int) float64 {
	switch {
	case pass <= 25:
		return 1
	case pass <= 80:
		return 0.5
	}
	return 0.25
}

// kick gives the sources of a system that moves by buoyancy a push in the
// first pass: water of one temperature would stand for ever. It says whether
// it did.
func (m *Model) kick() bool {
	const push = 0.05 // m
	if !m.sys.Buoyancy || m.heat == nil || m.solved {
		return false
	}
	for k, l := range m.sys.Links {
		if _, ok := l.Part.(Source); ok {
			m.weight[k] -= push
		}
	}
	return true
}

// weigh renews the weight of the water in every link.
func (m *Model) weigh() {
	for k := range m.weight {
		if w, err := m.waterIn(k); err == nil {
			m.weight[k] = (w.Density/m.reference - 1) * m.rise[k]
		}
	}
}

// SolveFlows finds flows and heads alone, with the water as it is, and
// describes nothing. It allocates nothing. Read the flows with [Model.Flow].
func (m *Model) SolveFlows() (steady.Proof, error) { return m.net.Solve() }

// Flow of a link in m³/s of water at the reference, after a solution.
func (m *Model) Flow(id string) (float64, bool) {
	k, ok := m.linkOf[id]
	if !ok {
		return 0, false
	}
	return m.net.Flow[k], true
}

// imbalance is what the heats of all links do not account for: what the
// entering and leaving water brings and takes, over all heat moved.
func (t *thermal) imbalance() float64 {
	sum, moved := 0.0, 0.0
	for k, heat := range t.heat {
		if t.up[k] >= 0 {
			sum -= heat
			moved += math.Abs(heat)
		}
	}
	for i, in := range t.entering {
		h, _ := t.m.liquid.Enthalpy(t.m.nodes[i].Enters)
		sum += in * h
	}
	for i, e := range t.energy {
		// What flows in and is neither passed on nor stored leaves here.
		out := t.through[i]
		for _, k := range t.outgoing[i] {
			if t.up[k] == int32(i) {
				out -= t.mass[k]
			}
		}
		sum -= out * e
	}
	if moved == 0 {
		return 0
	}
	// Rooms: what their radiators give is what they lose.
	for i, room := range t.m.sys.Rooms {
		if room.Loss > 0 {
			given := room.Gain
			for _, k := range t.radiators[i] {
				given += t.heat[k]
			}
			miss := given - room.Loss*(t.room[i]-float64(t.m.sys.Outdoor))
			sum += math.Abs(miss)
		}
	}
	return math.Abs(sum) / moved
}
