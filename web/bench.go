package web

import (
	"errors"
	"fmt"
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"loopwright/exercises"
	"loopwright/grader/circulator"
	"loopwright/grader/fluid"
	"loopwright/grader/pipe"
	"loopwright/grader/quantity"
	"loopwright/grader/thumb"
)

// benchView is the sizing of a circulator without drawings: what was typed,
// and the rule beside the engine.
type benchView struct {
	Fields  []benchField
	Outlets []choiceView
	Errors  []fieldError
	Sized   *benchResult
}

type benchField struct {
	Name, Label, Hint, Typed, Error string
}

// benchResult sets each figure of the rule beside the engine's.
type benchResult struct {
	Rows          []benchRow
	RulePick      string
	EnginePick    string
	Why, Cautions []string
}

type benchRow struct{ What, Rule, Engine, Why string }

// benchFields are the outside dimensions that the bench asks for, each with an
// example in US and in SI units.
var benchFields = []benchField{
	{Name: "length", Label: "Length of the building", Hint: "80\u00a0ft|24\u00a0m"},
	{Name: "width", Label: "Width of the building", Hint: "40\u00a0ft|12\u00a0m"},
	{Name: "height", Label: "Height from the boiler to the top floor", Hint: "30\u00a0ft|9\u00a0m"},
}

// benchPractice is what the two systems of units do differently on the bench.
type benchPractice struct {
	material                                       string
	flows                                          []thumb.CustomaryFlow
	water                                          quantity.Celsius
	factor                                         float64
	drop                                           quantity.Kelvin
	length, flow, head, heat, difference, velocity *quantity.Unit
}

func practiceOf(units exercises.System) benchPractice {
	if units == exercises.SI {
		return benchPractice{"steel-en10255", thumb.CustomaryFlowsSI(), 75, thumb.FactorSI, thumb.DropSI,
			quantity.Meter, quantity.LiterPerSecond, quantity.MeterHead, quantity.Kilowatt, quantity.KelvinDifference, quantity.MeterPerSecond}
	}
	return benchPractice{"steel-sch40", thumb.CustomaryFlowsUS(), quantity.Celsius(quantity.Fahrenheit.ToSI(170)), thumb.FactorUS, thumb.DropUS,
		quantity.Foot, quantity.GallonPerMinute, quantity.FootHead, quantity.BTUPerHour, quantity.FahrenheitDifference, quantity.FootPerSecond}
}

func (s *Site) bench(c *gin.Context) {
	p := practiceOf(s.units())
	v, err := sizeBench(p, c.Query)
	if err != nil {
		s.fail(c, err)
		return
	}
	status := http.StatusOK
	if v.Errors != nil {
		status = http.StatusUnprocessableEntity
	}
	s.show(c, status, "bench", page{Title: "Bench: a circulator without drawings", Nav: "bench", View: v})
}

// longestSide bounds what the bench takes for a building, in m: larger ones
// are not sized from outside.
const longestSide = 300

// sizeBench reads the query and, where it is complete, sizes the job.
func sizeBench(p benchPractice, query func(string) string) (benchView, error) {
	var v benchView
	outlet := query("outlet")
	var size pipe.Size
	for _, flow := range p.flows {
		found, err := pipe.Find(p.material, flow.Nominal)
		if err != nil {
			return v, err
		}
		chosen := flow.Nominal == outlet
		if chosen {
			size = found
		}
		v.Outlets = append(v.Outlets, choiceView{flow.Nominal, found.Label(), chosen})
	}
	asked := outlet != ""
	sides := make([]float64, len(benchFields))
	for _, f := range benchFields {
		us, si, _ := strings.Cut(f.Hint, "|")
		if p.length == quantity.Meter {
			us = si
		}
		f.Hint, f.Typed = "In "+p.length.Symbol+", for example "+us+".", query(f.Name)
		asked = asked || f.Typed != ""
		v.Fields = append(v.Fields, f)
	}
	if !asked {
		return v, nil
	}
	for i := range v.Fields {
		f := &v.Fields[i]
		side, err := readSide(f.Typed, p.length)
		if err != nil {
			f.Error = sentence(err)
			v.Errors = append(v.Errors, fieldError{f.Name, f.Label, f.Error})
		}
		sides[i] = side
	}
	if size.Material == nil {
		v.Errors = append(v.Errors, fieldError{"outlet", "Size of the boiler's outlet", "Choose one of the sizes."})
	}
	if v.Errors != nil {
		return v, nil
	}
	var err error
	v.Sized, err = sizeWithoutDrawings(p, size, outlet, sides[0], sides[1], sides[2])
	return v, err
}

func readSide(typed string, unit *quantity.Unit) (float64, error) {
	r, err := quantity.Read(typed, unit)
	if err != nil {
		return 0, err
	}
	if r.Quantity.Kind() != quantity.Length {
		return 0, fmt.Errorf("%s is %s; a length is asked for, in %s", strings.TrimSpace(typed), r.Quantity.Kind(), unit.Symbol)
	}
	if !(r.Quantity.SI > 0.5 && r.Quantity.SI <= longestSide) {
		return 0, &quantity.RangeError{Quantity: "this side", Value: r.Quantity.Number(), Low: r.Quantity.Unit.FromSI(0.5), High: r.Quantity.Unit.FromSI(longestSide), Unit: r.Quantity.Unit.Symbol}
	}
	return r.Quantity.SI, nil
}

func sizeWithoutDrawings(p benchPractice, size pipe.Size, outlet string, length, width, height float64) (*benchResult, error) {
	w, err := fluid.Water(p.water)
	if err != nil {
		return nil, err
	}
	flow, err := thumb.MostFlow(outlet)
	if err != nil {
		return nil, err
	}
	show := func(si float64, u *quantity.Unit) string { return quantity.FromSI(si, u).Text() }
	run := thumb.LongestRun(length, width, height)
	ruleHead := thumb.HeadForRun(run)
	straight := size.HeadLoss(flow, run, w)
	engineHead := straight * (1 + thumb.FittingsShare)
	capacity := thumb.OutletCapacity(flow, p.factor, p.drop)
	carried := flow * w.VolumetricHeat() * float64(p.drop)
	at := show(float64(p.water), map[*quantity.Unit]*quantity.Unit{quantity.Foot: quantity.Fahrenheit, quantity.Meter: quantity.CelsiusUnit}[p.length])
	r := &benchResult{Rows: []benchRow{
		{"Longest run, there and back", show(run, p.length), show(run, p.length), "Geometry: a length, a width and a height, twice. Measure where you can see the pipe."},
		{"Flow", show(flow, p.flow), show(flow, p.flow), fmt.Sprintf("The customary most for %s. In steel it runs at %s.", size.Label(), show(size.Velocity(flow), p.velocity))},
		{"Heat at a drop of " + show(float64(p.drop), p.difference), show(capacity, p.heat), show(carried, p.heat), "The rule's water is cold; the engine's is at " + at + " and lighter."},
		{"Head", show(float64(ruleHead), p.head), show(float64(engineHead), p.head),
			fmt.Sprintf("The engine takes friction in %s steel at this flow, %s for the straight pipe, and half again for fittings. The rule takes a round figure for cold water in any pipe.", size.Label(), show(float64(straight), p.head))},
	}}
	r.RulePick, err = smallerOfTwo(flow, ruleHead, p)
	if err != nil {
		return nil, err
	}
	r.EnginePick, err = pickText(flow, engineHead, p)
	if err != nil {
		return nil, err
	}
	r.Why = []string{
		"The run is the most it can be, and the whole flow is taken along all of it. In a real system the flow falls away as branches leave, so both heads lie on the high side.",
		"A boiler with a coil, a heat exchanger or control valves adds a drop of its own. Neither column knows of it.",
		"A modulating condensing boiler has a small outlet for its size, because it works with a wide drop. Take its flow from its plate, not from its outlet.",
	}
	r.Cautions = []string{
		"For training and checking. Before anything is bought, measure: pipe sizes, difference across the old circulator, temperatures at boiler and far end.",
		"Hot water under pressure, electricity and old insulation, which may hold asbestos, are on this job. Let the system cool, lock the power out, and follow the local code, the maker’s instructions and a licensed person’s judgment.",
	}
	return r, nil
}

// smallerOfTwo follows the customary rule on the demo circulators: the
// smallest whose curve passes over the point, or, where the point lies between
// two curves, the one below it.
func smallerOfTwo(flow float64, head quantity.MetersHead, p benchPractice) (string, error) {
	choice, err := circulator.Pick(circulator.Demo(), flow, head, 0)
	var none *circulator.NoneFitsError
	verdicts := choice.Verdicts
	if errors.As(err, &none) {
		verdicts = none.Verdicts
	} else if err != nil {
		return "", err
	}
	var below *circulator.Verdict
	for i := range verdicts {
		v := &verdicts[i]
		// Nearest curve under the point that still reaches most of the head.
		if v.Reason == circulator.TooLittleHead && float64(v.Head) > 0.8*float64(head) && (below == nil || v.Head > below.Head) {
			below = v
		}
	}
	switch {
	case below != nil:
		return fmt.Sprintf("%s, the curve just below the point: it gives %s at this flow.", below.Model.Name, quantity.FromSI(float64(below.Head), p.head).Text()), nil
	case none != nil:
		return "none of the demo circulators: the job is larger than they are.", nil
	default:
		return choice.Model.Name + ", the first curve over the point; none lies just below it.", nil
	}
}

func pickText(flow float64, head quantity.MetersHead, p benchPractice) (string, error) {
	choice, err := circulator.Pick(circulator.Demo(), flow, head, 0)
	var none *circulator.NoneFitsError
	if errors.As(err, &none) {
		return "none of the demo circulators: the job is larger than they are.", nil
	}
	if err != nil {
		return "", err
	}
	system, err := circulator.Through(0, flow, head, 1.9) // demo exponent, as in the lessons' figure
	if err != nil {
		return "", err
	}
	point, err := circulator.OperatingPoint(choice.Model.Curve, system)
	if err != nil {
		return choice.Model.Name + ", " + circulator.Taken.String() + ".", nil
	}
	return fmt.Sprintf("%s, %s. It would run at %s and %s.", choice.Model.Name, circulator.Taken,
		quantity.FromSI(point.Flow, p.flow).Text(), quantity.FromSI(float64(point.Head), p.head).Text()), nil
}
