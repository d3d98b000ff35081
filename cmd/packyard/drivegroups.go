package main

import (
	"context"
	"fmt"
	"os"

	"github.com/spf13/cobra"

	"packyard/design"
	"packyard/drive"
	"packyard/project"
	"packyard/schedule"
	"packyard/search"
)

// groupFlags are the choices of drive --per-group and drive --pace.
type groupFlags struct {
	on, still, pace bool
	draw            int // −1: groups alike
	cellMap         string
}

func (fl *groupFlags) add(c *cobra.Command) {
	fl.draw = -1
	yesFlag(c, &fl.on, "per-group", "every series group by itself: charge, resistance, temperature; electricity and heat together")
	yesFlag(c, &fl.still, "still", "with --per-group: the cells stay at the ambient temperature")
	c.Flags().Var(number{&fl.draw, "draw-groups", -1, spreadSeedMost}, "draw-groups",
		"with --per-group: draw the groups from the ± of the source's state_of_health and resistance_growth, with this seed (-1: groups alike)")
	c.Flags().StringVar(&fl.cellMap, "cell-map", "", "with --per-group: `FILE` with the groups as packyard bench match put them together")
	yesFlag(c, &fl.pace, "pace", "acceleration, top speed and grades instead of a schedule, full and at 20 %, warm and cold")
}

// check refuses what does not go together.
func (fl *groupFlags) check(d *driveFlags) error {
	switch {
	case !fl.on && (fl.still || fl.draw >= 0 || fl.cellMap != ""):
		return usagef("--still, --draw-groups and --cell-map go with --per-group")
	case fl.cellMap != "" && (fl.draw >= 0 || d.end):
		return usagef("--cell-map holds the groups as they were measured: it does not go with --draw-groups or --end-of-life")
	case fl.pace && (fl.on || d.csv || d.once || d.spread.on || d.schedule != ""):
		return usagef("--pace drives no schedule: it goes with --option, --end-of-life and --json only")
	case fl.on && d.spread.on:
		return usagef("--spread draws lumped runs: it does not go with --per-group")
	}
	return nil
}

func (a *app) driveGroups(ctx context.Context, f *design.Frame, o *search.Option, list []*schedule.Schedule, fl *driveFlags) error {
	p := search.Place(f, o)
	trip := design.GroupTrip{End: fl.end, Once: fl.once, Still: fl.groups.still, Halt: ctx.Err}
	if fl.groups.draw >= 0 {
		var err error
		if trip.Start, err = f.DrawGroups(p, fl.end, uint64(fl.groups.draw)); err != nil {
			return usageError{err}
		}
	}
	if fl.groups.cellMap != "" {
		var err error
		if trip.Start, err = matchedGroups(f, p, fl.groups.cellMap); err != nil {
			return err
		}
	}
	var reports []design.GroupReport
	for _, s := range list {
		if err := ctx.Err(); err != nil {
			return err
		}
		trip.Schedule = s
		if fl.csv {
			trip.Trace, trip.Groups = &drive.Trace{}, &drive.GroupTrace{}
		}
		r, err := f.DriveGroups(p, &trip)
		if err != nil {
			return fmt.Errorf("schedule %s: %w", s.ID, err)
		}
		if fl.csv {
			return a.groupTrace(trip.Trace, trip.Groups)
		}
		report := f.GroupReport(o.ID, p, &trip, &r)
		report.Drawn, report.Matched = fl.groups.draw >= 0, fl.groups.cellMap
		reports = append(reports, report)
	}
	if a.json {
		if err := writeJSON(a.out, reports); err != nil {
			return err
		}
	} else {
		a.printGroups(f, reports)
	}
	for i := range reports {
		if err := verdict(reports[i].Run.Findings); err != nil {
			return err
		}
	}
	return nil
}

// matchedGroups reads the groups of a cell map for the pack of an option.
func matchedGroups(f *design.Frame, p *design.Placed, file string) ([]drive.GroupStart, error) {
	in, err := os.Open(file)
	if err != nil {
		return nil, err
	}
	defer func() { _ = in.Close() }()
	groups, err := project.ReadCellMap(in)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	each := 1
	if m := f.Brief.Sources[p.Candidate.Source].Module; m != nil {
		each = m.Slice.Series
	}
	starts, err := project.GroupStarts(groups, each, p.Wiring.Topology.Series*p.Wiring.Topology.Strings)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	return starts, nil
}

// limitLines is how many lines of limits are printed for a schedule.
const limitLines = 6

func (a *app) printGroups(f *design.Frame, list []design.GroupReport) {
	first := &list[0]
	alike := "groups alike"
	if first.Matched != "" {
		alike = "groups as matched in " + first.Matched
	}
	if first.Drawn {
		alike = "groups drawn from what was stated"
	}
	fmt.Fprintln(a.out, titled(f.Brief.Title, f.Brief.Invented))
	fmt.Fprintf(a.out, "%s, %s, %d groups, each by itself (%s), %s\n", first.Run.Option, first.Run.Life, first.Groups, first.Run.Performance.Fidelity, alike)
	switch {
	case first.Why != "":
		fmt.Fprintf(a.out, "cells held at %s: %s\n\n", of(a, f.Brief.Road.Ambient), first.Why)
	case first.Held:
		fmt.Fprintf(a.out, "cells held at %s\n\n", of(a, f.Brief.Road.Ambient))
	default:
		fmt.Fprintf(a.out, "heat runs along, start and air at %s\n\n", of(a, f.Brief.Road.Ambient))
	}
	plain := make([]design.DriveReport, len(list))
	for i := range list {
		plain[i] = list[i].Run
	}
	a.driveTable(plain)
	fmt.Fprintln(a.out)
	t := newTable("schedule", ">weakest|V", ">group", ">strongest|V", ">group", ">hottest|°C", ">group", ">coldest|°C", ">group", ">empties|group", ">left|kWh")
	for i := range list {
		r := &list[i]
		t.add(r.Run.Schedule, fixed(float64(r.VoltageMin), 3), fmt.Sprint(r.GroupMin), fixed(float64(r.VoltageMax), 3), fmt.Sprint(r.GroupMax),
			celsius(float64(r.HottestTemp)), fmt.Sprint(r.Hottest), celsius(float64(r.ColdestTemp)), fmt.Sprint(r.Coldest),
			fmt.Sprint(r.Empties), fixed(r.Left.KilowattHours(), 2))
	}
	t.print(a.out)
	t = newTable("schedule", "limited by", ">group", ">time|s", ">times", ">first|s")
	for i := range list {
		for k, l := range list[i].Limits[:min(limitLines, len(list[i].Limits))] {
			name, what, group := list[i].Run.Schedule, l.Limiter, "pack"
			if k > 0 {
				name = ""
			}
			if l.Charging {
				what += ", charging"
			}
			if l.Group > 0 {
				group = fmt.Sprint(l.Group)
			}
			t.add(name, what, group, fixed(float64(l.Time), 0), fmt.Sprint(l.Times), fixed(float64(l.First), 0))
		}
	}
	if len(t.rows) > 0 {
		fmt.Fprintln(a.out)
		t.print(a.out)
	}
	for i := range list {
		a.chargeFindings(list[i].Run.Findings)
	}
}

// groupTrace writes the columns of a run per group. Groups count from 1.
func (a *app) groupTrace(t *drive.Trace, g *drive.GroupTrace) error {
	n := min(len(t.Time), len(g.Time))
	number := func(x []int) []float64 {
		out := make([]float64, n)
		for i := range out {
			out[i] = float64(x[i] + 1)
		}
		return out
	}
	return writeColumns(a.out, append(traceColumns(t),
		column{"weakest_group_v", g.VoltageMin}, column{"weakest_group", number(g.GroupMin)},
		column{"strongest_group_v", g.VoltageMax}, column{"strongest_group", number(g.GroupMax)},
		column{"hottest_k", g.TemperatureMax}, column{"hottest_group", number(g.Hottest)},
		column{"coldest_k", g.TemperatureMin}, column{"coldest_group", number(g.Coldest)},
		column{"cell_heat_w", g.Heat}))
}
