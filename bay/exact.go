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
