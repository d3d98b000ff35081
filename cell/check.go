package cell

import (
	"fmt"

	"packyard/internal/num"
)

// Check returns ErrCurves, saying which curve and why, unless the OCV rises or
// stays over a strictly increasing charge from 0 to 1, every surface is a full
// grid over charge and temperature, R0 is present and above zero, and each RC
// pair has both resistance (not negative) and time constant (above zero), and
// the finer circuit, where there is one, is well formed too.
func (c *Curves) Check() error {
	if err := c.OCV.check("open-circuit voltage"); err != nil {
		return err
	}
	if !num.NonDecreasing(c.OCV.Value) {
		return fmt.Errorf("%w: open-circuit voltage falls with charge; run the isotonic fit first", ErrCurves)
	}
	if len(c.DUDT.SoC) > 0 || len(c.DUDT.Value) > 0 {
		if err := c.DUDT.check("entropic coefficient"); err != nil {
			return err
		}
	}
	if err := c.R0.check("R0", false); err != nil {
		return err
	}
	for _, p := range []struct {
		name   string
		r, tau Surface
	}{{"1", c.R1, c.Tau1}, {"2", c.R2, c.Tau2}} {
		if len(p.r.Value) == 0 && len(p.tau.Value) == 0 {
			continue
		}
		if err := p.r.check("R"+p.name, true); err != nil {
			return err
		}
		if err := p.tau.check("tau"+p.name, false); err != nil {
			return err
		}
	}
	if c.Fine != nil {
		return c.Fine.Check()
	}
	return nil
}

func (l Line) check(name string) error {
	if len(l.SoC) < 2 || len(l.SoC) != len(l.Value) {
		return fmt.Errorf("%w: %s has %d charges and %d values", ErrCurves, name, len(l.SoC), len(l.Value))
	}
	if err := num.StrictlyIncreasing(l.SoC); err != nil {
		return fmt.Errorf("%w: %s: charge: %w", ErrCurves, name, err)
	}
	if l.SoC[0] != 0 || l.SoC[len(l.SoC)-1] != 1 {
		return fmt.Errorf("%w: %s runs from charge %g to %g, wanted is 0 to 1", ErrCurves, name, l.SoC[0], l.SoC[len(l.SoC)-1])
	}
	if err := num.Finite(l.Value...); err != nil {
		return fmt.Errorf("%w: %s: %w", ErrCurves, name, err)
	}
	return nil
}

func (s Surface) check(name string, zeroAllowed bool) error {
	g := num.Grid{Row: s.Temperature, Col: s.SoC, Value: s.Value}
	if err := g.Check(); err != nil {
		return fmt.Errorf("%w: %s: %w", ErrCurves, name, err)
	}
	if s.Temperature[0] <= 0 {
		return fmt.Errorf("%w: %s: temperature %g K is not above zero", ErrCurves, name, s.Temperature[0])
	}
	for i, row := range s.Value {
		for j, v := range row {
			if v < 0 || (v == 0 && !zeroAllowed) {
				return fmt.Errorf("%w: %s is %g at %g K and charge %g", ErrCurves, name, v, s.Temperature[i], s.SoC[j])
			}
		}
	}
	return nil
}
