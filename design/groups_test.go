package design_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"packyard/check"
	"packyard/check/checktest"
	"packyard/design"
	"packyard/drive"
	"packyard/unit"
)

// A run per group with equal groups at a fixed temperature goes as far as the
// lumped one, but for the smooth derating near the lowest voltage and the tables'
// own rows: the lumped table lies between two rows of temperature.
func TestDrivePerGroupAgreesWithTheLumpedRun(t *testing.T) {
	t.Parallel()
	f := frame(t, van(t))
	p := somePlaced(t, f)
	s := f.Brief.Targets.Schedule
	lumped, err := f.Drive(&design.Trip{Wiring: &p.Wiring, Figures: &p.Figures, Schedule: s})
	if err != nil {
		t.Fatal(err)
	}
	got, err := f.DriveGroups(p, &design.GroupTrip{Schedule: s, Still: true})
	if err != nil {
		t.Fatal(err)
	}
	checktest.Near(t, "range per group, m", float64(got.Distance), float64(lumped.Distance), 0, 2e-3, "the lumped run")
	checktest.Near(t, "energy at the wall, J", float64(got.Energy.Wall), float64(lumped.Energy.Wall), 0, 3e-3, "the lumped run")
	if got.Fidelity != drive.FidelityGroups || !got.Still || got.TemperatureMax != f.Brief.Road.Ambient {
		t.Errorf("fidelity %q, still %v, hottest %g K", got.Fidelity, got.Still, float64(got.TemperatureMax))
	}
	warm, err := f.DriveGroups(p, &design.GroupTrip{Schedule: s})
	if err != nil {
		t.Fatal(err)
	}
	if warm.Still || warm.TemperatureMax <= got.TemperatureMax {
		t.Errorf("with heat: still %v (%s), hottest %g K", warm.Still, warm.Why, float64(warm.TemperatureMax))
	}
}

// Groups differ only where the builder says by how much; the same seed gives the
// same groups, and a group of two pieces spreads less than one.
func TestGroupsAreDrawnFromWhatWasStated(t *testing.T) {
	t.Parallel()
	brief := van(t)
	f := frame(t, brief)
	p := somePlaced(t, f)
	if _, err := f.DrawGroups(p, false, 1); !errors.Is(err, design.ErrAlike) {
		t.Fatalf("nothing stated: %v", err)
	}
	i := p.Candidate.Source
	brief.Uncertain = append(brief.Uncertain, design.Uncertain{
		Path:   "sources[" + string(rune('0'+i)) + "].state_of_health",
		Stated: check.Stated{Value: check.Of(unit.Ratio(0.8)), Tol: 0.04, Kind: unit.Deviation},
	})
	f = frame(t, brief)
	a, err := f.DrawGroups(p, false, 1)
	if err != nil {
		t.Fatal(err)
	}
	b, _ := f.DrawGroups(p, false, 1)
	c, _ := f.DrawGroups(p, false, 2)
	same, other, mean, square := true, true, 0.0, 0.0
	for k := range a {
		same, other = same && a[k] == b[k], other && a[k] == c[k]
		mean += float64(a[k].CapacityShare) / float64(len(a))
		square += float64(a[k].CapacityShare*a[k].CapacityShare) / float64(len(a))
	}
	if !same || other {
		t.Errorf("the same seed gives the same groups: %v; another one the same: %v", same, other)
	}
	deviation := math.Sqrt(square - mean*mean)
	want := 0.04 / math.Sqrt(float64(p.Candidate.Abreast))
	// Ninety-six draws know their mean to a tenth of the deviation, the deviation to 7 %.
	checktest.Near(t, "mean", mean, 0.8, 4*want/math.Sqrt(96), 0, "sampling error")
	checktest.Near(t, "deviation", deviation, want, 0, 0.3, "sampling error")
	whole, err := f.DriveGroups(p, &design.GroupTrip{Schedule: f.Brief.Targets.Schedule, Still: true})
	if err != nil {
		t.Fatal(err)
	}
	uneven, err := f.DriveGroups(p, &design.GroupTrip{Schedule: f.Brief.Targets.Schedule, Still: true, Start: a})
	if err != nil {
		t.Fatal(err)
	}
	if uneven.Left <= whole.Left || uneven.Distance >= whole.Distance {
		t.Errorf("unequal groups go %g m and keep %g J, equal ones %g m and %g J", float64(uneven.Distance), float64(uneven.Left), float64(whole.Distance), float64(whole.Left))
	}
}

func TestAssessmentTellsThePaceThatIsWanted(t *testing.T) {
	t.Parallel()
	brief := van(t)
	brief.Targets.TopSpeed, brief.Targets.Grade, brief.Targets.GradeSpeed = 240*unit.KilometrePerHour, 0.08, 40*unit.KilometrePerHour
	f := frame(t, brief)
	as := f.Assess(somePlaced(t, f))
	seen := map[string]bool{}
	for _, g := range as.Findings {
		if strings.HasPrefix(g.Rule, "pace") {
			seen[g.Rule] = true
			if !strings.Contains(g.Subject, "at half charge") || math.IsNaN(g.Margin) {
				t.Errorf("%+v", g)
			}
			if g.Rule == "pace.top-speed" && (g.Margin >= 0 || g.Severity != check.Warning) {
				t.Errorf("240 km/h are kept: %+v", g)
			}
		}
	}
	if !seen["pace.top-speed"] || !seen["pace.grade"] {
		t.Errorf("findings of pace: %v", seen)
	}
}

func TestPaceOfAnOptionHasGrip(t *testing.T) {
	t.Parallel()
	f := frame(t, van(t))
	r, err := f.Pacer(somePlaced(t, f), design.PaceAt{Charge: 0.2})
	if err != nil {
		t.Fatal(err)
	}
	p, err := r.Pace()
	if err != nil {
		t.Fatal(err)
	}
	if p.GripGrade <= 0 || p.ParkingUp <= 0 || p.TopSpeed <= 0 || !p.Sprints[0].Reached || p.Charge != 0.2 {
		t.Errorf("%+v", p)
	}
}
