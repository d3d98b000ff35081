package drive

import (
	"math"

	"packyard/unit"
)

// Balance says where the energy of a run went. Every term comes from its own
// formula, not from a difference of others; Residual shows how well they close.
// Terms with a sign are positive when they take energy from the pack.
type Balance struct {
	Rolling   unit.Energy // ∫ (a·cosθ + b·v)·v dt
	Air       unit.Energy // ∫ c·(v+w)·|v+w|·v dt
	Grade     unit.Energy // ∫ m·g·sinθ·v dt
	Inertia   unit.Energy // Σ ½·(m+m_rot)·(v1² − v0²)
	Friction  unit.Energy // friction brakes
	Stages    unit.Energy // gears, stage by stage
	Motor     unit.Energy // ∫ loss(T, ω) dt
	Inverter  unit.Energy // share of the power passed, and idling
	Auxiliary unit.Energy
	Joints    unit.Energy // ∫ I²·R of interconnects dt
	R0        unit.Energy // ∫ I²·R0 dt
	RC1Lost   unit.Energy // ∫ V²/R dt, closed form of the exponential
	RC1Stored unit.Energy // Σ ½·C·(V_end² − V_start²), with the C of the segment
	RC2Lost   unit.Energy
	RC2Stored unit.Energy
	Chemical  unit.Energy // ∫ OCV dq, by the antiderivative of the table

	Throughput unit.Energy // ∫ |P| dt at the terminals, the measure of Residual
}

// terms returns all terms that together make up Chemical.
func (b *Balance) terms() []*unit.Energy {
	return []*unit.Energy{&b.Rolling, &b.Air, &b.Grade, &b.Inertia, &b.Friction, &b.Stages, &b.Motor, &b.Inverter,
		&b.Auxiliary, &b.Joints, &b.R0, &b.RC1Lost, &b.RC1Stored, &b.RC2Lost, &b.RC2Stored}
}

// Residual returns (chemical − Σ terms)/throughput, zero when nothing flowed.
func (b *Balance) Residual() unit.Ratio {
	if b.Throughput == 0 {
		return 0
	}
	rest := b.Chemical
	for _, t := range b.terms() {
		rest -= *t
	}
	return unit.Ratio(rest / b.Throughput)
}

// add books one step of the vehicle and of the cells.
func (b *Balance) add(r *Run, i int, was *before, m *moved, o *shot, share float64) {
	dt := share * r.dt
	b.addVehicle(r, i, m, share)
	k, f := &r.d.chain, &m.flow
	b.Throughput += unit.Energy(math.Abs(f.power) * dt)
	b.Friction += unit.Energy(f.friction * dt)
	b.Motor += unit.Energy(k.loss(math.Abs(f.torque), f.speed) * dt)
	passed := f.torque*f.speed + k.loss(math.Abs(f.torque), f.speed)
	if passed >= 0 {
		b.Inverter += unit.Energy((passed*(1/k.inverter-1) + k.idle) * dt)
	} else {
		b.Inverter += unit.Energy((-passed*(1-k.inverter) + k.idle) * dt)
	}
	b.Auxiliary += unit.Energy(k.auxiliary * dt)
	if r.g != nil {
		r.g.book(b)
		return
	}
	cells := r.series * r.across
	s := &r.l.seg[was.seg]
	b.Joints += unit.Energy(o.cur * o.cur * r.joint * dt * cells)
	b.R0 += unit.Energy(o.cur * o.cur * s.r0 * dt * cells)
	lost, stored := pairEnergy(s.r1, s.tau1, was.v1, o.v1, o.cur, dt)
	b.RC1Lost, b.RC1Stored = b.RC1Lost+unit.Energy(lost*cells), b.RC1Stored+unit.Energy(stored*cells)
	lost, stored = pairEnergy(s.r2, s.tau2, was.v2, o.v2, o.cur, dt)
	b.RC2Lost, b.RC2Stored = b.RC2Lost+unit.Energy(lost*cells), b.RC2Stored+unit.Energy(stored*cells)
}

// addVehicle books the road and the gears.
func (b *Balance) addVehicle(r *Run, i int, m *moved, share float64) {
	k, road, dt := &r.d.chain, r.d.slope(i), share*r.dt
	if m.v > 0 {
		air := m.v + k.wind
		b.Rolling += unit.Energy((k.a*road.cos + k.b*m.v) * m.v * dt)
		b.Air += unit.Energy(k.c * air * math.Abs(air) * m.v * dt)
		b.Grade += unit.Energy(k.mass * gravity * road.sin * m.v * dt)
		b.Inertia += unit.Energy(k.massTotal * (m.v1*m.v1 - m.v0*m.v0) / 2 * share)
	}
	power := m.flow.shaft
	if power >= 0 {
		for _, s := range r.d.train.Stages {
			out := power * float64(s.Efficiency)
			b.Stages += unit.Energy((power - out) * dt)
			power = out
		}
		return
	}
	power = m.flow.force * m.v // negative, from the wheels
	for j := len(r.d.train.Stages) - 1; j >= 0; j-- {
		out := power * float64(r.d.train.Stages[j].Efficiency)
		b.Stages += unit.Energy((out - power) * dt)
		power = out
	}
}

// pairEnergy returns what an RC pair loses and stores in J while a constant
// current takes it from voltage v0 to v1 in dt. With V(t) = IR + (v0 − IR)·e^(−t/τ):
//
//	∫V²/R dt = [(IR)²·dt + 2·IR·(v0−IR)·τ·(1−a) + (v0−IR)²·(τ/2)·(1−a²)]/R
func pairEnergy(r, tau, v0, v1, cur, dt float64) (lost, stored float64) {
	if r == 0 {
		return 0, 0
	}
	if tau == 0 {
		return cur * cur * r * dt, 0
	}
	end, gap := cur*r, v0-cur*r
	lost = (end*end*dt - 2*end*gap*tau*math.Expm1(-dt/tau) - gap*gap*tau/2*math.Expm1(-2*dt/tau)) / r
	stored = tau / r / 2 * (v1*v1 - v0*v0)
	return lost, stored
}
