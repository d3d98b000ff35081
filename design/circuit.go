package design

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"packyard/check"
	"packyard/circuit"
	"packyard/pack"
	"packyard/part"
	"packyard/unit"
	"packyard/vehicle"
)

// ErrCircuit says that no circuit can be made for an option.
var ErrCircuit = errors.New("no circuit can be made")

// Circuit is what is stated of the high-voltage circuit.
type Circuit struct {
	circuit.Stated
	Parts     *part.Catalogue                 // to choose from; nil: the built-in one
	Lengths   map[circuit.RunKind]unit.Length // of one core, as the builder measured it
	Inverter  *vehicle.Point                  // where it sits; nil: found among what is added
	Charger   *vehicle.Point
	Converter *vehicle.Point
}

// CircuitReport is the circuit of an option: one form for command and server.
type CircuitReport struct {
	Option   string              `json:"option"`
	Project  string              `json:"project"`
	Invented bool                `json:"invented_data"`
	Topology string              `json:"topology"`
	Verdict  string              `json:"verdict"` // "fits" or "does not fit"
	Open     int                 `json:"safety_open"`
	Faults   []circuit.FaultSpan `json:"faults"`
	Items    []circuit.Choice    `json:"items"`
	Cables   []circuit.Cable     `json:"cables"`
	Net      circuit.Net         `json:"net"`
	Chart    circuit.Chart       `json:"chart"`
	Findings []check.Finding     `json:"findings"`
	Assumed  []check.Assumption  `json:"assumptions"`
	Cautions []string            `json:"cautions"`
}

// Circuit makes the high-voltage circuit of a placed option. Errors: ErrCircuit.
func (f *Frame) Circuit(p *Placed) (*CircuitReport, error) {
	input, err := f.circuitInput(p)
	if err != nil {
		return nil, err
	}
	r, err := circuit.Assess(*input)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrCircuit, err)
	}
	out := &CircuitReport{
		Option: p.ID, Project: f.Brief.Title, Invented: f.Brief.Invented, Topology: p.Wiring.Topology.String(), Verdict: "fits",
		Faults: r.Faults, Items: r.Items, Cables: r.Cables, Net: r.Net, Chart: r.Chart, Findings: r.Findings, Assumed: r.Assumed,
		Cautions: append([]string{
			"The circuit is a proposal from generic parts. The sheet of each part in hand takes the place of its generic figures before anything is bought or built.",
			"Fuses, contactors and isolation decide over lives: a licensed person checks the design and the finished work.",
		}, cautions...),
	}
	check.Acknowledge(out.Findings, f.Brief.Acknowledged)
	for i := range out.Items {
		check.Acknowledge(out.Items[i].Findings, f.Brief.Acknowledged)
		if out.Items[i].None != "" {
			out.Verdict = "does not fit"
		}
	}
	for _, g := range out.Findings {
		if g.Broken() {
			out.Verdict = "does not fit"
		}
	}
	out.Open = check.Open(out.Findings)
	return out, nil
}

// circuitInput gathers what the circuit is made from.
func (f *Frame) circuitInput(p *Placed) (*circuit.Input, error) {
	b := f.Brief
	w, win := &p.Wiring, f.window(p)
	l := w.lot
	if len(p.Places) == 0 || p.Loading.Short > 0 {
		return nil, fmt.Errorf("%w: %d modules have no place", ErrCircuit, max(p.Loading.Short, 1))
	}
	hot := b.Targets.Hottest
	if hot == 0 {
		hot = b.Road.Ambient
	}
	warm, err := l.Slice.Cell.At(hot, l.New.Health, tableSize)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrCircuit, err)
	}
	series, across, strings := float64(w.Topology.Series), float64(w.Topology.Parallel), float64(w.Topology.Strings)
	// Interconnects of one string without cables, fuse and contactors.
	inside := math.Max(0, float64(p.Figures.Resistance)*strings-float64(b.Build.CableResistance))
	least := series/across*leastResistance(pack.ResistanceCell(warm, 1, 0), pack.ResistanceCell(warm, 0.9, 0)) + inside
	most := series/across*float64(pack.ResistanceCell(l.End.Cold, b.Drive.ReserveLow, pulse)) + inside
	rated := float64(w.Topology.Across())
	in := &circuit.Input{
		Battery: circuit.Battery{
			Strings: w.Topology.Strings, VoltageFull: win.Full, VoltageLowest: win.Lowest,
			OCVFull: win.Full, OCVEmpty: unit.Voltage(series * pack.Read(l.End.Cold.OCV, float64(b.Drive.ReserveLow))),
			ResistanceLeast: unit.Resistance(least), ResistanceMost: unit.Resistance(most), PathStated: b.Build.CableResistance,
			CellResistance: unit.Resistance(float64(pack.ResistanceCell(warm, 1, 0)) / across),
		},
		Loads: circuit.Loads{
			RMS: max(p.New.CurrentRMS, p.End.CurrentRMS), Climb: unit.Current(p.Values.Value[Climb] * rated),
			Peak:        max(p.New.CurrentPeak10s, p.End.CurrentPeak10s, unit.Current(p.Values.Value[CurrentPeak]*rated)),
			Regenerated: unit.Current(math.Max(math.Abs(float64(p.New.CurrentChargePeak10s)), math.Abs(float64(p.End.CurrentChargePeak10s)))),
			ShareLow:    b.Drive.ReserveLow,
		},
		Inverter: b.Drive.Inverter, Charger: b.Drive.Charger, Convert: b.Drive.Converter,
		Inlet:  circuit.Inlet{Current: b.Drive.Inlet.CurrentMax, Voltage: b.Drive.Inlet.VoltageMax},
		Stated: b.Circuit.Stated, Parts: b.Circuit.Parts,
	}
	if l.Hardware != nil {
		in.Battery.JointResistance = l.Hardware.JointResistance
	}
	for _, x := range b.Drive.Auxiliary.Loads {
		in.Loads.Low12 += x.Power
		if x.Name == "main contactors held" {
			in.Loads.CoilsBefore = x.Power
		}
	}
	in.Battery.Modules = f.circuitModules(p)
	in.Runs = f.circuitRuns(p)
	return in, nil
}

func leastResistance(a, b unit.Resistance) float64 { return float64(min(a, b)) }

// circuitModules deals the modules of the first string out over the bays in their
// order: the strings are alike but for the bays.
func (f *Frame) circuitModules(p *Placed) []circuit.Modules {
	left := p.Modules.String
	var out []circuit.Modules
	for i, n := range p.Loading.Count {
		m := circuit.Modules{Bay: f.Brief.Bays[i].Name}
		for k := range n {
			take := min(n[k], left[k])
			if take == 0 {
				continue // a cut of one length has no second stack
			}
			left[k] -= take
			u := unit.Voltage(p.Modules.Stack[k].Series()) * p.Wiring.lot.Slice.Cell.VoltageMax
			for range take {
				m.Voltage = append(m.Voltage, u)
			}
		}
		if len(m.Voltage) > 0 {
			out = append(out, m)
		}
	}
	return out
}

// Cable that is not measured: the way along the axes of the vehicle, a quarter more
// for bends, and half a metre for both ends. Source: assumption.
const (
	cableBends = 1.25
	cableEnds  = 0.5 // m
)

// circuitRuns estimates the cables: between the bays of a string, from the switch
// box in the bay nearest to the inverter to inverter, charger, converter and inlet.
func (f *Frame) circuitRuns(p *Placed) []circuit.Run {
	c := &f.Brief.Circuit
	inverter := f.deviceAt(c.Inverter, "inverter", "controller", "drive unit")
	var used []int
	near, least := -1, math.Inf(1)
	for i, n := range p.Loading.Count {
		if n[0]+n[1] == 0 {
			continue
		}
		used = append(used, i)
		if d := float64(along(f.bays[i].centre, inverter)); d < least {
			near, least = i, d
		}
	}
	var out []circuit.Run
	add := func(kind circuit.RunKind, from, to string, cores int, a, b vehicle.Point) {
		r := circuit.Run{Kind: kind, From: from, To: to, Cores: cores, Length: cableBends*along(a, b) + cableEnds, Estimated: true}
		if l, stated := c.Lengths[kind]; stated {
			r.Length, r.Estimated = l, false
		}
		out = append(out, r)
	}
	name := func(i int) string { return f.Brief.Bays[i].Name }
	for range p.Wiring.Topology.Strings {
		for k := 1; k < len(used); k++ {
			add(circuit.RunString, name(used[k-1]), name(used[k]), 1, f.bays[used[k-1]].centre, f.bays[used[k]].centre)
		}
		// Both ends of the string come back to the switch box.
		for _, end := range []int{used[0], used[len(used)-1]} {
			if end != near {
				add(circuit.RunString, name(end), "switch box in "+name(near), 1, f.bays[end].centre, f.bays[near].centre)
			}
		}
	}
	box, at := "switch box in "+name(near), f.bays[near].centre
	add(circuit.RunMain, box, "inverter", 2, at, inverter)
	if f.Brief.Drive.Charger != nil {
		add(circuit.RunCharger, box, "charger", 2, at, f.deviceAt(c.Charger, "charger", "inverter"))
	}
	if f.Brief.Drive.Converter != nil {
		add(circuit.RunConverter, box, "12 V converter", 2, at, f.deviceAt(c.Converter, "converter", "charger", "inverter"))
	}
	if f.Brief.Drive.Inlet.CurrentMax > 0 {
		add(circuit.RunInlet, box, "inlet", 2, at, f.deviceAt(c.Charger, "inlet", "charger", "inverter"))
	}
	return out
}

func along(a, b vehicle.Point) unit.Length {
	d := func(x, y unit.Length) float64 { return math.Abs(float64(x - y)) }
	return unit.Length(d(a.X, b.X) + d(a.Y, b.Y) + d(a.Z, b.Z))
}

// deviceAt returns where a device sits: as stated, else where the first item that is
// added to the vehicle under one of the words sits, else on the front axle line.
func (f *Frame) deviceAt(stated *vehicle.Point, words ...string) vehicle.Point {
	if stated != nil {
		return *stated
	}
	for _, word := range words {
		for _, it := range f.Brief.Donor.Added {
			if strings.Contains(strings.ToLower(it.Name), word) {
				return it.At
			}
		}
	}
	return vehicle.Point{Z: 0.5}
}
