package search

import (
	"fmt"
	"math"
	"testing"

	"packyard/bay"
	"packyard/cell"
	"packyard/design"
	"packyard/drive"
	"packyard/pack"
	"packyard/part"
	"packyard/unit"
	"packyard/vehicle"
)

// plain works a brief out one candidate at a time, from the brief itself: with
// nothing of the quick tier, no grid, no survey and no pruning. From the search
// it takes only which of the equally good sharings was chosen, and where the
// modules then stand.
type plain struct {
	t      *testing.T
	f      *design.Frame
	b      *design.Brief
	s      *finder // searched
	spaces map[spaceKey]bool
	tables map[tableKey]*cell.Table
}

// tableKey is a cell at one temperature and health.
type tableKey struct {
	cell   *cell.Cell
	at     unit.Temperature
	health cell.Health
}

// table reads a cell at a temperature and health.
func (p *plain) table(c *cell.Cell, at unit.Temperature, h cell.Health) *cell.Table {
	k := tableKey{c, at, h}
	if p.tables[k] == nil {
		t, err := c.At(at, h, 401)
		if err != nil {
			p.t.Fatal(err)
		}
		p.tables[k] = t
	}
	return p.tables[k]
}

type spaceKey struct {
	bay    int
	length [2]unit.Length
	width  unit.Length
	n      [2]int
}

// plainOption is a candidate worked out in full.
type plainOption struct {
	id       string
	pack     string // without the cut
	values   design.Values
	set      design.Set
	settled  bool // both ranges are of complete runs
	mass     float64
	test     float64
	price    float64
	modules  int
	distance float64
	margin   float64
}

// each calls do for every candidate of the universe.
func (p *plain) each(u Universe, do func(c design.Candidate)) {
	bands := p.b.Drive.Inverter.Bands
	for s := range p.b.Sources {
		src, l := &p.b.Sources[s], &p.f.Lots[s]
		c := l.Slice.Cell
		for strings := 1; strings <= p.b.Targets.StringsMax; strings++ {
			for groups := 1; groups < 300; groups++ {
				full := float64(groups*l.Slice.Series) * float64(c.VoltageMax)
				below := float64((groups+1)*l.Slice.Series) * float64(c.VoltageMax)
				if full > (1+u.Window)*float64(bands.NeverExceed) || below <= (1-u.Window)*float64(bands.ReducedMin) {
					continue
				}
				for abreast := 1; abreast < 50; abreast++ {
					if float64(groups*abreast*strings)/l.Pieces > (1+u.Supply)*float64(src.Count-src.Spare) {
						continue
					}
					if m := src.Module; m != nil && abreast == m.SlicesParallel && groups%m.Groups == 0 && groups/m.Groups*strings <= u.Modules {
						can := design.Candidate{Source: s, Form: design.AsBuilt, Abreast: abreast, Strings: strings}
						can.Cut[0].Groups, can.Cut[0].Count = m.Groups, groups/m.Groups
						do(can)
					}
					if l.Hardware == nil {
						continue
					}
					shortest := max(1, (l.Hardware.SlicesMin+abreast-1)/abreast)
					for cut := range allCuts(groups, shortest, cell.SlicesLongest(&l.Slice, l.Hardware)/abreast, u.Modules/strings) {
						do(design.Candidate{Source: s, Abreast: abreast, Strings: strings, Cut: cut})
					}
				}
			}
		}
	}
}

// holds asks the solver whether a bay holds n modules of each length.
func (p *plain) holds(i int, m *design.Modules, n [2]int) bool {
	k := spaceKey{bay: i, width: m.Stack[0].Size.Y, n: n}
	var kinds []bay.Kind
	for j := range n {
		if n[j] > 0 {
			k.length[j] = m.Stack[j].Size.X
			kinds = append(kinds, bay.Kind{Size: m.Stack[j].Size, Mass: m.Stack[j].Mass, Orientations: m.Stack[j].Orientations, Count: n[j]})
		}
	}
	if len(kinds) == 0 {
		return true
	}
	fits, known := p.spaces[k]
	if !known {
		free := p.b.Bays[i]
		free.MassLimit = 0
		a := bay.Place(&free, kinds, bay.Options{})
		if a.Verdict == bay.NotProven {
			p.t.Fatalf("%v modules of %v in bay %d: not proven; the brief is too hard for this test", n, k.length, i)
		}
		fits = a.Verdict == bay.Fits
		p.spaces[k] = fits
	}
	return fits
}

// most returns how many modules have a place in two bays.
func (p *plain) most(m *design.Modules) int {
	best := 0
	for i := range m.Count[0] + 1 {
		for j := range m.Count[1] + 1 {
			if !p.holds(0, m, [2]int{i, j}) {
				continue
			}
			for k := range m.Count[0] - i + 1 {
				for l := range m.Count[1] - j + 1 {
					if i+j+k+l > best && p.holds(1, m, [2]int{k, l}) {
						best = i + j + k + l
					}
				}
			}
		}
	}
	return best
}

// option works out one candidate.
func (p *plain) option(c design.Candidate) plainOption {
	m, err := p.f.Modules(&c)
	if err != nil {
		p.t.Fatal(err)
	}
	lot := lotKey{c.Source, c.Form}
	w := p.f.Wire(c.Source, c.Form, c.Abreast, c.Strings, c.Cut.Groups())
	load := p.s.placer.load(&w, &m, lot)
	need, placed := m.Count[0]+m.Count[1], p.most(&m)
	if got := need - load.loading.Short; got != placed {
		p.t.Fatalf("%s: %d of %d modules have a place, the search found %d", p.f.ID(&c), placed, need, got)
	}
	o := plainOption{id: p.f.ID(&c), modules: need}
	o.pack = fmt.Sprint(c.Source, c.Form, p.f.Topology(&c))
	x := &working{plain: p, c: &c, m: &m, load: load, lot: lot, t: p.f.Topology(&c)}
	x.weigh()
	x.limits()
	o.values, o.mass, o.price, o.test = x.v, x.mass, x.price, x.test
	o.values.Value[design.Space], o.values.Limit[design.Space] = float64(placed), float64(need)
	o.values.Asked |= 1 << design.Space
	o.set = o.values.Broken()
	if o.settled = o.set&(o.set-1) == 0; o.settled {
		o.values.Value[design.RangeNew], o.values.Value[design.RangeEnd] = x.run(false), x.run(true)
		o.values.Limit[design.RangeNew], o.values.Limit[design.RangeEnd] = float64(p.b.Targets.Range), float64(p.b.Targets.RangeEnd)
		for _, r := range []design.Rule{design.RangeNew, design.RangeEnd} {
			if o.values.Limit[r] > 0 {
				o.values.Asked |= 1 << r
			}
		}
		o.set = o.values.Broken()
	}
	o.distance = o.values.Value[design.RangeNew]
	o.margin, _ = o.values.Worst()
	return o
}

// working is one candidate in work.
type working struct {
	*plain
	c           *design.Candidate
	m           *design.Modules
	load        *loaded
	lot         lotKey
	t           pack.Topology
	v           design.Values
	mass, test  float64
	price, resi float64
}

// state sets a rule; a limit of zero is none.
func (x *working) state(r design.Rule, value, limit float64) {
	x.v.Value[r], x.v.Limit[r] = value, limit
	if limit != 0 {
		x.v.Asked |= 1 << r
	}
}

// weigh puts every module, as an item with its share of what else the pack
// weighs, on the donor's ledger where it stands; what has no place stands in
// the mean of the bays' middles.
func (x *working) weigh() {
	b := x.b
	cells := float64(x.t.Cells()) * float64(x.f.Lots[x.c.Source].Slice.Cell.Mass)
	extra := float64(b.Build.CoolingShare)*cells + float64(b.Build.FixedMass) + float64(x.t.Strings-1)*float64(b.Build.MassPerString)
	modules := 0.0
	for k, n := range x.m.Count {
		modules += float64(n) * float64(x.m.Stack[k].Mass)
	}
	share := 1 + extra/modules
	var items []vehicle.Item
	left := x.m.Count
	middle, bays := vehicle.Point{}, 0
	worst, limit := 0.0, 0.0
	for i := range b.Bays {
		_, centre := b.Bays[i].Centre(nil, nil)
		middle.X += centre.X / unit.Length(len(b.Bays))
		places := x.s.placer.shelves[x.lot][i].in(slicesOf(x.m), x.load.loading.Count[i], x.load.deep)
		if len(places) == 0 {
			continue
		}
		bays++
		in := float64(b.Bays[i].BoxMass)
		items = append(items, vehicle.Item{Name: "box", Mass: b.Bays[i].BoxMass, At: centre})
		for _, pl := range places {
			s, at := pl.Box.Size, pl.Box.At
			at.X, at.Y, at.Z = at.X+s.X/2, at.Y+s.Y/2, at.Z+s.Z/2
			mass := float64(x.m.Stack[pl.Kind].Mass) * share
			in += mass
			left[pl.Kind]--
			items = append(items, vehicle.Item{Name: "module", Mass: unit.Mass(mass), At: b.Bays[i].ToVehicle(at)})
		}
		if l := float64(b.Bays[i].MassLimit); l > 0 && (limit == 0 || in/l > worst/limit) {
			worst, limit = in, l
		}
	}
	for k, n := range left {
		items = append(items, vehicle.Item{Name: "no place", Mass: unit.Mass(float64(n) * float64(x.m.Stack[k].Mass) * share), At: middle})
	}
	for _, it := range items {
		x.mass += float64(it.Mass)
	}
	after := b.Donor.Converted(items)
	front, rear, gross := after.AxleFront, after.AxleRear, after.Mass
	for _, c := range b.Donor.LoadCases {
		s := b.Donor.Loaded(after, c)
		front, rear, gross = max(front, s.AxleFront), max(rear, s.AxleRear), max(gross, s.Mass)
	}
	x.test = float64(after.Mass + b.Road.DriverMass)
	x.state(design.MassBattery, x.mass, float64(b.Targets.MassMax))
	x.state(design.MassGross, float64(gross), float64(b.Donor.Ratings.GrossMass))
	x.state(design.AxleFront, float64(front), float64(b.Donor.Ratings.AxleFront))
	x.state(design.AxleRear, float64(rear), float64(b.Donor.Ratings.AxleRear))
	x.state(design.BayMass, worst, limit)
	x.buy(bays)
}

// buy works out price, pieces and interconnects.
func (x *working) buy(bays int) {
	src, l, b := &x.b.Sources[x.c.Source], &x.f.Lots[x.c.Source], &x.b.Build
	groups := x.c.Cut.Groups()
	pieces := float64(groups * x.c.Abreast * x.c.Strings)
	if src.Module != nil {
		pieces = math.Ceil(pieces/float64(src.Module.Groups*src.Module.SlicesParallel) - 1e-9)
	}
	n := float64(x.m.Count[0] + x.m.Count[1])
	hours := float64(b.HoursFixed) / 3600
	x.price = pieces*src.Price.Amount + b.FixedPrice + float64(x.t.Strings-1)*b.PricePerString + float64(bays)*b.PricePerBay
	x.resi = float64(b.CableResistance)
	for k := range x.m.Count {
		x.resi += float64(x.m.String[k]) * float64(x.m.Stack[k].Resistance)
	}
	if h := l.Hardware; h != nil {
		x.price += n*h.PricePerModule.Amount + float64(groups*x.c.Abreast*x.c.Strings)*h.PricePerSlice.Amount
		hours += n * float64(h.HoursPerModule) / 3600
		x.resi += float64(x.m.String[0]+x.m.String[1]-1) * float64(h.JointResistance)
	}
	x.resi /= float64(x.t.Strings)
	x.price += hours * b.HourRate
	x.state(design.Money, x.price, x.b.Targets.PriceMax)
	x.state(design.Supply, pieces, float64(src.Count-src.Spare))
}

// cell returns one cell at a charge, temperature and life behind its resistance
// after d seconds, the pack's interconnects shared over the cells.
func (x *working) cell(h cell.Health, at unit.Temperature, z unit.Ratio, d unit.Time) pack.Source {
	c := x.f.Lots[x.c.Source].Slice.Cell
	t := x.table(c, at, h)
	r := float64(pack.ResistanceCell(t, z, d)) + x.resi*float64(x.t.Across())/float64(x.t.Series)
	return pack.Source{EMF: unit.Voltage(pack.Read(t.OCV, float64(z))), Resistance: unit.Resistance(r)}
}

// demand is what the schedule asks of the pack at the vehicle's own mass.
func (x *working) demand(s float64, v unit.Voltage) *drive.Demand {
	d, err := drive.NewDemand(x.f.Train(unit.Mass(s)), x.b.Targets.Schedule, drive.DemandOptions{Voltage: v})
	if err != nil {
		x.plain.t.Fatal(err)
	}
	return d
}

func (x *working) ends() (bought, end cell.Health) {
	bought, end = x.b.Sources[x.c.Source].Health, x.b.Targets.EndOfLife
	end.CapacityShare, end.ResistanceGrowth = min(bought.CapacityShare, end.CapacityShare), max(bought.ResistanceGrowth, end.ResistanceGrowth)
	return bought, end
}

// limits works out voltages, currents and the rest.
func (x *working) limits() {
	c, d := x.f.Lots[x.c.Source].Slice.Cell, &x.b.Drive
	series, cells := float64(x.t.Series), unit.Power(x.t.Cells())
	full := series * float64(c.VoltageMax)
	bought, end := x.ends()
	warm := x.b.Road.Ambient
	upper := func(b part.Bands) float64 { return float64(min(b.ReducedMax, b.NeverExceed)) }
	x.state(design.InverterFull, full, upper(d.Inverter.Bands))
	x.state(design.ChargerFull, full, upper(d.Charger.Bands))
	x.state(design.ChargerStart, series*float64(x.cell(end, warm, d.ReserveLow, 10).EMF), float64(d.Charger.StartMin))
	n := x.demand(x.test, d.Inverter.Bands.FullMax)
	peak, sum := n.PowerPeak()/cells, 0.0
	for _, w := range n.Power[:n.Steps()] {
		sum += w * w
	}
	rms := unit.Power(math.Sqrt(sum/float64(n.Steps()))) / cells
	rate := func(t unit.Time) float64 {
		return float64(c.Capacity) / 3600 * float64(min(c.Limits.DischargeRate(warm, t), c.Limits.DischargeRate(x.b.Targets.Hottest, t)))
	}
	i, _, _ := x.cell(end, warm, 0.2, 10).Current(peak)
	x.state(design.CurrentPeak, float64(i), rate(10))
	i, _, _ = x.cell(end, warm, 0.5, 600).Current(rms)
	x.state(design.CurrentContinuous, float64(i), rate(3600))
	i, _, _ = x.cell(end, warm, 0.5, 600).Current(unit.Power(x.climb()) / cells)
	x.state(design.Climb, float64(i), rate(600))
	lowest := math.Inf(1)
	for _, h := range []cell.Health{bought, end} {
		s := x.cell(h, x.b.Targets.Coldest, d.ReserveLow, 10)
		i, _, _ := s.Current(peak)
		i = min(i, unit.Current(float64(c.Capacity)/3600*float64(c.Limits.DischargeRate(x.b.Targets.Coldest, 10))))
		lowest = min(lowest, max(float64(s.EMF)-float64(s.Resistance)*float64(i), float64(min(c.VoltageMin, s.EMF))))
	}
	x.state(design.InverterLowest, series*lowest, float64(d.Inverter.Bands.ReducedMin))
	longest := 0
	for k := range x.m.Count {
		if x.m.Count[k] > 0 {
			longest = max(longest, x.m.Stack[k].Series())
		}
	}
	x.state(design.Handling, float64(longest)*float64(c.VoltageMax), float64(x.b.Targets.HandlingVoltage))
	energy := float64(x.pack().EnergyChemical(x.table(c, warm, bought)))
	x.state(design.ChargeTime, energy/float64(d.Charger.PowerMax), float64(x.b.Targets.ChargeTime))
}

// climb returns the power at the terminals on the wanted grade, W.
func (x *working) climb() float64 {
	v, err := drive.SteadyAt(x.f.Train(unit.Mass(x.test)), x.b.Targets.GradeSpeed, x.b.Targets.Grade, x.b.Drive.Inverter.Bands.FullMax)
	if err != nil {
		x.plain.t.Fatal(err)
	}
	return float64(v.Terminals)
}

func (x *working) pack() *pack.Pack {
	return &pack.Pack{
		Topology: x.t, Cell: x.f.Lots[x.c.Source].Slice.Cell, Resistance: unit.Resistance(x.resi),
		SoCMin: x.b.Drive.ReserveLow, SoCMax: 1 - x.b.Drive.ReserveHigh,
	}
}

// run makes a complete range run.
func (x *working) run(atEnd bool) float64 {
	h, end := x.ends()
	c := x.f.Lots[x.c.Source].Slice.Cell
	t := x.table(c, x.b.Road.Ambient, h)
	rest := unit.Voltage(float64(x.t.Series) * pack.Read(t.OCV, float64(1-x.b.Drive.ReserveHigh)))
	if atEnd {
		h = end
	}
	l, err := drive.NewLumped(c, x.b.Road.Ambient, h, 1)
	if err != nil {
		x.plain.t.Fatal(err)
	}
	res, err := drive.Range(x.demand(x.test, rest), l, x.pack(), drive.Options{})
	if err != nil {
		x.plain.t.Fatal(err)
	}
	return float64(res.Distance)
}
