package network

import "math"

// Resistance is anything that takes head from a flow.
type Resistance interface {
	// HeadAndSlope gives the head lost at a flow (m at m³/s) and its
	// derivative. It is odd: a reversed flow loses the same head in the other
	// direction. The slope is positive, also at zero flow.
	HeadAndSlope(flow float64) (head, slope float64)
}

// PowerLaw loses Coefficient × |flow|^Exponent.
type PowerLaw struct {
	Coefficient float64 // m/(m³/s)^Exponent
	Exponent    float64 // 1 to 2
}

// RatedPoint is the power law through one known point: head h at flow q.
func RatedPoint(q, h, exponent float64) PowerLaw {
	return PowerLaw{h / math.Pow(q, exponent), exponent}
}

// smallestFlow is where a power law turns into a straight line, so that its
// slope stays positive at zero flow: 10⁻⁹ m³/s is a drop a minute.
const smallestFlow = 1e-9

// HeadAndSlope implements Resistance.
func (p PowerLaw) HeadAndSlope(flow float64) (head, slope float64) {
	q := math.Abs(flow)
	if q < smallestFlow {
		slope = p.Coefficient * math.Pow(smallestFlow, p.Exponent-1)
		return slope * flow, slope
	}
	head = p.Coefficient * math.Pow(q, p.Exponent)
	return math.Copysign(head, flow), p.Exponent * head / q
}

// Series is resistances one after the other: their heads add up.
type Series []Resistance

// HeadAndSlope implements Resistance.
func (s Series) HeadAndSlope(flow float64) (head, slope float64) {
	for _, r := range s {
		h, d := r.HeadAndSlope(flow)
		head, slope = head+h, slope+d
	}
	return head, slope
}

// HeadSource drives the flow: a circulator's curve, or a fixed head.
type HeadSource interface {
	// SourceHead gives the head added at a flow and its derivative, which is
	// zero or negative.
	SourceHead(flow float64) (head, slope float64)
}

// FixedHead is a source that holds its head whatever the flow.
type FixedHead float64

// SourceHead implements HeadSource.
func (h FixedHead) SourceHead(float64) (head, slope float64) { return float64(h), 0 }
