package drive

import (
	"errors"
	"fmt"
	"math"

	"packyard/cell"
	"packyard/pack"
	"packyard/unit"
)

// ErrCell says that a cell table or its limits cannot be run.
var ErrCell = errors.New("cell cannot be run")

// segments is how many pieces of charge a Lumped has. A step of 2 C for one
// second moves a ninth of a piece, so that most steps stay in theirs; halving
// it changes a range by less than 0.02 % (TestTableResolutionDoesNotMatter).
const segments = 200

// Durations for which the current limits of a cell are read.
const (
	durationPeak       = 10 * unit.Second // source: common practice (ten-second pulse)
	durationContinuous = unit.Hour        // as cell.LimitPoint writes it
)

// CellLimits are the current limits of one cell at the temperature of the run,
// as multiples of the rated capacity per hour. Zero means that nothing is allowed.
type CellLimits struct {
	DischargePeak, DischargeContinuous unit.CRate // ten seconds, and for ever
	ChargePeak, ChargeContinuous       unit.CRate
	Capacity                           unit.Charge // the rates refer to it: rated, not aged
	VoltageMin, VoltageMax             unit.Voltage

	// From and To are the temperatures between which discharge is allowed; zero:
	// not stated.
	From, To unit.Temperature
}

// segment is one piece of charge of the table. Within it the open-circuit
// voltage is a straight line and the resistances are constant, taken halfway.
// x counts charge in segments, 0 empty to n full; V, Ω, s, all of one cell.
type segment struct {
	lo, hi     float64 // of x
	base, rise float64 // OCV = base + rise·x
	area       float64 // ∫ OCV dx from 0 to lo
	r0         float64
	r1, tau1   float64
	r2, tau2   float64
	step       law // for the step length of the Lumped
}

// law is what a segment becomes for one step length: e^(−dt/τ) and what
// follows from it. With a = e^(−dt/τ) and constant current over the step
//
//	V_end  = a·V + g·I,  g = R·(1−a)
//	V_mean = f·V + h·I,  f = (1−a)·τ/dt,  h = R·(1−f)
type law struct {
	a1, g1, f1, h1 float64
	a2, g2, f2, h2 float64
}

func lawOf(s *segment, dt float64) law {
	var l law
	l.a1, l.g1, l.f1, l.h1 = pair(s.r1, s.tau1, dt)
	l.a2, l.g2, l.f2, l.h2 = pair(s.r2, s.tau2, dt)
	return l
}

func pair(r, tau, dt float64) (a, g, f, h float64) {
	if r == 0 || tau == 0 {
		return 0, r, 0, r // without capacity it is a plain resistance, without resistance nothing
	}
	decay := -math.Expm1(-dt / tau) // 1 − a
	a, f = 1-decay, decay*tau/dt
	return a, r * decay, f, r * (1 - f)
}

// Lumped is a pack as one cell: at one temperature and health, for one step
// length, whatever the topology. It is made once for a cell and shared by all
// runs; nothing changes it.
type Lumped struct {
	Temperature unit.Temperature
	Health      cell.Health
	Limits      CellLimits
	Step        unit.Time

	capacity float64 // A·s, with health
	seg      []segment
}

// NewLumped reads the cell at a temperature and health for steps of the given
// length; zero is 1 s. The rates of its limits are read for ten seconds and for
// an hour.
// Errors: those of cell.At, and ErrCell.
func NewLumped(c *cell.Cell, temperature unit.Temperature, h cell.Health, step unit.Time) (*Lumped, error) {
	if c == nil {
		return nil, fmt.Errorf("%w: no cell", ErrCell)
	}
	t, err := c.At(temperature, h, segments+1)
	if err != nil {
		return nil, err
	}
	l, err := LumpedFrom(t, LimitsOf(c, temperature), step)
	if err != nil {
		return nil, fmt.Errorf("cell %s: %w", c.ID, err)
	}
	l.Health = h
	return l, nil
}

// LimitsOf returns the limits of a cell at a temperature.
func LimitsOf(c *cell.Cell, temperature unit.Temperature) CellLimits {
	from, to := bordersOf(c.Limits.Discharge)
	return CellLimits{
		DischargePeak:       c.Limits.DischargeRate(temperature, durationPeak),
		DischargeContinuous: c.Limits.DischargeRate(temperature, durationContinuous),
		ChargePeak:          c.Limits.ChargeRate(temperature, durationPeak),
		ChargeContinuous:    c.Limits.ChargeRate(temperature, durationContinuous),
		Capacity:            c.Capacity, VoltageMin: c.VoltageMin, VoltageMax: c.VoltageMax,
		From: from, To: to,
	}
}

// bordersOf returns the first and last temperature of limits, zero for none.
func bordersOf(points []cell.LimitPoint) (from, to unit.Temperature) {
	if len(points) == 0 {
		return 0, 0
	}
	return points[0].Temperature, points[len(points)-1].Temperature
}

// LumpedFrom makes a Lumped from a table with n+1 entries: n segments.
// Errors: ErrCell when the table has fewer than two entries, columns of unequal
// length, a number that is not finite, a capacity, voltage or time constant
// that is not above zero, or a resistance below zero.
func LumpedFrom(t *cell.Table, limits CellLimits, step unit.Time) (*Lumped, error) {
	dt := float64(step)
	if dt == 0 {
		dt = 1
	}
	l := &Lumped{Step: unit.Time(dt), Health: cell.New, seg: make([]segment, max(len(t.OCV)-1, 0))}
	if err := l.Fill(t, limits); err != nil {
		return nil, err
	}
	return l, nil
}

// Fill makes l anew of another table with as many entries, for the same step.
// It allocates nothing. Health is left as it is. No run may read l meanwhile.
// Errors: ErrCell as in LumpedFrom, also for another number of entries; l is
// then as before.
func (l *Lumped) Fill(t *cell.Table, limits CellLimits) error {
	dt := float64(l.Step)
	if err := checkTable(t, dt, limits); err != nil {
		return err
	}
	if len(t.OCV) != len(l.seg)+1 {
		return fmt.Errorf("%w: %d entries, the cell was made of %d", ErrCell, len(t.OCV), len(l.seg)+1)
	}
	l.Temperature, l.Limits, l.capacity = t.Temperature, limits, float64(t.Capacity)
	area := 0.0
	for i := range l.seg {
		s := &l.seg[i]
		s.lo, s.hi = float64(i), float64(i+1)
		s.rise = t.OCV[i+1] - t.OCV[i]
		s.base = t.OCV[i] - s.rise*s.lo
		s.area = area
		area += (t.OCV[i] + t.OCV[i+1]) / 2
		s.r0 = halfway(t.R0, i)
		s.r1, s.tau1 = halfway(t.R1, i), halfway(t.Tau1, i)
		s.r2, s.tau2 = halfway(t.R2, i), halfway(t.Tau2, i)
		s.step = lawOf(s, dt)
	}
	return nil
}

func halfway(y []float64, i int) float64 {
	if len(y) == 0 {
		return 0
	}
	return (y[i] + y[i+1]) / 2
}

func checkTable(t *cell.Table, dt float64, limits CellLimits) error {
	n := len(t.OCV)
	if n < 2 || len(t.R0) != n {
		return fmt.Errorf("%w: %d voltages and %d resistances over charge, at least two and as many of each are needed", ErrCell, n, len(t.R0))
	}
	if !(t.Capacity > 0) || math.IsInf(float64(t.Capacity), 0) {
		return fmt.Errorf("%w: capacity %g A·s: it must be above 0", ErrCell, float64(t.Capacity))
	}
	if !(dt > 0) || math.IsInf(dt, 0) {
		return fmt.Errorf("%w: step of %g s: it must be above 0", ErrCell, dt)
	}
	if !(limits.VoltageMin >= 0) || !(limits.VoltageMax > limits.VoltageMin) || math.IsInf(float64(limits.VoltageMax), 0) {
		return fmt.Errorf("%w: voltage from %g V to %g V: the second must be above the first", ErrCell, float64(limits.VoltageMin), float64(limits.VoltageMax))
	}
	for _, c := range []struct {
		name  string
		value []float64
		least float64
	}{{"open-circuit voltage", t.OCV, 0}, {"R0", t.R0, 0}, {"R1", t.R1, 0}, {"τ1", t.Tau1, 0}, {"R2", t.R2, 0}, {"τ2", t.Tau2, 0}} {
		if len(c.value) != n && !(len(c.value) == 0 && c.name[0] != 'o') {
			return fmt.Errorf("%w: %s has %d entries for %d voltages", ErrCell, c.name, len(c.value), n)
		}
		for i, v := range c.value {
			if !(v >= c.least) || math.IsInf(v, 0) {
				return fmt.Errorf("%w: %s at entry %d is %g, accepted is %g or more", ErrCell, c.name, i, v, c.least)
			}
		}
	}
	return nil
}

// at returns the index of the segment that holds x, the last or first beyond.
func (l *Lumped) at(x float64) int {
	return min(max(int(x), 0), len(l.seg)-1)
}

// area returns ∫ OCV dx from empty to x in V·segments of one cell; beyond the
// ends the last pieces go on.
func (l *Lumped) area(x float64) float64 {
	s := &l.seg[l.at(x)]
	d := x - s.lo
	return s.area + d*(s.base+s.rise*s.lo+s.rise*d/2)
}

// Segments returns the number of pieces of charge, one less than the entries of
// the table it was made of.
func (l *Lumped) Segments() int { return len(l.seg) }

// EnergyUsable returns what the cells of a pack give between its SoCMax and
// SoCMin without loss: S·N·P·∫ OCV dq, by the antiderivative of the table that
// the run reads.
func (l *Lumped) EnergyUsable(p *pack.Pack) unit.Energy {
	n := float64(len(l.seg))
	v := l.area(float64(p.SoCMax)*n) - l.area(float64(p.SoCMin)*n)
	return unit.Energy(v * l.capacity / n * float64(p.Topology.Cells()))
}
