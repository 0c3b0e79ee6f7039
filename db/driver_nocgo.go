//go:build !cgo

package db

import "context"

// checkDriver fails early, with a plain sentence: a program that was built
// without a C compiler has no SQLite in it.
func checkDriver() error {
	return &Error{NoDriver, "This Loopwright was built without a C compiler and cannot open databases. Install one (gcc or clang) and build it with CGO_ENABLED=1.", nil}
}

func kindOf(error) Kind { return "" }

func copyPages(context.Context, string, string) error { return checkDriver() }
