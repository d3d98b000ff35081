package design_test

import (
	"pgregory.net/rapid"

	"packyard/bay"
	"packyard/cell"
	"packyard/check"
	"packyard/design"
	"packyard/drive"
	"packyard/part"
	"packyard/schedule"
	"packyard/unit"
	"packyard/vehicle"
)

// failer is what a test and a property have in common.
type failer interface {
	Helper()
	Fatal(args ...any)
}

// van returns an invented small van with three bays and five sources: openable
// modules with series inside their slices, openable modules of plain slices,
// loose prismatic and cylindrical cells, closed modules. Its figures are made up.
func van(t failer) *design.Brief {
	t.Helper()
	s, err := schedule.Find("wltc-class2")
	if err != nil {
		t.Fatal(err)
	}
	units, cells := part.BuiltIn(), cell.BuiltIn()
	price := func(x float64) check.Price {
		return check.Price{Amount: x, Currency: "EUR", Pos: check.Pos{Line: 1}}
	}
	return &design.Brief{
		Title: "test van", Invented: true, Currency: "EUR",
		Donor: vehicle.Donor{
			Wheelbase: 2.4, TrackFront: 1.35, TrackRear: 1.33, WeighedFront: 690, WeighedRear: 480, HeightCG: 0.62,
			Ratings:    vehicle.Ratings{GrossMass: 2150, AxleFront: 1000, AxleRear: 1300, TyreFront: 495, TyreRear: 700},
			TyreRadius: 0.29, Wheels: 4, WheelInertia: 1,
			Removed: []vehicle.Item{{Name: "engine", Mass: 160, At: vehicle.Point{X: 0.05, Z: 0.6}}},
			Added:   []vehicle.Item{{Name: "motor", Mass: 85, At: vehicle.Point{X: 0.2, Z: 0.5}}},
			LoadCases: []vehicle.LoadCase{
				{Name: "driver", Items: []vehicle.Item{{Name: "driver", Mass: 75, At: vehicle.Point{X: 0.6, Y: 0.35, Z: 0.9}}}},
				{Name: "parcels", Items: []vehicle.Item{
					{Name: "driver", Mass: 75, At: vehicle.Point{X: 0.6, Y: 0.35, Z: 0.9}},
					{Name: "parcels", Mass: 380, At: vehicle.Point{X: 2.0, Z: 1.05}},
				}},
			},
		},
		Road: design.Road{Load: vehicle.RoadLoad{DragArea: 1.0, Rolling: 0.012}, DriverMass: 150, Ambient: unit.Celsius(15)},
		Drive: design.Drive{
			Unit: units.DriveUnit("generic-car-unit-80kw"), Inverter: units.Inverter("generic-inverter-270-440v"),
			Charger: units.Charger("generic-charger-6k6-400v"), Converter: units.Converter("generic-converter-400v"),
			DrivenAxle: "front", Regen: drive.Regen{Share: 0.6, FadeFrom: 12 * unit.KilometrePerHour, FadeTo: 5 * unit.KilometrePerHour},
			Auxiliary: part.Auxiliaries{Measured: 350}, ReserveLow: 0.08, ReserveHigh: 0.03,
		},
		Bays: []bay.Bay{
			bayAt("front", vehicle.Point{X: -0.36, Y: -0.4, Z: 0.55}, bay.Vec{X: 0.8, Y: 0.85, Z: 0.45}, 20),
			bayAt("floor", vehicle.Point{X: 0.9, Y: -0.55, Z: 0.25}, bay.Vec{X: 1.2, Y: 1.1, Z: 0.4}, 28),
			bayAt("rear", vehicle.Point{X: 2.6, Y: -0.4, Z: 0.4}, bay.Vec{X: 0.66, Y: 0.8, Z: 0.42}, 18),
		},
		Build: design.Build{
			CoolingShare: 0.04, FixedMass: 26, MassPerString: 7, CableResistance: 0.004, FixedPrice: 1450, PricePerString: 380,
			PricePerBay: 260, HoursFixed: 40 * unit.Hour, HourRate: 25,
		},
		Sources: []design.Source{
			{Name: "cans", Kind: design.Openable, Module: cells.Module("openable-pouch-lmo-33-2s2p"), Count: 120, Spare: 4, Price: price(42), Health: cell.Health{CapacityShare: 0.82, ResistanceGrowth: 1.3}},
			{Name: "pouches", Kind: design.Openable, Module: cells.Module("openable-pouch-nmc-21-24s2p"), Count: 12, Price: price(300), Health: cell.Health{CapacityShare: 0.9, ResistanceGrowth: 1.1}},
			{Name: "lfp", Kind: design.LooseCells, Cell: cells.Cell("prismatic-lfp-105"), Hardware: cells.HardwareByID("stack-prismatic-105"), Count: 130, Price: price(41), Health: cell.New},
			{Name: "round", Kind: design.LooseCells, Cell: cells.Cell("cylindrical-21700-nmc-5"), Hardware: cells.HardwareByID("holder-21700"), Count: 3000, Price: price(3), Health: cell.New},
			{Name: "closed", Kind: design.Closed, Module: cells.Module("closed-prismatic-nmc-94-12s1p"), Count: 18, Price: price(500), Health: cell.Health{CapacityShare: 0.9, ResistanceGrowth: 1.15}},
		},
		Targets: design.Targets{
			Schedule: s, Range: 100e3, RangeEnd: 60e3, PriceMax: 12000, MassMax: 520, Grade: 0.06, GradeSpeed: 50 * unit.KilometrePerHour,
			Coldest: unit.Celsius(-10), Hottest: unit.Celsius(36), HandlingVoltage: 130, ChargeTime: 9 * unit.Hour, StringsMax: 2,
			EndOfLife: cell.Health{CapacityShare: 0.7, ResistanceGrowth: 1.7},
		},
	}
}

func bayAt(name string, at vehicle.Point, size bay.Vec, box unit.Mass) bay.Bay {
	return bay.Bay{
		Name: name, At: at, Boxes: []bay.Box{{Size: size}},
		Wall: 6 * unit.Millimetre, Clearance: 5 * unit.Millimetre, Gap: 3 * unit.Millimetre, Connector: 20 * unit.Millimetre,
		Opens: bay.Top, BoxMass: box, MassLimit: 230 * unit.Kilogram,
	}
}

func frame(t failer, b *design.Brief) *design.Frame {
	t.Helper()
	f, err := design.NewFrame(b)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// candidate draws a candidate that can be built, with at most most modules.
func candidate(t *rapid.T, f *design.Frame, most int) *design.Candidate {
	b := f.Brief
	for range 200 {
		c := &design.Candidate{Source: rapid.IntRange(0, len(b.Sources)-1).Draw(t, "source"), Strings: rapid.IntRange(1, 2).Draw(t, "strings")}
		src := &b.Sources[c.Source]
		n := rapid.IntRange(1, most/c.Strings).Draw(t, "modules")
		if src.Kind == design.Closed || src.Kind == design.Openable && rapid.Bool().Draw(t, "as built") {
			c.Form, c.Abreast = design.AsBuilt, src.Module.SlicesParallel
			c.Cut[0].Groups, c.Cut[0].Count = src.Module.Groups, n
			return c
		}
		l := &f.Lots[c.Source]
		longest := cell.SlicesLongest(&l.Slice, l.Hardware)
		c.Abreast = rapid.IntRange(1, min(longest, 6)).Draw(t, "abreast")
		c.Cut[0].Groups = rapid.IntRange(1, longest/c.Abreast).Draw(t, "groups")
		c.Cut[0].Count = n
		if n > 1 && c.Cut[0].Groups > 1 && rapid.Bool().Draw(t, "two lengths") {
			c.Cut[1].Count = rapid.IntRange(1, n-1).Draw(t, "of the second")
			c.Cut[0].Count -= c.Cut[1].Count
			c.Cut[1].Groups = rapid.IntRange(1, c.Cut[0].Groups-1).Draw(t, "groups of the second")
		}
		if _, err := f.Modules(c); err == nil {
			return c
		}
	}
	t.Fatal("no candidate in 200 draws")
	return nil
}

// placed puts the candidate's modules into the bays one by one, where the draw
// says and there is room, works out its values and, if wanted, both range runs;
// nil when they do not all go in.
func placed(t *rapid.T, f *design.Frame, c *design.Candidate, runs bool) *design.Placed {
	m, err := f.Modules(c)
	if err != nil {
		t.Fatal(err)
	}
	p := &design.Placed{ID: f.ID(c), Candidate: *c, Modules: m, Wiring: f.Wire(c.Source, c.Form, c.Abreast, c.Strings, c.Cut.Groups())}
	n := len(f.Brief.Bays)
	p.Loading = design.Loading{Count: make([][2]int, n), Known: true}
	p.Places = make([][]bay.Placement, n)
	for k := range m.Count {
		for range m.Count[k] {
			if !putOne(f, p, k, rapid.IntRange(0, n-1).Draw(t, "bay")) {
				return nil
			}
		}
	}
	for i, list := range p.Places {
		for _, pl := range list {
			s := pl.Box.Size
			at := f.Brief.Bays[i].ToVehicle(bay.Vec{X: pl.Box.At.X + s.X/2, Y: pl.Box.At.Y + s.Y/2, Z: pl.Box.At.Z + s.Z/2})
			sum := &p.Loading.Sum[pl.Kind]
			sum.X, sum.Y, sum.Z = sum.X+at.X, sum.Y+at.Y, sum.Z+at.Z
		}
	}
	p.Figures = f.Evaluate(&p.Wiring, &p.Modules, &p.Loading, &p.Values)
	if !runs {
		return p
	}
	for end, r := range map[bool]*drive.Result{false: &p.New, true: &p.End} {
		trip := design.Trip{Wiring: &p.Wiring, Figures: &p.Figures, Schedule: f.Brief.Targets.Schedule, End: end}
		d, err := f.Drive(&trip)
		if err != nil {
			t.Fatal(err)
		}
		*r = d.Result
	}
	return p
}

// putOne puts one more module of length k into the bay, or the next that takes it.
func putOne(f *design.Frame, p *design.Placed, k, first int) bool {
	for d := range f.Brief.Bays {
		i := (first + d) % len(f.Brief.Bays)
		free := f.Brief.Bays[i]
		free.MassLimit = 0
		n := p.Loading.Count[i]
		n[k]++
		kinds := []bay.Kind{{Size: cell.Size{X: 1, Y: 1, Z: 1}}, {Size: cell.Size{X: 1, Y: 1, Z: 1}}}
		for j := range kinds {
			if st := &p.Modules.Stack[j]; st.Slice != nil {
				kinds[j] = bay.Kind{Size: st.Size, Mass: st.Mass, Orientations: st.Orientations}
			}
			kinds[j].Count = n[j]
		}
		if a := bay.Place(&free, kinds, bay.Options{Nodes: 1000}); a.Verdict == bay.Fits {
			p.Loading.Count[i], p.Places[i] = n, a.Placements
			return true
		}
	}
	return false
}
