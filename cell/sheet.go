package cell

import (
	"packyard/check"
	"packyard/unit"
)

// Sheet is a file of cells, modules and hardware, built in or of the workshop,
// in the format that internal/sheet reads.
type Sheet struct {
	Cells    []CellSheet     `sheet:"cells" doc:"cells as bought"`
	Hardware []HardwareSheet `sheet:"hardware" doc:"what turns loose cells or slices into a module"`
	Modules  []ModuleSheet   `sheet:"modules" doc:"donor modules, closed or openable"`
}

// FactSheet says where figures of an entry come from.
type FactSheet struct {
	Field  check.Text `sheet:"field,required" doc:"key of the figure in this entry, or several with commas between them"`
	Source check.Text `sheet:"source,required" doc:"source key"`
	Status check.Text `sheet:"status,required" oneof:"confirmed,confirmed (community),computed,from memory,common practice,assumption,given" doc:"how well the figure is known"`
}

// CellSheet is one kind of cell.
type CellSheet struct {
	Pos            check.Pos                      `sheet:",pos"`
	ID             check.Text                     `sheet:"id,required" doc:"name by which projects refer to it"`
	Title          check.Text                     `sheet:"title,required" doc:"what it is, in words"`
	Chemistry      check.Text                     `sheet:"chemistry,required" oneof:"NMC,NCA,LFP,LMO,LTO" doc:"family by the positive electrode; LTO by the negative"`
	Format         check.Text                     `sheet:"format,required" oneof:"cylindrical,prismatic,pouch" doc:"shape"`
	Capacity       check.Given[unit.Charge]       `sheet:"capacity,required" range:">0 Ah..2000 Ah" doc:"rated capacity"`
	Mass           check.Given[unit.Mass]         `sheet:"mass,required" range:">0 g..50 kg" doc:"mass of one cell"`
	Size           [3]check.Given[unit.Length]    `sheet:"size,required" range:">0 mm..1.5 m" doc:"thickness, width and height with the terminals up; of a cylinder diameter, diameter and height"`
	VoltageMax     check.Given[unit.Voltage]      `sheet:"voltage_max,required" range:"0.5 V..5 V" doc:"voltage when full"`
	VoltageNominal check.Given[unit.Voltage]      `sheet:"voltage_nominal,required" range:"0.5 V..5 V" doc:"nominal voltage"`
	VoltageMin     check.Given[unit.Voltage]      `sheet:"voltage_min,required" range:"0.5 V..5 V" doc:"voltage at the end of discharge"`
	Curves         check.Text                     `sheet:"curves" oneof:"nca,nmc-nickel-rich,nmc111,lfp,lmo,lmo-nickel" doc:"built-in curves to use; if not given, those of the chemistry"`
	OCV            []OCVSheet                     `sheet:"ocv" doc:"own open-circuit voltage over charge, from 0 to 100 %"`
	Resistance     check.Given[unit.Resistance]   `sheet:"resistance" range:">0 mΩ..10 Ω" doc:"own pulse resistance at 25 °C and half charge; the built-in curve is scaled to it"`
	PulseTime      check.Given[unit.Time]         `sheet:"pulse_time" range:"0.5 s..60 s" doc:"time into the pulse at which the resistance was read; if not given, 10 s"`
	SpecificHeat   check.Given[unit.SpecificHeat] `sheet:"specific_heat" range:"300 J/(kg·K)..3000 J/(kg·K)" doc:"specific heat"`
	Hysteresis     check.Given[unit.Voltage]      `sheet:"hysteresis" range:"0 mV..200 mV" doc:"half width of the band between charge and discharge after long rest"`
	Discharge      []RateSheet                    `sheet:"discharge_limits" doc:"own discharge limits; if not given, those of the chemistry"`
	Charge         []RateSheet                    `sheet:"charge_limits" doc:"own charge limits; if not given, those of the chemistry"`
	Price          check.Price                    `sheet:"price" doc:"price of one cell"`
	Facts          []FactSheet                    `sheet:"facts" doc:"where the figures come from; without a fact a figure counts as given"`
}

// OCVSheet is one point of an own open-circuit curve.
type OCVSheet struct {
	Charge  check.Given[unit.Ratio]   `sheet:"charge,required" range:"0 %..100 %" doc:"state of charge"`
	Voltage check.Given[unit.Voltage] `sheet:"voltage,required" range:"0.5 V..5 V" doc:"rested voltage"`
}

// RateSheet is one own current limit.
type RateSheet struct {
	Temperature check.Given[unit.Temperature] `sheet:"temperature,required" range:"-60 °C..100 °C" doc:"cell temperature"`
	Duration    check.Given[unit.Time]        `sheet:"duration,required" range:">0 s..1 h" doc:"longest time; continuous is 1 h"`
	Rate        check.Given[unit.CRate]       `sheet:"rate,required" range:"0 C..100 C" doc:"highest rate"`
}

// HardwareSheet is what turns loose cells or slices into a module.
type HardwareSheet struct {
	Pos             check.Pos                    `sheet:",pos"`
	ID              check.Text                   `sheet:"id,required" doc:"name by which projects and modules refer to it"`
	Title           check.Text                   `sheet:"title,required" doc:"what it is, in words"`
	Cells           []check.Text                 `sheet:"cells" doc:"cells that it takes loose"`
	RowCells        check.Count                  `sheet:"row_cells" range:"1..200" doc:"cylindrical: cells of a holder row, all in parallel"`
	Staggered       check.Flag                   `sheet:"staggered" doc:"cylindrical: rows stand in each other's gaps"`
	Gap             check.Given[unit.Length]     `sheet:"gap" range:"0 mm..50 mm" doc:"between two cells: spacer, plate or holder web"`
	PlateMass       check.Given[unit.Mass]       `sheet:"plate_mass" range:"0 g..10 kg" doc:"plate, frame or holder of one slice made of loose cells"`
	SliceResistance check.Given[unit.Resistance] `sheet:"slice_resistance" range:"0 mΩ..100 mΩ" doc:"taps and joint of one slice made of loose cells"`
	EndPlates       check.Given[unit.Length]     `sheet:"end_plates,required" range:"0 mm..300 mm" doc:"both end plates together, along the stack"`
	EndPlatesMass   check.Given[unit.Mass]       `sheet:"end_plates_mass,required" range:"0 g..50 kg" doc:"both end plates together"`
	MassPerSlice    check.Given[unit.Mass]       `sheet:"mass_per_slice,required" range:"0 g..10 kg" doc:"tie rods, busbars, taps and sense board, per slice"`
	MarginWidth     check.Given[unit.Length]     `sheet:"margin_width,required" range:"0 mm..300 mm" doc:"added to the width of the slices for rods and covers"`
	MarginHeight    check.Given[unit.Length]     `sheet:"margin_height,required" range:"0 mm..300 mm" doc:"added to the height of the slices for busbars and covers"`
	StackMax        check.Given[unit.Length]     `sheet:"stack_max,required" range:">0 mm..3 m" doc:"longest stack without end plates"`
	SlicesMin       check.Count                  `sheet:"slices_min" range:"1..1000" doc:"fewest slices of a stack; if not given, 1"`
	Orientations    []check.Text                 `sheet:"orientations,required" oneof:"z-up,y-up,x-up" doc:"how the module may stand"`
	JointResistance check.Given[unit.Resistance] `sheet:"joint_resistance,required" range:"0 mΩ..100 mΩ" doc:"one busbar joint between groups or modules"`
	PricePerModule  check.Price                  `sheet:"price_per_module" doc:"price of the hardware of one module"`
	PricePerSlice   check.Price                  `sheet:"price_per_slice" doc:"price of the hardware of one slice"`
	HoursPerModule  check.Given[unit.Time]       `sheet:"hours_per_module" range:"0 h..100 h" doc:"work on one module"`
	ReusesEndPlates check.Flag                   `sheet:"reuses_end_plates" doc:"end plates of the opened module serve again"`
	Facts           []FactSheet                  `sheet:"facts" doc:"where the figures come from; without a fact a figure counts as given"`
}

// SliceSheet is the smallest thing that a module can be opened into.
type SliceSheet struct {
	Series     check.Count                  `sheet:"series" range:"1..100" doc:"cells in series inside; if not given, 1"`
	Parallel   check.Count                  `sheet:"parallel" range:"1..1000" doc:"cells in parallel inside; if not given, 1"`
	Pitch      check.Given[unit.Length]     `sheet:"pitch,required" range:">0 mm..1 m" doc:"length along the stack, plate included, under compression"`
	Width      check.Given[unit.Length]     `sheet:"width,required" range:">0 mm..2 m" doc:"across the stack"`
	Height     check.Given[unit.Length]     `sheet:"height,required" range:">0 mm..2 m" doc:"across the stack, upward"`
	Mass       check.Given[unit.Mass]       `sheet:"mass,required" range:">0 g..200 kg" doc:"cells, plate and taps"`
	Resistance check.Given[unit.Resistance] `sheet:"resistance,required" range:"0 mΩ..100 mΩ" doc:"taps and joint of one slice to the next"`
}

// ModuleSheet is a donor module.
type ModuleSheet struct {
	Pos            check.Pos                    `sheet:",pos"`
	ID             check.Text                   `sheet:"id,required" doc:"name by which projects refer to it"`
	Title          check.Text                   `sheet:"title,required" doc:"what it is, in words"`
	Cell           check.Text                   `sheet:"cell,required" doc:"cell inside"`
	Slice          *SliceSheet                  `sheet:"slice,required" doc:"the smallest thing it opens into; of a closed module one group"`
	Groups         check.Count                  `sheet:"groups,required" range:"1..1000" doc:"groups in series as built"`
	SlicesParallel check.Count                  `sheet:"slices_parallel" range:"1..1000" doc:"slices side by side in each group as built; if not given, 1"`
	Size           [3]check.Given[unit.Length]  `sheet:"size" range:">0 mm..3 m" doc:"length along the stack, width and height; may be left out of an openable module"`
	Mass           check.Given[unit.Mass]       `sheet:"mass" range:">0 kg..500 kg" doc:"mass as built; may be left out of an openable module"`
	Resistance     check.Given[unit.Resistance] `sheet:"resistance" range:"0 mΩ..1 Ω" doc:"joints and busbars inside, without cells; may be left out of an openable module"`
	Orientations   []check.Text                 `sheet:"orientations" oneof:"z-up,y-up,x-up" doc:"how it may stand; of an openable module those of its hardware if left out"`
	Hardware       check.Text                   `sheet:"hardware" doc:"hardware for its slices; without it the module is closed"`
	Price          check.Price                  `sheet:"price" doc:"price of one module"`
	Facts          []FactSheet                  `sheet:"facts" doc:"where the figures come from; without a fact a figure counts as given"`
}
