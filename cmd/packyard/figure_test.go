package main

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"packyard/check"
	"packyard/check/checktest"
	"packyard/search"
	"packyard/unit"
)

func TestFiguresAreWrittenAsABuilderWritesThem(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		f      check.Figure
		si, us string
	}{
		{check.Of(12 * unit.Volt), "12 V", "12 V"},
		{check.Of(unit.Voltage(319.2)), "319.2 V", "319.2 V"},
		{check.Of(265 * unit.Millimetre), "265 mm", "10.43 in"},
		{check.Of(1050 * unit.Kilogram), "1050 kg", "2315 lb"},
		{check.Of(unit.Mass(0)), "0 kg", "0 lb"},
		{check.Of(unit.Power(0)), "0 W", "0 W"},
		{check.Of(unit.Length(0)), "0 m", "0 in"},
		{check.Of(60 * unit.Hour), "60 h", "60 h"},
		{check.Of(unit.Celsius(15)), "15 °C", "59 °F"},
		{check.Of(unit.Ratio(0.945)), "94.5 %", "94.5 %"},
		{check.Of(unit.Ratio(1.5)), "1.5", "1.5"},
		{check.Money(2150, "EUR"), "2 150 EUR", "2 150 EUR"},
		{check.Money(99.5, "EUR"), "99.5 EUR", "99.5 EUR"},
		{check.Money(999.96, "EUR"), "1 000 EUR", "1 000 EUR"},
		{check.Money(0, "EUR"), "0 EUR", "0 EUR"},
		{check.Number(1, "modules"), "1 module", "1 module"},
		{check.Number(12345, "pieces"), "12 345 pieces", "12 345 pieces"},
		{check.Number(1.0704, "static stability factor"), "1.07", "1.07"},
		{check.Number(1, "yes"), "yes", "yes"},
		{check.Of(unit.Current(-0.00000001)), "-0.01 µA", "-0.01 µA"},
	} {
		a, b := (&app{}).figure(c.f), (&app{system: unit.US}).figure(c.f)
		if a != c.si || b != c.us {
			t.Errorf("%+v: %q and %q, want %q and %q", c.f, a, b, c.si, c.us)
		}
	}
}

// TestValueAndLimitAreToldApart: however near they are, they do not print alike.
func TestValueAndLimitAreToldApart(t *testing.T) {
	t.Parallel()
	a := &app{}
	for _, c := range []struct {
		value, limit check.Figure
		v, l         string
	}{
		{check.Of(unit.Current(105.02)), check.Of(unit.Current(105)), "105.02 A", "105 A"},
		{check.Of(unit.Mass(950.0001)), check.Of(unit.Mass(950)), "950.0001 kg", "950 kg"},
		{check.Money(9500.4, "EUR"), check.Money(9500, "EUR"), "9500.4 EUR", "9 500 EUR"},
		{check.Of(unit.Voltage(450)), check.Of(unit.Voltage(450)), "450 V", "450 V"},
	} {
		if v, l := a.apart(c.value, c.limit); v != c.v || l != c.l {
			t.Errorf("%q against %q, want %q against %q", v, l, c.v, c.l)
		}
	}
	checktest.Check(t, func(t *rapid.T) {
		limit := rapid.Float64Range(0.01, 1e4).Draw(t, "limit")
		value := limit * (1 + rapid.SampledFrom([]float64{-1, 1}).Draw(t, "side")*math.Pow(10, rapid.Float64Range(-9, 0).Draw(t, "distance")))
		if v, l := a.apart(check.Of(unit.Mass(value)), check.Of(unit.Mass(limit))); v == l {
			t.Errorf("%v and %v both print %s", value, limit, v)
		}
	})
}

// TestMovedLimitLetsTheOptionPass: the limit that is printed is rounded to the
// side on which the value keeps it, in either system of units.
func TestMovedLimitLetsTheOptionPass(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		value, limit check.Figure
		want         string
	}{
		{check.Of(unit.Voltage(237.374)), check.Of(unit.Voltage(240)), "240 V would have to fall by 2.7 V, to 237.3 V (1.1 %)"},
		{check.Of(unit.Current(105.3728)), check.Of(unit.Current(105)), "105 A would have to rise by 0.38 A, to 105.38 A (0.4 %)"},
		{check.Money(3902, "EUR"), check.Money(3900, "EUR"), "3 900 EUR would have to rise by 2 EUR, to 3 902 EUR (0.1 %)"},
		{check.Number(111, "pieces"), check.Number(110, "pieces"), "110 pieces would have to rise by 1, to 111 (0.9 %)"},
		{check.Of(unit.Length(233700)), check.Of(unit.Length(260000)), "260 km would have to fall by 26.3 km, to 233.7 km (10 %)"},
		{check.Of(unit.Mass(950.0001)), check.Of(unit.Mass(950)), "950 kg would have to rise by 0.0001 kg, to 950.0001 kg (0.0 %)"},
	} {
		share := math.Abs(c.value.SI-c.limit.SI) / c.limit.SI
		if got := (&app{}).move(search.RelaxRow{Value: c.value, Limit: c.limit, Share: share}); got != c.want {
			t.Errorf("got  %s\nwant %s", got, c.want)
		}
	}
	checktest.Check(t, func(t *rapid.T) {
		limit := float64(rapid.IntRange(1, 5000).Draw(t, "limit"))
		share := math.Pow(10, rapid.Float64Range(-6, -0.5).Draw(t, "share"))
		value := limit * (1 + share*rapid.SampledFrom([]float64{-1, 1}).Draw(t, "side"))
		a := &app{system: rapid.SampledFrom([]unit.System{unit.SI, unit.US}).Draw(t, "system")}
		text := a.move(search.RelaxRow{Value: check.Of(unit.Mass(value)), Limit: check.Of(unit.Mass(limit)), Share: share})
		_, to, _ := strings.Cut(text, ", to ")
		to, _, _ = strings.Cut(to, " (")
		moved, err := unit.Parse[unit.Mass](to)
		if err != nil {
			t.Fatalf("%s: %v", text, err)
		}
		// Rounding to the side of the value leaves at most a millionth of the last digit.
		if over := (value - float64(moved)) * math.Copysign(1, value-limit); over > 1e-8*limit {
			t.Errorf("%s: a value of %v does not pass", text, value)
		}
		if far := math.Abs(float64(moved) - value); far > moveRounded*math.Abs(value-limit)+1e-8*limit {
			t.Errorf("%s: rounded too far from %v", text, value)
		}
	})
}

func TestTableFoldsItsLastColumn(t *testing.T) {
	t.Parallel()
	var b strings.Builder
	table := newTable("name", ">mass|kg", "remark")
	table.add("a", "1", strings.Repeat("word ", 60))
	table.add("\x1b[31mbb\x1b[0m", "1000", "x")
	table.print(&b)
	lines := strings.Split(strings.TrimRight(b.String(), "\n"), "\n")
	if len(lines) < 6 || lines[0] != "name  mass  remark" || lines[1] != "        kg" || lines[len(lines)-1] != "\x1b[31mbb\x1b[0m    1000  x" {
		t.Errorf("got\n%s", b.String())
	}
	for _, l := range lines {
		if columns(l) > widthMost {
			t.Errorf("%d columns: %s", columns(l), l)
		}
	}
}

func TestWordsAreQuotedForTheShell(t *testing.T) {
	t.Parallel()
	for in, want := range map[string]string{
		"examples/orchard-truck": "examples/orchard-truck", "a/76S6P/6x10S+2x8S": "a/76S6P/6x10S+2x8S",
		"my truck": "'my truck'", "it's": `'it'\''s'`, "": "''", "$HOME": "'$HOME'", "größe": "'größe'",
	} {
		if got := quote(in); got != want {
			t.Errorf("%q: %s, want %s", in, got, want)
		}
	}
}
