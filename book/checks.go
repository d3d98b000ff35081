package book

import (
	"fmt"

	"packyard/circuit"
	"packyard/document"
	"packyard/unit"
)

// commissioning lists the checks before the first drive, with the limit of each
// and room to write. Source: common-practice, where no other stands.
func commissioning(in *Input) []document.Section {
	w := in.Assess.Window
	cells := in.Placed.Wiring.Topology
	steps := []struct {
		title string
		rows  [][2]string
	}{
		{"Before the boxes are closed", [][2]string{
			{"polarity of every module, read with a meter", "as marked, none turned"},
			{"voltage of every series group", "all within 10 mV at rest for an hour (common practice); note the lowest and the highest"},
			{"torque of every joint, marked with a line of paint", "as the maker of the joint says"},
			{"resistance of every joint, four wires", "none more than 1.5 times the median of its kind (common practice)"},
			{"sense leads: voltage at each pin of the board's plug before it is put in", "rising by one group from pin to pin, none turned"},
			{"every temperature sensor, warmed by hand", "the right one moves"},
		}},
		{"Before the disconnect is put in", [][2]string{
			{"isolation of plus and of minus against the box, tester at 500 V, plugs of the boards out", "at least " + of(in, circuit.IsolationAC(w.Full))},
			{"resistance from each box to the chassis", "at most 0.1 Ω (ISO 6469-3)"},
			{"interlock loop: open each plug, cover and the disconnect in turn", "the loop opens each time"},
			{"emergency stop and crash switch", "the loop opens"},
		}},
		{"First switching on, nothing but a lamp or the inverter as load", [][2]string{
			{"voltage of the pack at the disconnect", fmt.Sprintf("%d groups times the voltage of one; never above %s", cells.Series, of(in, w.Full))},
			{"order of the contactors: minus, precharge, plus; precharge opens", "in this order, seen on the log"},
			{"voltage of the inverter at the moment the plus contactor closes", "at least 95 % of the pack (common practice)"},
			{"contactors opened: voltage of the inverter after the discharge time", "at most " + of(in, circuit.VoltageTouch) + " (UN R100)"},
			{"isolation monitor, with a test resistor from plus to the chassis, then from minus", "it warns both times"},
			{"a welded contactor, feigned at the auxiliary contact", "no switching on"},
		}},
		{"First charge, from the lowest current the charger has, watched throughout", [][2]string{
			{"driving while plugged in", "not possible"},
			{"highest group at the end", "at most " + of(in, w.Full/unit.Voltage(float64(cells.Series)))},
			{"spread of the groups at the end", "falls from charge to charge"},
			{"every joint and contactor after an hour, by hand or thermal camera", "none more than 20 K above its neighbours (common practice)"},
			{"charger stops when one group is full, feigned by a lower limit", "it stops"},
		}},
		{"First drive, closed ground, helper with a radio", [][2]string{
			{"direction of rotation, wheels off the ground", "forward is forward"},
			{"regeneration with a full pack", "none, or as limited by the monitor"},
			{"ready indication, warning sound", "on only when the pedal can move the vehicle"},
			{"brakes without regeneration, vacuum pump off after one stroke in store", "as before the conversion"},
			{"20 minutes, then every joint and plug looked at", "dry, tight, none hot"},
			{"weighed on a bridge, ready to drive", "see the chapter on inspection"},
		}},
	}
	out := []document.Section{{ID: "checks", Title: "Commissioning checks", NewPage: true, Blocks: []document.Block{
		document.Paragraph{Text: "In this order. A check that fails is mended before the next one. Sign each table."},
		document.Paragraph{Text: "Isolation: at least " + of(in, circuit.IsolationDC(w.Full)) + " for the parts with direct current alone, " +
			of(in, circuit.IsolationAC(w.Full)) + " with the inverter joined (UN R100: 100 and 500 Ω/V at " + of(in, w.Full) + "). A dry new pack is far above both; one that just passes has a fault that grows."},
	}}}
	for i, s := range steps {
		t := document.Table{Title: s.title, Columns: []document.Column{{Title: "Check"}, {Title: "Passed when"}, {Title: "Read", Write: true}, {Title: "By, date", Write: true}}}
		for _, r := range s.rows {
			t.Rows = append(t.Rows, []string{r[0], r[1], "", ""})
		}
		out = append(out, document.Section{ID: fmt.Sprintf("checks-%d", i+1), Title: s.title, Deep: true, Blocks: []document.Block{withoutTitle(t)}})
	}
	return out
}

func withoutTitle(t document.Table) document.Table { t.Title = ""; return t }

// inspection is what the inspector asks for.
func inspection(in *Input) []document.Section {
	weigh := document.Table{Title: "Weighbridge", Columns: []document.Column{{Title: "State"}, {Title: "Worked out: front", Right: true}, {Title: "rear", Right: true}, {Title: "Read: front", Write: true}, {Title: "rear", Write: true}}, Empty: "the vehicle was not worked out"}
	for _, s := range in.Assess.Vehicle {
		weigh.Rows = append(weigh.Rows, []string{s.Name, of(in, s.AxleFront), of(in, s.AxleRear), "", ""})
	}
	record := func(title string, rows ...string) document.Table {
		t := document.Table{Title: title, Columns: []document.Column{{Title: "Place"}, {Title: "Read", Write: true}, {Title: "Instrument, its number", Write: true}, {Title: "By, date", Write: true}}}
		for _, r := range rows {
			t.Rows = append(t.Rows, []string{r, "", "", ""})
		}
		return t
	}
	isolation := []string{"plus to chassis", "minus to chassis", "the same, inverter joined", "the same, charger joined"}
	bonding := []string{"inverter to chassis", "motor to chassis", "charger to chassis", "inlet, protective earth to chassis"}
	for _, b := range in.Assess.Bays {
		if len(b.Places) > 0 {
			bonding = append(bonding, "box in "+b.Name+" to chassis")
		}
	}
	return []document.Section{{ID: "inspection", Title: "Inspection file", NewPage: true, Blocks: []document.Block{
		weigh, record("Isolation resistance", isolation...), record("Bonding resistance", bonding...),
		document.Table{Title: "Labels", Columns: []document.Column{{Title: "Label"}, {Title: "Where"}, {Title: "Fitted", Write: true}}, Rows: [][]string{
			{"high-voltage warning sign (ISO 7010 W012 form, UN R100)", "every box, cover and the disconnect", ""},
			{"orange outer covering", "every high-voltage cable outside of a box (UN R100)", ""},
			{"pack: kind of cell, voltage " + of(in, in.Assess.Window.Full) + ", mass, date", "every box", ""},
			{"where the disconnect is, and how long to wait", "dashboard or door post, and beside the disconnect", ""},
			{"kind of propulsion for the emergency services", "front and rear, as local rules say", ""},
		}},
		document.Paragraph{Lead: "Ask the local authority before work begins", Text: "Which of these it wants, from whom, and in which form. Rules differ from country to country; this list is not one of them."},
		document.List{Items: []string{
			"UN R100 (safety of the electric power train): whole, in parts, or a national rule in its place; reports on cells (UN 38.3), on the pack (vibration, shock, fire, short circuit) or a waiver for a single vehicle.",
			"UN R10 (radio interference): declarations for inverter, charger and converter as a system.",
			"Mass and axle loads, brakes with the vacuum pump, steering, heater and demister, speedometer, noise for those on foot (UN R138).",
			"Who may work on and sign for high voltage; transport of used cells (UN 3480, UN 3481), their storage and their return.",
			"What the insurer wants to know.",
		}},
	}}}
}

// responders is the page for those who come to an accident.
func responders(in *Input) []document.Section {
	a := in.Assess
	var bays []string
	for _, b := range a.Bays {
		if len(b.Places) > 0 {
			bays = append(bays, b.Name+" ("+of(in, b.Mass)+")")
		}
	}
	return []document.Section{{ID: "responders", Title: "For emergency responders", NewPage: true, Blocks: []document.Block{
		document.Caution{Text: "Battery-electric vehicle, converted. High voltage up to " + of(in, a.Window.Full) + " DC. Boxes stay live with the disconnect open."},
		document.Figures{Entries: []document.Entry{
			{Name: "Cells", Value: a.Cell.Title + ", chemistry " + a.Cell.Chemistry}, {Name: "Energy, usable", Value: of(in, a.New.Usable)},
			{Name: "Boxes in", Value: joined(bays)},
		}},
		document.Picture{Sheet: topView(in), Caption: "Where the boxes are. High-voltage cable outside of the boxes is orange."},
		document.List{Numbered: true, Items: []string{
			"Chock the wheels. Key off, out of the vehicle. Open the disconnect at the place that its label shows.",
			"Never cut an orange cable or a box. Treat the vehicle as live until it has been measured.",
			"Fire of cells: much water, for long, onto the box; gas is poisonous and burns: breathing apparatus, upwind. A vented box can catch fire again after hours or days: stand the vehicle alone, 15 m from anything that burns (common practice).",
			"In water: touch nothing that is orange or a box; once out of the water let it drain in the open, alone, and treat it as damaged.",
			"Tow with the driven wheels off the ground: turning wheels make voltage.",
		}},
	}}}
}
