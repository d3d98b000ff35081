package bay

import "slices"

// raising replaces the edges on an axis by longer ones, as long as every row of
// edges that fitted keeps fitting. Whether a set of modules fits depends only on
// which edges may stand in a row on each axis, so that the longer modules fit if
// and only if the true ones do; and they leave less idle room, which sharpens
// every bound and leaves fewer places to try. A module stands where its longer
// form stood. Source: Fekete and Schepers 2004 (packing classes), from memory.
//
// With blocks a row may run between any two of walls and blocks, and every row
// that fitted between them must keep fitting. An axis with very many rows is left
// as it is. Lengths on a raised axis are counted in finer steps, so that halves,
// thirds and so on are whole numbers.
const (
	fineSteps = 720720 // least common multiple of 1 to 16
	rowsMax   = 4000   // rows of edges looked at on an axis
)

// raised is a region with shapes in the form that is searched.
type raised struct {
	region region
	shapes []shape // same order as the true ones
	factor vec     // fine steps per micrometre on each axis
	ends   []int64 // lengths between walls and blocks
	rows   []int16 // maximal rows, one count per length
	end    []int64 // the length that each row was made for
	row    []int16
	most   []int // modules that can show each length
	total  int   // modules in all
	old    []int64
	length []int64
}

// set raises the region and the shapes. Of shapes of one kind of which one is
// no longer than the other on every axis, the longer is dropped from both lists,
// which it returns as it leaves them. With counts only rows that
// so many modules can make are kept fitting; nil counts mean any number.
func (w *raised) set(r *region, shapes []shape, counts []int) []shape {
	w.region = region{size: r.size, origin: r.origin, blocks: append(w.region.blocks[:0], r.blocks...)}
	w.shapes = append(w.shapes[:0], shapes...)
	for a := range 3 {
		w.factor[a] = 1
		if w.collect(r, shapes, counts, a) {
			w.factor[a] = fineSteps
			w.lift(a)
		}
	}
	w.region.free = freeVolume(w.region.size, w.region.blocks)
	kept := 0
	for i := range w.shapes {
		if !w.idle(i, kept) {
			w.shapes[kept], shapes[kept] = w.shapes[i], shapes[i]
			kept++
		}
	}
	w.shapes = w.shapes[:kept]
	for i := range w.shapes {
		s := &w.shapes[i]
		s.volume = float64(s.size[0]) * float64(s.size[1]) * float64(s.size[2])
	}
	return shapes[:kept]
}

// idle reports whether another shape of the kind takes no more room than shape
// i on any axis: one of those kept so far, or a strictly better one to come.
func (w *raised) idle(i, kept int) bool {
	s := &w.shapes[i]
	for j := range w.shapes {
		t := &w.shapes[j]
		if j == i || j >= kept && j < i || t.kind != s.kind {
			continue
		}
		if t.size[0] <= s.size[0] && t.size[1] <= s.size[1] && t.size[2] <= s.size[2] && (j < kept || t.size != s.size) {
			return true
		}
	}
	return false
}

// collect lists the lengths on the axis and the rows of them to which nothing
// can be added. It reports false if there are too many.
func (w *raised) collect(r *region, shapes []shape, counts []int, a int) bool {
	w.length = w.length[:0]
	for i := range shapes {
		if !slices.Contains(w.length, shapes[i].size[a]) {
			w.length = append(w.length, shapes[i].size[a])
		}
	}
	if len(w.length) == 0 {
		return false
	}
	slices.Sort(w.length)
	w.limit(shapes, counts, a)
	w.ends = append(w.ends[:0], r.size[a])
	add := func(from, to int64) {
		if to-from >= w.length[0] && !slices.Contains(w.ends, to-from) {
			w.ends = append(w.ends, to-from)
		}
	}
	for _, p := range r.blocks {
		add(0, p.lo[a])
		add(p.hi[a], r.size[a])
		for _, q := range r.blocks {
			add(p.hi[a], q.lo[a])
		}
	}
	w.rows, w.end = w.rows[:0], w.end[:0]
	w.row = append(w.row[:0], make([]int16, len(w.length))...)
	for _, end := range w.ends {
		if !w.rowsFrom(len(w.length)-1, w.total, end, end) {
			return false
		}
	}
	return true
}

// limit says how many modules can show each length on the axis, and how many
// there are in all.
func (w *raised) limit(shapes []shape, counts []int, a int) {
	const any = 1 << 14
	w.most = slices.Grow(w.most[:0], len(w.length))[:len(w.length)]
	w.total = any
	if counts != nil {
		w.total = 0
		for _, n := range counts {
			w.total += n
		}
	}
	for i, l := range w.length {
		w.most[i] = any
		if counts != nil {
			w.most[i] = 0
			last := -1
			for _, s := range shapes { // shapes of a kind stand together
				if s.size[a] == l && s.kind != last {
					last = s.kind
					w.most[i] += counts[last]
				}
			}
		}
	}
}

// rowsFrom takes lengths from the longest to the shortest; the shortest fills up.
func (w *raised) rowsFrom(i, modules int, left, end int64) bool {
	n := int16(min(int(left/w.length[i]), w.most[i], modules))
	if i == 0 {
		w.row[0] = n
		w.rows = append(w.rows, w.row...)
		w.end = append(w.end, end)
		return len(w.end) <= rowsMax
	}
	for ; n >= 0; n-- {
		w.row[i] = n
		if !w.rowsFrom(i-1, modules-int(n), left-int64(n)*w.length[i], end) {
			return false
		}
	}
	return true
}

// lift raises the lengths one by one, the shortest first, each as far as the
// rows allow, and writes them into the shapes.
func (w *raised) lift(a int) {
	w.old = append(w.old[:0], w.length...)
	n := len(w.length)
	for i := range w.length {
		w.length[i] *= fineSteps
	}
	for i := range w.length {
		longest := w.ends[0] * fineSteps
		for at, end := range w.end {
			row := w.rows[at*n : at*n+n]
			if row[i] == 0 {
				continue
			}
			left := end * fineSteps
			for j, m := range row {
				if j != i {
					left -= int64(m) * w.length[j]
				}
			}
			longest = min(longest, left/int64(row[i]))
		}
		w.length[i] = longest
	}
	for i := range w.shapes {
		w.shapes[i].size[a] = w.length[slices.Index(w.old, w.shapes[i].size[a])]
	}
	w.region.size[a] *= fineSteps
	for i := range w.region.blocks {
		w.region.blocks[i].lo[a] *= fineSteps
		w.region.blocks[i].hi[a] *= fineSteps
	}
}

// lower turns spots of the raised form into spots of the true one.
func (w *raised) lower(spots []spot) {
	for i := range spots {
		for a := range 3 {
			spots[i].at[a] /= w.factor[a]
		}
	}
}
