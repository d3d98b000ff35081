package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"

	"github.com/spf13/cobra"

	"packyard/check"
	"packyard/design"
	"packyard/unit"
)

// Exit codes, part of the interface.
const (
	exitGood     = 0
	exitFindings = 1 // the design does not hold
	exitUsage    = 2 // the command line is wrong
	exitProject  = 3 // the project file is wrong
	exitFailed   = 4 // the operation could not be done
)

const exitHelp = `Exit codes: 0 good, 1 the design breaks a limit, 2 usage, 3 the project file has faults, 4 the operation could not be done.`

// errFindings ends a command whose output already says what does not hold.
var errFindings = errors.New("the design breaks a limit")

// usageError is a fault of the command line.
type usageError struct{ error }

func (e usageError) Unwrap() error { return e.error }

func usagef(format string, args ...any) error { return usageError{fmt.Errorf(format, args...)} }

// app is what all commands share.
type app struct {
	out, err io.Writer
	system   unit.System
	units    string
	json     bool
}

// run executes the command line and returns the exit code.
func run(args []string, stdout, stderr io.Writer) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	a := &app{out: stdout, err: stderr}
	root := a.root()
	root.SetArgs(args)
	root.SetOut(stdout)
	root.SetErr(stderr)
	return a.exit(root.ExecuteContext(ctx))
}

// exit says what went wrong on standard error and returns the code for it.
func (a *app) exit(err error) int {
	var problems *check.Problems
	var usage usageError
	switch {
	case err == nil:
		return exitGood
	case errors.Is(err, errFindings):
		return exitFindings
	case errors.As(err, &problems):
		for _, p := range problems.List {
			fmt.Fprintf(a.err, "packyard: %s: %s: %s\n", p.Pos, p.Path, p.Message)
			if p.Hint != "" {
				fmt.Fprintf(a.err, "hint: %s\n", p.Hint)
			}
		}
		n := len(problems.List) + problems.More
		if problems.More > 0 {
			fmt.Fprintf(a.err, "packyard: and %d more\n", problems.More)
		}
		fmt.Fprintf(a.err, "packyard: %s\n", plural(n, "problem"))
		return exitProject
	case errors.As(err, &usage), errors.Is(err, design.ErrOption):
		fmt.Fprintf(a.err, "packyard: %v\nhint: packyard help says what is accepted\n", err)
		return exitUsage
	}
	fmt.Fprintf(a.err, "packyard: %v\n", err)
	return exitFailed
}

func (a *app) root() *cobra.Command {
	root := &cobra.Command{
		Use:   "packyard",
		Short: "the battery of a converted vehicle, from the donor to every pack that fits",
		Long: "packyard plans the battery of a vehicle that is turned from a combustion engine to electric drive.\n" +
			"A project is a folder with a packyard.yaml; packyard new makes one to start from.\n\n" + exitHelp,
		SilenceUsage: true, SilenceErrors: true,
		PersistentPreRunE: func(*cobra.Command, []string) error { return a.readUnits() },
	}
	root.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return usageError{err} })
	root.PersistentFlags().StringVar(&a.units, "units", "si", "units of printed figures: si or us")
	root.AddCommand(a.newCommand(), a.checkCommand(), a.optionsCommand(), a.assessCommand(), a.driveCommand(),
		a.partsCommand(), a.schedulesCommand(), a.unitsCommand(), a.sourcesCommand(), a.schemaCommand())
	root.InitDefaultCompletionCmd()
	finish(root)
	return root
}

// finish gives every command the exit codes in its help and turns cobra's
// complaints about arguments into usage errors.
func finish(c *cobra.Command) {
	if c.Long == "" {
		c.Long = strings.ToUpper(c.Short[:1]) + c.Short[1:] + "."
	}
	if !strings.Contains(c.Long, exitHelp) {
		c.Long += "\n\n" + exitHelp
	}
	if args := c.Args; args != nil {
		c.Args = func(c *cobra.Command, a []string) error {
			if err := args(c, a); err != nil {
				return usageError{err}
			}
			return nil
		}
	}
	if !c.HasSubCommands() {
		return
	}
	if c.RunE == nil && c.Run == nil {
		c.Args = cobra.ArbitraryArgs
		c.RunE = func(c *cobra.Command, a []string) error {
			if len(a) > 0 {
				return usagef("%q is not a command of %s: the commands are %s", a[0], c.CommandPath(), names(c))
			}
			return c.Help()
		}
	}
	for _, sub := range c.Commands() {
		finish(sub)
	}
}

func names(c *cobra.Command) string {
	var out []string
	for _, s := range c.Commands() {
		if s.IsAvailableCommand() {
			out = append(out, s.Name())
		}
	}
	return strings.Join(out, ", ")
}

func (a *app) readUnits() error {
	switch a.units {
	case "si":
		a.system = unit.SI
	case "us":
		a.system = unit.US
	default:
		return usagef("--units %q: accepted are si and us", a.units)
	}
	return nil
}

// folder returns the project folder of a command: its argument or this one.
func folder(args []string) string {
	if len(args) == 0 {
		return "."
	}
	return args[0]
}

func plural(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return count(n) + " " + noun + "s"
}
