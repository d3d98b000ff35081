package design

import (
	"packyard/cell"
	"packyard/check"
	"packyard/unit"
)

// workings shows how the headline numbers of the option came about.
func (f *Frame) workings(p *Placed) []check.Working {
	return []check.Working{
		f.workVoltage(p), f.workLowest(p), f.workEnergy(p), f.workMass(p), f.workAxle(p), f.workPrice(p),
		f.workSupply(p), f.workPeak(p), f.workResistance(p), f.workAuxiliary(), f.workRange(p),
	}
}

func in(symbol, name string, v check.Figure, source string) check.Input {
	return check.Input{Symbol: symbol, Name: name, Value: v, Source: source}
}

func (f *Frame) workVoltage(p *Placed) check.Working {
	c := p.Wiring.lot.Slice.Cell
	return check.Working{
		Name: "voltage.full", Formula: "U_full = S · u_max",
		Inputs: []check.Input{
			in("S", "cells in series", check.Number(float64(p.Wiring.Topology.Series), "cells"), "option"),
			in("u_max", "full voltage of one cell", check.Of(c.VoltageMax), sourceOf(c, "voltage")),
		},
		Result: check.Of(f.VoltageFull(&p.Wiring)), Source: "common-practice",
	}
}

func (f *Frame) workLowest(p *Placed) check.Working {
	l, c := &p.Wiring.lot.End, p.Wiring.lot.Slice.Cell
	pt := f.duty.at(float64(p.Figures.Test))
	return check.Working{
		Name: "voltage.lowest", Formula: "U_low = S · max(u_min, e − (r + R·S⁻¹·P·N)·i), i = min(2w/(e + √(e² − 4rw)), cold limit), w = W/(S·P·N); the worse of both lives",
		Inputs: []check.Input{
			in("e", "open-circuit voltage at the charge floor, coldest day, end of life", check.Of(unit.Voltage(l.floorCold.emf)), c.Curves.Source),
			in("r", "resistance of one cell after 10 s, same state", check.Of(unit.Resistance(l.floorCold.r)), c.Curves.Source),
			in("R", "interconnects of the pack", check.Of(p.Figures.Resistance), "resistance"),
			in("W", "greatest power on the schedule", check.Of(unit.Power(pt.peak)), "drive"),
			in("u_min", "end of discharge of one cell", check.Of(c.VoltageMin), sourceOf(c, "voltage")),
		},
		Result: check.Of(unit.Voltage(p.Values.Value[InverterLowest])), Source: "common-practice",
	}
}

func (f *Frame) workEnergy(p *Placed) check.Working {
	l, t := p.Wiring.lot, p.Wiring.Topology
	return check.Working{
		Name: "energy.chemical", Formula: "E = S·P·N · q · ∫ u dz from floor to full",
		Inputs: []check.Input{
			in("S·P·N", "cells", check.Number(float64(t.Cells()), "cells"), "option"),
			in("q", "charge of one cell as bought", check.Of(l.New.Ambient.Capacity), sourceOf(l.Slice.Cell, "capacity")),
			in("z_0", "charge floor", check.Of(f.Brief.Drive.ReserveLow), "given"),
			in("z_1", "charge when full", check.Of(1-f.Brief.Drive.ReserveHigh), "given"),
		},
		Result: check.Of(unit.Energy(float64(t.Cells()) * l.New.energy)), Source: l.Slice.Cell.Curves.Source,
	}
}

func (f *Frame) workMass(p *Placed) check.Working {
	g := &p.Figures
	modules := modulesMass(&p.Modules)
	return check.Working{
		Name: "mass.pack", Formula: "m = m_modules + m_boxes + m_cooling and fixed",
		Inputs: []check.Input{
			in("m_modules", "modules with their hardware", check.Of(unit.Mass(modules)), "catalogue"),
			in("m_cells", "of which cells", check.Of(g.Cells), sourceOf(p.Wiring.lot.Slice.Cell, "mass")),
			in("m_boxes", "boxes of the bays used", check.Of(g.Boxes), "given"),
			in("m_fixed", "cooling, contactors, fuses, cable, monitoring", check.Of(unit.Mass(f.extra(&p.Wiring))), "given"),
		},
		Result: check.Of(g.Mass), Source: "common-practice",
	}
}

func (f *Frame) workAxle(p *Placed) check.Working {
	inputs := []check.Input{}
	for _, it := range f.items(p) {
		inputs = append(inputs, in("m", it.Name, check.Of(it.Mass), "mass.pack"), in("x", "behind the front axle", check.Of(it.At.X), "placement"))
	}
	inputs = append(inputs, in("L", "wheelbase", check.Of(f.Brief.Donor.Wheelbase), "given"))
	return check.Working{
		Name: "mass.axle.rear", Formula: "W_rear = W_rear,0 + Σ m·x/L + load case", Inputs: inputs,
		Result: check.Of(unit.Mass(p.Values.Value[AxleRear])), Source: "gillespie",
	}
}

func (f *Frame) workPrice(p *Placed) check.Working {
	b, cur := &f.Brief.Build, f.Brief.Currency
	return check.Working{
		Name: "money.pack", Formula: "price = pieces · price each + fixed parts + boxes + modules + hours · rate",
		Inputs: []check.Input{
			in("n", "pieces of the source", check.Number(float64(p.Wiring.Pieces), "pieces"), "supply.source"),
			in("p", "price each", check.Money(p.Wiring.lot.Price, cur), "given"),
			in("p_fixed", "fixed parts", check.Money(b.FixedPrice, cur), "given"),
			in("p_bay", "each bay used", check.Money(b.PricePerBay, cur), "given"),
			in("p_hour", "hour of work", check.Money(b.HourRate, cur), "given"),
		},
		Result: check.Money(p.Figures.Price, cur), Source: "common-practice",
	}
}

func (f *Frame) workSupply(p *Placed) check.Working {
	w := &p.Wiring
	return check.Working{
		Name: "supply.source", Formula: "pieces = ⌈slices / slices in a piece⌉",
		Inputs: []check.Input{
			in("slices", "slices of the pack", check.Number(float64(w.Slices), "slices"), "option"),
			in("per piece", "slices in one piece", check.Number(w.lot.Pieces, "slices"), "catalogue"),
		},
		Result: check.Number(float64(w.Pieces), "pieces"), Source: "common-practice",
	}
}

func (f *Frame) workPeak(p *Placed) check.Working {
	l, c := &p.Wiring.lot.End, p.Wiring.lot.Slice.Cell
	pt := f.duty.at(float64(p.Figures.Test))
	return check.Working{
		Name: "current.peak", Formula: "i = 2w/(e + √(e² − 4rw)), w = W/(S·P·N)",
		Inputs: []check.Input{
			in("W", "greatest power on the schedule", check.Of(unit.Power(pt.peak)), "drive"),
			in("e", "open-circuit voltage at low charge, end of life", check.Of(unit.Voltage(l.low.emf)), c.Curves.Source),
			in("r", "resistance of one cell after 10 s", check.Of(unit.Resistance(l.low.r)), c.Curves.Source),
			in("S·P·N", "cells", check.Number(float64(p.Wiring.Topology.Cells()), "cells"), "option"),
		},
		Result: check.Of(unit.Current(p.Values.Value[CurrentPeak])), Source: "common-practice",
	}
}

func (f *Frame) workResistance(p *Placed) check.Working {
	inputs := []check.Input{in("R_cable", "cables, fuse and contactors of one string", check.Of(f.Brief.Build.CableResistance), "given")}
	for i := range p.Modules.Stack {
		if p.Modules.Count[i] > 0 {
			inputs = append(inputs,
				in("n", "modules of this length in one string", check.Number(float64(p.Modules.String[i]), "modules"), "option"),
				in("R_module", "inside one, without cells", check.Of(p.Modules.Stack[i].Resistance), "catalogue"))
		}
	}
	if h := p.Wiring.lot.Hardware; h != nil {
		inputs = append(inputs, in("R_joint", "each joint between modules", check.Of(h.JointResistance), "catalogue"))
	}
	return check.Working{
		Name: "resistance", Formula: "R = (R_cable + Σ n·R_module + (Σ n − 1)·R_joint)/N", Inputs: inputs,
		Result: check.Of(p.Figures.Resistance), Source: "common-practice",
	}
}

func (f *Frame) workAuxiliary() check.Working {
	_, inputs := f.Brief.Drive.Auxiliary.PackPower(f.Brief.Drive.Converter, f.Brief.Road.Ambient)
	return check.Working{
		Name: "auxiliary", Formula: "P_aux = P_12V/e + P_idle + P_cabin", Inputs: inputs,
		Result: check.Of(f.aux), Source: "common-practice",
	}
}

func (f *Frame) workRange(p *Placed) check.Working {
	r := &p.New
	return check.Working{
		Name: "range", Formula: "complete run: the schedule repeated from full to break-off, every step solved for charge, resistance and RC pairs; s = E_usable / (E/s)",
		Inputs: []check.Input{
			in("E_usable", "energy given at the terminals", check.Of(r.Energy.Terminals), "drive"),
			in("E/s", "consumption at the terminals", check.Of(r.Consumption.Terminals), "drive"),
			in("m", "mass of the vehicle in the run", check.Of(p.Figures.Test), "mass.pack"),
			in("P_aux", "auxiliaries", check.Of(f.aux), "auxiliary"),
			in("T", "temperature of air and cells", check.Of(f.Brief.Road.Ambient), "given"),
		},
		Result: check.Of(r.Distance), Source: "un-gtr-15",
	}
}

// sourceOf returns the source key of one figure of a cell, "given" when the
// entry is the builder's own and names none.
func sourceOf(c *cell.Cell, field string) string {
	for _, f := range c.Facts {
		if f.Field == field {
			return f.Source
		}
	}
	return "given"
}
