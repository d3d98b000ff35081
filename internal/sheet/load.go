package sheet

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"
	"go.yaml.in/yaml/v4/plugin/loaderlimits"

	"packyard/check"
)

// Limits of a file. A project of a large workshop has a few thousand values,
// so that these are far above honest use (common practice).
const (
	BytesMax = 4 << 20 // size of a file
	DepthMax = 40      // nesting of lists and mappings
	NodesMax = 200_000 // keys and values together
)

// whole is the path of a problem that concerns the file and not one value.
const whole = "file"

// load reads data into a node tree; nil when a problem was recorded. A file
// without any value is an empty mapping.
func load(file string, data []byte, probs *check.Problems) *yaml.Node {
	if p, bad := refuse(file, data); bad {
		probs.Add(p)
		return nil
	}
	loader, err := yaml.NewLoader(bytes.NewReader(data), yaml.WithPlugin(loaderlimits.New(loaderlimits.DepthValue(DepthMax))))
	if err != nil {
		panic("sheet: options of the YAML library: " + err.Error())
	}
	var doc yaml.Node
	start := check.Pos{File: file, Line: 1, Col: 1}
	if err := loader.Load(&doc); errors.Is(err, io.EOF) {
		return &yaml.Node{Kind: yaml.MappingNode, Line: 1, Column: 1}
	} else if err != nil {
		probs.Add(syntaxProblem(file, err))
		return nil
	}
	var next yaml.Node
	if err := loader.Load(&next); !errors.Is(err, io.EOF) {
		pos := start
		if err == nil {
			pos.Line, pos.Col = next.Line, next.Column
		}
		probs.Addf(pos, whole, "keep one, without a line of three dashes between values", "holds more than one YAML document")
		return nil
	}
	if len(doc.Content) != 1 {
		return &yaml.Node{Kind: yaml.MappingNode, Line: 1, Column: 1}
	}
	if n := countNodes(doc.Content[0], NodesMax+1); n > NodesMax {
		probs.Addf(start, whole, fmt.Sprintf("at most %d keys and values are read", NodesMax), "holds more than %d keys and values", NodesMax)
		return nil
	}
	return doc.Content[0]
}

// refuse looks at the raw bytes alone: size, encoding, characters that YAML
// forbids, and a count of separators that bounds the number of nodes, because
// the library would have built the whole tree before it could be counted.
func refuse(file string, data []byte) (check.Problem, bool) {
	problem := func(pos check.Pos, message, hint string) (check.Problem, bool) {
		pos.File = file
		return check.Problem{Pos: pos, Path: whole, Message: message, Hint: hint}, true
	}
	start := check.Pos{Line: 1, Col: 1}
	if len(data) > BytesMax {
		return problem(start, fmt.Sprintf("is %.1f MB long", float64(len(data))/(1<<20)), fmt.Sprintf("at most %d MB are read", BytesMax>>20))
	}
	line, lineStart, separators := 1, 0, 0
	for i := 0; i < len(data); {
		r, size := rune(data[i]), 1
		if r >= utf8.RuneSelf {
			r, size = utf8.DecodeRune(data[i:])
		}
		switch {
		case r == '\n' || r == '\r' && (i+1 == len(data) || data[i+1] != '\n'):
			line, lineStart = line+1, i+1
		case r == ',' || r == '[' || r == '{' || (r == ':' || r == '-' || r == '?'):
			if separators++; separators > NodesMax {
				return problem(start, fmt.Sprintf("holds more than %d keys and values", NodesMax), fmt.Sprintf("at most %d commas, colons, dashes and brackets are read", NodesMax))
			}
		case r == utf8.RuneError && size == 1:
			return problem(place(data, line, lineStart, i), "is not text in UTF-8", "save the file in the encoding UTF-8")
		case forbidden(r, i):
			return problem(place(data, line, lineStart, i), fmt.Sprintf("holds the control character %U", r), "take the character out")
		}
		i += size
	}
	return check.Problem{}, false
}

// forbidden reports characters that YAML does not allow in a file, and the
// line separators that editors and YAML count differently.
func forbidden(r rune, offset int) bool {
	switch r {
	case '\t', '\n', '\r':
		return false
	case '\u2028', '\u2029', '\ufffe', '\uffff':
		return true
	case '\ufeff':
		return offset > 0
	}
	return unicode.IsControl(r)
}

func place(data []byte, line, lineStart, offset int) check.Pos {
	return check.Pos{Line: line, Col: utf8.RuneCount(data[lineStart:offset]) + 1}
}

func countNodes(n *yaml.Node, limit int) int {
	count := 1
	for _, c := range n.Content {
		if count >= limit {
			break
		}
		count += countNodes(c, limit-count)
	}
	return count
}

// syntaxProblem turns what the library says into a problem with a hint for
// the slips that people make.
func syntaxProblem(file string, err error) check.Problem {
	p := check.Problem{Pos: check.Pos{File: file, Line: 1, Col: 1}, Path: whole}
	var le *yaml.LoadError
	if !errors.As(err, &le) {
		p.Message, p.Hint = "cannot be read as YAML: "+err.Error(), "keys and values are written as key: value"
		return p
	}
	mark := le.Mark
	if le.ContextMark.Line > 0 && strings.Contains(le.Message, "end of stream") {
		mark = le.ContextMark // where the open quote or bracket began
	}
	if mark.Line > 0 {
		p.Pos.Line, p.Pos.Col = mark.Line, max(mark.Column, 1)
	}
	if strings.Contains(le.Message, "exceeded max depth") {
		p.Message, p.Hint = fmt.Sprintf("is nested deeper than %d levels", DepthMax), fmt.Sprintf("at most %d levels are read", DepthMax)
		return p
	}
	p.Message = "cannot be read as YAML: " + le.Message
	if le.ContextMsg != "" {
		p.Message += " " + le.ContextMsg
	}
	p.Hint = syntaxHint(le.Message, le.ContextMsg)
	return p
}

func syntaxHint(message, context string) string {
	switch {
	case strings.Contains(message, "tab") || strings.Contains(message, "cannot start any token"):
		return "indent with spaces, and put a text that begins with a special character in quotes"
	case strings.Contains(message, "mapping values are not allowed"):
		return "one key: value on a line; a text with a colon is put in quotes"
	case strings.Contains(context, "quoted"):
		return "close the quote"
	case strings.Contains(context, "flow"):
		return "close the bracket, and put a comma between entries"
	case strings.Contains(message, "expected key") || strings.Contains(message, "could not find expected ':'") || strings.Contains(context, "block"):
		return "entries of one list or mapping begin in the same column; a key ends with a colon and a space"
	}
	return "keys and values are written as key: value"
}
