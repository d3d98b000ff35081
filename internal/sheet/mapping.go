package sheet

import (
	"fmt"
	"reflect"
	"strings"

	"go.yaml.in/yaml/v4"
)

// mapping reads the keys of n, which is a mapping or empty, into struct v.
func (d *decoder) mapping(n *yaml.Node, v reflect.Value, path string) {
	s := shapeOf(v.Type())
	if s.pos != nil {
		v.FieldByIndex(s.pos).Set(reflect.ValueOf(d.pos(n)))
	}
	seen := map[string]*yaml.Node{}
	meant := map[string]bool{} // keys that a misspelt one stands for
	pairs := n.Content
	for i := 0; i+1 < len(pairs); i += 2 {
		key, value := pairs[i], pairs[i+1]
		if key.Kind != yaml.ScalarNode {
			d.fault(key, path, "a key is one word", "%s stands where a key belongs", map[bool]string{true: "a list", false: "a mapping"}[key.Kind == yaml.SequenceNode])
			continue
		}
		at := join(path, key.Value)
		if first, twice := seen[key.Value]; twice {
			d.fault(key, at, fmt.Sprintf("the first is in line %d; keep one", first.Line), "is written twice")
			continue
		}
		seen[key.Value] = key
		f, known := s.find(key.Value)
		if !known {
			near := d.unknownKey(key, value, s, path)
			meant[near] = true
			continue
		}
		if i+3 < len(pairs) && n.Style&yaml.FlowStyle != 0 && isNull(pairs[i+3]) && commaSplit(value, pairs[i+2]) && isQuantity(f.typ) {
			joined := *value
			joined.Value += "," + pairs[i+2].Value
			value = &joined
			i += 2
		}
		d.value(value, v.FieldByIndex(f.index), f, at)
	}
	for _, f := range s.fields {
		if f.required && seen[f.name] == nil && !meant[f.name] {
			hint := accepted(f.typ)
			if f.doc != "" {
				hint = f.doc + "; " + hint
			}
			d.fault(n, join(path, f.name), hint, "is missing")
		}
	}
}

// unknownKey records a key that the struct does not have and returns the one
// that was meant, if any.
func (d *decoder) unknownKey(key, value *yaml.Node, s shape, path string) string {
	owner := path
	if owner == "" {
		owner = "this file"
	}
	near := Nearest(strings.ToLower(strings.ReplaceAll(key.Value, "-", "_")), s.names())
	hint := "did you mean " + near + "?"
	if near == "" {
		hint = "known here: " + strings.Join(s.names(), ", ")
	}
	d.fault(key, join(path, key.Value), hint, "%q is not a key of %s", clipText(key.Value), owner)
	return near
}
