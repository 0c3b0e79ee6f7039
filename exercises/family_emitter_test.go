package exercises

import (
	"testing"

	"github.com/stretchr/testify/require"

	"loopwright/grader/closeto"
)

// finTubeTable is output at mean water in °F over that on 215 °F steam, with
// 65 °F air. Source: finned-tube rating convention (I=B=R / AHRI), from memory.
var finTubeTable = []struct{ mean, factor float64 }{
	{150, 0.45}, {155, 0.49}, {160, 0.53}, {165, 0.57}, {170, 0.61}, {175, 0.65}, {180, 0.69}, {185, 0.73}, {190, 0.78}, {195, 0.82}, {200, 0.86},
}

// finTubeWithin: the table prints two figures, so a step of it is 1 to 2 %,
// and 1.4 stands for an exponent between 1.36 and 1.41.
const finTubeWithin = 0.025

// finTubeFactor reads the table, between rows in a straight line, for water
// so much over air.
func finTubeFactor(t testing.TB, fahrenheitOverAir float64) float64 {
	mean := 65 + fahrenheitOverAir
	for i := 1; i < len(finTubeTable); i++ {
		low, high := finTubeTable[i-1], finTubeTable[i]
		if mean >= low.mean && mean <= high.mean {
			return low.factor + (high.factor-low.factor)*(mean-low.mean)/(high.mean-low.mean)
		}
	}
	require.Fail(t, "outside the table", "%v °F over air", fahrenheitOverAir)
	return 0
}

// ratedFactor is the output of a problem's element at a mean water
// temperature, over its rating.
func ratedFactor(b bench, mean float64) float64 {
	over := func(water float64) float64 {
		reading := b.quantity("T_a").Unit
		return 1.8 * (reading.ToSI(water) - b.si("T_a"))
	}
	return finTubeFactor(b, over(mean)) / finTubeFactor(b, over(b.num("T_r")))
}

func TestFinTubeOutput(t *testing.T) {
	inBoth(t, "fin-tube-output", 1, func(b bench) {
		closeto.Relative(b, b.num("q_r")*b.num("L")*ratedFactor(b, b.num("T_m")), b.answer("heat"), finTubeWithin, "heat")
	})
	inBoth(t, "fin-tube-output", 2, func(b bench) {
		q := b.num("q_r") * ratedFactor(b, (b.num("T_in")+b.num("T_out"))/2)
		closeto.Relative(b, q, b.answer("output"), finTubeWithin, "output per length")
		closeto.Relative(b, b.num("Q"), b.answer("length")*b.answer("output"), 1e-9, "the length gives the load")
	})
	inBoth(t, "fin-tube-output", 3, func(b bench) {
		// 4 gpm gives 6 % more than 1 gpm: a trade column on ratings.
		closeto.Relative(b, 1.06, b.rework("G", map[string]float64{"q_r": 1, "T_m": 100, "T_a": 0, "T_r": 100, "n": 1, "f": 4, "f_r": 1, "m": 0.04}), 0.004, "published flow factor")
		flow := b.num("f") / b.num("f_r")
		require.GreaterOrEqual(b, flow, 1.0)
		require.LessOrEqual(b, flow, 4.0)
		still := b.num("q_r") * b.num("L") * ratedFactor(b, b.num("T_m"))
		require.Greater(b, b.answer("credited"), still*(1-finTubeWithin))
		require.Less(b, b.answer("credited"), still*1.06*(1+finTubeWithin))
		closeto.Relative(b, b.answer("credited"), 1.15*b.answer("from-water"), 1e-9, "tested output and allowance")
		fromWater := b.answerSI("from-water")
		closeto.Relative(b, fromWater, b.si("f")*1000*4186.8*b.answerSI("drop"), 0.0025, "the water's own balance")
	})
}

// en442 is (ΔT/50 K)^n for n = 1.25, 1.3 and 1.35. Source: EN 442-2
// characteristic equation, computed outside this program; public supplier
// tables print the column of 1.3.
var en442 = []struct{ excess, n125, n130, n135 float64 }{
	{20, 0.3181, 0.3039, 0.2903}, {25, 0.4204, 0.4061, 0.3923}, {30, 0.5281, 0.5148, 0.5018}, {35, 0.6403, 0.6290, 0.6178},
	{40, 0.7566, 0.7482, 0.7399}, {45, 0.8766, 0.8720, 0.8674}, {50, 1, 1, 1}, {55, 1.1265, 1.1319, 1.1373},
	{60, 1.2560, 1.2675, 1.2791}, {65, 1.3881, 1.4065, 1.4250}, {70, 1.5229, 1.5487, 1.5744},
}

// en442Within is what straight lines between rows and columns cost, and a
// figure of the table.
const en442Within = 0.004

func en442Factor(t testing.TB, excess, n float64) float64 {
	column := func(i int) float64 {
		r := en442[i]
		if n < 1.3 {
			return r.n125 + (r.n130-r.n125)*(n-1.25)/0.05
		}
		return r.n130 + (r.n135-r.n130)*(n-1.3)/0.05
	}
	for i := 1; i < len(en442); i++ {
		if low, high := en442[i-1].excess, en442[i].excess; excess >= low && excess <= high {
			return column(i-1) + (column(i)-column(i-1))*(excess-low)/(high-low)
		}
	}
	require.Fail(t, "outside the table", "%v K over the room", excess)
	return 0
}

// edrList is what a square foot of EDR gives at a mean water temperature in a
// 70 °F room: a straight list, 2 BTU/h for each °F. Sources: a supplier's
// catalog page on sizing cast-iron radiators for 170 to 215 °F; a boiler
// maker's table quoted on a public trade forum below.
func edrList(mean float64) float64 { return 150 + 2*(mean-170) }

// edrWithin: the law lies within 3.5 % of the list from 140 to 200 °F.
const edrWithin = 0.045

func TestRadiatorOutput(t *testing.T) {
	radiators := func(b bench) float64 { return b.num("N") * b.num("a") }
	onBench(t, "radiator-output", 1, US, func(b bench) {
		closeto.Relative(b, radiators(b)*edrList(70+b.num("T_m")-b.num("T_i")), b.answer("heat"), edrWithin, "heat")
	})
	onBench(t, "radiator-output", 1, SI, func(b bench) {
		closeto.Relative(b, b.num("Q_r")*en442Factor(b, b.num("T_m")-b.num("T_i"), b.num("n")), b.answer("heat"), en442Within, "heat")
	})
	onBench(t, "radiator-output", 2, US, func(b bench) {
		over := (b.num("T_s")+b.num("T_r"))/2 - b.num("T_i")
		closeto.Relative(b, radiators(b)*edrList(70+over), b.answer("heat"), edrWithin, "heat")
	})
	onBench(t, "radiator-output", 2, SI, func(b bench) {
		over, n := (b.num("T_s")+b.num("T_r"))/2-b.num("T_i"), b.num("n")
		closeto.Relative(b, b.num("Q_r")*en442Factor(b, over, n)/en442Factor(b, 60, n), b.answer("heat"), en442Within, "heat")
	})
	inBoth(t, "radiator-output", 3, func(b bench) {
		rated := 0.0
		if b.p.Units == US {
			rated = 150 * radiators(b)
		} else {
			rated = b.num("Q_r")
		}
		// The table's 50 K stand for the rating's own excess.
		heat := func(mean float64) float64 {
			return rated * en442Factor(b, 50*(mean-b.num("T_i"))/b.num("dT_r"), b.num("n"))
		}
		closeto.Relative(b, heat((b.num("T_s")+b.num("T_r"))/2), b.answer("heat"), en442Within, "heat")
		closeto.Relative(b, b.num("Q_l"), heat(b.answer("needed")), en442Within, "the water found covers the loss")
		enough := b.answer("heat") > b.num("Q_l")
		require.Equal(b, map[bool]string{true: "warm", false: "cold"}[enough], b.part("verdict").Answer.Choice)
	})
	// 60 K instead of 50 gives 1.267 times as much: a supplier's EN 442 page.
	onBench(t, "radiator-output", 1, SI, func(b bench) {
		closeto.Relative(b, 1.267, b.rework("Q", map[string]float64{"Q_r": 1, "T_m": 80, "T_i": 20, "dT_r": 50, "n": 1.3}), 0.0005, "published factor")
	})
	// 170 °F in a 70 °F room is the definition; 200 °F gives 210 by the list.
	onBench(t, "radiator-output", 1, US, func(b bench) {
		rated := func(mean float64) map[string]float64 {
			return map[string]float64{"N": 10, "a": 3, "e": 150, "dT_r": 100, "n": 1.3, "T_m": mean, "T_i": 70}
		}
		closeto.Relative(b, 4500, b.rework("Q", rated(170)), 1e-12, "by definition")
		closeto.Relative(b, 6300, b.rework("Q", rated(200)), 0.02, "published list")
	})
}
