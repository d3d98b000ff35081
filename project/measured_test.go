package project

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"packyard/bench"
	"packyard/cell"
	"packyard/check"
	"packyard/unit"
)

// What was measured stands in for a health that the builder did not write; what he
// wrote holds.
func TestMeasuredHealthTakesThePlaceOfTheAssumedOne(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS(filepath.Join("..", "examples", "orchard-truck"))); err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := WriteMeasured(&b, []bench.LotHealth{{Source: "salvaged-cans", Items: 23, CapacityShare: 0.874, ResistanceGrowth: 1.19}, {Source: "closed-nmc", Items: 2, CapacityShare: 0.95}}); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, MeasuredName), b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(filepath.Join(dir, FileName))
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range []string{"    state_of_health: 82 % ± 0.03\n", "    resistance_growth: 1.3 ± 0.15\n", "    state_of_health: 90 % ± 0.02\n"} {
		if !strings.Contains(string(text), line) {
			t.Fatalf("the example lacks %q", line)
		}
		text = []byte(strings.Replace(string(text), line, "", 1))
	}
	if err := os.WriteFile(filepath.Join(dir, FileName), text, 0o600); err != nil {
		t.Fatal(err)
	}
	p, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]cell.Health{"salvaged-cans": {CapacityShare: 0.874, ResistanceGrowth: 1.19}, "closed-nmc": {CapacityShare: 0.95, ResistanceGrowth: 1.15}}
	for _, s := range p.Brief.Sources {
		if w, ok := want[s.Name]; ok && s.Health != w {
			t.Errorf("%s: %+v, want %+v", s.Name, s.Health, w)
		}
	}
	from := map[string]string{}
	for _, a := range p.Brief.Assumed.List {
		from[a.Subject] = a.Source
	}
	if from["sources[0].state_of_health"] != "bench" || from["sources[0].resistance_growth"] != "bench" {
		t.Errorf("the list of what was not given says %v", from)
	}
	for name, bad := range map[string]string{
		"columns": "a,b\n", "share": measuredColumns + "\nx,1,3,\n", "growth": measuredColumns + "\nx,1,0.8,0\n", "text": measuredColumns + "\nx,1,high,\n", "fields": measuredColumns + "\nx,1\n",
	} {
		if err := os.WriteFile(filepath.Join(dir, MeasuredName), []byte(bad), 0o600); err != nil {
			t.Fatal(err)
		}
		var problems *check.Problems
		if _, err := Open(dir); !errors.As(err, &problems) || !strings.HasPrefix(problems.Error(), MeasuredName) {
			t.Errorf("%s: %v, want a problem in %s", name, err, MeasuredName)
		}
	}
}

func TestCellMapsComeBack(t *testing.T) {
	t.Parallel()
	m := bench.CellMap{Source: "cans", Series: 2, Parallel: 2, Groups: []bench.MapGroup{
		{Group: 1, Items: []string{"S-01", "S-04"}, Capacity: 60 * unit.AmpereHour, Resistance: 0.001, CapacityShare: 0.9, ResistanceGrowth: 1.2},
		{Group: 2, Items: []string{"S-02", "S-03"}, Capacity: 59 * unit.AmpereHour, CapacityShare: 0.88},
	}}
	var b bytes.Buffer
	if err := WriteCellMap(&b, &m); err != nil {
		t.Fatal(err)
	}
	groups, err := ReadCellMap(bytes.NewReader(b.Bytes()))
	if err != nil || len(groups) != 2 || groups[0].Items[1] != "S-04" || groups[1].Capacity != 59*unit.AmpereHour {
		t.Fatalf("%+v, %v", groups, err)
	}
	starts, err := GroupStarts(groups, 2, 4)
	if err != nil || len(starts) != 4 || starts[1].CapacityShare != 0.9 || starts[2].CapacityShare != 0.88 || starts[0].ResistanceGrowth != 1.2 {
		t.Errorf("%+v, %v", starts, err)
	}
	if _, err := GroupStarts(groups, 1, 4); !errors.Is(err, ErrCellMap) {
		t.Errorf("another pack: %v", err)
	}
	groups[0].CapacityShare = 0
	if _, err := GroupStarts(groups, 1, 2); !errors.Is(err, ErrCellMap) {
		t.Errorf("unknown share: %v", err)
	}
	for _, bad := range []string{"", "x\n", strings.Join(bench.MapColumns(), ",") + "\n", strings.Replace(b.String(), "cans,2", "cans,3", 1), strings.Replace(b.String(), "0.88", "8.8", 1), strings.Replace(b.String(), "0.9,", "nine,", 1)} {
		if _, err := ReadCellMap(strings.NewReader(bad)); !errors.Is(err, ErrCellMap) {
			t.Errorf("%q: %v, want ErrCellMap", bad, err)
		}
	}
}

func FuzzReadCellMap(f *testing.F) {
	f.Add([]byte(strings.Join(bench.MapColumns(), ",") + "\ncans,1,S-01;S-02,216000,0.001,0.9,1.2\n"))
	f.Add([]byte("source"))
	f.Fuzz(func(t *testing.T, text []byte) {
		groups, err := ReadCellMap(bytes.NewReader(text))
		if err == nil && len(groups) == 0 || err != nil && !errors.Is(err, ErrCellMap) {
			t.Errorf("%v, %v", groups, err)
		}
	})
}
