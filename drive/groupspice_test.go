package drive

import (
	"compress/gzip"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"packyard/cell"
	"packyard/check/checktest"
	"packyard/pack"
	"packyard/unit"
)

// measuredCurrent returns the current of the measured US06 run of a 2.9 A·h cell
// as means over a second, discharge positive, scaled to the same rate of cap A·h.
func measuredCurrent(t testing.TB, cap float64, seconds int) []float64 {
	t.Helper()
	f, err := os.Open(checktest.Reference(t, "celltests", "ncr18650pf", "us06_25c.csv.gz"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	z, err := gzip.NewReader(f)
	if err != nil {
		t.Fatal(err)
	}
	out := make([]float64, seconds)
	rows := csv.NewReader(z)
	if _, err := rows.Read(); err != nil {
		t.Fatal(err)
	}
	last := 0.0
	for {
		row, err := rows.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		at, err1 := strconv.ParseFloat(row[0], 64)
		amps, err2 := strconv.ParseFloat(row[2], 64)
		if err1 != nil || err2 != nil {
			t.Fatal(row)
		}
		// The row's current has flowed since the row before.
		for s := last; s < at && int(s) < seconds; {
			e := min(at, math.Floor(s)+1)
			out[int(s)] -= amps * (e - s) * cap / 2.9 // the file counts charging positive
			s = e
		}
		if last = at; last >= float64(seconds) {
			break
		}
	}
	return out
}

// spiceCase is one pack as engine and as circuit. Time constants do not depend on
// charge or temperature, so that both have one capacitor each; all else does.
type spiceCase struct {
	p       *pack.Pack
	table   *GroupTable
	source  *cell.Table
	start   []GroupStart
	current []float64 // A of the pack, per second
}

func newSpiceCase(t testing.TB, series, strings, seconds int) *spiceCase {
	t.Helper()
	c := coldCell()
	for i := range c.Curves.Tau1.Value {
		for k := range c.Curves.Tau1.Value[i] {
			c.Curves.Tau1.Value[i][k], c.Curves.Tau2.Value[i][k] = 14, 260
			c.Curves.R1.Value[i][k], c.Curves.R2.Value[i][k] = c.Curves.R1.Value[i][10], c.Curves.R2.Value[i][10]
		}
	}
	s := &spiceCase{p: packOf(series, strings), start: unequal(series*strings, 77)}
	s.p.Resistance = 0.004
	for i := range s.start { // strings start in balance
		s.start[i].Charge = unit.Ratio(0.9 + 0.05*math.Sin(float64(i%series)))
	}
	var err error
	if s.table, err = NewGroupTable(c); err != nil {
		t.Fatal(err)
	}
	if s.source, err = c.At(unit.Celsius(25), cell.New, segments+1); err != nil {
		t.Fatal(err)
	}
	s.current = measuredCurrent(t, 100*float64(strings), seconds)
	return s
}

// engine returns the voltages of all groups at the end of each second, and the
// time it took.
func (s *spiceCase) engine(t testing.TB) ([][]float64, time.Duration) {
	t.Helper()
	g, err := NewGroups(s.table, s.p, GroupOptions{Start: s.start, NoLimits: true})
	if err != nil {
		t.Fatal(err)
	}
	out := make([][]float64, len(s.current))
	flat := make([]float64, g.count*len(s.current))
	began := time.Now()
	for k, i := range s.current {
		if _, err := g.StepCurrent(unit.Current(i)); err != nil {
			t.Fatal(err)
		}
		out[k] = flat[k*g.count : (k+1)*g.count]
		copy(out[k], g.Voltages())
	}
	return out, time.Since(began)
}

// circuit writes the pack for ngspice: strings of groups in series, each group a
// controlled source for the open-circuit voltage over a capacitor that holds the
// charge 0…1, a controlled source for R0 over charge, and two RC pairs.
func (s *spiceCase) circuit(out string, longest float64) string {
	var b strings.Builder
	pwl := func(y []float64, factor float64) string {
		var p strings.Builder
		for i, v := range y {
			fmt.Fprintf(&p, ",%.6g,%.15g", float64(i)/float64(len(y)-1), v*factor)
		}
		return p.String()
	}
	fmt.Fprintln(&b, "pack of unequal groups")
	series := s.p.Topology.Series
	var names []string
	for i, st := range s.start {
		j, k := i/series, i%series
		at := s.table.read(0, float64(st.Temperature))
		warm := s.table.read(0, 298.15)
		growth := float64(st.ResistanceGrowth) / 2
		low, high := fmt.Sprintf("s%dn%d", j, k), fmt.Sprintf("s%dn%d", j, k+1)
		if k == 0 {
			low = "0"
		}
		r1, r2 := at.r1*growth, at.r2*growth
		capacity := float64(s.source.Capacity) * 2 * float64(st.CapacityShare)
		fmt.Fprintf(&b, "Cz%d z%d 0 %.15g IC=%.15g\nBz%d z%d 0 I=I(Vs%d)\n", i, i, capacity, float64(st.Charge), i, i, j)
		fmt.Fprintf(&b, "Bo%d a%d %s V=pwl(V(z%d)%s)\n", i, i, low, i, pwl(s.source.OCV, 1))
		fmt.Fprintf(&b, "Br%d a%d b%d V=I(Vs%d)*pwl(V(z%d)%s)\n", i, i, i, j, i, pwl(s.source.R0, growth*at.r0/warm.r0))
		fmt.Fprintf(&b, "R1x%d b%d c%d %.15g\nC1x%d b%d c%d %.15g IC=0\n", i, i, i, r1, i, i, i, at.tau1/r1)
		fmt.Fprintf(&b, "R2x%d c%d %s %.15g\nC2x%d c%d %s %.15g IC=0\n", i, i, high, r2, i, i, high, at.tau2/r2)
		names = append(names, "v("+high+")")
	}
	for j := range s.p.Topology.Strings {
		// Positive through the sensor is discharge.
		fmt.Fprintf(&b, "Vs%d s%dn%d t%d 0\nRj%d t%d top %.15g\n", j, j, series, j, j, j, float64(s.p.Resistance)*float64(s.p.Topology.Strings))
	}
	fmt.Fprint(&b, "Iload top 0 PWL(0 ", s.current[0])
	for k := 1; k < len(s.current); k++ {
		fmt.Fprintf(&b, "\n+ %d %.15g %d.000001 %.15g", k, s.current[k-1], k, s.current[k])
	}
	fmt.Fprintf(&b, "\n+ %d %.15g)\n", len(s.current), s.current[len(s.current)-1])
	fmt.Fprintln(&b, ".options reltol=1e-6 abstol=1e-6 vntol=1e-7 method=gear")
	fmt.Fprintln(&b, ".control\nset wr_singlescale\nset numdgt=12")
	fmt.Fprintf(&b, "tran 1 %d 0 %g uic\n", len(s.current), longest)
	fmt.Fprintf(&b, "linearize %s\nwrdata %s %s\nquit\n.endc\n.end\n", strings.Join(names, " "), out, strings.Join(names, " "))
	return b.String()
}

// spice returns what ngspice makes of it, in the order of engine.
func (s *spiceCase) spice(t testing.TB, longest float64) ([][]float64, time.Duration) {
	t.Helper()
	ngspice := checktest.Tool(t, "ngspice")
	dir := t.TempDir()
	out, deck := filepath.Join(dir, "out.txt"), filepath.Join(dir, "pack.cir")
	if err := os.WriteFile(deck, []byte(s.circuit(out, longest)), 0o644); err != nil {
		t.Fatal(err)
	}
	began := time.Now()
	if text, err := exec.Command(ngspice, "-b", deck).CombinedOutput(); err != nil {
		t.Fatalf("ngspice: %v\n%.2000s", err, text)
	}
	took := time.Since(began)
	text, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	var rows [][]float64
	for line := range strings.Lines(string(text)) {
		f := strings.Fields(line)
		if len(f) != len(s.start)+1 {
			t.Fatalf("line %.200q of ngspice: %d numbers, want %d", line, len(f), len(s.start)+1)
		}
		row := make([]float64, len(s.start))
		for i := range row {
			v, err := strconv.ParseFloat(f[i+1], 64)
			if err != nil {
				t.Fatal(err)
			}
			row[i] = v
		}
		for i := len(row) - 1; i > 0; i-- { // nodes to groups
			if i%s.p.Topology.Series != 0 {
				row[i] -= row[i-1]
			}
		}
		if at, err := strconv.ParseFloat(f[0], 64); err != nil || math.Abs(at-float64(len(rows))) > 1e-6 {
			t.Fatalf("row %d of ngspice is at %s s", len(rows), f[0])
		}
		rows = append(rows, row)
	}
	return rows[1:], took // the first row is the start
}

// worst returns the largest difference of two runs in V.
func worst(t testing.TB, a, b [][]float64) float64 {
	t.Helper()
	if len(a) != len(b) {
		t.Fatalf("%d rows and %d rows", len(a), len(b))
	}
	most := 0.0
	for k := range a {
		for i := range a[k] {
			most = max(most, math.Abs(a[k][i]-b[k][i]))
		}
	}
	return most
}

// Sixteen unequal groups in series, and two strings of eight, under the current of
// a measured drive cycle: every group within a millivolt of the same network as a
// circuit at every second. What differs: R0, constant over pieces of half a per
// cent here and in a straight line there; and of two strings the sharing, constant
// over a second here.
func TestGroupsFollowTheSameCircuit(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name            string
		series, strings int
		limit           float64 // V; a millivolt is wanted, a fifth of it is held
	}{{"sixteen in series", 16, 1, 0.2e-3}, {"two strings of eight", 8, 2, 0.2e-3}} {
		s := newSpiceCase(t, c.series, c.strings, 700)
		circuit, _ := s.spice(t, 0.1)
		ours, _ := s.engine(t)
		spread := 0.0
		for i := range ours[0] {
			spread = max(spread, math.Abs(ours[600][i]-ours[600][0]))
		}
		most := worst(t, ours, circuit)
		t.Logf("%s: %d groups over %d s, worst %.3g mV; groups differ by up to %.0f mV", c.name, len(s.start), len(s.current), most*1e3, spread*1e3)
		if !(most <= c.limit) {
			t.Errorf("%s: a group is off by %.3g mV, %.3g mV is allowed; source: ngspice on the same network", c.name, most*1e3, c.limit*1e3)
		}
		if spread < 0.02 {
			t.Errorf("%s: the groups differ by %g V only", c.name, spread)
		}
	}
}

// BenchmarkGroupsAgainstACircuit runs sixteen groups over a measured current with
// ngspice, in steps as long as it can take with the error of the engine, and with
// the engine, in one run, and reports how many times faster the engine is. Errors
// are against ngspice in steps of 0.02 s.
func BenchmarkGroupsAgainstACircuit(b *testing.B) {
	s := newSpiceCase(b, 16, 1, 600)
	fine, _ := s.spice(b, 0.02)
	_, load := (&spiceCase{p: s.p, table: s.table, source: s.source, start: s.start, current: s.current[:1]}).spice(b, 1)
	ours, _ := s.engine(b)
	own := worst(b, ours, fine)
	step, took, off := 0.0, time.Duration(0), 0.0
	for _, longest := range []float64{0.05, 0.1, 0.2, 0.5, 1} {
		rows, d := s.spice(b, longest)
		if e := worst(b, rows, fine); e <= own || step == 0 {
			step, took, off = longest, d, e
		}
	}
	for b.Loop() {
		s.engine(b)
	}
	each := b.Elapsed().Seconds() / float64(b.N)
	b.ReportMetric((took-load).Seconds()/each, "times-faster")
	b.ReportMetric(own*1e6, "own-µV")
	b.ReportMetric(off*1e6, "ngspice-µV")
	b.ReportMetric(step, "ngspice-step-s")
	b.ReportMetric(took.Seconds(), "ngspice-s")
}
