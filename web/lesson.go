package web

import (
	"fmt"
	"html/template"
	"net/http"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"loopwright/exercises"
	"loopwright/lessons"
	"loopwright/lessons/figure"
	"loopwright/web/draw"
)

// lessonListView is the course map.
type lessonListView struct{ Modules []module }

type module struct {
	Name    string
	Lessons []listedLesson
}

type listedLesson struct {
	*lessons.Lesson
	Read bool
}

func (s *Site) lessonList(c *gin.Context) {
	var v lessonListView
	for _, l := range s.course.Lessons {
		n := len(v.Modules)
		if n == 0 || v.Modules[n-1].Name != l.Module {
			v.Modules = append(v.Modules, module{Name: l.Module})
			n++
		}
		v.Modules[n-1].Lessons = append(v.Modules[n-1].Lessons, listedLesson{l, s.person.hasRead(l.ID)})
	}
	s.show(c, http.StatusOK, "lessons", page{Title: "Lessons", Nav: "lessons", View: v})
}

// lessonView is a lesson page.
type lessonView struct {
	Lesson *lessons.Lesson
	Read   bool
	Blocks []blockView
	Next   []*exercises.Family
	After  *lessons.Lesson
}

// blockView is one piece of a lesson: exactly one field is set.
type blockView struct {
	Prose   template.HTML
	Figure  *figureView
	Predict *predictView
	Worked  *exercises.Problem
}

// figureView is a live figure in one state.
type figureView struct {
	ID, Title, Caption string
	Lesson             string
	SVG                template.HTML
	Sentence           string
	Table              figure.Table
	Controls           []controlView
}

type controlView struct {
	figure.Control
	ID      string
	Value   float64
	Text    string
	Options []optionView
}

type optionView struct {
	Value    int
	Text     string
	Selected bool
}

// predictView is a predict question, answered or not.
type predictView struct {
	*lessons.PredictBlock
	Answered string // the option chosen, "" before
	Correct  bool
	Before   string // the figure's sentences before and after
	After    *figureView
}

type lessonKey struct {
	lesson string
	units  exercises.System
	theme  string
	read   bool
}

// lesson serves a lesson. Its opening state is the same for everybody with the
// same units and theme: it is rendered once and kept.
func (s *Site) lesson(c *gin.Context) {
	l, err := s.course.Lesson(c.Param("lesson"))
	if err != nil {
		s.fail(c, err)
		return
	}
	me := s.person.get()
	key := lessonKey{l.ID, exercises.System(me.Units), me.Theme, s.person.hasRead(l.ID)}
	plain := c.Request.URL.RawQuery == ""
	if plain {
		if b, ok := s.cached.Load(key); ok {
			writeHTML(c, http.StatusOK, b.([]byte))
			return
		}
	}
	v, err := s.lessonView(l, key, c.Request.URL.Query())
	if err != nil {
		s.fail(c, err)
		return
	}
	b, err := s.pages.render("lesson", page{Title: l.Title, Nav: "lessons", Theme: me.Theme, View: v})
	if err != nil {
		s.fail(c, err)
		return
	}
	if plain {
		s.cached.Store(key, b)
	}
	writeHTML(c, http.StatusOK, b)
}

func (s *Site) lessonView(l *lessons.Lesson, key lessonKey, query map[string][]string) (lessonView, error) {
	v := lessonView{Lesson: l, Read: key.read, After: s.course.After(l)}
	for _, b := range l.View(key.units).Blocks {
		bv := blockView{Prose: b.Prose}
		var err error
		switch {
		case b.Figure != nil:
			bv.Figure, err = figureState(l, b.Figure, query)
		case b.Predict != nil:
			bv.Predict, err = predictState(l, b.Predict, query)
		case b.Worked != nil:
			bv.Worked = b.Worked.Problem
		}
		if err != nil {
			return v, err
		}
		v.Blocks = append(v.Blocks, bv)
	}
	for _, id := range l.Next {
		f, err := exercises.FamilyByID(id)
		if err != nil {
			return v, err
		}
		v.Next = append(v.Next, f)
	}
	return v, nil
}

// figureState solves a figure with the controls that the query names; the
// others stand as the lesson opens.
func figureState(l *lessons.Lesson, f *lessons.FigureBlock, query map[string][]string) (*figureView, error) {
	values := map[string]float64{}
	for k, v := range f.Start.Values {
		values[k] = v
	}
	for _, control := range f.Model.Controls(f.Start.Units) {
		raw, ok := query[f.ID+"."+control.Name]
		if !ok || len(raw) == 0 {
			continue
		}
		x, err := strconv.ParseFloat(strings.TrimSpace(raw[0]), 64)
		if err != nil {
			return nil, &badRequest{fmt.Sprintf("%s must be a number; %q is none.", control.Label, clip(raw[0]))}
		}
		values[control.Name] = x
	}
	in, err := f.Model.Settings(f.Start.Units, values)
	if err != nil {
		return nil, &badRequest{sentence(err)}
	}
	return solvedFigure(l, f, in)
}

func sentence(err error) string {
	text := err.Error()
	return strings.ToUpper(text[:1]) + text[1:] + "."
}

func clip(s string) string {
	if len(s) > 40 {
		return strings.ToValidUTF8(s[:40], "") + "…"
	}
	return s
}

func solvedFigure(l *lessons.Lesson, f *lessons.FigureBlock, in figure.Input) (*figureView, error) {
	r, err := f.Model.Solve(in)
	if err != nil {
		return nil, err
	}
	v := &figureView{ID: f.ID, Title: f.Model.Title, Caption: f.Caption, Lesson: l.ID, SVG: draw.SVG(f.ID, f.Model.Title, r), Sentence: r.Sentence, Table: r.Table}
	for _, control := range f.Model.Controls(in.Units) {
		cv := controlView{Control: control, ID: f.ID + "-" + control.Name, Value: in.Values[control.Name], Text: control.Text(in.Values[control.Name])}
		for i, o := range control.Options {
			cv.Options = append(cv.Options, optionView{i, o, i == int(cv.Value)})
		}
		v.Controls = append(v.Controls, cv)
	}
	return v, nil
}

func predictState(l *lessons.Lesson, p *lessons.PredictBlock, query map[string][]string) (*predictView, error) {
	v := &predictView{PredictBlock: p}
	raw := query[p.ID]
	if len(raw) == 0 {
		return v, nil
	}
	for _, o := range p.Options {
		if o.ID == raw[0] {
			v.Answered, v.Correct = o.ID, o.ID == p.Right
		}
	}
	if v.Answered == "" {
		return nil, &badRequest{fmt.Sprintf("%q is not one of the answers.", clip(raw[0]))}
	}
	before, err := p.Figure.Model.Solve(p.Figure.Start)
	if err != nil {
		return nil, err
	}
	v.Before = before.Sentence
	after, err := solvedFigure(l, p.Figure, p.Then)
	if err != nil {
		return nil, err
	}
	// The figure stands in the page already: this one needs an id of its own,
	// and has nothing to move.
	r, err := p.Figure.Model.Solve(p.Then)
	if err != nil {
		return nil, err
	}
	after.ID, after.Controls = p.ID+"-figure", nil
	after.SVG = draw.SVG(after.ID, after.Title, r)
	v.After = after
	return v, nil
}

// figure serves one figure in a state, as the piece of the page that a script
// swaps in.
func (s *Site) figure(c *gin.Context) {
	l, err := s.course.Lesson(c.Param("lesson"))
	if err != nil {
		s.fail(c, err)
		return
	}
	f, err := l.View(s.units()).Figure(c.Param("figure"))
	if err != nil {
		s.fail(c, err)
		return
	}
	v, err := figureState(l, f, c.Request.URL.Query())
	if err != nil {
		s.fail(c, err)
		return
	}
	b, err := s.pages.execute("lesson", "figure-state", v)
	if err != nil {
		s.fail(c, err)
		return
	}
	writeHTML(c, http.StatusOK, b)
}

func (s *Site) readLesson(c *gin.Context) {
	l, err := s.course.Lesson(c.Param("lesson"))
	if err != nil {
		s.fail(c, err)
		return
	}
	if err := s.store.MarkLessonRead(c.Request.Context(), s.person.get().ID, l.ID, s.now()); err != nil {
		s.fail(c, err)
		return
	}
	s.person.markRead(l.ID)
	c.Redirect(http.StatusSeeOther, "/lessons/"+l.ID+"#next")
}
