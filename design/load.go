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
// worst margin: to within a hundredth where all limits hold, to within 1e-6 where
// one is broken. The flag is false when it is neither
// known nor disproven that all modules have a place; the loading then stands in
// for one, as when they do not: the bays hold what they can and the rest counts
// at the mean of the bays' centres.
func (f *Frame) Load(w *Wiring, m *Modules, rooms *Rooms) (Loading, bool) {
	if !holds(rooms.bound, m.Count) {
		return f.overfull(rooms, m.Count), true
	}
	if !holds(rooms.reach[len(rooms.reach)-1], m.Count) {
		return f.overfull(rooms, m.Count), false
	}
	s := f.newSharing(w, m, rooms)
	const rules = 5 // of mass: battery, gross, both axles, bays
	for broken := 0; broken <= rules && !s.found; broken++ {
		s.fewest(broken)
	}
	return s.best, s.found
}

// LoadBreaking returns the way of sharing the modules among at most bays bays
// that breaks no limit of mass but those of allowed, and these by the least:
// the largest of their violations is smallest, to within 1e-6 of the limit.
// The flag is false when there is none.
func (f *Frame) LoadBreaking(w *Wiring, m *Modules, rooms *Rooms, allowed Set, bays int) (Loading, bool) {
	if !holds(rooms.reach[len(rooms.reach)-1], m.Count) {
		return Loading{}, false
	}
	s := f.newSharing(w, m, rooms)
	s.allowed = allowed
	for n := 1; n <= min(bays, len(rooms.room)); n++ {
		s.sets(n, func() {
			if s.fixed&^allowed == 0 {
				s.improve(allowed, violationStep)
			}
		})
	}
	return s.best, s.found
}

func holds(most []int, n [2]int) bool { return n[0] < len(most) && most[n[0]] >= n[1] }

// overfull is the stand-in of Load: the bays hold as many modules as they can,
// of equal numbers as many of the first length as they can, in the order of the
// brief as many of the first length as leaves that possible, then of the second.
func (f *Frame) overfull(rooms *Rooms, need [2]int) Loading {
	l := Loading{Count: make([][2]int, len(rooms.room))}
	set := uint(1)<<len(rooms.room) - 1
	left := rooms.mostOf(set, need)
	l.Short = need[0] + need[1] - left[0] - left[1]
	away := [2]int{need[0] - left[0], need[1] - left[1]}
	var mean vehicle.Point
	for b, r := range rooms.room {
		set &^= 1 << b
		i := min(left[0], len(r.Placed)-1)
		for i > 0 && !holds(rooms.reach[set], [2]int{left[0] - i, left[1] - min(left[1], r.Placed[i])}) {
			i--
		}
		j := min(left[1], r.Placed[i])
		l.Count[b] = [2]int{i, j}
		l.Sum = l.Sum.plus(r.Sum[i][j])
		left[0] -= i
		left[1] -= j
		mean = plus(mean, f.bays[b].centre)
	}
	for i, k := range away {
		l.Sum[i] = plus(l.Sum[i], times(mean, float64(k)/float64(len(rooms.room))))
	}
	return l
}

// mostOf returns how many modules of each length a set of bays holds at most of
// those needed, of equal numbers with the most of the first length.
func (r *Rooms) mostOf(set uint, need [2]int) [2]int {
	var best [2]int
	for i, j := range r.reach[set] {
		if n := [2]int{i, min(j, need[1])}; i <= need[0] && n[0]+n[1] >= best[0]+best[1] {
			best = n
		}
	}
	return best
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

// BaysWithin returns the most bays that a candidate of the figures and the
// loading may use before it costs more than the limit; 0 when one is too much.
func (f *Frame) BaysWithin(g *Figures, l *Loading) int {
	most := len(f.bays)
	each, limit := f.Brief.Build.PricePerBay, f.Brief.Targets.PriceMax
	if limit == 0 {
		return most
	}
	base := g.Price
	for _, n := range l.Count {
		if n[0]+n[1] > 0 {
			base -= each
		}
	}
	for most > 0 && base+float64(most)*each > limit*(1+slack) {
		most--
	}
	return most
}
