package sheet

import (
	"reflect"
	"strings"

	"packyard/check"
	"packyard/unit"
)

// leaf is a value that reads itself from its words.
type leaf interface {
	ReadText(text string, pos check.Pos) error
	Noun() string
}

// ranged is a leaf with a plausible range.
type ranged interface{ Plausible(bounds string) error }

// quantity is a leaf with a unit.
type quantity interface {
	Spellings() []unit.Row
	Ends(bounds string) check.Span
}

// field is one key of a struct.
type field struct {
	name     string
	required bool
	index    []int
	typ      reflect.Type
	bounds   string
	oneof    []string
	doc      string
}

// shape is what a struct accepts.
type shape struct {
	fields []field
	pos    []int // index of the check.Pos of the mapping, nil if none
}

var (
	leafType = reflect.TypeFor[leaf]()
	posType  = reflect.TypeFor[check.Pos]()
)

// shapeOf reads the tags of struct type t. Panics if a tag is malformed or a
// name occurs twice: that is a mistake of the programmer.
func shapeOf(t reflect.Type) shape {
	var s shape
	s.add(t, nil)
	seen := map[string]bool{}
	for _, f := range s.fields {
		if seen[f.name] {
			panic("sheet: key " + f.name + " twice in " + t.String())
		}
		seen[f.name] = true
	}
	return s
}

func (s *shape) add(t reflect.Type, at []int) {
	for i := range t.NumField() {
		sf := t.Field(i)
		index := append(append([]int(nil), at...), i)
		if sf.Anonymous && sf.Type.Kind() == reflect.Struct {
			s.add(sf.Type, index)
			continue
		}
		tag, ok := sf.Tag.Lookup("sheet")
		if !ok {
			continue
		}
		name, option, _ := strings.Cut(tag, ",")
		if option == "pos" {
			if sf.Type != posType || name != "" {
				panic("sheet: " + t.String() + "." + sf.Name + ": a pos field is a check.Pos without a name")
			}
			s.pos = index
			continue
		}
		if name == "" || option != "" && option != "required" {
			panic("sheet: " + t.String() + "." + sf.Name + ": tag " + tag)
		}
		f := field{name: name, required: option == "required", index: index, typ: sf.Type, bounds: sf.Tag.Get("range"), doc: sf.Tag.Get("doc")}
		if words := sf.Tag.Get("oneof"); words != "" {
			f.oneof = strings.Split(words, ",")
		}
		s.fields = append(s.fields, f)
	}
}

func (s shape) find(name string) (field, bool) {
	for _, f := range s.fields {
		if f.name == name {
			return f, true
		}
	}
	return field{}, false
}

func (s shape) names() []string {
	names := make([]string, len(s.fields))
	for i, f := range s.fields {
		names[i] = f.name
	}
	return names
}

// isLeaf reports whether a pointer to t reads itself.
func isLeaf(t reflect.Type) bool { return reflect.PointerTo(t).Implements(leafType) }

// nounOf says in words what belongs into a place of type t.
func nounOf(t reflect.Type) string {
	if isLeaf(t) {
		return reflect.New(t).Interface().(leaf).Noun()
	}
	switch t.Kind() {
	case reflect.Slice, reflect.Array:
		return "list"
	case reflect.Pointer:
		return nounOf(t.Elem())
	default:
		return "mapping"
	}
}

// accepted says how a value of type t is written.
func accepted(t reflect.Type) string {
	noun := nounOf(t)
	if isLeaf(t) {
		v := reflect.New(t).Interface()
		if q, ok := v.(quantity); ok {
			return article(noun) + " is written in " + spellings(q.Spellings())
		}
		switch v.(type) {
		case *check.Price:
			return "a price is written as an amount and a currency of three letters, such as 120 EUR"
		case *check.Flag:
			return "yes or no is accepted"
		case *check.Count:
			return "a whole number is accepted"
		}
		return article(noun) + " is accepted"
	}
	switch t.Kind() {
	case reflect.Array:
		return "a list such as [a, b, c] is accepted"
	case reflect.Slice:
		return "a list is accepted, one entry a line after a dash"
	case reflect.Pointer:
		return accepted(t.Elem())
	}
	return "keys with values are accepted: " + strings.Join(shapeOf(t).names(), ", ")
}

// spellings lists the spellings without aliases: "kg, g, lb or oz". A ratio
// may be written as a bare number.
func spellings(rows []unit.Row) string {
	var names []string
	for _, r := range rows {
		switch {
		case r.Alias:
		case r.Spelling == "1":
			names = append(names, "a bare number")
		default:
			names = append(names, r.Spelling)
		}
	}
	return orList(names)
}

func orList(names []string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:len(names)-1], ", ") + " or " + names[len(names)-1]
}

func article(noun string) string {
	if noun != "" && strings.ContainsRune("aeiou", rune(noun[0])) {
		return "an " + noun
	}
	if noun == "yes or no" {
		return noun
	}
	return "a " + noun
}
