package bay

import (
	"errors"
	"fmt"
	"math"

	"packyard/unit"
)

// ErrBay is what every objection of Validate wraps.
var ErrBay = errors.New("bay cannot be used")

// Validate names the first fault of the bay: no box; an edge that is not
// positive or not finite; a negative wall, clearance, gap, connector room or
// mass; a keep-out outside the bay; a side it cannot open to; walls that leave
// nothing. The error wraps ErrBay.
func (b *Bay) Validate() error {
	fault := func(format string, args ...any) error {
		return fmt.Errorf("%w: %q: %s", ErrBay, b.Name, fmt.Sprintf(format, args...))
	}
	if len(b.Boxes) == 0 {
		return fault("it has no box, at least one is needed")
	}
	switch b.Opens {
	case Top, Bottom, Front, Rear, Left, Right:
	default:
		return fault("it opens to %q, accepted are top, bottom, front, rear, left, right", b.Opens)
	}
	for _, l := range [4]struct {
		name string
		v    unit.Length
	}{{"wall", b.Wall}, {"clearance", b.Clearance}, {"gap", b.Gap}, {"connector room", b.Connector}} {
		if !(l.v >= 0) || float64(l.v) > reach {
			return fault("its %s is %g m, accepted is 0 to %d m", l.name, float64(l.v), reach)
		}
	}
	for _, m := range [2]unit.Mass{b.MassLimit, b.BoxMass} {
		if !(m >= 0) || math.IsInf(float64(m), 0) {
			return fault("a mass is %g kg, accepted is 0 or more", float64(m))
		}
	}
	for i, x := range b.Boxes {
		if err := x.validate(); err != nil {
			return fault("box %d %v", i+1, err)
		}
	}
	for i, x := range b.KeepOuts {
		if err := x.validate(); err != nil {
			return fault("keep-out %d %v", i+1, err)
		}
	}
	inset := 2 * (b.Wall + b.Clearance)
	_, size := b.Extent()
	if size.X <= inset || size.Y <= inset || size.Z <= inset {
		return fault("walls and clearances of %g m leave nothing of %g x %g x %g m",
			float64(inset), float64(size.X), float64(size.Y), float64(size.Z))
	}
	return nil
}

// reach is the largest coordinate a bay may have, m: micrometres of it multiply
// to volumes which a float64 holds to a few parts in 1e16.
const reach = 100

func (x Box) validate() error {
	for _, v := range [3]unit.Length{x.Size.X, x.Size.Y, x.Size.Z} {
		if !(v >= unit.Millimetre/10) || float64(v) > reach {
			return fmt.Errorf("has an edge of %g m, accepted is 0.0001 to %d m", float64(v), reach)
		}
	}
	for _, v := range [3]unit.Length{x.At.X, x.At.Y, x.At.Z} {
		if !(math.Abs(float64(v)) <= reach) {
			return fmt.Errorf("starts at %g m, accepted is -%d to %d m", float64(v), reach, reach)
		}
	}
	return nil
}

// Extent returns the least upright box in the bay frame that holds the union of
// the bay's boxes: its least corner and its edges. A bay without boxes has none.
func (b *Bay) Extent() (corner, size Vec) {
	if len(b.Boxes) == 0 {
		return Vec{}, Vec{}
	}
	lo := b.Boxes[0].At
	hi := lo
	for _, x := range b.Boxes {
		lo = Vec{min(lo.X, x.At.X), min(lo.Y, x.At.Y), min(lo.Z, x.At.Z)}
		hi = Vec{max(hi.X, x.At.X+x.Size.X), max(hi.Y, x.At.Y+x.Size.Y), max(hi.Z, x.At.Z+x.Size.Z)}
	}
	return lo, Vec{hi.X - lo.X, hi.Y - lo.Y, hi.Z - lo.Z}
}

// grid cuts the bay at its faces.
func (b *Bay) grid() grid {
	union, keepOuts := make([]block, len(b.Boxes)), make([]block, len(b.KeepOuts))
	for i, x := range b.Boxes {
		union[i] = blockOf(x)
	}
	for i, x := range b.KeepOuts {
		keepOuts[i] = blockOf(x)
	}
	return newGrid(union, keepOuts)
}

// Volume returns the volume of the union of the boxes without the keep-outs,
// walls and clearances not taken off.
func (b *Bay) Volume() unit.Volume {
	if len(b.Boxes) == 0 {
		return 0
	}
	g := b.grid()
	sum := 0.0
	g.cells(func(lo, hi vec, mark uint8) {
		if mark == cellFree {
			sum += float64(hi[0]-lo[0]) * float64(hi[1]-lo[1]) * float64(hi[2]-lo[2])
		}
	})
	return unit.Volume(sum * 1e-18)
}
