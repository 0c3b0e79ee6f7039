package exercises

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"loopwright/grader/closeto"
	"loopwright/grader/network"
	"loopwright/grader/quantity"
)

// fixedHeat is an emitter that takes the same heat whatever its water: a
// room's load, for the engine's loops.
type fixedHeat float64

func (q fixedHeat) Heat(c float64, supply, _ quantity.Celsius) (float64, quantity.Celsius, error) {
	return float64(q), supply - quantity.Celsius(float64(q)/c), nil
}

// loopCapacity is flow × heat by mass, in W/K: 8.33 lb to the gallon and a
// BTU to the pound and degree; in SI a kilogram to the liter.
func loopCapacity(b bench, flow string) float64 {
	if b.p.Units == US {
		pounds := b.num(flow) * 8.33 * 60 // per hour
		return pounds * 1.8 * 1055.06 / 3600
	}
	return b.num(flow) * 4186.8
}

// within is what the mass way costs in kelvins over the drops of these loops.
const withinKelvin = 0.05

func stops(heats []float64, share float64) []network.Stop {
	all := make([]network.Stop, len(heats))
	for i, q := range heats {
		all[i] = network.Stop{Emitter: fixedHeat(q), Share: share}
	}
	return all
}

func TestSeriesLoopTemperatures(t *testing.T) {
	for level := 1; level <= 2; level++ {
		inBoth(t, "series-loop-temperatures", level, func(b bench) {
			heats := numbered(b, "Q")
			passed, err := network.SeriesLoop(quantity.Celsius(b.si("T_1")), loopCapacity(b, "f"), stops(heats, 1))
			require.NoError(b, err)
			closeto.Absolute(b, float64(passed[len(passed)-1].After), b.answerSI("return"), withinKelvin, "return")

			prompt := b.part("entering").Prompt
			at := slices.IndexFunc(b.p.Givens, func(g Given) bool { return strings.HasPrefix(g.Name, "Q_") && strings.HasSuffix(prompt, " "+g.Label) })
			require.GreaterOrEqual(b, at, 0, prompt)
			n := int(b.p.Givens[at].Name[2] - '1')
			closeto.Absolute(b, float64(passed[n].Entering), b.answerSI("entering"), withinKelvin, "entering")
			if level == 1 {
				return
			}
			entering := map[string]float64{}
			for i, p := range passed {
				j := slices.IndexFunc(b.p.Givens, func(g Given) bool { return g.Name == fmt.Sprintf("Q_%d", i+1) })
				entering[roomID(b.p.Givens[j].Label)] = float64(p.Entering)
			}
			requireRising(b, b.part("order").Answer.Order, entering)
		})
	}
	inBoth(t, "series-loop-temperatures", 3, func(b bench) {
		readings := numbered(b, "T")
		capacity := b.answerSI("flow") * 1000 * 4186.8
		total, heat := 0.0, map[string]float64{}
		for i := range len(readings) - 1 {
			label := b.quantityLabel(fmt.Sprintf("T_%d", i+2))
			q := capacity * (readings[i] - readings[i+1])
			heat[roomID(strings.TrimPrefix(label, "behind the "))] = -q // most first
			total += q
			if i == 2 {
				closeto.Relative(b, q, b.answerSI("room"), 0.0025, "heat of the third room")
			}
		}
		closeto.Relative(b, b.si("Q"), total, 0.0025, "the rooms' heats make up the loop's")
		requireRising(b, b.part("order").Answer.Order, heat)
	})
}

func (b bench) quantityLabel(name string) string {
	i := slices.IndexFunc(b.p.Givens, func(g Given) bool { return g.Name == name })
	require.GreaterOrEqual(b, i, 0, name)
	return b.p.Givens[i].Label
}

func requireRising(b bench, order []string, value map[string]float64) {
	require.Len(b, value, len(order))
	for i := 1; i < len(order); i++ {
		require.Less(b, value[order[i-1]], value[order[i]], "%v", order)
	}
}

func TestSeriesLoopLimit(t *testing.T) {
	inBoth(t, "series-loop-limit", 1, func(b bench) {
		heat := loopCapacity(b, "f") * b.si("dT")
		closeto.Relative(b, heat, b.answerSI("heat"), massWay, "heat")
		closeto.Relative(b, heat, b.answerSI("length")*b.si("q"), massWay, "the length gives that heat")
	})
	inBoth(t, "series-loop-limit", 2, func(b bench) {
		heat := loopCapacity(b, "f") * b.si("dT")
		closeto.Relative(b, heat, b.answerSI("heat"), massWay, "heat")
		mean := b.num("T_s") - b.num("dT")/2
		closeto.Relative(b, heat, b.answerSI("length")*b.si("q_r")*ratedFactor(b, mean), finTubeWithin+massWay, "the length gives that heat")
		// The engine follows the water and counts the flow's few percent: at
		// most 8 gpm, 8^0.04 = 1.087. Its exponent is not rounded: 2 or 3 % more.
		engine := b.p.Rule.Engine.SI
		require.Less(b, engine, b.answerSI("length")*1.02)
		require.Greater(b, engine, b.answerSI("length")/1.087*0.97)
	})
	inBoth(t, "series-loop-limit", 3, func(b bench) {
		passed, err := network.SeriesLoop(quantity.Celsius(b.si("T_s")), loopCapacity(b, "f"), stops([]float64{b.si("Q_b"), b.si("Q_l")}, 1))
		require.NoError(b, err)
		last := passed[1]
		closeto.Absolute(b, float64(last.Entering), b.answerSI("entering"), withinKelvin, "entering the last room")
		mean := quantity.FromSI(float64(last.Entering+last.After)/2, b.quantity("T_s").Unit).Number()
		closeto.Relative(b, b.si("Q_l"), b.answerSI("length")*b.si("q_r")*ratedFactor(b, mean), finTubeWithin+0.005, "the length gives the load")
		require.Less(b, b.p.Rule.Engine.SI, 0.95*b.si("Q_l"), "cut by the rule, the last room stays cold")
		require.Greater(b, b.p.Rule.Engine.SI, 0.6*b.si("Q_l"))
		require.Equal(b, "split", b.part("repair").Answer.Choice)
	})
	// The customary 3/4 in loop: 4 gpm, 40,000 BTU/h at 20 °F, about 67 ft at
	// 600 BTU/h·ft (common practice).
	onBench(t, "series-loop-limit", 1, US, func(b bench) {
		givens := map[string]float64{"f": 4, "k": 500, "dT": 20, "q": 600}
		closeto.Relative(b, 40000, b.rework("Q", givens), 1e-12, "customary heat")
		closeto.Absolute(b, 67, b.rework("L", givens), 0.5, "customary length")
	})
}

func TestDiverterCascade(t *testing.T) {
	inBoth(t, "diverter-cascade", 1, func(b bench) {
		passed := diverted(b, numbered(b, "Q"))
		closeto.Absolute(b, float64(passed[2].Entering), b.answerSI("third"), withinKelvin, "third tee")
		closeto.Absolute(b, float64(passed[2].After), b.answerSI("return"), withinKelvin, "return")
	})
	inBoth(t, "diverter-cascade", 2, func(b bench) {
		passed := diverted(b, numbered(b, "Q"))
		last := passed[len(passed)-1]
		closeto.Absolute(b, float64(last.Entering), b.answerSI("entering"), withinKelvin, "entering")
		closeto.Absolute(b, float64(last.Leaving), b.answerSI("leaving"), withinKelvin, "leaving")
		closeto.Absolute(b, float64(last.After), b.answerSI("behind"), withinKelvin, "behind")
	})
	inBoth(t, "diverter-cascade", 3, func(b bench) {
		heats := slices.Repeat([]float64{b.si("Q")}, int(b.num("N")))
		passed := diverted(b, heats)
		first, last := passed[0], passed[len(passed)-1]
		closeto.Absolute(b, float64(last.Entering), b.answerSI("entering"), withinKelvin, "entering the last")
		// A radiator's output at each mean, by the table: the sizes that give
		// one heat are as the outputs of one size, upside down. The table's
		// 50 K stand for the first radiator's excess.
		over := func(p network.Passed) float64 { return float64(p.Entering+p.Leaving)/2 - b.si("T_i") }
		closeto.Relative(b, 1/en442Factor(b, 50*over(last)/over(first), 1.3), b.answer("size"), en442Within, "size")

		// The first radiator shut: the last one's water is hotter.
		shut := diverted(b, heats[1:])
		require.Greater(b, shut[len(shut)-1].Entering, last.Entering)
		require.Equal(b, "hotter", b.part("shut").Answer.Choice)
	})
}

func diverted(b bench, heats []float64) []network.Passed {
	passed, err := network.DiverterLoop(quantity.Celsius(b.si("T_1")), loopCapacity(b, "f"), stops(heats, b.num("f_b")/b.num("f")))
	require.NoError(b, err)
	return passed
}
