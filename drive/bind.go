package drive

import "math"

// shot is one step of the cell at one current.
type shot struct {
	cur    float64 // A, discharge positive
	power  float64 // W, mean over the step
	x      float64 // charge in segments at the end
	v1, v2 float64 // V at the end
	u      float64 // V at the terminals at the end
	ok     bool    // the power can be given
}

// solve returns the step that gives power p of one cell, W, from the present
// state over the time that law and kx are made for.
//
// The charge falls in proportion to the time, so that the mean open-circuit
// voltage of the step is Ū = (A(x) − A(x − kx·I))/(kx·I) with the antiderivative
// A of the table, and p = I·(Ū − Σf·V − R·I), R = R0 + Σh. Within a segment that
// is a quadratic, solved as in fast; across segments Newton's method goes on
// from there.
func (r *Run) solve(p float64, w *law, kx float64) shot {
	if r.g != nil {
		return r.g.solveCell(r, p)
	}
	s := &r.l.seg[r.seg]
	e := s.base - (w.f1*r.v1 + w.f2*r.v2) + s.rise*r.x
	r0 := s.r0 + r.joint
	disc := e*e - 4*(r0+w.h1+w.h2+s.rise*kx/2)*p
	if !(disc >= 0) || e <= 0 {
		return shot{}
	}
	cur := (p + p) / (e + math.Sqrt(disc))
	if xn := r.x - cur*kx; xn < s.lo || xn >= s.hi {
		cur = r.newton(p, cur, w, kx)
	}
	o := r.shotAt(cur, w, kx)
	o.power = p
	return o
}

// newtonMax bounds newton, newtonNear is the relative change after which one
// more step of a method that doubles its digits could change nothing. The
// open-circuit voltage is nearly straight over a step: two steps are usual.
const (
	newtonMax  = 30
	newtonNear = 1e-9
)

// newton solves I·(Ū(I) − Σf·V − R·I) = p from the estimate cur. Since
// I·dŪ/dI = U(x − kx·I) − Ū, the derivative is U(x − kx·I) − Σf·V − 2·R·I.
func (r *Run) newton(p, cur float64, w *law, kx float64) float64 {
	s := &r.l.seg[r.seg]
	rest, res := w.f1*r.v1+w.f2*r.v2, s.r0+r.joint+w.h1+w.h2
	for range newtonMax {
		mean, end := r.ocv(cur * kx)
		next := cur - (cur*(mean-rest-res*cur)-p)/(end-rest-2*res*cur)
		if !(math.Abs(next-cur) > newtonNear*math.Abs(next)) {
			return next
		}
		cur = next
	}
	return cur
}

// ocv returns the mean open-circuit voltage in V while the charge falls by dx
// segments, and that at the end.
func (r *Run) ocv(dx float64) (mean, end float64) {
	s := &r.l.seg[r.seg]
	xn := r.x - dx
	if xn >= s.lo && xn <= s.hi {
		return s.base + s.rise*(r.x-dx/2), s.base + s.rise*xn
	}
	t := &r.l.seg[r.l.at(xn)]
	// The areas from the common border keep the digits that a difference of
	// two totals would lose.
	edge := s.lo
	if dx < 0 {
		edge = s.hi
	}
	area := (r.x-edge)*(s.base+s.rise*(r.x+edge)/2) + r.between(edge, xn)
	return area / dx, t.base + t.rise*xn
}

// between returns ∫ OCV dx from x1 down to x0, both on either side of any
// number of borders.
func (r *Run) between(x1, x0 float64) float64 { return r.l.area(x1) - r.l.area(x0) }

// shotAt returns the step at a given current.
func (r *Run) shotAt(cur float64, w *law, kx float64) shot {
	if r.g != nil {
		return r.g.cellAt(r, cur)
	}
	s := &r.l.seg[r.seg]
	r0 := s.r0 + r.joint
	mean, end := r.ocv(cur * kx)
	o := shot{cur: cur, x: r.x - cur*kx, v1: w.a1*r.v1 + w.g1*cur, v2: w.a2*r.v2 + w.g2*cur, ok: true}
	o.u = end - (r0*cur + o.v1 + o.v2)
	o.power = cur * (mean - (w.f1*r.v1 + w.f2*r.v2) - (r0+w.h1+w.h2)*cur)
	return o
}

// currentAt returns the current at which the step ends at voltage u; positive
// when discharging brings it down there, negative when charging brings it up.
func (r *Run) currentAt(u float64) float64 {
	s := &r.l.seg[r.seg]
	w := &s.step
	emf := s.base + s.rise*r.x - (w.a1*r.v1 + w.a2*r.v2)
	cur := (emf - u) / (s.r0 + r.joint + w.g1 + w.g2 + s.rise*r.kx)
	if math.IsNaN(cur) || math.IsInf(cur, 0) {
		return math.Copysign(math.MaxFloat32, emf-u) // no resistance, no limit
	}
	if o := r.shotAt(cur, w, r.kx); o.x < s.lo || o.x >= s.hi {
		far := 2 * cur
		if d := r.shotAt(far, w, r.kx).u - u; math.Signbit(d) != math.Signbit(emf-u) {
			cur = falsePosition(0, far, func(c float64) float64 { return r.shotAt(c, w, r.kx).u - u })
		}
	}
	return cur
}

// cool brings the counters of short overload up to the present step. Ten
// seconds of the peak current fill them; the continuous current empties them
// at its own square.
//
//	h ← max(0, h + (I² − I_cont²)·Δt),  h ≤ (I_peak² − I_cont²)·10 s
//
// Steps of the quick loop never exceed the continuous current, so that they may
// be counted together.
func (r *Run) cool() {
	if r.g != nil {
		return // each string has its own counters
	}
	n := float64(r.steps-r.heatAt) * r.dt
	r.heat = max(0, r.heat+(r.sq-r.sqAt)*r.dt-r.cont*r.cont*n)
	r.chHeat = max(0, r.chHeat+(r.chSq-r.chSqAt)*r.dt-r.chCont*r.chCont*n)
	r.heatAt, r.sqAt, r.chSqAt = r.steps, r.sq, r.chSq
}

// currentMax returns the largest discharge current that the cells and the
// inverter allow for this step, A of one cell.
func (r *Run) currentMax() float64 {
	room := max(0, r.heatMax-r.heat)
	return min(r.peak, math.Sqrt(r.cont*r.cont+room/r.dt))
}

// chargeMax returns the largest charging current, positive.
func (r *Run) chargeMax() float64 {
	room := max(0, r.chHeatMax-r.chHeat)
	return min(r.chPeak, math.Sqrt(r.chCont*r.chCont+room/r.dt))
}

// ability is the most that the pack can give in a step.
type ability struct {
	cur, power float64 // A and W of one cell
	by         Limiter
}

// ability returns the largest power: limits of current and voltage first, then
// at most that at half the electromotive force, E²/(4·R).
func (r *Run) ability() ability {
	if r.g != nil {
		return r.g.ability(r, false)
	}
	s := &r.l.seg[r.seg]
	w := &s.step
	a := ability{cur: r.currentMax(), by: LimitCurrent}
	if c := r.currentAt(r.low); c < a.cur {
		a.cur, a.by = c, LimitVoltage
	}
	e := s.base - (w.f1*r.v1 + w.f2*r.v2) + s.rise*r.x
	if res := s.r0 + r.joint + w.h1 + w.h2 + s.rise*r.kx/2; e < 2*res*a.cur {
		a.cur, a.by = e/(2*res), LimitPower
	}
	a.cur = max(a.cur, 0)
	a.power = r.shotAt(a.cur, w, r.kx).power
	return a
}

// moved is what the vehicle does in a step.
type moved struct {
	v0, v1 float64 // m/s
	v      float64 // halfway
	force  float64 // N, road load with inertia
	flow   flow
}

// bind drives step i when something may bind: the end of a segment, more than
// the continuous current, a limit, the charge floor, or a vehicle that is
// behind its schedule.
func (r *Run) bind(i int) {
	r.cool()
	d := r.d
	if r.g != nil {
		r.g.auxiliary(r)
	}
	if r.motor != nil {
		r.motor.lower(&r.own.chain)
	}
	if !r.behind {
		o := r.solve(r.asked(i)*r.scale, r.step(), r.kx)
		if o.ok && r.allowed(&o, i) {
			if r.g == nil && o.x >= r.floor && r.watch == nil && !r.frozen {
				r.commit(&o, 1)
				r.v = d.Speed[i+1]
				return
			}
			r.settle(i, r.asAsked(i), &o, LimitNone)
			return
		}
	}
	r.follow(i)
}

// step returns the law of the present piece of charge; nil for single groups,
// which have their own.
func (r *Run) step() *law {
	if r.g != nil {
		return nil
	}
	return &r.l.seg[r.seg].step
}

// asked returns the power at the terminals that step i asks for.
func (r *Run) asked(i int) float64 {
	if r.g != nil {
		return r.asAsked(i).flow.power // what cooling takes changes from step to step
	}
	return r.d.Power[i]
}

// asAsked returns the vehicle's part of a step of the demand.
func (r *Run) asAsked(i int) moved {
	d := r.d
	m := moved{v0: d.Speed[i], v1: d.Speed[i+1]}
	m.v = (m.v0 + m.v1) / 2
	m.force = d.chain.step(&m.flow, m.v0, m.v1, r.dt, d.slope(i), d.full)
	return m
}

// allowed reports whether a step of the demand keeps all limits.
func (r *Run) allowed(o *shot, i int) bool {
	if !r.permitted(o) {
		return false
	}
	volts := o.u * r.series
	if r.motor == nil && volts >= r.d.VoltageNeeded[i] && r.d.chain.derate(volts) == 1 {
		return true
	}
	torque := r.d.Torque[i]
	return torque == 0 || math.Abs(torque) <= r.d.chain.torqueMax(r.d.MotorSpeed[i], volts)
}

// permitted reports whether a step keeps the limits of the pack.
func (r *Run) permitted(o *shot) bool {
	switch {
	case r.g != nil:
		return r.g.permits(o)
	case o.cur > r.currentMax() || o.cur < -r.chargeMax():
		return false
	}
	return !(o.cur >= 0 && o.u < r.low || o.cur < 0 && (o.u > r.high || o.x > r.full))
}

// takes returns the largest charging current of a cell, below or at zero, for a
// step that would charge with more, and what sets it.
func (r *Run) takes(o *shot) (float64, Limiter) {
	if r.g != nil {
		return r.g.takesCell(r)
	}
	least, by := -r.chargeMax(), LimitCurrent
	if c := -(r.full - r.x) / r.kx; c > least {
		least, by = c, LimitFull
	}
	if o.cur < least || o.u > r.high {
		if c := r.currentAt(r.high); c > least {
			least, by = c, LimitVoltageMax
		}
	}
	return min(least, 0), by
}

// follow drives step i from the present speed as near to the schedule as pack
// and motor allow.
func (r *Run) follow(i int) {
	d := r.d
	k, road := &d.chain, d.slope(i)
	m := moved{v0: r.v, v1: d.Speed[i+1]}
	m.v = (m.v0 + m.v1) / 2
	m.force = k.force(m.v0, m.v1, r.dt, road)
	if m.force <= 0 {
		k.regenerate(&m.flow, m.force, m.v, d.full)
		r.hold(i, m)
		return
	}
	most := r.ability()
	by := LimitNone
	spare := func(end float64) float64 {
		s, which := r.spare(m.v0, end, road, &most)
		if s < 0 {
			by = which
		}
		return s
	}
	if spare(m.v1) < 0 {
		low := r.coast(m.v0, m.v1, road)
		if spare(low) < 0 {
			m.v1, m.v = low, (m.v0+low)/2
			m.force = 0
			k.drive(&m.flow, 0, m.v)
			r.hold(i, m)
			return
		}
		m.v1 = falsePosition(low, m.v1, spare)
		m.v = (m.v0 + m.v1) / 2
		m.force = max(0, k.force(m.v0, m.v1, r.dt, road))
	}
	k.drive(&m.flow, m.force, m.v)
	o := r.solve(m.flow.power*r.scale, r.step(), r.kx)
	if !o.ok {
		r.end, r.by = EndPower, LimitPower
		return
	}
	r.settle(i, m, &o, by)
}

// spare returns how much more than a step from v0 to end needs pack and motor
// can give, as a force in N, negative when it is too little, and which of them
// is the nearer one.
func (r *Run) spare(v0, end float64, road slope, most *ability) (float64, Limiter) {
	k := &r.d.chain
	v := (v0 + end) / 2
	f := max(0, k.force(v0, end, r.dt, road))
	var o flow
	k.drive(&o, f, v)
	p := o.power * r.scale
	left := (most.power - p) / r.scale / max(v, 1)
	if left < 0 {
		return left, most.by
	}
	s := r.solve(p, r.step(), r.kx)
	if !s.ok {
		return -1, LimitPower
	}
	if motor := k.forceMax(v, s.u*r.series) - f; motor < left && f > 0 {
		return motor, LimitMotor
	}
	return left, most.by
}

// coast returns the speed at the end of the step without drive, not below zero
// and not above v1.
func (r *Run) coast(v0, v1 float64, road slope) float64 {
	k := &r.d.chain
	free := func(end float64) float64 { return -k.force(v0, end, r.dt, road) }
	if free(0) <= 0 {
		return 0
	}
	return falsePosition(0, v1, free)
}

// hold drives a step in which the vehicle needs no drive: it brakes, rolls or
// stands, and the motor may recover. What the pack does not take goes to the
// friction brakes; when the pack cannot even feed the auxiliaries, the run ends.
func (r *Run) hold(i int, m moved) {
	w := r.step()
	o := r.solve(m.flow.power*r.scale, w, r.kx)
	if !o.ok || o.cur > 0 && !r.permitted(&o) {
		r.end, r.by = EndPower, r.ability().by
		return
	}
	volts := o.u * r.series
	if most := r.d.chain.torqueMax(m.flow.speed, volts); m.force < 0 && -m.flow.torque > most {
		r.limited.Motor++
		r.d.chain.regenerate(&m.flow, m.force, m.v, volts)
		o = r.solve(m.flow.power*r.scale, w, r.kx)
	}
	if o.cur < 0 && !r.permitted(&o) {
		if least, by := r.takes(&o); o.cur < least {
			r.limited.charging(by)
			wanted := m.flow.power
			o = r.shotAt(least, w, r.kx)
			r.d.chain.brakeTo(&m.flow, m.force, m.v, -m.flow.force, o.power/r.scale)
			o = r.solve(m.flow.power*r.scale, w, r.kx)
			if r.g != nil {
				r.g.note(by, true, wanted, m.flow.power)
			}
		} else {
			o = r.solve(m.flow.power*r.scale, w, r.kx)
		}
	}
	r.settle(i, m, &o, LimitNone)
}

// settle books a step that was not driven as a matter of course.
func (r *Run) settle(i int, m moved, o *shot, by Limiter) {
	want, share := r.d.Speed[i+1], 1.0
	if r.frozen {
		o.x = r.x
	} else if !r.above(o) {
		share = r.toFloor(m.flow.power*r.scale, o)
		r.end, r.by = EndFloor, LimitNone
	}
	r.flush(i)
	was := r.total
	r.total.follow(&was, m.v, m.force, share*r.dt, &m.flow)
	if share == 1 {
		r.from = i + 1
	}
	if r.watch != nil {
		r.watch.note(r, i, &m, o, share)
	}
	if r.motor != nil {
		if by == LimitMotor && r.motor.share() < 1 {
			by = LimitMotorTime
		}
		r.motor.book(m.flow.torque, m.flow.speed, share*r.dt)
	}
	r.limited.driving(by)
	if by != LimitNone {
		r.by = by
		if r.g != nil {
			r.g.note(by, false, r.d.Power[i], m.flow.power)
		}
	}
	r.commit(o, share)
	r.v = m.v1
	r.behind = m.v1 != want
	r.fallBehind(want - m.v1)
}

// above reports whether a step ends above the charge floor.
func (r *Run) above(o *shot) bool {
	if r.g != nil {
		return r.g.tried.least >= r.g.floor
	}
	return o.x >= r.floor
}

// floorPasses bounds toFloor; each pass gains several digits.
const floorPasses = 20

// toFloor replaces o, a step at power p that passes the charge floor, by the part
// of it that ends there, and returns the share of the step that it takes.
func (r *Run) toFloor(p float64, o *shot) float64 {
	if r.g != nil {
		return r.g.toFloor(r, p, o)
	}
	share, way := 1.0, r.x-r.floor
	for range floorPasses {
		share *= way / (r.x - o.x)
		w := lawOf(&r.l.seg[r.seg], share*r.dt)
		*o = r.solve(p, &w, share*r.kx)
		if math.Abs(o.x-r.floor) <= 1e-13*way {
			break
		}
	}
	return share
}

// fallBehind applies the rule of the break-off.
func (r *Run) fallBehind(gap float64) {
	if gap > behindMin {
		r.behindSteps++
	}
	if gap <= float64(KeepUp) {
		r.late = 0
		return
	}
	r.late += r.dt
	if r.late >= float64(KeepUpFor)-1e-9 && !r.frozen && !r.patient && r.end == endNot {
		r.end = EndBehind
	}
}

// commit makes the step the present state.
func (r *Run) commit(o *shot, share float64) {
	t := r.steps
	r.ring[t&(ringLen-1)] = r.x
	move := r.ring[(t-r.window+1)&(ringLen-1)] - o.x
	r.up, r.down = max(r.up, move), min(r.down, move)
	if o.cur >= 0 {
		r.sq += o.cur * o.cur * share
		r.most = max(r.most, o.cur)
	} else {
		r.chSq += o.cur * o.cur * share
		r.chMost = max(r.chMost, -o.cur)
	}
	r.vLow, r.vHigh = min(r.vLow, o.u), max(r.vHigh, o.u)
	r.x, r.v1, r.v2, r.cur, r.volt = o.x, o.v1, o.v2, o.cur, o.u
	r.steps++
	r.time += share * r.dt
	if r.g != nil {
		r.g.commitStep(r)
		return
	}
	r.seg = r.l.at(r.x)
}
