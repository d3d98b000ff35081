package drawing

import (
	"errors"

	"packyard/unit"
)

// ErrNotFinite says that a picture cannot be written because a value that it
// shows is NaN or infinite.
var ErrNotFinite = errors.New("picture holds a number that is not finite")

// role is what a line or an area stands for; colours belong to roles.
type role uint8

const (
	noRole role = iota
	ink
	faint
	accent
	hv
	bad
	paper
	roleCount
)

// Line widths in mm. Source: iso-128, the series of two-to-one widths.
const (
	thin   = 0.18
	medium = 0.35
	thick  = 0.6
)

// Text sizes in mm: small enough for a sheet, and 10 px high where a sheet of
// sheetWidth is shown 768 px wide.
const (
	sizeSmall = 2.9
	sizeText  = 3.3
	sizeHead  = 5.2
)

// dash is a pattern of a line.
type dash uint8

const (
	solid   dash = iota
	dashed       // hidden or outlying
	chained      // centre lines and axes
	dotted       // limits
)

// style says how a line or area is drawn. Density is the opacity of the fill,
// 0…1.
type style struct {
	stroke  role
	weight  float64
	dash    dash
	light   bool // of a grid, hardly seen
	fill    role
	density float64
}

// lineOf returns a solid line.
func lineOf(r role, weight float64) style { return style{stroke: r, weight: weight} }

// gridLine is drawn behind everything.
var gridLine = style{stroke: faint, weight: thin, light: true}

// with returns the style with a dash pattern.
func (st style) with(d dash) style { st.dash = d; return st }

// filled returns the style with a fill of light density.
func (st style) filled(r role, density float64) style {
	st.fill, st.density = r, density
	return st
}

// solidFill fills without a line: arrow heads, dots, terminals.
func solidFill(r role) style { return style{fill: r, density: 1} }

// point is a place on the sheet in mm, from the upper left corner.
type point struct{ x, y float64 }

func (p point) plus(x, y float64) point { return point{p.x + x, p.y + y} }

// op is a step of a path.
type op byte

const (
	move  op = 'M'
	lineT op = 'L'
	curve op = 'C' // cubic, two control points and the end
	shut  op = 'Z'
)

// points is how many points a step has.
func (o op) points() int {
	switch o {
	case curve:
		return 3
	case shut:
		return 0
	}
	return 1
}

// step is one step of a path; a curve uses all three points, a line the first.
type step struct {
	op op
	p  [3]point
}

type markKind uint8

const (
	pathMark markKind = iota
	circleMark
	textMark
)

// mark is one thing drawn.
type mark struct {
	kind   markKind
	style  style
	path   []step
	at     point
	radius float64
	text   string
	face   face
}

// anchor is the point of a text that stands at its place.
type anchor uint8

const (
	start anchor = iota
	middle
	end
)

// face is how text is set.
type face struct {
	size   float64
	role   role
	anchor anchor
	bold   bool
	halo   bool // a rim of paper, for text over lines
	upward bool // read from the right-hand side, turned a quarter to the left
}

func textOf(r role, size float64) face { return face{size: size, role: r} }

func (f face) to(a anchor) face { f.anchor = a; return f }
func (f face) strong() face     { f.bold = true; return f }
func (f face) haloed() face     { f.halo = true; return f }

// pair is one attribute of an object.
type pair struct{ key, value string }

// group holds marks and groups in the order in which they are drawn.
type group struct {
	kind, name string // of the object shown; empty: a plain group
	value      string // its SI value, empty: none
	data       []pair // further attributes
	note       string // said when pointed at
	parts      []piece
}

// piece is a mark or a group.
type piece struct {
	mark  *mark
	group *group
}

// Sheet is one picture on paper.
type Sheet struct {
	width, height float64 // mm
	heading, desc string
	prefix        string
	root          group
	notFinite     bool // a value shown is not a number: nothing is written
}

// Size returns the size of the sheet on paper.
func (s *Sheet) Size() (width, height unit.Length) {
	return unit.Length(s.width) * unit.Millimetre, unit.Length(s.height) * unit.Millimetre
}

// Heading returns what the sheet shows, in words.
func (s *Sheet) Heading() string { return s.heading }

// plain adds a group without an object.
func (g *group) plain() *group { return g.object("", "", "") }

// object adds a group that shows an object.
func (g *group) object(kind, name, value string, data ...pair) *group {
	n := &group{kind: kind, name: name, value: value, data: data}
	g.parts = append(g.parts, piece{group: n})
	return n
}

func (g *group) add(m mark) { g.parts = append(g.parts, piece{mark: &m}) }

func (g *group) line(st style, a, b point) { g.poly(st, a, b) }

// poly draws a line through the points.
func (g *group) poly(st style, points ...point) { g.add(mark{style: st, path: stepsOf(points)}) }

// shape draws a closed polygon.
func (g *group) shape(st style, points ...point) {
	g.add(mark{style: st, path: append(stepsOf(points), step{op: shut})})
}

func stepsOf(points []point) []step {
	out := make([]step, len(points), len(points)+1)
	for i, p := range points {
		out[i] = step{op: lineT, p: [3]point{p}}
	}
	if len(out) > 0 {
		out[0].op = move
	}
	return out
}

func (g *group) path(st style, steps ...step) { g.add(mark{style: st, path: steps}) }

func (g *group) rect(st style, x, y, w, h float64) {
	g.shape(st, point{x, y}, point{x + w, y}, point{x + w, y + h}, point{x, y + h})
}

func (g *group) circle(st style, at point, radius float64) {
	g.add(mark{kind: circleMark, style: st, at: at, radius: radius})
}

// text sets a line of text with its baseline at the point.
func (g *group) text(f face, at point, s string) {
	if s != "" {
		g.add(mark{kind: textMark, face: f, at: at, text: s})
	}
}
