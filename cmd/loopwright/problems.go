package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"loopwright/exercises"
	"loopwright/grader"
)

func printJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(v)
}

// listedFamily is a family as families --json prints it.
type listedFamily struct {
	ID     string   `json:"id"`
	Title  string   `json:"title"`
	Skills []string `json:"skills"`
	Lesson string   `json:"lesson"`
	Levels []string `json:"levels"`
}

func familiesCommand() *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use: "families", Short: "List the families of problems", Args: noArguments,
		RunE: func(c *cobra.Command, _ []string) error {
			list := []listedFamily{}
			for _, f := range exercises.Families() {
				list = append(list, listedFamily{f.ID, f.Title, f.Skills, f.Lesson, f.Levels[:]})
			}
			if asJSON {
				return printJSON(c.OutOrStdout(), list)
			}
			w := tabwriter.NewWriter(c.OutOrStdout(), 0, 0, 2, ' ', 0)
			fmt.Fprintln(w, "FAMILY\tTITLE\tLESSON")
			for _, f := range list {
				fmt.Fprintf(w, "%s\t%s\t%s\n", f.ID, f.Title, f.Lesson)
			}
			return w.Flush()
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "print JSON")
	return c
}

// problemFlags say which problem of a family is meant.
type problemFlags struct {
	seed  uint64
	level int
	units string
	json  bool
}

func (p *problemFlags) register(c *cobra.Command) {
	c.Flags().Uint64Var(&p.seed, "seed", 1, "the same seed is the same problem, for ever")
	c.Flags().IntVar(&p.level, "level", 1, "1, 2 or 3")
	c.Flags().StringVar(&p.units, "units", "us", "us or si")
	c.Flags().BoolVar(&p.json, "json", false, "print JSON")
}

func (p *problemFlags) pose(family string) (*exercises.Problem, error) {
	f, err := exercises.FamilyByID(family)
	if err != nil {
		return nil, badCall("%w; 'loopwright families' lists them", err)
	}
	if p.level < 1 || p.level > exercises.Levels {
		return nil, badCall("--level %d: levels go from 1 to %d", p.level, exercises.Levels)
	}
	if p.units != string(exercises.US) && p.units != string(exercises.SI) {
		return nil, badCall("--units %q: choose us or si", p.units)
	}
	return exercises.Pose(f, p.seed, p.level, exercises.System(p.units))
}

func poseCommand() *cobra.Command {
	var flags problemFlags
	c := &cobra.Command{
		Use: "pose FAMILY", Short: "Print a problem with its solution", Args: oneArgument("a family"),
		RunE: func(c *cobra.Command, args []string) error {
			p, err := flags.pose(args[0])
			if err != nil {
				return err
			}
			if flags.json {
				return printJSON(c.OutOrStdout(), p)
			}
			return printProblem(c.OutOrStdout(), p)
		},
	}
	flags.register(c)
	return c
}

func printProblem(w io.Writer, p *exercises.Problem) error {
	b := &strings.Builder{}
	fmt.Fprintf(b, "%s  (%s, seed %d, level %d, %s)\n\n%s\n", p.Title, p.Family, p.Seed, p.Level, p.Units, p.Statement)
	for _, part := range p.Parts {
		fmt.Fprintf(b, "\n[%s] %s\n", part.ID, part.Prompt)
		for _, o := range part.Options {
			fmt.Fprintf(b, "    %s  %s\n", o.ID, o.Text)
		}
	}
	b.WriteString("\nSolution\n")
	for _, s := range p.Steps {
		fmt.Fprintf(b, "  %s\n    %s\n    %s = %s\n", s.Name, s.Formula, s.Substituted, s.Result.Text())
	}
	for _, part := range p.Parts {
		fmt.Fprintf(b, "  [%s] %s\n", part.ID, answerText(&part))
	}
	if p.Rule != nil {
		fmt.Fprintf(b, "\nRule against engine: %s gives %s, the engine %s (%+.1f %%).\n  %s\n", p.Rule.Name, p.Rule.Rule.Text(), p.Rule.Engine.Text(), 100*p.Rule.Difference(), p.Rule.Why)
	}
	for _, c := range p.Cautions {
		fmt.Fprintf(b, "\nCaution: %s\n", c)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func answerText(p *grader.Part) string {
	switch p.Kind {
	case grader.Choice:
		return p.Answer.Choice
	case grader.Order:
		return strings.Join(p.Answer.Order, ",")
	default:
		return p.Answer.Quantity.Text()
	}
}

func markCommand() *cobra.Command {
	var flags problemFlags
	var answers []string
	c := &cobra.Command{
		Use: "mark FAMILY --answer PART=TEXT ...", Short: "Mark answers to a problem; exit code 1 unless all are right", Args: oneArgument("a family"),
		RunE: func(c *cobra.Command, args []string) error {
			p, err := flags.pose(args[0])
			if err != nil {
				return err
			}
			typed := map[string]string{}
			for _, a := range answers {
				part, text, ok := strings.Cut(a, "=")
				if !ok {
					return badCall("--answer %q: write PART=TEXT, for example %s=6.2", a, p.Parts[0].ID)
				}
				if _, twice := typed[part]; twice {
					return badCall("--answer: part %s is answered twice", part)
				}
				typed[part] = text
			}
			r, err := grader.Mark(p.Parts, typed)
			var unread grader.InputErrors
			if errors.As(err, &unread) {
				return &callError{err}
			}
			if err != nil {
				return err
			}
			if flags.json {
				err = printJSON(c.OutOrStdout(), r)
			} else {
				err = printResult(c.OutOrStdout(), r)
			}
			if err == nil && r.Score < 1 {
				return errWrong
			}
			return err
		},
	}
	flags.register(c)
	c.Flags().StringArrayVar(&answers, "answer", nil, "PART=TEXT, once for each part")
	return c
}

func printResult(w io.Writer, r grader.Result) error {
	b := &strings.Builder{}
	for _, p := range r.Parts {
		fmt.Fprintf(b, "[%s] %s: read as %s", p.ID, p.Verdict, p.ReadAs)
		if p.Slip != "" {
			fmt.Fprintf(b, " (%s)", p.Slip)
		}
		b.WriteString("\n")
		if p.Say != "" {
			fmt.Fprintf(b, "    %s\n", p.Say)
		}
	}
	fmt.Fprintf(b, "Score %.0f %%\n", 100*r.Score)
	_, err := io.WriteString(w, b.String())
	return err
}
