package pipe

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"loopwright/grader/closeto"
	"loopwright/grader/fluid"
	"loopwright/grader/quantity"
)

func TestTablesAreSound(t *testing.T) {
	require.Len(t, Materials(), 7)
	for _, m := range Materials() {
		require.NotEmpty(t, m.DimensionsSource, m.ID)
		require.NotEmpty(t, m.RoughnessSource, m.ID)
		require.Positive(t, m.Roughness)
		require.Greater(t, len(m.Sizes()), 7, m.ID)
		bore := 0.0
		for _, s := range m.Sizes() {
			require.Greater(t, s.Bore, bore, "%s %s", m.ID, s.Nominal)
			bore = s.Bore
			closeto.Absolute(t, s.Outside, s.Bore+2*s.Wall, 0.00006, m.ID+" "+s.Nominal) // 0.002 in
			found, err := Find(m.ID, s.Nominal)
			require.NoError(t, err)
			require.Equal(t, s, found)
		}
	}
}

// Published weights check the walls: π (D − t) t × density of the metal.
func TestWeights(t *testing.T) {
	for _, r := range closeto.Known(t, "testdata/known/weights.csv") {
		s, err := Find(r["material"], r["nominal"])
		require.NoError(t, err)
		density := 7850.0 // steel, kg/m³: EN 10255 and ASME B36.10M compute with it
		if s.Material.ID[:4] == "copp" {
			density = 8941 // 0.323 lb/in³, ASTM B88
		}
		got := math.Pi * (s.Outside - s.Wall) * s.Wall * density
		if r["unit"] == "lb/ft" {
			got *= 0.3048 / 0.45359237
		}
		closeto.Relative(t, r.Number(t, "weight"), got, 0.012, s.Material.ID+" "+s.Nominal) // tables print three figures
	}
}

func TestFindIsForgiving(t *testing.T) {
	for _, c := range [][3]string{
		{"steel-sch40", "1 1/4", "1-1/4"}, {"steel-sch40", "1¼ in", "1-1/4"}, {"steel-sch40", "½\"", "1/2"}, {"copper-m", " 3/4 in ", "3/4"},
		{"copper-en1057", "28 × 0.9 mm", "28x0.9"}, {"steel-en10255", "dn 25", "DN25"},
	} {
		s, err := Find(c[0], c[1])
		require.NoError(t, err, c[1])
		require.Equal(t, c[2], s.Nominal)
	}
	_, err := Find("steel-sch40", "7/16")
	require.ErrorContains(t, err, "known are 1/2, 3/4, 1, 1-1/4")
	_, err = Find("lead", "1")
	require.ErrorContains(t, err, "steel-sch40")
	require.Equal(t, "1-1/4\u00a0in", MustFind("steel-sch40", "1-1/4").Label())
	require.Equal(t, "28\u00a0×\u00a00.9\u00a0mm", MustFind("copper-en1057", "28x0.9").Label())
	require.Equal(t, "DN\u00a025", MustFind("steel-en10255", "DN25").Label())
}

func TestFrictionFactorAgainstExactRoots(t *testing.T) {
	for _, r := range closeto.Known(t, "testdata/known/friction.csv") {
		closeto.Relative(t, r.Number(t, "f"), FrictionFactor(r.Number(t, "Re"), r.Number(t, "eD")), 1e-10, r["kind"]+" Re "+r["Re"]+" e "+r["eD"])
	}
}

// Independent explicit formulas, each within its published deviation from
// Colebrook and White: Haaland (1983) 1.5 %, Swamee and Jain (1976) 3 %.
func TestFrictionFactorAgainstExplicitFormulas(t *testing.T) {
	for re := TurbulentFrom; re < 1e8; re *= 1.7 {
		for _, e := range []float64{1e-6, 1e-5, 1e-4, 1e-3, 1e-2} {
			f := FrictionFactor(re, e)
			haaland := math.Pow(-1.8*math.Log10(math.Pow(e/3.7, 1.11)+6.9/re), -2)
			closeto.Relative(t, f, haaland, 0.02, "Haaland")
			if re > 5000 {
				swamee := 0.25 / math.Pow(math.Log10(e/3.7+5.74/math.Pow(re, 0.9)), 2)
				closeto.Relative(t, f, swamee, 0.03, "Swamee and Jain")
			}
		}
	}
}

// Loss rises with flow everywhere, and the passage has no step and no corner.
func TestPassageIsSmoothAndRising(t *testing.T) {
	for _, e := range []float64{0, 1e-5, 1e-4, 1e-3, 1e-2, 0.05} {
		last := 0.0
		for re := 10.0; re < 1e5; re *= 1.001 {
			g, slope := LossTerm(re, e)
			require.Greater(t, g, last)
			require.Positive(t, slope)
			last = g
			above, _ := LossTerm(re*(1+1e-6), e)
			below, _ := LossTerm(re*(1-1e-6), e)
			closeto.Relative(t, slope, (above-below)/(2e-6*re), 1e-3, "slope")
		}
		for _, edge := range []float64{LaminarBelow, TurbulentFrom} {
			g0, s0 := LossTerm(edge*(1-1e-9), e)
			g1, s1 := LossTerm(edge*(1+1e-9), e)
			closeto.Relative(t, g0, g1, 1e-8, "value at the edge")
			closeto.Relative(t, s0, s1, 1e-6, "slope at the edge")
		}
	}
}

func water(t testing.TB, c quantity.Celsius) fluid.Properties {
	w, err := fluid.Water(c)
	require.NoError(t, err)
	return w
}

// Rishel et al., HVAC Pump Handbook, table 3.1: steel, 60 °F. The table prints
// two or three figures: 1.5 %.
func TestSteelCapacityTable(t *testing.T) {
	w := water(t, quantity.Celsius(quantity.Fahrenheit.ToSI(60)))
	for _, r := range closeto.Known(t, "testdata/known/steel_capacity.csv") {
		s := MustFind("steel-sch40", r["nominal"])
		q := quantity.GallonPerMinute.ToSI(r.Number(t, "gpm"))
		closeto.Relative(t, r.Number(t, "ft_s"), quantity.FootPerSecond.FromSI(s.Velocity(q)), 0.015, "velocity in "+r["nominal"])
		rate, _ := s.HeadLossRate(q, w)
		closeto.Relative(t, r.Number(t, "ft_100ft"), 100*rate, 0.015, "loss in "+r["nominal"])
	}
}

// Worked examples from publications. Each states its own water.
func TestWorkedExamples(t *testing.T) {
	for _, c := range []struct {
		name                     string // source
		bore, rough, length, q   float64
		rho, mu                  float64
		re, f, head, reTol, fTol float64
	}{
		// Jeppson, Steady Flow Analysis of Pipe Networks (1974), chapter 2 sample: h 3.7976 ft, f 0.01655.
		{"Jeppson, US", 0.33333 * 0.3048, 7e-6 * 0.3048, 150 * 0.3048, 0.5 * 0.028316846592, 1000, 1000 * 1.217e-5 * 0.09290304, 0, 0.01655, 3.7976 * 0.3048, 0, 5e-4},
		// The same in SI: h 1.1346 m, f 0.01659.
		{"Jeppson, SI", 0.1016, 2.1e-6, 45.72, 0.014, 1000, 1.131e-3, 0, 0.01659, 1.1346, 0, 5e-4},
		// Crane TP-410 example 7-1: 200 L/min at 30 °C in 52.5 mm smooth pipe: Re 100 600, f 0.0179.
		{"Crane 7-1", 0.0525, 0, 20, 200e-3 / 60, 995.65, 7.972e-4, 100600, 0.0179, 0, 5e-3, 5e-3},
	} {
		s := Size{Bore: c.bore, Roughness: c.rough}
		w := fluid.Properties{Density: c.rho, Viscosity: c.mu, SpecificHeat: 4186}
		if c.re > 0 {
			closeto.Relative(t, c.re, s.Reynolds(c.q, w), c.reTol, c.name+" Re")
		}
		closeto.Relative(t, c.f, FrictionFactor(s.Reynolds(c.q, w), c.rough/c.bore), c.fTol, c.name+" f")
		if c.head > 0 {
			// Jeppson computes with g = 32.2 ft/s² and 9.81 m/s²: 0.1 %.
			closeto.Relative(t, c.head, float64(s.HeadLoss(c.q, c.length, w)), 1.5e-3, c.name+" head")
		}
	}
}

// Laminar flow by hand: h = 128 ν L Q/(π g D⁴).
func TestLaminarByHand(t *testing.T) {
	s := Size{Bore: 0.02, Roughness: 1e-6}
	w := fluid.Properties{Density: 1000, Viscosity: 1e-3}
	q := 1e-5 // Re = 4 × 10⁻⁵/(π × 0.02 × 10⁻⁶) = 637
	want := 128 * 1e-6 * 10 * q / (math.Pi * quantity.StandardGravity * math.Pow(0.02, 4))
	closeto.Relative(t, want, float64(s.HeadLoss(q, 10, w)), 1e-12, "Hagen-Poiseuille")
	closeto.Relative(t, want*1000*quantity.StandardGravity, float64(s.PressureLoss(q, 10, w)), 1e-12, "pressure")
	require.Zero(t, float64(s.HeadLoss(0, 10, w)))
}

func TestLossProperties(t *testing.T) {
	w := water(t, 60)
	rapid.Check(t, func(t *rapid.T) {
		m := rapid.SampledFrom(Materials()).Draw(t, "material")
		s := rapid.SampledFrom(m.Sizes()).Draw(t, "size")
		q := s.FlowAtVelocity(math.Pow(10, rapid.Float64Range(-4, 0.7).Draw(t, "log velocity")))
		rate, slope := s.HeadLossRate(q, w)
		back, _ := s.HeadLossRate(-q, w)
		require.Equal(t, -rate, back, "odd in flow")
		more, _ := s.HeadLossRate(q*1.01, w)
		require.Greater(t, more, rate)
		up, _ := s.HeadLossRate(q*(1+1e-6), w)
		down, _ := s.HeadLossRate(q*(1-1e-6), w)
		require.InEpsilon(t, slope, (up-down)/(2e-6*q), 1e-4)
		again, err := s.FlowAtRate(rate, w)
		require.NoError(t, err)
		require.InEpsilon(t, q, again, 1e-9)
		// Between linear and square everywhere but in the passage, where it is steeper.
		if re := s.Reynolds(q, w); re < LaminarBelow/1.01 || re > TurbulentFrom {
			n := math.Log(more/rate) / math.Log(1.01)
			require.Greater(t, n, 0.999)
			require.Less(t, n, 2.001)
		}
	})
	_, err := MustFind("copper-m", "1").FlowAtRate(0, w)
	require.Error(t, err)
}

// Printed f_T of Crane TP-410 (2009), p. A-26, by nominal size.
func TestFullyTurbulentFactorAgainstCrane(t *testing.T) {
	for nominal, want := range map[string]float64{"1/2": 0.026, "3/4": 0.024, "1": 0.022, "1-1/4": 0.021, "1-1/2": 0.020, "2": 0.019, "2-1/2": 0.018, "3": 0.017, "4": 0.016, "6": 0.015, "8": 0.014} {
		closeto.Relative(t, want, FullyTurbulentFactor(MustFind("steel-sch40", nominal).Bore), 0.03, nominal)
	}
}

// ASHRAE Handbook Fundamentals, equivalent lengths of 90° elbows at 4 ft/s in
// iron pipe (from memory): 2.8 ft at 1 in, 5.6 ft at 2 in. Tables of fittings
// differ by more than this tolerance among themselves.
func TestElbowAgainstHandbook(t *testing.T) {
	elbow, err := FittingNamed("elbow-90")
	require.NoError(t, err)
	w := water(t, quantity.Celsius(quantity.Fahrenheit.ToSI(60)))
	for nominal, want := range map[string]float64{"1": 2.8, "2": 5.6} {
		s := MustFind("steel-sch40", nominal)
		q := s.FlowAtVelocity(quantity.FootPerSecond.ToSI(4))
		got := elbow.EquivalentLength(q, s, w)
		closeto.Relative(t, want, quantity.Foot.FromSI(got), 0.25, nominal)
		// The definition: that length of pipe loses the fitting's head.
		closeto.Relative(t, float64(elbow.HeadLoss(q, s)), float64(s.HeadLoss(q, got, w)), 1e-9, nominal)
	}
	_, err = FittingNamed("hose")
	require.ErrorContains(t, err, "elbow-90")
	for _, f := range Fittings() {
		require.Positive(t, f.Multiplier)
		require.NotEmpty(t, f.Source)
	}
}

func BenchmarkFrictionFactor(b *testing.B) {
	re := 5000.0
	sum := 0.0
	for b.Loop() {
		sum += FrictionFactor(re, 0.001)
		re += 10
		if re > 1e6 {
			re = 5000
		}
	}
	if sum == 0 {
		b.Fatal("no friction")
	}
}
