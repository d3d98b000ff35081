package packyard_test

import (
	"fmt"
	"html"
	"math"
	"strings"
	"testing"

	"packyard/check/checktest"
	"packyard/design"
	"packyard/project"
	"packyard/search"
	"packyard/unit"
)

// TestPictureOfTheOptionsIsCurrent draws docs/pictures/orchard-options.svg of
// the packs that the search finds for the orchard truck, and compares.
func TestPictureOfTheOptionsIsCurrent(t *testing.T) {
	t.Parallel()
	p, err := project.Open("examples/orchard-truck")
	if err != nil {
		t.Fatal(err)
	}
	f, err := design.NewFrame(&p.Brief)
	if err != nil {
		t.Fatal(err)
	}
	res, err := search.Run(t.Context(), f, search.Options{Top: 1000})
	if err != nil {
		t.Fatal(err)
	}
	rep := res.Report(f)
	if len(rep.Ranked) < 10 || len(rep.Pareto) < 10 || len(rep.Misses) < 3 {
		t.Fatalf("%d packs, %d in the Pareto set, %d misses: too little to draw", len(rep.Ranked), len(rep.Pareto), len(rep.Misses))
	}
	checktest.Golden(t, "docs/pictures/orchard-options.svg", drawOptions(rep, p.Brief.Targets.Range))
}

// Place of the plot on the sheet, in points.
const (
	sheetWidth, sheetHeight               = 900.0, 560.0
	plotLeft, plotRight, plotTop, plotEnd = 64.0, 872.0, 74.0, 488.0
)

// scatter is a picture of range over pack mass while it is drawn.
type scatter struct {
	svg            strings.Builder
	x0, x1, y0, y1 float64 // kg and km at the ends of the axes
	taken          [][4]float64
	sources        []string
	stepX, stepY   float64
}

func (s *scatter) x(kg float64) float64 {
	return plotLeft + (kg-s.x0)/(s.x1-s.x0)*(plotRight-plotLeft)
}
func (s *scatter) y(km float64) float64 { return plotEnd - (km-s.y0)/(s.y1-s.y0)*(plotEnd-plotTop) }

func (s *scatter) put(format string, args ...any) { fmt.Fprintf(&s.svg, format+"\n", args...) }

// text puts a text at a point; class holds its look.
func (s *scatter) text(x, y float64, class, text string) {
	s.put(`<text x="%.1f" y="%.1f" class="%s">%s</text>`, x, y, class, html.EscapeString(text))
}

const sheetStyle = `<style>
svg { color: #1d1b18; font: 13px "Helvetica Neue", Arial, sans-serif; font-variant-numeric: tabular-nums; }
text { fill: currentColor; } .title { font-size: 16px; font-weight: 600; } .mid { text-anchor: middle; } .end { text-anchor: end; } .small { font-size: 12px; }
.axis { stroke: currentColor; fill: none; } .grid { stroke: currentColor; stroke-opacity: 0.14; } .goal { stroke: currentColor; stroke-dasharray: 6 4; }
.pack { stroke: currentColor; stroke-width: 1.2; fill: none; } .best { stroke: currentColor; stroke-width: 1.2; fill: currentColor; } .miss { stroke: currentColor; stroke-width: 1.6; fill: none; }
@media (prefers-color-scheme: dark) { svg { color: #ece8df; } }
</style>`

// drawOptions returns the picture: every pack that fits with its best cut, the
// Pareto set filled, and the nearest misses with the limit that stops each.
func drawOptions(rep *search.Report, goal unit.Length) string {
	s := &scatter{stepX: 50, stepY: 20}
	s.bounds(rep, goal)
	s.put(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %g %g" width="%[1]g" height="%g" role="img" aria-labelledby="t d">`, sheetWidth, sheetHeight, sheetHeight)
	s.put(`<title id="t">%s: range against pack mass</title>`, html.EscapeString(rep.Project))
	s.put(`<desc id="d">%d packs that fit, with the Pareto set filled and %d nearest misses crossed. Invented demonstration data; printed by picture_test.go.</desc>`, rep.Packs, len(rep.Misses))
	s.put(sheetStyle)
	s.text(plotLeft, 26, "title", fmt.Sprintf("%s: %d packs that fit, of %s candidates", rep.Project, rep.Packs, spaced(rep.Candidates)))
	s.legend(rep)
	s.axes(rep, goal)
	for _, list := range [][]search.Row{rep.Ranked, rep.Pareto} {
		for i := range list {
			s.mark(&list[i])
		}
	}
	for i := range rep.Misses {
		s.cross(&rep.Misses[i].Option)
	}
	said := map[string]bool{}
	for i := range rep.Misses {
		if id := rep.Misses[i].Option.ID; !said[id] {
			said[id] = true
			s.label(&rep.Misses[i].Option, limitsOf(rep, id))
		}
	}
	s.put(`</svg>`)
	return s.svg.String()
}

// bounds sets the ends of the axes to whole steps around everything drawn.
func (s *scatter) bounds(rep *search.Report, goal unit.Length) {
	for _, src := range rep.Sources {
		s.sources = append(s.sources, src.Name)
	}
	s.x0, s.x1, s.y0, s.y1 = math.Inf(1), math.Inf(-1), float64(goal)/1000, float64(goal)/1000
	see := func(r *search.Row) {
		s.x0, s.x1 = min(s.x0, float64(r.Mass)), max(s.x1, float64(r.Mass))
		s.y0, s.y1 = min(s.y0, float64(r.Range)/1000), max(s.y1, float64(r.Range)/1000)
	}
	for i := range rep.Ranked {
		see(&rep.Ranked[i])
	}
	for i := range rep.Pareto {
		see(&rep.Pareto[i])
	}
	for i := range rep.Misses {
		see(&rep.Misses[i].Option)
	}
	s.x0, s.x1 = math.Floor((s.x0-5)/s.stepX)*s.stepX, math.Ceil((s.x1+5)/s.stepX)*s.stepX
	s.y0, s.y1 = math.Floor((s.y0-5)/s.stepY)*s.stepY, math.Ceil((s.y1+5)/s.stepY)*s.stepY
}

func (s *scatter) axes(rep *search.Report, goal unit.Length) {
	for x := s.x0; x <= s.x1+1e-9; x += s.stepX {
		s.put(`<path class="grid" d="M%.1f %g V%g"/>`, s.x(x), plotTop, plotEnd)
		s.text(s.x(x), plotEnd+19, "mid", fmt.Sprintf("%.0f", x))
	}
	for y := s.y0; y <= s.y1+1e-9; y += s.stepY {
		s.put(`<path class="grid" d="M%g %.1f H%g"/>`, plotLeft, s.y(y), plotRight)
		s.text(plotLeft-9, s.y(y)+4.5, "end", fmt.Sprintf("%.0f", y))
	}
	s.put(`<path class="axis" d="M%g %g V%g H%g"/>`, plotLeft, plotTop, plotEnd, plotRight)
	s.text((plotLeft+plotRight)/2, plotEnd+42, "mid", "mass of the whole pack, kg")
	s.put(`<text class="mid" transform="translate(18 %.1f) rotate(-90)">range on %s as bought, km</text>`, (plotTop+plotEnd)/2, html.EscapeString(rep.Schedule))
	at := s.y(float64(goal) / 1000)
	s.put(`<path class="goal" d="M%g %.1f H%g"/>`, plotLeft, at, plotRight)
	s.text(plotRight-6, at-6, "end small", fmt.Sprintf("wanted: %.0f km", float64(goal)/1000))
}

func (s *scatter) legend(rep *search.Report) {
	x, y := plotLeft+7, 50.0
	for i, name := range s.sources {
		s.shape(i, x, y, "pack")
		s.text(x+11, y+4.5, "", name)
		x += 11 + 7*float64(len(name)) + 26
	}
	s.shape(0, x, y, "best")
	s.text(x+11, y+4.5, "", "filled: Pareto set")
	x += 150
	s.put(`<path class="miss" d="M%.1f %.1f l8 8 m0 -8 l-8 8"/>`, x-4, y-4)
	s.text(x+11, y+4.5, "", "nearest miss, with the limit that stops it")
	s.text(plotRight, sheetHeight-8, "end small", "invented demonstration data")
}

// mark draws one option in the shape of its source.
func (s *scatter) mark(r *search.Row) {
	class := "pack"
	if r.Pareto {
		class = "best"
	}
	for i, name := range s.sources {
		if strings.HasPrefix(r.ID, name+"/") {
			s.shape(i, s.x(float64(r.Mass)), s.y(float64(r.Range)/1000), class)
		}
	}
}

// shape draws circle, square or triangle around a point.
func (s *scatter) shape(kind int, x, y float64, class string) {
	s.taken = append(s.taken, [4]float64{x - 5, y - 5, x + 5, y + 5})
	switch kind % 3 {
	case 0:
		s.put(`<circle class="%s" cx="%.1f" cy="%.1f" r="3.6"/>`, class, x, y)
	case 1:
		s.put(`<rect class="%s" x="%.1f" y="%.1f" width="6.4" height="6.4"/>`, class, x-3.2, y-3.2)
	default:
		s.put(`<path class="%s" d="M%.1f %.1f l4.4 7.6 h-8.8 z"/>`, class, x, y-5)
	}
}

func (s *scatter) cross(r *search.Row) {
	x, y := s.x(float64(r.Mass)), s.y(float64(r.Range)/1000)
	s.taken = append(s.taken, [4]float64{x - 6, y - 6, x + 6, y + 6})
	s.put(`<path class="miss" d="M%.1f %.1f l9 9 m0 -9 l-9 9"/>`, x-4.5, y-4.5)
}

// limitsOf names the limits that stop one option of the misses.
func limitsOf(rep *search.Report, id string) string {
	var names []string
	for _, m := range rep.Misses {
		if m.Option.ID == id {
			names = append(names, m.Limits[0].Rule)
		}
	}
	return strings.Join(names, ", ")
}

// label writes a text beside the cross of a miss, where nothing else is.
func (s *scatter) label(r *search.Row, text string) {
	x, y, w := s.x(float64(r.Mass)), s.y(float64(r.Range)/1000), 6.5*float64(len(text))
	class := map[float64]string{0: "small", 0.5: "mid small", 1: "end small"}
	for _, lift := range []float64{0, -15, 15, -30, 30} {
		for _, side := range []float64{0, 1, 0.5} { // share of the text that stands left of its point
			at := x + 11 - 22*side
			left := at - w*side
			box := [4]float64{left - 2, y + lift - 7, left + w + 2, y + lift + 7}
			if box[0] > plotLeft && box[2] < plotRight && s.clear(box) {
				s.taken = append(s.taken, box)
				s.text(at, y+lift+4, class[side], text)
				return
			}
		}
	}
	s.text(x+11, y+4, "small", text)
}

func (s *scatter) clear(box [4]float64) bool {
	for _, o := range s.taken {
		if box[0] < o[2] && o[0] < box[2] && box[1] < o[3] && o[1] < box[3] {
			return false
		}
	}
	return true
}

// spaced writes a count with spaces between the thousands.
func spaced(n int) string {
	if n < 1000 {
		return fmt.Sprint(n)
	}
	return fmt.Sprintf("%s %03d", spaced(n/1000), n%1000)
}
