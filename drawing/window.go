package drawing

import (
	"fmt"

	"packyard/part"
	"packyard/unit"
)

// device is one row of the picture of the voltages.
type device struct {
	name, title string
	bands       part.Bands
	start       unit.Voltage // lowest voltage from which it starts; zero: none
}

// devices returns inverter, charger and converter of the brief, as far as there
// are any.
func (v View) devices() []device {
	d := &v.Brief.Drive
	var out []device
	if d.Inverter != nil {
		out = append(out, device{name: "inverter", title: d.Inverter.Title, bands: d.Inverter.Bands})
	}
	if d.Charger != nil {
		out = append(out, device{name: "charger", title: d.Charger.Title, bands: d.Charger.Bands, start: d.Charger.StartMin})
	}
	if d.Converter != nil {
		out = append(out, device{name: "12 V converter", title: d.Converter.Title, bands: d.Converter.Bands})
	}
	return out
}

const (
	windowNames = 76.0 // room for the names, mm
	windowRow   = 25.0
)

// WindowPicture draws the voltage bands of inverter, charger and converter over
// one axis, and across them the window of the pack from its lowest voltage under
// load to full.
func WindowPicture(v View) *Sheet {
	s := newSheet("window", "Voltage window", "what each device works with, and what the pack gives between empty under load, cold and aged, and full", v.Title)
	s.notFinite = v.notFinite()
	list := v.devices()
	var all []float64
	for _, d := range list {
		b := d.bands
		for _, x := range [...]unit.Voltage{b.FullMin, b.FullMax, b.ReducedMin, b.ReducedMax, b.NeverExceed, d.start} {
			if x != 0 {
				all = append(all, float64(x))
			}
		}
	}
	a := v.Assessment
	if a != nil {
		all = append(all, float64(a.Window.Lowest), float64(a.Window.Full))
	}
	lo, hi, _ := rangeOf(all)
	pad := (hi - lo) * 0.04
	top := headHeight + 6.0
	rows := float64(len(list))
	if a != nil {
		rows += 1.1
	}
	bottom := top + windowRow*rows
	p := plot{x: newAxis(lo-pad, hi+pad, 8, edge+windowNames, sheetWidth-edge-4), y: axis{lo: 0, hi: 1, a: bottom, b: top}}
	g := s.root.plain()
	for _, t := range p.x.ticks {
		g.line(gridLine, point{p.x.at(t), top}, point{p.x.at(t), bottom})
	}
	p.across(g, "DC voltage, V")
	for i, d := range list {
		d.draw(s.root.object("band", d.name, ""), p.x, top+windowRow*float64(i), v.Title)
	}
	if a != nil {
		v.packWindow(s.root.object("band", "pack", ""), p.x, top, top+windowRow*float64(len(list)))
	}
	y := bandKey(s.root.plain(), bottom+14)
	return s.finish(y, 0, false, v.Title)
}

// draw draws the bands of one device with their figures.
func (d device) draw(g *group, x axis, y float64, t Title) {
	b := d.bands
	name := textOf(ink, sizeText).strong()
	small := textOf(faint, sizeSmall)
	g.text(name, point{edge, y + 5}, d.name)
	g.text(small, point{edge, y + 9.2}, fit(d.title, small, windowNames-3))
	if !b.IsGiven() {
		g.text(small, point{edge, y + 13.6}, "voltage bands are not stated")
		return
	}
	lines := []string{
		"full function " + band(t, b.FullMin, b.FullMax),
		"reduced " + band(t, b.ReducedMin, b.ReducedMax),
		"never above " + say(t, b.NeverExceed),
	}
	if d.start > 0 {
		lines[2] += ", starts from " + say(t, d.start)
	}
	for i, words := range lines {
		f := textOf(ink, sizeSmall)
		g.text(f, point{edge, y + 13.4 + 4.1*float64(i)}, fit(words, f, windowNames-3))
	}
	mid, half := y+windowRow/2, 3.2
	rect := func(st style, a, b unit.Voltage, half float64) {
		x0, x1 := x.within(float64(a)), x.within(float64(b))
		g.rect(st, x0, mid-half, x1-x0, 2*half)
	}
	rect(lineOf(ink, thin), b.ReducedMin, b.ReducedMax, half*0.62)
	rect(lineOf(ink, medium).filled(paper, 1), b.FullMin, b.FullMax, half)
	rect(lineOf(ink, medium).filled(ink, 0.14), b.FullMin, b.FullMax, half)
	never := x.within(float64(b.NeverExceed))
	g.line(lineOf(ink, thick), point{never, mid - half - 1.4}, point{never, mid + half + 1.4})
	for i := range 4 {
		yy := mid - half - 0.6 + 1.9*float64(i)
		g.line(lineOf(ink, thin), point{never, yy + 1.6}, point{never + 1.6, yy})
	}
	if d.start > 0 {
		at := point{x.within(float64(d.start)), mid + half + 0.4}
		g.shape(solidFill(ink), at, at.plus(-1.1, 2.2), at.plus(1.1, 2.2))
	}
}

func band(t Title, lo, hi unit.Voltage) string { return say(t, lo) + " to " + say(t, hi) }

// packWindow draws the window of the pack over the rows of the devices from top,
// and its own row at y.
func (v View) packWindow(g *group, x axis, top, y float64) {
	w, t := v.Assessment.Window, v.Title
	name := textOf(ink, sizeText).strong()
	small := textOf(faint, sizeSmall)
	g.text(name, point{edge, y + 5}, "pack")
	g.text(small, point{edge, y + 9.2}, fit(v.Assessment.Topology+" of "+v.Assessment.Cell.Title, small, windowNames-3))
	for i, words := range []string{
		"full " + say(t, w.Full),
		"at rest at the charge floor " + say(t, w.Rest),
		"lowest under load, cold, aged " + say(t, w.Lowest),
		"nominal " + say(t, w.Nominal) + ", a name plate only",
	} {
		f := textOf(ink, sizeSmall)
		g.text(f, point{edge, y + 13.4 + 4.1*float64(i)}, fit(words, f, windowNames-3))
	}
	lo, hi, mid := x.within(float64(w.Lowest)), x.within(float64(w.Full)), y+windowRow/2
	g.rect(style{}.filled(hv, 0.1), lo, top, hi-lo, mid-3.2-top)
	for _, e := range [2]struct {
		v unit.Voltage
		x float64
		a anchor
	}{{w.Lowest, lo, end}, {w.Full, hi, start}} {
		h := g.object("limit", fmt.Sprintf("pack at %s", say(t, e.v)), figure(float64(e.v)))
		h.line(lineOf(hv, medium), point{e.x, top}, point{e.x, mid + 4})
		g.text(textOf(ink, sizeSmall).to(e.a).haloed(), point{e.x, mid + 8}, say(t, e.v))
	}
	g.rect(lineOf(hv, medium).filled(hv, 0.2), lo, mid-3.2, hi-lo, 6.4)
	for _, q := range [2]unit.Voltage{w.Rest, w.Nominal} {
		at := x.within(float64(q))
		st := lineOf(hv, medium)
		if q == w.Nominal {
			st = st.with(dotted)
		}
		g.line(st, point{at, mid - 3.2}, point{at, mid + 3.2})
	}
}

// bandKey explains the signs.
func bandKey(g *group, y float64) float64 {
	f := textOf(faint, sizeSmall)
	g.text(f, point{edge, y}, "wide box: full function; narrow box: reduced function; heavy hatched line: never above; triangle: lowest voltage to start from")
	g.text(f, point{edge, y + rowHeight}, "in the pack, line: at rest at the charge floor; dotted: nominal")
	return y + rowHeight
}
