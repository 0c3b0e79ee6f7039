package lessons

import (
	"fmt"
	"maps"
	"strings"

	"loopwright/exercises"
	"loopwright/grader/emitter"
	"loopwright/grader/fluid"
	"loopwright/grader/pipe"
	"loopwright/grader/quantity"
	"loopwright/grader/valve"
)

// argument is what a function of a lesson takes: a quantity of a kind, or a
// text.
type argument struct {
	kind quantity.Kind
	text bool
	any  bool
}

func of(k quantity.Kind) argument { return argument{kind: k} }

var (
	textArgument = argument{text: true}
	anyQuantity  = argument{any: true}
)

func (a argument) accepts(v any) error {
	q, isQuantity := v.(quantity.Quantity)
	switch {
	case a.text && isQuantity:
		return fmt.Errorf("a text in quotes belongs here, not %s", q.Kind())
	case a.text:
		return nil
	case !isQuantity:
		return fmt.Errorf("%s belongs here, not the text %q", a.kind, v)
	case !a.any && q.Kind() != a.kind:
		return fmt.Errorf("%s belongs here, not %s", a.kind, q.Kind())
	}
	return nil
}

// function is one that lessons may call. Its arguments have been checked.
type function struct {
	args []argument
	call func(sc *scope, args []any) (any, error)
}

func quantityOf(v any) quantity.Quantity { return v.(quantity.Quantity) }

// native gives an SI value the unit of the learner's system.
func (sc *scope) native(si float64, us, metric *quantity.Unit) quantity.Quantity {
	if sc.units == exercises.SI {
		us = metric
	}
	return quantity.FromSI(si, us)
}

func (sc *scope) flow(si float64) quantity.Quantity {
	return sc.native(si, quantity.GallonPerMinute, quantity.LiterPerSecond)
}

func (sc *scope) heat(si float64) quantity.Quantity {
	return sc.native(si, quantity.BTUPerHour, quantity.Kilowatt)
}

// functions is every function, by the name that lessons use.
var functions = func() map[string]function {
	all := map[string]function{}
	maps.Copy(all, engineFunctions)
	maps.Copy(all, ruleFunctions)
	maps.Copy(all, plantFunctions)
	return all
}()

// engineFunctions ask the engine, or combine values.
var engineFunctions = map[string]function{
	// Heat carried by water at a mean temperature, by its real properties.
	"engine_flow": {[]argument{of(quantity.Power), of(quantity.TemperatureDifference), of(quantity.Temperature)}, func(sc *scope, a []any) (any, error) {
		w, err := water(a[2])
		if err != nil {
			return nil, err
		}
		return sc.flow(quantityOf(a[0]).SI / (w.VolumetricHeat() * quantityOf(a[1]).SI)), nil
	}},
	"engine_heat": {[]argument{of(quantity.Flow), of(quantity.TemperatureDifference), of(quantity.Temperature)}, func(sc *scope, a []any) (any, error) {
		w, err := water(a[2])
		if err != nil {
			return nil, err
		}
		return sc.heat(quantityOf(a[0]).SI * w.VolumetricHeat() * quantityOf(a[1]).SI), nil
	}},
	"factor_at": {[]argument{of(quantity.Temperature)}, func(sc *scope, a []any) (any, error) {
		w, err := water(a[0])
		return sc.native(w.VolumetricHeat(), quantity.BTUPerHourGPMDegree, quantity.KilowattPerLiterSecondKelvin), err
	}},
	"density": {[]argument{of(quantity.Temperature)}, func(sc *scope, a []any) (any, error) {
		w, err := water(a[0])
		return sc.native(w.Density, quantity.PoundPerCubicFoot, quantity.KilogramPerCubicMeter), err
	}},
	// What a pipe does to a flow. The pipe is named "material nominal".
	"velocity": {[]argument{of(quantity.Flow), textArgument}, func(sc *scope, a []any) (any, error) {
		s, err := pipeNamed(a[1])
		return sc.native(s.Velocity(quantityOf(a[0]).SI), quantity.FootPerSecond, quantity.MeterPerSecond), err
	}},
	"friction": {[]argument{of(quantity.Flow), textArgument, of(quantity.Temperature)}, func(sc *scope, a []any) (any, error) {
		rate, w, err := frictionRate(a[0], a[1], a[2])
		if err != nil {
			return nil, err
		}
		if sc.units == exercises.SI {
			return quantity.FromSI(float64(quantity.MetersHead(rate).Pressure(w.Density)), quantity.PascalPerMeter), nil
		}
		return quantity.FromSI(rate, quantity.FootPerHundredFeet), nil
	}},
	"run_head": {[]argument{of(quantity.Length), of(quantity.Flow), textArgument, of(quantity.Temperature)}, func(sc *scope, a []any) (any, error) {
		rate, _, err := frictionRate(a[1], a[2], a[3])
		return sc.native(rate*quantityOf(a[0]).SI, quantity.FootHead, quantity.MeterHead), err
	}},
	"head_as_pressure": {[]argument{of(quantity.Head), of(quantity.Temperature)}, func(sc *scope, a []any) (any, error) {
		w, err := water(a[1])
		return sc.native(float64(quantity.MetersHead(quantityOf(a[0]).SI).Pressure(w.Density)), quantity.PSI, quantity.Kilopascal), err
	}},
	"pipe_label": {[]argument{textArgument}, func(_ *scope, a []any) (any, error) {
		s, err := pipeNamed(a[0])
		return s.Label(), err
	}},
	"bore": {[]argument{textArgument}, func(sc *scope, a []any) (any, error) {
		s, err := pipeNamed(a[0])
		return sc.native(s.Bore, quantity.Inch, quantity.Millimeter), err
	}},
	// The coefficient of a valve that takes a pressure from a flow of cold water.
	"valve_for": {[]argument{of(quantity.Flow), of(quantity.Pressure)}, func(sc *scope, a []any) (any, error) {
		c, err := valve.For(quantityOf(a[0]).SI, quantity.Pascal(quantityOf(a[1]).SI), valve.ReferenceDensity)
		return sc.native(float64(c), quantity.CvUnit, quantity.KvUnit), err
	}},
	// Temperature behind a heat taken from a flow, by the rounded factor's
	// water (see rule_drop for the difference alone).
	"after": {[]argument{of(quantity.Temperature), of(quantity.TemperatureDifference)}, func(sc *scope, a []any) (any, error) {
		return sc.native(quantityOf(a[0]).SI-quantityOf(a[1]).SI, quantity.Fahrenheit, quantity.CelsiusUnit), nil
	}},
	"fin_tube_exponent": {nil, func(*scope, []any) (any, error) {
		return quantity.Of(emitter.FinTubeExponent, quantity.One), nil
	}},
	// Arithmetic.
	"sum": {[]argument{anyQuantity, anyQuantity}, func(_ *scope, a []any) (any, error) {
		return combine(a, func(x, y float64) float64 { return x + y })
	}},
	"less": {[]argument{anyQuantity, anyQuantity}, func(_ *scope, a []any) (any, error) {
		return combine(a, func(x, y float64) float64 { return x - y })
	}},
	"times": {[]argument{of(quantity.Number), anyQuantity}, func(_ *scope, a []any) (any, error) {
		q := quantityOf(a[1])
		return quantity.FromSI(quantityOf(a[0]).SI*q.SI, q.Unit), nil
	}},
	"ratio": {[]argument{anyQuantity, anyQuantity}, func(_ *scope, a []any) (any, error) {
		r, err := ratio(a)
		return quantity.Of(r, quantity.One), err
	}},
	// How far the first lies above or below the second, in percent.
	"percent_apart": {[]argument{anyQuantity, anyQuantity}, func(_ *scope, a []any) (any, error) {
		r, err := ratio(a)
		return quantity.FromSI(max(r-1, 1-r), quantity.Percent), err
	}},
	"percent_of": {[]argument{anyQuantity, anyQuantity}, func(_ *scope, a []any) (any, error) {
		r, err := ratio(a)
		return quantity.FromSI(r, quantity.Percent), err
	}},
}

func water(temperature any) (fluid.Properties, error) {
	return fluid.Water(quantity.Celsius(quantityOf(temperature).SI))
}

func pipeNamed(v any) (pipe.Size, error) {
	material, nominal, ok := strings.Cut(v.(string), " ")
	if !ok {
		return pipe.Size{}, fmt.Errorf("a pipe is named by material and size, as in %q", "copper-m 3/4")
	}
	return pipe.Find(material, nominal)
}

func frictionRate(flow, name, temperature any) (float64, fluid.Properties, error) {
	s, err := pipeNamed(name)
	if err != nil {
		return 0, fluid.Properties{}, err
	}
	w, err := water(temperature)
	if err != nil {
		return 0, w, err
	}
	rate, _ := s.HeadLossRate(quantityOf(flow).SI, w)
	return rate, w, nil
}

func combine(a []any, f func(x, y float64) float64) (any, error) {
	x, y := quantityOf(a[0]), quantityOf(a[1])
	if x.Kind() != y.Kind() {
		return nil, fmt.Errorf("%s and %s do not combine", x.Kind(), y.Kind())
	}
	if x.Kind() == quantity.Temperature {
		return nil, fmt.Errorf("readings do not add; use a temperature difference")
	}
	return quantity.FromSI(f(x.SI, y.SI), x.Unit), nil
}

func ratio(a []any) (float64, error) {
	x, y := quantityOf(a[0]), quantityOf(a[1])
	if x.Kind() != y.Kind() || y.SI == 0 {
		return 0, fmt.Errorf("no ratio of %s to %s", x.Text(), y.Text())
	}
	return x.SI / y.SI, nil
}
