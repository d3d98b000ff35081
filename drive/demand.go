package drive

import (
	"errors"
	"fmt"
	"math"

	"packyard/schedule"
	"packyard/unit"
)

// ErrSchedule says that a schedule cannot be driven or repeated.
var ErrSchedule = errors.New("schedule cannot be driven")

// stepsMax bounds the steps of one schedule and, times ten, those of a run.
// Source: assumption; seven days in one-second steps are 604 800.
const stepsMax = 2_000_000

// Shortest and longest step in s. Source: assumption; the shortest keeps the
// ten-second mean within its ring, the longest keeps a pulse a pulse.
const (
	stepLeast = 0.1
	stepMost  = 10.0
)

// DemandOptions are the choices of a Demand; the zero value is the default.
type DemandOptions struct {
	Step    unit.Time    // length of a step; zero: 1 s
	Voltage unit.Voltage // full voltage of the pack, at which the vehicle must follow; zero: the unit's VoltageRef, or no limit
}

// Capped says how far a schedule was lowered to what the vehicle can do. The
// zero value means that it follows.
type Capped struct {
	Steps     int        // in which the speed stays below the schedule
	Share     unit.Ratio // of the time
	Shortfall unit.Speed // largest
	Stalled   bool       // came to a stand where the schedule moves
	ByPack    bool       // the full pack could not give the power; else motor, gears or grip
}

// Demand is what a schedule asks of a pack, step by step: computed once for a
// Train and a schedule, read by every run of every pack of that mass. A step
// runs from one row of Speed to the next; all its figures are taken at the
// speed halfway. Fill again for the next mass: nothing is allocated while the
// schedule does not become longer.
type Demand struct {
	Step          unit.Time
	Speed         []float64 // m/s at the ends of the steps, length n+1, after capping
	Force         []float64 // N at the wheels, negative when braking; this and all below have length n
	Torque        []float64 // N·m at the motor, negative when braking
	MotorSpeed    []float64 // rad/s
	Shaft         []float64 // W at the motor shaft, negative when braking
	StageLoss     []float64 // W in gears
	MotorLoss     []float64 // W
	InverterLoss  []float64 // W
	Friction      []float64 // W in the friction brakes
	Power         []float64 // W at the terminals of the pack, auxiliaries included, discharge positive
	VoltageNeeded []float64 // V, least DC voltage at which the motor gives this
	Capped        Capped

	chain  chain
	train  Train
	slopes []slope // of the steps; length 0 on the level
	cum    []sums  // before each step, length n+1
	full   float64 // V at which it was filled; +Inf: no limit
	level  bool
}

// sums are running totals of one schedule or run.
type sums struct {
	distance  float64 // m
	traction  float64 // J, positive work of all wheels
	braking   float64 // J, work of braking, wheels
	recovered float64 // J, the part of it that the motor took at the wheels
	shaft     float64 // J at the motor shaft, net
	terminals float64 // J at the pack, net
}

func (a sums) plus(b sums) sums {
	return sums{a.distance + b.distance, a.traction + b.traction, a.braking + b.braking,
		a.recovered + b.recovered, a.shaft + b.shaft, a.terminals + b.terminals}
}

func (a sums) minus(b sums) sums {
	return sums{a.distance - b.distance, a.traction - b.traction, a.braking - b.braking,
		a.recovered - b.recovered, a.shaft - b.shaft, a.terminals - b.terminals}
}

// NewDemand returns the demand of a Train on a schedule; see Fill.
func NewDemand(t Train, s *schedule.Schedule, o DemandOptions) (*Demand, error) {
	d := new(Demand)
	if err := d.Fill(t, s, o); err != nil {
		return nil, err
	}
	return d, nil
}

// Fill computes the demand anew, in the buffers it has. Over a step of length
// Δt from speed v0 to v1, with v = (v0+v1)/2 and θ from the schedule's grade:
//
//	F       = a·cosθ + b·v + c·(v+w)·|v+w| + m·g·sinθ + (m+m_rot)·(v1−v0)/Δt,  0 at standstill
//	T, ω    = F·r/(i·η), v·i/r        driving; F_m·r·η/i when the motor takes F_m of the braking force
//	F_m     = min(−F·share·fade(v), grip, torque, power)
//	P_ac    = T·ω + loss(T, ω)
//	P       = P_ac/e + P_idle + P_aux (P_ac·e when negative)
//
// The rest of the braking goes to the friction brakes. Regeneration that would
// cost more than it brings is left out. Where the force is more than the unit
// gives at o.Voltage, or more than the driven axle grips, the speed that is
// reached is followed forward in time, and Capped says so; the vehicle then
// makes up for it as soon as it can. On a road with grades the lowered speeds
// keep their places and take longer (schedule.Cap), so that no hill is cut
// short. A schedule in other steps than o.Step is resampled.
//
// Errors: ErrTrain, ErrSchedule. Source: wong, ch. 3 (road load, tractive
// effort); larminie-lowry, ch. 8 (stepwise energy of a schedule).
func (d *Demand) Fill(t Train, s *schedule.Schedule, o DemandOptions) error {
	if err := t.Validate(); err != nil {
		return err
	}
	if s == nil {
		return fmt.Errorf("%w: no schedule", ErrSchedule)
	}
	if err := s.Validate(); err != nil {
		return fmt.Errorf("%w: %w", ErrSchedule, err)
	}
	step := float64(o.Step)
	if step == 0 {
		step = 1
	}
	if !(step >= stepLeast && step <= stepMost) || s.Time[len(s.Time)-1]/step > stepsMax {
		return fmt.Errorf("%w: step of %g s: it must be from %g s to %g s and give at most %d steps", ErrSchedule, step, stepLeast, stepMost, stepsMax)
	}
	if !uniform(s.Time, step) {
		r, err := s.Resample(unit.Time(step))
		if err != nil {
			return fmt.Errorf("%w: %w", ErrSchedule, err)
		}
		s = r
	}
	full := float64(o.Voltage)
	if full == 0 {
		full = float64(t.Unit.VoltageRef)
	}
	if full == 0 {
		full = math.Inf(1)
	}
	if !(full > 0) {
		return fmt.Errorf("%w: full voltage %g V: it must be above 0, or 0 for the reference voltage of the unit", ErrTrain, full)
	}
	d.train, d.chain, d.full = t, makeChain(&t), full
	d.size(len(s.Time)-1, s)
	d.Step = unit.Time(step)
	d.settle(s)
	if d.Capped.Steps > 0 && !d.level {
		d.keepRoad(s)
	}
	return d.finite()
}

// finite guards the border of the package: no step may hold NaN or infinity.
func (d *Demand) finite() error {
	for i, p := range d.Power {
		if math.IsNaN(p-p) || math.IsNaN(d.Force[i]-d.Force[i]) {
			return fmt.Errorf("%w: step %d at %g m/s: the power is %g W, a finite number is needed", ErrTrain, i, d.Speed[i], p)
		}
	}
	return nil
}

func uniform(time []float64, step float64) bool {
	for i, t := range time {
		if t != float64(i)*step {
			return false
		}
	}
	return true
}

// size gives all columns the length for n steps.
func (d *Demand) size(n int, s *schedule.Schedule) {
	d.Speed = fit(d.Speed, n+1)
	for _, c := range []*[]float64{&d.Force, &d.Torque, &d.MotorSpeed, &d.Shaft, &d.StageLoss,
		&d.MotorLoss, &d.InverterLoss, &d.Friction, &d.Power, &d.VoltageNeeded} {
		*c = fit(*c, n)
	}
	d.cum = fit(d.cum, n+1)
	d.level = true
	d.slopes = d.slopes[:0]
	if s.Grade == nil {
		return
	}
	for _, g := range s.Grade[:n] {
		d.level = d.level && g == 0
		d.slopes = append(d.slopes, slopeOf(g))
	}
}

func fit[T any](b []T, n int) []T {
	if cap(b) < n {
		return make([]T, n)
	}
	return b[:n]
}

func (d *Demand) slope(i int) slope {
	if d.level {
		return slope{0, 1}
	}
	return d.slopes[i]
}

// settlePasses bounds settle; a minute at the highest speed settles in two.
const settlePasses = 20

// settle runs along the schedule; where it ends as fast as it begins and the
// vehicle cannot hold that speed, it begins again at the speed it ended with,
// so that the schedule can be repeated.
func (d *Demand) settle(s *schedule.Schedule) {
	n := len(d.Power)
	v0 := s.Speed[0]
	for range settlePasses {
		d.run(s, v0)
		if s.Speed[0] != s.Speed[n] || math.Abs(d.Speed[n]-v0) <= behindMin/2 {
			return
		}
		v0 = d.Speed[n]
	}
}

// keepRoad drives a capped schedule with grades again so that hills stay where
// they are: schedule.Cap keeps the distance of every step and gives it the time
// that it takes. On the level there is nothing to keep, and the clock goes on.
// Where the vehicle stands still on the way, the first drive stays.
func (d *Demand) keepRoad(s *schedule.Schedule) {
	c, err := schedule.Cap(s, d.Speed)
	if err != nil {
		return
	}
	if c, err = c.Resample(d.Step); err != nil {
		return
	}
	first := d.Capped
	d.size(len(c.Time)-1, c)
	d.settle(c)
	first.Shortfall = max(first.Shortfall, d.Capped.Shortfall)
	first.Stalled = d.Capped.Stalled
	d.Capped = first
}

// run walks along the schedule in time, from speed v0.
func (d *Demand) run(s *schedule.Schedule, v0 float64) {
	k, dt := &d.chain, float64(d.Step)
	d.Capped = Capped{}
	d.Speed[0] = v0
	d.cum[0] = sums{}
	var o flow
	top := k.speedRated / k.turn // at the ends of steps: halfway alone, the speed would swing about it
	for i := range d.Power {
		v1, road := min(s.Speed[i+1], top), d.slope(i)
		f, v := k.force(v0, v1, dt, road), (v0+v1)/2
		if f > 0 {
			k.drive(&o, f, v)
			if most := k.torqueMax(o.speed, d.full); o.torque > most || f > k.gripDrive {
				v1 = k.attain(v0, v1, dt, road, d.full)
				f = k.step(&o, v0, v1, dt, road, d.full)
				v = (v0 + v1) / 2
			}
		} else {
			k.regenerate(&o, f, v, d.full)
		}
		d.Capped.note(s.Speed[i+1], v1)
		d.put(i, v, f, &o)
		d.cum[i+1].follow(&d.cum[i], v, f, dt, &o)
		d.Speed[i+1] = v1
		v0 = v1
	}
	d.Capped.Share = unit.Ratio(float64(d.Capped.Steps) / float64(len(d.Power)))
}

// behindMin is the speed in m/s by which a vehicle must be slower than the
// schedule to count as behind it: rounding stays below.
const behindMin = 1e-6

func (c *Capped) note(want, got float64) {
	if want-got <= behindMin {
		return
	}
	c.Steps++
	c.Shortfall = max(c.Shortfall, unit.Speed(want-got))
	c.Stalled = c.Stalled || got == 0
}

// follow sets q to the totals before it and what a step at speed v with force f
// adds, in place for the same reason as drive.
func (q *sums) follow(before *sums, v, f, dt float64, o *flow) {
	work := f * v * dt
	q.distance, q.shaft, q.terminals = before.distance+v*dt, before.shaft+o.shaft*dt, before.terminals+o.power*dt
	if f >= 0 {
		q.traction, q.braking, q.recovered = before.traction+work, before.braking, before.recovered
	} else {
		q.traction, q.braking, q.recovered = before.traction, before.braking-work, before.recovered-o.force*v*dt
	}
}

// put writes the columns of step i.
func (d *Demand) put(i int, v, f float64, o *flow) {
	k := &d.chain
	d.Force[i], d.Torque[i], d.MotorSpeed[i], d.Shaft[i] = f, o.torque, o.speed, o.shaft
	d.StageLoss[i] = o.shaft - o.force*v
	d.MotorLoss[i], d.Friction[i], d.Power[i] = o.loss, o.friction, o.power
	d.InverterLoss[i] = o.power - k.auxiliary - o.ac
	d.VoltageNeeded[i] = k.voltageNeeded(o)
}

// attain returns the highest speed at the end of a step, at most v1, that the
// vehicle reaches from v0 at DC voltage u; zero when it cannot even stand still
// on the slope without its brakes.
func (k *chain) attain(v0, v1, dt float64, s slope, u float64) float64 {
	spare := func(end float64) float64 {
		return k.forceMax((v0+end)/2, u) - k.force(v0, end, dt, s)
	}
	if spare(v1) >= 0 {
		return v1
	}
	if spare(0) <= 0 {
		return 0
	}
	return falsePosition(0, v1, spare)
}

// Steps returns the number of steps n.
func (d *Demand) Steps() int { return len(d.Power) }

// Distance returns the length of one schedule as it is driven.
func (d *Demand) Distance() unit.Length { return unit.Length(d.cum[len(d.cum)-1].distance) }

// Duration returns the time of one schedule.
func (d *Demand) Duration() unit.Time { return d.Step * unit.Time(len(d.Power)) }

// NetEnergy returns the energy of one schedule at the terminals of the pack,
// regeneration limited by the vehicle but not by the pack.
func (d *Demand) NetEnergy() unit.Energy { return unit.Energy(d.cum[len(d.cum)-1].terminals) }

// Consumption returns the consumption of one schedule per distance, with a
// pack that takes and gives everything. Wall is zero. All are zero when the
// schedule goes nowhere.
func (d *Demand) Consumption() Consumption {
	return d.cum[len(d.cum)-1].consumption()
}

// PowerPeak returns the largest power of a step at the terminals.
func (d *Demand) PowerPeak() unit.Power {
	most := 0.0
	for _, p := range d.Power {
		most = max(most, p)
	}
	return unit.Power(most)
}

// PowerRegenPeak returns the largest power of a step into the pack, positive.
func (d *Demand) PowerRegenPeak() unit.Power {
	most := 0.0
	for _, p := range d.Power {
		most = max(most, -p)
	}
	return unit.Power(most)
}

// PowerMean returns the largest mean power at the terminals over any time of
// the given length within one schedule; over the whole schedule when that is
// shorter.
func (d *Demand) PowerMean(window unit.Time) unit.Power {
	n := min(max(int(math.Round(float64(window/d.Step))), 1), len(d.Power))
	most := math.Inf(-1)
	for i := n; i < len(d.cum); i++ {
		most = max(most, d.cum[i].terminals-d.cum[i-n].terminals)
	}
	return unit.Power(most / (float64(n) * float64(d.Step)))
}
