package exercises

import (
	"fmt"
	"math"
	"slices"

	"loopwright/grader"
	"loopwright/grader/quantity"
)

var balanceFamilies = []*Family{proportionalBalancing, oneCircuitCloses}

var proportionalBalancing = &Family{
	ID: "proportional-balancing", Title: "Setting the valves in proportion", Skills: []string{"proportional-balance", "balance-drop"}, Lesson: LessonControl,
	Levels: [Levels]string{
		"Three circuits: the reference, its share, and the flow to set the next valve to.",
		"Four circuits: the order, the third valve, and the flow of all at the end.",
		"Branches on a held difference: the flow at the end, of one room too, and the new setting.",
	},
	Build: buildProportional,
}

const cautionBalance = "Balancing is done on a running system with hot water, at height and near machines. Secure the ladder, keep sleeves clear, and wear eye protection at every tapping you open."

func buildProportional(d *Draw, s *Sheet) {
	switch d.Level {
	case 1:
		buildSecondValve(d, s)
	case 2:
		buildThirdValve(d, s)
	default:
		buildHeldBranches(d, s)
	}
	s.Source(sourceBalance)
	s.Caution(cautionBalance)
	s.Caution(cautionHot)
}

// metered is what a meter shows at circuits that stand side by side.
type metered struct {
	names            []string
	design, measured []float64
	texts            []string // an option for each
	list             string   // all of them in a sentence
	rising           []int    // the circuits by rising share
}

// drawMetered records design flow q_i, measured flow m_i and share x_i of each
// circuit. It rejects shares that are alike or odd.
func drawMetered(d *Draw, s *Sheet, names []string) metered {
	m := metered{names: names}
	share := make([]float64, len(names))
	for i, name := range names {
		n := i + 1
		design := Native(d, d.Between(4, 12, 0.5), d.Between(0.2, 0.8, 0.02))
		read := meterStep(d, design*d.Between(0.6, 1.5, 0.01))
		m.design, m.measured, share[i] = append(m.design, design), append(m.measured, read), read/design
		s.Given(fmt.Sprintf("q_%d", n), name+", design flow", design, flowUnit(d))
		s.Given(fmt.Sprintf("m_%d", n), name+", measured flow", read, flowUnit(d))
		m.texts = append(m.texts, Capital(name)+fmt.Sprintf(": {m_%d} of {q_%d}", n, n))
		m.list += fmt.Sprintf(", %s {m_%d} of {q_%d}", name, n, n)
		m.rising = append(m.rising, i)
	}
	m.list = m.list[2:]
	slices.SortFunc(m.rising, func(i, j int) int { return int(math.Copysign(1, share[i]-share[j])) })
	if tooClose(share, 0.08) || slices.Max(share) > 1.5 {
		s.Reject("the shares are too alike or odd")
	}
	return m
}

// recordShares records the share of each circuit.
func (m metered) recordShares(s *Sheet) {
	for i, name := range m.names {
		s.Step(fmt.Sprintf("x_%d", i+1), "Share of "+name, fmt.Sprintf("100 * m_%d / q_%d", i+1, i+1), quantity.Percent, "Circuits are compared by measured over design flow, not by flow.")
	}
}

// named lists circuits by their names.
func (m metered) named(circuits []int) []string {
	list := make([]string, len(circuits))
	for k, i := range circuits {
		list[k] = m.names[i]
	}
	return list
}

// meterStep is a flow as a meter shows it: to the tenth of a gpm, or the
// hundredth of a L/s.
func meterStep(d *Draw, flow float64) float64 {
	step := Native(d, 10.0, 100)
	return math.Round(flow*step) / step
}

// reference is the flow of the reference circuit after each further valve has
// been set to its share, in rising order, the first before any is set. Between
// common headers a circuit passes C √Δ. A held head H feeds the headers through
// boiler and mains that take shared × Δ at first:
//
//	Δ'/Δ = (1 + shared) / (1 + shared (ΣC'/ΣC)²)
//
// Energy equation and square law, as in package network.
func (m metered) reference(shared float64) []float64 {
	total := sum(m.measured)
	now, ref := total, m.rising[0]
	flows := []float64{m.measured[ref]}
	for _, i := range m.rising[1:] {
		now += m.design[i]*m.measured[ref]/m.design[ref] - m.measured[i]
		flows = append(flows, m.measured[ref]*math.Sqrt((1+shared)/(1+shared*math.Pow(now/total, 2))))
	}
	return flows
}

func sum(values []float64) (total float64) {
	for _, v := range values {
		total += v
	}
	return total
}

func balancedBuilding(d *Draw) string {
	return One(d, "a guest house", "a former school", "an office building", "a retirement home", "a parish house")
}

func buildSecondValve(d *Draw, s *Sheet) {
	m := drawMetered(d, s, balanceNames[:3])
	ref, next := m.rising[0]+1, m.rising[1]+1
	s.Given("m_r", "reference when the next valve is right", meterStep(d, m.reference(d.Between(1, 3, 0.5))[1]), flowUnit(d))
	s.Statement("With every valve open, a meter shows these flows of the design flows in " + balancedBuilding(d) + ": " + m.list + ". The lowest share is the reference. You throttle the circuit with the next higher share, one meter on each. The water it gives up lifts the reference to {m_r}. Which circuit is the reference, what share did it begin with, and what must the meter on the throttled circuit show?")
	m.recordShares(s)
	s.Step("x_r", "Share of the reference now", fmt.Sprintf("100 * m_r / q_%d", ref), quantity.Percent, "The reference has moved: its share is worked out again, with what its meter shows now.")
	s.Step("f", "Flow to set", fmt.Sprintf("q_%d * x_r / 100", next), flowUnit(d), "The valve is right when its circuit has the same share as the reference has at that moment.")
	share := make([]float64, 3)
	for i := range share {
		share[i] = m.measured[i] / m.design[i]
	}
	askOpenValve(d, s, m.names, descending(m.names, share), m.texts, descending(m.names, m.measured), ref-1)
	s.Ask("share", "Share of the reference at the start", fmt.Sprintf("x_%d", ref), toleranceShare)
	s.Ask("set", "Flow to set the throttled circuit to", "f", toleranceShare)
	s.Slip("share-inverted", fmt.Sprintf("x_%d", ref), fmt.Sprintf("100 * q_%d / m_%d", ref, ref), "Measured flow goes on top: the share says how much of the design flow is there.")
	slipsOfSetting(s, ref, next)
}

// slipsOfSetting are the wrong turns at the flow f that a valve is set to.
func slipsOfSetting(s *Sheet, ref, next int) {
	s.Slip("reference-not-followed", "f", fmt.Sprintf("q_%d * m_%d / q_%d", next, ref, ref), "That was the share of the reference before. It rises while you throttle: go by what its meter shows now.")
	s.MaySlip("set-to-design", "f", fmt.Sprintf("q_%d", next), "Not to the design flow yet. First all circuits get the same share; then the total is put right.")
	s.MaySlip("reference-flow-copied", "f", "m_r", "The circuits get the same share, not the same flow: multiply by the circuit's own design flow.")
	s.MaySlip("reading-scaled", "f", fmt.Sprintf("m_%d * m_r / q_%d", next, ref), "The share is taken of the design flow, not of the flow that was measured.")
}

func buildThirdValve(d *Draw, s *Sheet) {
	m := drawMetered(d, s, balanceNames)
	ref, next := m.rising[0]+1, m.rising[2]+1
	moved := m.reference(d.Between(1, 3, 0.5))
	s.Given("m_r", "reference when the third circuit is right", meterStep(d, moved[2]), flowUnit(d))
	s.Given("m_e", "reference when the fourth circuit is right", meterStep(d, moved[3]), flowUnit(d))
	s.Statement("With every valve open, a meter shows these flows of the design flows in " + balancedBuilding(d) + ": " + m.list + ". You set them in proportion, from the lowest share upward, with a second meter on the reference. It shows {m_r} when the third circuit in that order is right, and {m_e} when the fourth is. In which order do you come to them, what does the third circuit's meter show when it is right, and what flow do all four have together at the end?")
	m.recordShares(s)
	s.Step("x_r", "Share of the reference at the third circuit", fmt.Sprintf("100 * m_r / q_%d", ref), quantity.Percent, "The reference has moved: its share is worked out again, with what its meter shows now.")
	s.Step("f", "Flow to set the third circuit to", fmt.Sprintf("q_%d * x_r / 100", next), flowUnit(d), "The valve is right when its circuit has the same share as the reference has at that moment.")
	s.Step("x_e", "Share of all at the end", fmt.Sprintf("100 * m_e / q_%d", ref), quantity.Percent, "Circuits once set keep in step with the reference, so at the end all have its share.")
	s.Step("F", "Flow of all at the end", "x_e / 100 * (q_1 + q_2 + q_3 + q_4)", flowUnit(d), "One share for all, so it can be taken of the sum of the design flows.")
	order := m.named(m.rising)
	byFlow := descending(m.names, m.measured)
	slices.Reverse(byFlow)
	backward := slices.Clone(order)
	slices.Reverse(backward)
	if slices.Equal(byFlow, order) || slices.Equal(byFlow, backward) {
		s.Reject("the order does not tell share from flow")
		return
	}
	s.Arrange("order", "Put the circuits in the order in which you come to them, the reference first.", arranged(d, m.names, m.texts), order, "x_1",
		"Work out measured over design flow for each circuit; the lowest share is the reference.",
		grader.Slip{ID: "order-by-flow", Answer: grader.Answer{Order: byFlow}, Say: "That is the order of the flows. A small circuit can have far too much and a large one too little: compare shares."},
		grader.Slip{ID: "prop-start-highest", Answer: grader.Answer{Order: backward}, Say: "Turned round: begin with the lowest share. The others can be brought down to it, it cannot be brought up to them."})
	s.Ask("set", "Flow to set the third circuit to", "f", toleranceShare)
	s.Ask("total", "Flow of all four at the end", "F", toleranceShare)
	slipsOfSetting(s, ref, next)
	s.Slip("total-kept", "F", "m_1 + m_2 + m_3 + m_4", "That moved before. Valves that close take some of it away: at the end all have the share of the reference.")
	s.MaySlip("total-of-design", "F", "q_1 + q_2 + q_3 + q_4", "In proportion does not mean at design flow: take the share of the reference at the end.")
	s.MaySlip("reference-not-followed", "F", fmt.Sprintf("m_%d / q_%d * (q_1 + q_2 + q_3 + q_4)", ref, ref), "The reference has risen since: take what its meter shows at the end.")
	s.MaySlip("reference-for-each", "F", "4 * m_e", "The circuits have the same share, not the same flow.")
}

func buildHeldBranches(d *Draw, s *Sheet) {
	m := drawMetered(d, s, []string{"east", "south", "west"})
	low, other := m.rising[0], m.rising[d.Int(1, 2)]
	if x := m.measured[low] / m.design[low]; x < 0.6 || x > 0.9 {
		s.Reject("the reference has nearly all or too little")
		return
	}
	s.Given("q_t", "design flow of the room", meterStep(d, m.design[other]*d.Between(0.12, 0.3, 0.01)), flowUnit(d))
	s.Given("H", "difference held at the headers", Native(d, d.Between(8, 18, 0.5), d.Between(24, 54, 1)), driveUnit(d))
	s.Statement("Three branches of " + One(d, "an apartment block", "a retirement home", "a hotel", "a long office building") + " leave the same headers, where the circulator holds {H} whatever the flow. Inside, each branch is already in proportion. With all branch valves open a meter shows of the design flows: " + m.list + ". Now the branches are set in proportion too. What does the meter on the reference do meanwhile, what flow do all have at the end, what does a room with a design flow of {q_t} on the " + m.names[other] + " branch get then, and what difference would bring every branch to its design flow?")
	m.recordShares(s)
	s.Step("x", "Share of all at the end", "min(x_1, min(x_2, x_3))", quantity.Percent, "The headers keep their difference, so the reference keeps its share, and the others come down to it.")
	s.Step("F", "Flow of all at the end", "x / 100 * (q_1 + q_2 + q_3)", flowUnit(d), "One share for all, so it can be taken of the sum of the design flows.")
	s.Step("f_t", "Flow of the room", "x / 100 * q_t", flowUnit(d), "A branch in proportion passes its share on to every circuit in it.")
	s.Step("H_n", "Difference for design flow", "H * pow(100 / x, 2)", driveUnit(d), "The valves stay as they are now, so the difference goes with the square of the flow.")
	s.Choose("reference", "What does the meter on the reference do while you throttle the other two?", "stays", "", "Ask what drives the reference, and whether that changes when its neighbors pass less.", shuffled(d, []Pick{
		{ID: "stays", Text: "It stays: the difference that drives the branch is held."},
		{ID: "rises", Text: "It rises: the water that the others give up has to go somewhere.", Slip: "reference-always-moves", Say: "That is so where a circulator at fixed speed climbs its curve, or where shared pipe loses less. Here the difference at the headers is held, and the circulator simply moves less."},
		{ID: "falls", Text: "It falls: the circulator slows down.", Slip: "reference-falls", Say: "The circulator slows only so far that the difference at the headers stays. The branch cannot tell."},
	})...)
	s.Ask("total", "Flow of all branches at the end", "F", toleranceShare)
	s.Ask("room", "Flow of the room at the end", "f_t", toleranceShare)
	s.Ask("difference", "Difference that brings every branch to design flow", "H_n", ToleranceTable)
	s.Slip("total-kept", "F", "m_1 + m_2 + m_3", "That moved before. With the difference held, every valve that closes takes its water off the total.")
	s.MaySlip("shares-averaged", "x", "(x_1 + x_2 + x_3) / 3", "The circulator does not pass on what the others give up: all end at the share of the reference.")
	s.MaySlip("room-at-old-share", "f_t", fmt.Sprintf("q_t * m_%d / q_%d", other+1, other+1), "That was the share of its branch before the branch valve was set.")
	s.MaySlip("room-at-design", "f_t", "q_t", "In proportion does not mean at design flow: the room has the share of its branch.")
	s.MaySlip("head-linear-flow", "H_n", "H * 100 / x", "The difference goes with the square of flow: square the ratio.")
	s.MaySlip("head-wrong-way", "H_n", "H * pow(x / 100, 2)", "The ratio is upside down: more flow needs more difference.")
	s.MaySlip("head-unchanged", "H_n", "H", "At this difference all have {x}. More flow takes more.")
	s.Source(sourceSquareLaw)
}
