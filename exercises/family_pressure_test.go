package exercises

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"loopwright/grader/closeto"
	"loopwright/grader/expansion"
	"loopwright/grader/quantity"
)

// columnOf is the pressure of a column of cold water, in Pa: 999.1 kg/m³ at
// 15 °C (steam tables, from memory) × 9.80665 m/s² × height in m.
func columnOf(height float64) float64 { return 999.1 * 9.80665 * height }

// withinColumn is what the rounded weights, 0.433 and 9.81, cost over the
// heights of these buildings, in Pa.
const withinColumn = 250

func leastOf(b bench) float64 { return map[System]float64{US: 4, SI: 30}[b.p.Units] }

func TestHighPointPressure(t *testing.T) {
	inBoth(t, "high-point-pressure", 1, func(b bench) {
		closeto.Absolute(b, b.si("p_f")-columnOf(b.si("h")), b.answerSI("top"), withinColumn, "top")
		engine, err := expansion.TopPressure(quantity.Pascal(b.si("p_f")), b.si("h"), 15)
		require.NoError(b, err)
		closeto.Absolute(b, float64(engine), b.answerSI("top"), withinColumn, "top, by the engine")
		want := "enough"
		if b.answer("top") < leastOf(b) {
			want = "low"
		}
		require.Equal(b, want, b.part("enough").Answer.Choice)
	})
	inBoth(t, "high-point-pressure", 2, func(b bench) {
		closeto.Absolute(b, b.si("p_g")-columnOf(b.si("h")), b.answerSI("top"), withinColumn, "top")
		// Filled like that, the top keeps the customary pressure.
		closeto.Absolute(b, b.si("p_m"), b.answerSI("fill")-columnOf(b.si("h")), withinColumn, "top when filled")
		closeto.Absolute(b, 0, b.p.Rule.Difference(), 0.003, "rule against engine")
	})
	inBoth(t, "high-point-pressure", 3, func(b bench) {
		away := b.part("lowest").Answer.Choice == "at-rest"
		rest, running := aroundTheLoop(b, away, b.si("p_f"))
		closeto.Absolute(b, rest, b.answerSI("rest"), withinColumn, "top at rest")
		closeto.Absolute(b, running, b.answerSI("running"), withinColumn, "top, running")
		require.Equal(b, away, rest < running, "the top is lowest where the answer says")
		// With the fill found the lower of the two is the customary pressure.
		rest, running = aroundTheLoop(b, away, b.answerSI("fill"))
		closeto.Absolute(b, b.si("p_m"), min(rest, running), withinColumn, "lowest at the top when filled")
	})
	// Hand: 20 ft of water weigh 0.433 × 20 = 8.66 psi; a gauge of 12 psi leaves
	// 3.34 psi, and the fill for 4 psi is 12.66. Customary: 12 psi for two
	// stories, 18.5 ft.
	onBench(t, "high-point-pressure", 2, US, func(b bench) {
		given := map[string]float64{"h": 20, "p_g": 12, "p_m": 4}
		closeto.Relative(b, 3.34, b.rework("p_t", given), 1e-9, "top by hand")
		closeto.Relative(b, 12.66, b.rework("p_f", given), 1e-9, "fill by hand")
		closeto.Relative(b, 12, b.rework("p_f", map[string]float64{"h": 18.5, "p_g": 12, "p_m": 4}), 0.002, "customary fill")
	})
}

// aroundTheLoop walks once round a loop, from the tank's connection with the
// flow back to it, and gives the top's pressure at rest and while the
// circulator runs. What it adds is all lost on the way round, so the walk must
// end where it began.
func aroundTheLoop(b bench, away bool, held float64) (rest, running float64) {
	up, dp, l := columnOf(b.si("h")), b.si("dp"), b.si("l")
	climb, descend := -up-l, up-(dp-l)
	legs, top := []float64{climb, descend, dp}, 1
	if away {
		legs, top = []float64{dp, climb, descend}, 2
	}
	p := held
	for i, leg := range legs {
		p += leg
		if i+1 == top {
			running = p
		}
	}
	closeto.Absolute(b, held, p, 1e-6, "once round the loop")
	return held - up, running
}

func TestPumpingAway(t *testing.T) {
	inBoth(t, "pumping-away", 1, func(b bench) {
		rest, rise := b.num("p_0"), b.num("dp")
		closeto.Absolute(b, rise, b.answer("discharge")-b.answer("suction"), 1e-9, "rise between the gauges")
		// Exactly one of the two stands still: the one at the tank.
		still := b.part("still").Answer.Choice
		require.Contains(b, b.p.Statement, "joined right at its "+still)
		closeto.Absolute(b, rest, b.answer(still), 1e-9, "the tank's side")
		require.True(b, b.answer("suction") <= rest && b.answer("discharge") >= rest)
	})
	inBoth(t, "pumping-away", 2, func(b bench) {
		_, toward := aroundTheLoop(b, false, b.si("p_0"))
		_, away := aroundTheLoop(b, true, b.si("p_0"))
		closeto.Absolute(b, toward, b.answerSI("toward"), withinColumn, "toward the tank")
		closeto.Absolute(b, away, b.answerSI("away"), withinColumn, "away from the tank")
		closeto.Absolute(b, b.si("dp"), b.answerSI("away")-b.answerSI("toward"), 1e-6, "the two differ by the whole rise")
		for gained, want := range map[float64]string{-b.si("l"): "toward", b.si("dp") - b.si("l"): "away"} {
			engine, err := expansion.PressureAt(quantity.Pascal(b.si("p_0")), b.si("h"), quantity.Pascal(gained), 15)
			require.NoError(b, err)
			closeto.Absolute(b, float64(engine), b.answerSI(want), withinColumn, want+", by the engine")
		}
		require.Equal(b, "away", b.part("way").Answer.Choice)
	})
	inBoth(t, "pumping-away", 3, func(b bench) {
		rise := b.si("p_d") - b.si("p_s")
		closeto.Relative(b, rise, columnOf(b.answerSI("head")), 0.002, "the head holds up the rise")
		closeto.Absolute(b, b.si("p_d")-columnOf(b.si("h"))-b.si("l"), b.answerSI("top"), withinColumn, "top")
		// The tank sits where the gauge moved less.
		where, remedy := "suction", "leave"
		if math.Abs(b.si("p_d")-b.si("p_0")) < math.Abs(b.si("p_s")-b.si("p_0")) {
			where, remedy = "discharge", "move"
		}
		require.Equal(b, where, b.part("where").Answer.Choice)
		require.Equal(b, remedy, b.part("remedy").Answer.Choice)
	})
	// Hand: 20 psi at the tank, 30 ft up are 12.99 psi, the circulator adds 6 and
	// 2 are lost on the way: 7.01 at rest, 5.01 toward the tank, 11.01 away.
	onBench(t, "pumping-away", 2, US, func(b bench) {
		given := map[string]float64{"p_0": 20, "h": 30, "dp": 6, "l": 2}
		closeto.Absolute(b, 5.01, b.rework("p_1", given), 1e-9, "toward, by hand")
		closeto.Absolute(b, 11.01, b.rework("p_2", given), 1e-9, "away, by hand")
	})
}

// squeezed is the tank that ends at the highest pressure, found by trying: its
// air, kept at one temperature, starts at one pressure and gives way to what
// enters first and to what grows.
func squeezed(startsAt, fill, highest, grown float64) float64 {
	low, high := grown, 1000*grown
	for range 200 {
		v := (low + high) / 2
		air := v * startsAt / fill // left when the fill is in
		if air > grown && air*fill/(air-grown) < highest {
			high = v
		} else {
			low = v
		}
	}
	return low
}

func TestExpansionTank(t *testing.T) {
	const air = 101325.0
	// Net growth by an independent density of water, and the growth of steel.
	grown := func(b bench, cold, hot float64) float64 {
		alpha := map[System]float64{US: 11.7e-6, SI: 12e-6}[b.p.Units]
		return kell(cold)/kell(hot) - 1 - 3*alpha*(hot-cold)
	}
	cold := map[System]float64{US: (60 - 32) / 1.8, SI: 15}
	inBoth(t, "expansion-tank", 1, func(b bench) {
		e := b.num("e") / 100
		closeto.Relative(b, e*b.si("V_s"), b.answerSI("growth"), 1e-9, "water taken in")
		fill, highest := b.si("p_f")+air, b.si("p_h")+air
		closeto.Relative(b, squeezed(fill, fill, highest, b.answerSI("growth")), b.answerSI("tank"), 0.001, "tank, by its air")
		// The growth looked up is that of water up to one of the temperatures drawn.
		ok := false
		for hot := 60.0; hot < 101 && !ok; hot += 5.0 / 9 {
			ok = math.Abs(grown(b, cold[b.p.Units], hot)-e) < 2e-4
		}
		require.True(b, ok, "growth of %g", e)
	})
	inBoth(t, "expansion-tank", 2, func(b bench) {
		g := grown(b, b.si("T_c"), b.si("T_h"))
		closeto.Relative(b, g*b.si("V_s"), b.answerSI("growth"), 0.008, "water taken in")
		fill, highest := b.si("p_f")+air, b.si("p_v")-b.si("m")+air
		closeto.Relative(b, squeezed(fill, fill, highest, g*b.si("V_s")), b.answerSI("tank"), 0.009, "tank, by its air")
	})
	inBoth(t, "expansion-tank", 3, func(b bench) {
		closeto.Absolute(b, columnOf(b.si("h"))+b.si("p_m"), b.answerSI("fill"), withinColumn, "fill")
		water := b.num("e") / 100 * b.si("V_s")
		fill, highest := b.answerSI("fill")+air, b.si("p_h")+air
		closeto.Relative(b, squeezed(fill, fill, highest, water), b.answerSI("tank"), 0.002, "diaphragm tank, by its air")
		closeto.Relative(b, squeezed(air, fill, highest, water), b.answerSI("plain"), 0.003, "plain tank, by its air")
		require.Greater(b, b.answerSI("plain"), b.answerSI("tank"))
	})
	// ASHRAE's plain tank (see package expansion): 3000 gal, net growth 4.3306 %,
	// 10 and 25 psi: 578 gal. Hand for a diaphragm: 129.92/(1 − 24.7/39.7) = 343.8.
	onBench(t, "expansion-tank", 3, US, func(b bench) {
		given := map[string]float64{"V_s": 3000, "e": 4.3306, "p_f": 10, "p_h": 25, "p_a": 14.7}
		closeto.Relative(b, 578, b.rework("V_p", given), 1e-3, "published plain tank")
		closeto.Relative(b, 343.8, b.rework("V_t", given), 1e-3, "diaphragm tank by hand")
	})
}

// antoine is the boiling pressure of water in Pa, t in °C: log10(mmHg) =
// 8.07131 − 1730.63/(233.426 + t) up to 100 °C and 8.14019 − 1810.94/(244.485 +
// t) above, coefficients from memory; within half a percent of the steam tables.
func antoine(t float64) float64 {
	a, b, c := 8.07131, 1730.63, 233.426
	if t > 100 {
		a, b, c = 8.14019, 1810.94, 244.485
	}
	return 133.322 * math.Pow(10, a-b/(c+t))
}

func TestSuctionMargin(t *testing.T) {
	boils := func(margin float64) string {
		if margin < 0 {
			return "boils"
		}
		return "holds"
	}
	inBoth(t, "suction-margin", 1, func(b bench) {
		want := b.si("p_s") + 101325 - antoine(b.si("T"))
		closeto.Absolute(b, want, b.answerSI("margin"), 800, "margin")
		require.Equal(b, boils(want), b.part("boils").Answer.Choice)
		engine, err := expansion.SuctionMargin(quantity.Pascal(b.si("p_s")), expansion.StandardAtmosphere, quantity.Celsius(b.si("T")))
		require.NoError(b, err)
		closeto.Absolute(b, float64(engine), b.answerSI("margin"), 100, "margin, by the engine")
	})
	inBoth(t, "suction-margin", 2, func(b bench) {
		suction := b.si("p_f") - columnOf(b.si("h")) - b.si("l")
		closeto.Absolute(b, suction, b.answerSI("suction"), withinColumn, "suction")
		want := suction + 101325 - antoine(b.si("T"))
		closeto.Absolute(b, want, b.answerSI("margin"), 1100, "margin")
		require.Equal(b, boils(want), b.part("boils").Answer.Choice)
	})
	inBoth(t, "suction-margin", 3, func(b bench) {
		// Head above boiling, by other densities and boiling pressures.
		head := func(tank float64) float64 {
			return (tank - b.si("l") + b.si("p_a") - antoine(b.si("T"))) / (kell(b.si("T")) * 9.80665)
		}
		closeto.Absolute(b, head(b.si("p_f")), b.answerSI("head"), 0.1, "head at the suction")
		// With the pressure found the suction has just what is asked of it.
		asked := b.si("R") + b.si("S")
		closeto.Absolute(b, asked, head(b.answerSI("lowest")), 0.1, "head with the lowest pressure")
		want := "enough"
		if b.answerSI("head") < asked {
			want = "short"
		}
		require.Equal(b, want, b.part("enough").Answer.Choice)
		require.Equal(b, want == "enough", b.answerSI("lowest") < b.si("p_f"))
	})
	// Crane TP-410 example 7-32: a suction 25 + 6 ft below a tank under 5 psi,
	// water at 60 °F, 62.364 lb/ft³, 0.256 psia: 13.89 ft are available. The
	// suction stands 31 × 62.364/144 = 13.426 psi below the tank.
	onBench(t, "suction-margin", 3, US, func(b bench) {
		got := b.rework("N", map[string]float64{"p_f": 5, "l": 13.426, "p_a": 14.7, "p_b": 0.256, "rho": 62.364})
		closeto.Absolute(b, 13.89, got, 0.02, "published head")
	})
}

// In all four families every number typed stays what a gauge can show.
func TestPressuresAreReadable(t *testing.T) {
	for _, f := range pressureFamilies {
		for level := 1; level <= Levels; level++ {
			inBoth(t, f.ID, level, func(b bench) {
				for _, part := range b.p.Parts {
					if part.Answer.Quantity == nil || part.Answer.Quantity.Kind() != quantity.Pressure {
						continue
					}
					psi := quantity.PSI.FromSI(part.Answer.Quantity.SI)
					require.Greater(b, math.Abs(psi), 1.1, part.ID)
					require.Less(b, math.Abs(psi), 45.0, part.ID)
				}
				require.True(b, slices.ContainsFunc(b.p.Cautions, func(c string) bool { return c == cautionPressure }))
			})
		}
	}
}
