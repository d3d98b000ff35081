package drive

import (
	"fmt"
	"math"

	"packyard/unit"
)

// refill returns the energy from the wall that brings the pack back from its
// present charge to start.
//
//	P_pack = e·P_wall − P_idle;  P_pack = (U + R·I)·I;  t = Δq/I;  E_wall = Σ P_wall·t
//
// segment by segment, with the steady resistance R0 + R1 + R2 and joints. Where
// the current would pass that of the charger or the continuous charging current
// of the cells, it is held there and the power from the wall falls. Every
// ampere-second comes back: coulombic losses are not modelled.
// Source: owner-charger-measurement (catalogue sources C2.8, computed).
func (r *Run) refill(start float64, o *Options) (unit.Energy, error) {
	c := o.Charger
	power := o.WallPower
	if power == 0 {
		power = c.WallPower(c.PowerMax)
	}
	pack := float64(c.PackPower(power))
	if !(pack > 0) || !(c.Efficiency > 0 && c.Efficiency <= 1) {
		return 0, fmt.Errorf("%w: charger %s takes %g W from the wall and passes on %g W, above 0 is needed", ErrPack, c.ID, float64(power), pack)
	}
	if r.g != nil {
		return r.g.refill(c, pack, (start-r.x)/r.kx*r.dt*r.across)
	}
	most := math.Inf(1)
	if c.CurrentMax > 0 {
		most = float64(c.CurrentMax) / r.across
	}
	if r.chCont > 0 {
		most = min(most, r.chCont)
	}
	p, seconds := pack*r.scale, r.l.capacity/float64(len(r.l.seg)) // A·s of a segment
	wall := 0.0
	for x := r.x; x < start; {
		s := &r.l.seg[r.l.at(x)]
		end := min(s.hi, start)
		if end <= x {
			break
		}
		u := s.base + s.rise*(x+end)/2
		res := s.r0 + s.r1 + s.r2 + r.joint
		cur := min(2*p/(u+math.Sqrt(u*u+4*res*p)), most)
		w := float64(c.WallPower(unit.Power((u + res*cur) * cur / r.scale)))
		wall += w * (end - x) * seconds / cur
		x = end
	}
	return unit.Energy(wall), nil
}
