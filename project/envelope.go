package project

import (
	"fmt"

	"packyard/unit"
	"packyard/vehicle"
)

// How far a vehicle reaches when its outline is not stated: plausible for cars,
// vans and light trucks (assumption).
const (
	overhangFront = 1.5 * unit.Metre
	overhangRear  = 2.5 * unit.Metre
	halfWidth     = 1.3 * unit.Metre
	heightMost    = 3.0 * unit.Metre
)

// rounding is what a coordinate may lie outside by: half a millimetre of
// arithmetic and of reading a tape.
const rounding = 0.5 * unit.Millimetre

// envelope is the space that the vehicle takes.
type envelope struct {
	front, rear, half, height unit.Length
	stated                    bool
}

func (r *reader) envelope() envelope {
	wheelbase := r.brief.Donor.Wheelbase
	if o := r.file.Donor.Outline; o != nil && ok(r, o.Front) && ok(r, o.Rear) && ok(r, o.Width) && ok(r, o.Height) {
		return envelope{front: -o.Front.SI, rear: wheelbase + o.Rear.SI, half: o.Width.SI / 2, height: o.Height.SI, stated: true}
	}
	return envelope{front: -overhangFront, rear: wheelbase + overhangRear, half: halfWidth, height: heightMost}
}

func (e envelope) hint() string {
	where := "a plausible vehicle of this wheelbase reaches"
	if e.stated {
		where = "by its outline the vehicle reaches"
	}
	return fmt.Sprintf("%s from %.0f mm to %.0f mm behind the front axle line, %.0f mm to either side and %.0f mm up",
		where, e.front.Millimetres(), e.rear.Millimetres(), e.half.Millimetres(), e.height.Millimetres())
}

// outside says by how much p lies outside the vehicle. Without a wheelbase
// nothing is said.
func (r *reader) outside(p vehicle.Point) (string, bool) {
	if r.brief.Donor.Wheelbase <= 0 {
		return "", false
	}
	e := r.envelope()
	far := func(by unit.Length, word string) (string, bool) {
		return fmt.Sprintf("%.0f mm too far %s", by.Millimetres(), word), true
	}
	switch {
	case p.X < e.front-rounding:
		return far(e.front-p.X, "to the front")
	case p.X > e.rear+rounding:
		return far(p.X-e.rear, "to the rear")
	case p.Y > e.half+rounding:
		return far(p.Y-e.half, "to the left")
	case p.Y < -e.half-rounding:
		return far(-e.half-p.Y, "to the right")
	case p.Z < -rounding:
		return far(-p.Z, "down: it is below the ground")
	case p.Z > e.height+rounding:
		return far(p.Z-e.height, "up")
	}
	return "", false
}
