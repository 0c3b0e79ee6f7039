package web

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"loopwright/exercises"
)

// progressView is what a learner can do, and the attempts that it rests on.
type progressView struct {
	HeldFrom                         string // the likelihood from which a skill counts as held
	Groups                           []skillGroup
	Held, Fading, Learning, NotBegun int
	Attempts                         []attemptRow
}

type skillGroup struct {
	Lesson, Title string
	Skills        []skillState
}

type attemptRow struct {
	Posed, Title, When, Score string
	Level                     int
	Aided                     bool
}

// recentShown is how many attempts the progress page lists.
const recentShown = 25

func (s *Site) progress(c *gin.Context) {
	ctx := c.Request.Context()
	me := s.person.get().ID
	kept, err := s.store.Estimates(ctx, me)
	if err != nil {
		s.fail(c, err)
		return
	}
	recent, err := s.store.RecentAttempts(ctx, me, recentShown)
	if err != nil {
		s.fail(c, err)
		return
	}
	now := s.now()
	all := states(fromStore(kept), now)
	v := progressView{HeldFrom: scoreText(exercises.HeldFrom)}
	for _, l := range s.course.Lessons {
		g := skillGroup{Lesson: l.ID, Title: l.Title}
		for _, st := range all {
			if st.Lesson == l.ID {
				g.Skills = append(g.Skills, st)
				v.count(st.State)
			}
		}
		v.Groups = append(v.Groups, g)
	}
	for _, a := range recent {
		row := attemptRow{Posed: a.Posed, Title: a.Family, When: ago(now.Sub(a.MadeAt)), Score: scoreText(a.Score), Level: a.Level, Aided: a.Aided}
		if f, err := exercises.FamilyByID(a.Family); err == nil {
			row.Title = f.Title
		}
		v.Attempts = append(v.Attempts, row)
	}
	s.show(c, http.StatusOK, "progress", page{Title: "Progress", Nav: "progress", View: v})
}

func (v *progressView) count(s exercises.State) {
	switch s {
	case exercises.Held:
		v.Held++
	case exercises.Fading:
		v.Fading++
	case exercises.Learning:
		v.Learning++
	default:
		v.NotBegun++
	}
}
