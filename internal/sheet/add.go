package sheet

import (
	"fmt"
	"slices"
	"strings"

	"go.yaml.in/yaml/v4"
)

// add writes value at steps: the deepest holder that exists gets one new entry
// that holds the rest of the path.
func (s *source) add(path string, steps []step, value *yaml.Node) ([]byte, error) {
	holder, depth := s.root, 0
	var parent, key *yaml.Node
	for depth < len(steps) {
		k, v, ok := child(holder, steps[depth])
		if !ok {
			break
		}
		parent, key, holder = holder, k, v
		depth++
	}
	if depth == len(steps) {
		return nil, fmt.Errorf("%s: %w: it is there already", path, ErrPath)
	}
	for _, st := range slices.Backward(steps[depth+1:]) {
		wrapped, err := wrap(st, value)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", path, err)
		}
		value = wrapped
	}
	st := steps[depth]
	switch {
	case isNull(holder):
		wrapped, err := wrap(st, value)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", path, err)
		}
		return s.fill(path, parent, key, holder, wrapped)
	case holder.Kind == yaml.MappingNode && st.key != "":
		for _, c := range holder.Content {
			if c.Value == st.key {
				return nil, fmt.Errorf("%s: %w: the key occurs more than once", path, ErrPath)
			}
		}
		k := &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Value: st.key}
		return s.append(path, holder, []*yaml.Node{k, value})
	case holder.Kind == yaml.SequenceNode && st.key == "" && st.index == len(holder.Content):
		return s.append(path, holder, []*yaml.Node{value})
	}
	return nil, fmt.Errorf("%s: %w: %s is not there and cannot be added", path, ErrPath, st)
}

// wrap returns a one-entry holder of value; brackets, since it will mostly
// stand on one line.
func wrap(st step, value *yaml.Node) (*yaml.Node, error) {
	if st.key != "" {
		return &yaml.Node{Kind: yaml.MappingNode, Content: []*yaml.Node{{Kind: yaml.ScalarNode, Tag: "!!str", Value: st.key}, value}}, nil
	}
	if st.index != 0 {
		return nil, fmt.Errorf("%w: a new list begins at [0]", ErrPath)
	}
	return &yaml.Node{Kind: yaml.SequenceNode, Content: []*yaml.Node{value}}, nil
}

// fill writes holder as the value of an empty key or item.
func (s *source) fill(path string, parent, key, old, holder *yaml.Node) ([]byte, error) {
	meant := with(s.root, old, holder)
	if old.Value != "" {
		from := s.offset(old)
		return s.splice(path, from, from+len(old.Value), flow(holder), meant)
	}
	at, before, err := s.emptyPlace(path, parent, key, old)
	if err != nil {
		return nil, err
	}
	if parent.Style&yaml.FlowStyle != 0 || key == nil || !s.blankOrComment(at) {
		return s.splice(path, at, at, before+flow(holder), meant)
	}
	indent := s.indentOf(parent) + "  "
	var text strings.Builder
	for _, line := range block(holder) {
		text.WriteString(s.eol(at) + indent + line)
	}
	end := s.lineEnd(at)
	return s.splice(path, end, end, text.String(), meant)
}

// indentOf returns the blanks in front of the entries of a block holder: what
// stands before its first entry on that line, dashes turned into blanks.
func (s *source) indentOf(holder *yaml.Node) string {
	at := s.offset(holder)
	return strings.Map(func(r rune) rune {
		if r == '\t' {
			return r
		}
		return ' '
	}, string(s.data[s.lineStart(at):at]))
}

// append adds one entry (value, or key and value) at the end of a holder.
func (s *source) append(path string, holder *yaml.Node, entryNodes []*yaml.Node) ([]byte, error) {
	grown := *holder
	grown.Content = append(slices.Clone(holder.Content), entryNodes...)
	meant := with(s.root, holder, &grown)
	if holder.Style&yaml.FlowStyle != 0 {
		return s.appendFlow(path, holder, entryNodes, meant)
	}
	var lines []string
	if len(entryNodes) == 2 {
		lines = entry(entryNodes[0], entryNodes[1])
	} else {
		lines = block(&yaml.Node{Kind: yaml.SequenceNode, Content: entryNodes})
	}
	if len(holder.Content) == 0 { // a file without any value
		at := len(s.data)
		text := strings.Join(lines, s.eol(at)) + s.eol(at)
		if at > s.lines[0] && s.data[at-1] != '\n' && s.data[at-1] != '\r' {
			text = s.eol(at) + text
		}
		return s.splice(path, at, at, text, meant)
	}
	last, err := s.end(holder)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	at := s.lineEnd(last)
	indent := s.indentOf(holder)
	var text strings.Builder
	for _, line := range lines {
		text.WriteString(s.eol(at) + indent + line)
	}
	return s.splice(path, at, at, text.String(), meant)
}

// appendFlow adds an entry before the closing bracket: on a line of its own
// where the last one stands so, else after a comma.
func (s *source) appendFlow(path string, holder *yaml.Node, entryNodes []*yaml.Node, meant *yaml.Node) ([]byte, error) {
	words := flow(entryNodes[0])
	if len(entryNodes) == 2 {
		words = flow(&yaml.Node{Kind: yaml.MappingNode, Content: entryNodes})
		words = words[1 : len(words)-1]
	}
	if len(holder.Content) == 0 {
		at := s.offset(holder) + 1
		return s.splice(path, at, at, words, meant)
	}
	first := holder.Content[len(holder.Content)-len(entryNodes)]
	end, err := s.end(holder.Content[len(holder.Content)-1])
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	if len(entryNodes) == 2 { // "{a, b: }": the colon of an empty value
		if at := s.skipBlank(end); at < len(s.data) && s.data[at] == ':' && isNull(holder.Content[len(holder.Content)-1]) {
			end = at + 1
		}
	}
	ownLine := strings.TrimSpace(string(s.data[s.lineStart(s.offset(first)):s.offset(first)])) == ""
	comma := s.skipBlank(end)
	trailing := comma < len(s.data) && s.data[comma] == ','
	after := end
	if trailing {
		after = comma + 1
	}
	if ownLine && s.blankOrComment(after) {
		at := s.lineEnd(after)
		indent := string(s.data[s.lineStart(s.offset(first)):s.offset(first)])
		middle := string(s.data[end:at])
		if !trailing {
			middle = "," + middle
		}
		tail := ""
		if trailing {
			tail = ","
		}
		return s.splice(path, end, at, middle+s.eol(at)+indent+words+tail, meant)
	}
	if trailing {
		return s.splice(path, after, after, " "+words, meant)
	}
	return s.splice(path, end, end, ", "+words, meant)
}
