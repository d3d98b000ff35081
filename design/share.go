package design

import (
	"math"
	"math/bits"

	"packyard/unit"
)

// marginStep is the difference of margin below which two loadings count as
// equal; violationStep is the same among those that break a limit. Both
// dimensionless.
const (
	marginStep    = 1e-2
	violationStep = 1e-6
)

// sharing is one search for the best loading. The question that is put again
// and again is whether modules can be shared among a set of bays so that no bay
// is heavier than its cap and the moment about the front axle lies between two
// bounds: that is what margins of bays and axles come to, since axle loads are
// linear in the moment. Halving over the margin asked for finds the best.
type sharing struct {
	frame   *Frame
	rooms   *Rooms
	need    [2]int
	mass    [2]float64 // kg, of one module of each length with its share of cooling and fixed parts
	spread  float64    // dimensionless, that share plus one
	allowed Set        // not zero: limits that may be broken, and the only ones whose margin counts

	// Of the set of bays that is searched:
	set   uint
	bays  []int
	axles axleLaw
	fixed Set     // rules broken by the whole mass alone
	roof  float64 // margin of the whole mass alone

	// Of the question that is put:
	lo, hi float64   // kg·m, moment of the pack
	most   [][]int   // by bay of the set, then by number of the first length: most of the second under the cap, -1: none
	reach  [][]int   // the same for the bay and all after it together
	filled []float64 // kg, by bay of the set: the most under the cap
	count  [][2]int  // by bay

	best   Loading
	found  bool
	margin float64
}

func (f *Frame) newSharing(w *Wiring, m *Modules, rooms *Rooms) *sharing {
	n := len(rooms.room)
	s := &sharing{
		frame: f, rooms: rooms, need: m.Count, spread: 1 + f.extra(w)/modulesMass(m),
		bays: make([]int, 0, n), most: make([][]int, n), reach: make([][]int, n+1), filled: make([]float64, n), count: make([][2]int, n),
	}
	for i := range m.Stack {
		s.mass[i] = s.spread * float64(m.Stack[i].Mass)
	}
	cells := make([]int, (2*n+1)*(m.Count[0]+1))
	take := func() []int {
		x := cells[: m.Count[0]+1 : m.Count[0]+1]
		cells = cells[m.Count[0]+1:]
		return x
	}
	for k := range n {
		s.most[k], s.reach[k] = take(), take()
	}
	s.reach[n] = take()
	return s
}

// sets opens every set of n bays that holds the modules and calls do.
func (s *sharing) sets(n int, do func()) {
	for set := uint(1); set < 1<<len(s.rooms.room); set++ {
		if bits.OnesCount(set) == n && holds(s.rooms.reach[set], s.need) {
			s.open(set)
			do()
		}
	}
}

// open makes ready for one set of bays.
func (s *sharing) open(set uint) {
	f := s.frame
	s.set, s.bays = set, s.bays[:0]
	for rest := set; rest != 0; rest &= rest - 1 {
		s.bays = append(s.bays, bits.TrailingZeros(rest))
	}
	mass := s.mass[0]*float64(s.need[0]) + s.mass[1]*float64(s.need[1]) + f.sets[set].boxes
	var v Values
	f.wholeMass(mass, &v)
	s.fixed, s.roof = 0, notAsked
	for _, r := range [...]Rule{MassBattery, MassGross} {
		x := v.margin(r)
		if s.allowed == 0 || s.allowed.Has(r) {
			s.roof = min(s.roof, x)
		}
		if x < -slack {
			s.fixed |= 1 << r
		}
	}
	s.axles = f.axleLaw(mass)
}

// shared are the rules of mass that depend on how modules are shared.
var shared = [...]Rule{AxleFront, AxleRear, BayMass}

// fewest looks for the best loading that breaks so many limits of mass, with as
// few bays as can be.
func (s *sharing) fewest(broken int) {
	step := marginStep
	if broken > 0 {
		step = violationStep
	}
	for n := 1; n <= len(s.rooms.room) && !s.found; n++ {
		s.sets(n, func() {
			more := broken - bits.OnesCount32(uint32(s.fixed))
			for pick := range uint(1) << len(shared) {
				if bits.OnesCount(pick) != more {
					continue
				}
				var free Set
				for i, r := range shared {
					if pick>>i&1 != 0 {
						free |= 1 << r
					}
				}
				s.improve(free, step)
			}
		})
	}
}

// improve looks in the open set for loadings that break none of the shared
// rules but those of free, and have a worst margin better than the best by a
// step.
func (s *sharing) improve(free Set, step float64) {
	high := s.ceiling()
	if !s.found {
		if !s.ask(free, math.Inf(-1)) {
			return
		}
	} else if high <= s.margin+step || !s.ask(free, s.margin+step) {
		return
	}
	for high > s.margin+step {
		if target := (s.margin + high) / 2; !s.ask(free, target) {
			high = target
		}
	}
}

// ceiling returns a bound of the margin that the open set can give.
func (s *sharing) ceiling() float64 {
	high := s.roof
	if s.allowed != 0 {
		high = min(high, 0)
	}
	if s.counts(AxleFront) && s.counts(AxleRear) {
		front, rear := s.axles.margins(s.axles.even)
		high = min(high, front, rear)
	}
	// However it is shared, one of the bays is filled at least as far as all
	// together.
	if t := &s.frame.sets[s.set]; t.limited && s.counts(BayMass) {
		mass := s.mass[0]*float64(s.need[0]) + s.mass[1]*float64(s.need[1])
		high = min(high, (t.limit-t.boxes-mass)/t.limit)
	}
	return high
}

// counts reports whether the margin of rule r counts.
func (s *sharing) counts(r Rule) bool { return s.allowed == 0 || s.allowed.Has(r) }

// ask looks for a loading whose worst margin is at least target, that breaks
// no shared rule outside free, and keeps it.
func (s *sharing) ask(free Set, target float64) bool {
	if s.roof < target {
		return false
	}
	of := func(r Rule) float64 {
		t := math.Inf(-1)
		if s.counts(r) {
			t = target
		}
		if !free.Has(r) {
			t = max(t, -slack)
		}
		return t
	}
	s.lo, s.hi = s.axles.between(of(AxleFront), of(AxleRear))
	if s.lo > s.hi || !s.cap(of(BayMass)) {
		return false
	}
	if !s.share(0, s.need, s.frame.sets[s.set].moment) {
		return false
	}
	s.keep()
	return true
}

// cap finds what each bay of the set holds with the given margin to its mass
// limit, alone and with those after it; false: not all that is needed.
func (s *sharing) cap(margin float64) bool {
	n := len(s.bays)
	last := s.reach[n]
	for i := range last {
		last[i] = -1
	}
	last[0] = 0
	for k := n - 1; k >= 0; k-- {
		s.capBay(k, margin)
		this, next := s.reach[k], s.reach[k+1]
		for i := range this {
			this[i] = -1
			for a, b := range s.most[k][:i+1] {
				if c := next[i-a]; b >= 0 && c >= 0 {
					this[i] = max(this[i], b+c)
				}
			}
		}
	}
	return s.reach[0][s.need[0]] >= s.need[1]
}

// capBay is cap for one bay.
func (s *sharing) capBay(k int, margin float64) {
	b := s.bays[k]
	room, mass, f := s.rooms.room[b], s.rooms.mass[b], &s.frame.bays[b]
	limit := math.Inf(1)
	if f.limit > 0 && !math.IsInf(margin, -1) {
		limit = (f.limit*(1-margin) - f.boxMass) / s.spread
	}
	s.filled[k] = 0
	for i := range s.most[k] {
		s.most[k][i] = -1
		if i >= len(room.Placed) {
			continue
		}
		j := min(room.Placed[i], s.need[1])
		for j >= 0 && mass[i][j] > limit {
			j--
		}
		s.most[k][i] = j
		if j >= 0 {
			s.filled[k] = max(s.filled[k], mass[i][j]*s.spread)
		}
	}
}

// share shares what is left among the bays from the k-th on.
func (s *sharing) share(k int, left [2]int, moment float64) bool {
	if k == len(s.bays)-1 {
		b := s.bays[k]
		s.count[b] = left
		moment += s.spread * s.rooms.pull[b][left[0]][left[1]]
		return left[0]+left[1] > 0 && moment >= s.lo && moment <= s.hi
	}
	if s.beyond(k, left, moment) {
		return false
	}
	if k == len(s.bays)-2 {
		return s.lastTwo(left, moment)
	}
	most, rest := s.most[k], s.reach[k+1]
	low, high := 0, left[0]
	// From an even share outwards, so that a good loading is found early.
	start := left[0] / (len(s.bays) - k)
	for d := 0; start-d >= low || start+d <= high; d++ {
		if i := start - d; i >= low && most[i] >= 0 && rest[left[0]-i] >= 0 && s.second(k, left, i, moment) {
			return true
		}
		if i := start + d; d > 0 && i <= high && most[i] >= 0 && rest[left[0]-i] >= 0 && s.second(k, left, i, moment) {
			return true
		}
	}
	return false
}

// second gives the k-th bay i modules of the first length and tries all numbers
// of the second.
func (s *sharing) second(k int, left [2]int, i int, moment float64) bool {
	low, high := max(0, left[1]-s.reach[k+1][left[0]-i]), min(left[1], s.most[k][i])
	start := min(max(left[1]/(len(s.bays)-k), low), high)
	for d := 0; start-d >= low || start+d <= high; d++ {
		if j := start - d; j >= low && j <= high && i+j > 0 && s.put(k, left, [2]int{i, j}, moment) {
			return true
		}
		if j := start + d; d > 0 && j >= low && j <= high && i+j > 0 && s.put(k, left, [2]int{i, j}, moment) {
			return true
		}
	}
	return false
}

// beyond reports whether the moment that the bays from the k-th on can still
// add misses the bounds.
func (s *sharing) beyond(k int, left [2]int, moment float64) bool {
	mass := s.mass[0]*float64(left[0]) + s.mass[1]*float64(left[1])
	return moment+s.outmost(k, mass, s.rooms.backward) < s.lo || moment+s.outmost(k, mass, s.rooms.forward) > s.hi
}

// lastTwo shares what is left among the last two bays, in the order of share.
// Nine tenths of all sharings that are looked at end here, so that it is one
// loop without calls.
func (s *sharing) lastTwo(left [2]int, moment float64) bool {
	k := len(s.bays) - 2
	most, rest := s.most[k], s.reach[k+1]
	start := left[0] / 2
	for d := 0; start-d >= 0 || start+d <= left[0]; d++ {
		if i := start - d; i >= 0 && most[i] >= 0 && rest[left[0]-i] >= 0 && s.lastRow(left, i, moment) {
			return true
		}
		if i := start + d; d > 0 && i <= left[0] && most[i] >= 0 && rest[left[0]-i] >= 0 && s.lastRow(left, i, moment) {
			return true
		}
	}
	return false
}

// lastRow gives the last bay but one i modules of the first length and tries all
// numbers of the second.
func (s *sharing) lastRow(left [2]int, i int, moment float64) bool {
	k := len(s.bays) - 2
	a, b := s.bays[k], s.bays[k+1]
	one, two := s.rooms.pull[a][i], s.rooms.pull[b][left[0]-i]
	low, high := max(0, left[1]-s.reach[k+1][left[0]-i]), min(left[1], s.most[k][i])
	start := min(max(left[1]/2, low), high)
	for d := 0; start-d >= low || start+d <= high; d++ {
		for j, end := start-d, start+d; j <= end; j += max(2*d, 1) {
			if j < low || j > high || i+j == 0 || i+j == left[0]+left[1] {
				continue
			}
			m := moment + s.spread*one[j] // added up one after the other, as in share
			if m += s.spread * two[left[1]-j]; m >= s.lo && m <= s.hi {
				s.count[a], s.count[b] = [2]int{i, j}, [2]int{left[0] - i, left[1] - j}
				return true
			}
		}
	}
	return false
}

// put gives the k-th bay n modules and goes on with those after it.
func (s *sharing) put(k int, left, n [2]int, moment float64) bool {
	b := s.bays[k]
	s.count[b] = n
	return s.share(k+1, [2]int{left[0] - n[0], left[1] - n[1]}, moment+s.spread*s.rooms.pull[b][n[0]][n[1]])
}

// outmost returns the moment of a mass that fills the bays from the k-th on in
// the given order, each at its outermost module: the smallest or the greatest
// that there can be.
func (s *sharing) outmost(k int, mass float64, order []reachOf) float64 {
	from := s.bays[k]
	moment := 0.0
	for _, r := range order {
		if r.bay < from || s.set>>r.bay&1 == 0 {
			continue
		}
		m := min(mass, s.filled[bits.OnesCount(s.set&(1<<r.bay-1))])
		moment += m * r.x
		if mass -= m; mass <= 0 {
			break
		}
	}
	return moment
}

// keep takes the loading found as the best.
func (s *sharing) keep() {
	l := Loading{Count: append(s.best.Count[:0], s.count...), Known: true}
	moment, margin := s.frame.sets[s.set].moment, s.roof
	for b := range l.Count {
		if s.set>>b&1 == 0 {
			l.Count[b] = [2]int{}
			continue
		}
		n := l.Count[b]
		l.Sum = l.Sum.plus(s.rooms.room[b].Sum[n[0]][n[1]])
		moment += s.spread * s.rooms.pull[b][n[0]][n[1]]
		if f := &s.frame.bays[b]; f.limit > 0 && s.counts(BayMass) {
			margin = min(margin, (f.limit-s.spread*s.rooms.mass[b][n[0]][n[1]]-f.boxMass)/f.limit)
		}
	}
	front, rear := s.axles.margins(moment)
	if s.counts(AxleFront) {
		margin = min(margin, front)
	}
	if s.counts(AxleRear) {
		margin = min(margin, rear)
	}
	if s.allowed != 0 {
		margin = min(margin, 0)
	}
	s.best, s.found, s.margin = l, true, margin
}

// axleLaw gives the margins of both axles over the moment of the pack, kg·m.
type axleLaw struct {
	front, rear           float64 // kg at no moment, load case included
	frontLimit, rearLimit float64 // kg, 0: none
	base                  float64 // m
	even                  float64 // kg·m, where both margins are equal
}

// axleLaw returns the axle loads over the moment of a pack of the given mass.
func (f *Frame) axleLaw(mass float64) axleLaw {
	front, rear := f.balance.AxlesLoaded(unit.Mass(mass), 0)
	a := axleLaw{
		front: float64(front), rear: float64(rear), frontLimit: f.limitFront, rearLimit: f.limitRear,
		base: float64(f.Brief.Donor.Wheelbase),
	}
	switch {
	case a.frontLimit > 0 && a.rearLimit > 0:
		a.even = a.base * (a.front*a.rearLimit - a.rear*a.frontLimit) / (a.frontLimit + a.rearLimit)
	case a.frontLimit > 0:
		a.even = 1e9
	default:
		a.even = -1e9
	}
	return a
}

func (a *axleLaw) margins(moment float64) (front, rear float64) {
	front, rear = notAsked, notAsked
	if a.frontLimit > 0 {
		front = (a.frontLimit - (a.front - moment/a.base)) / a.frontLimit
	}
	if a.rearLimit > 0 {
		rear = (a.rearLimit - (a.rear + moment/a.base)) / a.rearLimit
	}
	return front, rear
}

// between returns the moments at which both axles have at least the given margins.
func (a *axleLaw) between(front, rear float64) (lo, hi float64) {
	lo, hi = math.Inf(-1), math.Inf(1)
	if a.frontLimit > 0 {
		lo = a.base * (a.front - a.frontLimit*(1-front))
	}
	if a.rearLimit > 0 {
		hi = a.base * (a.rearLimit*(1-rear) - a.rear)
	}
	return lo, hi
}

// wholeMass fills the rules of the pack's mass alone.
func (f *Frame) wholeMass(mass float64, out *Values) {
	out.set(MassBattery, mass, float64(f.Brief.Targets.MassMax))
	_, loaded := f.balance.Mass(unit.Mass(mass))
	out.set(MassGross, float64(loaded), float64(f.Brief.Donor.Ratings.GrossMass))
}
