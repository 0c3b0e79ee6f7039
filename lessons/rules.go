package lessons

import (
	"strings"

	"loopwright/exercises"
	"loopwright/grader/quantity"
	"loopwright/grader/thumb"
)

// inSI says which practice's rounding a rule takes.
func (sc *scope) inSI() bool { return sc.units == exercises.SI }

func (sc *scope) factor() float64 {
	if sc.inSI() {
		return thumb.FactorSI
	}
	return thumb.FactorUS
}

func (sc *scope) drop() quantity.Kelvin {
	if sc.inSI() {
		return thumb.DropSI
	}
	return thumb.DropUS
}

// ruleFunctions ask the trade's rules of thumb.
var ruleFunctions = map[string]function{
	// rule_says prints a rule's own words.
	"rule_says": {[]argument{textArgument}, func(sc *scope, a []any) (any, error) {
		r, err := thumb.ByID(a[0].(string))
		if sc.inSI() {
			return r.SI, err
		}
		return r.US, err
	}},
	"rule_from": {[]argument{textArgument}, func(sc *scope, a []any) (any, error) {
		r, err := thumb.ByID(a[0].(string))
		if sc.inSI() {
			return r.FromSI(), err
		}
		return r.Derivation, err
	}},
	"rule_breaks": {[]argument{textArgument}, func(sc *scope, a []any) (any, error) {
		r, err := thumb.ByID(a[0].(string))
		if sc.inSI() {
			return r.BreaksSI(), err
		}
		return r.Breaks, err
	}},
	"rule_factor": {nil, func(sc *scope, _ []any) (any, error) {
		return sc.native(sc.factor(), quantity.BTUPerHourGPMDegree, quantity.KilowattPerLiterSecondKelvin), nil
	}},
	"rule_flow": {[]argument{of(quantity.Power), of(quantity.TemperatureDifference)}, func(sc *scope, a []any) (any, error) {
		return sc.flow(quantityOf(a[0]).SI / (sc.factor() * quantityOf(a[1]).SI)), nil
	}},
	"rule_heat": {[]argument{of(quantity.Flow), of(quantity.TemperatureDifference)}, func(sc *scope, a []any) (any, error) {
		return sc.heat(quantityOf(a[0]).SI * sc.factor() * quantityOf(a[1]).SI), nil
	}},
	"rule_drop": {[]argument{of(quantity.Power), of(quantity.Flow)}, func(sc *scope, a []any) (any, error) {
		return sc.native(quantityOf(a[0]).SI/(sc.factor()*quantityOf(a[1]).SI), quantity.FahrenheitDifference, quantity.KelvinDifference), nil
	}},
	"rule_most_flow": {[]argument{textArgument}, func(sc *scope, a []any) (any, error) {
		q, err := thumb.MostFlow(a[0].(string))
		return sc.flow(q), err
	}},
	"rule_size": {[]argument{of(quantity.Flow)}, func(sc *scope, a []any) (any, error) {
		list := thumb.CustomaryFlowsUS()
		if sc.inSI() {
			list = thumb.CustomaryFlowsSI()
		}
		c, err := thumb.SizeFor(list, quantityOf(a[0]).SI)
		if sc.inSI() {
			return strings.Replace(c.Nominal, "DN", "DN\u00a0", 1), err
		}
		return c.Nominal + " in", err
	}},
	"rule_capacity": {[]argument{textArgument}, func(sc *scope, a []any) (any, error) {
		q, err := thumb.MostFlow(a[0].(string))
		return sc.heat(thumb.OutletCapacity(q, sc.factor(), sc.drop())), err
	}},
	"rule_run": {[]argument{of(quantity.Length), of(quantity.Length), of(quantity.Length)}, func(sc *scope, a []any) (any, error) {
		run := thumb.LongestRun(quantityOf(a[0]).SI, quantityOf(a[1]).SI, quantityOf(a[2]).SI)
		return sc.native(run, quantity.Foot, quantity.Meter), nil
	}},
	"rule_head": {[]argument{of(quantity.Length)}, func(sc *scope, a []any) (any, error) {
		return sc.native(float64(thumb.HeadForRun(quantityOf(a[0]).SI)), quantity.FootHead, quantity.MeterHead), nil
	}},
}
