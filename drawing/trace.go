package drawing

import (
	"fmt"
	"math"
	"sort"

	"packyard/drive"
)

// Panel is one quantity of a run.
type Panel string

// Panels, in the order in which they are drawn by default.
const (
	Speed   Panel = "speed"
	Power   Panel = "power"
	Voltage Panel = "voltage"
	Current Panel = "current"
	Charge  Panel = "charge"
)

// TracePicture is what the picture of a run shows.
type TracePicture struct {
	Trace    *drive.Trace
	Distance bool    // along the distance instead of time
	Panels   []Panel // nil: all
	Schedule string  // named in the heading
	Title    Title
}

// panelRow is one panel ready to be drawn: the lines of its values in units of
// display.
type panelRow struct {
	panel Panel
	name  string
	lines []curveLine
	zero  bool // the axis holds zero
}

const (
	panelTall = 30.0
	panelGap  = 10.0
	// columnWide is the width of a column in which the least and greatest value are
	// drawn, mm: about one pixel where a sheet is 768 px wide.
	columnWide = 0.25
)

// TraceChart draws a run, one panel for each quantity over one axis of time or
// distance. More values than the panel has columns are drawn by the first, the
// least, the greatest and the last of each column, so that every peak shows.
// Power and current are those at the terminals of the pack, discharge positive.
func TraceChart(p TracePicture) *Sheet {
	heading := "Run"
	if p.Schedule != "" {
		heading += ": " + p.Schedule
	}
	s := newSheet("trace", heading, "power and current at the terminals of the pack, discharge upward; thin line: speed wanted by the schedule", p.Title)
	s.notFinite = holdsNotFinite(p.Trace)
	x, nameX := p.across()
	rows := p.rows()
	top := headHeight + 8.0
	lo, hi, ok := rangeOf(x)
	if !ok {
		s.root.plain().text(textOf(ink, sizeText), point{edge, top}, "nothing was driven")
		return s.finish(top+2, 0, false, p.Title)
	}
	left, right := edge+leftOfAxis, sheetWidth-edge-3
	ax := newAxis(lo, hi, 10, left, right)
	// A run ends where it ends: the axis does too.
	ax.lo, ax.hi = lo, max(hi, lo+1e-9)
	for len(ax.ticks) > 0 && ax.ticks[len(ax.ticks)-1] > ax.hi*(1+1e-9) {
		ax.ticks = ax.ticks[:len(ax.ticks)-1]
	}
	columns := int((right - left) / columnWide)
	bottom := top
	for i, r := range rows {
		y0 := top + float64(i)*(panelTall+panelGap)
		bottom = y0 + panelTall
		g := s.root.object("trace", string(r.panel), "")
		var all []float64
		for _, l := range r.lines {
			all = append(all, l.y...)
		}
		vlo, vhi, ok := rangeOf(all)
		if !ok {
			vlo, vhi = 0, 1
		}
		if r.zero {
			vlo, vhi = min(vlo, 0), max(vhi, 0)
		}
		q := plot{x: ax, y: newAxis(vlo, vhi, 4, bottom, y0)}
		q.up(g, r.name)
		for _, t := range ax.ticks {
			g.line(gridLine, point{ax.at(t), y0}, point{ax.at(t), bottom})
		}
		if q.y.lo < 0 && q.y.hi > 0 {
			g.line(lineOf(ink, thin), point{left, q.y.at(0)}, point{right, q.y.at(0)})
		}
		for _, l := range r.lines {
			keep := decimate(x, l.y, columns)
			points := make([]point, len(keep))
			for k, j := range keep {
				points[k] = q.at(x[j], l.y[j])
			}
			g.poly(l.look, points...)
		}
		if i == len(rows)-1 {
			q.across(g, nameX)
		} else {
			g.line(lineOf(ink, thin), point{left, bottom}, point{right, bottom})
		}
	}
	return s.finish(bottom+11, 0, false, p.Title)
}

// across returns the values of the common axis in units of display.
func (p TracePicture) across() ([]float64, string) {
	t := p.Trace
	if p.Distance {
		u := unitDistance(p.Title.System)
		return times(t.Distance, u.per), "distance, " + u.name
	}
	lo, hi, _ := rangeOf(t.Time)
	switch {
	case hi-lo > 2*3600:
		return times(t.Time, 1.0/3600), "time, h"
	case hi-lo > 300:
		return times(t.Time, 1.0/60), "time, min"
	}
	return times(t.Time, 1), "time, s"
}

func times(x []float64, by float64) []float64 {
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = v * by
	}
	return out
}

// rows returns the panels with their values.
func (p TracePicture) rows() []panelRow {
	t, speed := p.Trace, unitSpeed(p.Title.System)
	line := lineOf(ink, 0.24)
	one := func(x []float64, by float64) []curveLine { return []curveLine{{y: times(x, by), look: line}} }
	panels := p.Panels
	if len(panels) == 0 {
		panels = []Panel{Speed, Power, Voltage, Current, Charge}
	}
	var out []panelRow
	for _, n := range panels {
		r := panelRow{panel: n}
		switch n {
		case Speed:
			r.name, r.zero = "speed, "+speed.name, true
			if len(t.SpeedWanted) == len(t.Speed) {
				r.lines = append(r.lines, curveLine{y: times(t.SpeedWanted, speed.per), look: lineOf(faint, thin)})
			}
			r.lines = append(r.lines, curveLine{y: times(t.Speed, speed.per), look: line})
		case Power:
			r.name, r.zero, r.lines = "power, kW", true, one(t.Power, 1e-3)
		case Voltage:
			r.name, r.lines = "voltage, V", one(t.Voltage, 1)
		case Current:
			r.name, r.zero, r.lines = "current, A", true, one(t.Current, 1)
		case Charge:
			r.name, r.zero, r.lines = "state of charge, %", true, one(t.SoC, 100)
		default:
			panic(fmt.Sprintf("drawing: there is no panel %q", n))
		}
		out = append(out, r)
	}
	return out
}

// decimate returns the indices of x and y to draw in so many columns: all, or of
// each column the first, the least, the greatest and the last value. x must not
// fall. Common practice.
func decimate(x, y []float64, columns int) []int {
	n := min(len(x), len(y))
	keep := make([]int, 0, min(n, 4*columns+4))
	if n <= 4*columns {
		for i := range n {
			keep = append(keep, i)
		}
		return keep
	}
	lo, wide := x[0], (x[n-1]-x[0])/float64(columns)
	for i := 0; i < n; {
		end := lo + wide*(math.Floor((x[i]-lo)/wide)+1)
		j := i + sort.Search(n-i, func(k int) bool { return x[i+k] >= end })
		if j <= i {
			j = i + 1
		}
		least, most := i, i
		for k := i; k < j; k++ {
			if y[k] < y[least] {
				least = k
			}
			if y[k] > y[most] {
				most = k
			}
		}
		last := -1
		for _, k := range [4]int{i, min(least, most), max(least, most), j - 1} {
			if k > last {
				keep = append(keep, k)
				last = k
			}
		}
		i = j
	}
	return keep
}
