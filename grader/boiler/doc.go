// Package boiler says how well a condensing boiler uses its fuel at a return
// temperature, and at what temperature the moisture in flue gas condenses.
//
// Efficiencies are of the gross (higher) heating value, which counts the heat
// of that moisture, so they stay below 1. Figures above 100 % are of the net
// value: for natural gas, multiply them by about 0.90 (from memory).
package boiler
