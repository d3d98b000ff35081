package drive

import (
	"errors"
	"fmt"

	"packyard/check"
	"packyard/pack"
	"packyard/unit"
	"packyard/vehicle"
)

// ErrPace says that the pace of a vehicle cannot be computed.
var ErrPace = errors.New("pace cannot be computed")

// PaceCase is a vehicle with its pack, at the charge and the temperature at
// which its pace is looked for.
type PaceCase struct {
	Train    Train // Grip is filled from Stand where that is given
	Pack     *pack.Pack
	Table    *GroupTable
	Groups   GroupOptions   // charge and temperature of the pack
	Stand    *vehicle.State // axle loads and centre of gravity at that mass; nil: grip is not looked at
	Driven   vehicle.Axle
	Parked   vehicle.Axle // axle of the parking brake; zero: the rear one
	Friction unit.Ratio   // between tyre and road; zero: 0.7
	Speeds   []unit.Speed // at which the steepest grade is looked for; nil: 20, 50 and 80 km/h
	Grade    unit.Slope   // on which the speed that is held is looked for; zero: 8 %
	Step     unit.Time    // of the runs; zero: 0.1 s
}

// Defaults of PaceCase. Source: assumption; a dry road of no particular kind.
const (
	paceFriction = 0.7
	paceGrade    = 0.08
	paceStep     = 0.1 // s
)

// Held and PeakFor are the times for which a speed or grade counts as held, and
// as reached at the peak. Source: common-practice (ten-minute climb, ten-second pulse).
const (
	Held    = 10 * unit.Minute
	PeakFor = 10 * unit.Second
)

// Pace is what a vehicle does forward in time, at one charge and temperature.
type Pace struct {
	Charge       unit.Ratio
	Temperature  unit.Temperature
	Sprints      []Sprint    // to 50 and to 100 km/h
	TopSpeed     unit.Speed  // on the level, with what motor and pack give for PeakFor
	TopSpeedBy   Limiter     // what limits it
	TopSpeedHeld unit.Speed  // for the time Held
	TopHeldBy    Limiter     //
	HillStart    PaceGrade   // steepest on which it moves off, at walking pace
	Climbs       []PaceClimb // by speed
	Grade        unit.Slope  // the grade of the next two
	GradeSpeed   unit.Speed  // that is held on it for the time Held; zero: none is
	GradeBy      Limiter
	GripGrade    unit.Slope // steepest that the driven axle passes on to the road; zero: not looked at
	ParkingUp    unit.Slope // steepest on which the braked axle holds it facing up; zero: not looked at
	ParkingDown  unit.Slope
}

// Sprint is an acceleration from a standstill on the level, everything given.
type Sprint struct {
	To       unit.Speed
	Reached  bool
	Time     unit.Time   // zero when not reached
	Distance unit.Length // likewise
	Best     unit.Speed  // highest that was reached, at most To
	By       Limiter     // what limited for most of the time
}

// PaceGrade is a grade and what limits it.
type PaceGrade struct {
	Grade unit.Slope
	By    Limiter
}

// PaceClimb is the steepest grade at a speed.
type PaceClimb struct {
	Speed    unit.Speed
	Steepest PaceGrade // for PeakFor; below zero where not even the level is held
	For      unit.Time // how long 95 % of it is held at that speed, at most half an hour
	ForBy    Limiter   // what ends that; LimitNone: half an hour was over
	Held     PaceGrade // for the time Held
}

// paceClimbMost is the longest climb that is looked at, paceSprintMost the longest
// sprint, in s. Source: assumption.
const (
	paceClimbMost  = 1800.0
	paceSprintMost = 120.0
)

// walking is the speed at which a vehicle moves off, m/s. Source: assumption, 1 km/h.
const walking = 1 * kmh

// Pacer answers questions of pace for one case. It serves one goroutine.
type Pacer struct {
	c    PaceCase
	r    Run
	d    *Demand
	grip float64      // N on the level
	volt unit.Voltage // of the pack at rest, within what the inverter takes
}

// NewPacer checks a case. Errors: ErrPace, ErrTrain, ErrPack.
func NewPacer(c PaceCase) (*Pacer, error) {
	if c.Pack == nil || c.Table == nil {
		return nil, fmt.Errorf("%w: pack and table of the cell are both needed", ErrPace)
	}
	if c.Friction == 0 {
		c.Friction = paceFriction
	}
	if c.Parked == 0 {
		c.Parked = vehicle.RearAxle
	}
	if c.Grade == 0 {
		c.Grade = paceGrade
	}
	if c.Step == 0 {
		c.Step = paceStep
	}
	if c.Speeds == nil {
		c.Speeds = []unit.Speed{20 * kmh, 50 * kmh, 80 * kmh}
	}
	switch {
	case !(c.Friction > 0 && c.Friction <= 2):
		return nil, fmt.Errorf("%w: friction %g: it must be above 0 and at most 2", ErrPace, float64(c.Friction))
	case !(c.Grade > 0 && c.Grade <= 1):
		return nil, fmt.Errorf("%w: grade %g: it must be above 0 and at most 1", ErrPace, float64(c.Grade))
	case !(c.Step >= 0.01 && c.Step <= 1):
		return nil, fmt.Errorf("%w: step of %g s: it must be 0.01 s to 1 s", ErrPace, float64(c.Step))
	}
	for _, v := range c.Speeds {
		if !(v > 0 && v <= 300*kmh) {
			return nil, fmt.Errorf("%w: speed %g km/h: it must be above 0 and at most 300 km/h", ErrPace, float64(v)/kmh)
		}
	}
	if s := c.Stand; s != nil {
		g, err := gripOf(s, c.Driven, c.Friction)
		if err != nil {
			return nil, err
		}
		c.Train.Grip = g
	}
	g, err := NewGroups(c.Table, c.Pack, c.Groups)
	if err != nil {
		return nil, err
	}
	p := &Pacer{c: c, volt: unit.Voltage(g.terminals)}
	if inv := c.Train.Inverter; inv != nil && inv.Bands.FullMax > 0 {
		p.volt = min(p.volt, inv.Bands.FullMax) // under load it falls there
	}
	return p, p.prepare(0, float64(c.Step), 1)
}

// gripOf returns the grip of an axle from the state of the vehicle.
// Source: gillespie, ch. 1 (handbook 5.24, 5.28).
func gripOf(s *vehicle.State, driven vehicle.Axle, friction unit.Ratio) (Grip, error) {
	if !(s.Wheelbase > 0) || !(s.CG.Z > 0) || !(s.Mass > 0) {
		return Grip{}, fmt.Errorf("%w: state %q has wheelbase %g m, height %g m and mass %g kg: all must be above 0",
			ErrPace, s.Name, float64(s.Wheelbase), float64(s.CG.Z), float64(s.Mass))
	}
	transfer := unit.Ratio(s.CG.Z / s.Wheelbase)
	switch driven {
	case vehicle.FrontAxle:
		return Grip{MassDriven: s.AxleFront, Transfer: -transfer, Friction: friction}, nil
	case vehicle.RearAxle:
		return Grip{MassDriven: s.AxleRear, Transfer: transfer, Friction: friction}, nil
	case vehicle.AllAxles:
		return Grip{MassDriven: s.Mass, Friction: friction}, nil
	}
	return Grip{}, fmt.Errorf("%w: driven axle not named", ErrPace)
}

// prepare makes the run ready for n steps of dt seconds from speed v0 to all that
// the vehicle can do on the level.
func (p *Pacer) prepare(v0, dt float64, n int) error {
	d, err := NewDemand(p.c.Train, flatOut(v0, dt, n), DemandOptions{Step: unit.Time(dt), Voltage: p.volt})
	if err != nil {
		return err
	}
	return p.with(d)
}

// with starts the pack anew for a demand.
func (p *Pacer) with(d *Demand) error {
	q := GroupRun{Table: p.c.Table, GroupOptions: p.c.Groups}
	if err := p.r.prepareGroups(d, p.c.Pack, &q, &Options{Cycles: 1}); err != nil {
		return err
	}
	p.d = d
	p.grip = p.r.own.chain.gripDrive
	p.r.motor = newMotorRating(p.c.Train.Unit, deratingOverload, float64(d.Step))
	return nil
}

// still asks whether the vehicle holds speed v on a grade: the force that is
// spare, in N, and what limits it.
type still struct {
	p    *Pacer
	most ability
	cont bool
}

// still puts the pack at its start and asks for a time of constant power.
func (p *Pacer) still(d unit.Time) (still, error) {
	if err := p.with(p.d); err != nil {
		return still{}, err
	}
	p.r.g.setStep(float64(d))
	s := still{p: p, most: p.r.g.ability(&p.r, true), cont: d > PeakFor}
	if p.r.motor != nil && s.cont {
		p.r.motor.continuous(&p.r.own.chain)
	}
	return s, nil
}

func (s *still) spare(v, grade float64) (float64, Limiter) {
	road := slopeOf(grade)
	k := &s.p.r.own.chain
	k.gripDrive = s.p.grip * road.cos
	if v*k.turn > k.speedRated {
		return -1, LimitMotor
	}
	f, by := s.p.r.spare(v, v, road, &s.most)
	if by == LimitMotor && s.cont && s.p.r.motor != nil {
		by = LimitMotorTime
	}
	return f, by
}

// steepest returns the steepest grade at a speed in m/s.
func (s *still) steepest(v float64) PaceGrade {
	spare := func(g float64) float64 { f, _ := s.spare(v, g); return f }
	low, high := -0.5, 1.5
	switch {
	case spare(low) < 0:
		_, by := s.spare(v, low)
		return PaceGrade{unit.Slope(low), by}
	case spare(high) >= 0:
		return PaceGrade{unit.Slope(high), LimitNone}
	}
	g := falsePosition(low, high, spare)
	_, by := s.spare(v, g+1e-9)
	return PaceGrade{unit.Slope(g), by}
}

// fastest returns the highest speed on a grade in m/s, 0 when it does not even
// move off.
func (s *still) fastest(grade float64) (float64, Limiter) {
	spare := func(v float64) float64 { f, _ := s.spare(v, grade); return f }
	if f, by := s.spare(walking, grade); f < 0 {
		return 0, by
	}
	// The first speed that is not held: spare force need not fall all the way.
	const step, most = 5 * kmh, 400 * kmh
	low := walking
	for high := step; high <= most; high += step {
		if spare(high) < 0 {
			v := falsePosition(low, high, spare)
			_, by := s.spare(v*(1+1e-9)+1e-9, grade)
			return v, by
		}
		low = high
	}
	return low, LimitNone
}

// Pace returns everything. Errors: those of drive.
func (p *Pacer) Pace() (Pace, error) {
	z, _ := p.r.g.Charge()
	out := Pace{Charge: z, Temperature: unit.Temperature(p.r.g.fixed.temp[0]), Grade: p.c.Grade}
	peak, err := p.still(PeakFor)
	if err != nil {
		return Pace{}, err
	}
	v, by := peak.fastest(0)
	out.TopSpeed, out.TopSpeedBy = unit.Speed(v), by
	out.HillStart = peak.steepest(walking)
	for _, v := range p.c.Speeds {
		out.Climbs = append(out.Climbs, PaceClimb{Speed: v, Steepest: peak.steepest(float64(v))})
	}
	held, err := p.still(Held)
	if err != nil {
		return Pace{}, err
	}
	v, by = held.fastest(0)
	out.TopSpeedHeld, out.TopHeldBy = unit.Speed(v), by
	for i := range out.Climbs {
		out.Climbs[i].Held = held.steepest(float64(out.Climbs[i].Speed))
	}
	v, by = held.fastest(float64(p.c.Grade))
	out.GradeSpeed, out.GradeBy = unit.Speed(v), by
	for i := range out.Climbs {
		c := &out.Climbs[i]
		if c.Steepest.Grade > 0 {
			if c.For, c.ForBy, err = p.HoldsFor(c.Speed, c.Steepest.Grade*0.95); err != nil {
				return Pace{}, err
			}
		}
	}
	if out.Sprints, err = p.Sprints(50*kmh, 100*kmh); err != nil {
		return Pace{}, err
	}
	p.stand(&out)
	return out, nil
}

// TopSpeed returns the highest speed on the level that motor and pack hold for a
// time: up to PeakFor with their peaks, longer with what they may for ever.
func (p *Pacer) TopSpeed(d unit.Time) (unit.Speed, Limiter, error) {
	s, err := p.still(d)
	if err != nil {
		return 0, LimitNone, err
	}
	v, by := s.fastest(0)
	return unit.Speed(v), by, nil
}

// Steepest returns the steepest grade at a speed that is held for a time.
func (p *Pacer) Steepest(v unit.Speed, d unit.Time) (PaceGrade, error) {
	s, err := p.still(d)
	if err != nil {
		return PaceGrade{}, err
	}
	return s.steepest(float64(v)), nil
}

// stand fills what depends on the axle loads alone.
func (p *Pacer) stand(out *Pace) {
	s := p.c.Stand
	if s == nil {
		return
	}
	if g, err := s.GradeByTraction(vehicle.Traction{Drive: p.c.Driven, Friction: p.c.Friction}); err == nil {
		out.GripGrade = g
	}
	out.ParkingUp, out.ParkingDown = parking(s, p.c.Parked, p.c.Friction)
}

// parking returns the steepest slopes on which a braked axle holds the vehicle,
// facing up and facing down:
//
//	rear axle   tan θ = μ·(b/L)/(1 ∓ μ·h/L)    front axle   tan θ = μ·(c/L)/(1 ± μ·h/L)
//
// from the axle loads on a grade. Source: gillespie, ch. 1 (handbook 5.25).
func parking(s *vehicle.State, axle vehicle.Axle, friction unit.Ratio) (up, down unit.Slope) {
	share, transfer := float64(s.AxleRear/s.Mass), float64(s.CG.Z/s.Wheelbase)
	switch axle {
	case vehicle.FrontAxle:
		share, transfer = float64(s.AxleFront/s.Mass), -transfer
	case vehicle.AllAxles:
		share, transfer = 1, 0
	}
	mu := float64(friction)
	hold := func(t float64) unit.Slope {
		if den := 1 - mu*t; den > 0 {
			return unit.Slope(mu * share / den)
		}
		return 1
	}
	return hold(transfer), hold(-transfer)
}

// Findings compares the pace with what is wanted: a top speed, and a grade at a
// speed; zero is not asked for.
func (p *Pacer) Findings(top unit.Speed, grade unit.Slope, speed unit.Speed) ([]check.Finding, error) {
	var out []check.Finding
	if top > 0 {
		v, by, err := p.TopSpeed(Held)
		if err != nil {
			return nil, err
		}
		out = append(out, wanted("pace.top-speed", "speed held for ten minutes on the level"+limitedBy(by), check.Against[unit.Speed]{Value: v, Limit: top, Lower: true},
			"a stronger unit, a longer gear, or a pack of higher voltage and current"))
	}
	if grade > 0 && speed > 0 {
		g, err := p.Steepest(speed, Held)
		if err != nil {
			return nil, err
		}
		out = append(out, wanted("pace.grade", "grade held for ten minutes at "+unit.Format(speed, unit.SI)+limitedBy(g.By), check.Against[unit.Slope]{Value: g.Grade, Limit: grade, Lower: true},
			"a lower gear, a stronger unit, a lower mass, or more cells in parallel"))
	}
	return out, nil
}

func limitedBy(l Limiter) string {
	if l == LimitNone {
		return ""
	}
	return ", limited by the " + string(l)
}

// wanted makes a finding that fails below the limit.
func wanted[Q unit.Quantity](rule, subject string, a check.Against[Q], remedy string) check.Finding {
	return a.Finding(check.Finding{Rule: rule, Budget: "range", Subject: subject, Remedy: remedy, Source: "newton-law"}, check.Warning)
}
