package project

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"packyard/check"
	"packyard/check/checktest"
	"packyard/design"
	"packyard/unit"
)

// uncertainIn reads the minimal project with changes, old and new one after the
// other, and returns its uncertain inputs.
func uncertainIn(t *testing.T, changes []string, beside ...string) []design.Uncertain {
	t.Helper()
	text := minimal(t)
	for i := 0; i < len(changes); i += 2 {
		text = change(t, text, changes[i], changes[i+1])
	}
	p, err := readText(text, beside...)
	if err != nil {
		t.Fatal(err)
	}
	return p.Brief.Uncertain
}

func TestStatedSpreadsKeepPlaceKindAndWidth(t *testing.T) {
	t.Parallel()
	list := uncertainIn(t, []string{
		"drag_area: 0.7 m²", "drag_area: 0.7 m² ± 5 %, rolling_coefficient: 0.012 ± 0.002 max, ambient: 10…18 °C",
		"front: 640 kg", "front: 640 kg ± 4 lb",
	})
	type want struct {
		path, text string
		mid, tol   float64
		kind       unit.SpreadKind
		accepted   check.Span
	}
	for i, w := range []want{
		{"donor.weighed.front", "640 kg ± 4 lb", 640, 4 * 0.45359237, unit.Deviation, check.Span{Low: 1e-5, High: 10000}},
		{"road.drag_area", "0.7 m² ± 5 %", 0.7, 0.035, unit.Deviation, check.Span{Low: 0.1, High: 8}},
		{"road.rolling_coefficient", "0.012 ± 0.002 max", 0.012, 0.002, unit.Band, check.Span{Low: 0.004, High: 0.08}},
		{"road.ambient", "10…18 °C", 287.15, 4, unit.Band, check.Span{Low: 233.15, High: 323.15}},
	} {
		if i >= len(list) {
			t.Fatalf("only %d inputs", len(list))
		}
		u := list[i]
		const source = "as written; nist-sp811 for the pound"
		if u.Path != w.path || u.Text != w.text || u.Stated.Kind != w.kind || u.Set == nil || u.Pos.Line == 0 {
			t.Errorf("%+v, want %+v", u, w)
		}
		checktest.Near(t, w.path, u.Stated.Value.SI, w.mid, 0, 1e-12, source)
		checktest.Near(t, w.path+", spread", u.Stated.Tol, w.tol, 0, 1e-12, source)
		checktest.Near(t, w.path+", low end", u.Stated.Accepted.Low, w.accepted.Low, 1e-7, 1e-12, "bounds of the field")
		checktest.Near(t, w.path+", high end", u.Stated.Accepted.High, w.accepted.High, 0, 1e-12, "bounds of the field")
	}
	if len(list) != 4 {
		t.Errorf("%d inputs: %+v", len(list), list)
	}
	if none := uncertainIn(t, nil); len(none) != 0 {
		t.Errorf("without a spread: %+v", none)
	}
}

// What range and energy do not depend on is listed too, and says why.
func TestSpreadThatIsNotDrawnSaysWhy(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ from, to, path, why string }{
		{"wheelbase: 2500 mm", "wheelbase: 2500 mm ± 5 mm", "donor.wheelbase", "do not depend on it"},
		{"size: [800 mm", "size: [800 mm ± 2 mm", "bays[0].size[0]", "stated sizes"},
		{"schedule: udds", "schedule: udds, range: 100 km ± 5 km", "targets.range", "wishes"},
		{"donor:\n", "donor:\n  ratings: {gross: 1600 kg ± 10 kg}\n", "donor.ratings.gross", "limits"},
		{"donor:\n", "donor:\n  load_cases: [{name: two, items: [{name: driver, mass: 75 kg ± 10 kg, at: [1 m, 0 m, 1 m]}]}]\n", "donor.load_cases[0].items[0].mass", "axle loads"},
		{"rear: 420 kg", "rear: 420 kg, total: 1060 kg ± 5 kg", "donor.weighed.total", "compared"},
		{"drag_area: 0.7 m²", "drag_area: 0.7 m², drag_coefficient: 0.35 ± 0.01, frontal_area: 2 m²", "road.drag_coefficient", "drag_area"},
		{"drive: {", "drive: {auxiliaries: {measured: 400 W, pumps: 20 W ± 5 W}, ", "drive.auxiliaries.pumps", "measured"},
		{"drive: {", "drive: {auxiliaries: {vacuum_pump: 0 W ± 5 W}, ", "drive.auxiliaries.vacuum_pump", "zero"},
	} {
		list := uncertainIn(t, []string{c.from, c.to})
		if len(list) != 1 || list[0].Path != c.path || list[0].Set != nil || !strings.Contains(list[0].Why, c.why) {
			t.Errorf("%s: %+v, want a reason with %q", c.path, list, c.why)
		}
	}
}

// A setter moves what is named and nothing else: setting the stated value leaves
// the brief, another value and back restore it.
func TestSettersGoToTheNamedPlace(t *testing.T) {
	t.Parallel()
	text := minimal(t)
	text = change(t, text, "front: 640 kg, rear: 420 kg", "front_left: 320 kg, front_right: 320 kg ± 1 kg, rear_left: 210 kg, rear_right: 210 kg ± 1 kg max")
	text = change(t, text, "donor:\n", "donor:\n  added:\n    - {name: motor, mass: 60 kg, at: [0 m, 0 m, 500 mm]}\n    - {name: inverter, mass: 14 kg ± 1 kg, at: [0 m, 0 m, 500 mm]}\n")
	text = change(t, text, "drive: {", "drive: {auxiliaries: {loads: [{name: radio, power: 20 W ± 2 W, duty: 50 %}]}, stages: [{name: one, efficiency: 97 %}, {name: two, ratio: 2, efficiency: 96 % ± 0.01}], ")
	text = change(t, text, "count: 130}", "count: 130, state_of_health: 95 % ± 0.02}")
	p, err := readText(text)
	if err != nil {
		t.Fatal(err)
	}
	b := p.Brief
	for _, c := range []struct {
		path  string
		value float64
		read  func(b *design.Brief) float64
		want  float64
	}{
		{"donor.weighed.front_right", 330, func(b *design.Brief) float64 { return float64(b.Donor.WeighedFront) }, 650},
		{"donor.weighed.rear_right", 200, func(b *design.Brief) float64 { return float64(b.Donor.WeighedRear) }, 410},
		{"donor.added[1].mass", 15, func(b *design.Brief) float64 { return float64(b.Donor.Added[1].Mass) }, 15},
		{"drive.stages[1].efficiency", 0.9, func(b *design.Brief) float64 { return float64(b.Drive.Stages[1].Efficiency) }, 0.9},
		{"drive.auxiliaries.loads[0].power", 99, func(b *design.Brief) float64 {
			loads := b.Drive.Auxiliary.Loads
			return float64(loads[len(loads)-1].Power)
		}, 99},
		{"sources[0].state_of_health", 0.9, func(b *design.Brief) float64 { return float64(b.Sources[0].Health.CapacityShare) }, 0.9},
	} {
		i := slices.IndexFunc(b.Uncertain, func(u design.Uncertain) bool { return u.Path == c.path })
		if i < 0 {
			t.Fatalf("%s is not among %+v", c.path, b.Uncertain)
		}
		u := b.Uncertain[i]
		u.Set(&b, c.value)
		checktest.Near(t, c.path, c.read(&b), c.want, 1e-12, 1e-12, "as set")
	}
	if len(b.Uncertain) != 6 {
		t.Errorf("%d inputs", len(b.Uncertain))
	}
}

const uncertainParts = `
chargers:
  - {id: own-charger, title: own charger, bands: {full_min: 250 V, full_max: 450 V}, power_max: 6 kW, current_max: 20 A, efficiency: 93 % ± 0.01, mass: 6 kg ± 0.1 kg}
  - {id: shelf-charger, title: on the shelf, bands: {full_min: 250 V, full_max: 450 V}, power_max: 6 kW, current_max: 20 A, efficiency: 91 % ± 0.01, mass: 6 kg}
`

// Spreads in the files of parts count where the part is in use.
func TestSpreadsOfPartsInUseAreListed(t *testing.T) {
	t.Parallel()
	list := uncertainIn(t, []string{"drive: {", "drive: {charger: own-charger, "}, "parts/own.yaml", uncertainParts)
	if len(list) != 3 {
		t.Fatalf("%+v", list)
	}
	if u := list[0]; u.Path != "parts: own-charger.efficiency" || u.Set == nil || u.Pos.File != "parts/own.yaml" || u.Stated.Accepted.High != 1 {
		t.Errorf("%+v", u)
	}
	for _, u := range list[1:] {
		if u.Set != nil || u.Why == "" {
			t.Errorf("%+v", u)
		}
	}
}

// A range whose words are wrong is a problem with its place, as before.
func TestWrongSpreadIsAProblem(t *testing.T) {
	t.Parallel()
	for _, text := range []string{"drag_area: 0.7 m² ± 5", "drag_area: 0.9…0.7 m²", "drag_area: 0.7 m² ± -1 m²"} {
		_, err := readText(change(t, minimal(t), "drag_area: 0.7 m²", text))
		var probs *check.Problems
		if !errors.As(err, &probs) || probs.List[0].Path != "road.drag_area" {
			t.Errorf("%s: %v", text, err)
		}
	}
}
