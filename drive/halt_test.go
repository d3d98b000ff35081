package drive

import (
	"errors"
	"testing"

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
