package drive

import (
	"packyard/part"
	"packyard/unit"
	"packyard/vehicle"
)

// Regen are the limits of regeneration that do not come from the pack.
type Regen struct {
	Share     unit.Ratio  // of braking work that the driven axle may take, 0…1
	FadeFrom  unit.Speed  // full above this speed
	FadeTo    unit.Speed  // none below this speed
	TorqueMax unit.Torque // at the motor shaft; zero: as when driving
	PowerMax  unit.Power  // DC, into the pack; zero: as when driving
}

// Train is everything between road and pack for one state of the vehicle.
type Train struct {
	Mass         unit.Mass // test mass, pack included
	MassRotating unit.Mass // equivalent mass of what turns
	Road         vehicle.RoadLoad
	Air          vehicle.Air
	TyreRadius   unit.Length
	Stages       []part.Stage // from motor to wheel
	Unit         *part.DriveUnit
	Inverter     *part.Inverter
	Regen        Regen
	Auxiliary    unit.Power // DC, constant over the run: 12 V net through its converter, cabin, pumps
}
