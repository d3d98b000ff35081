package design

import (
	"packyard/check"
)

// Rule is one limit that an option is held against. Rules are what search
// counts by, and what a nearest miss relaxes one of.
type Rule uint8

// The limits, in the order in which they are reported.
const (
	InverterFull Rule = iota
	InverterLowest
	ChargerFull
	ChargerStart
	ConverterFull
	ConverterLowest
	CurrentPeak
	CurrentContinuous
	Climb
	MassBattery
	MassGross
	AxleFront
	AxleRear
	BayMass
	Space
	Money
	Supply
	Handling
	ChargeTime
	RangeNew
	RangeEnd
	RuleCount
)

// Sense says on which side of its limit a value is good.
type Sense uint8

// Senses.
const (
	AtMost Sense = iota
	AtLeast
)

// RuleInfo is what is fixed about a rule.
type RuleInfo struct {
	Name    string // stable, "mass.axle.rear"
	Budget  string // mass, space, voltage, money, supply, current, range, safety
	Subject string // what is compared, in words
	Sense   Sense
	Symbol  string // SI symbol of value and limit; "money" stands for the project's currency
	Noun    string // quantity
	Remedy  string // what the builder can change
	Source  string // source key of the rule
}

var rules = [RuleCount]RuleInfo{
	InverterFull: {"voltage.inverter.full", "voltage", "pack voltage when full, at the inverter", AtMost, "V", "voltage",
		"fewer cells in series, or an inverter for a higher voltage", "common-practice"},
	InverterLowest: {"voltage.inverter.lowest", "voltage", "pack voltage under load, lowest charge, cold and aged, at the inverter", AtLeast, "V", "voltage",
		"more cells in series, or an inverter for a lower voltage", "common-practice"},
	ChargerFull: {"voltage.charger.full", "voltage", "pack voltage when full, at the charger", AtMost, "V", "voltage",
		"fewer cells in series, or a charger for a higher voltage", "common-practice"},
	ChargerStart: {"voltage.charger.start", "voltage", "pack voltage at rest at the lowest charge, from which the charger must start", AtLeast, "V", "voltage",
		"more cells in series, or a charger that starts lower", "common-practice"},
	ConverterFull: {"voltage.converter.full", "voltage", "pack voltage when full, at the 12 V converter", AtMost, "V", "voltage",
		"fewer cells in series, or a converter for a higher voltage", "common-practice"},
	ConverterLowest: {"voltage.converter.lowest", "voltage", "pack voltage under load, lowest charge, cold and aged, at the 12 V converter", AtLeast, "V", "voltage",
		"more cells in series, or a converter for a lower voltage", "common-practice"},
	CurrentPeak: {"current.peak", "current", "greatest current of one cell on the schedule, at the lowest charge", AtMost, "A", "current",
		"more cells in parallel, or cells for a higher current", "common-practice"},
	CurrentContinuous: {"current.continuous", "current", "rms current of one cell on the schedule", AtMost, "A", "current",
		"more cells in parallel, or cells for a higher current", "common-practice"},
	Climb: {"current.climb", "current", "current of one cell on the wanted grade, at half charge", AtMost, "A", "current",
		"more cells in parallel, or a lower wanted speed on the grade", "common-practice"},
	MassBattery: {"mass.battery", "mass", "mass of the whole pack", AtMost, "kg", "mass",
		"fewer or lighter cells, or a larger budget of mass", "given"},
	MassGross: {"mass.gross", "mass", "mass in the heaviest load case", AtMost, "kg", "mass",
		"a lighter pack, less payload, or more taken out", "common-practice"},
	AxleFront: {"mass.axle.front", "mass", "front axle load in its worst load case", AtMost, "kg", "mass",
		"modules further to the rear, or a lighter pack", "common-practice"},
	AxleRear: {"mass.axle.rear", "mass", "rear axle load in its worst load case", AtMost, "kg", "mass",
		"modules further to the front, or a lighter pack", "common-practice"},
	BayMass: {"mass.bay", "mass", "mass in the bay that is nearest to its limit", AtMost, "kg", "mass",
		"stronger mounts, or modules in another bay", "given"},
	Space: {"space.bays", "space", "modules that have a place in the bays", AtLeast, "1", "modules",
		"a larger bay, other module lengths, or fewer cells", "common-practice"},
	Money: {"money.pack", "money", "price of the pack", AtMost, "money", "money",
		"fewer or cheaper cells, or a larger budget", "given"},
	Supply: {"supply.source", "supply", "pieces needed from the source", AtMost, "1", "pieces",
		"more pieces of the same kind, or fewer cells", "given"},
	Handling: {"safety.handling", "safety", "voltage of the largest module while handled, full", AtMost, "V", "voltage",
		"shorter modules", "iso-6469-3"},
	ChargeTime: {"charge.time", "charge", "time of a full charge from the wall", AtMost, "s", "time",
		"a charger of more power, or a smaller pack", "given"},
	RangeNew: {"range.new", "range", "range on the wanted schedule, as bought", AtLeast, "m", "length",
		"more cells, or a lighter vehicle", "un-gtr-15"},
	RangeEnd: {"range.end", "range", "range on the wanted schedule, at the planned end of life", AtLeast, "m", "length",
		"more cells, or an earlier end of life", "un-gtr-15"},
}

// Info returns what is fixed about the rule.
func (r Rule) Info() RuleInfo { return rules[r] }

func (r Rule) String() string { return rules[r].Name }

// RuleNamed returns the rule of that name.
func RuleNamed(name string) (Rule, bool) {
	for r := range RuleCount {
		if rules[r].Name == name {
			return r, true
		}
	}
	return 0, false
}

// Values are the value and limit of every rule for one option, in SI (money in
// the project's currency, counts bare). A rule that the brief does not ask for
// is never broken.
type Values struct {
	Value [RuleCount]float64 // SI, by rule
	Limit [RuleCount]float64 // SI, by rule
	Asked Set                // the rules that have a limit
}

// set states value and limit of a rule; a limit of zero means none.
func (v *Values) set(r Rule, value, limit float64) {
	v.Value[r], v.Limit[r] = value, limit
	if limit != 0 {
		v.Asked |= 1 << r
	} else {
		v.Asked &^= 1 << r
	}
}

// must states value and limit of a rule that always holds; a limit of zero
// forbids every value above it.
func (v *Values) must(r Rule, value, limit float64) {
	v.Value[r], v.Limit[r] = value, limit
	v.Asked |= 1 << r
}

// Violation returns by how much, relative to the limit, rule r is broken: 0
// when it holds or is not asked for, 0.05 for five per cent beyond the limit.
// The result is dimensionless.
func (v *Values) Violation(r Rule) float64 {
	return max(0, -v.margin(r))
}

// margin returns (limit − value)/limit, sign turned for limits from below, −1
// for anything above a limit of zero, and a large number for a rule that is not
// asked for.
func (v *Values) margin(r Rule) float64 {
	if !v.Asked.Has(r) {
		return notAsked
	}
	lim := v.Limit[r]
	if lim == 0 {
		if rules[r].Sense == AtMost && v.Value[r] > 0 {
			return -1
		}
		return 0
	}
	m := (lim - v.Value[r]) / lim
	if rules[r].Sense == AtLeast {
		m = -m
	}
	return m
}

// notAsked is the margin of a rule without limit; it is above any real one.
const notAsked = 1e9

// slack is what rounding may add to a value before its rule is broken.
const slack = 1e-9

// Broken returns the set of broken rules, bit r for rule r.
func (v *Values) Broken() Set {
	var s Set
	for r := range RuleCount {
		if v.margin(r) < -slack {
			s |= 1 << r
		}
	}
	return s
}

// physical are the rules whose margin says how near a design stands to what
// its parts bear: volts, amperes and kilograms. Money, supply, space and range
// are wishes or counts; their margin is no safety.
const physical Set = 1<<InverterFull | 1<<InverterLowest | 1<<ChargerFull | 1<<ChargerStart |
	1<<ConverterFull | 1<<ConverterLowest | 1<<CurrentPeak | 1<<CurrentContinuous | 1<<Climb |
	1<<MassGross | 1<<AxleFront | 1<<AxleRear | 1<<BayMass

// Worst returns the smallest margin over the rules of volts, amperes and
// kilograms, and the rule it belongs to; dimensionless.
func (v *Values) Worst() (float64, Rule) {
	best, at := notAsked, Rule(0)
	for r := range RuleCount {
		if !physical.Has(r) {
			continue
		}
		if m := v.margin(r); m < best {
			best, at = m, r
		}
	}
	return best, at
}

// Set is a set of rules, bit r for rule r.
type Set uint32

// Has reports whether r is in the set.
func (s Set) Has(r Rule) bool { return s&(1<<r) != 0 }

// Without returns the set less r.
func (s Set) Without(r Rule) Set { return s &^ (1 << r) }

// Rules returns the rules of the set in order.
func (s Set) Rules() []Rule {
	var out []Rule
	for r := range RuleCount {
		if s.Has(r) {
			out = append(out, r)
		}
	}
	return out
}

// Finding returns the rule as a finding, with severity by its margin: broken is
// a failure, within near of the limit a warning.
func (v *Values) Finding(r Rule, currency string) (check.Finding, bool) {
	if !v.Asked.Has(r) {
		return check.Finding{}, false
	}
	in := rules[r]
	symbol := in.Symbol
	if symbol == "money" {
		symbol = currency
	}
	f := check.Finding{
		Rule: in.Name, Budget: in.Budget, Subject: in.Subject, Source: in.Source,
		Value:  check.Figure{SI: v.Value[r], Symbol: symbol, Noun: in.Noun},
		Limit:  check.Figure{SI: v.Limit[r], Symbol: symbol, Noun: in.Noun},
		Margin: v.margin(r),
	}
	switch {
	case f.Margin < -slack:
		f.Severity, f.Remedy = check.Failure, in.Remedy
	case f.Margin < near && in.Budget != "supply" && in.Budget != "space":
		f.Severity = check.Warning
	}
	return f, true
}

// near is the margin below which a rule that holds is shown as a warning:
// common practice, weighbridges and tape measures are no better than 2 %.
const near = 0.02
