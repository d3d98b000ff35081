package drive

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"packyard/cell"
	"packyard/check/checktest"
	"packyard/pack"
	"packyard/part"
	"packyard/schedule"
	"packyard/unit"
	"packyard/vehicle"
)

// The constants were fixed in testdata/road_energy_constants.csv before the
// rows were run; they are read from there, so that the two cannot part.

type roadConstants struct {
	unit      *part.DriveUnit
	inverter  *part.Inverter
	charger   *part.Charger
	cell      *cell.Cell
	massRef   float64 // kg
	coasted   bool
	radius    float64 // m
	rotating  float64 // of test weight
	regen     Regen
	auxiliary float64 // W
	celsius   float64
}

func readRows(t testing.TB, path string) []map[string]string {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	recs, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatalf("%s: %v", path, err)
	}
	var rows []map[string]string
	for _, r := range recs[1:] {
		m := map[string]string{}
		for i, k := range recs[0] {
			m[k] = r[i]
		}
		rows = append(rows, m)
	}
	return rows
}

func number(t testing.TB, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func constants(t testing.TB) roadConstants {
	t.Helper()
	value := map[string]string{}
	for _, r := range readRows(t, filepath.Join("testdata", "road_energy_constants.csv")) {
		value[r["name"]] = r["value"]
	}
	num := func(name string) float64 { return number(t, value[name]) }
	parts := part.BuiltIn()
	c := roadConstants{
		unit: parts.DriveUnit(value["drive unit"]), inverter: parts.Inverter(value["inverter"]), charger: parts.Charger(value["charger"]),
		cell:    cell.BuiltIn().Cell(strings.TrimPrefix(value["pack"], "96S of ")),
		massRef: num("reference mass"), coasted: num("unit coasted along") == 1, radius: num("tyre radius"), rotating: num("rotating mass"),
		regen:     Regen{Share: unit.Ratio(num("share of braking")), FadeFrom: unit.Speed(num("fade from") * kmh), FadeTo: unit.Speed(num("fade to") * kmh)},
		auxiliary: num("auxiliaries of the others"), celsius: num("temperature"),
	}
	if c.unit == nil || c.inverter == nil || c.charger == nil || c.cell == nil {
		t.Fatalf("parts of the constants are missing: %+v", c)
	}
	if got := float64(c.unit.RatioEfficiency); got != num("reducer") {
		t.Fatalf("reducer of %s is %g, the constants say %g", c.unit.ID, got, num("reducer"))
	}
	return c
}

// train is the drive train of one measured row.
func (c *roadConstants) train(t testing.TB, mass, a, b, cc, auxiliary float64) Train {
	t.Helper()
	u, err := part.Scale(c.unit, part.Scaling{Torque: c.unit.TorquePeak * unit.Torque(mass/c.massRef)})
	if err != nil {
		t.Fatal(err)
	}
	return Train{
		Mass: unit.Mass(mass), MassRotating: unit.Mass(c.rotating * mass),
		Road: vehicle.RoadLoad{Coast: &vehicle.CoastDown{A: unit.Force(a), B: unit.Damping(b), C: unit.AeroDrag(cc),
			MassRef: unit.Mass(mass), DensityRef: vehicle.Air{}.Density()}},
		TyreRadius: unit.Length(c.radius), Stages: StagesOf(u, nil), Unit: u, Inverter: c.inverter, Regen: c.regen,
		Auxiliary: unit.Power(auxiliary), CoastedWithUnit: c.coasted,
	}
}

// pack holds 25 Wh per kg of test weight.
func (c *roadConstants) pack(mass float64) *pack.Pack {
	wanted := 25 * mass * 3600
	one := 96 * float64(c.cell.Capacity) * float64(c.cell.VoltageNominal)
	return &pack.Pack{Topology: pack.Topology{Series: 96, Parallel: max(1, int(math.Round(wanted/one))), Strings: 1}, Cell: c.cell, Resistance: 0.02, SoCMin: 0.05, SoCMax: 0.95}
}

// roadRow is one measured figure beside what is computed for it.
type roadRow struct {
	label, basis, cycle     string
	inferred, outlier       bool
	measured, got, baseline float64 // Wh/km
	capped                  Capped
	positive, braking       float64 // Wh/km of ideal wheel work
}

func (r roadRow) err() float64 { return r.got/r.measured - 1 }

// wheelWork returns the ideal wheel work in Wh/km as the folder of measured
// vehicles defines it.
func wheelWork(d *Demand) (positive, braking float64) {
	q := d.cum[len(d.cum)-1]
	return q.traction / q.distance / 3.6, q.braking / q.distance / 3.6
}

func roadRows(t testing.TB, c *roadConstants) []roadRow {
	t.Helper()
	var out []roadRow
	branch := map[string]float64{} // Wh/km of the second branch by cycle
	for _, r := range readRows(t, checktest.Reference(t, "vehicles", "ev-dc-cycles.csv")) {
		branch[r["cycle"]] = number(t, r["second_branch_wh_per_km"])
	}
	l, err := NewLumped(c.cell, unit.Temperature(273.15+c.celsius), cell.New, 1)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range readRows(t, checktest.Reference(t, "vehicles", "ev-energy.csv")) {
		mass := number(t, r["test_weight_kg"])
		for _, cycle := range []string{"udds", "hwfet", "us06"} {
			if r[cycle+"_wh_per_km"] == "" {
				continue
			}
			row := roadRow{label: r["label"], basis: r["basis"], cycle: cycle, measured: number(t, r[cycle+"_wh_per_km"]),
				inferred: strings.Contains(r["note"], "INFERRED"), outlier: strings.Contains(r["note"], "OUTLIER")}
			s, auxiliary := find(t, cycle), c.auxiliary
			if row.basis == "dc" && !row.inferred {
				auxiliary = branch[cycle] * 3.6 * float64(s.Figures().Mean)
			}
			train := c.train(t, mass, number(t, r["a_n"]), number(t, r["b_n_per_mps"]), number(t, r["c_n_per_mps2"]), auxiliary)
			row.run(t, c, l, train, s, mass)
			out = append(out, row)
		}
	}
	return out
}

// run fills in what is computed.
func (r *roadRow) run(t testing.TB, c *roadConstants, l *Lumped, train Train, s *schedule.Schedule, mass float64) {
	t.Helper()
	d := demand(t, train, s, DemandOptions{})
	r.positive, r.braking = wheelWork(d)
	r.capped = d.Capped
	if r.basis == "dc" {
		r.got = d.Consumption().Terminals.WattHoursPerKilometre()
		return
	}
	res, err := Once(d, l, c.pack(mass), Options{SoCStart: 0.6, Charger: c.charger})
	if err != nil || res.End != EndCycles {
		t.Fatalf("%s %s: %v %v", r.label, r.cycle, res.End, err)
	}
	r.got = res.Consumption.Wall.WattHoursPerKilometre()
}

// oneNumber sets the baseline: one efficiency for both directions, the median
// of what the rows of the basis themselves imply, so that it has hindsight.
func oneNumber(rows []roadRow) map[string]float64 {
	implied := map[string][]float64{}
	for _, r := range rows {
		// measured = p/e − e·b  ⇒  b·e² + m·e − p = 0
		e := (-r.measured + math.Sqrt(r.measured*r.measured+4*r.braking*r.positive)) / (2 * r.braking)
		if !r.outlier {
			implied[r.basis] = append(implied[r.basis], e)
		}
	}
	median := map[string]float64{}
	for basis, e := range implied {
		median[basis] = quantile(e, 0.5)
	}
	for i := range rows {
		e := median[rows[i].basis]
		rows[i].baseline = rows[i].positive/e - e*rows[i].braking
	}
	return median
}

func quantile(x []float64, q float64) float64 {
	s := slices.Clone(x)
	slices.Sort(s)
	at := q * float64(len(s)-1)
	i := min(int(at), len(s)-2)
	return s[i] + (at-float64(i))*(s[i+1]-s[i])
}

// steadyRow is one measured steady speed of the documented car.
type steadyRow struct {
	name                      string
	speedKmh, measured, got   float64 // km/h, Wh/km
	mainMeasured, mainGot     float64 // Wh/km without auxiliaries
	wheels, auxiliaryMeasured float64
}

var trueSpeed = regexp.MustCompile(`true mean speed ([0-9.]+) km/h`)

func steadyRows(t testing.TB, c *roadConstants) []steadyRow {
	t.Helper()
	var out []steadyRow
	for _, r := range readRows(t, checktest.Reference(t, "vehicles", "ev-dc-cycles.csv")) {
		m := trueSpeed.FindStringSubmatch(r["note"])
		if m == nil {
			continue
		}
		v := number(t, m[1])
		branch := number(t, r["second_branch_wh_per_km"])
		train := c.train(t, number(t, r["test_weight_kg"]), number(t, r["a_n"]), number(t, r["b_n_per_mps"]), number(t, r["c_n_per_mps2"]), branch*v)
		s, err := SteadyAt(train, unit.Speed(v*kmh), 0, 0)
		if err != nil {
			t.Fatal(err)
		}
		got := s.Consumption.Terminals.WattHoursPerKilometre()
		out = append(out, steadyRow{name: r["cycle"], speedKmh: v, measured: number(t, r["dc_wh_per_km"]), got: got,
			mainMeasured: number(t, r["main_branch_wh_per_km"]), mainGot: got - branch, wheels: s.Consumption.Wheels.WattHoursPerKilometre(), auxiliaryMeasured: branch})
	}
	if len(out) != 3 {
		t.Fatalf("%d steady rows, 3 are expected", len(out))
	}
	return out
}

// summary is what the bounds are about.
type summary struct{ median, medianAbs, within float64 }

func summarise(rows []roadRow, bound float64) summary {
	var e, a []float64
	in := 0
	for _, r := range rows {
		e, a = append(e, r.err()), append(a, math.Abs(r.err()))
		if math.Abs(r.err()) <= bound {
			in++
		}
	}
	return summary{quantile(e, 0.5), quantile(a, 0.5), float64(in) / float64(len(rows))}
}

func wallRows(rows []roadRow) []roadRow {
	var out []roadRow
	for _, r := range rows {
		if r.basis == "ac" && !r.outlier {
			out = append(out, r)
		}
	}
	return out
}

const sourceVehicles = "US EPA Test Car List; Yuan et al. 2024 (folder of measured vehicles)"

// The bounds are those of the task: wide enough for what the rows differ among
// themselves, see docs/method/road-energy.md.
func TestRoadEnergyOfTheDocumentedCarMatchesItsBattery(t *testing.T) {
	t.Parallel()
	c := constants(t)
	for _, r := range roadRows(t, &c) {
		if r.basis != "dc" {
			continue
		}
		bound := 0.06
		if r.inferred {
			bound = 0.12
		}
		checktest.Near(t, r.label+" "+r.cycle+", Wh/km at the battery", r.got, r.measured, 0, bound, sourceVehicles)
		if r.capped.Steps > 0 {
			t.Errorf("%s %s: the car is said not to follow the schedule: %+v", r.label, r.cycle, r.capped)
		}
	}
	for _, s := range steadyRows(t, &c) {
		checktest.Near(t, s.name+", Wh/km at the battery", s.got, s.measured, 0, 0.10, sourceVehicles)
	}
}

func TestRoadEnergyAtTheWallMatchesTheFleet(t *testing.T) {
	t.Parallel()
	c := constants(t)
	rows := wallRows(roadRows(t, &c))
	if len(rows) != 60 {
		t.Fatalf("%d rows, 30 cars on two cycles are expected", len(rows))
	}
	s := summarise(rows, 0.13)
	if math.Abs(s.median) > 0.03 || s.medianAbs > 0.06 || s.within < 0.9 {
		t.Errorf("median error %+.1f %%, allowed 3; median absolute %.1f %%, allowed 6; within 13 %%: %.0f %% of rows, 90 are needed; source: %s",
			100*s.median, 100*s.medianAbs, 100*s.within, sourceVehicles)
	}
}

// The wheel work that the rows start from is in the folder of measured vehicles
// too, computed by another program.
func TestIdealWheelWorkMatchesTheReferenceTable(t *testing.T) {
	t.Parallel()
	c := constants(t)
	rows := roadRows(t, &c)
	for i, r := range readRows(t, checktest.Reference(t, "vehicles", "ev-energy-check.csv")) {
		if rows[i].label != r["label"] || rows[i].cycle != r["cycle"] {
			t.Fatalf("row %d is %s %s, want %s %s", i, rows[i].label, rows[i].cycle, r["label"], r["cycle"])
		}
		// One digit after the point is printed.
		checktest.Near(t, r["label"]+" positive wheel work, Wh/km", rows[i].positive, number(t, r["wheel_pos_wh_per_km"]), 0.051, 1e-4, "ev-energy-check.csv")
		checktest.Near(t, r["label"]+" braking work, Wh/km", rows[i].braking, number(t, r["brake_wh_per_km"]), 0.051, 1e-4, "ev-energy-check.csv")
	}
}

func TestRoadEnergyReport(t *testing.T) {
	t.Parallel()
	checktest.Golden(t, "../docs/method/road-energy.md", roadReport(t))
}

func roadReport(t testing.TB) string {
	c := constants(t)
	rows := roadRows(t, &c)
	one := oneNumber(rows)
	var b strings.Builder
	fmt.Fprintf(&b, "# Road energy against measured cars\n\nPrinted by `TestRoadEnergyReport` (`make golden`); the page is not written by hand.\n\n")
	fmt.Fprintf(&b, "Test weight, road-load coefficients and measured energy: %s. Schedules: built in. Constants of the drive unit, of regeneration, "+
		"auxiliaries, charger and pack were fixed from sources, one set for all rows, in `drive/testdata/road_energy_constants.csv` before the rows were run, "+
		"and were not changed afterwards. Basis dc: at the battery terminals. Basis ac: at the wall, for refilling.\n\n", sourceVehicles)
	b.WriteString("## Constants\n\n| name | value | unit | source | status | reason |\n|---|---|---|---|---|---|\n")
	for _, r := range readRows(t, filepath.Join("testdata", "road_energy_constants.csv")) {
		fmt.Fprintf(&b, "| %s | %s | %s | %s | %s | %s |\n", r["name"], r["value"], r["unit"], r["source"], r["status"], r["reason"])
	}
	summaryTable(&b, rows)
	sensitivity(t, &b, &c)
	fmt.Fprintf(&b, "\n## Rows\n\nThe baseline charges everything to one efficiency for both directions, measured = positive/e − e·braking, with e the median that the "+
		"rows of the basis themselves imply (dc %.3f, ac %.3f): it has hindsight, the calculation has not.\n\n", one["dc"], one["ac"])
	b.WriteString("| vehicle | basis | cycle | measured Wh/km | computed | error | one number | its error |\n|---|---|---|---|---|---|---|---|\n")
	for _, r := range rows {
		note := ""
		if r.inferred {
			note = " (basis inferred)"
		}
		if r.outlier {
			note = " (outlier, not judged)"
		}
		fmt.Fprintf(&b, "| %s%s | %s | %s | %.1f | %.1f | %+.1f %% | %.1f | %+.1f %% |\n", r.label, note, r.basis, r.cycle, r.measured, r.got, 100*r.err(), r.baseline, 100*(r.baseline/r.measured-1))
	}
	b.WriteString("\n## Steady speeds of the documented car\n\n| speed km/h | measured Wh/km | computed | error | without auxiliaries, measured | computed | error |\n|---|---|---|---|---|---|---|\n")
	for _, s := range steadyRows(t, &c) {
		fmt.Fprintf(&b, "| %.2f | %.1f | %.1f | %+.1f %% | %.1f | %.1f | %+.1f %% |\n", s.speedKmh, s.measured, s.got, 100*(s.got/s.measured-1), s.mainMeasured, s.mainGot, 100*(s.mainGot/s.mainMeasured-1))
	}
	b.WriteString(roadWords)
	return b.String()
}

const roadWords = `
## Reading

- The rows differ among themselves by more than the calculation differs from them: one chain of constants stands for cars with different motors, inverters, chargers and
  ways of braking. What is judged is the middle and the spread, not a single car.
- Small cars at the wall come out too low: the charger of 6.6 kW and 310 W of auxiliaries flatter them.
- The coefficients of an electric car hold the loss of its motor without torque, because the motor turns along when it coasts. Charging that loss again raises the highway
  figures (see the sensitivities). A combustion donor's coast-down does not hold it.
- How blind this was: the implied efficiencies and the steady speeds of the documented car are printed with the data and were known; rough estimates by hand for that car went
  before the choice of the interior-magnet part and the decision that its loss without torque is in the road load. Both were made on physical grounds. The ac rows
  were not estimated beforehand. Nothing was changed after the first run.
- The outliers are two early conversions; their figures are printed and not judged.

## Tests

TestRoadEnergyOfTheDocumentedCarMatchesItsBattery, TestRoadEnergyAtTheWallMatchesTheFleet, TestIdealWheelWorkMatchesTheReferenceTable.
`

func summaryTable(b *strings.Builder, rows []roadRow) {
	b.WriteString("\n## Result\n\n| rows | number | median error | median absolute | within 13 % | one number: median absolute | within 13 % |\n|---|---|---|---|---|---|---|\n")
	line := func(name string, keep func(roadRow) bool) {
		var r, base []roadRow
		for _, x := range rows {
			if keep(x) {
				r = append(r, x)
				x.got = x.baseline
				base = append(base, x)
			}
		}
		s, o := summarise(r, 0.13), summarise(base, 0.13)
		fmt.Fprintf(b, "| %s | %d | %+.1f %% | %.1f %% | %.0f %% | %.1f %% | %.0f %% |\n", name, len(r), 100*s.median, 100*s.medianAbs, 100*s.within, 100*o.medianAbs, 100*o.within)
	}
	line("dc, documented car", func(r roadRow) bool { return r.basis == "dc" && !r.inferred })
	line("dc, inferred", func(r roadRow) bool { return r.inferred })
	line("ac without outliers", func(r roadRow) bool { return r.basis == "ac" && !r.outlier })
	line("ac, UDDS", func(r roadRow) bool { return r.basis == "ac" && !r.outlier && r.cycle == "udds" })
	line("ac, HWFET", func(r roadRow) bool { return r.basis == "ac" && !r.outlier && r.cycle == "hwfet" })
}

// sensitivity shows what the constants without a firm source do. It is printed
// for the reader; none of it was used to choose a constant.
func sensitivity(t testing.TB, b *strings.Builder, c *roadConstants) {
	b.WriteString("\n## Sensitivities\n\nWhat the constants that rest on assumptions do, one at a time.\n\n| change | documented car UDDS | HWFET | US06 | ac median | ac median absolute | within 13 % |\n|---|---|---|---|---|---|---|\n")
	line := func(name string, change func(*roadConstants)) {
		k := *c
		change(&k)
		rows := roadRows(t, &k)
		s := summarise(wallRows(rows), 0.13)
		fmt.Fprintf(b, "| %s | %+.1f %% | %+.1f %% | %+.1f %% | %+.1f %% | %.1f %% | %.0f %% |\n", name,
			100*rows[0].err(), 100*rows[1].err(), 100*rows[2].err(), 100*s.median, 100*s.medianAbs, 100*s.within)
	}
	line("none", func(*roadConstants) {})
	line("share of braking 0.8", func(k *roadConstants) { k.regen.Share = 0.8 })
	line("share of braking 1.0", func(k *roadConstants) { k.regen.Share = 1 })
	line("rotating mass 0", func(k *roadConstants) { k.rotating = 0 })
	line("loss without torque charged again", func(k *roadConstants) { k.coasted = false })
	line("inverter 0.95", func(k *roadConstants) { inv := *k.inverter; inv.Efficiency = 0.95; k.inverter = &inv })
	line("auxiliaries of the others 250 W", func(k *roadConstants) { k.auxiliary = 250 })
	line("charger of 3.3 kW class", func(k *roadConstants) { k.charger = part.BuiltIn().Charger("generic-charger-3k3-300v") })
}
