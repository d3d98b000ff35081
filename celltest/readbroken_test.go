package celltest

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"strings"
	"testing"
)

// goodLog is a discharge and a rest in plain form, invented: 1 A out of a cell of
// 20 mΩ for 100 s, one row a second, then 100 s without current.
func goodLog() []string {
	lines := []string{"Test Time / s,Voltage / V,Current / A,Net Capacity / Ah,Temperature T1 / degC"}
	q := 0.0
	for i := range 200 {
		current := 0.0
		if i >= 20 && i < 120 {
			current = -1
		}
		if i > 20 && i < 120 {
			q += current / 3600
		}
		lines = append(lines, fmt.Sprintf("%d,%.4f,%.3f,%.6f,%.1f", i, 3.7+0.02*current+0.3*q, current, q, 25+0.01*float64(i)))
	}
	return lines
}

// changed returns the good log after f was applied to each row's fields; i counts
// rows from 0.
func changed(f func(i int, fields []string) []string) string {
	lines := goodLog()
	for i := 1; i < len(lines); i++ {
		lines[i] = strings.Join(f(i-1, strings.Split(lines[i], ",")), ",")
	}
	return strings.Join(lines, "\n") + "\n"
}

// set replaces one field of one row.
func set(row, field int, s string) string {
	return changed(func(i int, f []string) []string {
		if i == row {
			f[field] = s
		}
		return f
	})
}

// scaled multiplies one column and writes the header anew.
func scaled(field int, factor, offset float64, header string) string {
	s := changed(func(_ int, f []string) []string {
		v, _ := number([]byte(f[field]), 0, '.')
		f[field] = fmt.Sprintf("%.4f", v*factor+offset)
		return f
	})
	first, rest, _ := strings.Cut(s, "\n")
	if header != "" {
		h := strings.Split(first, ",")
		h[field] = header
		first = strings.Join(h, ",")
	}
	return first + "\n" + rest
}

func packed(s string) []byte {
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	_, _ = z.Write([]byte(s))
	_ = z.Close()
	return b.Bytes()
}

func wide(s string) string {
	var b strings.Builder
	b.WriteString("\xff\xfe")
	for _, c := range []byte(s) {
		b.WriteByte(c)
		b.WriteByte(0)
	}
	return b.String()
}

// brokenFile is a file with one thing wrong, and what is said of it.
type brokenFile struct {
	name string
	text string
	kind FaultKind
	stop bool
	line int    // of the first place, zero where it is the whole file
	rows int    // that are read all the same
	says string // a part of the message
}

func brokenFiles() []brokenFile {
	good := strings.Join(goodLog(), "\n") + "\n"
	header := goodLog()[0] + "\n"
	gz := packed(good)
	spoilt := bytes.Clone(gz)
	spoilt[len(spoilt)-6] ^= 0xff
	return []brokenFile{
		{"empty", "", FaultForm, true, 0, 0, "the file is empty"},
		{"blank lines only", "\n\n  \n", FaultForm, true, 0, 0, "the file is empty"},
		{"header without rows", header, FaultForm, true, 1, 0, "there is a header and no row"},
		{"prose", "dear workshop\nthe log is in the other file\n", FaultForm, true, 1, 0, "no line looks like a row"},
		{"binary", "\x00\x01\x02\x03\x04rows", FaultForm, true, 0, 0, "the file is binary"},
		{"workbook", "PK\x03\x04\x14\x00", FaultForm, true, 0, 0, "a workbook or a zip archive"},
		{"UTF-16", wide(good), FaultForm, true, 1, 0, "the text is UTF-16"},
		{"gzip cut off", string(gz[:len(gz)-200]), FaultTruncated, false, 0, -1, "the gzip file is cut off"},
		{"gzip spoilt", string(spoilt), FaultForm, true, 0, -1, "is no whole gzip file"},
		{"rows without a header", strings.TrimPrefix(good, header), FaultHeader, true, 1, -1, "no line names the 5 columns"},
		{"no voltage", strings.Replace(good, "Voltage / V", "Pressure / Pa", 1), FaultHeader, true, 1, 0, "no column holds the voltage"},
		{"two currents", strings.Replace(good, "Net Capacity / Ah", "Current / A", 1), FaultHeader, true, 1, -1, `columns 3 "Current / A" and 4 "Current / A" both hold it`},
		{"time goes back", set(100, 0, "3"), FaultBack, false, 102, 200, "the time goes back by 96.00 s, to 3.000 s"},
		{"time repeats", set(100, 0, "99"), FaultRepeat, false, 102, 200, "the time is that of the row before"},
		{"a row twice", changed(func(i int, f []string) []string {
			if i == 50 {
				f[4] += "\n" + strings.Join(f, ",")
			}
			return f
		}), FaultRepeat, false, 53, 201, "the time is that of the row before"},
		{"a gap", changed(func(i int, f []string) []string {
			if i >= 150 {
				f[0] = fmt.Sprint(i + 4000)
			}
			return f
		}), FaultGap, false, 152, 200, "nothing was recorded for 66.68 min"},
		{"no clock", changed(func(i int, f []string) []string { f[0] = fmt.Sprint(i * 7919 % 200); return f }), FaultSwapped, true, 2, 200, "it is no clock"},
		{"counter reset", changed(func(i int, f []string) []string {
			if i >= 80 {
				q, _ := number([]byte(f[3]), 0, '.')
				f[3] = fmt.Sprintf("%.6f", q+60.0/3600)
			}
			return f
		}), FaultReset, false, 82, 200, "the counter falls from"},
		{"millivolts", scaled(1, 1000, 0, ""), FaultUnit, true, 2, 200, "is the column in mV?"},
		{"volts said to be millivolts", strings.Replace(good, "Voltage / V", "Voltage / mV", 1), FaultUnit, true, 2, 200, "is the column in V?"},
		{"milliamperes", scaled(2, 1000, 0, ""), FaultUnit, true, 2, 200, "is the column in mA?"},
		{"milliseconds", scaled(0, 1000, 0, ""), FaultUnit, true, 2, 200, "a slip of units (mA or ms, or a counter in mAh)"},
		{"minutes", scaled(0, 1.0/60, 0, ""), FaultUnit, true, 2, 200, "a slip of units (minutes)"},
		{"counter in mAh", scaled(3, 1000, 0, ""), FaultUnit, true, 2, 200, "a counter in mAh"},
		{"Fahrenheit", scaled(4, 1.8, 32, ""), FaultUnit, true, 2, 200, "is the column in °F?"},
		{"kelvin", scaled(4, 1, 273.15, ""), FaultUnit, true, 2, 200, "is the column in K?"},
		{"voltage and current exchanged", changed(func(_ int, f []string) []string { f[1], f[2] = f[2], f[1]; return f }), FaultSwapped, true, 2, 200, "are they exchanged?"},
		{"sign against the label", scaled(2, -1, 0, ""), FaultSign, true, 2, 200, "say that positive current is charging, but the voltage falls with it"},
		{"voltage of a module", scaled(1, 8, 0, ""), FaultRange, false, 2, 200, "more than one cell has"},
		{"last line cut off", strings.TrimSuffix(good, ",0.000,-0.027500,27.0\n"), FaultTruncated, false, 201, 199, "the last line has 2 of 5 fields and no line end"},
		{"last figure cut off", strings.TrimSuffix(good, ".0\n"), FaultTruncated, false, 201, 200, "its last figure may be cut off"},
		{"a field too many", set(10, 1, "3.7,"), FaultFields, false, 12, 199, "the line has 6 fields and the rows have 5"},
		{"text in a number", set(10, 1, "OVER"), FaultText, false, 12, 199, `"OVER" is no number`},
		{"text in a temperature", set(10, 4, "open"), FaultText, false, 12, 200, "that of the row before stands for it"},
		{"not a number", set(10, 2, "NaN"), FaultText, false, 12, 199, `"NaN" is no number`},
		{"too large", set(10, 2, "1e400"), FaultText, false, 12, 199, "the number is too large"},
		{"spreadsheet error", set(10, 1, "#REF!"), FaultText, false, 12, 199, `"#REF!" is no number`},
		{"decimal comma in one row", set(10, 1, `"3,7"`), FaultText, false, 12, 199, `"3,7" is no number`},
		{"gap of thousands", set(10, 0, "1 000"), FaultText, false, 12, 199, `"1 000" is no number`},
		{"quotation mark not closed", set(10, 1, `"3.7`), FaultText, false, 12, 199, `is no number`},
		{"voltage missing", set(10, 1, ""), FaultMissing, false, 12, 199, "the field is empty: no row"},
		{"temperature missing", set(10, 4, ""), FaultMissing, false, 12, 200, "that of the row before stands for it"},
		{"temperature never recorded", changed(func(_ int, f []string) []string { f[4] = ""; return f }), FaultMissing, false, 1, 200, "the column is empty"},
		{"two logs in one file", good + good, FaultRepeated, false, 202, 400, "the header stands again"},
		{"unit not named", strings.Replace(good, header, "time,voltage,current,charge,temperature\n", 1), FaultUnit, false, 1, 200, "names no unit: taken as s"},
		{"counter that loses charge", scaled(3, 0.7, 0, ""), FaultCounter, false, 2, 200, "the instrument counted"},
		{"delimiter behind the last field", set(10, 4, "25.1,"), FaultTrailing, false, 12, 200, "a delimiter stands behind the last field"},
		{"line without end", header + strings.Repeat("1", 2*lineMost), FaultForm, true, 2, 0, "the line is longer than"},
	}
}

func TestBrokenLogsAreToldWithTheirLines(t *testing.T) {
	t.Parallel()
	kinds := map[FaultKind]bool{}
	for _, b := range brokenFiles() {
		kinds[b.kind] = true
		t.Run(b.name, func(t *testing.T) {
			t.Parallel()
			r, err := Read(strings.NewReader(b.text), Reading{File: "log.csv"})
			if err != nil {
				t.Fatal(err)
			}
			var said []string
			for _, f := range r.Faults {
				if f.Kind == b.kind && strings.Contains(f.Text(), b.says) {
					if f.Stops != b.stop || f.Problem.Pos.Line != b.line {
						t.Errorf("%s: stops %v at line %d, want %v at %d", f.Text(), f.Stops, f.Problem.Pos.Line, b.stop, b.line)
					}
					if b.rows >= 0 && r.Rows != b.rows {
						t.Errorf("%d rows were read, want %d", r.Rows, b.rows)
					}
					return
				}
				said = append(said, fmt.Sprintf("%s: %s", f.Kind, f.Text()))
			}
			t.Errorf("nothing of kind %q says %q; said was:\n%s", b.kind, b.says, strings.Join(said, "\n"))
		})
	}
	if len(brokenFiles()) < 30 || len(kinds) < 15 {
		t.Errorf("%d broken files of %d kinds; 30 and 15 are wanted", len(brokenFiles()), len(kinds))
	}
}

// One fault is told as one fault: the good log has none, and one that was broken in
// one place says nothing else that stops it.
func TestSoundLogsHaveNoFault(t *testing.T) {
	t.Parallel()
	good := strings.Join(goodLog(), "\n") + "\n"
	for name, text := range map[string]string{
		"plain":           good,
		"Windows ends":    strings.ReplaceAll(good, "\n", "\r\n"),
		"old Mac ends":    strings.ReplaceAll(good, "\n", "\r"),
		"byte order mark": "\xef\xbb\xbf" + good,
		"gzip":            string(packed(good)),
		"tabs":            strings.ReplaceAll(good, ",", "\t"),
		"decimal comma":   strings.ReplaceAll(strings.ReplaceAll(good, ",", ";"), ".", ","),
		"preamble":        "Bench 3\nOperator: nobody\n\n" + good,
		"machine names":   strings.Replace(good, goodLog()[0], "test_time_second,voltage_volt,current_ampere,net_capacity_ah,temperature_t1_celsius", 1),
		"quoted":          `"` + strings.ReplaceAll(strings.ReplaceAll(strings.TrimSuffix(good, "\n"), ",", `","`), "\n", "\"\n\"") + "\"\n",
		"units in a line": strings.Replace(good, goodLog()[0], "Time,Voltage,Current,Charge,T1\n(s),(V),(A),(Ah),(°C)", 1),
		"in brackets":     strings.Replace(scaled(1, 1000, 0, ""), goodLog()[0], "Time [s],U [mV],I [A],Ah,Temp (\xb0C)", 1),
		"Fahrenheit":      scaled(4, 1.8, 32, "Temperature T1 / degF"),
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			l, r, err := ReadLog(strings.NewReader(text), Reading{File: "log.csv"})
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range r.Faults {
				t.Errorf("fault %s: %s", f.Kind, f.Text())
			}
			if l.Len() != 200 || r.Positive != Charging || r.Columns[1].Quantity != QuantityVoltage {
				t.Fatalf("%d rows, positive is %s, columns %+v", l.Len(), r.Positive, r.Columns)
			}
			if l.Current[50] != 1 || l.Time[50] != 50 || l.Voltage[0] != 3.7 && name != "in brackets" || l.Charge[199] <= 0 {
				t.Errorf("current %v at %v s, first voltage %v, charge out %v", l.Current[50], l.Time[50], l.Voltage[0], l.Charge[199])
			}
			if got := l.Temperature[0]; got < 298.149 || got > 298.151 {
				t.Errorf("first temperature %v K, want 298.15", got)
			}
		})
	}
}
