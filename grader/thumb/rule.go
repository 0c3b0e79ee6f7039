package thumb

import (
	"cmp"
	"fmt"
	"slices"
)

// Rule is a rule of thumb in words.
type Rule struct {
	ID         string
	Name       string // how the trade calls it
	US, SI     string // what it says, in each system of units
	Source     string // a publication, or: common practice, from memory
	Range      string // where it holds
	Derivation string // where the number comes from
	Breaks     string // where it breaks, and by how much

	// The last two in SI wording, where theirs differs.
	derivationSI, breaksSI string
}

// FromSI is the derivation in SI wording.
func (r Rule) FromSI() string { return cmp.Or(r.derivationSI, r.Derivation) }

// BreaksSI is where the rule breaks in SI wording.
func (r Rule) BreaksSI() string { return cmp.Or(r.breaksSI, r.Breaks) }

// ByID finds a rule.
func ByID(id string) (Rule, error) {
	i := slices.IndexFunc(rules, func(r Rule) bool { return r.ID == id })
	if i < 0 {
		return Rule{}, fmt.Errorf("there is no rule of thumb %q", id)
	}
	return rules[i], nil
}

// All lists every rule.
func All() []Rule { return rules }

// The deviations named under Breaks are checked against the engine by the
// tests of this package.
var rules = []Rule{
	{"factor-500", "the factor 500",
		"BTU/h = 500 × gpm × °F of drop.", "kW = 4.19 × L/s × K of drop.",
		"common practice; ASHRAE Handbook HVAC Systems and Equipment, hydronic heating (from memory)",
		"water from 40 to 120 °F (5 to 50 °C)",
		"8.33 lb in a gallon × 60 minutes × 1 BTU/lb·°F = 499.8.",
		"Hot water is lighter: at 180 °F (82 °C) the factor is 487, 2.6 % less. Antifreeze lowers it more.", "One liter of water weighs very nearly one kilogram, and its specific heat is 4.19 kJ/kg·K.", "Hot water is lighter: at 82 °C the factor is 4.07, nearly 3 % less. Antifreeze lowers it more."},
	{"ten-thousand", "one gpm for 10,000 BTU/h",
		"Each gpm carries 10,000 BTU/h.", "Each 0.1 L/s carries 4.2 kW at 10 K.",
		"common practice", "a drop of 20 °F (SI wording: 10 K) only",
		"500 × 20 °F.", "At a drop of 10 °F it promises twice what arrives; at 30 °F two thirds.", "4.19 × 10 K.", "At a drop of 5 K it promises twice what arrives; at 15 K two thirds."},
	{"customary-flow", "customary flow by pipe size",
		"Most flow in gpm, by size in inches: 1/2: 1.5; 3/4: 4; 1: 8; 1-1/4: 14; 1-1/2: 22; 2: 45; 2-1/2: 85; 3: 130.",
		"Most flow in L/s, by DN: 15: 0.1; 20: 0.25; 25: 0.5; 32: 0.9; 40: 1.4; 50: 2.8; 65: 5.4; 80: 8.2.",
		"common practice; published charts print 44 to 50 gpm at 2 in and 75 to 85 gpm at 2-1/2 in", "mains of steel or copper, closed systems",
		"About 4 ft of head per 100 ft of pipe, rounded, up to 2 in; the two largest stand beside boiler outlets and are stretched.",
		"PEX of the same nominal size has a narrower bore and carries about 40 % less at the same friction.", "About 400 Pa/m of friction up to DN 50; the list is the US list in round numbers, and its two largest are stretched.", ""},
	{"friction-limit", "4 ft per 100 ft",
		"Size a main for at most 4 ft of head per 100 ft of pipe.", "Size a main for at most 400 Pa/m.",
		"ASHRAE Handbook Fundamentals, pipe design: 1 to 4 ft per 100 ft (from memory)", "pipe from 3/4 to 3 in",
		"A balance of pipe against pumping that also stays quiet.",
		"In large pipe it lets the water run too fast: 5.6 ft/s in 3 in. In small tube it leaves the water too slow to carry air along.", "", "In large pipe it lets the water run too fast: 1.7 m/s in DN 80. In small tube it leaves the water too slow to carry air along."},
	{"velocity-bounds", "2 to 4 ft/s",
		"Keep the water between 2 and 4 ft/s.", "Keep the water between 0.6 and 1.2 m/s.",
		"common practice; ASHRAE Handbook Fundamentals gives 4 ft/s for 2 in and smaller (from memory)", "pipe from 1/2 to 2 in in closed, treated systems",
		"From 2 ft/s up the water carries bubbles down a pipe; above 4 ft/s it is heard.",
		"Small tube meets its friction limit well below 4 ft/s.", "From 0.6 m/s up the water carries bubbles down a pipe; above 1.2 m/s it is heard.", "Small tube meets its friction limit well below 1.2 m/s."},
	{"outlet-capacity", "capacity from the outlet",
		"A boiler's outlet carries its customary flow; times 500 and a drop of 20 °F that is its capacity: 2 in gives 45 gpm and 450,000 BTU/h.",
		"A boiler's outlet carries its customary flow; times 4.19 and a drop of 10 K that is its capacity: DN 50 gives 2.8 L/s and 117 kW.",
		"common practice", "older boilers made for the customary drop",
		"Makers size the outlet for the flow at the usual drop.",
		"Modulating condensing boilers work with drops of 30 to 40 °F and have small outlets: the rule reads them too small, by up to half.", "", "Modulating condensing boilers work with drops of 15 to 20 K and have small outlets: the rule reads them too small, by up to half."},
	{"longest-run", "longest run from outside",
		"Longest run = 2 × (length + width + height) of the building.", "Longest run = 2 × (length + width + height) of the building.",
		"common practice", "ordinary piping that follows the walls",
		"The far corner is at most a length, a width and a height away, and the water has to come back.",
		"Added wings, a boiler house apart, or pipe that takes a detour: measure what can be seen.", "", ""},
	{"head-per-run", "6 ft per 100 ft of run",
		"Head = 6 ft for each 100 ft of the longest run, there and back.", "Head = 0.6 kPa for each meter of the longest run, there and back.",
		"common practice", "mains sized by the customary flow, two-pipe or series",
		"4 ft per 100 ft in the pipe, and half as much again for fittings.",
		"Mains sized with care lose half of it; a coil, a heat exchanger or a control valve with a drop of its own comes on top.", "400 Pa in each meter of pipe, and half as much again for fittings.", ""},
	{"smaller-curve", "between two curves take the smaller",
		"When the point lies between two circulator curves, take the smaller circulator.", "When the point lies between two circulator curves, take the smaller circulator.",
		"common practice", "heating, where the estimate is already generous",
		"Head was estimated high, and emitters lose little heat with a little less flow.",
		"Where a measured head is met just barely, or the flow is needed in full, as through a heat exchanger.", "", ""},
	{"fittings-half", "half again for fittings",
		"Add half of the pipe's length for fittings.", "Add half of the pipe's length for fittings.",
		"common practice", "small jobs with 5 to 10 fittings per 100 ft (30 m)",
		"Surveys of small heating loops.",
		"Long mains need 10 to 20 %; piping in a boiler room as much as its own length and more.", "", "Long mains need 10 to 20 %; piping in a boiler room as much as its own length and more."},
	{"square-law", "head goes with the square of flow",
		"Twice the flow takes four times the head.", "Twice the flow takes four times the head.",
		"ASHRAE Handbook Fundamentals, fluid flow (from memory)", "valves, fittings and rough pipe",
		"Turbulent friction in rough pipe.", "Smooth tube follows the power 1.75 to 1.85: twice the flow takes 3.4 to 3.6 times the head. Laminar flow takes twice.", "", ""},
	{"feet-per-psi", "2.31 ft per psi",
		"1 psi = 2.31 ft of water; 1 ft = 0.433 psi.", "10 kPa = 1.02 m of water; 1 m = 9.8 kPa.",
		"the weight of water, 62.4 lb/ft³", "cold water",
		"144 in²/ft² over 62.4 lb/ft³.", "Water at 180 °F (82 °C) weighs 2.8 % less.", "1000 kg/m³ × 9.81 m/s².", "Water at 82 °C weighs 2.8 % less."},
	{"fill-pressure", "fill for the height and a little more",
		"Cold fill pressure in psi = 0.433 × height in ft + 4.", "Cold fill pressure in kPa = 9.8 × height in m + 30.",
		"ASHRAE Handbook HVAC Systems and Equipment, hydronic heating (from memory)", "water up to 200 °F (93 °C) at the top",
		"The weight of the water above the gauge, and enough at the top to vent air and keep water from flashing.",
		"Hotter water, or a circulator that pumps toward the tank, needs more.", "", ""},
	{"baseboard-600", "600 BTU/h for each foot",
		"Fin-tube baseboard gives 600 BTU/h for each foot at 180 °F mean water.", "Fin-tube baseboard gives 575 W for each meter at 82 °C mean water.",
		"common practice", "3/4 in elements, mean water 180 °F (82 °C), air entering at 65 °F (18 °C)",
		"A usual catalog value for residential elements.", "At 140 °F (60 °C) it is a little over half; at 120 °F (49 °C) about a third.", "", "At 60 °C it is a little over half; at 49 °C about a third."},
	{"series-loop", "40,000 BTU/h on a 3/4 in loop",
		"A 3/4 in series loop carries 4 gpm, 40,000 BTU/h at 20 °F and about 67 ft of fin-tube.", "A DN 20 series loop carries 0.25 L/s, 10.5 kW at 10 K and about 18 m of fin-tube.",
		"common practice", "fin-tube loops at 180 °F (82 °C)",
		"4 gpm × 500 × 20 °F, over 600 BTU/h for each foot.", "The last emitters see cooler water and must be longer; lower water temperatures stretch the loop.", "0.25 L/s × 4.19 × 10 K, over 575 W for each meter.", ""},
	{"edr-output", "150 for each square foot",
		"A square foot of radiator (EDR) gives 150 BTU/h at 170 °F mean water, 240 on steam.", "A square meter of EDR gives 473 W at 77 °C mean water, 757 W on steam.",
		"common practice; 240 BTU/h is the definition of EDR", "cast-iron radiators in a room at 70 °F (21 °C)",
		"Output falls with the excess temperature to the power 1.3: 240 × (100/145)^1.3 = 148.", "Cooler water: 110 at 150 °F (66 °C), 60 at 120 °F (49 °C).", "A square foot of EDR gives 240 BTU/h on steam; output falls with the excess temperature to the power 1.3.", "Cooler water: 350 W at 66 °C, 190 W at 49 °C."},
	{"reverse-return", "reverse return up to 2 in",
		"Up to 2 in mains reverse return usually pays; above that direct return with balancing valves.", "Up to DN 50 mains reverse return usually pays; above that direct return with balancing valves.",
		"common practice", "circuits of like resistance",
		"The extra pipe costs less than valves and balancing while it is small.", "Circuits of unlike resistance need balancing with either return.", "", ""},
	{"pump-3960", "gpm × ft over 3960",
		"Water power in hp = gpm × ft / 3960.", "Water power in W = L/s × kPa.",
		"the weight of water, 8.33 lb/gal", "cold water", "33,000 ft·lb/min over 8.33 lb/gal = 3962.", "The motor takes more: divide by the overall efficiency, 10 to 30 % in small circulators.", "1 L/s against 1 kPa is one watt.", ""},
}
