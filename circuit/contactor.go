package circuit

import (
	"math"

	"packyard/check"
	"packyard/part"
	"packyard/unit"
)

// contactorNeeds are the demands on each contactor of a string.
func (s *solver) contactorNeeds(c *part.Contactor) []need {
	b := &s.in.Battery
	n := float64(b.Strings)
	fail := func(rule, subject, source, remedy string, severity check.Severity) check.Finding {
		return check.Finding{Rule: "circuit.contactor." + rule, Subject: subject, Severity: severity, Source: source, Remedy: remedy}
	}
	carry, peak := unit.Current(s.continuous/n), unit.Current(s.peak/n)
	regen := unit.Current(float64(s.in.Loads.Regenerated) / n)
	out := []need{
		limit(check.Against[unit.Voltage]{Value: b.VoltageFull, Limit: c.Voltage}, fail("voltage", "voltage of the full pack against the rating", "iec-60664-1", "contactors for a higher voltage", check.Failure),
			check.Working{Formula: "U_full ≤ U_r", Inputs: []check.Input{in("U_r", "rated voltage", check.Of(c.Voltage), "")}, Result: check.Of(b.VoltageFull)}),
		limit(check.Against[unit.Voltage]{Value: voltageShare * b.VoltageFull, Limit: c.Voltage}, fail("voltage.margin", "1.25 times the voltage of the full pack against the rating", "contactor-note", "contactors for a higher voltage: the arc of the break wants the room", check.Warning),
			check.Working{Formula: "1.25·U_full ≤ U_r", Inputs: []check.Input{in("U_r", "rated voltage", check.Of(c.Voltage), "")}, Result: check.Of(voltageShare * b.VoltageFull)}),
		limit(check.Against[unit.Current]{Value: carry, Limit: c.Current}, fail("carry", "continuous current against the rating", "contactor-datasheet", "larger contactors", check.Failure),
			check.Working{Formula: "I ≤ I_r", Inputs: []check.Input{in("I_r", "rated current", check.Of(c.Current), ""), in("T", "air at that rating", check.Of(c.Ambient), "")}, Result: check.Of(carry)}),
		limit(check.Against[unit.Temperature]{Value: s.in.Stated.Ambient, Limit: c.Ambient}, fail("ambient", "air around it against that of the rating", "contactor-datasheet", "a cooler place", check.Failure), check.Working{}),
		limit(check.Against[unit.Time]{Value: peakTime, Limit: c.Carries(peak)}, fail("peak", "ten seconds of the peak current against the time that it carries it", "contactor-datasheet", "larger contactors", check.Failure),
			check.Working{Formula: "t(I), straight lines in the logarithms of the printed points", Inputs: []check.Input{in("I", "peak current", check.Of(peak), "computed")}, Result: check.Of(c.Carries(peak))}),
		limit(check.Against[unit.Current]{Value: peak, Limit: c.Break}, fail("break", "peak current against what it breaks in an emergency", "contactor-datasheet", "larger contactors", check.Failure),
			check.Working{Formula: "I_peak ≤ I_break", Inputs: []check.Input{in("I_break", "once, forward", check.Of(c.Break), "")}, Result: check.Of(peak)}),
	}
	if regen > 0 {
		out = append(out, limit(check.Against[unit.Current]{Value: regen, Limit: c.BreakReverse}, fail("reverse", "regenerated current against what it breaks against its marked direction", "contactor-datasheet",
			"contactors that break in both directions: braking with the motor turns the current round", check.Safety),
			check.Working{Formula: "I_regen ≤ I_break,reverse", Inputs: []check.Input{in("I_break,reverse", "against the marked direction", check.Of(c.BreakReverse), "")}, Result: check.Of(regen)}))
	}
	if s.capacitance > 0 {
		left := (1 - float64(s.in.Stated.ShareClosed)) * float64(b.VoltageFull)
		closes := unit.Current(left / float64(b.ResistanceLeast+s.path))
		out = append(out, limit(check.Against[unit.Current]{Value: closes, Limit: c.Make}, fail("make", "current when it closes on what precharging has left", "circuit-law", "precharge further", check.Failure),
			check.Working{Formula: "I = (1 − q)·U/(R + R_path)", Inputs: []check.Input{in("q", "precharged to", check.Of(s.in.Stated.ShareClosed), ""), in("R", "of a string", check.Of(b.ResistanceLeast), "")}, Result: check.Of(closes)}))
	}
	if f := s.fuseChosen; f != nil {
		through := f.ClearingAt(b.VoltageFull)
		out = append(out, limit(check.Against[unit.SquareAmpereSecond]{Value: through, Limit: c.Withstand()}, fail("fault", "I²t that the fuse lets through against what it bears closed", "contactor-datasheet", "a faster or smaller fuse, or larger contactors", check.Failure),
			check.Working{Formula: "I²t_clear(U) ≤ I²·t of the shortest printed time", Inputs: []check.Input{in("I²t_clear", "of "+f.Title, check.Of(through), "computed")}, Result: check.Of(c.Withstand())}))
		out = append(out, s.gap(c, f)...)
	}
	return out
}

// gap are the two demands that leave no current between what the contactor breaks
// and what the fuse clears.
func (s *solver) gap(c *part.Contactor, f *part.Fuse) []need {
	u := s.in.Battery.VoltageFull
	clears := f.ClearsBy(c.Break, u)
	n := float64(s.in.Battery.Strings)
	// A current that is smaller than the lowest fault does not come from one.
	from := math.Max(float64(c.Break), float64(s.main.Lowest)/n)
	carries := c.Carries(unit.Current(from))
	clears = min(clears, f.ClearsBy(unit.Current(from), u))
	return []need{
		limit(check.Against[unit.Current]{Value: f.BreakingMin, Limit: max(c.Break, unit.Current(float64(s.main.Lowest)/n))}, check.Finding{Rule: "circuit.gap.current", Severity: check.Failure, Source: "common-practice",
			Subject: "lowest current that the fuse breaks against the highest that it breaks itself", Remedy: "a fuse that breaks lower currents, or contactors that break higher ones"},
			check.Working{Formula: "I_fuse,min ≤ I_break", Inputs: []check.Input{in("I_break", "of the contactor", check.Of(c.Break), "")}, Result: check.Of(f.BreakingMin)}),
		limit(check.Against[unit.Time]{Value: clears, Limit: carries}, check.Finding{Rule: "circuit.gap.time", Severity: check.Failure, Source: "common-practice",
			Subject: "time of the fuse at the current that it no longer breaks against the time that it carries it", Remedy: "a smaller or faster fuse, or larger contactors"},
			check.Working{Formula: "t_clear(I) ≤ t_carry(I), I the larger of I_break and the lowest fault current", Inputs: []check.Input{in("I", "", check.Of(unit.Current(from)), "computed")}, Result: check.Of(clears)}),
	}
}

// contactors chooses those of the strings: one in each pole.
func (s *solver) contactors() {
	c := choose(s.parts.Contactors, s.in.Stated.Contactor, switchTitle, s.contactorNeeds)
	t := c.item("contactor of each pole of each string", 2*s.in.Battery.Strings, switchID, switchTitle)
	if s.in.Battery.Strings > 1 {
		t.say(check.Finding{Rule: "circuit.strings.join", Subject: "strings are joined by closing contactors: their voltages must be alike before the second closes", Severity: check.Warning, Source: "circuit-law",
			Value: check.Number(float64(s.in.Battery.Strings), "strings"), Remedy: "the monitor closes a further string only within the voltage that leaves I = ΔU/(R₁ + R₂) below the charging limit of the cells"})
	}
	s.contactorUsed = c.part
	s.items = append(s.items, t)
	if c.part != nil {
		s.coils = float64(c.part.CoilHold) * 2 * float64(s.in.Battery.Strings)
	}
	if s.in.Inlet.Current > 0 {
		i := s.in.Inlet
		d := choose(s.parts.Contactors, nil, switchTitle, func(x *part.Contactor) []need {
			return []need{
				limit(check.Against[unit.Voltage]{Value: i.Voltage, Limit: x.Voltage}, check.Finding{Rule: "circuit.contactor.voltage", Subject: "highest voltage of the inlet against the rating", Severity: check.Failure, Source: "iec-60664-1", Remedy: "contactors for a higher voltage"}, check.Working{}),
				limit(check.Against[unit.Current]{Value: i.Current, Limit: x.Current}, check.Finding{Rule: "circuit.contactor.carry", Subject: "current of the inlet against the rating", Severity: check.Failure, Source: "contactor-datasheet", Remedy: "larger contactors"}, check.Working{}),
				limit(check.Against[unit.Current]{Value: i.Current, Limit: min(x.Break, max(x.BreakReverse, x.Break/2))}, check.Finding{Rule: "circuit.contactor.break", Subject: "current of the inlet against what it breaks", Severity: check.Failure, Source: "contactor-datasheet", Remedy: "larger contactors"}, check.Working{}),
			}
		})
		s.items = append(s.items, d.item("contactor of each pole of the inlet", 2, switchID, switchTitle))
	}
}

// coordination says over which currents who opens.
func (s *solver) coordination() {
	t := newChoice("who opens what")
	c, f := s.contactorUsed, s.fuseChosen
	if c == nil || f == nil {
		t.None = "not to be said before a fuse and a contactor fit"
		s.items = append(s.items, t)
		return
	}
	n := float64(s.in.Battery.Strings)
	low := unit.Current(float64(s.main.Lowest) / n)
	t.Workings = append(t.Workings,
		check.Working{Name: "opened by the contactors, told by the current sensor", Formula: "up to I_break", Source: "contactor-datasheet", Result: check.Of(c.Break)},
		check.Working{Name: "opened by the fuse", Formula: "from I_fuse,min to the breaking capacity", Source: "iec-60269-4", Result: check.Of(f.BreakingMin),
			Inputs: []check.Input{in("I_breaking", "breaking capacity", check.Of(f.Breaking), ""), in("I_low", "lowest fault current of a string", check.Of(low), "computed")}})
	t.say(check.Finding{Rule: "circuit.monitor.open", Subject: "current above which the monitor must not open the contactors but leave it to the fuse", Severity: check.Note, Source: "common-practice", Value: check.Of(c.Break),
		Remedy: "set it in the monitor: contactors that open on more may weld or burn"})
	s.items = append(s.items, t)
}

// chart gathers the curves of fuse, cable and contactor of one string.
func (s *solver) chart() Chart {
	n := float64(s.in.Battery.Strings)
	out := Chart{Curves: []ChartCurve{}, Lowest: unit.Current(float64(s.main.Lowest) / n), Highest: s.main.ThroughFuse}
	low := math.Max(1, 0.1*s.continuous/n)
	high := 2 * math.Max(float64(s.main.ThroughFuse), s.peak)
	const points = 160
	trace := func(kind CurveKind, name string, at func(i float64) float64) {
		c := ChartCurve{Kind: kind, Name: name, Current: []float64{}, Time: []float64{}}
		for k := range points {
			i := low * math.Pow(high/low, float64(k)/(points-1))
			if t := at(i); t > 0 && t < float64(part.TimeNever) {
				c.Current, c.Time = append(c.Current, i), append(c.Time, t)
			}
		}
		out.Curves = append(out.Curves, c)
	}
	u := s.in.Battery.VoltageFull
	if f := s.fuseChosen; f != nil {
		trace(CurveMelting, f.Title, func(i float64) float64 { return float64(f.MeltsAfter(unit.Current(i))) })
		trace(CurveClearing, f.Title, func(i float64) float64 { return float64(f.ClearsBy(unit.Current(i), u)) })
	}
	for _, w := range s.wires {
		if w.Section == 0 || s.fuseChosen == nil {
			continue
		}
		ins, _ := s.insulation()
		bears, err := Heating{Start: ins.Continuous, End: ins.Fault}.Withstand(w.Section)
		if err != nil {
			continue
		}
		trace(CurveCable, w.Part, func(i float64) float64 { return math.Min(float64(bears)/square(i), adiabaticMost) })
		break // the first is that of the strings, or the main one
	}
	if c := s.contactorUsed; c != nil {
		trace(CurveCarries, c.Title, func(i float64) float64 { return float64(c.Carries(unit.Current(i))) })
		out.Break = c.Break
	}
	out.Points = []DutyPoint{
		{"continuous", unit.Current(s.continuous / n), 3600},
		{"peak", unit.Current(s.peak / n), peakTime},
	}
	if i := float64(s.in.Loads.Regenerated); i > 0 {
		out.Points = append(out.Points, DutyPoint{"regeneration", unit.Current(i / n), peakTime})
	}
	if s.resistorUsed != nil {
		p := Precharge{Voltage: u, Capacitance: s.capacitance, Resistance: s.resistorUsed.Resistance}
		out.Points = append(out.Points, DutyPoint{"precharging", p.CurrentPeak(), p.TimeConstant()})
	}
	return out
}
