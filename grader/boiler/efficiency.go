package boiler

import (
	"fmt"
	"slices"
	"sort"

	"loopwright/grader/quantity"
)

// Point is one point of a curve: the efficiency, of the gross heating value,
// at a temperature of the returning water.
type Point struct {
	Back       quantity.Celsius
	Efficiency float64 // 0 to 1
}

// Efficiency is a boiler's efficiency against the temperature of its return,
// straight between points. The zero value has no points and no range.
type Efficiency struct{ points []Point }

// NewEfficiency is a curve through one's own points, coolest return first.
//
// It takes at least two points; temperatures must rise from one to the next,
// efficiencies lie above 0 and at most at 1, and none may rise with the return:
// warmer water never condenses more. Anything else is an error.
func NewEfficiency(points ...Point) (Efficiency, error) {
	if len(points) < 2 {
		return Efficiency{}, fmt.Errorf("boiler: an efficiency curve needs two points or more, got %d", len(points))
	}
	for i, p := range points {
		switch {
		case !(p.Efficiency > 0 && p.Efficiency <= 1):
			return Efficiency{}, fmt.Errorf("boiler: point %d: %w (of the gross heating value)", i+1, &quantity.RangeError{Quantity: "efficiency", Value: p.Efficiency, Low: 0, High: 1})
		case !(p.Back > -273.15 && p.Back < 400):
			return Efficiency{}, fmt.Errorf("boiler: point %d: %g °C is no return temperature", i+1, float64(p.Back))
		case i > 0 && !(p.Back > points[i-1].Back):
			return Efficiency{}, fmt.Errorf("boiler: point %d: the return must be warmer than %g °C, got %g °C", i+1, float64(points[i-1].Back), float64(p.Back))
		case i > 0 && p.Efficiency > points[i-1].Efficiency:
			return Efficiency{}, fmt.Errorf("boiler: point %d: the efficiency rises to %g with a warmer return", i+1, p.Efficiency)
		}
	}
	return Efficiency{slices.Clone(points)}, nil
}

// Demo is an invented condensing boiler on natural gas, at steady full load.
//
// demo: nobody's product. The points follow the heat that flue gas of methane
// with 20 % excess air still carries when it leaves saturated and 5 K above the
// return, less 1 % for the casing; the tests work that balance. A public forum
// answer on boiler tests puts the gain from a return of 150 °F to one of 80 °F
// at 10 %; this curve gives 9.8 points.
func Demo() Efficiency {
	return Efficiency{[]Point{
		{20, 0.975}, {30, 0.96}, {40, 0.93}, {50, 0.885}, {DewPoint, 0.87}, {90, 0.86},
	}}
}

// Range is the coolest and the warmest return that the curve knows.
func (e Efficiency) Range() (low, high quantity.Celsius) {
	if len(e.points) == 0 {
		return 0, 0
	}
	return e.points[0].Back, e.points[len(e.points)-1].Back
}

// Points are the curve's points, coolest return first.
func (e Efficiency) Points() []Point { return slices.Clone(e.points) }

// At is the efficiency at a return temperature, straight between the two
// points beside it:
//
//	η = η_a + (η_b − η_a) (t − t_a)/(t_b − t_a)
//
// back in °C; no unit. Outside the points it returns a *quantity.RangeError.
func (e Efficiency) At(back quantity.Celsius) (float64, error) {
	low, high := e.Range()
	if len(e.points) == 0 || !(back >= low && back <= high) {
		return 0, &quantity.RangeError{Quantity: "return temperature of the boiler", Value: float64(back), Low: float64(low), High: float64(high), Unit: "degC"}
	}
	// The first point that is not cooler than the return.
	i := sort.Search(len(e.points), func(i int) bool { return e.points[i].Back >= back })
	b := e.points[i]
	if b.Back == back {
		return b.Efficiency, nil
	}
	a := e.points[i-1]
	return a.Efficiency + (b.Efficiency-a.Efficiency)*float64((back-a.Back)/(b.Back-a.Back)), nil
}

// Saving is the share of the fuel that a boiler saves for the same heat when
// its return goes from one temperature to another; negative where it burns
// more.
//
//	saving = 1 − η_before/η_after
//
// Both in °C; no unit. Errors as [Efficiency.At]. Follows from fuel = heat/η.
func (e Efficiency) Saving(before, after quantity.Celsius) (float64, error) {
	b, err := e.At(before)
	if err != nil {
		return 0, err
	}
	a, err := e.At(after)
	if err != nil {
		return 0, err
	}
	return 1 - b/a, nil
}
