package exercises

import (
	"loopwright/grader/emitter"
	"loopwright/grader/quantity"
)

// toleranceWaterNeeded is for a mean water temperature worked back from a load.
var toleranceWaterNeeded = Tolerance{Abs: 2, Why: "The exponent is known to about 0.1 and a boiler's controls hold the water to a few degrees; two degrees forgives rounding of the root."}

// arithmeticLimit is how much of the supply's excess over the room the return
// must keep for the arithmetic mean to hold. Source: German practice, from
// memory.
const arithmeticLimit = 0.7

const sayExcess = "The radiator is cooler where the water leaves: use the mean of supply and return, less the room."

// ratedRadiator records a demo radiator: in US units so many sections of EDR,
// in SI a panel rated by EN 442. The formula for its rated output is returned.
func ratedRadiator(d *Draw, s *Sheet) (rated string) {
	if d.US() {
		s.Given("N", "number of sections", d.Between(6, 22, 1), quantity.One)
		s.Given("a", "EDR of one section", One(d, 2, 2.5, 3, 3.5, 4, 5), quantity.SquareFoot)
		s.Looked("e", "output of one square foot of EDR", 150, quantity.BTUPerHour, "trade definition: 170 °F mean water, 70 °F room")
		s.Looked("dT_r", "water over room at the rating", 100, quantity.FahrenheitDifference, "170 °F mean water less 70 °F room")
		s.Looked("n", "exponent of cast-iron radiators", 1.3, quantity.One, "1.3 ± 0.1, a pump maker's public encyclopedia")
		return "N * a * e"
	}
	s.Given("Q_r", "rated output of the demo radiator", d.Between(700, 2600, 50), quantity.Watt)
	s.Looked("dT_r", "mean water over room at the rating", 50, quantity.KelvinDifference, "EN 442-2: 75/65 °C in a room of 20 °C")
	s.Given("n", "exponent on its data sheet", One(d, 1.25, 1.28, 1.3, 1.32, 1.35), quantity.One)
	return "Q_r"
}

func buildRadiatorOutput(d *Draw, s *Sheet) {
	switch d.Level {
	case 1:
		buildRadiatorAtMean(d, s)
	case 2:
		buildRadiatorSurvey(d, s)
	default:
		buildCoolerWater(d, s)
	}
	s.Source(Native(d, sourceEDR, sourceEN442))
	s.Caution(cautionHot)
}

func buildRadiatorAtMean(d *Draw, s *Sheet) {
	unit, reading := roomLoadUnit(d), readingUnit(d)
	room := One(d, "a schoolroom", "the parlor of an old row house", "a sewing workshop", "a village post office")
	s.Statement(Native(d,
		"A cast-iron radiator in "+room+" has {N} sections of {a} EDR each. The mean water temperature is {T_m} and the room is kept at {T_i}. How much heat does the radiator give?",
		"A demo panel radiator in "+room+" is rated {Q_r} by EN 442, with the exponent {n}. The mean water temperature is {T_m} and the room is kept at {T_i}. How much heat does the radiator give?"))
	rated := ratedRadiator(d, s)
	s.Given("T_m", "mean water temperature", Native(d, One(d, 145.0, 150, 155, 160, 180, 185, 190, 200), d.Between(46, 62, 1)), reading)
	s.Given("T_i", "room temperature", Native(d, One(d, 68.0, 70, 72), One(d, 18.0, 20, 21, 22)), reading)
	s.Step("dT", "Water over room", "T_m - T_i", dropUnit(d), "A radiator is driven by how far its water stands above the room.")
	Q := s.Step("Q", "Heat", rated+" * pow(dT / dT_r, n)", unit, "The rating is scaled by a power of the new difference over the rated one.")
	s.Ask("heat", "Heat from the radiator", "Q", ToleranceTable)
	radiatorSlips(d, s, rated)
	compareEDR(d, s, Q, "T_m")
}

// radiatorSlips are the wrong turns that every level shares.
func radiatorSlips(d *Draw, s *Sheet, rated string) {
	s.MaySlip("convector-linear", "Q", rated+" * dT / dT_r", "Output does not go straight with the difference: raise the ratio to the exponent {n}.")
	s.MaySlip("exponent-inverse", "Q", rated+" * pow(dT_r / dT, n)", "Cooler water gives less heat, hotter water more: the new difference goes on top.")
	s.MaySlip("exponent-multiplied", "Q", rated+" * n * dT / dT_r", "The exponent is a power, not a multiplier.")
	s.MaySlip("rating-unchanged", "Q", rated, "The rating holds at {dT_r} over the room only; here it is {dT}.")
	if d.US() {
		s.MaySlip("edr-steam-for-water", "Q", "N * a * 240", "240 BTU/h per square foot is for steam. With water at 170 °F it is {e}, and other water is scaled from there.")
	}
}

// compareEDR sets 150 BTU/h per square foot beside the engine's radiator. In
// SI there is no such rule.
func compareEDR(d *Draw, s *Sheet, Q float64, mean string) {
	if !d.US() {
		return
	}
	N, _ := s.Value("N")
	a, _ := s.Value("a")
	e, err := emitter.CastIron(N * a)
	if err != nil {
		s.Reject(err.Error())
		return
	}
	heat := e.AtMean(quantity.Celsius(s.Quantity(mean).SI), quantity.Celsius(s.Quantity("T_i").SI), 0)
	s.Compare("edr-output", "150 BTU/h per square foot", quantity.Of(150*N*a, quantity.BTUPerHour), quantity.FromSI(heat, quantity.BTUPerHour),
		"The rule belongs to 170 °F mean water in a 70 °F room. With this water the radiator gives "+quantity.Of(Q, quantity.BTUPerHour).Text()+".")
}

func buildRadiatorSurvey(d *Draw, s *Sheet) {
	unit, reading := roomLoadUnit(d), readingUnit(d)
	room := One(d, "a bedroom", "a schoolroom", "a dining hall", "a dentist's waiting room")
	s.Statement(Native(d,
		"You survey "+room+" that is kept at {T_i}. Its iron radiator has {N} sections of {a} EDR each. The pipes read {T_s} in and {T_r} out. How much heat does the radiator give?",
		"You survey "+room+" that is kept at {T_i}. An old catalog rates its demo radiator at {Q_r}, at 90/70 °C in a room of 20 °C, with the exponent {n}. The pipes read {T_s} in and {T_r} out. How much heat does the radiator give?"))
	var rated string
	if d.US() {
		rated = ratedRadiator(d, s)
	} else {
		s.Given("Q_r", "rated output in the old catalog", d.Between(900, 3000, 50), unit)
		s.Given("n", "exponent on its data sheet", One(d, 1.25, 1.28, 1.3, 1.32, 1.35), quantity.One)
		s.Looked("dT_r", "mean water over room at the rating", 60, quantity.KelvinDifference, "90/70/20 °C: (90 + 70)/2 − 20; the rating of BS 3528, superseded")
		rated = "Q_r"
	}
	supply := Native(d, d.Between(160, 190, 1), d.Between(52, 68, 1))
	s.Given("T_s", "water in", supply, reading)
	back := supply - Native(d, d.Between(12, 30, 1), d.Between(8, 16, 1))
	roomAir := Native(d, One(d, 66.0, 68, 70, 72), One(d, 18.0, 19, 20, 21, 22))
	if back-roomAir < arithmeticLimit*(supply-roomAir) {
		s.Reject("the arithmetic mean would flatter the radiator")
		return
	}
	s.Given("T_r", "water out", back, reading)
	s.Given("T_i", "room temperature", roomAir, reading)
	s.Step("T_m", "Mean water temperature", "(T_s + T_r) / 2", reading, "The radiator is hottest where the water enters and coolest where it leaves; the rating goes by the middle.")
	s.Step("dT", "Mean water over room", "T_m - T_i", dropUnit(d), "A radiator is driven by how far its water stands above the room.")
	Q := s.Step("Q", "Heat", rated+" * pow(dT / dT_r, n)", unit, "The rating is scaled by a power of the new difference over the rated one.")
	s.Ask("heat", "Heat from the radiator", "Q", ToleranceTable)
	s.Slip("excess-uses-supply", "T_m", "T_s", sayExcess)
	s.Slip("excess-uses-drop", "dT", "T_s - T_r", "That is the water's own drop. The radiator works on mean water less room.")
	if !d.US() {
		s.Slip("rating-60-as-50", "dT_r", "50", "Read the condition of the rating: 90/70/20 °C is 60 K over the room, not the 50 K of today's ratings.")
		s.Source("The superseded rating at 90/70/20 °C: BS 3528, as reproduced on supplier pages")
	}
	radiatorSlips(d, s, rated)
	compareEDR(d, s, Q, "T_m")
}

func buildCoolerWater(d *Draw, s *Sheet) {
	unit, reading, drop := roomLoadUnit(d), readingUnit(d), dropUnit(d)
	room := One(d, "A bedroom", "A schoolroom", "The living room of a row house", "A village council room")
	s.Statement(room + " loses {Q_l} on a design day and is kept at {T_i}. " + Native(d,
		"Its cast-iron radiator has {N} sections of {a} EDR each. ",
		"Its demo panel radiator is rated {Q_r} by EN 442, with the exponent {n}. ") +
		"A new boiler is planned to send {T_s} and take back {T_r}. What does the radiator give then, what mean water temperature would the room need, and is the plan warm enough?")
	rated := ratedRadiator(d, s)
	supply := Native(d, d.Between(142, 160, 1), d.Between(48, 60, 1))
	dT := Native(d, d.Between(8, 16, 1), d.Between(5, 10, 1))
	roomAir := Native(d, One(d, 68.0, 70), One(d, 20.0, 21))
	s.Given("T_s", "planned supply", supply, reading)
	s.Given("T_r", "planned return", supply-dT, reading)
	s.Given("T_i", "room temperature", roomAir, reading)
	s.Step("T_m", "Mean water temperature planned", "(T_s + T_r) / 2", reading, "The rating goes by the middle between supply and return.")
	s.Step("dT", "Mean water over room", "T_m - T_i", drop, "A radiator is driven by how far its water stands above the room.")
	Q := s.Step("Q", "Heat with the planned water", rated+" * pow(dT / dT_r, n)", unit, "The rating is scaled by a power of the new difference over the rated one.")
	// A load a little above or below what the plan gives, as it would be
	// written on a plan.
	step := Native(d, 100.0, 10)
	share := One(d, 0.72, 0.8, 0.86, 1.15, 1.25, 1.35)
	load := float64(int(Q*share/step+0.5)) * step
	s.Given("Q_l", "heat loss of the room", load, unit)
	s.Step("dT_n", "Water over room that the loss needs", "dT_r * pow(Q_l / ("+rated+"), 1 / n)", drop, "The same power law, solved for the difference: the root of the share of the rating.")
	s.Step("T_n", "Mean water temperature needed", "T_i + dT_n", reading, "The water must stand that far above the room.")
	s.Ask("heat", "Heat with the planned water", "Q", ToleranceTable)
	s.Ask("needed", "Mean water temperature that the room would need", "T_n", toleranceWaterNeeded)

	warm := Pick{ID: "warm", Text: "Yes: the radiator covers the loss with this water."}
	cold := Pick{ID: "cold", Text: "No: on the design day the room stays cold."}
	right := "warm"
	if share > 1 {
		right = "cold"
		warm.Slip, warm.Say = "verdict-by-rating", "Compare the loss with what the radiator gives at the planned water, {Q}, not with its rating."
	} else {
		cold.Slip, cold.Say = "lowtemp-distrust", "The radiator gives {Q} with this water, and the room loses {Q_l}: it is large enough to run cooler."
	}
	s.Choose("verdict", "Is the planned water warm enough on a design day?", right, "Q", "Compare the radiator's heat at the planned water with the room's loss.", shuffled(d, []Pick{warm, cold})...)

	s.MaySlip("lowtemp-linear-size", "dT_n", "dT_r * Q_l / ("+rated+")", "The exponent works here too: take the root of the share, not the share itself.")
	s.MaySlip("exponent-not-inverted", "dT_n", "dT_r * pow(Q_l / ("+rated+"), n)", "Solving for the difference turns the exponent over: raise the share to one over {n}.")
	s.Slip("excess-for-temperature", "T_n", "dT_n", "That is how far the water must stand above the room. Add the room's temperature.")
	s.Slip("excess-uses-drop", "dT", "T_s - T_r", "That is the water's own drop. The radiator works on mean water less room.")
	s.MaySlip("excess-uses-supply", "T_m", "T_s", sayExcess)
	radiatorSlips(d, s, rated)
	compareEDR(d, s, Q, "T_m")
	s.Caution("A boiler change involves gas or oil, venting and the drinking-water connection. The result is for training and checking; the local code, the maker's instructions and a licensed person decide.")
}
