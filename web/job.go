package web

import (
	"fmt"
	"net/http"
	"strconv"

	"github.com/gin-gonic/gin"

	"loopwright/exercises"
	"loopwright/grader/network"
	"loopwright/grader/quantity"
	"loopwright/grader/sizing"
)

// jobView is the bench for a small job: what was typed, and the job sheet.
type jobView struct {
	Layouts, Emitters, Trims []choiceView
	Fields                   []benchField
	Controls                 bool
	Rooms                    []jobRoom
	More                     bool // one more row may be asked for
	Errors                   []fieldError
	Sheet                    *jobSheet
}

type jobRoom struct {
	Number int
	Fields []benchField
}

type jobSheet struct {
	Layout   string
	Tables   []network.Table
	Cautions []string
}

const mostJobRooms = 12

// jobField is a field of the job with its unit, an example in US and SI units,
// and where its value goes.
type jobField struct {
	name, label, us, si string
	unit                [2]*quantity.Unit // US, SI
	low, high           float64           // SI
	into                func(*sizing.Job) *float64
}

var jobFields = []jobField{
	{"supply", "Supply water", "180 °F", "75 °C", [2]*quantity.Unit{quantity.Fahrenheit, quantity.CelsiusUnit}, 25, 110, func(j *sizing.Job) *float64 { return (*float64)(&j.Supply) }},
	{"drop", "Drop from supply to return", "20 °F", "10 K", [2]*quantity.Unit{quantity.FahrenheitDifference, quantity.KelvinDifference}, 1, 60, func(j *sizing.Job) *float64 { return (*float64)(&j.Drop) }},
	{"outdoor", "Outdoor design temperature", "0 °F", "-15 °C", [2]*quantity.Unit{quantity.Fahrenheit, quantity.CelsiusUnit}, -50, 15, func(j *sizing.Job) *float64 { return (*float64)(&j.Outdoor) }},
	{"height", "Top of the system above the tank", "18 ft", "6 m", [2]*quantity.Unit{quantity.Foot, quantity.Meter}, 0, 60, func(j *sizing.Job) *float64 { return &j.Height }},
	{"main", "Main from the boiler, one way (manifold, split loop, primary/secondary)", "15 ft", "5 m", [2]*quantity.Unit{quantity.Foot, quantity.Meter}, 0, 300, func(j *sizing.Job) *float64 { return &j.Main }},
}

type roomField struct {
	name, label, us, si string
	unit                [2]*quantity.Unit
	low, high           float64
	into                func(*sizing.Room) *float64
}

var roomFields = []roomField{
	{"load", "Load", "6,000 BTU/h", "1.8 kW", [2]*quantity.Unit{quantity.BTUPerHour, quantity.Kilowatt}, 10, 1e6, func(r *sizing.Room) *float64 { return &r.Load }},
	{"indoor", "Indoor temperature", "70 °F", "21 °C", [2]*quantity.Unit{quantity.Fahrenheit, quantity.CelsiusUnit}, 5, 40, func(r *sizing.Room) *float64 { return (*float64)(&r.Indoor) }},
	{"distance", "Along the main, from the room before", "14 ft", "4 m", [2]*quantity.Unit{quantity.Foot, quantity.Meter}, 0, 300, func(r *sizing.Room) *float64 { return &r.Distance }},
	{"branch", "From the main to the radiator", "6 ft", "2 m", [2]*quantity.Unit{quantity.Foot, quantity.Meter}, 0, 100, func(r *sizing.Room) *float64 { return &r.Branch }},
}

func (s *Site) job(c *gin.Context) {
	v := readJob(s.units(), c.Query)
	status := http.StatusOK
	if v.Errors != nil {
		status = http.StatusUnprocessableEntity
	}
	s.show(c, status, "job", page{Title: "Bench: size a small job", Nav: "bench", View: v})
}

func readJob(system exercises.System, query func(string) string) jobView {
	units, side := network.US, 0
	if system == exercises.SI {
		units, side = network.SI, 1
	}
	j := sizing.Defaults(units)
	asked := query("layout") != ""
	v := jobView{Controls: query("controls") == "yes"}
	j.Controls = v.Controls
	j.Layout = sizing.Layout(v.choose(&v.Layouts, "layout", query, asked, layoutChoices()))
	j.Emitter = v.choose(&v.Emitters, "emitter", query, asked, [][2]string{{sizing.FinTube, "Fin-tube"}, {sizing.CastIron, "Cast iron"}, {sizing.Panel, "Panel"}})
	j.Trim = sizing.Trim(v.choose(&v.Trims, "trim", query, asked, [][2]string{{string(sizing.ByValve), "A valve takes what the circulator gives too much"}, {string(sizing.BySpeed), "The circulator runs slower"}}))
	for _, f := range jobFields {
		typed := v.typed(f.name, bySide(side, f.us, f.si), query, asked)
		v.Fields = append(v.Fields, v.read(f.name, f.label, bySide(side, f.us, f.si), typed, f.unit[side], f.low, f.high, f.into(&j)))
	}
	rows, err := strconv.Atoi(query("rows"))
	if err != nil || rows < 1 || rows > mostJobRooms {
		rows = 3
	}
	if query("more") != "" {
		rows = min(rows+1, mostJobRooms)
	}
	v.More = rows < mostJobRooms
	for i := 1; i <= rows; i++ {
		v.room(&j, i, side, query, asked)
	}
	if query("more") != "" {
		return v.quiet() // a further room is asked for, not a result
	}
	if !asked || v.Errors != nil {
		return v
	}
	r, err := sizing.Size(&j)
	if err != nil {
		v.Errors = append(v.Errors, fieldError{"layout", "The job cannot be sized", sentence(err)})
		return v
	}
	tables := r.Tables()
	v.Sheet = &jobSheet{j.Layout.Name(), tables[:len(tables)-1], r.Cautions} // cautions are shown as such
	return v
}

// quiet is the view without its errors.
func (v jobView) quiet() jobView {
	v.Errors = nil
	for i := range v.Fields {
		v.Fields[i].Error = ""
	}
	for _, r := range v.Rooms {
		for i := range r.Fields {
			r.Fields[i].Error = ""
		}
	}
	return v
}

func layoutChoices() [][2]string {
	var list [][2]string
	for _, l := range sizing.Layouts() {
		list = append(list, [2]string{string(l), l.Name()})
	}
	return list
}

func bySide(side int, us, si string) string { return [2]string{us, si}[side] }

// choose fills the options of a choice and gives the one taken; the first
// stands in for none and for unknown ones.
func (v *jobView) choose(into *[]choiceView, name string, query func(string) string, asked bool, options [][2]string) string {
	taken := options[0][0]
	for _, o := range options {
		if o[0] == query(name) {
			taken = o[0]
		}
	}
	for _, o := range options {
		*into = append(*into, choiceView{o[0], o[1], o[0] == taken})
	}
	return taken
}

// typed is what was typed; before anything was asked, the example.
func (v *jobView) typed(name, example string, query func(string) string, asked bool) string {
	if !asked {
		return example
	}
	return query(name)
}

func (v *jobView) read(name, label, example, typed string, unit *quantity.Unit, low, high float64, into *float64) benchField {
	f := benchField{Name: name, Label: label, Hint: "For example " + example + ".", Typed: typed}
	r, err := quantity.Read(typed, unit)
	switch {
	case err != nil:
	case r.Quantity.Kind() != unit.Kind:
		err = fmt.Errorf("%s is %s; wanted is %s, for example %s", typed, r.Quantity.Kind(), unit.Kind, example)
	case !(r.Quantity.SI >= low && r.Quantity.SI <= high):
		u := r.Quantity.Unit
		err = &quantity.RangeError{Quantity: "this", Value: r.Quantity.Number(), Low: u.FromSI(low), High: u.FromSI(high), Unit: u.Symbol}
	}
	if err != nil {
		f.Error = sentence(err)
		v.Errors = append(v.Errors, fieldError{name, label, f.Error})
		return f
	}
	*into = r.Quantity.SI
	return f
}

// exampleRooms are shown before anything is typed; loads in BTU/h and kW.
var exampleRooms = [3][2]string{{"7,000 BTU/h", "2 kW"}, {"6,000 BTU/h", "1.8 kW"}, {"9,000 BTU/h", "2.6 kW"}}

// room reads one row. A row with nothing typed is left out, but for the first.
func (v *jobView) room(j *sizing.Job, n, side int, query func(string) string, asked bool) {
	row := jobRoom{Number: n}
	room := sizing.Room{ID: fmt.Sprintf("room-%d", n), Loop: 1}
	if n%2 == 0 {
		room.Loop = 2 // a split loop takes every other room
	}
	empty := asked && n > 1
	for _, f := range roomFields {
		empty = empty && query(fmt.Sprintf("%s-%d", f.name, n)) == ""
	}
	for _, f := range roomFields {
		name := fmt.Sprintf("%s-%d", f.name, n)
		example := bySide(side, f.us, f.si)
		if f.name == "load" && n <= len(exampleRooms) {
			example = exampleRooms[n-1][side]
		}
		typed := v.typed(name, example, query, asked)
		if empty {
			row.Fields = append(row.Fields, benchField{Name: name, Label: f.label, Hint: "For example " + example + "."})
			continue
		}
		row.Fields = append(row.Fields, v.read(name, f.label, example, typed, f.unit[side], f.low, f.high, f.into(&room)))
	}
	v.Rooms = append(v.Rooms, row)
	if !empty {
		j.Rooms = append(j.Rooms, room)
	}
}
