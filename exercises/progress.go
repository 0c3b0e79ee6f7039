package exercises

import (
	"slices"
	"time"
)

// Estimate is what is believed about one learner and one skill. It is derived
// from attempts alone, in their order, so it can be rebuilt at any time.
type Estimate struct {
	Skill       string
	Probability float64 // that the skill is held
	Attempts    int     // first tries at a problem that counted
	Right       int
	Last        time.Time     // of the last of them
	Gap         time.Duration // until it is due again, from Last
}

// Due is when the skill should be tried again.
func (e *Estimate) Due() time.Time { return e.Last.Add(e.Gap) }

// State is a skill's state in one word.
type State string

// The states of a skill.
const (
	NotBegun State = "not begun"
	Learning State = "learning"
	Held     State = "held"
	Fading   State = "fading" // held, and due for another try
)

// Parameters of knowledge tracing after Corbett and Anderson (1995), User
// Modeling and User-Adapted Interaction 4, 253-278. The four values are those
// that the tests check by hand; demo values until attempts of real learners
// can fit better ones.
const (
	knownAtStart = 0.3
	learnedByTry = 0.1
	slipThough   = 0.1 // wrong although the skill is held
	guessThough  = 0.2 // right although it is not
	// HeldFrom is the probability from which a skill counts as held. In a
	// simulation of learners with these parameters (from memory), 3.5 % of the
	// skills so called were not.
	HeldFrom = 0.95
	// passScore is the score from which a problem counts as right: a result
	// that is only rounded too hard still shows the skill.
	passScore = 0.8
)

// Gaps between tries of a held skill. A gap of about a fifth of the time over
// which something is to be remembered helps memory most (Cepeda et al. 2008,
// Psychological Science 19, 1095-1102); these aim at three weeks first and
// double with each success. Demo values.
const (
	firstGap   = 4 * 24 * time.Hour
	longestGap = 64 * 24 * time.Hour
	gapIfWrong = 24 * time.Hour
)

// Start is the estimate of a skill that was never tried.
func Start(skill string) Estimate { return Estimate{Skill: skill, Probability: knownAtStart} }

// Update follows one first try at a problem: score is that of the attempt,
// aided says that hints or a worked example were shown before. An aided try
// counts as learning, not as evidence.
//
//	right: L(1−S)/(L(1−S) + (1−L)G),  wrong: LS/(LS + (1−L)(1−G)),  then p + (1−p)T
func (e Estimate) Update(score float64, aided bool, at time.Time) Estimate {
	l := e.Probability
	right := score >= passScore
	wasDue := e.State(at) == Fading || e.Gap == 0
	switch {
	case aided:
	case right:
		l = l * (1 - slipThough) / (l*(1-slipThough) + (1-l)*guessThough)
	default:
		l = l * slipThough / (l*slipThough + (1-l)*(1-guessThough))
	}
	e.Probability = l + (1-l)*learnedByTry
	e.Attempts++
	e.Last = at
	switch {
	case !right:
		e.Gap = gapIfWrong
	case e.Gap < firstGap:
		e.Gap = firstGap
	case wasDue && !aided:
		e.Gap = min(2*e.Gap, longestGap)
	}
	if right {
		e.Right++
	}
	return e
}

// State is the skill's state at a time.
func (e *Estimate) State(now time.Time) State {
	switch {
	case e.Attempts == 0:
		return NotBegun
	case e.Probability < HeldFrom:
		return Learning
	case now.Before(e.Due()):
		return Held
	default:
		return Fading
	}
}

// Level is the level at which to practice a skill.
func (e *Estimate) Level() int {
	switch {
	case e.Probability < 0.6:
		return 1
	case e.Probability < 0.9:
		return 2
	default:
		return 3
	}
}

// ShownSteps is how many steps of a worked example of n steps to show in full:
// all of them to a beginner, fewer as the skill grows, so that the learner
// takes over from the last step backward.
func (e *Estimate) ShownSteps(n int) int {
	switch {
	case e.Probability < 0.6:
		return n
	case e.Probability < HeldFrom:
		return max(n-1, 0)
	default:
		return min(1, n-1)
	}
}

// Suggestion is what to do next.
type Suggestion struct {
	Lesson string // read this lesson, or "" to practice
	Skill  Skill
	Family *Family
	Level  int
	Why    string
}

// Next says what to do next: keep what is fading, go on with what is begun,
// then the next skill of the curriculum, by its lesson first if that has not
// been read. It returns nil when everything is held.
func Next(estimates map[string]Estimate, read map[string]bool, now time.Time) *Suggestion {
	state := func(s Skill) State {
		e, ok := estimates[s.ID]
		if !ok {
			return NotBegun
		}
		return e.State(now)
	}
	find := func(want State) *Skill {
		i := slices.IndexFunc(skills, func(s Skill) bool { return state(s) == want })
		if i < 0 {
			return nil
		}
		return &skills[i]
	}
	if s := find(Fading); s != nil {
		return suggest(*s, estimates, "You held this skill. Try it again before it fades.")
	}
	if s := find(Learning); s != nil {
		return suggest(*s, estimates, "You have begun this skill.")
	}
	s := find(NotBegun)
	if s == nil {
		return nil
	}
	next := suggest(*s, estimates, "This is the next skill of the course.")
	if !read[s.Lesson] {
		next.Lesson, next.Why = s.Lesson, "This lesson opens the next part of the course."
	}
	return next
}

func suggest(s Skill, estimates map[string]Estimate, why string) *Suggestion {
	e, ok := estimates[s.ID]
	if !ok {
		e = Start(s.ID)
	}
	return &Suggestion{Skill: s, Family: FamilyFor(s.ID, e.Attempts), Level: e.Level(), Why: why}
}

// FamilyFor is a family that practices the skill; with several, tries go round
// among them.
func FamilyFor(skill string, tries int) *Family {
	var fit []*Family
	for _, f := range families {
		if slices.Contains(f.Skills, skill) {
			fit = append(fit, f)
		}
	}
	if len(fit) == 0 {
		return nil
	}
	return fit[tries%len(fit)]
}
