package document

import "packyard/drawing"

// Paper is a size of paper, upright, in millimetres.
type Paper struct {
	Name          string
	width, height float64
}

// The papers that a book is printed on: iso-216 and, from memory, ANSI/ASME Y14.1 size A.
var (
	A4     = Paper{Name: "A4", width: 210, height: 297}
	Letter = Paper{Name: "Letter", width: 215.9, height: 279.4}
)

// PaperOf returns the paper of a name, and whether there is one.
func PaperOf(name string) (Paper, bool) {
	for _, p := range []Paper{A4, Letter} {
		if p.Name == name {
			return p, true
		}
	}
	return Paper{}, false
}

// Margins of a page, mm. The left one leaves room for the holes of a ring
// binder (iso-838: holes 12 mm from the edge).
const (
	marginLeft   = 22.0
	marginRight  = 15.0
	marginTop    = 22.0
	marginBottom = 18.0
)

type face int

const (
	plain face = iota
	bold
)

// style is a face at a size, mm.
type style struct {
	face face
	size float64
}

// Sizes of letters, mm; 1 pt is 0.3528 mm.
var (
	body    = style{plain, 3.3}
	strong  = style{bold, 3.3}
	small   = style{plain, 2.8}
	smaller = style{bold, 2.8}
	heading = style{bold, 5.2}
	deeper  = style{bold, 4.0}
	title   = style{bold, 9.5}
)

// leading is the distance of lines over the size of their letters.
const leading = 1.36

// line is the distance from line to line, mm.
func (s style) line() float64 { return s.size * leading }

type kind int

const (
	text    kind = iota // at the left end of its baseline
	rule                // a line from (x, y) to (x+w, y+h)
	frame               // a rectangle, its upper left corner at (x, y)
	ground              // a rectangle filled lightly
	picture             // a drawing fitted into the rectangle
	link                // a rectangle that leads to a section
)

// mark is one thing on a page, in millimetres from the upper left corner.
type mark struct {
	kind       kind
	x, y, w, h float64
	style      style
	weight     float64 // of a rule or frame
	text       string
	target     string // of a link: ID of the section
	sheet      *drawing.Sheet
}

// page is what stands on one page.
type page struct {
	section string // title of the section at its head
	marks   []mark
}

// place is where a section begins.
type place struct {
	page int // from 0
	y    float64
}
