package design

import (
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"packyard/drive"
	"packyard/schedule"
	"packyard/unit"
)

// dutyStep is the distance of the masses at which the schedule is worked out,
// kg. Between them everything is read linearly: power is piecewise linear in
// mass but for the copper loss, whose square over half a step is below 0.1 %.
const dutyStep = 25.0

// duty is what the wanted schedule and the wanted grade ask of a pack, over
// the test mass of the vehicle. A point of the grid is worked out when it is first
// asked for, since one option needs two of a hundred and an edit waits for
// it. It is safe for concurrent use.
type duty struct {
	frame  *Frame
	mass0  float64 // kg
	points []atomic.Pointer[dutyPoint]
	last   *dutyPoint
	asked  sync.Pool // of *dutyAsked
	falls  func() bool
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

// frameDuty prepares the duty grid. Its ends are worked out at once: they show
// whether the schedule can be driven, and what is finite at both is so between them,
// since forces are linear in mass.
func (f *Frame) frameDuty() error {
	lo, hi := f.massRange()
	climb, err := f.climbSchedule()
	if err != nil {
		return err
	}
	n := 1 + int(math.Ceil(max(0, hi-lo)/dutyStep))
	d := &duty{frame: f, mass0: lo, points: make([]atomic.Pointer[dutyPoint], n)}
	asked := dutyAsked{wanted: f.Brief.Targets.Schedule, slow: slower(f.Brief.Targets.Schedule), climb: climb}
	d.asked.New = func() any { mine := asked; return &mine }
	d.falls = sync.OnceValue(d.fallsWithMass)
	for _, i := range [2]int{0, n - 1} {
		mine := d.asked.Get().(*dutyAsked)
		p, err := mine.at(f, lo+float64(i)*dutyStep)
		if err != nil {
			return err
		}
		d.asked.Put(mine)
		d.last = &p
		d.points[i].Store(&p)
	}
	f.duty = d
	return nil
}

// point returns point i of the grid. Two who ask at once work out the same.
func (d *duty) point(i int) *dutyPoint {
	if p := d.points[i].Load(); p != nil {
		return p
	}
	mine := d.asked.Get().(*dutyAsked)
	defer d.asked.Put(mine)
	p, err := mine.at(d.frame, d.mass0+float64(i)*dutyStep)
	if err != nil {
		return d.last // cannot be, see frameDuty; the heaviest asks for the most
	}
	d.points[i].Store(&p)
	return &p
}

// fallsWithMass works out the whole grid, the masses shared out among the
// processors, and looks whether the range falls all along it.
func (d *duty) fallsWithMass() bool {
	workers := min(runtime.GOMAXPROCS(0), len(d.points))
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() {
			for i := w; i < len(d.points); i += workers {
				d.point(i)
			}
		})
	}
	wg.Wait()
	for i := 1; i < len(d.points); i++ {
		if d.point(i).boundSlope > d.point(i-1).boundSlope {
			return false
		}
	}
	return true
}

// dutyAsked are the schedules of the grid, with demands that are filled again
// for each mass.
type dutyAsked struct {
	wanted, slow, climb *schedule.Schedule // climb nil: none is wanted
	keeps, behind, up   *drive.Demand
}

// at works out the grid at a test mass in kg.
func (a *dutyAsked) at(f *Frame, mass float64) (dutyPoint, error) {
	t := f.Train(unit.Mass(mass))
	o := drive.DemandOptions{Voltage: f.Brief.Drive.Inverter.Bands.FullMax}
	fill := func(d **drive.Demand, s *schedule.Schedule) (err error) {
		if *d == nil {
			*d, err = drive.NewDemand(t, s, o)
			return err
		}
		return (*d).Fill(t, s, o)
	}
	if err := fill(&a.keeps, a.wanted); err != nil {
		return dutyPoint{}, fmt.Errorf("schedule %s: %w", a.wanted.ID, err)
	}
	d := a.keeps
	p := dutyPoint{peak: float64(d.PowerPeak()), rms: rms(d.Power[:d.Steps()]), followed: d.Capped.Steps == 0}
	for _, v := range d.VoltageNeeded[:d.Steps()] {
		p.needs = max(p.needs, v)
	}
	if err := fill(&a.behind, a.slow); err != nil {
		return dutyPoint{}, fmt.Errorf("schedule %s: %w", a.slow.ID, err)
	}
	p.bound(d, a.behind)
	if a.climb != nil {
		if err := fill(&a.up, a.climb); err != nil {
			return dutyPoint{}, fmt.Errorf("wanted grade: %w", err)
		}
		n := a.up.Steps()
		p.climb, p.climbsAlone = a.up.Power[n-1], a.up.Capped.Steps == 0
	}
	return p, nil
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
func (f *Frame) RangeFallsWithMass() bool { return f.duty.falls() }

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
	a, b := d.point(i), d.point(i+1)
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
