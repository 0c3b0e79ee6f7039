package exercises

import (
	"fmt"
	"slices"

	"loopwright/grader"
)

var loopFamilies = []*Family{
	{
		ID: "series-loop-temperatures", Title: "Water temperatures along a series loop", Skills: []string{"series-step"}, Lesson: LessonLoops,
		Levels: [Levels]string{
			"Three rooms: the water entering the third, and the return.",
			"Five rooms: the water entering one of them, and the rooms in order of their water.",
			"Backward: from thermometers along the loop to flow and to each room's heat.",
		},
		Build: buildSeriesTemperatures,
	},
	{
		ID: "series-loop-limit", Title: "Where a series loop gets too long", Skills: []string{"series-limit"}, Lesson: LessonLoops,
		Levels: [Levels]string{
			"The customary flow of a tube gives the most heat and the longest fin-tube.",
			"The same from the supply temperature and the element's rating.",
			"A loop that has grown too long: the last room, and the repair.",
		},
		Build: buildSeriesLimit,
	},
	{
		ID: "diverter-cascade", Title: "The main past its diverter tees", Skills: []string{"diverter-main-temp"}, Lesson: LessonLoops,
		Levels: [Levels]string{
			"The main before the third radiator, and its return.",
			"The main, and the water in and out of one radiator.",
			"First and last radiator: water, size, and what a closed valve does.",
		},
		Build: buildDiverterCascade,
	},
}

const (
	sourceSeries   = "T_out = T_in − Q/(k·f): energy balance of the water, whole flow through each emitter; the rounded factors 500 and 4.19 are common practice"
	cautionOneLoop = "A closed valve or a frozen spot anywhere in a series loop stops the whole loop: rooms and pipes beyond it can freeze."
)

// loopRooms are rooms in the order in which a loop may pass them.
var loopRooms = []string{"kitchen", "dining room", "living room", "hall", "bathroom", "bedroom", "study"}

// passedRooms draws n rooms, in order of the loop.
func passedRooms(d *Draw, n int) []string {
	at := d.Shuffle(len(loopRooms))[:n]
	rooms := make([]string, n)
	for i, j := range at {
		rooms[i] = loopRooms[j]
	}
	return rooms
}

// listing is "the kitchen {Q_1}, then the hall {Q_2}, …".
func listing(rooms []string, symbol string) string {
	text := ""
	for i, r := range rooms {
		switch {
		case i == 0:
		case i == len(rooms)-1:
			text += " and last "
		default:
			text += ", then "
		}
		text += fmt.Sprintf("the %s {%s_%d}", r, symbol, i+1)
	}
	return text
}

// roomID is a room's name as an option's id, which holds no spaces.
func roomID(room string) string {
	id := []rune(room)
	for i, r := range id {
		if r == ' ' {
			id[i] = '-'
		}
	}
	return string(id)
}

func roomIDs(rooms []string) []string {
	ids := make([]string, len(rooms))
	for i, r := range rooms {
		ids[i] = roomID(r)
	}
	return ids
}

// shuffledOptions are options with these ids and texts in a drawn order.
func shuffledOptions(d *Draw, ids, texts []string) []grader.Option {
	options := make([]grader.Option, 0, len(ids))
	for _, i := range d.Shuffle(len(ids)) {
		options = append(options, grader.Option{ID: ids[i], Text: texts[i]})
	}
	return options
}

func buildSeriesTemperatures(d *Draw, s *Sheet) {
	switch d.Level {
	case 1:
		buildSeriesForward(d, s, 3)
	case 2:
		buildSeriesForward(d, s, 5)
	default:
		buildSeriesBackward(d, s)
	}
	s.Source(sourceSeries)
	s.Caution(cautionHot)
	s.Caution(cautionOneLoop)
}

// buildSeriesForward steps the water through n rooms. With three rooms it asks
// for the water entering the last one; with more, for one in between, and for
// the order of the rooms.
func buildSeriesForward(d *Draw, s *Sheet, n int) {
	load, flow, reading := loadUnit(d), flowUnit(d), readingUnit(d)
	rooms := passedRooms(d, n)
	house := One(d, "a one-story house", "a row house", "a small farmhouse", "a caretaker's house")
	asked := n
	if n > 3 {
		asked = d.Int(3, n-1)
	}
	s.Statement("A series loop in " + house + " leaves the boiler at {T_1} with a flow of {f}. It heats, one after the other, " + listing(rooms, "Q") + ". At what temperature does the water enter the emitter of the " + rooms[asked-1] + ", and at what temperature does it come back?")
	s.Given("T_1", "water leaving the boiler", Native(d, d.Between(165, 190, 1), d.Between(70, 85, 1)), reading)
	s.Given("f", "flow of the loop", Native(d, One(d, 3, 3.5, 4, 4.5, 5), One(d, 0.18, 0.2, 0.22, 0.25, 0.3)), flow)
	loads := make([]float64, n)
	for i, r := range rooms {
		loads[i] = Native(d, d.Between(4, 13, 0.5)*1000, d.Between(1.2, 3.6, 0.1))
		if n > 3 {
			loads[i] = Native(d, d.Between(2.5, 10, 0.5)*1000, d.Between(0.7, 2.8, 0.1))
		}
		s.Given(fmt.Sprintf("Q_%d", i+1), r, loads[i], load)
	}
	factor, factorUnit := heatFactor(d)
	s.Looked("k", "heat carried per unit of flow and degree", factor, factorUnit, "common practice")
	s.Step("f_e", "Flow through each emitter", "f", flow, "In series the whole flow passes every emitter; nothing is shared out.")
	for i := 1; i < asked; i++ {
		s.Step(fmt.Sprintf("T_%d", i+1), "Water entering the emitter of the "+rooms[i], fmt.Sprintf("T_%d - Q_%d / (k * f_e)", i, i), reading,
			"The water that leaves the "+rooms[i-1]+" has cooled by what that room takes.")
	}
	before, total := loadSum(asked-1), loadSum(n)
	back := s.Step("T_r", "Water coming back to the boiler", "T_1 - ("+total+") / (k * f_e)", reading, "Over the whole loop the water loses the heat of all the rooms.")
	first, _ := s.Value("T_1")
	if drop := first - back; drop > Native(d, 32.0, 18) || drop < Native(d, 10.0, 6) {
		s.Reject("no one would run this loop with such a drop")
		return
	}
	target := fmt.Sprintf("T_%d", asked)
	s.Ask("entering", "Water entering the emitter of the "+rooms[asked-1], target, ToleranceReading)
	s.Ask("return", "Water coming back to the boiler", "T_r", ToleranceReading)
	s.MaySlip("series-flow-split", "f_e", fmt.Sprintf("f / %d", n), "In series every emitter gets the whole flow; nothing is shared out.")
	s.MaySlip("drop-added", target, "T_1 + ("+before+") / (k * f_e)", "Each room takes heat, so the water gets cooler from room to room: subtract.")
	s.MaySlip("drop-added", "T_r", "T_1 + ("+total+") / (k * f_e)", "The rooms take heat, so the water comes back cooler: subtract.")
	s.MaySlip("series-dt-each", target, fmt.Sprintf("T_1 - %d * (%s) / (k * f_e)", asked-1, total), "All rooms together make the whole drop. Each room cools the water only by its own load.")
	s.MaySlip("series-one-room-more", target, "T_1 - ("+loadSum(asked)+") / (k * f_e)", "That is the water leaving this emitter. Entering it, the water has passed only the rooms before.")
	s.MaySlip("series-all-at-supply", target, "T_1", "Only the first room gets water as the boiler sends it; the rooms before have taken their part.")
	s.MaySlip("series-one-room-less", target, fmt.Sprintf("T_%d", asked-1), "That is the water entering the room before. That room has taken its heat as well.")
	s.MaySlip("series-even-drop", target, fmt.Sprintf("T_1 - %d * (%s) / (%d * k * f_e)", asked-1, total, n), "The drop is not shared evenly: each room cools the water by its own load.")
	s.MaySlip("series-last-room-free", "T_r", "T_1 - ("+loadSum(n-1)+") / (k * f_e)", "That is the water entering the last room. It takes its heat as well before the water comes back.")
	if n > 3 {
		arrangeByWater(d, s, rooms, loads)
	}
}

// loadSum is "Q_1 + Q_2 + …" up to n.
func loadSum(n int) string {
	text := "Q_1"
	for i := 2; i <= n; i++ {
		text += fmt.Sprintf(" + Q_%d", i)
	}
	return text
}

// arrangeByWater asks for the rooms by their entering water, coolest first.
func arrangeByWater(d *Draw, s *Sheet, rooms []string, loads []float64) {
	if tooClose(loads, 0.01) {
		s.Reject("two rooms with the same load have no order by load")
		return
	}
	ids := roomIDs(rooms)
	right := slices.Clone(ids)
	slices.Reverse(right)
	byLoad := descending(ids, loads)
	if slices.Equal(byLoad, ids) || slices.Equal(byLoad, right) {
		s.Reject("the order does not tell load from place")
		return
	}
	texts := make([]string, len(rooms))
	for i, r := range rooms {
		texts[i] = fmt.Sprintf("%s, {Q_%d}", Capital(r), i+1)
	}
	s.Arrange("order", "Put the rooms in order of the water that enters them, coolest first.", shuffledOptions(d, ids, texts), right, "",
		"Follow the water: each room that it passes takes some heat, however little.",
		grader.Slip{ID: "order-hottest-first", Answer: grader.Answer{Order: ids}, Say: "That is the way of the water, hottest first. The question asks for the coolest first."},
		grader.Slip{ID: "order-by-load", Answer: grader.Answer{Order: byLoad}, Say: "A large load cools the water for the rooms beyond. What enters a room depends on its place in the loop, not on its own load."})
}

// buildSeriesBackward goes from thermometers to flow and heat.
func buildSeriesBackward(d *Draw, s *Sheet) {
	const n = 4
	load, flow, reading, drop := loadUnit(d), flowUnit(d), readingUnit(d), dropUnit(d)
	rooms := passedRooms(d, n)
	s.Statement(fmt.Sprintf("A heat meter shows that one series loop takes {Q}. Pipe thermometers along it read {T_1} at the start, {T_2} behind the %s, {T_3} behind the %s, {T_4} behind the %s and {T_5} behind the %s, where it returns. What is the flow in the loop, how much heat does the %s get, and which rooms get most?",
		rooms[0], rooms[1], rooms[2], rooms[3], rooms[2]))
	factor, factorUnit := heatFactor(d)
	temperature := Native(d, d.Between(168, 190, 1), d.Between(72, 85, 1))
	drops, start := make([]float64, n), temperature
	s.Given("T_1", "at the start", temperature, reading)
	for i := range n {
		drops[i] = Native(d, d.Between(3, 11, 1), d.Between(1.5, 6, 0.5))
		temperature -= drops[i]
		s.Given(fmt.Sprintf("T_%d", i+2), "behind the "+rooms[i], temperature, reading)
	}
	all := start - temperature
	f := Native(d, d.Between(2.5, 5, 0.1), d.Between(0.15, 0.32, 0.01))
	s.Given("Q", "heat of the loop", Native(d, float64(int(factor*f*all/500+0.5))*500, float64(int(factor*f*all*10+0.5))/10), load)
	s.Looked("k", "heat carried per unit of flow and degree", factor, factorUnit, "common practice")
	if all > Native(d, 32.0, 18) || tooClose(drops, 0.09) {
		s.Reject("a drop too large, or two rooms too close to put in order")
		return
	}
	s.Step("dT", "Drop of the loop", "T_1 - T_5", drop, "The heat of the whole loop goes with the drop of the whole loop.")
	s.Step("f", "Flow", "Q / (k * dT)", flow, "All of the loop's heat is carried by one flow.")
	s.Step("Q_3", "Heat of the "+rooms[2], "Q * (T_3 - T_4) / dT", load, "The same flow passes every room, so heat is shared as the drops are.")
	s.Ask("flow", "Flow in the loop", "f", ToleranceHeat)
	s.Ask("room", "Heat that the "+rooms[2]+" gets", "Q_3", ToleranceHeat)
	s.Slip("flow-no-500", "f", "Q / dT", "The factor is missing: a unit of flow carries {k}, so divide by that too.")
	s.MaySlip("series-even-share", "Q_3", "Q / 4", "The rooms do not share evenly: each takes the share that its own drop is of the whole.")
	s.MaySlip("drop-from-start", "Q_3", "Q * (T_1 - T_4) / dT", "That drop holds the rooms before as well. Take the thermometers just before and just behind this room.")
	s.MaySlip("drop-wrong-pair", "Q_3", "Q * (T_2 - T_3) / dT", "Those two thermometers stand around the room before. Take the pair around this one.")
	s.MaySlip("series-flow-split", "Q_3", "Q * (T_3 - T_4) / (4 * dT)", "In series every room gets the whole flow; nothing is shared out.")

	ids, texts := roomIDs(rooms), make([]string, n)
	for i, r := range rooms {
		texts[i] = Capital(r)
	}
	right := descending(ids, drops)
	backward := slices.Clone(ids)
	slices.Reverse(backward)
	if slices.Equal(right, ids) || slices.Equal(right, backward) {
		s.Reject("the order does not tell heat from place")
		return
	}
	s.Arrange("order", "Put the rooms in order of the heat they get, most first.", shuffledOptions(d, ids, texts), right, "",
		"The same flow passes all of them: compare the drop across each room.",
		grader.Slip{ID: "order-by-water", Answer: grader.Answer{Order: ids}, Say: "That is the order of the water, hottest first. The heat shows in the drop across a room, not in the temperature before it."})
}
