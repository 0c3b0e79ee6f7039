package exercises

import (
	"fmt"
	"strings"

	"loopwright/grader/quantity"
)

const sourceOneTwo = "Two pipes: each emitter gets the supply and its share of the flow; one pipe: each gets what the others left. Energy balance, with the same supply and flow from the boiler"

func buildOneOrTwo(d *Draw, s *Sheet) {
	switch d.Level {
	case 1:
		buildLastMean(d, s)
	case 2:
		buildLastEmitter(d, s)
	default:
		buildAllEmitters(d, s)
	}
	s.Source(sourceOneTwo)
	s.Source(sourceHeat)
	s.Caution(cautionHot)
	s.Caution(cautionOldMain)
	s.Caution(cautionTraining)
}

// equalRooms records n equal rooms fed with one flow at one supply.
func equalRooms(d *Draw, s *Sheet, n int) {
	factor, factorUnit := heatFactor(d)
	s.Given("N", "number of rooms", float64(n), quantity.One)
	s.Given("Q", "heat that each room needs", Native(d, d.Between(4, 10, 0.5)*1000, d.Between(1.2, 3, 0.1)), loadUnit(d))
	s.Given("T_s", "water from the boiler", Native(d, d.Between(160, 185, 1), d.Between(70, 84, 1)), readingUnit(d))
	s.Given("f", "flow from the boiler", Native(d, d.Between(3, 8, 0.5), d.Between(0.2, 0.5, 0.02)), flowUnit(d))
	s.Looked("k", "heat carried per unit of flow and degree", factor, factorUnit, "common practice")
}

// usualDrop throws away systems whose whole drop nobody would run.
func usualDrop(d *Draw, s *Sheet, whole float64) bool {
	if whole < Native(d, 14.0, 8) || whole > Native(d, 34.0, 19) {
		s.Reject("no one would run this system with such a drop")
		return false
	}
	return true
}

func buildLastMean(d *Draw, s *Sheet) {
	reading, drop := readingUnit(d), dropUnit(d)
	n := d.Int(3, 6)
	s.Statement(Capital(inWords(n)) + " equal rooms of " + heatedBuilding(d) + " need {Q} each. The boiler sends {f} at {T_s}, either through one series loop that passes room after room, or on two pipes that bring each room its share. What is the mean water temperature in the last room's emitter on the loop, and what on two pipes?")
	equalRooms(d, s, n)
	s.Step("dT", "Drop in one emitter on the loop", "Q / (k * f)", drop, "On the loop each emitter passes the whole flow.")
	s.Step("T_1", "Mean in the last emitter, on the loop", "T_s - (N - 1) * dT - dT / 2", reading, "The rooms before have cooled the water by their drops; the last one's own mean lies half of its drop further down.")
	whole := s.Step("dT_2", "Drop in each emitter on two pipes", "Q / (k * f / N)", drop, "On two pipes each emitter passes only its share of the flow, so its water drops further.")
	s.Step("T_2", "Mean in each emitter, on two pipes", "T_s - dT_2 / 2", reading, "Each emitter starts at the supply.")
	if !usualDrop(d, s, whole) {
		return
	}
	s.Ask("loop", "Mean water in the last emitter on the loop", "T_1", ToleranceReading)
	s.Ask("two", "Mean water in the last emitter on two pipes", "T_2", ToleranceReading)
	s.Choose("boiler", "Which of the two brings cooler water back to the boiler?", "same", "", "The same heat comes out of the same flow.", shuffled(d, []Pick{
		{ID: "same", Text: "Neither: the same flow has given the same heat."},
		{ID: "loop", Text: "The loop: its last room has the coolest water.", Slip: "loop-return-cooler",
			Say: "On two pipes every emitter cools its small share as far as the loop cools the whole. Heat and flow are the same, so the return is."},
		{ID: "two", Text: "The two pipes: every emitter cools its water further.", Slip: "two-pipe-return-cooler",
			Say: "Each emitter does cool its share further, as far as the loop cools the whole flow by the end. The return is the same."},
	})...)
	s.MaySlip("series-flow-split", "dT", "Q / (k * f / N)", "In series every emitter gets the whole flow; nothing is shared out.")
	s.MaySlip("two-pipe-whole-flow", "dT_2", "Q / (k * f)", "On two pipes the flow is shared: each emitter gets one part of it.")
	s.MaySlip("series-last-at-supply", "T_1", "T_s - dT / 2", "That is the first room. The last one gets what the others left.")
	s.MaySlip("entering-for-mean", "T_1", "T_s - (N - 1) * dT", "That is the water entering the last emitter. Its mean lies half of its drop lower.")
	s.MaySlip("leaving-for-mean", "T_1", "T_s - N * dT", "That is the water leaving the last emitter. Its mean lies half of its drop higher.")
	s.MaySlip("two-pipe-cascade", "T_2", "T_1", "On two pipes no room gets what another left: the last one starts at the supply too.")
	s.MaySlip("leaving-for-mean", "T_2", "T_s - dT_2", "That is the water leaving. The mean lies half of the drop below the supply.")
	s.MaySlip("supply-for-mean", "T_2", "T_s", "That is the water entering. The mean lies half of the drop below it.")
}

// emitterRating records how an emitter's size is counted: EDR in US units,
// watts by EN 442 in SI. It gives the formula of a room's size at a mean water
// temperature, and the unit.
func emitterRating(d *Draw, s *Sheet) (size func(mean string) string, unit *quantity.Unit) {
	s.Given("T_i", "room temperature", Native(d, One(d, 68.0, 70), One(d, 20.0, 21)), readingUnit(d))
	s.Looked("n", "exponent of radiators", 1.3, quantity.One, "1.3 ± 0.1, a pump maker's public encyclopedia")
	if d.US() {
		s.Looked("e", "output of one square foot of EDR", 150, quantity.BTUPerHour, "trade definition: 170 °F mean water, 70 °F room")
		s.Looked("dT_r", "water over room at the rating", 100, quantity.FahrenheitDifference, "170 °F mean water less 70 °F room")
		return func(mean string) string { return "Q / (e * pow((" + mean + " - T_i) / dT_r, n))" }, quantity.SquareFoot
	}
	s.Looked("dT_r", "mean water over room at the rating", 50, quantity.KelvinDifference, "EN 442-2: 75/65 °C in a room of 20 °C")
	return func(mean string) string { return "1000 * Q / pow((" + mean + " - T_i) / dT_r, n)" }, quantity.Watt
}

func sizeWord(d *Draw) string { return Native(d, "EDR", "rated output by EN 442") }

const becauseSize = "The size is the heat over what one unit of size gives at this mean: the rating times a power of the differences."

// tees records the flow through each radiator of a one-pipe main.
func tees(d *Draw, s *Sheet) {
	s.Given("f_b", "flow through each radiator on diverter tees", Native(d, One(d, 0.8, 1, 1.2, 1.5, 1.8, 2), One(d, 0.05, 0.06, 0.08, 0.1, 0.12)), flowUnit(d))
}

func buildLastEmitter(d *Draw, s *Sheet) {
	reading, drop := readingUnit(d), dropUnit(d)
	n := d.Int(4, 6)
	s.Statement(Capital(inWords(n)) + " equal rooms of " + oldHouse(d) + ", kept at {T_i}, need {Q} each. The boiler sends {f} at {T_s}, either along a one-pipe main with diverter tees that pass {f_b} through each radiator, or on two pipes that bring each room an equal share. What radiator does the last room need on each, as " + sizeWord(d) + ", and how much more is it on the one pipe?")
	equalRooms(d, s, n)
	tees(d, s)
	size, unit := emitterRating(d, s)
	s.Step("T_n", "Main where it reaches the last tee", "T_s - (N - 1) * Q / (k * f)", reading, "Every radiator before the last has taken its heat out of the main.")
	s.Step("dT_b", "Drop in each radiator on tees", "Q / (k * f_b)", drop, "Through a radiator on tees passes only the branch's flow.")
	s.Step("T_1", "Mean in the last radiator, one pipe", "T_n - dT_b / 2", reading, "A radiator works with the mean of its own water.")
	whole := s.Step("dT_2", "Drop in each radiator on two pipes", "Q / (k * f / N)", drop, "On two pipes each radiator passes its share of the flow.")
	s.Step("T_2", "Mean in each radiator, two pipes", "T_s - dT_2 / 2", reading, "On two pipes each radiator starts at the supply.")
	s.Step("A_1", "Last radiator, one pipe", size("T_1"), unit, becauseSize)
	s.Step("A_2", "Last radiator, two pipes", size("T_2"), unit, becauseSize)
	x := s.Step("x", "More on the one pipe", "100 * (A_1 / A_2 - 1)", quantity.Percent, "Compare the two sizes, counted from the smaller.")
	branch, _ := s.Value("dT_b")
	if !usualDrop(d, s, whole) || !coolEnough(d, s, branch) || x < 12 {
		s.Reject("the two hardly differ")
		return
	}
	s.Ask("one", "Last radiator on the one pipe, as "+sizeWord(d), "A_1", ToleranceTable)
	s.Ask("two", "Last radiator on two pipes, as "+sizeWord(d), "A_2", ToleranceTable)
	s.Ask("more", "How much more on the one pipe, in percent", "x", Tolerance{Abs: 3, Why: "The exponent is known to about 0.1, and radiators come in whole sections or steps of length: three points are less than one of those."})
	s.MaySlip("diverter-no-cool", "T_n", "T_s", "Each radiator before has returned cooler water to the main, so the last one starts lower.")
	s.MaySlip("series-one-room-more", "T_n", "T_s - N * Q / (k * f)", "That is the main coming back. Where it reaches the last tee, the last radiator has not yet taken its part.")
	s.MaySlip("size-at-entering", "A_1", size("T_n"), "That takes the water entering the radiator. It works with the mean of its own water.")
	s.MaySlip("size-at-supply", "A_2", size("T_s"), "That takes the water entering the radiator. It works with the mean of its own water.")
	s.MaySlip("size-power-flipped", "A_1", strings.Replace(size("T_1"), "(T_1 - T_i) / dT_r", "dT_r / (T_1 - T_i)", 1), "Cooler water gives less heat, so the radiator grows: the new difference goes on top, and the size is divided by it.")
	s.MaySlip("size-by-rating", "A_2", size("(T_i + dT_r)"), "That is the size at the rated temperature. This water is another.")
	s.MaySlip("more-of-larger", "x", "100 * (1 - A_2 / A_1)", "Count from the two-pipe radiator: how much more the other is.")
	s.MaySlip("temperature-for-size", "x", "100 * (T_2 / T_1 - 1)", "Compare the sizes, not the readings.")
	s.Source(Native(d, sourceEDR, sourceEN442))
}

// coolEnough throws away branches with a drop or a flow nobody would run.
func coolEnough(d *Draw, s *Sheet, branch float64) bool {
	main, _ := s.Value("f")
	if tee, _ := s.Value("f_b"); tee > 0.45*main {
		s.Reject("no tee passes so much of its main")
		return false
	}
	if branch < Native(d, 6.0, 3.5) || branch > Native(d, 32.0, 18) {
		s.Reject("no one would run a radiator with such a drop")
		return false
	}
	return true
}

func buildAllEmitters(d *Draw, s *Sheet) {
	reading, drop := readingUnit(d), dropUnit(d)
	const n = 4
	s.Statement("Four equal rooms of " + oldHouse(d) + ", kept at {T_i}, need {Q} each. The boiler sends {f} at {T_s}, either along a one-pipe main with diverter tees that pass {f_b} through each radiator, or on two pipes that bring each room an equal share. Each radiator is sized for its own water. How much radiator do all four rooms need on the one pipe and on two pipes, as " + sizeWord(d) + ", and how much more is that?")
	equalRooms(d, s, n)
	tees(d, s)
	size, unit := emitterRating(d, s)
	s.Step("dT", "What one room cools the main by", "Q / (k * f)", drop, "The main cools by each room's heat over its full flow.")
	s.Step("dT_b", "Drop in each radiator on tees", "Q / (k * f_b)", drop, "Through a radiator on tees passes only the branch's flow.")
	means, sum := "", ""
	for i := 1; i <= n; i++ {
		at := "T_s - dT_b / 2"
		if i > 1 {
			at = fmt.Sprintf("T_m%d - dT", i-1)
		}
		means = fmt.Sprintf("T_m%d", i)
		s.Step(means, "Mean in the "+ordinal[i-1]+" radiator, one pipe", at, reading, "Each radiator's water is cooler than the one before by what that room took out of the main; the first starts at the supply.")
		s.Step(fmt.Sprintf("A_%d", i), "The "+ordinal[i-1]+" radiator, one pipe", size(means), unit, becauseSize)
		sum += fmt.Sprintf(" + A_%d", i)
	}
	s.Step("A", "All radiators, one pipe", strings.TrimPrefix(sum, " + "), unit, "Each is sized for its own water, and then they add up.")
	whole := s.Step("dT_2", "Drop in each radiator on two pipes", "Q / (k * f / N)", drop, "On two pipes each radiator passes its share of the flow.")
	s.Step("T_2", "Mean in each radiator, two pipes", "T_s - dT_2 / 2", reading, "On two pipes each radiator starts at the supply.")
	s.Step("B", "All radiators, two pipes", "N * "+size("T_2"), unit, "On two pipes all radiators are alike.")
	x := s.Step("x", "More on the one pipe", "A - B", unit, "What the one pipe asks for beyond the two pipes.")
	branch, _ := s.Value("dT_b")
	B, _ := s.Value("B")
	if !usualDrop(d, s, whole) || !coolEnough(d, s, branch) || x < 0.07*B {
		s.Reject("the two hardly differ")
		return
	}
	s.Ask("one", "All radiators on the one pipe, as "+sizeWord(d), "A", ToleranceTable)
	s.Ask("two", "All radiators on two pipes, as "+sizeWord(d), "B", ToleranceTable)
	s.Ask("more", "How much more on the one pipe, as "+sizeWord(d), "x", Tolerance{Rel: 0.15, Why: "It is a small difference of two sums, and half a percent in each moves it by several percent."})
	s.Choose("why", "Which room decides that a one-pipe job needs each radiator sized for itself?", "last", "", "Ask which room is furthest from what a like radiator for all would give.", shuffled(d, []Pick{
		{ID: "last", Text: "The last: with the radiator of the first it would stay cold."},
		{ID: "none", Text: "None: the rooms are equal, so equal radiators serve them.", Slip: "equal-rooms-equal-radiators",
			Say: "The rooms are equal, their water is not. With like radiators the first room runs warm and the last one cold."},
		{ID: "first", Text: "The first: it gets the hottest water and needs the most radiator.", Slip: "hot-water-more-radiator",
			Say: "Hotter water needs less radiator for the same heat. The first room's is the smallest."},
	})...)
	s.MaySlip("diverter-no-cool", "dT", "0", "Each radiator returns cooler water to the main, so the next one starts lower.")
	s.MaySlip("all-as-last", "A", "N * A_4", "Only the last room needs that much; the others get warmer water.")
	s.MaySlip("all-as-first", "A", "N * A_1", "Only the first room gets such water; the others get what it left.")
	s.MaySlip("one-room-for-all", "B", size("T_2"), "That is one room. There are {N} of them.")
	s.MaySlip("size-at-supply", "B", "N * "+size("T_s"), "That takes the water entering the radiator. It works with the mean of its own water.")
	s.MaySlip("sum-for-more", "x", "A", "That is the whole of the one pipe. The question is what it asks for beyond the two pipes.")
	s.Source(Native(d, sourceEDR, sourceEN442))
}
