package document

import (
	"bytes"
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"
	"pgregory.net/rapid"

	"packyard/check"
	"packyard/check/checktest"
	"packyard/internal/pdf"
	"packyard/unit"
)

// sample is a document with every kind of block, long enough for many pages.
func sample(sections int) *Document {
	d := &Document{
		Title: "Build book of a test", Subtitle: "Everything that a document can hold", Stamp: "24 November 2026, design 1a2b3c", Notice: "not cleared",
		Cover:    []Entry{{"Range", "84.2 km"}, {"Mass", "1260 kg"}},
		Warnings: []string{"High voltage, stored energy and fire can kill."},
	}
	var rows [][]string
	for i := range 70 {
		rows = append(rows, []string{strconv.Itoa(i), "a cell with a text that is long enough to be broken over more than one line of its column", "", fmt.Sprintf("%.3f", float64(i)/7)})
	}
	for i := range sections {
		d.Sections = append(d.Sections,
			Section{ID: fmt.Sprintf("s%d", i), Title: fmt.Sprintf("Section %d of the test", i), NewPage: i%3 == 0, Blocks: []Block{
				Paragraph{Lead: "Lead", Text: strings.Repeat("Words that fill a line and go on. ", 12)},
				Caution{Text: "Nobody touches what is live."},
				List{Numbered: true, Items: []string{"first", "second with a longer text " + strings.Repeat("and more ", 30), "third"}},
				Figures{Entries: []Entry{{"Full voltage", "403.2 V"}, {"Lowest voltage", "288 V"}}},
			}},
			Section{ID: fmt.Sprintf("t%d", i), Title: fmt.Sprintf("Tables %d", i), Deep: true, Blocks: []Block{
				Table{Title: "Readings", Columns: []Column{{Title: "No."}, {Title: "What is looked at"}, {Title: "Read", Write: true}, {Title: "Value, Ω", Right: true}}, Rows: rows},
				Table{Title: "Nothing", Columns: []Column{{Title: "A"}}, Empty: "Nothing was measured: no item of the bench is in this pack."},
				Workings{List: []check.Working{{
					Name: "range", Formula: "E/c", Result: check.Of(84200 * unit.Metre), Source: "iso-128",
					Inputs: []check.Input{{Symbol: "E", Name: "usable energy", Value: check.Of(75.6e6 * unit.Joule), Source: "option"}},
				}}},
			}})
	}
	d.Sections = append(d.Sections, Section{ID: "sources", Title: "Sources", Blocks: []Block{Cited{}}})
	return d
}

func laid(t *testing.T, d *Document, p Paper) *layout {
	t.Helper()
	l, err := lay(d, p, measured(), unit.SI)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// measured measures as the writer of PDF does.
func measured() measure {
	f := pdf.New(pdf.Options{})
	return func(s style, t string) float64 { return f.Width(s.face.pdf(), s.size, t) }
}

func TestNothingLeavesThePageOrLiesOnAnother(t *testing.T) {
	t.Parallel()
	m := measured()
	for _, p := range []Paper{A4, Letter} {
		l := laid(t, sample(4), p)
		texts := 0
		for i, pg := range l.pages {
			var boxes []mark
			for _, k := range pg.marks {
				if k.kind != text {
					if k.x < 0 || k.y < 0 || k.x+k.w > p.width || k.y+k.h > p.height {
						t.Errorf("%s, page %d: a mark of kind %d leaves the page: %+v", p.Name, i+1, k.kind, k)
					}
					continue
				}
				texts++
				// Ascenders of the face are 0.76 of the em, descenders 0.24 (from the face itself).
				b := mark{x: k.x, y: k.y - 0.74*k.style.size, w: m(k.style, k.text), h: 0.9 * k.style.size, text: k.text}
				if b.x < marginLeft-1e-6 || b.x+b.w > p.width-marginRight+1e-6 || b.y < 5 || b.y+b.h > p.height-5 {
					t.Errorf("%s, page %d: %q is clipped", p.Name, i+1, k.text)
				}
				for _, o := range boxes {
					if b.x < o.x+o.w-1e-6 && o.x < b.x+b.w-1e-6 && b.y < o.y+o.h-1e-6 && o.y < b.y+b.h-1e-6 {
						t.Errorf("%s, page %d: %q lies on %q", p.Name, i+1, k.text, o.text)
					}
				}
				boxes = append(boxes, b)
			}
		}
		if texts < 1000 {
			t.Errorf("%s: only %d lines of text were looked at", p.Name, texts)
		}
	}
}

// TestContentsNameThePagesOfTheSections reads the file back with Poppler.
func TestContentsNameThePagesOfTheSections(t *testing.T) {
	t.Parallel()
	d := sample(12)
	var b bytes.Buffer
	if err := d.PDF(&b, Print{}); err != nil {
		t.Fatal(err)
	}
	out := checktest.Filter(t, b.Bytes(), "pdftotext", "-layout", "-", "-")
	pages := strings.Split(strings.TrimSuffix(string(out), "\f"), "\f")
	entry := regexp.MustCompile(`(?m)^\s*((?:Section|Tables) \d+.*?)\s{2,}(\d+)$`)
	found := 0
	for _, pg := range pages[1:4] {
		for _, m := range entry.FindAllStringSubmatch(pg, -1) {
			n, err := strconv.Atoi(m[2])
			if err != nil || n > len(pages) || !strings.Contains(pages[n-1], "\n"+m[1]) && !strings.Contains(pages[n-1], m[1]) {
				t.Errorf("contents say %q is on page %s; it is not", m[1], m[2])
			}
			found++
		}
	}
	if found != 24 {
		t.Errorf("%d entries were found in the contents, want 24", found)
	}
	for i, pg := range pages {
		if want := fmt.Sprintf("page %d of %d", i+1, len(pages)); !strings.Contains(pg, want) {
			t.Errorf("page %d does not say %q", i+1, want)
		}
		if !strings.Contains(pg, "not cleared") {
			t.Errorf("page %d does not carry the notice", i+1)
		}
	}
}

func TestEveryPageOfATableHasItsHead(t *testing.T) {
	t.Parallel()
	l := laid(t, sample(1), A4)
	tables := 0
	for i, pg := range l.pages {
		rows, head := 0, false
		for _, k := range pg.marks {
			head = head || k.text == "What is looked at"
			if k.text == "a cell with a text that is long enough to be broken" || strings.HasPrefix(k.text, "a cell with") {
				rows++
			}
		}
		if rows > 0 {
			tables++
			if !head {
				t.Errorf("page %d has %d rows and no head", i+1, rows)
			}
		}
	}
	if tables < 2 {
		t.Errorf("the table stands on %d pages, want several", tables)
	}
}

func TestNoWordIsLost(t *testing.T) {
	t.Parallel()
	m := measured()
	checktest.Check(t, func(t *rapid.T) {
		text := strings.Join(rapid.SliceOfN(rapid.StringMatching(`[a-zA-Zµ/_.-]{1,40}`), 0, 30).Draw(t, "words"), " ")
		width := rapid.Float64Range(4, 120).Draw(t, "width")
		of := func(s string) float64 { return m(body, s) }
		lines := breakLines(text, width, of)
		if got, want := strings.ReplaceAll(strings.Join(lines, ""), " ", ""), strings.ReplaceAll(text, " ", ""); got != want {
			t.Fatalf("broken into %q", lines)
		}
		for _, l := range lines {
			if of(l) > width && len([]rune(l)) > 1 {
				t.Fatalf("%q is %g mm wide, the column %g", l, of(l), width)
			}
		}
	})
}

func TestColumnsFillNoMoreThanTheirSpace(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 12).Draw(t, "columns")
		space := rapid.Float64Range(50, 300).Draw(t, "space")
		least, most := make([]float64, n), make([]float64, n)
		sum := 0.0
		for i := range least {
			least[i] = rapid.Float64Range(1, 80).Draw(t, "least")
			most[i] = least[i] + rapid.Float64Range(0, 200).Draw(t, "more")
			sum += least[i]
		}
		total := 0.0
		for i, w := range share(space, least, most) {
			total += w
			if w <= 0 || w > most[i]+1e-9 || sum <= space && w < least[i]-1e-9 {
				t.Fatalf("column %d is %g wide; needs %g to %g, space %g", i, w, least[i], most[i], space)
			}
		}
		if total > space+1e-9 {
			t.Fatalf("columns take %g of %g", total, space)
		}
	})
}

func TestSameDocumentGivesSameBytes(t *testing.T) {
	t.Parallel()
	write := func() []byte {
		d := sample(2)
		var b bytes.Buffer
		table := d.Sections[1].Blocks[0].(Table)
		if err := errors.Join(d.PDF(&b, Print{Paper: Letter}), d.HTML(&b, Print{}), Workbook(&b, time.Unix(1, 0), table)); err != nil {
			t.Fatal(err)
		}
		return b.Bytes()
	}
	if !bytes.Equal(write(), write()) {
		t.Error("two writings of one document differ")
	}
}

func TestWorkbookIsReadBack(t *testing.T) {
	t.Parallel()
	table := sample(1).Sections[1].Blocks[0].(Table)
	var b bytes.Buffer
	if err := Workbook(&b, time.Unix(0, 0), table); err != nil {
		t.Fatal(err)
	}
	f, err := excelize.OpenReader(&b)
	if err != nil {
		t.Fatal(err)
	}
	rows, err := f.GetRows("Readings")
	if err != nil || len(rows) != 71 || rows[0][3] != "Value, Ω" || rows[8][0] != "7" {
		t.Errorf("read back %d rows, %v", len(rows), err)
	}
	if kind, err := f.GetCellType("Readings", "D9"); err != nil || kind != excelize.CellTypeUnset && kind != excelize.CellTypeNumber {
		t.Errorf("a figure is a cell of type %v, %v", kind, err)
	}
}

func TestWhatCannotBePrintedIsTold(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		sections []Section
		want     string
	}{
		"rows":      {[]Section{{ID: "a", Blocks: []Block{Table{Title: "T", Columns: []Column{{}, {}}, Rows: [][]string{{"x"}}}}}}, "row 1 has 1 cells, and there are 2 columns"},
		"empty":     {[]Section{{ID: "a", Blocks: []Block{Table{Title: "T", Columns: []Column{{}}}}}}, "has no rows and does not say why"},
		"same ID":   {[]Section{{ID: "a"}, {ID: "a", Title: "B"}}, `its ID "a" is empty or another section's`},
		"without":   {[]Section{{Title: "B"}}, `its ID "" is empty or another section's`},
		"no number": {[]Section{{ID: "a", Blocks: []Block{nil}}}, "has no form on paper"},
	} {
		d := &Document{Title: "x", Sections: c.sections}
		if err := d.PDF(&bytes.Buffer{}, Print{}); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want one with %q", name, err, c.want)
		}
	}
}
