// Package closeto compares numbers in tests. It refuses NaN and infinities,
// which testify's InDelta lets through when both sides are NaN.
package closeto

import (
	"math"
	"testing"
)

// Relative fails the test unless got is finite and within rel × |want| of
// want. For want = 0 use [Absolute].
func Relative(t testing.TB, want, got, rel float64, what string) {
	t.Helper()
	Absolute(t, want, got, rel*math.Abs(want), what)
}

// Absolute fails the test unless got is finite and within abs of want.
func Absolute(t testing.TB, want, got, abs float64, what string) {
	t.Helper()
	switch {
	case math.IsNaN(want) || math.IsInf(want, 0):
		t.Errorf("%s: the expected value %v is not a number", what, want)
	case math.IsNaN(got) || math.IsInf(got, 0):
		t.Errorf("%s: got %v, want %v", what, got, want)
	case math.Abs(got-want) > abs:
		t.Errorf("%s: got %.10g, want %.10g within %.3g", what, got, want, abs)
	}
}
