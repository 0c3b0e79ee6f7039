package exercises

import (
	"fmt"
	"hash/fnv"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
)

// Levels is how many levels every family has.
const Levels = 3

// Family generates problems of one sort.
type Family struct {
	ID     string
	Title  string
	Skills []string // skill ids; the first is the one the family is named for
	Lesson string   // the lesson that teaches it
	// Levels says what each level adds.
	Levels [Levels]string
	// Build draws the numbers and records the worksheet.
	Build func(d *Draw, s *Sheet)
}

// Families lists every family in the order of the curriculum.
func Families() []*Family { return families }

// FamilyByID finds a family.
func FamilyByID(id string) (*Family, error) {
	i := slices.IndexFunc(families, func(f *Family) bool { return f.ID == id })
	if i < 0 {
		return nil, &NotFoundError{"family", id}
	}
	return families[i], nil
}

// NotFoundError says that there is no family, skill or part of that name.
type NotFoundError struct{ What, ID string }

func (e *NotFoundError) Error() string { return fmt.Sprintf("there is no %s %q", e.What, e.ID) }

// maxDraws bounds how often Pose throws a draw away.
const maxDraws = 400

// Pose generates the problem of a family, seed, level and system of units. The
// same four give the same problem on every machine: the source is
// math/rand/v2's PCG, seeded from all of them.
func Pose(f *Family, seed uint64, level int, units System) (*Problem, error) {
	if level < 1 || level > Levels {
		return nil, fmt.Errorf("level %d: levels go from 1 to %d", level, Levels)
	}
	if units != US && units != SI {
		return nil, fmt.Errorf("units %q: choose %s or %s", units, US, SI)
	}
	var last string
	for try := range uint64(maxDraws) {
		d := &Draw{rng: rand.New(rand.NewPCG(seed, stream(f.ID, level, units)+try)), Level: level, Units: units}
		s := newSheet()
		f.Build(d, s)
		p, rejected, err := s.problem()
		if err != nil {
			return nil, fmt.Errorf("family %s, seed %d, level %d, %s: %w", f.ID, seed, level, units, err)
		}
		if rejected != "" {
			last = rejected
			continue
		}
		p.Family, p.Title, p.Seed, p.Level, p.Units, p.Skills = f.ID, f.Title, seed, level, units, f.Skills
		return p, nil
	}
	return nil, fmt.Errorf("family %s, seed %d, level %d, %s: no usable draw in %d: %s", f.ID, seed, level, units, maxDraws, last)
}

func stream(family string, level int, units System) uint64 {
	h := fnv.New64a()
	fmt.Fprintf(h, "%s/%d/%s", family, level, units)
	return h.Sum64()
}

// Draw hands a family its random numbers, its level and its units.
type Draw struct {
	rng   *rand.Rand
	Level int
	Units System
}

// US says whether the problem is in US customary units.
func (d *Draw) US() bool { return d.Units == US }

// Between draws a multiple of step from low to high, both included.
func (d *Draw) Between(low, high, step float64) float64 {
	n := int(math.Floor((high-low)/step + 1e-9))
	// Multiples of a step like 0.1 collect dust; round it away.
	return math.Round((low+float64(d.rng.IntN(n+1))*step)*1e9) / 1e9
}

// Int draws a whole number from low to high, both included.
func (d *Draw) Int(low, high int) int { return low + d.rng.IntN(high-low+1) }

// Shuffle returns a permutation of 0 … n−1.
func (d *Draw) Shuffle(n int) []int { return d.rng.Perm(n) }

// One draws one of the values.
func One[T any](d *Draw, values ...T) T { return values[d.rng.IntN(len(values))] }

// Native is us in US units and si in SI units: the two are drawn as round
// numbers of their own, not converted.
func Native[T any](d *Draw, us, si T) T {
	if d.US() {
		return us
	}
	return si
}

// Capital gives a drawn phrase its capital at the start of a sentence.
func Capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
