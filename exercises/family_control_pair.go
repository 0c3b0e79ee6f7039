package exercises

import (
	"math"

	"loopwright/grader/quantity"
)

var circulatorsCombined = &Family{
	ID: "circulators-combined", Title: "Two circulators together", Skills: []string{"pumps-combined", "operating-point"}, Lesson: LessonSpeed,
	Levels: [Levels]string{
		"Two side by side: the flow against that of one.",
		"Two one behind the other: flow and head against those of one.",
		"Both ways on one system: which gives more, and what is left when one stops.",
	},
	Build: buildCombined,
}

const (
	sourceCombined = "Side by side, with check valves, flows add at the same head; one behind the other, heads add at the same flow: Hydraulic Institute, pump fundamentals"
	cautionCheck   = "Two circulators side by side need a check valve each, or the one that stands still is driven backward. Shut off, lock out and relieve the pressure before you work on either."
	sayDoubled     = "More flow meets more friction, which goes with its square. The pair settles where its own curve meets the system curve."
)

func buildCombined(d *Draw, s *Sheet) {
	a, b, c := drawPair(d, s)
	flow := flowUnit(d)
	alone := s.Step("f_1", "Flow of one alone", "sqrt(a / (b + c))", flow, "Where both give the same head, a − b·f² = c·f².")
	if end, _ := s.Value("f_e"); alone > 0.97*end || alone < 0.3*end {
		s.Reject("one alone runs at an end of its curve")
		return
	}
	s.Ask("alone", "Flow of one alone", "f_1", toleranceCurveFlow)
	s.MaySlip("opoint-design-flow", "f_1", "f_d", "That is a known point of the system. The circulator runs where its own curve meets the system curve.")
	s.MaySlip("curve-sign-lost", "f_1", "sqrt(a / c)", "The circulator's curve falls with flow: count its b too.")
	switch d.Level {
	case 1:
		buildSideBySide(d, s)
	case 2:
		buildOneBehindTheOther(d, s)
	default:
		buildPairCompared(d, s, a, b, c)
	}
	s.Source(sourceCombined)
	s.Source(sourceSystemCurve)
	s.Source("Curve of the demo circulators, a parabola through two of its points: demo values")
	s.Caution(cautionCheck)
	s.Caution(cautionHot)
}

// drawPair records a circulator by its head at no flow and at the end of its
// curve, a system by one known point, and the two steps that make curves of
// them.
func drawPair(d *Draw, s *Sheet) (a, b, c float64) {
	drive, flow := driveUnit(d), flowUnit(d)
	a = Native(d, d.Between(10, 30, 1), d.Between(30, 90, 2))
	s.Given("a", "each circulator at no flow", a, drive)
	s.Given("H_e", "each at the end of its curve", toFigures(a*d.Between(0.1, 0.35, 0.05), 2), drive)
	end := Native(d, d.Between(12, 50, 1), d.Between(0.8, 3.2, 0.1))
	s.Given("f_e", "flow at the end of the curve", end, flow)
	fd := roundFlow(d, end*d.Between(0.4, 0.9, 0.02))
	s.Given("f_d", "known flow of the system", fd, flow)
	s.Given("H_d", "what the system takes there", toFigures(a*d.Between(0.2, 0.9, 0.02), 2), drive)
	b = s.Step("b", "Fall of the curve of one", "(a - H_e) / pow(f_e, 2)", quantity.One, "From no flow to its end the curve falls by the difference of the two, with the square of the flow.")
	c = s.Step("c", "Steepness of the system", "H_d / pow(f_d, 2)", quantity.One, "In a closed system all of the head is friction, which goes with the square of flow.")
	return a, b, c
}

// pairWords open the statement of a problem with two equal circulators.
func pairWords(d *Draw) string {
	return "Two equal demo circulators stand ready for " + oldBuilding(d) + ". Each gives {a} at no flow and {H_e} at the end of its curve, at {f_e}; between them it falls as H = a − b·f². The closed system takes {H_d} at {f_d}, and its curve is H = c·f². "
}

func buildSideBySide(d *Draw, s *Sheet) {
	flow := flowUnit(d)
	s.Statement(pairWords(d) + "What flow does one alone move, what flow do both move side by side, and how much more is that?")
	s.Step("f_2", "Flow of both side by side", "sqrt(a / (b / 4 + c))", flow, "Each moves half of the flow, so at the same head the pair's curve falls only a quarter as fast: a − b·(f/2)² = c·f².")
	gain := s.Step("g", "Gain", "100 * (f_2 / f_1 - 1)", quantity.Percent, "The pair's flow against that of one.")
	if gain < 6 || gain > 80 {
		s.Reject("an odd gain")
		return
	}
	s.Ask("both", "Flow of both side by side", "f_2", toleranceCurveFlow)
	s.Ask("gain", "How much more that is", "g", Tolerance{Rel: 0.1, Abs: 2, Why: "A small difference of two flows: half a percent in each is a point here."})
	s.Slip("parallel-doubles-flow", "f_2", "2 * f_1", sayDoubled)
	s.MaySlip("parallel-halves-fall", "f_2", "sqrt(a / (b / 2 + c))", "Each moves half of the flow, and the fall goes with its square: a quarter, not a half.")
	s.MaySlip("parallel-adds-head", "f_2", "sqrt(2 * a / (2 * b + c))", "That is one behind the other. Side by side flows add, at the same head.")
	s.MaySlip("ratio-for-gain", "g", "100 * f_2 / f_1", "That is the pair's flow in percent of one's. The gain is what lies above a hundred.")
}

func buildOneBehindTheOther(d *Draw, s *Sheet) {
	flow, drive := flowUnit(d), driveUnit(d)
	s.Statement(pairWords(d) + "What flow does one alone move, and what flow and " + headWord(d) + " do both make one behind the other?")
	f := s.Step("f_2", "Flow of both, one behind the other", "sqrt(2 * a / (2 * b + c))", flow, "At the same flow the heads add: 2·(a − b·f²) = c·f².")
	s.Step("H_1", Capital(headWord(d))+" with one", "c * pow(f_1, 2)", drive, "What the system takes at the flow of one.")
	s.Step("H_2", Capital(headWord(d))+" with both", "c * pow(f_2, 2)", drive, "Put the pair's flow into the system curve.")
	if end, _ := s.Value("f_e"); f > 0.98*end {
		s.Reject("the pair runs off its curve")
		return
	}
	s.Ask("both", "Flow of both, one behind the other", "f_2", toleranceCurveFlow)
	s.Ask("head", Capital(headWord(d))+" of both together", "H_2", ToleranceTable)
	s.Slip("series-doubles-head", "H_2", "2 * H_1", "The flow rises as well, and both curves fall with it: the pair settles below twice the head.")
	s.MaySlip("series-same-flow", "f_2", "f_1", "With more head the flow rises until the system takes what the pair gives.")
	s.MaySlip("series-doubles-flow", "f_2", "2 * f_1", sayDoubled)
	s.MaySlip("series-fall-of-one", "f_2", "sqrt(2 * a / (b + c))", "Both fall with the flow: the pair's curve falls twice as fast.")
	s.MaySlip("series-for-parallel", "f_2", "sqrt(a / (b / 4 + c))", "That is side by side. One behind the other heads add, at the same flow.")
	s.MaySlip("opoint-shutoff", "H_2", "2 * a", sayShutoff)
}

func buildPairCompared(d *Draw, s *Sheet, a, b, c float64) {
	flow := flowUnit(d)
	s.Statement(pairWords(d) + "What flow does one alone move, what do both move side by side, what one behind the other, and which way gives more here? When one of the two then fails, the other goes on alone (a check valve, or a way round, sees to that): what share of the better pair's flow is left?")
	p := s.Step("f_p", "Both side by side", "sqrt(a / (b / 4 + c))", flow, "Each moves half of the flow: a − b·(f/2)² = c·f².")
	r := s.Step("f_r", "Both one behind the other", "sqrt(2 * a / (2 * b + c))", flow, "At the same flow the heads add: 2·(a − b·f²) = c·f².")
	s.Step("x", "Share left with one", "100 * f_1 / max(f_p, f_r)", quantity.Percent, "What one alone moves over what the better pair moves.")
	if end, _ := s.Value("f_e"); r > 0.98*end || math.Abs(p/r-1) < 0.05 {
		s.Reject("the pair runs off its curve, or both ways are alike")
		return
	}
	right := "side"
	if r > p {
		right = "row"
	}
	s.Ask("side", "Flow of both side by side", "f_p", toleranceCurveFlow)
	s.Ask("row", "Flow of both one behind the other", "f_r", toleranceCurveFlow)
	s.Choose("better", "Which way gives more flow on this system?", right, "f_p", "Compare the two flows; then see how steep the system is against the curve of one.", shuffled(d, []Pick{
		{ID: "side", Text: "Side by side: the system is easy, and the curve of one falls fast.", Slip: "parallel-on-steep-system", Say: "This system is steep: more flow needs much more head, and side by side the head hardly rises."},
		{ID: "row", Text: "One behind the other: the system is steep, it asks for head.", Slip: "series-on-flat-system", Say: "This system is easy: the curve of one falls faster than the system rises, so spare the fall and share the flow."},
		{ID: "same", Text: "It is the same: two circulators are two circulators.", Slip: "pair-all-the-same", Say: "Work out both: the flows differ."},
	})...)
	s.Ask("left", "Share of the better pair's flow that one alone keeps up", "x", ToleranceTable)
	s.Slip("parallel-doubles-flow", "f_p", "2 * f_1", sayDoubled)
	s.MaySlip("series-doubles-flow", "f_r", "2 * f_1", sayDoubled)
	s.MaySlip("parallel-halves-fall", "f_p", "sqrt(a / (b / 2 + c))", "Each moves half of the flow, and the fall goes with its square: a quarter, not a half.")
	s.MaySlip("series-fall-of-one", "f_r", "sqrt(2 * a / (b + c))", "Both fall with the flow: the pair's curve falls twice as fast.")
	s.MaySlip("one-keeps-half", "x", "50", "With one gone the friction falls too: the other moves more than half.")
}
