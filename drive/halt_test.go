package drive

import (
	"errors"
	"slices"
	"testing"

	"packyard/check"
	"packyard/schedule"

	"packyard/unit"
)

// A run per group and a duty end soon after they are told that nobody waits for
// them, with the error that they were told.
func TestRunsEndWhenTheyAreHalted(t *testing.T) {
	t.Parallel()
	gone := errors.New("nobody waits")
	asked := 0
	halt := func() error {
		if asked++; asked > 3 {
			return gone
		}
		return nil
	}
	p := packOf(80, 1)
	r, err := RangeGroups(demand(t, smallVan(), find(t, "wltc-class3b"), DemandOptions{}), p, GroupRun{Table: groupTable(t), Halt: halt}, Options{})
	if !errors.Is(err, gone) || asked > 6 {
		t.Errorf("run per group: %v after %d questions, %g s driven", err, asked, float64(r.Duration))
	}
	asked = 0
	c := dutyCase(t, unit.Celsius(0), false)
	c.Halt = halt
	if _, err := RunDuty(c, Duty{Kind: DutySoak, For: 12 * unit.Hour}); !errors.Is(err, gone) || asked != 4 {
		t.Errorf("duty: %v after %d questions", err, asked)
	}
}

// A duty that asks the motor for more than its continuous power for longer than
// its peak lasts says so with the figure; one that ends before does not.
func TestDutiesSayThatTheMotorPeakIsTooShort(t *testing.T) {
	t.Parallel()
	over := func(d Duty) (check.Finding, bool) {
		c := dutyCase(t, unit.Celsius(20), false)
		u := *c.Train.Unit
		u.PeakDuration, u.PowerContinuous = 60, 8*unit.Kilowatt
		c.Train.Unit = &u
		r, err := RunDuty(c, d)
		if err != nil {
			t.Fatal(err)
		}
		i := slices.IndexFunc(r.Findings, func(n check.Finding) bool { return n.Rule == "drive.motor.continuous" })
		if i < 0 {
			return check.Finding{}, false
		}
		return r.Findings[i], true
	}
	climb := Duty{Kind: DutyGrade, Grade: 0.06, Speed: 60 * unit.KilometrePerHour, For: 90}
	n, said := over(climb)
	steady, err := SteadyAt(smallVan(), climb.Speed, climb.Grade, 0)
	if err != nil {
		t.Fatal(err)
	}
	if want := float64(steady.Motor); !said || n.Value.SI < 0.999*want || n.Value.SI > 1.001*want || n.Limit.SI != 8000 {
		t.Errorf("climb: %+v, the motor gives %g W", n, want)
	}
	climb.For = 30
	if n, said := over(climb); said {
		t.Errorf("a climb within the peak duration: %+v", n)
	}
	s, err := schedule.Parse("us06")
	if err != nil {
		t.Fatal(err)
	}
	if n, said := over(Duty{Kind: DutySchedule, Schedule: s, For: 600}); !said || !(n.Value.SI > 8000) {
		t.Errorf("US06: %+v", n)
	}
}
