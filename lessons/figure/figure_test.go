package figure

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"loopwright/exercises"
	"loopwright/grader/closeto"
	"loopwright/grader/quantity"
)

// Wherever the controls stand, a figure solves, with finite numbers and the
// same words for the same state.
func TestFiguresSolveEverywhere(t *testing.T) {
	for _, m := range Models() {
		t.Run(m.Name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				units := rapid.SampledFrom([]exercises.System{exercises.US, exercises.SI}).Draw(t, "units")
				set := map[string]float64{}
				for _, c := range m.Controls(units) {
					if len(c.Options) > 0 {
						set[c.Name] = float64(rapid.IntRange(0, len(c.Options)-1).Draw(t, c.Name))
						continue
					}
					n := int(math.Round((c.Max - c.Min) / c.Step))
					set[c.Name] = min(c.Min+c.Step*float64(rapid.IntRange(0, n).Draw(t, c.Name)), c.Max)
				}
				in, err := m.Settings(units, set)
				require.NoError(t, err)
				r, err := m.Solve(in)
				require.NoError(t, err)
				require.NotEmpty(t, r.Sentence)
				require.NotContains(t, r.Sentence, "NaN")
				require.NotEmpty(t, r.Table.Rows)
				for name, v := range r.Measures {
					require.False(t, math.IsNaN(v) || math.IsInf(v, 0), name)
				}
				again, err := m.Solve(in)
				require.NoError(t, err)
				require.Equal(t, r.Table, again.Table)
			})
		})
	}
}

func solve(t *testing.T, name string, units exercises.System, set map[string]float64) *Result {
	m, err := ModelNamed(name)
	require.NoError(t, err)
	in, err := m.Settings(units, set)
	require.NoError(t, err)
	r, err := m.Solve(in)
	require.NoError(t, err)
	return r
}

// By hand: 6 gpm × 500 × 20 °F = 60,000 BTU/h; IAPWS water at 180 °F carries
// 487.14 BTU/h per gpm·°F (computed independently in Python).
func TestHeatCarriedByHand(t *testing.T) {
	r := solve(t, "heat-carried", exercises.US, map[string]float64{"flow": 6, "drop": 20, "mean": 180})
	closeto.Relative(t, 60000, quantity.BTUPerHour.FromSI(r.Measures["heat_by_rule"]), 1e-9, "rule")
	closeto.Relative(t, 6*20*487.14, quantity.BTUPerHour.FromSI(r.Measures["heat"]), 5e-4, "engine")
}

// Flows of the riser add up, near floors win with a direct return, and closing
// the near valve helps the far floor.
func TestMainsTellTheStory(t *testing.T) {
	for _, units := range []exercises.System{exercises.US, exercises.SI} {
		open := solve(t, "two-pipe-mains", units, nil)
		sum := 0.0
		for i := 1; i <= mainsCircuits; i++ {
			sum += open.Measures["flow_"+string(rune('0'+i))]
		}
		closeto.Relative(t, open.Measures["total"], sum, 1e-9, "sum of flows")
		for i := 1; i < mainsCircuits; i++ {
			require.Greater(t, open.Measures["flow_"+string(rune('0'+i))], open.Measures["flow_"+string(rune('1'+i))])
		}
		closed := solve(t, "two-pipe-mains", units, map[string]float64{"near_valve": 50})
		require.Less(t, closed.Measures["flow_1"], open.Measures["flow_1"])
		require.Greater(t, closed.Measures["flow_6"], open.Measures["flow_6"])
	}
}

// Affinity: where all head is friction, flow goes with speed.
func TestSpeedOfTheCirculator(t *testing.T) {
	full := solve(t, "circulator-and-system", exercises.US, nil)
	slow := solve(t, "circulator-and-system", exercises.US, map[string]float64{"speed": 80})
	closeto.Relative(t, 0.8, slow.Measures["flow"]/full.Measures["flow"], 0.03, "flow") // the system's exponent is 1.9, not 2
	closeto.Relative(t, 0.512, slow.Measures["power"]/full.Measures["power"], 0.06, "power")
}

func TestSettingsRefuse(t *testing.T) {
	m, err := ModelNamed("two-pipe-mains")
	require.NoError(t, err)
	_, err = m.Settings(exercises.US, map[string]float64{"no_such": 1})
	require.ErrorContains(t, err, "no control")
	_, err = m.Settings(exercises.US, map[string]float64{"near_valve": math.NaN()})
	var outside *quantity.RangeError
	require.ErrorAs(t, err, &outside)
	_, err = ModelNamed("none")
	require.Error(t, err)
}

// Mixing by hand at every state of the separator: what the boiler sends and
// what the panels send meet in it, and mass times temperature is kept (specific
// heat alike within a percent of the difference).
func TestSeparatorMixes(t *testing.T) {
	for _, set := range []map[string]float64{{"boiler": 100, "system": 40}, {"boiler": 35, "system": 100}, {"boiler": 70, "system": 70}} {
		r := solve(t, "separator", exercises.SI, set)
		boiler, system := r.Measures["boiler_flow"], r.Measures["system_flow"]
		closeto.Relative(t, boiler-system, r.Measures["separator_flow"], 0.06, "what is left over passes the separator")
		// One side gets the other's water as it was sent.
		if boiler > system*1.02 {
			closeto.Absolute(t, 75, r.Measures["to_system"], 1e-6, "supply")
		}
		if system > boiler*1.02 {
			require.Less(t, r.Measures["to_system"], 75.0)
		}
		// Heat: boiler's flow times its drop, 4.08 MJ/(m³·K) near 75 °C.
		closeto.Relative(t, boiler*4.08e6*(75-r.Measures["to_boiler"]), r.Measures["heat"], 0.01, "heat")
	}
}
