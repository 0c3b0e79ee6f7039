// Package network solves the flows and temperatures of whole layouts: two-pipe
// mains with direct or reverse return, series loops, and one-pipe loops with
// diverter tees.
//
// Flows are in m³/s, heads in meters of the flowing fluid, temperatures in °C
// and heat in W.
package network
