package circuit

import (
	"packyard/check"
	"packyard/part"
	"packyard/unit"
)

// Input is everything that the circuit is made from.
type Input struct {
	Battery  Battery
	Loads    Loads
	Inverter *part.Inverter
	Charger  *part.Charger   // nil: none
	Convert  *part.Converter // to the 12 V net; nil: none
	Inlet    Inlet           // for direct current; zero: none
	Runs     []Run           // cables, in the order in which they are listed
	Stated   Stated
	Parts    *part.Catalogue // nil: the built-in one
}

// Battery is the pack as the circuit sees it: strings alike, in parallel.
type Battery struct {
	Strings         int
	VoltageFull     unit.Voltage    // at the end of charge
	VoltageLowest   unit.Voltage    // at the charge floor under load, cold and aged
	OCVFull         unit.Voltage    // of a string, full, at rest
	OCVEmpty        unit.Voltage    // at the charge floor
	ResistanceLeast unit.Resistance // of a string of cells and modules: full, warm, as bought, at once
	ResistanceMost  unit.Resistance // at the charge floor, on the coldest day, at the end of life, after ten seconds
	PathStated      unit.Resistance // of cables, fuse and contactors of a string, as the builder gives it
	Modules         []Modules       // of one string, in their order from minus to plus
	JointResistance unit.Resistance // of a joint between two modules
	CellResistance  unit.Resistance // least of one group of cells in parallel, for the sense leads
}

// Modules are modules in series that stand together in one bay.
type Modules struct {
	Bay     string
	Voltage []unit.Voltage // of each module, full
}

// Loads are the currents of the whole pack.
type Loads struct {
	RMS         unit.Current // on the wanted schedule, the larger of both lives
	Climb       unit.Current // on the wanted grade for ten minutes; zero: none wanted
	Peak        unit.Current // of ten seconds
	Regenerated unit.Current // into the pack, of ten seconds
	ShareLow    unit.Ratio   // reserve, only shown
	Low12       unit.Power   // of the 12 V net, all that may be on at once
	CoilsBefore unit.Power   // of contactors that Low12 holds already
}

// Inlet is an inlet for direct current.
type Inlet struct {
	Current unit.Current
	Voltage unit.Voltage
}

// RunKind is what a cable is for.
type RunKind string

// Kinds of run.
const (
	RunString    RunKind = "string"    // between bays, and from a string to the switch box
	RunMain      RunKind = "main"      // from the switch box to the inverter
	RunCharger   RunKind = "charger"   // from the switch box to the charger
	RunConverter RunKind = "converter" // from the switch box to the 12 V converter
	RunInlet     RunKind = "inlet"     // from the switch box to the inlet for direct current
)

// Run is one cable before its section is known.
type Run struct {
	Kind      RunKind
	From, To  string // places in words
	Length    unit.Length
	Cores     int  // one after the other in the path of the current: 2 for plus and minus
	Estimated bool // not stated by the builder
}

// Stated is what the builder says about the circuit. The zero value of a pointer
// or a figure leaves it to packyard.
type Stated struct {
	Capacitance  unit.Capacitance  // of the inverter and all else between the poles; zero: not known
	CapacitanceY unit.Capacitance  // from each pole to the chassis; zero: not known
	Class        string            // temperature class of the cables, "A" to "H"; "": not stated
	Ambient      unit.Temperature  // of the air at cables and fuses
	Inductance   unit.Inductance   // of the fault loop
	Around       Surroundings      // for the insulation distances
	PartVoltage  unit.Voltage      // that each part stays below with the disconnect open; zero: half of the pack
	ShareClosed  unit.Ratio        // precharged to, before the contactor closes
	TimeClosed   unit.Time         // in which precharging has to be done
	Starts       unit.Time         // between two prechargings
	BleedGiven   unit.Resistance   // across the poles; zero: not stated
	BleedTime    unit.Time         // in which 60 V are to be reached, passively
	DropMost     unit.Ratio        // of the voltage along the main cable, there and back
	Fuses        int               // in the traction circuit; zero: one for each string
	Protected    bool              // all parts of the ac side have double insulation or a barrier
	Assumed      check.Assumptions // what stands in for figures not given

	Fuse       *part.Fuse
	Contactor  *part.Contactor
	Cable      *part.CableSize // of the main cable
	Disconnect *part.Disconnect
	Monitor    *part.IsolationMonitor
	Resistor   *part.PulseResistor
}
