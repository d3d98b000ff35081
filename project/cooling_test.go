package project

import (
	"strings"
	"testing"
	"testing/fstest"

	"packyard/check"
	"packyard/unit"
)

// withCooling reads the project to start from with a cooling section.
func withCooling(t *testing.T, section string) (*Project, error) {
	t.Helper()
	text := strings.TrimRight(string(template), "\n") + "\n" + section
	return Read(fstest.MapFS{FileName: {Data: []byte(text)}}, FileName)
}

func TestCoolingIsPassiveUnlessSaid(t *testing.T) {
	t.Parallel()
	p, err := withCooling(t, "")
	if err != nil {
		t.Fatal(err)
	}
	c := &p.Brief.Cooling
	if c.Plates || c.Fluid != nil {
		t.Errorf("cooling without a section is %+v, want passive", c)
	}
	for _, a := range p.Brief.Assumed.List {
		if strings.HasPrefix(a.Subject, "cooling.") {
			t.Errorf("%s stands among the assumptions of the brief, which count for every figure", a.Subject)
		}
	}
	for _, a := range c.Assumed.List {
		if _, known := check.SourceOf(a.Source); !known {
			t.Errorf("%s has the source %q, which is not known", a.Subject, a.Source)
		}
	}
}

func TestCoolingTakesWhatIsWritten(t *testing.T) {
	t.Parallel()
	p, err := withCooling(t, `cooling:
  kind: plates
  flow: 6 l/min
  plate: {channels: 5}
  radiator: {conductance: 300 W/K}
  chiller: {power: 2 kW}
  heater: {power: 3 kW}
  heat_below: 8 °C
`)
	if err != nil {
		t.Fatal(err)
	}
	c := &p.Brief.Cooling
	if !c.Plates || c.Channels != 5 || c.Flow != 6*unit.LitrePerMinute || c.Radiator == nil || c.Radiator.Conductance != 300 ||
		c.Chiller == nil || c.Chiller.Power != 2000 || c.Heater == nil || c.Control.HeatBelow != unit.Celsius(8) || c.Fluid.Name != "glycol-50" {
		t.Errorf("read as %+v", c)
	}
	said := map[string]bool{}
	for _, a := range c.Assumed.List {
		said[a.Subject] = true
	}
	if !said["cooling.radiator.fan"] || !said["cooling.cool_above"] || said["cooling.flow"] {
		t.Errorf("assumptions are %v", said)
	}
}

func TestCoolingThatCannotBe(t *testing.T) {
	t.Parallel()
	for section, want := range map[string]string{
		"cooling:\n  kind: water\n":                             "cooling.kind",
		"cooling:\n  kind: passive\n  flow: 5 l/min\n":          "cooling.flow",
		"cooling:\n  kind: passive\n  radiator: {fan: 100 W}\n": "cooling.radiator",
		"cooling:\n  kind: passive\n  heat_below: 5 °C\n":       "cooling.heat_below",
		"cooling:\n  kind: plates\n  chill_above: 30 °C\n":      "cooling.chill_above",
		"cooling:\n  kind: plates\n  path: [{bays: [attic]}]\n": "cooling.path[0].bays[0]",
		"cooling:\n  kind: plates\n  flow: 5 l/min\n  pump: {curve: [{flow: 0 l/min, pressure: 30 kPa}, {flow: 20 l/min, pressure: 0 Pa}]}\n": "cooling.flow",
		"cooling:\n  kind: plates\n  pump: {curve: [{flow: 5 l/min, pressure: 30 kPa}, {flow: 4 l/min, pressure: 0 Pa}]}\n":                   "cooling.pump",
		"cooling:\n  kind: plates\n  heater: {power: 2 kW}\n  heat_below: 29 °C\n":                                                            "cooling.heat_below",
		"cooling:\n  kind: plates\n  flow: -5 l/min\n":                                                                                        "cooling.flow",
		"cooling:\n  kind: plates\n  volume: 5\n":                                                                                             "cooling.volume",
	} {
		_, err := withCooling(t, section)
		probs, is := err.(*check.Problems)
		if !is {
			t.Errorf("%q: got %v, want problems", section, err)
			continue
		}
		found := false
		for _, x := range probs.List {
			found = found || x.Path == want && x.Pos.Line > 0 && x.Message != ""
		}
		if !found {
			t.Errorf("%q: no problem at %s among\n%v", section, want, err)
		}
	}
}
