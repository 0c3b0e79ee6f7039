package exercises

import "loopwright/grader/quantity"

// The unit that each kind of quantity is shown in, in the learner's own system.

func flowUnit(d *Draw) *quantity.Unit {
	return Native(d, quantity.GallonPerMinute, quantity.LiterPerSecond)
}

func loadUnit(d *Draw) *quantity.Unit { return Native(d, quantity.BTUPerHour, quantity.Kilowatt) }

func dropUnit(d *Draw) *quantity.Unit {
	return Native(d, quantity.FahrenheitDifference, quantity.KelvinDifference)
}

func readingUnit(d *Draw) *quantity.Unit { return Native(d, quantity.Fahrenheit, quantity.CelsiusUnit) }

func lengthUnit(d *Draw) *quantity.Unit { return Native(d, quantity.Foot, quantity.Meter) }

func pressureUnit(d *Draw) *quantity.Unit { return Native(d, quantity.PSI, quantity.Kilopascal) }

func velocityUnit(d *Draw) *quantity.Unit {
	return Native(d, quantity.FootPerSecond, quantity.MeterPerSecond)
}

func boreUnit(d *Draw) *quantity.Unit { return Native(d, quantity.Inch, quantity.Millimeter) }
