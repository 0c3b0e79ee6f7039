// Package grader marks typed answers against the parts of a problem. Below it
// lies the engine that the problems ask: quantity, fluid, pipe, emitter,
// circulator, valve, network and thumb.
//
// A verdict tells the truth in a fixed order: right is decided first; then a
// known slip, when the answer matches exactly one closely; then a right value
// rounded too hard; then a right number with the wrong unit; and wrong, with
// the first step to check, for the rest.
package grader
