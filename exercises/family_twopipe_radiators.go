package exercises

import (
	"fmt"
	"strings"

	"loopwright/grader/emitter"
	"loopwright/grader/network"
	"loopwright/grader/pipe"
	"loopwright/grader/quantity"
	"loopwright/grader/thumb"
)

var twoPipeRadiators = &Family{
	ID: "two-pipe-radiators", Title: "What each radiator gets", Skills: []string{"two-pipe-share"}, Lesson: LessonTwoPipe,
	Levels: [Levels]string{
		"Flow of one radiator from the difference across it.",
		"Near and far radiator, and the share of each.",
		"From flow to heat: what a starved radiator still gives.",
	},
	Build: buildTwoPipeRadiators,
}

var returnChoice = &Family{
	ID: "return-choice", Title: "Direct or reverse return", Skills: []string{"return-choice"}, Lesson: LessonTwoPipe,
	Levels: [Levels]string{
		"The size of the main is known.",
		"Find the flow and the size first.",
		"Unlike circuits: what reverse return can and cannot do.",
	},
	Build: buildReturnChoice,
}

// demoDifferences solves a demo two-pipe system of like radiators with direct
// return and gives the heads across the first and the last radiator, in
// meters.
func demoDifferences(d *Draw, n int, design, rated, length float64, size pipe.Size) (first, last float64, err error) {
	w, _, err := usualWater(d)
	if err != nil {
		return 0, 0, err
	}
	t := network.TwoPipe{}
	for range n {
		main := network.PipeRun{Size: size, Length: length, Water: w}
		t.Supply, t.Return = append(t.Supply, main), append(t.Return, main)
		t.Circuits = append(t.Circuits, network.RatedPoint(design, rated, 2))
	}
	// Demo: a head at which the near radiators get too much and the far ones
	// too little.
	solved, err := t.Solve(network.FixedHead(rated * 2.2))
	if err != nil {
		return 0, 0, err
	}
	return solved.Difference[0], solved.Difference[n-1], nil
}

func buildTwoPipeRadiators(d *Draw, s *Sheet) {
	flow, loss := flowUnit(d), lossUnit(d)
	n := d.Int(4, 6)
	design := Native(d, d.Between(1, 2.4, 0.2), d.Between(0.06, 0.15, 0.01))
	rated := Native(d, d.Between(1.5, 4, 0.5), d.Between(4, 12, 1))
	size := Native(d, pipe.MustFind("copper-m", "1"), pipe.MustFind("copper-en1057", "28x0.9"))
	w, _, err := usualWater(d)
	if err != nil {
		s.fail("%w", err)
		return
	}
	ratedHead := Native(d, quantity.FootHead.ToSI(rated), float64(quantity.Pascal(1000*rated).Head(w.Density)))
	first, last, err := demoDifferences(d, n, flow.ToSI(design), ratedHead, Native(d, quantity.Foot.ToSI(40), 12.0), size)
	if err != nil {
		s.fail("%w", err)
		return
	}
	shown := func(meters float64) float64 {
		if d.US() {
			return toFigures(quantity.FootHead.FromSI(meters), 2)
		}
		return toFigures(float64(quantity.MetersHead(meters).Pressure(w.Density))/1000, 2)
	}
	h1, hn := shown(first), shown(last)
	if h1/rated < 1.25 || hn/rated > 0.8 {
		s.Reject("near and far are too much alike")
		return
	}
	s.Source("flow through a radiator and its valve follows the square root of the difference; differences solved by the engine for a demo riser")
	s.Source(sourceLayouts)
	s.Given("f_d", "design flow of each radiator", design, flow)
	s.Given("h_d", "difference it needs for that", rated, loss)
	riser := fmt.Sprintf("%s like radiators hang on a two-pipe riser with direct return, and none of them is balanced. Each is designed for {f_d}, which needs a difference of {h_d} across it.", Capital(inWords(n)))
	because := "Flow follows the square root of the difference."
	slips := func(symbol, h string) {
		s.Slip("flow-linear-difference", symbol, "f_d * "+h+" / h_d", "Flow does not go with the difference but with its square root.")
		s.MaySlip("ratio-upside-down", symbol, "f_d * sqrt(h_d / "+h+")", "The ratio is upside down: a larger difference drives more flow.")
		s.MaySlip("flow-square-of-difference", symbol, "f_d * pow("+h+" / h_d, 2)", "You squared the ratio; flow goes with its root.")
	}
	switch d.Level {
	case 1:
		which, h := "first", h1
		if One(d, true, false) {
			which, h = "last", hn
		}
		s.Statement(riser + " A gauge shows {h} across the " + which + " one, counted from the boiler. What flow does it get?")
		s.Given("h", "difference measured across it", h, loss)
		s.Step("f", "Flow of the "+which+" radiator", "f_d * sqrt(h / h_d)", flow, because)
		s.Ask("flow", "Flow of the "+which+" radiator", "f", ToleranceTable)
		slips("f", "h")
	case 2:
		s.Statement(riser + " A gauge shows {h_1} across the first and {h_n} across the last, counted from the boiler. What flow does each of the two get, and what share of its design flow is left to the last?")
		s.Given("h_1", "difference across the first", h1, loss)
		s.Given("h_n", "difference across the last", hn, loss)
		s.Step("f_1", "Flow of the first", "f_d * sqrt(h_1 / h_d)", flow, because)
		s.Step("f_n", "Flow of the last", "f_d * sqrt(h_n / h_d)", flow, because)
		s.Step("x", "Share of the last", "100 * f_n / f_d", quantity.Percent, "Divide what it gets by what it was designed for.")
		s.Ask("first", "Flow of the first radiator", "f_1", ToleranceTable)
		s.Ask("last", "Flow of the last radiator", "f_n", ToleranceTable)
		s.Ask("share", "Share of its design flow left to the last", "x", ToleranceTable)
		slips("f_1", "h_1")
		s.Slip("flow-linear-difference-far", "f_n", "f_d * h_n / h_d", "Flow does not go with the difference but with its square root.")
		s.MaySlip("share-of-first", "x", "100 * f_n / f_1", "That is its share of the first radiator's flow; the question is about its own design flow.")
	default:
		buildStarvedRadiator(d, s, riser, hn)
	}
	s.Caution(cautionHot)
}

// buildStarvedRadiator asks what heat is left when the flow is not.
func buildStarvedRadiator(d *Draw, s *Sheet, riser string, hn float64) {
	flow, loss := flowUnit(d), lossUnit(d)
	supply := Native(d, quantity.Celsius(quantity.Fahrenheit.ToSI(180)), quantity.Celsius(80))
	room := Native(d, quantity.Celsius(quantity.Fahrenheit.ToSI(70)), quantity.Celsius(20))
	s.Given("T_s", "supply temperature", readingUnit(d).FromSI(float64(supply)), readingUnit(d))
	s.Given("T_i", "room temperature", readingUnit(d).FromSI(float64(room)), readingUnit(d))
	s.Given("dT", "design temperature drop", Native(d, 20.0, 10), dropUnit(d))
	s.Given("h_n", "difference across the last", hn, loss)
	w, _, err := usualWater(d)
	if err != nil {
		s.fail("%w", err)
		return
	}
	design, _ := s.Value("f_d")
	drop := Native(d, quantity.Kelvin(quantity.FahrenheitDifference.ToSI(20)), quantity.Kelvin(10))
	// The radiator gives its design heat at the design flow and drop.
	c := flow.ToSI(design) * w.VolumetricHeat()
	e := emitter.Emitter{Output: c * float64(drop), Excess: quantity.Kelvin(supply-room) - drop/2, Drop: drop, Exponent: 1.3}
	if err := e.Check(); err != nil {
		s.fail("%w", err)
		return
	}
	s.Func("heat_share", func(a ...float64) (float64, error) {
		heat, _, err := e.Heat(a[0]/100*c, supply, room)
		return 100 * heat / e.Output, err
	})
	s.Statement(riser + " The design drop is {dT} and the rooms are at {T_i}. The water reaches every radiator at {T_s}. A gauge shows {h_n} across the last one. What share of its design flow does it get, and how much of its design heat, roughly, does it still give?")
	s.Step("x", "Share of design flow", "100 * sqrt(h_n / h_d)", quantity.Percent, "Flow follows the square root of the difference.")
	q := s.Step("y", "Share of design heat", "heat_share(x)", quantity.Percent, "With less flow the water cools farther, but the radiator's top stays hot: heat falls much less than flow.")
	s.Ask("share", "Share of design flow", "x", ToleranceTable)
	s.Slip("flow-linear-difference", "x", "100 * h_n / h_d", "Flow does not go with the difference but with its square root.")
	s.MaySlip("ratio-upside-down", "x", "100 * sqrt(h_d / h_n)", "The ratio is upside down: a small difference drives little flow.")
	x, _ := s.Value("x")
	if q-x < 8 || q > 94.5 {
		s.Reject("heat lies too close to the flow, or to all of it, to tell")
		return
	}
	about := func(v float64) string { return fmt.Sprintf("about %.0f\u00a0%%", v) }
	s.Choose("heat", "How much of its design heat does it still give?", "engine", "y", "Heat depends on the mean temperature of the radiator's water, and that falls little while some water flows.",
		Pick{ID: "same-share", Text: about(x) + ", as with the flow", Slip: "trv-flow-equals-heat", Say: "Heat does not follow the flow: the radiator's mean temperature falls far less. That is why even a badly balanced system still gives some heat everywhere."},
		Pick{ID: "engine", Text: about(q)},
		Pick{ID: "all", Text: "all of it: the flow does not matter", Slip: "flow-no-effect", Say: "With less flow the water cools farther on its way through, so the lower part of the radiator gives less."})
	s.Source("radiator by EN 442-2 with exponent 1.3; heat at the lower flow by the engine's energy balance")
}

func buildReturnChoice(d *Draw, s *Sheet) {
	flow := flowUnit(d)
	i := d.Int(2, 7)
	list := Native(d, thumb.CustomaryFlowsUS(), thumb.CustomaryFlowsSI())
	n := d.Int(4, 8)
	each := toFigures(flow.FromSI(list[i].Flow)*d.Between(0.7, 0.95, 0.05)/float64(n), 2)
	fit, err := thumb.SizeFor(list, flow.ToSI(each*float64(n)))
	if err != nil {
		s.Reject(err.Error())
		return
	}
	pays, err := thumb.ReverseReturnPays(fit.Nominal)
	if err != nil {
		s.fail("%w", err)
		return
	}
	label := strings.NewReplacer("DN", "DN\u00a0").Replace(fit.Nominal)
	if d.US() {
		label += "\u00a0in"
	}
	most := Native(d, "2\u00a0in", "DN\u00a050")
	s.Given("n", "circuits", float64(n), quantity.One)
	s.Given("f_e", "flow of each circuit", each, flow)
	where := One(d, "a school wing", "a row of offices", "an apartment wing", "a greenhouse")
	s.Step("f", "Flow of the main", "n * f_e", flow, "The main carries all of the circuits where it leaves the boiler room.")
	s.Ask("flow", "Flow of the main", "f", ToleranceExact)
	s.Slip("main-for-one-branch", "f", "f_e", "The main carries all of the circuits, not one.")
	s.MaySlip("one-circuit-short", "f", "(n - 1) * f_e", "Count the first circuit too: the main carries it as far as its tee.")
	right := map[bool]string{true: "reverse", false: "direct"}[pays]
	wrongSay := map[bool]string{
		true:  "With a main of " + label + " the extra pipe costs less than valves and the time to set them. By custom reverse return pays up to " + most + ".",
		false: "With a main of " + label + " the extra pipe costs more than valves. By custom reverse return pays up to " + most + "; above that, take a direct return with balancing valves.",
	}[pays]
	reverse := Pick{ID: "reverse", Text: "Reverse return", Slip: "reverse-return-too-large", Say: wrongSay}
	direct := Pick{ID: "direct", Text: "Direct return with balancing valves", Slip: "direct-return-small-main", Say: wrongSay}
	bare := Pick{ID: "bare", Text: "Direct return without valves", Slip: "direct-unbalanced", Say: "With a direct return the near circuits take more than their share. Valves have to take up the excess head there."}
	many := Capital(inWords(n))
	switch d.Level {
	case 1:
		s.Statement(many + " like circuits of {f_e} each are to hang on one pair of mains in " + where + ". The main at the boiler is " + label + ". What flow does it carry, and which return does custom choose?")
	case 2:
		s.Statement(many + " like circuits of {f_e} each are to hang on one pair of mains in " + where + ". What flow does the main carry? Find its size by the customary flows: which return does custom choose for it?")
		for j := max(i-2, 1); j <= min(i+1, len(list)-1); j++ {
			s.Looked(fmt.Sprintf("m_%d", j), "customary flow, "+steelAt(d, j).Label(), flow.FromSI(list[j].Flow), flow, "common practice")
		}
	default:
		s.Statement(many + " circuits of {f_e} each are to hang on one pair of " + label + " mains in " + where + ". Some of the circuits feed large radiators, the others unit heaters that lose three times as much head. What flow does the main carry, and which return does custom choose for its size? Would a reverse return make balancing needless here?")
	}
	s.Choose("return", "Which return?", right, "f", "Find the size of the main, and compare it with "+most+".", reverse, direct, bare)
	if d.Level == 3 {
		s.Choose("balanced", "Would a reverse return make balancing needless here?", "no", "f", "A reverse return evens out the ways through the mains. Ask what it does to the circuits themselves.",
			Pick{ID: "no", Text: "No: the circuits lose unlike heads and need valves all the same"},
			Pick{ID: "yes", Text: "Yes: with a reverse return every way is as long as every other", Slip: "reverse-always-balanced", Say: "The ways through the mains are equal then, the circuits are not: the easy ones still take too much."})
	}
	s.Source("reverse return up to 2 in (DN 50): common practice")
	s.Source(sourceCustom)
	s.Caution(cautionDesign)
}
