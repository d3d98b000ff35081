package part

import (
	"packyard/check"
	"packyard/unit"
)

// Function is what a device does at a voltage.
type Function uint8

// Functions, in rising order.
const (
	Destroyed Function = iota // above the never-exceed voltage
	Off                       // unharmed, gives nothing
	Reduced                   // works with reduced power
	Full                      // works as rated
)

// IsGiven reports whether the bands were stated at all.
func (b Bands) IsGiven() bool { return b.FullMax > 0 }

// At returns what the device does at the voltage. Limits belong to the better
// side: exactly FullMax is Full.
func (b Bands) At(v unit.Voltage) Function {
	switch {
	case v > b.NeverExceed:
		return Destroyed
	case v > b.ReducedMax || v < b.ReducedMin:
		return Off
	case v > b.FullMax || v < b.FullMin:
		return Reduced
	}
	return Full
}

// Fits reports whether the window from lowest to full breaks no limit: the
// device works, if with reduced power, over the whole of it. It is true where
// Check has no failure, for searches; bands that were not stated limit nothing.
func (b Bands) Fits(full, lowest unit.Voltage) bool {
	return !b.IsGiven() || full <= b.ReducedMax && full <= b.NeverExceed && lowest >= b.ReducedMin
}

// Check compares the pack's own voltages with the bands of one device, always
// by full and lowest usable voltage, never by the nominal one. device is the
// word in the rule, "inverter", "charger" or "converter".
//
// Rule voltage.<device>.full: full above NeverExceed or above ReducedMax is a
// failure, above FullMax a warning. Rule voltage.<device>.lowest: lowest below
// ReducedMin is a failure, below FullMin a warning. Bands that were not stated
// are a warning of rule voltage.<device>.bands. Nothing else is returned.
// Source: iso-21498 (three bands of a voltage class B component).
func (b Bands) Check(device string, full, lowest unit.Voltage) []check.Finding {
	if !b.IsGiven() {
		return []check.Finding{{
			Rule: "voltage." + device + ".bands", Budget: "voltage", Subject: device + " voltage bands",
			Value: check.Of(full), Severity: check.Warning,
			Remedy: "state the voltage bands of the " + device + " from its data sheet", Source: "common-practice",
		}}
	}
	var out []check.Finding
	add := func(end, subject string, v, limit unit.Voltage, sign float64, s check.Severity, remedy string) {
		out = append(out, check.Finding{
			Rule: "voltage." + device + "." + end, Budget: "voltage", Subject: subject,
			Value: check.Of(v), Limit: check.Of(limit), Margin: sign * float64(limit-v) / float64(limit),
			Severity: s, Remedy: remedy, Source: "iso-21498",
		})
	}
	const fewer = "fewer cells in series, or a lower charge limit"
	switch {
	case full > b.NeverExceed:
		add("full", "full pack voltage against what the "+device+" must never see", full, b.NeverExceed, 1, check.Failure, fewer)
	case full > b.ReducedMax:
		add("full", "full pack voltage against the highest at which the "+device+" works", full, b.ReducedMax, 1, check.Failure, fewer)
	case full > b.FullMax:
		add("full", "full pack voltage against full function of the "+device, full, b.FullMax, 1, check.Warning, fewer)
	}
	const more = "more cells in series, or a higher charge floor"
	switch {
	case lowest < b.ReducedMin:
		add("lowest", "lowest pack voltage against the lowest at which the "+device+" works", lowest, b.ReducedMin, -1, check.Failure, more)
	case lowest < b.FullMin:
		add("lowest", "lowest pack voltage against full function of the "+device, lowest, b.FullMin, -1, check.Warning, more)
	}
	return out
}

// Check compares the pack's voltages with the bands of the charger and with
// the lowest voltage from which it starts (rule voltage.charger.start, a
// failure: an empty pack could not be charged).
// Source: iso-21498; common practice for the start voltage.
func (c *Charger) Check(full, lowest unit.Voltage) []check.Finding {
	out := c.Bands.Check("charger", full, lowest)
	if lowest < c.StartMin {
		out = append(out, check.Finding{
			Rule: "voltage.charger.start", Budget: "voltage", Subject: "lowest pack voltage against the lowest that the charger starts from",
			Value: check.Of(lowest), Limit: check.Of(c.StartMin), Margin: float64(lowest-c.StartMin) / float64(c.StartMin),
			Severity: check.Failure, Remedy: "a charger that starts lower, or a higher charge floor", Source: "common-practice",
		})
	}
	return out
}

// Check compares the pack's voltages with the bands of the inverter.
func (i *Inverter) Check(full, lowest unit.Voltage) []check.Finding {
	return i.Bands.Check("inverter", full, lowest)
}

// Check compares the pack's voltages with the bands of the converter.
func (c *Converter) Check(full, lowest unit.Voltage) []check.Finding {
	return c.Bands.Check("converter", full, lowest)
}
