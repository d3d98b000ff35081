package bay

import (
	"math"
	"slices"
	"time"
)

// boundRegion is the region in which bounds hold for every way in.
func (s *Solver) boundRegion() *region {
	if s.space.differ {
		return &s.space.whole
	}
	return &s.space.straight
}

// prepare lists the shapes of the kinds and raises them with the region; nil
// counts mean any number of each.
func (s *Solver) prepare(r *region, kinds []Kind, counts []int) {
	s.shapes = shapesOf(&s.bay, kinds, r.size, s.shapes)
	if counts != nil {
		s.shapes = slices.DeleteFunc(s.shapes, func(sh shape) bool { return counts[sh.kind] == 0 })
	}
	if r == &s.space.whole {
		s.shapes = slices.DeleteFunc(s.shapes, func(sh shape) bool { return !s.space.enters(sh.size) })
	}
	s.shapes = s.work.set(r, s.shapes, counts)
}

// placeIn places the counts in one region: bounds first, then quick ways, then,
// with edges raised for just these counts, sharper bounds and the exact search.
func (s *Solver) placeIn(r *region, kinds []Kind, counts []int, nodes int, until time.Time) Answer {
	s.prepare(r, kinds, nil)
	if !hasShapes(s.shapes, counts) {
		return Answer{Verdict: NotFit, Reason: reasonSize}
	}
	if reason := s.ruledOut(counts); reason != "" {
		return Answer{Verdict: NotFit, Reason: reason}
	}
	if spots, ok := s.quick(counts, nodes > 0); ok {
		if a := s.answer(r, spots, 0); a.Verdict == Fits || nodes < 0 {
			return a
		}
	}
	s.prepare(r, kinds, counts)
	if reason := s.ruledOut(counts); reason != "" {
		return Answer{Verdict: NotFit, Reason: reason}
	}
	if s.bars.begin(&s.work.region, s.work.shapes, len(kinds)) && s.askBars(counts) {
		return Answer{Verdict: NotFit, Reason: reasonBars}
	}
	if nodes < 0 {
		return Answer{Verdict: NotProven, Reason: reasonBudget}
	}
	if a := s.inSections(r, counts, nodes, until); a.Verdict != NotProven {
		return a
	}
	s.exact.accept = nil
	if r == &s.space.whole {
		s.exact.accept = func(spots []spot) bool {
			trial := slices.Clone(spots)
			s.work.lower(trial)
			return s.space.order(r, s.shapes, trial)
		}
	}
	e := s.exact.search(&s.work.region, s.work.shapes, counts, nodes, until)
	switch e.verdict {
	case Fits:
		return s.answer(r, e.spots, e.nodes)
	case NotFit:
		return Answer{Verdict: NotFit, Reason: reasonSearch, Nodes: e.nodes}
	}
	reason := reasonBudget
	if e.refused {
		reason = reasonNoWay
	}
	return Answer{Verdict: NotProven, Reason: reason, Nodes: e.nodes}
}

// ruledOut collects the bounds of what is prepared and returns the reason why
// the counts break one of them, or nothing.
func (s *Solver) ruledOut(counts []int) string {
	s.bounds.collect(&s.work.region, s.work.shapes, len(counts))
	for i := range s.bounds.list {
		for k := range counts {
			if s.bounds.list[i].most(counts, k) < counts[k] {
				if i == 0 {
					return reasonVolume
				}
				return reasonEdges
			}
		}
	}
	return ""
}

// inSections asks the sections: by layers if all shapes share an edge, else for
// bounds only.
func (s *Solver) inSections(r *region, counts []int, nodes int, until time.Time) Answer {
	main, kinds := mainKind(counts)
	c := &s.section
	if kinds <= othersMax+1 && tableSize(counts, main) <= frontierMax && c.layered(&s.work.region, s.work.shapes, counts, main, nodes/10, until) {
		want := len(c.up) - 1
		switch {
		case want < 0 || int(c.up[want]) < counts[main]:
			return Answer{Verdict: NotFit, Reason: reasonSection}
		case c.pillars && int(c.low[want]) >= counts[main]:
			if spots, ok := c.place(want, int16(counts[main]), s.work.region.size[c.axis], s.spots[:0]); ok {
				s.spots = spots
				return s.answer(r, keepCounts(s.shapes, spots, counts), 0)
			}
		}
		return Answer{Verdict: NotProven}
	}
	s.boundBySections(len(counts), nodes/100, until)
	if s.askBars(counts) {
		return Answer{Verdict: NotFit, Reason: reasonSection}
	}
	for k := range counts {
		if s.byList(counts, k) < counts[k] {
			return Answer{Verdict: NotFit, Reason: reasonSection}
		}
	}
	return Answer{Verdict: NotProven}
}

// boundBySections adds what the sections across each axis say to the bounds,
// with kinds weighed by their volume.
func (s *Solver) boundBySections(kinds, nodes int, until time.Time) {
	worth := make([]float64, kinds)
	for _, sh := range s.work.shapes {
		worth[sh.kind] = sh.volume / s.work.region.free
	}
	if kinds == 1 {
		worth[0] = 1
	}
	for a := range 3 {
		s.section.bound(&s.bounds, &s.bars, &s.work.region, s.work.shapes, worth, a, nodes, until)
	}
}

// mainKind returns the kind wanted most often and how many are wanted at all.
func mainKind(counts []int) (main, kinds int) {
	for k, n := range counts {
		if n > counts[main] {
			main = k
		}
		if n > 0 {
			kinds++
		}
	}
	return main, kinds
}

// tableSize is how many entries a table for the counts has.
func tableSize(counts []int, main int) int {
	size := 1
	for k, n := range counts {
		if k != main {
			size *= n + 1
		}
		if size > frontierMax {
			break
		}
	}
	return size
}

// askBars adds the inequality that the bars give for the counts and reports
// whether it rules them out.
func (s *Solver) askBars(counts []int) bool {
	takes, limit := s.bars.ask(counts)
	had := len(s.bounds.list)
	s.bounds.add(s.work.shapes, len(counts), takes, limit)
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
	s.work.lower(spots)
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

// greedyMax is the largest number of modules for which the greedy fills, whose
// work grows with its cube, are tried.
const greedyMax = 120

// quick tries layers and then the greedy fills; it reports whether one placed
// all counts.
func (s *Solver) quick(counts []int, deep bool) ([]spot, bool) {
	if spots, ok := s.inLayers(counts, false); ok {
		return spots, true
	}
	if deep {
		if spots, ok := s.inLayers(counts, true); ok {
			return spots, true
		}
	}
	total := 0
	for _, n := range counts {
		total += n
	}
	if total > greedyMax {
		return nil, false
	}
	r, shapes := &s.work.region, s.work.shapes
	s.order = s.order[:0]
	for i := range shapes {
		s.order = append(s.order, i)
	}
	for _, byShape := range [2]bool{true, false} {
		for _, axes := range axisOrders {
			sortShapes(shapes, s.order, axes)
			if spots := s.corners.fill(r, shapes, s.order, counts, axes, byShape); len(spots) == total {
				return spots, true
			}
		}
	}
	return nil, false
}

// inLayers tries to place the counts in layers, with the kind that is wanted
// most often as the main one.
func (s *Solver) inLayers(counts []int, deep bool) ([]spot, bool) {
	main, kinds := mainKind(counts)
	if kinds > othersMax+1 || tableSize(counts, main) > frontierMax {
		return nil, false
	}
	r := &s.work.region
	t := s.split.fillRegion(r, s.work.shapes, counts, main, deep)
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

// atMost is the proven largest number of kind k beside the other counts, from
// the mass limit and the inequalities collected for the prepared region.
func (s *Solver) atMost(kinds []Kind, counts []int, k int) int {
	best := s.byMass(kinds, counts, k)
	if !hasKind(s.shapes, k) {
		return min(0, best)
	}
	return min(best, s.byList(counts, k))
}

// byList is the least bound of the inequalities collected so far.
func (s *Solver) byList(counts []int, k int) int {
	best := math.MaxInt32
	for i := range s.bounds.list {
		best = min(best, s.bounds.list[i].most(counts, k))
	}
	return best
}

// tighten lowers a bound from atMost with the help of the bars.
func (s *Solver) tighten(kinds []Kind, counts []int, k, bound int) int {
	for range 3 {
		counts[k] = bound
		if bound <= 0 || !s.bars.begin(&s.work.region, s.work.shapes, len(kinds)) || !s.askBars(counts) {
			break
		}
		bound = min(bound, s.atMost(kinds, counts, k))
	}
	return bound
}

// mostBySections bounds the number of the only kind by sections.
func (s *Solver) mostBySections(kinds []Kind, nodes int, until time.Time) int {
	s.prepare(s.boundRegion(), kinds, nil)
	c := &s.section
	if c.layered(&s.work.region, s.work.shapes, []int{0}, 0, nodes/10, until) && len(c.up) > 0 {
		return int(c.up[0])
	}
	s.bounds.collect(&s.work.region, s.work.shapes, 1)
	if !s.bars.begin(&s.work.region, s.work.shapes, 1) {
		return s.byList([]int{0}, 0)
	}
	s.boundBySections(1, nodes/100, until)
	s.askBars([]int{1})
	return s.byList([]int{0}, 0)
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
