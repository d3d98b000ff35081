package book

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"

	"packyard/check"
	"packyard/check/checktest"
	"packyard/design"
	"packyard/document"
	"packyard/project"
	"packyard/search"
	"packyard/unit"
)

// truck is gathered once: it holds a whole search.
var truck = sync.OnceValues(func() (*Input, error) {
	p, err := project.Open("../examples/orchard-truck")
	if err != nil {
		return nil, err
	}
	f, err := design.NewFrame(&p.Brief)
	if err != nil {
		return nil, err
	}
	o, err := search.Find(f, "salvaged-cans/76S6P/6x10S+2x8S")
	if err != nil {
		return nil, err
	}
	return Gather(context.Background(), f, search.Place(f, o), Options{Date: "24 November 2026", Hash: "0123456789abcdef"})
})

func gathered(t *testing.T) *Input {
	t.Helper()
	in, err := truck()
	if err != nil {
		t.Fatal(err)
	}
	copied := *in
	return &copied
}

func tables(d *document.Document) []document.Table {
	var out []document.Table
	for _, s := range d.Sections {
		for _, b := range s.Blocks {
			if t, ok := b.(document.Table); ok {
				out = append(out, t)
			}
		}
	}
	return out
}

func TestCellMapHoldsEveryGroupOnce(t *testing.T) {
	t.Parallel()
	in := gathered(t)
	wiring := in.Placed.Wiring.Topology
	seen := map[string]int{}
	for _, x := range tables(Make(in)) {
		if strings.HasPrefix(x.Title, "Every series group") {
			for _, r := range x.Rows {
				seen[r[0]+"."+r[1]]++
			}
		}
	}
	for s := 1; s <= wiring.Strings; s++ {
		for g := 1; g <= wiring.Series; g++ {
			if n := seen[fmt.Sprintf("%d.%d", s, g)]; n != 1 {
				t.Errorf("string %d, group %d stands in the map %d times", s, g, n)
			}
		}
	}
	if len(seen) != wiring.Strings*wiring.Series {
		t.Errorf("the map has %d groups, the pack %d", len(seen), wiring.Strings*wiring.Series)
	}
}

func TestBillAddsUpToThePriceOfThePack(t *testing.T) {
	t.Parallel()
	in := gathered(t)
	sum := 0.0
	for _, l := range in.Frame.Bill(in.Placed) {
		sum += l.Together
	}
	checktest.Near(t, "sum of the bill", sum, in.Placed.Figures.Price, 1e-9, 1e-12, "price of the option, added up by the search")
	rows := Bill(in).Rows
	for _, r := range rows {
		if r[0] == "pack together" {
			shown, err := strconv.ParseFloat(strings.ReplaceAll(r[4], "\u202f", ""), 64)
			if err != nil {
				shown, err = strconv.ParseFloat(strings.NewReplacer(" ", "", "\u00a0", "").Replace(r[4]), 64)
			}
			if err != nil || math.Abs(shown-sum) > 0.5 {
				t.Errorf("the sheet shows %q, the lines add up to %g", r[4], sum)
			}
			return
		}
	}
	t.Error("the bill has no sum")
}

func TestEveryPageSaysNotClearedUntilItIs(t *testing.T) {
	t.Parallel()
	in := gathered(t)
	a := *in.Assess
	a.Findings = append([]check.Finding{}, in.Assess.Findings...)
	a.Findings = append(a.Findings, check.Finding{Rule: "safety.test", Subject: "a test", Severity: check.Safety})
	in.Assess = &a
	c := *in.Circuit
	c.Findings = append([]check.Finding{}, c.Findings...)
	in.Circuit = &c
	if d := Make(in); d.Notice != notCleared {
		t.Errorf("notice %q with open findings", d.Notice)
	}
	a.Findings[len(a.Findings)-1].Acknowledged = check.Acknowledgement{By: "a builder", Reason: "looked at"}
	if n := len(in.Open()); n != check.Open(in.allFindings()) {
		t.Errorf("%d findings are open", n)
	}
	for _, list := range [][]check.Finding{a.Findings, c.Findings} {
		for i := range list {
			list[i].Acknowledged.By = "a builder"
		}
	}
	if d := Make(in); d.Notice != "" {
		t.Errorf("notice %q without open findings", d.Notice)
	}
}

// TestWhatIsDrawnIsBought: every cable and every part of the circuit stands in the
// bill of materials, and the bill has no other.
func TestWhatIsDrawnIsBought(t *testing.T) {
	t.Parallel()
	in := gathered(t)
	if in.Circuit == nil || len(in.Circuit.Cables) == 0 {
		t.Fatalf("no circuit: %v", in.Missing)
	}
	bought := map[string]int{}
	for _, r := range Bill(in).Rows {
		bought[r[1]]++
	}
	for _, w := range in.Circuit.Cables {
		if n := bought[w.ID+", "+w.Label]; n != 1 {
			t.Errorf("cable %s stands in the bill %d times", w.ID, n)
		}
	}
	for _, x := range in.Circuit.Items {
		if n := bought[x.Subject]; x.Part != "" && n != 1 || x.Part == "" && n != 0 {
			t.Errorf("%s (part %q) stands in the bill %d times", x.Subject, x.Part, n)
		}
	}
	cables := 0
	for _, r := range Bill(in).Rows {
		if id, _, ok := strings.Cut(r[1], ", "); ok && strings.HasPrefix(id, "W") && strings.HasPrefix(r[0], "cable ") {
			cables++
		}
	}
	if cables != len(in.Circuit.Cables) {
		t.Errorf("%d cables are bought, %d drawn", cables, len(in.Circuit.Cables))
	}
}

func TestAPartThatIsMissingIsSaid(t *testing.T) {
	t.Parallel()
	in := gathered(t)
	in.Heat, in.Charge, in.Pace, in.Search, in.Circuit = nil, nil, nil, nil, nil
	in.Missing = []Gap{{"a charge from a socket", "the project names no charger"}}
	d := Make(in)
	var b bytes.Buffer
	if err := d.HTML(&b, document.Print{}); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"What is missing in this book", "the project names no charger", "A charge was not worked out", "temperatures of the pack were not worked out"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("the book does not say %q", want)
		}
	}
}

// TestNoWordLeavesItsPage has Poppler say where every word of the book stands, on
// both papers.
func TestNoWordLeavesItsPage(t *testing.T) {
	t.Parallel()
	d := Make(gathered(t))
	page := regexp.MustCompile(`<page width="([\d.]+)" height="([\d.]+)">`)
	word := regexp.MustCompile(`<word xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)" yMax="([\d.-]+)">(.*)</word>`)
	number := func(s string) float64 {
		x, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
	for _, paper := range []document.Paper{document.A4, document.Letter} {
		var b bytes.Buffer
		if err := d.PDF(&b, document.Print{Paper: paper}); err != nil {
			t.Fatal(err)
		}
		out := checktest.Filter(t, b.Bytes(), "pdftotext", "-bbox", "-", "-")
		w, h, words, pages := 0.0, 0.0, 0, 0
		for line := range strings.SplitSeq(string(out), "\n") {
			if m := page.FindStringSubmatch(line); m != nil {
				w, h = number(m[1]), number(m[2])
				pages++
			}
			m := word.FindStringSubmatch(line)
			if m == nil {
				continue
			}
			words++
			// A printer keeps 4 mm of the edge white (common practice): 11 pt.
			if number(m[1]) < 11 || number(m[2]) < 11 || number(m[3]) > w-11 || number(m[4]) > h-11 {
				t.Errorf("%s, page %d: %q stands at the edge: %v", paper.Name, pages, m[5], m[1:5])
			}
		}
		if words < 2000 || pages < 20 {
			t.Errorf("%s: %d words on %d pages were looked at", paper.Name, words, pages)
		}
	}
}

func TestTheBookKeepsToTheFiguresOfTheDesign(t *testing.T) {
	t.Parallel()
	in := gathered(t)
	var b bytes.Buffer
	if err := Make(in).HTML(&b, document.Print{}); err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]string{
		"range":   check.Of(in.Assess.New.Range).Text(unit.SI),
		"voltage": check.Of(in.Assess.Window.Full).Text(unit.SI),
		"front":   check.Of(in.Assess.Vehicle[len(in.Assess.Vehicle)-1].AxleFront).Text(unit.SI),
		"hottest": check.Of(in.Heat.Hottest.Temperature).Text(unit.SI),
		"option":  in.Assess.Option,
		"date":    "24 November 2026",
		"hash":    "0123456789abcdef",
		"data":    "Invented data",
		// 500 Ω/V (UN R100, with alternating current joined) at the full voltage.
		"isolation": check.Of(unit.Resistance(500 * float64(in.Assess.Window.Full))).Text(unit.SI),
	} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("the book does not hold the %s, %q", name, want)
		}
	}
}

func TestSameInputGivesTheSameBook(t *testing.T) {
	t.Parallel()
	in := gathered(t)
	write := func() []byte {
		var b bytes.Buffer
		d := Make(in)
		if err := d.PDF(&b, document.Print{}); err != nil {
			t.Fatal(err)
		}
		if err := d.HTML(&b, document.Print{}); err != nil {
			t.Fatal(err)
		}
		return b.Bytes()
	}
	if !bytes.Equal(write(), write()) {
		t.Error("two books of one input differ")
	}
}
