package circuit

import (
	"fmt"
	"strings"

	"packyard/check"
	"packyard/unit"
)

// drawer gathers parts and nodes of the netlist.
type drawer struct {
	net Net
}

// Pins returns the pins of a kind of part in their order.
func (k PartKind) Pins() []string {
	switch k {
	case KindModules, KindInverter, KindCharger, KindInlet, KindHeater, KindBattery12:
		return []string{"+", "-"}
	case KindContactor, KindPrecharge:
		return []string{"1", "2", "c+", "c-"}
	case KindDisconnect:
		return []string{"1", "2", "l1", "l2"}
	case KindMonitor:
		return []string{"+", "-", "chassis"}
	case KindConverter:
		return []string{"+", "-", "12v", "0v"}
	case KindConnector:
		return []string{"l1", "l2"}
	case KindChassis:
		return []string{"1"}
	}
	return []string{"1", "2"}
}

func (d *drawer) part(id string, kind PartKind, label, rating string, string1 int, place string) {
	d.net.Parts = append(d.net.Parts, NetPart{ID: id, Kind: kind, Label: label, Rating: rating, String: string1, Place: place, Pins: kind.Pins()})
}

// join makes one node of pins.
func (d *drawer) join(class VoltageClass, pins ...string) {
	d.net.Nodes = append(d.net.Nodes, NetNode{ID: fmt.Sprintf("N%d", len(d.net.Nodes)+1), Pins: pins, Class: class})
}

// rating says figures in words, zero ones left out.
func rating(list ...check.Figure) string {
	var out []string
	for _, f := range list {
		if f.SI > 0 {
			out = append(out, f.Text(unit.SI))
		}
	}
	return strings.Join(out, ", ")
}

// net makes the netlist: strings with disconnects, fuse, sensor and contactors, the
// common poles, and what hangs on them.
func (s *solver) net() Net {
	d := &drawer{net: Net{Parts: []NetPart{}, Nodes: []NetNode{}}}
	plus, minus := []string{}, []string{}
	coils := []string{}
	for n := 1; n <= s.in.Battery.Strings; n++ {
		p, m := s.netString(d, n)
		plus, minus = append(plus, p...), append(minus, m...)
		for _, k := range []string{"plus", "minus"} {
			coils = append(coils, fmt.Sprintf("K%d-%s", n, k))
		}
	}
	coils = append(coils, "K-pre")
	p, m := s.netLoads(d)
	plus, minus = append(plus, p...), append(minus, m...)
	d.join(ClassPlus, plus...)
	d.join(ClassMinus, minus...)
	s.netLow(d, coils)
	return d.net
}

// netString draws one string and returns its pins at the common poles.
func (s *solver) netString(d *drawer, n int) (plus, minus []string) {
	id := func(name string) string { return fmt.Sprintf("%s%d", name, n) }
	r := rating()
	if c := s.contactorUsed; c != nil {
		r = rating(check.Of(c.Current), check.Of(c.Voltage))
	}
	kp, km := id("K")+"-plus", id("K")+"-minus"
	d.part(km, KindContactor, "contactor, minus", r, n, "")
	last := km + ".1"
	segments := s.segments()
	cut := 0
	for i, g := range segments {
		m := g.modules
		name := fmt.Sprintf("G%d-%d", n, i+1)
		sum := unit.Voltage(0)
		for _, u := range m.Voltage {
			sum += u
		}
		d.part(name, KindModules, check.Plural(len(m.Voltage), "module")+", "+m.Bay, rating(check.Of(sum)), n, m.Bay)
		class := ClassMiddle
		if i == 0 {
			class = ClassMinus
		}
		d.join(class, last, name+".-")
		last = name + ".+"
		if g.cut {
			cut++
			sw := fmt.Sprintf("S%d-%d", n, cut)
			d.part(sw, KindDisconnect, "service disconnect", rating(s.disconnectRating()...), n, m.Bay)
			d.join(ClassMiddle, last, sw+".1")
			last = sw + ".2"
		}
	}
	fr := rating()
	if f := s.fuseChosen; f != nil {
		fr = rating(check.Of(f.Current), check.Of(f.Voltage))
	}
	d.part(id("F"), KindFuse, "fuse of the string", fr, n, "")
	d.part(id("B"), KindShunt, "current sensor", "", n, "")
	d.part(kp, KindContactor, "contactor, plus", r, n, "")
	d.join(ClassPlus, last, id("F")+".1")
	d.join(ClassPlus, id("F")+".2", id("B")+".1")
	first := []string{id("B") + ".2", kp + ".1"}
	plus = []string{kp + ".2"}
	if n == 1 {
		pr := rating()
		if x := s.resistorUsed; x != nil {
			pr = rating(check.Of(x.Resistance), check.Of(x.Power))
		}
		d.part("K-pre", KindPrecharge, "precharge relay", "", n, "")
		d.part("R-pre", KindResistor, "precharge resistor", pr, n, "")
		first = append(first, "K-pre.1")
		d.join(ClassPlus, "K-pre.2", "R-pre.1")
		plus = append(plus, "R-pre.2")
	}
	d.join(ClassPlus, first...)
	return plus, []string{km + ".2"}
}

func (s *solver) disconnectRating() []check.Figure {
	if s.disconnect == nil {
		return nil
	}
	return []check.Figure{check.Of(s.disconnect.Current), check.Of(s.disconnect.Voltage)}
}

// segment is a run of modules between two places where a string is cut or leaves
// its bay.
type segment struct {
	modules Modules
	cut     bool // a service disconnect stands behind it
}

// segments cuts the modules of a string where the disconnects stand.
func (s *solver) segments() []segment {
	after := map[int]bool{}
	for _, c := range s.cuts {
		after[c] = true
	}
	var out []segment
	k := 0
	for _, m := range s.in.Battery.Modules {
		at := Modules{Bay: m.Bay}
		for _, u := range m.Voltage {
			at.Voltage = append(at.Voltage, u)
			if k++; after[k] {
				out = append(out, segment{at, true})
				at = Modules{Bay: m.Bay}
			}
		}
		if len(at.Voltage) > 0 {
			out = append(out, segment{at, false})
		}
	}
	return out
}

// netLoads draws what hangs on the common poles and returns its pins there.
func (s *solver) netLoads(d *drawer) (plus, minus []string) {
	u := check.Of(s.in.Battery.VoltageFull)
	plus, minus = []string{"A-inverter.+"}, []string{"A-inverter.-"}
	d.part("A-inverter", KindInverter, s.in.Inverter.Title, rating(u), 0, "")
	d.part("C-inverter", KindCapacitor, "capacitance of the inverter", rating(check.Of(s.capacitance)), 0, "")
	plus, minus = append(plus, "C-inverter.1"), append(minus, "C-inverter.2")
	if r := s.in.Stated.BleedGiven; r > 0 {
		d.part("R-bleed", KindResistor, "bleed resistor", rating(check.Of(r)), 0, "")
		plus, minus = append(plus, "R-bleed.1"), append(minus, "R-bleed.2")
	}
	branch := func(kind PartKind, k RunKind, id, label string) {
		f := "F-" + id
		fr := rating()
		if x := s.branches[k]; x != nil {
			fr = rating(check.Of(x.Current), check.Of(x.Voltage))
		}
		d.part(f, KindFuse, "fuse of the "+id, fr, 0, "")
		d.part("A-"+id, kind, label, "", 0, "")
		d.join(ClassPlus, f+".2", "A-"+id+".+")
		plus, minus = append(plus, f+".1"), append(minus, "A-"+id+".-")
	}
	if c := s.in.Charger; c != nil {
		branch(KindCharger, RunCharger, "charger", c.Title)
	}
	if c := s.in.Convert; c != nil {
		branch(KindConverter, RunConverter, "converter", c.Title)
	}
	if s.in.Inlet.Current > 0 {
		d.part("X-inlet", KindInlet, "inlet for direct current", rating(check.Of(s.in.Inlet.Current), check.Of(s.in.Inlet.Voltage)), 0, "")
		for _, p := range []struct{ name, pin string }{{"plus", "+"}, {"minus", "-"}} {
			k := "K-inlet-" + p.name
			d.part(k, KindContactor, "contactor of the inlet, "+p.name, "", 0, "")
			class := ClassPlus
			if p.name == "minus" {
				class = ClassMinus
			}
			d.join(class, k+".2", "X-inlet."+p.pin)
		}
		plus, minus = append(plus, "K-inlet-plus.1"), append(minus, "K-inlet-minus.1")
	}
	mr := rating()
	if m := s.monitor; m != nil {
		mr = rating(check.Of(m.Voltage))
	}
	d.part("A-isolation", KindMonitor, "isolation monitor", mr, 0, "")
	plus, minus = append(plus, "A-isolation.+"), append(minus, "A-isolation.-")
	chassis := []string{"PE.1", "A-isolation.chassis"}
	d.part("PE", KindChassis, "chassis", "", 0, "")
	if y := s.in.Stated.CapacitanceY; y > 0 {
		d.part("CY-plus", KindCapacitor, "plus to chassis", rating(check.Of(y)), 0, "")
		d.part("CY-minus", KindCapacitor, "minus to chassis", rating(check.Of(y)), 0, "")
		plus, minus = append(plus, "CY-plus.1"), append(minus, "CY-minus.1")
		chassis = append(chassis, "CY-plus.2", "CY-minus.2")
	}
	d.join(ClassChassis, chassis...)
	return plus, minus
}

// netLow draws coils, 12 V net and interlock loop.
func (s *solver) netLow(d *drawer, coils []string) {
	if s.in.Inlet.Current > 0 {
		coils = append(coils, "K-inlet-plus", "K-inlet-minus")
	}
	d.part("A-battery", KindBattery12, "12 V battery", "12 V", 0, "")
	fed, back := []string{"A-battery.+"}, []string{"A-battery.-"}
	if s.in.Convert != nil {
		fed, back = append(fed, "A-converter.12v"), append(back, "A-converter.0v")
	}
	var ends []string
	for _, k := range coils {
		ends = append(ends, k+".c+")
		back = append(back, k+".c-")
	}
	loop := s.loop()
	last := ""
	for _, id := range loop {
		if strings.HasPrefix(id, "X-") {
			label := "plug of the " + id[2:]
			if id == "X-cover" {
				label = "covers of the boxes"
			}
			d.part(id, KindConnector, label, "", 0, "")
		}
		if last == "" {
			fed = append(fed, id+".l1")
		} else {
			d.join(ClassLoop, last, id+".l1")
		}
		last = id + ".l2"
	}
	d.join(ClassPlus12, fed...)
	d.join(ClassLoop, append([]string{last}, ends...)...)
	d.join(ClassMinus12, back...)
}
