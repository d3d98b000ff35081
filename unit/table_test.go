package unit

import (
	"math"
	"slices"
	"strings"
	"testing"

	"packyard/check/checktest"
)

// published is a conversion factor as printed elsewhere, entered here by hand
// and not from the table under test.
type published struct {
	noun, spelling string
	factor         float64 // SI per unit, as printed or by its definition
	digits         int     // significant digits of the print; 0 for an exact definition
	source         string
}

const (
	prefixes = "SI Brochure, Table 7, prefixes"
	accepted = "SI Brochure, Table 8, units accepted for use with the SI"
	b8       = "NIST SP 811, Appendix B.8"
	derived  = "product of factors printed in NIST SP 811, Appendix B.8"
)

// publishedFactors holds every spelling that is not an alias, but for the SI
// units themselves, whose factor is one.
var publishedFactors = []published{
	{"mass", "g", 1e-3, 0, prefixes}, {"mass", "mg", 1e-6, 0, prefixes}, {"mass", "t", 1000, 0, accepted},
	{"mass", "lb", 0.45359237, 0, b8 + ", footnote 22"}, {"mass", "oz", 2.834952e-2, 7, b8},
	{"length", "cm", 1e-2, 0, prefixes}, {"length", "mm", 1e-3, 0, prefixes}, {"length", "km", 1e3, 0, prefixes}, {"length", "µm", 1e-6, 0, prefixes},
	{"length", "in", 2.54e-2, 0, b8}, {"length", "ft", 3.048e-1, 0, b8}, {"length", "yd", 9.144e-1, 0, b8}, {"length", "mi", 1.609344e3, 0, b8}, {"length", "mil", 2.54e-5, 0, b8},
	{"area", "cm²", 1e-4, 0, prefixes}, {"area", "mm²", 1e-6, 0, prefixes}, {"area", "in²", 6.4516e-4, 0, b8}, {"area", "ft²", 9.290304e-2, 0, b8},
	{"area", "kcmil", 5.067075e-7, 7, b8 + ", circular mil"},
	{"volume", "L", 1e-3, 0, accepted}, {"volume", "mL", 1e-6, 0, accepted}, {"volume", "cm³", 1e-6, 0, prefixes}, {"volume", "mm³", 1e-9, 0, prefixes},
	{"volume", "in³", 1.638706e-5, 7, b8}, {"volume", "ft³", 2.831685e-2, 7, b8}, {"volume", "gal(US)", 3.785412e-3, 7, b8}, {"volume", "gal(UK)", 4.54609e-3, 0, b8},
	{"time", "ms", 1e-3, 0, prefixes}, {"time", "µs", 1e-6, 0, prefixes}, {"time", "min", 60, 0, accepted}, {"time", "h", 3600, 0, accepted}, {"time", "d", 86400, 0, accepted},
	{"time", "a", 31557600, 0, "IAU Style Manual 1989, Julian year"},
	{"speed", "km/h", 2.777778e-1, 7, b8}, {"speed", "mph", 4.4704e-1, 0, b8}, {"speed", "ft/s", 3.048e-1, 0, b8},
	{"acceleration", "gn", 9.80665, 0, "3rd CGPM, 1901"}, {"acceleration", "ft/s²", 3.048e-1, 0, b8},
	{"force", "kN", 1e3, 0, prefixes}, {"force", "daN", 10, 0, prefixes}, {"force", "kgf", 9.80665, 0, b8}, {"force", "lbf", 4.4482216152605, 0, b8 + ", footnote 23"},
	{"torque", "kN·m", 1e3, 0, prefixes}, {"torque", "kgf·m", 9.80665, 0, b8}, {"torque", "lbf·ft", 1.355818, 7, b8}, {"torque", "lbf·in", 1.129848e-1, 7, b8},
	{"energy", "kJ", 1e3, 0, prefixes}, {"energy", "MJ", 1e6, 0, prefixes}, {"energy", "Wh", 3.6e3, 0, b8}, {"energy", "kWh", 3.6e6, 0, b8}, {"energy", "MWh", 3.6e9, 0, b8},
	{"energy", "Btu(IT)", 1.055056e3, 7, b8},
	{"power", "mW", 1e-3, 0, prefixes}, {"power", "kW", 1e3, 0, prefixes}, {"power", "MW", 1e6, 0, prefixes},
	{"power", "hp(M)", 7.354988e2, 7, b8}, {"power", "hp(I)", 7.456999e2, 7, b8}, {"power", "hp(E)", 7.46e2, 0, b8}, {"power", "Btu(IT)/h", 2.930711e-1, 7, b8},
	{"voltage", "mV", 1e-3, 0, prefixes}, {"voltage", "µV", 1e-6, 0, prefixes}, {"voltage", "kV", 1e3, 0, prefixes},
	{"current", "mA", 1e-3, 0, prefixes}, {"current", "µA", 1e-6, 0, prefixes}, {"current", "kA", 1e3, 0, prefixes},
	{"charge", "Ah", 3.6e3, 0, b8}, {"charge", "mAh", 3.6, 0, b8},
	{"resistance", "mΩ", 1e-3, 0, prefixes}, {"resistance", "µΩ", 1e-6, 0, prefixes}, {"resistance", "kΩ", 1e3, 0, prefixes}, {"resistance", "MΩ", 1e6, 0, prefixes}, {"resistance", "GΩ", 1e9, 0, prefixes},
	{"capacitance", "mF", 1e-3, 0, prefixes}, {"capacitance", "µF", 1e-6, 0, prefixes}, {"capacitance", "nF", 1e-9, 0, prefixes}, {"capacitance", "pF", 1e-12, 0, prefixes},
	{"inductance", "mH", 1e-3, 0, prefixes}, {"inductance", "µH", 1e-6, 0, prefixes}, {"inductance", "nH", 1e-9, 0, prefixes},
	{"temperature", "°C", 1, 0, accepted}, {"temperature", "°F", 5.555556e-1, 7, b8},
	{"temperature difference", "°C", 1, 0, accepted}, {"temperature difference", "°F", 5.555556e-1, 7, b8},
	{"heat capacity", "kJ/K", 1e3, 0, prefixes}, {"heat capacity", "Wh/K", 3.6e3, 0, b8}, {"heat capacity", "Btu(IT)/°F", 1.899101e3, 7, b8},
	{"thermal conductance", "mW/K", 1e-3, 0, prefixes}, {"thermal conductance", "kW/K", 1e3, 0, prefixes}, {"thermal conductance", "Btu(IT)/(h·°F)", 2.930711e-1 / 5.555556e-1, 6, derived},
	{"heat transfer coefficient", "kW/(m²·K)", 1e3, 0, prefixes}, {"heat transfer coefficient", "W/(cm²·K)", 1e4, 0, prefixes},
	{"heat transfer coefficient", "Btu(IT)/(h·ft²·°F)", 5.678263, 7, b8},
	{"thermal conductivity", "mW/(m·K)", 1e-3, 0, prefixes}, {"thermal conductivity", "W/(cm·K)", 100, 0, prefixes}, {"thermal conductivity", "Btu(IT)/(h·ft·°F)", 1.730735, 7, b8},
	{"specific heat", "kJ/(kg·K)", 1e3, 0, prefixes}, {"specific heat", "J/(g·K)", 1e3, 0, prefixes}, {"specific heat", "Btu(IT)/(lb·°F)", 4.1868e3, 0, b8},
	{"density", "g/cm³", 1e3, 0, prefixes}, {"density", "kg/L", 1e3, 0, prefixes}, {"density", "t/m³", 1e3, 0, accepted}, {"density", "lb/ft³", 1.601846e1, 7, b8}, {"density", "lb/in³", 2.76799e4, 7, b8},
	{"mass flow", "g/s", 1e-3, 0, prefixes}, {"mass flow", "kg/min", 1.0 / 60, 0, accepted}, {"mass flow", "kg/h", 1.0 / 3600, 0, accepted},
	{"mass flow", "lb/s", 4.535924e-1, 7, b8}, {"mass flow", "lb/min", 7.559873e-3, 7, b8},
	{"volume flow", "m³/h", 1.0 / 3600, 0, accepted}, {"volume flow", "L/s", 1e-3, 0, accepted}, {"volume flow", "L/min", 1e-3 / 60, 0, accepted}, {"volume flow", "L/h", 1e-3 / 3600, 0, accepted},
	{"volume flow", "gal(US)/min", 6.30902e-5, 7, b8}, {"volume flow", "ft³/min", 4.719474e-4, 7, b8},
	{"pressure", "hPa", 100, 0, prefixes}, {"pressure", "kPa", 1e3, 0, prefixes}, {"pressure", "MPa", 1e6, 0, prefixes}, {"pressure", "bar", 1e5, 0, b8}, {"pressure", "mbar", 1e2, 0, b8},
	{"pressure", "atm", 1.01325e5, 0, b8}, {"pressure", "kgf/cm²", 9.80665e4, 0, b8}, {"pressure", "mH2O", 9.80665e3, 0, b8 + ", centimetre of water, conventional"},
	{"pressure", "mmHg", 1.333224e2, 7, b8 + ", conventional"}, {"pressure", "psi", 6.894757e3, 7, b8}, {"pressure", "inH2O", 2.490889e2, 7, b8 + ", conventional"}, {"pressure", "inHg", 3.386389e3, 7, b8 + ", conventional"},
	{"rotational speed", "rpm", 1.047198e-1, 7, b8}, {"rotational speed", "°/s", 1.745329e-2, 7, b8},
	{"angle", "mrad", 1e-3, 0, prefixes}, {"angle", "°", 1.745329e-2, 7, b8},
	{"moment of inertia", "kg·cm²", 1e-4, 0, prefixes}, {"moment of inertia", "lb·ft²", 4.214011e-2, 7, b8}, {"moment of inertia", "lb·in²", 2.926397e-4, 7, b8},
	{"entropic coefficient", "mV/K", 1e-3, 0, prefixes}, {"entropic coefficient", "µV/K", 1e-6, 0, prefixes},
	{"let-through I²t", "kA²s", 1e6, 0, prefixes},
	{"ratio", "%", 1e-2, 0, "SI Brochure, section 5.4.7"}, {"ratio", "‰", 1e-3, 0, "ISO 80000-1, per mille"},
	{"slope", "%", 1e-2, 0, "SI Brochure, section 5.4.7"}, {"slope", "‰", 1e-3, 0, "ISO 80000-1, per mille"},
	{"specific energy", "kJ/kg", 1e3, 0, prefixes}, {"specific energy", "MJ/kg", 1e6, 0, prefixes}, {"specific energy", "Wh/kg", 3.6e3, 0, b8}, {"specific energy", "kWh/kg", 3.6e6, 0, b8},
	{"specific energy", "Wh/lb", 3.6e3 / 0.45359237, 0, derived + ", footnote 22"},
	{"consumption", "MJ/km", 1e3, 0, prefixes}, {"consumption", "Wh/km", 3.6, 0, b8}, {"consumption", "kWh/km", 3.6e3, 0, b8}, {"consumption", "kWh/100 km", 36, 0, b8},
	{"consumption", "Wh/mi", 3.6e3 / 1.609344e3, 0, derived}, {"consumption", "kWh/100 mi", 3.6e6 / 1.609344e5, 0, derived},
	{"drag per speed", "N/(km/h)", 3.6, 0, accepted}, {"drag per speed", "lbf/mph", 9.950388, 7, "road-load conversion as printed to seven digits; " + derived},
	{"drag per speed squared", "N/(km/h)²", 12.96, 0, accepted}, {"drag per speed squared", "lbf/mph²", 22.25838, 7, "road-load conversion as printed to seven digits; " + derived},
	{"stiffness", "N/mm", 1e3, 0, prefixes}, {"stiffness", "kN/m", 1e3, 0, prefixes}, {"stiffness", "kgf/mm", 9.80665e3, 0, derived}, {"stiffness", "lbf/in", 1.751268e2, 7, b8},
}

func TestEveryUnitHasItsPublishedFactor(t *testing.T) {
	t.Parallel()
	seen := map[[2]string]bool{}
	for _, p := range publishedFactors {
		k, ok := KindOf(p.noun)
		r, found := k.row(p.spelling)
		if !ok || !found || r.Alias {
			t.Errorf("%s in %s is not in the table, or as an alias only", p.noun, p.spelling)
			continue
		}
		// Half a unit of the last printed digit; one rounding of a float64
		// where the definition is exact.
		tolerance := 2.3e-16
		if p.digits > 0 {
			tolerance = 0.5 * math.Pow10(1-p.digits) / leading(p.factor)
		}
		checktest.Near(t, p.noun+": "+k.Symbol+" per "+p.spelling, r.Factor, p.factor, 0, tolerance, p.source)
		seen[[2]string{p.noun, p.spelling}] = true
	}
	for _, k := range Kinds() {
		for i, r := range k.Rows {
			if i == 0 {
				if r.Factor != 1 || r.Offset != 0 || r.Alias || r.Spelling != k.Symbol {
					t.Errorf("%s: the first row is %+v, want the SI unit %s itself", k.Noun, r, k.Symbol)
				}
				continue
			}
			if !r.Alias && !seen[[2]string{k.Noun, r.Spelling}] {
				t.Errorf("%s in %s has no published factor in this test", k.Noun, r.Spelling)
			}
		}
	}
}

// leading returns the digits of x as a number from 1 to 10.
func leading(x float64) float64 { return x / math.Pow10(int(math.Floor(math.Log10(x)))) }

func TestScalesMeetAtThePublishedFixedPoints(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		text string
		k    float64
	}{
		{"0 °C", 273.15}, {"-273.15 °C", 0}, {"100 degC", 373.15}, {"0.01 °C", 273.16},
		{"32 °F", 273.15}, {"212 °F", 373.15}, {"-40 °F", 233.15}, {"-40 °C", 233.15}, {"-459.67 °F", 0}, {"77 F", 298.15},
	} {
		got, err := Parse[Temperature](c.text)
		if err != nil {
			t.Errorf("%s: %v", c.text, err)
			continue
		}
		// Rounding of one sum near 500 K.
		checktest.Near(t, c.text+" in K", got.Kelvins(), c.k, 1.2e-13, 0, "NIST SP 811, Appendix B.8: T/K = t/°C + 273.15, T/K = (t/°F + 459.67)/1.8")
	}
}

func TestNoSpellingStandsTwiceInAQuantity(t *testing.T) {
	t.Parallel()
	for _, k := range Kinds() {
		seen := map[string]bool{}
		for i, r := range k.Rows {
			if r.Spelling == "" || seen[r.Spelling] || r.Spelling != strings.TrimSpace(sameSign.Replace(r.Spelling)) || strings.Contains(r.Spelling, "  ") {
				t.Errorf("%s: the spelling %q is empty, stands twice or cannot be read", k.Noun, r.Spelling)
			}
			seen[r.Spelling] = true
			if !(r.Factor > 0) || math.IsInf(r.Factor, 0) || r.Source == "" {
				t.Errorf("%s: %+v needs a positive factor and a source", k.Noun, r)
			}
			if r.Alias {
				before := k.Rows[i-1]
				if r.Factor != before.Factor || r.Offset != before.Offset || r.System != before.System {
					t.Errorf("%s: the alias %s differs from %s before it", k.Noun, r.Spelling, before.Spelling)
				}
			}
		}
	}
}

func TestTableHasAbout130Units(t *testing.T) {
	t.Parallel()
	units, spellings := 0, 0
	for _, k := range Kinds() {
		for _, r := range k.Rows {
			spellings++
			if !r.Alias {
				units++
			}
		}
	}
	if units < 120 || units > 200 {
		t.Errorf("%d units in %d spellings; the closed lists are meant to stay near 130 to 180", units, spellings)
	}
}

func TestKindsHoldsEveryQuantityOnce(t *testing.T) {
	t.Parallel()
	var nouns []string
	for _, k := range Kinds() {
		nouns = append(nouns, k.Noun)
	}
	slices.Sort(nouns)
	if d := slices.Compact(slices.Clone(nouns)); len(d) != len(nouns) {
		t.Errorf("two quantities share a noun: %v", nouns)
	}
	if want := quantitiesInSource(t); !slices.Equal(want, nouns) {
		t.Errorf("Kinds has %v,\nthe source has %v", nouns, want)
	}
}

func TestSlipsLeadToAcceptedSpellings(t *testing.T) {
	t.Parallel()
	for slip, to := range slips {
		if len(nounsOf(to)) == 0 {
			t.Errorf("the slip %q leads to %q, which no quantity accepts", slip, to)
		}
		for _, k := range Kinds() {
			if k.accepts(to) && k.accepts(slip) {
				t.Errorf("%s accepts the slip %q itself", k.Noun, slip)
			}
		}
	}
}

func TestSumUnitsFallInSize(t *testing.T) {
	t.Parallel()
	for _, k := range Kinds() {
		last := math.Inf(1)
		for _, s := range sumSpellings(k.Noun) {
			r, ok := k.row(s)
			if !ok || r.Factor >= last {
				t.Errorf("%s: %s is not accepted or not smaller than the one before", k.Noun, s)
			}
			last = r.Factor
		}
	}
}
