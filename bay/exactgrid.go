package bay

import (
	"slices"
)

const (
	placesMax = 400     // on one axis
	pointsMax = 400_000 // of the grid
)

// layGrid collects the places of each axis and chooses which is kept in words.
// It reports false if there are too many places.
func (e *exact) layGrid() bool {
	var axes [3]gridAxis
	points := 1
	for a := range 3 {
		var ok bool
		if axes[a], ok = e.placesOn(a); !ok {
			return false
		}
		if points *= len(axes[a].at); points > pointsMax {
			return false
		}
	}
	// The longest axis is decided last, so that the frontier of the search is
	// small; the one in the middle goes into the words if it has room there.
	slices.SortStableFunc(axes[:], func(p, q gridAxis) int { return len(p.at) - len(q.at) })
	switch {
	case len(axes[1].at) <= gridWords:
		axes[0], axes[1] = axes[1], axes[0]
	case len(axes[0].at) > gridWords:
		return false
	}
	e.axes = axes
	return true
}

// placesOn returns the normal places on a bay axis: sums of edges from the wall
// and from the far sides of blocks. Faces of solid blocks are points too, so
// that every cell is wholly open or wholly blocked.
func (e *exact) placesOn(a int) (places gridAxis, ok bool) {
	end := e.r.size[a]
	least := end
	for _, s := range e.shapes {
		if e.left[s.kind] > 0 {
			least = min(least, s.size[a])
		}
	}
	last := end - least
	set := []int64{0}
	for _, b := range e.r.blocks {
		if b.hi[a] > 0 && b.hi[a] <= last {
			set = append(set, b.hi[a])
		}
	}
	slices.Sort(set)
	set = slices.Compact(set)
	for k, n := range e.left {
		for range n {
			from := len(set)
			for _, s := range e.shapes {
				if s.kind != k {
					continue
				}
				for _, v := range set[:from] {
					if v+s.size[a] <= last {
						set = append(set, v+s.size[a])
					}
				}
			}
			slices.Sort(set)
			set = slices.Compact(set)
			if len(set) == from {
				break
			}
			if len(set) > placesMax {
				return gridAxis{}, false
			}
		}
	}
	normal := set
	for _, b := range e.r.blocks {
		if b.solid() {
			for _, v := range [2]int64{b.lo[a], b.hi[a]} {
				if v > 0 && v < end {
					set = append(set, v)
				}
			}
		}
	}
	out := gridAxis{axis: a, at: slices.Clone(set)}
	slices.Sort(out.at)
	out.at = slices.Compact(out.at)
	out.anchor = make([]bool, len(out.at))
	for i, v := range out.at {
		_, out.anchor[i] = slices.BinarySearch(normal, v)
	}
	return out, true
}

// weigh fills the spans, marks blocked points and compares the open cells with
// what the pieces need at least. It reports false if they cannot suffice.
func (e *exact) weigh() bool {
	e.spans = e.spans[:0]
	for i := range e.shapes {
		var sp [3][]spanOf
		for d := range 3 {
			sp[d] = e.spansOn(d, e.shapes[i].size[e.axes[d].axis])
		}
		e.spans = append(e.spans, sp)
	}
	e.needs = append(e.needs[:0], make([]float64, len(e.left))...)
	for i, s := range e.shapes {
		v := 1.0
		for d := range 3 {
			least := 0.0
			for _, sp := range e.spans[i][d] {
				if sp.end > 0 && (least == 0 || sp.long < least) {
					least = sp.long
				}
			}
			v *= least
		}
		if v > 0 && (e.needs[s.kind] == 0 || v < e.needs[s.kind]) {
			e.needs[s.kind] = v
		}
	}
	e.order = e.order[:0]
	for i := range e.shapes {
		e.order = append(e.order, i)
	}
	slices.SortStableFunc(e.order, func(p, q int) int {
		return int(sign(e.shapes[q].volume - e.shapes[p].volume))
	})
	open := e.block()
	e.allow()
	e.need = 0
	for k, n := range e.left {
		e.need += float64(n) * e.needs[k]
	}
	e.eps = 1e-9 * open
	e.spare = open - e.need
	return e.spare >= -e.eps
}

func sign(x float64) float64 {
	switch {
	case x < 0:
		return -1
	case x > 0:
		return 1
	}
	return 0
}

func (e *exact) spansOn(d int, length int64) []spanOf {
	ax := &e.axes[d]
	end := e.r.size[ax.axis]
	out := make([]spanOf, len(ax.at))
	for i, v := range ax.at {
		if !ax.anchor[i] || v+length > end {
			continue
		}
		j := i + 1
		for j < len(ax.at) && ax.at[j] < v+length {
			j++
		}
		far := end
		if j < len(ax.at) {
			far = ax.at[j]
		}
		out[i] = spanOf{end: j, long: float64(far - v)}
		if d == 0 {
			out[i].mask = (^uint64(0) >> (64 - uint(j-i))) << uint(i)
		}
	}
	return out
}

func (e *exact) cell(d, i int) float64 {
	ax := &e.axes[d]
	if i+1 < len(ax.at) {
		return float64(ax.at[i+1] - ax.at[i])
	}
	return float64(e.r.size[ax.axis] - ax.at[i])
}

// block marks the points inside blocks as occupied and returns the volume of
// the open cells.
func (e *exact) block() float64 {
	nx, ny, nz := len(e.axes[0].at), len(e.axes[1].at), len(e.axes[2].at)
	e.rows = append(e.rows[:0], make([]uint64, ny*nz)...)
	open := 0.0
	for z := range nz {
		for y := range ny {
			row := 0.0
			for x := range nx {
				if e.inBlock(x, y, z) {
					e.rows[z*ny+y] |= 1 << uint(x)
					continue
				}
				row += e.cell(0, x)
			}
			open += row * e.cell(1, y) * e.cell(2, z)
		}
	}
	e.hash = [2]uint64{}
	return open
}

// allow notes for every shape the points at which walls and blocks let it have
// its corner.
func (e *exact) allow() {
	ny := len(e.axes[1].at)
	e.allowed = slices.Grow(e.allowed[:0], len(e.shapes)*len(e.rows))[:len(e.shapes)*len(e.rows)]
	for i := range e.shapes {
		sp := &e.spans[i]
		for row := range e.rows {
			var mask uint64
			y, z := row%ny, row/ny
			if sp[1][y].end > 0 && sp[2][z].end > 0 {
				for x := range sp[0] {
					if sp[0][x].end > 0 && !e.meetsBlock(e.point(x, y, z), e.shapes[i].size) {
						mask |= 1 << uint(x)
					}
				}
			}
			e.allowed[i*len(e.rows)+row] = mask
		}
	}
	e.wide = e.wide[:0]
	for x := range e.axes[0].at {
		e.wide = append(e.wide, e.cell(0, x))
	}
}

func (e *exact) meetsBlock(p, s vec) bool {
	for i := range e.r.blocks {
		if e.r.blocks[i].meets(p, s) {
			return true
		}
	}
	return false
}

func (e *exact) point(x, y, z int) vec {
	var p vec
	p[e.axes[0].axis], p[e.axes[1].axis], p[e.axes[2].axis] = e.axes[0].at[x], e.axes[1].at[y], e.axes[2].at[z]
	return p
}

func (e *exact) inBlock(x, y, z int) bool {
	p := e.point(x, y, z)
	return slices.ContainsFunc(e.r.blocks, func(b block) bool {
		return p[0] >= b.lo[0] && p[0] < b.hi[0] && p[1] >= b.lo[1] && p[1] < b.hi[1] && p[2] >= b.lo[2] && p[2] < b.hi[2]
	})
}
