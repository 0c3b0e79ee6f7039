package exercises

import (
	"fmt"
	"slices"

	"loopwright/grader"
	"loopwright/grader/quantity"
)

func buildLoadFromFlow(d *Draw, s *Sheet) {
	if d.Level == 3 {
		buildThreeCircuits(d, s)
		return
	}
	load, flow, drop := loadUnit(d), flowUnit(d), dropUnit(d)
	circuit := One(d, "the radiator circuit of a row house", "the heating loop of a small workshop", "the circuit of an apartment over a shop",
		"the upstairs zone of a two-story house", "the circuit of a village reading room")
	factor, factorUnit := heatFactor(d)
	mean := Native(d, quantity.Celsius((160-32)/1.8), quantity.Celsius(65))

	if d.Level == 1 {
		s.Statement("A flow of {f} runs through " + circuit + ". The water cools by {dT} on its way. How much heat does the circuit deliver?")
		s.Given("f", "flow", Native(d, d.Between(2, 10, 0.5), d.Between(0.15, 0.8, 0.05)), flow)
		s.Given("dT", "temperature drop", Native(d, One(d, 8.0, 12, 15, 18, 22, 25, 30), One(d, 6.0, 8, 10, 12, 15, 18)), drop)
		s.Looked("k", "heat carried per unit of flow and degree", factor, factorUnit, "common practice")
	} else {
		s.Statement("A meter in the return of " + circuit + " counts {V} in {t}. The thermometers show {T_s} on the supply and {T_r} on the return. How much heat does the circuit deliver?")
		supply := Native(d, d.Between(140, 190, 2), d.Between(55, 85, 1))
		dT := Native(d, One(d, 9.0, 12, 14, 18, 22, 26), One(d, 6.0, 7, 9, 11, 13, 16))
		s.Given("V", "metered volume", Native(d, d.Between(5, 15, 1), d.Between(30, 90, 5)), Native(d, quantity.Gallon, quantity.Liter))
		s.Given("t", "time for it", Native(d, d.Between(70, 150, 5), One(d, 2, 2.5, 3, 4)), Native(d, quantity.Second, quantity.Minute))
		s.Given("T_s", "supply temperature", supply, readingUnit(d))
		s.Given("T_r", "return temperature", supply-dT, readingUnit(d))
		s.Looked("k", "heat carried per unit of flow and degree", factor, factorUnit, "common practice")
		s.Step("f", "Flow", Native(d, "60 * V / t", "V / (60 * t)"), flow, Native(d,
			"A flow in gpm counts by the minute, so seconds are turned into minutes.",
			"A flow in L/s counts by the second, so minutes are turned into seconds."))
		s.Step("dT", "Temperature drop", "T_s - T_r", drop, "The heat left behind is the difference between the two thermometers.")
		mean = meanOf(s.Quantity("T_s"), s.Quantity("T_r"))
	}
	Q := s.Step("Q", "Heat delivered", "k * f * dT", load, "Each unit of flow leaves a fixed heat behind for each degree that it cools.")
	if Q > largestHouse(d) {
		s.Reject("more heat than such a building takes")
		return
	}
	s.Ask("heat", "Heat delivered", "Q", ToleranceHeat)

	s.Slip("load-no-factor", "Q", "f * dT", "The factor is missing: a unit of flow carries {k}.")
	s.Slip("dt-halved", "Q", "k * f * dT / 2", "The whole drop from supply to return counts. Half of it belongs to the mean temperature, which rates a radiator.")
	if d.US() && d.Level == 1 { // at level 2 the meter's lost minute gives the same
		s.Slip("load-minute-lost", "Q", "8.33 * f * dT", "A gallon weighs 8.33 lb, but BTU/h counts a whole hour of gallons: the 60 minutes are missing.")
	}
	if !d.US() {
		s.Slip("load-per-hour", "Q", "1.16 * f * dT", "The 1.16 goes with liters per hour and gives watts. With L/s and kW the factor is 4.19.")
	}
	if d.Level == 2 {
		s.Slip("return-used-as-dt", "dT", "T_r", "Use the difference of the two thermometers, not one of them.")
		s.MaySlip("supply-used-as-dt", "dT", "T_s", "Use the difference of the two thermometers, not one of them.")
		s.Slip("meter-time-lost", "f", "V / t", Native(d,
			"That flow is in gallons per second; gpm counts by the minute.",
			"That flow is in liters per minute; L/s counts by the second."))
	}

	k, err := engineHeatFactor(d, mean)
	if err != nil {
		s.Reject(err.Error())
		return
	}
	compareFactor(d, s, quantity.Of(Q, load), quantity.Of(Q*k/factor, load), mean)
	s.Source(sourceHeat)
	s.Caution(cautionHot)
}

// largestHouse is the most heat, in the learner's unit, that the small
// buildings of these families are drawn with. A demo value.
func largestHouse(d *Draw) float64 { return Native(d, 80_000.0, 24) }

// buildThreeCircuits asks which of three circuits delivers most: neither the
// greatest flow nor the greatest drop decides it alone.
func buildThreeCircuits(d *Draw, s *Sheet) {
	load, flow, reading := loadUnit(d), flowUnit(d), readingUnit(d)
	names := []string{"north", "south", "attic"}
	building := One(d, "a former school that became four apartments", "a guest house", "a parish hall with an apartment", "a small clinic")
	s.Statement("Three circuits leave one header in " + building + " at {T_s}. North moves {f_1} and comes back at {T_1}, south moves {f_2} and comes back at {T_2}, the attic moves {f_3} and comes back at {T_3}. Which circuit delivers most heat, which least, and what do the three deliver together?")
	supply := Native(d, d.Between(160, 190, 5), d.Between(65, 85, 5))
	s.Given("T_s", "supply temperature", supply, reading)
	flows, drops, heats := make([]float64, 3), make([]float64, 3), make([]float64, 3)
	for i := range 3 {
		flows[i] = Native(d, d.Between(1.5, 7, 0.5), d.Between(0.1, 0.5, 0.02))
		drops[i] = Native(d, d.Between(8, 34, 1), d.Between(5, 20, 1))
		heats[i] = flows[i] * drops[i]
		s.Given(fmt.Sprintf("f_%d", i+1), names[i]+" flow", flows[i], flow)
		s.Given(fmt.Sprintf("T_%d", i+1), names[i]+" return temperature", supply-drops[i], reading)
	}
	factor, factorUnit := heatFactor(d)
	s.Looked("k", "heat carried per unit of flow and degree", factor, factorUnit, "common practice")
	for i := range 3 {
		n := i + 1
		s.Step(fmt.Sprintf("Q_%d", n), "Heat of the "+names[i]+" circuit", fmt.Sprintf("k * f_%d * (T_s - T_%d)", n, n), load,
			"Flow and drop count together: neither decides alone.")
	}
	Q := s.Step("Q", "Heat of all three", "Q_1 + Q_2 + Q_3", load, "Circuits side by side add their heats.")

	right, byFlow, byDrop := descending(names, heats), descending(names, flows), descending(names, drops)
	if slices.Equal(right, byFlow) || slices.Equal(right, byDrop) || slices.Equal(byFlow, byDrop) || tooClose(heats, 0.08) || tooClose(flows, 0.01) || tooClose(drops, 0.01) {
		s.Reject("the order does not tell heat from flow or drop")
		return
	}
	texts := []string{"North: {f_1}, back at {T_1}", "South: {f_2}, back at {T_2}", "Attic: {f_3}, back at {T_3}"}
	options := make([]grader.Option, 0, 3)
	for _, i := range d.Shuffle(3) {
		options = append(options, grader.Option{ID: names[i], Text: texts[i]})
	}
	s.Arrange("order", "Put the circuits in order, most heat first.", options, right, "Q_1",
		"Multiply each circuit's flow by its own drop before you compare.",
		grader.Slip{ID: "order-by-flow", Answer: grader.Answer{Order: byFlow}, Say: "That is the order of the flows. A large flow with a small drop can carry less than a small flow with a large drop."},
		grader.Slip{ID: "order-by-drop", Answer: grader.Answer{Order: byDrop}, Say: "That is the order of the drops. A large drop on a small flow can carry less than a small drop on a large flow."})
	s.Ask("total", "Heat of the three circuits together", "Q", ToleranceHeat)
	s.MaySlip("drops-averaged", "Q", "k * (f_1 + f_2 + f_3) * (T_s - (T_1 + T_2 + T_3) / 3)", "The plain average of the returns ignores the flows: work each circuit with its own drop, then add.")
	s.Slip("dt-halved", "Q", "(Q_1 + Q_2 + Q_3) / 2", "The whole drop from supply to return counts, in each circuit.")
	s.Slip("load-no-factor", "Q", "f_1 * (T_s - T_1) + f_2 * (T_s - T_2) + f_3 * (T_s - T_3)", "The factor is missing: a unit of flow carries {k}.")
	s.MaySlip("circuit-forgotten", "Q", "Q_1 + Q_2", "One circuit is missing from the sum.")

	var product, total float64
	for i := range 3 {
		product += flows[i] * (supply - drops[i]/2)
		total += flows[i]
	}
	mean := quantity.Celsius(reading.ToSI(product / total))
	k, err := engineHeatFactor(d, mean)
	if err != nil {
		s.Reject(err.Error())
		return
	}
	compareFactor(d, s, quantity.Of(Q, load), quantity.Of(Q*k/factor, load), mean)
	s.Source(sourceHeat)
	s.Caution(cautionHot)
}

// descending lists the names by falling value.
func descending(names []string, values []float64) []string {
	at := make([]int, len(names))
	for i := range at {
		at[i] = i
	}
	slices.SortStableFunc(at, func(a, b int) int {
		switch {
		case values[a] > values[b]:
			return -1
		case values[a] < values[b]:
			return 1
		}
		return 0
	})
	sorted := make([]string, len(names))
	for i, j := range at {
		sorted[i] = names[j]
	}
	return sorted
}

// tooClose says whether two of the values differ by less than a share of the
// larger: their order would hang on rounding.
func tooClose(values []float64, share float64) bool {
	for i, v := range values {
		for _, w := range values[:i] {
			if abs := max(v-w, w-v); abs < share*max(v, w) {
				return true
			}
		}
	}
	return false
}

func buildDropFromFlow(d *Draw, s *Sheet) {
	if d.Level == 3 {
		buildLessFlow(d, s)
		return
	}
	load, flow, drop, reading := loadUnit(d), flowUnit(d), dropUnit(d), readingUnit(d)
	place := One(d, "a row house", "a two-story house", "a small workshop", "a village library", "an apartment over a bakery")
	factor, factorUnit := heatFactor(d)
	dT := Native(d, d.Between(9, 34, 1), d.Between(6, 20, 0.5))
	f := Native(d, d.Between(2, 10, 0.5), d.Between(0.15, 0.7, 0.05))
	// A load as it would stand on a plan, near the drawn drop.
	Q := Native(d, float64(int(factor*f*dT/1000+0.5))*1000, float64(int(factor*f*dT*2+0.5))/2)
	mean := Native(d, quantity.Celsius((160-32)/1.8), quantity.Celsius(65))
	if Q > largestHouse(d) {
		s.Reject("more heat than such a building takes")
		return
	}

	if d.Level == 1 {
		s.Statement("The rooms of " + place + " take {Q} from a circuit that moves {f}. By how much does the water cool on its way round?")
	} else {
		s.Statement("The boiler of " + place + " sends {f} of water out at {T_s}. The rooms take {Q} from it. At what temperature does the water come back?")
	}
	s.Given("Q", "heat taken", Q, load)
	s.Given("f", "flow", f, flow)
	if d.Level == 2 {
		s.Given("T_s", "supply temperature", Native(d, d.Between(140, 190, 5), d.Between(55, 85, 5)), reading)
	}
	s.Looked("k", "heat carried per unit of flow and degree", factor, factorUnit, "common practice")
	drawn := s.Step("dT", "Temperature drop", "Q / (k * f)", drop, "The heat taken is shared by all the flow; each unit of it gives a fixed heat per degree.")
	if d.Level == 1 {
		s.Ask("drop", "Temperature drop", "dT", ToleranceHeat)
		s.Slip("drop-no-factor", "dT", "Q / f", "The factor is missing: a unit of flow carries {k}, so divide by that too.")
		s.Slip("drop-upside-down", "dT", "k * f / Q", "The fraction is upside down: more heat from the same flow is a larger drop.")
		if d.US() {
			s.Slip("flow-minute-lost", "dT", "Q / (8.33 * f)", "You used the pounds in a gallon and left out the 60 minutes in an hour.")
			s.MaySlip("flow-ton-rule", "dT", "20", "20 °F is the customary drop, not the one that this load and flow make.")
		} else {
			s.Slip("flow-per-hour", "dT", "Q / (1.16 * f)", "The 1.16 goes with watts and liters per hour. With kW and L/s the factor is 4.19.")
		}
	} else {
		s.Step("T_r", "Return temperature", "T_s - dT", reading, "The rooms have taken their heat, so the water comes back cooler by the drop.")
		s.Ask("return", "Return temperature", "T_r", ToleranceReading)
		s.Slip("drop-added", "T_r", "T_s + dT", "In heating the return is cooler than the supply: subtract the drop.")
		s.Slip("mean-for-return", "T_r", "T_s - dT / 2", "That is the mean temperature. The return has lost the whole drop.")
		s.MaySlip("drop-for-return", "T_r", "dT", "That is the drop. The return is the supply less the drop.")
		s.MaySlip("flow-ton-rule", "dT", Native(d, "20", "10"), Native(d, "20 °F is the customary drop, not the one that this load and flow make.", "10 K is the customary drop, not the one that this load and flow make."))
		mean = meanOf(s.Quantity("T_s"), s.Quantity("T_r"))
	}
	k, err := engineHeatFactor(d, mean)
	if err != nil {
		s.Reject(err.Error())
		return
	}
	compareFactor(d, s, quantity.Of(drawn, drop), quantity.Of(drawn*factor/k, drop), mean)
	s.Source(sourceHeat)
	s.Caution(cautionHot)
}

// buildLessFlow asks what a smaller flow does to drop, return and radiators.
func buildLessFlow(d *Draw, s *Sheet) {
	flow, drop, reading := flowUnit(d), dropUnit(d), readingUnit(d)
	place := One(d, "a guest house", "a row house", "a small workshop", "a village library")
	why := One(d, "A clogged strainer", "A replacement circulator that is a size too small", "A half-closed valve")
	supply := Native(d, d.Between(160, 190, 5), d.Between(65, 85, 5))
	dT1 := Native(d, d.Between(10, 22, 1), d.Between(6, 12, 1))
	f1 := Native(d, d.Between(4, 12, 1), d.Between(0.3, 0.8, 0.05))
	f2 := Native(d, float64(int(f1*d.Between(0.45, 0.75, 0.05)*2+0.5))/2, float64(int(f1*d.Between(0.45, 0.75, 0.05)*100+0.5))/100)
	s.Statement("The heating of " + place + " used to run with {f_1}, {T_s} out and {T_1} back. " + why + " has brought the flow down to {f_2}. The rooms still need the same heat and the boiler still sends {T_s}. What drop would carry that heat now, what return goes with it, and will the radiators give it?")
	s.Given("f_1", "flow before", f1, flow)
	s.Given("f_2", "flow now", f2, flow)
	s.Given("T_s", "supply temperature", supply, reading)
	s.Given("T_1", "return temperature before", supply-dT1, reading)
	s.Step("dT_1", "Drop before", "T_s - T_1", drop, "The heat needed shows in the old drop at the old flow.")
	s.Step("dT_2", "Drop wanted now", "dT_1 * f_1 / f_2", drop, "For the same heat, flow times drop stays the same: less flow needs more drop.")
	s.Step("T_2", "Return wanted now", "T_s - dT_2", reading, "The new drop is taken from the same supply.")
	s.Step("T_m1", "Mean water temperature before", "(T_s + T_1) / 2", reading, "A radiator works with the mean of the water that passes it.")
	s.Step("T_m2", "Mean water temperature with the new drop", "(T_s + T_2) / 2", reading, "A lower return pulls the mean down although the supply is unchanged.")
	s.Ask("drop", "Drop that would carry the same heat", "dT_2", ToleranceHeat)
	s.Ask("return", "Return temperature that goes with it", "T_2", ToleranceReading)
	picks := []Pick{
		{ID: "a-little-less", Text: "A little less than before: their mean water temperature falls."},
		{ID: "same", Text: "The same: the drop has grown, so the heat is the same.", Slip: "flow-no-effect",
			Say: "The water could carry it, but the radiators see a mean of {T_m2} instead of {T_m1}, and cooler water gives less."},
		{ID: "in-proportion", Text: "Less in proportion to the flow.", Slip: "output-follows-flow",
			Say: "A radiator goes by its mean water temperature, which falls only from {T_m1} to {T_m2}. Its output falls much less than the flow."},
	}
	s.Choose("output", "With the same supply and the smaller flow, how much heat will the radiators give?", "a-little-less", "T_m2",
		"Compare the mean water temperatures before and now.", shuffled(d, picks)...)

	s.Slip("drop-inverse", "dT_2", "dT_1 * f_2 / f_1", "Less flow has to cool further to give up the same heat: the ratio goes the other way.")
	s.Slip("drop-unchanged", "dT_2", "dT_1", "With less flow the old drop would carry less heat.")
	s.MaySlip("drop-squared", "dT_2", "dT_1 * pow(f_1 / f_2, 2)", "The square belongs to head. Heat goes with flow times drop, so the drop goes simply with the ratio.")
	s.Slip("drop-added", "T_2", "T_s + dT_2", "In heating the return is cooler than the supply: subtract the drop.")
	s.Source("q = m·cp·ΔT at equal heat; radiator output by mean water temperature as in EN 442-2")
	s.Caution(cautionHot)
}

// shuffled puts the options of a choice in a drawn order.
func shuffled(d *Draw, picks []Pick) []Pick {
	mixed := make([]Pick, len(picks))
	for i, j := range d.Shuffle(len(picks)) {
		mixed[i] = picks[j]
	}
	return mixed
}
