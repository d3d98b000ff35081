package pdf

import (
	_ "embed"
	"errors"
	"fmt"
	"io"
	"math"
	"time"

	"codeberg.org/go-pdf/fpdf"
)

//go:embed font/DejaVuSansCondensed.ttf
var upright []byte

//go:embed font/DejaVuSansCondensed-Bold.ttf
var heavy []byte

const family = "text"

// Face is a typeface of a text.
type Face int

// The faces that text is set in.
const (
	Plain Face = iota
	Bold
)

func (f Face) name() string {
	if f == Bold {
		return "B"
	}
	return ""
}

// Options say what a file tells about itself.
type Options struct {
	Title   string
	Subject string
	Made    time.Time // date of making; zero: 1 January 2000, so that no clock is read
}

// File is a PDF file being written. Errors of any call are kept and come out of
// Write; ErrNotFinite for a coordinate that is no number.
type File struct {
	f       *fpdf.Fpdf
	targets map[string]int
	broken  error
}

// ErrNotFinite says that a coordinate, size or width is NaN or infinite.
var ErrNotFinite = errors.New("coordinate is not a finite number")

// New begins a file without pages.
func New(o Options) *File {
	f := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", Size: fpdf.SizeType{Wd: 210, Ht: 297}})
	f.SetMargins(0, 0, 0)
	f.SetCellMargin(0)
	f.SetAutoPageBreak(false, 0)
	f.SetCatalogSort(true)
	made := o.Made
	if made.IsZero() {
		made = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)
	}
	f.SetCreationDate(made.UTC())
	f.SetModificationDate(made.UTC())
	f.SetTitle(o.Title, true)
	f.SetSubject(o.Subject, true)
	f.SetProducer("packyard", true)
	f.SetCreator("packyard", true)
	f.SetLang("en")
	f.AddUTF8FontFromBytes(family, Plain.name(), upright)
	f.AddUTF8FontFromBytes(family, Bold.name(), heavy)
	f.SetLineCapStyle("round")
	f.SetLineJoinStyle("round")
	return &File{f: f, targets: map[string]int{}}
}

func (p *File) finite(v ...float64) bool {
	for _, x := range v {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			if p.broken == nil {
				p.broken = ErrNotFinite
			}
			return false
		}
	}
	return true
}

// Page begins a page of a width and a height.
func (p *File) Page(width, height float64) {
	if p.finite(width, height) {
		p.f.AddPageFormat("P", fpdf.SizeType{Wd: width, Ht: height})
	}
}

// pointsPerMM turns millimetres into the points in which the module counts letters.
const pointsPerMM = 72 / 25.4

func (p *File) font(face Face, size float64) {
	p.f.SetFont(family, face.name(), size*pointsPerMM)
}

// Width returns the width of a line of text of a size.
func (p *File) Width(face Face, size float64, text string) float64 {
	p.font(face, size)
	return p.f.GetStringWidth(text)
}

// Text is a line of text.
type Text struct {
	Face   Face
	Size   float64 // height of the em
	Colour Colour
	Upward bool    // read from the right-hand side: turned a quarter to the left about its place
	Halo   float64 // width of a rim of white, for text over lines
}

// Colour is one of the device, 0…255 each; the zero value is black.
type Colour struct{ R, G, B uint8 }

func (c Colour) rgb() (r, g, b int) { return int(c.R), int(c.G), int(c.B) }

// Text sets a line of text, the left end of its baseline at (x, y).
func (p *File) Text(x, y float64, t Text, text string) {
	if text == "" || !p.finite(x, y, t.Size, t.Halo) {
		return
	}
	p.font(t.Face, t.Size)
	if t.Upward {
		p.f.TransformBegin()
		p.f.TransformRotate(90, x, y)
		defer p.f.TransformEnd()
	}
	if t.Halo > 0 {
		p.f.SetDrawColor(255, 255, 255)
		p.f.SetTextColor(255, 255, 255)
		p.f.SetLineWidth(t.Halo)
		p.f.SetDashPattern(nil, 0)
		p.f.SetTextRenderingMode(2)
		p.f.Text(x, y, text)
		p.f.SetTextRenderingMode(0)
	}
	p.f.SetTextColor(t.Colour.rgb())
	p.f.Text(x, y, text)
}

// Line says how a line is drawn.
type Line struct {
	Width   float64
	Colour  Colour
	Dash    []float64 // lengths of strokes and gaps
	Opacity float64   // 0: not drawn … 1
}

// Area says how an area is filled.
type Area struct {
	Colour  Colour
	Opacity float64 // 0: not filled … 1
}

// Op is a step of a path.
type Op byte

// Steps of a path: a curve has two points that pull and its end, a line its end.
const (
	Move  Op = 'M'
	To    Op = 'L'
	Curve Op = 'C'
	Close Op = 'Z'
)

// Step is one step of a path with its points, x and y in turn: two numbers for
// Move and To, six for Curve, none for Close.
type Step struct {
	Op Op
	P  [6]float64
}

func (p *File) trace(path []Step) bool {
	for _, s := range path {
		if !p.finite(s.P[:]...) {
			return false
		}
	}
	for _, s := range path {
		switch s.Op {
		case Move:
			p.f.MoveTo(s.P[0], s.P[1])
		case To:
			p.f.LineTo(s.P[0], s.P[1])
		case Curve:
			p.f.CurveBezierCubicTo(s.P[0], s.P[1], s.P[2], s.P[3], s.P[4], s.P[5])
		case Close:
			p.f.ClosePath()
		}
	}
	return true
}

// Path fills a path and draws its line.
func (p *File) Path(path []Step, l Line, a Area) {
	if len(path) == 0 || !p.finite(l.Width, l.Opacity, a.Opacity) {
		return
	}
	if a.Opacity > 0 {
		p.f.SetFillColor(a.Colour.rgb())
		p.f.SetAlpha(min(a.Opacity, 1), "Normal")
		if p.trace(path) {
			p.f.DrawPath("F")
		}
	}
	if l.Opacity > 0 && l.Width > 0 {
		p.f.SetDrawColor(l.Colour.rgb())
		p.f.SetLineWidth(l.Width)
		p.f.SetDashPattern(l.Dash, 0)
		p.f.SetAlpha(min(l.Opacity, 1), "Normal")
		if p.trace(path) {
			p.f.DrawPath("D")
		}
	}
	p.f.SetAlpha(1, "Normal")
}

// Target names a place on a page, counted from 1, for links. Every place that is linked to is named once.
func (p *File) Target(name string, page int, y float64) {
	if p.finite(y) {
		p.f.SetLink(p.target(name), y, page)
	}
}

func (p *File) target(name string) int {
	n, ok := p.targets[name]
	if !ok {
		n = p.f.AddLink()
		p.targets[name] = n
	}
	return n
}

// Link makes a rectangle of the page lead to a target.
func (p *File) Link(x, y, w, h float64, name string) {
	if p.finite(x, y, w, h) {
		p.f.Link(x, y, w, h, p.target(name))
	}
}

// Bookmark adds a line to the outline: level 0 and deeper, at a height of the
// present page.
func (p *File) Bookmark(title string, level int, y float64) {
	if p.finite(y) {
		p.f.Bookmark(title, level, y)
	}
}

// Write ends the file and writes it. Errors: those of the calls before, those of w.
func (p *File) Write(w io.Writer) error {
	if p.broken != nil {
		return p.broken
	}
	if err := p.f.Output(w); err != nil {
		return fmt.Errorf("pdf: %w", err)
	}
	return nil
}
