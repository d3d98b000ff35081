package drawing

import "strings"

// advance holds widths of the printing ASCII characters from the space on, in
// thousandths of the size: those of a wide sans-serif face (DejaVu Sans). Faces
// met in browsers and in documents are narrower.
var advance = [95]int16{
	318, 401, 460, 838, 636, 950, 780, 275, 390, 390, 500, 838, 318, 361, 318, 337, // space to /
	636, 636, 636, 636, 636, 636, 636, 636, 636, 636, 337, 337, 838, 838, 838, 531, // 0 to ?
	1000, 684, 686, 698, 770, 632, 575, 775, 752, 295, 295, 656, 557, 863, 748, 787, // @ to O
	603, 787, 695, 635, 611, 732, 684, 989, 685, 611, 685, 390, 337, 390, 838, 500, // P to _
	500, 613, 635, 550, 635, 615, 352, 635, 634, 278, 278, 579, 278, 974, 634, 612, // ` to o
	635, 635, 411, 521, 392, 634, 592, 818, 592, 592, 525, 636, 337, 636, 838, // p to ~
}

// widthOf returns an upper estimate of the width of a line of text, mm.
func widthOf(s string, f face) float64 {
	sum := 0.0
	for _, r := range s {
		switch {
		case r >= ' ' && r <= '~':
			sum += float64(advance[r-' '])
		case r < 0x0250: // Latin with marks
			sum += 700
		default:
			sum += 1000
		}
	}
	if f.bold {
		sum *= 1.12
	}
	return sum / 1000 * f.size
}

// fit returns the text, cut with an ellipsis where it is wider than the width.
func fit(s string, f face, width float64) string {
	if widthOf(s, f) <= width {
		return s
	}
	runes := []rune(s)
	for len(runes) > 0 {
		runes = runes[:len(runes)-1]
		if t := strings.TrimRight(string(runes), " ,;") + "…"; widthOf(t, f) <= width {
			return t
		}
	}
	return ""
}

// span is a rectangle of the sheet, mm.
type span struct{ x0, y0, x1, y1 float64 }

func (a span) meets(b span) bool { return a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1 }

// holds reports whether b is inside a.
func (a span) holds(b span) bool { return a.x0 <= b.x0 && a.y0 <= b.y0 && b.x1 <= a.x1 && b.y1 <= a.y1 }

// grown returns a with a rim of d on every side.
func (a span) grown(d float64) span { return span{a.x0 - d, a.y0 - d, a.x1 + d, a.y1 + d} }

// spanOf returns the room that a line of text takes.
func spanOf(s string, f face, at point) span {
	w, up, down := widthOf(s, f), 0.76*f.size, 0.24*f.size
	if f.upward {
		y := at.y
		switch f.anchor {
		case middle:
			y += w / 2
		case end:
			y += w
		}
		return span{at.x - up, y - w, at.x + down, y}
	}
	x := at.x
	switch f.anchor {
	case middle:
		x -= w / 2
	case end:
		x -= w
	}
	return span{x, at.y - up, x + w, at.y + down}
}

// wrap breaks a text at spaces into lines no wider than the width; a word that
// is wider is cut.
func wrap(s string, f face, width float64) []string {
	var lines []string
	line := ""
	for word := range strings.FieldsSeq(s) {
		next := word
		if line != "" {
			next = line + " " + word
		}
		if line != "" && widthOf(next, f) > width {
			lines = append(lines, line)
			next = word
		}
		line = fit(next, f, width)
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}
