package drive

import (
	"math"
	"slices"

	"packyard/pack"
	"packyard/schedule"
	"packyard/unit"
)

// findCap finds what the warm vehicle can follow, full or at o.CapCharge: one
// schedule in which the charge stays as it is. It fills r.capped with the speeds
// that are reached.
func (r *Run) findCap(d *Demand, l *Lumped, p *pack.Pack, o Options) (Capped, error) {
	if o.Warm != nil {
		l = o.Warm
	}
	full := Options{Cycles: 1, SoCStart: o.CapCharge}
	if err := r.prepare(d, l, p, &full); err != nil {
		return Capped{}, err
	}
	return r.reach(d, p)
}

// reach drives a prepared pack once along the schedule with its charge as it is,
// and makes the capped demand of the speeds that are reached.
func (r *Run) reach(d *Demand, p *pack.Pack) (Capped, error) {
	n := len(d.Power)
	r.capSpeed = fit(r.capSpeed, n+1)
	repeats := math.Abs(d.Speed[0]-d.Speed[n]) <= behindMin
	for range settlePasses {
		r.frozen, r.end = true, endNot
		v0 := r.v
		r.capSpeed[0] = v0
		for i := range n {
			if r.end == endNot {
				r.bind(i)
			} else {
				r.v = 0
			}
			r.capSpeed[i+1] = r.v
		}
		if !repeats || math.Abs(r.v-v0) <= behindMin/2 {
			break
		}
		r.behind = r.v != d.Speed[0]
	}
	return r.fillCapped(d, p)
}

// fillCapped makes the demand of the speeds in capSpeed.
func (r *Run) fillCapped(d *Demand, p *pack.Pack) (Capped, error) {
	s := d.schedule("capped")
	if d.level {
		s.Speed = r.capSpeed
	} else if kept, err := schedule.Cap(s, r.capSpeed); err == nil {
		s = kept // hills stay where they are; Fill resamples
	} else {
		s.Speed = r.capSpeed // it stands on the way
	}
	capped := Capped{ByPack: true}
	for i, v := range r.capSpeed {
		capped.note(d.Speed[i], v)
	}
	capped.Steps = max(capped.Steps, d.Capped.Steps)
	capped.Shortfall = max(capped.Shortfall, d.Capped.Shortfall)
	capped.Stalled = capped.Stalled || d.Capped.Stalled
	capped.Share = unit.Ratio(float64(capped.Steps) / float64(len(d.Power)))
	return capped, r.capped.Fill(d.train, s, DemandOptions{Step: d.Step, Voltage: unit.Voltage(max(d.full, float64(p.VoltageFull())))})
}

// schedule returns the demand's speeds and grades as a schedule.
func (d *Demand) schedule(id string) *schedule.Schedule {
	s := &schedule.Schedule{ID: id, Time: make([]float64, len(d.Speed)), Speed: slices.Clone(d.Speed)}
	for i := range s.Time {
		s.Time[i] = float64(i) * float64(d.Step)
	}
	if !d.level {
		s.Grade = make([]float64, len(d.Speed))
		for i, g := range d.slopes {
			s.Grade[i] = g.sin / g.cos
		}
	}
	return s
}
