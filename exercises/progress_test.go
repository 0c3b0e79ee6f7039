package exercises

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"loopwright/grader/closeto"
)

var noon = time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC)

// Values computed by hand from the equations of Corbett and Anderson (1995)
// with L0 = 0.3, T = 0.1, S = 0.1, G = 0.2.
func TestKnowledgeTracing(t *testing.T) {
	e := Start("flow-from-load")
	for i, c := range []struct{ score, want float64 }{
		{1, .692683}, {1, .919231}, {0, .628501}, {1, .895508}, {1, .977253}, {1, .995369},
	} {
		e = e.Update(c.score, false, noon.Add(time.Duration(i)*time.Minute))
		closeto.Absolute(t, c.want, e.Probability, 1e-6, "probability")
	}
	require.Equal(t, 6, e.Attempts)
	require.Equal(t, 5, e.Right)
}

func TestStatesAndGaps(t *testing.T) {
	e := Start("flow-from-load")
	require.Equal(t, NotBegun, e.State(noon))
	e = e.Update(1, false, noon)
	require.Equal(t, Learning, e.State(noon))
	e = e.Update(1, false, noon).Update(0.8, false, noon)
	require.Equal(t, Held, e.State(noon))
	require.Equal(t, firstGap, e.Gap, "three tries on one day do not stretch the gap")
	require.Equal(t, Fading, e.State(noon.Add(firstGap)))
	kept := e.Update(1, false, noon.Add(firstGap))
	require.Equal(t, 2*firstGap, kept.Gap)
	require.Equal(t, Held, kept.State(noon.Add(firstGap)))
	lost := e.Update(0, false, noon.Add(firstGap))
	require.Equal(t, gapIfWrong, lost.Gap)
	require.Equal(t, Learning, lost.State(noon.Add(firstGap)))
	for range 10 {
		kept = kept.Update(1, false, kept.Due())
	}
	require.Equal(t, longestGap, kept.Gap)
}

// A try with hints teaches, and proves nothing.
func TestAidedTries(t *testing.T) {
	e := Start("flow-from-load")
	for range 3 {
		e = e.Update(1, true, noon)
	}
	closeto.Absolute(t, 1-0.7*0.9*0.9*0.9, e.Probability, 1e-12, "learning alone")
	require.Equal(t, Learning, e.State(noon))
}

func TestNext(t *testing.T) {
	estimates := map[string]Estimate{}
	read := map[string]bool{}
	n := Next(estimates, read, noon)
	require.Equal(t, LessonHeat, n.Lesson)
	read[LessonHeat] = true
	n = Next(estimates, read, noon)
	require.Empty(t, n.Lesson)
	require.Equal(t, "flow-from-load", n.Family.ID)
	require.Equal(t, 1, n.Level)

	estimates["flow-from-load"] = Start("flow-from-load").Update(1, false, noon)
	require.Equal(t, 2, Next(estimates, read, noon).Level)
	for _, s := range Skills() {
		e := Start(s.ID)
		for range 4 {
			e = e.Update(1, false, noon)
		}
		estimates[s.ID] = e
	}
	require.Nil(t, Next(estimates, read, noon))
	n = Next(estimates, read, noon.Add(firstGap))
	require.Equal(t, "flow-from-load", n.Skill.ID)
	require.Contains(t, n.Why, "fades")
}

func TestFading(t *testing.T) {
	e := Start("x")
	require.Equal(t, 4, e.ShownSteps(4))
	e.Probability = 0.8
	require.Equal(t, 3, e.ShownSteps(4))
	e.Probability = 0.99
	require.Equal(t, 1, e.ShownSteps(4))
	require.Equal(t, 0, e.ShownSteps(1))
}
