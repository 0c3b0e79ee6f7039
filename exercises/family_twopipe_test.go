package exercises

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"loopwright/grader"
	"loopwright/grader/closeto"
	"loopwright/grader/quantity"
	"loopwright/grader/valve"
)

// numbered lists the givens x_1, x_2 … in SI.
func numbered(b bench, prefix string) []float64 {
	var values []float64
	for {
		name := fmt.Sprintf("%s_%d", prefix, len(values)+1)
		if !slices.ContainsFunc(b.p.Givens, func(g Given) bool { return g.Name == name }) {
			return values
		}
		values = append(values, b.si(name))
	}
}

// Walking the mains tee by tee with the water.
func TestMainsSections(t *testing.T) {
	// circuit is the one that a part asks about.
	circuit := func(b bench, part string) int {
		prompt := b.part(part).Prompt
		k := int(prompt[len(prompt)-1] - '0')
		require.Contains(b, b.p.Statement, fmt.Sprintf("circuit %d", k))
		return k
	}
	supply := func(b bench) {
		flows := numbered(b, "f")
		main := 0.0
		for _, f := range flows {
			main += f
		}
		for _, f := range flows[:circuit(b, "supply")-1] {
			main -= f // each tee on the way takes its own
		}
		closeto.Relative(b, main, b.answerSI("supply"), 1e-9, "supply")
	}
	inBoth(t, "mains-sections", 1, supply)
	seen := map[bool]bool{}
	inBoth(t, "mains-sections", 2, func(b bench) {
		supply(b)
		flows := numbered(b, "f")
		k := circuit(b, "return")
		reverse := strings.Contains(b.p.Statement, "reverse return")
		seen[reverse] = true
		main := 0.0
		if reverse {
			for i := 0; i < k; i++ { // outward from the first circuit
				main += flows[i]
			}
		} else {
			for i := len(flows) - 1; i >= k-1; i-- { // homeward from the last
				main += flows[i]
			}
		}
		closeto.Relative(b, main, b.answerSI("return"), 1e-9, "return")
		// Side by side the two mains carry all of the water once in a reverse
		// return (the circuit itself twice), and the same water in a direct one.
		if reverse {
			total := 0.0
			for _, f := range flows {
				total += f
			}
			closeto.Relative(b, total+flows[k-1], b.answerSI("supply")+b.answerSI("return"), 1e-9, "both mains")
		} else {
			closeto.Relative(b, b.answerSI("supply"), b.answerSI("return"), 1e-9, "both mains")
		}
	})
	require.Len(t, seen, 2, "both returns are asked about")
	inBoth(t, "mains-sections", 3, func(b bench) {
		flows := numbered(b, "f")
		sections := map[string]float64{}
		ids := make([]string, len(flows))
		main := 0.0
		for i, f := range flows {
			main += f
			ids[i] = fmt.Sprintf("behind-%d", i+1)
			sections[ids[i]] = main
		}
		closeto.Relative(b, main, b.answerSI("home"), 1e-9, "home")
		slices.Reverse(ids) // the sort below has something to do
		slices.SortFunc(ids, func(x, y string) int { return int(math.Copysign(1, sections[x]-sections[y])) })
		require.Equal(b, ids, b.part("order").Answer.Order)
	})
}

// Head or pressure along each way, in SI: a head rate times a length is a
// head, a pressure rate a pressure.
func TestLongestOfParallel(t *testing.T) {
	for _, level := range []int{1, 2, 3} {
		inBoth(t, "longest-of-parallel", level, func(b bench) {
			lengths, rates, emitters := numbered(b, "L"), numbered(b, "R"), numbered(b, "B")
			names := []string{"north", "east", "south", "west"}[:len(lengths)]
			require.Len(b, b.part("decides").Options, len(names))
			var heads []float64
			for i, l := range lengths {
				h := l
				if level == 1 {
					h *= b.si("R")
				} else {
					h *= rates[i]
				}
				if level == 3 {
					h += emitters[i]
				}
				heads = append(heads, h)
			}
			most := slices.Max(heads)
			closeto.Relative(b, most, b.answerSI("head"), 1e-9, "head")
			require.Equal(b, names[slices.Index(heads, most)], b.part("decides").Answer.Choice)
			longest := names[slices.Index(lengths, slices.Max(lengths))]
			if level == 1 {
				require.Equal(b, longest, b.part("decides").Answer.Choice)
			}
			trap := slices.ContainsFunc(b.part("decides").Slips, func(s grader.Slip) bool {
				return s.ID == "critical-longest" && s.Answer.Choice == longest
			})
			require.Equal(b, longest != b.part("decides").Answer.Choice, trap)
		})
	}
}

// riser marches the demo riser from the last radiator back: the flow of the
// last one is guessed and corrected until the head at the foot is the one that
// the riser is given, 2.2 times the design difference. Mains of type M copper
// of 1 in, 40 ft from radiator to radiator, or 28 × 0.9 mm, 12 m; both ways.
// Friction by Haaland (1983), roughness 1.524e-6 m (Moody 1944, drawn tubing).
func riser(b bench, n int) (first, last float64) {
	bore, length := 1.055*0.0254, 40*0.3048
	if b.p.Units == SI {
		bore, length = 26.2e-3, 12.0
	}
	density, viscosity := hotWater(b)
	need := b.si("h_d")
	if b.p.Units == SI {
		need /= density * 9.80665
	}
	march := func(q float64) (first, last, foot float64) {
		last = need * math.Pow(q/b.si("f_d"), 2)
		at, main := last, 0.0
		for range n {
			main += b.si("f_d") * math.Sqrt(at/need)
			first = at
			at += 2 * length * haaland(main, bore, 1.524e-6, viscosity)
		}
		return first, last, at
	}
	low, high := 0.0, 3*b.si("f_d")
	for range 60 {
		if _, _, foot := march((low + high) / 2); foot < 2.2*need {
			low = (low + high) / 2
		} else {
			high = (low + high) / 2
		}
	}
	first, last, _ = march(low)
	if b.p.Units == SI {
		return first * density * 9.80665, last * density * 9.80665
	}
	return first, last
}

// count reads the number of radiators out of the statement.
func count(b bench) int {
	n := slices.Index([]string{"Four", "Five", "Six"}, strings.Fields(b.p.Statement)[0])
	require.GreaterOrEqual(b, n, 0)
	return n + 4
}

// A radiator with its valve is a valve of known coefficient; the differences
// shown, to two figures, are those of the riser marched by hand.
func TestTwoPipeRadiators(t *testing.T) {
	through := func(b bench, h float64) float64 {
		toPascal := 1.0
		if b.p.Units == US {
			toPascal = 1000 * 9.80665
		}
		c, err := valve.For(b.si("f_d"), quantity.Pascal(b.si("h_d")*toPascal), 1000)
		require.NoError(b, err)
		return c.Flow(quantity.Pascal(h*toPascal), 1000)
	}
	inBoth(t, "two-pipe-radiators", 1, func(b bench) {
		closeto.Relative(b, through(b, b.si("h")), b.answerSI("flow"), 1e-9, "flow")
		first, last := riser(b, count(b))
		if strings.Contains(b.part("flow").Prompt, "first") {
			closeto.Relative(b, first, b.si("h"), 0.05, "difference across the first")
		} else {
			closeto.Relative(b, last, b.si("h"), 0.06, "difference across the last")
		}
	})
	inBoth(t, "two-pipe-radiators", 2, func(b bench) {
		closeto.Relative(b, through(b, b.si("h_1")), b.answerSI("first"), 1e-9, "first")
		closeto.Relative(b, through(b, b.si("h_n")), b.answerSI("last"), 1e-9, "last")
		closeto.Relative(b, through(b, b.si("h_n")), b.answerSI("share")*b.si("f_d"), 1e-9, "share")
		first, last := riser(b, count(b))
		closeto.Relative(b, first, b.si("h_1"), 0.05, "difference across the first")
		closeto.Relative(b, last, b.si("h_n"), 0.06, "difference across the last")
	})
	inBoth(t, "two-pipe-radiators", 3, func(b bench) {
		share := through(b, b.si("h_n")) / b.si("f_d")
		closeto.Relative(b, share, b.answerSI("share"), 1e-9, "share")
		// The water is followed down the radiator in small steps. surface is
		// found so that the design flow cools by the design drop.
		supply, drop := b.si("T_s")-b.si("T_i"), b.si("dT")
		cooled := func(surface, flow float64) float64 {
			excess, steps := supply, 2000
			for range steps {
				excess -= surface * math.Pow(excess, 1.3) / flow / float64(steps)
			}
			return supply - excess
		}
		low, high := 0.0, 1.0
		for range 50 {
			if cooled((low+high)/2, 1) < drop {
				low = (low + high) / 2
			} else {
				high = (low + high) / 2
			}
		}
		heat := 100 * share * cooled(low, share) / drop
		texts := map[string]string{}
		for _, o := range b.part("heat").Options {
			texts[o.ID] = strings.ReplaceAll(o.Text, "\u00a0", " ")
		}
		var shown, same float64
		_, err := fmt.Sscanf(texts[b.part("heat").Answer.Choice], "about %f %%", &shown)
		require.NoError(b, err)
		_, err = fmt.Sscanf(texts["same-share"], "about %f %%", &same)
		require.NoError(b, err)
		closeto.Absolute(b, heat, shown, 0.6, "heat")
		closeto.Absolute(b, 100*share, same, 0.51, "same share")
		require.Less(b, shown, 95.0, "it can be told from all of it")
	})
}

// A valve maker's range manual (Siemens, p. 31): 5.16 m³/h through Kv 25 lose
// 4.3 kPa. At 100 kPa a Kv of 25 passes 25 m³/h, by its definition (IEC 60534).
func TestTwoPipeRadiatorsPublished(t *testing.T) {
	onBench(t, "two-pipe-radiators", 1, SI, func(b bench) {
		closeto.Relative(b, 25, b.rework("f", table{"f_d": 5.16, "h_d": 4.3, "h": 100}), 0.012/2, "range manual")
	})
}

// Reverse return pays up to a main of 2 in or DN 50 (common practice), which
// customarily carries up to 45 gpm or 2.8 L/s.
func TestReturnChoice(t *testing.T) {
	for _, level := range []int{1, 2, 3} {
		seen := map[string]bool{}
		inBoth(t, "return-choice", level, func(b bench) {
			flow := 0.0
			for range int(b.num("n")) {
				flow += b.si("f_e")
			}
			closeto.Relative(b, flow, b.answerSI("flow"), 1e-9, "flow")
			want := "direct"
			if flow <= map[System]float64{US: 45 * 6.309019640344e-5, SI: 2.8e-3}[b.p.Units] {
				want = "reverse"
			}
			seen[want] = true
			require.Equal(b, want, b.part("return").Answer.Choice)
			switch level {
			case 2:
				// Scanned as printed, from the smallest size shown.
				size := ""
				for _, g := range b.p.Givens {
					if strings.HasPrefix(g.Name, "m_") && size == "" && flow <= g.Value.SI {
						size = sizeIn(b, g.Label)
					}
				}
				small := bores[size] <= 55e-3 // 2 in and DN 50 have 52.5 and 53.1 mm
				require.Equal(b, small, want == "reverse", size)
			case 3:
				require.Equal(b, "no", b.part("balanced").Answer.Choice)
				fallthrough
			default:
				require.Equal(b, bores[sizeIn(b, b.p.Statement)] <= 55e-3, want == "reverse")
			}
		})
		require.Len(t, seen, 2, "both returns are right somewhere at level %d", level)
	}
}
