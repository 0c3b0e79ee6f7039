package exercises

import (
	"math"
	"strconv"
	"strings"

	"loopwright/grader/fluid"
	"loopwright/grader/pipe"
	"loopwright/grader/quantity"
	"loopwright/grader/thumb"
)

var pipeFamilies = []*Family{
	{
		ID: "velocity", Title: "Velocity in a pipe", Skills: []string{"velocity-from-flow"}, Lesson: LessonPipe,
		Levels: [Levels]string{
			"Flow and bore are given.",
			"Find the flow that a velocity limit allows.",
			"The load is given; find the velocity and judge it.",
		},
		Build: buildVelocity,
	},
	{
		ID: "main-from-load", Title: "Size a main by its customary flow", Skills: []string{"pipe-size-limits"}, Lesson: LessonPipe,
		Levels: [Levels]string{
			"The flow is given.",
			"The load is given; find the flow first.",
			"Several zones and a drop that is not the usual one.",
		},
		Build: buildMainFromLoad,
	},
	{
		ID: "boiler-outlet-capacity", Title: "A boiler's capacity from its outlet", Skills: []string{"outlet-capacity"}, Lesson: LessonPipe,
		Levels: [Levels]string{
			"The outlet's size is known.",
			"The boiler works with another drop.",
			"A condensing boiler with a plate: where the rule misleads.",
		},
		Build: buildOutletCapacity,
	},
	mainByFriction, runHeadLoss, headAtAnotherFlow,
}

// steel is the pipe of these problems: schedule 40 by inches, EN 10255 by DN.
func steel(d *Draw, us, si string) pipe.Size {
	return Native(d, pipe.MustFind("steel-sch40", us), pipe.MustFind("steel-en10255", si))
}

// sizePairs are the sizes of the customary list, smallest first, in both
// systems.
var sizePairs = [...][2]string{{"1/2", "DN15"}, {"3/4", "DN20"}, {"1", "DN25"}, {"1-1/4", "DN32"}, {"1-1/2", "DN40"}, {"2", "DN50"}, {"2-1/2", "DN65"}, {"3", "DN80"}}

func steelAt(d *Draw, i int) pipe.Size { return steel(d, sizePairs[i][0], sizePairs[i][1]) }

// nominalNumber is the number in a nominal size: 1.25 for 1-1/4 in, 32 for
// DN 32.
func nominalNumber(s pipe.Size) float64 {
	if dn, ok := strings.CutPrefix(s.Nominal, "DN"); ok {
		n, _ := strconv.ParseFloat(dn, 64)
		return n
	}
	r, err := quantity.Read(s.Nominal, quantity.Inch)
	if err != nil {
		return 0
	}
	return r.Number
}

// toFigures rounds a looked-up value to what a chart or table prints.
func toFigures(x float64, figures int) float64 {
	y, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'g', figures, 64), 64)
	return y
}

const (
	sourceBore     = "pipe dimensions: ASME B36.10M schedule 40, EN 10255 medium"
	sourceFriction = "friction: Darcy and Weisbach with the factor of Colebrook (1939), water by IAPWS R7-97(2012) and R12-08"
	sourceLimits   = "velocity and friction limits: common practice; ASHRAE Handbook Fundamentals, pipe design (from memory)"
	sourceCustom   = "customary flows by pipe size: common practice"
	cautionDesign  = "For training and checking: the local code and the maker's instructions decide what may be installed."
)

func usualWater(d *Draw) (fluid.Properties, quantity.Celsius, error) {
	t := Native(d, quantity.Celsius(quantity.Fahrenheit.ToSI(180)), quantity.Celsius(80))
	w, err := fluid.Water(t)
	return w, t, err
}

func buildVelocity(d *Draw, s *Sheet) {
	i := d.Int(1, 6)
	size := steelAt(d, i)
	flow, velocity := flowUnit(d), velocityUnit(d)
	formula := Native(d, "0.4085 * f / pow(d, 2)", "1273 * f / pow(d, 2)")
	customary, err := thumb.MostFlow(Native(d, sizePairs[i][0], sizePairs[i][1]))
	if err != nil {
		s.fail("%w", err)
		return
	}
	most := flow.FromSI(customary)
	s.Source(sourceBore)
	s.Source("v = Q/A; 0.4085 turns gpm and square inches into ft/s, 1273 turns L/s and square millimeters into m/s")
	bore := func() {
		s.Looked("d", "bore of "+size.Label()+" steel", boreUnit(d).FromSI(size.Bore), boreUnit(d), "pipe table")
	}
	slips := func() {
		s.Slip("velocity-radius", "v", Native(d, "0.4085 * f / pow(2 * d, 2)", "1273 * f / pow(2 * d, 2)"), "You used the bore as a radius, so the area came out four times too big.")
		s.MaySlip("velocity-d-not-squared", "v", Native(d, "0.4085 * f / d", "1273 * f / d"), "The area of the bore goes with the square of its diameter.")
	}
	if d.Level == 2 {
		s.Statement("The water in a main of " + size.Label() + " steel should not run faster than {v}. What is the largest flow that this allows?")
		s.Given("v", "velocity limit", Native(d, One(d, 2.0, 2.5, 3, 3.5, 4), One(d, 0.6, 0.8, 1, 1.2)), velocity)
		bore()
		s.Step("f", "Flow", Native(d, "v * pow(d, 2) / 0.4085", "v * pow(d, 2) / 1273"), flow, "The flow is the velocity times the area of the bore.")
		s.Ask("flow", "Flow", "f", ToleranceVelocity)
		s.Slip("velocity-radius", "f", Native(d, "v * pow(2 * d, 2) / 0.4085", "v * pow(2 * d, 2) / 1273"), "You used the bore as a radius, so the area came out four times too big.")
		s.MaySlip("velocity-d-not-squared", "f", Native(d, "v * d / 0.4085", "v * d / 1273"), "The area of the bore goes with the square of its diameter.")
		s.MaySlip("constant-upside-down", "f", Native(d, "0.4085 * v * pow(d, 2)", "1273 * v * pow(d, 2)"), "To get the flow back, divide by the constant instead of multiplying.")
		return
	}
	if d.Level == 1 {
		s.Statement("A main of " + size.Label() + " steel carries {f}. How fast does the water run?")
		s.Given("f", "flow", toFigures(most*d.Between(0.5, 1.5, 0.05), 2), flow)
		bore()
		s.Step("v", "Velocity", formula, velocity, "The same flow must pass through the area of the bore.")
		s.Ask("velocity", "Velocity", "v", ToleranceVelocity)
		slips()
		s.MaySlip("velocity-nominal", "d", strconv.FormatFloat(nominalNumber(size), 'g', -1, 64), "You used the nominal size. It is only a name: the bore of {d} counts.")
		return
	}
	factor, factorUnit := heatFactor(d)
	s.Statement("A main of " + size.Label() + " steel is to carry {Q} with a drop of {dT}. How fast will the water run, and how does that suit a heating main?")
	s.Given("dT", "temperature drop", Native(d, 20.0, 10), dropUnit(d))
	s.Looked("k", "heat carried per unit of flow and degree", factor, factorUnit, "common practice")
	dT, _ := s.Value("dT")
	share := One(d, 0.25, 0.3, 0.6, 0.7, 0.8, 1.6, 1.8, 2)
	s.Given("Q", "heat load", toFigures(most*share*factor*dT, 2), loadUnit(d))
	bore()
	s.Step("f", "Flow", "Q / (k * dT)", flow, "The load and the drop give the flow.")
	v := s.Step("v", "Velocity", formula, velocity, "The same flow must pass through the area of the bore.")
	s.Ask("velocity", "Velocity", "v", ToleranceVelocity)
	slips()
	s.MaySlip("velocity-nominal", "d", strconv.FormatFloat(nominalNumber(size), 'g', -1, 64), "You used the nominal size. It is only a name: the bore of {d} counts.")
	s.Slip("flow-no-500", "f", "Q / dT", "The factor is missing: divide by {k} as well as by the drop.")
	slow, fast := Native(d, 2.0, 0.6), Native(d, 4.0, 1.2)
	if math.Abs(v/slow-1) < 0.06 || math.Abs(v/fast-1) < 0.06 {
		s.Reject("the velocity lies at a limit")
	}
	right := "between"
	switch {
	case v < slow:
		right = "slow"
	case v > fast:
		right = "fast"
	}
	judge := func(id, text, slip, say string) Pick { return Pick{ID: id, Text: text, Slip: slip, Say: say} }
	s.Choose("judge", "How does it suit a heating main?", right, "v", "Compare the velocity with the customary bounds, "+Native(d, "2 to 4 ft/s", "0.6 to 1.2 m/s")+".",
		judge("slow", "Too slow: it will not carry air along", "velocity-judged-slow", "The water carries bubbles along from "+Native(d, "2 ft/s", "0.6 m/s")+" up. Compare with what you found."),
		judge("between", "Inside the customary bounds", "velocity-judged-fit", "The customary bounds are "+Native(d, "2 and 4 ft/s", "0.6 and 1.2 m/s")+". Compare with what you found."),
		judge("fast", "Too fast: it will be heard", "velocity-judged-fast", "Noise is expected above "+Native(d, "4 ft/s", "1.2 m/s")+". Compare with what you found."))
	s.Source(sourceLimits)
	s.Source(sourceHeat)
}

// customaryChoice asks for a size of the customary list by its flow.
func customaryChoice(d *Draw, s *Sheet, flow float64) {
	list := Native(d, thumb.CustomaryFlowsUS(), thumb.CustomaryFlowsSI())
	fit, err := thumb.SizeFor(list, flow)
	if err != nil {
		s.Reject(err.Error())
		return
	}
	at := 0
	for i, c := range list {
		if c.Nominal == fit.Nominal {
			at = i
		}
	}
	if at == 0 || at+1 >= len(list) || fit.Flow/flow < 1.04 || flow/list[at-1].Flow < 1.04 {
		s.Reject("the flow lies at the end or at the edge of the list")
		return
	}
	var picks []Pick
	for i := max(at-2, 0); i <= min(at+2, len(list)-1); i++ {
		p := Pick{ID: strings.NewReplacer("/", "", "-", "_").Replace(list[i].Nominal), Text: steelAt(d, i).Label()}
		most := quantity.FromSI(list[i].Flow, flowUnit(d)).Text()
		switch {
		case i == at+1:
			p.Score, p.Say = 1, "It works. The next size down, "+steelAt(d, at).Label()+", carries this flow too and costs less."
		case i == at+2:
			p.Slip, p.Say = "size-two-up", "It works but is oversized: a main two sizes smaller would do."
		case i < at:
			p.Slip, p.Say = "size-too-small", "By custom it carries no more than "+most+", less than this flow."
		}
		picks = append(picks, p)
	}
	right := strings.NewReplacer("/", "", "-", "_").Replace(fit.Nominal)
	s.Choose("size", "Which size of main, by the customary flows?", right, "f", "Find the flow, then take the smallest size whose customary flow reaches it.", picks...)
	s.Source(sourceCustom)
}

func buildMainFromLoad(d *Draw, s *Sheet) {
	flow := flowUnit(d)
	list := Native(d, thumb.CustomaryFlowsUS(), thumb.CustomaryFlowsSI())
	target := flow.FromSI(list[d.Int(1, 5)].Flow) * d.Between(0.62, 0.95, 0.03)
	building := One(d, "a school wing", "a row of shops", "an apartment house", "a workshop", "a parish hall", "a small hotel")
	for i, c := range list {
		if i > 0 {
			s.Looked("m_"+strconv.Itoa(i), "customary flow, "+steelAt(d, i).Label(), flow.FromSI(c.Flow), flow, "common practice")
		}
	}
	switch d.Level {
	case 1:
		s.Statement("Two circuits leave the boiler of " + building + " on one main. They take {f_1} and {f_2}. What flow does the main carry, and which size does it need?")
		share := d.Between(0.3, 0.45, 0.05)
		s.Given("f_1", "first circuit", toFigures(target*share, 2), flow)
		s.Given("f_2", "second circuit", toFigures(target*(1-share), 2), flow)
		s.Step("f", "Flow of the main", "f_1 + f_2", flow, "A main carries all the circuits that lie beyond it.")
		s.Slip("branch-flows-averaged", "f", "(f_1 + f_2) / 2", "The flows of the circuits add up in the main; they are not averaged.")
		s.Slip("main-for-one-branch", "f", "max(f_1, f_2)", "The main carries both circuits, not only the larger.")
		s.MaySlip("main-for-smaller-branch", "f", "min(f_1, f_2)", "The main carries both circuits, not only the smaller.")
		s.Ask("flow", "Flow of the main", "f", ToleranceExact)
	default:
		factor, factorUnit := heatFactor(d)
		dT := Native(d, 20.0, 10)
		if d.Level == 3 {
			dT = Native(d, One(d, 15.0, 25, 30, 40), One(d, 8.0, 15, 20))
		}
		if d.Level == 2 {
			s.Statement("The main of " + building + " carries a load of {Q} with a drop of {dT}. What is its flow, and which size does it need?")
			s.Given("Q", "heat load", toFigures(target*factor*dT, 2), loadUnit(d))
		} else {
			s.Statement("Three zones of " + building + " hang on one main: {Q_1}, {Q_2} and {Q_3}. The drop is {dT}. What is the main's flow, and which size does it need?")
			for i, share := range []float64{0.5, 0.3, 0.2} {
				s.Given("Q_"+strconv.Itoa(i+1), []string{"first", "second", "third"}[i]+" zone", toFigures(target*factor*dT*share, 2), loadUnit(d))
			}
			s.Step("Q", "Load of the main", "Q_1 + Q_2 + Q_3", loadUnit(d), "The main carries all three zones.")
			s.Slip("main-for-one-branch", "Q", "Q_1", "The main carries all the zones, not only the largest.")
		}
		s.Given("dT", "temperature drop", dT, dropUnit(d))
		s.Looked("k", "heat carried per unit of flow and degree", factor, factorUnit, "common practice")
		s.Step("f", "Flow of the main", "Q / (k * dT)", flow, "Each unit of flow carries a fixed heat for each degree of drop.")
		s.Slip("flow-no-500", "f", "Q / dT", "The factor is missing: divide by {k} as well as by the drop.")
		if d.Level == 3 {
			s.Slip("flow-usual-drop", "f", Native(d, "Q / (k * 20)", "Q / (k * 10)"), "You used the usual drop. Here it is {dT}.")
		}
		s.Ask("flow", "Flow of the main", "f", ToleranceHeat)
		s.Source(sourceHeat)
	}
	f, _ := s.Value("f")
	customaryChoice(d, s, flow.ToSI(f))
	s.Caution(cautionDesign)
}

func buildOutletCapacity(d *Draw, s *Sheet) {
	i := d.Int(2, 7)
	size := steelAt(d, i)
	most, err := thumb.MostFlow(Native(d, sizePairs[i][0], sizePairs[i][1]))
	if err != nil {
		s.fail("%w", err)
		return
	}
	flow, load := flowUnit(d), loadUnit(d)
	factor, factorUnit := heatFactor(d)
	place := One(d, "an old mill", "a town hall", "a boarding house", "a bakery", "a greenhouse range")
	look := func() {
		s.Looked("f", "customary flow of "+size.Label(), flow.FromSI(most), flow, "common practice")
		s.Looked("k", "heat carried per unit of flow and degree", factor, factorUnit, "common practice")
	}
	usual := Native(d, 20.0, 10)
	switch d.Level {
	case 1:
		s.Statement("The boiler of " + place + " has lost its rating plate. Its outlet is " + size.Label() + ", and the usual drop is {dT}. What capacity does the outlet point to?")
		s.Given("dT", "usual temperature drop", usual, dropUnit(d))
		look()
		s.Step("Q", "Capacity", "f * k * dT", load, "The outlet was made for the boiler's flow, and the flow carries heat by its drop.")
		s.Slip("flow-no-500", "Q", "f * dT", "The factor is missing: multiply by {k} as well as by the drop.")
		s.Slip("drop-left-out", "Q", "f * k", "You left out the drop: each degree of it carries that heat, so multiply by {dT}.")
		s.MaySlip("dt-halved", "Q", "f * k * dT / 2", "The whole drop from supply to return counts.")
	case 2:
		s.Statement("A boiler in " + place + " has an outlet of " + size.Label() + ". At full fire its thermometers show {T_s} on the supply and {T_r} on the return, and you assume that the outlet carries its customary flow. How much heat does the boiler deliver?")
		supply := Native(d, d.Between(160, 185, 5), d.Between(70, 85, 5))
		s.Given("T_s", "supply temperature", supply, readingUnit(d))
		s.Given("T_r", "return temperature", supply-Native(d, One(d, 14.0, 16, 25, 28, 30), One(d, 7.0, 8, 12, 15)), readingUnit(d))
		look()
		s.Step("dT", "Temperature drop", "T_s - T_r", dropUnit(d), "The drop is supply less return.")
		s.Step("Q", "Capacity", "f * k * dT", load, "The flow carries heat by its drop.")
		s.Slip("usual-drop-taken", "dT", Native(d, "20", "10"), "You took the usual drop. The two thermometers are {dT} apart.")
		s.Slip("return-used-as-dt", "dT", "T_r", "Use the difference of the two thermometers, not one of them.")
		s.MaySlip("supply-used-as-dt", "dT", "T_s", "Use the difference of the two thermometers, not one of them.")
		s.Slip("flow-no-500", "Q", "f * dT", "The factor is missing: multiply by {k} as well as by the drop.")
	default:
		plate := toFigures(flow.FromSI(most)*factor*usual*One(d, 1.5, 1.6, 1.8, 2), 2)
		s.Statement("A modulating condensing boiler in " + place + " has an outlet of " + size.Label() + ". Its plate gives an output of {Q_p} at a drop of {dT_p}. What capacity does the outlet rule give at the usual drop of {dT}? What flow does the plate really ask for? And what do you make of it?")
		s.Given("Q_p", "output on the plate", plate, load)
		s.Given("dT_p", "drop on the plate", Native(d, One(d, 35.0, 40), One(d, 20.0, 22)), dropUnit(d))
		s.Given("dT", "usual temperature drop", usual, dropUnit(d))
		look()
		s.Step("Q", "What the outlet rule says", "f * k * dT", load, "The rule takes the customary flow and the usual drop.")
		s.Step("f_p", "Flow that the plate asks for", "Q_p / (k * dT_p)", flow, "The plate's output and its own drop give its flow.")
		s.Slip("plate-drop-in-rule", "Q", "f * k * dT_p", "The rule assumes the usual drop, {dT}. The plate's drop belongs to the plate's flow.")
		s.Slip("usual-drop-for-plate", "f_p", "Q_p / (k * dT)", "The plate gives its own drop, {dT_p}. Use it for the plate's flow.")
		s.Slip("flow-no-500", "Q", "f * dT", "The factor is missing: multiply by {k} as well as by the drop.")
		s.Ask("capacity", "Capacity by the outlet", "Q", ToleranceHeat)
		s.Ask("flow", "Flow that the plate asks for", "f_p", ToleranceHeat)
		s.Choose("meaning", "What do you make of it?", "small", "f_p", "Compare the rule's capacity with the plate, and ask which drop each assumes.",
			Pick{ID: "small", Text: "The rule makes this boiler too small, because the boiler works with a wider drop than the rule; go by the plate"},
			Pick{ID: "plate-wrong", Text: "The plate must be wrong: the pipe cannot carry that much", Slip: "outlet-over-plate", Say: "Heat goes with flow times drop: with a wide drop a small flow carries a lot. Compare the plate's flow with the customary one."},
			Pick{ID: "bigger", Text: "The outlet must be changed for a larger one", Slip: "outlet-enlarged", Say: "The plate's flow is below what the outlet customarily carries. There is nothing to change."})
		if fp, _ := s.Value("f_p"); fp >= flow.FromSI(most)*0.98 {
			s.Reject("the plate's flow exceeds the outlet's")
		}
	}
	if d.Level < 3 {
		s.Ask("capacity", "Capacity by the outlet", "Q", ToleranceHeat)
	}
	w, t, err := usualWater(d)
	if err != nil {
		s.fail("%w", err)
		return
	}
	Q := s.Quantity("Q")
	dT := s.Quantity("dT")
	s.Compare("outlet-capacity", "The outlet rule", Q, quantity.FromSI(most*w.VolumetricHeat()*dT.SI, load),
		"The rounded factor is that of cold water; at "+quantity.FromSI(float64(t), readingUnit(d)).Text()+" water is lighter. The larger doubt is the flow itself: nobody measured it.")
	s.Source(sourceCustom)
	s.Source(sourceHeat)
	s.Caution("A boiler's capacity decides its safety devices, its flue and its fuel line. Never set any of those by this estimate; that is for the plate, the local code and a licensed person.")
}
