package schedule

import (
	"fmt"
	"math"
	"slices"

	"packyard/unit"
)

// Schedule is a speed over time, with grade where the route has one. The
// slices have equal length; Time is strictly increasing from 0.
type Schedule struct {
	ID, Title string
	Source    string    // source key, or the user's file
	Time      []float64 // s
	Speed     []float64 // m/s, ≥ 0, speed at Time[i], linear between
	Grade     []float64 // rise over run (tan θ), dimensionless, over the step that begins at i; nil on the level
	Notes     []string  // what reading did: resampled, smoothed, capped
	Phases    []Phase   // named parts, in order of time; nil when it has none
	Soaks     []Soak    // stands switched off, left out of Time, in order of time

	Capped   unit.Ratio  // share of the distance on which Cap lowered the speed
	ClimbRaw unit.Length // sum of the rises as recorded, before smoothing; zero when no elevation was read
}

// Phase is a named part of a schedule.
type Phase struct {
	Name     string
	From, To unit.Time // both on the time axis of the schedule
	Source   string    // source key of the division
}

// Soak is a time for which the vehicle stands switched off. It is no part of
// the time axis, so nothing is drawn from the pack during it; who follows the
// temperature or the relaxation of the pack puts it back in.
type Soak struct {
	At       unit.Time // on the time axis of the schedule
	Duration unit.Time
}

// Figures are the headline figures of a schedule.
type Figures struct {
	Distance unit.Length
	Duration unit.Time
	Mean     unit.Speed // standstill included
	Max      unit.Speed
	Stops    int // times the speed falls from above zero to zero
	Climb    unit.Length
}

// Figures returns the headline figures of a valid schedule (see Validate):
//
//	distance = Σ (v_i + v_i+1)/2 · Δt_i
//	mean     = distance / duration, standstill included, soaks not
//	climb    = Σ max(0, distance_i · sin θ_i)
//
// Source: common practice; the published figures it is held to are in the tests.
func (s *Schedule) Figures() Figures {
	if len(s.Time) == 0 {
		return Figures{}
	}
	var distance, climb float64
	stops := 0
	for i := range len(s.Time) - 1 {
		d := s.stepLength(i)
		distance += d
		climb += math.Max(0, d*s.sine(i))
		if s.Speed[i] > 0 && s.Speed[i+1] == 0 {
			stops++
		}
	}
	f := Figures{
		Distance: unit.Length(distance),
		Duration: unit.Time(s.Time[len(s.Time)-1]),
		Max:      unit.Speed(slices.Max(s.Speed)),
		Stops:    stops,
		Climb:    unit.Length(climb),
	}
	if f.Duration > 0 {
		f.Mean = unit.Speed(distance / float64(f.Duration))
	}
	return f
}

// Phase returns the named part as a schedule of its own that begins at time 0.
// The error lists the names there are.
func (s *Schedule) Phase(name string) (*Schedule, error) {
	var names []string
	for _, p := range s.Phases {
		if p.Name == name {
			part, err := s.Between(p.From, p.To)
			if err != nil {
				return nil, fmt.Errorf("phase %q: %w", name, err)
			}
			part.Title = s.Title + ", " + name
			return part, nil
		}
		names = append(names, p.Name)
	}
	return nil, fmt.Errorf("schedule %s: phase %q is not one of its phases: %s", s.ID, name, listOr(names, "it has none"))
}

// Validate reports the first thing that breaks the promises of Schedule: equal
// lengths, at least two rows, finite numbers, time rising from 0, speed not
// negative, phases and soaks within the time.
func (s *Schedule) Validate() error {
	n := len(s.Time)
	switch {
	case n < 2:
		return fmt.Errorf("schedule %s: %d rows: at least two are needed", s.ID, n)
	case len(s.Speed) != n:
		return fmt.Errorf("schedule %s: %d times and %d speeds: one speed for each time is needed", s.ID, n, len(s.Speed))
	case s.Grade != nil && len(s.Grade) != n:
		return fmt.Errorf("schedule %s: %d times and %d grades: one grade for each time is needed, or none at all", s.ID, n, len(s.Grade))
	case s.Time[0] != 0:
		return fmt.Errorf("schedule %s: time begins at %g s: it must begin at 0", s.ID, s.Time[0])
	}
	for i := range n {
		if i > 0 && !(s.Time[i] > s.Time[i-1]) || math.IsInf(s.Time[i], 0) {
			return fmt.Errorf("schedule %s: row %d: time %g s: it must rise from row to row", s.ID, i, s.Time[i])
		}
		if !(s.Speed[i] >= 0) || math.IsInf(s.Speed[i], 0) {
			return fmt.Errorf("schedule %s: row %d: speed %g m/s: it must be zero or more", s.ID, i, s.Speed[i])
		}
		if s.Grade != nil && (math.IsNaN(s.Grade[i]) || math.IsInf(s.Grade[i], 0)) {
			return fmt.Errorf("schedule %s: row %d: grade %g: it must be a number", s.ID, i, s.Grade[i])
		}
	}
	return s.validateMarks()
}

func (s *Schedule) validateMarks() error {
	end := unit.Time(s.Time[len(s.Time)-1])
	for _, p := range s.Phases {
		if !(p.From >= 0 && p.From < p.To && p.To <= end) {
			return fmt.Errorf("schedule %s: phase %q from %g s to %g s: it must lie within 0 and %g s", s.ID, p.Name, float64(p.From), float64(p.To), float64(end))
		}
	}
	for _, k := range s.Soaks {
		if !(k.At >= 0 && k.At <= end && k.Duration > 0) {
			return fmt.Errorf("schedule %s: soak of %g s at %g s: it must lie within 0 and %g s", s.ID, float64(k.Duration), float64(k.At), float64(end))
		}
	}
	return nil
}

// stepLength is the distance in m driven over the step that begins at i.
func (s *Schedule) stepLength(i int) float64 {
	return (s.Speed[i] + s.Speed[i+1]) / 2 * (s.Time[i+1] - s.Time[i])
}

// sine is sin θ of the step that begins at i.
func (s *Schedule) sine(i int) float64 {
	if s.Grade == nil {
		return 0
	}
	return sineOf(s.Grade[i])
}

func sineOf(tangent float64) float64   { return tangent / math.Sqrt(1+tangent*tangent) }
func tangentOf(sine float64) float64   { return sine / math.Sqrt(1-sine*sine) }
func cosineOf(tangent float64) float64 { return 1 / math.Sqrt(1+tangent*tangent) }

// clone returns a deep copy.
func (s *Schedule) clone() *Schedule {
	c := *s
	c.Time, c.Speed, c.Grade = slices.Clone(s.Time), slices.Clone(s.Speed), slices.Clone(s.Grade)
	c.Notes, c.Phases, c.Soaks = slices.Clone(s.Notes), slices.Clone(s.Phases), slices.Clone(s.Soaks)
	return &c
}
