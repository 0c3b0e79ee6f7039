package sizing

import (
	"math"
	"slices"

	"loopwright/grader/fluid"
	"loopwright/grader/network"
	"loopwright/grader/quantity"
)

// Result is a sized job.
type Result struct {
	Job       *Job
	Sections  []Section
	Emitters  []Emitter
	Circuits  []Circuit
	Drives    []Drive
	Bypass    *Bypass // nil where nothing can shut
	Expansion Expansion
	Compared  []Comparison
	Cautions  []string
	System    *network.System
	Check     Check
}

// Check is the sized system, solved.
type Check struct {
	Solution *network.Solution
	// Worst is the largest error of a circuit's flow against design, a share;
	// At is its circuit.
	Worst float64
	At    string
	// Coldest and Warmest are the rooms' largest departures from design, K.
	Coldest, Warmest quantity.Kelvin
}

// Size sizes a job. Errors say which pipe, room or circulator cannot be sized,
// and why.
func Size(j *Job) (*Result, error) {
	if err := j.check(); err != nil {
		return nil, err
	}
	p, err := newPlan(j)
	if err != nil {
		return nil, err
	}
	r := &Result{Job: j}
	if r.Sections, err = p.sections(); err != nil {
		return nil, err
	}
	emitters := map[int]Emitter{}
	for _, c := range p.ways {
		for _, s := range c.stops {
			if emitters[s.room], err = j.size(s); err != nil {
				return nil, err
			}
		}
	}
	for i := range j.Rooms {
		r.Emitters = append(r.Emitters, emitters[i])
	}
	var needs []quantity.MetersHead
	if r.Circuits, needs, err = p.balance(r.Sections, emitters); err != nil {
		return nil, err
	}
	for i, l := range p.loops {
		d, err := p.drive(l, needs[i])
		if err != nil {
			return nil, err
		}
		r.Drives = append(r.Drives, d)
	}
	if p.hasControl() && j.Layout != Diverter {
		if r.Bypass, err = p.bypass(r.Drives[len(r.Drives)-1], p.betweenMains(needs)); err != nil {
			return nil, err
		}
	}
	if r.Expansion, err = p.expansion(r.Sections, emitters); err != nil {
		return nil, err
	}
	if r.System, err = p.build(r, emitters); err != nil {
		return nil, err
	}
	if err := r.solve(p); err != nil {
		return nil, err
	}
	r.compare(p)
	r.caution(p)
	return r, nil
}

// betweenMains is the design difference at the beginning of the mains that
// serve the rooms.
func (p *plan) betweenMains(needs []quantity.MetersHead) quantity.Pascal {
	last := len(p.loops) - 1
	need := needs[last]
	if last == 0 {
		if h, err := network.LossAt(network.Source{Loss: p.job.BoilerLoss}, p.loops[0].mass, p.boilerMean(), p.job.reference()); err == nil {
			need -= h
		}
	}
	w, err := fluid.NearWater().At(p.job.reference())
	if err != nil {
		return 0
	}
	return need.Pressure(w.Density)
}

// build makes the sized system as one that can be solved.
func (p *plan) build(r *Result, emitters map[int]Emitter) (*network.System, error) {
	j := p.job
	s := &network.System{Title: j.Title, Water: j.reference(), Air: 20, Outdoor: j.Outdoor, Temperatures: true}
	add := func(id, from, to string, part network.Part) {
		s.Links = append(s.Links, network.Link{ID: id, From: from, To: to, Part: part})
	}
	fill := r.Expansion.Fill
	s.Nodes = []network.Node{{ID: "suction", Hold: &fill}}
	hot := p.loops[0].water
	add("boiler", "return", "suction", network.Source{Loss: j.BoilerLoss, Supply: &hot, Limit: hot + 10})
	for i, l := range p.loops {
		d := r.Drives[i]
		to := l.to
		if d.Trim > 0 {
			to = l.id + "-trim"
			add(to, to, l.to, network.Valve{Open: d.Trim, Lift: 1, Balancing: true})
		}
		add(l.id, l.from, to, network.Circulator{Curve: d.Choice.Model.Curve, Speed: d.Speed, Check: len(p.loops) > 1})
	}
	if len(p.loops) > 1 {
		add("close-tees", "tee-a", "tee-b", network.Loss{PowerLaw: network.Free.PowerLaw, Name: "close-tees"})
	}
	for i, section := range r.Sections {
		add(p.pipes[i].id, p.pipes[i].from, p.pipes[i].to, p.part(section))
	}
	for i, c := range p.ways {
		circuit := r.Circuits[i]
		for k, stop := range c.stops {
			room := j.Rooms[stop.room]
			at, to := stop.from, stop.to
			if circuit.control > 0 {
				add(room.ID+"-valve", at, room.ID+"-emitter", network.RadiatorValve{Open: circuit.control, Room: room.ID, Set: room.Indoor + controlBand/2, Band: controlBand})
				at = room.ID + "-emitter"
			}
			if circuit.Valve > 0 && k == len(c.stops)-1 {
				add(c.id+"-balancing", room.ID+"-balanced", to, network.Valve{Open: circuit.Valve, Lift: 1, Balancing: true})
				to = room.ID + "-balanced"
			}
			add(room.ID+"-radiator", at, to, emitters[stop.room].radiator)
		}
		if c.share > 0 {
			tee, err := p.tee(c, circuit.Tee)
			if err != nil {
				return nil, err
			}
			add(c.id+"-diverter", c.teeFrom, c.teeTo, tee)
		}
	}
	if b := r.Bypass; b != nil {
		w, err := fluid.NearWater().At(j.reference())
		if err != nil {
			return nil, err
		}
		from, to := p.loops[0].to, "return"
		if len(p.loops) > 1 {
			from, to = p.loops[1].to, "tee-b"
		}
		add("bypass", from, to, network.Bypass{Open: b.Open, Set: float64(b.Set.Head(w.Density)), Band: float64(b.Band.Head(w.Density))})
	}
	for _, room := range j.Rooms {
		s.Rooms = append(s.Rooms, network.Room{ID: room.ID, Indoor: room.Indoor, Design: room.Load, Loss: room.Load / float64(room.Indoor-j.Outdoor)})
	}
	return s, nil
}

// controlBand of thermostatic valves: fully open at the design temperature of
// the room, shut 2 K above it. Common practice.
const controlBand = 2

// tee is the main between a pair of diverter tees: it loses what the branch
// needs.
func (p *plan) tee(c way, head quantity.MetersHead) (network.Part, error) {
	t := c.stops[0].entering
	w, err := fluid.NearWater().At(t)
	if err != nil {
		return nil, err
	}
	ref, err := fluid.NearWater().At(p.job.reference())
	if err != nil {
		return nil, err
	}
	own := float64(head) * ref.Density / w.Density
	return network.Loss{PowerLaw: network.RatedPoint(c.teeMass/w.Density, own, 2), Name: "diverter-tee"}, nil
}

// solve solves the sized system and compares its flows with the design. A
// balance is checked with every thermostatic valve open: each would answer a
// room that is a trace too warm.
func (r *Result) solve(p *plan) error {
	open := *r.System
	open.Links = slices.Clone(open.Links)
	for i, l := range open.Links {
		if v, ok := l.Part.(network.RadiatorValve); ok {
			open.Links[i].Part = network.Valve{Open: v.Open, Lift: 1}
		}
	}
	m, err := network.Prepare(&open)
	if err != nil {
		return err
	}
	s, err := m.Solve()
	if err != nil {
		return err
	}
	r.Check.Solution = s
	for _, c := range p.ways {
		for _, stop := range c.stops {
			room := p.job.Rooms[stop.room]
			l, _ := s.Link(room.ID + "-radiator")
			if miss := math.Abs(l.Mass/stop.mass - 1); miss > r.Check.Worst {
				r.Check.Worst, r.Check.At = miss, room.ID
			}
			found, _ := s.Room(room.ID)
			off := found.Temperature.Minus(room.Indoor)
			r.Check.Coldest, r.Check.Warmest = min(r.Check.Coldest, off), max(r.Check.Warmest, off)
		}
	}
	return nil
}
