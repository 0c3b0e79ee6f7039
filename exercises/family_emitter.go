package exercises

import (
	"errors"

	"loopwright/grader/emitter"
	"loopwright/grader/quantity"
)

var emitterFamilies = []*Family{
	{
		ID: "fin-tube-output", Title: "Fin-tube at another temperature", Skills: []string{"emitter-output"}, Lesson: LessonLoops,
		Levels: [Levels]string{
			"Output of a length at another mean water temperature.",
			"Supply and return are given; find the length for a room.",
			"Flow and the heating-effect allowance: what is credited, what leaves the water, how far it cools.",
		},
		Build: buildFinTubeOutput,
	},
	{
		ID: "radiator-output", Title: "Radiators at another temperature", Skills: []string{"emitter-output"}, Lesson: LessonLoops,
		Levels: [Levels]string{
			"Mean water and room temperature are given.",
			"The mean comes from supply and return, the rating from another condition.",
			"A plan with cooler water: output, the water temperature needed, and a verdict.",
		},
		Build: buildRadiatorOutput,
	},
}

const (
	sourceFinTube = "Output of fin-tube ∝ (water − air)^1.4: rounded from the temperature factors of the finned-tube rating convention (I=B=R / AHRI), from memory; entering air of 65 °F (18 °C) likewise"
	sourceEN442   = "EN 442-2, characteristic equation Φ = K_m·ΔT^n with the arithmetic mean excess; rated at 75/65/20 °C"
	sourceEDR     = "Equivalent direct radiation: 150 BTU/h per square foot at 170 °F mean water in a 70 °F room, and 240 on 215 °F steam, by trade definition (common practice); exponent 1.3 ± 0.1 of cast-iron radiators from a pump maker's public encyclopedia"
	sourceEffect  = "Heating-effect allowance of 15 %: ASHRAE Handbook HVAC Systems and Equipment (2016) p. 36.3, as quoted in a trade magazine column; flow^0.04: I=B=R convention, exponent from memory"
)

func perLengthUnit(d *Draw) *quantity.Unit {
	return Native(d, quantity.BTUPerHourFoot, quantity.WattPerMeter)
}

// roomLoadUnit is the unit in which one room's heat is written.
func roomLoadUnit(d *Draw) *quantity.Unit { return Native(d, quantity.BTUPerHour, quantity.Watt) }

// finTubeGivens records a demo element's rating and gives the numbers drawn.
func finTubeGivens(d *Draw, s *Sheet) (rated, ratedMean, air float64) {
	rated = Native(d, d.Between(540, 660, 10), d.Between(540, 680, 10))
	ratedMean, air = Native(d, 180.0, 85), Native(d, 65.0, 18)
	s.Given("q_r", "rated output of the demo element", rated, perLengthUnit(d))
	s.Given("T_r", "mean water temperature of the rating", ratedMean, readingUnit(d))
	s.Given("T_a", "air entering the element", air, readingUnit(d))
	s.Looked("n", "exponent of fin-tube", 1.4, quantity.One, "rounded from the I=B=R / AHRI temperature factors, from memory")
	return rated, ratedMean, air
}

// finTubeEngine is the same element as the engine knows it. The engine rates
// in air of 65 °F; a rating in other air is handed over by its excess.
func finTubeEngine(d *Draw, rated, ratedMean, air float64) (emitter.Element, error) {
	const engineAir = (65.0 - 32) / 1.8
	excess := dropUnit(d).ToSI(ratedMean - air)
	return emitter.FinTube(perLengthUnit(d).ToSI(rated), quantity.Celsius(engineAir+excess))
}

func buildFinTubeOutput(d *Draw, s *Sheet) {
	room := One(d, "a kitchen", "a bedroom", "a workroom", "a classroom", "a reading room")
	switch d.Level {
	case 1:
		buildFinTubeLength(d, s, room)
	case 2:
		buildLengthForRoom(d, s, room)
	default:
		buildFinTubeCredit(d, s, room)
	}
	s.Source(sourceFinTube)
	s.Caution(cautionHot)
}

const sayLinear = "Output falls faster than the difference between water and air: raise the ratio to the exponent {n}."

func buildFinTubeLength(d *Draw, s *Sheet, room string) {
	s.Statement("A demo fin-tube element gives {q_r} with mean water of {T_r} and air of {T_a}. In " + room + " stand {L} of it, and the mean water temperature is {T_m}. How much heat does it give?")
	rated, ratedMean, air := finTubeGivens(d, s)
	length := Native(d, d.Between(6, 24, 1), d.Between(2, 7, 0.5))
	mean := Native(d, d.Between(150, 168, 1), d.Between(66, 74, 1))
	s.Given("L", "finned length", length, lengthUnit(d))
	s.Given("T_m", "mean water temperature", mean, readingUnit(d))
	s.Step("F", "Temperature factor", "pow((T_m - T_a) / (T_r - T_a), n)", quantity.One, "What drives the heat is water over air; the output goes with a power of it.")
	s.Step("q", "Output per length", "q_r * F", perLengthUnit(d), "The rating holds at its own water temperature and is scaled to this one.")
	Q := s.Step("Q", "Heat", "q * L", roomLoadUnit(d), "Every "+Native(d, "foot", "meter")+" of fins counts alike at the mean temperature.")
	s.Ask("heat", "Heat from the element", "Q", ToleranceTable)
	s.MaySlip("convector-linear", "F", "(T_m - T_a) / (T_r - T_a)", sayLinear)
	s.MaySlip("convector-water-ratio", "F", "pow(T_m / T_r, n)", "Compare water less air, not water temperatures.")
	s.Slip("rating-unchanged", "F", "1", "The rating holds at {T_r} only; this water is cooler.")
	s.Slip("exponent-inverse", "F", "pow((T_r - T_a) / (T_m - T_a), n)", "Cooler water gives less heat: the new difference goes on top.")
	s.MaySlip("exponent-multiplied", "F", "n * (T_m - T_a) / (T_r - T_a)", "The exponent is a power, not a multiplier.")
	e, err := finTubeEngine(d, rated, ratedMean, air)
	if err != nil {
		s.Reject(err.Error())
		return
	}
	// At its rated flow; what the flow adds comes at level 3.
	heat := e.PerMeter(quantity.Celsius(readingUnit(d).ToSI(mean)), quantity.Celsius(readingUnit(d).ToSI(air)), emitter.FinTubeRatedCapacity) * lengthUnit(d).ToSI(length)
	rule := Native(d, 600.0, 575) * length
	s.Compare("baseboard-600", Native(d, "600 BTU/h per foot", "575 W per meter"), quantity.Of(rule, roomLoadUnit(d)), quantity.FromSI(heat, roomLoadUnit(d)),
		"The rule belongs to a mean of "+Native(d, "180 °F", "82 °C")+" and a middling element. With this water the element gives "+quantity.Of(Q/length, perLengthUnit(d)).Text()+".")
}

func buildLengthForRoom(d *Draw, s *Sheet, room string) {
	supply := Native(d, d.Between(160, 185, 1), d.Between(72, 84, 1))
	dT := Native(d, One(d, 10.0, 14, 16, 20), One(d, 6.0, 8, 10, 12))
	s.Statement(Capital(room) + " loses {Q}. A demo fin-tube element is to heat it; it gives {q_r} with mean water of {T_r} and air of {T_a}. Here the water comes in at {T_in} and goes out at {T_out}. What does a " + Native(d, "foot", "meter") + " of it give, and how much finned length does the room need?")
	finTubeGivens(d, s)
	s.Given("Q", "heat loss of the room", Native(d, d.Between(4000, 11000, 500), d.Between(1200, 3200, 100)), roomLoadUnit(d))
	s.Given("T_in", "water entering", supply, readingUnit(d))
	s.Given("T_out", "water leaving", supply-dT, readingUnit(d))
	mean := s.Step("T_m", "Mean water temperature", "(T_in + T_out) / 2", readingUnit(d), "The element gives by the water's average: hotter at its start, cooler at its end.")
	if low, high := Native(d, 150.0, 66), Native(d, 172.0, 76); mean < low || mean > high {
		s.Reject("outside the table, or too near the rating to tell a slip")
		return
	}
	s.Step("F", "Temperature factor", "pow((T_m - T_a) / (T_r - T_a), n)", quantity.One, "What drives the heat is water over air; the output goes with a power of it.")
	s.Step("q", "Output per length", "q_r * F", perLengthUnit(d), "The rating is scaled to this water.")
	s.Step("L", "Finned length", "Q / q", lengthUnit(d), "Enough length for the room's loss; on the job take the next size that is made.")
	s.Ask("output", "Output per length of the element", "q", ToleranceTable)
	s.Ask("length", "Finned length for the room, before rounding up", "L", ToleranceTable)
	s.MaySlip("baseboard-supply-temp", "T_m", "T_in", "Use the average of the water in the element; where it enters is its hottest point.")
	s.MaySlip("return-for-mean", "T_m", "T_out", "Use the average of the water in the element; where it leaves is its coolest point.")
	s.MaySlip("convector-linear", "F", "(T_m - T_a) / (T_r - T_a)", sayLinear)
	s.MaySlip("convector-water-ratio", "F", "pow(T_m / T_r, n)", "Compare water less air, not water temperatures.")
	s.MaySlip("rating-unchanged", "F", "1", "The rating holds at {T_r} only; this water is cooler.")
	s.Slip("length-multiplied", "L", "Q * q / 1000000", "The room's loss is shared by the length: divide by the output of one "+Native(d, "foot", "meter")+".")
}

func buildFinTubeCredit(d *Draw, s *Sheet, room string) {
	s.Statement("A loop passes {f} through {L} of a demo fin-tube element in " + room + ". Its data sheet says {q_r} at {f_r}, with mean water of {T_r} and air of {T_a}, the heating-effect allowance of {a} counted in. The mean water temperature is {T_m}. What output may the room be credited with, what heat leaves the water, and by how much does the water cool?")
	rated, ratedMean, air := finTubeGivens(d, s)
	length := Native(d, d.Between(8, 20, 1), d.Between(2.5, 6, 0.5))
	f := Native(d, One(d, 2, 2.5, 3, 3.5, 4), One(d, 0.12, 0.15, 0.18, 0.22, 0.25))
	mean := Native(d, d.Between(150, 175, 1), d.Between(66, 76, 1))
	factor, factorUnit := heatFactor(d)
	s.Given("L", "finned length", length, lengthUnit(d))
	s.Given("f", "flow of the loop", f, flowUnit(d))
	s.Given("f_r", "flow of the rating", Native(d, 1, 0.063), flowUnit(d))
	s.Given("T_m", "mean water temperature", mean, readingUnit(d))
	s.Looked("a", "heating-effect allowance", 15, quantity.Percent, "ASHRAE Handbook HVAC Systems and Equipment (2016) p. 36.3, as quoted in a trade column")
	s.Looked("m", "exponent of the flow", 0.04, quantity.One, "I=B=R convention, from memory")
	s.Looked("k", "heat carried per unit of flow and degree", factor, factorUnit, "common practice")
	s.Step("F", "Temperature factor", "pow((T_m - T_a) / (T_r - T_a), n)", quantity.One, "What drives the heat is water over air; the output goes with a power of it.")
	s.Step("G", "Flow factor", "pow(f / f_r, m)", quantity.One, "More flow stirs the water in the tube a little; the output rises only by a few percent.")
	s.Step("Q_c", "Output credited", "q_r * F * G * L", roomLoadUnit(d), "A data sheet's output is scaled by temperature and by flow.")
	s.Step("Q_w", "Heat that leaves the water", "Q_c / (1 + a / 100)", roomLoadUnit(d), "The allowance credits comfort along the floor; the water never lost that heat.")
	drop := s.Step("dT", "Drop of the water", Native(d, "Q_w / (k * f)", "Q_w / (1000 * k * f)"), dropUnit(d), "Only heat that leaves the water cools it.")
	if drop < Native(d, 2.0, 1.5) {
		s.Reject("a drop that no pipe thermometer shows")
		return
	}
	s.Ask("credited", "Output credited to the room", "Q_c", ToleranceTable)
	s.Ask("from-water", "Heat that leaves the water", "Q_w", ToleranceTable)
	s.Ask("drop", "Drop of the water in the element", "dT", ToleranceTable)
	s.Slip("rating-heating-effect", "Q_w", "Q_c * (1 + a / 100)", "The data sheet already counts the allowance in: divide to take it out, do not add it a second time.")
	s.MaySlip("allowance-left-in", "Q_w", "Q_c", "The allowance of {a} is comfort credited, not heat from the water: take it out.")
	s.Slip("flow-doubles-output", "G", "f / f_r", "Output does not go with the flow: raise the ratio of flows to {m}, which leaves a few percent.")
	s.MaySlip("convector-linear", "F", "(T_m - T_a) / (T_r - T_a)", sayLinear)
	s.MaySlip("convector-water-ratio", "F", "pow(T_m / T_r, n)", "Compare water less air, not water temperatures.")
	s.Slip("drop-no-factor", "dT", Native(d, "Q_w / f", "Q_w / (1000 * f)"), "The factor is missing: a unit of flow carries {k}.")

	e, errElement := finTubeEngine(d, rated, ratedMean, air)
	t := quantity.Celsius(readingUnit(d).ToSI(mean))
	k, errWater := engineHeatFactor(d, t)
	if err := errors.Join(errElement, errWater); err != nil {
		s.Reject(err.Error())
		return
	}
	capacity := flowUnit(d).ToSI(f) * factorUnit.ToSI(k)
	heat := e.PerMeter(t, quantity.Celsius(readingUnit(d).ToSI(air)), capacity) * lengthUnit(d).ToSI(length)
	s.Compare("baseboard-600", Native(d, "600 BTU/h per foot", "575 W per meter"), quantity.Of(Native(d, 600.0, 575)*length, roomLoadUnit(d)), quantity.FromSI(heat, roomLoadUnit(d)),
		"The rule belongs to a mean of "+Native(d, "180 °F", "82 °C")+" and a middling element, allowance counted in. The engine takes this element, this water and this flow.")
	s.Source(sourceEffect)
	s.Source(sourceHeat)
}
