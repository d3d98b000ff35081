package bay

import (
	"math"
	"slices"
)

// The solver counts lengths in whole micrometres, so that sums of edge lengths
// compare exactly. Every length is rounded to the nearest.

type vec [3]int64

// block is a box that no piece may meet. A piece of size s at p meets it when
// p < hi and p+s > lo on every axis. lo may lie above hi: a thin keep-out with a
// clearance smaller than half the gap leaves such a block, and the test still
// says what it should.
type block struct{ lo, hi vec }

func (b block) meets(p, s vec) bool {
	return p[0] < b.hi[0] && p[0]+s[0] > b.lo[0] &&
		p[1] < b.hi[1] && p[1]+s[1] > b.lo[1] &&
		p[2] < b.hi[2] && p[2]+s[2] > b.lo[2]
}

// solid reports whether the block has a volume.
func (b block) solid() bool {
	return b.lo[0] < b.hi[0] && b.lo[1] < b.hi[1] && b.lo[2] < b.hi[2]
}

// region is a container with blocks in which pieces, each grown by the gap on
// its far sides, are placed without overlap. origin is the container's corner
// in the bay frame.
type region struct {
	size   vec
	origin vec
	blocks []block
	free   float64 // µm³ not in a solid block
}

// clear reports whether a piece of size s may stand at p.
func (r *region) clear(p, s vec) bool {
	for a := range 3 {
		if p[a] < 0 || p[a]+s[a] > r.size[a] {
			return false
		}
	}
	for i := range r.blocks {
		if r.blocks[i].meets(p, s) {
			return false
		}
	}
	return true
}

func micrometres(l float64) int64 { return int64(math.Round(l * 1e6)) }

func vecOf(v Vec) vec {
	return vec{micrometres(float64(v.X)), micrometres(float64(v.Y)), micrometres(float64(v.Z))}
}

func blockOf(b Box) block {
	// The far corner is rounded as a corner, not as a sum of rounded lengths, so
	// that boxes which share a face keep sharing it.
	far := Vec{b.At.X + b.Size.X, b.At.Y + b.Size.Y, b.At.Z + b.Size.Z}
	return block{vecOf(b.At), vecOf(far)}
}

// axisOf returns the axis a side lies on and whether it is the far side.
func axisOf(s Side) (axis int, far bool) {
	switch s {
	case Front:
		return 0, false
	case Rear:
		return 0, true
	case Right:
		return 1, false
	case Left:
		return 1, true
	case Bottom:
		return 2, false
	default:
		return 2, true
	}
}

// sideOf is the inverse of axisOf.
func sideOf(axis int, far bool) Side {
	sides := [3][2]Side{{Front, Rear}, {Right, Left}, {Bottom, Top}}
	if far {
		return sides[axis][1]
	}
	return sides[axis][0]
}

// Marks of the cells of a grid.
const (
	cellOutside uint8 = iota // not in any box of the union
	cellFree
	cellKeepOut
)

// grid cuts the bay at every face of its boxes and keep-outs; each of its
// cells lies wholly in or out of each of them.
type grid struct {
	cut  [3][]int64
	n    vec // cells per axis
	mark []uint8
}

func (g *grid) at(x, y, z int64) int64 { return (x*g.n[1]+y)*g.n[2] + z }

func newGrid(union, keepOuts []block) grid {
	bounds := union[0]
	for _, b := range union[1:] {
		for a := range 3 {
			bounds.lo[a] = min(bounds.lo[a], b.lo[a])
			bounds.hi[a] = max(bounds.hi[a], b.hi[a])
		}
	}
	var g grid
	for a := range 3 {
		for _, list := range [2][]block{union, keepOuts} {
			for _, b := range list {
				for _, v := range [2]int64{b.lo[a], b.hi[a]} {
					if v >= bounds.lo[a] && v <= bounds.hi[a] {
						g.cut[a] = append(g.cut[a], v)
					}
				}
			}
		}
		slices.Sort(g.cut[a])
		g.cut[a] = slices.Compact(g.cut[a])
		g.n[a] = int64(len(g.cut[a]) - 1)
	}
	g.mark = make([]uint8, max(0, g.n[0]*g.n[1]*g.n[2]))
	g.paint(union, cellFree)
	g.paint(keepOuts, cellKeepOut)
	return g
}

// paint marks the cells inside the blocks. A keep-out counts outside the union
// too, within its extent: it may be in the way of what comes in.
func (g *grid) paint(list []block, mark uint8) {
	for _, b := range list {
		var from, to [3]int64
		for a := range 3 {
			i, _ := slices.BinarySearch(g.cut[a], b.lo[a])
			j, _ := slices.BinarySearch(g.cut[a], b.hi[a])
			from[a], to[a] = int64(i), min(int64(j), g.n[a])
		}
		for x := from[0]; x < to[0]; x++ {
			for y := from[1]; y < to[1]; y++ {
				for z := from[2]; z < to[2]; z++ {
					g.mark[g.at(x, y, z)] = mark
				}
			}
		}
	}
}

// cellBlock returns the box of cells from lo up to but not including hi.
func (g *grid) cellBlock(lo, hi vec) block {
	var b block
	for a := range 3 {
		b.lo[a], b.hi[a] = g.cut[a][lo[a]], g.cut[a][hi[a]]
	}
	return b
}

// cover returns boxes which together cover exactly the cells for which solid
// is true, each as large as it can be made from the cell it grew from.
func (g *grid) cover(solid []bool) []block {
	var out []block
	done := make([]bool, len(solid))
	for x := range g.n[0] {
		for y := range g.n[1] {
			for z := range g.n[2] {
				i := g.at(x, y, z)
				if !solid[i] || done[i] {
					continue
				}
				for first := range 3 {
					lo, hi := g.grow(solid, vec{x, y, z}, first)
					g.each(lo, hi, func(i int64) bool { done[i] = true; return true })
					if b := g.cellBlock(lo, hi); !slices.Contains(out, b) {
						out = append(out, b)
					}
				}
			}
		}
	}
	return out
}

// grow extends one cell along the axes, first the one named, as far as all
// cells are solid.
func (g *grid) grow(solid []bool, cell vec, first int) (lo, hi vec) {
	lo, hi = cell, vec{cell[0] + 1, cell[1] + 1, cell[2] + 1}
	all := func(lo, hi vec) bool {
		return g.each(lo, hi, func(i int64) bool { return solid[i] })
	}
	for k := range 3 {
		a := (first + k) % 3
		for lo[a] > 0 {
			l, h := lo, hi
			l[a], h[a] = lo[a]-1, lo[a]
			if !all(l, h) {
				break
			}
			lo[a]--
		}
		for hi[a] < g.n[a] {
			l, h := lo, hi
			l[a], h[a] = hi[a], hi[a]+1
			if !all(l, h) {
				break
			}
			hi[a]++
		}
	}
	return lo, hi
}

// each calls f for the cells from lo up to hi until it says false, and reports
// whether it never did.
func (g *grid) each(lo, hi vec, f func(i int64) bool) bool {
	for x := lo[0]; x < hi[0]; x++ {
		for y := lo[1]; y < hi[1]; y++ {
			for z := lo[2]; z < hi[2]; z++ {
				if !f(g.at(x, y, z)) {
					return false
				}
			}
		}
	}
	return true
}

// solids returns which cells no module may enter, and which no module may lie
// in if it comes straight in: those and all that a keep-out or an overhang
// hides from the opening side. hides reports whether the two differ.
func (g *grid) solids(opens Side) (plain, straight []bool, hides bool) {
	plain, straight = make([]bool, len(g.mark)), make([]bool, len(g.mark))
	axis, far := axisOf(opens)
	u, v := (axis+1)%3, (axis+2)%3
	for i := range g.n[u] {
		for j := range g.n[v] {
			inside, blocked := false, false // seen so far, coming in from the opening
			for k := range g.n[axis] {
				var c vec
				c[axis], c[u], c[v] = k, i, j
				if far {
					c[axis] = g.n[axis] - 1 - k
				}
				at := g.at(c[0], c[1], c[2])
				mark := g.mark[at]
				inside = inside || mark != cellOutside
				blocked = blocked || mark == cellKeepOut || mark == cellOutside && inside
				plain[at] = mark != cellFree
				straight[at] = plain[at] || blocked
				hides = hides || straight[at] != plain[at]
			}
		}
	}
	return plain, straight, hides
}

// space is a bay as the solver sees it: the region that modules reach straight
// through the opening, and the whole region, for modules that also slide.
type space struct {
	straight region
	whole    region
	differ   bool // whole holds places which straight does not
	axis     int  // of the opening
	far      bool // opening on the far side of the axis
	gap      int64
}

func newSpace(b *Bay) space {
	s := space{gap: micrometres(float64(b.Gap))}
	s.axis, s.far = axisOf(b.Opens)
	inset := micrometres(float64(b.Wall + b.Clearance))
	g := b.grid()
	if len(b.Boxes) == 1 && len(b.KeepOuts) == 0 {
		s.straight = g.region(nil, inset, s.gap)
		return s
	}
	plain, straight, hides := g.solids(b.Opens)
	s.straight = g.region(g.cover(straight), inset, s.gap)
	if s.differ = hides; hides {
		s.whole = g.region(g.cover(plain), inset, s.gap)
	}
	return s
}

// region turns obstacles of the bay frame into blocks for pieces grown by gap,
// inset on every side.
func (g *grid) region(obstacles []block, inset, gap int64) region {
	var r region
	for a := range 3 {
		r.origin[a] = g.cut[a][0] + inset
		r.size[a] = g.cut[a][g.n[a]] - inset - r.origin[a] + gap
	}
	for _, o := range obstacles {
		var b block
		never := false
		for a := range 3 {
			b.lo[a] = max(o.lo[a]-inset+gap-r.origin[a], 0)
			b.hi[a] = min(o.hi[a]+inset-r.origin[a], r.size[a])
			never = never || b.lo[a] >= r.size[a] || b.hi[a] <= 0
		}
		if !never {
			r.blocks = append(r.blocks, b)
		}
	}
	r.free = freeVolume(r.size, r.blocks)
	return r
}

// freeVolume returns the volume of the container outside all solid blocks, µm³.
func freeVolume(size vec, blocks []block) float64 {
	if size[0] <= 0 || size[1] <= 0 || size[2] <= 0 {
		return 0
	}
	whole := block{hi: size}
	var solid []block
	for _, b := range blocks {
		if b.solid() {
			solid = append(solid, b)
		}
	}
	if len(solid) == 0 {
		return float64(size[0]) * float64(size[1]) * float64(size[2])
	}
	g := newGrid([]block{whole}, solid)
	sum := 0.0
	g.cells(func(lo, hi vec, mark uint8) {
		if mark == cellFree {
			sum += float64(hi[0]-lo[0]) * float64(hi[1]-lo[1]) * float64(hi[2]-lo[2])
		}
	})
	return sum
}

// cells calls f for each cell with its corners and mark.
func (g *grid) cells(f func(lo, hi vec, mark uint8)) {
	for x := range g.n[0] {
		for y := range g.n[1] {
			for z := range g.n[2] {
				lo := vec{g.cut[0][x], g.cut[1][y], g.cut[2][z]}
				hi := vec{g.cut[0][x+1], g.cut[1][y+1], g.cut[2][z+1]}
				f(lo, hi, g.mark[g.at(x, y, z)])
			}
		}
	}
}
