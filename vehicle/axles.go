package vehicle

import (
	"errors"
	"fmt"
	"math"

	"packyard/unit"
)

// ErrTraction says that no grade answers the question, or that the stance is incomplete.
var ErrTraction = errors.New("no traction limit")

// Stance is how a vehicle stands or moves when its axle loads are asked for.
type Stance struct {
	Acceleration unit.Acceleration // along the road, negative when braking
	Slope        unit.Slope        // tan θ, positive facing up
	Gravity      unit.Acceleration // zero: 9.80665 m/s²
}

func (p Stance) gravity() float64 {
	if p.Gravity == 0 {
		return gravity
	}
	return float64(p.Gravity)
}

// AxleForces returns the forces between axles and road:
//
//	front = (m·g·c·cosθ − m·g·h·sinθ − m·a·h)/L
//	rear  = (m·g·b·cosθ + m·g·h·sinθ + m·a·h)/L
//
// with b = x and c = L − x. Aerodynamic forces are left out.
// Errors: ErrGeometry if the wheelbase is not positive, ErrHeight if the height
// matters and is not positive, ErrNegativeLoad if an axle lifts.
// Source: gillespie, ch. 1 (static, accelerating, on a grade); jazar, ch. 2.
func (s State) AxleForces(p Stance) (front, rear unit.Force, err error) {
	L, h := s.Wheelbase.Metres(), s.CG.Z.Metres()
	if !(L > 0) {
		return 0, 0, fmt.Errorf("%w: state %q has a wheelbase of %v m", ErrGeometry, s.Name, L)
	}
	if !(h > 0) && (p.Acceleration != 0 || p.Slope != 0) {
		return 0, 0, fmt.Errorf("%w: state %q has %v m", ErrHeight, s.Name, h)
	}
	m, g, b := s.Mass.Kilograms(), p.gravity(), s.CG.X.Metres()
	cos := 1 / math.Sqrt(1+float64(p.Slope)*float64(p.Slope))
	sin := float64(p.Slope) * cos
	shift := m * h * (g*sin + float64(p.Acceleration)) / L
	F, R := m*g*(L-b)*cos/L-shift, m*g*b*cos/L+shift
	if slack := loadSlack * m * g; F < -slack || R < -slack {
		return 0, 0, fmt.Errorf("%w: axle forces are %.1f N in front and %.1f N behind", ErrNegativeLoad, F, R)
	}
	return unit.Force(F), unit.Force(R), nil
}

// Lifting is a weighing for the height of the centre of gravity: the front axle
// on the scale, once level and once with the rear axle raised.
type Lifting struct {
	Mass         unit.Mass // whole vehicle
	Wheelbase    unit.Length
	FrontLevel   unit.Mass   // front axle load on level ground
	FrontRaised  unit.Mass   // front axle load with the rear raised
	Angle        unit.Angle  // between the wheelbase and the ground
	RadiusLoaded unit.Length // static loaded radius, the same on both axles
}

// HeightByLifting returns the height of the centre of gravity above ground,
//
//	h = r + (F' − F)·L/(W·tan θ)
//
// The suspension must be locked at its ride height and fuel and other fluids
// must not move. Errors: ErrGeometry for a mass, wheelbase or angle that is not
// positive (the angle below 90°), ErrHeight if the height comes out not positive.
// Source: iso-10392; sae-j874; jazar, eq. 2.32.
func HeightByLifting(l Lifting) (unit.Length, error) {
	W, L, th := l.Mass.Kilograms(), l.Wheelbase.Metres(), l.Angle.Radians()
	if !(W > 0) || !(L > 0) || !(th > 0) || !(th < math.Pi/2) {
		return 0, fmt.Errorf("%w: lifting with mass %v kg, wheelbase %v m, angle %v rad; positive values and an angle below a right one are accepted",
			ErrGeometry, W, L, th)
	}
	h := l.RadiusLoaded.Metres() + (l.FrontRaised-l.FrontLevel).Kilograms()*L/(W*math.Tan(th))
	if !(h > 0) {
		return 0, fmt.Errorf("%w: the weighing gives %v m; was the front axle on the scale?", ErrHeight, h)
	}
	return unit.Length(h), nil
}

// Axle says which axle drives.
type Axle uint8

// Driven axles.
const (
	FrontAxle Axle = iota + 1
	RearAxle
	AllAxles
)

// Trailer is a single-axle trailer on the hitch.
type Trailer struct {
	HitchBehind unit.Length // hitch behind the rear axle
	HitchHeight unit.Length
	AxleMass    unit.Mass   // on the trailer's axle, level
	HitchMass   unit.Mass   // on the hitch, level
	Length      unit.Length // hitch to trailer axle
	HeightCG    unit.Length
}

// Traction is what limits the grade a vehicle can climb by grip.
type Traction struct {
	Drive    Axle
	Friction unit.Ratio // peak coefficient of adhesion μ
	Trailer  *Trailer   // nil: none
}

// GradeByTraction returns the steepest slope tan θ on which the driven wheels
// do not slip, rolling resistance left out. Without a trailer:
//
//	rear drive μ·(b/L)/(1 − μ·h/L)   front drive μ·(c/L)/(1 + μ·h/L)   all wheels μ
//
// With a trailer of weight Wt whose centre of gravity lies e before its axle, the
// hitch carries Z = Wt·(e·cosθ − (ht − hh)·sinθ)/Lt down and X = Wt·sinθ to the
// rear, and μ·(load of the driven wheels) = (W + Wt)·sinθ, which is linear in
// cosθ and sinθ and so solved for tan θ without a small-angle step. (The
// textbook example sets tan θ = θ, and for all wheels leaves Z out.)
//
// Errors: ErrTraction if friction is not positive, the drive is not named, or
// grip exceeds any grade (1 ≤ μ·h/L); ErrGeometry, ErrHeight.
// Source: gillespie, ch. 1, example 3.
func (s State) GradeByTraction(t Traction) (unit.Slope, error) {
	L, h, b, W := s.Wheelbase.Metres(), s.CG.Z.Metres(), s.CG.X.Metres(), s.Mass.Kilograms()
	mu := float64(t.Friction)
	switch {
	case !(L > 0) || !(W > 0):
		return 0, fmt.Errorf("%w: state %q has wheelbase %v m and mass %v kg", ErrGeometry, s.Name, L, W)
	case !(h > 0):
		return 0, fmt.Errorf("%w: state %q has %v m", ErrHeight, s.Name, h)
	case !(mu > 0):
		return 0, fmt.Errorf("%w: friction is %v, a positive value is accepted", ErrTraction, mu)
	}
	// Each load is p·cosθ + q·sinθ: hitch down (zp, zq), hitch rearward (0, wt).
	var wt, zp, zq, hh, dh float64
	if k := t.Trailer; k != nil {
		lt := k.Length.Metres()
		if wt = (k.AxleMass + k.HitchMass).Kilograms(); !(lt > 0) || !(wt > 0) {
			return 0, fmt.Errorf("%w: trailer has length %v m and mass %v kg, positive values are accepted", ErrGeometry, lt, wt)
		}
		hh, dh = k.HitchHeight.Metres(), k.HitchBehind.Metres()
		zp, zq = k.HitchMass.Kilograms(), -wt*(k.HeightCG.Metres()-hh)/lt
	}
	frontP, frontQ := (W*(L-b)-zp*dh)/L, (-W*h-zq*dh-wt*hh)/L
	rearP, rearQ := (W*b+zp*(L+dh))/L, (W*h+zq*(L+dh)+wt*hh)/L
	var p, q float64
	switch t.Drive {
	case FrontAxle:
		p, q = frontP, frontQ
	case RearAxle:
		p, q = rearP, rearQ
	case AllAxles:
		p, q = frontP+rearP, frontQ+rearQ
	default:
		return 0, fmt.Errorf("%w: driven axle not named", ErrTraction)
	}
	den := W + wt - mu*q
	if !(den > 0) || !(p > 0) {
		return 0, fmt.Errorf("%w: friction %v with these heights never lets the driven wheels slip, or leaves them no load", ErrTraction, mu)
	}
	return unit.Slope(mu * p / den), nil
}
