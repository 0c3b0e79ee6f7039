package exercises

import (
	"fmt"
	"math"

	"loopwright/grader/circulator"
	"loopwright/grader/quantity"
)

var speedModeSavings = &Family{
	ID: "speed-mode-savings", Title: "What a held difference saves in a season", Skills: []string{"speed-mode", "pump-power"}, Lesson: LessonSpeed,
	Levels: [Levels]string{
		"Fixed speed against a held difference: powers are given, find energy and cost.",
		"Difference that falls with the flow: find its head and power at part flow first.",
		"Which way of running suits the system, and what it saves.",
	},
	Build: buildSpeedModes,
}

const (
	sourceSeason = "Hours and flows of the season and the price: demo values. Assumed: each flow lasts for its hours; at fixed speed a bypass keeps the circulator at its design flow; a valve that closes does not disturb the others"
	sourceModes  = "A held difference stays the same at every flow; a proportional one falls in a straight line to half at no flow: common practice"
	sourceSheet  = "Powers of the demo circulator at each speed from its demo curve by the affinity laws (Hydraulic Institute)"
	sayKilowatt  = "That is in watt hours. A thousand make one kWh."
)

var (
	toleranceEnergy = Tolerance{Rel: 0.02, Why: "Powers and hours are given: 2 % forgives rounding. Real hours differ far more from year to year."}
	toleranceSaved  = Tolerance{Rel: 0.05, Why: "A difference of two larger numbers: 1 or 2 % in each is about 5 % here."}
)

func buildSpeedModes(d *Draw, s *Sheet) {
	switch d.Level {
	case 1:
		buildHeldEnergy(d, s)
	case 2:
		buildProportionalEnergy(d, s)
	default:
		buildModeChosen(d, s)
	}
	s.Source(sourceModes)
	s.Source(sourceSheet)
	s.Source(sourceSeason)
	s.Source("1 kWh is 1000 W for one hour: definition of the units")
	s.Caution(cautionElectric)
	s.Caution(cautionHot)
}

// wattsAt is what a circulator draws, in W, when its speed is set so that it
// gives a head at a flow. The speed is found by bisection: at a higher speed
// the curve lies higher everywhere. Outside the speeds that the curve may be
// scaled to it returns an error.
func wattsAt(c circulator.Curve, flow float64, head quantity.MetersHead) (float64, error) {
	low, high := max(0.1, flow/c.End()), 1.5
	for range 60 {
		r := (low + high) / 2
		at, err := c.AtSpeed(r)
		if err != nil {
			return 0, err
		}
		h, err := at.Head(min(flow, at.End()))
		if err != nil {
			return 0, err
		}
		if h < head {
			low = r
		} else {
			high = r
		}
	}
	at, err := c.AtSpeed(high)
	if err != nil {
		return 0, err
	}
	return at.Power(min(flow, at.End()))
}

// season is a demo circulator with its design point and the hours at part flow.
type season struct {
	model      circulator.Model
	building   string
	flow, head float64 // design point in the learner's unit
	full       float64 // W at the design point at full speed
	part, low  float64 // shares of the design flow
}

// drawSeason records the design flow f_d, the design head H_d, the power P_1
// there, and the hours t_1 at full flow, t_2 at x_2 and t_3 at x_3 of it.
func drawSeason(d *Draw, s *Sheet) season {
	number := d.Int(1, 5)
	z := season{model: circulator.Demo()[number], building: sizedBuilding(d, number), part: d.Between(55, 75, 5) / 100, low: d.Between(25, 40, 5) / 100}
	flow := flowUnit(d)
	z.flow = roundFlow(d, flow.FromSI(z.model.Curve.End())*d.Between(0.5, 0.72, 0.01))
	var ok bool
	z.head, ok = fromCurve(d, z.model, z.flow)
	watts, err := z.model.Curve.Power(flow.ToSI(z.flow))
	if !ok || err != nil {
		s.Reject("beyond the curve")
		return z
	}
	z.full = math.Round(watts)
	s.Given("f_d", "design flow", z.flow, flow)
	s.Given("H_d", headWord(d)+" at the design flow", z.head, driveUnit(d))
	s.Given("P_1", "power at the design flow, full speed", z.full, quantity.Watt)
	s.Given("t_1", "hours at design flow", d.Between(300, 700, 50), quantity.Hour)
	s.Given("x_2", "part of the design flow, milder weather", 100*z.part, quantity.Percent)
	s.Given("t_2", "hours at that", d.Between(1200, 2000, 100), quantity.Hour)
	s.Given("x_3", "part of the design flow, mild weather", 100*z.low, quantity.Percent)
	s.Given("t_3", "hours at that", d.Between(1600, 2800, 100), quantity.Hour)
	return z
}

// watts is the power that the demo circulator draws at a share of the design
// flow and of the design head, as its sheet shows it: to the watt.
func (z season) watts(d *Draw, s *Sheet, flowShare, headShare float64) float64 {
	w, err := wattsAt(z.model.Curve, flowUnit(d).ToSI(z.flow*flowShare), headOf(d, z.head*headShare))
	if err != nil {
		s.Reject(err.Error())
		return 1
	}
	return math.Round(w)
}

// opening tells of the circulator and its season.
func (z season) opening() string {
	return "The demo circulator " + z.model.ID + " of " + z.building + " moves {f_d} at {H_d} with all valves open. That lasts for {t_1} of a season; for {t_2} the valves let {x_2} of that flow pass, for {t_3} {x_3} of it. At fixed speed a bypass passes the rest, so the circulator stays at its design point and draws {P_1} throughout. "
}

// proportionalHead is the share of the design head at a share of the design
// flow, as sourceModes has it.
func proportionalHead(flowShare float64) float64 { return 0.5 + 0.5*flowShare }

func askFixedEnergy(s *Sheet) {
	s.Step("E_s", "Energy at fixed speed", "P_1 * (t_1 + t_2 + t_3) / 1000", quantity.KilowattHour, "The power stays, so it is times all the hours; a thousand watt hours are one kWh.")
	s.Ask("fixed", "Energy of a season at fixed speed", "E_s", toleranceEnergy)
	s.MaySlip("watt-hours-left", "E_s", "P_1 * (t_1 + t_2 + t_3)", sayKilowatt)
	s.MaySlip("fixed-power-scaled", "E_s", "P_1 * (t_1 + x_2 / 100 * t_2 + x_3 / 100 * t_3) / 1000", "The bypass takes up what the valves refuse: at fixed speed the circulator's own flow and power stay.")
}

func buildHeldEnergy(d *Draw, s *Sheet) {
	z := drawSeason(d, s)
	money := Native(d, "dollars", "euros")
	s.Given("P_2", "power with the difference held, milder weather", z.watts(d, s, z.part, 1), quantity.Watt)
	s.Given("P_3", "power with the difference held, mild weather", z.watts(d, s, z.low, 1), quantity.Watt)
	s.Given("e", "price of a kWh, in "+money, Native(d, d.Between(0.12, 0.26, 0.01), d.Between(0.2, 0.4, 0.01)), quantity.One)
	s.Statement(z.opening() + "Set to hold {H_d}, it slows down as valves close and by its sheet draws {P_1}, {P_2} and {P_3} in turn; no bypass is needed. A kWh costs {e} " + money + ". What does it use in a season, each way, and how many " + money + " does the held difference save?")
	askFixedEnergy(s)
	s.Step("E_h", "Energy with the difference held", "(P_1 * t_1 + P_2 * t_2 + P_3 * t_3) / 1000", quantity.KilowattHour, "Each power times its own hours, added up.")
	s.Step("S", "Money saved, in "+money, "(E_s - E_h) * e", quantity.One, "The difference of the two, times the price.")
	s.Ask("held", "Energy of a season with the difference held", "E_h", toleranceEnergy)
	s.Ask("saved", "Money saved in a season, in "+money, "S", toleranceSaved)
	s.MaySlip("watt-hours-left", "E_h", "P_1 * t_1 + P_2 * t_2 + P_3 * t_3", sayKilowatt)
	s.MaySlip("powers-averaged", "E_h", "(P_1 + P_2 + P_3) / 3 * (t_1 + t_2 + t_3) / 1000", "A plain average forgets that the small powers last longer: weigh each with its hours.")
	s.MaySlip("affinity-on-part-load", "E_h", "P_1 * (t_1 + pow(x_2 / 100, 3) * t_2 + pow(x_3 / 100, 3) * t_3) / 1000", "The cube belongs to a system that stays as it is. Here valves close and the difference is held, so the power falls far less.")
	s.Slip("saving-not-subtracted", "S", "E_h * e", "That is what it still costs. Saved is the difference.")
	s.MaySlip("price-forgotten", "S", "E_s - E_h", "Those are the kWh saved. Times the price they are money.")
}

func buildProportionalEnergy(d *Draw, s *Sheet) {
	z := drawSeason(d, s)
	part, low := z.watts(d, s, z.part, proportionalHead(z.part)), z.watts(d, s, z.low, proportionalHead(z.low))
	f := z.flow * z.low
	h := z.head * proportionalHead(z.low)
	s.Given("P_2", "power in milder weather, by the sheet", part, quantity.Watt)
	s.Given("eta", "overall efficiency in mild weather, by the sheet", math.Round(1000*Native(d, 746*f*h/3960, f*h)/low)/10, quantity.Percent)
	s.Statement(z.opening() + "Set to a proportional difference, it gives {H_d} at design flow and half of that at no flow, in a straight line between; no bypass is needed. By its sheet it then draws {P_2} at {x_2}, and at {x_3} its overall efficiency is {eta}. What " + headWord(d) + " does it give at {x_3}, what does it draw there, and what does it use in a season, fixed and proportional?")
	s.Step("f", "Flow in mild weather", "x_3 / 100 * f_d", flowUnit(d), "The valves let this part of the design flow pass.")
	s.Step("H", Capital(headWord(d))+" in mild weather", "H_d * (0.5 + 0.5 * x_3 / 100)", driveUnit(d), "Half stays at no flow; the other half follows the flow.")
	if d.US() {
		s.Step("P_h", "Water power in W", "746 * f * H / 3960", quantity.Watt, "Flow times head over 3960 is horsepower; one horsepower is 746 W.")
	} else {
		s.Step("P_h", "Water power", "f * H", quantity.Watt, "A liter per second against one kilopascal is one watt.")
	}
	s.Step("P_3", "Power drawn in mild weather", "P_h / (eta / 100)", quantity.Watt, "What is paid for is more than the water gets: divide by the efficiency.")
	s.Ask("head", Capital(headWord(d))+" in mild weather", "H", toleranceAffinity)
	s.Ask("power", "Power drawn in mild weather", "P_3", ToleranceTable)
	askFixedEnergy(s)
	s.Step("E_p", "Energy with the proportional difference", "(P_1 * t_1 + P_2 * t_2 + P_3 * t_3) / 1000", quantity.KilowattHour, "Each power times its own hours, added up.")
	s.Ask("proportional", "Energy of a season with the proportional difference", "E_p", toleranceSaved)
	s.Slip("setpoint-full-at-part", "H", "H_d", "That is at design flow. The difference falls with the flow, to half at no flow.")
	s.MaySlip("proportional-from-zero", "H", "H_d * x_3 / 100", "At no flow half is left, not nothing.")
	s.MaySlip("head-by-square", "H", "H_d * pow(x_3 / 100, 2)", "The square belongs to pipes that stay as they are. Here the circulator is set to a straight line.")
	s.MaySlip("affinity-on-part-load", "P_3", "P_1 * pow(x_3 / 100, 3)", "The cube belongs to a system that stays as it is. Here valves close: work from flow and head.")
	s.MaySlip("efficiency-multiplied", "P_3", "P_h * eta / 100", "The motor takes more than the water gets: divide by the efficiency.")
	s.MaySlip("water-power-as-drawn", "P_3", "P_h", "That reaches the water. The circulator draws more: divide by the efficiency.")
	s.MaySlip("watt-hours-left", "E_p", "P_1 * t_1 + P_2 * t_2 + P_3 * t_3", sayKilowatt)
	s.MaySlip("powers-averaged", "E_p", "(P_1 + P_2 + P_3) / 3 * (t_1 + t_2 + t_3) / 1000", "A plain average forgets that the small powers last longer: weigh each with its hours.")
	s.Source(Native(d, sourcePowerUS, sourcePowerSI))
}

func buildModeChosen(d *Draw, s *Sheet) {
	z := drawSeason(d, s)
	w := One(d, 10.0, 15, 20, 25, 50, 60, 70)
	s.Given("w", "part of that which boiler and main take at design flow", w, quantity.Percent)
	for i, share := range []float64{z.part, z.low} {
		weather := []string{"milder", "mild"}[i] + " weather"
		s.Given(fmt.Sprintf("P_%d", i+2), "power with the difference held, "+weather, z.watts(d, s, share, 1), quantity.Watt)
		s.Given(fmt.Sprintf("R_%d", i+2), "power with the proportional difference, "+weather, z.watts(d, s, share, proportionalHead(share)), quantity.Watt)
	}
	s.Statement(z.opening() + "Boiler and main, as far as the headers, take {w} of {H_d} at design flow, the circuits beyond them the rest. By its sheet it draws {P_2} and {P_3} at those part flows when it holds {H_d}, and {R_2} and {R_3} when its difference falls with the flow in a straight line, to half at no flow. In the worst case the {x_3} are the design flow of a few circuits that stand wide open while all others are shut. What " + headWord(d) + " is needed then, what would the proportional difference give, which way of running do you choose, and what does it save in a season against fixed speed?")
	drive := driveUnit(d)
	need := s.Step("H_n", "Needed in the worst case", "H_d * (1 - w / 100 + w / 100 * pow(x_3 / 100, 2))", drive, "The open circuits need as much as by design; boiler and main take their part with the square of the flow.")
	gives := s.Step("H_p", "What the proportional difference gives", "H_d * (0.5 + 0.5 * x_3 / 100)", drive, "Half stays at no flow; the other half follows the flow.")
	if need > 0.9*gives && need < 1.1*gives {
		s.Reject("it just gives what is needed")
		return
	}
	right, formula, other := "held", "(P_1 * t_1 + P_2 * t_2 + P_3 * t_3) / 1000", "(P_1 * t_1 + R_2 * t_2 + R_3 * t_3) / 1000"
	if gives > need {
		right, formula, other = "proportional", other, formula
	}
	s.Step("E_s", "Energy at fixed speed", "P_1 * (t_1 + t_2 + t_3) / 1000", quantity.KilowattHour, "The power stays, so it is times all the hours; a thousand watt hours are one kWh.")
	s.Step("E", "Energy with the way chosen", formula, quantity.KilowattHour, "Each power times its own hours, added up.")
	s.Step("S", "Energy saved", "E_s - E", quantity.KilowattHour, "What it used at fixed speed less what it uses now.")
	s.Ask("needed", Capital(headWord(d))+" needed in the worst case", "H_n", toleranceDifference)
	s.Ask("gives", "What the proportional difference gives there", "H_p", toleranceDifference)
	s.Choose("mode", "Which way of running do you choose?", right, "H_p", "Compare what is needed in the worst case with what the proportional difference gives.", shuffled(d, []Pick{
		{ID: "held", Text: "Held: the circuits need most of it, and they need it at any flow.", Slip: "mode-constant-long-mains", Say: "At part flow boiler and main take little, and {H_n} are enough: the proportional difference gives {H_p} and draws less."},
		{ID: "proportional", Text: "Proportional: boiler and main take far less at part flow, so less is enough.", Slip: "mode-prop-low-mains", Say: "Boiler and main take little here, at any flow. In the worst case {H_n} are needed, and the proportional difference gives only {H_p}: the open circuits go short."},
		{ID: "fixed", Text: "Fixed speed with a bypass: nobody ever goes short.", Slip: "mode-fixed-for-safety", Say: "It supplies everybody, and pays for all of the flow and all of the difference all season."},
	})...)
	s.Ask("saved", "Energy saved in a season", "S", toleranceSaved)
	s.MaySlip("head-linear-flow", "H_n", "H_d * (1 - w / 100 + w / 100 * x_3 / 100)", "What boiler and main take goes with the square of the flow.")
	s.MaySlip("circuits-scaled-too", "H_n", "H_d * pow(x_3 / 100, 2)", "Only boiler and main see less flow. The circuits that stand open need as much as before.")
	s.MaySlip("design-head-needed", "H_n", "H_d", "Boiler and main take less at part flow.")
	s.MaySlip("proportional-from-zero", "H_p", "H_d * x_3 / 100", "At no flow half is left, not nothing.")
	s.MaySlip("setpoint-full-at-part", "H_p", "H_d", "That is at design flow. The difference falls with the flow, to half at no flow.")
	s.MaySlip("other-mode-taken", "E", other, "Those are the powers of the other way of running.")
	s.MaySlip("saving-not-subtracted", "S", "E", "That is what it still uses. Saved is the difference.")
	s.MaySlip("watt-hours-left", "S", "1000 * (E_s - E)", sayKilowatt)
}
