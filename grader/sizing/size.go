package sizing

import (
	"fmt"
	"math"

	"loopwright/grader/emitter"
	"loopwright/grader/fluid"
	"loopwright/grader/network"
	"loopwright/grader/pipe"
	"loopwright/grader/quantity"
)

// Decided says which limit made a pipe as large as it is.
type Decided string

// What can decide.
const (
	ByVelocity Decided = "velocity"
	ByFriction Decided = "friction"
	BySmallest Decided = "smallest size"
	ByLoop     Decided = "largest in loop" // one size all along a loop
)

// Section is a sized run of pipe.
type Section struct {
	ID, From, To string
	Mass         float64 // kg/s
	Flow         float64 // m³/s of its own water
	Water        quantity.Celsius
	Length       float64 // m, without fittings
	Size         pipe.Size
	Velocity     float64 // m/s
	Rate         float64 // m/m
	Loss         quantity.MetersHead
	Decided      Decided
}

// sizeFor is the smallest size of a material that keeps the designer's limits.
func (j *Job) sizeFor(m *pipe.Material, flow float64, w fluid.Properties) (pipe.Size, Decided, error) {
	decided := BySmallest
	for _, s := range m.Sizes() {
		if s.DN < j.Limits.Least {
			continue
		}
		rate, _ := s.HeadLossRate(flow, w)
		// A hair over the limit is the limit.
		const hair = 1 + 1e-9
		switch {
		case rate > j.Limits.Friction*hair:
			decided = ByFriction
		case s.DN <= SmallPipe && s.Velocity(flow) > j.Limits.Velocity*hair:
			decided = ByVelocity
		default:
			return s, decided, nil
		}
	}
	return pipe.Size{}, "", fmt.Errorf("no size of %s carries %s within the limits", m.Name, quantity.FromSI(flow, j.Units.Shown().Flow).Text())
}

// sections sizes every pipe of the plan. A loop of emitters in a row, and the
// main of a diverter loop, has one size all along.
func (p *plan) sections() ([]Section, error) {
	m, err := pipe.MaterialNamed(p.job.Material)
	if err != nil {
		return nil, err
	}
	list := make([]Section, len(p.pipes))
	for i, run := range p.pipes {
		w, err := fluid.NearWater().At(run.water)
		if err != nil {
			return nil, fmt.Errorf("pipe %s: %w", run.id, err)
		}
		s := Section{ID: run.id, From: run.from, To: run.to, Mass: run.mass, Water: run.water, Length: run.length, Flow: run.mass / w.Density}
		if s.Size, s.Decided, err = p.job.sizeFor(m, s.Flow, w); err != nil {
			return nil, fmt.Errorf("pipe %s: %w", run.id, err)
		}
		list[i] = s
	}
	for _, group := range p.oneSize() {
		largest := list[group[0]].Size
		for _, i := range group {
			if list[i].Size.Bore > largest.Bore {
				largest = list[i].Size
			}
		}
		for _, i := range group {
			if list[i].Size.Bore < largest.Bore {
				list[i].Size, list[i].Decided = largest, ByLoop
			}
		}
	}
	for i := range list {
		s := &list[i]
		w, err := fluid.NearWater().At(s.Water)
		if err != nil {
			return nil, err
		}
		s.Velocity = s.Size.Velocity(s.Flow)
		s.Rate, _ = s.Size.HeadLossRate(s.Flow, w)
		if s.Loss, err = network.LossAt(p.part(*s), s.Mass, s.Water, p.job.reference()); err != nil {
			return nil, err
		}
	}
	return list, nil
}

// oneSize lists the groups of pipes that get one size.
func (p *plan) oneSize() [][]int {
	var groups [][]int
	for _, c := range p.ways {
		if len(c.stops) > 1 || p.job.Layout == Series || p.job.Layout == Split {
			groups = append(groups, c.inner)
		}
	}
	if p.job.Layout == Diverter {
		groups = append(groups, p.loops[0].pipes)
	}
	return groups
}

// part is a section as a link of a system: its length with its fittings.
func (p *plan) part(s Section) network.Part {
	return network.Pipe{Size: s.Size, Length: s.Length * (1 + p.job.Fittings)}
}

// reference is the water by which heads are counted: the mean of the design.
func (j *Job) reference() quantity.Celsius { return j.Supply - quantity.Celsius(j.Drop/2) }

// Emitter is a sized emitter.
type Emitter struct {
	Room              string
	Load              float64 // W
	Mass              float64 // kg/s
	Flow              float64 // m³/s of the water that enters
	Entering, Leaving quantity.Celsius
	Indoor            quantity.Celsius
	// Amount is how much of it: m of fin-tube, square feet of EDR, W at
	// 75/65/20 °C of panel.
	Amount float64
	Loss   quantity.MetersHead

	radiator network.Radiator
	volume   float64 // m³ of water in it
}

// finTubeAir is how far below the room the air enters a fin-tube element: its
// rating counts air at 65 °F in a room of 70 °F.
var finTubeAir = quantity.Kelvin(quantity.FahrenheitDifference.ToSI(5))

// Water in emitters (from memory): cast iron about 1.1 L for each square foot
// of EDR, steel panels about 4 L for each kW at 75/65/20 °C. Fin-tube holds
// what its ¾ in tube holds.
const (
	castIronWater = 1.1e-3
	panelWater    = 4e-6 // m³/W
)

// size finds how much of an emitter gives off the load with the water of its
// stop.
func (j *Job) size(at stop) (Emitter, error) {
	r := j.Rooms[at.room]
	e := Emitter{Room: r.ID, Load: r.Load, Mass: at.mass, Entering: at.entering, Leaving: at.leaving, Indoor: r.Indoor}
	w, err := fluid.NearWater().At((at.entering + at.leaving) / 2)
	if err != nil {
		return e, err
	}
	in, err := fluid.NearWater().At(at.entering)
	if err != nil {
		return e, err
	}
	e.Flow = at.mass / in.Density
	var one emitter.Emitter
	air := r.Indoor
	switch j.Emitter {
	case FinTube:
		one = emitter.DemoFinTube().Length(1)
		air -= quantity.Celsius(finTubeAir)
		e.radiator.Air = finTubeAir
	case CastIron:
		one, err = emitter.CastIron(1)
	case Panel:
		one, err = emitter.Panel(1, emitter.PanelExponent)
	default:
		return e, fmt.Errorf("no emitter %q; known are fin-tube, cast-iron and panel", j.Emitter)
	}
	if err != nil {
		return e, err
	}
	if e.Amount, err = times(one, r.Load, at.mass*w.SpecificHeat, at.entering, air); err != nil {
		return e, fmt.Errorf("room %s: %w", r.ID, err)
	}
	e.radiator.Emitter, e.radiator.Room = one.Times(e.Amount), r.ID
	switch j.Emitter {
	case FinTube:
		tube := pipe.MustFind("copper-m", "3/4")
		e.volume = tube.VolumePerLength() * e.Amount
		// Along the element its tube loses what a pipe loses, near this flow.
		h := tube.HeadLoss(e.Flow, e.Amount, w)
		e.radiator.Loss = network.RatedPoint(e.Flow, float64(h), 1.75)
	case CastIron:
		e.volume, e.radiator.Loss = castIronWater*e.Amount, j.EmitterLoss
	case Panel:
		e.volume, e.radiator.Loss = panelWater*e.Amount, j.EmitterLoss
	}
	e.Loss, err = network.LossAt(e.radiator, e.Mass, (e.Entering+e.Leaving)/2, j.reference())
	return e, err
}

// times is how many of an emitter give off a load, by bisection: more of it
// gives more.
func times(one emitter.Emitter, load, c float64, in, air quantity.Celsius) (float64, error) {
	give := func(n float64) (float64, error) {
		heat, _, err := one.Times(n).Heat(c, in, air)
		return heat, err
	}
	if most := c * float64(in-air); load >= most {
		return 0, fmt.Errorf("water at %.1f °C would have to cool to the air's %.1f °C to leave %.0f W", float64(in), float64(air), load)
	}
	low, high := 0.0, load/one.Output
	for {
		heat, err := give(high)
		if err != nil {
			return 0, err
		}
		if heat >= load {
			break
		}
		if high *= 2; math.IsInf(high, 0) {
			return 0, fmt.Errorf("no amount of this emitter gives %.0f W", load)
		}
	}
	for range 100 {
		mid := low + (high-low)/2
		if mid == low || mid == high {
			break
		}
		heat, err := give(mid)
		if err != nil {
			return 0, err
		}
		if heat < load {
			low = mid
		} else {
			high = mid
		}
	}
	return high, nil
}
