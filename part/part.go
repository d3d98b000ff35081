package part

import (
	"packyard/cell"
	"packyard/check"
	"packyard/unit"
)

// Bands are the three voltage bands of a high-voltage device, from the inside
// out: full function, reduced function, never exceed (even when off).
type Bands struct {
	FullMin, FullMax       unit.Voltage
	ReducedMin, ReducedMax unit.Voltage
	NeverExceed            unit.Voltage
}

// Curve is y over x, read linearly between the points; x strictly increasing.
type Curve struct{ X, Y []float64 } // SI; the field that holds it names the quantities

// Loss is the loss of a drive unit.
//
//	P_loss = k_c·T² + k_i·ω + k_w·ω³ + C   (T N·m, ω rad/s, at the motor shaft)
//
// or a grid over speed and torque, when Grid is not nil.
type Loss struct {
	KCopper      float64 // W/(N·m)²
	KIron        float64 // W·s/rad
	KWindage     float64 // W·s³/rad³
	Constant     unit.Power
	Grid         *LossGrid
	WithInverter bool // the figures hold the loss of the inverter or controller too
}

// LossGrid is loss in W over |speed| (rad/s) and |torque| (N·m), row by speed.
type LossGrid struct {
	Speed, Torque []float64   // rad/s, N·m, strictly increasing
	Loss          [][]float64 // W, Loss[i][j] at Speed[i], Torque[j]

	speedIndex, torqueIndex axisIndex // made by NewLossGrid; without them a cell is found by walking
}

// DriveUnit is a motor, with its reduction gear where it has one.
type DriveUnit struct {
	ID, Title        string
	TorquePeak       unit.Torque // at the motor shaft
	TorqueContinuous unit.Torque
	PowerPeak        unit.Power // at VoltageRef
	PowerContinuous  unit.Power
	PeakDuration     unit.Time
	VoltageRef       unit.Voltage // DC voltage of the power figures; power limit falls in proportion below it
	SpeedMax         unit.AngularSpeed
	Inertia          unit.Inertia
	Loss             Loss
	Ratio            float64    // built-in reduction, 1 if none; dimensionless
	RatioEfficiency  unit.Ratio // of the built-in reduction at load
	NoRegeneration   bool       // cannot brake electrically: series brushed motor
	Mass             unit.Mass
	Price            check.Price
	Facts            []cell.Fact
}

// Inverter stands between pack and motor.
type Inverter struct {
	ID, Title   string
	Bands       Bands
	CurrentMax  unit.Current // DC, peak
	Efficiency  unit.Ratio   // ignored where the drive unit's loss holds it
	Idle        unit.Power
	Capacitance unit.Capacitance
	Mass        unit.Mass
	Price       check.Price
	Facts       []cell.Fact
}

// Charger fills the pack from the wall: P_pack = e·P_wall − P_idle.
type Charger struct {
	ID, Title  string
	Bands      Bands
	StartMin   unit.Voltage // lowest pack voltage it can start from
	PowerMax   unit.Power   // at the pack
	CurrentMax unit.Current // DC
	Efficiency unit.Ratio   // e
	Idle       unit.Power   // P_idle
	Mass       unit.Mass
	Price      check.Price
	Facts      []cell.Fact

	Phases        int          // of the supply that it uses; 0: one
	SupplyCurrent unit.Current // highest in each phase; zero: as its power needs
}

// Converter is a DC-DC converter to the 12 V net: P_in = P_out/e + P_idle.
type Converter struct {
	ID, Title  string
	Bands      Bands
	PowerMax   unit.Power
	Efficiency unit.Ratio
	Idle       unit.Power
	Mass       unit.Mass
	Price      check.Price
	Facts      []cell.Fact
}

// Stage is one stage of the driveline between motor and wheel.
type Stage struct {
	Name       string
	Ratio      float64           // speed in over speed out; dimensionless
	Efficiency unit.Ratio        // at load, both directions
	TorqueMax  unit.Torque       // at its input; zero: not rated
	SpeedMax   unit.AngularSpeed // at its input; zero: not rated
}

// Load is a consumer of the 12 V net.
type Load struct {
	Name   string
	Power  unit.Power // while on, at 13.5 V
	Duty   unit.Ratio // share of the time
	Duties Curve      // ambient °C → share of the time, takes the place of Duty; empty: Duty holds
	Source string     // source key of the power
}

// Auxiliaries are everything but traction that the pack feeds.
type Auxiliaries struct {
	Loads    []Load     // 12 V net, through the converter
	Cabin    Curve      // ambient °C → W at the pack: heating or air-conditioning
	Room     Cabin      // what Cabin was made of; zero where it was measured or given as a curve
	Pumps    unit.Power // coolant pump and fan on the 12 V net
	Vacuum   unit.Power // mean of the brake vacuum pump
	Steering unit.Power // mean of steering assistance
	Measured unit.Power // at the pack, takes the place of all the others where above zero
	Sources  AuxiliarySources
}

// AuxiliarySources are the source keys of the single figures of Auxiliaries.
type AuxiliarySources struct{ Cabin, Pumps, Vacuum, Steering string }
