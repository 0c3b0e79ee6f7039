package exercises

import (
	"errors"

	"loopwright/grader/emitter"
	"loopwright/grader/network"
	"loopwright/grader/quantity"
)

const sourceTubeFlow = "Customary most flow by tube size: a friction of about 4 ft/100 ft (400 Pa/m) in copper, rounded down (common practice)"

// loopTube is a tube that series loops are made of, with its customary most
// flow. Source: sourceTubeFlow.
type loopTube struct {
	name, nextName string
	flow, nextFlow string // in the learner's unit, as a formula writes it
	number         float64
}

func drawTube(d *Draw) loopTube {
	if d.US() {
		return One(d,
			loopTube{"1/2 in", "3/4 in", "1.5", "4", 1.5},
			loopTube{"3/4 in", "1 in", "4", "8", 4},
			loopTube{"3/4 in", "1 in", "4", "8", 4},
			loopTube{"1 in", "1-1/4 in", "8", "14", 8})
	}
	return One(d,
		loopTube{"DN 15", "DN 20", "0.1", "0.25", 0.1},
		loopTube{"DN 20", "DN 25", "0.25", "0.5", 0.25},
		loopTube{"DN 20", "DN 25", "0.25", "0.5", 0.25},
		loopTube{"DN 25", "DN 32", "0.5", "0.9", 0.5})
}

// loopPlace is a building that needs about the heat that a tube carries.
func loopPlace(d *Draw, tube loopTube) string {
	if tube.number >= Native(d, 8, 0.5) {
		return One(d, "a parish hall", "a guest house", "a large workshop", "a village school")
	}
	return One(d, "the ground floor of a row house", "a small workshop", "a caretaker's house", "an apartment over a shop", "a one-story house")
}

func buildSeriesLimit(d *Draw, s *Sheet) {
	switch d.Level {
	case 1:
		buildLoopLimit(d, s)
	case 2:
		buildLoopLimitRated(d, s)
	default:
		buildLoopTooLong(d, s)
	}
	s.Source(sourceSeries)
	s.Source(sourceTubeFlow)
	s.Caution(cautionHot)
	s.Caution(cautionOneLoop)
}

// limitSlips are the wrong turns on the way to the heat that a tube carries.
func limitSlips(d *Draw, s *Sheet, tube loopTube) {
	s.MaySlip("load-no-factor", "Q", "f * dT", "The factor is missing: a unit of flow carries {k}.")
	s.MaySlip("dt-halved", "Q", "k * f * dT / 2", "The whole drop of the loop carries heat. Half of it belongs to the mean temperature of the fin-tube.")
	if d.US() {
		s.MaySlip("load-minute-lost", "Q", "8.33 * f * dT", "A gallon weighs 8.33 lb, but BTU/h counts a whole hour of gallons: the 60 minutes are missing.")
	} else {
		s.MaySlip("load-per-hour", "Q", "1.16 * f * dT", "The 1.16 goes with liters per hour and gives watts. With L/s and kW the factor is 4.19.")
	}
	s.MaySlip("limit-next-size", "f", tube.nextFlow, "That is the customary flow of "+tube.nextName+" tube. This loop is "+tube.name+".")
}

func buildLoopLimit(d *Draw, s *Sheet) {
	tube := drawTube(d)
	place := loopPlace(d, tube)
	s.Statement("A series loop of " + tube.name + " tube is to heat " + place + " with fin-tube. The water may cool by {dT} on its way. At the loop's mean water temperature the demo element gives {q}. What is the most heat that the loop carries at the tube's customary flow, and how much finned length gives that off?")
	s.Given("dT", "drop of the loop", Native(d, One(d, 15.0, 18, 20, 22, 25), One(d, 8.0, 10, 12, 14)), dropUnit(d))
	s.Given("q", "output of the element at the loop's mean", Native(d, d.Between(440, 640, 10), d.Between(400, 600, 10)), perLengthUnit(d))
	factor, factorUnit := heatFactor(d)
	s.Looked("f", "customary most flow of "+tube.name+" tube", tube.number, flowUnit(d), "common practice")
	s.Looked("k", "heat carried per unit of flow and degree", factor, factorUnit, "common practice")
	Q := s.Step("Q", "Most heat of the loop", "k * f * dT", loadUnit(d), "One flow serves the whole loop, so the tube's flow and the drop set its heat.")
	L := s.Step("L", "Longest fin-tube", Native(d, "Q / q", "1000 * Q / q"), lengthUnit(d), "More fins would ask for more heat than the water brings.")
	s.Ask("heat", "Most heat that the loop carries", "Q", ToleranceHeat)
	s.Ask("length", "Finned length that gives it off", "L", ToleranceTable)
	limitSlips(d, s, tube)
	s.MaySlip("length-upside-down", "L", "q / Q", "The loop's heat is shared by the length: heat over output per length.")

	q, _ := s.Value("q")
	rule := Q / Native(d, 600, 0.575)
	s.Compare("baseboard-600", Native(d, "600 BTU/h per foot", "575 W per meter"), quantity.Of(rule, lengthUnit(d)), quantity.Of(L, lengthUnit(d)),
		"The rule belongs to a mean of "+Native(d, "180 °F", "82 °C")+" and a middling element. This loop's element gives "+quantity.Of(q, perLengthUnit(d)).Text()+".")
}

func buildLoopLimitRated(d *Draw, s *Sheet) {
	tube := drawTube(d)
	place := loopPlace(d, tube)
	s.Statement("A series loop of " + tube.name + " tube is planned for " + place + ". The boiler sends {T_s} and the water may cool by {dT}. The demo fin-tube is rated {q_r} with mean water of {T_r} and air of {T_a}. What is the most heat at the tube's customary flow, and how much finned length gives it off?")
	s.Given("T_s", "supply temperature", Native(d, d.Between(160, 182, 1), d.Between(72, 84, 1)), readingUnit(d))
	s.Given("dT", "drop of the loop", Native(d, One(d, 15.0, 18, 20, 22, 25), One(d, 8.0, 10, 12, 14)), dropUnit(d))
	rated, ratedMean, air := finTubeGivens(d, s)
	factor, factorUnit := heatFactor(d)
	s.Looked("f", "customary most flow of "+tube.name+" tube", tube.number, flowUnit(d), "common practice")
	s.Looked("k", "heat carried per unit of flow and degree", factor, factorUnit, "common practice")
	s.Step("Q", "Most heat of the loop", "k * f * dT", loadUnit(d), "One flow serves the whole loop, so the tube's flow and the drop set its heat.")
	mean := s.Step("T_m", "Mean water temperature", "T_s - dT / 2", readingUnit(d), "Along the loop the water falls by the drop; the fin-tube as a whole works with the middle.")
	if low, high := Native(d, 150.0, 66), Native(d, 172.0, 76); mean < low || mean > high {
		s.Reject("outside the table, or too near the rating to tell a slip")
		return
	}
	s.Step("F", "Temperature factor", "pow((T_m - T_a) / (T_r - T_a), n)", quantity.One, "What drives the heat is water over air; the output goes with a power of it.")
	s.Step("q", "Output per length", "q_r * F", perLengthUnit(d), "The rating is scaled to the loop's water.")
	L := s.Step("L", "Longest fin-tube", Native(d, "Q / q", "1000 * Q / q"), lengthUnit(d), "More fins would ask for more heat than the water brings.")
	s.Ask("heat", "Most heat that the loop carries", "Q", ToleranceHeat)
	s.Ask("length", "Finned length that gives it off", "L", ToleranceTable)
	limitSlips(d, s, tube)
	s.MaySlip("rating-unchanged", "F", "1", "The rating holds at {T_r} only; the loop's mean is cooler.")
	s.MaySlip("baseboard-supply-temp", "T_m", "T_s", "The fin-tube as a whole works with the mean of the loop; the supply is its hottest point.")
	s.MaySlip("return-for-mean", "T_m", "T_s - dT", "That is the return. The fin-tube as a whole works with the mean of the loop.")
	s.MaySlip("convector-linear", "F", "(T_m - T_a) / (T_r - T_a)", sayLinear)
	s.Source(sourceFinTube)

	supply, _ := s.Value("T_s")
	dT, _ := s.Value("dT")
	reading := readingUnit(d)
	e, errElement := finTubeEngine(d, rated, ratedMean, air)
	k, errWater := engineHeatFactor(d, quantity.Celsius(reading.ToSI(mean)))
	if err := errors.Join(errElement, errWater); err != nil {
		s.Reject(err.Error())
		return
	}
	capacity := flowUnit(d).ToSI(tube.number) * factorUnit.ToSI(k)
	length, err := e.LengthAlong(capacity*dropUnit(d).ToSI(dT), quantity.Celsius(reading.ToSI(supply)), quantity.Celsius(reading.ToSI(air)), capacity)
	if err != nil {
		s.Reject(err.Error())
		return
	}
	s.Compare("baseboard-600", Native(d, "600 BTU/h per foot", "575 W per meter"), quantity.Of(factor*tube.number*dT/Native(d, 600, 0.575), lengthUnit(d)), quantity.FromSI(length, lengthUnit(d)),
		"The rule belongs to a mean of "+Native(d, "180 °F", "82 °C")+". The engine follows the water along this element and counts what the flow adds; by hand it came to "+quantity.Of(L, lengthUnit(d)).Text()+".")
}

func buildLoopTooLong(d *Draw, s *Sheet) {
	load, flow, reading, length := loadUnit(d), flowUnit(d), readingUnit(d), lengthUnit(d)
	house := One(d, "A row house", "A farmhouse with two additions", "A workshop with an office added", "A former inn")
	room := One(d, "a bedroom over the garage", "a sun porch", "the new office", "a corner study")
	s.Statement(house + " has one series loop of " + Native(d, "3/4 in", "DN 20") + " tube that carries {f} and leaves the boiler at {T_s}. The rooms before take {Q_b}; the last one, " + room + ", needs {Q_l}. Its demo fin-tube is rated {q_r} with mean water of {T_r} and air of {T_a}, and was cut to length by that rating. What water does it get, what length would the room need, and what is the sound repair?")
	s.Given("T_s", "supply temperature", Native(d, d.Between(184, 195, 1), d.Between(83, 90, 1)), reading)
	s.Given("f", "flow of the loop", Native(d, One(d, 3.5, 4, 4.5), One(d, 0.22, 0.25, 0.28)), flow)
	s.Given("Q_b", "heat of the rooms before", Native(d, d.Between(42, 60, 1)*1000, d.Between(12, 18, 0.5)), load)
	s.Given("Q_l", "heat that the last room needs", Native(d, d.Between(5, 9, 0.5)*1000, d.Between(1.4, 2.6, 0.1)), load)
	finTubeGivens(d, s)
	factor, factorUnit := heatFactor(d)
	s.Looked("k", "heat carried per unit of flow and degree", factor, factorUnit, "common practice")
	in := s.Step("T_in", "Water entering the last emitter", "T_s - Q_b / (k * f)", reading, "All the rooms before have taken their heat from the same flow.")
	out := s.Step("T_out", "Water leaving it", "T_in - Q_l / (k * f)", reading, "The last room takes its heat too.")
	mean := s.Step("T_m", "Mean water in the last emitter", "(T_in + T_out) / 2", reading, "Its output goes by the middle of its own water.")
	if low, high := Native(d, 150.0, 66), Native(d, 166.0, 74); mean < low || mean > high {
		s.Reject("outside the table, or not a loop that is too long")
		return
	}
	s.Step("F", "Temperature factor", "pow((T_m - T_a) / (T_r - T_a), n)", quantity.One, "What drives the heat is water over air; the output goes with a power of it.")
	s.Step("L", "Finned length that the room needs", Native(d, "Q_l / (q_r * F)", "1000 * Q_l / (q_r * F)"), length, "Cooler water makes each length give less, so the room needs more of it.")
	s.Ask("entering", "Water entering the last emitter", "T_in", ToleranceReading)
	s.Ask("length", "Finned length that the last room needs with this water", "L", ToleranceTable)
	s.Choose("repair", "Several rooms at the far end are cold. What is the sound repair?", "split", "T_in", "Ask what makes the water of the far rooms so cool.", shuffled(d, []Pick{
		{ID: "split", Text: "Split it into two loops side by side, each with about half of the load."},
		{ID: "lengthen", Text: "Add fin-tube in the last room only.", Score: 0.5,
			Say: "That can warm this room. The loop stays too long: its drop and the other cool rooms remain."},
		{ID: "circulator", Text: "Fit a circulator that drives twice the flow through the same tube.", Slip: "flow-through-small-tube",
			Say: "Twice the flow takes nearly four times the head, and the tube is already at its customary flow: it would be noisy and costly to run."},
		{ID: "valve", Text: "Throttle the emitters of the first rooms with a valve in the loop.", Slip: "series-valve",
			Say: "A valve in a series loop throttles every room, because the same water passes all of them."},
	})...)
	s.MaySlip("series-last-at-supply", "T_in", "T_s", "The last emitter gets water already cooled by the rooms before; work it from there.")
	s.MaySlip("series-one-room-more", "T_in", "T_s - (Q_b + Q_l) / (k * f)", "That is the water leaving the last emitter. Entering it, the water has passed only the rooms before.")
	s.MaySlip("drop-added", "T_in", "T_s + Q_b / (k * f)", "The rooms take heat, so the water gets cooler: subtract.")
	s.MaySlip("rating-unchanged", "F", "1", "That is the length by the rating at {T_r}. This water is cooler, so the room needs more.")
	s.MaySlip("series-sized-at-supply", "F", "pow((T_s - T_a) / (T_r - T_a), n)", "The last emitter never sees the supply temperature; use the mean of its own water.")
	s.MaySlip("exponent-inverse", "F", "pow((T_r - T_a) / (T_m - T_a), n)", "Cooler water gives less heat, so the length grows: the new difference goes on top in the factor.")
	s.Source(sourceFinTube)
	compareLastRoom(d, s, quantity.Celsius(reading.ToSI((in+out)/2)))
}

// compareLastRoom runs the loop with every room's fin-tube cut by the rule and
// sets what the last room gets beside what the rule promises.
func compareLastRoom(d *Draw, s *Sheet, mean quantity.Celsius) {
	reading := readingUnit(d)
	k, err := engineHeatFactor(d, mean)
	if err != nil {
		s.Reject(err.Error())
		return
	}
	_, factorUnit := heatFactor(d)
	capacity := s.Quantity("f").SI * factorUnit.ToSI(k)
	room := quantity.Celsius(reading.ToSI(Native(d, 65.0, 18)))
	element := emitter.DemoFinTube()
	perMeter := perLengthUnit(d).ToSI(Native(d, 600.0, 575))
	before, last := s.Quantity("Q_b").SI/perMeter, s.Quantity("Q_l").SI/perMeter
	// Two equal pieces stand for the rooms before: along one tube it does not
	// matter where one element ends and the next begins.
	passed, err := network.SeriesLoop(quantity.Celsius(s.Quantity("T_s").SI), capacity, []network.Stop{
		{Emitter: element.Length(before / 2), Room: room},
		{Emitter: element.Length(before / 2), Room: room},
		{Emitter: element.Length(last), Room: room},
	})
	if err != nil {
		s.Reject(err.Error())
		return
	}
	end := passed[len(passed)-1]
	s.Compare("baseboard-600", Native(d, "every room cut at 600 BTU/h per foot", "every room cut at 575 W per meter"), s.Quantity("Q_l"), quantity.FromSI(end.Heat, loadUnit(d)),
		"The rule takes "+Native(d, "180 °F", "82 °C")+" for every room. Followed along the loop, the water enters the last element at "+quantity.FromSI(float64(end.Entering), reading).Text()+", so that room gets less than its length promises.")
}
