package drive

import (
	"fmt"
	"math"

	"packyard/check"
	"packyard/heat"
	"packyard/pack"
	"packyard/unit"
)

// DutyCase is the pack and the vehicle that a duty is put to.
type DutyCase struct {
	Train  Train
	Pack   *pack.Pack
	Table  *GroupTable
	Groups GroupOptions     // charge and health at the start; the temperature is Start
	Heat   *heat.System     // its groups in the order of Groups
	Air    unit.Temperature // outside
	Start  unit.Temperature // of everything; zero: Air, of a soak 20 °C
	Step   unit.Time        // zero: 1 s, of a soak 10 s
	Rows   int              // of the trace at most; zero: 600
	Halt   func() error     // asked every few minutes of the duty; its error ends it; may be nil
}

// DutyEnd is why a duty ended.
type DutyEnd string

// Ends of a duty.
const (
	DutyTime   DutyEnd = "time"
	DutyEmpty  DutyEnd = "charge floor"
	DutyFull   DutyEnd = "full"
	DutyWarm   DutyEnd = "warm enough"
	DutyUnheld DutyEnd = "not warm in time" // preheating did not get there
)

// Extreme is the hottest or coldest group of a duty.
type Extreme struct {
	Temperature unit.Temperature
	Group       int
	Name        string
	At          unit.Time
}

// DutyTrace is a duty over time; all columns have one length.
type DutyTrace struct {
	Time    []float64 // s
	Hottest []float64 // K, hottest group
	Coldest []float64 // K, coldest group
	Mean    []float64 // K, mean of the groups
	Inlet   []float64 // K, coolant before the first module; 0 without coolant
	Outlet  []float64 // K, coolant behind the last module; 0 without coolant
	Flow    []float64 // m³/s
	Head    []float64 // Pa
	Asked   []float64 // W at the terminals; of a charge the power given
	Given   []float64 // W at the terminals
	Load    []float64 // W of pump, fan, heater, chiller
	Charge  []float64 // 0…1 of the group that empties first, dimensionless
	Heater  []float64 // W electric, of the coolant heater or the pads
	Chilled []float64 // W of heat, taken by the chiller

	Count  int       // groups in a row of Group
	Group  []float64 // K, all groups, Count entries per row
	Stages int       // of the coolant path; 0 without coolant
	Behind []float64 // K, coolant behind each stage, Stages entries per row
	Ways   int       // branches of the coolant path, stage after stage
	Branch []float64 // m³/s through each branch, Ways entries per row
}

// DutyResult is what a duty found.
type DutyResult struct {
	Duty         Duty
	Duration     unit.Time
	End          DutyEnd
	Hottest      Extreme
	Coldest      Extreme
	Spread       unit.TemperatureDelta // largest between two groups at one time
	SpreadAt     unit.Time
	Derated      bool      // less was given than asked
	DeratedFrom  unit.Time // first time
	DeratedBy    Limiter
	DeratedGroup int         // that limited, −1: the pack as a whole
	Asked, Given unit.Energy // at the terminals; of a charge the energy taken in
	Charge       unit.Ratio  // at the end, of the group that empties first
	FlowMax      unit.VolumeFlow
	HeadMax      unit.Pressure
	HeaterEnergy unit.Energy
	LoadEnergy   unit.Energy // pump, fan, heater and chiller together
	PreheatTime  unit.Time   // of a soak
	CellHeat     unit.Energy // of all groups
	Power        unit.Power  // of a grade or full power, at the terminals, at the begin
	GradeMost    unit.Slope  // of a grade: the steepest that the drive train holds at that speed
	Held         bool        // of a grade: the drive train holds it
	Account      heat.Account
	Trace        DutyTrace
	Findings     []check.Finding
}

// duty is a run of one.
type duty struct {
	c     *DutyCase
	d     Duty
	g     *Groups
	ask   func(k int) float64 // W at the terminals at step k
	res   DutyResult
	every int
}

// RunDuty puts the pack through a duty, groups and heat stepped together: the
// temperatures of the last step hold for the circuit of the next, whose heat
// then holds over the step. What pump, fan, heater and chiller draw comes out of
// the pack while driving, and from outside while charging or preheating.
//
// Errors: ErrDuty, ErrTrain, ErrPack, ErrSchedule, those of heat.
func RunDuty(c DutyCase, d Duty) (DutyResult, error) {
	r := &duty{c: &c, d: d}
	if err := r.prepare(); err != nil {
		return DutyResult{}, err
	}
	if err := r.run(); err != nil {
		return DutyResult{}, err
	}
	r.res.Account = c.Heat.Account()
	r.res.Charge, _ = r.g.Charge()
	r.findings()
	return r.res, nil
}

// prepare fills in what is not said and sets the start.
func (r *duty) prepare() error {
	c, d := r.c, r.d
	if err := d.validate(); err != nil {
		return err
	}
	if c.Pack == nil || c.Table == nil || c.Heat == nil {
		return fmt.Errorf("%w: pack, table of the cell and thermal system are all needed", ErrDuty)
	}
	if n := c.Pack.Topology.Series * c.Pack.Topology.Strings; c.Heat.Sources() != n {
		return fmt.Errorf("%w: the thermal system has %d groups, the pack %d", ErrDuty, c.Heat.Sources(), n)
	}
	if c.Start == 0 {
		c.Start = DutyStart(d, c.Air)
	}
	if c.Step == 0 {
		c.Step = 1
		if d.Kind == DutySoak {
			c.Step = 10
		}
	}
	if c.Rows == 0 {
		c.Rows = 600
	}
	if !(c.Step > 0) || d.longest()/c.Step > stepsMax || c.Rows < 2 {
		return fmt.Errorf("%w: %g s in steps of %g s and %d rows: at most %d steps and 2 rows or more are accepted", ErrDuty, float64(d.longest()), float64(c.Step), c.Rows, stepsMax)
	}
	o := c.Groups
	o.Step, o.Temperature = c.Step, c.Start
	if d.Kind == DutyCharge && o.Charge == 0 {
		o.Charge = max(c.Pack.SoCMin, 0.1)
	}
	var err error
	if r.g, err = NewGroups(c.Table, c.Pack, o); err != nil {
		return err
	}
	if err := c.Heat.Start(c.Start); err != nil {
		return err
	}
	r.res = DutyResult{Duty: d, DeratedGroup: -1, End: DutyTime}
	r.every = max(1, int(math.Ceil(float64(d.longest()/c.Step)/float64(c.Rows-1))))
	return r.demand()
}

// DutyStart returns the temperature of a pack at the start of a duty of which
// nothing is said: that of the air, of a soak at least 20 °C.
// Source: assumption.
func DutyStart(d Duty, air unit.Temperature) unit.Temperature {
	if d.Kind == DutySoak {
		return max(air, unit.Celsius(20))
	}
	return air
}

// demand decides what power is asked for.
func (r *duty) demand() error {
	c, d := r.c, r.d
	full := c.Pack.VoltageFull()
	switch d.Kind {
	case DutySchedule:
		if d.Schedule == nil {
			return fmt.Errorf("%w: no schedule", ErrDuty)
		}
		dem, err := NewDemand(c.Train, d.Schedule, DemandOptions{Step: c.Step, Voltage: full})
		if err != nil {
			return err
		}
		r.res.Findings = append(r.res.Findings, dem.motorFindings()...)
		r.ask = func(k int) float64 { return dem.Power[k%len(dem.Power)] }
	case DutyGrade:
		s, err := SteadyAt(c.Train, d.Speed, d.Grade, full)
		if err != nil {
			return err
		}
		if r.res.GradeMost, err = gradeMost(c.Train, d.Speed, full); err != nil {
			return err
		}
		r.res.Held = s.Held
		if !s.Held {
			// The steepest that it holds stands in for the wanted one.
			if s, err = SteadyAt(c.Train, d.Speed, r.res.GradeMost, full); err != nil {
				return err
			}
		}
		p := float64(s.Terminals)
		r.res.Power = s.Terminals
		if d.longest() >= c.Train.Unit.PeakDuration {
			r.res.Findings = append(r.res.Findings, motorOver(c.Train.Unit, s.Motor)...)
		}
		r.ask = func(int) float64 { return p }
	case DutyFullPower:
		if err := c.Train.Validate(); err != nil {
			return err
		}
		peak, long := fullPower(c.Train, full)
		r.res.Power = unit.Power(peak)
		u := c.Train.Unit
		r.ask = func(k int) float64 {
			if u.PeakDuration > 0 && unit.Time(k)*c.Step >= u.PeakDuration {
				return long
			}
			return peak
		}
	case DutyCharge, DutySoak:
		r.ask = func(int) float64 { return 0 }
	default:
		return fmt.Errorf("%w: %q is none; %s", ErrDuty, d.Kind, dutyHint)
	}
	return nil
}

// gradeMost returns the steepest grade that the drive train holds at a speed,
// below zero when it does not even hold the speed on the level.
func gradeMost(t Train, v unit.Speed, full unit.Voltage) (unit.Slope, error) {
	if err := t.Validate(); err != nil {
		return 0, err
	}
	k := makeChain(&t)
	speed := float64(v)
	u := float64(full)
	spare := func(grade float64) float64 {
		return k.forceMax(speed, u) - k.force(speed, speed, 1, slopeOf(grade))
	}
	const steepest = 2.0 // a slope of 200 %: no vehicle holds it for want of grip
	low, high := -steepest, steepest
	for range 60 {
		mid := (low + high) / 2
		if spare(mid) >= 0 {
			low = mid
		} else {
			high = mid
		}
	}
	return unit.Slope(low), nil
}

// fullPower returns the largest power at the terminals that the drive train
// takes at any speed, and the same share of it that the unit's continuous power
// is of its peak power.
func fullPower(t Train, full unit.Voltage) (peak, long float64) {
	k := makeChain(&t)
	top := k.speedRated / k.turn
	var o flow
	for i := 1; i <= 200; i++ {
		v := top * float64(i) / 200
		k.drive(&o, k.forceMax(v, float64(full)), v)
		peak = math.Max(peak, o.power)
	}
	long = peak
	if u := t.Unit; u.PowerContinuous > 0 {
		long = k.auxiliary + (peak-k.auxiliary)*math.Min(1, float64(u.PowerContinuous/u.PowerPeak))
	}
	return peak, long
}

// run steps groups and heat together.
func (r *duty) run() error {
	control := r.c.Heat.Control()
	if r.d.Kind == DutySoak {
		r.c.Heat.SetControl(heat.Control{}) // standing, nothing runs
		defer r.c.Heat.SetControl(control)
	}
	steps := int(math.Ceil(float64(r.d.longest()/r.c.Step) - 1e-9))
	for k := range steps {
		if k%haltEvery == 0 && r.c.Halt != nil {
			if err := r.c.Halt(); err != nil {
				return err
			}
		}
		over, err := r.step(k)
		if err != nil {
			return err
		}
		if over {
			return nil
		}
	}
	if r.d.Kind == DutySoak && r.d.Preheat != 0 {
		return r.preheat(control)
	}
	return nil
}

// haltEvery is the number of steps after which a run asks whether it is still
// wanted: some milliseconds of work.
const haltEvery = 256

// chargedBelow ends a charge: the share of the asked current below which a full
// pack counts as full. Source: common-practice (C/20 of a 1 C charge).
const chargedBelow = 0.05

// step does step k and reports whether the duty is over.
func (r *duty) step(k int) (bool, error) {
	h := r.c.Heat
	if err := r.g.SetTemperatures(h.Temperatures()[:h.Sources()]); err != nil {
		return false, err
	}
	driving := r.d.Kind != DutyCharge && r.d.Kind != DutySoak
	asked := r.ask(k)
	if driving {
		asked += float64(h.Load())
	}
	var s GroupStep
	var err error
	if r.d.Kind == DutyCharge {
		s, err = r.g.StepCurrent(-r.d.Current)
	} else {
		s, err = r.g.StepPower(unit.Power(asked))
	}
	if err != nil {
		return false, err
	}
	if err := h.Step(r.g.Heat(), r.c.Step); err != nil {
		return false, err
	}
	r.note(k, asked, &s)
	switch {
	case r.d.Kind == DutyCharge && s.Limiter == LimitFull,
		r.d.Kind == DutyCharge && s.Limiter == LimitVoltageMax && math.Abs(float64(s.Current)) < chargedBelow*float64(r.d.Current):
		r.res.End = DutyFull
		return true, nil
	case driving && s.Limiter == LimitEmpty:
		r.res.End = DutyEmpty
		return true, nil
	}
	return false, nil
}

// preheat heats until the coldest group is warm enough, at most twelve hours.
func (r *duty) preheat(control heat.Control) error {
	h := r.c.Heat
	control.HeatBelow, control.Band = r.d.Preheat, max(control.Band, 1)
	h.SetControl(control)
	const most = 12 * unit.Hour
	k0 := int(math.Ceil(float64(r.d.longest()/r.c.Step) - 1e-9))
	for k := range int(float64(most / r.c.Step)) {
		if _, cold := h.Extremes(); h.Temperatures()[cold] >= float64(r.d.Preheat) {
			r.res.End = DutyWarm
			return nil
		}
		if _, err := r.step(k0 + k); err != nil {
			return err
		}
		r.res.PreheatTime += r.c.Step
	}
	r.res.End = DutyUnheld
	return nil
}

// note books step k.
func (r *duty) note(k int, asked float64, s *GroupStep) {
	h, res := r.c.Heat, &r.res
	dt := float64(r.c.Step)
	now := unit.Time(k+1) * r.c.Step
	res.Duration = now
	kelvin := h.Temperatures()[:h.Sources()]
	hot, cold := h.Extremes()
	if res.Hottest.At == 0 || kelvin[hot] > float64(res.Hottest.Temperature) {
		res.Hottest = Extreme{unit.Temperature(kelvin[hot]), hot, h.Nodes()[hot], now}
	}
	if res.Coldest.At == 0 || kelvin[cold] < float64(res.Coldest.Temperature) {
		res.Coldest = Extreme{unit.Temperature(kelvin[cold]), cold, h.Nodes()[cold], now}
	}
	if d := unit.TemperatureDelta(kelvin[hot] - kelvin[cold]); d > res.Spread {
		res.Spread, res.SpreadAt = d, now
	}
	st := h.State()
	res.FlowMax, res.HeadMax = max(res.FlowMax, st.Flow), max(res.HeadMax, st.Head)
	res.HeaterEnergy += unit.Energy(float64(st.Heater) * dt)
	res.LoadEnergy += unit.Energy(float64(st.Load()) * dt)
	for _, q := range r.g.Heat() {
		res.CellHeat += unit.Energy(q * dt)
	}
	given := float64(s.Power)
	if r.d.Kind == DutyCharge {
		given, asked = -given, -given
		res.derate(now-r.c.Step, s, float64(r.d.Current)+float64(s.Current) > 1e-3*float64(r.d.Current) && s.Limiter != LimitVoltageMax && s.Limiter != LimitFull)
	} else if asked > 0 {
		res.derate(now-r.c.Step, s, s.Limiter != LimitNone && asked-given > 1e-3*asked)
	}
	res.Asked += unit.Energy(asked * dt)
	res.Given += unit.Energy(given * dt)
	if k%r.every == 0 {
		res.Trace.add(float64(now), kelvin, hot, cold, &st, asked, given)
		res.Trace.views(kelvin, h)
		z, _ := r.g.Charge()
		res.Trace.Charge = append(res.Trace.Charge, float64(z))
	}
}

// derate notes the first time at which less was given than asked.
func (res *DutyResult) derate(at unit.Time, s *GroupStep, short bool) {
	if !short || res.Derated || s.Limiter == LimitEmpty {
		return // the charge floor is the end of the duty
	}
	res.Derated, res.DeratedFrom, res.DeratedBy, res.DeratedGroup = true, at, s.Limiter, s.Group
}

// add appends a row but for the charge.
func (t *DutyTrace) add(now float64, kelvin []float64, hot, cold int, st *heat.State, asked, given float64) {
	mean := 0.0
	for _, k := range kelvin {
		mean += k / float64(len(kelvin))
	}
	for _, c := range []struct {
		to *[]float64
		v  float64
	}{
		{&t.Time, now}, {&t.Hottest, kelvin[hot]}, {&t.Coldest, kelvin[cold]}, {&t.Mean, mean},
		{&t.Inlet, float64(st.Inlet)}, {&t.Outlet, float64(st.Outlet)}, {&t.Flow, float64(st.Flow)}, {&t.Head, float64(st.Head)},
		{&t.Asked, asked}, {&t.Given, given}, {&t.Load, float64(st.Load())},
		{&t.Heater, float64(st.Heater)}, {&t.Chilled, float64(st.Chilled)},
	} {
		*c.to = append(*c.to, c.v)
	}
}

// views appends all groups and the coolant along its path.
func (t *DutyTrace) views(kelvin []float64, h *heat.System) {
	t.Count = len(kelvin)
	t.Group = append(t.Group, kelvin...)
	before := len(t.Behind)
	t.Behind = h.CoolantBehind(t.Behind)
	t.Stages = len(t.Behind) - before
	before = len(t.Branch)
	t.Branch = h.BranchFlows(t.Branch)
	t.Ways = len(t.Branch) - before
}
