package exercises

import (
	"math"

	"loopwright/grader/expansion"
	"loopwright/grader/quantity"
)

var pressureFamilies = []*Family{
	{
		ID: "high-point-pressure", Title: "Pressure at the top of the system", Skills: []string{"static-fill"}, Lesson: LessonPressure,
		Levels: [Levels]string{
			"Gauge and height are given: what is left at the top, at rest.",
			"The fill pressure for a height, beside a circulator's head that does not count.",
			"The circulator runs: the top with the tank on one side or the other, and the fill that it needs.",
		},
		Build: buildHighPoint,
	},
	{
		ID: "pumping-away", Title: "Pumping away from the tank, or toward it", Skills: []string{"pump-pressure-points"}, Lesson: LessonPressure,
		Levels: [Levels]string{
			"The two gauges at the circulator, off and on.",
			"The top of the system with the tank on either side.",
			"From gauge readings back to the head, the top, and where the tank sits.",
		},
		Build: buildPumpingAway,
	},
	{
		ID: "expansion-tank", Title: "Size of an expansion tank", Skills: []string{"tank-size"}, Lesson: LessonPressure,
		Levels: [Levels]string{
			"A diaphragm tank from volume, growth and two pressures.",
			"The growth from a water table, the highest pressure from the relief valve.",
			"The fill from the height, and a plain steel tank beside the diaphragm tank.",
		},
		Build: buildExpansionTank,
	},
	{
		ID: "suction-margin", Title: "Will it boil at the circulator's suction?", Skills: []string{"suction-margin"}, Lesson: LessonPressure,
		Levels: [Levels]string{
			"A gauge at the suction and a steam table.",
			"The suction from the tank's pressure, height and pipe.",
			"What the circulator needs by its data sheet, away from sea level.",
		},
		Build: buildSuctionMargin,
	},
}

// toleranceGauge is for a gauge reading in the learner's unit.
func toleranceGauge(d *Draw) Tolerance {
	return Native(d, ToleranceGauge, Tolerance{Abs: 3, Why: "A gauge with divisions of 5 kPa is read to about 3 kPa."})
}

// Weight of cold water: 0.433 psi for a foot, 9.81 kPa for a meter.
const (
	sourceWeight   = "Weight of cold water: 62.4 lb/ft³ over 144 in²/ft² is 0.433 psi per foot; 1000 kg/m³ × 9.81 m/s² is 9.81 kPa per meter"
	sourceLeast    = "4 to 5 psi (30 kPa) at the top: common practice; ASHRAE HVAC Systems and Equipment, hydronic chapter (from memory)"
	sourceHeldTank = "The tank's connection keeps its pressure: ASHRAE HVAC Systems and Equipment, hydronic chapter (from memory)"

	cautionPressure = "A closed system under pressure bursts where it is weakest. Never plug, valve off or set up a relief valve, and never fill above what the boiler and every part are made for."
	cautionFeed     = "A fill line joins heating water to drinking water. It needs the backflow protection that the local code asks for."
	cautionTraining = "The result is for training and for checking. The local code, the maker's instructions and a licensed person decide."
)

// column is the formula for the pressure of a height of cold water, in the
// learner's units.
func column(d *Draw, height string) string { return Native(d, "0.433", "9.81") + " * " + height }

// leastAtTop records the customary least pressure at the top.
func leastAtTop(d *Draw, s *Sheet) float64 {
	least := Native(d, 4.0, 30)
	s.Looked("p_m", "customary least pressure at the top", least, pressureUnit(d), "common practice")
	return least
}

// readable throws a draw away where a gauge would stand near zero, or higher
// than such a system is run.
func readable(d *Draw, s *Sheet, pressures ...float64) bool {
	for _, p := range pressures {
		if p < Native(d, 1.3, 8) || p > Native(d, 28.0, 280) {
			s.Reject("a pressure near zero, or too high for the building")
			return false
		}
	}
	return true
}

func heatedBuilding(d *Draw) string {
	return One(d, "a row house", "a former school", "a village library", "a guest house", "a small clinic", "a parish hall")
}

func buildHighPoint(d *Draw, s *Sheet) {
	switch d.Level {
	case 1:
		buildTopAtRest(d, s)
	case 2:
		buildFillForHeight(d, s)
	default:
		buildTopRunning(d, s)
	}
	s.Source(sourceWeight)
	s.Source(sourceLeast)
	s.Caution(cautionPressure)
	s.Caution(cautionFeed)
	s.Caution(cautionTraining)
}

const becauseColumn = "The water standing above the gauge weighs on it; higher up, that much is missing."

// columnSlips are wrong turns with the weight of the water.
func columnSlips(d *Draw, s *Sheet) {
	s.MaySlip("static-length-as-pressure", "p_h", "h", Native(d,
		"Feet are not psi: a foot of water weighs 0.433 psi.", "Meters are not kPa: a meter of water weighs 9.81 kPa."))
	if d.US() {
		s.MaySlip("psi-ft-flip", "p_h", "2.31 * h", "One psi lifts water 2.31 ft, so the psi are the smaller number: multiply by 0.433.")
	} else {
		s.MaySlip("static-bar-for-kpa", "p_h", "0.0981 * h", "That is in bar. One bar is 100 kPa.")
	}
}

func buildTopAtRest(d *Draw, s *Sheet) {
	press := pressureUnit(d)
	s.Statement("In " + heatedBuilding(d) + " the gauge beside the boiler shows {p_f}, with the water cold and the circulator off. The highest " + One(d, "radiator", "pipe", "baseboard") + " stands {h} above the gauge. What pressure is left up there, and is it enough?")
	// As many gauges that leave too little as that leave enough.
	h := Native(d, d.Between(12, 42, 1), d.Between(4, 15, 0.5))
	left := Native(d, d.Between(6, 13, 1), d.Between(40, 90, 5))
	if One(d, true, false) {
		left = Native(d, d.Between(1.5, 3, 0.5), d.Between(9, 22, 1))
	}
	gauge := Native(d, math.Round(0.433*h+left), 5*math.Round((9.81*h+left)/5))
	s.Given("p_f", "pressure at the gauge", gauge, press)
	s.Given("h", "height of the top above the gauge", h, lengthUnit(d))
	least := leastAtTop(d, s)
	s.Step("p_h", "Weight of the water above the gauge", column(d, "h"), press, becauseColumn)
	p := s.Step("p_t", "Pressure at the top", "p_f - p_h", press, "What the gauge shows carries the column first; the rest is left at the top.")
	if !readable(d, s, p) {
		return
	}
	// 4 psi in one book and 5 in another: stay clear of both.
	if p > 0.75*least && p < Native(d, 5.5, 36) {
		s.Reject("too close to the customary least pressure to judge")
		return
	}
	s.Ask("top", "Pressure at the top", "p_t", toleranceGauge(d))
	right, wrong, slip, say := "enough", "low", "top-judged-too-low", "The top keeps more than {p_m}, which is what custom asks for."
	if p < least {
		right, wrong, slip, say = "low", "enough", "any-pressure-is-enough", "Some pressure is left, but less than {p_m}: too little to push air out, and near where it is drawn in."
	}
	texts := map[string]string{
		"enough": "It is enough: at least {p_m} is left at the top.",
		"low":    "It is too low: less than {p_m} is left at the top.",
	}
	s.Choose("enough", "Is it enough, by custom?", right, "p_t", "Compare what is left at the top with {p_m}.", shuffled(d, []Pick{
		{ID: right, Text: texts[right]}, {ID: wrong, Text: texts[wrong], Slip: slip, Say: say},
	})...)
	s.Slip("height-ignored", "p_t", "p_f", "That is the pressure at the gauge. On the way up each "+Native(d, "foot", "meter")+" of water takes its weight off.")
	s.Slip("height-added", "p_t", "p_f + p_h", "Pressure grows downward: the top has less than the gauge, not more.")
	s.MaySlip("column-for-rest", "p_t", "p_h", "That is the weight of the column. The question is what the gauge shows beyond it.")
	columnSlips(d, s)
}

func buildFillForHeight(d *Draw, s *Sheet) {
	press := pressureUnit(d)
	s.Statement("The highest radiator of " + heatedBuilding(d) + " stands {h} above the gauge in the boiler room. The circulator is rated for a head of {H}. The system is cold and at rest, and the gauge shows {p_g}. What pressure is at the top now, and to what pressure should the system be filled?")
	s.Given("h", "height of the top above the gauge", Native(d, d.Between(12, 42, 1), d.Between(4, 15, 0.5)), lengthUnit(d))
	s.Given("H", "head of the circulator", Native(d, d.Between(7, 24, 1), d.Between(2, 8, 0.5)), Native(d, quantity.FootHead, quantity.MeterHead))
	s.Given("p_g", "pressure at the gauge now", Native(d, d.Between(8, 22, 1), d.Between(70, 190, 5)), press)
	least := leastAtTop(d, s)
	h, _ := s.Value("h")
	s.Step("p_h", "Weight of the water above the gauge", column(d, "h"), press, becauseColumn)
	top := s.Step("p_t", "Pressure at the top now", "p_g - p_h", press, "What the gauge shows carries the column first; the rest is left at the top.")
	fill := s.Step("p_f", "Fill pressure", "p_h + p_m", press, "The fill carries the column and leaves the customary pressure at the top.")
	now, _ := s.Value("p_g")
	if !readable(d, s, top, fill) || max(now-fill, fill-now) < Native(d, 1.0, 6) {
		s.Reject("the fill is what the gauge shows already")
		return
	}
	s.Ask("top", "Pressure at the top now", "p_t", toleranceGauge(d))
	s.Ask("fill", "Fill pressure, cold", "p_f", toleranceGauge(d))
	s.Choose("head", "What does the circulator's head have to do with the fill pressure?", "nothing", "p_f",
		"Ask what the circulator works against in a closed, full loop.", shuffled(d, []Pick{
			{ID: "nothing", Text: "Nothing here: it moves water round against friction. The column is carried by the fill."},
			{ID: "less", Text: "It helps to lift the water, so the fill can be lower by the head.", Slip: "circulator-lifts-water",
				Say: "In a closed, full loop the water that comes down lifts the water that goes up. And the top must hold its pressure while the circulator is off."},
			{ID: "more", Text: "The fill must be higher by the head, or the circulator cannot reach its head.", Slip: "fill-feeds-circulator",
				Say: "A circulator adds its head to whatever pressure it finds. The fill pressure does not make it stronger."},
		})...)
	s.Slip("height-added", "p_t", "p_g + p_h", "Pressure grows downward: the top has less than the gauge, not more.")
	s.Slip("height-ignored", "p_t", "p_g", "That is the pressure at the gauge. On the way up each "+Native(d, "foot", "meter")+" of water takes its weight off.")
	s.Slip("static-no-margin", "p_f", "p_h", "That fill leaves nothing at the top: add {p_m}.")
	s.MaySlip("static-from-pump-head", "p_f", column(d, "H")+" + p_m", "The circulator's head does not lift the water of a closed loop. Take the height of the building.")
	s.MaySlip("head-and-height", "p_f", "p_h + p_m + "+column(d, "H"), "The circulator's head is not part of the fill: height and margin are all of it.")
	columnSlips(d, s)

	engine, err := expansion.FillPressure(lengthUnit(d).ToSI(h), quantity.Pascal(press.ToSI(least)), quantity.Celsius(readingUnit(d).ToSI(coldFill(d))))
	if err != nil {
		s.Reject(err.Error())
		return
	}
	s.Compare("fill-pressure", "height and "+quantity.Of(least, press).Exact(), quantity.Of(fill, press), quantity.FromSI(float64(engine), press),
		"Both weigh cold water; the rule's weight is rounded to three figures. Hot water weighs a few percent less, so the top gains a little as the system warms.")
}

func buildTopRunning(d *Draw, s *Sheet) {
	press := pressureUnit(d)
	away := One(d, true, false)
	side := map[bool]string{true: "at the suction of the circulator, so that it pumps away from the tank", false: "at the discharge of the circulator, so that it pumps toward the tank"}[away]
	s.Statement("In the boiler room of " + heatedBuilding(d) + " the expansion tank joins the pipe " + side + ". The gauge there shows {p_f} at rest. The top of the system stands {h} above it. While the circulator runs it adds {dp}, and the pipes between boiler room and top take {l} on the way up. What pressure has the top at rest, what while the circulator runs, and to what should the system be filled so that the top never falls below {p_m}?")
	s.Given("p_f", "pressure at the tank's connection, at rest", Native(d, d.Between(12, 26, 1), d.Between(100, 220, 5)), press)
	s.Given("h", "height of the top above the gauge", Native(d, d.Between(14, 36, 1), d.Between(4, 12, 0.5)), lengthUnit(d))
	dp := Native(d, d.Between(4, 9, 0.5), d.Between(25, 65, 5))
	l := Native(d, d.Between(1, 5, 0.5), d.Between(8, 35, 1))
	s.Given("dp", "what the circulator adds", dp, press)
	s.Given("l", "losses on the way to the top", l, press)
	leastAtTop(d, s)
	s.Step("p_h", "Weight of the water above the gauge", column(d, "h"), press, becauseColumn)
	rest := s.Step("p_t", "Top at rest", "p_f - p_h", press, "At rest only the height counts.")
	running, need, bare := "p_t + dp - l", "p_h + p_m", "p_h"
	because := "Counted from the tank, the water passes the circulator before it climbs: the top gains its rise, less the losses."
	becauseNeed := "The circulator only lifts the top's pressure here, so rest is the worse of the two."
	if !away {
		running, need, bare = "p_t - l", "p_h + p_m + l", "p_h + l"
		because = "Counted from the tank, the water climbs before it meets the circulator: the top gets the losses and none of the rise."
		becauseNeed = "The top is lowest while the circulator runs, so the fill carries the losses too."
	}
	on := s.Step("p_o", "Top while the circulator runs", running, press, because)
	fill := s.Step("p_n", "Fill that the top needs", need, press, becauseNeed)
	if !readable(d, s, rest, on, fill) || l > 0.6*dp || l < 0.2*dp {
		s.Reject("no such losses beside such a circulator")
		return
	}
	s.Ask("rest", "Pressure at the top, at rest", "p_t", toleranceGauge(d))
	s.Ask("running", "Pressure at the top while the circulator runs", "p_o", toleranceGauge(d))
	s.Ask("fill", "Fill pressure that the top needs", "p_n", toleranceGauge(d))
	right, other := "at-rest", "running"
	say := "With the tank at the suction the whole rise appears behind the circulator, and more of it than the losses take: the top gains while it runs."
	if !away {
		right, other = "running", "at-rest"
		say = "With the tank at the discharge the rise appears as a fall at the suction side. The top lies before the circulator, so it only gets the losses."
	}
	texts := map[string]string{"at-rest": "At rest.", "running": "While the circulator runs."}
	s.Choose("lowest", "When is the pressure at the top lowest?", right, "p_t", "The tank's connection does not move. Follow the water from there to the top.", shuffled(d, []Pick{
		{ID: right, Text: texts[right]}, {ID: other, Text: texts[other], Slip: "tank-side-swapped", Say: say},
	})...)

	s.Slip("height-added", "p_t", "p_f + p_h", "Pressure grows downward: the top has less than the gauge, not more.")
	s.MaySlip("circulator-changes-nothing", "p_o", "p_t", "That is the top at rest. Running, the circulator and the losses move every point but the tank's.")
	if away {
		s.MaySlip("tank-side-swapped", "p_o", "p_t - l", "That is the top with the tank at the discharge. Here the circulator comes before the climb and adds its rise.")
		s.MaySlip("pump-loss-forgotten", "p_o", "p_t + dp", "The pipes on the way up have taken {l} of the rise.")
	} else {
		s.MaySlip("tank-side-swapped", "p_o", "p_t + dp - l", "That is the top with the tank at the suction. Here the water climbs before it meets the circulator.")
		s.MaySlip("pump-loss-forgotten", "p_o", "p_t + dp", "With the tank at the discharge the top never sees the circulator's rise.")
		s.MaySlip("whole-head-at-top", "p_o", "p_t - dp", "The whole fall appears only at the suction. Up to the top the water has lost {l}.")
		s.MaySlip("running-forgotten", "p_n", "p_h + p_m", "That is enough at rest. While it runs the top loses {l} more.")
	}
	s.MaySlip("static-no-margin", "p_n", bare, "That fill leaves nothing at the top: add {p_m}.")
	s.MaySlip("circulator-lifts-water", "p_n", need+" - dp", "In a closed loop the circulator lifts no water, and at rest it gives nothing at all.")
	columnSlips(d, s)
	s.Source(sourceHeldTank)
}
