package design

import (
	"fmt"
	"math"
	"sort"

	"packyard/check"
	"packyard/part"
	"packyard/unit"
	"packyard/vehicle"
)

// classB is the DC voltage above which work is class B: insulated tools, a
// second person, trained people. Source: iso-6469-3, un-r100.
const classB = 60 // V

// findings gathers what there is to say about the option: every rule, then
// what no rule counts. Broken ones come first.
func (f *Frame) findings(p *Placed, states []vehicle.State) []check.Finding {
	var out []check.Finding
	for r := range RuleCount {
		if g, ok := p.Values.Finding(r, f.Brief.Currency); ok {
			out = append(out, f.overSpread(g, states[1:]))
		}
	}
	out = append(out, f.reduced(p)...)
	out = append(out, f.electric(p)...)
	out = append(out, f.handling(p)...)
	out = append(out, f.channels(p)...)
	for _, s := range states[1:] {
		out = append(out, f.tyres(s)...)
	}
	out = append(out, part.CheckStages(f.Brief.Drive.Unit, f.Brief.Drive.Stages)...)
	out = append(out, f.rangeNotes(p)...)
	out = append(out, f.pace(p)...)
	sort.SliceStable(out, func(i, j int) bool { return rank(out[i].Severity) < rank(out[j].Severity) })
	return out
}

// overSpread says of a rule of gross mass or of an axle whether it holds over
// the spread of the weighed and stated masses: as the worst of the states does.
func (f *Frame) overSpread(g check.Finding, states []vehicle.State) check.Finding {
	least := math.Inf(1)
	for _, s := range states {
		for _, h := range f.Brief.Donor.Check(s) {
			if h.Rule == g.Rule && h.Margin < least && h.Over != check.NotAsked {
				least, g.Over = h.Margin, h.Over
				if h.Severity > g.Severity {
					g.Severity, g.Remedy = h.Severity, h.Remedy
				}
			}
		}
	}
	return g
}

// rank orders severities for reading: failures, safety, warnings, notes.
func rank(s check.Severity) int {
	switch s {
	case check.Failure:
		return 0
	case check.Safety:
		return 1
	case check.Warning:
		return 2
	}
	return 3
}

// reduced returns the warnings of devices that work with reduced power at one
// end of the window; what they do not bear is a rule of its own.
func (f *Frame) reduced(p *Placed) []check.Finding {
	d, w := &f.Brief.Drive, f.window(p)
	list := d.Inverter.Bands.Check("inverter", w.Full, w.Lowest)
	if d.Charger != nil {
		list = append(list, d.Charger.Bands.Check("charger", w.Full, w.Rest)...)
	}
	if d.Converter != nil {
		list = append(list, d.Converter.Bands.Check("converter", w.Full, w.Lowest)...)
	}
	var out []check.Finding
	for _, g := range list {
		if g.Severity == check.Warning {
			out = append(out, g)
		}
	}
	return out
}

// electric says what the pack gives and takes on the coldest day, and what the
// charger asks of it.
func (f *Frame) electric(p *Placed) []check.Finding {
	w, c := &p.Wiring, p.Wiring.lot.Slice.Cell
	across := float64(w.Topology.Across())
	rated := float64(c.Capacity) / 3600 * across
	cold, day := f.Brief.Targets.Coldest, "on the coldest day"
	if cold == 0 {
		cold, day = f.Brief.Road.Ambient, "at the temperature of the range runs"
	}
	var out []check.Finding
	below := func(rule, subject, remedy string, wanted, allowed float64) {
		if wanted <= allowed {
			return
		}
		out = append(out, check.Finding{
			Rule: rule, Budget: "current", Subject: subject, Severity: check.Warning, Source: "common-practice", Remedy: remedy,
			Value: check.Of(unit.Current(wanted)), Limit: check.Of(unit.Current(allowed)), Margin: marginOf(wanted, allowed),
		})
	}
	below("current.cold.drive", "greatest pack current on the schedule against what the cells allow "+day,
		"expect less power until the pack is warm, or preheat it", float64(p.New.CurrentPeak10s), rated*float64(c.Limits.DischargeRate(cold, pulse)))
	below("current.cold.regeneration", "greatest regeneration on the schedule against what the cells take "+day,
		"the friction brakes take the rest; check that they are fit for it", float64(p.New.CurrentChargePeak10s), rated*float64(c.Limits.ChargeRate(cold, pulse)))
	if ch := f.Brief.Drive.Charger; ch != nil && ch.PowerMax > 0 {
		u := 0.5 * (float64(f.window(p).Rest) + float64(f.window(p).Full))
		want := float64(ch.PowerMax) / u
		if ch.CurrentMax > 0 {
			want = min(want, float64(ch.CurrentMax))
		}
		below("current.charge", "charging current at full charger power against what the cells take at the temperature of the range runs",
			"the charger must be told a lower current", want, rated*float64(c.Limits.ChargeRate(f.Brief.Road.Ambient, continuous)))
		below("current.cold.charge", "charging current at full charger power against what the cells take "+day,
			"the monitor must lower the current or heat the pack first", want, rated*float64(c.Limits.ChargeRate(cold, continuous)))
	}
	return out
}

func marginOf(value, limit float64) float64 {
	if limit == 0 {
		return -1
	}
	return (limit - value) / limit
}

// handling is the safety finding of modules above 60 V DC.
func (f *Frame) handling(p *Placed) []check.Finding {
	u := p.Wiring.handling(&p.Modules)
	pack := float64(f.window(p).Full)
	var out []check.Finding
	if u > classB {
		out = append(out, check.Finding{
			Rule: "safety.handling.module", Budget: "safety", Subject: "voltage of the largest single module, full", Severity: check.Safety,
			Value: check.Of(unit.Voltage(u)), Limit: check.Of(unit.Voltage(classB)), Margin: marginOf(u, classB), Source: "iso-6469-3",
			Remedy: "class B work even on one module: insulated tools, gloves, a second trained person; or cut shorter modules",
		})
	}
	if pack > classB {
		out = append(out, check.Finding{
			Rule: "safety.handling.pack", Budget: "safety", Subject: "voltage of the whole pack, full", Severity: check.Safety,
			Value: check.Of(unit.Voltage(pack)), Limit: check.Of(unit.Voltage(classB)), Margin: marginOf(pack, classB), Source: "iso-6469-3",
			Remedy: "class B work: join modules last, with the service disconnect open; trained people only",
		})
	}
	return out
}

// channels compares the groups of each module with the channels of one
// monitor board.
func (f *Frame) channels(p *Placed) []check.Finding {
	n := f.Brief.Targets.MonitorChannels
	if n == 0 {
		return nil
	}
	boards, groups := 0, 0
	for i := range p.Modules.Stack {
		if p.Modules.Count[i] == 0 {
			continue
		}
		s := p.Modules.Stack[i].Series()
		boards += p.Modules.Count[i] * ((s + n - 1) / n)
		groups += p.Modules.Count[i] * s
	}
	g := check.Finding{
		Rule: "monitor.channels", Budget: "supply", Subject: fmt.Sprintf("groups watched by %d boards of %d channels, none across two modules", boards, n),
		Value: check.Number(float64(groups), "groups"), Limit: check.Number(float64(boards*n), "channels"),
		Margin: marginOf(float64(groups), float64(boards*n)), Source: "common-practice",
	}
	if g.Margin > 1.0/3 {
		g.Severity, g.Remedy = check.Warning, "more than a third of the channels stay unused: module lengths nearer to a multiple of the channels save boards"
	}
	return []check.Finding{g}
}

// tyres returns what Donor.Check finds about single wheels; gross mass and
// axles are rules of their own.
func (f *Frame) tyres(s vehicle.State) []check.Finding {
	var out []check.Finding
	for _, g := range f.Brief.Donor.Check(s) {
		switch g.Rule {
		case "mass.gross", "mass.axle.front", "mass.axle.rear":
			continue
		}
		if g.Severity > check.Note {
			out = append(out, g)
		}
	}
	return out
}

// rangeNotes says what the range runs met.
func (f *Frame) rangeNotes(p *Placed) []check.Finding {
	var out []check.Finding
	if c := p.New.Capped; c.Steps > 0 {
		out = append(out, check.Finding{
			Rule: "drive.capped", Budget: "range", Severity: check.Warning, Source: "un-gtr-15",
			Subject: "share of the schedule's time in which the vehicle cannot follow; the range is for the schedule capped at what it can do",
			Value:   check.Of(c.Share), Limit: check.Of(unit.Ratio(0)), Margin: -float64(c.Share),
			Remedy: "a drive unit of more power or another ratio, or a gentler schedule",
		})
	}
	if p.Wiring.lot.Slice.Cell.Curves.Generic {
		out = append(out, check.Finding{
			Rule: "cell.generic", Budget: "range", Severity: check.Note, Source: p.Wiring.lot.Slice.Cell.Curves.Source,
			Subject: "generic curve of the chemistry, not of this cell: share of rated charge taken as bought",
			Value:   check.Of(p.Wiring.lot.New.Health.CapacityShare), Remedy: "measure the cells before anything is built",
		})
	}
	return out
}
