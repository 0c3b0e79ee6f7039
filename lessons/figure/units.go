package figure

import (
	"loopwright/grader/fluid"
	"loopwright/grader/quantity"
)

// native picks by system of units.
func native[T any](in Input, us, si T) T {
	if in.US() {
		return us
	}
	return si
}

func (in Input) flow() *quantity.Unit {
	return native(in, quantity.GallonPerMinute, quantity.LiterPerSecond)
}
func (in Input) heat() *quantity.Unit { return native(in, quantity.BTUPerHour, quantity.Kilowatt) }
func (in Input) head() *quantity.Unit { return native(in, quantity.FootHead, quantity.MeterHead) }
func (in Input) reading() *quantity.Unit {
	return native(in, quantity.Fahrenheit, quantity.CelsiusUnit)
}
func (in Input) difference() *quantity.Unit {
	return native(in, quantity.FahrenheitDifference, quantity.KelvinDifference)
}

// at is a control's value as a quantity in the unit that it is moved in.
func (in Input) at(name string, u *quantity.Unit) quantity.Quantity {
	return quantity.Of(in.Values[name], u)
}

// text is an SI value as it is printed.
func text(si float64, u *quantity.Unit) string { return quantity.FromSI(si, u).Text() }

// percent prints a ratio's distance from one: "2.2 % less".
func percent(ratio float64) string {
	p := quantity.Of(100*(ratio-1), quantity.Percent)
	switch {
	case ratio < 0.9995:
		return quantity.Of(100*(1-ratio), quantity.Percent).Text() + " less"
	case ratio > 1.0005:
		return p.Text() + " more"
	}
	return "the same"
}

// share prints a ratio in whole percent.
func share(ratio float64) string {
	return quantity.Of(float64(int(100*ratio+0.5)), quantity.Percent).Text()
}

// waterAt is fluid.Water for a control's value, which lies within its range.
func waterAt(q quantity.Quantity) (fluid.Properties, error) {
	return fluid.Water(quantity.Celsius(q.SI))
}
