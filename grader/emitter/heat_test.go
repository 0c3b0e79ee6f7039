package emitter

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"loopwright/grader/closeto"
	"loopwright/grader/quantity"
)

type way func(Emitter, float64, quantity.Celsius, quantity.Celsius) (float64, quantity.Celsius, error)

var ways = map[string]way{
	"along": Emitter.HeatAlong, "logarithmic": Emitter.HeatLogarithmic, "arithmetic": Emitter.HeatArithmetic, "default": Emitter.Heat,
}

func panel(t require.TestingT, output, n float64) Emitter {
	e, err := Panel(output, n)
	require.NoError(t, err)
	return e
}

// At its rating an emitter gives its rating, by every mean: 1000 W with 10 K
// drop is 100 W/K.
func TestRatingPoint(t *testing.T) {
	for name, heat := range ways {
		q, leaving, err := heat(panel(t, 1000, 1.33), 100, 75, 20)
		require.NoError(t, err, name)
		closeto.Relative(t, 1000, q, 1e-12, name+" heat")
		closeto.Absolute(t, 65, float64(leaving), 1e-10, name+" leaving")
	}
}

// By hand with n = 1, where the water cools exponentially. Rated 1000 W on 10 K:
// 100 W/K, excess 55 to 45 K, so k = 100 ln(55/45) = 20.0671 W/K. Water at
// 70 °C with 50 W/K in 20 °C: u = 0.401341, e^−u = 0.669422 (45/55 squared =
// 81/121), out = 20 + 50 × 81/121 = 53.4711 °C, heat 50 × 16.5289 = 826.446 W.
func TestHeatAlongByHand(t *testing.T) {
	q, leaving, err := panel(t, 1000, 1).HeatAlong(50, 70, 20)
	require.NoError(t, err)
	closeto.Relative(t, 826.446, q, 1e-6, "heat")
	closeto.Absolute(t, 53.4711, float64(leaving), 1e-4, "leaving")
}

// n = 1 arithmetic by hand: k = 1000/50 = 20 W/K. Φ = 20 (50 − x/2) = 50 x →
// 1000 = 60 x → x = 16.6667 K, 833.333 W.
func TestHeatArithmeticByHand(t *testing.T) {
	q, leaving, err := panel(t, 1000, 1).HeatArithmetic(50, 70, 20)
	require.NoError(t, err)
	closeto.Relative(t, 2500.0/3, q, 1e-12, "heat")
	closeto.Absolute(t, 70-50.0/3, float64(leaving), 1e-10, "leaving")
}

// n = 2 along the emitter by hand: 1/θ_out = 1/θ_in + k/c. Rated at one
// temperature: 1000 W at 50 K, k = 0.4 W/K². In 60 K with c = 24 W/K:
// 1/60 + 1/60 = 1/30, so out 30 K and 720 W.
func TestHeatAlongSquare(t *testing.T) {
	q, leaving, err := Emitter{Output: 1000, Excess: 50, Exponent: 2}.HeatAlong(24, 80, 20)
	require.NoError(t, err)
	closeto.Relative(t, 720, q, 1e-12, "heat")
	closeto.Absolute(t, 50, float64(leaving), 1e-10, "leaving")
}

func drawEmitter(t *rapid.T) Emitter {
	e := Emitter{
		Output: rapid.Float64Range(50, 50000).Draw(t, "output"), Excess: quantity.Kelvin(rapid.Float64Range(20, 80).Draw(t, "excess")),
		Exponent: rapid.Float64Range(1, 1.6).Draw(t, "n"),
	}
	if rapid.Bool().Draw(t, "rated with a drop") {
		e.Drop = e.Excess * quantity.Kelvin(rapid.Float64Range(0.01, 0.5).Draw(t, "rated drop"))
	}
	if rapid.Bool().Draw(t, "follows flow") {
		e.FlowExponent, e.RatedCapacity = FinTubeFlowExponent, FinTubeRatedCapacity
	}
	return e
}

// The closed form against stepping along the emitter (classical Runge-Kutta of
// the local law, 400 steps).
func TestHeatAlongAgainstSteps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := drawEmitter(t)
		supply := quantity.Celsius(rapid.Float64Range(35, 115).Draw(t, "supply"))
		c := e.Output / rapid.Float64Range(2, 60).Draw(t, "nominal drop")
		// k by the same steps through the rating, not by the closed form: at
		// the rating the steps must leave the rated drop.
		k := e.Output / math.Pow(float64(e.Excess), e.Exponent)
		if e.Drop > 0 {
			rated := e.Output / float64(e.Drop)
			hot, cool := float64(e.Excess+e.Drop/2), float64(e.Excess-e.Drop/2)
			k = bisect(k/2, k*2, func(k float64) float64 { return cool - step(hot, k/rated, e.Exponent) })
		}
		want := float64(supply) - 20 - step(float64(supply)-20, k*e.FlowFactor(c)/c, e.Exponent)
		q, leaving, err := e.HeatAlong(c, supply, 20)
		require.NoError(t, err)
		require.InEpsilon(t, want*c, q, 1e-7)
		require.InEpsilon(t, float64(supply)-want, float64(leaving), 1e-7)
	})
}

// step follows dθ/dx = −a θ^n from x = 0 to 1.
func step(theta, a, n float64) float64 {
	const steps = 400
	f := func(x float64) float64 { return -a * math.Pow(x, n) }
	for range steps {
		h := 1.0 / steps
		k1 := f(theta)
		k2 := f(theta + h/2*k1)
		k3 := f(theta + h/2*k2)
		k4 := f(theta + h*k3)
		theta += h / 6 * (k1 + 2*k2 + 2*k3 + k4)
	}
	return theta
}

// bisect finds the root of a rising function.
func bisect(low, high float64, f func(float64) float64) float64 {
	for range 100 {
		if mid := (low + high) / 2; f(mid) < 0 {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2
}

// The two mean methods against bisection of their defining equation.
func TestMeansAgainstBisection(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := drawEmitter(t)
		supply := quantity.Celsius(rapid.Float64Range(35, 115).Draw(t, "supply"))
		in := float64(supply) - 20
		c := e.Output / rapid.Float64Range(1, 40).Draw(t, "nominal drop")
		k := e.Output * math.Pow(float64(e.Excess), -e.Exponent) * e.FlowFactor(c)
		drop := bisect(0, in, func(x float64) float64 { return c*x - k*math.Pow(in-x/2, e.Exponent) })
		if q, _, err := e.HeatArithmetic(c, supply, 20); err == nil {
			require.InEpsilon(t, c*drop, q, 1e-10)
		} else {
			// Refused: at the whole drop down to the room it would still give more.
			require.Less(t, c*in, k*math.Pow(in/2, e.Exponent))
		}
		rated := float64(e.Excess)
		if e.Drop > 0 {
			hot, cool := float64(e.Excess+e.Drop/2), float64(e.Excess-e.Drop/2)
			rated = (hot - cool) / math.Log(hot/cool)
		}
		k = e.Output * math.Pow(rated, -e.Exponent) * e.FlowFactor(c)
		drop = bisect(in*1e-6, in*(1-1e-12), func(x float64) float64 {
			return c*x - k*math.Pow(x/math.Log(in/(in-x)), e.Exponent)
		})
		q, _, err := e.HeatLogarithmic(c, supply, 20)
		require.NoError(t, err)
		require.InEpsilon(t, c*drop, q, 1e-6) // the plain quotient of the check loses figures for small drops
	})
}

// What the water loses the room gains; more flow and warmer water give more;
// the water never leaves below the room.
func TestHeatProperties(t *testing.T) {
	for name, heat := range ways {
		t.Run(name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				e := drawEmitter(t)
				room := quantity.Celsius(rapid.Float64Range(5, 28).Draw(t, "room"))
				supply := room + quantity.Celsius(rapid.Float64Range(0.5, 85).Draw(t, "excess"))
				c := rapid.Float64Range(0.5, 5000).Draw(t, "c")
				q, leaving, err := heat(e, c, supply, room)
				var outside *quantity.RangeError
				if err != nil {
					require.ErrorAs(t, err, &outside)
					require.Equal(t, "arithmetic", name)
					return
				}
				// The balance is good to the rounding of the temperatures.
				require.InDelta(t, c*float64(supply-leaving), q, 1e-12*(q+c*float64(supply)))
				require.GreaterOrEqual(t, leaving, room)
				require.Positive(t, q)
				more, _, err := heat(e, c*1.1, supply, room)
				require.NoError(t, err)
				require.GreaterOrEqual(t, more, q*(1-1e-13))
				if warmer, _, err := heat(e, c, supply+1, room); err == nil {
					require.Greater(t, warmer, q)
				}
				// Twice the emitter on twice the water does twice the work,
				// unless the flow itself counts.
				if e.FlowExponent == 0 {
					twice, _, err := heat(e.Times(2), 2*c, supply, room)
					require.NoError(t, err)
					require.InEpsilon(t, 2*q, twice, 1e-11)
				}
			})
		})
	}
}

// Heat's comment: within 2 % of the arithmetic mean while the return's excess
// is above 0.7 of the supply's.
func TestArithmeticAgreesAtCustomaryDrops(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Float64Range(1, 1.45).Draw(t, "n")
		e := panel(t, 1000, n)
		if rapid.Bool().Draw(t, "one temperature") {
			e.Drop = 0
		}
		supply := quantity.Celsius(rapid.Float64Range(35, 90).Draw(t, "supply"))
		c := rapid.Float64Range(10, 500).Draw(t, "c")
		q, leaving, err := e.Heat(c, supply, 20)
		require.NoError(t, err)
		if float64(leaving-20)/float64(supply-20) < 0.7 {
			t.Skip("larger drop")
		}
		a, _, err := e.HeatArithmetic(c, supply, 20)
		require.NoError(t, err)
		require.InEpsilon(t, q, a, 0.02)
	})
}

// Half flow still gives about nine tenths of the heat. The figures come from
// a separate calculation of the same question, rounded to a per cent: 180 °F
// supply, 70 °F room, n = 1.3; 120 °F for the last two.
func TestHalfAndQuarterFlow(t *testing.T) {
	for _, row := range []struct{ supply, drop, share, want float64 }{
		{180, 20, 0.5, 0.89}, {180, 10, 0.5, 0.94}, {180, 40, 0.5, 0.79}, {120, 20, 0.5, 0.77},
		{180, 10, 0.25, 0.84}, {180, 20, 0.25, 0.72}, {180, 40, 0.25, 0.54},
		{180, 20, 2, 1.065}, {180, 10, 2, 1.03}, {180, 40, 2, 1.15}, {120, 20, 2, 1.16},
	} {
		drop := fahrenheitDegrees(row.drop)
		e := Emitter{Output: 1000, Excess: fahrenheitDegrees(row.supply-70) - drop/2, Drop: drop, Exponent: 1.3}
		q, _, err := e.Heat(row.share*1000/float64(drop), f2c(row.supply), f2c(70))
		require.NoError(t, err)
		closeto.Absolute(t, row.want, q/1000, 0.012, "share of the heat")
	}
}

func TestNothingToGive(t *testing.T) {
	e := panel(t, 1000, 1.3)
	for name, heat := range ways {
		q, leaving, err := heat(e, 0, 70, 20)
		require.NoError(t, err, name)
		require.Zero(t, q, name)
		require.EqualValues(t, 20, leaving, name)
		q, leaving, err = heat(e, 100, 15, 20)
		require.NoError(t, err, name)
		require.Zero(t, q, name)
		require.EqualValues(t, 15, leaving, name)
		for _, bad := range []float64{-1, math.NaN(), math.Inf(1)} {
			_, _, err = heat(e, bad, 70, 20)
			require.Error(t, err, name)
		}
		_, _, err = heat(e, 100, quantity.Celsius(math.NaN()), 20)
		require.Error(t, err, name)
		_, _, err = heat(e, 100, 130, 20)
		require.Error(t, err, name)
		_, _, err = heat(Emitter{}, 100, 70, 20)
		require.Error(t, err, name)
	}
}

func TestChecksFigures(t *testing.T) {
	good := Emitter{Output: 1000, Excess: 50, Drop: 10, Exponent: 1.3}
	require.NoError(t, good.Check())
	for name, spoil := range map[string]func(*Emitter){
		"output":        func(e *Emitter) { e.Output = 0 },
		"excess":        func(e *Emitter) { e.Excess = quantity.Kelvin(math.NaN()) },
		"drop":          func(e *Emitter) { e.Drop = 100 },
		"exponent":      func(e *Emitter) { e.Exponent = 0.9 },
		"flow exponent": func(e *Emitter) { e.FlowExponent = 1 },
		"rated flow":    func(e *Emitter) { e.FlowExponent = 0.04 },
	} {
		e := good
		spoil(&e)
		require.Error(t, e.Check(), name)
	}
	p := panel(t, 1000, 1.3)
	require.NoError(t, p.Vouched(30))
	var outside *quantity.RangeError
	require.ErrorAs(t, p.Vouched(29), &outside)
	_, err := LogarithmicExcess(70, 20, 20)
	require.ErrorAs(t, err, &outside)
	require.Zero(t, OutputFactor(-3, 50, 1.3))
}

// A rated drop of next to nothing is a rating at one temperature.
func TestTinyRatedDrop(t *testing.T) {
	one := Emitter{Output: 1000, Excess: 50, Exponent: 1.3}
	for _, drop := range []quantity.Kelvin{1e-12, 1e-8, 1e-6} {
		tiny := one
		tiny.Drop = drop
		for name, heat := range ways {
			want, _, err := heat(one, 100, 70, 20)
			require.NoError(t, err)
			got, _, err := heat(tiny, 100, 70, 20)
			require.NoError(t, err)
			closeto.Relative(t, want, got, 1e-12, name)
		}
	}
}

// logMean's series must meet the quotient where it takes over.
func TestLogMeanNearEquality(t *testing.T) {
	for _, e := range []float64{0, 1e-12, 0.99e-5, 1.01e-5, 1e-3} {
		// Independent: ∫ b (1+e)^s ds over 0 ≤ s ≤ 1, by Simpson's rule.
		b := 50.0
		want := b / 6 * (1 + 4*math.Sqrt(1+e) + 1 + e)
		closeto.Relative(t, want, logMean(b, b*e), 1e-11, "mean")
	}
}

// 20,000 BTU/h at 180 °F mean, 65 °F air, 1 gpm: 20,000/600 = 33.33 ft =
// 10.16 m. Without the 15 % allowance 38.33 ft = 11.684 m.
func TestLengthByHand(t *testing.T) {
	load := quantity.BTUPerHour.ToSI(20000)
	l, err := DemoFinTube().LengthFor(load, f2c(180), f2c(65), FinTubeRatedCapacity)
	require.NoError(t, err)
	closeto.Relative(t, 10.16, l, 1e-9, "length")
	l, err = DemoFinTube().AsTested().LengthFor(load, f2c(180), f2c(65), FinTubeRatedCapacity)
	require.NoError(t, err)
	closeto.Relative(t, 11.684, l, 1e-9, "as tested")
	_, err = DemoFinTube().LengthFor(load, 20, 20, 100)
	require.Error(t, err)
}

// The length found for a load gives that load.
func TestLengthAlongGivesItsLoad(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := rapid.Float64Range(50, 2000).Draw(t, "c")
		load := c * rapid.Float64Range(0.1, 40).Draw(t, "drop")
		l, err := DemoFinTube().LengthAlong(load, 85, 20, c)
		require.NoError(t, err)
		q, _, err := DemoFinTube().Length(l).Heat(c, 85, 20)
		require.NoError(t, err)
		require.InEpsilon(t, load, q, 1e-11)
	})
	_, err := DemoFinTube().LengthAlong(7000, 85, 20, 100)
	require.Error(t, err)
	_, err = DemoFinTube().LengthAlong(10, 85, 20, 0)
	require.Error(t, err)
}

// Outlet by hand: 100 W/K is 1e-4 m³/s × 1e6 J/(m³·K).
func TestOutlet(t *testing.T) {
	e := panel(t, 1000, 1.3)
	leaving, q, err := e.Outlet(1e-4, 75, 20, 1e6)
	require.NoError(t, err)
	closeto.Absolute(t, 65, float64(leaving), 1e-9, "leaving")
	closeto.Relative(t, 1000, q, 1e-12, "heat")
	_, _, err = e.Outlet(1e-4, 75, 20, 0)
	require.Error(t, err)
}

func BenchmarkHeat(b *testing.B) {
	e := DemoFinTube().Length(10)
	for b.Loop() {
		if _, _, err := e.Heat(500, 82, 20); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkHeatArithmetic(b *testing.B) {
	e := DemoFinTube().Length(10)
	for b.Loop() {
		if _, _, err := e.HeatArithmetic(500, 82, 20); err != nil {
			b.Fatal(err)
		}
	}
}
