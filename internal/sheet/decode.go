package sheet

import (
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"packyard/check"
	"packyard/unit"
)

// Decode reads the one YAML document in data into the struct that dst points
// to, by the tags described at the package, and records every fault in probs.
// file is the name that positions carry. What could not be read stays zero,
// except that the text and place of a faulty value are kept. It returns false
// when the file could not be gone through at all, and dst is as it was.
//
// Panics if dst is not a pointer to a struct with tags of the right form.
func Decode(file string, data []byte, dst any, probs *check.Problems) bool {
	v := reflect.ValueOf(dst)
	if v.Kind() != reflect.Pointer || v.Elem().Kind() != reflect.Struct {
		panic(fmt.Sprintf("sheet: Decode into %T: a pointer to a struct is needed", dst))
	}
	root := load(file, data, probs)
	if root == nil {
		return false
	}
	d := decoder{file: file, probs: probs}
	if !d.plainYAML(root, "") {
		return false
	}
	d.value(root, v.Elem(), field{typ: v.Elem().Type()}, "")
	return root.Kind == yaml.MappingNode
}

type decoder struct {
	file  string
	probs *check.Problems
}

func (d *decoder) pos(n *yaml.Node) check.Pos {
	return check.Pos{File: d.file, Line: max(n.Line, 1), Col: max(n.Column, 1)}
}

func (d *decoder) fault(n *yaml.Node, path, hint, format string, args ...any) {
	if path == "" {
		path = whole
	}
	d.probs.Addf(d.pos(n), path, hint, format, args...)
}

// plainYAML reports whether the tree holds nothing but plain mappings, lists
// and values; what else it holds is recorded.
func (d *decoder) plainYAML(n *yaml.Node, path string) bool {
	ok := true
	refuse := func(what, hint string) {
		d.fault(n, path, hint, "%s", what)
		ok = false
	}
	switch {
	case n.Kind == yaml.AliasNode:
		refuse(fmt.Sprintf("%q refers to another place of the file", "*"+n.Value), "write the values out")
	case n.Anchor != "":
		refuse(fmt.Sprintf("%q names a place for reuse", "&"+n.Anchor), "take it out and write the values where they are needed")
	case n.Style&yaml.TaggedStyle != 0:
		refuse(fmt.Sprintf("%q is a YAML tag", n.Tag), "take it out: the key alone decides what a value is")
	case n.Tag == "!!merge":
		refuse(`"<<" merges another mapping`, "write the values out")
	}
	for i, c := range n.Content {
		at := path
		switch n.Kind {
		case yaml.SequenceNode:
			at = fmt.Sprintf("%s[%d]", path, i)
		case yaml.MappingNode:
			at = join(path, n.Content[i/2*2].Value)
		}
		ok = d.plainYAML(c, at) && ok
	}
	return ok
}

func join(path, key string) string {
	key = clipText(key)
	if path == "" {
		return key
	}
	return path + "." + key
}

// clipText keeps paths and messages readable when a key is absurdly long.
func clipText(s string) string {
	if r := []rune(s); len(r) > 60 {
		return string(r[:60]) + "…"
	}
	return s
}

func isNull(n *yaml.Node) bool {
	return n.Kind == yaml.ScalarNode && n.Tag == "!!null" && n.Style == 0
}

// value reads node n into v.
func (d *decoder) value(n *yaml.Node, v reflect.Value, f field, path string) {
	t := v.Type()
	switch {
	case isLeaf(t):
		d.leaf(n, v, f, path)
	case t.Kind() == reflect.Pointer && t.Elem().Kind() == reflect.Struct:
		v.Set(reflect.New(t.Elem()))
		d.value(n, v.Elem(), f, path)
	case t.Kind() == reflect.Struct:
		if n.Kind == yaml.MappingNode || isNull(n) {
			d.mapping(n, v, path)
			return
		}
		d.wrongKind(n, t, f, path)
	case t.Kind() == reflect.Slice:
		if n.Kind == yaml.SequenceNode {
			v.Set(reflect.MakeSlice(t, len(n.Content), len(n.Content)))
			d.items(n.Content, v, f, path)
		} else if !isNull(n) {
			d.wrongKind(n, t, f, path)
		}
	case t.Kind() == reflect.Array:
		d.array(n, v, f, path)
	default:
		panic("sheet: no file holds a " + t.String())
	}
}

func (d *decoder) wrongKind(n *yaml.Node, t reflect.Type, f field, path string) {
	found := map[yaml.Kind]string{yaml.MappingNode: "a mapping of keys", yaml.SequenceNode: "a list"}[n.Kind]
	if found == "" {
		found = strconv.Quote(clipText(n.Value))
	}
	d.fault(n, path, accepted(t), "%s stands where %s belongs", found, article(nounOf(t)))
}

func (d *decoder) leaf(n *yaml.Node, v reflect.Value, f field, path string) {
	if n.Kind != yaml.ScalarNode {
		d.wrongKind(n, v.Type(), f, path)
		return
	}
	if isNull(n) {
		d.fault(n, path, accepted(v.Type())+"; or take the line out", "has no value")
		return
	}
	text := n.Value
	if n.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0 {
		text = strings.TrimRight(text, "\n")
	}
	l := v.Addr().Interface().(leaf)
	if err := l.ReadText(text, d.pos(n)); err != nil {
		d.syntax(n, path, err)
		return
	}
	if r, ok := l.(ranged); ok && f.bounds != "" {
		if err := r.Plausible(f.bounds); err != nil {
			d.syntax(n, path, err)
			return
		}
	}
	if len(f.oneof) > 0 && !slices.Contains(f.oneof, text) {
		hint := orList(f.oneof) + " is accepted"
		if near := Nearest(text, f.oneof); near != "" {
			hint = "did you mean " + near + "?"
		}
		d.fault(n, path, hint, "%q is not one of %s", clipText(text), strings.Join(f.oneof, ", "))
	}
}

func (d *decoder) syntax(n *yaml.Node, path string, err error) {
	var s *unit.SyntaxError
	if !errors.As(err, &s) {
		d.fault(n, path, "", "%s", err.Error())
		return
	}
	d.fault(n, path, s.Hint, "%s", s.Found)
}

func (d *decoder) items(nodes []*yaml.Node, v reflect.Value, f field, path string) {
	item := f
	item.typ = v.Type().Elem()
	for i, c := range nodes {
		d.value(c, v.Index(i), item, fmt.Sprintf("%s[%d]", path, i))
	}
}

func (d *decoder) array(n *yaml.Node, v reflect.Value, f field, path string) {
	if n.Kind != yaml.SequenceNode {
		d.wrongKind(n, v.Type(), f, path)
		return
	}
	nodes := n.Content
	if isQuantity(v.Type().Elem()) {
		nodes = rejoin(n)
	}
	if len(nodes) != v.Len() {
		d.fault(n, path, fmt.Sprintf("write %d, such as [%s]", v.Len(), strings.Join(slices.Repeat([]string{nounOf(v.Type().Elem())}, v.Len()), ", ")),
			"holds %d values and not %d", len(nodes), v.Len())
		return
	}
	d.items(nodes, v, f, path)
}

func isQuantity(t reflect.Type) bool {
	_, ok := reflect.New(t).Interface().(quantity)
	return ok
}

// rejoin undoes what YAML makes of a decimal comma inside brackets: "[1,5 m]"
// arrives as "1" and "5 m". Two entries are one when no blank follows the
// comma and the first is a bare number; the quantity then says what is wrong.
func rejoin(n *yaml.Node) []*yaml.Node {
	var out []*yaml.Node
	for _, c := range n.Content {
		if len(out) > 0 && commaSplit(out[len(out)-1], c) {
			whole := *out[len(out)-1]
			whole.Value += "," + c.Value
			out[len(out)-1] = &whole
			continue
		}
		out = append(out, c)
	}
	return out
}

// commaSplit reports whether a and b were "39" and "5 kg" of one "39,5 kg".
func commaSplit(a, b *yaml.Node) bool {
	bare := strings.TrimLeft(a.Value, "+-")
	return a.Kind == yaml.ScalarNode && b.Kind == yaml.ScalarNode && a.Style == 0 && b.Style == 0 &&
		a.Line == b.Line && b.Column == a.Column+len(a.Value)+1 &&
		bare != "" && strings.Trim(bare, "0123456789") == "" && b.Value != "" && b.Value[0] >= '0' && b.Value[0] <= '9' &&
		strings.Trim(b.Value, "0123456789") != ""
}
