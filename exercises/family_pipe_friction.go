package exercises

import (
	"fmt"

	"loopwright/grader/pipe"
	"loopwright/grader/quantity"
	"loopwright/grader/thumb"
)

var mainByFriction = &Family{
	ID: "main-by-friction", Title: "Size a main by a friction limit", Skills: []string{"pipe-size-limits", "head-from-rate"}, Lesson: LessonPipe,
	Levels: [Levels]string{
		"Friction of four sizes is read off a chart; choose by the limit.",
		"Find the flow first, then choose.",
		"Friction and velocity both limit; find the head of the main as well.",
	},
	Build: buildMainByFriction,
}

var runHeadLoss = &Family{
	ID: "run-head-loss", Title: "Head loss of a run with fittings", Skills: []string{"equivalent-length", "head-from-rate"}, Lesson: LessonPipe,
	Levels: [Levels]string{
		"Straight pipe, there and back.",
		"Elbows and a valve come on top, as equivalent length.",
		"A quick allowance beside the count of fittings: which one to trust.",
	},
	Build: buildRunHeadLoss,
}

var headAtAnotherFlow = &Family{
	ID: "head-at-another-flow", Title: "Head at another flow", Skills: []string{"head-scales-flow"}, Lesson: LessonPipe,
	Levels: [Levels]string{
		"One exponent, a new flow.",
		"A new head: find the flow.",
		"Pipe and valve with exponents of their own.",
	},
	Build: buildHeadAtAnotherFlow,
}

// frictionUnit is the unit of friction on the learner's charts.
func frictionUnit(d *Draw) *quantity.Unit {
	return Native(d, quantity.FootPerHundredFeet, quantity.PascalPerMeter)
}

// lossUnit is how the loss of a run is given: ft of head, or kPa.
func lossUnit(d *Draw) *quantity.Unit { return Native(d, quantity.FootHead, quantity.Kilopascal) }

// chartFriction is what a friction chart shows for a size at a flow (m³/s) in
// the usual water, to three figures.
func chartFriction(d *Draw, size pipe.Size, flow float64) (float64, error) {
	w, _, err := usualWater(d)
	if err != nil {
		return 0, err
	}
	rate, _ := size.HeadLossRate(flow, w)
	if d.US() {
		return toFigures(quantity.FootPerHundredFeet.FromSI(rate), 3), nil
	}
	return toFigures(float64(quantity.MetersHead(rate).Pressure(w.Density)), 3), nil
}

// chartSource names the water of the chart.
func chartSource(d *Draw) string {
	return "chart for water at " + Native(d, "180\u00a0°F", "80\u00a0°C") + ", from the engine"
}

func buildMainByFriction(d *Draw, s *Sheet) {
	flow := flowUnit(d)
	limit := Native(d, One(d, 2.5, 3, 4), One(d, 150.0, 200, 300, 400))
	start := d.Int(0, 4)
	if d.Level == 3 {
		// From about 2 in (DN 50) up the velocity limit is met before the
		// friction limit: the larger sizes make it count.
		limit, start = Native(d, 4.0, 400), d.Int(2, 4)
	}
	middle, err := thumb.MostFlow(Native(d, sizePairs[start+1][0], sizePairs[start+1][1]))
	if err != nil {
		s.fail("%w", err)
		return
	}
	f := toFigures(flow.FromSI(middle)*d.Between(0.6, 1.6, 0.05), 2)
	factor, factorUnit := heatFactor(d)
	what := One(d, "the main of a school wing", "a riser in an apartment house", "the main of a village hall", "a zone main in a workshop")
	if d.Level == 1 {
		s.Statement(Capital(what) + " carries {f}. Friction must not exceed {R}. The friction of four sizes of steel pipe at this flow has been read off a chart. Which size do you take?")
		s.Given("f", "flow", f, flow)
	} else {
		dT := Native(d, One(d, 20.0, 25, 30), One(d, 10.0, 15))
		s.Statement(Capital(what) + " carries {Q} with a drop of {dT}. Friction must not exceed {R}" +
			map[bool]string{true: ", and the water must not run faster than {v_m}", false: ""}[d.Level == 3] + ". The friction of four sizes of steel pipe at this flow has been read off a chart. What is the flow, and which size do you take?" +
			map[bool]string{true: " And what does {L} of straight pipe of that size lose?", false: ""}[d.Level == 3])
		s.Given("Q", "heat load", toFigures(f*factor*dT, 3), loadUnit(d))
		s.Given("dT", "temperature drop", dT, dropUnit(d))
		s.Looked("k", "heat carried per unit of flow and degree", factor, factorUnit, "common practice")
	}
	s.Given("R", "friction limit", limit, frictionUnit(d))
	if d.Level > 1 {
		f = s.Step("f", "Flow", "Q / (k * dT)", flow, "Each unit of flow carries a fixed heat for each degree of drop.")
		s.Ask("flow", "Flow", "f", ToleranceHeat)
		s.Slip("flow-no-500", "f", "Q / dT", "The factor is missing: divide by {k} as well as by the drop.")
		s.Slip("flow-supply-one", "f", "Q / k", "Divide by the drop as well: the water cools by {dT}.")
	}
	fastest := Native(d, 4.0, 1.2)
	if d.Level == 3 {
		s.Given("v_m", "velocity limit", fastest, velocityUnit(d))
	}
	chooseByFriction(d, s, start, f, limit, fastest)
	s.Source(sourceFriction)
	s.Source(sourceBore)
	s.Source(sourceLimits)
	s.Caution(cautionDesign)
}

// chooseByFriction lists four sizes with their friction and asks for the
// smallest inside the limits.
func chooseByFriction(d *Draw, s *Sheet, start int, f, limit, fastest float64) {
	si := flowUnit(d).ToSI(f)
	right := -1
	var rates, speeds [4]float64
	for i := range 4 {
		size := steelAt(d, start+i)
		rate, err := chartFriction(d, size, si)
		if err != nil {
			s.fail("%w", err)
			return
		}
		rates[i] = rate
		speeds[i] = toFigures(velocityUnit(d).FromSI(size.Velocity(si)), 2)
		s.Looked(fmt.Sprintf("R_%d", i+1), "friction in "+size.Label()+" steel", rate, frictionUnit(d), chartSource(d))
		if d.Level == 3 {
			s.Looked(fmt.Sprintf("v_%d", i+1), "velocity in "+size.Label()+" steel", speeds[i], velocityUnit(d), "flow over area")
		}
		fits := rate <= limit && (d.Level < 3 || speeds[i] <= fastest)
		if fits && right < 0 {
			right = i
		}
		if edge := rate / limit; edge > 0.94 && edge < 1.06 {
			s.Reject("a size lies at the limit")
			return
		}
		// The velocity is shown to two figures: what is shown and what is
		// computed must lie on one side.
		if edge := velocityUnit(d).FromSI(size.Velocity(si)) / fastest; d.Level == 3 && edge > 0.96 && edge < 1.05 {
			s.Reject("a size lies at the velocity limit")
			return
		}
	}
	if right < 1 || right > 2 {
		s.Reject("the right size lies at the end of the list")
		return
	}
	s.Step("r", "Friction of the smallest size that fits", fmt.Sprintf("R_%d", right+1), frictionUnit(d), "The smallest size that lies inside every limit is the cheapest that fits.")
	compareWithCustom(d, s, start+right, limit)
	var picks []Pick
	for i := range 4 {
		size := steelAt(d, start+i)
		p := Pick{ID: fmt.Sprintf("size-%d", i+1), Text: size.Label()}
		switch {
		case i == right+1:
			p.Score, p.Say = 1, "It works. The next size down lies inside every limit too and costs less."
		case i > right+1:
			p.Slip, p.Say = "size-two-up", "It works but is oversized: pipe two sizes smaller would do."
		case i < right && rates[i] > limit:
			p.Slip, p.Say = "size-over-friction", "Its friction at this flow is above the limit."
		case i < right:
			p.Slip, p.Say = "size-over-velocity", "Its friction is within the limit, but the water runs too fast in it."
		}
		picks = append(picks, p)
	}
	s.Choose("size", "Which size of steel pipe?", fmt.Sprintf("size-%d", right+1), "f", "Go through the list from the smallest size and stop at the first that lies inside every limit.", picks...)
	if d.Level < 3 {
		return
	}
	length := lengthUnit(d)
	s.Given("L", "length of pipe, there and back", Native(d, d.Between(80, 300, 20), d.Between(24, 90, 6)), length)
	s.Step("H", "Loss of the pipe", Native(d, "r * L / 100", "r * L / 1000"), lossUnit(d), Native(d, "The rate is for each hundred feet of pipe.", "The rate is in pascals for each meter; a thousand of them make a kilopascal."))
	s.Ask("loss", "Loss of {L} of straight pipe in the smallest size that fits", "H", ToleranceFriction)
	s.Slip("head-rate-per-foot", "H", "r * L", Native(d, "The rate is per hundred feet: divide by 100.", "The rate is in pascals: divide by 1000 for kilopascals."))
	s.MaySlip("limit-for-rate", "H", Native(d, "R * L / 100", "R * L / 1000"), "You used the limit. The size that fits loses less than that.")
	s.MaySlip("length-doubled-again", "H", Native(d, "2 * r * L / 100", "2 * r * L / 1000"), "The length given already counts there and back.")
}

// compareWithCustom sets the customary flow of a size beside the flow at which
// its friction reaches the limit.
func compareWithCustom(d *Draw, s *Sheet, i int, limit float64) {
	most, err := thumb.MostFlow(Native(d, sizePairs[i][0], sizePairs[i][1]))
	if err != nil {
		s.fail("%w", err)
		return
	}
	w, t, err := usualWater(d)
	if err != nil {
		s.fail("%w", err)
		return
	}
	rate := quantity.FootPerHundredFeet.ToSI(limit)
	if !d.US() {
		rate = float64(quantity.Pascal(limit).Head(w.Density))
	}
	size := steelAt(d, i)
	at, err := size.FlowAtRate(rate, w)
	if err != nil {
		s.fail("%w", err)
		return
	}
	s.Compare("customary-flow", "The customary flow of "+size.Label(), quantity.FromSI(most, flowUnit(d)), quantity.FromSI(at, flowUnit(d)),
		"The engine's figure is the flow at which water at "+quantity.FromSI(float64(t), readingUnit(d)).Text()+" in this pipe reaches the limit you were given. The list stands for one fixed limit and rounds down.")
}

func buildRunHeadLoss(d *Draw, s *Sheet) {
	i := d.Int(1, 5)
	size := steelAt(d, i)
	most, err := thumb.MostFlow(Native(d, sizePairs[i][0], sizePairs[i][1]))
	if err != nil {
		s.fail("%w", err)
		return
	}
	flow, length := flowUnit(d), lengthUnit(d)
	f := toFigures(flow.FromSI(most)*d.Between(0.7, 1.1, 0.05), 2)
	rate, err := chartFriction(d, size, flow.ToSI(f))
	if err != nil {
		s.fail("%w", err)
		return
	}
	w, t, err := usualWater(d)
	if err != nil {
		s.fail("%w", err)
		return
	}
	s.Given("f", "flow", f, flow)
	s.Given("L", "length, one way", Native(d, d.Between(40, 160, 10), d.Between(12, 50, 2)), length)
	s.Looked("R", "friction of "+size.Label()+" at this flow", rate, frictionUnit(d), chartSource(d))
	s.Step("L_p", "Pipe there and back", "2 * L", length, "The water has to come back: supply and return both count.")
	divide := Native(d, "100", "1000")
	why := Native(d, "The rate is for each hundred feet of pipe.", "The rate is in pascals for each meter; a thousand of them make a kilopascal.")
	circuit := One(d, "A pair of mains in a school wing", "The run to the far end of a row of houses", "The run to the unit heaters of a workshop", "A riser pair in an apartment house")
	if d.Level == 1 {
		s.Statement(circuit + " is {L} long, one way, in " + size.Label() + " steel. It carries {f}. What does the straight pipe lose, there and back?")
		s.Step("H", "Loss", "R * L_p / "+divide, lossUnit(d), why)
	} else {
		elbow, valve := lookFitting(s, "elbow-90"), lookFitting(s, "globe-valve")
		if s.err != nil {
			return
		}
		q := flow.ToSI(f)
		round := Native(d, 1, 2)
		s.Given("n", "elbows on the whole run", float64(d.Int(6, 16)), quantity.One)
		s.Looked("L_e", "equivalent length of an elbow", toFigures(length.FromSI(elbow.EquivalentLength(q, size, w)), 1+round), length, "Crane TP-410 (2009)")
		s.Looked("L_v", "equivalent length of the globe valve", toFigures(length.FromSI(valve.EquivalentLength(q, size, w)), 2), length, "Crane TP-410 (2009)")
		s.Step("L_f", "Fittings as pipe", "n * L_e + L_v", length, "Each fitting counts as the length of pipe that would lose the same.")
		s.Step("L_t", "Total equivalent length", "L_p + L_f", length, "Pipe and fittings lie one after the other, so their lengths add up.")
		s.Step("H", "Loss", "R * L_t / "+divide, lossUnit(d), why)
		s.Slip("fittings-ignored", "L_t", "L_p", "Add the fittings: in small jobs they are a third to a half of the whole.")
		s.MaySlip("fitting-length-per-each", "L_f", "L_e + L_v", "Multiply the equivalent length of one elbow by the number of elbows.")
		s.Source("equivalent length K·D/f with K of Crane TP-410 (2009)")
		s.Statement(circuit + " is {L} long, one way, in " + size.Label() + " steel, with {n} elbows and a globe valve in all. It carries {f}. What does the run lose, there and back, fittings included?")
	}
	s.Ask("loss", "Loss of the run", "H", ToleranceFriction)
	s.Slip("head-one-way", "L_p", "L", "The water has to come back: count supply and return.")
	s.Slip("head-rate-per-foot", "H", "R * "+map[bool]string{true: "L_p", false: "L_t"}[d.Level == 1], Native(d, "The rate is per hundred feet: divide by 100.", "The rate is in pascals: divide by 1000 for kilopascals."))
	if d.Level == 3 {
		finishRunLevel3(d, s, size, t)
	}
	s.Source(sourceFriction)
}

func lookFitting(s *Sheet, id string) pipe.Fitting {
	f, err := pipe.FittingNamed(id)
	if err != nil {
		s.fail("%w", err)
	}
	return f
}

// finishRunLevel3 adds the quick allowance and asks which to trust.
func finishRunLevel3(d *Draw, s *Sheet, size pipe.Size, t quantity.Celsius) {
	s.Statement("The mains to a far wing are {L} long, one way, in " + size.Label() + " steel, with {n} elbows and a globe valve in all. They carry {f}. What does the run lose, there and back, with its fittings counted one by one? What does it lose by the quick allowance, which adds half of the pipe's length for fittings? And which of the two do you trust here?")
	s.Step("H_q", "Loss by the quick allowance", Native(d, "R * 1.5 * L_p / 100", "R * 1.5 * L_p / 1000"), lossUnit(d), "The allowance takes half of the pipe's length for fittings, whatever they are.")
	s.Ask("quick", "Loss by the quick allowance", "H_q", ToleranceFriction)
	s.Slip("allowance-not-added", "H_q", Native(d, "R * 0.5 * L_p / 100", "R * 0.5 * L_p / 1000"), "The allowance comes on top of the pipe: one and a half times its length.")
	H, _ := s.Value("H")
	Hq, _ := s.Value("H_q")
	if ratio := Hq / H; ratio > 0.9 && ratio < 1.1 {
		s.Reject("allowance and count agree too closely to judge")
	}
	right := "count-less"
	if H > Hq {
		right = "count-more"
	}
	s.Choose("trust", "Which do you trust here?", right, "H_q", "Compare the two losses, and ask what the allowance can know of this run.",
		Pick{ID: "count-more", Text: "The count: the fittings of this run lose more than the allowance gives them", Slip: "allowance-thought-low", Say: "Compare the two results again: here the count comes out below the allowance."},
		Pick{ID: "count-less", Text: "The count: the fittings of this run lose less than the allowance gives them", Slip: "allowance-thought-high", Say: "Compare the two results again: here the count comes out above the allowance."},
		Pick{ID: "allowance", Text: "The allowance, because it is always on the safe side", Slip: "allowance-always-safe", Say: "The allowance knows nothing of this run. With many fittings on a short pipe it comes out too low."})
	s.Compare("fittings-half", "Half again for fittings", s.Quantity("H_q"), s.Quantity("H"),
		"The allowance stands for 5 to 10 fittings in each "+Native(d, "100 ft", "30 m")+". The engine counts the ones that are there, in water at "+quantity.FromSI(float64(t), readingUnit(d)).Text()+".")
}

func buildHeadAtAnotherFlow(d *Draw, s *Sheet) {
	flow, head := flowUnit(d), lossUnit(d)
	f1 := Native(d, d.Between(4, 30, 1), d.Between(0.25, 2, 0.05))
	h1 := Native(d, d.Between(5, 18, 0.5), d.Between(12, 55, 1))
	s.Source("h2 = h1 (f2/f1)^m; m = 2 for valves and fittings, 1.75 to 1.9 for pipe: ASHRAE Handbook Fundamentals, fluid flow (from memory)")
	s.Given("f_1", "flow then", f1, flow)
	system := One(d, "A heating circuit", "The zone of a workshop", "The circuit of an apartment house", "A school's north circuit")
	switch d.Level {
	case 1:
		s.Statement(system + " loses {H_1} at {f_1}. What will it lose at {f_2}? The loss there grows with the flow to the power {m}.")
		s.Given("H_1", "loss then", h1, head)
		s.Given("f_2", "flow now", toFigures(f1*One(d, 0.5, 0.6, 0.7, 1.4, 1.5, 1.8, 2), 3), flow)
		s.Given("m", "exponent", One(d, 1.8, 1.85, 1.9), quantity.One)
		s.Step("H_2", "Loss now", "H_1 * pow(f_2 / f_1, m)", head, "Loss follows the flow to a power between 1.75 and 2.")
		s.Ask("loss", "Loss now", "H_2", ToleranceTable)
		s.Slip("head-linear-flow", "H_2", "H_1 * f_2 / f_1", "Friction grows faster than the flow: use the exponent.")
		s.Slip("head-inverse", "H_2", "H_1 * pow(f_1 / f_2, m)", "The ratio is upside down: more flow loses more head.")
		s.MaySlip("head-cubed-flow", "H_2", "H_1 * pow(f_2 / f_1, 3)", "The cube is for power; head goes with nearly the square.")
	case 2:
		s.Statement(system + " loses {H_1} at {f_1}. Now only {H_2} is left to drive it. What flow remains? The loss there grows with the flow to the power {m}.")
		s.Given("H_1", "loss then", h1, head)
		s.Given("H_2", "loss it can have now", toFigures(h1*One(d, 0.25, 0.3, 0.4, 0.5, 0.6), 2), head)
		s.Given("m", "exponent", One(d, 1.8, 1.85, 1.9), quantity.One)
		s.Step("f_2", "Flow now", "f_1 * pow(H_2 / H_1, 1 / m)", flow, "Turn the power around: the flow follows the head to the power one over the exponent.")
		s.Ask("flow", "Flow now", "f_2", ToleranceTable)
		s.Slip("flow-linear-head", "f_2", "f_1 * H_2 / H_1", "Half the head leaves far more than half the flow: take the root.")
		s.Slip("flow-power-not-root", "f_2", "f_1 * pow(H_2 / H_1, m)", "You raised to the exponent; to go from head to flow take the root.")
		s.MaySlip("head-inverse", "f_2", "f_1 * pow(H_1 / H_2, 1 / m)", "The ratio is upside down: less head drives less flow.")
	default:
		s.Statement("At {f_1} the tube of a circuit loses {H_p} and its valves lose {H_v}. What will the tube, and what will the whole circuit, lose at {f_2}? The loss of the tube grows with the flow to the power {m}, that of the valves with its square.")
		s.Given("H_p", "loss of the tube then", h1, head)
		s.Given("H_v", "loss of the valves then", toFigures(h1*One(d, 0.4, 0.6, 0.8), 2), head)
		s.Given("f_2", "flow now", toFigures(f1*One(d, 0.5, 0.6, 1.5, 1.7, 2), 3), flow)
		s.Given("m", "exponent of the tube", 1.75, quantity.One)
		s.Step("H_a", "Loss of the tube now", "H_p * pow(f_2 / f_1, m)", head, "The tube has an exponent of its own, below two.")
		s.Step("H_b", "Loss of the valves now", "H_v * pow(f_2 / f_1, 2)", head, "Valves and fittings follow the square.")
		s.Step("H_2", "Loss of the circuit now", "H_a + H_b", head, "Tube and valves lie one after the other: their losses add up.")
		s.Ask("tube", "Loss of the tube now", "H_a", ToleranceTable)
		s.Ask("loss", "Loss of the circuit now", "H_2", ToleranceTable)
		s.Slip("head-linear-flow", "H_a", "H_p * f_2 / f_1", "Friction grows faster than the flow: use the exponent.")
		s.Slip("head-inverse", "H_a", "H_p * pow(f_1 / f_2, m)", "The ratio is upside down: more flow loses more head.")
		s.MaySlip("valves-left-as-they-were", "H_b", "H_v", "The valves' loss changes with the flow too.")
		s.MaySlip("valves-left-out", "H_2", "H_a", "Add the valves: they lie in the same circuit.")
	}
	if d.Level == 1 {
		f2, _ := s.Value("f_2")
		s.Compare("square-law", "The square law", quantity.Of(h1*(f2/f1)*(f2/f1), head), s.Quantity("H_2"),
			"The square holds for valves and rough pipe. In tube the loss grows a little slower, so the rule lies too high for more flow and too low for less.")
	}
}
