package pack

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"

	"packyard/cell"
	"packyard/unit"
)

// Topology is how a pack is wired, written 104S2P, or 2x104S2P for two strings.
type Topology struct {
	Series   int // cells in series in each string
	Parallel int // cells in parallel in each group
	Strings  int // strings in parallel
}

// ErrTopology is returned for a text that is not a topology.
var ErrTopology = errors.New("not a topology")

var topologyForm = regexp.MustCompile(`^(?:([1-9][0-9]{0,2})x)?([1-9][0-9]{0,3})S([1-9][0-9]{0,4})P$`)

// ParseTopology reads 104S2P or 2x104S2P. Errors: ErrTopology.
func ParseTopology(s string) (Topology, error) {
	m := topologyForm.FindStringSubmatch(s)
	if m == nil {
		return Topology{}, fmt.Errorf("%w: %q: a topology is written 104S2P, or 2x104S2P for two strings", ErrTopology, s)
	}
	t := Topology{Strings: 1}
	if m[1] != "" {
		t.Strings, _ = strconv.Atoi(m[1])
	}
	t.Series, _ = strconv.Atoi(m[2])
	t.Parallel, _ = strconv.Atoi(m[3])
	return t, nil
}

func (t Topology) String() string {
	if t.Strings > 1 {
		return fmt.Sprintf("%dx%dS%dP", t.Strings, t.Series, t.Parallel)
	}
	return fmt.Sprintf("%dS%dP", t.Series, t.Parallel)
}

// Cells returns the number of cells.
func (t Topology) Cells() int { return t.Series * t.Parallel * t.Strings }

// Across returns the number of cells in parallel in all: P·N.
func (t Topology) Across() int { return t.Parallel * t.Strings }

// Pack is a complete battery, electrically: what drive, design and search read.
type Pack struct {
	Topology   Topology
	Cell       *cell.Cell
	Resistance unit.Resistance // of interconnects, modules and cables, the whole pack, without cells
	SoCMin     unit.Ratio      // charge floor of use
	SoCMax     unit.Ratio      // charge at "full"
}

// Charge returns the rated charge of the pack, Q = N·P·q.
// Source: circuit law (handbook 3.1).
func (p *Pack) Charge() unit.Charge {
	return unit.Charge(float64(p.Topology.Across()) * float64(p.Cell.Capacity))
}

// VoltageFull returns S times the cell's end-of-charge voltage: the highest
// voltage that any device on the pack sees in service. Source: models section 2.
func (p *Pack) VoltageFull() unit.Voltage {
	return unit.Voltage(float64(p.Topology.Series) * float64(p.Cell.VoltageMax))
}

// VoltageNominal returns S times the nominal cell voltage: a name plate, never
// compared with a limit.
func (p *Pack) VoltageNominal() unit.Voltage {
	return unit.Voltage(float64(p.Topology.Series) * float64(p.Cell.VoltageNominal))
}

// VoltageFloor returns S times the cell's end-of-discharge voltage.
func (p *Pack) VoltageFloor() unit.Voltage {
	return unit.Voltage(float64(p.Topology.Series) * float64(p.Cell.VoltageMin))
}

// EnergyNominal returns rated charge times nominal voltage, E = S·u·N·P·q.
func (p *Pack) EnergyNominal() unit.Energy {
	return unit.Energy(float64(p.Charge()) * float64(p.VoltageNominal()))
}

// EnergyChemical returns what the cells give between SoCMax and SoCMin at no
// current and the health and temperature of t:
//
//	E = S·N·P·Q·∫ OCV dz  over z = SoCMin … SoCMax
//
// with the piecewise linear OCV of the table, exactly.
func (p *Pack) EnergyChemical(t *cell.Table) unit.Energy {
	a, b := float64(p.SoCMin), float64(p.SoCMax)
	per := float64(t.Capacity) * (integral(t.OCV, b) - integral(t.OCV, a))
	return unit.Energy(float64(p.Topology.Cells()) * per)
}

// integral returns ∫ y dz from 0 to z for evenly spaced y over 0…1.
func integral(y []float64, z float64) float64 {
	h := 1 / float64(len(y)-1)
	sum := 0.0
	i := 0
	for ; i < len(y)-1 && float64(i+1)*h <= z; i++ {
		sum += h * (y[i] + y[i+1]) / 2
	}
	if i < len(y)-1 {
		d := z - float64(i)*h
		sum += d * (y[i] + (y[i+1]-y[i])*d/(2*h))
	}
	return sum
}

// Read returns the value of evenly spaced y over 0…1 at z, dimensionless,
// linear between the entries and held at the ends. The value has the unit of y,
// which is a series in SI or dimensionless.
func Read(y []float64, z float64) float64 {
	n := len(y) - 1
	x := min(max(z, 0), 1) * float64(n)
	i := min(int(x), n-1)
	f := x - float64(i)
	return y[i] + (y[i+1]-y[i])*f
}

// ResistanceCell returns the resistance of one cell at charge z after the
// pulse duration d, RC pairs as far as they have settled by then:
//
//	r = R0 + Σ R_k·(1 − e^(−d/τ_k))
//
// Source: closed-form RC step.
func ResistanceCell(t *cell.Table, z unit.Ratio, d unit.Time) unit.Resistance {
	x := float64(z)
	r := Read(t.R0, x)
	r += settled(t.R1, t.Tau1, x, float64(d))
	r += settled(t.R2, t.Tau2, x, float64(d))
	return unit.Resistance(r)
}

// ResistanceTotal returns R = S/(N·P)·r + R_interconnect for a cell resistance r.
func (p *Pack) ResistanceTotal(r unit.Resistance) unit.Resistance {
	return unit.Resistance(float64(p.Topology.Series)/float64(p.Topology.Across())*float64(r) + float64(p.Resistance))
}
