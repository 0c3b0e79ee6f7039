// Package network solves hot-water systems for flow, pressure and temperature.
//
// A [System] is what someone describes: nodes, links of every kind, rooms;
// [Read] makes one of a file. [Prepare] checks how it hangs together and makes a
// [Model], which is solved again and again, each time from the last solution.
// Flows and heads come from package steady; temperatures follow from mixing and
// from the heat that links give off; thermostatic valves, mixing valves and
// circulators set themselves; and round again until all agree.
//
// [TwoPipe], [SeriesLoop] and [DiverterLoop] are small layouts for problems that
// a person works by hand, in laws rather than in parts.
//
// Flows are in m³/s, heads in meters, temperatures in °C and heat in W.
package network
