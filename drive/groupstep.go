package drive

import (
	"fmt"
	"math"

	"packyard/unit"
)

// GroupStep is what a step of Groups did.
type GroupStep struct {
	Current unit.Current // of the pack, constant over the step, discharge positive
	Power   unit.Power   // at the terminals, mean over the step
	Voltage unit.Voltage // at the terminals at the end

	VoltageMin, VoltageMax unit.Voltage // of the weakest and the strongest group at the end
	GroupMin, GroupMax     int          // which they are
	Limiter                Limiter      // what kept it below what was asked for; LimitNone: nothing
	Group                  int          // that limited; −1 when the pack as a whole did, or nothing
}

// StepPower gives power p at the terminals, W, discharge positive, for one
// step, or as much of it as the limits leave. Errors: ErrPack for a power that is
// not a number.
func (g *Groups) StepPower(p unit.Power) (GroupStep, error) {
	if math.IsNaN(float64(p - p)) {
		return GroupStep{}, fmt.Errorf("%w: power %g W: a finite number is needed", ErrPack, float64(p))
	}
	g.load()
	ok := g.solve(float64(p))
	if ok {
		g.try()
	}
	if !ok || !g.o.NoLimits && !g.within() {
		return g.limited(float64(p), ok, float64(p) > 0), nil
	}
	g.commit()
	return g.report(LimitNone, -1), nil
}

// StepCurrent is StepPower for a current of the pack, A, discharge positive. In
// the record the power that was wanted counts without the drop by resistance.
// Errors: ErrPack for a current that is not a number.
func (g *Groups) StepCurrent(i unit.Current) (GroupStep, error) {
	if math.IsNaN(float64(i - i)) {
		return GroupStep{}, fmt.Errorf("%w: current %g A: a finite number is needed", ErrPack, float64(i))
	}
	g.load()
	g.carry(float64(i))
	g.try()
	if !g.o.NoLimits && !g.within() {
		return g.limited(float64(i)*g.plain, true, i > 0), nil
	}
	g.commit()
	return g.report(LimitNone, -1), nil
}

// load sums electromotive force and resistance of all strings at the present
// state. With commit it is the hot loop: see docs/method/performance.md before
// changing it.
func (g *Groups) load() {
	l := &g.law
	for j := range g.str {
		from, to := j*g.series, (j+1)*g.series
		base := l.base[from:to]
		rise, x := l.rise[from:to][:len(base)], g.now.x[from:to][:len(base)]
		f1, v1 := l.f1[from:to][:len(base)], g.now.v1[from:to][:len(base)]
		f2, v2 := l.f2[from:to][:len(base)], g.now.v2[from:to][:len(base)]
		mean := l.mean[from:to][:len(base)]
		e, z := 0.0, 0.0
		for i, b := range base {
			e += b + rise[i]*x[i] - (f1[i]*v1[i] + f2[i]*v2[i])
			z += mean[i]
		}
		s := &g.str[j]
		s.emf, s.inner, s.correct = e, z+g.joint, 0
	}
	g.combine()
	g.plain = g.emf
}

// combine makes one source of all strings.
func (g *Groups) combine() {
	if len(g.str) == 1 {
		s := &g.str[0]
		g.emf, g.inner = s.emf+s.correct, s.inner
		return
	}
	conductance, flow := 0.0, 0.0
	for j := range g.str {
		s := &g.str[j]
		conductance += 1 / s.inner
		flow += (s.emf + s.correct) / s.inner
	}
	g.inner = 1 / conductance
	g.emf = flow * g.inner
}

// share splits the current of the pack among the strings.
func (g *Groups) share(cur float64) {
	if len(g.str) == 1 {
		g.str[0].cur = cur
		return
	}
	u := g.emf - g.inner*cur
	for j := range g.str {
		s := &g.str[j]
		s.cur = (s.emf + s.correct - u) / s.inner
	}
}

// current returns the total of the strings.
func (g *Groups) current() float64 {
	sum := 0.0
	for j := range g.str {
		sum += g.str[j].cur
	}
	return sum
}

// solveMax bounds solve and carry, solveNear is the relative change after which
// they stop: what pieces of charge that are left add is some ten-thousandths of
// a volt, so that each pass gains four digits or more.
const (
	solveMax  = 20
	solveNear = 1e-14
)

// solve finds the currents that give p watts; false when no current does.
func (g *Groups) solve(p float64) bool {
	cur, ok := currentFor(p, g.emf, g.inner)
	if !ok {
		return false
	}
	g.share(cur)
	if !g.leaving() {
		return true
	}
	for range solveMax {
		g.correct()
		next, ok := currentFor(p, g.emf, g.inner)
		if !ok {
			return false
		}
		g.share(next)
		if math.Abs(next-cur) <= solveNear*math.Abs(next) {
			break
		}
		cur = next
		g.leaving()
	}
	return true
}

// currentFor returns the smaller current at which a source gives p watts.
func currentFor(p, e, r float64) (float64, bool) {
	disc := e*e - 4*r*p
	if !(disc >= 0) || e <= 0 {
		return 0, false
	}
	return 2 * p / (e + math.Sqrt(disc)), true
}

// carry splits a current of the pack; with several strings the shares depend on
// the pieces of charge that are left.
func (g *Groups) carry(cur float64) {
	g.share(cur)
	for range solveMax {
		if !g.leaving() {
			return
		}
		was := g.emf
		g.correct()
		g.share(cur)
		if len(g.str) == 1 || math.Abs(g.emf-was) <= solveNear*math.Abs(was) {
			return
		}
	}
}

// leaving lists the groups that leave their piece of charge at the present
// currents and reports whether there is one.
func (g *Groups) leaving() bool {
	cross := g.cross[:0]
	for j := range g.str {
		from, to, cur := j*g.series, (j+1)*g.series, g.str[j].cur
		kx := g.fixed.kx[from:to]
		x, lo, hi := g.now.x[from:to][:len(kx)], g.law.lo[from:to][:len(kx)], g.law.hi[from:to][:len(kx)]
		for i, k := range kx {
			if xn := x[i] - k*cur; xn < lo[i] || xn >= hi[i] {
				cross = append(cross, from+i)
			}
		}
	}
	g.cross = cross
	return len(cross) > 0
}

// correct adds to each string what the mean open-circuit voltage of the groups
// that leave their piece differs from the straight line of that piece.
func (g *Groups) correct() {
	for j := range g.str {
		g.str[j].correct = 0
	}
	l := &g.law
	for _, i := range g.cross {
		s := &g.str[i/g.series]
		x, dx := g.now.x[i], g.fixed.kx[i]*s.cur
		mean, _ := g.table.ocv(x, dx)
		s.correct += mean - (l.base[i] + l.rise[i]*(x-dx/2))
	}
	g.combine()
}

// try computes the state after the step and its extremes, without making it the
// present one.
func (g *Groups) try() {
	t := extremes{low: math.Inf(1), high: math.Inf(-1), least: math.Inf(1), most: math.Inf(-1)}
	l := &g.law
	for j := range g.str {
		from, to, cur := j*g.series, (j+1)*g.series, g.str[j].cur
		kx := g.fixed.kx[from:to]
		n := len(kx)
		x, v1, v2 := g.now.x[from:to][:n], g.now.v1[from:to][:n], g.now.v2[from:to][:n]
		xn, w1, w2 := g.next.x[from:to][:n], g.next.v1[from:to][:n], g.next.v2[from:to][:n]
		base, rise, r0 := l.base[from:to][:n], l.rise[from:to][:n], l.r0[from:to][:n]
		r1, a1, r2, a2 := l.r1[from:to][:n], l.a1[from:to][:n], l.r2[from:to][:n], l.a2[from:to][:n]
		volt := g.trial[from:to][:n]
		for i, k := range kx {
			// V ← I·R + (V − I·R)·a: the distance from where the pair settles decays.
			s1, s2 := cur*r1[i], cur*r2[i]
			o1, o2 := s1+(v1[i]-s1)*a1[i], s2+(v2[i]-s2)*a2[i]
			c := x[i] - k*cur
			u := base[i] + rise[i]*c - (r0[i]*cur + o1 + o2)
			xn[i], w1[i], w2[i], volt[i] = c, o1, o2, u
			if u < t.low {
				t.low, t.atLow = u, from+i
			}
			if u > t.high {
				t.high, t.atHigh = u, from+i
			}
			if c < t.least {
				t.least = c
			}
			if c > t.most {
				t.most = c
			}
		}
	}
	if len(g.cross) > 0 {
		g.mend(&t)
	}
	g.tried = t
}

// mend gives the groups that left their piece the voltage of the piece they are in.
func (g *Groups) mend(t *extremes) {
	low, high := t.atLow, t.atHigh
	again := false
	for _, i := range g.cross {
		c := g.next.x[i]
		s := g.table.at(c)
		u := g.trial[i] + (g.table.base[s] + g.table.rise[s]*c) - (g.law.base[i] + g.law.rise[i]*c)
		g.trial[i] = u
		switch {
		case i == low || i == high:
			again = true
		case u < t.low:
			t.low, t.atLow = u, i
		case u > t.high:
			t.high, t.atHigh = u, i
		}
	}
	if !again {
		return
	}
	t.low, t.high = math.Inf(1), math.Inf(-1)
	for i, u := range g.trial {
		if u < t.low {
			t.low, t.atLow = u, i
		}
		if u > t.high {
			t.high, t.atHigh = u, i
		}
	}
}

// commit makes the tried step the present state and computes its heat:
//
//	q = I²·R0 + Σ mean(V²/R) − I·T·dU/dT
//	mean(V²/R) over the step = I²·R + 2·I·(V − I·R)·f + (V − I·R)²·f·(1 + a)/(2·R)
//
// with V at the start: the integral of the exact exponential, so that electrical
// loss and heat are one number. Source: bernardi-1985.
func (g *Groups) commit() {
	l := &g.law
	for j := range g.str {
		from, to, cur := j*g.series, (j+1)*g.series, g.str[j].cur
		heat := g.heat[from:to]
		n := len(heat)
		v1, v2 := g.now.v1[from:to][:n], g.now.v2[from:to][:n]
		r0, r1, r2 := l.r0[from:to][:n], l.r1[from:to][:n], l.r2[from:to][:n]
		f1, f2, k1, k2 := l.f1[from:to][:n], l.f2[from:to][:n], l.k1[from:to][:n], l.k2[from:to][:n]
		temp, dudt := g.fixed.temp[from:to][:n], l.dudt[from:to][:n]
		for i := range heat {
			d1, d2 := v1[i]-cur*r1[i], v2[i]-cur*r2[i]
			heat[i] = cur*(cur*(r0[i]+r1[i]+r2[i])+2*(d1*f1[i]+d2*f2[i])-temp[i]*dudt[i]) + d1*d1*k1[i] + d2*d2*k2[i]
		}
	}
	g.finish()
}

// finish ends a step once its heat is known.
func (g *Groups) finish() {
	g.now, g.next = g.next, g.now
	g.volt, g.trial = g.trial, g.volt
	g.sum = g.tried
	for j := range g.str {
		s := &g.str[j]
		up, down := max(s.cur, 0), max(-s.cur, 0)
		s.heat = max(0, s.heat+(up*up-s.cont*s.cont)*g.dt)
		s.chHeat = max(0, s.chHeat+(down*down-s.chCont*s.chCont)*g.dt)
	}
	for _, i := range g.cross {
		g.refresh(i)
	}
	g.cross = g.cross[:0]
	g.time += g.dt
	g.terminals = g.outside(g.volt)
}

// outside returns the voltage at the terminals from that of the groups, the mean
// of the strings.
func (g *Groups) outside(volt []float64) float64 {
	sum := 0.0
	for _, u := range volt {
		sum += u
	}
	for j := range g.str {
		sum -= g.str[j].cur * g.joint
	}
	return sum / float64(len(g.str))
}

// rest is the state of a pack at its start.
func (g *Groups) rest() {
	t := extremes{low: math.Inf(1), high: math.Inf(-1), least: math.Inf(1), most: math.Inf(-1)}
	for i, u := range g.volt {
		if u < t.low {
			t.low, t.atLow = u, i
		}
		if u > t.high {
			t.high, t.atHigh = u, i
		}
		t.least, t.most = min(t.least, g.now.x[i]), max(t.most, g.now.x[i])
	}
	g.sum, g.tried = t, t
	g.terminals = g.outside(g.volt)
}

// report describes the last step.
func (g *Groups) report(by Limiter, group int) GroupStep {
	cur := g.current()
	return GroupStep{
		Current: unit.Current(cur), Power: unit.Power(cur * (g.emf - g.inner*cur)), Voltage: unit.Voltage(g.terminals),
		VoltageMin: unit.Voltage(g.sum.low), VoltageMax: unit.Voltage(g.sum.high), GroupMin: g.sum.atLow, GroupMax: g.sum.atHigh,
		Limiter: by, Group: group,
	}
}
