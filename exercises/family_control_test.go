package exercises

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"loopwright/grader/circulator"
	"loopwright/grader/closeto"
	"loopwright/grader/network"
	"loopwright/grader/quantity"
	"loopwright/grader/valve"
)

// The engine's authority and coefficients in SI, with cold water.
func TestValveAuthority(t *testing.T) {
	judged := map[string]bool{}
	inBoth(t, "valve-authority", 1, func(b bench) {
		n, err := valve.Authority(quantity.Pascal(b.si("p_v")), quantity.Pascal(b.si("p_r")))
		require.NoError(b, err)
		closeto.Relative(b, n, b.answer("authority"), 1e-9, "authority")
		// At least half, or at least a quarter, said without division.
		right := "poor"
		if b.num("p_v") >= b.num("p_r") {
			right = "good"
		} else if 3*b.num("p_v") >= b.num("p_r") {
			right = "fair"
		}
		judged[right] = true
		require.Equal(b, right, b.part("judge").Answer.Choice)
		require.Greater(b, b.num("p_p"), b.num("p_v")+b.num("p_r"))
		// A controls maker's valve range manual p. 31: 4.3 kPa over 3 kPa, 0.59.
		// A public building-controls note: 0.331 over 0.317 bar, 0.51.
		closeto.Absolute(b, 0.59, b.rework("N", table{"p_v": 4.3, "p_r": 3}), 0.005, "range manual")
		closeto.Absolute(b, 0.51, b.rework("N", table{"p_v": 0.331, "p_r": 0.317}), 0.005, "building-controls note")
	})
	require.Len(t, judged, 3, "every judgment is right somewhere")
	inBoth(t, "valve-authority", 2, func(b bench) {
		rest := quantity.Pascal(b.si("p_r"))
		drop, err := valve.DropForAuthority(b.num("N"), rest)
		require.NoError(b, err)
		closeto.Relative(b, float64(drop), b.answerSI("drop"), 1e-9, "drop")
		c, err := valve.For(b.si("f"), drop, valve.ReferenceDensity)
		require.NoError(b, err)
		closeto.Relative(b, float64(c), b.answerSI("coefficient"), 1e-6, "coefficient")
		// The size taken keeps the authority wanted, the next larger does not.
		authority := func(size byte) float64 {
			n, err := valve.Authority(valve.Coefficient(b.si("V_"+string(size))).Drop(b.si("f"), valve.ReferenceDensity), rest)
			require.NoError(b, err)
			return n
		}
		size := b.part("size").Answer.Choice[len("size-")]
		require.GreaterOrEqual(b, authority(size), b.num("N"))
		require.Less(b, authority(size+1), b.num("N"))
		closeto.Relative(b, authority(size), b.answer("authority"), 1e-6, "authority")
		// An engineering reference page on valve authority: 0.8 over 15 kPa is
		// 60 kPa.
		closeto.Relative(b, 60, b.rework("p_n", table{"N": 0.8, "p_r": 15}), 1e-12, "reference page")
	})
	inBoth(t, "valve-authority", 3, func(b bench) {
		v, rest := b.si("p_v"), b.si("p_r")
		// Valve and circuit in a row at a held difference, by bisection on the
		// flow: at phi of its coefficient the valve takes 1/phi² as much.
		passes := func(phi float64) float64 {
			low, high := 0.0, 1.0
			for range 60 {
				if q := (low + high) / 2; v*(q/phi)*(q/phi)+rest*q*q < v+rest {
					low = q
				} else {
					high = q
				}
			}
			return low
		}
		lift := b.si("h")
		equal, err := valve.EqualPercentage(b.num("R"))
		require.NoError(b, err)
		linear, err := valve.Linear(b.num("R"))
		require.NoError(b, err)
		for part, plug := range map[string]valve.Characteristic{"equal": equal, "linear": linear} {
			phi, err := plug.At(lift)
			require.NoError(b, err)
			closeto.Relative(b, passes(phi), b.answerSI(part), 1e-9, part)
			// Another size, at the same design flow and with the same circuit:
			// twice the coefficient takes a quarter of the drop, half of it
			// four times as much.
			factor, right := 4.0, "less"
			if strings.Contains(b.part("other").Prompt, "twice") {
				factor, right = 0.25, "more"
			}
			now, err := valve.Installed(phi, v/(v+rest))
			require.NoError(b, err)
			then, err := valve.Installed(phi, factor*v/(factor*v+rest))
			require.NoError(b, err)
			require.Equal(b, right == "more", then > now)
			require.Equal(b, right, b.part("other").Answer.Choice)
		}
		// Computed outside this program: authority 0.5 at half of the
		// coefficient passes 0.63246.
		closeto.Relative(b, 63.246, b.rework("x_e", table{"N": 0.5, "y_e": 0.5}), 1e-5, "half of the coefficient")
		// By hand: 50^−0.5 = 0.14142; 1 − 0.5 + 0.5/0.02 = 25.5, root 5.0498,
		// so 19.803 %. Linear 0.02 + 0.49 = 0.51.
		closeto.Relative(b, 19.803, b.rework("x_e", table{"p_v": 2, "p_r": 2, "R": 50, "h": 50}), 1e-4, "by hand")
		closeto.Relative(b, 0.51, b.rework("y_l", table{"p_v": 2, "p_r": 2, "R": 50, "h": 50}), 1e-12, "by hand")
	})
}

// pascals is the difference named by a given or by an answer as a pressure of
// cold water.
func pascals(b bench, si float64) quantity.Pascal {
	if b.p.Units == US {
		return quantity.MetersHead(si).Pressure(valve.ReferenceDensity)
	}
	return quantity.Pascal(si)
}

// Zone and bypass as valves of the engine side by side; 2.31 ft for 1 psi is
// rounded, by 0.1 %.
func TestBypassSetting(t *testing.T) {
	found := map[string]bool{}
	inBoth(t, "bypass-setting", 1, func(b bench) {
		// Down the supply main, through the zone and home: what is left of the
		// answer must be nothing.
		left := b.num("h_m") + b.num("h_v") + b.num("h_z") - b.answer("design")
		closeto.Absolute(b, 0, left, 1e-9, "design")
		closeto.Relative(b, b.num("y")/100, b.answer("setting")/b.answer("design")-1, 1e-9, "margin")
		require.Less(b, b.answer("setting"), b.num("a"))
		right := b.part("found").Answer.Choice
		found[right] = true
		switch right {
		case "always":
			require.Less(b, b.num("X"), 0.9*b.answer("design"))
		case "never":
			require.Greater(b, b.num("X"), 1.05*b.num("a"))
		default:
			b.Errorf("%q is never right", right)
		}
	})
	require.Len(t, found, 2)
	inBoth(t, "bypass-setting", 2, func(b bench) {
		zone, err := valve.For(b.si("q_o"), pascals(b, b.si("D")), valve.ReferenceDensity)
		require.NoError(b, err)
		closeto.Relative(b, b.num("y")/100, b.answer("setting")/b.num("D")-1, 1e-9, "margin")
		set := pascals(b, b.answerSI("setting"))
		through := zone.Flow(set, valve.ReferenceDensity)
		closeto.Relative(b, b.si("f_m"), through+b.answerSI("flow"), 1e-9, "the boiler's flow")
		bypass := valve.Coefficient(b.answerSI("coefficient"))
		closeto.Relative(b, b.si("f_m"), through+bypass.Flow(set, valve.ReferenceDensity), 2e-3, "wide open")
		// By hand: 5 + 20 % is 6; the root of 1.2 is 1.0954, so a zone of 2
		// passes 2.1909, and of 6 there are 3.8091 left for the bypass.
		closeto.Relative(b, 3.8091, b.rework("f_p", table{"D": 5, "y": 20, "q_o": 2, "f_m": 6}), 1e-4, "by hand")
	})
	inBoth(t, "bypass-setting", 3, func(b bench) {
		// The engine's crossing of the circulator's curve with zone and bypass
		// side by side must lie at the set point.
		end := b.num("f_d") * 1.1
		curve, err := circulator.NewCurve(circulator.Point{Head: quantity.MetersHead(b.num("a"))},
			circulator.Point{Flow: end, Head: quantity.MetersHead(b.num("a") - b.num("b")*end*end)})
		require.NoError(b, err)
		design, err := curve.Head(b.num("f_d"))
		require.NoError(b, err)
		closeto.Relative(b, float64(design)*(1+b.num("y")/100), b.answer("setting"), 1e-9, "setting")
		zone := b.num("q_o") / math.Sqrt(float64(design))
		bypass := b.answer("flow") / math.Sqrt(b.answer("setting"))
		point, err := circulator.OperatingPoint(curve, circulator.SystemCurve{Coefficient: math.Pow(zone+bypass, -2), Exponent: 2})
		require.NoError(b, err)
		closeto.Relative(b, b.answer("setting"), float64(point.Head), 1e-9, "held")
		closeto.Relative(b, point.Flow, b.answer("circulator"), 1e-9, "circulator")
		c, err := valve.For(b.answerSI("flow"), pascals(b, b.answerSI("setting")), valve.ReferenceDensity)
		require.NoError(b, err)
		closeto.Relative(b, float64(c), b.answerSI("coefficient"), 2e-3, "coefficient")
		// Frost is full load: rooms short there mean a bypass that is open.
		right := "above"
		if strings.Contains(b.part("moved").Prompt, "frost") {
			right = "below"
		}
		require.Equal(b, right, b.part("moved").Answer.Choice)
	})
}

// curveOf is the parabola of a closing-valve problem as the engine's curve.
// Numbers go through as they are.
func curveOf(b bench) circulator.Curve {
	c, err := circulator.NewCurve(circulator.Point{Head: quantity.MetersHead(b.num("a"))},
		circulator.Point{Flow: b.num("f_d"), Head: quantity.MetersHead(b.num("H_d"))})
	require.NoError(b, err)
	return c
}

// lastZoneOpen solves boiler and mains with one zone open by the engine's
// network.
func lastZoneOpen(b bench, source network.HeadSource) *network.TwoPipeFlow {
	none := network.PowerLaw{Exponent: 2}
	system := network.TwoPipe{
		Supply: []network.Resistance{none}, Return: []network.Resistance{none},
		Circuits: []network.Resistance{network.RatedPoint(b.num("q"), b.num("h_z"), 2)},
		Shared:   network.RatedPoint(b.num("f_d"), b.num("H_d")-b.num("h_z"), 2),
	}
	solved, err := system.Solve(source)
	require.NoError(b, err)
	return solved
}

// pressureOf turns a number in ft of head into psi, and leaves kPa.
func pressureOf(b bench, number float64) float64 {
	if b.p.Units == US {
		return number / 2.31
	}
	return number
}

func TestClosingValvePressure(t *testing.T) {
	limits := map[string]bool{}
	limit := func(b bench, value float64) {
		right := "under"
		if value > map[System]float64{US: 4, SI: 30}[b.p.Units] {
			right = "over"
		}
		limits[right] = true
		require.Equal(b, right, b.part("limit").Answer.Choice)
	}
	inBoth(t, "closing-valve-pressure", 1, func(b bench) {
		curve := curveOf(b)
		gives, err := curve.Head(b.num("f"))
		require.NoError(b, err)
		closeto.Relative(b, float64(gives), b.answer("head"), 1e-9, "head")
		mains, err := circulator.Through(0, b.num("f_d"), quantity.MetersHead(b.num("H_d")-b.num("h_z")), 2)
		require.NoError(b, err)
		across := float64(gives - mains.Head(b.num("f")))
		closeto.Relative(b, pressureOf(b, across), b.answer("difference"), 1e-9, "difference")
		limit(b, b.answer("difference"))
		// What the meter shows is what the network finds.
		rounding := map[System]float64{US: 0.051, SI: 0.0051}[b.p.Units]
		closeto.Absolute(b, lastZoneOpen(b, curve).Total, b.num("f"), rounding, "meter")
		// By hand: 20 − 8 × (1/4) = 18; boiler and mains 6 at design flow, 6/4
		// = 1.5 now; 16.5 are left.
		closeto.Relative(b, 16.5, b.rework("D", table{"a": 20, "H_d": 12, "h_z": 6, "f_d": 10, "f": 5}), 1e-12, "by hand")
	})
	inBoth(t, "closing-valve-pressure", 2, func(b bench) {
		solved := lastZoneOpen(b, curveOf(b))
		closeto.Relative(b, solved.Total, b.answer("flow"), 1e-9, "flow")
		valves := solved.Difference[0] * b.num("h_v") / b.num("h_z")
		closeto.Relative(b, pressureOf(b, valves), b.answer("drop"), 1e-9, "drop")
		limit(b, b.answer("drop"))
	})
	require.Len(t, limits, 2, "both answers are right somewhere")
	ways := map[string]bool{}
	inBoth(t, "closing-valve-pressure", 3, func(b bench) {
		fixed, held := lastZoneOpen(b, curveOf(b)), lastZoneOpen(b, network.FixedHead(b.num("H_d")))
		closeto.Relative(b, fixed.Total, b.answer("fixed"), 1e-9, "fixed speed")
		closeto.Relative(b, held.Total, b.answer("held"), 1e-9, "held")
		most, _ := curveOf(b).SourceHead(0)
		closeto.Relative(b, pressureOf(b, most), b.answer("across"), 1e-9, "across")
		right := "neither"
		switch stands := b.num("L"); {
		case stands > pressureOf(b, most):
			right = "both"
		case stands > pressureOf(b, b.num("H_d")):
			right = "held"
		}
		ways[right] = true
		require.Equal(b, right, b.part("shuts").Answer.Choice)
		// By hand: 8/100 and 6/100 and 6/4 are 0.08, 0.06 and 1.5; 20/1.64 =
		// 12.195, root 3.4922; 12/1.56 = 7.6923, root 2.7735.
		worked := table{"a": 20, "H_d": 12, "h_z": 6, "f_d": 10, "q": 2}
		closeto.Relative(b, 3.4922, b.rework("f", worked), 1e-4, "fixed by hand")
		closeto.Relative(b, 2.7735, b.rework("f_h", worked), 1e-4, "held by hand")
	})
	require.Len(t, ways, 3, "every answer is right somewhere")
}
