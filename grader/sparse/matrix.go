package sparse

import (
	"fmt"
	"slices"
)

// Matrix is a symmetric matrix of fixed pattern with its factors.
type Matrix struct {
	n           int
	place       []int32 // row of an unknown in the order of elimination
	slot        []int32 // where the value of each pair of Analyze is kept
	diagonal    []float64
	off         []float64 // above the diagonal, column by column
	offStart    []int32
	offRow      []int32
	factor      []float64 // L without its unit diagonal, column by column
	factorStart []int32
	factorRow   []int32
	pivots      []float64 // D
	rowStart    []int32   // which columns each row of L holds, in order
	rowColumn   []int32
	filled      []int32
	work        []float64
}

// Analyze prepares a matrix of order n whose entries off the diagonal lie where
// pairs say, each once or several times. A pair of an unknown with itself and
// one out of range panic: they are a programmer's error.
func Analyze(n int, pairs [][2]int) *Matrix {
	m := &Matrix{n: n}
	count := make([]int32, n)
	for _, p := range pairs {
		if p[0] == p[1] || min(p[0], p[1]) < 0 || max(p[0], p[1]) >= n {
			panic(fmt.Sprintf("sparse: pair %v in a matrix of order %d", p, n))
		}
		count[p[0]]++
		count[p[1]]++
	}
	adjacent := make([][]int32, n)
	room := make([]int32, 2*len(pairs))
	for i, c := range count {
		adjacent[i], room = room[:0:c], room[c:]
	}
	for _, p := range pairs {
		adjacent[p[0]] = append(adjacent[p[0]], int32(p[1]))
		adjacent[p[1]] = append(adjacent[p[1]], int32(p[0]))
	}
	for i, list := range adjacent {
		slices.Sort(list)
		adjacent[i] = slices.Compact(list)
	}
	m.place = make([]int32, n)
	for k, i := range order(n, adjacent) {
		m.place[i] = int32(k)
	}
	m.layOut(pairs)
	m.predict()
	m.work = make([]float64, n)
	return m
}

// layOut finds the storage of the entries: column by column above the diagonal.
func (m *Matrix) layOut(pairs [][2]int) {
	type entry struct{ column, row, pair int32 }
	entries := make([]entry, len(pairs))
	for k, p := range pairs {
		a, b := m.place[p[0]], m.place[p[1]]
		entries[k] = entry{max(a, b), min(a, b), int32(k)}
	}
	slices.SortFunc(entries, func(a, b entry) int {
		if a.column != b.column {
			return int(a.column - b.column)
		}
		return int(a.row - b.row)
	})
	m.slot = make([]int32, len(pairs))
	m.offStart = make([]int32, m.n+1)
	for k, e := range entries {
		if k == 0 || e.column != entries[k-1].column || e.row != entries[k-1].row {
			m.offRow = append(m.offRow, e.row)
			m.offStart[e.column+1]++
		}
		m.slot[e.pair] = int32(len(m.offRow) - 1)
	}
	for k := range m.n {
		m.offStart[k+1] += m.offStart[k]
	}
	m.off, m.diagonal = make([]float64, len(m.offRow)), make([]float64, m.n)
}

// predict finds the pattern of L: row k holds what can be reached from the
// entries of column k by climbing the elimination tree.
func (m *Matrix) predict() {
	n := m.n
	parent, mark := make([]int32, n), make([]int32, n)
	count := make([]int32, n)
	m.rowStart = make([]int32, n+1)
	for k := range int32(n) {
		parent[k], mark[k] = none, k
		begin := len(m.rowColumn)
		for _, row := range m.offRow[m.offStart[k]:m.offStart[k+1]] {
			for i := row; mark[i] != k; i = parent[i] {
				if parent[i] == none {
					parent[i] = k
				}
				mark[i] = k
				m.rowColumn = append(m.rowColumn, i)
				count[i]++
			}
		}
		// In order of the columns: a child comes before its parent.
		slices.Sort(m.rowColumn[begin:])
		m.rowStart[k+1] = int32(len(m.rowColumn))
	}
	m.factorStart = make([]int32, n+1)
	for i := range n {
		m.factorStart[i+1] = m.factorStart[i] + count[i]
	}
	m.factor, m.factorRow = make([]float64, len(m.rowColumn)), make([]int32, len(m.rowColumn))
	m.pivots, m.filled = make([]float64, n), make([]int32, n)
	copy(m.filled, m.factorStart)
	for k := range n {
		for _, i := range m.rowColumn[m.rowStart[k]:m.rowStart[k+1]] {
			m.factorRow[m.filled[i]] = int32(k)
			m.filled[i]++
		}
	}
}

// Entries is how many entries L holds below its diagonal.
func (m *Matrix) Entries() int { return len(m.factor) }

// Clear sets every entry to zero.
func (m *Matrix) Clear() {
	clear(m.diagonal)
	clear(m.off)
}

// AddDiagonal adds to the entry of an unknown with itself.
func (m *Matrix) AddDiagonal(i int, v float64) { m.diagonal[m.place[i]] += v }

// AddPair adds to the entry of pair k of [Analyze].
func (m *Matrix) AddPair(k int, v float64) { m.off[m.slot[k]] += v }

// NotPositiveError says that a matrix has no such factors.
type NotPositiveError struct {
	Unknown int
	Pivot   float64
}

func (e *NotPositiveError) Error() string {
	return fmt.Sprintf("sparse: the matrix is not positive definite at unknown %d (pivot %g)", e.Unknown, e.Pivot)
}

// Factor computes L and D, row by row: row k of L solves a triangular system
// with the rows above it. A pivot that is not above zero gives a
// *NotPositiveError.
func (m *Matrix) Factor() error {
	y, filled := m.work, m.filled
	copy(filled, m.factorStart)
	for k := range m.n {
		for p := m.offStart[k]; p < m.offStart[k+1]; p++ {
			y[m.offRow[p]] = m.off[p]
		}
		pivot := m.diagonal[k]
		for _, i := range m.rowColumn[m.rowStart[k]:m.rowStart[k+1]] {
			yi := y[i]
			y[i] = 0
			start, end := m.factorStart[i], filled[i]
			rows, values := m.factorRow[start:end], m.factor[start:end]
			for p, row := range rows {
				y[row] -= values[p] * yi
			}
			l := yi * m.pivots[i] // the pivots are kept inverted
			pivot -= l * yi
			m.factor[end] = l
			filled[i]++
		}
		if !(pivot > 0) {
			clear(y)
			return &NotPositiveError{m.unknownAt(k), pivot}
		}
		m.pivots[k] = 1 / pivot
	}
	return nil
}

func (m *Matrix) unknownAt(k int) int { return slices.Index(m.place, int32(k)) }

// Solve replaces a right side by the solution, with the factors of [Matrix.Factor].
func (m *Matrix) Solve(b []float64) {
	x := m.work
	for i, k := range m.place {
		x[k] = b[i]
	}
	for k := range m.n {
		xk := x[k]
		if xk == 0 {
			continue
		}
		start, end := m.factorStart[k], m.factorStart[k+1]
		values := m.factor[start:end]
		for p, row := range m.factorRow[start:end] {
			x[row] -= values[p] * xk
		}
	}
	for k := m.n - 1; k >= 0; k-- {
		xk := x[k] * m.pivots[k]
		start, end := m.factorStart[k], m.factorStart[k+1]
		values := m.factor[start:end]
		for p, row := range m.factorRow[start:end] {
			xk -= values[p] * x[row]
		}
		x[k] = xk
	}
	for i, k := range m.place {
		b[i] = x[k]
	}
	clear(x)
}
