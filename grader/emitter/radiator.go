package emitter

import "loopwright/grader/quantity"

const (
	// edrWater is what one square foot of equivalent direct radiation gives
	// off on water at 170 °F mean in a 70 °F room: 150 BTU/h. Source: trade
	// definition; a supplier's catalog page on sizing cast-iron radiators.
	edrWater = 150
	// edrSteam is the same on steam at 215 °F: 240 BTU/h. Source: definition
	// of EDR, ASHRAE convention, same catalog page.
	edrSteam = 240
	// castIronExponent: column radiators, typical. Source: a pump maker's
	// public encyclopedia, "radiator exponent": 1.3 ± 0.1.
	castIronExponent = 1.3
	// PanelExponent is a typical n of panel radiators, for those whose maker
	// states none. Source: as above.
	PanelExponent = 1.3
)

// CastIron is a cast-iron radiator of so many square feet of equivalent direct
// radiation (EDR).
//
//	Φ = 150 BTU/h × EDR × ((T − T_room)/100 °F)^1.3
//
// Mean water 120 to 215 °F, room 70 °F. Against the published list the law is
// within 2 % from 160 to 215 °F, and gives 5 % more at 140 °F and 22 % more at
// 120 °F, where the list runs on in a straight line. Source: at the constants.
func CastIron(edr float64) (Emitter, error) {
	e := Emitter{
		Output: quantity.BTUPerHour.ToSI(edrWater * edr), Excess: fahrenheitDegrees(170 - 70), Exponent: castIronExponent,
		From: fahrenheitDegrees(120 - 70), To: fahrenheitDegrees(215 - 70),
	}
	return e, e.Check()
}

// CastIronOnSteam is the output in W of so many square feet of EDR on steam at
// 215 °F in a 70 °F room: 240 BTU/h each, by definition.
func CastIronOnSteam(edr float64) float64 { return quantity.BTUPerHour.ToSI(edrSteam * edr) }

// Panel is a radiator rated by EN 442: output in W at supply 75 °C, return
// 65 °C, room 20 °C, so at 50 K arithmetic excess, with the exponent its maker
// states (typically 1.2 to 1.4; [PanelExponent] otherwise).
//
//	Φ = Φ_50 (ΔT/50 K)^n
//
// Test points of the standard reach from 30 to 60 K (from memory). Source: EN
// 442-2.
func Panel(output, exponent float64) (Emitter, error) {
	e := Emitter{Output: output, Excess: 50, Drop: 10, Exponent: exponent, From: 30, To: 60}
	return e, e.Check()
}

func fahrenheitDegrees(d float64) quantity.Kelvin {
	return quantity.Kelvin(quantity.FahrenheitDifference.ToSI(d))
}
