package exercises

import (
	"fmt"
	"math"
	"slices"

	"loopwright/grader/circulator"
	"loopwright/grader/quantity"
)

func buildOperatingPoint(d *Draw, s *Sheet) {
	switch d.Level {
	case 1:
		buildCrossing(d, s)
	case 2:
		buildFromGauge(d, s)
	default:
		buildCrossingInTable(d, s)
	}
	s.Source(sourceSystemCurve)
	s.Caution(cautionHot)
}

const sayShutoff = "That head belongs to no flow at all; where water flows, the curve lies lower."

// headWord is what the trade calls it in each system of units.
func headWord(d *Draw) string { return Native(d, "head", "pressure difference") }

func buildCrossing(d *Draw, s *Sheet) {
	flow, drive := flowUnit(d), driveUnit(d)
	s.Statement("A demo circulator gives {a} at no flow and {H_1} at {f_1}; between them its curve falls as H = a − b·f². The system that it serves in " + oldBuilding(d) + " was planned for {f_d} at {H_d}, and its curve is H = c·f². At what flow and at what " + headWord(d) + " does the circulator really run?")
	a := Native(d, d.Between(12, 30, 1), d.Between(36, 90, 2))
	s.Given("a", "at no flow", a, drive)
	s.Given("H_1", "at the known point of the curve", math.Round(a*d.Between(0.4, 0.75, 0.05)*2)/2, drive)
	f1 := Native(d, d.Between(8, 30, 1), d.Between(0.5, 2, 0.1))
	s.Given("f_1", "flow at the known point of the curve", f1, flow)
	s.Given("H_d", "planned for the system", math.Round(a*d.Between(0.3, 0.8, 0.05)*2)/2, drive)
	fd := Native(d, d.Between(5, 25, 1), d.Between(0.3, 1.6, 0.1))
	s.Given("f_d", "planned flow", fd, flow)
	s.Step("b", "Fall of the curve", "(a - H_1) / pow(f_1, 2)", quantity.One, "The curve has fallen from a to the known point; that gives its b.")
	s.Step("c", "Steepness of the system", "H_d / pow(f_d, 2)", quantity.One, "In a closed system all of the head is friction, which goes with the square of flow.")
	f := s.Step("f", "Flow at the crossing", "sqrt(a / (b + c))", flow, "Where both give the same head, a − b·f² = c·f².")
	H := s.Step("H", Capital(headWord(d))+" at the crossing", "c * pow(f, 2)", drive, "Put the flow into the system curve, or into the circulator's: both give the same.")
	if f > 1.1*f1 || f < fd/2 || f > 2*fd || H < 0.15*a || max(f/fd, fd/f) < 1.1 {
		s.Reject("the crossing lies off the curve, or on the plan")
		return
	}
	s.Ask("flow", "Flow at which it runs", "f", toleranceCurveFlow)
	s.Ask("head", Capital(headWord(d))+" at which it runs", "H", toleranceCurve)
	s.Slip("opoint-design-flow", "f", "f_d", "That is the plan. The circulator runs where its curve meets the system curve, wherever one hoped it would.")
	s.MaySlip("opoint-known-point", "f", "f_1", "That is a point of the circulator's curve. It runs there only if the system curve passes through it.")
	s.MaySlip("opoint-shutoff", "H", "a", sayShutoff)
	s.MaySlip("opoint-design-head", "H", "H_d", "That belongs to the planned flow. Put the real flow in.")
	s.MaySlip("head-linear-flow", "f", "(sqrt(pow(H_d / f_d, 2) + 4 * a * b) - H_d / f_d) / (2 * b)", "Friction goes with the square of flow, not in a straight line.")
	s.MaySlip("curve-sign-lost", "f", "sqrt(a / c)", "The circulator's curve falls with flow: count its b too.")
	s.Source("Parabola through two points of the curve: common practice; demo circulator")
}

func buildFromGauge(d *Draw, s *Sheet) {
	flow, drive := flowUnit(d), driveUnit(d)
	a := Native(d, d.Between(14, 34, 1), d.Between(40, 96, 2))
	b := Native(d, One(d, 0.02, 0.03, 0.04, 0.05, 0.06), One(d, 12.0, 15, 18, 20, 24))
	s.Given("a", "circulator at no flow", a, drive)
	s.Given("b", "fall of its curve", b, quantity.One)
	if d.US() {
		s.Given("p", "difference of the gauges", d.Between(3, 12, 0.2), quantity.PSI)
	} else {
		s.Given("H", "difference of the gauges", math.Round(a*d.Between(0.4, 0.88, 0.01)), drive)
	}
	fd := Native(d, d.Between(6, 24, 1), d.Between(0.4, 1.6, 0.1))
	// A plan that chose this circulator lies near its curve.
	Hp := math.Round((a - b*fd*fd) * d.Between(0.75, 1.05, 0.01))
	s.Given("f_d", "planned flow", fd, flow)
	s.Given("H_p", "planned for that flow", Hp, drive)
	s.Statement("A demo circulator in " + oldBuilding(d) + " has the curve H = {a} − {b}·f², with f in " + flow.Symbol + ". Two gauges at its flanges, at one height, differ by " + Native(d, "{p}", "{H}") + ". The plan said {f_d} at {H_p}. What flow passes, what would the system as it is take at the planned flow, and what does that say?")
	if d.US() {
		s.Step("H", "Head of the circulator", "2.31 * p", drive, "One psi of difference is 2.31 ft of cold water.")
		s.Source(sourceFeetPerPSI)
	}
	H, _ := s.Value("H")
	if H > 0.9*a || H < 0.35*a {
		s.Reject("the reading lies at an end of the curve")
		return
	}
	f := s.Step("f", "Flow", "sqrt((a - H) / b)", flow, "The curve turned round: from the head back to the flow.")
	Hn := s.Step("H_n", "What the system would take at the planned flow", "H * pow(f_d / f, 2)", drive, "The system is known by one point now: head and flow as measured. Friction goes with the square of flow.")
	if r := f / fd; Hp < 0.3*a || r < 0.6 || r > 1.6 || max(r, 1/r) < 1.12 || max(Hn/Hp, Hp/Hn) < 1.25 {
		s.Reject("too near to the plan or too far from it")
		return
	}
	s.Ask("flow", "Flow that passes", "f", toleranceCurve)
	s.Ask("needed", Capital(headWord(d))+" that the system would take at the planned flow", "H_n", ToleranceFriction)
	right, wrong := "tighter", "easier"
	if Hn < Hp {
		right, wrong = wrong, right
	}
	texts := map[string]string{
		"tighter": "The system is tighter than planned: a valve, a strainer or dirt takes more.",
		"easier":  "The system is easier than planned: it takes less at the same flow.",
	}
	s.Choose("verdict", "How does the system compare with the plan?", right, "H_n", "Compare both at the same flow, the planned one.", shuffled(d, []Pick{
		{ID: right, Text: texts[right]},
		{ID: wrong, Text: texts[wrong], Slip: "system-judged-by-flow", Say: "At the planned flow the system would take {H_n}, and the plan said {H_p}. Compare both at that flow, not the readings as they stand."},
	})...)
	if d.US() {
		s.MaySlip("curve-head-psi", "H", "p", "The curve is in feet: multiply the psi by 2.31 first.")
	}
	s.Slip("opoint-design-flow", "f", "f_d", "That is the plan. What passes is where the measured head lies on the curve.")
	s.MaySlip("curve-no-root", "f", "(a - H) / b", "The curve has the square of the flow: take the root.")
	s.MaySlip("opoint-head-not-taken", "f", "sqrt(a / b)", "That is the flow at no head at all, the end of the curve: subtract the head first.")
	s.MaySlip("head-linear-flow", "H_n", "H * f_d / f", "Friction goes with the square of flow.")
	s.MaySlip("head-wrong-way", "H_n", "H * pow(f / f_d, 2)", "The ratio is upside down: more flow takes more head.")
	s.Source("Curve of the demo circulator: demo values")
}

func buildCrossingInTable(d *Draw, s *Sheet) {
	flow, drive := flowUnit(d), driveUnit(d)
	number := d.Int(0, 5)
	m := circulator.Demo()[number]
	end := flow.FromSI(m.Curve.End())
	gap := roundFlow(d, end*0.18)
	x, h := make([]float64, 4), make([]float64, 4)
	for i := range x {
		x[i] = math.Round(gap*float64(i+2)*1e6) / 1e6
		var ok bool
		if h[i], ok = fromCurve(d, m, x[i]); !ok {
			s.Reject("beyond the curve")
			return
		}
	}
	fd := roundFlow(d, end*d.Between(0.35, 0.8, 0.01))
	Hd := math.Round(h[0] * d.Between(0.3, 1, 0.02))
	s.Statement("The sheet of the demo circulator " + m.ID + " reads {h_1} at {x_1}, {h_2} at {x_2}, {h_3} at {x_3} and {h_4} at {x_4}. It serves a closed system in " + sizedBuilding(d, number) + " that takes {H_d} at {f_d}. Between which two of these flows does it run, at what flow and at what " + headWord(d) + "?")
	nth := []string{"first", "second", "third", "fourth"}
	surplus := make([]float64, 4)
	for i := range x {
		s.Given(fmt.Sprintf("x_%d", i+1), "flow of the "+nth[i]+" reading", x[i], flow)
		s.Given(fmt.Sprintf("h_%d", i+1), headWord(d)+" of the "+nth[i]+" reading", h[i], drive)
		surplus[i] = h[i] - Hd*(x[i]/fd)*(x[i]/fd)
	}
	s.Given("f_d", "known flow of the system", fd, flow)
	s.Given("H_d", "what the system takes there", Hd, drive)
	for i := range x {
		s.Step(fmt.Sprintf("e_%d", i+1), "Left over at the "+nth[i]+" reading", fmt.Sprintf("h_%d - H_d * pow(x_%d / f_d, 2)", i+1, i+1), drive,
			"Where the circulator gives more than the system takes, the flow rises; where it gives less, it falls.")
	}
	k := slices.IndexFunc(surplus, func(e float64) bool { return e < 0 }) // the reading behind the crossing
	if k < 1 || surplus[k-1] < 0.03*h[0] || surplus[k] > -0.03*h[0] || fd > x[3] {
		s.Reject("no crossing between two readings")
		return
	}
	f := s.Step("f", "Flow at the crossing", fmt.Sprintf("x_%d + (x_%d - x_%d) * e_%d / (e_%d - e_%d)", k, k+1, k, k, k, k+1), flow, "Along a straight line between the two readings, what is left over falls to nothing here.")
	s.Step("H", Capital(headWord(d))+" at the crossing", fmt.Sprintf("h_%d + (h_%d - h_%d) * (f - x_%d) / (x_%d - x_%d)", k, k+1, k, k, k+1, k), drive, "Read the circulator's curve at that flow, between the same two readings.")
	if max(f/fd, fd/f) < 1.1 {
		s.Reject("on the plan")
		return
	}
	picks := make([]Pick, 3)
	for i := range picks {
		picks[i] = Pick{ID: fmt.Sprintf("%d-%d", i+1, i+2), Text: fmt.Sprintf("Between {x_%d} and {x_%d}", i+1, i+2)}
		if i+1 == k {
			continue
		}
		picks[i].Slip, picks[i].Say = "readings-beyond", "There the system takes more than the circulator gives: the flow settles lower."
		if i+1 < k {
			picks[i].Slip, picks[i].Say = "readings-before", "There the circulator still gives more than the system takes: the flow rises further."
		}
	}
	s.Choose("between", "Between which two readings does it run?", picks[k-1].ID, "e_1", "Work out what the system takes at each flow of the table and compare.", picks...)
	s.Ask("flow", "Flow at which it runs", "f", toleranceCurveFlow)
	s.Ask("head", Capital(headWord(d))+" at which it runs", "H", toleranceCurve)
	s.Slip("opoint-design-flow", "f", "f_d", "That is a known point of the system. The circulator runs where its own curve meets the system curve.")
	s.MaySlip("reading-taken", "f", fmt.Sprintf("x_%d", k), "At that reading the circulator still has something left over: go on toward the next.")
	s.MaySlip("reading-taken", "f", fmt.Sprintf("x_%d", k+1), "At that reading the system already takes more than the circulator gives: go back toward the one before.")
	s.MaySlip("opoint-design-head", "H", "H_d", "That belongs to the known point of the system. Read the curve where the two meet.")

	system, err := circulator.Through(0, flow.ToSI(fd), headOf(d, Hd), smoothExponent)
	if err != nil {
		s.fail("system: %w", err)
		return
	}
	point, err := circulator.OperatingPoint(m.Curve, system)
	if err != nil {
		s.Reject(err.Error())
		return
	}
	s.Compare("square-law", "the square law, and a straight line between readings", quantity.Of(f, flow), quantity.FromSI(point.Flow, flow),
		"The full calculation follows the curve between the readings and takes the exponent 1.75 of smooth tube for the system.")
	s.Source(sourceDemoCurves)
	s.Source(sourceSquareLaw)
}
