package cell

import (
	"fmt"
	"math"

	"packyard/internal/num"
	"packyard/unit"
)

// PulseResistance returns the resistance that a pulse of constant current sees
// after time t from rest, at one temperature and charge 0…1, the fall of the
// OCV by the charge of the pulse not counted:
//
//	R(t) = R0 + R1·(1 − e^(−t/τ1)) + R2·(1 − e^(−t/τ2))
//
// Errors: ErrCurves, ErrTemperature; a charge outside 0…1 reads the end.
func (c *Curves) PulseResistance(temperature unit.Temperature, charge unit.Ratio, t unit.Time) (unit.Resistance, error) {
	if err := c.Check(); err != nil {
		return 0, err
	}
	k, s, dt := float64(temperature), float64(charge), float64(t)
	if err := num.Finite(k, s, dt); err != nil || k <= 0 || dt < 0 {
		return 0, fmt.Errorf("%w: %g K, time %g s, wanted are above 0 K and not below 0 s", ErrTemperature, k, dt)
	}
	r := c.R0.at(k, s)
	for _, p := range [2]struct{ r, tau Surface }{{c.R1, c.Tau1}, {c.R2, c.Tau2}} {
		if len(p.r.Value) > 0 {
			r -= p.r.at(k, s) * math.Expm1(-dt/p.tau.at(k, s))
		}
	}
	return unit.Resistance(r), nil
}

func (s Surface) at(temperature, charge float64) float64 {
	return num.Grid{Row: s.Temperature, Col: s.SoC, Value: s.Value}.At(temperature, charge)
}
