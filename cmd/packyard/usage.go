package main

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"packyard/internal/sheet"
)

// usageError is a fault of the command line.
type usageError struct{ error }

func (e usageError) Unwrap() error { return e.error }

func usagef(format string, args ...any) error { return usageError{fmt.Errorf(format, args...)} }

// yes is a flag without a value.
type yes struct {
	p    *bool
	name string
}

func (f yes) String() string {
	if f.p == nil {
		return "false"
	}
	return strconv.FormatBool(*f.p)
}

func (f yes) Type() string { return "bool" }

func (f yes) Set(s string) error {
	v, err := strconv.ParseBool(s)
	if err != nil {
		return usagef("--%s %q: the flag is written without a value, or with true or false", f.name, s)
	}
	*f.p = v
	return nil
}

// yesFlag adds a flag without a value.
func yesFlag(c *cobra.Command, p *bool, name, meaning string) {
	c.Flags().VarPF(yes{p, name}, name, "", meaning).NoOptDefVal = "true"
}

// number is a flag that holds a whole number within bounds.
type number struct {
	p        *int
	name     string
	min, max int
}

func (f number) String() string {
	if f.p == nil {
		return "0"
	}
	return strconv.Itoa(*f.p)
}

func (f number) Type() string { return "number" }

func (f number) Set(s string) error {
	v, err := strconv.Atoi(s)
	if err != nil || v < f.min || v > f.max {
		return usagef("--%s %q: a whole number from %d to %d is accepted", f.name, s, f.min, f.max)
	}
	*f.p = v
	return nil
}

// choice is a flag that holds one word of a list.
type choice struct {
	p     *string
	name  string
	words []string
}

func (f choice) String() string {
	if f.p == nil {
		return ""
	}
	return *f.p
}

func (f choice) Type() string { return "word" }

func (f choice) Set(s string) error {
	if slices.Contains(f.words, s) {
		*f.p = s
		return nil
	}
	return usagef("--%s %q: accepted are %s", f.name, s, listed(f.words))
}

// listed joins words as in a sentence.
func listed(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " and " + words[last]
}

// atMostOneProject accepts the folder of a project, or none for this one.
func atMostOneProject(_ *cobra.Command, args []string) error {
	if len(args) > 1 {
		return usagef("%d arguments: one project folder is accepted, or none for this one", len(args))
	}
	return nil
}

func noArgument(_ *cobra.Command, args []string) error {
	if len(args) > 0 {
		return usagef("%q: no argument is accepted", args[0])
	}
	return nil
}

// flagError says what is wrong with a flag and what is accepted.
func flagError(c *cobra.Command, err error) error {
	var own usageError
	if errors.As(err, &own) {
		return own
	}
	var named interface {
		error
		GetSpecifiedName() string
		GetSpecifiedShortnames() string
	}
	if !errors.As(err, &named) {
		return usageError{err}
	}
	name := named.GetSpecifiedName()
	if f := c.Flags().Lookup(name); f != nil {
		return usagef("--%s needs a value: %s", name, f.Usage)
	}
	written := "--" + name
	if named.GetSpecifiedShortnames() != "" {
		written = "-" + name
	}
	known := flagNames(c)
	if near := sheet.Nearest(name, known); near != "" {
		return usagef("%s is not a flag of %s: did you mean --%s?", written, c.CommandPath(), near)
	}
	return usagef("%s is not a flag of %s: the flags are --%s", written, c.CommandPath(), strings.Join(known, ", --"))
}

// flagNames returns the flags that a command knows.
func flagNames(c *cobra.Command) []string {
	var out []string
	for line := range strings.SplitSeq(c.Flags().FlagUsages(), "\n") {
		if _, rest, ok := strings.Cut(line, "--"); ok {
			name, _, _ := strings.Cut(rest, " ")
			out = append(out, name)
		}
	}
	return out
}

// helpCommand replaces the help command of the library, which is silent about
// a command that there is not.
func helpCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "help [COMMAND]",
		Short: "the help of a command",
		RunE: func(c *cobra.Command, args []string) error {
			root := c.Root()
			found, rest, err := root.Find(args)
			if err != nil || len(rest) > 0 || found == nil {
				return usagef("%q is not a command of packyard: the commands are %s", strings.Join(args, " "), commandNames(root))
			}
			found.InitDefaultHelpFlag()
			return found.Help()
		},
	}
}

func commandNames(c *cobra.Command) string { return listed(commandsOf(c)) }

func commandsOf(c *cobra.Command) []string {
	var out []string
	for _, s := range c.Commands() {
		if s.IsAvailableCommand() {
			out = append(out, s.Name())
		}
	}
	return out
}

func nearCommand(c *cobra.Command, word string) string { return sheet.Nearest(word, commandsOf(c)) }
