package drawing

import (
	"bytes"
	"errors"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"packyard/check/checktest"
	"packyard/unit"
)

var systems = map[string]unit.System{"si": unit.SI, "us": unit.US}

func TestEverySheetIsWellFormedWithFiniteNumbersAndIDsOfItsOwn(t *testing.T) {
	t.Parallel()
	numbers := []string{"x", "y", "r", "cx", "cy", "width", "height", "stroke-width", "font-size", "fill-opacity", "data-x0", "data-y0", "data-k", "data-value"}
	for system, s := range systems {
		for name, sheet := range pictures(t, s) {
			root := parse(t, svg(t, sheet))
			ids := map[string]bool{}
			for _, e := range root.all(func(*element) bool { return true }) {
				if id, ok := e.attr["id"]; ok && ids[id] {
					t.Errorf("%s, %s: id %q twice", system, name, id)
				} else if ok {
					ids[id] = true
				}
				for _, a := range numbers {
					if v, ok := e.attr[a]; ok && !(e == root) {
						if _, err := strconv.ParseFloat(v, 64); err != nil {
							t.Errorf("%s, %s: <%s %s=%q>", system, name, e.name, a, v)
						}
					}
				}
				for _, f := range strings.FieldsFunc(e.attr["d"], func(r rune) bool { return strings.ContainsRune("MLCZ ", r) }) {
					if v, err := strconv.ParseFloat(f, 64); err != nil || math.IsNaN(v) || math.Abs(v) > 1e5 {
						t.Errorf("%s, %s: path holds %q", system, name, f)
					}
				}
			}
		}
	}
}

// TestNoTextLeavesItsSheet: the estimate of widths is an upper one, so no reader
// of the sheet sees clipped words.
func TestNoTextLeavesItsSheet(t *testing.T) {
	t.Parallel()
	for system, s := range systems {
		for name, sheet := range pictures(t, s) {
			page := span{0, 0, sheet.width, sheet.height}
			for _, e := range texts(parse(t, svg(t, sheet))) {
				if r := room(t, e); !page.holds(r) {
					t.Errorf("%s, %s: %q takes %.1f, sheet is %.1f", system, name, e.text, r, page)
				}
			}
		}
	}
}

func texts(root *element) []*element {
	return root.all(func(e *element) bool { return e.name == "text" })
}

// room returns the room that a text element takes.
func room(t testing.TB, e *element) span {
	t.Helper()
	f := face{size: e.number(t, "font-size"), bold: e.attr["font-weight"] != "", upward: e.attr["transform"] != ""}
	switch e.attr["text-anchor"] {
	case "middle":
		f.anchor = middle
	case "end":
		f.anchor = end
	}
	return spanOf(e.text, f, point{e.number(t, "x"), e.number(t, "y")})
}

// TestWordsDoNotStandOnEachOther looks at all texts of every picture. A word may
// touch another only by the rounding of its estimate.
func TestWordsDoNotStandOnEachOther(t *testing.T) {
	t.Parallel()
	for system, s := range systems {
		for name, sheet := range pictures(t, s) {
			list := texts(parse(t, svg(t, sheet)))
			for i, a := range list {
				for _, b := range list[:i] {
					if ra, rb := room(t, a).grown(-0.25), room(t, b).grown(-0.25); ra.meets(rb) {
						t.Errorf("%s, %s: %q at %.1f and %q at %.1f", system, name, a.text, ra, b.text, rb)
					}
				}
			}
		}
	}
}

// TestInventedDataAlwaysSaySo: no name crowds the words out.
func TestInventedDataAlwaysSaySo(t *testing.T) {
	t.Parallel()
	for name, sheet := range pictures(t, unit.SI) {
		if strings.Contains(name, "without pack") {
			continue // drawn without a title
		}
		if !slices.ContainsFunc(texts(parse(t, svg(t, sheet))), func(e *element) bool { return e.text == "invented demonstration data" }) {
			t.Errorf("%s does not say that its data are invented", name)
		}
	}
}

func TestEqualSheetsGiveEqualBytes(t *testing.T) {
	t.Parallel()
	first, second := pictures(t, unit.SI), pictures(t, unit.SI)
	for name := range first {
		if svg(t, first[name]) != svg(t, second[name]) {
			t.Errorf("%s differs between two drawings of the same values", name)
		}
	}
}

func TestInlineSheetsHoldNoStyleAndStandAloneOnesHoldIt(t *testing.T) {
	t.Parallel()
	s := SideView(cartView(unit.SI))
	var in bytes.Buffer
	if err := s.Inline(&in); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(in.String(), "<style") || strings.Contains(in.String(), "style=") || strings.Contains(in.String(), "<?xml") {
		t.Error("an inline sheet holds a style or a declaration")
	}
	alone := parse(t, svg(t, s))
	styles := alone.all(func(e *element) bool { return e.name == "style" })
	if len(styles) != 1 || styles[0].text != Style() {
		t.Errorf("a stand-alone sheet holds %d styles, want the stylesheet once", len(styles))
	}
	for _, e := range parse(t, in.String()).all(func(e *element) bool { return e.attr["class"] != "" }) {
		for c := range strings.FieldsSeq(e.attr["class"]) {
			if !strings.Contains(Style(), "."+c+"{") && !strings.Contains(Style(), "."+c+",") {
				t.Fatalf("class %q is not in the stylesheet", c)
			}
		}
	}
}

func TestPrefixesKeepTheIDsOfTwoSheetsApart(t *testing.T) {
	t.Parallel()
	v := cartView(unit.SI)
	seen := map[string]bool{}
	for _, p := range []string{"first-", "second-"} {
		v.Title.Prefix = p
		for _, e := range parse(t, svg(t, SideView(v))).all(func(e *element) bool { return e.attr["id"] != "" }) {
			if seen[e.attr["id"]] {
				t.Errorf("id %q in both", e.attr["id"])
			}
			seen[e.attr["id"]] = true
		}
	}
}

// TestOrangeIsOnlyForHighVoltage: nothing but modules, the pack's window and the
// electric part of the energy is drawn in the colour of high voltage.
func TestOrangeIsOnlyForHighVoltage(t *testing.T) {
	t.Parallel()
	for name, sheet := range pictures(t, unit.SI) {
		for _, e := range parse(t, svg(t, sheet)).all(func(e *element) bool { return strings.Contains(e.attr["class"], "-hv") }) {
			kind := ""
			for p := e.parent; p != nil && kind == ""; p = p.parent {
				kind = p.attr["data-kind"]
			}
			electric := strings.HasPrefix(name, "flow")
			if kind != "module" && kind != "band" && kind != "limit" && !electric {
				t.Errorf("%s: <%s> of %q is orange", name, e.name, kind)
			}
		}
	}
}

// TestColoursAreReadable computes contrast on paper by the formula of WCAG 2.1:
// 4.5 for words, 3 for lines and signs.
func TestColoursAreReadable(t *testing.T) {
	t.Parallel()
	luminance := func(c string) float64 {
		if len(c) == 4 {
			c = "#" + c[1:2] + c[1:2] + c[2:3] + c[2:3] + c[3:4] + c[3:4]
		}
		var l float64
		for i, w := range [3]float64{0.2126, 0.7152, 0.0722} {
			v, err := strconv.ParseUint(c[1+2*i:3+2*i], 16, 8)
			if err != nil {
				t.Fatalf("colour %q: %v", c, err)
			}
			l += w * linear(uint8(v))
		}
		return l
	}
	for _, r := range []role{ink, faint, accent, bad, hv} {
		for ground, c := range map[string][2]string{
			"light": {roles[r].light, roles[paper].light}, "dark": {roles[r].dark, roles[paper].dark}, "print": {roles[r].print, roles[paper].print},
		} {
			a, b := luminance(c[0]), luminance(c[1])
			ratio, want := (max(a, b)+0.05)/(min(a, b)+0.05), 4.5
			if r == hv {
				want = 3 // never used for words
			}
			if ratio < want {
				t.Errorf("%s on %s: contrast %.2f, want %.1f; source: WCAG 2.1, 1.4.3 and 1.4.11", roles[r].name, ground, ratio, want)
			}
		}
	}
}

func TestNoWordsAreOrange(t *testing.T) {
	t.Parallel()
	for name, sheet := range pictures(t, unit.SI) {
		if strings.Contains(svg(t, sheet), `class="pk-t-hv`) {
			t.Errorf("%s holds words in the colour of lines", name)
		}
	}
}

// TestValuesThatAreNotFiniteAreErrors puts NaN and infinity into every number of
// the donor, the bays and the states, one after the other.
func TestValuesThatAreNotFiniteAreErrors(t *testing.T) {
	t.Parallel()
	draws := map[string]func(View) *Sheet{
		"side": SideView, "top": TopView, "window": WindowPicture,
		"bay": func(v View) *Sheet { return BayViews(v, 0) },
	}
	tried, refused := 0, 0
	for _, wrong := range []float64{math.NaN(), math.Inf(1)} {
		for i := 0; ; i++ {
			v := cartView(unit.SI)
			n := i
			put := func(root any) bool { return setFloat(reflect.ValueOf(root).Elem(), &n, wrong) }
			if !put(v.Brief) && !put(v.Assessment) {
				break
			}
			tried++
			for name, draw := range draws {
				var b bytes.Buffer
				err := draw(v).SVG(&b)
				if err != nil && !errors.Is(err, ErrNotFinite) {
					t.Fatalf("%s, number %d: %v", name, i, err)
				}
				if err == nil && (strings.Contains(b.String(), "NaN") || strings.Contains(b.String(), "Inf")) {
					t.Fatalf("%s, number %d: shows a number that is none", name, i)
				}
				refused += btoi(err != nil)
			}
			var b bytes.Buffer
			if err := GLB(&b, VehicleScene(v)); err != nil && !errors.Is(err, ErrNotFinite) {
				t.Fatalf("GLB, number %d: %v", i, err)
			}
		}
	}
	if tried < 250 || refused < 500 {
		t.Errorf("only %d numbers were tried, %d pictures refused", tried, refused)
	}
}

// setFloat sets the n-th float of a value and counts down n; it reports whether
// it found it.
func setFloat(v reflect.Value, n *int, x float64) bool {
	switch v.Kind() {
	case reflect.Float64:
		if *n == 0 {
			v.SetFloat(x)
			return true
		}
		*n--
	case reflect.Pointer:
		return !v.IsNil() && setFloat(v.Elem(), n, x)
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() && setFloat(v.Field(i), n, x) {
				return true
			}
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			if setFloat(v.Index(i), n, x) {
				return true
			}
		}
	}
	return false
}

func TestReviewedPictures(t *testing.T) {
	t.Parallel()
	all := pictures(t, unit.SI)
	for _, name := range []string{"side", "bay-0", "flow"} {
		checktest.Golden(t, "testdata/"+name+".svg", svg(t, all[name]))
	}
}

// FuzzNamesAreEscaped: whatever things are called, the sheet is well formed, the
// words come back, and ids are unique.
func FuzzNamesAreEscaped(f *testing.F) {
	for _, s := range []string{"plain", `<script>alert("1")</script>`, "a & b", "]]>", "\x00\x01\x7f", "ä 漢字 \U0001F600", "\xff\xfe", "--", "x--2", "\ufffe", strings.Repeat("long ", 60), ""} {
		f.Add(s, s+"2")
	}
	f.Fuzz(func(t *testing.T, a, b string) {
		v := cartView(unit.SI)
		v.Title.Project, v.Title.Option, v.Title.Date, v.Title.Prefix = a, b, a, b
		v.Brief.Bays[0].Name, v.Brief.Bays[1].Name = a, b
		v.Assessment.Bays[0].Name, v.Assessment.Bays[1].Name = a, b
		v.Brief.Donor.Removed[0].Name, v.Brief.Donor.Added[0].Name = a, a
		v.Assessment.Vehicle[2].Name = b
		v.Assessment.Bays[0].Places[0].Terminals, v.Assessment.Bays[0].Places[0].Orientation = a, b
		for _, s := range []*Sheet{SideView(v), TopView(v), BayViews(v, 0), WindowPicture(v)} {
			root := parse(t, svg(t, s))
			ids := map[string]bool{}
			for _, e := range root.all(func(e *element) bool { return e.attr["id"] != "" }) {
				if ids[e.attr["id"]] {
					t.Fatalf("id %q twice", e.attr["id"])
				}
				ids[e.attr["id"]] = true
				if strings.ContainsAny(e.attr["id"], " \t\n<>&\"") {
					t.Fatalf("id %q", e.attr["id"])
				}
			}
		}
		var out bytes.Buffer
		if err := GLB(&out, VehicleScene(v)); err != nil {
			t.Fatal(err)
		}
		readGLB(t, out.Bytes())
	})
}

func TestDifferentNamesHaveDifferentIDs(t *testing.T) {
	t.Parallel()
	seen := map[string]string{}
	for _, s := range []string{"a b", "a_b", "a.5f.b", "a-b", "ab", "A B", "a  b", "ä", "a\u0308", "", "n", "1", "n1"} {
		id := identifier("k-" + s)
		if other, ok := seen[id]; ok {
			t.Errorf("%q and %q are both %s", s, other, id)
		}
		seen[id] = s
	}
}

func BenchmarkSideViewSVG(b *testing.B) {
	v := cartView(unit.SI)
	b.ReportAllocs()
	size := 0
	for b.Loop() {
		var out bytes.Buffer
		if err := SideView(v).SVG(&out); err != nil {
			b.Fatal(err)
		}
		size = out.Len()
	}
	b.ReportMetric(float64(size)/1024, "kB/sheet")
}

func BenchmarkTraceOf20000Steps(b *testing.B) {
	p := TracePicture{Trace: trace(20000)}
	b.ReportAllocs()
	for b.Loop() {
		var out bytes.Buffer
		if err := TraceChart(p).SVG(&out); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(20000*5*float64(b.N)/b.Elapsed().Seconds()/1e6, "Mvalues/s")
}
