package drawing

// label is a text that belongs to a point.
type label struct {
	at   point
	text string
	face face
	need bool // may go far from its point, with a line to it
}

// put is where a label came to stand.
type put struct {
	index int // of the label
	at    point
	face  face
	span  span
}

// placeLabels finds places for labels, earlier ones first, so that none meets
// another, an obstacle or the rim of the area. Labels without a place are left
// out.
func placeLabels(labels []label, obstacles []span, area span) []put {
	taken := append([]span(nil), obstacles...)
	var out []put
	for i, l := range labels {
		reach := []float64{1.6}
		if l.need {
			reach = []float64{1.6, 4, 7, 11, 16, 22, 30, 40, 52}
		}
		if p, ok := placeLabel(l, reach, taken, area); ok {
			p.index = i
			out = append(out, p)
			taken = append(taken, p.span.grown(0.4))
		}
	}
	return out
}

// ways are the directions in which a label may stand off its point, the
// preferred first.
var ways = []struct {
	x, y   float64
	anchor anchor
}{
	{1, -0.6, start}, {1, 0.35, start}, {-1, -0.6, end}, {-1, 0.35, end}, {0, -1, middle}, {0, 1, middle},
	{0.8, -1, start}, {0.8, 1, start}, {-0.8, -1, end}, {-0.8, 1, end},
}

func placeLabel(l label, reach []float64, taken []span, area span) (put, bool) {
	for _, r := range reach {
		for _, w := range ways {
			f := l.face.to(w.anchor)
			at := point{l.at.x + r*w.x, l.at.y + r*w.y + f.size*0.26}
			switch {
			case w.y <= -1:
				at.y -= f.size * 0.3
			case w.y >= 1:
				at.y += f.size * 0.45
			}
			s := spanOf(l.text, f, at)
			free := area.holds(s)
			for i := 0; free && i < len(taken); i++ {
				free = !s.meets(taken[i])
			}
			if free {
				return put{at: at, face: f, span: s}, true
			}
		}
	}
	return put{}, false
}

// labels sets the labels that found a place, with a thin line to their point
// where they had to stand off.
func (g *group) labels(list []label, placed []put) {
	for _, p := range placed {
		l := list[p.index]
		near := point{min(max(l.at.x, p.span.x0), p.span.x1), min(max(l.at.y, p.span.y0), p.span.y1)}
		if d := (near.x-l.at.x)*(near.x-l.at.x) + (near.y-l.at.y)*(near.y-l.at.y); d > 3*3 {
			g.line(lineOf(faint, thin), l.at, near)
		}
		g.text(p.face, p.at, l.text)
	}
}
