package drawing

import (
	"bytes"
	"errors"
	"image"
	"image/png"
	"math"
	"testing"

	"packyard/check/checktest"
	"packyard/internal/pdf"
	"packyard/unit"
)

// grey returns a picture as blocks of mean darkness, 0…1.
func grey(t *testing.T, data []byte, columns, rows int) []float64 {
	t.Helper()
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	out := make([]float64, columns*rows)
	count := make([]float64, columns*rows)
	b := img.Bounds()
	for y := range b.Dy() {
		for x := range b.Dx() {
			r, g, bl, _ := img.At(b.Min.X+x, b.Min.Y+y).RGBA()
			i := y*rows/b.Dy()*columns + x*columns/b.Dx()
			out[i] += 1 - float64(r+g+bl)/3/65535
			count[i]++
		}
	}
	for i := range out {
		out[i] /= count[i]
	}
	return out
}

// TestPDFShowsWhatSVGShows compares where the ink lies, as drawn by two programs
// that know nothing of each other: Poppler from the PDF, librsvg from the SVG.
func TestPDFShowsWhatSVGShows(t *testing.T) {
	t.Parallel()
	const columns, rows = 24, 16
	for name, s := range pictures(t, unit.SI) {
		var doc, vector bytes.Buffer
		if err := errors.Join(s.PDF(&doc), s.SVG(&vector)); err != nil {
			t.Fatal(err)
		}
		a := grey(t, checktest.Filter(t, doc.Bytes(), "pdftoppm", "-png", "-r", "72", "-singlefile", "-"), columns, rows)
		b := grey(t, checktest.Filter(t, vector.Bytes(), "rsvg-convert", "-d", "72", "-p", "72", "-b", "white"), columns, rows)
		var both, na, nb, ma, mb float64
		for i := range a {
			ma += a[i] / float64(len(a))
			mb += b[i] / float64(len(a))
		}
		for i := range a {
			both += (a[i] - ma) * (b[i] - mb)
			na += (a[i] - ma) * (a[i] - ma)
			nb += (b[i] - mb) * (b[i] - mb)
		}
		// Text in another face moves some ink; a shape that is missing moves more.
		if r := both / math.Sqrt(na*nb); !(r > 0.9) {
			t.Errorf("%s: ink of PDF and SVG correlate by %.3f, want more than 0.9", name, r)
		}
		// The SVG has a ground of paper that is not quite white.
		if d := math.Abs(ma - (mb - paperGrey)); d > 0.012 {
			t.Errorf("%s: mean darkness %.4f in PDF, %.4f in SVG", name, ma, mb-paperGrey)
		}
	}
}

// paperGrey is the darkness of the ground of an SVG: #fdfcf8.
const paperGrey = 1 - (0xfd+0xfc+0xf8)/3.0/0xff

func TestASheetIsPlacedInProportion(t *testing.T) {
	t.Parallel()
	s := &Sheet{width: 100, height: 50, heading: "a rectangle"}
	s.root.rect(solidFill(ink), 0, 0, 100, 50)
	img := placedOn(t, s, Rect{X: 20 * unit.Millimetre, Y: 30 * unit.Millimetre, Width: 80 * unit.Millimetre, Height: 80 * unit.Millimetre})
	dark := func(x, y float64) bool {
		r, _, _, _ := img.At(int(x*72/25.4), int(y*72/25.4)).RGBA()
		return r < 0x8000
	}
	for _, c := range []struct {
		x, y float64
		want bool
	}{{21, 31, true}, {99, 69, true}, {60, 50, true}, {19, 31, false}, {101, 69, false}, {60, 72, false}} {
		if dark(c.x, c.y) != c.want {
			t.Errorf("at %g, %g mm: dark %v, want %v", c.x, c.y, !c.want, c.want)
		}
	}
}

func TestASheetThatIsNotFiniteIsNotPlaced(t *testing.T) {
	t.Parallel()
	s := &Sheet{width: 100, height: 50, notFinite: true}
	if err := s.PDF(&bytes.Buffer{}); !errors.Is(err, ErrNotFinite) {
		t.Errorf("error %v, want ErrNotFinite", err)
	}
}

func placedOn(t *testing.T, s *Sheet, at Rect) image.Image {
	t.Helper()
	out := checktest.Filter(t, onePage(t, s, at), "pdftoppm", "-png", "-r", "72", "-singlefile", "-")
	img, err := png.Decode(bytes.NewReader(out))
	if err != nil {
		t.Fatal(err)
	}
	return img
}

func onePage(t *testing.T, s *Sheet, at Rect) []byte {
	t.Helper()
	f := pdf.New(pdf.Options{})
	f.Page(210, 297)
	if err := s.Place(f, at); err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}
