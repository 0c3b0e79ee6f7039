package db

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	_ "github.com/mattn/go-sqlite3" // the driver
)

//go:embed migrations/*.sql
var migrations embed.FS

// applicationID marks a file as ours: "LpWr". Source: any value that is not in
// SQLite's magic.txt would do.
const applicationID = 0x4c705772

// Store is an open database.
type Store struct {
	path   string
	reader *sql.DB
	writer *writer
}

// dsn asks for everything in the connection string, so that each connection of
// a pool has it: WAL with a full sync at every commit (this build of SQLite
// would otherwise lower it in WAL), foreign keys, write transactions that take
// their lock at once, and patience with others.
func dsn(path string, extra url.Values) string {
	q := url.Values{
		"_journal_mode": {"WAL"},
		"_synchronous":  {"FULL"},
		"_foreign_keys": {"on"},
		"_busy_timeout": {"5000"},
		"_txlock":       {"immediate"},
		// Keeps statements prepared; without it each costs a parse.
		"_stmt_cache_size": {"64"},
	}
	for k, v := range extra {
		q[k] = v
	}
	return (&url.URL{Scheme: "file", Opaque: (&url.URL{Path: path}).EscapedPath(), RawQuery: q.Encode()}).String()
}

// Open opens the database at path, and makes it, with its folder, if it does
// not exist. A file that is damaged, of another program or of a newer version
// is refused and left as it is. Errors: *Error where a person can act.
func Open(ctx context.Context, path string) (*Store, error) {
	return open(ctx, path, url.Values{})
}

func open(ctx context.Context, path string, extra url.Values) (*Store, error) {
	if err := checkDriver(); err != nil {
		return nil, err
	}
	path, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return nil, explain(path, err)
	}
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		return nil, &Error{NotOurs, fmt.Sprintf("%s is a folder. Name a file with --db.", path), nil}
	}
	if err := examine(ctx, path); err != nil {
		return nil, explain(path, err)
	}
	w, err := sql.Open("sqlite3", dsn(path, extra))
	if err != nil {
		return nil, explain(path, err)
	}
	w.SetMaxOpenConns(1)
	if err := migrate(ctx, w); err != nil {
		_ = w.Close()
		return nil, explain(path, err)
	}
	r, err := sql.Open("sqlite3", dsn(path, url.Values{"mode": {"ro"}, "_query_only": {"on"}}))
	if err != nil {
		_ = w.Close()
		return nil, explain(path, err)
	}
	r.SetMaxOpenConns(8)
	r.SetMaxIdleConns(8)
	s := &Store{path: path, reader: r}
	if s.writer, err = startWriter(ctx, path, w); err != nil {
		_ = r.Close()
		_ = w.Close()
		return nil, explain(path, err)
	}
	return s, nil
}

// examine looks at an existing file without changing it: nothing is written to
// a file that is not ours or that is damaged.
func examine(ctx context.Context, path string) error {
	info, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) || err == nil && info.Size() == 0 {
		return nil
	}
	if err != nil {
		return err
	}
	q := url.Values{"mode": {"ro"}, "_query_only": {"on"}, "_busy_timeout": {"5000"}}
	db, err := sql.Open("sqlite3", (&url.URL{Scheme: "file", Opaque: (&url.URL{Path: path}).EscapedPath(), RawQuery: q.Encode()}).String())
	if err != nil {
		return err
	}
	defer func() { _ = db.Close() }()
	var id, version int
	if err := db.QueryRowContext(ctx, "PRAGMA application_id").Scan(&id); err != nil {
		return err
	}
	if err := db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
		return err
	}
	if id != applicationID {
		return &Error{NotOurs, fmt.Sprintf("%s is a database of another program. Nothing was changed. Name another file with --db.", path), nil}
	}
	if newest := newestVersion(); version > newest {
		return &Error{NewerVersion, fmt.Sprintf("%s was written by a newer Loopwright (version %d of the database; this one knows up to %d). Nothing was changed. Use the newer program, or another file with --db.", path, version, newest), nil}
	}
	var verdict string
	if err := db.QueryRowContext(ctx, "PRAGMA quick_check(1)").Scan(&verdict); err != nil {
		return err
	}
	if verdict != "ok" {
		return &Error{Damaged, fmt.Sprintf("The database %s is damaged. Nothing was changed. Put a backup in its place, or move it away to begin anew.", path), errors.New(verdict)}
	}
	return nil
}

type migration struct {
	version int
	name    string
	sql     string
}

func allMigrations() []migration {
	names, err := fs.Glob(migrations, "migrations/*.sql")
	if err != nil {
		panic(err)
	}
	slices.Sort(names)
	list := make([]migration, len(names))
	for i, n := range names {
		number, _, _ := strings.Cut(filepath.Base(n), "_")
		v, err := strconv.Atoi(number)
		if err != nil || v != i+1 {
			panic("db: migrations are numbered 0001, 0002 …; found " + n)
		}
		text, err := migrations.ReadFile(n)
		if err != nil {
			panic(err)
		}
		list[i] = migration{v, n, string(text)}
	}
	return list
}

func newestVersion() int { return len(allMigrations()) }

// migrate brings the file to the newest version, all steps in one transaction
// with the version number: both are there or neither.
func migrate(ctx context.Context, db *sql.DB) error {
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer func() { _ = tx.Rollback() }()
	var version int
	if err := tx.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
		return err
	}
	for _, m := range allMigrations() {
		if m.version <= version {
			continue
		}
		if _, err := tx.ExecContext(ctx, m.sql); err != nil {
			return fmt.Errorf("%s: %w", m.name, err)
		}
		version = m.version
	}
	if _, err := tx.ExecContext(ctx, fmt.Sprintf("PRAGMA user_version = %d; PRAGMA application_id = %d", version, applicationID)); err != nil {
		return err
	}
	return tx.Commit()
}

// IntegrityCheck verifies the whole file, and that every reference leads
// somewhere.
func (s *Store) IntegrityCheck(ctx context.Context) error {
	var verdict string
	if err := s.reader.QueryRowContext(ctx, "PRAGMA integrity_check(1)").Scan(&verdict); err != nil {
		return explain(s.path, err)
	}
	if verdict != "ok" {
		return &Error{Damaged, fmt.Sprintf("The database %s is damaged.", s.path), errors.New(verdict)}
	}
	rows, err := s.reader.QueryContext(ctx, "PRAGMA foreign_key_check")
	if err != nil {
		return explain(s.path, err)
	}
	defer func() { _ = rows.Close() }()
	if rows.Next() {
		return &Error{Damaged, fmt.Sprintf("The database %s has a reference that leads nowhere.", s.path), nil}
	}
	return rows.Err()
}

// Close finishes the writes under way and closes the file.
func (s *Store) Close() error {
	return errors.Join(s.reader.Close(), s.writer.close())
}

// Path is the file.
func (s *Store) Path() string { return s.path }
