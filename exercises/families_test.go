package exercises

import (
	"encoding/json"
	"fmt"
	"math"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"loopwright/exercises/formula"
	"loopwright/grader"
	"loopwright/grader/quantity"
	"loopwright/grader/thumb"
)

// seedsPerFamily is how many seeds each family, level and system of units is
// tried with.
func seedsPerFamily() uint64 {
	if testing.Short() {
		return 5
	}
	return 60
}

func eachProblem(t *testing.T, check func(t *testing.T, f *Family, p *Problem)) {
	for _, f := range Families() {
		t.Run(f.ID, func(t *testing.T) {
			for level := 1; level <= Levels; level++ {
				for _, units := range []System{US, SI} {
					for seed := range seedsPerFamily() {
						p, err := Pose(f, seed, level, units)
						require.NoError(t, err)
						check(t, f, p)
						if t.Failed() {
							t.Fatalf("seed %d, level %d, %s: %s", seed, level, units, p.Statement)
						}
					}
				}
			}
		})
	}
}

// rightAnswers is what someone types who has everything right.
func rightAnswers(p *Problem) map[string]string {
	answers := map[string]string{}
	for _, part := range p.Parts {
		switch part.Kind {
		case grader.Numeric:
			answers[part.ID] = part.Answer.Quantity.Text()
		case grader.Choice:
			answers[part.ID] = part.Answer.Choice
		case grader.Order:
			answers[part.ID] = strings.Join(part.Answer.Order, ",")
		}
	}
	return answers
}

// The program's own answer, as printed with its unit, is right; so it is in
// every other unit of its kind.
func TestOwnAnswerIsRight(t *testing.T) {
	eachProblem(t, func(t *testing.T, _ *Family, p *Problem) {
		r, err := grader.Mark(p.Parts, rightAnswers(p))
		require.NoError(t, err)
		require.InDelta(t, 1, r.Score, 1e-12, "%+v %v", r, rightAnswers(p))
		for _, part := range p.Parts {
			if part.Kind != grader.Numeric {
				continue
			}
			for _, u := range quantity.UnitsOf(part.Answer.Quantity.Kind()) {
				q := part.Answer.Quantity.In(u)
				if n := math.Abs(q.Number()); u.Symbol == "" || n > 1e11 || n < 1e-9 {
					continue
				}
				requireVerdict(t, part, q.Exact(), grader.Right)
			}
		}
	})
}

func requireVerdict(t *testing.T, part grader.Part, typed string, want grader.Verdict) grader.PartResult {
	t.Helper()
	r, err := grader.Mark([]grader.Part{part}, map[string]string{part.ID: typed})
	require.NoError(t, err)
	require.Equal(t, want, r.Parts[0].Verdict, "part %s, typed %q, right is %s: %+v", part.ID, typed, part.Answer.Quantity, r.Parts[0])
	return r.Parts[0]
}

// Just inside the bounds is right, just outside is not.
func TestBounds(t *testing.T) {
	eachProblem(t, func(t *testing.T, _ *Family, p *Problem) {
		for _, part := range p.Parts {
			if part.Kind != grader.Numeric {
				continue
			}
			require.Less(t, part.Low, part.Answer.Quantity.SI)
			require.Greater(t, part.High, part.Answer.Quantity.SI)
			require.NotEmpty(t, part.WhyTolerance)
			u, half := part.Answer.Quantity.Unit, (part.High-part.Low)/2
			for _, c := range []struct {
				si    float64
				right bool
			}{
				{part.Low + 0.01*half, true}, {part.High - 0.01*half, true},
				{part.Low - 0.05*half, false}, {part.High + 0.05*half, false},
			} {
				typed := fmt.Sprintf("%.9f %s", u.FromSI(c.si), u.Symbol)
				r, err := grader.Mark([]grader.Part{part}, map[string]string{part.ID: typed})
				require.NoError(t, err)
				require.Equal(t, c.right, r.Parts[0].Verdict == grader.Right, typed)
			}
		}
	})
}

// A wrong sign, a lost factor of a thousand and nonsense are never right.
func TestWrongIsNotRight(t *testing.T) {
	eachProblem(t, func(t *testing.T, _ *Family, p *Problem) {
		for _, part := range p.Parts {
			if part.Kind != grader.Numeric {
				continue
			}
			n := part.Answer.Quantity.Number()
			for _, wrong := range []float64{-n, 1000 * n, n / 1000, n + 3*math.Abs(n) + 40} {
				if math.Abs(wrong) < 1e-9 || math.Abs(wrong-n) < 1e-9 {
					continue
				}
				r, err := grader.Mark([]grader.Part{part}, map[string]string{part.ID: fmt.Sprintf("%.9f", wrong)})
				require.NoError(t, err)
				require.NotEqual(t, grader.Right, r.Parts[0].Verdict, "%v for %v", wrong, n)
			}
		}
	})
}

// Every slip is recognised as itself and explained; no slip is a right answer.
func TestSlipsAreRecognized(t *testing.T) {
	eachProblem(t, func(t *testing.T, _ *Family, p *Problem) {
		for _, part := range p.Parts {
			for _, s := range part.Slips {
				typed := s.Answer.Choice
				switch part.Kind {
				case grader.Numeric:
					typed = s.Answer.Quantity.Exact()
				case grader.Order:
					typed = strings.Join(s.Answer.Order, ",")
				}
				require.Equal(t, s.ID, requireVerdict(t, part, typed, grader.KnownSlip).Slip)
				require.NotEmpty(t, s.Say)
			}
		}
	})
}

var unfilled = regexp.MustCompile(`[{}]|%!|NaN|Inf|<nil>`)

// Texts are complete: nothing unfilled, hints and steps there, the statement
// ends with a question or a request, and formulas can be drawn.
func TestTextsAreComplete(t *testing.T) {
	eachProblem(t, func(t *testing.T, f *Family, p *Problem) {
		texts := append([]string{p.Statement}, p.Cautions...)
		for _, part := range p.Parts {
			texts = append(append(texts, part.Prompt, part.Check, part.WhyTolerance), part.Hints...)
			require.NotEmpty(t, part.Hints, part.ID)
			require.NotEmpty(t, part.Check, part.ID)
			for _, s := range part.Slips {
				texts = append(texts, s.Say)
			}
			for _, o := range part.Options {
				texts = append(texts, o.Text)
			}
		}
		for _, s := range p.Steps {
			texts = append(texts, s.Name, s.Formula, s.Substituted, s.Result.Text(), s.Because)
			e, err := formula.Parse(s.Expression)
			require.NoError(t, err)
			require.Contains(t, e.MathML(s.Symbol), "<math")
			require.NotEmpty(t, s.Because, "step %s says why", s.Symbol)
		}
		for _, text := range texts {
			require.False(t, unfilled.MatchString(text), text)
		}
		if p.Rule != nil {
			_, err := thumb.ByID(p.Rule.RuleID)
			require.NoError(t, err)
			require.NotEmpty(t, p.Rule.Why)
			require.NotRegexp(t, unfilled, p.Rule.Name+p.Rule.Why)
		}
		require.NotEmpty(t, p.Steps)
		require.NotEmpty(t, p.Sources)
		for _, part := range p.Parts {
			if part.Kind == grader.Choice {
				require.GreaterOrEqual(t, len(part.Options), 2)
			}
		}
	})
}

// The hints of a part never show the answer of a numeric part.
func TestHintsKeepTheAnswer(t *testing.T) {
	eachProblem(t, func(t *testing.T, _ *Family, p *Problem) {
		for _, part := range p.Parts {
			for _, other := range p.Parts {
				if other.Kind != grader.Numeric {
					continue
				}
				for _, h := range part.Hints {
					require.False(t, strings.HasSuffix(h, "= "+other.Answer.Quantity.Text()), h)
				}
			}
		}
	})
}

// The same seed is the same problem, through storage too; other seeds differ.
func TestSameSeedSameProblem(t *testing.T) {
	for _, f := range Families() {
		for level := 1; level <= Levels; level++ {
			distinct := map[string]bool{}
			for seed := range uint64(12) {
				a, err := Pose(f, seed, level, US)
				require.NoError(t, err)
				b, err := Pose(f, seed, level, US)
				require.NoError(t, err)
				require.Equal(t, a, b)
				stored, err := json.Marshal(a)
				require.NoError(t, err)
				var back Problem
				require.NoError(t, json.Unmarshal(stored, &back))
				again, err := json.Marshal(&back)
				require.NoError(t, err)
				require.Equal(t, string(stored), string(again))
				distinct[fmt.Sprint(a.Statement, a.Givens)] = true
			}
			require.Greater(t, len(distinct), 6, "%s level %d: too few different problems", f.ID, level)
		}
	}
}

// The catalog is sound: ids are unique, skills and lessons exist, every skill
// is practiced, every level is described.
func TestCatalog(t *testing.T) {
	seen := map[string]bool{}
	practiced := map[string]bool{}
	for _, f := range Families() {
		require.False(t, seen[f.ID], f.ID)
		seen[f.ID] = true
		require.NotEmpty(t, f.Skills, f.ID)
		for _, id := range f.Skills {
			s, err := SkillByID(id)
			require.NoError(t, err, f.ID)
			practiced[s.ID] = true
		}
		for _, l := range f.Levels {
			require.NotEmpty(t, l, f.ID)
		}
		require.NotEmpty(t, f.Lesson, f.ID)
	}
	for _, s := range Skills() {
		require.True(t, practiced[s.ID], "no family practices %s", s.ID)
		for _, need := range s.Needs {
			_, err := SkillByID(need)
			require.NoError(t, err, s.ID)
		}
	}
	require.GreaterOrEqual(t, len(seen), 20)
}

func TestPoseRefuses(t *testing.T) {
	f := Families()[0]
	_, err := Pose(f, 1, 0, US)
	require.ErrorContains(t, err, "levels go from 1 to 3")
	_, err = Pose(f, 1, 4, US)
	require.Error(t, err)
	_, err = Pose(f, 1, 1, "metric")
	require.ErrorContains(t, err, "choose us or si")
	_, err = FamilyByID("no-such")
	var missing *NotFoundError
	require.ErrorAs(t, err, &missing)
}

func BenchmarkPoseAndMark(b *testing.B) {
	f, err := FamilyByID("flow-from-load")
	require.NoError(b, err)
	seed := uint64(0)
	for b.Loop() {
		p, err := Pose(f, seed, 2, US)
		if err != nil {
			b.Fatal(err)
		}
		if _, err := grader.Mark(p.Parts, map[string]string{"flow": "6 gpm"}); err != nil {
			b.Fatal(err)
		}
		seed++
	}
}
