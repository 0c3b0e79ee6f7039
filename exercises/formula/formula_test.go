package formula

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

type env map[string]float64

func (e env) Value(name string) (float64, bool) { v, ok := e[name]; return v, ok }
func (e env) Function(name string) (Func, bool) {
	if name == "twice" {
		return func(a ...float64) (float64, error) { return 2 * a[0], nil }, true
	}
	return nil, false
}

func TestEvalByHand(t *testing.T) {
	values := env{"Q": 60000, "dT": 20, "f_1": 4, "f_2": 8, "rho": 61.4}
	for source, want := range map[string]float64{
		"Q / (500 * dT)":             6,
		"pow(f_2 / f_1, 2) * 3":      12,
		"sqrt(f_1) + twice(f_2) - 1": 17,
		"-f_1 * 2 / 4":               -2,
		"1 - 2 - 3":                  -4,
		"12 / 2 / 3":                 2,
		"ln(1) + max(f_1, f_2)":      8,
	} {
		e, err := Parse(source)
		require.NoError(t, err)
		got, err := e.Eval(values)
		require.NoError(t, err, source)
		require.InDelta(t, want, got, 1e-12, source)
	}
}

func TestEvalRefuses(t *testing.T) {
	for _, source := range []string{"Q", "1 / x", "pow(1)", "unknown(1)", "sqrt(0 - 1)"} {
		e, err := Parse(source)
		require.NoError(t, err)
		_, err = e.Eval(env{"x": 0})
		require.Error(t, err, source)
	}
	for _, source := range []string{"", "a +", "a ^ 2", `"text"`, "a.b", "a == b", "f(1)(2)", "func() {}", "a[1]"} {
		_, err := Parse(source)
		require.Error(t, err, source)
	}
	_, err := (&Expr{"x", mustParse(t, "x*x").root}).Eval(env{"x": math.MaxFloat64})
	require.Error(t, err)
}

func mustParse(t *testing.T, source string) *Expr {
	e, err := Parse(source)
	require.NoError(t, err)
	return e
}

func TestTextAndSubstitution(t *testing.T) {
	e := mustParse(t, "Q / (500 * dT)")
	require.Equal(t, "Q / (500 × ΔT)", e.Text())
	shown := map[string]string{"Q": "60,000", "dT": "\u22122"}
	require.Equal(t, "60,000 / (500 × (\u22122))", e.Substitute(func(n string) string { return shown[n] }))
	require.Equal(t, []string{"Q", "dT"}, e.Names())
	require.Equal(t, "(f₂ / f₁)²", mustParse(t, "pow(f_2 / f_1, 2)").Text())
	require.Equal(t, "h_far × √(ρ)", mustParse(t, "h_far * sqrt((rho))").Text())
	require.Equal(t, []string{"a", "b"}, mustParse(t, "twice(a) + b").Names())
}

func TestMathMLIsWellFormedAndEscaped(t *testing.T) {
	require.Equal(t,
		`<math displaystyle="true"><mrow><mi>f</mi><mo>=</mo><mfrac><mrow><mi>Q</mi></mrow><mrow><mn>500</mn><mo>×</mo><mi>ΔT</mi></mrow></mfrac></mrow></math>`,
		mustParse(t, "Q / (500 * dT)").MathML("f"))
	require.Contains(t, mustParse(t, "pow(a / b, 2)").MathML(""), "<msup><mrow><mrow><mo>(</mo>")
}
