package design

import (
	"packyard/bay"
	"packyard/cell"
	"packyard/charge"
	"packyard/check"
	"packyard/drive"
	"packyard/part"
	"packyard/schedule"
	"packyard/unit"
	"packyard/vehicle"
)

// Brief is everything the builder states before a pack is chosen.
type Brief struct {
	Title    string
	Invented bool // demonstration data, said so in every output
	Currency string
	Donor    vehicle.Donor
	Road     Road
	Drive    Drive
	Bays     []bay.Bay
	Build    Build
	Sources  []Source
	Targets  Targets
	Choose   Choose
	Assumed  check.Assumptions // what the reader filled in
	Outline  Outline           // overall size of the donor, all zero: not stated
	Cooling  Cooling           // how the pack is kept at temperature

	Circuit      Circuit                 // what is stated of the high-voltage circuit
	Acknowledged []check.Acknowledgement // safety findings that the builder knows

	// Uncertain are the inputs that were given with a spread.
	Uncertain []Uncertain
}

// Road is what the vehicle rolls on and through.
type Road struct {
	Load       vehicle.RoadLoad
	DriverMass unit.Mass        // and what else is on board in the energy test
	Ambient    unit.Temperature // of the range runs
	Altitude   unit.Length
	Headwind   unit.Speed
}

// Drive is the new drivetrain.
type Drive struct {
	Unit                    *part.DriveUnit
	Inverter                *part.Inverter
	Charger                 *part.Charger
	Inlet                   charge.Inlet // for direct current; zero: none
	Converter               *part.Converter
	Stages                  []part.Stage // kept gearbox, shaft, differential; the unit's own reduction is added in front
	DrivenAxle              string       // "front", "rear", "all"
	Regen                   drive.Regen
	Auxiliary               part.Auxiliaries
	ReserveLow, ReserveHigh unit.Ratio // charge not used at the bottom and at the top
}

// SourceKind says in what form cells come.
type SourceKind string

// Kinds of source.
const (
	LooseCells SourceKind = "cells"           // new or used single cells, built into stacks
	Closed     SourceKind = "module"          // used as they are
	Openable   SourceKind = "openable module" // used as they are, or opened and regrouped
)

// Source is one lot of cells or modules that can be had.
type Source struct {
	Name     string
	Kind     SourceKind
	Cell     *cell.Cell     // of loose cells
	Module   *cell.Module   // of modules
	Hardware *cell.Hardware // of loose cells; of openable modules when it replaces the module's own
	Count    int            // pieces to be had
	Price    check.Price    // per piece; takes the place of the part's own price
	Health   cell.Health    // as bought
	Spare    int            // pieces to be kept back
}

// Targets are what the builder wants, and the limits of money and days.
type Targets struct {
	Schedule         *schedule.Schedule // of the wanted range
	Range            unit.Length        // wanted as bought; zero: as far as it goes
	RangeEnd         unit.Length        // wanted at the planned end of life; zero: not asked
	TopSpeed         unit.Speed         // zero: as the schedule needs
	Grade            unit.Slope         // to be held
	GradeSpeed       unit.Speed
	PriceMax         float64          // in Currency; zero: no limit
	MassMax          unit.Mass        // of the whole pack; zero: only the ratings
	ChargeTime       unit.Time        // of a full charge; zero: not asked
	Coldest, Hottest unit.Temperature // day to be driven on
	HandlingVoltage  unit.Voltage     // hard limit on a module; zero: a safety finding only
	MonitorChannels  int              // of one cell-monitor board; zero: not looked at
	EndOfLife        cell.Health      // planned end: capacity share against new and resistance growth
	StringsMax       int              // largest number of parallel strings looked at, at least 1
}

// Choose says how options are ranked, and which one the builder fixed.
type Choose struct {
	RankBy string // "range", "mass", "price", "margin"
	Option string // ID of the option fixed by the builder, empty: none
}

// Build is what a pack needs besides cells and module hardware.
type Build struct {
	CoolingShare    unit.Ratio      // mass of plates, hoses and coolant as a share of the cells' mass
	FixedMass       unit.Mass       // contactors, fuses, service disconnect, monitor, cable of the whole pack
	MassPerString   unit.Mass       // contactors, fuse and monitoring of each further string
	BoxSheet        unit.Length     // wall thickness for bays without a stated box mass
	BoxDensity      unit.Density    // of that wall
	CableResistance unit.Resistance // pack cables, fuses and contactors, one string
	FixedPrice      float64         // in Currency: enclosure parts, contactors, consumables of the whole pack
	PricePerString  float64         // in Currency, each further string
	PricePerBay     float64         // in Currency, each bay used: its box
	HoursFixed      unit.Time       // work on the whole pack
	HourRate        float64         // in Currency per hour; zero: own work is not counted
}

// Outline is the overall size of the donor.
type Outline struct {
	Front, Rear   unit.Length // overhangs: bumper to front axle line, rear axle line to the rear end
	Width, Height unit.Length // without mirrors; above the ground
}
