package celltest

import (
	"fmt"
	"math"
	"slices"

	"packyard/cell"
	"packyard/internal/num"
	"packyard/unit"
)

// RestPoint is the end of a rest.
type RestPoint struct {
	Row      int          // the last one of the rest
	Given    unit.Charge  // given out since the start of the log
	Voltage  unit.Voltage // of that row
	Duration unit.Time    // of the rest
	Drift    unit.Voltage // by which the voltage moved in the last quarter of the rest
	After    StepKind     // what came before the rest
}

// restDrift is the drift in the last quarter of a rest from which it is told.
const restDrift = 2 * unit.Millivolt

// Rests returns the ends of all rests of a least duration, and tells those that
// had not come to rest. A hole does not end a rest.
func (l *Log) Rests(least unit.Time) ([]RestPoint, []Fault) {
	var out []RestPoint
	f := faults{file: l.Name}
	given := l.given()
	steps := l.Steps(StepOptions{})
	for i, s := range steps {
		if s.Kind != Rest || s.Duration < least {
			continue
		}
		p := RestPoint{Row: s.Last, Given: unit.Charge(given[s.Last]), Voltage: s.VoltageEnd, Duration: s.Duration, After: Rest}
		if i > 0 {
			p.After = steps[i-1].Kind
		}
		from := s.Last
		for from > s.First && l.Time[s.Last]-l.Time[from-1] <= float64(s.Duration)/4 {
			from--
		}
		if p.After != Rest {
			p.Drift = unit.Voltage(l.Voltage[s.Last] - l.Voltage[from])
		}
		if math.Abs(float64(p.Drift)) > float64(restDrift) {
			f.tell(FaultRelaxing, "voltage", l.line(s.Last), "rest longer", "after %.0f s of rest the voltage still moves by %.1f mV in the last quarter", float64(p.Duration), p.Drift.Millivolts())
		}
		out = append(out, p)
	}
	return out, f.list
}

// RestCurve makes an open-circuit curve of rests: charge = start − given
// out/capacity, of rests at the same charge (within a thousandth) the last one. The
// voltage is made non-decreasing by the isotonic fit; a fall is told, with the
// change it took. The curve spans the charges of the rests only.
//
// Errors: ErrSeries for fewer than two charges or a capacity not above zero.
// Source: barlow-1972.
func RestCurve(points []RestPoint, capacity unit.Charge, start unit.Ratio) (cell.Line, []Fault, error) {
	if !(capacity > 0) || len(points) < 2 {
		return cell.Line{}, nil, fmt.Errorf("%w: %d rests over %g Ah, wanted are two over a capacity above zero", ErrSeries, len(points), capacity.AmpereHours())
	}
	at := func(p RestPoint) float64 { return float64(start) - float64(p.Given/capacity) }
	sorted := slices.Clone(points)
	slices.SortStableFunc(sorted, func(a, b RestPoint) int {
		if at(a) < at(b) {
			return -1
		}
		if at(a) > at(b) {
			return 1
		}
		return a.Row - b.Row
	})
	var c cell.Line
	var row []int
	for _, p := range sorted {
		if n := len(c.SoC); n > 0 && at(p)-c.SoC[n-1] < 1e-3 {
			if p.Row > row[n-1] {
				c.Value[n-1], row[n-1] = float64(p.Voltage), p.Row
			}
			continue
		}
		c.SoC, c.Value, row = append(c.SoC, at(p)), append(c.Value, float64(p.Voltage)), append(row, p.Row)
	}
	if len(c.SoC) < 2 {
		return cell.Line{}, nil, fmt.Errorf("%w: all rests are at one charge", ErrSeries)
	}
	return rising(c)
}

// rising makes a curve non-decreasing and tells what that took.
func rising(c cell.Line) (cell.Line, []Fault, error) {
	z, change, err := num.Isotonic(c.Value, nil)
	if err != nil {
		return cell.Line{}, nil, fmt.Errorf("%w: %w", ErrSeries, err)
	}
	var f faults
	if change > 0 {
		for i := 1; i < len(z); i++ {
			if c.Value[i] < c.Value[i-1] {
				f.tell(FaultFalling, "voltage", 0, "", "from charge %.3f to %.3f the rest voltage falls by %.2g mV; made level, by %.2g mV at most", c.SoC[i-1], c.SoC[i], 1e3*(c.Value[i-1]-c.Value[i]), 1e3*change)
			}
		}
	}
	c.Value = z
	return c, f.list, nil
}

// Rising makes a measured curve of voltage over charge non-decreasing by the
// isotonic fit and tells where it fell. Errors: ErrSeries for values that are not
// finite. Source: barlow-1972.
func Rising(c cell.Line) (cell.Line, []Fault, error) { return rising(c) }

// Witness compares a slow discharge with rests of the same cell, both over
// charge given out: a loaded voltage above the rested one cannot be, so that one
// of the two charges is wrong. It tells where that is so.
func (l *Log) Witness(rests []RestPoint) []Fault {
	f := faults{file: l.Name}
	p, err := NewSlowPair(l)
	if err != nil {
		return nil
	}
	given := l.given()
	begin := given[max(p.Start-1, 0)]
	var out, volt []float64
	for k := p.Start; k <= p.End; k++ {
		if n := len(out); n == 0 || given[k]-begin > out[n-1] {
			out, volt = append(out, given[k]-begin), append(volt, l.Voltage[k])
		}
	}
	for _, r := range rests {
		q := float64(r.Given)
		if q < out[0] || q > out[len(out)-1] {
			continue
		}
		if v := num.Linear(out, volt, q); v > float64(r.Voltage) {
			f.tell(FaultWitness, "current", l.line(p.Start), "look for an offset of the current", "at %.2f Ah out the loaded voltage is %.3f V, above the %.3f V to which another test of this cell came to rest there", r.Given.AmpereHours(), v, r.Voltage.Volts())
		}
	}
	return f.list
}
