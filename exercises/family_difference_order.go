package exercises

import (
	"fmt"
	"math"
	"slices"

	"loopwright/grader"
	"loopwright/grader/quantity"
)

// balanceNames are the circuits of the balancing sheets.
var balanceNames = []string{"north", "south", "attic", "shop"}

const sourceBalance = "Proportional balancing by the ratio of measured to design flow: ANSI/ASHRAE Standard 111 and CIBSE Commissioning Code W (from memory)"

func buildBalancingOrder(d *Draw, s *Sheet) {
	flow := flowUnit(d)
	names := balanceNames[:3]
	if d.Level == 2 {
		names = balanceNames
	}
	share, measured := make([]float64, len(names)), make([]float64, len(names))
	list, texts := "", make([]string, len(names))
	for i, name := range names {
		n := i + 1
		design := Native(d, d.Between(2, 8, 0.5), d.Between(0.12, 0.5, 0.02))
		// To the tenth of a gpm, or the hundredth of a L/s, as a meter reads.
		read := Native(d, 10.0, 100)
		measured[i] = math.Round(design*d.Between(0.65, 1.45, 0.01)*read) / read
		share[i] = measured[i] / design
		s.Given(fmt.Sprintf("q_%d", n), name+", design flow", design, flow)
		s.Given(fmt.Sprintf("m_%d", n), name+", measured flow", measured[i], flow)
		texts[i] = Capital(name) + fmt.Sprintf(": {m_%d} of {q_%d}", n, n)
		list += fmt.Sprintf("; %s {m_%d} of {q_%d}", name, n, n)
	}
	if tooClose(share, 0.08) || slices.Min(share) < 0.6 || slices.Max(share) > 1.5 {
		s.Reject("the shares are too alike or odd")
		return
	}
	opening := "With every valve open, a meter shows these flows of the design flows in " + One(d, "a guest house", "a former school", "an office building", "a terrace of four houses") + ": " + list[2:] + ". "
	for i, name := range names {
		s.Step(fmt.Sprintf("x_%d", i+1), "Share of "+name, fmt.Sprintf("100 * m_%d / q_%d", i+1, i+1), quantity.Percent, "Circuits are compared by measured over design flow, not by flow.")
	}
	order := descending(names, share)
	lowest := slices.Index(names, order[len(order)-1])
	switch d.Level {
	case 1:
		s.Statement(opening + "Which valve stays open as the reference, and what share does that circuit have now?")
		askOpenValve(d, s, names, order, texts, descending(names, measured), lowest)
		s.Ask("share", "Share of the circuit that stays open", fmt.Sprintf("x_%d", lowest+1), toleranceShare)
		s.Slip("share-inverted", fmt.Sprintf("x_%d", lowest+1), fmt.Sprintf("100 * q_%d / m_%d", lowest+1, lowest+1), "Measured flow goes on top: the share says how much of the design flow is there.")
		s.MaySlip("share-missing-part", fmt.Sprintf("x_%d", lowest+1), fmt.Sprintf("100 * (q_%d - m_%d) / q_%d", lowest+1, lowest+1, lowest+1), "That is the part that is missing. The share is what is there.")
		s.MaySlip("share-of-all", fmt.Sprintf("x_%d", lowest+1), fmt.Sprintf("100 * m_%d / (m_1 + m_2 + m_3)", lowest+1), "Compare the circuit with its own design flow, not with the flow of all.")
	case 2:
		s.Statement(opening + "In which order do the circuits stand, and how much of the whole design flow does the system move?")
		byFlow := descending(names, measured)
		if slices.Equal(byFlow, order) {
			s.Reject("the order does not tell share from flow")
			return
		}
		backward := slices.Clone(order)
		slices.Reverse(backward)
		s.Arrange("order", "Put the circuits in order, the one to throttle most first, the one that stays open last.", arranged(d, names, texts), order, "x_1",
			"Work out measured over design flow for each circuit; the highest share has most to give up.",
			grader.Slip{ID: "order-by-flow", Answer: grader.Answer{Order: byFlow}, Say: "That is the order of the flows. A small circuit can have far too much and a large one too little."},
			grader.Slip{ID: "prop-start-highest", Answer: grader.Answer{Order: backward}, Say: "Turned round: the circuit with the lowest share stays open, the one with the highest share is throttled most."})
		s.Step("x", "Share of the whole", "100 * (m_1 + m_2 + m_3 + m_4) / (q_1 + q_2 + q_3 + q_4)", quantity.Percent, "The total says whether the circulator, not only the balance, needs a change.")
		s.Ask("total", "Measured flow of all, as a share of the design flow", "x", toleranceShare)
		s.MaySlip("shares-averaged", "x", "(x_1 + x_2 + x_3 + x_4) / 4", "A plain average ignores that the circuits are of unlike size: add the flows first.")
		s.Slip("share-inverted", "x", "100 * (q_1 + q_2 + q_3 + q_4) / (m_1 + m_2 + m_3 + m_4)", "Measured flow goes on top: the share says how much of the design flow is there.")
		s.MaySlip("shares-summed", "x", "x_1 + x_2 + x_3 + x_4", "Shares do not add up; flows do.")
	default:
		s.Statement(opening + "The valves are now set so that all circuits have the same share, and the total stays as measured. The circulator gives {H}. Which valve stayed open, what share does each circuit have now, and what head would bring all of them to design flow?")
		s.Given("H", "head of the circulator now", Native(d, d.Between(8, 18, 0.5), d.Between(24, 54, 1)), driveUnit(d))
		x := s.Step("x", "Common share", "100 * (m_1 + m_2 + m_3) / (q_1 + q_2 + q_3)", quantity.Percent, "The same water is spread over all circuits in proportion to their design flows.")
		s.Step("H_d", "Head for design flow", "H * pow(100 / x, 2)", driveUnit(d), "The valves stay as they are, so head goes with the square of flow.")
		if abs := max(x-100, 100-x); abs < 8 {
			s.Reject("too near to the design flow")
			return
		}
		askOpenValve(d, s, names, order, texts, descending(names, measured), lowest)
		s.Ask("share", "Share that each circuit has now", "x", toleranceShare)
		s.Ask("head", "Head that brings all circuits to design flow", "H_d", ToleranceFriction)
		s.MaySlip("shares-averaged", "x", "(x_1 + x_2 + x_3) / 3", "A plain average ignores that the circuits are of unlike size: add the flows first.")
		s.MaySlip("lowest-share-kept", "x", fmt.Sprintf("x_%d", lowest+1), "Throttling the others sends their water to the low circuit: its share rises.")
		s.MaySlip("head-linear-flow", "H_d", "H * 100 / x", "Head goes with the square of flow: square the ratio.")
		s.MaySlip("head-wrong-way", "H_d", "H * pow(x / 100, 2)", "The ratio is upside down: more flow needs more head, less flow less.")
		s.MaySlip("head-unchanged", "H_d", "H", "At this head each circuit has {x} of its design flow. Another flow takes another head.")
		s.Source(sourceSquareLaw)
	}
	s.Source(sourceBalance)
	s.Caution(cautionHot)
}

var toleranceShare = Tolerance{Rel: 0.02, Why: "Both flows are given; 2 % forgives rounding. The meters themselves are no closer than about 5 %."}

func askOpenValve(d *Draw, s *Sheet, names, order, texts, byFlow []string, lowest int) {
	picks := make([]Pick, len(names))
	for i, name := range names {
		picks[i] = Pick{ID: name, Text: texts[i]}
		switch {
		case i == lowest:
		case name == order[0]:
			picks[i].Slip, picks[i].Say = "prop-start-highest", "That circuit has the highest share: it has most to give up. The lowest share is the reference."
		case name == byFlow[len(byFlow)-1]:
			picks[i].Slip, picks[i].Say = "lowest-flow-picked", "It has the least flow, but not the least of its design flow: compare shares."
		}
	}
	s.Choose("open", "Which circuit's valve stays fully open?", names[lowest], fmt.Sprintf("x_%d", lowest+1), "Compare measured with design flow, circuit by circuit; the lowest share is the reference.", shuffled(d, picks)...)
}
