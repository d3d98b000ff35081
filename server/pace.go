package server

import (
	"net/http"

	"packyard/check"
	"packyard/design"
	"packyard/drive"
	"packyard/unit"
)

// PaceReply is how an option accelerates, climbs and holds.
type PaceReply struct {
	Revision int64           `json:"revision"`
	Option   string          `json:"option"`
	Life     string          `json:"life"`
	Fidelity string          `json:"fidelity"`
	Mass     unit.Mass       `json:"test_mass_kg"`
	Cases    []PaceCase      `json:"cases"`
	Findings []check.Finding `json:"findings"` // at half charge
}

// PaceCase is the pace at one charge and temperature of the cells.
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

// paceLow is the charge of a pack that is nearly empty. Source: common-practice.
const paceLow = 0.2

func (s *Server) pace(r *http.Request) (any, error) {
	_, revision, a, err := s.needed(r)
	if err != nil {
		return nil, err
	}
	t, _, _, err := s.tripOf(r)
	if err != nil {
		return nil, err
	}
	p, b := a.placed, &t.f.Brief.Targets
	out := &PaceReply{
		Revision: revision, Option: a.report.Option, Life: lifeName(t.end), Fidelity: drive.FidelityGroups, Mass: p.Figures.Test, Cases: []PaceCase{},
	}
	cold := b.Coldest
	if cold == 0 {
		cold = t.f.Brief.Road.Ambient
	}
	warm := max(unit.Celsius(25), cold)
	for _, at := range []design.PaceAt{{Temperature: warm}, {Charge: paceLow, Temperature: warm}, {Temperature: cold}, {Charge: paceLow, Temperature: cold}} {
		if err := r.Context().Err(); err != nil {
			return nil, err
		}
		at.End = t.end
		pacer, err := t.f.Pacer(p, at)
		if err != nil {
			return nil, textOf(err)
		}
		got, err := pacer.Pace()
		if err != nil {
			return nil, err
		}
		out.Cases = append(out.Cases, paceCase(&got))
	}
	half, err := t.f.Pacer(p, design.PaceAt{Charge: 0.5, End: t.end})
	if err != nil {
		return nil, textOf(err)
	}
	found, err := half.Findings(b.TopSpeed, b.Grade, b.GradeSpeed)
	out.Findings = append([]check.Finding{}, found...)
	return out, err
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

// paceLine is one figure of the pace at one charge and temperature.
type paceLine struct {
	Charge      unit.Ratio       `json:"cells_charge"`
	Temperature unit.Temperature `json:"cells_k"`
	Figure      string           `json:"figure"`
	Value       check.Figure     `json:"value"`
	By          string           `json:"limited_by"`
}

func paceLines(p *PaceReply) []paceLine {
	var out []paceLine
	for i := range p.Cases {
		c := &p.Cases[i]
		add := func(name string, v check.Figure, by string) {
			out = append(out, paceLine{c.Charge, c.Temperature, name, v, by})
		}
		for _, x := range c.Sprints {
			name := "0 to " + unit.Format(x.To, unit.SI)
			if !x.Reached {
				name += ", not reached"
			}
			add(name, check.Of(x.Time), x.By)
		}
		add("top speed, ten seconds", check.Of(c.TopSpeed), c.TopSpeedBy)
		add("top speed, ten minutes", check.Of(c.TopSpeedHeld), c.TopHeldBy)
		add("hill start", check.Of(c.HillStart), c.HillStartBy)
		for _, x := range c.Climbs {
			at := " at " + unit.Format(x.Speed, unit.SI)
			add("steepest"+at, check.Of(x.Steepest), x.SteepestBy)
			add("95 % of the steepest is held"+at, check.Of(x.For), x.ForBy)
			add("for ten minutes"+at, check.Of(x.Held), x.HeldBy)
		}
		add("speed held on "+unit.Format(c.Grade, unit.SI), check.Of(c.GradeSpeed), c.GradeBy)
		add("grip of the driven axle", check.Of(c.GripGrade), "")
		add("parking facing up", check.Of(c.ParkingUp), "")
		add("parking facing down", check.Of(c.ParkingDown), "")
	}
	return out
}
