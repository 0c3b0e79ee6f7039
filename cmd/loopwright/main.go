// Command loopwright serves the training site, poses and marks problems on a
// terminal, checks the content and backs the database up.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"

	"github.com/spf13/cobra"
)

// Exit codes.
const (
	exitDone    = 0
	exitWrong   = 1 // the thing asked about is wrong: an answer, the content, a database
	exitBadCall = 2 // the call itself is wrong
)

// wrongError is an answer of "wrong" that has been reported already.
var errWrong = errors.New("wrong")

// callError is a mistake in the call.
type callError struct{ err error }

func (e *callError) Error() string { return e.err.Error() }
func (e *callError) Unwrap() error { return e.err }

func badCall(format string, args ...any) error { return &callError{fmt.Errorf(format, args...)} }

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}

// run carries out one call and returns its exit code.
func run(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	root := rootCommand()
	root.SetArgs(args)
	root.SetOut(stdout)
	root.SetErr(stderr)
	err := root.ExecuteContext(ctx)
	var call *callError
	switch {
	case err == nil:
		return exitDone
	case errors.Is(err, errWrong):
		return exitWrong
	case errors.As(err, &call):
		fmt.Fprintf(stderr, "loopwright: %v\nRun 'loopwright help' for how to call it.\n", err)
		return exitBadCall
	default:
		fmt.Fprintf(stderr, "loopwright: %v\n", err)
		return exitWrong
	}
}

func rootCommand() *cobra.Command {
	serve := serveCommand()
	root := &cobra.Command{
		Use:           "loopwright",
		Short:         "Training in hot-water heating: lessons, problems marked by a sizing engine, progress",
		Long:          "Loopwright trains people who design, install and rescue hot-water heating.\nWithout a command it serves the site.",
		SilenceErrors: true,
		SilenceUsage:  true,
		Args:          noArguments,
		RunE:          serve.RunE,
	}
	root.Flags().AddFlagSet(serve.Flags())
	root.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return &callError{err} })
	root.CompletionOptions.HiddenDefaultCmd = true
	root.AddCommand(serve, solveCommand(), sizeCommand(), familiesCommand(), poseCommand(), markCommand(), checkCommand(), backupCommand(), rebuildCommand(), versionCommand())
	return root
}

func noArguments(cmd *cobra.Command, args []string) error {
	if len(args) > 0 {
		return badCall("%s: unknown command or argument %q", cmd.CommandPath(), args[0])
	}
	return nil
}

func oneArgument(what string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) != 1 {
			return badCall("%s takes one argument: %s", cmd.CommandPath(), what)
		}
		return nil
	}
}
