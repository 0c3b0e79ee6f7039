package network

import (
	"fmt"

	"loopwright/grader/fluid"
	"loopwright/grader/quantity"
)

// LossAt is the head that a part takes from a mass flow (kg/s) of water at a
// temperature, in m of water at the reference: the head that adds up with those
// of other parts with other water. A part that drives the flow has a loss below
// zero. Temperatures outside those of water are a *quantity.RangeError.
func LossAt(p Part, mass float64, water, reference quantity.Celsius) (quantity.MetersHead, error) {
	liquid := fluid.NearWater()
	r, err := liquid.At(reference)
	if err != nil {
		return 0, err
	}
	w, err := liquid.At(water)
	if err != nil {
		return 0, fmt.Errorf("%s: %w", p.kind(), err)
	}
	l := p.law()
	l.fill(w, r.Density)
	h, _ := l.HeadAndSlope(mass / r.Density)
	return quantity.MetersHead(h), nil
}
