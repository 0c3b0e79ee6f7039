package exercises

// toleranceMixFlow is for a flow worked out of three thermometers.
var toleranceMixFlow = Tolerance{Rel: 0.03, Why: "The temperatures are given exactly here; 3 % covers rounding of the ratio. On the job, three thermometers are no closer than about 5 % together."}

const sourceMix = "Balance of mass and energy at a tee, with equal density and specific heat in all streams"

func buildMixedStreams(d *Draw, s *Sheet) {
	switch d.Level {
	case 1:
		buildTwoStreams(d, s)
	case 2:
		buildMixingFlow(d, s)
	default:
		buildThreeReturns(d, s)
	}
	s.Source(sourceMix)
	s.Caution(cautionHot)
}

func buildTwoStreams(d *Draw, s *Sheet) {
	flow, reading := flowUnit(d), readingUnit(d)
	hot := Native(d, d.Between(150, 185, 1), d.Between(60, 82, 1))
	cool := Native(d, d.Between(90, 130, 1), d.Between(30, 50, 1))
	f1, f2 := Native(d, d.Between(2, 12, 0.5), d.Between(0.15, 0.8, 0.05)), Native(d, d.Between(2, 12, 0.5), d.Between(0.15, 0.8, 0.05))
	s.Statement(One(d,
		"The return of the radiators, {f_1} at {T_1}, meets the return of a floor, {f_2} at {T_2}, ahead of the boiler. At what temperature does the boiler get its water?",
		"Two pipes join in a tee: {f_1} at {T_1} from the boiler and {f_2} at {T_2} from a bypass. What temperature leaves the tee?",
		"In a workshop the unit heaters send back {f_1} at {T_1} and the office floor {f_2} at {T_2}. Both join one return. What temperature does that return have?"))
	s.Given("f_1", "first flow", f1, flow)
	s.Given("T_1", "first temperature", hot, reading)
	s.Given("f_2", "second flow", f2, flow)
	s.Given("T_2", "second temperature", cool, reading)
	s.Step("f", "Flow after the tee", "f_1 + f_2", flow, "What goes into the tee comes out of it.")
	s.Step("T_m", "Mixed temperature", "(f_1 * T_1 + f_2 * T_2) / f", reading, "Each temperature counts by its flow: the larger stream pulls the mix its way.")
	s.Ask("mixed", "Mixed temperature", "T_m", ToleranceReading)
	s.Slip("mix-plain-average", "T_m", "(T_1 + T_2) / 2", "Weight each temperature by its flow; the larger stream pulls the mix its way.")
	s.Slip("mix-swapped-weights", "T_m", "(f_2 * T_1 + f_1 * T_2) / f", "You gave each temperature the other stream's flow; swap the weights.")
	s.Slip("mix-difference", "T_m", "T_1 - T_2", "The mix lies between the two temperatures. Their difference is no temperature of water here.")
}

func buildMixingFlow(d *Draw, s *Sheet) {
	flow, reading := flowUnit(d), readingUnit(d)
	hot := Native(d, d.Between(150, 180, 5), d.Between(60, 80, 1))
	wanted := Native(d, d.Between(100, 125, 1), d.Between(36, 50, 1))
	back := wanted - Native(d, d.Between(9, 18, 1), d.Between(5, 9, 1))
	total := Native(d, d.Between(3, 12, 0.5), d.Between(0.2, 0.8, 0.05))
	s.Statement("A heated floor in " + One(d, "a guest house", "a small clinic", "a kindergarten", "a workshop") + " takes {f} at {T_m} and sends it back at {T_r}. A mixing valve makes that temperature from boiler water at {T_h} and the floor's own return. How much boiler water must it let in, and how much return goes round again?")
	s.Given("f", "flow to the floor", total, flow)
	s.Given("T_m", "temperature to the floor", wanted, reading)
	s.Given("T_r", "return temperature", back, reading)
	s.Given("T_h", "boiler temperature", hot, reading)
	s.Step("f_h", "Boiler water let in", "f * (T_m - T_r) / (T_h - T_r)", flow, "The boiler water must lift the mix above the return; its share is the lift wanted over the lift it could give.")
	s.Step("f_r", "Return that goes round again", "f - f_h", flow, "What the valve does not take from the boiler it takes from the return.")
	s.Ask("hot", "Boiler water that the valve lets in", "f_h", toleranceMixFlow)
	s.Ask("again", "Return that goes round again", "f_r", toleranceMixFlow)
	s.MaySlip("mix-share-swapped", "f_h", "f * (T_h - T_m) / (T_h - T_r)", "That is the return's share. The boiler's share is the one that lifts the mix above the return.")
	s.Slip("mix-ratio-of-readings", "f_h", "f * T_m / T_h", "Readings have no ratio: count each temperature from the return.")
	s.Slip("mix-lift-over-boiler", "f_h", "f * (T_m - T_r) / T_h", "The boiler water gives only what lies above the return: divide by boiler minus return.")
	s.MaySlip("mix-half", "f_h", "f / 2", "Half and half would give the plain average of the two temperatures.")
	s.Caution("A floor loop needs a limit of its own: a failed mixing valve can send boiler water into it, which hurts feet, floor and tube. Follow the tube maker's limit and the local code.")
}

func buildThreeReturns(d *Draw, s *Sheet) {
	flow, reading, load, drop := flowUnit(d), readingUnit(d), loadUnit(d), dropUnit(d)
	factor, factorUnit := heatFactor(d)
	supply := Native(d, d.Between(150, 180, 5), d.Between(65, 82, 1))
	f1, f2, f3 := Native(d, d.Between(3, 9, 0.5), d.Between(0.2, 0.6, 0.05)), Native(d, d.Between(1.5, 6, 0.5), d.Between(0.1, 0.4, 0.05)), Native(d, d.Between(2, 7, 0.5), d.Between(0.15, 0.45, 0.05))
	T1 := supply - Native(d, d.Between(12, 25, 1), d.Between(6, 14, 1))
	T2 := Native(d, d.Between(84, 105, 1), d.Between(28, 40, 1))
	dT3 := Native(d, d.Between(15, 40, 1), d.Between(8, 22, 1))
	Q3 := Native(d, float64(int(factor*f3*dT3/1000+0.5))*1000, float64(int(factor*f3*dT3*2+0.5))/2)
	limit := Native(d, 130.0, 54)
	s.Statement("Three returns meet ahead of a cast-iron boiler in " + One(d, "a parish hall", "a guest house", "a former school") + ": radiators {f_1} at {T_1}, a floor {f_2} at {T_2}, and a fan coil that takes {Q_3} from {f_3} of water sent out at {T_s}. At what temperature does the fan coil's water come back, and what does the boiler get?")
	s.Given("f_1", "flow of the radiators", f1, flow)
	s.Given("T_1", "return of the radiators", T1, reading)
	s.Given("f_2", "flow of the floor", f2, flow)
	s.Given("T_2", "return of the floor", T2, reading)
	s.Given("Q_3", "heat of the fan coil", Q3, load)
	s.Given("f_3", "flow of the fan coil", f3, flow)
	s.Given("T_s", "supply temperature", supply, reading)
	s.Looked("k", "heat carried per unit of flow and degree", factor, factorUnit, "common practice")
	s.Looked("T_l", "lowest return of a cast-iron boiler on natural gas", limit, reading, "common practice; the boiler maker's own limit rules")
	s.Step("dT_3", "Drop in the fan coil", "Q_3 / (k * f_3)", drop, "Its heat and its own flow give its drop.")
	s.Step("T_3", "Return of the fan coil", "T_s - dT_3", reading, "It comes back cooler than the supply by its drop.")
	s.Step("f", "Flow of all three", "f_1 + f_2 + f_3", flow, "Flows that join add up.")
	T := s.Step("T_b", "Return to the boiler", "(f_1 * T_1 + f_2 * T_2 + f_3 * T_3) / f", reading, "Each return counts by its flow.")
	s.Ask("coil", "Return of the fan coil", "T_3", ToleranceReading)
	s.Ask("boiler", "Return to the boiler", "T_b", ToleranceReading)

	gap := Native(d, 3.0, 2)
	if max(T-limit, limit-T) < gap {
		s.Reject("the return is too close to the limit to judge")
		return
	}
	right, wrong, slip := "protect", "safe", "condensing-overlooked"
	say := "The boiler gets {T_b}, below the customary limit of {T_l}: flue gas would condense on its iron."
	if T > limit {
		right, wrong, slip = "safe", "protect", "return-judged-unmixed"
		say = "The boiler gets {T_b}, above the customary limit of {T_l}. One cool return does not matter once it is mixed."
	}
	texts := map[string]string{
		"protect": "Yes: below {T_l} flue gas would condense in it, so the return must be lifted.",
		"safe":    "No: the mix is above {T_l}, although the floor comes back cooler.",
	}
	s.Choose("protect", "Does this boiler need its return lifted while it runs like this?", right, "T_b", "Compare the mixed return with the customary limit of {T_l}.", shuffled(d, []Pick{
		{ID: right, Text: texts[right]},
		{ID: wrong, Text: texts[wrong], Slip: slip, Say: say},
	})...)

	s.Slip("mix-plain-average", "T_b", "(T_1 + T_2 + T_3) / 3", "Weight each return by its flow; the largest stream pulls the mix its way.")
	s.Slip("drop-added", "T_3", "T_s + dT_3", "In heating the return is cooler than the supply: subtract the drop.")
	s.MaySlip("supply-for-return", "T_3", "T_s", "The fan coil has taken its heat: its water comes back cooler than the supply.")
	s.MaySlip("coil-left-out", "T_b", "(f_1 * T_1 + f_2 * T_2) / (f_1 + f_2)", "The third return is missing from the mix.")
	if !d.US() {
		s.MaySlip("flow-per-hour", "dT_3", "Q_3 / (1.16 * f_3)", "The 1.16 goes with watts and liters per hour. With kW and L/s the factor is 4.19.")
	}
	s.Source(sourceHeat)
	s.Caution("Flue gas that condenses in a boiler not made for it can corrode boiler and vent and let carbon monoxide into the building. The boiler maker's instructions and a licensed person decide.")
}
