// Package emitter says what gives off the heat: fin-tube baseboard, cast-iron
// and panel radiators, and heated floors.
//
// An [Emitter] is a rating and a power law: output ∝ (water − room)^n. Three
// ways of averaging the water's temperature are kept apart and never mixed:
// the arithmetic mean of EN 442-2, the logarithmic mean, and the water followed
// along the emitter. Each is calibrated at the rating with its own mean, so all
// three give the rated output at the rated temperatures and differ elsewhere.
//
// Temperatures are in °C, heat in W, capacity rates (mass flow × specific
// heat) in W/K.
package emitter
