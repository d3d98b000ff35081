package check

import (
	"encoding/json"
	"math"
	"testing"

	"packyard/unit"
)

func TestFiguresPrintAsTheirQuantity(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		f      Figure
		si, us string
	}{
		{Of(unit.Mass(254.0117272)), "254.0 kg", "560.0 lb"},
		{Of(unit.Celsius(25)), "25.0 °C", "77.0 °F"},
		{Of(unit.TemperatureDelta(10)), "10.00 K", "18.00 °F"},
		{Of(unit.Charge(216000)), "60.00 Ah", "60.00 Ah"},
		{Of(unit.CRate(0.5)), "0.5000 C", "0.5000 C"},
		{Of(unit.Ratio(0.9)), "90.00 %", "90.00 %"},
		{Number(104, "cells"), "104", "104"}, {Number(0, "cells"), "0", "0"}, {Number(math.Copysign(0, -1), "cells"), "0", "0"}, {Number(1.2345678, "static stability factor"), "1.235", "1.235"},
		{Number(1e6, "options"), "1000000", "1000000"}, {Number(1e300, "options"), "1.000e+300", "1.000e+300"},
		{Money(1234.5, "EUR"), "1234.50 EUR", "1234.50 EUR"}, {Money(1234.5, "JPY"), "1234 JPY", "1234 JPY"}, {Money(1.2345, "KWD"), "1.234 KWD", "1.234 KWD"}, {Money(-0.001, "EUR"), "0.00 EUR", "0.00 EUR"},
		{Figure{SI: 12, Symbol: "W/(m·K)", Noun: "a noun of no quantity"}, "12.00 W/(m·K)", "12.00 W/(m·K)"},
		{Figure{SI: 0.5, Noun: "share"}, "0.5000", "0.5000"},
		// A coulomb is not a C-rate although both are written C.
		{Figure{SI: 3600, Symbol: "C", Noun: "charge"}, "1.000 Ah", "1.000 Ah"},
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
		f := Figure{SI: 300, Symbol: k.Symbol, Noun: k.Noun}
		if got, want := f.Text(unit.SI), k.Format(300, unit.SI); got != want {
			t.Errorf("%s: %q, want %q", k.Noun, got, want)
		}
	}
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
