package network

import (
	"fmt"
	"math"

	"loopwright/grader/quantity"
)

// Emitter gives off heat to a room.
type Emitter interface {
	// Heat gives the heat (W) that water of capacity rate c (W/K: mass flow
	// times specific heat), entering at supply, leaves in a room, and the
	// temperature at which it leaves.
	Heat(c float64, supply, room quantity.Celsius) (heat float64, leaving quantity.Celsius, err error)
}

// Stop is one emitter on a loop.
type Stop struct {
	Emitter Emitter
	Room    quantity.Celsius
	// Share is the part of the main's flow that a diverter tee sends through
	// the emitter, 0 to 1. A series loop passes all of it: Share is not used.
	Share float64
}

// Passed is what a stop does to the water.
type Passed struct {
	Entering quantity.Celsius // at the emitter; on a diverter loop also the main before the tee
	Leaving  quantity.Celsius // out of the emitter
	After    quantity.Celsius // the main behind the stop
	Heat     float64          // W
}

// SeriesLoop steps the water through emitters one after the other: each gets
// what the one before leaves. c is the capacity rate of the loop in W/K.
func SeriesLoop(supply quantity.Celsius, c float64, stops []Stop) ([]Passed, error) {
	return cascade(supply, c, stops, func(Stop) float64 { return 1 })
}

// DiverterLoop steps the main past diverter tees: each emitter takes its share
// of the main, and what it leaves mixes with the rest.
//
//	after = before − heat / c
func DiverterLoop(supply quantity.Celsius, c float64, stops []Stop) ([]Passed, error) {
	for i, s := range stops {
		if !(s.Share > 0 && s.Share <= 1) {
			return nil, fmt.Errorf("stop %d: %w", i+1, &quantity.RangeError{Quantity: "share of the main", Value: s.Share, Low: 0, High: 1})
		}
	}
	return cascade(supply, c, stops, func(s Stop) float64 { return s.Share })
}

func cascade(supply quantity.Celsius, c float64, stops []Stop, share func(Stop) float64) ([]Passed, error) {
	if !(c > 0) || math.IsInf(c, 0) {
		return nil, fmt.Errorf("network: the loop needs a flow, got a capacity rate of %g W/K", c)
	}
	passed := make([]Passed, len(stops))
	main := supply
	for i, s := range stops {
		heat, leaving, err := s.Emitter.Heat(c*share(s), main, s.Room)
		if err != nil {
			return nil, fmt.Errorf("stop %d: %w", i+1, err)
		}
		after := main - quantity.Celsius(heat/c)
		passed[i] = Passed{Entering: main, Leaving: leaving, After: after, Heat: heat}
		main = after
	}
	return passed, nil
}

// DiverterShare finds the flow (m³/s) that a diverter tee drives through its
// branch: run and branch carry the main's flow between them and lose the same
// head.
func DiverterShare(mainFlow float64, run, branch Resistance) (float64, error) {
	if !(mainFlow > 0) {
		return 0, fmt.Errorf("network: a diverter tee needs a flow in its main, got %g m³/s", mainFlow)
	}
	q := mainFlow / 2
	low, high := 0.0, mainFlow
	for range 200 {
		hb, db := branch.HeadAndSlope(q)
		hr, dr := run.HeadAndSlope(mainFlow - q)
		miss := hb - hr
		if miss > 0 {
			high = q
		} else {
			low = q
		}
		next := q - miss/(db+dr)
		if next <= low || next >= high {
			next = (low + high) / 2 // Newton left the bracket: halve it
		}
		// Judged by the heads, not by the flow: a branch may take a thousandth
		// of a percent of the main, and its head must agree all the same.
		if math.Abs(miss) <= 1e-10*max(hb, hr) || next == q {
			return q, nil
		}
		q = next
	}
	hb, _ := branch.HeadAndSlope(q)
	hr, _ := run.HeadAndSlope(mainFlow - q)
	return 0, &NotConvergedError{"diverter tee", 200, math.Abs(hb - hr)}
}
