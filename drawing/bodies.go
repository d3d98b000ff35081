package drawing

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"packyard/design"
	"packyard/vehicle"
)

// moduleStyle is how a module is drawn: it carries high voltage.
func moduleStyle() style { return lineOf(hv, medium).filled(hv, 0.13) }

// bays draws all bays with their keep-outs and modules, those behind first.
func (v View) bays(g *group, f frame) []bayMark {
	type one struct {
		index   int
		outline []point
		depth   float64
	}
	var list []one
	for i := range v.Brief.Bays {
		b := &v.Brief.Bays[i]
		o := one{index: i, depth: -1e9}
		for _, x := range b.Boxes {
			p, d := f.outline(cuboidOf(x), b)
			o.outline = append(o.outline, p...)
			o.depth = max(o.depth, d)
		}
		list = append(list, o)
	}
	slices.SortStableFunc(list, func(a, b one) int { return compare(a.depth, b.depth) })
	marks := make([]bayMark, 0, len(list))
	for _, o := range list {
		b, line := &v.Brief.Bays[o.index], v.bayLine(o.index)
		h := g.object("bay", b.Name, figure(float64(line.Mass)), pair{"bay", b.Name}, pair{"index", strconv.Itoa(o.index)})
		h.note = bayWords(line)
		for _, x := range b.Boxes {
			p, _ := f.outline(cuboidOf(x), b)
			h.shape(lineOf(ink, medium).filled(paper, 0.7), p...)
		}
		for k, x := range b.KeepOuts {
			p, _ := f.outline(cuboidOf(x), b)
			n := h.object("keep-out", b.Name+" keep-out "+strconv.Itoa(k+1), "", pair{"bay", b.Name})
			n.shape(lineOf(faint, thin), p...)
			n.hatch(lineOf(faint, thin), 1.4, p)
		}
		v.modules(h, f, o.index)
		marks = append(marks, bayMark{words: bayWords(line), extent: extentOf(o.outline)})
	}
	return marks
}

// bayMark is a bay on paper, to be labelled.
type bayMark struct {
	words  string
	extent span
}

func bayWords(line design.BayLine) string {
	switch n := len(line.Places); n {
	case 0:
		return line.Name
	case 1:
		return line.Name + ", 1 module"
	default:
		return fmt.Sprintf("%s, %d modules", line.Name, n)
	}
}

func compare(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// modules draws the modules of bay i, those behind first, each in its group.
func (v View) modules(g *group, f frame, i int) {
	b, line := &v.Brief.Bays[i], v.bayLine(i)
	type one struct {
		number  int
		outline []point
		depth   float64
	}
	var list []one
	for k, p := range line.Places {
		o, d := f.outline(cuboidOfPlace(p), b)
		list = append(list, one{k + 1, o, d})
	}
	slices.SortStableFunc(list, func(a, b one) int { return compare(a.depth, b.depth) })
	for _, o := range list {
		h := v.moduleGroup(g, b.Name, line.Places[o.number-1], o.number)
		h.shape(lineOf(noRole, 0).filled(paper, 1), o.outline...)
		h.shape(moduleStyle(), o.outline...)
	}
}

// moduleGroup opens the group of one module; its value is its mass.
func (v View) moduleGroup(g *group, bayName string, p design.PlaceLine, number int) *group {
	m := v.module(p)
	h := g.object("module", bayName+" module "+strconv.Itoa(number), figure(float64(m.Mass)),
		pair{"bay", bayName}, pair{"number", strconv.Itoa(number)}, pair{"line", strconv.Itoa(p.Module)}, pair{"terminals", p.Terminals})
	h.note = fmt.Sprintf("module %d of %s: %dS%dP, %s, terminals to the %s", number, bayName, m.Series, m.Parallel, p.Orientation, p.Terminals)
	return h
}

// bayLabels sets the name of each bay over or under it, or further up with a
// line to it, where neither an obstacle nor another name is met. It returns the
// room that the names take.
func (g *group) bayLabels(marks []bayMark, obstacles []span, area span) []span {
	var taken []span
	for i, m := range marks {
		f := textOf(ink, sizeSmall).haloed()
		words := fit(m.words, f, min(area.x1-area.x0, 64))
		free := func(s span) bool {
			meets := func(t span) bool { return t.meets(s) }
			others := slices.ContainsFunc(marks, func(o bayMark) bool { return o.extent.meets(s) && o.extent != m.extent })
			return area.holds(s) && !others && !slices.ContainsFunc(taken, meets) && !slices.ContainsFunc(obstacles, meets)
		}
		for _, p := range bayLabelPlaces(words, f, marks[i].extent, area) {
			if s := spanOf(words, p.face, p.at); free(s.grown(0.3)) {
				taken = append(taken, s.grown(0.5))
				if p.at.y < m.extent.y0-2 {
					x := min(max((s.x0+s.x1)/2, m.extent.x0+1), m.extent.x1-1)
					g.line(lineOf(faint, thin), point{x, p.at.y + 0.9}, point{x, m.extent.y0})
				}
				g.text(p.face, p.at, words)
				break
			}
		}
	}
	return taken
}

// bayLabelPlaces returns where the name of a bay may stand, the preferred first.
func bayLabelPlaces(words string, f face, e, area span) []put {
	half, centre := widthOf(words, f)/2, (e.x0+e.x1)/2
	var out []put
	add := func(x, y float64) {
		out = append(out, put{face: f.to(middle), at: point{min(max(x, area.x0+half+0.5), area.x1-half-0.5), y}})
	}
	xs := [...]float64{centre, e.x0 + half, e.x1 - half}
	for _, x := range xs {
		add(x, e.y0-1.3)
	}
	for _, x := range xs {
		add(x, e.y1+sizeSmall+0.6)
	}
	for row := 1; row <= 12; row++ {
		for _, x := range xs {
			add(x, e.y0-1.3-float64(row)*rowHeight)
		}
	}
	return out
}

// fixed returns the room that marks take which cannot be moved: the signs of
// items and centres of gravity.
func (v View) fixed(f frame) []span {
	var out []span
	add := func(p point, r float64) { out = append(out, span{p.x - r, p.y - r, p.x + r, p.y + r}) }
	d := &v.Brief.Donor
	for _, list := range [2][]vehicle.Item{d.Removed, d.Added} {
		for _, it := range list {
			add(f.point(it.At), 1.2)
		}
	}
	for _, s := range v.states() {
		add(f.at(float64(s.CG[0]), float64(s.CG[1]), float64(s.CG[2])), 2.1)
	}
	return out
}

// items draws what is removed and added at its place, numbered as in the key.
func (v View) items(g *group, f frame, obstacles []span, area span) {
	var list []label
	number := 0
	at := func(kind string, items []vehicle.Item, draw func(h *group, p point)) {
		for _, it := range items {
			number++
			p := f.point(it.At)
			h := g.object("item", it.Name, figure(float64(it.Mass)), pair{"number", strconv.Itoa(number)}, pair{"as", kind})
			h.note = kind + ": " + it.Name + ", " + massText(v.Title, it.Mass)
			draw(h, p)
			list = append(list, label{at: p, text: strconv.Itoa(number), face: textOf(ink, sizeSmall).haloed(), need: true})
		}
	}
	d := &v.Brief.Donor
	at("removed", d.Removed, func(h *group, p point) { h.cross(faint, p, 0.9) })
	at("added", d.Added, func(h *group, p point) { h.plus(accent, p, 1.1) })
	g.labels(list, placeLabels(list, obstacles, area))
}

// itemKey sets the list of the items in columns below y and returns its end.
func (v View) itemKey(g *group, y float64) float64 {
	d := &v.Brief.Donor
	total := len(d.Removed) + len(d.Added)
	if total == 0 {
		return y
	}
	f, columns := textOf(ink, sizeSmall), 3
	widthIn := func(columns int) float64 {
		return (sheetWidth - 2*edge - float64(columns-1)*columnGap) / float64(columns)
	}
	for _, list := range [2][]vehicle.Item{d.Removed, d.Added} {
		for _, it := range list {
			if widthOf(it.Name, f)+widthOf(massText(v.Title, it.Mass), f)+11 > widthIn(3) {
				columns = 2
			}
		}
	}
	width := widthIn(columns)
	y += rowHeight
	g.text(textOf(faint, sizeSmall), point{edge, y}, "Taken out (×) and put in (+)")
	rows := (total + columns - 1) / columns
	number := 0
	put := func(items []vehicle.Item, sign func(p point)) {
		for _, it := range items {
			x := edge + float64(number/rows)*(width+columnGap)
			base := y + float64(number%rows+1)*rowHeight
			number++
			mass := massText(v.Title, it.Mass)
			g.text(f.to(end), point{x + 4.6, base}, strconv.Itoa(number))
			sign(point{x + 7, base - 1})
			g.text(f.to(end), point{x + width, base}, mass)
			g.text(f, point{x + 9.4, base}, fit(it.Name, f, width-11-widthOf(mass, f)))
		}
	}
	put(d.Removed, func(p point) { g.cross(faint, p, 0.8) })
	put(d.Added, func(p point) { g.plus(accent, p, 1) })
	return y + float64(rows)*rowHeight + 1
}

// stateLetter names state i in the drawing.
func stateLetter(i int) string {
	if i < 26 {
		return string(rune('a' + i))
	}
	return strconv.Itoa(i + 1)
}

// massCentres draws the centres of gravity of the states and returns the room
// that their letters take, with the obstacles.
func (v View) massCentres(g *group, f frame, obstacles []span, area span) []span {
	var list []label
	for i, s := range v.states() {
		p := f.at(float64(s.CG[0]), float64(s.CG[1]), float64(s.CG[2]))
		h := g.object("cg", s.Name, "", pair{"x", figure(float64(s.CG[0]))}, pair{"y", figure(float64(s.CG[1]))}, pair{"z", figure(float64(s.CG[2]))})
		h.note = "centre of gravity, " + s.Name
		r, radius := ink, 2.0
		switch {
		case i == 0:
			r = faint
		case i > 1:
			radius = 1.3
		}
		h.circle(lineOf(noRole, 0).filled(paper, 1), p, radius)
		h.massCentre(r, p, radius)
		list = append(list, label{at: p, text: stateLetter(i), face: textOf(r, sizeText).strong().haloed(), need: true})
	}
	placed := placeLabels(list, obstacles, area)
	g.labels(list, placed)
	for _, p := range placed {
		obstacles = append(obstacles, p.span)
	}
	return obstacles
}

// stateTable lists the states with mass and centre of gravity.
func (v View) stateTable(g *group, y float64) float64 {
	t := v.Title
	var rows [][]string
	for i, s := range v.states() {
		share := ""
		if s.Mass > 0 {
			share = fmt.Sprintf("%.1f %%", float64(s.AxleFront/s.Mass)*100)
		}
		rows = append(rows, []string{stateLetter(i), s.Name, massText(t, s.Mass), share, size(t, s.CG[0]), lateral(t, s), size(t, s.CG[2])})
	}
	if gross := v.Brief.Donor.Ratings.GrossMass; gross > 0 {
		rows = append(rows, []string{"", "gross rating", massText(t, gross), "", "", "", ""})
	}
	bottom, _ := g.table(edge, y, []column{{head: ""}, {head: "state", most: 66}, {head: "mass", right: true}, {head: "on front axle", right: true},
		{head: "CG behind front axle", right: true}, {head: "to the left", right: true}, {head: "CG height", right: true}}, rows)
	return bottom
}

func lateral(t Title, s design.StateLine) string {
	return strings.Replace(size(t, s.CG[1]), "-", "−", 1)
}
