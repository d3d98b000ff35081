package design

import (
	"math"

	"packyard/check"
	"packyard/unit"
	"packyard/vehicle"
)

// extra returns the mass of cooling, fixed parts and parts of further strings, kg.
func (f *Frame) extra(w *Wiring) float64 {
	b := &f.Brief.Build
	return float64(b.CoolingShare)*w.cells + float64(b.FixedMass) + float64(b.MassPerString)*float64(w.Topology.Strings-1)
}

// modulesMass returns the mass of all modules, kg.
func modulesMass(m *Modules) float64 {
	sum := 0.0
	for i := range m.Stack {
		sum += float64(m.Stack[i].Mass) * float64(m.Count[i])
	}
	return sum
}

// items returns the pack as items of the mass ledger: one for the modules of
// each bay, with their share of cooling and fixed parts, and one for its box.
// Modules without a place are one item more.
func (f *Frame) items(p *Placed) []vehicle.Item {
	var out []vehicle.Item
	spread := 1 + f.extra(&p.Wiring)/modulesMass(&p.Modules)
	for i := range f.bays {
		n := p.Loading.Count[i]
		if n[0]+n[1] == 0 {
			continue
		}
		b := &f.Brief.Bays[i]
		mass, x, y, z := 0.0, 0.0, 0.0, 0.0
		for _, pl := range p.Places[i] {
			l := placeLine(b, pl)
			m := float64(p.Modules.Stack[pl.Kind].Mass)
			mass += m
			x += m * float64(l.Centre[0])
			y += m * float64(l.Centre[1])
			z += m * float64(l.Centre[2])
		}
		if mass > 0 {
			out = append(out, vehicle.Item{
				Name: "modules in " + b.Name, Mass: unit.Mass(mass * spread),
				At: vehicle.Point{X: unit.Length(x / mass), Y: unit.Length(y / mass), Z: unit.Length(z / mass)},
			})
		}
		out = append(out, vehicle.Item{Name: "box of " + b.Name, Mass: unit.Mass(f.bays[i].boxMass), At: f.bays[i].centre})
	}
	if it := f.away(p, spread); it.Mass > 0 {
		out = append(out, it)
	}
	return out
}

// away returns the modules without a place as one item, in the mean of the
// bays' middles, as in the rules of mass.
func (f *Frame) away(p *Placed, spread float64) vehicle.Item {
	mass := 0.0
	for k := range p.Modules.Count {
		n := p.Modules.Count[k]
		for _, c := range p.Loading.Count {
			n -= c[k]
		}
		mass += float64(n) * float64(p.Modules.Stack[k].Mass)
	}
	var middle vehicle.Point
	for i := range f.bays {
		middle = plus(middle, times(f.bays[i].centre, 1/float64(len(f.bays))))
	}
	return vehicle.Item{Name: "modules without a place", Mass: unit.Mass(mass * spread), At: middle}
}

// states returns the vehicle as weighed, converted, and in each load case.
func (f *Frame) states(p *Placed) []vehicle.State {
	d := &f.Brief.Donor
	before := d.Before()
	before.Name = "donor as weighed"
	after := d.Converted(f.items(p))
	after.Name = "converted, empty"
	out := []vehicle.State{before, after}
	for _, c := range d.LoadCases {
		s := d.Loaded(after, c)
		s.Name = "converted, " + c.Name
		out = append(out, s)
	}
	return out
}

// braking is the deceleration at which the share of the front brakes is
// compared before and after. Common practice: a firm stop on a dry road.
const braking = 5 // m/s²

// stability compares the donor with the converted, empty vehicle.
func (f *Frame) stability(states []vehicle.State) []check.Input {
	d := &f.Brief.Donor
	before, after := states[0], states[1]
	var out []check.Input
	add := func(name string, v check.Figure, source string) {
		out = append(out, check.Input{Name: name, Value: v, Source: source})
	}
	if v, err := before.StabilityFactor(); err == nil {
		add("static stability factor T/(2h), donor", check.Of(v), "nhtsa-ssf")
	}
	if v, err := after.StabilityFactor(); err == nil {
		add("static stability factor T/(2h), converted", check.Of(v), "nhtsa-ssf")
	}
	add("height of the centre of gravity, donor", check.Of(before.CG.Z), "common-practice")
	add("height of the centre of gravity, converted", check.Of(after.CG.Z), "common-practice")
	for _, s := range []struct {
		name  string
		state vehicle.State
	}{{"donor", before}, {"converted", after}} {
		if v, err := s.state.BrakingShare(unit.Acceleration(braking)); err == nil {
			add("front axle's share of the braking force at 5 m/s², "+s.name, check.Of(v), "gillespie")
		}
	}
	if left, known := d.PayloadLeft(after); known {
		add("payload left", check.Of(left), "common-practice")
	}
	ride, front, rear := d.RideChange(before, after)
	lift := func(end string, mean unit.Length) {
		verb := "rises"
		if mean < 0 {
			verb, mean = "sinks", -mean
		}
		add(end+" of the body "+verb+" by (mean of left and right)", check.Of(mean), "common-practice")
	}
	if front {
		lift("front", (ride.FrontLeft+ride.FrontRight)/2)
	}
	if rear {
		lift("rear", (ride.RearLeft+ride.RearRight)/2)
	}
	return out
}

// budgets returns the four budgets of the option.
func (f *Frame) budgets(p *Placed) []Budget {
	v, c := &p.Values, f.Brief.Currency
	of := func(name string, used, limit float64, symbol, noun string) Budget {
		fig := func(x float64) check.Figure { return check.Figure{SI: x, Symbol: symbol, Noun: noun} }
		b := Budget{Name: name, Used: fig(used), Limit: fig(limit)}
		if limit != 0 {
			b.Left = fig(limit - used)
		}
		return b
	}
	mass, limit := float64(p.Figures.Mass), v.Limit[MassBattery]
	if room := f.massRoom(p); limit == 0 || room < limit {
		limit = room
	}
	if math.IsInf(limit, 1) {
		limit = 0
	}
	full, top := v.Value[InverterFull], v.Limit[InverterFull]
	used, volume := f.volumes(p)
	return []Budget{
		of("mass", mass, limit, "kg", "mass"),
		of("space", used, volume, "m³", "volume"),
		of("voltage", full, top, "V", "voltage"),
		of("money", p.Figures.Price, v.Limit[Money], c, "money"),
	}
}

// massRoom returns the pack mass at which the first rating would be reached,
// kg, the option's own centre of gravity kept.
func (f *Frame) massRoom(p *Placed) float64 {
	x := 0.0
	for _, it := range f.items(p) {
		x += float64(it.Mass) * float64(it.At.X)
	}
	room, bounded := f.balance.Room(unit.Length(x / float64(p.Figures.Mass)))
	if !bounded {
		return math.Inf(1)
	}
	return float64(room)
}

// volumes returns the volume of the modules and that of the bays used, m³.
func (f *Frame) volumes(p *Placed) (modules, bays float64) {
	for i := range f.bays {
		n := p.Loading.Count[i]
		for k := range n {
			s := p.Modules.Stack[k].Size
			modules += float64(n[k]) * float64(s.X) * float64(s.Y) * float64(s.Z)
		}
		bays += float64(f.Brief.Bays[i].Volume())
	}
	return modules, bays
}
