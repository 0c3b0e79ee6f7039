package main

import (
	"encoding/json"
	"fmt"
	"os"
	"runtime/debug"

	"github.com/spf13/cobra"

	"loopwright/db"
	"loopwright/exercises"
	"loopwright/web"
)

func backupCommand() *cobra.Command {
	var database string
	c := &cobra.Command{
		Use: "backup FILE", Short: "Copy the database to a new file, also while the site runs", Args: oneArgument("the file to write"),
		RunE: func(c *cobra.Command, args []string) error {
			path, err := databasePath(database)
			if err != nil {
				return err
			}
			if err := db.Backup(c.Context(), path, args[0]); err != nil {
				return err
			}
			fmt.Fprintf(c.OutOrStdout(), "%s is backed up in %s.\n", path, args[0])
			return nil
		},
	}
	databaseFlag(c, &database)
	return c
}

func rebuildCommand() *cobra.Command {
	var database string
	c := &cobra.Command{
		Use: "rebuild", Short: "Work out again what is derived from attempts", Args: noArguments,
		RunE: func(c *cobra.Command, _ []string) error {
			path, err := databasePath(database)
			if err != nil {
				return err
			}
			if _, err := os.Stat(path); err != nil {
				return fmt.Errorf("there is no database %s", path)
			}
			store, err := db.Open(c.Context(), path)
			if err != nil {
				return err
			}
			defer func() { _ = store.Close() }()
			tries, err := store.Rebuild(c.Context(), func(current map[string]db.Estimate, t db.FirstTry) ([]db.Estimate, error) {
				var p exercises.Problem
				if err := json.Unmarshal(t.Problem, &p); err != nil {
					return nil, fmt.Errorf("stored problem: %w", err)
				}
				return web.Updated(current, p.Skills, t.Score, t.Aided, t.MadeAt), nil
			})
			if err != nil {
				return err
			}
			fmt.Fprintf(c.OutOrStdout(), "Rebuilt from %d first tries.\n", tries)
			return nil
		},
	}
	databaseFlag(c, &database)
	return c
}

// version is the program's own; a build from a released module has its own
// number, which wins.
const version = "0.1.0"

func versionCommand() *cobra.Command {
	return &cobra.Command{
		Use: "version", Short: "Print the version", Args: noArguments,
		RunE: func(c *cobra.Command, _ []string) error {
			v := version
			if info, ok := debug.ReadBuildInfo(); ok && info.Main.Version != "" && info.Main.Version != "(devel)" {
				v = info.Main.Version
			}
			fmt.Fprintln(c.OutOrStdout(), "loopwright", v)
			return nil
		},
	}
}
