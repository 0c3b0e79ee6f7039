package sparse

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"loopwright/grader/closeto"
)

// By hand: [[4 2][2 3]] x = [2 3] has x = (0, 1).
func TestSolveByHand(t *testing.T) {
	m := Analyze(2, [][2]int{{0, 1}})
	m.AddDiagonal(0, 4)
	m.AddDiagonal(1, 3)
	m.AddPair(0, 2)
	require.NoError(t, m.Factor())
	b := []float64{2, 3}
	m.Solve(b)
	closeto.Absolute(t, 0, b[0], 1e-15, "x0")
	closeto.Absolute(t, 1, b[1], 1e-15, "x1")
}

// A network's matrix of random shape, with parallel pairs and unknowns that
// nothing touches, against gonum's dense Cholesky factors; twice with other
// values, for the pattern is used again.
func TestSolveAgreesWithDense(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 40).Draw(t, "order")
		count := rapid.IntRange(0, 3*n).Draw(t, "pairs")
		var pairs [][2]int
		for range count {
			i, j := rapid.IntRange(0, n-1).Draw(t, "i"), rapid.IntRange(0, n-1).Draw(t, "j")
			if i != j {
				pairs = append(pairs, [2]int{i, j})
			}
		}
		m := Analyze(n, pairs)
		for range 2 {
			m.Clear()
			dense := mat.NewSymDense(n, nil)
			add := func(i, j int, v float64) { dense.SetSym(i, j, dense.At(i, j)+v) }
			for i := range n {
				v := rapid.Float64Range(0.1, 2).Draw(t, "diagonal")
				m.AddDiagonal(i, v)
				add(i, i, v)
			}
			for k, p := range pairs {
				v := rapid.Float64Range(0.001, 100).Draw(t, "conductance")
				m.AddDiagonal(p[0], v)
				m.AddDiagonal(p[1], v)
				m.AddPair(k, -v)
				add(p[0], p[0], v)
				add(p[1], p[1], v)
				add(p[0], p[1], -v)
			}
			b := make([]float64, n)
			for i := range b {
				b[i] = rapid.Float64Range(-1, 1).Draw(t, "right side")
			}
			var c mat.Cholesky
			require.True(t, c.Factorize(dense))
			var want mat.VecDense
			require.NoError(t, c.SolveVecTo(&want, mat.NewVecDense(n, slices.Clone(b))))
			require.NoError(t, m.Factor())
			m.Solve(b)
			for i := range b {
				require.InDelta(t, want.AtVec(i), b[i], 1e-9)
			}
		}
	})
}

func TestOrderIsAPermutation(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for n := 1; n < 60; n++ {
		m := Analyze(n, randomPairs(r, n, 2*n))
		sorted := slices.Sorted(slices.Values(m.place))
		for i, p := range sorted {
			require.EqualValues(t, i, p)
		}
	}
}

func randomPairs(r *rand.Rand, n, count int) (pairs [][2]int) {
	for range count {
		if i, j := r.IntN(n), r.IntN(n); i != j {
			pairs = append(pairs, [2]int{i, j})
		}
	}
	return pairs
}

// A tree has an elimination order without new entries, and minimum degree
// finds it.
func TestATreeFillsNothing(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 20 {
		n := 2 + r.IntN(500)
		var pairs [][2]int
		for i := 1; i < n; i++ {
			pairs = append(pairs, [2]int{i, r.IntN(i)})
		}
		require.Equal(t, n-1, Analyze(n, pairs).Entries())
	}
}

// On a k × k grid nested dissection reaches about 31/4 k² log₂ k entries (A.
// George 1973, leading term); a good minimum degree order stays below it at
// these sizes.
func TestGridFillsLittle(t *testing.T) {
	for _, k := range []int{20, 50, 70} {
		bound := 31.0 / 4 * float64(k*k) * math.Log2(float64(k))
		require.Less(t, float64(Analyze(k*k, gridPairs(k)).Entries()), bound, "k = %d", k)
	}
}

func gridPairs(k int) (pairs [][2]int) {
	for i := range k * k {
		if (i+1)%k != 0 {
			pairs = append(pairs, [2]int{i, i + 1})
		}
		if i+k < k*k {
			pairs = append(pairs, [2]int{i, i + k})
		}
	}
	return pairs
}

func TestNotPositive(t *testing.T) {
	m := Analyze(2, [][2]int{{0, 1}})
	m.AddPair(0, 1)
	var not *NotPositiveError
	require.ErrorAs(t, m.Factor(), &not)
	// The matrix can be used again.
	m.AddDiagonal(0, 2)
	m.AddDiagonal(1, 2)
	require.NoError(t, m.Factor())
	b := []float64{3, 3}
	m.Solve(b)
	closeto.Relative(t, 1, b[0], 1e-14, "x")
	require.Panics(t, func() { Analyze(2, [][2]int{{1, 1}}) })
	require.Panics(t, func() { Analyze(2, [][2]int{{0, 2}}) })
}

func BenchmarkGrid(b *testing.B) {
	for _, k := range []int{7, 20, 50, 70} {
		pairs := gridPairs(k)
		b.Run(fmt.Sprintf("analyze %d pipes", len(pairs)), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				Analyze(k*k, pairs)
			}
		})
		m := Analyze(k*k, pairs)
		for i := range k * k {
			m.AddDiagonal(i, 4.1)
		}
		for i := range pairs {
			m.AddPair(i, -1)
		}
		x := make([]float64, k*k)
		x[0] = 1
		b.Run(fmt.Sprintf("factor and solve %d pipes", len(pairs)), func(b *testing.B) {
			b.ReportAllocs()
			b.ReportMetric(float64(m.Entries()), "entries")
			for b.Loop() {
				if err := m.Factor(); err != nil {
					b.Fatal(err)
				}
				m.Solve(x)
			}
		})
	}
}
