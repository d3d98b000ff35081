package search

import (
	"context"
	"encoding/json"
	"testing"

	"github.com/google/go-cmp/cmp"

	"packyard/design"
	"packyard/unit"
	"packyard/vehicle"
)

// places is where the modules of the packs of a result stand.
func places(t *testing.T, r *Result) string {
	t.Helper()
	var all [][2]any
	for i := range r.Packs {
		all = append(all, [2]any{r.Packs[i].Loading, r.Packs[i].Places})
	}
	text, err := json.Marshal(all)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// TestSearchWithAMemoryEqualsOneWithout makes edits one after the other, each
// searched cold and with the memory of all before: of limits and of the ledger, which
// ask the bays nothing new; of bays and their places, which do; of a brief with a
// second look and of one whose second look is not due any more.
func TestSearchWithAMemoryEqualsOneWithout(t *testing.T) {
	t.Parallel()
	edits := []struct {
		name  string
		knows bool // the bays were asked all of it before
		edit  func(b *design.Brief)
	}{
		{"as it is", false, func(*design.Brief) {}},
		{"the ledger", true, func(b *design.Brief) {
			b.Donor.Added = append(b.Donor.Added, vehicle.Item{Name: "rack", Mass: 22, At: vehicle.Point{X: 1.2, Z: 1}})
		}},
		{"limits", true, func(b *design.Brief) {
			b.Targets.Range, b.Targets.PriceMax, b.Donor.Ratings.AxleRear = 75e3, 1900, 480
		}},
		{"what a bay carries", true, func(b *design.Brief) { b.Bays[0].MassLimit -= 12 }},
		{"a bay is wider", false, func(b *design.Brief) { b.Bays[0].Boxes[0].Size.Y += 40 * unit.Millimetre }},
		{"a bay stands further back", false, func(b *design.Brief) { b.Bays[0].At.X += 50 * unit.Millimetre }},
		{"and as it was", true, func(*design.Brief) {}},
	}
	memory := new(Memory)
	for _, e := range edits {
		b := cart(t)
		e.edit(b)
		f := frame(t, b)
		if asked := sameWithMemory(t, e.name, f, memory, Options{Universe: small, Top: 100}); (asked == 0) != e.knows {
			t.Errorf("%s: the search made %d surveys; known already: want %t", e.name, asked, e.knows)
		}
	}
}

// sameWithMemory compares a search, and one option of it alone, with and without
// the memory. It returns how many surveys the search made.
func sameWithMemory(t *testing.T, name string, f *design.Frame, memory *Memory, o Options) (asked int) {
	t.Helper()
	before := len(memory.kept)
	_, cold := searched(t, f, o)
	o.Memory = memory
	_, warm := searched(t, f, o)
	asked = len(memory.kept) - before
	if d := cmp.Diff(digest(t, f, cold), digest(t, f, warm)); d != "" {
		t.Fatalf("%s: with a memory (+) differs from without (-):\n%s", name, d)
	}
	if places(t, cold) != places(t, warm) {
		t.Fatalf("%s: modules stand elsewhere with a memory", name)
	}
	if len(cold.Packs) == 0 {
		return asked
	}
	id := cold.Packs[0].ID
	alone, err := Find(f, id)
	if err != nil {
		t.Fatal(err)
	}
	again, err := memory.Find(f, id)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(Place(f, alone).Places, Place(f, again).Places); d != "" || alone.Figures != again.Figures {
		t.Errorf("%s: %s found with a memory differs: %+v, %+v\n%s", name, id, again.Figures, alone.Figures, d)
	}
	return asked
}

// TestASecondLookOfAnotherSearchIsNotTaken: a search for which a second look was
// due leaves its outcome in the memory; one for which none is due goes by
// the first look, as without a memory.
func TestASecondLookOfAnotherSearchIsNotTaken(t *testing.T) {
	t.Parallel()
	memory := new(Memory)
	o := Options{Universe: Universe{Modules: 7}, Top: 100}
	for _, price := range []float64{0, 900} { // with a low limit of price most break more than space
		b := hard(t)
		b.Targets.PriceMax = price
		sameWithMemory(t, "hard bay", frame(t, b), memory, o)
	}
	deep := 0
	for _, r := range memory.kept {
		deep += len(r.found.deep)
	}
	if deep == 0 {
		t.Error("no second look was due: nothing to see here")
	}
}

// TestACancelledSurveyIsNotKept: a survey cut short knows too little.
func TestACancelledSurveyIsNotKept(t *testing.T) {
	t.Parallel()
	ctx, stop := context.WithCancel(t.Context())
	stop()
	memory := new(Memory)
	if _, err := Run(ctx, frame(t, cart(t)), Options{Universe: small, Memory: memory}); err == nil {
		t.Fatal("a cancelled search has a result")
	}
	if len(memory.kept) != 0 {
		t.Errorf("%d surveys kept", len(memory.kept))
	}
}

func TestMemoryIsBounded(t *testing.T) {
	t.Parallel()
	memory := new(Memory)
	b := cart(t)
	kind := newPlacer(frame(t, b)).kindOf(lotKey{0, design.Regrouped})
	for i := range 2 * memoryMost {
		b.Bays[0].At.X = unit.Length(i) * unit.Millimetre
		memory.survey(t.Context(), newShelf(&b.Bays[0], kind), []int{3})
	}
	if len(memory.kept) != memoryMost {
		t.Errorf("%d surveys kept, want %d", len(memory.kept), memoryMost)
	}
}
