package network_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"loopwright/grader/closeto"
	"loopwright/grader/network"
	"loopwright/grader/quantity"
	"loopwright/grader/valve"
)

// between holds a difference (m of water of 60 °C) over some links in a row,
// each leading on from the one before, without temperatures.
func between(difference float64, parts ...network.Part) *plan {
	p := newPlan(false)
	*p.node("high") = network.Node{ID: "high", Hold: ptr(quantity.Pascal(150e3 + difference*density(60)*gravity))}
	at := "high"
	for i, part := range parts {
		to := string(rune('a' + i))
		if i == len(parts)-1 {
			to = "r"
		}
		p.add(to+" link", at, to, part)
		at = to
	}
	return p
}

// kv is the k of h = k Q² of a flow coefficient in m³/h at 1 bar, in water: by
// the definition, 1 bar of water of 999.1 kg/m³ drives Kv m³/h.
func kv(c float64) float64 { return 1e5 / (999.1 * gravity) / math.Pow(c/3600, 2) }

// A limiter holds its flow while the difference across it is within its range;
// below it stands wide open, above it what is narrowest is left.
func TestLimiter(t *testing.T) {
	const flow, from, to = 2e-4, 1.0, 8.0
	for _, row := range []struct{ difference, want float64 }{
		{0.25, flow / 2}, // a quarter of the head: half the flow
		{1, flow}, {2, flow}, {5, flow}, {7.9, flow},
		{32, 2 * flow}, // four times the most
	} {
		s := between(row.difference, network.Limiter{Flow: flow, From: from, To: to}).solve(t)
		closeto.Relative(t, row.want, link(t, s, "r link").Flow, 1.1e-4, "flow")
	}
	// In series with k Q² it takes what is left: 6 − 5e7 × 4e-8 = 4 m.
	s := between(6, loss(5e7), network.Limiter{Flow: flow, From: from, To: to}).solve(t)
	closeto.Relative(t, 4, float64(link(t, s, "r link").HeadLoss), 1e-3, "left for the limiter")
}

// A bypass: shut below its set point, half open at set + band/2, where the flow
// is half of what the open valve would pass at that difference, and wide open
// from set + band on.
func TestBypass(t *testing.T) {
	const set, band = 2.0, 1.0
	open := kv(2.5)
	for _, row := range []struct{ difference, lift float64 }{
		{-3, 0}, {1.9, 0}, {2.25, 0.25}, {2.5, 0.5}, {2.9, 0.9}, {3, 1}, {4, 1},
	} {
		s := between(row.difference, network.Bypass{Open: valve.Kv(2.5), Set: set, Band: band}).solve(t)
		l := link(t, s, "r link")
		closeto.Absolute(t, row.lift*math.Sqrt(math.Max(row.difference, 0)/open), l.Flow, 1e-9, "flow")
		closeto.Absolute(t, row.lift, l.Lift, 1e-6, "lift")
		require.Equal(t, row.lift == 0, l.Shut)
	}
}

// The same with hot water: what opens it is a pressure, and 2.5 m of the
// reference's water are half of its band.
func TestBypassWithHotWater(t *testing.T) {
	p := between(2.5, network.Bypass{Open: valve.Kv(2.5), Set: 2, Band: 1})
	p.Temperatures = true
	p.node("high").Enters = 95
	l := link(t, p.solve(t), "r link")
	own := 2.5 * density(60) / density(95) // m of its own water
	closeto.Relative(t, own, float64(l.HeadLoss), 1e-6, "difference in its own water")
	closeto.Relative(t, 0.5*math.Sqrt(own/kv(2.5)), l.Flow, 1e-6, "flow")
	t.Run("lift", func(t *testing.T) {
		closeto.Absolute(t, 0.5, l.Lift, 1e-6, "lift")
	})
}

// A check valve passes nothing back; forward its spring takes 0.4 m.
func TestCheck(t *testing.T) {
	check := network.Check{Open: valve.Kv(3), Opens: 0.4}
	for _, row := range []struct{ difference, want float64 }{{-5, 0}, {0.3, 0}, {1.4, math.Sqrt(1 / kv(3))}} {
		l := link(t, between(row.difference, check).solve(t), "r link")
		closeto.Absolute(t, row.want, l.Flow, 1e-10, "flow")
		require.Equal(t, row.want == 0, l.Shut)
	}
}

// Valves by lift, plugged and locked: Kv 4 at a lift of 1/2 is Kv 2 with a
// straight characteristic, and 4 × 50^(−1/2) with equal percentage; a link of
// which a quarter is plugged passes three quarters at the same head; a lock of
// air takes its head first.
func TestValveAndFaults(t *testing.T) {
	equal, err := valve.EqualPercentage(50)
	require.NoError(t, err)
	flow := func(p *plan) float64 { return link(t, p.solve(t), "r link").Flow }
	closeto.Relative(t, math.Sqrt(2/kv(2)), flow(between(2, network.Valve{Open: valve.Kv(4), Lift: 0.5})), 1e-9, "straight")
	closeto.Relative(t, math.Sqrt(2/kv(4/math.Sqrt(50))), flow(between(2, network.Valve{Open: valve.Kv(4), Lift: 0.5, Characteristic: &equal})), 1e-9, "equal percentage")
	plugged := between(2, loss(1e7))
	plugged.Links[0].Plugged = 0.25
	closeto.Relative(t, 0.75*math.Sqrt(2/1e7), flow(plugged), 1e-9, "plugged")
	for _, row := range []struct{ lock, want float64 }{{0.5, math.Sqrt(1.5 / 1e7)}, {2.5, 0}} {
		locked := between(2, loss(1e7))
		locked.Links[0].Lock = row.lock
		closeto.Absolute(t, row.want, flow(locked), 3e-8, "locked")
	}
}

// warmed is a room on its own thermostatic valve: it loses 40 W/K to −10 °C.
type warmed struct {
	id           string
	output, gain float64 // W: of its radiator, of the sun
}

func thermostatic(t *testing.T, rooms ...warmed) *network.Solution {
	const set, band = 20.0, 2.0
	p := newPlan(true)
	p.add("boiler", "r", "b", network.Source{Loss: square(1e6), Supply: ptr(quantity.Celsius(70)), Limit: 95})
	p.add("pump", "b", "s", network.Circulator{Curve: pump(t, 3, 2e6), Speed: 1})
	for _, room := range rooms {
		p.add(room.id+" valve", "s", room.id+" in", network.RadiatorValve{Open: valve.Kv(0.6), Room: room.id, Set: set, Band: band})
		p.add(room.id+" panel", room.id+" in", "r", radiator(t, room.output, room.id, 1e8))
		p.Rooms = append(p.Rooms, network.Room{ID: room.id, Indoor: 20, Loss: 40, Gain: room.gain})
	}
	s := p.solve(t)
	for i, room := range s.Rooms {
		v := link(t, s, room.ID+" valve")
		want := math.Min(math.Max(0.5+(set-float64(room.Temperature))/band, 0), 1)
		closeto.Absolute(t, want, v.Lift, 1e-5, room.ID)
		if v.Lift > 0 {
			closeto.Relative(t, kv(0.6*v.Lift)*v.Flow*v.Flow, float64(v.HeadLoss), 1e-6, room.ID+" head")
		} else {
			require.Zero(t, v.Flow)
		}
		closeto.Relative(t, 40*(float64(room.Temperature)+10), room.Heat+rooms[i].gain, 1e-6, room.ID+" heat")
	}
	return s
}

// A thermostatic valve stands half open at its set point, shut half a band
// above it: lift = 0.5 + (set − T)/band, from 0 to 1; it passes by its lift,
// h = (Q/(lift Kv))²; and the room's heat is its loss.
func TestThermostaticValve(t *testing.T) {
	s := thermostatic(t, warmed{"even", 2500, 0}, warmed{"cold", 700, 0}, warmed{"mild", 2000, 500})
	require.Equal(t, 1.0, link(t, s, "cold valve").Lift, "its radiator is too small")
}

// The sun warms a room above the band: −10 °C + 1500 W / 40 W/K = 27.5 °C. Its
// valve shuts, with or without other rooms.
func TestThermostaticValveShuts(t *testing.T) {
	for _, others := range [][]warmed{nil, {{"even", 2500, 0}, {"cold", 700, 0}}} {
		s := thermostatic(t, append([]warmed{{"sunny", 2500, 1500}}, others...)...)
		require.Zero(t, link(t, s, "sunny valve").Lift)
		closeto.Absolute(t, 27.5, float64(s.Rooms[0].Temperature), 1e-6, "sunny room")
	}
}

// mixing is hot boiler water and cool return water before a circulator and a
// radiator, by a valve that holds a temperature.
func mixing(t *testing.T, mixed, loses float64) *plan {
	p := newPlan(true)
	p.add("boiler", "r", "b", network.Source{Loss: square(1e6), Supply: ptr(quantity.Celsius(70)), Limit: 95})
	p.add("hot way", "b", "mix", network.Mixer{Open: valve.Kv(4), Hot: true, Valve: "v", Lift: 0.5, Mixed: ptr(quantity.Celsius(mixed)), Node: "mix"})
	p.add("cool way", "back", "mix", network.Mixer{Open: valve.Kv(4), Valve: "v", Lift: 0.5, Mixed: ptr(quantity.Celsius(mixed)), Node: "mix"})
	p.add("pump", "mix", "s", network.Circulator{Curve: pump(t, 4, 1e7), Speed: 1})
	p.add("panel", "s", "back", radiator(t, 6000, "room", 5e6))
	p.add("return", "back", "r", loss(1e6))
	p.Rooms = []network.Room{{ID: "room", Indoor: 20, Loss: loses}}
	return p
}

// A mixing valve: the hot share follows from enthalpy, h(40) = x h(hot) +
// (1 − x) h(return).
func TestMixingValve(t *testing.T) {
	s := mixing(t, 40, 0).solve(t)
	closeto.Absolute(t, 40, degrees(t, s, "mix"), 1e-5, "mixed")
	back := degrees(t, s, "back")
	hot, all := link(t, s, "hot way").Mass, link(t, s, "panel").Mass
	closeto.Relative(t, carried(back, 40)/carried(back, 70), hot/all, 1e-4, "hot share")
	closeto.Absolute(t, leaves(6000, all, 40, 20), back, 2e-3, "out of the radiator")
	// Both ways share the stem.
	closeto.Relative(t, 1, link(t, s, "hot way").Lift+link(t, s, "cool way").Lift, 1e-9, "lifts")
	// Hotter than the boiler: all hot, as it cannot do better.
	s = mixing(t, 80, 0).solve(t)
	closeto.Absolute(t, 70, degrees(t, s, "mix"), 1e-6, "all hot")
	require.Zero(t, link(t, s, "cool way").Flow)
}

// A mixing valve to 40 °C before radiators of a room that loses 60 W/K to
// −10 °C: heat of the radiator is the room's loss.
func TestMixingValveInWinter(t *testing.T) {
	s := mixing(t, 40, 60).solve(t)
	closeto.Absolute(t, 40, degrees(t, s, "mix"), 1e-5, "mixed")
	closeto.Relative(t, 60*(float64(s.Rooms[0].Temperature)+10), link(t, s, "panel").Heat, 1e-6, "heat")
}
