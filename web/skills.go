package web

import (
	"time"

	"loopwright/db"
	"loopwright/exercises"
)

// skillState is a skill with its state in words.
type skillState struct {
	ID, Can string
	State   exercises.State
	Detail  string // "due in 3 days", "2 of 4 right"
	Lesson  string
	Family  string // one that practices it
}

// estimates reads the learner's estimates as package exercises knows them.
func fromStore(kept map[string]db.Estimate) map[string]exercises.Estimate {
	all := make(map[string]exercises.Estimate, len(kept))
	for id, e := range kept {
		all[id] = exercises.Estimate{Skill: e.Skill, Probability: e.Probability, Attempts: e.Attempts, Right: e.Right, Last: e.Last, Gap: e.Gap}
	}
	return all
}

func toStore(e exercises.Estimate) db.Estimate {
	return db.Estimate{Skill: e.Skill, Probability: e.Probability, Attempts: e.Attempts, Right: e.Right, Last: e.Last, Gap: e.Gap}
}

// Updated gives the estimates that change when one first try at a problem of
// these skills is scored. It is what both answering and rebuilding do.
func Updated(current map[string]db.Estimate, skills []string, score float64, aided bool, at time.Time) []db.Estimate {
	before := fromStore(current)
	changed := make([]db.Estimate, 0, len(skills))
	for _, id := range skills {
		e, ok := before[id]
		if !ok {
			e = exercises.Start(id)
		}
		changed = append(changed, toStore(e.Update(score, aided, at)))
	}
	return changed
}

// states lists every skill of the curriculum with its state.
func states(estimates map[string]exercises.Estimate, now time.Time) []skillState {
	var list []skillState
	for _, sk := range exercises.Skills() {
		e, ok := estimates[sk.ID]
		if !ok {
			e = exercises.Start(sk.ID)
		}
		list = append(list, skillState{ID: sk.ID, Can: sk.Can, State: e.State(now), Detail: detail(e, now), Lesson: sk.Lesson, Family: exercises.FamilyFor(sk.ID, e.Attempts).ID})
	}
	return list
}

func detail(e exercises.Estimate, now time.Time) string {
	switch e.State(now) {
	case exercises.Held:
		return "due " + inDays(e.Due().Sub(now))
	case exercises.Learning:
		return countOf(e.Right, e.Attempts) + " right"
	}
	return ""
}
