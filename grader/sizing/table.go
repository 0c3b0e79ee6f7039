package sizing

import (
	"fmt"
	"strings"

	"loopwright/grader/network"
	"loopwright/grader/quantity"
)

// text shows an SI value with its unit.
func text(si float64, u *quantity.Unit) string { return quantity.FromSI(si, u).Text() }

func figures(si float64, u *quantity.Unit) string { return quantity.FromSI(si, u).Figures() }

// coefficientUnit is the valve coefficient of a system of units.
func coefficientUnit(u network.Units) *quantity.Unit {
	if u == network.SI {
		return quantity.KvUnit
	}
	return quantity.CvUnit
}

func volumeUnit(u network.Units) *quantity.Unit {
	if u == network.SI {
		return quantity.Liter
	}
	return quantity.Gallon
}

func numbers(flags string) []bool {
	out := make([]bool, len(flags))
	for i, c := range flags {
		out[i] = c == 'n'
	}
	return out
}

// Tables are the job as people read it, in the order of the work.
func (r *Result) Tables() []network.Table {
	tables := []network.Table{r.pipeTable(), r.emitterTable(), r.circuitTable(), r.plantTable(), r.compareTable(), r.checkTable()}
	cautions := network.Table{Title: "Cautions", Head: []string{""}, Number: numbers("t")}
	for _, c := range r.Cautions {
		cautions.Rows = append(cautions.Rows, []string{c})
	}
	return append(tables, cautions)
}

func (r *Result) pipeTable() network.Table {
	u := r.Job.Units.Shown()
	rate := quantity.FootPerHundredFeet
	if r.Job.Units == network.SI {
		rate = quantity.MillimeterPerMeter
	}
	t := network.Table{Title: "Pipes", Number: numbers("tnntnnntt"),
		Head: []string{"pipe", "length " + u.Length.Symbol, "flow " + u.Flow.Symbol, "size", "velocity " + u.Velocity.Symbol, "friction " + rate.Symbol, "head " + u.Head.Symbol, "decided by", "rule of thumb"}}
	for _, s := range r.Sections {
		t.Rows = append(t.Rows, []string{s.ID, figures(s.Length, u.Length), figures(s.Flow, u.Flow), s.Size.Label(), figures(s.Velocity, u.Velocity),
			figures(s.Rate, rate), figures(float64(s.Loss), u.Head), string(s.Decided), r.Job.customary(s.Flow)})
	}
	return t
}

func (r *Result) emitterTable() network.Table {
	u := r.Job.Units.Shown()
	amount := map[string]string{FinTube: "fin-tube " + u.Length.Symbol, CastIron: "cast iron ft² EDR", Panel: "panel W at 75/65/20 °C"}[r.Job.Emitter]
	t := network.Table{Title: "Emitters", Number: numbers("tnnnnn"),
		Head: []string{"room", "load " + u.Heat.Symbol, "flow " + u.Flow.Symbol, "in " + u.Temperature.Symbol, "out " + u.Temperature.Symbol, amount}}
	for _, e := range r.Emitters {
		size := figures(e.Amount, quantity.One)
		if r.Job.Emitter == FinTube {
			size = figures(e.Amount, u.Length)
		}
		t.Rows = append(t.Rows, []string{e.Room, figures(e.Load, u.Heat), figures(e.Flow, u.Flow), figures(float64(e.Entering), u.Temperature), figures(float64(e.Leaving), u.Temperature), size})
	}
	return t
}

func (r *Result) circuitTable() network.Table {
	u, c := r.Job.Units.Shown(), coefficientUnit(r.Job.Units)
	t := network.Table{Title: "Circuits", Number: numbers("tnnnnt"),
		Head: []string{"circuit", "flow " + u.Flow.Symbol, "needs " + u.Head.Symbol, "valve takes " + u.Head.Symbol, "valve " + c.Symbol, ""}}
	for _, k := range r.Circuits {
		drop, coefficient, note := "", "", ""
		if k.Valve > 0 {
			drop, coefficient = figures(float64(k.Drop), u.Head), figures(float64(k.Valve), c)
		}
		switch {
		case k.Index:
			note = "index circuit: it decides the head"
		case k.Tee > 0:
			note = fmt.Sprintf("its tees turn aside %s", text(float64(k.Tee), u.Head))
		}
		t.Rows = append(t.Rows, []string{k.ID, figures(k.Flow, u.Flow), figures(float64(k.Need), u.Head), drop, coefficient, note})
	}
	return t
}

func (r *Result) plantTable() network.Table {
	u, v := r.Job.Units.Shown(), volumeUnit(r.Job.Units)
	t := network.Table{Title: "Plant", Head: []string{"what", "figure", "because"}, Number: numbers("ttt")}
	add := func(what, figure, because string) { t.Rows = append(t.Rows, []string{what, figure, because}) }
	for _, d := range r.Drives {
		add(d.ID, d.Choice.Model.ID, fmt.Sprintf("%s at %s needed; %s: it gives %s", text(float64(d.Head), u.Head), text(d.Flow, u.Flow), reasonOf(d), text(float64(d.Gives), u.Head)))
		if d.Speed < 1 {
			add(d.ID+" speed", text(d.Speed, quantity.Percent), "as slow as it may run and still give the head that is needed at design flow")
		}
		if d.Trim > 0 {
			add(d.ID+" trim valve", text(float64(d.Trim), coefficientUnit(r.Job.Units)), fmt.Sprintf("takes the %s that the circulator gives in excess", text(float64(d.Surplus), u.Head)))
		}
	}
	if b := r.Bypass; b != nil {
		add("bypass set point", text(float64(b.Set), u.Pressure), fmt.Sprintf("%s between the mains at design, and a tenth more, so that it stays shut at full load", text(float64(b.Between), u.Pressure)))
		add("bypass valve", text(float64(b.Open), coefficientUnit(r.Job.Units)), fmt.Sprintf("passes %s when every other way is shut", text(b.Flow, u.Flow)))
	}
	e := r.Expansion
	add("water in the system", text(e.Water, v), "pipes, emitters and boiler")
	add("fill pressure, cold", text(float64(e.Fill), u.Pressure), fmt.Sprintf("the water above the gauge, and %s at the top", text(float64(r.Job.TopMargin), u.Pressure)))
	add("expansion tank, at least", text(e.Volume, v), fmt.Sprintf("diaphragm tank charged to %s; the water grows by %s, up to %s", text(float64(e.Precharge), u.Pressure), text(e.Growth, quantity.Percent), text(float64(e.Highest), u.Pressure)))
	return t
}

func reasonOf(d Drive) string {
	for _, v := range d.Choice.Verdicts {
		if v.Model.ID == d.Choice.Model.ID {
			return v.Reason.String()
		}
	}
	return ""
}

func (r *Result) compareTable() network.Table {
	t := network.Table{Title: "Beside the rules of thumb", Head: []string{"what", "computed", "rule of thumb", "what to make of it"}, Number: numbers("tnnt")}
	for _, c := range r.Compared {
		t.Rows = append(t.Rows, []string{c.What, c.Engine, c.Rule, c.Why})
	}
	return t
}

func (r *Result) checkTable() network.Table {
	u := r.Job.Units.Shown()
	t := network.Table{Title: "The sized system, solved", Number: numbers("tnnn"),
		Head: []string{"room", "flow " + u.Flow.Symbol, "of design", "temperature " + u.Temperature.Symbol}}
	for _, e := range r.Emitters {
		l, _ := r.Check.Solution.Link(e.Room + "-radiator")
		room, _ := r.Check.Solution.Room(e.Room)
		in := quantity.FromSI(e.Flow*l.Mass/e.Mass, u.Flow).Figures()
		t.Rows = append(t.Rows, []string{e.Room, in, strings.TrimSpace(fmt.Sprintf("%.2f %%", 100*l.Mass/e.Mass)), figures(float64(room.Temperature), u.Temperature)})
	}
	return t
}
