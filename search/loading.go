package search

import (
	"math/bits"

	"packyard/design"
	"packyard/vehicle"
)

// room is what one bay holds of two kinds of module: for each number n of the
// first, the most of the second that was placed and the most that is not
// proven impossible. sum[n][m] are the centres of n and m modules added up.
type room struct {
	placed []int
	bound  []int
	sum    [][]sums
}

// sums are the centres of the modules of each length, added up, in the vehicle
// frame, m.
type sums [2]vehicle.Point

func (a sums) plus(b sums) sums {
	for i := range a {
		a[i].X += b[i].X
		a[i].Y += b[i].Y
		a[i].Z += b[i].Z
	}
	return a
}

// need is the number of modules of each length, all strings together.
type need [2]int

// splits calls yield with every way of sharing n modules among the bays of the
// set so that each of them holds at least one and no more than was placed,
// until yield says false; it reports whether it never did. The slice is reused.
func splits(rooms []*room, set uint, n need, yield func(split []need) bool) bool {
	w := &splitter{rooms: rooms, set: set, split: make([]need, len(rooms)), rest: make([]need, len(rooms)+1), yield: yield}
	for b := len(rooms) - 1; b >= 0; b-- {
		w.rest[b] = w.rest[b+1]
		if set>>b&1 == 0 {
			continue
		}
		w.rest[b][0] += len(rooms[b].placed) - 1
		w.rest[b][1] += rooms[b].placed[0]
	}
	return w.place(0, n)
}

// splitter is one walk over the splits; rest[b] is the most of each length that
// bays b… hold, to cut dead ends.
type splitter struct {
	rooms []*room
	set   uint
	split []need
	rest  []need
	yield func(split []need) bool
}

func (w *splitter) place(b int, left need) bool {
	if left[0] > w.rest[b][0] || left[1] > w.rest[b][1] {
		return true
	}
	if b == len(w.rooms) {
		return w.yield(w.split)
	}
	if w.set>>b&1 == 0 {
		w.split[b] = need{}
		return w.place(b+1, left)
	}
	r := w.rooms[b]
	for i := min(left[0], len(r.placed)-1); i >= 0; i-- {
		for j := min(left[1], r.placed[i]); j >= 0; j-- {
			if i+j == 0 {
				continue
			}
			w.split[b] = need{i, j}
			if !w.place(b+1, need{left[0] - i, left[1] - j}) {
				return false
			}
		}
	}
	return true
}

// possible reports whether n modules may fit by the bounds of the bays: false
// is a proof that they do not.
func possible(rooms []*room, n need) bool {
	// reach[i] is the most of the second length beside i of the first.
	reach := []int{0}
	for b := range rooms {
		bound := rooms[b].bound
		next := make([]int, min(n[0], len(reach)+len(bound)-2)+1)
		for k := range next {
			next[k] = -1
		}
		for i, m := range reach {
			if m < 0 {
				continue
			}
			for j, mm := range bound {
				if i+j < len(next) {
					next[i+j] = max(next[i+j], m+mm)
				}
			}
		}
		reach = next
	}
	return n[0] < len(reach) && reach[n[0]] >= n[1]
}

// best finds the best way of sharing the modules among the bays: fewest broken
// limits of mass, then fewest bays, then the best worst margin. Sets of bays
// are tried from the smallest on; once one breaks nothing no larger set can be
// better, and once the margin is that of the whole mass no other split can be.
func (p *placer) best(w *design.Wiring, m *design.Modules, rooms []*room, n need) (design.Loading, bool) {
	f := finding{l: design.Loading{Count: make([][2]int, len(rooms)), Known: true}}
	for bays := 1; bays <= len(rooms); bays++ {
		for set := uint(1); set < 1<<len(rooms); set++ {
			if bits.OnesCount(set) != bays {
				continue
			}
			splits(rooms, set, n, func(split []need) bool { return f.try(p.frame, w, m, rooms, split) })
		}
		if f.found && f.broken == 0 {
			break
		}
	}
	return f.best, f.found
}

// finding is the best loading so far, and room for the one being tried.
type finding struct {
	l, best design.Loading
	found   bool
	broken  int
	margin  float64
}

// try scores one split and keeps it when it is better; it says false when no
// other split of the same bays can be better still.
func (f *finding) try(frame *design.Frame, w *design.Wiring, m *design.Modules, rooms []*room, split []need) bool {
	var sum sums
	for b, k := range split {
		f.l.Count[b] = k
		if k[0]+k[1] > 0 {
			sum = sum.plus(rooms[b].sum[k[0]][k[1]])
		}
	}
	f.l.Sum = sum
	broken, margin, ceiling := frame.MassScore(w, m, &f.l)
	// Smaller sets come first, so that of equally many broken limits the one
	// with fewer bays stays unless its margin is worse in the same number.
	if !f.found || broken < f.broken || broken == f.broken && margin > f.margin && bays(f.l.Count) == bays(f.best.Count) {
		count := f.best.Count
		f.best = f.l
		f.best.Count = append(count[:0], f.l.Count...)
		f.found, f.broken, f.margin = true, broken, margin
	}
	return broken > 0 || margin < ceiling
}

// bays returns the number of bays used.
func bays(count [][2]int) int {
	n := 0
	for _, k := range count {
		if k[0]+k[1] > 0 {
			n++
		}
	}
	return n
}
