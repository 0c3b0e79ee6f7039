package exercises

import (
	"regexp"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"loopwright/grader/circulator"
	"loopwright/grader/closeto"
	"loopwright/grader/network"
	"loopwright/grader/quantity"
)

// smallerShare says whether circuit i has a smaller share of its design flow than j,
// by cross multiplication instead of division.
func smallerShare(b bench, i, j int) bool {
	n := func(k int) string { return string(rune('1' + k)) }
	return b.num("m_"+n(i))*b.num("q_"+n(j)) < b.num("m_"+n(j))*b.num("q_"+n(i))
}

// byShare lists the numbers 1 … n of the circuits by rising share.
func byShare(b bench, n int) []string {
	order := []int{0, 1, 2, 3}[:n]
	slices.SortFunc(order, func(i, j int) int {
		if smallerShare(b, i, j) {
			return -1
		}
		return 1
	})
	numbers := make([]string, n)
	for k, i := range order {
		numbers[k] = string(rune('1' + i))
	}
	return numbers
}

// In proportion means that measured flows stand as design flows: the set valve
// to the reference at that moment, the total to the reference at the end.
func TestProportionalBalancing(t *testing.T) {
	name := func(number string) string { return balanceNames[number[0]-'1'] }
	inBoth(t, "proportional-balancing", 1, func(b bench) {
		order := byShare(b, 3)
		ref, next := order[0], order[1]
		require.Equal(b, name(ref), b.part("open").Answer.Choice)
		closeto.Relative(b, b.num("m_"+ref), b.answerSI("share")*b.num("q_"+ref), 1e-9, "share")
		closeto.Relative(b, b.num("m_r")*b.num("q_"+next), b.answer("set")*b.num("q_"+ref), 1e-9, "set")
		// The throttled circuit gives up water, the reference gains some.
		require.Less(b, b.answer("set"), b.num("m_"+next))
		require.Greater(b, b.num("m_r"), b.num("m_"+ref))
		// By hand: 6 of 8 are 75 %. Risen to 6.4 it has 80 %; 80 % of 5 are 4.
		worked := table{"m_" + ref: 6, "q_" + ref: 8, "m_r": 6.4, "m_" + next: 5.5, "q_" + next: 5}
		for k, v := range (table{"m_1": 12, "m_2": 12, "m_3": 12, "q_1": 10, "q_2": 10, "q_3": 10}) {
			if _, set := worked[k]; !set {
				worked[k] = v
			}
		}
		closeto.Relative(b, 75, b.rework("x_"+ref, worked), 1e-12, "share by hand")
		closeto.Relative(b, 4, b.rework("f", worked), 1e-12, "flow by hand")
	})
	inBoth(t, "proportional-balancing", 2, func(b bench) {
		order := byShare(b, 4)
		ref, third := order[0], order[2]
		want := make([]string, 4)
		for k, n := range order {
			want[k] = name(n)
		}
		require.Equal(b, want, b.part("order").Answer.Order)
		closeto.Relative(b, b.num("m_r")*b.num("q_"+third), b.answer("set")*b.num("q_"+ref), 1e-9, "set")
		total := 0.0
		for _, n := range order {
			total += b.num("m_e") * b.num("q_"+n) / b.num("q_"+ref)
		}
		closeto.Relative(b, total, b.answer("total"), 1e-9, "total")
		// The reference rises from valve to valve, the total falls.
		require.Greater(b, b.num("m_r"), b.num("m_"+ref))
		require.GreaterOrEqual(b, b.num("m_e"), b.num("m_r"))
		require.Less(b, total, b.num("m_1")+b.num("m_2")+b.num("m_3")+b.num("m_4"))
	})
	inBoth(t, "proportional-balancing", 3, func(b bench) {
		// The engine's network of three branches on a held head. The kind does
		// not matter to the square law: numbers go through as they are.
		ref := byShare(b, 3)[0]
		share := b.num("m_"+ref) / b.num("q_"+ref)
		held := b.num("H")
		system := network.TwoPipe{}
		for _, n := range []string{"1", "2", "3"} {
			system.Supply = append(system.Supply, network.PowerLaw{Exponent: 2})
			system.Return = append(system.Return, network.PowerLaw{Exponent: 2})
			system.Circuits = append(system.Circuits, network.RatedPoint(share*b.num("q_"+n), held, 2))
		}
		now, err := system.Solve(network.FixedHead(held))
		require.NoError(b, err)
		closeto.Relative(b, now.Flows[ref[0]-'1'], b.num("m_"+ref), 1e-9, "the reference stays")
		closeto.Relative(b, now.Total, b.answer("total"), 1e-9, "total")
		closeto.Relative(b, share*b.num("q_t"), b.answer("room"), 1e-9, "room")
		require.Equal(b, "stays", b.part("reference").Answer.Choice)
		then, err := system.Solve(network.FixedHead(b.answer("difference")))
		require.NoError(b, err)
		for i, f := range then.Flows {
			closeto.Relative(b, b.num("q_"+string(rune('1'+i))), f, 1e-9, "design flow")
		}
		// By hand: shares 80, 125 and 100 %; 80 % of 20 are 16; 10 × (100/80)²
		// = 15.625.
		worked := table{"m_1": 4, "q_1": 5, "m_2": 12.5, "q_2": 10, "m_3": 5, "q_3": 5, "q_t": 1, "H": 10}
		closeto.Relative(b, 16, b.rework("F", worked), 1e-12, "total by hand")
		closeto.Relative(b, 15.625, b.rework("H_n", worked), 1e-12, "difference by hand")
	})
}

// What the reference shows after each valve, against the engine's network with
// a shared resistance.
func TestReferenceRises(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 4).Draw(t, "circuits")
		shared := rapid.Float64Range(0, 4).Draw(t, "shared")
		m := metered{}
		total, share := 0.0, 0.5
		for i := range n {
			share += rapid.Float64Range(0.05, 0.4).Draw(t, "more")
			design := rapid.Float64Range(1, 10).Draw(t, "design")
			m.design, m.measured, m.rising = append(m.design, design), append(m.measured, share*design), append(m.rising, i)
			total += share * design
		}
		system := network.TwoPipe{Shared: network.RatedPoint(total, shared+1e-12, 2)}
		for _, f := range m.measured {
			system.Supply = append(system.Supply, network.PowerLaw{Exponent: 2})
			system.Return = append(system.Return, network.PowerLaw{Exponent: 2})
			system.Circuits = append(system.Circuits, network.RatedPoint(f, 1, 2))
		}
		for i, want := range m.reference(shared) {
			if i > 0 {
				// Like circuits in proportion: the same share at the same loss.
				system.Circuits[i] = network.RatedPoint(m.design[i]*m.measured[0]/m.design[0], 1, 2)
			}
			solved, err := system.Solve(network.FixedHead(1 + shared))
			require.NoError(t, err)
			require.InEpsilon(t, want, solved.Flows[0], 1e-8)
		}
	})
}

var closedCircuit = regexp.MustCompile(`(?:of the|Then the) (\w+) circuit (?:of [a-z ]+ )?shuts`)

// shutIn is the number of the circuit that closes.
func shutIn(b bench, names ...string) int {
	found := closedCircuit.FindStringSubmatch(b.p.Statement)
	require.NotNil(b, found, b.p.Statement)
	i := slices.Index(names, found[1])
	require.GreaterOrEqual(b, i, 0)
	return i
}

// The engine's network with the closed circuit as one of nearly endless
// resistance. Numbers go through as they are: the square law does not mind.
func TestOneCircuitCloses(t *testing.T) {
	n := func(i int) string { return string(rune('1' + i)) }
	const shut = 1e15
	inBoth(t, "one-circuit-closes", 1, func(b bench) {
		total := b.num("q_1") + b.num("q_2") + b.num("q_3")
		system := network.TwoPipe{Shared: network.RatedPoint(total, b.num("h_s"), 2)}
		for i := range 3 {
			system.Supply = append(system.Supply, network.PowerLaw{Exponent: 2})
			system.Return = append(system.Return, network.PowerLaw{Exponent: 2})
			system.Circuits = append(system.Circuits, network.RatedPoint(b.num("q_"+n(i)), b.num("H")-b.num("h_s"), 2))
		}
		system.Circuits[shutIn(b, balanceNames[:3]...)] = network.PowerLaw{Coefficient: shut, Exponent: 2}
		solved, err := system.Solve(network.FixedHead(b.num("H")))
		require.NoError(b, err)
		closeto.Relative(b, solved.Difference[0], b.answer("difference"), 1e-6, "difference")
		asked := slices.IndexFunc(balanceNames[:3], func(name string) bool {
			return b.part("flow").Prompt == "Flow of the "+name+" circuit now"
		})
		closeto.Relative(b, solved.Flows[asked], b.answer("flow"), 1e-6, "flow")
		require.Equal(b, "alike", b.part("gain").Answer.Choice)
		// By hand: 12 held, 6 taken by boiler and mains, so 6 at the headers.
		// Half of the flow stays open: D + (6/6)(1/2)² D = 12, D = 9.6; the
		// root of 9.6/6 is 1.2649.
		worked := table{"H": 12, "h_s": 6, "r": 0.5}
		closeto.Relative(b, 9.6, b.rework("D", worked), 1e-12, "difference by hand")
		closeto.Relative(b, 1.2649, b.rework("g", worked), 1e-4, "gain by hand")
	})
	gains := map[string]bool{}
	inBoth(t, "one-circuit-closes", 2, func(b bench) {
		names := []string{"near", "middle", "far"}
		system := network.TwoPipe{}
		for i := range names {
			half := network.PowerLaw{Coefficient: b.num("s_"+n(i)) / 2, Exponent: 2}
			system.Supply, system.Return = append(system.Supply, half), append(system.Return, half)
			system.Circuits = append(system.Circuits, network.PowerLaw{Coefficient: b.num("k_" + n(i)), Exponent: 2})
		}
		before, err := system.Solve(network.FixedHead(b.num("H")))
		require.NoError(b, err)
		for i, f := range before.Flows {
			closeto.Absolute(b, f, b.num("m_"+n(i)), map[System]float64{US: 0.051, SI: 0.0051}[b.p.Units], "measured before")
		}
		closed := shutIn(b, names...)
		system.Circuits[closed] = network.PowerLaw{Coefficient: shut, Exponent: 2}
		after, err := system.Solve(network.FixedHead(b.num("H")))
		require.NoError(b, err)
		open := slices.DeleteFunc([]int{0, 1, 2}, func(i int) bool { return i == closed })
		closeto.Relative(b, after.Flows[open[0]], b.answer("nearer"), 1e-6, "nearer")
		closeto.Relative(b, after.Flows[open[1]], b.answer("farther"), 1e-6, "farther")
		gain := func(i int) float64 { return after.Flows[i] / before.Flows[i] }
		right := b.part("gain").Answer.Choice
		gains[right] = true
		if right == "alike" {
			closeto.Relative(b, gain(open[0]), gain(open[1]), 1e-6, "gain")
		} else {
			require.Equal(b, "farther", right)
			require.Greater(b, gain(open[1]), 1.02*gain(open[0]))
		}
		if closed == 2 {
			// By hand: beyond the near take-off 0.07 + 0.09 = 0.16 against
			// 0.16, so both pass the same. Together 2 f in the first mains:
			// 0.02 × 4 + 0.16 = 0.24, and the root of 6/0.24 is 5.
			worked := table{"H": 6, "s_1": 0.02, "s_2": 0.07, "k_1": 0.16, "k_2": 0.09}
			closeto.Relative(b, 5, b.rework("f_1", worked), 1e-12, "by hand")
		}
	})
	require.Len(t, gains, 2, "both answers are right somewhere")
	inBoth(t, "one-circuit-closes", 3, func(b bench) {
		system := network.TwoPipe{}
		for i := range 4 {
			half := network.PowerLaw{Coefficient: b.num("s") / 2, Exponent: 2}
			system.Supply, system.Return = append(system.Supply, half), append(system.Return, half)
			system.Circuits = append(system.Circuits, network.PowerLaw{Coefficient: b.num("k_" + n(i)), Exponent: 2})
		}
		// The curve of package circulator through two of its points.
		end := 1.2 * b.num("m")
		curve, err := circulator.NewCurve(circulator.Point{Head: quantity.MetersHead(b.num("a"))},
			circulator.Point{Flow: end, Head: quantity.MetersHead(b.num("a") - b.num("b")*end*end)})
		require.NoError(b, err)
		before, err := system.Solve(curve)
		require.NoError(b, err)
		closed := shutIn(b, "first", "second", "third", "fourth")
		rounding := map[System]float64{US: 0.051, SI: 0.0051}[b.p.Units]
		closeto.Absolute(b, before.Total, b.num("m"), rounding, "total before")
		closeto.Absolute(b, before.Flows[closed], b.num("m_s"), rounding, "closed one before")
		closeto.Absolute(b, before.Flows[3], b.num("m_4"), rounding, "fourth before")
		system.Circuits[closed] = network.PowerLaw{Coefficient: shut, Exponent: 2}
		after, err := system.Solve(curve)
		require.NoError(b, err)
		closeto.Relative(b, after.Flows[3], b.answer("last"), 1e-6, "fourth")
		closeto.Relative(b, after.Total, b.answer("total"), 1e-6, "total")
		closeto.Relative(b, after.Head, b.answer("head"), 1e-6, "head")
		for i := range closed {
			for j := closed + 1; j < 4; j++ {
				require.Greater(b, after.Flows[j]/before.Flows[j], after.Flows[i]/before.Flows[i], "beyond gains more")
			}
		}
		if closed == 2 {
			// By hand: 2 × 0.02 + 0.12 = 0.16 against 0.16: ratio 1. Beyond the
			// first take-off 0.16 + 0.02 × 4 = 0.24 against 0.24: ratio 1. Three
			// like flows: 0.24 + 0.05 × 9 = 0.69, and 17.25/0.69 = 25, root 5.
			// In all 15; 17.25 − 0.03 × 225 = 10.5.
			worked := table{"a": 17.25, "b": 0.03, "s": 0.02, "k_1": 0.24, "k_2": 0.16, "k_4": 0.12}
			closeto.Relative(b, 5, b.rework("f_4", worked), 1e-9, "fourth by hand")
			closeto.Relative(b, 10.5, b.rework("H", worked), 1e-9, "head by hand")
		}
	})
}
