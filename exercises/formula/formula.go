// Package formula holds the formulas of worked solutions: one text that is
// evaluated, printed with symbols, printed with numbers put in, and drawn as
// MathML, so that what a learner reads is what was computed.
//
// A formula is written like a Go expression: + − * /, parentheses, names of
// values, and calls of functions. Powers are pow(x, n), roots sqrt(x). Names
// carry their typography: dT is ΔT, T_s is T with the index s, rho is ρ.
package formula

import (
	"errors"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"math"
	"strconv"
	"sync"
)

// Expr is a parsed formula. It is immutable and safe for concurrent use.
type Expr struct {
	source string
	root   ast.Expr
}

var parsed sync.Map // source text -> *Expr or error

// Parse reads a formula. Results are kept for ever: formulas are written in
// the program's own files, so there is a fixed number of them.
func Parse(source string) (*Expr, error) {
	if v, ok := parsed.Load(source); ok {
		if e, ok := v.(*Expr); ok {
			return e, nil
		}
		return nil, v.(error)
	}
	e, err := parse(source)
	if err != nil {
		parsed.Store(source, err)
		return nil, err
	}
	parsed.Store(source, e)
	return e, nil
}

func parse(source string) (*Expr, error) {
	root, err := parser.ParseExpr(source)
	if err != nil {
		return nil, fmt.Errorf("formula %q: %w", source, err)
	}
	if err := check(root); err != nil {
		return nil, fmt.Errorf("formula %q: %w", source, err)
	}
	return &Expr{source, root}, nil
}

// check admits only what Eval and the printers know.
func check(n ast.Expr) error {
	switch n := n.(type) {
	case *ast.Ident:
		return nil
	case *ast.BasicLit:
		if n.Kind != token.INT && n.Kind != token.FLOAT {
			return fmt.Errorf("%s is not a number", n.Value)
		}
		return nil
	case *ast.ParenExpr:
		return check(n.X)
	case *ast.UnaryExpr:
		if n.Op != token.SUB {
			return fmt.Errorf("operator %s is not used in formulas", n.Op)
		}
		return check(n.X)
	case *ast.BinaryExpr:
		switch n.Op {
		case token.ADD, token.SUB, token.MUL, token.QUO:
		default:
			return fmt.Errorf("operator %s is not used in formulas", n.Op)
		}
		if err := check(n.X); err != nil {
			return err
		}
		return check(n.Y)
	case *ast.CallExpr:
		if _, ok := n.Fun.(*ast.Ident); !ok {
			return errors.New("only a named function can be called")
		}
		for _, a := range n.Args {
			if err := check(a); err != nil {
				return err
			}
		}
		return nil
	}
	return fmt.Errorf("%T is not used in formulas", n)
}

// Func is a function that formulas may call. It works in the display units of
// its arguments and of its result.
type Func func(args ...float64) (float64, error)

// Env gives a formula its values and functions.
type Env interface {
	Value(name string) (float64, bool)
	Function(name string) (Func, bool)
}

// Source is the formula as it was written.
func (e *Expr) Source() string { return e.source }

// Eval computes the formula. A name that is not known, a function that fails
// and a result that is not finite are errors.
func (e *Expr) Eval(env Env) (float64, error) {
	v, err := eval(e.root, env)
	if err == nil && (math.IsNaN(v) || math.IsInf(v, 0)) {
		err = fmt.Errorf("the result is %v", v)
	}
	if err != nil {
		return 0, fmt.Errorf("formula %q: %w", e.source, err)
	}
	return v, nil
}

func eval(n ast.Expr, env Env) (float64, error) {
	switch n := n.(type) {
	case *ast.Ident:
		if v, ok := env.Value(n.Name); ok {
			return v, nil
		}
		return 0, &UnknownNameError{n.Name}
	case *ast.BasicLit:
		return strconv.ParseFloat(n.Value, 64)
	case *ast.ParenExpr:
		return eval(n.X, env)
	case *ast.UnaryExpr:
		x, err := eval(n.X, env)
		return -x, err
	case *ast.BinaryExpr:
		return evalBinary(n, env)
	case *ast.CallExpr:
		return evalCall(n, env)
	}
	return 0, fmt.Errorf("%T is not used in formulas", n)
}

func evalBinary(n *ast.BinaryExpr, env Env) (float64, error) {
	x, err := eval(n.X, env)
	if err != nil {
		return 0, err
	}
	y, err := eval(n.Y, env)
	if err != nil {
		return 0, err
	}
	switch n.Op {
	case token.ADD:
		return x + y, nil
	case token.SUB:
		return x - y, nil
	case token.MUL:
		return x * y, nil
	default:
		if y == 0 {
			return 0, errors.New("division by zero")
		}
		return x / y, nil
	}
}

func evalCall(n *ast.CallExpr, env Env) (float64, error) {
	var buf [4]float64
	args := buf[:0]
	for _, a := range n.Args {
		v, err := eval(a, env)
		if err != nil {
			return 0, err
		}
		args = append(args, v)
	}
	name := n.Fun.(*ast.Ident).Name
	if f, ok := builtin[name]; ok {
		return f(args...)
	}
	f, ok := env.Function(name)
	if !ok {
		return 0, &UnknownNameError{name}
	}
	return f(args...)
}

// builtin are the functions that every formula may call.
var builtin = map[string]Func{
	"pow":  two("pow", math.Pow),
	"min":  two("min", math.Min),
	"max":  two("max", math.Max),
	"sqrt": one("sqrt", math.Sqrt),
	"ln":   one("ln", math.Log),
	"abs":  one("abs", math.Abs),
	"ceil": one("ceil", math.Ceil),
}

func one(name string, f func(float64) float64) Func {
	return func(a ...float64) (float64, error) {
		if len(a) != 1 {
			return 0, fmt.Errorf("%s takes one number", name)
		}
		return f(a[0]), nil
	}
}

func two(name string, f func(x, y float64) float64) Func {
	return func(a ...float64) (float64, error) {
		if len(a) != 2 {
			return 0, fmt.Errorf("%s takes two numbers", name)
		}
		return f(a[0], a[1]), nil
	}
}

// UnknownNameError says that a formula names a value or a function that is not
// there.
type UnknownNameError struct{ Name string }

func (e *UnknownNameError) Error() string { return "nothing is named " + e.Name }

// Names lists the values that the formula uses, in order of appearance.
func (e *Expr) Names() []string {
	var names []string
	seen := map[string]bool{}
	ast.Inspect(e.root, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.CallExpr:
			for _, a := range n.Args {
				ast.Inspect(a, func(m ast.Node) bool { return collect(m, seen, &names) })
			}
			return false
		default:
			return collect(n, seen, &names)
		}
	})
	return names
}

func collect(n ast.Node, seen map[string]bool, names *[]string) bool {
	switch n := n.(type) {
	case *ast.CallExpr:
		for _, a := range n.Args {
			ast.Inspect(a, func(m ast.Node) bool { return collect(m, seen, names) })
		}
		return false
	case *ast.Ident:
		if !seen[n.Name] {
			seen[n.Name] = true
			*names = append(*names, n.Name)
		}
	}
	return true
}
