package sheet

import (
	"fmt"
	"reflect"
	"strconv"

	"packyard/check"
	"packyard/unit"
)

// Leaf is one value of a file: what was written there, if anything, and what is
// accepted.
type Leaf struct {
	Path     string
	Text     string // as written; "" when not given
	Given    bool
	Pos      check.Pos
	Value    check.Figure // of a quantity that was given
	Spread   float64      // of Value, in the SI unit of a difference; zero: none stated
	Kind     unit.SpreadKind
	Ends     check.Span // of Bounds, in the SI unit of Value; both zero: none
	Required bool
	Bounds   string   // plausible range, as in the tag
	OneOf    []string // words that are accepted
	Doc      string
	Noun     string   // "mass", "text", "whole number", …
	Accepted []string // spellings of the unit, without aliases
}

// Form is a list of mappings of a file: how many there are, and the leaves of
// an entry, with paths inside it.
type Form struct {
	Path  string
	Count int
	Item  []Leaf
}

// Leaves returns every value of v, a struct with tags or a pointer to one, in
// the order of its fields: those of mappings that were not written too, but of
// lists only the entries that are there. forms holds the lists of mappings,
// those inside entries included.
func Leaves(v any) (leaves []Leaf, forms []Form) {
	w := leafWalk{}
	rv := reflect.ValueOf(v)
	for rv.Kind() == reflect.Pointer {
		rv = rv.Elem()
	}
	w.structure("", rv)
	return w.leaves, w.forms
}

type leafWalk struct {
	leaves []Leaf
	forms  []Form
}

func (w *leafWalk) structure(at string, v reflect.Value) {
	for _, f := range shapeOf(v.Type()).fields {
		path := f.name
		if at != "" {
			path = at + "." + f.name
		}
		w.value(path, v.FieldByIndex(f.index), f)
	}
}

func (w *leafWalk) value(path string, v reflect.Value, f field) {
	switch {
	case isLeaf(v.Type()):
		w.leaves = append(w.leaves, leafOf(path, v, f))
	case v.Kind() == reflect.Pointer && v.IsNil():
		w.value(path, reflect.New(v.Type().Elem()).Elem(), f)
	case v.Kind() == reflect.Pointer:
		w.value(path, v.Elem(), f)
	case v.Kind() == reflect.Struct:
		w.structure(path, v)
	case v.Kind() == reflect.Array:
		for i := range v.Len() {
			w.value(fmt.Sprintf("%s[%d]", path, i), v.Index(i), f)
		}
	case v.Kind() == reflect.Slice:
		if elem := v.Type().Elem(); elem.Kind() == reflect.Struct && !isLeaf(elem) {
			item := leafWalk{}
			item.structure("", reflect.New(elem).Elem())
			w.forms = append(w.forms, Form{Path: path, Count: v.Len(), Item: item.leaves})
		}
		for i := range v.Len() {
			w.value(fmt.Sprintf("%s[%d]", path, i), v.Index(i), f)
		}
	}
}

// leafOf reads a value that reads itself from its words.
func leafOf(path string, v reflect.Value, f field) Leaf {
	l := Leaf{Path: path, Required: f.required, Bounds: f.bounds, OneOf: f.oneof, Doc: f.doc, Noun: nounOf(v.Type())}
	switch x := v.Interface().(type) {
	case check.Text:
		l.Text, l.Pos = x.Value, x.Pos
	case check.Count:
		l.Text, l.Pos = strconv.Itoa(x.Value), x.Pos
		l.Value = check.Number(float64(x.Value), l.Noun)
	case check.Flag:
		l.Text, l.Pos = "no", x.Pos
		if x.Value {
			l.Text = "yes"
		}
	case check.Price:
		l.Text, l.Pos = x.Text, x.Pos
		l.Value = check.Money(x.Amount, x.Currency)
	case quantity:
		for _, r := range x.Spellings() {
			if !r.Alias && r.Spelling != "1" {
				l.Accepted = append(l.Accepted, r.Spelling)
			}
		}
		// The fields of check.Given, whatever its quantity.
		l.Text, l.Pos = v.FieldByName("Text").String(), v.FieldByName("Pos").Interface().(check.Pos)
		l.Spread, l.Kind = v.FieldByName("Tol").Float(), unit.SpreadKind(v.FieldByName("Kind").Uint())
		if f.bounds != "" {
			l.Ends = x.Ends(f.bounds)
		}
		l.Value = check.Figure{SI: v.FieldByName("SI").Float(), Symbol: x.Spellings()[0].Spelling, Noun: l.Noun}
	}
	if l.Given = !l.Pos.IsZero(); !l.Given {
		l.Text, l.Value, l.Spread, l.Kind = "", check.Figure{}, 0, unit.NoSpread
	}
	return l
}

// Line returns the value, list or mapping at path in data as YAML on one line.
// ok is false when there is none or the file cannot be read.
func Line(data []byte, path string) (text string, ok bool) {
	n := walk(data, path)
	if n == nil {
		return "", false
	}
	return flow(n), true
}
