package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"strings"

	"github.com/spf13/cobra"

	"packyard/check"
	"packyard/design"
	"packyard/drive"
	"packyard/project"
	"packyard/schedule"
)

// driveFlags are the choices of the drive command.
type driveFlags struct {
	option, schedule string
	once, end, csv   bool
	spread           spreadFlags
	groups           groupFlags
}

func (a *app) driveCommand() *cobra.Command {
	var fl driveFlags
	c := &cobra.Command{
		Use:   "drive [PROJECT]",
		Short: "range, energy and traces of one option on one schedule or on all",
		Long: "drive runs the option on a schedule, repeated from full until it ends, as bought or at the end of life.\n" +
			"A schedule is a name of packyard schedules, \"constant 60 km/h\", or a CSV or GPX file of the project's routes.",
		Args: atMostOneProject,
		RunE: func(c *cobra.Command, args []string) error {
			if err := fl.spread.check(c, &fl); err != nil {
				return err
			}
			if err := fl.groups.check(&fl); err != nil {
				return err
			}
			return a.drive(c.Context(), args, &fl)
		},
	}
	c.Flags().StringVar(&fl.option, "option", "", "name of the option (default: the one that the project fixes, else the first of packyard options)")
	c.Flags().StringVar(&fl.schedule, "schedule", "", "schedule, or all (default: the one that the project wants the range on)")
	yesFlag(c, &fl.once, "once", "drive the schedule once instead of to empty")
	yesFlag(c, &fl.end, "end-of-life", "with the cells at the planned end of life")
	yesFlag(c, &a.json, "json", "print JSON, SI numbers with the unit in the key")
	yesFlag(c, &fl.csv, "csv", "print the trace of one schedule as CSV, SI with the unit in the column name")
	fl.spread.add(c)
	fl.groups.add(c)
	known := []string{"all"}
	for _, s := range schedule.BuiltIn() {
		known = append(known, s.ID)
	}
	_ = c.RegisterFlagCompletionFunc("schedule", cobra.FixedCompletions(known, cobra.ShellCompDirectiveDefault))
	return c
}

func (a *app) drive(ctx context.Context, args []string, fl *driveFlags) error {
	if fl.csv && (fl.schedule == "all" || a.json) {
		return usagef("--csv prints the trace of one schedule: it does not go with --schedule all or --json")
	}
	f, o, err := a.chosen(ctx, args, fl.option)
	if err != nil {
		return err
	}
	list, err := schedulesFor(f, a.dir, fl.schedule)
	if err != nil {
		return err
	}
	if fl.spread.on {
		return a.driveSpread(ctx, f, o, list[0], fl)
	}
	switch {
	case fl.groups.pace:
		return a.drivePace(ctx, f, o, fl)
	case fl.groups.on:
		return a.driveGroups(ctx, f, o, list, fl)
	}
	var reports []design.DriveReport
	for _, s := range list {
		if err := ctx.Err(); err != nil {
			return err
		}
		var trace *drive.Trace
		if fl.csv {
			trace = &drive.Trace{}
		}
		r, err := f.Drive(&design.Trip{Wiring: &o.Wiring, Figures: &o.Figures, Schedule: s, End: fl.end, Once: fl.once, Trace: trace})
		if err != nil {
			return fmt.Errorf("schedule %s: %w", s.ID, err)
		}
		if fl.csv {
			return a.trace(trace)
		}
		reports = append(reports, f.DriveReport(o.ID, s, &r.Result, fl.end, r.Findings()))
	}
	if a.json {
		return writeJSON(a.out, reports)
	}
	a.printDrive(f, reports)
	return nil
}

// schedulesFor returns the schedules that the flag names.
func schedulesFor(f *design.Frame, dir, name string) ([]*schedule.Schedule, error) {
	switch name {
	case "":
		return []*schedule.Schedule{f.Brief.Targets.Schedule}, nil
	case "all":
		return schedule.BuiltIn(), nil
	}
	s, err := project.Schedule(dir, name)
	var path *fs.PathError
	var problems *check.Problems
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, usagef("--schedule %q: there is no such file, in the project or here", name)
	case errors.As(err, &path), errors.As(err, &problems):
		return nil, err
	case err != nil:
		return nil, usageError{err}
	}
	return []*schedule.Schedule{s}, nil
}

func (a *app) printDrive(f *design.Frame, list []design.DriveReport) {
	fmt.Fprintln(a.out, titled(f.Brief.Title, f.Brief.Invented))
	fmt.Fprintf(a.out, "%s, %s, every cell alike (%s), %s\n\n", list[0].Option, list[0].Life, list[0].Performance.Fidelity, of(a, f.Brief.Road.Ambient))
	a.driveTable(list)
}

// driveTable prints the runs and what a reader has to know of them.
func (a *app) driveTable(list []design.DriveReport) {
	far, per := a.farUnit(), a.perUnit()
	t := newTable("schedule", ">range|"+far, ">driven|times", ">wheels|"+per, ">terminals|"+per, ">wall|"+per, ">recovered|of braking", ">usable|kWh",
		">lowest|V", ">peak 10 s|A", "ended by")
	for i := range list {
		r := &list[i]
		p := r.Performance
		ended, _, _ := strings.Cut(p.EndedBy, heldBack)
		t.add(r.Schedule, a.far(p.Range), fixed(r.Cycles, 1), a.per(p.Wheels), a.per(p.Terminals), a.wall(p.Wall), recovered(r),
			fixed(p.Usable.KilowattHours(), 2), fixed(float64(p.VoltageMin), 1), fixed(float64(p.Peak), 0), ended)
	}
	t.print(a.out)
	t = newTable("schedule", "note")
	for i := range list {
		name := list[i].Schedule
		for _, n := range notesOf(&list[i]) {
			t.add(name, n)
			name = ""
		}
	}
	if len(t.rows) > 0 {
		fmt.Fprintln(a.out)
		t.body(a.out)
	}
}

// heldBack parts the end of a run from what held the vehicle back in it.
const heldBack = ", held back by: "

func recovered(r *design.DriveReport) string {
	if r.Braking == 0 {
		return ""
	}
	return check.Percent(float64(r.Recovered / r.Braking))
}

// notesOf says what a reader has to know of a run: why it ended early, that its
// schedule was capped, and what the schedule itself says.
func notesOf(r *design.DriveReport) []string {
	var out []string
	if ended, why, early := strings.Cut(r.Performance.EndedBy, heldBack); early && ended != string(drive.EndCycles) {
		out = append(out, ended+", held back by the "+why)
	}
	if r.CappedShare > 0 {
		out = append(out, "the vehicle cannot follow "+check.Percent(float64(r.CappedShare))+" of the time: driven capped at what it can do")
	}
	return append(out, r.Notes...)
}

// trace writes the columns of a run.
func (a *app) trace(t *drive.Trace) error {
	return writeColumns(a.out, traceColumns(t))
}

func traceColumns(t *drive.Trace) []column {
	return []column{
		{"time_s", t.Time}, {"distance_m", t.Distance}, {"speed_m_per_s", t.Speed}, {"speed_wanted_m_per_s", t.SpeedWanted},
		{"wheel_force_n", t.Force}, {"shaft_power_w", t.Shaft}, {"friction_brake_w", t.Friction}, {"terminal_power_w", t.Power},
		{"current_a", t.Current}, {"voltage_v", t.Voltage}, {"state_of_charge", t.SoC},
	}
}
