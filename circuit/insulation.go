package circuit

import (
	"embed"
	"encoding/csv"
	"fmt"
	"math"
	"strconv"
	"sync"

	"packyard/unit"
)

//go:embed data/*.csv
var files embed.FS

// table is one file of data: rows of numbers without the heading and without the
// source.
type table [][]float64

func readTable(name string) (table, error) {
	f, err := files.Open("data/" + name + ".csv")
	if err != nil {
		return nil, err
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	var out table
	for _, r := range rows[1:] {
		var line []float64
		for _, s := range r[:len(r)-1] {
			v, err := strconv.ParseFloat(s, 64)
			if err != nil {
				return nil, fmt.Errorf("%s: %w", name, err)
			}
			line = append(line, v)
		}
		out = append(out, line)
	}
	return out, nil
}

// distances are the four tables of insulation distances.
type distances struct{ creepage, clearance, impulse, altitude table }

var distanceTables = sync.OnceValue(func() *distances {
	var out distances
	for name, to := range map[string]*table{"creepage": &out.creepage, "clearance": &out.clearance, "impulse": &out.impulse, "altitude": &out.altitude} {
		t, err := readTable(name)
		if err != nil {
			panic("circuit: embedded tables: " + err.Error()) // held by a test
		}
		*to = t
	}
	return &out
})

// row returns the first row whose key is at least x.
func (t table) row(x float64) ([]float64, bool) {
	for _, r := range t {
		if r[0] >= x {
			return r, true
		}
	}
	return nil, false
}

// Surroundings are what insulation distances depend on besides the voltage.
type Surroundings struct {
	Pollution int         // degree 1 to 3 of iec-60664-1; creepage is known for 2 and 3
	Material  int         // group 1 to 3; 3 is IIIa and IIIb
	Category  int         // overvoltage category 1 to 4
	Altitude  unit.Length // above sea level
}

// Creepage returns the least way along a surface for basic insulation, the row of
// the table that is not below the voltage. Errors: ErrRange.
//
// Source: iec-60664-1, Table F.5.
func (s Surroundings) Creepage(u unit.Voltage) (unit.Length, error) {
	if s.Pollution < 2 || s.Pollution > 3 || s.Material < 1 || s.Material > 3 {
		return 0, fmt.Errorf("pollution degree %d, material group %d: 2 and 3, and 1 to 3, are in the table: %w", s.Pollution, s.Material, ErrRange)
	}
	r, ok := distanceTables().creepage.row(float64(u))
	if !ok {
		return 0, fmt.Errorf("creepage at %g V: up to 1250 V is in the table: %w", float64(u), ErrRange)
	}
	return unit.Length(r[1+3*(s.Pollution-2)+s.Material-1]) * unit.Millimetre, nil
}

// Impulse returns the rated impulse voltage. Errors: ErrRange.
//
// Source: iec-60664-1, Table F.1.
func (s Surroundings) Impulse(u unit.Voltage) (unit.Voltage, error) {
	r, ok := distanceTables().impulse.row(float64(u))
	if !ok || s.Category < 1 || s.Category > 4 {
		return 0, fmt.Errorf("impulse at %g V, category %d: up to 1500 V and 1 to 4 are in the table: %w", float64(u), s.Category, ErrRange)
	}
	return unit.Voltage(r[s.Category]), nil
}

// Clearance returns the least way through air for basic insulation in an
// inhomogeneous field, with the factor of the altitude; reinforced takes the
// next step of the impulse series. Errors: ErrRange.
//
// Source: iec-60664-1, Tables F.1, F.2 and A.2; the step for reinforced
// insulation from memory.
func (s Surroundings) Clearance(u unit.Voltage) (basic, reinforced unit.Length, err error) {
	impulse, err := s.Impulse(u)
	if err != nil {
		return 0, 0, err
	}
	d := distanceTables()
	high, ok := d.altitude.row(math.Max(0, float64(s.Altitude)))
	if !ok || s.Pollution < 1 || s.Pollution > 3 {
		return 0, 0, fmt.Errorf("clearance at %g m, pollution degree %d: up to 6000 m and 1 to 3 are in the table: %w", float64(s.Altitude), s.Pollution, ErrRange)
	}
	of := func(v float64) (unit.Length, error) {
		r, ok := d.clearance.row(v / 1000)
		if !ok {
			return 0, fmt.Errorf("clearance for an impulse of %g V: up to 15 kV is in the table: %w", v, ErrRange)
		}
		return unit.Length(r[s.Pollution]*high[1]) * unit.Millimetre, nil
	}
	if basic, err = of(float64(impulse)); err != nil {
		return 0, 0, err
	}
	reinforced, err = of(nextImpulse(float64(impulse)))
	return basic, reinforced, err
}

// nextImpulse returns the step above v, in V, of the series of rated impulse
// voltages. Source: iec-60664-1, 4.3.3.
func nextImpulse(v float64) float64 {
	for _, p := range []float64{330, 500, 800, 1500, 2500, 4000, 6000, 8000, 12000} {
		if p > v {
			return p
		}
	}
	return 1.6 * v
}

// Readings are the two readings of an isolation measurement with a known resistor.
type Readings struct {
	U1, U2    unit.Voltage    // minus pole to chassis, plus pole to chassis
	WithKnown unit.Voltage    // the larger of the two again, with the known resistor beside it
	Known     unit.Resistance // R0
}

// Isolation returns the lower of the two legs and the larger one:
//
//	R_i = R0·(U1 + U2)·(1/U' − 1/U_large),  other leg R_i·U_large/U_small
//
// The result of the formula is the leg at the pole with the smaller reading.
// Errors: ErrRange when the readings do not belong together.
//
// Source: un-r100, Annex 5, 1.2.3.
func (r Readings) Isolation() (lower, upper unit.Resistance, err error) {
	large, small := math.Max(float64(r.U1), float64(r.U2)), math.Min(float64(r.U1), float64(r.U2))
	with := float64(r.WithKnown)
	if !(with > 0) || !(small > 0) || with >= large || !(r.Known > 0) {
		return 0, 0, fmt.Errorf("readings of %g V, %g V and %g V: all above zero, and less with the resistor, are accepted: %w", float64(r.U1), float64(r.U2), with, ErrRange)
	}
	ri := float64(r.Known) * (large + small) * (1/with - 1/large)
	return unit.Resistance(ri), unit.Resistance(ri * large / small), nil
}

// ReadingAt returns what the second reading of two equal legs is when the lower
// leg is at the limit: the inverse of Isolation for U1 = U2 = U/2.
//
// Source: un-r100, Annex 5.
func ReadingAt(u unit.Voltage, limit, known unit.Resistance) unit.Voltage {
	return unit.Voltage(1 / (float64(limit)/(float64(known)*float64(u)) + 2/float64(u)))
}
