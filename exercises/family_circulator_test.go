package exercises

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"loopwright/grader/circulator"
	"loopwright/grader/closeto"
	"loopwright/grader/quantity"
	"loopwright/grader/thumb"
)

// The rule of package thumb in SI, against formulas in the learner's units.
func TestLongestRun(t *testing.T) {
	inBoth(t, "longest-run", 1, func(b bench) {
		closeto.Relative(b, thumb.LongestRun(b.si("L"), b.si("W"), b.si("H")), b.answerSI("run"), 1e-9, "run")
	})
	inBoth(t, "longest-run", 2, func(b bench) {
		// Walked pipe by pipe: out of the shed, along, across, up story by
		// story, and all of it back.
		way := b.num("S") + b.num("L") + b.num("W")
		for range int(b.num("n")) {
			way += b.num("h")
		}
		closeto.Relative(b, way+way, b.answer("run"), 1e-9, "run")
	})
	inBoth(t, "longest-run", 3, func(b bench) {
		north := thumb.LongestRun(b.si("L_1"), b.si("W_1"), b.si("H_1"))
		south := thumb.LongestRun(b.si("L_2"), b.si("W_2"), b.si("H_2"))
		long, name := north, "north"
		if south > north {
			long, name = south, "south"
		}
		require.Equal(b, name, b.part("wing").Answer.Choice)
		closeto.Relative(b, long, b.answerSI("run"), 1e-9, "run")
	})
}

func TestWithoutDrawings(t *testing.T) {
	head := func(b bench) float64 {
		run := thumb.LongestRun(b.si("L"), b.si("W"), b.si("H"))
		if b.p.Units == US {
			return float64(thumb.HeadForRun(run))
		}
		return 600 * run // Pa: 400 Pa/m and half again for fittings
	}
	for _, level := range []int{1, 2} {
		inBoth(t, "circulator-without-drawings", level, func(b bench) {
			closeto.Relative(b, head(b), b.answerSI("head"), 1e-9, "head")
			// New clean pipe of the outlet's size takes less than the rule
			// says, but not less than half of it.
			d := b.p.Rule.Difference()
			require.Greater(b, d, 0.0)
			require.Less(b, d, 1.0)
		})
	}
	inBoth(t, "circulator-without-drawings", 3, func(b bench) {
		capacity := map[System]float64{US: quantity.BTUPerHourGPMDegree.ToSI(500), SI: 4.19e6}[b.p.Units]
		f := b.si("Q") / (capacity * b.si("dT"))
		closeto.Relative(b, f, b.answerSI("flow"), 1e-9, "flow")
		closeto.Relative(b, head(b), b.answerSI("old"), 1e-9, "old")
		system, err := circulator.Through(0, b.si("f_o"), quantity.MetersHead(head(b)), 2)
		require.NoError(b, err)
		closeto.Relative(b, float64(system.Head(f)), b.answerSI("new"), 1e-9, "new")
	})
}

// A published chart of the trade (R. E. Michel Company, tech tip "Quick
// Calculations for Hydronic Heating Systems") gives copper and iron pipe 14 and
// 16 gpm at 1-1/4 in, 22 and 24 at 1-1/2 in, 44 and 48 at 2 in.
func TestOutletFlowsPublished(t *testing.T) {
	chart := map[float64][2]float64{14: {14, 16}, 22: {22, 24}, 45: {44, 48}}
	seen := map[float64]bool{}
	onBench(t, "circulator-without-drawings", 1, US, func(b bench) {
		f := b.num("f")
		row, ok := chart[f]
		require.True(b, ok, "%v gpm", f)
		require.GreaterOrEqual(b, f, row[0])
		require.LessOrEqual(b, f, row[1])
		seen[f] = true
	})
	require.Len(t, seen, 3)
}

// duty is a design point as the engine takes it; a pressure is of cold water.
func duty(b bench, name string) quantity.MetersHead {
	if b.p.Units == US {
		return quantity.MetersHead(b.si(name))
	}
	return quantity.Pascal(b.si(name)).Head(998.2)
}

// The engine's own pick from the whole curves.
func TestCirculatorPick(t *testing.T) {
	inBoth(t, "circulator-pick", 1, func(b bench) {
		c, err := circulator.Pick(circulator.Demo(), b.si("f"), duty(b, "H"), 0)
		require.NoError(b, err)
		require.Equal(b, c.Model.ID, b.part("pick").Answer.Choice)
		closeto.Absolute(b, b.num("H_2")-b.num("H"), b.answer("hand"), 1e-9, "in hand")
	})
	inBoth(t, "circulator-pick", 2, func(b bench) {
		// The point lies above the curve of the one that custom takes, and
		// below the one that is accepted with a remark.
		part := b.part("pick")
		f := b.answerSI("flow")
		need := quantity.MetersHead(b.answerSI("head"))
		if b.p.Units == SI {
			need = quantity.Pascal(b.answerSI("head")).Head(998.2)
		}
		small, ok := circulator.DemoNamed(part.Answer.Choice)
		require.True(b, ok)
		large, ok := circulator.DemoNamed(part.Accepts[0].Choice)
		require.True(b, ok)
		gives, err := small.Curve.Head(f)
		require.NoError(b, err)
		require.Less(b, gives, need)
		gives, err = large.Curve.Head(f)
		require.NoError(b, err)
		require.Greater(b, gives, need)
		// And the head is 6 ft per 100 ft, 600 Pa for each meter.
		rate := map[System]float64{US: 0.06, SI: 600}[b.p.Units]
		closeto.Relative(b, rate*b.si("R"), b.answerSI("head"), 1e-9, "head")
		// The smaller one moves a little less than the flow asked for.
		require.Greater(b, b.p.Rule.Difference(), 0.0)
		require.Less(b, b.p.Rule.Difference(), 0.08)
	})
	inBoth(t, "circulator-pick", 3, func(b bench) {
		ids := slices.Clone(b.part("order").Answer.Order)
		set := make([]circulator.Model, 3)
		heads := map[string]float64{}
		for i, id := range ids {
			set[i], _ = circulator.DemoNamed(id)
			h, err := set[i].Curve.Head(b.si("f"))
			require.NoError(b, err)
			heads[id] = float64(h)
		}
		slices.SortFunc(ids, func(x, y string) int { return int(math.Copysign(1, heads[y]-heads[x])) })
		require.Equal(b, ids, b.part("order").Answer.Order)
		c, err := circulator.Pick(set, b.si("f"), duty(b, "H"), 0.1)
		require.NoError(b, err)
		require.Equal(b, c.Model.ID, b.part("pick").Answer.Choice)
		got := b.answerSI("head")
		if b.p.Units == SI {
			got = float64(quantity.Pascal(got).Head(998.2))
		}
		// Read to half a foot or a kPa, along a chord.
		closeto.Relative(b, heads[c.Model.ID], got, 0.06, "head")
	})
}

// At the answer both curves give the same head; the engine finds the same
// point from two points of the curve.
func TestOperatingPoint(t *testing.T) {
	inBoth(t, "operating-point", 1, func(b bench) {
		fall := (b.num("a") - b.num("H_1")) / (b.num("f_1") * b.num("f_1"))
		f := b.answer("flow")
		closeto.Relative(b, b.num("a")-fall*f*f, b.answer("head"), 1e-9, "head on the circulator's curve")
		curve, err := circulator.NewCurve(circulator.Point{Head: duty(b, "a")}, circulator.Point{Flow: b.si("f_1"), Head: duty(b, "H_1")})
		require.NoError(b, err)
		system, err := circulator.Through(0, b.si("f_d"), duty(b, "H_d"), 2)
		require.NoError(b, err)
		if b.answerSI("flow") > curve.End() {
			return // a little beyond the known point, where the engine's curve ends
		}
		at, err := circulator.OperatingPoint(curve, system)
		require.NoError(b, err)
		closeto.Relative(b, at.Flow, b.answerSI("flow"), 1e-9, "flow")
	})
	inBoth(t, "operating-point", 2, func(b bench) {
		f := b.answer("flow")
		H := 0.0
		if b.p.Units == US {
			H = 2.31 * b.num("p")
		} else {
			H = b.num("H")
		}
		closeto.Relative(b, H, b.num("a")-b.num("b")*f*f, 1e-9, "the reading lies on the curve")
		// Doubling by doubling, the square law is ×4: here by logarithms.
		want := math.Exp(math.Log(H) + 2*math.Log(b.num("f_d")/f))
		closeto.Relative(b, want, b.answer("needed"), 1e-9, "needed")
		require.Equal(b, want > b.num("H_p"), b.part("verdict").Answer.Choice == "tighter")
	})
	inBoth(t, "operating-point", 3, func(b bench) {
		// The engine with the readings as its curve, and the square law. The
		// chord between readings lies a little under it.
		points := []circulator.Point{{Head: 1.05 * duty(b, "h_1")}}
		for _, n := range []string{"1", "2", "3", "4"} {
			points = append(points, circulator.Point{Flow: b.si("x_" + n), Head: duty(b, "h_"+n)})
		}
		curve, err := circulator.NewCurve(points...)
		require.NoError(b, err)
		system, err := circulator.Through(0, b.si("f_d"), duty(b, "H_d"), 2)
		require.NoError(b, err)
		at, err := circulator.OperatingPoint(curve, system)
		require.NoError(b, err)
		closeto.Relative(b, at.Flow, b.answerSI("flow"), 0.03, "flow")
		between := b.part("between").Answer.Choice
		require.Greater(b, at.Flow, b.si("x_"+between[:1]))
		require.Less(b, at.Flow, b.si("x_"+between[2:]))
		got := b.answerSI("head")
		if b.p.Units == SI {
			got = float64(quantity.Pascal(got).Head(998.2))
		}
		closeto.Relative(b, float64(at.Head), got, 0.05, "head")
	})
}

// The engine runs the circulator at the other speed and finds where it meets
// the unchanged system; power follows what the water takes up.
func TestSpeedChange(t *testing.T) {
	at := func(b bench, ratio float64) circulator.Point {
		curve, err := circulator.NewCurve(circulator.Point{Flow: b.si("f_1"), Head: duty(b, "H_1")})
		require.NoError(b, err)
		system, err := circulator.Through(0, b.si("f_1"), duty(b, "H_1"), 2)
		require.NoError(b, err)
		slow, err := curve.AtSpeed(ratio)
		require.NoError(b, err)
		p, err := circulator.OperatingPoint(slow, system)
		require.NoError(b, err)
		return p
	}
	power := func(b bench, p circulator.Point) float64 {
		now := circulator.HydraulicPower(b.si("f_1"), duty(b, "H_1"), 1000)
		return b.si("P_1") * circulator.HydraulicPower(p.Flow, p.Head, 1000) / now
	}
	head := func(b bench, part string) float64 {
		if b.p.Units == US {
			return b.answerSI(part)
		}
		return float64(quantity.Pascal(b.answerSI(part)).Head(998.2))
	}
	inBoth(t, "speed-change", 1, func(b bench) {
		p := at(b, b.num("N_2")/b.num("N_1"))
		closeto.Relative(b, p.Flow, b.answerSI("flow"), 1e-6, "flow")
		closeto.Relative(b, float64(p.Head), head(b, "head"), 1e-6, "head")
		closeto.Relative(b, power(b, p), b.answerSI("power"), 1e-6, "power")
	})
	inBoth(t, "speed-change", 2, func(b bench) {
		p := at(b, b.answer("speed")/b.num("N_1"))
		closeto.Relative(b, b.si("f_2"), p.Flow, 1e-6, "the speed gives the flow")
		closeto.Relative(b, float64(p.Head), head(b, "head"), 1e-6, "head")
		closeto.Relative(b, b.si("P_1"), b.answerSI("saved")+power(b, p), 1e-6, "power")
	})
	inBoth(t, "speed-change", 3, func(b bench) {
		p := at(b, b.answer("speed")/b.num("N_1"))
		closeto.Relative(b, float64(duty(b, "H_2")), float64(p.Head), 1e-6, "the speed gives the head")
		closeto.Relative(b, power(b, p), b.answerSI("power"), 1e-6, "power")
		closeto.Relative(b, b.si("f_1")*b.si("dT_1"), p.Flow*b.answerSI("drop"), 1e-6, "the same heat")
	})
}

// Crane TP-410, example 7-33: 400 gpm, 126 ft and 17.5 hp at 3500 rpm become
// 194 gpm, 29.7 ft and 2.0 hp at 1700 rpm.
func TestSpeedChangePublished(t *testing.T) {
	onBench(t, "speed-change", 1, US, func(b bench) {
		example := func() table { return table{"N_1": 3500, "N_2": 1700, "f_1": 400, "H_1": 126, "P_1": 17.5} }
		closeto.Absolute(b, 194, b.rework("f_2", example()), 0.5, "flow")
		closeto.Absolute(b, 29.7, b.rework("H_2", example()), 0.05, "head")
		closeto.Absolute(b, 2.0, b.rework("P_2", example()), 0.05, "power")
	})
}

// The engine's water power with cold water; 3960, 746 and 2.31 are rounded.
func TestPumpPower(t *testing.T) {
	onBench(t, "pump-power", 1, US, func(b bench) {
		w := circulator.HydraulicPower(b.si("f"), duty(b, "H"), 999.1)
		closeto.Relative(b, w, b.answerSI("watts"), 2e-3, "watts")
		closeto.Relative(b, w, b.answerSI("hp"), 2e-3, "hp")
	})
	onBench(t, "pump-power", 1, SI, func(b bench) {
		w := circulator.HydraulicPower(b.si("f"), quantity.MetersHead(b.si("H")), 1000)
		closeto.Relative(b, w, b.answerSI("watts"), 1e-3, "watts")
	})
	inBoth(t, "pump-power", 2, func(b bench) {
		p := circulator.Point{Flow: b.si("f"), Power: b.si("P_e")}
		if b.p.Units == US {
			p.Head = duty(b, "H")
		} else {
			p.Head = duty(b, "p")
		}
		eta, err := p.WireToWater(998.2)
		require.NoError(b, err)
		closeto.Relative(b, eta, b.answerSI("efficiency"), 2e-3, "efficiency")
		closeto.Relative(b, eta*b.si("P_e"), b.answerSI("water"), 2e-3, "water")
	})
	inBoth(t, "pump-power", 3, func(b bench) {
		// Pressure times volume flow, in SI, needs none of the constants.
		capacity := map[System]float64{US: quantity.BTUPerHourGPMDegree.ToSI(500), SI: 4.19e6}[b.p.Units]
		f := b.si("Q") / (capacity * b.si("dT"))
		closeto.Relative(b, f, b.answerSI("flow"), 1e-9, "flow")
		closeto.Relative(b, f*b.si("p")/b.si("P_e"), b.answerSI("old"), 2e-3, "old")
		closeto.Relative(b, f*b.si("p")/b.si("P_n"), b.answerSI("new"), 2e-3, "new")
		require.Greater(b, b.si("P_e"), b.si("P_n"))
		require.Equal(b, "old", b.part("waste").Answer.Choice)
	})
}

// Crane TP-410, example 7-15: 100 gpm against 421 ft at an efficiency of 70 %
// take 15.2 hp, so the water takes up 10.64 hp.
func TestPumpPowerPublished(t *testing.T) {
	onBench(t, "pump-power", 1, US, func(b bench) {
		closeto.Absolute(b, 15.2*0.7, b.rework("P_h", table{"f": 100, "H": 421}), 0.05*0.7, "hp")
	})
}
