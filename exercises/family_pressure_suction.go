package exercises

import (
	"math"

	"loopwright/grader/expansion"
	"loopwright/grader/fluid"
	"loopwright/grader/quantity"
)

const (
	sourceBoiling = "Boiling pressure of water: IAPWS R7-97(2012), region 4, rounded as in a steam table"
	sourceNPSH    = "Net positive suction head available, less the velocity head: Crane TP-410"

	cautionFlash = "Water above the boiling point of open air flashes to steam where a leak lets it out. Let it cool below that before anything is opened."
)

func buildSuctionMargin(d *Draw, s *Sheet) {
	switch d.Level {
	case 1:
		buildSuctionGauge(d, s)
	case 2:
		buildSuctionFromTank(d, s)
	default:
		buildSuctionHead(d, s)
	}
	s.Source(sourceBoiling)
	s.Caution(cautionFlash)
	s.Caution(cautionPressure)
	s.Caution(cautionTraining)
}

// boilingAt is the absolute boiling pressure at a reading, as a steam table
// prints it.
func boilingAt(d *Draw, s *Sheet, t float64) float64 {
	p, err := fluid.BoilingPressure(quantity.Celsius(readingUnit(d).ToSI(t)))
	if err != nil {
		s.Reject(err.Error())
		return 1
	}
	return Native(d, toHundredths(quantity.PSI.FromSI(float64(p))), math.Round(float64(p)/100)/10)
}

func toHundredths(x float64) float64 { return math.Round(100*x) / 100 }

// boilingRow records it.
func boilingRow(d *Draw, s *Sheet, t float64) {
	s.Looked("p_b", "boiling pressure at "+degrees(d, t)+", absolute", boilingAt(d, s, t), pressureUnit(d), "steam table, IAPWS R7-97(2012)")
}

// drawnMargin draws a margin above boiling: as often below zero as above.
func drawnMargin(d *Draw) float64 {
	if One(d, true, false) {
		return Native(d, d.Between(-7, -1.5, 0.5), d.Between(-50, -10, 5))
	}
	return Native(d, d.Between(1.5, 16, 0.5), d.Between(10, 110, 5))
}

func hotSuction(d *Draw) float64 { return Native(d, d.Between(170, 230, 2), d.Between(75, 112, 1)) }

// marginStep records m = p_s + p_a − p_b and its slips.
func marginStep(d *Draw, s *Sheet) float64 {
	s.Step("P_s", "Suction, absolute", "p_s + p_a", pressureUnit(d), "Steam tables count pressure from nothing; a gauge counts from the air around it.")
	m := s.Step("m", "Margin above boiling", "P_s - p_b", pressureUnit(d), "Water boils where its absolute pressure falls to the boiling pressure of its temperature.")
	s.MaySlip("suction-gauge-pressure", "P_s", "p_s", "The table counts from nothing: add the pressure of the air to the gauge.")
	s.MaySlip("boils-only-in-open-air", "p_b", "p_a", "That takes the boiling point of open air for all pressures. Compare with the boiling pressure at the water's own temperature.")
	s.MaySlip("margin-upside-down", "m", "p_b - P_s", "The margin is what the suction has beyond the boiling pressure: the other way round.")
	return m
}

// clearly throws a draw away whose margin is too near nothing to judge or to
// read off.
func clearly(d *Draw, s *Sheet, m float64) bool {
	if math.Abs(m) < Native(d, 1.4, 9) || m < Native(d, -9.0, -60) {
		s.Reject("a margin too near nothing to judge")
		return false
	}
	return true
}

// chooseBoils asks what happens at the suction.
func chooseBoils(d *Draw, s *Sheet, m float64) {
	open := Native(d, "212\u00a0°F", "100\u00a0°C")
	right, wrong := "holds", "boils"
	slip, say := "boils-by-temperature", "Water hotter than "+open+" stays water while its pressure is above the boiling pressure of that temperature."
	if t, _ := s.Value("T"); t < Native(d, 212.0, 100) {
		slip, say = "boils-by-gauge", "The absolute pressure counts, and it lies above the boiling pressure of this water."
	}
	if m < 0 {
		right, wrong = "boils", "holds"
		slip, say = "boils-only-in-open-air", "Water boils at "+open+" in open air only. Here its pressure is lower than the boiling pressure of its own temperature."
	}
	texts := map[string]string{
		"holds": "It stays water.",
		"boils": "It boils: vapor forms in the impeller, the circulator rattles and loses its head.",
	}
	s.Choose("boils", "What does the water do at the suction?", right, "m", "Compare the absolute pressure at the suction with the boiling pressure.", shuffled(d, []Pick{
		{ID: right, Text: texts[right]}, {ID: wrong, Text: texts[wrong], Slip: slip, Say: say},
	})...)
}

func buildSuctionGauge(d *Draw, s *Sheet) {
	press := pressureUnit(d)
	s.Statement("While the circulator in " + heatedBuilding(d) + " runs, the gauge at its suction shows {p_s} and the water there has {T}. A steam table gives the boiling pressure. How far does the suction lie above boiling?")
	t := hotSuction(d)
	p := Native(d, math.Round(2*(boilingAt(d, s, t)-14.7+drawnMargin(d)))/2, 5*math.Round((boilingAt(d, s, t)-101.3+drawnMargin(d))/5))
	if p < Native(d, -10.0, -70) {
		s.Reject("more vacuum than a leaky system holds")
		return
	}
	s.Given("p_s", "gauge at the suction", p, press)
	s.Given("T", "water at the suction", t, readingUnit(d))
	atmosphere(d, s)
	boilingRow(d, s, t)
	m := marginStep(d, s)
	if !clearly(d, s, m) {
		return
	}
	// Below zero at the gauge and no risk of boiling teaches nothing.
	if p == 0 {
		s.Reject("a gauge at nothing")
		return
	}
	s.Ask("margin", "Margin above boiling; below zero where it boils", "m", toleranceGauge(d))
	chooseBoils(d, s, m)
}

func buildSuctionFromTank(d *Draw, s *Sheet) {
	press := pressureUnit(d)
	toward := One(d, true, false)
	text := "The circulator hangs {h} above the tank's connection, where the gauge shows {p_f}. From there to the suction the pipe loses {l}."
	expression, because := "p_f - p_h - l", "From the tank to the suction the water climbs and loses on its way."
	label := "losses from the tank to the suction"
	l := Native(d, d.Between(0.5, 3, 0.5), d.Between(4, 20, 1))
	if toward {
		text = "The circulator hangs {h} above the tank's connection, where the gauge shows {p_f}, and pumps toward the tank. Its suction lies {l} below its discharge, which the tank holds."
		expression, because = "p_f - p_h - l", "The tank holds the discharge: the suction lies lower by the height and by the whole rise."
		label, l = "what the circulator adds", Native(d, d.Between(3, 9, 0.5), d.Between(20, 60, 5))
	}
	s.Statement("In the " + One(d, "roof boiler room of a guest house", "attic plant of a former school", "top-floor plant of a small clinic") + " water runs at {T}. " + text + " What does the suction gauge show, and how far does the suction lie above boiling?")
	t := hotSuction(d)
	h := Native(d, d.Between(8, 36, 1), d.Between(3, 12, 0.5))
	tank := Native(d, math.Round(boilingAt(d, s, t)-14.7+drawnMargin(d)+0.433*h+l), 5*math.Round((boilingAt(d, s, t)-101.3+drawnMargin(d)+9.81*h+l)/5))
	if !readable(d, s, tank) {
		return
	}
	s.Given("T", "water at the suction", t, readingUnit(d))
	s.Given("p_f", "pressure where the tank is joined", tank, press)
	s.Given("h", "height of the suction above it", h, lengthUnit(d))
	s.Given("l", label, l, press)
	atmosphere(d, s)
	boilingRow(d, s, t)
	s.Step("p_h", "Weight of the water between them", column(d, "h"), press, becauseColumn)
	ps := s.Step("p_s", "Suction gauge", expression, press, because)
	m := marginStep(d, s)
	if !clearly(d, s, m) || math.Abs(ps) < Native(d, 1.3, 8) || ps < Native(d, -10.0, -70) {
		s.Reject("a gauge near nothing")
		return
	}
	s.Ask("suction", "Gauge at the suction; below zero where it pulls", "p_s", toleranceGauge(d))
	s.Ask("margin", "Margin above boiling; below zero where it boils", "m", toleranceGauge(d))
	chooseBoils(d, s, m)
	s.MaySlip("height-ignored", "p_s", "p_f - l", "On the way up each "+Native(d, "foot", "meter")+" of water takes its weight off.")
	s.MaySlip("height-added", "p_s", "p_f + p_h - l", "Pressure grows downward: higher up there is less.")
	s.MaySlip("loss-added", "p_s", "p_f - p_h + l", map[bool]string{true: "The suction lies below the discharge, not above it.", false: "Losses take pressure away on the way to the suction."}[toward])
	s.MaySlip("static-for-suction", "p_s", "p_f - p_h", "That is the suction at rest. Running, it lies lower by {l}.")
	columnSlips(d, s)
	s.Source(sourceWeight)
	s.Source(sourceHeldTank)
}

func buildSuctionHead(d *Draw, s *Sheet) {
	press, reading := pressureUnit(d), readingUnit(d)
	head := Native(d, quantity.FootHead, quantity.MeterHead)
	s.Statement("A circulator in " + One(d, "a mountain guest house", "a ski lodge", "a border station on a pass", "a high village school") + " is to move water at {T}. The gauge where the tank is joined shows {p_f}. From there the pipe runs level to the suction and loses {l}. The air up here weighs {p_a}. The demo circulator's sheet asks for {R} at its suction, and you keep {S} beyond that. What does the suction have, as head of this water above boiling, and what is the lowest pressure at the tank that would do?")
	t := Native(d, d.Between(190, 226, 2), d.Between(86, 110, 1))
	altitude := Native(d, d.Between(4000, 9000, 500), d.Between(1200, 2800, 100))
	air, err := expansion.Atmosphere(lengthUnit(d).ToSI(altitude))
	if err != nil {
		s.Reject(err.Error())
		return
	}
	s.Given("T", "water at the suction", t, reading)
	s.Given("p_f", "pressure where the tank is joined", Native(d, d.Between(6, 22, 1), d.Between(40, 150, 5)), press)
	s.Given("l", "losses from the tank to the suction", Native(d, d.Between(1, 4, 0.5), d.Between(5, 25, 1)), press)
	s.Given("R", "head that the circulator asks for", Native(d, d.Between(6, 18, 1), d.Between(2, 6, 0.5)), head)
	s.Given("S", "head kept beyond it", Native(d, 3.0, 1), head)
	step := Native(d, 0.1, 0.5)
	s.Looked("p_a", "pressure of the air at "+quantity.Of(altitude, lengthUnit(d)).Exact(), math.Round(press.FromSI(float64(air))/step)*step, press, "ISO 2533, rounded")
	rho, _ := waterTable(d, s, t)
	s.Looked("rho", "density at "+degrees(d, t), rho, densityUnit(d), sourceWaterTable)
	boilingRow(d, s, t)
	s.Step("p_s", "Suction gauge", "p_f - l", press, "At the same height only the losses lie between tank and suction.")
	m := marginStep(d, s)
	N := s.Step("N", "Head above boiling at the suction", Native(d, "144 * m / rho", "1000 * m / (9.81 * rho)"), head, Native(d,
		"A pound per square inch is 144 pounds on a square foot; over the weight of a cubic foot of this water that is its height.",
		"A kilopascal is 1000 newtons on a square meter; over the weight of a cubic meter of this water that is its height."))
	lowest := s.Step("p_n", "Lowest pressure at the tank", Native(d, "p_f + (R + S - N) * rho / 144", "p_f + (R + S - N) * 9.81 * rho / 1000"), press,
		"What is missing at the suction must be added at the tank; what is there beyond need may go.")
	R, _ := s.Value("R")
	S, _ := s.Value("S")
	if !readable(d, s, lowest) || math.Abs(N-R-S) < Native(d, 3.0, 0.9) || N < Native(d, 4.0, 1.2) || m > Native(d, 25.0, 170) {
		s.Reject("a head too near what is asked, or to nothing")
		return
	}
	s.Ask("head", "Head above boiling at the suction", "N", ToleranceTable)
	s.Ask("lowest", "Lowest pressure at the tank that would do", "p_n", toleranceGauge(d))
	right, wrong, slip, say := "enough", "short", "head-judged-short", "The suction has {N}. That covers {R} and the {S} kept beyond."
	if N < R+S {
		right, wrong, slip, say = "short", "enough", "no-boiling-is-enough", "The suction has {N}: it does not boil there. But inside the impeller the pressure falls further, and the sheet asks for {R}, to which you add {S}."
	}
	texts := map[string]string{"enough": "Yes.", "short": "No: the pressure at the tank must rise."}
	s.Choose("enough", "Does the present pressure give the circulator what you ask for it?", right, "N", "Compare the head at the suction with {R} and {S} together.", shuffled(d, []Pick{
		{ID: right, Text: texts[right]}, {ID: wrong, Text: texts[wrong], Slip: slip, Say: say},
	})...)
	s.MaySlip("air-of-sea-level", "p_a", Native(d, "14.7", "101.3"), "That is the air at sea level. Up here it weighs less.")
	s.MaySlip("head-boiling-forgotten", "N", Native(d, "144 * P_s / rho", "1000 * P_s / (9.81 * rho)"), "That counts from nothing. Only what lies above the boiling pressure keeps the water from boiling.")
	s.MaySlip("psi-as-feet", "N", "m", "That is the margin as pressure. Turn it into the height of this water.")
	s.MaySlip("reserve-forgotten", "p_n", Native(d, "p_f + (R - N) * rho / 144", "p_f + (R - N) * 9.81 * rho / 1000"), "Keep {S} beyond what the sheet asks for.")
	s.MaySlip("lowest-sign", "p_n", Native(d, "p_f - (R + S - N) * rho / 144", "p_f - (R + S - N) * 9.81 * rho / 1000"), "Where head is missing the pressure at the tank goes up, and where it is left over it may go down.")
	s.Source(sourceNPSH)
}
