package main

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"strings"
	"unicode/utf8"

	"golang.org/x/term"
)

// widthMost is where long lines are folded.
const widthMost = 140

// table is rows of text under headings, with units in a line of their own;
// columns marked right hold figures.
type table struct {
	head, units []string
	right       []bool
	rows        [][]string
	indent      string
}

// newTable takes headings; one that begins with ">" is aligned to the right,
// and what follows "|" is the unit of the column.
func newTable(head ...string) *table {
	t := &table{}
	for _, h := range head {
		t.right = append(t.right, strings.HasPrefix(h, ">"))
		name, unit, _ := strings.Cut(strings.TrimPrefix(h, ">"), "|")
		t.head, t.units = append(t.head, name), append(t.units, unit)
	}
	return t
}

func (t *table) add(cells ...string) { t.rows = append(t.rows, cells) }

// print writes the table with two spaces between the columns. The last column
// is folded where the table would be too wide.
func (t *table) print(w io.Writer) {
	all := [][]string{t.head}
	if strings.Join(t.units, "") != "" {
		all = append(all, t.units)
	}
	t.lines(w, append(all, t.rows...))
}

// body writes the rows without the headings.
func (t *table) body(w io.Writer) { t.lines(w, t.rows) }

func (t *table) lines(w io.Writer, all [][]string) {
	width := make([]int, len(t.head))
	for _, row := range all {
		for i, c := range row {
			width[i] = max(width[i], columns(c))
		}
	}
	last := len(t.head) - 1
	before := utf8.RuneCountInString(t.indent)
	for _, n := range width[:last] {
		before += n + 2
	}
	for _, row := range all {
		var b strings.Builder
		b.WriteString(t.indent)
		for i, c := range row[:last] {
			b.WriteString(pad(c, width[i], t.right[i]) + "  ")
		}
		lines := []string{pad(row[last], width[last], t.right[last])}
		if !t.right[last] {
			lines = fold(row[last], max(widthMost-before, widthMost/4))
		}
		for i, line := range lines {
			if i > 0 {
				b.WriteString("\n" + strings.Repeat(" ", before))
			}
			b.WriteString(line)
		}
		fmt.Fprintln(w, strings.TrimRight(b.String(), " "))
	}
}

// pad fills s with spaces to n characters, in front of a figure.
func pad(s string, n int, right bool) string {
	gap := strings.Repeat(" ", max(0, n-columns(s)))
	if right {
		return gap + s
	}
	return s + gap
}

// columns returns how many columns s takes on a terminal; what colours it takes none.
func columns(s string) int {
	n, inside := 0, false
	for _, r := range s {
		switch {
		case r == '\x1b':
			inside = true
		case inside:
			inside = r != 'm'
		default:
			n++
		}
	}
	return n
}

// csv writes the table as comma-separated values.
func (t *table) csv(w io.Writer) error {
	c := csv.NewWriter(w)
	if err := c.Write(t.head); err != nil {
		return err
	}
	if err := c.WriteAll(t.rows); err != nil {
		return err
	}
	c.Flush()
	return c.Error()
}

// writeJSON writes v indented.
func writeJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(v)
}

// heading prints a heading, bold on a terminal.
func (a *app) heading(format string, args ...any) {
	s := fmt.Sprintf(format, args...)
	if colour(a.out) {
		s = "\x1b[1m" + s + "\x1b[0m"
	}
	fmt.Fprintf(a.out, "\n%s\n", s)
}

// mark colours a word on a terminal: red for what does not hold.
func (a *app) mark(s string, bad bool) string {
	if bad && colour(a.out) {
		return "\x1b[31m" + s + "\x1b[0m"
	}
	return s
}

// colour reports whether w is a terminal that wants colour; NO_COLOR in the
// environment says that it does not.
func colour(w io.Writer) bool { return os.Getenv("NO_COLOR") == "" && terminal(w) }

// terminal reports whether w is a terminal that moves its cursor.
func terminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	return ok && os.Getenv("TERM") != "dumb" && term.IsTerminal(int(f.Fd()))
}

// proseMost is where sentences are folded.
const proseMost = 100

// wrapped prints a sentence folded; further lines stand under its first word
// and as much further in as hang says.
func wrapped(w io.Writer, indent, hang, s string) {
	for i, line := range fold(s, proseMost-utf8.RuneCountInString(indent+hang)) {
		if i > 0 {
			line = hang + line
		}
		fmt.Fprintln(w, indent+line)
	}
}

// fold cuts a text between words into lines of at most width characters; a
// longer word has a line of its own.
func fold(s string, width int) []string {
	var out []string
	line := ""
	for word := range strings.FieldsSeq(s) {
		if line != "" && utf8.RuneCountInString(line+" "+word) > width {
			out = append(out, line)
			line = ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	return append(out, line)
}

// quote writes a word as a shell takes it.
func quote(s string) string {
	plain := func(r rune) bool {
		return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("-_./+=,:@%", r)
	}
	if s != "" && strings.IndexFunc(s, func(r rune) bool { return !plain(r) }) < 0 {
		return s
	}
	return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'"
}
