package document

import (
	"fmt"
	"strconv"

	"packyard/unit"
)

// layout is a document on pages: cover, contents, sections.
type layout struct {
	paper  Paper
	pages  []page
	places map[string]place // of the sections, with pages of the whole document
}

// Largest number of pages that contents may take; more is no document that
// anybody opens at its contents.
const contentsMost = 20

// lay sets a document on pages. Errors: a section without an ID of its own, a
// table whose rows do not match its columns.
func lay(d *Document, p Paper, m measure, s unit.System) (*layout, error) {
	seen := map[string]bool{"": true}
	for _, sec := range d.Sections {
		if seen[sec.ID] {
			return nil, fmt.Errorf("section %q: its ID %q is empty or another section's", sec.Title, sec.ID)
		}
		seen[sec.ID] = true
	}
	text := newFlow(p, m, s)
	text.newPage()
	if err := text.sections(d.Sections); err != nil {
		return nil, err
	}
	cover := newFlow(p, m, s)
	cover.newPage()
	cover.cover(d)
	before := len(cover.pages)
	// The contents need the pages of the sections, and these lie behind the contents.
	for n := 1; n <= contentsMost; n++ {
		contents := newFlow(p, m, s)
		contents.section = "Contents"
		contents.newPage()
		contents.contents(d, text.places, before+n)
		if len(contents.pages) > n {
			continue
		}
		l := &layout{paper: p, places: map[string]place{}}
		l.pages = append(append(append(l.pages, cover.pages...), contents.pages...), text.pages...)
		for id, at := range text.places {
			l.places[id] = place{page: at.page + before + n, y: at.y}
		}
		l.borders(d, m, before)
		return l, nil
	}
	return nil, fmt.Errorf("contents of %d sections take more than %d pages", len(d.Sections), contentsMost)
}

// cover sets the first page.
func (f *flow) cover(d *Document) {
	f.y = 48
	f.write(f.left(), title, breakLines(d.Title, f.width(), f.of(title)))
	f.y += 3
	f.write(f.left(), deeper, breakLines(d.Subtitle, f.width(), f.of(deeper)))
	f.y += 10
	f.figures(Figures{Entries: d.Cover})
	f.y += 8
	for _, w := range d.Warnings {
		f.caution(Caution{Text: w})
		f.y += 3
	}
}

// contents lists the sections with their pages, each line a link. Before is the
// number of pages in front of the first section.
func (f *flow) contents(d *Document, places map[string]place, before int) {
	f.write(f.left(), heading, []string{"Contents"})
	f.y += 3
	for _, s := range d.Sections {
		st, x := strong, f.left()
		if s.Deep {
			st, x = body, x+6
		} else {
			f.gap(1)
		}
		number := strconv.Itoa(before + places[s.ID].page + 1)
		lines := breakLines(s.Title, f.width()-(x-f.left())-14, f.of(st))
		f.room(float64(len(lines)) * st.line())
		f.put(mark{kind: link, x: f.left(), y: f.y, w: f.width(), h: float64(len(lines)) * st.line(), target: s.ID})
		f.baseline(f.left()+f.width()-f.measure(st, number), st, number)
		f.write(x, st, lines)
	}
}

// borders sets what stands around the text of every page: at the head the title
// of the document, the section and the notice, at the foot the stamp and the
// number of the page. The cover has no head but the notice.
func (l *layout) borders(d *Document, m measure, before int) {
	left, right := marginLeft, l.paper.width-marginRight
	for i := range l.pages {
		p := &l.pages[i]
		at := func(x, y float64, s style, t string) {
			p.marks = append(p.marks, mark{kind: text, x: x, y: y, style: s, text: t})
		}
		line := func(y float64) {
			p.marks = append(p.marks, mark{kind: rule, x: left, y: y, w: right - left, weight: 0.18})
		}
		if i >= before {
			section := cut(p.section, small, (right-left)*0.3, m)
			at(left, 12, small, cut(d.Title, small, (right-left)*0.28, m))
			at(right-m(small, section), 12, small, section)
			line(14)
		}
		if d.Notice != "" {
			n := cut(d.Notice, smaller, (right-left)*0.38, m)
			w := m(smaller, n)
			x := (left + right - w) / 2
			at(x, 11.6, smaller, n)
			p.marks = append(p.marks, mark{kind: frame, x: x - 1.5, y: 8.6, w: w + 3, h: 4.4, weight: 0.35})
		}
		number := fmt.Sprintf("page %d of %d", i+1, len(l.pages))
		line(l.paper.height - 12.5)
		at(left, l.paper.height-9, small, cut(d.Stamp, small, right-left-m(small, number)-8, m))
		at(right-m(small, number), l.paper.height-9, small, number)
	}
}

// cut shortens a text to a width.
func cut(t string, s style, width float64, m measure) string {
	if m(s, t) <= width {
		return t
	}
	r := []rune(t)
	for len(r) > 0 && m(s, string(r)+"…") > width {
		r = r[:len(r)-1]
	}
	return string(r) + "…"
}
