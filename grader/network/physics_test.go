package network_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"loopwright/grader/circulator"
	"loopwright/grader/closeto"
	"loopwright/grader/emitter"
	"loopwright/grader/fluid"
	"loopwright/grader/network"
	"loopwright/grader/quantity"
)

// Systems worked by hand. What is expected comes from the textbook equations
// written out here, solved by bisection, never from package network. Water's
// density and specific heat are those of package fluid, which has its own
// published tests (IAPWS R7-97).

const gravity = 9.80665 // m/s², exact by definition

func ptr[T any](v T) *T { return &v }

// plan is a system that grows link by link.
type plan struct{ network.System }

// newPlan holds 150 kPa at node r.
func newPlan(temperatures bool) *plan {
	return &plan{network.System{
		Water: 60, Air: 20, Outdoor: -10, Temperatures: temperatures,
		Nodes: []network.Node{{ID: "r", Hold: ptr(quantity.Pascal(150e3))}},
	}}
}

func (p *plan) add(id, from, to string, part network.Part) {
	p.Links = append(p.Links, network.Link{ID: id, From: from, To: to, Part: part})
}

func (p *plan) node(id string) *network.Node {
	for i := range p.Nodes {
		if p.Nodes[i].ID == id {
			return &p.Nodes[i]
		}
	}
	p.Nodes = append(p.Nodes, network.Node{ID: id})
	return &p.Nodes[len(p.Nodes)-1]
}

func (p *plan) solve(t require.TestingT) *network.Solution {
	m, err := network.Prepare(&p.System)
	require.NoError(t, err)
	s, err := m.Solve()
	require.NoError(t, err)
	return s
}

func link(t require.TestingT, s *network.Solution, id string) network.LinkResult {
	l, ok := s.Link(id)
	require.True(t, ok, id)
	return l
}

func degrees(t require.TestingT, s *network.Solution, node string) float64 {
	n, ok := s.Node(node)
	require.True(t, ok, node)
	return float64(n.Temperature)
}

// square loses k Q², in m at m³/s.
func square(k float64) network.PowerLaw { return network.PowerLaw{Coefficient: k, Exponent: 2} }

func loss(k float64) network.Loss { return network.Loss{PowerLaw: square(k)} }

// pump adds shutoff − c Q², up to the flow at which a tenth is left.
func pump(t require.TestingT, shutoff, c float64) circulator.Curve {
	end := math.Sqrt(0.9 * shutoff / c)
	curve, err := circulator.NewCurve(circulator.Point{Head: quantity.MetersHead(shutoff)}, circulator.Point{Flow: end, Head: quantity.MetersHead(0.1 * shutoff)})
	require.NoError(t, err)
	return curve
}

func radiator(t require.TestingT, output float64, room string, k float64) network.Radiator {
	e, err := emitter.Panel(output, 1.3)
	require.NoError(t, err)
	return network.Radiator{Emitter: e, Room: room, Loss: square(k)}
}

func density(t float64) float64 {
	w, err := fluid.Water(quantity.Celsius(t))
	if err != nil {
		return math.NaN()
	}
	return w.Density
}

// carried is the heat (J/kg) between two temperatures, ∫ cp dT by Simpson.
func carried(from, to float64) float64 {
	const n = 8
	sum, step := 0.0, (to-from)/n
	for i := range n + 1 {
		w, err := fluid.Water(quantity.Celsius(from + step*float64(i)))
		if err != nil {
			return math.NaN()
		}
		weight := float64(2 + 2*(i%2))
		if i == 0 || i == n {
			weight = 1
		}
		sum += weight * w.SpecificHeat
	}
	return sum * step / 3
}

// zero finds where a rising function passes zero, by bisection.
func zero(low, high float64, f func(float64) float64) float64 {
	for range 60 {
		middle := (low + high) / 2
		if f(middle) < 0 {
			low = middle
		} else {
			high = middle
		}
	}
	return (low + high) / 2
}

// leaves is the temperature at which a mass flow (kg/s) leaves a panel rated at
// 75/65/20 with exponent 1.3, in a room:
//
//	c dθ/dx = −k θⁿ  →  θ_out^(1−n) = θ_in^(1−n) + (n − 1) k/c
//
// and k by the same equation at the rating, where c is the output over 10 K.
func leaves(output, mass, in, room float64) float64 {
	const n = 1.3
	k := output / 10 * (math.Pow(45, 1-n) - math.Pow(55, 1-n)) / (n - 1)
	return zero(room, in, func(out float64) float64 {
		c := mass * carried(out, in) / (in - out)
		return out - room - math.Pow(math.Pow(in-room, 1-n)+(n-1)*k/c, 1/(1-n))
	})
}

// One boiler, one circulator, one radiator, one room with a loss. The water
// balances heads: with mass flow M, a resistance k takes g k M²/ρ (Pa) of water
// at its mean temperature, and the circulator gives ρ g H₀ − g c M²/ρ. The room
// balances heats: Φ = M (h_in − h_out) = L (T_room − T_out).
func TestOneRadiatorByHand(t *testing.T) {
	const (
		supply, outdoor, roomLoss  = 70.0, -10.0, 40.0
		shutoff, c, kb, run, panel = 4.0, 1e7, 2e6, 3e7, 1e7
		output                     = 1500.0
	)
	p := newPlan(true)
	p.add("boiler", "r", "b", network.Source{Loss: square(kb), Supply: ptr(quantity.Celsius(supply)), Limit: 95})
	p.add("pump", "b", "s", network.Circulator{Curve: pump(t, shutoff, c), Speed: 1})
	p.add("run", "s", "e", loss(run))
	p.add("panel", "e", "r", radiator(t, output, "room", panel))
	p.Rooms = []network.Room{{ID: "room", Indoor: 20, Loss: roomLoss, Design: 1200}}
	s := p.solve(t)

	room, back := 20.0, 60.0
	mass := 0.0
	for range 12 {
		mean := density((supply + back) / 2)
		hot := density(supply)
		mass = math.Sqrt(hot * shutoff / (c/hot + kb/mean + run/hot + panel/mean))
		room = zero(outdoor, supply, func(room float64) float64 {
			back = leaves(output, mass, supply, room)
			return roomLoss*(room-outdoor) - mass*carried(back, supply)
		})
	}
	heat := mass * carried(back, supply)
	closeto.Relative(t, mass, link(t, s, "panel").Mass, 1e-6, "mass flow")
	closeto.Absolute(t, room, float64(s.Rooms[0].Temperature), 1e-4, "room")
	closeto.Absolute(t, back, degrees(t, s, "r"), 1e-3, "return")
	closeto.Absolute(t, supply, degrees(t, s, "e"), 1e-9, "supply")
	closeto.Relative(t, heat, link(t, s, "panel").Heat, 2e-5, "heat of the radiator")
	closeto.Relative(t, -heat, link(t, s, "boiler").Heat, 2e-5, "heat of the boiler")
	closeto.Relative(t, heat/1200, s.Rooms[0].Share, 2e-5, "share of the design load")
	// Heads: what the circulator adds is what the others take.
	flow := mass / density(supply)
	closeto.Relative(t, flow, s.Circulators[0].Flow, 1e-6, "flow in the circulator")
	closeto.Relative(t, shutoff-c*flow*flow, float64(s.Circulators[0].Head), 1e-6, "head of the circulator")
	closeto.Relative(t, run*flow*flow, float64(link(t, s, "run").HeadLoss), 1e-6, "head of the run")
}

// sourced is a source, a circulator and one radiator in a room that loses
// 200 W/K to −10 °C.
func sourced(t require.TestingT, source network.Source, panel float64) *plan {
	p := newPlan(true)
	source.Loss = square(1e6)
	p.add("boiler", "r", "b", source)
	p.add("pump", "b", "s", network.Circulator{Curve: pump(t, 5, 1e7), Speed: 1})
	p.add("panel", "s", "r", radiator(t, panel, "room", 2e7))
	p.Rooms = []network.Room{{ID: "room", Indoor: 20, Loss: 200}}
	return p
}

// A source of fixed output heats the room by its output over the room's loss:
// 5000 W / 200 W/K above −10 °C is 15 °C, whatever the radiator and the flow.
func TestFixedOutput(t *testing.T) {
	s := sourced(t, network.Source{Output: 5000, Limit: 110}, 6000).solve(t)
	closeto.Relative(t, -5000, link(t, s, "boiler").Heat, 1e-9, "boiler")
	closeto.Relative(t, 5000, link(t, s, "panel").Heat, 1e-6, "radiator")
	closeto.Absolute(t, 15, float64(s.Rooms[0].Temperature), 1e-4, "room")
}

// A boiler that cannot reach its supply temperature gives the most it has:
// −10 °C + 3000 W / 200 W/K = 5 °C.
func TestSourceAtItsMost(t *testing.T) {
	s := sourced(t, network.Source{Supply: ptr(quantity.Celsius(70)), Most: 3000, Limit: 110}, 6000).solve(t)
	closeto.Relative(t, 3000, link(t, s, "panel").Heat, 1e-6, "radiator")
	closeto.Absolute(t, 5, float64(s.Rooms[0].Temperature), 1e-4, "room")
	require.Less(t, degrees(t, s, "b"), 70.0)
}

// A source of fixed output whose radiator is too small for it throttles itself
// at its limit: the water leaves it at 90 °C, and it gives what the radiator
// takes there.
func TestSourceAtItsLimit(t *testing.T) {
	s := sourced(t, network.Source{Output: 5000, Limit: 90}, 1000).solve(t)
	closeto.Absolute(t, 90, degrees(t, s, "b"), 1e-6, "limit")
	require.Less(t, link(t, s, "panel").Heat, 3000.0)
	closeto.Relative(t, link(t, s, "panel").Heat, -link(t, s, "boiler").Heat, 1e-6, "boiler")
}

// Two streams meet: 0.2 kg at 80 °C to each 0.1 kg at 20 °C. Enthalpy, not
// temperature, adds up: h(T) − h(20 °C) = (2/3)(h(80 °C) − h(20 °C)).
func TestTwoStreamsMix(t *testing.T) {
	p := newPlan(true)
	*p.node("hot") = network.Node{ID: "hot", Inflow: 2e-4, Enters: 80}
	*p.node("cold") = network.Node{ID: "cold", Inflow: 1e-4, Enters: 20}
	p.add("from hot", "hot", "tee", loss(1e6))
	p.add("from cold", "cold", "tee", loss(1e6))
	p.add("away", "tee", "r", loss(1e6))
	s := p.solve(t)
	want := zero(20, 80, func(t float64) float64 { return carried(20, t) - carried(20, 80)*2/3 })
	closeto.Absolute(t, 60, want, 0.1, "with one specific heat it would be 60 °C")
	closeto.Absolute(t, want, degrees(t, s, "tee"), 1e-4, "mixed")
	closeto.Absolute(t, want, degrees(t, s, "r"), 1e-4, "away")
	// Inflows count as water at the reference, 60 °C.
	closeto.Relative(t, 3e-4*density(60), link(t, s, "away").Mass, 1e-6, "mass")
	closeto.Relative(t, 2e-4*density(60)/density(80), link(t, s, "from hot").Flow, 1e-6, "volume of the hot stream")
}
