package valve

import (
	"fmt"
	"math"

	"loopwright/grader/quantity"
)

// ReferenceDensity is the density that a flow coefficient is defined by, water
// at 15 °C, in kg/m³. Source: IEC 60534-2-1, relative density ρ/ρ0; 999.1
// kg/m³ by IAPWS R7-97(2012).
const ReferenceDensity = 999.1

// Coefficient is a valve's flow coefficient in m³/(s·√Pa).
type Coefficient float64

// Kv is a coefficient in m³/h of water at 1 bar. Source: IEC 60534-1.
func Kv(kv float64) Coefficient { return Coefficient(quantity.KvUnit.ToSI(kv)) }

// Cv is a coefficient in US gallons per minute of water at 1 psi. Cv = 1.156
// Kv, exactly by the units. Source: IEC 60534-1. (A Cv of the same name in
// imperial gallons is 0.833 of it.)
func Cv(cv float64) Coefficient { return Coefficient(quantity.CvUnit.ToSI(cv)) }

// Kv is the coefficient in m³/h at 1 bar.
func (c Coefficient) Kv() float64 { return quantity.KvUnit.FromSI(float64(c)) }

// Cv is the coefficient in US gallons per minute at 1 psi.
func (c Coefficient) Cv() float64 { return quantity.CvUnit.FromSI(float64(c)) }

// Flow is what a pressure difference drives through the valve.
//
//	Q = C √(Δp ρ0/ρ)
//
// Δp in Pa (a negative one drives backward), density in kg/m³, result in m³/s.
// Turbulent flow of a liquid that does not boil in the valve; no correction for
// reducers at its ends. Source: IEC 60534-2-1, incompressible fluids,
// non-choked turbulent flow.
func (c Coefficient) Flow(drop quantity.Pascal, density float64) float64 {
	return math.Copysign(float64(c)*math.Sqrt(math.Abs(float64(drop))*ReferenceDensity/density), float64(drop))
}

// Drop is the pressure that a flow loses in the valve.
//
//	Δp = (Q/C)² ρ/ρ0
//
// Q in m³/s, density in kg/m³, result in Pa with the sign of the flow. Range
// and source as [Coefficient.Flow]. A coefficient of zero is a shut valve: the
// drop is infinite.
func (c Coefficient) Drop(flow, density float64) quantity.Pascal {
	if flow == 0 {
		return 0 // also through a shut valve
	}
	r := flow / float64(c)
	return quantity.Pascal(r * math.Abs(r) * density / ReferenceDensity)
}

// Head is the head that a flow loses in the valve, in meters of whatever flows:
// the density cancels.
//
//	h = Δp/(ρ g) = (Q/C)² / (ρ0 g)
//
// Q in m³/s, result in m with the sign of the flow. Range and source as
// [Coefficient.Flow].
func (c Coefficient) Head(flow float64) quantity.MetersHead {
	return c.Drop(flow, ReferenceDensity).Head(ReferenceDensity)
}

// LossCoefficient is the valve's K in h = K v²/2g, by the velocity in a pipe of
// inside diameter d.
//
//	K = 2 A² / (ρ0 C²),  A = π d²/4
//
// d in m; K has no unit. Source: the two definitions, equated; Crane TP-410
// uses K = 0.0016 d⁴/Kv² with d in mm.
func (c Coefficient) LossCoefficient(d float64) float64 {
	a := math.Pi / 4 * d * d
	return 2 * a * a / (ReferenceDensity * float64(c*c))
}

// For is the coefficient that loses a pressure at a flow.
//
//	C = Q √(ρ/(ρ0 Δp))
//
// Q in m³/s, Δp in Pa, density in kg/m³. All must be above zero. Range and
// source as [Coefficient.Flow].
func For(flow float64, drop quantity.Pascal, density float64) (Coefficient, error) {
	if !(flow > 0) || !(drop > 0) || !(density > 0) {
		return 0, fmt.Errorf("valve: a coefficient needs a flow, a drop and a density above zero, got %g m³/s, %g Pa and %g kg/m³", flow, float64(drop), density)
	}
	return Coefficient(flow * math.Sqrt(density/(ReferenceDensity*float64(drop)))), nil
}

// Balancing is the coefficient at which a balancing valve takes up the head
// that a circuit has in excess at its design flow.
//
//	C = Q / √(ρ0 g h)
//
// Q in m³/s, h in m of the flowing fluid; both above zero. A circuit without
// excess needs no balancing valve, so that is an error. Range and source as
// [Coefficient.Flow].
func Balancing(flow float64, excess quantity.MetersHead) (Coefficient, error) {
	return For(flow, excess.Pressure(ReferenceDensity), ReferenceDensity)
}
