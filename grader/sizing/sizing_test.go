package sizing

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"loopwright/grader/closeto"
	"loopwright/grader/fluid"
	"loopwright/grader/network"
	"loopwright/grader/pipe"
	"loopwright/grader/quantity"
)

func btu(x float64) float64  { return quantity.BTUPerHour.ToSI(x) }
func feet(x float64) float64 { return quantity.Foot.ToSI(x) }

// farm is six rooms in any layout.
func farm(layout Layout, u network.Units, emitter string) *Job {
	j := Defaults(u)
	j.Title, j.Layout, j.Emitter, j.Outdoor, j.Height, j.Main = "farm", layout, emitter, -18, 5, 6
	for i, load := range []float64{2000, 1800, 2600, 1600, 1000, 1900} {
		j.Rooms = append(j.Rooms, Room{ID: fmt.Sprintf("room%d", i+1), Load: load, Indoor: 21, Distance: 4 + float64(i%3), Branch: 2 + float64(i%2), Loop: 1 + i/3})
	}
	return &j
}

// What is sized is solved as a system, and every room gets its flow and its
// temperature: in every layout, with every emitter, in both systems of units,
// with thermostatic valves and without, trimmed either way.
func TestEveryLayoutSolvesToDesign(t *testing.T) {
	for _, layout := range Layouts() {
		for _, u := range []network.Units{network.US, network.SI} {
			for _, emitter := range []string{FinTube, CastIron, Panel} {
				for _, trim := range []Trim{ByValve, BySpeed} {
					for _, controls := range []bool{false, true} {
						name := fmt.Sprintf("%s/%s/%s/%s/%v", layout, u, emitter, trim, controls)
						j := farm(layout, u, emitter)
						j.Trim, j.Controls = trim, controls
						r, err := Size(j)
						require.NoError(t, err, name)
						require.Less(t, r.Check.Worst, 1e-3, "%s at %s", name, r.Check.At)
						require.Less(t, float64(r.Check.Warmest-r.Check.Coldest), 0.05, name)
						for _, w := range r.Check.Solution.Warnings {
							require.NotEqual(t, network.Reversed, w.Concern, "%s: %s", name, w.At)
						}
						require.NotEmpty(t, r.Tables())
						_, err = json.Marshal(r)
						require.NoError(t, err)
					}
				}
			}
		}
	}
}

// One room by hand. 6 kW, 75 to 65 °C, two-pipe, 10 m out and 10 m back with
// no allowance for fittings, in copper 22 × 0.9.
//
//	Enthalpy by handbook tables of saturated water: 313.9 and 272.1 kJ/kg, so
//	6/41.8 = 0.1435 kg/s. At 75 °C 974.8 kg/m³: 0.1472 L/s, and in 20.2 mm bore
//	(320.5 mm²) 0.459 m/s. The next smaller size, 15 × 0.7, has 13.6 mm bore
//	(145.3 mm²): 1.013 m/s, under the limit of velocity; its friction: ν = 0.387
//	mm²/s, Re 35,600, smooth pipe f ≈ 0.3164/Re^0.25 = 0.0230, so f v²/(2 g D) =
//	0.0230 × 1.013²/(2 × 9.81 × 0.0136) = 0.089 m/m: over 0.04, so friction
//	decides.
func TestOneRoomByHand(t *testing.T) {
	j := Defaults(network.SI)
	j.Outdoor, j.Fittings, j.Limits.Least = -10, 0, 10
	j.Rooms = []Room{{ID: "hall", Load: 6000, Indoor: 20, Distance: 10}}
	r, err := Size(&j)
	require.NoError(t, err)
	s := r.Sections[0]
	closeto.Relative(t, 0.1435, s.Mass, 2e-3, "mass flow")
	closeto.Relative(t, 0.1472e-3, s.Flow, 2e-3, "flow")
	closeto.Relative(t, 20.2e-3, s.Size.Bore, 1e-9, "bore")
	closeto.Relative(t, 0.459, s.Velocity, 3e-3, "velocity")
	require.Equal(t, ByFriction, s.Decided)
}

// The panel for it by hand: rated 75/65/20 °C it is used at its rating, so it
// must be rated at the load; the mean is along the panel, and the rating's
// too.
func TestPanelAtItsRating(t *testing.T) {
	j := Defaults(network.SI)
	j.Outdoor = -10
	j.Rooms = []Room{{ID: "hall", Load: 6000, Indoor: 20, Distance: 10}}
	r, err := Size(&j)
	require.NoError(t, err)
	closeto.Relative(t, 6000, r.Emitters[0].Amount, 1e-5, "rating")
}

// Tank by hand: 100 L of water from 10 to 75 °C in copper. Densities by
// handbook 999.7 and 974.8 kg/m³: 2.554 %, less 3 × 17e-6 × 65 = 0.332 %:
// 2.223 %. Fill for 5 m: 9.807 × 0.9997 × 5 + 30 = 79.0 kPa, so 180.3 kPa
// absolute; relief 300 kPa less a tenth: 270 + 101.3 = 371.3 kPa absolute.
// Tank: 100 × 0.02223 / (1 − 180.3/371.3) = 4.32 L.
func TestTankByHand(t *testing.T) {
	j := farm(TwoPipeDirect, network.SI, Panel)
	j.BoilerVolume = 0
	first, err := Size(j)
	require.NoError(t, err)
	j.BoilerVolume = 0.1 - first.Expansion.Water
	r, err := Size(j)
	require.NoError(t, err)
	closeto.Relative(t, 0.1, r.Expansion.Water, 1e-9, "water")
	closeto.Relative(t, 79.0e3, float64(r.Expansion.Fill), 1e-3, "fill")
	closeto.Relative(t, 4.32e-3, r.Expansion.Volume, 5e-3, "tank")
}

// Each pipe keeps the limits, and the next smaller one breaks the limit that is
// said to have decided.
func TestSizesKeepTheLimits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		j := farm(rapid.SampledFrom(Layouts()).Draw(t, "layout"), network.US, FinTube)
		j.Limits.Velocity = rapid.Float64Range(0.3, 2).Draw(t, "velocity")
		j.Limits.Friction = rapid.Float64Range(0.01, 0.08).Draw(t, "friction")
		r, err := Size(j)
		if err != nil {
			t.Skip(err) // no demo circulator for it
		}
		sizes := must(pipe.MaterialNamed(j.Material)).Sizes()
		for _, s := range r.Sections {
			require.LessOrEqual(t, s.Rate, j.Limits.Friction*(1+1e-9), s.ID)
			if s.Size.DN <= SmallPipe {
				require.LessOrEqual(t, s.Velocity, j.Limits.Velocity*(1+1e-9), s.ID)
			}
			for k, have := range sizes {
				if have.Nominal != s.Size.Nominal || k == 0 {
					continue
				}
				smaller := sizes[k-1]
				w := must(fluid.Water(s.Water))
				rate, _ := smaller.HeadLossRate(s.Flow, w)
				switch s.Decided {
				case ByFriction:
					require.Greater(t, rate, j.Limits.Friction, s.ID)
				case ByVelocity:
					require.Greater(t, smaller.Velocity(s.Flow), j.Limits.Velocity, s.ID)
				case BySmallest:
					require.Less(t, smaller.DN, j.Limits.Least, s.ID)
				}
			}
		}
	})
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// The index circuit's valve takes just the least drop; every other takes as
// much more as its circuit needs less, so all need the same in the end.
func TestCircuitsNeedTheSame(t *testing.T) {
	r, err := Size(farm(TwoPipeDirect, network.US, CastIron))
	require.NoError(t, err)
	index := 0
	for _, c := range r.Circuits {
		if c.Index {
			index++
			closeto.Relative(t, r.Job.ValveDrop, float64(c.Drop), 1e-9, "least drop")
			require.Equal(t, "room6", c.ID, "the last room of a direct return")
		}
		closeto.Relative(t, float64(r.Circuits[5].Need+r.Circuits[5].Drop), float64(c.Need+c.Drop), 1e-9, c.ID)
	}
	require.Equal(t, 1, index)
}

// Reverse return with equal rooms at equal distances needs nearly no balancing:
// the circuits differ by what unequal mains leave.
func TestReverseReturnNeedsLittleBalancing(t *testing.T) {
	spread := func(layout Layout) float64 {
		j := Defaults(network.US)
		j.Layout, j.Outdoor = layout, -18
		for i := range 6 {
			j.Rooms = append(j.Rooms, Room{ID: fmt.Sprint("r", i), Load: btu(6000), Indoor: 21, Distance: feet(15), Branch: feet(6)})
		}
		r, err := Size(&j)
		require.NoError(t, err)
		low, high := math.Inf(1), 0.0
		for _, c := range r.Circuits {
			low, high = min(low, float64(c.Need)), max(high, float64(c.Need))
		}
		return high - low
	}
	require.Less(t, spread(TwoPipeReverse), 0.35*spread(TwoPipeDirect))
}

// A circuit of a series loop gives each room what the one before leaves: by
// hand, equal loads cool the water in equal steps of enthalpy, so later rooms
// need more fin-tube.
func TestSeriesGrowsAlongTheLoop(t *testing.T) {
	j := farm(Series, network.US, FinTube)
	for i := range j.Rooms {
		j.Rooms[i].Load = 1500
	}
	r, err := Size(j)
	require.NoError(t, err)
	for i := 1; i < len(r.Emitters); i++ {
		require.Greater(t, r.Emitters[i].Amount, r.Emitters[i-1].Amount)
		closeto.Absolute(t, float64(r.Emitters[i-1].Leaving), float64(r.Emitters[i].Entering), 1e-9, "water")
	}
	last := r.Emitters[len(r.Emitters)-1]
	closeto.Absolute(t, float64(j.Supply)-float64(j.Drop), float64(last.Leaving), 1e-6, "return")
}

// Twice the load takes twice the flow and, at the same temperatures, twice the
// emitter.
func TestTwiceTheLoad(t *testing.T) {
	a, err := Size(farm(TwoPipeDirect, network.SI, Panel))
	require.NoError(t, err)
	j := farm(TwoPipeDirect, network.SI, Panel)
	for i := range j.Rooms {
		j.Rooms[i].Load *= 2
	}
	b, err := Size(j)
	require.NoError(t, err)
	for i := range a.Emitters {
		closeto.Relative(t, 2*a.Emitters[i].Mass, b.Emitters[i].Mass, 1e-9, "flow")
		closeto.Relative(t, 2*a.Emitters[i].Amount, b.Emitters[i].Amount, 1e-9, "emitter")
	}
}

func TestRandomJobs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		j := Defaults(rapid.SampledFrom([]network.Units{network.US, network.SI}).Draw(t, "units"))
		j.Layout = rapid.SampledFrom(Layouts()).Draw(t, "layout")
		j.Emitter = rapid.SampledFrom([]string{FinTube, CastIron, Panel}).Draw(t, "emitter")
		j.Trim = rapid.SampledFrom([]Trim{ByValve, BySpeed}).Draw(t, "trim")
		j.Controls = rapid.Bool().Draw(t, "controls")
		j.Supply = quantity.Celsius(rapid.Float64Range(45, 90).Draw(t, "supply"))
		j.Drop = quantity.Kelvin(rapid.Float64Range(3, 20).Draw(t, "drop"))
		j.BoilerDrop = quantity.Kelvin(rapid.Float64Range(3, 25).Draw(t, "boiler drop"))
		j.Outdoor = quantity.Celsius(rapid.Float64Range(-30, 5).Draw(t, "outdoor"))
		j.Main = rapid.Float64Range(0, 20).Draw(t, "main")
		j.Height = rapid.Float64Range(0, 10).Draw(t, "height")
		for i := range rapid.IntRange(2, 12).Draw(t, "rooms") {
			j.Rooms = append(j.Rooms, Room{ID: fmt.Sprint("r", i), Load: rapid.Float64Range(300, 6000).Draw(t, "load"), Indoor: 20,
				Distance: rapid.Float64Range(0.1, 20).Draw(t, "distance"), Branch: rapid.Float64Range(0.1, 10).Draw(t, "branch"), Loop: 1 + i%2})
		}
		r, err := Size(&j)
		if err != nil {
			require.NotContains(t, err.Error(), "no solution", "a job that can be sized must solve")
			t.Skip(err)
		}
		require.Less(t, r.Check.Worst, 1e-3, r.Check.At)
	})
}

// Every example solves, and a file says the same as a job made by hand.
func TestExampleFiles(t *testing.T) {
	files, err := filepath.Glob("../../lessons/jobs/*.yaml")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, f := range files {
		text, err := os.ReadFile(f)
		require.NoError(t, err)
		j, err := Read(filepath.Base(f), text)
		require.NoError(t, err)
		r, err := Size(j)
		require.NoError(t, err, f)
		require.Less(t, r.Check.Worst, 1e-3, f)
	}
}

func TestReadSaysWhatIsWrong(t *testing.T) {
	for name, c := range map[string]struct{ text, want string }{
		"no rooms":        {"outdoor: 0 degF\n", "rooms is missing"},
		"unknown field":   {"outdoor: 0 degF\nsupply: 180 degF\ndrop: 20 F\nflavor: mild\nrooms: {a: {load: 1 kW, indoor: 20 C, distance: 1 m, branch: 1 m}}\n", "line 4: flavor: no such field here"},
		"unit":            {"outdoor: 0 degF\nrooms:\n  a: {load: 3 gpm, indoor: 20 C, distance: 1 m, branch: 1 m}\n", "line 3: rooms.a.load: \"3 gpm\" is a flow; wanted is a heat rate or power"},
		"no unit":         {"outdoor: 0 degF\nrooms:\n  a: {load: 3000, indoor: 20 C, distance: 1 m, branch: 1 m}\n", "has no unit"},
		"layout":          {"outdoor: 0 degF\nlayout: spaghetti\nrooms: {a: {load: 1 kW, indoor: 20 C, distance: 1 m, branch: 1 m}}\n", "accepted are two-pipe-direct"},
		"material":        {"outdoor: 0 degF\nmaterial: lead\nrooms: {a: {load: 1 kW, indoor: 20 C, distance: 1 m, branch: 1 m}}\n", "line 2: material: no pipe material \"lead\"; known are"},
		"below the room":  {"outdoor: 0 degF\nsupply: 40 degC\ndrop: 25 K\nrooms: {a: {load: 1 kW, indoor: 20 C, distance: 1 m, branch: 1 m}}\n", "is no warmer than the room"},
		"not yaml":        {"outdoor: [\n", "line 1"},
		"missing outdoor": {"rooms: {a: {load: 1 kW, indoor: 20 C, distance: 1 m, branch: 1 m}}\n", "outdoor is missing"},
	} {
		_, err := Read("job.yaml", []byte(c.text))
		require.ErrorContains(t, err, c.want, name)
		require.ErrorContains(t, err, "job.yaml", name)
	}
}

func TestWhatCannotBeSized(t *testing.T) {
	j := farm(TwoPipeDirect, network.US, FinTube)
	j.Rooms[0].Load = 1e8
	_, err := Size(j)
	require.ErrorContains(t, err, "pipe supply-1: no size of")
	j = farm(TwoPipeDirect, network.US, FinTube)
	j.Height = 60
	_, err = Size(j)
	require.ErrorContains(t, err, "leaves no room below the relief valve")
	j = farm(Split, network.US, FinTube)
	for i := range j.Rooms {
		j.Rooms[i].Loop = 1
	}
	_, err = Size(j)
	require.ErrorContains(t, err, "two loops")
	j = farm(TwoPipeDirect, network.US, FinTube)
	j.Circulators = j.Circulators[:1]
	for i := range j.Rooms {
		j.Rooms[i].Distance = 200
	}
	_, err = Size(j)
	require.ErrorContains(t, err, "none of 1 circulators gives")
}

func BenchmarkSize(b *testing.B) {
	j := farm(TwoPipeDirect, network.US, FinTube)
	for b.Loop() {
		if _, err := Size(j); err != nil {
			b.Fatal(err)
		}
	}
}
