package drawing

import (
	"math"
	"strconv"

	"packyard/unit"
)

// scaleOf is a unit of display: a value in SI times per is the number shown.
type scaleOf struct {
	name string
	per  float64
}

// Units of the axes by system. Factors are exact by definition: nist-sp811.
func unitDistance(s unit.System) scaleOf {
	if s == unit.US {
		return scaleOf{"mi", 1 / mile}
	}
	return scaleOf{"km", 1e-3}
}

func unitMass(s unit.System) scaleOf {
	if s == unit.US {
		return scaleOf{"lb", 1 / pound}
	}
	return scaleOf{"kg", 1}
}

func unitSpeed(s unit.System) scaleOf {
	if s == unit.US {
		return scaleOf{"mph", 3600 / mile}
	}
	return scaleOf{"km/h", 3.6}
}

// axis maps numbers in the unit of display to the sheet.
type axis struct {
	lo, hi   float64 // of the axis, in the unit of display
	a, b     float64 // their places on the sheet, mm
	ticks    []float64
	decimals int
}

func (x axis) at(v float64) float64 { return x.a + (v-x.lo)/(x.hi-x.lo)*(x.b-x.a) }

// within returns the place of v, held inside the axis.
func (x axis) within(v float64) float64 { return x.at(min(max(v, x.lo), x.hi)) }

// newAxis returns an axis from lo to hi widened to whole ticks, about n of
// them, between the places a and b.
func newAxis(lo, hi float64, n int, a, b float64) axis {
	if !(hi > lo) || math.IsInf(hi-lo, 1) {
		mid := lo
		if math.IsNaN(mid) || math.IsInf(mid, 0) {
			mid = 0
		}
		pad := max(math.Abs(mid)*0.1, 1)
		lo, hi = mid-pad, mid+pad
	}
	step, decimals := tickStep((hi - lo) / float64(n))
	x := axis{lo: math.Floor(lo/step+1e-9) * step, hi: math.Ceil(hi/step-1e-9) * step, a: a, b: b, decimals: decimals}
	count := int(math.Round((x.hi - x.lo) / step))
	for i := range count + 1 {
		x.ticks = append(x.ticks, x.lo+float64(i)*step)
	}
	return x
}

// tickStep returns the smallest of 1, 2 or 5 times a power of ten that is not
// below the least step, and the decimals to print it.
func tickStep(least float64) (step float64, decimals int) {
	p := math.Floor(math.Log10(least))
	base := math.Pow(10, p)
	for _, m := range []float64{1, 2, 5, 10} {
		if m*base >= least*(1-1e-9) {
			if m == 10 {
				p++
			}
			return m * base, max(int(-p), 0)
		}
	}
	return 10 * base, max(int(-p-1), 0)
}

func (x axis) label(v float64) string {
	return minus(strconv.FormatFloat(noNegative(v, x.decimals), 'f', x.decimals, 64))
}

// plot is a pair of axes.
type plot struct{ x, y axis }

func (p plot) at(x, y float64) point { return point{p.x.at(x), p.y.at(y)} }

// span returns the room between the axes.
func (p plot) span() span { return span{p.x.a, p.y.b, p.x.b, p.y.a} }

// across draws the lower axis with its ticks; the name stands below its end.
func (p plot) across(g *group, name string) {
	g.line(lineOf(ink, medium), point{p.x.a, p.y.a}, point{p.x.b, p.y.a})
	f := textOf(ink, sizeSmall).to(middle)
	for _, v := range p.x.ticks {
		x := p.x.at(v)
		g.line(lineOf(ink, thin), point{x, p.y.a}, point{x, p.y.a + 1.2})
		g.text(f, point{x, p.y.a + 4.2}, p.x.label(v))
	}
	g.text(textOf(ink, sizeText).to(end), point{p.x.b, p.y.a + 9}, name)
}

// up draws the left axis with its ticks and light lines across; the name stands
// over it.
func (p plot) up(g *group, name string) {
	g.line(lineOf(ink, medium), point{p.x.a, p.y.a}, point{p.x.a, p.y.b})
	f := textOf(ink, sizeSmall).to(end)
	for _, v := range p.y.ticks {
		y := p.y.at(v)
		if y < p.y.a-0.01 {
			g.line(gridLine, point{p.x.a, y}, point{p.x.b, y})
		}
		g.line(lineOf(ink, thin), point{p.x.a - 1.2, y}, point{p.x.a, y})
		g.text(f, point{p.x.a - 1.8, y + 1}, p.y.label(v))
	}
	g.text(textOf(ink, sizeText), point{p.x.a - leftOfAxis + 1, p.y.b - 3}, name)
}

// leftOfAxis is the room for the figures of the left axis, mm.
const leftOfAxis = 13.0

// rangeOf returns least and greatest of finite values; ok is false without any.
func rangeOf(values []float64) (lo, hi float64, ok bool) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, v := range values {
		lo, hi = min(lo, v), max(hi, v)
	}
	return lo, hi, hi >= lo
}
