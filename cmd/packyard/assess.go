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
	f, o, _, err := a.chosenWith(ctx, args, option, 1)
	return f, o, err
}

// chosenWith is chosen for who needs the search as well: with the packs ranked,
// at most top; nil when the option was named and none was made.
func (a *app) chosenWith(ctx context.Context, args []string, option string, top int) (*design.Frame, *search.Option, *search.Result, error) {
	p, err := a.open(args)
	if err != nil {
		return nil, nil, nil, err
	}
	if option == "" {
		option = p.Brief.Choose.Option
	}
	f, err := design.NewFrame(&p.Brief)
	if err != nil {
		return nil, nil, nil, err
	}
	var found *search.Result
	if option == "" {
		if found, err = a.leading(ctx, f, top); err != nil {
			return nil, nil, nil, err
		}
		option = found.Packs[0].ID
	}
	o, err := search.Find(f, option)
	if err == nil {
		err = ctx.Err()
	}
	return f, o, found, err
}

// leading searches and says what the first option is; there is one.
func (a *app) leading(ctx context.Context, f *design.Frame, top int) (*search.Result, error) {
	draw, clear := a.progress("looking at candidates")
	res, err := search.Run(ctx, f, search.Options{Top: top, Progress: draw})
	clear()
	switch {
	case err != nil:
		return nil, err
	case len(res.Packs) == 0:
		fmt.Fprintf(a.err, "packyard: no option is named and none fits\nhint: packyard options %s says why; --option takes one that does not fit too\n", quote(a.dir))
		return nil, errFindings
	}
	fmt.Fprintf(a.err, "packyard: no option is named: this is the first of packyard options, %s\n", res.Packs[0].ID)
	return res, nil
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
