package celltest

import (
	"bufio"
	"bytes"
	"compress/flate"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"strings"

	"packyard/check"
	"packyard/unit"
)

// Reading is how a log is to be read; the zero value finds everything itself.
type Reading struct {
	File     string            // name of the file, for messages
	Mapping  *Mapping          // nil: labels of the Battery Data Format, else plain words of the header
	Series   int               // cells in series in the item, for what is plausible; zero: 1
	Run      int               // ReadLog: which run of the clock, from 1; zero: there must be one only
	Rows     func(*Rows) error // called with some thousand rows at a time; nil: rows are only checked
	Text     io.Writer         // gets the plain text of the file as it is read; nil: nobody does
	Progress func(bytes int64) // called with the bytes read so far, uncompressed, now and then; nil: not
	Ended    func() error      // asked now and then; an error ends the reading with it; nil: goes to the end
}

// Rows are some rows of a log in SI, in the order of the file; the slices are used
// again for the next ones. All have the length of Line, but a nil one has no column.
type Rows struct {
	Run         int       // of the clock, from 1: one more each time the time goes back
	Line        []int     // in the file, from 1
	Time        []float64 // s, as in the file
	Voltage     []float64 // V
	Current     []float64 // A, with the sign of the file
	Temperature []float64 // K; of an empty field the one before, or 0 before the first
	Charge      []float64 // C, counted by the instrument, with the sign of the file's current
	Step        []float64 // dimensionless
}

// ReadReport says what was found in a file.
type ReadReport struct {
	File       string           `json:"file"`
	Layout     Layout           `json:"layout"`
	From       string           `json:"columns_from"` // how the columns were found
	Columns    []Column         `json:"columns"`
	Rows       int              `json:"rows_count"`
	Lines      int              `json:"lines_count"`
	Bytes      int64            `json:"bytes_count"` // uncompressed
	Runs       int              `json:"runs_count"`  // of the clock
	Positive   Sign             `json:"positive"`    // what positive current does
	SignFrom   string           `json:"positive_from"`
	SignFor    int              `json:"steps_for_count"`     // current steps that agree
	SignBut    int              `json:"steps_against_count"` // and those that do not
	Duration   unit.Time        `json:"duration_s"`          // all runs of the clock
	VoltageMin unit.Voltage     `json:"voltage_min_v"`
	VoltageMax unit.Voltage     `json:"voltage_max_v"`
	CurrentMin unit.Current     `json:"current_min_a"` // with the sign of the file
	CurrentMax unit.Current     `json:"current_max_a"`
	HasHeat    bool             `json:"has_temperature"`
	Coldest    unit.Temperature `json:"temperature_min_k"`
	Hottest    unit.Temperature `json:"temperature_max_k"`
	Faults     []Fault          `json:"faults"`
}

// Stops returns what must be settled before the log can be analysed, or nil.
func (r *ReadReport) Stops() *check.Problems {
	var p check.Problems
	for _, f := range r.Faults {
		if f.Stops {
			p.Add(check.Problem{Pos: f.Problem.Pos, Path: f.Problem.Path, Message: f.Problem.Message, Hint: f.Problem.Hint})
		}
	}
	if !p.Any() {
		return nil
	}
	return &p
}

// Plain returns the text of a file: that of a gzip file uncompressed, that of any
// other as it is, and whether it was compressed. A byte order mark is left out.
//
// Errors: those of the reader and of package gzip.
func Plain(in io.Reader) (io.Reader, bool, error) {
	b := bufio.NewReaderSize(in, chunk)
	magic, err := b.Peek(2)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, false, err
	}
	if !bytes.Equal(magic, []byte{0x1f, 0x8b}) {
		return b, false, nil
	}
	z, err := gzip.NewReader(b)
	if err != nil {
		return nil, true, fmt.Errorf("gzip: %w", err)
	}
	return z, true, nil
}

const (
	chunk      = 256 << 10 // bytes read at a time
	lineMost   = 1 << 20   // longest line
	rowsAtOnce = 4096
	toldEvery  = 4 << 20 // bytes between two calls of Progress
)

// Read reads a log row by row and checks it. Nothing is mended: what is wrong is in
// the report, with line numbers. Memory does not grow with the file.
//
// Errors: those of the reader, of Rows and of Ended. What is wrong with the file
// itself is no error but a fault of the report; see ReadReport.Stops.
func Read(in io.Reader, o Reading) (*ReadReport, error) {
	plain, compressed, err := Plain(in)
	r := &rowReader{o: o, series: float64(max(o.Series, 1))}
	r.f.file = o.File
	r.report.File = o.File
	r.report.Layout.Compressed = compressed
	if err != nil {
		if compressed {
			r.f.stop(FaultForm, "", 0, "compress the file again", "is no whole gzip file: %v", err)
			return r.end(), nil
		}
		return nil, err
	}
	if err := r.all(plain); err != nil {
		return nil, err
	}
	return r.end(), nil
}

// rowReader is one reading of one file.
type rowReader struct {
	o      Reading
	series float64
	l      layout
	slot   []int8 // place of each field in a row, −1: not looked at
	scale  [places]scale
	wanted uint32 // bits of the places that have a column
	must   uint32 // bits of those without which a line is no row
	v      [places]float64
	has    uint32
	line   int // of the line that is read, from 1
	f      faults
	k      checks
	rows   Rows
	report ReadReport
	told   int64 // bytes at the last call of Progress
	header []byte
}

// all reads the text to its end.
func (r *rowReader) all(in io.Reader) error {
	buf := make([]byte, 0, 2*chunk)
	buf, eof, err := r.fill(in, buf, headMost)
	if err != nil {
		return err
	}
	if !r.open(buf) {
		return nil
	}
	r.report.Bytes = int64(len(buf))
	for {
		rest, err := r.lines(buf)
		if err != nil {
			return err
		}
		if eof {
			r.tail(rest)
			return r.flush()
		}
		if len(rest) > lineMost {
			r.f.stop(FaultForm, "", r.line+1, "rows of some hundred characters are accepted", "the line is longer than %d bytes", lineMost)
			return r.flush()
		}
		buf = append(buf[:0], rest...)
		before := len(buf)
		if buf, eof, err = r.fill(in, buf, len(buf)+chunk); err != nil {
			return err
		}
		r.report.Bytes += int64(len(buf) - before)
		if err := r.tell(); err != nil {
			return err
		}
	}
}

// fill reads until the buffer has n bytes or the file ends. A gzip stream that is
// cut off or spoilt ends the file with a fault.
func (r *rowReader) fill(in io.Reader, buf []byte, n int) (_ []byte, eof bool, err error) {
	if cap(buf) < n {
		buf = append(make([]byte, 0, 2*n), buf...)
	}
	for len(buf) < n {
		got, err := in.Read(buf[len(buf):n])
		if r.o.Text != nil && got > 0 {
			if _, err := r.o.Text.Write(buf[len(buf) : len(buf)+got]); err != nil {
				return buf, false, err
			}
		}
		buf = buf[:len(buf)+got]
		switch {
		case err == nil:
			continue
		case errors.Is(err, io.EOF):
			return buf, true, nil
		case r.report.Layout.Compressed && errors.Is(err, io.ErrUnexpectedEOF):
			r.f.add(FaultTruncated, "", 0, "take the file again from the instrument", "the gzip file is cut off: what follows is missing")
			return buf, true, nil
		case r.report.Layout.Compressed && isGzip(err):
			r.f.stop(FaultForm, "", 0, "compress the file again", "is no whole gzip file: %v", err)
			return buf, true, nil
		}
		return buf, false, err
	}
	return buf, false, nil
}

func isGzip(err error) bool {
	var corrupt flate.CorruptInputError
	return errors.Is(err, gzip.ErrChecksum) || errors.Is(err, gzip.ErrHeader) || errors.As(err, &corrupt)
}

func (r *rowReader) tell() error {
	if r.report.Bytes-r.told < toldEvery {
		return nil
	}
	r.told = r.report.Bytes
	if r.o.Progress != nil {
		r.o.Progress(r.report.Bytes)
	}
	if r.o.Ended != nil {
		return r.o.Ended()
	}
	return nil
}

// open finds out what the head of a file is. It returns false when there is nothing to read.
func (r *rowReader) open(head []byte) bool {
	switch {
	case len(bytes.TrimSpace(head)) == 0:
		r.f.stop(FaultForm, "", 0, "a header and rows are accepted", "the file is empty")
		return false
	case bytes.HasPrefix(head, []byte{0xff, 0xfe}), bytes.HasPrefix(head, []byte{0xfe, 0xff}), looksWide(head):
		r.f.stop(FaultForm, "", 1, "save it as UTF-8", "the text is UTF-16")
		return false
	case bytes.HasPrefix(head, []byte("PK\x03\x04")):
		r.f.stop(FaultForm, "", 0, "save the sheet as CSV, or unpack it", "the file is a workbook or a zip archive")
		return false
	case bytes.IndexByte(head, 0) >= 0:
		r.f.stop(FaultForm, "", 0, "export it as text", "the file is binary")
		return false
	}
	if m := r.o.Mapping; m != nil && (len(m.Delimiter) > 1 || len(m.Mark) > 1) {
		r.f.stop(FaultForm, "", 0, "one character is accepted", "the mapping has the delimiter %q and the decimal mark %q", m.Delimiter, m.Mark)
		return false
	}
	head = bytes.TrimPrefix(head, []byte("\xef\xbb\xbf"))
	var ok bool
	if r.l, ok = headOf(head, r.o.Mapping); !ok {
		r.noRows(head)
		return false
	}
	r.lay(head)
	if r.l.header == nil && r.o.Mapping == nil {
		r.f.stop(FaultHeader, "", r.l.first+1, "map them by number: --column time=#1 --column voltage=#2 --column current=#3", "no line names the %d columns", r.l.fields)
	}
	r.report.Columns, r.report.From = columnsOf(&r.l, r.o.Mapping, &r.f)
	r.place()
	r.needed()
	return true
}

// looksWide reports whether every second byte is zero, as in UTF-16 without a mark.
func looksWide(head []byte) bool {
	n := min(len(head), 200) &^ 1
	zeros := bytes.Count(head[:n], []byte{0})
	return n > 8 && zeros*3 > n && zeros <= n/2
}

// noRows says why no rows were found.
func (r *rowReader) noRows(head []byte) {
	if ends := bytes.Count(head, []byte("\n")); len(head)-bytes.LastIndexByte(head, '\n') > headMost/2 {
		r.f.stop(FaultForm, "", ends+1, "rows of some hundred characters are accepted", "the line is longer than %d bytes", headMost/2)
		return
	}
	first, _, _ := bytes.Cut(head, []byte("\n"))
	columns := fieldsOf(bytes.TrimRight(first, "\r"), ',')
	if len(columns) > 2 && bytes.Count(head, []byte("\n")) < 2 {
		r.f.stop(FaultForm, "", 1, "rows below the header are accepted", "there is a header and no row")
		return
	}
	r.f.stop(FaultForm, "", 1, "lines with at least two numbers, divided by a comma, semicolon, tab or |, are accepted", "no line looks like a row: the first is %q", clipText(text(first), 60))
}

func (r *rowReader) lay(head []byte) {
	l := &r.report.Layout
	l.Delimiter, l.Mark = string(r.l.delimiter), string(r.l.mark)
	l.HeaderLine, l.FirstRow = r.l.headerLine+1, r.l.first+1
	if r.l.headerLine >= 0 {
		rest := head
		for range r.l.headerLine {
			rest = rest[bytes.IndexByte(rest, r.l.end)+1:]
		}
		line, _, _ := bytes.Cut(rest, []byte{r.l.end})
		r.header = bytes.Clone(bytes.TrimRight(line, "\r"))
	}
}

// place says where each field of a line goes in a row.
func (r *rowReader) place() {
	r.slot = make([]int8, max(r.l.fields, len(r.report.Columns)))
	for i := range r.slot {
		r.slot[i] = -1
	}
	for i := range r.report.Columns {
		c := &r.report.Columns[i]
		at := placeOf(c.Quantity)
		if at < 0 {
			continue
		}
		r.slot[i] = int8(at)
		r.scale[at] = scale{c.factor, c.offset}
		r.wanted |= 1 << at
		if c.Assumed {
			r.f.add(FaultUnit, string(c.Quantity), r.l.headerLine+1, "say it with --column "+string(c.Quantity)+"=\""+c.Header+"@"+c.Unit+"\"", "the column %q names no unit: taken as %s", c.Header, c.Unit)
		}
	}
	r.must = 1<<atVoltage | 1<<atCurrent | 1<<atTime
	if r.wanted&(1<<atTime) == 0 && r.wanted&(1<<atUnix) != 0 {
		r.must = 1<<atVoltage | 1<<atCurrent | 1<<atUnix
	}
}

// needed says which columns are missing.
func (r *rowReader) needed() {
	if r.f.list != nil && r.l.header == nil && r.o.Mapping == nil {
		return // said already
	}
	var lack []string
	for _, q := range []Quantity{QuantityTime, QuantityVoltage, QuantityCurrent} {
		if at := placeOf(q); r.must&(1<<at) != 0 && r.wanted&(1<<at) == 0 {
			lack = append(lack, string(q))
		}
	}
	if lack != nil {
		r.f.stop(FaultHeader, "", r.l.headerLine+1, fmt.Sprintf("name the column with --column %s=COLUMN; columns are %s", lack[0], headers(r.report.Columns)),
			"no column holds the %s", strings.Join(lack, " and no column the "))
	}
}

// lines reads the whole lines of a buffer and returns what is left behind the last.
func (r *rowReader) lines(b []byte) (rest []byte, err error) {
	for {
		at := bytes.IndexByte(b, r.l.end)
		if at < 0 {
			return b, nil
		}
		r.line++
		if r.line > r.l.first {
			if err := r.read(b[:at]); err != nil {
				return nil, err
			}
		}
		b = b[at+1:]
	}
}

// tail reads what stands behind the last end of a line.
func (r *rowReader) tail(rest []byte) {
	if len(bytes.TrimSpace(rest)) == 0 || r.line < r.l.first {
		return
	}
	r.line++
	before := r.k.rows
	n := 0
	for b, more := rest, true; more && n < fieldsMost; n++ {
		_, b, more = nextField(b, r.l.delimiter)
	}
	if n < r.l.fields {
		r.f.add(FaultTruncated, "", r.line, "take the file again from the instrument if the end matters", "the last line has %d of %d fields and no line end: it is cut off and gave no row", n, r.l.fields)
		r.f.lost(FaultTruncated, "")
		return
	}
	if err := r.read(rest); err == nil && r.k.rows > before {
		r.f.add(FaultTruncated, "", r.line, "take the file again from the instrument if the end matters", "the last line has no line end: its last figure may be cut off")
	}
}
