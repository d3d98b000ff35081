package project

import (
	"packyard/check"
	"packyard/unit"
)

// Version is the version of the file format that this program writes and the
// highest that it reads.
const Version = 1

// File is packyard.yaml as written. Its tags are the reference of the format;
// Schema prints them.
type File struct {
	Version  check.Count  `sheet:"packyard,required" doc:"version of the file format, 1"`
	Title    check.Text   `sheet:"title,required" doc:"name of the project"`
	Invented check.Flag   `sheet:"invented" doc:"demonstration figures, no real vehicle; every output says so"`
	Currency check.Text   `sheet:"currency,required" doc:"currency of all prices, three letters of ISO 4217"`
	Donor    DonorFile    `sheet:"donor,required" doc:"the vehicle as it was weighed, what leaves it and what comes"`
	Road     RoadFile     `sheet:"road,required" doc:"what the vehicle rolls on and through"`
	Drive    DriveFile    `sheet:"drive,required" doc:"the new drivetrain"`
	Bays     []BayFile    `sheet:"bays,required" doc:"spaces for modules"`
	Build    BuildFile    `sheet:"build" doc:"what a pack needs besides cells and module hardware"`
	Cooling  *CoolingFile `sheet:"cooling" doc:"how the pack is kept at temperature; passive if not given"`
	Circuit  *CircuitFile `sheet:"circuit" doc:"the high-voltage circuit: what is stated and what is left to packyard"`
	Sources  []SourceFile `sheet:"sources,required" doc:"lots of cells or modules that can be had"`
	Targets  TargetsFile  `sheet:"targets,required" doc:"what the vehicle is to do, and the limits of money and days"`
	Choose   ChooseFile   `sheet:"choose" doc:"how options are ranked, and the one that is built"`

	Acknowledged []AcknowledgedFile `sheet:"acknowledged" doc:"safety findings that a person knows and bears, by name; they stay in every list"`
}

// Place is a point in the vehicle: rearward from the front axle line, left of
// the centre line, up from the ground.
type Place [3]check.Given[unit.Length]

// FrontRear is one length for each axle.
type FrontRear struct {
	Pos   check.Pos                `sheet:",pos"`
	Front check.Given[unit.Length] `sheet:"front,required" range:"0.6 m..2.6 m" doc:"at the front axle, between the middles of the tyres"`
	Rear  check.Given[unit.Length] `sheet:"rear" range:"0.6 m..2.6 m" doc:"at the rear axle; as in front if not given"`
}

// DonorFile is the donor as written.
type DonorFile struct {
	Pos       check.Pos                `sheet:",pos"`
	Wheelbase check.Given[unit.Length] `sheet:"wheelbase,required" range:"1.2 m..7 m" doc:"distance between the axle lines"`
	Track     FrontRear                `sheet:"track,required" doc:"distance between the wheels of an axle"`
	Tyre      TyreFile                 `sheet:"tyre,required" doc:"tyres and wheels"`
	Weighed   WeighedFile              `sheet:"weighed,required" doc:"loads on the scale before the conversion, as masses"`
	HeightCG  check.Given[unit.Length] `sheet:"centre_of_gravity_height" range:"0.2 m..2 m" doc:"of the weighed vehicle above the ground"`
	Outline   *OutlineFile             `sheet:"outline" doc:"overall size; bays must lie within it"`
	Ratings   RatingsFile              `sheet:"ratings" doc:"what the vehicle may weigh"`
	WheelRate WheelRateFile            `sheet:"wheel_rate" doc:"spring rate at one wheel; without it ride height is not computed"`
	Removed   []ItemFile               `sheet:"removed" doc:"what leaves the vehicle"`
	Added     []ItemFile               `sheet:"added" doc:"what comes into it, without the pack"`
	LoadCases []LoadCaseFile           `sheet:"load_cases" doc:"ways of loading it, each on top of the finished vehicle without people and goods"`
}

// TyreFile is tyres and wheels as written.
type TyreFile struct {
	Pos     check.Pos                 `sheet:",pos"`
	Radius  check.Given[unit.Length]  `sheet:"radius" range:"0.15 m..0.6 m" doc:"rolling radius: distance of one turn over 2 pi"`
	Size    check.Text                `sheet:"size" doc:"size on the sidewall, such as 185/65 R15, in place of the radius"`
	Wheels  check.Count               `sheet:"wheels" range:"3..10" doc:"road wheels in all; 4 if not given"`
	Inertia check.Given[unit.Inertia] `sheet:"inertia" range:"0.05 kg·m²..50 kg·m²" doc:"of one wheel with tyre and brake disc"`
}

// WeighedFile is what the scale showed.
type WeighedFile struct {
	Pos        check.Pos               `sheet:",pos"`
	Front      check.Given[unit.Mass]  `sheet:"front" range:">0 kg..10 t" doc:"front axle"`
	Rear       check.Given[unit.Mass]  `sheet:"rear" range:">0 kg..10 t" doc:"rear axle"`
	FrontLeft  check.Given[unit.Mass]  `sheet:"front_left" range:">0 kg..5 t" doc:"front left wheel, in place of the axles if all four are given"`
	FrontRight check.Given[unit.Mass]  `sheet:"front_right" range:">0 kg..5 t" doc:"front right wheel"`
	RearLeft   check.Given[unit.Mass]  `sheet:"rear_left" range:">0 kg..5 t" doc:"rear left wheel"`
	RearRight  check.Given[unit.Mass]  `sheet:"rear_right" range:">0 kg..5 t" doc:"rear right wheel"`
	Total      check.Given[unit.Mass]  `sheet:"total" range:">0 kg..20 t" doc:"whole vehicle, compared with the sum"`
	ShareFront check.Given[unit.Ratio] `sheet:"left_share_front" range:"30 %..70 %" doc:"share of the front axle load on its left wheel"`
	ShareRear  check.Given[unit.Ratio] `sheet:"left_share_rear" range:"30 %..70 %" doc:"share of the rear axle load on its left wheel"`
}

// OutlineFile is the overall size of the donor.
type OutlineFile struct {
	Pos    check.Pos                `sheet:",pos"`
	Front  check.Given[unit.Length] `sheet:"front,required" range:"0 m..3 m" doc:"front overhang: bumper to front axle line"`
	Rear   check.Given[unit.Length] `sheet:"rear,required" range:"0 m..4 m" doc:"rear overhang: rear axle line to the rear end"`
	Width  check.Given[unit.Length] `sheet:"width,required" range:"0.8 m..2.6 m" doc:"without mirrors"`
	Height check.Given[unit.Length] `sheet:"height,required" range:"0.8 m..4 m" doc:"above the ground"`
}

// RatingsFile is what the vehicle may weigh.
type RatingsFile struct {
	Gross     check.Given[unit.Mass] `sheet:"gross" range:">0 kg..20 t" doc:"gross vehicle mass"`
	Front     check.Given[unit.Mass] `sheet:"front_axle" range:">0 kg..10 t" doc:"front axle rating"`
	Rear      check.Given[unit.Mass] `sheet:"rear_axle" range:">0 kg..10 t" doc:"rear axle rating"`
	TyreFront check.Given[unit.Mass] `sheet:"front_tyre" range:">0 kg..5 t" doc:"load index mass of one front tyre"`
	TyreRear  check.Given[unit.Mass] `sheet:"rear_tyre" range:">0 kg..5 t" doc:"load index mass of one rear tyre"`
}

// WheelRateFile is the spring rate at one wheel of each axle.
type WheelRateFile struct {
	Front check.Given[unit.Stiffness] `sheet:"front" range:"5 N/mm..500 N/mm" doc:"at one front wheel"`
	Rear  check.Given[unit.Stiffness] `sheet:"rear" range:"5 N/mm..500 N/mm" doc:"at one rear wheel"`
}

// ItemFile is one line of the mass ledger as written.
type ItemFile struct {
	Pos  check.Pos              `sheet:",pos"`
	Name check.Text             `sheet:"name,required" doc:"what it is"`
	Mass check.Given[unit.Mass] `sheet:"mass,required" range:">0 kg..10 t" doc:"always positive; the list says whether it leaves or comes"`
	At   Place                  `sheet:"at,required" range:"-3 m..12 m" doc:"its centre of gravity: rearward from the front axle line, left of the centre line, up from the ground"`
}

// LoadCaseFile is one way of loading the vehicle.
type LoadCaseFile struct {
	Pos   check.Pos  `sheet:",pos"`
	Name  check.Text `sheet:"name,required" doc:"what it is"`
	Items []ItemFile `sheet:"items,required" doc:"people and goods"`
}
