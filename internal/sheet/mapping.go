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
		if tail := commaTail(n, i); !known && tail > 0 {
			d.commaText(n, i, tail, path)
			i += 2 * (tail - 1)
			continue
		}
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

// commaTail returns how many keys without a value begin at i inside braces,
// behind a plain text: "{name: pump, fan, mass: 3 kg}" has one, fan.
func commaTail(n *yaml.Node, i int) int {
	if n.Style&yaml.FlowStyle == 0 || i == 0 || n.Content[i-1].Kind != yaml.ScalarNode || n.Content[i-1].Style != 0 || isNull(n.Content[i-1]) {
		return 0
	}
	count := 0
	for i+1 < len(n.Content) && n.Content[i].Kind == yaml.ScalarNode && isNull(n.Content[i+1]) && n.Content[i+1].Value == "" {
		count++
		i += 2
	}
	return count
}

// commaText records a text with commas that YAML took for several keys.
func (d *decoder) commaText(n *yaml.Node, i, tail int, path string) {
	var words strings.Builder
	words.WriteString(n.Content[i-1].Value)
	for k := range tail {
		words.WriteString(", " + n.Content[i+2*k].Value)
	}
	key := n.Content[i]
	d.fault(key, join(path, key.Value), "if the comma belongs to the text, write it in quotes: "+doubleQuoted(clipText(words.String())), "%q is not a key and has no value", clipText(key.Value))
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
