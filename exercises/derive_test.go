package exercises

import (
	"testing"

	"github.com/stretchr/testify/require"

	"loopwright/grader"
	"loopwright/grader/quantity"
)

// posed makes a problem that asks for a − b + c = 2.4 − 0.3 + 0.1 = 2.2, with
// one slip.
func posed(t *testing.T, expression string, may bool) (*Problem, string) {
	t.Helper()
	s := newSheet()
	s.Statement("What is {a} less {b} and more {c}?")
	s.Given("a", "first", 2.4, quantity.Kilopascal)
	s.Given("b", "second", 0.3, quantity.Kilopascal)
	s.Given("c", "third", 0.1, quantity.Kilopascal)
	s.Step("x", "Result", "a - b + c", quantity.Kilopascal, "One after the other.")
	s.Ask("x", "Result", "x", ToleranceExact)
	s.addSlip("wrong", "x", expression, "Not so.", may)
	p, rejected, err := s.problem()
	require.NoError(t, err)
	return p, rejected
}

// A slip that leaves only the dust of rounding cannot be typed: it is left out,
// and a draw that must have it is thrown away. Zero, and a value that is small
// and really there, are kept and known.
func TestDustIsNoSlip(t *testing.T) {
	// A computer makes 0.1 + 0.2 − 0.3 about 5.6e-17, and 3 × 0.1 − 0.3 too.
	for _, dusty := range []string{"c + 0.2 - b", "3 * c - b"} {
		p, rejected := posed(t, dusty, true)
		require.Empty(t, rejected, dusty)
		require.Empty(t, p.Parts[0].Slips, dusty)
		_, rejected = posed(t, dusty, false)
		require.Contains(t, rejected, "nothing to type", dusty)
	}
	for expression, typed := range map[string]string{"a - a": "0 kPa", "c / 10000": "0.00001 kPa", "0 - c / 10000": "-0.00001 kPa"} {
		for _, may := range []bool{true, false} {
			p, rejected := posed(t, expression, may)
			require.Empty(t, rejected, expression)
			require.Len(t, p.Parts[0].Slips, 1, expression)
			require.Equal(t, "wrong", requireVerdict(t, p.Parts[0], typed, grader.KnownSlip).Slip)
		}
	}
}
