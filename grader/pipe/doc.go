// Package pipe holds the tables of pipe and tube, and what water loses in
// flowing through them: friction by Darcy and Weisbach with the exact
// Colebrook-White factor, and fittings.
package pipe
