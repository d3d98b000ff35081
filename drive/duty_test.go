package drive

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"packyard/cell"
	"packyard/check"
	"packyard/check/checktest"
	"packyard/heat"
	"packyard/pack"
	"packyard/schedule"
	"packyard/unit"
)

// Both thermal models serve a run by groups.
var (
	_ Thermal = (*heat.System)(nil)
	_ Thermal = (*heat.Network)(nil)
	_ load    = (*heat.System)(nil)
)

// dutyBody is an invented pack of n groups in modules of eight, each of the
// heat capacity of two cells of coldCell.
func dutyBody(n int, plates bool) heat.Body {
	var b heat.Body
	b.Boxes = []heat.Box{{Name: "bay", Capacity: 9000, Surface: 3, Height: 0.4, Length: 1}}
	var line []int
	for m := range (n + 7) / 8 {
		b.Modules = append(b.Modules, heat.Module{
			Name: fmt.Sprint("module ", m+1), Holder: 3000, Surface: 0.5, Height: 0.25, Mount: 0.5, Metal: 2000,
			Plate: heat.Plate{Channel: heat.Duct{Width: 20e-3, Height: 4e-3, Length: 0.5}, Channels: 4, Minor: 3},
		})
		line = append(line, m)
	}
	for i := range n {
		b.Groups = append(b.Groups, heat.Group{Name: fmt.Sprint("group ", i+1), Capacity: 2 * 0.9 * 1000, Module: i / 8, Holder: 2, Plate: 6, Next: 4})
	}
	if plates {
		glycol, err := heat.FluidOf("glycol-50")
		if err != nil {
			panic(err)
		}
		b.Circuit = &heat.Circuit{Fluid: glycol, Stages: [][][]int{{line}}, Flow: 10 * unit.LitrePerMinute, Draws: 30, Volume: 4 * unit.Litre,
			Radiator: &heat.Radiator{Exchanger: heat.Exchanger{Conductance: 250, AirRated: 0.5}, Fan: 120},
			Heater:   &heat.Heater{Power: 3000, CoolantMax: unit.Celsius(50)}}
		b.Control = heat.Control{CoolAbove: unit.Celsius(30), HeatBelow: unit.Celsius(5), Band: 2}
	}
	return b
}

func dutyCase(t testing.TB, air unit.Temperature, plates bool) DutyCase {
	t.Helper()
	p := packOf(80, 1)
	s, err := heat.NewSystem(dutyBody(80, plates), heat.Outside{Air: air})
	if err != nil {
		t.Fatal(err)
	}
	return DutyCase{Train: smallVan(), Pack: p, Table: groupTable(t), Heat: s, Air: air}
}

func duty1(t testing.TB, c DutyCase, text string) DutyResult {
	t.Helper()
	d, err := ParseDuty(text)
	if err != nil {
		t.Fatal(err)
	}
	if d.Kind == DutySchedule {
		if d.Schedule, err = schedule.Parse("udds"); err != nil {
			t.Fatal(err)
		}
	}
	r, err := RunDuty(c, d)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// rules returns the rules of findings that are at least as severe.
func rules(list []check.Finding, least check.Severity) string {
	var out []string
	for _, f := range list {
		if f.Severity >= least {
			out = append(out, f.Rule)
		}
	}
	return strings.Join(out, " ")
}

// The heat of the cells is what the energy at the terminals lacks of the
// chemical energy, less the joints; the account of the network closes.
func TestHeatOfADutyIsWhatTheTerminalsLack(t *testing.T) {
	t.Parallel()
	for _, plates := range []bool{false, true} {
		c := dutyCase(t, unit.Celsius(30), plates)
		r := duty1(t, c, "grade 6 % at 60 km/h")
		if r.End != DutyEmpty || r.Derated || !r.Held {
			t.Fatalf("ended by %s, derated %v, held %v", r.End, r.Derated, r.Held)
		}
		if m := r.Account.Missing(); math.Abs(m) > 1e-6 {
			t.Errorf("account of heat does not close by %g", m)
		}
		checktest.Near(t, "heat into the network, J", float64(r.Account.Heat), float64(r.CellHeat), 0, 1e-9, "the same heat counted twice")
		if plates {
			continue
		}
		// What the open-circuit voltage gives over the charge used, less the terminals
		// and the joints, is heat; the reversible part takes T·∫ dU/dT dq of it away.
		tb, err := coldCell().At(unit.Celsius(30), cell.New, 201)
		if err != nil {
			t.Fatal(err)
		}
		p := *c.Pack
		p.SoCMin = r.Charge
		charge := float64(tb.Capacity) * 160 * float64(1-r.Charge)
		current := charge / 80 / float64(r.Duration)
		reversible := 0.0
		for z := float64(r.Charge); z < 1; z += 1e-3 {
			reversible += 1e-3 * 160 * float64(tb.Capacity) * 305 * pack.Read(tb.DUDT, z)
		}
		want := float64(p.EnergyChemical(tb)-r.Given) - current*current*0.02*float64(r.Duration) - reversible
		// The current rises as the voltage falls, the pairs keep a little, a group is some
		// kelvins off 305 K.
		checktest.Near(t, "heat of the cells, J", float64(r.CellHeat), want, 0, 0.03, "first law")
		// Nearly adiabatic: what is not stored has left through the box.
		if r.Account.Stored < r.Account.Heat/2 {
			t.Errorf("stored %g J of %g J", float64(r.Account.Stored), float64(r.Account.Heat))
		}
	}
}

func TestCoolantMakesAClimbCooler(t *testing.T) {
	t.Parallel()
	dry := duty1(t, dutyCase(t, unit.Celsius(35), false), "full power")
	wet := duty1(t, dutyCase(t, unit.Celsius(35), true), "full power")
	if !(wet.Hottest.Temperature < dry.Hottest.Temperature-2) {
		t.Errorf("hottest with coolant %.2f °C, without %.2f °C", wet.Hottest.Temperature.Celsius(), dry.Hottest.Temperature.Celsius())
	}
	if wet.FlowMax <= 0 || wet.HeadMax <= 0 || wet.LoadEnergy <= 0 {
		t.Errorf("coolant flow %g, head %g, load %g", float64(wet.FlowMax), float64(wet.HeadMax), float64(wet.LoadEnergy))
	}
	// The pump draws Δp·Q beside its 30 W, and the fan its 120 W, all the while.
	most := (30 + 120 + float64(wet.FlowMax)*float64(wet.HeadMax)) * float64(wet.Duration)
	checktest.Near(t, "energy of pump and fan, J", float64(wet.LoadEnergy), most, 0, 0.02, "power times time; the first seconds are warm enough to run")
}

func TestDutyOnAScheduleIsTheDemandOfIt(t *testing.T) {
	t.Parallel()
	c := dutyCase(t, unit.Celsius(20), false)
	d, err := ParseDuty("schedule")
	if err != nil {
		t.Fatal(err)
	}
	if d.Schedule, err = schedule.Parse("udds"); err != nil {
		t.Fatal(err)
	}
	d.For = unit.Time(d.Schedule.Time[len(d.Schedule.Time)-1])
	r, err := RunDuty(c, d)
	if err != nil {
		t.Fatal(err)
	}
	dem, err := NewDemand(c.Train, d.Schedule, DemandOptions{Voltage: c.Pack.VoltageFull()})
	if err != nil {
		t.Fatal(err)
	}
	checktest.Near(t, "energy asked, J", float64(r.Asked), float64(dem.NetEnergy()), 0, 1e-9, "Demand.NetEnergy of one schedule")
	// Full at the start, some braking is refused.
	checktest.Near(t, "energy given, J", float64(r.Given), float64(r.Asked), 0, 0.05, "first law")
}

func TestGradeThatCannotBeClimbedIsAFinding(t *testing.T) {
	t.Parallel()
	c := dutyCase(t, unit.Celsius(20), false)
	r := duty1(t, c, "grade 60 % at 60 km/h")
	if r.Held || !strings.Contains(rules(r.Findings, check.Failure), "heat.grade") {
		t.Fatalf("held %v, findings %v", r.Held, rules(r.Findings, check.Note))
	}
	s, err := SteadyAt(c.Train, 60*unit.KilometrePerHour, r.GradeMost*0.999, c.Pack.VoltageFull())
	if err != nil || !s.Held {
		t.Errorf("just below the steepest grade %g it is held: %v, %v", float64(r.GradeMost), s.Held, err)
	}
	s, err = SteadyAt(c.Train, 60*unit.KilometrePerHour, r.GradeMost*1.001, c.Pack.VoltageFull())
	if err != nil || s.Held {
		t.Errorf("just above the steepest grade %g it is held: %v, %v", float64(r.GradeMost), s.Held, err)
	}
}

func TestColderThanTheCellsIsAFinding(t *testing.T) {
	t.Parallel()
	r := duty1(t, dutyCase(t, unit.Celsius(-30), false), "grade 6 % at 60 km/h")
	if got := rules(r.Findings, check.Failure); got != "heat.coldest" {
		t.Errorf("failures %q, want heat.coldest", got)
	}
	if !r.Derated || r.DeratedBy != LimitTemperature || r.DeratedFrom != 0 || r.Given != 0 {
		t.Errorf("derated %v by %q from %g s, given %g J: nothing may flow at -30 °C", r.Derated, r.DeratedBy, float64(r.DeratedFrom), float64(r.Given))
	}
	soak := duty1(t, dutyCase(t, unit.Celsius(-45), false), "soak 2 d")
	if got := rules(soak.Findings, check.Warning); !strings.Contains(got, "heat.coldest") {
		t.Errorf("a night at -45 °C: findings %q, want heat.coldest", got)
	}
	if math.IsNaN(float64(r.Hottest.Temperature)) || r.End != DutyTime {
		t.Errorf("hottest %g K, ended by %s", float64(r.Hottest.Temperature), r.End)
	}
}

func TestCellsWithoutLimitsAreAFinding(t *testing.T) {
	t.Parallel()
	c := dutyCase(t, unit.Celsius(20), false)
	bare := coldCell()
	bare.Limits = cell.Limits{}
	var err error
	if c.Table, err = NewGroupTable(bare); err != nil {
		t.Fatal(err)
	}
	c.Pack.Cell = bare
	for _, text := range []string{"full power", "charge 50 A"} {
		r := duty1(t, c, text)
		if !strings.Contains(rules(r.Findings, check.Failure), "heat.cell.limits") || r.Given != 0 {
			t.Errorf("%s: findings %q, given %g J", text, rules(r.Findings, check.Note), float64(r.Given))
		}
	}
}

func TestCoolantThatStandsIsAFinding(t *testing.T) {
	t.Parallel()
	b := dutyBody(80, true)
	b.Circuit.Flow = 0
	s, err := heat.NewSystem(b, heat.Outside{Air: unit.Celsius(38)})
	if err != nil {
		t.Fatal(err)
	}
	c := dutyCase(t, unit.Celsius(38), true)
	c.Heat = s
	r := duty1(t, c, "full power")
	if !strings.Contains(rules(r.Findings, check.Failure), "heat.coolant.flow") {
		t.Errorf("findings %q, want heat.coolant.flow", rules(r.Findings, check.Note))
	}
	r = duty1(t, dutyCase(t, unit.Celsius(-40), true), "soak 1 h")
	if !strings.Contains(rules(r.Findings, check.Failure), "heat.coolant.freezes") {
		t.Errorf("findings %q, want heat.coolant.freezes", rules(r.Findings, check.Note))
	}
}

// A soak cools as the network says, then heats until the coldest group is warm
// enough; the heater's energy is at least what the groups gained.
func TestSoakEndsWarmEnough(t *testing.T) {
	t.Parallel()
	c := dutyCase(t, unit.Celsius(-15), true)
	r := duty1(t, c, "soak 10 h, preheat to 8 °C")
	if r.End != DutyWarm || r.PreheatTime <= 0 || r.PreheatTime > 2*unit.Hour {
		t.Fatalf("ended by %s after %g s of preheating", r.End, float64(r.PreheatTime))
	}
	if r.Coldest.Temperature > unit.Celsius(5) {
		t.Errorf("coldest group %.1f °C: standing, nothing may heat", r.Coldest.Temperature.Celsius())
	}
	gained := 80 * 1800 * (281.15 - float64(r.Coldest.Temperature))
	if float64(r.HeaterEnergy) < gained || float64(r.HeaterEnergy) > 2.5*gained {
		t.Errorf("heater %g J, the groups gained at least %g J", float64(r.HeaterEnergy), gained)
	}
	r = duty1(t, dutyCase(t, unit.Celsius(-15), false), "soak 10 h, preheat to 8 °C")
	if r.End != DutyUnheld || !strings.Contains(rules(r.Findings, check.Failure), "heat.preheat") {
		t.Errorf("without a heater: ended by %s, findings %q", r.End, rules(r.Findings, check.Note))
	}
}

func TestChargeEndsFull(t *testing.T) {
	t.Parallel()
	r := duty1(t, dutyCase(t, unit.Celsius(20), false), "charge 60 A")
	if r.End != DutyFull || r.Charge < 0.95 {
		t.Errorf("ended by %s at %g", r.End, float64(r.Charge))
	}
	r = duty1(t, dutyCase(t, unit.Celsius(30), false), "charge 900 A")
	if !r.Derated || r.DeratedBy != LimitCurrent {
		t.Errorf("900 A of two cells of 50 A·h: derated %v by %q", r.Derated, r.DeratedBy)
	}
}

// Heat and electricity are stepped one after the other: half the step moves the
// hottest temperature by next to nothing.
func TestStepOfADutyDoesNotMatter(t *testing.T) {
	t.Parallel()
	c := dutyCase(t, unit.Celsius(30), true)
	coarse := duty1(t, c, "full power")
	c = dutyCase(t, unit.Celsius(30), true)
	c.Step = 0.5
	fine := duty1(t, c, "full power")
	checktest.Near(t, "rise of the hottest group, K", float64(coarse.Hottest.Temperature)-303.15, float64(fine.Hottest.Temperature)-303.15, 0.02, 2e-3, "half the step")
}

func TestDutiesThatCannotBe(t *testing.T) {
	t.Parallel()
	for _, text := range []string{"", "climb", "grade 8 %", "grade 8 at 50", "grade 8 % at -5 km/h", "grade 900 % at 50 km/h", "charge", "charge 0 A", "charge -10 A",
		"charge 5 kW", "soak", "soak -1 h", "soak 12 h, preheat to 400 °C", "soak 12 h preheat", "full", "grade 8 % at 500 km/h", "soak 30 d"} {
		if d, err := ParseDuty(text); !errors.Is(err, ErrDuty) {
			t.Errorf("%q: got %v, %v, want ErrDuty", text, d, err)
		}
	}
	c := dutyCase(t, unit.Celsius(20), false)
	c.Pack = packOf(40, 1)
	if _, err := RunDuty(c, Duty{Kind: DutyFullPower}); !errors.Is(err, ErrDuty) {
		t.Errorf("80 groups of heat for 40 of the pack: got %v, want ErrDuty", err)
	}
	if _, err := RunDuty(dutyCase(t, unit.Celsius(20), false), Duty{Kind: DutySchedule}); !errors.Is(err, ErrDuty) {
		t.Errorf("no schedule: got %v, want ErrDuty", err)
	}
}

func FuzzParseDuty(f *testing.F) {
	for _, s := range []string{"schedule", "grade 8 % at 50 km/h", "full power", "charge 100 A", "soak 12 h", "soak 12 h, preheat to 10 °C", "grade ∞ at 1", "soak 1e300 h"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		d, err := ParseDuty(text)
		if err != nil {
			if !errors.Is(err, ErrDuty) {
				t.Fatalf("%q: %v is no ErrDuty", text, err)
			}
			return
		}
		again, err := ParseDuty(d.String())
		if err != nil || again.Kind != d.Kind {
			t.Fatalf("%q printed as %q, read as %v, %v", text, d.String(), again, err)
		}
	})
}
