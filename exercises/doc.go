// Package exercises turns a seed into a problem, and attempts into what a
// learner can do.
//
// A problem is one recorded computation, its [Sheet]: givens, steps with
// formulas, and the wrong turns that people take at each step. Everything that
// a learner sees is derived from that record: the answer, the hints, the faded
// worked example, the full solution and the answers that a slip leads to. So
// they cannot disagree.
//
// A [Family] is a generator of such problems. The families are in files named
// family_*.go, one topic to a file; [Families] lists them.
package exercises
