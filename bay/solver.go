package bay

import (
	"slices"
	"time"
)

const (
	nodesDefault = 200_000
	maxKinds     = 16 // kinds that one question may have
)

// Reasons of proofs and of giving up.
const (
	reasonMass    = "mass limit"
	reasonSize    = "no allowed orientation goes in"
	reasonVolume  = "volume"
	reasonEdges   = "edge lengths"
	reasonBars    = "bars"
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
	shapes  []shape
	bounds  bounds
	bars    bars
	corners corners
	split   splitter
	exact   exact
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
// bay. A bay or kind that Validate or the checker of kinds objects to answers
// NotProven with the objection as reason.
func Place(b *Bay, kinds []Kind, o Options) Answer {
	s, err := NewSolver(b)
	if err != nil {
		return Answer{Verdict: NotProven, Reason: err.Error()}
	}
	return s.Place(kinds, o)
}

// Most returns the largest number of modules of the kind that was placed, at
// most Count unless Count is zero, the proven upper bound of that number, and
// the placement.
func Most(b *Bay, k Kind, o Options) (n int, bound int, a Answer) {
	s, err := NewSolver(b)
	if err != nil {
		return 0, 0, Answer{Verdict: NotProven, Reason: err.Error()}
	}
	return s.Most(k, o)
}

// Frontier returns, for each number of the first kind that can be placed, the
// most of the second kind that was placed beside it and the proven bound.
// Counts of zero mean any number.
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

// Place is the method form of the function Place.
func (s *Solver) Place(kinds []Kind, o Options) Answer {
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
	if a.Verdict == Fits {
		if err := Verify(&s.bay, kinds, a.Placements); err != nil {
			return Answer{Verdict: NotProven, Reason: reasonChecker + ": " + err.Error(), Nodes: a.Nodes}
		}
	}
	return a
}

// placeIn places the counts in one region: bounds first, then quick ways, then
// the exact search.
func (s *Solver) placeIn(r *region, kinds []Kind, counts []int, nodes int, until time.Time) Answer {
	s.shapes = shapesOf(&s.bay, kinds, r.size, s.shapes)
	if !hasShapes(s.shapes, counts) {
		return Answer{Verdict: NotFit, Reason: reasonSize}
	}
	s.bounds.collect(r, s.shapes, len(kinds))
	for i := range s.bounds.list {
		for k := range counts {
			if s.bounds.list[i].most(counts, k) < counts[k] {
				reason := reasonEdges
				if i == 0 {
					reason = reasonVolume
				}
				return Answer{Verdict: NotFit, Reason: reason}
			}
		}
	}
	if spots, ok := s.quick(r, counts); ok {
		return s.answer(r, spots, 0)
	}
	if s.bars.begin(r, s.shapes, len(kinds)) && s.askBars(counts) {
		return Answer{Verdict: NotFit, Reason: reasonBars}
	}
	if nodes < 0 {
		return Answer{Verdict: NotProven, Reason: reasonBudget}
	}
	e := s.exact.search(r, s.shapes, counts, nodes, until)
	switch e.verdict {
	case Fits:
		return s.answer(r, e.spots, e.nodes)
	case NotFit:
		return Answer{Verdict: NotFit, Reason: reasonSearch, Nodes: e.nodes}
	}
	return Answer{Verdict: NotProven, Reason: reasonBudget, Nodes: e.nodes}
}

// askBars adds the inequality that the bars give for the counts and reports
// whether it rules them out.
func (s *Solver) askBars(counts []int) bool {
	takes, limit := s.bars.ask(counts)
	had := len(s.bounds.list)
	s.bounds.add(s.shapes, len(counts), takes, limit)
	for i := had; i < len(s.bounds.list); i++ {
		for k := range counts {
			if s.bounds.list[i].most(counts, k) < counts[k] {
				return true
			}
		}
	}
	return false
}

func hasShapes(shapes []shape, counts []int) bool {
	for k, n := range counts {
		if n > 0 && !hasKind(shapes, k) {
			return false
		}
	}
	return true
}

func hasKind(shapes []shape, k int) bool {
	return slices.ContainsFunc(shapes, func(sh shape) bool { return sh.kind == k })
}

// answer orders the spots and turns them into placements.
func (s *Solver) answer(r *region, spots []spot, nodes int) Answer {
	if !s.space.order(r, s.shapes, spots) {
		return Answer{Verdict: NotProven, Reason: reasonNoWay, Nodes: nodes}
	}
	room := micrometres(float64(s.bay.Connector))
	a := Answer{Verdict: Fits, Placements: make([]Placement, len(spots)), Nodes: nodes}
	for i, p := range spots {
		a.Placements[i] = s.space.placement(r, &s.shapes[p.shape], p.at, room)
	}
	return a
}

// quick tries layers and then the greedy fills; it reports whether one placed
// all counts.
func (s *Solver) quick(r *region, counts []int) ([]spot, bool) {
	if spots, ok := s.inLayers(r, counts); ok {
		return spots, true
	}
	total := 0
	for _, n := range counts {
		total += n
	}
	s.order = s.order[:0]
	for i := range s.shapes {
		s.order = append(s.order, i)
	}
	for _, byShape := range [2]bool{true, false} {
		for _, axes := range axisOrders {
			sortShapes(s.shapes, s.order, axes)
			if spots := s.corners.fill(r, s.shapes, s.order, counts, axes, byShape); len(spots) == total {
				return spots, true
			}
		}
	}
	return nil, false
}

// inLayers tries to place the counts in layers, with the kind that is wanted
// most often as the main one.
func (s *Solver) inLayers(r *region, counts []int) ([]spot, bool) {
	main, kinds := 0, 0
	for k, n := range counts {
		if n > counts[main] {
			main = k
		}
		if n > 0 {
			kinds++
		}
	}
	if kinds > othersMax+1 {
		return nil, false
	}
	t := s.split.fillRegion(r, s.shapes, counts, main)
	want := s.split.size - 1
	if t[want] < 0 || int(t[want]) < counts[main] {
		return nil, false
	}
	spots, ok := s.split.place(block{hi: r.size}, want, int16(counts[main]), s.spots[:0])
	s.spots = spots
	return keepCounts(s.shapes, spots, counts), ok
}

// keepCounts drops modules beyond the counts.
func keepCounts(shapes []shape, spots []spot, counts []int) []spot {
	var have [maxKinds]int
	kept := spots[:0]
	for _, p := range spots {
		if k := shapes[p.shape].kind; have[k] < counts[k] {
			have[k]++
			kept = append(kept, p)
		}
	}
	return kept
}

// sortShapes orders shapes by falling volume, then by their edge on the first axis.
func sortShapes(shapes []shape, order []int, axes [3]int) {
	less := func(p, q *shape) bool {
		if p.volume != q.volume {
			return p.volume > q.volume
		}
		for _, a := range axes {
			if p.size[a] != q.size[a] {
				return p.size[a] < q.size[a]
			}
		}
		return false
	}
	for i := 1; i < len(order); i++ {
		for j := i; j > 0 && less(&shapes[order[j]], &shapes[order[j-1]]); j-- {
			order[j], order[j-1] = order[j-1], order[j]
		}
	}
}

// Most is the method form of the function Most.
func (s *Solver) Most(k Kind, o Options) (n int, bound int, a Answer) {
	kinds := []Kind{k}
	bound = s.bound(kinds, []int{0}, 0)
	if k.Count > 0 {
		bound = min(bound, k.Count)
	}
	a = Answer{Verdict: Fits}
	if bound <= 0 {
		return 0, 0, a
	}
	bound = s.tighten(kinds, []int{0}, 0, bound)
	r := &s.space.straight
	s.shapes = shapesOf(&s.bay, kinds, r.size, s.shapes)
	if t := s.split.fillRegion(r, s.shapes, []int{0}, 0); t[0] > 0 {
		kinds[0].Count = min(int(t[0]), bound)
		if a = s.Place(kinds, o); a.Verdict != Fits {
			return 0, bound, a
		}
		n = kinds[0].Count
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

// bound returns the proven largest number of kind k beside the other counts.
func (s *Solver) bound(kinds []Kind, counts []int, k int) int {
	r := &s.space.straight
	if s.space.differ {
		r = &s.space.whole
	}
	s.shapes = shapesOf(&s.bay, kinds, r.size, s.shapes)
	s.bounds.collect(r, s.shapes, len(kinds))
	return s.atMost(kinds, counts, k)
}

// atMost is bound with the inequalities collected before.
func (s *Solver) atMost(kinds []Kind, counts []int, k int) int {
	best := s.byMass(kinds, counts, k)
	if !hasKind(s.shapes, k) {
		return min(0, best)
	}
	for i := range s.bounds.list {
		best = min(best, s.bounds.list[i].most(counts, k))
	}
	return best
}

// tighten lowers a bound from atMost with the help of the bars.
func (s *Solver) tighten(kinds []Kind, counts []int, k, bound int) int {
	r := &s.space.straight
	if s.space.differ {
		r = &s.space.whole
	}
	for range 3 {
		counts[k] = bound
		if bound <= 0 || !s.bars.begin(r, s.shapes, len(kinds)) || !s.askBars(counts) {
			break
		}
		bound = min(bound, s.atMost(kinds, counts, k))
	}
	return bound
}

// byMass returns how many of kind k the mass limit leaves beside the others.
func (s *Solver) byMass(kinds []Kind, counts []int, k int) int {
	const many = 1 << 20
	limit := float64(s.bay.MassLimit) - float64(s.bay.BoxMass)
	if s.bay.MassLimit <= 0 || kinds[k].Mass <= 0 {
		return many
	}
	for j, n := range counts {
		if j != k {
			limit -= float64(n) * float64(kinds[j].Mass)
		}
	}
	if limit < 0 {
		return -1
	}
	return int(min(many, limit/float64(kinds[k].Mass)*(1+1e-12)))
}

// Frontier is the method form of the function Frontier.
func (s *Solver) Frontier(k1, k2 Kind, o Options) []Pair {
	kinds := []Kind{k1, k2}
	n1 := s.bound(kinds, []int{0, 0}, 0)
	if k1.Count > 0 {
		n1 = min(n1, k1.Count)
	}
	r := &s.space.straight
	s.shapes = shapesOf(&s.bay, kinds, r.size, s.shapes)
	table := s.split.fillRegion(r, s.shapes, []int{n1, 0}, 1)
	out := make([]Pair, 0, n1+1)
	for i := range table {
		if table[i] < 0 {
			break
		}
		bound := s.atMost(kinds, []int{i, 0}, 1)
		if k2.Count > 0 {
			bound = min(bound, k2.Count)
		}
		if bound < 0 {
			break // the mass limit
		}
		if bound > int(table[i]) {
			bound = max(int(table[i]), s.tighten(kinds, []int{i, 0}, 1, bound))
		}
		out = append(out, Pair{N1: i, N2: min(int(table[i]), bound), Bound: bound})
	}
	return out
}
