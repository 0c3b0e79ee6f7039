package web

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"loopwright/exercises"
	"loopwright/lessons"
)

// todayView is the home page: what is next, and what the learner can do.
type todayView struct {
	Name   string
	First  bool // nothing was read or tried yet
	Lesson *lessons.Lesson
	Next   *exercises.Suggestion // nil when everything is held
	// Open is a posed problem without an answer, to go on with.
	OpenID, OpenTitle string
	Can               []skillState // held and fading
	Learning          []skillState
	NotBegun          int
}

func (s *Site) today(c *gin.Context) {
	ctx := c.Request.Context()
	l := s.person.get()
	kept, err := s.store.Estimates(ctx, l.ID)
	if err != nil {
		s.fail(c, err)
		return
	}
	openID, openFamily, err := s.store.OpenProblem(ctx, l.ID)
	if err != nil {
		s.fail(c, err)
		return
	}
	now := s.now()
	read := s.person.readAll()
	estimates := fromStore(kept)
	v := todayView{Name: l.Name, First: len(kept) == 0 && len(read) == 0, Next: exercises.Next(estimates, read, now)}
	if openID != "" {
		if f, err := exercises.FamilyByID(openFamily); err == nil {
			v.OpenID, v.OpenTitle = openID, f.Title
		}
	}
	if v.Next != nil && v.Next.Lesson != "" {
		if v.Lesson, err = s.course.Lesson(v.Next.Lesson); err != nil {
			s.fail(c, err)
			return
		}
	}
	for _, st := range states(estimates, now) {
		switch st.State {
		case exercises.Held, exercises.Fading:
			v.Can = append(v.Can, st)
		case exercises.Learning:
			v.Learning = append(v.Learning, st)
		default:
			v.NotBegun++
		}
	}
	s.show(c, http.StatusOK, "today", page{Title: "Today", Nav: "today", View: v})
}
