package check

import (
	"encoding/json"
	"testing"

	"packyard/check/checktest"
	"packyard/unit"

	"pgregory.net/rapid"
)

func given[Q unit.Quantity](t *testing.T, text string) Given[Q] {
	t.Helper()
	var g Given[Q]
	if err := g.ReadText(text, Pos{File: "packyard.yaml", Line: 3, Col: 7}); err != nil {
		t.Fatal(err)
	}
	return g
}

func TestVerdictIsAskedOverTheStatedSpread(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		text string
		want Hold
	}{
		{"140 kg", NotAsked},
		{"140 kg ± 9 kg max", Always}, {"140 kg ± 11 kg max", Partly}, {"160 kg ± 9 kg max", Never}, {"160 kg ± 11 kg max", Partly},
		{"140 kg ± 4.9 kg", Always}, {"140 kg ± 5.1 kg", Partly}, // two standard deviations
		{"130…149 kg", Always}, {"130…151 kg", Partly}, {"151…160 kg", Never},
	} {
		if got := given[unit.Mass](t, c.text).Holds(func(m unit.Mass) bool { return m <= 150 }); got != c.want {
			t.Errorf("%s up to 150 kg: %v, want %v", c.text, got, c.want)
		}
	}
}

func TestVerdictOverSeveralSpreadsAsksTheCorners(t *testing.T) {
	t.Parallel()
	sum := func(limit float64) func([]float64) bool {
		return func(x []float64) bool { return x[0]+x[1]-x[2] <= limit }
	}
	a, b, c := Span{90, 110}, Span{40, 60}, Span{10, 10}
	for limit, want := range map[float64]Hold{160: Always, 159: Partly, 121: Partly, 119: Never} {
		if got := HoldsOver(sum(limit), a, b, c); got != want {
			t.Errorf("sum up to %v: %v, want %v", limit, got, want)
		}
	}
	if got := HoldsOver(sum(0), c, c, c); got != NotAsked {
		t.Errorf("without any spread: %v", got)
	}
}

// TestNarrowerSpreadNeverLosesAVerdict: what holds over a spread holds over a
// part of it.
func TestNarrowerSpreadNeverLosesAVerdict(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(r *rapid.T) {
		mid := rapid.Float64Range(-100, 100).Draw(r, "middle")
		wide := rapid.Float64Range(0.1, 50).Draw(r, "half width")
		narrow := wide * rapid.Float64Range(0.01, 1).Draw(r, "share")
		limit := rapid.Float64Range(-150, 150).Draw(r, "limit")
		ask := func(half float64) Hold {
			return HoldsOver(func(x []float64) bool { return x[0] <= limit }, Span{mid - half, mid + half})
		}
		if w, n := ask(wide), ask(narrow); w == Always && n != Always || w == Never && n != Never {
			r.Fatalf("%v ± %v up to %v: %v; ± %v: %v", mid, wide, limit, w, narrow, n)
		}
	})
}

func TestTooManySpreadsPanic(t *testing.T) {
	t.Parallel()
	defer func() {
		if recover() == nil {
			t.Error("13 spreads did not panic")
		}
	}()
	spans := make([]Span, spansMax+1)
	for i := range spans {
		spans[i] = Span{0, 1}
	}
	HoldsOver(func([]float64) bool { return true }, spans...)
}

func TestGivenEchoesTheTextWithTheOtherSystem(t *testing.T) {
	t.Parallel()
	for got, want := range map[string]string{
		given[unit.Mass](t, "560 lb").Echo():              "560 lb (254.0 kg)",
		given[unit.Mass](t, "254 kg").Echo():              "254 kg (560.0 lb)",
		given[unit.Mass](t, "560 lb ± 10 lb").Echo():      "560 lb ± 10 lb (254.0 kg ± 4.5 kg)",
		given[unit.Voltage](t, "3.6 V").Echo():            "3.6 V",
		given[unit.Temperature](t, "77 F").Echo():         "77 F (25.0 °C)",
		Given[unit.Mass]{SI: 39}.Echo():                   "39.00 kg",
		given[unit.Length](t, "5 ft 3 in").Echo():         "5 ft 3 in (1600 mm)",
		given[unit.Temperature](t, "20 °C ± 2 °C").Echo(): "20 °C ± 2 °C (68.0 °F ± 3.6 °F)",
	} {
		if got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

func TestGivenIsJSONWithSymbolTextAndPlace(t *testing.T) {
	t.Parallel()
	b, err := json.Marshal(given[unit.Mass](t, "142 kg ± 2 kg max"))
	want := `{"si":142,"symbol":"kg","spread_si":2,"spread_kind":"band","text":"142 kg ± 2 kg max","pos":{"file":"packyard.yaml","line":3,"col":7}}`
	if err != nil || string(b) != want {
		t.Errorf("%s, %v\nwant %s", b, err, want)
	}
	b, err = json.Marshal(given[unit.Mass](t, "142 kg"))
	if want := `{"si":142,"symbol":"kg","text":"142 kg","pos":{"file":"packyard.yaml","line":3,"col":7}}`; err != nil || string(b) != want {
		t.Errorf("%s, %v\nwant %s", b, err, want)
	}
}

func TestStandInIsRecordedOnce(t *testing.T) {
	t.Parallel()
	var list Assumptions
	if got := given[unit.Mass](t, "39 kg").Or(&list, "driver", 75, "assumption"); got != 39 || len(list.List) != 0 {
		t.Errorf("a given value: %v, %v", got, list.List)
	}
	// Zero is a value when it is written, and never "missing".
	if got := given[unit.Mass](t, "0 kg").Or(&list, "driver", 75, "assumption"); got != 0 || len(list.List) != 0 {
		t.Errorf("a given zero: %v, %v", got, list.List)
	}
	var missing Given[unit.Mass]
	for range 2 {
		if got := missing.Or(&list, "driver", 75, "assumption"); got != 75 {
			t.Errorf("a missing value: %v", got)
		}
	}
	if len(list.List) != 1 || list.List[0] != (Assumption{Subject: "driver", Value: Of(unit.Mass(75)), Source: "assumption"}) {
		t.Errorf("recorded %+v", list.List)
	}
	missing.Or(nil, "driver", 75, "assumption") // a nil list records nothing
}
