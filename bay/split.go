package bay

import "slices"

// splitter parts a region with blocks into boxes without, by cuts through the
// faces of the blocks, and lets layers fill those. It tries every cut until it
// has looked at partsMax boxes, and after that the first at hand.
type splitter struct {
	layers
	r     *region
	boxes map[block][]int16
	whole map[vec][]int16
	deep  bool // also try one cut anywhere through a box without blocks
	sums  []int64
}

const partsMax = 200

// fillRegion returns the table of the whole region. deep takes longer and finds
// more.
func (s *splitter) fillRegion(r *region, shapes []shape, counts []int, main int, deep bool) []int16 {
	s.deep = deep
	s.begin(shapes, counts, main)
	s.r = r
	if s.boxes == nil {
		s.boxes, s.whole = map[block][]int16{}, map[vec][]int16{}
	}
	clear(s.boxes)
	clear(s.whole)
	return s.box(block{hi: r.size})
}

// box returns the table of a part of the region.
func (s *splitter) box(b block) []int16 {
	if t, ok := s.boxes[b]; ok {
		return t
	}
	t := s.table()
	t[0] = 0
	s.boxes[b] = t
	if s.clearBox(b) {
		raise(t, s.leaf(b))
		if s.deep {
			sum := s.table()
			s.anyCuts(b, func(near, far block) bool {
				p, q := s.leaf(near), s.leaf(far)
				s.join(sum, p, q)
				raise(t, sum)
				return true
			})
		}
		return t
	}
	sum := s.table()
	s.cuts(b, func(near, far block) bool {
		p, q := s.box(near), s.box(far)
		s.join(sum, p, q)
		raise(t, sum)
		return len(s.boxes) < partsMax
	})
	return t
}

// leaf returns the table of a part without blocks, by its size alone.
func (s *splitter) leaf(b block) []int16 {
	size := vec{b.hi[0] - b.lo[0], b.hi[1] - b.lo[1], b.hi[2] - b.lo[2]}
	if t, ok := s.whole[size]; ok {
		return t
	}
	t := s.table()
	t[0] = 0
	s.whole[size] = t
	for i := range s.shapes {
		if sh := &s.shapes[i]; sh.size[0] <= size[0] && sh.size[1] <= size[1] && sh.size[2] <= size[2] {
			s.fill(size, t)
			break
		}
	}
	return t
}

func (s *splitter) clearBox(b block) bool {
	size := vec{b.hi[0] - b.lo[0], b.hi[1] - b.lo[1], b.hi[2] - b.lo[2]}
	return s.r.clear(b.lo, size)
}

// cuts calls f with the two parts of every cut through a block's face until it
// says false.
func (s *splitter) cuts(b block, f func(near, far block) bool) {
	size := vec{b.hi[0] - b.lo[0], b.hi[1] - b.lo[1], b.hi[2] - b.lo[2]}
	for i := range s.r.blocks {
		if !s.r.blocks[i].meets(b.lo, size) {
			continue
		}
		for a := range 3 {
			for _, at := range [2]int64{s.r.blocks[i].lo[a], s.r.blocks[i].hi[a]} {
				if at <= b.lo[a] || at >= b.hi[a] {
					continue
				}
				near, far := b, b
				near.hi[a], far.lo[a] = at, at
				if !f(near, far) {
					return
				}
			}
		}
	}
}

// anyCuts calls f with the two parts of every cut across a box at a sum of edges
// that is not beyond its middle, until it says false. The other half mirrors it.
func (s *splitter) anyCuts(b block, f func(near, far block) bool) {
	const sumsMax = 48
	for a := range 3 {
		length := b.hi[a] - b.lo[a]
		s.sums = append(s.sums[:0], 0)
		for i := 0; i < len(s.sums); i++ {
			for k := range s.shapes {
				v := s.sums[i] + s.shapes[k].size[a]
				if v <= length/2 && len(s.sums) < sumsMax && !slices.Contains(s.sums, v) {
					s.sums = append(s.sums, v)
				}
			}
		}
		for _, v := range slices.Clone(s.sums[1:]) {
			near, far := b, b
			near.hi[a], far.lo[a] = b.lo[a]+v, b.lo[a]+v
			if !f(near, far) {
				return
			}
		}
	}
}

// place builds what a table of fillRegion promised: at least value of the main
// kind beside the others of entry want.
func (s *splitter) place(b block, want int, value int16, spots []spot) ([]spot, bool) {
	if want == 0 && value == 0 {
		return spots, true
	}
	size := vec{b.hi[0] - b.lo[0], b.hi[1] - b.lo[1], b.hi[2] - b.lo[2]}
	tables := func(b block) []int16 { return s.boxes[b] }
	cuts := s.cuts
	if s.clearBox(b) {
		var ok bool
		if spots, ok = s.build(b.lo, size, want, value, spots); ok || !s.deep {
			return spots, ok
		}
		tables, cuts = s.leaf, s.anyCuts
	}
	done := false
	d := s.dims[1]
	cuts(b, func(near, far block) bool {
		p, q := tables(near), tables(far)
		if p == nil || q == nil {
			return true
		}
		for j0 := range want/d + 1 {
			for j1 := range want%d + 1 {
				j := j0*d + j1
				if p[j] < 0 || q[want-j] < 0 || p[j]+q[want-j] < value {
					continue
				}
				share := min(p[j], value)
				if spots, done = s.place(near, j, share, spots); done {
					spots, done = s.place(far, want-j, value-share, spots)
				}
				return false
			}
		}
		return true
	})
	return spots, done
}
