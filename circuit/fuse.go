package circuit

import (
	"math"

	"packyard/check"
	"packyard/part"
	"packyard/unit"
)

// Rules of the trade for fuses.
const (
	fuseLoad     = 0.8    // continuous load over the derated rating. Source: common-practice
	fuseHottest  = 403.15 // K, at which a fuse carries nothing. Source: fuse-guide
	fuseBase     = 303.15 // K, at which it is rated. Source: fuse-guide
	pulseShare   = 0.6    // I²t of repeated pulses over that which melts. Source: common-practice
	peakTime     = 10.0   // s
	voltageShare = 1.25   // rating of a contactor over the voltage of its circuit. Source: contactor-note
)

// FuseFactor returns the factor on the rating of a fuse in air of temperature t,
//
//	A₁ = √((130 °C − t)/(130 °C − 30 °C)), at most one, zero from 130 °C
//
// Source: fuse-guide (square root from memory).
func FuseFactor(t unit.Temperature) unit.Ratio {
	return unit.Ratio(math.Min(1, math.Sqrt(math.Max(0, fuseHottest-float64(t))/(fuseHottest-fuseBase))))
}

// FuseRatingLeast returns the smallest rating for a continuous load in air of
// temperature t, I/(0.8·A₁); infinite heat is an error. Errors: ErrRange.
//
// Source: fuse-guide, common-practice (0.8).
func FuseRatingLeast(load unit.Current, t unit.Temperature) (unit.Current, error) {
	a := float64(FuseFactor(t))
	if a == 0 {
		return 0, ErrRange
	}
	return unit.Current(float64(load) / (fuseLoad * a)), nil
}

// duty is what one fuse sees.
type duty struct {
	continuous, peak float64 // A; the peak for peakTime
	inrush           float64 // A²s, when the contactor closes
	highest, lowest  float64 // A, of a fault
	constant         float64 // s, L/R of the highest
}

// fuseNeeds are the demands on a fuse.
func (s *solver) fuseNeeds(f *part.Fuse, d duty) []need {
	u := s.in.Battery.VoltageFull
	a := float64(FuseFactor(s.in.Stated.Ambient))
	carries := unit.Current(fuseLoad * a * float64(f.Current))
	peak := unit.SquareAmpereSecond(square(d.peak) * peakTime)
	peakAllowed := unit.SquareAmpereSecond(math.Min(pulseShare*float64(f.MeltingAt(unit.Current(d.peak))), 1e15))
	fail := func(rule, subject, source, remedy string) check.Finding {
		return check.Finding{Rule: "circuit.fuse." + rule, Subject: subject, Severity: check.Failure, Source: source, Remedy: remedy}
	}
	rating := check.Of(f.Current)
	out := []need{
		limit(check.Against[unit.Voltage]{Value: u, Limit: f.Voltage}, fail("voltage", "voltage of the full pack against the DC rating", "iec-60269-4", "a fuse for a higher voltage"),
			check.Working{Formula: "U_full ≤ U_r", Inputs: []check.Input{in("U_r", "rated voltage", check.Of(f.Voltage), "")}, Result: check.Of(u)}),
		limit(check.Against[unit.Current]{Value: unit.Current(d.highest), Limit: f.Breaking}, fail("breaking", "highest fault current against the breaking capacity", "iec-60269-4", "a fuse of more breaking capacity"),
			check.Working{Formula: "I_highest ≤ I_breaking", Inputs: []check.Input{in("I_breaking", "breaking capacity", check.Of(f.Breaking), "")}, Result: check.Of(unit.Current(d.highest))}),
		limit(check.Against[unit.Time]{Value: unit.Time(d.constant), Limit: f.TimeConstant}, fail("time_constant", "time constant of the fault circuit against that of the rating", "iec-60269-4", "a fuse rated for a longer time constant, or less inductance: plus and minus side by side"),
			check.Working{Formula: "τ = L/R ≤ τ_r", Inputs: []check.Input{in("L", "inductance of the loop", check.Of(s.in.Stated.Inductance), ""), in("τ_r", "of the rating", check.Of(f.TimeConstant), "")}, Result: check.Of(unit.Time(d.constant))}),
		limit(check.Against[unit.Current]{Value: unit.Current(d.continuous), Limit: carries}, fail("continuous", "continuous current against what the fuse carries in its air", "fuse-guide", "a larger fuse, or cooler air around it"),
			check.Working{Formula: "I ≤ 0.8·√((130 °C − T)/(130 °C − 30 °C))·I_r", Inputs: []check.Input{in("I", "continuous current", check.Of(unit.Current(d.continuous)), "computed"),
				in("T", "air at the fuse", check.Of(s.in.Stated.Ambient), ""), in("I_r", "rating", rating, "")}, Result: check.Of(carries)}),
		limit(check.Against[unit.SquareAmpereSecond]{Value: peak, Limit: peakAllowed}, fail("peak", "I²t of the ten-second peak against 0.6 of that which melts", "common-practice", "a larger fuse"),
			check.Working{Formula: "I²·t ≤ 0.6·I²t_melt(I), at the fast edge of the curve", Inputs: []check.Input{in("I", "peak current", check.Of(unit.Current(d.peak)), "computed"), in("t", "its time", check.Of(unit.Time(peakTime)), "")}, Result: check.Of(peak)}),
	}
	if d.inrush > 0 {
		inrush := unit.SquareAmpereSecond(d.inrush)
		out = append(out, limit(check.Against[unit.SquareAmpereSecond]{Value: inrush, Limit: unit.SquareAmpereSecond(pulseShare * float64(f.Melting))},
			fail("inrush", "I²t of what is left to charge when the contactor closes against 0.6 of that which melts", "circuit-law", "precharge further"),
			check.Working{Formula: "∫i²dt = ((1 − q)·U)²·C/(2·R)", Inputs: []check.Input{in("q", "precharged to", check.Of(s.in.Stated.ShareClosed), ""), in("C", "capacitance", check.Of(s.capacitance), "")}, Result: check.Of(inrush)}))
	}
	clears := f.ClearsBy(unit.Current(d.lowest), u)
	w := check.Working{Formula: "t_melt(0.9·I) + (I²t_clear − I²t_melt)/I², slow edge of the curve", Inputs: []check.Input{in("I", "lowest fault current", check.Of(unit.Current(d.lowest)), "computed"),
		in("I_min", "lowest current that it breaks", check.Of(f.BreakingMin), "")}, Result: check.Of(clears)}
	return append(out, limit(check.Against[unit.Time]{Value: clears, Limit: adiabaticMost},
		fail("lowest", "time to clear the lowest fault current", "iec-60364", "a smaller or faster fuse, or less resistance in the path: thicker cable"), w))
}

// fuse chooses the fuse of each string.
func (s *solver) fuse() {
	b := &s.in.Battery
	n := float64(b.Strings)
	d := duty{continuous: s.continuous / n, peak: s.peak / n, highest: float64(s.main.ThroughFuse), lowest: float64(s.main.Lowest) / n, constant: float64(s.main.Constant), inrush: s.inrush / (n * n)}
	c := choose(s.parts.Fuses, s.in.Stated.Fuse, fuseTitle, func(f *part.Fuse) []need { return s.fuseNeeds(f, d) })
	count := b.Strings
	if s.in.Stated.Fuses > 0 {
		count = s.in.Stated.Fuses
	}
	t := c.item("fuse of each string", count, fuseID, fuseTitle)
	if count < b.Strings {
		t.add(limit(check.Against[unit.Ratio]{Value: unit.Ratio(count), Limit: unit.Ratio(b.Strings), Lower: true}, check.Finding{
			Rule: "circuit.fuse.strings", Subject: "fuses against strings: a fault inside one string is fed by the others", Severity: check.Safety, Source: "common-practice",
			Remedy: "one fuse, and contactors in both poles, for each string",
		}, check.Working{}))
		last := &t.Findings[len(t.Findings)-1]
		last.Value, last.Limit = check.Number(float64(count), "fuses"), check.Number(float64(b.Strings), "strings")
	}
	s.fuseChosen, s.duty = c.part, d
	s.items = append(s.items, t)
}

// branchFuse chooses the fuse of a branch behind the main contactors.
func (s *solver) branchFuse(kind RunKind, current float64) *part.Fuse {
	r := float64(s.in.Battery.ResistanceMost+s.path)/float64(s.in.Battery.Strings) + s.before[kind]
	lowest := float64(s.in.Battery.OCVEmpty) / r
	d := duty{continuous: current, peak: current, highest: float64(s.main.Highest), lowest: lowest, constant: float64(s.main.Constant)}
	c := choose(s.parts.Fuses, nil, fuseTitle, func(f *part.Fuse) []need { return s.fuseNeeds(f, d) })
	s.items = append(s.items, c.item("fuse of the "+string(kind), 1, fuseID, fuseTitle))
	s.faults = append(s.faults, FaultSpan{Place: string(kind), Highest: s.main.Highest, ThroughFuse: s.main.Highest, Lowest: unit.Current(lowest), Constant: s.main.Constant})
	return c.part
}
