package server

import (
	"fmt"
	"math"
	"net/http"

	"packyard/check"
	"packyard/schedule"
	"packyard/unit"
)

// Schedules are those built in and those of the folder routes.
type Schedules struct {
	Schedules []ScheduleLine `json:"schedules"`
}

// ScheduleLine is one schedule with its figures.
type ScheduleLine struct {
	ID          string      `json:"id"` // as targets.schedule names it
	Title       string      `json:"title"`
	Source      string      `json:"source"`
	SourceTitle string      `json:"source_title"`
	Distance    unit.Length `json:"distance_m"`
	Duration    unit.Time   `json:"duration_s"`
	Mean        unit.Speed  `json:"mean_m_per_s"`
	Max         unit.Speed  `json:"max_m_per_s"`
	Stops       int         `json:"stops"`
	Climb       unit.Length `json:"climb_m"`
	File        bool        `json:"file"`            // of the folder routes
	Error       string      `json:"error,omitempty"` // why the file does not read
}

func lineOf(id string, s *schedule.Schedule, file bool) ScheduleLine {
	g := s.Figures()
	return ScheduleLine{
		ID: id, Title: s.Title, Source: s.Source, SourceTitle: check.SourceTitle(s.Source), Distance: g.Distance, Duration: g.Duration,
		Mean: g.Mean, Max: g.Max, Stops: g.Stops, Climb: g.Climb, File: file,
	}
}

func (s *Server) schedules(*http.Request) (any, error) {
	out := &Schedules{Schedules: []ScheduleLine{}}
	for _, b := range schedule.BuiltIn() {
		out.Schedules = append(out.Schedules, lineOf(b.ID, b, false))
	}
	_, snap := s.live.now()
	if snap == nil {
		return out, nil
	}
	for _, name := range snap.project.Routes() {
		sched, err := snap.project.Route(name)
		if err != nil {
			out.Schedules = append(out.Schedules, ScheduleLine{ID: name, Title: name, File: true, Error: err.Error()})
			continue
		}
		out.Schedules = append(out.Schedules, lineOf(name, sched, true))
	}
	return out, nil
}

// Profile is a schedule over time and distance.
type Profile struct {
	Schedule ScheduleLine `json:"schedule"`
	Notes    []string     `json:"notes"`
	Columns  []Column     `json:"columns"`
}

func (s *Server) profile(r *http.Request) (any, error) {
	snap, _, err := s.present()
	if err != nil {
		return nil, err
	}
	name, sched := r.URL.Query().Get("schedule"), snap.brief.Targets.Schedule
	if name != "" {
		if sched, err = snap.route(name); err != nil {
			return nil, err
		}
	} else if name, _, _ = snap.given("targets.schedule"); name == "" {
		return nil, fmt.Errorf("%w: a schedule is needed", errRequest)
	}
	return &Profile{Schedule: lineOf(name, sched, false), Notes: append([]string{}, sched.Notes...), Columns: profileOf(sched)}, nil
}

// profileOf returns the columns of a schedule; distance and elevation are added
// up step by step, with the grade as the tangent of the road's angle.
func profileOf(s *schedule.Schedule) []Column {
	n := len(s.Time)
	distance, elevation, grade := make([]float64, n), make([]float64, n), make([]float64, n)
	copy(grade, s.Grade)
	for i := 1; i < n; i++ {
		step := (s.Speed[i-1] + s.Speed[i]) / 2 * (s.Time[i] - s.Time[i-1])
		distance[i] = distance[i-1] + step
		elevation[i] = elevation[i-1] + step*math.Sin(math.Atan(grade[i-1]))
	}
	return []Column{
		{Name: "time", Key: "time_s", Symbol: "s", Noun: "time", Values: s.Time},
		{Name: "distance", Key: "distance_m", Symbol: "m", Noun: "length", Values: distance},
		{Name: "speed", Key: "speed_m_per_s", Symbol: "m/s", Noun: "speed", Values: s.Speed},
		{Name: "grade", Key: "grade", Symbol: "1", Noun: "slope", Values: grade},
		{Name: "elevation above the start", Key: "elevation_m", Symbol: "m", Noun: "length", Values: elevation},
	}
}
