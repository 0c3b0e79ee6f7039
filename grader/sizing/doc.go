// Package sizing sizes a whole job: from rooms with loads and a layout to flows,
// pipe sizes, the circuit that decides, the circulator, balancing valves, bypass,
// expansion tank and fill, with what a rule of thumb would have said beside it.
// What it sized is then solved as a system (package network) to see whether
// every room gets its flow.
//
// The way of a job is one straight line: a plan says which pipe carries what
// (plan.go), pipes and emitters get their sizes (size.go), heads add up along
// each circuit and valves take up what is in excess (balance.go), the
// circulator, tank and bypass follow (plant.go), the system is built and solved
// (build.go).
package sizing
