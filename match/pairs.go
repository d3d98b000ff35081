package match

import (
	"cmp"
	"math"
	"slices"
)

// pairs solves a lot of one or two in parallel exactly, and returns nil for more.
func (l *lot) pairs() *solution {
	if l.parallel > 2 {
		return nil
	}
	s := l.empty()
	var waiting []int // groups with one fixed item, the weakest first
	var open []int    // groups without
	for g := range s.sum {
		switch n := len(s.of(g)); {
		case g >= len(l.fixed):
			open = append(open, g)
		case n == 1:
			waiting = append(waiting, g)
		}
	}
	slices.SortFunc(waiting, func(a, b int) int { return cmp.Compare(s.sum[a], s.sum[b]) })
	s.exact = true
	if l.parallel == 1 || len(waiting) == 0 {
		s.fold(open, make([]bool, len(l.item)))
		return s
	}
	bisect(s, waiting, open)
	return s
}

// bisect finds the largest least sum. Every step that succeeds raises the lower
// end to a value that was reached, every other lowers the upper end.
func bisect(s *solution, waiting, open []int) {
	low, ok := s.within(0, waiting, open)
	if !ok {
		panic("match: split gave a lot more groups than it has items for")
	}
	best := s.clone()
	high := 2 * slices.Max(s.sum)
	for range 200 {
		mid := low + (high-low)/2
		if high-low <= provenWithin*high || mid <= low || mid >= high {
			break
		}
		if reached, ok := s.within(mid, waiting, open); ok {
			best.take(s)
			low = reached
			continue
		}
		high = mid
	}
	s.take(best)
}

// within arranges pairs of at least this capacity and returns the least of them,
// and whether it could. Each fixed item, the neediest first, takes the weakest
// partner that is strong enough, which leaves the strongest items to the others.
// Groups that are full with fixed items do not count.
func (s *solution) within(wanted float64, waiting, open []int) (float64, bool) {
	c := s.lot.cap // falling
	taken := make([]bool, len(c))
	least := math.Inf(1)
	for _, g := range waiting {
		own := s.lot.fixed[g].sum
		at := len(c) - 1
		for at >= 0 && (taken[at] || own+c[at] < wanted) {
			at--
		}
		if at < 0 {
			return 0, false
		}
		taken[at] = true
		s.seat[s.start[g]] = at
		s.sum[g] = own + c[at]
		least = min(least, s.sum[g])
	}
	if !s.fold(open, taken) {
		return 0, false
	}
	for _, g := range open {
		least = min(least, s.sum[g])
	}
	return least, least >= wanted
}

// fold joins the strongest items that are not taken: the strongest with the
// weakest of them and so on. It tells whether there were enough.
func (s *solution) fold(open []int, taken []bool) bool {
	p := s.lot.parallel
	free := make([]int, 0, p*len(open))
	for i := range s.lot.cap {
		if !taken[i] && len(free) < cap(free) {
			free = append(free, i)
		}
	}
	if len(free) < cap(free) {
		return false
	}
	for n, g := range open {
		s.seat[s.start[g]] = free[n]
		s.sum[g] = s.lot.cap[free[n]]
		if p == 2 {
			other := free[len(free)-1-n]
			s.seat[s.start[g]+1] = other
			s.sum[g] += s.lot.cap[other]
		}
	}
	return true
}
