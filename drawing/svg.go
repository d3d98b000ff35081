package drawing

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

// SVG writes the sheet as a file of its own, with its style. Equal sheets give
// equal bytes. Errors: ErrNotFinite, those of w.
func (s *Sheet) SVG(w io.Writer) error { return s.write(w, true) }

// Inline writes the sheet for a page that serves Style as a stylesheet: without
// a style element and without an XML declaration. Errors: ErrNotFinite, those of w.
func (s *Sheet) Inline(w io.Writer) error { return s.write(w, false) }

func (s *Sheet) write(w io.Writer, alone bool) error {
	if s.notFinite {
		return fmt.Errorf("%s: %w", s.heading, ErrNotFinite)
	}
	o := svgWriter{out: bufio.NewWriter(w), prefix: s.prefix, used: map[string]int{}}
	if alone {
		o.print(`<?xml version="1.0" encoding="UTF-8"?>` + "\n")
	}
	id := func(name string) string { return identifier(s.prefix + name) }
	o.printf(`<svg xmlns="http://www.w3.org/2000/svg" class="pk-sheet" width="%smm" height="%smm" viewBox="0 0 %s %s" role="img" aria-labelledby="%s %s">`+"\n",
		o.num(s.width), o.num(s.height), o.num(s.width), o.num(s.height), id("heading"), id("desc"))
	o.printf("<title id=\"%s\">%s</title>\n<desc id=\"%s\">%s</desc>\n", id("heading"), escape(s.heading), id("desc"), escape(s.desc))
	o.used[id("heading")], o.used[id("desc")] = 1, 1
	if alone {
		o.printf("<style>%s</style>\n", Style())
		o.printf(`<rect class="pk-f-paper" width="%s" height="%s" fill="%s"/>`+"\n", o.num(s.width), o.num(s.height), roles[paper].light)
	}
	o.print(`<g fill="none" stroke-linecap="round" stroke-linejoin="round" font-family="` + typefaces + `">` + "\n")
	o.group(&s.root, 0)
	o.print("</g>\n</svg>\n")
	if o.err != nil {
		return fmt.Errorf("%s: %w", s.heading, o.err)
	}
	return o.out.Flush()
}

// svgWriter writes marks; it keeps the first error.
type svgWriter struct {
	out    *bufio.Writer
	prefix string
	used   map[string]int // ids given out
	err    error
}

func (o *svgWriter) print(s string) { o.out.WriteString(s) } // bufio keeps the error for Flush

func (o *svgWriter) printf(format string, a ...any) { fmt.Fprintf(o.out, format, a...) }

// num prints millimetres to a hundredth.
func (o *svgWriter) num(x float64) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		if o.err == nil {
			o.err = ErrNotFinite
		}
		return "0"
	}
	t := strings.TrimRight(strconv.FormatFloat(x, 'f', 2, 64), "0")
	if t = strings.TrimRight(t, "."); t == "-0" {
		return "0"
	}
	return t
}

// nums prints lengths with spaces between them.
func (o *svgWriter) nums(list []float64) string {
	words := make([]string, len(list))
	for i, x := range list {
		words[i] = o.num(x)
	}
	return strings.Join(words, " ")
}

func (o *svgWriter) group(g *group, depth int) {
	for _, p := range g.parts {
		if p.mark != nil {
			o.mark(p.mark)
			continue
		}
		if len(p.group.parts) == 0 {
			continue
		}
		o.print("<g")
		o.object(p.group)
		o.print(">\n")
		if p.group.note != "" {
			o.print("<title>" + escape(p.group.note) + "</title>\n")
		}
		o.group(p.group, depth+1)
		o.print("</g>\n")
	}
}

// object writes id and attributes of a group that shows something. The id comes
// from kind and name; a second object of one id gets a number.
func (o *svgWriter) object(g *group) {
	if g.kind == "" {
		return
	}
	plain := identifier(o.prefix + g.kind + "-" + g.name)
	id := plain
	for n := o.used[plain] + 1; o.used[id] > 0; n++ {
		id = plain + "--" + strconv.Itoa(n)
	}
	o.used[plain]++
	if id != plain {
		o.used[id]++
	}
	o.printf(` id="%s" data-kind="%s" data-name="%s"`, id, escape(g.kind), escape(g.name))
	if g.value != "" {
		o.printf(` data-value="%s"`, escape(g.value))
	}
	for _, d := range g.data {
		o.printf(` data-%s="%s"`, d.key, escape(d.value))
	}
}

func (o *svgWriter) mark(m *mark) {
	switch m.kind {
	case circleMark:
		o.printf(`<circle cx="%s" cy="%s" r="%s"`, o.num(m.at.x), o.num(m.at.y), o.num(m.radius))
		o.paint(m.style)
	case textMark:
		o.text(m)
	default:
		o.print(`<path d="`)
		for _, st := range m.path {
			o.print(string(st.op))
			for i := range st.op.points() {
				if i > 0 {
					o.print(" ")
				}
				o.print(o.num(st.p[i].x) + " " + o.num(st.p[i].y))
			}
		}
		o.print(`"`)
		o.paint(m.style)
	}
}

// dashes are the lengths of dash patterns in mm: strokes and gaps in turn.
var dashes = [...][]float64{solid: nil, dashed: {2.2, 1.2}, chained: {5, 1, 0.6, 1}, dotted: {0.6, 1}}

// lightOpacity is that of lines of a grid.
const lightOpacity = 0.3

// paint writes the classes and, for readers without CSS custom properties, the
// presentation attributes of a line and its fill, and ends the element.
func (o *svgWriter) paint(st style) {
	var classes []string
	if st.stroke != noRole {
		classes = append(classes, "pk-"+roles[st.stroke].name)
	}
	if st.fill != noRole {
		classes = append(classes, "pk-f-"+roles[st.fill].name)
	}
	o.printf(` class="%s"`, strings.Join(classes, " "))
	if st.stroke != noRole {
		o.printf(` stroke="%s" stroke-width="%s"`, roles[st.stroke].light, o.num(st.weight))
		if st.light {
			o.printf(` stroke-opacity="%s"`, o.num(lightOpacity))
		}
		if st.dash != solid {
			o.printf(` stroke-dasharray="%s"`, o.nums(dashes[st.dash]))
		}
	}
	if st.fill != noRole {
		o.printf(` fill="%s"`, roles[st.fill].light)
		if st.density < 1 {
			o.printf(` fill-opacity="%s"`, o.num(st.density))
		}
	}
	o.print("/>\n")
}

var anchors = [...]string{start: "start", middle: "middle", end: "end"}

func (o *svgWriter) text(m *mark) {
	f := m.face
	o.printf(`<text x="%s" y="%s" class="pk-t-%s`, o.num(m.at.x), o.num(m.at.y), roles[f.role].name)
	if f.halo {
		o.print(` pk-halo`)
	}
	o.printf(`" font-size="%s" fill="%s"`, o.num(f.size), roles[f.role].light)
	if f.anchor != start {
		o.printf(` text-anchor="%s"`, anchors[f.anchor])
	}
	if f.bold {
		o.print(` font-weight="600"`)
	}
	if f.halo {
		o.printf(` stroke="%s" stroke-width="%s" paint-order="stroke"`, roles[paper].light, o.num(f.size/4))
	}
	if f.upward {
		o.printf(` transform="rotate(-90 %s %s)"`, o.num(m.at.x), o.num(m.at.y))
	}
	o.print(">" + escape(m.text) + "</text>\n")
}

// escape makes text safe inside elements and attributes. Characters that XML
// does not allow become a replacement mark.
func escape(s string) string {
	var b strings.Builder
	for _, r := range s {
		switch {
		case r == '&':
			b.WriteString("&amp;")
		case r == '<':
			b.WriteString("&lt;")
		case r == '>':
			b.WriteString("&gt;")
		case r == '"':
			b.WriteString("&quot;")
		case r == '\t' || r == '\n' || r == '\r':
			b.WriteByte(' ')
		case r < ' ' || r == 0xFFFE || r == 0xFFFF:
			b.WriteRune(utf8.RuneError)
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

// identifier turns words into an id: letters, digits and single hyphens; what
// else occurs is written by its number, so that different words stay different.
func identifier(s string) string {
	var b strings.Builder
	for _, r := range s {
		switch {
		case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r >= '0' && r <= '9', r == '-':
			b.WriteRune(r)
		case r == ' ':
			b.WriteByte('_')
		default:
			b.WriteString(".")
			b.WriteString(strconv.FormatInt(int64(r), 16))
			b.WriteString(".")
		}
	}
	id := b.String()
	if id == "" || !(id[0] >= 'a' && id[0] <= 'z' || id[0] >= 'A' && id[0] <= 'Z') {
		id = "n" + id
	}
	return id
}
