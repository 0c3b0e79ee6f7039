package exercises

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"loopwright/grader/boiler"
	"loopwright/grader/closeto"
	"loopwright/grader/emitter"
	"loopwright/grader/network"
	"loopwright/grader/quantity"
)

// acrossSeparator runs the two sides against each other, round after round,
// until nothing changes: the boiler sends its water at one temperature and the
// rooms take their heat. Capacity rates in W/K, heat in W.
func acrossSeparator(boilerSide, systemSide, sent, heat float64) (supply, back, boilerBack float64) {
	back = sent
	for range 4000 {
		supply, boilerBack = sent, back
		if systemSide > boilerSide {
			supply = (boilerSide*sent + (systemSide-boilerSide)*back) / systemSide
		} else {
			boilerBack = (systemSide*back + (boilerSide-systemSide)*sent) / boilerSide
		}
		back = supply - heat/systemSide
	}
	return supply, back, boilerBack
}

func TestSeparatorMixing(t *testing.T) {
	direction := func(b bench, moreSystem float64) {
		want := "none"
		switch {
		case moreSystem > 1e-9:
			want = "return-to-supply"
		case moreSystem < -1e-9:
			want = "supply-to-return"
		}
		require.Equal(b, want, b.part("direction").Answer.Choice)
	}
	inBoth(t, "separator-mixing", 1, func(b bench) {
		fp, fs, hot, cold := b.num("f_p"), b.num("f_s"), b.num("T_b"), b.num("T_r")
		direction(b, fs-fp)
		// All heat above the system's return goes in on one side and out on the
		// other: what the boiler gives is what the system takes.
		supply, boilerBack := hot, cold
		if fs > fp {
			supply = b.answer("mixed")
			require.Contains(b, b.part("mixed").Prompt, "Supply of the system")
		} else {
			boilerBack = b.answer("mixed")
			require.Contains(b, b.part("mixed").Prompt, "Return of the boiler")
		}
		closeto.Relative(b, fp*(hot-boilerBack), fs*(supply-cold), 1e-9, "heat in and heat out")
		closeto.Relative(b, max(fp, fs), min(fp, fs)+b.answer("across"), 1e-9, "flows meet")
	})
	inBoth(t, "separator-mixing", 2, func(b bench) {
		cp, cs := loopCapacity(b, "f_p"), loopCapacity(b, "f_s")
		supply, back, boilerBack := acrossSeparator(cp, cs, b.si("T_b"), b.si("Q"))
		closeto.Absolute(b, back, b.answerSI("return"), withinKelvin, "return of the system")
		mixed := boilerBack
		if cs > cp {
			mixed = supply
		}
		closeto.Absolute(b, mixed, b.answerSI("mixed"), withinKelvin, "mixed")
		direction(b, cs-cp)
	})
	inBoth(t, "separator-mixing", 3, func(b bench) {
		closeto.Relative(b, carried(b, b.num("f_p"), b.num("T_1")-b.num("T_2")), b.answer("heat"), massWay, "heat")
		// The engine's separator with these flows shows these thermometers.
		heat, cp := b.answerSI("heat"), loopCapacity(b, "f_p")
		supply, back, boilerBack := acrossSeparator(cp, cp*b.answer("flow")/b.num("f_p"), b.si("T_1"), heat)
		closeto.Absolute(b, b.si("T_2"), boilerBack, withinKelvin, "back to the boiler")
		closeto.Absolute(b, b.si("T_3"), supply, withinKelvin, "out to the system")
		closeto.Absolute(b, b.si("T_4"), back, withinKelvin, "back from the system")
		direction(b, b.answer("flow")-b.num("f_p"))
		want := "neither"
		switch {
		case b.num("T_3") < b.num("T_1"):
			want = "cool-supply"
		case b.num("T_2") > b.num("T_4"):
			want = "warm-return"
		}
		require.Equal(b, want, b.part("effect").Answer.Choice)
	})
	// Hand: the boiler moves 6 gpm at 180 °F, the system 10 gpm, back at 140 °F.
	// 4 gpm come over from the return: (6 × 180 + 4 × 140)/10 = 164 °F.
	onBench(t, "separator-mixing", 1, US, func(b bench) {
		if strings.Contains(b.part("mixed").Prompt, "Supply") {
			got := b.rework("T_m", map[string]float64{"f_p": 6, "T_b": 180, "f_s": 10, "T_r": 140})
			closeto.Absolute(b, 164, got, 1e-9, "supply by hand")
		}
	})
}

func TestMixingValve(t *testing.T) {
	inBoth(t, "mixing-valve", 1, func(b bench) {
		hot, again := b.answer("hot"), b.num("f")-b.answer("hot")
		closeto.Relative(b, hot*(b.num("T_h")-b.num("T_m")), again*(b.num("T_m")-b.num("T_r")), 1e-9, "what one loses the other gains")
		closeto.Relative(b, hot, b.num("f")*b.answer("share")/100, 1e-9, "share")
	})
	inBoth(t, "mixing-valve", 2, func(b bench) {
		closeto.Relative(b, b.num("Q"), carried(b, b.num("f"), b.num("T_m")-b.answer("return")), massWay, "heat of the floor")
		// Seen from the boiler: what it sends comes back as the floor's return.
		closeto.Relative(b, b.num("Q"), carried(b, b.answer("hot"), b.num("T_h")-b.answer("return")), massWay, "heat from the boiler")
	})
	inBoth(t, "mixing-valve", 3, func(b bench) {
		hot, cold := b.answer("hot"), b.num("f")-b.answer("hot")
		mix := func(store float64) float64 { return (hot*store + cold*b.num("T_c")) / b.num("f") }
		closeto.Absolute(b, b.num("T_m"), mix(b.num("T_h")), 1e-9, "as set")
		closeto.Absolute(b, mix(b.num("T_2")), b.answer("stuck"), 1e-9, "stuck")
		limit := map[System]float64{US: 120, SI: 49}[b.p.Units]
		require.Equal(b, map[bool]string{true: "scalds", false: "safe"}[b.answer("stuck") > limit], b.part("scald").Answer.Choice)
		require.Contains(b, b.p.Cautions, cautionScald)
	})
	// Hand: 110 °F from 160 and 90: (110 − 90)/(160 − 90) = 2/7 = 28.57 %, of
	// 7 gpm two.
	onBench(t, "mixing-valve", 1, US, func(b bench) {
		given := map[string]float64{"f": 7, "T_m": 110, "T_h": 160, "T_r": 90}
		closeto.Relative(b, 200.0/7, b.rework("x", given), 1e-9, "share by hand")
		closeto.Relative(b, 2, b.rework("f_h", given), 1e-9, "flow by hand")
	})
}

// demoEfficiency is the demo boiler's curve itself, in percent. The sheet that
// learners read has its rows rounded to a tenth, and the curve bends between
// two of them: half a point.
func demoEfficiency(b bench, back float64) float64 {
	e, err := boiler.Demo().At(quantity.Celsius(back))
	require.NoError(b, err)
	return 100 * e
}

const sheetWithin = 0.45

func TestReturnAndCondensing(t *testing.T) {
	condenses := func(b bench, back float64) {
		want := "no"
		if back < float64(boiler.DewPoint) {
			want = "yes"
		}
		require.Equal(b, want, b.part("condenses").Answer.Choice)
	}
	saved := func(b bench, before, after float64) {
		// The fuel for 100 units of heat, before and after.
		fuel := func(back float64) float64 { return 100 / demoEfficiency(b, back) }
		closeto.Absolute(b, 100*(fuel(before)-fuel(after))/fuel(before), b.answer("saved"), 0.6, "fuel saved")
	}
	asks := func(b bench, id string) bool {
		for _, p := range b.p.Parts {
			if p.ID == id {
				return true
			}
		}
		return false
	}
	inBoth(t, "return-and-condensing", 1, func(b bench) {
		closeto.Relative(b, b.num("Q"), carried(b, b.num("f"), b.num("T_s")-b.answer("return")), massWay, "heat at the return found")
		closeto.Absolute(b, demoEfficiency(b, b.answerSI("return")), b.answer("efficiency"), sheetWithin, "efficiency")
		closeto.Relative(b, b.num("Q"), b.answer("fuel")*b.answer("efficiency")/100, 1e-9, "heat of the fuel")
		condenses(b, b.answerSI("return"))
	})
	inBoth(t, "return-and-condensing", 2, func(b bench) {
		closeto.Absolute(b, demoEfficiency(b, b.si("T_1")), b.answer("now"), sheetWithin, "efficiency now")
		closeto.Absolute(b, demoEfficiency(b, b.si("T_2")), b.answer("after"), sheetWithin, "efficiency after")
		before, after := b.si("T_1") < float64(boiler.DewPoint), b.si("T_2") < float64(boiler.DewPoint)
		want := map[[2]bool]string{{true, true}: "all", {false, true}: "part", {false, false}: "none"}[[2]bool{before, after}]
		require.Equal(b, want, b.part("condenses").Answer.Choice)
		require.Equal(b, want != "none", asks(b, "saved"))
		if want != "none" {
			saved(b, b.si("T_1"), b.si("T_2"))
		} else {
			require.Less(b, b.answer("after")-b.answer("now"), 1.0, "without condensing a cooler return brings next to nothing")
		}
	})
	inBoth(t, "return-and-condensing", 3, func(b bench) {
		// A radiator rated for the design day, fed with the design flow: which
		// supply makes it give the share wanted, and what leaves it? Found by
		// trying, with the engine's radiator.
		supply, back, room := b.si("T_s"), b.si("T_1"), b.si("T_i")
		e := emitter.Emitter{Output: 1000, Excess: quantity.Kelvin((supply+back)/2 - room), Drop: quantity.Kelvin(supply - back), Exponent: 1.3}
		c := 1000 / (supply - back)
		low, high, leaving := room, supply, quantity.Celsius(0)
		for range 100 {
			try := (low + high) / 2
			heat, out, err := e.HeatArithmetic(c, quantity.Celsius(try), quantity.Celsius(room))
			require.NoError(b, err)
			leaving = out
			if heat < 10*b.num("x") {
				low = try
			} else {
				high = try
			}
		}
		closeto.Absolute(b, float64(leaving), b.answerSI("return"), 0.01, "return")
		closeto.Absolute(b, demoEfficiency(b, float64(leaving)), b.answer("efficiency"), sheetWithin, "efficiency")
		condenses(b, float64(leaving))
		if asks(b, "saved") {
			saved(b, back, float64(leaving))
		}
	})
	// Hand: 20 kW from 0.4 L/s drop by 20/(4.19 × 0.4) = 11.933 K: from 55 back at
	// 43.07 °C. Rows 93 % at 40 and 88.5 % at 50: 93 − 4.5 × 0.3067 = 91.62 %;
	// the fuel is 20/0.9162 = 21.83 kW.
	onBench(t, "return-and-condensing", 1, SI, func(b bench) {
		given := map[string]float64{"Q": 20, "f": 0.4, "T_s": 55, "k": 4.19, "T_l": 40, "eta_l": 93, "T_h": 50, "eta_h": 88.5}
		closeto.Absolute(b, 43.067, b.rework("T_r", given), 0.001, "return by hand")
		closeto.Absolute(b, 91.62, b.rework("eta", given), 0.005, "efficiency by hand")
		closeto.Absolute(b, 21.83, b.rework("B", given), 0.005, "fuel by hand")
	})
}

func TestOnePipeOrTwoPipe(t *testing.T) {
	mean := func(p network.Passed) float64 { return float64(p.Entering+p.Leaving) / 2 }
	oneOf := func(b bench, share float64) network.Passed {
		// On two pipes each room is a loop of its own, with its share of the flow.
		passed, err := network.SeriesLoop(quantity.Celsius(b.si("T_s")), loopCapacity(b, "f")*share, stops([]float64{b.si("Q")}, 1))
		require.NoError(b, err)
		return passed[0]
	}
	inBoth(t, "one-pipe-or-two-pipe", 1, func(b bench) {
		n := int(b.num("N"))
		heats := make([]float64, n)
		for i := range heats {
			heats[i] = b.si("Q")
		}
		loop, err := network.SeriesLoop(quantity.Celsius(b.si("T_s")), loopCapacity(b, "f"), stops(heats, 1))
		require.NoError(b, err)
		two := oneOf(b, 1/b.num("N"))
		closeto.Absolute(b, mean(loop[n-1]), b.answerSI("loop"), withinKelvin, "last room on the loop")
		closeto.Absolute(b, mean(two), b.answerSI("two"), withinKelvin, "any room on two pipes")
		closeto.Absolute(b, float64(loop[n-1].After), float64(two.Leaving), 1e-9, "both come back alike")
		require.Equal(b, "same", b.part("boiler").Answer.Choice)
	})
	// gives says what heat a radiator of that size gives with a flow of water:
	// the answer's size, put back into the engine's radiator.
	radiator := func(b bench, size float64) emitter.Emitter {
		e, err := emitter.CastIron(size)
		if b.p.Units == SI {
			e, err = emitter.Panel(size, 1.3)
		}
		require.NoError(b, err)
		return e
	}
	gives := func(b bench, size, c float64, entering quantity.Celsius) float64 {
		heat, _, err := radiator(b, size).HeatArithmetic(c, entering, quantity.Celsius(b.si("T_i")))
		require.NoError(b, err)
		return heat
	}
	// Rounded factors move the water by less than withinKelvin, and a percent or
	// so of heat goes with a kelvin's 2 %.
	const within = 0.003
	branches := func(b bench) []network.Passed {
		heats := make([]float64, int(b.num("N")))
		for i := range heats {
			heats[i] = b.si("Q")
		}
		return diverterOf(b, heats)
	}
	inBoth(t, "one-pipe-or-two-pipe", 2, func(b bench) {
		passed := branches(b)
		one, two := b.answer("one"), b.answer("two")
		closeto.Relative(b, b.si("Q"), gives(b, one, loopCapacity(b, "f_b"), passed[len(passed)-1].Entering), within, "last radiator on the one pipe")
		closeto.Relative(b, b.si("Q"), gives(b, two, loopCapacity(b, "f")/b.num("N"), quantity.Celsius(b.si("T_s"))), within, "any radiator on two pipes")
		closeto.Relative(b, one/two, 1+b.answer("more")/100, 1e-9, "more")
	})
	inBoth(t, "one-pipe-or-two-pipe", 3, func(b bench) {
		// Each radiator's size found by trying, until it gives its heat.
		sized := func(c float64, entering quantity.Celsius) float64 {
			low, high := 1.0, 0.6*b.answer("two") // one room is a quarter or so
			for range 100 {
				try := (low + high) / 2
				if gives(b, try, c, entering) < b.si("Q") {
					low = try
				} else {
					high = try
				}
			}
			return low
		}
		one := 0.0
		for _, p := range branches(b) {
			one += sized(loopCapacity(b, "f_b"), p.Entering)
		}
		two := b.num("N") * sized(loopCapacity(b, "f")/b.num("N"), quantity.Celsius(b.si("T_s")))
		closeto.Relative(b, one, b.answer("one"), within, "all on the one pipe")
		closeto.Relative(b, two, b.answer("two"), within, "all on two pipes")
		closeto.Relative(b, b.answer("one")-b.answer("two"), b.answer("more"), 1e-9, "more")
	})
	// Hand: four rooms of 10,000 BTU/h, 4 gpm at 180 °F. On the loop each drops the
	// water by 5 °F; the last has a mean of 180 − 15 − 2.5 = 162.5. On two pipes
	// each gets 1 gpm and drops it by 20: a mean of 170.
	onBench(t, "one-pipe-or-two-pipe", 1, US, func(b bench) {
		given := map[string]float64{"N": 4, "Q": 10000, "T_s": 180, "f": 4, "k": 500}
		closeto.Absolute(b, 162.5, b.rework("T_1", given), 1e-9, "loop by hand")
		closeto.Absolute(b, 170, b.rework("T_2", given), 1e-9, "two pipes by hand")
	})
}

// diverterOf runs the heats past diverter tees that pass f_b of f each.
func diverterOf(b bench, heats []float64) []network.Passed {
	passed, err := network.DiverterLoop(quantity.Celsius(b.si("T_s")), loopCapacity(b, "f"), stops(heats, b.num("f_b")/b.num("f")))
	require.NoError(b, err)
	return passed
}
