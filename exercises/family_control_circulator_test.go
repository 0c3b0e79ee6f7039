package exercises

import (
	"math"
	"regexp"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"loopwright/grader"
	"loopwright/grader/circulator"
	"loopwright/grader/closeto"
	"loopwright/grader/pipe"
	"loopwright/grader/quantity"
)

// The engine's curves in series and in parallel. Numbers go through as they
// are.
func TestCirculatorsCombined(t *testing.T) {
	pair := func(b bench) (one, side, row circulator.Point) {
		c, err := circulator.NewCurve(circulator.Point{Head: quantity.MetersHead(b.num("a"))},
			circulator.Point{Flow: b.num("f_e"), Head: quantity.MetersHead(b.num("H_e"))})
		require.NoError(b, err)
		system, err := circulator.Through(0, b.num("f_d"), quantity.MetersHead(b.num("H_d")), 2)
		require.NoError(b, err)
		parallel, err := circulator.Parallel(c, c)
		require.NoError(b, err)
		series, err := circulator.Series(c, c)
		require.NoError(b, err)
		one, err = circulator.OperatingPoint(c, system)
		require.NoError(b, err)
		side, err = circulator.OperatingPoint(parallel, system)
		require.NoError(b, err)
		if row, err = circulator.OperatingPoint(series, system); b.p.Level > 1 {
			require.NoError(b, err)
		}
		return one, side, row
	}
	inBoth(t, "circulators-combined", 1, func(b bench) {
		one, side, _ := pair(b)
		closeto.Relative(b, one.Flow, b.answer("alone"), 1e-9, "alone")
		closeto.Relative(b, side.Flow, b.answer("both"), 1e-6, "both")
		closeto.Relative(b, side.Flow/one.Flow-1, b.answerSI("gain"), 1e-5, "gain")
		require.Less(b, side.Flow, 2*one.Flow, "never doubled")
		// By hand: 20 − 0.05 f² on 0.05 f²: √(20/0.1) = 14.142; with two
		// √(20/0.0625) = 17.889, 26.5 % more.
		worked := table{"a": 20, "b": 0.05, "c": 0.05}
		closeto.Relative(b, 14.142, b.rework("f_1", worked), 1e-4, "alone by hand")
		closeto.Relative(b, 17.889, b.rework("f_2", worked), 1e-4, "both by hand")
		closeto.Relative(b, 26.49, b.rework("g", worked), 1e-3, "gain by hand")
	})
	inBoth(t, "circulators-combined", 2, func(b bench) {
		one, _, row := pair(b)
		closeto.Relative(b, one.Flow, b.answer("alone"), 1e-9, "alone")
		closeto.Relative(b, row.Flow, b.answer("both"), 1e-9, "both")
		closeto.Relative(b, float64(row.Head), b.answer("head"), 1e-9, "head")
		require.Less(b, float64(row.Head), 2*float64(one.Head))
		// By hand: √(40/0.15) = 16.330, at 0.05 × 266.67 = 13.333.
		worked := table{"a": 20, "b": 0.05, "c": 0.05}
		closeto.Relative(b, 16.330, b.rework("f_2", worked), 1e-4, "flow by hand")
		closeto.Relative(b, 13.333, b.rework("H_2", worked), 1e-4, "head by hand")
	})
	better := map[string]bool{}
	inBoth(t, "circulators-combined", 3, func(b bench) {
		one, side, row := pair(b)
		closeto.Relative(b, one.Flow, b.answer("alone"), 1e-9, "alone")
		closeto.Relative(b, side.Flow, b.answer("side"), 1e-6, "side by side")
		closeto.Relative(b, row.Flow, b.answer("row"), 1e-9, "one behind the other")
		right := "side"
		if row.Flow > side.Flow {
			right = "row"
		}
		better[right] = true
		require.Equal(b, right, b.part("better").Answer.Choice)
		closeto.Relative(b, one.Flow, b.answerSI("left")*math.Max(side.Flow, row.Flow), 1e-6, "left")
	})
	require.Len(t, better, 2, "both ways are better somewhere")
}

var demoNames = regexp.MustCompile(`C-\d+`)

// demoIn finds the demo circulators of a statement, in order.
func demoIn(b bench) (found []circulator.Model) {
	for _, id := range demoNames.FindAllString(b.p.Statement, -1) {
		m, ok := circulator.DemoNamed(id)
		require.True(b, ok, id)
		found = append(found, m)
	}
	return found
}

// The whole curve of the new circulator on the system curve, instead of a
// straight line between two readings.
func TestSwappedCirculator(t *testing.T) {
	through := func(b bench) float64 {
		models := demoIn(b)
		old, fresh := models[0], models[1]
		was, err := old.Curve.Head(b.si("f_1"))
		require.NoError(b, err)
		reading := map[System]float64{US: 0.26 * 0.3048, SI: 0.52 / 9.79}[b.p.Units]
		closeto.Absolute(b, float64(was), float64(duty(b, "H_1")), reading, "where the old one ran")
		system, err := circulator.Through(0, b.si("f_1"), duty(b, "H_1"), 2)
		require.NoError(b, err)
		point, err := circulator.OperatingPoint(fresh.Curve, system)
		require.NoError(b, err)
		closeto.Relative(b, point.Flow, b.answerSI("flow"), 0.03, "flow")
		require.Greater(b, point.Flow, b.si("x_1"))
		require.Less(b, point.Flow, b.si("x_2"))
		if b.p.Rule != nil {
			require.Less(b, math.Abs(b.p.Rule.Difference()), 0.1)
		}
		return b.answerSI("flow") / b.si("f_1")
	}
	drops := map[string]bool{}
	inBoth(t, "swapped-circulator", 1, func(b bench) {
		r := through(b)
		closeto.Relative(b, r, b.answerSI("share"), 1e-9, "share")
		right := "smaller"
		if r < 1 {
			right = "larger"
		}
		drops[right] = true
		require.Equal(b, right, b.part("drop").Answer.Choice)
		// By hand: 16 − 10 × 1.44 = 1.6 and 14 − 10 × 1.96 = −5.6; of the way
		// from 12 to 14 the part 1.6/7.2, to 12.444.
		worked := table{"f_1": 10, "H_1": 10, "x_1": 12, "h_1": 16, "x_2": 14, "h_2": 14}
		closeto.Relative(b, 12.444, b.rework("f_2", worked), 1e-4, "by hand")
	})
	require.Len(t, drops, 2, "both answers are right somewhere")
	quiet := map[string]bool{}
	inBoth(t, "swapped-circulator", 2, func(b bench) {
		r := through(b)
		closeto.Relative(b, b.si("H_1")*r*r, b.answerSI("head"), 1e-9, "head")
		// Flow over the area of the bore, in SI; 0.4085 and 1273 are rounded.
		v := b.answerSI("flow") / (math.Pi / 4 * b.si("d") * b.si("d"))
		closeto.Relative(b, v, b.answerSI("velocity"), 3e-4, "velocity")
		size := pipe.Size{Bore: b.si("d")}
		require.Less(b, size.Velocity(b.si("f_1")), b.si("v_m"), "quiet before")
		right := "under"
		if v > b.si("v_m") {
			right = "over"
		}
		quiet[right] = true
		require.Equal(b, right, b.part("limit").Answer.Choice)
	})
	require.Len(t, quiet, 2, "both answers are right somewhere")
	inBoth(t, "swapped-circulator", 3, func(b bench) {
		r := through(b)
		require.Greater(b, r, 1.1)
		// The same heat: flow times drop. From a supply of 100 the mean of
		// supply and return is 100 less half of the drop.
		closeto.Relative(b, b.si("dT_1"), r*b.answerSI("drop"), 1e-9, "drop")
		before, after := (100+100-b.si("dT_1"))/2, (100+100-b.answerSI("drop"))/2
		closeto.Relative(b, after-before, b.answerSI("mean"), 1e-9, "mean")
		require.Equal(b, "little", b.part("room").Answer.Choice)
	})
}

// requireWatts checks what the sheet says that a circulator draws: the point
// of the curve at full speed from which the affinity laws lead to this flow
// and head lies where the parabola through it crosses the curve.
func requireWatts(b bench, sheet, flow float64, head quantity.MetersHead) {
	b.Helper()
	m := demoIn(b)[0]
	system, err := circulator.Through(0, flow, head, 2)
	require.NoError(b, err)
	point, err := circulator.OperatingPoint(m.Curve, system)
	require.NoError(b, err)
	closeto.Absolute(b, math.Pow(flow/point.Flow, 3)*point.Power, sheet, 0.51, "watts")
}

// kilowattHours adds powers over hours, joule by joule.
func kilowattHours(b bench, powers ...float64) (sum float64) {
	for i, hours := range []string{"t_1", "t_2", "t_3"} {
		sum += powers[i] * b.si(hours)
	}
	return sum / 3.6e6
}

func TestSpeedModeSavings(t *testing.T) {
	energies := func(b bench) {
		m := demoIn(b)[0]
		watts, err := m.Curve.Power(b.si("f_d"))
		require.NoError(b, err)
		closeto.Absolute(b, watts, b.num("P_1"), 0.51, "full speed")
		if b.p.Level < 3 {
			closeto.Relative(b, kilowattHours(b, b.num("P_1"), b.num("P_1"), b.num("P_1")), b.answer("fixed"), 1e-9, "fixed")
		}
	}
	share := func(b bench, n string) (flow, proportional float64) { return b.si("x_" + n), (1 + b.si("x_"+n)) / 2 }
	inBoth(t, "speed-mode-savings", 1, func(b bench) {
		energies(b)
		requireWatts(b, b.num("P_2"), b.si("f_d")*b.si("x_2"), duty(b, "H_d"))
		requireWatts(b, b.num("P_3"), b.si("f_d")*b.si("x_3"), duty(b, "H_d"))
		held := kilowattHours(b, b.num("P_1"), b.num("P_2"), b.num("P_3"))
		closeto.Relative(b, held, b.answer("held"), 1e-9, "held")
		closeto.Relative(b, b.answer("fixed")*b.num("e")-held*b.num("e"), b.answer("saved"), 1e-9, "saved")
		// By hand: 100 W × 4000 h = 400 kWh; 50 + 90 + 80 = 220 kWh; 180 × 0.2.
		worked := table{"P_1": 100, "P_2": 60, "P_3": 40, "t_1": 500, "t_2": 1500, "t_3": 2000, "e": 0.2}
		closeto.Relative(b, 400, b.rework("E_s", worked), 1e-12, "fixed by hand")
		closeto.Relative(b, 220, b.rework("E_h", worked), 1e-12, "held by hand")
		closeto.Relative(b, 36, b.rework("S", worked), 1e-12, "saved by hand")
	})
	inBoth(t, "speed-mode-savings", 2, func(b bench) {
		energies(b)
		flow, part := share(b, "2")
		requireWatts(b, b.num("P_2"), b.si("f_d")*flow, duty(b, "H_d")*quantity.MetersHead(part))
		// Half way along the straight line from half to all.
		flow, part = share(b, "3")
		closeto.Relative(b, b.si("H_d")*part, b.answerSI("head"), 1e-9, "head")
		// The power found by way of the efficiency is the engine's, but for
		// the rounding of the efficiency to a tenth of a percent, of the watts
		// to one, and of 746 and 3960.
		head := duty(b, "H_d") * quantity.MetersHead(part)
		at := b.si("f_d") * flow
		closeto.Relative(b, circulator.HydraulicPower(at, head, 998.2)/b.si("eta"), b.answerSI("power"), 2e-3, "power")
		requireWatts(b, math.Round(b.answerSI("power")), at, head)
		closeto.Relative(b, kilowattHours(b, b.num("P_1"), b.num("P_2"), b.answer("power")), b.answer("proportional"), 1e-9, "proportional")
	})
	modes := map[string]bool{}
	inBoth(t, "speed-mode-savings", 3, func(b bench) {
		energies(b)
		for _, n := range []string{"2", "3"} {
			flow, part := share(b, n)
			requireWatts(b, b.num("P_"+n), b.si("f_d")*flow, duty(b, "H_d"))
			requireWatts(b, b.num("R_"+n), b.si("f_d")*flow, duty(b, "H_d")*quantity.MetersHead(part))
		}
		// Boiler and main as the engine's system curve, the open circuits at
		// their design difference.
		main, err := circulator.Through(0, b.num("f_d"), quantity.MetersHead(b.si("w")*b.num("H_d")), 2)
		require.NoError(b, err)
		flow, part := share(b, "3")
		needed := float64(main.Head(flow*b.num("f_d"))) + b.num("H_d") - b.si("w")*b.num("H_d")
		closeto.Relative(b, needed, b.answer("needed"), 1e-9, "needed")
		closeto.Relative(b, part*b.num("H_d"), b.answer("gives"), 1e-9, "gives")
		right, column := "held", "P_"
		if part*b.num("H_d") > needed {
			right, column = "proportional", "R_"
		}
		modes[right] = true
		require.Equal(b, right, b.part("mode").Answer.Choice)
		saved := kilowattHours(b, 0, b.num("P_1")-b.num(column+"2"), b.num("P_1")-b.num(column+"3"))
		closeto.Relative(b, saved, b.answer("saved"), 1e-9, "saved")
		// By hand: 1 − 0.6 + 0.6 × 0.25 = 0.55 of 20 are 11; 0.75 of 20 are 15.
		worked := table{"H_d": 20, "w": 60, "x_3": 50}
		closeto.Relative(b, 11, b.rework("H_n", worked), 1e-12, "needed by hand")
		closeto.Relative(b, 15, b.rework("H_p", table{"H_d": 20, "w": 60, "x_3": 50}), 1e-12, "given by hand")
	})
	require.Len(t, modes, 2, "both ways are right somewhere")
}

// Energy may be given in any unit of energy. Power with the right number, and
// hours, are told as another kind; watt hours for kWh as the slip they are.
func TestEnergyIsNotPower(t *testing.T) {
	inBoth(t, "speed-mode-savings", 1, func(b bench) {
		part := *b.part("fixed")
		kWh := b.answer("fixed")
		require.Equal(b, quantity.KilowattHour, part.Answer.Quantity.Unit)
		mark := func(number float64, unit string) grader.PartResult {
			typed := strconv.FormatFloat(number, 'f', 4, 64) + " " + unit
			r, err := grader.Mark([]grader.Part{part}, map[string]string{"fixed": typed})
			require.NoError(b, err, typed)
			return r.Parts[0]
		}
		for unit, each := range map[string]float64{"": 1, "kWh": 1, "kW h": 1, "kilowatt hours": 1, "Wh": 1000, "MWh": 1e-3, "MJ": 3.6} {
			require.Equal(b, grader.Right, mark(kWh*each, unit).Verdict, unit)
		}
		for unit, says := range map[string]string{"kW": "kW is a heat rate or power", "h": "h is a time"} {
			r := mark(kWh, unit)
			require.Equal(b, grader.Unit, r.Verdict, unit)
			require.Contains(b, r.Say, says)
			require.Contains(b, r.Say, "asks for an energy")
			far := mark(3*kWh, unit)
			require.Equal(b, grader.Wrong, far.Verdict)
			require.Contains(b, far.Say, says)
		}
		slip := mark(1000*kWh, "kWh")
		require.Equal(b, "watt-hours-left", slip.Slip)
	})
}
