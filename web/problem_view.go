package web

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"loopwright/db"
	"loopwright/exercises"
	"loopwright/grader"
	"loopwright/grader/quantity"
)

// problemView is a problem before, while and after it is worked.
type problemView struct {
	ID      string
	Problem *exercises.Problem
	Family  string
	Key     string // of the form: one key, one attempt
	Parts   []partView
	Errors  []fieldError
	Hints   []string // those shown so far
	More    bool     // there are further hints
	Marked  *markedView
	Earlier int // attempts before the one shown
	// Solution is shown after a right answer, or on request.
	Solution bool
	Next     *nextView
}

// partView is one part with what was typed into it.
type partView struct {
	grader.Part
	Field   string // name of its form field
	Hint    string // in which unit
	Typed   string
	Error   string
	Result  *grader.PartResult
	Choices []choiceView
	Places  []placeView // of an ordering
}

type choiceView struct {
	ID, Text string
	Chosen   bool
}

type placeView struct {
	Field   string
	Number  int
	Choices []choiceView
}

type fieldError struct{ Field, Label, Say string }

// markedView is an attempt's result.
type markedView struct {
	Score   int // percent
	Right   bool
	Class   string // of the verdict that the box looks like
	Icon    string
	Outcome string
	Say     string // of a single part, so that it is read out with the result
}

// nextView is what to do after a problem.
type nextView struct {
	Level int
	Says  string
}

func viewProblem(posed db.Posed, p *exercises.Problem, typed map[string]string, result *grader.Result, attempts int, bad grader.InputErrors) problemView {
	v := problemView{ID: posed.ID, Problem: p, Family: p.Family, Earlier: max(attempts-1, 0)}
	for i := range p.Parts {
		v.Parts = append(v.Parts, viewPart(&p.Parts[i], typed[p.Parts[i].ID], result, bad))
	}
	for _, e := range bad {
		for _, part := range v.Parts {
			if part.ID == e.Part {
				v.Errors = append(v.Errors, fieldError{part.firstField(), part.Prompt, sentence(errors.New(e.Reason))})
			}
		}
	}
	hints := allHints(p)
	v.Hints = hints[:min(posed.HintsShown, len(hints))]
	v.More = posed.HintsShown < len(hints)
	if result != nil && bad == nil {
		v.Marked = viewMarked(result)
		v.Solution = v.Marked.Right || posed.Helped
		v.Next = nextAfter(p.Level, v.Marked.Right)
	}
	return v
}

func viewPart(p *grader.Part, typed string, result *grader.Result, bad grader.InputErrors) partView {
	v := partView{Part: *p, Field: "part-" + p.ID, Typed: typed}
	switch p.Kind {
	case grader.Numeric:
		v.Hint = unitHint(p.Answer.Quantity.Unit)
	case grader.Choice:
		v.Choices = choices(p, typed)
	case grader.Order:
		order := strings.FieldsFunc(typed, func(r rune) bool { return r == ',' || r == ' ' })
		for i := range p.Options {
			at := ""
			if i < len(order) {
				at = order[i]
			}
			v.Places = append(v.Places, placeView{fmt.Sprintf("%s-%d", v.Field, i+1), i + 1, choices(p, at)})
		}
	}
	for _, e := range bad {
		if e.Part == p.ID {
			v.Error = sentence(errors.New(e.Reason))
		}
	}
	if result != nil && bad == nil {
		if i := slices.IndexFunc(result.Parts, func(r grader.PartResult) bool { return r.ID == p.ID }); i >= 0 {
			v.Result = &result.Parts[i]
		}
	}
	return v
}

// unitHint says in which unit an answer is asked for.
func unitHint(u *quantity.Unit) string {
	switch {
	case u.Symbol == "":
		return "A plain number."
	case u.Kind == quantity.Number || u.Kind == quantity.FlowCoefficient:
		return "In " + u.Symbol + "."
	}
	return "In " + u.Symbol + ", or write another unit behind the number."
}

// firstField is the id of the field that the error summary links to.
func (p *partView) firstField() string {
	switch {
	case len(p.Places) > 0:
		return p.Places[0].Field
	case len(p.Choices) > 0:
		return p.Field + "-" + p.Choices[0].ID
	}
	return p.Field
}

func choices(p *grader.Part, chosen string) []choiceView {
	list := make([]choiceView, len(p.Options))
	for i, o := range p.Options {
		list[i] = choiceView{o.ID, o.Text, o.ID == chosen}
	}
	return list
}

// allHints are the hints of all parts in order, each once.
func allHints(p *exercises.Problem) []string {
	var list []string
	for _, part := range p.Parts {
		for _, h := range part.Hints {
			if !slices.Contains(list, h) {
				list = append(list, h)
			}
		}
	}
	return list
}

func viewMarked(r *grader.Result) *markedView {
	m := &markedView{Score: int(100*r.Score + 0.5), Right: r.Score > 1-1e-9}
	right := 0
	for _, p := range r.Parts {
		if p.Verdict == grader.Right {
			right++
		}
	}
	switch {
	case len(r.Parts) == 1:
		only := r.Parts[0]
		m.Class, m.Icon, m.Outcome, m.Say = string(only.Verdict), verdicts[only.Verdict].Icon, verdicts[only.Verdict].Word, only.Say
	case m.Right:
		m.Class, m.Icon, m.Outcome = string(grader.Right), verdicts[grader.Right].Icon, "All parts are right"
	case right == 0:
		m.Class, m.Icon, m.Outcome = string(grader.Wrong), verdicts[grader.Wrong].Icon, "No part is right yet"
	default:
		m.Class, m.Icon, m.Outcome = string(grader.KnownSlip), verdicts[grader.KnownSlip].Icon, "Right: "+countOf(right, len(r.Parts))+" parts"
	}
	return m
}

func nextAfter(level int, right bool) *nextView {
	if right && level < exercises.Levels {
		return &nextView{level + 1, "One level up"}
	}
	return &nextView{level, "Another with new numbers"}
}
