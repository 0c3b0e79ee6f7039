package network

import (
	"fmt"
	"slices"

	"loopwright/grader/fluid"
	"loopwright/grader/quantity"
	"loopwright/grader/steady"
)

// Model is a system made ready to be solved again and again: a solution starts
// from the last one. It is not safe for use by several goroutines at once.
type Model struct {
	sys    *System
	nodes  []Node
	nodeOf map[string]int
	linkOf map[string]int
	roomOf map[string]int

	net       *steady.Network
	laws      []law
	liquid    *fluid.Liquid
	reference float64   // kg/m³
	filled    []float64 // °C, the water that each law was filled with
	rise      []float64 // m, of each link
	weight    []float64 // m, see heavyLaw
	heat      *thermal
	controls  []*control
	solved    bool
}

// Prepare checks how a system hangs together and makes it ready. A system that
// cannot work gives a *TopologyError that names every fault.
func Prepare(s *System) (*Model, error) {
	nodes, nodeOf, problems := index(s)
	if len(problems) == 0 && len(s.Links) == 0 {
		problems = []string{"the system has no links"}
	}
	if len(problems) > 0 {
		return nil, &TopologyError{problems}
	}
	own := *s
	own.Links = slices.Clone(s.Links)
	s = &own
	m := &Model{sys: s, nodes: nodes, nodeOf: nodeOf, linkOf: map[string]int{}, roomOf: map[string]int{}, liquid: fluid.NearWater()}
	for i, r := range s.Rooms {
		if _, double := m.roomOf[r.ID]; double {
			problems = append(problems, fmt.Sprintf("room %s is described twice", r.ID))
		}
		m.roomOf[r.ID] = i
	}
	links := make([][2]int, len(s.Links))
	for k, l := range s.Links {
		m.linkOf[l.ID] = k
		links[k] = [2]int{nodeOf[l.From], nodeOf[l.To]}
	}
	problems = append(problems, m.checkNames()...)
	problems = append(problems, m.checkTopology()...)
	if len(problems) > 0 {
		return nil, &TopologyError{problems}
	}
	var fixed []int
	for i, n := range nodes {
		if n.Hold != nil {
			fixed = append(fixed, i)
		}
	}
	var err error
	if m.net, err = steady.New(len(nodes), fixed, links); err != nil {
		return nil, err
	}
	water, err := m.liquid.At(s.Water)
	if err != nil {
		return nil, err
	}
	m.reference = water.Density
	m.laws = make([]law, len(links))
	m.filled, m.rise, m.weight = make([]float64, len(links)), make([]float64, len(links)), make([]float64, len(links))
	for k, l := range links {
		m.rise[k] = nodes[l[1]].Elevation - nodes[l[0]].Elevation
		m.setLaw(k)
	}
	for i, n := range nodes {
		m.net.Inflow[i] = n.Inflow
		if n.Hold != nil {
			m.net.Head[i] = n.Elevation + float64(n.Hold.Head(m.reference))
		}
	}
	if s.Temperatures {
		m.heat = newThermal(m)
	}
	m.controls = newControls(m, nil)
	return m, nil
}

// checkNames finds rooms and nodes that are referred to but not there.
func (m *Model) checkNames() (problems []string) {
	room := func(l Link, id string) {
		if _, ok := m.roomOf[id]; !ok {
			problems = append(problems, fmt.Sprintf("%s %s heats room %q, which is not described", l.Part.kind(), l.ID, id))
		}
	}
	for _, l := range m.sys.Links {
		switch p := l.Part.(type) {
		case Radiator:
			room(l, p.Room)
		case RadiatorValve:
			room(l, p.Room)
		case Mixer:
			if _, ok := m.nodeOf[p.Node]; p.Mixed != nil && !ok {
				problems = append(problems, fmt.Sprintf("mixing valve %s measures at node %q, which is not there", p.Valve, p.Node))
			}
		case Circulator:
			if p.Mode == ConstantDrop {
				for _, id := range []string{p.Warm, p.Cool} {
					if _, ok := m.nodeOf[id]; !ok {
						problems = append(problems, fmt.Sprintf("circulator %s measures the drop at node %q, which is not there", l.ID, id))
					}
				}
				if !m.sys.Temperatures {
					problems = append(problems, fmt.Sprintf("circulator %s holds a temperature drop, but temperatures are not solved", l.ID))
				}
			}
		}
	}
	return problems
}

// setLaw makes the law of a link afresh.
func (m *Model) setLaw(k int) {
	l := m.sys.Links[k]
	m.laws[k] = l.Part.law()
	m.net.Shut[k] = shut(l)
	m.filled[k] = float64(m.sys.Water)
	if m.heat != nil && m.solved {
		m.filled[k] = m.heat.meanOf(k)
	}
	if m.heat != nil {
		m.heat.mode[k] = startMode(l)
	}
	if water, err := m.liquid.At(quantity.Celsius(m.filled[k])); err == nil {
		m.laws[k].fill(water, m.reference)
	}
	m.net.Laws[k] = m.dressed(k)
}

// refill renews the water in a link's law.
func (m *Model) refill(k int, t float64) error {
	if t == m.filled[k] {
		return nil
	}
	water, err := m.liquid.At(quantity.Celsius(t))
	if err != nil {
		return fmt.Errorf("link %s: %w", m.sys.Links[k].ID, err)
	}
	m.filled[k] = t
	m.laws[k].fill(water, m.reference)
	m.weight[k] = (water.Density/m.reference - 1) * m.rise[k]
	return nil
}

// Change alters a link; the next solution starts from the last one. The ends
// of the link and the kind of its part stay as they are.
func (m *Model) Change(id string, change func(*Link)) error {
	k, ok := m.linkOf[id]
	if !ok {
		return fmt.Errorf("network: no link %q", id)
	}
	l := &m.sys.Links[k]
	before := *l
	change(l)
	if l.From != before.From || l.To != before.To || l.ID != before.ID || l.Part.kind() != before.Part.kind() {
		*l = before
		return fmt.Errorf("network: link %s: a change keeps name, ends and kind", id)
	}
	m.setLaw(k)
	m.controls = newControls(m, m.controls)
	return nil
}

// System is the system that the model solves. What links are may be altered
// by [Model.Change] only; temperatures of the whole may be set directly.
func (m *Model) System() *System { return m.sys }
