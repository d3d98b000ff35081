package design

import (
	"packyard/check"
	"packyard/drive"
	"packyard/unit"
)

// Warming is one duty of an option, for its temperatures.
type Warming struct {
	Name   string           // of the duty, as it was asked for; empty: made of its figures
	Duty   drive.Duty       // of a schedule: with the schedule, or the wanted one
	End    bool             // at the planned end of life
	Air    unit.Temperature // outside; zero: the hottest day, of a soak the coldest
	Start  unit.Temperature // of the whole pack; zero: Air, of a soak 20 °C
	Charge unit.Ratio       // at the start; zero: full, of a charge nearly empty
	Rows   int              // of the trace at most; zero: 600
	Halt   func() error     // asked from time to time; its error ends the duty; may be nil
}

// Warmed is what a duty found, with what was assumed for its heat.
type Warmed struct {
	drive.DutyResult
	Air, Start unit.Temperature
	Name       string // of the duty
	Aged       bool   // at the planned end of life
	Assumed    []check.Assumption
}

// Heat puts a placed option through a duty, every series group by itself, and
// steps electricity and heat together. Errors: ErrHeat; those of drive.
func (f *Frame) Heat(p *Placed, w Warming) (Warmed, error) {
	t := &f.Brief.Targets
	if w.Air == 0 {
		w.Air = t.Hottest
		if w.Duty.Kind == drive.DutySoak {
			w.Air = t.Coldest
		}
		if w.Air == 0 {
			w.Air = f.Brief.Road.Ambient
		}
	}
	if w.Duty.Kind == drive.DutySchedule && w.Duty.Schedule == nil {
		w.Duty.Schedule = t.Schedule
	}
	system, err := f.Thermal(p, ThermalOptions{Air: w.Air, Speed: dutySpeed(&w.Duty)})
	if err != nil {
		return Warmed{}, err
	}
	battery := f.Pack(&p.Wiring, &p.Figures)
	table, err := drive.NewGroupTable(battery.Cell)
	if err != nil {
		return Warmed{}, err
	}
	life := &p.Wiring.lot.New
	if w.End {
		life = &p.Wiring.lot.End
	}
	train := f.Train(p.Figures.Test)
	train.Air.Temperature = w.Air
	c := drive.DutyCase{
		Train: train, Pack: battery, Table: table, Heat: system, Air: w.Air, Start: w.Start, Rows: w.Rows, Halt: w.Halt,
		Groups: drive.GroupOptions{Charge: w.Charge, Health: life.Health},
	}
	r, err := drive.RunDuty(c, w.Duty)
	if err != nil {
		return Warmed{}, err
	}
	out := Warmed{DutyResult: r, Name: w.Name, Aged: w.End, Air: w.Air, Start: w.Start, Assumed: f.Brief.Cooling.Assumed.List}
	if out.Name == "" {
		out.Name = w.Duty.String()
	}
	if w.Duty.Kind == drive.DutySchedule {
		out.Name = "schedule " + w.Duty.Schedule.ID
	}
	if out.Start == 0 {
		out.Start = drive.DutyStart(w.Duty, w.Air)
	}
	return out, nil
}

// dutySpeed returns the mean speed of the vehicle in a duty, for the air stream
// at the boxes: none at full power, where it is not said.
func dutySpeed(d *drive.Duty) unit.Speed {
	switch d.Kind {
	case drive.DutyGrade:
		return d.Speed
	case drive.DutySchedule:
		return d.Schedule.Figures().Mean
	}
	return 0
}

// Workings show how the headline figures of the duty came about.
func (w *Warmed) Workings() []check.Working {
	in := func(symbol, name string, v check.Figure, source string) check.Input {
		return check.Input{Symbol: symbol, Name: name, Value: v, Source: source}
	}
	out := []check.Working{{
		Name: "heat of the pack", Formula: "q_cells + q_other = Σ C·ΔT + q_out, each summed by itself",
		Inputs: []check.Input{
			in("q_cells", "heat of the cells", check.Of(w.Account.Heat), "bernardi-1985"),
			in("q_other", "heater less chiller", check.Of(w.Account.Other), "computed"),
			in("q_out", "given to the surroundings", check.Of(w.Account.Left), "computed"),
			in("C·ΔT", "stored in cells, holders, plates, coolant and boxes", check.Of(w.Account.Stored), "computed"),
		},
		Result: check.Of(w.Account.Heat + w.Account.Other), Source: "alexander-1977",
	}}
	hot := check.Working{
		Name: "hottest group", Formula: "largest temperature of a group, at the end of a step",
		Inputs: []check.Input{
			in("T_out", "outside", check.Of(w.Air), ""),
			in("T_0", "pack at the start", check.Of(w.Start), ""),
			in("t", "when", check.Of(w.Hottest.At), ""),
			in("E", "energy at the terminals", check.Of(w.Given), "circuit-law"),
		},
		Result: check.Of(w.Hottest.Temperature), Source: "bernardi-1985",
	}
	if w.FlowMax > 0 {
		hot.Inputs = append(hot.Inputs, in("Q", "coolant flow", check.Of(w.FlowMax), ""), in("Δp", "pressure that the pump gives", check.Of(w.HeadMax), "shah-london-1978"))
	}
	return append(out, hot)
}
