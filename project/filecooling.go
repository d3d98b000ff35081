package project

import (
	"packyard/check"
	"packyard/unit"
)

// CoolingFile is how the pack is kept at temperature, as written.
type CoolingFile struct {
	Pos        check.Pos                     `sheet:",pos"`
	Kind       check.Text                    `sheet:"kind,required" oneof:"passive,plates" doc:"passive: by the battery box alone; plates: coolant in plates under the modules"`
	Pad        PadFile                       `sheet:"pad" doc:"layer between cells and plate"`
	Insulation *InsulationFile               `sheet:"insulation" doc:"of the battery boxes; bare if not given"`
	AirShare   check.Given[unit.Ratio]       `sheet:"air_share" range:"0 %..100 %" doc:"speed of the air at the battery boxes over that of the vehicle"`
	Pads       check.Given[unit.Power]       `sheet:"heating_pads" range:">0 W..50 kW" doc:"electric pads on the modules of the whole pack; none if not given"`
	Plate      PlateFile                     `sheet:"plate" doc:"the plate under each module"`
	Coolant    check.Text                    `sheet:"coolant" oneof:"glycol-50,water" doc:"glycol-50 (half ethylene glycol by volume) if not given"`
	Flow       check.Given[unit.VolumeFlow]  `sheet:"flow" range:"0 L/min..200 L/min" doc:"of the coolant, held by the pump; or pump"`
	PumpPower  check.Given[unit.Power]       `sheet:"pump_power" range:"0 W..5 kW" doc:"of the pump that holds the flow"`
	Pump       *PumpFile                     `sheet:"pump" doc:"curve of the pump, in place of flow"`
	Hose       HoseFile                      `sheet:"hose" doc:"all hoses in series"`
	Volume     check.Given[unit.Volume]      `sheet:"volume" range:"0.1 L..100 L" doc:"coolant in hoses, tank and radiator, without the plates"`
	Path       []StageFile                   `sheet:"path" doc:"bays in the order of the coolant; one after the other in the order of bays if not given"`
	Radiator   *RadiatorFile                 `sheet:"radiator" doc:"gives the heat to the air; none if not given"`
	Chiller    *ChillerFile                  `sheet:"chiller" doc:"cools the coolant by refrigeration; none if not given"`
	Heater     *HeaterFile                   `sheet:"heater" doc:"heats the coolant electrically; none if not given"`
	CoolAbove  check.Given[unit.Temperature] `sheet:"cool_above" range:"0 °C..60 °C" doc:"pump and fan run while the hottest group is above"`
	ChillAbove check.Given[unit.Temperature] `sheet:"chill_above" range:"0 °C..60 °C" doc:"the chiller runs while the hottest group is above"`
	HeatBelow  check.Given[unit.Temperature] `sheet:"heat_below" range:"-40 °C..30 °C" doc:"heater or pads run while the coldest group is below"`
	PumpAlways check.Flag                    `sheet:"pump_always" doc:"whether the pump runs all the time; no if not given"`
}

// PadFile is the layer between cells and plate.
type PadFile struct {
	Thickness    check.Given[unit.Length]       `sheet:"thickness" range:"0.05 mm..20 mm" doc:"as pressed"`
	Conductivity check.Given[unit.Conductivity] `sheet:"conductivity" range:"0.02 W/(m·K)..50 W/(m·K)" doc:"of its material"`
}

// InsulationFile is the insulation of the battery boxes.
type InsulationFile struct {
	Thickness    check.Given[unit.Length]       `sheet:"thickness,required" range:"1 mm..100 mm" doc:"on all sides"`
	Conductivity check.Given[unit.Conductivity] `sheet:"conductivity" range:"0.015 W/(m·K)..0.5 W/(m·K)" doc:"of its material"`
}

// PlateFile is the cold plate under a module.
type PlateFile struct {
	Width    check.Given[unit.Length] `sheet:"channel_width" range:"1 mm..200 mm" doc:"of one channel"`
	Height   check.Given[unit.Length] `sheet:"channel_height" range:"0.5 mm..50 mm" doc:"of one channel"`
	Channels check.Count              `sheet:"channels" range:"1..200" doc:"side by side, each as long as the module"`
	Minor    check.Given[unit.Ratio]  `sheet:"loss_coefficient" range:"0..100" doc:"of inlet, outlet and bends together, on the speed in the channels"`
}

// PumpFile is a pump with its curve.
type PumpFile struct {
	Pos        check.Pos               `sheet:",pos"`
	Curve      []PumpPointFile         `sheet:"curve,required" doc:"at least two points, the flow rising"`
	Efficiency check.Given[unit.Ratio] `sheet:"efficiency" range:"1 %..100 %" doc:"hydraulic over electric power"`
}

// PumpPointFile is one point of the curve.
type PumpPointFile struct {
	Flow     check.Given[unit.VolumeFlow] `sheet:"flow,required" range:"0 L/min..500 L/min" doc:"at this pressure"`
	Pressure check.Given[unit.Pressure]   `sheet:"pressure,required" range:"0 Pa..10 bar" doc:"between outlet and inlet"`
}

// HoseFile is all hoses in series.
type HoseFile struct {
	Diameter check.Given[unit.Length] `sheet:"diameter" range:"3 mm..60 mm" doc:"inside"`
	Length   check.Given[unit.Length] `sheet:"length" range:"0 m..50 m" doc:"all of them one after the other"`
}

// StageFile is a part of the coolant's way.
type StageFile struct {
	Bays []check.Text `sheet:"bays,required" doc:"names of bays; of several the coolant passes each in parallel"`
}

// RadiatorFile is the radiator with its fan.
type RadiatorFile struct {
	Conductance check.Given[unit.ThermalConductance] `sheet:"conductance" range:">0 W/K..5 kW/K" doc:"heat transfer coefficient times area at the air flow"`
	Air         check.Given[unit.MassFlow]           `sheet:"air" range:">0 kg/s..10 kg/s" doc:"of the fan"`
	Fan         check.Given[unit.Power]              `sheet:"fan" range:"0 W..3 kW" doc:"electric"`
}

// ChillerFile is the chiller.
type ChillerFile struct {
	Power check.Given[unit.Power]       `sheet:"power,required" range:">0 W..50 kW" doc:"heat taken from the coolant at most"`
	COP   check.Given[unit.Ratio]       `sheet:"performance" range:"0.5..10" doc:"heat taken over electric power"`
	Least check.Given[unit.Temperature] `sheet:"coolant_min" range:"-20 °C..30 °C" doc:"the coolant is not made colder"`
}

// HeaterFile is the coolant heater.
type HeaterFile struct {
	Power check.Given[unit.Power]       `sheet:"power,required" range:">0 W..50 kW" doc:"electric"`
	Most  check.Given[unit.Temperature] `sheet:"coolant_max" range:"10 °C..90 °C" doc:"the coolant is not made warmer"`
}
