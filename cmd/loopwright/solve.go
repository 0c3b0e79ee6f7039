package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"text/tabwriter"
	"unicode/utf8"

	"github.com/spf13/cobra"

	"loopwright/grader/document"
	"loopwright/grader/network"
)

func solveCommand() *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:   "solve FILE",
		Short: "Solve a system of pipes, circulators, valves and radiators",
		Long:  "Solve reads a system file (YAML; - reads the standard input) and prints its flows, pressures and\ntemperatures. README describes the form.",
		Args:  oneArgument("a system file, or - for the standard input"),
		RunE: func(c *cobra.Command, args []string) error {
			name, text, err := readInput(c.InOrStdin(), args[0])
			if err != nil {
				return err
			}
			system, units, err := network.Read(name, text)
			if err != nil {
				return err
			}
			model, err := network.Prepare(system)
			if err != nil {
				return err
			}
			solution, err := model.Solve()
			if err != nil {
				return err
			}
			if asJSON {
				return printJSON(c.OutOrStdout(), solution)
			}
			if solution.Title != "" {
				fmt.Fprintf(c.OutOrStdout(), "%s\n\n", solution.Title)
			}
			return printTables(c.OutOrStdout(), solution.Tables(units))
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "print JSON in SI units")
	return c
}

// readInput reads a file that a person names, no more than a document may hold.
func readInput(stdin io.Reader, path string) (name string, text []byte, err error) {
	in, name := stdin, "standard input"
	if path != "-" {
		f, err := os.Open(path)
		if err != nil {
			var where *fs.PathError
			if errors.As(err, &where) {
				return "", nil, badCall("%s: %v", path, where.Err)
			}
			return "", nil, badCall("%v", err)
		}
		defer func() { _ = f.Close() }()
		in, name = f, filepath.Base(path)
	}
	text, err = io.ReadAll(io.LimitReader(in, document.MostBytes+1))
	if err != nil {
		return "", nil, badCall("%s: %v", path, err)
	}
	return name, text, nil
}

func printTables(w io.Writer, tables []network.Table) error {
	for i, t := range tables {
		if i > 0 {
			fmt.Fprintln(w)
		}
		fmt.Fprintf(w, "%s\n", strings.ToUpper(t.Title))
		tab := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
		widths := columnWidths(t)
		for _, row := range append([][]string{t.Head}, t.Rows...) {
			cells := make([]string, len(row))
			for j, cell := range row {
				cells[j] = cell
				if t.Number[j] {
					cells[j] = strings.Repeat(" ", widths[j]-utf8.RuneCountInString(cell)) + cell
				}
			}
			fmt.Fprintln(tab, strings.Join(cells, "\t"))
		}
		if err := tab.Flush(); err != nil {
			return err
		}
	}
	return nil
}

func columnWidths(t network.Table) []int {
	widths := make([]int, len(t.Head))
	for _, row := range append([][]string{t.Head}, t.Rows...) {
		for j, cell := range row {
			widths[j] = max(widths[j], utf8.RuneCountInString(cell))
		}
	}
	return widths
}
