package thumb

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"loopwright/grader/closeto"
	"loopwright/grader/emitter"
	"loopwright/grader/fluid"
	"loopwright/grader/pipe"
	"loopwright/grader/quantity"
)

func TestRulesAreComplete(t *testing.T) {
	seen := map[string]bool{}
	for _, r := range All() {
		require.False(t, seen[r.ID])
		seen[r.ID] = true
		for _, text := range []string{r.Name, r.US, r.SI, r.Source, r.Range, r.Derivation, r.Breaks} {
			require.NotEmpty(t, text, r.ID)
		}
		found, err := ByID(r.ID)
		require.NoError(t, err)
		require.Equal(t, r, found)
	}
	_, err := ByID("none")
	require.Error(t, err)
}

func water(t *testing.T, fahrenheit float64) fluid.Properties {
	w, err := fluid.Water(quantity.Celsius(quantity.Fahrenheit.ToSI(fahrenheit)))
	require.NoError(t, err)
	return w
}

// The list of customary flows is 4 ft per 100 ft in copper with cold water,
// within 6 % up to 2 in; 2-1/2 in stands beside boiler outlets and is stretched.
// Published list: copper 1/2:1.5 3/4:4 1:8 1-1/4:14 1-1/2:22 2:44 gpm (R. E.
// Michel Co., Quick calculations for hydronic heating systems).
func TestCustomaryFlows(t *testing.T) {
	published := map[string]float64{"1/2": 1.5, "3/4": 4, "1": 8, "1-1/4": 14, "1-1/2": 22, "2": 44}
	for _, c := range CustomaryFlowsUS() {
		if want, ok := published[c.Nominal]; ok {
			closeto.Relative(t, want, quantity.GallonPerMinute.FromSI(c.Flow), 0.025, c.Nominal)
			at, err := pipe.MustFind("copper-m", c.Nominal).FlowAtRate(FrictionLimit, water(t, 60))
			require.NoError(t, err)
			closeto.Relative(t, at, c.Flow, 0.06, "4 ft per 100 ft in "+c.Nominal)
		}
	}
	for i, c := range CustomaryFlowsSI() {
		closeto.Relative(t, CustomaryFlowsUS()[i].Flow, c.Flow, 0.06, c.Nominal)
	}
	_, err := MostFlow("7")
	require.ErrorContains(t, err, "1-1/4")
}

func TestSizeFor(t *testing.T) {
	for gpm, want := range map[float64]string{1: "1/2", 4: "3/4", 4.01: "1", 45: "2", 46: "2-1/2", 130: "3"} {
		c, err := SizeFor(CustomaryFlowsUS(), quantity.GallonPerMinute.ToSI(gpm))
		require.NoError(t, err)
		require.Equal(t, want, c.Nominal, gpm)
	}
	_, err := SizeFor(CustomaryFlowsUS(), quantity.GallonPerMinute.ToSI(131))
	var outside *quantity.RangeError
	require.ErrorAs(t, err, &outside)
}

// By hand: 45 × 500 × 20 = 450,000 BTU/h; a building of 80 × 40 × 30 ft has a
// run of 2 × 150 = 300 ft and, at 6 ft per 100 ft, 18 ft of head.
func TestByHand(t *testing.T) {
	flow, err := MostFlow("2")
	require.NoError(t, err)
	closeto.Relative(t, 450000, quantity.BTUPerHour.FromSI(OutletCapacity(flow, FactorUS, DropUS)), 1e-9, "2 in outlet")
	run := LongestRun(quantity.Foot.ToSI(80), quantity.Foot.ToSI(40), quantity.Foot.ToSI(30))
	closeto.Relative(t, 300, quantity.Foot.FromSI(run), 1e-9, "run")
	closeto.Relative(t, 18, quantity.FootHead.FromSI(float64(HeadForRun(run))), 1e-9, "head")
	closeto.Relative(t, HeadPerRun, FrictionLimit*(1+FittingsShare), 1e-12, "6 ft is 4 ft and half again")
	closeto.Relative(t, 0.433*20+4, quantity.PSI.FromSI(float64(FillPressureUS(quantity.Foot.ToSI(20)))), 1e-9, "fill")
	closeto.Relative(t, float64(FillPressureUS(6)), float64(FillPressureSI(6)), 0.03, "the two practices agree")
	pays, err := ReverseReturnPays("2")
	require.NoError(t, err)
	require.True(t, pays)
	pays, err = ReverseReturnPays("DN50")
	require.NoError(t, err)
	require.True(t, pays)
	pays, err = ReverseReturnPays("2-1/2")
	require.NoError(t, err)
	require.False(t, pays)
}

// What the rules say of their own limits is what the engine finds.
func TestBreaksAsSaid(t *testing.T) {
	closeto.Relative(t, 1.026, FactorUS/water(t, 180).VolumetricHeat(), 2e-3, "2.6 % at 180 °F")
	closeto.Relative(t, FactorUS, FactorSI, 3e-3, "both factors are the same water")
	// 4 ft per 100 ft in 3 in steel: 5.6 ft/s with cold water.
	s := pipe.MustFind("steel-sch40", "3")
	q, err := s.FlowAtRate(FrictionLimit, water(t, 60))
	require.NoError(t, err)
	closeto.Relative(t, 5.6, quantity.FootPerSecond.FromSI(s.Velocity(q)), 0.03, "velocity in 3 in")
	// PEX carries about 40 % less than copper of the same nominal size.
	pex, err := pipe.MustFind("pex-sdr9", "3/4").FlowAtRate(FrictionLimit, water(t, 140))
	require.NoError(t, err)
	copper, err := pipe.MustFind("copper-m", "3/4").FlowAtRate(FrictionLimit, water(t, 140))
	require.NoError(t, err)
	closeto.Absolute(t, 0.6, pex/copper, 0.03, "PEX")
	// Twice the flow in smooth tube takes 3.4 to 3.6 times the head.
	for _, n := range []string{"3/4", "1", "2"} {
		tube := pipe.MustFind("copper-m", n)
		flow, err := MostFlow(n)
		require.NoError(t, err)
		one, _ := tube.HeadLossRate(flow/2, water(t, 140))
		two, _ := tube.HeadLossRate(flow, water(t, 140))
		closeto.Absolute(t, 3.45, two/one, 0.12, "square law in "+n)
	}
	closeto.Relative(t, 1-0.028, water(t, 180).Density/water(t, 60).Density, 2e-3, "hot water weighs less")
	// Baseboard at 140 and 120 °F.
	e := emitter.DemoFinTube().Length(1)
	at := func(f float64) float64 {
		return e.AtMean(quantity.Celsius(quantity.Fahrenheit.ToSI(f)), quantity.Celsius(quantity.Fahrenheit.ToSI(65)), emitter.FinTubeRatedCapacity)
	}
	closeto.Absolute(t, 0.55, at(140)/at(180), 0.03, "baseboard at 140 °F")
	closeto.Absolute(t, 1.0/3, at(120)/at(180), 0.04, "baseboard at 120 °F")
	closeto.Relative(t, BaseboardUS, BaseboardSI, 5e-3, "both practices rate the same element")
	require.True(t, strings.Contains(rules[0].Breaks, "2.6 %"))
}
