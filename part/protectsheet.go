package part

import (
	"packyard/cell"
	"packyard/check"
	"packyard/unit"
)

// FuseSheet is a fuse-link as written.
type FuseSheet struct {
	Pos          check.Pos                            `sheet:",pos"`
	ID           check.Text                           `sheet:"id,required" doc:"name by which projects refer to it"`
	Title        check.Text                           `sheet:"title,required" doc:"what it is, in words"`
	Current      check.Given[unit.Current]            `sheet:"current,required" range:">0 A..2 kA" doc:"rated current"`
	Voltage      check.Given[unit.Voltage]            `sheet:"voltage,required" range:">0 V..2000 V" doc:"rated voltage, direct current"`
	Breaking     check.Given[unit.Current]            `sheet:"breaking_capacity,required" range:">0 A..300 kA" doc:"highest current that it breaks at its voltage"`
	BreakingMin  check.Given[unit.Current]            `sheet:"breaking_min,required" range:">0 A..10 kA" doc:"lowest current that it breaks"`
	TimeConstant check.Given[unit.Time]               `sheet:"time_constant,required" range:">0 ms..100 ms" doc:"longest L/R at which it is rated"`
	Melting      check.Given[unit.SquareAmpereSecond] `sheet:"melting,required" range:">0 A²s..100 kA²s" doc:"I²t that melts it at high current"`
	Clearing     check.Given[unit.SquareAmpereSecond] `sheet:"clearing,required" range:">0 A²s..100 kA²s" doc:"I²t until it has cleared, at its voltage and time_constant"`
	Points       []CurrentTimeSheet                   `sheet:"points,required" doc:"mean melting curve, the current rising, at least two points"`
	Resistance   check.Given[unit.Resistance]         `sheet:"resistance" range:"0 Ω..1 Ω" doc:"cold"`
	Mass         check.Given[unit.Mass]               `sheet:"mass" range:"0 kg..10 kg" doc:"mass"`
	Price        check.Price                          `sheet:"price" doc:"price of one"`
	Facts        []cell.FactSheet                     `sheet:"facts" doc:"where the figures come from"`
}

// CurrentTimeSheet is a point of a curve of time over current.
type CurrentTimeSheet struct {
	Current check.Given[unit.Current] `sheet:"current,required" range:">0 A..300 kA" doc:"steady"`
	Time    check.Given[unit.Time]    `sheet:"time,required" range:">0 s..1000 h" doc:"at this current"`
}

// ContactorSheet is a contactor as written.
type ContactorSheet struct {
	Pos            check.Pos                     `sheet:",pos"`
	ID             check.Text                    `sheet:"id,required" doc:"name by which projects refer to it"`
	Title          check.Text                    `sheet:"title,required" doc:"what it is, in words"`
	Current        check.Given[unit.Current]     `sheet:"current,required" range:">0 A..2 kA" doc:"carried without end"`
	Ambient        check.Given[unit.Temperature] `sheet:"ambient,required" range:"0 °C..150 °C" doc:"temperature of the air at that current"`
	Voltage        check.Given[unit.Voltage]     `sheet:"voltage,required" range:">0 V..2000 V" doc:"rated voltage, direct current"`
	Points         []CurrentTimeSheet            `sheet:"points" doc:"current beyond it and how long it is carried, the current rising"`
	Break          check.Given[unit.Current]     `sheet:"break,required" range:">0 A..10 kA" doc:"broken once in the marked direction at its voltage"`
	BreakReverse   check.Given[unit.Current]     `sheet:"break_reverse" range:"0 A..10 kA" doc:"broken against the marked direction; none if not given"`
	Make           check.Given[unit.Current]     `sheet:"make" range:">0 A..10 kA" doc:"closed on; its current if not given"`
	ClosingTime    check.Given[unit.Time]        `sheet:"closing_time" range:">0 s..1 s" doc:"from the coil to the contact"`
	CoilHold       check.Given[unit.Power]       `sheet:"coil_hold" range:"0 W..200 W" doc:"of the coil while it is held"`
	CoilPull       check.Given[unit.Power]       `sheet:"coil_pull" range:"0 W..500 W" doc:"of the coil while it closes; coil_hold if not given"`
	ContactVoltage check.Given[unit.Voltage]     `sheet:"contact_voltage" range:"0 V..1 V" doc:"between the main contacts at its current"`
	Mass           check.Given[unit.Mass]        `sheet:"mass" range:"0 kg..10 kg" doc:"mass"`
	Price          check.Price                   `sheet:"price" doc:"price of one"`
	Facts          []cell.FactSheet              `sheet:"facts" doc:"where the figures come from"`
}

// CableSizeSheet is a section of flexible copper conductor as written.
type CableSizeSheet struct {
	Pos           check.Pos                     `sheet:",pos"`
	ID            check.Text                    `sheet:"id,required" doc:"name by which projects refer to it"`
	Title         check.Text                    `sheet:"title,required" doc:"what it is, in words"`
	Section       check.Given[unit.Area]        `sheet:"section,required" range:">0 mm²..500 mm²" doc:"of the conductor, nominal"`
	Gauge         check.Text                    `sheet:"gauge" doc:"American wire gauge, 2/0 AWG"`
	ResistanceKm  check.Given[unit.Resistance]  `sheet:"resistance_km,required" range:">0 Ω..1000 Ω" doc:"of one kilometre at 20 °C, the largest allowed"`
	AmpacityFree  check.Given[unit.Current]     `sheet:"ampacity,required" range:">0 A..2 kA" doc:"one conductor in free air"`
	ConductorTemp check.Given[unit.Temperature] `sheet:"conductor,required" range:"40 °C..300 °C" doc:"temperature of the conductor at the ampacity"`
	AmbientTemp   check.Given[unit.Temperature] `sheet:"ambient,required" range:"0 °C..100 °C" doc:"temperature of the air at the ampacity"`
	Voltage       check.Given[unit.Voltage]     `sheet:"voltage,required" range:">0 V..3000 V" doc:"rated voltage, direct current"`
	MassKm        check.Given[unit.Mass]        `sheet:"mass_km" range:"0 kg..10 t" doc:"of one kilometre"`
	Facts         []cell.FactSheet              `sheet:"facts" doc:"where the figures come from"`
}

// DisconnectSheet is a service disconnect as written.
type DisconnectSheet struct {
	Pos        check.Pos                    `sheet:",pos"`
	ID         check.Text                   `sheet:"id,required" doc:"name by which projects refer to it"`
	Title      check.Text                   `sheet:"title,required" doc:"what it is, in words"`
	Current    check.Given[unit.Current]    `sheet:"current,required" range:">0 A..2 kA" doc:"carried without end"`
	Voltage    check.Given[unit.Voltage]    `sheet:"voltage,required" range:">0 V..2000 V" doc:"rated voltage, direct current"`
	Resistance check.Given[unit.Resistance] `sheet:"resistance" range:"0 Ω..1 Ω" doc:"of its contacts"`
	Interlock  check.Flag                   `sheet:"interlock" doc:"whether it has a contact for the interlock loop; no if not given"`
	Mass       check.Given[unit.Mass]       `sheet:"mass" range:"0 kg..10 kg" doc:"mass"`
	Price      check.Price                  `sheet:"price" doc:"price of one"`
	Facts      []cell.FactSheet             `sheet:"facts" doc:"where the figures come from"`
}

// IsolationMonitorSheet is an isolation monitor as written.
type IsolationMonitorSheet struct {
	Pos       check.Pos                     `sheet:",pos"`
	ID        check.Text                    `sheet:"id,required" doc:"name by which projects refer to it"`
	Title     check.Text                    `sheet:"title,required" doc:"what it is, in words"`
	Voltage   check.Given[unit.Voltage]     `sheet:"voltage,required" range:">0 V..2000 V" doc:"highest of the circuit"`
	RangeLow  check.Given[unit.Resistance]  `sheet:"range_low,required" range:">0 Ω..1 MΩ" doc:"smallest resistance that it tells"`
	RangeHigh check.Given[unit.Resistance]  `sheet:"range_high,required" range:">0 Ω..100 MΩ" doc:"largest resistance that it tells"`
	Capacity  check.Given[unit.Capacitance] `sheet:"capacitance_max,required" range:">0 F..1 mF" doc:"largest capacitance to the chassis"`
	Response  check.Given[unit.Time]        `sheet:"response,required" range:">0 s..10 min" doc:"longest time until it tells"`
	Mass      check.Given[unit.Mass]        `sheet:"mass" range:"0 kg..10 kg" doc:"mass"`
	Price     check.Price                   `sheet:"price" doc:"price of one"`
	Facts     []cell.FactSheet              `sheet:"facts" doc:"where the figures come from"`
}

// PulseResistorSheet is a precharge resistor as written.
type PulseResistorSheet struct {
	Pos        check.Pos                    `sheet:",pos"`
	ID         check.Text                   `sheet:"id,required" doc:"name by which projects refer to it"`
	Title      check.Text                   `sheet:"title,required" doc:"what it is, in words"`
	Resistance check.Given[unit.Resistance] `sheet:"resistance,required" range:">0 Ω..100 kΩ" doc:"resistance"`
	Power      check.Given[unit.Power]      `sheet:"power,required" range:">0 W..10 kW" doc:"without end"`
	Pulse      check.Given[unit.Energy]     `sheet:"pulse,required" range:">0 J..1 MJ" doc:"of one pulse from cold"`
	Voltage    check.Given[unit.Voltage]    `sheet:"voltage,required" range:">0 V..2000 V" doc:"highest across it"`
	Mass       check.Given[unit.Mass]       `sheet:"mass" range:"0 kg..10 kg" doc:"mass"`
	Price      check.Price                  `sheet:"price" doc:"price of one"`
	Facts      []cell.FactSheet             `sheet:"facts" doc:"where the figures come from"`
}
