package bay

import (
	"slices"
	"time"
)

// sections bounds what the region holds by what its sections across an axis
// hold. Every plane across the bay cuts modules in rectangles that lie side by
// side in its section. Summed over planes, or integrated along the axis, that
// bounds the modules themselves.
type sections struct {
	flat     flat
	low, up  []int16 // of layered: tables over all layers
	layers   int
	pillars  bool // all blocks run through along the axis: layers repeat
	axis     int
	edge     int64
	classes  []sectionClass
	classOf  []int
	measures []levelMeasure
}

// sectionClass is a kind standing with one edge along the axis.
type sectionClass struct {
	kind int
	edge int64
}

// layered fills low and up for shapes that share their edge on an axis: then
// planes one edge apart meet every module once. It reports false if they do not
// share one.
func (c *sections) layered(r *region, shapes []shape, reach []int, main, budget int, until time.Time) bool {
	a, ok := sharedEdge(shapes)
	if !ok {
		return false
	}
	c.axis, c.edge = a, shapes[0].size[a]
	c.layers = int(r.size[a] / c.edge)
	c.pillars = true
	for _, b := range r.blocks {
		c.pillars = c.pillars && b.lo[a] <= 0 && b.hi[a] >= r.size[a]
	}
	c.low, c.up = c.low[:0], c.up[:0]
	c.overPlanes(r, shapes, reach, main, budget, until, false)
	if !c.pillars {
		c.overPlanes(r, shapes, reach, main, budget, until, true)
	}
	return true
}

// overPlanes joins the sections at planes one edge apart, counted from one wall
// or the other, and keeps the lower of the bounds found so far.
func (c *sections) overPlanes(r *region, shapes []shape, reach []int, main, budget int, until time.Time, mirror bool) {
	f := &c.flat
	var sum, next, low []int16
	var seen []block
	for k := 1; k <= c.layers; k++ {
		v := int64(k)*c.edge - 1
		if mirror {
			v = r.size[c.axis] - int64(k)*c.edge
		}
		old := append(seen[:0:0], f.region.blocks...)
		f.at(r, shapes, c.axis, v, func(i int) int { return shapes[i].kind }, len(reach))
		if k == 1 || !slices.Equal(old, f.region.blocks) {
			f.close(reach, main, budget, until)
		}
		if k == 1 {
			sum, low = slices.Clone(f.upper), slices.Clone(f.lower)
			continue
		}
		next = append(next[:0], sum...)
		f.split.join(next, sum, f.upper)
		sum, next = next, sum
		if c.pillars {
			both := slices.Clone(low)
			f.split.join(both, low, f.lower)
			low = both
		}
	}
	if c.layers == 0 {
		return
	}
	if len(c.up) == 0 {
		c.up = append(c.up, sum...)
	}
	for i, v := range sum {
		c.up[i] = min(c.up[i], v)
	}
	if c.pillars {
		c.low = append(c.low[:0], low...)
	}
}

// place builds the layers for an entry of low.
func (c *sections) place(entry int, value int16, height int64, spots []spot) ([]spot, bool) {
	f := &c.flat
	items := []cutItem{{c.edge, f.lower}}
	trash := f.split.table()
	picks := f.split.cut(items, height, trash, entry, value)
	if picks == nil {
		return spots, false
	}
	for n, p := range picks {
		from := len(spots)
		var ok bool
		if spots, ok = f.place(p.entry, spots); !ok {
			return spots, false
		}
		for i := from; i < len(spots); i++ {
			spots[i].at[c.axis] = int64(n) * c.edge
		}
	}
	return spots, true
}

// levelMeasure weighs one stretch of the axis under each scale.
type levelMeasure struct {
	at int64 // where the section is looked at
	of []float64
	// share of the axis
	share float64
}

const (
	classesMax = othersMax + 1
	entriesMax = 64
)

// bound adds to b the inequalities Σ worth[kind]·count ≤ limit that the
// sections across axis a give under the scales of that axis.
// They are added to x as well.
func (c *sections) bound(b *bounds, x *relaxation, r *region, shapes []shape, worth []float64, a, budget int, until time.Time) {
	scales := c.scalesFor(b, r, shapes, a)
	if !c.classify(shapes, a) {
		return
	}
	reach, main := c.reach(r, shapes, a)
	if reach == nil {
		return
	}
	x.addSections(a, c.classOf, len(c.classes))
	f := &c.flat
	limits := make([]float64, len(scales))
	for _, m := range c.measures {
		f.at(r, shapes, a, m.at, func(i int) int { return c.classOf[i] }, len(c.classes))
		f.close(reach, main, budget, until)
		x.addStretch(m.share, f.patterns(main))
		for k, s := range scales {
			limits[k] += m.of[k] * c.richest(s, shapes, worth, main)
		}
	}
	value := make([]float64, len(shapes))
	for i := range shapes {
		value[i] = worth[shapes[i].kind]
	}
	for k, s := range scales {
		if !slices.Contains(s.of, 0) {
			b.add(shapes, len(worth), value, limits[k])
		}
	}
}

// richest returns the greatest worth, per unit of scale, of what the section
// may hold.
func (c *sections) richest(s scale, shapes []shape, worth []float64, main int) float64 {
	f := &c.flat
	per := make([]float64, len(c.classes))
	for i, k := range c.classOf {
		if s.of[i] > 0 {
			per[k] = worth[shapes[i].kind] / s.of[i]
		}
	}
	best := 0.0
	for i, v := range f.upper {
		if v < 0 {
			continue
		}
		sum := 0.0
		for k, n := range f.entry(i, main, int(v)) {
			sum += float64(n) * per[k]
		}
		best = max(best, sum)
	}
	return best
}

// classify groups the shapes; it reports false if there are too many classes.
func (c *sections) classify(shapes []shape, a int) bool {
	c.classes, c.classOf = c.classes[:0], c.classOf[:0]
	for i := range shapes {
		class := sectionClass{shapes[i].kind, shapes[i].size[a]}
		k := slices.Index(c.classes, class)
		if k < 0 {
			k = len(c.classes)
			c.classes = append(c.classes, class)
		}
		c.classOf = append(c.classOf, k)
	}
	return len(c.classes) <= classesMax
}

// reach says how far the tables must go: no more of a class than its area
// allows. The class with most is the main one. It returns nil if the tables
// would be large.
func (c *sections) reach(r *region, shapes []shape, a int) (reach []int, main int) {
	reach = make([]int, len(c.classes))
	section := float64(r.size[(a+1)%3]) * float64(r.size[(a+2)%3])
	for i, k := range c.classOf {
		// Shapes of one class differ in area once edges are raised: the least counts.
		reach[k] = max(reach[k], int(section/(shapes[i].volume/float64(shapes[i].size[a]))))
	}
	entries := 1
	for k := range reach {
		if reach[k] > reach[main] {
			main = k
		}
		entries *= reach[k] + 1
	}
	if entries/(reach[main]+1) > entriesMax {
		return nil, 0
	}
	return reach, main
}

// scalesFor lists the scales of an axis, and in c.measures how they weigh each
// stretch between faces of blocks.
func (c *sections) scalesFor(b *bounds, r *region, shapes []shape, a int) []scale {
	c.measures = c.measures[:0]
	if len(r.blocks) == 0 {
		m := levelMeasure{share: 1}
		for _, s := range b.scales[a] {
			m.of = append(m.of, s.limit)
		}
		c.measures = append(c.measures, m)
		return b.scales[a]
	}
	steps := []int64{0}
	for i := range shapes {
		if q := shapes[i].size[a]; !slices.Contains(steps, q) {
			steps = append(steps, q)
		}
	}
	var scales []scale
	for _, q := range steps {
		s := scale{}
		for i := range shapes {
			s.of = append(s.of, planesIn(shapes[i].size[a], q))
		}
		scales = append(scales, s)
		if q > 0 {
			scales = append(scales, s) // once more, counted from the far wall
		}
	}
	cuts := []int64{0, r.size[a]}
	for _, x := range r.blocks {
		if x.solid() {
			cuts = append(cuts, x.lo[a], x.hi[a])
		}
	}
	slices.Sort(cuts)
	cuts = slices.Compact(cuts)
	for i := range len(cuts) - 1 {
		lo, hi := cuts[i], cuts[i+1]
		m := levelMeasure{at: lo, share: float64(hi-lo) / float64(r.size[a])}
		for _, q := range steps {
			if q == 0 {
				m.of = append(m.of, float64(hi-lo))
				continue
			}
			far := r.size[a]
			m.of = append(m.of, float64(hi/q-lo/q), float64((far-lo)/q-(far-hi)/q))
		}
		c.measures = append(c.measures, m)
	}
	return scales
}
