package sheet

import (
	"encoding/json"
	"fmt"
	"reflect"
	"regexp"
	"strings"

	"github.com/invopop/jsonschema"

	"packyard/check"
	"packyard/unit"
)

// Schema returns a JSON Schema (draft 2020-12), indented, of the files that
// Decode reads into v, a struct or a pointer to one. Editors complete keys and
// mark faults by it. It knows the form of a file; ranges and what contradicts
// what are left to Decode and its caller.
func Schema(title string, v any) []byte {
	t := reflect.TypeOf(v)
	if t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	b := schemaBuilder{defs: jsonschema.Definitions{}}
	s := b.object(t)
	s.Version = jsonschema.Version
	s.Title = title
	s.Definitions = b.defs
	var raw strings.Builder
	enc := json.NewEncoder(&raw)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(s); err != nil {
		panic("sheet: schema of " + t.String() + ": " + err.Error())
	}
	return []byte(raw.String())
}

type schemaBuilder struct{ defs jsonschema.Definitions }

func (b *schemaBuilder) object(t reflect.Type) *jsonschema.Schema {
	s := &jsonschema.Schema{Type: "object", Properties: jsonschema.NewProperties(), AdditionalProperties: jsonschema.FalseSchema}
	for _, f := range shapeOf(t).fields {
		p := b.value(f.typ, f)
		if p.Ref != "" || p.Description == "" {
			p.Description = sentence(f)
		}
		s.Properties.Set(f.name, p)
		if f.required {
			s.Required = append(s.Required, f.name)
		}
	}
	return s
}

// sentence is the description of a key: what it is, and its plausible range.
func sentence(f field) string {
	s := f.doc
	if f.bounds == "" {
		return s
	}
	low, high, _ := strings.Cut(strings.TrimPrefix(f.bounds, ">"), "..")
	word := "from"
	if strings.HasPrefix(f.bounds, ">") {
		word = "above"
	}
	if s != "" {
		s += "; "
	}
	return fmt.Sprintf("%s%s %s to %s", s, word, low, high)
}

func (b *schemaBuilder) value(t reflect.Type, f field) *jsonschema.Schema {
	if isLeaf(t) {
		return b.leaf(t, f)
	}
	switch t.Kind() {
	case reflect.Pointer:
		return b.value(t.Elem(), f)
	case reflect.Struct:
		return b.object(t)
	case reflect.Slice:
		// An empty list may be written as nothing behind the colon.
		return &jsonschema.Schema{Items: b.value(t.Elem(), field{oneof: f.oneof}), Extras: map[string]any{"type": []string{"array", "null"}}}
	case reflect.Array:
		n := uint64(t.Len())
		return &jsonschema.Schema{Type: "array", Items: b.value(t.Elem(), field{oneof: f.oneof}), MinItems: &n, MaxItems: &n}
	}
	panic("sheet: no file holds a " + t.String())
}

func (b *schemaBuilder) leaf(t reflect.Type, f field) *jsonschema.Schema {
	v := reflect.New(t).Interface()
	if q, ok := v.(quantity); ok {
		return b.quantity(v.(leaf).Noun(), q.Spellings())
	}
	switch v.(type) {
	case *check.Count:
		return &jsonschema.Schema{Type: "integer"}
	case *check.Flag:
		return &jsonschema.Schema{Enum: []any{true, false, "yes", "no"}}
	case *check.Price:
		return &jsonschema.Schema{Type: "string", Pattern: `^[0-9]+(\.[0-9]+)? +[A-Z]{3}$`, Examples: []any{"120 EUR"}}
	}
	if len(f.oneof) > 0 {
		s := &jsonschema.Schema{}
		for _, w := range f.oneof {
			s.Enum = append(s.Enum, w)
		}
		return s
	}
	return &jsonschema.Schema{Extras: map[string]any{"type": []string{"string", "number", "boolean"}}}
}

// quantity defines the pattern of a quantity once and refers to it.
func (b *schemaBuilder) quantity(noun string, rows []unit.Row) *jsonschema.Schema {
	name := strings.ReplaceAll(noun, " ", "-")
	if _, ok := b.defs[name]; !ok {
		text := &jsonschema.Schema{Type: "string", Pattern: pattern(rows)}
		d := text
		if rows[0].Spelling == "1" {
			d = &jsonschema.Schema{AnyOf: []*jsonschema.Schema{{Type: "number"}, text}}
		}
		d.Description = article(noun) + " in " + spellings(rows)
		b.defs[name] = d
	}
	return &jsonschema.Schema{Ref: "#/$defs/" + name}
}

// pattern returns a regular expression for the grammar of a quantity: terms,
// perhaps with a tolerance, or a range. It is as strict as the reader about
// units and looser about signs and sums.
func pattern(rows []unit.Row) string {
	const number = `[+−-]? *([0-9]+ +[0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9]+([.][0-9]+)?([eE][+-]?[0-9]+)?)`
	var words []string
	optional := ""
	for _, r := range rows {
		if r.Spelling == "1" {
			optional = "?"
			continue
		}
		words = append(words, regexp.QuoteMeta(r.Spelling))
	}
	word := "(" + strings.Join(words, "|") + ")"
	term := number + " *" + word + optional
	spread := `( *(±|[+]/-) *` + number + ` *(` + strings.Join(append(words, "%"), "|") + `)` + optional + `( *max)?)?`
	return `^ *(` + term + ` *)+` + spread + ` *$|^ *` + number + ` *` + word + `? *(…|[.][.]+) *` + term + ` *$`
}

// ToJSON returns the document in data as JSON, in the form in which an editor
// holds it against a schema: numbers and yes or no by the rules of YAML.
func ToJSON(data []byte) ([]byte, error) {
	var probs check.Problems
	root := load("", data, &probs)
	if root == nil {
		return nil, &probs
	}
	d := decoder{probs: &probs}
	if !d.plainYAML(root, "") {
		return nil, &probs
	}
	var v any
	if err := root.Decode(&v); err != nil {
		return nil, err
	}
	return json.Marshal(v)
}
