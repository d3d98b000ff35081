package design

import (
	"math"

	"packyard/cell"
	"packyard/pack"
	"packyard/part"
	"packyard/unit"
	"packyard/vehicle"
)

// Loading says how many modules of each length of a cut stand in each bay, and
// where their centres are.
type Loading struct {
	Count [][2]int // by bay, all strings together
	Sum   Sums     // sum of the centres of the modules of each length
	Known bool     // every module has a place; else Sum stands for an assumed one
	Short int      // modules without a place
}

// Wiring is what is the same for all cuts of one source, form, topology: it is
// worked out once for each and read by Evaluate.
type Wiring struct {
	lot      *Lot
	Source   int
	Form     Form
	Abreast  int
	Topology pack.Topology
	Slices   int // in all strings
	Pieces   int // of the source, whole ones
	PiecesOf int // that can be had, spares taken off
	fixed    Values
	cells    float64 // kg
	run      float64 // V, full and warm, at rest
}

// Wire returns the wiring of a source, form, slices abreast, strings and groups
// in series of each string.
func (f *Frame) Wire(sourceIndex int, form Form, abreast, strings, groups int) Wiring {
	l, s := &f.Lots[sourceIndex], &f.Brief.Sources[sourceIndex]
	w := Wiring{
		lot: l, Source: sourceIndex, Form: form, Abreast: abreast,
		Topology: pack.Topology{Series: groups * l.Slice.Series, Parallel: abreast * l.Slice.Parallel, Strings: strings},
		Slices:   groups * abreast * strings,
		PiecesOf: s.Count - s.Spare,
	}
	w.Pieces = int(math.Ceil(float64(w.Slices)/l.Pieces - 1e-9))
	w.cells = float64(w.Topology.Cells()) * float64(l.Slice.Cell.Mass)
	w.run = float64(f.VoltageRun(&w))
	f.wireVoltages(&w)
	w.fixed.must(Supply, float64(w.Pieces), float64(w.PiecesOf))
	return w
}

// wireVoltages fills the rules that depend on cells in series alone.
func (f *Frame) wireVoltages(w *Wiring) {
	d, c := &f.Brief.Drive, w.lot.Slice.Cell
	full := float64(w.Topology.Series) * float64(c.VoltageMax)
	v := &w.fixed
	v.set(InverterFull, full, upper(d.Inverter.Bands))
	if d.Charger != nil {
		v.set(ChargerFull, full, upper(d.Charger.Bands))
		rest := float64(w.Topology.Series) * min(w.lot.New.floor.emf, w.lot.End.floor.emf)
		v.set(ChargerStart, rest, float64(d.Charger.StartMin))
	}
	if d.Converter != nil {
		v.set(ConverterFull, full, upper(d.Converter.Bands))
	}
}

// upper returns the highest voltage at which a device works and is unharmed.
func upper(b part.Bands) float64 {
	if !b.IsGiven() {
		return 0
	}
	return float64(min(b.ReducedMax, b.NeverExceed))
}

// Modules are the masses and resistances of the one or two module lengths of a
// cut, as Evaluate wants them.
type Modules struct {
	Stack  [2]cell.Stack
	Count  [2]int // in all strings
	String [2]int // in one string
}

// Evaluate fills out with value and limit of every rule for a wiring, its
// modules and their loading. Range is the optimistic bound of the duty grid;
// a complete run replaces it. It allocates nothing.
func (f *Frame) Evaluate(w *Wiring, m *Modules, l *Loading, out *Values) Figures {
	*out = w.fixed
	g := f.mass(w, m, l, out)
	g.Resistance = unit.Resistance(f.resistance(w, m))
	f.money(w, m, l, out, &g)
	test := f.massTest(float64(g.Mass))
	g.Test = unit.Mass(test)
	p := f.duty.at(test)
	f.currents(w, &p, float64(g.Resistance), out)
	out.set(Handling, w.handling(m), float64(f.Brief.Targets.HandlingVoltage))
	out.must(Space, float64(m.Count[0]+m.Count[1]-l.Short), float64(m.Count[0]+m.Count[1]))
	cells := float64(w.Topology.Cells())
	g.Energy, g.EnergyEnd = unit.Energy(cells*w.lot.New.energy), unit.Energy(cells*w.lot.End.energy)
	g.Range = unit.Length(p.optimistic(float64(g.Energy), w.run))
	g.RangeEnd = unit.Length(p.optimistic(float64(g.EnergyEnd), w.run))
	out.set(RangeNew, float64(g.Range), float64(f.Brief.Targets.Range))
	out.set(RangeEnd, float64(g.RangeEnd), float64(f.Brief.Targets.RangeEnd))
	f.chargeTime(&g, out)
	return g
}

// Figures are the headline figures of one option.
type Figures struct {
	Mass       unit.Mass       // whole pack
	Cells      unit.Mass       // cells alone
	Boxes      unit.Mass       // battery boxes of the bays used
	Price      float64         // in the project's currency
	Test       unit.Mass       // vehicle in the range run
	Resistance unit.Resistance // interconnects of the pack
	Energy     unit.Energy     // chemical, between floor and full, as bought
	EnergyEnd  unit.Energy     // the same at the planned end of life
	Range      unit.Length     // as bought
	RangeEnd   unit.Length     // at the planned end of life
}

// mass fills the rules of mass. What is not modules or boxes (cooling, fixed
// parts) counts at the modules' common centre.
func (f *Frame) mass(w *Wiring, m *Modules, l *Loading, out *Values) Figures {
	modules, moment, boxes := 0.0, 0.0, 0.0
	for i := range m.Stack {
		mi := float64(m.Stack[i].Mass)
		modules += mi * float64(m.Count[i])
		moment += mi * float64(l.Sum[i].X)
	}
	extra := f.extra(w)
	moment *= 1 + extra/modules
	worst, worstLimit := 0.0, 0.0
	for i := range f.bays {
		n := l.Count[i]
		if n[0]+n[1] == 0 {
			continue
		}
		bf := &f.bays[i]
		in := bf.boxMass + (1+extra/modules)*(float64(n[0])*float64(m.Stack[0].Mass)+float64(n[1])*float64(m.Stack[1].Mass))
		boxes += bf.boxMass
		moment += bf.boxMass * float64(bf.centre.X)
		if bf.limit > 0 && (worstLimit == 0 || in/bf.limit > worst/worstLimit) {
			worst, worstLimit = in, bf.limit
		}
	}
	whole := modules + extra + boxes
	out.set(BayMass, worst, worstLimit)
	f.wholeMass(whole, out)
	front, rear := f.balance.AxlesLoaded(unit.Mass(whole), vehicle.Moment(moment))
	out.set(AxleFront, float64(front), f.limitFront)
	out.set(AxleRear, float64(rear), f.limitRear)
	return Figures{Mass: unit.Mass(whole), Cells: unit.Mass(w.cells), Boxes: unit.Mass(boxes)}
}

// resistance returns the interconnect resistance of the pack: modules, joints
// between them and cables of one string, over the strings.
func (f *Frame) resistance(w *Wiring, m *Modules) float64 {
	r := float64(f.Brief.Build.CableResistance)
	for i := range m.Stack {
		r += float64(m.String[i]) * float64(m.Stack[i].Resistance)
	}
	if w.lot.Hardware != nil {
		r += float64(m.String[0]+m.String[1]-1) * float64(w.lot.Hardware.JointResistance)
	}
	return r / float64(w.Topology.Strings)
}

// money fills the price of the pack.
func (f *Frame) money(w *Wiring, m *Modules, l *Loading, out *Values, g *Figures) {
	b := &f.Brief.Build
	p := float64(w.Pieces)*w.lot.Price + b.FixedPrice + b.PricePerString*float64(w.Topology.Strings-1)
	hours := float64(b.HoursFixed)
	if w.Form == Regrouped {
		n := float64(m.Count[0] + m.Count[1])
		p += n*w.lot.Hardware.PricePerModule.Amount + float64(w.Slices)*w.lot.Hardware.PricePerSlice.Amount
		hours += n * float64(w.lot.Hardware.HoursPerModule)
	}
	for _, n := range l.Count {
		if n[0]+n[1] > 0 {
			p += b.PricePerBay
		}
	}
	g.Price = p + hours/3600*b.HourRate
	out.set(Money, g.Price, f.Brief.Targets.PriceMax)
}

// handling returns the voltage of the largest module while it is handled, full.
func (w *Wiring) handling(m *Modules) float64 {
	s := 0
	for i := range m.Stack {
		if m.Count[i] > 0 {
			s = max(s, m.Stack[i].Series())
		}
	}
	return float64(s) * float64(w.lot.Slice.Cell.VoltageMax)
}

// currents fills the rules of current, and those of voltage under load.
func (f *Frame) currents(w *Wiring, p *dutyPoint, interconnect float64, out *Values) {
	c := w.lot.Slice.Cell
	cells, across := float64(w.Topology.Cells()), float64(w.Topology.Across())
	rated := float64(c.Capacity) / 3600 // A at 1 C
	own := interconnect * across / float64(w.Topology.Series)
	with := func(s source) source { s.r += own; return s }

	peak, _ := with(w.lot.End.low).current(p.peak / cells)
	out.must(CurrentPeak, peak, rated*f.rate(c, pulse))
	rms, _ := with(w.lot.End.half).current(p.rms / cells)
	out.must(CurrentContinuous, rms, rated*f.rate(c, continuous))
	if p.climb > 0 {
		up, _ := with(w.lot.End.half).current(p.climb / cells)
		out.must(Climb, up, rated*f.rate(c, sustained))
	}
	lowest := math.Inf(1)
	for _, life := range []*Life{&w.lot.New, &w.lot.End} {
		lowest = min(lowest, f.loaded(c, with(life.floorCold), p.peak/cells, rated))
	}
	lowest *= float64(w.Topology.Series)
	d := &f.Brief.Drive
	out.set(InverterLowest, lowest, float64(d.Inverter.Bands.ReducedMin))
	if d.Converter != nil {
		out.set(ConverterLowest, lowest, float64(d.Converter.Bands.ReducedMin))
	}
}

// loaded returns the voltage of one cell on the coldest day at the charge
// floor: power is cut back first by the cold current limit, then so that the
// cell stays above its end of discharge.
func (f *Frame) loaded(c *cell.Cell, s source, power, rated float64) float64 {
	i, _ := s.current(power)
	cold := f.Brief.Targets.Coldest
	if cold == 0 {
		cold = f.Brief.Road.Ambient
	}
	i = min(i, rated*float64(c.Limits.DischargeRate(cold, pulse)))
	return max(s.emf-s.r*i, min(float64(c.VoltageMin), s.emf))
}

// rate returns the smallest allowed discharge rate over the warm days.
func (f *Frame) rate(c *cell.Cell, d unit.Time) float64 {
	t := f.warm()
	return float64(min(c.Limits.DischargeRate(t[0], d), c.Limits.DischargeRate(t[1], d)))
}

// chargeTime fills the time of a full charge: energy between floor and full
// over what the charger puts into the pack, constant power all the way, which
// is a little short of the real time.
func (f *Frame) chargeTime(g *Figures, out *Values) {
	ch := f.Brief.Drive.Charger
	if ch == nil || ch.PowerMax == 0 {
		return
	}
	out.set(ChargeTime, float64(g.Energy)/float64(ch.PowerMax), float64(f.Brief.Targets.ChargeTime))
}
