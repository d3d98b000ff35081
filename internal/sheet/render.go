package sheet

import (
	"fmt"
	"strings"
	"unicode"

	"go.yaml.in/yaml/v4"
)

// quote writes text as a YAML value. It stays plain where that reads back as
// the same text, in the quotes of style where one is given.
func quote(text string, style yaml.Style) string {
	switch {
	case style&yaml.DoubleQuotedStyle != 0 || strings.ContainsFunc(text, func(r rune) bool { return r == '\t' || forbidden(r, 1) || r == '\n' || r == '\r' }):
		return doubleQuoted(text)
	case style&yaml.SingleQuotedStyle != 0 || !isPlain(text):
		return "'" + strings.ReplaceAll(text, "'", "''") + "'"
	}
	return text
}

// isPlain reports whether text without quotes is one value of that text, in a
// block and inside brackets.
func isPlain(text string) bool {
	switch strings.ToLower(text) {
	case "", "~", "null", "<<", "=":
		return false
	}
	if strings.ContainsRune("-?:,[]{}#&*!|>'\"%@` ", rune(text[0])) && !negative(text) {
		return false
	}
	return !strings.HasSuffix(text, " ") && !strings.HasSuffix(text, ":") && !strings.HasPrefix(text, "...") && !strings.HasPrefix(text, "\ufeff") &&
		!strings.Contains(text, ": ") && !strings.Contains(text, " #") && !strings.ContainsAny(text, ",[]{}\n\r\t")
}

// negative reports whether text is a minus sign before a digit.
func negative(text string) bool {
	return len(text) > 1 && text[0] == '-' && text[1] >= '0' && text[1] <= '9'
}

func doubleQuoted(text string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range text {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r == '\n':
			b.WriteString(`\n`)
		case r == '\r':
			b.WriteString(`\r`)
		case r == '\t':
			b.WriteString(`\t`)
		case unicode.IsControl(r) || forbidden(r, 1):
			fmt.Fprintf(&b, `\u%04X`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}

// flow writes a tree in one line with brackets.
func flow(n *yaml.Node) string {
	switch n.Kind {
	case yaml.SequenceNode:
		parts := make([]string, len(n.Content))
		for i, c := range n.Content {
			parts[i] = flow(c)
		}
		return "[" + strings.Join(parts, ", ") + "]"
	case yaml.MappingNode:
		var parts []string
		for i := 0; i+1 < len(n.Content); i += 2 {
			if isNull(n.Content[i+1]) {
				parts = append(parts, flow(n.Content[i])+":")
				continue
			}
			parts = append(parts, flow(n.Content[i])+": "+flow(n.Content[i+1]))
		}
		return "{" + strings.Join(parts, ", ") + "}"
	}
	if isNull(n) {
		return "~"
	}
	return quote(n.Value, n.Style)
}

// block writes a tree in lines, without indentation of its own; nested lines
// are indented by two blanks.
func block(n *yaml.Node) []string {
	if n.Kind == yaml.ScalarNode || n.Style&yaml.FlowStyle != 0 || len(n.Content) == 0 {
		return []string{flow(n)}
	}
	var out []string
	if n.Kind == yaml.SequenceNode {
		for _, c := range n.Content {
			for i, line := range block(c) {
				out = append(out, map[bool]string{true: "- ", false: "  "}[i == 0]+line)
			}
		}
		return out
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		out = append(out, entry(n.Content[i], n.Content[i+1])...)
	}
	return out
}

// entry writes "key: value" in lines.
func entry(key, value *yaml.Node) []string {
	lines := block(value)
	if isNull(value) {
		return []string{flow(key) + ":"}
	}
	if value.Kind == yaml.ScalarNode || value.Style&yaml.FlowStyle != 0 || len(value.Content) == 0 {
		return []string{flow(key) + ": " + lines[0]}
	}
	out := []string{flow(key) + ":"}
	for _, line := range lines {
		out = append(out, "  "+line)
	}
	return out
}
