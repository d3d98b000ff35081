package drive

import (
	"errors"
	"reflect"
	"testing"

	"packyard/cell"
	"packyard/unit"
)

// A cell that is filled again is the one that is made anew.
func TestFilledCellIsTheOneMadeAnew(t *testing.T) {
	c := cell.BuiltIn().Cell("prismatic-lfp-105")
	warm, err := NewLumped(c, unit.Celsius(25), cell.New, 1)
	if err != nil {
		t.Fatal(err)
	}
	aged := cell.Health{CapacityShare: 0.8, ResistanceGrowth: 1.4}
	cold, err := NewLumped(c, unit.Celsius(-5), aged, 1)
	if err != nil {
		t.Fatal(err)
	}
	tb, err := c.At(unit.Celsius(-5), aged, segments+1)
	if err != nil {
		t.Fatal(err)
	}
	limits := LimitsOf(c, unit.Celsius(-5))
	if n := testing.AllocsPerRun(10, func() { err = warm.Fill(tb, limits) }); n != 0 || err != nil {
		t.Errorf("%v allocations, %v", n, err)
	}
	warm.Health = aged
	if !reflect.DeepEqual(warm, cold) {
		t.Error("the filled cell is not the one made anew")
	}
	short, err := c.At(unit.Celsius(25), cell.New, 11)
	if err != nil {
		t.Fatal(err)
	}
	if err := warm.Fill(short, limits); !errors.Is(err, ErrCell) || !reflect.DeepEqual(warm, cold) {
		t.Errorf("a table of another length: %v", err)
	}
}
