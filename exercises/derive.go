package exercises

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"loopwright/exercises/formula"
	"loopwright/grader"
	"loopwright/grader/quantity"
)

// What a problem shows is derived here from the recorded sheet: answers, bounds,
// slips, hints, steps and texts.

// withSlip gives the values that follow when one slip is taken.
func (s *Sheet) withSlip(sl *slip) (map[string]float64, error) {
	wrong := &Sheet{values: make(map[string]float64, len(s.values)), funcs: s.funcs}
	at := slices.Index(s.order, sl.at)
	for i, name := range s.order {
		l := s.lines[name]
		e := l.expr
		if name == sl.at {
			e = sl.expr
		}
		if e == nil || i < at {
			wrong.values[name] = s.values[name]
			continue
		}
		v, err := e.Eval(wrong)
		if err != nil {
			return nil, fmt.Errorf("slip %s: step %s: %w", sl.id, name, err)
		}
		wrong.values[name] = v
	}
	return wrong.values, nil
}

// problem finishes the record: it derives answers, bounds, slips, hints and
// steps. It returns why the draw is thrown away, if it is.
func (s *Sheet) problem() (*Problem, string, error) {
	if s.err != nil || s.rejected != "" {
		return nil, s.rejected, s.err
	}
	if len(s.parts) == 0 || s.statement == "" {
		return nil, "", errors.New("the sheet has no statement or no part")
	}
	if s.rule != nil {
		s.rule.Name, s.rule.Why = s.mustFill(s.rule.Name), s.mustFill(s.rule.Why)
	}
	p := &Problem{Rule: s.rule, Cautions: s.cautions, Sources: s.sources}
	for i := range s.parts {
		if err := s.finishNumeric(&s.parts[i]); err != nil {
			return nil, "", err
		}
	}
	if rejected, err := s.finishSlips(); err != nil || rejected != "" {
		return nil, rejected, err
	}
	p.Givens = s.givens()
	statement, err := s.fill(s.statement)
	if err != nil {
		return nil, "", err
	}
	p.Statement = statement
	p.Steps = s.steps()
	for i := range s.parts {
		s.finishHints(&s.parts[i])
		p.Parts = append(p.Parts, s.parts[i].Part)
	}
	return p, "", nil
}

func (s *Sheet) finishNumeric(p *part) error {
	if p.Kind != grader.Numeric {
		return nil
	}
	l, ok := s.lines[p.symbol]
	if !ok || l.expr == nil {
		return fmt.Errorf("part %s asks for %s, which is not a step", p.ID, p.symbol)
	}
	v := s.values[p.symbol]
	half := max(p.tol.Abs, p.tol.Rel*max(v, -v))
	if half <= 0 || p.tol.Why == "" {
		return fmt.Errorf("part %s has no tolerance with a reason", p.ID)
	}
	q := quantity.Of(v, l.unit)
	p.Answer = grader.Answer{Quantity: &q}
	p.Low, p.High = l.unit.ToSI(v-half), l.unit.ToSI(v+half)
	p.WhyTolerance = p.tol.Why
	return nil
}

// finishSlips evaluates every slip and hangs it on the parts that it changes.
func (s *Sheet) finishSlips() (rejected string, err error) {
	for i := range s.slips {
		sl := &s.slips[i]
		values, err := s.withSlip(sl)
		if err != nil {
			var unknown *formula.UnknownNameError
			if errors.As(err, &unknown) {
				return "", err
			}
			// A wrong turn may lead where the engine has no answer; nobody
			// can type that answer either.
			if sl.may {
				continue
			}
			return err.Error(), nil
		}
		used := false
		for j := range s.parts {
			p := &s.parts[j]
			right, wrong := s.values[p.symbol], values[p.symbol]
			if p.Kind != grader.Numeric || wrong == right {
				continue
			}
			used = true
			if dust(wrong, right) {
				if !sl.may {
					return fmt.Sprintf("slip %s leaves part %s nothing to type", sl.id, p.ID), nil
				}
				continue
			}
			q := quantity.Of(wrong, p.Answer.Quantity.Unit)
			p.Slips = append(p.Slips, grader.Slip{ID: sl.id, Answer: grader.Answer{Quantity: &q}, Say: s.mustFill(sl.say)})
			if _, _, crowded := p.Crowded(); crowded {
				if !sl.may {
					return fmt.Sprintf("slip %s crowds part %s", sl.id, p.ID), nil
				}
				p.Slips = p.Slips[:len(p.Slips)-1]
			}
		}
		if !used && !sl.may {
			return fmt.Sprintf("slip %s changes no part", sl.id), nil
		}
	}
	return "", s.err
}

// dust says whether a slip's value is only what the computer's rounding left of
// nothing, like 0.1 + 0.2 − 0.3: nobody can type that. A plain zero is none.
// Values that people can tell from nothing lie far above a billionth of the
// answer, and rounding leaves far less.
func dust(wrong, right float64) bool {
	return wrong != 0 && math.Abs(wrong) < 1e-9*math.Abs(right)
}

func (s *Sheet) givens() Givens {
	var givens Givens
	for _, name := range s.order {
		if l := s.lines[name]; l.expr == nil {
			q := quantity.Of(s.values[name], l.unit)
			givens = append(givens, Given{name, l.label, q, l.looked})
		}
	}
	return givens
}

func (s *Sheet) steps() []Step {
	var steps []Step
	for _, name := range s.order {
		l := s.lines[name]
		if l.expr == nil {
			continue
		}
		symbol := formula.Symbol(name)
		steps = append(steps, Step{
			Symbol: name, Name: l.label, Because: s.mustFill(l.because), Expression: l.expr.Source(),
			Formula:     symbol + " = " + l.expr.Text(),
			Substituted: symbol + " = " + l.expr.Substitute(s.shown),
			Result:      quantity.Of(s.values[name], l.unit),
		})
	}
	return steps
}

// shown is a value as it is put into a formula: givens exactly, results
// rounded.
func (s *Sheet) shown(name string) string {
	l, ok := s.lines[name]
	if !ok {
		return formula.Symbol(name)
	}
	q := quantity.Of(s.values[name], l.unit)
	if l.expr == nil {
		return q.ExactFigures()
	}
	return q.Figures()
}

// finishHints derives the hints of a part from the steps that lead to it.
func (s *Sheet) finishHints(p *part) {
	chain := s.chain(p.symbol)
	if p.Check == "" && len(chain) > 0 {
		first := s.lines[chain[0]]
		p.Check = fmt.Sprintf("Check first: %s.", lowerFirst(first.label))
		if first.because != "" {
			p.Check += " " + s.mustFill(first.because)
		}
	} else {
		p.Check = s.mustFill(p.Check)
	}
	if len(chain) == 0 {
		p.Hints = []string{p.Check}
	}
	for i, name := range chain {
		l := s.lines[name]
		symbol := formula.Symbol(name)
		opening := l.label + "."
		if l.because != "" {
			opening = l.label + ": " + lowerFirst(s.mustFill(l.because))
		}
		p.Hints = append(p.Hints, opening, fmt.Sprintf("%s = %s", symbol, l.expr.Text()))
		// The last step's numbers are the answer: they are left to the learner.
		if i < len(chain)-1 {
			p.Hints = append(p.Hints, fmt.Sprintf("%s = %s = %s", symbol, l.expr.Substitute(s.shown), quantity.Of(s.values[name], l.unit).Text()))
		}
	}
	p.Hints = slices.DeleteFunc(p.Hints, s.givesAway)
	if p.Slips == nil {
		p.Slips = []grader.Slip{}
	}
	s.fillPart(p)
}

// fillPart fills the names in a part's prompt and options.
func (s *Sheet) fillPart(p *part) {
	p.Prompt = s.mustFill(p.Prompt)
	for i := range p.Options {
		p.Options[i].Text = s.mustFill(p.Options[i].Text)
	}
	for i := range p.Slips {
		p.Slips[i].Say = s.mustFill(p.Slips[i].Say)
	}
	for i := range p.Accepts {
		p.Accepts[i].Say = s.mustFill(p.Accepts[i].Say)
	}
}

// givesAway says whether a hint ends in the answer of a part.
func (s *Sheet) givesAway(hint string) bool {
	return slices.ContainsFunc(s.parts, func(p part) bool {
		return p.Kind == grader.Numeric && strings.HasSuffix(hint, "= "+p.Answer.Quantity.Text())
	})
}

// chain lists the steps that lead to a value, itself included, in order.
func (s *Sheet) chain(symbol string) []string {
	if l, ok := s.lines[symbol]; !ok || l.expr == nil {
		return nil
	}
	need := map[string]bool{}
	var visit func(name string)
	visit = func(name string) {
		l, ok := s.lines[name]
		if !ok || l.expr == nil || need[name] {
			return
		}
		need[name] = true
		for _, n := range l.expr.Names() {
			visit(n)
		}
	}
	visit(symbol)
	return slices.DeleteFunc(slices.Clone(s.order), func(n string) bool { return !need[n] })
}

// fill replaces {name} by the value with its unit.
func (s *Sheet) fill(text string) (string, error) {
	if !strings.Contains(text, "{") {
		return text, nil
	}
	var b strings.Builder
	for {
		before, rest, found := strings.Cut(text, "{")
		b.WriteString(before)
		if !found {
			return b.String(), nil
		}
		name, after, closed := strings.Cut(rest, "}")
		l, ok := s.lines[name]
		if !closed || !ok {
			return "", fmt.Errorf("text %q: no value named %q; known are %v", text, name, slices.Sorted(maps.Keys(s.lines)))
		}
		q := quantity.Of(s.values[name], l.unit)
		if l.expr == nil {
			b.WriteString(q.Exact())
		} else {
			b.WriteString(q.Text())
		}
		text = after
	}
}

func (s *Sheet) mustFill(text string) string {
	filled, err := s.fill(text)
	if err != nil {
		s.fail("%w", err)
		return text
	}
	return filled
}

func lowerFirst(s string) string {
	if len(s) > 1 && s[1] >= 'A' && s[1] <= 'Z' {
		return s // an abbreviation
	}
	if s == "" {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}
