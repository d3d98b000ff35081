package search

import (
	"context"
	"errors"
	"math"
	"reflect"
	"strings"
	"testing"
	"time"

	"packyard/bay"
	"packyard/cell"
	"packyard/check"
	"packyard/design"
	"packyard/unit"
	"packyard/vehicle"
)

// finite fails on a number that is not, anywhere in a value.
func finite(t *testing.T, name string, v reflect.Value) {
	t.Helper()
	switch v.Kind() {
	case reflect.Float64:
		if x := v.Float(); math.IsNaN(x) || math.IsInf(x, 0) {
			t.Errorf("%s is %v", name, x)
		}
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() && v.Type() != reflect.TypeFor[*cell.Slice]() {
			finite(t, name, v.Elem())
		}
	case reflect.Struct:
		if v.Type() == reflect.TypeFor[design.Wiring]() {
			return // leads to the cells' tables, which cell checks
		}
		for i := range v.NumField() {
			finite(t, name+"."+v.Type().Field(i).Name, v.Field(i))
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			finite(t, name, v.Index(i))
		}
	}
}

// ended runs a search that must end, and looks at every number of its result
// and of the assessment of every option in it.
func ended(t *testing.T, b *design.Brief, u Universe) *Result {
	t.Helper()
	f := frame(t, b)
	// Each of these takes well under a second on an idle machine.
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	r, err := Run(ctx, f, Options{Universe: u, Top: 5})
	if err != nil {
		t.Fatal(err)
	}
	finite(t, "result", reflect.ValueOf(*r))
	finite(t, "report", reflect.ValueOf(*r.Report(f)))
	list := append(append([]Option(nil), r.Packs...), r.Pareto...)
	for i := range r.Misses {
		list = append(list, r.Misses[i].Option)
	}
	if r.Joint != nil {
		list = append(list, r.Joint.Option)
	}
	for i := range list {
		finite(t, list[i].ID, reflect.ValueOf(*f.Assess(Place(f, &list[i]))))
	}
	return r
}

func TestWithoutASourcedCurveThereIsNothingToSearch(t *testing.T) {
	t.Parallel()
	b := cart(t)
	lto := cell.BuiltIn().Cell("cylindrical-lto-40")
	if lto.Curves != nil {
		t.Fatal("the LTO cell has curves now; take another without")
	}
	only := design.Source{Name: "lto", Kind: design.LooseCells, Cell: lto, Hardware: b.Sources[0].Hardware, Count: 100, Health: cell.New}
	b.Sources = append(b.Sources, only)
	r := ended(t, b, small)
	if r.BySource[2] != 0 || r.Fits == 0 {
		t.Errorf("%v by source, %d fit", r.BySource, r.Fits)
	}
	f := frame(t, b)
	if why := r.Report(f).Sources[2].NotSearched; !strings.Contains(why, "no sourced open-circuit voltage curve") {
		t.Errorf("the report says %q of it", why)
	}
	if _, err := Find(f, "lto/40S1P/2x20S"); !errors.Is(err, design.ErrOption) || !strings.Contains(err.Error(), "not searched") {
		t.Errorf("asked for by name: %v", err)
	}
	b.Sources = []design.Source{only}
	if _, err := design.NewFrame(b); !errors.Is(err, design.ErrNoSource) {
		t.Errorf("alone: %v, want ErrNoSource", err)
	}
}

func TestASourceKeptBackWholeGivesNoCandidate(t *testing.T) {
	t.Parallel()
	b := cart(t)
	b.Sources[1].Spare = b.Sources[1].Count
	r := ended(t, b, small)
	if r.BySource[1] != 0 || r.BySource[0] == 0 {
		t.Errorf("%v by source", r.BySource)
	}
	if why := r.Report(frame(t, b)).Sources[1].NotSearched; !strings.Contains(why, "spares") {
		t.Errorf("the report says %q of it", why)
	}
	b.Sources[0].Spare = b.Sources[0].Count + 5
	if _, err := design.NewFrame(b); !errors.Is(err, design.ErrNoSource) {
		t.Errorf("nothing to be had: %v, want ErrNoSource", err)
	}
}

func TestABayTooSmallForAnythingStaysEmpty(t *testing.T) {
	t.Parallel()
	b := cart(t)
	b.Bays[0].Boxes = []bay.Box{{Size: bay.Vec{X: 0.09, Y: 0.09, Z: 0.09}}}
	r := ended(t, b, small)
	for i := range r.Packs {
		if n := r.Packs[i].Loading.Count[0]; n != [2]int{} {
			t.Errorf("%s: %v in a bay of 9 cm", r.Packs[i].ID, n)
		}
	}
	b.Bays = b.Bays[:1]
	r = ended(t, b, small)
	space := 0
	for _, x := range r.Falls {
		if x.Rule == design.Space {
			space = x.Alone + x.Others
		}
	}
	if r.Fits != 0 || space != r.Total || r.NotProven != 0 {
		t.Errorf("alone: %d fit, %d of %d fell to space, %d not proven", r.Fits, space, r.Total, r.NotProven)
	}
}

func TestNothingAskedNothingFallsButToPhysics(t *testing.T) {
	t.Parallel()
	b := cart(t)
	b.Targets = design.Targets{Schedule: b.Targets.Schedule}
	b.Donor.Ratings, b.Donor.LoadCases = vehicle.Ratings{}, nil
	b.Build = design.Build{}
	for i := range b.Bays {
		b.Bays[i].MassLimit = 0
	}
	for i := range b.Sources {
		b.Sources[i].Price = check.Price{}
	}
	b.Drive.Charger = nil
	r := ended(t, b, small)
	if r.Fits == 0 {
		t.Fatal("nothing fits")
	}
	for _, x := range r.Falls {
		switch x.Rule {
		case design.InverterFull, design.InverterLowest, design.CurrentPeak, design.CurrentContinuous, design.Space, design.Supply:
		default:
			t.Errorf("%d fell to %s, which nobody asked for", x.Alone+x.Others, x.Rule)
		}
	}
	for i := range r.Packs {
		if r.Packs[i].Candidate.Strings != 1 {
			t.Errorf("%s: strings were not asked for", r.Packs[i].ID)
		}
	}
}

func TestOnlyModulesAsTheyCame(t *testing.T) {
	t.Parallel()
	b := cart(t)
	b.Sources = b.Sources[1:]
	b.Targets.Range, b.Targets.RangeEnd, b.Targets.PriceMax = 0, 0, 0
	r := ended(t, b, Universe{})
	if r.Total == 0 || r.Total > 10 {
		t.Errorf("%d candidates of a closed module", r.Total)
	}
	for i := range r.Packs {
		if !strings.HasSuffix(r.Packs[i].ID, "/as-built") {
			t.Errorf("%s is not as it came", r.Packs[i].ID)
		}
	}
}

func TestRoundCellsInHoldersAreSearched(t *testing.T) {
	t.Parallel()
	b := cart(t)
	b.Sources = []design.Source{{
		Name: "round", Kind: design.LooseCells, Cell: cell.BuiltIn().Cell("cylindrical-21700-nmc-5"), Hardware: cell.BuiltIn().HardwareByID("holder-21700"),
		Count: 1200, Price: check.Price{Amount: 1.5, Currency: "EUR", Pos: check.Pos{Line: 1}}, Health: cell.New,
	}}
	r := ended(t, b, small)
	if r.Fits == 0 {
		t.Fatal("no pack of round cells fits")
	}
	for i := range r.Packs {
		o := &r.Packs[i]
		if p := o.Wiring.Topology.Parallel; p%15 != 0 {
			t.Errorf("%s: %d in parallel, a holder row has 15", o.ID, p)
		}
	}
}

// TestStacksWithoutALargestLengthEnd: hardware that states none may be asked for
// stacks as long as there are cells.
func TestStacksWithoutALargestLengthEnd(t *testing.T) {
	t.Parallel()
	b := cart(t)
	hw := *b.Sources[0].Hardware
	hw.StackMax = 0
	b.Sources[0].Hardware = &hw
	b.Sources = b.Sources[:1]
	b.Sources[0].Count = 60
	if r := ended(t, b, Universe{Modules: 4}); r.Total == 0 {
		t.Error("no candidate")
	}
}

func TestALevelRoadIsNoClimb(t *testing.T) {
	t.Parallel()
	b := cart(t)
	b.Targets.Grade = 0
	for _, x := range ended(t, b, small).Falls {
		if x.Rule == design.Climb {
			t.Errorf("%d fell to a climb of nothing", x.Alone+x.Others)
		}
	}
}

func TestColderThanTheCellsAllowEnds(t *testing.T) {
	t.Parallel()
	b := cart(t)
	b.Targets.Coldest = unit.Celsius(-60)
	ended(t, b, small)
	b.Road.Ambient = unit.Celsius(-60)
	r := ended(t, b, small)
	if r.Fits != 0 {
		t.Errorf("%d fit where the cells allow no current", r.Fits)
	}
	for _, x := range r.Falls {
		if x.Rule == design.CurrentPeak && x.Alone+x.Others != r.Total {
			t.Errorf("%d of %d fell to the current of cells that allow none", x.Alone+x.Others, r.Total)
		}
	}
}
