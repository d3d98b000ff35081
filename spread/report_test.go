package spread_test

import (
	"context"
	"errors"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"packyard/check"
	"packyard/check/checktest"
	"packyard/design"
	"packyard/spread"
	"packyard/unit"
)

func report(t testing.TB, f *design.Frame, o spread.Options) *spread.RangeReport {
	t.Helper()
	r, err := spread.Range(context.Background(), f, &spread.Trip{Option: placed(t, f), Schedule: short(t), NoPack: true}, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// own are parts with spreads, for a truck of loose cells and a charger of its own.
const own = `
chargers:
  - {id: own-charger, title: own charger, bands: {full_min: 250 V, full_max: 450 V}, power_max: 6 kW, current_max: 20 A, efficiency: 93 % ± 0.01, idle: 40 W ± 5 W, mass: 6 kg}
inverters:
  - {id: own-inverter, title: own inverter, bands: {full_min: 270 V, full_max: 440 V, reduced_min: 240 V, reduced_max: 450 V, never_exceed: 460 V}, current_max: 400 A, efficiency: 97 % ± 0.01, idle: 30 W ± 5 W, mass: 10 kg}
converters:
  - {id: own-converter, title: own converter, bands: {full_min: 240 V, full_max: 450 V}, power_max: 2 kW, efficiency: 90 % ± 0.02, idle: 10 W ± 2 W, mass: 3 kg}
`

// The parts of the workshop that are in use are drawn; what they move is what
// they stand for.
func TestSpreadsOfPartsEnterTheRun(t *testing.T) {
	t.Parallel()
	f := truck(t, own, "charger: generic-charger-6k6-400v", "charger: own-charger", "inverter: generic-inverter-270-440v", "inverter: own-inverter",
		"converter: generic-converter-400v", "converter: own-converter")
	r := report(t, f, spread.Options{Samples: 64})
	if len(r.Spread.Inputs) != 6 || len(r.Unused) != 0 {
		t.Fatalf("inputs %+v, unused %+v", r.Spread.Inputs, r.Unused)
	}
	total := func(figure, input string) float64 {
		for _, g := range r.Spread.Figures {
			for _, s := range g.Shares {
				if g.Name == figure && s.Input == input {
					return float64(s.Total)
				}
			}
		}
		t.Fatalf("no share of %s in %s", input, figure)
		return 0
	}
	for _, input := range []string{"parts: own-charger.efficiency", "parts: own-charger.idle"} {
		if total("energy from the wall", input) <= 0 || total("range", input) != 0 {
			t.Errorf("%s: wall %g, range %g", input, total("energy from the wall", input), total("range", input))
		}
	}
	for _, input := range []string{"parts: own-converter.efficiency", "parts: own-converter.idle"} {
		if total("range", input) <= 0 {
			t.Errorf("%s moves no range", input)
		}
	}
}

// A range that is inversely proportional to the energy per distance, and the
// latter linear in drag area, has the median of the stated value and all of its
// spread from the one input.
func TestOneInputMakesAllOfTheSpread(t *testing.T) {
	t.Parallel()
	f := truck(t, "", "drag_coefficient: 0.48", "drag_coefficient: 0.48 ± 0.04 max")
	r := report(t, f, spread.Options{Samples: 256, Seed: 1})
	for i, g := range r.Spread.Figures {
		s := g.Shares[0]
		const errors = 4 // standard errors
		if math.Abs(float64(s.First)-1) > errors*float64(s.FirstError) || math.Abs(float64(s.Total)-1) > errors*float64(s.TotalError) || s.TotalError > 0.02 {
			t.Errorf("%s: %+v, all of it is from one input", g.Name, s)
		}
		checktest.Near(t, "median of "+g.Name, g.P50.Value.SI, r.Stated[i].SI, 0, 2e-3, "monotone function of one symmetric input")
	}
	// The ends of the band bound the draws; P10 and P90 lie a tenth of it inside.
	far, near := truck(t, "", "drag_coefficient: 0.48", "drag_coefficient: 0.448"), truck(t, "", "drag_coefficient: 0.48", "drag_coefficient: 0.512")
	g := &r.Spread.Figures[0]
	checktest.Near(t, "P90", g.P90.Value.SI, report(t, far, spread.Options{}).Stated[0].SI, 0, 1e-3, "run at the 10 % point of the band")
	checktest.Near(t, "P10", g.P10.Value.SI, report(t, near, spread.Options{}).Stated[0].SI, 0, 1e-3, "run at the 90 % point of the band")
}

// The same seed gives the same report with any number of workers.
func TestReportIsThatOfItsSeedWithAnyNumberOfWorkers(t *testing.T) {
	t.Parallel()
	f := truck(t, "", "drag_coefficient: 0.48", "drag_coefficient: 0.48 ± 0.02", "state_of_health: 82 %", "state_of_health: 82 % ± 0.04",
		"driver: 150 kg", "driver: 150 kg ± 40 kg", "ambient: 15 °C", "ambient: 0…25 °C", "altitude: 210 m", "altitude: 210 m\n  headwind: 0 m/s ± 2 m/s")
	one := report(t, f, spread.Options{Samples: 64, Seed: 5, Workers: 1})
	for _, workers := range []int{2, 5} {
		if got := report(t, f, spread.Options{Samples: 64, Seed: 5, Workers: workers}); !reflect.DeepEqual(got, one) {
			t.Errorf("%d workers give another report", workers)
		}
	}
}

func TestWantedRangeIsHeldAgainstTheDraws(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		wanted   string
		over     check.Hold
		severity check.Severity
	}{{"120 km", check.Always, check.Note}, {"197 km", check.Partly, check.Warning}, {"260 km", check.Never, check.Failure}} {
		f := truck(t, "", "drag_coefficient: 0.48", "drag_coefficient: 0.48 ± 0.02 max", "range: 120 km", "range: "+c.wanted)
		r := report(t, f, spread.Options{Samples: 64})
		i := slices.IndexFunc(r.Findings, func(g check.Finding) bool { return g.Rule == "range.spread" })
		if i < 0 || r.Target == nil {
			t.Fatalf("%s: %+v", c.wanted, r)
		}
		if g := r.Findings[i]; g.Over != c.over || g.Severity != c.severity || r.Target.Over != c.over || g.Source != "given" {
			t.Errorf("%s: %+v, share %v", c.wanted, g, r.Target.Share)
		}
		if (r.Target.Share > 0 && r.Target.Share < 1) != (c.over == check.Partly) {
			t.Errorf("%s: share %v, %s", c.wanted, r.Target.Share, c.over)
		}
	}
}

// Nothing that was stated is dropped: what is not drawn is told with its reason.
func TestWhatIsNotDrawnIsTold(t *testing.T) {
	t.Parallel()
	f := truck(t, "", "wheelbase: 2.55 m", "wheelbase: 2.55 m ± 5 mm", "state_of_health: 90 %", "state_of_health: 90 % ± 0.02",
		"capacity_share: 65 %", "capacity_share: 65 % ± 0.03", "drag_coefficient: 0.48", "drag_coefficient: 0.48 ± 0.02")
	r := report(t, f, spread.Options{Samples: 64})
	if len(r.Spread.Inputs) != 1 || len(r.Unused) != 3 {
		t.Fatalf("drawn %+v, not drawn %+v", r.Spread.Inputs, r.Unused)
	}
	for i, want := range []struct{ input, why string }{
		{"donor.wheelbase", "do not depend"}, {"sources[2].state_of_health", "another source"}, {"targets.end_of_life.capacity_share", "end of life"},
	} {
		u := r.Unused[i]
		told := slices.ContainsFunc(r.Findings, func(g check.Finding) bool {
			return g.Rule == "spread.not-drawn" && g.Severity == check.Note && strings.Contains(g.Subject, u.Input)
		})
		if u.Input != want.input || !strings.Contains(u.Why, want.why) || !told || u.Pos.Line == 0 {
			t.Errorf("%+v, want %+v; told %v", u, want, told)
		}
	}
	end, err := spread.Range(context.Background(), f, &spread.Trip{Option: placed(t, f), Schedule: short(t), End: true, NoPack: true}, spread.Options{Samples: 64})
	if err != nil || len(end.Spread.Inputs) != 2 || end.Life != "end of life" {
		t.Errorf("at the end of life %+v, %v", end, err)
	}
}

// Draws that a field does not accept are cut, and the share is told: a mass that
// is nearly all spread is never drawn at zero or below.
func TestCutSharesAreTold(t *testing.T) {
	t.Parallel()
	f := truck(t, "", "name: starter battery, mass: 15 kg", "name: starter battery, mass: 15 kg ± 12 kg")
	r := report(t, f, spread.Options{Samples: 64})
	cut := r.Spread.Inputs[0].Cut
	checktest.Near(t, "share cut", float64(cut), 0.10565, 1e-5, 0, "normal distribution: Φ(−15/12)")
	if !slices.ContainsFunc(r.Findings, func(g check.Finding) bool { return g.Rule == "spread.cut" && g.Severity == check.Warning }) {
		t.Errorf("nothing told: %+v", r.Findings)
	}
	if low := slices.Min(r.Spread.Columns.Input[0]); low <= 0 {
		t.Errorf("a mass of %g kg was drawn", low)
	}
}

// A vehicle that some draws cannot drive has ranges down to zero there, finite
// figures throughout, and no endless run.
func TestDrawsThatCannotBeDrivenAreFigures(t *testing.T) {
	t.Parallel()
	f := truck(t, "", "altitude: 210 m", "altitude: 210 m\n  headwind: 0 m/s ± 19 m/s max", "rolling_coefficient: 0.0125", "rolling_coefficient: 0.005…0.08")
	r := report(t, f, spread.Options{Samples: 64})
	for _, column := range r.Spread.Columns.Figure {
		for _, v := range column {
			if math.IsNaN(v-v) || v < 0 {
				t.Fatalf("a figure of %g", v)
			}
		}
	}
	if g := &r.Spread.Figures[0]; !(g.P10.Value.SI < g.P90.Value.SI/2) {
		t.Errorf("from %v to %v", g.P10, g.P90)
	}
}

// What a bench measured of a lot enters as one more input of the brief.
func TestMeasuredHealthEntersAsAnInput(t *testing.T) {
	t.Parallel()
	f := truck(t, "")
	f.Brief.Uncertain = append(f.Brief.Uncertain, design.Uncertain{
		Path: "sources[0].state_of_health, measured", Source: 1,
		Stated: check.Stated{Value: check.Of(unit.Ratio(0.82)), Measured: []float64{0.78, 0.80, 0.81, 0.83, 0.84, 0.86}},
		Set:    func(b *design.Brief, si float64) { b.Sources[0].Health.CapacityShare = unit.Ratio(si) },
	})
	r := report(t, f, spread.Options{Samples: 64})
	g := &r.Spread.Figures[3] // usable energy is nearly in proportion
	checktest.Near(t, "P90 over P10 of usable energy", g.P90.Value.SI/g.P10.Value.SI, 0.85/0.79, 0, 0.01, "hyndman-fan-1996: 0.79 and 0.85")
	if r.Spread.Inputs[0].From != 6 {
		t.Errorf("%+v", r.Spread.Inputs[0])
	}
}

func TestSpreadOfABadOptionIsAnError(t *testing.T) {
	t.Parallel()
	f := truck(t, "", "drag_coefficient: 0.48", "drag_coefficient: 0.48 ± 0.02")
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := spread.Range(ctx, f, &spread.Trip{Option: placed(t, f), Schedule: short(t)}, spread.Options{}); !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
	if _, err := spread.Range(context.Background(), f, &spread.Trip{Option: placed(t, f), Schedule: short(t)}, spread.Options{Samples: -1}); !errors.Is(err, spread.ErrStudy) {
		t.Errorf("%v", err)
	}
}
