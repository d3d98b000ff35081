package bay

import (
	"math"

	"packyard/cell"
	"packyard/unit"
	"packyard/vehicle"
)

// ToVehicle takes a point from the bay frame to the vehicle frame,
//
//	v = At + Rz(yaw)·Ry(pitch)·p
//
// both turns right-handed: a positive yaw turns the bay's rearward axis to the
// left, a positive pitch, about the bay's own leftward axis, turns it down. This
// is the only place of the package where angles are used.
func (b *Bay) ToVehicle(p Vec) vehicle.Point {
	sinPitch, cosPitch := math.Sincos(float64(b.Pitch))
	sinYaw, cosYaw := math.Sincos(float64(b.Yaw))
	x := cosPitch*float64(p.X) + sinPitch*float64(p.Z)
	y := float64(p.Y)
	z := -sinPitch*float64(p.X) + cosPitch*float64(p.Z)
	return vehicle.Point{
		X: b.At.X + unit.Length(cosYaw*x-sinYaw*y),
		Y: b.At.Y + unit.Length(sinYaw*x+cosYaw*y),
		Z: b.At.Z + unit.Length(z),
	}
}

// Reach returns the least upright box of the vehicle frame that holds the
// turned bay: its least and its greatest corner.
func (b *Bay) Reach() (least, greatest vehicle.Point) {
	first := true
	for _, x := range b.Boxes {
		for corner := range 8 {
			p := x.At
			if corner&1 > 0 {
				p.X += x.Size.X
			}
			if corner&2 > 0 {
				p.Y += x.Size.Y
			}
			if corner&4 > 0 {
				p.Z += x.Size.Z
			}
			v := b.ToVehicle(p)
			if first {
				least, greatest, first = v, v, false
			}
			least = vehicle.Point{X: min(least.X, v.X), Y: min(least.Y, v.Y), Z: min(least.Z, v.Z)}
			greatest = vehicle.Point{X: max(greatest.X, v.X), Y: max(greatest.Y, v.Y), Z: max(greatest.Z, v.Z)}
		}
	}
	return least, greatest
}

// Centre returns the mass of the placed modules and their centre of mass in the
// vehicle frame, each module taken as even inside: Σ m·v / Σ m. Modules without
// mass count equally. No placements: the middle of the bay's extent, mass zero.
func (b *Bay) Centre(kinds []Kind, placements []Placement) (unit.Mass, vehicle.Point) {
	var sum, even Vec
	mass := 0.0
	for _, p := range placements {
		m := float64(kinds[p.Kind].Mass)
		c := Vec{p.Box.At.X + p.Box.Size.X/2, p.Box.At.Y + p.Box.Size.Y/2, p.Box.At.Z + p.Box.Size.Z/2}
		mass += m
		sum = Vec{sum.X + unit.Length(m)*c.X, sum.Y + unit.Length(m)*c.Y, sum.Z + unit.Length(m)*c.Z}
		even = Vec{even.X + c.X, even.Y + c.Y, even.Z + c.Z}
	}
	switch n := unit.Length(len(placements)); {
	case mass > 0:
		m := unit.Length(mass)
		return unit.Mass(mass), b.ToVehicle(Vec{sum.X / m, sum.Y / m, sum.Z / m})
	case n > 0:
		return 0, b.ToVehicle(Vec{even.X / n, even.Y / n, even.Z / n})
	}
	at, size := b.Extent()
	return 0, b.ToVehicle(Vec{at.X + size.X/2, at.Y + size.Y/2, at.Z + size.Z/2})
}

// PlacedSize returns the edges in the bay frame of a module that stands so.
func PlacedSize(s cell.Size, o cell.Orientation, turned bool) Vec {
	edges, _ := standing(s, o, turned)
	return edges
}
