package design_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"packyard/bay"
	"packyard/check"
	"packyard/check/checktest"
	"packyard/design"
	"packyard/drive"
	"packyard/heat"
	"packyard/unit"
)

// plates returns cooling by plates, in the order of the bays.
func plates(t testing.TB) design.Cooling {
	t.Helper()
	fluid, err := heat.FluidOf("glycol-50")
	if err != nil {
		t.Fatal(err)
	}
	return design.Cooling{
		Plates: true, Pad: heat.Layer{Thickness: 1e-3, Conductivity: 3}, Channel: heat.Duct{Width: 20e-3, Height: 4e-3}, Channels: 4, Minor: 3,
		Fluid: fluid, Flow: 10 * unit.LitrePerMinute, PumpPower: 30, Hose: heat.Duct{Diameter: 19e-3, Length: 6}, Volume: 4 * unit.Litre,
		Radiator: &heat.Radiator{Exchanger: heat.Exchanger{Conductance: 250, AirRated: 0.5}, Fan: 120},
		Heater:   &heat.Heater{Power: 3000, CoolantMax: unit.Celsius(50)},
		Control:  heat.Control{CoolAbove: unit.Celsius(28), HeatBelow: unit.Celsius(5), Band: 2},
	}
}

// Whatever the option, its thermal system has a source for every series group of
// every string, weighs what the cells weigh, and takes a minute of heat.
func TestEveryOptionHasItsThermalSystem(t *testing.T) {
	t.Parallel()
	brief := van(t)
	f := frame(t, brief)
	wet := plates(t)
	checktest.Check(t, func(r *rapid.T) {
		brief.Cooling = design.Cooling{}
		if rapid.Bool().Draw(r, "plates") {
			brief.Cooling = wet
		}
		p := placed(r, f, candidate(r, f, 8), false)
		if p == nil {
			r.Skip("not all modules go in")
		}
		s, err := f.Thermal(p, design.ThermalOptions{Air: unit.Celsius(30)})
		if err != nil {
			r.Fatal(err)
		}
		top := p.Wiring.Topology
		if s.Sources() != top.Series*top.Strings {
			r.Fatalf("%d sources for %s", s.Sources(), top)
		}
		if err := s.Start(unit.Celsius(30)); err != nil {
			r.Fatal(err)
		}
		c := brief.Sources[p.Candidate.Source].Cell
		if m := brief.Sources[p.Candidate.Source].Module; m != nil {
			c = m.Slice.Cell
		}
		// A second of heat, and the groups have taken all of it: ΔT = Q/C.
		q := make([]float64, s.Sources())
		for i := range q {
			q[i] = 50
		}
		if err := s.Step(q, 0.01); err != nil {
			r.Fatal(err)
		}
		rise := s.Temperatures()[0] - float64(unit.Celsius(30))
		want := 0.5 / (float64(top.Parallel) * float64(c.Mass) * float64(c.SpecificHeat))
		if math.Abs(rise-want) > 0.01*want {
			r.Fatalf("first group rises by %g K, want %g K", rise, want)
		}
		for range 60 {
			if err := s.Step(q, 1); err != nil {
				r.Fatal(err)
			}
		}
		if m := s.Account().Missing(); math.Abs(m) > 1e-6 {
			r.Fatalf("account does not close by %g", m)
		}
	})
}

// somePlaced returns an option with modules in two bays or more.
func somePlaced(t *testing.T, f *design.Frame) *design.Placed {
	t.Helper()
	c, err := f.Parse("cans/96S2P/8x12S")
	if err != nil {
		t.Fatal(err)
	}
	m, err := f.Modules(c)
	if err != nil {
		t.Fatal(err)
	}
	n := len(f.Brief.Bays)
	p := &design.Placed{ID: f.ID(c), Candidate: *c, Modules: m, Wiring: f.Wire(c.Source, c.Form, c.Abreast, c.Strings, c.Cut.Groups())}
	p.Loading, p.Places = design.Loading{Count: make([][2]int, n), Known: true}, make([][]bay.Placement, n)
	for k := range m.Count {
		for i := range m.Count[k] {
			if !putOne(f, p, k, i%n) {
				t.Fatal("the option has no place")
			}
		}
	}
	p.Figures = f.Evaluate(&p.Wiring, &p.Modules, &p.Loading, &p.Values)
	return p
}

func TestCoolantTakesTheStatedWay(t *testing.T) {
	t.Parallel()
	brief := van(t)
	brief.Cooling = plates(t)
	f := frame(t, brief)
	p := somePlaced(t, f)
	used := 0
	for _, n := range p.Loading.Count {
		if n[0]+n[1] > 0 {
			used++
		}
	}
	if used < 2 {
		t.Fatalf("modules in %d bays, this test wants two", used)
	}
	first := func(path [][]int) string {
		brief.Cooling.Path = path
		s, err := f.Thermal(p, design.ThermalOptions{})
		if err != nil {
			t.Fatal(err)
		}
		return s.Nodes()[0]
	}
	forward, backward := first([][]int{{0}, {1}, {2}}), first([][]int{{2}, {1}, {0}})
	if forward == backward {
		t.Errorf("the first group stands in %q whichever way the coolant goes", forward)
	}
	brief.Cooling.Path = [][]int{{0}}
	if _, err := f.Thermal(p, design.ThermalOptions{}); !errors.Is(err, design.ErrHeat) || !strings.Contains(err.Error(), "does not pass") {
		t.Errorf("a bay that the coolant does not pass: got %v, want ErrHeat", err)
	}
	short := *p
	short.Loading.Short = 2
	if _, err := f.Thermal(&short, design.ThermalOptions{}); !errors.Is(err, design.ErrHeat) {
		t.Errorf("modules without a place: got %v, want ErrHeat", err)
	}
}

func TestDutyOfAnOption(t *testing.T) {
	t.Parallel()
	brief := van(t)
	f := frame(t, brief)
	p := somePlaced(t, f)
	climb := drive.Duty{Kind: drive.DutyGrade, Grade: 0.08, Speed: 50 * unit.KilometrePerHour}
	dry, err := f.Heat(p, design.Warming{Duty: climb})
	if err != nil {
		t.Fatal(err)
	}
	if dry.Air != unit.Celsius(36) || dry.Start != dry.Air {
		t.Errorf("climb at %g K from %g K, want the hottest day", float64(dry.Air), float64(dry.Start))
	}
	brief.Cooling = plates(t)
	wet, err := f.Heat(p, design.Warming{Duty: climb})
	if err != nil {
		t.Fatal(err)
	}
	if !(wet.Hottest.Temperature < dry.Hottest.Temperature) {
		t.Errorf("hottest with plates %g K, passive %g K", float64(wet.Hottest.Temperature), float64(dry.Hottest.Temperature))
	}
	aged, err := f.Heat(p, design.Warming{Duty: climb, End: true})
	if err != nil {
		t.Fatal(err)
	}
	if !(aged.CellHeat/unit.Energy(aged.Duration) > wet.CellHeat/unit.Energy(wet.Duration)) {
		t.Errorf("aged cells give off %g W, new ones %g W", float64(aged.CellHeat)/float64(aged.Duration), float64(wet.CellHeat)/float64(wet.Duration))
	}
	for _, w := range append(wet.Workings(), dry.Workings()...) {
		if _, known := check.SourceOf(w.Source); !known || len(w.Inputs) == 0 {
			t.Errorf("working %s has the source %q and %d inputs", w.Name, w.Source, len(w.Inputs))
		}
	}
	soak, err := f.Heat(p, design.Warming{Duty: drive.Duty{Kind: drive.DutySoak, For: 8 * unit.Hour, Preheat: unit.Celsius(5)}})
	if err != nil {
		t.Fatal(err)
	}
	if soak.Air != unit.Celsius(-10) || soak.Start != unit.Celsius(20) || soak.End != drive.DutyWarm || soak.HeaterEnergy <= 0 {
		t.Errorf("soak at %g K from %g K ended by %s with %g J of the heater", float64(soak.Air), float64(soak.Start), soak.End, float64(soak.HeaterEnergy))
	}
}
