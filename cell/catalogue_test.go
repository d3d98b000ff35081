package cell

import (
	"encoding/csv"
	"math"
	"os"
	"strings"
	"testing"

	"packyard/check"
	"packyard/check/checktest"
	"packyard/internal/sheet"
)

func TestCatalogueHoldsAllFormatsAndKinds(t *testing.T) {
	t.Parallel()
	c := BuiltIn()
	if n := len(c.Cells) + len(c.Modules); n < 14 {
		t.Errorf("%d cells and modules", n)
	}
	formats, chemistries := map[Format]int{}, map[Chemistry]int{}
	for _, x := range c.Cells {
		formats[x.Format]++
		chemistries[x.Chemistry]++
		if x.Format != Cylindrical || x.Chemistry != "LTO" {
			if c.HardwareFor(x.ID) == nil {
				t.Errorf("%s: no hardware takes it", x.ID)
			}
		}
		if (x.Curves == nil) != (x.Chemistry == "LTO") {
			t.Errorf("%s: curves %v", x.ID, x.Curves != nil)
		}
	}
	for _, f := range []Format{Cylindrical, Prismatic, Pouch} {
		if formats[f] == 0 {
			t.Errorf("no %s cell", f)
		}
	}
	for _, k := range []Chemistry{"NMC", "NCA", "LFP", "LMO", "LTO"} {
		if chemistries[k] == 0 {
			t.Errorf("no %s cell", k)
		}
	}
	open, closed := 0, 0
	for _, m := range c.Modules {
		if m.Hardware == nil {
			closed++
		} else {
			open++
		}
	}
	if open < 3 || closed < 2 {
		t.Errorf("%d openable and %d closed modules", open, closed)
	}
}

func TestEveryFigureOfTheCatalogueHasASource(t *testing.T) {
	t.Parallel()
	says := func(id string, facts []Fact) {
		if len(facts) == 0 {
			t.Errorf("%s has no facts", id)
		}
		for _, f := range facts {
			if _, ok := check.SourceOf(f.Source); !ok {
				t.Errorf("%s: %s has the unknown source %q", id, f.Field, f.Source)
			}
			if f.Status == "" || f.Status == "given" {
				t.Errorf("%s: %s is %q: the catalogue has no builder", id, f.Field, f.Status)
			}
		}
	}
	c := BuiltIn()
	for _, x := range c.Cells {
		says(x.ID, x.Facts)
		if x.Price.IsGiven() {
			t.Errorf("%s has a price, none is published", x.ID)
		}
	}
	for _, x := range c.Modules {
		says(x.ID, x.Facts)
	}
	for _, x := range c.Hardware {
		says(x.ID, x.Facts)
	}
}

func TestDataTablesNameKnownSources(t *testing.T) {
	t.Parallel()
	entries, err := files.ReadDir("data")
	if err != nil {
		t.Fatal(err)
	}
	rows := 0
	for _, e := range entries {
		if !strings.HasSuffix(e.Name(), ".csv") {
			continue
		}
		f, err := files.Open("data/" + e.Name())
		if err != nil {
			t.Fatal(err)
		}
		all, err := csv.NewReader(f).ReadAll()
		if err != nil {
			t.Fatalf("%s: %v", e.Name(), err)
		}
		at := -1
		for i, name := range all[0] {
			if name == "source" {
				at = i
			}
		}
		if at < 0 {
			t.Errorf("%s has no source column", e.Name())
			continue
		}
		for i, r := range all[1:] {
			rows++
			if _, ok := check.SourceOf(r[at]); !ok {
				t.Errorf("%s line %d: unknown source %q", e.Name(), i+2, r[at])
			}
		}
	}
	// Points of OCV: 600 LFP, 200 NMC and 101 LMO, 21 NMC111, 8 + 14 NCA and
	// 11 + 10 LMO with nickel below the lowest rest and at the rests; 2·21 of
	// dU/dT; 4 ratios; 28 rates; 17 gates; pulse levels by temperature.
	if want := 600 + 200 + 101 + 21 + 8 + 14 + 11 + 10 + 2*21 + 4 + 28 + 17 + (14 + 11 + 10) + 3*10 + 17 + 10 + 10; rows != want {
		t.Errorf("%d rows of data, want %d", rows, want)
	}
}

func TestIDsAreKebabCase(t *testing.T) {
	t.Parallel()
	for _, id := range BuiltIn().IDs() {
		if id != strings.ToLower(id) || strings.Trim(id, "abcdefghijklmnopqrstuvwxyz0123456789-.") != "" {
			t.Errorf("id %q", id)
		}
	}
}

func TestFormatsHaveTheirPublishedSize(t *testing.T) {
	t.Parallel()
	round := mustCell(t, "cylindrical-21700-nmc-5").Size
	checktest.Near(t, "volume of a 21 x 70 mm cylinder in mL", math.Pi/4*float64(round.X*round.X*round.Z)*1e6, 24.2452, 0, 1e-4, "catalogue CW-07")
	flat := mustCell(t, "prismatic-phev2-nmc-25").Size
	checktest.Near(t, "volume in L", float64(flat.X*flat.Y*flat.Z)*1e3, 0.356902, 0, 1e-4, "catalogue CW-07")
}

// Energy over mass of each cell lies in what is printed for its chemistry, or
// the entry says why not.
func TestSpecificEnergyIsOfItsChemistry(t *testing.T) {
	t.Parallel()
	span := map[Chemistry][2]float64{"LMO": {100, 150}, "NMC": {150, 220}, "LFP": {90, 120}, "NCA": {200, 260}, "LTO": {70, 80}}
	// Outside the cautious table: newer LFP (catalogue 5.1 prints about 165), the
	// nickel-rich upper end (276 to 300 printed for 21700), the 33 Ah LMO with nickel.
	wider := map[string]float64{
		"prismatic-lfp-280": 166, "prismatic-lfp-105": 166, "prismatic-lfp-35": 166,
		"cylindrical-21700-nmc-5": 257, "cylindrical-4680-nmc-27": 276, "pouch-lmo-33": 157, "prismatic-phev2-nmc-25": 112,
	}
	for _, c := range BuiltIn().Cells {
		wh := c.Capacity.AmpereHours() * float64(c.VoltageNominal) / float64(c.Mass)
		if want, ok := wider[c.ID]; ok {
			checktest.Near(t, c.ID+": Wh/kg", wh, want, 0, 0.01, "catalogue cell formats, and the note of the entry")
			continue
		}
		if s := span[c.Chemistry]; wh < s[0] || wh > s[1] {
			t.Errorf("%s: %.0f Wh/kg, printed are %g to %g; source bu-216", c.ID, wh, s[0], s[1])
		}
	}
}

// End plates are two aluminium sheets over the slice; rods are four of M8 steel.
func TestHardwareMassesFollowFromTheirMaterials(t *testing.T) {
	t.Parallel()
	const aluminium, steel = 2700, 7850 // kg/m³, en-sheet-grades and en-10025-2
	for _, c := range []struct {
		id                            string
		plate, width, height, pitchMM float64 // mm
	}{
		{"stack-prismatic-280", 15, 173, 207, 72}, {"stack-prismatic-105", 12, 130, 200, 37.7}, {"stack-prismatic-85", 10, 173, 85, 22},
		{"stack-prismatic-91", 10, 148, 91, 27.5}, {"stack-prismatic-115", 12, 173, 115, 46}, {"stack-pouch-206", 10, 136, 216, 9.5},
		{"stack-pouch-290", 12, 222, 300, 8.6}, {"holder-18650", 5, 389.5, 65, 16.45}, {"holder-21700", 5, 336.4, 70, 18.8},
		{"holder-4680", 6, 258.5, 80, 40.7}, {"clamp-can-33", 10, 223, 303, 35}, {"clamp-pouch-206", 10, 136, 216, 9.5},
	} {
		h := BuiltIn().HardwareByID(c.id)
		if h == nil {
			t.Errorf("no hardware %s", c.id)
			continue
		}
		checktest.Near(t, c.id+": end plates in kg", float64(h.EndPlatesMass), 2*c.plate*c.width*c.height*1e-9*aluminium, 0.005, 0, "aluminium 6082-T6, written to 10 g")
		rods := 4 * math.Pi / 4 * 0.008 * 0.008 * c.pitchMM * 1e-3 * steel
		if rest := float64(h.MassPerSlice) - rods; rest < 0.0195 || rest > 0.0405 {
			t.Errorf("%s: %.0f g beside the rods, the note says 20 to 40", c.id, rest*1e3)
		}
	}
}

func TestOpenableModulesFitTheirHardware(t *testing.T) {
	t.Parallel()
	for _, m := range BuiltIn().Modules {
		if m.Hardware == nil {
			cells := float64(m.Slices()*m.Slice.Series*m.Slice.Parallel) * float64(m.Slice.Cell.Mass)
			if share := cells / float64(m.Mass); share < 0.75 || share > 0.95 {
				t.Errorf("%s: cells are %.2f of the module", m.ID, share)
			}
			continue
		}
		if _, err := m.Regroup(m.SlicesParallel, m.Groups); err != nil && m.Slices() > 1 {
			t.Errorf("%s as built: %v", m.ID, err)
		}
	}
}

// decode reads a sheet text over the built-in catalogue.
func decode(text string) (*Catalogue, *check.Problems) {
	var s Sheet
	var probs check.Problems
	sheet.Decode("parts/mine.yaml", []byte(text), &s, &probs)
	return s.Build(BuiltIn(), &probs), &probs
}

const ownCell = `cells:
  - id: my-cell
    title: mine
    chemistry: NMC
    format: pouch
    capacity: 50 Ah
    mass: 900 g
    size: [12 mm, 100 mm, 300 mm]
    voltage_max: 4.2 V
    voltage_nominal: 3.65 V
    voltage_min: 2.8 V
`

func TestAnOwnCellTakesWhatItSays(t *testing.T) {
	t.Parallel()
	c, probs := decode(ownCell + `    resistance: 1.2 mΩ
    pulse_time: 18 s
    price: 60 EUR
    ocv:
      - {charge: 0 %, voltage: 2.9 V}
      - {charge: 40 %, voltage: 3.62 V}
      - {charge: 50 %, voltage: 3.60 V}
      - {charge: 100 %, voltage: 4.18 V}
    discharge_limits:
      - {temperature: -10 °C, duration: 10 s, rate: 2 C}
      - {temperature: 50 °C, duration: 10 s, rate: 4 C}
`)
	if probs.Any() {
		t.Fatal(probs.Error())
	}
	own := c.Cell("my-cell")
	r, err := own.Curves.PulseResistance(298.15, 0.5, 18)
	if err != nil {
		t.Fatal(err)
	}
	checktest.Near(t, "Ω at 18 s", float64(r), 1.2e-3, 0, 1e-12, "as written")
	checktest.Near(t, "change made by the isotonic fit in V", float64(own.Curves.OCVChange), 0.01, 0, 1e-9, "two points 20 mV out of order meet in the middle")
	checktest.Near(t, "rate at 20 °C", float64(own.Limits.DischargeRate(293.15, 10)), 3, 0, 1e-9, "as written, linear between")
	if own.Limits.ChargeRate(293.15, 10) == 0 {
		t.Error("the charge limits of the chemistry are gone")
	}
	for _, f := range own.Facts {
		if f.Field == "resistance" && f.Status == "given" {
			return
		}
	}
	t.Errorf("facts do not say that the resistance is given: %v", own.Facts)
}

func TestFaultsOfASheetAreAllTold(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ name, text, want string }{
		{"no unit", strings.Replace(ownCell, "50 Ah", "50", 1), `needs a unit`},
		{"zero mass", strings.Replace(ownCell, "900 g", "0 g", 1), `is zero`},
		{"voltages upside down", strings.Replace(ownCell, "voltage_min: 2.8 V", "voltage_min: 3.7 V", 1), `"3.7 V" is not below voltage_nominal`},
		{"name taken by the catalogue", strings.Replace(ownCell, "my-cell", "pouch-nmc-21", 1), `is also the name of a part of the built-in catalogue`},
		{"two of one name", ownCell + strings.TrimPrefix(ownCell, "cells:\n"), `is also the name of the part at parts/mine.yaml`},
		{"unknown key", strings.Replace(ownCell, "title:", "titel:", 1), `did you mean title`},
		{"fact about nothing", ownCell + "    facts: [{field: \"mass, capicity\", source: given, status: given}]\n", `did you mean capacity?`},
		{"curve that falls short", ownCell + "    ocv: [{charge: 0 %, voltage: 3 V}, {charge: 90 %, voltage: 4 V}]\n", `does not run from 0 % to 100 %`},
		{"curve out of order", ownCell + "    ocv: [{charge: 0 %, voltage: 3 V}, {charge: 100 %, voltage: 4 V}, {charge: 50 %, voltage: 3.5 V}]\n", `does not rise above the point before it`},
		{"limits out of order", ownCell + "    charge_limits: [{temperature: 20 °C, duration: 10 s, rate: 1 C}, {temperature: 10 °C, duration: 10 s, rate: 1 C}]\n", `is out of order`},
		{"module of nothing", "modules:\n  - {id: m, title: t, cell: pouch-nmc-2l, groups: 2, slice: {pitch: 1 cm, width: 1 m, height: 1 m, mass: 1 kg, resistance: 0 mΩ}, hardware: clamp-pouch-206}\n", `did you mean pouch-nmc-21?`},
		{"hardware of nothing", "modules:\n  - {id: m, title: t, cell: pouch-nmc-21, groups: 2, slice: {pitch: 1 cm, width: 1 m, height: 1 m, mass: 1 kg, resistance: 0 mΩ}, hardware: clamp-pouch-208}\n", `did you mean clamp-pouch-206?`},
		{"slice lighter than its cells", "modules:\n  - {id: m, title: t, cell: pouch-nmc-21, groups: 4, slice: {parallel: 3, pitch: 1 cm, width: 1 m, height: 1 m, mass: 1 kg, resistance: 0 mΩ}, hardware: clamp-pouch-206}\n", `is less than the cells inside`},
		{"closed module without a size", "modules:\n  - {id: m, title: t, cell: pouch-nmc-21, groups: 4, slice: {pitch: 1 cm, width: 1 m, height: 1 m, mass: 1 kg, resistance: 0 mΩ}}\n", `modules[0].size: is missing`},
		{"stack too long as built", "modules:\n  - {id: m, title: t, cell: pouch-nmc-21, groups: 400, slice: {pitch: 1 cm, width: 1 m, height: 1 m, mass: 1 kg, resistance: 0 mΩ}, hardware: clamp-pouch-206}\n", `stack is longer than its hardware allows`},
		{"row without a count", "hardware:\n  - {id: h, title: t, cells: [cylindrical-18650-nca-2.9], end_plates: 1 cm, end_plates_mass: 1 kg, mass_per_slice: 1 g, margin_width: 1 mm, margin_height: 1 mm, stack_max: 1 m, orientations: [z-up], joint_resistance: 0.1 mΩ}\n", `row_cells: is missing for the cylindrical cell`},
		{"orientation twice", "hardware:\n  - {id: h, title: t, end_plates: 1 cm, end_plates_mass: 1 kg, mass_per_slice: 1 g, margin_width: 1 mm, margin_height: 1 mm, stack_max: 1 m, orientations: [z-up, z-up], joint_resistance: 0.1 mΩ}\n", `"z-up" is written twice`},
		{"module of a faulty cell", strings.Replace(ownCell, "50 Ah", "50", 1) + "modules:\n  - {id: m, title: t, cell: my-cell, groups: 4, slice: {pitch: 1 cm, width: 1 m, height: 1 m, mass: 1 kg, resistance: 0 mΩ}, hardware: clamp-pouch-206}\n", `is not a usable cell`},
	} {
		got, probs := decode(c.text)
		if !strings.Contains(probs.Error(), c.want) {
			t.Errorf("%s: told %q, want %q", c.name, probs.Error(), c.want)
		}
		for _, p := range probs.List {
			if p.Pos.Line == 0 || p.Path == "" {
				t.Errorf("%s: %v has no place", c.name, p)
			}
		}
		if n := len(got.Cells) - len(BuiltIn().Cells); n > 1 {
			t.Errorf("%s: %d cells were built", c.name, n)
		}
	}
}

func FuzzSheet(f *testing.F) {
	for _, name := range []string{"cells", "hardware", "modules"} {
		data, err := os.ReadFile("data/" + name + ".yaml")
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data[:min(len(data), 3000)])
	}
	f.Add([]byte(ownCell))
	f.Add([]byte("cells: [{id: a}, {id: a}]\nmodules: [{cell: a}]"))
	f.Fuzz(func(t *testing.T, data []byte) {
		var s Sheet
		var probs check.Problems
		sheet.Decode("f.yaml", data, &s, &probs)
		c := s.Build(nil, &probs)
		for _, p := range probs.List {
			if p.Pos.File == "" || p.Message == "" {
				t.Fatalf("problem without place or words: %+v", p)
			}
		}
		for _, x := range c.Cells {
			if x.Curves != nil {
				if _, err := x.At(298.15, New, 11); err != nil {
					t.Fatalf("a cell was built that has no table: %v", err)
				}
			}
		}
	})
}

func FuzzTables(f *testing.F) {
	for _, name := range []string{"ocv_lmo-nickel", "pulse_lfp", "temperature_ratio", "limits", "entropic_lfp"} {
		data, err := os.ReadFile("data/" + name + ".csv")
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Add([]byte("soc,ocv_V,source\n0,NaN,x\n1,4,x\n"))
	f.Add([]byte("soc,ocv_V,source\n0,3,x\n\"1,4,x\n"))
	f.Add([]byte(pulseColumns + "\n25,0.5,1,1,1,1,1,x\n25,0.4,1,1,1,1,1,x\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		text := string(data)
		if l, _, err := readLine(strings.NewReader(text), "ocv_V", 1); err == nil {
			if err := l.check("ocv"); err != nil {
				t.Fatalf("accepted, but %v", err)
			}
		} else if err.Error() == "" {
			t.Fatal("an error without words")
		}
		if p, err := readPulses(strings.NewReader(text)); err == nil {
			var c Curves
			p.surfaces(&c, arrhenius{2e4, 3e3})
			if len(c.R0.Value) != len(gridTemperatures()) {
				t.Fatal("accepted, but made no surface")
			}
		}
		_, _ = readRatios(strings.NewReader(text))
		_, _ = limitReader("duration_s", "rate_C")(strings.NewReader(text))
	})
}
