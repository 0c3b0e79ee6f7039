// Package valve relates a valve's coefficient, its flow and what it takes from
// that flow, and says how a valve works in its circuit: authority, inherent and
// installed characteristic.
//
// A coefficient is held in SI, m³/(s·√Pa), the unit in which package quantity
// holds Cv and Kv; [Cv] and [Kv] make one from the trade's numbers.
package valve
