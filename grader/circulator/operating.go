package circulator

import (
	"fmt"
	"math"

	"loopwright/grader/quantity"
)

// System is anything that asks for head to pass a flow.
type System interface {
	// HeadAndSlope is the head needed at a flow (m at m³/s), rising with it,
	// and its derivative.
	HeadAndSlope(flow float64) (head, slope float64)
}

// SystemCurve is the head that a system asks for: a static part and friction.
//
//	H = Static + Coefficient × Q^Exponent
//
// Q in m³/s, H in m. Closed full systems have no static part. The exponent is 2
// for rough pipe and fittings, about 1.75 for smooth pipe, 1 for laminar flow.
// Source: Hydraulic Institute, system curves.
type SystemCurve struct {
	Static      quantity.MetersHead
	Coefficient float64 // m/(m³/s)^Exponent
	Exponent    float64
}

// Through is the system curve through one known point above a static head.
//
//	Coefficient = (H − Static) / Q^Exponent
//
// flow in m³/s and above zero, head at or above the static part, exponent from
// 1 to 2; otherwise an error. Source: as [SystemCurve].
func Through(static quantity.MetersHead, flow float64, head quantity.MetersHead, exponent float64) (SystemCurve, error) {
	if !(exponent >= 1 && exponent <= 2) {
		return SystemCurve{}, &quantity.RangeError{Quantity: "exponent of the system curve", Value: exponent, Low: 1, High: 2}
	}
	if !(flow > 0) || math.IsInf(flow, 0) || !(static >= 0) || !(head >= static) || math.IsInf(float64(head), 0) {
		return SystemCurve{}, fmt.Errorf("circulator: no system curve from a static %g m through %g m at %g m³/s", float64(static), float64(head), flow)
	}
	return SystemCurve{static, float64(head-static) / math.Pow(flow, exponent), exponent}, nil
}

// Head is the head needed at a flow in m³/s.
func (s SystemCurve) Head(flow float64) quantity.MetersHead {
	h, _ := s.HeadAndSlope(flow)
	return quantity.MetersHead(h)
}

// HeadAndSlope implements [System].
func (s SystemCurve) HeadAndSlope(flow float64) (head, slope float64) {
	q := math.Abs(flow)
	friction := s.Coefficient * math.Pow(q, s.Exponent)
	return float64(s.Static) + math.Copysign(friction, flow), s.Coefficient * s.Exponent * math.Pow(q, s.Exponent-1)
}

// NoCrossingError says why a curve and a system do not meet.
type NoCrossingError struct {
	// BeyondEnd: at the last flow of the curve the system still asks for less
	// than the circulator gives. Otherwise the system asks for more than the
	// circulator gives already at no flow.
	BeyondEnd    bool
	Flow         float64 // m³/s, where the two were compared
	Curve, Needs quantity.MetersHead
}

func (e *NoCrossingError) Error() string {
	if e.BeyondEnd {
		return fmt.Sprintf("circulator: the curve ends at %.4g m³/s, where it still gives %.4g m and the system takes %.4g m: the circulator would run off the end of its curve", e.Flow, float64(e.Curve), float64(e.Needs))
	}
	return fmt.Sprintf("circulator: the system asks for %.4g m at no flow and the circulator gives %.4g m at most: nothing flows", float64(e.Needs), float64(e.Curve))
}

// OperatingPoint is where a curve meets its system: the flow at which the
// circulator gives what the system takes.
//
//	H_curve(Q) = H_system(Q)
//
// It solves by Newton's method inside a bracket that closes at every step.
// The point carries the power if the curve knows it. Curves that do not meet
// give a *NoCrossingError that says why.
func OperatingPoint(curve Curve, system System) (Point, error) {
	surplus := func(q float64) (value, slope float64) {
		h, dh := curve.head(q)
		n, dn := system.HeadAndSlope(q)
		return h - n, dh - dn
	}
	needs, _ := system.HeadAndSlope(0)
	if f, _ := surplus(0); !(f > 0) {
		return Point{}, &NoCrossingError{Flow: 0, Curve: curve.Shutoff(), Needs: quantity.MetersHead(needs)}
	}
	if f, _ := surplus(curve.end); f > 0 {
		h, _ := curve.head(curve.end)
		return Point{}, &NoCrossingError{BeyondEnd: true, Flow: curve.end, Curve: quantity.MetersHead(h), Needs: quantity.MetersHead(h - f)}
	}
	low, high := 0.0, curve.end
	q := high / 2
	const most = 200
	for range most {
		f, slope := surplus(q)
		if f > 0 {
			low = q
		} else {
			high = q
		}
		next := q - f/slope
		if !(next > low && next < high) { // also when the slope is zero
			next = low + (high-low)/2
		}
		done := math.Abs(next-q) <= 1e-14*curve.end || high-low <= 1e-14*curve.end
		q = next
		if done {
			h, _ := curve.head(q)
			p := Point{Flow: q, Head: quantity.MetersHead(h)}
			if curve.power != nil {
				p.Power = curve.power(q)
			}
			return p, nil
		}
	}
	f, _ := surplus(q)
	return Point{}, fmt.Errorf("circulator: no operating point after %d iterations, residual %.3g m", most, f)
}

// HydraulicPower is what the water takes up.
//
//	P = ρ g Q H
//
// Q in m³/s, H in m, density in kg/m³, result in W. Source: Hydraulic
// Institute Engineering Data Library, eq. 1.B.4.
func HydraulicPower(flow float64, head quantity.MetersHead, density float64) float64 {
	return flow * float64(head.Pressure(density))
}

// WireToWater is the share of the electric power that reaches the water, motor
// and pump together.
//
//	η = ρ g Q H / P
//
// density in kg/m³; no unit. A point without power is an error, and so is one
// that gives more than it draws. Source: as [HydraulicPower].
func (p Point) WireToWater(density float64) (float64, error) {
	w := HydraulicPower(p.Flow, p.Head, density)
	if !(p.Power > 0) || w > p.Power {
		return 0, fmt.Errorf("circulator: no efficiency from %g W of water power and %g W of electric power", w, p.Power)
	}
	return w / p.Power, nil
}
