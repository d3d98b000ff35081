package main

import (
	"context"
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"packyard/check"
	"packyard/design"
	"packyard/schedule"
	"packyard/search"
	"packyard/spread"
	"packyard/unit"
)

// spreadFlags are the choices of drive --spread.
type spreadFlags struct {
	on            bool
	samples, seed int
	supply        string // of the charge whose time is drawn
}

func (fl *spreadFlags) add(c *cobra.Command) {
	fl.samples = spreadSamples
	yesFlag(c, &fl.on, "spread", "draw the inputs that were given with a spread: P10, P50 and P90, and the share of each input")
	c.Flags().Var(number{&fl.samples, "samples", spread.SamplesMin, spreadSamplesMost}, "samples",
		fmt.Sprintf("with --spread: samples, a power of two (%d to %d); each makes inputs + 2 runs", spread.SamplesMin, spreadSamplesMost))
	c.Flags().Var(number{&fl.seed, "seed", 0, spreadSeedMost}, "seed", "with --spread: the same seed gives the same figures")
	c.Flags().StringVar(&fl.supply, "supply", design.SupplyUsual, "with --spread: what the pack is charged from, for the time of a charge")
}

// The samples of a spread when none are asked for, and bounds of the flags: the
// most samples of twelve inputs are a million runs.
const (
	spreadSamples     = 512
	spreadSamplesMost = 1 << 16
	spreadSeedMost    = 1 << 30
)

// check refuses what a spread does not go with.
func (fl *spreadFlags) check(c *cobra.Command, d *driveFlags) error {
	if !fl.on {
		for _, name := range []string{"samples", "seed", "supply"} {
			if c.Flags().Changed(name) {
				return usagef("--%s goes with --spread only", name)
			}
		}
		return nil
	}
	switch {
	case d.once:
		return usagef("--spread draws complete range runs: it does not go with --once")
	case d.schedule == "all":
		return usagef("--spread draws one schedule: it does not go with --schedule all")
	}
	return nil
}

// driveSpread draws the uncertain inputs of the project and prints how sure the
// range run of the option is.
func (a *app) driveSpread(ctx context.Context, f *design.Frame, o *search.Option, s *schedule.Schedule, fl *driveFlags) error {
	t := &spread.Trip{Option: search.Place(f, o), Schedule: s, End: fl.end}
	asked, err := design.ChargeAsked{Supply: fl.spread.supply}.Read()
	if err != nil {
		return askedUsage(err)
	}
	t.Supply = asked.Supply
	draw, clear := a.progress("drawing")
	r, err := spread.Range(ctx, f, t, spread.Options{Samples: fl.spread.samples, Seed: fl.spread.seed, Progress: draw})
	clear()
	switch {
	case err != nil:
		return fmt.Errorf("schedule %s: %w", s.ID, err)
	case fl.csv:
		return a.draws(r)
	case a.json:
		err = writeJSON(a.out, r)
	default:
		a.printSpread(f, r)
	}
	if err != nil {
		return err
	}
	return verdict(r.Findings)
}

func (a *app) printSpread(f *design.Frame, r *spread.RangeReport) {
	fmt.Fprintln(a.out, titled(f.Brief.Title, f.Brief.Invented))
	fmt.Fprintf(a.out, "%s, %s, every cell alike (%s), %s to empty\n", r.Option, r.Life, r.Fidelity, r.Schedule)
	if len(r.Spread.Inputs) == 0 {
		a.printNotDrawn(r)
		fmt.Fprintln(a.out, "no input of this run was given with a spread: write one as 0.42 ± 0.03, 142 kg ± 2 kg max or 10…18 °C")
		return
	}
	fmt.Fprintf(a.out, "%s of %s, seed %d\n\n", check.Plural(r.Spread.Runs, "run"), check.Plural(len(r.Spread.Inputs), "input"), r.Spread.Seed)
	t := newTable("figure", ">as stated", ">P10", ">P50", ">P90", ">± error")
	rows := func(stated []check.Figure, s *spread.Result) {
		for i := range s.Figures {
			g := &s.Figures[i]
			t.add(g.Name, a.road(stated[i]), a.road(g.P10.Value), a.road(g.P50.Value), a.road(g.P90.Value), a.roadError(g))
		}
	}
	rows(r.Stated, r.Spread)
	if r.Pack.Spread != nil {
		rows(r.Pack.Stated, r.Pack.Spread)
	}
	t.print(a.out)
	fmt.Fprintln(a.out, "P10 is not exceeded in 10 of 100 draws, P90 in 90; ± error: the largest standard error of the three")
	if p := r.Pack; p.Spread != nil {
		wrapped(a.out, "", "", fmt.Sprintf("hottest cell and charge, from %s, in %s: %s", p.Supply, check.Plural(p.Spread.Runs, "run"), p.Fidelity))
	}
	for _, why := range r.Pack.LeftOut {
		wrapped(a.out, "", "  ", "left out: "+why)
	}
	a.printShares(r)
	a.printPackShares(r)
	a.printSettled(r)
	a.printPackSettled(r.Pack)
	a.printNotDrawn(r)
	a.printSpreadFindings(r)
}

// largestError returns the largest standard error of the quantiles.
func largestError(g *spread.Outcome) check.Figure {
	f := g.P50.Value
	f.SI = max(g.P10.Error, g.P50.Error, g.P90.Error)
	return f
}

// road prints a figure of a range run in the units of distances on the road.
func (a *app) road(f check.Figure) string {
	switch f.Noun {
	case unit.Noun[unit.Length]():
		return a.far(unit.Length(f.SI)) + " " + a.farUnit()
	case unit.Noun[unit.Consumption]():
		return a.per(unit.Consumption(f.SI)) + " " + a.perUnit()
	case unit.Noun[unit.Energy]():
		return fixed(unit.Energy(f.SI).KilowattHours(), 2) + " kWh"
	}
	if f.Noun == unit.Noun[unit.Time]() {
		return fixed(unit.Time(f.SI).Hours(), 2) + " h"
	}
	return a.figure(f)
}

// roadError prints the largest standard error of the quantiles; that of a
// temperature is a difference.
func (a *app) roadError(g *spread.Outcome) string {
	e := largestError(g)
	if e.Noun == unit.Noun[unit.Temperature]() {
		return of(a, unit.TemperatureDelta(e.SI))
	}
	return a.road(e)
}

// shareOf prints a share of the variance; less than none is the error of the
// estimate.
func shareOf(r unit.Ratio) string { return fixed(100*max(0, float64(r)), 1) }

// shortName is the last word of the name of a figure, but for energies that are
// known by where they are measured.
func shortName(name string) string {
	_, where, found := strings.Cut(name, " the ")
	if found {
		return where
	}
	name, _, _ = strings.Cut(name, " ")
	return name
}

// printShares ranks the inputs by their total share of the range, and shows what
// they make of the other figures.
func (a *app) printShares(r *spread.RangeReport) {
	a.heading("Where the spread comes from")
	head := []string{"input", "stated", ">first-order|%", ">total|%", ">± error|%"}
	for _, g := range r.Spread.Figures[1:] {
		head = append(head, ">"+shortName(g.Name)+"|%")
	}
	t := newTable(head...)
	written := map[string]string{}
	for _, in := range r.Spread.Inputs {
		written[in.Name] = stated(&in)
	}
	sum := 0.0
	for _, s := range r.Spread.Figures[0].Shares {
		sum += float64(s.First)
		row := []string{s.Input, written[s.Input], shareOf(s.First), shareOf(s.Total), shareOf(max(s.FirstError, s.TotalError))}
		for _, g := range r.Spread.Figures[1:] {
			for _, other := range g.Shares {
				if other.Input == s.Input {
					row = append(row, shareOf(other.Total))
				}
			}
		}
		t.add(row...)
	}
	t.print(a.out)
	fmt.Fprintln(a.out, "shares of the variance of the range, with their larger standard error, then total shares of the other figures")
	fmt.Fprintln(a.out, "first-order: what knowing the input takes away; total: what is left when all the others are known")
	fmt.Fprintf(a.out, "what inputs do together only: %s %%\n", shareOf(unit.Ratio(1-sum)))
}

// printPackShares ranks the inputs by what they make of hottest cell and charge
// time.
func (a *app) printPackShares(r *spread.RangeReport) {
	if r.Pack.Spread == nil {
		return
	}
	for i := range r.Pack.Spread.Figures {
		g := &r.Pack.Spread.Figures[i]
		if len(g.Shares) == 0 {
			continue // left out, with a reason
		}
		a.heading("Where the spread of the %s comes from", g.Name)
		t := newTable("input", ">first-order|%", ">total|%", ">± error|%")
		for _, s := range g.Shares {
			t.add(s.Input, shareOf(s.First), shareOf(s.Total), shareOf(max(s.FirstError, s.TotalError)))
		}
		t.print(a.out)
	}
}

// printPackSettled shows how hottest cell and charge time settled.
func (a *app) printPackSettled(p *spread.PackReport) {
	if p.Spread == nil {
		return
	}
	for i := range p.Spread.Figures {
		g := &p.Spread.Figures[i]
		if len(g.Shares) == 0 {
			continue
		}
		a.heading("How the %s settled", g.Name)
		t := newTable(">samples", ">P10", ">P50", ">P90", ">first-order|%", ">total|%", "of")
		for _, s := range g.Steps {
			t.add(check.Whole(s.Samples), a.road(s.P10), a.road(s.P50), a.road(s.P90), shareOf(s.First[0]), shareOf(s.Total[0]), g.Shares[0].Input)
		}
		t.print(a.out)
	}
}

// stated prints an input as it was written, or from how many values it was drawn.
func stated(in *spread.Drawn) string {
	if in.From > 0 {
		return check.Plural(in.From, "measured value")
	}
	return in.Text
}

// printSettled shows how the range settled with the samples.
func (a *app) printSettled(r *spread.RangeReport) {
	g := &r.Spread.Figures[0]
	if len(g.Shares) == 0 {
		return
	}
	a.heading("How the range settled")
	t := newTable(">samples", ">P10|"+a.farUnit(), ">P50|"+a.farUnit(), ">P90|"+a.farUnit(), ">first-order|%", ">total|%", "of")
	for _, s := range g.Steps {
		far := func(f check.Figure) string { return a.far(unit.Length(f.SI)) }
		t.add(check.Whole(s.Samples), far(s.P10), far(s.P50), far(s.P90), shareOf(s.First[0]), shareOf(s.Total[0]), g.Shares[0].Input)
	}
	t.print(a.out)
}

// printNotDrawn lists the spreads that do not enter the run.
func (a *app) printNotDrawn(r *spread.RangeReport) {
	if len(r.Unused) == 0 {
		return
	}
	a.heading("Stated, and not drawn")
	t := newTable("input", "stated", "why")
	for _, u := range r.Unused {
		t.add(u.Input, u.Text, u.Why)
	}
	t.print(a.out)
}

// printSpreadFindings prints what the draws say of the wanted range, and what
// was cut.
func (a *app) printSpreadFindings(r *spread.RangeReport) {
	if r.Target != nil {
		a.heading("The wanted range")
		often := fixed(100*float64(r.Target.Share), 1) + " of 100 draws"
		if n := len(r.Spread.Columns.Figure[0]); r.Target.Over == check.Always {
			often = "all of " + check.Plural(n, "draw")
		}
		fmt.Fprintf(a.out, "%s are reached in %s\n", of(a, r.Target.Wanted), often)
	}
	for _, g := range r.Findings {
		if g.Severity > check.Note {
			wrapped(a.out, "", "  ", g.Text(a.system))
		}
	}
}

// draws writes the draws as columns: inputs, then figures.
func (a *app) draws(r *spread.RangeReport) error {
	w := csv.NewWriter(a.out)
	var head []string
	var columns [][]float64
	for i, in := range r.Spread.Inputs {
		head, columns = append(head, in.Name+" ("+in.Value.Symbol+")"), append(columns, r.Spread.Columns.Input[i])
	}
	for i, g := range r.Spread.Figures {
		head, columns = append(head, g.Name+" ("+g.P50.Value.Symbol+")"), append(columns, r.Spread.Columns.Figure[i])
	}
	if err := w.Write(head); err != nil {
		return err
	}
	row := make([]string, len(columns))
	for k := range columns[0] {
		for i, c := range columns {
			row[i] = strconv.FormatFloat(c[k], 'g', 8, 64)
		}
		if err := w.Write(row); err != nil {
			return err
		}
	}
	w.Flush()
	return w.Error()
}
