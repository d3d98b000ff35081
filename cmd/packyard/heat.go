package main

import (
	"context"
	"errors"
	"fmt"
	"math"

	"github.com/spf13/cobra"

	"packyard/check"
	"packyard/design"
	"packyard/drive"
	"packyard/search"
	"packyard/unit"
)

// heatFlags are the choices of the heat command.
type heatFlags struct {
	option, duty, schedule, air, start, long, charge string
	end, csv, explain                                bool
}

func (a *app) heatCommand() *cobra.Command {
	var fl heatFlags
	c := &cobra.Command{
		Use:   "heat [PROJECT]",
		Short: "temperatures of every group in a duty: a climb, a schedule, a charge, a cold night",
		Long: "heat puts one option through a duty, every series group by itself, with its holders, plates, coolant and boxes.\n" +
			"A duty is \"schedule\", \"grade 8 % at 50 km/h\", \"full power\", \"charge 100 A\", \"soak 12 h\" or\n" +
			"\"soak 12 h, preheat to 10 °C\". How the pack is cooled stands in the project under cooling.",
		Args: atMostOneProject,
		RunE: func(c *cobra.Command, args []string) error { return a.heat(c.Context(), args, &fl) },
	}
	c.Flags().StringVar(&fl.option, "option", "", "name of the option (default: the one that the project fixes, else the first of packyard options)")
	c.Flags().StringVar(&fl.duty, "duty", string(drive.DutySchedule), "what the pack is put through")
	c.Flags().StringVar(&fl.schedule, "schedule", "", "schedule of the duty schedule (default: the one that the project wants the range on)")
	c.Flags().StringVar(&fl.air, "ambient", "", "temperature outside, \"36 °C\" (default: the hottest day, of a soak the coldest)")
	c.Flags().StringVar(&fl.start, "cells", "", "temperature of the pack at the start (default: that outside, of a soak 20 °C)")
	c.Flags().StringVar(&fl.charge, "from", "", "charge of the cells at the start (default: full, of a charge 10 %)")
	c.Flags().StringVar(&fl.long, "for", "", "how long at most, \"30 min\" (default: 2 h)")
	yesFlag(c, &fl.end, "end-of-life", "with the cells at the planned end of life")
	yesFlag(c, &fl.explain, "explain", "show the workings and what was assumed")
	yesFlag(c, &a.json, "json", "print JSON, SI numbers with the unit in the key")
	yesFlag(c, &fl.csv, "csv", "print the duty over time as CSV, SI with the unit in the column name")
	return c
}

func (a *app) heat(ctx context.Context, args []string, fl *heatFlags) error {
	if fl.csv && a.json {
		return usagef("--csv and --json do not go together")
	}
	w, err := fl.warming()
	if err != nil {
		return err
	}
	f, o, err := a.chosen(ctx, args, fl.option)
	if err != nil {
		return err
	}
	if w.Duty.Kind == drive.DutySchedule {
		list, err := schedulesFor(f, a.dir, fl.schedule)
		if err != nil {
			return err
		}
		w.Duty.Schedule = list[0]
	}
	w.Halt = ctx.Err
	got, err := f.Heat(search.Place(f, o), w)
	if err != nil {
		return err
	}
	r := f.HeatReport(o.ID, &got)
	r.Trace = design.HeatTraceOf(&got.Trace)
	switch {
	case fl.csv:
		err = a.heatTrace(r.Trace)
	case a.json:
		err = writeJSON(a.out, r)
	default:
		a.printHeat(f, r, fl)
	}
	if err != nil {
		return err
	}
	return verdict(r.Findings)
}

// warming reads the flags.
func (fl *heatFlags) warming() (design.Warming, error) {
	w, err := design.HeatAsked{Duty: fl.duty, Ambient: fl.air, Cells: fl.start, From: fl.charge, For: fl.long}.Read()
	w.End = fl.end
	switch {
	case err != nil:
		return w, askedUsage(err)
	case fl.schedule == "all":
		return w, usagef("--schedule all: one schedule is accepted")
	case fl.schedule != "" && w.Duty.Kind != drive.DutySchedule:
		return w, usagef("--schedule goes with the duty schedule, not with %q", fl.duty)
	}
	return w, nil
}

// askedUsage turns a text that cannot be read into a fault of the flag of its
// name.
func askedUsage(err error) error {
	var asked *design.AskedError
	if errors.As(err, &asked) {
		return usagef("--%s: %w", asked.Field, asked.Err)
	}
	return err
}

func (a *app) printHeat(f *design.Frame, r *design.HeatReport, fl *heatFlags) {
	fmt.Fprintln(a.out, titled(f.Brief.Title, f.Brief.Invented))
	fmt.Fprintf(a.out, "%s, %s, every group by itself, cooling: %s\n", r.Option, r.Life, r.Cooling)
	fmt.Fprintf(a.out, "%s, outside %s, pack at the start %s\n\n", r.Duty, of(a, r.Air), of(a, r.Start))
	a.heatTable(r)
	fmt.Fprintf(a.out, "\nhottest group %s after %s min: %s\n", of(a, r.Hottest.Temperature), minutes(r.Hottest.At), r.Hottest.Name)
	fmt.Fprintf(a.out, "coldest group %s after %s min: %s\n", of(a, r.Coldest.Temperature), minutes(r.Coldest.At), r.Coldest.Name)
	fmt.Fprintf(a.out, "largest spread %s after %s min\n", of(a, unit.TemperatureDelta(math.Round(10*float64(r.Spread))/10)), minutes(r.SpreadAt))
	switch {
	case r.Derated && r.DeratedGroup > 0:
		fmt.Fprintf(a.out, "derated from %s min, by the %s of group %d\n", minutes(r.DeratedFrom), r.DeratedBy, r.DeratedGroup)
	case r.Derated:
		fmt.Fprintf(a.out, "derated from %s min, by the %s\n", minutes(r.DeratedFrom), r.DeratedBy)
	default:
		fmt.Fprintln(a.out, "not derated")
	}
	if r.Flow > 0 {
		fmt.Fprintf(a.out, "coolant flow up to %s at a pump head of %s\n", of(a, r.Flow), of(a, r.Head))
	}
	if r.HeaterEnergy > 0 {
		fmt.Fprintf(a.out, "heater energy %s", of(a, r.HeaterEnergy))
		if r.PreheatTime > 0 {
			fmt.Fprintf(a.out, ", preheated in %s min", minutes(r.PreheatTime))
		}
		fmt.Fprintln(a.out)
	}
	if r.LoadEnergy > r.HeaterEnergy {
		fmt.Fprintf(a.out, "pump, fan and chiller %s\n", of(a, r.LoadEnergy-r.HeaterEnergy))
	}
	fmt.Fprintf(a.out, "ended after %s min: %s; charge of the weakest group %s\n", minutes(r.Duration), r.Ended, whole(r.ChargeEnd))
	for i, n := range r.Findings {
		if i == 0 {
			fmt.Fprintln(a.out)
		}
		wrapped(a.out, "", "  ", n.Text(a.system))
	}
	if fl.explain {
		a.heatExplain(r)
	}
}

// heatRows is how many rows of the trace are printed.
const heatRows = 10

func (a *app) heatTable(r *design.HeatReport) {
	liquid := r.Cooling == "plates"
	head := []string{">time|min", ">hottest|°C", ">coldest|°C", ">spread|K", ">asked|kW", ">given|kW", ">charge|%"}
	if liquid {
		head = append(head, ">coolant in|°C", ">coolant out|°C", ">flow|L/min")
	}
	t := newTable(head...)
	x := r.Trace
	n := len(x.Time)
	for i := range min(heatRows, n) {
		k := i * (n - 1) / max(min(heatRows, n)-1, 1)
		cells := []string{fixed(x.Time[k]/60, 1), celsius(x.Hottest[k]), celsius(x.Coldest[k]), fixed(x.Hottest[k]-x.Coldest[k], 1),
			fixed(x.Asked[k]/1e3, 1), fixed(x.Given[k]/1e3, 1), fixed(100*x.Charge[k], 0)}
		if liquid {
			cells = append(cells, celsius(x.Inlet[k]), celsius(x.Outlet[k]), fixed(unit.VolumeFlow(x.Flow[k]).LitresPerMinute(), 1))
		}
		t.add(cells...)
	}
	t.print(a.out)
}

func celsius(kelvin float64) string { return fixed(unit.Temperature(kelvin).Celsius(), 1) }

func minutes(t unit.Time) string { return fixed(t.Minutes(), 1) }

// heatExplain prints the workings and what was assumed for cooling.
func (a *app) heatExplain(r *design.HeatReport) {
	a.heading("workings")
	for _, w := range r.Workings {
		fmt.Fprint(a.out, w.Text(a.system))
	}
	if len(r.Assumed) > 0 {
		a.heading("assumed for cooling")
		t := newTable("what", ">value", "source")
		for _, s := range r.Assumed {
			t.add(s.Subject, a.figure(s.Value), check.SourceTitle(s.Source))
		}
		t.body(a.out)
	}
}

// heatTrace writes the columns of a duty.
func (a *app) heatTrace(t *design.HeatTrace) error {
	return writeColumns(a.out, []column{
		{"time_s", t.Time}, {"hottest_k", t.Hottest}, {"coldest_k", t.Coldest}, {"mean_k", t.Mean}, {"coolant_in_k", t.Inlet}, {"coolant_out_k", t.Outlet},
		{"coolant_flow_m3_per_s", t.Flow}, {"pump_head_pa", t.Head}, {"asked_w", t.Asked}, {"given_w", t.Given}, {"cooling_load_w", t.Load},
		{"cells_charge_share", t.Charge},
	})
}
