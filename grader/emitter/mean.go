package emitter

import (
	"math"

	"loopwright/grader/quantity"
)

// ArithmeticExcess is how far the middle between supply and return lies above
// the room.
//
//	ΔT = (t_supply + t_return)/2 − t_room
//
// Arguments in °C, result in K. It holds for any temperatures; as a mean of
// what the emitter gives off it flatters once (t_return − t_room) falls below
// about 0.7 × (t_supply − t_room) (limit from memory: German practice).
// Source: EN 442-2, excess temperature of the characteristic equation.
func ArithmeticExcess(supply, back, room quantity.Celsius) quantity.Kelvin {
	return quantity.Kelvin((supply+back)/2 - room)
}

// LogarithmicExcess is the mean excess of water that cools in proportion to
// its own excess.
//
//	ΔT = (t_supply − t_return) / ln((t_supply − t_room)/(t_return − t_room))
//
// Arguments in °C, result in K. Supply and return must lie above the room, or
// it returns a *quantity.RangeError. Source: EN 1264-2, mean heating-medium
// excess; DS 469 recommends it for radiators (as described in a public article
// on that standard).
func LogarithmicExcess(supply, back, room quantity.Celsius) (quantity.Kelvin, error) {
	for _, t := range []quantity.Celsius{supply, back} {
		if !(t > room) || math.IsInf(float64(t), 0) {
			return 0, &quantity.RangeError{Quantity: "water temperature for a logarithmic mean", Value: float64(t), Low: float64(room), High: HighestWater, Unit: "°C"}
		}
	}
	return quantity.Kelvin(logMean(float64(back-room), float64(supply-back))), nil
}

// MeanExcess is the default choice, [ArithmeticExcess]: the mean by which
// radiators are rated and sold (EN 442-2) and the trade's "average water
// temperature" for fin-tube and cast iron.
func MeanExcess(supply, back, room quantity.Celsius) quantity.Kelvin {
	return ArithmeticExcess(supply, back, room)
}

// OutputFactor is the output at one mean excess over that at another.
//
//	factor = (ΔT / ΔT_rated)^n
//
// Excesses in K, both by the same mean; the factor has no unit. Excesses at or
// below zero give 0. Source: EN 442-2, characteristic equation Φ = K_m ΔT^n.
func OutputFactor(excess, rated quantity.Kelvin, exponent float64) float64 {
	if !(excess > 0) || !(rated > 0) {
		return 0
	}
	return math.Pow(float64(excess/rated), exponent)
}

// logMean is the logarithmic mean of cool and cool + drop. Without a drop the
// quotient is 0/0, so the series of ln(1+e)/e takes over near it.
func logMean(cool, drop float64) float64 {
	e := drop / cool
	if math.Abs(e) < 1e-5 {
		return cool * (1 + e/2 - e*e/12)
	}
	return drop / math.Log1p(e)
}
