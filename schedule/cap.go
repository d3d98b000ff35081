package schedule

import (
	"errors"
	"fmt"
	"math"
	"sort"

	"packyard/unit"
)

// Cap returns the schedule lowered to what a vehicle can do: speedMax holds
// the speed in m/s that it attains at each row, of the length of s.Time, and
// the speed of a row becomes the smaller of the two.
//
// The road is kept, not the clock: a step takes the time that its distance
// needs at the lowered speeds,
//
//	Δt' = Δt · (v_i + v_i+1) / (v'_i + v'_i+1)
//
// so that distance, grades and stops stay where they were and the energy per
// distance of the two can be compared. Standstill keeps its time. A vehicle
// that gains v'_i+1² = v'_i² + 2·a·Δs over the distance Δs of a step follows
// the result exactly; one judged by v'_i+1 = v'_i + a·Δt follows it easily,
// since lowered steps take longer.
//
// The result carries the share of the distance that was touched in Capped and
// says so in a note; its steps are uneven (see Resample). A schedule that needs
// no lowering comes back as an equal copy. Errors: another length, a speed that
// is negative or no number, a stretch of road that would be passed at zero
// speed, a result longer than seven days.
//
// Source: the manner of keeping the distance of a capped cycle is that of UN
// GTR No. 15, Annex 1 (from memory); here every lowered step is stretched,
// there time is added at the capped speed.
func Cap(s *Schedule, speedMax []float64) (*Schedule, error) {
	if len(speedMax) != len(s.Time) {
		return nil, fmt.Errorf("schedule %s: %d attainable speeds for %d rows: one for each row is needed", s.ID, len(speedMax), len(s.Time))
	}
	out := s.clone()
	for i, v := range speedMax {
		if !(v >= 0) {
			return nil, fmt.Errorf("schedule %s: row %d: attainable speed %g m/s: it must be zero or more", s.ID, i, v)
		}
		out.Speed[i] = math.Min(s.Speed[i], v)
	}
	var whole, touched float64
	for i := range len(s.Time) - 1 {
		d, dt := s.stepLength(i), s.Time[i+1]-s.Time[i]
		if out.Speed[i] < s.Speed[i] || out.Speed[i+1] < s.Speed[i+1] {
			mean := (out.Speed[i] + out.Speed[i+1]) / 2
			if !(mean > 0) {
				return nil, fmt.Errorf("schedule %s: at %.1f s: %w", s.ID, s.Time[i], ErrStuck)
			}
			dt = d / mean
			touched += d
		}
		whole += d
		out.Time[i+1] = out.Time[i] + dt
	}
	last := len(s.Time) - 1
	if out.Time[last] > rowsMax {
		return nil, fmt.Errorf("schedule %s: capped, it would take %.0f s: %w", s.ID, out.Time[last], ErrStuck)
	}
	if touched == 0 {
		return out, nil
	}
	out.moveMarks(s, out.Time)
	out.Capped = unit.Ratio(touched / whole)
	out.Notes = append(out.Notes, fmt.Sprintf("capped at what the vehicle can do on %.1f %% of the distance; the distance is kept and takes %.0f s longer",
		100*touched/whole, out.Time[last]-s.Time[last]))
	return out, nil
}

// ErrStuck says that a vehicle cannot get along the schedule at all.
var ErrStuck = errors.New("the vehicle cannot get past this point of the schedule at any useful speed")

// moveMarks puts phases and soaks of before on a time axis of which each row
// stands for the same row of before.
func (s *Schedule) moveMarks(before *Schedule, time []float64) {
	moved := func(t unit.Time) unit.Time {
		i := sort.SearchFloat64s(before.Time, float64(t))
		if i == 0 {
			return unit.Time(time[0])
		}
		part := (float64(t) - before.Time[i-1]) / (before.Time[i] - before.Time[i-1])
		return unit.Time(time[i-1] + part*(time[i]-time[i-1]))
	}
	for i, p := range s.Phases {
		s.Phases[i].From, s.Phases[i].To = moved(p.From), moved(p.To)
	}
	for i, k := range s.Soaks {
		s.Soaks[i].At = moved(k.At)
	}
}
