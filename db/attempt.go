package db

import (
	"context"
	"database/sql"
	"errors"
	"time"
)

// Posed is a problem as it was posed to a learner.
type Posed struct {
	ID         string // unguessable
	Learner    int64
	Family     string
	Level      int
	Seed       uint64
	Problem    []byte // JSON; the whole problem with its answers
	HintsShown int
	Helped     bool // the worked example or the solution was opened
	PosedAt    time.Time
}

// Attempt is one marked submission of a posed problem.
type Attempt struct {
	ID            int64
	Posed         string
	SubmissionKey string // of the form; the same key again is the same attempt
	Answers       []byte // JSON, as typed
	Verdict       []byte // JSON
	Score         float64
	Aided         bool // set by RecordAttempt from what was shown before
	First         bool // set by RecordAttempt
	MadeAt        time.Time
}

// Estimate is what is believed about a learner's skill.
type Estimate struct {
	Skill       string
	Probability float64
	Attempts    int
	Right       int
	Last        time.Time
	Gap         time.Duration
}

// SavePosed keeps a posed problem.
func (s *Store) SavePosed(ctx context.Context, p Posed) error {
	return s.writer.do(ctx, func(ctx context.Context, tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `INSERT INTO posed (id, learner, family, level, seed, problem, posed_at) VALUES (?, ?, ?, ?, ?, ?, ?)`,
			p.ID, p.Learner, p.Family, p.Level, int64(p.Seed), string(p.Problem), millis(p.PosedAt))
		return err
	})
}

// Posed finds a learner's posed problem; somebody else's is not found.
func (s *Store) Posed(ctx context.Context, learner int64, id string) (Posed, error) {
	p := Posed{ID: id, Learner: learner}
	var seed, at int64
	var problem string
	err := s.reader.QueryRowContext(ctx, `SELECT family, level, seed, problem, hints_shown, helped, posed_at FROM posed WHERE id = ? AND learner = ?`, id, learner).
		Scan(&p.Family, &p.Level, &seed, &problem, &p.HintsShown, &p.Helped, &at)
	p.Seed, p.Problem, p.PosedAt = uint64(seed), []byte(problem), fromMillis(at)
	return p, explain(s.path, err)
}

// ShowHints raises how many hints a posed problem shows.
func (s *Store) ShowHints(ctx context.Context, learner int64, id string, hints int) error {
	return s.touch(ctx, `UPDATE posed SET hints_shown = max(hints_shown, ?) WHERE id = ? AND learner = ?`, hints, id, learner)
}

// Help notes that the worked example or the solution was opened.
func (s *Store) Help(ctx context.Context, learner int64, id string) error {
	return s.touch(ctx, `UPDATE posed SET helped = 1 WHERE id = ? AND learner = ?`, id, learner)
}

func (s *Store) touch(ctx context.Context, query string, args ...any) error {
	return s.writer.do(ctx, func(ctx context.Context, tx *sql.Tx) error {
		r, err := tx.ExecContext(ctx, query, args...)
		if err != nil {
			return err
		}
		if n, err := r.RowsAffected(); err != nil || n == 0 {
			return notFound(err)
		}
		return nil
	})
}

// RecordAttempt keeps an attempt and what follows from it, in one transaction.
// The first attempt at a problem passes through update, which gets the
// learner's estimates and whether help was used, and returns those that
// change. A submission key that was seen before returns the attempt that was
// kept then, and duplicate = true.
func (s *Store) RecordAttempt(ctx context.Context, learner int64, a Attempt,
	update func(current map[string]Estimate, aided bool) []Estimate) (kept Attempt, duplicate bool, err error) {
	// A caller who gives up leaves while the command may still run: what the
	// command fills is read only when it has reported back.
	var done struct {
		attempt   Attempt
		duplicate bool
	}
	err = s.writer.do(ctx, func(ctx context.Context, tx *sql.Tx) error {
		done.attempt, done.duplicate = a, false
		kept := &done.attempt
		err := tx.QueryRowContext(ctx, `INSERT INTO attempt (posed, submission_key, answers, verdict, score, made_at, aided, first)
			SELECT id, ?, ?, ?, ?, ?, hints_shown > 0 OR helped, NOT EXISTS (SELECT 1 FROM attempt WHERE attempt.posed = posed.id)
			FROM posed WHERE id = ? AND learner = ?
			ON CONFLICT DO NOTHING RETURNING id, aided, first`,
			a.SubmissionKey, string(a.Answers), string(a.Verdict), a.Score, millis(a.MadeAt), a.Posed, learner).Scan(&kept.ID, &kept.Aided, &kept.First)
		if errors.Is(err, sql.ErrNoRows) {
			// Nothing was written: the key was seen before, or the problem is
			// not this learner's.
			done.duplicate = true
			return scanAttempt(tx.QueryRowContext(ctx, `SELECT `+attemptColumns+` FROM attempt
				WHERE posed = ? AND submission_key = ? AND posed IN (SELECT id FROM posed WHERE learner = ?)`, a.Posed, a.SubmissionKey, learner), kept)
		}
		if err != nil || !kept.First {
			return err
		}
		current, err := estimates(ctx, tx, learner)
		if err != nil {
			return err
		}
		return saveEstimates(ctx, tx, learner, update(current, kept.Aided))
	})
	if err != nil {
		return Attempt{}, false, err
	}
	return done.attempt, done.duplicate, nil
}

const attemptColumns = `id, posed, submission_key, answers, verdict, score, aided, first, made_at`

type scanner interface{ Scan(into ...any) error }

func scanAttempt(row scanner, a *Attempt) error {
	var answers, verdict string
	var at int64
	if err := row.Scan(&a.ID, &a.Posed, &a.SubmissionKey, &answers, &verdict, &a.Score, &a.Aided, &a.First, &at); err != nil {
		return err
	}
	a.Answers, a.Verdict, a.MadeAt = []byte(answers), []byte(verdict), fromMillis(at)
	return nil
}

// LatestAttempt is the newest attempt at a posed problem, and how many there
// are; with none, count is zero.
func (s *Store) LatestAttempt(ctx context.Context, posed string) (latest Attempt, count int, err error) {
	if err := s.reader.QueryRowContext(ctx, `SELECT count(*) FROM attempt WHERE posed = ?`, posed).Scan(&count); err != nil || count == 0 {
		return latest, 0, explain(s.path, err)
	}
	err = scanAttempt(s.reader.QueryRowContext(ctx, `SELECT `+attemptColumns+` FROM attempt WHERE posed = ? ORDER BY id DESC LIMIT 1`, posed), &latest)
	return latest, count, explain(s.path, err)
}

// AttemptsAt lists the attempts at a posed problem, oldest first.
func (s *Store) AttemptsAt(ctx context.Context, posed string) ([]Attempt, error) {
	rows, err := s.reader.QueryContext(ctx, `SELECT `+attemptColumns+` FROM attempt WHERE posed = ? ORDER BY id`, posed)
	if err != nil {
		return nil, explain(s.path, err)
	}
	defer func() { _ = rows.Close() }()
	var list []Attempt
	for rows.Next() {
		var a Attempt
		if err := scanAttempt(rows, &a); err != nil {
			return nil, explain(s.path, err)
		}
		list = append(list, a)
	}
	return list, explain(s.path, rows.Err())
}

// Worked is an attempt with the problem it was made at, in short.
type Worked struct {
	Posed  string
	Family string
	Level  int
	Score  float64
	Aided  bool
	MadeAt time.Time
}

// RecentAttempts lists a learner's attempts, newest first.
func (s *Store) RecentAttempts(ctx context.Context, learner int64, limit int) ([]Worked, error) {
	rows, err := s.reader.QueryContext(ctx, `SELECT p.id, p.family, p.level, a.score, a.aided, a.made_at
		FROM posed p JOIN attempt a ON a.posed = p.id WHERE p.learner = ? ORDER BY a.id DESC LIMIT ?`, learner, limit)
	if err != nil {
		return nil, explain(s.path, err)
	}
	defer func() { _ = rows.Close() }()
	var list []Worked
	for rows.Next() {
		var w Worked
		var at int64
		if err := rows.Scan(&w.Posed, &w.Family, &w.Level, &w.Score, &w.Aided, &at); err != nil {
			return nil, explain(s.path, err)
		}
		w.MadeAt = fromMillis(at)
		list = append(list, w)
	}
	return list, explain(s.path, rows.Err())
}

// OpenProblem is the id and family of the newest posed problem without an
// attempt, or "" where there is none.
func (s *Store) OpenProblem(ctx context.Context, learner int64) (id, family string, err error) {
	err = s.reader.QueryRowContext(ctx, `SELECT id, family FROM posed WHERE learner = ? ORDER BY posed_at DESC, rowid DESC LIMIT 1`, learner).Scan(&id, &family)
	if errors.Is(err, sql.ErrNoRows) {
		return "", "", nil
	}
	if err != nil {
		return "", "", explain(s.path, err)
	}
	var tried bool
	err = s.reader.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM attempt WHERE posed = ?)`, id).Scan(&tried)
	if err != nil || tried {
		return "", "", explain(s.path, err)
	}
	return id, family, nil
}
