package bench

import (
	"errors"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"packyard/cell"
	"packyard/check/checktest"
	"packyard/unit"
)

// retired reads a graded table of the reference: cells out of vehicles, resistance
// at half of their own charge.
func retired(t *testing.T, set string) []Measured {
	t.Helper()
	rows := checktest.Table(t, checktest.Reference(t, "celltests", "retired", "cells_"+set+".csv"))
	at := map[string]int{}
	for i, name := range rows[0] {
		at[name] = i
	}
	number := func(row []string, name string) float64 {
		v, err := strconv.ParseFloat(row[at[name]], 64)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		return v
	}
	var out []Measured
	for _, row := range rows[1:] {
		out = append(out, Measured{Item: Item{Label: row[at["cell"]], Lot: set}, Rated: unit.Charge(number(row, "nominal_ah")) * unit.AmpereHour,
			Capacity: unit.Charge(number(row, "capacity_ah")) * unit.AmpereHour, Resistance: unit.Resistance(number(row, "r_dis_5s_half_mohm") / 1e3)})
	}
	return out
}

// Mean and spread of the reference sets are as their description has them.
func TestReferenceLotsHaveTheirMeanAndSpread(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		set                   string
		n                     int
		mean, sd, least, most float64 // Ah
		ohms, ohmsSD          float64 // mΩ at half of the own charge
	}{
		{"lmo10", 48, 8.088, 1.221, 5.191, 9.479, 11.50, 2.34},
		{"nmc21", 26, 20.624, 1.214, 15.676, 21.172, 2.842, 0.464},
		{"lfp35", 28, 29.609, 1.685, 26.027, 32.298, 3.045, 0.223},
	} {
		g := Grade(retired(t, c.set), GradeRules{Health: 0.5})
		l := g.Lots[0]
		const source = "reference/celltests/README.md, retired; digits as printed there"
		if l.Count != c.n {
			t.Errorf("%s: %d cells, want %d (source: %s)", c.set, l.Count, c.n, source)
		}
		near := func(what string, got, want, digit float64) {
			checktest.Near(t, c.set+" "+what, got, want, digit/2*1.001, 0, source)
		}
		near("mean in Ah", l.CapacityMean.AmpereHours(), c.mean, 1e-3)
		near("deviation in Ah", l.CapacitySD.AmpereHours(), c.sd, 1e-3)
		near("least in Ah", l.CapacityMin.AmpereHours(), c.least, 1e-3)
		near("most in Ah", l.CapacityMax.AmpereHours(), c.most, 1e-3)
		digit := 1e-3
		if c.set == "lmo10" {
			digit = 1e-2
		}
		near("resistance in mΩ", float64(l.ResistanceMean)*1e3, c.ohms, digit)
		near("deviation in mΩ", float64(l.ResistanceSD)*1e3, c.ohmsSD, digit)
		t.Logf("%s: %d of %d kept", c.set, l.Kept, l.Count)
	}
}

// The worst cell of nmc21 holds 15.7 of 21 Ah where half of the lot holds more than
// 20.8: the robust score sees it, where mean and deviation are drawn along by it.
func TestOutliersAreSeen(t *testing.T) {
	t.Parallel()
	g := Grade(retired(t, "nmc21"), GradeRules{})
	out := 0
	for _, m := range g.Items {
		if m.Capacity < 16*unit.AmpereHour {
			out++
			if m.Keep || m.Class != "" || m.ScoreCapacity > -3.5 || !strings.Contains(strings.Join(m.Reasons, ";"), "robust deviations below") {
				t.Errorf("the cell of %.1f Ah is kept: %+v", m.Capacity.AmpereHours(), m)
			}
		}
	}
	if out != 1 {
		t.Errorf("%d cells below 16 Ah, want 1 (source: reference/celltests/README.md, least of nmc21)", out)
	}
	kept := Grade(retired(t, "nmc21"), GradeRules{KeepOutside: true})
	if kept.Lots[0].Kept != kept.Lots[0].Count {
		t.Errorf("%d of %d kept with outliers told only", kept.Lots[0].Kept, kept.Lots[0].Count)
	}
	// By hand: median 29.1, distances 0, 0.3, 0.3, 0.8, 1.0, 1.1, 1.4, 1.4, 2.2 with the middle 1.0.
	d := describe(capacities)
	checktest.Near(t, "score", d.score(26.9), 0.6745*(26.9-29.1)/1.0, 1e-12, 0, "0.6745·(x − median)/MAD by hand; iglewicz-hoaglin-1993")
}

func TestRejectsHaveTheirReasons(t *testing.T) {
	t.Parallel()
	base := func(label string) Measured {
		return Measured{Item: Item{Label: label}, Capacity: 30 * unit.AmpereHour, Resistance: 0.002, Rated: 33 * unit.AmpereHour, New: 0.0015}
	}
	weak, old, wet, unmeasured, unrecorded, sound := base("weak"), base("old"), base("wet"), base("unmeasured"), base("unrecorded"), base("sound")
	weak.Capacity = 15 * unit.AmpereHour
	old.Resistance = 0.005
	wet.Refused = []string{StepWater}
	unmeasured.Capacity = 0
	unrecorded.Lacking = []string{StepVisual}
	g := Grade([]Measured{weak, old, wet, unmeasured, unrecorded, sound}, GradeRules{Intake: true})
	for i, want := range []string{"45.45 % of its rated", "3.33 times that of a new one", "refused at the intake: water", "capacity was not measured", "not complete: visual", ""} {
		m := g.Items[i]
		if m.Keep != (want == "") || !strings.Contains(strings.Join(m.Reasons, ";"), want) {
			t.Errorf("%s: keep %v, reasons %q, want %q", m.Item.Label, m.Keep, m.Reasons, want)
		}
	}
	if g.Items[5].Class != "A1" || g.Lots[0].Kept != 1 {
		t.Errorf("class %q, %+v", g.Items[5].Class, g.Lots[0])
	}
	if e := Grade(nil, GradeRules{}); e.Items == nil || e.Lots == nil {
		t.Error("an empty grading prints null")
	}
}

// A better cell is never in a worse class, and the order of the list is irrelevant.
func TestBetterIsNeverGradedWorse(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		list := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Measured {
			return Measured{Capacity: unit.Charge(rapid.Float64Range(20, 33).Draw(t, "Ah")) * unit.AmpereHour, Resistance: unit.Resistance(rapid.Float64Range(1e-3, 3e-3).Draw(t, "ohm"))}
		}), 2, 30).Draw(t, "lot")
		for i := range list {
			list[i].Item.Label = strconv.Itoa(i)
		}
		g := Grade(list, GradeRules{})
		for _, a := range g.Items {
			for _, b := range g.Items {
				if a.Keep && b.Keep && a.Capacity >= b.Capacity && a.Resistance <= b.Resistance && (a.Class[0] > b.Class[0] || a.Class[1] > b.Class[1]) {
					t.Errorf("%+v is in %s and %+v in %s", a.Measured, a.Class, b.Measured, b.Class)
				}
				if !a.Keep && b.Keep && a.Capacity > b.Capacity && a.Resistance < b.Resistance {
					t.Errorf("%+v is rejected and the worse %+v kept", a.Measured, b.Measured)
				}
			}
		}
		turned := append([]Measured{}, list[1:]...)
		h := Grade(append(turned, list[0]), GradeRules{})
		if a, b := g.Items[0], h.Items[len(list)-1]; a.Class != b.Class || a.Keep != b.Keep || math.Abs(a.ScoreCapacity-b.ScoreCapacity) > 1e-12 {
			t.Errorf("in another order: %s and %s", a.Class, b.Class)
		}
	})
}

func TestJoiningFollowsTheExponential(t *testing.T) {
	t.Parallel()
	a := Side{Voltage: 3.90, Resistance: 0.002, Capacity: 30 * unit.AmpereHour, Slope: 0.9}
	b := Side{Voltage: 3.80, Resistance: 0.003, Capacity: 25 * unit.AmpereHour, Slope: 0.9}
	j, err := Join(b, a, JoinLimits{Current: 30})
	if err != nil {
		t.Fatal(err)
	}
	const source = "I = ΔV/(R1 + R2), τ = ΣR/Σk by hand"
	k1, k2 := 0.9/(30*3600), 0.9/(25*3600)
	checktest.Near(t, "current", float64(j.Current), 20, 1e-9, 0, source)
	checktest.Near(t, "allowed", float64(j.Allowed), 0.15, 1e-12, 0, source)
	checktest.Near(t, "constant", float64(j.Constant), 0.005/(k1+k2), 0, 1e-12, source)
	checktest.Near(t, "moved in Ah", j.Moved.AmpereHours(), 0.1/(k1+k2)/3600, 0, 1e-12, source)
	checktest.Near(t, "common, from both sides", float64(j.Common), 3.80+k2*float64(j.Moved), 1e-12, 0, source)
	// The same by steps of a second, half-way: an integrator that knows no exponential.
	v1, v2, dt := 3.90, 3.80, 0.5
	steps := 0
	for ; v1-v2 > 0.005 && steps < 1e6; steps++ {
		i := (v1 - v2) / 0.005
		mid := (v1 - v2 - i*(k1+k2)*dt/2) / 0.005
		v1, v2 = v1-mid*k1*dt, v2+mid*k2*dt
	}
	checktest.Near(t, "settling in s", float64(j.Settling), float64(steps)*dt, 0.5, 1e-5, "midpoint steps of half a second")
	if !j.May {
		t.Error("100 mV of 150 mV may be joined")
	}
	if j, err = Join(a, b, JoinLimits{Current: 10}); err != nil || j.May {
		t.Errorf("100 mV of 50 mV: %+v, %v", j, err)
	}
	if j, err = Join(a, a, JoinLimits{Current: 10}); err != nil || !j.May || j.Settling != 0 || j.Current != 0 {
		t.Errorf("equal items: %+v, %v", j, err)
	}
	for _, bad := range []Side{{}, {Voltage: 3, Resistance: -1, Capacity: 1, Slope: 1}, {Voltage: unit.Voltage(math.Inf(1)), Resistance: 1, Capacity: 1, Slope: 1}} {
		if _, err := Join(a, bad, JoinLimits{Current: 1}); !errors.Is(err, ErrEqualise) {
			t.Errorf("%+v: %v", bad, err)
		}
	}
	if _, err := Join(a, b, JoinLimits{}); !errors.Is(err, ErrEqualise) {
		t.Errorf("no current: %v", err)
	}
}

// A pulse test that begins with a charge: its pulses are shares of the capacity that a
// full discharge gave, counted from full.
func TestPulsesAreCountedFromFull(t *testing.T) {
	t.Parallel()
	s, ctx := empty(t), t.Context()
	p, _ := PartOf(cell.BuiltIn(), "pouch-lmo-33", Cell)
	for _, file := range []string{"discharge_1c.csv", "hppc_25c.csv"} {
		in, err := os.Open(checktest.Reference(t, "celltests", "leaf33", file))
		if err != nil {
			t.Fatal(err)
		}
		got, err := s.Import(ctx, file, in, ImportOptions{Item: Item{Label: "leaf", Kind: Cell, Part: "pouch-lmo-33"}})
		if err := errors.Join(err, in.Close()); err != nil {
			t.Fatal(err)
		}
		if _, _, err := s.Characterise(ctx, got.Test.ID, p); err != nil {
			t.Fatal(err)
		}
	}
	results, err := s.Results(ctx, "leaf")
	if err != nil {
		t.Fatal(err)
	}
	const source = "reference/celltests/README.md, leaf33: what a correct reading gives"
	capacity, nearest := 0.0, Result{}
	for _, r := range results {
		switch {
		case r.Quantity == Capacity && capacity == 0:
			capacity = r.Value.SI / 3600
		case r.Quantity == Resistance && r.At.Time == 30 && (nearest.Item == "" || math.Abs(float64(r.At.Charge)-0.5) < math.Abs(float64(nearest.At.Charge)-0.5)):
			nearest = r
		}
		if r.At.Charge < 0 || r.At.Charge > 1.05 {
			t.Errorf("a pulse at %.3f of the capacity", float64(r.At.Charge))
		}
	}
	checktest.Near(t, "capacity in Ah", capacity, 30.33, 0, 0.002, source+"; capacities within 0.2 %")
	checktest.Near(t, "30 s at about half charge in mΩ", nearest.Value.SI*1e3, 2.53, 0, 0.02, source+"; resistances within 2 %")
	if math.Abs(float64(nearest.At.Charge)-0.5) > 0.06 {
		t.Errorf("the pulse nearest to half charge lies at %.3f", float64(nearest.At.Charge))
	}
}
