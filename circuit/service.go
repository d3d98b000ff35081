package circuit

import (
	"fmt"

	"packyard/check"
	"packyard/part"
	"packyard/unit"
)

// Parts returns behind how many modules a string is cut, so that no part is above
// a voltage, modules staying whole; false when one module alone is above it. A
// voltage of zero cuts it once, in the middle.
func Parts(modules []unit.Voltage, most unit.Voltage) ([]int, bool) {
	if most == 0 {
		if len(modules) < 2 {
			return nil, true
		}
		return []int{len(modules) / 2}, true
	}
	var cuts []int
	sum := unit.Voltage(0)
	for i, u := range modules {
		if u > most {
			return nil, false
		}
		if sum+u > most {
			cuts, sum = append(cuts, i), 0
		}
		sum += u
	}
	return cuts, true
}

// disconnectsMost is how many service disconnects a string may have before it is
// said that they are many. Source: common-practice.
const disconnectsMost = 2

// service chooses the service disconnect and says how many cut a string.
func (s *solver) service() {
	b := &s.in.Battery
	i := unit.Current(s.continuous / float64(b.Strings))
	c := choose(s.parts.Disconnects, s.in.Stated.Disconnect, func(d *part.Disconnect) string { return d.Title }, func(d *part.Disconnect) []need {
		fail := func(rule, subject, remedy string) check.Finding {
			return check.Finding{Rule: "circuit.disconnect." + rule, Subject: subject, Severity: check.Failure, Source: "common-practice", Remedy: remedy}
		}
		return []need{
			limit(check.Against[unit.Voltage]{Value: b.VoltageFull, Limit: d.Voltage}, fail("voltage", "voltage of the full pack against the rating", "a disconnect for a higher voltage"),
				check.Working{Formula: "U_full ≤ U_r", Result: check.Of(b.VoltageFull)}),
			limit(check.Against[unit.Current]{Value: i, Limit: d.Current}, fail("current", "continuous current against the rating", "a larger disconnect"), check.Working{Formula: "I ≤ I_r", Result: check.Of(i)}),
		}
	})
	var modules []unit.Voltage
	for _, m := range b.Modules {
		modules = append(modules, m.Voltage...)
	}
	most := s.in.Stated.PartVoltage
	cuts, ok := Parts(modules, most)
	parts := len(cuts) + 1
	s.disconnect, s.disconnects, s.cuts = c.part, len(cuts), cuts
	t := c.item("service disconnect", s.disconnects*b.Strings, func(d *part.Disconnect) string { return d.ID }, func(d *part.Disconnect) string { return d.Title })
	w := check.Working{Name: "parts of a string with the disconnects open", Formula: "modules in their order, cut before the part would pass the voltage", Source: "common-practice",
		Inputs: []check.Input{in("U", "voltage that each part stays below; zero: cut in the middle", check.Of(most), "given"), in("n", "modules of a string", check.Number(float64(len(modules)), "modules"), "")}, Result: check.Number(float64(parts), "parts")}
	t.Workings = append(t.Workings, w)
	switch {
	case !ok:
		largest := unit.Voltage(0)
		for _, u := range modules {
			largest = max(largest, u)
		}
		t.add(limit(check.Against[unit.Voltage]{Value: largest, Limit: most}, check.Finding{Rule: "circuit.disconnect.parts", Subject: "one module against the voltage that each part is to stay below", Severity: check.Safety, Source: "iso-6469-3",
			Remedy: "shorter modules, or a higher voltage of the parts"}, check.Working{}))
	case s.disconnects > disconnectsMost:
		t.say(check.Finding{Rule: "circuit.disconnect.many", Subject: "disconnects in each string", Severity: check.Warning, Source: "common-practice", Value: check.Number(float64(s.disconnects), "disconnects"),
			Remedy: "each is a joint in the path of the current; a higher circuit.part_voltage needs fewer"})
	}
	if c.part != nil && !c.part.Interlock {
		t.say(check.Finding{Rule: "circuit.disconnect.interlock", Subject: "has no contact for the interlock loop: it can be pulled under load", Severity: check.Safety, Source: "common-practice", Remedy: "a disconnect whose interlock contact opens first"})
	}
	s.items = append(s.items, t)
}

// Isolation of a circuit, ohms for each volt. Source: un-r100, 5.1.3.
const (
	isolationDC = 100.0
	isolationAC = 500.0
)

// IsolationDC returns the least isolation resistance of a circuit of direct
// current, 100 Ω/V. Source: un-r100, 5.1.3.
func IsolationDC(u unit.Voltage) unit.Resistance { return unit.Resistance(isolationDC * float64(u)) }

// IsolationAC returns that of a circuit to which one of alternating current is
// joined, 500 Ω/V. Source: un-r100, 5.1.3.
func IsolationAC(u unit.Voltage) unit.Resistance { return unit.Resistance(isolationAC * float64(u)) }

// isolation gives the least resistances and chooses the monitor.
func (s *solver) isolation() {
	u := s.in.Battery.VoltageFull
	least := IsolationAC(u)
	if s.in.Stated.Protected {
		least = IsolationDC(u)
	}
	c := choose(s.parts.Monitors, s.in.Stated.Monitor, func(m *part.IsolationMonitor) string { return m.Title }, func(m *part.IsolationMonitor) []need {
		fail := func(rule, subject, remedy string) check.Finding {
			return check.Finding{Rule: "circuit.isolation." + rule, Subject: subject, Severity: check.Failure, Source: "un-r100", Remedy: remedy}
		}
		out := []need{
			limit(check.Against[unit.Voltage]{Value: u, Limit: m.Voltage}, fail("voltage", "voltage of the full pack against the rating", "a monitor for a higher voltage"), check.Working{Formula: "U_full ≤ U_r", Result: check.Of(u)}),
			limit(check.Against[unit.Resistance]{Value: m.RangeLow, Limit: IsolationDC(u)}, fail("range", "smallest resistance that it tells against the least that is allowed", "a monitor with a lower range"), check.Working{}),
		}
		if y := s.in.Stated.CapacitanceY; y > 0 {
			out = append(out, limit(check.Against[unit.Capacitance]{Value: 2 * y, Limit: m.Capacity}, fail("capacitance", "capacitance of both poles to the chassis against the largest that it measures through", "a monitor for a larger capacitance"), check.Working{}))
		}
		return out
	})
	s.monitor = c.part
	t := c.item("isolation monitor", 1, func(m *part.IsolationMonitor) string { return m.ID }, func(m *part.IsolationMonitor) string { return m.Title })
	t.Workings = append(t.Workings,
		check.Working{Name: "least isolation resistance of the whole circuit", Formula: "R = r·U, r = 500 Ω/V, or 100 Ω/V where every part of the ac side is doubly insulated or behind a barrier", Source: "un-r100", Result: check.Of(least),
			Inputs: []check.Input{in("U", "full pack", check.Of(u), "")}},
		check.Working{Name: "resistance at which the monitor opens", Formula: "100 Ω/V·U", Source: "un-r100", Result: check.Of(IsolationDC(u))},
		check.Working{Name: "second reading of two equal legs at the limit", Formula: "U' = 1/(R_i/(R₀·U) + 2/U), from R_i = R₀·U·(1/U' − 1/U₁) with U₁ = U/2", Source: "un-r100", Result: check.Of(ReadingAt(u, least, least)),
			Inputs: []check.Input{in("R₀", "known resistor, within 20 %", check.Of(least), "un-r100")}})
	t.say(check.Finding{Rule: "circuit.isolation.measure", Subject: "to be measured with two readings before the pack is first switched on; a voltmeter of 10 MΩ or more", Severity: check.Note, Source: "un-r100", Value: check.Of(least)})
	s.items = append(s.items, t)
}

// ways gives clearance and creepage.
func (s *solver) ways() {
	t := newChoice("clearance and creepage")
	a, u := s.in.Stated.Around, s.in.Battery.VoltageFull
	basic, reinforced, err := a.Clearance(u)
	creep, err2 := a.Creepage(u)
	if err != nil || err2 != nil {
		if err == nil {
			err = err2
		}
		t.None = err.Error()
		t.say(check.Finding{Rule: "circuit.distances", Subject: "outside the tables", Severity: check.Failure, Value: check.Of(u), Source: "iec-60664-1", Remedy: "a pack of at most 1250 V, pollution degree 2 or 3, up to 6000 m"})
		s.items = append(s.items, t)
		return
	}
	inputs := []check.Input{in("U", "full pack", check.Of(u), ""), in("PD", "pollution degree", check.Of(unit.Ratio(a.Pollution)), ""), in("M", "material group; 3 is III", check.Of(unit.Ratio(a.Material)), ""),
		in("OV", "overvoltage category", check.Of(unit.Ratio(a.Category)), ""), in("h", "above sea level", check.Of(a.Altitude), "")}
	w := func(name, formula string, l unit.Length) check.Working {
		return check.Working{Name: name, Formula: formula, Inputs: inputs, Result: check.Of(l), Source: "iec-60664-1"}
	}
	t.Workings = append(t.Workings,
		w("clearance, basic", "Table F.2 at the impulse of Table F.1, times the factor of the altitude", basic), w("clearance, reinforced", "the next step of the impulse series", reinforced),
		w("creepage, basic", "Table F.5, the row not below the voltage, never below the clearance", max(creep, basic)), w("creepage, reinforced", "twice the basic one", max(2*creep, reinforced)))
	s.items = append(s.items, t)
}

// interlock lists what is in the loop.
func (s *solver) interlock() {
	t := newChoice("interlock loop")
	n := len(s.loop())
	t.Workings = append(t.Workings, check.Working{Name: "contacts of the loop, in series", Formula: "one for each plug, cover and disconnect that lays a live part bare", Source: "common-practice", Result: check.Number(float64(n), "contacts")})
	t.say(check.Finding{Rule: "circuit.interlock", Subject: "an open loop opens the contactors at standstill, and warns while driving", Severity: check.Note, Source: "lv-123", Value: check.Number(float64(n), "contacts"),
		Remedy: "the contact of each plug opens before its main contacts"})
	s.items = append(s.items, t)
}

// low looks at the 12 V net.
func (s *solver) low() {
	t := newChoice("12 V supply")
	coils := unit.Power(s.coils)
	w := check.Working{Formula: "P = n·P_hold", Inputs: []check.Input{in("n", "contactors", check.Number(float64(2*s.in.Battery.Strings), "contactors"), "")}, Result: check.Of(coils)}
	w.Name, w.Source = "power of the coils while held", "contactor-datasheet"
	t.Workings = append(t.Workings, w)
	if c := s.contactorUsed; c != nil {
		pull := unit.Current(float64(c.CoilPull) / 12)
		t.Workings = append(t.Workings, check.Working{Name: "current of one coil while it closes", Formula: "I = P_pull/12 V", Source: "circuit-law", Result: check.Of(pull)})
	}
	if s.in.Convert == nil {
		t.say(check.Finding{Rule: "circuit.12v", Subject: "no converter is stated: the 12 V battery alone feeds the contactors", Severity: check.Warning, Source: "given", Remedy: "write drive.converter"})
	} else if p := s.in.Loads.Low12; p > 0 {
		sum := max(p, p+coils-s.in.Loads.CoilsBefore)
		t.add(limit(check.Against[unit.Power]{Value: sum, Limit: s.in.Convert.PowerMax}, check.Finding{Rule: "circuit.12v.power", Subject: "all loads of the 12 V net at once against the converter", Severity: check.Warning, Source: "common-practice", Remedy: "a larger converter; the 12 V battery bears the difference for minutes"},
			check.Working{Formula: "ΣP ≤ P_max", Inputs: []check.Input{in("P_coils", "of the contactors", check.Of(coils), "computed")}, Result: check.Of(sum)}))
	}
	s.items = append(s.items, t)
}

// loop returns the ids of the parts in the interlock loop, in its order.
func (s *solver) loop() []string {
	var out []string
	for n := range s.in.Battery.Strings {
		for k := range s.disconnects {
			out = append(out, fmt.Sprintf("S%d-%d", n+1, k+1))
		}
	}
	out = append(out, "X-inverter")
	if s.in.Charger != nil {
		out = append(out, "X-charger")
	}
	if s.in.Convert != nil {
		out = append(out, "X-converter")
	}
	return append(out, "X-cover")
}
