package drawing

import (
	"errors"
	"fmt"
	"slices"

	"packyard/cell"
	"packyard/check"
	"packyard/unit"
)

// ErrCells says that cells cannot be drawn: none, or too many to tell apart.
var ErrCells = errors.New("cells cannot be drawn")

// cellsMost is the largest number of cells laid over each other.
const cellsMost = 4

// CellPicture is what the picture of cell curves shows.
type CellPicture struct {
	Cells        []*cell.Cell       // one to four, laid over each other
	Temperatures []unit.Temperature // of the resistance curves, at most four; nil: −10, 10, 25 and 40 °C, of several cells 25 °C
	Pulse        unit.Time          // zero: 10 s
	Title        Title
}

// curveLine is one line of a plot, in units of display.
type curveLine struct {
	x, y []float64
	name string
	look style
}

// looks tell lines apart without colour.
var looks = [cellsMost]style{
	lineOf(ink, medium*1.3), lineOf(ink, medium).with(dashed), lineOf(ink, medium).with(chained), lineOf(ink, medium).with(dotted),
}

// CellCurves draws the open-circuit voltage and the pulse resistance of new
// cells over charge. The figures are those of cell.At and
// cell.Curves.PulseResistance. Errors: ErrCells, those of package cell, which
// has none for a cell without a sourced curve but cell.ErrNoCurves.
func CellCurves(p CellPicture) (*Sheet, error) {
	if n := len(p.Cells); n < 1 || n > cellsMost {
		return nil, fmt.Errorf("%w: %d, one to %d are drawn together", ErrCells, n, cellsMost)
	}
	if slices.Contains(p.Cells, nil) {
		return nil, fmt.Errorf("%w: one of them is nil", ErrCells)
	}
	if len(p.Temperatures) == 0 {
		p.Temperatures = []unit.Temperature{263.15, 283.15, 298.15, 313.15}
	}
	if len(p.Cells) > 1 {
		p.Temperatures = []unit.Temperature{298.15}
	}
	if len(p.Temperatures) > cellsMost {
		return nil, fmt.Errorf("%w: %d temperatures, at most %d", ErrCells, len(p.Temperatures), cellsMost)
	}
	if p.Pulse == 0 {
		p.Pulse = 10 * unit.Second
	}
	volts, ohms, err := p.lines()
	if err != nil {
		return nil, err
	}
	heading := "Cell: " + p.Cells[0].Title
	if len(p.Cells) > 1 {
		heading = "Cells side by side"
	}
	below := fmt.Sprintf("new; open-circuit voltage at 25 °C, resistance of a pulse of %g s at %s", float64(p.Pulse), p.at())
	s := newSheet("cell", heading, below, p.Title)
	for _, l := range append(volts, ohms...) {
		s.notFinite = s.notFinite || holdsNotFinite(l.y)
	}
	const gap, tall = 10.0, 74.0
	wide := (sheetWidth - 2*edge - gap) / 2
	top := headHeight + 9.0
	left := curvesPlot(s.root.object("curve", "open-circuit voltage", ""), volts, span{edge, top, edge + wide, top + tall}, "open-circuit voltage, V", false)
	right := curvesPlot(s.root.object("curve", "resistance", ""), ohms, span{edge + wide + gap, top, sheetWidth - edge, top + tall}, "resistance, mΩ", true)
	y := p.sourceLines(s.root.plain(), max(left, right)+1)
	return s.finish(y, 0, false, p.Title), nil
}

// at says at which temperatures the resistance is drawn.
func (p CellPicture) at() string {
	if len(p.Temperatures) == 1 {
		return minus(say(p.Title, p.Temperatures[0]))
	}
	return "several temperatures"
}

func between(from, to string) string {
	if from == to {
		return "at " + from
	}
	return "from " + from + " to " + to
}

// lines reads the curves.
func (p CellPicture) lines() (volts, ohms []curveLine, err error) {
	const n = 101
	charge := make([]float64, n)
	for i := range charge {
		charge[i] = float64(i) / (n - 1) * 100
	}
	for i, c := range p.Cells {
		t, err := c.At(298.15, cell.New, n)
		if err != nil {
			return nil, nil, fmt.Errorf("%s: %w", c.Title, err)
		}
		name := ""
		if len(p.Cells) > 1 {
			name = c.Title
		}
		volts = append(volts, curveLine{x: charge, y: t.OCV, name: name, look: looks[i]})
		for k, T := range p.Temperatures {
			line := curveLine{x: charge, y: make([]float64, n), name: minus(say(p.Title, T)), look: looks[k]}
			if len(p.Cells) > 1 {
				line.name, line.look = c.Title, looks[i]
			}
			for j := range line.y {
				r, err := c.Curves.PulseResistance(T, unit.Ratio(charge[j]/100), p.Pulse)
				if err != nil {
					return nil, nil, fmt.Errorf("%s: %w", c.Title, err)
				}
				line.y[j] = float64(r) * 1e3
			}
			ohms = append(ohms, line)
		}
	}
	return volts, ohms, nil
}

// curvesPlot draws lines over charge in a frame, with their names below, and
// returns where they end.
func curvesPlot(g *group, lines []curveLine, room span, nameY string, fromZero bool) float64 {
	var all []float64
	for _, l := range lines {
		all = append(all, l.y...)
	}
	lo, hi, _ := rangeOf(all)
	if fromZero {
		lo = 0
	} else {
		lo, hi = lo-(hi-lo)*0.04, hi+(hi-lo)*0.04
	}
	p := plot{
		x: newAxis(0, 100, 5, room.x0+leftOfAxis, room.x1-3),
		y: newAxis(lo, hi, 6, room.y1, room.y0),
	}
	p.up(g, nameY)
	p.across(g, "state of charge, %")
	k := keyRow{g: g, x: room.x0 + 2, y: room.y1 + 14, left: room.x0 + 2, right: room.x1, wide: 8}
	for _, l := range lines {
		points := make([]point, len(l.x))
		for i := range l.x {
			points[i] = p.at(l.x[i], l.y[i])
		}
		g.poly(l.look, points...)
		if l.name != "" {
			k.item(func(c point) { g.line(l.look, c.plus(-4, 0), c.plus(4, 0)) }, l.name)
		}
	}
	return k.y
}

// sourceLines says where the curves come from.
func (p CellPicture) sourceLines(g *group, y float64) float64 {
	f := textOf(faint, sizeSmall)
	for _, c := range p.Cells {
		words := c.Title + ": "
		if c.Curves.Generic {
			words += "generic curve of the chemistry, "
		}
		words += check.SourceTitle(c.Curves.Source)
		if from, to := c.Curves.ResistanceFrom, c.Curves.ResistanceTo; from > 0 || to > 0 {
			words += "; resistance measured " + between(minus(say(p.Title, from)), minus(say(p.Title, to))) + ", extended beyond"
		}
		for _, l := range wrap(words, f, sheetWidth-2*edge) {
			y += rowHeight
			g.text(f, point{edge, y}, l)
		}
	}
	return y
}
