package server

import (
	"net/http"

	"packyard/check"
	"packyard/design"
	"packyard/unit"
)

// PaceReply is how an option accelerates, climbs and holds.
type PaceReply struct {
	Revision int64 `json:"revision"`
	design.PaceReport
}

func (s *Server) pace(r *http.Request) (any, error) {
	t, _, revision, err := s.tripOf(r)
	if err != nil {
		return nil, err
	}
	got, err := t.f.Pace(r.Context(), t.a.report.Option, t.a.placed, t.end)
	if err != nil {
		return nil, textOf(err)
	}
	return &PaceReply{Revision: revision, PaceReport: *got}, nil
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
