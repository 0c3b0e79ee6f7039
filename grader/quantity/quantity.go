package quantity

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Quantity is a number with its kind and the unit it is shown in.
type Quantity struct {
	SI   float64 // in Unit.Kind.SIUnit()
	Unit *Unit   // how it is shown; never nil in a valid Quantity
}

// Of is number written in unit u: Of(45, GallonPerMinute) is 45 gpm.
func Of(number float64, u *Unit) Quantity { return Quantity{u.ToSI(number), u} }

// FromSI is an SI value that will be shown in unit u.
func FromSI(si float64, u *Unit) Quantity { return Quantity{si, u} }

// Kind says what sort of quantity this is.
func (q Quantity) Kind() Kind { return q.Unit.Kind }

// Number is the value in the unit shown.
func (q Quantity) Number() float64 { return q.Unit.FromSI(q.SI) }

// In is the same quantity shown in another unit of its kind. It panics on a
// unit of another kind: that is a programmer's error.
func (q Quantity) In(u *Unit) Quantity {
	if u.Kind != q.Unit.Kind {
		panic(fmt.Sprintf("quantity: %s shown as %s", q.Unit.Kind, u.Kind))
	}
	return Quantity{q.SI, u}
}

// Text is the quantity as a result is printed: three significant figures
// (temperatures to a tenth of a degree), thousands marked, unit behind.
func (q Quantity) Text() string { return withUnit(q.rounded(), q.Unit) }

// Exact is the quantity as a given is printed: every figure that was drawn, up
// to six.
func (q Quantity) Exact() string { return withUnit(group(trim(q.Number(), 6)), q.Unit) }

// Figures is Text without the unit.
func (q Quantity) Figures() string { return q.rounded() }

// ExactFigures is Exact without the unit.
func (q Quantity) ExactFigures() string { return group(trim(q.Number(), 6)) }

func (q Quantity) rounded() string {
	if k := q.Unit.Kind; k == Temperature || k == TemperatureDifference {
		// A thermometer is read to a tenth at best; three figures would
		// print 161.5 °F as 162 °F and hide a drop.
		return group(strconv.FormatFloat(roundTo(q.Number(), 0.1), 'f', -1, 64))
	}
	return group(trim(q.Number(), 3))
}

func withUnit(figures string, u *Unit) string {
	switch {
	case u.Symbol == "":
		return figures
	case u.Symbol == "%":
		return figures + "\u00a0%"
	}
	return figures + "\u00a0" + u.Symbol
}

func roundTo(x, step float64) float64 {
	// The second rounding removes the dust that the division leaves.
	r, _ := strconv.ParseFloat(strconv.FormatFloat(math.Round(x/step)*step, 'g', 12, 64), 64)
	return r + 0 // no negative zero
}

// trim writes x with at most n significant figures and no exponent; trailing
// zeros go.
func trim(x float64, n int) string {
	if x == 0 || math.IsNaN(x) || math.IsInf(x, 0) {
		return strconv.FormatFloat(x+0, 'f', -1, 64)
	}
	r, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'e', n-1, 64), 64)
	return strconv.FormatFloat(r, 'f', -1, 64)
}

// group marks thousands with commas from 1,000 on, and turns the hyphen into a
// true minus.
func group(s string) string {
	sign := ""
	if strings.HasPrefix(s, "-") {
		sign, s = "\u2212", s[1:]
	}
	whole, frac, _ := strings.Cut(s, ".")
	if len(whole) > 3 {
		var b strings.Builder
		lead := len(whole) % 3
		b.WriteString(whole[:lead])
		for i := lead; i < len(whole); i += 3 {
			if b.Len() > 0 {
				b.WriteByte(',')
			}
			b.WriteString(whole[i : i+3])
		}
		whole = b.String()
	}
	if frac != "" {
		return sign + whole + "." + frac
	}
	return sign + whole
}

// wire is the stable form of a quantity in JSON.
type wire struct {
	Text string  `json:"text"`
	SI   float64 `json:"si"`
	Unit string  `json:"unit"`
	Kind string  `json:"kind"`
	In   string  `json:"in"`
}

// MarshalJSON writes {"text": "45 gpm", "si": 0.002839, "unit": "m3/s",
// "kind": "flow", "in": "gpm"}.
func (q Quantity) MarshalJSON() ([]byte, error) {
	return json.Marshal(wire{strings.ReplaceAll(q.Text(), "\u00a0", " "), q.SI, q.Unit.Kind.SIUnit(), q.Unit.Kind.Slug(), q.Unit.Symbol})
}

// UnmarshalJSON reads what MarshalJSON wrote.
func (q *Quantity) UnmarshalJSON(b []byte) error {
	var w wire
	if err := json.Unmarshal(b, &w); err != nil {
		return err
	}
	for _, u := range units {
		if u.Symbol == w.In && u.Kind.Slug() == w.Kind {
			*q = Quantity{w.SI, u}
			return nil
		}
	}
	return fmt.Errorf("quantity: no unit %q of kind %q", w.In, w.Kind)
}
