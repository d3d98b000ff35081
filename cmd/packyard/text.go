package main

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"
	"unicode/utf8"

	"golang.org/x/term"
)

// table is rows of text under headings; columns marked right hold figures.
type table struct {
	head  []string
	right []bool
	rows  [][]string
}

// newTable takes headings; one that begins with ">" is aligned to the right.
func newTable(head ...string) *table {
	t := &table{}
	for _, h := range head {
		t.right = append(t.right, strings.HasPrefix(h, ">"))
		t.head = append(t.head, strings.TrimPrefix(h, ">"))
	}
	return t
}

func (t *table) add(cells ...string) { t.rows = append(t.rows, cells) }

// print writes the table with two spaces between the columns.
func (t *table) print(w io.Writer) {
	width := make([]int, len(t.head))
	for _, row := range append([][]string{t.head}, t.rows...) {
		for i, c := range row {
			width[i] = max(width[i], utf8.RuneCountInString(c))
		}
	}
	line := func(row []string) {
		var b strings.Builder
		for i, c := range row {
			pad := strings.Repeat(" ", width[i]-utf8.RuneCountInString(c))
			if i > 0 {
				b.WriteString("  ")
			}
			if t.right[i] {
				b.WriteString(pad + c)
			} else {
				b.WriteString(c + pad)
			}
		}
		fmt.Fprintln(w, strings.TrimRight(b.String(), " "))
	}
	line(t.head)
	for _, r := range t.rows {
		line(r)
	}
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

// count prints a whole number with a thin gap every three digits.
func count(n int) string {
	s := strconv.Itoa(n)
	neg := strings.TrimPrefix(s, "-")
	for i := len(neg) - 3; i > 0; i -= 3 {
		neg = neg[:i] + " " + neg[i:]
	}
	if n < 0 {
		return "-" + neg
	}
	return neg
}

// percent prints a ratio with one decimal below ten per cent.
func percent(x float64) string {
	p := 100 * x
	if p > -9.95 && p < 9.95 {
		return strconv.FormatFloat(p, 'f', 1, 64) + " %"
	}
	return strconv.FormatFloat(p, 'f', 0, 64) + " %"
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

// colour reports whether w is a terminal that wants colour.
func colour(w io.Writer) bool { return os.Getenv("NO_COLOR") == "" && terminal(w) }

func terminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}

// wrapped prints a sentence folded at 100 characters, further lines indented.
func wrapped(w io.Writer, indent, s string) {
	line := ""
	for _, word := range strings.Fields(s) {
		if line != "" && utf8.RuneCountInString(indent+line+" "+word) > 100 {
			fmt.Fprintln(w, indent+line)
			line = ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	fmt.Fprintln(w, indent+line)
}
