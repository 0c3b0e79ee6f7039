package emitter

import (
	"fmt"
	"math"

	"loopwright/grader/quantity"
)

// HighestWater is the most that a heating system's water may be for the
// formulas here, in °C: EN 442-1 limits itself to water up to 120 °C (from
// memory).
const HighestWater = 120

// Emitter is a heat emitter with its rating.
type Emitter struct {
	Output   float64         // W, at the rating
	Excess   quantity.Kelvin // arithmetic mean excess at the rating
	Drop     quantity.Kelvin // supply less return at the rating; 0 where it is rated at one water temperature
	Exponent float64         // n of the power law, 1 to 2

	// FlowExponent makes the output follow the water's flow as well:
	// (c / RatedCapacity)^FlowExponent. Zero for emitters whose rating does
	// not depend on flow.
	FlowExponent  float64
	RatedCapacity float64 // W/K

	// From and To are the mean excesses over which the rating's power law
	// stands on published figures.
	From, To quantity.Kelvin
}

// Check says what is wrong with an emitter's figures, or nil.
func (e Emitter) Check() error {
	switch {
	case !(e.Output > 0) || math.IsInf(e.Output, 0):
		return fmt.Errorf("emitter: the rated output must be above zero, got %g W", e.Output)
	case !(e.Excess > 0) || math.IsInf(float64(e.Excess), 0):
		return fmt.Errorf("emitter: the rated excess must be above zero, got %g K", float64(e.Excess))
	case !(e.Drop >= 0) || e.Drop >= 2*e.Excess:
		return fmt.Errorf("emitter: a rated drop of %g K does not fit a rated mean excess of %g K", float64(e.Drop), float64(e.Excess))
	case !(e.Exponent >= 1 && e.Exponent <= 2):
		return &quantity.RangeError{Quantity: "emitter exponent", Value: e.Exponent, Low: 1, High: 2}
	case !(e.FlowExponent >= 0 && e.FlowExponent < 1):
		return &quantity.RangeError{Quantity: "flow exponent", Value: e.FlowExponent, Low: 0, High: 1}
	case e.FlowExponent > 0 && !(e.RatedCapacity > 0):
		return fmt.Errorf("emitter: an output that follows the flow needs the flow of its rating")
	}
	return nil
}

// Vouched says whether a mean excess lies where the rating stands on published
// figures; a *quantity.RangeError if not. The heat is computed there all the
// same: the power law carries on, but nobody measured it.
func (e Emitter) Vouched(excess quantity.Kelvin) error {
	if excess < e.From || excess > e.To {
		return &quantity.RangeError{Quantity: "mean water temperature above the room", Value: float64(excess), Low: float64(e.From), High: float64(e.To), Unit: "K"}
	}
	return nil
}

// FlowFactor is how the output follows the flow.
//
//	factor = (c / c_rated)^FlowExponent
//
// c in W/K. 1 for emitters rated without regard to flow. Source: see
// [FinTube].
func (e Emitter) FlowFactor(c float64) float64 {
	if e.FlowExponent == 0 {
		return 1
	}
	return math.Pow(c/e.RatedCapacity, e.FlowExponent)
}

// AtMean is the output at a known mean water temperature.
//
//	Φ = Φ_rated (ΔT/ΔT_rated)^n (c/c_rated)^m
//
// Temperatures in °C, c in W/K, result in W; water at or below the room gives
// 0. Source: EN 442-2 characteristic equation; for fin-tube see [FinTube].
func (e Emitter) AtMean(mean, room quantity.Celsius, c float64) float64 {
	return e.Output * OutputFactor(mean.Minus(room), e.Excess, e.Exponent) * e.FlowFactor(c)
}

// Times is n emitters of this kind as one, or part of one: for fin-tube rated
// per meter, n meters.
func (e Emitter) Times(n float64) Emitter {
	e.Output *= n
	return e
}
