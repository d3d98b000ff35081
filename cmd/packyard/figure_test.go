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
