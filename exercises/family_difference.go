package exercises

import (
	"fmt"
	"math"
	"slices"

	"loopwright/grader"
	"loopwright/grader/fluid"
	"loopwright/grader/network"
	"loopwright/grader/pipe"
	"loopwright/grader/quantity"
)

var differenceFamilies = []*Family{
	{
		ID: "near-and-far", Title: "What drives the near and the far circuit", Skills: []string{"difference-along-mains"}, Lesson: LessonDifference,
		Levels: [Levels]string{
			"Subtract the losses of both mains as far as each circuit.",
			"Start from what the far circuit needs and work back to the circulator.",
			"Gauge readings at three unlike circuits: difference, flow, and who is best off.",
		},
		Build: buildNearFar,
	},
	{
		ID: "parallel-split", Title: "How a flow splits", Skills: []string{"parallel-split"}, Lesson: LessonDifference,
		Levels: [Levels]string{
			"Two loops of the same tube and unlike length.",
			"Two circuits known by one measured point each.",
			"Three circuits: flows, common loss, and the order, with loads that do not decide.",
		},
		Build: buildParallelSplit,
	},
	{
		ID: "valve-flow", Title: "Valve coefficients", Skills: []string{"cv-flow"}, Lesson: LessonDifference,
		Levels: [Levels]string{
			"Flow from coefficient and pressure drop.",
			"Pressure drop from coefficient and flow.",
			"Flow from a load, the coefficient it needs, and a valve from a list.",
		},
		Build: buildValveFlow,
	},
	{
		ID: "balancing-cv", Title: "The valve that takes up the excess", Skills: []string{"balance-drop", "cv-flow"}, Lesson: LessonDifference,
		Levels: [Levels]string{
			"The losses of two circuits are given.",
			"The excess follows from the mains and the circuit's load.",
			"Three circuits: which valve stays open, and what the near one takes.",
		},
		Build: buildBalancingCv,
	},
	{
		ID: "balancing-order", Title: "Balancing by shares of the design flow", Skills: []string{"balance-drop"}, Lesson: LessonDifference,
		Levels: [Levels]string{
			"Three measured flows: which valve stays open.",
			"Four measured flows: the order of throttling.",
			"All circuits at one share: what the circulator must change.",
		},
		Build: buildBalancingOrder,
	},
}

// driveUnit is what the difference across a circuit is written in: ft of head
// in US units, kPa in SI.
func driveUnit(d *Draw) *quantity.Unit { return Native(d, quantity.FootHead, quantity.Kilopascal) }

var (
	toleranceDifference = Tolerance{Rel: 0.03, Why: "The losses are given and only added or subtracted; 3 % forgives rounding and nothing else."}
	toleranceSplit      = Tolerance{Rel: 0.05, Why: "The square law and the exponent 1.75 of smooth tube differ by a few percent in a split like this; both pass."}
)

const (
	sourceMains     = "Losses along one path add up (energy equation of steady flow, any fluid mechanics text); direct return as in common practice"
	sourceSquareLaw = "Head goes with the square of flow in turbulent flow through valves, fittings and rough pipe: ASHRAE Handbook Fundamentals, fluid flow (from memory)"
)

func buildNearFar(d *Draw, s *Sheet) {
	building := One(d, "a long school wing", "a row of workshops", "a guest house", "a parish hall with two annexes", "an apartment block")
	switch d.Level {
	case 1:
		buildNearFarDirect(d, s, building)
	case 2:
		buildNearFarBack(d, s, building)
	default:
		buildNearFarGauges(d, s, building)
	}
	s.Source(sourceMains)
	s.Caution(cautionHot)
}

func buildNearFarDirect(d *Draw, s *Sheet, building string) {
	drive := driveUnit(d)
	what := Native(d, "a head difference", "a pressure difference")
	s.Statement("A two-pipe direct-return system heats " + building + ". At the start of the mains the circulator holds " + what + " of {D_0} between supply and return. As far as the near circuit the supply main loses {h_1}, from there to the far circuit {h_2} more; the return main loses just as much on the way back. What difference drives each circuit?")
	s.Given("D_0", "difference at the start of the mains", Native(d, d.Between(8, 16, 0.5), d.Between(24, 48, 1)), drive)
	s.Given("h_1", "loss of the supply main as far as the near circuit", Native(d, d.Between(0.6, 2, 0.2), d.Between(2, 6, 0.5)), drive)
	s.Given("h_2", "loss of the supply main from near to far", Native(d, d.Between(0.8, 3, 0.2), d.Between(2.5, 9, 0.5)), drive)
	s.Step("D_1", "Difference at the near circuit", "D_0 - 2 * h_1", drive, "Supply pressure falls on the way out, return pressure rises on the way out: the gap closes by both losses.")
	far := s.Step("D_2", "Difference at the far circuit", "D_1 - 2 * h_2", drive, "Beyond the near circuit both mains take their share again.")
	if start, _ := s.Value("D_0"); far < 0.3*start {
		s.Reject("the mains eat up the difference")
		return
	}
	s.Ask("near", "Difference at the near circuit", "D_1", toleranceDifference)
	s.Ask("far", "Difference at the far circuit", "D_2", toleranceDifference)
	const say = "The return main loses as much as the supply main: subtract both."
	s.MaySlip("return-main-forgotten", "D_1", "D_0 - h_1", say)
	s.Slip("return-main-forgotten", "D_2", "D_0 - h_1 - h_2", say)
	s.MaySlip("far-skips-near", "D_2", "D_0 - 2 * h_2", "The water for the far circuit first passes the mains that lead to the near one: subtract those losses too.")
	s.MaySlip("mains-added", "D_1", "D_0 + 2 * h_1", "Mains take away from the difference; nothing on the way adds to it.")
	s.MaySlip("difference-unchanged", "D_2", "D_0", "The circulator's difference is there only at the start of the mains. Each section takes its loss.")
}

func buildNearFarBack(d *Draw, s *Sheet, building string) {
	drive, length := driveUnit(d), lengthUnit(d)
	rate := Native(d, quantity.FootPerHundredFeet, quantity.PascalPerMeter)
	s.Statement("Three circuits hang on the direct-return mains of " + building + ". Supply and return run side by side, in three sections: {L_1} at {R_1}, {L_2} at {R_2} and {L_3} at {R_3}, as long as the drawing shows for one pipe. The far circuit, at the end, needs {D_3} at design flow. What difference must the circulator hold at the start of the mains, and what does the near circuit, after the first section, then get?")
	for i := 1; i <= 3; i++ {
		s.Given(fmt.Sprintf("L_%d", i), fmt.Sprintf("length of section %d, one way", i), Native(d, d.Between(20, 60, 5), d.Between(6, 18, 1)), length)
		s.Given(fmt.Sprintf("R_%d", i), fmt.Sprintf("loss rate of section %d", i), Native(d, d.Between(2, 4, 0.2), d.Between(150, 380, 10)), rate)
	}
	s.Given("D_3", "difference that the far circuit needs", Native(d, d.Between(3, 6, 0.5), d.Between(8, 16, 1)), drive)
	for i := 1; i <= 3; i++ {
		s.Step(fmt.Sprintf("h_%d", i), fmt.Sprintf("Loss of section %d, both pipes", i),
			fmt.Sprintf(Native(d, "2 * L_%d * R_%d / 100", "2 * L_%d * R_%d / 1000"), i, i), drive, "The water runs the section twice, out in the supply and home in the return.")
	}
	s.Step("D_2", "Difference at the middle circuit", "D_3 + h_3", drive, "Working back toward the circulator, each section adds what it will take.")
	s.Step("D_1", "Difference at the near circuit", "D_2 + h_2", drive, "The near circuit sees everything that the sections beyond it will take, and what the far circuit needs.")
	s.Step("D_0", "Difference at the start of the mains", "D_1 + h_1", drive, "The circulator has to cover the far circuit and all of the mains before it.")
	s.Ask("start", "Difference at the start of the mains", "D_0", toleranceDifference)
	s.Ask("near", "Difference at the near circuit", "D_1", toleranceDifference)
	const oneWay = "The water has to come back: count each section in the supply and in the return."
	s.Slip("head-one-way", "D_0", "D_3 + (h_1 + h_2 + h_3) / 2", oneWay)
	s.Slip("head-one-way", "D_1", "D_3 + (h_2 + h_3) / 2", oneWay)
	s.MaySlip("circuit-forgotten", "D_0", "h_1 + h_2 + h_3", "That is what the mains take. The far circuit still needs {D_3} beyond them.")
	s.MaySlip("difference-unchanged", "D_1", "D_3", "The near circuit sees more than the far one needs: that, and what the mains between them take.")
	s.MaySlip("near-from-far", "D_1", "D_3 + h_1", "Between the near and the far circuit lie the second and the third section, not the first.")
}

func buildNearFarGauges(d *Draw, s *Sheet, building string) {
	press, flow := pressureUnit(d), flowUnit(d)
	names := []string{"near", "middle", "far"}
	s.Statement("In " + building + " three circuits hang on direct-return mains, all in one basement corridor. One gauge, moved from tap to tap at the same height, reads supply and return: near {S_1} and {B_1}, middle {S_2} and {B_2}, far {S_3} and {B_3}. At design flow the near circuit takes {p_1}, the middle one {p_2}, and the far one {p_3} at {q_3}. What drives the far circuit, what flow does it get, and which circuit has the largest share of its design flow?")
	step := Native(d, 0.2, 2.0)
	diff := make([]float64, 3)
	diff[2] = Native(d, d.Between(1.4, 3, 0.2), d.Between(8, 18, 2))
	diff[1] = diff[2] + step*float64(d.Int(2, 5))
	diff[0] = diff[1] + step*float64(d.Int(2, 5))
	supply := Native(d, d.Between(20, 26, 0.5), d.Between(150, 190, 5))
	share := make([]float64, 3)
	for i := range 3 {
		n := i + 1
		gauge := math.Round((supply-(diff[0]-diff[i])/2)*10) / 10
		s.Given(fmt.Sprintf("S_%d", n), names[i]+" circuit, supply gauge", gauge, press)
		s.Given(fmt.Sprintf("B_%d", n), names[i]+" circuit, return gauge", math.Round((gauge-diff[i])*10)/10, press)
		need := Native(d, d.Between(1, 4, 0.2), d.Between(6, 26, 1))
		s.Given(fmt.Sprintf("p_%d", n), names[i]+" circuit, drop at design flow", need, press)
		share[i] = math.Sqrt(diff[i] / need)
	}
	s.Given("q_3", "far circuit, design flow", Native(d, d.Between(2, 6, 0.5), d.Between(0.12, 0.4, 0.02)), flow)
	for i := range 3 {
		n := i + 1
		s.Step(fmt.Sprintf("D_%d", n), "Difference at the "+names[i]+" circuit", fmt.Sprintf("S_%d - B_%d", n, n), press, "What drives a circuit is supply less return at its own take-off.")
	}
	for i := range 3 {
		n := i + 1
		s.Step(fmt.Sprintf("x_%d", n), "Share of the "+names[i]+" circuit", fmt.Sprintf("100 * sqrt(D_%d / p_%d)", n, n), quantity.Percent, "Drop goes with the square of flow, so flow goes with the root of the difference.")
	}
	s.Step("f_3", "Flow of the far circuit", "q_3 * x_3 / 100", flow, "The share times the design flow.")
	right, byDiff := descending(names, share), descending(names, diff)
	if slices.Equal(right, byDiff) || tooClose(share, 0.08) || slices.Min(share) < 0.6 || slices.Max(share) > 1.7 {
		s.Reject("the order does not tell share from difference, or the shares are odd")
		return
	}
	s.Ask("difference", "Difference at the far circuit", "D_3", toleranceDifference)
	s.Ask("flow", "Flow of the far circuit", "f_3", ToleranceTable)
	texts := []string{"Near: {S_1} and {B_1}, takes {p_1}", "Middle: {S_2} and {B_2}, takes {p_2}", "Far: {S_3} and {B_3}, takes {p_3}"}
	s.Arrange("order", "Put the circuits in order of their share of design flow, largest share first.", arranged(d, names, texts), right, "x_1",
		"Compare each difference with what that circuit takes at design flow.",
		grader.Slip{ID: "order-by-difference", Answer: grader.Answer{Order: byDiff}, Say: "That is the order of the differences. A circuit that needs little can be better off than one with more difference: compare with its own drop."})
	s.Slip("head-linear-flow", "f_3", "q_3 * D_3 / p_3", "Flow follows the root of the difference, not the difference itself.")
	s.Slip("design-flow-assumed", "f_3", "q_3", "The design flow needs {p_3}, and here something else drives the circuit.")
	s.Slip("split-upside-down", "f_3", "q_3 * sqrt(p_3 / D_3)", "The ratio is upside down: more difference than the circuit needs gives more than its design flow.")
	s.MaySlip("supply-gauges-only", "D_3", "S_1 - S_3", "That is what the supply main loses. The circuit is driven by supply less return at its own take-off.")
	s.Source(sourceSquareLaw)
}

// arranged are the options of an ordering, shuffled.
func arranged(d *Draw, ids, texts []string) []grader.Option {
	options := make([]grader.Option, 0, len(ids))
	for _, i := range d.Shuffle(len(ids)) {
		options = append(options, grader.Option{ID: ids[i], Text: texts[i]})
	}
	return options
}

func buildParallelSplit(d *Draw, s *Sheet) {
	switch d.Level {
	case 1:
		buildSplitByLength(d, s)
	case 2:
		buildSplitByPoint(d, s)
	default:
		buildSplitOfThree(d, s)
	}
	s.Source(sourceSquareLaw)
	s.Caution(cautionHot)
}

const (
	saySplitEqual  = "Both paths lose the same head, so the easier one takes more than half."
	saySplitLinear = "Head follows the square of flow, so the flows stand as the roots of the resistances, not as the resistances."
	saySplitSwap   = "The shares are swapped: the easier path takes the larger flow."
)

func buildSplitByLength(d *Draw, s *Sheet) {
	flow, length := flowUnit(d), lengthUnit(d)
	size := Native(d, pipe.MustFind("pex-sdr9", "1/2"), pipe.MustFind("copper-en1057", "15x0.7"))
	tube := Native(d, "1/2 in PEX", "15 × 0.7 mm copper")
	short := Native(d, d.Between(80, 140, 5), d.Between(12, 22, 1))
	long := Native(d, d.Between(180, 320, 10), d.Between(28, 60, 2))
	total := Native(d, d.Between(1.2, 2.4, 0.1), d.Between(0.1, 0.2, 0.01))
	if r := long / short; r < 2 || r > 3.5 {
		s.Reject("lengths too alike or too unlike")
		return
	}
	room := One(d, "a sunroom", "a workshop floor", "two bathrooms", "a small chapel")
	s.Statement("Two loops of " + tube + " serve " + room + " from one pair of headers. One is {L_1} long, the other {L_2}, and nothing throttles them. Together they pass {f}. What flow goes through each, by the square law?")
	s.Given("L_1", "short loop", short, length)
	s.Given("L_2", "long loop", long, length)
	s.Given("f", "flow of both", total, flow)
	s.Step("r", "Flow of the short loop over flow of the long one", "sqrt(L_2 / L_1)", quantity.One, "Both loops lose the same head between the headers; head goes with length and with the square of flow.")
	f1 := s.Step("f_1", "Flow of the short loop", "f * r / (1 + r)", flow, "The two flows stand in this ratio and add up to the total.")
	s.Step("f_2", "Flow of the long loop", "f - f_1", flow, "What the short loop does not take is left for the long one.")
	s.Ask("short", "Flow of the short loop", "f_1", toleranceSplit)
	s.Ask("long", "Flow of the long loop", "f_2", toleranceSplit)
	s.Slip("parallel-equal", "r", "1", saySplitEqual)
	s.Slip("parallel-inverse-linear", "r", "L_2 / L_1", saySplitLinear)
	s.Slip("split-swapped", "r", "sqrt(L_1 / L_2)", saySplitSwap)

	at := Native(d, quantity.Celsius((110-32)/1.8), quantity.Celsius(45))
	w, err := fluid.Water(at)
	if err != nil {
		s.Reject(err.Error())
		return
	}
	compareSplit(d, s, f1, total, network.PipeRun{Size: size, Length: length.ToSI(short), Water: w}, network.PipeRun{Size: size, Length: length.ToSI(long), Water: w},
		"The full calculation takes the friction of this smooth tube with water of "+quantity.FromSI(float64(at), readingUnit(d)).Text()+": there head follows a power near 1.75, so the short loop takes a little more.")
}

// compareSplit sets the square law beside the engine's split of a flow between
// two circuits; the flow shown is the first circuit's.
func compareSplit(d *Draw, s *Sheet, rule, total float64, first, second network.Resistance, why string) {
	flow := flowUnit(d)
	beyond, err := network.DiverterShare(flow.ToSI(total), first, second)
	if err != nil {
		s.fail("split by the engine: %w", err)
		return
	}
	s.Compare("square-law", "the square law", quantity.Of(rule, flow), quantity.FromSI(flow.ToSI(total)-beyond, flow), why)
}

// smoothExponent is that of the head in smooth tube. Source: Blasius, f ∝
// Re^−0.25, in any fluid mechanics text.
const smoothExponent = 1.75

func buildSplitByPoint(d *Draw, s *Sheet) {
	flow, drive := flowUnit(d), driveUnit(d)
	q1, q2 := Native(d, d.Between(2, 6, 0.5), d.Between(0.12, 0.4, 0.02)), Native(d, d.Between(2, 6, 0.5), d.Between(0.12, 0.4, 0.02))
	h1, h2 := Native(d, d.Between(2, 9, 0.5), d.Between(5, 25, 1)), Native(d, d.Between(2, 9, 0.5), d.Between(5, 25, 1))
	total := Native(d, d.Between(4, 12, 0.5), d.Between(0.24, 0.8, 0.02))
	s.Statement("Two circuits of " + One(d, "a guest house", "a small clinic", "a village library", "a bakery") + " leave the same headers. Upstairs takes {h_1} when it passes {q_1}; downstairs takes {h_2} when it passes {q_2}. The circulator now moves {f} through both together. What flow goes upstairs, and what is lost between the headers?")
	s.Given("h_1", "upstairs, measured loss", h1, drive)
	s.Given("q_1", "upstairs, flow at that loss", q1, flow)
	s.Given("h_2", "downstairs, measured loss", h2, drive)
	s.Given("q_2", "downstairs, flow at that loss", q2, flow)
	s.Given("f", "flow of both", total, flow)
	c1 := s.Step("C_1", "What upstairs passes at a loss of one", "q_1 / sqrt(h_1)", quantity.One, "By the square law flow over the root of the loss stays the same for one circuit.")
	c2 := s.Step("C_2", "What downstairs passes at a loss of one", "q_2 / sqrt(h_2)", quantity.One, "The same for the other circuit makes the two comparable.")
	f1 := s.Step("f_1", "Flow upstairs", "f * C_1 / (C_1 + C_2)", flow, "Between the same headers both lose the same, so the flow divides in this proportion.")
	h := s.Step("h", "Loss between the headers", "pow(f_1 / C_1, 2)", drive, "Either circuit gives it: both lose the same.")
	if r := max(c1, c2) / min(c1, c2); r < 1.35 || r > 2.5 || h < min(h1, h2)/3 || h > 2*max(h1, h2) {
		s.Reject("too alike, too unlike, or far from what was measured")
		return
	}
	s.Ask("upstairs", "Flow upstairs", "f_1", toleranceSplit)
	s.Ask("loss", "Loss between the headers", "h", ToleranceFriction)
	s.Slip("parallel-equal", "f_1", "f / 2", "Unlike circuits do not share evenly: both lose the same, so the easier one takes more.")
	s.MaySlip("split-by-rated-flow", "f_1", "f * q_1 / (q_1 + q_2)", "The two flows were measured at different losses. Bring both to the same loss before you compare.")
	s.MaySlip("parallel-inverse-linear", "f_1", "f * (q_1 / h_1) / (q_1 / h_1 + q_2 / h_2)", "Divide by the root of the loss: head follows the square of flow.")
	s.MaySlip("split-swapped", "f_1", "f * C_2 / (C_1 + C_2)", "That is the flow downstairs: each circuit takes its own share.")
	s.MaySlip("parallel-adds-head", "h", "h_1 + h_2", "Side by side, losses do not add: both circuits lie between the same headers.")
	s.MaySlip("head-linear-flow", "h", "h_1 * f_1 / q_1", "The loss goes with the square of the flow.")
	compareSplit(d, s, f1, total, network.RatedPoint(flow.ToSI(q1), h1, smoothExponent), network.RatedPoint(flow.ToSI(q2), h2, smoothExponent),
		"The square law belongs to rough pipe, valves and fittings. In smooth tube head goes with about the power 1.75; the measured points are the same, the split a little different.")
}

func buildSplitOfThree(d *Draw, s *Sheet) {
	flow, drive, load := flowUnit(d), driveUnit(d), loadUnit(d)
	names := []string{"radiators", "floor", "annex"}
	s.Statement("One circulator moves {f} through three circuits of " + One(d, "a former school", "a guest house", "a workshop with offices", "a parish house") + ", side by side and not balanced. The commissioning sheet says: radiators {q_1} at {h_1}, floor {q_2} at {h_2}, annex {q_3} at {h_3}. Their loads are {Q_1}, {Q_2} and {Q_3}. What flow does the annex get, what is lost between the headers, and who gets most?")
	c, loads := make([]float64, 3), make([]float64, 3)
	for i, name := range names {
		n := i + 1
		q := Native(d, d.Between(2, 8, 0.5), d.Between(0.12, 0.5, 0.02))
		h := Native(d, d.Between(3, 12, 0.5), d.Between(8, 36, 1))
		loads[i] = Native(d, d.Between(15, 60, 1)*1000, d.Between(4, 18, 0.5))
		c[i] = q / math.Sqrt(h)
		s.Given(fmt.Sprintf("q_%d", n), name+", flow on the sheet", q, flow)
		s.Given(fmt.Sprintf("h_%d", n), name+", loss at that flow", h, drive)
		s.Given(fmt.Sprintf("Q_%d", n), name+", heat load", loads[i], load)
	}
	s.Given("f", "flow of the three", Native(d, d.Between(7, 18, 0.5), d.Between(0.45, 1.1, 0.05)), flow)
	for i, name := range names {
		n := i + 1
		s.Step(fmt.Sprintf("C_%d", n), Capital(name)+": flow at a loss of one", fmt.Sprintf("q_%d / sqrt(h_%d)", n, n), quantity.One, "Flow over the root of the loss is the same for a circuit at any flow, by the square law.")
	}
	s.Step("C", "All three at a loss of one", "C_1 + C_2 + C_3", quantity.One, "Side by side, what they pass at the same loss adds up.")
	s.Step("f_3", "Flow of the annex", "f * C_3 / C", flow, "The flow divides in proportion to what each passes at the same loss.")
	h := s.Step("h", "Loss between the headers", "pow(f / C, 2)", drive, "All three lose this same amount.")
	right, byLoad := descending(names, c), descending(names, loads)
	if low, high := Native(d, 2.0, 6), Native(d, 14.0, 42); tooClose(c, 0.08) || tooClose(loads, 0.05) || slices.Equal(right, byLoad) || slices.Max(c) > 4*slices.Min(c) || h < low || h > high {
		s.Reject("the order does not tell flow from load")
		return
	}
	s.Ask("annex", "Flow of the annex", "f_3", toleranceSplit)
	s.Ask("loss", "Loss between the headers", "h", ToleranceFriction)
	texts := []string{"Radiators: {q_1} at {h_1}, load {Q_1}", "Floor: {q_2} at {h_2}, load {Q_2}", "Annex: {q_3} at {h_3}, load {Q_3}"}
	s.Arrange("order", "Put the circuits in order of the flow that they get now, most first.", arranged(d, names, texts), right, "C",
		"Bring every circuit to the same loss before you compare.",
		grader.Slip{ID: "order-by-load", Answer: grader.Answer{Order: byLoad}, Say: "Pipe decides the split, not the heat load: that is why unlike circuits are balanced."})
	s.MaySlip("parallel-equal", "f_3", "f / 3", "Unlike circuits do not share evenly: all lose the same, so the easier ones take more.")
	s.MaySlip("split-by-load", "f_3", "f * Q_3 / (Q_1 + Q_2 + Q_3)", "That is how the flow ought to divide. How it does divide is decided by the pipe.")
	s.MaySlip("split-by-rated-flow", "f_3", "f * q_3 / (q_1 + q_2 + q_3)", "The flows on the sheet belong to different losses. Bring them to the same loss first.")
	s.MaySlip("parallel-inverse-linear", "f_3", "f * (q_3 / h_3) / (q_1 / h_1 + q_2 / h_2 + q_3 / h_3)", "Divide by the root of the loss: head follows the square of flow.")
	s.Slip("parallel-adds-head", "h", "h_1 + h_2 + h_3", "Side by side, losses do not add: all three lie between the same headers.")
}
