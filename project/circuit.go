package project

import (
	"time"

	"packyard/check"
	"packyard/circuit"
	"packyard/part"
	"packyard/unit"
	"packyard/vehicle"
)

// Stand-ins for the circuit.
const (
	circuitAmbient    = 60.0  // °C, beside warm modules and devices; assumption
	circuitInductance = 8e-6  // H, as in the worked example of handbook 4.7; assumption
	precharged        = 0.95  // of the pack voltage; source: precharge-notes
	prechargeIn       = 0.5   // s; source: precharge-notes
	betweenStarts     = 10.0  // s; assumption
	bleedIn           = 120.0 // s; source: lv-123
	cableDrop         = 0.02  // of the voltage; source: common-practice
	insulationSet     = 2     // pollution degree and overvoltage category; source: common-practice
	materialWorst     = 3     // group III, when nothing is known of the insulation
)

// circuit takes what is stated of the high-voltage circuit.
func (r *reader) circuit() {
	f := r.file.Circuit
	if f == nil {
		f = &CircuitFile{}
	}
	c := &r.brief.Circuit
	list := &c.Assumed
	c.Parts = r.parts
	c.Capacitance, c.CapacitanceY, c.Class, c.PartVoltage = f.Capacitance.SI, f.CapacitanceY.SI, f.Class.Value, f.PartVoltage.SI
	c.Ambient = f.Ambient.Or(list, "circuit.ambient", unit.Celsius(circuitAmbient), "assumption")
	c.Inductance = f.Inductance.Or(list, "circuit.inductance", circuitInductance, "assumption")
	c.ShareClosed = f.Precharged.Or(list, "circuit.precharged", precharged, "precharge-notes")
	c.TimeClosed = f.PrechargeIn.Or(list, "circuit.precharge_time", prechargeIn, "precharge-notes")
	c.Starts = f.Starts.Or(list, "circuit.between_starts", betweenStarts, "assumption")
	c.BleedTime = f.BleedTime.Or(list, "circuit.bleed_time", bleedIn, "lv-123")
	c.DropMost = f.Drop.Or(list, "circuit.voltage_drop", cableDrop, "common-practice")
	c.BleedGiven, c.Fuses, c.Protected = f.Bleed.SI, f.Fuses.Value, f.Protected.Value
	count := func(g check.Count, subject string, value int, source string) int {
		if g.IsGiven() {
			return g.Value
		}
		list.Add(check.Assumption{Subject: subject, Value: check.Of(unit.Ratio(value)), Source: source})
		return value
	}
	c.Around = circuit.Surroundings{
		Pollution: count(f.Pollution, "circuit.pollution_degree", insulationSet, "common-practice"),
		Material:  count(f.Material, "circuit.material_group", materialWorst, "assumption"),
		Category:  count(f.Category, "circuit.overvoltage_category", insulationSet, "common-practice"),
		Altitude:  f.Altitude.Or(list, "circuit.altitude", max(0, r.brief.Road.Altitude), "given"),
	}
	r.circuitParts(f)
	c.Lengths = map[circuit.RunKind]unit.Length{}
	for kind, g := range map[circuit.RunKind]check.Given[unit.Length]{circuit.RunString: f.Lengths.String, circuit.RunMain: f.Lengths.Main,
		circuit.RunCharger: f.Lengths.Charger, circuit.RunConverter: f.Lengths.Converter, circuit.RunInlet: f.Lengths.Inlet} {
		if g.IsGiven() {
			c.Lengths[kind] = g.SI
		}
	}
	at := func(p Place) *vehicle.Point {
		if !p[0].IsGiven() || !p[1].IsGiven() || !p[2].IsGiven() {
			return nil
		}
		return &vehicle.Point{X: p[0].SI, Y: p[1].SI, Z: p[2].SI}
	}
	c.Inverter, c.Charger, c.Converter = at(f.InverterAt), at(f.ChargerAt), at(f.ConverterAt)
}

// circuitParts looks the named parts up in the catalogue.
func (r *reader) circuitParts(f *CircuitFile) {
	c, k := &r.brief.Circuit, r.parts
	c.Fuse = named(r, f.Fuse, "fuse", "fuse", k.Fuses, func(p *part.Fuse) string { return p.ID })
	c.Contactor = named(r, f.Contactor, "contactor", "contactor", k.Contactors, func(p *part.Contactor) string { return p.ID })
	c.Cable = named(r, f.Cable, "cable", "cable", k.Cables, func(p *part.CableSize) string { return p.ID })
	c.Disconnect = named(r, f.Disconnect, "disconnect", "service disconnect", k.Disconnects, func(p *part.Disconnect) string { return p.ID })
	c.Monitor = named(r, f.Monitor, "isolation_monitor", "isolation monitor", k.Monitors, func(p *part.IsolationMonitor) string { return p.ID })
	c.Resistor = named(r, f.Resistor, "precharge_resistor", "precharge resistor", k.Resistors, func(p *part.PulseResistor) string { return p.ID })
}

// named returns the part that the builder names, nil when none is named; a name that
// the catalogue does not hold is a problem.
func named[P any](r *reader, t check.Text, key, kind string, list []*P, id func(*P) string) *P {
	if !t.IsGiven() {
		return nil
	}
	for _, p := range list {
		if id(p) == t.Value {
			return p
		}
	}
	r.unknown(t, "circuit."+key, kind, ids(list, id))
	return nil
}

// acknowledged takes the safety findings that the builder knows.
func (r *reader) acknowledged() {
	for i, a := range r.file.Acknowledged {
		at := "acknowledged[" + check.Whole(i) + "]."
		for _, x := range []struct {
			key  string
			text check.Text
		}{{"rule", a.Rule}, {"by", a.By}, {"reason", a.Reason}} {
			if r.read(x.text.Pos) && x.text.Value == "" {
				r.probs.Addf(x.text.Pos, at+x.key, "a few words are accepted", "is empty")
			}
		}
		if r.read(a.Date.Pos) {
			if _, err := time.Parse(time.DateOnly, a.Date.Value); err != nil {
				r.probs.Addf(a.Date.Pos, at+"date", "a day such as 2026-05-31 is accepted", "%q is not a day", a.Date.Value)
			}
		}
		r.brief.Acknowledged = append(r.brief.Acknowledged, check.Acknowledgement{
			Rule: a.Rule.Value, Subject: a.Subject.Value, By: a.By.Value, Reason: a.Reason.Value, Date: a.Date.Value, Pos: a.Pos,
		})
	}
}
