package celltest

import (
	"fmt"
	"math"
	"sort"

	"packyard/unit"
)

// PulseMethod and PulseVersion name the analysis of pulses in results.
const (
	PulseMethod  = "pulse resistance by voltage drop"
	PulseVersion = 1
)

// PulseTimes are the times after the start of a pulse at which its resistance is
// stated unless others are asked for: at once, and after 2, 10, 18 and 30 s.
// Source: iso-12405 (0.1, 2, 10 and 18 s), usabc-manual (10 and 30 s).
func PulseTimes() []unit.Time { return []unit.Time{0.1, 2, 10, 18, 30} }

// Pulse is a short step of constant current after a rest.
type Pulse struct {
	Step
	Begin       int              // last row before the current
	Zero        unit.Time        // when the current began, between two rows: times of a resistance count from here
	Given       unit.Charge      // given out since the start of the log when it begins
	Temperature unit.Temperature // of the surface when it begins; zero without a sensor
	CutShort    bool             // lasted well below the median of the pulses of this kind in the log
}

// PulseOptions say what counts as a pulse; the zero value is the default.
type PulseOptions struct {
	Longest unit.Time // zero: 60 s
	Before  unit.Time // of the rest before it, at least, if the log did not begin in it; zero: 30 s
}

const (
	pulseSteady = 0.05 // share by which the current of a pulse may leave its mean, after the first rows
	pulseShort  = 0.9  // share of the median duration below which a pulse was cut short
	pulseStart  = 3    // rows in which the current may still come up
)

// Pulses finds the pulses of a log: steps of constant current, no longer than
// an option, after a rest.
func (l *Log) Pulses(o PulseOptions) []Pulse {
	if o.Longest == 0 {
		o.Longest = 60 * unit.Second
	}
	if o.Before == 0 {
		o.Before = 30 * unit.Second
	}
	steps, given := l.Steps(StepOptions{}), l.given()
	var out []Pulse
	durations := map[StepKind][]float64{}
	for i := 1; i < len(steps); i++ {
		s, before := steps[i], steps[i-1]
		if s.Kind == Rest || before.Kind != Rest || s.Duration > o.Longest || (before.Duration < o.Before && before.First > 0) || s.First < 1 || !l.steady(&s) {
			continue
		}
		if i+1 < len(steps) && steps[i+1].Kind == s.Kind {
			continue // the current only moved on to another value
		}
		p := Pulse{Step: s, Begin: s.First - 1, Zero: l.began(s), Given: unit.Charge(given[s.First-1])}
		if l.Temperature != nil {
			p.Temperature = unit.Temperature(l.Temperature[p.Begin])
		}
		durations[s.Kind] = append(durations[s.Kind], float64(s.Duration))
		out = append(out, p)
	}
	for i := range out {
		out[i].CutShort = float64(out[i].Duration) < pulseShort*median(durations[out[i].Kind])
	}
	return out
}

// began is when the current of a step began: between its first row and the one
// before, taken half of the usual time between rows before the first.
func (l *Log) began(s Step) unit.Time {
	first := l.Time[s.First]
	back := (first - l.Time[s.First-1]) / 2
	if s.Last > s.First {
		back = math.Min(back, (l.Time[s.Last]-first)/float64(s.Last-s.First)/2)
	}
	return unit.Time(first - back)
}

// ended is when the current of a step ended, in the same manner.
func (l *Log) ended(s Step) float64 {
	last := l.Time[s.Last]
	if s.Last+1 >= l.Len() || s.Last == s.First {
		return last
	}
	return last + math.Min((l.Time[s.Last+1]-last)/2, (last-l.Time[s.First])/float64(s.Last-s.First)/2)
}

// steady reports whether the current of a step stays near its mean once it is
// up, and makes that mean the current of the step.
func (l *Log) steady(s *Step) bool {
	first := min(s.First+pulseStart, s.Last)
	sum := 0.0
	for _, i := range l.Current[first : s.Last+1] {
		sum += i
	}
	mean := sum / float64(s.Last+1-first)
	for _, i := range l.Current[first : s.Last+1] {
		if math.Abs(i-mean) > pulseSteady*math.Abs(mean) {
			return false
		}
	}
	s.Current = unit.Current(mean)
	return true
}

// given returns the charge given out from the first row to each row, A·s: the
// instrument's, else integrated without what is left out as a hole.
func (l *Log) given() []float64 {
	out := make([]float64, l.Len())
	limit := l.longInterval(0, l.Len()-1)
	for k := 1; k < l.Len(); k++ {
		if l.Charge != nil {
			out[k] = l.Charge[k] - l.Charge[0]
			continue
		}
		out[k] = out[k-1]
		if dt := l.Time[k] - l.Time[k-1]; dt <= limit || !l.hole(k) {
			q, _ := l.flow(k)
			out[k] += q
		}
	}
	return out
}

// pulseEnd is the share of a time by which a pulse may end earlier and still
// stand for it: a pulse of 10 s has its last row at 9.9 s.
const pulseEnd = 0.02

// Resistance returns the resistance that a pulse shows at a time after its
// start, and whether it lasted so long:
//
//	R(t) = (V before − V(t))/I
//
// with I the steady current of the pulse. V is read linearly between rows, and
// the first row stands for earlier times. Source: iso-12405, clause 7.3; iec-62660-1.
func (l *Log) Resistance(p Pulse, t unit.Time) (unit.Resistance, bool) {
	rows := l.Time[p.First : p.Last+1]
	at := float64(p.Zero + t)
	end := rows[len(rows)-1]
	if at > end+pulseEnd*float64(t) {
		return 0, false
	}
	k := sort.SearchFloat64s(rows, math.Min(at, end))
	v := l.Voltage[p.First+k]
	if k > 0 && rows[k] > rows[k-1] {
		f := (math.Min(at, end) - rows[k-1]) / (rows[k] - rows[k-1])
		v = l.Voltage[p.First+k-1]*(1-f) + v*f
	}
	return unit.Resistance((l.Voltage[p.Begin] - v) / float64(p.Current)), true
}

// PulseRow is one pulse of a table.
type PulseRow struct {
	Pulse
	Charge     unit.Ratio        // 0…1 when it begins: 1 − given out/capacity
	Resistance []unit.Resistance // at the times of the table; zero where the pulse was shorter
}

// PulseTable is the resistance of every pulse of a log at stated times.
type PulseTable struct {
	Times  []unit.Time
	Rows   []PulseRow
	Faults []Fault
}

const (
	settleTime  = 0.5  // s, from which a reading of voltage counts as settled (celltests, trap 3)
	settleEarly = 0.2  // s, up to which a first row is looked at
	settleShare = 0.85 // of the resistance at settleTime: less at once is a reading that lags
)

// PulseTable measures every pulse of a log that begins at charge start. Times nil:
// PulseTimes. A first row whose voltage has visibly not followed the current yet
// is told. Errors: ErrSeries for a capacity that is not above zero or a log
// without pulses.
func (l *Log) PulseTable(capacity unit.Charge, start unit.Ratio, times []unit.Time, o PulseOptions) (*PulseTable, error) {
	if !(capacity > 0) {
		return nil, fmt.Errorf("%w: a table of pulses needs a capacity above zero, not %g Ah", ErrSeries, capacity.AmpereHours())
	}
	if times == nil {
		times = PulseTimes()
	}
	t := &PulseTable{Times: times}
	f := faults{file: l.Name}
	for _, p := range l.Pulses(o) {
		row := PulseRow{Pulse: p, Charge: start - unit.Ratio(p.Given/capacity), Resistance: make([]unit.Resistance, len(times))}
		for i, at := range times {
			row.Resistance[i], _ = l.Resistance(p, at)
		}
		t.Rows = append(t.Rows, row)
		early := l.Time[p.First] - l.Time[p.Begin]
		settled, ok := l.Resistance(p, settleTime)
		if first, _ := l.Resistance(p, 0); ok && early < settleEarly && float64(first) < settleShare*float64(settled) {
			f.tell(FaultSettling, "voltage", l.line(p.First), "take 0.5 s or later as immediate",
				"%.0f ms after the start the pulse shows %.3g mΩ, after 0.5 s %.3g mΩ: the reading of the voltage follows the current late", 1e3*early, first.Milliohms(), settled.Milliohms())
		}
	}
	if len(t.Rows) == 0 {
		return nil, fmt.Errorf("%w: %s holds no pulse", ErrSeries, l.Name)
	}
	t.Faults = f.list
	return t, nil
}

// StepResistance returns what a step of a tester's own table shows: the voltage
// before it less that at its end, over its current.
func StepResistance(s Step) unit.Resistance {
	return unit.Resistance(float64(s.VoltageRest-s.VoltageEnd) / float64(s.Current))
}

// levelsBeyond is the charge beyond the outer level up to which its value holds.
const levelsBeyond = 0.02

// AtOwnCharge reads a resistance that was measured at levels of charge counted in
// shares of the nominal capacity at a share of the item's own capacity:
//
//	share of nominal = share·capacity/nominal
//
// linear between the levels. Items of unlike capacity compare only so: half of
// nominal is nearly full for an item that holds 0.55 of it. Up to 0.02 beyond the
// outer levels, which rise, their value holds; reports false further out.
func AtOwnCharge(levels []unit.Ratio, r []unit.Resistance, nominal, capacity unit.Charge, share unit.Ratio) (unit.Resistance, bool) {
	at := share * unit.Ratio(capacity/nominal)
	n := min(len(levels), len(r))
	if n > 0 && at > levels[n-1] && at <= levels[n-1]+levelsBeyond {
		return r[n-1], true
	}
	if n > 0 && at < levels[0] && at >= levels[0]-levelsBeyond {
		return r[0], true
	}
	for i := 1; i < n; i++ {
		a, b := levels[i-1], levels[i]
		if at >= a && at <= b && b > a {
			return r[i-1] + unit.Resistance((at-a)/(b-a))*(r[i]-r[i-1]), true
		}
	}
	return 0, false
}
