package db

import (
	"context"
	"database/sql"
	"time"
)

// querier is what a transaction and the read pool have in common.
type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
}

func estimates(ctx context.Context, q querier, learner int64) (map[string]Estimate, error) {
	rows, err := q.QueryContext(ctx, `SELECT skill, probability, attempts, right_count, last_at, gap_ms FROM skill_estimate WHERE learner = ?`, learner)
	if err != nil {
		return nil, err
	}
	defer func() { _ = rows.Close() }()
	all := map[string]Estimate{}
	for rows.Next() {
		var e Estimate
		var at, gap int64
		if err := rows.Scan(&e.Skill, &e.Probability, &e.Attempts, &e.Right, &at, &gap); err != nil {
			return nil, err
		}
		e.Last, e.Gap = fromMillis(at), time.Duration(gap)*time.Millisecond
		all[e.Skill] = e
	}
	return all, rows.Err()
}

func saveEstimates(ctx context.Context, tx *sql.Tx, learner int64, changed []Estimate) error {
	for _, e := range changed {
		_, err := tx.ExecContext(ctx, `INSERT INTO skill_estimate (learner, skill, probability, attempts, right_count, last_at, gap_ms) VALUES (?, ?, ?, ?, ?, ?, ?)
			ON CONFLICT DO UPDATE SET probability = excluded.probability, attempts = excluded.attempts, right_count = excluded.right_count, last_at = excluded.last_at, gap_ms = excluded.gap_ms`,
			learner, e.Skill, e.Probability, e.Attempts, e.Right, millis(e.Last), e.Gap.Milliseconds())
		if err != nil {
			return err
		}
	}
	return nil
}

// Estimates gives a learner's skills.
func (s *Store) Estimates(ctx context.Context, learner int64) (map[string]Estimate, error) {
	all, err := estimates(ctx, s.reader, learner)
	return all, explain(s.path, err)
}

// FirstTry is what a rebuild needs to know of a first attempt.
type FirstTry struct {
	Learner int64
	Problem []byte // as it was posed
	Score   float64
	Aided   bool
	MadeAt  time.Time
}

// Rebuild replaces every estimate by what derive makes of all first attempts
// in their order, in one transaction. It returns how many attempts there were.
func (s *Store) Rebuild(ctx context.Context, derive func(current map[string]Estimate, try FirstTry) ([]Estimate, error)) (tries int, err error) {
	count := 0
	err = s.writer.do(ctx, func(ctx context.Context, tx *sql.Tx) error {
		count = 0
		rows, err := tx.QueryContext(ctx, `SELECT p.learner, p.problem, a.score, a.aided, a.made_at FROM attempt a JOIN posed p ON p.id = a.posed WHERE a.first ORDER BY a.id`)
		if err != nil {
			return err
		}
		defer func() { _ = rows.Close() }()
		all := map[int64]map[string]Estimate{}
		for rows.Next() {
			var t FirstTry
			var problem string
			var at int64
			if err := rows.Scan(&t.Learner, &problem, &t.Score, &t.Aided, &at); err != nil {
				return err
			}
			t.Problem, t.MadeAt = []byte(problem), fromMillis(at)
			if all[t.Learner] == nil {
				all[t.Learner] = map[string]Estimate{}
			}
			changed, err := derive(all[t.Learner], t)
			if err != nil {
				return err
			}
			for _, e := range changed {
				all[t.Learner][e.Skill] = e
			}
			count++
		}
		if err := rows.Err(); err != nil {
			return err
		}
		if err := rows.Close(); err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, `DELETE FROM skill_estimate`); err != nil {
			return err
		}
		for learner, skills := range all {
			for _, e := range skills {
				if err := saveEstimates(ctx, tx, learner, []Estimate{e}); err != nil {
					return err
				}
			}
		}
		return nil
	})
	if err != nil {
		return 0, err
	}
	return count, nil
}
