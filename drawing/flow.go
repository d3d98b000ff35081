package drawing

import (
	"fmt"
	"math"

	"packyard/drive"
	"packyard/unit"
)

// FlowPicture is what the picture of the energy of a run shows.
type FlowPicture struct {
	Balance  *drive.Balance // of the run
	Result   *drive.Result  // of the same run
	Schedule string         // named in the heading
	Title    Title
}

// flowTerm is one band of the picture, J; below zero it gives energy.
type flowTerm struct {
	name   string
	energy float64
	node   string // said at the trunk after it, empty: nothing
	role   role   // of the trunk before it
}

// flowTerms returns what leaves the trunk on its way, then what the wheels spend
// it on. All together they are the energy at the beginning, to the residual of
// the balance: what is lost in charging is the difference of wall and cells.
func (p FlowPicture) flowTerms() (from float64, way, use []flowTerm) {
	b, wall := p.Balance, float64(p.Result.Energy.Wall)
	from = float64(b.Chemical)
	first := "cells"
	if wall > 0 {
		way = append(way, flowTerm{name: "charging", energy: wall - from, node: first, role: ink})
		from = wall
	}
	cells := b.R0 + b.RC1Lost + b.RC2Lost + b.RC1Stored + b.RC2Stored
	way = append(way,
		flowTerm{name: "in the cells", energy: float64(cells), role: hv},
		flowTerm{name: "joints, cable", energy: float64(b.Joints), node: "terminals", role: hv},
		flowTerm{name: "auxiliaries", energy: float64(b.Auxiliary), role: hv},
		flowTerm{name: "inverter", energy: float64(b.Inverter), role: hv},
		flowTerm{name: "motor", energy: float64(b.Motor), node: "motor shaft", role: hv},
		flowTerm{name: "gears", energy: float64(b.Stages), node: "wheels", role: ink},
	)
	for _, t := range [...]flowTerm{
		{name: "rolling", energy: float64(b.Rolling)}, {name: "air", energy: float64(b.Air)},
		{name: climb(b.Grade), energy: float64(b.Grade)}, {name: "pace at the end", energy: float64(b.Inertia)},
		{name: "friction brakes", energy: float64(b.Friction)},
	} {
		switch {
		case t.energy == 0:
		case t.energy < 0:
			t.role = ink
			way = append(way, t)
		default:
			use = append(use, t)
		}
	}
	return from, way, use
}

// Measures of the picture, mm.
const (
	flowThick  = 42.0 // of the trunk where it is thickest
	flowBend   = 3.5  // inner radius where a band turns off
	flowFan    = 18.0 // length of the fan at the wheels
	flowLabels = 33.0 // room for the words at the right
)

// EnergyFlow draws where the energy of a run went, from the wall to the wheels:
// bands as wide as their energy. What leaves on the way turns down; what gives
// energy (a road that falls) comes in from below. Figures are net of what
// braking gave back, which is drawn apart, dashed, in the same measure.
func EnergyFlow(p FlowPicture) *Sheet {
	heading := "Energy from wall to wheel"
	if !(p.Result.Energy.Wall > 0) {
		heading = "Energy from cells to wheel"
	}
	below := "over " + say(p.Title, p.Result.Distance)
	if p.Schedule != "" {
		below += " on " + p.Schedule
	}
	s := newSheet("flow", heading, below+"; every band as wide as its energy, net of what braking gave back", p.Title)
	s.notFinite = holdsNotFinite(p.Balance, p.Result.Energy, p.Result.Distance)
	from, way, use := p.flowTerms()
	most, at := from, from
	for _, t := range way {
		at -= t.energy
		most = max(most, at)
	}
	if !(most > 0) {
		s.root.plain().text(textOf(ink, sizeText), point{edge, headHeight + 10}, "nothing flowed")
		return s.finish(headHeight+14, 0, false, p.Title)
	}
	right := sheetWidth - edge - flowLabels - flowFan
	d := &flowDrawing{p: p, g: s.root.plain(), k: flowThick / most, from: from}
	// The first pass finds how high the words over the trunk become.
	d.trunk(way, right)
	top := headHeight + 1 + d.nodeRows()*nodeTall + 3.4
	d = &flowDrawing{p: p, g: s.root.plain(), k: d.k, from: from, top: top, low: top + flowThick + 13}
	s.root.parts = append(s.root.parts[:1:1], piece{group: d.g})
	x := d.trunk(way, right)
	d.nodeRows()
	bottom := max(d.fan(use, x), d.low+flowStep+2+3*rowHeight)
	return s.finish(d.back(x, bottom+4), 0, false, p.Title)
}

// flowDrawing draws a trunk whose upper edge is level; it knows how thick the
// trunk is by the energy that it still carries.
type flowDrawing struct {
	p        FlowPicture
	g        *group
	k        float64 // mm per J
	from     float64 // J at the beginning
	energy   float64 // J in the trunk
	top, low float64 // upper edge of the trunk; where the turned bands end
	turned   int     // bands so far that turned off or came in
	nodes    []flowNode
}

// flowStep is how much further down every second band ends, so that the words
// below have room.
const flowStep = 15.0

// density of the bands.
const flowDensity = 0.16

func (d *flowDrawing) style(r role) style { return lineOf(r, thin*1.4).filled(r, flowDensity) }

// trunk draws the trunk with what leaves it, and returns its end.
func (d *flowDrawing) trunk(way []flowTerm, right float64) float64 {
	d.energy = d.from
	least := (right - edge) / float64(len(way)+1)
	spare := right - edge
	for _, t := range way {
		spare -= max(least*0.8, math.Abs(t.energy)*d.k+flowBend)
	}
	x := edge
	gap := max(spare, 0) / float64(len(way)+1)
	begin := "wall"
	if !(d.p.Result.Energy.Wall > 0) {
		begin = "cells"
	}
	d.node(begin, x, d.from)
	for _, t := range way {
		room := max(least*0.8, math.Abs(t.energy)*d.k+flowBend) + gap
		d.leave(t, x, x+room)
		x += room
		if t.node != "" {
			d.node(t.node, x, d.energy)
		}
	}
	return x
}

// leave draws the trunk from x to end with one band that turns off or comes in.
func (d *flowDrawing) leave(t flowTerm, x, end float64) {
	w := math.Abs(t.energy) * d.k
	before, after := d.top+d.energy*d.k, d.top+(d.energy-t.energy)*d.k
	h := d.g.object("flow", t.name, figure(t.energy), pair{"share", figure(t.energy / d.from)})
	h.note = t.name + ": " + d.figures(t.energy)
	fill, edgeLine := style{}.filled(t.role, flowDensity), lineOf(t.role, thin*1.4)
	low := d.low + flowStep*float64(d.turned%2)
	d.turned++
	d.g.shape(fill, point{x, d.top}, point{end, d.top}, point{end, min(before, after)}, point{x, min(before, after)})
	d.g.line(edgeLine, point{x, d.top}, point{end, d.top})
	const r = flowBend
	tip := min(w*0.35+0.8, 4)
	var left float64 // edge of the turned band
	if t.energy >= 0 {
		at := max(end-w-r, x) // the bend begins
		left = at + r
		outer := []step{to(at, after), bend(point{at, after}, point{at + r + w, after + r + w}),
			to(left+w, low-tip), to(left+w/2, low), to(left, low-tip), to(left, before+r),
			unbend(point{at + r, before + r}, point{at, before}), to(x, before)}
		h.path(fill, append([]step{{op: move, p: [3]point{{x, after}}}}, outer...)...)
		outer[0].op = move
		h.path(edgeLine, outer...)
		d.g.line(edgeLine, point{at, after}, point{end, after})
	} else {
		left = end - w - flowBend - 3
		at := left + w + r
		inner := []step{to(at, after), unturnBack(point{at, after}, point{left + w, after + r}),
			to(left+w, low), to(left+w/2, low-tip), to(left, low), to(left, before+r+w),
			unturn(point{left, before + r + w}, point{at, before})}
		h.path(fill, append(append([]step{{op: move, p: [3]point{{end, after}}}}, inner...), to(end, before))...)
		h.path(edgeLine, append([]step{{op: move, p: [3]point{{end, after}}}}, inner...)...)
		d.g.line(edgeLine, point{x, before}, point{at, before})
	}
	d.below(h, t, left+w/2, low)
	d.energy -= t.energy
}

func to(x, y float64) step { return step{op: lineT, p: [3]point{{x, y}}} }

// kappa makes a cubic of a quarter circle (from memory).
const kappa = 0.5522847498

// bend turns from rightward to downward.
func bend(a, b point) step {
	return step{op: curve, p: [3]point{{a.x + kappa*(b.x-a.x), a.y}, {b.x, b.y - kappa*(b.y-a.y)}, b}}
}

// unbend is bend from its end to its beginning.
func unbend(b, a point) step {
	return step{op: curve, p: [3]point{{b.x, b.y - kappa*(b.y-a.y)}, {a.x + kappa*(b.x-a.x), a.y}, a}}
}

// unturn turns from upward to rightward.
func unturn(a, b point) step {
	return step{op: curve, p: [3]point{{a.x, a.y + kappa*(b.y-a.y)}, {b.x - kappa*(b.x-a.x), b.y}, b}}
}

// unturnBack is unturn from its end to its beginning.
func unturnBack(b, a point) step {
	return step{op: curve, p: [3]point{{b.x - kappa*(b.x-a.x), b.y}, {a.x, a.y + kappa*(b.y-a.y)}, a}}
}

// below sets name and figures of a turned band.
func (d *flowDrawing) below(g *group, t flowTerm, x, low float64) {
	f := textOf(ink, sizeSmall).to(middle)
	x = max(x, edge+widthOf(t.name, f)/2)
	g.text(f, point{x, low + 4}, t.name)
	g.text(f.strong(), point{x, low + 4 + rowHeight}, d.energyText(t.energy))
	light := textOf(faint, sizeSmall).to(middle)
	g.text(light, point{x, low + 4 + 2*rowHeight}, d.share(t.energy))
}

// flowNode is a place of the trunk with a name.
type flowNode struct {
	name      string
	x, energy float64
}

// node notes a name of the trunk at x and what it carries there.
func (d *flowDrawing) node(name string, x, energy float64) {
	d.nodes = append(d.nodes, flowNode{name, x, energy})
}

// nodeTall is the height of the words of a node.
const nodeTall = 3*rowHeight + 1

// nodeRows sets the words of the nodes over the trunk and returns in how many
// rows. Where the words do not fit before the next node they stand above its.
func (d *flowDrawing) nodeRows() float64 {
	row, rows := 0, 1
	for i := len(d.nodes) - 1; i >= 0; i-- {
		n := d.nodes[i]
		h := d.g.object("node", n.name, figure(n.energy))
		f := textOf(ink, sizeSmall)
		lines := [3]string{n.name, d.energyText(n.energy), d.perDistance(n.energy)}
		faces := [3]face{f, f.strong(), textOf(faint, sizeSmall)}
		wide := 0.0
		for k, l := range lines {
			wide = max(wide, widthOf(l, faces[k]))
		}
		if i+1 < len(d.nodes) && n.x+wide+2 > d.nodes[i+1].x {
			row++
		} else {
			row = 0
		}
		rows = max(rows, row+1)
		base := d.top - 3.4 - float64(row)*nodeTall
		h.line(lineOf(ink, medium), point{n.x, base - 2*rowHeight - 2}, point{n.x, d.top + n.energy*d.k + 1})
		for k, l := range lines {
			h.text(faces[k], point{n.x + 1.2, base - float64(2-k)*rowHeight}, l)
		}
	}
	return float64(rows)
}

func climb(e unit.Energy) string {
	if e < 0 {
		return "road that falls"
	}
	return "road that rises"
}

// fan spreads the trunk at x over what the wheels spend, and returns where it
// ends.
func (d *flowDrawing) fan(use []flowTerm, x float64) float64 {
	y, source := d.top, d.top
	right := x + flowFan
	for _, t := range use {
		w := t.energy * d.k
		room := max(w, 3*rowHeight*0.95)
		at := y + (room-w)/2
		tip := min(w*0.35+0.8, 4)
		h := d.g.object("flow", t.name, figure(t.energy), pair{"share", figure(t.energy / d.from)})
		h.note = t.name + ": " + d.figures(t.energy)
		mid := (x + right) / 2
		h.path(d.style(ink),
			step{op: move, p: [3]point{{x, source}}},
			step{op: curve, p: [3]point{{mid, source}, {mid, at}, {right - tip, at}}},
			step{op: lineT, p: [3]point{{right, at + w/2}}}, step{op: lineT, p: [3]point{{right - tip, at + w}}},
			step{op: curve, p: [3]point{{mid, at + w}, {mid, source + w}, {x, source + w}}}, step{op: shut})
		f, centre := textOf(ink, sizeSmall), at+w/2
		h.text(f, point{right + 2, centre - 1}, t.name)
		h.text(f.strong(), point{right + 2, centre - 1 + rowHeight}, d.energyText(t.energy))
		h.text(textOf(faint, sizeSmall), point{right + 4 + widthOf(d.energyText(t.energy), f.strong()), centre - 1 + rowHeight}, d.share(t.energy))
		y, source = y+room+3, source+w
	}
	return y
}

// back draws what braking gave back as a band of its own, below y, and returns
// where it ends.
func (d *flowDrawing) back(x, y float64) float64 {
	e := d.p.Result.Energy
	if !(e.Recovered > 0) {
		return y
	}
	w := float64(e.Recovered) * d.k
	h := d.g.object("recovered", "in braking", figure(float64(e.Recovered)))
	words := fmt.Sprintf("%s of %s of braking came back at the wheels; it is taken off everywhere above",
		d.energyText(float64(e.Recovered)), d.energyText(float64(e.Braking)))
	h.text(textOf(ink, sizeSmall), point{edge, y}, words)
	y += 2
	tip := min(w*0.35+0.8, 4)
	h.shape(lineOf(ink, thin*1.4).with(dashed), point{x, y}, point{edge + tip, y}, point{edge, y + w/2}, point{edge + tip, y + w}, point{x, y + w})
	return y + w + 1
}

// energyText prints kilowatt hours to a hundredth where the run took more than
// one of them.
func (d *flowDrawing) energyText(e float64) string {
	if d.from >= float64(unit.KilowattHour) {
		return minus(fmt.Sprintf("%.2f kWh", noNegative(e/float64(unit.KilowattHour), 2)))
	}
	return minus(fmt.Sprintf("%.1f Wh", noNegative(e/float64(unit.WattHour), 1)))
}

func (d *flowDrawing) share(e float64) string {
	return minus(fmt.Sprintf("%.1f %%", noNegative(e/d.from*100, 1)))
}

func (d *flowDrawing) figures(e float64) string {
	return d.energyText(e) + ", " + d.share(e) + ", " + d.perDistance(e)
}

func (d *flowDrawing) perDistance(e float64) string {
	s := float64(d.p.Result.Distance)
	if !(s > 0) {
		return ""
	}
	return minus(say(d.p.Title, unit.Consumption(e/s)))
}
