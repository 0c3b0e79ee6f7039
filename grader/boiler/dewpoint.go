package boiler

import (
	"fmt"

	"loopwright/grader/fluid"
	"loopwright/grader/quantity"
)

// DewPoint is the temperature below which the moisture in the flue gas of
// natural gas begins to condense, in °C: 56, which is 133 °F.
//
// common practice: 54 to 57 °C (130 to 135 °F). A state energy office's public
// article on high-efficiency boilers says roughly 130 °F; [FlueGasDewPoint]
// gives 56 °C for methane with 20 % excess air.
const DewPoint quantity.Celsius = 56

// airMoles is how much dry air burns one mole of methane, in moles: two of
// oxygen at 20.95 % of air. Source: CH4 + 2 O2 → CO2 + 2 H2O; share of oxygen
// in dry air: ISO 2533.
const airMoles = 2 / 0.2095

// FlueGasDewPoint is the dew point, in °C, of what methane leaves when it burns
// with dry air at one atmosphere.
//
//	p_water = p · 2/(1 + 2 + n_air (1 + e) − 2),  p_water = p_boiling(t)
//
// Of each mole of methane come one of carbon dioxide and two of water; the air
// passes less its two moles of oxygen. e is the excess air as a share, 0 to 2;
// outside that a *quantity.RangeError. Damp air and the other gases in natural
// gas move it by about a degree (from memory). Source: balance of the reaction;
// boiling pressure by IAPWS R7-97(2012).
func FlueGasDewPoint(excess float64) (quantity.Celsius, error) {
	if !(excess >= 0 && excess <= 2) {
		return 0, &quantity.RangeError{Quantity: "excess air", Value: excess, Low: 0, High: 2}
	}
	const atmosphere = 101325 // Pa, ISO 2533
	partial := quantity.Pascal(atmosphere * 2 / (1 + airMoles*(1+excess)))
	// The boiling pressure rises with temperature: halve the bracket.
	low, high := quantity.Celsius(0), quantity.Celsius(100)
	for range 60 {
		t := low + (high-low)/2
		p, err := fluid.BoilingPressure(t)
		if err != nil {
			return 0, fmt.Errorf("boiler: dew point at %g °C: %w", float64(t), err)
		}
		if p < partial {
			low = t
		} else {
			high = t
		}
	}
	return low, nil
}
