package exercises

import (
	"fmt"
	"strings"

	"loopwright/grader"
)

var twoPipeFamilies = []*Family{mainsSections, longestOfParallel, twoPipeRadiators, returnChoice}

var mainsSections = &Family{
	ID: "mains-sections", Title: "Flow in each section of the mains", Skills: []string{"mains-flow"}, Lesson: LessonTwoPipe,
	Levels: [Levels]string{
		"A section of the supply.",
		"Supply and return, direct or reverse.",
		"Reverse return: put the sections of the return in order.",
	},
	Build: buildMainsSections,
}

var longestOfParallel = &Family{
	ID: "longest-of-parallel", Title: "The circuit that decides", Skills: []string{"path-head", "head-from-rate"}, Lesson: LessonTwoPipe,
	Levels: [Levels]string{
		"One friction rate, several circuits.",
		"Each circuit with its own rate.",
		"Mains and branches: heads along each way.",
	},
	Build: buildLongestOfParallel,
}

// inWords writes a small number that opens a sentence.
func inWords(n int) string {
	words := []string{"none", "one", "two", "three", "four", "five", "six", "seven", "eight"}
	if n < 0 || n >= len(words) {
		return fmt.Sprint(n)
	}
	return words[n]
}

const sourceLayouts = "two-pipe layouts: ASHRAE Handbook HVAC Systems and Equipment, hydronic heating (from memory)"

// sumOf writes "f_2 + f_3 + f_4".
func sumOf(prefix string, from, to int) string {
	terms := make([]string, 0, to-from+1)
	for i := from; i <= to; i++ {
		terms = append(terms, fmt.Sprintf("%s_%d", prefix, i))
	}
	return strings.Join(terms, " + ")
}

func buildMainsSections(d *Draw, s *Sheet) {
	n := d.Int(4, 5)
	flow := flowUnit(d)
	seen := map[float64]bool{}
	for i := 1; i <= n; i++ {
		f := Native(d, d.Between(1, 5, 0.5), d.Between(0.06, 0.4, 0.02))
		if seen[f] {
			s.Reject("two circuits with one flow")
		}
		seen[f] = true
		s.Given(fmt.Sprintf("f_%d", i), fmt.Sprintf("circuit %d", i), f, flow)
	}
	s.Source(sourceLayouts)
	k := d.Int(2, n-1)
	circuits := fmt.Sprintf("%s circuits, numbered from the boiler outward, hang between a supply and a return main. Their flows are given.", Capital(inWords(n)))
	switch d.Level {
	case 1:
		s.Statement(fmt.Sprintf("%s What flow does the supply main carry in the section that leads to circuit %d?", circuits, k))
		s.Step("F", fmt.Sprintf("Supply section to circuit %d", k), sumOf("f", k, n), flow, "A section of the supply carries its own circuit and all that lie beyond it.")
		s.Ask("supply", fmt.Sprintf("Flow in the supply section to circuit %d", k), "F", ToleranceExact)
		s.Slip("mains-full-everywhere", "F", sumOf("f", 1, n), "The full flow runs only in the first section. Circuits nearer to the boiler have taken theirs already.")
		s.Slip("section-own-circuit-only", "F", fmt.Sprintf("f_%d", k), "The section carries the circuits beyond it too.")
		s.MaySlip("section-from-wrong-end", "F", sumOf("f", 1, k), "You added the circuits on the boiler's side. The ones beyond the section count.")
		s.MaySlip("mains-equal-flow", "F", fmt.Sprintf("(%s) / %d", sumOf("f", 1, n), n), "The total is not shared out evenly: take the circuits beyond the section, with their own flows.")
	case 2:
		reverse := One(d, true, false)
		kind, expression := "direct", sumOf("f", k, n)
		because := "In a direct return the water goes home beside the supply: on the boiler's side of circuit {k} it carries that circuit and all beyond it."
		wrong, say := sumOf("f", 1, k), "In a direct return the far circuits come home through this section; the near ones do not."
		if reverse {
			kind, expression, wrong = "reverse", sumOf("f", 1, k), sumOf("f", k, n)
			because = "In a reverse return the return runs outward: past circuit {k} it carries that circuit and all before it."
			say = "You added as in a direct return. Here the first-fed circuits join first, so add from the near end."
		}
		because = strings.ReplaceAll(because, "{k}", fmt.Sprint(k))
		// A tee joins two sections of the return: say on which side.
		where := map[bool]string{true: "just past the tee of", false: "just on the boiler's side of the tee of"}[reverse]
		s.Statement(fmt.Sprintf("%s The return is a %s return. What does the supply carry in the section that leads to circuit %d? And what does the return carry %s circuit %d?", circuits, kind, k, where, k))
		s.Step("F", fmt.Sprintf("Supply section to circuit %d", k), sumOf("f", k, n), flow, "A section of the supply carries its own circuit and all that lie beyond it.")
		s.Step("R", fmt.Sprintf("Return %s circuit %d", where, k), expression, flow, because)
		s.Ask("supply", fmt.Sprintf("Flow in the supply section to circuit %d", k), "F", ToleranceExact)
		s.Ask("return", fmt.Sprintf("Flow in the return %s circuit %d", where, k), "R", ToleranceExact)
		s.MaySlip("mains-full-everywhere", "F", sumOf("f", 1, n), "The full flow runs only in the first section.")
		s.Slip("section-own-circuit-only", "F", fmt.Sprintf("f_%d", k), "The section carries the circuits beyond it too.")
		s.Slip("reverse-return-direction", "R", wrong, say)
	default:
		s.Statement(fmt.Sprintf("%s The return is a reverse return. What flow does the last section of the return bring home? Put the sections of the return in order, from the smallest flow to the largest.", circuits))
		s.Step("R", "Last section of the return", sumOf("f", 1, n), flow, "All circuits have joined by then.")
		s.Ask("home", "Flow in the last section of the return", "R", ToleranceExact)
		s.Slip("last-circuit-only", "R", fmt.Sprintf("f_%d", n), "The last circuit joins the others; the section carries all of them.")
		var options []grader.Option
		var right, reversed []string
		for _, i := range d.Shuffle(n) {
			options = append(options, grader.Option{ID: fmt.Sprintf("behind-%d", i+1), Text: fmt.Sprintf("just past circuit %d", i+1)})
		}
		for i := 1; i <= n; i++ {
			right = append(right, fmt.Sprintf("behind-%d", i))
			reversed = append([]string{fmt.Sprintf("behind-%d", i)}, reversed...)
		}
		s.Arrange("order", "Sections of the return, from the smallest flow to the largest", options, right, "R",
			"In a reverse return, follow the water outward: each circuit adds its flow to what came before.",
			grader.Slip{ID: "reverse-return-direction", Answer: grader.Answer{Order: reversed}, Say: "That is the order of a direct return. Here the first-fed circuit joins first, and the return grows outward."})
	}
	s.Caution(cautionDesign)
}

func buildLongestOfParallel(d *Draw, s *Sheet) {
	n := d.Int(3, 4)
	names := []string{"north", "east", "south", "west"}
	length, loss := lengthUnit(d), lossUnit(d)
	divide := Native(d, "100", "1000")
	s.Source(sourceLayouts)
	s.Source("head = friction rate × length; rates: demo, within 1 to 4 ft/100 ft (100 to 400 Pa/m)")
	rate := func() float64 { return Native(d, d.Between(1.2, 4, 0.2), d.Between(100, 400, 20)) }
	longest, hardest := 1, 1
	heads, lengths := make([]float64, n+1), make([]float64, n+1)
	branch := make([]float64, n+1)
	if d.Level == 1 {
		s.Looked("R", "friction rate of the mains", rate(), frictionUnit(d), "demo")
	}
	for i := 1; i <= n; i++ {
		id := fmt.Sprint(i)
		lengths[i] = Native(d, d.Between(60, 260, 10), d.Between(18, 80, 2))
		s.Given("L_"+id, names[i-1]+" circuit, there and back", lengths[i], length)
		r, _ := s.Value("R")
		if d.Level > 1 {
			r = rate()
			s.Looked("R_"+id, "friction rate of the "+names[i-1]+" circuit", r, frictionUnit(d), "demo")
		}
		if d.Level == 3 {
			branch[i] = Native(d, d.Between(1, 6, 0.5), d.Between(3, 18, 1))
			s.Given("B_"+id, "emitter and valve of the "+names[i-1]+" circuit", branch[i], loss)
		}
		heads[i] = r*lengths[i]/Native(d, 100.0, 1000) + branch[i]
		if lengths[i] > lengths[longest] {
			longest = i
		}
		if heads[i] > heads[hardest] {
			hardest = i
		}
	}
	for i := 1; i <= n; i++ {
		if i != hardest && heads[i] > 0.9*heads[hardest] || i != longest && lengths[i] > 0.93*lengths[longest] {
			s.Reject("two circuits are too much alike")
			return
		}
	}
	if d.Level == 3 && longest == hardest {
		s.Reject("the longest is the hardest")
		return
	}
	place := One(d, "a village school", "a courtyard building", "a workshop with offices", "a nursing home")
	s.Statement(Capital(fmt.Sprintf("%s has %s circuits side by side on one boiler and one circulator. What head must the circulator give, and which circuit decides that?", place, inWords(n))))
	symbol := func(i int) string { return fmt.Sprintf("H_%d", i) }
	for i := 1; i <= n; i++ {
		expression := fmt.Sprintf("R * L_%d / %s", i, divide)
		if d.Level > 1 {
			expression = fmt.Sprintf("R_%d * L_%d / %s", i, i, divide)
		}
		if d.Level == 3 {
			expression += fmt.Sprintf(" + B_%d", i)
		}
		s.Step(symbol(i), Capital(names[i-1])+" circuit", expression, loss, Native(d, "The rate is for each hundred feet of its length.", "The rate is in pascals for each meter; a thousand make a kilopascal."))
	}
	// Written as the largest of all, so that no hint names the circuit.
	largest := "H_1"
	for i := 2; i <= n; i++ {
		largest = fmt.Sprintf("max(%s, H_%d)", largest, i)
	}
	s.Step("H", "Head that the circulator must give", largest, loss, "Circuits side by side share one difference: the one that loses most sets it.")
	s.Ask("head", "Head of the circulator", "H", ToleranceTable)
	s.Slip("path-sums-branches", "H", sumOf("H", 1, n), "Circuits side by side are not added. Take the one that loses most, alone.")
	s.MaySlip("manifold-average-head", "H", fmt.Sprintf("(%s) / %d", sumOf("H", 1, n), n), "The average leaves the circuit that loses most short of head. Take that circuit's own head.")
	if longest != hardest {
		s.MaySlip("critical-longest", "H", symbol(longest), "That is the longest circuit. The one that loses most head decides.")
	}
	s.MaySlip("head-rate-per-foot", "H", map[bool]string{true: "R", false: fmt.Sprintf("R_%d", hardest)}[d.Level == 1]+fmt.Sprintf(" * L_%d", hardest), Native(d, "The rate is per hundred feet: divide by 100.", "The rate is in pascals: divide by 1000."))
	s.MaySlip("there-and-back-twice", "H", map[bool]string{true: "2 * R", false: fmt.Sprintf("2 * R_%d", hardest)}[d.Level == 1]+fmt.Sprintf(" * L_%d / %s", hardest, divide), "The lengths already count there and back.")
	if d.Level == 3 {
		s.Slip("emitter-left-out", "H", fmt.Sprintf("R_%d * L_%d / %s", hardest, hardest, divide), "Add the circuit's own emitter and valve; the water passes through them too.")
	}
	var picks []Pick
	for i := 1; i <= n; i++ {
		p := Pick{ID: names[i-1], Text: "the " + names[i-1] + " circuit"}
		if i == longest && i != hardest {
			p.Slip, p.Say = "critical-longest", "It is the longest, but another circuit loses more head. Work out both."
		}
		picks = append(picks, p)
	}
	s.Choose("decides", "Which circuit decides?", names[hardest-1], "H", "Work out the head of each circuit and compare.", picks...)
	s.Caution(cautionDesign)
}
