package bay

import (
	"math"
	"slices"
)

// inequality holds for every packing of the region: Σ weight[k]·count[k] ≤ limit.
type inequality struct {
	weight []float64
	limit  float64
}

// most returns the largest count of kind k that the inequality leaves beside
// the other counts; a negative answer says that the others alone break it. The
// slack is far above rounding and far below one module.
func (q *inequality) most(counts []int, k int) int {
	left := q.limit
	for j, n := range counts {
		if j != k {
			left -= q.weight[j] * float64(n)
		}
	}
	slack := 1e-9 * q.limit
	if left < -slack {
		return -1
	}
	if q.weight[k] <= 0 {
		return math.MaxInt32
	}
	return int(min(math.Floor(max(0, left+slack)/q.weight[k]), math.MaxInt32))
}

// scale gives the edges on one axis new lengths such that edges which fit side
// by side into the container keep fitting into limit (a conservative scale).
// Source: Fekete and Schepers 2004, from memory.
type scale struct {
	of    []float64 // per shape
	limit float64
}

// bounds collects inequalities for a region and its shapes.
type bounds struct {
	list   []inequality
	scales [3][]scale
	pool   []float64
	sums   []int64
}

// collect fills the list: the plain volume; products of scales of the three
// axes if there are no blocks; planes against pieces if there are.
func (b *bounds) collect(r *region, shapes []shape, kinds int) {
	b.list, b.pool = b.list[:0], b.pool[:0]
	volume := make([]float64, len(shapes))
	for i := range shapes {
		volume[i] = shapes[i].volume
	}
	b.add(shapes, kinds, volume, r.free)
	for a := range 3 {
		b.scales[a] = b.scales[a][:0]
		b.scalesOf(r, shapes, a)
	}
	if len(r.blocks) > 0 {
		b.planes(r, shapes, kinds)
		return
	}
	value := make([]float64, len(shapes))
	for _, s := range b.scales[0] {
		for _, t := range b.scales[1] {
			for _, u := range b.scales[2] {
				for i := range shapes {
					value[i] = s.of[i] * t.of[i] * u.of[i]
				}
				b.add(shapes, kinds, value, s.limit*t.limit*u.limit)
			}
		}
	}
}

// add records the inequality that follows when a shape i takes value[i] of limit.
func (b *bounds) add(shapes []shape, kinds int, value []float64, limit float64) {
	at := len(b.pool)
	for range kinds {
		b.pool = append(b.pool, math.Inf(1))
	}
	w := b.pool[at : at+kinds : at+kinds]
	for i := range shapes {
		w[shapes[i].kind] = min(w[shapes[i].kind], value[i])
	}
	useful := false
	for k := range w {
		if math.IsInf(w[k], 1) {
			w[k] = 0 // no shape of the kind: said elsewhere
		}
		useful = useful || w[k] > 0
	}
	if !useful {
		b.pool = b.pool[:at]
		return
	}
	b.list = append(b.list, inequality{w, limit})
}

// scalesOf lists the scales of an axis: the lengths themselves against the
// longest row of edges that fits, and the numbers of planes, spaced by one of
// the lengths, that a piece cannot avoid.
func (b *bounds) scalesOf(r *region, shapes []shape, a int) {
	var lengths []int64
	for i := range shapes {
		if !slices.Contains(lengths, shapes[i].size[a]) {
			lengths = append(lengths, shapes[i].size[a])
		}
	}
	own := scale{limit: float64(b.longestRow(lengths, r.size[a]))}
	for i := range shapes {
		own.of = append(own.of, float64(shapes[i].size[a]))
	}
	b.scales[a] = append(b.scales[a], own)
	for _, q := range lengths {
		m := r.size[a] / q
		s := scale{limit: float64(m)}
		for i := range shapes {
			n := shapes[i].size[a] / q
			if l := shapes[i].size[a]; l >= q && l > r.size[a]-q {
				n = m // nothing that counts has room beside it
			}
			s.of = append(s.of, float64(n))
		}
		b.scales[a] = append(b.scales[a], s)
	}
}

// longestRow returns the greatest sum of lengths, each taken any number of
// times, that is not above end. It gives end itself when the sums get many.
func (b *bounds) longestRow(lengths []int64, end int64) int64 {
	const sumsMax = 512
	b.sums = append(b.sums[:0], 0)
	best := int64(0)
	for _, l := range lengths {
		for i := 0; i < len(b.sums); i++ {
			v := b.sums[i] + l
			if v > end || slices.Contains(b.sums, v) {
				continue
			}
			if b.sums = append(b.sums, v); len(b.sums) > sumsMax {
				return end
			}
			best = max(best, v)
		}
	}
	return best
}

// planes adds bounds for a region with blocks: on each axis either the length
// counts or the planes that a piece must meet, and blocks take off their part.
func (b *bounds) planes(r *region, shapes []shape, kinds int) {
	var solid []block
	for _, x := range r.blocks {
		if x.solid() {
			solid = append(solid, x)
		}
	}
	g := newGrid([]block{{hi: r.size}}, solid)
	var steps [3][]int64 // 0: length
	for a := range 3 {
		steps[a] = []int64{0}
		for i := range shapes {
			if q := shapes[i].size[a]; !slices.Contains(steps[a], q) {
				steps[a] = append(steps[a], q)
			}
		}
	}
	value := make([]float64, len(shapes))
	for _, p := range steps[0] {
		for _, q := range steps[1] {
			for _, s := range steps[2] {
				step := vec{p, q, s}
				for i := range shapes {
					value[i] = 1
					for a := range 3 {
						value[i] *= planesIn(shapes[i].size[a], step[a])
					}
				}
				for mirror := range 8 {
					if mirror&1 > 0 && p == 0 || mirror&2 > 0 && q == 0 || mirror&4 > 0 && s == 0 {
						continue
					}
					b.add(shapes, kinds, value, g.measure(r.size, step, mirror))
				}
			}
		}
	}
}

// planesIn returns the least number of planes, step apart, that an edge of this
// length meets; the length itself for step zero.
func planesIn(length, step int64) float64 {
	if step == 0 {
		return float64(length)
	}
	return float64(length / step)
}

// measure sums over the open cells the product of length or number of planes on
// each axis. Planes stand just before each multiple of the step, counted from
// the near wall, or on the axes in mirror from the far one.
func (g *grid) measure(size, step vec, mirror int) float64 {
	var part [3][]float64
	for a := range 3 {
		part[a] = make([]float64, g.n[a])
		for i := range part[a] {
			lo, hi := g.cut[a][i], g.cut[a][i+1]
			if mirror>>a&1 > 0 {
				lo, hi = size[a]-hi, size[a]-lo
			}
			if step[a] == 0 {
				part[a][i] = float64(hi - lo)
			} else {
				part[a][i] = float64(hi/step[a] - lo/step[a])
			}
		}
	}
	sum := 0.0
	for x := range g.n[0] {
		for y := range g.n[1] {
			for z := range g.n[2] {
				if g.mark[g.at(x, y, z)] == cellFree {
					sum += part[0][x] * part[1][y] * part[2][z]
				}
			}
		}
	}
	return sum
}
