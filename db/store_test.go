package db

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

var (
	ctx  = context.Background()
	noon = time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC)
)

// fresh opens a database in a file of its own; at the end it must be sound.
func fresh(t testing.TB) *Store {
	t.Helper()
	s, err := Open(ctx, filepath.Join(t.TempDir(), "a folder with space", "test?.db"))
	require.NoError(t, err)
	t.Cleanup(func() {
		require.NoError(t, s.IntegrityCheck(ctx))
		require.NoError(t, s.Close())
	})
	return s
}

func learner(t testing.TB, s *Store) Learner {
	t.Helper()
	l, err := s.LocalLearner(ctx, noon)
	require.NoError(t, err)
	return l
}

func pose(t testing.TB, s *Store, learner int64, id string) {
	t.Helper()
	require.NoError(t, s.SavePosed(ctx, Posed{ID: id, Learner: learner, Family: "flow-from-load", Level: 2, Seed: 1<<63 + 5, Problem: []byte(`{"a":1}`), PosedAt: noon}))
}

func attemptAt(posed, key string) Attempt {
	return Attempt{Posed: posed, SubmissionKey: key, Answers: []byte(`{"flow":"6 gpm"}`), Verdict: []byte(`{"score":1}`), Score: 1, MadeAt: noon}
}

// counting raises a skill's attempts by one.
func counting(current map[string]Estimate, aided bool) []Estimate {
	e := current["skill"]
	e.Skill, e.Probability, e.Last, e.Gap = "skill", 0.5, noon, time.Hour
	e.Attempts++
	if !aided {
		e.Right++
	}
	return []Estimate{e}
}

func TestLearner(t *testing.T) {
	s := fresh(t)
	l := learner(t, s)
	require.Equal(t, Learner{ID: l.ID, Units: "us", Theme: "auto"}, l)
	require.Equal(t, l, learner(t, s), "the second call finds the same learner")
	l.Name, l.Units, l.Theme = "Sam <b>", "si", "dark"
	require.NoError(t, s.SaveSettings(ctx, l))
	require.Equal(t, l, learner(t, s))
	require.True(t, IsKind(s.SaveSettings(ctx, Learner{ID: 99, Units: "us", Theme: "auto"}), NotFound))
	require.Error(t, s.SaveSettings(ctx, Learner{ID: l.ID, Units: "imperial", Theme: "auto"}))

	require.NoError(t, s.MarkLessonRead(ctx, l.ID, "heat-and-flow", noon))
	require.NoError(t, s.MarkLessonRead(ctx, l.ID, "heat-and-flow", noon.Add(time.Hour)))
	read, err := s.LessonsRead(ctx, l.ID)
	require.NoError(t, err)
	require.Equal(t, map[string]time.Time{"heat-and-flow": noon.Add(time.Hour)}, read)
	require.Error(t, s.MarkLessonRead(ctx, 99, "heat-and-flow", noon), "foreign keys are on")
}

func TestAttempts(t *testing.T) {
	s := fresh(t)
	l := learner(t, s)
	pose(t, s, l.ID, "p1")
	p, err := s.Posed(ctx, l.ID, "p1")
	require.NoError(t, err)
	require.Equal(t, uint64(1<<63+5), p.Seed)
	require.JSONEq(t, `{"a":1}`, string(p.Problem))
	_, err = s.Posed(ctx, l.ID+1, "p1")
	require.True(t, IsKind(err, NotFound), "somebody else's problem is not found")

	id, family, err := s.OpenProblem(ctx, l.ID)
	require.NoError(t, err)
	require.Equal(t, []string{"p1", "flow-from-load"}, []string{id, family})

	first, duplicate, err := s.RecordAttempt(ctx, l.ID, attemptAt("p1", "k1"), counting)
	require.NoError(t, err)
	require.False(t, duplicate)
	require.True(t, first.First)
	require.False(t, first.Aided)
	again, duplicate, err := s.RecordAttempt(ctx, l.ID, attemptAt("p1", "k1"), counting)
	require.NoError(t, err)
	require.True(t, duplicate)
	require.Equal(t, first, again)

	require.NoError(t, s.ShowHints(ctx, l.ID, "p1", 2))
	require.NoError(t, s.ShowHints(ctx, l.ID, "p1", 1))
	p, err = s.Posed(ctx, l.ID, "p1")
	require.NoError(t, err)
	require.Equal(t, 2, p.HintsShown)
	second, _, err := s.RecordAttempt(ctx, l.ID, attemptAt("p1", "k2"), counting)
	require.NoError(t, err)
	require.True(t, second.Aided)
	require.False(t, second.First)

	all, err := s.Estimates(ctx, l.ID)
	require.NoError(t, err)
	require.Equal(t, map[string]Estimate{"skill": {Skill: "skill", Probability: 0.5, Attempts: 1, Right: 1, Last: noon, Gap: time.Hour}}, all, "only the first attempt counts")

	pose(t, s, l.ID, "p2")
	require.NoError(t, s.Help(ctx, l.ID, "p2"))
	third, _, err := s.RecordAttempt(ctx, l.ID, attemptAt("p2", "k1"), counting)
	require.NoError(t, err)
	require.True(t, third.First)
	require.True(t, third.Aided)

	list, err := s.AttemptsAt(ctx, "p1")
	require.NoError(t, err)
	require.Equal(t, []Attempt{first, second}, list)
	recent, err := s.RecentAttempts(ctx, l.ID, 2)
	require.NoError(t, err)
	require.Len(t, recent, 2)
	require.Equal(t, "p2", recent[0].Posed)
	id, _, err = s.OpenProblem(ctx, l.ID)
	require.NoError(t, err)
	require.Empty(t, id)

	_, _, err = s.RecordAttempt(ctx, l.ID+1, attemptAt("p1", "k9"), counting)
	require.True(t, IsKind(err, NotFound), "nobody answers somebody else's problem")
	require.True(t, IsKind(s.ShowHints(ctx, l.ID+1, "p1", 1), NotFound))
	require.True(t, IsKind(s.Help(ctx, l.ID, "no such"), NotFound))

	tries, err := s.Rebuild(ctx, func(current map[string]Estimate, try FirstTry) ([]Estimate, error) {
		require.JSONEq(t, `{"a":1}`, string(try.Problem))
		return counting(current, try.Aided), nil
	})
	require.NoError(t, err)
	require.Equal(t, 2, tries)
	rebuilt, err := s.Estimates(ctx, l.ID)
	require.NoError(t, err)
	require.Equal(t, 2, rebuilt["skill"].Attempts)
	require.Equal(t, 1, rebuilt["skill"].Right)
	_, err = s.Rebuild(ctx, func(map[string]Estimate, FirstTry) ([]Estimate, error) { return nil, errors.New("no") })
	require.Error(t, err)
	kept, err := s.Estimates(ctx, l.ID)
	require.NoError(t, err)
	require.Equal(t, rebuilt, kept, "a rebuild that fails changes nothing")
}

func TestAttemptsAreAppendOnly(t *testing.T) {
	s := fresh(t)
	l := learner(t, s)
	pose(t, s, l.ID, "p1")
	_, _, err := s.RecordAttempt(ctx, l.ID, attemptAt("p1", "k1"), counting)
	require.NoError(t, err)
	for _, q := range []string{`UPDATE attempt SET score = 0`, `DELETE FROM attempt`, `DELETE FROM posed`} {
		require.Error(t, s.writer.do(ctx, func(ctx context.Context, tx *sql.Tx) error {
			_, err := tx.ExecContext(ctx, q)
			return err
		}), q)
	}
	_, err = s.reader.ExecContext(ctx, `UPDATE learner SET name = 'x'`)
	require.Error(t, err, "the read pool cannot write")
}

// Many submissions of one form at once keep one attempt; submissions of many
// forms are all kept, and a command that fails spoils no other.
func TestManyAtOnce(t *testing.T) {
	s := fresh(t)
	l := learner(t, s)
	const n = 64
	for i := range n {
		pose(t, s, l.ID, fmt.Sprint("p", i))
	}
	pose(t, s, l.ID, "shared")
	var wg sync.WaitGroup
	duplicates := make([]bool, n)
	for i := range n {
		wg.Add(3)
		go func() {
			defer wg.Done()
			_, _, err := s.RecordAttempt(ctx, l.ID, attemptAt(fmt.Sprint("p", i), "k"), counting)
			if err != nil {
				t.Error(err)
			}
		}()
		go func() {
			defer wg.Done()
			var err error
			if _, duplicates[i], err = s.RecordAttempt(ctx, l.ID, attemptAt("shared", "one form"), counting); err != nil {
				t.Error(err)
			}
		}()
		go func() {
			defer wg.Done()
			bad := attemptAt(fmt.Sprint("p", i), "bad")
			bad.Score = 7
			if _, _, err := s.RecordAttempt(ctx, l.ID, bad, counting); err == nil {
				t.Error("a score of 7 was taken")
			}
			if err := s.writer.do(ctx, func(context.Context, *sql.Tx) error { panic("boom") }); err == nil {
				t.Error("a panic was taken for success")
			}
		}()
	}
	wg.Wait()
	kept := 0
	for _, d := range duplicates {
		if !d {
			kept++
		}
	}
	require.Equal(t, 1, kept)
	all, err := s.Estimates(ctx, l.ID)
	require.NoError(t, err)
	require.Equal(t, n+1, all["skill"].Attempts, "no update is lost")
	list, err := s.AttemptsAt(ctx, "shared")
	require.NoError(t, err)
	require.Len(t, list, 1)
}

func TestClosedAndCanceled(t *testing.T) {
	s, err := Open(ctx, filepath.Join(t.TempDir(), "test.db"))
	require.NoError(t, err)
	done, cancel := context.WithCancel(ctx)
	cancel()
	block := make(chan struct{})
	go func() {
		_ = s.writer.do(ctx, func(context.Context, *sql.Tx) error { <-block; return nil })
	}()
	require.ErrorIs(t, s.MarkLessonRead(done, 1, "x", noon), context.Canceled)
	close(block)
	require.NoError(t, s.Close())
	require.ErrorIs(t, s.MarkLessonRead(ctx, 1, "x", noon), errClosed)
}

// A caller who gives up while the command runs reads nothing that the command
// may still be writing: the race detector watches.
func TestGivingUpIsNoRace(t *testing.T) {
	s := fresh(t)
	l := learner(t, s)
	pose(t, s, l.ID, "p")
	for i := range 50 {
		soon, cancel := context.WithTimeout(ctx, time.Duration(i*10)*time.Microsecond)
		kept, _, err := s.RecordAttempt(soon, l.ID, attemptAt("p", fmt.Sprint(i)), counting)
		cancel()
		if err != nil {
			require.Empty(t, kept.ID)
		}
	}
}
