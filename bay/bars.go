package bay

import "slices"

// bars is the one-dimensional bar relaxation. On each axis the region is a
// bundle of bars; a bar of length L is cut into edges that fit side by side into
// L, and a module takes, on every axis, bars of its cross-section cut to its
// edge. The linear programme asks how large a multiple of the wanted counts the
// bars allow; its dual prices give an inequality, which is then checked on its
// own, so that no rounding of the programme reaches a proof.
// Source: Scheithauer 1999, from memory.
type bars struct {
	shapes   []shape
	kinds    int
	lengths  [3][]int64 // distinct edges on each axis
	classes  []barClass
	first    [3]int // row of the first length of each axis; then classes, then kinds
	rows     int
	inverse  [][]float64 // of the basis
	value    []float64   // of the basic columns
	column   []float64
	entered  []float64
	price    []float64
	basic    []int // mark of each basic column: 1 the multiple, 0 a slack, 2 another
	entering int
	best     pattern
	ratio    float64 // greatest price of a length of the axis by its length
}

// barClass is the bars of one length on one axis: their number is an area.
type barClass struct {
	axis   int
	length int64
	area   float64 // m²
}

// pattern counts, for each distinct length of an axis, the edges cut from one bar.
type pattern struct {
	count [maxLengths]int
	value float64
}

const (
	maxLengths  = 24
	maxPivots   = 200
	barsEpsilon = 1e-9
)

// begin collects the bars of the region. It reports false if there is nothing
// to ask.
func (b *bars) begin(r *region, shapes []shape, kinds int) bool {
	b.shapes, b.kinds, b.classes = shapes, kinds, b.classes[:0]
	for a := range 3 {
		b.lengths[a] = b.lengths[a][:0]
		for i := range shapes {
			if v := shapes[i].size[a]; !slices.Contains(b.lengths[a], v) {
				b.lengths[a] = append(b.lengths[a], v)
			}
		}
		if len(b.lengths[a]) > maxLengths {
			return false
		}
	}
	if len(shapes) == 0 {
		return false
	}
	b.collectBars(r)
	b.rows = 0
	for a := range 3 {
		b.first[a] = b.rows
		b.rows += len(b.lengths[a])
	}
	b.rows += len(b.classes) + kinds
	return true
}

// collectBars cuts the region's open space into bars along each axis.
func (b *bars) collectBars(r *region) {
	var solid []block
	for _, x := range r.blocks {
		if x.solid() {
			solid = append(solid, x)
		}
	}
	g := newGrid([]block{{hi: r.size}}, solid)
	for a := range 3 {
		u, v := (a+1)%3, (a+2)%3
		for i := range g.n[u] {
			for j := range g.n[v] {
				area := float64(g.cut[u][i+1]-g.cut[u][i]) * float64(g.cut[v][j+1]-g.cut[v][j]) * 1e-12
				var c vec
				c[u], c[v] = i, j
				from := int64(-1)
				for k := range g.n[a] + 1 {
					c[a] = k
					open := k < g.n[a] && g.mark[g.at(c[0], c[1], c[2])] == cellFree
					if open && from < 0 {
						from = g.cut[a][k]
					}
					if !open && from >= 0 {
						b.addBars(a, g.cut[a][k]-from, area)
						from = -1
					}
				}
			}
		}
	}
}

func (b *bars) addBars(axis int, length int64, area float64) {
	if length < slices.Min(b.lengths[axis]) {
		return // nothing can be cut from it
	}
	for i := range b.classes {
		if c := &b.classes[i]; c.axis == axis && c.length == length {
			c.area += area
			return
		}
	}
	b.classes = append(b.classes, barClass{axis, length, area})
}

// cross returns the cross-section of a shape seen along axis a, m².
func cross(s *shape, a int) float64 {
	return float64(s.size[(a+1)%3]) * float64(s.size[(a+2)%3]) * 1e-12
}

// ask solves the programme for the wanted counts and returns what each shape
// takes and how much there is in all.
func (b *bars) ask(counts []int) (takes []float64, limit float64) {
	b.start()
	for range maxPivots {
		b.prices()
		if !b.enter(counts) || !b.pivot() {
			break
		}
	}
	takes = make([]float64, len(b.shapes))
	for i := range b.shapes {
		for a := range 3 {
			u := max(0, b.price[b.lengthRow(a, b.shapes[i].size[a])])
			takes[i] += u * cross(&b.shapes[i], a)
		}
	}
	for _, c := range b.classes {
		limit += c.area * b.bestPattern(&c).value
	}
	return takes, limit
}

func (b *bars) lengthRow(a int, v int64) int { return b.first[a] + slices.Index(b.lengths[a], v) }

func (b *bars) classRow(i int) int { return b.rows - b.kinds - len(b.classes) + i }

func (b *bars) kindRow(k int) int { return b.rows - b.kinds + k }

// start sets the basis of slacks. The right sides of zero are lifted a little,
// each differently, so that no pivot stands still.
func (b *bars) start() {
	for len(b.inverse) < b.rows {
		b.inverse = append(b.inverse, nil)
	}
	size := func(s []float64) []float64 {
		s = slices.Grow(s[:0], b.rows)[:b.rows]
		clear(s)
		return s
	}
	b.value, b.column, b.entered, b.price = size(b.value), size(b.column), size(b.entered), size(b.price)
	b.basic = b.basic[:0]
	for i := range b.rows {
		b.inverse[i] = size(b.inverse[i])
		b.inverse[i][i] = 1
		b.value[i] = 1e-7 * float64(i+1)
		b.basic = append(b.basic, 0)
	}
	for i, c := range b.classes {
		b.value[b.classRow(i)] += c.area
	}
}

// prices computes the dual prices; only the multiple itself, marked in basic,
// has a worth of one.
func (b *bars) prices() {
	clear(b.price)
	for i, mark := range b.basic {
		if mark == 1 {
			for j, v := range b.inverse[i] {
				b.price[j] += v
			}
		}
	}
}

// enter finds a column worth entering and puts it into b.column, with b.entered
// its form in the basis. It reports false if there is none.
func (b *bars) enter(counts []int) bool {
	clear(b.column)
	gain := 0.0
	mark := 0
	take := func(g float64, fill func()) {
		if g > gain+barsEpsilon {
			gain = g
			clear(b.column)
			fill()
		}
	}
	multiple := 1.0
	for k, n := range counts {
		multiple -= b.price[b.kindRow(k)] * float64(n)
	}
	take(multiple, func() {
		mark = 1
		for k, n := range counts {
			b.column[b.kindRow(k)] = float64(n)
		}
	})
	for i := range b.shapes {
		sh := &b.shapes[i]
		g := b.price[b.kindRow(sh.kind)]
		for a := range 3 {
			g -= b.price[b.lengthRow(a, sh.size[a])] * cross(sh, a)
		}
		take(g, func() {
			mark = 2
			b.column[b.kindRow(sh.kind)] = -1
			for a := range 3 {
				b.column[b.lengthRow(a, sh.size[a])] += cross(sh, a)
			}
		})
	}
	for i := range b.classes {
		c := &b.classes[i]
		p := b.bestPattern(c)
		take(p.value-b.price[b.classRow(i)], func() {
			mark = 2
			b.column[b.classRow(i)] = 1
			for j := range b.lengths[c.axis] {
				b.column[b.first[c.axis]+j] = -float64(p.count[j])
			}
		})
	}
	for i := range b.rows {
		take(-b.price[i], func() { // a slack that left comes back
			mark = 0
			b.column[i] = 1
		})
	}
	if gain <= barsEpsilon {
		return false
	}
	for i := range b.rows {
		v := 0.0
		for j, c := range b.column {
			if c != 0 {
				v += b.inverse[i][j] * c
			}
		}
		b.entered[i] = v
	}
	b.entering = mark
	return true
}

// pivot swaps the entering column for the one that it drives to zero first.
func (b *bars) pivot() bool {
	out := -1
	for i, v := range b.entered {
		if v > 1e-9 && (out < 0 || b.value[i]*b.entered[out] < b.value[out]*v) {
			out = i
		}
	}
	if out < 0 {
		return false
	}
	by := 1 / b.entered[out]
	for j := range b.rows {
		b.inverse[out][j] *= by
	}
	b.value[out] *= by
	for i, v := range b.entered {
		if i == out || v == 0 {
			continue
		}
		row, from := b.inverse[i], b.inverse[out]
		for j := range row {
			row[j] -= v * from[j]
		}
		b.value[i] -= v * b.value[out]
	}
	b.basic[out] = b.entering
	return true
}

// bestPattern finds the most valuable way to cut a bar of the class at the
// present prices; prices below zero count as zero.
func (b *bars) bestPattern(c *barClass) pattern {
	b.best = pattern{}
	b.ratio = 0
	for j, l := range b.lengths[c.axis] {
		b.ratio = max(b.ratio, b.price[b.first[c.axis]+j]/float64(l))
	}
	var p pattern
	b.cutBar(c, 0, c.length, &p)
	return b.best
}

func (b *bars) cutBar(c *barClass, j int, left int64, p *pattern) {
	if j == len(b.lengths[c.axis]) {
		if p.value > b.best.value {
			b.best = *p
		}
		return
	}
	if p.value+b.ratio*float64(left) <= b.best.value {
		return
	}
	l := b.lengths[c.axis][j]
	worth := max(0, b.price[b.first[c.axis]+j])
	n := 0
	if worth > 0 {
		n = int(left / l)
	}
	before := p.value
	least := 0
	if j == len(b.lengths[c.axis])-1 {
		least = n
	}
	for ; n >= least; n-- {
		p.count[j] = n
		p.value = before + float64(n)*worth
		b.cutBar(c, j+1, left-int64(n)*l, p)
	}
	p.count[j] = 0
	p.value = before
}
