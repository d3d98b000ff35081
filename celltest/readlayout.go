package celltest

import (
	"bytes"
	"strings"
	"unicode/utf8"
)

// Layout is how the text of a file is laid out.
type Layout struct {
	Delimiter  string `json:"delimiter"`    // "," ";" "|" or a tab
	Mark       string `json:"decimal_mark"` // "." or ","
	HeaderLine int    `json:"header_line"`  // line of the header, from 1; zero: there is none
	FirstRow   int    `json:"first_row"`    // line of the first row, from 1
	Compressed bool   `json:"compressed"`   // gzip
}

// headMost is how much of a file is looked at to find its layout.
const headMost = 256 << 10

// headLines is how many lines of it are compared.
const headLines = 400

// fieldsMost bounds the fields of a line.
const fieldsMost = 1000

// layout is what the head of a file says.
type layout struct {
	delimiter, mark, end byte
	header               []string // names, nil when there is none
	units                []string // of a line of units under the header, nil when there is none
	headerLine, first    int      // index of the line, −1: none
	fields               int
}

// headOf finds the layout of a file in its first lines. The delimiter and decimal
// mark are those with which most of the fields of the lines at the end of the head
// are numbers; the header is the line before the first row that has as many fields.
func headOf(head []byte, m *Mapping) (l layout, ok bool) {
	end := byte('\n')
	if bytes.IndexByte(head, '\n') < 0 && bytes.IndexByte(head, '\r') >= 0 {
		end = '\r'
	}
	var lines [][]byte
	for rest := head; len(rest) > 0 && len(lines) < headLines; {
		at := bytes.IndexByte(rest, end)
		if at < 0 {
			if len(head) >= headMost {
				break // cut by us, not by the file
			}
			lines = append(lines, bytes.TrimRight(rest, "\r\n"))
			break
		}
		lines = append(lines, bytes.TrimRight(rest[:at], "\r\n"))
		rest = rest[at+1:]
	}
	best := trial{}
	for _, delimiter := range []byte(",;\t|") {
		for _, mark := range []byte(".,") {
			if delimiter == mark || m != nil && (m.Delimiter != "" && m.Delimiter[0] != delimiter || m.Mark != "" && m.Mark[0] != mark) {
				continue
			}
			if t := try(lines, delimiter, mark); t.better(&best) {
				best = t
			}
		}
	}
	if best.rows == 0 {
		return layout{end: end, delimiter: ',', mark: '.', headerLine: -1}, false
	}
	l = layout{delimiter: best.delimiter, mark: best.mark, end: end, first: best.first, fields: best.fields, headerLine: -1}
	l.name(lines, m)
	return l, true
}

// trial is one delimiter with one decimal mark.
type trial struct {
	delimiter, mark byte
	first, fields   int // line of the first row, fields of a row
	rows            int
	share           float64 // of the fields that are filled and numbers
}

func (t *trial) better(than *trial) bool {
	if t.rows == 0 || than.rows == 0 {
		return t.rows > 0
	}
	if t.share != than.share {
		return t.share > than.share
	}
	return t.fields*t.rows > than.fields*than.rows
}

// try reads lines with a delimiter and a mark.
func try(lines [][]byte, delimiter, mark byte) trial {
	t := trial{delimiter: delimiter, mark: mark, first: -1}
	counts := map[int]int{}
	for _, l := range lines {
		if n, numbers, _ := numeric(l, delimiter, mark); n > 1 && numbers > 1 {
			counts[n]++
		}
	}
	for n, c := range counts {
		if c > counts[t.fields] || c == counts[t.fields] && n > t.fields {
			t.fields = n
		}
	}
	all, numbers := 0, 0
	for i, l := range lines {
		n, num, filled := numeric(l, delimiter, mark)
		if n != t.fields || num < 2 {
			continue
		}
		if t.first < 0 {
			t.first = i
		}
		t.rows++
		all += filled
		numbers += num
	}
	if all > 0 {
		t.share = float64(numbers) / float64(all)
	}
	return t
}

// numeric counts the fields of a line, those that are numbers and those that are
// not empty. A field behind the last delimiter that is empty counts.
func numeric(line []byte, delimiter, mark byte) (fields, numbers, filled int) {
	if len(bytes.TrimSpace(line)) == 0 {
		return 0, 0, 0
	}
	for fields < fieldsMost {
		f, rest, more := nextField(line, delimiter)
		fields++
		if len(f) > 0 {
			filled++
			if _, end := number(f, 0, mark); end == len(f) {
				numbers++
			} else if _, ok := clock(f, mark); ok {
				numbers++
			}
		}
		if !more {
			break
		}
		line = rest
	}
	return fields, numbers, filled
}

// nextField cuts the first field off a line, without its quotes and the blanks
// around it.
func nextField(line []byte, delimiter byte) (field, rest []byte, more bool) {
	start := bytes.TrimLeft(line, " ")
	if len(start) > 0 && start[0] == '"' {
		for i := 1; i < len(start); i++ {
			if start[i] != '"' {
				continue
			}
			if i+1 < len(start) && start[i+1] == '"' {
				i++
				continue
			}
			field = start[1:i]
			if bytes.Contains(field, []byte(`""`)) {
				field = bytes.ReplaceAll(field, []byte(`""`), []byte(`"`))
			}
			tail := start[i+1:]
			if at := bytes.IndexByte(tail, delimiter); at >= 0 {
				return bytes.TrimSpace(field), tail[at+1:], true
			}
			return bytes.TrimSpace(field), nil, false
		}
	}
	if at := bytes.IndexByte(line, delimiter); at >= 0 {
		return bytes.TrimSpace(line[:at]), line[at+1:], true
	}
	return bytes.TrimSpace(line), nil, false
}

// fieldsOf splits a line of the header into texts.
func fieldsOf(line []byte, delimiter byte) []string {
	var out []string
	for len(out) < fieldsMost {
		f, rest, more := nextField(line, delimiter)
		out = append(out, text(f))
		if !more {
			break
		}
		line = rest
	}
	return out
}

// text makes a string of bytes that may be of an older code page: what is no UTF-8
// is taken as Latin-1, in which the degree and the micro sign are the bytes B0 and B5.
func text(b []byte) string {
	if utf8.Valid(b) {
		return string(b)
	}
	var s strings.Builder
	for _, c := range b {
		s.WriteRune(rune(c))
	}
	return s.String()
}

// name finds the header above the first row, and the line of units between them
// if there is one.
func (l *layout) name(lines [][]byte, m *Mapping) {
	wanted := -1
	if m != nil && m.HeaderLine > 0 {
		wanted = m.HeaderLine - 1
	}
	for i := l.first - 1; i >= 0; i-- {
		f := fieldsOf(lines[i], l.delimiter)
		if wanted >= 0 && i != wanted || wanted < 0 && !l.isHeader(f) {
			if wanted < 0 && len(bytes.TrimSpace(lines[i])) > 0 {
				return
			}
			continue
		}
		if l.units == nil && wanted < 0 && allUnits(f) && i > 0 {
			if above := fieldsOf(lines[i-1], l.delimiter); l.isHeader(above) {
				l.units = f
				continue
			}
		}
		l.header, l.headerLine = f, i
		return
	}
}

// isHeader reports whether fields can name the columns of the rows: as many of
// them, but for a delimiter at the end of one, and none a number.
func (l *layout) isHeader(f []string) bool {
	n := len(f)
	if n != l.fields && n != l.fields-1 && !(n == l.fields+1 && f[n-1] == "") {
		return false
	}
	for _, s := range f {
		if _, end := number([]byte(s), 0, l.mark); s != "" && end == len(s) {
			return false
		}
	}
	return true
}

// allUnits reports whether every field is a unit or empty, in brackets or not.
func allUnits(f []string) bool {
	units := 0
	for _, s := range f {
		s = strings.ToLower(strings.Trim(s, "()[] "))
		if s == "" || s == "-" {
			continue
		}
		known := false
		for _, q := range Quantities() {
			if _, ok := scaleOf(q, s); ok {
				known = true
				break
			}
		}
		if !known && s != "w" && s != "wh" && s != "mwh" && s != "ohm" && s != "mohm" && s != "%" && s != "1" {
			return false
		}
		units++
	}
	return units > 1
}
