package network

import (
	"fmt"
	"math"

	"loopwright/grader/expansion"
	"loopwright/grader/fluid"
	"loopwright/grader/quantity"
)

// Concern is what a warning is about.
type Concern string

// The concerns.
const (
	TooFast      Concern = "too-fast"
	TooSteep     Concern = "too-steep"
	Vacuum       Concern = "vacuum"
	Boiling      Concern = "boiling"
	Reversed     Concern = "reversed"
	OffCurve     Concern = "off-curve"
	Deadheaded   Concern = "deadheaded"
	ShortSuction Concern = "short-suction"
	NoFlow       Concern = "no-flow"
	CutOff       Concern = "cut-off"
	Frost        Concern = "frost"
)

// Warning is something in a solution that a designer would not leave so.
type Warning struct {
	Concern Concern
	At      string // id of the link or node
	Text    string
}

// Customary limits beyond which a warning is given.
const (
	// fastest velocity, m/s, in pipe of 2 in and smaller, and steepest loss,
	// m/m, in larger: 4 ft/s and 4 ft per 100 ft. Source: ASHRAE Handbook
	// Fundamentals, pipe sizing (from memory).
	fastest      = 4 * 0.3048
	steepest     = 0.04
	smallPipe    = 0.0525 // m, the bore of 2 in schedule 40
	deadShare    = 0.01   // of the curve's end: less flow is next to none
	suctionShort = 20e3   // Pa above boiling; common practice: 2 to 3 psi at the least
)

func (m *Model) warnings(s *Solution) []Warning {
	var list []Warning
	warn := func(c Concern, at, format string, args ...any) {
		list = append(list, Warning{c, at, fmt.Sprintf(format, args...)})
	}
	for k, r := range s.Links {
		link := m.sys.Links[k]
		switch p := link.Part.(type) {
		case Pipe:
			// A hair over the limit is the limit.
			switch rate := math.Abs(float64(r.HeadLoss)) / math.Max(p.Length, 1e-9); {
			case p.Size.Bore <= smallPipe && r.Velocity > fastest*1.001:
				warn(TooFast, r.ID, "the water runs at %.2g m/s (%.2g ft/s); the usual limit in a pipe of this size is 1.2 m/s (4 ft/s)", r.Velocity, quantity.FootPerSecond.FromSI(r.Velocity))
			case p.Size.Bore > smallPipe && p.Length > 1 && p.K == 0 && rate > steepest*1.001:
				warn(TooSteep, r.ID, "the pipe loses %.2g m in 100 m; the usual limit is 4 m in 100 m (4 ft in 100 ft)", 100*rate)
			}
		case Source, Radiator, RadiatorValve, Limiter, Circulator:
			if r.Mass < 0 && !m.still(k) {
				warn(Reversed, r.ID, "the water runs backward, from %s to %s", r.To, r.From)
			}
			if _, ok := p.(Source); ok && m.still(k) && s.Solved {
				warn(NoFlow, r.ID, "no water runs through it: it shuts itself off")
			}
		}
	}
	for _, r := range s.Rooms {
		if r.Temperature <= 0 {
			warn(Frost, r.ID, "the room cools below freezing: water that stands in it freezes and bursts its pipe")
		}
	}
	for _, c := range s.Circulators {
		k := m.linkOf[c.ID]
		p := m.sys.Links[k].Part.(Circulator)
		if c.Speed == 0 || m.sys.Links[k].Shut {
			continue
		}
		switch end := c.Speed * p.Curve.End(); {
		case c.Flow > end*(1+1e-6):
			warn(OffCurve, c.ID, "it runs off the end of its curve: %.3g L/s (%.3g gpm), and the curve ends at %.3g L/s (%.3g gpm)",
				1000*c.Flow, quantity.GallonPerMinute.FromSI(c.Flow), 1000*end, quantity.GallonPerMinute.FromSI(end))
		case c.Flow < deadShare*end:
			warn(Deadheaded, c.ID, "it runs against shut ways: next to nothing flows, and the water in it heats up")
		}
		if c.Margin < suctionShort {
			warn(ShortSuction, c.ID, "its suction is only %.3g kPa (%.2g psi) above the boiling pressure of its water", float64(c.Margin)/1000, quantity.PSI.FromSI(float64(c.Margin)))
		}
	}
	for i, n := range s.Nodes {
		if n.Loose {
			warn(CutOff, n.ID, "shut valves cut it off from where the pressure is held: its pressure is not known")
			continue
		}
		// A trace below zero is rounding.
		if n.Pressure < -1 {
			warn(Vacuum, n.ID, "the pressure is %.3g kPa (%.2g psi) below that of the air: it draws air in", -float64(n.Pressure)/1000, -quantity.PSI.FromSI(float64(n.Pressure)))
		}
		t := float64(m.sys.Water)
		if s.Solved {
			t = float64(s.Nodes[i].Temperature)
		}
		if boiling, err := fluid.BoilingPressure(quantity.Celsius(t)); err == nil && expansion.Absolute(n.Pressure) < boiling {
			warn(Boiling, n.ID, "water of %.3g °C boils at this pressure", t)
		}
	}
	return list
}

// still says whether next to nothing moves in a link.
func (m *Model) still(k int) bool {
	most := 0.0
	for _, q := range m.net.Flow {
		most = max(most, math.Abs(q))
	}
	return math.Abs(m.net.Flow[k]) <= 1e-6*most
}
