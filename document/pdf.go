package document

import (
	"fmt"
	"io"
	"time"

	"packyard/drawing"
	"packyard/internal/pdf"
	"packyard/unit"
)

// Print says how a document is written.
type Print struct {
	Paper  Paper       // zero: A4
	System unit.System // units of workings
	Made   time.Time   // date in the file's own description; zero: none
}

// PDF writes the document: cover, contents with links, sections, an outline.
// Equal documents give equal bytes. Errors: a section without an ID of its own,
// a table whose rows do not match its columns, a drawing that is not finite,
// those of w.
func (d *Document) PDF(w io.Writer, o Print) error {
	if o.Paper == (Paper{}) {
		o.Paper = A4
	}
	f := pdf.New(pdf.Options{Title: d.Title, Subject: d.Subtitle, Made: o.Made})
	l, err := lay(d, o.Paper, func(s style, t string) float64 { return f.Width(s.face.pdf(), s.size, t) }, o.System)
	if err != nil {
		return fmt.Errorf("%s: %w", d.Title, err)
	}
	for i := range l.pages {
		f.Page(l.paper.width, l.paper.height)
		for _, s := range d.Sections {
			if at := l.places[s.ID]; at.page == i {
				level := 0
				if s.Deep {
					level = 1
				}
				f.Bookmark(s.Title, level, at.y)
				f.Target(s.ID, i+1, at.y)
			}
		}
		for _, m := range l.pages[i].marks {
			if err := ink(f, m); err != nil {
				return fmt.Errorf("%s: page %d: %w", d.Title, i+1, err)
			}
		}
	}
	return f.Write(w)
}

func (f face) pdf() pdf.Face {
	if f == bold {
		return pdf.Bold
	}
	return pdf.Plain
}

// ink draws one mark on the present page.
func ink(f *pdf.File, m mark) error {
	line := func(width float64) pdf.Line { return pdf.Line{Width: width, Opacity: 1} }
	switch m.kind {
	case text:
		f.Text(m.x, m.y, pdf.Text{Face: m.style.face.pdf(), Size: m.style.size}, m.text)
	case rule:
		f.Path([]pdf.Step{step(pdf.Move, m.x, m.y), step(pdf.To, m.x+m.w, m.y+m.h)}, line(m.weight), pdf.Area{})
	case frame:
		f.Path(box(m), line(m.weight), pdf.Area{})
	case ground:
		f.Path(box(m), pdf.Line{}, pdf.Area{Opacity: 0.08})
	case link:
		f.Link(m.x, m.y, m.w, m.h, m.target)
	case picture:
		const mm = unit.Millimetre
		return m.sheet.Place(f, drawing.Rect{
			X: unit.Length(m.x) * mm, Y: unit.Length(m.y) * mm, Width: unit.Length(m.w) * mm, Height: unit.Length(m.h) * mm,
		})
	}
	return nil
}

func step(op pdf.Op, x, y float64) pdf.Step { return pdf.Step{Op: op, P: [6]float64{x, y}} }

func box(m mark) []pdf.Step {
	return []pdf.Step{step(pdf.Move, m.x, m.y), step(pdf.To, m.x+m.w, m.y), step(pdf.To, m.x+m.w, m.y+m.h), step(pdf.To, m.x, m.y+m.h), {Op: pdf.Close}}
}
