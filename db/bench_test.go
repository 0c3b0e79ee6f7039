package db

import (
	"context"
	"database/sql"
	"fmt"
	"path/filepath"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"
)

// BenchmarkDurable compares an acknowledged attempt with the least that a
// durable write can cost here: one row, one transaction, one sync. Quote the
// ratios, not the rates.
func BenchmarkDurable(b *testing.B) {
	b.Run("yardstick: bare one-row transaction", func(b *testing.B) {
		db, err := sql.Open("sqlite3", dsn(filepath.Join(b.TempDir(), "bare.db"), nil))
		require.NoError(b, err)
		defer func() { _ = db.Close() }()
		db.SetMaxOpenConns(1)
		_, err = db.ExecContext(ctx, `CREATE TABLE t (id INTEGER PRIMARY KEY, text TEXT) STRICT`)
		require.NoError(b, err)
		for b.Loop() {
			if err := bareWrite(ctx, db); err != nil {
				b.Fatal(err)
			}
		}
	})
	var n atomic.Int64
	record := func(b *testing.B, s *Store, learner int64) {
		key := fmt.Sprint(n.Add(1))
		if _, _, err := s.RecordAttempt(ctx, learner, attemptAt("p", key), counting); err != nil {
			b.Error(err)
		}
	}
	b.Run("attempts one after another", func(b *testing.B) {
		s := fresh(b)
		l := learner(b, s)
		pose(b, s, l.ID, "p")
		for b.Loop() {
			record(b, s, l.ID)
		}
	})
	b.Run("attempts from 64 at once", func(b *testing.B) {
		s := fresh(b)
		l := learner(b, s)
		pose(b, s, l.ID, "p")
		b.SetParallelism(32) // times GOMAXPROCS = 2
		b.RunParallel(func(pb *testing.PB) {
			for pb.Next() {
				record(b, s, l.ID)
			}
		})
	})
}

func bareWrite(ctx context.Context, db *sql.DB) error {
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer func() { _ = tx.Rollback() }()
	if _, err := tx.ExecContext(ctx, `INSERT INTO t (text) VALUES ('x')`); err != nil {
		return err
	}
	return tx.Commit()
}
