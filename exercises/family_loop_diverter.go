package exercises

import (
	"fmt"

	"loopwright/grader/quantity"
)

const (
	sourceDiverter = "Main behind a diverter tee: T' = T − Q/(k·f_main), energy balance of main and branch together; radiator outlet T − Q/(k·f_branch)"
	cautionOldMain = "Old one-pipe systems are often covered with asbestos. Do not disturb old covering: have it tested and removed by those licensed for it."
)

func buildDiverterCascade(d *Draw, s *Sheet) {
	switch d.Level {
	case 1:
		buildDiverterMain(d, s)
	case 2:
		buildDiverterRadiator(d, s)
	default:
		buildDiverterLast(d, s)
	}
	s.Source(sourceDiverter)
	s.Source(sourceHeat)
	s.Caution(cautionHot)
	s.Caution(cautionOldMain)
}

// diverterGivens records main, branch and radiators. All radiators get the
// same branch flow, a round share of the main.
func diverterGivens(d *Draw, s *Sheet, n int) {
	load, flow := loadUnit(d), flowUnit(d)
	main := Native(d, One(d, 5.0, 6, 7, 8), One(d, 0.3, 0.35, 0.4, 0.5))
	s.Given("T_1", "main leaving the boiler", Native(d, d.Between(165, 190, 1), d.Between(70, 85, 1)), readingUnit(d))
	// The branch's flow comes first, so that a slip can take it for the main's.
	s.Given("f_b", "flow through each radiator", Native(d, One(d, 1.0, 1.2, 1.5, 1.8, 2), One(d, 0.06, 0.07, 0.08, 0.1, 0.12)), flow)
	s.Given("f", "flow in the main", main, flow)
	for i := range n {
		s.Given(fmt.Sprintf("Q_%d", i+1), ordinal[i]+" radiator", Native(d, d.Between(5, 13, 0.5)*1000, d.Between(1.4, 3.8, 0.1)), load)
	}
	factor, factorUnit := heatFactor(d)
	s.Looked("k", "heat carried per unit of flow and degree", factor, factorUnit, "common practice")
}

var ordinal = []string{"first", "second", "third", "fourth", "fifth", "sixth", "seventh"}

// mainSteps steps the main past radiators 1 … last.
func mainSteps(d *Draw, s *Sheet, last int, name func(i int) string) {
	for i := 1; i <= last; i++ {
		s.Step(fmt.Sprintf("T_%d", i+1), name(i), fmt.Sprintf("T_%d - Q_%d / (k * f)", i, i), readingUnit(d),
			"The "+ordinal[i-1]+" radiator's heat comes out of the whole main: its cooler water mixes with what passed straight on.")
	}
}

func buildDiverterMain(d *Draw, s *Sheet) {
	s.Statement("In " + oldHouse(d) + " a one-pipe main with diverter tees leaves the boiler at {T_1}. The main carries {f}, and each tee sends {f_b} of it through its radiator. The radiators give, in order, {Q_1}, {Q_2} and {Q_3}. How warm is the main where it reaches the third tee, and how warm does it come back?")
	diverterGivens(d, s, 3)
	mainSteps(d, s, 2, func(i int) string { return "Main behind the " + ordinal[i-1] + " radiator" })
	s.Step("T_r", "Main coming back", "T_1 - ("+loadSum(3)+") / (k * f)", readingUnit(d), "Over the whole main the water loses the heat of all the radiators.")
	if !modestDrop(d, s, "T_r") {
		return
	}
	s.Ask("third", "Main where it reaches the third tee", "T_3", ToleranceReading)
	s.Ask("return", "Main coming back", "T_r", ToleranceReading)
	s.MaySlip("diverter-no-cool", "T_3", "T_1", "Each radiator returns cooler water to the main, so the next one starts lower.")
	s.MaySlip("diverter-return-temp-main", "f", "f_b", "With the branch's flow you find the radiator's outlet. The main cools by the heat over its own flow.")
	s.MaySlip("drop-added", "T_3", "T_1 + ("+loadSum(2)+") / (k * f)", "Each radiator takes heat, so the main gets cooler from tee to tee: subtract.")
	s.MaySlip("drop-added", "T_r", "T_1 + ("+loadSum(3)+") / (k * f)", "The radiators take heat, so the main comes back cooler: subtract.")
	s.MaySlip("series-one-room-more", "T_3", "T_1 - ("+loadSum(3)+") / (k * f)", "That is the main behind the third radiator. Where it reaches the third tee, that radiator has not yet taken its part.")
	s.MaySlip("series-last-room-free", "T_r", "T_1 - ("+loadSum(2)+") / (k * f)", "That is the main before the third radiator. It takes its heat as well before the water comes back.")
	s.MaySlip("series-one-room-less", "T_3", "T_2", "That is the main behind the first radiator. The second has given its heat too.")
}

func oldHouse(d *Draw) string {
	return One(d, "an old row house", "a former rectory", "a village schoolhouse", "an old inn", "a brick farmhouse")
}

// modestDrop throws a draw away whose main cools by more or less than such a
// main would.
func modestDrop(d *Draw, s *Sheet, back string) bool {
	first, _ := s.Value("T_1")
	last, ok := s.Value(back)
	if drop := first - last; !ok || drop > Native(d, 30.0, 17) || drop < Native(d, 7.0, 4) {
		s.Reject("no one would run this main with such a drop")
		return false
	}
	return true
}

func buildDiverterRadiator(d *Draw, s *Sheet) {
	n := d.Int(3, 5)
	at := d.Int(2, n-1) // the radiator asked for has others before it
	loads := "{Q_1}"
	for i := 2; i <= at+1; i++ {
		loads += map[bool]string{true: " and ", false: ", "}[i == at+1] + fmt.Sprintf("{Q_%d}", i)
	}
	who := ordinal[at]
	s.Statement("A one-pipe main with diverter tees in " + oldHouse(d) + " leaves the boiler at {T_1}. The main carries {f}, and each tee sends {f_b} of it through its radiator. The first radiators give, in order, " + loads + ". What water does the " + who + " radiator get, at what temperature does it leave that radiator, and how warm is the main behind it?")
	diverterGivens(d, s, at+1)
	mainSteps(d, s, at, func(i int) string { return "Main behind the " + ordinal[i-1] + " radiator" })
	in := fmt.Sprintf("T_%d", at+1)
	reading := readingUnit(d)
	s.Step("T_out", "Water leaving the "+who+" radiator", fmt.Sprintf("%s - Q_%d / (k * f_b)", in, at+1), reading, "Only the branch's flow passes the radiator, so it cools much further than the main.")
	s.Step("T_x", "Main behind the "+who+" radiator", fmt.Sprintf("(f_b * T_out + (f - f_b) * %s) / f", in), reading, "What left the radiator mixes with what went straight on.")
	if !modestDrop(d, s, "T_x") {
		return
	}
	if out, _ := s.Value("T_out"); out < Native(d, 110.0, 44) {
		s.Reject("a radiator that leaves its water so cool would not give its heat")
		return
	}
	s.Ask("entering", "Water entering the "+who+" radiator", in, ToleranceReading)
	s.Ask("leaving", "Water leaving the "+who+" radiator", "T_out", ToleranceReading)
	s.Ask("behind", "Main behind the "+who+" radiator", "T_x", ToleranceReading)
	s.MaySlip("diverter-no-cool", in, "T_1", "Each radiator before has returned cooler water to the main, so this one starts lower.")
	s.MaySlip("diverter-all-flow", "T_out", fmt.Sprintf("%s - Q_%d / (k * f)", in, at+1), "Only the branch's flow passes the radiator: use that for its own drop.")
	s.MaySlip("diverter-return-temp-main", "T_x", "T_out", "That is the radiator's outlet. In the main it mixes with the water that went straight on.")
	s.MaySlip("mix-plain-average", "T_x", fmt.Sprintf("(T_out + %s) / 2", in), "Weight each temperature by its flow: much more water goes straight on than through the radiator.")
	s.MaySlip("drop-added", in, "T_1 + ("+loadSum(at)+") / (k * f)", "The radiators take heat, so the main gets cooler from tee to tee: subtract.")
	s.MaySlip("drop-added", "T_out", fmt.Sprintf("%s + Q_%d / (k * f_b)", in, at+1), "The radiator takes heat, so its water leaves cooler: subtract.")
	s.MaySlip("mean-for-outlet", "T_out", fmt.Sprintf("%s - Q_%d / (2 * k * f_b)", in, at+1), "That is the mean in the radiator. Where it leaves, the water has lost the whole drop.")
}

func buildDiverterLast(d *Draw, s *Sheet) {
	n := d.Int(4, 6)
	load, flow, reading, drop := loadUnit(d), flowUnit(d), readingUnit(d), dropUnit(d)
	s.Statement(fmt.Sprintf("A one-pipe main in %s carries {f} past %s equal rooms and leaves the boiler at {T_1}. Each room needs {Q} and is kept at {T_i}; each diverter tee sends {f_b} through its radiator. What water does the last radiator get, and how much larger must it be than the first? What happens to it when the first radiator is shut?", oldHouse(d), []string{"four", "five", "six"}[n-4]))
	s.Given("N", "number of rooms", float64(n), quantity.One)
	s.Given("T_1", "main leaving the boiler", Native(d, d.Between(165, 185, 1), d.Between(72, 84, 1)), reading)
	s.Given("f", "flow in the main", Native(d, One(d, 5.0, 6, 7, 8), One(d, 0.3, 0.35, 0.4, 0.5)), flow)
	s.Given("f_b", "flow through each radiator", Native(d, One(d, 1.2, 1.5, 1.8, 2), One(d, 0.07, 0.08, 0.1, 0.12)), flow)
	s.Given("Q", "heat that each room needs", Native(d, d.Between(5, 11, 0.5)*1000, d.Between(1.4, 3.2, 0.1)), load)
	s.Given("T_i", "room temperature", Native(d, One(d, 68.0, 70), One(d, 20.0, 21)), reading)
	factor, factorUnit := heatFactor(d)
	s.Looked("k", "heat carried per unit of flow and degree", factor, factorUnit, "common practice")
	s.Looked("n", "exponent of radiators", 1.3, quantity.One, "1.3 ± 0.1, a pump maker's public encyclopedia")
	s.Step("dT_b", "Drop in each radiator", "Q / (k * f_b)", drop, "The same heat from the same branch flow gives every radiator the same drop.")
	s.Step("T_n", "Main where it reaches the last tee", "T_1 - (N - 1) * Q / (k * f)", reading, "Every radiator before the last has taken its heat out of the main.")
	s.Step("T_m1", "Mean water in the first radiator", "T_1 - dT_b / 2", reading, "A radiator works with the mean of its own water.")
	s.Step("T_mn", "Mean water in the last radiator", "T_n - dT_b / 2", reading, "It has the same drop as the first, but starts lower.")
	r := s.Step("r", "Size of the last over the first", "pow((T_m1 - T_i) / (T_mn - T_i), n)", quantity.One, "For the same heat from cooler water the radiator grows by a power of the two differences.")
	last, _ := s.Value("T_n")
	branch, _ := s.Value("dT_b")
	if !modestDrop(d, s, "T_n") {
		return
	}
	if out := last - branch; out < Native(d, 110.0, 44) || r < 1.14 {
		s.Reject("a radiator too cool, or sizes that hardly differ")
		return
	}
	s.Ask("entering", "Water that the last radiator gets", "T_n", ToleranceReading)
	s.Ask("size", "Size of the last radiator over the first, as a number", "r", ToleranceTable)
	s.Choose("shut", "The first radiator's valve is closed. What happens at the last radiator?", "hotter", "T_n", "Ask where the water goes that no longer passes the first radiator.", shuffled(d, []Pick{
		{ID: "hotter", Text: "It gets hotter water than before."},
		{ID: "nothing", Text: "It gets no water: the loop is shut.", Slip: "series-thinking",
			Say: "That is a series loop. Past a diverter tee the main has a way straight on, so it keeps flowing."},
		{ID: "same", Text: "It gets water at the same temperature as before.", Slip: "diverter-no-cool",
			Say: "The first radiator no longer cools the main, so every radiator beyond it starts higher."},
	})...)
	s.MaySlip("diverter-no-cool", "T_n", "T_1", "Each radiator before has returned cooler water to the main, so the last one starts lower.")
	s.MaySlip("diverter-return-temp-main", "T_n", "T_1 - (N - 1) * Q / (k * f_b)", "With the branch's flow you find a radiator's outlet. The main cools by the heat over its own flow.")
	s.MaySlip("series-one-room-more", "T_n", "T_1 - N * Q / (k * f)", "That is the main coming back. Where it reaches the last tee, the last radiator has not yet taken its part.")
	s.MaySlip("size-inverse", "r", "pow((T_mn - T_i) / (T_m1 - T_i), n)", "Cooler water needs a larger radiator: the first radiator's difference goes on top.")
	s.MaySlip("size-water-ratio", "r", "pow(T_m1 / T_mn, n)", "Compare water less room, not water temperatures.")
	s.Source("Radiator size by mean water: EN 442-2, Φ ∝ ΔT^n; n = 1.3 ± 0.1 from a pump maker's public encyclopedia")
}
