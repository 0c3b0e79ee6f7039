package web

import (
	"bytes"
	"encoding/base32"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"loopwright/db"
	"loopwright/exercises"
)

// practiceView lists every family by lesson.
type practiceView struct{ Topics []topic }

type topic struct {
	Title, Lesson string
	Families      []listedFamily
}

type listedFamily struct {
	*exercises.Family
	State  exercises.State
	Detail string
}

func (s *Site) practice(c *gin.Context) {
	kept, err := s.store.Estimates(c.Request.Context(), s.person.get().ID)
	if err != nil {
		s.fail(c, err)
		return
	}
	bySkill := map[string]skillState{}
	for _, st := range states(fromStore(kept), s.now()) {
		bySkill[st.ID] = st
	}
	var v practiceView
	for _, l := range s.course.Lessons {
		t := topic{Title: l.Title, Lesson: l.ID}
		for _, f := range exercises.Families() {
			if f.Lesson == l.ID {
				st := bySkill[f.Skills[0]]
				t.Families = append(t.Families, listedFamily{f, st.State, st.Detail})
			}
		}
		v.Topics = append(v.Topics, t)
	}
	s.show(c, http.StatusOK, "practice", page{Title: "Practice", Nav: "practice", View: v})
}

// familyView is the start of a family's problems.
type familyView struct {
	Family *exercises.Family
	Lesson string // title
	Skills []skillState
	Levels []levelChoice
}

type levelChoice struct {
	Level     int
	Says      string
	Suggested bool
}

func (s *Site) family(c *gin.Context) {
	f, err := exercises.FamilyByID(c.Param("family"))
	if err != nil {
		s.fail(c, err)
		return
	}
	kept, err := s.store.Estimates(c.Request.Context(), s.person.get().ID)
	if err != nil {
		s.fail(c, err)
		return
	}
	estimates := fromStore(kept)
	v := familyView{Family: f}
	if l, err := s.course.Lesson(f.Lesson); err == nil {
		v.Lesson = l.Title
	}
	for _, st := range states(estimates, s.now()) {
		for _, id := range f.Skills {
			if st.ID == id {
				v.Skills = append(v.Skills, st)
			}
		}
	}
	e, ok := estimates[f.Skills[0]]
	if !ok {
		e = exercises.Start(f.Skills[0])
	}
	for i, says := range f.Levels {
		v.Levels = append(v.Levels, levelChoice{i + 1, says, i+1 == e.Level()})
	}
	s.show(c, http.StatusOK, "family", page{Title: f.Title, Nav: "practice", View: v})
}

// pose draws a new problem, keeps it, and sends the learner to it.
func (s *Site) pose(c *gin.Context) {
	f, err := exercises.FamilyByID(c.Param("family"))
	if err == nil {
		err = form(c)
	}
	if err != nil {
		s.fail(c, err)
		return
	}
	level, err := strconv.Atoi(c.PostForm("level"))
	if err != nil || level < 1 || level > exercises.Levels {
		s.fail(c, &badRequest{fmt.Sprintf("Choose a level from 1 to %d.", exercises.Levels)})
		return
	}
	var random [8]byte
	if _, err := io.ReadFull(s.random, random[:]); err != nil {
		s.fail(c, err)
		return
	}
	// Seeds stay below 2^53, so that a script in any language can hold one.
	seed := binary.BigEndian.Uint64(random[:]) >> 11
	id, err := s.posed(c, f, seed, level)
	if err != nil {
		s.fail(c, err)
		return
	}
	c.Redirect(http.StatusSeeOther, "/problems/"+id)
}

func (s *Site) posed(c *gin.Context, f *exercises.Family, seed uint64, level int) (string, error) {
	p, err := exercises.Pose(f, seed, level, s.units())
	if err != nil {
		return "", err
	}
	stored, err := json.Marshal(p)
	if err != nil {
		return "", err
	}
	id, err := s.newID()
	if err != nil {
		return "", err
	}
	return id, s.store.SavePosed(c.Request.Context(), db.Posed{ID: id, Learner: s.person.get().ID, Family: f.ID, Level: level, Seed: seed, Problem: stored, PosedAt: s.now()})
}

// newID is 128 random bits in letters and figures.
func (s *Site) newID() (string, error) {
	var b [16]byte
	if _, err := io.ReadFull(s.random, b[:]); err != nil {
		return "", err
	}
	return strings.ToLower(base32.StdEncoding.WithPadding(base32.NoPadding).EncodeToString(b[:])), nil
}

func unmarshalProblem(stored []byte) (*exercises.Problem, error) {
	var p exercises.Problem
	if err := json.NewDecoder(bytes.NewReader(stored)).Decode(&p); err != nil {
		return nil, fmt.Errorf("stored problem: %w", err)
	}
	return &p, nil
}
