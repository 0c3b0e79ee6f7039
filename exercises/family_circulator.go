package exercises

import (
	"fmt"
	"math"

	"loopwright/grader/fluid"
	"loopwright/grader/pipe"
	"loopwright/grader/quantity"
	"loopwright/grader/thumb"
)

var circulatorFamilies = []*Family{
	{
		ID: "longest-run", Title: "The longest run from outside", Skills: []string{"longest-run"}, Lesson: LessonCirculator,
		Levels: [Levels]string{
			"Length, width and height are given.",
			"The height comes from the stories, and the boiler stands in a shed apart.",
			"Two wings and figures that do not matter: which wing decides, and what run.",
		},
		Build: buildLongestRun,
	},
	{
		ID: "circulator-without-drawings", Title: "Flow and head without drawings", Skills: []string{"head-without-drawings", "longest-run"}, Lesson: LessonCirculator,
		Levels: [Levels]string{
			"The outlet's customary flow is given; find run and head.",
			"Read the outlet's row of the table, then find run and head.",
			"The building needs less than its outlet says: scale the head to the flow.",
		},
		Build: buildWithoutDrawings,
	},
	{
		ID: "circulator-pick", Title: "Which circulator", Skills: []string{"circulator-pick", "head-without-drawings"}, Lesson: LessonCirculator,
		Levels: [Levels]string{
			"Flow and head are given, and what three circulators give at that flow.",
			"Flow from the load, head from the run; the point lies between two curves.",
			"Read between the rows of a table, with the flow needed in full.",
		},
		Build: buildCirculatorPick,
	},
	{
		ID: "operating-point", Title: "Where the circulator runs", Skills: []string{"operating-point"}, Lesson: LessonCirculator,
		Levels: [Levels]string{
			"The crossing of two parabolas.",
			"A gauge reading: the flow, and what the system would take at design flow.",
			"A curve in a table: between which rows, at what flow and head.",
		},
		Build: buildOperatingPoint,
	},
	{
		ID: "speed-change", Title: "Another speed", Skills: []string{"affinity"}, Lesson: LessonCirculator,
		Levels: [Levels]string{
			"Flow, head and power at a new speed.",
			"The speed for a wanted flow, and what it saves.",
			"The speed for a wanted head, the new drop, and valve or speed.",
		},
		Build: buildSpeedChange,
	},
	{
		ID: "pump-power", Title: "Water power and what it costs", Skills: []string{"pump-power"}, Lesson: LessonCirculator,
		Levels: [Levels]string{
			"Water power from flow and head.",
			"Overall efficiency from the power drawn.",
			"Flow from heat and drop, head from gauges; two circulators compared.",
		},
		Build: buildPumpPower,
	},
}

const (
	sourceLongestRun = "Longest run = 2 × (length + width + height): common practice"
	sourceHeadPerRun = "6 ft for 100 ft of the longest run (0.6 kPa for each meter): 4 ft per 100 ft (400 Pa/m) in the pipe and half again for fittings, common practice"
	sourceCustomary  = "Customary flow by pipe size: common practice; published charts print 44 to 50 gpm at 2 in"
	sayOneWay        = "The water has to come back: count the way there and the way home."
	sayHeight        = "In a full closed loop the water going down lifts the water going up. Height adds nothing to the head; it counts only as length of pipe."
)

var toleranceRow = Tolerance{Rel: 0.01, Why: "A row of a table is read exactly; 1 % forgives rounding and nothing else."}

// cautionCirculator belongs where somebody will buy or change a circulator.
const cautionCirculator = "This sizes for training and checking. Before work on a circulator, switch off and lock out its supply, let the water cool and relieve the pressure; the maker's instructions and the local code decide."

func oldBuilding(d *Draw) string {
	return One(d, "a former school", "a parish house", "a guest house", "an old apartment house", "a village hall", "a row of offices")
}

// largeBuilding is one that takes a circulator of several hundred watts.
func largeBuilding(d *Draw) string {
	return One(d, "a former school", "an old apartment house", "an office building", "a retirement home", "a factory with offices")
}

// outside draws the outside dimensions of a building.
func outside(d *Draw) (length, width, height float64) {
	return Native(d, d.Between(40, 120, 2), d.Between(12, 36, 1)),
		Native(d, d.Between(24, 60, 2), d.Between(8, 18, 1)),
		Native(d, d.Between(10, 40, 1), d.Between(3, 12, 0.5))
}

func buildLongestRun(d *Draw, s *Sheet) {
	unit := lengthUnit(d)
	building := oldBuilding(d)
	s.Source(sourceLongestRun)
	L, W, H := outside(d)
	switch d.Level {
	case 1:
		s.Statement("There are no drawings of " + building + ". From outside you pace off {L} by {W}, and the top radiators stand {H} above the boiler. How long is the longest run of pipe, there and back, by the customary rule?")
		s.Given("L", "length", L, unit)
		s.Given("W", "width", W, unit)
		s.Given("H", "height", H, unit)
		s.Step("R", "Longest run", "2 * (L + W + H)", unit, "The farthest radiator is at most a length, a width and a height away, and the water has to come back.")
		s.Ask("run", "Longest run, there and back", "R", ToleranceTape)
		s.Slip("head-one-way", "R", "L + W + H", sayOneWay)
		s.MaySlip("height-left-out", "R", "2 * (L + W)", "The pipe also climbs to the top and comes down again: add the height.")
		s.MaySlip("area-for-run", "R", "L * W", "That is the area of the floor. A run is a length: add the three dimensions.")
		s.MaySlip("volume-for-run", "R", "L * W * H", "That is the volume. A run is a length: add the three dimensions.")
	case 2:
		s.Statement(Capital(building) + " is {L} long and {W} wide. From the boiler's floor to the top radiators the pipe climbs {n} stories of {h} each. The boiler stands in a shed, {S} of buried pipe away. How long is the longest run, there and back?")
		s.Given("L", "length", L, unit)
		s.Given("W", "width", W, unit)
		s.Given("h", "height of a story", Native(d, d.Between(9, 12, 0.5), d.Between(2.8, 3.6, 0.1)), unit)
		stories := float64(d.Int(2, 4))
		s.Given("n", "stories to climb", stories, quantity.One)
		s.Given("S", "from the shed to the building, one way", Native(d, d.Between(25, 70, 5), d.Between(8, 24, 1)), unit)
		s.Step("H", "Height", "n * h", unit, "The pipe climbs every story between the boiler and the top radiators.")
		s.Step("R", "Longest run", "2 * (L + W + H + S)", unit, "What lies between boiler and building is run there and back like the rest.")
		s.Ask("run", "Longest run, there and back", "R", ToleranceTape)
		s.Slip("head-one-way", "R", "L + W + H + S", sayOneWay)
		s.Slip("shed-forgotten", "R", "2 * (L + W + H)", "The rule takes the boiler to stand in the building. The pipe from the shed comes on top, there and back.")
		s.MaySlip("shed-one-way", "R", "2 * (L + W + H) + S", "The pipe from the shed is run out and home too.")
		s.MaySlip("one-story", "H", "h", "The pipe climbs all {n} stories.")
	default:
		s.Statement("One boiler at the joint of two wings heats " + building + ". The north wing is {L_1} by {W_1} with {H_1} to climb, the south wing {L_2} by {W_2} with {H_2} to climb. There are {n} radiators on {A} of floor. Which wing sets the circulator's head, and what is its run, there and back?")
		first, second := make([]float64, 2), make([]float64, 2)
		for i, name := range []string{"north", "south"} {
			L, W, H := outside(d)
			n := i + 1
			s.Given(fmt.Sprintf("L_%d", n), name+" wing, length", L, unit)
			s.Given(fmt.Sprintf("W_%d", n), name+" wing, width", W, unit)
			s.Given(fmt.Sprintf("H_%d", n), name+" wing, height", H, unit)
			first[i], second[i] = L+W+H, L*W
		}
		s.Given("n", "radiators", float64(d.Int(18, 44)), quantity.One)
		s.Given("A", "floor area of all stories", Native(d, d.Between(4000, 9000, 100), d.Between(400, 900, 10)), Native(d, quantity.SquareFoot, quantity.SquareMeter))
		s.Step("R_1", "Run of the north wing", "2 * (L_1 + W_1 + H_1)", unit, "Length, width and height, there and back.")
		s.Step("R_2", "Run of the south wing", "2 * (L_2 + W_2 + H_2)", unit, "The other wing in the same way.")
		s.Step("R", "Longest run", "max(R_1, R_2)", unit, "The wings lie side by side: the water takes one or the other, so the longer one decides.")
		long := 0
		if first[1] > first[0] {
			long = 1
		}
		if tooClose(first, 0.08) || (second[long] > second[1-long]) {
			s.Reject("the longer run should not be the larger floor")
			return
		}
		names := []string{"north", "south"}
		picks := []Pick{{ID: "north", Text: "The north wing: {L_1} by {W_1}, {H_1} up"}, {ID: "south", Text: "The south wing: {L_2} by {W_2}, {H_2} up"},
			{ID: "both", Text: "Both: the runs add up", Slip: "wings-added", Say: "The wings lie side by side. The circulator pushes the water through one or the other, so only the longer run counts."}}
		picks[1-long].Slip, picks[1-long].Say = "larger-floor-taken", "It has the larger floor, but not the longer run: add length, width and height of each."
		s.Choose("wing", "Which wing sets the head?", names[long], "", "Work out the run of each wing; they lie side by side.", picks...)
		s.Ask("run", "Longest run, there and back", "R", ToleranceTape)
		s.Slip("wings-added", "R", "R_1 + R_2", "The wings lie side by side: the water takes one or the other. Take the longer run.")
		s.Slip("head-one-way", "R", "max(R_1, R_2) / 2", sayOneWay)
		s.MaySlip("shorter-run", "R", "min(R_1, R_2)", "The circulator must reach the end of the longer wing.")
		s.MaySlip("wings-averaged", "R", "(R_1 + R_2) / 2", "An average leaves the longer wing short: take the longer run.")
	}
	s.Caution("Climbing, attics and crawl spaces of an old building hold falls, live wires and old insulation that may contain asbestos: do not disturb it. Measure from outside, or with a licensed person.")
}

// outlet is a boiler's outlet in a table of customary flows, with the pipe
// that the engine takes for it.
type outlet struct {
	label string
	flow  float64 // in the learner's unit
	size  pipe.Size
}

// outletTable is the part of rule customary-flow that boilers' outlets take.
func outletTable(d *Draw) []outlet {
	var list []outlet
	for _, c := range Native(d, thumb.CustomaryFlowsUS(), thumb.CustomaryFlowsSI())[2:7] {
		size := pipe.MustFind(Native(d, "steel-sch40", "steel-en10255"), c.Nominal)
		// Round numbers of the list; conversions leave dust in the last digits.
		list = append(list, outlet{size.Label(), math.Round(flowUnit(d).FromSI(c.Flow)*1e6) / 1e6, size})
	}
	return list
}

func buildWithoutDrawings(d *Draw, s *Sheet) {
	unit, flow, drive := lengthUnit(d), flowUnit(d), driveUnit(d)
	building := oldBuilding(d)
	table := outletTable(d)
	at := d.Int(1, 3)
	o := table[at]
	// A larger outlet stands in a larger building.
	more := float64(at - 1)
	L := Native(d, d.Between(40, 58, 2)+24*more, d.Between(12, 18, 1)+7*more)
	W := Native(d, d.Between(24, 34, 2)+9*more, d.Between(8, 11, 1)+3*more)
	H := Native(d, d.Between(16, 26, 1)+5*more, d.Between(5, 8, 0.5)+1.5*more)
	recordOutside := func() {
		s.Given("L", "length of the building", L, unit)
		s.Given("W", "width of the building", W, unit)
		s.Given("H", "height", H, unit)
	}
	rate := func() {
		s.Looked("i", Native(d, "head for each 100 ft of run", "pressure for each meter of run"), Native(d, 6.0, 600),
			Native(d, quantity.FootPerHundredFeet, quantity.PascalPerMeter), "common practice")
	}
	const runWhy = "The farthest radiator is at most a length, a width and a height away, and the water has to come back."
	const headWhy = "The customary loss in the pipe and half as much again for fittings, for every length of the run."
	headFormula := Native(d, "i * R / 100", "i * R / 1000")
	switch d.Level {
	case 1:
		s.Statement("The circulator of " + building + " has seized and there are no drawings. The boiler's outlet is " + o.label + ", which customarily carries {f}. The building is {L} by {W}, and the top radiators stand {H} above the boiler. How long is the longest run, and what " + headWord(d) + " does the circulator need, by the rules of thumb?")
		recordOutside()
		s.Looked("f", "customary flow of the outlet", o.flow, flow, "common practice")
		rate()
	case 2:
		s.Statement("In " + building + " a circulator must be replaced and nobody knows its duty. The boiler's outlet is " + o.label + ". The table says " +
			table[at-1].label + ": {f_1}, " + table[at].label + ": {f_2}, " + table[at+1].label + ": {f_3}. From outside the building is {L} by {W}, with {H} to the top radiators. What flow, what run and what " + headWord(d) + " go on the order, by the rules of thumb?")
		recordOutside()
		for i := range 3 {
			t := table[at-1+i]
			s.Looked(fmt.Sprintf("f_%d", i+1), "customary flow of "+t.label, t.flow, flow, "common practice")
		}
		rate()
		s.Step("f", "Flow", "f_2", flow, "The maker sized the outlet for the flow at the customary drop, so the outlet tells the flow.")
		s.Ask("flow", "Flow of the circulator", "f", toleranceRow)
		s.Slip("outlet-row-below", "f", "f_1", "That row is the next smaller outlet. This one is "+o.label+".")
		s.Slip("outlet-row-above", "f", "f_3", "That row is the next larger outlet. This one is "+o.label+".")
	default:
		factor, factorUnit := heatFactor(d)
		dT := Native(d, 20.0, 10)
		Q := math.Round(o.flow*d.Between(0.5, 0.75, 0.01)*factor*dT/Native(d, 5000.0, 1)) * Native(d, 5000.0, 1)
		s.Statement(Capital(building) + ", {L} by {W} with {H} to the top radiators, was insulated; its radiators and mains stayed. A survey now finds a load of {Q}, to be carried at a drop of {dT}. The old boiler's outlet is " + o.label + ", good for {f_o} by custom. What flow does the load need, what " + headWord(d) + " would the old flow take by the rule, and what does the new flow take?")
		recordOutside()
		s.Given("Q", "heat load now", Q, loadUnit(d))
		s.Given("dT", "temperature drop", dT, dropUnit(d))
		s.Looked("f_o", "customary flow of the outlet", o.flow, flow, "common practice")
		rate()
		s.Looked("k", "heat carried per unit of flow and degree", factor, factorUnit, "common practice")
		s.Step("f", "Flow for the load now", "Q / (k * dT)", flow, "The load decides the flow; the outlet only tells what the old boiler could do.")
		s.Source(sourceHeat)
		s.Source(sourceSquareLaw)
	}
	s.Step("R", "Longest run", "2 * (L + W + H)", unit, runWhy)
	rule := s.Step("P", Native(d, "Head by the rule", "Pressure by the rule"), headFormula, drive, headWhy)
	switch d.Level {
	case 3:
		s.Step("P_n", Native(d, "Head at the new flow", "Pressure at the new flow"), "P * pow(f / f_o, 2)", drive, "The rule belongs to mains that carry their customary flow. The same mains with less flow lose less, by the square.")
		s.Ask("flow", "Flow for the load now", "f", ToleranceHeat)
		s.Ask("old", Native(d, "Head at the old flow, by the rule", "Pressure at the old flow, by the rule"), "P", ToleranceTable)
		s.Ask("new", Native(d, "Head at the new flow", "Pressure at the new flow"), "P_n", ToleranceFriction)
		s.Slip("head-linear-flow", "P_n", "P * f / f_o", "Head goes with about the square of flow: square the ratio.")
		s.Slip("old-head-kept", "P_n", "P", "The old mains were sized for {f_o}. With less flow they lose less.")
		s.MaySlip("outlet-for-load", "f", "f_o", "That is what the outlet can carry. The insulated building needs less: work from its load.")
		s.MaySlip("flow-no-500", "f", "Q / dT", "The factor is missing: a unit of flow carries {k}.")
		s.MaySlip("head-cubed-flow", "P_n", "P * pow(f / f_o, 3)", "The cube is for power; head goes with about the square.")
	default:
		s.Ask("run", "Longest run, there and back", "R", ToleranceTape)
		s.Ask("head", Native(d, "Head of the circulator", "Pressure difference of the circulator"), "P", ToleranceTable)
		s.MaySlip("height-left-out", "R", "2 * (L + W)", "The pipe also climbs to the top and comes down again: add the height.")
	}
	s.Slip("head-one-way", "R", "L + W + H", sayOneWay)
	s.MaySlip("head-rate-per-foot", "P", Native(d, "i * R", "i * R / 100"), Native(d, "The rate is for each 100 ft.", "The rate is in pascals: a thousand make one kilopascal."))
	s.MaySlip("fittings-ignored", "P", Native(d, "4 * R / 100", "400 * R / 1000"), "That is the pipe alone. The rule for the run has half as much again for fittings.")
	s.MaySlip("head-adds-height", "P", Native(d, "i * R / 100 + H", "i * R / 1000 + 9.8 * H"), sayHeight)
	compareHeadForRun(d, s, o, rule)
	s.Source(sourceLongestRun)
	s.Source(sourceHeadPerRun)
	s.Source(sourceCustomary)
	s.Caution(cautionHot)
	s.Caution(cautionCirculator)
}

// compareHeadForRun sets the rule's head beside the friction of a main of the
// outlet's size at its customary flow, half as long again for fittings.
func compareHeadForRun(d *Draw, s *Sheet, o outlet, rule float64) {
	at := Native(d, quantity.Celsius((160-32)/1.8), quantity.Celsius(70))
	w, err := fluid.Water(at)
	if err != nil {
		s.Reject(err.Error())
		return
	}
	run, _ := s.Value("R")
	loss := o.size.HeadLoss(flowUnit(d).ToSI(o.flow), lengthUnit(d).ToSI(run)*(1+thumb.FittingsShare), w)
	engine := quantity.FromSI(float64(loss), quantity.FootHead)
	if !d.US() {
		engine = quantity.FromSI(float64(loss.Pressure(w.Density)), quantity.Kilopascal)
	}
	s.Compare("head-per-run", Native(d, "6 ft per 100 ft of run", "0.6 kPa per meter of run"), quantity.Of(rule, driveUnit(d)), engine,
		"The full calculation takes new "+o.size.Material.Name+" of the outlet's size, its customary flow all the way, and water of "+quantity.FromSI(float64(at), readingUnit(d)).Text()+", with half the length added for fittings. The rule rounds up, for old pipe and colder water.")
}
