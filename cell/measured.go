package cell

import (
	"errors"
	"fmt"
	"slices"

	"packyard/internal/num"
	"packyard/unit"
)

// ErrMeasured says that measured curves cannot stand for those of a cell.
var ErrMeasured = errors.New("measured curves cannot be used")

// MeasuredPoint is R0 and two RC pairs at one temperature and charge.
type MeasuredPoint struct {
	Temperature unit.Temperature
	Charge      unit.Ratio // of the own capacity
	R0, R1, R2  unit.Resistance
	Tau1, Tau2  unit.Time
}

// Measured are the curves of a cell as its own tests show them.
type Measured struct {
	Points []MeasuredPoint // sorted by temperature, then charge, each pair once; empty: not measured
	OCV    Line            // from charge 0 to 1; empty: not measured
	Growth unit.Ratio      // resistance of what was measured over that of a new one, above 0
}

// measuredLeast is how many charges a temperature needs, and measuredSpan what
// they must span, so that a curve can be laid through them (common practice:
// pulses at every tenth of the charge).
const (
	measuredLeast = 3
	measuredSpan  = 0.4
)

// WithMeasured returns a copy of the cell with measured curves in the place of
// its own. Resistances are divided by Growth, since tables multiply them by the
// growth of the cells at hand; over temperature they are extended as those of
// the chemistry are. What was not measured stays as it is. Errors: ErrMeasured,
// for a cell without curves or points that no curve goes through.
func (c *Cell) WithMeasured(m Measured) (*Cell, error) {
	if c.Curves == nil {
		return nil, fmt.Errorf("%w: nothing is known of the curves of %s that were not measured", ErrMeasured, c.ID)
	}
	if !(m.Growth > 0) {
		return nil, fmt.Errorf("%w: resistance growth %g, accepted is above 0", ErrMeasured, float64(m.Growth))
	}
	out, cv := *c, *c.Curves
	cv.Facts = slices.Clone(cv.Facts)
	cv.Fine = nil
	if len(m.OCV.SoC) > 0 {
		if err := cv.measuredOCV(m.OCV); err != nil {
			return nil, err
		}
	}
	if len(m.Points) > 0 {
		p, err := m.table()
		if err != nil {
			return nil, err
		}
		ratio, err := ratios()
		if err != nil {
			return nil, err
		}
		p.surfaces(&cv, ratio)
		cv.fact("resistance")
	}
	cv.Generic = len(m.OCV.SoC) == 0 && cv.Generic
	if err := cv.Check(); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrMeasured, err)
	}
	out.Curves = &cv
	out.Facts = slices.DeleteFunc(slices.Clone(c.Facts), func(f Fact) bool { return slices.Contains(c.Curves.Facts, f) })
	out.Facts = append(out.Facts, cv.Facts...)
	return &out, nil
}

func (c *Curves) measuredOCV(l Line) error {
	n := len(l.SoC)
	if n < 2 || len(l.Value) != n || l.SoC[0] != 0 || l.SoC[n-1] != 1 || num.StrictlyIncreasing(l.SoC) != nil {
		return fmt.Errorf("%w: the open-circuit voltage must rise from charge 0 to 1", ErrMeasured)
	}
	value, change, err := num.Isotonic(l.Value, nil)
	if err != nil {
		return fmt.Errorf("%w: %w", ErrMeasured, err)
	}
	c.OCV, c.OCVChange, c.Source = Line{slices.Clone(l.SoC), value}, unit.Voltage(change), "bench"
	c.fact("open-circuit voltage")
	return nil
}

// fact says that a curve was measured.
func (c *Curves) fact(field string) {
	for i := range c.Facts {
		if c.Facts[i].Field == field {
			c.Facts[i] = Fact{field, "bench", "measured"}
		}
	}
}

// Check returns why no curve goes through the points. Errors: ErrMeasured.
func (m *Measured) Check() error {
	_, err := m.table()
	return err
}

// table turns the points into the form of the built-in pulse tables.
func (m *Measured) table() (pulseTable, error) {
	p := pulseTable{source: "bench"}
	for i, x := range m.Points {
		k := len(p.temperature) - 1
		if k < 0 || p.temperature[k] != float64(x.Temperature) {
			p.temperature = append(p.temperature, float64(x.Temperature))
			p.soc = append(p.soc, nil)
			for j := range p.r {
				p.r[j] = append(p.r[j], nil)
			}
			k++
		}
		if !(x.R0 > 0 && x.R1 > 0 && x.R2 > 0 && x.Tau1 > 0 && x.Tau2 > x.Tau1) {
			return p, fmt.Errorf("%w: point %d: resistances above zero and rising time constants are accepted", ErrMeasured, i+1)
		}
		p.soc[k] = append(p.soc[k], float64(x.Charge))
		for j, r := range []unit.Resistance{x.R0, x.R1, x.R2} {
			p.r[j][k] = append(p.r[j][k], float64(r/unit.Resistance(m.Growth)))
		}
	}
	if err := num.StrictlyIncreasing(p.temperature); err != nil {
		return p, fmt.Errorf("%w: temperature: %w", ErrMeasured, err)
	}
	for k, soc := range p.soc {
		if err := num.StrictlyIncreasing(soc); err != nil {
			return p, fmt.Errorf("%w: charge: %w", ErrMeasured, err)
		}
		if len(soc) < measuredLeast || soc[len(soc)-1]-soc[0] < measuredSpan {
			return p, fmt.Errorf("%w: %d charges at %g °C: at least %d over %g of the capacity are accepted", ErrMeasured, len(soc),
				unit.Temperature(p.temperature[k]).Celsius(), measuredLeast, measuredSpan)
		}
	}
	p.times(m.Points)
	return p, nil
}

// times sets one time constant of each pair for each temperature: the median
// over charge, as in the built-in tables.
func (p *pulseTable) times(points []MeasuredPoint) {
	for _, t := range p.temperature {
		var tau [2][]float64
		for _, x := range points {
			if float64(x.Temperature) == t {
				tau[0], tau[1] = append(tau[0], float64(x.Tau1)), append(tau[1], float64(x.Tau2))
			}
		}
		for j := range tau {
			slices.Sort(tau[j])
			p.tau[j] = append(p.tau[j], tau[j][len(tau[j])/2])
		}
	}
}
