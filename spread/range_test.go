package spread_test

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"packyard/check/checktest"
	"packyard/design"
	"packyard/drive"
	"packyard/project"
	"packyard/schedule"
	"packyard/search"
	"packyard/spread"
	"packyard/unit"
)

const option = "salvaged-cans/104S4P/13x8S"

// truck reads the orchard truck with lines of its file replaced, old and new
// one after the other.
func truck(t testing.TB, parts string, replaced ...string) *design.Frame {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(checktest.Root(t), "examples", "orchard-truck", "packyard.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	text := plainOf(string(b))
	for i := 0; i < len(replaced); i += 2 {
		if !strings.Contains(text, replaced[i]) {
			t.Fatalf("the truck has no line %q", replaced[i])
		}
		text = strings.Replace(text, replaced[i], replaced[i+1], 1)
	}
	dir := t.TempDir()
	write := func(name, text string) {
		if err := os.MkdirAll(filepath.Dir(filepath.Join(dir, name)), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	write("packyard.yaml", text)
	if parts != "" {
		write("parts/own.yaml", parts)
	}
	p, err := project.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	f, err := design.NewFrame(&p.Brief)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// plainOf takes all spreads out of a project file.
func plainOf(text string) string {
	var out strings.Builder
	for line := range strings.Lines(text) {
		for {
			at := strings.Index(line, " ±")
			if at < 0 || strings.HasPrefix(strings.TrimSpace(line), "#") {
				break
			}
			end := strings.IndexAny(line[at:], ",}\n#")
			line = line[:at] + line[at+end:]
		}
		out.WriteString(line)
	}
	return out.String()
}

func placed(t testing.TB, f *design.Frame) *design.Placed {
	t.Helper()
	o, err := search.Find(f, option)
	if err != nil {
		t.Fatal(err)
	}
	return search.Place(f, o)
}

func find(t testing.TB, id string) *schedule.Schedule {
	t.Helper()
	s, err := schedule.Find(id)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func short(t testing.TB) *schedule.Schedule { return find(t, "wltc-class2") }

// cases are one value of each kind of input that range and energy depend on: the
// line of the truck, the line with a spread, and with another value in place of it.
var cases = []struct {
	name, line, spread, other string
	value                     float64 // of other, SI
}{
	{"drag coefficient", "drag_coefficient: 0.48", "drag_coefficient: 0.48 ± 0.02", "drag_coefficient: 0.52", 0.52},
	{"frontal area", "frontal_area: 2.45 m²", "frontal_area: 2.45 m² ± 0.1 m²", "frontal_area: 2.3 m²", 2.3},
	{"rolling coefficient", "rolling_coefficient: 0.0125", "rolling_coefficient: 0.011…0.014", "rolling_coefficient: 0.0135", 0.0135},
	{"driver", "driver: 150 kg", "driver: 150 kg ± 40 kg", "driver: 300 kg", 300},
	{"ambient", "ambient: 15 °C", "ambient: 15 °C ± 6 °C", "ambient: 2 °C", float64(unit.Celsius(2))},
	{"altitude", "altitude: 210 m", "altitude: 210 m ± 50 m", "altitude: 900 m", 900},
	{"headwind", "altitude: 210 m", "altitude: 210 m\n  headwind: 0 m/s ± 2 m/s", "altitude: 210 m\n  headwind: 3 m/s", 3},
	{"wheel radius", "size: 185/80 R14", "radius: 308 mm ± 4 mm", "radius: 299 mm", 0.299},
	{"wheel inertia", "inertia: 1.1 kg·m²", "inertia: 1.1 kg·m² ± 0.2 kg·m²", "inertia: 1.5 kg·m²", 1.5},
	{"weighed front axle", "front: 742 kg", "front: 742 kg ± 5 kg", "front: 755 kg", 755},
	{"weighed rear axle", "rear: 518 kg", "rear: 518 kg ± 5 kg", "rear: 505 kg", 505},
	{"removed item", "mass: 168 kg", "mass: 168 kg ± 5 kg", "mass: 160 kg", 160},
	{"added item", "name: motor with adaptor, mass: 62 kg", "name: motor with adaptor, mass: 62 kg ± 2 kg max", "name: motor with adaptor, mass: 71 kg", 71},
	{"stage efficiency", "{name: rear axle, kind: generic-axle, ratio: 4.3,", "{name: rear axle, efficiency: 95 % ± 0.01, ratio: 4.3,", "{name: rear axle, efficiency: 92 %, ratio: 4.3,", 0.92},
	{"stage ratio", "ratio: 2.04", "ratio: 2.04 ± 0.01", "ratio: 2.1", 2.1},
	{"regeneration", "share: 55 %", "share: 55 % ± 0.05", "share: 40 %", 0.4},
	{"fade from", "fade_from: 12 km/h", "fade_from: 12 km/h ± 2 km/h", "fade_from: 20 km/h", 20 / 3.6},
	{"fade to", "fade_to: 5 km/h", "fade_to: 5 km/h ± 1 km/h", "fade_to: 9 km/h", 9 / 3.6},
	{"heater", "heater_max: 4 kW", "heater_max: 4 kW ± 0.2 kW", "heater_max: 0.5 kW", 500},
	{"cabin conductance", "heater_max: 4 kW", "heater_max: 4 kW, conductance: 110 W/K ± 10 W/K", "heater_max: 4 kW, conductance: 70 W/K", 70},
	{"pumps", "auxiliaries:\n", "auxiliaries:\n    pumps: 38 W ± 10 W\n", "auxiliaries:\n    pumps: 120 W\n", 120},
	{"vacuum pump", "auxiliaries:\n", "auxiliaries:\n    vacuum_pump: 150 W ± 20 W\n", "auxiliaries:\n    vacuum_pump: 250 W\n", 250},
	{"load", "auxiliaries:\n", "auxiliaries:\n    loads: [{name: radio, power: 20 W ± 5 W}]\n", "auxiliaries:\n    loads: [{name: radio, power: 90 W}]\n", 90},
	{"low reserve", "reserve_low: 8 %", "reserve_low: 8 % ± 0.01", "reserve_low: 12 %", 0.12},
	{"high reserve", "reserve_high: 3 %", "reserve_high: 3 % ± 0.01", "reserve_high: 7 %", 0.07},
	{"cooling share", "cooling_share: 4 %", "cooling_share: 4 % ± 0.01", "cooling_share: 7 %", 0.07},
	{"fixed mass", "fixed_mass: 26 kg", "fixed_mass: 26 kg ± 4 kg", "fixed_mass: 40 kg", 40},
	{"cable", "cable_resistance: 4 mΩ", "cable_resistance: 4 mΩ ± 1 mΩ", "cable_resistance: 30 mΩ", 0.03},
	{"box", "box_mass: 19 kg", "box_mass: 19 kg ± 2 kg", "box_mass: 27 kg", 27},
	{"state of health", "state_of_health: 82 %", "state_of_health: 82 % ± 0.04", "state_of_health: 74 %", 0.74},
	{"drag area", noDrag, "drag_area: 1.2 m² ± 0.05 m²\n", "drag_area: 1.05 m²\n", 1.05},
	{"coast-down, constant term", allRoad, coast("a: 150 N ± 5 N, b: 0.9 N/(m/s), c: 0.7 N/(m/s)², reference_mass: 1200 kg, reference_density: 1.2 kg/m³"),
		coast("a: 180 N, b: 0.9 N/(m/s), c: 0.7 N/(m/s)², reference_mass: 1200 kg, reference_density: 1.2 kg/m³"), 180},
	{"coast-down, linear term", allRoad, coast("a: 150 N, b: 0.9 N/(m/s) ± 0.1 N/(m/s), c: 0.7 N/(m/s)², reference_mass: 1200 kg, reference_density: 1.2 kg/m³"),
		coast("a: 150 N, b: 1.5 N/(m/s), c: 0.7 N/(m/s)², reference_mass: 1200 kg, reference_density: 1.2 kg/m³"), 1.5},
	{"coast-down, square term", allRoad, coast("a: 150 N, b: 0.9 N/(m/s), c: 0.7 N/(m/s)² ± 0.1 N/(m/s)², reference_mass: 1200 kg, reference_density: 1.2 kg/m³"),
		coast("a: 150 N, b: 0.9 N/(m/s), c: 0.5 N/(m/s)², reference_mass: 1200 kg, reference_density: 1.2 kg/m³"), 0.5},
	{"coast-down, mass", allRoad, coast("a: 150 N, b: 0.9 N/(m/s), c: 0.7 N/(m/s)², reference_mass: 1200 kg ± 20 kg, reference_density: 1.2 kg/m³"),
		coast("a: 150 N, b: 0.9 N/(m/s), c: 0.7 N/(m/s)², reference_mass: 1300 kg, reference_density: 1.2 kg/m³"), 1300},
	{"coast-down, density", allRoad, coast("a: 150 N, b: 0.9 N/(m/s), c: 0.7 N/(m/s)², reference_mass: 1200 kg, reference_density: 1.2 kg/m³ ± 0.02 kg/m³"),
		coast("a: 150 N, b: 0.9 N/(m/s), c: 0.7 N/(m/s)², reference_mass: 1200 kg, reference_density: 1.1 kg/m³"), 1.1},
	{"coast-down, temperature", allRoad, coast("a: 150 N, b: 0.9 N/(m/s), c: 0.7 N/(m/s)², reference_mass: 1200 kg, reference_temperature: 20 °C ± 3 °C, reference_altitude: 400 m"),
		coast("a: 150 N, b: 0.9 N/(m/s), c: 0.7 N/(m/s)², reference_mass: 1200 kg, reference_temperature: 5 °C, reference_altitude: 400 m"), float64(unit.Celsius(5))},
	{"coast-down, altitude", allRoad, coast("a: 150 N, b: 0.9 N/(m/s), c: 0.7 N/(m/s)², reference_mass: 1200 kg, reference_temperature: 20 °C, reference_altitude: 400 m ± 30 m"),
		coast("a: 150 N, b: 0.9 N/(m/s), c: 0.7 N/(m/s)², reference_mass: 1200 kg, reference_temperature: 20 °C, reference_altitude: 900 m"), 900},
	{"weighed wheel", "front: 742 kg, rear: 518 kg", "front_left: 371 kg ± 2 kg, front_right: 371 kg, rear_left: 259 kg, rear_right: 259 kg",
		"front_left: 379 kg, front_right: 371 kg, rear_left: 259 kg, rear_right: 259 kg", 379},
	{"auxiliaries as measured", "auxiliaries:\n", "auxiliaries:\n    measured: 450 W ± 60 W\n", "auxiliaries:\n    measured: 700 W\n", 700},
	{"steering", "auxiliaries:\n", "auxiliaries:\n    steering: 35 W ± 10 W\n", "auxiliaries:\n    steering: 90 W\n", 90},
	{"vacuum duty", "auxiliaries:\n", "auxiliaries:\n    vacuum_duty: 8 % ± 0.02\n", "auxiliaries:\n    vacuum_duty: 30 %\n", 0.3},
	{"cabin temperature", "heater_max: 4 kW", "heater_max: 4 kW, temperature: 20 °C ± 1 °C", "heater_max: 4 kW, temperature: 17 °C", float64(unit.Celsius(17))},
	{"resistance growth", "resistance_growth: 1.3", "resistance_growth: 1.3 ± 0.2", "resistance_growth: 2.2", 2.2},
}

// Lines of the truck that say how it rolls, and a coast-down in place of them.
const (
	noDrag  = "drag_coefficient: 0.48\n  frontal_area: 2.45 m²\n"
	allRoad = noDrag + "  rolling_coefficient: 0.0125\n"
)

func coast(terms string) string { return "coast_down: {" + terms + "}\n" }

// A variant with an input at another value is the run of the brief that states
// that value; at the stated values it is the run of the frame, to the last bit.
func TestVariantIsTheRunOfTheBriefThatStatesTheValue(t *testing.T) {
	t.Parallel()
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			line := c.line
			near := truck(t, "", line, c.spread)
			if len(near.Brief.Uncertain) != 1 || near.Brief.Uncertain[0].Set == nil {
				t.Fatalf("inputs %+v", near.Brief.Uncertain)
			}
			in := near.Brief.Uncertain
			far := truck(t, "", line, c.other)
			p := placed(t, near)
			v, err := near.Variant(p, short(t), false, in)
			if err != nil {
				t.Fatal(err)
			}
			drawn := func(x float64) drive.Result {
				r, err := v.Range([]float64{x})
				if err != nil {
					t.Fatal(err)
				}
				return r
			}
			want, err := near.Drive(&design.Trip{Wiring: &p.Wiring, Figures: &p.Figures, Schedule: short(t)})
			if err != nil {
				t.Fatal(err)
			}
			stated := in[0].Stated.Value.SI
			if got := drawn(stated); got != want.Result {
				t.Errorf("at the stated value %+v, the run of the frame is %+v", got, want)
			}
			got := drawn(c.value)
			q := placed(t, far)
			if want, err = far.Drive(&design.Trip{Wiring: &q.Wiring, Figures: &q.Figures, Schedule: short(t)}); err != nil {
				t.Fatal(err)
			}
			const source = "the same brief with the value stated; rounding of sums"
			checktest.Near(t, "range in m", float64(got.Distance), float64(want.Distance), 0, 1e-9, source)
			checktest.Near(t, "terminals in J/m", float64(got.Consumption.Terminals), float64(want.Consumption.Terminals), 0, 1e-9, source)
			checktest.Near(t, "wall in J/m", float64(got.Consumption.Wall), float64(want.Consumption.Wall), 0, 1e-9, source)
			checktest.Near(t, "usable in J", float64(got.Energy.Terminals), float64(want.Energy.Terminals), 0, 1e-9, source)
			if math.Abs(float64(got.Consumption.Wall/drawn(stated).Consumption.Wall)-1) < 1e-9 && math.Abs(float64(got.Distance/drawn(stated).Distance)-1) < 1e-9 {
				t.Error("the value changes nothing")
			}
		})
	}
}

// The mass of a box that follows from its sheet moves with thickness and density
// of it, and further strings bring their parts.
func TestVariantWeighsBoxesAndStrings(t *testing.T) {
	t.Parallel()
	const twoStrings = "salvaged-cans/2x104S2P/13x8S"
	for _, c := range []struct {
		line, spread, other string
		value               float64
	}{
		{"cooling_share: 4 %", "box_sheet: 3 mm ± 0.3 mm\n  cooling_share: 4 %", "box_sheet: 4 mm\n  cooling_share: 4 %", 0.004},
		{"cooling_share: 4 %", "box_density: 2700 kg/m³ ± 50 kg/m³\n  cooling_share: 4 %", "box_density: 7850 kg/m³\n  cooling_share: 4 %", 7850},
		{"mass_per_string: 7 kg", "mass_per_string: 7 kg ± 2 kg", "mass_per_string: 12 kg", 12},
	} {
		noBoxes := []string{"    box_mass: 19 kg\n", "", "    box_mass: 21 kg\n", "", "    box_mass: 21 kg\n", "", "    box_mass: 17 kg\n", ""}
		near := truck(t, "", append(noBoxes, c.line, c.spread)...)
		far := truck(t, "", append(noBoxes, c.line, c.other)...)
		o, err := search.Find(near, twoStrings)
		if err != nil {
			t.Fatal(err)
		}
		// The bays stay as they are loaded, though the search would load them
		// otherwise at another mass.
		run := func(f *design.Frame) drive.Result {
			is, err := search.Find(f, twoStrings)
			if err != nil {
				t.Fatal(err)
			}
			var values design.Values
			g := f.Evaluate(&is.Wiring, &is.Modules, &o.Loading, &values)
			r, err := f.Drive(&design.Trip{Wiring: &is.Wiring, Figures: &g, Schedule: short(t)})
			if err != nil {
				t.Fatal(err)
			}
			return r.Result
		}
		stated, want := run(near), run(far)
		v, err := near.Variant(search.Place(near, o), short(t), false, near.Brief.Uncertain)
		if err != nil {
			t.Fatal(err)
		}
		got, err := v.Range([]float64{c.value})
		if err != nil {
			t.Fatal(err)
		}
		checktest.Near(t, c.other, float64(got.Distance), float64(want.Distance), 0, 1e-9, "the same brief with the value stated; rounding of sums")
		if back, err := v.Range([]float64{near.Brief.Uncertain[0].Stated.Value.SI}); err != nil || back != stated || got == stated {
			t.Errorf("%s: back at the stated value %+v, %v; stated %+v", c.spread, back, err, stated)
		}
	}
}

// Without any spread the quantiles are the lumped run of drive, to the last bit.
func TestWithoutSpreadQuantilesAreTheLumpedRun(t *testing.T) {
	t.Parallel()
	f := truck(t, "", "state_of_health: 82 %", "state_of_health: 82 % ± 0")
	p := placed(t, f)
	r, err := spread.Range(context.Background(), f, &spread.Trip{Option: p, Schedule: short(t)}, spread.Options{})
	if err != nil {
		t.Fatal(err)
	}
	want, err := f.Drive(&design.Trip{Wiring: &p.Wiring, Figures: &p.Figures, Schedule: short(t)})
	if err != nil {
		t.Fatal(err)
	}
	for i, figure := range []float64{float64(want.Distance), float64(want.Consumption.Terminals), float64(want.Consumption.Wall), float64(want.Energy.Terminals)} {
		g := &r.Spread.Figures[i]
		if g.P10.Value.SI != figure || g.P50.Value.SI != figure || g.P90.Value.SI != figure || r.Stated[i].SI != figure {
			t.Errorf("%s: %+v, the run has %g", g.Name, g, figure)
		}
	}
}
