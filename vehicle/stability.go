package vehicle

import (
	"errors"
	"fmt"
	"math"

	"packyard/unit"
)

// ErrHeight says that the height of the centre of gravity is not known or not positive.
var ErrHeight = errors.New("height of the centre of gravity not known")

// StabilityFactor returns the static stability factor T/(2·h) with T the mean
// of the two tracks and h the height of the centre of gravity: the lateral
// acceleration in g at which a rigid vehicle starts to tip.
// Errors: ErrHeight, ErrGeometry. Source: nhtsa-ssf.
func (s State) StabilityFactor() (unit.Ratio, error) { return s.tip(0) }

// StabilityFactorLeast returns (T/2 − |y|)/h, the same for the side that the
// centre of gravity lies nearer to.
// Errors: ErrHeight, ErrGeometry. Source: statics, on the form of nhtsa-ssf.
func (s State) StabilityFactorLeast() (unit.Ratio, error) {
	return s.tip(math.Abs(s.CG.Y.Metres()))
}

func (s State) tip(off float64) (unit.Ratio, error) {
	h, track := s.CG.Z.Metres(), (s.TrackFront+s.TrackRear).Metres()/2
	if !(h > 0) {
		return 0, fmt.Errorf("%w: state %q has %v m", ErrHeight, s.Name, h)
	}
	if !(track > 0) {
		return 0, fmt.Errorf("%w: state %q has a mean track of %v m", ErrGeometry, s.Name, track)
	}
	return unit.Ratio((track/2 - off) / h), nil
}

// BrakingShare returns the share of the front axle in the weight when braking
// at the given deceleration (positive), which is the share of the braking force
// that uses the grip of both axles alike:
//
//	front = c/L + (a/g)·h/L, held within 0…1 when an axle lifts
//
// with c the distance from the centre of gravity to the rear axle.
// Errors: ErrHeight, ErrGeometry. Source: gillespie, ch. 1 and 3.
func (s State) BrakingShare(deceleration unit.Acceleration) (front unit.Ratio, err error) {
	L, h := s.Wheelbase.Metres(), s.CG.Z.Metres()
	if !(L > 0) {
		return 0, fmt.Errorf("%w: state %q has a wheelbase of %v m", ErrGeometry, s.Name, L)
	}
	if !(h > 0) {
		return 0, fmt.Errorf("%w: state %q has %v m", ErrHeight, s.Name, h)
	}
	f := 1 - s.CG.X.Metres()/L + float64(deceleration)/gravity*h/L
	return unit.Ratio(math.Min(math.Max(f, 0), 1)), nil
}

// BrakingShareChange returns by how much the front share of the braking force
// rises from before to after at one deceleration. Errors: as BrakingShare.
func BrakingShareChange(before, after State, deceleration unit.Acceleration) (unit.Ratio, error) {
	b, err := before.BrakingShare(deceleration)
	if err != nil {
		return 0, err
	}
	a, err := after.BrakingShare(deceleration)
	return a - b, err
}

// Ride is the change of ride height at the four wheels, positive when the body
// rises.
type Ride struct{ FrontLeft, FrontRight, RearLeft, RearRight unit.Length }

// RideChange returns −ΔW·g/k at each wheel, with ΔW the change of its load from
// before to after and k the wheel rate; an axle without a wheel rate is left at
// zero and known is false for it. Linear springs, anti-roll bars left out (they
// make the two wheels of an axle more alike).
// Source: statics.
func (d *Donor) RideChange(before, after State) (change Ride, knownFront, knownRear bool) {
	rise := func(from, to unit.Mass, k unit.Stiffness) unit.Length {
		if !(k > 0) {
			return 0
		}
		return unit.Length(-float64(to-from) * gravity / float64(k))
	}
	f, r := d.WheelRateFront, d.WheelRateRear
	change = Ride{
		FrontLeft:  rise(before.WheelFrontLeft, after.WheelFrontLeft, f),
		FrontRight: rise(before.WheelFrontRight, after.WheelFrontRight, f),
		RearLeft:   rise(before.WheelRearLeft, after.WheelRearLeft, r),
		RearRight:  rise(before.WheelRearRight, after.WheelRearRight, r),
	}
	return change, f > 0, r > 0
}

// PayloadLeft returns gross rating less curb mass; negative when the curb mass
// is over the rating. known is false when the rating was not given.
func (d *Donor) PayloadLeft(curb State) (left unit.Mass, known bool) {
	if d.Ratings.GrossMass == 0 {
		return 0, false
	}
	return d.Ratings.GrossMass - curb.Mass, true
}
