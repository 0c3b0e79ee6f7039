package lessons

import (
	"bytes"
	"fmt"
	"html/template"
	"strconv"
	"strings"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/extension"
	"github.com/yuin/goldmark/parser"
	"github.com/yuin/goldmark/text"

	"loopwright/exercises"
)

// View is a lesson in one system of units: prose and interactive blocks in
// order. The site draws the blocks with its own components.
type View struct {
	Lesson *Lesson
	Units  exercises.System
	Blocks []Block
	// Headings are the sections of the prose, for the table of contents.
	Headings []Heading
	prose    []string // plain text runs, for Check
	links    []string // destinations, for Check
}

// Block is one piece of a lesson: exactly one field is set.
type Block struct {
	Prose   template.HTML
	Figure  *FigureBlock
	Predict *PredictBlock
	Worked  *WorkedBlock
}

// Heading is a section of a lesson.
type Heading struct{ ID, Text string }

// Figures lists the figure blocks.
func (v *View) Figures() []*FigureBlock {
	var all []*FigureBlock
	for _, b := range v.Blocks {
		if b.Figure != nil {
			all = append(all, b.Figure)
		}
	}
	return all
}

// Figure finds a figure of the lesson by its name.
func (v *View) Figure(id string) (*FigureBlock, error) {
	for _, f := range v.Figures() {
		if f.ID == id {
			return f, nil
		}
	}
	return nil, &exercises.NotFoundError{What: "figure", ID: id}
}

func (l *Lesson) renderAll() error {
	l.views = map[exercises.System]*View{}
	for _, units := range []exercises.System{exercises.US, exercises.SI} {
		v, err := l.render(units)
		if err != nil {
			return err
		}
		l.views[units] = v
	}
	return nil
}

// render turns the Markdown into blocks. goldmark renders the prose; an
// interactive block leaves a mark in its place, at which the page is cut.
func (l *Lesson) render(units exercises.System) (*View, error) {
	sc, err := l.evaluate(units)
	if err != nil {
		return nil, err
	}
	v := &View{Lesson: l, Units: units}
	r := &rendering{view: v, scope: sc, lesson: l}
	md := goldmark.New(
		goldmark.WithExtensions(extension.NewTable(extension.WithTableCellAlignMethod(extension.TableCellAlignAttribute)), &loopwrightMarkdown{r}),
		goldmark.WithParserOptions(parser.WithAutoHeadingID()),
	)
	doc := md.Parser().Parse(text.NewReader(l.body))
	var out bytes.Buffer
	if err := md.Renderer().Render(&out, l.body, doc); err != nil {
		return nil, err
	}
	if r.err != nil {
		return nil, r.err
	}
	v.cut(out.String(), r.blocks)
	v.Headings = headings(doc, l.body)
	v.links = links(doc, l.body)
	v.prose = r.prose
	return v, nil
}

const mark = "<!--block "

func (v *View) cut(html string, blocks []Block) {
	for i, piece := range strings.Split(html, mark) {
		if i > 0 {
			number, after, _ := strings.Cut(piece, "-->")
			n, _ := strconv.Atoi(number)
			v.Blocks = append(v.Blocks, blocks[n])
			piece = after
		}
		if strings.TrimSpace(piece) != "" {
			v.Blocks = append(v.Blocks, Block{Prose: template.HTML(piece)}) // #nosec: rendered by goldmark in safe mode from files of the program
		}
	}
}

// lineOf is the line of the file on which an offset of the body lies.
func (l *Lesson) lineOf(offset int) int {
	offset = min(max(offset, 0), len(l.body))
	return l.bodyLine + bytes.Count(l.body[:offset], []byte("\n"))
}

func (l *Lesson) errorAt(offset int, err error) error {
	return fmt.Errorf("%s:%d: %w", l.file, l.lineOf(offset), err)
}
