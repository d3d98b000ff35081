package server

import (
	"encoding"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"sort"
	"strconv"
	"strings"
	"testing"

	"packyard/check"
	"packyard/check/checktest"
	"packyard/design"
	"packyard/project"
	"packyard/search"
	"packyard/spread"
	"packyard/unit"
)

// The types of the front end are made from the structs that are written as
// JSON, by reflection. The pages that hold them say so; `make golden` writes
// them.

const generated = "// Generated from Go by `make golden`; do not edit. docs/reference/api.md says where each is used.\n\n"

// answered are the structs of all requests, answers and events.
func answered() []any {
	return []any{
		State{}, Change{}, Assessed{}, Progress{}, Failed{}, ErrorReply{}, EditRequest{}, EditReply{}, StepRequest{}, NewRequest{}, CheckReply{},
		HistoryReply{}, FileReply{}, Donor{}, Bays{}, Sources{}, Parts{}, OptionList{}, AssessmentReply{}, Compare{}, RelaxRequest{}, Relaxation{},
		Drive{}, Ranges{}, GroupsReply{}, PaceReply{}, SpreadReply{}, HeatReply{}, ChargeReply{}, CircuitReply{}, BookReply{}, Schedules{}, Profile{}, AssumptionList{}, UnitTable{}, References{},
	}
}

// eventTypes are the events by name.
func eventTypes() map[string]any {
	return map[string]any{
		"state": State{}, "change": Change{}, "headline": Headline{}, "assessed": Assessed{}, "progress": Progress{}, "options": SearchState{},
		"broken": ProblemList{}, "mended": struct{}{}, "failed": Failed{}, "bye": struct{}{},
	}
}

// tsNames are those that differ from the Go ones.
var tsNames = map[reflect.Type]string{
	reflect.TypeFor[OptionList]():     "Options",
	reflect.TypeFor[AssumptionList](): "AssumptionsReply",
	reflect.TypeFor[AssumptionRow]():  "AssumptionLine",
	reflect.TypeFor[RelaxRequest]():   "RelaxationRequest",
	reflect.TypeFor[HistoryReply]():   "History",
	reflect.TypeFor[ProblemList]():    "Broken",
	reflect.TypeFor[APIError]():       "ApiError",
	reflect.TypeFor[design.Window]():  "VoltageWindow",
	reflect.TypeFor[project.Op]():     "Op",
	reflect.TypeFor[spread.Result]():  "SpreadResult",
	reflect.TypeFor[spread.Outcome](): "SpreadOutcome",
	reflect.TypeFor[spread.Share]():   "SpreadShare",
	reflect.TypeFor[spread.Step]():    "SpreadStep",
	reflect.TypeFor[spread.Target]():  "SpreadTarget",
	reflect.TypeFor[spread.Unused]():  "SpreadUnused",
}

// tsWords are the texts that a value may be, where they are few.
var tsWords = map[string][]string{
	"ApiError.kind":        {"key", "origin", "request", "problems", "conflict", "broken", "noproject", "option", "notfound", "exists", "failed", "large"},
	"Change.by":            {"edit", "undo", "redo", "outside", "new"},
	"Budget.name":          {"mass", "space", "voltage", "money"},
	"GrowthRow.axis":       {"length", "width", "height"},
	"RelaxGrowth.axis":     {"length", "width", "height"},
	"FlowNode.kind":        {"supply", "stage", "loss", "use"},
	"DriveReport.life":     {"as bought", "end of life"},
	"ResistanceCurve.life": {"as bought", "end of life"},
}

// brands are the names of the SI units; a ratio and a slope are plain numbers.
var brands = map[string]string{
	"kg": "Kg", "m": "Metre", "m²": "SquareMetre", "m³": "CubicMetre", "s": "Second", "m/s": "MetrePerSecond", "m/s²": "MetrePerSecondSquared",
	"N": "Newton", "N·m": "NewtonMetre", "J": "Joule", "J/m": "JoulePerMetre", "J/kg": "JoulePerKg", "W": "Watt", "V": "Volt", "A": "Ampere",
	"C": "AmpereSecond", "Ω": "Ohm", "Pa": "Pascal", "m³/s": "CubicMetrePerSecond", "K": "Kelvin", "rad": "Radian", "rad/s": "RadianPerSecond",
}

type tsWriter struct {
	t     *testing.T
	used  map[string]string // brand to symbol
	made  map[string]string // interface to text
	types map[string]reflect.Type
}

// symbolOf returns the SI symbol of a type of package unit, "" for others.
func symbolOf(t reflect.Type) string {
	if t.PkgPath() != "packyard/unit" || t.Kind() != reflect.Float64 {
		return ""
	}
	for _, f := range []func() (reflect.Type, string){
		quantity[unit.Mass], quantity[unit.Length], quantity[unit.Area], quantity[unit.Volume], quantity[unit.Time], quantity[unit.Speed],
		quantity[unit.Force], quantity[unit.Torque], quantity[unit.Energy], quantity[unit.Consumption], quantity[unit.SpecificEnergy],
		quantity[unit.Power], quantity[unit.Voltage], quantity[unit.Current], quantity[unit.Charge], quantity[unit.Resistance],
		quantity[unit.Temperature], quantity[unit.VolumeFlow], quantity[unit.Pressure], quantity[unit.Angle], quantity[unit.AngularSpeed], quantity[unit.Ratio], quantity[unit.Slope],
	} {
		if other, symbol := f(); other == t {
			return symbol
		}
	}
	return "?"
}

func quantity[Q unit.Quantity]() (reflect.Type, string) {
	return reflect.TypeFor[Q](), unit.Symbol[Q]()
}

// typeOf returns the TypeScript type of a Go type.
func (w *tsWriter) typeOf(t reflect.Type) string {
	if t == reflect.TypeFor[unit.TemperatureDelta]() {
		w.used["KelvinBetween"] = "K between two" // no formatter of levels takes it
		return "KelvinBetween"
	}
	if symbol := symbolOf(t); symbol == "1" {
		return "number"
	} else if symbol != "" {
		brand := brands[symbol]
		if brand == "" {
			w.t.Errorf("%s in %q has no brand", t, symbol)
		}
		w.used[brand] = symbol
		return brand
	}
	if text, ok := reflect.New(t).Interface().(encoding.TextMarshaler); ok {
		return wordsOf(t, text)
	}
	switch t.Kind() {
	case reflect.Bool:
		return "boolean"
	case reflect.String:
		return "string"
	case reflect.Int, reflect.Int64, reflect.Float64:
		return "number"
	case reflect.Pointer:
		return w.typeOf(t.Elem()) + " | null"
	case reflect.Slice:
		if t == reflect.TypeFor[json.RawMessage]() {
			return "Value"
		}
		return listType(w.typeOf(t.Elem()))
	case reflect.Array:
		if t == reflect.TypeFor[[3]unit.Length]() {
			w.used["Metre"] = "m"
			return "Vec"
		}
		if t.Len() > 3 {
			return listType(w.typeOf(t.Elem()))
		}
		return "[" + strings.Join(slices.Repeat([]string{w.typeOf(t.Elem())}, t.Len()), ", ") + "]"
	case reflect.Struct:
		return w.structure(t)
	}
	w.t.Errorf("%s has no TypeScript type", t)
	return "unknown"
}

func listType(elem string) string {
	if strings.Contains(elem, " ") && !strings.HasPrefix(elem, "[") {
		return "(" + elem + ")[]"
	}
	return elem + "[]"
}

// wordsOf returns the words of an enumeration, found by counting up.
func wordsOf(t reflect.Type, _ encoding.TextMarshaler) string {
	var out []string
	for i := range 20 {
		v := reflect.New(t).Elem()
		v.SetUint(uint64(i))
		text, err := v.Interface().(encoding.TextMarshaler).MarshalText()
		if err != nil || strings.HasPrefix(string(text), "hold ") {
			break
		}
		if len(text) > 0 {
			out = append(out, strconv.Quote(string(text)))
		}
	}
	return strings.Join(out, " | ")
}

func nameOf(t reflect.Type) string {
	if n := tsNames[t]; n != "" {
		return n
	}
	return t.Name()
}

func (w *tsWriter) structure(t reflect.Type) string {
	name := nameOf(t)
	if other, ok := w.types[name]; ok {
		if other != t {
			w.t.Errorf("%s and %s are both called %s", other, t, name)
		}
		return name
	}
	w.types[name] = t
	if t == reflect.TypeFor[project.Op]() {
		return name // written by hand below: one form for each kind
	}
	var b strings.Builder
	fmt.Fprintf(&b, "export interface %s {\n", name)
	w.fields(&b, name, t)
	b.WriteString("}\n")
	w.made[name] = b.String()
	return name
}

func (w *tsWriter) fields(b *strings.Builder, name string, t reflect.Type) {
	for f := range t.Fields() {
		key, option, _ := strings.Cut(f.Tag.Get("json"), ",")
		if f.Anonymous && key == "" {
			w.fields(b, name, f.Type)
			continue
		}
		if key == "-" {
			continue // never written
		}
		if key == "" {
			w.t.Errorf("%s.%s has no JSON key", t, f.Name)
			continue
		}
		ts, mark := w.typeOf(f.Type), ""
		if option != "" {
			mark = "?"
			ts = strings.TrimSuffix(ts, " | null")
		}
		if list := tsWords[name+"."+key]; list != nil {
			ts = strconv.Quote(strings.Join(list, `" | "`))
			ts = strings.ReplaceAll(ts, `\"`, `"`)
		}
		fmt.Fprintf(b, "  %s%s: %s;\n", key, mark, ts)
	}
}

const opType = `export type Value = string | Value[] | { [key: string]: Value };
export type Op =
  | { op: "set"; path: string; text: string }
  | { op: "insert"; path: string; value: Value }
  | { op: "delete"; path: string };
`

func TestTypesOfTheFrontEndAreFresh(t *testing.T) {
	t.Parallel()
	w := &tsWriter{t: t, used: map[string]string{}, made: map[string]string{}, types: map[string]reflect.Type{}}
	for _, v := range answered() {
		w.typeOf(reflect.TypeOf(v))
	}
	var events []string
	for name, v := range eventTypes() {
		ts := "Record<string, never>"
		if rt := reflect.TypeOf(v); rt.NumField() > 0 {
			ts = w.typeOf(rt)
		}
		events = append(events, fmt.Sprintf("  %s: %s;\n", name, ts))
	}
	sort.Strings(events)
	var b strings.Builder
	b.WriteString(generated)
	b.WriteString("type Si<U extends string> = number & { readonly __unit: U };\n")
	for _, brand := range sorted(w.used) {
		fmt.Fprintf(&b, "export type %s = Si<%q>;\n", brand, w.used[brand])
	}
	b.WriteString("\nexport type Vec = [Metre, Metre, Metre];\n\n" + opType + "\n")
	for _, name := range sorted(w.made) {
		b.WriteString(w.made[name] + "\n")
	}
	b.WriteString("/** What each event of /api/events carries. */\nexport interface Events {\n" + strings.Join(events, "") + "}\n")
	for key := range tsWords {
		if name, _, _ := strings.Cut(key, "."); w.made[name] == "" {
			t.Errorf("words of %s: there is no such type", key)
		}
	}
	checktest.Golden(t, "../web/src/api/types.gen.ts", b.String())
}

func sorted(m map[string]string) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}

func TestUnitTableOfTheFrontEndIsFresh(t *testing.T) {
	t.Parallel()
	var b strings.Builder
	b.WriteString(strings.Split(generated, ";")[0] + "; do not edit. docs/reference/units.md is the same table.\n\n")
	b.WriteString(`/** A unit of display and the SI magnitude from which it is used; the home step shows zero. SI = number * factor + offset. */
export interface Step {
  unit: string;
  from: number;
  home: boolean;
  factor: number;
  offset: number;
}
export interface Quantity {
  symbol: string;
  si: Step[];
  us: Step[];
}

const step = (unit: string, from: number, home: boolean, factor: number, offset: number): Step => ({
  unit,
  from,
  home,
  factor,
  offset,
});

export const quantities: Record<string, Quantity> = {
`)
	for _, q := range unitTable().Quantities {
		fmt.Fprintf(&b, "  %q: {\n    symbol: %q,\n", q.Noun, q.Symbol)
		for _, system := range []struct {
			name  string
			steps []UnitStep
		}{{"si", q.SI}, {"us", q.US}} {
			fmt.Fprintf(&b, "    %s: [\n", system.name)
			for _, s := range system.steps {
				fmt.Fprintf(&b, "      step(%q, %s, %t, %s, %s),\n", s.Spelling, plainNumber(s.From), s.Home, plainNumber(s.Factor), plainNumber(s.Offset))
			}
			b.WriteString("    ],\n")
		}
		b.WriteString("  },\n")
	}
	b.WriteString("};\n")
	checktest.Golden(t, "../web/src/units/table.gen.ts", b.String())
}

// TestEveryAnswerIsTyped: each path that answers JSON does so with a type that
// the front end knows.
func TestEveryAnswerIsTyped(t *testing.T) {
	t.Parallel()
	b := reading(t)
	w := &tsWriter{t: t, used: map[string]string{}, made: map[string]string{}, types: map[string]reflect.Type{}}
	for _, v := range append(answered(), CurveView{}, ProblemList{}, search.Report{}, check.Problem{}) {
		w.typeOf(reflect.TypeOf(v))
	}
	for path, answer := range b.answers() {
		r := requestFor(b, path)
		v, err := answer(r)
		if err != nil {
			t.Errorf("%s: %v", path, err)
			continue
		}
		rt := reflect.TypeOf(v)
		if rt.Kind() == reflect.Pointer {
			rt = rt.Elem()
		}
		if w.types[nameOf(rt)] != rt {
			t.Errorf("%s answers with %s, which is not among the types of the front end", path, rt)
		}
	}
}
