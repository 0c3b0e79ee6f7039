package grader

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"loopwright/grader/quantity"
)

func numeric(right, rel float64, u *quantity.Unit, slips ...Slip) Part {
	q := quantity.Of(right, u)
	return Part{ID: "a", Kind: Numeric, Weight: 1, Answer: Answer{Quantity: &q}, Slips: slips, Check: "Check first: the drop.",
		Low: u.ToSI(right * (1 - rel)), High: u.ToSI(right * (1 + rel))}
}

func slipAt(id string, v float64, u *quantity.Unit) Slip {
	q := quantity.Of(v, u)
	return Slip{ID: id, Answer: Answer{Quantity: &q}, Say: "say " + id}
}

func TestNumericVerdicts(t *testing.T) {
	gpm := quantity.GallonPerMinute
	flow := numeric(6.16, 0.03, gpm, slipAt("no-500", 3080, gpm), slipAt("supply", 0.72, gpm), slipAt("also-supply", 0.725, gpm))
	heat := numeric(60000, 0.03, quantity.BTUPerHour)
	head := numeric(18, 0.10, quantity.FootHead)
	pressure := numeric(7.8, 0.05, quantity.PSI)
	reading := numeric(0, 0, quantity.Fahrenheit, slipAt("added", 200, quantity.Fahrenheit))
	q := quantity.Of(160, quantity.Fahrenheit)
	reading.Answer.Quantity, reading.Low, reading.High = &q, quantity.Fahrenheit.ToSI(159), quantity.Fahrenheit.ToSI(161)
	precise := numeric(6.16, 0.01, gpm)
	for _, c := range []struct {
		name  string
		part  Part
		typed string
		want  Verdict
		slip  string
		score float64
	}{
		{"exact", flow, "6.16", Right, "", 1},
		{"with unit", flow, "6.16 gpm", Right, "", 1},
		{"converted", flow, "0.3886 L/s", Right, "", 1},
		{"just inside", flow, "6.344", Right, "", 1},
		{"just outside", flow, "6.352", Wrong, "", 0},
		{"rounded to one figure, inside", flow, "6", Right, "", 1},
		{"rounded to one figure, outside", precise, "6", Rounding, "", 0.8},
		{"cut to two figures", numeric(6.16, 0.005, gpm), "6.1", Rounding, "", 0.8},
		{"not what rounding gives", precise, "6.0", Wrong, "", 0},
		{"rounded up to one figure is too far", precise, "7", Wrong, "", 0},
		{"three figures are not rounding", precise, "6.30", Wrong, "", 0},
		{"right number, wrong unit", flow, "6.16 L/s", Unit, "", 0.5},
		{"right number in another kind", flow, "6.16 ft", Unit, "", 0.5},
		{"other unit's number, bare", flow, "0.3886", Unit, "", 0.5},
		{"other unit's number with the asked unit", flow, "0.3886 gpm", Unit, "", 0.5},
		{"a known slip", flow, "3080", KnownSlip, "no-500", 0},
		{"a known slip, closely", flow, "3100 gpm", KnownSlip, "no-500", 0},
		{"not close enough to the slip", flow, "3200", Wrong, "", 0},
		{"two slips fit: none is named", flow, "0.722", Wrong, "", 0},
		{"sign", flow, "-6.16", Wrong, "", 0},
		{"factor of a thousand", flow, "6160", Wrong, "", 0},
		{"thousands in MBH", heat, "60 MBH", Right, "", 1},
		{"a bare number in MBH is a lost factor", heat, "60", Wrong, "", 0},
		{"the wrong thousands unit", heat, "60,000 MBH", Unit, "", 0.5},
		{"head for pressure", pressure, "18 ft", Unit, "", 0.5},
		{"wrong head for pressure", pressure, "9 ft", Wrong, "", 0},
		{"pressure for head", head, "7.8 psi", Unit, "", 0.5},
		{"temperature", reading, "160.4", Right, "", 1},
		{"temperature in the other scale", reading, "71.1 C", Right, "", 1},
		{"temperature in the other scale, bare", reading, "71.1", Unit, "", 0.5},
		{"temperature slip", reading, "200.3", KnownSlip, "added", 0},
		{"temperature near slip", reading, "201", Wrong, "", 0},
		{"a minus is no sign error of a reading", reading, "-160", Wrong, "", 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, err := Mark([]Part{c.part}, map[string]string{"a": c.typed})
			require.NoError(t, err)
			got := r.Parts[0]
			require.Equal(t, c.want, got.Verdict, got.Say)
			require.Equal(t, c.slip, got.Slip)
			require.InDelta(t, c.score, got.Score, 1e-12)
			require.InDelta(t, c.score, r.Score, 1e-12)
			require.NotEmpty(t, got.ReadAs)
			require.Equal(t, c.want == Right, got.Say == "", "everything but right is explained")
		})
	}
}

func TestChoiceAndOrder(t *testing.T) {
	options := []Option{{"a", "3/4 in"}, {"b", "1 in"}, {"c", "1-1/4 in"}, {"d", "2 in"}}
	choice := Part{ID: "size", Kind: Choice, Weight: 1, Options: options, Answer: Answer{Choice: "b"}, Check: "Check first: the flow.",
		Accepts: []Accept{{"c", 1, "Works, and costs more."}}, Slips: []Slip{{"velocity-only", Answer{Choice: "a"}, "Too small."}}}
	order := Part{ID: "order", Kind: Order, Weight: 3, Options: options, Answer: Answer{Order: []string{"b", "a", "d", "c"}}, Check: "Check first.",
		Slips: []Slip{{"reversed", Answer{Order: []string{"c", "d", "a", "b"}}, "Other way round."}}}
	for _, c := range []struct {
		size, order string
		verdicts    [2]Verdict
		score       float64
	}{
		{"b", "b,a,d,c", [2]Verdict{Right, Right}, 1},
		{"c", "b a d c", [2]Verdict{Right, Right}, 1},
		{"a", "b, a, d, c", [2]Verdict{KnownSlip, Right}, 0.75},
		{"d", "c,d,a,b", [2]Verdict{Wrong, KnownSlip}, 0},
		{"b", "a,b,c,d", [2]Verdict{Right, Wrong}, 0.25},
	} {
		r, err := Mark([]Part{choice, order}, map[string]string{"size": c.size, "order": c.order})
		require.NoError(t, err)
		require.Equal(t, c.verdicts, [2]Verdict{r.Parts[0].Verdict, r.Parts[1].Verdict})
		require.InDelta(t, c.score, r.Score, 1e-12)
	}
	_, err := Mark([]Part{choice, order}, map[string]string{"size": "z<script>", "order": "a,a,b,c", "extra": "1"})
	var bad InputErrors
	require.ErrorAs(t, err, &bad)
	require.Len(t, bad, 3)
	require.ErrorContains(t, err, "choose one of a, b, c, d")
	require.ErrorContains(t, err, "exactly once")
	require.ErrorContains(t, err, "no such part")
}

func TestUnreadableIsNotMarked(t *testing.T) {
	p := numeric(6, 0.03, quantity.GallonPerMinute)
	for _, typed := range []string{"", " ", "six", "NaN", "1e999"} {
		_, err := Mark([]Part{p}, map[string]string{"a": typed})
		var bad InputErrors
		require.ErrorAs(t, err, &bad, typed)
	}
}

func TestCrowded(t *testing.T) {
	gpm := quantity.GallonPerMinute
	for _, c := range []struct {
		name  string
		part  Part
		crowd bool
	}{
		{"clear", numeric(10, 0.03, gpm, slipAt("s", 20, gpm)), false},
		{"inside the tolerance", numeric(10, 0.03, gpm, slipAt("s", 10.2, gpm)), true},
		{"within twice the tolerance", numeric(10, 0.03, gpm, slipAt("s", 10.5, gpm)), true},
		{"just beyond", numeric(10, 0.03, gpm, slipAt("s", 10.8, gpm)), false},
		{"on each other", numeric(10, 0.03, gpm, slipAt("s", 20, gpm), slipAt("u", 20.4, gpm)), true},
		{"next to each other", numeric(10, 0.03, gpm, slipAt("s", 20, gpm), slipAt("u", 20.7, gpm)), false},
	} {
		_, _, crowded := c.part.Crowded()
		require.Equal(t, c.crowd, crowded, c.name)
	}
}

func TestPartsSurviveStorage(t *testing.T) {
	gpm := quantity.GallonPerMinute
	parts := []Part{
		numeric(6.16, 0.03, gpm, slipAt("s", 3080, gpm)),
		{ID: "b", Kind: Choice, Weight: 1, Answer: Answer{Choice: "x"}, Options: []Option{{"x", "X"}}, Hints: []string{}, Slips: []Slip{}},
		{ID: "c", Kind: Order, Weight: 1, Answer: Answer{Order: []string{"x", "y"}}, Options: []Option{{"x", "X"}, {"y", "Y"}}},
	}
	b, err := json.Marshal(parts)
	require.NoError(t, err)
	var back []Part
	require.NoError(t, json.Unmarshal(b, &back))
	require.Equal(t, parts, back)
}
