// Package db keeps people, problems, attempts and what is derived from them in
// one SQLite file. It knows nothing of web pages or of what a problem is: it
// stores plain values.
//
// An acknowledged write is on disk. All writes go through one goroutine with
// one connection; commands that wait while a commit is under way share the
// next one. Where one of them fails, all are taken again, each alone.
// Reads have a pool of their own and never wait for the writer.
//
// Attempts are append-only, by triggers. Skill estimates are derived from them
// and can be rebuilt.
package db
