package network

import (
	"errors"
	"strings"

	"loopwright/grader/document"
)

func asTopology(err error, into **TopologyError) bool { return errors.As(err, into) }

// at finds the place in the file that a fault of the whole is about: the first
// link or node that its text names.
func (r *reader) at(problem string) document.Value {
	words := strings.FieldsFunc(problem, func(c rune) bool { return c == ' ' || c == ',' || c == ':' || c == ';' || c == '"' })
	for _, w := range words {
		if v, ok := r.lines[w]; ok {
			return v
		}
	}
	return r.root.Value
}
