package network

import (
	"math"

	"loopwright/grader/fluid"
	"loopwright/grader/pipe"
	"loopwright/grader/quantity"
)

// PipeRun is straight pipe with its fittings.
type PipeRun struct {
	Size   pipe.Size
	Length float64 // m
	K      float64 // sum of the loss coefficients of its fittings
	Water  fluid.Properties
}

// HeadAndSlope implements Resistance: friction along the length, and
// K v²/(2 g) for the fittings.
func (p PipeRun) HeadAndSlope(flow float64) (head, slope float64) {
	rate, d := p.Size.HeadLossRate(flow, p.Water)
	a := p.Size.Area()
	k := p.K / (2 * quantity.StandardGravity * a * a)
	return rate*p.Length + k*flow*math.Abs(flow), d*p.Length + 2*k*math.Abs(flow)
}
