package search

import (
	"context"
	"sync"

	"packyard/bay"
	"packyard/cell"
	"packyard/design"
	"packyard/unit"
	"packyard/vehicle"
)

// surveyNodes bounds the exact search of one question of a survey. Most are
// settled by bounds and greedy fills; what this leaves open is counted as not
// proven.
const surveyNodes = 100

// shelf is what one bay holds of the modules that can be built from one
// source: modules of one outside cross-section and of a range of lengths. All
// pairs of lengths are surveyed in rising order, because neighbours bound each
// other:
//
//   - what fits goes on fitting when a module is replaced by a shorter one;
//   - what is proven not to fit does not fit with longer ones.
type shelf struct {
	bay  *bay.Bay
	kind func(slices int) bay.Kind
	*surveyed
}

// surveyed is what a survey found. But for deep, which has a lock, it is read
// only from then on: searches may share it.
type surveyed struct {
	one    map[int]*lone
	pairs  map[[2]int]*design.Room
	places map[[2]int][][]bay.Placement

	mu   sync.Mutex
	deep map[[2]int]held // of the second look
}

func newSurveyed() *surveyed {
	return &surveyed{one: map[int]*lone{}, pairs: map[[2]int]*design.Room{}, places: map[[2]int][][]bay.Placement{}, deep: map[[2]int]held{}}
}

// deeper returns what the second look found of a pair. ok is false when it had none.
func (s *surveyed) deeper(pair [2]int) (h held, ok bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	h, ok = s.deep[pair]
	return h, ok
}

// held is what a bay holds of two lengths, with the places by number of the
// first length; of one length all places stand under number 0.
type held struct {
	room   *design.Room
	places [][]bay.Placement
}

// lone is the survey of modules of one length.
type lone struct {
	n, bound   int
	placements []bay.Placement
}

// newShelf makes an empty shelf. The mass limit of the bay is a rule of its own
// and is left out of what is asked of it.
func newShelf(b *bay.Bay, kind func(slices int) bay.Kind) *shelf {
	return &shelf{bay: b, kind: kind, surveyed: newSurveyed()}
}

// solver returns a solver of the bay, which was validated when the frame was made.
func (s *shelf) solver() *bay.Solver {
	free := *s.bay
	free.MassLimit = 0
	solver, _ := bay.NewSolver(&free)
	return solver
}

// survey fills the shelf for the given lengths, in slices, rising. It stops
// when ctx ends; the shelf is then of no use.
func (s *shelf) survey(ctx context.Context, lengths []int) {
	solver := s.solver()
	o := bay.Options{Nodes: surveyNodes}
	for _, n := range lengths {
		if ctx.Err() != nil {
			return
		}
		l := &lone{}
		var a bay.Answer
		l.n, l.bound, a = solver.Most(s.kind(n), o)
		l.placements = a.Placements
		s.one[n] = l
		s.pairs[[2]int{n, 0}] = s.single(l)
	}
	for i, long := range lengths {
		for k, short := range lengths[:i] {
			if ctx.Err() != nil {
				return
			}
			var near []*design.Room
			if k > 0 {
				near = append(near, s.pairs[[2]int{long, lengths[k-1]}])
			}
			if i > k+1 {
				near = append(near, s.pairs[[2]int{lengths[i-1], short}])
			}
			pair := [2]int{long, short}
			s.pairs[pair], s.places[pair] = s.pair(solver, long, short, near)
		}
	}
}

// single returns the room of a bay for modules of one length: any number up to
// the most, in the order in which they go in.
func (s *shelf) single(l *lone) *design.Room {
	r := &design.Room{Placed: make([]int, l.n+1), Bound: make([]int, l.bound+1)}
	for i := range l.n + 1 {
		r.Sum = append(r.Sum, centres(s.bay, l.placements[:i], 0))
	}
	return r
}

// pair surveys two lengths. near are rooms of the same or shorter modules: no
// more than they hold fits here.
func (s *shelf) pair(solver *bay.Solver, long, short int, near []*design.Room) (*design.Room, [][]bay.Placement) {
	kinds := []bay.Kind{s.kind(long), s.kind(short)}
	most, lone := s.one[long], s.one[short]
	front := solver.Frontier(kinds[0], kinds[1], bay.Options{Nodes: -1})
	r := &design.Room{Placed: make([]int, most.n+1), Bound: make([]int, most.bound+1), Sum: make([][]design.Sums, most.n+1)}
	places := make([][]bay.Placement, most.n+1)
	for i := most.bound; i >= 0; i-- {
		high, found := lone.bound, 0
		if i < len(front) {
			high, found = min(high, front[i].Bound), front[i].N2
		}
		for _, n := range near {
			if i < len(n.Bound) {
				high = min(high, n.Bound[i])
			} else {
				high = 0
			}
		}
		if i > most.n {
			r.Bound[i] = max(high, 0)
			continue
		}
		low, list := s.known(i, most, r, places, kinds)
		low, list = more(solver, i, kinds, low, min(found, high), list)
		r.Placed[i], r.Bound[i] = low, max(high, low)
		places[i], r.Sum[i] = list, centres(s.bay, list, low)
	}
	return r, places
}

// more places i and j modules when j is more than low, and returns what stands.
func more(solver *bay.Solver, i int, kinds []bay.Kind, low, j int, list []bay.Placement) (int, []bay.Placement) {
	if j <= low {
		return low, list
	}
	kinds[0].Count, kinds[1].Count = i, j
	a := solver.Place(kinds, bay.Options{Nodes: surveyNodes})
	if a.Verdict == bay.Fits {
		return j, a.Placements
	}
	return low, list
}

// known returns what is known to fit beside i long modules without asking the
// solver: short ones in the places of long ones, of the placing of i+1 or of
// long ones alone.
func (s *shelf) known(i int, most *lone, r *design.Room, places [][]bay.Placement, kinds []bay.Kind) (int, []bay.Placement) {
	if i < most.n && r.Placed[i+1]+1 >= most.n-i {
		return r.Placed[i+1] + 1, shortened(places[i+1], i, kinds[1].Size)
	}
	return most.n - i, shortened(most.placements, i, kinds[1].Size)
}

// shortened keeps the first n modules of the first kind and puts modules of
// the second kind, of the given size, in the places of the others.
func shortened(list []bay.Placement, n int, size cell.Size) []bay.Placement {
	out := make([]bay.Placement, len(list))
	for k, p := range list {
		if p.Kind == 0 {
			if n == 0 {
				p.Kind, p.Box.Size = 1, bay.PlacedSize(size, p.Orientation, p.Turned)
			} else {
				n--
			}
		}
		out[k] = p
	}
	return out
}

// centres returns, for j = 0 … n2, the added up centres of the first j modules
// of kind 1 and all modules of kind 0 of a placement.
func centres(b *bay.Bay, list []bay.Placement, n2 int) []design.Sums {
	out := make([]design.Sums, n2+1)
	var first vehicle.Point
	j := 0
	for _, p := range list {
		c := b.ToVehicle(middle(p.Box))
		if p.Kind == 0 {
			first = add(first, c)
			continue
		}
		if j < n2 {
			out[j+1][1] = add(out[j][1], c)
			j++
		}
	}
	for j := range out {
		out[j][0] = first
	}
	return out
}

func add(a, b vehicle.Point) vehicle.Point {
	return vehicle.Point{X: a.X + b.X, Y: a.Y + b.Y, Z: a.Z + b.Z}
}

func middle(b bay.Box) bay.Vec {
	half := func(a, s unit.Length) unit.Length { return a + s/2 }
	return bay.Vec{X: half(b.At.X, b.Size.X), Y: half(b.At.Y, b.Size.Y), Z: half(b.At.Z, b.Size.Z)}
}

// in returns n modules of each length in the places that the survey, or the
// second look, found for them: those of the second length beyond n are left out.
func (s *shelf) in(lengths, n [2]int, deep bool) []bay.Placement {
	if n[0]+n[1] == 0 {
		return nil
	}
	places := s.places[lengths]
	if deep {
		h, _ := s.deeper(lengths)
		places = h.places
	}
	if lengths[1] == 0 {
		if deep {
			return places[0][:n[0]]
		}
		return s.one[lengths[0]].placements[:n[0]]
	}
	var out []bay.Placement
	second := 0
	for _, p := range places[n[0]] {
		if p.Kind == 1 {
			if second == n[1] {
				continue
			}
			second++
		}
		out = append(out, p)
	}
	return out
}
