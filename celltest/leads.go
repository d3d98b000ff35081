package celltest

import (
	"math"

	"packyard/unit"
)

const (
	suddenLongest = 5.0 // s, interval over which a change counts as sudden
	suddenDrop    = 0.5 // V at once at the one-hour current, which no cell in working order shows: the class values of cells are 0.02 to 0.16 V (cell-test-sets)
)

// Sudden returns the resistance by which the voltage jumps when the current is
// turned on or off, the median of all such changes within a few seconds, and
// their number. It holds the leads between the points where current and voltage
// are taken.
//
//	R = |ΔV/ΔI|
//
// Source: common practice.
func (l *Log) Sudden() (unit.Resistance, int) {
	o := StepOptions{}.filled(l)
	var r []float64
	for k := 1; k < l.Len(); k++ {
		a, b := l.Current[k-1], l.Current[k]
		if (o.kind(a) == Rest) != (o.kind(b) == Rest) && l.Time[k]-l.Time[k-1] <= suddenLongest {
			r = append(r, math.Abs((l.Voltage[k]-l.Voltage[k-1])/(b-a)))
		}
	}
	if len(r) == 0 {
		return 0, 0
	}
	return unit.Resistance(median(r)), len(r)
}

// leads tells a slow test whose voltage holds the drop over leads.
func (l *Log) leads(p *SlowPair) []Fault {
	r, n := l.Sudden()
	hour := math.Max(p.Out.AmpereHours(), p.Back.AmpereHours()) // A for one hour
	if n == 0 || float64(r)*hour <= suddenDrop {
		return nil
	}
	f := faults{file: l.Name}
	drop := float64(r) * float64(p.Rate)
	f.tell(FaultLeads, "voltage", l.line(p.Start), "take the voltage at the cell itself; the charge is good, the voltage is no open-circuit curve",
		"turning the current on or off moves the voltage at once by %.3g mΩ, %.2g V at the current of one hour, which no cell shows: leads of about that resistance are in the voltage, and the end of the discharge at %.2f V was %.2f V at the cell",
		r.Milliohms(), float64(r)*hour, l.Voltage[p.End], l.Voltage[p.End]+drop)
	return f.list
}
