package part

import (
	"packyard/cell"
	"packyard/check"
	"packyard/unit"
)

// Sheet is a file of parts as the builder or the built-in catalogue writes it.
type Sheet struct {
	DriveUnits []DriveUnitSheet `sheet:"drive_units" doc:"motors, with their reduction gear where they have one"`
	Inverters  []InverterSheet  `sheet:"inverters" doc:"inverters and motor controllers"`
	Chargers   []ChargerSheet   `sheet:"chargers" doc:"on-board chargers"`
	Converters []ConverterSheet `sheet:"converters" doc:"converters to the 12 V net"`
	StageKinds []StageKindSheet `sheet:"stages" doc:"kinds of gear and shaft with their efficiency"`

	Fuses       []FuseSheet             `sheet:"fuses" doc:"fuse-links for direct current"`
	Contactors  []ContactorSheet        `sheet:"contactors" doc:"contactors for direct current"`
	Cables      []CableSizeSheet        `sheet:"cables" doc:"sections of cable"`
	Disconnects []DisconnectSheet       `sheet:"disconnects" doc:"service disconnects"`
	Monitors    []IsolationMonitorSheet `sheet:"isolation_monitors" doc:"isolation monitors"`
	Resistors   []PulseResistorSheet    `sheet:"precharge_resistors" doc:"resistors for precharging"`
}

// DriveUnitSheet is a drive unit as written.
type DriveUnitSheet struct {
	Pos              check.Pos                      `sheet:",pos"`
	ID               check.Text                     `sheet:"id,required" doc:"name by which projects refer to it"`
	Title            check.Text                     `sheet:"title,required" doc:"what it is, in words"`
	TorquePeak       check.Given[unit.Torque]       `sheet:"torque_peak,required" range:">0 N·m..20 kN·m" doc:"highest torque at the motor shaft"`
	TorqueContinuous check.Given[unit.Torque]       `sheet:"torque_continuous,required" range:">0 N·m..20 kN·m" doc:"torque that may be held without end"`
	PowerPeak        check.Given[unit.Power]        `sheet:"power_peak,required" range:">0 W..2 MW" doc:"highest shaft power at voltage_ref"`
	PowerContinuous  check.Given[unit.Power]        `sheet:"power_continuous,required" range:">0 W..2 MW" doc:"shaft power that may be held without end"`
	PeakDuration     check.Given[unit.Time]         `sheet:"peak_duration,required" range:"1 s..1 h" doc:"how long the peak figures hold"`
	VoltageRef       check.Given[unit.Voltage]      `sheet:"voltage_ref,required" range:"12 V..1000 V" doc:"DC voltage of the power figures"`
	SpeedMax         check.Given[unit.AngularSpeed] `sheet:"speed_max,required" range:">0 rpm..60000 rpm" doc:"highest speed of the motor shaft"`
	Inertia          check.Given[unit.Inertia]      `sheet:"inertia" range:"0 kg·m²..10 kg·m²" doc:"moment of inertia of the rotor; zero if not given"`
	Loss             *LossSheet                     `sheet:"loss,required" doc:"loss of the motor"`
	Ratio            check.Given[unit.Ratio]        `sheet:"ratio" range:"0.1..50" doc:"built-in reduction, motor speed over output speed; 1 if not given"`
	RatioEfficiency  check.Given[unit.Ratio]        `sheet:"ratio_efficiency" range:">0..1" doc:"efficiency of the built-in reduction at load"`
	Regenerates      check.Flag                     `sheet:"regenerates" doc:"whether it can brake electrically; yes if not given"`
	Mass             check.Given[unit.Mass]         `sheet:"mass,required" range:">0 kg..2 t" doc:"mass, reduction included"`
	Price            check.Price                    `sheet:"price" doc:"price of one"`
	Facts            []cell.FactSheet               `sheet:"facts" doc:"where the figures come from"`
}

// LossSheet is a loss as written: the textbook constants, or a grid, or the
// loss of another unit carried to this torque.
type LossSheet struct {
	Pos          check.Pos                      `sheet:",pos"`
	Copper       CopperConstant                 `sheet:"copper" doc:"k_c of k_c·T², in W/(N·m)²"`
	Iron         IronConstant                   `sheet:"iron" doc:"k_i of k_i·ω, in W·s/rad"`
	Windage      WindageConstant                `sheet:"windage" doc:"k_w of k_w·ω³, in W·s³/rad³"`
	Constant     check.Given[unit.Power]        `sheet:"constant" range:"0 W..20 kW" doc:"loss at rest"`
	Grid         *LossGridSheet                 `sheet:"grid" doc:"loss over speed and torque"`
	Like         check.Text                     `sheet:"like" doc:"id of the unit whose loss is carried to the peak torque of this one"`
	LikeSpeed    check.Given[unit.AngularSpeed] `sheet:"like_speed" range:">0 rpm..60000 rpm" doc:"with like: speed of this unit that answers to the highest speed of the other; the speeds themselves if not given"`
	WithInverter check.Flag                     `sheet:"with_inverter" doc:"whether the figures hold the loss of inverter or controller too; with like as there if not given"`
}

// LossGridSheet is a loss grid as written, one row of losses for each speed.
type LossGridSheet struct {
	Pos    check.Pos                        `sheet:",pos"`
	Speed  []check.Given[unit.AngularSpeed] `sheet:"speeds,required" range:"0 rpm..60000 rpm" doc:"rising from zero to speed_max or more"`
	Torque []check.Given[unit.Torque]       `sheet:"torques,required" range:"0 N·m..20 kN·m" doc:"rising from zero to torque_peak or more"`
	Loss   [][]check.Given[unit.Power]      `sheet:"losses,required" range:"0 W..500 kW" doc:"one row for each speed, one loss for each torque"`
}

// BandsSheet are the three voltage bands as written.
type BandsSheet struct {
	Pos         check.Pos                 `sheet:",pos"`
	FullMin     check.Given[unit.Voltage] `sheet:"full_min,required" range:"0 V..1500 V" doc:"lowest voltage of full function"`
	FullMax     check.Given[unit.Voltage] `sheet:"full_max,required" range:">0 V..1500 V" doc:"highest voltage of full function"`
	ReducedMin  check.Given[unit.Voltage] `sheet:"reduced_min" range:"0 V..1500 V" doc:"lowest voltage of reduced function; full_min if not given"`
	ReducedMax  check.Given[unit.Voltage] `sheet:"reduced_max" range:">0 V..1500 V" doc:"highest voltage of reduced function; full_max if not given"`
	NeverExceed check.Given[unit.Voltage] `sheet:"never_exceed" range:">0 V..2000 V" doc:"voltage that it must never see, even when off; reduced_max if not given"`
}

// InverterSheet is an inverter as written.
type InverterSheet struct {
	Pos         check.Pos                     `sheet:",pos"`
	ID          check.Text                    `sheet:"id,required" doc:"name by which projects refer to it"`
	Title       check.Text                    `sheet:"title,required" doc:"what it is, in words"`
	Bands       *BandsSheet                   `sheet:"bands,required" doc:"voltage bands at the DC terminals"`
	CurrentMax  check.Given[unit.Current]     `sheet:"current_max,required" range:">0 A..5 kA" doc:"highest DC current"`
	Efficiency  check.Given[unit.Ratio]       `sheet:"efficiency,required" range:">0..1" doc:"mean over a drive cycle; not used where the loss of the unit holds it"`
	Idle        check.Given[unit.Power]       `sheet:"idle" range:"0 W..2 kW" doc:"power drawn when ready; zero if not given"`
	Capacitance check.Given[unit.Capacitance] `sheet:"capacitance" range:"0 F..1 F" doc:"of the DC link"`
	Mass        check.Given[unit.Mass]        `sheet:"mass,required" range:">0 kg..500 kg" doc:"mass"`
	Price       check.Price                   `sheet:"price" doc:"price of one"`
	Facts       []cell.FactSheet              `sheet:"facts" doc:"where the figures come from"`
}

// ChargerSheet is a charger as written.
type ChargerSheet struct {
	Pos        check.Pos                 `sheet:",pos"`
	ID         check.Text                `sheet:"id,required" doc:"name by which projects refer to it"`
	Title      check.Text                `sheet:"title,required" doc:"what it is, in words"`
	Bands      *BandsSheet               `sheet:"bands,required" doc:"voltage bands at the pack"`
	StartMin   check.Given[unit.Voltage] `sheet:"start_min" range:"0 V..1500 V" doc:"lowest pack voltage it starts from; reduced_min if not given"`
	PowerMax   check.Given[unit.Power]   `sheet:"power_max,required" range:">0 W..400 kW" doc:"highest power into the pack"`
	CurrentMax check.Given[unit.Current] `sheet:"current_max,required" range:">0 A..1 kA" doc:"highest DC current"`
	Efficiency check.Given[unit.Ratio]   `sheet:"efficiency,required" range:">0..1" doc:"e of P_pack = e·P_wall − P_idle"`
	Idle       check.Given[unit.Power]   `sheet:"idle" range:"0 W..2 kW" doc:"P_idle of P_pack = e·P_wall − P_idle; zero if not given"`
	Phases     check.Count               `sheet:"phases" range:"1..3" doc:"phases of the supply that it uses; 1 if not given"`
	Supply     check.Given[unit.Current] `sheet:"supply_current" range:">0 A..200 A" doc:"highest current from the supply in each phase; as the power needs if not given"`
	Mass       check.Given[unit.Mass]    `sheet:"mass,required" range:">0 kg..500 kg" doc:"mass"`
	Price      check.Price               `sheet:"price" doc:"price of one"`
	Facts      []cell.FactSheet          `sheet:"facts" doc:"where the figures come from"`
}

// ConverterSheet is a 12 V converter as written.
type ConverterSheet struct {
	Pos        check.Pos               `sheet:",pos"`
	ID         check.Text              `sheet:"id,required" doc:"name by which projects refer to it"`
	Title      check.Text              `sheet:"title,required" doc:"what it is, in words"`
	Bands      *BandsSheet             `sheet:"bands,required" doc:"voltage bands at the pack"`
	PowerMax   check.Given[unit.Power] `sheet:"power_max,required" range:">0 W..20 kW" doc:"highest power out"`
	Efficiency check.Given[unit.Ratio] `sheet:"efficiency,required" range:">0..1" doc:"e of P_in = P_out/e + P_idle"`
	Idle       check.Given[unit.Power] `sheet:"idle" range:"0 W..500 W" doc:"P_idle of P_in = P_out/e + P_idle; zero if not given"`
	Mass       check.Given[unit.Mass]  `sheet:"mass,required" range:">0 kg..100 kg" doc:"mass"`
	Price      check.Price             `sheet:"price" doc:"price of one"`
	Facts      []cell.FactSheet        `sheet:"facts" doc:"where the figures come from"`
}

// StageKindSheet is a kind of stage as written.
type StageKindSheet struct {
	Pos            check.Pos               `sheet:",pos"`
	ID             check.Text              `sheet:"id,required" doc:"name by which projects refer to it"`
	Title          check.Text              `sheet:"title,required" doc:"what it is, in words"`
	EfficiencyLow  check.Given[unit.Ratio] `sheet:"efficiency_low,required" range:">0..1" doc:"lower end of the published range"`
	EfficiencyHigh check.Given[unit.Ratio] `sheet:"efficiency_high,required" range:">0..1" doc:"upper end of the published range"`
	Facts          []cell.FactSheet        `sheet:"facts" doc:"where the figures come from"`
}

// StageSheet is one kept stage of the donor's driveline as a project writes it.
type StageSheet struct {
	Pos        check.Pos                      `sheet:",pos"`
	Name       check.Text                     `sheet:"name,required" doc:"what it is: gearbox in third, shaft, final drive"`
	Kind       check.Text                     `sheet:"kind" doc:"kind of stage from the catalogue, gives the efficiency"`
	Ratio      check.Given[unit.Ratio]        `sheet:"ratio" range:"0.1..50" doc:"speed in over speed out; 1 if not given"`
	Efficiency check.Given[unit.Ratio]        `sheet:"efficiency" range:">0..1" doc:"at load; the middle of the kind's range if not given"`
	TorqueMax  check.Given[unit.Torque]       `sheet:"torque_max" range:">0 N·m..50 kN·m" doc:"rating at its input"`
	SpeedMax   check.Given[unit.AngularSpeed] `sheet:"speed_max" range:">0 rpm..60000 rpm" doc:"rating at its input"`
}
