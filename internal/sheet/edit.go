package sheet

import (
	"errors"
	"fmt"
	"slices"

	"go.yaml.in/yaml/v4"

	"packyard/check"
)

// Errors of editing; the data stay as they were.
var (
	ErrPath     = errors.New("not a path of this file")
	ErrFragment = errors.New("not one YAML value")
	ErrEdit     = errors.New("the edit would not read back as meant; change the file by hand")
)

// Set returns data with the value at path replaced by text, in quotes only
// where it needs them or had them. Keys at the end of path that are not there
// yet are added, and so is a list item one past the last. Everything else of
// the file stays byte for byte.
//
// Errors: ErrPath, ErrEdit, or *check.Problems when data cannot be read.
func Set(data []byte, path, text string) ([]byte, error) {
	s, steps, err := start(data, path)
	if err != nil {
		return nil, err
	}
	parent, rest := s.root, steps
	for len(rest) > 0 {
		key, value, ok := child(parent, rest[0])
		if !ok {
			break
		}
		if len(rest) == 1 {
			return s.replace(path, parent, key, value, text)
		}
		if isNull(value) {
			break
		}
		parent, rest = value, rest[1:]
	}
	value := &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Value: text}
	if text == "" {
		value.Style = yaml.SingleQuotedStyle
	}
	return s.add(path, steps, value)
}

// Insert returns data with fragment, one YAML value, added: to the end of the
// list at path, or under the new key that path ends with.
//
// Errors: ErrPath (also when the key is there already), ErrFragment, ErrEdit,
// or *check.Problems when data cannot be read.
func Insert(data []byte, path, fragment string) ([]byte, error) {
	s, steps, err := start(data, path)
	if err != nil {
		return nil, err
	}
	value, err := parseFragment(fragment)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	n := s.root
	for i, st := range steps {
		_, next, ok := child(n, st)
		switch {
		case !ok:
			return s.add(path, steps, value)
		case i == len(steps)-1 && next.Kind == yaml.SequenceNode:
			return s.add(path, append(slices.Clone(steps), step{index: len(next.Content)}), value)
		case i == len(steps)-1 && isNull(next):
			return s.add(path, append(slices.Clone(steps), step{}), value)
		case i == len(steps)-1:
			return nil, fmt.Errorf("%s: %w: it is there already and is not a list", path, ErrPath)
		}
		n = next
	}
	return nil, fmt.Errorf("%s: %w", path, ErrPath)
}

func parseFragment(fragment string) (*yaml.Node, error) {
	var probs check.Problems
	n := load("", []byte(fragment), &probs)
	if n == nil {
		return nil, fmt.Errorf("%w: %s", ErrFragment, probs.List[0].Message)
	}
	d := decoder{probs: &probs}
	if !d.plainYAML(n, "") || n.Kind == yaml.MappingNode && len(n.Content) == 0 && n.Style&yaml.FlowStyle == 0 {
		return nil, fmt.Errorf("%w: a value, a list or a mapping is accepted", ErrFragment)
	}
	return n, nil
}

// Delete returns data without the key or list item at path, without the lines
// it stood on and the comments on those lines. Comments on lines of their own
// before and after it stay.
//
// Errors: ErrPath, ErrEdit, or *check.Problems when data cannot be read.
func Delete(data []byte, path string) ([]byte, error) {
	s, steps, err := start(data, path)
	if err != nil {
		return nil, err
	}
	holders := []*yaml.Node{s.root}
	for _, st := range steps {
		_, next, ok := child(holders[len(holders)-1], st)
		if !ok {
			return nil, fmt.Errorf("%s: %w", path, ErrPath)
		}
		holders = append(holders, next)
	}
	return s.remove(path, holders[:len(holders)-1], holders[len(holders)-1])
}

func start(data []byte, path string) (*source, []step, error) {
	steps, err := parsePath(path)
	if err != nil {
		return nil, nil, err
	}
	s, err := open(data)
	return s, steps, err
}

// splice returns the file with [from, to) replaced, after reading it back and
// comparing it with the tree that was meant.
func (s *source) splice(path string, from, to int, text string, meant *yaml.Node) ([]byte, error) {
	if from < 0 || to < from || to > len(s.data) {
		return nil, fmt.Errorf("%s: %w", path, ErrEdit)
	}
	out := slices.Concat(s.data[:from], []byte(text), s.data[to:])
	var probs check.Problems
	got := load("", out, &probs)
	if got == nil || !same(got, meant) {
		return nil, fmt.Errorf("%s: %w", path, ErrEdit)
	}
	return out, nil
}

// same compares two trees by structure and text, not by layout. An empty value
// is not the same as a text.
func same(a, b *yaml.Node) bool {
	if a.Kind != b.Kind || a.Value != b.Value || isNull(a) != isNull(b) || len(a.Content) != len(b.Content) {
		return false
	}
	for i := range a.Content {
		if !same(a.Content[i], b.Content[i]) {
			return false
		}
	}
	return true
}

// with returns a copy of the tree in which node old is replaced by new.
func with(n, old, new *yaml.Node) *yaml.Node {
	if n == old {
		return new
	}
	out := *n
	out.Content = make([]*yaml.Node, len(n.Content))
	for i, c := range n.Content {
		out.Content[i] = with(c, old, new)
	}
	return &out
}

// replace sets the text of the value that is there.
func (s *source) replace(path string, parent, key, old *yaml.Node, text string) ([]byte, error) {
	if old.Kind != yaml.ScalarNode {
		return nil, fmt.Errorf("%s: %w: a %s stands there", path, ErrPath, map[bool]string{true: "list", false: "mapping"}[old.Kind == yaml.SequenceNode])
	}
	value := &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Value: text, Style: old.Style & (yaml.SingleQuotedStyle | yaml.DoubleQuotedStyle)}
	if text == "" && value.Style == 0 {
		value.Style = yaml.SingleQuotedStyle
	}
	meant := with(s.root, old, value)
	words := quote(text, value.Style)
	if isNull(old) && old.Value == "" {
		at, before, err := s.emptyPlace(path, parent, key, old)
		if err != nil {
			return nil, err
		}
		return s.splice(path, at, at, before+words, meant)
	}
	from := s.offset(old)
	to, err := s.end(old)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	if old.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0 {
		// A comment after the | stays behind the new text.
		header := s.data[from:s.lineEnd(from)]
		if i := slices.Index(header, '#'); i > 0 {
			words += " " + string(header[i:])
		}
	}
	return s.splice(path, from, to, words, meant)
}

// emptyPlace returns where the value of an empty key or item is to be written
// and what belongs in front of it.
func (s *source) emptyPlace(path string, parent, key, old *yaml.Node) (int, string, error) {
	if key == nil {
		at := s.offset(old)
		if parent.Style&yaml.FlowStyle != 0 {
			return at, "", nil
		}
		return at, " ", nil
	}
	at, err := s.end(key)
	if err != nil {
		return 0, "", fmt.Errorf("%s: %w", path, err)
	}
	colon := at
	for colon < len(s.data) && (s.data[colon] == ' ' || s.data[colon] == '\t') {
		colon++
	}
	if colon < len(s.data) && s.data[colon] == ':' {
		return colon + 1, " ", nil
	}
	return at, ": ", nil // "{a, b}": keys without a colon
}
