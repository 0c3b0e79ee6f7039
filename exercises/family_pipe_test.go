package exercises

import (
	"fmt"
	"os"
	"strings"
	"testing"
)

func TestPrintThem(t *testing.T) {
	for _, id := range []string{"velocity", "main-from-load", "boiler-outlet-capacity", "main-by-friction", "run-head-loss", "head-at-another-flow", "mains-sections", "longest-of-parallel", "two-pipe-radiators", "return-choice"} {
		f, _ := FamilyByID(id)
		for level := 1; level <= 3; level++ {
			for _, u := range []System{US, SI} {
				for seed := range uint64(2) {
					p, err := Pose(f, seed+3, level, u)
					if err != nil {
						t.Fatal(err)
					}
					if seed == 1 && os.Getenv("MORE") == "" {
						continue
					}
					fmt.Printf("\n### %s %d %s seed %d\n%s\n", id, level, u, seed+3, p.Statement)
					for _, g := range p.Givens {
						fmt.Printf("   %s: %s = %s [%s]\n", g.Name, g.Label, g.Value.Exact(), g.Looked)
					}
					for _, q := range p.Parts {
						fmt.Printf(" ? %s: %s", q.ID, q.Prompt)
						if q.Answer.Quantity != nil {
							fmt.Printf(" => %s", q.Answer.Quantity.Text())
						} else {
							fmt.Printf(" => %s%v", q.Answer.Choice, q.Answer.Order)
						}
						fmt.Println()
						for _, o := range q.Options {
							fmt.Printf("     ( ) %s: %s\n", o.ID, o.Text)
						}
						fmt.Println("     check:", q.Check)
						fmt.Println("     hints:", strings.Join(q.Hints, " | "))
						for _, s := range q.Slips {
							a := s.Answer.Choice
							if s.Answer.Quantity != nil {
								a = s.Answer.Quantity.Text()
							}
							fmt.Printf("     slip %s %s%v: %s\n", s.ID, a, s.Answer.Order, s.Say)
						}
						for _, s := range q.Accepts {
							fmt.Printf("     accept %s: %s\n", s.Choice, s.Say)
						}
					}
					for _, s := range p.Steps {
						fmt.Printf("   > %s: %s ; %s ; %s = %s\n", s.Name, s.Because, s.Formula, s.Substituted, s.Result.Text())
					}
					if p.Rule != nil {
						fmt.Printf("   rule %s %s vs %s (%.1f %%): %s\n", p.Rule.Name, p.Rule.Rule.Text(), p.Rule.Engine.Text(), 100*p.Rule.Difference(), p.Rule.Why)
					}
					fmt.Println("   cautions", p.Cautions)
					fmt.Println("   sources", strings.Join(p.Sources, "; "))
				}
			}
		}
	}
}
