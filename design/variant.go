package design

import (
	"fmt"
	"slices"

	"packyard/cell"
	"packyard/drive"
	"packyard/pack"
	"packyard/part"
	"packyard/schedule"
	"packyard/unit"
	"packyard/vehicle"
)

// Variant is one option under other values of the uncertain inputs of its
// brief: the pack stays as it is built, and everything that follows from the
// inputs is worked out anew. One serves one goroutine; any number of them may
// share a frame.
type Variant struct {
	frame  *Frame
	inputs []Uncertain
	brief  Brief // of this variant: that of the frame with the inputs set
	option *Placed
	road   *schedule.Schedule
	end    bool

	stages    []part.Stage // from motor to wheel
	kept      int          // index in stages of the first kept one
	bays      []int        // in use
	base      fixedMass    // as stated
	demand    drive.Demand
	drawn     roadState // what demand was filled for
	drawnBy   []part.Stage
	table     *cell.Table
	lumped    *drive.Lumped
	cellDrawn cellState // what lumped was filled for
	pack      pack.Pack
	run       drive.Run
}

// fixedMass are the masses that inputs may move, kg.
type fixedMass struct{ curb, extra, boxes, cells, driver float64 }

// roadState is everything but stages that a demand depends on.
type roadState struct {
	mass, rotating unit.Mass
	load           vehicle.RoadLoad // without pointer
	coast          vehicle.CoastDown
	air            vehicle.Air
	radius         unit.Length
	regen          drive.Regen
	auxiliary      unit.Power
	inverter, idle float64 // efficiency, and W
	full           unit.Voltage
}

// cellState is everything that a lumped cell depends on.
type cellState struct {
	temperature unit.Temperature
	health      cell.Health
	capacity    unit.Charge
}

// Variant prepares an option for range runs on a schedule under other values of
// inputs, which are uncertain inputs of the frame's brief with a Set. End is for
// the planned end of life. Errors: those of drive and cell.
func (f *Frame) Variant(p *Placed, s *schedule.Schedule, end bool, inputs []Uncertain) (*Variant, error) {
	v := &Variant{frame: f, inputs: inputs, brief: f.Brief.own(), option: p, road: s, end: end, stages: f.Stages()}
	v.kept = len(v.stages) - len(f.Brief.Drive.Stages)
	for i, n := range p.Loading.Count {
		if n[0]+n[1] > 0 {
			v.bays = append(v.bays, i)
		}
	}
	v.base = v.masses(f.Brief)
	life := v.life()
	c := v.brief.Sources[p.Wiring.Source].cellOf()
	v.cellDrawn = cellState{f.Brief.Road.Ambient, life, c.Capacity}
	of := &p.Wiring.lot.New
	if end {
		of = &p.Wiring.lot.End
	}
	var err error
	if v.table, err = c.At(f.Brief.Road.Ambient, life, of.Lumped.Segments()+1); err != nil {
		return nil, err
	}
	if v.lumped, err = drive.LumpedFrom(v.table, drive.LimitsOf(c, f.Brief.Road.Ambient), of.Lumped.Step); err != nil {
		return nil, err
	}
	v.pack = *f.Pack(&p.Wiring, &p.Figures)
	return v, nil
}

// Range drives the option from full to empty with the inputs at the values x,
// SI, in their order. At the values as stated it is the run of Frame.Drive, to
// the last bit. It allocates nothing but where the schedule has to be capped.
// Errors: those of drive and cell.
func (v *Variant) Range(x []float64) (drive.Result, error) { return v.rangeRun(x, nil) }

// rangeRun is Range that fills a trace where one is given.
func (v *Variant) rangeRun(x []float64, t *drive.Trace) (drive.Result, error) {
	b := &v.brief
	b.restore(v.frame.Brief)
	for i := range v.inputs {
		v.inputs[i].Set(b, x[i])
	}
	if err := v.fill(); err != nil {
		return drive.Result{}, err
	}
	if err := v.fillCell(); err != nil {
		return drive.Result{}, err
	}
	v.pack.SoCMin, v.pack.SoCMax = b.Drive.ReserveLow, 1-b.Drive.ReserveHigh
	g, strings := &v.option.Figures, unit.Resistance(v.option.Wiring.Topology.Strings)
	v.pack.Resistance = g.Resistance + (b.Build.CableResistance-v.frame.Brief.Build.CableResistance)/strings
	return v.run.Range(&v.demand, v.lumped, &v.pack, drive.Options{Charger: b.Drive.Charger, Trace: t})
}

// fill works out what the schedule asks for, where that has changed.
func (v *Variant) fill() error {
	t, err := v.train()
	if err != nil {
		return err
	}
	full := v.voltage()
	is := roadState{
		mass: t.Mass, rotating: t.MassRotating, load: t.Road, air: t.Air, radius: t.TyreRadius, regen: t.Regen, auxiliary: t.Auxiliary,
		inverter: float64(t.Inverter.Efficiency), idle: float64(t.Inverter.Idle), full: full,
	}
	if t.Road.Coast != nil {
		is.load.Coast, is.coast = nil, *t.Road.Coast
	}
	if is == v.drawn && slices.Equal(v.stages, v.drawnBy) {
		return nil
	}
	v.drawn = roadState{} // until it is filled
	if err := v.demand.Fill(t, v.road, drive.DemandOptions{Voltage: full}); err != nil {
		return fmt.Errorf("schedule %s: %w", v.road.ID, err)
	}
	v.drawn, v.drawnBy = is, append(v.drawnBy[:0], v.stages...)
	return nil
}

// train returns everything between road and pack at the values set.
func (v *Variant) train() (drive.Train, error) {
	b := &v.brief
	if own, has := b.Drive.Unit.Reduction(); has {
		v.stages[0] = own
	}
	copy(v.stages[v.kept:], b.Drive.Stages)
	ratio := 1.0
	for i := range v.stages {
		ratio *= v.stages[i].Ratio
	}
	rotating, err := vehicle.RotatingMass(b.Donor.Rotating(b.Drive.Unit.Inertia, unit.Ratio(ratio)))
	if err != nil {
		return drive.Train{}, err
	}
	is, was := v.masses(b), &v.base
	moved := (is.curb - was.curb) + (is.extra - was.extra) + (is.boxes - was.boxes) + (is.cells - was.cells) + (is.driver - was.driver)
	return drive.Train{
		Mass: v.option.Figures.Test + unit.Mass(moved), MassRotating: rotating, Road: b.Road.Load,
		Air:        vehicle.Air{Temperature: b.Road.Ambient, Altitude: b.Road.Altitude, Headwind: b.Road.Headwind},
		TyreRadius: b.Donor.TyreRadius, Stages: v.stages, Unit: b.Drive.Unit, Inverter: b.Drive.Inverter,
		Regen: b.Drive.Regen, Auxiliary: b.Drive.Auxiliary.MeanPower(b.Drive.Converter, b.Road.Ambient),
	}, nil
}

// masses returns the masses that inputs may move. Cells are those of loose
// cells; a module is weighed as a whole.
func (v *Variant) masses(b *Brief) fixedMass {
	d := &b.Donor
	m := fixedMass{curb: float64(d.WeighedFront + d.WeighedRear), driver: float64(b.Road.DriverMass)}
	for i := range d.Removed {
		m.curb -= float64(d.Removed[i].Mass)
	}
	for i := range d.Added {
		m.curb += float64(d.Added[i].Mass)
	}
	w, s := &v.option.Wiring, &b.Sources[v.option.Wiring.Source]
	cells := w.cells
	if s.Cell != nil {
		cells = float64(w.Topology.Cells()) * float64(s.Cell.Mass)
		m.cells = cells
	}
	m.extra = float64(b.Build.CoolingShare)*cells + float64(b.Build.FixedMass) + float64(b.Build.MassPerString)*float64(w.Topology.Strings-1)
	is := float64(b.Build.BoxSheet) * float64(b.Build.BoxDensity)
	was := float64(v.frame.Brief.Build.BoxSheet) * float64(v.frame.Brief.Build.BoxDensity)
	for _, i := range v.bays {
		if box := float64(b.Bays[i].BoxMass); box > 0 {
			m.boxes += box
		} else if was > 0 {
			m.boxes += v.frame.bays[i].boxMass * (is / was) // in proportion to its sheet
		}
	}
	return m
}

// voltage returns the voltage at rest at the start of a run, see Frame.VoltageRun.
func (v *Variant) voltage() unit.Voltage {
	w := &v.option.Wiring
	return unit.Voltage(float64(w.Topology.Series) * pack.Read(w.lot.New.Ambient.OCV, float64(1-v.brief.Drive.ReserveHigh)))
}

// life returns the health of the cells at the values set.
func (v *Variant) life() cell.Health {
	h := v.brief.Sources[v.option.Wiring.Source].Health
	if v.end {
		h = endOf(h, v.brief.Targets.EndOfLife)
	}
	return h
}

// fillCell works out the cell, where temperature, health or capacity has changed.
func (v *Variant) fillCell() error {
	c := v.brief.Sources[v.option.Wiring.Source].cellOf()
	is := cellState{v.brief.Road.Ambient, v.life(), c.Capacity}
	if is == v.cellDrawn {
		return nil
	}
	v.cellDrawn = cellState{} // until it is filled
	if err := c.Refill(v.table, is.temperature, is.health); err != nil {
		return fmt.Errorf("cell %s: %w", c.ID, err)
	}
	if err := v.lumped.Fill(v.table, drive.LimitsOf(c, is.temperature)); err != nil {
		return fmt.Errorf("cell %s: %w", c.ID, err)
	}
	v.cellDrawn = is
	return nil
}
