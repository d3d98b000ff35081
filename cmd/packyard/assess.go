package main

import (
	"context"
	"errors"

	"github.com/spf13/cobra"

	"packyard/design"
	"packyard/search"
)

// errNoOption is returned where neither the command line nor the project names
// an option.
var errNoOption = errors.New("no option: name one with --option, or fix one in packyard.yaml as choose.option")

// verdictFits is the verdict of an option that breaks no limit.
const verdictFits = "fits"

func (a *app) assessCommand() *cobra.Command {
	var option string
	var explain bool
	c := &cobra.Command{
		Use:   "assess [PROJECT]",
		Short: "one option in full: budgets, places, findings and how each number came about",
		Long: "assess works out one option: the one that the project fixes under choose, or the one named with --option.\n" +
			"Names are printed by packyard options.",
		Args: atMostOneProject,
		RunE: func(c *cobra.Command, args []string) error { return a.assess(c.Context(), args, option, explain) },
	}
	c.Flags().StringVar(&option, "option", "", "name of the option, as packyard options prints it")
	yesFlag(c, &explain, "explain", "show the workings")
	yesFlag(c, &a.json, "json", "print JSON, SI numbers with the unit in the key")
	return c
}

// chosen opens a project and works out the option named, or the one it fixes.
func (a *app) chosen(ctx context.Context, args []string, option string) (*design.Frame, *search.Option, error) {
	p, err := a.open(args)
	if err != nil {
		return nil, nil, err
	}
	if option == "" {
		option = p.Brief.Choose.Option
	}
	if option == "" {
		return nil, nil, usageError{errNoOption}
	}
	f, err := design.NewFrame(&p.Brief)
	if err != nil {
		return nil, nil, err
	}
	o, err := search.Find(f, option)
	if err == nil {
		err = ctx.Err()
	}
	return f, o, err
}

func (a *app) assess(ctx context.Context, args []string, option string, explain bool) error {
	f, o, err := a.chosen(ctx, args, option)
	if err != nil {
		return err
	}
	as := f.Assess(search.Place(f, o))
	if a.json {
		if err := writeJSON(a.out, as); err != nil {
			return err
		}
	} else {
		a.printAssessment(as, explain)
	}
	if as.Verdict != verdictFits {
		return errFindings
	}
	return nil
}
