package circulator

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/interp"

	"loopwright/grader/quantity"
)

// Point is one point of a curve.
type Point struct {
	Flow  float64             // m³/s
	Head  quantity.MetersHead // of the flowing fluid
	Power float64             // W drawn from the supply; 0 where it is not known
}

// Curve is a circulator's head against flow, from no flow to the end of its
// published curve. It never rises. The zero Curve is not usable.
type Curve struct {
	// head gives head and slope at a flow within the curve.
	head func(flow float64) (head, slope float64)
	// power is nil where it is not known.
	power   func(flow float64) float64
	shutoff float64
	end     float64 // flow
}

// NewCurve makes a curve through points in order of flow, the first at zero
// flow.
//
//	1 point (q, h):  H = 4h/3 − (h/3)(Q/q)²
//	2 points:        H = H0 − (H0 − h)(Q/q)²
//	3 points:        H = a + b Q + c Q², through all three
//	more:            cubics between the points that keep the curve's fall
//
// A single point must lie at a flow above zero; its curve ends at 2q, where its
// head is zero. A curve that rises anywhere, points out of order and numbers
// that are not finite are an error. The power is read between the points in the
// same manner; it is known only if every point has one. Sources: one point, US
// EPA EPANET users manual (single-point pump curve); cubics, Fritsch and
// Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300, as implemented in gonum.
func NewCurve(points ...Point) (Curve, error) {
	if err := checkPoints(points); err != nil {
		return Curve{}, err
	}
	n := len(points)
	if n == 1 {
		p := points[0]
		q, h := p.Flow, float64(p.Head)
		return Curve{head: parabola(4*h/3, 0, -h/(3*q*q)), shutoff: 4 * h / 3, end: 2 * q}, nil
	}
	q, h, w := make([]float64, n), make([]float64, n), make([]float64, n)
	powered := true
	for i, p := range points {
		q[i], h[i], w[i] = p.Flow, float64(p.Head), p.Power
		powered = powered && p.Power > 0
	}
	c := Curve{shutoff: h[0], end: q[n-1]}
	switch n {
	case 2:
		c.head = parabola(h[0], 0, (h[1]-h[0])/(q[1]*q[1]))
	case 3:
		c.head = throughThree(q, h)
		for _, at := range []float64{q[0], q[2]} {
			// A parabola's slope is greatest at one of its ends.
			if _, slope := c.head(at); slope > 1e-9*h[0]/q[2] {
				return Curve{}, fmt.Errorf("circulator: the parabola through three points rises near %.4g m³/s; give more points", at)
			}
		}
	default:
		c.head = cubics(q, h)
	}
	if !powered {
		return c, nil
	}
	var power func(float64) (float64, float64)
	switch n {
	case 2:
		power = parabola(w[0], (w[1]-w[0])/q[1], 0)
	case 3:
		power = throughThree(q, w)
	default:
		power = cubics(q, w)
	}
	c.power = func(flow float64) float64 { p, _ := power(flow); return p }
	return c, nil
}

func checkPoints(points []Point) error {
	if len(points) == 0 {
		return fmt.Errorf("circulator: a curve needs at least one point")
	}
	for i, p := range points {
		for _, x := range []float64{p.Flow, float64(p.Head), p.Power} {
			if !(x >= 0) || math.IsInf(x, 0) {
				return fmt.Errorf("circulator: point %d (%g m³/s, %g m, %g W) holds a number that is negative or not finite", i+1, p.Flow, float64(p.Head), p.Power)
			}
		}
		switch {
		case i > 0 && !(p.Flow > points[i-1].Flow):
			return fmt.Errorf("circulator: point %d does not lie at a larger flow than the one before", i+1)
		case i > 0 && p.Head > points[i-1].Head:
			return fmt.Errorf("circulator: the curve rises from point %d to %d; such a circulator can run at two flows on one system", i, i+1)
		}
	}
	first := points[0]
	switch {
	case !(first.Head > 0):
		return fmt.Errorf("circulator: the first point has no head")
	case len(points) == 1 && first.Flow == 0:
		return fmt.Errorf("circulator: a curve from one point needs it at a flow above zero")
	case len(points) > 1 && first.Flow != 0:
		return fmt.Errorf("circulator: the first point must be the head at no flow, got %g m³/s", first.Flow)
	}
	return nil
}

func parabola(a, b, c float64) func(float64) (float64, float64) {
	return func(q float64) (float64, float64) { return a + q*(b+q*c), b + 2*c*q }
}

// throughThree is Newton's divided differences, with x[0] = 0.
func throughThree(x, y []float64) func(float64) (float64, float64) {
	d1 := (y[1] - y[0]) / x[1]
	d2 := ((y[2]-y[1])/(x[2]-x[1]) - d1) / x[2]
	return parabola(y[0], d1-d2*x[1], d2)
}

func cubics(x, y []float64) func(float64) (float64, float64) {
	var fit interp.FritschButland
	if err := fit.Fit(x, y); err != nil {
		panic(err) // checkPoints let through what the fit refuses
	}
	return func(q float64) (float64, float64) { return fit.Predict(q), fit.PredictDerivative(q) }
}

// Shutoff is the head at no flow.
func (c Curve) Shutoff() quantity.MetersHead { return quantity.MetersHead(c.shutoff) }

// End is the flow at which the curve ends, in m³/s.
func (c Curve) End() float64 { return c.end }

func (c Curve) within(flow float64) error {
	if !(flow >= 0 && flow <= c.end) {
		return &quantity.RangeError{Quantity: "flow on the circulator's curve", Value: flow, Low: 0, High: c.end, Unit: "m³/s"}
	}
	return nil
}

// Head is the head at a flow (m³/s) from zero to [Curve.End]; outside, a
// *quantity.RangeError.
func (c Curve) Head(flow float64) (quantity.MetersHead, error) {
	if err := c.within(flow); err != nil {
		return 0, err
	}
	h, _ := c.head(flow)
	return quantity.MetersHead(h), nil
}

// Slope is dH/dQ in m per m³/s, zero or negative; range as [Curve.Head].
func (c Curve) Slope(flow float64) (float64, error) {
	if err := c.within(flow); err != nil {
		return 0, err
	}
	_, slope := c.head(flow)
	return slope, nil
}

// Powered says whether the curve knows its electric power.
func (c Curve) Powered() bool { return c.power != nil }

// Power is the electric power at a flow, in W; range as [Curve.Head]. A curve
// without power figures is an error.
func (c Curve) Power(flow float64) (float64, error) {
	if c.power == nil {
		return 0, fmt.Errorf("circulator: this curve has no power figures")
	}
	if err := c.within(flow); err != nil {
		return 0, err
	}
	return c.power(flow), nil
}

// SourceHead is head and slope for a solver of a network: the curve within its
// range, and straight on in both directions outside, so that an iteration that
// oversteps finds its way back. A solution outside the curve is none: check it
// against [Curve.End].
func (c Curve) SourceHead(flow float64) (head, slope float64) {
	at := min(max(flow, 0), c.end)
	h, s := c.head(at)
	if at != flow {
		// Flat ends get a slight fall, or the iteration would stand still.
		s = min(s, -1e-3*c.shutoff/c.end)
	}
	return h + s*(flow-at), s
}

// AtSpeed is the curve at another speed, by the affinity laws.
//
//	Q ∝ N,  H ∝ N²,  P ∝ N³
//
// ratio is new over old speed, 0.1 to 1.5 here; outside, a
// *quantity.RangeError: far from the speed of the curve the losses no longer
// follow (limits: common practice), and power least of all. Source: Hydraulic
// Institute; Crane TP-410 example 7-33.
func (c Curve) AtSpeed(ratio float64) (Curve, error) {
	if !(ratio >= 0.1 && ratio <= 1.5) {
		return Curve{}, &quantity.RangeError{Quantity: "speed ratio", Value: ratio, Low: 0.1, High: 1.5}
	}
	out := Curve{
		head: func(q float64) (float64, float64) {
			h, s := c.head(min(q/ratio, c.end)) // rounding must not leave the curve
			return ratio * ratio * h, ratio * s
		},
		shutoff: ratio * ratio * c.shutoff, end: ratio * c.end,
	}
	if c.power != nil {
		out.power = func(q float64) float64 { return ratio * ratio * ratio * c.power(min(q/ratio, c.end)) }
	}
	return out, nil
}
