package design

import (
	"packyard/check"
	"packyard/drive"
	"packyard/pack"
	"packyard/schedule"
	"packyard/unit"
)

// Pack returns the candidate's battery, electrically.
func (f *Frame) Pack(w *Wiring, g *Figures) *pack.Pack {
	d := &f.Brief.Drive
	return &pack.Pack{
		Topology: w.Topology, Cell: w.lot.Slice.Cell, Resistance: g.Resistance,
		SoCMin: d.ReserveLow, SoCMax: 1 - d.ReserveHigh,
	}
}

// VoltageFull returns the voltage of the wiring when its cells are full.
func (f *Frame) VoltageFull(w *Wiring) unit.Voltage {
	return unit.Voltage(w.Topology.Series) * w.lot.Slice.Cell.VoltageMax
}

// VoltageRun returns the voltage of the wiring at rest at the start of a range
// run: what the full, warm vehicle drives off with. The voltage to which it is
// charged stands only while it is on the charger.
func (f *Frame) VoltageRun(w *Wiring) unit.Voltage {
	full := pack.Read(w.lot.New.Ambient.OCV, float64(1-f.Brief.Drive.ReserveHigh))
	return unit.Voltage(float64(w.Topology.Series) * full)
}

// Range makes a complete range run of a pack on a demand that was filled for
// its test mass, as bought or at the planned end of life. Errors are those of drive.
func (f *Frame) Range(r *drive.Run, d *drive.Demand, w *Wiring, g *Figures, end bool) (drive.Result, error) {
	life := &w.lot.New
	if end {
		life = &w.lot.End
	}
	return r.Range(d, life.Lumped, f.Pack(w, g), drive.Options{Charger: f.Brief.Drive.Charger})
}

// Trip is one run of an option on any schedule.
type Trip struct {
	Wiring   *Wiring
	Figures  *Figures
	Schedule *schedule.Schedule
	End      bool // at the planned end of life
	Once     bool // the schedule once, not to empty
	Trace    *drive.Trace
	Balance  *drive.Balance
}

// Driven is what a run found, with what it asked of the pack.
type Driven struct {
	drive.Result
	Demand *drive.Demand
}

// Findings are what the run says about the design.
func (d *Driven) Findings() []check.Finding { return d.Result.Findings(d.Demand) }

// Drive runs an option on a schedule, every cell alike. Errors are those of
// drive.
func (f *Frame) Drive(t *Trip) (Driven, error) {
	d, err := drive.NewDemand(f.Train(t.Figures.Test), t.Schedule, drive.DemandOptions{Voltage: f.VoltageRun(t.Wiring)})
	if err != nil {
		return Driven{}, err
	}
	o := drive.Options{Charger: f.Brief.Drive.Charger, Trace: t.Trace, Balance: t.Balance}
	if t.Once {
		o.Cycles = 1
	}
	r, err := drive.Range(d, t.Wiring.life(t.End).Lumped, f.Pack(t.Wiring, t.Figures), o)
	return Driven{Result: r, Demand: d}, err
}
