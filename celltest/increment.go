package celltest

import (
	"fmt"
	"math"

	"packyard/cell"
	"packyard/internal/num"
	"packyard/unit"
)

// Increment is a derivative of a branch of a slow test.
type Increment struct {
	At    []float64 // V for IncrementalCapacity, 0…1 of charge for DifferentialVoltage
	Value []float64 // A·s/V for IncrementalCapacity, V for DifferentialVoltage (per whole capacity)
}

// incrementMost bounds the points of a derivative.
const incrementMost = 100_000

// IncrementalCapacity returns dQ/dV of a branch at n evenly spaced voltages from
// its lowest to its highest, smoothed by a window of stated width w:
//
//	dQ/dV(V) = (q(V + w/2) − q(V − w/2))/w
//
// with q the charge up to a voltage, after the voltage was made non-decreasing.
// That is the mean over the window, so that the area under the curve is the
// charge whatever the window. Peaks are where an electrode changes phase.
//
// Errors: ErrSeries for a branch of fewer than two rows, a window or capacity
// not above zero, or n outside 2 to 100 000. Source: dubarry-2012.
func IncrementalCapacity(b cell.Line, capacity unit.Charge, w unit.Voltage, n int) (Increment, error) {
	if len(b.SoC) < 2 || !(w > 0) || !(capacity > 0) || n < 2 || n > incrementMost {
		return Increment{}, fmt.Errorf("%w: a derivative of %d rows over a window of %g V at %d points", ErrSeries, len(b.SoC), float64(w), n)
	}
	z, _, err := num.Isotonic(b.Value, nil)
	if err != nil {
		return Increment{}, fmt.Errorf("%w: %w", ErrSeries, err)
	}
	out := Increment{At: num.Even(z[0]-float64(w)/2, z[len(z)-1]+float64(w)/2, n), Value: make([]float64, n)}
	for i, v := range out.At {
		share := chargeUpTo(b.SoC, z, v+float64(w)/2) - chargeUpTo(b.SoC, z, v-float64(w)/2)
		out.Value[i] = share * float64(capacity) / float64(w)
	}
	return out, nil
}

// chargeUpTo is the charge at a voltage on a non-decreasing branch; of a level
// stretch its middle.
func chargeUpTo(soc, volt []float64, v float64) float64 {
	last := len(volt) - 1
	switch {
	case v < volt[0]:
		return soc[0]
	case v > volt[last]:
		return soc[last]
	}
	lo, hi := 0, last // first row at or above v, last row at or below
	for a, b := 0, last; a < b; {
		if m := (a + b) / 2; volt[m] < v {
			a = m + 1
			lo = a
		} else {
			b = m
		}
	}
	for a, b := 0, last; a < b; {
		if m := (a + b + 1) / 2; volt[m] > v {
			b = m - 1
			hi = b
		} else {
			a = m
		}
	}
	if volt[lo] == v || lo == 0 {
		return (soc[lo] + soc[max(lo, hi)]) / 2
	}
	f := (v - volt[lo-1]) / (volt[lo] - volt[lo-1])
	return soc[lo-1] + f*(soc[lo]-soc[lo-1])
}

// DifferentialVoltage returns dV/ds of a branch at n evenly spaced charges,
// smoothed by a window of width w of charge:
//
//	dV/ds(s) = (V(s + w/2) − V(s − w/2))/w
//
// V holds its end value beyond the branch. Its distances between peaks are shares
// of one electrode's capacity.
//
// Errors: as IncrementalCapacity. Source: bloom-2005.
func DifferentialVoltage(b cell.Line, w unit.Ratio, n int) (Increment, error) {
	if len(b.SoC) < 2 || !(w > 0 && w < 1) || n < 2 || n > incrementMost {
		return Increment{}, fmt.Errorf("%w: a derivative of %d rows over a window of %g of charge at %d points", ErrSeries, len(b.SoC), float64(w), n)
	}
	if err := num.StrictlyIncreasing(b.SoC); err != nil {
		return Increment{}, fmt.Errorf("%w: charge: %w", ErrSeries, err)
	}
	half := float64(w) / 2
	out := Increment{At: num.Even(b.SoC[0]+half, b.SoC[len(b.SoC)-1]-half, n), Value: make([]float64, n)}
	for i, s := range out.At {
		out.Value[i] = (num.Linear(b.SoC, b.Value, s+half) - num.Linear(b.SoC, b.Value, s-half)) / float64(w)
	}
	return out, nil
}

// Peak is a local maximum of a derivative.
type Peak struct {
	At    float64 // in the SI unit of Increment.At
	Value float64 // in the SI unit of Increment.Value
}

// Peaks returns the local maxima that stand out by a share of the highest value
// above the higher of the two valleys beside them, in order.
func (x Increment) Peaks(share unit.Ratio) []Peak {
	most := math.Inf(-1)
	for _, v := range x.Value {
		most = math.Max(most, v)
	}
	var out []Peak
	for i := 1; i < len(x.Value)-1; i++ {
		v := x.Value[i]
		if v < x.Value[i-1] || v <= x.Value[i+1] {
			continue
		}
		if v-math.Max(x.valley(i, -1), x.valley(i, 1)) >= float64(share)*most {
			out = append(out, Peak{x.At[i], v})
		}
	}
	return out
}

// valley is the lowest value from i in a direction before a higher one than that at i.
func (x Increment) valley(i, step int) float64 {
	low := x.Value[i]
	for k := i + step; k >= 0 && k < len(x.Value); k += step {
		if x.Value[k] > x.Value[i] {
			return low
		}
		low = math.Min(low, x.Value[k])
	}
	return low
}
