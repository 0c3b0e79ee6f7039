// Package thumb holds the trade's rules of thumb as code: what each says in US
// and in SI practice, where it comes from, over which range it holds, and
// where it breaks. A rule here never asks the engine; pages and problems set
// the two side by side.
//
// Arguments and results are in SI units. US and SI practice round differently,
// so where the numbers differ there is one function for each.
package thumb
