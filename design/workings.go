package design

import (
	"math"

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
			in("S", "cells in series", number(p.Wiring.Topology.Series, "cells"), "option"),
			in("u_max", "full voltage of one cell", check.Of(c.VoltageMax), sourceOf(c, "voltage_max")),
		},
		Result: check.Of(f.VoltageFull(&p.Wiring)), Source: "common-practice",
	}
}

// number returns a count as the value of an input.
func number(n int, noun string) check.Figure { return check.Number(float64(n), noun) }

// wires are the inputs that turn figures of the pack into those of a cell.
func wires(p *Placed) []check.Input {
	t := p.Wiring.Topology
	return []check.Input{
		in("S", "cells in series", number(t.Series, "cells"), "option"),
		in("P", "cells in parallel, in all strings", number(t.Across(), "cells"), "option"),
		in("R", "interconnects of the pack", check.Of(p.Figures.Resistance), "resistance"),
	}
}

func (f *Frame) workLowest(p *Placed) check.Working {
	c := p.Wiring.lot.Slice.Cell
	w := f.duty.at(float64(p.Figures.Test)).peak
	rated, t := float64(c.Capacity)/3600, p.Wiring.Topology
	own := float64(p.Figures.Resistance) * float64(t.Across()) / float64(t.Series)
	life, l, least := "", (*Life)(nil), math.Inf(1)
	for _, x := range []struct {
		name string
		life *Life
	}{{"as bought", &p.Wiring.lot.New}, {"end of life", &p.Wiring.lot.End}} {
		s := x.life.floorCold
		s.r += own
		if v := f.loaded(c, s, w/float64(t.Cells()), rated); v < least {
			life, l, least = x.name, x.life, v
		}
	}
	cold := f.Brief.Targets.Coldest
	if cold == 0 {
		cold = f.Brief.Road.Ambient
	}
	return check.Working{
		Name:    "voltage.lowest",
		Formula: "U_low = S · max(min(u_min, e), e − r·i) with r = r_cell + R·P/S, w = W/(S·P), i = min(2w/(e + √(e² − 4rw)), i_cold); i = e/(2r) where there is no root; the worse of both lives",
		Inputs: append(wires(p),
			in("e", "open-circuit voltage at the charge floor, coldest day, "+life, check.Of(unit.Voltage(l.floorCold.emf)), c.Curves.Source),
			in("r_cell", "resistance of one cell after 10 s, same state", check.Of(unit.Resistance(l.floorCold.r)), c.Curves.Source),
			in("W", "greatest power on the schedule", check.Of(unit.Power(w)), "drive"),
			in("i_cold", "current that one cell gives for 10 s on that day", check.Of(unit.Current(rated*float64(c.Limits.DischargeRate(cold, pulse)))), sourceOf(c, "discharge 10 s")),
			in("u_min", "end of discharge of one cell", check.Of(c.VoltageMin), sourceOf(c, "voltage_min")),
		),
		Result: check.Of(unit.Voltage(p.Values.Value[InverterLowest])), Source: "common-practice",
	}
}

func (f *Frame) workEnergy(p *Placed) check.Working {
	l, t := p.Wiring.lot, p.Wiring.Topology
	c, q := l.Slice.Cell, float64(l.New.Ambient.Capacity)
	low, high := float64(f.Brief.Drive.ReserveLow), 1-float64(f.Brief.Drive.ReserveHigh)
	return check.Working{
		Name: "energy.chemical", Formula: "E = n · Q · h · (z_1 − z_0) · u",
		Inputs: []check.Input{
			in("n", "cells", number(t.Cells(), "cells"), "option"),
			in("Q", "rated charge of one cell", check.Of(c.Capacity), sourceOf(c, "capacity")),
			in("h", "share of it left as bought", check.Of(l.New.Health.CapacityShare), "given"),
			in("z_0", "charge floor", check.Of(unit.Ratio(low)), "given"),
			in("z_1", "charge when full", check.Of(unit.Ratio(high)), "given"),
			in("u", "mean open-circuit voltage of one cell between the two", check.Of(unit.Voltage(l.New.energy/(q*(high-low)))), c.Curves.Source),
		},
		Result: check.Of(unit.Energy(float64(t.Cells()) * l.New.energy)), Source: "common-practice",
	}
}

func (f *Frame) workMass(p *Placed) check.Working {
	g, b := &p.Figures, &f.Brief.Build
	return check.Working{
		Name: "mass.pack", Formula: "m = m_modules + m_boxes + k·m_cells + m_fixed + (N − 1)·m_string",
		Inputs: []check.Input{
			in("m_modules", "modules with their hardware", check.Of(unit.Mass(modulesMass(&p.Modules))), "catalogue"),
			in("m_boxes", "boxes of the bays used", check.Of(g.Boxes), "given"),
			in("m_cells", "cells alone", check.Of(g.Cells), sourceOf(p.Wiring.lot.Slice.Cell, "mass")),
			in("k", "cooling as a share of the cells", check.Of(b.CoolingShare), "given"),
			in("m_fixed", "contactors, fuses, cable and monitoring", check.Of(b.FixedMass), "given"),
			in("m_string", "the same for each further string", check.Of(b.MassPerString), "given"),
			in("N", "strings", number(p.Wiring.Topology.Strings, "strings"), "option"),
		},
		Result: check.Of(g.Mass), Source: "common-practice",
	}
}

func (f *Frame) workAxle(p *Placed) check.Working {
	_, bare := f.balance.AxlesLoaded(0, 0)
	inputs := []check.Input{in("m_0", "on the rear axle without the pack, in the worst load case", check.Of(bare), "given")}
	for _, it := range f.items(p) {
		inputs = append(inputs, in("m", it.Name, check.Of(it.Mass), "mass.pack"), in("x", "behind the front axle", check.Of(it.At.X), "placement"))
	}
	inputs = append(inputs, in("L", "wheelbase", check.Of(f.Brief.Donor.Wheelbase), "given"))
	return check.Working{
		Name: "mass.axle.rear", Formula: "m_rear = m_0 + Σ m·x/L", Inputs: inputs,
		Result: check.Of(unit.Mass(p.Values.Value[AxleRear])), Source: "gillespie",
	}
}

func (f *Frame) workPrice(p *Placed) check.Working {
	b, cur, w := &f.Brief.Build, f.Brief.Currency, &p.Wiring
	bays := 0
	for _, n := range p.Loading.Count {
		if n[0]+n[1] > 0 {
			bays++
		}
	}
	inputs := []check.Input{
		in("n", "pieces of the source", number(w.Pieces, "pieces"), "supply.source"),
		in("p", "each piece", check.Money(w.lot.Price, cur), "given"),
		in("p_fixed", "enclosure parts, contactors and consumables", check.Money(b.FixedPrice, cur), "given"),
		in("N", "strings", number(w.Topology.Strings, "strings"), "option"),
		in("p_string", "each further string", check.Money(b.PricePerString, cur), "given"),
		in("n_bays", "bays used", number(bays, "bays"), "placement"),
		in("p_bay", "each bay used", check.Money(b.PricePerBay, cur), "given"),
		in("t", "work on the whole pack", check.Of(b.HoursFixed), "given"),
		in("p_hour", "each hour of work", check.Money(b.HourRate, cur), "given"),
	}
	formula := "price = n·p + p_fixed + (N − 1)·p_string + n_bays·p_bay + t·p_hour"
	if w.Form == Regrouped {
		h := w.lot.Hardware
		formula = "price = n·p + p_fixed + (N − 1)·p_string + n_bays·p_bay + n_modules·p_module + n_slices·p_slice + (t + n_modules·t_module)·p_hour"
		inputs = append(inputs,
			in("n_modules", "modules", number(p.Modules.Count[0]+p.Modules.Count[1], "modules"), "option"),
			in("p_module", "hardware of each module", check.Money(h.PricePerModule.Amount, cur), "catalogue"),
			in("n_slices", "slices", number(w.Slices, "slices"), "option"),
			in("p_slice", "hardware of each slice", check.Money(h.PricePerSlice.Amount, cur), "catalogue"),
			in("t_module", "work on each module", check.Of(h.HoursPerModule), "catalogue"))
	}
	return check.Working{
		Name: "money.pack", Formula: formula, Inputs: inputs,
		Result: check.Money(p.Figures.Price, cur), Source: "common-practice",
	}
}

func (f *Frame) workSupply(p *Placed) check.Working {
	w := &p.Wiring
	return check.Working{
		Name: "supply.source", Formula: "pieces = ⌈slices / slices in a piece⌉",
		Inputs: []check.Input{
			in("slices", "slices of the pack", number(w.Slices, "slices"), "option"),
			in("per piece", "slices in one piece", check.Number(w.lot.Pieces, "slices"), "catalogue"),
		},
		Result: check.Number(float64(w.Pieces), "pieces"), Source: "common-practice",
	}
}

func (f *Frame) workPeak(p *Placed) check.Working {
	l, c := &p.Wiring.lot.End, p.Wiring.lot.Slice.Cell
	pt := f.duty.at(float64(p.Figures.Test))
	return check.Working{
		Name: "current.peak", Formula: "i = 2w/(e + √(e² − 4rw)) with r = r_cell + R·P/S, w = W/(S·P); i = e/(2r) where there is no root",
		Inputs: append(wires(p),
			in("W", "greatest power on the schedule", check.Of(unit.Power(pt.peak)), "drive"),
			in("e", "open-circuit voltage at low charge, end of life", check.Of(unit.Voltage(l.low.emf)), c.Curves.Source),
			in("r_cell", "resistance of one cell after 10 s, same state", check.Of(unit.Resistance(l.low.r)), c.Curves.Source),
		),
		Result: check.Of(unit.Current(p.Values.Value[CurrentPeak])), Source: "common-practice",
	}
}

func (f *Frame) workResistance(p *Placed) check.Working {
	inputs := []check.Input{in("R_cable", "cables, fuse and contactors of one string", check.Of(f.Brief.Build.CableResistance), "given")}
	for i := range p.Modules.Stack {
		if p.Modules.Count[i] > 0 {
			inputs = append(inputs,
				in("n", "modules of this length in one string", number(p.Modules.String[i], "modules"), "option"),
				in("R_module", "inside one, without cells", check.Of(p.Modules.Stack[i].Resistance), "catalogue"))
		}
	}
	formula := "R = (R_cable + Σ n·R_module)/N"
	if h := p.Wiring.lot.Hardware; h != nil {
		formula = "R = (R_cable + Σ n·R_module + (Σ n − 1)·R_joint)/N"
		inputs = append(inputs, in("R_joint", "each joint between modules", check.Of(h.JointResistance), "catalogue"))
	}
	inputs = append(inputs, in("N", "strings", number(p.Wiring.Topology.Strings, "strings"), "option"))
	return check.Working{
		Name: "resistance", Formula: formula, Inputs: inputs,
		Result: check.Of(p.Figures.Resistance), Source: "common-practice",
	}
}

func (f *Frame) workAuxiliary() check.Working {
	_, inputs := f.Brief.Drive.Auxiliary.PackPower(f.Brief.Drive.Converter, f.Brief.Road.Ambient)
	formula := "P_aux = Σ P_12V + P_loss + P_cabin"
	if len(inputs) == 1 {
		formula = "P_aux = P" // measured at the pack
	}
	return check.Working{
		Name: "auxiliary", Formula: formula, Inputs: inputs,
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
