package sheet

import (
	"fmt"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"packyard/check"
)

// step is one part of a path: a key, or an index from 0 when key is empty.
type step struct {
	key   string
	index int
}

func (s step) String() string {
	if s.key == "" {
		return fmt.Sprintf("[%d]", s.index)
	}
	return s.key
}

// parsePath reads "donor.added[2].mass".
func parsePath(path string) ([]step, error) {
	var out []step
	rest := path
	for rest != "" {
		if rest[0] == '[' {
			number, after, ok := strings.Cut(rest[1:], "]")
			n, err := strconv.Atoi(number)
			if !ok || err != nil || n < 0 || n > NodesMax {
				return nil, fmt.Errorf("path %q: %w: an index from 0 in brackets is accepted, such as [2]", path, ErrPath)
			}
			out = append(out, step{index: n})
			rest = after
		} else {
			if len(out) > 0 {
				if rest[0] != '.' {
					return nil, fmt.Errorf("path %q: %w: a dot belongs before a key", path, ErrPath)
				}
				rest = rest[1:]
			}
			end := strings.IndexAny(rest, ".[")
			if end < 0 {
				end = len(rest)
			}
			if end == 0 {
				return nil, fmt.Errorf("path %q: %w: a key is missing", path, ErrPath)
			}
			out = append(out, step{key: rest[:end]})
			rest = rest[end:]
		}
	}
	if len(out) == 0 || len(out) > DepthMax {
		return nil, fmt.Errorf("path %q: %w: keys with dots and indices, such as donor.added[2].mass, are accepted", path, ErrPath)
	}
	return out, nil
}

// child returns the node that s names below n: its key node in a mapping and
// the value. ok is false if there is none, or if the key occurs twice.
func child(n *yaml.Node, s step) (key, value *yaml.Node, ok bool) {
	switch {
	case n.Kind == yaml.SequenceNode && s.key == "" && s.index < len(n.Content):
		return nil, n.Content[s.index], true
	case n.Kind == yaml.MappingNode && s.key != "":
		for i := 0; i+1 < len(n.Content); i += 2 {
			if k := n.Content[i]; k.Kind == yaml.ScalarNode && k.Value == s.key {
				if ok {
					return nil, nil, false
				}
				key, value, ok = k, n.Content[i+1], true
			}
		}
	}
	return key, value, ok
}

// walk returns the node at path, or nil.
func walk(data []byte, path string) *yaml.Node {
	steps, err := parsePath(path)
	if err != nil {
		return nil
	}
	var probs check.Problems
	n := load("", data, &probs)
	for _, s := range steps {
		if n == nil {
			return nil
		}
		var ok bool
		if _, n, ok = child(n, s); !ok {
			return nil
		}
	}
	return n
}

// Lookup returns the text of the value at path in data, as written without
// quotes, and its place. ok is false when there is no such value, when it is a
// list or a mapping, or when the file cannot be read.
func Lookup(file string, data []byte, path string) (text string, pos check.Pos, ok bool) {
	n := walk(data, path)
	if n == nil || n.Kind != yaml.ScalarNode || isNull(n) {
		return "", check.Pos{}, false
	}
	return n.Value, check.Pos{File: file, Line: n.Line, Col: n.Column}, true
}

// Place returns where the value, list or mapping at path begins in data. ok is
// false when there is none.
func Place(file string, data []byte, path string) (pos check.Pos, ok bool) {
	n := walk(data, path)
	if n == nil {
		return check.Pos{}, false
	}
	return check.Pos{File: file, Line: n.Line, Col: n.Column}, true
}
