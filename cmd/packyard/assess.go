package main

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"packyard/check"
	"packyard/design"
	"packyard/search"
	"packyard/spread"
)

// verdictFits is the verdict of an option that breaks no limit.
const verdictFits = "fits"

func (a *app) assessCommand() *cobra.Command {
	var option string
	var explain bool
	c := &cobra.Command{
		Use:   "assess [PROJECT]",
		Short: "one option in full: budgets, places, findings and how each number came about",
		Long: "assess works out one option: the one named with --option, the one that the project fixes under choose,\n" +
			"or else the first of packyard options.\n" +
			"Names are printed by packyard options.",
		Args: atMostOneProject,
		RunE: func(c *cobra.Command, args []string) error { return a.assess(c.Context(), args, option, explain) },
	}
	c.Flags().StringVar(&option, "option", "", "name of the option (default: the one that the project fixes, else the first of packyard options)")
	yesFlag(c, &explain, "explain", "show the workings")
	yesFlag(c, &a.json, "json", "print JSON, SI numbers with the unit in the key")
	return c
}

// chosen opens a project and works out the option named, the one it fixes, or
// else the first of packyard options, and says so.
func (a *app) chosen(ctx context.Context, args []string, option string) (*design.Frame, *search.Option, error) {
	p, err := a.open(args)
	if err != nil {
		return nil, nil, err
	}
	if option == "" {
		option = p.Brief.Choose.Option
	}
	f, err := design.NewFrame(&p.Brief)
	if err != nil {
		return nil, nil, err
	}
	if option == "" {
		if option, err = a.leading(ctx, f); err != nil {
			return nil, nil, err
		}
	}
	o, err := search.Find(f, option)
	if err == nil {
		err = ctx.Err()
	}
	return f, o, err
}

// leading returns the name of the first option of a search.
func (a *app) leading(ctx context.Context, f *design.Frame) (string, error) {
	draw, clear := a.progress("looking at candidates")
	res, err := search.Run(ctx, f, search.Options{Top: 1, Progress: draw})
	clear()
	switch {
	case err != nil:
		return "", err
	case len(res.Packs) == 0:
		fmt.Fprintf(a.err, "packyard: no option is named and none fits\nhint: packyard options %s says why; --option takes one that does not fit too\n", quote(a.dir))
		return "", errFindings
	}
	id := res.Packs[0].ID
	fmt.Fprintf(a.err, "packyard: no option is named: this is the first of packyard options, %s\n", id)
	return id, nil
}

// spreadOfRange adds to an assessment whether the wanted range holds over what
// the builder stated with a spread. It draws few samples, of the range only: P10
// is then known to some tenths of a percent, and drive --spread tells more.
func spreadOfRange(ctx context.Context, f *design.Frame, o *search.Option, as *design.Assessment) error {
	t := &f.Brief.Targets
	if len(f.Brief.Uncertain) == 0 || t.Range == 0 || t.Schedule == nil {
		return nil
	}
	r, err := spread.Range(ctx, f, &spread.Trip{Option: search.Place(f, o), Schedule: t.Schedule, NoPack: true}, spread.Options{Samples: spread.SamplesMin})
	if err != nil {
		return fmt.Errorf("spread of the range: %w", err)
	}
	for _, n := range r.Findings {
		if n.Rule == spread.RuleRange {
			as.Findings = append(as.Findings, n)
		}
	}
	slices.SortStableFunc(as.Findings, func(a, b check.Finding) int { return cmp.Compare(b.Severity, a.Severity) })
	return nil
}

func (a *app) assess(ctx context.Context, args []string, option string, explain bool) error {
	f, o, err := a.chosen(ctx, args, option)
	if err != nil {
		return err
	}
	as := f.Assess(search.Place(f, o))
	if err := spreadOfRange(ctx, f, o, as); err != nil {
		return err
	}
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
