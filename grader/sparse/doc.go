// Package sparse factors symmetric positive definite matrices that are mostly
// zeros, of one pattern and many values: L D Lᵀ. No maintained Go library does
// that, and it is the heart of the solver of networks.
//
// The work falls in three. [Analyze] orders the unknowns so that few new
// entries arise (approximate minimum degree) and finds where they arise; it
// runs once for a network. [Matrix.Factor] computes the entries; it runs in
// each iteration and allocates nothing. [Matrix.Solve] solves for one right
// side.
//
// Sources: T. A. Davis, Direct Methods for Sparse Linear Systems, SIAM 2006,
// chapters 4 (elimination tree, up-looking factorization) and 7 (minimum
// degree); P. Amestoy, T. Davis, I. Duff, SIAM J. Matrix Anal. Appl. 17 (1996)
// 886 (approximate degrees on a quotient graph). The code is our own.
package sparse
