package pipe

import "math"

// The passage between laminar and turbulent flow. Below LaminarBelow the
// friction factor is 64/Re; from TurbulentFrom it is Colebrook and White's.
// Between them no formula holds: the flow changes back and forth (Moody 1944
// calls it the critical zone, Re 2000 to 4000). There, the loss f·Re², which
// at a given pipe and water is proportional to the head, follows the cubic
// that joins both ends in value and slope. The choice is this program's own;
// it keeps loss rising with flow, without a step or a corner, so that a solver
// and a slider find one answer.
const (
	LaminarBelow  = 2000.0
	TurbulentFrom = 4000.0
)

// FrictionFactor is Darcy's friction factor f at Reynolds number re ≥ 0 and
// relative roughness e = ε/D, 0 to 0.05.
//
//	laminar     f = 64/Re                                     (Hagen-Poiseuille)
//	turbulent   1/√f = −2 log₁₀(e/3.7 + 2.51/(Re √f))           (Colebrook 1939)
//
// The turbulent root is exact to 10⁻¹². At re = 0 it returns +Inf, as 64/Re
// does; HeadLoss and LossTerm stay finite.
func FrictionFactor(re, e float64) float64 {
	switch {
	case re < LaminarBelow:
		return 64 / re
	case re >= TurbulentFrom:
		x := colebrook(re, e, 0)
		return 1 / (x * x)
	}
	g, _ := LossTerm(re, e)
	return g / (re * re)
}

// LossTerm is f·Re² and its derivative by Re: the part of the head loss that
// depends on the flow.
func LossTerm(re, e float64) (term, slope float64) {
	x := 0.0
	return LossTermNear(re, e, &x)
}

// LossTermNear is [LossTerm] for a solver that asks again and again for nearly
// the same flow: x keeps 1/√f from one call to the next, which saves half the
// work. Zero starts afresh. The result is as exact.
func LossTermNear(re, e float64, x *float64) (term, slope float64) {
	switch {
	case re < LaminarBelow:
		return 64 * re, 64
	case re >= TurbulentFrom:
		return turbulentTerm(re, e, x)
	}
	const width = TurbulentFrom - LaminarBelow
	g0, s0 := 64*LaminarBelow, 64.0
	g1, s1 := turbulentTerm(TurbulentFrom, e, x)
	t := (re - LaminarBelow) / width
	// Cubic Hermite polynomial and its derivative.
	term = g0*(1+2*t)*(1-t)*(1-t) + s0*width*t*(1-t)*(1-t) + g1*t*t*(3-2*t) + s1*width*t*t*(t-1)
	slope = (6*t*(1-t)*(g1-g0))/width + s0*(1-t)*(1-3*t) + s1*t*(3*t-2)
	return term, slope
}

func turbulentTerm(re, e float64, near *float64) (term, slope float64) {
	x := colebrook(re, e, *near)
	*near = x
	// From x = −2 log₁₀(a + b x) with b = 2.51/Re: dx/dRe = k b x/(Re (1 + k b)),
	// k = 2/(ln 10 (a + b x)).
	b := 2.51 / re
	k := 2 / math.Ln10 / (e/3.7 + b*x)
	dx := k * b * x / (re * (1 + k*b))
	f := 1 / (x * x)
	return f * re * re, 2*re*f - 2*re*re*f*dx/x
}

// colebrook is 1/√f, from a start near it. A start of zero is replaced by one
// with 1/√f = 7 inside the logarithm, within a few percent. Each Halley step
// triples the figures that are right: when one changes x by less than 10⁻⁵,
// double precision is reached.
func colebrook(re, e, x float64) float64 {
	const c = 2 / math.Ln10
	a, b := e/3.7, 2.51/re
	if x == 0 {
		x = -c * math.Log(a+7*b)
	}
	for range 6 {
		s := a + b*x
		r := c * b / s
		// F(x) = x + c ln(a + b x), F' = 1 + r, F" = −r b/s
		f, d := x+c*math.Log(s), 1+r
		step := f * d / (d*d + f*r*b/(2*s))
		x -= step
		if math.Abs(step) < 1e-5*x {
			break
		}
	}
	return x
}
