package bay

import (
	"slices"
	"time"
)

// flat solves placements of rectangles: sections of the bay across one axis, in
// which every piece is one unit thick. Its tables give, beside each number of
// the other kinds, the most of the main kind that was placed and the most that
// is not proven impossible.
type flat struct {
	split  splitter
	bounds bounds
	bars   relaxation
	exact  exact
	region region
	shapes []shape
	kinds  int
	lower  []int16
	upper  []int16
	plans  [][]spot // of entries of lower that the exact search raised
	counts []int
	nodes  int
}

// sharedEdge returns the axis on which all shapes have one edge, if there is one.
func sharedEdge(shapes []shape) (axis int, ok bool) {
	for _, a := range [3]int{2, 1, 0} {
		same := len(shapes) > 0
		for i := range shapes {
			same = same && shapes[i].size[a] == shapes[0].size[a]
		}
		if same {
			return a, true
		}
	}
	return 0, false
}

// at sets the section of r across axis a at height v; kindOf renames kinds.
func (f *flat) at(r *region, shapes []shape, a int, v int64, kindOf func(i int) int, kinds int) {
	f.region = region{size: r.size, blocks: f.region.blocks[:0]}
	f.region.size[a] = 1
	for _, b := range r.blocks {
		if b.lo[a] <= v && v < b.hi[a] {
			b.lo[a], b.hi[a] = 0, 1
			f.region.blocks = append(f.region.blocks, b)
		}
	}
	f.region.free = freeVolume(f.region.size, f.region.blocks)
	f.shapes = f.shapes[:0]
	for i, s := range shapes {
		s.kind = kindOf(i)
		s.volume /= float64(s.size[a])
		s.size[a] = 1
		f.shapes = append(f.shapes, s)
	}
	f.kinds = kinds
}

// close fills the tables, with about budget nodes of exact search in all. reach[k] is how far the tables go for kinds other than main.
func (f *flat) close(reach []int, main, budget int, until time.Time) {
	table := f.split.fillRegion(&f.region, f.shapes, reach, main, true)
	f.lower = append(f.lower[:0], table...)
	f.upper = append(f.upper[:0], table...)
	f.plans = slices.Grow(f.plans[:0], len(table))[:len(table)]
	clear(f.plans)
	f.nodes = 0
	f.bounds.collect(&f.region, f.shapes, f.kinds)
	hasBars := f.bars.begin(&f.region, f.shapes, f.kinds)
	f.counts = append(f.counts[:0], reach...)
	for i := range f.upper {
		f.upper[i] = f.least(i, main)
		if f.upper[i] > f.lower[i] && f.upper[i] > 0 && hasBars {
			takes, limit := f.bars.ask(f.entry(i, main, int(f.upper[i])))
			f.bounds.add(f.shapes, f.kinds, takes, limit)
			f.upper[i] = f.least(i, main)
		}
		f.search(i, main, budget-f.nodes, until)
	}
}

// entry returns the counts that entry i with this many of the main kind asks for.
func (f *flat) entry(i, main, value int) []int {
	clear(f.counts)
	d := f.split.dims[1]
	for j, k := range f.split.others {
		f.counts[k] = [2]int{i / d, i % d}[j]
	}
	f.counts[main] = value
	return f.counts
}

// least returns the upper bound of entry i from the inequalities and from the
// entries below it, but not less than what has been placed.
func (f *flat) least(i, main int) int16 {
	counts := f.entry(i, main, 0)
	best := 1 << 14
	if !hasKind(f.shapes, main) {
		best = 0
	}
	for k := range f.bounds.list {
		best = min(best, f.bounds.list[k].most(counts, main))
	}
	if best < 0 {
		best = impossible
	}
	d := f.split.dims[1]
	if i >= d {
		best = min(best, int(f.upper[i-d]))
	}
	if i%d > 0 {
		best = min(best, int(f.upper[i-1]))
	}
	return int16(max(best, int(f.lower[i])))
}

// search closes the gap of entry i from above as far as the budget allows.
func (f *flat) search(i, main, budget int, until time.Time) {
	for f.upper[i] > f.lower[i] && budget > 0 {
		value := max(0, int(f.upper[i]))
		e := f.exact.search(&f.region, f.shapes, f.entry(i, main, value), (budget+3)/4, until)
		f.nodes += e.nodes
		budget -= e.nodes + 1
		switch e.verdict {
		case Fits:
			f.learn(i, int16(value), e.spots)
		case NotFit:
			if f.upper[i]--; f.upper[i] < 0 {
				f.upper[i] = impossible
			}
		default:
			return
		}
	}
}

// learn raises entry i, and the entries that ask for less, to what was placed.
func (f *flat) learn(i int, value int16, spots []spot) {
	d := f.split.dims[1]
	for j := range f.lower {
		if j/d <= i/d && j%d <= i%d && f.lower[j] < value {
			f.lower[j] = value
			f.plans[j] = spots
		}
	}
}

// place returns spots of one section with the others of entry i and the main
// kind as in lower.
func (f *flat) place(i int, spots []spot) ([]spot, bool) {
	if f.plans[i] != nil {
		return append(spots, f.plans[i]...), true
	}
	if f.lower[i] < 0 {
		return spots, false
	}
	return f.split.place(block{hi: f.region.size}, i, f.lower[i], spots)
}

// patterns lists the entries of upper that no other entry holds.
func (f *flat) patterns(main int) []pattern {
	d := f.split.dims[1]
	var out []pattern
	for i, v := range f.upper {
		if v < 0 || (i%d)+1 < d && f.upper[i+1] >= v || i+d < len(f.upper) && f.upper[i+d] >= v {
			continue
		}
		var p pattern
		copy(p.count[:], f.entry(i, main, int(v)))
		out = append(out, p)
	}
	return out
}
