// Package figure holds the live figures of the lessons: each is a model that
// takes the values of its controls, asks the engine, and gives a chart, a
// sentence that says what to see, and a table with the same numbers. It draws
// nothing: package web turns a chart into SVG.
package figure

import (
	"fmt"
	"math"
	"slices"

	"loopwright/exercises"
	"loopwright/grader/quantity"
)

// Model is one kind of live figure.
type Model struct {
	Name  string // as a lesson's figure block names it
	Title string
	// Controls lists what can be moved, in the units of the learner.
	Controls func(units exercises.System) []Control
	// Solve asks the engine. It must be quick: it runs while a finger drags.
	Solve func(in Input) (*Result, error)
}

// Control is one thing that a learner can move.
type Control struct {
	Name  string
	Label string
	// A range goes from Min to Max in steps; Unit is printed behind the value.
	Min, Max, Step float64
	Unit           string
	// A choice has options instead; its value is the index of one.
	Options []string
	Default float64
}

// Text is a value of the control as it is printed beside it.
func (c *Control) Text(v float64) string {
	if len(c.Options) > 0 {
		return c.Options[int(v)]
	}
	s := quantity.Of(v, quantity.One).ExactFigures()
	if c.Unit == "" {
		return s
	}
	return s + "\u00a0" + c.Unit
}

// Input is the state of a figure's controls.
type Input struct {
	Units  exercises.System
	Values map[string]float64 // every control has a value
}

// US says whether the figure is in US customary units.
func (in Input) US() bool { return in.Units == exercises.US }

// Pick is the option that a choice control stands at.
func (in Input) Pick(name string) int { return int(in.Values[name]) }

// Result is a solved figure.
type Result struct {
	Sentence string // what to see, with the numbers; it is announced on change
	Chart    Chart
	Table    Table
	// Measures are the values that a predict question can ask about.
	Measures map[string]float64
}

// Chart is one of MainsChart, CascadeChart and LineChart.
type Chart interface{ chart() }

// MainsChart is pressure along supply and return mains.
type MainsChart struct {
	Unit     string // of the heads
	FlowUnit string
	Source   float64   // at the circulator's discharge, above its suction
	Circuits []Takeoff // in order of distance
	Reverse  bool      // reverse return: the return rises toward the near end
	Picked   int       // index of the circuit with the least flow, to point at
}

// Takeoff is a circuit between the mains.
type Takeoff struct {
	Name           string
	Supply, Return float64 // head
	Flow, Design   float64
}

// CascadeChart is the water's temperature from stop to stop along a loop.
type CascadeChart struct {
	Unit      string
	Supply    float64
	Stops     []CascadeStop
	Limit     float64 // a temperature worth marking, NaN for none
	LimitName string
}

// CascadeStop is one emitter along a loop.
type CascadeStop struct {
	Name            string
	Entering, After float64 // of the main, before and behind
	Leaving         float64 // out of the emitter itself; equals After in a series loop
	Share           string  // what it gives against what its room needs, "92 %"
	Short           bool    // it gives less than its room needs
}

// LineChart is one or more curves, with points on them.
type LineChart struct {
	XLabel, YLabel string
	XMax, YMax     float64
	Lines          []Line
	Points         []Point
}

// Line is one curve. Role says what it is, so that it always looks the same:
// rule, engine, circulator, system.
type Line struct {
	Name, Role string
	X, Y       []float64
}

// Point is a marked point.
type Point struct {
	Name string
	X, Y float64
}

func (*MainsChart) chart()   {}
func (*CascadeChart) chart() {}
func (*LineChart) chart()    {}

// Table is the figure in words and numbers.
type Table struct {
	Caption string
	Head    []string
	Rows    [][]string
}

// Models lists every figure.
func Models() []*Model { return models }

// ModelNamed finds a figure.
func ModelNamed(name string) (*Model, error) {
	i := slices.IndexFunc(models, func(m *Model) bool { return m.Name == name })
	if i < 0 {
		return nil, &exercises.NotFoundError{What: "figure", ID: name}
	}
	return models[i], nil
}

// Settings turns named values into an input: unknown names and values outside
// a control's range are errors, missing ones take the control's default.
func (m *Model) Settings(units exercises.System, values map[string]float64) (Input, error) {
	in := Input{Units: units, Values: map[string]float64{}}
	controls := m.Controls(units)
	for name := range values {
		if !slices.ContainsFunc(controls, func(c Control) bool { return c.Name == name }) {
			return in, fmt.Errorf("figure %s has no control %q", m.Name, name)
		}
	}
	for _, c := range controls {
		v, given := values[c.Name]
		if !given {
			v = c.Default
		}
		low, high := c.Min, c.Max
		if len(c.Options) > 0 {
			low, high = 0, float64(len(c.Options)-1)
			v = math.Round(v)
		}
		if !(v >= low && v <= high) {
			return in, fmt.Errorf("figure %s, control %s: %w", m.Name, c.Name,
				&quantity.RangeError{Quantity: c.Label, Value: v, Low: low, High: high, Unit: c.Unit})
		}
		in.Values[c.Name] = v
	}
	return in, nil
}
