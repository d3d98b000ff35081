package main

import (
	"context"
	"fmt"

	"packyard/check"
	"packyard/design"
	"packyard/drive"
	"packyard/search"
	"packyard/unit"
)

// PaceReport is the pace of an option in the form in which it is printed as JSON.
type PaceReport struct {
	Option   string          `json:"option"`
	Life     string          `json:"life"` // "as bought" or "end of life"
	Fidelity string          `json:"fidelity"`
	Mass     unit.Mass       `json:"test_mass_kg"`
	Cases    []PaceCase      `json:"cases"`
	Findings []check.Finding `json:"findings"`
}

// PaceCase is the pace at one charge and temperature.
type PaceCase struct {
	Charge       unit.Ratio       `json:"cells_charge"`
	Temperature  unit.Temperature `json:"cells_k"`
	Sprints      []PaceSprint     `json:"sprints"`
	TopSpeed     unit.Speed       `json:"top_speed_m_per_s"`
	TopSpeedBy   string           `json:"top_speed_limited_by"`
	TopSpeedHeld unit.Speed       `json:"top_speed_ten_minutes_m_per_s"`
	TopHeldBy    string           `json:"top_speed_ten_minutes_limited_by"`
	HillStart    unit.Slope       `json:"hill_start_grade"`
	HillStartBy  string           `json:"hill_start_limited_by"`
	Climbs       []PaceClimb      `json:"climbs"`
	Grade        unit.Slope       `json:"grade"`
	GradeSpeed   unit.Speed       `json:"speed_held_on_grade_m_per_s"`
	GradeBy      string           `json:"speed_held_on_grade_limited_by"`
	GripGrade    unit.Slope       `json:"grip_grade"`
	ParkingUp    unit.Slope       `json:"parking_grade_facing_up"`
	ParkingDown  unit.Slope       `json:"parking_grade_facing_down"`
}

// PaceSprint is an acceleration from a standstill.
type PaceSprint struct {
	To       unit.Speed  `json:"to_m_per_s"`
	Reached  bool        `json:"reached"`
	Time     unit.Time   `json:"time_s"`
	Distance unit.Length `json:"distance_m"`
	By       string      `json:"limited_by"`
}

// PaceClimb is the steepest grade at a speed.
type PaceClimb struct {
	Speed      unit.Speed `json:"speed_m_per_s"`
	Steepest   unit.Slope `json:"steepest_grade"`
	SteepestBy string     `json:"steepest_limited_by"`
	For        unit.Time  `json:"near_steepest_held_s"`
	ForBy      string     `json:"near_steepest_ended_by"`
	Held       unit.Slope `json:"ten_minutes_grade"`
	HeldBy     string     `json:"ten_minutes_limited_by"`
}

// lowCharge is the charge at which the pace of a pack that is nearly empty is
// told. Source: common-practice.
const lowCharge = 0.2

func (a *app) drivePace(ctx context.Context, f *design.Frame, o *search.Option, fl *driveFlags) error {
	p := search.Place(f, o)
	r := PaceReport{Option: o.ID, Life: "as bought", Fidelity: drive.FidelityGroups, Mass: p.Figures.Test, Findings: []check.Finding{}}
	if fl.end {
		r.Life = "end of life"
	}
	cold := f.Brief.Targets.Coldest
	if cold == 0 {
		cold = f.Brief.Road.Ambient
	}
	warm := max(unit.Celsius(25), cold)
	for _, at := range []design.PaceAt{{Temperature: warm}, {Charge: lowCharge, Temperature: warm}, {Temperature: cold}, {Charge: lowCharge, Temperature: cold}} {
		if err := ctx.Err(); err != nil {
			return err
		}
		at.End = fl.end
		pacer, err := f.Pacer(p, at)
		if err != nil {
			return err
		}
		got, err := pacer.Pace()
		if err != nil {
			return err
		}
		r.Cases = append(r.Cases, paceCase(&got))
	}
	half, err := f.Pacer(p, design.PaceAt{Charge: 0.5, End: fl.end})
	if err != nil {
		return err
	}
	t := &f.Brief.Targets
	found, err := half.Findings(t.TopSpeed, t.Grade, t.GradeSpeed)
	if err != nil {
		return err
	}
	r.Findings = append(r.Findings, found...)
	if a.json {
		return writeJSON(a.out, r)
	}
	a.printPace(f, &r)
	return nil
}

func paceCase(p *drive.Pace) PaceCase {
	out := PaceCase{
		Charge: p.Charge, Temperature: p.Temperature, TopSpeed: p.TopSpeed, TopSpeedBy: string(p.TopSpeedBy),
		TopSpeedHeld: p.TopSpeedHeld, TopHeldBy: string(p.TopHeldBy), HillStart: p.HillStart.Grade, HillStartBy: string(p.HillStart.By),
		Grade: p.Grade, GradeSpeed: p.GradeSpeed, GradeBy: string(p.GradeBy), GripGrade: p.GripGrade, ParkingUp: p.ParkingUp, ParkingDown: p.ParkingDown,
	}
	for _, s := range p.Sprints {
		out.Sprints = append(out.Sprints, PaceSprint{s.To, s.Reached, s.Time, s.Distance, string(s.By)})
	}
	for _, c := range p.Climbs {
		out.Climbs = append(out.Climbs, PaceClimb{c.Speed, c.Steepest.Grade, string(c.Steepest.By), c.For, string(c.ForBy), c.Held.Grade, string(c.Held.By)})
	}
	return out
}

// printPace prints one column for each case, and under each figure what limits it.
func (a *app) printPace(f *design.Frame, r *PaceReport) {
	fmt.Fprintln(a.out, titled(f.Brief.Title, f.Brief.Invented))
	fmt.Fprintf(a.out, "%s, %s, test mass %s, %s\n\n", r.Option, r.Life, of(a, r.Mass), r.Fidelity)
	head := []string{"cells"}
	for i := range r.Cases {
		head = append(head, fmt.Sprintf("%s, %s", whole(r.Cases[i].Charge), of(a, r.Cases[i].Temperature)))
	}
	t := newTable(head...)
	row := func(name string, cell func(c *PaceCase) string) {
		cells := []string{name}
		for i := range r.Cases {
			cells = append(cells, cell(&r.Cases[i]))
		}
		t.add(cells...)
	}
	for i, s := range r.Cases[0].Sprints {
		row("0 to "+of(a, s.To), func(c *PaceCase) string {
			s := c.Sprints[i]
			if !s.Reached {
				return "not reached, " + shortLimiter(s.By)
			}
			return fixed(float64(s.Time), 1) + " s, " + shortLimiter(s.By)
		})
	}
	row("top speed, ten seconds", func(c *PaceCase) string { return of(a, c.TopSpeed) + ", " + shortLimiter(c.TopSpeedBy) })
	row("top speed, ten minutes", func(c *PaceCase) string { return of(a, c.TopSpeedHeld) + ", " + shortLimiter(c.TopHeldBy) })
	row("hill start", func(c *PaceCase) string { return grade(c.HillStart) + ", " + shortLimiter(c.HillStartBy) })
	for i, s := range r.Cases[0].Climbs {
		row("steepest at "+of(a, s.Speed), func(c *PaceCase) string {
			return grade(c.Climbs[i].Steepest) + ", " + shortLimiter(c.Climbs[i].SteepestBy)
		})
		row("  95 % of it holds", func(c *PaceCase) string {
			if c.Climbs[i].ForBy == "" {
				return "half an hour or more"
			}
			return fixed(float64(c.Climbs[i].For), 0) + " s, " + shortLimiter(c.Climbs[i].ForBy)
		})
		row("  for ten minutes", func(c *PaceCase) string { return grade(c.Climbs[i].Held) + ", " + shortLimiter(c.Climbs[i].HeldBy) })
	}
	row("speed held on "+grade(r.Cases[0].Grade), func(c *PaceCase) string { return of(a, c.GradeSpeed) + ", " + shortLimiter(c.GradeBy) })
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
