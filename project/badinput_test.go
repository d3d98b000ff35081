package project

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"packyard/internal/sheet"
)

func TestTenPlantedMistakesAreTenProblems(t *testing.T) {
	t.Parallel()
	_, err := Open("testdata/ten-mistakes")
	got := problems(t, err)
	if len(got) != 10 {
		t.Errorf("got %d problems, want 10:\n%s", len(got), strings.Join(got, "\n"))
	}
	data, err := os.ReadFile("testdata/ten-mistakes/" + FileName)
	if err != nil {
		t.Fatal(err)
	}
	// The comment behind each mistake counts them: every one has its own line.
	n := 0
	for i, line := range strings.Split(string(data), "\n") {
		if !strings.Contains(line, fmt.Sprintf("# %d: ", n+1)) {
			continue
		}
		n++
		want := fmt.Sprintf("%s:%d:", FileName, i+1)
		if n <= len(got) && !strings.HasPrefix(got[n-1], want) {
			t.Errorf("mistake %d: got %s, want it in line %d", n, got[n-1], i+1)
		}
	}
	if n != 10 {
		t.Errorf("the file marks %d mistakes, want 10", n)
	}
}

const (
	plainLength = "a length is written in m, cm, mm, km, µm, in, ft, yd, mi or mil"
	plainMass   = "a mass is written in kg, g, mg, t, lb or oz"
)

// wrong is one change to the smallest project and the only problem it makes.
type wrong struct{ name, from, to, want string }

func TestSlipsOfFormAreNamed(t *testing.T) {
	t.Parallel()
	tryAll(t, []wrong{
		{"no unit", "wheelbase: 2500 mm", "wheelbase: 2500",
			`packyard.yaml:7:14: donor.wheelbase: "2500" needs a unit: ` + plainLength},
		{"wrong dimension", "wheelbase: 2500 mm", "wheelbase: 560 lb",
			`packyard.yaml:7:14: donor.wheelbase: "560 lb" is not a length: lb is a unit of mass; ` + plainLength},
		{"decimal comma", "wheelbase: 2500 mm", "wheelbase: 2,5 m",
			`packyard.yaml:7:14: donor.wheelbase: "2,5 m" has a decimal comma: write 2.5 m`},
		{"decimal comma in braces", "{front: 640 kg", "{front: 640,5 kg",
			`packyard.yaml:10:20: donor.weighed.front: "640,5 kg" has a decimal comma: write 640.5 kg`},
		{"decimal comma in a place", "at: [2100 mm,", "at: [2,1 m,",
			`packyard.yaml:14:23: bays[0].at[0]: "2,1 m" has a decimal comma: write 2.1 m`},
		{"unit slip", "wheelbase: 2500 mm", "wheelbase: 2500 m",
			`packyard.yaml:7:14: donor.wheelbase: "2500 m" is outside the plausible 1.2 m to 7 m: did you mean 2500 mm?`},
		{"unknown key", "wheelbase: 2500 mm", "wheelbase: 2500 mm\n  colour: red",
			`packyard.yaml:8:3: donor.colour: "colour" is not a key of donor: known here: wheelbase, track, tyre, weighed, centre_of_gravity_height, outline, ratings, wheel_rate, removed, added, load_cases`},
		{"misspelt key", "wheelbase: 2500 mm", "wheel_base: 2500 mm",
			`packyard.yaml:7:3: donor.wheel_base: "wheel_base" is not a key of donor: did you mean wheelbase?`},
		{"missing required field", "currency: EUR\n", "",
			`packyard.yaml:2:1: currency: is missing: currency of all prices, three letters of ISO 4217; a text is accepted`},
		{"missing mapping", "road: {drag_area: 0.7 m²}\n", "",
			`packyard.yaml:2:1: road: is missing: what the vehicle rolls on and through; keys with values are accepted: drag_area, drag_coefficient, frontal_area, rolling_coefficient, coast_down, driver, ambient, altitude, headwind`},
		{"zero mass", "rear: 420 kg", "rear: 0 kg",
			`packyard.yaml:10:34: donor.weighed.rear: "0 kg" is zero: a mass above 0 kg, up to 10 t, is accepted`},
		{"negative mass", "rear: 420 kg", "rear: -420 kg",
			`packyard.yaml:10:34: donor.weighed.rear: "-420 kg" is negative: a mass above 0 kg, up to 10 t, is accepted`},
		{"source with count 0", "count: 130", "count: 0",
			`packyard.yaml:16:68: sources[0].count: "0" is outside 1 to 100000: a whole number from 1 to 100000 is accepted`},
		{"newer version", "packyard: 1", "packyard: 2",
			`packyard.yaml:2:11: packyard: "2" is not a version of the file format that this program knows: version 1 is read; a newer file needs a newer program`},
		{"currency in words", "currency: EUR", "currency: euro",
			`packyard.yaml:5:11: currency: "euro" is not a currency code: three capital letters of ISO 4217, such as EUR, are accepted`},
		{"no bays", "bays:\n  - {name: rear, at: [2100 mm, -500 mm, 350 mm], size: [800 mm, 1000 mm, 400 mm]}", "bays: []",
			`packyard.yaml:13:7: bays: holds nothing: list at least one space for modules`},
		{"anchors", "wheelbase: 2500 mm", "wheelbase: &w 2500 mm",
			`packyard.yaml:7:14: donor.wheelbase: "&w" names a place for reuse: take it out and write the values where they are needed`},
	})
}

func tryAll(t *testing.T, cases []wrong) {
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			_, err := readText(change(t, minimal(t), c.from, c.to))
			got := problems(t, err)
			if len(got) != 1 || got[0] != c.want {
				t.Errorf("got  %s\nwant %s", strings.Join(got, "\n     "), c.want)
			}
		})
	}
}

func TestContradictionsAreNamed(t *testing.T) {
	t.Parallel()
	const reach = "a plausible vehicle of this wheelbase reaches from -1500 mm to 5000 mm behind the front axle line, 1300 mm to either side and 3000 mm up"
	tryAll(t, []wrong{
		{"bay outside the vehicle", "at: [2100 mm,", "at: [4300 mm,",
			`packyard.yaml:14:23: bays[0].at: "rear" lies outside the vehicle: a corner of it is 100 mm too far to the rear: ` + reach},
		{"bay under the ground", "-500 mm, 350 mm]", "-500 mm, -50 mm]",
			`packyard.yaml:14:23: bays[0].at: "rear" lies outside the vehicle: a corner of it is 50 mm too far down: it is below the ground: ` + reach},
		{"bay outside the stated outline", "wheelbase: 2500 mm", "wheelbase: 2500 mm\n  outline: {front: 600 mm, rear: 300 mm, width: 1500 mm, height: 1.4 m}",
			`packyard.yaml:15:23: bays[0].at: "rear" lies outside the vehicle: a corner of it is 100 mm too far to the rear: by its outline the vehicle reaches from -600 mm to 2800 mm behind the front axle line, 750 mm to either side and 1400 mm up`},
		{"item outside the vehicle", "wheelbase: 2500 mm", "wheelbase: 2500 mm\n  added: [{name: charger, mass: 8 kg, at: [-2 m, 0 m, 0.5 m]}]",
			`packyard.yaml:8:44: donor.added[0].at: "charger" lies outside the vehicle: 500 mm too far to the front: ` + reach},
		{"axle loads that do not make the weight", "rear: 420 kg}", "rear: 420 kg, total: 1090 kg}",
			`packyard.yaml:10:49: donor.weighed.total: "1090 kg" does not match the axle loads, which make 1060 kg: the axles must make the total within 2 %: weigh again, or correct the one that is wrong`},
		{"three of four wheels", "{front: 640 kg, rear: 420 kg}", "{front_left: 320 kg, front_right: 320 kg, rear_left: 200 kg}",
			`packyard.yaml:10:12: donor.weighed: has 3 of four wheels: weigh all four wheels, or write the axles alone`},
		{"wheels that do not make the axle", "{front: 640 kg, rear: 420 kg}", "{front: 700 kg, front_left: 320 kg, front_right: 320 kg, rear_left: 200 kg, rear_right: 220 kg}",
			`packyard.yaml:10:20: donor.weighed.front: "700 kg" does not match its two wheels, which make 640 kg: weigh again, or take one of the two out`},
		{"removed more than the vehicle", "wheelbase: 2500 mm", "wheelbase: 2500 mm\n  removed: [{name: a, mass: 900 kg, at: [0 m, 0 m, 0.5 m]}, {name: b, mass: 400 lb, at: [0 m, 0 m, 0.5 m]}]",
			`packyard.yaml:8:77: donor.removed[1].mass: "400 lb" brings what was removed to 1081 kg, as much as the vehicle weighed or more (1060 kg): look for a slip of the unit in the list`},
		{"window with minimum above maximum", "driven_axle: front", "driven_axle: front, inverter_window: {full_min: 440 V, full_max: 270 V}",
			`packyard.yaml:12:119: drive.inverter_window.full_min: "440 V" is above full_max, "270 V": at most full_max is accepted`},
		{"never exceeded below the window", "driven_axle: front", "driven_axle: front, inverter_window: {full_min: 270 V, full_max: 440 V, never_exceed: 400 V}",
			`packyard.yaml:12:136: drive.inverter_window.full_max: "440 V" is above never_exceed, "400 V": at most never_exceed is accepted`},
		{"bay smaller than any module", "size: [800 mm, 1000 mm, 400 mm]", "size: [800 mm, 1000 mm, 90 mm]",
			`packyard.yaml:14:57: bays[0].size: "rear" is too small for every module of the sources: 784 × 984 × 74 mm inside walls and clearance, and the smallest module, new-cells in the shortest stack, is ` + shortest(t) + ` with room for cables of 30 mm over its terminals: make it larger, or add a source of smaller modules`},
		{"two bays of one name", "bays:\n", "bays:\n  - {name: rear, at: [0 m, -500 mm, 350 mm], size: [800 mm, 1000 mm, 400 mm]}\n",
			`packyard.yaml:15:12: bays[1].name: "rear" is also the name of the bay in line 14: give each bay a name of its own`},
		{"two sources of one name", "sources:\n", "sources:\n  - {name: new-cells, kind: cells, part: prismatic-lfp-280, count: 10}\n",
			`packyard.yaml:17:12: sources[1].name: "new-cells" is also the name of the source in line 16: give each source a name of its own`},
		{"source name with blanks", "name: new-cells", "name: new cells/2",
			`packyard.yaml:16:12: sources[0].name: "new cells/2" cannot stand in the name of an option: letters, digits, dots and dashes are accepted, such as new-cells-2`},
		{"all pieces kept back", "count: 130", "count: 130, spare: 130",
			`packyard.yaml:16:80: sources[0].spare: "130" keeps all of the 130 pieces back: fewer than count are accepted`},
		{"coast-down without mass and density", "{drag_area: 0.7 m²}", "{coast_down: {a: 150 N, b: 2 N/(m/s), c: 0.4 N/(m/s)², reference_mass: 1200 kg}}",
			`packyard.yaml:11:20: road.coast_down.reference_density: is missing: write reference_density, such as 1.19 kg/m³, or reference_temperature and reference_altitude of the test`},
		{"coast-down without mass", "{drag_area: 0.7 m²}", "{coast_down: {a: 150 N, b: 2 N/(m/s), c: 0.4 N/(m/s)², reference_density: 1.2 kg/m³}}",
			`packyard.yaml:11:20: road.coast_down.reference_mass: is missing: of the vehicle when it coasted; ` + plainMass},
		{"coast-down beside rolling", "{drag_area: 0.7 m²}", "{rolling_coefficient: 0.01, coast_down: {a: 150 N, b: 2 N/(m/s), c: 0.4 N/(m/s)², reference_mass: 1200 kg, reference_density: 1.2 kg/m³}}",
			`packyard.yaml:11:29: road.rolling_coefficient: stands beside a coast-down, which holds it already: take one of the two out`},
		{"no drag", "{drag_area: 0.7 m²}", "{rolling_coefficient: 0.01}",
			`packyard.yaml:11:7: road.drag_area: is missing: write drag_area, or drag_coefficient and frontal_area, or coast_down`},
		{"half a drag", "{drag_area: 0.7 m²}", "{drag_coefficient: 0.36}",
			`packyard.yaml:11:26: road.frontal_area: is missing: write it beside drag_coefficient, such as 2.1 m²`},
		{"drag given twice", "{drag_area: 0.7 m²}", "{drag_area: 0.7 m², drag_coefficient: 0.4, frontal_area: 2 m²}",
			`packyard.yaml:11:19: road.drag_area: "0.7 m²" does not match drag_coefficient times frontal_area, which is 0.8 m²: take one of the two out`},
		{"malformed option", "targets:", "choose: {option: new-cells 104S2P}\ntargets:",
			`packyard.yaml:17:18: choose.option: "new-cells 104S2P" is not the name of an option: an option is written source/104S2P/8x12S+1x8S or source/2x96S1P/as-built, as options prints it`},
		{"option of another source", "targets:", "choose: {option: new-cell/104S1P/as-built}\ntargets:",
			`packyard.yaml:17:18: choose.option: "new-cell" names no source of this project: did you mean new-cells?`},
		{"coldest above hottest", "{schedule: udds}", "{schedule: udds, coldest_day: 30 °C, hottest_day: 20 °C}",
			`packyard.yaml:17:40: targets.coldest_day: coldest day 30 °C is above hottest day 20 °C: the coldest day is at most as warm as the hottest`},
		{"range grows with age", "{schedule: udds}", "{schedule: udds, range: 80 km, range_at_end_of_life: 90 km}",
			`packyard.yaml:17:63: targets.range_at_end_of_life: "90 km" is above range, "80 km": at most range is accepted: a pack does not grow`},
		{"grade without speed", "{schedule: udds}", "{schedule: udds, grade: 10 %}",
			`packyard.yaml:17:34: targets.grade_speed: is missing: write the speed to be held on the grade, such as 40 km/h`},
		{"another currency", "count: 130", "count: 130, price: 60 USD",
			`packyard.yaml:16:80: sources[0].price: "60 USD" is not in EUR: one currency per project: write the amount in EUR`},
		{"tyre size in words", "tyre: {radius: 290 mm}", "tyre: {size: fifteen inch}",
			`packyard.yaml:9:16: donor.tyre.size: "fifteen inch" is not a tyre size: width in mm, aspect in %, R and rim in inches, such as 185/65 R15, are accepted; else write the radius`},
		{"no tyre", "tyre: {radius: 290 mm}", "tyre: {wheels: 4}",
			`packyard.yaml:9:9: donor.tyre.radius: is missing: write radius: 300 mm, or size: 185/65 R15 as on the sidewall`},
		{"fading the wrong way", "driven_axle: front", "driven_axle: front, regeneration: {fade_from: 5 km/h, fade_to: 10 km/h}",
			`packyard.yaml:12:134: drive.regeneration.fade_to: "10 km/h" is above fade_from, "5 km/h": at most fade_from is accepted`},
	})
}

// shortest is the size of the shortest stack of the smallest project, as the
// message about a small bay prints it.
func shortest(t *testing.T) string {
	t.Helper()
	p, err := Open("testdata/minimal")
	if err != nil {
		t.Fatal(err)
	}
	s := smallestModules(&p.Brief.Sources[0])[0].Size
	return fmt.Sprintf("%.0f × %.0f × %.0f mm", s.X.Millimetres(), s.Y.Millimetres(), s.Z.Millimetres())
}

func TestUnknownPartsAreNamedWithTheNearest(t *testing.T) {
	t.Parallel()
	tryAll(t, []wrong{
		{"cell", "part: prismatic-lfp-105", "part: prismatic-lfp-106",
			`packyard.yaml:16:42: sources[0].part: "prismatic-lfp-106" is not a known cell: did you mean prismatic-lfp-105?`},
		{"module for a cell", "kind: cells", "kind: module",
			`packyard.yaml:16:43: sources[0].part: "prismatic-lfp-105" is a cell and not a module: write kind: cells, or name a module`},
		{"closed module opened", "kind: cells, part: prismatic-lfp-105", "kind: openable module, part: closed-prismatic-nmc-94-12s1p",
			`packyard.yaml:16:29: sources[0].kind: "closed-prismatic-nmc-94-12s1p" is a closed module: nothing is known about building its slices into modules: write kind: module, or name hardware that turns its slices into modules`},
		{"hardware for another cell", "count: 130", "count: 130, hardware: stack-prismatic-280",
			`packyard.yaml:16:83: sources[0].hardware: "stack-prismatic-280" is not made for "prismatic-lfp-105": list the cell in the hardware's cells, or take stack-prismatic-105`},
		{"drive unit", "generic-car-unit-80kw", "generic-car-unit-8kw",
			`packyard.yaml:12:15: drive.unit: "generic-car-unit-8kw" is not a known drive unit: did you mean generic-car-unit-80kw?`},
		{"inverter", "generic-inverter-400v", "generic-inverter-40v",
			`packyard.yaml:12:48: drive.inverter: "generic-inverter-40v" is not a known inverter: did you mean generic-inverter-48v?`},
		{"kind of stage", "driven_axle: front", "driven_axle: front, stages: [{name: shaft, kind: generic-shafts}]",
			`packyard.yaml:12:120: drive.stages[0].kind: "generic-shafts" is not a known kind of stage: did you mean generic-shaft?`},
		{"schedule", "schedule: udds", "schedule: uddss",
			`packyard.yaml:17:21: targets.schedule: "uddss" is not a known schedule: did you mean udds?`},
		{"route that is not there", "schedule: udds", "schedule: routes/hill.gpx",
			`packyard.yaml:17:21: targets.schedule: "routes/hill.gpx" is not there: put the file into the folder routes of the project`},
		{"route outside the project", "schedule: udds", "schedule: ../hill.gpx",
			`packyard.yaml:17:21: targets.schedule: "../hill.gpx" leaves the project folder: a path inside the project folder is accepted, such as routes/hill.gpx`},
	})
}

func TestFaultsOfRoutesAndPartsCarryTheirOwnFile(t *testing.T) {
	t.Parallel()
	gpx := func(points string) string {
		return `<?xml version="1.0"?>` + "\n" + `<gpx version="1.1" creator="x" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>` + "\n" + points + "\n</trkseg></trk></gpx>\n"
	}
	for _, c := range []struct{ name, use, file, text, want string }{
		{"track without elevation", "schedule: routes/a.gpx", "routes/a.gpx", gpx(`<trkpt lat="47" lon="8"><time>2026-01-01T00:00:00Z</time></trkpt>` + "\n" + `<trkpt lat="47.001" lon="8"><ele>3</ele><time>2026-01-01T00:00:10Z</time></trkpt>`), "routes/a.gpx:3:"},
		{"track with time going back", "schedule: routes/a.gpx", "routes/a.gpx", gpx(`<trkpt lat="47" lon="8"><ele>3</ele><time>2026-01-01T00:00:10Z</time></trkpt>` + "\n" + `<trkpt lat="47.001" lon="8"><ele>3</ele><time>2026-01-01T00:00:00Z</time></trkpt>`), "routes/a.gpx:4:"},
		{"schedule with a gap", "schedule: routes/a.csv", "routes/a.csv", "time_s,speed_kmh\n0,0\n1,5\n90,5\n", "routes/a.csv:4:"},
		{"schedule with text", "schedule: routes/a.csv", "routes/a.csv", "time_s,speed_kmh\n0,0\n1,fast\n", "routes/a.csv:3:"},
		{"schedule with NaN", "schedule: routes/a.csv", "routes/a.csv", "time_s,speed_kmh\n0,0\n1,NaN\n", "routes/a.csv:3:"},
		{"window of a part upside down", "schedule: udds", "parts/a.yaml", strings.Replace(ourHardware, "full_min: 250 V", "full_min: 550 V", 1), `parts/a.yaml:17:23: inverters[0].bands.full_min: "550 V" is above full_max`},
		{"module of no cell", "schedule: udds", "parts/a.yaml", strings.Replace(ourModule, "cell: prismatic-lfp-105", "cell: prismatic-lfp-115", 1), `parts/a.yaml:4:11: modules[0].cell: `},
		{"module of no hardware", "schedule: udds", "parts/a.yaml", strings.Replace(ourModule, "stack-prismatic-105", "stack-prismatic-205", 1), `parts/a.yaml:7:15: modules[0].hardware: `},
		{"two parts of one name", "schedule: udds", "parts/a.yaml", ourCell + strings.TrimPrefix(ourCell, "cells:\n"), `parts/a.yaml:12:9: cells[1].id: "our-cell" is also the name of `},
		{"name of a built-in part", "schedule: udds", "parts/a.yaml", strings.Replace(ourCell, "id: our-cell", "id: prismatic-lfp-280", 1), `parts/a.yaml:2:9: cells[0].id: "prismatic-lfp-280" is also the name of `},
		{"inverter with the name of a cell", "schedule: udds", "parts/a.yaml", strings.Replace(ourHardware, "our-inverter", "prismatic-lfp-280", 1), `parts/a.yaml:15:9: inverters[0].id: "prismatic-lfp-280" is also the name of `},
		{"part without a unit", "schedule: udds", "parts/a.yaml", strings.Replace(ourCell, "capacity: 100 Ah", "capacity: 100", 1), `parts/a.yaml:6:15: cells[0].capacity: "100" needs a unit`},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			beside := []string{c.file, c.text}
			if strings.Contains(c.text, "[our-cell]") {
				beside = append(beside, "parts/z.yaml", ourCell)
			}
			_, err := readText(change(t, minimal(t), "schedule: udds", c.use), beside...)
			got := problems(t, err)
			if len(got) != 1 || !strings.HasPrefix(got[0], c.want) {
				t.Errorf("got  %s\nwant %s…", strings.Join(got, "\n     "), c.want)
			}
		})
	}
}

const ourModule = `modules:
  - id: our-module
    title: ours
    cell: prismatic-lfp-105
    slice: {pitch: 40 mm, width: 140 mm, height: 210 mm, mass: 2.2 kg, resistance: 0.1 mΩ}
    groups: 6
    hardware: stack-prismatic-105
`

func TestEntriesOfSeveralFilesKeepTheirOwnIndex(t *testing.T) {
	t.Parallel()
	second := strings.Replace(strings.Replace(ourCell, "our-cell", "second-cell", 1), "voltage_min: 2.5 V", "voltage_min: 3.7 V", 1)
	_, err := readText(minimal(t), "parts/a.yaml", ourCell, "parts/b.yaml", second)
	got := problems(t, err)
	if len(got) != 1 || !strings.HasPrefix(got[0], "parts/b.yaml:11:18: cells[0].voltage_min: ") {
		t.Errorf("got %v", got)
	}
}

func TestHugeAndDeepFilesAreRefusedWithTheLimit(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	f, err := os.Create(filepath.Join(dir, FileName))
	if err != nil {
		t.Fatal(err)
	}
	// A sparse file: 100 MB on paper, nothing on the disk, and never read.
	if err := f.Truncate(100 << 20); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	_, err = Open(dir)
	if got := problems(t, err); len(got) != 1 || got[0] != "packyard.yaml:1:1: file: is 100.0 MB long: at most 4 MB are read" {
		t.Errorf("100 MB: got %v", got)
	}
	_, err = readText("packyard: " + strings.Repeat("[", 50_000))
	if got := problems(t, err); len(got) != 1 || got[0] != "packyard.yaml:1:51: file: is nested deeper than 40 levels: at most 40 levels are read" {
		t.Errorf("deep: got %v", got)
	}
	_, err = readText(minimal(t), "parts/big.yaml", strings.Repeat("#", sheet.BytesMax+1))
	if got := problems(t, err); len(got) != 1 || got[0] != "parts/big.yaml:1:1: file: is 4.0 MB long: at most 4 MB are read" {
		t.Errorf("large parts: got %v", got)
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(minimal(f)))
	if data, err := os.ReadFile("testdata/ten-mistakes/" + FileName); err == nil {
		f.Add(data)
	}
	f.Add(template)
	f.Fuzz(func(t *testing.T, data []byte) {
		_, err := readText(string(data))
		for _, p := range problems(t, err) {
			if !strings.Contains(p, ".yaml:") {
				t.Errorf("a problem without place: %s", p)
			}
		}
	})
}
