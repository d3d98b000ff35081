package drawing

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"packyard/bay"
	"packyard/design"
	"packyard/unit"
)

// BayViews draws bay i of the brief in three orthogonal views, in the frame of
// the bay before it is turned: its boxes with dimensions, the room inside wall
// and clearance, keep-outs hatched, the side that it opens to, and the modules in
// their places with number, stack axis and terminal side; below them a list of
// the places. Panics if there is no bay i.
func BayViews(v View, i int) *Sheet {
	b, line := &v.Brief.Bays[i], v.bayLine(i)
	s := newSheet("bay-"+strconv.Itoa(i), "Bay: "+b.Name, v.bayNotes(b), v.Title)
	s.notFinite = v.notFinite()
	at, edges := b.Extent()
	lo := [3]float64{float64(at.X), float64(at.Y), float64(at.Z)}
	long := [3]float64{float64(edges.X), float64(edges.Y), float64(edges.Z)}
	const left, between, top, tall = 11.0, 15.0, headHeight + 16, 190.0
	scale := scaleFor(max(long[0]+long[1], (long[2]+long[1])*150/tall), sheetWidth-2*edge-left-between-6)
	k := 1000 / scale
	x, y := edge+left, float64(top)
	side := frame{from: fromLeft, k: k, x0: x - k*lo[0], y0: y + k*(lo[2]+long[2])}
	front := frame{from: fromFront, k: k, x0: x + k*long[0] + between - k*lo[1], y0: side.y0}
	plan := frame{from: fromAbove, k: k, x0: side.x0, y0: y + k*long[2] + between - k*lo[1]}
	for _, p := range []struct {
		f    frame
		name string
	}{{side, "from the left"}, {front, "from the front"}, {plan, "from above"}} {
		g := s.root.object("view", p.name, "", p.f.attributes("bay-"+strings.TrimPrefix(strings.TrimPrefix(p.name, "from "), "the "))...)
		v.bayView(g, p.f, i, p.name)
	}
	g := s.root.plain()
	box := extentOf(corners(side, lo, long))
	g.across(dimension{a: box.x0, b: box.x1, object: box.y0, line: box.y0 - 9, text: size(v.Title, edges.X)})
	g.upright(dimension{a: box.y0, b: box.y1, object: box.x0, line: box.x0 - 7, text: size(v.Title, edges.Z)})
	fore := extentOf(corners(front, lo, long))
	g.across(dimension{a: fore.x0, b: fore.x1, object: fore.y0, line: fore.y0 - 9, text: size(v.Title, edges.Y)})
	below := extentOf(corners(plan, lo, long))
	g.upright(dimension{a: below.y0, b: below.y1, object: below.x0, line: below.x0 - 7, text: size(v.Title, edges.Y)})
	v.baySummary(g, b, line, span{fore.x0, below.y0, min(fore.x0+94, sheetWidth-edge), below.y1})
	bottom := max(below.y1+13, below.y0+rowHeight*8)
	bottom = v.keepOutTable(s.root.plain(), b, bottom)
	bottom = v.placeTable(s.root.plain(), line, bottom)
	bottom = bayKey(s.root.plain(), len(line.Places) > 0, bottom)
	return s.finish(bottom, scale, true, v.Title)
}

func corners(f frame, at, size [3]float64) []point {
	var out []point
	for _, c := range (cuboid{at, size}).corners() {
		out = append(out, f.at(c[0], c[1], c[2]))
	}
	return out
}

// bayKey explains the signs.
func bayKey(g *group, modules bool, y float64) float64 {
	f := textOf(faint, sizeSmall)
	lines := []string{"dashed: room inside wall and clearance; hatched: keep-out; places and sizes from the corner of the bay nearest front, right and ground"}
	if modules {
		lines = append(lines, "heavy line or two dots: terminal side (rings: on the far side); chain line or ring with a point: axis of the stack")
	}
	for _, t := range lines {
		for _, l := range wrap(t, f, sheetWidth-2*edge) {
			y += rowHeight
			g.text(f, point{edge, y}, l)
		}
	}
	return y + 1
}

// bayNotes says what the room loses to the battery box and how the bay lies.
func (v View) bayNotes(b *bay.Bay) string {
	t := v.Title
	parts := []string{"wall " + size(t, b.Wall), "clearance " + size(t, b.Clearance), "gap " + size(t, b.Gap), "connector room " + size(t, b.Connector)}
	if b.Yaw != 0 || b.Pitch != 0 {
		parts = append(parts, "drawn before it is turned")
	}
	return strings.Join(parts, ", ")
}

// baySummary sets what is in the bay beside the view from above.
func (v View) baySummary(g *group, b *bay.Bay, line design.BayLine, room span) {
	t := v.Title
	corner := fmt.Sprintf("%s, %s, %s", minus(size(t, b.At.X)), minus(size(t, b.At.Y)), minus(size(t, b.At.Z)))
	rows := [][2]string{
		{"corner in the vehicle (x, y, z)", corner},
		{"room in its boxes, keep-outs off", say(t, b.Volume())},
		{"opens to (arrows)", "the " + string(b.Opens)},
		{"modules", strconv.Itoa(len(line.Places))},
	}
	if b.Yaw != 0 || b.Pitch != 0 {
		rows = append(rows, [2]string{"turned in the vehicle", fmt.Sprintf("yaw %.1f°, pitch %.1f°", noNegative(b.Yaw.Degrees(), 1), noNegative(b.Pitch.Degrees(), 1))})
	}
	if line.Mass > 0 {
		rows = append(rows, [2]string{inBay, massText(t, line.Mass)})
	}
	if b.MassLimit > 0 {
		rows = append(rows, [2]string{"mass limit", massText(t, b.MassLimit)})
	}
	f, y := textOf(ink, sizeSmall), room.y0+2
	for _, r := range rows {
		g.text(textOf(faint, sizeSmall), point{room.x0, y}, fit(r[0], f, room.x1-room.x0))
		face := f.to(end)
		if r[0] == inBay && b.MassLimit > 0 && line.Mass > b.MassLimit {
			face.role = bad
			r[1] += " over"
		}
		if widthOf(r[0], f)+widthOf(r[1], f)+2 > room.x1-room.x0 {
			y += rowHeight
		}
		g.text(face, point{room.x1, y}, fit(r[1], face, room.x1-room.x0))
		y += rowHeight
	}
}

const inBay = "mass in it, box included"

func minus(s string) string { return strings.ReplaceAll(s, "-", "−") }

// bayView draws one view of a bay.
func (v View) bayView(g *group, f frame, i int, name string) {
	b := &v.Brief.Bays[i]
	var all []point
	for i, x := range b.Boxes {
		p, _ := f.outline(cuboidOf(x), nil)
		st := lineOf(ink, thick)
		if f.behind(b.Boxes, i) {
			st = lineOf(ink, thin).with(dashed)
		}
		g.shape(st, p...)
		all = append(all, p...)
	}
	for i, x := range b.Boxes {
		if f.behind(b.Boxes, i) {
			continue
		}
		if p, ok := f.inner(cuboidOf(x), float64(b.Wall+b.Clearance)); ok {
			g.shape(lineOf(faint, thin).with(dashed), p...)
		}
	}
	for k, x := range b.KeepOuts {
		p, _ := f.outline(cuboidOf(x), nil)
		h := g.object("keep-out", b.Name+" keep-out "+strconv.Itoa(k+1), "", pair{"bay", b.Name})
		h.note = "keep-out " + strconv.Itoa(k+1)
		h.shape(lineOf(ink, thin), p...)
		h.hatch(lineOf(faint, thin), 1.8, p)
	}
	hidden := v.standing(g, f, i)
	e := extentOf(all)
	says, below := g.opening(f, b.Opens, e)
	small, base := textOf(faint, sizeSmall), e.y1+4+below
	g.text(small, point{e.x0, base}, fit(name+says, small, sheetWidth-edge-e.x0))
	if len(hidden) > 0 {
		g.text(small, point{e.x0, base + rowHeight}, fit("hidden behind: "+strings.Join(hidden, ", "), small, sheetWidth-edge-e.x0))
	}
}

// behind reports whether box i is wholly hidden behind another one.
func (f frame) behind(boxes []bay.Box, i int) bool {
	own, depth := f.outline(cuboidOf(boxes[i]), nil)
	for k := range boxes {
		if k == i {
			continue
		}
		other, d := f.outline(cuboidOf(boxes[k]), nil)
		if d > depth && extentOf(other).grown(0.01).holds(extentOf(own)) {
			return true
		}
	}
	return false
}

// inner returns the outline of a box less a rim on every side.
func (f frame) inner(c cuboid, rim float64) ([]point, bool) {
	for a := range 3 {
		c.at[a] += rim
		c.size[a] -= 2 * rim
		if c.size[a] <= 0 {
			return nil, false
		}
	}
	p, _ := f.outline(c, nil)
	return p, true
}

// facing says how a side of a box lies in a view: off the sheet toward the one
// who looks (+1) or away (−1), else its direction on the sheet.
func (p projection) facing(s bay.Side) (toward int, dx, dy float64) {
	n := map[bay.Side][3]float64{
		bay.Top: {0, 0, 1}, bay.Bottom: {0, 0, -1}, bay.Front: {-1, 0, 0},
		bay.Rear: {1, 0, 0}, bay.Left: {0, 1, 0}, bay.Right: {0, -1, 0},
	}[s]
	u, w, depth := p.flat(n[0], n[1], n[2])
	return int(depth), u, w
}

// opening marks the side that the bay opens to, and returns what the caption
// says of it and the room that the arrows take below the view.
func (g *group) opening(f frame, s bay.Side, e span) (says string, below float64) {
	toward, dx, dy := f.from.facing(s)
	switch {
	case toward > 0:
		return "; opens toward you", 0
	case toward < 0:
		return "; opens away from you", 0
	case dx == 0 && dy == 0:
		return "", 0
	}
	h := g.object("opening", string(s), "")
	h.note = "opens to the " + string(s)
	for _, share := range [...]float64{0.25, 0.5, 0.75} {
		p := point{e.x0 + share*(e.x1-e.x0), e.y0 + share*(e.y1-e.y0)}
		if dx != 0 {
			p.x = e.x0 + (e.x1-e.x0)*(dx+1)/2
		} else {
			p.y = e.y0 + (e.y1-e.y0)*(dy+1)/2
		}
		h.vector(ink, medium, p.plus(dx*0.6, dy*0.6), p.plus(dx*4.6, dy*4.6))
	}
	if dy > 0 {
		return "", 4.4
	}
	return "", 0
}

// standing draws the modules of bay i, those behind first, and returns the
// numbers of those that are wholly hidden.
func (v View) standing(g *group, f frame, i int) []string {
	b, line := &v.Brief.Bays[i], v.bayLine(i)
	order := make([]int, len(line.Places))
	rects := make([]span, len(order))
	depths := make([]float64, len(order))
	for k, p := range line.Places {
		order[k] = k
		o, d := f.outline(cuboidOfPlace(p), nil)
		rects[k], depths[k] = extentOf(o), d
	}
	slices.SortStableFunc(order, func(a, b int) int { return compare(depths[a], depths[b]) })
	var hidden []string
	for n, k := range order {
		var nearer []span
		for _, j := range order[n+1:] {
			nearer = append(nearer, rects[j])
		}
		h := v.moduleGroup(g, b.Name, line.Places[k], k+1)
		r := rects[k]
		h.rect(lineOf(noRole, 0).filled(paper, 1), r.x0, r.y0, r.x1-r.x0, r.y1-r.y0)
		h.rect(moduleStyle(), r.x0, r.y0, r.x1-r.x0, r.y1-r.y0)
		v.stackAxis(h, f, line.Places[k], r)
		h.terminals(f, bay.Side(line.Places[k].Terminals), r)
		at, ok := seenAt(r, nearer)
		if !ok {
			hidden = append(hidden, strconv.Itoa(k+1))
			continue
		}
		face := textOf(ink, sizeText).to(middle).strong().haloed()
		h.text(face, at.plus(0, sizeText*0.36), strconv.Itoa(k+1))
	}
	slices.SortFunc(hidden, func(a, b string) int { return compare(float64(len(a)), float64(len(b)))*2 + strings.Compare(a, b) })
	return hidden
}

// seenAt returns the place in r for a number that no nearer rectangle covers:
// the middle if it is free, else the free point of a grid furthest from what
// covers r.
func seenAt(r span, nearer []span) (point, bool) {
	const half = 1.7 // of the room that a number takes
	best, found, most := point{}, false, 0.0
	const n = 12
	for i := 0; i <= n; i++ {
		for j := 0; j <= n; j++ {
			p := point{r.x0 + (r.x1-r.x0)*(float64(i)+0.5)/(n+1), r.y0 + (r.y1-r.y0)*(float64(j)+0.5)/(n+1)}
			room := min(p.x-r.x0, r.x1-p.x, p.y-r.y0, r.y1-p.y)
			for _, s := range nearer {
				room = min(room, max(s.x0-p.x, p.x-s.x1, s.y0-p.y, p.y-s.y1))
			}
			if room = math.Min(room, half*2); room > most+1e-9 || room > most-1e-9 && found && closer(p, best, r) {
				best, most, found = p, room, true
			}
		}
	}
	return best, found && most > half*0.5
}

// closer reports whether p is nearer the middle of r than q.
func closer(p, q point, r span) bool {
	x, y := (r.x0+r.x1)/2, (r.y0+r.y1)/2
	return math.Hypot(p.x-x, p.y-y) < math.Hypot(q.x-x, q.y-y)-1e-9
}

// axisOf returns the axis of the bay along which the cells of a module are
// stacked: that on which the edge of its place is the length of the module.
func (v View) axisOf(p design.PlaceLine) int {
	m := v.module(p)
	if p.Orientation == "x-up" {
		return 2
	}
	if math.Abs(float64(p.Length-m.Length)) <= 1e-6 {
		return 0
	}
	return 1
}

// stackAxis draws the axis of a stack: a centre line, or a ring with a point
// where it is seen from its end.
func (v View) stackAxis(g *group, f frame, p design.PlaceLine, r span) {
	var along [3]float64
	along[v.axisOf(p)] = 1
	u, w, _ := f.from.flat(along[0], along[1], along[2])
	st := lineOf(hv, thin).with(chained)
	x, y := (r.x0+r.x1)/2, (r.y0+r.y1)/2
	switch {
	case u != 0:
		g.line(st, point{r.x0, y}, point{r.x1, y})
	case w != 0:
		g.line(st, point{x, r.y0}, point{x, r.y1})
	default:
		c := point{r.x0 + 2.4, r.y1 - 2.4}
		g.circle(lineOf(hv, thin), c, 1.1)
		g.circle(solidFill(hv), c, 0.3)
	}
}

// terminals marks the face that carries the terminals: a heavy line where it is
// seen from its edge, two poles where it faces the one who looks, two open rings
// where it is on the far side.
func (g *group) terminals(f frame, s bay.Side, r span) {
	toward, dx, dy := f.from.facing(s)
	if toward != 0 {
		st := lineOf(hv, thin*1.4)
		if toward > 0 {
			st = solidFill(hv)
		}
		for _, share := range [2]float64{0.14, 0.86} {
			c := point{(r.x0 + r.x1) / 2, r.y0 + share*(r.y1-r.y0)}
			if r.x1-r.x0 > r.y1-r.y0 {
				c = point{r.x0 + share*(r.x1-r.x0), (r.y0 + r.y1) / 2}
			}
			g.circle(st, c, 0.8)
		}
		return
	}
	const inset = 0.7
	a, b := point{r.x0 + inset, r.y0 + inset}, point{r.x1 - inset, r.y1 - inset}
	switch {
	case dx < 0:
		b.x = a.x
	case dx > 0:
		a.x = b.x
	case dy < 0:
		b.y = a.y
	case dy > 0:
		a.y = b.y
	default:
		return
	}
	g.line(lineOf(hv, 1.1), a, b)
}

// keepOutTable lists the keep-outs of a bay.
func (v View) keepOutTable(g *group, b *bay.Bay, y float64) float64 {
	if len(b.KeepOuts) == 0 {
		return y
	}
	var rows [][]string
	for i, k := range b.KeepOuts {
		rows = append(rows, append([]string{"keep-out " + strconv.Itoa(i+1)}, v.six(k.At, k.Size)...))
	}
	return v.boxTable(g, y, column{head: ""}, nil, rows)
}

// boxTable lists boxes of the bay frame: a name, then place and size.
func (v View) boxTable(g *group, y float64, first column, more []column, rows [][]string) float64 {
	columns := []column{first}
	for _, h := range [...]string{"x", "y", "z", "along x", "along y", "along z"} {
		columns = append(columns, column{head: h, right: true})
	}
	bottom, _ := g.table(edge, y, append(columns, more...), rows)
	return bottom + 1
}

// six prints place and size of a box.
func (v View) six(at, edges bay.Vec) []string {
	var out []string
	for _, q := range [...]unit.Length{at.X, at.Y, at.Z, edges.X, edges.Y, edges.Z} {
		out = append(out, minus(size(v.Title, q)))
	}
	return out
}

// placeTable lists the modules of a bay with their places.
func (v View) placeTable(g *group, line design.BayLine, y float64) float64 {
	if len(line.Places) == 0 {
		return y
	}
	var rows [][]string
	for i, p := range line.Places {
		m := v.module(p)
		row := append([]string{strconv.Itoa(i + 1)}, v.six(bay.Vec{X: p.X, Y: p.Y, Z: p.Z}, bay.Vec{X: p.Length, Y: p.Width, Z: p.Height})...)
		rows = append(rows, append(row, fmt.Sprintf("%dS%dP", m.Series, m.Parallel), massText(v.Title, m.Mass), p.Orientation, p.Terminals))
	}
	return v.boxTable(g, y, column{head: "module", right: true},
		[]column{{head: "cells"}, {head: "mass", right: true}, {head: "stands"}, {head: "terminals to"}}, rows)
}
