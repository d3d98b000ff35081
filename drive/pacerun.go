package drive

import (
	"math"

	"packyard/schedule"
	"packyard/unit"
)

// flatOut is a schedule that no vehicle follows: n steps of dt seconds from speed
// v0 at once to the highest speed that a schedule may have.
func flatOut(v0, dt float64, n int) *schedule.Schedule {
	s := &schedule.Schedule{ID: "flat out", Source: "assumption"}
	for i := range n + 1 {
		s.Time, s.Speed = append(s.Time, float64(i)*dt), append(s.Speed, float64(schedule.SpeedMax))
	}
	s.Speed[0] = v0
	return s
}

// Sprints returns the accelerations from a standstill on the level to the given
// speeds, rising, in one run. The end of a step is reached by the midpoint rule;
// within it the speed rises in a straight line. Errors: those of drive.
func (p *Pacer) Sprints(to ...unit.Speed) ([]Sprint, error) {
	dt := float64(p.c.Step)
	if err := p.prepare(0, dt, int(math.Ceil(paceSprintMost/dt))); err != nil {
		return nil, err
	}
	r := &p.r
	r.patient = true
	defer func() { r.patient = false }()
	out := make([]Sprint, len(to))
	way, next := 0.0, 0
	seconds := map[Limiter]int{}
	for i := range p.d.Power {
		v0 := r.v
		if next == len(to) {
			break
		}
		r.by = LimitNone
		if r.bind(i); r.end != endNot {
			break
		}
		v1 := r.v
		by := r.by
		if by == LimitNone && v1 < float64(schedule.SpeedMax) {
			by = LimitMotor // what the demand was capped by
		}
		seconds[by]++
		for next < len(to) && v1 >= float64(to[next]) {
			s := (float64(to[next]) - v0) / (v1 - v0)
			out[next] = Sprint{To: to[next], Reached: true, Time: unit.Time((float64(i) + s) * dt), Best: to[next], By: most(seconds),
				Distance: unit.Length(way + s*dt*(v0+(v1-v0)*s/2))}
			next++
		}
		way += (v0 + v1) / 2 * dt
	}
	for ; next < len(to); next++ {
		out[next] = Sprint{To: to[next], Best: unit.Speed(r.v), By: most(seconds)}
		if r.end != endNot {
			out[next].By = r.by
		}
	}
	return out, nil
}

// most returns the limiter of most steps, the first in words when two are even.
func most(count map[Limiter]int) Limiter {
	by, n := LimitNone, 0
	for l, c := range count {
		if c > n || c == n && l < by {
			by, n = l, c
		}
	}
	return by
}

// HoldsFor returns how long the vehicle holds a speed on a grade, at most half an
// hour, and what ends it; LimitNone when it was over. It ends where the speed is
// more than KeepUp below for KeepUpFor, or the charge floor is met (LimitEmpty).
// Errors: those of drive.
func (p *Pacer) HoldsFor(v unit.Speed, grade unit.Slope) (unit.Time, Limiter, error) {
	s := &schedule.Schedule{ID: "grade", Source: "assumption"}
	for i := range int(paceClimbMost) + 1 {
		s.Time, s.Speed, s.Grade = append(s.Time, float64(i)), append(s.Speed, float64(v)), append(s.Grade, float64(grade))
	}
	d, err := NewDemand(p.c.Train, s, DemandOptions{Step: 1, Voltage: p.volt})
	if err != nil {
		return 0, LimitNone, err
	}
	if d.Capped.Steps > 0 { // the unit alone cannot hold it
		return 0, LimitMotor, nil
	}
	was := p.d
	if err := p.with(d); err != nil {
		return 0, LimitNone, err
	}
	defer func() { p.d = was }()
	r := &p.r
	r.own.chain.gripDrive = p.grip * slopeOf(float64(grade)).cos
	for i := range d.Power {
		if r.bind(i); r.end != endNot {
			break
		}
	}
	switch r.end {
	case EndFloor:
		return unit.Time(r.time), LimitEmpty, nil
	case EndBehind, EndPower:
		return unit.Time(max(0, r.time-r.late)), r.by, nil
	}
	return unit.Time(r.time), LimitNone, nil
}
