package check

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"packyard/unit"
)

func TestFindingsWordsComeFromItsFields(t *testing.T) {
	t.Parallel()
	f := Against[unit.Mass]{Value: 1023, Limit: 950}.Finding(Finding{
		Rule: "mass.axle.rear", Budget: "mass", Subject: "rear axle load", Remedy: "move modules forward", Source: "gillespie",
	}, Failure)
	want := "failure: rear axle load: 1023 kg against a limit of 950 kg, 7.7 % beyond it; move modules forward (source: Gillespie, Fundamentals of Vehicle Dynamics, SAE)"
	if got := f.Text(unit.SI); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	if got := f.Text(unit.US); !strings.Contains(got, "2255 lb against a limit of 2094 lb") {
		t.Errorf("US: %s", got)
	}
	f.Over = Partly
	if got := f.Text(unit.SI); !strings.Contains(got, "beyond it, kept over a part of the stated spread only; move") {
		t.Errorf("with a spread: %s", got)
	}
	f = Finding{Subject: "brake vacuum", Severity: Note}
	if got := f.Text(unit.SI); got != "note: brake vacuum" {
		t.Errorf("bare: %s", got)
	}
	f = Against[unit.Voltage]{Value: 380, Limit: 400}.Finding(Finding{Subject: "full voltage", Severity: Warning}, Failure)
	if got := f.Text(unit.SI); got != "warning: full voltage: 380 V against a limit of 400 V, 5.0 % left" {
		t.Errorf("kept: %s", got)
	}
}

func TestFindingIsJSONAndBack(t *testing.T) {
	t.Parallel()
	f := Against[unit.Mass]{Value: 1023, Limit: 950}.Finding(Finding{Rule: "mass.axle.rear", Budget: "mass", Subject: "rear axle load", Source: "gillespie"}, Failure)
	b, err := json.Marshal(f)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`"severity":"failure"`, `"value":{"si":1023,"symbol":"kg","noun":"mass"}`} {
		if !strings.Contains(string(b), want) {
			t.Errorf("%s lacks %s", b, want)
		}
	}
	if strings.Contains(string(b), "over_spread") {
		t.Errorf("%s says something of a spread that was not asked", b)
	}
	f.Over = Never
	b, err = json.Marshal(f)
	if err != nil {
		t.Fatal(err)
	}
	var back Finding
	if err := json.Unmarshal(b, &back); err != nil || back != f {
		t.Errorf("%s came back as %+v, %v", b, back, err)
	}
}

func TestSeverityIsAWord(t *testing.T) {
	t.Parallel()
	for s, word := range map[Severity]string{Note: "note", Warning: "warning", Failure: "failure", Safety: "safety"} {
		b, err := json.Marshal(s)
		var back Severity
		if err2 := json.Unmarshal(b, &back); err != nil || err2 != nil || string(b) != `"`+word+`"` || back != s || s.String() != word {
			t.Errorf("%d: %s, back %d, %v %v", s, b, back, err, err2)
		}
	}
	var s Severity
	if err := json.Unmarshal([]byte(`"grave"`), &s); err == nil || !strings.Contains(err.Error(), "note, warning, failure, safety") {
		t.Errorf("an unknown severity: %v", err)
	}
	if _, err := json.Marshal(Severity(9)); err == nil {
		t.Error("severity 9 became JSON")
	}
	if err := new(Hold).UnmarshalText([]byte("mostly")); err == nil {
		t.Error("an unknown hold was read")
	}
}

func TestProblemJoinsWhatItHas(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		p    Problem
		want string
	}{
		{Problem{Pos{"packyard.yaml", 12, 9}, "pack.capacity", `"60" needs a unit`, "a charge is written in C, Ah or mAh"}, `packyard.yaml:12:9: pack.capacity: "60" needs a unit: a charge is written in C, Ah or mAh`},
		{Problem{Pos{"packyard.yaml", 12, 0}, "", "no donor", ""}, "packyard.yaml:12: no donor"},
		{Problem{Pos: Pos{File: "packyard.yaml"}, Message: "the file is empty"}, "packyard.yaml: the file is empty"},
		{Problem{Path: "donor.mass", Message: "is missing"}, "donor.mass: is missing"},
	} {
		if got := c.p.String(); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}

func TestProblemsKeepTwentyAndCountTheRest(t *testing.T) {
	t.Parallel()
	var p Problems
	if p.Any() || p.Err() != nil {
		t.Error("no problem is an error")
	}
	for i := range 23 {
		p.Addf(Pos{"a.yaml", i + 1, 1}, "x", "", "is wrong")
	}
	text := fmt.Sprint(p.Err())
	if len(p.List) != ProblemsMax || p.More != 3 || strings.Count(text, "\n") != ProblemsMax || !strings.HasSuffix(text, "\nand 3 more") {
		t.Errorf("%d kept, %d more:\n%s", len(p.List), p.More, text)
	}
}

func TestWorkingShowsFormulaInputsAndTheirOrigin(t *testing.T) {
	t.Parallel()
	w := Working{
		Name: "range", Formula: "E/c", Source: "gillespie", Result: Of(unit.Length(118.2e3)),
		Inputs: []Input{
			{Symbol: "E", Name: "usable energy", Value: Of(unit.Energy(21.6 * 3.6e6)), Source: "given", Pos: Pos{"packyard.yaml", 12, 9}},
			{Symbol: "c_w", Name: "consumption", Value: Of(unit.Consumption(182.7 * 3.6)), Source: "consumption"},
			{Symbol: "n", Name: "runs", Value: Number(1, "runs")},
			{Symbol: "f", Name: "rolling coefficient", Value: Of(unit.Ratio(0.013)), Source: "bosch-handbook"},
		},
	}
	want := `range = 118.2 km
    E/c
    E   = 21.6 kWh    usable energy; given in packyard.yaml:12:9
    c_w = 182.7 Wh/km consumption; working consumption
    n   = 1           runs
    f   = 1.3 %       rolling coefficient; Bosch, Automotive Handbook
    method: Gillespie, Fundamentals of Vehicle Dynamics, SAE
`
	if got := w.Text(unit.SI); got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
	if got := w.Text(unit.US); !strings.HasPrefix(got, "range = 73.45 mi\n") || !strings.Contains(got, "294 Wh/mi") {
		t.Errorf("US:\n%s", got)
	}
}
