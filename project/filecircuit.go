package project

import (
	"packyard/check"
	"packyard/unit"
)

// CircuitFile is the high-voltage circuit as written.
type CircuitFile struct {
	Pos          check.Pos                     `sheet:",pos"`
	Capacitance  check.Given[unit.Capacitance] `sheet:"capacitance" range:">0 F..1 F" doc:"of the inverter and all else between the poles; that of the inverter if not given"`
	CapacitanceY check.Given[unit.Capacitance] `sheet:"capacitance_to_chassis" range:">0 F..100 µF" doc:"from each pole to the chassis, all devices together"`
	Class        check.Text                    `sheet:"insulation_class" oneof:"A,B,C,D,E,F,G,H" doc:"temperature class of the cables: A 85 °C, B 100 °C, C 125 °C, D 150 °C, E 175 °C, F 200 °C, G 225 °C, H 250 °C"`
	Ambient      check.Given[unit.Temperature] `sheet:"ambient" range:"0 °C..120 °C" doc:"hottest air at cables, fuses and contactors"`
	Inductance   check.Given[unit.Inductance]  `sheet:"inductance" range:">0 H..1 mH" doc:"of the loop of a fault"`
	Pollution    check.Count                   `sheet:"pollution_degree" range:"2..3" doc:"of the surfaces between live parts; 2 if not given"`
	Material     check.Count                   `sheet:"material_group" range:"1..3" doc:"of the insulation by its tracking index: 1 from 600, 2 from 400, 3 from 100; 3 if not given"`
	Category     check.Count                   `sheet:"overvoltage_category" range:"1..4" doc:"2 if not given, as on the ac side of a charger"`
	Altitude     check.Given[unit.Length]      `sheet:"altitude" range:"0 m..6000 m" doc:"highest place that it is driven to, for the clearances"`
	PartVoltage  check.Given[unit.Voltage]     `sheet:"part_voltage" range:">0 V..1500 V" doc:"that each part of a string stays below with the service disconnects open; cut once in the middle if not given"`
	Precharged   check.Given[unit.Ratio]       `sheet:"precharged" range:"80 %..99.9 %" doc:"share of the pack voltage at which the contactor may close"`
	PrechargeIn  check.Given[unit.Time]        `sheet:"precharge_time" range:"50 ms..10 s" doc:"in which it is reached"`
	Starts       check.Given[unit.Time]        `sheet:"between_starts" range:"1 s..1 h" doc:"shortest time between two prechargings, again and again"`
	Bleed        check.Given[unit.Resistance]  `sheet:"bleed" range:">0 Ω..10 MΩ" doc:"resistor across the poles, in the inverter or beside it"`
	BleedTime    check.Given[unit.Time]        `sheet:"bleed_time" range:"1 s..10 min" doc:"in which the circuit falls to 60 V with the contactors open"`
	Drop         check.Given[unit.Ratio]       `sheet:"voltage_drop" range:"0.1 %..10 %" doc:"largest along the main cable, there and back, at the peak current"`
	Fuses        check.Count                   `sheet:"fuses" range:"1..8" doc:"in the traction circuit; one for each string if not given"`
	Protected    check.Flag                    `sheet:"ac_protected" doc:"whether all parts of the ac side are doubly insulated or behind a barrier; no if not given"`
	Fuse         check.Text                    `sheet:"fuse" doc:"of each string, from the catalogue or from parts/; left to packyard if not given"`
	Contactor    check.Text                    `sheet:"contactor" doc:"of each pole; left to packyard if not given"`
	Cable        check.Text                    `sheet:"cable" doc:"of strings and inverter; left to packyard if not given"`
	Disconnect   check.Text                    `sheet:"disconnect" doc:"service disconnect; left to packyard if not given"`
	Monitor      check.Text                    `sheet:"isolation_monitor" doc:"left to packyard if not given"`
	Resistor     check.Text                    `sheet:"precharge_resistor" doc:"left to packyard if not given"`
	Lengths      CableLengthsFile              `sheet:"cable_lengths" doc:"of one core, measured; estimated from the places if not given"`
	InverterAt   Place                         `sheet:"inverter_at" range:"-3 m..12 m" doc:"where the inverter sits; found among donor.added if not given"`
	ChargerAt    Place                         `sheet:"charger_at" range:"-3 m..12 m" doc:"where the charger sits; found among donor.added if not given"`
	ConverterAt  Place                         `sheet:"converter_at" range:"-3 m..12 m" doc:"where the 12 V converter sits; found among donor.added if not given"`
}

// CableLengthsFile are measured lengths.
type CableLengthsFile struct {
	String    check.Given[unit.Length] `sheet:"string" range:">0 m..30 m" doc:"each cable between bays"`
	Main      check.Given[unit.Length] `sheet:"main" range:">0 m..30 m" doc:"switch box to inverter"`
	Charger   check.Given[unit.Length] `sheet:"charger" range:">0 m..30 m" doc:"switch box to charger"`
	Converter check.Given[unit.Length] `sheet:"converter" range:">0 m..30 m" doc:"switch box to 12 V converter"`
	Inlet     check.Given[unit.Length] `sheet:"inlet" range:">0 m..30 m" doc:"switch box to the inlet for direct current"`
}

// AcknowledgedFile is a safety finding that the builder knows.
type AcknowledgedFile struct {
	Pos     check.Pos  `sheet:",pos"`
	Rule    check.Text `sheet:"rule,required" doc:"of the finding, as packyard prints it, such as safety.handling.pack"`
	Subject check.Text `sheet:"subject" doc:"of the finding, word for word; every finding of the rule if not given"`
	By      check.Text `sheet:"by,required" doc:"name of the person"`
	Reason  check.Text `sheet:"reason,required" doc:"why it is borne, and what is done about it"`
	Date    check.Text `sheet:"date,required" doc:"day, as 2026-05-31"`
}
