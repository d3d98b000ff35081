package cell

import (
	"errors"
	"fmt"
	"math"

	"packyard/internal/num"
	"packyard/unit"
)

// Errors of the electrical model.
var (
	ErrNoCurves    = errors.New("no sourced curve of this cell")
	ErrTableSize   = errors.New("table size")
	ErrCapacity    = errors.New("capacity is not above zero")
	ErrHealth      = errors.New("state of health")
	ErrCurves      = errors.New("curves are not well formed")
	ErrTemperature = errors.New("temperature")
)

// TableMax is the largest table that At makes.
const TableMax = 100_001

// At returns the cell at temperature t and health h on n evenly spaced charges
// 0…1, 2 ≤ n ≤ TableMax. OCV is the monotone cubic through the isotonic points
// of the curve; resistances and time constants are read bilinearly; the
// capacity share multiplies the capacity, the resistance growth R0, R1 and R2
// (time constants stay). The OCV is that of the curve at every temperature; its
// shift by dU/dT is not in the table. Outside the temperatures of a surface the
// nearest row holds. Fine is there when the curves have a network.
//
// Errors: ErrNoCurves for a listed cell without curve, ErrTableSize, ErrHealth
// (capacity share outside 0…1.2, growth below 0.5 or above 100), ErrTemperature,
// ErrCurves. Source: fritsch-butland-1984 for the OCV between its points.
func (c *Cell) At(t unit.Temperature, h Health, n int) (*Table, error) {
	if err := c.readable(t, h); err != nil {
		return nil, err
	}
	if n < 2 || n > TableMax {
		return nil, fmt.Errorf("%w: %d entries, accepted are 2 to %d", ErrTableSize, n, TableMax)
	}
	if err := c.Curves.Check(); err != nil {
		return nil, fmt.Errorf("cell %s: %w", c.ID, err)
	}
	ocv, err := num.NewCurve(c.Curves.OCV.SoC, c.Curves.OCV.Value)
	if err != nil {
		return nil, fmt.Errorf("%w: cell %s: open-circuit voltage: %w", ErrCurves, c.ID, err)
	}
	soc := num.Even(0, 1, n)
	k, growth := float64(t), float64(h.ResistanceGrowth)
	tb := &Table{
		Temperature: t,
		Capacity:    unit.Charge(float64(c.Capacity) * float64(h.CapacityShare)),
		OCV:         make([]float64, n),
		R0:          c.Curves.R0.over(k, n, growth),
		R1:          c.Curves.R1.over(k, n, growth), Tau1: c.Curves.Tau1.over(k, n, 1),
		R2: c.Curves.R2.over(k, n, growth), Tau2: c.Curves.Tau2.over(k, n, 1),
		DUDT: make([]float64, n),
	}
	for i, s := range soc {
		tb.OCV[i] = ocv.At(s)
		if i > 0 {
			// The cubic is monotone in exact arithmetic; rounding of one unit
			// in the last place on a plateau must not make the table fall.
			tb.OCV[i] = math.Max(tb.OCV[i], tb.OCV[i-1])
		}
		if len(c.Curves.DUDT.SoC) > 0 {
			tb.DUDT[i] = num.Linear(c.Curves.DUDT.SoC, c.Curves.DUDT.Value, s)
		}
	}
	if f := c.Curves.Fine; f != nil {
		tb.Fine = f.table(n)
		f.fill(tb.Fine, t, h)
	}
	return tb, nil
}

// Refill fills tb, which At made of the same cell, for another temperature and
// health: its resistances, time constants and capacity. What depends on neither,
// the voltage and its slope over temperature, stays; of the finer circuit the
// voltage follows the temperature too. It allocates nothing.
// Errors: ErrNoCurves, ErrHealth, ErrTemperature as in At; tb is then as before.
func (c *Cell) Refill(tb *Table, t unit.Temperature, h Health) error {
	if err := c.readable(t, h); err != nil {
		return err
	}
	k, growth := float64(t), float64(h.ResistanceGrowth)
	tb.Temperature, tb.Capacity = t, unit.Charge(float64(c.Capacity)*float64(h.CapacityShare))
	c.Curves.R0.fill(tb.R0, k, growth)
	c.Curves.R1.fill(tb.R1, k, growth)
	c.Curves.R2.fill(tb.R2, k, growth)
	c.Curves.Tau1.fill(tb.Tau1, k, 1)
	c.Curves.Tau2.fill(tb.Tau2, k, 1)
	if tb.Fine != nil {
		c.Curves.Fine.fill(tb.Fine, t, h)
	}
	return nil
}

// readable returns the error of At for a cell, temperature or health that
// cannot be read.
func (c *Cell) readable(t unit.Temperature, h Health) error {
	if c.Curves == nil {
		return fmt.Errorf("%w: %s", ErrNoCurves, c.ID)
	}
	return readableAt(t, h)
}

// readableAt is readable without the cell.
func readableAt(t unit.Temperature, h Health) error {
	switch {
	case !(h.CapacityShare > 0 && h.CapacityShare <= 1.2):
		return fmt.Errorf("%w: capacity share %g, accepted is above 0 to 1.2", ErrHealth, h.CapacityShare)
	case !(h.ResistanceGrowth >= 0.5 && h.ResistanceGrowth <= 100):
		return fmt.Errorf("%w: resistance growth %g, accepted is 0.5 to 100", ErrHealth, h.ResistanceGrowth)
	case !(t > 0) || math.IsInf(float64(t), 0):
		return fmt.Errorf("%w: %g K, accepted is above 0 K", ErrTemperature, float64(t))
	}
	return nil
}

// over reads the surface at one temperature on n even charges, see fill.
func (s Surface) over(temperature float64, n int, factor float64) []float64 {
	out := make([]float64, n)
	s.fill(out, temperature, factor)
	return out
}

// fill writes the surface at one temperature, times factor, on evenly spaced
// charges 0…1 to out; a surface without values gives zeros.
func (s Surface) fill(out []float64, temperature, factor float64) {
	if len(s.Value) == 0 {
		clear(out)
		return
	}
	g := num.Grid{Row: s.Temperature, Col: s.SoC, Value: s.Value}
	for i := range out {
		out[i] = factor * g.At(temperature, float64(i)/float64(len(out)-1))
	}
}

// OCVIntegral returns, for each entry of the table, the energy in J that lies
// below that charge: ∫ OCV dq from empty. It is exact for the table read
// linearly (trapezoids over pieces of Capacity/(n−1)); between entries
// i and i+1, at share s of the piece, it is
//
//	W_i + Δq·(s·OCV_i + s²·(OCV_{i+1} − OCV_i)/2), Δq = Capacity/(n−1).
func (t *Table) OCVIntegral() []float64 {
	out := make([]float64, len(t.OCV))
	dq := float64(t.Capacity) / float64(len(t.OCV)-1)
	for i := 1; i < len(out); i++ {
		out[i] = out[i-1] + dq*(t.OCV[i-1]+t.OCV[i])/2
	}
	return out
}

// Energy returns the open-circuit energy between two charges 0…1 of the table,
// negative if to is above from: what a discharge from from to to gives without
// loss.
func (t *Table) Energy(from, to unit.Ratio) unit.Energy {
	w := t.OCVIntegral()
	return unit.Energy(t.below(w, float64(from)) - t.below(w, float64(to)))
}

func (t *Table) below(w []float64, soc float64) float64 {
	n := len(t.OCV) - 1
	p := math.Min(math.Max(soc, 0), 1) * float64(n)
	i := min(int(p), n-1)
	s := p - float64(i)
	return w[i] + float64(t.Capacity)/float64(n)*(s*t.OCV[i]+s*s*(t.OCV[i+1]-t.OCV[i])/2)
}
