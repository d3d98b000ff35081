package drawing

import (
	"math"
	"strconv"

	"packyard/bay"
	"packyard/design"
	"packyard/unit"
	"packyard/vehicle"
)

// View is what the pictures of a vehicle and its bays show.
type View struct {
	Brief      *design.Brief
	Assessment *design.Assessment // nil: no option yet; the vehicle is then converted without a pack
	Title      Title
}

// projection is the direction from which a thing is seen.
type projection uint8

const (
	fromLeft projection = iota
	fromAbove
	fromFront
)

// frame puts a frame of three axes (x rearward, y to the left, z up) on paper.
type frame struct {
	from   projection
	x0, y0 float64 // of the origin on the sheet, mm
	k      float64 // sheet mm per m
}

// flat returns the two coordinates seen, downward positive, and the depth,
// which grows toward the one who looks.
func (p projection) flat(x, y, z float64) (u, v, depth float64) {
	switch p {
	case fromAbove:
		return x, y, z
	case fromFront:
		return y, -z, -x
	}
	return x, -z, y
}

func (f frame) at(x, y, z float64) point {
	u, v, _ := f.from.flat(x, y, z)
	return point{f.x0 + f.k*u, f.y0 + f.k*v}
}

func (f frame) point(p vehicle.Point) point { return f.at(float64(p.X), float64(p.Y), float64(p.Z)) }

// attributes say how the frame lies on the sheet, for picking and dragging.
func (f frame) attributes(name string) []pair {
	return []pair{{"view", name}, {"x0", figure(f.x0)}, {"y0", figure(f.y0)}, {"k", figure(f.k)}}
}

// figure prints a number for an attribute to ten digits.
func figure(x float64) string { return strconv.FormatFloat(x, 'g', 10, 64) }

// cuboid is a box in the frame of a bay.
type cuboid struct{ at, size [3]float64 }

func cuboidOf(b bay.Box) cuboid {
	return cuboid{
		[3]float64{float64(b.At.X), float64(b.At.Y), float64(b.At.Z)},
		[3]float64{float64(b.Size.X), float64(b.Size.Y), float64(b.Size.Z)},
	}
}

func cuboidOfPlace(p design.PlaceLine) cuboid {
	return cuboid{
		[3]float64{float64(p.X), float64(p.Y), float64(p.Z)},
		[3]float64{float64(p.Length), float64(p.Width), float64(p.Height)},
	}
}

// corners returns the eight corners.
func (c cuboid) corners() [8][3]float64 {
	var out [8][3]float64
	for i := range out {
		for a := range 3 {
			out[i][a] = c.at[a] + c.size[a]*float64(i>>a&1)
		}
	}
	return out
}

// outline returns what the box covers on paper and how near its nearest corner
// is. A nil bay means that the box is in the frame of the view itself.
func (f frame) outline(c cuboid, of *bay.Bay) (polygon []point, depth float64) {
	points := make([]point, 0, 8)
	depth = math.Inf(-1)
	for _, q := range c.corners() {
		if of != nil {
			p := of.ToVehicle(bay.Vec{X: unit.Length(q[0]), Y: unit.Length(q[1]), Z: unit.Length(q[2])})
			q = [3]float64{float64(p.X), float64(p.Y), float64(p.Z)}
		}
		_, _, d := f.from.flat(q[0], q[1], q[2])
		depth = max(depth, d)
		points = append(points, f.at(q[0], q[1], q[2]))
	}
	return hull(points), depth
}

// states returns the donor as weighed, the converted vehicle and its load
// cases.
func (v View) states() []design.StateLine {
	if v.Assessment != nil {
		return v.Assessment.Vehicle
	}
	d := &v.Brief.Donor
	before, after := d.Before(), d.Converted(nil)
	before.Name, after.Name = "donor as weighed", "converted, no pack yet"
	out := []design.StateLine{stateLine(before), stateLine(after)}
	for _, c := range d.LoadCases {
		s := d.Loaded(after, c)
		s.Name = "no pack yet, " + c.Name
		out = append(out, stateLine(s))
	}
	return out
}

func stateLine(s vehicle.State) design.StateLine {
	return design.StateLine{
		Name: s.Name, Mass: s.Mass, AxleFront: s.AxleFront, AxleRear: s.AxleRear,
		FrontLeft: s.WheelFrontLeft, FrontRight: s.WheelFrontRight, RearLeft: s.WheelRearLeft, RearRight: s.WheelRearRight,
		CG: [3]unit.Length{s.CG.X, s.CG.Y, s.CG.Z},
	}
}

// bayLine returns what stands in bay i.
func (v View) bayLine(i int) design.BayLine {
	if v.Assessment == nil || i >= len(v.Assessment.Bays) {
		return design.BayLine{Name: v.Brief.Bays[i].Name}
	}
	return v.Assessment.Bays[i]
}

// module returns the kind of module of a place.
func (v View) module(p design.PlaceLine) design.ModuleLine {
	if v.Assessment == nil || p.Module < 0 || p.Module >= len(v.Assessment.Modules) {
		return design.ModuleLine{}
	}
	return v.Assessment.Modules[p.Module]
}

// reach is how far the vehicle and all that is drawn with it goes, m.
type reach struct{ lo, hi [3]float64 }

func (r *reach) include(x, y, z float64) {
	for a, q := range [3]float64{x, y, z} {
		r.lo[a], r.hi[a] = min(r.lo[a], q), max(r.hi[a], q)
	}
}

// reach returns the room that the vehicle takes. Without a stated outline it is
// that of wheels, bays and items.
func (v View) reach() reach {
	d, o := &v.Brief.Donor, v.Brief.Outline
	L, r := float64(d.Wheelbase), float64(d.TyreRadius)
	half := max(float64(d.TrackFront), float64(d.TrackRear))/2 + tyreWidth*r/2
	out := reach{[3]float64{-r, -half, 0}, [3]float64{L + r, half, 2 * r}}
	out.include(-float64(o.Front), -float64(o.Width)/2, 0)
	out.include(L+float64(o.Rear), float64(o.Width)/2, float64(o.Height))
	for i := range v.Brief.Bays {
		lo, hi := v.Brief.Bays[i].Reach()
		out.include(float64(lo.X), float64(lo.Y), float64(lo.Z))
		out.include(float64(hi.X), float64(hi.Y), float64(hi.Z))
	}
	for _, list := range [2][]vehicle.Item{d.Removed, d.Added} {
		for _, it := range list {
			out.include(float64(it.At.X), float64(it.At.Y), float64(it.At.Z))
		}
	}
	for _, s := range v.states() {
		out.include(float64(s.CG[0]), float64(s.CG[1]), float64(s.CG[2]))
	}
	return out
}

// tyreWidth is the width of a tyre as a share of its radius: a symbol, not a
// dimension, since the donor does not state it.
const tyreWidth = 0.55
