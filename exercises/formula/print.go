package formula

import (
	"go/ast"
	"go/token"
	"html"
	"strings"
)

// Text prints the formula with symbols: "Q / (500 × ΔT)".
func (e *Expr) Text() string { return text(e.root, Symbol) }

// Substitute prints the formula with each name replaced by what shown gives
// for it: "60,000 / (500 × 20)". A negative number is put in parentheses.
func (e *Expr) Substitute(shown func(name string) string) string {
	return text(e.root, func(name string) string {
		s := shown(name)
		if strings.HasPrefix(s, "\u2212") {
			return "(" + s + ")"
		}
		return s
	})
}

func text(n ast.Expr, shown func(string) string) string {
	switch n := n.(type) {
	case *ast.Ident:
		return shown(n.Name)
	case *ast.BasicLit:
		return n.Value
	case *ast.ParenExpr:
		return "(" + text(n.X, shown) + ")"
	case *ast.UnaryExpr:
		return "\u2212" + text(n.X, shown)
	case *ast.BinaryExpr:
		return text(n.X, shown) + " " + operator[n.Op] + " " + text(n.Y, shown)
	case *ast.CallExpr:
		return textCall(n, shown)
	}
	return ""
}

func textCall(n *ast.CallExpr, shown func(string) string) string {
	name := n.Fun.(*ast.Ident).Name
	args := make([]string, len(n.Args))
	for i, a := range n.Args {
		args[i] = text(a, shown)
	}
	switch name {
	case "pow":
		base, exp := args[0], args[1]
		if !atomic(n.Args[0]) {
			base = "(" + base + ")"
		}
		if s, ok := superscripts[exp]; ok {
			return base + s
		}
		if !atomic(n.Args[1]) {
			exp = "(" + exp + ")"
		}
		return base + "^" + exp
	case "sqrt":
		if atomic(n.Args[0]) {
			return "√" + args[0]
		}
		return "√(" + args[0] + ")"
	}
	return functionName(name) + "(" + strings.Join(args, ", ") + ")"
}

func atomic(n ast.Expr) bool {
	switch n.(type) {
	case *ast.Ident, *ast.BasicLit, *ast.ParenExpr:
		return true
	}
	return false
}

var operator = map[token.Token]string{token.ADD: "+", token.SUB: "\u2212", token.MUL: "×", token.QUO: "/"}

var superscripts = map[string]string{"2": "²", "3": "³", "4": "⁴", "5": "⁵"}

// functionName prints the name of a function that a worksheet defines:
// loss_rate is "loss rate".
func functionName(name string) string { return strings.ReplaceAll(name, "_", " ") }

var greek = map[string]string{"rho": "ρ", "mu": "μ", "nu": "ν", "eta": "η", "lambda": "λ", "eps": "ε", "zeta": "ζ", "pi": "π"}

// Symbol prints the name of a value: dT is ΔT, rho is ρ, T_s is Tₛ written
// T_s where no index letter exists.
func Symbol(name string) string {
	base, index, _ := strings.Cut(name, "_")
	return baseSymbol(base) + subscript(index)
}

func baseSymbol(base string) string {
	if g, ok := greek[base]; ok {
		return g
	}
	if len(base) > 1 && base[0] == 'd' && (base[1] >= 'A' && base[1] <= 'Z' || base == "dp") {
		return "Δ" + base[1:]
	}
	return base
}

var indexLetters = map[rune]rune{
	'0': '₀', '1': '₁', '2': '₂', '3': '₃', '4': '₄', '5': '₅', '6': '₆', '7': '₇', '8': '₈', '9': '₉',
	'a': 'ₐ', 'e': 'ₑ', 'h': 'ₕ', 'i': 'ᵢ', 'j': 'ⱼ', 'k': 'ₖ', 'l': 'ₗ', 'm': 'ₘ', 'n': 'ₙ', 'o': 'ₒ', 'p': 'ₚ', 'r': 'ᵣ', 's': 'ₛ', 't': 'ₜ', 'u': 'ᵤ', 'v': 'ᵥ', 'x': 'ₓ',
}

func subscript(index string) string {
	if index == "" {
		return ""
	}
	var b strings.Builder
	for _, r := range index {
		s, ok := indexLetters[r]
		if !ok {
			return "_" + index
		}
		b.WriteRune(s)
	}
	return b.String()
}

// MathML draws "symbol = formula" as presentation MathML. The plain text is
// its alternative for software that does not read MathML.
func (e *Expr) MathML(symbol string) string {
	var b strings.Builder
	b.WriteString(`<math displaystyle="true"><mrow>`)
	if symbol != "" {
		b.WriteString(mathName(symbol) + `<mo>=</mo>`)
	}
	draw(&b, e.root)
	b.WriteString(`</mrow></math>`)
	return b.String()
}

func draw(b *strings.Builder, n ast.Expr) {
	switch n := n.(type) {
	case *ast.Ident:
		b.WriteString(mathName(n.Name))
	case *ast.BasicLit:
		b.WriteString("<mn>" + n.Value + "</mn>")
	case *ast.ParenExpr:
		b.WriteString("<mrow><mo>(</mo>")
		draw(b, n.X)
		b.WriteString("<mo>)</mo></mrow>")
	case *ast.UnaryExpr:
		b.WriteString("<mo>\u2212</mo>")
		draw(b, n.X)
	case *ast.BinaryExpr:
		if n.Op == token.QUO {
			// The bar groups: parentheses around a whole numerator or
			// denominator are not drawn.
			b.WriteString("<mfrac><mrow>")
			draw(b, bare(n.X))
			b.WriteString("</mrow><mrow>")
			draw(b, bare(n.Y))
			b.WriteString("</mrow></mfrac>")
			return
		}
		draw(b, n.X)
		b.WriteString("<mo>" + operator[n.Op] + "</mo>")
		draw(b, n.Y)
	case *ast.CallExpr:
		mathCall(b, n)
	}
}

func bare(n ast.Expr) ast.Expr {
	if p, ok := n.(*ast.ParenExpr); ok {
		return p.X
	}
	return n
}

func mathCall(b *strings.Builder, n *ast.CallExpr) {
	name := n.Fun.(*ast.Ident).Name
	switch name {
	case "pow":
		b.WriteString("<msup><mrow>")
		if atomic(n.Args[0]) {
			draw(b, n.Args[0])
		} else {
			draw(b, &ast.ParenExpr{X: n.Args[0]})
		}
		b.WriteString("</mrow><mrow>")
		draw(b, bare(n.Args[1]))
		b.WriteString("</mrow></msup>")
		return
	case "sqrt":
		b.WriteString("<msqrt>")
		draw(b, bare(n.Args[0]))
		b.WriteString("</msqrt>")
		return
	}
	b.WriteString("<mtext>" + html.EscapeString(functionName(name)) + "</mtext><mrow><mo>(</mo>")
	for i, a := range n.Args {
		if i > 0 {
			b.WriteString("<mo>,</mo>")
		}
		draw(b, a)
	}
	b.WriteString("<mo>)</mo></mrow>")
}

func mathName(name string) string {
	base, index, _ := strings.Cut(name, "_")
	base = html.EscapeString(baseSymbol(base))
	if index == "" {
		return "<mi>" + base + "</mi>"
	}
	return "<msub><mi>" + base + "</mi><mi>" + html.EscapeString(index) + "</mi></msub>"
}
