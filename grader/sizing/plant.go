package sizing

import (
	"fmt"

	"loopwright/grader/circulator"
	"loopwright/grader/expansion"
	"loopwright/grader/fluid"
	"loopwright/grader/quantity"
	"loopwright/grader/valve"
)

// Drive is a circulator with what was asked of it.
type Drive struct {
	ID     string
	Mass   float64             // kg/s
	Flow   float64             // m³/s of its own water
	Head   quantity.MetersHead // that it must give, of its own water
	Choice circulator.Choice
	Gives  quantity.MetersHead // at that flow, at full speed
	// Speed is the share of full speed at which it runs; Trim is the
	// coefficient of the valve that takes the surplus that is left.
	Speed   float64
	Surplus quantity.MetersHead // of its own water, at that speed
	Trim    valve.Coefficient
	// ByRule is the model that the rule of the smaller curve would take; empty
	// where the rule says nothing.
	ByRule string
}

// drive picks a circulator for a head of water at the reference.
func (p *plan) drive(l loop, need quantity.MetersHead) (Drive, error) {
	j := p.job
	w, err := fluid.NearWater().At(l.water)
	if err != nil {
		return Drive{}, err
	}
	ref, err := fluid.NearWater().At(j.reference())
	if err != nil {
		return Drive{}, err
	}
	d := Drive{ID: l.id, Mass: l.mass, Flow: l.mass / w.Density, Head: need * quantity.MetersHead(ref.Density/w.Density), Speed: 1}
	if d.Choice, err = circulator.Pick(j.Circulators, d.Flow, d.Head, 0); err != nil {
		u := j.Units.Shown()
		return d, fmt.Errorf("%s: none of %d circulators gives %s at %s", l.id, len(j.Circulators), quantity.FromSI(float64(d.Head), u.Head).Text(), quantity.FromSI(d.Flow, u.Flow).Text())
	}
	curve := d.Choice.Model.Curve
	if d.Gives, err = curve.Head(d.Flow); err != nil {
		return d, err
	}
	gives := d.Gives
	if j.Trim == BySpeed {
		if d.Speed, gives, err = speedFor(curve, d.Flow, d.Head); err != nil {
			return d, err
		}
	}
	const nothing = 1e-6 // m
	if d.Surplus = gives - d.Head; d.Surplus > nothing {
		if d.Trim, err = valve.For(d.Flow, d.Surplus.Pressure(w.Density), w.Density); err != nil {
			return d, err
		}
	}
	d.ByRule = ruleOfSmaller(j.Circulators, d.Flow, d.Head)
	return d, nil
}

// leastSpeed is as slow as a circulator is trusted to run. Common practice.
const leastSpeed = 0.3

// speedFor is the speed at which a curve gives a head at a flow, r² H(q/r) = h,
// by bisection; or the least speed that it can run at there, with the head that
// it gives then.
func speedFor(c circulator.Curve, flow float64, head quantity.MetersHead) (speed float64, gives quantity.MetersHead, err error) {
	at := func(r float64) (quantity.MetersHead, error) {
		h, err := c.Head(min(flow/r, c.End()))
		return quantity.MetersHead(r*r) * h, err
	}
	low, high := max(leastSpeed, flow/c.End()), 1.0
	if gives, err = at(low); err != nil || gives >= head {
		return low, gives, err
	}
	for range 100 {
		mid := (low + high) / 2
		if gives, err = at(mid); err != nil {
			return 0, 0, err
		}
		if gives < head {
			low = mid
		} else {
			high = mid
		}
	}
	gives, err = at(high)
	return high, gives, err
}

// Bypass is a differential-pressure valve across the mains, where thermostatic
// valves may shut.
type Bypass struct {
	Between quantity.Pascal // design difference where it sits
	Set     quantity.Pascal // where it begins to open
	Band    quantity.Pascal // over which it opens
	Flow    float64         // m³/s that it passes at set + band
	Open    valve.Coefficient
}

// How a bypass is set: a tenth above the design difference, so that it stays
// shut at full load; fully open a fifth above its set point; for a fifth of
// the design flow, which keeps a circulator and a boiler alive. Common
// practice for the first; the others demo.
const (
	bypassOver  = 0.10
	bypassBand  = 0.20
	bypassShare = 0.20
)

func (p *plan) bypass(d Drive, between quantity.Pascal) (*Bypass, error) {
	b := &Bypass{Between: between, Set: between * (1 + bypassOver), Flow: bypassShare * d.Flow}
	b.Band = b.Set * bypassBand
	w, err := fluid.NearWater().At(p.loops[len(p.loops)-1].water)
	if err != nil {
		return nil, err
	}
	b.Open, err = valve.For(b.Flow, b.Set+b.Band, w.Density)
	return b, err
}

// Expansion is the tank and the fill.
type Expansion struct {
	Water     float64         // m³ in the system
	Growth    float64         // share of it, net of the pipe's
	Fill      quantity.Pascal // gauge, cold, at the tank
	Precharge quantity.Pascal // gauge: as the fill
	Highest   quantity.Pascal // gauge, at the tank, hot
	Relief    quantity.Pascal
	Volume    float64         // m³, least volume of a diaphragm tank
	ByRule    quantity.Pascal // fill by the rule of thumb
}

// Below the relief valve's setting a tenth is kept, so that it does not weep.
// Common practice.
const reliefReserve = 0.10

func (p *plan) expansion(sections []Section, emitters map[int]Emitter) (Expansion, error) {
	j := p.job
	e := Expansion{Water: j.BoilerVolume, Relief: j.Relief, Highest: j.Relief * (1 - reliefReserve)}
	for _, s := range sections {
		e.Water += s.Size.VolumePerLength() * s.Length
	}
	for _, r := range emitters {
		e.Water += r.volume
	}
	alpha := expansion.Copper
	if m := p.job.Material; len(m) >= 5 && m[:5] == "steel" {
		alpha = expansion.Steel
	} else if len(m) >= 3 && m[:3] == "pex" {
		alpha = 0 // plastic grows far more than metal: left out, on the safe side
	}
	var err error
	// The whole system at its hottest: on the safe side by half the drop.
	if e.Growth, err = expansion.NetGrowth(j.Cold, p.loops[0].water, alpha); err != nil {
		return e, err
	}
	if e.Fill, err = expansion.FillPressure(j.Height, j.TopMargin, j.Cold); err != nil {
		return e, err
	}
	e.Precharge = e.Fill
	if e.Highest <= e.Fill {
		u := j.Units.Shown().Pressure
		return e, fmt.Errorf("a fill of %s leaves no room below the relief valve at %s: a higher relief setting, or the tank higher up", quantity.FromSI(float64(e.Fill), u).Text(), quantity.FromSI(float64(e.Relief), u).Text())
	}
	e.Volume, err = expansion.DiaphragmTank(e.Water, e.Growth, expansion.Absolute(e.Fill), expansion.Absolute(e.Highest))
	e.ByRule = fillByRule(j)
	return e, err
}
