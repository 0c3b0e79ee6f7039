package exercises

import (
	"math"

	"loopwright/grader/expansion"
	"loopwright/grader/quantity"
)

// toleranceGrowth is for the growth of water, worked or taken from a table.
var toleranceGrowth = Tolerance{Rel: 0.02, Why: "The growth is a small difference of two densities with four figures each: two percent forgives their rounding."}

const (
	sourceTank = "V = V_s·growth/(1 − P1/P2) for a diaphragm tank, V_s·growth/(Pa/P1 − Pa/P2) for a plain one, absolute pressures: ASHRAE HVAC Systems and Equipment, hydronic chapter"
	sourceGrow = "Net growth: water by IAPWS R7-97(2012), less three times the linear expansion of steel, 6.5e-6 per °F or 12e-6 per K (ASHRAE, as above)"
	// sourceBelowRelief: a valve begins to weep before its setting.
	sourceBelowRelief = "Highest pressure: 10 % below a relief valve of 30 psi, common practice; 0.5 bar below its setting, EN 12828 (from memory)"

	cautionTank = "A tank is charged with the system side relieved and empty, to no more than its plate allows. Never shut off a tank or a relief valve from the boiler."
)

func volumeUnit(d *Draw) *quantity.Unit { return Native(d, quantity.Gallon, quantity.Liter) }

// steelPerDegree is the linear expansion of steel per degree of the learner's
// scale.
func steelPerDegree(d *Draw) float64 { return Native(d, 6.5e-6, expansion.Steel) }

// growthFactor is steelPerDegree per kelvin.
func growthFactor(d *Draw) float64 { return Native(d, 6.5e-6*1.8, expansion.Steel) }

func buildExpansionTank(d *Draw, s *Sheet) {
	switch d.Level {
	case 1:
		buildTankFromGrowth(d, s)
	case 2:
		buildTankFromTable(d, s)
	default:
		buildTwoTanks(d, s)
	}
	s.Source(sourceTank)
	s.Source(sourceGrow)
	s.Caution(cautionTank)
	s.Caution(cautionPressure)
	s.Caution(cautionTraining)
}

func systemVolume(d *Draw) float64 { return Native(d, d.Between(30, 180, 5), d.Between(120, 700, 10)) }

// lookGrowth records the net growth between two temperatures, in percent.
func lookGrowth(d *Draw, s *Sheet, hot float64) {
	reading := readingUnit(d)
	g, err := expansion.NetGrowth(quantity.Celsius(reading.ToSI(coldFill(d))), quantity.Celsius(reading.ToSI(hot)), growthFactor(d))
	if err != nil {
		s.Reject(err.Error())
		return
	}
	s.Looked("e", "net growth in steel from "+degrees(d, coldFill(d))+" to "+degrees(d, hot), math.Round(1e4*g)/100, quantity.Percent, "IAPWS R7-97(2012), less the growth of steel pipe")
}

// atmosphere records the pressure of the air at sea level.
func atmosphere(d *Draw, s *Sheet) {
	s.Looked("p_a", "pressure of the air at sea level", Native(d, 14.7, 101.3), pressureUnit(d), "ISO 2533, rounded")
}

const (
	becauseGrown    = "What the water outgrows its pipes by is a share of all the water in the system."
	becauseAbsolute = "The air in the tank counts pressure from nothing, not from the atmosphere: add the air's own."
	becauseSealed   = "The tank holds the grown water and the squeezed air. Of its volume the water takes one less the ratio of the two pressures."
)

// absoluteSteps turns fill and highest pressure into absolute ones.
func absoluteSteps(d *Draw, s *Sheet) {
	s.Step("P_1", "Fill pressure, absolute", "p_f + p_a", pressureUnit(d), becauseAbsolute)
	s.Step("P_2", "Highest pressure, absolute", "p_h + p_a", pressureUnit(d), becauseAbsolute)
}

// sealedTank records a diaphragm tank as V_t and its slips.
func sealedTank(d *Draw, s *Sheet) float64 {
	v := s.Step("V_t", "Volume of the diaphragm tank", "V_e / (1 - P_1 / P_2)", volumeUnit(d), becauseSealed)
	s.Ask("tank", "Least volume of the diaphragm tank", "V_t", ToleranceTable)
	s.Slip("tank-gauge-pressure", "V_t", "V_e / (1 - p_f / p_h)", "The gas law counts pressure from nothing: add the {p_a} of the air to both.")
	s.Slip("tank-volume-as-size", "V_t", "V_e", "That is only the water it takes in. The squeezed air needs its room too.")
	s.Slip("tank-ratio-times", "V_t", "V_e * (1 - P_1 / P_2)", "The tank is larger than the water it takes in: divide by the share, do not multiply.")
	s.MaySlip("tank-four-percent", "e", "4", "Four percent is for water near boiling. Take the growth up to this temperature.")
	return v
}

func choosePrecharge(d *Draw, s *Sheet) {
	s.Choose("charge", "To what pressure is the tank charged with air, and when?", "fill-empty", "", "Ask at what pressure its air must just begin to give way.", shuffled(d, []Pick{
		{ID: "fill-empty", Text: "To the cold fill pressure at the tank, while it holds no water and the system side is relieved."},
		{ID: "hot", Text: "To the highest pressure, with the system hot.", Slip: "precharge-hot",
			Say: "Then the water cannot enter until that pressure is reached, and the relief valve opens first. Charge it to the cold fill pressure."},
		{ID: "fill-joined", Text: "To the fill pressure, read while the tank is joined to the full system.", Slip: "precharge-under-water",
			Say: "Then the gauge shows the system's pressure through the diaphragm, whatever air is left. Read it with the water side empty."},
		{ID: "none", Text: "It needs none: the water brings its own pressure.", Slip: "precharge-none",
			Say: "Without a charge the fill already squeezes the air into a corner, and little room is left for the growth."},
	})...)
}

// sensibleTank throws away tanks that nobody would fit.
func sensibleTank(d *Draw, s *Sheet, v, system float64) bool {
	if v > 0.4*system || v < 0.03*system {
		s.Reject("a tank too small or too large for the system")
		return false
	}
	return true
}

func buildTankFromGrowth(d *Draw, s *Sheet) {
	press, volume := pressureUnit(d), volumeUnit(d)
	s.Statement("The heating of " + heatedBuilding(d) + " holds {V_s} of water. It is filled cold to {p_f}, and its pressure must never pass {p_h} at the tank. From the cold fill to its hottest the water outgrows its steel pipes by {e}. How much water must a diaphragm tank take in, and how large must it be at least?")
	V := systemVolume(d)
	s.Given("V_s", "water in the system", V, volume)
	s.Given("p_f", "cold fill pressure at the tank", Native(d, d.Between(10, 17, 1), d.Between(80, 140, 10)), press)
	s.Given("p_h", "highest pressure at the tank", Native(d, d.Between(24, 27, 1), d.Between(200, 250, 10)), press)
	lookGrowth(d, s, Native(d, d.Between(150, 200, 10), d.Between(65, 90, 5)))
	atmosphere(d, s)
	s.Step("V_e", "Water that the tank takes in", "V_s * e / 100", volume, becauseGrown)
	absoluteSteps(d, s)
	s.Ask("growth", "Water that the tank takes in", "V_e", toleranceGrowth)
	v := sealedTank(d, s)
	if !sensibleTank(d, s, v, V) {
		return
	}
	s.MaySlip("percent-as-number", "V_e", "V_s * e", "The growth is in percent: divide by 100.")
	choosePrecharge(d, s)
}

func buildTankFromTable(d *Draw, s *Sheet) {
	press, volume := pressureUnit(d), volumeUnit(d)
	s.Statement("The heating of " + heatedBuilding(d) + " holds {V_s} of water in steel pipe and iron. It is filled at {T_c} to {p_f} and runs up to {T_h}. The relief valve is set to {p_v}; custom stays {m} below it. How much water must a diaphragm tank take in, and how large must it be at least?")
	V := systemVolume(d)
	cold, hot := coldFill(d), Native(d, d.Between(160, 210, 10), d.Between(70, 95, 5))
	s.Given("V_s", "water in the system", V, volume)
	s.Given("T_c", "temperature of the fill", cold, readingUnit(d))
	s.Given("T_h", "hottest water", hot, readingUnit(d))
	s.Given("p_f", "cold fill pressure at the tank", Native(d, d.Between(10, 17, 1), d.Between(80, 150, 10)), press)
	s.Given("p_v", "setting of the relief valve", Native(d, 30.0, One(d, 250.0, 300)), press)
	s.Looked("m", "distance from the relief setting", Native(d, 3.0, 50), press, Native(d, "10 % of 30 psi, common practice", "EN 12828 (from memory)"))
	rhoCold, _ := waterTable(d, s, cold)
	rhoHot, _ := waterTable(d, s, hot)
	s.Looked("rho_c", "density at "+degrees(d, cold), rhoCold, densityUnit(d), sourceWaterTable)
	s.Looked("rho_h", "density at "+degrees(d, hot), rhoHot, densityUnit(d), sourceWaterTable)
	s.Looked("a", "linear expansion of steel, per degree", steelPerDegree(d), quantity.One, Native(d, "ASHRAE hydronic chapter", "12e-6 per K, from 6.5e-6 per °F in ASHRAE's hydronic chapter"))
	atmosphere(d, s)
	s.Step("dT", "Warming", "T_h - T_c", dropUnit(d), "Water and pipe both grow over the whole way from cold to hot.")
	s.Step("e", "Net growth", "100 * (rho_c / rho_h - 1 - 3 * a * dT)", quantity.Percent, "The same water takes more room when it is lighter. The pipe grows in three directions and takes some of that back.")
	s.Step("V_e", "Water that the tank takes in", "V_s * e / 100", volume, becauseGrown)
	s.Step("p_h", "Highest pressure at the tank", "p_v - m", press, "A relief valve begins to weep before its setting, so stay below it.")
	absoluteSteps(d, s)
	s.Ask("growth", "Water that the tank takes in", "V_e", toleranceGrowth)
	v := sealedTank(d, s)
	if !sensibleTank(d, s, v, V) {
		return
	}
	s.MaySlip("pipe-growth-forgotten", "e", "100 * (rho_c / rho_h - 1)", "The pipe grows too, and takes some of the water back: three times its linear growth.")
	s.MaySlip("pipe-growth-once", "e", "100 * (rho_c / rho_h - 1 - a * dT)", "The pipe grows in three directions: take its linear growth three times.")
	s.MaySlip("pipe-growth-added", "e", "100 * (rho_c / rho_h - 1 + 3 * a * dT)", "A pipe that grows makes room: subtract its growth.")
	s.MaySlip("relief-as-highest", "p_h", "p_v", "That is the setting of the relief valve. Stay {m} below it, or it weeps.")
	s.Source(sourceBelowRelief)
	choosePrecharge(d, s)
}

func buildTwoTanks(d *Draw, s *Sheet) {
	press, volume := pressureUnit(d), volumeUnit(d)
	s.Statement("An old plain steel tank under the ceiling of " + heatedBuilding(d) + " has rusted through. The system holds {V_s}; its top stands {h} above the tank, and custom leaves {p_m} up there. From cold fill to its hottest the water outgrows the steel by {e}. The pressure at the tank may reach {p_h}. What fill pressure does the building need, and how large is a diaphragm tank, how large a new plain tank?")
	V := systemVolume(d)
	s.Given("V_s", "water in the system", V, volume)
	s.Given("h", "height of the top above the tank", Native(d, d.Between(16, 34, 1), d.Between(5, 11, 0.5)), lengthUnit(d))
	s.Given("p_h", "highest pressure at the tank", Native(d, d.Between(25, 27, 1), One(d, 200.0, 220, 240, 250)), press)
	leastAtTop(d, s)
	lookGrowth(d, s, Native(d, d.Between(160, 200, 10), d.Between(70, 90, 5)))
	atmosphere(d, s)
	s.Step("p_f", "Fill pressure at the tank, cold", column(d, "h")+" + p_m", press, "The fill carries the column above it and leaves the customary pressure at the top.")
	s.Step("V_e", "Water that the tank takes in", "V_s * e / 100", volume, becauseGrown)
	absoluteSteps(d, s)
	s.Ask("fill", "Fill pressure at the tank, cold", "p_f", toleranceGauge(d))
	v := sealedTank(d, s)
	plain := s.Step("V_p", "Volume of the plain tank", "V_e / (p_a / P_1 - p_a / P_2)", volume, "A plain tank starts full of air at the pressure of the room, and the fill already squeezes it.")
	if !sensibleTank(d, s, v, V) || plain > 0.9*V {
		s.Reject("a tank nobody would fit")
		return
	}
	s.Ask("plain", "Least volume of a plain tank", "V_p", ToleranceTable)
	s.Slip("plain-as-diaphragm", "V_p", "V_t", "That is the diaphragm tank, whose air is charged before. In a plain tank the fill has taken part of the room.")
	s.MaySlip("plain-gauge-pressure", "V_p", "V_e / (p_a / p_f - p_a / p_h)", "The gas law counts pressure from nothing: add the {p_a} of the air to both.")
	s.Slip("static-no-margin", "p_f", column(d, "h"), "That fill leaves nothing at the top: add {p_m}.")
	s.MaySlip("psi-ft-flip", "p_f", Native(d, "2.31", "0.0981")+" * h + p_m", Native(d, "One psi lifts water 2.31 ft: multiply the feet by 0.433.", "A meter of water is 9.81 kPa."))
	s.Choose("waterlogged", "Years later the relief valve drips each time the system gets hot, and the gauge swings from fill to relief. What is most likely?", "air-lost", "",
		"Ask what keeps the pressure from rising when water grows.", shuffled(d, []Pick{
			{ID: "air-lost", Text: "The tank has lost its air: the water grows against no cushion."},
			{ID: "feeder", Text: "The feeder lets by: it adds water whenever the system is hot.", Slip: "static-rise-as-leak",
				Say: "A feeder that leaks raises the pressure cold as well, and keeps it up. A swing with every heating goes with a lost cushion: look at the tank first."},
			{ID: "relief", Text: "The relief valve is too small and needs a higher setting.", Slip: "relief-raised",
				Say: "Never raise a relief valve's setting to stop it. It protects the boiler, and it drips because the pressure is really there."},
		})...)
	s.Source(sourceWeight)
	s.Source(sourceLeast)
}
