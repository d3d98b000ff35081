package bay

import (
	"math/bits"
	"slices"
	"time"
)

// The exact search looks at packings in which every piece has been pushed as
// far as it goes towards the container's corner, so that on each axis it stands
// at a sum of edge lengths counted from a wall or a block. The grid holds those
// places. A piece covers the grid points from its corner up to, but not
// including, its far side: two pieces overlap if and only if they cover a
// common point, since the greater of their two corners is one on each axis.
// Points are decided in order. At the first one that is open, either a piece
// stands with its corner there, or no piece covers it and its cell is lost.
// The search stops where the cells left cannot hold what is still to come.

const gridWords = 64 // points on the axis kept in one machine word

type gridAxis struct {
	at     []int64
	anchor []bool // pieces may have their corner here
	axis   int    // bay axis
}

type exact struct {
	r       *region
	shapes  []shape
	axes    [3]gridAxis // 0: bits of a word, 1: rows, 2: levels, slowest
	rows    []uint64    // occupied points, row by row
	hash    [2]uint64
	left    []int // pieces of each kind still to be placed
	total   int
	need    float64   // least cell volume that the pieces still to come cover
	needs   []float64 // of one piece of each kind
	spare   float64   // open cell volume minus need
	eps     float64
	spans   [][3][]spanOf // per shape and axis: points covered from each point
	wide    []float64     // cells on axis 0
	allowed []uint64      // per shape and row: points at which it may have its corner
	placed  []spot
	order   []int // shapes, in the order they are tried
	seen    seenSet
	nodes   int
	budget  int
	until   time.Time
	gaveUp  bool
	// accept, if not nil, may refuse a placement; the search then goes on, and
	// proves nothing any more if it ends without another.
	accept  func(spots []spot) bool
	refused bool
}

// spanOf says where a shape standing at a grid point ends, and how long the
// cells are that it covers. end is zero where it does not fit.
type spanOf struct {
	end  int
	long float64
	mask uint64 // axis 0 only
}

// exactResult is what the exact search found.
type exactResult struct {
	verdict Verdict
	spots   []spot
	nodes   int
	refused bool // a placement was found that accept did not like
}

// search looks for a placement of counts[k] pieces of each kind.
func (e *exact) search(r *region, shapes []shape, counts []int, budget int, until time.Time) exactResult {
	e.r, e.shapes, e.budget, e.until = r, shapes, budget, until
	e.nodes, e.gaveUp, e.refused, e.placed = 0, false, false, e.placed[:0]
	e.left = append(e.left[:0], counts...)
	e.total = 0
	for _, n := range counts {
		e.total += n
	}
	if !until.IsZero() && time.Now().After(until) || !e.layGrid() {
		return exactResult{verdict: NotProven}
	}
	if !e.weigh() {
		return exactResult{verdict: NotFit, nodes: e.nodes}
	}
	e.seen.reset()
	switch found := e.step(0); {
	case found:
		return exactResult{Fits, slices.Clone(e.placed), e.nodes, e.refused}
	case e.gaveUp || e.refused:
		return exactResult{NotProven, nil, e.nodes, e.refused}
	}
	return exactResult{NotFit, nil, e.nodes, false}
}

// layGrid collects the places of each axis and chooses which is kept in words.
// It reports false if no axis has few enough.
func (e *exact) layGrid() bool {
	var axes [3]gridAxis
	for a := range 3 {
		axes[a] = e.placesOn(a)
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
func (e *exact) placesOn(a int) gridAxis {
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
		_, out.anchor[i] = slices.BinarySearch(normal[:len(normal):len(normal)], v)
	}
	return out
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

// step decides the points from row on; it reports whether all pieces were
// placed. The rows it changed are as before when it returns false.
func (e *exact) step(row int) bool {
	if e.total == 0 {
		if e.accept == nil || e.accept(e.placed) {
			return true
		}
		e.refused = true
		return false
	}
	ny := len(e.axes[1].at)
	full := ^uint64(0) >> (64 - uint(len(e.axes[0].at)))
	spare := e.spare
	var store [8]lostRow
	lost := store[:0]
	live := true
	for ; row < len(e.rows) && live; row++ {
		y, z := row%ny, row/ny
		area := e.cell(1, y) * e.cell(2, z)
		any := e.anchors(row)
		lost = append(lost, lostRow{row, e.rows[row]})
		for live {
			open := ^e.rows[row] & full
			take := open & any
			idle := open
			if take != 0 {
				idle = open & (take&-take - 1)
			}
			if idle != 0 && !e.lose(row, idle, area) {
				live = false
				break
			}
			if take == 0 {
				break
			}
			x := bits.TrailingZeros64(take)
			found, dead := e.branch(x, y, z)
			if found {
				return true
			}
			live = !dead && e.lose(row, 1<<uint(x), area)
		}
		if e.rows[row] == lost[len(lost)-1].mask {
			lost = lost[:len(lost)-1]
		}
	}
	for i := len(lost) - 1; i >= 0; i-- {
		e.setRow(lost[i].row, lost[i].mask)
	}
	e.spare = spare
	return false
}

// lostRow is a row as it was before cells of it were given up.
type lostRow struct {
	row  int
	mask uint64
}

// lose gives up the open cells of a row; it reports whether the rest suffices.
func (e *exact) lose(row int, cells uint64, area float64) bool {
	e.setRow(row, e.rows[row]|cells)
	for ; cells != 0; cells &= cells - 1 {
		e.spare -= area * e.wide[bits.TrailingZeros64(cells)]
	}
	return e.spare >= -e.eps
}

// anchors returns the points of a row at which some shape still to come may have
// its corner, blocks and walls considered.
func (e *exact) anchors(row int) uint64 {
	var any uint64
	for i := range e.shapes {
		if e.left[e.shapes[i].kind] > 0 {
			any |= e.allowed[i*len(e.rows)+row]
		}
	}
	return any
}

// branch tries every shape with its corner at the open point. dead says that
// leaving the point open is not worth a try either: the state was met before,
// or the budget is spent.
func (e *exact) branch(x, y, z int) (found, dead bool) {
	if e.nodes++; e.nodes > e.budget || e.nodes%1024 == 0 && !e.until.IsZero() && time.Now().After(e.until) {
		e.gaveUp = true
		return false, true
	}
	looked := false
	for _, i := range e.order {
		sh := &e.shapes[i]
		if e.left[sh.kind] == 0 || !e.stands(i, x, y, z) {
			continue
		}
		if !looked {
			looked = true
			if e.seen.visit(e.key(), e.stillToCome()) {
				return false, true
			}
		}
		if e.put(i, x, y, z) {
			return true, false
		}
		if e.gaveUp {
			return false, true
		}
	}
	return false, false
}

// stands reports whether shape i may stand with its corner at the open point:
// inside, off blocks and pieces, and pushed down against something.
func (e *exact) stands(i, x, y, z int) bool {
	ny := len(e.axes[1].at)
	if e.allowed[i*len(e.rows)+z*ny+y]>>uint(x)&1 == 0 {
		return false
	}
	sp := &e.spans[i]
	sx, sy, sz := &sp[0][x], &sp[1][y], &sp[2][z]
	for k := z; k < sz.end; k++ {
		for j := y; j < sy.end; j++ {
			if e.rows[k*ny+j]&sx.mask != 0 {
				return false
			}
		}
	}
	return z == 0 || e.rests(e.point(x, y, z), e.shapes[i].size)
}

// rests reports whether a piece touches another piece or a block below it on
// the slowest axis.
func (e *exact) rests(p, s vec) bool {
	a, u, v := e.axes[2].axis, e.axes[0].axis, e.axes[1].axis
	for _, q := range e.placed {
		t := &e.shapes[q.shape].size
		if q.at[a]+t[a] == p[a] && q.at[u] < p[u]+s[u] && q.at[u]+t[u] > p[u] && q.at[v] < p[v]+s[v] && q.at[v]+t[v] > p[v] {
			return true
		}
	}
	for i := range e.r.blocks {
		b := &e.r.blocks[i]
		if b.hi[a] == p[a] && p[u] < b.hi[u] && p[u]+s[u] > b.lo[u] && p[v] < b.hi[v] && p[v]+s[v] > b.lo[v] {
			return true
		}
	}
	return false
}

// put places shape i at the point, goes on from there, and takes it back if
// that leads nowhere.
func (e *exact) put(i, x, y, z int) bool {
	sp := &e.spans[i]
	sx, sy, sz := &sp[0][x], &sp[1][y], &sp[2][z]
	kind := e.shapes[i].kind
	cost := sx.long*sy.long*sz.long - e.needs[kind]
	if e.spare-cost < -e.eps {
		return false
	}
	ny := len(e.axes[1].at)
	flip := func() {
		for k := z; k < sz.end; k++ {
			for j := y; j < sy.end; j++ {
				e.setRow(k*ny+j, e.rows[k*ny+j]^sx.mask)
			}
		}
	}
	flip()
	e.spare -= cost
	e.left[kind]--
	e.total--
	e.placed = append(e.placed, spot{i, e.point(x, y, z)})
	if e.step(z*ny + y) {
		return true
	}
	e.placed = e.placed[:len(e.placed)-1]
	e.total++
	e.left[kind]++
	e.spare += cost
	flip()
	return false
}

// setRow changes a row and the hash of all rows with it.
func (e *exact) setRow(row int, mask uint64) {
	old := e.rows[row]
	e.hash[0] ^= mix(old, uint64(row)*2+1) ^ mix(mask, uint64(row)*2+1)
	e.hash[1] ^= mix(old^0x9e3779b97f4a7c15, uint64(row)*2+2) ^ mix(mask^0x9e3779b97f4a7c15, uint64(row)*2+2)
	e.rows[row] = mask
}

// mix scrambles a word with a salt. Finaliser of SplitMix64. Source: from
// memory; any good mixing serves.
func mix(x, salt uint64) uint64 {
	x += salt * 0x9e3779b97f4a7c15
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}

// key names the state: which points are decided or covered and, with several
// kinds, what is still to come. With one kind the number to come is compared.
func (e *exact) key() [2]uint64 {
	h := e.hash
	if len(e.left) > 1 {
		for k, n := range e.left {
			h[0] ^= mix(uint64(n)+1, uint64(k)+1<<40)
			h[1] ^= mix(uint64(n)+77, uint64(k)+1<<41)
		}
	}
	return h
}

func (e *exact) stillToCome() int32 {
	if len(e.left) > 1 {
		return 0
	}
	return int32(e.total)
}
