package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"loopwright/lessons"
)

func checkCommand() *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use: "check", Short: "Verify lessons, figures, families and sources; exit code 1 if anything is wrong", Args: noArguments,
		RunE: func(c *cobra.Command, _ []string) error {
			found := lessons.Check()
			if asJSON {
				if found == nil {
					found = []lessons.Finding{}
				}
				if err := printJSON(c.OutOrStdout(), found); err != nil {
					return err
				}
			} else {
				for _, f := range found {
					fmt.Fprintln(c.OutOrStdout(), f)
				}
			}
			if len(found) > 0 {
				return errWrong
			}
			if !asJSON {
				fmt.Fprintln(c.OutOrStdout(), "The content is sound.")
			}
			return nil
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "print JSON")
	return c
}
