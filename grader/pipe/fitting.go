package pipe

import (
	"math"
	"slices"

	"loopwright/grader/fluid"
	"loopwright/grader/quantity"
)

// Fitting is a fitting or valve whose loss is K velocity heads, with
//
//	K = Multiplier × f_T
//
// where f_T is the friction factor of fully turbulent flow in clean steel pipe
// of the fitting's bore. Source: Crane TP-410 (2009). Handbooks differ: for
// small threaded elbows others print two to three times as much.
type Fitting struct {
	ID, Name   string
	Multiplier float64
	Source     string
}

var fittings = func() (list []Fitting) {
	for _, r := range rows("fittings.csv") {
		list = append(list, Fitting{r[0], r[1], number(r[2]), r[3]})
	}
	return list
}()

// Fittings lists every fitting.
func Fittings() []Fitting { return fittings }

// FittingNamed finds a fitting by its id.
func FittingNamed(id string) (Fitting, error) {
	i := slices.IndexFunc(fittings, func(f Fitting) bool { return f.ID == id })
	if i >= 0 {
		return fittings[i], nil
	}
	known := make([]string, len(fittings))
	for i, f := range fittings {
		known[i] = f.ID
	}
	return Fitting{}, &NotFoundError{"fitting", id, known}
}

// steelRoughness is that of new commercial steel, m, to which f_T refers
// whatever the fitting is made of. Source: Crane TP-410, 0.0018 in.
const steelRoughness = 0.0457e-3

// FullyTurbulentFactor is f_T of a bore (m): von Kármán's limit of Colebrook
// and White at infinite Reynolds number, 1/√f = 2 log₁₀(3.7 D/ε). It agrees
// within 3 % with the table printed in Crane TP-410 (2009), p. A-26.
func FullyTurbulentFactor(bore float64) float64 {
	x := 2 * math.Log10(3.7*bore/steelRoughness)
	return 1 / (x * x)
}

// LossCoefficient is K of a fitting of this size.
func (f Fitting) LossCoefficient(s Size) float64 { return f.Multiplier * FullyTurbulentFactor(s.Bore) }

// HeadLoss is the head that the fitting takes from a flow (m³/s): K v²/(2 g).
func (f Fitting) HeadLoss(flow float64, s Size) quantity.MetersHead {
	v := s.Velocity(flow)
	return quantity.MetersHead(math.Copysign(f.LossCoefficient(s)*v*v/(2*quantity.StandardGravity), flow))
}

// EquivalentLength is the length (m) of straight pipe of this size that loses
// the same head at a flow (m³/s): K D/f.
func (f Fitting) EquivalentLength(flow float64, s Size, w fluid.Properties) float64 {
	return f.LossCoefficient(s) * s.Bore / FrictionFactor(s.Reynolds(flow, w), s.Roughness/s.Bore)
}
