package network

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"loopwright/grader/closeto"
	"loopwright/grader/quantity"
)

// conductor gives off UA × (entering − room), however far the water cools: the
// simplest emitter that can be worked by hand.
type conductor float64

func (ua conductor) Heat(c float64, supply, room quantity.Celsius) (float64, quantity.Celsius, error) {
	heat := float64(ua) * float64(supply-room)
	return heat, supply - quantity.Celsius(heat/c), nil
}

// Series by hand: 80 °C, c = 500 W/K, UA = 50 W/K, room 20 °C.
// First: 50 × 60 = 3000 W, 6 K, leaves 74. Second: 50 × 54 = 2700 W, 5.4 K,
// leaves 68.6.
func TestSeriesLoopByHand(t *testing.T) {
	p, err := SeriesLoop(80, 500, []Stop{{Emitter: conductor(50), Room: 20}, {Emitter: conductor(50), Room: 20}})
	require.NoError(t, err)
	closeto.Absolute(t, 74, float64(p[1].Entering), 1e-9, "entering the second")
	closeto.Absolute(t, 2700, p[1].Heat, 1e-9, "heat of the second")
	closeto.Absolute(t, 68.6, float64(p[1].After), 1e-9, "leaving the loop")
}

// Diverter by hand: the same emitters on a quarter of the flow leave the same
// heat here, so the main steps the same, but the water leaves each emitter
// four times cooler: 80 − 3000/125 = 56.
func TestDiverterLoopByHand(t *testing.T) {
	s := Stop{Emitter: conductor(50), Room: 20, Share: 0.25}
	p, err := DiverterLoop(80, 500, []Stop{s, s})
	require.NoError(t, err)
	closeto.Absolute(t, 56, float64(p[0].Leaving), 1e-9, "out of the first")
	closeto.Absolute(t, 74, float64(p[0].After), 1e-9, "main behind the first")
	// Mixing says the same: 0.25 × 56 + 0.75 × 80 = 74.
	closeto.Absolute(t, 0.25*56+0.75*80, float64(p[0].After), 1e-9, "by mixing")
}

// Hand: square laws of 1 and 4 m/(L/s)² in parallel split 2 : 1.
func TestDiverterShareByHand(t *testing.T) {
	q, err := DiverterShare(3e-4, PowerLaw{1e6, 2}, PowerLaw{4e6, 2})
	require.NoError(t, err)
	closeto.Relative(t, 1e-4, q, 1e-9, "branch")
}

func TestDiverterShareBalances(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		run := PowerLaw{math.Pow(10, rapid.Float64Range(3, 9).Draw(t, "run")), 2}
		branch := PowerLaw{math.Pow(10, rapid.Float64Range(3, 9).Draw(t, "branch")), rapid.Float64Range(1, 2).Draw(t, "exponent")}
		q, err := DiverterShare(5e-4, run, branch)
		require.NoError(t, err)
		hb, _ := branch.HeadAndSlope(q)
		hr, _ := run.HeadAndSlope(5e-4 - q)
		require.InEpsilon(t, hr, hb, 1e-5)
	})
}

func TestLoopsRefuse(t *testing.T) {
	_, err := SeriesLoop(80, 0, nil)
	require.ErrorContains(t, err, "needs a flow")
	_, err = DiverterLoop(80, 500, []Stop{{Emitter: conductor(1), Share: 1.2}})
	var outside *quantity.RangeError
	require.ErrorAs(t, err, &outside)
	_, err = DiverterShare(0, PowerLaw{1, 2}, PowerLaw{1, 2})
	require.ErrorContains(t, err, "needs a flow")
}
