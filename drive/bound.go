package drive

import (
	"math"

	"packyard/unit"
)

// RangeMost is what RangeBound returns when the schedule gives back as much as
// it takes, so that no bound exists. It is finite, to be compared and stored.
const RangeMost unit.Length = 1e12

// RangeBound returns a range that no run of this demand exceeds which keeps the
// schedule (Result.Behind is 0), when the cells hold no more than usable between
// start and floor (Lumped.EnergyUsable):
//
//	range ≤ D·(E + δ)/e,  δ = max over t of (e·s(t)/D − E(t))
//
// D and e are distance and energy at the terminals of one schedule, s(t) and
// E(t) those up to t within it; the pack counts as without resistance. After k
// schedules and the time t, k·e + E(t) has been drawn, at most usable, and
// (k·D + s(t))·e/D ≤ k·e + E(t) + δ. Resistance and refused regeneration only
// add to what is drawn. A run that falls behind may use less per distance; see
// RangeBoundBehind.
func (d *Demand) RangeBound(usable unit.Energy) unit.Length {
	last := d.cum[len(d.cum)-1]
	if !(last.terminals > 0) {
		return RangeMost
	}
	e := last.terminals / last.distance
	ahead := 0.0
	for i := range d.cum {
		ahead = max(ahead, e*d.cum[i].distance-d.cum[i].terminals)
	}
	return unit.Length(min((float64(usable)+ahead)/e, float64(RangeMost)))
}

// RangeBoundBehind returns the larger of RangeBound and that of the same
// schedule driven slower throughout by what a run may fall behind (KeepUp):
// the bound for runs that are short of power. It is tested, not proven: a run
// may be slower still for up to KeepUpFor.
// Errors: those of Fill.
func (d *Demand) RangeBoundBehind(usable unit.Energy) (unit.Length, error) {
	s := d.schedule("slower")
	for i, v := range s.Speed {
		s.Speed[i] = max(0, v-float64(KeepUp))
	}
	o := DemandOptions{Step: d.Step, Voltage: unit.Voltage(d.full)}
	slow, err := NewDemand(d.train, s, o)
	if err != nil {
		return 0, err
	}
	if !(slow.Distance() > 0) {
		return RangeMost, nil
	}
	return unit.Length(math.Max(float64(d.RangeBound(usable)), float64(slow.RangeBound(usable)))), nil
}
