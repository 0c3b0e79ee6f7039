package network

import (
	"math"

	"loopwright/grader/valve"
)

// control is one thing that sets itself by what it finds: a thermostatic
// valve's lift, a circulator's speed. Its setting is found by a secant search on
// its error, which falls as the setting rises, between passes of the whole
// system; the bracket of settings known to be too low and too high keeps the
// search from chattering.
type control struct {
	link       int
	value      float64 // the setting
	low, high  float64 // its ends
	tight      float64 // an error so small is none
	error      func(m *Model) float64
	apply      func(m *Model, value float64)
	slope      func(m *Model) float64 // estimate of d error / d value, below zero
	lastValue  float64
	lastError  float64
	known      bool    // last* hold
	off        float64 // the secant slope over the estimate; 0 before there is one
	geometric  bool    // halve the bracket by ratio
	stride     float64 // most change in a pass; 0 is any
	under, top float64
	hasUnder   bool
	hasTop     bool
}

const (
	// leastLift is below which a thermostatic valve counts as shut.
	leastLift = 1e-3
	// controlTight: errors are relative to the range of what is controlled.
	controlTight = 1e-7
)

// newControls lists the controls of a model; settings found before stay.
func newControls(m *Model, before []*control) []*control {
	var list []*control
	mixers := map[string]*control{}
	for k := range m.sys.Links {
		var c *control
		switch p := m.sys.Links[k].Part.(type) {
		case RadiatorValve:
			if m.heat != nil {
				c = radiatorControl(m, k, p)
			}
		case Circulator:
			switch {
			case p.Mode == ProportionalDifference:
				c = proportionalControl(k, p)
			case p.Mode == ConstantDrop && m.heat != nil:
				c = dropControl(m, k, p)
			}
		case Mixer:
			if p.Mixed != nil && m.heat != nil {
				if known := mixers[p.Valve]; known != nil {
					c = nil
				} else {
					c = mixerControl(m, k, p)
					mixers[p.Valve] = c
				}
			}
		}
		if c == nil {
			continue
		}
		c.link = k
		for _, b := range before {
			if b.link == k {
				c.value, c.off = min(max(b.value, c.low), c.high), b.off
			}
		}
		c.apply(m, c.value)
		list = append(list, c)
	}
	return list
}

// radiatorControl moves a thermostatic valve until its lift is the one that its
// room's temperature asks for:
//
//	lift = 1/2 + (set − T_room)/band, from 0 to 1
//
// A radiator's heat against its flow bends so strongly that a search on the lift
// would leap from one end to the other. 1/Φ is nearly straight in 1/Q (the
// usual characteristic of heat emitters), and 1/Q in 1/lift; so the setting is
// u = 1/lift, and the error 1 − Φ*/Φ, where Φ* keeps the room at the
// temperature that belongs to u.
func radiatorControl(m *Model, k int, p RadiatorValve) *control {
	i := m.roomOf[p.Room]
	room := &m.sys.Rooms[i]
	setLift := func(m *Model, u float64) {
		m.net.Shut[k] = u >= 1/leastLift || shut(m.sys.Links[k])
		l := m.laws[k].(*valveLaw)
		// k ∝ 1/C²: the water in the law stays as it is.
		c := p.Open * valve.Coefficient(1/u)
		l.k *= float64(l.coefficient*l.coefficient) / float64(c*c)
		l.coefficient = c
	}
	if room.Loss == 0 {
		// The room keeps its temperature, so the lift is known.
		lift := min(max(0.5+float64(p.Set-room.Indoor)/float64(p.Band), leastLift), 1)
		return &control{value: 1 / lift, low: 1, high: 1 / leastLift, apply: setLift,
			error: func(*Model) float64 { return 0 }}
	}
	heat := func() (given, wanted float64, u float64) {
		for _, r := range m.heat.radiators[i] {
			given += m.heat.heat[r]
		}
		u = m.laws[k].(*valveLaw).lifted(p.Open)
		at := float64(p.Set) + float64(p.Band)*(0.5-1/u)
		return given, room.Loss*(at-float64(m.sys.Outdoor)) - room.Gain, u
	}
	return &control{
		value: 1, low: 1, high: 1 / leastLift, geometric: true, tight: controlTight,
		apply: setLift,
		error: func(m *Model) float64 {
			given, wanted, _ := heat()
			switch {
			case wanted <= 0:
				return 1
			case given <= 1e-6*wanted:
				return -1e3
			}
			return 1 - wanted/given
		},
		slope: func(m *Model) float64 {
			given, wanted, u := heat()
			switch {
			case wanted <= 0: // no heat is wanted: shut
				return -leastLift
			case given <= 0:
				return -1
			}
			t, follow := m.heat, 0.0
			for _, r := range t.radiators[i] {
				if t.up[r] < 0 {
					continue
				}
				// For heat in proportion to the excess, s = θ_out/θ_in:
				// dlnΦ/dlnQ = 1 − s ln(1/s)/(1 − s).
				s := 1 - t.bySource[r]/(t.mass[r]*t.specific[t.up[r]])
				if s > 0 && s < 1 {
					follow += t.heat[r] / given * (1 + s*math.Log(s)/(1-s))
				}
			}
			// Half of the way's head in the valve is a fair guess.
			follow *= 0.5 * room.Loss / t.stiff[i]
			return -wanted/given*follow/u - room.Loss*float64(p.Band)/(u*u*given)
		},
	}
}

// lifted is the open coefficient over the present one.
func (l *valveLaw) lifted(open valve.Coefficient) float64 { return float64(open / l.coefficient) }

// circulatorAt is the law of a circulator, with or without a check valve.
func (m *Model) circulatorAt(k int) *circulatorLaw {
	switch l := m.laws[k].(type) {
	case *circulatorLaw:
		return l
	case *checkedCirculator:
		return &l.circulatorLaw
	}
	return nil
}

// proportionalControl moves the head that a circulator holds along a line from
// half the set head at no flow to the set head at the rated flow.
func proportionalControl(k int, p Circulator) *control {
	return &control{
		value: p.Set, low: p.Set / 2, high: p.Set, tight: controlTight * p.Set,
		apply: func(m *Model, head float64) { m.circulatorAt(k).set = head },
		error: func(m *Model) float64 {
			q := max(0, m.net.Flow[k]*m.circulatorAt(k).expand)
			return min(p.Set*(0.5+0.5*q/p.Rated), p.Set) - m.circulatorAt(k).set
		},
		slope: func(*Model) float64 { return -0.75 },
	}
}

// dropControl moves a circulator's speed until the water cools by the drop.
func dropControl(m *Model, k int, p Circulator) *control {
	warm, cool := m.nodeOf[p.Warm], m.nodeOf[p.Cool]
	drop := func(m *Model) float64 { return m.heat.node[warm] - m.heat.node[cool] }
	return &control{
		value: p.Speed, low: min(p.Least, p.Speed), high: p.Speed, tight: controlTight * float64(p.Drop),
		apply: func(m *Model, speed float64) { m.circulatorAt(k).speed = speed },
		error: func(m *Model) float64 { return drop(m) - float64(p.Drop) },
		slope: func(m *Model) float64 { return -max(drop(m), 1) / max(m.circulatorAt(k).speed, 0.1) },
	}
}

// mixerControl moves the stem of a mixing valve until the mixed water has its
// temperature.
func mixerControl(m *Model, k int, p Mixer) *control {
	node := m.nodeOf[p.Node]
	var ways []int
	for j, l := range m.sys.Links {
		if w, ok := l.Part.(Mixer); ok && w.Valve == p.Valve {
			ways = append(ways, j)
		}
	}
	return &control{
		value: 0.5, low: 0, high: 1, tight: 1e-6, stride: 0.2,
		apply: func(m *Model, lift float64) {
			for _, j := range ways {
				w := m.sys.Links[j].Part.(Mixer)
				w.Lift = lift
				m.sys.Links[j].Part = w
				m.setLaw(j)
			}
		},
		error: func(m *Model) float64 { return float64(*p.Mixed) - m.heat.node[node] },
		slope: func(m *Model) float64 {
			low, high := math.Inf(1), math.Inf(-1)
			for _, j := range ways {
				t := m.heat.node[m.nodeOf[m.sys.Links[j].From]]
				low, high = min(low, t), max(high, t)
			}
			return -max(high-low, 1)
		},
	}
}

// adjust moves the setting by what was found, and gives the error that is
// left, over what is tight; at an end that the error presses against, none.
func (c *control) adjust(m *Model, ease float64) float64 {
	e := c.error(m)
	if math.Abs(e) <= c.tight || e > 0 && c.value >= c.high || e < 0 && c.value <= c.low {
		c.known = false
		return 0
	}
	guess := min(c.slope(m), -1e-12)
	// How far the guess was off last time it is likely to be off again.
	slope := guess * max(c.off, 0.02)
	if c.off == 0 {
		slope = guess
	}
	if c.known && c.value != c.lastValue {
		if s := (e - c.lastError) / (c.value - c.lastValue); s < 0 {
			// The neighbors move, too: a secant is trusted within reason.
			slope = min(max(s, 50*guess), guess/50)
			c.off = slope / guess
		}
	}
	// What is known to be too low or too high bounds the search; when the
	// neighbors have moved the answer out of the bracket, it opens again.
	if e > 0 {
		c.under, c.hasUnder = c.value, true
		if c.hasTop && c.top <= c.under {
			c.hasTop = false
		}
	} else {
		c.top, c.hasTop = c.value, true
		if c.hasUnder && c.under >= c.top {
			c.hasUnder = false
		}
	}
	c.lastValue, c.lastError, c.known = c.value, e, true
	next := min(max(c.value-e/slope, c.low), c.high)
	if c.hasUnder && c.hasTop && -slope*(c.top-c.under) < math.Abs(e)/4 {
		// So narrow a bracket cannot hold so large an error: it is stale.
		c.hasUnder, c.hasTop = false, false
	}
	if c.hasUnder && c.hasTop {
		if width := c.top - c.under; next <= c.under || next >= c.top {
			next = c.under + width/2
			if c.geometric {
				next = math.Sqrt(c.under * c.top)
			}
			if width < 1e-9*(c.high-c.low) {
				c.hasUnder, c.hasTop = false, false
			}
		}
	}
	if c.stride > 0 {
		next = min(max(next, c.value-c.stride), c.value+c.stride)
	}
	// Searches that disturb each other are slowed until they settle.
	next = c.value + ease*(next-c.value)
	c.value = next
	c.apply(m, next)
	return math.Abs(e) / c.tight
}

// restart forgets the search but not the setting.
func (c *control) restart() { c.known, c.hasUnder, c.hasTop = false, false, false }
