package drawing

import (
	"fmt"
	"math"

	"packyard/design"
	"packyard/unit"
)

// Title is the strip at the foot of every sheet; all of it is optional.
type Title struct {
	Project  string
	Invented bool   // demonstration data, said so on the sheet
	Option   string // ID of the option shown
	Date     string // printed only when not empty
	System   unit.System
	Prefix   string // of every id in the SVG, so that two sheets can stand on one page
}

// TitleOf returns the title of pictures of an assessed option.
func TitleOf(a *design.Assessment, s unit.System) Title {
	return Title{Project: a.Project, Invented: a.Invented, Option: a.Option, System: s}
}

// Page measures in mm. The width is that of A4 less the edge left and right
// that a printer needs.
const (
	sheetWidth = 200.0
	edge       = 6.0
	headHeight = 17.0 // of heading and the line below it
	footHeight = 9.0
)

// newSheet returns a sheet with its heading; name begins its ids.
func newSheet(name, heading, below string, t Title) *Sheet {
	s := &Sheet{width: sheetWidth, heading: heading, prefix: t.Prefix + name + "-"}
	s.desc = below
	f := textOf(ink, sizeHead).strong()
	g := s.root.plain()
	g.text(f, point{edge, edge + 4}, fit(heading, f, sheetWidth-2*edge))
	small := textOf(faint, sizeText)
	g.text(small, point{edge, edge + 9.2}, fit(below, small, sheetWidth-2*edge))
	return s
}

// finish ends the sheet below y with the title strip. A scale of zero is not
// drawn to scale; views adds the sign of first-angle projection.
func (s *Sheet) finish(y, scale float64, views bool, t Title) *Sheet {
	top := y + 4
	s.height = top + footHeight + 1
	g := s.root.object("title", "", "")
	g.line(lineOf(ink, medium), point{edge, top}, point{s.width - edge, top})
	base, right := top+5.6, s.width-edge
	if views {
		g.firstAngle(point{right - 8, top + footHeight/2})
		right -= 20
	}
	last := textOf(ink, sizeText).to(end)
	note := ""
	if scale > 0 {
		note = scaleText(scale)
	}
	if t.Date != "" {
		if note != "" {
			note += "   "
		}
		note += t.Date
	}
	g.text(last, point{right, base}, note)
	right -= widthOf(note, last) + 5
	x := edge
	// The project may not crowd out that its data are invented, nor the option.
	said := textOf(ink, sizeText)
	t.Project = fit(t.Project, said.strong(), (right-x-widthOf(invented(t), said))*0.55)
	for _, c := range []struct {
		text string
		face face
	}{
		{t.Project, textOf(ink, sizeText).strong()}, {invented(t), textOf(ink, sizeText)}, {t.Option, textOf(ink, sizeText)},
	} {
		text := fit(c.text, c.face, right-x)
		g.text(c.face, point{x, base}, text)
		if text != "" {
			x += widthOf(text, c.face) + 4
		}
	}
	return s
}

func invented(t Title) string {
	if t.Invented {
		return "invented demonstration data"
	}
	return ""
}

func scaleText(scale float64) string {
	if scale < 1 {
		return fmt.Sprintf("%g : 1", math.Round(1/scale))
	}
	return fmt.Sprintf("1 : %g", scale)
}

// firstAngle draws the sign of first-angle projection, a cut cone from the
// side and from its narrow end. Source: iso-5456-2.
func (g *group) firstAngle(at point) {
	st := lineOf(ink, thin)
	g.shape(st, at.plus(-8, -1.1), at.plus(-2.6, -2.2), at.plus(-2.6, 2.2), at.plus(-8, 1.1))
	g.circle(st, at.plus(3.4, 0), 2.2)
	g.circle(st, at.plus(3.4, 0), 1.1)
	axis := st.with(chained)
	axis.stroke = faint
	g.line(axis, at.plus(-9.2, 0), at.plus(6.8, 0))
	g.line(axis, at.plus(3.4, -3.4), at.plus(3.4, 3.4))
}

// scaleFor returns the largest usual scale at which a length in m takes no more
// than the room in mm. Source: iso-5455 for 1, 2 and 5 times a power of ten; the
// steps between are common practice of rules and of drawings for the screen.
func scaleFor(length, room float64) float64 {
	least := length * 1000 / room
	if !(least > 0) || math.IsInf(least, 1) {
		return 1
	}
	p := math.Pow(10, math.Floor(math.Log10(least)))
	for _, m := range []float64{1, 1.25, 1.5, 2, 2.5, 3, 4, 5, 7.5, 10} {
		if m*p >= least*(1-1e-9) {
			return m * p
		}
	}
	return 10 * p
}

// say prints a quantity as a builder of the title's system reads it.
func say[Q unit.Quantity](t Title, q Q) string { return unit.Format(q, t.System) }

// Units of display, exact by definition. Source: nist-sp811.
const (
	pound = 0.45359237 // kg
	inch  = 0.0254     // m
	mile  = 1609.344   // m
)

// massText prints a mass or load to a tenth of a kilogram or pound.
func massText(t Title, m unit.Mass) string {
	if t.System == unit.US {
		return fmt.Sprintf("%.1f lb", noNegative(m.Kilograms()/pound, 1))
	}
	return fmt.Sprintf("%.1f kg", noNegative(m.Kilograms(), 1))
}

// size prints a dimension of a part: whole millimetres or hundredths of an inch.
func size(t Title, l unit.Length) string {
	if t.System == unit.US {
		return fmt.Sprintf("%.2f in", noNegative(l.Metres()/inch, 2))
	}
	return fmt.Sprintf("%.0f mm", noNegative(l.Millimetres(), 0))
}

func noNegative(x float64, decimals int) float64 {
	if math.Abs(x) < 0.5*math.Pow10(-decimals) {
		return 0
	}
	return x
}
