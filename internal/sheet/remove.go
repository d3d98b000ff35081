package sheet

import (
	"fmt"
	"slices"
	"strings"

	"go.yaml.in/yaml/v4"
)

// remove takes the entry whose value is node out of the last of holders, each
// of which holds the next.
func (s *source) remove(path string, holders []*yaml.Node, node *yaml.Node) ([]byte, error) {
	holder := holders[len(holders)-1]
	i := slices.Index(holder.Content, node)
	wide := 1
	if holder.Kind == yaml.MappingNode {
		i, wide = i-1, 2
	}
	left := *holder
	left.Content = slices.Delete(slices.Clone(holder.Content), i, i+wide)
	meant := with(s.root, holder, &left)
	last := i+wide == len(holder.Content)
	switch {
	case holder.Style&yaml.FlowStyle != 0:
		return s.removeFlow(path, holder, i, wide, meant)
	case i == 0 && last:
		return s.removeOnly(path, holders, meant)
	}
	from, err := s.entryStart(holder, i)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	to, err := s.entryEnd(holder, i, wide)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	if strings.TrimSpace(string(s.data[s.lineStart(from):from])) == "" {
		return s.removeLines(path, from, to, meant)
	}
	// The entry shares its first line with the dash of an outer list: the next
	// entry moves up to it, unless comments stand between.
	next, err := s.entryStart(holder, i+wide)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	if strings.Contains(string(s.data[s.lineEnd(to):next]), "#") {
		return s.splice(path, from, s.lineEnd(to), "", meant)
	}
	return s.splice(path, from, next, "", meant)
}

// removeLines takes out whole lines; what is left without its line break at
// the end of the file keeps it that way.
func (s *source) removeLines(path string, from, to int, meant *yaml.Node) ([]byte, error) {
	from, end := s.lineStart(from), s.nextLine(to)
	if end == len(s.data) && s.lineEnd(to) == end { // no line break at the end of the file
		for from > s.lines[0] && (s.data[from-1] == '\n' || s.data[from-1] == '\r') {
			from--
			if s.data[from] == '\r' || from == 0 || s.data[from-1] != '\r' {
				break
			}
		}
	}
	return s.splice(path, from, end, "", meant)
}

// entryStart returns where entry i of a block holder begins: its key, or its
// dash.
func (s *source) entryStart(holder *yaml.Node, i int) (int, error) {
	n := holder.Content[i]
	if holder.Kind == yaml.MappingNode {
		return s.offset(n), nil
	}
	// The dashes of a list stand in one column, and between a dash and what
	// follows it there are only blanks and comments.
	for line := n.Line; line >= holder.Line; line-- {
		at := s.offset(&yaml.Node{Line: line, Column: holder.Column})
		if at < len(s.data) && s.data[at] == '-' && at <= s.offset(n) && (line < n.Line || holder.Column <= n.Column) && s.dash(at, line == holder.Line) {
			return at, nil
		}
	}
	return 0, s.lost(n)
}

// dash reports whether the dash at offset at begins an item: blanks before it
// on its line, or dashes of outer lists on the first line.
func (s *source) dash(at int, first bool) bool {
	before := strings.TrimSpace(string(s.data[s.lineStart(at):at]))
	return before == "" || first
}

// entryEnd returns where entry i of a block holder ends.
func (s *source) entryEnd(holder *yaml.Node, i, wide int) (int, error) {
	value := holder.Content[i+wide-1]
	if isNull(value) && value.Value == "" && wide == 2 {
		at, _, err := s.emptyPlace("", holder, holder.Content[i], value)
		return at, err
	}
	return s.end(value)
}

// removeOnly empties a block holder: "[]" or "{}" takes its place, on the line
// of its key or dash.
func (s *source) removeOnly(path string, holders []*yaml.Node, meant *yaml.Node) ([]byte, error) {
	holder := holders[len(holders)-1]
	wide := 1
	empty := "[]"
	if holder.Kind == yaml.MappingNode {
		wide, empty = 2, "{}"
	}
	from := s.offset(holder)
	to, err := s.entryEnd(holder, 0, wide)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	line := s.lineStart(from)
	if len(holders) == 1 || strings.TrimSpace(string(s.data[line:from])) != "" {
		return s.splice(path, from, to, empty, meant)
	}
	owner, err := s.afterLead(holders[len(holders)-2], holder)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	// Comments between the key and the holder stay where they are.
	end := s.nextLine(to)
	return s.splice(path, owner, end, " "+empty+string(s.data[owner:line]), meant)
}

// afterLead returns the offset behind the colon or the dash that leads to
// value inside the block holder.
func (s *source) afterLead(holder, value *yaml.Node) (int, error) {
	i := slices.Index(holder.Content, value)
	if holder.Kind == yaml.SequenceNode {
		at, err := s.entryStart(holder, i)
		return at + 1, err
	}
	at, err := s.end(holder.Content[i-1])
	if err != nil {
		return 0, err
	}
	for at < len(s.data) && (s.data[at] == ' ' || s.data[at] == '\t') {
		at++
	}
	if at >= len(s.data) || s.data[at] != ':' {
		return 0, s.lost(value)
	}
	return at + 1, nil
}

// removeFlow takes an entry out of brackets with one comma, and with its line
// when it has one of its own.
func (s *source) removeFlow(path string, holder *yaml.Node, i, wide int, meant *yaml.Node) ([]byte, error) {
	from := s.offset(holder.Content[i])
	to, err := s.end(holder.Content[i+wide-1])
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	if wide == 2 && isNull(holder.Content[i+1]) {
		if at := s.skipBlank(to); at < len(s.data) && s.data[at] == ':' {
			to = at + 1
		}
	}
	comma := s.skipBlank(to)
	if comma < len(s.data) && s.data[comma] == ',' {
		to = comma + 1
		if strings.TrimSpace(string(s.data[s.lineStart(from):from])) == "" && s.blankOrComment(to) {
			return s.splice(path, s.lineStart(from), s.nextLine(to), "", meant)
		}
		for to < len(s.data) && s.data[to] == ' ' {
			to++
		}
		return s.splice(path, from, to, "", meant)
	}
	if i > 0 { // the last one: the comma before it goes too, comments stay
		before, err := s.end(holder.Content[i-1])
		if err != nil {
			return nil, fmt.Errorf("%s: %w", path, err)
		}
		comma := s.skipBlank(before)
		if comma < from && s.data[comma] == ':' {
			comma = s.skipBlank(comma + 1)
		}
		if comma < from && s.data[comma] == ',' {
			between := strings.TrimRight(string(s.data[comma+1:from]), " \t\r\n")
			return s.splice(path, comma, to, between, meant)
		}
	}
	return s.splice(path, from, to, "", meant)
}
