package vehicle

import (
	"errors"
	"fmt"
	"math"

	"packyard/unit"
)

// ErrRotating says that the rotating mass cannot be computed.
var ErrRotating = errors.New("rotating mass cannot be computed")

// Rotating lists what turns with the wheels. The zero value of an inertia or a
// ratio leaves its term out.
type Rotating struct {
	Motor       unit.Inertia // of the rotor and what turns at its speed
	Ratio       unit.Ratio   // overall, motor speed over wheel speed
	Shaft       unit.Inertia // propeller shaft and what turns at its speed
	RatioFinal  unit.Ratio   // shaft speed over wheel speed
	Wheels      unit.Inertia // of all wheels together
	TyreRadius  unit.Length  // dynamic rolling radius
	Unspecified unit.Mass    // equivalent mass of anything else
}

// RotatingMass returns m_r = (I_motor·N² + I_shaft·N_f² + I_wheels)/r².
// Errors: ErrRotating if the radius is not positive or an inertia is negative.
// Source: gillespie, ch. 2.
func RotatingMass(p Rotating) (unit.Mass, error) {
	r := p.TyreRadius.Metres()
	if !(r > 0) || !(p.Motor >= 0) || !(p.Shaft >= 0) || !(p.Wheels >= 0) {
		return 0, fmt.Errorf("%w: tyre radius %v m and inertias %v, %v, %v kg·m², a positive radius and inertias of zero or more are accepted",
			ErrRotating, r, float64(p.Motor), float64(p.Shaft), float64(p.Wheels))
	}
	n, nf := float64(p.Ratio), float64(p.RatioFinal)
	return unit.Mass((float64(p.Motor)*n*n+float64(p.Shaft)*nf*nf+float64(p.Wheels))/(r*r)) + p.Unspecified, nil
}

// Rotating returns the wheels of the donor, to which the motor is added.
func (d *Donor) Rotating(motor unit.Inertia, ratio unit.Ratio) Rotating {
	return Rotating{Motor: motor, Ratio: ratio, Wheels: unit.Inertia(d.Wheels) * d.WheelInertia, TyreRadius: d.TyreRadius}
}

// RotatingMassCoasting returns the default of a coast-down with the drive
// disengaged: 3 % of the mass in running order and 25 kg.
// Source: un-gtr-15; iso-10521 (from memory).
func RotatingMassCoasting(running unit.Mass) unit.Mass {
	return 0.03*running + 25*unit.Kilogram
}

// MassFactorCombustion returns 1 + 0.04 + 0.0025·N², the ratio of effective to
// real mass of a car in a gear of overall ratio N. It was made for combustion
// engines with their flywheel; for a motor use RotatingMass.
// Source: wong, ch. 3; gillespie, ch. 2.
func MassFactorCombustion(ratio unit.Ratio) unit.Ratio {
	return 1 + 0.04 + 0.0025*ratio*ratio
}

// RollingByPressure returns f = 0.005 + (1/p)·(0.01 + 0.0095·(v/100)²) for car
// tyres, p in bar and v in km/h. Range: 1 to 5 bar, to 180 km/h; pressures below
// 1 bar count as 1 bar. Source: vehicle-formulary.
func RollingByPressure(inflation unit.Pressure, speed unit.Speed) unit.Ratio {
	const pascalPerBar = 1e5
	pBar := math.Max(float64(inflation)/pascalPerBar, 1)
	u := speed.KilometresPerHour() / 100
	return unit.Ratio(0.005 + (0.01+0.0095*u*u)/pBar)
}

// TruckTyre is the build of a truck tyre.
type TruckTyre uint8

// Builds of truck tyres.
const (
	RadialPly TruckTyre = iota
	BiasPly
)

// RollingTruck returns f = (0.0041 + 0.000041·V)·Ch for radial and
// (0.0066 + 0.000046·V)·Ch for bias-ply truck tyres, V in mph. The surface
// factor Ch is 1.0 for smooth concrete, 1.2 for worn concrete, 1.5 for hot
// blacktop (from memory). Source: fancher (in gillespie, ch. 4).
func RollingTruck(build TruckTyre, speed unit.Speed, surface unit.Ratio) unit.Ratio {
	const metrePerSecondPerMph = 0.44704
	vMph := math.Abs(float64(speed)) / metrePerSecondPerMph
	if build == BiasPly {
		return unit.Ratio(0.0066+0.000046*vMph) * surface
	}
	return unit.Ratio(0.0041+0.000041*vMph) * surface
}

// FrontalArea returns A = 0.80·height·width from the overall outline; with 80 %
// confidence within 0.093 m², about 5 %. Source: epa-ldtp-77-11.
func FrontalArea(outline Outline) unit.Area {
	return unit.Area(0.80 * outline.Height.Metres() * outline.Width.Metres())
}

// Outline is the overall size of a vehicle seen from the front, mirrors left out.
type Outline struct{ Height, Width unit.Length }
