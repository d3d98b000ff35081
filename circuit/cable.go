package circuit

import (
	"cmp"
	"fmt"
	"slices"

	"packyard/check"
	"packyard/part"
	"packyard/unit"
)

// bySection returns the cables with the smallest section in front, metric ones
// only: a workshop that has gauges names them.
func bySection(list []*part.CableSize) []*part.CableSize {
	var out []*part.CableSize
	for _, c := range list {
		if c.Gauge == "" {
			out = append(out, c)
		}
	}
	slices.SortStableFunc(out, func(a, b *part.CableSize) int { return cmp.Compare(a.Section, b.Section) })
	return out
}

// insulation returns the class that is computed with: the lowest when none is
// stated.
func (s *solver) insulation() (Insulation, bool) {
	if i, ok := InsulationOf(s.in.Stated.Class); ok {
		return i, true
	}
	return Insulations()[0], false
}

// pull is what one cable has to bear.
type pull struct {
	current float64    // A, without end
	peak    float64    // A, for the drop
	fuse    *part.Fuse // in front of it; nil: none was found
	fuses   int        // of such fuses in parallel that feed it
	length  float64    // m, along the path of the current
	drop    float64    // V, largest; 0: not looked at
}

// cableNeeds are the demands on a section.
func (s *solver) cableNeeds(c *part.CableSize, p pull) []need {
	ins, _ := s.insulation()
	u := s.in.Battery.VoltageFull
	iz := carried(c).At(ins.Continuous, s.in.Stated.Ambient)
	fail := func(rule, subject, source, remedy string, severity check.Severity) check.Finding {
		return check.Finding{Rule: "circuit.cable." + rule, Subject: subject, Severity: severity, Source: source, Remedy: remedy}
	}
	temps := []check.Input{in("I₁", "ampacity in free air", check.Of(c.AmpacityFree), ""), in("T_c", "conductor, by the class", check.Of(ins.Continuous), "iso-19642"),
		in("T_a", "air around it", check.Of(s.in.Stated.Ambient), "")}
	out := []need{
		limit(check.Against[unit.Voltage]{Value: u, Limit: c.Voltage}, fail("voltage", "voltage of the full pack against the rating", "iso-19642", "a cable for a higher voltage", check.Failure),
			check.Working{Formula: "U_full ≤ U_r", Result: check.Of(u)}),
		limit(check.Against[unit.Current]{Value: unit.Current(p.current), Limit: iz}, fail("ampacity", "continuous current against the ampacity", "handbook-ampacity", "a larger section, a higher class of insulation or cooler air", check.Failure),
			check.Working{Formula: "I_z = I₁·√((ΔT₂/ΔT₁)·(R₁/R₂))", Inputs: temps, Result: check.Of(iz)}),
	}
	if p.drop > 0 {
		r := float64(s.resistance(c, p.length))
		out = append(out, limit(check.Against[unit.Voltage]{Value: unit.Voltage(r * p.peak), Limit: unit.Voltage(p.drop)}, fail("drop", "voltage drop at the peak current", "common-practice", "a larger section or a shorter way", check.Warning),
			check.Working{Formula: "ΔU = I·l·R'·(234.5 + T)/254.5", Inputs: []check.Input{in("I", "peak current", check.Of(unit.Current(p.peak)), "computed"), in("l", "length of the path", check.Of(unit.Length(p.length)), ""),
				in("R'", "of 1 km at 20 °C", check.Of(c.ResistanceKm), "")}, Result: check.Of(unit.Voltage(r * p.peak))}))
	}
	if p.fuse == nil {
		return out
	}
	rated := unit.Current(float64(p.fuse.Current) * float64(p.fuses))
	through := unit.SquareAmpereSecond(float64(p.fuse.ClearingAt(u)) * square(float64(p.fuses)))
	bears, err := Heating{Start: ins.Continuous, End: ins.Fault}.Withstand(c.Section)
	if err != nil {
		return out // every class warms in a fault; held by a test
	}
	return append(out,
		limit(check.Against[unit.Current]{Value: rated, Limit: unit.Current(fusePerAmpacity * float64(iz))}, fail("fuse", "rating of the fuse in front against 1.45 times the ampacity", "iec-60364", "a larger section", check.Failure),
			check.Working{Formula: "I_fuse ≤ 1.45·I_z", Inputs: []check.Input{in("I_z", "ampacity", check.Of(iz), "computed")}, Result: check.Of(rated)}),
		limit(check.Against[unit.SquareAmpereSecond]{Value: through, Limit: bears}, fail("fault", "I²t that the fuse lets through against what the cable bears", "iec-60364", "a larger section or a faster fuse", check.Failure),
			check.Working{Formula: "I²t_clear(U) ≤ k²·S²", Inputs: []check.Input{in("S", "section", check.Of(c.Section), ""), in("T_f", "end of a fault", check.Of(ins.Fault), "iec-60364")}, Result: check.Of(through)}))
}

func carried(c *part.CableSize) Carried {
	return Carried{Current: c.AmpacityFree, Conductor: c.ConductorTemp, Ambient: c.AmbientTemp}
}

// resistance returns that of a length of cable with the conductor as hot as its
// class allows, which is on the safe side for the drop and for the lowest fault.
func (s *solver) resistance(c *part.CableSize, length float64) unit.Resistance {
	ins, _ := s.insulation()
	return CopperAt(unit.Resistance(float64(c.ResistanceKm)*length/1000), ins.Continuous)
}

// cables chooses a section for each kind of run and lists the cables.
func (s *solver) cables() {
	lengths, cores := map[RunKind]float64{}, map[RunKind]int{}
	var kinds []RunKind
	for _, r := range s.in.Runs {
		if cores[r.Kind] == 0 {
			kinds = append(kinds, r.Kind)
		}
		lengths[r.Kind] += float64(r.Length) * float64(r.Cores)
		cores[r.Kind] += r.Cores
	}
	list := bySection(s.parts.Cables)
	s.runResistance = map[RunKind]float64{}
	for _, k := range kinds {
		p := s.pullOf(k)
		p.length = lengths[k]
		var named *part.CableSize
		if k == RunMain || k == RunString {
			named = s.in.Stated.Cable
		}
		c := choose(list, named, cableTitle, func(x *part.CableSize) []need { return s.cableNeeds(x, p) })
		t := c.item("cable of the "+string(k), cores[k], cableID, cableTitle)
		if _, stated := s.insulation(); !stated {
			t.say(check.Finding{Rule: "circuit.cable.class", Subject: "temperature class of the insulation is not stated; the lowest, A, is computed with", Severity: check.Safety,
				Value: check.Of(Insulations()[0].Continuous), Source: "iso-19642", Remedy: "write the class that is printed on the cable: circuit.insulation_class, A to H"})
		}
		s.items = append(s.items, t)
		if c.part != nil {
			s.runResistance[k] = float64(s.resistance(c.part, p.length))
		}
		s.list(k, c.part, p)
	}
}

// pullOf returns what a kind of run has to bear.
func (s *solver) pullOf(k RunKind) pull {
	b := &s.in.Battery
	n := float64(b.Strings)
	switch k {
	case RunString:
		return pull{current: s.continuous / n, peak: s.peak / n, fuse: s.fuseChosen, fuses: 1}
	case RunMain:
		return pull{current: s.continuous, peak: s.peak, fuse: s.fuseChosen, fuses: b.Strings, drop: float64(s.in.Stated.DropMost) * float64(b.OCVEmpty)}
	case RunInlet:
		return pull{current: float64(s.in.Inlet.Current), peak: float64(s.in.Inlet.Current), fuse: s.fuseChosen, fuses: b.Strings}
	}
	i := s.branchCurrent(k)
	return pull{current: i, peak: i, fuse: s.branches[k], fuses: 1}
}

// branchCurrent returns the largest current of a branch, A.
func (s *solver) branchCurrent(k RunKind) float64 {
	if k == RunCharger && s.in.Charger != nil {
		return float64(s.in.Charger.CurrentMax)
	}
	if k == RunConverter && s.in.Convert != nil && s.in.Battery.VoltageLowest > 0 {
		c := s.in.Convert
		return (float64(c.PowerMax)/float64(c.Efficiency) + float64(c.Idle)) / float64(s.in.Battery.VoltageLowest)
	}
	return 0
}

// list adds the cables of a kind to the result.
func (s *solver) list(k RunKind, c *part.CableSize, p pull) {
	ins, stated := s.insulation()
	for _, r := range s.in.Runs {
		if r.Kind != k {
			continue
		}
		for core := range r.Cores {
			label := r.From + " to " + r.To
			if r.Cores == 2 {
				label += []string{", plus", ", minus"}[core]
			}
			w := Cable{ID: fmt.Sprintf("W%d", len(s.wires)+1), From: r.From, To: r.To, Label: label, Length: r.Length, Estimated: r.Estimated, Current: unit.Current(p.current)}
			if stated {
				w.Class = ins.Class
			}
			if c != nil {
				w.Part, w.Section = c.ID, c.Section
				w.Ampacity = carried(c).At(ins.Continuous, s.in.Stated.Ambient)
				w.Resistance = s.resistance(c, float64(r.Length))
			}
			s.wires = append(s.wires, w)
		}
	}
}
