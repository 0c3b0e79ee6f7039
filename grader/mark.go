package grader

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"loopwright/grader/quantity"
)

// Verdict is what a marked part is.
type Verdict string

// The verdicts.
const (
	Right     Verdict = "right"
	Rounding  Verdict = "rounding" // right, but rounded too hard
	Unit      Verdict = "unit"     // right number, wrong unit
	KnownSlip Verdict = "slip"     // a wrong turn that has a name
	Wrong     Verdict = "wrong"
)

// Scores of the verdicts that are neither right nor wrong. Demo values: a
// convention of this program, the same for every family.
const (
	roundingScore = 0.8
	unitScore     = 0.5
)

// Result is a marked problem.
type Result struct {
	Score float64      `json:"score"` // 0 to 1, parts by weight
	Parts []PartResult `json:"parts"`
}

// PartResult is a marked part.
type PartResult struct {
	ID      string  `json:"id"`
	Verdict Verdict `json:"verdict"`
	Slip    string  `json:"slip"` // id, where Verdict is KnownSlip
	Say     string  `json:"say"`
	Score   float64 `json:"score"`
	ReadAs  string  `json:"read_as"` // what the typed text was understood to be
}

// InputError says that a part's answer could not be read. It is not an
// attempt: nothing was marked.
type InputError struct {
	Part   string
	Reason string
}

func (e *InputError) Error() string { return fmt.Sprintf("part %s: %s", e.Part, e.Reason) }

// InputErrors are all the parts whose answers could not be read.
type InputErrors []*InputError

func (e InputErrors) Error() string {
	lines := make([]string, len(e))
	for i, one := range e {
		lines[i] = one.Error()
	}
	return strings.Join(lines, "; ")
}

// Mark marks typed answers, by part id. An answer that cannot be read or is
// missing, and one for a part that does not exist, give [InputErrors] and no
// result.
func Mark(parts []Part, answers map[string]string) (Result, error) {
	var result Result
	var bad InputErrors
	var total float64
	for i := range parts {
		p := &parts[i]
		marked, err := p.mark(answers[p.ID])
		if err != nil {
			bad = append(bad, err)
			continue
		}
		marked.ID = p.ID
		result.Parts = append(result.Parts, marked)
		result.Score += p.Weight * marked.Score
		total += p.Weight
	}
	for _, id := range unknown(parts, answers) {
		bad = append(bad, &InputError{id, "this problem has no such part; its parts are " + partList(parts)})
	}
	if bad != nil {
		return Result{}, bad
	}
	if total > 0 {
		result.Score /= total
	}
	return result, nil
}

func unknown(parts []Part, answers map[string]string) []string {
	var ids []string
	for id := range answers {
		if !slices.ContainsFunc(parts, func(p Part) bool { return p.ID == id }) {
			ids = append(ids, id)
		}
	}
	slices.Sort(ids)
	return ids
}

func partList(parts []Part) string {
	ids := make([]string, len(parts))
	for i := range parts {
		ids[i] = parts[i].ID
	}
	return strings.Join(ids, ", ")
}

func (p *Part) mark(typed string) (PartResult, *InputError) {
	if strings.TrimSpace(typed) == "" {
		return PartResult{}, &InputError{p.ID, "nothing was answered"}
	}
	switch p.Kind {
	case Choice:
		return p.markChoice(strings.TrimSpace(typed))
	case Order:
		return p.markOrder(typed)
	default:
		return p.markNumeric(typed)
	}
}

func (p *Part) option(id string) (Option, bool) {
	i := slices.IndexFunc(p.Options, func(o Option) bool { return o.ID == id })
	if i < 0 {
		return Option{}, false
	}
	return p.Options[i], true
}

func (p *Part) optionList() string {
	ids := make([]string, len(p.Options))
	for i, o := range p.Options {
		ids[i] = o.ID
	}
	return strings.Join(ids, ", ")
}

func (p *Part) markChoice(id string) (PartResult, *InputError) {
	o, ok := p.option(id)
	if !ok {
		return PartResult{}, &InputError{p.ID, fmt.Sprintf("there is no option %q; choose one of %s", clip(id), p.optionList())}
	}
	r := PartResult{Verdict: Wrong, Say: p.Check, ReadAs: o.Text}
	if id == p.Answer.Choice {
		r.Verdict, r.Score, r.Say = Right, 1, ""
		return r, nil
	}
	for _, a := range p.Accepts {
		if a.Choice == id {
			r.Verdict, r.Score, r.Say = Right, a.Score, a.Say
			return r, nil
		}
	}
	for _, s := range p.Slips {
		if s.Answer.Choice == id {
			r.Verdict, r.Slip, r.Say = KnownSlip, s.ID, s.Say
			return r, nil
		}
	}
	return r, nil
}

func (p *Part) markOrder(typed string) (PartResult, *InputError) {
	ids := strings.FieldsFunc(typed, func(r rune) bool { return r == ',' || r == ' ' || r == '\t' })
	texts := make([]string, 0, len(p.Options))
	seen := map[string]bool{}
	for _, id := range ids {
		o, ok := p.option(id)
		if !ok || seen[id] {
			texts = nil
			break
		}
		seen[id] = true
		texts = append(texts, o.Text)
	}
	if len(texts) != len(p.Options) {
		return PartResult{}, &InputError{p.ID, fmt.Sprintf("each of %s must stand exactly once, in order", p.optionList())}
	}
	r := PartResult{Verdict: Wrong, Say: p.Check, ReadAs: strings.Join(texts, " → ")}
	if slices.Equal(ids, p.Answer.Order) {
		r.Verdict, r.Score, r.Say = Right, 1, ""
		return r, nil
	}
	for _, s := range p.Slips {
		if slices.Equal(ids, s.Answer.Order) {
			r.Verdict, r.Slip, r.Say = KnownSlip, s.ID, s.Say
			return r, nil
		}
	}
	return r, nil
}

func (p *Part) markNumeric(typed string) (PartResult, *InputError) {
	asked := p.Answer.Quantity
	reading, err := quantity.Read(typed, asked.Unit)
	if err != nil {
		return PartResult{}, &InputError{p.ID, err.Error()}
	}
	r := PartResult{ReadAs: reading.Quantity.Exact()}
	sameKind := reading.Quantity.Kind() == asked.Kind()
	if sameKind && p.within(reading.Quantity.SI) {
		r.Verdict, r.Score = Right, 1
		return r, nil
	}
	if sameKind {
		if s := p.matchingSlip(reading.Quantity.SI); s != nil {
			r.Verdict, r.Slip, r.Say = KnownSlip, s.ID, s.Say
			return r, nil
		}
		if p.roundedTooHard(reading) {
			r.Verdict, r.Score = Rounding, roundingScore
			r.Say = fmt.Sprintf("The method is right, the rounding costs too much: keep three figures. It is %s.", asked.Text())
			return r, nil
		}
	}
	if say := p.wrongUnit(reading); say != "" {
		r.Verdict, r.Score, r.Say = Unit, unitScore, say
		return r, nil
	}
	r.Verdict, r.Say = Wrong, p.wrongSay(reading)
	return r, nil
}

// within allows for the last bit of a conversion at the bounds.
func (p *Part) within(si float64) bool {
	eps := 1e-9 * max(math.Abs(p.Low), math.Abs(p.High))
	return si >= p.Low-eps && si <= p.High+eps
}

// matchingSlip is the one slip that the answer matches closely, or nil where
// none or several different ones fit.
func (p *Part) matchingSlip(si float64) *Slip {
	var found *Slip
	for i := range p.Slips {
		s := &p.Slips[i]
		if math.Abs(s.Answer.Quantity.SI-si) <= p.slipWindow(s.Answer.Quantity.SI) {
			if found != nil && found.ID != s.ID {
				return nil
			}
			found = s
		}
	}
	return found
}

// roundedTooHard says whether the number typed is the right one rounded, cut
// off or rounded up to the one or two figures that were typed.
func (p *Part) roundedTooHard(r quantity.Reading) bool {
	if r.Figures > 2 || r.Number == 0 {
		return false
	}
	exact := r.Quantity.Unit.FromSI(p.Answer.Quantity.SI)
	limit := 0.1 * math.Abs(exact) // further off, nobody calls it rounding
	if math.Abs(r.Number-exact) > limit {
		return false
	}
	step := math.Pow(10, math.Floor(math.Log10(math.Abs(r.Number)))-float64(r.Figures-1))
	// A cut-off or rounded value differs from the exact one by less than one
	// step of its last figure.
	return math.Abs(r.Number-exact) < step
}

// wrongUnit says what is wrong with the unit, or "" where the unit is not the
// trouble.
func (p *Part) wrongUnit(r quantity.Reading) string {
	asked := p.Answer.Quantity
	typedUnit := r.Quantity.Unit
	if !r.Bare && typedUnit != asked.Unit && p.within(asked.Unit.ToSI(r.Number)) {
		if typedUnit.Kind != asked.Kind() {
			return fmt.Sprintf("The number is right for %s. %s is %s, and the question asks for %s.", asked.Unit.Symbol, typedUnit.Symbol, typedUnit.Kind, asked.Kind())
		}
		return fmt.Sprintf("The number is right in %s, not in %s.", asked.Unit.Symbol, typedUnit.Symbol)
	}
	if typedUnit.Kind == asked.Kind() {
		for _, u := range quantity.UnitsOf(asked.Kind()) {
			if u != typedUnit && !powerOfTen(u, typedUnit) && p.within(u.ToSI(r.Number)) {
				return fmt.Sprintf("The number is right in %s; you gave it in %s. Write the unit behind the number when it is not the one asked for.", u.Symbol, typedUnit.Symbol)
			}
		}
		return ""
	}
	return p.headForPressure(r)
}

// headForPressure recognises a right head given for a pressure, and the other
// way round. The two differ by the density of the water, which the part does
// not know: anything between cold and boiling counts as the same.
func (p *Part) headForPressure(r quantity.Reading) string {
	const lightest, heaviest = 950.0, 1000.0 // kg/m³, from memory; water between 110 °C and 4 °C
	asked := p.Answer.Quantity
	var low, high float64
	switch {
	case asked.Kind() == quantity.Pressure && r.Quantity.Kind() == quantity.Head:
		h := quantity.MetersHead(r.Quantity.SI)
		low, high = float64(h.Pressure(lightest)), float64(h.Pressure(heaviest))
	case asked.Kind() == quantity.Head && r.Quantity.Kind() == quantity.Pressure:
		d := quantity.Pascal(r.Quantity.SI)
		low, high = float64(d.Head(heaviest)), float64(d.Head(lightest))
	default:
		return ""
	}
	if low > high {
		low, high = high, low
	}
	if high < p.Low || low > p.High {
		return ""
	}
	return fmt.Sprintf("That is the right amount as %s. The question asks for %s, in %s.", r.Quantity.Kind(), asked.Kind(), asked.Unit.Symbol)
}

// powerOfTen says whether two units differ only by a power of ten. Between
// those, a bare number that would be right in the other unit is a lost factor,
// not another unit.
func powerOfTen(a, b *quantity.Unit) bool {
	l := math.Log10(a.Factor / b.Factor)
	return a.Offset == b.Offset && math.Abs(l-math.Round(l)) < 1e-9
}

func (p *Part) wrongSay(r quantity.Reading) string {
	asked := p.Answer.Quantity
	switch {
	case r.Quantity.Kind() != asked.Kind():
		return fmt.Sprintf("%s is %s; the question asks for %s in %s. %s", r.ReadUnit(), r.Quantity.Kind(), asked.Kind(), asked.Unit.Symbol, p.Check)
	case asked.Kind() != quantity.Temperature && p.within(-r.Quantity.SI):
		return "The size is right, the sign is not. " + p.Check
	}
	if asked.Kind() != quantity.Temperature {
		for _, f := range []float64{10, 100, 1000} {
			if p.within(r.Quantity.SI*f) || p.within(r.Quantity.SI/f) {
				return fmt.Sprintf("The figures are right but a factor of %s is lost on the way. %s", quantity.Of(f, quantity.One).Text(), p.Check)
			}
		}
	}
	return p.Check
}

func clip(s string) string {
	if len(s) > quantity.MaxText {
		return strings.ToValidUTF8(s[:quantity.MaxText], "") + "…"
	}
	return s
}
