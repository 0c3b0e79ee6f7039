package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"loopwright/grader/sizing"
)

func sizeCommand() *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:   "size FILE",
		Short: "Size a job: pipes, emitters, circulator, balancing, tank",
		Long:  "Size reads a job file (YAML; - reads the standard input), sizes it, solves what it sized, and prints\nthe job sheet. README describes the form.",
		Args:  oneArgument("a job file, or - for the standard input"),
		RunE: func(c *cobra.Command, args []string) error {
			name, text, err := readInput(c.InOrStdin(), args[0])
			if err != nil {
				return err
			}
			job, err := sizing.Read(name, text)
			if err != nil {
				return err
			}
			result, err := sizing.Size(job)
			if err != nil {
				return err
			}
			if asJSON {
				return printJSON(c.OutOrStdout(), result)
			}
			fmt.Fprintf(c.OutOrStdout(), "%s\n%s\n\n", job.Title, job.Layout.Name())
			return printTables(c.OutOrStdout(), result.Tables())
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "print JSON in SI units")
	return c
}
