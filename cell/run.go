package cell

import (
	"fmt"
	"math"

	"packyard/internal/num"
	"packyard/unit"
)

// Run follows one new cell through a current that is given from outside, at a
// temperature and charge that are given too: the finer circuit where the curves
// have one, else R0 and two pairs. It keeps the voltages of the pairs. Not for
// hot loops: tables are read anew at every step.
type Run struct {
	cell *Cell
	ocv  *num.Curve // of the two-pair circuit
	v    []float64  // V over each pair
}

// Moment is what a step of a Run ends with.
type Moment struct {
	Voltage unit.Voltage // at the terminals, with the current of the step still flowing
	OCV     unit.Voltage // of the charge at the end of the step
}

// NewRun returns a rested cell. Errors: ErrNoCurves, ErrCurves.
func (c *Cell) NewRun() (*Run, error) {
	if c.Curves == nil {
		return nil, fmt.Errorf("%w: %s", ErrNoCurves, c.ID)
	}
	if err := c.Curves.Check(); err != nil {
		return nil, fmt.Errorf("cell %s: %w", c.ID, err)
	}
	if n := c.Curves.Fine; n != nil {
		return &Run{cell: c, v: make([]float64, len(n.R))}, nil
	}
	ocv, err := num.NewCurve(c.Curves.OCV.SoC, c.Curves.OCV.Value)
	if err != nil {
		return nil, fmt.Errorf("%w: cell %s: open-circuit voltage: %w", ErrCurves, c.ID, err)
	}
	return &Run{cell: c, ocv: ocv, v: make([]float64, 2)}, nil
}

// Capacity returns what charge 0…1 spans: that of the network, else the rated one.
func (r *Run) Capacity() unit.Charge {
	if n := r.cell.Curves.Fine; n != nil {
		return n.Capacity
	}
	return r.cell.Capacity
}

// Step holds a current for a time and ends at a charge and temperature; a time
// of zero reads the voltage without relaxing. Panics if the time is negative.
func (r *Run) Step(i unit.Current, d unit.Time, charge unit.Ratio, t unit.Temperature) Moment {
	if d < 0 {
		panic("cell: a step of a run lasts no negative time")
	}
	if n := r.cell.Curves.Fine; n != nil {
		return r.fine(n, float64(i), float64(d), float64(charge), n.between(float64(t)))
	}
	c, k, s := r.cell.Curves, float64(t), float64(charge)
	m := Moment{OCV: unit.Voltage(r.ocv.At(s))}
	drop := float64(i) * c.R0.at(k, s)
	for j, p := range [2]struct{ r, tau Surface }{{c.R1, c.Tau1}, {c.R2, c.Tau2}} {
		if len(p.r.Value) > 0 {
			r.relax(j, float64(i)*p.r.at(k, s), float64(d)/p.tau.at(k, s))
			drop += r.v[j]
		}
	}
	m.Voltage = m.OCV - unit.Voltage(drop)
	return m
}

func (r *Run) fine(n *Network, i, d, s float64, w rowPair) Moment {
	j, f := num.Cell(n.SoC, s)
	m := Moment{OCV: unit.Voltage(w.linear(n.OCV, j, f))}
	drop := i * w.log(n.R0, j, f)
	for k := range n.R {
		end := i * w.log(n.R[k], j, f)
		if k == 0 {
			end *= float64(CurrentShare(unit.Current(i), unit.Current(n.knee(w))))
		}
		r.relax(k, end, d/n.Tau[k])
		drop += r.v[k]
	}
	m.Voltage = m.OCV - unit.Voltage(drop)
	return m
}

// relax moves pair k towards its end voltage over a time in time constants.
func (r *Run) relax(k int, end, x float64) {
	r.v[k] = end + (r.v[k]-end)*math.Exp(-x)
}
