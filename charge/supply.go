package charge

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"packyard/unit"
)

// ErrSupply says that a supply cannot be read or used.
var ErrSupply = errors.New("supply cannot be used")

// Supply is where the energy comes from. PowerMax is for direct current only.
type Supply struct {
	Text    string       // as it was written
	Direct  bool         // a station with direct current; else alternating current
	Voltage unit.Voltage // alternating: phase to neutral; direct: highest voltage of the station
	Current unit.Current // per phase, or of the station
	Phases  int          // 1 or 3, 0 for direct current
	Power   unit.Power   // direct: highest power of the station
}

// supplyHint is what a supply looks like.
const supplyHint = `write "230 V 16 A", "3 x 230 V 32 A" (phase to neutral) or "dc 50 kW 500 V 125 A"`

// ParseSupply reads a supply: voltage and current of a socket or charging point,
// with "3 x" in front for three phases, or "dc" with power, highest voltage and
// current of a station. A three-phase supply of which the voltage between two
// phases is given ("3 x 400 V 16 A") is refused with the voltage to neutral.
//
// Errors: ErrSupply, with what was found and what is accepted.
func ParseSupply(text string) (Supply, error) {
	s := Supply{Text: strings.Join(strings.Fields(text), " "), Phases: 1}
	rest := s.Text
	if len(rest) > 3 && strings.EqualFold(rest[:3], "dc ") {
		s.Direct, s.Phases, rest = true, 0, rest[3:]
	} else if after, ok := strings.CutPrefix(strings.ReplaceAll(rest, "×", "x"), "3 x "); ok {
		s.Phases, rest = 3, after
	}
	words := strings.Fields(rest)
	want := 2
	if s.Direct {
		want = 3
	}
	if len(words) != 2*want {
		return s, fmt.Errorf("%w: %q is not a supply: %s", ErrSupply, text, supplyHint)
	}
	for i := 0; i < len(words); i += 2 {
		if err := s.term(words[i] + " " + words[i+1]); err != nil {
			return s, err
		}
	}
	return s, s.Check()
}

// term reads one quantity of a supply.
func (s *Supply) term(text string) error {
	if p, err := unit.Parse[unit.Power](text); err == nil && s.Direct {
		s.Power = p
		return nil
	}
	if v, err := unit.Parse[unit.Voltage](text); err == nil {
		s.Voltage = v
		return nil
	}
	i, err := unit.Parse[unit.Current](text)
	if err != nil {
		return fmt.Errorf("%w: %q: neither a voltage nor a current: %s", ErrSupply, text, supplyHint)
	}
	s.Current = i
	return nil
}

// Bounds of a supply. Source: iec-61851-1 (63 A and 80 A the largest pilot
// currents), common practice for the rest.
const (
	currentACMax = 80.0  // A per phase
	voltageACMax = 300.0 // V, phase to neutral
	voltageACMin = 90.0  // V
	currentDCMax = 1000  // A
	voltageDCMax = 1500  // V
)

// Check says what is wrong with a supply. Errors: ErrSupply.
func (s Supply) Check() error {
	v, i := float64(s.Voltage), float64(s.Current)
	switch {
	case s.Direct && !(v > 0 && v <= voltageDCMax):
		return fmt.Errorf("%w: %q: highest voltage of %g V, and it must be above 0 and at most %d V: %s", ErrSupply, s.Text, v, voltageDCMax, supplyHint)
	case s.Direct && !(i > 0 && i <= currentDCMax):
		return fmt.Errorf("%w: %q: current of %g A, and it must be above 0 and at most %d A: %s", ErrSupply, s.Text, i, currentDCMax, supplyHint)
	case s.Direct && !(s.Power > 0 && s.Power <= unit.Power(voltageDCMax*currentDCMax)):
		return fmt.Errorf("%w: %q: power of %g kW, and it must be above 0 and at most 1500 kW: %s", ErrSupply, s.Text, s.Power.Kilowatts(), supplyHint)
	case s.Direct:
		return nil
	case s.Phases != 1 && s.Phases != 3:
		return fmt.Errorf("%w: %q: %d phases, and 1 or 3 are accepted: %s", ErrSupply, s.Text, s.Phases, supplyHint)
	case s.Phases == 3 && v > voltageACMax && v <= voltageACMax*math.Sqrt(3):
		return fmt.Errorf("%w: %q: %g V looks like the voltage between two phases; give that to neutral, %.0f V", ErrSupply, s.Text, v, v/math.Sqrt(3))
	case !(v >= voltageACMin && v <= voltageACMax):
		return fmt.Errorf("%w: %q: %g V, and alternating current of %g to %g V is accepted: %s", ErrSupply, s.Text, v, voltageACMin, voltageACMax, supplyHint)
	case !(i > 0 && i <= currentACMax):
		return fmt.Errorf("%w: %q: %g A, and above 0 up to %g A is accepted: %s", ErrSupply, s.Text, i, currentACMax, supplyHint)
	}
	return nil
}

// PowerMax returns what the supply gives at most: n·U·I, or the power of the
// station. Source: iec-61851-1.
func (s Supply) PowerMax() unit.Power {
	if s.Direct {
		return s.Power
	}
	return unit.Power(float64(s.Phases) * float64(s.Voltage) * float64(s.Current))
}

// PowerFor returns what a charger with this many phases, and at most this current
// in each (zero: no limit), can draw from the supply: a charger with one phase
// uses one of three. Direct current passes no charger.
func (s Supply) PowerFor(phases int, most unit.Current) unit.Power {
	i := s.Current
	if most > 0 {
		i = min(i, most)
	}
	return unit.Power(float64(min(phases, s.Phases)) * float64(s.Voltage) * float64(i))
}
