package main

import (
	"fmt"
	"strings"
	"time"

	"github.com/schollz/progressbar/v3"
	"github.com/spf13/cobra"

	"packyard/design"
	"packyard/search"
)

// How many packs are listed if nothing is said and at most, and how many are
// worked out in any case.
const (
	topShown  = 20
	topMost   = 1000
	topWorked = 50
)

// optionsFlags are the choices of the options command.
type optionsFlags struct {
	csv     bool
	top     int
	rankBy  string
	explain string
	pareto  bool
}

func (a *app) optionsCommand() *cobra.Command {
	fl := optionsFlags{top: topShown}
	c := &cobra.Command{
		Use:   "options [PROJECT]",
		Short: "every pack that fits, ranked, and why the others do not",
		Long: "options looks at every way of making a pack from the project's sources: opened or as they came, cells in\n" +
			"series and parallel, strings, module lengths and places in the bays. It ranks what fits, counts what fell to\n" +
			"which limit, and names for each limit the smallest relaxation that lets something through.",
		Args: atMostOneProject,
		RunE: func(c *cobra.Command, args []string) error { return a.options(c, args, &fl) },
	}
	yesFlag(c, &a.json, "json", "print JSON, SI numbers with the unit in the key")
	yesFlag(c, &fl.csv, "csv", "print the list as CSV, the unit in the name of the column")
	c.Flags().Var(number{&fl.top, "top", 1, topMost}, "top", fmt.Sprintf("how many packs to list (1 to %d)", topMost))
	c.Flags().Var(choice{&fl.rankBy, "rank", search.Ways()}, "rank", "rank by "+strings.Join(search.Ways(), ", ")+" (else by what the project asks for)")
	c.Flags().StringVar(&fl.explain, "explain", "", "name of one option, to show how its numbers came about")
	yesFlag(c, &fl.pareto, "pareto", "list the Pareto set instead of the ranking")
	_ = c.RegisterFlagCompletionFunc("rank", cobra.FixedCompletions(search.Ways(), cobra.ShellCompDirectiveNoFileComp))
	return c
}

func (a *app) options(c *cobra.Command, args []string, fl *optionsFlags) error {
	switch {
	case a.json && fl.csv:
		return usagef("--json and --csv: one of the two is accepted")
	case fl.explain != "" && (fl.csv || fl.pareto):
		return usagef("--explain shows one option: it does not go with --csv or --pareto")
	case fl.explain != "":
		return a.assess(c.Context(), args, fl.explain, true)
	}
	p, err := a.open(args)
	if err != nil {
		return err
	}
	if fl.rankBy != "" {
		p.Brief.Choose.RankBy = fl.rankBy
	}
	f, err := design.NewFrame(&p.Brief)
	if err != nil {
		return err
	}
	draw, clear := a.progress("looking at candidates")
	res, err := search.Run(c.Context(), f, search.Options{Top: max(fl.top, topWorked), Progress: draw})
	clear()
	if err != nil {
		return err
	}
	rep := res.Report(f)
	rep.Ranked = rep.Ranked[:min(len(rep.Ranked), fl.top)]
	if err := a.printOptions(rep, fl); err != nil {
		return err
	}
	if rep.Fits == 0 {
		return errFindings
	}
	return nil
}

// progress returns a callback that draws a bar on standard error, nil where
// standard error is no terminal, and a function that takes the bar away.
func (a *app) progress(what string) (draw func(done, total int), clear func()) {
	if !terminal(a.err) {
		return nil, func() {}
	}
	var bar *progressbar.ProgressBar
	draw = func(done, total int) {
		if bar == nil {
			bar = progressbar.NewOptions(total, progressbar.OptionSetWriter(a.err), progressbar.OptionSetWidth(30),
				progressbar.OptionSetDescription(what), progressbar.OptionClearOnFinish(),
				progressbar.OptionThrottle(100*time.Millisecond))
		}
		_ = bar.Set(done)
	}
	return draw, func() {
		if bar != nil {
			_ = bar.Clear()
		}
	}
}
