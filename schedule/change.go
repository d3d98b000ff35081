package schedule

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"packyard/unit"
)

// rowsMax bounds the rows of a schedule that this package makes: seven days in
// one-second steps, far more than any pack lasts. Source: assumption.
const rowsMax = 7*24*3600 + 1

// Between returns the part from one time to another, counted from 0 again. The
// ends may lie between rows. Phases are dropped; soaks inside are kept.
func (s *Schedule) Between(from, to unit.Time) (*Schedule, error) {
	t0, t1 := float64(from), float64(to)
	last := s.Time[len(s.Time)-1]
	if !(t0 >= 0 && t0 < t1 && t1 <= last) {
		return nil, fmt.Errorf("schedule %s: part from %g s to %g s: it must lie within 0 and %g s", s.ID, t0, t1, last)
	}
	out := &Schedule{ID: s.ID, Title: s.Title, Source: s.Source, Notes: slices.Clone(s.Notes), Capped: s.Capped}
	add := func(t float64) {
		v, g := s.at(t)
		out.Time, out.Speed = append(out.Time, t-t0), append(out.Speed, v)
		if s.Grade != nil {
			out.Grade = append(out.Grade, g)
		}
	}
	add(t0)
	for _, t := range s.Time {
		if t > t0 && t < t1 {
			add(t)
		}
	}
	add(t1)
	for _, k := range s.Soaks {
		if k.At >= from && k.At <= to {
			out.Soaks = append(out.Soaks, Soak{At: k.At - from, Duration: k.Duration})
		}
	}
	return out, nil
}

// at returns speed in m/s and grade of the step at time t within the schedule.
func (s *Schedule) at(t float64) (speed, grade float64) {
	// The last row whose time is not after t begins the step.
	i := sort.Search(len(s.Time), func(k int) bool { return s.Time[k] > t }) - 1
	if s.Grade != nil {
		grade = s.Grade[i]
	}
	if i == len(s.Time)-1 {
		return s.Speed[i], grade
	}
	part := (t - s.Time[i]) / (s.Time[i+1] - s.Time[i])
	return s.Speed[i] + part*(s.Speed[i+1]-s.Speed[i]), grade
}

// Append returns s followed by next. Where s ends at the speed at which next
// begins, the two rows become one; otherwise a step of one second joins them
// and a note says so. Soaks and phases are carried along.
func (s *Schedule) Append(next *Schedule) *Schedule {
	out := s.clone()
	out.extend(next)
	return out
}

// Repeat returns the schedule n times in a row, joined as Append does. It
// panics if n is below 1.
func (s *Schedule) Repeat(n int) *Schedule {
	if n < 1 {
		panic("schedule: repeated less than once")
	}
	out := s.clone()
	for range n - 1 {
		out.extend(s)
	}
	return out
}

// extend puts next behind s, in place.
func (s *Schedule) extend(next *Schedule) {
	if s.Grade == nil && next.Grade != nil {
		s.Grade = make([]float64, len(s.Time))
	}
	last := len(s.Time) - 1
	shift := s.Time[last]
	if s.Speed[last] == next.Speed[0] {
		s.Time, s.Speed = s.Time[:last], s.Speed[:last]
		if s.Grade != nil {
			s.Grade = s.Grade[:last]
		}
	} else {
		shift++
		s.Notes = appendOnce(s.Notes, "parts that meet at different speeds are joined by a step of 1 s")
	}
	for i, t := range next.Time {
		s.Time, s.Speed = append(s.Time, t+shift), append(s.Speed, next.Speed[i])
	}
	switch {
	case next.Grade != nil:
		s.Grade = append(s.Grade, next.Grade...)
	case s.Grade != nil:
		s.Grade = append(s.Grade, make([]float64, len(next.Time))...)
	}
	for _, p := range next.Phases {
		p.From, p.To = p.From+unit.Time(shift), p.To+unit.Time(shift)
		s.Phases = append(s.Phases, p)
	}
	for _, k := range next.Soaks {
		k.At += unit.Time(shift)
		s.Soaks = append(s.Soaks, k)
	}
	for _, n := range next.Notes {
		s.Notes = appendOnce(s.Notes, n)
	}
	s.ClimbRaw += next.ClimbRaw
}

func appendOnce(list []string, s string) []string {
	if slices.Contains(list, s) {
		return list
	}
	return append(list, s)
}

// Resample returns the schedule in even steps of dt, as a simulation wants it.
// Speeds are read off the straight lines between rows. The grade of a step is
// the one that keeps the rise of the distance covered in it. The last row is
// the first even time at or after the end; there the last speed is held.
//
// A schedule that already has this step comes back as an equal copy.
func (s *Schedule) Resample(dt unit.Time) (*Schedule, error) {
	step, last := float64(dt), s.Time[len(s.Time)-1]
	if !(step > 0) || last/step > rowsMax {
		return nil, fmt.Errorf("schedule %s: step of %g s: it must be above zero and give at most %d rows", s.ID, step, rowsMax)
	}
	// A hair is taken off so that 0.1 s steps of a 600 s schedule make 6000, not 6001.
	n := int(math.Ceil(last/step-1e-9)) + 1
	out := s.clone()
	out.Time, out.Speed = make([]float64, n), make([]float64, n)
	for i := range n {
		out.Time[i] = float64(i) * step
		out.Speed[i], _ = s.at(math.Min(out.Time[i], last))
	}
	if s.Grade != nil {
		out.Grade = s.gradesOver(out.Time)
	}
	return out, nil
}

// gradesOver returns the mean grade of s over each step of another time axis:
// rise by distance where it moves, the grade underfoot where it stands.
func (s *Schedule) gradesOver(time []float64) []float64 {
	last := s.Time[len(s.Time)-1]
	distance, rise := s.sums()
	covered := func(t float64) (d, r float64) {
		i := min(sort.SearchFloat64s(s.Time, t), len(s.Time)-1)
		if s.Time[i] > t {
			i--
		}
		if i == len(s.Time)-1 {
			return distance[i], rise[i]
		}
		v, _ := s.at(t)
		part := (s.Speed[i] + v) / 2 * (t - s.Time[i])
		return distance[i] + part, rise[i] + part*s.sine(i)
	}
	out := make([]float64, len(time))
	d0, r0 := covered(0)
	for j := range time {
		_, out[j] = s.at(math.Min(time[j], last))
		if j+1 == len(time) {
			break
		}
		d1, r1 := covered(math.Min(time[j+1], last))
		if d1-d0 > standstillLength {
			out[j] = tangentOf((r1 - r0) / (d1 - d0))
		}
		d0, r0 = d1, r1
	}
	return out
}

// sums returns the distance in m and the net rise in m at each row.
func (s *Schedule) sums() (distance, rise []float64) {
	distance, rise = make([]float64, len(s.Time)), make([]float64, len(s.Time))
	for i := range len(s.Time) - 1 {
		d := s.stepLength(i)
		distance[i+1] = distance[i] + d
		rise[i+1] = rise[i] + d*s.sine(i)
	}
	return distance, rise
}

// standstillLength is a distance in m below which a quotient of two lengths
// says nothing: a hundredth of a millimetre, far above rounding.
const standstillLength = 1e-5
