package vehicle

import (
	"errors"
	"fmt"
	"math"

	"packyard/unit"
)

// ErrRoadLoad says that a road load is incomplete or out of range.
var ErrRoadLoad = errors.New("road load cannot be computed")

// Validate returns ErrRoadLoad if the form in use misses a figure: drag area
// and rolling coefficient, or coast-down coefficients with reference mass and
// reference density.
func (r RoadLoad) Validate() error {
	if c := r.Coast; c != nil {
		switch {
		case !(c.MassRef > 0) || !(c.DensityRef > 0):
			return fmt.Errorf("%w: coast-down has reference mass %v kg and reference density %v kg/m³, both must be given and positive",
				ErrRoadLoad, float64(c.MassRef), float64(c.DensityRef))
		case !(c.A >= 0) || !(c.C >= 0) || math.IsNaN(float64(c.B)):
			return fmt.Errorf("%w: coast-down has A %v N, B %v N/(m/s), C %v N/(m/s)², A and C of zero or more are accepted",
				ErrRoadLoad, float64(c.A), float64(c.B), float64(c.C))
		}
		return nil
	}
	if !(r.DragArea >= 0) || !(r.Rolling >= 0) || r.DragArea+unit.Area(r.Rolling) == 0 {
		return fmt.Errorf("%w: drag area %v m² and rolling coefficient %v, values of zero or more and not both zero are accepted",
			ErrRoadLoad, float64(r.DragArea), float64(r.Rolling))
	}
	return nil
}

// Coefficients returns a, b and c for a vehicle of the given mass in air of
// the given density, so that a run needs plain arithmetic only. At ground speed
// v > 0 with headwind w on a road that rises by the angle θ:
//
//	F = a·cosθ + b·v + c·(v+w)·|v+w| + m·g·sinθ
//
// Cd·A form: a = m·g·Crr, b = 0, c = ½·ρ·Cd·A. Coast-down form:
// a = A·(m/m_ref), b = B, c = C·(ρ/ρ_ref). At v = 0 the terms with a and b are
// zero; the air term stays.
//
// Panics if a coast-down has no reference mass or density; see Validate.
// Source: gillespie, ch. 4; wong, ch. 3; iso-10521 (coast-down form).
func (r RoadLoad) Coefficients(mass unit.Mass, air Air) (a unit.Force, b unit.Damping, c unit.AeroDrag) {
	m, rho := mass.Kilograms(), air.Density().KilogramsPerCubicMetre()
	if k := r.Coast; k != nil {
		if !(k.MassRef > 0 && k.DensityRef > 0) {
			panic("vehicle: coast-down without reference mass and density")
		}
		return unit.Force(float64(k.A) * m / float64(k.MassRef)), k.B, unit.AeroDrag(float64(k.C) * rho / float64(k.DensityRef))
	}
	return unit.Force(m * gravity * float64(r.Rolling)), 0, unit.AeroDrag(0.5 * rho * r.DragArea.SquareMetres())
}

// Motion is one moment of a run: what the road load depends on besides vehicle and air.
type Motion struct {
	Mass         unit.Mass         // of the vehicle as it moves
	MassRotating unit.Mass         // equivalent mass of what turns, see RotatingMass
	Speed        unit.Speed        // over ground; negative when reversing
	Acceleration unit.Acceleration // along the road
	Slope        unit.Slope        // rise over horizontal run, tan θ; positive uphill
}

// RoadForces are the parts of the road load, positive against a vehicle moving
// forward.
type RoadForces struct {
	Rolling unit.Force // tyres; the A and B terms of a coast-down
	Drag    unit.Force // air
	Grade   unit.Force // weight along the slope
	Inertia unit.Force // (m + m_rotating)·a
}

// Total returns the force that the driven wheels have to supply.
func (f RoadForces) Total() unit.Force { return f.Rolling + f.Drag + f.Grade + f.Inertia }

// Forces returns the road load in its parts:
//
//	rolling = sgn(v)·a·cosθ + b·v     drag = c·(v+w)·|v+w|
//	grade   = m·g·sinθ                inertia = (m + m_rotating)·dv/dt
//
// with a, b and c of Coefficients and θ = atan(slope). There is no rolling
// force at standstill: what holds the vehicle there is the brake.
// Panics as Coefficients does. Source: gillespie, ch. 2 and 4.
func (r RoadLoad) Forces(m Motion, air Air) RoadForces {
	a, b, c := r.Coefficients(m.Mass, air)
	v, s := float64(m.Speed), float64(m.Slope)
	cos := 1 / math.Sqrt(1+s*s)
	var f RoadForces
	switch {
	case v > 0:
		f.Rolling = unit.Force(float64(a)*cos + float64(b)*v)
	case v < 0:
		f.Rolling = unit.Force(-float64(a)*cos + float64(b)*v)
	}
	wind := v + float64(air.Headwind)
	f.Drag = unit.Force(float64(c) * wind * math.Abs(wind))
	f.Grade = unit.Force(float64(m.Mass) * gravity * s * cos)
	f.Inertia = unit.Force(float64(m.Mass+m.MassRotating) * float64(m.Acceleration))
	return f
}

// Force returns the total of Forces.
func (r RoadLoad) Force(m Motion, air Air) unit.Force { return r.Forces(m, air).Total() }

// SlopeHeld returns the steepest slope on which the tractive force at the
// wheels still holds the speed. From a·cosθ + m·g·sinθ = F − b·v − drag:
//
//	θ = asin((F − b·v − drag)/√(a² + (m·g)²)) − atan(a/(m·g))
//
// Acceleration and Slope of m are not looked at. The slope is negative when the
// force does not hold the speed on the level. Errors: ErrRoadLoad if the mass
// or the speed is not positive, if a figure is missing, or if the force would
// lift the vehicle straight up or the fall would have to be vertical.
func (r RoadLoad) SlopeHeld(tractive unit.Force, m Motion, air Air) (unit.Slope, error) {
	if err := r.Validate(); err != nil {
		return 0, err
	}
	if !(m.Mass > 0) || !(m.Speed > 0) {
		return 0, fmt.Errorf("%w: mass %v kg at %v m/s, positive values are accepted", ErrRoadLoad, float64(m.Mass), float64(m.Speed))
	}
	m.Slope, m.Acceleration = 0, 0
	a, b, _ := r.Coefficients(m.Mass, air)
	left := float64(tractive) - float64(b)*float64(m.Speed) - float64(r.Forces(m, air).Drag)
	weight := float64(m.Mass) * gravity
	sine := left / math.Hypot(float64(a), weight)
	theta := math.Asin(sine) - math.Atan(float64(a)/weight)
	if !(math.Abs(sine) < 1) || !(math.Abs(theta) < math.Pi/2) {
		return 0, fmt.Errorf("%w: force %v N is beyond the weight %v N", ErrRoadLoad, float64(tractive), weight)
	}
	return unit.Slope(math.Tan(theta)), nil
}
