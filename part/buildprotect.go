package part

import (
	"fmt"

	"packyard/cell"
	"packyard/check"
	"packyard/unit"
)

// protection adds the parts that switch, protect and join.
func (b *builder) protection(s *Sheet, out *Catalogue) {
	out.Fuses = built(out.Fuses, s.Fuses, "fuses", b.fuse)
	out.Contactors = built(out.Contactors, s.Contactors, "contactors", b.contactor)
	out.Cables = built(out.Cables, s.Cables, "cables", b.cable)
	out.Disconnects = built(out.Disconnects, s.Disconnects, "disconnects", b.disconnect)
	out.Monitors = built(out.Monitors, s.Monitors, "isolation_monitors", b.monitor)
	out.Resistors = built(out.Resistors, s.Resistors, "precharge_resistors", b.resistor)
}

func stated[Q unit.Quantity](key string, g check.Given[Q]) cell.Stated {
	return cell.Stated{Key: key, Given: g.IsGiven()}
}

// points reads a falling curve with rising currents.
func (b *builder) points(list []CurrentTimeSheet, path string) ([]FusePoint, bool) {
	var out []FusePoint
	for i, p := range list {
		if !p.Current.IsGiven() || !p.Time.IsGiven() || p.Current.SI <= 0 || p.Time.SI <= 0 {
			return nil, false // recorded by the reader
		}
		if i > 0 && (p.Current.SI <= list[i-1].Current.SI || p.Time.SI >= list[i-1].Time.SI) {
			b.probs.Addf(p.Current.Pos, fmt.Sprintf("%s[%d]", path, i), "a larger current and a shorter time than in the line before are accepted",
				"%q for %q does not follow %q for %q", p.Current.Text, p.Time.Text, list[i-1].Current.Text, list[i-1].Time.Text)
			return nil, false
		}
		out = append(out, FusePoint{p.Current.SI, p.Time.SI})
	}
	return out, true
}

func (b *builder) fuse(s *FuseSheet, path string) *Fuse {
	ok := above(b, s.Melting, s.Clearing, path+".melting", "clearing")
	ok = above(b, s.BreakingMin, s.Breaking, path+".breaking_min", "breaking_capacity") && ok
	points, curve := b.points(s.Points, path+".points")
	if curve && len(points) < 2 && len(s.Points) > 0 {
		b.probs.Addf(s.Pos, path+".points", "at least two points are accepted", "holds one point")
	}
	named := b.names.Take(s.ID, path, b.probs)
	facts := b.facts(s.Facts, path, stated("current", s.Current), stated("voltage", s.Voltage), stated("breaking_capacity", s.Breaking),
		stated("breaking_min", s.BreakingMin), stated("time_constant", s.TimeConstant), stated("melting", s.Melting), stated("clearing", s.Clearing),
		cell.Stated{Key: "points", Given: len(s.Points) > 0}, stated("resistance", s.Resistance), stated("mass", s.Mass))
	if !ok || !named || len(points) < 2 || s.Current.SI <= 0 || s.Voltage.SI <= 0 || s.Melting.SI <= 0 || s.Clearing.SI <= 0 {
		return nil
	}
	return &Fuse{
		ID: s.ID.Value, Title: s.Title.Value, Current: s.Current.SI, Voltage: s.Voltage.SI, Breaking: s.Breaking.SI, BreakingMin: s.BreakingMin.SI,
		TimeConstant: s.TimeConstant.SI, Melting: s.Melting.SI, Clearing: s.Clearing.SI, Points: points, Resistance: s.Resistance.SI,
		Mass: s.Mass.SI, Price: s.Price, Facts: facts,
	}
}

func (b *builder) contactor(s *ContactorSheet, path string) *Contactor {
	points, ok := b.points(s.Points, path+".points")
	named := b.names.Take(s.ID, path, b.probs)
	facts := b.facts(s.Facts, path, stated("current", s.Current), stated("ambient", s.Ambient), stated("voltage", s.Voltage),
		cell.Stated{Key: "points", Given: len(s.Points) > 0}, stated("break", s.Break), stated("break_reverse", s.BreakReverse), stated("make", s.Make),
		stated("closing_time", s.ClosingTime), stated("coil_hold", s.CoilHold), stated("coil_pull", s.CoilPull), stated("contact_voltage", s.ContactVoltage), stated("mass", s.Mass))
	if !ok || !named || s.Current.SI <= 0 || s.Voltage.SI <= 0 {
		return nil
	}
	return &Contactor{
		ID: s.ID.Value, Title: s.Title.Value, Current: s.Current.SI, Ambient: s.Ambient.SI, Voltage: s.Voltage.SI, Points: points,
		Break: s.Break.SI, BreakReverse: s.BreakReverse.SI, Make: given(s.Make, s.Current.SI), ClosingTime: s.ClosingTime.SI,
		CoilHold: s.CoilHold.SI, CoilPull: given(s.CoilPull, s.CoilHold.SI), ContactVoltage: s.ContactVoltage.SI, Mass: s.Mass.SI, Price: s.Price, Facts: facts,
	}
}

func (b *builder) cable(s *CableSizeSheet, path string) *CableSize {
	ok := above(b, s.AmbientTemp, s.ConductorTemp, path+".ambient", "conductor")
	named := b.names.Take(s.ID, path, b.probs)
	facts := b.facts(s.Facts, path, stated("section", s.Section), stated("resistance_km", s.ResistanceKm), stated("ampacity", s.AmpacityFree),
		stated("conductor", s.ConductorTemp), stated("ambient", s.AmbientTemp), stated("voltage", s.Voltage), stated("mass_km", s.MassKm))
	if !ok || !named || s.Section.SI <= 0 || s.ResistanceKm.SI <= 0 || s.AmpacityFree.SI <= 0 || s.ConductorTemp.SI <= s.AmbientTemp.SI {
		return nil
	}
	return &CableSize{
		ID: s.ID.Value, Title: s.Title.Value, Section: s.Section.SI, Gauge: s.Gauge.Value, ResistanceKm: s.ResistanceKm.SI, AmpacityFree: s.AmpacityFree.SI,
		ConductorTemp: s.ConductorTemp.SI, AmbientTemp: s.AmbientTemp.SI, Voltage: s.Voltage.SI, MassKm: s.MassKm.SI, Facts: facts,
	}
}

func (b *builder) disconnect(s *DisconnectSheet, path string) *Disconnect {
	named := b.names.Take(s.ID, path, b.probs)
	facts := b.facts(s.Facts, path, stated("current", s.Current), stated("voltage", s.Voltage), stated("resistance", s.Resistance), stated("mass", s.Mass))
	if !named || s.Current.SI <= 0 || s.Voltage.SI <= 0 {
		return nil
	}
	return &Disconnect{
		ID: s.ID.Value, Title: s.Title.Value, Current: s.Current.SI, Voltage: s.Voltage.SI, Resistance: s.Resistance.SI,
		Interlock: s.Interlock.Value, Mass: s.Mass.SI, Price: s.Price, Facts: facts,
	}
}

func (b *builder) monitor(s *IsolationMonitorSheet, path string) *IsolationMonitor {
	ok := above(b, s.RangeLow, s.RangeHigh, path+".range_low", "range_high")
	named := b.names.Take(s.ID, path, b.probs)
	facts := b.facts(s.Facts, path, stated("voltage", s.Voltage), stated("range_low", s.RangeLow), stated("range_high", s.RangeHigh),
		stated("capacitance_max", s.Capacity), stated("response", s.Response), stated("mass", s.Mass))
	if !ok || !named || s.Voltage.SI <= 0 {
		return nil
	}
	return &IsolationMonitor{
		ID: s.ID.Value, Title: s.Title.Value, Voltage: s.Voltage.SI, RangeLow: s.RangeLow.SI, RangeHigh: s.RangeHigh.SI, Capacity: s.Capacity.SI,
		Response: s.Response.SI, Mass: s.Mass.SI, Price: s.Price, Facts: facts,
	}
}

func (b *builder) resistor(s *PulseResistorSheet, path string) *PulseResistor {
	named := b.names.Take(s.ID, path, b.probs)
	facts := b.facts(s.Facts, path, stated("resistance", s.Resistance), stated("power", s.Power), stated("pulse", s.Pulse), stated("voltage", s.Voltage), stated("mass", s.Mass))
	if !named || s.Resistance.SI <= 0 || s.Power.SI <= 0 || s.Pulse.SI <= 0 || s.Voltage.SI <= 0 {
		return nil
	}
	return &PulseResistor{
		ID: s.ID.Value, Title: s.Title.Value, Resistance: s.Resistance.SI, Power: s.Power.SI, Pulse: s.Pulse.SI, Voltage: s.Voltage.SI,
		Mass: s.Mass.SI, Price: s.Price, Facts: facts,
	}
}
