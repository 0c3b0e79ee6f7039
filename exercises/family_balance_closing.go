package exercises

import (
	"fmt"
	"math"

	"loopwright/grader/network"
	"loopwright/grader/quantity"
)

var oneCircuitCloses = &Family{
	ID: "one-circuit-closes", Title: "When one circuit closes", Skills: []string{"circuit-closes", "parallel-split"}, Lesson: LessonControl,
	Levels: [Levels]string{
		"Circuits at common headers: the difference and the flow of one that stays open.",
		"Three circuits along the mains: what the other two get, and who gains more.",
		"Four circuits and the circulator's curve: the last one, the total and the head.",
	},
	Build: buildCircuitCloses,
}

const sourceClosing = "Losses along every path add up to what the circulator gives, and each goes with the square of its own flow: energy equation of steady flow, square law (ASHRAE Handbook Fundamentals, fluid flow, from memory)"

var toleranceClosing = Tolerance{Rel: 0.03, Why: "Resistances are given; 3 % covers a ratio rounded to three figures on the way. Real circuits follow a power a little below 2, which changes the answer by about as much."}

func buildCircuitCloses(d *Draw, s *Sheet) {
	switch d.Level {
	case 1:
		buildClosesAtHeaders(d, s)
	case 2:
		buildClosesAlongMains(d, s)
	default:
		buildClosesOnCurve(d, s)
	}
	s.Source(sourceClosing)
	s.Caution(cautionHot)
}

const sayOthersUnchanged = "That is what it had before. With less flow the shared pipe takes less, and the circuits that stay open get the rest."

func buildClosesAtHeaders(d *Draw, s *Sheet) {
	drive, flow := driveUnit(d), flowUnit(d)
	names := balanceNames[:3]
	mixed := d.Shuffle(3)
	shut, asked, third := mixed[0]+1, mixed[1]+1, mixed[2]+1
	s.Given("H", "what the circulator holds", Native(d, d.Between(10, 20, 0.5), d.Between(30, 60, 1)), drive)
	H, _ := s.Value("H")
	s.Given("h_s", "boiler and mains as far as the headers", toFigures(H*d.Between(0.4, 0.7, 0.01), 2), drive)
	q := make([]float64, 3)
	for i, name := range names {
		q[i] = Native(d, d.Between(3, 12, 0.5), d.Between(0.2, 0.8, 0.02))
		s.Given(fmt.Sprintf("q_%d", i+1), name+", flow with all open", q[i], flow)
	}
	s.Statement("Three circuits of " + balancedBuilding(d) + " leave the same headers: north {q_1}, south {q_2} and attic {q_3}. The circulator holds {H} at its own flanges, whatever the flow; with all circuits open the boiler and the mains as far as the headers take {h_s} of it. Then the zone valve of the " + names[shut-1] + " circuit shuts. What difference do the headers have now, what flow does the " + names[asked-1] + " circuit get, and who gains more?")
	s.Step("D_0", "Difference at the headers before", "H - h_s", drive, "What boiler and mains take does not reach the headers.")
	s.Step("r", "Share of the flow that stays open", fmt.Sprintf("(q_%d + q_%d) / (q_1 + q_2 + q_3)", asked, third), quantity.One, "At the old difference the open circuits would pass this share of the old flow.")
	s.Step("D", "Difference at the headers now", "H / (1 + h_s / D_0 * pow(r, 2))", drive, "The open circuits' flow goes with the root of D, and the shared loss with the square of that flow: D and h_s/D_0·r²·D add up to H.")
	s.Step("g", "Gain of every open circuit", "sqrt(D / D_0)", quantity.One, "Each goes with the root of the difference that drives it.")
	s.Step("f", "Flow of the "+names[asked-1]+" circuit now", fmt.Sprintf("g * q_%d", asked), flow, "Its old flow times the gain.")
	if tooClose([]float64{q[asked-1], q[third-1]}, 0.1) {
		s.Reject("the open circuits are alike")
		return
	}
	s.Ask("difference", "Difference at the headers now", "D", toleranceClosing)
	s.Ask("flow", "Flow of the "+names[asked-1]+" circuit now", "f", toleranceClosing)
	s.Choose("gain", "Which of the two open circuits gains more, for its own flow?", "alike", "g", "Ask what drives each of the two, before and after.", shuffled(d, []Pick{
		{ID: "alike", Text: "Both gain by the same share: the same difference drives both."},
		{ID: "larger", Text: "The one with more flow: it has the wider way.", Slip: "gain-by-size", Say: "It gains more water, but not a larger share of its own. Both lie between the same headers."},
		{ID: "neighbor", Text: "The one whose pipe leaves nearest to the closed one: it takes over the water.", Slip: "neighbor-inherits", Say: "Water is not handed on to a neighbor. What changes is the difference at the headers, and that drives both."},
	})...)
	s.Slip("others-unchanged", "D", "D_0", "With less flow boiler and mains take less, so more is left at the headers.")
	s.MaySlip("mains-take-nothing", "D", "H", "Some water still flows, so boiler and mains still take something.")
	s.MaySlip("shared-loss-linear", "D", "H / (1 + h_s / D_0 * r)", "The shared loss goes with the square of the flow.")
	s.MaySlip("loss-at-old-difference", "D", "H - h_s * pow(r, 2)", "A good first try, but with the larger difference the open circuits pass more than that share, and the mains take more.")
	s.Slip("flow-shared-out", "f", fmt.Sprintf("q_%d / r", asked), "The closed circuit's water is not shared out: the circulator moves less, and the others get more only as far as the difference rises.")
	s.MaySlip("flow-linear-difference", "g", "D / D_0", "Flow goes with the root of the difference.")
}

// ladder is a two-pipe system with resistances in the learner's units: section
// i of the mains, both pipes, and circuit i.
type ladder struct{ section, circuit []float64 }

// flows solves it with package network, which does not mind the units as long
// as they agree. closed is the number of a circuit that is shut, or −1.
func (l ladder) flows(source network.HeadSource, closed int) ([]float64, error) {
	t := network.TwoPipe{}
	square := func(c float64) network.PowerLaw { return network.PowerLaw{Coefficient: c, Exponent: 2} }
	carried := 0.0
	for i := range l.circuit {
		carried += l.section[i]
		if i == closed {
			continue
		}
		t.Supply = append(t.Supply, square(carried/2))
		t.Return = append(t.Return, square(carried/2))
		t.Circuits = append(t.Circuits, square(l.circuit[i]))
		carried = 0
	}
	solved, err := t.Solve(source)
	if err != nil {
		return nil, err
	}
	return solved.Flows, nil
}

// resistanceWords say how the resistances of a statement are to be read.
func resistanceWords(d *Draw) string {
	return "Resistances R are given for h = R·f², with h in " + driveUnit(d).Symbol + " and f in " + flowUnit(d).Symbol + "."
}

func buildClosesAlongMains(d *Draw, s *Sheet) {
	drive, flow := driveUnit(d), flowUnit(d)
	names := []string{"near", "middle", "far"}
	l := ladder{make([]float64, 3), make([]float64, 3)}
	q := make([]float64, 3)
	for i := range q {
		q[i] = Native(d, d.Between(3, 8, 0.5), d.Between(0.2, 0.5, 0.02))
		l.circuit[i] = toFigures(Native(d, d.Between(4, 8, 0.5), d.Between(12, 24, 1))/(q[i]*q[i]), 2)
	}
	for i := range q {
		l.section[i] = toFigures(Native(d, d.Between(1.5, 4, 0.5), d.Between(4, 12, 1))/math.Pow(sum(q[i:]), 2), 2)
	}
	H := Native(d, d.Between(10, 18, 0.5), d.Between(30, 54, 1))
	before, err := l.flows(network.FixedHead(H), -1)
	if err != nil {
		s.fail("%w", err)
		return
	}
	s.Given("H", "difference held at the start of the mains", H, drive)
	for i, name := range names {
		s.Given(fmt.Sprintf("s_%d", i+1), "R of the mains, section "+fmt.Sprint(i+1)+", both pipes", l.section[i], quantity.One)
		s.Given(fmt.Sprintf("k_%d", i+1), "R of the "+name+" circuit", l.circuit[i], quantity.One)
		s.Given(fmt.Sprintf("m_%d", i+1), name+" circuit, measured with all open", meterStep(d, before[i]), flow)
	}
	shut := d.Int(0, 2)
	open := []int{0, 1, 2}
	open = append(open[:shut], open[shut+1:]...)
	A, B := open[0]+1, open[1]+1
	to := sumOf("s", 1, A) // the mains as far as the first open circuit
	between := sumOf("s", A+1, B)
	s.Statement("Three circuits hang on direct-return mains in " + One(d, "a row of workshops", "a long school wing", "an apartment block") + ". " + resistanceWords(d) + " The mains, both pipes together, have {s_1} as far as the near circuit, {s_2} from there to the middle one and {s_3} on to the far one; the circuits have {k_1}, {k_2} and {k_3}. At the start of the mains {H} are held. With all open a meter shows {m_1}, {m_2} and {m_3}. Then the " + names[shut] + " circuit shuts. What does each of the other two get now, and which of them gains more?")
	s.Step("r", "Flow of the "+names[A-1]+" circuit over that of the "+names[B-1]+" one", fmt.Sprintf("sqrt((%s + k_%d) / k_%d)", between, B, A), quantity.One,
		"At the take-off of the "+names[A-1]+" circuit one difference drives both: through it, and on through the mains and the "+names[B-1]+" circuit.")
	s.Step("f_"+fmt.Sprint(B), "Flow of the "+names[B-1]+" circuit", fmt.Sprintf("sqrt(H / ((%s) * pow(1 + r, 2) + %s + k_%d))", to, between, B), flow,
		"Along its path the first mains carry both flows, the rest its own alone; together they take all that is held.")
	s.Step("f_"+fmt.Sprint(A), "Flow of the "+names[A-1]+" circuit", fmt.Sprintf("r * f_%d", B), flow, "The two flows stand in the ratio found first.")
	fA, fB := fmt.Sprintf("f_%d", A), fmt.Sprintf("f_%d", B)
	a, _ := s.Value(fA)
	b, _ := s.Value(fB)
	gain := []float64{a / before[A-1], b / before[B-1]}
	if shut > 0 && gain[1] < 1.04*gain[0] {
		s.Reject("both gain nearly alike")
		return
	}
	s.Ask("farther", "Flow of the "+names[B-1]+" circuit now", fB, toleranceClosing)
	s.Ask("nearer", "Flow of the "+names[A-1]+" circuit now", fA, toleranceClosing)
	askGain(d, s, names[A-1], names[B-1], shut == 0, fA)
	s.Slip("others-unchanged", fB, fmt.Sprintf("m_%d", B), sayOthersUnchanged)
	s.MaySlip("others-unchanged", fA, fmt.Sprintf("m_%d", A), sayOthersUnchanged)
	s.MaySlip("flow-shared-out", fB, fmt.Sprintf("m_%d * (m_1 + m_2 + m_3) / (m_%d + m_%d)", B, A, B), "The closed circuit's water is not shared out. The difference is held, and less flows in all.")
	s.MaySlip("parallel-inverse-linear", "r", fmt.Sprintf("(%s + k_%d) / k_%d", between, B, A), "Head follows the square of flow: the ratio needs the root of the resistances.")
	s.MaySlip("mains-forgotten", fB, fmt.Sprintf("sqrt(H / k_%d)", B), "That would be the flow without any mains. They lie in its path.")
	s.MaySlip("own-flow-in-shared-mains", fB, fmt.Sprintf("sqrt(H / (%s + %s + k_%d))", to, between, B), "The first mains carry the water of both circuits, so they take more than its own flow would.")
}

// askGain asks which of two circuits that stay open gains the larger share;
// alike says that the closed one lies before both.
func askGain(d *Draw, s *Sheet, near, far string, alike bool, symbol string) {
	picks := []Pick{
		{ID: "nearer", Text: "The " + near + " circuit: it lies nearer to the circulator.", Slip: "near-gains-most", Say: "The near circuit had the least mains in its path, so relief in the mains helps it least."},
		{ID: "farther", Text: "The " + far + " circuit: more of its path has been relieved of the closed one's water."},
		{ID: "alike", Text: "Both by the same share: what was relieved lies before both of them."},
	}
	right := "farther"
	if alike {
		right = "alike"
		picks[1].Slip, picks[1].Say = "far-gains-most", "Here the closed circuit lay before both. Their own mains beyond it carry the same water in the same ratio as before, so both gain alike."
	} else {
		picks[2].Slip, picks[2].Say = "gains-alike", "They would if the closed circuit lay before both. Here a piece of mains was relieved that the "+far+" circuit has in its path and the "+near+" one has not."
	}
	s.Choose("gain", "Which gains more, for its own flow?", right, symbol, "Look at which mains carried the closed circuit's water, and in whose path they lie.", shuffled(d, picks)...)
}

func buildClosesOnCurve(d *Draw, s *Sheet) {
	drive, flow := driveUnit(d), flowUnit(d)
	nth := []string{"first", "second", "third", "fourth"}
	l := ladder{make([]float64, 4), make([]float64, 4)}
	each := Native(d, d.Between(3, 7, 0.5), d.Between(0.2, 0.44, 0.02))
	h := Native(d, d.Between(4, 8, 0.5), d.Between(12, 24, 1))
	for i := range l.circuit {
		l.circuit[i] = toFigures(h/(each*each)*d.Between(0.7, 1.5, 0.05), 2)
		l.section[i] = toFigures(h/(each*each)*0.04, 1)
	}
	a := Native(d, d.Between(14, 26, 1), d.Between(42, 78, 2))
	b := toFigures(a*d.Between(0.3, 0.5, 0.02)/math.Pow(4*each, 2), 2)
	before, err := l.flows(falling{a, b}, -1)
	if err != nil {
		s.fail("%w", err)
		return
	}
	s.Given("a", "circulator at no flow", a, drive)
	s.Given("b", "fall of its curve", b, quantity.One)
	s.Given("s", "R of each section of the mains, both pipes", l.section[0], quantity.One)
	for i := range l.circuit {
		s.Given(fmt.Sprintf("k_%d", i+1), "R of the "+nth[i]+" circuit", l.circuit[i], quantity.One)
	}
	shut := d.Int(1, 2)
	s.Given("m", "flow of all, measured before", meterStep(d, sum(before)), flow)
	s.Given("m_s", nth[shut]+" circuit, measured before", meterStep(d, before[shut]), flow)
	s.Given("m_4", "fourth circuit, measured before", meterStep(d, before[3]), flow)
	s.Statement("Four circuits hang one behind the other on direct-return mains in " + One(d, "a row of workshops", "a long school wing", "an apartment block") + ". The demo circulator, at fixed speed, gives H = {a} − {b}·f². " + resistanceWords(d) + " Each section of the mains, both pipes together, has {s}; the circuits have {k_1}, {k_2}, {k_3} and {k_4}, counted from the circulator. With all open {m} flow, {m_s} of it in the " + nth[shut] + " circuit and {m_4} in the fourth. Then the " + nth[shut] + " circuit shuts. What flow does the fourth get, what flows in all, what does the circulator give, and who gains most?")
	// The open circuits, and how many sections lead to the second of them and
	// on to the third.
	B, toB, toC := 3, "2 * s", "s"
	if shut == 2 {
		B, toB, toC = 2, "s", "2 * s"
	}
	s.Step("r_2", "Flow of the "+nth[B-1]+" circuit over that of the fourth", fmt.Sprintf("sqrt((%s + k_4) / k_%d)", toC, B), quantity.One, "At that take-off one difference drives the circuit itself, and the mains and the fourth circuit beyond it.")
	s.Step("z", "Resistance of all beyond the first take-off, for the fourth's flow", fmt.Sprintf("%s + k_4 + %s * pow(1 + r_2, 2)", toC, toB), quantity.One, "From the end back: the fourth circuit and its mains, then the mains that carry two flows.")
	s.Step("r_1", "Flow of the first circuit over that of the fourth", "sqrt(z / k_1)", quantity.One, "At the first take-off the same difference drives the first circuit and all beyond.")
	s.Step("f_4", "Flow of the fourth circuit", "sqrt(a / (z + (b + s) * pow(1 + r_1 + r_2, 2)))", flow, "The fall of the curve acts like one more resistance in the path of all the water; together all take a.")
	s.Step("f", "Flow of all", "f_4 * (1 + r_1 + r_2)", flow, "The three flows stand in the ratios found.")
	s.Step("H", Capital(headWord(d))+" of the circulator", "a - b * pow(f, 2)", drive, "Put the flow into the circulator's curve.")
	s.Ask("last", "Flow of the fourth circuit now", "f_4", toleranceClosing)
	s.Ask("total", "Flow of all now", "f", toleranceClosing)
	s.Ask("head", "What the circulator gives now", "H", ToleranceTable)
	s.Choose("gain", "Which of the open circuits gain most, for their own flow?", "beyond", "f_4", "Look at which mains carried the closed circuit's water, and in whose path they lie.", shuffled(d, []Pick{
		{ID: "beyond", Text: "Those beyond the closed one: all the mains before it have been relieved in their path."},
		{ID: "before", Text: "Those between the circulator and the closed one: they lie nearer.", Slip: "near-gains-most", Say: "They have less of the relieved mains in their path, so they gain less."},
		{ID: "alike", Text: "All by the same share: the circulator gives more head to all.", Slip: "gains-alike", Say: "All see the circulator climb its curve. Those beyond the closed circuit also have the mains before it relieved, as far as the closed one."},
	})...)
	s.Slip("others-unchanged", "f_4", "m_4", sayOthersUnchanged)
	s.MaySlip("flow-shared-out", "f_4", "m_4 * m / (m - m_s)", "The closed circuit's water is not shared out: the circulator moves less now.")
	s.MaySlip("others-unchanged", "f", "m - m_s", "That would be so if the others kept their flow. Each gains a little.")
	s.Slip("total-unchanged", "f", "m", "With one way less the circulator climbs its curve and moves less.")
	s.MaySlip("head-unchanged", "H", "a - b * pow(m, 2)", "That was at the flow before. With less flow it climbs its curve.")
	s.MaySlip("opoint-shutoff", "H", "a", sayShutoff)
	s.MaySlip("curve-sign-lost", "f_4", "sqrt(a / (z + s * pow(1 + r_1 + r_2, 2)))", "The circulator's curve falls with flow: count its b too.")
	s.Source("Curve of the demo circulator: demo values")
}

// falling is a circulator with the curve a − b f².
type falling struct{ a, b float64 }

// SourceHead implements network.HeadSource.
func (c falling) SourceHead(f float64) (head, slope float64) {
	return c.a - c.b*f*math.Abs(f), -2 * c.b * math.Abs(f)
}
