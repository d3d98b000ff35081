package drive

import (
	"fmt"
	"math"
	"slices"

	"packyard/cell"
	"packyard/unit"
)

// GroupTable is a cell over charge and temperature in the form that Groups
// reads: as in Lumped the charge is cut into 200 pieces, the open-circuit
// voltage is a straight line and the resistances are constant over each, taken
// halfway; between the rows of temperature resistances and time constants are
// linear, beyond them the nearest row holds. It is made once for a cell and
// shared by all packs; nothing changes it.
type GroupTable struct {
	cellID                 string
	capacity               float64 // A·s, rated
	voltageMin, voltageMax float64 // V
	limits                 cell.Limits
	coldest, hottest       unit.Temperature // first and last with a limit of discharge
	discharge, charge      rateGrid

	temperature []float64 // K, rising
	rows        []groupRow
	base, rise  []float64 // OCV = base + rise·x over a segment, x in segments
	mid         []float64 // V, OCV halfway
	dudt        []float64 // V/K
}

// groupRow is a GroupTable at one temperature, one entry per segment.
type groupRow struct{ r0, r1, tau1, r2, tau2 []float64 } // Ω and s of one cell

// NewGroupTable reads the curves of a cell at every temperature at which one of
// them has a row, so that nothing is lost between rows.
// Errors: those of cell.At, and ErrCell.
func NewGroupTable(c *cell.Cell) (*GroupTable, error) {
	if c == nil {
		return nil, fmt.Errorf("%w: no cell", ErrCell)
	}
	if c.Curves == nil {
		return nil, fmt.Errorf("%w: %s", cell.ErrNoCurves, c.ID)
	}
	var at []float64
	for _, s := range []*cell.Surface{&c.Curves.R0, &c.Curves.R1, &c.Curves.Tau1, &c.Curves.R2, &c.Curves.Tau2} {
		at = append(at, s.Temperature...)
	}
	slices.Sort(at)
	at = slices.Compact(at)
	tables := make([]*cell.Table, len(at))
	for i, t := range at {
		var err error
		if tables[i], err = c.At(unit.Temperature(t), cell.New, segments+1); err != nil {
			return nil, err
		}
	}
	g, err := GroupTableFrom(tables, c)
	if err != nil {
		return nil, fmt.Errorf("cell %s: %w", c.ID, err)
	}
	return g, nil
}

// GroupTableFrom makes a GroupTable from tables of a new cell at rising
// temperatures, all of one length and with one open-circuit voltage. Of the cell
// only the limits, the rated capacity and the voltages are read.
// Errors: ErrCell.
func GroupTableFrom(tables []*cell.Table, c *cell.Cell) (*GroupTable, error) {
	if len(tables) == 0 || c == nil {
		return nil, fmt.Errorf("%w: no table over charge", ErrCell)
	}
	first := tables[0]
	limits := CellLimits{VoltageMin: c.VoltageMin, VoltageMax: c.VoltageMax}
	for i, t := range tables {
		if err := checkTable(t, 1, limits); err != nil {
			return nil, err
		}
		if !slices.Equal(t.OCV, first.OCV) || !slices.Equal(t.DUDT, first.DUDT) {
			return nil, fmt.Errorf("%w: the open-circuit voltage at %g K differs from that at %g K: one for all temperatures is needed", ErrCell, float64(t.Temperature), float64(first.Temperature))
		}
		if i > 0 && !(t.Temperature > tables[i-1].Temperature) {
			return nil, fmt.Errorf("%w: %g K after %g K: temperatures must rise", ErrCell, float64(t.Temperature), float64(tables[i-1].Temperature))
		}
	}
	if len(first.DUDT) != 0 && len(first.DUDT) != len(first.OCV) {
		return nil, fmt.Errorf("%w: %d entropic coefficients for %d voltages", ErrCell, len(first.DUDT), len(first.OCV))
	}
	if !(c.Capacity > 0) || math.IsInf(float64(c.Capacity), 0) {
		return nil, fmt.Errorf("%w: capacity %g A·s: it must be above 0", ErrCell, float64(c.Capacity))
	}
	g := &GroupTable{cellID: c.ID, capacity: float64(c.Capacity), voltageMin: float64(c.VoltageMin), voltageMax: float64(c.VoltageMax), limits: c.Limits}
	g.coldest, g.hottest = bordersOf(c.Limits.Discharge)
	g.discharge = newRateGrid(c.Limits.Discharge, c.Limits.DischargeRate)
	g.charge = newRateGrid(c.Limits.Charge, c.Limits.ChargeRate)
	for i := range len(first.OCV) - 1 {
		rise := first.OCV[i+1] - first.OCV[i]
		g.rise = append(g.rise, rise)
		g.base = append(g.base, first.OCV[i]-rise*float64(i))
		g.mid = append(g.mid, (first.OCV[i]+first.OCV[i+1])/2)
		g.dudt = append(g.dudt, halfway(first.DUDT, i))
	}
	for _, t := range tables {
		var r groupRow
		for i := range g.base {
			r.r0 = append(r.r0, halfway(t.R0, i))
			r.r1, r.tau1 = append(r.r1, halfway(t.R1, i)), append(r.tau1, halfway(t.Tau1, i))
			r.r2, r.tau2 = append(r.r2, halfway(t.R2, i)), append(r.tau2, halfway(t.Tau2, i))
		}
		g.rows, g.temperature = append(g.rows, r), append(g.temperature, float64(t.Temperature))
	}
	return g, nil
}

// pairAt is what one cell has at a charge and a temperature, SI.
type pairAt struct{ r0, r1, tau1, r2, tau2 float64 }

// read returns the resistances and time constants of segment s at t kelvin.
func (g *GroupTable) read(s int, t float64) pairAt {
	n := len(g.temperature) - 1
	k, _ := slices.BinarySearch(g.temperature, t)
	k = min(max(k-1, 0), max(n-1, 0))
	a := &g.rows[k]
	if n == 0 {
		return pairAt{a.r0[s], a.r1[s], a.tau1[s], a.r2[s], a.tau2[s]}
	}
	b := &g.rows[k+1]
	f := min(max((t-g.temperature[k])/(g.temperature[k+1]-g.temperature[k]), 0), 1)
	mix := func(x, y []float64) float64 { return x[s] + f*(y[s]-x[s]) }
	return pairAt{mix(a.r0, b.r0), mix(a.r1, b.r1), mix(a.tau1, b.tau1), mix(a.r2, b.r2), mix(a.tau2, b.tau2)}
}

// at returns the segment that holds x, the last or first beyond.
func (g *GroupTable) at(x float64) int { return min(max(int(x), 0), len(g.base)-1) }

// ocv returns the mean open-circuit voltage in V while the charge falls from x
// by dx segments (rises when negative), and that at the end; exact over any
// number of segments: each part is summed from its own line, so that no digit is
// lost in a difference of totals.
func (g *GroupTable) ocv(x, dx float64) (mean, end float64) {
	to := x - dx
	s, last := g.at(x), g.at(to)
	if s == last {
		return g.base[s] + g.rise[s]*(x-dx/2), g.base[s] + g.rise[s]*to
	}
	area, from, step := 0.0, x, 1
	if dx > 0 {
		step = -1
	}
	for ; s != last; s += step {
		edge := float64(s)
		if step > 0 {
			edge++
		}
		area += (from - edge) * (g.base[s] + g.rise[s]*(from+edge)/2)
		from = edge
	}
	area += (from - to) * (g.base[s] + g.rise[s]*(from+to)/2)
	return area / dx, g.base[s] + g.rise[s]*to
}

// energy returns ∫ OCV dx from charge x0 to x1 in V·segments.
func (g *GroupTable) energy(x0, x1 float64) float64 {
	if x0 == x1 {
		return 0
	}
	mean, _ := g.ocv(x1, x1-x0)
	return mean * (x1 - x0)
}
