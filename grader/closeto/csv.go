package closeto

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"
)

// Row is a line of a file of published values, by column name.
type Row map[string]string

// Number is a column of the row as a number; an empty or unreadable one fails
// the test.
func (r Row) Number(t testing.TB, column string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(r[column], 64)
	if err != nil {
		t.Fatalf("column %q of %v: %v", column, r, err)
	}
	return x
}

// Known reads a CSV file of published values. Lines that start with # name the
// source; the first other line names the columns.
func Known(t testing.TB, file string) []Row {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = f.Close() }()
	c := csv.NewReader(f)
	c.Comment = '#'
	lines, err := c.ReadAll()
	if err != nil || len(lines) < 2 {
		t.Fatalf("%s: %d lines, %v", file, len(lines), err)
	}
	rows := make([]Row, len(lines)-1)
	for i, line := range lines[1:] {
		rows[i] = Row{}
		for j, name := range lines[0] {
			rows[i][name] = line[j]
		}
	}
	return rows
}
