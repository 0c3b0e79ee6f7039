package pipe

import (
	"math"

	"loopwright/grader/fluid"
	"loopwright/grader/quantity"
)

func area(d float64) float64 { return math.Pi / 4 * d * d }

// Velocity of a flow (m³/s) in this size, m/s: v = Q/A.
func (s Size) Velocity(flow float64) float64 { return flow / s.Area() }

// FlowAtVelocity is the flow (m³/s) at a velocity (m/s).
func (s Size) FlowAtVelocity(v float64) float64 { return v * s.Area() }

// Reynolds is the Reynolds number of a flow (m³/s): Re = v D/ν.
func (s Size) Reynolds(flow float64, w fluid.Properties) float64 {
	return math.Abs(flow) * 4 / (math.Pi * s.Bore * w.KinematicViscosity())
}

// HeadLossRate is the head lost along a meter of pipe (m/m) at a flow (m³/s),
// with its derivative by the flow:
//
//	h/L = f v²/(2 g D)        (Darcy-Weisbach)
//
// It is odd: a reversed flow gives a negative loss. Validity: as
// [FrictionFactor].
func (s Size) HeadLossRate(flow float64, w fluid.Properties) (rate, slope float64) {
	nu := w.KinematicViscosity()
	toRe := 4 / (math.Pi * s.Bore * nu)
	term, d := LossTerm(math.Abs(flow)*toRe, s.Roughness/s.Bore)
	// f v²/(2 g D) = f Re² ν²/(2 g D³)
	k := nu * nu / (2 * quantity.StandardGravity * s.Bore * s.Bore * s.Bore)
	return math.Copysign(k*term, flow), k * d * toRe
}

// HeadLoss is the head lost in a length (m) of straight pipe at a flow (m³/s).
func (s Size) HeadLoss(flow, length float64, w fluid.Properties) quantity.MetersHead {
	rate, _ := s.HeadLossRate(flow, w)
	return quantity.MetersHead(rate * length)
}

// PressureLoss is the pressure lost in a length (m) of straight pipe.
func (s Size) PressureLoss(flow, length float64, w fluid.Properties) quantity.Pascal {
	return s.HeadLoss(flow, length, w).Pressure(w.Density)
}

// FlowAtRate is the flow (m³/s) at which a meter of pipe loses the head rate
// (m/m, positive). Errors: a quantity.RangeError for a rate that is not
// positive or beyond 100 m/m.
func (s Size) FlowAtRate(rate float64, w fluid.Properties) (float64, error) {
	const highest = 100
	if !(rate > 0 && rate <= highest) {
		return 0, &quantity.RangeError{Quantity: "head loss rate", Value: rate, Low: 0, High: highest, Unit: "m/m"}
	}
	low, high := 0.0, s.FlowAtVelocity(1)
	for r, _ := s.HeadLossRate(high, w); r < rate; r, _ = s.HeadLossRate(high, w) {
		high *= 2
	}
	q := high
	for range 100 {
		r, d := s.HeadLossRate(q, w)
		if r > rate {
			high = q
		} else {
			low = q
		}
		next := q - (r-rate)/d
		if !(next > low && next < high) {
			next = (low + high) / 2 // Newton left the bracket: halve it
		}
		if math.Abs(next-q) <= 1e-13*q {
			return next, nil
		}
		q = next
	}
	return q, nil // the bracket has shrunk to rounding
}
