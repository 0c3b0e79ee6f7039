package sizing

import (
	"fmt"

	"loopwright/grader/circulator"
	"loopwright/grader/network"
	"loopwright/grader/quantity"
	"loopwright/grader/thumb"
)

// Comparison is a figure of the job beside what a rule of thumb says.
type Comparison struct {
	What         string
	Engine, Rule string // as shown
	RuleID       string // of package thumb
	Why          string // they differ, or what to make of it
}

// customary is the customary size for a flow, as its nominal size.
func (j *Job) customary(flow float64) string {
	list := thumb.CustomaryFlowsUS()
	if j.Units == network.SI {
		list = thumb.CustomaryFlowsSI()
	}
	c, err := thumb.SizeFor(list, flow)
	if err != nil {
		return "beyond the rule"
	}
	if j.Units == network.SI {
		return "DN\u00a0" + c.Nominal[2:]
	}
	return c.Nominal + "\u00a0in"
}

func fillByRule(j *Job) quantity.Pascal {
	if j.Units == network.SI {
		return thumb.FillPressureSI(j.Height)
	}
	return thumb.FillPressureUS(j.Height)
}

// ruleOfSmaller is the model that the rule of the smaller curve takes.
func ruleOfSmaller(set []circulator.Model, flow float64, head quantity.MetersHead) string {
	heads := make([]quantity.MetersHead, len(set))
	for i, m := range set {
		heads[i], _ = m.Curve.Head(flow)
	}
	i, err := thumb.TakeSmaller(heads, head)
	if err != nil {
		return ""
	}
	return set[i].ID
}

// compare sets rules of thumb beside the figures of the job.
func (r *Result) compare(p *plan) {
	j := r.Job
	u := j.Units.Shown()
	add := func(what, engine, rule, id, why string) {
		r.Compared = append(r.Compared, Comparison{what, engine, rule, id, why})
	}
	load := 0.0
	for _, room := range j.Rooms {
		load += room.Load
	}
	last := r.Drives[len(r.Drives)-1]
	if j.Units == network.SI {
		add("flow", quantity.FromSI(last.Flow, u.Flow).Text(), quantity.FromSI(load/(thumb.FactorSI*float64(j.Drop)), u.Flow).Text(), "factor-500",
			"The rule rounds what a liter of water carries; warm water carries a few percent less.")
	} else {
		rule := thumb.FlowByTenThousand(load)
		add("flow", quantity.FromSI(last.Flow, u.Flow).Text(), quantity.FromSI(rule, u.Flow).Text(), "ten-thousand",
			"The rule holds for a drop of 20 °F and cool water; this job has its own drop.")
	}
	run, lost := r.longestRun(p)
	if run > 0 {
		add("head", quantity.FromSI(float64(last.Head), u.Head).Text(), quantity.FromSI(float64(thumb.HeadForRun(run)), u.Head).Text(), "head-per-run",
			fmt.Sprintf("The longest run is %s there and back, of which the pipes and fittings lose %s.", quantity.FromSI(run, u.Length).Text(), quantity.FromSI(float64(lost), u.Head).Text()))
	}
	if last.ByRule != "" {
		add("circulator", last.Choice.Model.ID, last.ByRule, "smaller-curve", "The rule trusts that the head was estimated high. Here it was computed.")
	}
	add("fill", quantity.FromSI(float64(r.Expansion.Fill), u.Pressure).Text(), quantity.FromSI(float64(r.Expansion.ByRule), u.Pressure).Text(), "fill-pressure",
		"Both weigh the water above the gauge and keep a margin at the top.")
	if j.Layout == Series {
		loop, text := thumb.SeriesLoopUS(), quantity.BTUPerHour
		if j.Units == network.SI {
			loop, text = thumb.SeriesLoopSI(), quantity.Kilowatt
		}
		add("load of the loop", quantity.FromSI(load, text).Text(), quantity.FromSI(loop.Load, text).Text(), "series-loop",
			"The rule is what one loop of ¾ in (DN 20) is taken to carry. A loop with more needs larger pipe, or to be split.")
	}
	if j.Emitter == FinTube {
		length, ruled := 0.0, 0.0
		per := thumb.BaseboardUS
		if j.Units == network.SI {
			per = thumb.BaseboardSI
		}
		for _, e := range r.Emitters {
			length += e.Amount
			ruled += e.Load / per
		}
		add("fin-tube in all", quantity.FromSI(length, u.Length).Text(), quantity.FromSI(ruled, u.Length).Text(), "baseboard-600",
			"The rule is for water of 180 °F (82 °C) on average; cooler water needs more.")
	}
}

// longestRun is the pipe of the last circulator's index circuit, there and
// back, and what it loses.
func (r *Result) longestRun(p *plan) (length float64, lost quantity.MetersHead) {
	last := len(p.loops) - 1
	pipes := p.loops[last].pipes
	if i := p.loops[last].index; i >= 0 {
		pipes = append(append([]int(nil), p.ways[i].inner...), p.ways[i].path...)
	}
	for _, k := range pipes {
		length += r.Sections[k].Length
		lost += r.Sections[k].Loss
	}
	return length, lost
}

// caution collects what a person must know before anything is built.
func (r *Result) caution(p *plan) {
	j := r.Job
	u := j.Units.Shown()
	say := func(format string, args ...any) { r.Cautions = append(r.Cautions, fmt.Sprintf(format, args...)) }
	say("This is training. A real job follows the local code, the makers' instructions and the judgment of a licensed person.")
	if j.Supply > 60 {
		say("Water at %s scalds. Guard bare pipe and emitters where people can touch them.", quantity.FromSI(float64(j.Supply), u.Temperature).Text())
	}
	say("The relief valve opens at %s. It must discharge where nobody stands, and nothing may shut it off.", quantity.FromSI(float64(j.Relief), u.Pressure).Text())
	for _, s := range r.Sections {
		if slow := slowest(j.Units); s.Velocity < slow && s.Size.DN > j.Limits.Least {
			say("Pipe %s runs at %s: below %s air is not carried along, so give it a vent.", s.ID, quantity.FromSI(s.Velocity, u.Velocity).Text(), quantity.FromSI(slow, u.Velocity).Text())
			break
		}
	}
	for _, d := range r.Drives {
		if d.Gives > 1.5*d.Head && j.Trim == ByValve {
			say("The %s gives %s where %s is needed: the valve that takes the rest wastes it. A smaller circulator or a slower speed saves electricity.", d.ID,
				quantity.FromSI(float64(d.Gives), u.Head).Text(), quantity.FromSI(float64(d.Head), u.Head).Text())
		}
	}
	if j.Layout == TwoPipeReverse {
		if pays, err := thumb.ReverseReturnPays(j.customaryNominal(r.Drives[0].Flow)); err == nil && !pays {
			say("The rule of thumb would pipe mains of this size with a direct return and balancing valves.")
		}
	}
	for _, w := range r.Check.Solution.Warnings {
		say("%s: %s.", w.At, w.Text)
	}
}

func (j *Job) customaryNominal(flow float64) string {
	list := thumb.CustomaryFlowsUS()
	if j.Units == network.SI {
		list = thumb.CustomaryFlowsSI()
	}
	c, err := thumb.SizeFor(list, flow)
	if err != nil {
		return ""
	}
	return c.Nominal
}

// slowest velocity that carries air along.
func slowest(u network.Units) float64 {
	if u == network.SI {
		return thumb.SlowestSI
	}
	return thumb.SlowestUS
}
