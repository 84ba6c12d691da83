package main

import (
	"errors"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"auditgen/internal/diag"
)

// The exit codes.
const (
	exitOK     = 0
	exitFailed = 1 // something outside the user's files went wrong
	exitInput  = 2 // the command line or the files are wrong
)

// run is the program: it gives the exit code. Results go to stdout, everything
// else to stderr.
func run(args []string, _ io.Reader, stdout, stderr io.Writer) int {
	root := &cobra.Command{
		Use:           "auditgen",
		Short:         "Electrical energy assessments from spot readings",
		Long:          "auditgen makes a report of an electrical site: what energy is used, what it costs and why,\nwhat the readings show. It works from YAML files of spot readings, loads and a tariff.",
		SilenceErrors: true,
		SilenceUsage:  true,
	}
	root.CompletionOptions.HiddenDefaultCmd = true
	root.SetArgs(args)
	root.SetOut(stdout)
	root.SetErr(stderr)
	root.SetFlagErrorFunc(func(c *cobra.Command, err error) error {
		return &usageError{fmt.Errorf("%w; see auditgen %s --help", err, c.Name())}
	})
	root.AddCommand(reportCommand(), checkCommand(), billCommand(), explainCommand(), formulaCommand(), intakeCommand())
	return exitCode(root.Execute(), stderr)
}

// usageError is a command line that cannot be taken.
type usageError struct{ error }

func exitCode(err error, stderr io.Writer) int {
	if err == nil {
		return exitOK
	}
	var faults diag.Faults
	if errors.As(err, &faults) {
		for _, f := range faults {
			fmt.Fprintln(stderr, f)
		}
		fmt.Fprintln(stderr, faultCount(len(faults)))
		return exitInput
	}
	fmt.Fprintf(stderr, "auditgen: %v\n", err)
	var usage *usageError
	if errors.As(err, &usage) || unknownCommand(err) {
		return exitInput
	}
	return exitFailed
}

func faultCount(n int) string {
	if n == 1 {
		return "\nauditgen: one thing to mend; nothing was written"
	}
	return fmt.Sprintf("\nauditgen: %d things to mend; nothing was written", n)
}

// unknownCommand recognises the library's errors about the command line that
// pass by the flag error function.
func unknownCommand(err error) bool {
	text := err.Error()
	for _, start := range []string{"unknown command", "accepts ", "requires "} {
		if len(text) >= len(start) && text[:len(start)] == start {
			return true
		}
	}
	return false
}

// site takes the one argument that every command has first.
func oneSite(c *cobra.Command, args []string, more ...string) error {
	if want := 1 + len(more); len(args) != want {
		return &usageError{fmt.Errorf("%s takes the site's folder%s, such as: auditgen %s sites/example%s", c.Name(), words(more), c.Name(), example(more))}
	}
	return nil
}

func words(more []string) string {
	text := ""
	for _, m := range more {
		text += " and " + m
	}
	return text
}

func example(more []string) string {
	if len(more) == 0 {
		return ""
	}
	return " energy"
}
