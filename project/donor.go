package project

import (
	"fmt"
	"math"
	"regexp"
	"strconv"

	"packyard/check"
	"packyard/design"
	"packyard/unit"
	"packyard/vehicle"
)

// Stand-ins for the donor.
const (
	leftShareAssumed = unit.Ratio(0.5)
	// staticStability is half the track over the height of the centre of
	// gravity, from the low end of cars and the middle of light trucks.
	staticStability = 1.2
	wheelInertia    = 1.0 * unit.KilogramSquareMetre
	wheelsAssumed   = 4
	// circumference over diameter of a radial tyre rolling under load.
	// Source: etrto.
	circumference = 3.05
)

// sumTolerance is by how much a stated weight may differ from the sum of its
// parts: two readings of one scale differ by less (assumption).
const sumTolerance = 0.02

func (r *reader) donor() {
	f, d := &r.file.Donor, &r.brief.Donor
	if f.Pos.IsZero() {
		return
	}
	d.Wheelbase, d.TrackFront = f.Wheelbase.SI, f.Track.Front.SI
	if ok(r, f.Track.Front) {
		d.TrackRear = or(r, f.Track.Rear, "donor.track.rear", d.TrackFront, "assumption")
		d.HeightCG = or(r, f.HeightCG, "donor.centre_of_gravity_height", d.TrackFront/(2*staticStability), "assumption")
	}
	r.tyre()
	r.weighed()
	g := &f.Ratings
	d.Ratings = vehicle.Ratings{GrossMass: g.Gross.SI, AxleFront: g.Front.SI, AxleRear: g.Rear.SI, TyreFront: g.TyreFront.SI, TyreRear: g.TyreRear.SI}
	d.WheelRateFront, d.WheelRateRear = f.WheelRate.Front.SI, f.WheelRate.Rear.SI
	if o := f.Outline; o != nil {
		r.brief.Outline = design.Outline{Front: o.Front.SI, Rear: o.Rear.SI, Width: o.Width.SI, Height: o.Height.SI}
	}
	d.Removed = r.items(f.Removed, "donor.removed")
	d.Added = r.items(f.Added, "donor.added")
	r.removedTooMuch()
	seen := map[string]check.Pos{}
	for i := range f.LoadCases {
		c := &f.LoadCases[i]
		at := fmt.Sprintf("donor.load_cases[%d]", i)
		r.onlyOnce(seen, c.Name, at+".name", "load case")
		d.LoadCases = append(d.LoadCases, vehicle.LoadCase{Name: c.Name.Value, Items: r.items(c.Items, at+".items")})
	}
}

// onlyOnce records a name that was used before.
func (r *reader) onlyOnce(seen map[string]check.Pos, name check.Text, at, what string) {
	if !r.read(name.Pos) {
		return
	}
	if first, twice := seen[name.Value]; twice {
		r.probs.Addf(name.Pos, at, "give each "+what+" a name of its own", "%q is also the name of the %s in line %d", name.Value, what, first.Line)
		return
	}
	seen[name.Value] = name.Pos
}

func (r *reader) tyre() {
	f, d := &r.file.Donor.Tyre, &r.brief.Donor
	if f.Pos.IsZero() {
		return
	}
	d.TyreRadius = f.Radius.SI
	switch {
	case f.Radius.IsGiven() && f.Size.IsGiven():
		if radius, good := r.tyreSize(f.Size); good && ok(r, f.Radius) && math.Abs(float64(radius/f.Radius.SI)-1) > 0.1 {
			r.probs.Addf(f.Radius.Pos, "donor.tyre.radius", "take one of the two out, or write what fits the other", "%q does not go with size %q, which rolls at %.0f mm", f.Radius.Text, f.Size.Value, radius.Millimetres())
		}
	case f.Size.IsGiven():
		if radius, good := r.tyreSize(f.Size); good {
			d.TyreRadius = radius
			r.brief.Assumed.Add(check.Assumption{Subject: "donor.tyre.radius", Value: check.Of(radius), Source: "etrto"})
		}
	case !f.Radius.IsGiven():
		r.missing(f.Pos, "donor.tyre", "radius", "write radius: 300 mm, or size: 185/65 R15 as on the sidewall")
	}
	d.Wheels = wheelsAssumed
	if f.Wheels.IsGiven() {
		d.Wheels = f.Wheels.Value
	} else {
		r.brief.Assumed.Add(check.Assumption{Subject: "donor.tyre.wheels", Value: check.Number(wheelsAssumed, "wheels"), Source: "assumption"})
	}
	d.WheelInertia = or(r, f.Inertia, "donor.tyre.inertia", wheelInertia, "assumption")
}

var tyreForm = regexp.MustCompile(`^(\d{3})/(\d{2}) ?Z?R ?(\d{2})( ?C)?( .*)?$`)

// tyreSize returns the rolling radius of a radial tyre by its size:
//
//	r = 3.05·(rim + 2·width·aspect)/(2π)
func (r *reader) tyreSize(t check.Text) (unit.Length, bool) {
	m := tyreForm.FindStringSubmatch(t.Value)
	if m == nil {
		r.probs.Addf(t.Pos, "donor.tyre.size", "width in mm, aspect in %, R and rim in inches, such as 185/65 R15, are accepted; else write the radius", "%q is not a tyre size", t.Value)
		return 0, false
	}
	var n [3]float64
	for i := range n {
		v, err := strconv.Atoi(m[i+1])
		if err != nil {
			return 0, false
		}
		n[i] = float64(v)
	}
	const inch = 0.0254 // nist-sp811
	diameter := n[2]*inch + 2*n[0]/1000*n[1]/100
	return unit.Length(circumference * diameter / (2 * math.Pi)), true
}

// weighed takes the axle loads from the axles or from four wheels and compares
// what was stated twice.
func (r *reader) weighed() {
	f, d := &r.file.Donor.Weighed, &r.brief.Donor
	if f.Pos.IsZero() {
		return
	}
	wheels := [4]check.Given[unit.Mass]{f.FrontLeft, f.FrontRight, f.RearLeft, f.RearRight}
	written := 0
	for _, w := range wheels {
		if w.IsGiven() {
			written++
		}
	}
	if written > 0 && written < 4 {
		r.probs.Addf(f.Pos, "donor.weighed", "weigh all four wheels, or write the axles alone", "has %d of four wheels", written)
		return
	}
	if written == 0 {
		d.WeighedFront, d.WeighedFrontTol, d.WeighedFrontKind = f.Front.SI, unit.Mass(f.Front.Tol), f.Front.Kind
		d.WeighedRear, d.WeighedRearTol, d.WeighedRearKind = f.Rear.SI, unit.Mass(f.Rear.Tol), f.Rear.Kind
		for _, a := range []struct {
			g    check.Given[unit.Mass]
			name string
		}{{f.Front, "front"}, {f.Rear, "rear"}} {
			if !a.g.IsGiven() {
				r.missing(f.Pos, "donor.weighed", a.name, "write the load of the "+a.name+" axle, such as 620 kg, or all four wheels")
			}
		}
		d.LeftShareFront = or(r, f.ShareFront, "donor.weighed.left_share_front", leftShareAssumed, "assumption")
		d.LeftShareRear = or(r, f.ShareRear, "donor.weighed.left_share_rear", leftShareAssumed, "assumption")
	} else if ok(r, wheels[0]) && ok(r, wheels[1]) && ok(r, wheels[2]) && ok(r, wheels[3]) {
		r.fourWheels(wheels)
	}
	r.compareTotal()
}

func (r *reader) fourWheels(w [4]check.Given[unit.Mass]) {
	f, d := &r.file.Donor.Weighed, &r.brief.Donor
	d.WeighedFront, d.WeighedRear = w[0].SI+w[1].SI, w[2].SI+w[3].SI
	d.LeftShareFront, d.LeftShareRear = unit.Ratio(w[0].SI/d.WeighedFront), unit.Ratio(w[2].SI/d.WeighedRear)
	d.WeighedFrontTol, d.WeighedFrontKind = sumSpread(w[0], w[1])
	d.WeighedRearTol, d.WeighedRearKind = sumSpread(w[2], w[3])
	for _, a := range []struct {
		axle check.Given[unit.Mass]
		sum  unit.Mass
		name string
	}{{f.Front, d.WeighedFront, "front"}, {f.Rear, d.WeighedRear, "rear"}} {
		if ok(r, a.axle) && differ(a.axle.SI, a.sum) {
			r.probs.Addf(a.axle.Pos, "donor.weighed."+a.name, "weigh again, or take one of the two out", "%q does not match its two wheels, which make %.4g kg", a.axle.Text, a.sum.Kilograms())
		}
	}
	for _, s := range []struct {
		g    check.Given[unit.Ratio]
		name string
	}{{f.ShareFront, "left_share_front"}, {f.ShareRear, "left_share_rear"}} {
		if s.g.IsGiven() {
			r.probs.Addf(s.g.Pos, "donor.weighed."+s.name, "take it out: the wheels say it", "stands beside weighed wheels")
		}
	}
}

// sumSpread is the spread of a sum: bands add, deviations as the root of the
// sum of squares, a band beside a deviation as a band of three deviations.
func sumSpread(a, b check.Given[unit.Mass]) (unit.Mass, unit.SpreadKind) {
	if a.Kind != unit.Band && b.Kind != unit.Band {
		if a.Kind == unit.NoSpread && b.Kind == unit.NoSpread {
			return 0, unit.NoSpread
		}
		return unit.Mass(math.Hypot(a.Tol, b.Tol)), unit.Deviation
	}
	width := func(g check.Given[unit.Mass]) float64 {
		if g.Kind == unit.Deviation {
			return 3 * g.Tol
		}
		return g.Tol
	}
	return unit.Mass(width(a) + width(b)), unit.Band
}

func differ(stated, sum unit.Mass) bool {
	return math.Abs(float64(stated-sum)) > sumTolerance*float64(sum)
}

// compareTotal holds the stated weight against the sum of the axles.
func (r *reader) compareTotal() {
	f, d := &r.file.Donor.Weighed, &r.brief.Donor
	if !ok(r, f.Total) || d.WeighedFront <= 0 || d.WeighedRear <= 0 {
		return
	}
	if sum := d.WeighedFront + d.WeighedRear; differ(f.Total.SI, sum) {
		r.probs.Addf(f.Total.Pos, "donor.weighed.total", "the axles must make the total within 2 %: weigh again, or correct the one that is wrong",
			"%q does not match the axle loads, which make %.4g kg", f.Total.Text, sum.Kilograms())
	}
}

// items reads lines of the mass ledger. A line with a fault is left out.
func (r *reader) items(list []ItemFile, at string) []vehicle.Item {
	var out []vehicle.Item
	for i := range list {
		it := &list[i]
		path := fmt.Sprintf("%s[%d]", at, i)
		if !ok(r, it.Mass) || !r.place(it.At) {
			continue
		}
		p := vehicle.Point{X: it.At[0].SI, Y: it.At[1].SI, Z: it.At[2].SI}
		if side, outside := r.outside(p); outside {
			r.probs.Addf(it.At[0].Pos, path+".at", r.envelope().hint(), "%q lies outside the vehicle: %s", it.Name.Value, side)
			continue
		}
		out = append(out, vehicle.Item{Name: it.Name.Value, Mass: it.Mass.SI, At: p, MassTol: unit.Mass(it.Mass.Tol), MassKind: it.Mass.Kind})
	}
	return out
}

// place reports whether all three coordinates could be read.
func (r *reader) place(p [3]check.Given[unit.Length]) bool {
	return ok(r, p[0]) && ok(r, p[1]) && ok(r, p[2])
}

// removedTooMuch finds the line of the removed list at which more has left the
// vehicle than it weighed.
func (r *reader) removedTooMuch() {
	d := &r.brief.Donor
	weight := d.WeighedFront + d.WeighedRear
	if d.WeighedFront <= 0 || d.WeighedRear <= 0 {
		return
	}
	var sum unit.Mass
	for i, it := range r.file.Donor.Removed {
		if !ok(r, it.Mass) {
			continue
		}
		if sum += it.Mass.SI; sum >= weight {
			r.probs.Addf(it.Mass.Pos, fmt.Sprintf("donor.removed[%d].mass", i), "look for a slip of the unit in the list",
				"%q brings what was removed to %.4g kg, as much as the vehicle weighed or more (%.4g kg)", it.Mass.Text, sum.Kilograms(), weight.Kilograms())
			return
		}
	}
}
