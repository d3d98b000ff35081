package design_test

import (
	"encoding/json"
	"math"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"packyard/check"
	"packyard/check/checktest"
	"packyard/design"
	"packyard/unit"
	"packyard/vehicle"
)

// nearly fails when got and want differ by more than rounding: sums of some
// twenty terms in another order, 1e-12 each.
func nearly(t failer, name string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > 1e-9*max(1, math.Abs(want)) {
		t.Fatal(name, "got", got, "want", want)
	}
}

// TestAssessmentAgreesWithTheQuickRules: the search counts by linear formulas,
// the assessment weighs every module where it stands.
func TestAssessmentAgreesWithTheQuickRules(t *testing.T) {
	t.Parallel()
	f := frame(t, van(t))
	checktest.Check(t, func(t *rapid.T) {
		c := candidate(t, f, 8)
		p := placed(t, f, c, false)
		if p == nil {
			t.Skip("not all modules go in")
		}
		a := f.Assess(p)
		ledger(t, f, p)
		front, rear, gross := 0.0, 0.0, 0.0
		for _, s := range a.Vehicle[1:] {
			front, rear, gross = max(front, float64(s.AxleFront)), max(rear, float64(s.AxleRear)), max(gross, float64(s.Mass))
			nearly(t, s.Name+": axles against mass", float64(s.AxleFront+s.AxleRear), float64(s.Mass))
			nearly(t, s.Name+": wheels against mass", float64(s.FrontLeft+s.FrontRight+s.RearLeft+s.RearRight), float64(s.Mass))
		}
		nearly(t, "front axle", front, p.Values.Value[design.AxleFront])
		nearly(t, "rear axle", rear, p.Values.Value[design.AxleRear])
		nearly(t, "gross mass", gross, p.Values.Value[design.MassGross])
		nearly(t, "pack mass", float64(p.Figures.Mass), p.Values.Value[design.MassBattery])
		inBays, worst, limit := 0.0, 0.0, 0.0
		for i, b := range a.Bays {
			inBays += float64(b.Mass)
			if r := float64(b.Mass) / float64(b.Limit); b.Mass > 0 && (limit == 0 || r > worst/limit) {
				worst, limit = float64(b.Mass), float64(b.Limit)
			}
			if len(b.Places) != p.Loading.Count[i][0]+p.Loading.Count[i][1] {
				t.Fatalf("bay %s: %d places for %v", b.Name, len(b.Places), p.Loading.Count[i])
			}
		}
		nearly(t, "mass in all bays", inBays, float64(p.Figures.Mass))
		nearly(t, "fullest bay", worst, p.Values.Value[design.BayMass])
		nearly(t, "its limit", limit, p.Values.Limit[design.BayMass])
		nearly(t, "full voltage", float64(a.Window.Full), p.Values.Value[design.InverterFull])
		nearly(t, "lowest voltage", float64(a.Window.Lowest), p.Values.Value[design.InverterLowest])
		parts(t, f, p, a)
		if (a.Verdict == "fits") != (p.Values.Broken() == 0) {
			t.Fatalf("verdict %q with broken %v", a.Verdict, p.Values.Broken().Rules())
		}
		failures := 0
		for _, g := range a.Findings {
			if _, counted := design.RuleNamed(g.Rule); counted && g.Severity == check.Failure {
				failures++
			}
		}
		if failures != len(p.Values.Broken().Rules()) {
			t.Fatalf("%d failures among the findings, %v broken", failures, p.Values.Broken().Rules())
		}
	})
}

// ledger weighs the converted van with every module and box as an item of its
// own, cooling and fixed parts spread over the modules by their mass.
func ledger(t *rapid.T, f *design.Frame, p *design.Placed) {
	b := f.Brief
	modules := 0.0
	for k, n := range p.Modules.Count {
		modules += float64(n) * float64(p.Modules.Stack[k].Mass)
	}
	cells := float64(p.Wiring.Topology.Cells()) * float64(f.Lots[p.Candidate.Source].Slice.Cell.Mass)
	extra := 0.04*cells + 26 + 7*float64(p.Candidate.Strings-1)
	var items []vehicle.Item
	for i, list := range p.Places {
		for _, pl := range list {
			m := float64(p.Modules.Stack[pl.Kind].Mass)
			s := pl.Box.Size
			at := pl.Box.At
			at.X, at.Y, at.Z = at.X+s.X/2, at.Y+s.Y/2, at.Z+s.Z/2
			items = append(items, vehicle.Item{Name: "module", Mass: unit.Mass(m * (1 + extra/modules)), At: b.Bays[i].ToVehicle(at)})
		}
		if len(list) > 0 {
			_, centre := b.Bays[i].Centre(nil, nil)
			items = append(items, vehicle.Item{Name: "box", Mass: b.Bays[i].BoxMass, At: centre})
		}
	}
	after := b.Donor.Converted(items)
	front, rear, gross := after.AxleFront, after.AxleRear, after.Mass
	for _, c := range b.Donor.LoadCases {
		s := b.Donor.Loaded(after, c)
		front, rear, gross = max(front, s.AxleFront), max(rear, s.AxleRear), max(gross, s.Mass)
	}
	nearly(t, "front axle by the ledger", p.Values.Value[design.AxleFront], float64(front))
	nearly(t, "rear axle by the ledger", p.Values.Value[design.AxleRear], float64(rear))
	nearly(t, "gross mass by the ledger", p.Values.Value[design.MassGross], float64(gross))
	nearly(t, "test mass by the ledger", float64(p.Figures.Test), float64(after.Mass)+150)
}

// parts adds the working of the price up from its inputs, and the brief's.
func parts(t *rapid.T, f *design.Frame, p *design.Placed, a *design.Assessment) {
	b := &f.Brief.Build
	for _, w := range a.Workings {
		if w.Name != "money.pack" {
			continue
		}
		in := map[string]float64{}
		for _, i := range w.Inputs {
			in[i.Symbol] = i.Value.SI
		}
		sum := in["n"]*in["p"] + in["p_fixed"] + (in["N"]-1)*in["p_string"] + in["n_bays"]*in["p_bay"] + in["n_modules"]*in["p_module"] +
			in["n_slices"]*in["p_slice"] + (in["t"]+in["n_modules"]*in["t_module"])/3600*in["p_hour"]
		nearly(t, "price from the inputs of its working", sum, p.Figures.Price)
		nearly(t, "price of the working", w.Result.SI, p.Figures.Price)
	}
	bays, want := 0, b.FixedPrice+b.PricePerString*float64(p.Candidate.Strings-1)
	for _, n := range p.Loading.Count {
		if n[0]+n[1] > 0 {
			bays++
		}
	}
	src, l := &f.Brief.Sources[p.Candidate.Source], &f.Lots[p.Candidate.Source]
	pieces := math.Ceil(float64(p.Candidate.Cut.Groups()*p.Candidate.Abreast*p.Candidate.Strings)/l.Pieces - 1e-6)
	want += pieces*src.Price.Amount + b.PricePerBay*float64(bays)
	hours := float64(b.HoursFixed) / 3600
	if p.Candidate.Form == design.Regrouped {
		n := float64(p.Modules.Count[0] + p.Modules.Count[1])
		want += n*l.Hardware.PricePerModule.Amount + float64(p.Wiring.Slices)*l.Hardware.PricePerSlice.Amount
		hours += n * float64(l.Hardware.HoursPerModule) / 3600
	}
	nearly(t, "price from the brief", p.Figures.Price, want+hours*b.HourRate)
	nearly(t, "pieces", p.Values.Value[design.Supply], pieces)
}

// TestNoNumberOfAnAssessmentIsNaN walks every number, range runs included.
func TestNoNumberOfAnAssessmentIsNaN(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		b := van(t)
		b.Targets.Schedule = short()
		b.Targets.Range, b.Targets.RangeEnd = 0, 0
		if rapid.Bool().Draw(t, "few limits") {
			b.Targets = design.Targets{Schedule: short(), StringsMax: 2}
			b.Donor.Ratings = vehicle.Ratings{}
			b.Build = design.Build{}
			for i := range b.Bays {
				b.Bays[i].MassLimit = 0
			}
		}
		if rapid.Bool().Draw(t, "colder than the cells allow") {
			b.Targets.Coldest = unit.Celsius(-60)
		}
		if rapid.Bool().Draw(t, "free of charge") {
			for i := range b.Sources {
				b.Sources[i].Price = check.Price{}
			}
		}
		b.Drive.ReserveLow = unit.Ratio(rapid.Float64Range(0, 0.3).Draw(t, "low"))
		f := frame(t, b)
		p := placed(t, f, candidate(t, f, 6), true)
		if p == nil {
			t.Skip("not all modules go in")
		}
		a := f.Assess(p)
		finite(t, "assessment", reflect.ValueOf(a))
		finite(t, "values", reflect.ValueOf(p.Values))
		finite(t, "figures", reflect.ValueOf(p.Figures))
		if _, err := json.Marshal(a); err != nil {
			t.Fatal(err)
		}
	})
}

// finite fails on any number that is not.
func finite(t failer, name string, v reflect.Value) {
	switch v.Kind() {
	case reflect.Float64:
		if x := v.Float(); math.IsNaN(x) || math.IsInf(x, 0) {
			t.Fatal(name, "is", x)
		}
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			finite(t, name, v.Elem())
		}
	case reflect.Struct:
		for i := range v.NumField() {
			finite(t, name+"."+v.Type().Field(i).Name, v.Field(i))
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			finite(t, name, v.Index(i))
		}
	case reflect.Map:
		for _, k := range v.MapKeys() {
			finite(t, name, v.MapIndex(k))
		}
	}
}

// TestColderThanTheCellsAllowIsAFindingNotAnError: outside the temperatures of
// a cell's limits nothing is allowed.
func TestColderThanTheCellsAllowIsAFindingNotAnError(t *testing.T) {
	t.Parallel()
	b := van(t)
	b.Targets.Coldest = unit.Celsius(-60)
	f := frame(t, b)
	checktest.Check(t, func(t *rapid.T) {
		c := &design.Candidate{Source: 2, Abreast: 1, Strings: 1}
		c.Cut[0].Groups, c.Cut[0].Count = rapid.IntRange(12, 14).Draw(t, "groups"), rapid.IntRange(7, 8).Draw(t, "modules")
		p := placed(t, f, c, true)
		if p == nil {
			t.Skip("not all modules go in")
		}
		for _, g := range f.Assess(p).Findings {
			if g.Rule == "current.cold.drive" {
				if g.Severity != check.Warning || g.Limit.SI != 0 || !strings.Contains(g.Remedy, "preheat") {
					t.Fatalf("finding %+v", g)
				}
				return
			}
		}
		t.Fatal("no word of the cold")
	})
}
