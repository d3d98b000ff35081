package project

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"packyard/bench"
	"packyard/cell"
	"packyard/check/checktest"
	"packyard/unit"
)

// curvesOf is a circuit of one cell with a flat resistance and an open-circuit voltage
// that is straight.
func curvesOf(source string) bench.LotCircuit {
	l := bench.LotCircuit{Source: source}
	l.Curves.OCV = cell.Line{SoC: []float64{0, 1}, Value: []float64{3.2, 4.1}}
	for _, q := range []unit.Ratio{0.1, 0.5, 0.9} {
		l.Curves.Points = append(l.Curves.Points, cell.MeasuredPoint{
			Temperature: unit.Celsius(25), Charge: q, R0: 2 * unit.Milliohm, R1: 1 * unit.Milliohm, R2: 1 * unit.Milliohm, Tau1: 5, Tau2: 80,
		})
	}
	l.Curves.Growth = 1.25
	return l
}

func TestMeasuredCurvesTakeThePlaceOfThoseOfThePart(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS(filepath.Join("..", "examples", "orchard-truck"))); err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := WriteCircuits(&b, []bench.LotCircuit{curvesOf("salvaged-cans")}); err != nil {
		t.Fatal(err)
	}
	write := func(text string) (*Project, error) {
		if err := os.WriteFile(filepath.Join(dir, CircuitName), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return Open(dir)
	}
	p, err := write(b.String())
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range p.Brief.Sources {
		if s.Module == nil {
			continue
		}
		c := s.Module.Slice.Cell.Curves
		if s.Name != "salvaged-cans" {
			if !c.Generic {
				t.Errorf("the curves of %s were not measured", s.Name)
			}
			continue
		}
		if c.Generic || c.Source != "bench" {
			t.Errorf("curves of %s: generic %v, source %q", s.Name, c.Generic, c.Source)
		}
		// R0 of a new cell at rest of the pairs: what was measured over its growth.
		r, err := c.PulseResistance(unit.Celsius(25), 0.5, 1e5)
		if err != nil {
			t.Fatal(err)
		}
		checktest.Near(t, "resistance of a new cell", float64(r), 0.004/1.25, 1e-9, 0, "R0 + R1 + R2 over the growth of the measured items")
	}
	lines := strings.Split(b.String(), "\n")
	for name, c := range map[string]struct{ line, want string }{
		"charge":  {"salvaged-cans,1.5,3.9,,,,,,,", `measured-curves.csv:2: a charge of "1.5": 0 to 1 is accepted`},
		"number":  {"salvaged-cans,0,x,,,,,,,", `measured-curves.csv:2: "x": a number from 0 on is accepted`},
		"falling": {"salvaged-cans,0.5,3.9,,,,,,,", "must rise from charge 0 to 1"},
	} {
		broken := append([]string{lines[0], c.line}, lines[2:]...)
		if _, err := write(strings.Join(broken, "\n")); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want one with %q", name, err, c.want)
		}
	}
	if _, err := write("source,ocv\n"); err == nil || !strings.Contains(err.Error(), "is no table with the columns source,charge_share") {
		t.Errorf("a table of another kind: error %v", err)
	}
}
