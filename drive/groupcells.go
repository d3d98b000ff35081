package drive

import (
	"math"

	"packyard/unit"
)

// groupCells is the pack of a Run in the fidelity "per group". A Run counts in
// figures of one cell; groupCells turns them into those of the pack and back.
type groupCells struct {
	*Groups
	thermal   Thermal
	began     []float64 // of x at the start of the run
	heatSum   []float64 // J of each group, joints included, since the thermal model was stepped
	heatTime  float64   // s
	heatTotal float64   // J of all groups since the start, joints apart
	coldStart float64   // K, coldest group at the start
	startX    float64   // of a new pack, see tell
	base      float64   // W, auxiliaries without what cooling takes
	last      bound     // the limit that was asked for last
	trace     *GroupTrace
	seen      groupSeen
	halt      func() error
	err       error // of the thermal model, or of halt
}

// halted reports whether a run is over before its end, at step i of a schedule:
// something failed, or it is not wanted any more.
func (c *groupCells) halted(i int) bool {
	if c.err == nil && c.halt != nil && i%haltEvery == 0 {
		c.err = c.halt()
	}
	return c.err != nil
}

// solveCell is Run.solve for groups: p watts of one cell.
func (c *groupCells) solveCell(r *Run, p float64) shot {
	c.load()
	if !c.solve(p / r.scale) {
		return shot{}
	}
	return c.tell(r, p)
}

// cellAt is Run.shotAt for groups: cur amperes of one cell.
func (c *groupCells) cellAt(r *Run, cur float64) shot {
	c.load()
	return c.tell(r, c.powerAt(cur*r.across)*r.scale)
}

// tell tries the step that was solved and describes it. The charge in it is that
// of a new pack through which the same current flows: it serves to mean
// currents, and says nothing of any group.
func (c *groupCells) tell(r *Run, p float64) shot {
	c.try()
	cur := c.current() / r.across
	return shot{cur: cur, power: p, x: r.x - cur*r.kx, u: c.outside(c.trial) / r.series, ok: true}
}

// permits reports whether the tried step keeps all limits but the charge floor.
func (c *groupCells) permits(o *shot) bool {
	if c.within() {
		return true
	}
	cur := c.current()
	if o.cur >= 0 {
		return cur <= c.most(false).cur
	}
	return cur >= c.takes().cur && !c.aboveTop(c.outside(c.trial))
}

// aboveTop reports whether a voltage at the terminals is above what the inverter
// takes while charging.
func (c *groupCells) aboveTop(u float64) bool { return c.top > 0 && u > c.top*(1+1e-12) }

// ability is Run.ability for groups; with floor no group passes its charge floor.
func (c *groupCells) ability(r *Run, floor bool) ability {
	c.load()
	b := c.most(floor)
	b.power = c.powerAt(b.cur)
	c.last = b
	return ability{cur: b.cur / r.across, power: b.power * r.scale, by: b.by}
}

// takesCell is Run.takes for groups.
func (c *groupCells) takesCell(r *Run) (float64, Limiter) {
	c.load()
	b := c.takes()
	above := func(cur float64) float64 {
		c.load()
		c.powerAt(cur)
		c.try()
		return c.outside(c.trial) - c.top
	}
	if c.top > 0 && above(b.cur) > 0 {
		b.by, b.group = LimitVoltageMax, -1
		if above(0) >= 0 {
			b.cur = 0
		} else {
			b.cur = falsePosition(0, b.cur, above)
		}
	}
	c.last = b
	return b.cur / r.across, b.by
}

// note keeps who limited the step at hand, for the record.
func (c *groupCells) note(by Limiter, charging bool, wanted, given float64) {
	group := -1
	if by == c.last.by {
		group = c.last.group
	}
	c.record.note(by, group, charging, c.time, c.dt, wanted, given)
}

// toFloor is Run.toFloor for groups: the step becomes as short as it takes the
// emptiest group to its floor.
func (c *groupCells) toFloor(r *Run, p float64, o *shot) float64 {
	share := 1.0
	for range floorPasses {
		part := 1.0
		for i, x := range c.next.x {
			if x < c.floor {
				part = min(part, (c.now.x[i]-c.floor)/(c.now.x[i]-x))
			}
		}
		if part >= 1 {
			// A pass that ended above the floor is brought down to it.
			part = math.Inf(1)
			for i, x := range c.next.x {
				if fall := c.now.x[i] - x; fall > 0 {
					part = min(part, (c.now.x[i]-c.floor)/fall)
				}
			}
		}
		share *= part
		if !(share > 0) {
			return 0
		}
		c.setStep(share * r.dt)
		*o = c.solveCell(r, p)
		if math.Abs(c.tried.least-c.floor) <= 1e-12*c.full {
			break
		}
	}
	return share
}

// commitStep makes the tried step the present state and steps the thermal model.
func (c *groupCells) commitStep(r *Run) {
	if r.frozen {
		copy(c.next.x, c.now.x)
		c.cross = c.cross[:0]
	}
	c.commit()
	if r.frozen {
		return
	}
	joint := c.dt / float64(c.series)
	for j := range c.str {
		loss := c.str[j].cur * c.str[j].cur * c.joint * joint
		for i := j * c.series; i < (j+1)*c.series; i++ {
			q := c.heat[i] * c.dt
			c.heatTotal += q
			c.heatSum[i] += q + loss
		}
	}
	c.heatTime += c.dt
	if c.thermal != nil && c.heatTime >= thermalEvery-1e-9 {
		c.stepThermal(r)
	}
	c.seen.add(c)
	if c.trace != nil {
		c.trace.add(c)
	}
}

// thermalEvery is the time in s after which the thermal model is stepped with
// the mean heat of the steps between. Cells warm over minutes, so that this
// changes no temperature by a hundredth of a kelvin
// (TestThermalModelMayBeSteppedLessOften).
const thermalEvery = 5.0

// stepThermal brings the temperatures up to the present time.
func (c *groupCells) stepThermal(r *Run) {
	for i := range c.heatSum {
		c.heatSum[i] /= c.heatTime
	}
	err := c.thermal.Step(c.heatSum, unit.Time(c.heatTime))
	if err == nil {
		err = c.SetTemperatures(c.thermal.Temperatures()[:c.count])
	}
	if err != nil {
		c.err, r.end = err, EndPower
	}
	clear(c.heatSum)
	c.heatTime = 0
}

// auxiliary adds what cooling takes to the auxiliaries of the step at hand.
func (c *groupCells) auxiliary(r *Run) {
	if l, ok := c.thermal.(load); ok {
		r.own.chain.auxiliary = c.base + float64(l.Load())
	}
}

// chemical returns ∫ OCV dq of all groups since the start in J.
func (c *groupCells) chemical() float64 {
	sum := 0.0
	for i, x := range c.began {
		sum += c.table.energy(c.now.x[i], x) * c.fixed.capacity[i] / c.full
	}
	return sum
}

// chargeAfter returns the charge of the pack after the tried step, 0…1.
func (c *groupCells) chargeAfter() float64 {
	first, least := 0, math.Inf(1)
	for i, x := range c.next.x {
		if q := (x - c.floor) * c.fixed.capacity[i]; q < least {
			first, least = i, q
		}
	}
	return c.next.x[first] / c.full
}

// book adds what the cells do in the tried step to a balance, each term by its
// own formula: the time constants come from the decay, the loss of a pair from
// the integral of its exponential.
func (c *groupCells) book(b *Balance) {
	l := &c.law
	for i := range c.began {
		cur := c.str[i/c.series].cur
		b.R0 += unit.Energy(cur * cur * l.r0[i] * c.dt)
		lost, stored := pairEnergy(l.r1[i], decayTime(l.a1[i], c.dt), c.now.v1[i], c.next.v1[i], cur, c.dt)
		b.RC1Lost, b.RC1Stored = b.RC1Lost+unit.Energy(lost), b.RC1Stored+unit.Energy(stored)
		lost, stored = pairEnergy(l.r2[i], decayTime(l.a2[i], c.dt), c.now.v2[i], c.next.v2[i], cur, c.dt)
		b.RC2Lost, b.RC2Stored = b.RC2Lost+unit.Energy(lost), b.RC2Stored+unit.Energy(stored)
	}
	for j := range c.str {
		b.Joints += unit.Energy(c.str[j].cur * c.str[j].cur * c.joint * c.dt)
	}
}

// decayTime returns the time constant of which e^(−dt/τ) = a, 0 for none.
func decayTime(a, dt float64) float64 {
	if a == 0 {
		return 0
	}
	return -dt / math.Log(a)
}
