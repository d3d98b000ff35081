package drive

import (
	"math"

	"packyard/unit"
)

// GroupLimit is the most that a pack of unequal groups may give or take in a step.
type GroupLimit struct {
	Current unit.Current // of the pack, discharge positive; zero: nothing
	Power   unit.Power   // mean at the terminals at that current
	Limiter Limiter      // what sets it
	Group   int          // which group; −1: the pack as a whole
}

// bound is a GroupLimit in SI.
type bound struct {
	cur, power float64 // A, W
	by         Limiter
	group      int
}

// DischargeLimit returns the most that the pack may give in the next step:
// current, voltage and temperature of the weakest group with derating, charge
// down to SoCMin, then at most E²/(4·Z).
func (g *Groups) DischargeLimit() GroupLimit {
	g.load()
	b := g.most(true)
	b.power = g.powerAt(b.cur)
	return b.public()
}

// ChargeLimit returns the most that the pack may take in the next step, with
// negative current and power: current, voltage and temperature of the strongest
// group with derating, up to all cells full.
func (g *Groups) ChargeLimit() GroupLimit {
	g.load()
	b := g.takes()
	b.power = g.powerAt(b.cur)
	return b.public()
}

func (b bound) public() GroupLimit {
	return GroupLimit{Current: unit.Current(b.cur), Power: unit.Power(b.power), Limiter: b.by, Group: b.group}
}

// within reports whether the tried step is so far from every limit that none
// need be computed: it may say no where the limits say yes.
func (g *Groups) within() bool {
	t, v := &g.tried, g.table
	low, high := v.voltageMin+g.band, v.voltageMax-g.band
	if g.top > 0 && t.high*float64(g.series) > g.top || g.inverter > 0 && g.current() > g.inverter {
		return false
	}
	for j := range g.str {
		s := &g.str[j]
		switch {
		case s.cur > 0:
			if t.low < low || t.least < g.floor || s.cur > s.cont && s.cur > g.overload(s.peak, s.cont, s.heat) {
				return false
			}
		case s.cur < 0:
			if t.high > high || t.most > g.full || -s.cur > s.chCont && -s.cur > g.overload(s.chPeak, s.chCont, s.chHeat) {
				return false
			}
		}
	}
	return true
}

// limited drives the step for which a current was tried, or found not to exist
// (ok is false), as far as the limits allow; discharge tells which of them.
// Wanted is the power that was asked for, for the record.
func (g *Groups) limited(wanted float64, ok, discharge bool) GroupStep {
	b := g.bound(discharge)
	if cur := g.current(); ok && (discharge && cur <= b.cur || !discharge && cur >= b.cur) {
		g.commit()
		return g.report(LimitNone, -1)
	}
	b.power = g.powerAt(b.cur)
	g.try()
	g.commit()
	g.record.note(b.by, b.group, !discharge, g.time-g.dt, g.dt, wanted, b.power)
	return g.report(b.by, b.group)
}

// bound returns the limit that holds in one direction.
func (g *Groups) bound(discharge bool) bound {
	switch {
	case g.o.NoLimits:
		return g.atPeakPower(bound{cur: math.MaxFloat64, group: -1})
	case discharge:
		return g.most(true)
	}
	return g.takes()
}

// overload returns the current that a counter allows: the square falls from
// peak² towards cont² with the time constant tau as the room runs out.
func (g *Groups) overload(peak, cont, heat float64) float64 {
	span := peak*peak - cont*cont
	room := max(0, span*float64(durationPeak)-heat)
	return min(peak, math.Sqrt(cont*cont+room/max(g.tau, g.dt)))
}

// most returns the largest discharge current; floor: not below SoCMin.
func (g *Groups) most(floor bool) bound {
	b := bound{cur: math.Inf(1), group: -1}
	for j := range g.str {
		s := &g.str[j]
		q := bound{cur: g.overload(s.peak, s.cont, s.heat), group: s.atCont}
		if q.cur >= s.peak {
			q.group = s.atPeak
		}
		q.by = LimitCurrent
		if g.colder(g.fixed.cont[q.group], g.table.discharge.best) {
			q.by = LimitTemperature
		}
		g.lowest(j, &q)
		if floor {
			g.empties(j, &q)
		}
		q.cur = max(q.cur, 0)
		if i := g.whole(j, q.cur); i < b.cur {
			q.cur = i
			b = q
		}
	}
	if g.inverter > 0 && g.inverter < b.cur {
		b = bound{cur: g.inverter, by: LimitCurrent, group: -1}
	}
	b.cur = max(b.cur, 0)
	return g.atPeakPower(b)
}

// colder reports whether a continuous current is below that at the best
// temperature, best in 1/h: then it is the temperature that limits.
func (g *Groups) colder(cont float64, best float64) bool {
	return cont < best*g.table.capacity/3600*g.cells*(1-1e-9)
}

// whole returns the current of the pack at which string j carries cur.
func (g *Groups) whole(j int, cur float64) float64 {
	if len(g.str) == 1 {
		return cur
	}
	s := &g.str[j]
	return (g.plain - (s.emf - cur*s.inner)) / g.inner
}

// atPeakPower lowers a bound to the current of the greatest power, E/(2·Z).
func (g *Groups) atPeakPower(b bound) bound {
	if g.plain < 2*g.inner*b.cur {
		b.cur, b.by, b.group = max(g.plain/(2*g.inner), 0), LimitPower, -1
	}
	return b
}

// powerAt sets the currents of the strings for a current of the pack and returns
// the mean power of the step.
func (g *Groups) powerAt(cur float64) float64 {
	for j := range g.str {
		g.str[j].correct = 0
	}
	g.combine()
	g.carry(cur)
	return cur * (g.emf - g.inner*cur)
}

// lowest lowers q to the current at which a group of string j meets the law of
// derating by voltage.
func (g *Groups) lowest(j int, q *bound) {
	peak := g.str[j].peak
	extra := 0.0
	if g.band > 0 {
		if peak <= 0 {
			return // there is no current to lower
		}
		extra = g.band / peak
	}
	for i := j * g.series; i < (j+1)*g.series; i++ {
		if u, plain := g.ends(i, q.cur); plain && u > g.table.voltageMin+extra*q.cur {
			continue // no division: most groups are far from it
		}
		if c, ok := g.reaches(i, g.table.voltageMin, extra); ok && c < q.cur {
			q.cur, q.by, q.group = c, LimitVoltage, i
		}
	}
}

// highest raises q, a charging current below zero, to the one at which a group
// of string j meets the law of derating by voltage.
func (g *Groups) highest(j int, q *bound) {
	peak := g.str[j].chPeak
	extra := 0.0
	if g.band > 0 {
		if peak <= 0 {
			return
		}
		extra = g.band / peak
	}
	for i := j * g.series; i < (j+1)*g.series; i++ {
		if u, plain := g.ends(i, q.cur); plain && u < g.table.voltageMax+extra*q.cur {
			continue
		}
		if c, ok := g.reaches(i, g.table.voltageMax, extra); ok && c > q.cur {
			q.cur, q.by, q.group = c, LimitVoltageMax, i
		}
	}
}

// ends returns the voltage of group i at the end of a step with a current, and
// whether it stays in its piece of charge: then the voltage is exact.
func (g *Groups) ends(i int, cur float64) (u float64, plain bool) {
	l, x := &g.law, g.now.x[i]
	xn := x - g.fixed.kx[i]*cur
	return l.base[i] + l.rise[i]*x - l.a1[i]*g.now.v1[i] - l.a2[i]*g.now.v2[i] - l.end[i]*cur, xn >= l.lo[i] && xn < l.hi[i]
}

// reaches returns the current at which group i ends the step at voltage u plus
// extra·I: the law I = I_peak·(U − u)/B, with extra = B/I_peak; false when no
// current does. Over pieces of charge the straight line of each is tried in turn.
func (g *Groups) reaches(i int, u, extra float64) (float64, bool) {
	l, t := &g.law, g.table
	settled := l.a1[i]*g.now.v1[i] + l.a2[i]*g.now.v2[i]
	x, kx := g.now.x[i], g.fixed.kx[i]
	rest := l.end[i] - l.rise[i]*kx + extra // without the fall of the open-circuit voltage
	base, rise, lo, hi := l.base[i], l.rise[i], l.lo[i], l.hi[i]
	s := t.at(x)
	for range t.base {
		r := rest + rise*kx
		if r <= 0 {
			return 0, false
		}
		c := (base + rise*x - settled - u) / r
		xn := x - kx*c
		switch {
		case xn < lo && s > 0:
			s--
		case xn >= hi && s < len(t.base)-1:
			s++
		default:
			return c, true
		}
		base, rise, lo, hi = t.base[s], t.rise[s], float64(s), float64(s+1)
		// The root of a falling line beyond the far border of its piece lies on it.
		if c := (x - hi) / kx; s < t.at(x) && base+rise*hi-settled-rest*c <= u {
			return c, true
		}
		if c := (x - lo) / kx; s > t.at(x) && base+rise*lo-settled-rest*c >= u {
			return c, true
		}
	}
	return 0, false
}

// empties lowers q to the current at which a group of string j ends at SoCMin.
func (g *Groups) empties(j int, q *bound) {
	for i := j * g.series; i < (j+1)*g.series; i++ {
		if g.now.x[i]-g.fixed.kx[i]*q.cur < g.floor {
			q.cur, q.by, q.group = (g.now.x[i]-g.floor)/g.fixed.kx[i], LimitEmpty, i
		}
	}
}

// fills raises q to the charging current at which a group of string j ends full.
func (g *Groups) fills(j int, q *bound) {
	for i := j * g.series; i < (j+1)*g.series; i++ {
		if g.now.x[i]-g.fixed.kx[i]*q.cur > g.full {
			q.cur, q.by, q.group = (g.now.x[i]-g.full)/g.fixed.kx[i], LimitFull, i
		}
	}
}

// takes returns the largest charging current, not above zero.
func (g *Groups) takes() bound {
	b := bound{cur: math.Inf(-1), group: -1}
	for j := range g.str {
		s := &g.str[j]
		most := g.overload(s.chPeak, s.chCont, s.chHeat)
		q := bound{cur: -most, by: LimitCurrent, group: s.atChCont}
		if most >= s.chPeak {
			q.group = s.atChPeak
		}
		if g.colder(g.fixed.chCont[q.group], g.table.charge.best) {
			q.by = LimitTemperature
		}
		g.highest(j, &q)
		g.fills(j, &q)
		q.cur = min(q.cur, 0)
		if i := g.whole(j, q.cur); i > b.cur {
			q.cur = i
			b = q
		}
	}
	b.cur = min(b.cur, 0)
	return b
}
