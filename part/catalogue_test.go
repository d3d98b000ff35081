package part

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"packyard/cell"
	"packyard/check"
	"packyard/check/checktest"
	"packyard/internal/sheet"
	"packyard/unit"
)

func TestEveryFigureOfTheCatalogueHasAKnownSource(t *testing.T) {
	t.Parallel()
	c := BuiltIn()
	known := map[string]bool{}
	for _, s := range check.Sources() {
		known[s.Key] = true
	}
	look := func(id string, facts []cell.Fact) {
		if len(facts) == 0 {
			t.Errorf("%s has no facts", id)
		}
		for _, f := range facts {
			if f.Status == "given" || f.Source == "given" {
				t.Errorf("%s: %s has no source", id, f.Field)
			}
			if !known[f.Source] {
				t.Errorf("%s: %s: source %q is not in the list of sources", id, f.Field, f.Source)
			}
		}
	}
	for _, p := range c.DriveUnits {
		look(p.ID, p.Facts)
	}
	for _, p := range c.Inverters {
		look(p.ID, p.Facts)
	}
	for _, p := range c.Chargers {
		look(p.ID, p.Facts)
	}
	for _, p := range c.Converters {
		look(p.ID, p.Facts)
	}
	for _, p := range c.StageKinds {
		look(p.ID, p.Facts)
	}
	for _, r := range LoadTable() {
		if !known[r.Source] {
			t.Errorf("load %s: source %q is not in the list of sources", r.Name, r.Source)
		}
	}
}

func TestCarriedLossesAreMarked(t *testing.T) {
	t.Parallel()
	for _, id := range []string{"generic-series-brushed-144v", "generic-induction-120v", "generic-car-unit-80kw", "generic-integrated-110kw"} {
		marked := false
		for _, f := range unitOf(t, id).Facts {
			marked = marked || f.Field == "loss" && f.Status == StatusScaled
		}
		if !marked {
			t.Errorf("%s: its loss is not marked %q", id, StatusScaled)
		}
	}
}

func TestCatalogueCoversTheVoltageClasses(t *testing.T) {
	t.Parallel()
	c := BuiltIn()
	if len(c.DriveUnits) < 6 || len(c.Inverters) < 4 || len(c.Chargers) < 3 || len(c.Converters) < 2 {
		t.Errorf("%d drive units, %d inverters, %d chargers, %d converters", len(c.DriveUnits), len(c.Inverters), len(c.Chargers), len(c.Converters))
	}
	// Each class: nominal voltages at its ends and the window of cells around
	// them, 3.0 to 4.2 V at 3.6 V nominal (common practice).
	for _, w := range []struct{ full, lowest unit.Voltage }{{112 * 7 / 6., 96 * 5 / 6.}, {300 * 7 / 6., 240}, {370 * 7 / 6., 330 * 5 / 6.}} {
		inverter := slices.ContainsFunc(c.Inverters, func(i *Inverter) bool { return i.Bands.Fits(w.full, w.lowest) })
		charger := slices.ContainsFunc(c.Chargers, func(i *Charger) bool { return i.Bands.Fits(w.full, w.lowest) && i.StartMin <= w.lowest })
		converter := slices.ContainsFunc(c.Converters, func(i *Converter) bool { return i.Bands.Fits(w.full, w.lowest) })
		if !inverter || !charger || !converter {
			t.Errorf("window %v to %v V: inverter %v, charger %v, converter %v", w.lowest, w.full, inverter, charger, converter)
		}
	}
	if got := c.Inverter("generic-inverter-270-440v").Bands.NeverExceed; got != 460 {
		t.Errorf("never above %v V, want 460 V", got)
	}
}

func TestEveryUnitPrintsFivePoints(t *testing.T) {
	t.Parallel()
	for _, u := range BuiltIn().DriveUnits {
		points := u.EfficiencyPoints()
		if len(points) != 5 {
			t.Fatalf("%s: %d points", u.ID, len(points))
		}
		for _, p := range points {
			if p.Efficiency < 0.70 || p.Efficiency > 0.98 {
				t.Errorf("%s, %s: %.3f; motors of the trade lie between 0.70 and 0.98 there (common practice)", u.ID, p.Name, p.Efficiency)
			}
			shaft := float64(p.Torque) * float64(p.Speed)
			checktest.Near(t, u.ID+" efficiency from the loss", float64(p.Efficiency), shaft/(shaft+float64(p.Loss)), 1e-12, 0, "definition")
			if p.WithInverter != u.Loss.WithInverter {
				t.Errorf("%s: a point does not say whether the inverter is in it", u.ID)
			}
		}
	}
}

func TestMethodPageShowsTheFivePoints(t *testing.T) {
	t.Parallel()
	page, err := os.ReadFile(filepath.Join(checktest.Root(t), "docs", "method", "part.md"))
	if err != nil {
		t.Fatal(err)
	}
	for _, u := range BuiltIn().DriveUnits {
		var line strings.Builder
		line.WriteString("| `" + u.ID + "`")
		for _, p := range u.EfficiencyPoints() {
			line.WriteString(fmt.Sprintf(" | %.1f", p.Efficiency.Percents()))
		}
		with := "motor"
		if u.Loss.WithInverter {
			with = "motor and controller"
		}
		line.WriteString(" | " + with + " |")
		if !strings.Contains(string(page), line.String()) {
			t.Errorf("docs/method/part.md lacks the line\n%s", line.String())
		}
	}
}

func TestNoUnitOfTheCatalogueLeavesItsLoss(t *testing.T) {
	t.Parallel()
	for _, u := range BuiltIn().DriveUnits {
		if !u.LossCovers(u.TorquePeak, u.SpeedMax) || !u.LossCovers(0, 0) {
			t.Errorf("%s: loss does not cover its corners", u.ID)
		}
	}
}

func TestRatingsOfTheCatalogueFollowFromTheirSources(t *testing.T) {
	t.Parallel()
	series, induction := unitOf(t, "generic-series-brushed-144v"), unitOf(t, "generic-induction-120v")
	car, interior := unitOf(t, "generic-car-unit-80kw"), unitOf(t, "generic-interior-magnet-50kw")
	const handbook, burress = "conversion handbook, C1.15: 48 hp for 5 min at 144 V", "Burress, Oak Ridge National Laboratory 2013"
	checktest.Near(t, "series motor, W", float64(series.PowerPeak), 48*745.69987, 0, 1e-6, handbook)
	checktest.Near(t, "series motor, N·m", float64(series.TorquePeak), 135.58, 0, 1e-4, "maker data quoted by a builder, C1.14: 100 lbf·ft at 500 A")
	checktest.Near(t, "induction, kg", float64(induction.Mass), 52.163, 0, 1e-4, "builders' articles, C1.17: 115 lb")
	// 110 lbf·ft at 3 700 rpm is 77.5 hp, printed as 74: 5 %.
	checktest.Near(t, "induction, base speed, rpm", induction.BaseSpeed(120).RevolutionsPerMinute(), 3700, 0, 0.06, "builders' articles, C1.17")
	checktest.Near(t, "car unit, kg without its reducer of 26 kg", float64(car.PowerPeak)/1.38e3, float64(car.Mass)-26, 0.3, 0, "C1.10: 58 kg, 1.38 kW/kg")
	checktest.Near(t, "interior magnet, kg", float64(interior.Mass), 50/1.1, 0.1, 0, burress+": 1.1 kW/kg for 50 kW of 2004")
	checktest.Near(t, "interior magnet, W", float64(interior.PowerPeak), 160*3800*math.Pi/30, 50, 0, "Mahmoudi et al. 2015: 160 N·m at 3.8 krpm")
	checktest.Near(t, "reference voltage, V", float64(interior.VoltageRef), 212*math.Sqrt2, 0.5, 0, "Mahmoudi et al. 2015: 212 V line; peak of a sine")
}

func TestStageKindsHoldThePublishedRanges(t *testing.T) {
	t.Parallel()
	const source = "Joachim, Boerner, Kurz, Gear Technology Sept 2012, catalogue_driveline_efficiency.csv"
	for _, c := range []struct {
		id        string
		low, high float64
		source    string
	}{
		{"generic-spur-mesh", 0.990, 0.998, source}, {"generic-gearbox-car", 0.92, 0.97, source}, {"generic-gearbox-truck", 0.90, 0.97, source},
		{"generic-hypoid", 0.90, 0.93, source}, {"generic-axle", 0.95, 0.97, "study on axle gear oils"}, {"generic-reducer", 0.97, 0.98, "from memory"},
		{"generic-shaft", 0.985, 0.995, "from memory"},
	} {
		k := BuiltIn().StageKind(c.id)
		if k == nil {
			t.Errorf("no kind %q", c.id)
			continue
		}
		checktest.Near(t, c.id+" low", float64(k.EfficiencyLow), c.low, 1e-12, 0, c.source)
		checktest.Near(t, c.id+" high", float64(k.EfficiencyHigh), c.high, 1e-12, 0, c.source)
	}
}

// sheetOf wraps one drive unit whose lines may be replaced or dropped.
func sheetOf(replace ...string) string {
	lines := []string{"drive_units:", "  - id: mine", "    title: bench motor", "    torque_peak: 100 N·m", "    torque_continuous: 50 N·m",
		"    power_peak: 40 kW", "    power_continuous: 20 kW", "    peak_duration: 30 s", "    voltage_ref: 144 V", "    speed_max: 6000 rpm",
		"    mass: 40 kg", "    loss: {copper: 0.3 W/(N·m)², iron: 0.2 W·s/rad}"}
	text := strings.Join(lines, "\n") + "\n"
	return strings.NewReplacer(replace...).Replace(text)
}

func build(text string) (*Catalogue, []string) {
	var s Sheet
	var probs check.Problems
	sheet.Decode("parts/mine.yaml", []byte(text), &s, &probs)
	c := s.Build(BuiltIn(), &probs)
	var out []string
	for _, p := range probs.List {
		out = append(out, p.String())
	}
	return c, out
}

func TestPartOfTheBuilderIsAddedAndMarkedGiven(t *testing.T) {
	t.Parallel()
	c, probs := build(sheetOf())
	if len(probs) != 0 {
		t.Fatalf("%q", probs)
	}
	u := c.DriveUnit("mine")
	if u == nil || u.Ratio != 1 || u.RatioEfficiency != 1 || u.Loss.KCopper != 0.3 || u.NoRegeneration {
		t.Fatalf("%+v", u)
	}
	for _, f := range u.Facts {
		if f.Status != "given" {
			t.Errorf("%s is %q, want given", f.Field, f.Status)
		}
	}
	if len(BuiltIn().DriveUnits) != len(c.DriveUnits)-1 || BuiltIn().DriveUnit("mine") != nil {
		t.Error("the built-in catalogue changed")
	}
	if !slices.Contains(c.IDs(), "mine") || !slices.Contains(c.IDs(), "generic-hypoid") {
		t.Error("ids are not complete")
	}
}

func TestFaultsOfAPartNamePlaceFindingAndRemedy(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ name, text, want string }{
		{"no unit", sheetOf("100 N·m", "100"), `parts/mine.yaml:4:18: drive_units[0].torque_peak: "100" needs a unit`},
		{"wrong dimension", sheetOf("40 kg", "40 km"), `drive_units[0].mass: `},
		{"zero mass", sheetOf("40 kg", "0 kg"), `parts/mine.yaml:11:11: drive_units[0].mass: "0 kg" is zero`},
		{"decimal comma", sheetOf("144 V", "144,5 V"), `drive_units[0].voltage_ref: `},
		{"unknown key", sheetOf("mass:", "wheight: 1 kg\n    mass:"), `drive_units[0].wheight`},
		{"missing key", sheetOf("    mass: 40 kg\n", ""), `drive_units[0].mass`},
		{"continuous above peak", sheetOf("50 N·m", "150 N·m"), `parts/mine.yaml:5:24: drive_units[0].torque_continuous: "150 N·m" is above torque_peak: at most the "100 N·m" of torque_peak is accepted`},
		{"two of one name", sheetOf() + strings.TrimPrefix(sheetOf(), "drive_units:\n"), `parts/mine.yaml:13:9: drive_units[1].id: "mine" is also the name of the part at parts/mine.yaml:2:9: give it a name of its own`},
		{"name of a built-in part", sheetOf("id: mine", "id: generic-hypoid"), `"generic-hypoid" is also the name of a part of the built-in catalogue`},
		{"ratio without efficiency", sheetOf("mass:", "ratio: 8\n    mass:"), `drive_units[0].ratio: "8" has no efficiency: write ratio_efficiency beside it`},
		{"no copper", sheetOf("copper: 0.3 W/(N·m)², ", ""), `drive_units[0].loss: has no copper loss`},
		{"loss in two forms", sheetOf("{copper", "{like: generic-induction-100kw, copper"), `drive_units[0].loss: holds 2 forms of a loss and not one`},
		{"loss like nothing", sheetOf("{copper: 0.3 W/(N·m)², iron: 0.2 W·s/rad}", "{like: generic-induction-10kw}"), `drive_units[0].loss.like: "generic-induction-10kw" is not a drive unit that was read before this one: did you mean generic-induction-100kw?`},
		{"loss carried too far", sheetOf("{copper: 0.3 W/(N·m)², iron: 0.2 W·s/rad}", "{like: generic-induction-100kw}", "torque_peak: 100 N·m", "torque_peak: 1000 N·m"), `drive unit cannot be scaled so`},
		{"loss constant without unit", sheetOf("0.3 W/(N·m)²", "0.3"), `drive_units[0].loss.copper: "0.3" needs a unit: a copper loss constant is written as a number from 0 to 1000 in W/(N·m)²`},
		{"loss constant in another unit", sheetOf("0.2 W·s/rad", "0.2 W"), `drive_units[0].loss.iron: "0.2 W" has an unknown unit`},
		{"loss constant not a number", sheetOf("0.3 W", "NaN W"), `drive_units[0].loss.copper: "NaN W/(N·m)²" does not begin with a number`},
		{"negative loss constant", sheetOf("0.3 W", "-0.3 W"), `drive_units[0].loss.copper: "-0.3 W/(N·m)²" is out of range`},
		{"grid too small", sheetOf("{copper: 0.3 W/(N·m)², iron: 0.2 W·s/rad}", "{grid: {speeds: [0 rpm, 3000 rpm], torques: [0 N·m, 100 N·m], losses: [[1 W, 2 W], [3 W, 4 W]]}}"),
			`drive_units[0].loss.grid: ends at 3000 rpm and 100 N·m, below what the unit can do: extend the grid, or lower speed_max and torque_peak`},
		{"grid with a short row", sheetOf("{copper: 0.3 W/(N·m)², iron: 0.2 W·s/rad}", "{grid: {speeds: [0 rpm, 6000 rpm], torques: [0 N·m, 100 N·m], losses: [[1 W, 2 W], [3 W]]}}"),
			`drive_units[0].loss.grid: not a loss grid: row 2 of the loss grid has 1 losses for 2 torques`},
		{"grid that falls", sheetOf("{copper: 0.3 W/(N·m)², iron: 0.2 W·s/rad}", "{grid: {speeds: [0 rpm, 6000 rpm, 5000 rpm], torques: [0 N·m, 100 N·m], losses: [[1 W, 2 W], [3 W, 4 W], [3 W, 4 W]]}}"),
			`speeds and torques of a loss grid must rise strictly`},
		{"fact about nothing", sheetOf() + "    facts: [{field: torque_peek, source: assumption, status: assumption}]\n", `drive_units[0].facts[0].field: "torque_peek" is not a figure of this entry: did you mean torque_peak?`},
		{"fact without value", sheetOf() + "    facts: [{field: inertia, source: assumption, status: assumption}]\n", `"inertia" has a source but no value`},
		{"status unknown", sheetOf() + "    facts: [{field: mass, source: assumption, status: sure}]\n", `drive_units[0].facts[0].status: "sure" is not one of`},
		{"window turned round", "inverters:\n  - {id: x, title: x, bands: {full_min: 400 V, full_max: 300 V}, current_max: 100 A, efficiency: 97 %, mass: 5 kg}\n",
			`parts/mine.yaml:2:41: inverters[0].bands.full_min: "400 V" is above full_max: at most the "300 V" of full_max is accepted`},
		{"reduced inside full", "converters:\n  - {id: x, title: x, bands: {full_min: 200 V, full_max: 300 V, reduced_max: 280 V}, power_max: 1 kW, efficiency: 90 %, mass: 5 kg}\n",
			`converters[0].bands.full_max: "300 V" is above reduced_max`},
		{"charger that starts too high", "chargers:\n  - {id: x, title: x, bands: {full_min: 200 V, full_max: 300 V}, start_min: 320 V, power_max: 1 kW, current_max: 5 A, efficiency: 90 %, mass: 5 kg}\n",
			`chargers[0].start_min: "320 V" is above full_max`},
		{"efficiency above one", "stages:\n  - {id: x, title: x, efficiency_low: 0.9, efficiency_high: 1.2}\n", `stages[0].efficiency_high: "1.2" is outside`},
	} {
		_, probs := build(c.text)
		if !strings.Contains(strings.Join(probs, "\n"), c.want) {
			t.Errorf("%s:\ngot  %q\nwant %q", c.name, probs, c.want)
		}
	}
}

func TestTenFaultsOfOneFileAreAllFound(t *testing.T) {
	t.Parallel()
	text := sheetOf("100 N·m", "100", "50 N·m", "50 kg", "40 kW", "40,5 kW", "20 kW", "-1 kW", "30 s", "0 s", "144 V", "144 kV", "6000 rpm", "x", "40 kg", "0 kg",
		"0.3 W/(N·m)²", "0.3", "0.2 W·s/rad", "0.2 Ws")
	if _, probs := build(text); len(probs) != 10 {
		t.Errorf("%d problems, want 10:\n%s", len(probs), strings.Join(probs, "\n"))
	}
}

func TestKeptStagesTakeTheEfficiencyOfTheirKind(t *testing.T) {
	t.Parallel()
	type file struct {
		Stages []StageSheet `sheet:"stages"`
	}
	read := func(text string) ([]Stage, check.Assumptions, check.Problems) {
		var f file
		var probs check.Problems
		var assumed check.Assumptions
		sheet.Decode("packyard.yaml", []byte(text), &f, &probs)
		return BuiltIn().BuildStages(f.Stages, "drive.stages", &assumed, &probs), assumed, probs
	}
	stages, assumed, probs := read("stages:\n  - {name: third gear, kind: generic-gearbox-car, ratio: 1.4, torque_max: 200 N·m}\n  - {name: axle, ratio: 4.1, efficiency: 93 %}\n")
	if probs.Any() || len(stages) != 2 {
		t.Fatalf("%v %+v", probs, stages)
	}
	checktest.Near(t, "gearbox efficiency", float64(stages[0].Efficiency), 0.945, 1e-12, 0, "Joachim et al. 2012: 0.92 to 0.97, middle")
	checktest.Near(t, "axle efficiency", float64(stages[1].Efficiency), 0.93, 1e-12, 0, "as written")
	if len(assumed.List) != 1 || assumed.List[0].Source != "joachim-2012" {
		t.Errorf("assumptions %+v", assumed.List)
	}
	if _, _, probs := read("stages:\n  - {name: x, kind: generic-hypod}\n"); !strings.Contains(fmt.Sprint(probs.Err()), "did you mean generic-hypoid?") {
		t.Errorf("%v", probs.Err())
	}
	if _, _, probs := read("stages:\n  - {name: x}\n"); !strings.Contains(fmt.Sprint(probs.Err()), "drive.stages[0]: has neither an efficiency nor a kind") {
		t.Errorf("%v", probs.Err())
	}
}

func TestAuxiliariesOfAProjectKeepWhatIsWritten(t *testing.T) {
	t.Parallel()
	read := func(text string) (Auxiliaries, check.Assumptions) {
		var s AuxiliarySheet
		var probs check.Problems
		var assumed check.Assumptions
		sheet.Decode("packyard.yaml", []byte(text), &s, &probs)
		if probs.Any() {
			t.Fatal(probs.Err())
		}
		return s.Build("drive.auxiliaries", &assumed), assumed
	}
	a, assumed := read("pumps: 20 W\n")
	def := DefaultAuxiliaries()
	if a.Pumps != 20 || a.Sources.Pumps != "given" || a.Steering != def.Steering || !reflect.DeepEqual(a.Cabin, def.Cabin) {
		t.Errorf("%+v", a)
	}
	var subjects strings.Builder
	for _, s := range assumed.List {
		subjects.WriteString(" " + s.Subject)
	}
	for _, want := range []string{"standard_loads", "steering", "vacuum_pump", "cabin.conductance", "cabin.cooling"} {
		if !strings.Contains(subjects.String(), "drive.auxiliaries."+want) {
			t.Errorf("%s is not among the assumptions%s", want, subjects.String())
		}
	}
	a, _ = read("standard_loads: no\npumps: 0 W\nsteering: 0 W\nvacuum_pump: 0 W\nloads: [{name: fan, power: 100 W, duty: 50 %}]\ncabin: {heater_max: 0 W, cooling: 0 W, cooling_max: 0 W}\n")
	if got := a.NetPower(kelvin0 - 20); got != 50 {
		t.Errorf("one fan half the time: %v W", got)
	}
	if p, _ := a.PackPower(nil, kelvin0-20); p != 50 {
		t.Errorf("no heater: %v W at the pack", p)
	}
	a, _ = read("cabin: {heat_pump_cop: 2}\n")
	checktest.Near(t, "heat pump, W", a.Cabin.at(-6.7), def.Cabin.at(-6.7)/2, 1e-9, 0, "definition")
	if a, _ := read("measured: 380 W\n"); a.Measured != 380 {
		t.Errorf("%+v", a)
	}
}
