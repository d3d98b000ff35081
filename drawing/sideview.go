package drawing

import (
	"strconv"

	"packyard/design"
	"packyard/unit"
)

// SideView draws the vehicle from its left before and after the conversion:
// overall size, wheels, bays and what stands in them, centres of gravity, what
// is taken out and put in, and the axle loads of every state under the axles.
// Loads and centres are those of the assessment, or of vehicle.Donor where there
// is none yet.
func SideView(v View) *Sheet {
	s := newSheet("side", "Side view", "seen from the left, front to the left; axle loads as masses, as a scale shows them", v.Title)
	s.notFinite = v.notFinite()
	r := v.reach()
	const right = 13.0 // for the height
	room := sheetWidth - 2*edge - right
	scale := scaleFor(r.hi[0]-r.lo[0], room)
	k := 1000 / scale
	width := k * (r.hi[0] - r.lo[0])
	f := frame{from: fromLeft, k: k, x0: edge + (room-width)/2 - k*r.lo[0]}
	roof := headHeight + 15
	f.y0 = roof + k*r.hi[2]
	layer := s.root.object("view", "side", "", f.attributes("side")...)
	v.sideOutline(layer, f)
	v.lengthChain(layer, f, headHeight+2, roof)
	v.bodies(layer, f, span{f.at(r.lo[0], 0, 0).x, roof, f.at(r.hi[0], 0, 0).x, f.y0})
	y := v.axleLoads(s.root.plain(), f)
	y = v.stateTable(s.root.plain(), y+2)
	y = v.itemKey(s.root.plain(), y+2)
	return s.finish(y, scale, false, v.Title)
}

// bodies draws what stands in the vehicle and names it inside the area.
func (v View) bodies(g *group, f frame, area span) {
	marks := v.bays(g, f)
	taken := v.fixed(f)
	taken = append(taken, g.bayLabels(marks, taken, area)...)
	top := group{}
	taken = v.massCentres(&top, f, taken, area)
	v.items(g, f, taken, area)
	g.parts = append(g.parts, top.parts...)
}

// sideOutline draws ground, overall size and wheels.
func (v View) sideOutline(g *group, f frame) {
	d, o := &v.Brief.Donor, v.Brief.Outline
	L, r := float64(d.Wheelbase), float64(d.TyreRadius)
	g.line(lineOf(ink, medium), point{edge, f.y0}, point{sheetWidth - edge, f.y0})
	if o != (design.Outline{}) {
		a, b := f.at(-float64(o.Front), 0, float64(o.Height)), f.at(L+float64(o.Rear), 0, 0)
		g.object("outline", "overall size", "").poly(lineOf(faint, thin*1.4).with(dashed), point{a.x, b.y}, a, point{b.x, a.y}, b)
		g.upright(dimension{a: a.y, b: b.y, object: b.x, line: b.x + 7, text: size(v.Title, o.Height)})
	}
	for _, x := range [2]float64{0, L} {
		c := f.at(x, 0, r)
		h := g.object("wheel", [2]string{"front", "rear"}[btoi(x > 0)], "")
		h.circle(lineOf(ink, medium), c, f.k*r)
		h.circle(lineOf(faint, thin), c, f.k*r*0.62)
		h.circle(lineOf(faint, thin), c, f.k*r*0.14)
		h.line(lineOf(faint, thin).with(chained), point{c.x, f.y0 - f.k*r*2.25}, point{c.x, f.y0 + 2})
	}
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// lengthChain draws overhangs and wheelbase, and over them the whole length,
// from y down to where the vehicle begins.
func (v View) lengthChain(g *group, f frame, y, object float64) {
	o, L := v.Brief.Outline, v.Brief.Donor.Wheelbase
	front, rear := f.at(0, 0, 0).x, f.at(float64(L), 0, 0).x
	g.across(dimension{a: front, b: rear, object: object, line: y + 9, text: size(v.Title, L)})
	if o.Front+o.Rear <= 0 {
		return
	}
	a, b := f.at(-float64(o.Front), 0, 0).x, f.at(float64(L+o.Rear), 0, 0).x
	g.across(dimension{a: a, b: front, object: object, line: y + 9, text: size(v.Title, o.Front)})
	g.across(dimension{a: rear, b: b, object: object, line: y + 9, text: size(v.Title, o.Rear)})
	g.across(dimension{a: a, b: b, object: object, line: y + 3, text: size(v.Title, o.Front+L+o.Rear)})
}

// axle is one axle with what bounds its load.
type axle struct {
	name  string
	x     float64
	load  func(s design.StateLine) unit.Mass
	limit unit.Mass // zero: none stated
	by    string    // what states the limit
}

func (v View) axles() [2]axle {
	r := v.Brief.Donor.Ratings
	a := [2]axle{
		{name: "front", load: func(s design.StateLine) unit.Mass { return s.AxleFront }, limit: r.AxleFront, by: "axle rating"},
		{name: "rear", x: float64(v.Brief.Donor.Wheelbase), load: func(s design.StateLine) unit.Mass { return s.AxleRear }, limit: r.AxleRear, by: "axle rating"},
	}
	for i, tyre := range [2]unit.Mass{r.TyreFront, r.TyreRear} {
		if tyre > 0 && (a[i].limit == 0 || 2*tyre < a[i].limit) {
			a[i].limit, a[i].by = 2*tyre, "rating of two tyres"
		}
	}
	return a
}

// axleLoads draws an arrow for the axle load of every state under each axle,
// its length in proportion to the load, the figures beside them and the rating
// as a line. It returns where the block ends.
func (v View) axleLoads(g *group, f frame) float64 {
	const longest, apart, gap = 20.0, 4.6, 3.0
	states := v.states()
	most := unit.Mass(0)
	for _, a := range v.axles() {
		most = max(most, a.limit)
		for _, s := range states {
			most = max(most, a.load(s))
		}
	}
	top := f.y0 + gap
	bottom := top + longest
	for _, a := range v.axles() {
		x := f.at(a.x, 0, 0).x - apart*float64(len(states)-1)/2
		right := x + apart*float64(len(states)-1) + 3.5
		figures := textOf(ink, sizeText)
		for i, s := range states {
			load := a.load(s)
			h := g.object("axle-load", a.name+", "+s.Name, figure(float64(load)), pair{"axle", a.name}, pair{"state", strconv.Itoa(i)})
			r, w := ink, medium
			over := a.limit > 0 && load > a.limit
			switch {
			case over:
				r, w = bad, thick
			case i == 0:
				r = faint
			}
			px, y := x+apart*float64(i), top+rowHeight*float64(i+1)-0.8
			if most > 0 && load > 0 {
				h.vector(r, w, point{px, top}, point{px, top + longest*float64(load/most)})
			}
			h.text(textOf(r, sizeSmall).to(middle), point{px, top - 0.6}, stateLetter(i))
			words := massText(v.Title, load)
			if over {
				words += " over"
			}
			figures.role, figures.bold = r, i == 1
			h.text(figures, point{right, y}, stateLetter(i))
			h.text(figures, point{right + 4, y}, words)
		}
		if a.limit > 0 {
			y := top + longest*float64(a.limit/most)
			h := g.object("limit", a.name+" axle", figure(float64(a.limit)))
			h.line(lineOf(ink, medium).with(dotted), point{x - 2.5, y}, point{right - 1, y})
			yText := top + rowHeight*float64(len(states)+1)
			h.text(textOf(faint, sizeSmall), point{right, yText}, a.by+" "+massText(v.Title, a.limit))
			bottom = max(bottom, yText)
		}
	}
	return max(bottom, top+rowHeight*float64(len(states))) + 2
}
