package db

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
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
