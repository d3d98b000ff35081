package cell

import (
	"fmt"
	"slices"
	"strings"

	"packyard/check"
	"packyard/internal/num"
	"packyard/unit"
)

// Build returns base with the entries of the sheet added and records every
// fault in probs. Entries that could not be built are left out. Two entries of
// one name, in the sheet or against base, are a problem, and so is a reference
// to nothing. A nil base is empty.
func (s *Sheet) Build(base *Catalogue, probs *check.Problems) *Catalogue {
	out := &Catalogue{}
	if base != nil {
		out.Cells = slices.Clone(base.Cells)
		out.Modules = slices.Clone(base.Modules)
		out.Hardware = slices.Clone(base.Hardware)
	}
	b := builder{probs: probs, names: NamesOf(out.IDs()), out: out}
	for i := range s.Cells {
		if c := b.cell(&s.Cells[i], fmt.Sprintf("cells[%d]", i)); c != nil {
			out.Cells = append(out.Cells, c)
		}
	}
	for i := range s.Hardware {
		if h := b.hardware(&s.Hardware[i], fmt.Sprintf("hardware[%d]", i)); h != nil {
			out.Hardware = append(out.Hardware, h)
		}
	}
	for i := range s.Modules {
		if m := b.module(&s.Modules[i], fmt.Sprintf("modules[%d]", i)); m != nil {
			out.Modules = append(out.Modules, m)
		}
	}
	return out
}

// builder carries the problems, the names seen so far and what was built.
type builder struct {
	probs *check.Problems
	names Names
	out   *Catalogue
}

// below records that low is not below high, both given; true when in order.
func below[Q unit.Quantity](b *builder, low, high check.Given[Q], path, highName string) bool {
	if low.SI < high.SI {
		return true
	}
	b.probs.Addf(low.Pos, path, fmt.Sprintf("a value below the %q of %s is accepted", high.Text, highName), "%q is not below %s", low.Text, highName)
	return false
}

// all reports whether every value was given and read; what was not was
// recorded by the reader.
func all(given ...bool) bool { return !slices.Contains(given, false) }

func read[Q unit.Quantity](g check.Given[Q]) bool { return g.IsGiven() && g.SI != 0 }

func size(s [3]check.Given[unit.Length]) (Size, bool) {
	return Size{s[0].SI, s[1].SI, s[2].SI}, all(read(s[0]), read(s[1]), read(s[2]))
}

func (b *builder) cell(s *CellSheet, path string) *Cell {
	if !b.names.Take(s.ID, path, b.probs) {
		return nil
	}
	dims, ok := size(s.Size)
	if !all(ok, read(s.Capacity), read(s.Mass), read(s.VoltageMax), read(s.VoltageNominal), read(s.VoltageMin), s.Chemistry.IsGiven(), s.Format.IsGiven()) {
		return nil
	}
	ok = below(b, s.VoltageMin, s.VoltageNominal, path+".voltage_min", "voltage_nominal")
	ok = below(b, s.VoltageNominal, s.VoltageMax, path+".voltage_nominal", "voltage_max") && ok
	if !ok {
		return nil
	}
	c := &Cell{
		ID: s.ID.Value, Title: s.Title.Value,
		Chemistry: Chemistry(s.Chemistry.Value), Format: Format(s.Format.Value),
		Capacity: s.Capacity.SI, Mass: s.Mass.SI, Size: dims,
		VoltageMax: s.VoltageMax.SI, VoltageNominal: s.VoltageNominal.SI, VoltageMin: s.VoltageMin.SI,
		SpecificHeat: s.SpecificHeat.SI, Hysteresis: s.Hysteresis.SI, Price: s.Price,
	}
	if !b.limits(c, s, path) || !b.curves(c, s, path) {
		return nil
	}
	c.Facts = append(FactsOf(s.Facts, path, []Stated{
		{"capacity", true}, {"mass", true}, {"size", true}, {"voltage_max", true}, {"voltage_nominal", true}, {"voltage_min", true},
		{"specific_heat", s.SpecificHeat.IsGiven()}, {"hysteresis", s.Hysteresis.IsGiven()}, {"resistance", s.Resistance.IsGiven()},
		{"ocv", len(s.OCV) > 0}, {"discharge_limits", len(s.Discharge) > 0}, {"charge_limits", len(s.Charge) > 0},
		{"price", s.Price.IsGiven()}, {"curves", s.Curves.IsGiven()},
	}, b.probs), c.Facts...)
	return c
}

// curves gives the cell its curves: the named set or that of the chemistry,
// with the cell's own open-circuit voltage and resistance in their place.
func (b *builder) curves(c *Cell, s *CellSheet, path string) bool {
	set := s.Curves.Value
	if set == "" {
		set = chemistrySet[c.Chemistry]
	}
	if set == "" {
		return true // no sourced curve: listed, not searched
	}
	cv, err := GenericCurves(set, c.Capacity)
	if err != nil {
		b.probs.Addf(s.Curves.Pos, path+".curves", strings.Join(CurveSets(), ", ")+" are accepted", "%v", err)
		return false
	}
	if len(s.OCV) > 0 {
		if !b.ownOCV(cv, s, path) {
			return false
		}
	}
	if s.Resistance.IsGiven() {
		pulse := 10.0
		if s.PulseTime.IsGiven() {
			pulse = float64(s.PulseTime.SI)
		}
		have, err := cv.PulseResistance(unit.Temperature(referenceTemperature), 0.5, unit.Time(pulse))
		if err != nil || have <= 0 {
			b.probs.Addf(s.Resistance.Pos, path+".resistance", "", "cannot scale the built-in curve: %v", err)
			return false
		}
		cv.scale(float64(s.Resistance.SI) / float64(have))
	}
	c.Curves = cv
	c.Facts = append(c.Facts, cv.Facts...)
	return true
}

// ownOCV replaces the open-circuit voltage.
func (b *builder) ownOCV(cv *Curves, s *CellSheet, path string) bool {
	var l Line
	for i, p := range s.OCV {
		at := fmt.Sprintf("%s.ocv[%d]", path, i)
		if !all(p.Charge.IsGiven(), read(p.Voltage)) {
			return false
		}
		if i > 0 && p.Charge.SI <= s.OCV[i-1].Charge.SI {
			b.probs.Addf(p.Charge.Pos, at+".charge", "charges that rise from 0 % to 100 % are accepted", "%q does not rise above the point before it", p.Charge.Text)
			return false
		}
		l.SoC, l.Value = append(l.SoC, float64(p.Charge.SI)), append(l.Value, float64(p.Voltage.SI))
	}
	if n := len(l.SoC); n < 2 || l.SoC[0] != 0 || l.SoC[n-1] != 1 {
		b.probs.Addf(s.OCV[0].Charge.Pos, path+".ocv", "at least two points, the first at 0 % and the last at 100 %, are accepted", "does not run from 0 %% to 100 %%")
		return false
	}
	value, change, err := num.Isotonic(l.Value, nil)
	if err != nil {
		b.probs.Addf(s.Pos, path+".ocv", "", "%v", err)
		return false
	}
	cv.OCV, cv.OCVChange, cv.Source = Line{l.SoC, value}, unit.Voltage(change), "given"
	for i := range cv.Facts {
		if cv.Facts[i].Field == "open-circuit voltage" {
			cv.Facts[i] = Fact{"open-circuit voltage", "given", "given"}
		}
	}
	return true
}

// limits gives the cell its own limits or those of its chemistry.
func (b *builder) limits(c *Cell, s *CellSheet, path string) bool {
	generic, facts, err := GenericLimits(c.Chemistry)
	if err != nil {
		b.probs.Addf(s.Chemistry.Pos, path+".chemistry", "", "%v", err)
		return false
	}
	c.Limits = generic
	for _, own := range []struct {
		rows []RateSheet
		to   *[]LimitPoint
		key  string
	}{{s.Discharge, &c.Limits.Discharge, "discharge_limits"}, {s.Charge, &c.Limits.Charge, "charge_limits"}} {
		if len(own.rows) == 0 {
			direction, _, _ := strings.Cut(own.key, "_")
			for _, f := range facts {
				if strings.HasPrefix(f.Field, direction) {
					c.Facts = append(c.Facts, f)
				}
			}
			continue
		}
		*own.to = nil
		for i, r := range own.rows {
			if !all(r.Temperature.IsGiven(), read(r.Duration), r.Rate.IsGiven()) {
				return false
			}
			*own.to = append(*own.to, LimitPoint{r.Temperature.SI, r.Duration.SI, r.Rate.SI})
			if i > 0 && !pointBefore((*own.to)[i-1], (*own.to)[i]) {
				b.probs.Addf(r.Temperature.Pos, fmt.Sprintf("%s.%s[%d]", path, own.key, i), "rows sorted by temperature, then duration, each pair once, are accepted", "is out of order")
				return false
			}
		}
	}
	return true
}

func pointBefore(a, b LimitPoint) bool {
	return a.Temperature < b.Temperature || a.Temperature == b.Temperature && a.Duration < b.Duration
}
