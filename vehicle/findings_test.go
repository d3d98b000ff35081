package vehicle_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"packyard/check"
	"packyard/check/checktest"
	"packyard/unit"
	"packyard/vehicle"
)

func rule(t *testing.T, list []check.Finding, name string) check.Finding {
	t.Helper()
	for _, f := range list {
		if f.Rule == name {
			return f
		}
	}
	t.Fatalf("no finding %s in %v", name, list)
	return check.Finding{}
}

// Limits are set from the state itself, so the margins are known beforehand.
func TestRatingsGiveFindingsWithMargin(t *testing.T) {
	t.Parallel()
	d := truck()
	s := d.Converted(battery())
	heavierFront, heavierRear := max(s.WheelFrontLeft, s.WheelFrontRight), max(s.WheelRearLeft, s.WheelRearRight)
	d.Ratings = vehicle.Ratings{GrossMass: s.Mass / 0.8, AxleFront: s.AxleFront / 1.1, AxleRear: s.AxleRear / 0.99,
		TyreFront: heavierFront / 0.5, TyreRear: heavierRear / 1.25}
	list := d.Check(s)
	for _, c := range []struct {
		rule     string
		margin   float64
		severity check.Severity
		value    unit.Mass
	}{
		{"mass.gross", 0.2, check.Note, s.Mass}, {"mass.axle.front", -0.1, check.Failure, s.AxleFront},
		{"mass.axle.rear", 0.01, check.Warning, s.AxleRear}, {"mass.tyre.front", 0.5, check.Note, heavierFront},
		{"mass.tyre.rear", -0.25, check.Failure, heavierRear},
	} {
		f := rule(t, list, c.rule)
		checktest.Near(t, c.rule+" margin", f.Margin, c.margin, 1e-12, 0, "definition of the margin, (limit − value)/limit")
		checktest.Near(t, c.rule+" value", f.Value.SI, float64(c.value), 1e-12, 0, "the state")
		if f.Severity != c.severity || f.Budget != "mass" || f.Source == "" {
			t.Errorf("%s: got severity %v, budget %q, source %q; want severity %v of budget mass with a source", c.rule, f.Severity, f.Budget, f.Source, c.severity)
		}
	}
	if len(list) != 5 {
		t.Errorf("findings: got %d, want one for each of 5 ratings", len(list))
	}
	if left, known := d.PayloadLeft(s); !known || math.Abs(float64(left-s.Mass/4)) > 1e-9 {
		t.Errorf("payload left: got %v kg (%v), want a quarter of the curb mass", float64(left), known)
	}
	d.Ratings = vehicle.Ratings{}
	if list := d.Check(s); len(list) != 0 {
		t.Errorf("no ratings: got %v, want no finding", list)
	}
	if _, known := d.PayloadLeft(s); known {
		t.Error("payload left is known without a rating")
	}
}

// Bands add up, deviations add in squares, removed items count too.
func TestToleranceOfAxleLoadsAddsBandsAndSquares(t *testing.T) {
	t.Parallel()
	d := truck()
	d.WeighedFrontTol, d.WeighedFrontKind = 3, unit.Deviation
	d.WeighedRearTol, d.WeighedRearKind = 5, unit.Band
	d.Removed[0].MassTol, d.Removed[0].MassKind = 4, unit.Deviation // engine at x = 0.05
	d.Added[0].MassTol, d.Added[0].MassKind = 2, unit.Band          // motor at x = 0.2
	tol := d.Converted(nil).Tolerance()
	const source = "propagation of uncertainty, common practice"
	checktest.Near(t, "mass", float64(tol.Mass), 5+2+2*math.Hypot(3, 4), 1e-9, 0, source)
	checktest.Near(t, "front", float64(tol.AxleFront), 2*(1-0.2/2.8)+2*math.Hypot(3, 4*(1-0.05/2.8)), 1e-9, 0, source)
	checktest.Near(t, "rear", float64(tol.AxleRear), 5+2*0.2/2.8+2*4*0.05/2.8, 1e-9, 0, source)
	if got := truck().Converted(battery()).Tolerance(); got != (vehicle.Loads{}) {
		t.Errorf("no spreads given: got tolerance %v, want zero", got)
	}
}

func TestFindingSaysWhetherItHoldsOverTheTolerance(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name     string
		limit    unit.Mass
		severity check.Severity
		says     string
	}{
		{"far below", 2000, check.Note, "holds over the whole tolerance"},
		{"below by less than the band", 1526, check.Warning, "not over its tolerance"},
		{"above by less than the band", 1515, check.Failure, "lower end of the tolerance"},
		{"far above", 1400, check.Failure, "fails over the whole tolerance"},
	} {
		d := truck()
		d.Removed, d.Added = nil, nil
		d.WeighedFrontTol, d.WeighedFrontKind = 10, unit.Band
		d.Ratings = vehicle.Ratings{GrossMass: c.limit}
		f := rule(t, d.Check(d.Before()), "mass.gross")
		if f.Severity != c.severity || !strings.Contains(f.Remedy, c.says) {
			t.Errorf("%s: got severity %v and %q, want %v and %q", c.name, f.Severity, f.Remedy, c.severity, c.says)
		}
	}
}

func TestStricterRatingNeverImprovesAMargin(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		d := anyDonor(t)
		s := d.Before()
		limit := rapid.Float64Range(500, 4000).Draw(t, "limit")
		d.Ratings.GrossMass = unit.Mass(limit)
		wide := d.Check(s)[0]
		d.Ratings.GrossMass = unit.Mass(limit * rapid.Float64Range(0.5, 1).Draw(t, "stricter"))
		tight := d.Check(s)[0]
		if tight.Margin > wide.Margin || tight.Severity < wide.Severity {
			t.Fatalf("stricter rating: margin %v severity %v, before %v and %v", tight.Margin, tight.Severity, wide.Margin, wide.Severity)
		}
	})
}

func TestLiftedWheelIsAFailure(t *testing.T) {
	t.Parallel()
	d := truck()
	s := d.Converted([]vehicle.Item{{Name: "crane", Mass: 2500, At: vehicle.Point{X: 4.5, Z: 1}}})
	lifted := 0
	for _, f := range d.Check(s) {
		if f.Rule == "mass.wheel.lifted" {
			lifted++
			if !f.Broken() || f.Value.SI >= 0 {
				t.Errorf("lifted wheel: got %+v, want a failure with a negative load", f)
			}
		}
	}
	if lifted != 2 {
		t.Errorf("lifted wheels: got %d, want both front ones", lifted)
	}
}

// A static stability factor of 1.2 is a tall vehicle with a track of 1.5 m and a
// centre of gravity at 0.625 m.
func TestStabilityFactorIsHalfTrackOverHeight(t *testing.T) {
	t.Parallel()
	d := truck()
	d.TrackFront, d.TrackRear, d.HeightCG, d.LeftShareFront = 1.52, 1.48, 0.625, 0.5
	const source = "NHTSA, static stability factor T/2h"
	ssf, err := d.Before().StabilityFactor()
	if err != nil {
		t.Fatal(err)
	}
	checktest.Near(t, "factor", float64(ssf), 1.2, 1e-12, 0, source)
	s, err := vehicle.Combine(d.Before(), []vehicle.Item{{Name: "left", Mass: 1520, At: vehicle.Point{X: 1, Y: 0.2, Z: 0.625}}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	least, err := s.StabilityFactorLeast()
	if err != nil {
		t.Fatal(err)
	}
	checktest.Near(t, "factor of the near side", float64(least), (0.75-0.1)/0.625, 1e-12, 0, source)
	if _, err := (vehicle.State{TrackFront: 1, TrackRear: 1}).StabilityFactor(); !errors.Is(err, vehicle.ErrHeight) {
		t.Errorf("no height: got %v, want ErrHeight", err)
	}
}

// The braking share is that of the axle forces at the same deceleration.
func TestBrakingShareIsThatOfTheAxleForces(t *testing.T) {
	t.Parallel()
	d := truck()
	before, after := d.Before(), d.Converted(battery())
	for _, a := range []float64{0, 3, 6} {
		front, rear, err := after.AxleForces(vehicle.Stance{Acceleration: unit.Acceleration(-a)})
		if err != nil {
			t.Fatal(err)
		}
		share, err := after.BrakingShare(unit.Acceleration(a))
		if err != nil {
			t.Fatal(err)
		}
		checktest.Near(t, "front share", float64(share), float64(front/(front+rear)), 1e-12, 0, "Gillespie ch. 1")
	}
	change, err := vehicle.BrakingShareChange(before, after, 6)
	if err != nil {
		t.Fatal(err)
	}
	x, h := float64(after.CG.X-before.CG.X), float64(after.CG.Z-before.CG.Z)
	checktest.Near(t, "change", float64(change), (-x+6/9.80665*h)/2.8, 1e-12, 0, "Gillespie ch. 1")
	if s, err := after.BrakingShare(1e6); err != nil || s != 1 {
		t.Errorf("beyond the lift of the rear axle: got %v, %v, want 1", float64(s), err)
	}
}

func TestRideHeightFallsByLoadOverWheelRate(t *testing.T) {
	t.Parallel()
	d := truck()
	before := d.Before()
	after, err := vehicle.Combine(before, []vehicle.Item{{Name: "over the rear left wheel", Mass: 100, At: vehicle.Point{X: 2.8, Y: 0.7, Z: 1}}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	c, front, rear := d.RideChange(before, after)
	checktest.Near(t, "rear left, m", float64(c.RearLeft), -100*9.80665/35000, 1e-12, 0, "Hooke's law")
	checktest.Near(t, "rear right, m", float64(c.RearRight), 0, 1e-12, 0, "Hooke's law")
	if !front || !rear {
		t.Error("wheel rates are given, but the change is not known")
	}
	d.WheelRateFront = 0
	if c, front, _ := d.RideChange(before, after); front || c.FrontLeft != 0 {
		t.Error("no wheel rate in front, but the change is known")
	}
}

// Forces at the grade of GradeByTraction, from moments about other points than
// the method's: the trailer about its hitch, the car about the rear contact.
func TestTractionLimitIsAnEquilibrium(t *testing.T) {
	t.Parallel()
	d := vehicle.Donor{Wheelbase: 3.048, TrackFront: 1.5, TrackRear: 1.5, HeightCG: 0.6223, WeighedFront: 689.46, WeighedRear: 521.63}
	k := vehicle.Trailer{HitchBehind: 0.5842, HitchHeight: 0.3556, AxleMass: 544.31, HitchMass: 113.4, Length: 2.794, HeightCG: 0.889}
	s := d.Before()
	const source = "statics; Gillespie ch. 1, example 3 (all wheels 11.77 degrees with the load on the hitch)"
	for _, drive := range []vehicle.Axle{vehicle.FrontAxle, vehicle.RearAxle, vehicle.AllAxles} {
		slope, err := s.GradeByTraction(vehicle.Traction{Drive: drive, Friction: 0.3, Trailer: &k})
		if err != nil {
			t.Fatal(err)
		}
		th := math.Atan(float64(slope))
		sin, cos := math.Sincos(th)
		W, wt := float64(s.Mass), float64(k.AxleMass+k.HitchMass)
		behind := float64(k.AxleMass*unit.Mass(k.Length)) / wt // centre of gravity of the trailer behind the hitch
		axle := (wt*cos*behind + wt*sin*float64(k.HeightCG-k.HitchHeight)) / float64(k.Length)
		hitch := wt*cos - axle
		L, h, hh := 3.048, 0.6223, 0.3556
		front := (W*cos*(L-float64(s.CG.X)) - W*sin*h - hitch*0.5842 - wt*sin*hh) / L
		rear := W*cos + hitch - front
		load := map[vehicle.Axle]float64{vehicle.FrontAxle: front, vehicle.RearAxle: rear, vehicle.AllAxles: front + rear}[drive]
		checktest.Near(t, "grip, kg", 0.3*load, (W+wt)*sin, 1e-9, 0, source)
		if drive == vehicle.AllAxles {
			checktest.Near(t, "angle, degrees", th*180/math.Pi, 11.773, 0.0005, 0, source)
		}
	}
	for name, tr := range map[string]vehicle.Traction{
		"no friction": {Drive: vehicle.RearAxle}, "drive not named": {Friction: 0.5},
		"rear drive that never slips": {Drive: vehicle.RearAxle, Friction: 6},
	} {
		if _, err := s.GradeByTraction(tr); !errors.Is(err, vehicle.ErrTraction) {
			t.Errorf("%s: got %v, want ErrTraction", name, err)
		}
	}
}

func TestAxleForcesNameALiftedAxle(t *testing.T) {
	t.Parallel()
	s := truck().Before()
	if _, _, err := s.AxleForces(vehicle.Stance{Acceleration: 40}); !errors.Is(err, vehicle.ErrNegativeLoad) {
		t.Errorf("wheelie: got %v, want ErrNegativeLoad", err)
	}
	s.CG.Z = 0
	if _, _, err := s.AxleForces(vehicle.Stance{Slope: 0.1}); !errors.Is(err, vehicle.ErrHeight) {
		t.Errorf("no height: got %v, want ErrHeight", err)
	}
	if _, err := vehicle.HeightByLifting(vehicle.Lifting{Mass: 1500, Wheelbase: 2.6, FrontLevel: 800, FrontRaised: 700, Angle: 0.26, RadiusLoaded: 0.3}); !errors.Is(err, vehicle.ErrHeight) {
		t.Errorf("front axle gets lighter: got %v, want ErrHeight", err)
	}
	if _, err := vehicle.HeightByLifting(vehicle.Lifting{Mass: 1500, Wheelbase: 2.6}); !errors.Is(err, vehicle.ErrGeometry) {
		t.Errorf("no angle: got %v, want ErrGeometry", err)
	}
}
