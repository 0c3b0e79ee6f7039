package sizing

import (
	"fmt"

	"loopwright/grader/fluid"
	"loopwright/grader/network"
	"loopwright/grader/quantity"
	"loopwright/grader/valve"
)

// Circuit is one way from a circulator and back, with the head it needs.
type Circuit struct {
	ID    string
	Loop  string // circulator that serves it
	Rooms []string
	Mass  float64             // kg/s
	Flow  float64             // m³/s of the water that enters
	Need  quantity.MetersHead // of its pipes and emitters, without its balancing valve, of water at the reference
	// Excess is what the index circuit needs more: the balancing valve takes
	// it, and what every balancing valve takes at the least.
	Excess quantity.MetersHead
	Index  bool
	// Valve is the balancing valve's coefficient; 0 where there is none. Drop
	// is what it takes at design.
	Valve valve.Coefficient
	Drop  quantity.MetersHead
	// Tee is the head that a diverter tee must turn aside to drive its branch.
	Tee quantity.MetersHead

	control valve.Coefficient // of a thermostatic valve, open
}

// balance adds up the head of each circuit, finds the index circuit of each
// circulator, and sets the valves of the others. It gives the head that each
// circulator must give.
func (p *plan) balance(sections []Section, emitters map[int]Emitter) ([]Circuit, []quantity.MetersHead, error) {
	j := p.job
	circuits := make([]Circuit, len(p.ways))
	needs := make([]quantity.MetersHead, len(p.loops))
	for i := range p.loops {
		for _, k := range p.loops[i].pipes {
			needs[i] += sections[k].Loss
		}
	}
	for i, c := range p.ways {
		in, err := fluid.NearWater().At(c.stops[0].entering)
		if err != nil {
			return nil, nil, err
		}
		r := Circuit{ID: c.id, Loop: p.loops[c.loop].id, Mass: c.mass, Flow: c.mass / in.Density}
		for _, k := range append(append([]int(nil), c.inner...), c.path...) {
			r.Need += sections[k].Loss
		}
		for _, s := range c.stops {
			r.Rooms = append(r.Rooms, j.Rooms[s.room].ID)
			r.Need += emitters[s.room].Loss
		}
		if p.hasControl() {
			drop := quantity.MetersHead(j.ControlDrop)
			if r.control, err = valveFor(c.mass, c.stops[0].entering, drop, j.reference()); err != nil {
				return nil, nil, err
			}
			r.Need += drop
		}
		if c.share > 0 {
			// The tees hold as much back in the main as the branch needs.
			r.Tee = r.Need
			needs[c.loop] += r.Need
		}
		circuits[i] = r
	}
	for i := range p.loops {
		index := -1
		for k, c := range p.ways {
			if c.loop == i && c.share == 0 && (index < 0 || circuits[k].Need > circuits[index].Need) {
				index = k
			}
		}
		p.loops[i].index = index
		if index < 0 {
			continue
		}
		circuits[index].Index = true
		least := quantity.MetersHead(0)
		if p.ways[index].valve {
			least = quantity.MetersHead(j.ValveDrop)
		}
		needs[i] += circuits[index].Need + least
		for k, c := range p.ways {
			if c.loop != i || !c.valve {
				continue
			}
			r := &circuits[k]
			r.Excess = circuits[index].Need - r.Need
			r.Drop = r.Excess + least
			var err error
			if r.Valve, err = valveFor(c.mass, c.stops[len(c.stops)-1].leaving, r.Drop, j.reference()); err != nil {
				return nil, nil, fmt.Errorf("circuit %s: %w", r.ID, err)
			}
		}
	}
	boiler, err := network.LossAt(network.Source{Loss: j.BoilerLoss}, p.loops[0].mass, p.boilerMean(), j.reference())
	if err != nil {
		return nil, nil, err
	}
	needs[0] += boiler
	if len(p.loops) > 1 {
		// Between the tees runs what one loop carries more than the other.
		more, at := p.loops[0].mass-p.loops[1].mass, p.loops[0].water
		if more < 0 {
			at = j.Supply - quantity.Celsius(j.Drop)
		}
		tees, err := network.LossAt(network.Free, more, at, j.reference())
		if err != nil {
			return nil, nil, err
		}
		needs[0] += tees
		needs[1] -= tees
	}
	return circuits, needs, nil
}

// hasControl says whether each emitter has a thermostatic valve of its own:
// emitters in a row cannot.
func (p *plan) hasControl() bool {
	return p.job.Controls && p.job.Layout != Series && p.job.Layout != Split
}

// boilerMean is the temperature of the water in the boiler's own passages.
func (p *plan) boilerMean() quantity.Celsius {
	drop := p.job.Drop
	if p.job.Layout == PrimarySecondary && p.job.BoilerDrop > 0 {
		drop = p.job.BoilerDrop
	}
	return p.loops[0].water - quantity.Celsius(drop/2)
}

// valveFor is the coefficient that takes a head, of water at the reference,
// from a mass flow of water at a temperature.
//
//	Δp = h ρ₀ g,  C = (m/ρ) √(ρ/(ρ′ Δp))
func valveFor(mass float64, water quantity.Celsius, head quantity.MetersHead, reference quantity.Celsius) (valve.Coefficient, error) {
	w, err := fluid.NearWater().At(water)
	if err != nil {
		return 0, err
	}
	r, err := fluid.NearWater().At(reference)
	if err != nil {
		return 0, err
	}
	return valve.For(mass/w.Density, head.Pressure(r.Density), w.Density)
}
