package cell

import (
	"errors"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"packyard/check/checktest"
	"packyard/unit"
)

// A table that is filled again is the one that is made anew, to the last bit,
// for every cell with curves.
func TestRefilledTableIsTheOneMadeAnew(t *testing.T) {
	t.Parallel()
	var known []*Cell
	for _, c := range BuiltIn().Cells {
		if c.Curves != nil {
			known = append(known, c)
		}
	}
	checktest.Check(t, func(t *rapid.T) {
		c := known[rapid.IntRange(0, len(known)-1).Draw(t, "cell")]
		state := func() (unit.Temperature, Health) {
			return unit.Celsius(rapid.Float64Range(-30, 55).Draw(t, "temperature in °C")), Health{
				CapacityShare:    unit.Ratio(rapid.Float64Range(0.2, 1.1).Draw(t, "capacity share")),
				ResistanceGrowth: unit.Ratio(rapid.Float64Range(0.8, 5).Draw(t, "growth")),
			}
		}
		at, health := state()
		got, err := c.At(at, health, 51)
		if err != nil {
			t.Fatal(err)
		}
		at, health = state()
		want, err := c.At(at, health, 51)
		if err != nil {
			t.Fatal(err)
		}
		if err := c.Refill(got, at, health); err != nil || !reflect.DeepEqual(got, want) {
			t.Fatalf("%s at %v, %+v: %+v, made anew %+v, %v", c.ID, at, health, got, want, err)
		}
	})
}

func TestRefillRefusesWhatAtRefuses(t *testing.T) {
	c := BuiltIn().Cell("prismatic-lfp-105")
	tb, err := c.At(unit.Celsius(20), New, 11)
	if err != nil {
		t.Fatal(err)
	}
	before := *tb
	for _, bad := range []struct {
		at     unit.Temperature
		health Health
		want   error
	}{{0, New, ErrTemperature}, {300, Health{CapacityShare: 0, ResistanceGrowth: 1}, ErrHealth}, {300, Health{CapacityShare: 1, ResistanceGrowth: 0.1}, ErrHealth}} {
		if err := c.Refill(tb, bad.at, bad.health); !errors.Is(err, bad.want) || !reflect.DeepEqual(*tb, before) {
			t.Errorf("%+v: %v", bad, err)
		}
	}
	if err := (&Cell{ID: "x"}).Refill(tb, 300, New); !errors.Is(err, ErrNoCurves) {
		t.Errorf("no curves: %v", err)
	}
	if n := testing.AllocsPerRun(10, func() { _ = c.Refill(tb, 280, New) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}
