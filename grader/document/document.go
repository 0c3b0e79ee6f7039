// Package document reads what people write about a system or a job: YAML (JSON
// is part of it) whose values are mostly quantities with units. Every mistake
// is kept with its line and field, so that one reading names them all; a field
// that nobody asked for is one.
package document

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"

	"loopwright/grader/quantity"
)

// Limits of a document.
const (
	MostBytes    = 4 << 20
	mostProblems = 20
)

// Problem is one mistake in a document.
type Problem struct {
	Line  int    // from 1; 0 where the whole is meant
	Field string // links.boiler.supply
	Text  string // what is wrong, and what is accepted
}

func (p Problem) String() string {
	s := p.Text
	if p.Field != "" {
		s = p.Field + ": " + s
	}
	if p.Line > 0 {
		s = fmt.Sprintf("line %d: %s", p.Line, s)
	}
	return s
}

// Error is every mistake found in a document, in the order of its lines.
type Error struct {
	Name     string // of the file
	Problems []Problem
}

func (e *Error) Error() string {
	lines := make([]string, 0, len(e.Problems))
	for i, p := range e.Problems {
		if i == mostProblems {
			lines = append(lines, fmt.Sprintf("%s: and %d more", e.Name, len(e.Problems)-i))
			break
		}
		lines = append(lines, e.Name+": "+p.String())
	}
	return strings.Join(lines, "\n")
}

// Document is a text being read.
type Document struct {
	name     string
	root     ast.Node
	problems []Problem
}

// Parse reads the outer form of a text. What is not YAML is an *Error.
func Parse(name string, text []byte) (*Document, error) {
	d := &Document{name: name}
	if len(text) > MostBytes {
		d.problems = []Problem{{Text: fmt.Sprintf("the file is longer than %d MiB", MostBytes>>20)}}
		return nil, d.Err()
	}
	file, err := parser.ParseBytes(text, 0)
	if err != nil {
		p := Problem{Text: err.Error()}
		var syntax yaml.Error
		if errors.As(err, &syntax) {
			p.Text = syntax.GetMessage()
			if t := syntax.GetToken(); t != nil {
				p.Line = t.Position.Line
			}
		}
		d.problems = []Problem{p}
		return nil, d.Err()
	}
	if len(file.Docs) != 1 || file.Docs[0].Body == nil {
		d.problems = []Problem{{Text: fmt.Sprintf("expected one document with fields, found %d", len(file.Docs))}}
		if len(file.Docs) == 1 {
			d.problems[0].Text = "the file is empty"
		}
		return nil, d.Err()
	}
	d.root = file.Docs[0].Body
	return d, nil
}

// Root is the outermost map.
func (d *Document) Root() *Map { return d.asMap(Value{d, d.root, ""}) }

// Err is every mistake noted so far, or nil.
func (d *Document) Err() error {
	if len(d.problems) == 0 {
		return nil
	}
	slices.SortStableFunc(d.problems, func(a, b Problem) int { return a.Line - b.Line })
	return &Error{d.name, d.problems}
}

// Value is one value with the place where it stands.
type Value struct {
	doc   *Document
	node  ast.Node
	field string
}

// Line of the value in its file.
func (v Value) Line() int {
	if v.node == nil || v.node.GetToken() == nil {
		return 0
	}
	return v.node.GetToken().Position.Line
}

// Field is the path to the value.
func (v Value) Field() string { return v.field }

// Fail notes a mistake at the value.
func (v Value) Fail(format string, args ...any) {
	v.doc.problems = append(v.doc.problems, Problem{v.Line(), v.field, fmt.Sprintf(format, args...)})
}

// Map is a value with named fields.
type Map struct {
	Value
	entries []entry
	asked   []string
}

type entry struct {
	key   string
	value Value
	used  bool
}

func (d *Document) asMap(v Value) *Map {
	m := &Map{Value: v}
	switch n := unwrap(v.node).(type) {
	case *ast.MappingNode:
		for _, e := range n.Values {
			m.add(e)
		}
	case *ast.MappingValueNode:
		m.add(n)
	case nil, *ast.NullNode:
	default:
		v.Fail("expected fields, each as name: value, got %q", short(n.String()))
	}
	return m
}

func (m *Map) add(e *ast.MappingValueNode) {
	key := e.Key.String()
	if t := e.Key.GetToken(); t != nil && (e.Key.Type() == ast.StringType || e.Key.Type() == ast.IntegerType) {
		key = t.Value
	}
	field := key
	if m.field != "" {
		field = m.field + "." + key
	}
	m.entries = append(m.entries, entry{key, Value{m.doc, e.Value, field}, false})
	if e.Value == nil || e.Value.Type() == ast.NullType {
		// An empty value stands nowhere: its key says the line.
		m.entries[len(m.entries)-1].value.node = e.Key
	}
}

func unwrap(n ast.Node) ast.Node {
	switch t := n.(type) {
	case *ast.AnchorNode:
		return unwrap(t.Value)
	case *ast.TagNode:
		return unwrap(t.Value)
	}
	return n
}

func short(s string) string {
	s = strings.Join(strings.Fields(s), " ")
	if len(s) > 60 {
		s = strings.ToValidUTF8(s[:60], "") + "…"
	}
	return s
}

// Get finds a field.
func (m *Map) Get(key string) (Value, bool) {
	if !slices.Contains(m.asked, key) {
		m.asked = append(m.asked, key)
	}
	for i := range m.entries {
		if m.entries[i].key == key {
			m.entries[i].used = true
			return m.entries[i].value, true
		}
	}
	return Value{m.doc, m.node, strings.TrimPrefix(m.field+"."+key, ".")}, false
}

// Has says whether a field is there, and counts it as known.
func (m *Map) Has(key string) bool { _, ok := m.Get(key); return ok }

// Each gives every field in order, and counts it as known.
func (m *Map) Each(yield func(key string, v Value)) {
	for i := range m.entries {
		m.entries[i].used = true
		yield(m.entries[i].key, m.entries[i].value)
	}
}

// Done notes every field that nobody asked for.
func (m *Map) Done() {
	for _, e := range m.entries {
		if !e.used && e.key != "" && e.key[0] >= '0' && e.key[0] <= '9' {
			e.value.Fail("a comma inside { } ends a value: write 60000 for 60,000, or put the value in quotes")
		} else if !e.used {
			e.value.Fail("no such field here; accepted are %s", strings.Join(slices.Sorted(slices.Values(m.asked)), ", "))
		}
	}
}

// Map is a field's own fields; an absent one has none.
func (m *Map) Map(key string) *Map {
	v, ok := m.Get(key)
	if !ok {
		return &Map{Value: v}
	}
	return v.Map()
}

// Map takes the value as fields.
func (v Value) Map() *Map { return v.doc.asMap(v) }

// IsText says whether the value is one text or number, neither list nor map.
func (v Value) IsText() bool {
	switch unwrap(v.node).(type) {
	case *ast.MappingNode, *ast.MappingValueNode, *ast.SequenceNode, nil:
		return false
	}
	return true
}

// List takes the value as a list; a single text is a list of one.
func (v Value) List() []Value {
	s, ok := unwrap(v.node).(*ast.SequenceNode)
	if !ok {
		if v.IsText() {
			return []Value{v}
		}
		v.Fail("expected a list")
		return nil
	}
	list := make([]Value, len(s.Values))
	for i, n := range s.Values {
		list[i] = Value{v.doc, n, fmt.Sprintf("%s[%d]", v.field, i+1)}
	}
	return list
}

// Text is the value as it was written.
func (v Value) Text() string {
	n := unwrap(v.node)
	switch t := n.(type) {
	case *ast.StringNode:
		return t.Value
	case *ast.LiteralNode:
		return t.Value.Value
	case nil, *ast.NullNode:
		return ""
	}
	if !v.IsText() {
		v.Fail("expected a text, got %q", short(n.String()))
		return ""
	}
	return n.GetToken().Value
}

// Quantity reads the value as a quantity of the unit's kind. A number without a
// unit is a mistake, but for plain numbers. ok is false after a mistake.
func (v Value) Quantity(asked *quantity.Unit) (q quantity.Quantity, ok bool) {
	return v.quantity(v.Text(), asked)
}

func (v Value) quantity(text string, asked *quantity.Unit) (quantity.Quantity, bool) {
	r, err := quantity.Read(text, asked)
	switch {
	case err != nil:
		v.Fail("%v", err)
	case r.Quantity.Kind() != asked.Kind:
		v.Fail("%q is %s; wanted is %s, for example %s", text, r.Quantity.Kind(), asked.Kind, asked.Kind.Example())
	case r.Bare && asked.Kind != quantity.Number && r.Number != 0:
		v.Fail("%q has no unit; wanted is %s, for example %s", text, asked.Kind, asked.Kind.Example())
	case r.Bare && r.Number == 0 && asked.Kind == quantity.Temperature:
		v.Fail("%q has no unit: 0 °F and 0 °C differ", text)
	default:
		return r.Quantity, true
	}
	return quantity.Quantity{}, false
}

// Text is a field's text, or what stands in for an absent one.
func (m *Map) Text(key, otherwise string) string {
	if v, ok := m.Get(key); ok {
		return v.Text()
	}
	return otherwise
}

// Choice is a field that is one of a few words; the first stands in for an
// absent one.
func (m *Map) Choice(key string, words ...string) string {
	v, ok := m.Get(key)
	if !ok {
		return words[0]
	}
	t := v.Text()
	if !slices.Contains(words, t) {
		v.Fail("%q is not known; accepted are %s", short(t), strings.Join(words, ", "))
		return words[0]
	}
	return t
}

// Yes is a field that says yes or no; absent means no.
func (m *Map) Yes(key string) bool {
	v, ok := m.Get(key)
	if !ok {
		return false
	}
	switch strings.ToLower(v.Text()) {
	case "yes", "true", "on":
		return true
	case "no", "false", "off":
		return false
	}
	v.Fail("%q is neither yes nor no", short(v.Text()))
	return false
}

// Count is a whole number from low to high.
func (v Value) Count(low, high int) int {
	n, err := strconv.Atoi(v.Text())
	if err != nil || n < low || n > high {
		v.Fail("%q is not a whole number from %d to %d", short(v.Text()), low, high)
		return low
	}
	return n
}

// Range is where a number in SI may lie. The zero Range takes any.
type Range struct{ Low, High float64 }

// Ranges that fields often have.
var (
	Positive = Range{math.SmallestNonzeroFloat64, math.Inf(1)}
	NotBelow = Range{0, math.Inf(1)} // zero or more
	Share    = Range{0, 1}
)

// SI is a field in SI units, and whether it is there and sound.
func (m *Map) SI(key string, asked *quantity.Unit, within Range) (float64, bool) {
	v, ok := m.Get(key)
	if !ok {
		return 0, false
	}
	return v.SI(asked, within)
}

// SI is the value in SI units; ok is false after a mistake.
func (v Value) SI(asked *quantity.Unit, within Range) (float64, bool) {
	q, ok := v.Quantity(asked)
	if !ok {
		return 0, false
	}
	return q.SI, v.check(q, within)
}

func (v Value) check(q quantity.Quantity, within Range) bool {
	if within == (Range{}) || q.SI >= within.Low && q.SI <= within.High {
		return true
	}
	low, high := quantity.FromSI(within.Low, q.Unit), quantity.FromSI(within.High, q.Unit)
	switch {
	case within == Positive:
		v.Fail("%s must be above zero", q.Exact())
	case within == NotBelow:
		v.Fail("%s must not be below zero", q.Exact())
	default:
		v.Fail("%s is out of range; accepted is %s to %s", q.Exact(), low.Exact(), high.Exact())
	}
	return false
}

// SIOr is a field in SI units, or what stands in for an absent one.
func (m *Map) SIOr(key string, asked *quantity.Unit, within Range, otherwise float64) float64 {
	if !m.Has(key) {
		return otherwise
	}
	if x, ok := m.SI(key, asked, within); ok {
		return x
	}
	return otherwise
}

// Need is a field in SI units that must be there.
func (m *Map) Need(key string, asked *quantity.Unit, within Range) float64 {
	if !m.Has(key) {
		m.Missing(key, asked.Kind.Example())
		return within.Low
	}
	x, _ := m.SI(key, asked, within)
	return x
}

// Missing notes that a field is missing; example shows one.
func (m *Map) Missing(key, example string) {
	v := m.Value
	v.Fail("%s is missing; for example %s: %s", key, key, example)
}

// Pair reads "9 ft at 10 gpm": two quantities with a word between.
func (v Value) Pair(word string, first, second *quantity.Unit) (a, b quantity.Quantity, ok bool) {
	left, right, found := strings.Cut(v.Text(), " "+word+" ")
	if !found {
		v.Fail("%q is not of the form %q", short(v.Text()), fmt.Sprintf("%s %s %s", strings.Split(first.Kind.Example(), ",")[0], word, strings.Split(second.Kind.Example(), ",")[0]))
		return a, b, false
	}
	a, okA := v.quantity(left, first)
	b, okB := v.quantity(right, second)
	return a, b, okA && okB
}

// Either reads the value as one of two kinds, such as a head or a pressure.
func (v Value) Either(first, second *quantity.Unit) (quantity.Quantity, bool) {
	return v.either(v.Text(), first, second)
}

func (v Value) either(text string, first, second *quantity.Unit) (quantity.Quantity, bool) {
	if r, err := quantity.Read(text, second); err == nil && !r.Bare && r.Quantity.Kind() == second.Kind {
		if as, err := quantity.Read(text, first); err != nil || as.Quantity.Kind() != first.Kind {
			return r.Quantity, true
		}
	}
	return v.quantity(text, first)
}

// PairOf reads "9 ft at 10 gpm" whose first part may be one of two kinds.
func (v Value) PairOf(word string, first, or, second *quantity.Unit) (a, b quantity.Quantity, ok bool) {
	left, right, found := strings.Cut(v.Text(), " "+word+" ")
	if !found {
		return v.Pair(word, first, second)
	}
	a, okA := v.either(left, first, or)
	b, okB := v.quantity(right, second)
	return a, b, okA && okB
}

// Cut splits a text at a word; ok is false where the word is not in it.
func (v Value) Cut(word string) (before, after Value, ok bool) {
	left, right, found := strings.Cut(v.Text(), " "+word+" ")
	if !found {
		return v, v, false
	}
	return v.with(left), v.with(right), true
}

// with is the same place with another text.
func (v Value) with(text string) Value {
	n := ast.String(v.node.GetToken())
	n.Value = text
	return Value{v.doc, n, v.field}
}

// Under is the map with the fields of defaults[kind], for the kind that the
// map has, standing in for those it lacks.
func (m *Map) Under(defaults *Map) *Map {
	v, ok := defaults.Get(m.Text("kind", ""))
	if !ok {
		return m
	}
	for _, e := range v.Map().entries {
		if !slices.ContainsFunc(m.entries, func(own entry) bool { return own.key == e.key }) {
			m.entries = append(m.entries, e)
		}
	}
	return m
}
