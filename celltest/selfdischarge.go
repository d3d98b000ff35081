package celltest

import (
	"fmt"
	"math"

	"packyard/cell"
	"packyard/internal/num"
	"packyard/unit"
)

// SelfDischargeMethod and SelfDischargeVersion name the analysis in results.
const (
	SelfDischargeMethod  = "self-discharge by two rests"
	SelfDischargeVersion = 1
)

// RestReading is one reading of a rested, disconnected cell.
type RestReading struct {
	Time    unit.Time // on any clock, the same for both readings
	Voltage unit.Voltage
}

// SelfDischarge is what a cell lost between two readings.
type SelfDischarge struct {
	Charge    unit.Charge  // lost
	Current   unit.Current // mean
	PerMonth  unit.Ratio   // share of the capacity in 30 days
	Deviation unit.Ratio   // of PerMonth, one standard deviation, from that of the readings
	Known     bool         // the loss is above twice its deviation
}

// MeasureSelfDischarge reads the charge of a cell from its open-circuit curve at
// two rests and divides by the time between:
//
//	s = OCV⁻¹(V),  I = (s₁ − s₂)·Q/(t₂ − t₁),  σ_s = √2·σ_V/(dOCV/ds)
//
// The temperature must be the same at both, and the first reading late enough
// after the last current that relaxation is over. Where the curve is flat the
// deviation says that the readings say nothing.
//
// Errors: ErrSeries for times in the wrong order, a voltage outside the curve, a
// capacity or deviation not above zero. Source: common practice.
func MeasureSelfDischarge(first, second RestReading, ocv cell.Line, capacity unit.Charge, deviation unit.Voltage) (SelfDischarge, error) {
	dt := float64(second.Time - first.Time)
	if !(dt > 0) || !(capacity > 0) || !(deviation > 0) {
		return SelfDischarge{}, fmt.Errorf("%w: %g s between the readings, %g Ah, readings to %g mV: all must be above zero", ErrSeries, dt, capacity.AmpereHours(), deviation.Millivolts())
	}
	c, err := num.NewCurve(ocv.SoC, ocv.Value)
	if err != nil || !num.NonDecreasing(ocv.Value) {
		return SelfDischarge{}, fmt.Errorf("%w: the open-circuit curve must not fall over rising charge", ErrSeries)
	}
	a, err := chargeAt(c, ocv, float64(first.Voltage))
	if err != nil {
		return SelfDischarge{}, err
	}
	b, err := chargeAt(c, ocv, float64(second.Voltage))
	if err != nil {
		return SelfDischarge{}, err
	}
	const month = 30 * 24 * 3600.0
	out := SelfDischarge{Charge: unit.Charge((a - b) * float64(capacity)), PerMonth: unit.Ratio((a - b) * month / dt)}
	out.Current = unit.Current(float64(out.Charge) / dt)
	out.Deviation = unit.Ratio(math.Min(math.Sqrt2*spread(c, ocv, (a+b)/2, float64(deviation)), 1) * month / dt)
	out.Known = out.PerMonth > 2*out.Deviation
	return out, nil
}

// chargeAt inverts a non-decreasing curve by halving; of a level stretch it gives
// one charge within.
func chargeAt(c *num.Curve, l cell.Line, v float64) (float64, error) {
	lo, hi := l.SoC[0], l.SoC[len(l.SoC)-1]
	if !(v >= l.Value[0] && v <= l.Value[len(l.Value)-1]) {
		return 0, fmt.Errorf("%w: %.4f V is outside the open-circuit curve, which goes from %.4f to %.4f V", ErrSeries, v, l.Value[0], l.Value[len(l.Value)-1])
	}
	for range 60 { // halves the charge to below 1e-18
		if m := (lo + hi) / 2; c.At(m) < v {
			lo = m
		} else {
			hi = m
		}
	}
	return (lo + hi) / 2, nil
}

// spread is the charge by which a reading off by dv is off: half of what lies
// between the charges at which the curve is dv lower and dv higher.
func spread(c *num.Curve, l cell.Line, s, dv float64) float64 {
	v := c.At(s)
	last := len(l.Value) - 1
	lo, _ := chargeAt(c, l, math.Max(v-dv, l.Value[0]))
	hi, _ := chargeAt(c, l, math.Min(v+dv, l.Value[last]))
	return math.Max(hi-lo, 0) / 2
}
