package pdf

import (
	"bytes"
	"errors"
	"image"
	"image/png"
	"math"
	"strings"
	"testing"

	"packyard/check/checktest"
)

// needed are the characters outside ASCII that workings, tables and drawings use.
const needed = "°·±²³¹×÷µΩΔΣΦαβγδεηθκλμνπρστφχψω–—−√∞≈≠≤≥∫→←↑↓∂…“”‘’§₀₁₂₃₄₅₆₇₈₉½¼¾⁻⁰⁴⁵⁶⁷⁸⁹äöüßéèçñ€"

func file(t *testing.T, draw func(p *File)) []byte {
	t.Helper()
	p := New(Options{Title: "Cells Ω", Subject: "a test"})
	draw(p)
	var b bytes.Buffer
	if err := p.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// rendered returns the first page as drawn by Poppler at 72 dpi: a pixel a point.
func rendered(t *testing.T, doc []byte) image.Image {
	t.Helper()
	out := checktest.Filter(t, doc, "pdftoppm", "-png", "-r", "72", "-singlefile", "-gray", "-")
	img, err := png.Decode(bytes.NewReader(out))
	if err != nil {
		t.Fatal(err)
	}
	return img
}

// ink sums the darkness of a rectangle given in mm, in whole black pixels.
func ink(img image.Image, x, y, w, h float64) float64 {
	const k = 72 / 25.4
	sum := 0.0
	for i := int(x * k); i < int((x+w)*k); i++ {
		for j := int(y * k); j < int((y+h)*k); j++ {
			r, _, _, _ := img.At(i, j).RGBA()
			sum += 1 - float64(r)/65535
		}
	}
	return sum
}

// TestEveryCharacterHasAShape: a face without a character would print the same
// empty box for it as for one that no face has. Poppler draws both.
func TestEveryCharacterHasAShape(t *testing.T) {
	t.Parallel()
	const cell, most = 10.0, 20
	runes := append([]rune{'\uE123'}, []rune(needed)...)
	for _, face := range []Face{Plain, Bold} {
		img := rendered(t, file(t, func(p *File) {
			p.Page(cell*most, cell*float64(1+len(runes)/most))
			for i, r := range runes {
				p.Text(cell*float64(i%most)+2, cell*float64(i/most)+8, Text{Face: face, Size: 8}, string(r))
			}
		}))
		at := func(i int) (x, y float64) { return cell * float64(i%most), cell * float64(i/most) }
		for i, r := range runes[1:] {
			same := true
			x0, y0 := at(0)
			x, y := at(i + 1)
			for dx := 0.0; dx < cell && same; dx += 0.4 {
				for dy := 0.0; dy < cell && same; dy += 0.4 {
					same = math.Abs(ink(img, x0+dx, y0+dy, 0.7, 0.7)-ink(img, x+dx, y+dy, 0.7, 0.7)) < 0.5
				}
			}
			if same || ink(img, x, y, cell, cell) < 0.5 {
				t.Errorf("face %d: %q (U+%04X) is drawn as a character that the face does not have", face, r, r)
			}
		}
	}
}

func TestTextIsFoundAgain(t *testing.T) {
	t.Parallel()
	doc := file(t, func(p *File) {
		p.Page(210, 297)
		p.Text(20, 30, Text{Size: 4}, "R = 2.1 mΩ ± 5 % at −10 °C")
	})
	if out := checktest.Filter(t, doc, "pdftotext", "-", "-"); !strings.Contains(string(out), "R = 2.1 mΩ ± 5 % at −10 °C") {
		t.Errorf("read back by Poppler: %q", out)
	}
}

func TestLengthsAreMillimetres(t *testing.T) {
	t.Parallel()
	img := rendered(t, file(t, func(p *File) {
		p.Page(100, 60)
		p.Path([]Step{{Op: Move, P: [6]float64{20, 10}}, {Op: To, P: [6]float64{70, 10}}, {Op: To, P: [6]float64{70, 50}}, {Op: To, P: [6]float64{20, 50}}, {Op: Close}},
			Line{}, Area{Opacity: 1})
	}))
	const k = 72 / 25.4
	// One row of pixels along the rim may be half covered.
	checktest.Near(t, "black area in square points", ink(img, 0, 0, 100, 60), 50*40*k*k, 2*(50+40)*k, 0, "area of a rectangle of 50 by 40 mm")
	checktest.Near(t, "black outside of it", ink(img, 0, 0, 19, 60)+ink(img, 71, 0, 29, 60), 0, 0.5, 0, "the same")
}

func TestWidthIsThatOfTheDrawnText(t *testing.T) {
	t.Parallel()
	const text = "HHHHHHHHHH"
	p := New(Options{})
	w := p.Width(Bold, 10, text)
	img := rendered(t, file(t, func(p *File) {
		p.Page(150, 20)
		p.Text(5, 15, Text{Face: Bold, Size: 10}, text)
	}))
	first, last := -1.0, -1.0
	for x := 0.0; x < 149; x += 0.2 {
		if ink(img, x, 0, 0.6, 20) > 2 {
			if first < 0 {
				first = x
			}
			last = x
		}
	}
	// The bearings of H are a tenth of the em on each side (from the face itself).
	checktest.Near(t, "width of the text", last-first, w, 2.5, 0, "drawn by Poppler")
}

func TestSameCallsGiveSameBytes(t *testing.T) {
	t.Parallel()
	draw := func(p *File) {
		for i := range 3 {
			p.Page(210, 297)
			p.Bookmark("Part", 0, 10)
			p.Target("a", i+1, 20)
			p.Link(10, 10, 30, 5, "a")
			p.Text(20, 30, Text{Size: 4, Halo: 1, Upward: i == 1}, "Ω and °C")
			p.Path([]Step{{Op: Move}, {Op: Curve, P: [6]float64{1, 2, 3, 4, 5, 6}}}, Line{Width: 0.2, Dash: []float64{1, 1}, Opacity: 0.3}, Area{})
		}
	}
	a, b := file(t, draw), file(t, draw)
	if !bytes.Equal(a, b) {
		t.Error("two files of the same calls differ")
	}
}

func TestACoordinateThatIsNoNumberIsTold(t *testing.T) {
	t.Parallel()
	for name, draw := range map[string]func(p *File){
		"text": func(p *File) { p.Text(math.NaN(), 1, Text{Size: 3}, "x") },
		"size": func(p *File) { p.Text(1, 1, Text{Size: math.Inf(1)}, "x") },
		"path": func(p *File) {
			p.Path([]Step{{Op: Move, P: [6]float64{math.NaN()}}}, Line{Width: 1, Opacity: 1}, Area{})
		},
		"link":   func(p *File) { p.Link(1, 1, math.Inf(-1), 1, "x") },
		"target": func(p *File) { p.Target("x", 1, math.NaN()) },
	} {
		p := New(Options{})
		p.Page(210, 297)
		draw(p)
		if err := p.Write(&bytes.Buffer{}); !errors.Is(err, ErrNotFinite) {
			t.Errorf("%s: error %v, want ErrNotFinite", name, err)
		}
	}
}
