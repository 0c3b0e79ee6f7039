package web

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"loopwright/db"
	"loopwright/exercises"
	"loopwright/grader"
)

// load finds the learner's problem.
func (s *Site) load(c *gin.Context) (db.Posed, *exercises.Problem, error) {
	posed, err := s.store.Posed(c.Request.Context(), s.person.get().ID, c.Param("id"))
	if err != nil {
		return posed, nil, err
	}
	p, err := unmarshalProblem(posed.Problem)
	if err == nil {
		s.problems.Add(posed.ID, p)
	}
	return posed, p, err
}

// loadTried is load with the latest attempt and how many there are.
func (s *Site) loadTried(c *gin.Context) (posed db.Posed, p *exercises.Problem, latest db.Attempt, count int, err error) {
	if posed, p, err = s.load(c); err == nil {
		latest, count, err = s.store.LatestAttempt(c.Request.Context(), posed.ID)
	}
	return posed, p, latest, count, err
}

// problem shows a problem with its latest attempt.
func (s *Site) problem(c *gin.Context) {
	posed, p, latest, count, err := s.loadTried(c)
	if err != nil {
		s.fail(c, err)
		return
	}
	typed := map[string]string{}
	var result *grader.Result
	if count > 0 {
		result = &grader.Result{}
		if err := errors.Join(json.Unmarshal(latest.Answers, &typed), json.Unmarshal(latest.Verdict, result)); err != nil {
			s.fail(c, err)
			return
		}
	}
	s.showProblem(c, http.StatusOK, posed, p, typed, result, count, nil)
}

func (s *Site) showProblem(c *gin.Context, status int, posed db.Posed, p *exercises.Problem, typed map[string]string, result *grader.Result, attempts int, bad grader.InputErrors) {
	key, err := s.newID()
	if err != nil {
		s.fail(c, err)
		return
	}
	v := viewProblem(posed, p, typed, result, attempts, bad)
	v.Key = key
	s.show(c, status, "problem", page{Title: p.Title, Nav: "practice", View: v})
}

// typedAnswers reads the parts' fields as they were typed.
func typedAnswers(c *gin.Context, p *exercises.Problem) map[string]string {
	typed := map[string]string{}
	for _, part := range p.Parts {
		field := "part-" + part.ID
		if part.Kind != grader.Order {
			typed[part.ID] = c.PostForm(field)
			continue
		}
		places := make([]string, len(part.Options))
		empty := true
		for i := range places {
			places[i] = c.PostForm(fmt.Sprintf("%s-%d", field, i+1))
			empty = empty && places[i] == ""
		}
		if !empty {
			typed[part.ID] = strings.Join(places, ",")
		}
	}
	return typed
}

// answer marks a submission and keeps it before it says so.
func (s *Site) answer(c *gin.Context) {
	if err := form(c); err != nil {
		s.fail(c, err)
		return
	}
	id := c.Param("id")
	// A problem that was shown a moment ago is still in memory. Whether it is
	// the learner's own is decided where the attempt is recorded.
	p, ok := s.problems.Get(id)
	if !ok {
		var err error
		if _, p, err = s.load(c); err != nil {
			s.fail(c, err)
			return
		}
	}
	key := c.PostForm("key")
	if len(key) < 16 || len(key) > 64 {
		s.fail(c, &badRequest{"The form is not one that this page made. Open the problem again and answer there."})
		return
	}
	typed := typedAnswers(c, p)
	result, err := grader.Mark(p.Parts, typed)
	var bad grader.InputErrors
	if errors.As(err, &bad) {
		s.showUnread(c, typed, bad)
		return
	}
	if err == nil {
		err = s.record(c, id, p, key, typed, result)
	}
	if err != nil {
		s.fail(c, err)
		return
	}
	c.Redirect(http.StatusSeeOther, "/problems/"+id+"#result")
}

// showUnread shows the form again with what was typed and what is wrong with
// it.
func (s *Site) showUnread(c *gin.Context, typed map[string]string, bad grader.InputErrors) {
	posed, p, _, count, err := s.loadTried(c)
	if err != nil {
		s.fail(c, err)
		return
	}
	s.showProblem(c, http.StatusUnprocessableEntity, posed, p, typed, nil, count, bad)
}

func (s *Site) record(c *gin.Context, posed string, p *exercises.Problem, key string, typed map[string]string, result grader.Result) error {
	answers, err := json.Marshal(typed)
	if err != nil {
		return err
	}
	verdict, err := json.Marshal(result)
	if err != nil {
		return err
	}
	at := s.now()
	_, _, err = s.store.RecordAttempt(c.Request.Context(), s.person.get().ID,
		db.Attempt{Posed: posed, SubmissionKey: key, Answers: answers, Verdict: verdict, Score: result.Score, MadeAt: at},
		func(current map[string]db.Estimate, aided bool) []db.Estimate {
			return Updated(current, p.Skills, result.Score, aided, at)
		})
	return err
}

// hint shows one more hint. It answers with the page itself, so that what was
// typed stays in the form.
func (s *Site) hint(c *gin.Context) {
	if err := form(c); err != nil {
		s.fail(c, err)
		return
	}
	posed, p, _, count, err := s.loadTried(c)
	if err != nil {
		s.fail(c, err)
		return
	}
	if n := posed.HintsShown + 1; n <= len(allHints(p)) {
		if err := s.store.ShowHints(c.Request.Context(), posed.Learner, posed.ID, n); err != nil {
			s.fail(c, err)
			return
		}
		posed.HintsShown = n
	}
	s.showProblem(c, http.StatusOK, posed, p, typedAnswers(c, p), nil, count, nil)
}

// solution opens the solution of a problem that was tried.
func (s *Site) solution(c *gin.Context) {
	posed, _, _, count, err := s.loadTried(c)
	if err == nil && count == 0 {
		err = &badRequest{"Try the problem first: the solution opens after the first answer. A hint or a worked example is there before."}
	}
	if err == nil {
		err = s.store.Help(c.Request.Context(), posed.Learner, posed.ID)
	}
	if err != nil {
		s.fail(c, err)
		return
	}
	c.Redirect(http.StatusSeeOther, "/problems/"+posed.ID+"#solution")
}

// exampleView is a worked problem like the one at hand, faded by what the
// learner can do: the steps behind Shown are left to the learner to try first.
type exampleView struct {
	ID      string
	Problem *exercises.Problem
	Shown   []exercises.Step
	Left    []exercises.Step
}

func (s *Site) openExample(c *gin.Context) {
	err := s.store.Help(c.Request.Context(), s.person.get().ID, c.Param("id"))
	if err != nil {
		s.fail(c, err)
		return
	}
	c.Redirect(http.StatusSeeOther, "/problems/"+c.Param("id")+"/example")
}

// siblingStep is how far the seed of the worked example lies from the
// problem's own.
const siblingStep = 1_000_003

func (s *Site) example(c *gin.Context) {
	posed, p, err := s.load(c)
	if err != nil {
		s.fail(c, err)
		return
	}
	if !posed.Helped {
		// Opening it is noted, so it has a button.
		c.Redirect(http.StatusSeeOther, "/problems/"+posed.ID)
		return
	}
	f, err := exercises.FamilyByID(p.Family)
	if err != nil {
		s.fail(c, err)
		return
	}
	sibling, err := exercises.Pose(f, p.Seed+siblingStep, p.Level, p.Units)
	if err != nil {
		s.fail(c, err)
		return
	}
	kept, err := s.store.Estimates(c.Request.Context(), posed.Learner)
	if err != nil {
		s.fail(c, err)
		return
	}
	e, ok := fromStore(kept)[f.Skills[0]]
	if !ok {
		e = exercises.Start(f.Skills[0])
	}
	n := e.ShownSteps(len(sibling.Steps))
	s.show(c, http.StatusOK, "example", page{Title: "Worked example: " + p.Title, Nav: "practice",
		View: exampleView{posed.ID, sibling, sibling.Steps[:n], sibling.Steps[n:]}})
}
