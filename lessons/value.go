package lessons

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"slices"
	"strconv"
	"strings"

	"github.com/goccy/go-yaml"

	"loopwright/exercises"
	"loopwright/grader/quantity"
)

// declared is one entry of a lesson's values: either a value native in both
// systems of units, with its source, or an expression that the engine works
// out.
type declared struct {
	Kind   string `yaml:"kind"`
	US     string `yaml:"us"`
	SI     string `yaml:"si"`
	Source string `yaml:"source"`
	Expr   string `yaml:"expr"`
}

// scope holds the values of a lesson in one system of units.
type scope struct {
	units  exercises.System
	values map[string]any // quantity.Quantity or string
}

// evaluate works out the front matter's values in order.
func (l *Lesson) evaluate(units exercises.System) (*scope, error) {
	sc := &scope{units: units, values: map[string]any{}}
	for _, item := range l.Values {
		name := fmt.Sprint(item.Key)
		fail := func(err error) error {
			return fmt.Errorf("%s: front matter: value %s: %w", l.file, name, err)
		}
		raw, err := yaml.Marshal(item.Value)
		if err != nil {
			return nil, fail(err)
		}
		var d declared
		if err := yaml.UnmarshalWithOptions(raw, &d, yaml.Strict()); err != nil {
			return nil, fail(err)
		}
		v, err := d.value(sc)
		if err != nil {
			return nil, fail(err)
		}
		sc.values[name] = v
	}
	return sc, nil
}

func (d *declared) value(sc *scope) (any, error) {
	if d.Expr != "" {
		if d.US != "" || d.SI != "" || d.Kind != "" {
			return nil, fmt.Errorf("an expr stands alone")
		}
		return sc.eval(d.Expr)
	}
	if d.US == "" || d.SI == "" || d.Source == "" {
		return nil, fmt.Errorf("a value needs us, si and source (a publication, common practice, from memory or demo)")
	}
	text := d.US
	if sc.units == exercises.SI {
		text = d.SI
	}
	if d.Kind == "text" {
		return text, nil
	}
	kind, ok := quantity.KindNamed(d.Kind)
	if !ok {
		return nil, fmt.Errorf("no kind of quantity is called %q", d.Kind)
	}
	return readNative(text, kind)
}

// readNative reads a value with its unit and keeps the unit it was written in.
func readNative(text string, kind quantity.Kind) (quantity.Quantity, error) {
	r, err := quantity.Read(text, quantity.UnitsOf(kind)[0])
	if err != nil {
		return quantity.Quantity{}, err
	}
	if r.Bare && kind != quantity.Number {
		return quantity.Quantity{}, fmt.Errorf("%q has no unit", text)
	}
	if r.Quantity.Kind() != kind {
		return quantity.Quantity{}, fmt.Errorf("%q is %s, not %s", text, r.Quantity.Kind(), kind)
	}
	return r.Quantity, nil
}

// eval works out an expression: a name, a number, a text in quotes, or a call
// of a function of functions.go.
func (sc *scope) eval(source string) (any, error) {
	e, err := parser.ParseExpr(source)
	if err != nil {
		return nil, fmt.Errorf("expression %q: %w", source, err)
	}
	v, err := sc.node(e)
	if err != nil {
		return nil, fmt.Errorf("expression %q: %w", source, err)
	}
	return v, nil
}

func (sc *scope) node(e ast.Expr) (any, error) {
	switch e := e.(type) {
	case *ast.Ident:
		if v, ok := sc.values[e.Name]; ok {
			return v, nil
		}
		return nil, fmt.Errorf("no value named %s", e.Name)
	case *ast.BasicLit:
		if e.Kind == token.STRING {
			return strconv.Unquote(e.Value)
		}
		x, err := strconv.ParseFloat(e.Value, 64)
		return quantity.Of(x, quantity.One), err
	case *ast.CallExpr:
		return sc.call(e)
	}
	return nil, fmt.Errorf("only names, numbers, texts and calls can stand here")
}

func (sc *scope) call(e *ast.CallExpr) (any, error) {
	id, ok := e.Fun.(*ast.Ident)
	if !ok {
		return nil, fmt.Errorf("only a named function can be called")
	}
	f, ok := functions[id.Name]
	if !ok {
		return nil, fmt.Errorf("no function named %s; known are %s", id.Name, strings.Join(functionNames(), ", "))
	}
	if len(e.Args) != len(f.args) {
		return nil, fmt.Errorf("%s takes %d arguments, got %d", id.Name, len(f.args), len(e.Args))
	}
	args := make([]any, len(e.Args))
	for i, a := range e.Args {
		v, err := sc.node(a)
		if err != nil {
			return nil, err
		}
		if err := f.args[i].accepts(v); err != nil {
			return nil, fmt.Errorf("%s: argument %d: %w", id.Name, i+1, err)
		}
		args[i] = v
	}
	v, err := f.call(sc, args)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", id.Name, err)
	}
	return v, nil
}

func functionNames() []string {
	var names []string
	for n := range functions {
		names = append(names, n)
	}
	slices.Sort(names)
	return names
}

// print writes a value for a page, in another unit where one is named. A
// quantity is kept on one line; a rule's words may break.
func (sc *scope) print(source string) (text string, isQuantity bool, err error) {
	expr, unit, override := strings.Cut(source, " as ")
	v, err := sc.eval(strings.TrimSpace(expr))
	if err != nil {
		return "", false, err
	}
	q, ok := v.(quantity.Quantity)
	if !ok {
		return fmt.Sprint(v), false, nil
	}
	if override {
		us, si, two := strings.Cut(unit, "|")
		if two && sc.units == exercises.SI {
			us = si
		}
		u := quantity.UnitNamed(strings.TrimSpace(us), q.Kind())
		if u == nil {
			return "", false, fmt.Errorf("%q is not a unit of %s", strings.TrimSpace(us), q.Kind())
		}
		return q.In(u).Text(), true, nil
	}
	return q.Text(), true, nil
}
