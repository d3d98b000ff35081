package bay

// order sorts spots so that each passes the opening past those before it:
// straight, or, in the whole region, with one slide. It takes the modules out
// one by one; since a module taken out is never in the way of another, taking
// any that can leave is as good as any other choice, and when none can leave
// there is no order. It reports whether there is one.
func (s *space) order(r *region, shapes []shape, spots []spot) bool {
	n := len(spots)
	if r == &s.straight {
		// Nothing but another module can be in the way, and none is in the way of
		// one that lies nearer to the opening: deepest first.
		for i := 1; i < n; i++ {
			for j := i; j > 0 && s.deeper(shapes, spots[j], spots[j-1]); j-- {
				spots[j], spots[j-1] = spots[j-1], spots[j]
			}
		}
		return true
	}
	for left := n; left > 0; left-- {
		out := -1
		for i := left - 1; i >= 0 && out < 0; i-- {
			if s.leaves(shapes, spots[:left], i) {
				out = i
			}
		}
		if out < 0 {
			return false
		}
		spots[out], spots[left-1] = spots[left-1], spots[out]
	}
	return true
}

func (s *space) deeper(shapes []shape, p, q spot) bool {
	a := s.axis
	if s.far {
		return p.at[a] < q.at[a]
	}
	return p.at[a]+shapes[p.shape].size[a] > q.at[a]+shapes[q.shape].size[a]
}

// leaves reports whether spot i can be taken out past the others.
func (s *space) leaves(shapes []shape, spots []spot, i int) bool {
	at, size := spots[i].at, shapes[spots[i].shape].size
	if s.straightOut(shapes, spots, i, at) {
		return true
	}
	for a := range 3 {
		if a == s.axis {
			continue
		}
		try := func(to int64) bool {
			if to < 0 || to+size[a] > s.whole.size[a] {
				return false
			}
			hullAt, hullSize, entry := at, size, at
			entry[a] = to
			hullAt[a] = min(at[a], to)
			hullSize[a] = max(at[a], to) + size[a] - hullAt[a]
			return s.whole.clear(hullAt, hullSize) &&
				!meetsOther(shapes, spots, i, hullAt, hullSize) && s.straightOut(shapes, spots, i, entry)
		}
		for _, b := range s.straight.blocks {
			if try(b.hi[a]) || try(b.lo[a]-size[a]) {
				return true
			}
		}
		for j := range spots {
			q := &spots[j]
			if j != i && (try(q.at[a]+shapes[q.shape].size[a]) || try(q.at[a]-size[a])) {
				return true
			}
		}
	}
	return false
}

// straightOut reports whether the piece of spot i could leave straight from at.
func (s *space) straightOut(shapes []shape, spots []spot, i int, at vec) bool {
	size := shapes[spots[i].shape].size
	if !s.straight.clear(at, size) {
		return false
	}
	a := s.axis
	if s.far {
		size[a] = s.straight.size[a] - at[a]
	} else {
		size[a] += at[a]
		at[a] = 0
	}
	return !meetsOther(shapes, spots, i, at, size)
}

func meetsOther(shapes []shape, spots []spot, i int, at, size vec) bool {
	for j := range spots {
		q := &spots[j]
		b := block{q.at, q.at}
		for a := range 3 {
			b.hi[a] += shapes[q.shape].size[a]
		}
		if j != i && b.meets(at, size) {
			return true
		}
	}
	return false
}

// enters reports whether a piece of this size can come in at all: every way in
// begins straight, so that there must be a place which is reached straight. If
// there is one, there is one at the far side of a wall or block on every axis.
func (s *space) enters(size vec) bool {
	r := &s.straight
	var p vec
	for i := range len(r.blocks) + 1 {
		for j := range len(r.blocks) + 1 {
			for k := range len(r.blocks) + 1 {
				p = vec{}
				for a, n := range [3]int{i, j, k} {
					if n > 0 {
						p[a] = r.blocks[n-1].hi[a]
					}
				}
				if r.clear(p, size) {
					return true
				}
			}
		}
	}
	return false
}
