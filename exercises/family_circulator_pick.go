package exercises

import (
	"fmt"
	"math"
	"slices"

	"loopwright/grader"
	"loopwright/grader/circulator"
	"loopwright/grader/quantity"
)

var (
	toleranceCurve     = Tolerance{Rel: 0.05, Why: "A curve is read to about 5 % of its scale; what circulators of one type really give differs by more than that."}
	toleranceCurveFlow = Tolerance{Rel: 0.03, Why: "Near the crossing a curve read 5 % wrong moves the flow by about half of that."}
)

const (
	sourceSystemCurve = "System curve of a closed system H = c·f², and the operating point where it meets the circulator's curve: Hydraulic Institute, pump fundamentals"
	sourceDemoCurves  = "Curves of the demo circulators: demo values"
	sourceSmaller     = "Between two curves take the smaller: common practice"
)

// fromCurve is what a demo circulator gives at a flow, as it is read off its
// sheet: to half a foot, or to a kPa of cold water. ok is false beyond its
// curve.
func fromCurve(d *Draw, m circulator.Model, flow float64) (head float64, ok bool) {
	h, err := m.Curve.Head(flowUnit(d).ToSI(flow))
	if err != nil {
		return 0, false
	}
	if d.US() {
		return math.Round(quantity.FootHead.FromSI(float64(h))*2) / 2, true
	}
	return math.Round(quantity.Kilopascal.FromSI(float64(h.Pressure(coldDensity)))), true
}

// coldDensity is that of cold water, kg/m³, by which the sheets of circulators
// give their kilopascals. Common practice; 998.2 at 20 °C by IAPWS R7-97(2012).
const coldDensity = 998.2

// roundFlow is a flow as one would order it.
func roundFlow(d *Draw, flow float64) float64 {
	step := Native(d, 0.5, 0.02)
	if flow > Native(d, 20.0, 1.2) {
		step = Native(d, 1.0, 0.05)
	}
	return math.Round(math.Round(flow/step)*step*1e6) / 1e6
}

func buildCirculatorPick(d *Draw, s *Sheet) {
	switch d.Level {
	case 1:
		buildPickDirect(d, s)
	case 2:
		buildPickBetween(d, s)
	default:
		buildPickFromTable(d, s)
	}
	s.Source(sourceDemoCurves)
	s.Caution(cautionHot)
	s.Caution(cautionCirculator)
}

// pickSet is the demo circulator numbered i in the set with its neighbors, and
// a building that takes one of its size.
func pickSet(d *Draw, i int) (set []circulator.Model, building string) {
	return circulator.Demo()[i-1 : i+2], sizedBuilding(d, i)
}

func sizedBuilding(d *Draw, i int) string {
	if i > 2 {
		return largeBuilding(d)
	}
	return oldBuilding(d)
}

func buildPickDirect(d *Draw, s *Sheet) {
	flow, drive := flowUnit(d), driveUnit(d)
	set, building := pickSet(d, d.Int(1, 4))
	f := roundFlow(d, flow.FromSI(set[1].Curve.End()*d.Between(0.3, 0.6, 0.02)))
	heads := make([]float64, 3)
	for i, m := range set {
		var ok bool
		if heads[i], ok = fromCurve(d, m, f); !ok {
			s.Reject("beyond a curve")
			return
		}
	}
	H := heads[1] - Native(d, d.Between(0.5, 3, 0.5), d.Between(2, 9, 1))
	if tooClose(heads, 0.15) || heads[0] > 0.88*H || heads[2] < 1.15*heads[1] || H < 0.8*heads[1] {
		s.Reject("the point lies between curves")
		return
	}
	s.Statement("The main circuit of " + building + " needs {f} at {H}. On the shelf are three demo circulators; at that flow " + set[0].ID + " gives {H_1}, " + set[1].ID + " gives {H_2} and " + set[2].ID + " gives {H_3}. Which one do you take, and what has it in hand?")
	s.Given("f", "design flow", f, flow)
	s.Given("H", Native(d, "design head", "design pressure difference"), H, drive)
	picks := make([]Pick, 3)
	for i, m := range set {
		s.Given(fmt.Sprintf("H_%d", i+1), m.Name+" at the design flow", heads[i], drive)
		picks[i] = Pick{ID: m.ID, Text: fmt.Sprintf("%s, %s: {H_%d} at {f}", m.ID, m.Note, i+1)}
	}
	for i, m := range set {
		s.Step(fmt.Sprintf("e_%d", i+1), "What "+m.ID+" has in hand", fmt.Sprintf("H_%d - H", i+1), drive, "Look at the design flow on each curve: what counts is the head there, not where the curve begins or ends.")
	}
	picks[0].Slip, picks[0].Say = "pick-too-small", "At {f} it gives only {H_1}: the flow would fall well short of {f}."
	picks[2].Slip, picks[2].Say = "pick-too-big", "It gives {H_3} where {H} are needed: the rest drives too much flow, makes noise and costs power for years."
	s.Choose("pick", "Which circulator do you take?", set[1].ID, "e_2", "At the design flow, find the smallest one that still gives {H}.", shuffled(d, picks)...)
	s.Ask("hand", "What it has in hand at the design flow", "e_2", Tolerance{Abs: Native(d, 0.25, 0.5), Why: "The two figures are given and only subtracted."})
	s.MaySlip("pick-too-big", "e_2", "H_3 - H", "That is what the largest one has in hand. A smaller one does.")
	s.Slip("pick-too-small", "e_2", "H_1 - H", "That one falls short: it gives less than {H} at {f}.")
	s.MaySlip("hand-not-subtracted", "e_2", "H_2", "That is the whole head. In hand is what is more than needed.")
}

func buildPickBetween(d *Draw, s *Sheet) {
	flow, drive, unit := flowUnit(d), driveUnit(d), lengthUnit(d)
	factor, factorUnit := heatFactor(d)
	set, building := pickSet(d, d.Int(1, 4))
	dT := Native(d, One(d, 20.0, 25, 30), One(d, 10.0, 12, 15))
	grain := Native(d, 5000.0, 1)
	Q := math.Round(factor*dT*flow.FromSI(set[1].Curve.End()*d.Between(0.3, 0.65, 0.01))/grain) * grain
	f := Q / (factor * dT)
	heads := make([]float64, 3)
	for i, m := range set {
		var ok bool
		if heads[i], ok = fromCurve(d, m, f); !ok {
			s.Reject("beyond a curve")
			return
		}
	}
	// The point lies a little above the middle one's curve.
	H := heads[1] * d.Between(1.03, 1.1, 0.01)
	R := math.Round(Native(d, H/0.06/5, H/0.6)) * Native(d, 5.0, 1)
	s.Statement("In " + building + " the load is {Q} at a drop of {dT}, and the longest run, there and back, is {R}. At the flow that the load needs, the demo circulators " + set[0].ID + ", " + set[1].ID + " and " + set[2].ID + " give {H_1}, {H_2} and {H_3}. What flow does the load need, what " + headWord(d) + " does the rule of thumb ask for, and which one do you take?")
	s.Given("Q", "heat load", Q, loadUnit(d))
	s.Given("dT", "temperature drop", dT, dropUnit(d))
	s.Given("R", "longest run, there and back", R, unit)
	for i, m := range set {
		s.Given(fmt.Sprintf("H_%d", i+1), m.Name+" at that flow", heads[i], drive)
	}
	s.Looked("k", "heat carried per unit of flow and degree", factor, factorUnit, "common practice")
	s.Looked("i", Native(d, "head for each 100 ft of run", "pressure for each meter of run"), Native(d, 6.0, 600),
		Native(d, quantity.FootPerHundredFeet, quantity.PascalPerMeter), "common practice")
	s.Step("f", "Flow", "Q / (k * dT)", flow, "Each unit of flow carries a fixed heat for each degree of drop.")
	H = s.Step("H", Native(d, "Head by the rule", "Pressure difference by the rule"), Native(d, "i * R / 100", "i * R / 1000"), drive, "The customary loss in the pipe and half as much again for fittings, for every length of the run.")
	s.Step("x", "What the smaller of the two gives of that", "100 * H_2 / H", quantity.Percent, "The point lies between two curves: see how far the smaller one falls short.")
	if H <= 1.015*heads[1] || H > 1.12*heads[1] || heads[2] < 1.08*H || heads[0] > 0.85*heads[1] {
		s.Reject("the point does not lie between two curves")
		return
	}
	s.Ask("flow", "Flow for the load", "f", ToleranceHeat)
	s.Ask("head", Native(d, "Head by the rule of thumb", "Pressure difference by the rule of thumb"), "H", toleranceDifference)
	picks := make([]Pick, 3)
	for i, m := range set {
		picks[i] = Pick{ID: m.ID, Text: fmt.Sprintf("%s, %s: {H_%d} at the flow needed", m.ID, m.Note, i+1)}
	}
	picks[0].Slip, picks[0].Say = "pick-too-small", "It lies far below the point. The rule takes the smaller of the two curves that the point lies between."
	picks[2].Score, picks[2].Say = 0.6, "It would work, with more head, noise and power than needed. The head by the rule is generous, and emitters lose little with a little less flow: custom takes the smaller of the two."
	s.Choose("pick", "Which circulator do you take?", set[1].ID, "x", "Find the two curves that the point lies between. The head by the rule is already generous.", shuffled(d, picks)...)
	s.Slip("flow-no-500", "f", "Q / dT", "The factor is missing: a unit of flow carries {k}.")
	s.Slip("head-rate-per-foot", "H", Native(d, "i * R", "i * R / 100"), Native(d, "The rate is for each 100 ft.", "The rate is in pascals: a thousand make one kilopascal."))
	s.MaySlip("run-doubled", "H", Native(d, "2 * i * R / 100", "2 * i * R / 1000"), "The run is already there and back.")
	s.MaySlip("fittings-ignored", "H", Native(d, "4 * R / 100", "400 * R / 1000"), "That is the pipe alone. The rule for the run has half as much again for fittings.")

	system, err := circulator.Through(0, flow.ToSI(f), headOf(d, H), 2)
	if err != nil {
		s.fail("system: %w", err)
		return
	}
	point, err := circulator.OperatingPoint(set[1].Curve, system)
	if err != nil {
		s.Reject(err.Error())
		return
	}
	s.Compare("smaller-curve", "between two curves take the smaller", quantity.Of(f, flow), quantity.FromSI(point.Flow, flow),
		"Even if the system takes all of the head that the rule says, "+set[1].ID+" still moves what the full calculation shows: it runs where its curve meets the system curve, and emitters lose far less heat than the flow falls short.")
	s.Source(sourceHeadPerRun)
	s.Source(sourceSmaller)
	s.Source(sourceHeat)
}

// headOf is a head or a pressure of cold water, in the learner's unit, as the
// engine takes it.
func headOf(d *Draw, drive float64) quantity.MetersHead {
	if d.US() {
		return quantity.MetersHead(quantity.FootHead.ToSI(drive))
	}
	return quantity.Pascal(quantity.Kilopascal.ToSI(drive)).Head(coldDensity)
}

func buildPickFromTable(d *Draw, s *Sheet) {
	flow, drive := flowUnit(d), driveUnit(d)
	// Sets in which a steep circulator begins high and ends low.
	ids := One(d, []string{"C-15", "C-24", "C-35"}, []string{"C-60", "C-90", "C-130"}, []string{"C-35", "C-60", "C-24"})
	set := make([]circulator.Model, 3)
	end := math.Inf(1)
	for i, id := range ids {
		set[i], _ = circulator.DemoNamed(id)
		end = min(end, set[i].Curve.End())
	}
	gap := roundFlow(d, flow.FromSI(end)*0.2)
	x1 := roundFlow(d, flow.FromSI(end)*d.Between(0.45, 0.75, 0.01))
	x2 := math.Round((x1+gap)*1e6) / 1e6
	f := roundFlow(d, x1+gap*One(d, 0.25, 0.4, 0.6, 0.75))
	heads, shutoff := make([]float64, 3), make([]float64, 3)
	s.Given("x_1", "flow of the first reading", x1, flow)
	s.Given("x_2", "flow of the second reading", x2, flow)
	for i, m := range set {
		a, _ := fromCurve(d, m, 0)
		b, ok1 := fromCurve(d, m, x1)
		c, ok2 := fromCurve(d, m, x2)
		if !ok1 || !ok2 || f <= x1 || f >= x2 {
			s.Reject("beyond a curve")
			return
		}
		shutoff[i], heads[i] = a, b+(c-b)*(f-x1)/(x2-x1)
		s.Given(fmt.Sprintf("Z_%d", i+1), m.Name+" at no flow", a, drive)
		s.Given(fmt.Sprintf("A_%d", i+1), m.Name+" at the first reading", b, drive)
		s.Given(fmt.Sprintf("B_%d", i+1), m.Name+" at the second reading", c, drive)
	}
	order, byShutoff := descending(ids, heads), descending(ids, shutoff)
	pick := slices.Index(ids, order[d.Int(0, 1)])
	H := math.Round(heads[pick]/1.1*d.Between(0.9, 0.99, 0.01)*Native(d, 2.0, 1)) / Native(d, 2.0, 1)
	need := 1.1 * H
	s.Given("f", "design flow", f, flow)
	s.Given("H", Native(d, "design head", "design pressure difference"), H, drive)
	s.Given("y", "in hand, on top of the head", 10, quantity.Percent)
	s.Statement("A heat exchanger in " + largeBuilding(d) + " needs its full {f} at {H}, added up pipe by pipe; {y} is to be in hand on the head. The sheet of the demo circulators reads at no flow, at {x_1} and at {x_2}: " +
		ids[0] + " {Z_1}, {A_1} and {B_1}; " + ids[1] + " {Z_2}, {A_2} and {B_2}; " + ids[2] + " {Z_3}, {A_3} and {B_3}. Put them in order at the design flow, choose one, and say what it gives there.")
	s.Step("N", Native(d, "Head needed with the reserve", "Pressure needed with the reserve"), "H * (1 + y / 100)", drive, "The flow is needed in full here, so the reserve is kept.")
	for i := range set {
		n := i + 1
		s.Step(fmt.Sprintf("H_%d", n), "What "+ids[i]+" gives at the design flow", fmt.Sprintf("A_%d + (B_%d - A_%d) * (f - x_1) / (x_2 - x_1)", n, n, n), drive,
			"Between two readings go along the straight line from one to the other.")
	}
	if slices.Equal(order, byShutoff) || tooClose(heads, 0.07) || heads[pick] < 1.01*need || slices.Max(heads) > 3.2*H {
		s.Reject("the order at the design flow does not differ from that at no flow")
		return
	}
	for i := range set {
		if i != pick && heads[i] > 0.985*need && heads[i] < heads[pick] {
			s.Reject("another one would do")
			return
		}
	}
	texts := make([]string, 3)
	picks := make([]Pick, 3)
	for i, id := range ids {
		texts[i] = fmt.Sprintf("%s: {Z_%d}, {A_%d}, {B_%d}", id, i+1, i+1, i+1)
		picks[i] = Pick{ID: id, Text: texts[i]}
		switch {
		case i == pick:
		case heads[i] >= H && heads[i] < need:
			picks[i].Slip, picks[i].Say = "margin-forgotten", "It gives the head, but without the {y} that are to be in hand here."
		case heads[i] < need && shutoff[i] == slices.Max(shutoff):
			picks[i].Slip, picks[i].Say = "pick-max-head-flow", "It has the highest head at no flow. Its curve is steep: at {f} it gives less than is needed."
		case heads[i] < need:
			picks[i].Slip, picks[i].Say = "pick-too-small", "At {f} it gives less than is needed."
		default:
			picks[i].Slip, picks[i].Say = "pick-too-big", "It gives far more than needed; a smaller one has the head and the reserve."
		}
	}
	s.Arrange("order", "Put the circulators in order of the head at the design flow, highest first.", arranged(d, ids, texts), order, "H_1",
		"Read each curve at the design flow, between the two readings.",
		grader.Slip{ID: "order-by-shutoff", Answer: grader.Answer{Order: byShutoff}, Say: "That is the order at no flow. A steep curve begins high and ends low: compare at {f}."})
	symbol := fmt.Sprintf("H_%d", pick+1)
	s.Choose("pick", "Which one do you take?", ids[pick], symbol, "Take the smallest that gives the head with its reserve at the design flow.", shuffled(d, picks)...)
	s.Ask("head", "What the one taken gives at the design flow", symbol, toleranceCurve)
	n := pick + 1
	s.MaySlip("opoint-shutoff", symbol, fmt.Sprintf("Z_%d", n), "That is the head at no flow; read the curve at {f}.")
	s.MaySlip("first-reading-taken", symbol, fmt.Sprintf("A_%d", n), "That is the head at {x_1}; at {f} the curve has fallen further.")
	s.MaySlip("second-reading-taken", symbol, fmt.Sprintf("B_%d", n), "That is the head at {x_2}; at {f} the curve has not yet fallen so far.")
	s.MaySlip("answer-needed-head", symbol, "N", "That is what is needed. The circulator gives what its curve says.")
	s.MaySlip("answer-design-head", symbol, "H", "That is what the system takes. The circulator gives what its curve says.")
	s.Source("10 % in hand on a calculated head where the flow is needed in full: demo value")
}
