package celltest

import (
	"embed"
	"encoding/csv"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"unicode"
)

// Quantity is what a column of a log holds, as far as the reader looks at it.
type Quantity string

// Quantities. A log needs a time (or a Unix time), a voltage and a current.
const (
	QuantityTime        Quantity = "time"
	QuantityUnixTime    Quantity = "unix-time"
	QuantityVoltage     Quantity = "voltage"
	QuantityCurrent     Quantity = "current"
	QuantityTemperature Quantity = "temperature" // of the surface
	QuantityAmbient     Quantity = "ambient"     // temperature of the air or chamber
	QuantityChargeNet   Quantity = "charge-net"  // counter, growing with the sign of the current
	QuantityChargeIn    Quantity = "charge-in"   // counter, never falling
	QuantityChargeOut   Quantity = "charge-out"  // counter, never falling
	QuantityChargeSum   Quantity = "charge-sum"  // counter of both, never falling
	QuantityStep        Quantity = "step"
	QuantityCycle       Quantity = "cycle"
)

// Places of the quantities in a row that was read.
const (
	atTime = iota
	atUnix
	atVoltage
	atCurrent
	atTemperature
	atAmbient
	atNet
	atIn
	atOut
	atSum
	atStep
	atCycle
	places
)

// Quantities returns all of them, in the order of their places in a row.
func Quantities() []Quantity {
	return []Quantity{QuantityTime, QuantityUnixTime, QuantityVoltage, QuantityCurrent, QuantityTemperature, QuantityAmbient,
		QuantityChargeNet, QuantityChargeIn, QuantityChargeOut, QuantityChargeSum, QuantityStep, QuantityCycle}
}

func placeOf(q Quantity) int { return slices.Index(Quantities(), q) }

// Column says what one column of a file is.
type Column struct {
	Number   int      `json:"column"` // from 1
	Header   string   `json:"header"` // as it stands in the file
	Quantity Quantity `json:"quantity,omitempty"`
	Unit     string   `json:"unit,omitempty"`          // that the values are read in
	Assumed  bool     `json:"unit_assumed,omitempty"`  // the header names no unit
	Label    string   `json:"battery_label,omitempty"` // machine name in the Battery Data Format
	factor   float64  // to SI
	offset   float64  // added after the factor, SI
}

// scale is a unit of a log: SI = value·factor + offset.
type scale struct{ factor, offset float64 }

// scaleOf returns the unit that is spelled so for a quantity, in small letters.
// The milli of mAh and the mega of MAh are one spelling here, since files write
// both for the first and nobody logs the second.
func scaleOf(q Quantity, spelled string) (scale, bool) {
	const zeroCelsius, fahrenheit = 273.15, 5.0 / 9
	switch q {
	case QuantityTime, QuantityUnixTime:
		switch spelled {
		case "s", "sec", "secs", "second", "seconds", "h:m:s", "hh:mm:ss", "hms":
			return scale{1, 0}, true
		case "ms", "msec", "millisecond", "milliseconds":
			return scale{1e-3, 0}, true
		case "us", "µs", "microsecond", "microseconds":
			return scale{1e-6, 0}, true
		case "min", "mins", "minute", "minutes":
			return scale{60, 0}, true
		case "h", "hr", "hrs", "hour", "hours":
			return scale{3600, 0}, true
		case "d", "day", "days":
			return scale{86400, 0}, true
		}
	case QuantityVoltage:
		return milli(spelled, "v", "volt", "volts")
	case QuantityCurrent:
		return milli(spelled, "a", "amp", "amps", "ampere", "amperes")
	case QuantityTemperature, QuantityAmbient:
		switch spelled {
		case "c", "°c", "℃", "ºc", "degc", "deg_c", "deg c", "celsius":
			return scale{1, zeroCelsius}, true
		case "f", "°f", "℉", "ºf", "degf", "deg_f", "deg f", "fahrenheit":
			return scale{fahrenheit, zeroCelsius - 32*fahrenheit}, true
		case "k", "kelvin":
			return scale{1, 0}, true
		}
	case QuantityStep, QuantityCycle:
		if spelled == "1" || spelled == "" {
			return scale{1, 0}, true
		}
	default:
		switch spelled {
		case "c", "as", "a·s", "a.s", "coulomb", "coulombs":
			return scale{1, 0}, true
		}
		if s, ok := milli(spelled, "ah", "a.h", "a·h", "amp-hr", "amp-hour", "amperehour", "ampere_hour"); ok {
			return scale{s.factor * 3600, 0}, true
		}
	}
	return scale{}, false
}

func milli(spelled string, names ...string) (scale, bool) {
	switch {
	case slices.Contains(names, spelled):
		return scale{1, 0}, true
	case strings.HasPrefix(spelled, "milli") && slices.Contains(names, spelled[5:]):
		return scale{1e-3, 0}, true
	case strings.HasPrefix(spelled, "m") && slices.Contains(names, spelled[1:]):
		return scale{1e-3, 0}, true
	case strings.HasPrefix(spelled, "k") && slices.Contains(names, spelled[1:]):
		return scale{1e3, 0}, true
	case (strings.HasPrefix(spelled, "µ") || strings.HasPrefix(spelled, "u")) && slices.Contains(names, strings.TrimPrefix(strings.TrimPrefix(spelled, "µ"), "u")):
		return scale{1e-6, 0}, true
	}
	return scale{}, false
}

// unitAssumed is what a column without a unit is read in; the report says so.
func unitAssumed(q Quantity) string {
	switch q {
	case QuantityTime, QuantityUnixTime:
		return "s"
	case QuantityVoltage:
		return "V"
	case QuantityCurrent:
		return "A"
	case QuantityTemperature, QuantityAmbient:
		return "degC"
	case QuantityStep, QuantityCycle:
		return "1"
	}
	return "Ah"
}

// in makes the column one of a quantity in a unit.
func (c *Column) in(q Quantity, spelled string) error {
	s, ok := scaleOf(q, strings.ToLower(strings.TrimSpace(spelled)))
	if !ok {
		return fmt.Errorf("%q is no unit that is known for %s", spelled, q)
	}
	c.Quantity, c.Unit, c.factor, c.offset = q, spelled, s.factor, s.offset
	return nil
}

//go:embed data/battery_data_format.csv
var labelFile embed.FS

// batteryLabel is one row of the Battery Data Format.
type batteryLabel struct {
	machine, preferred, unit string
	quantity                 Quantity // empty: kept, but not looked at
}

// batteryLabels reads the table of labels once.
var batteryLabels = sync.OnceValues(func() ([]batteryLabel, error) {
	f, err := labelFile.Open("data/battery_data_format.csv")
	if err != nil {
		return nil, err
	}
	rows, err := csv.NewReader(f).ReadAll()
	if err = errors.Join(err, f.Close()); err != nil {
		return nil, err
	}
	var out []batteryLabel
	for _, r := range rows[1:] {
		out = append(out, batteryLabel{machine: r[1], preferred: r[2], unit: r[3], quantity: Quantity(r[4])})
	}
	return out, nil
})

// labelled finds a header among the labels of the Battery Data Format, preferred
// or machine, in any letters; "Ohm" and "ohm" are both met.
func labelled(header string) (batteryLabel, bool) {
	list, err := batteryLabels()
	if err != nil {
		return batteryLabel{}, false // the table is embedded; TestBatteryLabelsAreRead
	}
	for _, l := range list {
		if header != "" && (strings.EqualFold(header, l.machine) || strings.EqualFold(header, l.preferred)) {
			return l, true
		}
	}
	return batteryLabel{}, false
}

// wordsOf are the plain words for a quantity that a header may consist of, in
// small letters without blanks and strokes (common practice).
func wordsOf(q Quantity) []string {
	switch q {
	case QuantityTime:
		return []string{"time", "testtime", "totaltime", "elapsedtime", "elapsed", "runtime", "t", "zeit"}
	case QuantityUnixTime:
		return []string{"unixtime", "unix", "epoch", "timestamp", "datetime", "date", "datetimestamp", "absolutetime"}
	case QuantityVoltage:
		return []string{"voltage", "cellvoltage", "terminalvoltage", "volt", "volts", "u", "v", "spannung"}
	case QuantityCurrent:
		return []string{"current", "cellcurrent", "i", "amps", "amp", "strom"}
	case QuantityTemperature:
		return []string{"temperature", "celltemperature", "surfacetemperature", "temp", "celltemp", "t1", "temperaturet1", "temperature1", "temp1", "temperatur"}
	case QuantityAmbient:
		return []string{"ambienttemperature", "ambient", "ambienttemp", "chambertemperature", "chamber"}
	case QuantityChargeNet:
		return []string{"ah", "charge", "netcharge", "netcapacity", "amphours", "ampere-hours"}
	case QuantityChargeIn:
		return []string{"chargecapacity", "chargingcapacity", "chargein", "ahcharge", "ahin", "chargeah"}
	case QuantityChargeOut:
		return []string{"dischargecapacity", "dischargingcapacity", "chargeout", "ahdischarge", "ahout", "dischargeah"}
	case QuantityStep:
		return []string{"step", "stepnumber", "stepcount", "stepindex", "stepno"}
	case QuantityCycle:
		return []string{"cycle", "cyclenumber", "cyclecount", "cycleindex", "cycleno"}
	}
	return nil
}

// split takes a header apart into name and unit: "Voltage / V", "U[mV]",
// "Current (A)", "temperature_c", "Time, s".
func splitHeader(header string, q Quantity) (name, spelled string) {
	h := strings.TrimSpace(header)
	for _, pair := range []string{"()", "[]", "<>", "{}"} {
		open := strings.LastIndexByte(h, pair[0])
		if open > 0 && h[len(h)-1] == pair[1] {
			return strings.TrimSpace(h[:open]), strings.TrimSpace(h[open+1 : len(h)-1])
		}
	}
	for _, cut := range []string{"/", ",", "_", " ", "."} {
		at := strings.LastIndex(h, cut)
		if at <= 0 {
			continue
		}
		rest := strings.TrimSpace(h[at+1:])
		if _, ok := scaleOf(q, strings.ToLower(rest)); ok {
			return strings.TrimSpace(h[:at]), rest
		}
	}
	return h, ""
}

// plainName leaves letters and digits, in small letters.
func plainName(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToLower(r)
		}
		return -1
	}, s)
}

// guess makes a column what its header says in plain words, if it does.
func (c *Column) guess() {
	for _, q := range Quantities() {
		name, spelled := splitHeader(c.Header, q)
		if !slices.Contains(wordsOf(q), plainName(name)) {
			continue
		}
		if spelled == "" {
			if c.in(q, unitAssumed(q)) == nil && q != QuantityStep && q != QuantityCycle {
				c.Assumed = q != QuantityChargeNet || plainName(name) != "ah"
			}
			return
		}
		if c.in(q, spelled) == nil {
			return
		}
	}
}
