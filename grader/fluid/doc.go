// Package fluid gives the properties of water in heating systems: density,
// specific heat and viscosity, by the formulations of the International
// Association for the Properties of Water and Steam.
package fluid
