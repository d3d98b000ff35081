package bench

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// fixedClock is the clock of the tests.
func fixedClock() time.Time { return time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC) }

// empty returns a bench without items.
func empty(t testing.TB) *Store {
	t.Helper()
	s, err := Open(t.Context(), filepath.Join(t.TempDir(), FileName), OpenOptions{Now: fixedClock})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	return s
}

// discharge is an invented log: a discharge with current in A, and a
// rest; charging is positive.
func discharge(current float64, rows int) string {
	var b strings.Builder
	b.WriteString("Test Time / s,Voltage / V,Current / A,Net Capacity / Ah,Step ID,Temperature T1 / degC\n")
	q := 0.0
	for i := range rows {
		amps, step := 0.0, 1
		if i >= rows/10 && i < rows*9/10 {
			amps, step = -current, 2
			q -= current / 3600
		} else if i >= rows*9/10 {
			step = 3
		}
		fmt.Fprintf(&b, "%d,%.4f,%.3f,%.7f,%d,%.1f\n", i, 4.1+0.03*amps+1800*q/current/float64(rows), amps, q, step, 25+5*float64(i)/float64(rows))
	}
	return b.String()
}

// endless gives the text of a log of any length without holding it.
type endless struct {
	size, given int64
	row         int
	buf         []byte
}

func (e *endless) Read(p []byte) (int, error) {
	for len(e.buf) < len(p) && e.given < e.size {
		before := len(e.buf)
		if e.row == 0 {
			e.buf = append(e.buf, "Test Time / s,Step Count / 1,Step Type,Voltage / V,Current / A,Discharging Capacity / Ah,Temperature T1 / degC\n"...)
		}
		amps, name := 0.0, "REST"
		if e.row%100 < 40 {
			amps, name = -12.5, "CC_DCH"
		}
		e.buf = fmt.Appendf(e.buf, "%.1f,%d,%s,%.4f,%.4f,%.6f,%.2f\n", float64(e.row)*0.1, e.row/100, name, 3.7+0.002*amps-0.00001*float64(e.row%1000), amps, float64(e.row)*0.00001, 25.1+0.01*float64(e.row%13))
		e.row++
		e.given += int64(len(e.buf) - before)
	}
	if len(e.buf) == 0 {
		return 0, io.EOF
	}
	n := copy(p, e.buf)
	e.buf = append(e.buf[:0], e.buf[n:]...)
	return n, nil
}

// exported is an export in memory.
type exported map[string]*bytes.Buffer

func (e exported) create(name string) (io.WriteCloser, error) {
	b := &bytes.Buffer{}
	e[name] = b
	return writeCloser{b}, nil
}

type writeCloser struct{ io.Writer }

func (writeCloser) Close() error { return nil }

// contextOfChild is the context of a child process, which has no test.
func contextOfChild() context.Context { return context.Background() }

// openBare opens a database without bringing it to the newest version.
func openBare(t *testing.T, path string) *Store {
	t.Helper()
	s, err := open(path, fixedClock)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.Close() })
	return s
}
