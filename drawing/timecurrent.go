package drawing

import (
	"math"
	"strconv"

	"packyard/check"
	"packyard/circuit"
	"packyard/unit"
)

// CircuitPicture is what the chart of time over current shows.
type CircuitPicture struct {
	Chart circuit.Chart
	Title Title
}

// looksOf are the lines of the kinds of curve: told apart by width and dashes, so
// that a copy in black and white tells them apart too.
var looksOf = map[circuit.CurveKind]style{
	circuit.CurveMelting:  lineOf(ink, medium).with(dashed),
	circuit.CurveClearing: lineOf(ink, thick),
	circuit.CurveCable:    lineOf(accent, medium).with(chained),
	circuit.CurveCarries:  lineOf(accent, medium).with(dotted),
}

// decades is a logarithmic axis over whole powers of ten.
type decades struct {
	lo, hi int     // exponents of its ends
	a, b   float64 // their places, mm
}

// at returns the place of v, held inside the axis.
func (d decades) at(v float64) float64 {
	x := min(max(math.Log10(v), float64(d.lo)), float64(d.hi))
	return d.a + (x-float64(d.lo))/float64(d.hi-d.lo)*(d.b-d.a)
}

// over returns the axis that holds all values above zero, within limits.
func over(values []float64, least, most int, a, b float64) decades {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, v := range values {
		if v > 0 && !math.IsInf(v, 0) {
			lo, hi = min(lo, v), max(hi, v)
		}
	}
	d := decades{lo: least, hi: most, a: a, b: b}
	if hi > 0 {
		d.lo = max(least, int(math.Floor(math.Log10(lo)+1e-9)))
		d.hi = min(most, int(math.Ceil(math.Log10(hi)-1e-9)))
	}
	if d.hi <= d.lo {
		d.hi = d.lo + 1
	}
	return d
}

// TimeCurrent draws who opens what: the times for which fuse, cable and
// contactor bear a current, over the current, both in decades, with what flows
// in service as points and the range of prospective faults as a band. A value
// that is not finite makes a picture that is not written, see ErrNotFinite.
func TimeCurrent(p CircuitPicture) *Sheet {
	c := &p.Chart
	s := newSheet("time-current", "Who opens what", "time over current, one string; both scales in powers of ten", p.Title)
	var amps, times []float64
	for _, l := range c.Curves {
		s.notFinite = s.notFinite || holdsNotFinite(l.Current) || holdsNotFinite(l.Time)
		amps, times = append(amps, l.Current...), append(times, l.Time...)
	}
	for _, q := range c.Points {
		amps, times = append(amps, float64(q.Current)), append(times, float64(q.Time))
	}
	amps = append(amps, float64(c.Lowest), float64(c.Highest), float64(c.Break))
	s.notFinite = s.notFinite || holdsNotFinite(amps) || holdsNotFinite(times)
	if s.notFinite {
		return s.finish(headHeight, 0, false, p.Title)
	}
	box := span{edge + 16, headHeight + 4, sheetWidth - edge - 4, headHeight + 124}
	x := over(amps, 0, 6, box.x0, box.x1)
	y := over(times, -4, 5, box.y1, box.y0)
	g := s.root.plain()
	g.logGrid(box, x, y)
	band := g.object("band", "prospective faults", "")
	band.rect(style{fill: ink, density: 0.06}, x.at(float64(c.Lowest)), box.y0, x.at(float64(c.Highest))-x.at(float64(c.Lowest)), box.y1-box.y0)
	small := textOf(faint, sizeSmall).haloed()
	band.text(small.to(middle), point{(x.at(float64(c.Lowest)) + x.at(float64(c.Highest))) / 2, box.y0 + 4},
		"prospective faults, "+say(p.Title, c.Lowest)+" to "+say(p.Title, c.Highest))
	if c.Break > 0 {
		at := x.at(float64(c.Break))
		g.line(lineOf(accent, thin).with(dashed), point{at, box.y0}, point{at, box.y1})
		mark := small
		mark.upward = true
		g.text(mark, point{at - 1, box.y0 + 52}, "contactor breaks up to "+say(p.Title, c.Break))
	}
	for _, l := range c.Curves {
		o := g.object("curve", string(l.Kind)+" "+l.Name, "")
		var line []point
		for i := range l.Current {
			if l.Current[i] > 0 && l.Time[i] > 0 {
				line = append(line, point{x.at(l.Current[i]), y.at(l.Time[i])})
			}
		}
		if len(line) > 1 {
			o.poly(looksOf[l.Kind], line...)
		}
	}
	return s.finish(s.circuitKey(p, dutyPoints(g, c, x, y), box.y1+13), 0, false, p.Title)
}

// logGrid draws frame, decades and their figures.
func (g *group) logGrid(box span, x, y decades) {
	figures := textOf(ink, sizeSmall)
	for e := x.lo; e <= x.hi; e++ {
		v := math.Pow10(e)
		g.line(gridLine, point{x.at(v), box.y0}, point{x.at(v), box.y1})
		g.text(figures.to(middle), point{x.at(v), box.y1 + 4}, check.Whole(int(v)))
		for k := 2.0; k < 10 && e < x.hi; k++ {
			g.line(lineOf(faint, thin), point{x.at(k * v), box.y1}, point{x.at(k * v), box.y1 - 1.2})
		}
	}
	for e := y.lo; e <= y.hi; e++ {
		v := math.Pow10(e)
		g.line(gridLine, point{box.x0, y.at(v)}, point{box.x1, y.at(v)})
		g.text(figures.to(end), point{box.x0 - 1.5, y.at(v) + 1}, decadeText(e))
		for k := 2.0; k < 10 && e < y.hi; k++ {
			g.line(lineOf(faint, thin), point{box.x0, y.at(k * v)}, point{box.x0 + 1.2, y.at(k * v)})
		}
	}
	g.rect(lineOf(ink, thin), box.x0, box.y0, box.x1-box.x0, box.y1-box.y0)
	g.text(textOf(ink, sizeText).to(middle), point{(box.x0 + box.x1) / 2, box.y1 + 9}, "current, A")
	up := textOf(ink, sizeText).to(middle)
	up.upward = true
	g.text(up, point{edge + 3, (box.y0 + box.y1) / 2}, "time, s")
}

// decadeText prints a power of ten without exponent.
func decadeText(e int) string {
	if e >= 0 {
		return check.Whole(int(math.Pow10(e)))
	}
	return strconv.FormatFloat(math.Pow10(e), 'f', -e, 64)
}

// dutyPoints draws what flows in service, numbered, and returns the words of the numbers.
func dutyPoints(g *group, c *circuit.Chart, x, y decades) []string {
	var words []string
	for i, q := range c.Points {
		at := point{x.at(float64(q.Current)), y.at(float64(q.Time))}
		n := strconv.Itoa(i + 1)
		o := g.object("point", q.Name, strconv.FormatFloat(float64(q.Current), 'g', 6, 64))
		o.circle(solidFill(ink), at, 0.9)
		o.text(textOf(ink, sizeSmall).strong().haloed(), at.plus(1.4, -1), n)
		words = append(words, n+"  "+q.Name)
	}
	return words
}

// circuitKey explains lines and points below the chart and returns where it ends.
func (s *Sheet) circuitKey(p CircuitPicture, points []string, y float64) float64 {
	g := s.root.plain()
	words := textOf(ink, sizeSmall)
	half := (sheetWidth - 2*edge) / 2
	top := y
	for _, l := range p.Chart.Curves {
		g.line(looksOf[l.Kind], point{edge, y + 3}, point{edge + 12, y + 3})
		g.text(words, point{edge + 14, y + 4}, fit(string(l.Kind)+": "+l.Name, words, half-16))
		y += 5
	}
	for i, w := range points {
		q := p.Chart.Points[i]
		text := w + ", " + say(p.Title, q.Current) + " for " + say(p.Title, unit.Time(q.Time))
		g.text(words, point{edge + half + 2, top + 4 + 5*float64(i)}, fit(text, words, half-4))
	}
	return max(y, top+5*float64(len(points)))
}
