package design

import (
	"context"

	"packyard/check"
	"packyard/drive"
	"packyard/unit"
)

// PaceReport is the pace of an option as command and workbench tell it.
type PaceReport struct {
	Option   string          `json:"option"`
	Life     string          `json:"life"` // LifeName
	Fidelity string          `json:"fidelity"`
	Mass     unit.Mass       `json:"test_mass_kg"`
	Cases    []PaceCase      `json:"cases"`
	Findings []check.Finding `json:"findings"` // at half charge
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
	ForBy      string     `json:"near_steepest_ended_by"` // "": half an hour or more
	Held       unit.Slope `json:"ten_minutes_grade"`
	HeldBy     string     `json:"ten_minutes_limited_by"`
}

// paceLow is the charge at which the pace of a pack that is nearly empty is
// told. Source: common-practice.
const paceLow = 0.2

// Pace looks for the pace of a placed option full and nearly empty, at 25 °C and
// on the coldest day. Errors are those of drive and of the context.
func (f *Frame) Pace(ctx context.Context, option string, p *Placed, end bool) (*PaceReport, error) {
	r := &PaceReport{
		Option: option, Life: LifeName(end), Fidelity: drive.FidelityGroups, Mass: p.Figures.Test, Cases: []PaceCase{}, Findings: []check.Finding{},
	}
	t := &f.Brief.Targets
	cold := t.Coldest
	if cold == 0 {
		cold = f.Brief.Road.Ambient
	}
	warm := max(unit.Celsius(25), cold)
	for _, at := range []PaceAt{{Temperature: warm}, {Charge: paceLow, Temperature: warm}, {Temperature: cold}, {Charge: paceLow, Temperature: cold}} {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		at.End = end
		pacer, err := f.Pacer(p, at)
		if err != nil {
			return nil, err
		}
		got, err := pacer.Pace()
		if err != nil {
			return nil, err
		}
		r.Cases = append(r.Cases, paceCase(&got))
	}
	half, err := f.Pacer(p, PaceAt{Charge: 0.5, End: end})
	if err != nil {
		return nil, err
	}
	found, err := half.Findings(t.TopSpeed, t.Grade, t.GradeSpeed)
	r.Findings = append(r.Findings, found...)
	return r, err
}

func paceCase(p *drive.Pace) PaceCase {
	out := PaceCase{
		Charge: p.Charge, Temperature: p.Temperature, TopSpeed: p.TopSpeed, TopSpeedBy: string(p.TopSpeedBy), TopSpeedHeld: p.TopSpeedHeld,
		TopHeldBy: string(p.TopHeldBy), HillStart: p.HillStart.Grade, HillStartBy: string(p.HillStart.By), Grade: p.Grade, GradeSpeed: p.GradeSpeed,
		GradeBy: string(p.GradeBy), GripGrade: p.GripGrade, ParkingUp: p.ParkingUp, ParkingDown: p.ParkingDown, Sprints: []PaceSprint{}, Climbs: []PaceClimb{},
	}
	for _, x := range p.Sprints {
		out.Sprints = append(out.Sprints, PaceSprint{x.To, x.Reached, x.Time, x.Distance, string(x.By)})
	}
	for _, c := range p.Climbs {
		out.Climbs = append(out.Climbs, PaceClimb{c.Speed, c.Steepest.Grade, string(c.Steepest.By), c.For, string(c.ForBy), c.Held.Grade, string(c.Held.By)})
	}
	return out
}
