package main

import (
	"context"
	"fmt"

	"packyard/design"
	"packyard/drive"
	"packyard/search"
	"packyard/unit"
)

func (a *app) drivePace(ctx context.Context, f *design.Frame, o *search.Option, fl *driveFlags) error {
	r, err := f.Pace(ctx, o.ID, search.Place(f, o), fl.end)
	if err != nil {
		return err
	}
	if a.json {
		return writeJSON(a.out, r)
	}
	a.printPace(f, r)
	return nil
}

// printPace prints one column for each case, and under each figure what limits it.
func (a *app) printPace(f *design.Frame, r *design.PaceReport) {
	fmt.Fprintln(a.out, titled(f.Brief.Title, f.Brief.Invented))
	fmt.Fprintf(a.out, "%s, %s, test mass %s, %s\n\n", r.Option, r.Life, of(a, r.Mass), r.Fidelity)
	head := []string{"cells"}
	for i := range r.Cases {
		head = append(head, fmt.Sprintf("%s, %s", whole(r.Cases[i].Charge), of(a, r.Cases[i].Temperature)))
	}
	t := newTable(head...)
	row := func(name string, cell func(c *design.PaceCase) string) {
		cells := []string{name}
		for i := range r.Cases {
			cells = append(cells, cell(&r.Cases[i]))
		}
		t.add(cells...)
	}
	for i, s := range r.Cases[0].Sprints {
		row("0 to "+of(a, s.To), func(c *design.PaceCase) string {
			s := c.Sprints[i]
			if !s.Reached {
				return "not reached, " + shortLimiter(s.By)
			}
			return fixed(float64(s.Time), 1) + " s, " + shortLimiter(s.By)
		})
	}
	row("top speed, ten seconds", func(c *design.PaceCase) string { return of(a, c.TopSpeed) + ", " + shortLimiter(c.TopSpeedBy) })
	row("top speed, ten minutes", func(c *design.PaceCase) string { return of(a, c.TopSpeedHeld) + ", " + shortLimiter(c.TopHeldBy) })
	row("hill start", func(c *design.PaceCase) string { return grade(c.HillStart) + ", " + shortLimiter(c.HillStartBy) })
	for i, s := range r.Cases[0].Climbs {
		row("steepest at "+of(a, s.Speed), func(c *design.PaceCase) string {
			return grade(c.Climbs[i].Steepest) + ", " + shortLimiter(c.Climbs[i].SteepestBy)
		})
		row("  95 % of it holds", func(c *design.PaceCase) string {
			if c.Climbs[i].ForBy == "" {
				return "half an hour or more"
			}
			return fixed(float64(c.Climbs[i].For), 0) + " s, " + shortLimiter(c.Climbs[i].ForBy)
		})
		row("  for ten minutes", func(c *design.PaceCase) string {
			return grade(c.Climbs[i].Held) + ", " + shortLimiter(c.Climbs[i].HeldBy)
		})
	}
	row("speed held on "+grade(r.Cases[0].Grade), func(c *design.PaceCase) string { return of(a, c.GradeSpeed) + ", " + shortLimiter(c.GradeBy) })
	t.print(a.out)
	c := &r.Cases[0]
	if c.GripGrade > 0 {
		fmt.Fprintf(a.out, "\ngrip of the driven axle: up to a grade of %s; the parking brake on the rear axle holds on %s facing up, %s facing down (friction 0.7, assumed)\n",
			grade(c.GripGrade), grade(c.ParkingUp), grade(c.ParkingDown))
	}
	a.chargeFindings(r.Findings)
}

func grade(s unit.Slope) string { return fixed(100*float64(s), 1) + " %" }

// shortLimiter is a limiter in one word or two, for a column.
func shortLimiter(by string) string {
	switch drive.Limiter(by) {
	case drive.LimitMotor:
		return "motor or grip"
	case drive.LimitMotorTime:
		return "motor for long"
	case drive.LimitVoltage:
		return "voltage"
	case drive.LimitCurrent:
		return "current"
	case drive.LimitPower:
		return "pack power"
	case drive.LimitTemperature:
		return "temperature"
	case drive.LimitEmpty:
		return "charge"
	case drive.LimitNone:
		return "nothing"
	}
	return by
}
