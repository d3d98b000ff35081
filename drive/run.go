package drive

import (
	"errors"
	"fmt"
	"math"

	"packyard/pack"
	"packyard/unit"
)

// Errors of a run.
var (
	ErrPack    = errors.New("pack cannot be run")
	ErrEndless = errors.New("the run does not end")
	ErrSteps   = errors.New("demand and cell are made for different steps")
)

// runMax bounds the steps of a run: 200 days in one-second steps. Source: assumption.
const runMax = 10 * stepsMax

// ringLen holds ten seconds of the shortest step; a power of two.
const ringLen = 128

// Run drives packs through demands. It holds the buffers; the zero value is
// ready, one serves one goroutine, any number of runs one after the other.
//
// All electrical figures inside are of one cell: current I/(N·P), voltage V/S,
// power P/(S·N·P). x counts charge in segments of the Lumped.
type Run struct {
	d *Demand
	l *Lumped
	limits
	state
	track
	frozen  bool // the charge does not fall: what a full pack can do
	end     End  // why it ended
	by      Limiter
	watch   *watch       // trace and balance; nil in the quick path
	g       *groupCells  // nil: every cell alike
	groups  *groupCells  // of the last run per group, for its memory
	motor   *motorRating // nil: the peak of the motor may be used for ever
	patient bool         // a vehicle behind its schedule goes on
	own     Demand       // the demand of a run per group, with the power that cooling takes; shares the columns

	capSpeed []float64 // m/s, what the full vehicle reaches
	capped   Demand
}

// limits are what does not change in a run.
type limits struct {
	series, across  float64 // S, N·P
	scale           float64 // 1/(S·N·P)
	joint           float64 // Ω, interconnects for one cell
	dt              float64 // s
	kx              float64 // segments per A and step
	low, high       float64 // V, cell; high is for charging
	peak, cont      float64 // A, cell, discharge
	chPeak, chCont  float64 // A, cell, charge, positive
	heatMax         float64 // A²·s above cont² that ten seconds of peak hold
	chHeatMax       float64
	floor, full     float64 // of x
	pieces          float64 // of the table over charge
	window          int     // steps of ten seconds
	inverterLimited bool    // peak is that of the inverter
}

// state is what a step changes.
type state struct {
	x      float64 // charge in segments
	v1, v2 float64 // V of the RC pairs
	seg    int
	cur    float64 // A of the last step
	volt   float64 // V at its end
	v      float64 // m/s, speed of the vehicle
	behind bool
	late   float64 // s too far behind in a row
}

// track is what a run remembers of its past.
type track struct {
	total        sums
	from         int // step of the schedule from which total does not yet hold the demand's sums
	steps        int
	time         float64 // s
	sq, chSq     float64 // A², sums of squares of discharge and charge
	vLow, vHigh  float64 // V
	most, chMost float64 // A
	up, down     float64 // segments in ten seconds
	heat, chHeat float64 // A²·s
	heatAt       int     // step up to which heat is counted
	sqAt, chSqAt float64
	limited      Limited
	behindSteps  int
	ring         [ringLen]float64
}

// Range drives the schedule again and again from full until the vehicle falls
// behind, the charge floor is met or the pack gives no power; or, with
// o.Cycles, as often as asked. See the package comment for the step solution
// and the limits.
//
// Errors: ErrPack, ErrSteps, ErrEndless (a schedule that gives back what it
// takes, or takes nothing), ErrSchedule.
func (r *Run) Range(d *Demand, l *Lumped, p *pack.Pack, o Options) (Result, error) {
	if err := r.prepare(d, l, p, &o); err != nil {
		return Result{}, err
	}
	start := r.x
	if d.Capped.Stalled && !(d.Distance() > 0) {
		r.end, r.by = EndBehind, LimitMotor // it cannot move at all: a range of zero, and Capped says why
		return r.result(start, 0, &o)
	}
	cycles, err := r.drive(o.Cycles)
	if err != nil {
		return Result{}, err
	}
	if r.early(cycles, &o) {
		capped, err := r.findCap(d, l, p, o)
		if err != nil {
			return Result{}, err
		}
		o.NoCap = true
		if r.capped.Distance() > 0 {
			d = &r.capped
		}
		res, err := r.Range(d, l, p, o)
		res.Capped = capped
		return res, err
	}
	return r.result(start, cycles, &o)
}

// early reports whether a run broke off so early that its schedule shall be
// capped: in the first schedule, or above o.CapCharge.
func (r *Run) early(cycles int, o *Options) bool {
	high := o.CapCharge > 0 && r.charge() > float64(o.CapCharge)
	return r.end == EndBehind && !o.NoCap && (cycles == 0 || high)
}

// temperatures fills at which temperature a run began and which the cells bear.
func (r *Run) temperatures(res *Result) {
	if c := r.g; c != nil {
		res.Temperature, res.Temperatures = unit.Temperature(c.coldStart), [2]unit.Temperature{c.table.coldest, c.table.hottest}
		return
	}
	res.Temperature, res.Temperatures = r.l.Temperature, [2]unit.Temperature{r.l.Limits.From, r.l.Limits.To}
}

// charge returns the charge of the pack 0…1.
func (r *Run) charge() float64 {
	if r.g != nil {
		z, _ := r.g.Charge()
		return float64(z)
	}
	return r.x / r.pieces
}

// empty reports whether the pack is at its charge floor.
func (r *Run) empty() bool {
	if r.g != nil {
		return r.g.sum.least <= r.g.floor
	}
	return r.x <= r.floor
}

// chemical returns ∫ OCV dq of all cells since the charge was start, in J.
func (r *Run) chemical(start float64) float64 {
	if r.g != nil {
		return r.g.chemical()
	}
	return (r.l.area(start) - r.l.area(r.x)) * r.l.capacity / r.pieces * r.series * r.across
}

// Range is Run.Range with buffers of its own.
func Range(d *Demand, l *Lumped, p *pack.Pack, o Options) (Result, error) {
	return new(Run).Range(d, l, p, o)
}

// Once drives the schedule once, from o.SoCStart or full.
func Once(d *Demand, l *Lumped, p *pack.Pack, o Options) (Result, error) {
	o.Cycles = 1
	return new(Run).Range(d, l, p, o)
}

// prepare checks what goes together and sets limits and state.
func (r *Run) prepare(d *Demand, l *Lumped, p *pack.Pack, o *Options) error {
	if d == nil || len(d.Power) == 0 || l == nil || len(l.seg) == 0 || p == nil {
		return fmt.Errorf("%w: demand, cell and pack are all needed", ErrPack)
	}
	if d.Step != l.Step {
		return fmt.Errorf("%w: %g s and %g s", ErrSteps, float64(d.Step), float64(l.Step))
	}
	start, err := startOf(d, p, o)
	if err != nil {
		return err
	}
	r.d, r.l, r.g = d, l, nil
	r.setLimits(d, l, p)
	r.state = state{x: float64(start) * float64(len(l.seg)), v: d.Speed[0]}
	r.seg = l.at(r.x)
	r.reset()
	r.frozen, r.end, r.by, r.watch, r.motor, r.patient = false, endNot, LimitNone, newWatch(o), nil, false
	return nil
}

// startOf returns the charge at the start of a run and checks what every run
// needs, whatever its fidelity.
func startOf(d *Demand, p *pack.Pack, o *Options) (unit.Ratio, error) {
	start := o.SoCStart
	if start == 0 {
		start = p.SoCMax
	}
	if err := checkPack(p); err != nil {
		return 0, err
	}
	switch {
	case !(start > 0 && start <= 1):
		return 0, fmt.Errorf("%w: charge at the start %g: it must be above 0 and at most 1", ErrPack, float64(start))
	case !(o.CapCharge >= 0 && o.CapCharge <= 1):
		return 0, fmt.Errorf("%w: charge down to which a capped schedule is followed %g: it must be 0 to 1", ErrPack, float64(o.CapCharge))
	case o.Cycles < 0:
		return 0, fmt.Errorf("%w: %d schedules: it must be 0 or more", ErrPack, o.Cycles)
	case o.Cycles == 0 && !(d.Distance() > 0) && !d.Capped.Stalled:
		return 0, fmt.Errorf("%w: a schedule that goes nowhere has no range", ErrSchedule)
	case o.Cycles != 1 && math.Abs(d.Speed[0]-d.Speed[len(d.Speed)-1]) > behindMin:
		return 0, fmt.Errorf("%w: it begins at %.4g km/h and ends at %.4g km/h, so that it cannot be repeated: both must be the same", ErrSchedule, d.Speed[0]/kmh, d.Speed[len(d.Speed)-1]/kmh)
	}
	return start, nil
}

func (r *Run) setLimits(d *Demand, l *Lumped, p *pack.Pack) {
	n, t := float64(len(l.seg)), p.Topology
	q := &r.limits
	q.series, q.across = float64(t.Series), float64(t.Across())
	q.scale = 1 / (q.series * q.across)
	q.joint = float64(p.Resistance) * q.across / q.series
	q.dt = float64(d.Step)
	q.kx = q.dt * n / l.capacity
	q.low, q.high = float64(l.Limits.VoltageMin), float64(l.Limits.VoltageMax)
	if top := float64(d.chain.bands.FullMax); top > 0 {
		q.high = min(q.high, top/q.series)
	}
	perRate := float64(l.Limits.Capacity) / 3600 // A at 1 C
	q.peak, q.cont = perRate*float64(l.Limits.DischargePeak), perRate*float64(l.Limits.DischargeContinuous)
	q.chPeak, q.chCont = perRate*float64(l.Limits.ChargePeak), perRate*float64(l.Limits.ChargeContinuous)
	q.inverterLimited = false
	if inv := d.train.Inverter; inv != nil && inv.CurrentMax > 0 && float64(inv.CurrentMax)/q.across < q.peak {
		q.peak, q.inverterLimited = float64(inv.CurrentMax)/q.across, true
	}
	q.cont, q.chCont = min(q.cont, q.peak), min(q.chCont, q.chPeak)
	q.heatMax = (q.peak*q.peak - q.cont*q.cont) * float64(durationPeak)
	q.chHeatMax = (q.chPeak*q.chPeak - q.chCont*q.chCont) * float64(durationPeak)
	q.floor, q.full, q.pieces = float64(p.SoCMin)*n, n, n
	q.window = max(1, int(math.Round(float64(durationPeak)/q.dt)))
}

// reset clears what the run remembers.
func (r *Run) reset() {
	ring := &r.track.ring
	r.track = track{vLow: math.Inf(1), vHigh: math.Inf(-1)}
	for i := range ring {
		ring[i] = r.x
	}
}

// drive repeats the schedule, cycles times or until it ends, and returns how
// often it was driven to its end.
func (r *Run) drive(cycles int) (int, error) {
	if r.empty() {
		r.end = EndFloor
		return 0, nil
	}
	for done := 0; ; {
		before := r.x
		i := r.schedule()
		if r.g != nil && r.g.err != nil {
			return done, r.g.err
		}
		if r.end != endNot {
			r.flush(i)
			return done, nil
		}
		r.flush(len(r.d.Power))
		r.from = 0
		done++
		if done == cycles {
			r.end = EndCycles
			return done, nil
		}
		if r.x >= before && !r.behind || r.steps > runMax {
			return done, fmt.Errorf("%w: after %d schedules the charge is %.6g, it was %.6g one schedule before", ErrEndless,
				done, r.x/r.pieces, before/r.pieces)
		}
	}
}

// schedule drives one schedule and returns the step at which it stopped.
func (r *Run) schedule() int {
	n := len(r.d.Power)
	for i := 0; i < n; {
		if r.g != nil {
			if r.g.halted(i) {
				return i
			}
			if r.bind(i); r.end == endNot {
				i++
			}
		} else if r.watch != nil {
			i = r.watched(i)
		} else {
			if !r.behind && !r.frozen {
				if i = r.fast(i, n); i == n {
					break
				}
			}
			if r.bind(i); r.end == endNot {
				i++
			}
		}
		if r.end != endNot {
			return i
		}
	}
	return n
}

// resistanceLeast is the resistance of a cell in Ω below which fast leaves a
// segment to bind: its form of the step solution divides by the resistance.
const resistanceLeast = 1e-7

// fast drives steps from i on as long as nothing binds and the charge stays in
// its segment; it returns the first step that it did not drive. This is the hot
// loop: see docs/method/performance.md before changing it.
//
// It is solve, written for a short chain of dependent operations. The unknown is
// the charge dx = kx·I that the step takes, in segments:
//
//	(R/kx)·dx² − e·dx + kx·p = 0,  dx = (e − √(e² − 4·R·p))/(2·R/kx)
//
// which loses no digit that matters, since R is not near zero and the current is
// wanted to so many amperes, not to so many per cent. The electromotive force of
// the next step is known from the present state but for one term in dx:
//
//	e' = base + rise·x − Σ f·a·V − (rise + Σ f·g/kx)·dx
func (r *Run) fast(i, n int) int {
	s := &r.l.seg[r.seg]
	w, r0 := &s.step, s.r0+r.joint
	total := r0 + w.h1 + w.h2 + s.rise*r.kx/2
	if total < resistanceLeast {
		return i
	}
	power, need := r.d.Power[:n], r.d.VoltageNeeded[:n]
	perStep := 1 / r.kx
	a1, g1, f1 := w.a1, w.g1*perStep, w.f1
	a2, g2, f2 := w.a2, w.g2*perStep, w.f2
	base, rise, drop := s.base, s.rise, r0*perStep
	pull := rise + f1*g1 + f2*g2
	half, watts := r.kx/(2*total), 4*total*r.scale
	lo, hi, series := max(s.lo, r.floor), s.hi, r.series
	low, high, most, least := r.low, r.high, r.cont*r.kx, -r.chCont*r.kx
	x, v1, v2, volt, took := r.x, r.v1, r.v2, r.volt, r.cur
	t, back := r.steps, r.window-1
	ring := &r.track.ring
	e := base + rise*x - (f1*v1 + f2*v2)
	for ; i < n; i++ {
		disc := e*e - watts*power[i]
		if !(disc >= 0) || e <= 0 {
			break
		}
		dx := (e - math.Sqrt(disc)) * half
		xn := x - dx
		c1, c2 := a1*v1, a2*v2
		w1, w2 := c1+g1*dx, c2+g2*dx
		u := base + rise*xn - (drop*dx + w1 + w2)
		if xn < lo || xn >= hi || u < low || u*series < need[i] || u > high || dx > most || dx < least {
			break
		}
		e = base + rise*x - (f1*c1 + f2*c2) - pull*dx
		ring[t&(ringLen-1)] = x
		if move := ring[(t-back)&(ringLen-1)] - xn; move > r.up {
			r.up = move
		} else if move < r.down {
			r.down = move
		}
		cur := dx * perStep
		if cur >= 0 {
			r.sq += cur * cur
			if cur > r.most {
				r.most = cur
			}
		} else {
			r.chSq += cur * cur
			if cur < -r.chMost {
				r.chMost = -cur
			}
		}
		if u < r.vLow {
			r.vLow = u
		}
		if u > r.vHigh {
			r.vHigh = u
		}
		x, v1, v2, volt, took = xn, w1, w2, u, cur
		t++
	}
	r.cur, r.volt = took, volt
	r.time += float64(t-r.steps) * r.dt
	r.x, r.v1, r.v2, r.steps = x, v1, v2, t
	r.v = r.d.Speed[i]
	return i
}

// flush adds what the demand says of the steps from r.from to i.
func (r *Run) flush(i int) {
	if i > r.from {
		r.total = r.total.plus(r.d.cum[i].minus(r.d.cum[r.from]))
		r.from = i
	}
}

// result puts the outcome together.
func (r *Run) result(start float64, cycles int, o *Options) (Result, error) {
	energy := func(j float64) unit.Energy { return unit.Energy(j) }
	res := Result{
		Fidelity: Fidelity,
		Distance: unit.Length(r.total.distance), Duration: unit.Time(r.time),
		End: r.end, EndedBy: r.by, Capped: r.d.Capped,
		Energy: Energies{
			Traction: energy(r.total.traction), Braking: energy(r.total.braking), Recovered: energy(r.total.recovered),
			Wheels: energy(r.total.traction - r.total.recovered), Motor: energy(r.total.shaft), Terminals: energy(r.total.terminals),
			Chemical: energy(r.chemical(start)),
		},
		Consumption:       r.total.consumption(),
		SoCEnd:            unit.Ratio(r.charge()),
		CurrentPeak:       unit.Current(r.most * r.across),
		CurrentChargePeak: unit.Current(r.chMost * r.across),
		CurrentContinuous: unit.Current(r.cont * r.across),
		Limited:           r.limited, Behind: r.behindSteps,
	}
	r.temperatures(&res)
	if d := float64(r.d.Distance()); d > 0 {
		res.Cycles = float64(cycles)
		if r.end != EndCycles {
			res.Cycles += float64(r.from) / float64(len(r.d.Power))
		}
	}
	if r.steps > 0 {
		res.VoltageMin, res.VoltageMax = unit.Voltage(r.vLow*r.series), unit.Voltage(r.vHigh*r.series)
		res.CurrentRMS = unit.Current(math.Sqrt((r.sq+r.chSq)*r.dt/r.time) * r.across)
		per := r.across / (r.kx * float64(r.window))
		res.CurrentPeak10s, res.CurrentChargePeak10s = unit.Current(r.up*per), unit.Current(-r.down*per)
	}
	if r.watch != nil {
		r.watch.finish(r, start)
	}
	if o.Charger != nil {
		wall, err := r.refill(start, o)
		if err != nil {
			return Result{}, err
		}
		res.Energy.Wall = wall
		if res.Distance > 0 {
			res.Consumption.Wall = unit.Consumption(float64(wall) / float64(res.Distance))
		}
	}
	return res, nil
}
