package cell

import (
	"packyard/check"
	"packyard/unit"
)

// Chemistry is the family of a cell by its positive electrode: "NMC", "NCA",
// "LFP", "LMO", "LTO" (negative electrode).
type Chemistry string

// Format is the shape of a cell.
type Format string

// Formats.
const (
	Cylindrical Format = "cylindrical"
	Prismatic   Format = "prismatic"
	Pouch       Format = "pouch"
)

// Size holds outer dimensions. Of a cell: X thickness (in the direction in
// which cells are stacked; the diameter of a cylinder), Y width, Z height in
// the terminals-up position. Of a module: X along the stack, Y and Z across.
type Size struct{ X, Y, Z unit.Length }

// Fact says where one figure of an entry comes from.
type Fact struct {
	Field  string // "capacity"
	Source string // source key
	Status string // "confirmed", "computed", "from memory", "generic curve", "assumption", "given"
}

// Cell is one kind of cell as bought.
type Cell struct {
	ID, Title      string
	Chemistry      Chemistry
	Format         Format
	Capacity       unit.Charge // rated
	Mass           unit.Mass
	Size           Size
	VoltageMax     unit.Voltage // full
	VoltageNominal unit.Voltage
	VoltageMin     unit.Voltage // end of discharge
	Curves         *Curves      // nil: no sourced curve, listed but not searched
	Limits         Limits
	SpecificHeat   unit.SpecificHeat
	Hysteresis     unit.Voltage // half width of the OCV band, zero if not stated
	Price          check.Price
	Facts          []Fact
}

// Health is the state of age against new: capacity share 0…1 of rated, and
// resistance growth, 1 for new, 1.5 for half as much again.
type Health struct {
	CapacityShare    unit.Ratio
	ResistanceGrowth unit.Ratio
}

// New is the health of a new cell.
var New = Health{CapacityShare: 1, ResistanceGrowth: 1}

// LimitPoint is one allowed C-rate at a temperature for a duration.
type LimitPoint struct {
	Temperature unit.Temperature
	Duration    unit.Time // longest time; continuous is written as 1 h
	Rate        unit.CRate
}

// Limits are the current limits of a cell, discharge and charge apart.
// Between temperatures rates are interpolated linearly, outside the first and
// last temperature the limit is zero; between durations the next longer one
// holds.
type Limits struct {
	Discharge, Charge []LimitPoint // sorted by temperature, then duration
}

// Table is what a cell does at one temperature and one health, on evenly
// spaced states of charge 0…1: the form that hot loops read. All slices have
// len(OCV) entries; entry i is at charge i/(n−1). Between entries read
// linearly.
type Table struct {
	Temperature unit.Temperature
	Capacity    unit.Charge   // with health
	OCV         []float64     // V, non-decreasing
	R0          []float64     // Ω
	R1, Tau1    []float64     // Ω, s; zero R1 means no pair
	R2, Tau2    []float64     // Ω, s
	DUDT        []float64     // V/K
	Fine        *NetworkTable // the finer circuit at this temperature and health; nil: none is known
}

// Slice is the smallest thing a module can be opened into without cutting
// cells: Series·Parallel cells with taps and heat-spreading plate.
type Slice struct {
	Cell       *Cell
	Series     int             // s₀ cells in series inside
	Parallel   int             // p₀ cells in parallel inside
	Pitch      unit.Length     // length along the stack, plate included, under compression
	Width      unit.Length     // Y across the stack
	Height     unit.Length     // Z across the stack
	Mass       unit.Mass       // cells, plate and taps
	Resistance unit.Resistance // taps and joint of one slice to the next
}

// Orientation names how a module may stand: which of its own axes points up.
// "z-up" terminals up, "y-up" on its side, "x-up" stack axis vertical.
type Orientation string

// Orientations.
const (
	ZUp Orientation = "z-up"
	YUp Orientation = "y-up"
	XUp Orientation = "x-up"
)

// Hardware is what turns loose slices or loose cells into a module.
type Hardware struct {
	ID, Title       string
	Format          Format          // of the cells that it takes loose; empty: slices of its own module only
	Cells           []string        // ids of the cells that it takes loose
	RowCells        int             // cylindrical: cells of a holder row, all in parallel
	Staggered       bool            // cylindrical: rows stand in each other's gaps; EndPlates then holds the 0.134 of a pitch that the last row adds
	Gap             unit.Length     // between two loose cells: spacer, plate or holder web
	PlateMass       unit.Mass       // plate, frame or holder of one slice made of loose cells
	SliceResistance unit.Resistance // taps and joint of one slice made of loose cells
	EndPlates       unit.Length     // both end plates together, along the stack
	EndPlatesMass   unit.Mass       // both together
	MassPerSlice    unit.Mass       // tie rods, busbars, taps, sense board share
	Margin          Size            // added to slice width and height for rods, busbars, covers (X unused)
	StackMax        unit.Length     // longest stack without end plates
	SlicesMin       int             // fewest slices of a stack, at least 1
	Orientations    []Orientation   // allowed
	JointResistance unit.Resistance // one busbar joint between groups or modules
	PricePerModule  check.Price
	PricePerSlice   check.Price
	HoursPerModule  unit.Time
	ReusesEndPlates bool // end plates of the opened module serve again
	Facts           []Fact
}

// Module is a donor module or a maker's closed module. Closed: used as it is,
// Groups in series of SlicesParallel slices side by side. Openable: may also
// be taken apart into slices and regrouped with Hardware.
type Module struct {
	ID, Title      string
	Slice          Slice
	Groups         int // g, groups in series as built
	SlicesParallel int // a, slices side by side in each group as built
	Size           Size
	Mass           unit.Mass
	Resistance     unit.Resistance // joints and busbars inside, without cells
	Orientations   []Orientation
	Hardware       *Hardware // nil: closed
	Price          check.Price
	Facts          []Fact
}

// Stack is a module as it will be built in: from slices, or a closed module
// as it came.
type Stack struct {
	Slice          *Slice
	Groups         int // g in series
	SlicesParallel int // a side by side
	Size           Size
	Mass           unit.Mass
	Resistance     unit.Resistance // inside, without cells
	Orientations   []Orientation
}

// Series returns the cells in series in the stack.
func (s Stack) Series() int { return s.Groups * s.Slice.Series }

// Parallel returns the cells in parallel in each group of the stack.
func (s Stack) Parallel() int { return s.SlicesParallel * s.Slice.Parallel }
