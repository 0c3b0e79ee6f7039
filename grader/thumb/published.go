package thumb

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"

	"loopwright/grader/quantity"
)

//go:embed published.csv
var publishedTable string

// PublishedFlow is a customary most flow as another list gives it.
type PublishedFlow struct {
	Pipe    string // "copper" or "steel"
	Nominal string // in inches
	Flow    float64
	Source  string
}

// publishedSources spells out the short names of published.csv.
var publishedSources = map[string]string{
	"michel": "R. E. Michel Co., tech tip on quick calculations for hydronic heating systems",
	"rishel": "Rishel, HVAC Pump Handbook, 2nd ed., Table 3.1",
	"memory": "trade table, from memory",
}

var published = readPublished(publishedTable)

// PublishedFlows lists what other lists give for a nominal size in inches, in
// m³/s: the spread among them is how sharp rule customary-flow is.
func PublishedFlows(nominal string) []PublishedFlow {
	var out []PublishedFlow
	for _, p := range published {
		if p.Nominal == nominal {
			out = append(out, p)
		}
	}
	return out
}

// readPublished panics on a malformed table: it is part of the program.
func readPublished(text string) []PublishedFlow {
	r := csv.NewReader(strings.NewReader(text))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		panic(fmt.Sprintf("thumb: published.csv: %v", err))
	}
	var out []PublishedFlow
	for _, row := range rows[1:] {
		gpm, err := strconv.ParseFloat(row[2], 64)
		source := publishedSources[row[3]]
		if err != nil || !(gpm > 0) || source == "" {
			panic(fmt.Sprintf("thumb: published.csv: row %q", row))
		}
		out = append(out, PublishedFlow{row[0], row[1], quantity.GallonPerMinute.ToSI(gpm), source})
	}
	return out
}
