package thumb

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"loopwright/grader/circulator"
	"loopwright/grader/closeto"
	"loopwright/grader/emitter"
	"loopwright/grader/quantity"
)

// Hand calculations of each rule in the trade's own units.
func TestFormulasByHand(t *testing.T) {
	gpm, btu, ft, psi := quantity.GallonPerMinute, quantity.BTUPerHour, quantity.FootHead, quantity.PSI

	// 75,000 / 10,000 = 7.5 gpm, the same as by 500 × 20.
	closeto.Relative(t, 7.5, gpm.FromSI(FlowByTenThousand(btu.ToSI(75000))), 1e-12, "one gpm for 10,000")
	closeto.Relative(t, 75000, btu.FromSI(gpm.ToSI(7.5)*FactorUS*float64(DropUS)), 1e-12, "by 500 × 20")

	// 6 ft at 10 gpm is 6 × 1.5² = 13.5 ft at 15 gpm.
	h, err := HeadAtFlow(quantity.MetersHead(ft.ToSI(6)), gpm.ToSI(10), gpm.ToSI(15))
	require.NoError(t, err)
	closeto.Relative(t, 13.5, ft.FromSI(float64(h)), 1e-12, "square law")
	_, err = HeadAtFlow(3, 0, 1)
	require.Error(t, err)
	_, err = HeadAtFlow(3, 1, math.NaN())
	require.Error(t, err)

	// 30 ft × 0.433 = 12.99 psi; 12.99 × 2.31 = 30.007 ft. 9 m × 9.8 = 88.2 kPa.
	p := PressureOfHeightUS(quantity.Foot.ToSI(30))
	closeto.Relative(t, 12.99, psi.FromSI(float64(p)), 1e-12, "psi")
	closeto.Relative(t, 30.0069, ft.FromSI(float64(HeadOfPressureUS(p))), 1e-6, "ft")
	closeto.Relative(t, 88200, float64(PressureOfHeightSI(9)), 1e-12, "kPa")
	closeto.Relative(t, float64(PressureOfHeightUS(9)), float64(PressureOfHeightSI(9)), 2e-3, "the two practices agree")

	// 99 gpm × 40 ft / 3960 = 1 hp = 745.7 W. 2 L/s × 30 kPa = 60 W.
	closeto.Relative(t, 745.7, WaterPowerUS(gpm.ToSI(99), quantity.MetersHead(ft.ToSI(40))), 1e-5, "hp")
	closeto.Relative(t, 60, WaterPowerSI(2e-3, 30e3), 1e-12, "W")

	// 4 × 500 × 20 = 40,000 BTU/h; / 600 = 66.67 ft. 0.25 × 4.19 × 10 =
	// 10.475 kW; / 0.575 = 18.22 m.
	us, si := SeriesLoopUS(), SeriesLoopSI()
	closeto.Relative(t, 4, gpm.FromSI(us.Flow), 1e-12, "loop flow")
	closeto.Relative(t, 40000, btu.FromSI(us.Load), 1e-12, "loop load")
	closeto.Relative(t, 66.6667, quantity.Foot.FromSI(us.Length), 1e-6, "loop length")
	closeto.Relative(t, 10475, si.Load, 1e-12, "loop load, SI")
	closeto.Relative(t, 18.2174, si.Length, 1e-5, "loop length, SI")

	// 150 × 0.29307107 = 43.9607 W, 240 × 0.29307107 = 70.3371 W; for a square
	// meter of EDR × 10.7639: 473 and 757 W, as the rule says.
	closeto.Relative(t, 43.9607, EDRWater, 1e-6, "EDR on water")
	closeto.Relative(t, 70.3371, EDRSteam, 1e-6, "EDR on steam")
	closeto.Absolute(t, 473, EDRWater*10.7639, 0.5, "per square meter, water")
	closeto.Absolute(t, 757, EDRSteam*10.7639, 0.5, "per square meter, steam")
}

// What rule series-loop and rule edr-output say, against the engine.
func TestLoopAndRadiatorAgainstEngine(t *testing.T) {
	f2c := func(f float64) quantity.Celsius { return quantity.Celsius(quantity.Fahrenheit.ToSI(f)) }
	us := SeriesLoopUS()
	c := us.Flow * FactorUS
	tube := emitter.DemoFinTube()
	// With 180 °F halfway round, the loop gives its load and the 5.7 % that
	// 4 gpm adds to a rating at 1 gpm.
	heat, leaving, err := tube.Length(us.Length).Heat(c, f2c(190), f2c(65))
	require.NoError(t, err)
	closeto.Relative(t, 1.057*us.Load, heat, 0.015, "180 °F in the middle")
	require.Less(t, leaving, f2c(190))
	// With 180 °F as the supply it falls short: "the last emitters see cooler
	// water and must be longer".
	heat, leaving, err = tube.Length(us.Length).Heat(c, f2c(180), f2c(65))
	require.NoError(t, err)
	require.Less(t, heat, 0.97*us.Load)
	require.Less(t, tube.PerMeter(leaving, f2c(65), c), 0.85*tube.PerMeter(f2c(180), f2c(65), c))
	// A radiator: 110 at 150 °F and 60 at 120 °F, printed to two figures.
	r, err := emitter.CastIron(1)
	require.NoError(t, err)
	closeto.Absolute(t, 110, quantity.BTUPerHour.FromSI(r.AtMean(f2c(150), f2c(70), c)), 5, "EDR at 150 °F")
	closeto.Absolute(t, 60, quantity.BTUPerHour.FromSI(r.AtMean(f2c(120), f2c(70), c)), 5, "EDR at 120 °F")
	closeto.Relative(t, EDRWater, r.AtMean(f2c(170), f2c(70), c), 1e-9, "EDR at 170 °F")
}

func TestTakeSmaller(t *testing.T) {
	for name, row := range map[string]struct {
		heads  []quantity.MetersHead
		design quantity.MetersHead
		want   int // -1 for an error
	}{
		"between":           {[]quantity.MetersHead{2, 4, 6}, 4.5, 1},
		"in any order":      {[]quantity.MetersHead{6, 2, 4}, 4.5, 2},
		"met exactly":       {[]quantity.MetersHead{2, 4, 6}, 6, 2},
		"does not reach":    {[]quantity.MetersHead{0, 6}, 4.5, -1},
		"above all":         {[]quantity.MetersHead{2, 4}, 5, -1},
		"below all":         {[]quantity.MetersHead{2, 4}, 1, -1},
		"none":              {nil, 1, -1},
		"not a number":      {[]quantity.MetersHead{2, 4}, quantity.MetersHead(math.NaN()), -1},
		"a curve not known": {[]quantity.MetersHead{2, quantity.MetersHead(math.NaN()), 4}, 3, 0},
	} {
		got, err := TakeSmaller(row.heads, row.design)
		if row.want < 0 {
			require.ErrorContains(t, err, "between no two", name)
			continue
		}
		require.NoError(t, err, name)
		require.Equal(t, row.want, got, name)
	}
}

// Where both speak, the rule's circulator is never larger than the engine's,
// and the flow it then gives on the system's curve is below the design flow.
func TestTakeSmallerAgainstPick(t *testing.T) {
	set := circulator.Demo()
	spoke := 0
	rapid.Check(t, func(t *rapid.T) {
		flow := quantity.GallonPerMinute.ToSI(rapid.Float64Range(1, 140).Draw(t, "gpm"))
		head := quantity.MetersHead(quantity.FootHead.ToSI(rapid.Float64Range(1, 45).Draw(t, "ft")))
		heads := make([]quantity.MetersHead, len(set))
		for i, m := range set {
			heads[i], _ = m.Curve.Head(flow) // 0 beyond the curve
		}
		i, err := TakeSmaller(heads, head)
		if err != nil {
			return
		}
		spoke++
		choice, err := circulator.Pick(set, flow, head, 0)
		require.NoError(t, err)
		taken, err := choice.Model.Curve.Head(flow)
		require.NoError(t, err)
		require.LessOrEqual(t, heads[i], taken)
		system, err := circulator.Through(0, flow, head, 2)
		require.NoError(t, err)
		at, err := circulator.OperatingPoint(set[i].Curve, system)
		require.NoError(t, err)
		require.LessOrEqual(t, at.Flow, flow*(1+1e-9))
	})
	require.Positive(t, spoke)
}

// The customary list lies within what others publish, give or take: no size is
// more than 15 % from any of them up to 2 in, except steel's 1/2 in; 2-1/2 in,
// which stands beside boiler outlets, is up to 14 % above.
func TestPublishedFlows(t *testing.T) {
	count := 0
	for _, c := range CustomaryFlowsUS() {
		list := PublishedFlows(c.Nominal)
		require.NotEmpty(t, list, c.Nominal)
		count += len(list)
		for _, p := range list {
			require.Contains(t, []string{"copper", "steel"}, p.Pipe)
			tolerance := 0.15
			if p.Pipe == "steel" && c.Nominal == "1/2" {
				tolerance = 0.26
			}
			closeto.Relative(t, p.Flow, c.Flow, tolerance, c.Nominal+" "+p.Pipe+", "+p.Source)
		}
	}
	require.Len(t, published, count, "every published row has a customary one")
	require.Empty(t, PublishedFlows("7"))
}
