package celltest

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"packyard/cell"
	"packyard/internal/num"
	"packyard/unit"
)

// ErrNoSlow says that a log holds no slow discharge with a slow charge.
var ErrNoSlow = errors.New("no slow discharge with a slow charge after it")

// SlowPair is a slow discharge and a slow charge, each over the share of its own
// throughput: charge 0 where the discharge ended and the charge began.
type SlowPair struct {
	Discharge, Charge cell.Line    // V, all rows of each
	Out, Back         unit.Charge  // throughput of each
	EnergyOut         unit.Energy  //
	EnergyBack        unit.Energy  //
	Rate              unit.Current // of the discharge
	Gap               unit.Voltage // charge above discharge branch, mean from 0.1 to 0.9
	Start, End        int          // rows of the discharge
	Faults            []Fault
}

// closingShare is the difference of the throughputs, as a share of the larger,
// from which it is told. A cell of today gives back more than 0.99 of a slow
// charge (from memory).
const closingShare = 0.01

// NewSlowPair takes the discharge and the charge of most throughput in a log.
// Each branch is scaled to its own throughput, since an offset of the current
// reading stretches the one and shrinks the other; a difference is told.
// Errors: ErrNoSlow, ErrSeries.
func NewSlowPair(l *Log) (*SlowPair, error) {
	if l.Len() < 2 {
		return nil, fmt.Errorf("%w: %s has %d rows", ErrSeries, l.Name, l.Len())
	}
	var out, back *Step
	steps := l.Steps(StepOptions{})
	for i := range steps {
		s := &steps[i]
		if s.Kind == Discharge && (out == nil || s.Charge > out.Charge) {
			out = s
		}
		if s.Kind == Charge && (back == nil || s.Charge < back.Charge) {
			back = s
		}
	}
	if out == nil || back == nil || out.Charge <= 0 || back.Charge >= 0 {
		return nil, fmt.Errorf("%w: %s", ErrNoSlow, l.Name)
	}
	p := &SlowPair{Out: out.Charge, Back: -back.Charge, EnergyOut: out.Energy, EnergyBack: -back.Energy, Rate: out.Current, Start: out.First, End: out.Last}
	p.Discharge, p.Charge = l.branch(*out), l.branch(*back)
	n := 0
	for s := 0.1; s < 0.905; s += 0.05 {
		p.Gap += unit.Voltage(num.Linear(p.Charge.SoC, p.Charge.Value, s) - num.Linear(p.Discharge.SoC, p.Discharge.Value, s))
		n++
	}
	p.Gap /= unit.Voltage(n)
	f := faults{file: l.Name}
	if d := math.Abs(float64(p.Out - p.Back)); d > closingShare*math.Max(float64(p.Out), float64(p.Back)) {
		f.tell(FaultClosing, "current", l.line(out.First), "take neither for the capacity; the branches are scaled to their own throughput",
			"%.4g Ah came out and %.4g Ah went back, %.2g %% apart: no cell loses that in a cycle; an offset of %.2g A in the current would explain it",
			p.Out.AmpereHours(), p.Back.AmpereHours(), 100*d/math.Max(float64(p.Out), float64(p.Back)), p.offset(*out, *back))
	}
	p.Faults = append(f.list, l.leads(p)...)
	return p, nil
}

// offset is the error of the current that would make both throughputs alike.
func (p *SlowPair) offset(out, back Step) float64 {
	return float64(p.Out-p.Back) / float64(out.Duration+back.Duration)
}

// branch is the voltage of a step over the share of its throughput, charge rising.
func (l *Log) branch(s Step) cell.Line {
	var b cell.Line
	given := 0.0
	total := math.Abs(float64(s.Charge))
	for k := s.First; k <= s.Last; k++ {
		if k > 0 {
			if l.Charge != nil {
				given += math.Abs(l.Charge[k] - l.Charge[k-1])
			} else {
				q, _ := l.flow(k)
				given += math.Abs(q)
			}
		}
		soc := math.Min(given/total, 1)
		if s.Kind == Discharge {
			soc = 1 - soc
		}
		if n := len(b.SoC); n > 0 && b.SoC[n-1] == soc {
			b.Value[n-1] = l.Voltage[k]
			continue
		}
		b.SoC, b.Value = append(b.SoC, soc), append(b.Value, l.Voltage[k])
	}
	if s.Kind == Discharge {
		slices.Reverse(b.SoC)
		slices.Reverse(b.Value)
	}
	return b
}

// OCV returns the mean of the two branches on n evenly spaced charges, made
// non-decreasing, with the largest change that took. The mean of the branches is
// the open-circuit voltage as far as their overvoltages are alike; half of the
// gap is what is not known. Errors: ErrSeries for fewer than two charges.
// Source: common practice.
func (p *SlowPair) OCV(n int) (cell.Line, unit.Voltage, error) {
	if n < 2 {
		return cell.Line{}, 0, fmt.Errorf("%w: %d charges, wanted are two", ErrSeries, n)
	}
	c := cell.Line{SoC: num.Even(0, 1, n), Value: make([]float64, n)}
	for i, s := range c.SoC {
		c.Value[i] = (num.Linear(p.Discharge.SoC, p.Discharge.Value, s) + num.Linear(p.Charge.SoC, p.Charge.Value, s)) / 2
	}
	z, change, err := num.Isotonic(c.Value, nil)
	if err != nil {
		return cell.Line{}, 0, fmt.Errorf("%w: %w", ErrSeries, err)
	}
	c.Value = z
	return c, unit.Voltage(change), nil
}
