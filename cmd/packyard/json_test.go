package main

import (
	"encoding"
	"fmt"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"packyard/bench"
	"packyard/check"
	"packyard/check/checktest"
	"packyard/design"
	"packyard/search"
	"packyard/spread"
	"packyard/unit"
)

// jsonOutputs are the commands that print JSON with the type that is printed.
var jsonOutputs = []struct {
	command string
	t       reflect.Type
}{
	{"options --json", reflect.TypeFor[search.Report]()},
	{"assess --json", reflect.TypeFor[design.Assessment]()},
	{"drive --json", reflect.TypeFor[[]design.DriveReport]()},
	{"drive --spread --json", reflect.TypeFor[spread.RangeReport]()},
	{"drive --per-group --json", reflect.TypeFor[[]design.GroupReport]()},
	{"drive --pace --json", reflect.TypeFor[design.PaceReport]()},
	{"heat --json", reflect.TypeFor[design.HeatReport]()},
	{"charge --json", reflect.TypeFor[design.ChargeReport]()},
	{"book --json", reflect.TypeFor[BookReport]()},
	{"circuit --json", reflect.TypeFor[design.CircuitReport]()},
	{"bench import --json", reflect.TypeFor[[]ImportLine]()},
	{"bench list --json", reflect.TypeFor[[]BenchLine]()},
	{"bench show --json", reflect.TypeFor[ItemReport]()},
	{"bench fit --json", reflect.TypeFor[[]bench.Result]()},
	{"bench fit --use --json", reflect.TypeFor[[]bench.LotCircuit]()},
	{"bench replay --json", reflect.TypeFor[ReplayReport]()},
	{"bench grade --json", reflect.TypeFor[GradeReport]()},
	{"bench match --json", reflect.TypeFor[MatchReport]()},
	{"bench join --json", reflect.TypeFor[bench.Joining]()},
	{"check --json", reflect.TypeFor[CheckReport]()},
	{"new --json", reflect.TypeFor[NewReport]()},
	{"parts --json", reflect.TypeFor[[]PartLine]()},
	{"schedules --json", reflect.TypeFor[[]ScheduleLine]()},
	{"units --json", reflect.TypeFor[[]QuantityLine]()},
	{"sources --json", reflect.TypeFor[[]check.Source]()},
}

const jsonHead = `# JSON

This page is printed by a test from the Go types. Do not edit it; ` + "`make golden`" + ` writes it, and the meanings stand in
cmd/packyard/testdata/json-meanings.csv.

The keys are an interface: they keep their name and meaning until a note in CHANGELOG.md says otherwise; new ones may
come. Numbers are in SI, and a key whose number has a unit ends in it: ` + "`mass_kg`, `energy_j`, `charge_as`, `resistance_ohm`" + `.
Money is in the currency that stands beside it. A key marked "may be left out" is not there when there is nothing to say.
` + "`options --explain NAME --json` prints what `assess --json` prints; `parts ID --json` prints one object of the list." + `
`

// jsonPage collects the objects of the page.
type jsonPage struct {
	t        *testing.T
	meanings map[string]string // by object.key
	used     map[string]bool
	symbols  map[reflect.Type]string
	known    map[reflect.Type]bool
	order    []reflect.Type
}

// TestJSONPageHoldsEveryKey: docs/reference/json.md lists every key of every
// JSON output with its unit and meaning, and no others.
func TestJSONPageHoldsEveryKey(t *testing.T) {
	t.Parallel()
	p := &jsonPage{t: t, meanings: readMeanings(t), used: map[string]bool{}, known: map[reflect.Type]bool{}, symbols: unitSymbols()}
	var page strings.Builder
	page.WriteString(jsonHead + "\n| command | prints |\n| --- | --- |\n")
	for _, o := range jsonOutputs {
		fmt.Fprintf(&page, "| `packyard %s` | %s |\n", o.command, p.kind(o.t))
	}
	for i := 0; i < len(p.order); i++ { // grows while objects are described
		p.object(&page, p.order[i])
	}
	for key := range p.meanings {
		if !p.used[key] {
			t.Errorf("json-meanings.csv explains %s, which is in no output", key)
		}
	}
	if len(p.used) < 100 {
		t.Errorf("only %d keys found; the walk is wrong", len(p.used))
	}
	checktest.Golden(t, filepath.Join(checktest.Root(t), "docs", "reference", "json.md"), page.String())
}

func readMeanings(t *testing.T) map[string]string {
	t.Helper()
	rows := checktest.Table(t, "testdata/json-meanings.csv")
	out := map[string]string{}
	for _, r := range rows[1:] {
		key := r[0] + "." + r[1]
		if out[key] != "" || r[2] == "" {
			t.Errorf("json-meanings.csv: %s is explained twice or not at all", key)
		}
		out[key] = r[2]
	}
	return out
}

// object writes the table of one type.
func (p *jsonPage) object(page *strings.Builder, t reflect.Type) {
	fmt.Fprintf(page, "\n## %s\n\n| key | value | unit | meaning |\n| --- | --- | --- | --- |\n", t.Name())
	for f := range t.Fields() {
		key, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		if key == "-" || !f.IsExported() {
			continue
		}
		if key == "" {
			p.t.Errorf("%s.%s is printed without a key of its own", t, f.Name)
			continue
		}
		name := t.Name() + "." + key
		p.used[name] = true
		meaning := p.meanings[name]
		if meaning == "" {
			p.t.Errorf("json-meanings.csv does not explain %s,%s,", t.Name(), key)
		}
		if strings.Contains(options, "omit") {
			meaning += "; may be left out"
		}
		fmt.Fprintf(page, "| `%s` | %s | %s | %s |\n", key, p.kind(f.Type), p.unit(f.Type), meaning)
	}
}

// kind says in words what a value is, and notes the objects on the way.
func (p *jsonPage) kind(t reflect.Type) string {
	if t.Implements(reflect.TypeFor[encoding.TextMarshaler]()) {
		return "word"
	}
	switch t.Kind() {
	case reflect.Pointer:
		return p.kind(t.Elem())
	case reflect.Slice:
		return "list: " + p.kind(t.Elem())
	case reflect.Array:
		return fmt.Sprintf("list of %d: %s", t.Len(), p.kind(t.Elem()))
	case reflect.Map:
		return "object: " + p.kind(t.Elem()) + " by name"
	case reflect.Struct:
		if !p.known[t] {
			p.known[t] = true
			p.order = append(p.order, t)
		}
		return fmt.Sprintf("[%s](#%s)", t.Name(), strings.ToLower(t.Name()))
	case reflect.String:
		return "text"
	case reflect.Bool:
		return "true or false"
	case reflect.Int, reflect.Int64:
		return "whole number"
	case reflect.Float64:
		return "number"
	}
	p.t.Errorf("%s: the page has no words for a %s", t, t.Kind())
	return ""
}

// unit returns the SI unit of a quantity, and of the quantities of a list.
func (p *jsonPage) unit(t reflect.Type) string {
	switch t.Kind() {
	case reflect.Slice, reflect.Array, reflect.Pointer:
		return p.unit(t.Elem())
	}
	if t.PkgPath() == "packyard/unit" && t.Kind() == reflect.Float64 {
		symbol, ok := p.symbols[t]
		if !ok {
			p.t.Errorf("the page knows no unit of %s", t)
		}
		return symbol
	}
	return ""
}

// unitSymbols are the SI symbols of the quantities that stand in an output.
func unitSymbols() map[reflect.Type]string {
	out := map[reflect.Type]string{}
	symbol[unit.Mass](out)
	symbol[unit.Length](out)
	symbol[unit.Time](out)
	symbol[unit.Speed](out)
	symbol[unit.Energy](out)
	symbol[unit.Consumption](out)
	symbol[unit.Voltage](out)
	symbol[unit.Current](out)
	symbol[unit.Charge](out)
	symbol[unit.Resistance](out)
	symbol[unit.Power](out)
	symbol[unit.Temperature](out)
	symbol[unit.TemperatureDelta](out)
	symbol[unit.Slope](out)
	symbol[unit.VolumeFlow](out)
	symbol[unit.Pressure](out)
	symbol[unit.Ratio](out)
	symbol[unit.Area](out)
	return out
}

func symbol[Q unit.Quantity](out map[reflect.Type]string) {
	out[reflect.TypeFor[Q]()] = unit.Symbol[Q]()
}
