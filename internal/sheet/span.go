package sheet

import (
	"bytes"
	"fmt"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"

	"packyard/check"
)

// source is a file with its tree and the offsets of its lines. Nodes carry
// only their beginning, so that ends are found by reading the bytes again.
type source struct {
	data  []byte
	root  *yaml.Node
	lines []int // offset of each line
}

// open reads data for editing. The error is a *check.Problems when the file
// cannot be read.
func open(data []byte) (*source, error) {
	var probs check.Problems
	root := load("", data, &probs)
	if root == nil {
		return nil, &probs
	}
	d := decoder{probs: &probs}
	if !d.plainYAML(root, "") {
		return nil, &probs
	}
	s := &source{data: data, root: root, lines: []int{0}}
	if bytes.HasPrefix(data, []byte("\ufeff")) {
		s.lines[0] = 3
	}
	for i := range data {
		if c := data[i]; c == '\n' || c == '\r' && (i+1 == len(data) || data[i+1] != '\n') {
			s.lines = append(s.lines, i+1)
		}
	}
	return s, nil
}

// offset returns where node n begins.
func (s *source) offset(n *yaml.Node) int {
	at := s.lines[min(max(n.Line, 1), len(s.lines))-1]
	for range n.Column - 1 {
		if at >= len(s.data) {
			break
		}
		_, size := utf8.DecodeRune(s.data[at:])
		at += size
	}
	return min(at, len(s.data))
}

// lineStart returns the offset of the line that holds at.
func (s *source) lineStart(at int) int {
	i := at
	for i > 0 && s.data[i-1] != '\n' && s.data[i-1] != '\r' {
		i--
	}
	if i == 0 {
		return s.lines[0]
	}
	return i
}

// lineEnd returns the offset of the line break that ends the line of at.
func (s *source) lineEnd(at int) int {
	for at < len(s.data) && s.data[at] != '\n' && s.data[at] != '\r' {
		at++
	}
	return at
}

// nextLine returns the offset after the line break at or after at.
func (s *source) nextLine(at int) int {
	at = s.lineEnd(at)
	if at < len(s.data) && s.data[at] == '\r' {
		at++
	}
	if at < len(s.data) && s.data[at] == '\n' {
		at++
	}
	return at
}

// eol returns the line break that the file uses at offset at, or before it.
func (s *source) eol(at int) string {
	if end := s.lineEnd(at); end < len(s.data) {
		return string(s.data[end:s.nextLine(end)])
	}
	for i := min(at, len(s.data)) - 1; i >= 0; i-- {
		if s.data[i] == '\n' {
			if i > 0 && s.data[i-1] == '\r' {
				return "\r\n"
			}
			return "\n"
		}
	}
	return "\n"
}

// blankOrComment reports whether the rest of the line from at holds no value.
func (s *source) blankOrComment(at int) bool {
	rest := bytes.TrimLeft(s.data[at:s.lineEnd(at)], " \t")
	return len(rest) == 0 || rest[0] == '#' && len(rest) < s.lineEnd(at)-at
}

// skipBlank moves over blanks, line breaks and comments.
func (s *source) skipBlank(at int) int {
	for at < len(s.data) {
		switch c := s.data[at]; {
		case c == ' ' || c == '\t' || c == '\n' || c == '\r':
			at++
		case c == '#' && (at == 0 || strings.IndexByte(" \t\n\r", s.data[at-1]) >= 0):
			at = s.lineEnd(at)
		default:
			return at
		}
	}
	return at
}

// end returns the offset after node n, without what follows on its line.
func (s *source) end(n *yaml.Node) (int, error) {
	at := s.offset(n)
	switch {
	case n.Kind == yaml.ScalarNode:
		return s.scalarEnd(n, at)
	case n.Style&yaml.FlowStyle != 0:
		last := at + 1
		for _, c := range n.Content {
			e, err := s.end(c)
			if err != nil {
				return 0, err
			}
			last = max(last, e)
		}
		// Only commas, colons and comments stand between the last entry and
		// the bracket.
		for last < len(s.data) {
			last = s.skipBlank(last)
			if last < len(s.data) && (s.data[last] == ',' || s.data[last] == ':') {
				last++
				continue
			}
			break
		}
		if last >= len(s.data) || s.data[last] != ']' && s.data[last] != '}' {
			return 0, s.lost(n)
		}
		return last + 1, nil
	case len(n.Content) == 0:
		return 0, s.lost(n)
	}
	return s.end(n.Content[len(n.Content)-1])
}

func (s *source) lost(n *yaml.Node) error {
	return fmt.Errorf("line %d, column %d: %w: the end of the value was not found", n.Line, n.Column, ErrEdit)
}

func (s *source) scalarEnd(n *yaml.Node, at int) (int, error) {
	switch {
	case n.Style&yaml.DoubleQuotedStyle != 0:
		for i := at + 1; i < len(s.data); i++ {
			switch s.data[i] {
			case '\\':
				i++
			case '"':
				return i + 1, nil
			}
		}
		return 0, s.lost(n)
	case n.Style&yaml.SingleQuotedStyle != 0:
		for i := at + 1; i < len(s.data); i++ {
			if s.data[i] != '\'' {
				continue
			}
			if i+1 < len(s.data) && s.data[i+1] == '\'' {
				i++
				continue
			}
			return i + 1, nil
		}
		return 0, s.lost(n)
	case n.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0:
		return s.blockEnd(at), nil
	case n.Value == "":
		return at, nil
	}
	return s.plainEnd(n, at)
}

// plainEnd walks the source of an unquoted value along its text; one blank of
// the text stands for a line break with blanks around it, one line break for
// several.
func (s *source) plainEnd(n *yaml.Node, at int) (int, error) {
	rest := n.Value
	for rest != "" {
		if at >= len(s.data) {
			return 0, s.lost(n)
		}
		c := s.data[at]
		folded := at
		for folded < len(s.data) && strings.IndexByte(" \t\r\n", s.data[folded]) >= 0 {
			folded++
		}
		if bytes.ContainsAny(s.data[at:folded], "\r\n") {
			trimmed := strings.TrimLeft(rest, " \n")
			if len(trimmed) == len(rest) {
				return 0, s.lost(n)
			}
			at, rest = folded, trimmed
			continue
		}
		if c != rest[0] {
			return 0, s.lost(n)
		}
		at, rest = at+1, rest[1:]
	}
	return at, nil
}

// blockEnd returns the end of the last line with text of a | or > value.
func (s *source) blockEnd(at int) int {
	header := s.lineEnd(at)
	end, indent := header, -1
	if i := bytes.IndexAny(s.data[at:header], "123456789"); i >= 0 && !bytes.ContainsRune(s.data[at:at+i], '#') {
		indent = 0 // stated: every line indented more than the parent belongs; the read-back of the edit holds it
	}
	for line := s.nextLine(header); line < len(s.data); line = s.nextLine(line) {
		stop := s.lineEnd(line)
		text := bytes.TrimLeft(s.data[line:stop], " ")
		if len(bytes.TrimSpace(text)) == 0 {
			continue
		}
		depth := stop - line - len(text)
		if indent < 0 {
			indent = depth
		}
		if depth < max(indent, 1) {
			break
		}
		end = stop
	}
	return end
}
