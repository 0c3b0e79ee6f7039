package exercises

import (
	"loopwright/grader/circulator"
	"loopwright/grader/pipe"
	"loopwright/grader/quantity"
)

var swappedCirculator = &Family{
	ID: "swapped-circulator", Title: "Another circulator on the same pipes", Skills: []string{"circulator-swap", "operating-point"}, Lesson: LessonSpeed,
	Levels: [Levels]string{
		"The new flow between two readings, its share of the old, and what the drop does.",
		"Head and velocity too, against the limit for noise.",
		"The new drop, the mean water temperature, and what a cold room gets.",
	},
	Build: buildSwapped,
}

const sourceSwap = "The system curve H = c·f² through the point where the old circulator ran: Hydraulic Institute, pump fundamentals; a straight line between two readings, common practice"

func buildSwapped(d *Draw, s *Sheet) {
	w, ok := drawSwap(d, s)
	if !ok {
		return
	}
	switch d.Level {
	case 1:
		buildSwapShare(d, s, w)
	case 2:
		buildSwapVelocity(d, s, w)
	default:
		buildSwapRooms(d, s, w)
	}
	s.Source(sourceSwap)
	s.Source(sourceDemoCurves)
	s.Caution(cautionCirculator)
	s.Caution(cautionHot)
}

// swap is the new circulator and the opening of the statement.
type swap struct {
	fresh   circulator.Model
	opening string
}

// drawSwap records an old circulator's operating point f_1 and H_1, two
// readings x_1, h_1 and x_2, h_2 of the new one on both sides of its own, and
// the steps to the new flow f_2. It says whether the draw is of use.
func drawSwap(d *Draw, s *Sheet) (w swap, ok bool) {
	flow, drive := flowUnit(d), driveUnit(d)
	set := circulator.Demo()
	number := d.Int(0, 5)
	if d.Level == 2 {
		number = d.Int(0, 3) // its main is one for which the velocity limit is meant
	}
	old := set[number]
	to := number + One(d, 1, 2)
	if d.Level < 3 && number > 1 {
		to = number + One(d, -2, -1, 1, 2)
	}
	if to >= len(set) {
		s.Reject("beyond the set")
		return swap{}, false
	}
	fresh := set[to]
	f1 := roundFlow(d, flow.FromSI(old.Curve.End())*d.Between(0.4, 0.75, 0.01))
	H1, ok := fromCurve(d, old, f1)
	system, err := circulator.Through(0, flow.ToSI(f1), headOf(d, H1), 2)
	if err != nil || !ok {
		s.Reject("beyond the curve of the old one")
		return swap{}, false
	}
	point, err := circulator.OperatingPoint(fresh.Curve, system)
	if err != nil {
		s.Reject(err.Error())
		return swap{}, false
	}
	f2 := flow.FromSI(point.Flow)
	gap := roundFlow(d, f2*0.25) // a straight line across more would cut the curve
	x1 := roundFlow(d, f2-gap*d.Between(0.3, 0.7, 0.05))
	x2 := toFigures(x1+gap, 6)
	h1, ok1 := fromCurve(d, fresh, x1)
	h2, ok2 := fromCurve(d, fresh, x2)
	if r := f2 / f1; !ok1 || !ok2 || gap == 0 || r < 0.6 || r > 1.7 || (r > 0.88 && r < 1.13) {
		s.Reject("beyond the curve of the new one, or too little or too much of a change")
		return swap{}, false
	}
	s.Given("f_1", "flow with the old circulator", f1, flow)
	s.Given("H_1", headWord(d)+" with the old circulator", H1, drive)
	s.Given("x_1", "flow of the first reading", x1, flow)
	s.Given("h_1", headWord(d)+" of the first reading", h1, drive)
	s.Given("x_2", "flow of the second reading", x2, flow)
	s.Given("h_2", headWord(d)+" of the second reading", h2, drive)
	s.Step("e_1", "Left over at the first reading", "h_1 - H_1 * pow(x_1 / f_1, 2)", drive, "The pipes are the same, so they take the old head at the old flow, and by the square at any other.")
	s.Step("e_2", "Left over at the second reading", "h_2 - H_1 * pow(x_2 / f_1, 2)", drive, "There the pipes take more than the circulator gives: the number is below zero.")
	a, _ := s.Value("e_1")
	b, _ := s.Value("e_2")
	if a < 0.02*h1 || b > -0.02*h1 {
		s.Reject("no clear crossing between the readings")
		return swap{}, false
	}
	s.Step("f_2", "Flow with the new circulator", "x_1 + (x_2 - x_1) * e_1 / (e_1 - e_2)", flow, "Along a straight line between the readings, what is left over falls to nothing here.")
	return swap{fresh, "In " + sizedBuilding(d, number) + " the demo circulator " + old.ID + " ran at {f_1} and {H_1}. It failed, and a " + fresh.ID + " was put in its place; nothing else was touched. The sheet of the " + fresh.ID + " reads {h_1} at {x_1} and {h_2} at {x_2}, and it runs between those two. "}, true
}

// swapSlips are the wrong turns at the new flow.
func swapSlips(s *Sheet) {
	s.Slip("opoint-design-flow", "f_2", "f_1", "That was the flow of the old circulator. The new one runs where its own curve meets the curve of the same pipes.")
	s.MaySlip("flow-at-old-head", "f_2", "x_1 + (x_2 - x_1) * (h_1 - H_1) / (h_1 - h_2)", "That is where the new circulator gives the old head. With another flow the pipes take another head.")
	s.MaySlip("head-linear-flow", "f_2", "x_1 + (x_2 - x_1) * (h_1 - H_1 * x_1 / f_1) / (h_1 - H_1 * x_1 / f_1 - h_2 + H_1 * x_2 / f_1)", "What the pipes take goes with the square of the flow.")
}

// compareSwap sets the reading by hand beside the engine's operating point
// with the exponent of smooth tube.
func compareSwap(d *Draw, s *Sheet, w swap) {
	f1, H1, f2 := s.Quantity("f_1"), s.Quantity("H_1"), s.Quantity("f_2")
	system, err := circulator.Through(0, f1.SI, headOf(d, H1.Number()), smoothExponent)
	if err != nil {
		s.fail("system: %w", err)
		return
	}
	// With less resistance at large flows the engine's point may lie beyond the
	// end of the curve: then there is nothing to compare.
	if point, err := circulator.OperatingPoint(w.fresh.Curve, system); err == nil {
		s.Compare("square-law", "the square law, and a straight line between readings", f2, quantity.FromSI(point.Flow, flowUnit(d)),
			"The full calculation follows the curve between the readings and takes the exponent 1.75 of smooth tube for the pipes.")
	}
}

func buildSwapShare(d *Draw, s *Sheet, w swap) {
	s.Statement(w.opening + "What flow passes now, what share of the old flow is that, and what becomes of the temperature drop while the heat stays the same?")
	x := s.Step("x", "Share of the old flow", "100 * f_2 / f_1", quantity.Percent, "New flow over old flow.")
	s.Ask("flow", "Flow with the new circulator", "f_2", toleranceCurveFlow)
	s.Ask("share", "Share of the old flow", "x", toleranceCurveFlow)
	right, wrong := "smaller", "larger"
	if x < 100 {
		right, wrong = wrong, right
	}
	s.Choose("drop", "What becomes of the temperature drop at the same heat?", right, "x", "Heat is flow times drop: ask what the drop must do when the flow changes.", shuffled(d, []Pick{
		{ID: right, Text: "It becomes " + right + "."},
		{ID: wrong, Text: "It becomes " + wrong + ".", Slip: "drop-inverse", Say: "The same heat in more water is a smaller drop, in less water a larger one."},
		{ID: "same", Text: "It stays: the boiler sets it.", Slip: "drop-unchanged", Say: "Boiler and rooms set the heat. Flow times drop is that heat, so with another flow the drop cannot stay."},
	})...)
	swapSlips(s)
	s.Slip("share-inverted", "x", "100 * f_1 / f_2", "The new flow goes on top: its share of the old one is asked.")
	compareSwap(d, s, w)
}

// velocityOfMain records a main of steel in which the old flow ran below the
// customary limit, and the new velocity. It says whether there is one.
func velocityOfMain(d *Draw, s *Sheet) (size pipe.Size, ok bool) {
	formula, most := Native(d, "0.4085 * f_2 / pow(d, 2)", "1273 * f_2 / pow(d, 2)"), Native(d, 4.0, 1.2)
	f1 := s.Quantity("f_1").SI
	for i := 1; i <= 5; i++ {
		size = steelAt(d, i)
		if v := velocityUnit(d).FromSI(size.Velocity(f1)); v > 0.45*most && v < 0.95*most {
			s.Looked("d", "bore of "+size.Label()+" steel", boreUnit(d).FromSI(size.Bore), boreUnit(d), "pipe table")
			s.Looked("v_m", "velocity up to which a main is quiet", most, velocityUnit(d), "common practice")
			v := s.Step("v", "Velocity now", formula, velocityUnit(d), "The same flow must pass through the area of the bore.")
			if v > 0.94*most && v < 1.06*most {
				s.Reject("at the limit")
				return size, false
			}
			s.MaySlip("velocity-radius", "v", Native(d, "0.4085 * f_2 / pow(2 * d, 2)", "1273 * f_2 / pow(2 * d, 2)"), "You used the bore as a radius, so the area came out four times too big.")
			s.MaySlip("velocity-d-not-squared", "v", Native(d, "0.4085 * f_2 / d", "1273 * f_2 / d"), "The area of the bore goes with the square of its diameter.")
			s.Source(sourceBore)
			s.Source(sourceLimits)
			return size, true
		}
	}
	s.Reject("no main in which the old flow was quiet")
	return size, false
}

func buildSwapVelocity(d *Draw, s *Sheet, w swap) {
	size, ok := velocityOfMain(d, s)
	if !ok {
		return
	}
	s.Statement(w.opening + "The main is " + size.Label() + " steel, and custom keeps the water in it below {v_m}. What flow and what " + headWord(d) + " follow, how fast does the water run, and will it be heard?")
	s.Step("H_2", Capital(headWord(d))+" now", "H_1 * pow(f_2 / f_1, 2)", driveUnit(d), "Put the new flow into the curve of the pipes.")
	s.Ask("flow", "Flow with the new circulator", "f_2", toleranceCurveFlow)
	s.Ask("head", Capital(headWord(d))+" with the new circulator", "H_2", toleranceSwapHead)
	s.Ask("velocity", "Velocity in the main", "v", toleranceCurve)
	right := "under"
	if v, _ := s.Value("v"); v > Native(d, 4.0, 1.2) {
		right = "over"
	}
	s.Choose("limit", "Is the main still quiet?", right, "v", "Compare the new velocity with {v_m}.",
		Pick{ID: "under", Text: "Yes: it runs below {v_m}.", Slip: "velocity-limit-passed", Say: "The new circulator drives {f_2} where {f_1} were: that is above {v_m}."},
		Pick{ID: "over", Text: "No: it runs above {v_m}.", Slip: "velocity-limit-misread", Say: "With {f_2} it stays below {v_m}."})
	swapSlips(s)
	s.MaySlip("head-linear-flow", "H_2", "H_1 * f_2 / f_1", "What the pipes take goes with the square of the flow.")
	s.MaySlip("opoint-design-head", "H_2", "H_1", "That belongs to the old flow. Put the new flow in.")
	compareSwap(d, s, w)
}

var toleranceSwapHead = Tolerance{Rel: 0.06, Why: "The head goes with the square of a flow that is itself read to about 3 %."}

func buildSwapRooms(d *Draw, s *Sheet, w swap) {
	s.Given("dT_1", "drop with the old circulator", Native(d, d.Between(16, 30, 1), d.Between(8, 16, 0.5)), dropUnit(d))
	s.Statement(w.opening + "With the old one the water came back {dT_1} cooler. The larger one was taken because one far room stays cool. What flow passes now? Reckon with the same supply temperature and the same heat at first: what does the drop become, and how much warmer is the mean of supply and return? What does the cool room get out of that?")
	s.Step("dT_2", "Drop now", "dT_1 / (f_2 / f_1)", dropUnit(d), "The same heat in more water: the drop shrinks as the flow grows.")
	s.Step("y", "Rise of the mean water temperature", "(dT_1 - dT_2) / 2", dropUnit(d), "The supply stays, the return comes back warmer by the whole change; the mean rises by half of it.")
	s.Ask("flow", "Flow with the new circulator", "f_2", toleranceCurveFlow)
	s.Ask("drop", "Drop at the same heat", "dT_2", Tolerance{Rel: 0.04, Abs: Native(d, 0.5, 0.3), Why: "The drop follows the flow, which is read to about 3 %; a thermometer on a pipe is read no closer than this."})
	s.Ask("mean", "Rise of the mean water temperature", "y", Tolerance{Rel: 0.1, Abs: Native(d, 0.4, 0.2), Why: "Half of a small difference of two drops: a little in each is a tenth here."})
	s.Choose("room", "What does the cool room get out of it?", "little", "y", "A radiator gives heat by its mean water temperature over the room's, not by the flow.", shuffled(d, []Pick{
		{ID: "little", Text: "A little more heat, as its water is a few degrees warmer on the mean. If it lacks its share of the flow, balancing helps it more."},
		{ID: "same-share", Text: "As much more heat as there is more flow.", Slip: "flow-doubles-output", Say: "The radiator sets the limit. More flow lifts its mean water temperature by about {y}, and the heat by a few percent."},
		{ID: "less", Text: "Less: the water now runs too fast to give off its heat.", Slip: "water-too-fast", Say: "Fast water cools less on its way, so the radiator is warmer on the mean and gives more, not less."},
	})...)
	swapSlips(s)
	s.Slip("drop-inverse", "dT_2", "dT_1 * f_2 / f_1", "More flow for the same heat makes a smaller drop: divide by the ratio.")
	s.MaySlip("mean-rises-by-all", "y", "dT_1 - dT_2", "By that much the return comes back warmer. The supply stays, so the mean rises by half.")
	compareSwap(d, s, w)
	s.Source(sourceHeat)
}
