package network

import (
	"fmt"
	"math"

	"loopwright/grader/emitter"
	"loopwright/grader/quantity"
)

// linearize asks every link in which water moves what it does to its enthalpy
// near the last estimate, and every room how it answers.
func (t *thermal) linearize() (err error) {
	for i := range t.room {
		room := &t.m.sys.Rooms[i]
		t.balance[i], t.stiff[i] = 0, 0
		if room.Loss > 0 {
			t.balance[i] = room.Gain - room.Loss*(t.room[i]-float64(t.m.sys.Outdoor))
			t.stiff[i] = room.Loss
		}
	}
	for i, n := range t.node {
		if _, t.specific[i], err = t.m.liquid.Heat(quantity.Celsius(n)); err != nil {
			return fmt.Errorf("node %s: %w", t.m.nodes[i].ID, err)
		}
	}
	for k := range t.up {
		if t.up[k] < 0 {
			t.heat[k], t.bySource[k] = 0, 0
			continue
		}
		heat, slope, err := t.give(k, t.node[t.up[k]])
		if err != nil {
			return fmt.Errorf("%s %s: %w", t.m.sys.Links[k].Part.kind(), t.m.sys.Links[k].ID, err)
		}
		t.heat[k], t.bySource[k] = heat, slope
		if r := t.roomLink[k]; r >= 0 {
			t.balance[r] += heat
			if t.stiff[r] > 0 {
				t.stiff[r] += slope
			}
		}
	}
	for k := range t.up {
		if t.up[k] < 0 {
			continue
		}
		i := t.up[k]
		in, mass := t.energy[i], t.mass[k]
		heat, slope := t.heat[k], t.bySource[k]
		if r := t.roomLink[k]; r >= 0 && t.stiff[r] > 0 {
			// The room warms with its water, and takes less for it; what its
			// other radiators do follows in the next step.
			heat -= slope * t.balance[r] / t.stiff[r]
			slope -= slope * slope / t.stiff[r]
		}
		g := 1 - slope/(mass*t.specific[i])
		t.gain[k] = g
		t.constant[k] = in - heat/mass - g*in
		if t.mode[k] == holding {
			if t.constant[k], err = t.m.liquid.Enthalpy(t.sourceLimit(k)); err != nil {
				return err
			}
			t.gain[k] = 0
		}
	}
	return nil
}

// give is the heat (W) that water entering link k at a temperature gives off,
// and how it grows with that temperature (W/K).
func (t *thermal) give(k int, in float64) (heat, slope float64, err error) {
	t.asked[k] = in
	l := &t.m.sys.Links[k]
	switch p := l.Part.(type) {
	case Pipe:
		if p.Surface == 0 {
			return 0, 0, nil
		}
		c := t.mass[k] * t.specific[t.up[k]]
		// θ_out = θ_in e^(−UL/c)
		share := -math.Expm1(-p.Surface * p.Length / c)
		return c * share * (in - float64(t.m.sys.Air)), c * share, nil
	case Radiator:
		return t.radiator(k, p, in)
	case Source:
		return t.source(k, p, in)
	}
	return 0, 0, nil
}

func (t *thermal) radiator(k int, p Radiator, in float64) (heat, slope float64, err error) {
	air := t.room[t.roomLink[k]] - float64(p.Air)
	if in > emitter.HighestWater {
		in, t.outside = emitter.HighestWater, true
	}
	if air < -50 {
		air, t.outside = -50, true
	}
	mean := in
	if t.heat[k] > 0 {
		mean = in - t.heat[k]/(2*t.mass[k]*t.specific[t.up[k]])
	}
	_, specific, err := t.m.liquid.Heat(quantity.Celsius(max(mean, 0)))
	if err != nil {
		return 0, 0, err
	}
	c := t.mass[k] * specific
	heat, out, err := p.Emitter.Heat(c, quantity.Celsius(in), quantity.Celsius(air))
	if err != nil || heat == 0 {
		return 0, 0, err
	}
	// dθ/θⁿ is the same at both ends: dθ_out/dθ_in = (θ_out/θ_in)ⁿ.
	through := math.Pow((float64(out)-air)/(in-air), p.Emitter.Exponent)
	return heat, c * (1 - through), nil
}

// sourceMode is how a source works. It is kept from one step to the next and
// changed by what the step found: judged afresh at each estimate, a source would
// leap between full output and none.
type sourceMode uint8

const (
	holding sourceMode = iota // its temperature, or its limit
	full                      // all the output it has
	off                       // the water comes warmer than it heats
)

// startMode is how a link's source works before anything is known.
func startMode(l Link) sourceMode {
	s, ok := l.Part.(Source)
	switch {
	case !ok:
		return off
	case s.Supply != nil:
		return holding
	}
	return full
}

// sourceLimit is the temperature that a source holds.
func (t *thermal) sourceLimit(k int) quantity.Celsius {
	s := t.m.sys.Links[k].Part.(Source)
	if s.Supply != nil {
		return *s.Supply
	}
	return s.Limit
}

// most is the output that a source can give, W.
func (s Source) most() float64 {
	switch {
	case s.Supply == nil:
		return s.Output
	case s.Most > 0:
		return s.Most
	}
	return math.Inf(1)
}

// wants is the heat that would bring the water of a source to its limit, W.
func (t *thermal) wants(k int, in float64) (float64, error) {
	h, err := t.m.liquid.Enthalpy(t.sourceLimit(k))
	if err != nil {
		return 0, err
	}
	now, err := t.m.liquid.Enthalpy(quantity.Celsius(in))
	return t.mass[k] * (h - now), err
}

func (t *thermal) source(k int, s Source, in float64) (heat, slope float64, err error) {
	switch t.mode[k] {
	case full:
		return -s.most(), 0, nil
	case off:
		return 0, 0, nil
	}
	wanted, err := t.wants(k, in)
	return -wanted, t.mass[k] * t.specific[t.up[k]], err
}

// changeModes moves sources to the mode that the new temperatures ask for, and
// says whether any moved.
func (t *thermal) changeModes() (moved bool, err error) {
	for k := range t.m.sys.Links {
		s, ok := t.m.sys.Links[k].Part.(Source)
		if !ok || t.up[k] < 0 {
			continue
		}
		wanted, err := t.wants(k, t.node[t.up[k]])
		if err != nil {
			return false, err
		}
		// A trace either way is rounding.
		trace := 1e-9 * t.mass[k] * t.specific[t.up[k]]
		next := t.mode[k]
		switch {
		case next == holding && wanted > s.most()+trace:
			next = full
		case next == holding && wanted < -trace:
			next = off
		case next == full && wanted < s.most()-trace, next == off && wanted > trace:
			next = holding
		}
		if next != t.mode[k] {
			t.mode[k], moved = next, true
		}
	}
	return moved, nil
}

// meanOf is the temperature of the water in a link, °C, for its friction. An
// estimate on the way may lie outside the liquid's range: its end stands in.
func (t *thermal) meanOf(k int) float64 {
	low, high := t.m.liquid.Range()
	return min(max(t.mean(k), float64(low)), float64(high))
}

func (t *thermal) mean(k int) float64 {
	if t.up[k] < 0 {
		l := &t.m.sys.Links[k]
		return (t.node[t.m.nodeOf[l.From]] + t.node[t.m.nodeOf[l.To]]) / 2
	}
	i := t.up[k]
	return t.node[i] - t.heat[k]/(2*t.mass[k]*t.specific[i])
}

// leaving is the temperature at which the water leaves a link, °C.
func (t *thermal) leaving(k int) (float64, error) {
	if t.up[k] < 0 {
		return t.meanOf(k), nil
	}
	i := t.up[k]
	c, err := t.m.liquid.Temperature(t.energy[i] - t.heat[k]/t.mass[k])
	return float64(c), err
}
