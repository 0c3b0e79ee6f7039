package exercises

import "slices"

// Skill is one thing that a learner can do unaided.
type Skill struct {
	ID     string
	Can    string   // completes "I can …"
	Needs  []string // skills to hold first
	Lesson string   // the lesson that teaches it
}

// Skills lists every skill in the order of the curriculum.
func Skills() []Skill { return skills }

// SkillByID finds a skill.
func SkillByID(id string) (Skill, error) {
	i := slices.IndexFunc(skills, func(s Skill) bool { return s.ID == id })
	if i < 0 {
		return Skill{}, &NotFoundError{"skill", id}
	}
	return skills[i], nil
}

// The lessons that skills and families point to.
const (
	LessonHeat       = "heat-and-flow"
	LessonPipe       = "what-pipe-size-allows"
	LessonLoops      = "series-and-diverter-loops"
	LessonTwoPipe    = "two-pipe-returns"
	LessonDifference = "why-the-near-circuit-wins"
	LessonCirculator = "circulator-without-drawings"
	LessonControl    = "balancing-and-control"
	LessonSpeed      = "circulator-speed-and-modes"
	LessonPressure   = "pressure-and-expansion"
	LessonBoilers    = "boilers-separators-and-mixing"
)

var skills = []Skill{
	{"flow-from-load", "find the flow for a heat load and a temperature drop", nil, LessonHeat},
	{"load-from-flow", "find the heat that a flow delivers", []string{"flow-from-load"}, LessonHeat},
	{"drop-from-flow", "find the temperature drop, or the return temperature, from load and flow", []string{"flow-from-load"}, LessonHeat},
	{"water-factor", "say what the factor 500 (4.19) becomes in hot water, and why", []string{"load-from-flow"}, LessonHeat},
	{"mix-two-streams", "find the temperature of two mixed streams", []string{"drop-from-flow"}, LessonHeat},

	{"velocity-from-flow", "find the velocity of water from flow and bore", nil, LessonPipe},
	{"pipe-size-limits", "choose a pipe size by its customary flow and by a friction limit", []string{"flow-from-load", "velocity-from-flow"}, LessonPipe},
	{"outlet-capacity", "read a boiler's likely capacity from the size of its outlet", []string{"pipe-size-limits", "load-from-flow"}, LessonPipe},
	{"head-from-rate", "find the head that a run of pipe takes", []string{"velocity-from-flow"}, LessonPipe},
	{"equivalent-length", "include fittings in the head of a run", []string{"head-from-rate"}, LessonPipe},
	{"head-scales-flow", "scale a head to another flow", []string{"head-from-rate"}, LessonPipe},

	{"emitter-output", "convert an emitter's output to another water temperature and flow", nil, LessonLoops},
	{"series-step", "step the water temperature along a series loop", []string{"drop-from-flow"}, LessonLoops},
	{"series-limit", "find where a series loop gets too long", []string{"series-step", "emitter-output"}, LessonLoops},
	{"diverter-main-temp", "track the main's temperature past each diverter tee", []string{"mix-two-streams", "series-step"}, LessonLoops},
	{"one-or-two-pipes", "say what emitters one pipe asks for beyond two", []string{"diverter-main-temp", "emitter-output"}, LessonLoops},

	{"mains-flow", "add up the flows in each section of supply and return", []string{"flow-from-load"}, LessonTwoPipe},
	{"path-head", "find the head of a circuit and name the one that decides", []string{"head-from-rate", "mains-flow"}, LessonTwoPipe},
	{"two-pipe-share", "say what flow and heat each radiator of a two-pipe system gets", []string{"path-head", "emitter-output"}, LessonTwoPipe},
	{"return-choice", "choose direct or reverse return for a main", []string{"path-head"}, LessonTwoPipe},

	{"difference-along-mains", "find the pressure difference at any take-off along the mains", []string{"path-head"}, LessonDifference},
	{"parallel-split", "split a flow between parallel circuits", []string{"head-scales-flow"}, LessonDifference},
	{"cv-flow", "use a valve coefficient for flow or pressure drop", nil, LessonDifference},
	{"balance-drop", "find the balancing valve that takes up a circuit's excess", []string{"cv-flow", "difference-along-mains"}, LessonDifference},

	{"longest-run", "find the longest run from a building's outside dimensions", nil, LessonCirculator},
	{"head-without-drawings", "estimate the head of a system without drawings", []string{"longest-run", "outlet-capacity"}, LessonCirculator},
	{"circulator-pick", "pick a circulator from a set of curves", []string{"head-without-drawings"}, LessonCirculator},
	{"operating-point", "find where a circulator will really run", []string{"head-scales-flow"}, LessonCirculator},
	{"affinity", "scale flow, head and power with speed", []string{"operating-point"}, LessonCirculator},
	{"pump-power", "find water power and overall efficiency", nil, LessonCirculator},

	{"circuit-closes", "say what the other circuits get when one of them closes", []string{"parallel-split", "difference-along-mains"}, LessonControl},
	{"proportional-balance", "set balancing valves by shares of the design flow", []string{"balance-drop"}, LessonControl},
	{"valve-authority", "find the authority of a control valve, and the valve for one", []string{"cv-flow"}, LessonControl},
	{"valve-closing-rise", "find what the last open valve has to stand", []string{"operating-point", "parallel-split"}, LessonControl},
	{"bypass-set", "set and size a differential-pressure bypass", []string{"cv-flow", "operating-point"}, LessonControl},

	{"circulator-swap", "say what another circulator changes on the same pipes", []string{"operating-point", "velocity-from-flow", "drop-from-flow"}, LessonSpeed},
	{"pumps-combined", "find flow and head of two circulators together", []string{"operating-point"}, LessonSpeed},
	{"speed-mode", "say what fixed speed, a held and a proportional difference do and cost", []string{"affinity", "pump-power"}, LessonSpeed},

	{"static-fill", "find the fill pressure for a height, and what is left at the top", nil, LessonPressure},
	{"pump-pressure-points", "predict the gauges from where the tank is joined", []string{"static-fill"}, LessonPressure},
	{"tank-size", "size an expansion tank, and say how it is charged", []string{"static-fill"}, LessonPressure},
	{"suction-margin", "say whether water boils at a circulator's suction", []string{"pump-pressure-points"}, LessonPressure},

	{"mix-ratio", "find the hot share of a mixing valve", []string{"mix-two-streams"}, LessonBoilers},
	{"separator-mix", "say which way a hydraulic separator flows, and what it mixes", []string{"mix-two-streams"}, LessonBoilers},
	{"condensing-return", "say whether a return lets a boiler condense, and what fuel that saves", []string{"drop-from-flow"}, LessonBoilers},
}
