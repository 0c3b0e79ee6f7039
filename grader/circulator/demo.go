package circulator

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"

	"loopwright/grader/quantity"
)

//go:embed demo.csv
var demoTable string

var demo = readDemo(demoTable)

// Demo is a set of invented circulators for lessons and exercises, smallest
// first: no maker's. Their curves, flat and steep, are shaped like those of
// circulators that deliver 2 to 150 gpm and 1 to 47 ft, with wire-to-water
// efficiencies of 15 to 60 % where they run best.
func Demo() []Model { return append([]Model(nil), demo...) }

// DemoNamed finds an invented circulator by its id, "C-15".
func DemoNamed(id string) (Model, bool) {
	for _, m := range demo {
		if strings.EqualFold(m.ID, id) {
			return m, true
		}
	}
	return Model{}, false
}

// readDemo panics on a malformed table: it is part of the program.
func readDemo(text string) []Model {
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		panic(fmt.Sprintf("circulator: demo.csv: %v", err))
	}
	var models []Model
	points := map[string][]Point{}
	for _, r := range rows[1:] {
		if r[3] != quantity.GallonPerMinute.Symbol || r[5] != quantity.FootHead.Symbol || r[7] != quantity.Watt.Symbol || r[8] != "demo" {
			panic(fmt.Sprintf("circulator: demo.csv: row %q", r))
		}
		number := func(i int) float64 {
			x, err := strconv.ParseFloat(r[i], 64)
			if err != nil {
				panic(fmt.Sprintf("circulator: demo.csv: row %q: %v", r, err))
			}
			return x
		}
		id := r[0]
		if points[id] == nil {
			models = append(models, Model{ID: id, Name: "demo circulator " + id, Note: r[1]})
		}
		points[id] = append(points[id], Point{
			Flow:  quantity.GallonPerMinute.ToSI(number(2)),
			Head:  quantity.MetersHead(quantity.FootHead.ToSI(number(4))),
			Power: number(6),
		})
	}
	for i := range models {
		models[i].Curve, err = NewCurve(points[models[i].ID]...)
		if err != nil {
			panic(fmt.Sprintf("circulator: demo.csv: %s: %v", models[i].ID, err))
		}
	}
	return models
}
