package drawing

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"packyard/bay"
	"packyard/cell"
	"packyard/circuit"
	"packyard/design"
	"packyard/drive"
	"packyard/part"
	"packyard/search"
	"packyard/unit"
	"packyard/vehicle"
)

const mm = unit.Millimetre

func vec(x, y, z unit.Length) bay.Vec { return bay.Vec{X: x * mm, Y: y * mm, Z: z * mm} }

func at(x, y, z unit.Length) vehicle.Point { return vehicle.Point{X: x * mm, Y: y * mm, Z: z * mm} }

// cart is an invented vehicle with two bays, one of them turned.
func cart() *design.Brief {
	return &design.Brief{
		Title: "Test cart", Invented: true, Currency: "EUR",
		Outline: design.Outline{Front: 0.6, Rear: 0.7, Width: 1.5, Height: 1.7},
		Donor: vehicle.Donor{
			Wheelbase: 2.1, TrackFront: 1.25, TrackRear: 1.2, WeighedFront: 520, WeighedRear: 380, HeightCG: 0.56, TyreRadius: 0.28, Wheels: 4,
			Ratings: vehicle.Ratings{GrossMass: 1300, AxleFront: 560, AxleRear: 760, TyreFront: 300, TyreRear: 420},
			Removed: []vehicle.Item{{Name: "engine", Mass: 120, At: at(60, 0, 520)}, {Name: "tank & fuel", Mass: 35, At: at(1500, 300, 420)}},
			Added:   []vehicle.Item{{Name: "motor", Mass: 48, At: at(120, 0, 430)}, {Name: "inverter", Mass: 9, At: at(300, -200, 600)}},
			LoadCases: []vehicle.LoadCase{
				{Name: "driver and goods", Items: []vehicle.Item{{Name: "driver", Mass: 75, At: at(700, 300, 850)}, {Name: "goods", Mass: 200, At: at(1900, 0, 900)}}},
			},
		},
		Bays: []bay.Bay{
			{Name: "front bay", At: at(-350, -350, 480), Boxes: []bay.Box{{Size: vec(600, 700, 320)}},
				KeepOuts: []bay.Box{{At: vec(450, 0, 0), Size: vec(150, 160, 180)}}, Wall: 5 * mm, Clearance: 4 * mm, Gap: 3 * mm, Connector: 20 * mm, MassLimit: 60, Opens: bay.Top},
			{Name: "bed <rear>", At: at(1300, -400, 350), Yaw: 10 * unit.Degree, Pitch: 5 * unit.Degree, Boxes: []bay.Box{{Size: vec(700, 800, 300)}, {At: vec(700, 200, 0), Size: vec(200, 400, 200)}},
				Wall: 5 * mm, Clearance: 4 * mm, Opens: bay.Left},
		},
		Drive: design.Drive{
			Inverter:  &part.Inverter{Title: "inverter 144 V class", Bands: part.Bands{FullMin: 90, FullMax: 155, ReducedMin: 80, ReducedMax: 160, NeverExceed: 170}},
			Charger:   &part.Charger{Title: "charger 3 kW", Bands: part.Bands{FullMin: 85, FullMax: 165, ReducedMin: 80, ReducedMax: 168, NeverExceed: 175}, StartMin: 84},
			Converter: &part.Converter{Title: "converter"},
		},
	}
}

// assessed returns an assessment of the cart with four modules in its bays; the
// states are worked out by package vehicle.
func assessed(b *design.Brief) *design.Assessment {
	a := &design.Assessment{
		Option: "lot/36S1P/4x9S", Project: b.Title, Invented: true, Topology: "36S1P", Cell: design.CellLine{Title: "prismatic LFP, 105 Ah"},
		Modules: []design.ModuleLine{{Count: 4, Series: 9, Parallel: 1, Slices: 9, Length: 300 * mm, Width: 140 * mm, Height: 230 * mm, Mass: 21.5}},
		Window:  design.Window{Full: 131.4, Nominal: 115.2, Rest: 112, Lowest: 92.4, Floor: 90},
	}
	place := func(x, y, z, l, w, h unit.Length, o cell.Orientation, s bay.Side) design.PlaceLine {
		return design.PlaceLine{X: x * mm, Y: y * mm, Z: z * mm, Length: l * mm, Width: w * mm, Height: h * mm, Orientation: string(o), Terminals: string(s)}
	}
	a.Bays = []design.BayLine{
		{Name: "front bay", Mass: 68, Limit: 60, Places: []design.PlaceLine{place(9, 200, 9, 140, 300, 230, cell.ZUp, bay.Top), place(160, 200, 9, 300, 140, 230, cell.ZUp, bay.Top)}},
		{Name: "bed <rear>", Mass: 43, Places: []design.PlaceLine{place(9, 9, 9, 300, 230, 140, cell.YUp, bay.Left), place(9, 9, 155, 300, 230, 140, cell.YUp, bay.Left)}},
	}
	var pack []vehicle.Item
	for i, line := range a.Bays {
		for _, p := range line.Places {
			pack = append(pack, vehicle.Item{Name: "module", Mass: a.Modules[0].Mass,
				At: b.Bays[i].ToVehicle(bay.Vec{X: p.X + p.Length/2, Y: p.Y + p.Width/2, Z: p.Z + p.Height/2})})
		}
	}
	before, after := b.Donor.Before(), b.Donor.Converted(pack)
	before.Name, after.Name = "donor as weighed", "converted, empty"
	loaded := b.Donor.Loaded(after, b.Donor.LoadCases[0])
	loaded.Name = "converted, driver and goods"
	for _, s := range []vehicle.State{before, after, loaded} {
		a.Vehicle = append(a.Vehicle, stateLine(s))
	}
	return a
}

func cartView(s unit.System) View {
	b := cart()
	a := assessed(b)
	return View{Brief: b, Assessment: a, Title: TitleOf(a, s)}
}

// longNames is the cart with names that do not fit anywhere.
func longNames(s unit.System) View {
	v := cartView(s)
	name := strings.Repeat("a very long name of it ", 12)
	v.Title.Project, v.Title.Option, v.Title.Date = name, name, "2031-07-14"
	for i := range v.Brief.Bays {
		v.Brief.Bays[i].Name = name + strconv.Itoa(i)
		v.Assessment.Bays[i].Name = v.Brief.Bays[i].Name
	}
	for i := range v.Assessment.Vehicle {
		v.Assessment.Vehicle[i].Name = name + strconv.Itoa(i)
	}
	v.Brief.Donor.Removed[0].Name, v.Brief.Donor.Added[1].Name = name, name
	v.Brief.Drive.Inverter.Title, v.Assessment.Cell.Title = name, name
	v.Assessment.Bays[0].Places[0].Terminals = "left"
	return v
}

// report returns options of three sources.
func report() *search.Report {
	r := &search.Report{Project: "Test cart", Schedule: "wltc-class2", Currency: "EUR", Fits: 900, Packs: 60,
		Sources: []search.SourceCount{{Name: "cans"}, {Name: "new"}, {Name: "closed"}}}
	rng := rand.New(rand.NewPCG(3, 7))
	for i := range 60 {
		source := r.Sources[i%3].Name
		mass := 180 + 5*float64(i) + 40*rng.Float64()
		row := search.Row{
			ID: fmt.Sprintf("%s/%dS2P/8x%dS", source, 40+i, 5+i), Topology: fmt.Sprintf("%dS2P", 40+i), Pareto: i%4 == 0,
			Mass: unit.Mass(mass), Range: unit.Length(90e3 + 400*mass + 9e3*rng.Float64()), Price: 4000 + 12*mass + 900*rng.Float64(),
		}
		r.Ranked = append(r.Ranked, row)
		if row.Pareto {
			r.Pareto = append(r.Pareto, row)
		}
	}
	return r
}

// flow returns a balance that closes, with its run.
func flow() FlowPicture {
	b := &drive.Balance{Rolling: 30e6, Air: 22e6, Grade: -1.5e6, Inertia: 0.2e6, Friction: 9e6, Stages: 7e6, Motor: 8e6, Inverter: 3e6,
		Auxiliary: 11e6, Joints: 0.4e6, R0: 2e6, RC1Lost: 0.7e6, RC1Stored: 0.01e6, RC2Lost: 0.3e6}
	b.Chemical = b.Rolling + b.Air + b.Grade + b.Inertia + b.Friction + b.Stages + b.Motor + b.Inverter + b.Auxiliary + b.Joints + b.R0 + b.RC1Lost + b.RC1Stored + b.RC2Lost
	r := &drive.Result{Distance: 120e3}
	r.Energy = drive.Energies{Chemical: b.Chemical, Wall: b.Chemical * 1.1, Recovered: 10e6, Braking: 19e6}
	return FlowPicture{Balance: b, Result: r, Schedule: "wltc-class2", Title: Title{Project: "Test cart", Invented: true}}
}

// trace returns a run of n steps with one short peak of power.
func trace(n int) *drive.Trace {
	t := &drive.Trace{}
	for i := range n {
		x := float64(i)
		speed := 12 + 10*math.Sin(x/60)
		power := 1e4 * math.Sin(x/17)
		if i == n*2/3 {
			power = 5.5e4
		}
		t.Time = append(t.Time, x)
		t.Distance = append(t.Distance, 12*x)
		t.Speed, t.SpeedWanted = append(t.Speed, speed), append(t.SpeedWanted, speed+0.1)
		t.Power, t.Current = append(t.Power, power), append(t.Current, power/120)
		t.Voltage, t.SoC = append(t.Voltage, 125-x/float64(n)*20), append(t.SoC, 0.97-0.9*x/float64(n))
	}
	return t
}

// pictures returns one of every picture.
func pictures(t testing.TB, s unit.System) map[string]*Sheet {
	t.Helper()
	v := cartView(s)
	bare := View{Brief: v.Brief, Title: Title{Project: v.Brief.Title, System: s}}
	var cells []*cell.Cell
	for _, c := range cell.BuiltIn().Cells {
		if c.Curves != nil {
			cells = append(cells, c)
		}
	}
	one, err := CellCurves(CellPicture{Cells: cells[:1], Title: v.Title})
	if err != nil {
		t.Fatal(err)
	}
	four, err := CellCurves(CellPicture{Cells: cells[:4], Title: v.Title})
	if err != nil {
		t.Fatal(err)
	}
	f := flow()
	f.Title.System = s
	driven := flow()
	driven.Title.System = s
	driven.Result.Energy.Wall = 0
	long := longNames(s)
	return map[string]*Sheet{
		"side, long names": SideView(long), "top, long names": TopView(long), "bay, long names": BayViews(long, 0), "window, long names": WindowPicture(long),
		"side": SideView(v), "top": TopView(v), "bay-0": BayViews(v, 0), "bay-1": BayViews(v, 1),
		"side without pack": SideView(bare), "top without pack": TopView(bare), "bay without pack": BayViews(bare, 0), "window without pack": WindowPicture(bare),
		"window": WindowPicture(v), "cell": one, "cells": four, "flow": EnergyFlow(f), "flow without wall": EnergyFlow(driven),
		"mass":               OptionsPicture(Scatter{Report: report(), Marked: report().Ranked[20].ID, Wanted: 150e3, Most: 400, Title: v.Title}),
		"price":              OptionsPicture(Scatter{Report: report(), Across: ByPrice, Most: 9000, Title: v.Title}),
		"none":               OptionsPicture(Scatter{Report: &search.Report{Currency: "EUR"}, Title: v.Title}),
		"time":               TraceChart(TracePicture{Trace: trace(20000), Schedule: "wltc-class2", Title: v.Title}),
		"road":               TraceChart(TracePicture{Trace: trace(500), Distance: true, Panels: []Panel{Power, Charge}, Title: v.Title}),
		"who opens":          TimeCurrent(CircuitPicture{Chart: opening(), Title: v.Title}),
		"who opens, nothing": TimeCurrent(CircuitPicture{Title: v.Title}),
		"empty":              TraceChart(TracePicture{Trace: &drive.Trace{}, Title: v.Title}),
	}
}

// opening is a chart of round numbers.
func opening() circuit.Chart {
	return circuit.Chart{
		Curves: []circuit.ChartCurve{
			{Kind: circuit.CurveMelting, Name: "fuse 100 A", Current: []float64{200, 1000, 10000}, Time: []float64{1000, 0.1, 1e-4}},
			{Kind: circuit.CurveClearing, Name: "fuse 100 A", Current: []float64{300, 1000, 10000}, Time: []float64{1000, 1, 1e-3}},
			{Kind: circuit.CurveCable, Name: "cable 25 mm²", Current: []float64{100, 1000, 10000}, Time: []float64{5, 5, 0.1}},
			{Kind: circuit.CurveCarries, Name: "contactor 150 A", Current: []float64{200, 1000, 10000}, Time: []float64{100, 10, 0.01}},
		},
		Points: []circuit.DutyPoint{{Name: "continuous", Current: 100, Time: 3600}, {Name: "peak", Current: 150, Time: 10}},
		Lowest: 1000, Highest: 10000, Break: 800,
	}
}

func svg(t testing.TB, s *Sheet) string {
	t.Helper()
	var b bytes.Buffer
	if err := s.SVG(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// element is one element of an SVG as read back.
type element struct {
	name     string
	attr     map[string]string
	text     string
	parent   *element
	children []*element
}

// parse reads an SVG and fails unless it is well formed.
func parse(t testing.TB, text string) *element {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(text))
	root := &element{}
	at := root
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("not well formed: %v", err)
		}
		switch x := token.(type) {
		case xml.StartElement:
			e := &element{name: x.Name.Local, attr: map[string]string{}, parent: at}
			for _, a := range x.Attr {
				if _, twice := e.attr[a.Name.Local]; twice {
					t.Fatalf("<%s> has the attribute %s twice", e.name, a.Name.Local)
				}
				e.attr[a.Name.Local] = a.Value
			}
			at.children = append(at.children, e)
			at = e
		case xml.EndElement:
			at = at.parent
		case xml.CharData:
			at.text += string(x)
		}
	}
	if len(root.children) != 1 {
		t.Fatalf("%d root elements", len(root.children))
	}
	return root.children[0]
}

// all returns e and all elements inside for which ok holds.
func (e *element) all(ok func(*element) bool) []*element {
	var out []*element
	if ok(e) {
		out = append(out, e)
	}
	for _, c := range e.children {
		out = append(out, c.all(ok)...)
	}
	return out
}

func (e *element) kind(k string) []*element {
	return e.all(func(x *element) bool { return x.attr["data-kind"] == k })
}

func (e *element) number(t testing.TB, attr string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(e.attr[attr], 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		t.Fatalf("<%s %s=%q> of %v is not a number", e.name, attr, e.attr[attr], e.attr)
	}
	return v
}
