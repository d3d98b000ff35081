package drive

import "packyard/unit"

// Count returns the number of groups, all strings together.
func (g *Groups) Count() int { return g.count }

// Time returns the time since the start.
func (g *Groups) Time() unit.Time { return unit.Time(g.time) }

// Voltages returns the voltages of all groups at the end of the last step in V,
// the open-circuit voltages at the start. The slice belongs to g and changes with
// the next step.
func (g *Groups) Voltages() []float64 { return g.volt }

// Heat returns the heat that the cells of each group gave off in the last step
// in W, mean over the step, the reversible part included; joints are apart. The
// slice belongs to g.
func (g *Groups) Heat() []float64 { return g.heat }

// JointHeat returns the heat of the interconnects of all strings in the last step.
func (g *Groups) JointHeat() unit.Power {
	q := 0.0
	for j := range g.str {
		q += g.str[j].cur * g.str[j].cur * g.joint
	}
	return unit.Power(q)
}

// Temperatures returns the temperatures of all groups in K, as set. The slice
// belongs to g.
func (g *Groups) Temperatures() []float64 { return g.fixed.temp }

// Charges writes the charge 0…1 of each group, of its own capacity,
// dimensionless, into dst and returns it; a dst of another length is replaced.
func (g *Groups) Charges(dst []float64) []float64 {
	if len(dst) != g.count {
		dst = make([]float64, g.count)
	}
	for i, x := range g.now.x {
		dst[i] = x / g.full
	}
	return dst
}

// Capacity returns the capacity of group i.
func (g *Groups) Capacity(i int) unit.Charge { return unit.Charge(g.fixed.capacity[i]) }

// StringCurrents writes the current of each string in the last step in A into
// dst and returns it; a dst of another length is replaced.
func (g *Groups) StringCurrents(dst []float64) []float64 {
	if len(dst) != len(g.str) {
		dst = make([]float64, len(g.str))
	}
	for j := range g.str {
		dst[j] = g.str[j].cur
	}
	return dst
}

// Charge returns the charge of the pack: that of the group that empties first,
// of its own capacity, and which it is. Source: models section 2.
func (g *Groups) Charge() (unit.Ratio, int) {
	first := 0
	least := (g.now.x[0] - g.floor) * g.fixed.capacity[0]
	for i := 1; i < g.count; i++ {
		if q := (g.now.x[i] - g.floor) * g.fixed.capacity[i]; q < least {
			least, first = q, i
		}
	}
	return unit.Ratio(g.now.x[first] / g.full), first
}

// EnergyLeft returns what the open-circuit voltages of all groups give until the
// group that empties first in each string is at SoCMin, without loss.
func (g *Groups) EnergyLeft() unit.Energy {
	sum := 0.0
	for j := range g.str {
		from, to := j*g.series, (j+1)*g.series
		charge := (g.now.x[from] - g.floor) * g.fixed.capacity[from]
		for i := from; i < to; i++ {
			charge = min(charge, (g.now.x[i]-g.floor)*g.fixed.capacity[i])
		}
		if charge <= 0 {
			continue
		}
		for i := from; i < to; i++ {
			dx := charge / g.fixed.capacity[i]
			sum += g.table.energy(g.now.x[i]-dx, g.now.x[i]) * g.fixed.capacity[i] / g.full
		}
	}
	return unit.Energy(sum)
}

// EnergyRest returns what the open-circuit voltages of all groups would give if
// each alone went down to SoCMin, without loss: with EnergyLeft zero it is what
// unequal groups keep from being used.
func (g *Groups) EnergyRest() unit.Energy {
	sum := 0.0
	for i, x := range g.now.x {
		if x > g.floor {
			sum += g.table.energy(g.floor, x) * g.fixed.capacity[i] / g.full
		}
	}
	return unit.Energy(sum)
}

// Record returns who limited the pack and when. It belongs to g.
func (g *Groups) Record() *Record { return &g.record }
