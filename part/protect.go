package part

import (
	"math"

	"packyard/cell"
	"packyard/check"
	"packyard/unit"
)

// Fuse is a fuse-link for direct current.
type Fuse struct {
	ID, Title    string
	Current      unit.Current            // rated
	Voltage      unit.Voltage            // rated, direct current
	Breaking     unit.Current            // highest current that it breaks at Voltage
	BreakingMin  unit.Current            // lowest current that it breaks; below it melts and may not clear
	TimeConstant unit.Time               // longest L/R of the circuit at which it is rated
	Melting      unit.SquareAmpereSecond // at high current
	Clearing     unit.SquareAmpereSecond // at high current, Voltage and TimeConstant
	Points       []FusePoint             // melting time over current, the current rising
	Resistance   unit.Resistance         // cold
	Mass         unit.Mass
	Price        check.Price
	Facts        []cell.Fact
}

// FusePoint is one point of the mean melting curve.
type FusePoint struct {
	Current unit.Current
	Time    unit.Time
}

// FuseSpread is the spread of melting curves along the current. Source:
// common-practice, ten percent of the current is printed with most curves.
const FuseSpread = unit.Ratio(0.10)

// TimeNever stands for a time that does not come: a fuse below its melting
// curve never melts, a contactor within its rating carries without end. It is
// finite, so that it can be compared and stored.
const TimeNever unit.Time = 1e9

// meltsIn returns the mean melting time at a current in A: straight lines in
// the logarithms of the printed points, TimeNever below the first, and the
// constant melting I²t beyond the last.
func (f *Fuse) meltsIn(i float64) float64 {
	n := len(f.Points)
	if n == 0 || i < float64(f.Points[0].Current) {
		return float64(TimeNever)
	}
	last := f.Points[n-1]
	if i >= float64(last.Current) {
		return min(float64(last.Time)*square(float64(last.Current)/i), float64(f.Melting)/(i*i))
	}
	return logLine(f.Points, i)
}

func square(x float64) float64 { return x * x }

// logLine reads points with rising currents at i, A, within them, on straight
// lines of the logarithms.
func logLine(points []FusePoint, i float64) float64 {
	for k := 1; k < len(points); k++ {
		a, b := points[k-1], points[k]
		if i > float64(b.Current) && k+1 < len(points) {
			continue
		}
		x := math.Log(i/float64(a.Current)) / math.Log(float64(b.Current)/float64(a.Current))
		return math.Exp(math.Log(float64(a.Time)) + x*math.Log(float64(b.Time)/float64(a.Time)))
	}
	return float64(points[0].Time)
}

// MeltsAfter returns the shortest time in which the fuse may melt at a steady
// current, that of the fast edge of its spread.
//
// Source: common-practice.
func (f *Fuse) MeltsAfter(i unit.Current) unit.Time {
	return unit.Time(f.meltsIn(float64(i) * (1 + float64(FuseSpread))))
}

// ClearsBy returns the longest time after which the fuse has cleared a steady
// current at the voltage of the circuit: melting at the slow edge of its
// spread, then the arc, whose I²t is what clearing takes beyond melting.
// TimeNever when it does not clear: below BreakingMin or above Breaking.
//
// Source: common-practice.
func (f *Fuse) ClearsBy(i unit.Current, u unit.Voltage) unit.Time {
	if i < f.BreakingMin || i > f.Breaking {
		return TimeNever
	}
	melt := f.meltsIn(float64(i) * (1 - float64(FuseSpread)))
	if melt >= float64(TimeNever) {
		return TimeNever
	}
	arc := float64(f.ClearingAt(u)-f.Melting) / square(float64(i))
	return unit.Time(melt + arc)
}

// MeltingAt returns the least I²t that melts the fuse at a current, never below
// Melting: heat leaves the element while it warms.
func (f *Fuse) MeltingAt(i unit.Current) unit.SquareAmpereSecond {
	t := f.meltsIn(float64(i) * (1 + float64(FuseSpread)))
	if t >= float64(TimeNever) {
		t = float64(TimeNever)
	}
	return unit.SquareAmpereSecond(square(float64(i)) * t)
}

// ClearingAt returns the clearing I²t of a high fault current at the voltage of
// the circuit: what clearing takes beyond melting goes with the voltage over the
// rated one.
//
//	I²t = I²t_melt + (I²t_clear − I²t_melt)·U/U_r
//
// Source: from-memory (factor curves of semiconductor-fuse guides, near to a
// straight line). Panics never; a voltage above the rated one gives a larger
// figure, which a check of the voltage must forbid.
func (f *Fuse) ClearingAt(u unit.Voltage) unit.SquareAmpereSecond {
	return f.Melting + unit.SquareAmpereSecond(float64(f.Clearing-f.Melting)*math.Max(0, float64(u/f.Voltage)))
}

// Contactor is a switch for direct current, main contacts and coil.
type Contactor struct {
	ID, Title      string
	Current        unit.Current // carried without end
	Ambient        unit.Temperature
	Voltage        unit.Voltage
	Points         []FusePoint  // current carried for a time, beyond Current; the current rising
	Break          unit.Current // broken in the forward direction in an emergency
	BreakReverse   unit.Current // broken against the marked direction; zero: never
	Make           unit.Current // closed on
	ClosingTime    unit.Time
	CoilHold       unit.Power // while it is held
	CoilPull       unit.Power // while it closes
	ContactVoltage unit.Voltage
	Mass           unit.Mass
	Price          check.Price
	Facts          []cell.Fact
}

// Carries returns how long the contactor carries a current: without end up to
// its rating, then along its printed points, then at the constant I²t of the
// last.
//
// Source: contactor-datasheet (form of the ratings).
func (c *Contactor) Carries(i unit.Current) unit.Time {
	n := len(c.Points)
	switch {
	case i <= c.Current:
		return TimeNever
	case n == 0:
		return 0
	case i <= c.Points[0].Current:
		return c.Points[0].Time
	case i >= c.Points[n-1].Current:
		return unit.Time(float64(c.Points[n-1].Time) * square(float64(c.Points[n-1].Current/i)))
	}
	return unit.Time(logLine(c.Points, float64(i)))
}

// Withstand returns the I²t of the shortest printed time, zero without one.
func (c *Contactor) Withstand() unit.SquareAmpereSecond {
	if len(c.Points) == 0 {
		return 0
	}
	p := c.Points[len(c.Points)-1]
	return unit.SquareAmpereSecond(square(float64(p.Current)) * float64(p.Time))
}

// CableSize is a section of flexible copper conductor.
type CableSize struct {
	ID, Title     string
	Section       unit.Area
	Gauge         string          // "2/0 AWG"; empty: a metric section
	ResistanceKm  unit.Resistance // of 1 km at 20 °C, the largest allowed
	AmpacityFree  unit.Current    // one conductor in free air, conductor and ambient as below
	ConductorTemp unit.Temperature
	AmbientTemp   unit.Temperature
	Voltage       unit.Voltage // rated, direct current
	MassKm        unit.Mass    // of 1 km of conductor with insulation; zero: not known
	Facts         []cell.Fact
}

// Disconnect is a service disconnect, pulled by hand without load.
type Disconnect struct {
	ID, Title  string
	Current    unit.Current
	Voltage    unit.Voltage
	Resistance unit.Resistance
	Interlock  bool // has a contact for the interlock loop
	Mass       unit.Mass
	Price      check.Price
	Facts      []cell.Fact
}

// IsolationMonitor watches the resistance between the circuit and the chassis.
type IsolationMonitor struct {
	ID, Title string
	Voltage   unit.Voltage    // highest of the circuit
	RangeLow  unit.Resistance // smallest that it tells
	RangeHigh unit.Resistance // largest
	Capacity  unit.Capacitance
	Response  unit.Time // longest, at Capacity
	Mass      unit.Mass
	Price     check.Price
	Facts     []cell.Fact
}

// PulseResistor is a resistor that bears precharging.
type PulseResistor struct {
	ID, Title  string
	Resistance unit.Resistance
	Power      unit.Power  // without end
	Pulse      unit.Energy // of one pulse from cold
	Voltage    unit.Voltage
	Mass       unit.Mass
	Price      check.Price
	Facts      []cell.Fact
}
