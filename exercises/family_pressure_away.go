package exercises

import "loopwright/grader/quantity"

const cautionTankMove = "Before a tank, a circulator or a gauge is moved: boiler and power off and locked out, water cooled, pressure relieved. A licensed person does the work where the local code says so."

func buildPumpingAway(d *Draw, s *Sheet) {
	switch d.Level {
	case 1:
		buildTwoGauges(d, s)
	case 2:
		buildTopBothWays(d, s)
	default:
		buildGaugesBack(d, s)
	}
	s.Source(sourceHeldTank)
	s.Caution(cautionPressure)
	s.Caution(cautionTankMove)
	s.Caution(cautionTraining)
}

// riseDrawn is what a small circulator adds to the pressure.
func riseDrawn(d *Draw) float64 { return Native(d, d.Between(3, 9, 0.5), d.Between(20, 65, 5)) }

func buildTwoGauges(d *Draw, s *Sheet) {
	press := pressureUnit(d)
	away := One(d, true, false)
	side, right := "suction", "suction"
	if !away {
		side, right = "discharge", "discharge"
	}
	s.Statement("A circulator in " + heatedBuilding(d) + " has a gauge on either side, at the same height. With it off both show {p_0}. The expansion tank is joined right at its " + side + ". Running, the circulator adds {dp}. What do the two gauges show then?")
	s.Given("p_0", "both gauges at rest", Native(d, d.Between(11, 22, 1), d.Between(85, 180, 5)), press)
	s.Given("dp", "what the circulator adds", riseDrawn(d), press)
	const becauseHeld = "A full loop holds a fixed amount of water, so none enters or leaves the tank when it starts to move. The tank keeps its pressure, and so does its connection."
	var suction, discharge float64
	if away {
		suction = s.Step("p_s", "Suction gauge, running", "p_0", press, becauseHeld)
		discharge = s.Step("p_d", "Discharge gauge, running", "p_s + dp", press, "The circulator's rise stands between its two gauges.")
		s.Slip("tank-side-swapped", "p_s", "p_0 - dp", "That is the case with the tank at the discharge. Here the tank holds the suction.")
		s.Slip("rise-shared", "p_s", "p_0 - dp / 2", "The rise is not shared out: the tank holds its own side, so all of it appears on the other.")
	} else {
		discharge = s.Step("p_d", "Discharge gauge, running", "p_0", press, becauseHeld)
		suction = s.Step("p_s", "Suction gauge, running", "p_d - dp", press, "The circulator's rise stands between its two gauges.")
		s.Slip("tank-side-swapped", "p_d", "p_0 + dp", "That is the case with the tank at the suction. Here the tank holds the discharge.")
		s.Slip("rise-shared", "p_d", "p_0 + dp / 2", "The rise is not shared out: the tank holds its own side, so all of it appears on the other.")
	}
	if !readable(d, s, suction, discharge) {
		return
	}
	s.Ask("suction", "Suction gauge while it runs", "p_s", toleranceGauge(d))
	s.Ask("discharge", "Discharge gauge while it runs", "p_d", toleranceGauge(d))
	texts := map[string]string{
		"suction":   "The suction gauge.",
		"discharge": "The discharge gauge.",
		"neither":   "Neither: each moves by half of the rise.",
	}
	picks := []Pick{{ID: right, Text: texts[right]}}
	for _, id := range []string{"suction", "discharge", "neither"} {
		switch {
		case id == right:
		case id == "neither":
			picks = append(picks, Pick{ID: id, Text: texts[id], Slip: "rise-shared", Say: "The tank decides: its connection keeps the pressure, so the whole rise appears on the other side."})
		default:
			picks = append(picks, Pick{ID: id, Text: texts[id], Slip: "tank-side-swapped", Say: "The gauge beside the tank's connection stands still. Here that is the " + side + "."})
		}
	}
	s.Choose("still", "Which of the two gauges does not move when the circulator starts?", right, "", "Ask which of them sits where the tank is joined.", shuffled(d, picks)...)
}

func buildTopBothWays(d *Draw, s *Sheet) {
	press := pressureUnit(d)
	s.Statement("In " + heatedBuilding(d) + " the gauge where the expansion tank is joined shows {p_0}. The top of the system stands {h} above it. The circulator adds {dp}, and the pipes from the boiler room to the top take {l}. What pressure does the top have while the circulator runs, if it pumps toward the tank, and what if it pumps away from the tank?")
	dp := Native(d, d.Between(4, 9, 0.5), d.Between(25, 65, 5))
	l := Native(d, d.Between(1, 5, 0.5), d.Between(8, 35, 1))
	s.Given("p_0", "pressure where the tank is joined", Native(d, d.Between(14, 26, 1), d.Between(110, 220, 5)), press)
	s.Given("h", "height of the top above that gauge", Native(d, d.Between(14, 36, 1), d.Between(4, 12, 0.5)), lengthUnit(d))
	s.Given("dp", "what the circulator adds", dp, press)
	s.Given("l", "losses on the way to the top", l, press)
	s.Step("p_h", "Weight of the water up to the top", column(d, "h"), press, becauseColumn)
	rest := s.Step("p_t", "Top at rest", "p_0 - p_h", press, "At rest only the height counts.")
	toward := s.Step("p_1", "Top, pumping toward the tank", "p_t - l", press, "From the tank the water climbs first and meets the circulator last: only losses lie between.")
	away := s.Step("p_2", "Top, pumping away from the tank", "p_t + dp - l", press, "From the tank the water passes the circulator first: its rise comes before the losses.")
	if !readable(d, s, rest, toward, away) || l > 0.6*dp || l < 0.2*dp {
		s.Reject("no such losses beside such a circulator")
		return
	}
	s.Ask("toward", "Pressure at the top, pumping toward the tank", "p_1", toleranceGauge(d))
	s.Ask("away", "Pressure at the top, pumping away from the tank", "p_2", toleranceGauge(d))
	s.Choose("way", "Which way is right for this system?", "away", "p_2", "Compare the two pressures at the top, and ask at which of them air is pushed out.", shuffled(d, []Pick{
		{ID: "away", Text: "Away from the tank: the whole system gains pressure while the circulator runs, and vents push air out."},
		{ID: "toward", Text: "Toward the tank: the circulator then has the tank's pressure behind it.", Slip: "tank-pushes-circulator",
			Say: "The tank holds one point still, it pushes nothing. With it at the discharge everything else falls below the fill pressure, and vents may draw air in."},
		{ID: "either", Text: "Either: the head is the same, so the system cannot tell.", Slip: "tank-side-no-matter",
			Say: "The head is the same, the pressures are not: every point lies higher by the whole rise when the circulator pumps away from the tank."},
	})...)
	s.Slip("height-added", "p_t", "p_0 + p_h", "Pressure grows downward: the top has less than the gauge, not more.")
	s.MaySlip("circulator-changes-nothing", "p_1", "p_t", "That is the top at rest. The way up takes {l} while the water moves.")
	s.MaySlip("circulator-changes-nothing", "p_2", "p_t", "That is the top at rest. Running, the circulator adds {dp} before the losses.")
	s.MaySlip("whole-head-at-top", "p_1", "p_t - dp", "The whole fall appears only at the suction. Up to the top the water has lost {l}.")
	s.MaySlip("pump-loss-forgotten", "p_2", "p_t + dp", "The pipes on the way up have taken {l} of the rise.")
	s.MaySlip("loss-added", "p_1", "p_t + l", "Losses take pressure away on the way to the top.")
	columnSlips(d, s)
	s.Source(sourceWeight)
}

func buildGaugesBack(d *Draw, s *Sheet) {
	press := pressureUnit(d)
	away := One(d, true, false)
	p0 := Native(d, d.Between(14, 26, 1), d.Between(110, 220, 5))
	dp := Native(d, d.Between(4, 10, 1), d.Between(25, 70, 5))
	// A little is lost between the tank's connection and the gauge beside it.
	gap := Native(d, One(d, 0, 0.5), One(d, 0.0, 2, 4))
	ps, pd := p0-gap, p0-gap+dp
	if !away {
		ps, pd = p0+gap-dp, p0+gap
	}
	l := Native(d, d.Between(1, 5, 0.5), d.Between(8, 35, 1))
	s.Statement("Two gauges sit at the circulator of " + heatedBuilding(d) + ", at the same height. At rest both show {p_0}. Running, the suction shows {p_s} and the discharge {p_d}. The water goes from the discharge to the top, {h} above the gauges, and loses {l} on the way. How much head does the circulator make, what pressure has the top while it runs, and where is the expansion tank joined?")
	s.Given("p_0", "both gauges at rest", p0, press)
	s.Given("p_s", "suction gauge, running", ps, press)
	s.Given("p_d", "discharge gauge, running", pd, press)
	s.Given("h", "height of the top above the gauges", Native(d, d.Between(12, 34, 1), d.Between(4, 12, 0.5)), lengthUnit(d))
	s.Given("l", "losses from the discharge to the top", l, press)
	s.Step("dp", "What the circulator adds", "p_d - p_s", press, "Its rise is the difference of its own two gauges, running.")
	s.Step("H", "Head of the circulator", Native(d, "2.31 * dp", "dp / 9.81"), Native(d, quantity.FootHead, quantity.MeterHead), Native(d,
		"One psi of difference is 2.31 ft of cold water.", "Each meter of cold water is 9.81 kPa."))
	s.Step("p_h", "Weight of the water up to the top", column(d, "h"), press, becauseColumn)
	top := s.Step("p_t", "Top while the circulator runs", "p_d - p_h - l", press, "From the discharge the water climbs and loses on its way.")
	if !readable(d, s, ps, pd, top) || l > 0.6*dp || l < 0.2*dp {
		s.Reject("no such readings in such a building")
		return
	}
	s.Ask("head", "Head of the circulator", "H", ToleranceFriction)
	s.Ask("top", "Pressure at the top while it runs", "p_t", toleranceGauge(d))
	chooseTankSide(d, s, away)

	flipped := Native(d, "dp / 2.31", "9.81 * dp")
	s.Slip("psi-ft-flip", "H", flipped, Native(d, "One psi lifts water 2.31 ft, so the feet are the larger number.", "A meter of water is 9.81 kPa, so the meters are the smaller number."))
	s.Slip("discharge-for-rise", "dp", "p_d", "The discharge holds the fill pressure too. The circulator made only the difference of its two gauges.")
	s.MaySlip("rise-from-rest", "dp", "p_d - p_0", "Compare the two gauges while it runs. Against rest you see only what shows on one side.")
	s.MaySlip("rise-from-rest", "dp", "p_0 - p_s", "Compare the two gauges while it runs. Against rest you see only what shows on one side.")
	s.MaySlip("pump-loss-forgotten", "p_t", "p_d - p_h", "The pipes on the way up have taken {l}.")
	s.MaySlip("top-from-suction", "p_t", "p_s - p_h - l", "The water goes up from the discharge: start there.")
	s.MaySlip("circulator-changes-nothing", "p_t", "p_0 - p_h", "That is the top at rest. Start from the discharge as it shows now.")
	s.MaySlip("height-added", "p_t", "p_d + p_h - l", "Pressure grows downward: the top has less than the gauge, not more.")
	columnSlips(d, s)
	s.Source(sourceWeight)
}

// chooseTankSide asks where the tank sits, and what to do about it.
func chooseTankSide(d *Draw, s *Sheet, away bool) {
	side, other := "suction", "discharge"
	if !away {
		side, other = other, side
	}
	texts := map[string]string{
		"suction":   "At the suction: it pumps away from the tank.",
		"discharge": "At the discharge: it pumps toward the tank.",
	}
	s.Choose("where", "Where is the tank joined?", side, "", "One of the two gauges hardly moved from {p_0}. Ask what held it.", shuffled(d, []Pick{
		{ID: side, Text: texts[side]},
		{ID: other, Text: texts[other], Slip: "tank-side-swapped", Say: "The tank holds its own side: look for the gauge that hardly moved from {p_0} when the circulator started."},
	})...)
	picks := []Pick{
		{ID: "leave", Text: "Nothing: the tank is where it belongs."},
		{ID: "move", Text: "Move the tank's connection, or the circulator, so that it pumps away from the tank."},
		{ID: "bigger", Text: "Fit a stronger circulator.", Slip: "stronger-circulator",
			Say: "A stronger circulator changes nothing in where the pressure is held, and one that pumps toward the tank pulls its suction down even further."},
	}
	right := "leave"
	if away {
		picks[1].Slip, picks[1].Say = "tank-side-swapped", "It pumps away from the tank already: the discharge rose and the suction stood still."
	} else {
		right = "move"
		picks[0].Slip, picks[0].Say = "tank-side-no-matter", "Pumping toward the tank, the suction falls by the whole rise. High points and vents there can draw air."
	}
	s.Choose("remedy", "The vents of this building are to push air out and never draw it in. What do you do?", right, "", "Find first where the tank is joined.", shuffled(d, picks)...)
}
