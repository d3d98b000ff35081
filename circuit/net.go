package circuit

import "packyard/unit"

// Net is the high-voltage circuit and the control wires that hang on it, as a
// list of parts and of the nodes that join their pins. The drawings are made
// from it, and from nothing else.
type Net struct {
	Parts []NetPart `json:"parts"`
	Nodes []NetNode `json:"nets"`
}

// PartKind is what a part of the circuit is.
type PartKind string

// Kinds of part. The comment names the pins in their order.
const (
	KindModules    PartKind = "modules"           // "+", "-": modules in series that stand together, a part of a string
	KindFuse       PartKind = "fuse"              // "1", "2"
	KindContactor  PartKind = "contactor"         // "1", "2", "c+", "c-": main contacts, coil
	KindPrecharge  PartKind = "precharge_relay"   // "1", "2", "c+", "c-"
	KindResistor   PartKind = "resistor"          // "1", "2": precharge, bleed
	KindDisconnect PartKind = "disconnect"        // "1", "2", "l1", "l2": main contacts, its place in the interlock loop
	KindMonitor    PartKind = "isolation_monitor" // "+", "-", "chassis"
	KindCapacitor  PartKind = "capacitor"         // "1", "2": of the inverter, or from a pole to the chassis
	KindInverter   PartKind = "inverter"          // "+", "-"
	KindCharger    PartKind = "charger"           // "+", "-"
	KindConverter  PartKind = "converter"         // "+", "-", "12v", "0v"
	KindInlet      PartKind = "inlet"             // "+", "-": for direct current
	KindHeater     PartKind = "heater"            // "+", "-"
	KindConnector  PartKind = "connector"         // "l1", "l2": the contact of a plug in the interlock loop
	KindChassis    PartKind = "chassis"           // "1"
	KindBattery12  PartKind = "battery_12v"       // "+", "-"
	KindShunt      PartKind = "current_sensor"    // "1", "2"
)

// PartKinds returns all kinds.
func PartKinds() []PartKind {
	return []PartKind{
		KindModules, KindFuse, KindContactor, KindPrecharge, KindResistor, KindDisconnect, KindMonitor, KindCapacitor, KindInverter,
		KindCharger, KindConverter, KindInlet, KindHeater, KindConnector, KindChassis, KindBattery12, KindShunt,
	}
}

// NetPart is one part of the circuit.
type NetPart struct {
	ID     string   `json:"id"`   // unique, letters, digits and dashes: "F1", "K1-plus"
	Kind   PartKind `json:"kind"` //
	Label  string   `json:"label"`
	Rating string   `json:"rating"`           // in words: "250 A, 500 V"; "" when none fits
	String int      `json:"string,omitempty"` // from 1; 0: of the whole pack
	Place  string   `json:"place,omitempty"`  // bay that it sits in; "" outside of the bays, or not known
	Pins   []string `json:"pins"`             // in the order that the kind gives
}

// VoltageClass is what a node stands at.
type VoltageClass string

// Classes of a node.
const (
	ClassPlus    VoltageClass = "hv+"       // at the plus pole of the pack, behind the contactors or before them
	ClassMinus   VoltageClass = "hv-"       // at the minus pole
	ClassMiddle  VoltageClass = "hv"        // inside a string
	ClassPlus12  VoltageClass = "12v"       // fed from the 12 V net
	ClassMinus12 VoltageClass = "0v"        // its return, joined to the chassis
	ClassChassis VoltageClass = "chassis"   //
	ClassLoop    VoltageClass = "interlock" // the loop through plugs, covers and disconnect
)

// NetNode is what is joined together: an ideal node, or a cable where one is
// named.
type NetNode struct {
	ID    string       `json:"id"`   // unique: "N1"
	Pins  []string     `json:"pins"` // "F1.2", part and pin
	Class VoltageClass `json:"class"`
	Cable string       `json:"cable,omitempty"` // ID of the Cable that makes the node; "" inside a box or on a bar
}

// Cable is one run of cable or of bar with what it joins.
type Cable struct {
	ID         string          `json:"id"`   // "W1"
	From       string          `json:"from"` // place in words
	To         string          `json:"to"`
	Label      string          `json:"label"`      // "left side to engine bay, plus"
	Part       string          `json:"part"`       // of the catalogue; "" when none fits
	Section    unit.Area       `json:"section_m2"` // of the conductor, nominal
	Length     unit.Length     `json:"length_m"`   //
	Estimated  bool            `json:"estimated"`  // the length is not the builder's own
	Current    unit.Current    `json:"current_a"`  // that it carries without end
	Ampacity   unit.Current    `json:"ampacity_a"` // at the ambient temperature
	Resistance unit.Resistance `json:"resistance_ohm"`
	Class      string          `json:"insulation_class"` // temperature class of ISO 19642, "D"; "" not stated
}
