// Package quantity holds numbers with units: reading what people type,
// converting, rounding and printing.
//
// Inside the engine every value is a float64 in SI units. This package is the
// edge: a [Kind] says what sort of quantity a number is (a flow, a head, a
// pressure ...), a [Unit] how it is written, [Read] turns typed text into a
// [Quantity], and [Quantity.In] turns it back into text.
//
// Where people confuse two things that share a unit, the engine uses a defined
// type: [Celsius] is a thermometer reading and [Kelvin] a difference of two;
// [MetersHead] is head of the flowing fluid and [Pascal] is pressure.
package quantity
