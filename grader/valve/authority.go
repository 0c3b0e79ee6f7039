package valve

import (
	"fmt"
	"math"

	"loopwright/grader/quantity"
)

// Authorities that the trade judges by. Source: a public engineering
// reference page on valve authority: 0.5 and more good, 0.25 to 0.5 fair, less
// poor.
const (
	GoodAuthority = 0.5
	FairAuthority = 0.25
)

// Authority is the share of the open valve in the drop of what it controls.
//
//	N = Δp_valve / (Δp_valve + Δp_rest)
//
// Both at design flow with the valve fully open, in Pa (or both in any one
// unit); the rest is the controlled circuit without the valve. No unit.
// Negative drops, or none at all, are an error. Source: IEC 60534 terms as in
// building controls; some texts call the rest alone "total", which gives
// another number.
func Authority(valveDrop, restDrop quantity.Pascal) (float64, error) {
	sum := float64(valveDrop + restDrop)
	if !(valveDrop >= 0) || !(restDrop >= 0) || !(sum > 0) || math.IsInf(sum, 0) {
		return 0, fmt.Errorf("valve: authority needs drops of zero or more, got %g and %g Pa", float64(valveDrop), float64(restDrop))
	}
	return float64(valveDrop) / sum, nil
}

// DropForAuthority is the drop that gives a valve an authority over the rest of
// its circuit.
//
//	Δp_valve = N Δp_rest / (1 − N)
//
// 0 ≤ N < 1, else a *quantity.RangeError; Pa. Source: as [Authority].
func DropForAuthority(authority float64, restDrop quantity.Pascal) (quantity.Pascal, error) {
	if !(authority >= 0 && authority < 1) {
		return 0, &quantity.RangeError{Quantity: "authority", Value: authority, Low: 0, High: 1}
	}
	return quantity.Pascal(authority/(1-authority)) * restDrop, nil
}

// Characteristic is how the coefficient follows the lift: the share of the open
// coefficient, at a lift from 0 to 1.
type Characteristic struct {
	name string
	at   func(lift float64) float64
}

// String names the characteristic.
func (c Characteristic) String() string { return c.name }

// EqualPercentage opens by the same factor for each step of lift.
//
//	φ = R^(h − 1)
//
// R is the rangeability, the largest over the smallest coefficient that the
// valve controls, above 1; 30 to 50 is usual (from memory). At h = 0 a real
// valve shuts; φ keeps 1/R there. Source: IEC 60534-2-4 (from memory).
func EqualPercentage(rangeability float64) (Characteristic, error) {
	if !(rangeability > 1) || math.IsInf(rangeability, 0) {
		return Characteristic{}, &quantity.RangeError{Quantity: "rangeability", Value: rangeability, Low: 1, High: math.Inf(1)}
	}
	return Characteristic{"equal percentage", func(h float64) float64 { return math.Pow(rangeability, h-1) }}, nil
}

// Linear opens by the same amount for each step of lift.
//
//	φ = 1/R + (1 − 1/R) h
//
// R as in [EqualPercentage]. Source: IEC 60534-2-4 (from memory).
func Linear(rangeability float64) (Characteristic, error) {
	if !(rangeability > 1) || math.IsInf(rangeability, 0) {
		return Characteristic{}, &quantity.RangeError{Quantity: "rangeability", Value: rangeability, Low: 1, High: math.Inf(1)}
	}
	least := 1 / rangeability
	return Characteristic{"linear", func(h float64) float64 { return least + (1-least)*h }}, nil
}

// At is the share φ of the open coefficient at a lift from 0 to 1; outside, a
// *quantity.RangeError.
func (c Characteristic) At(lift float64) (float64, error) {
	if !(lift >= 0 && lift <= 1) {
		return 0, &quantity.RangeError{Quantity: "lift", Value: lift, Low: 0, High: 1}
	}
	return c.at(lift), nil
}

// Installed is the share of the design flow that passes in a circuit under
// constant pressure difference, with the valve at φ of its open coefficient.
//
//	Q/Q_max = 1/√(1 − N + N/φ²)
//
// Authority N from 0 to 1 and φ from 0 to 1, else a *quantity.RangeError; φ = 0
// is shut and gives 0. Follows from valve and circuit in series, each by the
// square law.
func Installed(phi, authority float64) (float64, error) {
	if !(phi >= 0 && phi <= 1) {
		return 0, &quantity.RangeError{Quantity: "share of the open coefficient", Value: phi, Low: 0, High: 1}
	}
	if !(authority >= 0 && authority <= 1) {
		return 0, &quantity.RangeError{Quantity: "authority", Value: authority, Low: 0, High: 1}
	}
	if phi == 0 {
		return 0, nil
	}
	return 1 / math.Sqrt(1-authority+authority/(phi*phi)), nil
}
