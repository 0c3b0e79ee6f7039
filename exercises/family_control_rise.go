package exercises

import (
	"math"

	"loopwright/grader/quantity"
)

var closingValvePressure = &Family{
	ID: "closing-valve-pressure", Title: "What the last open valve has to stand", Skills: []string{"valve-closing-rise", "operating-point"}, Lesson: LessonControl,
	Levels: [Levels]string{
		"A meter shows what is left: the head, and the difference across the last zone.",
		"No meter: find the flow of the last zone first, then what its valve takes.",
		"Fixed speed against a held difference, and whether the valve can shut.",
	},
	Build: buildClosingValve,
}

const (
	sourceHiss     = "Thermostatic radiator valves are quiet to about 3 psi (20 kPa) and hiss above about 4 psi (30 kPa): common practice; EN 215 on their greatest difference (from memory)"
	sourceShutoff  = "Greatest difference against which the demo zone valve shuts: demo value; a maker's sheet states it"
	sayHeadAsOnJob = "With the other zones shut the circulator climbs its curve and the mains take nearly nothing: the last zone gets both."
)

func buildClosingValve(d *Draw, s *Sheet) {
	switch d.Level {
	case 1:
		buildLastZoneMetered(d, s)
	case 2:
		buildLastZoneFound(d, s)
	default:
		buildValveShuts(d, s)
	}
	s.Source(sourceSystemCurve)
	s.Source(sourceSquareLaw)
	s.Source("Curve of the demo circulator, a parabola through two of its points: demo values")
	s.Caution(cautionHot)
}

// lastZone are the numbers of a system of like zones, in the learner's units.
type lastZone struct {
	n                               int
	each, flow, shutoff, head, zone float64
}

// last is the flow of the last open zone at fixed speed: the root of the head
// at no flow over all that lies in its path, curve and mains and zone.
func (z lastZone) last() float64 {
	return math.Sqrt(z.shutoff / ((z.shutoff-z.zone)/(z.flow*z.flow) + z.zone/(z.each*z.each)))
}

// drawLastZone records a system of like zones with its circulator: each zone's
// design flow q, the circulator's a at no flow and H_d at the design flow f_d,
// and h_z, which each zone takes of it.
func drawLastZone(d *Draw, s *Sheet) lastZone {
	drive, flow := driveUnit(d), flowUnit(d)
	var z lastZone
	z.n = d.Int(3, 6)
	z.each = Native(d, d.Between(1.5, 4, 0.5), d.Between(0.1, 0.26, 0.02))
	z.flow = toFigures(float64(z.n)*z.each, 6)
	z.shutoff = Native(d, d.Between(6, 20, 0.5), d.Between(18, 60, 1))
	z.head = toFigures(z.shutoff*d.Between(0.55, 0.8, 0.01), 2)
	z.zone = toFigures(z.head*d.Between(0.35, 0.7, 0.01), 2)
	s.Given("q", "design flow of each zone", z.each, flow)
	s.Given("f_d", "design flow of all zones", z.flow, flow)
	s.Given("a", "circulator at no flow", z.shutoff, drive)
	s.Given("H_d", "circulator at the design flow", z.head, drive)
	s.Given("h_z", "each zone with its valve, at its design flow", z.zone, drive)
	if z.head-z.zone < Native(d, 0.8, 2.4) {
		s.Reject("hardly anything is left for boiler and mains")
	}
	return z
}

// pressed records the head named from as a pressure named to. In SI it is one
// already. It gives the name of the pressure.
func pressed(d *Draw, s *Sheet, to, from, label string) string {
	if !d.US() {
		return from
	}
	s.Step(to, label, from+" / 2.31", quantity.PSI, "Valves are judged by pressure. One psi is 2.31 ft of cold water.")
	s.MaySlip("psi-ft-flip", to, "2.31 * "+from, "One psi is 2.31 ft, so the psi are the smaller number: divide.")
	s.MaySlip("head-ft-as-psi", to, from, "That is in feet. Divide by 2.31 for psi.")
	return to
}

// hissLimit records the customary limit and asks whether the pressure named by
// symbol is over it.
func hissLimit(s *Sheet, symbol string) {
	limit, _ := s.Value("L")
	value, _ := s.Value(symbol)
	if value > 0.9*limit && value < 1.1*limit {
		s.Reject("at the limit")
		return
	}
	right := "over"
	if value < limit {
		right = "under"
	}
	s.Choose("limit", "Is it over the limit at which such valves hiss?", right, symbol, "Compare what stands across the valves now with {L}.",
		Pick{ID: "over", Text: "Over {L}: they will be heard.", Slip: "limit-misread", Say: "It stays below {L}: custom expects no hiss."},
		Pick{ID: "under", Text: "Below {L}: they stay quiet.", Slip: "rise-forgotten", Say: sayHeadAsOnJob})
}

func recordHiss(d *Draw, s *Sheet) {
	s.Looked("L", "difference at which thermostatic radiator valves begin to hiss", Native(d, 4.0, 30), pressureUnit(d), "common practice")
	s.Source(sourceHiss)
	if d.US() {
		s.Source(sourceFeetPerPSI)
	}
}

func smallHotel(d *Draw) string {
	return One(d, "a guest house", "a small hotel", "a retirement home", "a parish house", "an old apartment house")
}

func buildLastZoneMetered(d *Draw, s *Sheet) {
	drive := driveUnit(d)
	z := drawLastZone(d, s)
	s.Given("f", "flow with one zone open", meterStep(d, z.last()), flowUnit(d))
	recordHiss(d, s)
	s.Statement("In " + smallHotel(d) + " a demo circulator at fixed speed serves " + inWords(z.n) + " like zones with thermostatic radiator valves, {q} each. It gives {a} at no flow and {H_d} at the design flow of {f_d}; between them its curve falls with the square of the flow. Of {H_d} each zone takes {h_z}, boiler and mains the rest. On a mild day all zones but one have shut, and a meter shows {f}. What does the circulator give now, what difference stands across the last zone, all of which its valves take as they close, and will they hiss?")
	s.Step("h_m", "Boiler and mains at design flow", "H_d - h_z", drive, "What the circulator gives at design flow is used up by mains and zone in a row.")
	s.Step("H", Capital(headWord(d))+" of the circulator now", "a - (a - H_d) * pow(f / f_d, 2)", drive, "With less flow it climbs its curve toward a; the fall goes with the square of the flow.")
	s.Step("D", "Difference across the last zone", "H - h_m * pow(f / f_d, 2)", drive, "Boiler and mains take their part with the square of the flow, and that is little now.")
	p := pressed(d, s, "p", "D", "Difference across the last zone, as a pressure")
	s.Ask("head", "What the circulator gives now", "H", toleranceCurve)
	s.Ask("difference", "Difference across the last zone", p, toleranceCurve)
	hissLimit(s, p)
	s.Slip("circulator-head-unchanged", "H", "H_d", "That is at design flow. With less flow it climbs its curve.")
	s.MaySlip("opoint-shutoff", "H", "a", sayShutoff)
	s.MaySlip("curve-fall-linear", "H", "a - (a - H_d) * f / f_d", "The curve falls with the square of the flow.")
	s.Slip("zone-dp-unchanged", "D", "h_z", sayHeadAsOnJob)
	s.Slip("mains-loss-kept", "D", "H - h_m", "That is what boiler and mains take at design flow. At this flow they take far less.")
	s.MaySlip("mains-loss-linear", "D", "H - h_m * f / f_d", "Losses go with the square of the flow.")
}

// sharedPath records what the path of the last open zone is made of.
func sharedPath(d *Draw, s *Sheet) {
	s.Step("b", "Fall of the curve", "(a - H_d) / pow(f_d, 2)", quantity.One, "From no flow to the design flow the curve falls from a to the design point.")
	s.Step("m", "Resistance of boiler and mains", "(H_d - h_z) / pow(f_d, 2)", quantity.One, "They take what the zone leaves at design flow, with the flow of all zones.")
	s.Step("k", "Resistance of one zone", "h_z / pow(q, 2)", quantity.One, "A zone takes its part with its own flow.")
}

func buildLastZoneFound(d *Draw, s *Sheet) {
	flow, drive := flowUnit(d), driveUnit(d)
	z := drawLastZone(d, s)
	recordHiss(d, s)
	s.Given("h_v", "the radiator valves' part of that", toFigures(z.zone*d.Between(0.4, 0.75, 0.01), 2), drive)
	s.Statement("In " + smallHotel(d) + " a demo circulator at fixed speed serves " + inWords(z.n) + " like zones with thermostatic radiator valves, {q} each. It gives {a} at no flow and {H_d} at the design flow of {f_d}; between them its curve falls with the square of the flow. Of {H_d} each zone takes {h_z}, {h_v} of it in its open valves; boiler and mains take the rest. All zones but one shut. What flow does the last zone get, what do its open valves take then, and will they hiss?")
	sharedPath(d, s)
	f := s.Step("f", "Flow of the last zone", "sqrt(a / (b + m + k))", flow, "Only one flow is left, and it passes everything in a row: curve, mains and zone. a − b·f² = m·f² + k·f².")
	s.Step("h", "Drop of its valves", "h_v * pow(f / q, 2)", drive, "The open valves take their part with the square of their flow.")
	p := pressed(d, s, "p", "h", "Drop of its valves, as a pressure")
	if f < 1.15*z.each {
		s.Reject("the last zone gains little")
		return
	}
	s.Ask("flow", "Flow of the last zone", "f", toleranceCurveFlow)
	s.Ask("drop", "Drop of its open valves", p, ToleranceTable)
	hissLimit(s, p)
	s.Slip("zone-flow-unchanged", "f", "q", "That is its design flow. With the others shut more drives it.")
	s.MaySlip("all-flow-through-last", "f", "f_d", "The circulator does not move all of its design flow through one zone: the zone's resistance stands against it.")
	s.MaySlip("curve-sign-lost", "f", "sqrt(a / (m + k))", "The circulator's curve falls with flow: count its b too.")
	s.MaySlip("mains-forgotten", "f", "sqrt(a / (b + k))", "Boiler and mains still lie in its path.")
	s.MaySlip("design-head-kept", "f", "sqrt(H_d / (m + k))", "The circulator does not stay at {H_d}: with less flow it climbs its curve.")
	s.MaySlip("zone-dp-unchanged", "h", "h_v", sayHeadAsOnJob)
	s.MaySlip("head-linear-flow", "h", "h_v * f / q", "The drop goes with the square of the flow.")
	s.MaySlip("zone-for-valve", "h", "h_z * pow(f / q, 2)", "That is the whole zone. Of it the valves take their own part.")
}

func buildValveShuts(d *Draw, s *Sheet) {
	flow, press := flowUnit(d), pressureUnit(d)
	z := drawLastZone(d, s)
	shutoff, held := z.shutoff, z.head
	if d.US() {
		shutoff, held = shutoff/2.31, held/2.31
	}
	right := One(d, "held", "held", "both", "neither")
	stands := map[string]float64{
		"held":    held + (shutoff-held)*d.Between(0.3, 0.7, 0.05),
		"both":    shutoff * d.Between(1.15, 1.5, 0.05),
		"neither": held * d.Between(0.6, 0.85, 0.05),
	}[right]
	limit := toFigures(stands, 2)
	s.Given("L", "greatest difference against which the zone valve shuts", limit, press)
	if tooClose([]float64{limit, shutoff, held}, 0.08) {
		s.Reject("the valve stands at its limit")
		return
	}
	s.Statement("In " + smallHotel(d) + " " + inWords(z.n) + " like zones of {q} each have zone valves of a demo make that shut against {L} at most. The demo circulator gives {a} at no flow and {H_d} at the design flow of {f_d}; at fixed speed its curve falls between them with the square of the flow. It can also hold {H_d} at its flanges at any flow. Of {H_d} each zone takes {h_z} at design flow, boiler and mains the rest. One zone is left, and then its valve closes too. What flow does that zone get before, each way; what stands across the valve as it closes at fixed speed; and which way of running lets it shut?")
	sharedPath(d, s)
	s.Step("f", "Flow of the last zone at fixed speed", "sqrt(a / (b + m + k))", flow, "Curve, mains and zone lie in a row: a − b·f² = m·f² + k·f².")
	s.Step("f_h", "Flow of the last zone with the difference held", "sqrt(H_d / (m + k))", flow, "The circulator holds its difference, so only mains and zone are left in the row.")
	s.Step("p", "Across the closing valve at fixed speed", Native(d, "a / 2.31", "a"), press, "As the last flow stops nothing is lost on the way: the valve gets all that the circulator gives at no flow.")
	s.Step("p_h", "Across the closing valve with the difference held", Native(d, "H_d / 2.31", "H_d"), press, "The valve gets what is held, and no more.")
	s.Ask("fixed", "Flow of the last zone at fixed speed", "f", toleranceCurveFlow)
	s.Ask("held", "Flow of the last zone with the difference held", "f_h", toleranceCurveFlow)
	s.Ask("across", "Across the closing valve at fixed speed", "p", toleranceCurve)
	s.Choose("shuts", "Which way of running lets the valve shut?", right, "p_h", "Compare what stands across the closing valve, each way, with {L}.",
		Pick{ID: "both", Text: "Both: it stands more than either gives.", Slip: "shutoff-misjudged", Say: "As the last flow stops, the valve sees all that the circulator gives at no flow. Compare that with {L}."},
		Pick{ID: "held", Text: "Only the held difference: at fixed speed the circulator pushes it open.", Slip: "shutoff-misjudged", Say: "Compare both {a} at no flow and the held {H_d} with {L}, in the same unit."},
		Pick{ID: "neither", Text: "Neither: even what is held is too much for it.", Slip: "shutoff-misjudged", Say: "The held {H_d} is less than the valve stands: compare it with {L} in the same unit."})
	s.Slip("zone-flow-unchanged", "f", "q", "That is its design flow. With the others shut more drives it.")
	s.MaySlip("zone-flow-unchanged", "f_h", "q", "With the others shut the mains take less of what is held, and more is left for it.")
	s.MaySlip("curve-sign-lost", "f", "sqrt(a / (m + k))", "The circulator's curve falls with flow: count its b too.")
	s.MaySlip("mains-forgotten", "f_h", "sqrt(H_d / k)", "Boiler and mains still lie in its path.")
	s.MaySlip("zone-dp-unchanged", "p", Native(d, "h_z / 2.31", "h_z"), sayHeadAsOnJob)
	s.MaySlip("design-head-kept", "p", Native(d, "H_d / 2.31", "H_d"), "That is at design flow. At no flow the circulator stands at the top of its curve.")
	s.Source(sourceShutoff)
	if d.US() {
		s.Source(sourceFeetPerPSI)
	}
	s.Caution(cautionElectric)
}
