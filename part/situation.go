package part

import (
	_ "embed"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"sync"

	"packyard/check"
	"packyard/unit"
)

// ErrLoadTable is returned for a table of 12 V loads that does not read.
var ErrLoadTable = errors.New("12 V load table")

//go:embed data/loads_12v.csv
var loadsCSV string

// LoadRow is one line of the table of 12 V loads.
type LoadRow struct {
	Name      string
	Low, High unit.Power // reasonable range while on, at 13.5 V
	When      string     // "always", "dark or wet", "wet"
	Duty      unit.Ratio
	Duties    Curve // ambient °C → share of the time; empty: Duty
	Source    string
	Status    string
	Note      string
}

// Situation is the weather that decides which 12 V loads are on. The zero
// value is a dry day.
type Situation struct {
	Dark bool // lamps on
	Wet  bool // lamps and wipers on
}

// Load returns the row as a load at the middle of its range.
func (r LoadRow) Load() Load {
	return Load{Name: r.Name, Power: (r.Low + r.High) / 2, Duty: r.Duty, Duties: r.Duties, Source: r.Source}
}

// On reports whether the load of the row is in use in the situation at all.
func (r LoadRow) On(s Situation) bool {
	switch r.When {
	case "wet":
		return s.Wet
	case "dark or wet":
		return s.Dark || s.Wet
	}
	return true
}

var builtInLoads = sync.OnceValues(func() ([]LoadRow, error) { return ReadLoadTable(strings.NewReader(loadsCSV)) })

// LoadTable returns the built-in table of 12 V loads. Panics if the embedded
// file does not read.
func LoadTable() []LoadRow {
	rows, err := builtInLoads()
	if err != nil {
		panic(err)
	}
	return append([]LoadRow(nil), rows...)
}

// loadsMax bounds the rows of a table of loads.
const loadsMax = 1000

// ReadLoadTable reads a table of 12 V loads: name, low_w, high_w, when,
// duty_share, duty_by_ambient_c, source, status, note. The share of the time
// is either one number or pairs "°C:share" in rising order. Errors:
// ErrLoadTable with the line.
func ReadLoadTable(r io.Reader) ([]LoadRow, error) {
	cr := csv.NewReader(r)
	cr.FieldsPerRecord = 9
	var rows []LoadRow
	for n := 1; ; n++ {
		rec, err := cr.Read()
		if errors.Is(err, io.EOF) {
			return rows, nil
		}
		if err != nil {
			return nil, fmt.Errorf("%w: %w", ErrLoadTable, err)
		}
		if n == 1 {
			continue
		}
		row, err := loadRow(rec)
		if err != nil {
			return nil, fmt.Errorf("%w: line %d: %w", ErrLoadTable, n, err)
		}
		if rows = append(rows, row); len(rows) > loadsMax {
			return nil, fmt.Errorf("%w: more than %d loads", ErrLoadTable, loadsMax)
		}
	}
}

func loadRow(rec []string) (LoadRow, error) {
	row := LoadRow{Name: rec[0], When: rec[3], Source: rec[6], Status: rec[7], Note: rec[8]}
	low, err := number(rec[1], 0, 1e4)
	if err != nil {
		return row, fmt.Errorf("low_w: %w", err)
	}
	high, err := number(rec[2], low, 1e4)
	if err != nil {
		return row, fmt.Errorf("high_w: %w", err)
	}
	row.Low, row.High = unit.Power(low), unit.Power(high)
	switch rec[3] {
	case "always", "dark or wet", "wet":
	default:
		return row, fmt.Errorf("when: %q is not always, dark or wet, or wet", rec[3])
	}
	if (rec[4] == "") == (rec[5] == "") {
		return row, errors.New("one of duty_share and duty_by_ambient_c must be given")
	}
	if rec[4] != "" {
		duty, err := number(rec[4], 0, 1)
		row.Duty = unit.Ratio(duty)
		return row, err
	}
	row.Duties, err = dutyCurve(rec[5])
	return row, err
}

func dutyCurve(s string) (Curve, error) {
	var c Curve
	for pair := range strings.FieldsSeq(s) {
		left, right, ok := strings.Cut(pair, ":")
		if !ok {
			return c, fmt.Errorf("duty_by_ambient_c: %q is not °C:share", pair)
		}
		x, err := number(left, -100, 100)
		if err != nil {
			return c, fmt.Errorf("duty_by_ambient_c: %w", err)
		}
		y, err := number(right, 0, 1)
		if err != nil {
			return c, fmt.Errorf("duty_by_ambient_c: %w", err)
		}
		if n := len(c.X); n > 0 && x <= c.X[n-1] {
			return c, fmt.Errorf("duty_by_ambient_c: %g °C does not rise", x)
		}
		c.X, c.Y = append(c.X, x), append(c.Y, y)
	}
	if len(c.X) == 0 {
		return c, errors.New("duty_by_ambient_c: no pairs")
	}
	return c, nil
}

func number(s string, low, high float64) (float64, error) {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return 0, fmt.Errorf("%q is not a number", s)
	}
	if !(v >= low && v <= high) {
		return 0, fmt.Errorf("%g is not within %g and %g", v, low, high)
	}
	return v, nil
}

// DefaultAuxiliaries returns those of a converted car on a dry day, see
// AuxiliariesFor.
func DefaultAuxiliaries() Auxiliaries { return AuxiliariesFor(Situation{}) }

// AuxiliariesFor returns the auxiliaries of a converted car in the situation:
// the loads of LoadTable that are on, each at the middle of its range; a
// coolant pump of 37.5 W (15 to 60); a brake vacuum pump of 155.5 W (108 to
// 203) for 7.5 % of the time (5 to 10); electric steering of 35 W (20 to 50);
// the cabin of DefaultCabin. The ranges of the last three are trade figures
// from memory. On a dry day at 23 °C this comes to what has been measured on a
// modern car with the air-conditioning off (320 to 410 W).
// Source: catalogue sources C6.10 to C6.13.
func AuxiliariesFor(s Situation) Auxiliaries {
	a := Auxiliaries{
		Cabin: DefaultCabin().Curve(), Pumps: (15 + 60) / 2.0, Steering: (20 + 50) / 2,
		Vacuum:  VacuumMean(vacuumRunning, vacuumDuty),
		Sources: AuxiliarySources{Cabin: "lohse-busch-2013", Pumps: "from-memory", Vacuum: "from-memory", Steering: "from-memory"},
	}
	for _, r := range LoadTable() {
		if r.On(s) {
			a.Loads = append(a.Loads, r.Load())
		}
	}
	return a
}

// Brake vacuum pump: 8 to 15 A at 13.5 V while running, 5 to 10 % of the time
// in town, the middle of both. Source: from-memory (C6.13).
const (
	vacuumRunning unit.Power = (108 + 203) / 2.0
	vacuumDuty    unit.Ratio = 0.075
)

// VacuumMean returns the mean power of a brake vacuum pump: power while
// running times share of the time.
func VacuumMean(running unit.Power, duty unit.Ratio) unit.Power {
	return unit.Power(float64(running) * float64(duty))
}

// Peak returns the power on the 12 V net with every load on at once, pumps and
// steering at their means.
func (a Auxiliaries) Peak() unit.Power {
	sum := a.Pumps + a.Vacuum + a.Steering
	for _, l := range a.Loads {
		sum += l.Power
	}
	return sum
}

// Check compares what the 12 V net can draw with the converter. Rule
// converter.power: a failure where the mean at the ambient temperature passes
// the rating (the 12 V battery runs empty), a warning where only all loads at
// once do (it helps out for a while).
// Source: common practice.
func (a Auxiliaries) Check(c *Converter, ambient unit.Temperature) []check.Finding {
	if c == nil || c.PowerMax <= 0 {
		return nil
	}
	finding := func(subject string, p unit.Power, s check.Severity) []check.Finding {
		return []check.Finding{{
			Rule: "converter.power", Budget: "current", Subject: subject, Value: check.Of(p), Limit: check.Of(c.PowerMax),
			Margin: float64(c.PowerMax-p) / float64(c.PowerMax), Severity: s,
			Remedy: "a larger 12 V converter, or fewer loads", Source: "common-practice",
		}}
	}
	if mean := a.NetPower(ambient); mean > c.PowerMax {
		return finding("mean power on the 12 V net", mean, check.Failure)
	}
	if peak := a.Peak(); peak > c.PowerMax {
		return finding("12 V net with every load on at once", peak, check.Warning)
	}
	return nil
}
