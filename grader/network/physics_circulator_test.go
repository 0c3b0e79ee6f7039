package network_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"loopwright/grader/circulator"
	"loopwright/grader/closeto"
	"loopwright/grader/network"
	"loopwright/grader/pipe"
	"loopwright/grader/quantity"
	"loopwright/grader/valve"
)

// The circulator of these tests: H = 6 − 4e6 Q² at full speed, to 1 L/s and
// 2 m. By the affinity laws H = 6 r² − 4e6 Q² at speed r.
const (
	shutoff6 = 6.0
	fall     = 4e6
)

func circulator6(t require.TestingT) circulator.Curve {
	c, err := circulator.NewCurve(circulator.Point{Head: shutoff6, Power: 40}, circulator.Point{Flow: 1e-3, Head: 2, Power: 90})
	require.NoError(t, err)
	return c
}

// circuit is the circulator on one resistance k.
func circuit(c network.Circulator, k float64) *plan {
	p := newPlan(false)
	p.add("pump", "r", "s", c)
	p.add("circuit", "s", "r", loss(k))
	return p
}

// Held at 3 m: 3 = k Q² where the speed suffices; above the full curve
// 6 = (4e6 + k) Q²; and below the least speed 0.8: 6 × 0.64 = (4e6 + k) Q².
func TestConstantDifference(t *testing.T) {
	c := network.Circulator{Curve: circulator6(t), Speed: 1, Mode: network.ConstantDifference, Set: 3, Least: 0.8}
	for _, row := range []struct {
		name    string
		k, flow float64
		speed   float64
	}{
		// 3 m at √(3/5e6) = 0.7746 L/s: r² = (3 + 4e6 × 6e-7)/6 = 0.9
		{"held", 5e6, math.Sqrt(3 / 5e6), math.Sqrt(0.9)},
		{"full curve", 3e6, math.Sqrt(6 / 7e6), 1},
		{"least speed", 40e6, math.Sqrt(3.84 / 44e6), 0.8},
	} {
		s := circuit(c, row.k).solve(t)
		at := s.Circulators[0]
		closeto.Relative(t, row.flow, at.Flow, 1e-8, row.name+" flow")
		closeto.Relative(t, row.k*row.flow*row.flow, float64(at.Head), 1e-8, row.name+" head")
		closeto.Relative(t, row.speed, at.Speed, 1e-6, row.name+" speed")
		// Power by r³ at the flow Q/r: P = 40 + 50 Q/(1 L/s).
		closeto.Relative(t, math.Pow(row.speed, 3)*(40+50*row.flow/1e-3/row.speed), at.Power, 1e-6, row.name+" power")
		closeto.Relative(t, density(60)*gravity*at.Flow*float64(at.Head)/at.Power, at.Efficiency, 1e-9, row.name+" efficiency")
	}
}

// Proportional: half of 4 m at no flow, 4 m at 0.8 L/s. On k:
//
//	k Q² = 2 + 2 Q/R   →   Q = (1/R + √(1/R² + 2 k))/k
//
// Beyond the rated flow it holds 4 m, as far as its curve goes.
func TestProportionalDifference(t *testing.T) {
	const rated = 8e-4
	c := network.Circulator{Curve: circulator6(t), Speed: 1, Mode: network.ProportionalDifference, Set: 4, Rated: rated}
	for _, k := range []float64{2e7, 1e8, 1e10} {
		s := circuit(c, k).solve(t)
		want := (1/rated + math.Sqrt(1/(rated*rated)+2*k)) / k
		closeto.Relative(t, want, s.Circulators[0].Flow, 1e-6, "flow")
		closeto.Relative(t, 2+2*want/rated, float64(s.Circulators[0].Head), 1e-6, "head")
	}
	// The full curve gives less than the line asks for: 6 = (4e6 + 4e6) Q².
	s := circuit(c, 4e6).solve(t)
	closeto.Relative(t, math.Sqrt(6/8e6), s.Circulators[0].Flow, 1e-8, "on its curve")
	closeto.Relative(t, 1, s.Circulators[0].Speed, 1e-9, "speed")
	// Rated at less flow, it holds 4 m beyond: √(4/1e7) = 0.632 L/s.
	c.Rated = 3e-4
	s = circuit(c, 1e7).solve(t)
	closeto.Relative(t, math.Sqrt(4/1e7), s.Circulators[0].Flow, 1e-6, "beyond the rated flow")
}

// A constant drop of 10 K on a boiler that gives 8000 W: M = Φ/Δh, whatever
// the circuit; and the speed that this takes: 6 r² = (4e6 + k) Q².
func TestConstantDrop(t *testing.T) {
	build := func(drop float64) *plan {
		p := newPlan(true)
		p.add("boiler", "r", "b", network.Source{Loss: square(1e6), Output: 8000, Limit: 110})
		p.add("pump", "b", "s", network.Circulator{Curve: circulator6(t), Speed: 1, Mode: network.ConstantDrop, Drop: quantity.Kelvin(drop), Warm: "s", Cool: "back", Least: 0.2})
		p.add("panel", "s", "back", radiator(t, 9000, "room", 1e7))
		p.add("return", "back", "r", loss(4e6))
		p.Rooms = []network.Room{{ID: "room", Indoor: 20, Loss: 8000.0 / 30}}
		return p
	}
	s := build(10).solve(t)
	warm, cool := degrees(t, s, "s"), degrees(t, s, "back")
	closeto.Absolute(t, 10, warm-cool, 1e-5, "drop")
	closeto.Relative(t, 8000/carried(cool, warm), link(t, s, "panel").Mass, 1e-5, "mass flow")
	closeto.Absolute(t, 20, float64(s.Rooms[0].Temperature), 1e-4, "room: −10 + 30")
	flow := s.Circulators[0].Flow
	// Pressures, by each part's density: the boiler and the radiator at their mean.
	hot, back := density(warm), density(cool)
	mean := density((warm + cool) / 2)
	mass := flow * hot
	head := mass * mass * (1e6/mean + 1e7/mean + 4e6/back) / hot
	closeto.Relative(t, head, float64(s.Circulators[0].Head), 1e-5, "head")
	closeto.Relative(t, math.Sqrt((head+fall*flow*flow)/shutoff6), s.Circulators[0].Speed, 1e-5, "speed")
	// A drop too small for it: full speed, and the drop that this gives.
	s = build(2).solve(t)
	closeto.Relative(t, 1, s.Circulators[0].Speed, 1e-9, "full speed")
	require.Greater(t, degrees(t, s, "s")-degrees(t, s, "back"), 2.0)
	// One too large: its least speed.
	s = build(60).solve(t)
	closeto.Relative(t, 0.2, s.Circulators[0].Speed, 1e-9, "least speed")
	require.Less(t, degrees(t, s, "s")-degrees(t, s, "back"), 60.0)
}

// A constant drop before two thermostatic valves: the drop is held, and each
// lift is the one of its room.
func TestConstantDropWithThermostaticValves(t *testing.T) {
	p := newPlan(true)
	p.Outdoor = 2
	mains, branch := pipe.MustFind("copper-m", "3/4"), pipe.MustFind("copper-m", "1/2")
	p.add("boiler", "r", "b", network.Source{Loss: square(1e6), Supply: ptr(quantity.Celsius(45)), Limit: 95})
	p.add("pump", "b", "s0", network.Circulator{Curve: pump(t, 2, 4e6), Speed: 1, Mode: network.ConstantDrop, Drop: 8, Warm: "s0", Cool: "r", Least: 0.3})
	for _, way := range []struct {
		n, before, back string
		output, loses   float64
	}{{"1", "s0", "r", 3000, 60}, {"2", "s1", "q1", 1172.96875, 20}} {
		p.add("supply"+way.n, way.before, "s"+way.n, network.Pipe{Size: mains, Length: 1})
		p.add("return"+way.n, "q"+way.n, way.back, network.Pipe{Size: mains, Length: 1})
		p.add("run"+way.n, "s"+way.n, "a"+way.n, network.Pipe{Size: branch, Length: 1, K: 6})
		p.add("valve"+way.n, "a"+way.n, "e"+way.n, network.RadiatorValve{Open: valve.Kv(0.6), Room: "room" + way.n, Set: 20, Band: 2})
		p.add("panel"+way.n, "e"+way.n, "q"+way.n, radiator(t, way.output, "room"+way.n, 1e7))
		p.Rooms = append(p.Rooms, network.Room{ID: "room" + way.n, Indoor: 20, Loss: way.loses})
	}
	s := p.solve(t)
	requireBalanced(t, p, s)
	speed, drop := s.Circulators[0].Speed, degrees(t, s, "s0")-degrees(t, s, "r")
	// The drop, or an end of the speed: slower would cool more, faster less.
	require.True(t, math.Abs(drop-8) < 1e-4 || speed > 0.999999 && drop > 8 || speed < 0.300001 && drop < 8, "%v K at speed %v", drop, speed)
	for _, room := range s.Rooms {
		want := math.Min(math.Max(0.5+(20-float64(room.Temperature))/2, 0), 1)
		closeto.Absolute(t, want, link(t, s, "valve"+room.ID[4:]).Lift, 1e-5, room.ID)
	}
}

// Two equal circulators: in series each gives its head at the whole flow, side
// by side at half of it.
func TestTwoCirculators(t *testing.T) {
	c := network.Circulator{Curve: circulator6(t), Speed: 1}
	p := newPlan(false)
	p.add("first", "r", "m", c)
	p.add("second", "m", "s", c)
	p.add("circuit", "s", "r", loss(3e7))
	s := p.solve(t)
	closeto.Relative(t, math.Sqrt(12/(2*fall+3e7)), link(t, s, "circuit").Flow, 1e-8, "in series")
	p = newPlan(false)
	c.Check = true
	p.add("first", "r", "s", c)
	p.add("second", "r", "s", c)
	p.add("circuit", "s", "r", loss(3e6))
	s = p.solve(t)
	closeto.Relative(t, math.Sqrt(6/(fall/4+3e6)), link(t, s, "circuit").Flow, 1e-8, "side by side")
	closeto.Relative(t, s.Circulators[0].Flow, s.Circulators[1].Flow, 1e-8, "shares")
	// One stands: its check valve holds, and nothing runs back through it.
	require.Equal(t, "second", p.Links[1].ID)
	c.Speed = 0
	p.Links[1].Part = c
	s = p.solve(t)
	require.Zero(t, link(t, s, "second").Flow)
	require.True(t, link(t, s, "second").Shut)
	closeto.Relative(t, math.Sqrt(6/(fall+3e6)), link(t, s, "circuit").Flow, 1e-8, "one alone")
	// Without a check valve, water runs back through the standing one.
	c.Check = false
	p.Links[1].Part = c
	s = p.solve(t)
	require.Negative(t, link(t, s, "second").Flow)
}
