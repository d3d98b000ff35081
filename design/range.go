package design

import (
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
}

// Drive runs an option on a schedule. Errors are those of drive.
func (f *Frame) Drive(t *Trip) (drive.Result, error) {
	d, err := drive.NewDemand(f.Train(t.Figures.Test), t.Schedule, drive.DemandOptions{Voltage: f.VoltageRun(t.Wiring)})
	if err != nil {
		return drive.Result{}, err
	}
	life := &t.Wiring.lot.New
	if t.End {
		life = &t.Wiring.lot.End
	}
	o := drive.Options{Charger: f.Brief.Drive.Charger, Trace: t.Trace}
	if t.Once {
		o.Cycles = 1
	}
	return drive.Range(d, life.Lumped, f.Pack(t.Wiring, t.Figures), o)
}
