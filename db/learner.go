package db

import (
	"context"
	"database/sql"
	"time"
)

// Learner is a person who learns.
type Learner struct {
	ID    int64
	Name  string
	Units string // us or si
	Theme string // auto, light or dark
}

func millis(t time.Time) int64      { return t.UnixMilli() }
func fromMillis(ms int64) time.Time { return time.UnixMilli(ms).UTC() }

// LocalLearner is the one learner of personal use; the first call makes it.
func (s *Store) LocalLearner(ctx context.Context, now time.Time) (Learner, error) {
	var l Learner
	err := s.writer.do(ctx, func(ctx context.Context, tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `INSERT INTO learner (local, name, created_at) SELECT 1, '', ? WHERE NOT EXISTS (SELECT 1 FROM learner WHERE local = 1)`, millis(now))
		if err != nil {
			return err
		}
		return tx.QueryRowContext(ctx, `SELECT id, name, units, theme FROM learner WHERE local = 1`).Scan(&l.ID, &l.Name, &l.Units, &l.Theme)
	})
	if err != nil {
		return Learner{}, err // the command may still be filling l
	}
	return l, nil
}

// SaveSettings keeps a learner's name, units and theme.
func (s *Store) SaveSettings(ctx context.Context, l Learner) error {
	return s.writer.do(ctx, func(ctx context.Context, tx *sql.Tx) error {
		r, err := tx.ExecContext(ctx, `UPDATE learner SET name = ?, units = ?, theme = ? WHERE id = ?`, l.Name, l.Units, l.Theme, l.ID)
		if err != nil {
			return err
		}
		if n, err := r.RowsAffected(); err != nil || n == 0 {
			return notFound(err)
		}
		return nil
	})
}

func notFound(err error) error {
	if err != nil {
		return err
	}
	return sql.ErrNoRows
}

// MarkLessonRead keeps when a learner last read a lesson.
func (s *Store) MarkLessonRead(ctx context.Context, learner int64, lesson string, now time.Time) error {
	return s.writer.do(ctx, func(ctx context.Context, tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `INSERT INTO lesson_read (learner, lesson, read_at) VALUES (?, ?, ?) ON CONFLICT DO UPDATE SET read_at = excluded.read_at`, learner, lesson, millis(now))
		return err
	})
}

// LessonsRead gives when each lesson was last read.
func (s *Store) LessonsRead(ctx context.Context, learner int64) (map[string]time.Time, error) {
	rows, err := s.reader.QueryContext(ctx, `SELECT lesson, read_at FROM lesson_read WHERE learner = ?`, learner)
	if err != nil {
		return nil, explain(s.path, err)
	}
	defer func() { _ = rows.Close() }()
	read := map[string]time.Time{}
	for rows.Next() {
		var lesson string
		var at int64
		if err := rows.Scan(&lesson, &at); err != nil {
			return nil, explain(s.path, err)
		}
		read[lesson] = fromMillis(at)
	}
	return read, explain(s.path, rows.Err())
}
