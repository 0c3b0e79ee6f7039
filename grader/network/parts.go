package network

import (
	"loopwright/grader/fluid"
	"loopwright/grader/steady"
)

// What each kind of part is called in files and results, and its law.

func (p Pipe) kind() string { return "pipe" }
func (p Loss) kind() string {
	if p.Name != "" {
		return p.Name
	}
	return "resistance"
}
func (p Valve) kind() string {
	if p.Balancing {
		return "balancing"
	}
	return "valve"
}
func (p Check) kind() string         { return "check" }
func (p Limiter) kind() string       { return "limiter" }
func (p Bypass) kind() string        { return "bypass" }
func (p RadiatorValve) kind() string { return "radiator-valve" }
func (p Circulator) kind() string    { return "circulator" }
func (p Source) kind() string        { return "boiler" }
func (p Radiator) kind() string      { return "radiator" }
func (p Mixer) kind() string         { return "mixing" }

func (p Pipe) law() law { return &pipeLaw{size: p.Size, length: p.Length, k: p.K} }
func (p Loss) law() law { return &resistanceLaw{Resistance: p.PowerLaw} }

func (p Valve) law() law { return &valveLaw{coefficient: p.Coefficient()} }
func (p Check) law() law { return &seatLaw{valveLaw: valveLaw{coefficient: p.Open}, opens: p.Opens} }
func (p Limiter) law() law {
	return &limiterLaw{flow: p.Flow, from: p.From, to: p.To}
}
func (p Bypass) law() law {
	return &bypassLaw{valveLaw: valveLaw{coefficient: p.Open}, set: p.Set, band: p.Band}
}
func (p RadiatorValve) law() law { return &valveLaw{coefficient: p.Open} }
func (p Circulator) law() law {
	l := newCirculatorLaw(p)
	l.set = p.Set
	if p.Check {
		return &checkedCirculator{*l}
	}
	return l
}
func (p Source) law() law   { return lossOrFree(p.Loss) }
func (p Radiator) law() law { return lossOrFree(p.Loss) }
func (p Mixer) law() law {
	lift := p.Lift
	if !p.Hot {
		lift = 1 - lift
	}
	return &valveLaw{coefficient: Valve{Open: p.Open, Lift: lift}.Coefficient()}
}

func lossOrFree(p PowerLaw) law {
	if p.Coefficient == 0 {
		p = Free.PowerLaw
	}
	return &resistanceLaw{Resistance: p}
}

// shut says whether a part lets nothing pass.
func shut(l Link) bool {
	if l.Shut || l.Plugged >= 1 {
		return true
	}
	switch p := l.Part.(type) {
	case Valve:
		return p.Lift <= 0
	case Mixer:
		return p.Hot && p.Lift <= 0 || !p.Hot && p.Lift >= 1
	}
	return false
}

// dressed is a link's law with what is wrong with the link, and the weight of
// its own water, on top. It keeps the seat of a law that has one.
func (m *Model) dressed(k int) steady.Law {
	l := m.sys.Links[k]
	var outer law = m.laws[k]
	if l.Plugged > 0 {
		outer = &pluggedLaw{outer, 1 - l.Plugged}
	}
	if l.Lock > 0 {
		outer = &airLaw{outer, l.Lock}
	}
	if m.sys.Buoyancy {
		outer = &heavyLaw{outer, &m.weight[k]}
	}
	if seat, ok := m.laws[k].(steady.Seat); ok && outer != m.laws[k] {
		return &dressedSeat{outer, seat, l.Lock, &m.weight[k]}
	}
	return outer
}

// heavyLaw is the weight of the water in a link that rises, over that of water
// at the reference:
//
//	h = friction + (ρ/ρ₀ − 1)(z_to − z_from)
type heavyLaw struct {
	law
	weight *float64 // m
}

func (l *heavyLaw) HeadAndSlope(q float64) (head, slope float64) {
	h, s := l.law.HeadAndSlope(q)
	return h + *l.weight, s
}

func (l *heavyLaw) fill(w fluid.Properties, reference float64) { l.law.fill(w, reference) }

type dressedSeat struct {
	law
	seat   steady.Seat
	lock   float64
	weight *float64
}

func (l *dressedSeat) OpensAt() float64 { return l.seat.OpensAt() + l.lock + *l.weight }
