package check

import (
	"errors"
	"math"
	"strings"
	"testing"

	"packyard/unit"
)

func TestPlausibleNamesTheLikelySlip(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ text, bounds, want string }{
		{"39 kg", ">0 kg..10 t", ""}, {"0 kg", "0 kg..10 t", ""}, {"10 t", ">0 kg..10 t", ""},
		{"0 kg", ">0 kg..10 t", `"0 kg" is zero: a mass above 0 kg, up to 10 t, is accepted`},
		{"-5 kg", "0 kg..10 t", `"-5 kg" is negative: a mass from 0 kg to 10 t is accepted`},
		{"1500 t", ">0 kg..10 t", `"1500 t" is outside the plausible 0 kg to 10 t: did you mean 1500 kg?`},
		{"20000 kg", ">0 kg..10 t", "did you mean 20000 g?"},
	} {
		err := given[unit.Mass](t, c.text).Plausible(c.bounds)
		if c.want == "" && err != nil || c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)) {
			t.Errorf("%s in %s: %v, want %q", c.text, c.bounds, err, c.want)
		}
	}
	if err := given[unit.Voltage](t, "3600 V").Plausible("0.5 V..5 V"); err == nil || !strings.Contains(err.Error(), "did you mean 3600 mV?") {
		t.Errorf("3600 V for a cell: %v", err)
	}
}

// TestExpectedWords: what each reader of words accepts and what it answers.
func TestReadersOfWordsSayWhatIsAccepted(t *testing.T) {
	t.Parallel()
	type reader interface{ ReadText(string, Pos) error }
	pos := Pos{"a.yaml", 1, 2}
	for _, c := range []struct {
		r          reader
		text, want string
	}{
		{new(Count), "12", ""}, {new(Count), "-3", ""}, {new(Count), "12.5", "whole number"}, {new(Count), "12 pcs", "write 12"}, {new(Count), "99999999999", "too large"}, {new(Count), "", "whole number"},
		{new(Flag), "yes", ""}, {new(Flag), "False", ""}, {new(Flag), "maybe", "neither yes nor no"},
		{new(Price), "120 EUR", ""}, {new(Price), "0 USD", ""}, {new(Price), "120", "needs a currency"}, {new(Price), "EUR 120", "write 120 EUR"}, {new(Price), "12,5 EUR", "write 12.5 EUR"},
		{new(Price), "-5 EUR", "is negative"}, {new(Price), "120 euro", "three capital letters"}, {new(Price), "", "is empty"}, {new(Price), "free", "is not a price"}, {new(Price), strings.Repeat("9", 400) + " EUR", "too large"},
		{new(Text), "", ""}, {new(Text), "any words: at all", ""},
	} {
		err := c.r.ReadText(c.text, pos)
		if c.want == "" {
			if err != nil {
				t.Errorf("%T %q: %v", c.r, c.text, err)
			}
			continue
		}
		var e *unit.SyntaxError
		if !errors.As(err, &e) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%T %q: %v, want %q", c.r, c.text, err, c.want)
		}
	}
	if err := (Count{Value: 0, Pos: pos}).Plausible("1..1000"); err == nil || !strings.Contains(err.Error(), "from 1 to 1000") {
		t.Errorf("a count of 0: %v", err)
	}
}

// FuzzReadWords: no reader panics, each keeps the place, and what is accepted
// is finite.
func FuzzReadWords(f *testing.F) {
	for _, s := range []string{"12", "yes", "120 EUR", "12,5 EUR", "EUR 120", "560 lb", "1e999", "-", "\xff", "142 kg ± 2 kg max", "9999999999999999999 EUR"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		pos := Pos{"a.yaml", 3, 4}
		var g Given[unit.Mass]
		var c Count
		var b Flag
		var p Price
		var x Text
		if err := g.ReadText(s, pos); g.Text != s || g.Pos != pos || err != nil && g.SI != 0 {
			t.Errorf("%q became %+v, %v", s, g, err)
		} else if err == nil {
			_ = g.Plausible(">0 kg..10 t")
			_ = g.Echo()
		}
		_ = c.ReadText(s, pos)
		_ = b.ReadText(s, pos)
		if err := p.ReadText(s, pos); err == nil && (math.IsInf(p.Amount, 0) || !(p.Amount >= 0) || !IsCurrencyCode(p.Currency)) {
			t.Errorf("%q became %+v", s, p)
		}
		_ = x.ReadText(s, pos)
		if c.Pos != pos || b.Pos != pos || p.Pos != pos || x.Pos != pos || x.Value != s {
			t.Errorf("%q lost its place", s)
		}
	})
}
