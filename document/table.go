package document

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// Padding of a cell, and the least height of one that is filled in by hand, mm.
const (
	padX    = 1.4
	padY    = 0.9
	writing = 8.0
	written = 26.0 // least width of a column that is filled in by hand
)

// grid is a table broken into lines.
type grid struct {
	table *Table
	width []float64
	head  [][]string
	rows  [][][]string
}

// sound returns an error if the table cannot be printed as it is.
func (t *Table) sound() error {
	if len(t.Rows) == 0 && t.Empty == "" {
		return fmt.Errorf("table %q has no rows and does not say why", t.Title)
	}
	for i, r := range t.Rows {
		if len(r) != len(t.Columns) {
			return fmt.Errorf("table %q: row %d has %d cells, and there are %d columns", t.Title, i+1, len(r), len(t.Columns))
		}
	}
	return nil
}

// table sets a table: the head on every page, rows whole where they go on a page.
func (f *flow) table(t Table) error {
	if err := t.sound(); err != nil {
		return err
	}
	title := breakLines(t.Title, f.width(), f.of(strong))
	if t.Title == "" {
		title = nil
	}
	if len(t.Rows) == 0 {
		f.room(float64(len(title)+1) * body.line())
		f.write(f.left(), strong, title)
		f.write(f.left(), body, breakLines(t.Empty, f.width(), f.of(body)))
		return nil
	}
	g := f.grid(&t)
	first := f.rowHeight(g, g.rows[0])
	f.room(float64(len(title))*strong.line() + f.headHeight(g) + min(first, f.height()/2))
	f.write(f.left(), strong, title)
	f.tableHead(g)
	for _, row := range g.rows {
		f.tableRow(g, row)
	}
	return nil
}

func (f *flow) grid(t *Table) *grid {
	n := len(t.Columns)
	least, most := make([]float64, n), make([]float64, n)
	for j, c := range t.Columns {
		least[j], most[j] = needs(c.Title, f.of(smaller))
		for _, r := range t.Rows {
			word, whole := needs(c.text(r[j]), f.of(small))
			least[j], most[j] = max(least[j], word), max(most[j], whole)
		}
		if c.Write {
			least[j], most[j] = max(least[j], written), max(most[j], written)
		}
		least[j] += 2*padX + 0.01
		most[j] += 2*padX + 0.01
	}
	g := &grid{table: t, width: share(f.width(), least, most)}
	g.stretch(f.width())
	cell := func(j int, s style, text string) []string {
		if text == "" {
			return nil
		}
		return breakLines(text, g.width[j]-2*padX, f.of(s))
	}
	for j, c := range t.Columns {
		g.head = append(g.head, cell(j, smaller, c.Title))
	}
	for _, r := range t.Rows {
		var row [][]string
		for j := range r {
			row = append(row, cell(j, small, t.Columns[j].text(r[j])))
		}
		g.rows = append(g.rows, row)
	}
	return g
}

// figureMost is the longest figure that is kept on one line, in characters.
const figureMost = 16

// text returns a cell as it is set: a figure stays beside its unit.
func (c Column) text(cell string) string {
	if c.Right && utf8.RuneCountInString(cell) <= figureMost {
		return strings.ReplaceAll(cell, " ", noBreak)
	}
	return cell
}

// stretch gives what is left of the width to the columns that are filled in by hand.
func (g *grid) stretch(space float64) {
	used, open := 0.0, 0
	for j, w := range g.width {
		used += w
		if g.table.Columns[j].Write {
			open++
		}
	}
	if open == 0 || used >= space {
		return
	}
	for j := range g.width {
		if g.table.Columns[j].Write {
			g.width[j] += (space - used) / float64(open)
		}
	}
}

func (g *grid) total() float64 {
	sum := 0.0
	for _, w := range g.width {
		sum += w
	}
	return sum
}

func deepest(cells [][]string) int {
	n := 0
	for _, c := range cells {
		n = max(n, len(c))
	}
	return n
}

func (f *flow) headHeight(g *grid) float64 {
	return float64(deepest(g.head))*smaller.line() + 2*padY
}

func (f *flow) rowHeight(g *grid, row [][]string) float64 {
	h := float64(max(1, deepest(row)))*small.line() + 2*padY
	for _, c := range g.table.Columns {
		if c.Write {
			h = max(h, writing)
		}
	}
	return h
}

func (f *flow) tableHead(g *grid) {
	h := f.headHeight(g)
	f.put(mark{kind: ground, x: f.left(), y: f.y, w: g.total(), h: h})
	f.cells(g, smaller, g.head)
	f.y += h
	f.put(mark{kind: rule, x: f.left(), y: f.y, w: g.total(), weight: 0.35})
}

// tableRow sets one row; a row taller than a page goes on over pages.
func (f *flow) tableRow(g *grid, row [][]string) {
	for {
		h := f.rowHeight(g, row)
		if f.y+h > f.bottom() && f.y > marginTop+f.headHeight(g)+1e-6 {
			f.newPage()
			f.tableHead(g)
		}
		fits := int((f.bottom() - f.y - 2*padY) / small.line())
		if deepest(row) <= max(fits, 1) {
			f.tableCells(g, row, h)
			return
		}
		now, rest := make([][]string, len(row)), make([][]string, len(row))
		for j, c := range row {
			n := min(len(c), max(fits, 1))
			now[j], rest[j] = c[:n], c[n:]
		}
		f.tableCells(g, now, f.rowHeight(g, now))
		row = rest
	}
}

func (f *flow) tableCells(g *grid, row [][]string, h float64) {
	f.cells(g, small, row)
	x := f.left()
	for j, w := range g.width {
		if g.table.Columns[j].Write {
			f.put(mark{kind: rule, x: x, y: f.y, h: h, weight: 0.1})
			f.put(mark{kind: rule, x: x + w, y: f.y, h: h, weight: 0.1})
		}
		x += w
	}
	f.y += h
	f.put(mark{kind: rule, x: f.left(), y: f.y, w: g.total(), weight: 0.1})
}

// cells sets the lines of a row without going down.
func (f *flow) cells(g *grid, s style, cells [][]string) {
	top, x := f.y, f.left()
	for j, lines := range cells {
		f.y = top + padY
		for _, l := range lines {
			at := x + padX
			if g.table.Columns[j].Right {
				at = x + g.width[j] - padX - f.measure(s, l)
			}
			f.baseline(at, s, l)
			f.y += s.line()
		}
		x += g.width[j]
	}
	f.y = top
}
