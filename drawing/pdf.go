package drawing

import (
	"fmt"
	"io"
	"math"
	"strconv"

	"packyard/internal/pdf"
	"packyard/unit"
)

// PDF writes the sheet as a file of one page of its own size. Colours are those
// of the light ground. Equal sheets give equal bytes. Errors: ErrNotFinite, those of w.
func (s *Sheet) PDF(w io.Writer) error {
	f := pdf.New(pdf.Options{Title: s.heading, Subject: s.desc})
	f.Page(s.width, s.height)
	if err := s.Place(f, s.own()); err != nil {
		return err
	}
	if err := f.Write(w); err != nil {
		return fmt.Errorf("%s: %w", s.heading, err)
	}
	return nil
}

// Rect is a rectangle of a page, X and Y its upper left corner, y down.
type Rect struct{ X, Y, Width, Height unit.Length }

// own is the rectangle of a page as large as the sheet.
func (s *Sheet) own() Rect {
	w, h := s.Size()
	return Rect{Width: w, Height: h}
}

// Place draws the sheet on the present page, as large as it goes into the
// rectangle with its sides in proportion, at the upper left corner. Errors: ErrNotFinite.
func (s *Sheet) Place(f *pdf.File, at Rect) error {
	if s.notFinite {
		return fmt.Errorf("%s: %w", s.heading, ErrNotFinite)
	}
	const mm = unit.Millimetre
	k := min(float64(at.Width/mm)/s.width, float64(at.Height/mm)/s.height)
	if !(k > 0) || math.IsInf(k, 0) {
		return fmt.Errorf("%s: %w", s.heading, ErrNotFinite)
	}
	o := pdfWriter{f: f, k: k, x: float64(at.X / mm), y: float64(at.Y / mm)}
	o.group(&s.root)
	return nil
}

// pdfWriter draws marks at a scale from a corner.
type pdfWriter struct {
	f       *pdf.File
	k, x, y float64
}

func (o *pdfWriter) group(g *group) {
	for _, p := range g.parts {
		if p.mark != nil {
			o.mark(p.mark)
			continue
		}
		o.group(p.group)
	}
}

func (o *pdfWriter) at(p point) (x, y float64) { return o.x + o.k*p.x, o.y + o.k*p.y }

func (o *pdfWriter) mark(m *mark) {
	switch m.kind {
	case textMark:
		o.text(m)
	case circleMark:
		o.paint(circleSteps(m.at, m.radius), m.style)
	default:
		o.paint(m.path, m.style)
	}
}

// circleSteps returns a circle as four cubic curves; the largest error of the
// radius is 0.03 %.
func circleSteps(c point, r float64) []step {
	const pull = 0.5522847498 // 4(√2 − 1)/3
	a, b := r, pull*r
	at := func(x, y float64) point { return point{c.x + x, c.y + y} }
	return []step{
		{op: move, p: [3]point{at(a, 0)}},
		{op: curve, p: [3]point{at(a, b), at(b, a), at(0, a)}},
		{op: curve, p: [3]point{at(-b, a), at(-a, b), at(-a, 0)}},
		{op: curve, p: [3]point{at(-a, -b), at(-b, -a), at(0, -a)}},
		{op: curve, p: [3]point{at(b, -a), at(a, -b), at(a, 0)}},
		{op: shut},
	}
}

func (o *pdfWriter) paint(path []step, st style) {
	steps := make([]pdf.Step, len(path))
	for i, s := range path {
		steps[i].Op = pdf.Op(s.op)
		for j := range s.op.points() {
			steps[i].P[2*j], steps[i].P[2*j+1] = o.at(s.p[j])
		}
	}
	var l pdf.Line
	if st.stroke != noRole {
		l = pdf.Line{Width: o.k * st.weight, Colour: colourOf(st.stroke), Opacity: 1}
		if st.light {
			l.Opacity = lightOpacity
		}
		for _, d := range dashes[st.dash] {
			l.Dash = append(l.Dash, o.k*d)
		}
	}
	var a pdf.Area
	if st.fill != noRole {
		a = pdf.Area{Colour: colourOf(st.fill), Opacity: st.density}
	}
	o.f.Path(steps, l, a)
}

// text sets a line of text. The face of a file is the condensed one of the
// widths that labels are kept apart by, so nothing runs into its neighbour.
func (o *pdfWriter) text(m *mark) {
	f := m.face
	t := pdf.Text{Size: o.k * f.size, Upward: f.upward}
	if f.bold {
		t.Face = pdf.Bold
	}
	if f.role != noRole {
		t.Colour = colourOf(f.role)
	}
	if f.halo {
		t.Halo = o.k * f.size / 4
	}
	back := 0.0
	switch f.anchor {
	case middle:
		back = o.f.Width(t.Face, t.Size, m.text) / 2
	case end:
		back = o.f.Width(t.Face, t.Size, m.text)
	}
	x, y := o.at(m.at)
	if f.upward {
		y += back
	} else {
		x -= back
	}
	o.f.Text(x, y, t, m.text)
}

// colourOf returns the colour of a role on light ground; paper is white, since
// that is what a file is printed on.
func colourOf(r role) pdf.Colour {
	if r == paper {
		return pdf.Colour{R: 255, G: 255, B: 255}
	}
	v, err := strconv.ParseUint(roles[r].light[1:], 16, 32)
	if err != nil {
		return pdf.Colour{}
	}
	return pdf.Colour{R: uint8(v >> 16), G: uint8(v >> 8), B: uint8(v)}
}
