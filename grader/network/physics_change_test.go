package network_test

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"loopwright/grader/network"
	"loopwright/grader/quantity"
	"loopwright/grader/valve"
)

// drawChange is a change that a link of a ladder can take.
func drawChange(t *rapid.T, l network.Link) func(*network.Link) {
	x := rapid.Float64Range(0.3, 1).Draw(t, "new value")
	switch rapid.SampledFrom([]string{"part", "plugged", "length"}).Draw(t, "what") {
	case "plugged":
		return func(l *network.Link) { l.Plugged = 1 - x }
	case "length":
		if p, ok := l.Part.(network.Pipe); ok {
			p.Length *= 3 * x
			return func(l *network.Link) { l.Part = p }
		}
	}
	switch p := l.Part.(type) {
	case network.Valve:
		return func(l *network.Link) { p.Lift = x; l.Part = p }
	case network.RadiatorValve:
		return func(l *network.Link) { p.Set = quantity.Celsius(16 + 6*x); l.Part = p }
	case network.Circulator:
		return func(l *network.Link) { p.Speed, p.Set = x, 2*x; l.Part = p }
	case network.Source:
		return func(l *network.Link) { p.Supply = ptr(quantity.Celsius(40 + 40*x)); l.Part = p }
	}
	return func(l *network.Link) { l.Plugged = 0.5 }
}

// After changes a solution is what a fresh one of the changed system is.
func TestChangeThenSolve(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawLadder(t)
		p.Buoyancy = rapid.Bool().Draw(t, "buoyancy")
		if p.Buoyancy {
			p.node("e1").Elevation, p.node("q1").Elevation = 5, 5
		}
		m, err := network.Prepare(&p.System)
		require.NoError(t, err)
		_, err = m.Solve()
		require.NoError(t, err)
		fresh := &plan{p.System}
		for range rapid.IntRange(1, 4).Draw(t, "changes") {
			k := rapid.IntRange(0, len(fresh.Links)-1).Draw(t, "link")
			change := drawChange(t, fresh.Links[k])
			require.NoError(t, m.Change(fresh.Links[k].ID, change))
			change(&fresh.Links[k])
			if rapid.Bool().Draw(t, "between") {
				_, err = m.Solve()
				require.NoError(t, err)
			}
		}
		fresh.Outdoor = quantity.Celsius(rapid.Float64Range(1, 15).Draw(t, "outdoor"))
		m.System().Outdoor = fresh.Outdoor
		got, err := m.Solve()
		require.NoError(t, err)
		same := func(id string) string { return id }
		requireSame(t, fresh.solve(t), got, same, 1e-5, 1e-4)
		requireBalanced(t, fresh, got)
	})
}

// A link shut and opened again, in every loop in turn, leaves no trace.
func TestShutAndOpenAgain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawLadder(t)
		// A second way, so that something always moves.
		p.add("other pump", "r", "x", network.Circulator{Curve: circulator6(t), Speed: 1})
		p.add("other", "x", "r", loss(1e7))
		m, err := network.Prepare(&p.System)
		require.NoError(t, err)
		first, err := m.Solve()
		require.NoError(t, err)
		k := rapid.IntRange(0, len(p.Links)-3).Draw(t, "link")
		require.NoError(t, m.Change(p.Links[k].ID, func(l *network.Link) { l.Shut = true }))
		s, err := m.Solve()
		require.NoError(t, err)
		l := link(t, s, p.Links[k].ID)
		require.Zero(t, l.Flow)
		require.True(t, l.Shut)
		require.NoError(t, m.Change(p.Links[k].ID, func(l *network.Link) { l.Shut = false }))
		again, err := m.Solve()
		require.NoError(t, err)
		requireSame(t, first, again, func(id string) string { return id }, 1e-5, 1e-4)
	})
}

// Mixing valves set themselves anew: with the weight of warm water on the way
// through them, too.
func TestChangeOfMixingValve(t *testing.T) {
	build := func(mixed quantity.Celsius, height float64) *plan {
		p := newPlan(true)
		p.Outdoor, p.Buoyancy = 2, true
		p.node("mix").Elevation = height
		p.add("boiler", "r", "b", network.Source{Loss: square(1e6), Supply: ptr(quantity.Celsius(75)), Limit: 95})
		for _, way := range []struct {
			id, from string
			hot      bool
		}{{"hot way", "b", true}, {"cool way", "back", false}} {
			p.add(way.id, way.from, "mix", network.Mixer{Open: valve.Kv(4), Hot: way.hot, Valve: "v", Lift: 0.5, Mixed: &mixed, Node: "mix"})
		}
		p.add("pump", "mix", "s", network.Circulator{Curve: pump(t, 2, 1e7), Speed: 1})
		p.add("panel", "s", "back", radiator(t, 6000, "room", 5e6))
		p.add("return", "back", "r", loss(1e6))
		p.Rooms = []network.Room{{ID: "room", Indoor: 20, Loss: 60}}
		return p
	}
	for _, height := range []float64{0, 3} {
		m, err := network.Prepare(&build(35, height).System)
		require.NoError(t, err)
		_, err = m.Solve()
		require.NoError(t, err)
		for _, mixed := range []quantity.Celsius{50, 32, 44.5} {
			for _, id := range []string{"hot way", "cool way"} {
				require.NoError(t, m.Change(id, func(l *network.Link) {
					w := l.Part.(network.Mixer)
					w.Mixed = &mixed
					l.Part = w
				}))
			}
			got, err := m.Solve()
			require.NoError(t, err)
			require.InDelta(t, float64(mixed), degrees(t, got, "mix"), 1e-5)
			requireSame(t, build(mixed, height).solve(t), got, func(id string) string { return id }, 1e-5, 1e-4)
		}
	}
}

// A change that alters name, ends or kind is refused and leaves no trace.
func TestChangeIsRefused(t *testing.T) {
	p := circuit(network.Circulator{Curve: circulator6(t), Speed: 1}, 1e7)
	m, err := network.Prepare(&p.System)
	require.NoError(t, err)
	before, err := m.Solve()
	require.NoError(t, err)
	for _, change := range []func(*network.Link){
		func(l *network.Link) { l.ID = "x" },
		func(l *network.Link) { l.To = "x" },
		func(l *network.Link) { l.Part = network.Valve{Open: 1e-5, Lift: 1} },
	} {
		require.Error(t, m.Change("circuit", change))
	}
	require.Error(t, m.Change("nowhere", func(*network.Link) {}))
	after, err := m.Solve()
	require.NoError(t, err)
	require.InDelta(t, link(t, before, "circuit").Flow, link(t, after, "circuit").Flow, 1e-12)
	// The system that was given is the caller's: it stays as it was.
	require.NoError(t, m.Change("circuit", func(l *network.Link) { l.Part = loss(2e7) }))
	require.Equal(t, loss(1e7), p.Links[1].Part)
}
