package bay

import (
	"errors"
	"fmt"
	"math"
	"time"

	"packyard/cell"
	"packyard/unit"
)

const (
	nodesDefault = 1_000_000
	countMax     = 2_000 // modules of one kind
	frontierMax  = 500   // of the first kind of a frontier
	maxKinds     = 16    // kinds that one question may have
)

// Reasons of proofs and of giving up.
const (
	reasonMass    = "mass limit"
	reasonSize    = "no allowed orientation goes in through the opening"
	reasonVolume  = "volume"
	reasonEdges   = "edge lengths"
	reasonBars    = "bars"
	reasonSection = "sections"
	reasonSearch  = "search exhausted"
	reasonBudget  = "budget spent"
	reasonNoWay   = "no way in found for a placement that fits"
	reasonChecker = "checker disagrees"
)

// Solver answers questions about one bay and keeps its memory between them.
// It is not safe for use by several goroutines at once; make one for each.
type Solver struct {
	bay     Bay
	space   space
	shapes  []shape // true shapes
	work    raised  // what is searched
	bounds  bounds
	bars    relaxation
	corners corners
	split   splitter
	exact   exact
	section sections
	order   []int
	spots   []spot
}

// NewSolver returns a solver for the bay, which must not be changed while the
// solver is in use. The error is that of Validate.
func NewSolver(b *Bay) (*Solver, error) {
	if err := b.Validate(); err != nil {
		return nil, err
	}
	return &Solver{bay: *b, space: newSpace(b)}, nil
}

// Place decides whether all modules of the kinds, Count of each, go into the
// bay. If the bay's or a kind's Validate objects, the answer is NotProven with the
// objection as reason.
func Place(b *Bay, kinds []Kind, o Options) Answer {
	s, err := NewSolver(b)
	if err != nil {
		return Answer{Verdict: NotProven, Reason: err.Error()}
	}
	return s.Place(kinds, o)
}

// Most returns the largest number of modules of the kind that was placed, at
// most Count, or 2000 if Count is zero, the proven upper bound of that number, and
// the placement.
func Most(b *Bay, k Kind, o Options) (n int, bound int, a Answer) {
	s, err := NewSolver(b)
	if err != nil {
		return 0, countMax, Answer{Verdict: NotProven, Reason: err.Error()}
	}
	return s.Most(k, o)
}

// Frontier returns, for each number of the first kind that can be placed, the
// most of the second kind that was placed beside it and the proven bound.
// Counts of zero mean any number. The list ends at 500 of the first kind.
func Frontier(b *Bay, k1, k2 Kind, o Options) []Pair {
	s, err := NewSolver(b)
	if err != nil {
		return nil
	}
	return s.Frontier(k1, k2, o)
}

// limits turns options into a budget and a time to stop.
func (o Options) limits() (nodes int, until time.Time) {
	nodes = o.Nodes
	if nodes == 0 {
		nodes = nodesDefault
	}
	if o.Time > 0 {
		until = time.Now().Add(time.Duration(float64(o.Time) * float64(time.Second)))
	}
	return nodes, until
}

// ErrKind is what every objection to a kind of module wraps.
var ErrKind = errors.New("kind of module cannot be placed")

// Validate objects to a kind with an edge that is not between 0.1 mm and 100 m,
// a mass that is negative or not finite, a negative count or an orientation that
// is not known. The error wraps ErrKind.
func (k *Kind) Validate() error {
	for _, v := range [3]unit.Length{k.Size.X, k.Size.Y, k.Size.Z} {
		if !(v >= unit.Millimetre/10) || float64(v) > reach {
			return fmt.Errorf("%w: %q: an edge is %g m, accepted is 0.0001 to %d m", ErrKind, k.Name, float64(v), reach)
		}
	}
	if !(k.Mass >= 0) || math.IsInf(float64(k.Mass), 0) {
		return fmt.Errorf("%w: %q: its mass is %g kg, accepted is 0 or more", ErrKind, k.Name, float64(k.Mass))
	}
	if k.Count < 0 || k.Count > countMax {
		return fmt.Errorf("%w: %q: its count is %d, accepted is 0 to %d", ErrKind, k.Name, k.Count, countMax)
	}
	for _, o := range k.Orientations {
		if o != cell.ZUp && o != cell.YUp && o != cell.XUp {
			return fmt.Errorf("%w: %q: orientation %q is not known", ErrKind, k.Name, o)
		}
	}
	return nil
}

func validKinds(kinds []Kind) error {
	if len(kinds) > maxKinds {
		return fmt.Errorf("%w: %d kinds at once, accepted are %d", ErrKind, len(kinds), maxKinds)
	}
	for k := range kinds {
		if err := kinds[k].Validate(); err != nil {
			return err
		}
	}
	return nil
}

// Place is the method form of the function Place.
func (s *Solver) Place(kinds []Kind, o Options) Answer {
	if err := validKinds(kinds); err != nil {
		return Answer{Verdict: NotProven, Reason: err.Error()}
	}
	counts := make([]int, len(kinds))
	total, mass := 0, float64(s.bay.BoxMass)
	for k := range kinds {
		counts[k] = kinds[k].Count
		total += counts[k]
		mass += float64(counts[k]) * float64(kinds[k].Mass)
	}
	if total == 0 {
		return Answer{Verdict: Fits}
	}
	if limit := float64(s.bay.MassLimit); limit > 0 && mass > limit*(1+1e-12) {
		return Answer{Verdict: NotFit, Reason: reasonMass}
	}
	nodes, until := o.limits()
	a := s.placeIn(&s.space.straight, kinds, counts, nodes, until)
	if a.Verdict != Fits && s.space.differ {
		used := a.Nodes
		a = s.placeIn(&s.space.whole, kinds, counts, nodes, until)
		a.Nodes += used
	}
	return s.verified(kinds, a)
}

// verified lets nothing pass as fitting to which the checker objects.
func (s *Solver) verified(kinds []Kind, a Answer) Answer {
	if a.Verdict == Fits {
		if err := Verify(&s.bay, kinds, a.Placements); err != nil {
			return Answer{Verdict: NotProven, Reason: reasonChecker + ": " + err.Error(), Nodes: a.Nodes}
		}
	}
	return a
}

// Most is the method form of the function Most.
func (s *Solver) Most(k Kind, o Options) (n int, bound int, a Answer) {
	kinds := []Kind{k}
	if err := validKinds(kinds); err != nil {
		return 0, countMax, Answer{Verdict: NotProven, Reason: err.Error()}
	}
	nodes, until := o.limits()
	a = Answer{Verdict: Fits}
	s.prepare(s.boundRegion(), kinds, nil)
	s.bounds.collect(&s.work.region, s.work.shapes, 1)
	bound = s.atMost(kinds, []int{0}, 0)
	if k.Count > 0 {
		bound = min(bound, k.Count)
	}
	if bound <= 0 {
		return 0, 0, a
	}
	bound = s.tighten(kinds, []int{0}, 0, bound)
	if s.space.differ {
		s.prepare(&s.space.straight, kinds, nil)
	}
	t := s.split.fillRegion(&s.work.region, s.work.shapes, []int{0}, 0, false)
	if int(t[0]) < bound && nodes > 0 {
		t = s.split.fillRegion(&s.work.region, s.work.shapes, []int{0}, 0, true)
	}
	if t[0] > 0 {
		n = min(int(t[0]), bound, countMax)
		kinds[0].Count = n
		spots, _ := s.split.place(block{hi: s.work.region.size}, 0, int16(n), s.spots[:0])
		s.spots = spots
		a = s.verified(kinds, s.answer(&s.space.straight, keepCounts(s.work.shapes, spots, []int{n}), 0))
		if a.Verdict != Fits {
			return 0, bound, a
		}
	}
	if n < bound && nodes > 0 {
		bound = max(n, min(bound, s.mostBySections(kinds, nodes, until)))
	}
	for n < bound {
		kinds[0].Count = n + 1
		next := s.Place(kinds, o)
		if next.Verdict == NotFit {
			bound = n
		}
		if next.Verdict != Fits {
			a.Nodes += next.Nodes
			return n, bound, a
		}
		next.Nodes += a.Nodes
		a, n = next, n+1
	}
	return n, bound, a
}

// Frontier is the method form of the function Frontier.
func (s *Solver) Frontier(k1, k2 Kind, o Options) []Pair {
	kinds := []Kind{k1, k2}
	if validKinds(kinds) != nil {
		return nil
	}
	s.prepare(s.boundRegion(), kinds, nil)
	s.bounds.collect(&s.work.region, s.work.shapes, 2)
	n1 := s.atMost(kinds, []int{0, 0}, 0)
	if k1.Count > 0 {
		n1 = min(n1, k1.Count)
	}
	if n1 < 0 {
		return nil
	}
	n1 = min(n1, frontierMax)
	if s.space.differ {
		s.prepare(&s.space.straight, kinds, nil)
	}
	table := s.split.fillRegion(&s.work.region, s.work.shapes, []int{n1, 0}, 1, o.Nodes > 0)
	if s.space.differ {
		s.prepare(&s.space.whole, kinds, nil)
	}
	out := make([]Pair, 0, n1+1)
	for i, v := range table {
		counts := []int{i, 0}
		bound := s.atMost(kinds, counts, 1)
		if k2.Count > 0 {
			bound = min(bound, k2.Count)
		}
		if v < 0 || bound < 0 {
			break
		}
		if n := len(out); n > 0 {
			bound = min(bound, out[n-1].Bound)
		}
		if bound > int(v) {
			bound = max(int(v), s.tighten(kinds, counts, 1, bound))
		}
		out = append(out, Pair{N1: i, N2: min(int(v), bound), Bound: bound})
	}
	if o.Nodes > 0 {
		out = s.closePairs(kinds, out, n1, o)
	}
	return out
}

// closePairs searches for one more of the second kind where a pair is open, and
// for one more of the first.
func (s *Solver) closePairs(kinds []Kind, out []Pair, n1 int, o Options) []Pair {
	for i := 0; i <= n1; i++ {
		if i == len(out) {
			out = append(out, Pair{N1: i, N2: -1, Bound: out[i-1].Bound})
		}
		p := &out[i]
		if i > 0 {
			p.Bound = min(p.Bound, out[i-1].Bound)
		}
		for p.N2 < p.Bound {
			kinds[0].Count, kinds[1].Count = i, p.N2+1
			v := s.Place(kinds, o).Verdict
			if v == NotFit {
				p.Bound = p.N2
			}
			if v != Fits {
				break
			}
			p.N2++
		}
		if p.N2 < 0 {
			return out[:i]
		}
	}
	return out
}
