package celltest

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"packyard/check/checktest"
)

// Every text that the standard library reads as a plain decimal is read alike, to
// the last bit.
func TestNumbersAreReadToTheLastBit(t *testing.T) {
	t.Parallel()
	same := func(t interface{ Errorf(string, ...any) }, s string) {
		want, err := strconv.ParseFloat(s, 64)
		if err != nil && !math.IsInf(want, 0) {
			t.Errorf("%q: %v", s, err)
			return
		}
		got, end := number([]byte(s), 0, '.')
		if end != len(s) || math.Float64bits(got) != math.Float64bits(want) {
			t.Errorf("%q: got %v up to %d, want %v (source: strconv, IEEE 754)", s, got, end, want)
		}
		comma := strings.Replace(s, ".", ",", 1)
		if got, end = number([]byte(comma), 0, ','); end != len(s) || math.Float64bits(got) != math.Float64bits(want) {
			t.Errorf("%q with a decimal comma: got %v, want %v", comma, got, want)
		}
	}
	for _, s := range []string{"0", "-0", "+1", "1.", ".5", "3.7012", "-2.9000", "9007199254740993", "1e22", "1e23", "1e-22", "123456789012345678901234567890",
		"0.1", "4.35", "1e400", "-1E-400", "5e-324", "2.2250738585072011e-308", "0.000000000000000000000000000001", "1e999999999999"} {
		same(t, s)
	}
	checktest.Check(t, func(t *rapid.T) {
		v := rapid.Float64().Draw(t, "value")
		if v-v != 0 {
			return
		}
		same(t, strconv.FormatFloat(v, byte(rapid.SampledFrom([]rune("fge")).Draw(t, "form")), rapid.IntRange(-1, 20).Draw(t, "digits"), 64))
	})
}

func TestClocksAreReadInSeconds(t *testing.T) {
	t.Parallel()
	for s, want := range map[string]float64{
		"0:00:01": 1, "1:02:03.5": 3723.5, "100:00:00": 360000, "02:03": 123, "1970-01-02 00:00:00": 86400,
		"2024-03-01T00:00:00Z": 1709251200, // source: POSIX, seconds since the epoch (`date -u -d 2024-03-01 +%s`)
		"2024-02-29 12:30":     1709209800, // source: as above
	} {
		if got, ok := clock([]byte(s), '.'); !ok || got != want {
			t.Errorf("clock(%q) = %v, %v, want %v", s, got, ok, want)
		}
	}
	for _, s := range []string{"", ":", "1:", "1:60:00", "1:00:60", "a:b:c", "2024-13-01 00:00:00", "1:-2", "12"} {
		if got, ok := clock([]byte(s), '.'); ok {
			t.Errorf("clock(%q) = %v, want none", s, got)
		}
	}
}

func TestBatteryLabelsAreRead(t *testing.T) {
	t.Parallel()
	list, err := batteryLabels()
	if err != nil {
		t.Fatal(err)
	}
	read := 0
	for _, l := range list {
		if l.quantity == "" {
			continue
		}
		read++
		var c Column
		if err := c.in(l.quantity, l.unit); err != nil {
			t.Errorf("%s %s: %v", l.machine, l.preferred, err)
		}
		for _, name := range []string{l.machine, l.preferred} {
			if got, ok := labelled(name); name != "" && (!ok || got.quantity != l.quantity) {
				t.Errorf("%q is read as %q, want %q (source: bdf-1-3)", name, got.quantity, l.quantity)
			}
		}
	}
	if len(list) != 69 || read < 12 {
		t.Errorf("%d labels, %d of them read; the format has 56 terms, 2 × 5 temperatures and older names", len(list), read)
	}
}

// The mapping of a builder is used as it stands, by name and by number.
func TestColumnsAreMappedOnce(t *testing.T) {
	t.Parallel()
	text := "Station 4\nZeit;Uz;Iz;Stufe\n0,0;3700;0;1\n1,0;3680;1000;1\n2,0;3679;1000;1\n3,0;3699;0;2\n4,0;3680;1000;2\n5,0;3700;0;3\n"
	m := &Mapping{Name: "station", Positive: Discharging}
	for _, s := range []string{"time=Zeit@s", "voltage=Uz@mV", "current=#3@mA", "step=Stufe"} {
		c, err := ParseColumn(s)
		if err != nil {
			t.Fatal(err)
		}
		m.Columns = append(m.Columns, c)
	}
	l, r, err := ReadLog(strings.NewReader(text), Reading{Mapping: m})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Faults) > 0 || r.Positive != Discharging || r.Layout.Mark != "," || r.Layout.HeaderLine != 2 {
		t.Errorf("faults %v, positive %s, layout %+v", r.Faults, r.Positive, r.Layout)
	}
	if !slices.Equal(l.Current, []float64{0, 1, 1, 0, 1, 0}) || l.Voltage[1] != 3.68 || !slices.Equal(l.Step, []float64{1, 1, 1, 2, 2, 3}) {
		t.Errorf("current %v, voltage %v, step %v", l.Current, l.Voltage, l.Step)
	}
	if m.Fits([]string{"Zeit", "Uz", "Iz", "Stufe"}) {
		t.Error("a mapping with a column by number fits unasked")
	}
	m.Columns[2].Header = "Iz"
	if !m.Fits([]string{"Stufe", "Zeit", "Uz", "Iz"}) || m.Fits([]string{"Zeit", "Uz"}) {
		t.Error("a mapping fits where all its columns are, and nowhere else")
	}
	for _, s := range []string{"voltage", "tension=U", "voltage=U@furlong", "=U", "voltage="} {
		if _, err := ParseColumn(s); !errors.Is(err, ErrMapping) {
			t.Errorf("ParseColumn(%q) = %v, want ErrMapping", s, err)
		}
	}
}

// The asymmetrical run: a discharge that is longer than the charge cannot be read
// the wrong way round, whatever sign the file has.
func TestSignOfTheFileIsTurnedOnReading(t *testing.T) {
	t.Parallel()
	for _, sign := range []float64{1, -1} {
		var b strings.Builder
		b.WriteString("Time (s),Voltage (V),Current (A)\n")
		for i := range 100 {
			out := 0.0
			switch {
			case i >= 10 && i < 60:
				out = 2
			case i >= 70 && i < 80:
				out = -1
			}
			fmt.Fprintf(&b, "%d,%.3f,%g\n", i, 3.7-0.05*out, sign*out)
		}
		l, r, err := ReadLog(strings.NewReader(b.String()), Reading{})
		if err != nil {
			t.Fatal(err)
		}
		want := Discharging
		if sign < 0 {
			want = Charging
		}
		if r.Positive != want || l.Current[20] != 2 || l.Current[75] != -1 {
			t.Errorf("sign %v: positive is %s, current %v and %v, want discharge 2 and charge -1", sign, r.Positive, l.Current[20], l.Current[75])
		}
	}
}

func TestRunsOfTheClockAreChosen(t *testing.T) {
	t.Parallel()
	good := strings.Join(goodLog(), "\n") + "\n"
	twice := good + strings.Join(goodLog()[1:], "\n") + "\n"
	if _, _, err := ReadLog(strings.NewReader(twice), Reading{}); !errors.Is(err, ErrRuns) {
		t.Errorf("err = %v, want ErrRuns", err)
	}
	for run := 1; run <= 2; run++ {
		l, _, err := ReadLog(strings.NewReader(twice), Reading{Run: run})
		if err != nil || l.Len() != 200 || l.Line[0] != 2+200*(run-1) {
			t.Errorf("run %d: %v, %d rows from line %d", run, err, l.Len(), l.Line[0])
		}
	}
	if _, _, err := ReadLog(strings.NewReader(twice), Reading{Run: 3}); !errors.Is(err, ErrRuns) {
		t.Errorf("run 3: err = %v, want ErrRuns", err)
	}
}

// Reading in pieces of any size gives the same, and errors of the reader, of the
// rows and of the one who waits come back.
func TestReadingInPiecesIsReadingAtOnce(t *testing.T) {
	t.Parallel()
	text := sampleLog(20_000)
	whole, _, err := ReadLog(bytes.NewReader(text), Reading{})
	if err != nil {
		t.Fatal(err)
	}
	l, _, err := ReadLog(&pieces{text: text, size: 1013}, Reading{})
	if err != nil || !slices.Equal(l.Voltage, whole.Voltage) || !slices.Equal(l.Line, whole.Line) {
		t.Errorf("in pieces: %v, %d rows, want %d", err, l.Len(), whole.Len())
	}
	boom := errors.New("boom")
	if _, err := Read(io.MultiReader(bytes.NewReader(text[:600_000]), &pieces{err: boom}), Reading{}); !errors.Is(err, boom) {
		t.Errorf("error of the reader: %v", err)
	}
	if _, err := Read(bytes.NewReader(text), Reading{Rows: func(*Rows) error { return boom }}); !errors.Is(err, boom) {
		t.Errorf("error of the rows: %v", err)
	}
	seen := int64(0)
	big := io.MultiReader(bytes.NewReader(text), bytes.NewReader(bytes.Repeat(text[bytes.IndexByte(text, '\n')+1:], 6)))
	if _, err := Read(big, Reading{Progress: func(n int64) { seen = n }, Ended: func() error {
		if seen > 0 {
			return boom
		}
		return nil
	}}); !errors.Is(err, boom) || seen < toldEvery {
		t.Errorf("error of the one who waits: %v after %d bytes", err, seen)
	}
}

// pieces gives its text in small reads, then err or the end.
type pieces struct {
	text []byte
	size int
	err  error
}

func (p *pieces) Read(b []byte) (int, error) {
	if len(p.text) == 0 {
		if p.err != nil {
			return 0, p.err
		}
		return 0, io.EOF
	}
	n := copy(b, p.text[:min(p.size, len(p.text))])
	p.text = p.text[n:]
	return n, nil
}

// Nothing is allocated for a row: ten times the rows cost the same.
func TestMemoryDoesNotGrowWithTheFile(t *testing.T) {
	few, many := sampleLog(5_000), sampleLog(100_000)
	cost := func(text []byte) float64 {
		return testing.AllocsPerRun(3, func() {
			if _, err := Read(bytes.NewReader(text), Reading{}); err != nil {
				t.Error(err)
			}
		})
	}
	if a, b := cost(few), cost(many); b > a+20 {
		t.Errorf("5 000 rows take %v allocations and 100 000 take %v", a, b)
	}
}

// The reference logs: rows, range and charge as their description says. Charge by
// the trapezoid over the whole file; the traps of the description are left in.
func TestReferenceLogsAreRead(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		file    string
		rows    int
		least   float64 // V; zero: not stated
		net     float64 // Ah by the trapezoid; zero: not stated
		tol     float64 // of net, relative
		counted float64 // Ah by the instrument; zero: not stated
		cold    float64 // °C
		hot     float64
		gaps    int
	}{
		{"ncr18650pf/discharge_1c_25c_start.csv", 379, 2.499, 2.802, 2e-4, 2.798, 25.0, 32.9, 0},
		{"ncr18650pf/discharge_1c_25c_end.csv", 334, 2.499, 0, 0, 2.434, 24.6, 33.4, 0},
		{"ncr18650pf/c20_25c.csv", 2450, 2.499, 2.997 - 2.616, 2e-3, 2.997 - 2.616, 24.8, 26.1, 0},
		{"ncr18650pf/us06_25c.csv.gz", 48060, 2.494, 2.586, 2e-4, 2.586, 25.6, 33.0, 0},
		{"ncr18650pf/hwfet_25c.csv.gz", 75954, 2.502, 2.708, 2e-4, 2.708, 25.6, 29.8, 0},
		{"ncr18650pf/udds_0c.csv.gz", 128521, 2.498, 2.320, 5e-4, 2.320, 0.5, 3.5, 0},
		{"ncr18650pf/us06_n10c.csv.gz", 31087, 2.496, 2.030, 2e-3, 2.030, -10.1, 6.9, 0},
		{"ncr18650pf/hppc_25c.csv.gz", 102647, 0, 1.34, 2e-3, 2.773, 0, 0, 13},
		{"ncr18650pf/hppc_25c_between.csv", 490, 0, 18.1, 3e-3, 0, 0, 0, 25},
		{"leaf33/discharge_1c.csv", 279, 0, 30.33, 2e-4, 0, 0, 0, 0},
		{"leaf33/discharge_2c.csv", 178, 0, 29.95, 2e-4, 0, 0, 0, 0},
		{"leaf33/discharge_3c.csv", 184, 0, 28.61, 5e-4, 0, 0, 0, 0},
		{"leaf33/hppc_25c.csv", 13248, 0, 0, 0, 0, 0, 0, 0},
	} {
		t.Run(c.file, func(t *testing.T) {
			t.Parallel()
			const source = "reference/celltests/README.md, what a correct reading gives"
			in, err := os.Open(checktest.Reference(t, "celltests", c.file))
			if err != nil {
				t.Fatal(err)
			}
			defer func() { _ = in.Close() }()
			l, r, err := ReadLog(in, Reading{File: c.file})
			if err != nil {
				t.Fatal(err)
			}
			if r.Rows != c.rows || r.Positive != Charging {
				t.Errorf("%d rows, positive is %s; want %d, charging (source: %s)", r.Rows, r.Positive, c.rows, source)
			}
			net := 0.0
			for i := 1; i < l.Len(); i++ {
				net += (l.Current[i] + l.Current[i-1]) / 2 * (l.Time[i] - l.Time[i-1]) / 3600
			}
			if c.net != 0 {
				checktest.Near(t, "net charge in Ah", net, c.net, 0.5e-3, c.tol, source)
			}
			if c.counted != 0 {
				checktest.Near(t, "counted charge in Ah", l.Charge[l.Len()-1]/3600, c.counted, 1e-3, 5e-4, source)
			}
			if c.least != 0 {
				checktest.Near(t, "lowest voltage", float64(r.VoltageMin), c.least, 0.6e-3, 0, source+"; three digits")
			}
			if c.hot != 0 {
				checktest.Near(t, "coldest in °C", float64(r.Coldest)-273.15, c.cold, 0.051, 0, source+"; one digit")
				checktest.Near(t, "hottest in °C", float64(r.Hottest)-273.15, c.hot, 0.051, 0, source+"; one digit")
			}
			gaps := 0
			for _, f := range r.Faults {
				if f.Kind == FaultGap {
					gaps = f.Count
				}
			}
			if gaps != c.gaps {
				t.Errorf("%d gaps, want %d", gaps, c.gaps)
			}
		})
	}
}

// Any bytes end in a report: no panic, no endless reading, every number finite, the
// lines of the rows rising, and a fault for whatever gave no row.
func FuzzRead(f *testing.F) {
	for _, b := range brokenFiles() {
		if len(b.text) < 1<<16 {
			f.Add([]byte(b.text))
		}
	}
	f.Add([]byte("a\tb\n1,5\t2\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		if len(text) > 1<<16 {
			return
		}
		rows, last := 0, 0
		r, err := Read(bytes.NewReader(text), Reading{File: "x", Rows: func(r *Rows) error {
			for i, line := range r.Line {
				for _, v := range []float64{r.Time[i], r.Voltage[i], r.Current[i]} {
					if v-v != 0 {
						t.Errorf("line %d: %v", line, v)
					}
				}
				if line <= last {
					t.Errorf("line %d after line %d", line, last)
				}
				last = line
			}
			rows += len(r.Line)
			return nil
		}})
		if err != nil {
			t.Fatal(err)
		}
		if rows != r.Rows {
			t.Errorf("%d rows were handed out and %d counted", rows, r.Rows)
		}
		if r.Rows == 0 && r.Stops() == nil {
			t.Error("no row and no fault that stops")
		}
		for _, f := range r.Faults {
			if f.Text() == "" || f.Count < 1 {
				t.Errorf("fault without words or count: %+v", f)
			}
		}
	})
}
