package circuit_test

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"packyard/check"
	"packyard/check/checktest"
	"packyard/circuit"
	"packyard/part"
	"packyard/unit"
)

// invented returns a pack of twelve modules of 30 V in two bays; its figures are
// made up.
func invented() circuit.Input {
	m := circuit.Modules{Bay: "front"}
	for range 6 {
		m.Voltage = append(m.Voltage, 30)
	}
	rear := circuit.Modules{Bay: "rear", Voltage: m.Voltage}
	p := part.BuiltIn()
	return circuit.Input{
		Battery: circuit.Battery{Strings: 1, VoltageFull: 360, VoltageLowest: 260, OCVFull: 358, OCVEmpty: 290, ResistanceLeast: 0.045, ResistanceMost: 0.16,
			PathStated: 0.004, Modules: []circuit.Modules{m, rear}, JointResistance: 1e-4},
		Loads:    circuit.Loads{RMS: 70, Climb: 110, Peak: 240, Regenerated: 90, Low12: 300},
		Inverter: p.Inverter("generic-inverter-270-440v"), Charger: p.Charger("generic-charger-6k6-400v"), Convert: p.Converter("generic-converter-400v"),
		Runs: []circuit.Run{{Kind: circuit.RunString, From: "front", To: "rear", Length: 3, Cores: 2}, {Kind: circuit.RunMain, From: "box", To: "inverter", Length: 2, Cores: 2},
			{Kind: circuit.RunCharger, From: "box", To: "charger", Length: 2, Cores: 2}},
		Stated: circuit.Stated{Capacitance: 800e-6, CapacitanceY: 0.5e-6, Class: "D", Ambient: unit.Celsius(60), Inductance: 8e-6, BleedGiven: 20e3, BleedTime: 120,
			Around: circuit.Surroundings{Pollution: 2, Material: 3, Category: 2}, ShareClosed: 0.95, TimeClosed: 0.5, Starts: 10, DropMost: 0.02},
	}
}

func assess(t interface {
	Helper()
	Fatal(...any)
}, in circuit.Input) *circuit.Result {
	t.Helper()
	r, err := circuit.Assess(in)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func item(r *circuit.Result, subject string) circuit.Choice {
	i := slices.IndexFunc(r.Items, func(c circuit.Choice) bool { return c.Subject == subject })
	if i < 0 {
		return circuit.Choice{}
	}
	return r.Items[i]
}

func found(r *circuit.Result, rule string) (check.Finding, bool) {
	for _, f := range r.Findings {
		if f.Rule == rule && (f.Margin < 0 || f.Limit.IsZero()) {
			return f, true
		}
	}
	return check.Finding{}, false
}

const (
	fuseOf      = "fuse of each string"
	contactorOf = "contactor of each pole of each string"
	mainOf      = "cable of the main"
)

func TestSoundPackGetsEveryPart(t *testing.T) {
	t.Parallel()
	r := assess(t, invented())
	for _, c := range r.Items {
		if c.None != "" {
			t.Errorf("%s: %s", c.Subject, c.None)
		}
	}
	for _, f := range r.Findings {
		if f.Severity >= check.Failure {
			t.Errorf("%s", f.Text(unit.SI))
		}
	}
	if len(r.Chart.Curves) != 4 {
		t.Errorf("%d curves, want melting, clearing, cable and contactor", len(r.Chart.Curves))
	}
	checktest.Near(t, "highest fault", float64(r.Faults[0].Highest), 358/0.045, 1e-6, 0, "circuit law, handbook 4.6")
}

// Each case of bad input has a finding that says what to do.
func TestBadInputIsFoundWithItsRemedy(t *testing.T) {
	t.Parallel()
	p := part.BuiltIn()
	for _, c := range []struct {
		name, rule string
		severity   check.Severity
		remedy     string
		change     func(*circuit.Input)
	}{
		{"two strings with one fuse", "circuit.fuse.strings", check.Safety, "one fuse", func(in *circuit.Input) { in.Battery.Strings, in.Stated.Fuses = 2, 1 }},
		{"contactor below the pack voltage", "circuit.contactor.voltage", check.Failure, "higher voltage", func(in *circuit.Input) {
			in.Stated.Contactor, in.Battery.VoltageFull = p.Contactor("generic-contactor-250a-450v"), 470
		}},
		{"one-way contactor with regeneration", "circuit.contactor.reverse", check.Safety, "both directions", func(in *circuit.Input) { in.Stated.Contactor = p.Contactor("generic-contactor-150a-450v-one-way") }},
		{"cable without insulation class", "circuit.cable.class", check.Safety, "insulation_class", func(in *circuit.Input) { in.Stated.Class = "" }},
		{"missing capacitance", "circuit.capacitance", check.Safety, "circuit.capacitance", func(in *circuit.Input) {
			none := *in.Inverter
			none.Capacitance, in.Inverter, in.Stated.Capacitance = 0, &none, 0
		}},
		{"no bleed resistor", "circuit.bleed", check.Safety, "circuit.bleed", func(in *circuit.Input) { in.Stated.BleedGiven = 0 }},
		{"part voltage below a module", "circuit.disconnect.parts", check.Safety, "shorter modules", func(in *circuit.Input) { in.Stated.PartVoltage = 25 }},
		{"fuse below the fault", "circuit.fuse.breaking", check.Failure, "breaking capacity", func(in *circuit.Input) {
			in.Battery.ResistanceLeast, in.Stated.Fuse = 0.01, p.Fuse("generic-fuse-200a-500v")
		}},
	} {
		in := invented()
		c.change(&in)
		f, ok := found(assess(t, in), c.rule)
		if !ok || f.Severity != c.severity || !strings.Contains(f.Remedy, c.remedy) {
			t.Errorf("%s: found %v, %q", c.name, ok, f.Text(unit.SI))
		}
	}
	in := invented()
	in.Battery.Modules = nil
	if _, err := circuit.Assess(in); !errors.Is(err, circuit.ErrInput) {
		t.Errorf("no modules: %v", err)
	}
}

// size returns the rating of what was chosen, infinite when none fits.
func sizes(r *circuit.Result) map[string]float64 {
	p := part.BuiltIn()
	out := map[string]float64{fuseOf: math.Inf(1), contactorOf: math.Inf(1), mainOf: math.Inf(1)}
	if f := p.Fuse(item(r, fuseOf).Part); f != nil {
		out[fuseOf] = float64(f.Current)
	}
	if c := p.Contactor(item(r, contactorOf).Part); c != nil {
		out[contactorOf] = float64(c.Current)
	}
	for _, w := range r.Cables {
		if strings.Contains(w.To, "inverter") && w.Section > 0 {
			out[mainOf] = float64(w.Section)
		}
	}
	return out
}

// A stricter demand never gives a smaller part: more current, hotter air.
func TestStricterDemandNeverGivesASmallerPart(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(r *rapid.T) {
		a := invented()
		a.Loads.RMS = unit.Current(rapid.Float64Range(20, 300).Draw(r, "continuous"))
		a.Loads.Climb = 0
		a.Loads.Peak = a.Loads.RMS * unit.Current(rapid.Float64Range(1, 3).Draw(r, "peak"))
		b := a
		more := unit.Current(rapid.Float64Range(1, 2).Draw(r, "more"))
		b.Loads.RMS, b.Loads.Peak = a.Loads.RMS*more, a.Loads.Peak*more
		b.Stated.Ambient += unit.Temperature(rapid.Float64Range(0, 20).Draw(r, "hotter"))
		small, large := sizes(assess(r, a)), sizes(assess(r, b))
		for _, k := range []string{fuseOf, mainOf} {
			if large[k] < small[k] {
				r.Fatalf("%s: %g, then %g for more current in hotter air", k, small[k], large[k])
			}
		}
	})
}

// Margins fall as the demand rises, part by part.
func TestMarginsFallAsDemandsRise(t *testing.T) {
	t.Parallel()
	margin := func(in circuit.Input, rule string) float64 {
		for _, f := range assess(t, in).Findings {
			if f.Rule == rule {
				return f.Margin
			}
		}
		t.Fatalf("no finding %s", rule)
		return 0
	}
	p := part.BuiltIn()
	last := map[string]float64{}
	for k := range 12 {
		in := invented()
		in.Stated.Fuse, in.Stated.Contactor, in.Stated.Cable = p.Fuse("generic-fuse-250a-500v"), p.Contactor("generic-contactor-250a-1000v"), p.Cables[8]
		in.Loads.RMS = unit.Current(60 + 20*k)
		in.Loads.Climb, in.Loads.Peak = 0, 2*in.Loads.RMS
		for _, rule := range []string{"circuit.fuse.continuous", "circuit.fuse.peak", "circuit.contactor.carry", "circuit.contactor.break"} {
			m := margin(in, rule)
			if before, ok := last[rule]; ok && m > before {
				t.Errorf("%s: margin %g after %g at more current", rule, m, before)
			}
			last[rule] = m
		}
	}
}

// The netlist joins every pin once, and names no pin that no part has.
func TestNetlistJoinsEveryPinOnce(t *testing.T) {
	t.Parallel()
	for _, strings := range []int{1, 2, 3} {
		in := invented()
		in.Battery.Strings = strings
		in.Stated.PartVoltage = 130
		net := assess(t, in).Net
		pins := map[string]int{}
		for _, p := range net.Parts {
			for _, pin := range p.Pins {
				pins[p.ID+"."+pin] = 0
			}
		}
		for _, n := range net.Nodes {
			for _, p := range n.Pins {
				if _, ok := pins[p]; !ok {
					t.Errorf("%d strings: node %s joins %s, which no part has", strings, n.ID, p)
				}
				pins[p]++
			}
		}
		for p, n := range pins {
			if n != 1 {
				t.Errorf("%d strings: pin %s stands in %d nodes", strings, p, n)
			}
		}
	}
}

func TestPartsOfAStringStayBelowTheVoltage(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(r *rapid.T) {
		modules := rapid.SliceOfN(rapid.Map(rapid.Float64Range(10, 60), func(x float64) unit.Voltage { return unit.Voltage(x) }), 1, 20).Draw(r, "modules")
		most := unit.Voltage(rapid.Float64Range(60, 300).Draw(r, "most"))
		cuts, ok := circuit.Parts(modules, most)
		if !ok {
			r.Fatal("no module is above it")
		}
		sum, k := unit.Voltage(0), 0
		for i, u := range modules {
			if k < len(cuts) && cuts[k] == i {
				sum, k = 0, k+1
			}
			if sum += u; sum > most {
				r.Fatalf("a part reaches %g V of at most %g V", float64(sum), float64(most))
			}
		}
	})
}

func TestReadingAtTheLimitInvertsTheFormula(t *testing.T) {
	t.Parallel()
	with := circuit.ReadingAt(400, 200e3, 200e3)
	lower, _, err := circuit.Readings{U1: 200, U2: 200, WithKnown: with, Known: 200e3}.Isolation()
	if err != nil {
		t.Fatal(err)
	}
	checktest.Near(t, "lower leg", float64(lower), 200e3, 0, 1e-12, "UN R100 Annex 5, R_i = R₀·U·(1/U' − 1/U₁)")
}
