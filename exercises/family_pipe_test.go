package exercises

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"loopwright/grader"
	"loopwright/grader/circulator"
	"loopwright/grader/closeto"
	"loopwright/grader/quantity"
)

// roundedHeat is the heat that a volume of water carries, J/(m³·K), as the
// factors 500 and 4.19 round it: common practice.
func roundedHeat(b bench) float64 {
	return map[System]float64{US: quantity.BTUPerHourGPMDegree.ToSI(500), SI: 4.19e6}[b.p.Units]
}

// loadFlow is the flow for a load and a drop, in m³/s.
func loadFlow(b bench, load float64) float64 { return load / (roundedHeat(b) * b.si("dT")) }

// bores in m, by the size as it is written: ASME B36.10M schedule 40 (inches)
// and EN 10255 medium (mm, outside diameter less two walls).
var bores = map[string]float64{
	"1/2 in": 0.622 * 0.0254, "3/4 in": 0.824 * 0.0254, "1 in": 1.049 * 0.0254, "1-1/4 in": 1.380 * 0.0254,
	"1-1/2 in": 1.610 * 0.0254, "2 in": 2.067 * 0.0254, "2-1/2 in": 2.469 * 0.0254, "3 in": 3.068 * 0.0254,
	"DN 15": 16.1e-3, "DN 20": 21.7e-3, "DN 25": 27.3e-3, "DN 32": 36.0e-3,
	"DN 40": 41.9e-3, "DN 50": 53.1e-3, "DN 65": 68.9e-3, "DN 80": 80.9e-3,
}

// turbulentFactor is the friction factor f_T of Crane TP-410 (2009), p. A-26,
// by the same sizes.
var turbulentFactor = map[string]float64{
	"3/4 in": 0.024, "1 in": 0.022, "1-1/4 in": 0.021, "1-1/2 in": 0.020, "2 in": 0.019,
	"DN 20": 0.024, "DN 25": 0.022, "DN 32": 0.021, "DN 40": 0.020, "DN 50": 0.019,
}

// sizeIn finds the size that a text names.
func sizeIn(b bench, text string) string {
	text = strings.ReplaceAll(text, "\u00a0", " ")
	found := ""
	for size := range bores {
		at := strings.Index(text, size)
		if at < 0 || at > 0 && !strings.ContainsRune(" ,", rune(text[at-1])) {
			continue
		}
		if len(size) > len(found) {
			found = size
		}
	}
	require.NotEmpty(b, found, text)
	return found
}

// labelOf is the label of a given.
func labelOf(b bench, name string) string {
	for _, g := range b.p.Givens {
		if g.Name == name {
			return g.Label
		}
	}
	require.Fail(b, "no given", name)
	return ""
}

// hotWater is the water of the charts: density in kg/m³ and kinematic
// viscosity in m²/s at 0.6 MPa, IAPWS R7-97(2012) and R12-08. 80 °C is a point
// of the grid; 180 °F lies between 80 and 85 °C (968.85 and 3.4393e-7): the
// density in a straight line, the viscosity in a straight line of its logarithm.
func hotWater(b bench) (density, viscosity float64) {
	if b.p.Units == US {
		return 970.61, 3.5515e-7
	}
	return 972.03, 3.6439e-7
}

// haaland is the friction of a pipe in m/m by the explicit factor of Haaland
// (1983), which stays within 1.5 % of Colebrook's; the engine solves Colebrook's.
func haaland(flow, bore, roughness, viscosity float64) float64 {
	v := flow / (math.Pi / 4 * bore * bore)
	root := -1.8 * math.Log10(6.9*viscosity/(v*bore)+math.Pow(roughness/bore/3.7, 1.11))
	return v * v / (root * root * bore * 2 * 9.80665)
}

const steelRoughness = 0.0457e-3 // m; Moody (1944), commercial steel 0.00015 ft

// HVAC Pump Handbook (Rishel et al., 2nd ed. 2006), table 3.1: schedule 40,
// water at 60 °F (viscosity 1.217e-5 ft²/s). Flow in gpm, velocity in ft/s,
// friction in ft/100 ft.
var pumpHandbook = []struct {
	size                string
	gpm, velocity, rate float64
}{{"2 in", 45, 4.3, 3.85}, {"2-1/2 in", 75, 5.0, 4.1}, {"3 in", 130, 5.6, 3.92}}

// The published rows, through the family's formula for velocity and through
// the method that the friction charts are checked with below.
func TestPipePublished(t *testing.T) {
	onBench(t, "velocity", 1, US, func(b bench) {
		for _, row := range pumpHandbook {
			d := bores[row.size] / 0.0254
			closeto.Absolute(b, row.velocity, b.rework("v", table{"f": row.gpm, "d": d}), 0.05, row.size)
		}
	})
	for _, row := range pumpHandbook {
		got := haaland(quantity.GallonPerMinute.ToSI(row.gpm), bores[row.size], steelRoughness, 1.217e-5*0.3048*0.3048)
		closeto.Relative(t, row.rate, 100*got, 0.02, row.size)
	}
	// R. E. Michel Company, tech tip "Quick Calculations for Hydronic Heating
	// Systems": 1 gpm carries 10,000 BTU/h at a drop of 20 °F.
	onBench(t, "main-from-load", 2, US, func(b bench) {
		closeto.Absolute(b, 12, b.rework("f", table{"Q": 120000, "dT": 20, "k": b.num("k")}), 1e-9, "flow")
	})
}

// The customary list beside two published ones: the tech tip above (copper and
// iron: 4, 8, 14 to 16, 22 to 24, 44 to 48 gpm up to 2 in) and the pump
// handbook's 75 and 130 gpm at 2-1/2 and 3 in. The list's 85 gpm is the one
// value that lies outside, by less than a sixth.
func TestCustomaryListPublished(t *testing.T) {
	chart := map[string][2]float64{"m_1": {4, 4}, "m_2": {8, 8}, "m_3": {14, 16}, "m_4": {22, 24}, "m_5": {44, 48}, "m_6": {75, 75 * 7.0 / 6}, "m_7": {130, 130}}
	onBench(t, "main-from-load", 1, US, func(b bench) {
		for name, row := range chart {
			require.GreaterOrEqual(b, b.num(name), row[0], name)
			require.LessOrEqual(b, b.num(name), row[1], name)
		}
	})
}

// Flow over the area of the bore, all in SI. 0.4085 and 1273 are rounded.
func TestVelocity(t *testing.T) {
	area := func(b bench) float64 {
		closeto.Relative(b, bores[sizeIn(b, labelOf(b, "d"))], b.si("d"), 1e-9, "bore")
		return math.Pi / 4 * b.si("d") * b.si("d")
	}
	inBoth(t, "velocity", 1, func(b bench) {
		closeto.Relative(b, b.si("f"), b.answerSI("velocity")*area(b), 1e-3, "velocity")
	})
	inBoth(t, "velocity", 2, func(b bench) {
		closeto.Relative(b, b.si("v"), b.answerSI("flow")/area(b), 1e-3, "flow")
	})
	inBoth(t, "velocity", 3, func(b bench) {
		v := loadFlow(b, b.si("Q")) / area(b)
		closeto.Relative(b, v, b.answerSI("velocity"), 1e-3, "velocity")
		slow, fast := 0.6, 1.2 // m/s
		if b.p.Units == US {
			slow, fast = 2*0.3048, 4*0.3048
		}
		require.Equal(b, v < slow, b.part("judge").Answer.Choice == "slow")
		require.Equal(b, v > fast, b.part("judge").Answer.Choice == "fast")
	})
}

// The list is scanned as it is printed, from the smallest size.
func TestMainFromLoad(t *testing.T) {
	scan := func(b bench, flow float64) {
		part := b.part("size")
		of := map[string]float64{}
		want := ""
		for _, n := range []string{"m_1", "m_2", "m_3", "m_4", "m_5", "m_6", "m_7"} {
			size := sizeIn(b, labelOf(b, n))
			of[size] = b.si(n)
			if want == "" && flow <= b.si(n) {
				want = size
			}
		}
		sizes := map[string]string{}
		for _, o := range part.Options {
			sizes[o.ID] = sizeIn(b, o.Text)
		}
		require.Equal(b, want, sizes[part.Answer.Choice])
		require.Len(b, part.Accepts, 1)
		require.Greater(b, of[sizes[part.Accepts[0].Choice]], of[want])
		for _, sl := range part.Slips {
			require.Equal(b, sl.ID == "size-too-small", of[sizes[sl.Answer.Choice]] < flow, sl.Answer.Choice)
		}
	}
	inBoth(t, "main-from-load", 1, func(b bench) {
		closeto.Relative(b, b.si("f_1"), b.answerSI("flow")-b.si("f_2"), 1e-9, "flow")
		scan(b, b.si("f_1")+b.si("f_2"))
	})
	inBoth(t, "main-from-load", 2, func(b bench) {
		closeto.Relative(b, loadFlow(b, b.si("Q")), b.answerSI("flow"), 1e-9, "flow")
		scan(b, loadFlow(b, b.si("Q")))
	})
	inBoth(t, "main-from-load", 3, func(b bench) {
		// Zone by zone, and then the flows together.
		flow := loadFlow(b, b.si("Q_1")) + loadFlow(b, b.si("Q_2")) + loadFlow(b, b.si("Q_3"))
		closeto.Relative(b, flow, b.answerSI("flow"), 1e-9, "flow")
		scan(b, flow)
	})
}

// Backward: the capacity and the drop must give the customary flow again.
func TestOutletCapacity(t *testing.T) {
	inBoth(t, "boiler-outlet-capacity", 1, func(b bench) {
		closeto.Relative(b, b.si("f"), loadFlow(b, b.answerSI("capacity")), 1e-9, "capacity")
	})
	inBoth(t, "boiler-outlet-capacity", 2, func(b bench) {
		heat := roundedHeat(b) * b.si("f")
		closeto.Relative(b, heat*b.si("T_s")-heat*b.si("T_r"), b.answerSI("capacity"), 1e-9, "capacity")
	})
	inBoth(t, "boiler-outlet-capacity", 3, func(b bench) {
		closeto.Relative(b, b.si("f"), loadFlow(b, b.answerSI("capacity")), 1e-9, "capacity")
		closeto.Relative(b, b.si("Q_p"), b.answerSI("flow")*roundedHeat(b)*b.si("dT_p"), 1e-9, "flow")
		// "small" is right where the rule falls short of the plate, the plate's
		// drop is the wider one, and the outlet carries the plate's flow.
		require.Equal(b, "small", b.part("meaning").Answer.Choice)
		require.Less(b, b.answerSI("capacity"), b.si("Q_p"))
		require.Greater(b, b.si("dT_p"), b.si("dT"))
		require.Less(b, b.answerSI("flow"), b.si("f"))
	})
}

// rateOf turns a friction in m/m into what the chart of the system shows: m/m,
// or Pa/m in the chart's own water.
func rateOf(b bench, head float64) float64 {
	if b.p.Units == US {
		return head
	}
	density, _ := hotWater(b)
	return head * density * 9.80665
}

func TestMainByFriction(t *testing.T) {
	for _, level := range []int{1, 2, 3} {
		inBoth(t, "main-by-friction", level, func(b bench) {
			flow := 0.0
			if level == 1 {
				flow = b.si("f")
			} else {
				flow = loadFlow(b, b.si("Q"))
				closeto.Relative(b, flow, b.answerSI("flow"), 1e-9, "flow")
			}
			_, viscosity := hotWater(b)
			want := ""
			inside := map[string]bool{}
			for _, n := range []string{"1", "2", "3", "4"} {
				bore := bores[sizeIn(b, labelOf(b, "R_"+n))]
				rate := rateOf(b, haaland(flow, bore, steelRoughness, viscosity))
				closeto.Relative(b, rate, b.si("R_"+n), 0.03, "chart")
				inside["size-"+n] = rate <= b.si("R")
				if level == 3 {
					v := flow / (math.Pi / 4 * bore * bore)
					closeto.Relative(b, v, b.si("v_"+n), 0.05, "velocity to two figures")
					inside["size-"+n] = inside["size-"+n] && v <= b.si("v_m")
				}
				if want == "" && inside["size-"+n] {
					want = "size-" + n
				}
			}
			part := b.part("size")
			require.Equal(b, want, part.Answer.Choice)
			for _, sl := range part.Slips {
				require.Equal(b, sl.ID == "size-two-up", inside[sl.Answer.Choice], sl.ID)
			}
			for _, a := range part.Accepts {
				require.True(b, inside[a.Choice])
			}
			if level == 3 {
				loss := b.si("R_"+want[len("size-"):]) * b.si("L")
				closeto.Relative(b, loss, b.answerSI("loss"), 1e-9, "loss")
			}
		})
	}
}

// By velocity heads: (f L/D + ΣK) v²/(2g), with Haaland's factor and K as Crane
// prints it: 30 f_T for an elbow, 340 f_T for a globe valve.
func TestRunHeadLoss(t *testing.T) {
	work := func(b bench) (pipe, fittings float64) {
		size := sizeIn(b, labelOf(b, "R"))
		bore := bores[size]
		_, viscosity := hotWater(b)
		pipe = haaland(b.si("f"), bore, steelRoughness, viscosity) * (b.si("L") + b.si("L"))
		if b.p.Level > 1 {
			v := b.si("f") / (math.Pi / 4 * bore * bore)
			fittings = (30*b.num("n") + 340) * turbulentFactor[size] * v * v / (2 * 9.80665)
		}
		return rateOf(b, pipe), rateOf(b, fittings)
	}
	inBoth(t, "run-head-loss", 1, func(b bench) {
		pipe, _ := work(b)
		closeto.Relative(b, pipe, b.answerSI("loss"), 0.03, "loss")
	})
	inBoth(t, "run-head-loss", 2, func(b bench) {
		pipe, fittings := work(b)
		closeto.Relative(b, pipe+fittings, b.answerSI("loss"), 0.05, "loss")
	})
	inBoth(t, "run-head-loss", 3, func(b bench) {
		pipe, fittings := work(b)
		closeto.Relative(b, pipe+fittings, b.answerSI("loss"), 0.05, "loss")
		closeto.Relative(b, pipe+pipe/2, b.answerSI("quick"), 0.03, "quick")
		require.Equal(b, fittings > pipe/2, b.part("trust").Answer.Choice == "count-more")
		require.NotEqual(b, "allowance", b.part("trust").Answer.Choice)
		require.Contains(b, strings.ReplaceAll(b.p.Statement, "\u00a0", " "), sizeIn(b, labelOf(b, "R")))
	})
}

// The engine's system curve through the known point.
func TestHeadAtAnotherFlow(t *testing.T) {
	curve := func(b bench, head, exponent float64) circulator.SystemCurve {
		system, err := circulator.Through(0, b.si("f_1"), quantity.MetersHead(head), exponent)
		require.NoError(b, err)
		return system
	}
	inBoth(t, "head-at-another-flow", 1, func(b bench) {
		closeto.Relative(b, float64(curve(b, b.si("H_1"), b.num("m")).Head(b.si("f_2"))), b.answerSI("loss"), 1e-9, "loss")
		require.Equal(b, b.si("f_2") > b.si("f_1"), b.answerSI("loss") > b.si("H_1"))
	})
	inBoth(t, "head-at-another-flow", 2, func(b bench) {
		closeto.Relative(b, b.si("H_2"), float64(curve(b, b.si("H_1"), b.num("m")).Head(b.answerSI("flow"))), 1e-9, "flow")
		require.Less(b, b.answerSI("flow"), b.si("f_1"))
	})
	inBoth(t, "head-at-another-flow", 3, func(b bench) {
		tube := float64(curve(b, b.si("H_p"), 1.75).Head(b.si("f_2")))
		valves := float64(curve(b, b.si("H_v"), 2).Head(b.si("f_2")))
		closeto.Relative(b, tube, b.answerSI("tube"), 1e-9, "tube")
		closeto.Relative(b, valves, b.answerSI("loss")-tube, 1e-9, "valves")
		// The whole lies between both exponents taken for everything.
		all := b.si("H_p") + b.si("H_v")
		low, high := float64(curve(b, all, 1.75).Head(b.si("f_2"))), float64(curve(b, all, 2).Head(b.si("f_2")))
		require.Greater(b, b.answerSI("loss"), math.Min(low, high))
		require.Less(b, b.answerSI("loss"), math.Max(low, high))
	})
}

// No hint of a choice ends in the size or the circuit that is right.
func TestHintsKeepTheChoice(t *testing.T) {
	named := func(b bench, part string, right string) {
		for _, p := range b.p.Parts {
			if p.ID != part || p.Kind != grader.Choice {
				continue
			}
			for _, h := range append([]string{p.Check}, p.Hints...) {
				require.False(b, strings.HasSuffix(h, "= "+right), h)
			}
		}
	}
	subscript := strings.NewReplacer("1", "₁", "2", "₂", "3", "₃", "4", "₄")
	inBoth(t, "main-by-friction", 2, func(b bench) {
		named(b, "size", "R"+subscript.Replace(b.part("size").Answer.Choice[len("size-"):]))
	})
	inBoth(t, "longest-of-parallel", 2, func(b bench) {
		for i, name := range []string{"north", "east", "south", "west"} {
			if b.part("decides").Answer.Choice == name {
				named(b, "decides", "H"+subscript.Replace(string(rune('1'+i))))
			}
		}
	})
}
