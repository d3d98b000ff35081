package drive

import (
	"math"
	"strings"
	"testing"

	"packyard/cell"
	"packyard/check"
	"packyard/schedule"
	"packyard/unit"
)

func finding(list []check.Finding, rule string) *check.Finding {
	for i := range list {
		if list[i].Rule == rule {
			return &list[i]
		}
	}
	return nil
}

// Both fidelities say with the figure that cells may not be discharged at a
// temperature; neither moves, neither ends in a number that is none.
func TestCellsOutsideTheirTemperaturesAreAFinding(t *testing.T) {
	t.Parallel()
	d := demand(t, smallVan(), find(t, "udds"), DemandOptions{})
	for _, c := range []struct{ celsius, limit float64 }{{-35, -20}, {70, 60}} {
		k := unit.Celsius(c.celsius)
		l, err := NewLumped(coldCell(), k, cell.New, 1)
		if err != nil {
			t.Fatal(err)
		}
		lumped := mustRange(t, d, l, packOf(96, 1), Options{})
		groups := rangeGroups(t, d, packOf(96, 1), GroupRun{GroupOptions: GroupOptions{Temperature: k}}, Options{})
		for name, list := range map[string][]check.Finding{"lumped": lumped.Findings(d), "per group": groups.Findings(d)} {
			f := finding(list, "drive.cells.temperature")
			if f == nil {
				t.Errorf("%s at %g °C: no finding among %+v", name, c.celsius, list)
				continue
			}
			if f.Severity != check.Failure || !(f.Margin < 0) || math.Abs(f.Value.SI-float64(k)) > 1e-9 || math.Abs(f.Limit.SI-273.15-c.limit) > 1e-9 {
				t.Errorf("%s at %g °C: %+v", name, c.celsius, *f)
			}
		}
		if lumped.Distance != 0 || groups.Distance != 0 {
			t.Errorf("at %g °C the vehicle goes %g m and %g m", c.celsius, float64(lumped.Distance), float64(groups.Distance))
		}
	}
}

func TestAGradeThatCannotBeClimbedIsAFinding(t *testing.T) {
	t.Parallel()
	s, err := schedule.Constant(30*kmh, 60)
	if err != nil {
		t.Fatal(err)
	}
	s.Grade = make([]float64, len(s.Time))
	for i := range s.Grade {
		s.Grade[i] = 0.9
	}
	s.Speed[0] = 0
	d := demand(t, smallVan(), s, DemandOptions{})
	res := rangeGroups(t, d, packOf(96, 1), GroupRun{}, Options{Cycles: 1})
	f := finding(res.Findings(d), "drive.grade.stalled")
	if f == nil {
		t.Fatalf("no finding: %+v", res.Findings(d))
	}
	p, err := NewPacer(PaceCase{Train: smallVan(), Pack: packOf(96, 1), Table: groupTable(t)})
	if err != nil {
		t.Fatal(err)
	}
	g, err := p.Steepest(walking, PeakFor)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(f.Value.SI-float64(g.Grade)) > 1e-3 || math.Abs(f.Limit.SI-0.9) > 1e-9 || f.Severity != check.Failure {
		t.Errorf("%+v, the steepest grade at walking pace is %g", *f, float64(g.Grade))
	}
}

func TestFindingsPerGroupNameTheGroup(t *testing.T) {
	t.Parallel()
	hills, _, _ := hilly(t)
	p := packOf(96, 1)
	p.Topology.Parallel = 1
	start := make([]GroupStart, 96)
	start[17].ResistanceGrowth = 1.6
	res := rangeGroups(t, hills, p, GroupRun{GroupOptions: GroupOptions{Start: start}}, Options{})
	if f := finding(res.Findings(hills), "drive.group.lowered"); f == nil || !strings.Contains(f.Subject, "group 18: lowest voltage") {
		t.Errorf("a group of 1.6 times the resistance: %+v", res.Findings(hills))
	}
	start[17] = GroupStart{}
	start[40].CapacityShare = 0.85
	d := demand(t, smallVan(), find(t, "wltc-class3b"), DemandOptions{})
	res = rangeGroups(t, d, pack96(), GroupRun{GroupOptions: GroupOptions{Start: start}}, Options{})
	f := finding(res.Findings(d), "drive.group.left")
	if f == nil || !strings.Contains(f.Subject, "group 41 is empty") || f.Value.SI < 0.12 || f.Value.SI > 0.15 {
		t.Errorf("a group of 85 %%: %+v", res.Findings(d))
	}
}
