package network_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"loopwright/grader/closeto"
	"loopwright/grader/network"
	"loopwright/grader/pipe"
	"loopwright/grader/quantity"
	"loopwright/grader/valve"
)

// drawLadder is a two-pipe system of one to six radiators with direct or
// reverse return: boiler and circulator, mains, and for each radiator a run, a
// valve and the way back. Pipes lose heat. It is 2 °C outdoors, so that water
// that hardly moves does not freeze.
func drawLadder(t *rapid.T) *plan {
	real := func(low, high float64, what string) float64 { return rapid.Float64Range(low, high).Draw(t, what) }
	p := newPlan(true)
	p.Outdoor = 2
	n := rapid.IntRange(1, 6).Draw(t, "radiators")
	reverse := rapid.Bool().Draw(t, "reverse return")
	surface := rapid.SampledFrom([]float64{0, 0.3}).Draw(t, "surface")
	mains := pipe.MustFind("copper-m", rapid.SampledFrom([]string{"3/4", "1", "1-1/4"}).Draw(t, "mains"))
	branch := pipe.MustFind("copper-m", "1/2")
	c := network.Circulator{Curve: pump(t, real(2, 6, "shutoff"), 4e6), Speed: real(0.6, 1, "speed"), Set: 1.5, Rated: 5e-4, Least: 0.3}
	c.Mode = network.Mode(rapid.IntRange(0, 2).Draw(t, "mode"))
	p.add("boiler", "r", "b", network.Source{Loss: square(1e6), Supply: ptr(quantity.Celsius(real(45, 85, "supply"))), Limit: 95})
	p.add("pump", "b", "s0", c)
	for i := 1; i <= n; i++ {
		id := func(s string, i int) string { return fmt.Sprintf("%s%d", s, i) }
		back := id("q", i-1)
		if i == 1 {
			back = "r"
		}
		if reverse {
			// The first radiator's return runs past the last: q1 … qn, and home.
			back = id("q", i+1)
			if i == n {
				back = "r"
			}
		}
		p.add(id("supply", i), id("s", i-1), id("s", i), network.Pipe{Size: mains, Length: real(1, 12, "length"), Surface: surface})
		p.add(id("return", i), id("q", i), back, network.Pipe{Size: mains, Length: real(1, 12, "length"), Surface: surface})
		p.add(id("run", i), id("s", i), id("a", i), network.Pipe{Size: branch, Length: real(1, 12, "length"), K: 6, Surface: surface})
		room := id("room", i)
		if rapid.Bool().Draw(t, "thermostatic") {
			p.add(id("valve", i), id("a", i), id("e", i), network.RadiatorValve{Open: valve.Kv(0.6), Room: room, Set: 20, Band: 2})
		} else {
			p.add(id("valve", i), id("a", i), id("e", i), network.Valve{Open: valve.Kv(0.8), Lift: real(0.2, 1, "lift")})
		}
		p.add(id("panel", i), id("e", i), id("q", i), radiator(t, real(500, 3000, "output"), room, 1e7))
		p.Rooms = append(p.Rooms, network.Room{ID: room, Indoor: 20, Loss: real(20, 60, "loss")})
	}
	return p
}

// requireBalanced computes the balances of a solution again from what it says
// of links, nodes and rooms: mass and enthalpy of each node, heat of each link,
// room, and of the whole.
func requireBalanced(t require.TestingT, p *plan, s *network.Solution) {
	into, mixed, largest := map[string]float64{}, map[string]float64{}, 0.0
	node := map[string]float64{}
	for _, n := range s.Nodes {
		node[n.ID] = float64(n.Temperature)
	}
	given, taken := 0.0, 0.0
	for _, l := range s.Links {
		largest = math.Max(largest, math.Abs(l.Mass))
	}
	for _, l := range s.Links {
		from, to := l.From, l.To
		if l.Mass < 0 {
			from, to = to, from
		}
		into[l.From] -= l.Mass
		into[l.To] += l.Mass
		if math.Abs(l.Mass) < 1e-6*largest {
			continue
		}
		mass := math.Abs(l.Mass)
		// Mixing: what arrives by all links has the node's enthalpy.
		mixed[to] += mass * carried(node[to], float64(l.Out))
		require.InDelta(t, node[from], float64(l.In), 1e-9, "%s is fed by its node", l.ID)
		require.InDelta(t, mass*carried(float64(l.Out), float64(l.In)), l.Heat, 1e-6*math.Abs(l.Heat)+1e-4, "heat of %s", l.ID)
		if l.Heat < 0 {
			given -= l.Heat
		} else {
			taken += l.Heat
		}
	}
	for id, m := range into {
		require.InDelta(t, 0, m, 1e-9*largest, "mass at %s", id)
		require.InDelta(t, 0, mixed[id], 1e-5*given+1e-3, "heat at %s", id)
	}
	require.InEpsilon(t, given, taken, 1e-5, "heat given and taken")
	for i, room := range s.Rooms {
		r := p.Rooms[i]
		require.InDelta(t, r.Loss*float64(room.Temperature-p.Outdoor), room.Heat+r.Gain, 1e-6*room.Heat+1e-3, room.ID)
	}
}

func TestRandomLaddersBalance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawLadder(t)
		requireBalanced(t, p, p.solve(t))
	})
}

// Names, and the order in which things are listed, change nothing.
func TestNamesAndOrderDoNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawLadder(t)
		first := p.solve(t)
		other := &plan{p.System}
		named := func(id string) string { return "x" + strings.ToUpper(id) }
		other.Nodes, other.Links, other.Rooms = nil, nil, nil
		for _, n := range p.Nodes {
			n.ID = named(n.ID)
			other.Nodes = append(other.Nodes, n)
		}
		for _, l := range rapid.Permutation(p.Links).Draw(t, "links") {
			l.ID, l.From, l.To = named(l.ID), named(l.From), named(l.To)
			switch part := l.Part.(type) {
			case network.Radiator:
				part.Room = named(part.Room)
				l.Part = part
			case network.RadiatorValve:
				part.Room = named(part.Room)
				l.Part = part
			}
			other.Links = append(other.Links, l)
		}
		for _, r := range slices.Backward(p.Rooms) {
			r.ID = named(r.ID)
			other.Rooms = append(other.Rooms, r)
		}
		second := other.solve(t)
		requireSame(t, first, second, named, 1e-6, 1e-4)
	})
}

// requireSame compares two solutions: flows relative to the largest,
// temperatures in K.
func requireSame(t require.TestingT, want, got *network.Solution, named func(string) string, flow, kelvin float64) {
	largest := 0.0
	for _, l := range want.Links {
		largest = math.Max(largest, math.Abs(l.Mass))
	}
	for _, l := range want.Links {
		g := link(t, got, named(l.ID))
		require.InDelta(t, l.Mass, g.Mass, flow*largest, l.ID)
		require.InDelta(t, l.Lift, g.Lift, 1e-4, l.ID)
	}
	for _, n := range want.Nodes {
		require.InDelta(t, float64(n.Temperature), degrees(t, got, named(n.ID)), kelvin, n.ID)
	}
	for _, r := range want.Rooms {
		g, ok := got.Room(named(r.ID))
		require.True(t, ok)
		require.InDelta(t, float64(r.Temperature), float64(g.Temperature), kelvin, r.ID)
	}
}

// Equal circuits between the same two points are equal, whatever stands before
// them.
func TestEqualCircuits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 8).Draw(t, "circuits")
		length := rapid.Float64Range(1, 30).Draw(t, "length")
		p := newPlan(true)
		p.add("boiler", "r", "b", network.Source{Loss: square(1e6), Supply: ptr(quantity.Celsius(70)), Limit: 95})
		p.add("pump", "b", "s", network.Circulator{Curve: pump(t, 4, 4e6), Speed: 1})
		for i := range n {
			id := func(s string) string { return fmt.Sprintf("%s%d", s, i) }
			p.add(id("run"), "s", id("a"), network.Pipe{Size: pipe.MustFind("copper-m", "1/2"), Length: length, K: 5, Surface: 0.2})
			p.add(id("valve"), id("a"), id("e"), network.RadiatorValve{Open: valve.Kv(0.6), Room: id("room"), Set: 20, Band: 2})
			p.add(id("panel"), id("e"), "r", radiator(t, 1500, id("room"), 1e7))
			p.Rooms = append(p.Rooms, network.Room{ID: id("room"), Indoor: 20, Loss: 40})
		}
		s := p.solve(t)
		first := link(t, s, "panel0")
		for i := range n {
			l := link(t, s, fmt.Sprintf("panel%d", i))
			require.InEpsilon(t, first.Mass, l.Mass, 1e-5)
			require.InDelta(t, float64(first.Out), float64(l.Out), 1e-4)
			require.InDelta(t, float64(s.Rooms[0].Temperature), float64(s.Rooms[i].Temperature), 1e-5)
		}
	})
}

// With the square law everywhere, a circulator at r times its speed runs r
// times every flow and r² times every head.
func TestAffinity(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		build := func(speed float64, k []float64) *network.Solution {
			p := newPlan(false)
			p.add("pump", "r", "s0", network.Circulator{Curve: circulator6(t), Speed: speed})
			for i := range len(k) / 2 {
				p.add(fmt.Sprint("mains", i), fmt.Sprint("s", i), fmt.Sprint("s", i+1), loss(k[2*i]))
				p.add(fmt.Sprint("circuit", i), fmt.Sprint("s", i+1), "r", loss(k[2*i+1]))
			}
			return p.solve(t)
		}
		k := make([]float64, 2*rapid.IntRange(1, 6).Draw(t, "circuits"))
		for i := range k {
			k[i] = math.Pow(10, rapid.Float64Range(5, 9).Draw(t, "k"))
		}
		r := rapid.Float64Range(0.3, 1).Draw(t, "speed")
		full, slow := build(1, k), build(r, k)
		for i, l := range full.Links {
			require.InDelta(t, r*l.Flow, slow.Links[i].Flow, 1e-5*full.Links[0].Flow, l.ID)
		}
		require.InEpsilon(t, r*r*float64(full.Circulators[0].Head), float64(slow.Circulators[0].Head), 1e-6)
	})
}

// Reverse return with equal circuits and equal mains is its own mirror image:
// circuit i takes what circuit n − 1 − i takes.
func TestReverseReturnIsItsMirrorImage(t *testing.T) {
	for _, n := range []int{2, 5, 8} {
		p := newPlan(false)
		main := network.Pipe{Size: pipe.MustFind("copper-m", "3/4"), Length: 6}
		p.add("pump", "r", "s0", network.Circulator{Curve: circulator6(t), Speed: 1})
		for i := range n {
			p.add(fmt.Sprint("circuit", i), fmt.Sprint("s", i), fmt.Sprint("q", i), loss(4e8))
			if i > 0 {
				p.add(fmt.Sprint("supply", i), fmt.Sprint("s", i-1), fmt.Sprint("s", i), main)
				p.add(fmt.Sprint("return", i), fmt.Sprint("q", i-1), fmt.Sprint("q", i), main)
			}
		}
		p.add("home", fmt.Sprint("q", n-1), "r", loss(1e5))
		s := p.solve(t)
		for i := range n {
			closeto.Relative(t, link(t, s, fmt.Sprint("circuit", i)).Flow, link(t, s, fmt.Sprint("circuit", n-1-i)).Flow, 1e-8, "mirror image")
		}
		if n > 2 {
			require.Less(t, link(t, s, fmt.Sprint("circuit", n/2)).Flow, link(t, s, "circuit0").Flow, "the middle is worst off")
		}
	}
}
