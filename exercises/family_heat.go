package exercises

import (
	"loopwright/grader/fluid"
	"loopwright/grader/quantity"
)

var heatFamilies = []*Family{
	{
		ID: "flow-from-load", Title: "Flow from a heat load", Skills: []string{"flow-from-load"}, Lesson: LessonHeat,
		Levels: [Levels]string{
			"Load and drop are given.",
			"Supply and return temperatures are given instead of the drop.",
			"Several rooms share the flow, in mixed units.",
		},
		Build: buildFlowFromLoad,
	},
	{
		ID: "load-from-flow", Title: "Heat that a flow delivers", Skills: []string{"load-from-flow"}, Lesson: LessonHeat,
		Levels: [Levels]string{
			"Flow and drop are given.",
			"The flow comes from a meter and a clock, the drop from two thermometers.",
			"Three circuits: put them in order by heat, then add them up.",
		},
		Build: buildLoadFromFlow,
	},
	{
		ID: "drop-from-flow", Title: "Temperature drop and return", Skills: []string{"drop-from-flow"}, Lesson: LessonHeat,
		Levels: [Levels]string{
			"Find the drop from load and flow.",
			"Find the return temperature.",
			"The flow changes: new drop, new return, and what the radiators make of it.",
		},
		Build: buildDropFromFlow,
	},
	{
		ID: "where-500-stops", Title: "Where the rounded factor stops", Skills: []string{"water-factor"}, Lesson: LessonHeat,
		Levels: [Levels]string{
			"The factor at one temperature, and which way the rounded one errs.",
			"The right row of a table, and the error in percent.",
			"A flow meter in one pipe: which water it counts.",
		},
		Build: buildWhere500Stops,
	},
	{
		ID: "mixed-streams", Title: "Two streams that mix", Skills: []string{"mix-two-streams"}, Lesson: LessonHeat,
		Levels: [Levels]string{
			"Two flows and two temperatures are given.",
			"The mixed temperature is wanted: find the flow that makes it.",
			"Three returns meet before a boiler that must not run cold.",
		},
		Build: buildMixedStreams,
	},
}

// heatFactor is what one unit of flow carries for each degree, as the trade
// uses it: 500 BTU/h per gpm·°F, 4.19 kW per L/s·K. Derived in the tests of
// package fluid.
func heatFactor(d *Draw) (factor float64, unit *quantity.Unit) {
	return Native(d, 500.0, 4.19), Native(d, quantity.BTUPerHourGPMDegree, quantity.KilowattPerLiterSecondKelvin)
}

// engineHeatFactor is the same from the properties of water at one
// temperature, in the learner's units.
func engineHeatFactor(d *Draw, t quantity.Celsius) (float64, error) {
	w, err := fluid.Water(t)
	if err != nil {
		return 0, err
	}
	return Native(d, quantity.BTUPerHourGPMDegree, quantity.KilowattPerLiterSecondKelvin).FromSI(w.Density * w.SpecificHeat), nil
}

const sourceHeat = "q = m·cp·ΔT with water at IAPWS R7-97(2012); the rounded factors 500 and 4.19 are common practice"

const cautionHot = "Water at these temperatures scalds. Let a system cool and relieve its pressure before opening it."

func buildFlowFromLoad(d *Draw, s *Sheet) {
	load, flow, drop, reading := loadUnit(d), flowUnit(d), dropUnit(d), readingUnit(d)
	building := One(d, "a small workshop", "a row house", "a two-story house", "a village library", "a bakery with a flat above")
	factor, factorUnit := heatFactor(d)

	switch d.Level {
	case 1:
		s.Statement(Capital(building) + " loses {Q} on a design day. The water is to cool by {dT} on its way through the system. What flow carries this heat?")
		s.Given("Q", "heat load", Native(d, d.Between(25, 80, 5)*1000, d.Between(6, 24, 1)), load)
		s.Given("dT", "temperature drop", Native(d, One(d, 10.0, 15, 25, 30, 40), One(d, 8.0, 10, 12, 15, 20)), drop)
		s.Looked("k", "heat carried per unit of flow and degree", factor, factorUnit, "common practice")
	default:
		supply := Native(d, d.Between(140, 190, 5), d.Between(55, 85, 5))
		dT := Native(d, One(d, 12.0, 16, 24, 28, 32), One(d, 8.0, 12, 14, 16))
		if d.Level == 2 {
			s.Statement("The boiler of " + building + " sends out water at {T_s} and takes it back at {T_r}. The load is {Q}. What flow carries this heat?")
			s.Given("Q", "heat load", Native(d, d.Between(25, 80, 5)*1000, d.Between(6, 24, 1)), load)
		} else {
			s.Statement("In " + building + " one loop feeds three rooms that lose {Q_1}, {Q_2} and {Q_3}. The loop leaves at {T_s} and is to come back at {T_r}. What flow does the loop need?")
			s.Given("Q_1", "first room", Native(d, d.Between(6, 16, 1)*1000, d.Between(1.5, 5, 0.5)), load)
			s.Given("Q_2", "second room", Native(d, d.Between(4, 12, 0.5), d.Between(800, 3000, 100)), Native(d, quantity.ThousandBTUPerHour, quantity.Watt))
			s.Given("Q_3", "third room", Native(d, d.Between(5, 14, 1)*1000, d.Between(1, 4, 0.5)), load)
		}
		s.Given("T_s", "supply temperature", supply, reading)
		s.Given("T_r", "return temperature", supply-dT, reading)
		s.Looked("k", "heat carried per unit of flow and degree", factor, factorUnit, "common practice")
		if d.Level == 3 {
			s.Step("Q", "Load of the loop", Native(d, "Q_1 + 1000 * Q_2 + Q_3", "Q_1 + Q_2 / 1000 + Q_3"), load, "One flow serves all three rooms, so their loads add up, in one unit.")
		}
		s.Step("dT", "Temperature drop", "T_s - T_r", drop, "The flow works across the whole drop from supply to return.")
	}
	f := s.Step("f", "Flow", "Q / (k * dT)", flow, "Each unit of flow carries a fixed heat for each degree of drop.")
	s.Ask("flow", "Flow", "f", ToleranceHeat)

	s.Slip("flow-no-500", "f", "Q / dT", "The factor is missing: a unit of flow carries {k}, so divide by that too.")
	if d.US() {
		s.MaySlip("flow-minute-lost", "f", "Q / (8.33 * dT)", "You used the pounds in a gallon and left out the 60 minutes in an hour; the flow comes out sixty times too big.")
		s.MaySlip("flow-ton-rule", "f", "Q / 10000", "One gpm for 10,000 BTU/h holds only at a drop of 20 °F. Here it is {dT}.")
	} else {
		s.MaySlip("flow-per-hour", "f", "Q * 1000 / (1.16 * dT)", "With 1.16 and watts the answer is in liters per hour; divide by 3600 for L/s.")
	}
	if d.Level > 1 {
		s.Slip("flow-supply-temp", "dT", "T_s", "Divide by the drop across the circuit, not by the supply temperature.")
		s.MaySlip("flow-return-temp", "dT", "T_r", "Divide by the drop across the circuit, not by the return temperature.")
	}
	if d.Level == 3 {
		s.MaySlip("load-unit-mixed", "Q", "Q_1 + Q_2 + Q_3", "The second room's load is in another unit; bring all three into one before adding.")
	}

	// Where no temperature is given, a customary mean of the day.
	mean := Native(d, quantity.Celsius((160-32)/1.8), quantity.Celsius(65))
	if d.Level > 1 {
		mean = meanOf(s.Quantity("T_s"), s.Quantity("T_r"))
	}
	k, err := engineHeatFactor(d, mean)
	if err != nil {
		s.Reject(err.Error())
		return
	}
	Q, _ := s.Value("Q")
	dT, _ := s.Value("dT")
	compareFactor(d, s, quantity.Of(f, flow), quantity.Of(Q/(k*dT), flow), mean)
	s.Source(sourceHeat)
	s.Caution(cautionHot)
}

// meanOf is the temperature halfway between two readings.
func meanOf(a, b quantity.Quantity) quantity.Celsius { return quantity.Celsius((a.SI + b.SI) / 2) }

// compareFactor sets what the rounded factor says beside the same by the
// properties of water at the mean temperature.
func compareFactor(d *Draw, s *Sheet, rule, engine quantity.Quantity, mean quantity.Celsius) {
	s.Compare("factor-500", Native(d, "the factor 500", "the factor 4.19"), rule, engine,
		"Hot water is lighter than cold, so each unit of flow carries a little less heat than the rounded factor says. The full value takes a mean of "+
			quantity.FromSI(float64(mean), readingUnit(d)).Text()+".")
}
