package design_test

import (
	"errors"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"packyard/cell"
	"packyard/check"
	"packyard/check/checktest"
	"packyard/design"
	"packyard/part"
)

func TestOptionNamesReadBack(t *testing.T) {
	t.Parallel()
	f := frame(t, van(t))
	checktest.Check(t, func(t *rapid.T) {
		c := candidate(t, f, 20)
		id := f.ID(c)
		if strings.ContainsAny(id, " \t'\"$*?;&|<>()[]{}~\\") {
			t.Fatalf("%q is not fit for a shell", id)
		}
		got, err := f.Parse(id)
		if err != nil {
			t.Fatal(err)
		}
		if *got != *c {
			t.Fatalf("%q reads as %+v, was %+v", id, *got, *c)
		}
	})
}

func TestWrongOptionNamesSayWhatIsWrong(t *testing.T) {
	t.Parallel()
	f := frame(t, van(t))
	for _, c := range []struct{ id, words string }{
		{"", "an option is written"},
		{"lfp/96S1P", "an option is written"},
		{"lfp/96S1P/8x12S/more", "an option is written"},
		{"nickel/96S1P/8x12S", `source "nickel" is not one of cans, pouches, lfp, round, closed`},
		{"lfp/96P1S/8x12S", "96P1S"},
		{"lfp/0S1P/8x12S", "0S1P"},
		{"lfp/96S1P/", "modules are written"},
		{"lfp/96S1P/8x12", "modules are written"},
		{"lfp/96S1P/8x12S+", "modules are written"},
		{"lfp/96S1P/4x12S+3x10S+2x9S", "modules are written"},
		{"lfp/96S1P/0x12S", "modules are written"},
		{"lfp/96S1P/4x12S+4x12S", "longer modules come first"},
		{"lfp/96S1P/6x8S+4x12S", "longer modules come first"},
		{"lfp/96S1P/7x12S", "adds up to 84S, the string has 96S"},
		{"lfp/96S1P/as-built", "no module as built"},
		{"cans/95S2P/5x19S", "slices of 2S2P"},
		{"cans/96S3P/8x12S", "slices of 2S2P"},
		{"cans/96S2P/32x3S", "a module of 3S cannot be made of slices of 2S"},
		{"pouches/96S4P/as-built", "whole number of modules of 24S2P"},
		{"closed/96S1P/8x12S", "write as-built"},
		{"closed/90S1P/as-built", "whole number of modules of 12S1P"},
		{"closed/96S2P/as-built", "whole number of modules of 12S1P"},
	} {
		got, err := f.Parse(c.id)
		if !errors.Is(err, design.ErrOption) {
			t.Errorf("%q: got %+v, %v; want ErrOption", c.id, got, err)
			continue
		}
		if !strings.Contains(err.Error(), c.words) || !strings.Contains(err.Error(), `"`+c.id+`"`) {
			t.Errorf("%q: %q does not name the option and say %q", c.id, err, c.words)
		}
	}
}

func TestAModuleTooLongIsNamedByItsLength(t *testing.T) {
	t.Parallel()
	f := frame(t, van(t))
	c, err := f.Parse("lfp/96S1P/2x48S")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := f.Modules(c); !errors.Is(err, cell.ErrStackTooLong) {
		t.Errorf("48 prismatic cells in one stack: got %v, want ErrStackTooLong", err)
	}
}

// withCell gives the van one source of openable modules of slices of two cells
// of 3.6 V and 4.2 V.
func withCell(t *testing.T) *design.Brief {
	b := van(t)
	m := *cell.BuiltIn().Module("openable-pouch-nmc-21-24s2p")
	c := *m.Slice.Cell
	c.VoltageNominal, c.VoltageMax = 3.6, 4.2
	m.Slice.Cell = &c
	b.Sources = []design.Source{{Name: "lot", Kind: design.Openable, Module: &m, Count: 40, Price: check.Price{Amount: 1, Currency: "EUR", Pos: check.Pos{Line: 1}}, Health: cell.New}}
	return b
}

func TestBareArithmeticOfWiring(t *testing.T) {
	t.Parallel()
	const src = "common practice"
	f := frame(t, withCell(t))
	nominal := func(id string) (module, pack float64, slices int) {
		c, err := f.Parse(id)
		if err != nil {
			t.Fatal(err)
		}
		m, err := f.Modules(c)
		if err != nil {
			t.Fatal(err)
		}
		u := float64(m.Stack[0].Slice.Cell.VoltageNominal)
		return float64(m.Stack[0].Series()) * u, float64(f.Topology(c).Series) * u, m.Stack[0].Groups * m.Stack[0].SlicesParallel
	}
	eight, _, _ := nominal("lot/96S2P/12x8S")
	checktest.Near(t, "8 groups at 3.6 V, V", eight, 28.8, 0, 1e-12, src)
	whole, _, slices := nominal("lot/48S4P/4x12S")
	halved, _, same := nominal("lot/96S2P/4x24S")
	if slices != same {
		t.Fatalf("%d and %d slices in a module; this test is about the same number", slices, same)
	}
	checktest.Near(t, "module with half the cells in parallel, V", halved, 2*whole, 0, 1e-12, src)
	_, built, _ := nominal("lot/24S2P/as-built")
	checktest.Near(t, "module as built, V", built, 24*3.6, 0, 1e-12, src)
}

func TestFullVoltageDecidesNotNominal(t *testing.T) {
	t.Parallel()
	const src = "common practice: 112 groups at 3.6 V are 403.2 V nominal and 470.4 V full at 4.2 V"
	b := withCell(t)
	inverter := *b.Drive.Inverter
	inverter.Bands = part.Bands{FullMin: 200, FullMax: 400, ReducedMin: 180, ReducedMax: 420, NeverExceed: 420}
	b.Drive.Inverter = &inverter
	f := frame(t, b)
	for _, c := range []struct {
		id            string
		nominal, full float64
		broken        bool
	}{
		{"lot/112S2P/8x14S", 403.2, 470.4, true},
		{"lot/100S2P/10x10S", 360, 420, false},
		{"lot/101S2P/1x11S+9x10S", 363.6, 424.2, true},
	} {
		can, err := f.Parse(c.id)
		if err != nil {
			t.Fatal(err)
		}
		m, err := f.Modules(can)
		if err != nil {
			t.Fatal(err)
		}
		w := f.Wire(can.Source, can.Form, can.Abreast, can.Strings, can.Cut.Groups())
		var v design.Values
		l := design.Loading{Count: make([][2]int, 3), Short: m.Count[0] + m.Count[1]}
		fig := f.Evaluate(&w, &m, &l, &v)
		checktest.Near(t, c.id+" nominal, V", float64(f.Pack(&w, &fig).VoltageNominal()), c.nominal, 0, 1e-12, src)
		checktest.Near(t, c.id+" full, V", v.Value[design.InverterFull], c.full, 0, 1e-12, src)
		if c.nominal > 420 {
			t.Errorf("%s: nominal is above the limit; the trap is gone from this test", c.id)
		}
		if got := v.Broken().Has(design.InverterFull); got != c.broken {
			t.Errorf("%s: %s broken: %v, want %v; source: %s", c.id, design.InverterFull, got, c.broken, src)
		}
	}
	if design.InverterFull.String() != "voltage.inverter.full" {
		t.Errorf("the rule is called %s", design.InverterFull)
	}
}
