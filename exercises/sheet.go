package exercises

import (
	"errors"
	"fmt"
	"slices"

	"loopwright/exercises/formula"
	"loopwright/grader"
	"loopwright/grader/quantity"
)

// Sheet records the computation of one problem. A family calls its methods in
// the order in which a person would work; the first mistake of the family (an
// unknown name, a formula that fails) is kept and reported by Pose.
//
// Values are held in the unit that they are shown in, as on paper: a formula
// works with gpm and BTU/h, or with L/s and kW. Functions that ask the engine
// convert inside.
type Sheet struct {
	err       error
	rejected  string
	statement string
	order     []string // names of givens and steps, in order of recording
	lines     map[string]*line
	funcs     map[string]formula.Func
	parts     []part
	slips     []slip
	rule      *RuleAgainstEngine
	cautions  []string
	sources   []string
	values    map[string]float64
}

// line is a given (no expr) or a step.
type line struct {
	name, label, because, looked string
	unit                         *quantity.Unit
	expr                         *formula.Expr
}

type part struct {
	grader.Part
	symbol string // the step that a numeric part asks for
	tol    Tolerance
}

type slip struct {
	id, at string
	expr   *formula.Expr
	say    string
	may    bool // left out where it cannot be told from right or from another
}

func newSheet() *Sheet {
	return &Sheet{lines: map[string]*line{}, funcs: map[string]formula.Func{}, values: map[string]float64{}}
}

func (s *Sheet) fail(format string, args ...any) {
	if s.err == nil {
		s.err = fmt.Errorf(format, args...)
	}
}

// Reject throws the draw away; Pose draws again. The reason is reported when
// no draw is usable.
func (s *Sheet) Reject(reason string) {
	if s.rejected == "" {
		s.rejected = reason
	}
}

// Given records a value that the situation gives, in the unit shown.
func (s *Sheet) Given(name, label string, number float64, unit *quantity.Unit) {
	s.add(&line{name: name, label: label, unit: unit})
	s.values[name] = number
}

// Looked records a value that a person looks up, with the table or standard it
// stands in.
func (s *Sheet) Looked(name, label string, number float64, unit *quantity.Unit, source string) {
	s.add(&line{name: name, label: label, unit: unit, looked: source})
	s.values[name] = number
}

// Func defines a function that the formulas of this sheet may call. It takes
// and gives numbers in the units shown. Underscores in its name are printed as
// spaces.
func (s *Sheet) Func(name string, f formula.Func) { s.funcs[name] = f }

// Step computes a value from earlier ones by a formula, in the unit shown, and
// returns it. Because is one sentence on why this step is taken; it becomes
// the first hint.
func (s *Sheet) Step(symbol, name, expression string, unit *quantity.Unit, because string) float64 {
	e, err := formula.Parse(expression)
	if err != nil {
		s.fail("step %s: %w", symbol, err)
		return 1
	}
	s.add(&line{name: symbol, label: name, unit: unit, expr: e, because: because})
	if s.err != nil || s.rejected != "" {
		return 1
	}
	v, err := e.Eval(s)
	if err != nil {
		s.stepFailed(symbol, err)
		return 1
	}
	s.values[symbol] = v
	return v
}

// stepFailed turns an engine's range error into a rejected draw: the numbers
// drawn lie outside what the engine knows. Everything else is a mistake of the
// family.
func (s *Sheet) stepFailed(symbol string, err error) {
	var outside *quantity.RangeError
	if errors.As(err, &outside) {
		s.Reject(fmt.Sprintf("step %s: %v", symbol, err))
		return
	}
	s.fail("step %s: %w", symbol, err)
}

func (s *Sheet) add(l *line) {
	if _, double := s.lines[l.name]; double {
		s.fail("the name %s is recorded twice", l.name)
		return
	}
	s.lines[l.name] = l
	s.order = append(s.order, l.name)
}

// Statement is the text of the problem. {name} stands for a given with its
// unit.
func (s *Sheet) Statement(text string) { s.statement = text }

// Tolerance is what counts as right around an answer: Rel of it, or Abs in the
// unit shown, whichever is wider, with the trade's reason.
type Tolerance struct {
	Rel, Abs float64
	Why      string
}

// Ask adds a numeric part: the value of a step.
func (s *Sheet) Ask(id, prompt, symbol string, tol Tolerance) {
	s.parts = append(s.parts, part{grader.Part{ID: id, Prompt: prompt, Kind: grader.Numeric, Weight: 1}, symbol, tol})
}

// Pick is one option of a choice.
type Pick struct {
	ID, Text string
	// Slip and Say name the wrong turn that leads to this option; Slip is
	// empty for the right one and for plain wrong ones.
	Slip, Say string
	// Score > 0 with Say marks an option that passes with a remark.
	Score float64
}

// Choose adds a choice. Check is the first thing to look at again when it goes
// wrong; hints are derived from it and from the steps up to symbol, which may
// be empty.
func (s *Sheet) Choose(id, prompt, right, symbol, check string, picks ...Pick) {
	p := grader.Part{ID: id, Prompt: prompt, Kind: grader.Choice, Weight: 1, Answer: grader.Answer{Choice: right}, Check: check}
	found := false
	for _, k := range picks {
		p.Options = append(p.Options, grader.Option{ID: k.ID, Text: k.Text})
		found = found || k.ID == right
		switch {
		case k.ID == right:
		case k.Score > 0:
			p.Accepts = append(p.Accepts, grader.Accept{Choice: k.ID, Score: k.Score, Say: k.Say})
		case k.Slip != "":
			p.Slips = append(p.Slips, grader.Slip{ID: k.Slip, Answer: grader.Answer{Choice: k.ID}, Say: k.Say})
		}
	}
	if !found {
		s.fail("part %s: the right option %q is not among the options", id, right)
	}
	s.parts = append(s.parts, part{Part: p, symbol: symbol})
}

// Arrange adds an ordering. Options are shown in the order given, so the
// family shuffles them; right lists all ids in order. Slips name whole orders
// that a known wrong turn leads to.
func (s *Sheet) Arrange(id, prompt string, options []grader.Option, right []string, symbol, check string, slips ...grader.Slip) {
	shown := make([]string, len(options))
	for i, o := range options {
		shown[i] = o.ID
	}
	if !sameSet(shown, right) {
		s.fail("part %s: the order %v does not use each of %v once", id, right, shown)
	}
	kept := slices.DeleteFunc(slips, func(l grader.Slip) bool { return slices.Equal(l.Answer.Order, right) })
	s.parts = append(s.parts, part{Part: grader.Part{ID: id, Prompt: prompt, Kind: grader.Order, Weight: 1,
		Options: options, Answer: grader.Answer{Order: right}, Check: check, Slips: kept}, symbol: symbol})
}

func sameSet(a, b []string) bool {
	a, b = slices.Sorted(slices.Values(a)), slices.Sorted(slices.Values(b))
	return slices.Equal(a, b)
}

// Slip records a wrong turn: at the value named at, the wrong expression is
// taken instead, and everything after it follows. A draw in which the slip
// cannot be told from right, or from another slip, is thrown away.
func (s *Sheet) Slip(id, at, expression, say string) { s.addSlip(id, at, expression, say, false) }

// MaySlip is like Slip, but the slip is left out, and the draw kept, where it
// cannot be told apart.
func (s *Sheet) MaySlip(id, at, expression, say string) { s.addSlip(id, at, expression, say, true) }

func (s *Sheet) addSlip(id, at, expression, say string, may bool) {
	e, err := formula.Parse(expression)
	if err != nil {
		s.fail("slip %s: %w", id, err)
		return
	}
	if _, ok := s.lines[at]; !ok {
		s.fail("slip %s: no value named %s", id, at)
		return
	}
	s.slips = append(s.slips, slip{id, at, e, say, may})
}

// Compare sets the rule of thumb beside the engine's value.
func (s *Sheet) Compare(ruleID, name string, rule, engine quantity.Quantity, why string) {
	s.rule = &RuleAgainstEngine{ruleID, name, rule, engine, why}
}

// Caution adds a warning that the real job would need.
func (s *Sheet) Caution(text string) { s.cautions = append(s.cautions, text) }

// Source names where a formula or a value of the sheet comes from.
func (s *Sheet) Source(text string) { s.sources = append(s.sources, text) }

// Value is a recorded value in the unit shown; it implements formula.Env.
func (s *Sheet) Value(name string) (float64, bool) {
	v, ok := s.values[name]
	return v, ok
}

// Function implements formula.Env.
func (s *Sheet) Function(name string) (formula.Func, bool) {
	f, ok := s.funcs[name]
	return f, ok
}

// Quantity is a recorded value with its unit.
func (s *Sheet) Quantity(name string) quantity.Quantity {
	l, ok := s.lines[name]
	if !ok {
		s.fail("no value named %s", name)
		return quantity.Of(0, quantity.One)
	}
	return quantity.Of(s.values[name], l.unit)
}
