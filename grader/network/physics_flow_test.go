package network_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"loopwright/grader/closeto"
	"loopwright/grader/fluid"
	"loopwright/grader/network"
	"loopwright/grader/pipe"
	"loopwright/grader/quantity"
)

// Water of 80 °C runs through 50 m of pipe that loses U = 0.4 W/(m K) to air of
// 10 °C. In each meter it loses U (T − T_air): with one specific heat that is
//
//	T_out = T_air + (T_in − T_air) e^(−U L/(M cp))
//
// and with water's own it is stepped along the pipe here. M = 0.02 kg/s.
func TestPipeLosesHeat(t *testing.T) {
	const u, length, air, in = 0.4, 50.0, 10.0, 80.0
	mass := 0.02
	p := newPlan(true)
	p.Air = air
	*p.node("in") = network.Node{ID: "in", Inflow: mass / density(60), Enters: in}
	p.add("pipe", "in", "r", network.Pipe{Size: pipe.MustFind("copper-m", "3/4"), Length: length, Surface: u})
	s := p.solve(t)
	w, err := fluid.Water(77)
	require.NoError(t, err)
	plain := air + (in-air)*math.Exp(-u*length/(mass*w.SpecificHeat))
	closeto.Absolute(t, plain, degrees(t, s, "r"), 1e-3*(in-plain), "by the exponential law")
	stepped := in
	const steps = 20000
	for range steps {
		w, err := fluid.Water(quantity.Celsius(stepped))
		require.NoError(t, err)
		stepped -= u * length / steps * (stepped - air) / (mass * w.SpecificHeat)
	}
	// The specific heat at the inlet stands for all of the pipe: 0.1 % here.
	closeto.Absolute(t, stepped, degrees(t, s, "r"), 1e-3*(in-stepped), "stepped along the pipe")
	closeto.Relative(t, mass*carried(degrees(t, s, "r"), in), link(t, s, "pipe").Heat, 1e-6, "heat")
}

// natural is a boiler at the bottom and a radiator 5 m above it. The cool water
// in the downcomer weighs more than the hot water in the riser; at rest that
// head is lost again to friction, with what a standing circulator adds to it:
//
//	(ρ_cool − ρ_hot) g H = g M² (k_r/ρ_hot + k_b/ρ_mean + k_e/ρ_mean + k_d/ρ_cool)
func natural(t require.TestingT, standing float64) (p *plan, mass, back float64) {
	const height, supply, output, k = 5.0, 80.0, 2000.0, 2e6
	p = newPlan(true)
	p.Buoyancy = true
	for _, id := range []string{"top in", "top out"} {
		p.node(id).Elevation = height
	}
	p.add("boiler", "r", "b", network.Source{Loss: square(k), Supply: ptr(quantity.Celsius(supply)), Limit: 95})
	foot := "b"
	if standing > 0 {
		foot = "s"
		p.add("pump", "b", foot, network.Circulator{Curve: pump(t, 1, standing), Speed: 1})
	}
	p.add("riser", foot, "top in", loss(k))
	p.add("panel", "top in", "top out", radiator(t, output, "room", k))
	p.add("downcomer", "top out", "r", loss(k))
	p.Rooms = []network.Room{{ID: "room", Indoor: 20}}
	hot := density(supply)
	mass = zero(1e-4, 1, func(mass float64) float64 {
		back = leaves(output, mass, supply, 20)
		cool, mean := density(back), density((supply+back)/2)
		return mass*mass*(k*(1/hot+2/mean+1/cool)+standing/hot) - (cool-hot)*height
	})
	return p, mass, back
}

// Natural circulation without a circulator.
func TestNaturalCirculation(t *testing.T) {
	p, mass, back := natural(t, 0)
	m, err := network.Prepare(&p.System)
	require.NoError(t, err, "a boiler and buoyancy may drive it")
	t.Run("starts", func(t *testing.T) {
		s, err := m.Solve()
		require.NoError(t, err)
		closeto.Relative(t, mass, link(t, s, "riser").Mass, 1e-5, "mass flow")
		closeto.Absolute(t, back, degrees(t, s, "r"), 2e-3, "return")
	})
	// Without buoyancy nothing drives it at all.
	p.Buoyancy = false
	_, err = network.Prepare(&p.System)
	var topology *network.TopologyError
	require.ErrorAs(t, err, &topology)
}

// Natural circulation goes on after the circulator stops. Its curve is
// H₀ − c Q², so at rest it resists by c Q².
func TestNaturalCirculationGoesOn(t *testing.T) {
	p, mass, back := natural(t, 3e6)
	m, err := network.Prepare(&p.System)
	require.NoError(t, err)
	s, err := m.Solve()
	require.NoError(t, err)
	require.Greater(t, link(t, s, "riser").Mass, 1.5*mass)
	require.NoError(t, m.Change("pump", func(l *network.Link) {
		c := l.Part.(network.Circulator)
		c.Speed = 0
		l.Part = c
	}))
	s, err = m.Solve()
	require.NoError(t, err)
	closeto.Relative(t, mass, link(t, s, "riser").Mass, 1e-5, "mass flow")
	closeto.Absolute(t, back, degrees(t, s, "r"), 2e-3, "return")
}

// With a circulator, buoyancy helps a riser of hot water by (ρ_cool − ρ_hot) H:
// the same balance with the circulator's ρ (H₀ − c M²/ρ²) on the driving side.
func TestBuoyancyHelpsCirculator(t *testing.T) {
	const height, supply, output, k, shutoff, c = 8.0, 75.0, 4000.0, 4e6, 0.3, 1e6
	p := newPlan(true)
	p.Buoyancy = true
	for _, id := range []string{"top in", "top out"} {
		p.node(id).Elevation = height
	}
	p.add("boiler", "r", "b", network.Source{Supply: ptr(quantity.Celsius(supply)), Loss: square(k), Limit: 95})
	p.add("pump", "b", "s", network.Circulator{Curve: pump(t, shutoff, c), Speed: 1})
	p.add("riser", "s", "top in", loss(k))
	p.add("panel", "top in", "top out", radiator(t, output, "room", k))
	p.add("downcomer", "top out", "r", loss(k))
	p.Rooms = []network.Room{{ID: "room", Indoor: 20}}
	s := p.solve(t)
	hot, back := density(supply), 0.0
	mass := zero(1e-4, 1, func(mass float64) float64 {
		back = leaves(output, mass, supply, 20)
		cool, mean := density(back), density((supply+back)/2)
		return mass*mass*(k*(1/hot+2/mean+1/cool)+c/hot) - (cool-hot)*height - hot*shutoff
	})
	closeto.Relative(t, mass, link(t, s, "riser").Mass, 1e-5, "mass flow")
	closeto.Relative(t, shutoff-c*mass*mass/(hot*hot), float64(s.Circulators[0].Head), 1e-5, "head")
	closeto.Relative(t, k*mass*mass/(hot*hot), float64(link(t, s, "riser").HeadLoss), 1e-5, "friction alone, without the weight")
	// Standing pressure: 8 m higher in hot water, less the friction of the
	// riser, plus what the circulator adds and less what the boiler takes.
	mean := density((supply + back) / 2)
	top, _ := s.Node("top in")
	want := 150e3 + gravity*(-k*mass*mass/mean+hot*shutoff-c*mass*mass/hot-k*mass*mass/hot-hot*height)
	closeto.Absolute(t, want, float64(top.Pressure), 20, "pressure at the top")
}

// A boiler loop and a heating loop that share closely spaced tees, A and B. The
// primary flow P arrives hot at A and leaves at B; the secondary S leaves at A
// and returns at B.
//
//	S < P: P − S runs from A to B. The heating gets boiler water; the boiler gets
//	       back (S T_return + (P − S) T_boiler)/P.
//	S > P: S − P runs back from B to A. The heating gets
//	       (P T_boiler + (S − P) T_return)/S; the boiler gets T_return.
//
// Mixing by enthalpy; with the same specific heat everywhere to 0.05 K.
func TestPrimarySecondary(t *testing.T) {
	const supply = 75.0
	for _, row := range []struct {
		name      string
		secondary float64 // coefficient of the heating loop
	}{{"less", 2e8}, {"equal", 2e7}, {"more", 2e6}} {
		t.Run(row.name, func(t *testing.T) {
			p := newPlan(true)
			p.add("boiler", "r", "b", network.Source{Supply: ptr(quantity.Celsius(supply)), Loss: square(1e7), Limit: 95})
			p.add("boiler pump", "b", "A", network.Circulator{Curve: pump(t, 4, 1e7), Speed: 1})
			p.add("common", "A", "B", network.Free)
			p.add("boiler return", "B", "r", loss(1e7))
			p.add("heating pump", "A", "h", network.Circulator{Curve: pump(t, 4, 1e7), Speed: 1})
			p.add("panel", "h", "B'", radiator(t, 9000, "room", row.secondary/2))
			p.add("heating return", "B'", "B", loss(row.secondary/2))
			p.Rooms = []network.Room{{ID: "room", Indoor: 20}}
			s := p.solve(t)

			P, S, common := link(t, s, "boiler").Mass, link(t, s, "panel").Mass, link(t, s, "common").Mass
			closeto.Absolute(t, P-S, common, 1e-9*P, "common")
			heating, back, boiler := degrees(t, s, "h"), degrees(t, s, "B'"), degrees(t, s, "r")
			closeto.Absolute(t, leaves(9000, S, heating, 20), back, 2e-3, "out of the radiator")
			share := func(part, of float64, a, b float64) float64 { // part at a, the rest at b
				return zero(b, a, func(t float64) float64 { return carried(b, t) - part/of*carried(b, a) })
			}
			switch row.name {
			case "less":
				require.Less(t, S, 0.9*P)
				closeto.Absolute(t, supply, heating, 1e-6, "heating gets boiler water")
				closeto.Absolute(t, share(P-S, P, supply, back), boiler, 2e-3, "back to the boiler")
				closeto.Absolute(t, (S*back+(P-S)*supply)/P, boiler, 0.05, "with one specific heat")
			case "more":
				require.Greater(t, S, 1.1*P)
				require.Negative(t, common)
				closeto.Absolute(t, share(P, S, supply, back), heating, 2e-3, "heating gets a mixture")
				closeto.Absolute(t, (P*supply+(S-P)*back)/S, heating, 0.05, "with one specific heat")
				closeto.Absolute(t, back, boiler, 1e-6, "back to the boiler")
			case "equal":
				// The same circulator and, but for the densities of cooler
				// water, the same resistance.
				closeto.Relative(t, P, S, 0.02, "flows")
				require.Less(t, supply-heating, 0.02*(supply-back)+1e-6)
			}
			closeto.Relative(t, P*carried(boiler, supply), S*carried(back, heating), 1e-5, "heat given and taken")
		})
	}
}
