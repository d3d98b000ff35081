package vehicle

import "packyard/unit"

// Point is a place in the vehicle frame: X rearward from the front axle line,
// Y to the left from the centre line, Z up from the ground.
type Point struct{ X, Y, Z unit.Length }

// Item is one line of the mass ledger.
type Item struct {
	Name string
	Mass unit.Mass // always positive; removed or added is said by the list it is in
	At   Point

	MassTol  unit.Mass       // spread of Mass: one standard deviation or the half width of a band; zero if none
	MassKind unit.SpreadKind // which of the two MassTol is
}

// LoadCase is one way of loading the vehicle; its items come on top of the curb state.
type LoadCase struct {
	Name  string
	Items []Item
}

// Ratings are the limits of the donor; zero means not given.
type Ratings struct {
	GrossMass           unit.Mass
	AxleFront           unit.Mass
	AxleRear            unit.Mass
	TyreFront, TyreRear unit.Mass // load index mass of one tyre
}

// Donor is the vehicle as it was weighed, with what leaves and what comes.
type Donor struct {
	Wheelbase, TrackFront, TrackRear unit.Length
	WeighedFront, WeighedRear        unit.Mass   // axle loads as weighed, before the conversion
	LeftShareFront, LeftShareRear    unit.Ratio  // share of an axle load on its left wheel; 0 means 0.5
	HeightCG                         unit.Length // of the weighed vehicle above ground
	Ratings                          Ratings
	WheelRateFront, WheelRateRear    unit.Stiffness // at one wheel; zero: ride height not computed
	Removed, Added                   []Item
	LoadCases                        []LoadCase
	TyreRadius                       unit.Length  // dynamic rolling radius
	Wheels                           int          // road wheels in all, for rotating mass
	WheelInertia                     unit.Inertia // of one wheel with tyre and brake disc

	// Spread of each weighed axle load, read as MassTol of Item.
	WeighedFrontTol, WeighedRearTol   unit.Mass
	WeighedFrontKind, WeighedRearKind unit.SpreadKind
}

// State is the mass state of a vehicle: total, centre of gravity and wheel loads.
type State struct {
	Name                            string
	Mass                            unit.Mass
	CG                              Point
	AxleFront, AxleRear             unit.Mass
	WheelFrontLeft, WheelFrontRight unit.Mass
	WheelRearLeft, WheelRearRight   unit.Mass

	// What the loads refer to, taken over from the donor.
	Wheelbase, TrackFront, TrackRear unit.Length

	Band      Loads // half width of the hard bands, added up
	Deviation Loads // one standard deviation, root of the sum of squares
}

// Loads is one mass figure for the vehicle, its axles and its wheels.
type Loads struct {
	Mass                            unit.Mass
	AxleFront, AxleRear             unit.Mass
	WheelFrontLeft, WheelFrontRight unit.Mass
	WheelRearLeft, WheelRearRight   unit.Mass
}

// RoadLoad is the resistance of the vehicle on the level as a function of
// speed, in the two forms the trade uses.
type RoadLoad struct {
	// Cd·A form, used when Coast is nil.
	DragArea unit.Area  // Cd·A
	Rolling  unit.Ratio // Crr
	// Coast-down form F = A·(m/m_ref) + B·v + C·(ρ/ρ_ref)·v².
	Coast *CoastDown
}

// CoastDown holds the coefficients of a coast-down with their reference.
type CoastDown struct {
	A          unit.Force
	B          unit.Damping
	C          unit.AeroDrag
	MassRef    unit.Mass
	DensityRef unit.Density
	HoldsDrag  bool // the figure holds driveline drag that the conversion may remove
}

// Air is the state of the air on the road.
type Air struct {
	Temperature unit.Temperature
	Altitude    unit.Length
	Headwind    unit.Speed // positive against the vehicle
}
