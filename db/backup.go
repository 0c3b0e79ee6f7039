package db

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"

	"github.com/mattn/go-sqlite3"
)

// Backup copies the database at source to a new file, while the site may go on
// writing, with SQLite's online backup. The copy is checked and on disk before
// it gets its name; an existing file is refused.
func Backup(ctx context.Context, source, destination string) error {
	if err := examine(ctx, source); err != nil {
		return explain(source, err)
	}
	if _, err := os.Stat(source); err != nil {
		return &Error{NotFound, fmt.Sprintf("There is no database %s to back up.", source), err}
	}
	if _, err := os.Lstat(destination); err == nil {
		return &Error{Exists, fmt.Sprintf("%s exists already. A backup never overwrites; name another file.", destination), nil}
	}
	temporary, err := os.CreateTemp(filepath.Dir(destination), ".loopwright-backup-*")
	if err != nil {
		return explain(destination, err)
	}
	defer func() { _ = os.Remove(temporary.Name()) }()
	if err := temporary.Close(); err != nil {
		return err
	}
	if err := copyPages(ctx, source, temporary.Name()); err != nil {
		return explain(destination, err)
	}
	if err := syncFile(temporary.Name()); err != nil {
		return explain(destination, err)
	}
	// A link, unlike a rename, fails where the name was taken meanwhile.
	if err := os.Link(temporary.Name(), destination); err != nil {
		return explain(destination, err)
	}
	return syncFile(filepath.Dir(destination))
}

func syncFile(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

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
