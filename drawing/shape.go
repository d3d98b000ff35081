package drawing

import (
	"math"
	"slices"
)

// arrow draws a slender filled head with its tip at the point; the direction is
// that in which it points.
func (g *group) arrow(r role, tip point, dx, dy float64) {
	const long, half = 2.4, 0.42
	n := math.Hypot(dx, dy)
	if n == 0 {
		return
	}
	dx, dy = dx/n, dy/n
	g.shape(solidFill(r), tip,
		point{tip.x - long*dx - half*dy, tip.y - long*dy + half*dx},
		point{tip.x - long*dx + half*dy, tip.y - long*dy - half*dx})
}

// vector draws a line with a head at its end.
func (g *group) vector(r role, weight float64, from, to point) {
	dx, dy := to.x-from.x, to.y-from.y
	n := math.Hypot(dx, dy)
	if n > 2.4 {
		g.line(lineOf(r, weight), from, point{to.x - dx/n*2, to.y - dy/n*2})
	}
	g.arrow(r, to, dx, dy)
}

// dimension draws a dimension between two coordinates: extension lines from
// the object, the dimension line with its arrows, the figure over it.
type dimension struct {
	a, b   float64 // the two ends, along the dimension
	object float64 // where the object ends, across
	line   float64 // where the dimension line is, across
	text   string
}

const (
	extensionGap  = 0.8 // between object and extension line, mm; iso-128
	extensionOver = 1.2 // of the extension line beyond the dimension line, mm
)

// across draws a horizontal dimension.
func (g *group) across(d dimension) {
	st := lineOf(faint, thin)
	side := math.Copysign(1, d.line-d.object)
	for _, x := range [2]float64{d.a, d.b} {
		g.line(st, point{x, d.object + side*extensionGap}, point{x, d.line + side*extensionOver})
	}
	lo, hi := min(d.a, d.b), max(d.a, d.b)
	f := textOf(ink, sizeSmall).haloed()
	width := widthOf(d.text, f)
	if hi-lo < 6 {
		g.line(st, point{lo - 4, d.line}, point{hi + 4, d.line})
		g.arrow(faint, point{lo, d.line}, 1, 0)
		g.arrow(faint, point{hi, d.line}, -1, 0)
	} else {
		g.line(st, point{lo, d.line}, point{hi, d.line})
		g.arrow(faint, point{lo, d.line}, -1, 0)
		g.arrow(faint, point{hi, d.line}, 1, 0)
	}
	if width > hi-lo {
		g.text(f, point{hi + 4.6, d.line + 1}, d.text)
		return
	}
	g.text(f.to(middle), point{(lo + hi) / 2, d.line - 0.9}, d.text)
}

// upright draws a vertical dimension; its figure is read from the right.
func (g *group) upright(d dimension) {
	st := lineOf(faint, thin)
	side := math.Copysign(1, d.line-d.object)
	for _, y := range [2]float64{d.a, d.b} {
		g.line(st, point{d.object + side*extensionGap, y}, point{d.line + side*extensionOver, y})
	}
	lo, hi := min(d.a, d.b), max(d.a, d.b)
	f := textOf(ink, sizeSmall).haloed()
	if hi-lo < 6 {
		g.line(st, point{d.line, lo - 4}, point{d.line, hi + 4})
		g.arrow(faint, point{d.line, lo}, 0, 1)
		g.arrow(faint, point{d.line, hi}, 0, -1)
	} else {
		g.line(st, point{d.line, lo}, point{d.line, hi})
		g.arrow(faint, point{d.line, lo}, 0, -1)
		g.arrow(faint, point{d.line, hi}, 0, 1)
	}
	f.upward = true
	if widthOf(d.text, f) > hi-lo {
		g.text(f.to(start), point{d.line - 0.9, lo - 4.6}, d.text)
		return
	}
	g.text(f.to(middle), point{d.line - 0.9, (lo + hi) / 2}, d.text)
}

// hatch draws lines at 45° over a convex polygon.
func (g *group) hatch(st style, spacing float64, polygon []point) {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range polygon {
		lo, hi = min(lo, p.x+p.y), max(hi, p.x+p.y)
	}
	if !(hi-lo < 1e5) {
		return // the outline, drawn with it, tells of a value that is not finite
	}
	for c := (math.Floor(lo/spacing) + 1) * spacing; c < hi; c += spacing {
		if a, b, ok := cutBy(polygon, c); ok {
			g.line(st, a, b)
		}
	}
}

// cutBy returns where the line x + y = c enters and leaves a convex polygon.
func cutBy(polygon []point, c float64) (a, b point, ok bool) {
	var hits []point
	for i, p := range polygon {
		q := polygon[(i+1)%len(polygon)]
		u, v := p.x+p.y-c, q.x+q.y-c
		if (u < 0) != (v < 0) {
			t := u / (u - v)
			hits = append(hits, point{p.x + t*(q.x-p.x), p.y + t*(q.y-p.y)})
		}
	}
	if len(hits) != 2 || math.Abs(hits[0].x-hits[1].x) < 0.05 {
		return a, b, false
	}
	return hits[0], hits[1], true
}

// hull returns the convex hull of the points, anticlockwise from the left, by
// the monotone chain of Andrew (from memory).
func hull(points []point) []point {
	// Points closer than what is drawn count as one, or rounding would make turns
	// of either sign between them.
	const least = 1e-4
	p := make([]point, len(points))
	for i, q := range points {
		p[i] = point{math.Round(q.x/least) * least, math.Round(q.y/least) * least}
	}
	slices.SortFunc(p, func(a, b point) int {
		switch {
		case a.x != b.x && a.x < b.x, a.x == b.x && a.y < b.y:
			return -1
		case a == b:
			return 0
		}
		return 1
	})
	p = slices.Compact(p)
	if len(p) < 3 {
		return p
	}
	half := func(next func(i int) point) []point {
		var h []point
		for i := range p {
			q := next(i)
			for len(h) >= 2 && turn(h[len(h)-2], h[len(h)-1], q) <= 1e-9 {
				h = h[:len(h)-1]
			}
			h = append(h, q)
		}
		return h[:len(h)-1]
	}
	lower := half(func(i int) point { return p[i] })
	upper := half(func(i int) point { return p[len(p)-1-i] })
	return append(lower, upper...)
}

func turn(a, b, c point) float64 { return (b.x-a.x)*(c.y-a.y) - (b.y-a.y)*(c.x-a.x) }

// extentOf returns the rectangle around points.
func extentOf(points []point) span {
	e := span{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, p := range points {
		e = span{min(e.x0, p.x), min(e.y0, p.y), max(e.x1, p.x), max(e.y1, p.y)}
	}
	return e
}

// massCentre draws the sign of a centre of gravity: a quartered circle, two
// quarters of it filled.
func (g *group) massCentre(r role, at point, radius float64) {
	k := radius * 0.5522847498 // of a quarter circle as a cubic, from memory
	for _, s := range [2]float64{1, -1} {
		g.path(solidFill(r),
			step{op: move, p: [3]point{at}},
			step{op: lineT, p: [3]point{at.plus(s*radius, 0)}},
			step{op: curve, p: [3]point{at.plus(s*radius, -s*k), at.plus(s*k, -s*radius), at.plus(0, -s*radius)}},
			step{op: shut})
	}
	g.circle(lineOf(r, thin*1.5).filled(paper, 0), at, radius)
	g.line(lineOf(r, thin), at.plus(-radius*1.7, 0), at.plus(radius*1.7, 0))
	g.line(lineOf(r, thin), at.plus(0, -radius*1.7), at.plus(0, radius*1.7))
}

// cross draws the sign of a thing taken out, plus that of a thing put in.
func (g *group) cross(r role, at point, size float64) {
	g.line(lineOf(r, medium), at.plus(-size, -size), at.plus(size, size))
	g.line(lineOf(r, medium), at.plus(-size, size), at.plus(size, -size))
}

func (g *group) plus(r role, at point, size float64) {
	g.line(lineOf(r, medium), at.plus(-size, 0), at.plus(size, 0))
	g.line(lineOf(r, medium), at.plus(0, -size), at.plus(0, size))
}
