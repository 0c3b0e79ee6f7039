package exercises

import "loopwright/grader/quantity"

const (
	sourceShare     = "Share of the hot port (T_m − T_r)/(T_h − T_r): balance of energy at the valve, with equal density and specific heat in all streams"
	cautionFloorMix = "A floor loop needs a limit of its own: a failed mixing valve can send boiler water into it, which hurts feet, floor and tube. Follow the tube maker's limit and the local code."
	cautionScald    = "Water above 120 °F (49 °C) scalds, a child or an old person in seconds. Hot water for taps needs a listed thermostatic valve, set and tested by a licensed person; and a store kept too cool grows bacteria. The local code decides both."
)

func buildMixingValve(d *Draw, s *Sheet) {
	switch d.Level {
	case 1:
		buildHotShare(d, s)
		s.Caution(cautionFloorMix)
	case 2:
		buildShareWithLoad(d, s)
		s.Caution(cautionFloorMix)
	default:
		buildTapMixing(d, s)
		s.Caution(cautionScald)
	}
	s.Source(sourceShare)
	s.Caution(cautionHot)
	s.Caution(cautionTraining)
}

// shareSlips are wrong turns with the hot share x = 100 (T_m − cool)/(T_h − cool).
func shareSlips(s *Sheet, cool string) {
	s.MaySlip("mixratio-cold-share", "x", "100 * (T_h - T_m) / (T_h - "+cool+")", "That is the share of the cooler port. The hot share is what is left of the whole.")
	s.Slip("mixratio-readings", "x", "100 * T_m / T_h", "Readings have no ratio: count each temperature from the cooler stream.")
	s.MaySlip("mixratio-over-hot", "x", "100 * (T_m - "+cool+") / T_h", "The hot stream gives only what lies above the cooler one: divide by hot less cool.")
	s.MaySlip("mixratio-over-wanted", "x", "100 * (T_m - "+cool+") / T_m", "Divide by the lift that the hot stream could give: hot less cool.")
	s.MaySlip("mixratio-upside-down", "x", "100 * (T_h - "+cool+") / (T_m - "+cool+")", "The fraction is upside down: a share is less than the whole.")
}

// clearShare throws away shares that a slip would match, or that no valve works
// at.
func clearShare(s *Sheet, x float64) bool {
	if x > 44 && x < 56 || x < 8 || x > 85 {
		s.Reject("a share near one half, or at an end of the valve")
		return false
	}
	return true
}

func floorPlace(d *Draw) string {
	return One(d, "a kindergarten", "a small clinic", "a guest house", "a workshop with a heated floor", "a village reading room")
}

func buildHotShare(d *Draw, s *Sheet) {
	flow, reading := flowUnit(d), readingUnit(d)
	wanted := Native(d, d.Between(95, 125, 1), d.Between(33, 50, 1))
	s.Statement("A three-way mixing valve feeds the floor of " + floorPlace(d) + " with {f} at {T_m}. Its hot port has boiler water at {T_h}, its other port the floor's own return at {T_r}. What share of the flow comes through the hot port, and how much water is that?")
	s.Given("f", "flow to the floor", Native(d, d.Between(3, 14, 0.5), d.Between(0.2, 0.9, 0.05)), flow)
	s.Given("T_m", "water wanted", wanted, reading)
	s.Given("T_h", "water at the hot port", Native(d, d.Between(140, 180, 1), d.Between(58, 80, 1)), reading)
	s.Given("T_r", "return of the floor", wanted-Native(d, d.Between(8, 18, 1), d.Between(5, 10, 1)), reading)
	x := s.Step("x", "Share of the hot port", "100 * (T_m - T_r) / (T_h - T_r)", quantity.Percent, "The hot water must lift the mix above the return: its share is the lift wanted over the lift it could give.")
	if !clearShare(s, x) {
		return
	}
	s.Step("f_h", "Flow through the hot port", "f * x / 100", flow, "A share of the flow to the floor comes through the hot port.")
	s.Ask("share", "Share of the hot port, in percent", "x", toleranceMixFlow)
	s.Ask("hot", "Flow through the hot port", "f_h", toleranceMixFlow)
	s.Choose("cooler", "The floor is to run a little cooler. What must the valve do?", "close-hot", "x", "Ask which stream lifts the mix.", shuffled(d, []Pick{
		{ID: "close-hot", Text: "Close its hot port a little: more of the return goes round again."},
		{ID: "close-return", Text: "Close its return port a little: less water goes round.", Slip: "ports-swapped",
			Say: "Less return in the mix leaves a larger hot share, and the floor gets hotter."},
		{ID: "close-both", Text: "Close both ports: less flow makes the supply cooler.", Slip: "mixing-by-throttling",
			Say: "Less flow changes how far the floor cools the water, not what the valve sends. A three-way valve opens one port as it closes the other."},
	})...)
	shareSlips(s, "T_r")
}

func buildShareWithLoad(d *Draw, s *Sheet) {
	flow, reading, load, drop := flowUnit(d), readingUnit(d), loadUnit(d), dropUnit(d)
	factor, factorUnit := heatFactor(d)
	f := Native(d, d.Between(3, 14, 0.5), d.Between(0.2, 0.9, 0.05))
	dT := Native(d, d.Between(9, 20, 1), d.Between(5, 11, 1))
	s.Statement("The floor of " + floorPlace(d) + " takes {Q} from {f} of water at {T_m}. A three-way mixing valve makes it from boiler water at {T_h} and the floor's own return. At what temperature does the floor's water come back, what share comes through the hot port, and how much water does the boiler send?")
	s.Given("Q", "heat that the floor takes", Native(d, float64(int(factor*f*dT/500+0.5))*500, float64(int(factor*f*dT*5+0.5))/5), load)
	s.Given("f", "flow to the floor", f, flow)
	s.Given("T_m", "water to the floor", Native(d, d.Between(95, 125, 1), d.Between(33, 50, 1)), reading)
	s.Given("T_h", "water at the hot port", Native(d, d.Between(140, 180, 1), d.Between(58, 80, 1)), reading)
	s.Looked("k", "heat carried per unit of flow and degree", factor, factorUnit, "common practice")
	s.Step("dT", "Drop in the floor", "Q / (k * f)", drop, "The floor's heat comes out of the floor's whole flow.")
	s.Step("T_r", "Return of the floor", "T_m - dT", reading, "The water comes back cooler by its drop.")
	x := s.Step("x", "Share of the hot port", "100 * (T_m - T_r) / (T_h - T_r)", quantity.Percent, "The hot water must lift the mix above the return: its share is the lift wanted over the lift it could give.")
	if !clearShare(s, x) {
		return
	}
	s.Step("f_h", "Flow through the hot port", "f * x / 100", flow, "What comes in through the hot port is what the boiler sends.")
	s.Ask("return", "Return of the floor", "T_r", ToleranceReading)
	s.Ask("share", "Share of the hot port, in percent", "x", ToleranceTable)
	s.Ask("hot", "Water that the boiler sends", "f_h", ToleranceTable)
	s.Choose("boiler", "At what temperature does this water come back to the boiler?", "as-floor", "T_r", "As much water leaves toward the boiler as came from it. Ask where it is taken.", shuffled(d, []Pick{
		{ID: "as-floor", Text: "As it leaves the floor: the valve mixes the supply, not the return."},
		{ID: "mixed", Text: "At a mix of boiler water and floor return: the valve protects the boiler.", Slip: "mixing-protects-boiler",
			Say: "The valve mixes what goes to the floor. The surplus goes back straight from the floor, cold: a plain boiler needs a protection of its own."},
		{ID: "as-supply", Text: "At the temperature of the water to the floor.", Slip: "return-as-supply",
			Say: "The floor has taken its heat first: the water goes back at the floor's return temperature."},
	})...)
	shareSlips(s, "T_r")
	s.MaySlip("drop-added", "T_r", "T_m + dT", "The floor takes heat: its water comes back cooler.")
	s.MaySlip("mean-for-return", "T_r", "T_m - dT / 2", "That is the mean in the floor. The return has lost the whole drop.")
	s.MaySlip("drop-from-boiler", "T_r", "T_h - dT", "The floor's drop starts from the water that the floor gets.")
	s.Source(sourceHeat)
}

func buildTapMixing(d *Draw, s *Sheet) {
	flow, reading := flowUnit(d), readingUnit(d)
	store := Native(d, d.Between(135, 150, 1), d.Between(57, 66, 1))
	s.Statement("The store of " + One(d, "a guest house", "a sports hall", "a small clinic", "a home for the elderly") + " is kept at {T_h}. A mixing valve at its outlet adds cold water of {T_c} to make {T_m} for the taps, which draw {f}. What share comes from the store, and how much water is that? One day the store is driven up to {T_2} and the valve is stuck where it stood. What reaches the taps?")
	s.Given("f", "flow to the taps", Native(d, d.Between(3, 10, 0.5), d.Between(0.2, 0.7, 0.05)), flow)
	s.Given("T_h", "store", store, reading)
	s.Given("T_c", "cold water", Native(d, d.Between(42, 62, 2), d.Between(6, 16, 1)), reading)
	s.Given("T_m", "water for the taps", Native(d, d.Between(102, 116, 1), d.Between(38, 47, 1)), reading)
	s.Given("T_2", "store that day", store+Native(d, d.Between(5, 40, 1), d.Between(4, 24, 1)), reading)
	limit := Native(d, 120.0, 49)
	s.Looked("T_l", "most at a tap", limit, reading, "common practice; the local code goes first")
	x := s.Step("x", "Share from the store", "100 * (T_m - T_c) / (T_h - T_c)", quantity.Percent, "The hot water must lift the mix above the cold: its share is the lift wanted over the lift it could give.")
	s.Step("f_h", "Flow from the store", "f * x / 100", flow, "A share of what the taps draw comes from the store.")
	T := s.Step("T_t", "Water at the taps with the valve stuck", "T_c + x * (T_2 - T_c) / 100", reading, "A valve that stands still keeps its shares, and the hot one now lifts more.")
	if !clearShare(s, x) || max(T-limit, limit-T) < Native(d, 3.0, 2) {
		s.Reject("too near the limit to judge")
		return
	}
	s.Ask("share", "Share from the store, in percent", "x", toleranceMixFlow)
	s.Ask("hot", "Flow from the store", "f_h", toleranceMixFlow)
	s.Ask("stuck", "Water at the taps with the valve stuck", "T_t", ToleranceReading)
	right, wrong, slip, say := "scalds", "safe", "scald-overlooked", "It reaches {T_t}, above the {T_l} that custom allows at a tap."
	if T < limit {
		right, wrong, slip, say = "safe", "scalds", "limit-misjudged", "It reaches {T_t}. That is hotter than wanted and still below {T_l}; the valve must be repaired all the same, before the store goes higher."
	}
	texts := map[string]string{
		"scalds": "It is past the limit: shut the hot water off at once, warn the people and have the valve replaced.",
		"safe":   "It is hotter than wanted but within the limit: have the valve repaired now, and do not raise the store.",
	}
	s.Choose("scald", "What does that mean for the people at the taps?", right, "T_t", "Compare what reaches the taps with {T_l}.", shuffled(d, []Pick{
		{ID: right, Text: texts[right]}, {ID: wrong, Text: texts[wrong], Slip: slip, Say: say},
	})...)
	shareSlips(s, "T_c")
	s.MaySlip("stuck-as-before", "T_t", "T_m", "Only a valve that moves keeps its temperature. Stuck, it passes the same share of hotter water.")
	s.MaySlip("stuck-adds-rise", "T_t", "T_m + T_2 - T_h", "The store's rise reaches the mix only by the share that comes from the store.")
	s.MaySlip("share-of-reading", "T_t", "x * T_2 / 100", "The cold water has its part in the mix: count from it.")
	s.MaySlip("cold-share-of-rise", "T_t", "T_2 - x * (T_2 - T_c) / 100", "That counts the hot share from the wrong end: start from the cold water.")
}
