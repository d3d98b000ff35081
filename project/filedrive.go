package project

import (
	"packyard/check"
	"packyard/part"
	"packyard/unit"
)

// RoadFile is what the vehicle rolls on and through, as written.
type RoadFile struct {
	Pos         check.Pos                     `sheet:",pos"`
	DragArea    check.Given[unit.Area]        `sheet:"drag_area" range:"0.1 m²..8 m²" doc:"drag coefficient times frontal area"`
	Drag        check.Given[unit.Ratio]       `sheet:"drag_coefficient" range:"0.1..1.5" doc:"drag coefficient"`
	FrontalArea check.Given[unit.Area]        `sheet:"frontal_area" range:"0.5 m²..8 m²" doc:"with drag_coefficient"`
	Rolling     check.Given[unit.Ratio]       `sheet:"rolling_coefficient" range:"0.004..0.08" doc:"rolling resistance over weight"`
	Coast       *CoastFile                    `sheet:"coast_down" doc:"coefficients of a coast-down, in place of drag and rolling"`
	Driver      check.Given[unit.Mass]        `sheet:"driver" range:"0 kg..3 t" doc:"driver and what else is on board in the range runs"`
	Ambient     check.Given[unit.Temperature] `sheet:"ambient" range:"-40 °C..50 °C" doc:"air temperature of the range runs"`
	Altitude    check.Given[unit.Length]      `sheet:"altitude" range:"-430 m..5500 m" doc:"above sea level, for the density of the air"`
	Headwind    check.Given[unit.Speed]       `sheet:"headwind" range:"-20 m/s..20 m/s" doc:"mean wind against the vehicle"`
}

// CoastFile holds the coefficients of a coast-down.
type CoastFile struct {
	Pos         check.Pos                     `sheet:",pos"`
	A           check.Given[unit.Force]       `sheet:"a,required" range:"0 N..3 kN" doc:"constant term"`
	B           check.Given[unit.Damping]     `sheet:"b,required" range:"-100 N/(m/s)..100 N/(m/s)" doc:"term with the speed"`
	C           check.Given[unit.AeroDrag]    `sheet:"c,required" range:"0 N/(m/s)²..10 N/(m/s)²" doc:"term with the square of the speed"`
	Mass        check.Given[unit.Mass]        `sheet:"reference_mass,required" range:">0 kg..20 t" doc:"of the vehicle when it coasted"`
	Density     check.Given[unit.Density]     `sheet:"reference_density" range:"0.6 kg/m³..1.5 kg/m³" doc:"of the air when it coasted; or temperature and altitude"`
	Temperature check.Given[unit.Temperature] `sheet:"reference_temperature" range:"-30 °C..45 °C" doc:"of the air when it coasted, in place of the density"`
	Altitude    check.Given[unit.Length]      `sheet:"reference_altitude" range:"-430 m..5500 m" doc:"with reference_temperature"`
	HoldsDrag   check.Flag                    `sheet:"holds_driveline_drag" doc:"whether the figure holds driveline drag that the conversion may remove; yes if not given"`
}

// DriveFile is the new drivetrain as written.
type DriveFile struct {
	Pos         check.Pos               `sheet:",pos"`
	Unit        check.Text              `sheet:"unit,required" doc:"drive unit, from the catalogue or from parts/"`
	Inverter    check.Text              `sheet:"inverter,required" doc:"inverter or motor controller"`
	Window      *part.BandsSheet        `sheet:"inverter_window" doc:"voltage bands of the inverter in hand, in place of those of the part"`
	Charger     check.Text              `sheet:"charger" doc:"on-board charger"`
	Inlet       *InletFile              `sheet:"dc_inlet" doc:"inlet for direct current from a station, if there is one"`
	Converter   check.Text              `sheet:"converter" doc:"converter to the 12 V net"`
	Stages      []part.StageSheet       `sheet:"stages" doc:"kept gearbox, shaft and differential from motor to wheel; the unit's own reduction is added in front"`
	DrivenAxle  check.Text              `sheet:"driven_axle,required" oneof:"front,rear,all" doc:"axle that the unit drives"`
	Regen       RegenFile               `sheet:"regeneration" doc:"braking with the motor"`
	Auxiliaries part.AuxiliarySheet     `sheet:"auxiliaries" doc:"everything but traction that the pack feeds"`
	ReserveLow  check.Given[unit.Ratio] `sheet:"reserve_low" range:"0 %..50 %" doc:"charge that is left at the bottom"`
	ReserveHigh check.Given[unit.Ratio] `sheet:"reserve_high" range:"0 %..50 %" doc:"charge that is not filled at the top"`
}

// InletFile is the inlet for direct current as written.
type InletFile struct {
	Pos        check.Pos                 `sheet:",pos"`
	VoltageMax check.Given[unit.Voltage] `sheet:"voltage_max,required" range:">0 V..1500 V" doc:"highest voltage of inlet, cable and contactors"`
	CurrentMax check.Given[unit.Current] `sheet:"current_max,required" range:">0 A..1 kA" doc:"highest current"`
}

// RegenFile is braking with the motor as written.
type RegenFile struct {
	Share     check.Given[unit.Ratio]  `sheet:"share" range:"0 %..100 %" doc:"share of the braking work that the driven axle takes"`
	FadeFrom  check.Given[unit.Speed]  `sheet:"fade_from" range:"0 km/h..60 km/h" doc:"full above this speed"`
	FadeTo    check.Given[unit.Speed]  `sheet:"fade_to" range:"0 km/h..60 km/h" doc:"none below this speed"`
	TorqueMax check.Given[unit.Torque] `sheet:"torque_max" range:">0 N·m..20 kN·m" doc:"at the motor shaft; as when driving if not given"`
	PowerMax  check.Given[unit.Power]  `sheet:"power_max" range:">0 W..2 MW" doc:"into the pack; as when driving if not given"`
}
