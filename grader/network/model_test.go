package network

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"loopwright/grader/circulator"
	"loopwright/grader/emitter"
	"loopwright/grader/pipe"
	"loopwright/grader/quantity"
	"loopwright/grader/valve"
)

func ptr[T any](v T) *T { return &v }

// ladder is a two-pipe system of n radiators, direct return: a source, a
// circulator, mains in two sections each, and per radiator a run, a valve and
// a panel. With trv the valves are thermostatic.
func ladder(n int, temperatures, trv bool) *System {
	curve, _ := circulator.NewCurve(circulator.Point{Flow: 0, Head: 4, Power: 20}, circulator.Point{Flow: 6e-4, Head: 3.2, Power: 40}, circulator.Point{Flow: 1.2e-3, Head: 1, Power: 50})
	if n > 100 {
		curve, _ = circulator.NewCurve(circulator.Point{Flow: 0.05 * float64(n) / 1000, Head: 36})
	}
	s := &System{Title: "ladder", Water: 60, Air: 15, Outdoor: -10, Temperatures: temperatures}
	s.Nodes = []Node{{ID: "r0", Hold: ptr(quantity.Pascal(100e3))}}
	add := func(id, from, to string, p Part) {
		s.Links = append(s.Links, Link{ID: id, From: from, To: to, Part: p})
	}
	add("boiler", "r0", "b", Source{Loss: RatedPoint(3e-4, 0.5, 2), Supply: ptr(quantity.Celsius(70)), Limit: 95})
	add("pump", "b", "s0", Circulator{Curve: curve, Speed: 1})
	panel, _ := emitter.Panel(1500, 1.3)
	main := pipe.MustFind("copper-m", "1-1/4")
	if n > 100 {
		main = pipe.MustFind("steel-sch40", "6")
	}
	branch := pipe.MustFind("copper-m", "1/2")
	for i := 1; i <= n; i++ {
		id := func(s string) string { return fmt.Sprintf("%s%d", s, i) }
		before := func(s string) string { return fmt.Sprintf("%s%d", s, i-1) }
		add(id("supply"), before("s"), id("s"), Pipe{Size: main, Length: 4})
		add(id("return"), id("r"), before("r"), Pipe{Size: main, Length: 4})
		add(id("run"), id("s"), id("a"), Pipe{Size: branch, Length: 6, K: 8})
		if trv {
			add(id("valve"), id("a"), id("e"), RadiatorValve{Open: valve.Kv(0.6), Room: id("room"), Set: 20, Band: 2})
		} else {
			add(id("valve"), id("a"), id("e"), Valve{Open: valve.Kv(0.6), Lift: 1})
		}
		add(id("panel"), id("e"), id("f"), Radiator{Emitter: panel, Room: id("room"), Loss: RatedPoint(3e-5, 0.05, 2)})
		add(id("back"), id("f"), id("r"), Pipe{Size: branch, Length: 6, K: 8})
		s.Rooms = append(s.Rooms, Room{ID: id("room"), Indoor: 20, Loss: 40, Design: 1200})
	}
	return s
}

// pipeGrid is k × k nodes joined by pipes of steel, one node held, every other
// drawing a little.
func pipeGrid(k int) *System {
	s := &System{Water: 15, Nodes: []Node{{ID: "0", Hold: ptr(quantity.Pascal(500e3))}}}
	sizes := []pipe.Size{pipe.MustFind("steel-sch40", "4"), pipe.MustFind("steel-sch40", "3"), pipe.MustFind("steel-sch40", "2")}
	add := func(a, b int) {
		s.Links = append(s.Links, Link{ID: fmt.Sprint("p", len(s.Links)), From: fmt.Sprint(a), To: fmt.Sprint(b), Part: Pipe{Size: sizes[len(s.Links)%3], Length: 50}})
	}
	for i := range k * k {
		if i > 0 {
			s.Nodes = append(s.Nodes, Node{ID: fmt.Sprint(i), Inflow: -0.02 / float64(k*k)})
		}
		if (i+1)%k != 0 {
			add(i, i+1)
		}
		if i+k < k*k {
			add(i, i+k)
		}
	}
	return s
}

// BenchmarkGrid solves grids of pipes from a cold start, with and without
// laying out the matrix. Yardstick: a long-established general library takes
// 1.9 ms for 760 pipes (stated in the issue; not run here).
func BenchmarkGrid(b *testing.B) {
	for _, k := range []int{8, 20, 50, 71} {
		s := pipeGrid(k)
		m, err := Prepare(s)
		require.NoError(b, err)
		b.Run(fmt.Sprintf("solve cold, %d pipes", len(s.Links)), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				m.net.Forget()
				p, err := m.SolveFlows()
				if err != nil {
					b.Fatal(err)
				}
				b.ReportMetric(float64(p.Iterations), "iterations")
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(s.Links)), "ns/pipe")
		})
	}
	s := pipeGrid(20)
	b.Run("prepare and solve, 760 pipes", func(b *testing.B) {
		for b.Loop() {
			m, err := Prepare(s)
			if err != nil {
				b.Fatal(err)
			}
			if _, err := m.SolveFlows(); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// BenchmarkTree solves trees of pipes from a cold start: each node feeds two
// others. The aim is a cost in proportion to the pipes.
func BenchmarkTree(b *testing.B) {
	for _, n := range []int{100, 1000, 10000} {
		s := &System{Water: 15, Nodes: []Node{{ID: "0", Hold: ptr(quantity.Pascal(500e3))}}}
		for i := 1; i <= n; i++ {
			s.Nodes = append(s.Nodes, Node{ID: fmt.Sprint(i), Inflow: -0.02 / float64(n)})
			s.Links = append(s.Links, Link{ID: fmt.Sprint("p", i), From: fmt.Sprint((i - 1) / 2), To: fmt.Sprint(i), Part: Pipe{Size: pipe.MustFind("steel-sch40", "4"), Length: 10}})
		}
		m, err := Prepare(s)
		require.NoError(b, err)
		b.Run(fmt.Sprintf("%d pipes", n), func(b *testing.B) {
			for b.Loop() {
				m.net.Forget()
				if _, err := m.SolveFlows(); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), "ns/pipe")
		})
	}
}

func BenchmarkLadder(b *testing.B) {
	for _, n := range []int{12, 1000} {
		m, err := Prepare(ladder(n, false, false))
		require.NoError(b, err)
		_, err = m.SolveFlows()
		require.NoError(b, err)
		lift := 0
		set := func() {
			lift = (lift + 1) % 10
			require.NoError(b, m.Change("valve3", func(l *Link) { l.Part = Valve{Open: valve.Kv(0.6), Lift: 0.5 + 0.05*float64(lift)} }))
		}
		b.Run(fmt.Sprintf("flows, %d radiators, a valve moved", n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				set()
				p, err := m.SolveFlows()
				if err != nil {
					b.Fatal(err)
				}
				b.ReportMetric(float64(p.Iterations), "iterations")
			}
		})
		b.Run(fmt.Sprintf("flows, %d radiators, afresh", n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				m.net.Forget()
				p, err := m.SolveFlows()
				if err != nil {
					b.Fatal(err)
				}
				b.ReportMetric(float64(p.Iterations), "iterations")
			}
		})
	}
	for _, trv := range []bool{false, true} {
		m, err := Prepare(ladder(12, true, trv))
		require.NoError(b, err)
		_, err = m.Solve()
		require.NoError(b, err)
		at := 0
		b.Run(fmt.Sprintf("temperatures, 12 radiators, thermostatic %v", trv), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				at = (at + 1) % 10
				m.sys.Outdoor = quantity.Celsius(-10 + at)
				p, err := m.settle()
				if err != nil {
					b.Fatal(err)
				}
				b.ReportMetric(float64(p.Passes), "passes")
				b.ReportMetric(float64(p.Iterations), "iterations")
			}
		})
	}
}
