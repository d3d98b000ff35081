package bay

import (
	"packyard/cell"
	"packyard/unit"
	"packyard/vehicle"
)

// Vec is a point or an edge vector in the bay frame, which starts at the bay's
// corner nearest to the front, right and ground: x rearward, y to the left, z up
// before the bay is turned.
type Vec struct{ X, Y, Z unit.Length }

// Box is an upright box in the bay frame; At is its least corner.
type Box struct{ At, Size Vec }

// Side names the side a bay opens to.
type Side string

// Sides.
const (
	Top    Side = "top"
	Bottom Side = "bottom"
	Front  Side = "front"
	Rear   Side = "rear"
	Left   Side = "left"
	Right  Side = "right"
)

// Bay is a space for modules: a union of boxes minus keep-outs, turned as a
// whole about its corner, with what the battery box and its fittings take off.
type Bay struct {
	Name       string
	At         vehicle.Point // of the bay frame's origin
	Yaw, Pitch unit.Angle    // yaw about z, then pitch about y
	Boxes      []Box         // union; at least one
	KeepOuts   []Box
	Wall       unit.Length // wall and insulation of the battery box, every side
	Clearance  unit.Length // between wall and modules, every side
	Gap        unit.Length // between modules (cooling, swelling)
	Connector  unit.Length // cable-bend and connector room over each module's terminals (its own z)
	MassLimit  unit.Mass   // of modules and box; zero: none
	Opens      Side
	BoxMass    unit.Mass // of the battery box, empty; zero: estimated by the caller
}

// Kind is a kind of module to be placed.
type Kind struct {
	Name         string
	Size         cell.Size
	Mass         unit.Mass
	Orientations []cell.Orientation
	Count        int
}

// Placement is one module in its place: the least corner and the edge lengths
// in the bay frame, and how it stands.
type Placement struct {
	Kind        int // index into the kinds asked for
	Box         Box
	Orientation cell.Orientation
	Turned      bool // stack axis along bay y instead of x (for x-up: own y along bay y)
	Terminals   Side // the side of the bay that the terminals, the module's own z, face
}

// Verdict is the answer of the solver.
type Verdict string

// Verdicts.
const (
	Fits      Verdict = "fits"
	NotFit    Verdict = "proven not to fit"
	NotProven Verdict = "not proven"
)

// Answer is what Place found.
type Answer struct {
	Verdict    Verdict
	Placements []Placement // when it fits; in an order in which they pass the opening
	Reason     string      // of a proof: "volume", "search exhausted" …
	Nodes      int
}

// Options bounds the work of the solver. The zero value asks for the default
// budget of nodes and no clock, so that equal questions get equal answers on
// every machine.
type Options struct {
	// Nodes is the number of places that the exact search may decide, about 0.2 to
	// 1 µs each. 0: 1 000 000 for Place and Most, none for Frontier; negative: none,
	// bounds and quick ways only.
	Nodes int
	Time  unit.Time // wall time after which the search gives up; 0: no clock
}

// Pair is one point of the frontier of two kinds: with N1 of the first at most
// Bound of the second can be placed (proven), and N2 have been placed.
type Pair struct{ N1, N2, Bound int }
