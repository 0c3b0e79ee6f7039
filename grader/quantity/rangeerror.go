package quantity

import "fmt"

// RangeError says that a value lies outside the range in which a formula or a
// table holds.
type RangeError struct {
	Quantity  string // what was out of range, in words
	Value     float64
	Low, High float64
	Unit      string
}

func (e *RangeError) Error() string {
	return fmt.Sprintf("%s of %.6g %s is outside the range %.6g to %.6g %s", e.Quantity, e.Value, e.Unit, e.Low, e.High, e.Unit)
}
