package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/schollz/progressbar/v3"
	"github.com/spf13/cobra"

	"packyard/design"
	"packyard/project"
	"packyard/search"
	"packyard/unit"
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
	var fl optionsFlags
	c := &cobra.Command{
		Use:   "options [PROJECT]",
		Short: "every pack that fits, ranked, and why the others do not",
		Long: "options looks at every way of making a pack from the project's sources: opened or as they came, cells in\n" +
			"series and parallel, strings, module lengths and places in the bays. It ranks what fits, counts what fell to\n" +
			"which limit, and names for each limit the smallest relaxation that lets something through.",
		Args: cobra.MaximumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error { return a.options(c, folder(args), &fl) },
	}
	c.Flags().BoolVar(&a.json, "json", false, "print JSON, SI numbers with the unit in the key")
	c.Flags().BoolVar(&fl.csv, "csv", false, "print the ranked packs as CSV")
	c.Flags().IntVar(&fl.top, "top", 20, "how many packs to rank (1 to 1000)")
	c.Flags().StringVar(&fl.rankBy, "rank", "", "rank by "+strings.Join(search.Ways(), ", ")+" (default: what the project asks for)")
	c.Flags().StringVar(&fl.explain, "explain", "", "show the workings of one option, by its name")
	c.Flags().BoolVar(&fl.pareto, "pareto", false, "list the Pareto set instead of the ranking")
	return c
}

func (a *app) options(c *cobra.Command, dir string, fl *optionsFlags) error {
	if fl.top < 1 || fl.top > 1000 {
		return usagef("--top %d: accepted are 1 to 1000", fl.top)
	}
	if fl.rankBy != "" && !slices.Contains(search.Ways(), fl.rankBy) {
		return usagef("--rank %q: accepted are %s", fl.rankBy, strings.Join(search.Ways(), ", "))
	}
	if fl.explain != "" {
		return a.assess(dir, fl.explain, true)
	}
	p, err := project.Open(dir)
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
	res, err := search.Run(c.Context(), f, search.Options{Top: max(fl.top, 50), Progress: a.progress()})
	if err != nil {
		return err
	}
	rep := res.Report(f)
	rep.Ranked = rep.Ranked[:min(len(rep.Ranked), fl.top)]
	if err := a.printOptions(rep, fl, dir); err != nil {
		return err
	}
	if rep.Fits == 0 {
		return errFindings
	}
	return nil
}

// progress returns a callback that draws a bar on standard error, nil where
// standard error is no terminal.
func (a *app) progress() func(done, total int) {
	if !terminal(a.err) {
		return nil
	}
	var bar *progressbar.ProgressBar
	return func(done, total int) {
		if bar == nil {
			bar = progressbar.NewOptions(total, progressbar.OptionSetWriter(a.err),
				progressbar.OptionSetDescription("looking at packs"), progressbar.OptionClearOnFinish(), progressbar.OptionThrottle(100e6))
		}
		_ = bar.Set(done)
	}
}

func (a *app) printOptions(rep *search.Report, fl *optionsFlags, dir string) error {
	switch {
	case a.json:
		return writeJSON(a.out, rep)
	case fl.csv:
		rows := rep.Ranked
		if fl.pareto {
			rows = rep.Pareto
		}
		return csvRows(rep, rows).csv(a.out)
	}
	a.printHead(rep)
	if fl.pareto {
		a.heading("Pareto set over range, mass, price and worst margin")
		a.rows(rep, rep.Pareto).print(a.out)
	} else if rep.Fits > 0 {
		a.heading("Packs that fit, the best cut of each, by %s", rep.RankBy)
		a.rows(rep, rep.Ranked).print(a.out)
		if more := rep.Packs - len(rep.Ranked); more > 0 {
			fmt.Fprintf(a.out, "… and %s more; --top shows them\n", plural(more, "pack"))
		}
		fmt.Fprintln(a.out, "* in the Pareto set: no other option is as good in range, mass, price and worst margin at once")
	}
	a.printFalls(rep)
	a.printMisses(rep)
	a.printNext(rep, dir)
	return nil
}

func (a *app) printHead(rep *search.Report) {
	title := rep.Project
	if rep.Invented {
		title += " (invented demonstration data)"
	}
	fmt.Fprintln(a.out, title)
	var parts []string
	for _, s := range rep.Sources {
		if s.NotSearched != "" {
			parts = append(parts, s.Name+" not searched: "+s.NotSearched)
			continue
		}
		parts = append(parts, s.Name+" "+count(s.Candidates))
	}
	fmt.Fprintf(a.out, "%s candidates looked at: %s\n", count(rep.Candidates), strings.Join(parts, ", "))
	if rep.Fits == 0 {
		fmt.Fprintln(a.out, a.mark("No option fits.", true))
	} else {
		fmt.Fprintf(a.out, "%s fit, in %s\n", plural(rep.Fits, "option"), plural(rep.Packs, "pack"))
	}
	if rep.NotProven > 0 {
		fmt.Fprintf(a.out, "space is not proven either way for %s; they are counted under space\n", plural(rep.NotProven, "candidate"))
	}
}

// rows makes the table of options.
func (a *app) rows(rep *search.Report, list []search.Row) *table {
	t := newTable(">#", "option", ">range new", ">range end", ">usable", ">mass", ">"+rep.Currency, ">full", ">lowest", ">worst margin", "in", ">cuts", "modules by bay", "")
	for i, r := range list {
		star := ""
		if r.Pareto {
			star = "*"
		}
		var bays []string
		for _, n := range r.Bays {
			bays = append(bays, count(n))
		}
		t.add(count(i+1), r.ID, a.length(r.Range), a.length(r.RangeEnd), unit.Format(r.Usable, a.system), unit.Format(r.Mass, a.system),
			count(int(r.Price+0.5)), volts(r.Full), volts(r.Lowest), percent(r.Margin), r.MarginRule, count(r.Cuts), strings.Join(bays, "+"), star)
	}
	return t
}

func volts(v unit.Voltage) string { return fmt.Sprintf("%.1f V", float64(v)) }

// length prints a distance on the road.
func (a *app) length(l unit.Length) string {
	if a.system == unit.US {
		return fmt.Sprintf("%.1f mi", float64(l)/1609.344)
	}
	return fmt.Sprintf("%.1f km", float64(l)/1000)
}

func csvRows(rep *search.Report, list []search.Row) *table {
	t := newTable("rank", "option", "range_km", "range_end_of_life_km", "usable_kwh", "mass_kg", "price_"+strings.ToLower(rep.Currency),
		"voltage_full_v", "voltage_lowest_v", "worst_margin", "worst_margin_rule", "cuts", "modules_by_bay", "pareto")
	num := func(x float64, digits int) string { return fmt.Sprintf("%.*f", digits, x) }
	for i, r := range list {
		t.add(fmt.Sprint(i+1), r.ID, num(float64(r.Range)/1000, 3), num(float64(r.RangeEnd)/1000, 3), num(r.Usable.KilowattHours(), 3),
			num(r.Mass.Kilograms(), 2), num(r.Price, 2), num(float64(r.Full), 2), num(float64(r.Lowest), 2), num(r.Margin, 4), r.MarginRule,
			fmt.Sprint(r.Cuts), strings.Trim(fmt.Sprint(r.Bays), "[]"), fmt.Sprint(r.Pareto))
	}
	return t
}

func (a *app) printFalls(rep *search.Report) {
	if len(rep.Falls) == 0 {
		return
	}
	a.heading("Why the others fell")
	t := newTable("limit", ">alone", ">with others", "what is compared")
	for _, f := range rep.Falls {
		t.add(f.Rule, count(f.Alone), count(f.Others), f.Subject)
	}
	t.print(a.out)
}

func (a *app) printMisses(rep *search.Report) {
	if len(rep.Misses) > 0 {
		a.heading("Nearest misses: the smallest change of one limit that lets something more through")
		for _, m := range rep.Misses {
			a.printMiss(rep, m)
		}
	}
	if rep.Joint != nil {
		a.heading("No single change lets anything through. The smallest joint one:")
		a.printMiss(rep, *rep.Joint)
	}
}

func (a *app) printMiss(rep *search.Report, m search.MissRow) {
	var what []string
	for _, l := range m.Limits {
		if m.Growth != nil && l.Rule == design.Space.String() {
			what = append(what, fmt.Sprintf("%s: bay %q %s more %s", l.Rule, m.Growth.Bay, unit.Format(m.Growth.By, a.system), m.Growth.Axis))
			continue
		}
		more := "more"
		if l.Value.SI < l.Limit.SI {
			more = "less"
		}
		what = append(what, fmt.Sprintf("%s: %s %s (%s instead of %s, %s)", l.Rule, l.By.Text(a.system), more,
			l.Value.Text(a.system), l.Limit.Text(a.system), percent(l.Share)))
	}
	o := m.Option
	wrapped(a.out, "  ", fmt.Sprintf("%s admits %s: %s, %s, %s %s", strings.Join(what, "; "), o.ID,
		a.length(o.Range), unit.Format(o.Mass, a.system), count(int(o.Price+0.5)), rep.Currency))
}

func (a *app) printNext(rep *search.Report, dir string) {
	a.heading("Where to look next")
	if len(rep.Ranked) > 0 {
		fmt.Fprintf(a.out, "  packyard assess %s --option %s\n", dir, rep.Ranked[0].ID)
		fmt.Fprintf(a.out, "  packyard options %s --explain %s\n", dir, rep.Ranked[0].ID)
		fmt.Fprintf(a.out, "  packyard drive %s --option %s --schedule all\n", dir, rep.Ranked[0].ID)
	} else if len(rep.Misses) > 0 {
		fmt.Fprintf(a.out, "  packyard assess %s --option %s\n", dir, rep.Misses[0].Option.ID)
	}
	fmt.Fprintln(a.out, "Estimates for qualified people. High voltage, stored energy and fire can kill; local codes and licensed practice decide.")
}
