package schedule

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"packyard/unit"
)

// ConstantTime is how long a constant speed is held when nothing else is said.
// Source: assumption; a range run repeats the schedule, so only a single run of
// it depends on this.
const ConstantTime = 1 * unit.Hour

// SpeedMax is the highest speed that is taken for a road speed, 300 km/h: above
// it a slip of unit is likelier. Source: assumption.
const SpeedMax = 300 * unit.KilometrePerHour

// Constant returns a schedule that holds speed v for the time d on the level,
// in steps of one second. It begins and ends at that speed, so that a repeated
// run holds it throughout. Errors: speed not above zero or above SpeedMax, time
// not above zero or above seven days.
func Constant(v unit.Speed, d unit.Time) (*Schedule, error) {
	if !(v > 0 && v <= SpeedMax) {
		return nil, fmt.Errorf("constant speed: %g km/h: it must be above 0 and at most %g km/h", v.KilometresPerHour(), SpeedMax.KilometresPerHour())
	}
	if !(d > 0 && float64(d) < rowsMax) {
		return nil, fmt.Errorf("constant speed: time of %g s: it must be above 0 and at most %d s", float64(d), rowsMax-1)
	}
	s := &Schedule{Source: "common-practice"}
	for i := 0; float64(i) < float64(d); i++ {
		s.Time, s.Speed = append(s.Time, float64(i)), append(s.Speed, float64(v))
	}
	s.Time, s.Speed = append(s.Time, float64(d)), append(s.Speed, float64(v))
	speed := strconv.FormatFloat(math.Round(v.KilometresPerHour()*100)/100, 'f', -1, 64)
	s.ID = "constant-" + speed + "-kmh"
	s.Title = fmt.Sprintf("constant %s km/h for %.6g min (%.6g km)", speed, d.Minutes(), float64(v)*float64(d)/1000)
	return s, nil
}

const constantHint = `a constant speed is written "constant 60 km/h", with "for 30 min" or "for 20 mi" behind it where the length matters`

// Parse returns the schedule that a text names: the name of a built-in one, or
// a constant speed in the forms "constant 60 km/h", "constant 60 km/h for
// 30 min" and "constant 37 mph for 20 mi". Without a length it holds the speed
// for ConstantTime. Errors: ErrUnknown, or what of the text is not accepted.
func Parse(text string) (*Schedule, error) {
	rest, constant := strings.CutPrefix(strings.TrimSpace(text), "constant")
	if !constant {
		return Find(strings.TrimSpace(text))
	}
	speedText, lengthText, limited := strings.Cut(rest, " for ")
	v, err := unit.Parse[unit.Speed](strings.TrimSpace(speedText))
	if err != nil {
		return nil, fmt.Errorf("schedule %q: %w", text, err)
	}
	if !limited {
		return Constant(v, ConstantTime)
	}
	if !(v > 0) {
		return nil, fmt.Errorf("schedule %q: a speed of %g m/s: it must be above 0", text, float64(v))
	}
	d, err := unit.Parse[unit.Time](strings.TrimSpace(lengthText))
	if err != nil {
		length, errLength := unit.Parse[unit.Length](strings.TrimSpace(lengthText))
		if errLength != nil {
			return nil, fmt.Errorf("schedule %q: %q is neither a time nor a length: %s", text, lengthText, constantHint)
		}
		d = unit.Time(float64(length) / float64(v))
	}
	return Constant(v, d)
}

// unitRow returns the row of the closed table of unit that has the spelling.
func unitRow[Q unit.Quantity](spelling string) (unit.Row, error) {
	var known []string
	for _, r := range unit.Rows[Q]() {
		if r.Spelling == spelling {
			return r, nil
		}
		known = append(known, r.Spelling)
	}
	return unit.Row{}, fmt.Errorf("%q is not a unit of a %s: accepted are %s", spelling, unit.Noun[Q](), strings.Join(known, ", "))
}

// decimal reads a plain decimal number. A comma, NaN, infinity, and the
// spellings of program source (hexadecimal, underscores) are refused by name.
func decimal(text string) (float64, error) {
	if strings.Contains(text, ",") {
		return 0, fmt.Errorf("%q has a comma: write the decimal point, %s, and no thousands separator", text, strings.Replace(text, ",", ".", 1))
	}
	if text == "" {
		return 0, fmt.Errorf("nothing was found: a number is needed")
	}
	for _, r := range text {
		if !strings.ContainsRune("0123456789.+-eE", r) {
			return 0, fmt.Errorf("%q is not a number: digits with a decimal point are accepted", text)
		}
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsInf(v, 0) || math.IsNaN(v) {
		return 0, fmt.Errorf("%q is not a number: digits with a decimal point are accepted", text)
	}
	return v, nil
}
