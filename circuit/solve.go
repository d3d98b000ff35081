package circuit

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"packyard/check"
	"packyard/part"
	"packyard/unit"
)

// solver carries what is known while the circuit is made.
type solver struct {
	in    *Input
	parts *part.Catalogue

	path             unit.Resistance  // of cables, fuse and contactors of a string
	capacitance      unit.Capacitance // between the poles; zero: not known
	continuous, peak float64          // A of the pack
	inrush           float64          // A²s of the pack when the main contactor closes
	main             FaultSpan        // at the output of the pack
	duty             duty             // of the fuse of a string

	fuseChosen    *part.Fuse
	contactorUsed *part.Contactor
	resistorUsed  *part.PulseResistor
	disconnect    *part.Disconnect
	disconnects   int   // of each string
	cuts          []int // modules in front of each
	monitor       *part.IsolationMonitor
	branches      map[RunKind]*part.Fuse
	runResistance map[RunKind]float64 // Ω, of the cables as chosen
	before        map[RunKind]float64 // the same the first time
	coils         float64             // W, of all contactors while they are held

	items  []Choice
	faults []FaultSpan
	wires  []Cable
}

// Assess makes the circuit of a pack. Errors: ErrInput; those of an input that is
// outside the tables are findings.
func Assess(input Input) (*Result, error) {
	b := &input.Battery
	switch {
	case b.Strings < 1 || len(b.Modules) == 0:
		return nil, fmt.Errorf("%w: a battery of at least one string of modules is needed", ErrInput)
	case !(b.VoltageFull > 0) || !(b.OCVFull > 0) || !(b.OCVEmpty > 0) || !(b.ResistanceLeast > 0) || !(b.ResistanceMost > 0):
		return nil, fmt.Errorf("%w: voltages and resistances of the battery above zero are needed", ErrInput)
	case input.Inverter == nil:
		return nil, fmt.Errorf("%w: an inverter is needed", ErrInput)
	case input.Stated.Ambient <= 0 || !(input.Stated.ShareClosed > 0 && input.Stated.ShareClosed < 1):
		return nil, fmt.Errorf("%w: the temperature around the cables and the share of precharging are needed", ErrInput)
	}
	// The lowest fault current needs the resistance of cables and fuse, which are
	// chosen by it: the second time with what the first has chosen.
	path := b.PathStated
	s := newSolver(&input, path, nil)
	s.all()
	s = newSolver(&input, max(path, s.pathResistance()), s.runResistance)
	s.all()
	return s.result(), nil
}

func newSolver(input *Input, path unit.Resistance, runs map[RunKind]float64) *solver {
	s := &solver{in: input, parts: sorted(input.Parts), path: path, before: runs, branches: map[RunKind]*part.Fuse{}}
	s.capacitance = input.Stated.Capacitance
	if s.capacitance == 0 {
		s.capacitance = input.Inverter.Capacitance
	}
	l := &input.Loads
	s.continuous = math.Max(float64(l.RMS), float64(l.Climb))
	if input.Charger != nil {
		s.continuous = math.Max(s.continuous, float64(input.Charger.CurrentMax))
	}
	s.continuous = math.Max(s.continuous, float64(input.Inlet.Current))
	s.peak = math.Max(math.Max(float64(l.Peak), float64(l.Regenerated)), s.continuous)
	s.prospective()
	left := (1 - float64(input.Stated.ShareClosed)) * float64(input.Battery.VoltageFull)
	r := float64(input.Battery.ResistanceLeast) / float64(input.Battery.Strings)
	s.inrush = square(left) * float64(s.capacitance) / (2 * r)
	return s
}

// sorted returns the catalogue with the smallest parts in front.
func sorted(c *part.Catalogue) *part.Catalogue {
	if c == nil {
		c = part.BuiltIn()
	}
	out := *c
	out.Fuses = slices.SortedStableFunc(slices.Values(c.Fuses), func(a, b *part.Fuse) int {
		return cmp.Or(cmp.Compare(a.Current, b.Current), cmp.Compare(a.Voltage, b.Voltage))
	})
	out.Contactors = slices.SortedStableFunc(slices.Values(c.Contactors), func(a, b *part.Contactor) int {
		return cmp.Or(cmp.Compare(a.Current, b.Current), cmp.Compare(a.Voltage, b.Voltage))
	})
	out.Disconnects = slices.SortedStableFunc(slices.Values(c.Disconnects), func(a, b *part.Disconnect) int {
		return cmp.Or(cmp.Compare(a.Current, b.Current), cmp.Compare(a.Voltage, b.Voltage))
	})
	out.Monitors = slices.SortedStableFunc(slices.Values(c.Monitors), func(a, b *part.IsolationMonitor) int { return cmp.Compare(a.Voltage, b.Voltage) })
	out.Resistors = slices.SortedStableFunc(slices.Values(c.Resistors), func(a, b *part.PulseResistor) int {
		return cmp.Or(cmp.Compare(a.Pulse, b.Pulse), -cmp.Compare(a.Resistance, b.Resistance))
	})
	return &out
}

// all answers every question in an order in which each finds what it needs.
func (s *solver) all() {
	s.faultItem()
	s.fuse()
	for _, k := range []RunKind{RunCharger, RunConverter} {
		if i := s.branchCurrent(k); i > 0 {
			s.branches[k] = s.branchFuse(k, i)
		}
	}
	s.cables()
	s.contactors()
	s.coordination()
	s.precharge()
	s.discharge()
	s.bars()
	s.service()
	s.isolation()
	s.capacitanceY()
	s.ways()
	s.interlock()
	s.sense()
	s.low()
}

func (s *solver) result() *Result {
	out := &Result{Faults: append([]FaultSpan{s.main}, s.faults...), Items: s.items, Cables: s.wires, Findings: []check.Finding{}, Assumed: append([]check.Assumption{}, s.in.Stated.Assumed.List...)}
	if out.Cables == nil {
		out.Cables = []Cable{}
	}
	for i := range out.Items {
		out.Findings = append(out.Findings, out.Items[i].Findings...)
	}
	out.Chart = s.chart()
	out.Net = s.net()
	return out
}

// prospective finds the fault currents at the output of the pack.
func (s *solver) prospective() {
	b := &s.in.Battery
	n := float64(b.Strings)
	one := float64(b.OCVFull) / float64(b.ResistanceLeast)
	through := one
	if n > 2 {
		through = (n - 1) * one // into a fault inside one string, from all the others
	}
	tau := float64(TimeConstant(s.in.Stated.Inductance, b.ResistanceLeast)) * n
	s.main = FaultSpan{
		Place: "output of the pack", Highest: unit.Current(n * one), ThroughFuse: unit.Current(through),
		Lowest: unit.Current(n * float64(b.OCVEmpty) / float64(b.ResistanceMost+s.path)), Constant: unit.Time(tau),
	}
}

// faultItem shows how the fault currents came about.
func (s *solver) faultItem() {
	b := &s.in.Battery
	t := newChoice("fault currents")
	strings := in("N", "strings", check.Number(float64(b.Strings), "strings"), "")
	t.Workings = append(t.Workings,
		check.Working{Name: "highest fault current", Formula: "I = N·U/R, bolted at the terminals, no cable", Source: "circuit-law", Result: check.Of(s.main.Highest),
			Inputs: []check.Input{strings, in("U", "of a string, full, at rest", check.Of(b.OCVFull), ""), in("R", "of a string of cells and modules: full, warm, as bought, at once", check.Of(b.ResistanceLeast), "")}},
		check.Working{Name: "highest fault current through the fuse of a string", Formula: "the larger of that of its own string and that of all the others into it", Source: "circuit-law", Result: check.Of(s.main.ThroughFuse), Inputs: []check.Input{strings}},
		check.Working{Name: "lowest fault current", Formula: "I = N·U/(R + R_path)", Source: "circuit-law", Result: check.Of(s.main.Lowest),
			Inputs: []check.Input{strings, in("U", "of a string at the charge floor", check.Of(b.OCVEmpty), ""), in("R", "of a string: coldest day, end of life, after ten seconds", check.Of(b.ResistanceMost), ""),
				in("R_path", "cables, fuse and contactors", check.Of(s.path), "")}},
		check.Working{Name: "time constant of the fault circuit", Formula: "τ = L·N/R", Source: "circuit-law", Result: check.Of(s.main.Constant), Inputs: []check.Input{in("L", "inductance of the loop", check.Of(s.in.Stated.Inductance), "")}},
	)
	s.items = append(s.items, t)
}

// pathResistance returns cables to the inverter, fuse and two contactors of a
// string, as chosen; cables that all strings share count for each of them.
func (s *solver) pathResistance() unit.Resistance {
	b := &s.in.Battery
	r := s.runResistance[RunString] + s.runResistance[RunMain]*float64(b.Strings)
	if s.fuseChosen != nil {
		r += float64(s.fuseChosen.Resistance)
	}
	if c := s.contactorUsed; c != nil && c.Current > 0 {
		r += 2 * float64(c.ContactVoltage) / float64(c.Current)
	}
	if s.disconnect != nil {
		r += float64(s.disconnect.Resistance) * float64(s.disconnects)
	}
	return unit.Resistance(r)
}
