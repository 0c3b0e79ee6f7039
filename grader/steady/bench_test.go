package steady

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// square is h = k Q|Q|, with a slight linear part so that its slope never
// vanishes.
type square float64

func (k square) HeadAndSlope(q float64) (head, slope float64) {
	return float64(k)*q*math.Abs(q) + 1e-3*q, 2*float64(k)*math.Abs(q) + 1e-3
}
func (k square) StartFlow() float64 { return math.Sqrt(1 / float64(k)) }

// grid is k × k nodes: the first has a given head of 50 m, every other one
// draws a little.
func grid(k int, law func() Law) *Network {
	var links [][2]int
	for i := range k * k {
		if (i+1)%k != 0 {
			links = append(links, [2]int{i, i + 1})
		}
		if i+k < k*k {
			links = append(links, [2]int{i, i + k})
		}
	}
	n, err := New(k*k, []int{0}, links)
	if err != nil {
		panic(err)
	}
	n.Head[0] = 50
	for i := range links {
		n.Laws[i] = law()
	}
	for i := 1; i < k*k; i++ {
		n.Inflow[i] = -1e-4
	}
	return n
}

func TestGridIterations(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for _, k := range []int{3, 20, 50} {
		n := grid(k, func() Law { return square(math.Pow(10, 2+4*r.Float64())) })
		p, err := n.Solve()
		require.NoError(t, err)
		t.Log(k, p)
	}
}

func BenchmarkGrid(b *testing.B) {
	for _, k := range []int{7, 20, 50, 70} {
		n := grid(k, func() Law { return square(1e4) })
		b.Run(fmt.Sprintf("cold, %d pipes", len(n.Laws)), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				n.Forget()
				p, err := n.Solve()
				if err != nil {
					b.Fatal(err)
				}
				b.ReportMetric(float64(p.Iterations), "iterations")
			}
		})
	}
}
