package exercises

var plantFamilies = []*Family{
	{
		ID: "separator-mixing", Title: "What a hydraulic separator mixes", Skills: []string{"separator-mix"}, Lesson: LessonBoilers,
		Levels: [Levels]string{
			"Two flows and two temperatures: which way the separator flows, and what it mixes.",
			"The load is given: every temperature follows from it.",
			"Four thermometers and one flow: read the case back.",
		},
		Build: buildSeparator,
	},
	{
		ID: "mixing-valve", Title: "Shares of a three-way mixing valve", Skills: []string{"mix-ratio"}, Lesson: LessonBoilers,
		Levels: [Levels]string{
			"The share of the hot port from three temperatures.",
			"The return follows from the load, and the boiler sees it.",
			"Hot water for taps: the share, and what a stuck valve sends.",
		},
		Build: buildMixingValve,
	},
	{
		ID: "return-and-condensing", Title: "The return, condensing and fuel", Skills: []string{"condensing-return"}, Lesson: LessonBoilers,
		Levels: [Levels]string{
			"The return from load and flow, and the boiler's efficiency with it.",
			"A lower return: two efficiencies and the fuel saved.",
			"Mild weather with the water turned down: the return, and the fuel saved.",
		},
		Build: buildCondensing,
	},
	{
		ID: "one-pipe-or-two-pipe", Title: "One pipe or two", Skills: []string{"one-or-two-pipes"}, Lesson: LessonLoops,
		Levels: [Levels]string{
			"The mean water of the last room, in series and on two pipes.",
			"What emitter the last room needs on diverter tees and on two pipes.",
			"The emitters of all rooms together.",
		},
		Build: buildOneOrTwo,
	},
}

const (
	sourceSeparator = "A separator passes the difference of the two flows, from the side with more: balance of mass and energy; ASHRAE HVAC Systems and Equipment, hydronic chapter (from memory)"
	cautionBackflow = "Without check valves a separator lets water wander into a zone that should be off. What is piped how is for a licensed person to decide."
)

func buildSeparator(d *Draw, s *Sheet) {
	switch d.Level {
	case 1:
		buildSeparatorMix(d, s)
	case 2:
		buildSeparatorLoad(d, s)
	default:
		buildSeparatorReadings(d, s)
	}
	s.Source(sourceSeparator)
	s.Caution(cautionHot)
	s.Caution(cautionBackflow)
	s.Caution(cautionTraining)
}

func drawnSeparator(d *Draw) string {
	return One(d, "A hydraulic separator", "A pair of closely spaced tees")
}

// chooseDirection3 asks which way the water between the two circuits goes.
// moreSystem is above zero where the system moves more than the boiler, zero
// where both move the same.
func chooseDirection3(d *Draw, s *Sheet, moreSystem float64) {
	right := "return-to-supply"
	switch {
	case moreSystem < 0:
		right = "supply-to-return"
	case moreSystem == 0:
		right = "none"
	}
	texts := []Pick{
		{ID: "supply-to-return", Text: "From the supply side to the return side: the boiler moves more than the system takes."},
		{ID: "return-to-supply", Text: "From the return side to the supply side: the system takes more than the boiler moves."},
		{ID: "none", Text: "Neither way: both circuits move the same."},
	}
	for i := range texts {
		switch {
		case texts[i].ID == right:
		case texts[i].ID == "none":
			texts[i].Slip, texts[i].Say = "separator-still", "The two flows differ, and the difference has to go somewhere: it passes between the circuits."
		case right == "none":
			texts[i].Slip, texts[i].Say = "separator-always-flows", "Where both circuits move the same, nothing is left over to pass between them: each side keeps its temperature."
		default:
			texts[i].Slip, texts[i].Say = "common-direction", "The circuit that moves more sends its surplus across to its own other side."
		}
	}
	s.Choose("direction", "Which way does water pass between the two sides?", right, "", "Find which circuit moves more: what it has too much of must turn round between them.", shuffled(d, texts)...)
}

// unlikeFlows draws boiler flow and system flow, well apart.
func unlikeFlows(d *Draw, s *Sheet) (boiler, system float64) {
	boiler = Native(d, d.Between(4, 20, 0.5), d.Between(0.25, 1.3, 0.05))
	system = Native(d, d.Between(4, 20, 0.5), d.Between(0.25, 1.3, 0.05))
	if ratio := boiler / system; ratio > 0.74 && ratio < 1.35 || ratio < 0.4 || ratio > 2.5 {
		s.Reject("flows too much alike, or too far apart")
	}
	return boiler, system
}

func buildSeparatorMix(d *Draw, s *Sheet) {
	flow, reading := flowUnit(d), readingUnit(d)
	fp, fs := unlikeFlows(d, s)
	Tb := Native(d, d.Between(150, 185, 1), d.Between(62, 82, 1))
	Tr := Tb - Native(d, d.Between(20, 45, 1), d.Between(11, 25, 1))
	more := fs > fp
	ask := map[bool]string{true: "at what temperature does the system get its water?", false: "at what temperature does the boiler get its water back?"}[more]
	s.Statement(drawnSeparator(d) + " stands between the boiler and the heating of " + heatedBuilding(d) + ". The boiler side moves {f_p} and sends it at {T_b}. The system side moves {f_s} and sends it back at {T_r}. How much water passes between the two sides, which way, and " + ask)
	s.Given("f_p", "flow of the boiler side", fp, flow)
	s.Given("T_b", "water from the boiler", Tb, reading)
	s.Given("f_s", "flow of the system side", fs, flow)
	s.Given("T_r", "return of the system", Tr, reading)
	cross, mixed, because := "f_s - f_p", "(f_p * T_b + (f_s - f_p) * T_r) / f_s", "All of the boiler's water goes to the system, and the system's own return makes up the rest of its flow."
	label, alone, aloneSay := "Supply of the system", "T_b", "The system takes more than the boiler sends, so its own return is mixed in: the supply is cooler."
	if !more {
		cross, mixed, because = "f_p - f_s", "(f_s * T_r + (f_p - f_s) * T_b) / f_p", "All of the system's return goes to the boiler, and the surplus of hot water makes up the rest of its flow."
		label, alone, aloneSay = "Return of the boiler", "T_r", "The boiler moves more than the system takes, so hot water turns round and is mixed into its return."
	}
	s.Step("f_x", "Water that passes between the sides", cross, flow, "What comes in on one side must leave on that side: the surplus of the larger flow turns round.")
	T := s.Step("T_m", label, mixed, reading, because)
	if Tb-T < Native(d, 4.5, 4) || T-Tr < Native(d, 4.5, 4) {
		s.Reject("a mix too near one of its streams")
		return
	}
	s.Ask("across", "Water that passes between the two sides", "f_x", ToleranceExact)
	s.Ask("mixed", label, "T_m", ToleranceReading)
	chooseDirection3(d, s, fs-fp)
	s.Slip("common-sum", "f_x", "f_p + f_s", "Between the sides passes the difference of the two flows, not their sum.")
	s.Slip("separator-no-mixing", "T_m", alone, aloneSay)
	s.MaySlip("mix-plain-average", "T_m", "(T_b + T_r) / 2", "Weight each temperature by its flow; the larger stream pulls the mix its way.")
	if more {
		s.MaySlip("mix-swapped-weights", "T_m", "((f_s - f_p) * T_b + f_p * T_r) / f_s", "You gave each temperature the other stream's flow; swap the weights.")
		s.MaySlip("mix-whole-flows", "T_m", "(f_p * T_b + f_s * T_r) / (f_p + f_s)", "Only the difference of the flows comes over from the return; the rest of it goes to the boiler.")
	} else {
		s.MaySlip("mix-swapped-weights", "T_m", "(f_s * T_b + (f_p - f_s) * T_r) / f_p", "You gave each temperature the other stream's flow; swap the weights.")
		s.MaySlip("mix-whole-flows", "T_m", "(f_p * T_b + f_s * T_r) / (f_p + f_s)", "Only the difference of the flows comes over from the supply; the rest of it goes to the system.")
	}
}

func buildSeparatorLoad(d *Draw, s *Sheet) {
	flow, reading, load, drop := flowUnit(d), readingUnit(d), loadUnit(d), dropUnit(d)
	factor, factorUnit := heatFactor(d)
	fp, fs := unlikeFlows(d, s)
	more := fs > fp
	dT := Native(d, d.Between(14, 40, 1), d.Between(8, 22, 1)) // of the smaller flow
	Q := Native(d, float64(int(factor*min(fp, fs)*dT/1000+0.5))*1000, float64(int(factor*min(fp, fs)*dT*2+0.5))/2)
	ask := map[bool]string{true: "and at what temperature does the system get its water?", false: "and at what temperature does the boiler get its water back?"}[more]
	s.Statement(drawnSeparator(d) + " joins the boiler side of " + heatedBuilding(d) + ", which moves {f_p}, to the system side, which moves {f_s}. The rooms take {Q}, and the boiler sends its water at {T_b}. Which way does water pass between the sides, at what temperature does the system's water come back, " + ask)
	s.Given("Q", "heat that the rooms take", Q, load)
	s.Given("f_p", "flow of the boiler side", fp, flow)
	s.Given("f_s", "flow of the system side", fs, flow)
	s.Given("T_b", "water from the boiler", Native(d, d.Between(150, 185, 1), d.Between(62, 82, 1)), reading)
	s.Looked("k", "heat carried per unit of flow and degree", factor, factorUnit, "common practice")
	s.Step("dT_p", "Drop on the boiler side", "Q / (k * f_p)", drop, "The same heat passes both sides: each drops by the heat over its own flow.")
	s.Step("dT_s", "Drop on the system side", "Q / (k * f_s)", drop, "The same heat passes both sides: each drops by the heat over its own flow.")
	label := "Supply of the system"
	if more {
		s.Step("T_r", "Return of the system", "T_b - dT_p", reading, "The boiler takes nothing but the system's return, so both come back at one temperature: the boiler's drop below its supply.")
		s.Step("T_m", label, "T_r + dT_s", reading, "The system's supply lies above its return by the system's own drop.")
	} else {
		label = "Return of the boiler"
		s.Step("T_r", "Return of the system", "T_b - dT_s", reading, "The system takes nothing but the boiler's water, so it gets it as it was sent, and drops by its own drop.")
		s.Step("T_m", label, "T_b - dT_p", reading, "The boiler's return lies below its supply by the boiler's own drop.")
	}
	s.Ask("return", "Return of the system", "T_r", ToleranceReading)
	s.Ask("mixed", label, "T_m", ToleranceReading)
	chooseDirection3(d, s, fs-fp)
	if more {
		s.MaySlip("separator-no-mixing", "T_m", "T_b", "The system takes more than the boiler sends, so its own return is mixed in: the supply is cooler.")
		s.MaySlip("drop-of-other-side", "T_r", "T_b - dT_s", "That would hold if the system got the boiler's water unmixed. The boiler's return is the system's return: take the boiler's drop.")
	} else {
		s.MaySlip("separator-no-mixing", "T_m", "T_r", "The boiler moves more than the system takes, so hot water turns round and is mixed into its return.")
		s.MaySlip("drop-of-other-side", "T_r", "T_b - dT_p", "The system drops by the heat over its own flow, not over the boiler's.")
	}
	s.MaySlip("drop-added", "T_r", "T_b + dT_s", "The rooms take heat: the return is cooler than the supply.")
	s.MaySlip("flows-added", "T_r", "T_b - Q / (k * (f_p + f_s))", "The heat passes each side in turn, over the flow of that side alone.")
	s.Source(sourceHeat)
}

func buildSeparatorReadings(d *Draw, s *Sheet) {
	flow, reading, load, drop := flowUnit(d), readingUnit(d), loadUnit(d), dropUnit(d)
	factor, factorUnit := heatFactor(d)
	dTp := Native(d, d.Between(10, 40, 1), d.Between(6, 22, 1))
	dTs := Native(d, d.Between(10, 40, 1), d.Between(6, 22, 1))
	if d.Int(1, 6) == 1 {
		dTs = dTp // both circuits move the same
	}
	if r := dTp / dTs; r != 1 && r > 0.74 && r < 1.35 || r < 0.4 || r > 2.5 {
		s.Reject("flows too much alike, or too far apart")
		return
	}
	Tb := Native(d, d.Between(150, 185, 1), d.Between(62, 82, 1))
	// The larger drop is the whole from boiler supply to system return; the
	// other side starts or ends inside it.
	Tsm, Tr, Trb := Tb, Tb-dTs, Tb-dTp
	if dTp > dTs { // the system moves more: its supply is mixed
		Tsm, Tr = Tb-dTp+dTs, Tb-dTp
	}
	s.Statement("Four thermometers sit at the separator of " + heatedBuilding(d) + ": {T_1} from the boiler, {T_2} back to the boiler, {T_3} out to the system and {T_4} back from it. A meter on the boiler side shows {f_p}. How much heat goes over, how much water moves on the system side, and which way does water pass between the sides?")
	s.Given("T_1", "from the boiler", Tb, reading)
	s.Given("T_2", "back to the boiler", Trb, reading)
	s.Given("T_3", "out to the system", Tsm, reading)
	s.Given("T_4", "back from the system", Tr, reading)
	s.Given("f_p", "flow of the boiler side", Native(d, d.Between(4, 20, 0.5), d.Between(0.25, 1.3, 0.05)), flow)
	s.Looked("k", "heat carried per unit of flow and degree", factor, factorUnit, "common practice")
	s.Step("dT_p", "Drop on the boiler side", "T_1 - T_2", drop, "What the boiler puts in shows between its own two pipes.")
	s.Step("dT_s", "Drop on the system side", "T_3 - T_4", drop, "What the rooms take shows between the system's two pipes.")
	s.Step("Q", "Heat that goes over", "k * f_p * dT_p", load, "The boiler side has a meter: its flow and its drop give the heat.")
	fs := s.Step("f_s", "Flow of the system side", "Q / (k * dT_s)", flow, "The same heat leaves on the system side, over its own drop.")
	if fs > Native(d, 26.0, 1.7) {
		s.Reject("more flow than such a building moves")
		return
	}
	s.Ask("heat", "Heat that goes over", "Q", ToleranceHeat)
	s.Ask("flow", "Flow of the system side", "f_s", ToleranceHeat)
	fp, _ := s.Value("f_p")
	chooseDirection3(d, s, map[bool]float64{true: 0, false: fs - fp}[dTp == dTs])
	picks := []Pick{
		{ID: "cool-supply", Text: "The rooms get cooler water than the boiler sends."},
		{ID: "warm-return", Text: "The boiler gets its water back warmer than the rooms send it."},
		{ID: "neither", Text: "Neither: each side gets the other's water as it was sent."},
	}
	right := "neither"
	if dTp > dTs {
		right = "cool-supply"
	} else if dTp < dTs {
		right = "warm-return"
	}
	for i := range picks {
		if picks[i].ID != right {
			picks[i].Slip, picks[i].Say = "separator-effect", "Compare the two supply thermometers, then the two return thermometers: only one pair can differ."
		}
	}
	s.Choose("effect", "What does this do to the system?", right, "", "Compare the two supplies, and then the two returns.", shuffled(d, picks)...)
	s.Slip("load-no-factor", "Q", "f_p * dT_p", "The factor is missing: a unit of flow carries {k}.")
	s.MaySlip("whole-span-for-drop", "dT_p", "T_1 - T_4", "That mixes the two sides. The boiler's drop lies between the boiler's own pipes.")
	s.MaySlip("whole-span-for-drop", "dT_s", "T_1 - T_4", "That mixes the two sides. The system's drop lies between the system's own pipes.")
	s.MaySlip("separator-equal-flows", "f_s", "f_p", "The drops differ, so the flows do: a separator lets each side move its own.")
	s.MaySlip("flow-ratio-inverse", "f_s", "f_p * dT_s / dT_p", "The larger drop goes with the smaller flow: the ratio is the other way round.")
	if !d.US() {
		s.MaySlip("load-per-hour", "Q", "1.16 * f_p * dT_p", "The 1.16 goes with liters per hour and gives watts. With L/s and kW the factor is 4.19.")
	}
	s.Source(sourceHeat)
}
