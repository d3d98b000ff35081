package celltest

import (
	"errors"
	"fmt"
	"math"

	"packyard/unit"
)

// fitRows are a log made ready for a fit: few rows, evenly spread over the
// logarithm of the time since the current last changed, holes filled with the
// current that must have flowed in them. A row without a voltage only carries
// the current on.
type fitRows struct {
	time, current, out, temperature []float64 // s, A, A·s given out since the start, K
	voltage                         []float64 // V where has
	has                             []bool
}

func (t *fitRows) add(time, current, out, temperature, voltage float64, has bool) {
	t.time, t.current, t.out = append(t.time, time), append(t.current, current), append(t.out, out)
	t.temperature, t.voltage, t.has = append(t.temperature, temperature), append(t.voltage, voltage), append(t.has, has)
}

func (t *fitRows) last() float64 { return t.time[len(t.time)-1] }

// ErrSeries says that a log lacks what an analysis needs.
var ErrSeries = errors.New("log does not hold what the analysis needs")

const (
	holeShortest = 1000 // s without a row that is a hole of a pulse test, not its coarse part
	fillPieces   = 20   // steps of a rebuilt discharge
	stepCurrent  = 0.3  // A, a change of current that begins a new stretch
	settled      = 0.35 // s after a change from which the reading of the voltage counts (celltests, trap 3)
	thinGrowth   = 1.18 // ratio of the times since a change of neighbouring rows that are kept
	thinFirst    = 0.15 // s between the first of them
	coarse       = 20   // s between rows that are all kept
	coarseStep   = 90   // s, longest time between the start of a discharge and its first coarse row
	sameCharge   = 1    // A·s within which two counters are at the same place
	sameTime     = 0.05 // s within which two rows are the same
)

// fill returns a pulse test with its holes filled. In each hole the counter
// went on by a charge: the discharge to the next level. Where the coarse log of
// those discharges is given its rows go in, with their voltages; else the
// discharge is rebuilt at the current level, the rest of the hole being rest.
func fill(l, between *Log, level float64) (*fitRows, error) {
	t := &fitRows{}
	var todo [][2]int
	if between != nil {
		todo = blocks(between)
	}
	for k := range l.Time {
		if k > 0 && l.Time[k]-l.Time[k-1] > holeShortest && l.hole(k) {
			var err error
			switch {
			case between == nil:
				err = t.rebuild(l, k, level)
			case len(todo) == 0:
				err = fmt.Errorf("%w: %s has fewer discharges than %s has holes", ErrSeries, between.Name, l.Name)
			default:
				err = t.splice(l, k, between, todo[0][0], todo[0][1], level)
				todo = todo[1:]
			}
			if err != nil {
				return nil, err
			}
		}
		t.add(l.Time[k], l.Current[k], l.Charge[k], l.Temperature[k], l.Voltage[k], true)
	}
	return t, nil
}

// rebuild fills the hole before row k of l.
func (t *fitRows) rebuild(l *Log, k int, level float64) error {
	q := l.Charge[k] - l.Charge[k-1]
	start, long := l.Time[k-1], q/level
	if q < 0 || long > l.Time[k]-start {
		return fmt.Errorf("%w: %s: in the hole of %.0f s before row %d the counter went on by %.4g Ah, which %g A do not do in it",
			ErrSeries, l.Name, l.Time[k]-start, k+1, unit.Charge(q).AmpereHours(), level)
	}
	for m := 1; m <= fillPieces && q > 0; m++ {
		f := float64(m) / fillPieces
		t.add(start+f*long, level, l.Charge[k-1]+f*q, l.Temperature[k-1], 0, false)
	}
	for x := 10.0; start+long+x < l.Time[k]; x *= 3 {
		t.add(start+long+x, 0, l.Charge[k], l.Temperature[k], 0, false)
	}
	return nil
}

// blocks are the stretches of a coarse log between its own holes.
func blocks(b *Log) [][2]int {
	var out [][2]int
	first := 0
	for j := 1; j <= b.Len(); j++ {
		if j == b.Len() || b.Time[j]-b.Time[j-1] > holeShortest {
			out, first = append(out, [2]int{first, j}), j
		}
	}
	return out
}

// splice puts rows first to last of the coarse log, which end in the rest at the
// next level, into the hole before row k of l. The two counters begin at
// different places, so that they are tied at the rest.
func (t *fitRows) splice(l *Log, k int, b *Log, first, last int, level float64) error {
	hole, had := l.Charge[k]-l.Charge[k-1], b.Charge[last-1]-b.Charge[first]
	if b.Current[last-1] != 0 || had > hole+sameCharge || hole-had > level*coarseStep+sameCharge {
		return fmt.Errorf("%w: %s: rows %d to %d give %.4g Ah, but in the hole before row %d of %s the counter went on by %.4g Ah",
			ErrSeries, b.Name, first+1, last, unit.Charge(had).AmpereHours(), k+1, l.Name, unit.Charge(hole).AmpereHours())
	}
	move, tie := l.Time[k]-b.Time[last-1], l.Charge[k]-b.Charge[last-1]
	for j := first; j < last-1; j++ {
		at, out := b.Time[j]+move, b.Charge[j]+tie
		if j == first {
			if start := at - (out-l.Charge[k-1])/level; start > t.last()+sameTime {
				t.add(start, 0, l.Charge[k-1], l.Temperature[k-1], 0, false)
			}
		}
		if at > t.last()+sameTime && at < l.Time[k]-sameTime {
			t.add(at, b.Current[j], out, b.Temperature[j], b.Voltage[j], true)
		}
	}
	return nil
}

// thin keeps the rows of fitRows that a fit needs: after each change of the
// current those whose time since then grows by a fixed ratio, and the last one
// before it. Until the reading has settled a row has no voltage.
func (t *fitRows) thin() *fitRows {
	o := &fitRows{}
	change, next := math.Inf(-1), 0.0
	keep := func(k int, has bool) {
		o.add(t.time[k], t.current[k], t.out[k], t.temperature[k], t.voltage[k], has && t.has[k])
	}
	for k := range t.time {
		if k > 0 && math.Abs(t.current[k]-t.current[k-1]) > stepCurrent {
			if len(o.time) == 0 || o.last() < t.time[k-1] {
				keep(k-1, true)
			}
			change, next = t.time[k-1], settled
			keep(k, false)
			continue
		}
		since := t.time[k] - change
		if k == 0 || since >= next || !t.has[k] || t.time[k]-t.time[k-1] > coarse {
			keep(k, since >= settled)
			next = math.Max(since*thinGrowth, since+thinFirst)
		}
	}
	return o
}
