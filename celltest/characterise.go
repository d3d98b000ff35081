package celltest

import (
	"fmt"
	"math"

	"packyard/cell"
	"packyard/unit"
)

// CapacityMethod and CapacityVersion name the analysis of full discharges in
// results.
const (
	CapacityMethod  = "capacity of a full discharge"
	CapacityVersion = 1
)

// Rating is what is known of an item before its log is looked at.
type Rating struct {
	Capacity   unit.Charge  // rated; must be above zero
	VoltageMax unit.Voltage // full
	VoltageMin unit.Voltage // end of discharge, below VoltageMax
	Start      unit.Ratio   // charge at the first row; zero: full, if a full discharge or pulses are to say
}

// FullDischarge is a discharge down to the lowest voltage.
type FullDischarge struct {
	Step
	Rate     unit.CRate // of the rated capacity
	FromFull bool       // the rest before it was near the highest voltage, so that its charge is the capacity
}

// Character is all that one log says of an item.
type Character struct {
	Through    Throughput
	Steps      []Step
	Discharges []FullDischarge
	Capacity   unit.Charge // of the last full discharge that began full, else of the last one; zero: there is none
	Energy     unit.Energy // of the same
	Health     unit.Ratio  // capacity over the rated one; zero: no full discharge
	Slow       *SlowPair   // nil: none
	Rests      []RestPoint // of ten minutes or more
	Pulses     *PulseTable // nil: none
	Faults     []Fault
}

const (
	slowRate    = 0.12           // C-rate up to which a discharge counts as slow: C/10 and less
	restLeast   = 10 * 60.0      // s
	endNear     = 0.02           // share of the voltage span within which a discharge ended at the lowest voltage
	fullNear    = 0.05           // share within which a rest was full
	fullLeast   = unit.Ratio(.2) // of the rated capacity, given out by what counts as a full discharge
	voltageSame = 5e-3           // V, within which a stop at the limit was read (common practice)
)

// Characterise looks at one log from all sides: throughput, full discharges,
// slow pair, rests, pulses, each where the log has it. Charges of pulses are
// shares of the capacity found, or else of the rated one.
//
// Errors: ErrSeries for a log of fewer than two rows or a rating out of range.
func Characterise(l *Log, r Rating) (*Character, error) {
	if !(r.Capacity > 0) || !(r.VoltageMax > r.VoltageMin) {
		return nil, fmt.Errorf("%w: a rating of %g Ah from %g to %g V", ErrSeries, r.Capacity.AmpereHours(), float64(r.VoltageMin), float64(r.VoltageMax))
	}
	if r.Start == 0 {
		r.Start = 1
	}
	t, err := l.Throughput()
	if err != nil {
		return nil, err
	}
	c := &Character{Through: t, Steps: l.Steps(StepOptions{}), Faults: t.Faults}
	c.discharges(l, r)
	if p, err := NewSlowPair(l); err == nil && p.Rate.Amperes() <= slowRate*r.Capacity.AmpereHours() && float64(p.Out) >= float64(fullLeast)*float64(r.Capacity) {
		c.Slow = p
		c.Faults = append(c.Faults, p.Faults...)
	}
	var told []Fault
	c.Rests, told = l.Rests(restLeast)
	c.Faults = append(c.Faults, told...)
	share := r.Capacity
	if c.Capacity > 0 {
		share = c.Capacity
	}
	if p, err := l.PulseTable(share, r.Start, nil, PulseOptions{}); err == nil {
		c.Pulses = p
		c.Faults = append(c.Faults, p.Faults...)
	}
	return c, nil
}

func (c *Character) discharges(l *Log, r Rating) {
	span := float64(r.VoltageMax - r.VoltageMin)
	for i, s := range c.Steps {
		if s.Kind != Discharge || float64(s.VoltageEnd) > float64(r.VoltageMin)+endNear*span+voltageSame || s.Charge < unit.Charge(fullLeast)*r.Capacity {
			continue
		}
		d := FullDischarge{Step: s, Rate: unit.CRate(s.Current.Amperes() / r.Capacity.AmpereHours())}
		d.FromFull = i > 0 && c.Steps[i-1].Kind == Rest && float64(s.VoltageRest) >= float64(r.VoltageMax)-fullNear*span
		c.Discharges = append(c.Discharges, d)
	}
	for _, d := range c.Discharges {
		if d.FromFull || !c.fromFull() {
			c.Capacity, c.Energy = d.Charge, d.Energy
		}
	}
	c.Health = unit.Ratio(c.Capacity / r.Capacity)
}

func (c *Character) fromFull() bool {
	for _, d := range c.Discharges {
		if d.FromFull {
			return true
		}
	}
	return false
}

// HealthOf returns the state of age of an item from what was measured on it: its
// capacity over the rated one, its pulse resistance over that of a new item at the
// same time, charge and temperature. Errors: ErrSeries for values not above zero.
func HealthOf(capacity, rated unit.Charge, resistance, fresh unit.Resistance) (cell.Health, error) {
	for _, v := range []float64{float64(capacity), float64(rated), float64(resistance), float64(fresh)} {
		if !(v > 0) || math.IsInf(v, 0) {
			return cell.Health{}, fmt.Errorf("%w: %g Ah of %g Ah, %g mΩ against %g mΩ: all must be above zero", ErrSeries,
				capacity.AmpereHours(), rated.AmpereHours(), resistance.Milliohms(), fresh.Milliohms())
		}
	}
	return cell.Health{CapacityShare: unit.Ratio(capacity / rated), ResistanceGrowth: unit.Ratio(resistance / fresh)}, nil
}
