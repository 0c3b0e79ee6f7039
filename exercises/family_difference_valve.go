package exercises

import (
	"fmt"
	"slices"

	"loopwright/grader/quantity"
)

var (
	toleranceValve = Tolerance{Rel: 0.03, Why: "Coefficient, flow and drop are given exactly; 3 % covers rounding and the lower density of warm water."}
	// toleranceValveDrop doubles it: a drop is a square.
	toleranceValveDrop = Tolerance{Rel: 0.05, Why: "A drop goes with the square of the flow, so an error of 2 % in the flow is 4 % here."}
)

const (
	sourceCoefficient = "Flow coefficient by IEC 60534-1 and 60534-2-1: Cv is gpm of water at 1 psi, Kv is m³/h at 1 bar (100 kPa); density of cold water"
	sourceFeetPerPSI  = "2.31 ft of water for 1 psi: 144 in²/ft² over 62.4 lb/ft³, cold water"
	sourcePerHour     = "3.6 m³/h for 1 L/s: definition of the units"
)

func coefficientUnit(d *Draw) *quantity.Unit { return Native(d, quantity.CvUnit, quantity.KvUnit) }

func coefficientName(d *Draw) string { return Native(d, "Cv", "Kv") }

func buildValveFlow(d *Draw, s *Sheet) {
	switch d.Level {
	case 1:
		buildFlowThroughValve(d, s)
	case 2:
		buildDropOfValve(d, s)
	default:
		buildValveFromList(d, s)
	}
	s.Source(sourceCoefficient)
	s.Caution(cautionHot)
}

func valveAt(d *Draw) string {
	return One(d, "A zone valve", "A balancing valve, fully open,", "The control valve of a heating coil", "The valve of a fan coil")
}

func buildFlowThroughValve(d *Draw, s *Sheet) {
	press := pressureUnit(d)
	flow := Native(d, quantity.GallonPerMinute, quantity.CubicMeterPerHour)
	s.Statement(valveAt(d) + " of the demo series is marked {C}. Two gauges show that it takes {dp}. How much water passes?")
	s.Given("C", "flow coefficient", Native(d, d.Between(1.5, 12, 0.5), d.Between(1, 10, 0.5)), coefficientUnit(d))
	s.Given("dp", "pressure drop of the valve", Native(d, One(d, 0.3, 0.4, 0.5, 0.6, 1.5, 1.8, 2, 2.5, 3, 4), d.Between(3, 30, 0.5)), press)
	s.Step("f", "Flow", Native(d, "C * sqrt(dp)", "C * sqrt(dp / 100)"), flow,
		Native(d, "Cv is the flow in gpm at 1 psi; flow goes with the root of the drop.", "Kv is the flow in m³/h at 1 bar, which is 100 kPa; flow goes with the root of the drop."))
	s.Ask("flow", "Flow through the valve", "f", toleranceValve)
	s.Slip("cv-no-root", "f", Native(d, "C * dp", "C * dp / 100"), "Flow goes with the square root of the drop, not with the drop itself.")
	if d.US() {
		s.Slip("cv-ft-for-psi", "f", "C * sqrt(2.31 * dp)", "Cv is defined for psi: leave the drop in psi.")
		s.MaySlip("cv-inverted", "f", "C / sqrt(dp)", "More drop drives more flow: multiply by the root.")
	} else {
		s.Slip("kv-in-kpa", "f", "C * sqrt(dp)", "Kv is defined for bar: divide the kilopascals by 100 before taking the root.")
		s.Slip("cv-inverted", "f", "C / sqrt(dp / 100)", "More drop drives more flow: multiply by the root.")
	}
	s.MaySlip("cv-kv-flip", "f", Native(d, "C * sqrt(dp) / 1.156", "C * sqrt(dp / 100) * 1.156"),
		"No conversion is needed here: "+Native(d, "Cv goes with gpm and psi.", "Kv goes with m³/h and bar.")+" Cv = 1.156 Kv is for changing between the two.")
}

func buildDropOfValve(d *Draw, s *Sheet) {
	press, flow := pressureUnit(d), flowUnit(d)
	c := Native(d, d.Between(1.5, 10, 0.5), d.Between(1, 8, 0.5))
	// A drop of 0.4 to 4 psi (3 to 25 kPa) is what such valves take.
	f := Native(d, d.Between(1, 18, 0.5), d.Between(0.06, 1, 0.02))
	s.Given("C", "flow coefficient", c, coefficientUnit(d))
	s.Given("f", "flow", f, flow)
	const oddDrop = "the drop is not one of such a valve"
	const inverted = "Put the flow on top: more flow through the same valve takes more."
	if d.US() {
		s.Statement(valveAt(d) + " of the demo series is marked {C} and passes {f}. What pressure drop does it take in psi, and how much head is that in feet?")
		dp := s.Step("dp", "Pressure drop", "pow(f / C, 2)", press, "Cv is the flow at 1 psi; the drop goes with the square of the flow.")
		if dp < 0.4 || dp > 4 {
			s.Reject(oddDrop)
			return
		}
		s.Step("h", "Head", "2.31 * dp", quantity.FootHead, "One psi holds up 2.31 ft of cold water.")
		s.Ask("drop", "Pressure drop of the valve", "dp", toleranceValveDrop)
		s.Ask("head", "The same as head", "h", toleranceValveDrop)
		s.Slip("cv-no-root", "dp", "f / C", "The drop goes with the square of the flow: square the ratio.")
		s.Slip("cv-inverted", "dp", "pow(C / f, 2)", inverted)
		s.Slip("psi-ft-flip", "h", "dp / 2.31", "One psi lifts water 2.31 ft, so the feet are the larger number.")
		s.Source(sourceFeetPerPSI)
		return
	}
	s.Statement(valveAt(d) + " of the demo series is marked {C} and passes {f}. What pressure does it take?")
	s.Step("f_h", "Flow per hour", "3.6 * f", quantity.CubicMeterPerHour, "Kv counts cubic meters per hour; one L/s is 3.6 of them.")
	dp := s.Step("dp", "Pressure drop", "100 * pow(f_h / C, 2)", press, "Kv is the flow at 1 bar, which is 100 kPa; the drop goes with the square of the flow.")
	if dp < 3 || dp > 28 {
		s.Reject(oddDrop)
		return
	}
	s.Ask("drop", "Pressure drop of the valve", "dp", toleranceValveDrop)
	s.Slip("cv-no-root", "dp", "100 * f_h / C", "The drop goes with the square of the flow: square the ratio.")
	s.Slip("cv-inverted", "dp", "100 * pow(C / f_h, 2)", inverted)
	s.Slip("kv-in-kpa", "dp", "pow(f_h / C, 2)", "The square of flow over Kv is in bar; one bar is 100 kPa.")
	s.Slip("flow-not-per-hour", "f_h", "f", "Kv goes with cubic meters per hour: multiply L/s by 3.6 first.")
	s.Source(sourcePerHour)
}

// The sizes of the demo valve, each about 1.6 times the one before, as the
// preferred numbers R5 of ISO 3 step.
var demoValveSizes = []float64{1, 1.6, 2.5, 4, 6.3, 10, 16}

func buildValveFromList(d *Draw, s *Sheet) {
	press, flow, drive := pressureUnit(d), flowUnit(d), driveUnit(d)
	factor, factorUnit := heatFactor(d)
	s.Statement("A zone of " + One(d, "a small clinic", "a guest house", "a village library", "an office floor") + " takes {Q} at a drop of {dT}. Its valve may take no more than {h} when fully open. The demo valve comes in {V_1}, {V_2}, {V_3} and {V_4}. What coefficient does the zone need, which size do you take, and what drop does that size really make?")
	s.Given("Q", "load of the zone", Native(d, d.Between(15, 90, 5)*1000, d.Between(4, 26, 1)), loadUnit(d))
	s.Given("dT", "temperature drop", Native(d, One(d, 15.0, 20, 25, 30), One(d, 8.0, 10, 12, 15)), dropUnit(d))
	s.Given("h", "most that the valve may take", Native(d, d.Between(2, 8, 0.5), d.Between(5, 22, 1)), drive)
	first := d.Int(0, len(demoValveSizes)-4)
	size := demoValveSizes[first : first+4]
	for i, v := range size {
		s.Looked(fmt.Sprintf("V_%d", i+1), fmt.Sprintf("size %d of the demo valve", i+1), v, coefficientUnit(d), "demo")
	}
	s.Looked("k", "heat carried per unit of flow and degree", factor, factorUnit, "common practice")
	s.Step("f", "Flow", "Q / (k * dT)", flow, "The valve passes what the zone's heat needs.")
	var need float64
	if d.US() {
		s.Step("p", "Most drop in psi", "h / 2.31", press, "Cv counts psi, so feet are converted first.")
		need = s.Step("C", "Coefficient needed", "f / sqrt(p)", coefficientUnit(d), "Flow over the root of the drop is the coefficient.")
		s.Source(sourceFeetPerPSI)
	} else {
		s.Step("f_h", "Flow per hour", "3.6 * f", quantity.CubicMeterPerHour, "Kv counts cubic meters per hour; one L/s is 3.6 of them.")
		need = s.Step("C", "Coefficient needed", "f_h / sqrt(h / 100)", coefficientUnit(d), "Flow over the root of the drop is the coefficient, with the drop in bar.")
		s.Source(sourcePerHour)
	}
	right := slices.IndexFunc(size, func(v float64) bool { return v >= need })
	if right < 1 || right > 2 || need > 0.95*size[right] || need < 1.08*size[right-1] {
		s.Reject("no size fits clearly")
		return
	}
	n := right + 1
	s.Step("dp", "Drop of the size taken", fmt.Sprintf(Native(d, "pow(f / V_%d, 2)", "100 * pow(f_h / V_%d, 2)"), n), press, "The real valve is a little larger than needed, so it takes a little less than allowed.")
	s.Ask("needed", Native(d, "Least Cv of the valve", "Least Kv of the valve"), "C", ToleranceTable)
	picks := make([]Pick, len(size))
	for i := range size {
		picks[i] = Pick{ID: fmt.Sprintf("size-%d", i+1), Text: fmt.Sprintf("{V_%d}", i+1)}
		switch {
		case i == right-1:
			picks[i].Slip, picks[i].Say = "valve-rounded-down", "Fully open, that size takes more than {h}: go to the next larger coefficient."
		case i < right:
			picks[i].Slip, picks[i].Say = "valve-far-too-small", "That size chokes the zone: it takes several times what is allowed."
		case i == right+1:
			picks[i].Score, picks[i].Say = 0.7, "It passes the flow, but takes less than half of what is allowed and so controls less of its circuit. The next smaller size does."
		case i > right:
			picks[i].Slip, picks[i].Say = "valve-oversized", "That large, the valve takes hardly anything and does its work in the last bit of its travel. Take the smallest that stays within {h}."
		}
	}
	s.Choose("size", "Which size do you take?", picks[right].ID, "C", "Take the smallest size whose coefficient is at least the one needed.", picks...)
	s.Ask("drop", "Drop of that size at this flow", "dp", toleranceValveDrop)
	if d.US() {
		s.Slip("cv-ft-for-psi", "p", "h", "Cv is defined per psi: divide the feet by 2.31 first.")
		s.MaySlip("cv-no-root", "C", "f / p", "Divide by the root of the drop.")
	} else {
		s.Slip("kv-in-kpa", "C", "f_h / sqrt(h)", "Kv is defined for bar: divide the kilopascals by 100 before taking the root.")
		s.Slip("flow-not-per-hour", "f_h", "f", "Kv goes with cubic meters per hour: multiply L/s by 3.6 first.")
	}
	s.MaySlip("drop-taken-as-allowed", "dp", Native(d, "p", "h"), "That is the most it may take. The size that is made takes less: work it out with its own coefficient.")
	s.Source(sourceHeat)
}

func buildBalancingCv(d *Draw, s *Sheet) {
	switch d.Level {
	case 1:
		buildExcessGiven(d, s)
	case 2:
		buildExcessFromMains(d, s)
	default:
		buildExcessOfThree(d, s)
	}
	s.Source(sourceCoefficient)
	if d.US() {
		s.Source(sourceFeetPerPSI)
	} else {
		s.Source(sourcePerHour)
	}
	s.Caution(cautionHot)
}

// askBalancing records the coefficient of a valve that takes the head or
// pressure named h at the flow named f, and asks for both.
func askBalancing(d *Draw, s *Sheet) {
	if excess, _ := s.Value("h"); excess < Native(d, 1.2, 3.5) {
		s.Reject("the excess is too small for a balancing valve")
		return
	}
	if d.US() {
		s.Step("p", "Excess in psi", "h / 2.31", quantity.PSI, "Cv counts psi; one psi is 2.31 ft of cold water.")
		s.Step("C", "Coefficient", "f / sqrt(p)", quantity.CvUnit, "The valve is set where its own drop at design flow is just the excess.")
		s.Slip("cv-ft-for-psi", "p", "h", "Cv is defined per psi: divide the feet by 2.31 first.")
		s.Slip("psi-ft-flip", "p", "2.31 * h", "One psi is 2.31 ft, so the psi are the smaller number: divide.")
		s.MaySlip("cv-no-root", "C", "f / p", "Divide by the root of the drop.")
	} else {
		s.Step("f_h", "Flow per hour", "3.6 * f", quantity.CubicMeterPerHour, "Kv counts cubic meters per hour; one L/s is 3.6 of them.")
		s.Step("C", "Coefficient", "f_h / sqrt(h / 100)", quantity.KvUnit, "The valve is set where its own drop at design flow is just the excess, in bar.")
		s.Slip("kv-in-kpa", "C", "f_h / sqrt(h)", "Kv is defined for bar: divide the kilopascals by 100 before taking the root.")
		s.Slip("flow-not-per-hour", "f_h", "f", "Kv goes with cubic meters per hour: multiply L/s by 3.6 first.")
		s.MaySlip("cv-no-root", "C", "f_h / (h / 100)", "Divide by the root of the drop.")
	}
	excess := s.Quantity("h").Text()
	for _, other := range s.order {
		if s.lines[other].expr != nil && other != "h" && s.Quantity(other).Text() == excess {
			s.Reject("a step on the way shows the figure of the answer")
			return
		}
	}
	s.Ask("excess", "Excess for the valve to take", "h", toleranceDifference)
	s.Ask("coefficient", "Setting of the balancing valve, as "+coefficientName(d), "C", ToleranceFriction)
}

func buildExcessGiven(d *Draw, s *Sheet) {
	drive := driveUnit(d)
	s.Statement("Two circuits of " + One(d, "a guest house", "a parish hall", "a row of studios", "a two-story house") + " leave the same headers. At design flow the longer one takes {H_c}, the shorter one {H} at {f}. The shorter one gets a balancing valve. What must the valve take, and what coefficient is that?")
	s.Given("H_c", "loss of the longer circuit", Native(d, d.Between(7, 16, 0.5), d.Between(20, 48, 1)), drive)
	s.Given("H", "loss of the shorter circuit without its valve", Native(d, d.Between(3, 9, 0.5), d.Between(8, 28, 1)), drive)
	s.Given("f", "design flow of the shorter circuit", Native(d, d.Between(1.5, 8, 0.5), d.Between(0.1, 0.5, 0.02)), flowUnit(d))
	s.Step("h", "Excess", "H_c - H", drive, "Both circuits lie between the same headers; the easy one must lose as much as the hard one.")
	s.MaySlip("balance-takes-all", "h", "H_c", "The circuit itself takes {H}. The valve takes only what is left over.")
	s.MaySlip("balance-takes-own", "h", "H", "That is what the circuit takes without a valve. The valve takes what is left over up to {H_c}.")
	askBalancing(d, s)
}

func buildExcessFromMains(d *Draw, s *Sheet) {
	drive := driveUnit(d)
	factor, factorUnit := heatFactor(d)
	s.Statement("A take-off lies {L} down a direct-return main of " + One(d, "a long school wing", "an apartment block", "a row of workshops") + "; supply and return lose {R} each. At the start of the mains the difference is {D_0}. The circuit on the take-off heats {Q} at a drop of {dT} and takes {H} at its design flow. What must its balancing valve take, and what coefficient is that?")
	s.Given("L", "length of the main as far as the take-off, one way", Native(d, d.Between(20, 90, 5), d.Between(6, 28, 1)), lengthUnit(d))
	s.Given("R", "loss rate of each main", Native(d, d.Between(1.5, 4, 0.5), d.Between(120, 380, 20)), Native(d, quantity.FootPerHundredFeet, quantity.PascalPerMeter))
	s.Given("D_0", "difference at the start of the mains", Native(d, d.Between(10, 18, 0.5), d.Between(30, 54, 1)), drive)
	s.Given("Q", "load of the circuit", Native(d, d.Between(15, 60, 5)*1000, d.Between(4, 16, 1)), loadUnit(d))
	s.Given("dT", "temperature drop of the circuit", Native(d, One(d, 15.0, 20, 25, 30), One(d, 8.0, 10, 12, 15)), dropUnit(d))
	s.Given("H", "loss of the circuit without its valve", Native(d, d.Between(3, 7, 0.5), d.Between(8, 20, 1)), drive)
	s.Looked("k", "heat carried per unit of flow and degree", factor, factorUnit, "common practice")
	s.Step("f", "Design flow", "Q / (k * dT)", flowUnit(d), "The valve is set at the flow that the load needs.")
	s.Step("D", "Difference at the take-off", Native(d, "D_0 - 2 * L * R / 100", "D_0 - 2 * L * R / 1000"), drive, "Supply and return both take their loss as far as the take-off.")
	s.Step("h", "Excess", "D - H", drive, "What the circuit does not need at design flow is left for the valve.")
	s.MaySlip("head-one-way", "D", Native(d, "D_0 - L * R / 100", "D_0 - L * R / 1000"), "The return main loses as much as the supply main: subtract both.")
	s.MaySlip("balance-takes-all", "h", "D", "The circuit itself takes {H}. The valve takes only what is left over.")
	s.MaySlip("mains-forgotten", "D", "D_0", "The difference at the start is not the one at the take-off: the mains take their share.")
	askBalancing(d, s)
	s.Source(sourceMains)
	s.Source(sourceHeat)
}

func buildExcessOfThree(d *Draw, s *Sheet) {
	drive := driveUnit(d)
	names := []string{"near", "middle", "far"}
	s.Statement("Three circuits hang on the direct-return mains of " + One(d, "a guest house", "a former school", "an office building") + ". As far as the near, the middle and the far one, supply and return mains together take {m_1}, {m_2} and {m_3}. The circuits themselves take {H_1}, {H_2} and {H_3} at design flow; the near one's is {f}. Every circuit has a balancing valve. Which valve stays open, and how is the near one set?")
	m1 := Native(d, d.Between(0.5, 2, 0.5), d.Between(2, 6, 1))
	m2 := m1 + Native(d, d.Between(1, 2.5, 0.5), d.Between(3, 8, 1))
	m3 := m2 + Native(d, d.Between(0.5, 2.5, 0.5), d.Between(2, 8, 1))
	mains, path := []float64{m1, m2, m3}, make([]float64, 3)
	for i, name := range names {
		s.Given(fmt.Sprintf("m_%d", i+1), "mains as far as the "+name+" circuit, both pipes", mains[i], drive)
	}
	for i, name := range names {
		h := Native(d, d.Between(3, 9, 0.5), d.Between(9, 27, 1))
		path[i] = mains[i] + h
		s.Given(fmt.Sprintf("H_%d", i+1), name+" circuit without its valve", h, drive)
	}
	s.Given("f", "design flow of the near circuit", Native(d, d.Between(1.5, 8, 0.5), d.Between(0.1, 0.5, 0.02)), flowUnit(d))
	for i, name := range names {
		s.Step(fmt.Sprintf("P_%d", i+1), "Path through the "+name+" circuit", fmt.Sprintf("m_%d + H_%d", i+1, i+1), drive, "A path is the mains there and back and the circuit itself, in a row: they add up.")
	}
	order := descending(names, path)
	open := slices.Index(names, order[0])
	if open == 0 || tooClose(path, 0.06) {
		s.Reject("the near circuit decides, or the paths are alike")
		return
	}
	s.Step("h", "Excess of the near circuit", fmt.Sprintf("P_%d - P_1", open+1), drive, "The hardest path sets what the circulator gives; the easier one has the rest in excess.")
	picks := make([]Pick, len(names))
	for i, name := range names {
		picks[i] = Pick{ID: name, Text: Capital(name) + fmt.Sprintf(": mains {m_%d}, circuit {H_%d}", i+1, i+1)}
		switch {
		case i == open:
		case i == 2:
			picks[i].Slip, picks[i].Say = "critical-longest", "The farthest circuit is not the hardest here: add up mains and circuit for each path."
		case name == order[2]:
			picks[i].Slip, picks[i].Say = "balance-crit-throttle", "That is the easiest path: left open, it takes the most water from the others."
		default:
			picks[i].Slip, picks[i].Say = "critical-own-loss", "Add the mains as far as each circuit to its own loss before you compare."
		}
	}
	s.Choose("open", "Which circuit's valve stays fully open?", order[0], "h", "The valve of the path with the highest loss stays open; every other one takes up its excess.", shuffled(d, picks)...)
	s.MaySlip("balance-takes-all", "h", fmt.Sprintf("P_%d", open+1), "The near path itself takes {P_1}. The valve takes only what is left over.")
	s.MaySlip("mains-forgotten", "h", fmt.Sprintf("H_%d - H_1", open+1), "The hard path is hard by its mains too: compare whole paths.")
	if open != 2 {
		s.MaySlip("critical-longest", "h", "P_3 - P_1", "The farthest circuit is not the hardest here: take the highest of the three paths.")
	}
	askBalancing(d, s)
	s.Source(sourceMains)
}
