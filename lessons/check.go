package lessons

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"loopwright/exercises"
	"loopwright/grader"
	"loopwright/lessons/figure"
)

// Finding is one thing that is wrong with the content.
type Finding struct {
	Where string `json:"where"`
	What  string `json:"what"`
}

func (f Finding) String() string { return f.Where + ": " + f.What }

// Check verifies the whole content: every lesson reads and renders in both
// systems of units, figures solve over the range of their controls, links,
// families and skills exist, every skill is taught and practiced, values are
// sourced, and no number with a unit is typed into prose.
func Check() []Finding {
	c, err := Load()
	var found []Finding
	for _, e := range unwrap(err) {
		found = append(found, Finding{"lessons", e.Error()})
	}
	if c == nil {
		return found
	}
	return append(found, c.check()...)
}

func unwrap(err error) []error {
	if err == nil {
		return nil
	}
	var many interface{ Unwrap() []error }
	if errors.As(err, &many) {
		return many.Unwrap()
	}
	return []error{err}
}

func (c *Course) check() []Finding {
	var found []Finding
	add := func(where, format string, args ...any) {
		found = append(found, Finding{where, fmt.Sprintf(format, args...)})
	}
	ids := map[string]bool{}
	taught := map[string]string{}
	for _, l := range c.Lessons {
		if ids[l.ID] {
			add(l.file, "the id %q is used twice", l.ID)
		}
		ids[l.ID] = true
		for _, s := range l.Skills {
			if _, err := exercises.SkillByID(s); err != nil {
				add(l.file, "skills: %v", err)
			}
			taught[s] = l.ID
		}
		for _, f := range l.Next {
			if _, err := exercises.FamilyByID(f); err != nil {
				add(l.file, "next: %v", err)
			}
		}
	}
	for _, l := range c.Lessons {
		for _, v := range l.views {
			checkView(c, l, v, add)
		}
	}
	checkSkills(ids, taught, add)
	checkFamilies(ids, add)
	checkFigures(add)
	slices.SortFunc(found, func(a, b Finding) int { return strings.Compare(a.String(), b.String()) })
	return slices.Compact(found)
}

// typedNumber is a number with a unit of the trade: in a lesson it must be
// computed.
var typedNumber = regexp.MustCompile(`(?i)\d[\d.,]*\s*(gpm|l/s|l/h|m³/h|m3/h|btu|mbh|kw\b|w\b|ft\b|feet|psi|kpa|bar\b|pa/m|°f|°c|k\b|inch|in\b|mm\b|%|percent|degrees)`)

// needed are the sections that every lesson has, by a word of their heading.
var needed = map[string]string{"slip": "common slips", "break": "where the rule breaks"}

func checkView(c *Course, l *Lesson, v *View, add func(string, string, ...any)) {
	for _, text := range v.prose {
		if m := typedNumber.FindString(text); m != "" {
			add(l.file, "%q is typed into the prose (%q); compute it with {= …}", m, strings.TrimSpace(text))
		}
	}
	for word, section := range needed {
		if !slices.ContainsFunc(v.Headings, func(h Heading) bool { return strings.Contains(strings.ToLower(h.Text), word) }) {
			add(l.file, "no section on %s", section)
		}
	}
	var predicts, worked int
	for _, b := range v.Blocks {
		if b.Predict != nil {
			predicts++
		}
		if b.Worked != nil {
			worked++
		}
	}
	if len(v.Figures()) == 0 || predicts == 0 || worked == 0 {
		add(l.file, "a lesson has at least one figure, one predict question and one worked example, found %d, %d and %d", len(v.Figures()), predicts, worked)
	}
	for _, link := range v.links {
		checkLink(c, l, v, link, add)
	}
}

func checkLink(c *Course, l *Lesson, v *View, link string, add func(string, string, ...any)) {
	var err error
	switch {
	case strings.HasPrefix(link, "#"):
		if !slices.ContainsFunc(v.Headings, func(h Heading) bool { return h.ID == link[1:] }) {
			add(l.file, "link %s: no such section", link)
		}
	case strings.HasPrefix(link, "/lessons/"):
		_, err = c.Lesson(strings.TrimPrefix(link, "/lessons/"))
	case strings.HasPrefix(link, "/practice/"):
		_, err = exercises.FamilyByID(strings.TrimPrefix(link, "/practice/"))
	case link == "/bench" || link == "/practice" || link == "/lessons" || link == "/progress":
	default:
		add(l.file, "link %s: lessons link to lessons, families, the bench and their own sections only, so that they work without a network", link)
	}
	if err != nil {
		add(l.file, "link %s: %v", link, err)
	}
}

func checkSkills(lessons map[string]bool, taught map[string]string, add func(string, string, ...any)) {
	practiced := map[string]bool{}
	for _, f := range exercises.Families() {
		for _, s := range f.Skills {
			practiced[s] = true
		}
	}
	for _, s := range exercises.Skills() {
		where := "skill " + s.ID
		if taught[s.ID] == "" {
			add(where, "no lesson teaches it")
		}
		if !practiced[s.ID] {
			add(where, "no family practices it")
		}
		if !lessons[s.Lesson] {
			add(where, "its lesson %q does not exist", s.Lesson)
		} else if taught[s.ID] != "" && taught[s.ID] != s.Lesson {
			add(where, "it names lesson %q and is taught in %q", s.Lesson, taught[s.ID])
		}
	}
}

// seedsChecked is how many seeds of each family Check poses and marks; the
// tests try many more.
const seedsChecked = 5

func checkFamilies(lessons map[string]bool, add func(string, string, ...any)) {
	for _, f := range exercises.Families() {
		where := "family " + f.ID
		if !lessons[f.Lesson] {
			add(where, "its lesson %q does not exist", f.Lesson)
		}
		for _, units := range []exercises.System{exercises.US, exercises.SI} {
			for level := 1; level <= exercises.Levels; level++ {
				for seed := range uint64(seedsChecked) {
					p, err := exercises.Pose(f, seed, level, units)
					if err != nil {
						add(where, "%v", err)
						continue
					}
					if len(p.Sources) == 0 {
						add(where, "level %d, %s, seed %d names no source", level, units, seed)
					}
					checkParts(where, p, add)
				}
			}
		}
	}
}

func checkParts(where string, p *exercises.Problem, add func(string, string, ...any)) {
	for _, part := range p.Parts {
		if part.Kind == grader.Numeric && part.WhyTolerance == "" {
			add(where, "part %s gives no reason for its tolerance", part.ID)
		}
		if _, _, crowded := part.Crowded(); crowded {
			add(where, "level %d, %s, seed %d: a slip of part %s crowds its answer", p.Level, p.Units, p.Seed, part.ID)
		}
	}
}

// checkFigures solves every figure at the ends and the middle of each control.
func checkFigures(add func(string, string, ...any)) {
	for _, m := range figure.Models() {
		for _, units := range []exercises.System{exercises.US, exercises.SI} {
			for _, set := range extremes(m.Controls(units)) {
				in, err := m.Settings(units, set)
				if err == nil {
					_, err = m.Solve(in)
				}
				if err != nil {
					add("figure "+m.Name, "%s, %v: %v", units, set, err)
				}
			}
		}
	}
}

// extremes are all defaults, and each control in turn at its ends.
func extremes(controls []figure.Control) []map[string]float64 {
	sets := []map[string]float64{{}}
	for _, c := range controls {
		if len(c.Options) > 0 {
			for i := range c.Options {
				sets = append(sets, map[string]float64{c.Name: float64(i)})
			}
			continue
		}
		sets = append(sets, map[string]float64{c.Name: c.Min}, map[string]float64{c.Name: c.Max})
	}
	return sets
}
