package charge_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"packyard/cell"
	"packyard/charge"
	"packyard/check/checktest"
	"packyard/drive"
	"packyard/pack"
	"packyard/part"
	"packyard/unit"
)

// plainCell is a cell of 100 A·h whose open-circuit voltage rises in a straight
// line, with a resistance that depends on nothing, and no RC pairs.
func plainCell(from, to unit.Voltage, ohm unit.Resistance) *cell.Cell {
	soc := []float64{0, 1}
	kelvin := []float64{250, 330}
	line := func(a, b float64) cell.Line { return cell.Line{SoC: soc, Value: []float64{a, b}} }
	r := float64(ohm)
	c := &cell.Cell{
		ID: "straight", Capacity: 100 * unit.AmpereHour, VoltageMin: 2, VoltageNominal: (from + to) / 2, VoltageMax: 4.2, Mass: 2, SpecificHeat: 1000,
		Curves: &cell.Curves{OCV: line(float64(from), float64(to)), DUDT: line(0, 0),
			R0: cell.Surface{SoC: soc, Temperature: kelvin, Value: [][]float64{{r, r}, {r, r}}}},
	}
	for _, t := range []unit.Temperature{unit.Celsius(0), unit.Celsius(45)} {
		c.Limits.Discharge = append(c.Limits.Discharge, cell.LimitPoint{Temperature: t, Duration: 3600, Rate: 3})
		c.Limits.Charge = append(c.Limits.Charge, cell.LimitPoint{Temperature: t, Duration: 3600, Rate: 2})
	}
	return c
}

// groupsOf returns n groups of one cell in series.
func groupsOf(t testing.TB, c *cell.Cell, n int, o drive.GroupOptions) *drive.Groups {
	t.Helper()
	table, err := drive.NewGroupTable(c)
	if err != nil {
		t.Fatal(err)
	}
	o.Derating.Off = true
	g, err := drive.NewGroups(table, &pack.Pack{Topology: pack.Topology{Series: n, Parallel: 1, Strings: 1}, Cell: c, SoCMax: 1}, o)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

func charger(power unit.Power, current unit.Current, e unit.Ratio, idle unit.Power) *part.Charger {
	return &part.Charger{ID: "test", PowerMax: power, CurrentMax: current, Efficiency: e, Idle: idle}
}

func supply(t testing.TB, text string) charge.Supply {
	t.Helper()
	s, err := charge.ParseSupply(text)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func run(t testing.TB, g *drive.Groups, e charge.Equipment, o charge.Options) charge.Result {
	t.Helper()
	r, err := charge.Run(g, e, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// At a constant open-circuit voltage U0 and power P into the terminals the current
// is (√(U0² + 4·R·P) − U0)/(2·R) all along, so that time = q/I, energy into the
// pack = P·q/I, from the wall (P + P_idle)/e times that.
func TestConstantVoltageCellFollowsItsClosedForm(t *testing.T) {
	t.Parallel()
	const source = "closed form: Ohm's law at constant open-circuit voltage and power"
	for _, n := range []int{1, 100} {
		g := groupsOf(t, plainCell(3.6, 3.6, 1e-3), n, drive.GroupOptions{Charge: 0.1})
		c := charger(unit.Power(60*n), 1000, 0.95, unit.Power(2*n))
		// A supply that is not the limit: n·60 W from 80 A.
		s := charge.Supply{Text: "test", Voltage: 230, Current: 80, Phases: 1}
		r := run(t, g, charge.Equipment{Supply: s, Charger: c}, charge.Options{To: 0.9})
		current := (math.Sqrt(3.6*3.6+4*1e-3*60) - 3.6) / (2 * 1e-3)
		seconds := 0.8 * 360_000 / current
		checktest.Near(t, "time, s", float64(r.Duration), seconds, 0, 2e-6, source)
		checktest.Near(t, "energy into the pack, J", float64(r.EnergyPack), 60*float64(n)*seconds, 0, 2e-6, source)
		checktest.Near(t, "energy from the wall, J", float64(r.EnergyWall), 62*float64(n)/0.95*seconds, 0, 2e-6, source)
		checktest.Near(t, "stored, J", float64(r.Stored), 3.6*0.8*360_000*float64(n), 0, 2e-6, source)
		checktest.Near(t, "current, A", float64(r.CurrentMax), current, 0, 1e-9, source)
		if r.End != charge.EndWanted || r.Limited != 0 {
			t.Errorf("ended by %q, %v s limited", r.End, float64(r.Limited))
		}
	}
}

// With U = a + b·z the voltage limit is reached at z1 where a + b·z1 + R·I = U_max.
// From there U_max − a − b·z = R·i with dz/dt = i/q, so i = I·e^(−t/τ), τ = R·q/b.
// The handbook's taper model (7.17, WE-48): 5 % after 3 τ = 5 392 s at τ = 1 800 s,
// and 23.75 A·h in the taper from 50 A.
func TestTaperIsExponential(t *testing.T) {
	t.Parallel()
	const source = "handbook 7.17 and WE-48: I = I0·e^(−t/τ), charge I0·τ·(1 − x); here τ = R·q/b"
	// τ = R·q/b = 1 800 s with b = 0.8 V over q = 360 000 A·s: R = 4 mΩ.
	c := plainCell(3.5, 4.3, 4e-3)
	g := groupsOf(t, c, 1, drive.GroupOptions{Charge: 0.1})
	e := charge.Equipment{Supply: supply(t, "230 V 16 A"), Charger: charger(1000, 50, 0.95, 0)}
	var trace charge.Trace
	r := run(t, g, e, charge.Options{CutOff: 0.025, Step: 1, Trace: &trace}) // 2.5 A: 5 % of 50 A
	checktest.Near(t, "taper to 5 %, s", float64(r.Limited), 5392, 2, 0, source)
	before := (4.2 - 4e-3*50 - 3.5) / 0.8 // charge at which the taper begins
	checktest.Near(t, "constant current, s", float64(r.Constant), (before-0.1)*7200, 2, 0, source)
	checktest.Near(t, "charge in the taper, A·h", (float64(r.ChargeEnd)-before)*100, 23.75, 0.03, 0, source)
	if r.End != charge.EndFull || r.Limiter != drive.LimitVoltageMax {
		t.Errorf("ended by %q, limited by %q", r.End, r.Limiter)
	}
	for i := range trace.Time {
		if trace.VoltageCell[i] > 4.2+1e-9 {
			t.Fatalf("%.0f s: %.6f V above the highest voltage", trace.Time[i], trace.VoltageCell[i])
		}
	}
}

func TestTheStrongestGroupTapersTheCharge(t *testing.T) {
	t.Parallel()
	c := plainCell(3.4, 4.15, 1e-3)
	e := charge.Equipment{Supply: supply(t, "230 V 32 A"), Charger: charger(6600, 20, 0.95, 250)}
	alike := run(t, groupsOf(t, c, 20, drive.GroupOptions{Charge: 0.5}), e, charge.Options{})
	start := make([]drive.GroupStart, 20)
	start[7] = drive.GroupStart{Charge: 0.6}
	g := groupsOf(t, c, 20, drive.GroupOptions{Charge: 0.5, Start: start})
	ahead := run(t, g, e, charge.Options{})
	if ahead.Group != 7 || ahead.End != charge.EndFull {
		t.Errorf("group %d ended the charge by %q, want group 7, full", ahead.Group, ahead.End)
	}
	// One tenth ahead: the pack keeps a tenth that it cannot fill.
	checktest.Near(t, "charge at the end", float64(alike.ChargeEnd-ahead.ChargeEnd), 0.1, 2e-3, 0, "arithmetic: the group is 0.1 ahead")
}

// What the wall gives is e·P_wall − P_idle = pack and loads, in every step.
func TestEnergyFromTheWallIsAccountedFor(t *testing.T) {
	t.Parallel()
	c := charger(3300, 14, 0.94, 200)
	r := run(t, groupsOf(t, plainCell(3.4, 4.15, 2e-3), 80, drive.GroupOptions{Charge: 0.2}),
		charge.Equipment{Supply: supply(t, "230 V 16 A"), Charger: c}, charge.Options{Load: 150})
	if left := 0.94*float64(r.EnergyWall) - 200*float64(r.Duration) - float64(r.EnergyPack) - float64(r.EnergyLoad); math.Abs(left) > 1e-9*float64(r.EnergyWall) {
		t.Errorf("%.3g J of %.3g J are not accounted for", left, float64(r.EnergyWall))
	}
	if !(r.Stored < r.EnergyPack && r.Stored > 0.97*r.EnergyPack) {
		t.Errorf("%.4g J stored of %.4g J at the terminals", float64(r.Stored), float64(r.EnergyPack))
	}
	if want := 0.94*3680.0 - 200; c.PackPower(3680) != unit.Power(3259.2) || math.Abs(float64(r.PowerWallMax)-3680) > 1e-6 {
		t.Errorf("%v W from the wall at most, %v W wanted at the charger's output", float64(r.PowerWallMax), want)
	}
}

// Handbook WE-47: 60 kWh from 10 to 80 % at 7.36 kW with 0.90 take 6.34 h.
func TestHandbookChargeTime(t *testing.T) {
	t.Parallel()
	c := plainCell(3.6, 3.6, 1e-9) // 0.36 kWh each
	g := groupsOf(t, c, 167, drive.GroupOptions{Charge: 0.05})
	r := run(t, g, charge.Equipment{Supply: supply(t, "230 V 32 A"), Charger: charger(22e3, 100, 0.9, 0)}, charge.Options{Marks: []unit.Ratio{0.1, 0.8}})
	took, wall, ok := r.Between(0.1, 0.8)
	checktest.Near(t, "10 to 80 %, h", took.Hours()*60/(167*0.36), 6.34, 0.005, 0, "handbook WE-47")
	checktest.Near(t, "energy from the wall, kWh", wall.KilowattHours(), 167*0.36*0.7/0.9, 0, 1e-6, "handbook WE-47, arithmetic")
	if !ok {
		t.Error("a mark was not passed")
	}
}

func TestStepLengthHardlyMatters(t *testing.T) {
	t.Parallel()
	e := charge.Equipment{Supply: supply(t, "230 V 32 A"), Charger: charger(6600, 20, 0.95, 250)}
	took := map[float64]float64{}
	for _, d := range []float64{1, 10, 60} {
		r := run(t, groupsOf(t, plainCell(3.4, 4.25, 3e-3), 90, drive.GroupOptions{Charge: 0.2}), e, charge.Options{Step: unit.Time(d)})
		took[d] = float64(r.Duration)
	}
	// The end is found to one step.
	if math.Abs(took[10]-took[1]) > 20 || math.Abs(took[60]-took[1]) > 120 {
		t.Errorf("steps of 1, 10 and 60 s take %v", took)
	}
}

// A cell at −10 °C has no charging limit here: nothing flows, and the run ends.
func TestColdCellsAreNotCharged(t *testing.T) {
	t.Parallel()
	e := charge.Equipment{Supply: supply(t, "230 V 16 A"), Charger: charger(3300, 14, 0.94, 200)}
	c := plainCell(3.4, 4.15, 1e-3)
	c.Limits.Charge[0].Rate = 0 // at 0 °C and below
	r := run(t, groupsOf(t, c, 80, drive.GroupOptions{Charge: 0.2, Temperature: unit.Celsius(-10)}), e, charge.Options{})
	if r.End != charge.EndBlocked || r.Limiter != drive.LimitTemperature || r.EnergyPack != 0 {
		t.Errorf("ended by %q, limited by %q after %v J", r.End, r.Limiter, float64(r.EnergyPack))
	}
}

func TestLoadsThatEatTheSupplyEndTheCharge(t *testing.T) {
	t.Parallel()
	e := charge.Equipment{Supply: supply(t, "230 V 6 A"), Charger: charger(3300, 14, 0.94, 200)}
	r := run(t, groupsOf(t, plainCell(3.4, 4.15, 1e-3), 80, drive.GroupOptions{Charge: 0.2}), e, charge.Options{Load: 1500})
	if r.End != charge.EndPower || r.Duration != 0 {
		t.Errorf("ended by %q after %v s", r.End, float64(r.Duration))
	}
}

func TestDirectCurrentGoesByStationAndInlet(t *testing.T) {
	t.Parallel()
	c := plainCell(3.6, 3.6, 1e-4)
	g := groupsOf(t, c, 100, drive.GroupOptions{Charge: 0.1})
	e := charge.Equipment{Supply: supply(t, "dc 50 kW 500 V 125 A"), Inlet: charge.Inlet{VoltageMax: 450, CurrentMax: 100}}
	r := run(t, g, e, charge.Options{To: 0.8})
	checktest.Near(t, "current, A", float64(r.CurrentMax), 100, 1e-9, 0, "the inlet's current is the least")
	checktest.Near(t, "time, s", float64(r.Duration), 0.7*3600, 0.01, 0, "0.7 of 100 A·h at 100 A")
	checktest.Near(t, "energy at the inlet, J", float64(r.EnergyWall), 0.7*360_000*(360+100*0.01), 0, 1e-6, "U·I·t with U = 100·(3.6 V + 0.1 mΩ·100 A)")
	if f := e.Check(charge.Window{Full: 420, Rest: 360}); len(f) != 2 || f[0].Broken() || f[1].Broken() {
		t.Errorf("420 V at a station of 500 V and an inlet of 450 V: %v", f)
	}
	if f := e.Check(charge.Window{Full: 470, Rest: 360}); !f[1].Broken() || f[0].Broken() {
		t.Errorf("470 V at a station of 500 V and an inlet of 450 V: %v", f)
	}
	if f := (charge.Equipment{Supply: e.Supply}).Check(charge.Window{Full: 420, Rest: 360}); len(f) != 1 || !f[0].Broken() {
		t.Errorf("no inlet: %v", f)
	}
}

func TestOnePhaseChargerUsesOnePhase(t *testing.T) {
	t.Parallel()
	s := supply(t, "3 x 230 V 16 A")
	// Source: handbook 7.7, iec-61851-1 modes: 3.68 kW, 11.04 kW.
	checktest.Near(t, "one phase, kW", s.PowerFor(1, 0).Kilowatts(), 3.68, 1e-9, 0, "handbook 7.7")
	checktest.Near(t, "three phases, kW", s.PowerFor(3, 0).Kilowatts(), 11.04, 1e-9, 0, "handbook 7.7")
	checktest.Near(t, "held to 10 A, kW", s.PowerFor(3, 10).Kilowatts(), 6.9, 1e-9, 0, "arithmetic")
}

func TestWrongChargesAreRefused(t *testing.T) {
	t.Parallel()
	ac := charge.Equipment{Supply: charge.Supply{Voltage: 230, Current: 16, Phases: 1}, Charger: charger(3300, 14, 0.94, 200)}
	nan := unit.Ratio(math.NaN())
	for name, c := range map[string]struct {
		e charge.Equipment
		o charge.Options
	}{
		"no charger": {charge.Equipment{Supply: ac.Supply}, charge.Options{}},
		"to NaN":     {ac, charge.Options{To: nan}},
		"to 120 %":   {ac, charge.Options{To: 1.2}},
		"cut-off":    {ac, charge.Options{CutOff: -1}},
		"step":       {ac, charge.Options{Step: 1e9}},
		"load":       {ac, charge.Options{Load: unit.Power(math.Inf(1))}},
		"no inlet":   {charge.Equipment{Supply: charge.Supply{Direct: true, Power: 5e4, Voltage: 500, Current: 100}}, charge.Options{}},
		"supply":     {charge.Equipment{Charger: ac.Charger}, charge.Options{}},
	} {
		g := groupsOf(t, plainCell(3.4, 4.15, 1e-3), 2, drive.GroupOptions{Charge: 0.5})
		if _, err := charge.Run(g, c.e, c.o); !errors.Is(err, charge.ErrOptions) && !errors.Is(err, charge.ErrSupply) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestStepsAllocateNothing(t *testing.T) {
	g := groupsOf(t, plainCell(3.4, 4.15, 1e-3), 90, drive.GroupOptions{Charge: 0.2})
	e := charge.Equipment{Supply: supply(t, "230 V 16 A"), Charger: charger(3300, 14, 0.94, 200)}
	long := testing.AllocsPerRun(1, func() { _, _ = charge.Run(g, e, charge.Options{To: 0.6}) })
	if err := g.Start(drive.GroupOptions{Charge: 0.2, Derating: drive.Derating{Off: true}}); err != nil {
		t.Fatal(err)
	}
	if long > 12 {
		t.Errorf("%v allocations for some thousand steps", long)
	}
}

func TestSuppliesAreRead(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]charge.Supply{
		"230 V 16 A":               {Voltage: 230, Current: 16, Phases: 1},
		" 120 V  12 A ":            {Voltage: 120, Current: 12, Phases: 1},
		"16 A 230 V":               {Voltage: 230, Current: 16, Phases: 1},
		"3 x 230 V 32 A":           {Voltage: 230, Current: 32, Phases: 3},
		"3 × 230 V 32 A":           {Voltage: 230, Current: 32, Phases: 3},
		"dc 50 kW 500 V 125 A":     {Direct: true, Power: 50e3, Voltage: 500, Current: 125},
		"DC 0.15 MW 1000 V 400 A":  {Direct: true, Power: 150e3, Voltage: 1000, Current: 400},
		"dc 22000 W 0.5 kV 4e1 A ": {Direct: true, Power: 22e3, Voltage: 500, Current: 40},
	} {
		got, err := charge.ParseSupply(text)
		got.Text = ""
		if err != nil || got != want {
			t.Errorf("%q: %+v, %v; want %+v", text, got, err, want)
		}
	}
	for text, says := range map[string]string{
		"":                    "is not a supply: write",
		"230 V":               "is not a supply",
		"230V 16A extra":      "is not a supply",
		"230 V 16 kg":         "neither a voltage nor a current",
		"3 x 400 V 16 A":      "between two phases; give that to neutral, 231 V",
		"700 V 16 A":          "alternating current of 90 to 300 V is accepted",
		"230 V 160 A":         "above 0 up to 80 A is accepted",
		"230 V 0 A":           "above 0 up to 80 A",
		"dc 50 kW 2000 V 9 A": "highest voltage of 2000 V",
		"dc 50 kW 500 V 0 A":  "current of 0 A",
		"dc 5 A 500 V 125 A":  "power of 0 kW",
		"230 V -16 A":         "-16 A",
	} {
		if _, err := charge.ParseSupply(text); !errors.Is(err, charge.ErrSupply) || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v, want it to say %q", text, err, says)
		}
	}
}

func FuzzParseSupply(f *testing.F) {
	for _, s := range []string{"230 V 16 A", "3 x 230 V 32 A", "dc 50 kW 500 V 125 A", "DC", "3 x ", "İ 230 V"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := charge.ParseSupply(text)
		if err == nil && !(s.PowerMax() > 0 && s.PowerMax() <= 1.5e6) {
			t.Fatalf("%q gives %v W", text, float64(s.PowerMax()))
		}
	})
}

// Handbook WE-46: the duty cycles and currents that it prints.
func TestPilotTableOfTheHandbook(t *testing.T) {
	t.Parallel()
	const source = "handbook WE-46: IEC 61851-1 Annex A, SAE J1772"
	for _, row := range []struct{ duty, ampere float64 }{{10, 6}, {16, 9.6}, {20, 12}, {25, 15}, {26.67, 16}, {30, 18}, {50, 30}, {53.33, 32}, {80, 48}, {85, 51}, {86, 55}, {90, 65}, {94, 75}, {96, 80}} {
		i, digital := charge.PilotCurrent(unit.Ratio(row.duty / 100))
		checktest.Near(t, "current, A", float64(i), row.ampere, 0.003, 0, source)
		if digital {
			t.Errorf("%v %% asks for digital communication", row.duty)
		}
	}
	for _, row := range []struct{ ampere, duty, digits float64 }{{6, 10, 1e-9}, {13, 21.67, 0.005}, {16, 26.67, 0.005}, {20, 33.33, 0.005}, {32, 53.33, 0.005}, {63, 89.2, 0.05}, {80, 96, 1e-9}} {
		d, err := charge.PilotDuty(unit.Current(row.ampere))
		if err != nil {
			t.Error(err)
		}
		checktest.Near(t, "duty, %", float64(d)*100, row.duty, row.digits, 0, source)
	}
	for _, d := range []float64{0, 0.02, 0.05, 0.075, 0.975, 1, math.NaN()} {
		if i, digital := charge.PilotCurrent(unit.Ratio(d)); i != 0 || digital != (d == 0.05) {
			t.Errorf("duty %v allows %v A, digital %v", d, float64(i), digital)
		}
	}
	for ohm, ampere := range map[float64]float64{1500: 13, 680: 20, 220: 32, 100: 63, 400: 0} { // source: iec-61851-1, handbook 7.6
		if i, ok := charge.CableCurrent(unit.Resistance(ohm)); float64(i) != ampere || ok != (ampere > 0) {
			t.Errorf("%v Ω allows %v A, %v", ohm, float64(i), ok)
		}
	}
	for _, a := range []float64{0, 5.9, 81, math.NaN()} {
		if _, err := charge.PilotDuty(unit.Current(a)); !errors.Is(err, charge.ErrSupply) {
			t.Errorf("%v A: %v", a, err)
		}
	}
}

// BenchmarkCharge is a whole charge of 112 groups from 10 % to full.
func BenchmarkCharge(b *testing.B) {
	e := charge.Equipment{Supply: supply(b, "230 V 32 A"), Charger: charger(6600, 20, 0.95, 250)}
	g := groupsOf(b, plainCell(3.4, 4.25, 2e-3), 112, drive.GroupOptions{Charge: 0.1})
	b.ReportAllocs()
	hours := 0.0
	for b.Loop() {
		if err := g.Start(drive.GroupOptions{Charge: 0.1, Derating: drive.Derating{Off: true}}); err != nil {
			b.Fatal(err)
		}
		hours += run(b, g, e, charge.Options{}).Duration.Hours()
	}
	b.ReportMetric(hours/b.Elapsed().Seconds(), "charged-h/s")
}
