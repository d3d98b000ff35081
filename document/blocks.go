package document

import (
	"fmt"
	"strconv"

	"packyard/unit"
)

func (f *flow) paragraph(p Paragraph) {
	if p.Lead != "" {
		lines := breakLines(p.Lead, f.width(), f.of(strong))
		f.room(float64(len(lines)+2) * strong.line())
		f.write(f.left(), strong, lines)
	}
	if p.Text != "" {
		f.write(f.left(), body, breakLines(p.Text, f.width(), f.of(body)))
	}
}

// caution sets a text in a frame that is not broken over pages.
func (f *flow) caution(c Caution) {
	const inside = 3.0
	lines := breakLines(c.Text, f.width()-2*inside, f.of(strong))
	h := float64(len(lines))*strong.line() + 2*inside
	f.room(h)
	f.put(mark{kind: frame, x: f.left(), y: f.y, w: f.width(), h: h, weight: 0.7})
	f.y += inside
	f.write(f.left()+inside, strong, lines)
	f.y += inside
}

func (f *flow) list(l List) {
	const indent = 6.0
	for i, item := range l.Items {
		lead := "–"
		if l.Numbered {
			lead = strconv.Itoa(i+1) + "."
		}
		lines := breakLines(item, f.width()-indent, f.of(body))
		f.room(float64(min(len(lines), 3)) * body.line())
		f.baseline(f.left(), body, lead)
		f.write(f.left()+indent, body, lines)
		f.y += 0.8
	}
}

// figures sets names with their values in two columns, a thin line between.
func (f *flow) figures(l Figures) {
	name := 0.0
	for _, e := range l.Entries {
		name = max(name, f.measure(body, e.Name))
	}
	name = min(name+5, f.width()*0.55)
	for _, e := range l.Entries {
		names := breakLines(e.Name, name-3, f.of(body))
		values := breakLines(e.Value, f.width()-name, f.of(strong))
		h := float64(max(len(names), len(values)))*body.line() + 1.4
		f.room(h)
		top := f.y
		f.y += 0.7
		f.column(f.left(), body, names)
		f.column(f.left()+name, strong, values)
		f.y = top + h
		f.put(mark{kind: rule, x: f.left(), y: f.y, w: f.width(), weight: 0.1})
	}
}

// column sets lines below each other without going down itself.
func (f *flow) column(x float64, s style, lines []string) {
	top := f.y
	for _, l := range lines {
		f.baseline(x, s, l)
		f.y += s.line()
	}
	f.y = top
}

// smallest is the share of its size down to which a drawing is made smaller so
// that it goes on the page that is begun.
const smallest = 0.72

// picture sets a drawing, made smaller where it is larger than the page, or a
// little so that no page stays half empty.
func (f *flow) picture(p Picture) {
	w, h := p.Sheet.Size()
	width, height := millimetres(w), millimetres(h)
	caption := breakLines(p.Caption, f.width(), f.of(small))
	under := 1.5 + float64(len(caption))*small.line()
	k := min(1, f.width()/width, (f.height()-under)/height)
	if rest := (f.bottom() - f.y - under) / height; rest < k && rest >= smallest*k {
		k = rest
	}
	f.room(k*height + under)
	f.put(mark{kind: picture, x: f.left() + (f.width()-k*width)/2, y: f.y, w: k * width, h: k * height, sheet: p.Sheet})
	f.y += k*height + 1.5
	f.write(f.left(), small, caption)
}

func millimetres(l unit.Length) float64 { return float64(l) * 1000 }

// workings sets how figures came about: name and result, the formula, each
// input with where it came from, the source of the method.
func (f *flow) workings(l Workings) {
	const indent = 5.0
	for i := range l.List {
		w := &l.List[i]
		if i > 0 {
			f.gap(2)
		}
		f.room(4 * body.line())
		f.write(f.left(), strong, breakLines(w.Name+" = "+w.Result.Text(f.system), f.width(), f.of(strong)))
		f.write(f.left()+indent, body, breakLines(w.Formula, f.width()-indent, f.of(body)))
		for _, in := range w.Inputs {
			line := in.Symbol + " = " + in.Text(f.system) + "  " + in.Name
			if from := f.cited.origin(&in); from != "" {
				line += " (" + from + ")"
			}
			f.write(f.left()+indent, small, breakLines(line, f.width()-indent, f.of(small)))
		}
		if w.Source != "" {
			f.write(f.left()+indent, small, breakLines("method: "+f.cited.number(w.Source), f.width()-indent, f.of(small)))
		}
	}
}

// sources lists what was cited, by number.
func (f *flow) sources() {
	const indent = 10.0
	for i, title := range f.cited.titles() {
		lines := breakLines(title, f.width()-indent, f.of(small))
		f.room(float64(len(lines)) * small.line())
		f.baseline(f.left(), small, fmt.Sprintf("[%d]", i+1))
		f.write(f.left()+indent, small, lines)
	}
}
