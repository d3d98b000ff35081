package drawing

import (
	"fmt"
	"slices"
	"strings"

	"packyard/search"
	"packyard/unit"
)

// Measure is what range is drawn against.
type Measure uint8

// Measures.
const (
	ByMass Measure = iota
	ByPrice
)

// Scatter is what the picture of the options shows.
type Scatter struct {
	Report *search.Report
	Across Measure
	Marked string      // ID of an option to be marked; empty: none
	Wanted unit.Length // range wanted, drawn as a line; zero: none
	// Most is the limit across, drawn as a line: a price in currency, as a mass in
	// the SI unit of mass; zero: none.
	Most  float64
	Title Title
}

// scatterPoint is one option in the units of display.
type scatterPoint struct {
	row    search.Row
	x, y   float64
	source int
	best   bool // nothing goes further with less
}

// OptionsPicture draws the range of the options as bought against the mass of
// the pack or its price. A sign says of which source an option is; it is filled
// where the option belongs to the Pareto set of the report. The line joins what
// goes furthest for its mass or price among the options drawn. Where nothing
// fits, the nearest misses are drawn as crosses.
func OptionsPicture(o Scatter) *Sheet {
	r := o.Report
	s := newSheet("options", "Options: range against "+o.Across.word(), scatterNotes(r), o.Title)
	s.notFinite = holdsNotFinite(r.Ranked, r.Pareto, r.Misses, o.Wanted, o.Most)
	points, sources := o.points()
	if len(points) == 0 {
		s.root.plain().text(textOf(ink, sizeText), point{edge, headHeight + 8}, "there is no option to show")
		return s.finish(headHeight+10, 0, false, o.Title)
	}
	p, nameX, nameY := o.axes(points)
	g := s.root.plain()
	p.up(g, nameY)
	p.across(g, nameX)
	o.limits(g, p)
	obstacles := frontLine(g, p, points)
	marks := s.root.plain()
	for _, q := range points {
		at := p.at(q.x, q.y)
		h := marks.object("option", q.row.ID, figure(float64(q.row.Range)), pair{"mass", figure(float64(q.row.Mass))}, pair{"price", figure(q.row.Price)})
		h.note = fmt.Sprintf("%s: %s, %s, %s", q.row.ID, say(o.Title, q.row.Range), massText(o.Title, q.row.Mass), o.money(q.row.Price))
		st := lineOf(ink, thin*1.4).filled(paper, 1)
		if q.row.Pareto {
			st = st.filled(accent, 1)
			st.stroke = accent
		}
		if len(r.Ranked) == 0 {
			h.cross(bad, at, 1.2)
		} else {
			h.sign(st, q.source, at)
		}
		if q.row.ID == o.Marked {
			h.circle(lineOf(ink, medium), at, 2.2)
			obstacles = append(obstacles, span{at.x - 2.3, at.y - 2.3, at.x + 2.3, at.y + 2.3})
		}
		obstacles = append(obstacles, span{at.x - 1, at.y - 1, at.x + 1, at.y + 1})
	}
	list := o.names(p, points)
	marks.labels(list, placeLabels(list, obstacles, p.span().grown(-0.5)))
	y := o.key(s.root.plain(), sources, len(r.Ranked) == 0, p.y.a+15.5)
	return s.finish(y, 0, false, o.Title)
}

func scatterNotes(r *search.Report) string {
	if len(r.Ranked) == 0 {
		return fmt.Sprintf("%d candidates looked at, none fits; nearest misses as crosses; range on %s, as bought", r.Candidates, r.Schedule)
	}
	return fmt.Sprintf("%d options in %d packs fit; shown are the first %d packs and the Pareto set; range on %s, as bought", r.Fits, r.Packs, len(r.Ranked), r.Schedule)
}

// points returns the options in units of display, each once, and the names of
// the sources in order.
func (o Scatter) points() (points []scatterPoint, sources []string) {
	for _, s := range o.Report.Sources {
		sources = append(sources, s.Name)
	}
	rows := slices.Concat(o.Report.Ranked, o.Report.Pareto)
	if len(o.Report.Ranked) == 0 {
		for _, m := range o.Report.Misses {
			rows = append(rows, m.Option)
		}
	}
	seen := map[string]bool{}
	x, y := unitMass(o.Title.System), unitDistance(o.Title.System)
	for _, r := range rows {
		if seen[r.ID] {
			continue
		}
		seen[r.ID] = true
		q := scatterPoint{row: r, x: float64(r.Mass) * x.per, y: float64(r.Range) * y.per}
		if o.Across == ByPrice {
			q.x = r.Price
		}
		name, _, _ := strings.Cut(r.ID, "/")
		if q.source = slices.Index(sources, name); q.source < 0 {
			q.source = len(sources)
			sources = append(sources, name)
		}
		points = append(points, q)
	}
	for i := range points {
		a := &points[i]
		a.best = !slices.ContainsFunc(points, func(b scatterPoint) bool {
			return b.x <= a.x && b.y >= a.y && (b.x < a.x || b.y > a.y)
		})
	}
	return points, sources
}

func (o Scatter) money(x float64) string { return fmt.Sprintf("%.0f %s", x, o.Report.Currency) }

// axes returns the plot with the names of its axes.
func (o Scatter) axes(points []scatterPoint) (p plot, nameX, nameY string) {
	var xs, ys []float64
	for _, q := range points {
		xs, ys = append(xs, q.x), append(ys, q.y)
	}
	x, y := unitMass(o.Title.System), unitDistance(o.Title.System)
	if o.Wanted > 0 {
		ys = append(ys, float64(o.Wanted)*y.per)
	}
	nameX, nameY = "mass of the whole pack, "+x.name, "range, "+y.name
	most := o.Most * x.per
	if o.Across == ByPrice {
		nameX, most = "price of the whole pack, "+o.Report.Currency, o.Most
	}
	if most > 0 {
		xs = append(xs, most)
	}
	x0, x1, _ := rangeOf(xs)
	y0, y1, _ := rangeOf(ys)
	padX, padY := (x1-x0)*0.03, (y1-y0)*0.05
	p = plot{
		x: newAxis(x0-padX, x1+padX, 8, edge+leftOfAxis, sheetWidth-edge-4),
		y: newAxis(y0-padY, y1+padY, 7, headHeight+116, headHeight+10),
	}
	return p, nameX, nameY
}

// limits draws the wanted range and the limit across.
func (o Scatter) limits(g *group, p plot) {
	f := textOf(faint, sizeSmall).haloed()
	st := lineOf(ink, medium).with(dotted)
	if o.Wanted > 0 {
		y := p.y.at(float64(o.Wanted) * unitDistance(o.Title.System).per)
		g.object("limit", "range wanted", figure(float64(o.Wanted))).line(st, point{p.x.a, y}, point{p.x.b, y})
		g.text(f.to(end), point{p.x.b - 1, y - 1.2}, "wanted "+say(o.Title, o.Wanted))
	}
	if o.Most > 0 {
		v, words := o.Most*unitMass(o.Title.System).per, massText(o.Title, unit.Mass(o.Most))
		if o.Across == ByPrice {
			v, words = o.Most, o.money(o.Most)
		}
		x := p.x.at(v)
		g.object("limit", "most across", figure(o.Most)).line(st, point{x, p.y.a}, point{x, p.y.b})
		f.upward = true
		g.text(f.to(end), point{x - 1, p.y.b + 1.5}, "at most "+words)
	}
}

// frontLine joins the options that nothing beats in the two measures drawn, as
// the stair that bounds what can be had, and returns the room that it takes.
func frontLine(g *group, p plot, points []scatterPoint) []span {
	var front []scatterPoint
	for _, q := range points {
		if q.best {
			front = append(front, q)
		}
	}
	if len(front) < 2 {
		return nil
	}
	slices.SortFunc(front, func(a, b scatterPoint) int { return compare(a.x, b.x) })
	line := []point{p.at(front[0].x, front[0].y)}
	for i := 1; i < len(front); i++ {
		line = append(line, p.at(front[i].x, front[i-1].y), p.at(front[i].x, front[i].y))
	}
	g.object("front", "furthest", "").poly(lineOf(accent, medium), line...)
	var room []span
	for i := 1; i < len(line); i++ {
		room = append(room, extentOf(line[i-1:i+1]).grown(0.3))
	}
	return room
}

// names returns the labels, those that matter most first: the marked option, the
// ends of the line, then its other points from the far end.
func (o Scatter) names(p plot, points []scatterPoint) []label {
	var best []scatterPoint
	var out []label
	add := func(q scatterPoint, f face, need bool) {
		out = append(out, label{at: p.at(q.x, q.y), text: q.row.Topology, face: f.haloed(), need: need})
	}
	for _, q := range points {
		if q.row.ID == o.Marked {
			add(q, textOf(ink, sizeText).strong(), true)
		} else if q.best {
			best = append(best, q)
		}
	}
	slices.SortStableFunc(best, func(a, b scatterPoint) int { return compare(b.y, a.y) })
	if n := len(best); n > 2 {
		best = append([]scatterPoint{best[0], best[n-1]}, best[1:n-1]...)
	}
	for _, q := range best {
		add(q, textOf(ink, sizeSmall), false)
	}
	return out
}

// sign draws the sign of a source, one of six.
func (g *group) sign(st style, source int, c point) {
	const r = 0.9
	switch source % 6 {
	case 1:
		g.rect(st, c.x-r*0.9, c.y-r*0.9, 1.8*r, 1.8*r)
	case 2:
		g.shape(st, c.plus(0, -1.25*r), c.plus(1.15*r, 0.8*r), c.plus(-1.15*r, 0.8*r))
	case 3:
		g.shape(st, c.plus(0, -1.3*r), c.plus(1.3*r, 0), c.plus(0, 1.3*r), c.plus(-1.3*r, 0))
	case 4:
		g.shape(st, c.plus(0, 1.25*r), c.plus(1.15*r, -0.8*r), c.plus(-1.15*r, -0.8*r))
	case 5:
		g.rect(st, c.x-r*1.3, c.y-r*0.6, 2.6*r, 1.2*r)
	default:
		g.circle(st, c, r)
	}
}

// key explains the signs.
func (o Scatter) key(g *group, sources []string, misses bool, y float64) float64 {
	k := keyRow{g: g, x: edge + 2, y: y, left: edge + 2, right: sheetWidth - edge}
	if misses {
		k.item(func(c point) { g.cross(bad, c, 1.1) }, "breaks a limit")
		return k.y
	}
	for i, name := range sources {
		k.item(func(c point) { g.sign(lineOf(ink, thin*1.4), i, c) }, name)
	}
	k.item(func(c point) { g.circle(solidFill(accent), c, 0.9) }, "filled: no other is better in range, mass, price and margin at once")
	k.item(func(c point) { g.line(lineOf(accent, medium), c.plus(-1.8, 0), c.plus(1.8, 0)) }, "goes furthest for its "+o.Across.word())
	if o.Marked != "" {
		k.item(func(c point) { g.circle(lineOf(ink, medium), c, 1.5) }, "chosen")
	}
	return k.y
}

func (m Measure) word() string {
	if m == ByPrice {
		return "price"
	}
	return "mass"
}
