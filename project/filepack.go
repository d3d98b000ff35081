package project

import (
	"packyard/check"
	"packyard/unit"
)

// BoxFile is an upright box in the frame of its bay.
type BoxFile struct {
	Pos  check.Pos                   `sheet:",pos"`
	At   [3]check.Given[unit.Length] `sheet:"at,required" range:"-4 m..4 m" doc:"corner nearest to the front, right and ground, from the corner of the bay"`
	Size [3]check.Given[unit.Length] `sheet:"size,required" range:">0 m..4 m" doc:"length rearward, width to the left, height"`
}

// BayFile is a space for modules as written.
type BayFile struct {
	Pos       check.Pos                   `sheet:",pos"`
	Name      check.Text                  `sheet:"name,required" doc:"what the workshop calls it"`
	At        Place                       `sheet:"at,required" range:"-3 m..12 m" doc:"corner nearest to the front, right and ground: rearward from the front axle line, left of the centre line, up from the ground"`
	Size      [3]check.Given[unit.Length] `sheet:"size" range:">0 m..4 m" doc:"length rearward, width to the left, height, of a bay that is one box"`
	Boxes     []BoxFile                   `sheet:"boxes" doc:"boxes that make the bay together, in place of size"`
	KeepOut   []BoxFile                   `sheet:"keep_out" doc:"what must stay free inside"`
	Yaw       check.Given[unit.Angle]     `sheet:"yaw" range:"-180 °..180 °" doc:"the bay turned about the vertical through its corner; positive turns its rear end to the left"`
	Pitch     check.Given[unit.Angle]     `sheet:"pitch" range:"-90 °..90 °" doc:"the bay tilted about its own left-right edge; positive turns its rear end down"`
	Wall      check.Given[unit.Length]    `sheet:"wall" range:"0 mm..100 mm" doc:"wall and insulation of the battery box, every side"`
	Clearance check.Given[unit.Length]    `sheet:"clearance" range:"0 mm..100 mm" doc:"between wall and modules, every side"`
	Gap       check.Given[unit.Length]    `sheet:"gap" range:"0 mm..100 mm" doc:"between modules, for cooling and swelling"`
	Connector check.Given[unit.Length]    `sheet:"connector" range:"0 mm..200 mm" doc:"room over the terminals of each module for cables"`
	MassLimit check.Given[unit.Mass]      `sheet:"mass_limit" range:">0 kg..5 t" doc:"of modules and box together"`
	BoxMass   check.Given[unit.Mass]      `sheet:"box_mass" range:">0 kg..1 t" doc:"of the empty battery box; from its walls if not given"`
	Opens     check.Text                  `sheet:"opens" oneof:"top,bottom,front,rear,left,right" doc:"side through which modules go in; top if not given"`
}

// BuildFile is what a pack needs besides cells and module hardware.
type BuildFile struct {
	Cooling         check.Given[unit.Ratio]      `sheet:"cooling_share" range:"0 %..100 %" doc:"mass of plates, hoses and coolant over the mass of the cells"`
	Fixed           check.Given[unit.Mass]       `sheet:"fixed_mass" range:"0 kg..500 kg" doc:"contactors, fuses, disconnect, monitor and cable of the whole pack"`
	PerString       check.Given[unit.Mass]       `sheet:"mass_per_string" range:"0 kg..100 kg" doc:"contactors, fuse and monitoring of each further string"`
	BoxSheet        check.Given[unit.Length]     `sheet:"box_sheet" range:"0.5 mm..20 mm" doc:"wall of battery boxes without a stated mass"`
	BoxDensity      check.Given[unit.Density]    `sheet:"box_density" range:"500 kg/m³..9000 kg/m³" doc:"of that wall"`
	CableResistance check.Given[unit.Resistance] `sheet:"cable_resistance" range:"0 mΩ..100 mΩ" doc:"pack cables, fuses and contactors of one string"`
	FixedPrice      check.Price                  `sheet:"fixed_price" doc:"enclosure parts, contactors and consumables of the whole pack"`
	PricePerString  check.Price                  `sheet:"price_per_string" doc:"of each further string"`
	PricePerBay     check.Price                  `sheet:"price_per_bay" doc:"of each bay used: its box"`
	Hours           check.Given[unit.Time]       `sheet:"hours" range:"0 h..2000 h" doc:"work on the whole pack besides modules"`
	HourRate        check.Price                  `sheet:"hour_rate" doc:"price of an hour of work; own work is not counted if not given"`
}

// SourceFile is one lot of cells or modules as written.
type SourceFile struct {
	Pos      check.Pos               `sheet:",pos"`
	Name     check.Text              `sheet:"name,required" doc:"short name without blanks; the options are named after it"`
	Kind     check.Text              `sheet:"kind,required" oneof:"cells,module,openable module" doc:"loose cells, closed modules, or modules that are opened and regrouped"`
	Part     check.Text              `sheet:"part,required" doc:"cell or module, from the catalogue or from parts/"`
	Hardware check.Text              `sheet:"hardware" doc:"what turns cells or slices into modules, in place of that of the part"`
	Count    check.Count             `sheet:"count,required" range:"1..100000" doc:"pieces to be had"`
	Spare    check.Count             `sheet:"spare" range:"0..100000" doc:"pieces to be kept back"`
	Price    check.Price             `sheet:"price" doc:"of one piece, in place of that of the part"`
	Health   check.Given[unit.Ratio] `sheet:"state_of_health" range:"20 %..110 %" doc:"capacity as bought over rated capacity"`
	Growth   check.Given[unit.Ratio] `sheet:"resistance_growth" range:"0.8..5" doc:"resistance as bought over that of a new one"`
}

// EndFile is the planned end of life.
type EndFile struct {
	Capacity check.Given[unit.Ratio] `sheet:"capacity_share" range:"20 %..100 %" doc:"capacity left, over rated capacity"`
	Growth   check.Given[unit.Ratio] `sheet:"resistance_growth" range:"1..5" doc:"resistance over that of a new cell"`
}

// TargetsFile is what the builder wants.
type TargetsFile struct {
	Pos        check.Pos                     `sheet:",pos"`
	Schedule   check.Text                    `sheet:"schedule,required" doc:"built-in schedule, such as wltc-class3b, a constant speed, such as constant 60 km/h, or a file, such as routes/hill.gpx"`
	Cruise     check.Given[unit.Speed]       `sheet:"cruise" range:"5 km/h..200 km/h" doc:"speed on a track without times"`
	Range      check.Given[unit.Length]      `sheet:"range" range:"1 km..2000 km" doc:"wanted on the schedule, as bought; as far as it goes if not given"`
	RangeEnd   check.Given[unit.Length]      `sheet:"range_at_end_of_life" range:"1 km..2000 km" doc:"wanted on the schedule at the planned end of life"`
	TopSpeed   check.Given[unit.Speed]       `sheet:"top_speed" range:"5 km/h..250 km/h" doc:"as the schedule needs if not given"`
	Grade      check.Given[unit.Slope]       `sheet:"grade" range:"0 %..60 %" doc:"to be held at grade_speed"`
	GradeSpeed check.Given[unit.Speed]       `sheet:"grade_speed" range:"1 km/h..150 km/h" doc:"with grade"`
	PriceLimit check.Price                   `sheet:"price_limit" doc:"of the whole pack"`
	MassLimit  check.Given[unit.Mass]        `sheet:"mass_limit" range:">0 kg..5 t" doc:"of the whole pack; only the ratings hold if not given"`
	ChargeTime check.Given[unit.Time]        `sheet:"charge_time" range:"5 min..7 d" doc:"of a full charge"`
	Coldest    check.Given[unit.Temperature] `sheet:"coldest_day" range:"-40 °C..40 °C" doc:"coldest day to be driven on"`
	Hottest    check.Given[unit.Temperature] `sheet:"hottest_day" range:"0 °C..55 °C" doc:"hottest day to be driven on"`
	Handling   check.Given[unit.Voltage]     `sheet:"handling_voltage" range:">0 V..1500 V" doc:"hard limit of the voltage of a module; otherwise a safety finding only"`
	Channels   check.Count                   `sheet:"monitor_channels" range:"1..100" doc:"cells that one monitor board watches; not looked at if not given"`
	EndOfLife  EndFile                       `sheet:"end_of_life" doc:"planned end of the pack's life"`
	StringsMax check.Count                   `sheet:"strings_max" range:"1..8" doc:"largest number of strings in parallel"`
}

// ChooseFile says how options are ranked.
type ChooseFile struct {
	RankBy check.Text `sheet:"rank_by" oneof:"range,mass,price,margin" doc:"range if not given"`
	Option check.Text `sheet:"option" doc:"name of the option that is built"`
}
