package project

import (
	"errors"
	"math"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"packyard/check"
	"packyard/check/checktest"
	"packyard/design"
	"packyard/unit"
)

// minimal is the file of testdata/minimal, to which the tests make one change.
func minimal(t testing.TB) string {
	t.Helper()
	data, err := os.ReadFile("testdata/minimal/" + FileName)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// change returns text with the first from replaced; it must be there.
func change(t testing.TB, text, from, to string) string {
	t.Helper()
	if !strings.Contains(text, from) {
		t.Fatalf("the test looks for %q, which is not in the file", from)
	}
	return strings.Replace(text, from, to, 1)
}

// readText reads text as the project file, with other files beside it as pairs
// of name and text.
func readText(text string, beside ...string) (*Project, error) {
	fsys := fstest.MapFS{FileName: &fstest.MapFile{Data: []byte(text)}}
	for i := 0; i+1 < len(beside); i += 2 {
		fsys[beside[i]] = &fstest.MapFile{Data: []byte(beside[i+1])}
	}
	return Read(fsys, FileName)
}

// problems returns the problems of err, one line each.
func problems(t testing.TB, err error) []string {
	t.Helper()
	if err == nil {
		return nil
	}
	var probs *check.Problems
	if !errors.As(err, &probs) {
		t.Fatalf("got %v, want problems of the file", err)
	}
	var out []string
	for _, p := range probs.List {
		out = append(out, p.String())
	}
	return out
}

func TestMinimalProjectOpens(t *testing.T) {
	t.Parallel()
	p, err := Open("testdata/minimal")
	if err != nil {
		t.Fatal(err)
	}
	b := p.Brief
	if b.Title != "Smallest project" || !b.Invented || b.Currency != "EUR" || b.Donor.WeighedFront != 640 || b.Drive.Unit == nil || b.Targets.Schedule == nil {
		t.Errorf("got %+v", b)
	}
	if len(b.Bays) != 1 || b.Bays[0].Boxes[0].Size.Y != 1 || b.Bays[0].Opens != "top" || len(b.Sources) != 1 || b.Sources[0].Hardware == nil {
		t.Errorf("bays and sources: got %+v, %+v", b.Bays, b.Sources)
	}
	if _, err := Open("testdata/minimal/" + FileName); err != nil {
		t.Errorf("the file itself is not opened: %v", err)
	}
}

func TestEveryAssumptionHasAPathAndAKnownSource(t *testing.T) {
	t.Parallel()
	p, err := Open("testdata/minimal")
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Brief.Assumed.List) < 40 {
		t.Errorf("got %d assumptions, want the 45 or so of the smallest project", len(p.Brief.Assumed.List))
	}
	for _, a := range p.Brief.Assumed.List {
		if _, ok := check.SourceOf(a.Source); !ok {
			t.Errorf("%s: source %q is not in the list of sources", a.Subject, a.Source)
		}
		if strings.ContainsAny(a.Subject, " ()") || a.Value.Noun == "" {
			t.Errorf("assumption without path or noun: %+v", a)
		}
		if _, _, given := p.Given(a.Subject); given {
			t.Errorf("%s is assumed and given", a.Subject)
		}
	}
}

func TestWhatIsGivenIsNotAssumed(t *testing.T) {
	t.Parallel()
	text := minimal(t)
	for _, c := range []struct{ from, to, subject string }{
		{"{drag_area: 0.7 m²}", "{drag_area: 0.7 m², rolling_coefficient: 0.01}", "road.rolling_coefficient"},
		{"{drag_area: 0.7 m²}", "{drag_area: 0.7 m², altitude: 0 m}", "road.altitude"},
		{"wheelbase: 2500 mm", "wheelbase: 2500 mm\n  centre_of_gravity_height: 0.5 m", "donor.centre_of_gravity_height"},
		{"{schedule: udds}", "{schedule: udds, strings_max: 1}", "targets.strings_max"},
		{"bays:", "build: {hour_rate: 0 EUR}\nbays:", "build.hour_rate"},
	} {
		p, err := readText(change(t, text, c.from, c.to))
		if err != nil {
			t.Fatal(err)
		}
		for _, a := range p.Brief.Assumed.List {
			if a.Subject == c.subject {
				t.Errorf("%s is given and still assumed", c.subject)
			}
		}
	}
}

func TestValuesArriveInSI(t *testing.T) {
	t.Parallel()
	text := minimal(t)
	text = change(t, text, "wheelbase: 2500 mm", "wheelbase: 8 ft 2 1/2 in")
	text = change(t, text, "tyre: {radius: 290 mm}", "tyre: {size: 185/65 R15}")
	text = change(t, text, "weighed: {front: 640 kg, rear: 420 kg}", "weighed: {front_left: 330 kg ± 2 kg, front_right: 310 kg ± 2 kg, rear_left: 200 kg, rear_right: 220 kg, total: 1070 kg}")
	text = change(t, text, "{drag_area: 0.7 m²}", "{coast_down: {a: 150 N, b: 2 N/(m/s), c: 0.4 N/(m/s)², reference_mass: 2500 lb, reference_temperature: 15 °C, reference_altitude: 0 m}}")
	text = change(t, text, "size: [800 mm, 1000 mm, 400 mm]}", "size: [800 mm, 1000 mm, 400 mm], yaw: 90 °, keep_out: [{at: [0 m, 0 m, 0 m], size: [100 mm, 100 mm, 100 mm]}], mass_limit: 200 kg}")
	text = change(t, text, "at: [2100 mm,", "at: [3100 mm,")
	text = change(t, text, "{schedule: udds}", "{schedule: constant 60 km/h, range: 80 mi, grade: 12 %, grade_speed: 20 mph, coldest_day: 14 °F}")
	p, err := readText(text)
	if err != nil {
		t.Fatal(err)
	}
	d, b := p.Brief.Donor, p.Brief
	checktest.Near(t, "wheelbase", d.Wheelbase.Metres(), (8*12+2.5)*0.0254, 1e-12, 0, "nist-hb44, 1 in = 0.0254 m")
	// 15 in of rim and two walls of 65 % of 185 mm: 621.5 mm across.
	checktest.Near(t, "tyre radius", d.TyreRadius.Metres(), 3.05*0.6215/(2*math.Pi), 1e-12, 0, "etrto")
	checktest.Near(t, "front axle", d.WeighedFront.Kilograms(), 640, 1e-12, 0, "sum of two wheels")
	checktest.Near(t, "left share", d.LeftShareFront.Fraction(), 330.0/640, 1e-12, 0, "one wheel over the axle")
	checktest.Near(t, "spread of the front axle", float64(d.WeighedFrontTol), 2*math.Sqrt2, 1e-12, 0, "jcgm-100, independent deviations add as squares")
	c := b.Road.Load.Coast
	checktest.Near(t, "reference mass", float64(c.MassRef), 2500*0.45359237, 1e-9, 0, "nist-sp811")
	checktest.Near(t, "reference density", float64(c.DensityRef), 1.225, 5e-4, 0, "iso-2533: 1.225 kg/m³ at sea level and 15 °C, three decimals printed")
	checktest.Near(t, "yaw", float64(b.Bays[0].Yaw), math.Pi/2, 1e-12, 0, "a quarter turn")
	checktest.Near(t, "range", b.Targets.Range.Metres(), 80*1609.344, 1e-6, 0, "nist-sp811")
	checktest.Near(t, "coldest day", b.Targets.Coldest.Celsius(), -10, 1e-9, 0, "14 °F is −10 °C")
	if len(b.Bays[0].KeepOuts) != 1 || b.Bays[0].MassLimit != 200 || !strings.Contains(b.Targets.Schedule.ID, "constant") {
		t.Errorf("got %+v, %+v", b.Bays[0], b.Targets.Schedule.ID)
	}
}

func TestInverterWindowReplacesTheBandsOfThePart(t *testing.T) {
	t.Parallel()
	p, err := readText(change(t, minimal(t), "driven_axle: front}", "driven_axle: front, inverter_window: {full_min: 270 V, full_max: 440 V, never_exceed: 460 V}}"))
	if err != nil {
		t.Fatal(err)
	}
	got := p.Brief.Drive.Inverter.Bands
	if got.FullMin != 270 || got.FullMax != 440 || got.ReducedMin != 270 || got.ReducedMax != 440 || got.NeverExceed != 460 {
		t.Errorf("got %+v", got)
	}
	if p.Parts.Inverter(p.Brief.Drive.Inverter.ID).Bands == got {
		t.Error("the part of the catalogue was changed")
	}
}

func TestGivenFindsTextAndPlace(t *testing.T) {
	t.Parallel()
	p, err := Open("testdata/minimal")
	if err != nil {
		t.Fatal(err)
	}
	text, pos, ok := p.Given("bays[0].at[1]")
	if !ok || text != "-500 mm" || pos.Line == 0 || pos.File != FileName {
		t.Errorf("got %q at %v, %v", text, pos, ok)
	}
	if _, _, ok := p.Given("donor.removed[0].mass"); ok {
		t.Error("a value that is not there was found")
	}
}

func TestPartsOfTheWorkshopJoinTheCatalogue(t *testing.T) {
	t.Parallel()
	text := change(t, minimal(t), "part: prismatic-lfp-105", "part: our-cell, hardware: our-clamp")
	text = change(t, text, "inverter: generic-inverter-400v", "inverter: our-inverter")
	p, err := readText(text, "parts/b.yaml", ourHardware, "parts/a.yaml", ourCell, "parts/notes.txt", "not read")
	if err != nil {
		t.Fatal(err)
	}
	s := p.Brief.Sources[0]
	if s.Cell.ID != "our-cell" || s.Hardware.ID != "our-clamp" || p.Brief.Drive.Inverter.ID != "our-inverter" || s.Kind != design.LooseCells {
		t.Errorf("got %+v", s)
	}
	if p.Cells.Cell("prismatic-lfp-280") == nil {
		t.Error("the built-in catalogue is gone")
	}
}

const ourCell = `cells:
  - id: our-cell
    title: prismatic LFP 100 Ah
    chemistry: LFP
    format: prismatic
    capacity: 100 Ah
    mass: 2 kg
    size: [36 mm, 130 mm, 200 mm]
    voltage_max: 3.65 V
    voltage_nominal: 3.2 V
    voltage_min: 2.5 V
`

const ourHardware = `hardware:
  - id: our-clamp
    title: clamp
    cells: [our-cell]
    gap: 1 mm
    end_plates: 24 mm
    end_plates_mass: 1.7 kg
    mass_per_slice: 100 g
    margin_width: 20 mm
    margin_height: 30 mm
    stack_max: 600 mm
    orientations: [z-up]
    joint_resistance: 0.05 mΩ
inverters:
  - id: our-inverter
    title: from the breaker
    bands: {full_min: 250 V, full_max: 430 V}
    current_max: 300 A
    efficiency: 97 %
    mass: 10 kg
`

func TestTracksAndSchedulesOfTheProjectAreRead(t *testing.T) {
	t.Parallel()
	csv := "time_s,speed_kmh\n0,0\n1,5\n2,10\n3,5\n4,0\n"
	p, err := readText(change(t, minimal(t), "schedule: udds", "schedule: routes/yard.csv"), "routes/yard.csv", csv)
	if err != nil {
		t.Fatal(err)
	}
	// Trapezia: 20 km/h·s over four seconds.
	checktest.Near(t, "distance", float64(p.Brief.Targets.Schedule.Figures().Distance), 20/3.6, 1e-9, 0, "sum of trapezia")
}

func TestSpreadOfASumWidens(t *testing.T) {
	t.Parallel()
	g := func(tol float64, kind unit.SpreadKind) check.Given[unit.Mass] {
		return check.Given[unit.Mass]{Tol: tol, Kind: kind}
	}
	for _, c := range []struct {
		a, b check.Given[unit.Mass]
		want unit.Mass
		kind unit.SpreadKind
	}{
		{g(0, unit.NoSpread), g(0, unit.NoSpread), 0, unit.NoSpread},
		{g(3, unit.Deviation), g(4, unit.Deviation), 5, unit.Deviation},
		{g(3, unit.Band), g(4, unit.Band), 7, unit.Band},
		{g(3, unit.Band), g(1, unit.Deviation), 6, unit.Band},
		{g(0, unit.NoSpread), g(4, unit.Band), 4, unit.Band},
	} {
		if got, kind := sumSpread(c.a, c.b); got != c.want || kind != c.kind {
			t.Errorf("%+v and %+v: got %v %v, want %v %v", c.a, c.b, got, kind, c.want, c.kind)
		}
	}
}
