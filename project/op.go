package project

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strings"

	"packyard/internal/sheet"
)

// ErrOp says that a change is not of a form that can be made.
var ErrOp = errors.New("is not a change of a project file")

// Kinds of change.
const (
	OpSet    = "set"
	OpInsert = "insert"
	OpDelete = "delete"
)

// Op is one change of packyard.yaml, in words as the builder writes them.
type Op struct {
	Kind  string          `json:"op"`              // "set", "insert", "delete"
	Path  string          `json:"path"`            // "donor.added[2].mass"
	Text  string          `json:"text,omitempty"`  // of set: "560 lb"
	Value json.RawMessage `json:"value,omitempty"` // of insert: texts, lists and mappings of texts
}

// Bounds of one change; a bay with many keep-outs is far below (common practice).
const (
	OpsMax   = 500
	textMax  = 4096
	depthMax = 8
)

// apply returns data with the changes made one after the other.
func apply(data []byte, ops []Op) ([]byte, error) {
	if len(ops) == 0 || len(ops) > OpsMax {
		return nil, fmt.Errorf("%d changes: %w: 1 to %d at once are accepted", len(ops), ErrOp, OpsMax)
	}
	for _, o := range ops {
		var err error
		switch {
		case len(o.Text) > textMax:
			return nil, fmt.Errorf("%s: %w: %d bytes of text, at most %d are accepted", o.Path, ErrOp, len(o.Text), textMax)
		case o.Kind == OpSet && o.Value == nil:
			data, err = sheet.Set(data, o.Path, o.Text)
		case o.Kind == OpInsert && o.Text == "":
			var words string
			if words, err = fragment(o.Value); err == nil {
				data, err = sheet.Insert(data, o.Path, words)
			}
		case o.Kind == OpDelete && o.Text == "" && o.Value == nil:
			data, err = sheet.Delete(data, o.Path)
		default:
			err = fmt.Errorf("%s: %q %w: set with a text, insert with a value and delete are accepted", o.Path, o.Kind, ErrOp)
		}
		if err != nil {
			return nil, err
		}
	}
	return data, nil
}

// flowMax is the length up to which a mapping is written on one line, as the
// lines of a ledger are.
const flowMax = 110

// fragment writes a JSON value of texts, lists and mappings as YAML: on one
// line where it is short, else one key a line.
func fragment(value json.RawMessage) (string, error) {
	d := json.NewDecoder(bytes.NewReader(value))
	d.UseNumber()
	n, err := readNode(d, 0)
	if err != nil {
		return "", fmt.Errorf("value %w: %w", ErrOp, err)
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return "", fmt.Errorf("value %w: more than one", ErrOp)
	}
	if line := n.flow(); len(n.keys) == 0 || len([]rune(line)) <= flowMax {
		return line, nil
	}
	var b strings.Builder
	for i, k := range n.keys {
		fmt.Fprintf(&b, "%s: %s\n", plain(k), n.items[i].flow())
	}
	return b.String(), nil
}

// node is a value on its way from JSON to YAML; keys are in the order given.
type node struct {
	text  string
	list  bool
	keys  []string // of a mapping
	items []node
}

func readNode(d *json.Decoder, depth int) (node, error) {
	t, err := d.Token()
	if err != nil {
		return node{}, fmt.Errorf("does not read: %w", err)
	}
	if depth > depthMax {
		return node{}, fmt.Errorf("is nested deeper than %d", depthMax)
	}
	switch t := t.(type) {
	case string:
		if len(t) > textMax {
			return node{}, fmt.Errorf("has a text of %d bytes, at most %d are accepted", len(t), textMax)
		}
		return node{text: t}, nil
	case json.Delim:
		n := node{list: t == '['}
		for d.More() {
			if !n.list {
				key, err := d.Token()
				if err != nil {
					return n, fmt.Errorf("does not read: %w", err)
				}
				n.keys = append(n.keys, key.(string)) // the decoder accepts no other key
			}
			item, err := readNode(d, depth+1)
			if err != nil {
				return n, err
			}
			n.items = append(n.items, item)
		}
		_, err := d.Token() // the closing bracket
		if err == nil && len(n.items) == 0 {
			err = errors.New("has an empty list or mapping")
		}
		return n, err
	}
	return node{}, fmt.Errorf("holds %v: texts such as \"39 kg\" are accepted", t)
}

func (n node) flow() string {
	if n.items == nil {
		return plain(n.text)
	}
	parts := make([]string, len(n.items))
	for i, it := range n.items {
		parts[i] = it.flow()
		if !n.list {
			parts[i] = plain(n.keys[i]) + ": " + parts[i]
		}
	}
	if n.list {
		return "[" + strings.Join(parts, ", ") + "]"
	}
	return "{" + strings.Join(parts, ", ") + "}"
}

// bare is a text that YAML reads as itself without quotes, inside brackets too.
var bare = regexp.MustCompile(`^(?:-?[0-9]|[\pL])(?:[\pL\pN._/%°·²³±+()-]| [\pL\pN._/%°·±+()-])*$`)

// plain writes a text so that YAML reads it as it is.
func plain(text string) string {
	if bare.MatchString(text) && !strings.EqualFold(text, "null") {
		return text
	}
	quoted, err := json.Marshal(text) // a JSON string is a YAML string
	if err != nil {
		return `""` // a string always marshals
	}
	return string(quoted)
}
