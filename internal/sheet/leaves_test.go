package sheet_test

import (
	"slices"
	"testing"

	"packyard/check"
	"packyard/internal/sheet"
	"packyard/unit"
)

type leafItem struct {
	Name check.Text                  `sheet:"name,required" doc:"what it is"`
	At   [2]check.Given[unit.Length] `sheet:"at" range:"0 m..2 m"`
}

type leafDoc struct {
	Title check.Text             `sheet:"title,required" oneof:"a,b"`
	Mass  check.Given[unit.Mass] `sheet:"mass" range:">0 kg..9 t"`
	Yes   check.Flag             `sheet:"yes"`
	Many  check.Count            `sheet:"many"`
	Cost  check.Price            `sheet:"cost"`
	Inner *leafItem              `sheet:"inner"`
	Items []leafItem             `sheet:"items"`
}

func TestLeavesListEveryValueGivenOrNot(t *testing.T) {
	t.Parallel()
	const text = "title: a\nmass: 560 lb ± 2 lb\nmany: 3\ncost: 12 EUR\nitems:\n  - {name: x, at: [1 m, 2 in]}\n"
	var doc leafDoc
	var probs check.Problems
	if !sheet.Decode("f.yaml", []byte(text), &doc, &probs) || probs.Any() {
		t.Fatal(probs.List)
	}
	leaves, forms := sheet.Leaves(&doc)
	var paths []string
	by := map[string]sheet.Leaf{}
	for _, l := range leaves {
		paths = append(paths, l.Path)
		by[l.Path] = l
	}
	want := []string{"title", "mass", "yes", "many", "cost", "inner.name", "inner.at[0]", "inner.at[1]", "items[0].name", "items[0].at[0]", "items[0].at[1]"}
	if !slices.Equal(paths, want) {
		t.Fatalf("got %v, want %v", paths, want)
	}
	m := by["mass"]
	pound := 0.45359237 // NIST SP 811, Appendix B
	if m.Text != "560 lb ± 2 lb" || !m.Given || m.Pos.Line != 2 || m.Value.Symbol != "kg" || m.Value.SI != 560*pound || m.Spread != 2*pound || m.Bounds != ">0 kg..9 t" || !slices.Contains(m.Accepted, "lb") {
		t.Errorf("mass: %+v", m)
	}
	if l := by["yes"]; l.Given || l.Text != "" || l.Noun != "yes or no" {
		t.Errorf("yes: %+v", l)
	}
	if l := by["many"]; l.Text != "3" || l.Value.SI != 3 {
		t.Errorf("many: %+v", l)
	}
	if l := by["cost"]; l.Text != "12 EUR" || l.Value.Symbol != "EUR" {
		t.Errorf("cost: %+v", l)
	}
	if l := by["items[0].at[1]"]; l.Text != "2 in" || l.Value.SI != 0.0508 {
		t.Errorf("at: %+v", l)
	}
	if l := by["title"]; !l.Required || !slices.Equal(l.OneOf, []string{"a", "b"}) {
		t.Errorf("title: %+v", l)
	}
	if len(forms) != 1 || forms[0].Path != "items" || forms[0].Count != 1 || len(forms[0].Item) != 3 || forms[0].Item[1].Path != "at[0]" {
		t.Errorf("forms: %+v", forms)
	}
}
