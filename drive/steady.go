package drive

import (
	"fmt"
	"math"

	"packyard/unit"
)

// Steady is the vehicle at constant speed.
type Steady struct {
	Speed       unit.Speed
	Force       unit.Force // at the wheels; negative downhill
	Wheels      unit.Power
	Motor       unit.Power // at the shaft
	Terminals   unit.Power
	Held        bool // unit, gears and grip give the force
	Consumption Consumption
}

// SteadyAt returns the power at all places at constant speed v > 0 on a grade,
// by the equations of Demand.Fill without inertia:
//
//	P_wheels = F·v,  consumption = P/v
//
// Voltage is the DC voltage; zero stands for the reference voltage of the unit.
// Errors: ErrTrain, ErrSchedule for a speed that is not above zero.
func SteadyAt(t Train, v unit.Speed, grade unit.Slope, voltage unit.Voltage) (Steady, error) {
	if err := t.Validate(); err != nil {
		return Steady{}, err
	}
	speed := float64(v)
	if !(speed > 0) || math.IsInf(speed, 0) || math.IsNaN(float64(grade)) || math.IsInf(float64(grade), 0) {
		return Steady{}, fmt.Errorf("%w: constant speed of %g m/s on a grade of %g: a speed above 0 and a finite grade are needed", ErrSchedule, speed, float64(grade))
	}
	u := float64(voltage)
	if u == 0 {
		u = float64(t.Unit.VoltageRef)
	}
	if u == 0 {
		u = math.Inf(1)
	}
	k := makeChain(&t)
	var o flow
	f := k.step(&o, speed, speed, 1, slopeOf(float64(grade)), u)
	s := Steady{
		Speed: v, Force: unit.Force(f), Wheels: unit.Power(o.force * speed), Motor: unit.Power(o.shaft), Terminals: unit.Power(o.power),
		Held: f <= k.forceMax(speed, u),
	}
	s.Consumption = Consumption{
		Wheels: unit.Consumption(s.Wheels / unit.Power(speed)), Motor: unit.Consumption(s.Motor / unit.Power(speed)),
		Terminals: unit.Consumption(s.Terminals / unit.Power(speed)),
	}
	return s, nil
}
