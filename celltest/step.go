package celltest

import (
	"fmt"
	"math"

	"packyard/unit"
)

// StepKind is what the current of a step does.
type StepKind string

// Kinds of steps.
const (
	Rest      StepKind = "rest"
	Discharge StepKind = "discharge"
	Charge    StepKind = "charge"
)

// Step is a stretch of a log with a current that stays near one value, or near
// none. Its rows are First to Last; the row before First is the last one of
// what came before.
type Step struct {
	Kind         StepKind
	First, Last  int          // rows
	Start        unit.Time    // of the interval of the first row
	Duration     unit.Time    //
	Current      unit.Current // mean, positive on discharge
	Charge       unit.Charge  // given out, negative on charging: the instrument's, else integrated
	Energy       unit.Energy  // given out, negative on charging, integrated
	VoltageStart unit.Voltage // of the first row
	VoltageEnd   unit.Voltage // of the last row
	VoltageRest  unit.Voltage // of the row before the first; that of the first where there is none
	Temperatures Span         // of the surface; zero without a sensor
}

// Span is the range of a temperature over some rows.
type Span struct{ Start, End, Coldest, Hottest unit.Temperature }

// StepOptions say when a step ends.
type StepOptions struct {
	Rest   unit.Current // up to this a current is none; zero: 1 % of the largest, at least 5 mA
	Change unit.Ratio   // change of the current from row to row that begins a step; zero: 0.1 of the larger of the two
}

func (o StepOptions) filled(l *Log) StepOptions {
	if o.Rest == 0 {
		most := 0.0
		for _, i := range l.Current {
			most = math.Max(most, math.Abs(i))
		}
		o.Rest = unit.Current(math.Max(0.01*most, 5e-3))
	}
	if o.Change == 0 {
		o.Change = 0.1
	}
	return o
}

func (o StepOptions) kind(i float64) StepKind {
	switch {
	case i > float64(o.Rest):
		return Discharge
	case i < -float64(o.Rest):
		return Charge
	}
	return Rest
}

// Steps finds the steps of a log from its current alone: a step ends where the
// kind changes or the current jumps. A current that fades, as at a constant
// voltage, stays one step. Without rows there are none.
func (l *Log) Steps(o StepOptions) []Step {
	o = o.filled(l)
	var out []Step
	first := 0
	for k := 1; k <= l.Len(); k++ {
		if k < l.Len() {
			a, b := l.Current[k-1], l.Current[k]
			same := o.kind(a) == o.kind(b)
			if same && o.kind(a) != Rest {
				same = math.Abs(a-b) <= float64(o.Change)*math.Max(math.Abs(a), math.Abs(b))
			}
			if same {
				continue
			}
		}
		out = append(out, l.step(first, k-1, o.kind(l.Current[first])))
		first = k
	}
	return out
}

func (l *Log) step(first, last int, kind StepKind) Step {
	s := Step{Kind: kind, First: first, Last: last, VoltageStart: unit.Voltage(l.Voltage[first]), VoltageEnd: unit.Voltage(l.Voltage[last])}
	before := max(first-1, 0)
	s.VoltageRest = unit.Voltage(l.Voltage[before])
	s.Start, s.Duration = unit.Time(l.Time[before]), unit.Time(l.Time[last]-l.Time[before])
	sum := 0.0
	for k := first; k <= last; k++ {
		sum += l.Current[k]
	}
	s.Current = unit.Current(sum / float64(last-first+1))
	t := l.throughput(before, last)
	s.Charge, s.Energy = t.Net, t.EnergyOut-t.EnergyBack
	s.Temperatures = l.span(first, last)
	return s
}

func (l *Log) span(first, last int) Span {
	if l.Temperature == nil {
		return Span{}
	}
	s := Span{Start: unit.Temperature(l.Temperature[first]), End: unit.Temperature(l.Temperature[last])}
	s.Coldest, s.Hottest = s.Start, s.Start
	for _, t := range l.Temperature[first : last+1] {
		s.Coldest, s.Hottest = min(s.Coldest, unit.Temperature(t)), max(s.Hottest, unit.Temperature(t))
	}
	return s
}

// Throughput is what went through a log or a part of it.
type Throughput struct {
	Net        unit.Charge  // out less back: the instrument's, else integrated
	Out, Back  unit.Charge  // integrated, both positive
	EnergyOut  unit.Energy  // integrated, positive
	EnergyBack unit.Energy  // integrated, positive
	Counted    bool         // Net is the instrument's own
	Load       unit.Time    // from the first row with a current to the last one
	VoltageMin unit.Voltage //
	VoltageMax unit.Voltage //
	CurrentRMS unit.Current // over Load
	Surface    Span         // zero without a sensor
	Faults     []Fault      // holes over which the integral says nothing
}

// Energy returns what came out less what went back.
func (t Throughput) Energy() unit.Energy { return t.EnergyOut - t.EnergyBack }

// Throughput integrates the log by the trapezoid and takes the net charge from
// the instrument's counter where there is one. In a long interval at whose ends
// the current is on and off, that of the row that ends it counts for all of it:
// a tester that changes its current logs a row soon after, so that the change
// lies near the start. Holes, where the counter or common sense says that other
// current flowed than the rows show, are left out of the integral and told.
//
//	Out − Back = Σ (I_{k−1} + I_k)/2·Δt,  Energy = Σ (P_{k−1} + P_k)/2·Δt,  P = V·I
//
// Errors: ErrSeries for a log of fewer than two rows.
// Source: common practice.
func (l *Log) Throughput() (Throughput, error) {
	if l.Len() < 2 {
		return Throughput{}, fmt.Errorf("%w: %s has %d rows, wanted are two", ErrSeries, l.Name, l.Len())
	}
	t := l.throughput(0, l.Len()-1)
	t.Surface = l.span(0, l.Len()-1)
	t.load(l)
	return t, nil
}

// loadFrom is the share of the largest current above which the load is on: the
// resolution of a channel of good make (common practice).
const loadFrom = 0.0025

func (t *Throughput) load(l *Log) {
	most := 0.0
	for _, i := range l.Current {
		most = math.Max(most, math.Abs(i))
	}
	first, last := -1, -1
	for k, i := range l.Current {
		if math.Abs(i) > loadFrom*most && i != 0 {
			if first < 0 {
				first = max(k-1, 0)
			}
			last = k
		}
	}
	if last < 0 || l.Time[last] <= l.Time[first] {
		return
	}
	square := 0.0
	for k := first + 1; k <= last; k++ {
		square += l.Current[k] * l.Current[k] * (l.Time[k] - l.Time[k-1])
	}
	t.Load = unit.Time(l.Time[last] - l.Time[first])
	t.CurrentRMS = unit.Current(math.Sqrt(square / float64(t.Load)))
}

// throughput integrates from row a to row b.
func (l *Log) throughput(a, b int) Throughput {
	t := Throughput{VoltageMin: unit.Voltage(l.Voltage[a]), VoltageMax: unit.Voltage(l.Voltage[a])}
	f := faults{file: l.Name}
	limit := l.longInterval(a, b)
	for k := a + 1; k <= b; k++ {
		v, dt := l.Voltage[k], l.Time[k]-l.Time[k-1]
		t.VoltageMin, t.VoltageMax = min(t.VoltageMin, unit.Voltage(v)), max(t.VoltageMax, unit.Voltage(v))
		if dt > limit && l.hole(k) {
			f.tell(FaultHole, "time", l.line(k), "use the instrument's counter for the charge", "%.0f s without a row, in which the current was another than the rows show: left out of the integral", dt)
			continue
		}
		q, w := l.flow(k)
		if q > 0 {
			t.Out, t.EnergyOut = t.Out+unit.Charge(q), t.EnergyOut+unit.Energy(w)
		} else {
			t.Back, t.EnergyBack = t.Back-unit.Charge(q), t.EnergyBack-unit.Energy(w)
		}
	}
	t.Net = t.Out - t.Back
	if l.Charge != nil {
		t.Net, t.Counted = unit.Charge(l.Charge[b]-l.Charge[a]), true
	}
	t.Faults = f.list
	return t
}

const (
	edgeLong   = 2.0   // s, interval in which a current that begins or ends counts whole or not at all
	holeTimes  = 20    // times the middle interval, from which an interval may be a hole
	holeLeast  = 120.0 // s, but not below this
	holeCharge = 0.02  // share by which the integral over a hole and the counter must agree
)

// flow is the charge and energy given out in the interval that ends at row k,
// A·s and J.
func (l *Log) flow(k int) (charge, energy float64) {
	a, b, dt := l.Current[k-1], l.Current[k], l.Time[k]-l.Time[k-1]
	if dt > edgeLong && (a == 0) != (b == 0) {
		return b * dt, l.Voltage[k] * b * dt
	}
	return (a + b) / 2 * dt, (l.Voltage[k-1]*a + l.Voltage[k]*b) / 2 * dt
}

// longInterval is the time from which an interval of rows a to b may be a hole.
func (l *Log) longInterval(a, b int) float64 {
	if b-a < 2 {
		return math.Inf(1)
	}
	d := make([]float64, 0, b-a)
	for k := a + 1; k <= b; k++ {
		d = append(d, l.Time[k]-l.Time[k-1])
	}
	return math.Max(holeTimes*median(d), holeLeast)
}

// hole reports whether the long interval that ends at row k held other current
// than that row says: by the counter, or else because a current began in it.
func (l *Log) hole(k int) bool {
	flowed, _ := l.flow(k)
	if l.Charge == nil {
		return flowed != 0 && l.Current[k-1] == 0
	}
	counted := l.Charge[k] - l.Charge[k-1]
	return math.Abs(flowed-counted) > holeCharge*math.Max(math.Abs(flowed), math.Abs(counted))+sameCharge
}

// line is the line of a row in its file, the row from 1 where that is not known.
func (l *Log) line(k int) int {
	if l.Line != nil {
		return l.Line[k]
	}
	return k + 1
}
