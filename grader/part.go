package grader

import (
	"encoding/json"
	"errors"
	"math"

	"loopwright/grader/quantity"
)

// Kind is how a part is answered.
type Kind string

// The kinds of part.
const (
	Numeric Kind = "numeric" // a quantity, typed
	Choice  Kind = "choice"  // one of the options
	Order   Kind = "order"   // all of the options, in order
)

// Part is one thing that a problem asks, with everything that marking it
// needs. It is stored with each attempt, so that a mark can be defended after
// the family that made it has been rewritten.
type Part struct {
	ID     string  `json:"id"`
	Prompt string  `json:"prompt"`
	Kind   Kind    `json:"kind"`
	Weight float64 `json:"weight"`
	Answer Answer  `json:"answer"`
	// Low and High bound what is right, in SI. Numeric parts only.
	Low  float64 `json:"low,omitempty"`
	High float64 `json:"high,omitempty"`
	// WhyTolerance is the trade's reason for the bounds.
	WhyTolerance string `json:"why_tolerance,omitempty"`
	// Options are shown in this order. Choice and order parts only.
	Options []Option `json:"options,omitempty"`
	// Accepts are options besides the answer that pass with a remark.
	Accepts []Accept `json:"accepts,omitempty"`
	Hints   []string `json:"hints"`
	// Check is the first step to look at again when the answer is wrong.
	Check string `json:"check"`
	Slips []Slip `json:"slips"`
}

// Option is one line of a choice or of an ordering.
type Option struct {
	ID   string `json:"id"`
	Text string `json:"text"`
}

// Accept is an option that is not the best answer and still works on the job:
// the next pipe size up.
type Accept struct {
	Choice string  `json:"choice"`
	Score  float64 `json:"score"`
	Say    string  `json:"say"`
}

// Slip is a wrong turn that people really take, with the answer it leads to.
type Slip struct {
	ID     string `json:"id"`
	Answer Answer `json:"answer"`
	Say    string `json:"say"`
}

// Answer is a quantity, the id of an option, or the ids of all options in
// order. In JSON it is an object, a string or a list.
type Answer struct {
	Quantity *quantity.Quantity
	Choice   string
	Order    []string
}

// MarshalJSON writes whichever of the three the answer is.
func (a Answer) MarshalJSON() ([]byte, error) {
	switch {
	case a.Quantity != nil:
		return json.Marshal(a.Quantity)
	case a.Order != nil:
		return json.Marshal(a.Order)
	default:
		return json.Marshal(a.Choice)
	}
}

// UnmarshalJSON reads what MarshalJSON wrote.
func (a *Answer) UnmarshalJSON(b []byte) error {
	*a = Answer{}
	if len(b) == 0 {
		return errors.New("grader: empty answer")
	}
	switch b[0] {
	case '{':
		a.Quantity = new(quantity.Quantity)
		return json.Unmarshal(b, a.Quantity)
	case '[':
		return json.Unmarshal(b, &a.Order)
	default:
		return json.Unmarshal(b, &a.Choice)
	}
}

// SlipMatch is how closely an answer must agree with a slip to be called by
// its name, relative. Wide enough for a hand calculation that keeps three
// figures through several steps; narrow enough that two slips seldom share an
// answer. Common practice of this program, see DEVELOPERS.md.
const SlipMatch = 0.015

// slipWindow is SlipMatch in SI around one slip's answer. Temperatures have no
// meaningful percentage; half of the part's tolerance takes its place.
func (p *Part) slipWindow(slip float64) float64 {
	if k := p.Answer.Quantity.Kind(); k == quantity.Temperature {
		return p.halfWidth() / 2
	}
	return SlipMatch * math.Abs(slip)
}

func (p *Part) halfWidth() float64 { return (p.High - p.Low) / 2 }

// Crowded names a numeric part's slip that lies too close to the right answer,
// or to another slip, to be told from it: within twice the tolerance of right
// plus its own window, or with overlapping windows. A generator throws such a
// draw away. It returns the indices of the two that collide, −1 standing for
// the right answer, and ok = false where nothing does.
func (p *Part) Crowded() (slip, other int, crowded bool) {
	if p.Kind != Numeric {
		return 0, 0, false
	}
	for i := range p.Slips {
		v := p.Slips[i].Answer.Quantity.SI
		w := p.slipWindow(v)
		h := p.halfWidth()
		if v+w >= p.Low-h && v-w <= p.High+h {
			return i, -1, true
		}
		for j := range i {
			u := p.Slips[j].Answer.Quantity.SI
			if math.Abs(u-v) <= w+p.slipWindow(u) {
				return i, j, true
			}
		}
	}
	return 0, 0, false
}
