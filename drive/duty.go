package drive

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"packyard/schedule"
	"packyard/unit"
)

// ErrDuty says that a duty cannot be read or driven.
var ErrDuty = errors.New("duty cannot be driven")

// DutyKind is what a pack is put through.
type DutyKind string

// Duties.
const (
	DutySchedule  DutyKind = "schedule"   // a schedule, repeated
	DutyGrade     DutyKind = "grade"      // a grade held at a speed
	DutyFullPower DutyKind = "full power" // peak power of the unit as long as it has it, then its continuous power
	DutyCharge    DutyKind = "charge"     // a charging current, until full
	DutySoak      DutyKind = "soak"       // standing in the cold, then heated from outside
)

// Duty is one way of using a pack, for its temperatures.
type Duty struct {
	Kind     DutyKind
	Schedule *schedule.Schedule // of DutySchedule
	Grade    unit.Slope         // of DutyGrade
	Speed    unit.Speed         // of DutyGrade
	Current  unit.Current       // of DutyCharge, positive
	For      unit.Time          // longest; zero: two hours, a soak twelve
	Preheat  unit.Temperature   // of DutySoak: the coldest group is brought there afterwards; zero: not at all
}

// longest returns how long a duty lasts at most. Source: assumption, where
// nothing is said.
func (d Duty) longest() unit.Time {
	switch {
	case d.For > 0:
		return d.For
	case d.Kind == DutySoak:
		return 12 * unit.Hour
	}
	return 2 * unit.Hour
}

// dutyHint lists the forms that ParseDuty reads.
const dutyHint = `"schedule", "grade 8 % at 50 km/h", "full power", "charge 100 A", "soak 12 h" and "soak 12 h, preheat to 10 °C" are accepted`

// ParseDuty reads a duty from words:
//
//	schedule                          the schedule that the caller sets
//	grade 8 % at 50 km/h
//	full power
//	charge 100 A
//	soak 12 h
//	soak 12 h, preheat to 10 °C
//
// Error: ErrDuty with what is accepted.
func ParseDuty(text string) (Duty, error) {
	fault := func(err error) (Duty, error) {
		if err != nil {
			return Duty{}, fmt.Errorf("%q: %w: %w; %s", text, ErrDuty, err, dutyHint)
		}
		return Duty{}, fmt.Errorf("%q: %w: %s", text, ErrDuty, dutyHint)
	}
	plain := strings.Join(strings.Fields(text), " ")
	word, rest, _ := strings.Cut(plain, " ")
	switch {
	case plain == string(DutySchedule):
		return Duty{Kind: DutySchedule}, nil
	case plain == string(DutyFullPower):
		return Duty{Kind: DutyFullPower}, nil
	case word == string(DutyGrade):
		grade, speed, found := strings.Cut(rest, " at ")
		g, err := unit.Parse[unit.Slope](grade)
		if err != nil || !found {
			return fault(err)
		}
		v, err := unit.Parse[unit.Speed](speed)
		if err != nil {
			return fault(err)
		}
		return checkedDuty(text, Duty{Kind: DutyGrade, Grade: g, Speed: v})
	case word == string(DutyCharge):
		i, err := unit.Parse[unit.Current](rest)
		if err != nil {
			return fault(err)
		}
		return checkedDuty(text, Duty{Kind: DutyCharge, Current: i})
	case word == string(DutySoak):
		long, heat, found := strings.Cut(rest, ", preheat to ")
		d, err := unit.Parse[unit.Time](long)
		if err != nil {
			return fault(err)
		}
		duty := Duty{Kind: DutySoak, For: d}
		if found {
			if duty.Preheat, err = unit.Parse[unit.Temperature](heat); err != nil {
				return fault(err)
			}
		}
		return checkedDuty(text, duty)
	}
	return fault(nil)
}

// checkedDuty returns the duty, or ErrDuty when a figure of it cannot be.
func checkedDuty(text string, d Duty) (Duty, error) {
	if err := d.validate(); err != nil {
		return Duty{}, fmt.Errorf("%q: %w", text, err)
	}
	return d, nil
}

// dutyMost bounds a duty. Source: assumption.
const dutyMost = 7 * 24 * unit.Hour

func (d Duty) validate() error {
	bad := func(subject string, value float64, accepted string) error {
		return fmt.Errorf("%w: %s %g, accepted is %s", ErrDuty, subject, value, accepted)
	}
	switch {
	case !(d.For >= 0 && d.For <= dutyMost):
		return bad("time in s", float64(d.For), "0 to 7 days")
	case d.Kind == DutyGrade && !(d.Speed > 0 && d.Speed <= schedule.SpeedMax):
		return bad("speed in m/s", float64(d.Speed), "above 0 to 83.3 (300 km/h)")
	case d.Kind == DutyGrade && !(math.Abs(float64(d.Grade)) <= 1):
		return bad("grade", float64(d.Grade), "-1 to 1 (100 %)")
	case d.Kind == DutyCharge && !(d.Current > 0 && d.Current <= 1e4):
		return bad("charging current in A", float64(d.Current), "above 0 to 10000")
	case d.Kind == DutySoak && d.Preheat != 0 && !(d.Preheat >= unit.Celsius(-40) && d.Preheat <= unit.Celsius(60)):
		return bad("temperature of preheating in °C", d.Preheat.Celsius(), "-40 to 60")
	}
	return nil
}

// String returns the duty in the words that ParseDuty reads.
func (d Duty) String() string {
	switch d.Kind {
	case DutyGrade:
		return fmt.Sprintf("grade %s at %s", unit.Format(d.Grade, unit.SI), unit.Format(d.Speed, unit.SI))
	case DutyCharge:
		return fmt.Sprintf("charge %s", unit.Format(d.Current, unit.SI))
	case DutySoak:
		s := fmt.Sprintf("soak %s", unit.Format(d.longest(), unit.SI))
		if d.Preheat != 0 {
			s += fmt.Sprintf(", preheat to %s", unit.Format(d.Preheat, unit.SI))
		}
		return s
	}
	return string(d.Kind)
}
