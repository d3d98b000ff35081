package drive

import (
	"slices"

	"packyard/unit"
)

// LimitEvent is a time in which one thing limited the pack without a break.
type LimitEvent struct {
	Limiter  Limiter
	Charging bool
	Group    int // index in Groups; −1: the pack as a whole, or what lies outside it
	From, To unit.Time
	Wanted   unit.Power // at the terminals in the step in which most was missing, discharge positive
	Given    unit.Power // in that step
}

// eventsMax bounds the events of a record. Source: assumption; a run to empty
// on a cycle that limits in every hill has some hundreds.
const eventsMax = 4096

// Record says who limited the pack and when, in order of time. Steps in a row
// with one limiter and one group are one event. After 4 096 events the further
// ones are only counted.
type Record struct {
	events  []LimitEvent
	Dropped int // events that did not fit
}

// Events returns a copy of the events.
func (r *Record) Events() []LimitEvent { return slices.Clone(r.events) }

func (r *Record) clear() { r.events, r.Dropped = r.events[:0], 0 }

// note adds a step from time to time + dt.
func (r *Record) note(by Limiter, group int, charging bool, time, dt, wanted, given float64) {
	if by == LimitNone {
		return
	}
	missing := func(w, p unit.Power) unit.Power {
		if charging {
			return p - w
		}
		return w - p
	}
	if n := len(r.events); n > 0 {
		e := &r.events[n-1]
		if e.Limiter == by && e.Group == group && e.Charging == charging && time-float64(e.To) < dt/2 {
			e.To = unit.Time(time + dt)
			if missing(unit.Power(wanted), unit.Power(given)) > missing(e.Wanted, e.Given) {
				e.Wanted, e.Given = unit.Power(wanted), unit.Power(given)
			}
			return
		}
	}
	if len(r.events) == cap(r.events) {
		r.Dropped++
		return
	}
	r.events = append(r.events, LimitEvent{
		Limiter: by, Charging: charging, Group: group, From: unit.Time(time), To: unit.Time(time + dt),
		Wanted: unit.Power(wanted), Given: unit.Power(given),
	})
}
