package drawing

import (
	"strconv"

	"packyard/design"
	"packyard/unit"
)

// TopView draws the vehicle from above: overall size, wheels with the load of
// every state, bays and what stands in them, centres of gravity.
func TopView(v View) *Sheet {
	s := newSheet("top", "Top view", "seen from above, front to the left, the left side of the vehicle below; wheel loads as masses", v.Title)
	s.notFinite = v.notFinite()
	r := v.reach()
	const right = 13.0
	room := sheetWidth - 2*edge - right
	scale := scaleFor(r.hi[0]-r.lo[0], room)
	k := 1000 / scale
	f := frame{from: fromAbove, k: k, x0: edge + (room-k*(r.hi[0]-r.lo[0]))/2 - k*r.lo[0]}
	block := rowHeight*float64(len(v.states())) + 5
	top := headHeight + block
	f.y0 = top - k*r.lo[1]
	layer := s.root.object("view", "top", "", f.attributes("top")...)
	v.topOutline(layer, f)
	bottom := f.y0 + k*r.hi[1]
	v.bodies(layer, f, span{f.at(r.lo[0], 0, 0).x, top, f.at(r.hi[0], 0, 0).x, bottom})
	y := v.wheelLoads(s.root.plain(), f, top, bottom)
	y = v.stateTable(s.root.plain(), y+2)
	y = v.itemKey(s.root.plain(), y+2)
	return s.finish(y, scale, false, v.Title)
}

// topOutline draws overall size, wheels and the centre line.
func (v View) topOutline(g *group, f frame) {
	d, o := &v.Brief.Donor, v.Brief.Outline
	L, r := float64(d.Wheelbase), float64(d.TyreRadius)
	x0, x1 := f.at(-r*1.3, 0, 0).x, f.at(L+r*1.3, 0, 0).x
	if o != (design.Outline{}) {
		a, b := f.at(-float64(o.Front), -float64(o.Width)/2, 0), f.at(L+float64(o.Rear), float64(o.Width)/2, 0)
		g.object("outline", "overall size", "").rect(lineOf(faint, thin*1.4).with(dashed), a.x, a.y, b.x-a.x, b.y-a.y)
		g.upright(dimension{a: a.y, b: b.y, object: b.x, line: b.x + 7, text: size(v.Title, o.Width)})
		x0, x1 = a.x-3, b.x+3
	}
	g.line(lineOf(faint, thin).with(chained), point{x0, f.y0}, point{x1, f.y0})
	for _, w := range v.wheels() {
		c := f.at(w.x, w.y, 0)
		half := f.k * r
		g.object("wheel", w.name, "").rect(lineOf(ink, medium), c.x-half, c.y-half*tyreWidth/2, 2*half, half*tyreWidth)
	}
}

// wheel is one wheel, its place in m and its load in a state.
type wheel struct {
	name string
	x, y float64
	load func(s design.StateLine) unit.Mass
	most unit.Mass // load index of its tyre; zero: not stated
}

func (v View) wheels() [4]wheel {
	d := &v.Brief.Donor
	L, front, rear := float64(d.Wheelbase), float64(d.TrackFront)/2, float64(d.TrackRear)/2
	return [4]wheel{
		{"front right", 0, -front, func(s design.StateLine) unit.Mass { return s.FrontRight }, d.Ratings.TyreFront},
		{"rear right", L, -rear, func(s design.StateLine) unit.Mass { return s.RearRight }, d.Ratings.TyreRear},
		{"front left", 0, front, func(s design.StateLine) unit.Mass { return s.FrontLeft }, d.Ratings.TyreFront},
		{"rear left", L, rear, func(s design.StateLine) unit.Mass { return s.RearLeft }, d.Ratings.TyreRear},
	}
}

// wheelLoads sets the load of every state beside each wheel, with a bar in
// proportion to it, above and below the vehicle. It returns where it ends.
func (v View) wheelLoads(g *group, f frame, above, below float64) float64 {
	const longest = 16.0
	states := v.states()
	most := unit.Mass(0)
	for _, w := range v.wheels() {
		most = max(most, w.most)
		for _, s := range states {
			most = max(most, w.load(s))
		}
	}
	block := rowHeight * float64(len(states))
	for _, w := range v.wheels() {
		y := above - block - 3.2
		if w.y > 0 {
			y = below + 1.5
		}
		x := max(f.at(w.x, 0, 0).x-longest-6, edge)
		for i, s := range states {
			load := w.load(s)
			h := g.object("wheel-load", w.name+", "+s.Name, figure(float64(load)), pair{"wheel", w.name}, pair{"state", strconv.Itoa(i)})
			r, words := ink, massText(v.Title, load)
			switch {
			case w.most > 0 && load > w.most:
				r, words = bad, words+" over"
			case i == 0:
				r = faint
			}
			base := y + rowHeight*float64(i+1) - 1
			face := textOf(r, sizeSmall)
			face.bold = i == 1
			h.text(face, point{x, base}, stateLetter(i))
			if most > 0 && load > 0 {
				h.line(lineOf(r, thick), point{x + 3.5, base - 1}, point{x + 3.5 + longest*float64(load/most), base - 1})
			}
			h.text(face, point{x + 3.5 + longest + 2, base}, words)
		}
		if w.most > 0 {
			tick := x + 3.5 + longest*float64(w.most/most)
			g.object("limit", w.name+" tyre", figure(float64(w.most))).line(lineOf(ink, medium).with(dotted), point{tick, y + 0.6}, point{tick, y + block})
		}
	}
	below += block + 2
	if r := v.Brief.Donor.Ratings; r.TyreFront > 0 || r.TyreRear > 0 {
		below += rowHeight
		g.text(textOf(faint, sizeSmall), point{edge, below}, "bars in proportion; dotted: load rating of one tyre, "+
			massText(v.Title, r.TyreFront)+" in front, "+massText(v.Title, r.TyreRear)+" behind")
	}
	return below
}
