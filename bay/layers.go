package bay

import (
	"slices"
)

// layers fills a box without blocks by guillotine cuts in three stages: slabs
// across one axis, strips across a second, rows along the third. It works on
// tables that answer, for each number of the other kinds, how many of the main
// kind can be had beside them, so that one pass serves a whole frontier.
type layers struct {
	shapes []shape
	main   int   // the kind that is counted in the tables
	others []int // up to two kinds that index the tables
	dims   [2]int
	size   int // entries of a table
	pool   [][]int16
	used   int
	work   int
	items  []cutItem // stack of lists of items
	cutter cutter
}

// impossible marks a table entry that cannot be had.
const impossible = -1 << 12

const (
	enough  = 1 << 13 // modules; tables count no further
	workMax = 1 << 27 // steps of joins after which only the first way is looked at
)

// othersMax is how many kinds beside the main one the tables can index.
const othersMax = 2

// begin sets the kinds up: tables reach to counts[k] of each of the others.
func (l *layers) begin(shapes []shape, counts []int, main int) {
	l.shapes, l.main, l.others = shapes, main, l.others[:0]
	l.dims = [2]int{1, 1}
	for k, n := range counts {
		if k != main && n > 0 {
			l.dims[len(l.others)] = n + 1
			l.others = append(l.others, k)
		}
	}
	l.size = l.dims[0] * l.dims[1]
	l.used, l.work, l.items = 0, 0, l.items[:0]
}

// table returns a fresh table in which nothing can be had.
func (l *layers) table() []int16 {
	if l.used == len(l.pool) {
		l.pool = append(l.pool, nil)
	}
	t := slices.Grow(l.pool[l.used][:0], l.size)[:l.size]
	l.pool[l.used] = t
	l.used++
	for i := range t {
		t[i] = impossible
	}
	return t
}

// join fills out with what can be had from two parts side by side. Once an
// entry cannot be had, none that asks for more can.
func (l *layers) join(out, a, b []int16) {
	l.work += l.size * l.size
	for i := range out {
		out[i] = impossible
	}
	if l.dims[1] == 1 {
		for i, v := range a {
			if v < 0 {
				break
			}
			to := out[i:]
			for j, w := range b[:len(to)] {
				if w < 0 {
					break
				}
				to[j] = max(to[j], min(v+w, enough))
			}
		}
		return
	}
	d := l.dims[1]
	for i := range a {
		if a[i] < 0 {
			continue
		}
		for j0 := range l.dims[0] - i/d {
			to, from := out[i+j0*d:i-i%d+j0*d+d], b[j0*d:j0*d+d-i%d]
			if from[0] < 0 {
				break
			}
			for j1, w := range from {
				if w < 0 {
					break
				}
				to[j1] = max(to[j1], min(a[i]+w, enough))
			}
		}
	}
}

// raise lifts out to the better of the two, entry by entry.
func raise(out, t []int16) {
	for i, v := range t {
		if v > out[i] {
			out[i] = v
		}
	}
}

// cutItem is a slab, strip or row that may be cut off: its width on the axis
// that is cut, and its table.
type cutItem struct {
	width int64
	table []int16
}

// pick is one item taken for a target, with the entry it must supply.
type pick struct {
	item  int
	entry int
}

// cut raises out to what can be had from items side by side within width. With
// want ≥ 0 it stops at the first set of items that yields at least value at
// entry want, and returns which, and what each must supply.
func (l *layers) cut(items []cutItem, width int64, out []int16, want int, value int16) []pick {
	mark := l.used
	zero := l.table()
	zero[0] = 0
	c := &l.cutter
	*c = cutter{l: l, items: items, out: out, want: want, value: value, path: c.path[:0], sums: c.sums[:0]}
	for _, it := range items {
		if c.least == 0 || it.width < c.least {
			c.least = it.width
		}
	}
	var picks []pick
	if len(items) == 0 {
		raise(out, zero)
	} else {
		picks = c.from(0, width, zero)
	}
	l.used = mark
	return picks
}

type cutter struct {
	l     *layers
	items []cutItem
	out   []int16
	least int64
	want  int
	value int16
	path  []int
	sums  [][]int16
}

func (c *cutter) from(first int, width int64, sum []int16) []pick {
	if width < c.least {
		raise(c.out, sum)
		if c.want >= 0 && sum[c.want] >= c.value {
			return c.trace()
		}
		return nil
	}
	c.sums = append(c.sums, sum)
	mark := c.l.used
	next := c.l.table()
	deeper := false
	for i := first; i < len(c.items); i++ {
		if c.items[i].width > width {
			continue
		}
		deeper = true
		c.l.join(next, sum, c.items[i].table)
		c.path = append(c.path, i)
		if p := c.from(i, width-c.items[i].width, next); p != nil {
			return p
		}
		c.path = c.path[:len(c.path)-1]
		if c.l.work > workMax {
			break
		}
	}
	c.l.used = mark
	c.sums = c.sums[:len(c.sums)-1]
	if !deeper { // only items before first would still go in
		raise(c.out, sum)
		if c.want >= 0 && sum[c.want] >= c.value {
			return c.trace()
		}
	}
	return nil
}

// trace splits the wanted entry over the items of the path, last first.
func (c *cutter) trace() []pick {
	picks := make([]pick, len(c.path))
	d := c.l.dims[1]
	entry, value := c.want, c.value
	for k := len(c.path) - 1; k >= 0; k-- {
		before, item := c.sums[k], c.items[c.path[k]].table
	split:
		for j0 := range entry/d + 1 {
			for j1 := range entry%d + 1 {
				j := j0*d + j1
				if v := before[entry-j]; v >= 0 && item[j] >= 0 && v+item[j] >= value {
					picks[k] = pick{c.path[k], j}
					entry, value = entry-j, max(0, value-item[j])
					break split
				}
			}
		}
	}
	return picks
}

// row is the table of a row: length along axis c, cross-section within t on
// axis a and s on axis b. In a row each of the other kinds stands in one shape.
func (l *layers) row(ax [3]int, t, s, length int64) []int16 {
	out := l.table()
	l.eachRow(ax, t, s, length, func(entry int, value int16, _ [othersMax]rowPart) bool {
		out[entry] = max(out[entry], value)
		return true
	})
	// At least so many: what serves for more serves for fewer.
	d := l.dims[1]
	for i := len(out) - 2; i >= 0; i-- {
		if i%d+1 < d {
			out[i] = max(out[i], out[i+1])
		}
		if i+d < len(out) {
			out[i] = max(out[i], out[i+d])
		}
	}
	return out
}

// rowPart is a run of equal steps in a row: times steps of one shape, each with
// as many modules as stand across.
type rowPart struct{ shape, times int }

// eachRow calls f with every filling of a row that is looked at, until it says false.
func (l *layers) eachRow(ax [3]int, t, s, length int64, f func(entry int, value int16, parts [othersMax]rowPart) bool) {
	var parts [othersMax]rowPart
	d := l.dims[1]
	var rec func(j, entry int, left int64) bool
	rec = func(j, entry int, left int64) bool {
		if j == len(l.others) {
			return f(entry, int16(min(l.best(ax, t, s, left), enough)), parts)
		}
		parts[j] = rowPart{}
		if !rec(j+1, entry, left) {
			return false
		}
		for i := range l.shapes {
			sh := &l.shapes[i]
			if sh.kind != l.others[j] || sh.size[ax[0]] > t || sh.size[ax[1]] > s {
				continue
			}
			across := int(t/sh.size[ax[0]]) * int(s/sh.size[ax[1]])
			for n := 1; int64(n)*sh.size[ax[2]] <= left; n++ {
				parts[j] = rowPart{i, n}
				have := min(n*across, l.dims[j]-1)
				step := have
				if j == 0 {
					step = have * d
				}
				if !rec(j+1, entry+step, left-int64(n)*sh.size[ax[2]]) {
					return false
				}
				if n*across >= l.dims[j]-1 {
					break
				}
			}
		}
		parts[j] = rowPart{}
		return true
	}
	rec(0, 0, length)
}

// best returns how many of the main kind a row holds in shapes of one length.
func (l *layers) best(ax [3]int, t, s, length int64) int {
	n := 0
	for i := range l.shapes {
		sh := &l.shapes[i]
		if sh.kind == l.main {
			n = max(n, int(t/sh.size[ax[0]])*int(s/sh.size[ax[1]])*int(length/sh.size[ax[2]]))
		}
	}
	return n
}

// edges lists the distinct edges on axis a, greatest first, of shapes whose
// edge on axis b is at most t.
func (l *layers) edges(a, b int, t, end int64, out []int64) []int64 {
	out = out[:0]
	for i := range l.shapes {
		if v := l.shapes[i].size[a]; v <= end && l.shapes[i].size[b] <= t && !slices.Contains(out, v) {
			out = append(out, v)
		}
	}
	slices.SortFunc(out, func(p, q int64) int { return int(q - p) })
	return out
}

// strips lists the strips of a slab of thickness t.
func (l *layers) strips(ax [3]int, t int64, size vec) []cutItem {
	mark := len(l.items)
	var buf [32]int64
	for _, s := range l.edges(ax[1], ax[0], t, size[ax[1]], buf[:0]) {
		l.items = append(l.items, cutItem{s, l.row(ax, t, s, size[ax[2]])})
	}
	return l.items[mark:]
}

// slabs lists the slabs of a box.
func (l *layers) slabs(ax [3]int, size vec) []cutItem {
	var items [rowsOfFamily]cutItem
	n := 0
	var buf [rowsOfFamily]int64
	for _, t := range l.edges(ax[0], ax[0], size[ax[0]], size[ax[0]], buf[:0]) {
		if n == len(items) {
			break
		}
		table := l.table()
		mark := len(l.items)
		l.cut(l.strips(ax, t, size), size[ax[1]], table, -1, 0)
		l.items = l.items[:mark]
		items[n] = cutItem{t, table}
		n++
	}
	mark := len(l.items)
	l.items = append(l.items, items[:n]...)
	return l.items[mark:]
}

// fill raises out to what a box of this size holds under any order of the axes.
func (l *layers) fill(size vec, out []int16) {
	for _, ax := range axisOrders {
		mark, items := l.used, len(l.items)
		l.cut(l.slabs(ax, size), size[ax[0]], out, -1, 0)
		l.used, l.items = mark, l.items[:items]
	}
}

// build places at least value of the main kind and the other kinds of entry
// want into a box of this size at corner, and reports whether it could.
func (l *layers) build(corner, size vec, want int, value int16, spots []spot) ([]spot, bool) {
	if want == 0 && value == 0 {
		return spots, true
	}
	for _, ax := range axisOrders {
		mark := l.used
		slabs := l.slabs(ax, size)
		trash := l.table()
		picks := l.cut(slabs, size[ax[0]], trash, want, value)
		if picks == nil {
			l.used = mark
			continue
		}
		at := corner
		for _, p := range picks {
			spots = l.buildSlab(ax, at, size, &slabs[p.item], p.entry, spots)
			at[ax[0]] += slabs[p.item].width
		}
		l.used = mark
		return spots, true
	}
	return spots, false
}

func (l *layers) buildSlab(ax [3]int, at, size vec, slab *cutItem, want int, spots []spot) []spot {
	strips := l.strips(ax, slab.width, size)
	trash := l.table()
	for _, p := range l.cut(strips, size[ax[1]], trash, want, slab.table[want]) {
		strip := &strips[p.item]
		spots = l.buildRow(ax, at, slab.width, strip.width, size[ax[2]], p.entry, strip.table[p.entry], spots)
		at[ax[1]] += strip.width
	}
	return spots
}

func (l *layers) buildRow(ax [3]int, at vec, t, s, length int64, want int, value int16, spots []spot) []spot {
	d := l.dims[1]
	l.eachRow(ax, t, s, length, func(entry int, v int16, parts [othersMax]rowPart) bool {
		if entry/d < want/d || entry%d < want%d || v < value {
			return true
		}
		p := at
		for _, part := range parts {
			for range part.times {
				spots = l.across(ax, p, t, s, part.shape, spots)
				p[ax[2]] += l.shapes[part.shape].size[ax[2]]
			}
		}
		left := length - (p[ax[2]] - at[ax[2]])
		n := l.best(ax, t, s, left)
		for i := range l.shapes {
			sh := &l.shapes[i]
			if sh.kind == l.main && n > 0 && int(t/sh.size[ax[0]])*int(s/sh.size[ax[1]])*int(left/sh.size[ax[2]]) == n {
				for range left / sh.size[ax[2]] {
					spots = l.across(ax, p, t, s, i, spots)
					p[ax[2]] += sh.size[ax[2]]
				}
				break
			}
		}
		return false
	})
	return spots
}

// across places as many of a shape as stand side by side in the cross-section.
func (l *layers) across(ax [3]int, at vec, t, s int64, i int, spots []spot) []spot {
	size := l.shapes[i].size
	for a := int64(0); a+size[ax[0]] <= t; a += size[ax[0]] {
		for b := int64(0); b+size[ax[1]] <= s; b += size[ax[1]] {
			p := at
			p[ax[0]] += a
			p[ax[1]] += b
			spots = append(spots, spot{i, p})
		}
	}
	return spots
}
