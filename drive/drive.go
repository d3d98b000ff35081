package drive

import (
	"errors"
	"fmt"
	"math"

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

// Grip is what the driven axle can pass to the road. The zero value means that
// grip is not looked at.
//
//	F_max = μ·m_driven·g/(1 − μ·t)   driving
//	F_max = μ·m_driven·g/(1 + μ·t)   braking
//
// Source: handbook 5.28 (Gillespie, ch. 1), written for the force instead of the grade.
type Grip struct {
	MassDriven unit.Mass  // on the driven axle, standing on the level
	Transfer   unit.Ratio // t: height of the centre of gravity over wheelbase, + rear drive, − front drive, 0 all wheels
	Friction   unit.Ratio // μ
}

// Train is everything between road and pack for one state of the vehicle.
type Train struct {
	Mass         unit.Mass // test mass, pack included
	MassRotating unit.Mass // equivalent mass of what turns
	Road         vehicle.RoadLoad
	Air          vehicle.Air
	TyreRadius   unit.Length
	Stages       []part.Stage // from motor to wheel, the reduction of the unit included (see StagesOf)
	Unit         *part.DriveUnit
	Inverter     *part.Inverter // nil where the unit's loss holds it and no voltage band is known
	Regen        Regen
	Auxiliary    unit.Power // DC, constant over the run: 12 V net through its converter, cabin, pumps
	Grip         Grip

	// CoastedWithUnit says that the road load was measured on this vehicle with
	// this drive unit turning along without torque, as when an electric vehicle
	// coasts down in neutral. What the unit loses without torque while turning is
	// then in the road load already, and only loss(T, ω) − loss(0, ω) + loss(0, 0)
	// is charged to the unit. The coast-down of a combustion donor is another matter:
	// leave it false.
	CoastedWithUnit bool
}

// ErrTrain says that a Train is incomplete or out of range.
var ErrTrain = errors.New("drive train cannot be computed")

// StagesOf returns the stages of a drive unit with the kept ones behind it: the
// unit's own reduction in front, left out where it is 1 without loss.
func StagesOf(u *part.DriveUnit, kept []part.Stage) []part.Stage {
	out := make([]part.Stage, 0, len(kept)+1)
	if u.Ratio > 0 && (u.Ratio != 1 || (u.RatioEfficiency > 0 && u.RatioEfficiency < 1)) {
		e := u.RatioEfficiency
		if e == 0 {
			e = 1
		}
		out = append(out, part.Stage{Name: "reduction of the unit", Ratio: u.Ratio, Efficiency: e})
	}
	return append(out, kept...)
}

// Validate returns ErrTrain with the first thing that is missing or out of range.
func (t *Train) Validate() error {
	bad := func(subject string, value float64, accepted string) error {
		return fmt.Errorf("%w: %s: %g, accepted is %s", ErrTrain, subject, value, accepted)
	}
	positive := func(v float64) bool { return v > 0 && !math.IsInf(v, 0) }
	notNegative := func(v float64) bool { return v >= 0 && !math.IsInf(v, 0) }
	switch {
	case !positive(float64(t.Mass)):
		return bad("mass in kg", float64(t.Mass), "above 0")
	case !notNegative(float64(t.MassRotating)):
		return bad("rotating mass in kg", float64(t.MassRotating), "0 or more")
	case !positive(float64(t.TyreRadius)):
		return bad("tyre radius in m", float64(t.TyreRadius), "above 0")
	case !notNegative(float64(t.Auxiliary)):
		return bad("auxiliary power in W", float64(t.Auxiliary), "0 or more")
	case t.Unit == nil:
		return fmt.Errorf("%w: no drive unit", ErrTrain)
	case !positive(float64(t.Unit.TorquePeak)) || !positive(float64(t.Unit.PowerPeak)) || !positive(float64(t.Unit.SpeedMax)):
		return fmt.Errorf("%w: drive unit %s: peak torque %g N·m, peak power %g W and highest speed %g rad/s must all be above 0",
			ErrTrain, t.Unit.ID, float64(t.Unit.TorquePeak), float64(t.Unit.PowerPeak), float64(t.Unit.SpeedMax))
	case t.Inverter != nil && !t.Unit.Loss.WithInverter && !(t.Inverter.Efficiency > 0 && t.Inverter.Efficiency <= 1):
		return bad("efficiency of the inverter", float64(t.Inverter.Efficiency), "above 0 to 1")
	case !(t.Regen.Share >= 0 && t.Regen.Share <= 1):
		return bad("share of regeneration", float64(t.Regen.Share), "0 to 1")
	case !notNegative(float64(t.Regen.FadeTo)) || !(t.Regen.FadeFrom >= t.Regen.FadeTo) || math.IsInf(float64(t.Regen.FadeFrom), 0):
		return bad("speed below which regeneration fades in m/s", float64(t.Regen.FadeFrom), "at or above the speed where it has gone")
	case !notNegative(float64(t.Regen.TorqueMax)) || !notNegative(float64(t.Regen.PowerMax)):
		return bad("limit of regeneration", min(float64(t.Regen.TorqueMax), float64(t.Regen.PowerMax)), "0 or more")
	case !notNegative(float64(t.Grip.MassDriven)) || !(math.Abs(float64(t.Grip.Friction*t.Grip.Transfer)) < 1) || !notNegative(float64(t.Grip.Friction)):
		return bad("grip: friction", float64(t.Grip.Friction), "0 or more, and below 1 when multiplied by height over wheelbase")
	}
	for _, s := range t.Stages {
		if !positive(s.Ratio) || !(s.Efficiency > 0 && s.Efficiency <= 1) {
			return fmt.Errorf("%w: stage %q: ratio %g and efficiency %g, accepted are a ratio above 0 and an efficiency above 0 to 1",
				ErrTrain, s.Name, s.Ratio, float64(s.Efficiency))
		}
	}
	if err := t.Road.Validate(); err != nil {
		return fmt.Errorf("%w: %w", ErrTrain, err)
	}
	if err := t.Air.Validate(); err != nil {
		return fmt.Errorf("%w: %w", ErrTrain, err)
	}
	return nil
}
