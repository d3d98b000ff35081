package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"packyard/check"
	"packyard/design"
	"packyard/project"
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

// helpTemplate prints what a command does, how it is written and the exit codes.
const helpTemplate = `{{with (or .Long .Short)}}{{. | trimTrailingWhitespaces}}

{{end}}{{.UsageString}}
` + exitHelp + "\n"

// errFindings ends a command whose output already says what does not hold.
var errFindings = errors.New("the design breaks a limit")

// verdict returns errFindings when one of the findings says that the design does
// not hold.
func verdict(list []check.Finding) error {
	if slices.ContainsFunc(list, check.Finding.Broken) {
		return errFindings
	}
	return nil
}

// app is what all commands share.
type app struct {
	out, err io.Writer
	dir      string // folder of the project that is read
	system   unit.System
	units    string // "si" or "us"
	json     bool
}

// run executes the command line and returns the exit code. Ending ctx ends a
// search early.
func run(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	a := &app{out: stdout, err: stderr}
	root := a.root()
	root.SetArgs(args)
	root.SetOut(stdout)
	root.SetErr(stderr)
	c, err := root.ExecuteContextC(ctx)
	return a.exit(c, err)
}

// exit says what went wrong in command c on standard error and returns the
// code for it.
func (a *app) exit(c *cobra.Command, err error) int {
	var problems *check.Problems
	var usage usageError
	switch {
	case err == nil:
		return exitGood
	case errors.Is(err, errFindings):
		return exitFindings
	case errors.Is(err, errSaid):
		return exitProject
	case errors.As(err, &problems):
		a.printProblems(problems)
		return exitProject
	case errors.As(err, &usage), errors.Is(err, design.ErrOption):
		a.say("%v", err)
		a.hint(a.hintOf(c, err))
		return exitUsage
	case errors.Is(err, context.Canceled):
		a.say("interrupted: nothing was printed")
		return exitFailed
	}
	a.say("%v", err)
	if errors.Is(err, project.ErrNoProject) {
		a.hint("packyard new DIR makes a project to start from")
	}
	return exitFailed
}

// say writes a message on standard error.
func (a *app) say(format string, args ...any) {
	fmt.Fprintf(a.err, "packyard: "+format+"\n", args...)
}

func (a *app) hint(s string) {
	if s != "" {
		fmt.Fprintf(a.err, "hint: %s\n", s)
	}
}

// hintOf returns where the reader of a usage error finds what is accepted.
func (a *app) hintOf(c *cobra.Command, err error) string {
	if errors.Is(err, design.ErrOption) {
		return "packyard options " + quote(a.dir) + " prints the names"
	}
	_, name, _ := strings.Cut(c.CommandPath(), " ")
	return strings.TrimSpace("packyard help "+name) + " says what is accepted"
}

func (a *app) printProblems(p *check.Problems) {
	for _, x := range p.List {
		where := a.place(x.Pos)
		if x.Path != "" {
			where += ": " + x.Path
		}
		a.say("%s: %s", where, x.Message)
		a.hint(x.Hint)
	}
	if p.More > 0 {
		a.say("and %d more", p.More)
	}
	a.say("%s", check.Plural(len(p.List)+p.More, "problem"))
}

// place returns where a problem stands, with the folder of the project before
// it, so that an editor finds the file.
func (a *app) place(p check.Pos) string {
	if file := filepath.Join(a.dir, p.File); p.File != "" && !filepath.IsAbs(p.File) {
		if _, err := os.Stat(file); err == nil {
			p.File = file // else the file was named from the working folder
		}
	}
	return p.String()
}

func (a *app) root() *cobra.Command {
	root := &cobra.Command{
		Use:   "packyard",
		Short: "the battery of a converted vehicle, from the donor to every pack that fits",
		Long: "packyard plans the battery of a vehicle that is turned from a combustion engine to electric drive.\n" +
			"A project is a folder with a packyard.yaml; packyard new makes one to start from.",
		SilenceUsage: true, SilenceErrors: true,
		PersistentPreRun: func(*cobra.Command, []string) {
			if a.units == "us" {
				a.system = unit.US
			}
		},
	}
	root.SetFlagErrorFunc(flagError)
	a.units = "si"
	root.PersistentFlags().Var(choice{&a.units, "units", []string{"si", "us"}}, "units", "units of printed figures: si or us")
	root.SetHelpCommand(helpCommand())
	root.SetHelpTemplate(helpTemplate)
	root.AddCommand(a.newCommand(), a.checkCommand(), a.optionsCommand(), a.assessCommand(), a.driveCommand(), a.heatCommand(), a.chargeCommand(), a.circuitCommand(), a.bookCommand(),
		a.benchCommand(), a.openCommand(), a.partsCommand(), a.schedulesCommand(), a.unitsCommand(), a.sourcesCommand(), a.schemaCommand())
	root.InitDefaultCompletionCmd()
	finish(root)
	return root
}

// finish gives every command a help text and turns complaints about arguments
// into usage errors.
func finish(c *cobra.Command) {
	if c.Long == "" {
		c.Long = strings.ToUpper(c.Short[:1]) + c.Short[1:] + "."
	}
	if c.HasParent() && c.Parent().Name() == "completion" {
		c.Args = noArgument
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
				if near := nearCommand(c, a[0]); near != "" {
					return usagef("%q is not a command of %s: did you mean %s?", a[0], c.CommandPath(), near)
				}
				return usagef("%q is not a command of %s: the commands are %s", a[0], c.CommandPath(), commandNames(c))
			}
			return c.Help()
		}
	}
	for _, sub := range c.Commands() {
		finish(sub)
	}
}

// open reads the project folder of a command: its argument or this one.
func (a *app) open(args []string) (*project.Project, error) {
	a.dir = "."
	if len(args) > 0 {
		a.dir = args[0]
	}
	if filepath.Base(a.dir) == project.FileName {
		a.dir = filepath.Dir(a.dir)
	}
	return project.Open(a.dir)
}
