package check

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"packyard/check/checktest"
	"packyard/unit"
)

func TestFiguresPrintAsTheirQuantity(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		f      Figure
		si, us string
	}{
		{Of(unit.Mass(254.0117272)), "254 kg", "560 lb"},
		{Of(unit.Celsius(25)), "25 °C", "77 °F"},
		{Of(unit.Celsius(15)), "15 °C", "59 °F"},
		{Of(unit.TemperatureDelta(10)), "10 K", "18 °F"},
		{Of(unit.Charge(216000)), "60 Ah", "60 Ah"},
		{Of(unit.CRate(0.5)), "0.5 C", "0.5 C"},
		{Of(unit.Ratio(0.9)), "90 %", "90 %"},
		{Of(unit.Ratio(1.5)), "1.5", "1.5"},
		{Of(12 * unit.Volt), "12 V", "12 V"},
		{Of(unit.Voltage(319.2)), "319.2 V", "319.2 V"},
		{Of(265 * unit.Millimetre), "265 mm", "10.43 in"},
		{Of(1050 * unit.Kilogram), "1050 kg", "2315 lb"},
		{Of(unit.Mass(0)), "0 kg", "0 lb"},
		{Of(unit.Power(0)), "0 W", "0 W"},
		{Of(unit.Length(0)), "0 m", "0 in"},
		{Of(60 * unit.Hour), "60 h", "60 h"},
		{Of(unit.Current(-0.00000001)), "-0.01 µA", "-0.01 µA"},
		{Number(104, "cells"), "104 cells", "104 cells"}, {Number(0, "cells"), "0 cells", "0 cells"}, {Number(math.Copysign(0, -1), "cells"), "0 cells", "0 cells"},
		{Number(1, "modules"), "1 module", "1 module"},
		{Number(12345, "pieces"), "12 345 pieces", "12 345 pieces"},
		{Number(1.2345678, "static stability factor"), "1.235", "1.235"},
		{Number(1.0704, "static stability factor"), "1.07", "1.07"},
		{Number(1e300, "options"), "1e+300", "1e+300"},
		{Number(1, "yes"), "yes", "yes"}, {Number(0, "yes"), "no", "no"},
		{Money(1234.5, "EUR"), "1 235 EUR", "1 235 EUR"}, {Money(2150, "EUR"), "2 150 EUR", "2 150 EUR"}, {Money(99.5, "EUR"), "99.5 EUR", "99.5 EUR"},
		{Money(999.96, "EUR"), "1 000 EUR", "1 000 EUR"}, {Money(0, "EUR"), "0 EUR", "0 EUR"}, {Money(1.2345, "KWD"), "1.234 KWD", "1.234 KWD"}, {Money(-0.001, "EUR"), "-0.001 EUR", "-0.001 EUR"},
		{Figure{SI: 12, Symbol: "W/(m·K)", Noun: "a noun of no quantity"}, "12 W/(m·K)", "12 W/(m·K)"},
		{Figure{SI: 0.5, Noun: "share"}, "0.5", "0.5"},
		// A coulomb is not a C-rate although both are written C.
		{Figure{SI: 3600, Symbol: "C", Noun: "charge"}, "1 Ah", "1 Ah"},
	} {
		if got := c.f.Text(unit.SI); got != c.si || c.f.String() != c.si {
			t.Errorf("%+v: SI %q, want %q", c.f, got, c.si)
		}
		if got := c.f.Text(unit.US); got != c.us {
			t.Errorf("%+v: US %q, want %q", c.f, got, c.us)
		}
	}
}

func TestEveryQuantityMakesAFigureThatPrintsItsUnit(t *testing.T) {
	t.Parallel()
	for _, k := range unit.Kinds() {
		for _, s := range []unit.System{unit.SI, unit.US} {
			_, spelling, _ := strings.Cut(k.Format(300, s), " ")
			if got := (Figure{SI: 300, Symbol: k.Symbol, Noun: k.Noun}).Text(s); !strings.HasSuffix(got, spelling) {
				t.Errorf("%s: %q does not end in %q", k.Noun, got, spelling)
			}
		}
	}
}

// TestValueAndLimitAreToldApart: however near they are, they do not print alike.
func TestValueAndLimitAreToldApart(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		value, limit Figure
		v, l         string
	}{
		{Of(unit.Current(105.02)), Of(unit.Current(105)), "105.02 A", "105 A"},
		{Of(unit.Mass(950.0001)), Of(unit.Mass(950)), "950.0001 kg", "950 kg"},
		{Money(9500.4, "EUR"), Money(9500, "EUR"), "9500.4 EUR", "9 500 EUR"},
		{Of(unit.Voltage(450)), Of(unit.Voltage(450)), "450 V", "450 V"},
	} {
		if v, l := Apart(c.value, c.limit, unit.SI); v != c.v || l != c.l {
			t.Errorf("%q against %q, want %q against %q", v, l, c.v, c.l)
		}
	}
	checktest.Check(t, func(t *rapid.T) {
		limit := rapid.Float64Range(0.01, 1e4).Draw(t, "limit")
		value := limit * (1 + rapid.SampledFrom([]float64{-1, 1}).Draw(t, "side")*math.Pow(10, rapid.Float64Range(-9, 0).Draw(t, "distance")))
		if v, l := Apart(Of(unit.Mass(value)), Of(unit.Mass(limit)), unit.SI); v == l {
			t.Errorf("%v and %v both print %s", value, limit, v)
		}
	})
}

func TestFigureIsJSONWithSymbol(t *testing.T) {
	t.Parallel()
	b, err := json.Marshal(Of(unit.Mass(39)))
	if want := `{"si":39,"symbol":"kg","noun":"mass"}`; err != nil || string(b) != want {
		t.Errorf("%s, %v; want %s", b, err, want)
	}
	if _, err := json.Marshal(Of(unit.Mass(math.NaN()))); err == nil {
		t.Error("NaN became JSON")
	}
}
