package drive

import (
	"packyard/part"
	"packyard/unit"
)

// Fidelity of the pack model of Range: every cell alike. FidelityGroups is that
// of RangeGroups.
const Fidelity = "lumped"

// How far and how long a vehicle may be below its schedule before a run breaks
// off. Source: un-gtr-15 (from memory).
const (
	KeepUp    = 2 * unit.KilometrePerHour
	KeepUpFor = 4 * unit.Second
)

// kmh is one kilometre per hour in m/s.
const kmh = 1 / 3.6

// End is why a run ended.
type End string

// Ends of a run.
const (
	EndFloor  End = "charge floor"     // SoCMin
	EndBehind End = "behind schedule"  // more than KeepUp slower for KeepUpFor in a row
	EndPower  End = "no power"         // the pack cannot even feed the auxiliaries
	EndCycles End = "schedules driven" // as many as were asked for
	endNot    End = ""                 // still running
)

// Limiter is what held the vehicle back.
type Limiter string

// Limiters.
const (
	LimitNone    Limiter = ""
	LimitVoltage Limiter = "lowest voltage of the cells"
	LimitCurrent Limiter = "current of the cells or inverter"
	LimitPower   Limiter = "power of the pack"
	LimitMotor   Limiter = "motor at this voltage, gears or grip"

	// Only in the fidelity "per group".
	LimitTemperature Limiter = "temperature of the cells"
	LimitVoltageMax  Limiter = "highest voltage of the cells"
	LimitEmpty       Limiter = "charge floor of a group"
	LimitFull        Limiter = "full group"
	LimitMotorTime   Limiter = "continuous rating of the motor" // only in Pace
)

// Limited counts the steps in which something held the vehicle or its
// regeneration back.
type Limited struct {
	Voltage, Current, Power, Motor int // driving
	ChargeVoltage, ChargeCurrent   int // regeneration, the friction brakes took the rest
	ChargeFull                     int // regeneration into a full pack

	Temperature, ChargeTemperature int // current lowered by the temperature of a group; only in the fidelity "per group"
}

// Drive returns the steps in which the vehicle was held back while driving.
func (l Limited) Drive() int { return l.Voltage + l.Current + l.Power + l.Motor + l.Temperature }

// driving counts a step in which the vehicle was held back.
func (l *Limited) driving(by Limiter) {
	switch by {
	case LimitVoltage:
		l.Voltage++
	case LimitCurrent:
		l.Current++
	case LimitPower:
		l.Power++
	case LimitMotor, LimitMotorTime:
		l.Motor++
	case LimitTemperature:
		l.Temperature++
	}
}

// charging counts a step in which regeneration was held back.
func (l *Limited) charging(by Limiter) {
	switch by {
	case LimitVoltageMax:
		l.ChargeVoltage++
	case LimitFull:
		l.ChargeFull++
	case LimitTemperature:
		l.ChargeTemperature++
	default:
		l.ChargeCurrent++
	}
}

// Energies are the totals of a run.
type Energies struct {
	Traction  unit.Energy // positive work of the wheels
	Braking   unit.Energy // work of braking
	Recovered unit.Energy // the part of it that the motor took, at the wheels
	Wheels    unit.Energy // Traction − Recovered
	Motor     unit.Energy // at the motor shaft, net
	Terminals unit.Energy // at the terminals of the pack, net: the usable energy when the run ended empty
	Chemical  unit.Energy // ∫ OCV dq
	Wall      unit.Energy // to fill the pack again; zero without a charger
}

// Consumption is energy per distance.
type Consumption struct {
	Wheels, Motor, Terminals, Wall unit.Consumption
}

// Result is the outcome of a run.
type Result struct {
	Fidelity    string // named fidelity of the pack model
	Distance    unit.Length
	Duration    unit.Time
	Cycles      float64 // schedules driven, with the share of the last; dimensionless
	End         End
	EndedBy     Limiter // what held the vehicle back when it ended
	Capped      Capped  // the schedule was lowered to what the full vehicle can do
	Energy      Energies
	Consumption Consumption
	SoCEnd      unit.Ratio

	VoltageMin, VoltageMax unit.Voltage // at the terminals, at step ends
	CurrentPeak            unit.Current // of one step, discharge
	CurrentPeak10s         unit.Current // highest mean over ten seconds, discharge
	CurrentRMS             unit.Current // over the run, both directions
	CurrentChargePeak      unit.Current // of one step, positive
	CurrentChargePeak10s   unit.Current // highest mean over ten seconds, positive
	CurrentContinuous      unit.Current // allowed for ever at this temperature, discharge; compare with CurrentRMS

	Temperature  unit.Temperature    // of the cells at the start; per group, of the coldest
	Temperatures [2]unit.Temperature // between which the cells may be discharged; zero: not stated

	Limited Limited
	Behind  int // steps in which the speed was below the schedule
}

// Options are the choices of a run; the zero value is the default.
type Options struct {
	SoCStart  unit.Ratio    // zero: the pack's SoCMax
	Cycles    int           // schedules to drive; zero: until it ends
	Charger   *part.Charger // nil: no wall figures
	WallPower unit.Power    // drawn from the wall while charging; zero: the charger's largest
	NoCap     bool          // a vehicle that cannot follow when full ends its run there, instead of having the schedule capped
	CapCharge unit.Ratio    // charge down to which the capped schedule shall be followed; zero: full only
	Warm      *Lumped       // the warm cell, for deciding what the full, warm vehicle can follow; nil: the cell of the run
	Trace     *Trace        // filled when not nil
	Balance   *Balance      // filled when not nil
}

func (a sums) consumption() Consumption {
	if !(a.distance > 0) {
		return Consumption{}
	}
	return Consumption{
		Wheels:    unit.Consumption((a.traction - a.recovered) / a.distance),
		Motor:     unit.Consumption(a.shaft / a.distance),
		Terminals: unit.Consumption(a.terminals / a.distance),
	}
}
