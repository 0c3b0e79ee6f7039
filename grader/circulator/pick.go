package circulator

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"loopwright/grader/quantity"
)

// Model is a circulator that can be taken.
type Model struct {
	ID    string
	Name  string
	Note  string // what sort of curve, in a few words
	Curve Curve
}

// Reason is why a model was taken or left.
type Reason uint8

// The reasons.
const (
	Taken            Reason = iota // the smallest that delivers
	LargerThanNeeded               // delivers, but another does with less
	TooLittleHead
	BeyondItsCurve
)

var reasons = [...]string{
	"the smallest that delivers the flow and head",
	"delivers it, but larger than needed",
	"gives too little head at this flow",
	"its curve ends before this flow",
}

// String is the reason in plain words.
func (r Reason) String() string { return reasons[r] }

// Verdict is what was found about one model.
type Verdict struct {
	Model   Model
	Reason  Reason
	Head    quantity.MetersHead // of its curve at the design flow; 0 beyond its curve
	Surplus quantity.MetersHead // that head less the one needed with its margin
	Water   float64             // W of hydraulic power at the design flow for water of 1000 kg/m³; 0 beyond its curve
}

// Choice is the outcome of Pick.
type Choice struct {
	Model    Model
	Verdicts []Verdict // of every model, in the order given
}

// NoneFitsError says that no model of a set delivers.
type NoneFitsError struct{ Verdicts []Verdict }

func (e *NoneFitsError) Error() string {
	return fmt.Sprintf("circulator: none of %d models delivers the flow and head", len(e.Verdicts))
}

// Pick takes the smallest model that delivers a design flow at a design head
// with a margin on the head (0.1 is 10 %). Smallest is least hydraulic power at
// the design flow, so the curve closest above the point; of equals, the one
// with the shorter curve, then the first.
//
//	fits: H(Q) ≥ H_design (1 + margin)
//
// flow in m³/s, head in m, both above zero; margin from 0 to 1. If none fits, a
// *NoneFitsError with the reasons. The customary rule takes the smaller of two
// curves even when the point lies between them: see package thumb. Own rule,
// from the definition of a design point.
func Pick(set []Model, flow float64, head quantity.MetersHead, margin float64) (Choice, error) {
	if !(flow > 0) || !(head > 0) || math.IsInf(flow, 0) || math.IsInf(float64(head), 0) {
		return Choice{}, fmt.Errorf("circulator: a design point needs a flow and a head above zero, got %g m³/s and %g m", flow, float64(head))
	}
	if !(margin >= 0 && margin <= 1) {
		return Choice{}, &quantity.RangeError{Quantity: "margin on the head", Value: margin, Low: 0, High: 1}
	}
	needed := head * quantity.MetersHead(1+margin)
	verdicts := make([]Verdict, len(set))
	var fit []int
	for i, m := range set {
		v := Verdict{Model: m, Reason: BeyondItsCurve}
		if h, err := m.Curve.Head(flow); err == nil {
			v.Reason, v.Head, v.Surplus, v.Water = TooLittleHead, h, h-needed, HydraulicPower(flow, h, 1000)
			if h >= needed {
				v.Reason = LargerThanNeeded
				fit = append(fit, i)
			}
		}
		verdicts[i] = v
	}
	if len(fit) == 0 {
		return Choice{}, &NoneFitsError{verdicts}
	}
	best := slices.MinFunc(fit, func(a, b int) int {
		return cmp.Or(cmp.Compare(verdicts[a].Water, verdicts[b].Water), cmp.Compare(set[a].Curve.End(), set[b].Curve.End()))
	})
	verdicts[best].Reason = Taken
	return Choice{set[best], verdicts}, nil
}
