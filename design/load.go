package design

import (
	"cmp"
	"math/bits"
	"slices"

	"packyard/unit"
	"packyard/vehicle"
)

// Sums are the centres of the modules of each length, added up, in the vehicle
// frame.
type Sums [2]vehicle.Point

// Room is what one bay holds of two module lengths: Placed[n] is the most of the
// second length that was placed beside n of the first, Bound[n] the most that is
// not proven impossible, Sum[n][m] the added up centres of n and m modules.
type Room struct {
	Placed []int
	Bound  []int
	Sum    [][]Sums
}

// Rooms are the bays of a brief for one pair of module lengths, with what sets
// of bays hold together.
type Rooms struct {
	room  []*Room
	mass  [][][]float64 // kg, by bay, then by number of each length: mass of the modules …
	pull  [][][]float64 // kg·m … and its moment about the front axle
	reach [][]int       // by set of bays, then by number of the first length: most of the second that was placed
	bound []int         // by number of the first length, all bays: most of the second not proven impossible

	forward, backward []reachOf // bays by their foremost module, and by their rearmost
}

// reachOf is the place of the outermost module of a bay.
type reachOf struct {
	bay int
	x   float64 // m
}

// NewRooms prepares the rooms of all bays, in the order of the brief, for
// modules of the given masses.
func NewRooms(room []*Room, mass [2]unit.Mass) *Rooms {
	r := &Rooms{room: room, reach: make([][]int, 1<<len(room)), bound: []int{0}}
	for b, x := range room {
		least, most := x.extent()
		r.forward, r.backward = append(r.forward, reachOf{b, least}), append(r.backward, reachOf{b, most})
		r.bound = together(r.bound, x.Bound)
		in, pull := x.weights([2]float64{float64(mass[0]), float64(mass[1])})
		r.mass, r.pull = append(r.mass, in), append(r.pull, pull)
	}
	slices.SortStableFunc(r.forward, func(a, b reachOf) int { return cmp.Compare(a.x, b.x) })
	slices.SortStableFunc(r.backward, func(a, b reachOf) int { return cmp.Compare(b.x, a.x) })
	r.reach[0] = []int{0}
	for set := uint(1); set < 1<<len(room); set++ {
		b, rest := bits.TrailingZeros(set), set&(set-1)
		r.reach[set] = together(r.reach[rest], room[b].Placed)
	}
	return r
}

// together returns what two rooms hold of both lengths: the most of the second
// length for each number of the first.
func together(a, b []int) []int {
	out := make([]int, len(a)+len(b)-1)
	for i, x := range a {
		for j, y := range b {
			out[i+j] = max(out[i+j], x+y)
		}
	}
	return out
}

// weights returns mass and moment of what stands in the room, by number of each
// length.
func (r *Room) weights(m [2]float64) (mass, pull [][]float64) {
	mass, pull = make([][]float64, len(r.Sum)), make([][]float64, len(r.Sum))
	for i := range r.Sum {
		mass[i], pull[i] = make([]float64, len(r.Sum[i])), make([]float64, len(r.Sum[i]))
		for j, at := range r.Sum[i] {
			mass[i][j] = m[0]*float64(i) + m[1]*float64(j)
			pull[i][j] = m[0]*float64(at[0].X) + m[1]*float64(at[1].X)
		}
	}
	return mass, pull
}

// extent returns the smallest and the greatest centre of a module of the room,
// m; of modules added up it is their mean, which lies between those of single ones.
func (r *Room) extent() (least, most float64) {
	least, most = 1e9, -1e9
	for i := range r.Sum {
		for j := range r.Sum[i] {
			for k, n := range [2]int{i, j} {
				if n > 0 {
					x := float64(r.Sum[i][j][k].X) / float64(n)
					least, most = min(least, x), max(most, x)
				}
			}
		}
	}
	return least, most
}

// Load returns the best way of sharing the modules among the bays: the one that
// breaks the fewest limits of mass, then uses the fewest bays, then has the best
// worst margin, to within a hundredth. Where the mass of the modules breaks a
// limit however they are shared, an even share stands. The flag is false when it is neither
// known nor disproven that all modules have a place; the loading then stands in
// for one, as when they do not: the bays hold what they can and the rest counts
// at the mean of the bays' centres.
func (f *Frame) Load(w *Wiring, m *Modules, rooms *Rooms) (Loading, bool) {
	if !holds(rooms.bound, m.Count) {
		return f.overfull(rooms, m.Count), true
	}
	s := sharing{frame: f, rooms: rooms, need: m.Count, count: make([][2]int, len(rooms.room)), most: make([]float64, len(rooms.room))}
	s.spread = 1 + f.extra(w)/modulesMass(m)
	for i := range m.Stack {
		s.mass[i] = s.spread * float64(m.Stack[i].Mass)
	}
	if s.hopeless() {
		s.first = true
		s.try(1<<len(rooms.room) - 1)
	}
	for bays := 1; bays <= len(rooms.room) && !s.first; bays++ {
		for set := uint(1); set < 1<<len(rooms.room); set++ {
			if bits.OnesCount(set) == bays && holds(rooms.reach[set], m.Count) {
				s.try(set)
			}
		}
		if s.found && s.broken == 0 {
			break
		}
		s.strict = s.found
	}
	if !s.found {
		return f.overfull(rooms, m.Count), false
	}
	return s.best, true
}

func holds(most []int, n [2]int) bool { return n[0] < len(most) && most[n[0]] >= n[1] }

// overfull is the stand-in of Load.
func (f *Frame) overfull(rooms *Rooms, left [2]int) Loading {
	l := Loading{Count: make([][2]int, len(rooms.room))}
	var mean vehicle.Point
	for b, r := range rooms.room {
		i := min(left[0], len(r.Placed)-1)
		j := min(left[1], r.Placed[i])
		l.Count[b] = [2]int{i, j}
		l.Sum = l.Sum.plus(r.Sum[i][j])
		left[0] -= i
		left[1] -= j
		mean = plus(mean, f.bays[b].centre)
	}
	for i, k := range left {
		part := float64(k) / float64(len(rooms.room))
		l.Sum[i] = plus(l.Sum[i], times(mean, part))
	}
	l.Short = left[0] + left[1]
	return l
}

// marginStep is the difference of margin below which two loadings count as
// equal; dimensionless.
const marginStep = 1e-2

// sharing is one search for the best loading, by branch and bound over the bays
// of a set: axle loads are linear in the moment about the front axle, and the
// moment that is still to come lies between that of all modules in the bay
// furthest to the front and to the rear.
type sharing struct {
	frame  *Frame
	rooms  *Rooms
	need   [2]int
	mass   [2]float64 // kg, of one module of each length with its share of cooling and fixed parts
	spread float64    // dimensionless, that share plus one

	axles  axleLaw
	fixed  int       // rules broken by the whole mass alone
	roof   float64   // margin of the whole mass alone
	set    uint      // being searched
	most   []float64 // kg, by bay: the most that it can hold in a loading better than best
	count  [][2]int
	best   Loading
	found  bool
	first  bool // the first loading found will do
	strict bool // only fewer broken limits are better: the set is larger than that of best
	broken int
	margin float64
}

// hopeless reports whether the modules break a limit of the whole mass even
// without a battery box.
func (s *sharing) hopeless() bool {
	var v Values
	s.frame.wholeMass(s.mass[0]*float64(s.need[0])+s.mass[1]*float64(s.need[1]), &v)
	return v.margin(MassBattery) < -slack || v.margin(MassGross) < -slack
}

// axleLaw gives the margins of both axles over the moment of the pack, kg·m.
type axleLaw struct {
	front, rear           float64 // kg at no moment, load case included
	frontLimit, rearLimit float64 // kg, 0: none
	base                  float64 // m
	even                  float64 // kg·m, where both margins are equal
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

// over returns the best smaller margin over moments from lo to hi, and how many
// axles are broken at every one of them.
func (a *axleLaw) over(lo, hi float64) (margin float64, broken int) {
	front, _ := a.margins(hi)
	_, rear := a.margins(lo)
	if front < -slack {
		broken++
	}
	if rear < -slack {
		broken++
	}
	f, r := a.margins(min(max(a.even, lo), hi))
	return min(f, r), broken
}

// try searches one set of bays.
func (s *sharing) try(set uint) {
	f := s.frame
	mass := s.mass[0]*float64(s.need[0]) + s.mass[1]*float64(s.need[1]) + f.sets[set].boxes
	var v Values
	f.wholeMass(mass, &v)
	s.fixed, s.roof = 0, notAsked
	for _, r := range [...]Rule{MassBattery, MassGross} {
		x := v.margin(r)
		s.roof = min(s.roof, x)
		if x < -slack {
			s.fixed++
		}
	}
	s.axles = f.axleLaw(mass)
	s.set = set
	s.bounds()
	s.branch(set, s.need, f.sets[set].moment, notAsked)
}

// wholeMass fills the rules of the pack's mass alone.
func (f *Frame) wholeMass(mass float64, out *Values) {
	out.set(MassBattery, mass, float64(f.Brief.Targets.MassMax))
	_, loaded := f.balance.Mass(unit.Mass(mass))
	out.set(MassGross, float64(loaded), float64(f.Brief.Donor.Ratings.GrossMass))
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

// branch shares what is left among the bays of the set.
func (s *sharing) branch(set uint, left [2]int, moment, bay float64) {
	margin, broken := s.outlook(set, left, moment, bay)
	if s.found && (s.first || broken > s.broken || broken == s.broken && (s.strict || margin <= s.margin+marginStep)) {
		return
	}
	if set == 0 {
		s.keep(broken, margin)
		return
	}
	b := bits.TrailingZeros(set)
	rest := set & (set - 1)
	room, reach := s.rooms.room[b], s.rooms.reach[rest]
	low, high := max(0, left[0]-len(reach)+1), min(left[0], len(room.Placed)-1)
	bays := bits.OnesCount(set)
	// From an even share outwards, so that a good loading is found early.
	start := min(max(left[0]/bays, low), high)
	for d := 0; start-d >= low || start+d <= high; d++ {
		if i := start - d; i >= low {
			s.second(b, rest, left, i, moment, bay)
		}
		if i := start + d; d > 0 && i <= high {
			s.second(b, rest, left, i, moment, bay)
		}
	}
	s.count[b] = [2]int{}
}

// second gives bay b i modules of the first length and tries all numbers of the
// second.
func (s *sharing) second(b int, rest uint, left [2]int, i int, moment, bay float64) {
	low, high := max(0, left[1]-s.rooms.reach[rest][left[0]-i]), min(left[1], s.rooms.room[b].Placed[i])
	start := min(max(left[1]/(bits.OnesCount(rest)+1), low), high)
	for d := 0; start-d >= low || start+d <= high; d++ {
		if j := start - d; j >= low && i+j > 0 {
			s.put(b, rest, left, [2]int{i, j}, moment, bay)
		}
		if j := start + d; d > 0 && j <= high && i+j > 0 {
			s.put(b, rest, left, [2]int{i, j}, moment, bay)
		}
	}
}

// outlook returns the best worst margin that the set can still give, and the
// fewest rules it must break.
func (s *sharing) outlook(set uint, left [2]int, moment, bay float64) (margin float64, broken int) {
	lo, hi := moment, moment
	if set != 0 {
		mass := s.mass[0]*float64(left[0]) + s.mass[1]*float64(left[1])
		fromFront, fits := s.extreme(set, mass, s.rooms.forward)
		fromRear, _ := s.extreme(set, mass, s.rooms.backward)
		if !fits {
			return -notAsked, int(RuleCount)
		}
		lo, hi = moment+fromFront, moment+fromRear
		// However it is shared, one of the bays is filled at least as far as all
		// together.
		if t := &s.frame.sets[set]; t.limited {
			bay = min(bay, (t.limit-t.boxes-mass)/t.limit)
		}
	}
	margin, broken = s.axles.over(lo, hi)
	broken += s.fixed
	if bay < -slack {
		broken++
	}
	return min(margin, bay, s.roof), broken
}

// bounds sets the most that each bay of the set can hold: by space, and by its
// mass limit where passing that, or coming nearer to it than the best loading
// does, would not be better.
func (s *sharing) bounds() {
	for rest := s.set; rest != 0; rest &= rest - 1 {
		b := bits.TrailingZeros(rest)
		most := 0.0
		for i, j := range s.rooms.room[b].Placed {
			most = max(most, s.mass[0]*float64(i)+s.mass[1]*float64(j))
		}
		f := &s.frame.bays[b]
		switch limit := f.limit - f.boxMass; {
		case f.limit == 0 || !s.found:
		case s.broken == s.fixed && !s.strict:
			most = min(most, limit-f.limit*max(0, s.margin+marginStep))
		case s.strict && s.broken <= s.fixed+1:
			most = min(most, limit+f.limit*slack)
		}
		s.most[b] = most
	}
}

// extreme returns the moment of a mass that fills the bays of the set in the
// given order, each at its outermost module, and whether they hold it: the
// smallest or the greatest moment there can be.
func (s *sharing) extreme(set uint, mass float64, order []reachOf) (moment float64, fits bool) {
	for _, r := range order {
		if set>>r.bay&1 == 0 {
			continue
		}
		m := min(mass, s.most[r.bay])
		moment += m * r.x
		if mass -= m; mass <= 0 {
			return moment, true
		}
	}
	return moment, mass <= 1e-6
}

// put gives bay b n modules and goes on with the rest of the set.
func (s *sharing) put(b int, rest uint, left, n [2]int, moment, bay float64) {
	f := &s.frame.bays[b]
	if f.limit > 0 {
		bay = min(bay, (f.limit-s.spread*s.rooms.mass[b][n[0]][n[1]]-f.boxMass)/f.limit)
	}
	s.count[b] = n
	moment += s.spread * s.rooms.pull[b][n[0]][n[1]]
	s.branch(rest, [2]int{left[0] - n[0], left[1] - n[1]}, moment, bay)
}

func (s *sharing) keep(broken int, margin float64) {
	s.best = Loading{Count: append(s.best.Count[:0], s.count...), Known: true}
	for b, n := range s.count {
		s.best.Sum = s.best.Sum.plus(s.rooms.room[b].Sum[n[0]][n[1]])
	}
	s.found, s.broken, s.margin = true, broken, margin
	s.bounds()
}

func (a Sums) plus(b Sums) Sums {
	for i := range a {
		a[i] = plus(a[i], b[i])
	}
	return a
}

func plus(a, b vehicle.Point) vehicle.Point {
	return vehicle.Point{X: a.X + b.X, Y: a.Y + b.Y, Z: a.Z + b.Z}
}

func times(a vehicle.Point, k float64) vehicle.Point {
	return vehicle.Point{X: a.X * unit.Length(k), Y: a.Y * unit.Length(k), Z: a.Z * unit.Length(k)}
}
