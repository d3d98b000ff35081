package celltest

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
)

// ErrMapping says that a mapping of columns is not of the wanted form.
var ErrMapping = errors.New("columns cannot be mapped so")

// Sign says what positive current does to the item.
type Sign string

// Signs of current. The Battery Data Format has Charging.
const (
	SignUnknown Sign = ""
	Charging    Sign = "charging"
	Discharging Sign = "discharging"
)

// Mapping says which column of a kind of file holds what: made once by the
// builder, kept under a name, and used for every file of that kind. What is left
// empty is found from the file.
type Mapping struct {
	Name       string         `json:"name"`
	Delimiter  string         `json:"delimiter,omitempty"`    // "," ";" "|" or a tab
	Mark       string         `json:"decimal_mark,omitempty"` // "." or ","
	HeaderLine int            `json:"header_line,omitempty"`  // from 1
	Positive   Sign           `json:"positive,omitempty"`     // what positive current does
	Columns    []MappedColumn `json:"columns"`
}

// MappedColumn gives one quantity its column.
type MappedColumn struct {
	Quantity Quantity `json:"quantity"`
	Header   string   `json:"header"`         // as in the file, or "#3" for the third column
	Unit     string   `json:"unit,omitempty"` // in place of that of the header
}

// ParseColumn reads "voltage=U cell", "current=#3@mA": quantity, column by header
// or number, and a unit behind the last @.
//
// Errors: ErrMapping.
func ParseColumn(s string) (MappedColumn, error) {
	q, header, ok := strings.Cut(s, "=")
	c := MappedColumn{Quantity: Quantity(strings.TrimSpace(q)), Header: strings.TrimSpace(header)}
	if !ok || c.Header == "" {
		return c, fmt.Errorf("%w: %q: quantity=column is accepted, such as voltage=U or current=#3@mA", ErrMapping, s)
	}
	if !slices.Contains(Quantities(), c.Quantity) {
		return c, fmt.Errorf("%w: %q: quantities are %s", ErrMapping, q, quantityList())
	}
	if at := strings.LastIndexByte(c.Header, '@'); at > 0 {
		c.Header, c.Unit = strings.TrimSpace(c.Header[:at]), strings.TrimSpace(c.Header[at+1:])
		if _, ok := scaleOf(c.Quantity, strings.ToLower(c.Unit)); !ok {
			return c, fmt.Errorf("%w: %q is no unit that is known for %s", ErrMapping, c.Unit, c.Quantity)
		}
	}
	return c, nil
}

func quantityList() string {
	var s []string
	for _, q := range Quantities() {
		s = append(s, string(q))
	}
	return strings.Join(s, ", ")
}

// Fits reports whether a file with these headers has every column that the mapping
// names, so that a remembered mapping may be used for it unasked. Columns by number
// never fit unasked.
func (m *Mapping) Fits(headers []string) bool {
	for _, c := range m.Columns {
		if strings.HasPrefix(c.Header, "#") || !slices.Contains(headers, c.Header) {
			return false
		}
	}
	return len(m.Columns) > 0
}

// number returns the column that a mapped column means, from 0, or −1.
func (c *MappedColumn) number(columns []Column) int {
	if rest, ok := strings.CutPrefix(c.Header, "#"); ok {
		if n, err := strconv.Atoi(rest); err == nil && n >= 1 && n <= len(columns) {
			return n - 1
		}
	}
	i := slices.IndexFunc(columns, func(k Column) bool { return k.Header == c.Header })
	if i < 0 {
		i = slices.IndexFunc(columns, func(k Column) bool { return strings.EqualFold(k.Header, c.Header) })
	}
	return i
}

// columnsOf says what the columns of a file are: by the mapping if there is one,
// else by the labels of the Battery Data Format, else by plain words. How it was
// done comes back too.
func columnsOf(l *layout, m *Mapping, f *faults) (columns []Column, from string) {
	n := max(l.fields, len(l.header))
	columns = make([]Column, n)
	labels := 0
	for i := range columns {
		c := &columns[i]
		c.Number = i + 1
		if i < len(l.header) {
			c.Header = l.header[i]
		}
		if b, ok := labelled(c.Header); ok {
			c.Label = b.machine
			labels++
		}
	}
	from = fromWords
	switch {
	case m != nil:
		from = "mapping " + m.Name
		for i := range m.Columns {
			l.mapped(&m.Columns[i], columns, f)
		}
	case labels*2 > len(l.header) || labelsEnough(columns):
		from = fromLabels
		for i := range columns {
			c := &columns[i]
			switch b, ok := labelled(c.Header); {
			case !ok:
				c.guess()
			case b.quantity != "":
				_ = c.in(b.quantity, b.unit) // units of the table are known: TestBatteryLabelsAreRead
			}
		}
	default:
		for i := range columns {
			c := &columns[i]
			if l.units != nil && i < len(l.units) {
				if u := strings.Trim(l.units[i], "()[] "); u != "" && u != "-" {
					d := Column{Header: c.Header + " (" + u + ")"}
					if d.guess(); d.Quantity != "" {
						c.Quantity, c.Unit, c.factor, c.offset = d.Quantity, d.Unit, d.factor, d.offset
						continue
					}
				}
			}
			c.guess()
		}
	}
	single(columns, l.headerLine+1, f, from)
	return columns, from
}

// How the columns of a file were found.
const (
	fromLabels = "labels of the Battery Data Format"
	fromWords  = "words of the header"
)

// labelsEnough reports whether the labels alone make a log.
func labelsEnough(columns []Column) bool {
	var have [places]bool
	for _, c := range columns {
		if b, ok := labelled(c.Header); ok {
			if at := placeOf(b.quantity); at >= 0 {
				have[at] = true
			}
		}
	}
	return (have[atTime] || have[atUnix]) && have[atVoltage] && have[atCurrent]
}

// mapped gives a column its quantity; its unit is that of the mapping, of the
// header, of the line of units, or assumed, in this order.
func (l *layout) mapped(mc *MappedColumn, columns []Column, f *faults) {
	at := mc.number(columns)
	if at < 0 {
		f.stop(FaultHeader, string(mc.Quantity), l.headerLine+1, "columns are "+headers(columns), "the mapping names the column %q, which is not there", mc.Header)
		return
	}
	c := &columns[at]
	spelled := mc.Unit
	if spelled == "" {
		_, spelled = splitHeader(c.Header, mc.Quantity)
	}
	if spelled == "" && at < len(l.units) {
		spelled = strings.Trim(l.units[at], "()[] ")
	}
	if spelled == "" || c.in(mc.Quantity, spelled) != nil {
		if c.in(mc.Quantity, unitAssumed(mc.Quantity)) == nil {
			c.Assumed = mc.Quantity != QuantityStep && mc.Quantity != QuantityCycle
		}
	}
}

// single sees to it that a quantity has one column. Of the temperatures the first
// is taken; of all else two columns are a fault, since nobody can know which is meant.
func single(columns []Column, line int, f *faults, from string) {
	var first [places]int
	for i := range columns {
		c := &columns[i]
		at := placeOf(c.Quantity)
		if at < 0 {
			continue
		}
		if first[at] == 0 {
			first[at] = i + 1
			continue
		}
		if from != fromLabels || strings.EqualFold(c.Header, columns[first[at]-1].Header) {
			if at != atTemperature && at != atAmbient {
				f.stop(FaultHeader, string(c.Quantity), line, "say which with --column "+string(c.Quantity)+"=#"+strconv.Itoa(first[at])+" or #"+strconv.Itoa(i+1),
					"columns %d %q and %d %q both hold it", first[at], columns[first[at]-1].Header, i+1, c.Header)
			}
		}
		c.Quantity = ""
	}
}

func headers(columns []Column) string {
	var s []string
	for i := range columns {
		if i == 20 {
			s = append(s, "…")
			break
		}
		s = append(s, strconv.Quote(clipText(columns[i].Header, 40)))
	}
	return strings.Join(s, ", ")
}

func clipText(s string, n int) string {
	r := []rune(s)
	if len(r) > n {
		return string(r[:n]) + "…"
	}
	return s
}

// Headers returns the names of the columns of a file, as its first lines give
// them, and whether they make a log by the labels of the Battery Data Format, so
// that no mapping is needed. It reads no more than the head of the file.
//
// Errors: those of the reader.
func Headers(in io.Reader) (names []string, labels bool, err error) {
	plain, _, err := Plain(in)
	if err != nil {
		return nil, false, err
	}
	head, err := io.ReadAll(io.LimitReader(plain, headMost))
	if err != nil && !errors.Is(err, io.ErrUnexpectedEOF) {
		return nil, false, err
	}
	l, ok := headOf(bytes.TrimPrefix(head, []byte("\xef\xbb\xbf")), nil)
	if !ok {
		return nil, false, nil
	}
	var f faults
	columns, from := columnsOf(&l, nil, &f)
	return l.header, from == fromLabels && labelsEnough(columns), nil
}
