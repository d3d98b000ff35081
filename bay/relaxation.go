package bay

import "slices"

// relaxation bounds counts by a linear programme. On each axis the region is a
// bundle of bars; a bar of length L is cut into edges that fit side by side into
// L, and a module takes, on every axis, bars of its cross-section cut to its
// edge (the bar relaxation; Source: Scheithauer 1999, from memory). Sections
// across an axis can be added: a stretch of the axis is filled with patterns of
// rectangles that lie side by side, and a module takes as much of the stretch as
// its edge is long. The programme asks how large a multiple of the wanted counts
// bars and sections allow; its dual prices give an inequality, which is then
// computed on its own, so that no rounding of the programme reaches a proof.
type relaxation struct {
	shapes   []shape
	kinds    int
	size     vec // of the container
	families []family
	stocks   []stock
	rows     int
	inverse  [][]float64 // of the basis
	value    []float64   // of the basic columns
	column   []float64
	entered  []float64
	price    []float64
	basic    []int // mark of each basic column
	entering int
	best     pattern
	ratio    float64 // greatest price of a length of the family by its length
	cuts     int     // steps of the last search for a pattern
}

// family is one way to look at the region: row[i] is which of its rows shape i
// takes from, take[i] how much.
type family struct {
	first   int // its first row
	row     []int
	take    []float64
	lengths []int64 // of bars: the edge of each row
	rows    int
}

// stock is what patterns are cut from: bars of one length, or a stretch with
// one section.
type stock struct {
	family int
	length int64     // of bars
	amount float64   // of bars their share of the cross-section, of a stretch its share of the axis
	table  []pattern // of a stretch: patterns to which nothing can be added
}

// pattern counts, for each row of a family, what is cut from one unit of stock.
type pattern struct {
	count [rowsOfFamily]int
	value float64
}

const (
	rowsOfFamily = 24
	pivotsMax    = 300
	cutsMax      = 2_000 // steps of the search for one pattern
	priceEpsilon = 1e-9
)

// Marks of basic columns. Only the multiple is worth anything.
const (
	markSlack = iota
	markMultiple
	markOther
)

// begin collects the bars of the region. It reports false if there is nothing
// to ask.
func (x *relaxation) begin(r *region, shapes []shape, kinds int) bool {
	x.shapes, x.kinds, x.size = shapes, kinds, r.size
	x.stocks, x.families = x.stocks[:0], x.families[:0]
	for a := range 3 {
		f := family{}
		for i := range shapes {
			v := shapes[i].size[a]
			at := slices.Index(f.lengths, v)
			if at < 0 {
				at = len(f.lengths)
				f.lengths = append(f.lengths, v)
			}
			f.row = append(f.row, at)
			f.take = append(f.take, x.cross(&shapes[i], a))
		}
		if f.rows = len(f.lengths); f.rows > rowsOfFamily {
			return false
		}
		x.families = append(x.families, f)
	}
	if len(shapes) == 0 {
		return false
	}
	x.collectBars(r)
	return true
}

// addSections adds a family of sections across axis a: shape i belongs to class
// classOf[i]. Stretches follow by addStretch.
func (x *relaxation) addSections(a int, classOf []int, classes int) {
	f := family{row: slices.Clone(classOf), rows: classes}
	for i := range x.shapes {
		f.take = append(f.take, float64(x.shapes[i].size[a])/float64(x.size[a]))
	}
	x.families = append(x.families, f)
}

// addStretch adds a stretch of the axis, as a share of it, to the last family.
func (x *relaxation) addStretch(share float64, table []pattern) {
	x.stocks = append(x.stocks, stock{family: len(x.families) - 1, amount: share, table: table})
}

// collectBars cuts the region's open space into bars along each axis.
func (x *relaxation) collectBars(r *region) {
	var solid []block
	for _, b := range r.blocks {
		if b.solid() {
			solid = append(solid, b)
		}
	}
	g := newGrid([]block{{hi: r.size}}, solid)
	for a := range 3 {
		u, v := (a+1)%3, (a+2)%3
		for i := range g.n[u] {
			for j := range g.n[v] {
				share := float64(g.cut[u][i+1]-g.cut[u][i]) / float64(r.size[u])
				share *= float64(g.cut[v][j+1]-g.cut[v][j]) / float64(r.size[v])
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
						x.addBars(a, g.cut[a][k]-from, share)
						from = -1
					}
				}
			}
		}
	}
}

func (x *relaxation) addBars(axis int, length int64, share float64) {
	if length < slices.Min(x.families[axis].lengths) {
		return // nothing can be cut from it
	}
	for i := range x.stocks {
		if s := &x.stocks[i]; s.family == axis && s.length == length {
			s.amount += share
			return
		}
	}
	x.stocks = append(x.stocks, stock{family: axis, length: length, amount: share})
}

// cross returns the cross-section of a shape seen along axis a, as a share of
// the container's.
func (x *relaxation) cross(s *shape, a int) float64 {
	u, v := (a+1)%3, (a+2)%3
	return float64(s.size[u]) / float64(x.size[u]) * float64(s.size[v]) / float64(x.size[v])
}

// ask solves the programme for the wanted counts and returns what each shape
// takes and how much there is in all.
func (x *relaxation) ask(counts []int) (takes []float64, limit float64) {
	x.start()
	for range pivotsMax {
		x.prices()
		if !x.enter(counts) || !x.pivot() {
			break
		}
	}
	takes = make([]float64, len(x.shapes))
	for i := range x.shapes {
		for k := range x.families {
			f := &x.families[k]
			takes[i] += max(0, x.price[f.first+f.row[i]]) * f.take[i]
		}
	}
	for i := range x.stocks {
		s := &x.stocks[i]
		value := x.bestPattern(s).value
		if x.cuts > cutsMax { // not all patterns were seen: count by length
			value = x.ratio * float64(s.length)
		}
		limit += s.amount * value
	}
	return takes, limit
}

func (x *relaxation) stockRow(i int) int { return x.rows - x.kinds - len(x.stocks) + i }

func (x *relaxation) kindRow(k int) int { return x.rows - x.kinds + k }

// start sets the basis of slacks. The right sides of zero are lifted a little,
// each differently, so that no pivot stands still.
func (x *relaxation) start() {
	x.rows = 0
	for k := range x.families {
		x.families[k].first = x.rows
		x.rows += x.families[k].rows
	}
	x.rows += len(x.stocks) + x.kinds
	for len(x.inverse) < x.rows {
		x.inverse = append(x.inverse, nil)
	}
	size := func(s []float64) []float64 {
		s = slices.Grow(s[:0], x.rows)[:x.rows]
		clear(s)
		return s
	}
	x.value, x.column, x.entered, x.price = size(x.value), size(x.column), size(x.entered), size(x.price)
	x.basic = x.basic[:0]
	for i := range x.rows {
		x.inverse[i] = size(x.inverse[i])
		x.inverse[i][i] = 1
		x.value[i] = 1e-7 * float64(i+1)
		x.basic = append(x.basic, markSlack)
	}
	for i := range x.stocks {
		x.value[x.stockRow(i)] += x.stocks[i].amount
	}
}

// prices computes the dual prices.
func (x *relaxation) prices() {
	clear(x.price)
	for i, mark := range x.basic {
		if mark == markMultiple {
			for j, v := range x.inverse[i] {
				x.price[j] += v
			}
		}
	}
}

// enter finds the column most worth entering and computes its form in the
// basis. It reports false if there is none.
func (x *relaxation) enter(counts []int) bool {
	gain := priceEpsilon
	multiple := 1.0
	for k, n := range counts {
		multiple -= x.price[x.kindRow(k)] * float64(n)
	}
	found := false
	if multiple > gain {
		gain, found = multiple, true
		x.fill(markMultiple)
		for k, n := range counts {
			x.column[x.kindRow(k)] = float64(n)
		}
	}
	for i := range x.shapes {
		g := x.price[x.kindRow(x.shapes[i].kind)]
		for k := range x.families {
			f := &x.families[k]
			g -= x.price[f.first+f.row[i]] * f.take[i]
		}
		if g > gain {
			gain, found = g, true
			x.fill(markOther)
			x.column[x.kindRow(x.shapes[i].kind)] = -1
			for k := range x.families {
				f := &x.families[k]
				x.column[f.first+f.row[i]] = f.take[i]
			}
		}
	}
	for i := range x.stocks {
		p := x.bestPattern(&x.stocks[i])
		if g := p.value - x.price[x.stockRow(i)]; g > gain {
			gain, found = g, true
			x.fill(markOther)
			x.column[x.stockRow(i)] = 1
			f := &x.families[x.stocks[i].family]
			for j := range f.rows {
				x.column[f.first+j] = -float64(p.count[j])
			}
		}
	}
	for i := range x.rows {
		if -x.price[i] > gain { // a slack that left comes back
			gain, found = -x.price[i], true
			x.fill(markSlack)
			x.column[i] = 1
		}
	}
	if found {
		x.transform()
	}
	return found
}

// fill begins a new entering column.
func (x *relaxation) fill(mark int) {
	clear(x.column)
	x.entering = mark
}

// transform expresses the entering column in the basis.
func (x *relaxation) transform() {
	clear(x.entered)
	for j, c := range x.column {
		if c == 0 {
			continue
		}
		for i := range x.rows {
			x.entered[i] += x.inverse[i][j] * c
		}
	}
}

// pivot swaps the entering column for the one that it drives to zero first.
func (x *relaxation) pivot() bool {
	out := -1
	for i, v := range x.entered {
		if v > 1e-9 && (out < 0 || x.value[i]*x.entered[out] < x.value[out]*v) {
			out = i
		}
	}
	if out < 0 {
		return false
	}
	by := 1 / x.entered[out]
	for j := range x.rows {
		x.inverse[out][j] *= by
	}
	x.value[out] *= by
	for i, v := range x.entered {
		if i == out || v == 0 {
			continue
		}
		row, from := x.inverse[i], x.inverse[out]
		for j := range row {
			row[j] -= v * from[j]
		}
		x.value[i] -= v * x.value[out]
	}
	x.basic[out] = x.entering
	return true
}

// bestPattern finds the most valuable pattern of the stock at the present
// prices; prices below zero count as zero.
func (x *relaxation) bestPattern(s *stock) pattern {
	f := &x.families[s.family]
	x.best = pattern{}
	x.cuts = 0
	if f.lengths == nil {
		for _, p := range s.table {
			p.value = 0
			for j := range f.rows {
				p.value += float64(p.count[j]) * max(0, x.price[f.first+j])
			}
			if p.value > x.best.value {
				x.best = p
			}
		}
		return x.best
	}
	x.ratio = 0
	for j, l := range f.lengths {
		x.ratio = max(x.ratio, x.price[f.first+j]/float64(l))
	}
	var p pattern
	x.cutBar(f, 0, s.length, &p)
	return x.best
}

func (x *relaxation) cutBar(f *family, j int, left int64, p *pattern) {
	if j == f.rows {
		if p.value > x.best.value {
			x.best = *p
		}
		return
	}
	if x.cuts++; x.cuts > cutsMax || p.value+x.ratio*float64(left) <= x.best.value {
		return
	}
	l := f.lengths[j]
	worth := max(0, x.price[f.first+j])
	n := 0
	if worth > 0 {
		n = int(left / l)
	}
	least := 0
	if j == f.rows-1 {
		least = n
	}
	before := p.value
	for ; n >= least; n-- {
		p.count[j] = n
		p.value = before + float64(n)*worth
		x.cutBar(f, j+1, left-int64(n)*l, p)
	}
	p.count[j] = 0
	p.value = before
}
