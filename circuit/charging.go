package circuit

import (
	"math"

	"packyard/check"
	"packyard/part"
	"packyard/unit"
)

// missingCapacitance is said where nothing can be computed without it.
func (s *solver) missingCapacitance(t *Choice) {
	t.None = "none fits, because the capacitance of the inverter is not stated"
	t.say(check.Finding{Rule: "circuit.capacitance", Subject: "capacitance of the inverter is not stated", Severity: check.Safety, Source: "given",
		Remedy: "write circuit.capacitance: the sheet of the inverter prints it, or measure the time of a precharge through a known resistor"})
}

// precharge chooses the resistor.
func (s *solver) precharge() {
	u, q := s.in.Battery.VoltageFull, s.in.Stated.ShareClosed
	if s.capacitance == 0 {
		t := newChoice("precharge resistor")
		s.missingCapacitance(&t)
		s.items = append(s.items, t)
		return
	}
	c := choose(s.parts.Resistors, s.in.Stated.Resistor, func(r *part.PulseResistor) string { return r.Title }, func(r *part.PulseResistor) []need {
		p := Precharge{Voltage: u, Capacitance: s.capacitance, Resistance: r.Resistance}
		t, err := p.TimeTo(q)
		if err != nil {
			t = part.TimeNever // the share was looked at in Assess
		}
		fail := func(rule, subject, source, remedy string) check.Finding {
			return check.Finding{Rule: "circuit.precharge." + rule, Subject: subject, Severity: check.Failure, Source: source, Remedy: remedy}
		}
		mean := unit.Power(float64(p.Energy(1)) / float64(s.in.Stated.Starts))
		base := []check.Input{in("R", "resistance", check.Of(r.Resistance), ""), in("C", "capacitance", check.Of(s.capacitance), ""), in("U", "full pack", check.Of(u), "")}
		return []need{
			limit(check.Against[unit.Voltage]{Value: u, Limit: r.Voltage}, fail("voltage", "voltage of the full pack against the rating", "circuit-law", "a resistor for a higher voltage"), check.Working{}),
			limit(check.Against[unit.Time]{Value: t, Limit: s.in.Stated.TimeClosed}, fail("time", "time until the contactor may close", "circuit-law", "a smaller resistance"),
				check.Working{Formula: "t = −R·C·ln(1 − q)", Inputs: append(base, in("q", "share", check.Of(q), "")), Result: check.Of(t)}),
			limit(check.Against[unit.Energy]{Value: p.Energy(1), Limit: r.Pulse}, fail("pulse", "energy of one precharging against that of a pulse", "circuit-law", "a resistor that bears more in a pulse: the sheet prints the energy"),
				check.Working{Formula: "E = ½·C·U², whatever R", Inputs: base, Result: check.Of(p.Energy(1))}),
			limit(check.Against[unit.Power]{Value: mean, Limit: r.Power}, fail("mean", "mean power when it starts again and again", "circuit-law", "a resistor of more power, or a lock on fast repetition"),
				check.Working{Formula: "P = E/t_between", Inputs: []check.Input{in("t_between", "two starts", check.Of(s.in.Stated.Starts), "")}, Result: check.Of(mean)}),
		}
	})
	t := c.item("precharge resistor", 1, func(r *part.PulseResistor) string { return r.ID }, func(r *part.PulseResistor) string { return r.Title })
	if c.part != nil {
		s.resistorUsed = c.part
		p := Precharge{Voltage: u, Capacitance: s.capacitance, Resistance: c.part.Resistance}
		t98, err := p.TimeTo(0.98)
		if err == nil {
			t.Workings = append(t.Workings, check.Working{Name: "time to 98 %", Formula: "t = −R·C·ln(0.02)", Source: "circuit-law", Result: check.Of(t98)})
		}
		t.Workings = append(t.Workings,
			check.Working{Name: "peak current of precharging", Formula: "U/R", Source: "circuit-law", Result: check.Of(p.CurrentPeak())},
			check.Working{Name: "peak power of precharging", Formula: "U²/R", Source: "circuit-law", Result: check.Of(p.PowerPeak())})
		t.say(check.Finding{Rule: "circuit.precharge.fault", Subject: "power in the resistor when the far side is short-circuited", Severity: check.Note, Source: "circuit-law", Value: check.Of(p.PowerPeak()),
			Remedy: "the controls give up when the voltage has not risen in time, and do not try again at once"})
	}
	s.items = append(s.items, t)
}

// activeTime is in which a circuit is discharged on purpose. Source: lv-123.
const activeTime = 5.0 // s

// discharge looks at the way down to 60 V.
func (s *solver) discharge() {
	t := newChoice("discharge to 60 V")
	u, b := s.in.Battery.VoltageFull, s.in.Stated.BleedGiven
	switch {
	case u <= VoltageTouch:
		t.Workings = append(t.Workings, check.Working{Name: "voltage of the full pack", Formula: "at or below 60 V: nothing to discharge", Source: "un-r100", Result: check.Of(u)})
	case s.capacitance == 0:
		s.missingCapacitance(&t)
		t.None = "not to be said, because the capacitance of the inverter is not stated"
	default:
		for _, x := range []struct {
			name string
			time unit.Time
		}{{"bleed resistor for the passive discharge", s.in.Stated.BleedTime}, {"resistor for an active discharge in 5 s", activeTime}} {
			r, err := BleedFor(u, s.capacitance, x.time)
			if err != nil {
				continue // looked at above
			}
			heat := unit.Power(square(float64(u)) / float64(r))
			t.Workings = append(t.Workings, check.Working{Name: x.name, Formula: "R = t/(C·ln(U/60 V)), heat U²/R", Source: "circuit-law", Result: check.Of(r),
				Inputs: []check.Input{in("t", "until 60 V", check.Of(x.time), "lv-123"), in("C", "capacitance", check.Of(s.capacitance), ""), in("P", "heat while the circuit is on", check.Of(heat), "computed")}})
		}
		t.Workings = append(t.Workings, check.Working{Name: "energy in the capacitance", Formula: "½·C·U²", Source: "circuit-law", Result: check.Of(Stored(s.capacitance, u))})
		if b == 0 {
			t.say(check.Finding{Rule: "circuit.bleed", Subject: "no bleed resistor is stated: the inverter may hold its voltage after the contactors open", Severity: check.Safety, Source: "lv-123",
				Value: check.Of(Stored(s.capacitance, u)), Remedy: "write circuit.bleed, the resistance across the poles, in the inverter or beside it"})
			break
		}
		d := Bleed{Voltage: u, Capacitance: s.capacitance, Resistance: b}.TimeTo60()
		t.add(limit(check.Against[unit.Time]{Value: d, Limit: s.in.Stated.BleedTime}, check.Finding{Rule: "circuit.bleed.time", Subject: "time until the circuit has fallen to 60 V", Severity: check.Safety, Source: "lv-123", Remedy: "a smaller bleed resistor, or an active discharge"},
			check.Working{Formula: "t = R·C·ln(U/60 V)", Inputs: []check.Input{in("R", "bleed resistor", check.Of(b), "given"), in("C", "capacitance", check.Of(s.capacitance), ""), in("P", "its heat, U²/R", check.Of(unit.Power(square(float64(u))/float64(b))), "computed")}, Result: check.Of(d)}))
	}
	s.items = append(s.items, t)
}

// capacitanceY looks at the energy of the capacitors to the chassis.
func (s *solver) capacitanceY() {
	t := newChoice("capacitance to the chassis")
	u, c := s.in.Battery.VoltageFull, s.in.Stated.CapacitanceY
	most := CapacitanceMost(energyTouch, u, 0)
	w := check.Working{Formula: "½·C_Y·U² ≤ 0.2 J", Inputs: []check.Input{in("U", "full pack", check.Of(u), ""), in("C_most", "largest", check.Of(most), "iso-6469-3")}}
	if c == 0 {
		w.Name, w.Source, w.Result = "largest capacitance from a pole to the chassis", "iso-6469-3", check.Of(most)
		t.Workings = append(t.Workings, w)
		t.say(check.Finding{Rule: "circuit.capacitance.chassis", Subject: "capacitance from each pole to the chassis is not stated", Severity: check.Warning, Source: "iso-6469-3", Value: check.Of(most),
			Remedy: "write circuit.capacitance_to_chassis: the sum of inverter, charger, converter and cables for each pole"})
	} else {
		e := Stored(c, u)
		w.Result = check.Of(e)
		t.add(limit(check.Against[unit.Energy]{Value: e, Limit: energyTouch}, check.Finding{Rule: "circuit.capacitance.energy", Subject: "energy from one pole to the chassis", Severity: check.Safety, Source: "iso-6469-3",
			Remedy: "smaller Y-capacitors, or protection against touch that needs a tool"}, w))
	}
	s.items = append(s.items, t)
}

// barDensity is the current density of a copper bar in still air as a first guess,
// A/m². Source: copper-association.
const barDensity = 2e6

// bars looks at the joints between modules.
func (s *solver) bars() {
	b := &s.in.Battery
	t := newChoice("bars between modules")
	i := s.continuous / float64(b.Strings)
	section := unit.Area(i / barDensity)
	t.Workings = append(t.Workings, check.Working{Name: "section of a copper bar", Formula: "S = I/(2 A/mm²), a first size; 1.2 to 1.6 A/mm² is the cautious rule", Source: "copper-association", Result: check.Of(section),
		Inputs: []check.Input{in("I", "continuous current of a string", check.Of(unit.Current(i)), "computed")}})
	if f := s.fuseChosen; f != nil {
		h := Heating{Start: unit.Celsius(85), End: unit.Celsius(160)}
		if bears, err := h.Withstand(section); err == nil {
			t.add(limit(check.Against[unit.SquareAmpereSecond]{Value: f.ClearingAt(b.VoltageFull), Limit: bears}, check.Finding{Rule: "circuit.bar.fault", Subject: "I²t that the fuse lets through against what the bar bears", Severity: check.Failure, Source: "iec-60364", Remedy: "a thicker bar"},
				check.Working{Formula: "I²t ≤ k²·S², from 85 °C to 160 °C", Result: check.Of(bears)}))
		}
	}
	if b.JointResistance > 0 {
		p := unit.Power(square(i) * float64(b.JointResistance))
		t.Workings = append(t.Workings, check.Working{Name: "heat of one joint", Formula: "P = I²·R", Source: "circuit-law", Result: check.Of(p), Inputs: []check.Input{in("R", "of a joint", check.Of(b.JointResistance), "")}})
	}
	s.items = append(s.items, t)
}

// sense looks at the leads of the cell monitor.
func (s *solver) sense() {
	b := &s.in.Battery

	const lead = 0.205e-6 // m², 24 AWG. Source: astm-b258
	ins, _ := s.insulation()
	largest := 0.0
	for _, m := range b.Modules {
		for _, u := range m.Voltage {
			largest = math.Max(largest, float64(u))
		}
	}
	c := choose(s.parts.Fuses, nil, fuseTitle, func(f *part.Fuse) []need {
		fail := func(rule, subject, remedy string) check.Finding {
			return check.Finding{Rule: "circuit.sense." + rule, Subject: subject, Severity: check.Failure, Source: "common-practice", Remedy: remedy}
		}
		bears, err := Heating{Start: ins.Continuous, End: ins.Fault}.Withstand(lead)
		if err != nil {
			bears = 0
		}
		return []need{
			limit(check.Against[unit.Voltage]{Value: b.VoltageFull, Limit: f.Voltage}, fail("voltage", "voltage of the full pack against the rating: leads of two modules may touch", "a fuse for a higher voltage"), check.Working{}),
			limit(check.Against[unit.Current]{Value: s.main.ThroughFuse, Limit: f.Breaking}, fail("breaking", "highest fault current against the breaking capacity", "a fuse of more breaking capacity"), check.Working{}),
			limit(check.Against[unit.SquareAmpereSecond]{Value: f.ClearingAt(b.VoltageFull), Limit: bears}, fail("fault", "I²t that the fuse lets through against what a lead of 24 AWG bears", "a smaller fuse or a thicker lead"),
				check.Working{Formula: "I²t_clear(U) ≤ k²·S²", Inputs: []check.Input{in("S", "section of 24 AWG", check.Of(unit.Area(lead)), "astm-b258")}, Result: check.Of(bears)}),
		}
	})
	t := c.item("fuse of each sense lead", 0, fuseID, fuseTitle)
	t.say(check.Finding{Rule: "circuit.sense", Subject: "every lead has its fuse at the tap, before it leaves the module", Severity: check.Note, Source: "common-practice", Value: check.Of(unit.Voltage(largest)),
		Remedy: "a lead that chafes inside a module of this voltage is fed by it whatever the contactors do"})
	s.items = append(s.items, t)
}
