package vehicle

import (
	"errors"
	"fmt"
	"math"

	"packyard/unit"
)

// Errors of the mass ledger.
var (
	// ErrNegativeLoad says that a mass, an axle load or a wheel load came out below zero.
	ErrNegativeLoad = errors.New("negative load")
	// ErrItem says that an item has a mass that is not positive, or a position that is not a number.
	ErrItem = errors.New("item cannot be weighed")
	// ErrGeometry says that wheelbase, track, weight or share of the donor cannot be computed with.
	ErrGeometry = errors.New("vehicle geometry cannot be computed with")
)

// loadSlack is the share of the vehicle mass below zero that still counts as
// zero load: an item taken off and put back may leave a rounding residue.
const loadSlack = 1e-9

// sums are the moments of a vehicle about the front axle line, the centre
// line and the ground. Lateral moments are kept per axle, since a rigid body on
// four wheels does not say by itself which axle carries a lateral offset.
type sums struct {
	m              float64 // kg
	mx, my, mz     float64 // kg·m
	latFro, latRea float64 // lateral moment carried by the front and the rear axle, kg·m
	rear           float64 // kg on the rear axle
}

// plus adds an item with sign +1, or takes it off with sign −1.
func (q sums) plus(it Item, wheelbase, sign float64) sums {
	m := sign * it.Mass.Kilograms()
	x, y, z := it.At.X.Metres(), it.At.Y.Metres(), it.At.Z.Metres()
	share := x / wheelbase // of the item on the rear axle
	q.m += m
	q.mx += m * x
	q.my += m * y
	q.mz += m * z
	q.rear += m * share
	q.latFro += m * (1 - share) * y
	q.latRea += m * share * y
	return q
}

// sumsOf recovers the moments from a state.
func sumsOf(s State) sums {
	m := s.Mass.Kilograms()
	return sums{
		m: m, mx: m * s.CG.X.Metres(), my: m * s.CG.Y.Metres(), mz: m * s.CG.Z.Metres(),
		rear:   s.AxleRear.Kilograms(),
		latFro: (s.WheelFrontLeft - s.WheelFrontRight).Kilograms() * s.TrackFront.Metres() / 2,
		latRea: (s.WheelRearLeft - s.WheelRearRight).Kilograms() * s.TrackRear.Metres() / 2,
	}
}

// state turns the moments into loads; name, geometry and spreads come from like.
func (q sums) state(like State) State {
	s := like
	s.Mass = unit.Mass(q.m)
	s.CG = Point{}
	if q.m != 0 {
		s.CG = Point{unit.Length(q.mx / q.m), unit.Length(q.my / q.m), unit.Length(q.mz / q.m)}
	}
	front := q.m - q.rear
	s.AxleFront, s.AxleRear = unit.Mass(front), unit.Mass(q.rear)
	s.WheelFrontLeft, s.WheelFrontRight = wheels(front, q.latFro, s.TrackFront.Metres())
	s.WheelRearLeft, s.WheelRearRight = wheels(q.rear, q.latRea, s.TrackRear.Metres())
	return s
}

// wheels splits an axle load by its lateral moment: left = F/2 + M/T.
func wheels(load, lateral, track float64) (left, right unit.Mass) {
	if track <= 0 {
		return unit.Mass(load / 2), unit.Mass(load / 2)
	}
	return unit.Mass(load/2 + lateral/track), unit.Mass(load/2 - lateral/track)
}

// Before returns the vehicle as it was weighed.
//
// From the axle loads F and R and the shares sF, sR on the left wheels:
// x = R·L/(F+R); each axle carries the lateral moment (s − ½)·load·track; y is
// their sum over the mass; z is HeightCG. A share of zero counts as one half.
//
// Panics if the wheelbase is not positive: see Validate, which also finds
// everything else that the ledger cannot be computed with. A track of zero
// leaves the wheels of that axle equally loaded.
// Source: gillespie, ch. 1 (static axle loads); moments by statics.
func (d *Donor) Before() State {
	L := d.Wheelbase.Metres()
	if !(L > 0) {
		panic("vehicle: wheelbase of a donor must be positive")
	}
	F, R := d.WeighedFront.Kilograms(), d.WeighedRear.Kilograms()
	m := F + R
	q := sums{m: m, mx: R * L, mz: m * d.HeightCG.Metres(), rear: R}
	q.latFro = (share(d.LeftShareFront) - 0.5) * F * d.TrackFront.Metres()
	q.latRea = (share(d.LeftShareRear) - 0.5) * R * d.TrackRear.Metres()
	q.my = q.latFro + q.latRea
	s := q.state(State{Name: "before", Wheelbase: d.Wheelbase, TrackFront: d.TrackFront, TrackRear: d.TrackRear})
	s.spreadAxle(d.WeighedFrontTol, d.WeighedFrontKind, true, share(d.LeftShareFront))
	s.spreadAxle(d.WeighedRearTol, d.WeighedRearKind, false, share(d.LeftShareRear))
	return s
}

func share(r unit.Ratio) float64 {
	if r == 0 {
		return 0.5
	}
	return float64(r)
}

// Converted returns the vehicle after the conversion: as weighed, less the
// removed items, plus the added items and the battery. It does the arithmetic
// only: a load that comes out below zero is returned as it is and is a failure
// in Check; Convert returns it as an error.
// Panics if the wheelbase is not positive.
func (d *Donor) Converted(battery []Item) State {
	b := d.Before()
	q, L := sumsOf(b), d.Wheelbase.Metres()
	b.Name = "converted"
	for _, it := range d.Removed {
		q = q.plus(it, L, -1)
		b.spreadItem(it)
	}
	for _, list := range [2][]Item{d.Added, battery} {
		for _, it := range list {
			q = q.plus(it, L, 1)
			b.spreadItem(it)
		}
	}
	return q.state(b)
}

// Convert is Converted with its inputs and its result looked at.
// Errors: ErrGeometry, ErrItem, ErrNegativeLoad with the name of the item.
func (d *Donor) Convert(battery []Item) (State, error) {
	if err := d.Validate(); err != nil {
		return State{}, err
	}
	plus := make([]Item, 0, len(d.Added)+len(battery))
	plus = append(append(plus, d.Added...), battery...)
	s, err := Combine(d.Before(), plus, d.Removed)
	if err != nil {
		return State{}, err
	}
	s.Name = "converted"
	return s, nil
}

// Loaded returns the state s with a load case on top. Like Converted it does
// the arithmetic only.
// Panics if the wheelbase is not positive.
func (d *Donor) Loaded(s State, c LoadCase) State {
	if !(d.Wheelbase > 0) {
		panic("vehicle: wheelbase of a donor must be positive")
	}
	q, L := sumsOf(s), d.Wheelbase.Metres()
	s.Name = c.Name
	for _, it := range c.Items {
		q = q.plus(it, L, 1)
		s.spreadItem(it)
	}
	return q.state(s)
}

// Combine returns base with the items of plus added and those of minus taken
// off. The order of the items does not matter.
//
// Each item loads the axles as on a beam: share x/L on the rear axle, 1 − x/L
// on the front axle, beyond the axles too (a share below zero or above one).
// A rigid body on four wheels is statically indeterminate in its lateral split;
// here each axle takes the lateral moment of an item in the same share as its
// weight, m·y·(1 − x/L) in front and m·y·x/L behind, which is exact for a frame
// that is soft in torsion and for an item over an axle. Left wheel = F/2 + M/T.
//
// Errors: ErrGeometry if the wheelbase or a track of base is not positive;
// ErrItem for a mass that is not positive or a value that is not finite;
// ErrNegativeLoad if the mass, an axle or a wheel comes out below zero, with the
// name of the item that takes most from it.
// Source: gillespie, ch. 1; the lateral share is common practice.
func Combine(base State, plus, minus []Item) (State, error) {
	L := base.Wheelbase.Metres()
	if !(L > 0 && base.TrackFront > 0 && base.TrackRear > 0) {
		return State{}, fmt.Errorf("%w: state %q has wheelbase %v m and tracks %v m and %v m, all must be positive",
			ErrGeometry, base.Name, L, base.TrackFront.Metres(), base.TrackRear.Metres())
	}
	q, s := sumsOf(base), base
	for i, list := range [2][]Item{plus, minus} {
		for _, it := range list {
			if err := it.validate(); err != nil {
				return State{}, err
			}
			q = q.plus(it, L, float64(1-2*i))
			s.spreadItem(it)
		}
	}
	s = q.state(s)
	return s, s.lifted(base, plus, minus)
}

func (it Item) validate() error {
	m := it.Mass.Kilograms()
	if !(m > 0) || math.IsInf(m, 0) {
		return fmt.Errorf("%w: %q has mass %v kg, a positive mass is accepted", ErrItem, it.Name, m)
	}
	for _, v := range [3]unit.Length{it.At.X, it.At.Y, it.At.Z} {
		if math.IsNaN(float64(v)) || math.IsInf(float64(v), 0) {
			return fmt.Errorf("%w: %q is at (%v, %v, %v) m, finite positions are accepted",
				ErrItem, it.Name, float64(it.At.X), float64(it.At.Y), float64(it.At.Z))
		}
	}
	return nil
}

// loadNames name the values of list, in order.
var loadNames = [7]string{"vehicle", "front axle", "rear axle",
	"front left wheel", "front right wheel", "rear left wheel", "rear right wheel"}

func (l Loads) list() [7]unit.Mass {
	return [7]unit.Mass{l.Mass, l.AxleFront, l.AxleRear,
		l.WheelFrontLeft, l.WheelFrontRight, l.WheelRearLeft, l.WheelRearRight}
}

// Loads returns the mass of the vehicle and its axle and wheel loads.
func (s State) Loads() Loads {
	return Loads{s.Mass, s.AxleFront, s.AxleRear,
		s.WheelFrontLeft, s.WheelFrontRight, s.WheelRearLeft, s.WheelRearRight}
}

// lifted returns ErrNegativeLoad for the first load below zero.
func (s State) lifted(base State, plus, minus []Item) error {
	slack := loadSlack * math.Max(base.Mass.Kilograms(), s.Mass.Kilograms())
	for i, v := range s.Loads().list() {
		if v.Kilograms() >= -slack {
			continue
		}
		name, most := "no item", 0.0
		for k, list := range [2][]Item{plus, minus} {
			for _, it := range list {
				takes := -float64(1-2*k) * it.loads(s).list()[i].Kilograms()
				if takes > most || takes == most && takes > 0 && it.Name < name {
					name, most = fmt.Sprintf("item %q", it.Name), takes
				}
			}
		}
		return fmt.Errorf("%w: %s carries %.3f kg; %s takes most from it (%.3f kg)",
			ErrNegativeLoad, loadNames[i], v.Kilograms(), name, most)
	}
	return nil
}

// loads returns what the item alone puts on axles and wheels of s.
func (it Item) loads(s State) Loads {
	return sums{}.plus(it, s.Wheelbase.Metres(), 1).state(
		State{Wheelbase: s.Wheelbase, TrackFront: s.TrackFront, TrackRear: s.TrackRear}).Loads()
}

// Validate looks at everything the ledger is computed from.
// Errors: ErrGeometry, ErrItem with the name of the item.
func (d *Donor) Validate() error {
	for _, v := range []struct {
		name string
		si   float64
	}{
		{"wheelbase in m", float64(d.Wheelbase)}, {"front track in m", float64(d.TrackFront)},
		{"rear track in m", float64(d.TrackRear)}, {"weighed front axle load in kg", float64(d.WeighedFront)},
		{"weighed rear axle load in kg", float64(d.WeighedRear)}, {"height of the centre of gravity in m", float64(d.HeightCG)},
	} {
		if !(v.si > 0) || math.IsInf(v.si, 0) {
			return fmt.Errorf("%w: %s is %v, a positive value is accepted", ErrGeometry, v.name, v.si)
		}
	}
	for _, r := range [2]unit.Ratio{d.LeftShareFront, d.LeftShareRear} {
		if !(r >= 0 && r < 1) {
			return fmt.Errorf("%w: share of an axle load on its left wheel is %v, above 0 and below 1 is accepted", ErrGeometry, float64(r))
		}
	}
	lists := [][]Item{d.Removed, d.Added}
	for _, c := range d.LoadCases {
		lists = append(lists, c.Items)
	}
	for _, list := range lists {
		for _, it := range list {
			if err := it.validate(); err != nil {
				return err
			}
		}
	}
	return nil
}
