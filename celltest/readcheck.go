package celltest

import (
	"fmt"
	"math"
	"slices"

	"packyard/unit"
)

// Bounds of what is looked for. All are assumptions of the reader, wide enough that
// sound logs pass: they decide what is told, never what a row says.
const (
	gapLeast      = 300    // s; rests are logged every minute or more often (common practice)
	gapTimes      = 20     // of the typical time between two rows
	cellLeast     = 0.5    // V; source: assumption, below any cell that is still one
	cellMost      = 5.5    // V; source: assumption, above any cell
	ohmLeast      = 60e-6  // Ω of one cell's step; source: assumption, below any traction cell
	ampMost       = 1000   // A; source: assumption, above any bench
	hotLeast      = 323.15 // K; source: assumption, warmer than any rest on a bench: degrees Fahrenheit?
	stepShare     = 0.1    // of the largest current that makes a change of current a step
	stepSlow      = 60     // s between two rows over which a step still counts
	counterOff    = 0.05   // of the charge
	unclockLeast  = 0.05   // of the rows at which the time goes back: no clock
	countedLeast  = 36     // A·s below which a counter is not compared
	signDecided   = 3      // times as many steps for one sign as for the other
	typicalFollow = 1.05   // how fast the typical time between rows follows
)

// checks is what runs along with the rows.
type checks struct {
	rows, runs int
	back       int
	time       float64 // s of the row
	typical    float64 // s between two rows: a running median
	last       [places]float64
	least      [places]float64
	most       [places]float64
	volts      sampler
	ohms       sampler
	degrees    sampler
	duration   float64
	currentTop float64 // A, largest amount so far
	stepsUp    int     // steps of current and voltage that go the same way
	stepsDown  int
	drift      float64 // V·A, of the slow change of voltage under current
	moved      float64 // A·s by the current, amounts, where a counter was compared
	counted    float64 // A·s by the counter over the same rows, amounts
	along      float64 // (A·s)², of both with their signs
}

// check looks at the row that was read against the one before, and returns whether
// the time went back.
func (r *rowReader) check() (back bool) {
	k := &r.k
	at := atTime
	if r.must&(1<<atTime) == 0 {
		at = atUnix
	}
	t, v, i := r.v[at], r.v[atVoltage], r.v[atCurrent]
	k.time = t
	k.rows++
	k.volts.add(v)
	if r.wanted&(1<<atTemperature) != 0 {
		k.degrees.add(r.v[atTemperature])
	}
	if k.rows == 1 {
		k.runs, k.least, k.most = 1, r.v, r.v
		k.currentTop = math.Abs(i)
		k.last = r.v
		return false
	}
	for p := range places {
		if x := r.v[p]; x < k.least[p] {
			k.least[p] = x
		} else if x > k.most[p] {
			k.most[p] = x
		}
	}
	k.currentTop = max(k.currentTop, math.Abs(i))
	dt := t - k.last[at]
	switch {
	case dt < 0:
		k.back++
		k.runs++
		r.sayBack(dt, t)
		back = true
	case dt == 0:
		r.sayRepeat()
		r.counters(0)
	case k.typical > 0 && dt > gapLeast && dt > gapTimes*k.typical:
		k.duration += dt
		r.sayGap(dt)
	default:
		k.duration += dt
		r.follow(dt)
		r.step(dt, i-k.last[atCurrent], v-k.last[atVoltage], i)
		r.counters(dt)
	}
	k.last = r.v
	return back
}

// follow moves the typical time between rows towards dt.
func (r *rowReader) follow(dt float64) {
	k := &r.k
	switch {
	case k.typical == 0:
		k.typical = dt
	case dt > k.typical:
		k.typical *= typicalFollow
	default:
		k.typical /= typicalFollow
	}
}

// step looks which way the voltage went when the current did.
func (r *rowReader) step(dt, di, dv, i float64) {
	k := &r.k
	if math.Abs(di) > stepShare*k.currentTop && dt <= stepSlow {
		if dv == 0 {
			return
		}
		if (di > 0) == (dv > 0) {
			k.stepsUp++
		} else {
			k.stepsDown++
		}
		k.ohms.add(math.Abs(dv / di))
		return
	}
	k.drift += dv * i
}

// counters follows what the instrument itself counted.
func (r *rowReader) counters(dt float64) {
	k := &r.k
	for _, at := range [...]int{atIn, atOut, atSum} {
		if r.wanted&(1<<at) != 0 && r.v[at] < k.last[at] {
			r.sayReset(at)
		}
	}
	if dt == 0 {
		return
	}
	var dq float64
	signed := true
	switch {
	case r.wanted&(1<<atNet) != 0:
		dq = r.v[atNet] - k.last[atNet]
		if k.last[atNet] != 0 && math.Abs(r.v[atNet]) < 1e-3*math.Abs(k.last[atNet]) && math.Abs(dq) > 2*math.Abs(k.last[atCurrent])*dt+1 {
			r.sayReset(atNet)
			return
		}
	case r.wanted&(1<<atIn|1<<atOut) == 1<<atIn|1<<atOut:
		in, out := r.v[atIn]-k.last[atIn], r.v[atOut]-k.last[atOut]
		if in < 0 || out < 0 {
			return
		}
		dq = in - out
		signed = false
	default:
		return
	}
	moved := (r.v[atCurrent] + k.last[atCurrent]) / 2 * dt
	k.moved += math.Abs(moved)
	k.counted += math.Abs(dq)
	if signed {
		k.along += dq * moved
	}
}

func (r *rowReader) sayBack(dt, t float64) {
	if !r.f.again(FaultBack, "", r.line) {
		r.f.add(FaultBack, "", r.line, "", "the time goes back by %s, to %s", seconds(-dt), seconds(t))
	}
}

func (r *rowReader) sayRepeat() {
	if !r.f.again(FaultRepeat, "", r.line) {
		r.f.add(FaultRepeat, "", r.line, "", "the time is that of the row before")
	}
}

func (r *rowReader) sayGap(dt float64) {
	if !r.f.again(FaultGap, "", r.line) {
		r.f.add(FaultGap, "", r.line, "what happened in between is not in this file: charge is not counted over it",
			"nothing was recorded for %s before it, and every %s otherwise", seconds(dt), seconds(r.k.typical))
	}
}

func (r *rowReader) sayReset(at int) {
	if !r.f.again(FaultReset, r.name(at), r.line) {
		r.f.add(FaultReset, r.name(at), r.line, "", "the counter falls from %s to %s", ampereHours(r.k.last[at]), ampereHours(r.v[at]))
	}
}

func seconds(t float64) string        { return unit.Format(unit.Time(t), unit.SI) }
func ampereHours(q float64) string    { return unit.Format(unit.Charge(q), unit.SI) }
func volts(v float64) string          { return unit.Format(unit.Voltage(v), unit.SI) }
func amperes(i float64) string        { return unit.Format(unit.Current(i), unit.SI) }
func degrees(t float64) string        { return unit.Format(unit.Temperature(t), unit.SI) }
func resistanceText(r float64) string { return unit.Format(unit.Resistance(r), unit.SI) }

// end judges the whole file and fills the report.
func (r *rowReader) end() *ReadReport {
	k, o := &r.k, &r.report
	o.Rows, o.Lines, o.Runs = k.rows, r.line, k.runs
	o.Duration = unit.Time(k.duration)
	r.emptyColumns()
	if k.rows > 0 {
		o.VoltageMin, o.VoltageMax = unit.Voltage(k.least[atVoltage]), unit.Voltage(k.most[atVoltage])
		o.CurrentMin, o.CurrentMax = unit.Current(k.least[atCurrent]), unit.Current(k.most[atCurrent])
		if o.HasHeat = r.wanted&(1<<atTemperature) != 0; o.HasHeat {
			o.Coldest, o.Hottest = unit.Temperature(k.least[atTemperature]), unit.Temperature(k.most[atTemperature])
		}
		swapped := r.clockAndSwap()
		if !swapped {
			r.unitSlips()
			r.sign()
		}
		r.counterAgrees()
	} else if !anyStops(r.f.list) {
		r.f.stop(FaultForm, "", r.l.first+1, "", "no line gave a row")
	}
	o.Faults = r.f.list
	if o.Faults == nil {
		o.Faults = []Fault{}
	}
	return o
}

func anyStops(list []Fault) bool {
	return slices.ContainsFunc(list, func(f Fault) bool { return f.Stops })
}

// clockAndSwap looks whether columns hold what they are said to hold.
func (r *rowReader) clockAndSwap() bool {
	k := &r.k
	if k.rows > 20 && float64(k.back) > unclockLeast*float64(k.rows) {
		r.f.stop(FaultSwapped, "time", r.l.first+1, "say which column is the time with --column time=…", "the column goes back in %d of %d rows: it is no clock", k.back, k.rows)
		return true
	}
	isVolts := func(at int) bool { return k.least[at] >= cellLeast*r.series && k.most[at] <= cellMost*r.series }
	if isVolts(atCurrent) && !isVolts(atVoltage) && k.least[atVoltage] <= 0 {
		r.f.stop(FaultSwapped, "", r.l.first+1, "say which is which with --column voltage=… --column current=…",
			"the column of the voltage runs from %s to %s, and that of the current from %s to %s: are they exchanged?",
			volts(k.least[atVoltage]), volts(k.most[atVoltage]), amperes(k.least[atCurrent]), amperes(k.most[atCurrent]))
		return true
	}
	return false
}

// unitSlips looks whether the values speak against the units.
func (r *rowReader) unitSlips() {
	k := &r.k
	inCell := func(v float64) bool { return v >= cellLeast && v <= cellMost }
	switch v := k.volts.median() / r.series; {
	case inCell(v):
	case inCell(v / 1000):
		r.f.stop(FaultUnit, "voltage", r.l.first+1, "if it is in millivolts write --column voltage=…@mV", "half of the rows are above %s a cell: is the column in mV?", volts(v))
	case inCell(v * 1000):
		r.f.stop(FaultUnit, "voltage", r.l.first+1, "if it is in volts write --column voltage=…@V", "half of the rows are below %s a cell: is the column in V?", volts(v))
	case v > cellMost:
		r.f.add(FaultRange, "voltage", r.l.first+1, fmt.Sprintf("an item of several cells in series is read with --series N, here perhaps %d", int(math.Ceil(v*r.series/4))), "half of the rows are above %s, more than one cell has", volts(v))
	default:
		r.f.add(FaultRange, "voltage", r.l.first+1, "", "half of the rows are below %s a cell, less than a sound cell has", volts(v))
	}
	ohms := k.ohms.median() / r.series
	if k.currentTop > ampMost || k.ohms.n > 0 && ohms > 0 && ohms < ohmLeast && k.currentTop > 20 {
		what := "the current reaches " + amperes(k.currentTop)
		if ohms > 0 {
			what += fmt.Sprintf(", and its steps move the voltage as %s would", resistanceText(ohms))
		}
		r.f.stop(FaultUnit, "current", r.l.first+1, "if it is in milliamperes write --column current=…@mA, if it is right name the unit there too", "%s: is the column in mA?", what)
	}
	if r.wanted&(1<<atTemperature) == 0 || k.degrees.n == 0 {
		return
	}
	switch t := k.degrees.median(); {
	case t > 500 && t < 650 && r.scale[atTemperature].offset > 270:
		r.f.stop(FaultUnit, "temperature", r.l.first+1, "if it is in kelvin write --column temperature=…@K", "half of the rows are above %s: is the column in K?", degrees(t))
	case t >= hotLeast && r.scale[atTemperature].factor == 1:
		r.f.stop(FaultUnit, "temperature", r.l.first+1, "if it is in degrees Fahrenheit write --column temperature=…@degF, if it is right name the unit there too", "half of the rows are above %s: is the column in °F?", degrees(t))
	}
}

// sign settles what positive current does.
func (r *rowReader) sign() {
	k, o := &r.k, &r.report
	found, why := SignUnknown, ""
	up, down := k.stepsUp, k.stepsDown
	switch {
	case up > 0 && up >= signDecided*down:
		found, why = Charging, fmt.Sprintf("the voltage rises with it in %d of %d steps of the current", up, up+down)
	case down > 0 && down >= signDecided*up:
		found, why = Discharging, fmt.Sprintf("the voltage falls with it in %d of %d steps of the current", down, up+down)
	case k.drift > 0:
		found, why = Charging, "the voltage rises while it flows"
	case k.drift < 0:
		found, why = Discharging, "the voltage falls while it flows"
	}
	said, by := SignUnknown, ""
	if m := r.o.Mapping; m != nil && m.Positive != SignUnknown {
		said, by = m.Positive, "the mapping "+m.Name
	} else if o.From == fromLabels {
		said, by = Charging, "the labels of the Battery Data Format"
	}
	o.SignFor, o.SignBut = up, down
	if found == Discharging {
		o.SignFor, o.SignBut = down, up
	}
	switch {
	case said == SignUnknown && found == SignUnknown:
		o.Positive, o.SignFrom = Charging, "nothing in the log tells: taken as the Battery Data Format has it"
		r.f.add(FaultSign, "current", r.l.first+1, "say it with --positive charging or --positive discharging", "nothing in the log tells whether positive current charges or discharges: taken as charging")
	case said == SignUnknown:
		o.Positive, o.SignFrom = found, why
	default:
		o.Positive, o.SignFrom = said, by
		if found == said {
			o.SignFrom += ", and " + why
		} else if found != SignUnknown && (up+down >= signDecided || up+down > 0 && (k.drift > 0) == (found == Charging)) {
			o.SignFor, o.SignBut = o.SignBut, o.SignFor
			r.f.stop(FaultSign, "current", r.l.first+1, "say it with --positive "+string(found), "%s say that positive current is %s, but %s", by, said, why)
		}
	}
}

// slips are ratios between two counts of one charge, and what makes them.
func slips() []struct {
	ratio float64
	words string
} {
	return []struct {
		ratio float64
		words string
	}{
		{1000, "mA or ms, or a counter in mAh"}, {1e6, "mA and ms"}, {3600, "hours or A·s"}, {60, "minutes"}, {3.6, "mAh read as A·s"},
	}
}

// counterAgrees compares the instrument's counter with the current over the rows
// without holes.
func (r *rowReader) counterAgrees() {
	k := &r.k
	if k.counted < countedLeast && k.moved < countedLeast || k.counted == 0 || k.moved == 0 {
		return
	}
	ratio := k.counted / k.moved
	if math.Abs(ratio-1) <= counterOff {
		if k.along < 0 {
			r.f.add(FaultCounter, string(QuantityChargeNet), r.l.first+1, "", "the counter grows while the current is negative")
		}
		return
	}
	both := fmt.Sprintf("the instrument counted %s where the current gives %s", ampereHours(k.counted), ampereHours(k.moved))
	for _, s := range slips() {
		if near(ratio, s.ratio) || near(ratio, 1/s.ratio) {
			r.f.stop(FaultUnit, "", r.l.first+1, "name the units with --column quantity=…@unit", "%s, %.4g times as much: a slip of units (%s)?", both, ratio, s.words)
			return
		}
	}
	r.f.add(FaultCounter, "", r.l.first+1, "", "%s, over the rows without holes", both)
}
