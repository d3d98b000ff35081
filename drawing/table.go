package drawing

// column is one column of a table: its head and the side its figures stand on.
type column struct {
	head  string
	right bool
	most  float64 // widest, mm; zero: as wide as its text
}

const rowHeight = 4.4

// table sets rows below y and returns where it ends and how wide it is. Cells
// that are wider than their column are cut.
func (g *group) table(x, y float64, columns []column, rows [][]string) (bottom, width float64) {
	head, body := textOf(faint, sizeSmall), textOf(ink, sizeSmall)
	widths := make([]float64, len(columns))
	for i, c := range columns {
		widths[i] = widthOf(c.head, head)
		for _, r := range rows {
			widths[i] = max(widths[i], widthOf(r[i], body))
		}
		if c.most > 0 {
			widths[i] = min(widths[i], c.most)
		}
		width += widths[i] + columnGap
	}
	width -= columnGap
	set := func(f face, y float64, cells func(i int) string) {
		at := x
		for i, c := range columns {
			t := fit(cells(i), f, widths[i])
			if c.right {
				g.text(f.to(end), point{at + widths[i], y}, t)
			} else {
				g.text(f, point{at, y}, t)
			}
			at += widths[i] + columnGap
		}
	}
	y += rowHeight
	set(head, y, func(i int) string { return columns[i].head })
	g.line(lineOf(faint, thin), point{x, y + 1.3}, point{x + width, y + 1.3})
	y += 0.9
	for _, r := range rows {
		y += rowHeight
		set(body, y, func(i int) string { return r[i] })
	}
	return y + 1.3, width
}

const columnGap = 4.0
