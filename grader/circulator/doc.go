// Package circulator holds circulators' curves: head and electric power against
// flow, at other speeds, in series and in parallel, where a curve meets its
// system, and which of a set to take.
//
// Flows are in m³/s, heads in meters of the flowing fluid, power in W.
package circulator
