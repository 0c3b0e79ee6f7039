package network_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"loopwright/grader/closeto"
	"loopwright/grader/network"
	"loopwright/grader/pipe"
	"loopwright/grader/quantity"
	"loopwright/grader/valve"
)

// warned lists the concerns of a solution as "concern at".
func warned(s *network.Solution) []string {
	list := []string{}
	for _, w := range s.Warnings {
		list = append(list, string(w.Concern)+" "+w.At)
	}
	return list
}

// through lets a flow run through one pipe.
func through(size pipe.Size, flow, length float64) *plan {
	p := newPlan(false)
	*p.node("in") = network.Node{ID: "in", Inflow: flow}
	p.add("pipe", "in", "r", network.Pipe{Size: size, Length: length})
	return p
}

// 4 ft/s is 1.2192 m/s: a hundredth above it there is a warning, a hundredth
// below there is none. In larger pipe the loss counts, 4 m in 100 m.
func TestWarnsOfFastWater(t *testing.T) {
	half := pipe.MustFind("copper-m", "1/2")
	area := math.Pi / 4 * math.Pow(0.569*0.0254, 2) // ASTM B88, bore 0.569 in
	for _, row := range []struct {
		velocity float64
		want     []string
	}{{1.2192 * 1.01, []string{"too-fast pipe"}}, {1.2192 * 0.99, []string{}}} {
		s := through(half, row.velocity*area, 10).solve(t)
		closeto.Relative(t, row.velocity, link(t, s, "pipe").Velocity, 1e-4, "velocity")
		require.Equal(t, row.want, warned(s))
	}
	three := pipe.MustFind("steel-sch40", "3")
	steep := zero(1e-3, 0.1, func(flow float64) float64 {
		return float64(link(t, through(three, flow, 10).solve(t), "pipe").HeadLoss)/10 - 0.04
	})
	require.Equal(t, []string{"too-steep pipe"}, warned(through(three, steep*1.01, 10).solve(t)))
	require.Empty(t, warned(through(three, steep*0.99, 10).solve(t)))
}

// Water of 60 °C, 983.2 kg/m³, held at 120 kPa: at rest 13 m above there are
// 120 − 983.2 × 9.80665 × 13/1000 = −5.3 kPa, a vacuum; at 12 m 4.3 kPa. At 21 m
// there would be −82.5 kPa, 18.8 kPa absolute, and it boils at 19.9 (IAPWS
// R7-97).
func TestWarnsOfVacuum(t *testing.T) {
	for _, row := range []struct {
		height float64
		want   []string
	}{{12, []string{}}, {13, []string{"vacuum top"}}, {21, []string{"vacuum top", "boiling top"}}} {
		p := newPlan(false)
		*p.node("r").Hold = 120e3
		p.node("top").Elevation = row.height
		// Next to no flow: the pressure at rest.
		p.add("pump", "r", "s", network.Circulator{Curve: pump(t, 0.01, 1e7), Speed: 1})
		p.add("up", "s", "top", loss(1e6))
		p.add("down", "top", "r", loss(1e6))
		s := p.solve(t)
		require.Equal(t, row.want, warned(s))
		top, _ := s.Node("top")
		closeto.Absolute(t, 120e3-density(60)*gravity*row.height, float64(top.Pressure), 100, "pressure at the top")
	}
}

// The suction of a circulator in water of 95 °C, which boils at 84.6 kPa
// absolute (IAPWS R7-97, saturation): held at 0 kPa gauge it has 101.3 − 84.6 =
// 16.7 kPa, less than the 20 that are customary; at 10 kPa it has enough.
func TestWarnsOfShortSuction(t *testing.T) {
	build := func(held float64) *network.Solution {
		p := circuit(network.Circulator{Curve: circulator6(t), Speed: 1}, 3e7)
		p.Water = 95
		*p.node("r").Hold = quantity.Pascal(held)
		return p.solve(t)
	}
	s := build(0)
	require.Equal(t, []string{"short-suction pump"}, warned(s))
	closeto.Absolute(t, 16.7e3, float64(s.Circulators[0].Margin), 100, "margin")
	closeto.Absolute(t, 0, float64(s.Circulators[0].Suction), 1, "suction")
	require.Empty(t, warned(build(10e3)))
}

// A circulator that runs off the end of its curve (1 L/s, at 2 m: a circuit of
// less than 2e6), or against shut ways.
func TestWarnsOfCirculator(t *testing.T) {
	c := network.Circulator{Curve: circulator6(t), Speed: 1}
	require.Equal(t, []string{"off-curve pump"}, warned(circuit(c, 1.9e6).solve(t)))
	require.Empty(t, warned(circuit(c, 2.1e6).solve(t)))
	// 1 % of the curve's end: 6 m/(1e-5)² = 6e10.
	require.Equal(t, []string{"deadheaded pump"}, warned(circuit(c, 7e10).solve(t)))
	require.Empty(t, warned(circuit(c, 5e10).solve(t)))
	// Two against each other: the weaker one is driven backward.
	p := newPlan(false)
	p.add("strong", "r", "s", c)
	p.add("weak", "r", "s", network.Circulator{Curve: pump(t, 1, 1e6), Speed: 1})
	p.add("circuit", "s", "r", loss(1e8))
	require.Subset(t, warned(p.solve(t)), []string{"reversed weak"})
}

// A radiator that is connected the wrong way round.
func TestWarnsOfReversedWater(t *testing.T) {
	p := newPlan(true)
	p.add("boiler", "r", "b", network.Source{Loss: square(1e6), Supply: ptr(quantity.Celsius(70)), Limit: 95})
	p.add("pump", "b", "s", network.Circulator{Curve: pump(t, 4, 1e7), Speed: 1})
	p.add("panel", "q", "s", radiator(t, 2000, "room", 1e7))
	p.add("valve", "q", "r", network.Valve{Open: valve.Kv(3), Lift: 1})
	p.Rooms = []network.Room{{ID: "room", Indoor: 20}}
	s := p.solve(t)
	require.Equal(t, []string{"reversed panel"}, warned(s))
	// It heats all the same: the water is warm whichever way it runs.
	closeto.Absolute(t, leaves(2000, -link(t, s, "panel").Mass, 70, 20), float64(link(t, s, "panel").Out), 2e-3, "return")
}

// rested is a boiler, a circulator, a radiator and a valve in one loop, with
// some of them shut. With another, water runs in a second loop from r to r.
func rested(t *testing.T, temperatures, another bool, shut ...string) *network.Solution {
	p := newPlan(temperatures)
	if another {
		p.add("other pump", "r", "x", network.Circulator{Curve: circulator6(t), Speed: 1})
		p.add("other", "x", "r", loss(1e7))
	}
	p.add("boiler", "r", "b", network.Source{Loss: square(1e6), Supply: ptr(quantity.Celsius(70)), Limit: 95})
	p.add("pump", "b", "s", network.Circulator{Curve: circulator6(t), Speed: 1})
	p.add("panel", "s", "q", radiator(t, 2000, "room", 1e7))
	p.add("valve", "q", "r", network.Valve{Open: valve.Kv(3), Lift: 1})
	p.Rooms = []network.Room{{ID: "room", Indoor: 20}}
	for i := range p.Links {
		p.Links[i].Shut = slices.Contains(shut, p.Links[i].ID)
	}
	return p.solve(t)
}

// The way of one of two circulators is shut: it gives its head at no flow.
func TestOneWayShut(t *testing.T) {
	for _, temperatures := range []bool{false, true} {
		s := rested(t, temperatures, true, "valve")
		require.Contains(t, warned(s), "deadheaded pump")
		require.NotContains(t, warned(s), "deadheaded other pump")
		closeto.Absolute(t, 0, s.Circulators[1].Flow, 1e-12, "flow")
		closeto.Relative(t, shutoff6, float64(s.Circulators[1].Head), 1e-6, "head at no flow")
		require.Equal(t, temperatures, slices.Contains(warned(s), "no-flow boiler"))
	}
}

// The only way of the only circulator is shut, so that nothing at all moves: it
// gives its head at no flow.
func TestOnlyWayShut(t *testing.T) {
	p := newPlan(false)
	p.add("pump", "r", "s", network.Circulator{Curve: circulator6(t), Speed: 1})
	p.add("valve", "s", "r", network.Valve{Open: valve.Kv(2), Lift: 0})
	s := p.solve(t)
	require.Equal(t, []string{"deadheaded pump"}, warned(s))
	closeto.Relative(t, shutoff6, float64(s.Circulators[0].Head), 1e-6, "head at no flow")
	for _, temperatures := range []bool{false, true} {
		for _, shut := range [][]string{{"valve"}, {"panel"}, {"boiler"}, {"valve", "boiler"}, {"panel", "boiler"}} {
			s := rested(t, temperatures, false, shut...)
			require.Contains(t, warned(s), "deadheaded pump")
			closeto.Absolute(t, 0, s.Circulators[0].Flow, 1e-12, "flow")
			closeto.Relative(t, shutoff6, float64(s.Circulators[0].Head), 1e-6, "head at no flow")
			require.Equal(t, temperatures, slices.Contains(warned(s), "no-flow boiler"))
		}
	}
}

// Every circulator stands: nothing moves, also not round two links that lose
// next to nothing.
func TestAllCirculatorsStand(t *testing.T) {
	p := newPlan(false)
	stand := network.Circulator{Curve: circulator6(t)}
	p.add("boiler pump", "r", "A", stand)
	p.add("common", "A", "B", network.Free)
	p.add("there", "A", "C", network.Free)
	p.add("and back", "C", "B", network.Free)
	p.add("return", "B", "r", loss(1e7))
	p.add("heating pump", "A", "h", stand)
	p.add("heating", "h", "B", loss(1e7))
	for _, l := range p.solve(t).Links {
		closeto.Absolute(t, 0, l.Flow, 1e-9, l.ID)
	}
}

// A part that shut links cut off from where the pressure is held.
func TestWarnsOfCutOffPart(t *testing.T) {
	for _, temperatures := range []bool{false, true} {
		s := rested(t, temperatures, true, "valve", "boiler")
		require.Subset(t, warned(s), []string{"cut-off b", "cut-off s", "cut-off q"})
		s = rested(t, temperatures, true, "valve", "pump")
		require.Subset(t, warned(s), []string{"cut-off s", "cut-off q"})
		require.NotContains(t, warned(s), "cut-off b")
		require.Equal(t, temperatures, slices.Contains(warned(s), "no-flow boiler"))
	}
}

// What cannot work whatever is opened is refused, and the error names the part.
func TestTopologyErrors(t *testing.T) {
	c := network.Circulator{Curve: circulator6(t), Speed: 1}
	sound := func() *plan {
		p := newPlan(true)
		p.add("boiler", "r", "b", network.Source{Loss: square(1e6), Supply: ptr(quantity.Celsius(70)), Limit: 95})
		p.add("pump", "b", "s", c)
		p.add("panel", "s", "r", radiator(t, 2000, "room", 1e7))
		p.Rooms = []network.Room{{ID: "room", Indoor: 20}}
		return p
	}
	sound().solve(t)
	way := func(valve, node string) network.Mixer {
		return network.Mixer{Open: 1e-6, Valve: valve, Mixed: ptr(quantity.Celsius(40)), Node: node}
	}
	for _, row := range []struct {
		name, want string
		reported   string
		spoil      func(p *plan)
	}{
		{"no pressure", "r", "", func(p *plan) { p.Nodes[0].Hold = nil }},
		{"second part", "far", "", func(p *plan) {
			p.add("far pump", "far", "out", c)
			p.add("far pipe", "out", "far", loss(1e6))
		}},
		{"nothing drives", "s", "", func(p *plan) { p.Links[1].Part = loss(1e6) }},
		{"circulator without a path", "lone", "", func(p *plan) { p.add("lone", "s", "end", c) }},
		{"dead radiator", "stub", "", func(p *plan) { p.add("stub", "s", "end", radiator(t, 500, "room", 1e7)) }},
		{"link to itself", "ring", "", func(p *plan) { p.add("ring", "s", "s", loss(1e6)) }},
		{"link twice", "pump", "", func(p *plan) { p.add("pump", "s", "r", loss(1e6)) }},
		{"node twice", "r", "", func(p *plan) { p.Nodes = append(p.Nodes, p.Nodes[0]) }},
		{"node without a link", "island", "", func(p *plan) { p.node("island") }},
		{"no such room", "attic", "", func(p *plan) { p.Links[2].Part = radiator(t, 500, "attic", 1e7) }},
		{"no such room of a valve", "attic", "", func(p *plan) { p.add("valve", "s", "r", network.RadiatorValve{Open: 1e-6, Room: "attic"}) }},
		{"no such node for a drop", "nowhere", "", func(p *plan) {
			p.Links[1].Part = network.Circulator{Curve: c.Curve, Speed: 1, Mode: network.ConstantDrop, Drop: 10, Warm: "s", Cool: "nowhere"}
		}},
		{"no such node for a mixing valve", "nowhere", "the valve then holds the temperature of the first node", func(p *plan) {
			p.add("cool", "r", "s", way("v", "nowhere"))
		}},
		{"room twice", "room", "the last one counts, the first keeps its design temperature", func(p *plan) { p.Rooms = append(p.Rooms, p.Rooms[0]) }},
		{"no links", "links", "", func(p *plan) { p.Links, p.Nodes = nil, nil }},
	} {
		t.Run(row.name, func(t *testing.T) {
			p := sound()
			row.spoil(p)
			_, err := network.Prepare(&p.System)
			var topology *network.TopologyError
			require.ErrorAs(t, err, &topology)
			named := false
			for _, problem := range topology.Problems {
				named = named || strings.Contains(problem, row.want)
			}
			require.True(t, named, "%q is named in %q", row.want, topology.Problems)
		})
	}
}
