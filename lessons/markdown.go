package lessons

import (
	"fmt"
	"html"
	"strings"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/parser"
	"github.com/yuin/goldmark/renderer"
	"github.com/yuin/goldmark/text"
	"github.com/yuin/goldmark/util"

	"loopwright/exercises"
)

// rendering is the state of one pass over one lesson.
type rendering struct {
	view   *View
	lesson *Lesson
	scope  *scope
	blocks []Block
	prose  []string
	err    error // the first mistake, with file and line
}

func (r *rendering) fail(offset int, err error) {
	if r.err == nil {
		r.err = r.lesson.errorAt(offset, err)
	}
}

// loopwrightMarkdown adds computed values, words by system of units, and the
// interactive blocks to Markdown.
type loopwrightMarkdown struct{ r *rendering }

// Extend implements goldmark.Extender.
func (e *loopwrightMarkdown) Extend(m goldmark.Markdown) {
	m.Parser().AddOptions(parser.WithInlineParsers(util.Prioritized(&braceParser{e.r}, 50)))
	m.Renderer().AddOptions(renderer.WithNodeRenderers(util.Prioritized(&nodeRenderer{e.r}, 50)))
}

// valueNode is the text that a brace stands for.
type valueNode struct {
	ast.BaseInline
	text     string
	computed bool // by the engine, not typed
	quantity bool
}

var kindValue = ast.NewNodeKind("LessonValue")

// Kind implements ast.Node.
func (*valueNode) Kind() ast.NodeKind { return kindValue }

// Dump implements ast.Node.
func (n *valueNode) Dump(source []byte, level int) {
	ast.DumpHelper(n, source, level, map[string]string{"text": n.text}, nil)
}

// braceParser reads {= expression} and {: US words | SI words :}.
type braceParser struct{ r *rendering }

// Trigger implements parser.InlineParser.
func (*braceParser) Trigger() []byte { return []byte{'{'} }

// Parse implements parser.InlineParser.
func (p *braceParser) Parse(_ ast.Node, block text.Reader, _ parser.Context) ast.Node {
	line, segment := block.PeekLine()
	s := string(line)
	switch {
	case strings.HasPrefix(s, "{="):
		end := strings.IndexByte(s, '}')
		if end < 0 {
			p.r.fail(segment.Start, fmt.Errorf("{= has no closing }"))
			return nil
		}
		printed, isQuantity, err := p.r.scope.print(strings.TrimSpace(s[2:end]))
		if err != nil {
			p.r.fail(segment.Start, err)
		}
		block.Advance(end + 1)
		return &valueNode{text: printed, computed: true, quantity: isQuantity}
	case strings.HasPrefix(s, "{:"):
		end := strings.Index(s, ":}")
		us, si, two := strings.Cut(s[2:max(end, 2)], "|")
		if end < 0 || !two {
			p.r.fail(segment.Start, fmt.Errorf("{: needs two wordings and a closing :}, as in {: gpm | L/s :}"))
			return nil
		}
		block.Advance(end + 2)
		words := us
		if p.r.scope.units == exercises.SI {
			words = si
		}
		return &valueNode{text: strings.TrimSpace(words)}
	}
	return nil
}

// nodeRenderer draws values, and leaves a mark where an interactive block
// stands.
type nodeRenderer struct{ r *rendering }

// RegisterFuncs implements renderer.NodeRenderer.
func (n *nodeRenderer) RegisterFuncs(reg renderer.NodeRendererFuncRegisterer) {
	reg.Register(kindValue, n.value)
	reg.Register(ast.KindFencedCodeBlock, n.fenced)
	reg.Register(ast.KindText, n.text)
}

func (n *nodeRenderer) value(w util.BufWriter, _ []byte, node ast.Node, entering bool) (ast.WalkStatus, error) {
	v := node.(*valueNode)
	if !entering {
		return ast.WalkContinue, nil
	}
	if v.quantity {
		_, _ = w.WriteString(`<span class="computed">` + html.EscapeString(v.text) + `</span>`)
	} else {
		if !v.computed {
			n.r.prose = append(n.r.prose, v.text)
		}
		_, _ = w.WriteString(html.EscapeString(v.text))
	}
	return ast.WalkContinue, nil
}

// text renders prose like goldmark does, and keeps it for Check.
func (n *nodeRenderer) text(w util.BufWriter, source []byte, node ast.Node, entering bool) (ast.WalkStatus, error) {
	t := node.(*ast.Text)
	if !entering {
		return ast.WalkContinue, nil
	}
	value := t.Segment.Value(source)
	n.r.prose = append(n.r.prose, string(value))
	_, _ = w.WriteString(html.EscapeString(string(util.ResolveEntityNames(util.ResolveNumericReferences(util.UnescapePunctuations(value))))))
	switch {
	case t.HardLineBreak():
		_, _ = w.WriteString("<br>\n")
	case t.SoftLineBreak():
		_ = w.WriteByte('\n')
	}
	return ast.WalkContinue, nil
}

func (n *nodeRenderer) fenced(w util.BufWriter, source []byte, node ast.Node, entering bool) (ast.WalkStatus, error) {
	if !entering {
		return ast.WalkContinue, nil
	}
	block := node.(*ast.FencedCodeBlock)
	offset := 0
	if block.Info != nil {
		offset = block.Info.Segment.Start
	}
	kind, name, _ := strings.Cut(strings.TrimSpace(string(block.Info.Segment.Value(source))), " ")
	var body strings.Builder
	for i := range block.Lines().Len() {
		line := block.Lines().At(i)
		body.Write(line.Value(source))
	}
	b, err := n.r.block(kind, strings.TrimSpace(name), body.String())
	if err != nil {
		n.r.fail(offset, fmt.Errorf("block %s %s: %w", kind, name, err))
		return ast.WalkSkipChildren, nil
	}
	fmt.Fprintf(w, "%s%d-->", mark, len(n.r.blocks))
	n.r.blocks = append(n.r.blocks, b)
	return ast.WalkSkipChildren, nil
}

// headings lists the second-level headings.
func headings(doc ast.Node, source []byte) []Heading {
	var found []Heading
	_ = ast.Walk(doc, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		h, ok := n.(*ast.Heading)
		if !ok || !entering || h.Level != 2 {
			return ast.WalkContinue, nil
		}
		id, _ := h.AttributeString("id")
		idText, _ := id.([]byte)
		found = append(found, Heading{string(idText), plain(h, source)})
		return ast.WalkSkipChildren, nil
	})
	return found
}

// links lists where the links of a page lead.
func links(doc ast.Node, source []byte) []string {
	var found []string
	_ = ast.Walk(doc, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if l, ok := n.(*ast.Link); ok && entering {
			found = append(found, string(l.Destination))
		}
		if l, ok := n.(*ast.AutoLink); ok && entering {
			found = append(found, string(l.URL(source)))
		}
		return ast.WalkContinue, nil
	})
	return found
}

func plain(n ast.Node, source []byte) string {
	var b strings.Builder
	for c := n.FirstChild(); c != nil; c = c.NextSibling() {
		switch c := c.(type) {
		case *ast.Text:
			b.Write(c.Segment.Value(source))
		case *valueNode:
			b.WriteString(c.text)
		default:
			b.WriteString(plain(c, source))
		}
	}
	return b.String()
}
