package charge

import (
	"errors"
	"fmt"
	"math"

	"packyard/drive"
	"packyard/unit"
)

// ErrOptions says that a charge is asked for that cannot be run.
var ErrOptions = errors.New("charge cannot be run")

// End says why a charge ended.
type End string

// Ends of a charge.
const (
	EndFull    End = "full"             // the strongest group at its highest voltage, the current below the cut-off
	EndWanted  End = "wanted charge"    //
	EndBlocked End = "no current flows" // see Result.Limiter
	EndPower   End = "no power is left" // the loads take all that the equipment gives
	EndTime    End = "longest time"     //
)

// loaded is a thermal model that itself draws power, of pump, fan, heater, chiller.
type loaded interface{ Load() unit.Power }

// Options are the choices of a charge; the zero value is the default.
type Options struct {
	To      unit.Ratio    // charge at which it ends; zero: full
	CutOff  unit.CRate    // of the pack's own capacity, below which a tapering current ends it; zero: 0.05
	Step    unit.Time     // zero: 10 s
	TimeMax unit.Time     // zero: 72 h
	Load    unit.Power    // of what else is awake while charging, at the pack's voltage
	Thermal drive.Thermal // of the groups, in their order; nil: temperatures stay as they are
	Marks   []unit.Ratio  // charges of which time and energy are told, rising
	Trace   *Trace        // filled when not nil
}

// Defaults of Options and bounds of the run. Source: common practice (handbook
// 7.15: the end at 0.05 C); the others are assumptions.
const (
	cutOffDefault = 0.05
	stepDefault   = 10.0        // s
	timeDefault   = 72 * 3600.0 // s
	timeMost      = 30 * 24 * unit.Hour
	stepsMax      = 2_000_000
	idleMax       = 6 * 3600.0 // s without current, while temperatures move, after which it is given up
	chargeNear    = 1e-6       // of charge: near enough to the wanted one
)

// Mark is the moment at which a charge was passed.
type Mark struct {
	Charge     unit.Ratio
	Time       unit.Time
	EnergyWall unit.Energy
	Passed     bool // false: it began above it, or ended below it
}

// Result is the outcome of a charge.
type Result struct {
	End         End
	Limiter     drive.Limiter // what held the current when it ended, or blocked it
	Group       int           // that did; −1: none
	Duration    unit.Time
	Constant    unit.Time // at the power or current of the equipment
	Limited     unit.Time // below it, by the pack: taper, temperature, current
	ChargeStart unit.Ratio
	ChargeEnd   unit.Ratio

	EnergyWall unit.Energy // from the supply
	EnergyPack unit.Energy // into the terminals of the pack
	EnergyLoad unit.Energy // into what else is awake
	Stored     unit.Energy // growth of what the pack can give at rest, down to empty

	PowerWallMax   unit.Power
	CurrentMax     unit.Current // into the pack
	VoltageEnd     unit.Voltage
	TemperatureMax unit.Temperature // of the hottest group at any time
	Marks          []Mark
	Events         []drive.LimitEvent // who limited what and when
}

// Efficiency returns the share of the energy from the supply that came to the
// terminals of the pack; zero when nothing was drawn.
func (r *Result) Efficiency() unit.Ratio {
	if r.EnergyWall <= 0 {
		return 0
	}
	return unit.Ratio(r.EnergyPack / r.EnergyWall)
}

// Between returns time and energy from the supply between two marks, and false
// when one was not passed.
func (r *Result) Between(from, to unit.Ratio) (unit.Time, unit.Energy, bool) {
	var a, b Mark
	for _, m := range r.Marks {
		if m.Charge == from {
			a = m
		}
		if m.Charge == to {
			b = m
		}
	}
	return b.Time - a.Time, b.EnergyWall - a.EnergyWall, a.Passed && b.Passed
}

// Trace is a charge over time, one entry per step.
type Trace struct {
	Time        []float64 // s, end of the step
	PowerWall   []float64 // W, mean of the step
	PowerPack   []float64 // W, into the terminals, mean of the step
	Current     []float64 // A, into the pack
	Voltage     []float64 // V at the terminals, end of the step
	VoltageCell []float64 // V of the strongest group, end of the step
	Charge      []float64 // of the group that empties first, 0…1
	Temperature []float64 // K, hottest group
}

func (t *Trace) add(r *run, s *drive.GroupStep, wall float64) {
	t.Time = append(t.Time, r.time)
	t.PowerWall = append(t.PowerWall, wall)
	t.PowerPack = append(t.PowerPack, -float64(s.Power))
	t.Current = append(t.Current, -float64(s.Current))
	t.Voltage = append(t.Voltage, float64(s.Voltage))
	t.VoltageCell = append(t.VoltageCell, float64(s.VoltageMax))
	t.Charge = append(t.Charge, r.charge)
	t.Temperature = append(t.Temperature, r.hottest)
}

// run is a charge in progress.
type run struct {
	g       *drive.Groups
	o       Options
	e       Equipment
	power   float64 // W at the terminals that the equipment gives
	current float64 // A that it gives
	wall    func(float64) float64
	cut     float64 // A
	least   float64 // A·s of the smallest group: the charge rises at most this quickly

	dt      float64 // s
	time    float64 // s
	idle    float64 // s without current
	voltage float64 // V at the terminals
	charge  float64 // of the group that empties first
	hottest float64 // K
	out     Result
}

// Run charges groups from their present state. Groups are made with
// Derating{Off: true}, so that the current stays constant up to the highest
// voltage; with derating it tapers before. Findings of Equipment.Check are the
// caller's business. Nothing is allocated within the steps but the trace.
//
// Errors: ErrOptions, ErrSupply, and those of the groups and the thermal model.
func Run(g *drive.Groups, e Equipment, o Options) (Result, error) {
	r, err := newRun(g, e, o)
	if err != nil {
		return Result{}, err
	}
	before := float64(g.EnergyLeft())
	for range stepsMax {
		end, err := r.step()
		if err != nil {
			return Result{}, fmt.Errorf("charge at %.0f s: %w", r.time, err)
		}
		if end != "" {
			r.out.End = end
			break
		}
	}
	if r.out.End == "" {
		return Result{}, fmt.Errorf("%w: no end after %d steps", ErrOptions, stepsMax)
	}
	r.out.Duration = unit.Time(r.time)
	r.out.ChargeEnd = unit.Ratio(r.charge)
	r.out.VoltageEnd = unit.Voltage(r.voltage)
	r.out.Stored = unit.Energy(float64(g.EnergyLeft()) - before)
	r.out.Events = append(r.out.Events, g.Record().Events()...)
	return r.out, nil
}

func newRun(g *drive.Groups, e Equipment, o Options) (*run, error) {
	set := func(v *float64, or float64) {
		if *v == 0 {
			*v = or
		}
	}
	set((*float64)(&o.To), 1)
	set((*float64)(&o.CutOff), cutOffDefault)
	set((*float64)(&o.Step), stepDefault)
	set((*float64)(&o.TimeMax), timeDefault)
	if err := e.Supply.Check(); err != nil {
		return nil, err
	}
	switch {
	case g == nil || !e.Supply.Direct && e.Charger == nil:
		return nil, fmt.Errorf("%w: groups and, for alternating current, a charger are needed", ErrOptions)
	case e.Supply.Direct && e.Inlet.CurrentMax <= 0:
		return nil, fmt.Errorf("%w: the vehicle has no inlet for direct current", ErrOptions)
	case !(o.To > 0 && o.To <= 1):
		return nil, fmt.Errorf("%w: up to a charge of %g, and above 0 up to 1 is accepted", ErrOptions, float64(o.To))
	case !(o.CutOff > 0 && o.CutOff < 10):
		return nil, fmt.Errorf("%w: a cut-off of %g C, and above 0 up to 10 C is accepted", ErrOptions, float64(o.CutOff))
	case !(o.Step > 0 && o.Step <= 3600) || !(o.TimeMax > 0 && o.TimeMax <= timeMost):
		return nil, fmt.Errorf("%w: steps of %g s for %g s, and above 0 up to an hour and 30 d are accepted", ErrOptions, float64(o.Step), float64(o.TimeMax))
	case !(o.Load >= 0) || math.IsInf(float64(o.Load), 0):
		return nil, fmt.Errorf("%w: a load of %g W", ErrOptions, float64(o.Load))
	}
	r := &run{g: g, e: e, o: o, dt: float64(o.Step)}
	r.power, r.current, r.wall = e.limits()
	capacity, series := 0.0, g.Count()/len(g.StringCurrents(nil))
	for i := 0; i < g.Count(); i += series {
		capacity += float64(g.Capacity(i))
	}
	r.cut = float64(o.CutOff) * capacity / 3600
	r.least = math.Inf(1)
	for i := range g.Count() {
		r.least = min(r.least, float64(g.Capacity(i)))
	}
	for _, v := range g.Voltages()[:series] {
		r.voltage += v
	}
	r.look()
	r.out.ChargeStart, r.out.Group = unit.Ratio(r.charge), -1
	for _, m := range o.Marks {
		r.out.Marks = append(r.out.Marks, Mark{Charge: m, Passed: float64(m) == r.charge})
	}
	return r, nil
}

// look reads charge and hottest group.
func (r *run) look() {
	c, _ := r.g.Charge()
	r.charge = float64(c)
	r.hottest = 0
	for _, t := range r.g.Temperatures() {
		r.hottest = max(r.hottest, t)
	}
	r.out.TemperatureMax = max(r.out.TemperatureMax, unit.Temperature(r.hottest))
}

// step goes on by one step and tells the end, if it has come.
func (r *run) step() (End, error) {
	switch {
	case r.charge >= float64(r.o.To)-chargeNear:
		return EndWanted, nil
	case r.time >= float64(r.o.TimeMax):
		return EndTime, nil
	}
	load := float64(r.o.Load)
	if l, ok := r.o.Thermal.(loaded); ok {
		load += float64(l.Load())
	}
	power, current := r.power-load, r.current-load/r.voltage
	if (power <= 0 || current <= 0) && r.o.Thermal == nil {
		return EndPower, nil
	}
	power, current = max(power, 0), max(current, 0)
	if err := r.shorten(min(power/r.voltage, current)); err != nil {
		return "", err
	}
	var s drive.GroupStep
	var err error
	if power > current*r.voltage {
		s, err = r.g.StepCurrent(unit.Current(-current))
	} else {
		s, err = r.g.StepPower(unit.Power(-power))
	}
	if err != nil {
		return "", err
	}
	r.count(&s, load)
	if err := r.warm(); err != nil {
		return "", err
	}
	return r.over(&s), nil
}

// shorten sets the length of a step that would pass the wanted charge.
func (r *run) shorten(current float64) error {
	d := float64(r.o.Step)
	if left := (float64(r.o.To) - r.charge) * r.least; current > 0 && current*d > left {
		d = max(left/current, 1e-3)
	}
	r.dt = d
	return r.g.SetStep(unit.Time(d))
}

// count adds a step to the result.
func (r *run) count(s *drive.GroupStep, load float64) {
	d := r.dt
	was, wall := r.charge, r.wall(max(0, load-float64(s.Power)))
	r.voltage = float64(s.Voltage)
	r.look()
	for i := range r.out.Marks {
		m := &r.out.Marks[i]
		if at := float64(m.Charge); !m.Passed && at > was && at <= r.charge {
			part := (at - was) / (r.charge - was) // the current is constant within a step
			*m = Mark{Charge: m.Charge, Time: unit.Time(r.time + part*d), EnergyWall: r.out.EnergyWall + unit.Energy(part*d*wall), Passed: true}
		}
	}
	r.time += d
	o := &r.out
	o.EnergyWall += unit.Energy(wall * d)
	o.EnergyPack -= unit.Energy(float64(s.Power) * d)
	o.EnergyLoad += unit.Energy(load * d)
	o.PowerWallMax = max(o.PowerWallMax, unit.Power(wall))
	o.CurrentMax = max(o.CurrentMax, -s.Current)
	if s.Limiter == drive.LimitNone {
		o.Constant += unit.Time(d)
	} else {
		o.Limited += unit.Time(d)
	}
	if r.o.Trace != nil {
		r.o.Trace.add(r, s, wall)
	}
}

// warm steps the thermal model.
func (r *run) warm() error {
	if r.o.Thermal == nil {
		return nil
	}
	if err := r.o.Thermal.Step(r.g.Heat(), unit.Time(r.dt)); err != nil {
		return err
	}
	return r.g.SetTemperatures(r.o.Thermal.Temperatures()[:r.g.Count()])
}

// over tells whether a step was the last.
func (r *run) over(s *drive.GroupStep) End {
	if s.Limiter != drive.LimitNone {
		r.out.Limiter, r.out.Group = s.Limiter, s.Group
	}
	i := -float64(s.Current)
	switch s.Limiter {
	case drive.LimitVoltageMax, drive.LimitFull:
		if i < r.cut {
			return EndFull
		}
	}
	if i > 0 {
		r.idle = 0
		return ""
	}
	if r.idle += r.dt; r.o.Thermal == nil || r.idle > idleMax {
		return EndBlocked
	}
	return ""
}
