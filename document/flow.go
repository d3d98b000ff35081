package document

import (
	"fmt"

	"packyard/unit"
)

// measure gives the width of a text in a style, mm.
type measure func(s style, text string) float64

// flow sets blocks one below the other, from page to page.
type flow struct {
	paper   Paper
	measure measure
	system  unit.System
	cited   *citations
	pages   []page
	y       float64 // where the next block begins, mm from the top
	section string
	places  map[string]place
}

func newFlow(p Paper, m measure, s unit.System) *flow {
	return &flow{paper: p, measure: m, system: s, cited: &citations{}, places: map[string]place{}}
}

func (f *flow) left() float64   { return marginLeft }
func (f *flow) width() float64  { return f.paper.width - marginLeft - marginRight }
func (f *flow) bottom() float64 { return f.paper.height - marginBottom }
func (f *flow) height() float64 { return f.bottom() - marginTop }

func (f *flow) newPage() {
	f.pages = append(f.pages, page{section: f.section})
	f.y = marginTop
}

// room begins a page if less than h is left on this one. A height of more than
// a page is what a page can give.
func (f *flow) room(h float64) {
	if len(f.pages) == 0 || f.y+min(h, f.height()) > f.bottom()+1e-9 {
		f.newPage()
	}
}

// fresh reports whether nothing stands on the page yet.
func (f *flow) fresh() bool { return len(f.pages) > 0 && f.y == marginTop }

func (f *flow) put(m mark) {
	p := &f.pages[len(f.pages)-1]
	p.marks = append(p.marks, m)
}

// of measures in one style.
func (f *flow) of(s style) widthOf { return func(t string) float64 { return f.measure(s, t) } }

// gap leaves a space, but not at the head of a page.
func (f *flow) gap(h float64) {
	if len(f.pages) > 0 && !f.fresh() {
		f.y += h
	}
}

// write sets lines at x from the present height on and goes down.
func (f *flow) write(x float64, s style, lines []string) {
	for _, l := range lines {
		f.room(s.line())
		f.baseline(x, s, l)
		f.y += s.line()
	}
}

// baseline sets one line of text whose upper edge is the present height.
func (f *flow) baseline(x float64, s style, t string) {
	if t != "" {
		f.put(mark{kind: text, x: x, y: f.y + (s.line()+s.size*0.72)/2, style: s, text: t})
	}
}

// sections sets all sections of a document.
func (f *flow) sections(list []Section) error {
	for i := range list {
		if err := f.one(&list[i]); err != nil {
			return fmt.Errorf("section %q: %w", list[i].Title, err)
		}
	}
	return nil
}

// headingRoom is what must follow a heading on its page, mm.
const headingRoom = 30

func (f *flow) one(s *Section) error {
	f.section = s.Title
	st, before, after := heading, 9.0, 3.0
	if s.Deep {
		st, before, after = deeper, 6.0, 2.0
	}
	if s.NewPage && !f.fresh() {
		f.newPage()
	}
	f.gap(before)
	lines := breakLines(s.Title, f.width(), f.of(st))
	f.room(float64(len(lines))*st.line() + after + headingRoom)
	if f.fresh() {
		f.pages[len(f.pages)-1].section = s.Title
	}
	f.places[s.ID] = place{page: len(f.pages) - 1, y: f.y}
	f.write(f.left(), st, lines)
	f.y += after
	for i, b := range s.Blocks {
		if i > 0 {
			f.gap(2.6)
		}
		if err := f.set(b); err != nil {
			return err
		}
	}
	return nil
}

func (f *flow) set(b Block) error {
	switch b := b.(type) {
	case Paragraph:
		f.paragraph(b)
	case Caution:
		f.caution(b)
	case List:
		f.list(b)
	case Figures:
		f.figures(b)
	case Table:
		return f.table(b)
	case Picture:
		f.picture(b)
	case Workings:
		f.workings(b)
	case Cited:
		f.sources()
	default:
		return fmt.Errorf("block of kind %T has no form on paper", b)
	}
	return nil
}
