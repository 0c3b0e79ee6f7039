package exercises

import (
	"loopwright/grader/quantity"
)

var bypassSetting = &Family{
	ID: "bypass-setting", Title: "Setting a differential-pressure bypass", Skills: []string{"bypass-set", "cv-flow"}, Lesson: LessonControl,
	Levels: [Levels]string{
		"The set point from the losses behind the bypass, and one that is set wrong.",
		"What it must pass for the boiler when one zone is left, and its coefficient.",
		"With the circulator's curve: what it must pass so that the difference stays.",
	},
	Build: buildBypass,
}

const (
	sourceBypass  = "Bypass set 10 to 20 % above the difference at design flow: common practice"
	cautionBypass = "A boiler that loses its flow overheats. Keep its own flow switch, limit and relief valve in work, and take its least flow from the maker's instructions."
)

func buildBypass(d *Draw, s *Sheet) {
	switch d.Level {
	case 1:
		buildBypassPoint(d, s)
	case 2:
		buildBypassForBoiler(d, s)
	default:
		buildBypassOnCurve(d, s)
	}
	s.Source(sourceBypass)
	s.Caution(cautionBypass)
	s.Caution(cautionHot)
}

func zonedBuilding(d *Draw) string {
	return One(d, "a guest house", "a two-story house with a shop", "a small clinic", "a parish house", "a row of studios")
}

func buildBypassPoint(d *Draw, s *Sheet) {
	drive := driveUnit(d)
	s.Given("h_b", "boiler and its pipes, on their own side of the bypass", Native(d, d.Between(1, 4, 0.5), d.Between(3, 12, 1)), drive)
	s.Given("h_m", "mains as far as the hardest zone, both pipes", Native(d, d.Between(1.5, 4, 0.5), d.Between(4, 12, 1)), drive)
	s.Given("h_z", "pipes and radiators of that zone", Native(d, d.Between(2, 5, 0.5), d.Between(6, 15, 1)), drive)
	s.Given("h_v", "its zone valve", Native(d, d.Between(0.5, 2, 0.5), d.Between(2, 6, 1)), drive)
	s.Given("y", "above the difference at design flow", One(d, 10.0, 15, 20), quantity.Percent)
	zones := inWords(d.Int(3, 6))
	named := "A circulator at fixed speed serves " + zones + " zones with zone valves in " + zonedBuilding(d) + ". A differential-pressure bypass joins supply and return between the boiler and the mains. At design flow the boiler with its pipes takes {h_b}, the mains as far as the hardest zone and back {h_m}, that zone's pipes and radiators {h_z} and its valve {h_v}. The bypass is to open {y} above the difference that it sees then. "
	s.Step("D", "Difference at the bypass at design flow", "h_m + h_z + h_v", drive, "The bypass lies across the mains: it sees what the hardest zone needs from there, there and back.")
	set := s.Step("D_s", "Set point", "D * (1 + y / 100)", drive, "A little above, so that it stays shut at full flow and opens as soon as zones close.")
	D, _ := s.Value("D")
	a := toFigures(set*d.Between(1.25, 1.7, 0.05), 2)
	s.Given("a", "difference at the bypass with nothing flowing", a, drive)
	low := One(d, true, false)
	X, right := toFigures(a*d.Between(1.08, 1.3, 0.02), 2), "never"
	if low {
		X, right = toFigures(D*d.Between(0.55, 0.8, 0.01), 2), "always"
	}
	s.Given("X", "where the bypass was found", X, drive)
	s.Statement(named + "With nothing flowing the circulator would hold {a} there. What difference does the bypass see at design flow, to what is it set, and what happens if you find it at {X}?")
	s.Ask("design", "Difference at the bypass at design flow", "D", toleranceDifference)
	s.Ask("setting", "Set point", "D_s", toleranceDifference)
	picks := []Pick{
		{ID: "always", Text: "It is open all the time: hot water goes straight home and the hardest zone runs short.", Slip: "bypass-too-low", Say: "It opens at {X}. At design flow it sees {D}, so it stays shut then: compare the two."},
		{ID: "never", Text: "It never opens: the last zone gets the whole push, and the boiler may lose its flow.", Slip: "bypass-too-high", Say: "It opens at {X}, and with all zones shut it sees up to {a}: compare the two."},
		{ID: "works", Text: "It works: shut at full flow, open when few zones call.", Slip: "bypass-any-setting", Say: "To work it must be set above {D} and below {a}. {X} is not between them."},
	}
	s.Choose("found", "What happens with the bypass at {X}?", right, "D_s", "Compare the setting with what the bypass sees at design flow, and with what it sees when nothing flows.", picks...)
	s.Slip("bypass-boiler-counted", "D", "h_b + h_m + h_z + h_v", "The boiler lies on the other side of the bypass. Count only what lies beyond it.")
	s.MaySlip("zone-valve-forgotten", "D", "h_m + h_z", "The open zone valve takes its part too.")
	s.MaySlip("mains-forgotten", "D", "h_z + h_v", "The mains lie between the bypass and the zone.")
	s.MaySlip("bypass-at-design-difference", "D_s", "D", "Set just there it begins to open at full flow. Go {y} above.")
	s.MaySlip("bypass-below-design", "D_s", "D * (1 - y / 100)", "Below, it is open at full flow. Go {y} above.")
	s.Source(sourceMains)
}

// bypassCoefficient records the coefficient that passes the flow f_p at the
// difference D_s, and its slips.
func bypassCoefficient(d *Draw, s *Sheet) {
	if d.US() {
		s.Step("p", "Set point in psi", "D_s / 2.31", quantity.PSI, "Cv counts psi; one psi is 2.31 ft of cold water.")
		s.Step("C", "Coefficient of the bypass", "f_p / sqrt(p)", quantity.CvUnit, "Wide open at the set difference it must pass this flow.")
		s.Slip("cv-ft-for-psi", "p", "D_s", "Cv is defined per psi: divide the feet by 2.31 first.")
		s.MaySlip("cv-no-root", "C", "f_p / p", "Divide by the root of the drop.")
		s.Source(sourceFeetPerPSI)
	} else {
		s.Step("f_h", "Flow of the bypass per hour", "3.6 * f_p", quantity.CubicMeterPerHour, "Kv counts cubic meters per hour; one L/s is 3.6 of them.")
		s.Step("C", "Coefficient of the bypass", "f_h / sqrt(D_s / 100)", quantity.KvUnit, "Wide open at the set difference, in bar, it must pass this flow.")
		s.Slip("kv-in-kpa", "C", "f_h / sqrt(D_s)", "Kv is defined for bar: divide the kilopascals by 100 before taking the root.")
		s.MaySlip("flow-not-per-hour", "C", "f_p / sqrt(D_s / 100)", "Kv goes with cubic meters per hour: multiply L/s by 3.6 first.")
		s.Source(sourcePerHour)
	}
	s.Source(sourceCoefficient)
}

func buildBypassForBoiler(d *Draw, s *Sheet) {
	drive, flow := driveUnit(d), flowUnit(d)
	s.Given("D", "difference at the bypass at design flow", Native(d, d.Between(5, 12, 0.5), d.Between(15, 36, 1)), drive)
	s.Given("y", "above the difference at design flow", One(d, 10.0, 15, 20), quantity.Percent)
	least := Native(d, d.Between(4, 10, 0.5), d.Between(0.26, 0.64, 0.02))
	s.Given("f_m", "least flow of the boiler", least, flow)
	s.Given("q_o", "design flow of the smallest zone", roundFlow(d, least*d.Between(0.2, 0.5, 0.01)), flow)
	s.Statement("In " + zonedBuilding(d) + " a circulator at fixed speed serves zones with zone valves. At design flow the bypass, behind the boiler, sees {D}; it is set {y} above that. The boiler wants {f_m} at the least while it fires. When only the smallest zone is left, which takes {q_o} at its design difference, the bypass holds its set difference. To what is it set, how much must it pass, and what " + coefficientName(d) + " is that?")
	s.Step("D_s", "Set point", "D * (1 + y / 100)", drive, "A little above, so that it stays shut at full flow and opens as soon as zones close.")
	s.Step("f_o", "Flow of the last zone at the set point", "q_o * sqrt(D_s / D)", flow, "The set difference drives a little more than the design flow through it, by the root.")
	s.Step("f_p", "Flow of the bypass", "f_m - f_o", flow, "The open zone already brings part of the boiler's flow. The bypass adds the rest.")
	s.Ask("setting", "Set point", "D_s", toleranceDifference)
	s.Ask("flow", "Flow that the bypass must pass", "f_p", ToleranceTable)
	s.Slip("bypass-takes-all", "f_p", "f_m", "The last zone brings part of the boiler's flow. The bypass adds only the rest.")
	s.MaySlip("bypass-zone-added", "f_p", "f_m + f_o", "Zone and bypass feed the boiler together: subtract what the zone brings.")
	s.MaySlip("zone-for-bypass", "f_p", "f_o", "That is what the zone passes. The bypass has to pass the rest of the boiler's least flow.")
	s.MaySlip("bypass-at-design-difference", "D_s", "D", "Set just there it begins to open at full flow. Go {y} above.")
	s.MaySlip("bypass-below-design", "D_s", "D * (1 - y / 100)", "Below, it is open at full flow. Go {y} above.")
	bypassCoefficient(d, s)
	s.Ask("coefficient", coefficientName(d)+" of the bypass, wide open", "C", ToleranceFriction)
	s.Source(sourceSquareLaw)
}

func buildBypassOnCurve(d *Draw, s *Sheet) {
	drive, flow := driveUnit(d), flowUnit(d)
	design := Native(d, d.Between(8, 20, 0.5), d.Between(0.5, 1.3, 0.02))
	a := Native(d, d.Between(12, 24, 0.5), d.Between(36, 72, 1))
	s.Given("a", "difference behind the boiler with nothing flowing", a, drive)
	s.Given("b", "fall of the difference with flow", toFigures(a*d.Between(0.3, 0.55, 0.01)/(design*design), 2), quantity.One)
	s.Given("f_d", "design flow of all zones", design, flow)
	s.Given("q_o", "design flow of the zone that stays open", roundFlow(d, design*d.Between(0.12, 0.3, 0.01)), flow)
	s.Given("y", "above the difference at design flow", One(d, 10.0, 15, 20), quantity.Percent)
	valves := One(d, "zone valves", "thermostatic radiator valves")
	s.Statement("In " + zonedBuilding(d) + " a demo circulator at fixed speed, with the boiler's own loss taken off, gives D = {a} − {b}·f² behind the boiler, with D in " + drive.Symbol + " and f in " + flow.Symbol + ". The design flow is {f_d}, and all zones have " + valves + ". A differential-pressure bypass there is set {y} above the difference at design flow. When all has shut but one zone of {q_o} (at the design difference), the bypass is to hold its set point. To what is it set, what does the circulator move then, how much of it must the bypass pass, and what " + coefficientName(d) + " is that?")
	D := s.Step("D", "Difference at design flow", "a - b * pow(f_d, 2)", drive, "Put the design flow into the curve.")
	set := s.Step("D_s", "Set point", "D * (1 + y / 100)", drive, "A little above, so that it stays shut at full flow and opens as soon as zones close.")
	if set > 0.9*a || D < 0.4*a {
		s.Reject("the set point lies at an end of the curve")
		return
	}
	s.Step("f_s", "Flow of the circulator at the set point", "sqrt((a - D_s) / b)", flow, "The curve turned round: from the difference back to the flow.")
	s.Step("f_o", "Flow of the open zone", "q_o * sqrt(D_s / D)", flow, "The set difference drives a little more than the design flow through it, by the root.")
	s.Step("f_p", "Flow of the bypass", "f_s - f_o", flow, "What the circulator moves and the zone does not take goes through the bypass.")
	s.Ask("setting", "Set point", "D_s", toleranceDifference)
	s.Ask("circulator", "Flow of the circulator at the set point", "f_s", toleranceCurve)
	s.Ask("flow", "Flow that the bypass must pass", "f_p", ToleranceTable)
	s.MaySlip("bypass-at-design-difference", "D_s", "D", "Set just there it begins to open at full flow. Go {y} above.")
	s.MaySlip("opoint-design-flow", "f_s", "f_d", "At the set point, above the design difference, the curve gives less flow than by design.")
	s.MaySlip("curve-no-root", "f_s", "(a - D_s) / b", "The curve has the square of the flow: take the root.")
	s.MaySlip("bypass-takes-all", "f_p", "f_s", "The open zone takes its part. The bypass passes the rest.")
	s.MaySlip("bypass-at-design-flow", "f_p", "f_d - q_o", "At the set point the circulator moves less than by design, and the zone takes a little more.")
	bypassCoefficient(d, s)
	s.Ask("coefficient", coefficientName(d)+" of the bypass, wide open", "C", ToleranceFriction)
	askBypassMoved(d, s)
	s.Source(sourceSquareLaw)
	s.Source("Curve of the demo circulator: demo values")
}

// askBypassMoved asks where a bypass stands that somebody has turned, from what
// the rooms and the boiler do.
func askBypassMoved(d *Draw, s *Sheet) {
	tale, right := "Someone turns it down to stop a hiss. Since then the far rooms stay cool in frost.", "below"
	lowSay, highSay := "", "Then all water would go to the rooms in frost, and the hiss at part load would be back."
	if One(d, true, false) {
		tale, right = "Someone turns it up, as the water came home warm. Since then the last zone hisses on mild days, and the boiler stops on its limit.", "above"
		lowSay, highSay = "Then the far rooms would go short in frost, and on mild days the bypass would pass plenty: no hiss, and flow for the boiler.", ""
	}
	s.Choose("moved", tale+" Where does it stand now?", right, "D", "Ask at which flow a bypass that is set too low, or too high, is open.", shuffled(d, []Pick{
		{ID: "below", Text: "Below the difference at design flow: it is open even at full load.", Slip: "bypass-too-low", Say: lowSay},
		{ID: "above", Text: "Above what the circulator can give: it never opens.", Slip: "bypass-too-high", Say: highSay},
		{ID: "between", Text: "A little above the difference at design flow.", Slip: "bypass-any-setting", Say: "Set there it is shut at full load, and opens as zones close: it would cause neither."},
	})...)
}
