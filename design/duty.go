package design

import (
	"fmt"
	"math"
	"slices"

	"packyard/drive"
	"packyard/schedule"
	"packyard/unit"
)

// dutyStep is the distance of the masses at which the schedule is worked out,
// kg. Between them everything is read linearly: power is piecewise linear in
// mass but for the copper loss, whose square over half a step is below 0.1 %.
const dutyStep = 25.0

// duty is what the wanted schedule and the wanted grade ask of a pack, over
// the test mass of the vehicle.
type duty struct {
	mass0  float64 // kg
	points []dutyPoint
	falls  bool // range with mass
}

type dutyPoint struct {
	peak, rms   float64 // W at the terminals, without pack resistance
	climb       float64 // W at the terminals, 0 when no grade is wanted
	boundAt     float64 // m, optimistic range with no usable energy …
	boundSlope  float64 // m/J … and its growth
	needs       float64 // V, below which the drive unit does not keep the schedule
	followed    bool    // the vehicle keeps the schedule
	climbsAlone bool    // the drive unit can hold the wanted grade
}

// massRange bounds the test masses of a brief: from a vehicle without a pack to
// its gross rating and half as much again, or two tonnes of pack.
func (f *Frame) massRange() (lo, hi float64) {
	lo = f.massTest(0)
	hi = lo + 2000
	if g := float64(f.Brief.Donor.Ratings.GrossMass); g > 0 {
		hi = max(lo+500, 1.5*g)
	}
	return lo, hi
}

// frameDuty works out the duty grid.
func (f *Frame) frameDuty() error {
	lo, hi := f.massRange()
	f.duty.mass0, f.duty.falls = lo, true
	climb, err := f.climbSchedule()
	if err != nil {
		return err
	}
	var d, behind, up *drive.Demand
	slow := slower(f.Brief.Targets.Schedule)
	o := drive.DemandOptions{Voltage: f.Brief.Drive.Inverter.Bands.FullMax}
	for m := lo; ; m += dutyStep {
		t := f.Train(unit.Mass(m))
		fill := func(d *drive.Demand, s *schedule.Schedule) (*drive.Demand, error) {
			if d == nil {
				return drive.NewDemand(t, s, o)
			}
			return d, d.Fill(t, s, o)
		}
		if d, err = fill(d, f.Brief.Targets.Schedule); err != nil {
			return fmt.Errorf("schedule %s: %w", f.Brief.Targets.Schedule.ID, err)
		}
		p := dutyPoint{peak: float64(d.PowerPeak()), rms: rms(d.Power[:d.Steps()]), followed: d.Capped.Steps == 0}
		for _, v := range d.VoltageNeeded[:d.Steps()] {
			p.needs = max(p.needs, v)
		}
		if behind, err = fill(behind, slow); err != nil {
			return fmt.Errorf("schedule %s: %w", slow.ID, err)
		}
		p.bound(d, behind)
		if climb != nil {
			if up, err = fill(up, climb); err != nil {
				return fmt.Errorf("wanted grade: %w", err)
			}
			n := up.Steps()
			p.climb, p.climbsAlone = up.Power[n-1], up.Capped.Steps == 0
		}
		if n := len(f.duty.points); n > 0 && p.boundSlope > f.duty.points[n-1].boundSlope {
			f.duty.falls = false
		}
		f.duty.points = append(f.duty.points, p)
		if m >= hi {
			return nil
		}
	}
}

// bound sets the optimistic range: a straight line over the usable energy that
// lies above the bound of a run that keeps the schedule and above that of one
// that is behind it throughout, by as much as it may be.
func (p *dutyPoint) bound(keeps, behind *drive.Demand) {
	const probe = 1e7 // J
	line := func(d *drive.Demand) (at, slope float64) {
		at = float64(d.RangeBound(0))
		return at, (float64(d.RangeBound(probe)) - at) / probe
	}
	p.boundAt, p.boundSlope = line(keeps)
	if behind.Distance() > 0 {
		at, slope := line(behind)
		p.boundAt, p.boundSlope = max(p.boundAt, at), max(p.boundSlope, slope)
	} else {
		p.boundAt = float64(drive.RangeMost)
	}
}

// slower returns the schedule at the speeds of a vehicle that is behind it
// throughout, by as much as a run may be.
func slower(s *schedule.Schedule) *schedule.Schedule {
	out := *s
	out.ID, out.Speed = s.ID+", behind", slices.Clone(s.Speed)
	for i, v := range out.Speed {
		out.Speed[i] = max(0, v-float64(drive.KeepUp))
	}
	return &out
}

// RangeFallsWithMass reports whether a heavier vehicle goes less far on the
// wanted schedule, as it does but where the schedule gives back more than it
// takes, down a mountain.
func (f *Frame) RangeFallsWithMass() bool { return f.duty.falls }

// optimistic returns a range that no run of a pack with the energy e, J, exceeds
// that starts at the voltage u, V: none when the vehicle does not keep the
// schedule, since slower it goes further.
func (p *dutyPoint) optimistic(e, u float64) float64 {
	if !p.followed || u < p.needs {
		return float64(drive.RangeMost)
	}
	return min(p.boundAt+p.boundSlope*e, float64(drive.RangeMost))
}

// climbSchedule returns the wanted grade at the wanted speed as a schedule
// that starts at that speed, nil when no grade is wanted.
func (f *Frame) climbSchedule() (*schedule.Schedule, error) {
	t := &f.Brief.Targets
	if t.Grade == 0 || t.GradeSpeed == 0 {
		return nil, nil
	}
	v, g := float64(t.GradeSpeed), float64(t.Grade)
	s := &schedule.Schedule{
		ID: "climb", Title: "wanted grade", Source: "given",
		Time: []float64{0, 1, 2, 3}, Speed: []float64{v, v, v, v}, Grade: []float64{g, g, g, g},
	}
	return s, nil
}

// at reads the grid at mass m, kg; beyond its end the last straight goes on.
func (d *duty) at(m float64) dutyPoint {
	x := (m - d.mass0) / dutyStep
	i := min(max(int(x), 0), len(d.points)-2)
	f := max(x-float64(i), 0)
	a, b := &d.points[i], &d.points[i+1]
	mix := func(x, y float64) float64 { return x + (y-x)*f }
	return dutyPoint{
		peak: mix(a.peak, b.peak), rms: mix(a.rms, b.rms), climb: mix(a.climb, b.climb),
		// The bound takes the better end, so that it stays a bound in between.
		boundAt: max(a.boundAt, b.boundAt), boundSlope: max(a.boundSlope, b.boundSlope), needs: max(a.needs, b.needs),
		followed: a.followed && b.followed, climbsAlone: a.climbsAlone && b.climbsAlone,
	}
}

// rms returns the root of the mean square of evenly spaced values.
func rms(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v * v
	}
	return math.Sqrt(sum / float64(len(x)))
}
