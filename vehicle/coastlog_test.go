package vehicle_test

import (
	"errors"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"testing/iotest"

	"packyard/check"
	"packyard/check/checktest"
	"packyard/vehicle"
)

const goodLog = `# invented coast-down
time (s),speed (km/h),run,direction
0.0,100.0,1,out
0.5,99.1,1,out

1.0,98.3,1,out
0.0,100.4,2,back
0.5,99.3,2,back
`

func TestCoastLogIsReadWithItsUnits(t *testing.T) {
	t.Parallel()
	runs, err := vehicle.ReadCoastDown(strings.NewReader(goodLog), "log.csv")
	if err != nil {
		t.Fatal(err)
	}
	if len(runs) != 2 || len(runs[0].Time) != 3 || len(runs[1].Speed) != 2 || runs[0].Back || !runs[1].Back || runs[1].Name != "2" {
		t.Fatalf("runs: got %+v", runs)
	}
	checktest.Near(t, "speed, m/s", runs[0].Speed[1], 99.1/3.6, 1e-12, 0, "SI brochure (km/h)")
	for header, want := range map[string]float64{
		"time [min],speed [mph]": 10 * 0.44704, "time_s,speed_kmh": 10 / 3.6, "time (s);speed (km/h)": 10 / 3.6, "time (s)\tspeed (km/h)": 10 / 3.6, "\ufeffSpeed (m/s),other,Time (ms)": 10,
		`"time (s)","speed (ft/s)"`: 3.048,
	} {
		row := "1,10"
		if strings.Contains(header, "other") {
			row = "10,x,1"
		}
		for _, other := range []string{";", "\t"} {
			if strings.Contains(header, other) {
				row = "1" + other + "10"
			}
		}
		runs, err := vehicle.ReadCoastDown(strings.NewReader(header+"\r\n"+row+"\r\n"), "log.csv")
		if err != nil {
			t.Errorf("%q: %v", header, err)
			continue
		}
		checktest.Near(t, header, runs[0].Speed[0], want, 1e-12, 0, "NIST SP 811; SI brochure")
	}
}

func TestCoastLogProblemsNameLineColumnAndRemedy(t *testing.T) {
	t.Parallel()
	head := "time (s),speed (km/h)\n"
	for _, c := range []struct {
		name, text     string
		line, col      int
		message, hints string
	}{
		{"empty", "", 1, 1, "empty", "time (s)"},
		{"no rows", head, 1, 1, "no rows", "header"},
		{"no unit", "time,speed (km/h)\n", 1, 1, "needs a unit", "write time (s)"},
		{"wrong dimension", "time (s),speed (kg)\n", 1, 10, "not a unit of speed", "km/h"},
		{"missing column", "time (s),pace (m/s)\n", 1, 1, `"speed" is missing`, "speed (km/h)"},
		{"column twice", "time (s),time (s),speed (m/s)\n", 1, 10, "twice", "once"},
		{"decimal comma between semicolons", "time (s);speed (km/h)\n0;99,1\n", 2, 3, "not a number", "write 99.1"},
		{"decimal comma", head + "0,5,99,1\n", 2, 1, "4 columns", "point"},
		{"text", head + "0,100\n1,fast\n", 3, 3, `"fast" is not a number`, "decimal number"},
		{"NaN", head + "0,NaN\n", 2, 3, "not a number", "decimal number"},
		{"infinity", head + "1e999,3\n", 2, 1, "not a number", "decimal number"},
		{"time back", head + "1,100\n0.5,99\n", 3, 1, "follows", "rise"},
		{"negative speed", head + "0,-3\n", 2, 3, "speed is", "unit"},
		{"absurd speed", head + "0,9000\n", 2, 3, "speed is", "unit"},
		{"direction", "time (s),speed (km/h),direction\n0,90,sideways\n", 2, 6, "sideways", "out or back"},
		{"turning round", "time (s),speed (km/h),direction\n0,90,out\n1,89,back\n", 3, 6, "changes", "label"},
		{"long line", head + strings.Repeat("9", 5000) + "\n", 2, 1, "longer", "4096"},
	} {
		_, err := vehicle.ReadCoastDown(strings.NewReader(c.text), "log.csv")
		var problems *check.Problems
		if !errors.As(err, &problems) {
			t.Errorf("%s: got %v, want problems", c.name, err)
			continue
		}
		p := problems.List[0]
		if p.Pos != (check.Pos{File: "log.csv", Line: c.line, Col: c.col}) || !strings.Contains(p.Message, c.message) || !strings.Contains(p.Hint, c.hints) {
			t.Errorf("%s: got %v, want line %d column %d with %q and hint %q", c.name, p, c.line, c.col, c.message, c.hints)
		}
	}
}

func TestCoastLogReportsAllProblemsAtOnce(t *testing.T) {
	t.Parallel()
	_, err := vehicle.ReadCoastDown(strings.NewReader("time (s),speed (m/s)\n0,x\n1,3\n1,2\n2,-1\n"), "log.csv")
	var problems *check.Problems
	if !errors.As(err, &problems) || len(problems.List) != 3 {
		t.Errorf("got %v, want three problems", err)
	}
}

func TestCoastLogTooLargeIsRefused(t *testing.T) {
	t.Parallel()
	for name, line := range map[string]func(n int) string{
		"too many rows":  func(n int) string { return fmt.Sprintf("%d,1\n", n) },
		"too many bytes": func(int) string { return "#" + strings.Repeat("x", 4000) + "\n" },
	} {
		endless := io.MultiReader(strings.NewReader("time (s),speed (m/s)\n0,1\n"), &lines{line: line})
		_, err := vehicle.ReadCoastDown(endless, "log.csv")
		var problems *check.Problems
		if !errors.As(err, &problems) || !strings.Contains(problems.List[0].Message, "larger") {
			t.Errorf("%s: got %v, want a problem of size", name, err)
		}
	}
	if _, err := vehicle.ReadCoastDown(iotest.ErrReader(io.ErrUnexpectedEOF), "log.csv"); !errors.Is(err, io.ErrUnexpectedEOF) {
		t.Errorf("broken reader: got %v, want its error", err)
	}
}

// lines is an endless log.
type lines struct {
	line func(n int) string
	n    int
	rest string
}

func (l *lines) Read(p []byte) (int, error) {
	if l.rest == "" {
		l.n++
		l.rest = l.line(l.n)
	}
	n := copy(p, l.rest)
	l.rest = l.rest[n:]
	return n, nil
}

// A log written from a roll-out is read and fitted to what it was made with.
func TestCoastLogReadAndFittedReturnsTheTruth(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(31, 1))
	var b strings.Builder
	b.WriteString("time (s),speed (km/h),run,direction\n")
	for i, back := range []bool{false, true, false, true} {
		run := day.log(back, rng)
		for k := range run.Time {
			// A workshop logger writes a tenth of a km/h.
			fmt.Fprintf(&b, "%.2f,%.1f,%d,%s\n", run.Time[k], run.Speed[k]*3.6, i+1, map[bool]string{false: "out", true: "back"}[back])
		}
	}
	runs, err := vehicle.ReadCoastDown(strings.NewReader(b.String()), "log.csv")
	if err != nil {
		t.Fatal(err)
	}
	fit, err := vehicle.FitCoastDown(runs, day.options(vehicle.DragAndRolling))
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(float64(fit.A.Value)-day.a) > 4*float64(fit.A.Deviation) || math.Abs(float64(fit.C.Value)-day.c) > 4*float64(fit.C.Deviation) {
		t.Errorf("A %v ± %v, C %v ± %v; want %v and %v", float64(fit.A.Value), float64(fit.A.Deviation), float64(fit.C.Value), float64(fit.C.Deviation), day.a, day.c)
	}
}

func FuzzReadCoastDown(f *testing.F) {
	for _, s := range []string{goodLog, "", "time (s),speed (m/s)\n0,1\n", "time_s,speed_kmh\n1,2\n1,2\n", "time (s);speed (km/h)\n0;1\n", "\ufeff\x00,", "speed [mph],time [h]\n1e300,1e300\n"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		runs, err := vehicle.ReadCoastDown(strings.NewReader(string(data)), "log.csv")
		var problems *check.Problems
		if errors.As(err, &problems) {
			for _, p := range problems.List {
				if p.Pos.Line < 1 || p.Pos.Col < 1 || p.Hint == "" || p.Message == "" {
					t.Fatalf("problem without place or remedy: %+v", p)
				}
			}
			return
		}
		if err != nil {
			t.Fatalf("error that is not a problem: %v", err)
		}
		for _, r := range runs {
			for i := range r.Time {
				if i > 0 && !(r.Time[i] > r.Time[i-1]) || !(r.Speed[i] >= 0) || math.IsInf(r.Speed[i], 0) || math.IsInf(r.Time[i], 0) {
					t.Fatalf("row %d of run %q: %v s, %v m/s", i, r.Name, r.Time[i], r.Speed[i])
				}
			}
		}
	})
}
