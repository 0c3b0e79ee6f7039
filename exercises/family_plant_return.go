package exercises

import (
	"fmt"
	"math"

	"loopwright/grader/boiler"
	"loopwright/grader/emitter"
	"loopwright/grader/quantity"
)

// toleranceEfficiency is for an efficiency between two rows of a sheet.
var toleranceEfficiency = Tolerance{Abs: 0.6, Why: "Between two rows of a sheet the eye is no better than about half a point, and a boiler's own sheet is no closer."}

// toleranceSaving is for a saving worked from two efficiencies.
var toleranceSaving = Tolerance{Abs: 0.6, Why: "A saving is the difference of two efficiencies, each read to about half a point."}

const (
	sourceCurve = "Demo boiler: efficiency of the gross heating value against the return, demo, near the balance of flue gas of methane with 20 % excess air"
	sourceDew   = "Dew point of the flue gas of natural gas about 133 °F (56 °C): methane with 20 % excess air; common practice says 130 to 135 °F"

	cautionFlue = "Condensate is acid: it needs a trap, and treatment where the local code asks for it. In a boiler or chimney not made for it, it eats holes, and carbon monoxide comes through."
)

func buildCondensing(d *Draw, s *Sheet) {
	switch d.Level {
	case 1:
		buildReturnEfficiency(d, s)
	case 2:
		buildLowerReturn(d, s)
	default:
		buildMildWeather(d, s)
	}
	s.Source(sourceCurve)
	s.Source(sourceDew)
	s.Caution(cautionFlue)
	s.Caution(cautionHot)
	s.Caution(cautionTraining)
}

// curveRows are the returns, in the learner's unit, at which the demo boiler's
// sheet has a row; the fifth is the dew point.
func curveRows(d *Draw) []float64 {
	return Native(d, []float64{70, 90, 105, 120, 133, 160, 190}, []float64{20, 30, 40, 50, 56, 70, 90})
}

// efficiencyRow is one row of the sheet: the demo curve to a tenth of a point.
func efficiencyRow(d *Draw, s *Sheet, reading float64) float64 {
	e, err := boiler.Demo().At(quantity.Celsius(readingUnit(d).ToSI(reading)))
	if err != nil {
		s.Reject(err.Error())
		return 1
	}
	return math.Round(1000*e) / 10
}

// rowsAround records the two rows on either side of a return as T_l…, eta_l…,
// T_h…, eta_h… with the index given, and steps to the efficiency between them,
// eta or eta_….
func rowsAround(d *Draw, s *Sheet, back, index, label string) float64 {
	T, _ := s.Value(back)
	rows := curveRows(d)
	i := 1
	for i < len(rows)-1 && rows[i] < T {
		i++
	}
	low, high := rows[i-1], rows[i]
	if T < low || T > high {
		s.Reject("a return off the sheet")
		return 1
	}
	const sheet = "the demo boiler's sheet"
	below, above := "_l"+index, "_h"+index
	symbol := "eta"
	if index != "" {
		symbol += "_" + index
	}
	if index == "" && i > 1 { // a row more on either side, as on a sheet
		s.Looked("eta_c", "efficiency at "+degrees(d, rows[i-2]), efficiencyRow(d, s, rows[i-2]), quantity.Percent, sheet)
	}
	s.Looked("T"+below, "return of the cooler row", low, readingUnit(d), sheet)
	s.Looked("eta"+below, "efficiency at "+degrees(d, low), efficiencyRow(d, s, low), quantity.Percent, sheet)
	s.Looked("T"+above, "return of the warmer row", high, readingUnit(d), sheet)
	s.Looked("eta"+above, "efficiency at "+degrees(d, high), efficiencyRow(d, s, high), quantity.Percent, sheet)
	if index == "" && i < len(rows)-1 {
		s.Looked("eta_w", "efficiency at "+degrees(d, rows[i+1]), efficiencyRow(d, s, rows[i+1]), quantity.Percent, sheet)
	}
	e := s.Step(symbol, label, fmt.Sprintf("eta%[1]s + (eta%[2]s - eta%[1]s) * (%[3]s - T%[1]s) / (T%[2]s - T%[1]s)", below, above, back), quantity.Percent,
		"Between two rows of the sheet, go as far in efficiency as the return goes in temperature.")
	s.MaySlip("row-taken-plain", symbol, "eta"+below, "That is the row below. The return lies between two rows: go part of the way.")
	s.MaySlip("row-taken-plain", symbol, "eta"+above, "That is the row above. The return lies between two rows: go part of the way.")
	return e
}

// lookDewPoint records the dew point and throws away returns too near it.
func lookDewPoint(d *Draw, s *Sheet, returns ...string) {
	dew := curveRows(d)[4]
	s.Looked("T_d", "dew point of the flue gas", dew, readingUnit(d), "methane with 20 % excess air")
	for _, name := range returns {
		if T, _ := s.Value(name); math.Abs(T-dew) < Native(d, 4.0, 2.5) {
			s.Reject("a return too near the dew point to judge")
		}
	}
}

// chooseCondenses asks whether the boiler condenses with a return.
func chooseCondenses(d *Draw, s *Sheet, back string) {
	dew := curveRows(d)[4]
	T, _ := s.Value(back)
	right, wrong, slip := "yes", "no", "condense-by-supply"
	say := "Condensing happens where the exchanger is coldest, and there the return enters, at {" + back + "}. The supply may be hotter than {T_d}."
	if T > dew {
		right, wrong, slip = "no", "yes", "condense-always"
		say = "A condensing boiler condenses only where something in it is cooler than {T_d}. With this return nothing is."
	}
	texts := map[string]string{
		"yes": "Yes: the return is cooler than {T_d}.",
		"no":  "No: nothing in the boiler is cooler than {T_d}.",
	}
	s.Choose("condenses", "Does this condensing boiler condense here?", right, back, "Compare the return with the dew point, {T_d}.", shuffled(d, []Pick{
		{ID: right, Text: texts[right]}, {ID: wrong, Text: texts[wrong], Slip: slip, Say: say},
	})...)
}

func buildReturnEfficiency(d *Draw, s *Sheet) {
	flow, reading, load, drop := flowUnit(d), readingUnit(d), loadUnit(d), dropUnit(d)
	factor, factorUnit := heatFactor(d)
	f := Native(d, d.Between(2.5, 10, 0.5), d.Between(0.15, 0.65, 0.05))
	dT := Native(d, d.Between(14, 40, 1), d.Between(8, 22, 1))
	Q := Native(d, float64(int(factor*f*dT/1000+0.5))*1000, float64(int(factor*f*dT*2+0.5))/2)
	if Q > largestHouse(d) {
		s.Reject("more heat than such a building takes")
		return
	}
	s.Statement("A demo condensing boiler on natural gas in " + heatedBuilding(d) + " sends {f} at {T_s} and gives {Q}. Its sheet lists efficiencies of the gross heating value. At what temperature does the water come back, how well does the boiler use its fuel, and does it condense?")
	s.Given("Q", "heat given", Q, load)
	s.Given("f", "flow through the boiler", f, flow)
	s.Given("T_s", "water from the boiler", Native(d, d.Between(115, 185, 1), d.Between(45, 84, 1)), reading)
	s.Looked("k", "heat carried per unit of flow and degree", factor, factorUnit, "common practice")
	s.Step("dT", "Drop", "Q / (k * f)", drop, "The heat given is shared by all the flow.")
	s.Step("T_r", "Return", "T_s - dT", reading, "The water comes back cooler by its drop.")
	e := rowsAround(d, s, "T_r", "", "Efficiency")
	lookDewPoint(d, s, "T_r")
	s.Step("B", "Fuel burned", "Q * 100 / eta", load, "Of the fuel's heat only this share arrives in the water.")
	if e < 80 {
		return // rejected
	}
	s.Ask("return", "Return to the boiler", "T_r", ToleranceReading)
	s.Ask("efficiency", "Efficiency, in percent", "eta", toleranceEfficiency)
	s.Ask("fuel", "Fuel burned, as heat", "B", ToleranceHeat)
	chooseCondenses(d, s, "T_r")
	s.MaySlip("drop-added", "T_r", "T_s + dT", "The rooms take heat: the return is cooler than the supply.")
	s.MaySlip("mean-for-return", "T_r", "T_s - dT / 2", "That is the mean. The return has lost the whole drop.")
	s.MaySlip("supply-for-return", "T_r", "T_s", "The rooms have taken their heat: the return is cooler than the supply.")
	s.Slip("efficiency-times-heat", "B", "Q * eta / 100", "More fuel goes in than heat comes out: divide by the efficiency.")
	s.MaySlip("fuel-as-heat", "B", "Q", "That is the heat that arrives. The fuel must also cover what goes up the flue.")
	s.Source(sourceHeat)
}

func buildLowerReturn(d *Draw, s *Sheet) {
	reading := readingUnit(d)
	before := Native(d, d.Between(100, 185, 1), d.Between(38, 84, 1))
	after := before - Native(d, d.Between(16, 45, 1), d.Between(9, 25, 1))
	how := One(d,
		"Larger radiators would let the water run cooler",
		"With the bypass at the boiler shut, less hot water would turn back",
		"A balanced system would need less flow",
		"A floor in place of the old convectors would let the water run cooler")
	statement := "A demo condensing boiler on natural gas in " + heatedBuilding(d) + " gets its water back at {T_1}. " + how + ", and the return would fall to {T_2} for the same heat. Its sheet lists efficiencies of the gross heating value. What are the two efficiencies"
	s.Given("T_1", "return now", before, reading)
	s.Given("T_2", "return after", after, reading)
	e1 := rowsAround(d, s, "T_1", "1", "Efficiency now")
	e2 := rowsAround(d, s, "T_2", "2", "Efficiency after")
	lookDewPoint(d, s, "T_1", "T_2")
	if e1 < 80 || e2 < 80 {
		return // rejected
	}
	s.Ask("now", "Efficiency now, in percent", "eta_1", toleranceEfficiency)
	s.Ask("after", "Efficiency after, in percent", "eta_2", toleranceEfficiency)
	dew := curveRows(d)[4]
	right := "part"
	switch {
	case before < dew:
		right = "all"
	case after > dew:
		right = "none"
	}
	if right == "none" {
		s.Statement(statement + ", and does the boiler condense?")
	} else {
		s.Statement(statement + ", what share of the fuel is saved, and when does the boiler condense?")
		askSaving(s)
		s.MaySlip("saving-by-degrees", "v", "100 * (1 - T_2 / T_1)", "Readings have no ratio, and fuel does not follow them. Work with the two efficiencies.")
	}
	picks := []Pick{
		{ID: "all", Text: "It condenses now, and more of it after."},
		{ID: "part", Text: "It does not condense now and will after."},
		{ID: "none", Text: "It condenses neither now nor after."},
	}
	for i := range picks {
		if picks[i].ID != right {
			picks[i].Slip, picks[i].Say = "condense-misjudged", "Compare each return with the dew point, {T_d}: below it the boiler condenses, and the more the cooler the return is."
		}
	}
	if right != "all" {
		picks[0].Slip, picks[0].Say = "condense-always", "A condensing boiler condenses only with a return below {T_d}, whatever its name says."
	}
	s.Choose("condenses", "When does this boiler condense?", right, "", "Compare each return with the dew point, {T_d}.", shuffled(d, picks)...)
}

// askSaving asks for the fuel saved between eta_1 and eta_2.
func askSaving(s *Sheet) {
	v := s.Step("v", "Fuel saved", "100 * (1 - eta_1 / eta_2)", quantity.Percent, "For the same heat the fuel goes with one over the efficiency.")
	if v < 0.9 {
		s.Reject("a saving too small to read")
		return
	}
	s.Ask("saved", "Share of the fuel saved, in percent", "v", toleranceSaving)
	s.MaySlip("saving-inverse", "v", "100 * (eta_1 / eta_2)", "That is the share of the fuel still burned. What is saved is the rest.")
	s.MaySlip("rows-swapped", "v", "100 * (1 - eta_2 / eta_1)", "A cooler return saves fuel: the ratio goes the other way.")
}

func buildMildWeather(d *Draw, s *Sheet) {
	reading, drop := readingUnit(d), dropUnit(d)
	supply := Native(d, One(d, 160.0, 170, 180), One(d, 70.0, 75, 80))
	dT := Native(d, One(d, 20.0, 30), One(d, 10.0, 15, 20))
	statement := "The radiators of " + heatedBuilding(d) + " were sized for {T_s} out and {T_1} back, in rooms of {T_i}. On a mild day they need {x} of the design heat. The control lowers the water until the radiators give just that, and the flow stays as it is. A demo condensing boiler feeds them; its sheet lists efficiencies of the gross heating value. At what temperature does the water come back that day, how well does the boiler use its fuel, and does it condense"
	s.Given("T_s", "design supply", supply, reading)
	s.Given("T_1", "design return", supply-dT, reading)
	s.Given("T_i", "room temperature", Native(d, One(d, 68.0, 70), One(d, 20.0, 21)), reading)
	s.Given("x", "share of the design heat", d.Between(25, 90, 5), quantity.Percent)
	s.Looked("n", "exponent of radiators", emitter.PanelExponent, quantity.One, "1.3 ± 0.1, a pump maker's public encyclopedia")
	s.Step("dT_x", "Mean water over room, design day", "(T_s + T_1) / 2 - T_i", drop, "A radiator goes by how far its mean water stands above the room.")
	s.Step("dT_m", "Mean water over room, mild day", "dT_x * pow(x / 100, 1 / n)", drop, "Heat goes with a power of that difference, so the difference goes with the root.")
	s.Step("dT_f", "Drop, mild day", "(T_s - T_1) * x / 100", drop, "With the same flow the drop goes with the heat.")
	s.Step("T_2", "Return, mild day", "T_i + dT_m - dT_f / 2", reading, "The return lies half of the drop below the mean.")
	e1 := rowsAround(d, s, "T_1", "1", "Efficiency with the design return")
	e2 := rowsAround(d, s, "T_2", "2", "Efficiency, mild day")
	lookDewPoint(d, s, "T_2")
	if e1 < 80 || e2 < 80 {
		return // rejected
	}
	s.Ask("return", "Return that day", "T_2", Tolerance{Abs: Native(d, 2.0, 1), Why: "The exponent is known to about 0.1 and a control holds the water to a degree or two."})
	s.Ask("efficiency", "Efficiency that day, in percent", "eta_2", toleranceEfficiency)
	if T, _ := s.Value("T_2"); T < curveRows(d)[4] {
		s.Statement(statement + "? What share of its fuel does it save for each unit of heat, beside a return of {T_1}?")
		askSaving(s)
	} else {
		s.Statement(statement + "?")
	}
	chooseCondenses(d, s, "T_2")
	s.MaySlip("reset-linear", "dT_m", "dT_x * x / 100", "Radiators bend: their heat falls faster than the difference, so the difference stays larger. Take the root.")
	s.MaySlip("reset-power-for-root", "dT_m", "dT_x * pow(x / 100, n)", "You took the power where the root belongs: heat is the power of the difference.")
	s.MaySlip("mean-for-return", "T_2", "T_i + dT_m", "That is the mean. The return lies half of the drop below it.")
	s.MaySlip("supply-for-return", "T_2", "T_i + dT_m + dT_f / 2", "That is the supply that day. The return lies half of the drop below the mean.")
	s.MaySlip("drop-unchanged", "dT_f", "T_s - T_1", "With the same flow, less heat is a smaller drop.")
	s.MaySlip("return-unchanged", "T_2", "T_1", "That is the return of the design day. On a mild day the water runs cooler.")
	s.Source("Radiator output by mean water: EN 442-2, Φ ∝ ΔT^n")
}
