package network

import (
	"math"

	"loopwright/grader/expansion"
	"loopwright/grader/fluid"
	"loopwright/grader/quantity"
)

// Solution is what was found. Values are SI; temperatures are NaN where they
// were not solved.
type Solution struct {
	Title       string
	Solved      bool // temperatures were solved
	Nodes       []NodeResult
	Links       []LinkResult
	Rooms       []RoomResult
	Circulators []CirculatorResult
	Warnings    []Warning
	Proof       Proof
}

// NodeResult is what was found at a node.
type NodeResult struct {
	ID          string
	Elevation   float64             // m
	Head        quantity.MetersHead // of water at the reference, above elevation zero at gauge pressure zero
	Pressure    quantity.Pascal     // gauge
	Temperature quantity.Celsius
	Loose       bool // cut off from where pressure is held: head and pressure are relative
}

// LinkResult is what was found in a link.
type LinkResult struct {
	ID, Kind, From, To string
	Flow               float64             // m³/s of its own water, positive from From to To
	Mass               float64             // kg/s
	Velocity           float64             // m/s; 0 where the link has no bore
	Reynolds           float64             // 0 where the link has no bore
	HeadLoss           quantity.MetersHead // of its own water; negative where it adds head
	In, Out            quantity.Celsius
	Heat               float64 // W the water gives off; negative where it takes up
	Shut               bool    // nothing passes: a shut valve, a seated check valve
	Lift               float64 // of a valve, 0 to 1
	Fuel               float64 // W, of a source with an efficiency
	Efficiency         float64
}

// RoomResult is what was found in a room.
type RoomResult struct {
	ID          string
	Temperature quantity.Celsius
	Heat        float64 // W from its radiators
	Share       float64 // of the design load, 0 where there is none
}

// CirculatorResult is where a circulator runs.
type CirculatorResult struct {
	ID         string
	Flow       float64             // m³/s
	Head       quantity.MetersHead // added
	Speed      float64             // over the speed of its curve
	Power      float64             // W from the supply; 0 where it is not known
	Efficiency float64             // wire to water; 0 where it is not known
	Suction    quantity.Pascal     // gauge
	// Margin is how far its suction stays above boiling.
	Margin quantity.Pascal
}

// Link finds a link's result.
func (s *Solution) Link(id string) (LinkResult, bool) {
	for _, l := range s.Links {
		if l.ID == id {
			return l, true
		}
	}
	return LinkResult{}, false
}

// Node finds a node's result.
func (s *Solution) Node(id string) (NodeResult, bool) {
	for _, n := range s.Nodes {
		if n.ID == id {
			return n, true
		}
	}
	return NodeResult{}, false
}

// Room finds a room's result.
func (s *Solution) Room(id string) (RoomResult, bool) {
	for _, r := range s.Rooms {
		if r.ID == id {
			return r, true
		}
	}
	return RoomResult{}, false
}

func (m *Model) describe(proof Proof) (*Solution, error) {
	s := &Solution{Title: m.sys.Title, Solved: m.heat != nil, Proof: proof}
	s.Nodes = make([]NodeResult, len(m.nodes))
	for i, n := range m.nodes {
		head := quantity.MetersHead(m.net.Head[i])
		s.Nodes[i] = NodeResult{
			ID: n.ID, Elevation: n.Elevation, Head: head, Loose: m.net.Loose[i],
			Pressure:    (head - quantity.MetersHead(n.Elevation)).Pressure(m.reference),
			Temperature: m.temperatureOf(i),
		}
	}
	s.Links = make([]LinkResult, len(m.sys.Links))
	for k := range m.sys.Links {
		r, err := m.describeLink(k)
		if err != nil {
			return nil, err
		}
		s.Links[k] = r
	}
	if m.heat != nil {
		s.Rooms = make([]RoomResult, len(m.sys.Rooms))
		for i, room := range m.sys.Rooms {
			r := RoomResult{ID: room.ID, Temperature: quantity.Celsius(m.heat.room[i])}
			for _, k := range m.heat.radiators[i] {
				r.Heat += m.heat.heat[k]
			}
			if room.Design > 0 {
				r.Share = r.Heat / room.Design
			}
			s.Rooms[i] = r
		}
	}
	for k, l := range m.sys.Links {
		if c, ok := l.Part.(Circulator); ok {
			r, err := m.describeCirculator(k, c)
			if err != nil {
				return nil, err
			}
			s.Circulators = append(s.Circulators, r)
		}
	}
	s.Warnings = m.warnings(s)
	return s, nil
}

func (m *Model) temperatureOf(node int) quantity.Celsius {
	if m.heat == nil {
		return quantity.Celsius(math.NaN())
	}
	return quantity.Celsius(m.heat.node[node])
}

func (m *Model) waterIn(k int) (fluid.Properties, error) {
	return m.liquid.At(quantity.Celsius(m.filled[k]))
}

func (m *Model) describeLink(k int) (LinkResult, error) {
	l := m.sys.Links[k]
	w, err := m.waterIn(k)
	if err != nil {
		return LinkResult{}, err
	}
	q := m.net.Flow[k]
	if math.Abs(q) < 1e-15 {
		q = 0 // rounding
	}
	from, to := m.nodeOf[l.From], m.nodeOf[l.To]
	r := LinkResult{
		ID: l.ID, Kind: l.Part.kind(), From: l.From, To: l.To,
		Mass: q * m.reference, Flow: q * m.reference / w.Density,
		HeadLoss: quantity.MetersHead((m.net.Head[from] - m.net.Head[to] - m.buoyancy(k)) * m.reference / w.Density),
		Shut:     m.net.Shut[k] || m.net.Seated[k],
		In:       quantity.Celsius(math.NaN()), Out: quantity.Celsius(math.NaN()),
		Lift: 1,
	}
	switch p := l.Part.(type) {
	case Pipe:
		r.Velocity = math.Abs(p.Size.Velocity(r.Flow))
		r.Reynolds = p.Size.Reynolds(r.Flow, w)
	case Valve:
		r.Lift = p.Lift
	case Mixer:
		if r.Lift = p.Lift; !p.Hot {
			r.Lift = 1 - p.Lift
		}
	case RadiatorValve:
		for _, c := range m.controls {
			if c.link == k {
				if r.Lift = 1 / c.value; m.net.Shut[k] {
					r.Lift = 0
				}
			}
		}
	case Bypass:
		// What opens it is a pressure: head of water at the reference.
		r.Lift = min(max((m.net.Head[from]-m.net.Head[to]-m.buoyancy(k)-p.Set)/p.Band, 0), 1)
	}
	if m.heat == nil {
		return r, nil
	}
	t := m.heat
	r.Heat = t.heat[k]
	r.In = quantity.Celsius(t.meanOf(k))
	if t.up[k] >= 0 {
		r.In = quantity.Celsius(t.node[t.up[k]])
	}
	out, err := t.leaving(k)
	if err != nil {
		return LinkResult{}, err
	}
	r.Out = quantity.Celsius(out)
	if s, ok := l.Part.(Source); ok && s.Efficiency != nil && r.Heat < 0 {
		// A return outside the curve keeps the curve's end: it is flat there.
		low, high := s.Efficiency.Range()
		if r.Efficiency, err = s.Efficiency.At(min(max(r.In, low), high)); err != nil {
			return LinkResult{}, err
		}
		r.Fuel = -r.Heat / r.Efficiency
	}
	return r, nil
}

// buoyancy is the part of a link's difference that is weight, m.
func (m *Model) buoyancy(k int) float64 {
	if !m.sys.Buoyancy {
		return 0
	}
	return m.weight[k]
}

func (m *Model) describeCirculator(k int, c Circulator) (CirculatorResult, error) {
	l := m.sys.Links[k]
	w, err := m.waterIn(k)
	if err != nil {
		return CirculatorResult{}, err
	}
	law := m.circulatorAt(k)
	from, to := m.nodeOf[l.From], m.nodeOf[l.To]
	q := m.net.Flow[k] * law.expand
	head := (m.net.Head[to] - m.net.Head[from] + m.buoyancy(k)) * law.expand
	r := CirculatorResult{ID: l.ID, Flow: q, Head: quantity.MetersHead(head), Speed: law.speedAt(q, head)}
	if m.net.Shut[k] || m.net.Seated[k] {
		r.Head = 0
		r.Speed = law.speed
	}
	if r.Speed > 0 && c.Curve.Powered() {
		// Off its curve the power at the curve's end is the best guess.
		at := min(max(q/r.Speed, 0), c.Curve.End())
		power, err := c.Curve.Power(at)
		if err != nil {
			return CirculatorResult{}, err
		}
		r.Power = power * r.Speed * r.Speed * r.Speed
		if water := q * head * w.Density * quantity.StandardGravity; water > 0 && r.Power > 0 {
			r.Efficiency = water / r.Power
		}
	}
	r.Suction = (quantity.MetersHead(m.net.Head[from] - m.nodes[from].Elevation)).Pressure(m.reference)
	t := quantity.Celsius(m.filled[k])
	boiling, err := fluid.BoilingPressure(t)
	if err != nil {
		return CirculatorResult{}, err
	}
	r.Margin = expansion.Absolute(r.Suction) - boiling
	return r, nil
}
