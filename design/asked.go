package design

import (
	"fmt"
	"strings"

	"packyard/charge"
	"packyard/drive"
	"packyard/unit"
)

// AskedError is a text of what is asked that cannot be read.
type AskedError struct {
	Field string // of HeatAsked or ChargeAsked, in lower case: "ambient"
	Err   error
}

// Error names the field and says what is accepted.
func (e *AskedError) Error() string { return e.Field + ": " + e.Err.Error() }

// Unwrap returns what was found.
func (e *AskedError) Unwrap() error { return e.Err }

// HeatAsked is a duty as a person asks for it, each in words; an empty text
// leaves what is usual.
type HeatAsked struct {
	Duty    string // as drive.ParseDuty reads it; empty: "schedule"
	Ambient string // "36 °C"
	Cells   string // temperature of the pack at the start
	From    string // charge of the cells at the start
	For     string // how long at most
}

// Read reads the texts. The schedule of the duty is left to the caller. Error:
// *AskedError.
func (x HeatAsked) Read() (Warming, error) {
	var w Warming
	var err error
	if x.Duty == "" {
		x.Duty = string(drive.DutySchedule)
	}
	if w.Duty, err = drive.ParseDuty(x.Duty); err != nil {
		return w, &AskedError{"duty", err}
	}
	w.Name = strings.Join(strings.Fields(x.Duty), " ")
	if err = within("ambient", x.Ambient, cellTemperatures, &w.Air); err != nil {
		return w, err
	}
	if err = within("cells", x.Cells, cellTemperatures, &w.Start); err != nil {
		return w, err
	}
	if err = within("from", x.From, span[unit.Ratio]{low: 0, high: 1, above: true, accepted: "above 0 % to 100 % are"}, &w.Charge); err != nil {
		return w, err
	}
	if x.For != "" && w.Duty.Kind == drive.DutySoak {
		return w, &AskedError{"for", fmt.Errorf("%q: a soak says itself how long it lasts", x.For)}
	}
	return w, within("for", x.For, span[unit.Time]{low: 0, high: 7 * 24 * unit.Hour, above: true, accepted: "more than nothing and at most 7 days are"}, &w.Duty.For)
}

// ChargeAsked is a charge as a person asks for it, each in words; an empty text
// leaves what is usual.
type ChargeAsked struct {
	Supply   string // as charge.ParseSupply reads it; empty: SupplyUsual
	From, To string // usable charge; empty: 0 % and 100 %
	Cells    string // temperature of the cells at the start
}

// SupplyUsual is what a charge is drawn from unless said: a domestic socket of
// the smallest circuit that a vehicle is usually charged from. Source:
// common-practice.
const SupplyUsual = "230 V 16 A"

// chargeMarks are the charges between which times are told. Source:
// common-practice.
var chargeMarks = [...]unit.Ratio{0.1, 0.2, 0.8}

// Read reads the texts. Wiring, life and what else the option says is left to the
// caller. Error: *AskedError.
func (x ChargeAsked) Read() (*Fill, error) {
	if x.Supply == "" {
		x.Supply = SupplyUsual
	}
	s, err := charge.ParseSupply(x.Supply)
	if err != nil {
		return nil, &AskedError{"supply", err}
	}
	out := &Fill{Supply: s, To: 1}
	share := span[unit.Ratio]{low: 0, high: 1, accepted: "0 % to 100 % are"}
	if err = within("from", x.From, share, &out.From); err != nil {
		return nil, err
	}
	if err = within("to", x.To, share, &out.To); err != nil {
		return nil, err
	}
	if out.From >= out.To {
		return nil, &AskedError{"from", fmt.Errorf("%q, and to %q: a charge goes up", x.From, x.To)}
	}
	if err = within("cells", x.Cells, cellTemperatures, &out.Temperature); err != nil {
		return nil, err
	}
	for _, m := range chargeMarks {
		if m >= out.From && m <= out.To {
			out.Marks = append(out.Marks, m)
		}
	}
	return out, nil
}

// span are the values that a text may state.
type span[Q unit.Quantity] struct {
	low, high Q
	above     bool   // the lowest itself is not accepted
	accepted  string // the same in words
}

// cellTemperatures bounds what cells and air are asked for.
var cellTemperatures = span[unit.Temperature]{low: unit.Celsius(-60), high: unit.Celsius(80), accepted: "-60 °C to 80 °C are"}

// within reads a quantity; an empty text leaves the value as it is. Error:
// *AskedError.
func within[Q unit.Quantity](field, text string, b span[Q], to *Q) error {
	if text = strings.TrimSpace(text); text == "" {
		return nil
	}
	v, err := unit.Parse[Q](text)
	if err != nil {
		return &AskedError{field, err}
	}
	if !(v >= b.low && v <= b.high) || b.above && v == b.low {
		return &AskedError{field, fmt.Errorf("%q: %s accepted", text, b.accepted)}
	}
	*to = v
	return nil
}
