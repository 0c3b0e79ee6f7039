//go:build cgo

package db

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"

	"github.com/mattn/go-sqlite3"
)

// checkDriver says whether databases can be opened at all.
func checkDriver() error { return nil }

// kindOf is what kind of trouble an error of SQLite is, or "".
func kindOf(err error) Kind {
	var s sqlite3.Error
	if !errors.As(err, &s) {
		return ""
	}
	switch s.Code {
	case sqlite3.ErrReadonly:
		return ReadOnly
	case sqlite3.ErrCorrupt:
		return Damaged
	case sqlite3.ErrNotADB:
		return NotOurs
	case sqlite3.ErrFull:
		return DiskFull
	case sqlite3.ErrBusy, sqlite3.ErrLocked:
		return Busy
	case sqlite3.ErrCantOpen, sqlite3.ErrPerm, sqlite3.ErrAuth:
		return NoAccess
	}
	return ""
}

// copyPages copies a database with SQLite's online backup and checks the copy.
func copyPages(ctx context.Context, source, destination string) error {
	from, err := sql.Open("sqlite3", dsn(source, url.Values{"mode": {"ro"}}))
	if err != nil {
		return err
	}
	defer func() { _ = from.Close() }()
	to, err := sql.Open("sqlite3", "file:"+(&url.URL{Path: destination}).EscapedPath()+"?_journal_mode=DELETE&_synchronous=FULL")
	if err != nil {
		return err
	}
	defer func() { _ = to.Close() }()
	err = raw(ctx, from, func(src *sqlite3.SQLiteConn) error {
		return raw(ctx, to, func(dst *sqlite3.SQLiteConn) error {
			b, err := dst.Backup("main", src, "main")
			if err != nil {
				return err
			}
			// All pages in one step: a consistent moment, and nobody has to
			// wait for it, since WAL readers do not block the writer.
			_, stepErr := b.Step(-1)
			return errors.Join(stepErr, b.Finish())
		})
	})
	if err != nil {
		return err
	}
	var verdict string
	if err := to.QueryRowContext(ctx, "PRAGMA integrity_check(1)").Scan(&verdict); err != nil {
		return err
	}
	if verdict != "ok" {
		return &Error{Damaged, "The copy is damaged; it was thrown away.", errors.New(verdict)}
	}
	return nil
}

// raw hands over the driver's own connection.
func raw(ctx context.Context, db *sql.DB, f func(*sqlite3.SQLiteConn) error) error {
	c, err := db.Conn(ctx)
	if err != nil {
		return err
	}
	defer func() { _ = c.Close() }()
	return c.Raw(func(driver any) error {
		s, ok := driver.(*sqlite3.SQLiteConn)
		if !ok {
			return fmt.Errorf("db: unexpected driver %T", driver)
		}
		return f(s)
	})
}
