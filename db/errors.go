package db

import (
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
)

// Kind is what sort of trouble an error is.
type Kind string

// The kinds of trouble.
const (
	NotFound     Kind = "not found"
	ReadOnly     Kind = "read-only"
	Damaged      Kind = "damaged"
	NewerVersion Kind = "newer version"
	NotOurs      Kind = "not ours"
	DiskFull     Kind = "disk full"
	Busy         Kind = "busy"
	Exists       Kind = "exists"
	NoAccess     Kind = "no access"
	NoDriver     Kind = "no driver"
)

// Error is trouble that a person can do something about.
type Error struct {
	Kind Kind
	Say  string // one or two sentences: what is wrong, and what to do
	Err  error  // the cause, for the log; may be nil
}

func (e *Error) Error() string {
	if e.Err == nil {
		return e.Say
	}
	return fmt.Sprintf("%s (%v)", e.Say, e.Err)
}

func (e *Error) Unwrap() error { return e.Err }

// IsKind says whether err is trouble of a kind.
func IsKind(err error, k Kind) bool {
	var e *Error
	return errors.As(err, &e) && e.Kind == k
}

// says is what a person reads for each kind of SQLite's own trouble.
var says = map[Kind]string{
	ReadOnly: "The database %s cannot be written. Check who owns the file and its folder, and that the disk is not mounted read-only.",
	Damaged:  "The database %s is damaged. Nothing was changed. Put a backup in its place, or move it away to begin anew.",
	NotOurs:  "%s is not a Loopwright database. Nothing was changed. Name another file with --db.",
	DiskFull: "The disk that holds %s is full. Nothing of this was saved. Make room and try again.",
	Busy:     "The database %s is in use by another program. Close it and try again.",
	NoAccess: "The database %s cannot be opened. Check that the folder exists and may be written.",
}

// explain turns an error of SQLite or of the file system into one that a
// person can act on. Others pass unchanged.
func explain(path string, err error) error {
	var known *Error
	if err == nil || errors.As(err, &known) {
		return err
	}
	trouble := func(k Kind, format string) error {
		return &Error{k, fmt.Sprintf(format, path), err}
	}
	if errors.Is(err, sql.ErrNoRows) {
		return &Error{NotFound, "There is no such record.", err}
	}
	if k := kindOf(err); k != "" {
		return trouble(k, says[k])
	}
	if errors.Is(err, fs.ErrPermission) {
		return trouble(NoAccess, "The database %s cannot be opened: permission is denied.")
	}
	return err
}
