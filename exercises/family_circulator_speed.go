package exercises

import (
	"math"

	"loopwright/grader/circulator"
	"loopwright/grader/fluid"
	"loopwright/grader/quantity"
)

const (
	sourceAffinity  = "Affinity laws: flow with speed, head with its square, power with its cube, on an unchanged closed system; Hydraulic Institute; worked example in Crane TP-410, example 7-33"
	sourcePowerUS   = "Water power in hp = gpm × ft / 3960: Hydraulic Institute Engineering Data Library, eq. 1.B.4; 746 W for 1 hp, NIST SP 811 (745.7 W)"
	sourcePowerSI   = "Water power in W = L/s × kPa: definition of the units"
	cautionElectric = "The supply of a circulator kills. Electrical readings and work on its wiring are for a qualified person, with the circuit locked out for any work."
)

var toleranceAffinity = Tolerance{Rel: 0.03, Why: "The laws are exact arithmetic on the figures given; 3 % forgives a ratio rounded to two places, which a cube triples."}

const (
	sayHeadLinear  = "Head goes with the square of the speed."
	sayPowerSquare = "Power goes with the cube of the speed: flow once, head twice."
)

func buildSpeedChange(d *Draw, s *Sheet) {
	switch d.Level {
	case 1:
		buildSpeedGiven(d, s)
	case 2:
		buildSpeedForFlow(d, s)
	default:
		buildSpeedForHead(d, s)
	}
	s.Source(sourceAffinity)
	s.Caution(cautionElectric)
	s.Caution(cautionHot)
}

// circulatorNow records speed, flow, head and power of a circulator as it
// runs. The power is drawn so that 25 to 45 % of it reaches the water.
func circulatorNow(d *Draw, s *Sheet) (flow, head, power float64) {
	flow = Native(d, d.Between(12, 60, 1), d.Between(0.8, 4, 0.1))
	head = Native(d, d.Between(10, 32, 0.5), d.Between(30, 95, 1))
	water := Native(d, 746*flow*head/3960, flow*head)
	power = math.Round(water/d.Between(0.25, 0.45, 0.01)/5) * 5
	s.Given("f_1", "flow now", flow, flowUnit(d))
	s.Given("H_1", headWord(d)+" now", head, driveUnit(d))
	s.Given("P_1", "power drawn now", power, quantity.Watt)
	return flow, head, power
}

func buildSpeedGiven(d *Draw, s *Sheet) {
	s.Statement("The demo circulator of " + largeBuilding(d) + " turns at {N_1}, moves {f_1} at {H_1} and draws {P_1}. Its controller is set to {N_2}; the system stays as it is. What flow, " + headWord(d) + " and power follow?")
	n1 := One(d, 2600.0, 2800, 3200, 3400)
	s.Given("N_1", "speed now", n1, quantity.RevolutionPerMinute)
	s.Given("N_2", "new speed", math.Round(n1*d.Between(0.55, 0.85, 0.01)/50)*50, quantity.RevolutionPerMinute)
	circulatorNow(d, s)
	s.Step("r", "Ratio of the speeds", "N_2 / N_1", quantity.One, "Everything follows from new speed over old speed.")
	s.Step("f_2", "New flow", "f_1 * r", flowUnit(d), "Flow goes with the speed.")
	s.Step("H_2", "New "+headWord(d), "H_1 * pow(r, 2)", driveUnit(d), "Head goes with the square of the speed.")
	s.Step("P_2", "New power", "P_1 * pow(r, 3)", quantity.Watt, "Power is flow times head, so it goes with the cube.")
	s.Ask("flow", "New flow", "f_2", toleranceAffinity)
	s.Ask("head", "New "+headWord(d), "H_2", toleranceAffinity)
	s.Ask("power", "New power", "P_2", toleranceAffinity)
	s.Slip("speed-inverse", "r", "N_1 / N_2", "New speed goes over old speed: slower gives less.")
	s.Slip("affinity-head-linear", "H_2", "H_1 * r", sayHeadLinear)
	s.Slip("affinity-power-square", "P_2", "P_1 * pow(r, 2)", sayPowerSquare)
	s.MaySlip("affinity-power-linear", "P_2", "P_1 * r", sayPowerSquare)
	s.MaySlip("affinity-flow-square", "f_2", "f_1 * pow(r, 2)", "Flow goes with the speed itself; the square is for head.")
	s.MaySlip("affinity-head-cubed", "H_2", "H_1 * pow(r, 3)", "The cube is for power; head goes with the square.")
}

func buildSpeedForFlow(d *Draw, s *Sheet) {
	s.Statement("A flow meter in " + largeBuilding(d) + " shows {f_1} where the plan asks for {f_2}. The demo circulator runs at {N_1} with {H_1} and draws {P_1}. Which speed gives the planned flow, what " + headWord(d) + " is left, and how much power is saved?")
	flow, _, _ := circulatorNow(d, s)
	s.Given("N_1", "speed now", One(d, 2600.0, 2800, 3200, 3400), quantity.RevolutionPerMinute)
	s.Given("f_2", "planned flow", roundFlow(d, flow*d.Between(0.55, 0.85, 0.01)), flowUnit(d))
	s.Step("r", "Ratio of the flows", "f_2 / f_1", quantity.One, "Flow goes with speed, so the ratio of the flows is the ratio of the speeds.")
	s.Step("N_2", "New speed", "N_1 * r", quantity.RevolutionPerMinute, "The speed comes down as far as the flow has to.")
	s.Step("H_2", "New "+headWord(d), "H_1 * pow(r, 2)", driveUnit(d), "Head goes with the square of the speed.")
	s.Step("P_2", "New power", "P_1 * pow(r, 3)", quantity.Watt, "Power goes with the cube.")
	s.Step("S", "Power saved", "P_1 - P_2", quantity.Watt, "What it drew before less what it draws now.")
	s.Ask("speed", "Speed for the planned flow", "N_2", toleranceAffinity)
	s.Ask("head", "New "+headWord(d), "H_2", toleranceAffinity)
	s.Ask("saved", "Power saved", "S", toleranceAffinity)
	s.Slip("speed-inverse", "r", "f_1 / f_2", "The planned flow goes on top: less flow, less speed.")
	s.MaySlip("speed-by-root", "N_2", "N_1 * sqrt(r)", "The root belongs to head. Flow and speed go together.")
	s.MaySlip("speed-by-square", "N_2", "N_1 * pow(r, 2)", "The square belongs to head. Flow and speed go together.")
	s.Slip("affinity-head-linear", "H_2", "H_1 * r", sayHeadLinear)
	s.MaySlip("affinity-power-square", "P_2", "P_1 * pow(r, 2)", sayPowerSquare)
	s.MaySlip("affinity-power-linear", "P_2", "P_1 * r", sayPowerSquare)
	s.MaySlip("saving-not-subtracted", "S", "P_2", "That is what it still draws. Saved is the difference.")
}

func buildSpeedForHead(d *Draw, s *Sheet) {
	s.Statement("The valves of " + largeBuilding(d) + " hiss: the demo circulator holds {H_1} where {H_2} are enough. It moves {f_1} at {N_1}, draws {P_1}, and the water comes back {dT_1} cooler. To what speed do you turn it down, what does it draw then, and what does the drop become if the heat stays the same?")
	_, head, _ := circulatorNow(d, s)
	s.Given("N_1", "speed now", One(d, 2600.0, 2800, 3200, 3400), quantity.RevolutionPerMinute)
	s.Given("H_2", headWord(d)+" that is enough", math.Round(head*d.Between(0.35, 0.7, 0.01)*2)/2, driveUnit(d))
	s.Given("dT_1", "drop now", Native(d, d.Between(8, 16, 1), d.Between(4, 9, 0.5)), dropUnit(d))
	s.Step("r", "Ratio of the speeds", "sqrt(H_2 / H_1)", quantity.One, "Head goes with the square of speed, so speed goes with the root of the head.")
	s.Step("N_2", "New speed", "N_1 * r", quantity.RevolutionPerMinute, "The old speed times the ratio.")
	s.Step("P_2", "New power", "P_1 * pow(r, 3)", quantity.Watt, "Power goes with the cube of the speed.")
	s.Step("dT_2", "New drop", "dT_1 / r", dropUnit(d), "The same heat with less flow: the drop grows as the flow shrinks.")
	s.Ask("speed", "New speed", "N_2", toleranceAffinity)
	s.Ask("power", "New power", "P_2", ToleranceTable)
	s.Ask("drop", "New drop at the same heat", "dT_2", Tolerance{Rel: 0.03, Abs: Native(d, 0.5, 0.3), Why: "The drop follows the flow; a thermometer on a pipe is read no closer than this."})
	s.Choose("way", "The same flow could be had with a valve, half shut behind the circulator at full speed. Which way draws less power?", "speed", "P_2",
		"Ask what the circulator itself does in each case: at full speed its curve stays where it was.", shuffled(d, []Pick{
			{ID: "speed", Text: "The lower speed: the head that is not needed is never made."},
			{ID: "valve", Text: "The valve: it holds the water back, so the circulator has less to do.", Slip: "throttling-saves", Say: "At full speed the circulator climbs its curve and makes more head, which the valve burns up. A lower speed does not make it at all."},
			{ID: "same", Text: "It is all the same: the flow decides.", Slip: "power-by-flow-alone", Say: "Power is flow times head. The flow is the same, the head at the circulator is not."},
		})...)
	s.Slip("speed-by-head-linear", "r", "H_2 / H_1", "Head goes with the square of speed: take the root of the ratio.")
	s.MaySlip("speed-inverse", "r", "sqrt(H_1 / H_2)", "New over old: less head, less speed.")
	s.MaySlip("affinity-power-square", "P_2", "P_1 * pow(r, 2)", sayPowerSquare)
	s.MaySlip("affinity-power-linear", "P_2", "P_1 * r", sayPowerSquare)
	s.MaySlip("drop-inverse", "dT_2", "dT_1 * r", "Less flow for the same heat makes a larger drop: divide by the ratio.")
	s.MaySlip("drop-unchanged", "dT_2", "dT_1", "The same heat in less water: the drop cannot stay.")
}

func buildPumpPower(d *Draw, s *Sheet) {
	switch d.Level {
	case 1:
		buildWaterPower(d, s)
	case 2:
		buildOverallEfficiency(d, s)
	default:
		buildTwoCirculators(d, s)
	}
	s.Source(Native(d, sourcePowerUS, sourcePowerSI))
	s.Caution(cautionHot)
}

// waterPower records the power that the water takes up, in W.
func waterPower(d *Draw, s *Sheet) float64 {
	if d.US() {
		s.Step("P_h", "Water power in hp", "f * H / 3960", quantity.Horsepower, "Flow times head, over 3960 for gpm and feet.")
		return s.Step("P_w", "Water power in W", "746 * P_h", quantity.Watt, "One horsepower is 746 W.")
	}
	return s.Step("P_w", "Water power", "f * p", quantity.Watt, "A liter per second against one kilopascal is one watt.")
}

// slipsOfWaterPower are the wrong turns on the way to the water power.
func slipsOfWaterPower(d *Draw, s *Sheet) {
	if d.US() {
		s.Slip("power-no-3960", "P_h", "f * H", "Divide by 3960 to come from gpm and feet to horsepower.")
		s.MaySlip("head-ft-as-psi", "P_h", "f * H / 2.31 / 3960", "The 3960 goes with feet: leave the head in feet.")
		s.MaySlip("power-1714", "P_h", "f * H / 1714", "The 1714 goes with psi. With feet it is 3960.")
		s.MaySlip("hp-not-watts", "P_w", "1000 * P_h", "One horsepower is 746 W, not a kilowatt.")
		return
	}
	s.MaySlip("power-kpa-as-bar", "P_w", "f * p / 100", "With liters per second the kilopascals stay as they are: one L/s against one kPa is one watt.")
	s.MaySlip("power-981-twice", "P_w", "9.81 * f * p", "The 9.81 belongs to heads in meters. A pressure already has it.")
}

func buildWaterPower(d *Draw, s *Sheet) {
	s.Given("f", "flow", Native(d, d.Between(20, 110, 5), d.Between(0.6, 6, 0.1)), flowUnit(d))
	if d.US() {
		s.Statement("A demo circulator in " + largeBuilding(d) + " moves {f} against {H}. How much power does the water take up, in horsepower and in watts?")
		s.Given("H", "head", d.Between(8, 36, 1), quantity.FootHead)
	} else {
		s.Statement("A demo circulator in " + largeBuilding(d) + " moves {f} against {H}, by its sheet in meters of cold water. How many kilopascals are that, and how much power does the water take up?")
		s.Given("H", "head", d.Between(2.5, 10, 0.5), quantity.MeterHead)
		s.Step("p", "Pressure difference", "9.81 * H", quantity.Kilopascal, "A meter of cold water is 9.81 kPa.")
		s.Ask("pressure", "Pressure difference", "p", toleranceAffinity)
		s.Slip("meters-as-bar-tenths", "p", "H", "A meter of water is about ten kilopascals, not one.")
		s.MaySlip("meters-as-bar", "p", "100 * H", "A bar is ten meters of water; one meter is about 10 kPa.")
		s.Source("9.81 kPa for 1 m of cold water: 1000 kg/m³ × 9.81 m/s²")
	}
	w := waterPower(d, s)
	if d.US() {
		s.Ask("hp", "Water power in horsepower", "P_h", toleranceAffinity)
	}
	s.Ask("watts", "Water power in watts", "P_w", toleranceAffinity)
	slipsOfWaterPower(d, s)
	compareWaterPower(d, s, w)
}

// compareWaterPower sets the rule beside the engine's water power with warm
// water, for a head that stays the same.
func compareWaterPower(d *Draw, s *Sheet, rule float64) {
	at := Native(d, quantity.Celsius((160-32)/1.8), quantity.Celsius(70))
	w, err := fluid.Water(at)
	if err != nil {
		s.Reject(err.Error())
		return
	}
	f, H := s.Quantity("f"), s.Quantity("H")
	s.Compare("pump-3960", Native(d, "gpm × ft over 3960", "L/s × kPa of cold water"), quantity.Of(rule, quantity.Watt),
		quantity.FromSI(circulator.HydraulicPower(f.SI, quantity.MetersHead(H.SI), w.Density), quantity.Watt),
		"The rule takes cold water. At "+quantity.FromSI(float64(at), readingUnit(d)).Text()+" water is lighter: the same head is less pressure and takes less power.")
}

func buildOverallEfficiency(d *Draw, s *Sheet) {
	f := Native(d, d.Between(6, 60, 1), d.Between(0.4, 4, 0.1))
	H := Native(d, d.Between(6, 28, 1), d.Between(18, 84, 1))
	s.Given("f", "flow", f, flowUnit(d))
	head := Native(d, "{H}", "{p}")
	if d.US() {
		s.Given("H", "head", H, quantity.FootHead)
	} else {
		s.Given("p", "pressure difference", H, quantity.Kilopascal)
	}
	water := Native(d, 746*f*H/3960, f*H)
	s.Given("P_e", "power drawn", math.Round(water/d.Between(0.15, 0.45, 0.01)), quantity.Watt)
	s.Statement("A plug-in meter shows that the demo circulator of " + largeBuilding(d) + " draws {P_e}. It moves {f} against " + head + ". How much of that reaches the water, in watts and as overall efficiency?")
	waterPower(d, s)
	s.Step("eta", "Overall efficiency", "100 * P_w / P_e", quantity.Percent, "What the water gets over what is paid for: pump and motor together.")
	s.Ask("water", "Water power in watts", "P_w", toleranceAffinity)
	s.Ask("efficiency", "Overall efficiency", "eta", toleranceAffinity)
	slipsOfWaterPower(d, s)
	s.Slip("eff-inverse", "eta", "100 * P_e / P_w", "Efficiency is useful over paid: it cannot exceed 100 %.")
	s.MaySlip("eff-lost-share", "eta", "100 * (P_e - P_w) / P_e", "That share is lost as heat. The efficiency is what reaches the water.")
	s.Caution(cautionElectric)
}

func buildTwoCirculators(d *Draw, s *Sheet) {
	factor, factorUnit := heatFactor(d)
	dT := Native(d, One(d, 15.0, 20, 25, 30), One(d, 8.0, 10, 12, 15))
	f := Native(d, d.Between(12, 50, 1), d.Between(0.8, 3.2, 0.1))
	grain := Native(d, 5000.0, 1)
	Q := math.Round(f*factor*dT/grain) * grain
	s.Statement("The main circuit of " + largeBuilding(d) + " carries {Q} at a drop of {dT}. Gauges at the flanges of its old demo circulator, at one height, differ by {p}, and it draws {P_e}. A new demo circulator would do the same with {P_n}. What flow passes, what is the overall efficiency of each, and which one loses more power on the way?")
	s.Given("Q", "heat carried", Q, loadUnit(d))
	s.Given("dT", "temperature drop", dT, dropUnit(d))
	p := Native(d, d.Between(4, 12, 0.5), d.Between(28, 84, 1))
	s.Given("p", "difference of the gauges", p, pressureUnit(d))
	s.Looked("k", "heat carried per unit of flow and degree", factor, factorUnit, "common practice")
	water := Native(d, 746*f*p*2.31/3960, f*p)
	s.Given("P_e", "power drawn by the old one", math.Round(water/d.Between(0.14, 0.3, 0.01)/5)*5, quantity.Watt)
	s.Given("P_n", "power drawn by the new one", math.Round(water/d.Between(0.35, 0.55, 0.01)), quantity.Watt)
	s.Step("f", "Flow", "Q / (k * dT)", flowUnit(d), "Heat and drop give the flow: nobody needs a flow meter.")
	if d.US() {
		s.Step("H", "Head", "2.31 * p", quantity.FootHead, "One psi is 2.31 ft of cold water.")
		s.Source(sourceFeetPerPSI)
	}
	waterPower(d, s)
	s.Step("eta_o", "Overall efficiency of the old one", "100 * P_w / P_e", quantity.Percent, "What the water gets over what is paid for.")
	s.Step("eta_n", "Overall efficiency of the new one", "100 * P_w / P_n", quantity.Percent, "The water gets the same; less is paid for it.")
	s.Ask("flow", "Flow", "f", ToleranceHeat)
	s.Ask("old", "Overall efficiency of the old circulator", "eta_o", ToleranceTable)
	s.Ask("new", "Overall efficiency of the new circulator", "eta_n", ToleranceTable)
	s.Choose("waste", "Which one loses more power on the way?", "old", "eta_o", "Compare what each draws with what the water gets.", shuffled(d, []Pick{
		{ID: "old", Text: "The old one: it draws {P_e} for the same water power."},
		{ID: "new", Text: "The new one: its efficiency is higher, so it loses more.", Slip: "efficiency-as-loss", Say: "A higher efficiency means that more reaches the water and less is lost."},
		{ID: "same", Text: "Both the same: they move the same water.", Slip: "loss-by-flow-alone", Say: "The water gets the same from both; what each draws beyond that is lost, and they draw unlike power."},
	})...)
	s.Slip("flow-no-500", "f", "Q / dT", "The factor is missing: a unit of flow carries {k}.")
	if d.US() {
		s.Slip("head-ft-as-psi", "H", "p", "The 3960 goes with feet: multiply the psi by 2.31 first.")
		s.MaySlip("power-no-3960", "P_h", "f * H", "Divide by 3960 to come from gpm and feet to horsepower.")
	} else {
		s.MaySlip("power-981-twice", "P_w", "9.81 * f * p", "The 9.81 belongs to heads in meters. A pressure already has it.")
	}
	s.Slip("eff-inverse", "eta_o", "100 * P_e / P_w", "Efficiency is useful over paid: it cannot exceed 100 %.")
	s.MaySlip("eff-lost-share", "eta_o", "100 * (P_e - P_w) / P_e", "That share is lost as heat. The efficiency is what reaches the water.")
	s.MaySlip("eff-inverse", "eta_n", "100 * P_n / P_w", "Efficiency is useful over paid: it cannot exceed 100 %.")
	s.Source(sourceHeat)
	s.Caution(cautionElectric)
}
