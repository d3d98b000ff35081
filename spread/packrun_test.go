package spread_test

import (
	"context"
	"errors"
	"reflect"
	"slices"
	"strings"
	"testing"

	"packyard/charge"
	"packyard/check"
	"packyard/check/checktest"
	"packyard/design"
	"packyard/spread"
)

// packOf returns the pack study of a truck on the short schedule.
func packOf(t *testing.T, f *design.Frame, supply string) *spread.RangeReport {
	t.Helper()
	s, err := charge.ParseSupply(supply)
	if err != nil {
		t.Fatal(err)
	}
	r, err := spread.Range(context.Background(), f, &spread.Trip{Option: placed(t, f), Schedule: short(t), Supply: s}, spread.Options{Samples: 64})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// lines are the changes of some cases.
func lines(names ...string) []string {
	var out []string
	for _, c := range cases {
		if slices.Contains(names, c.name) {
			out = append(out, c.line, c.spread)
		}
	}
	return out
}

// At the stated values the cheap runs of the spread agree with the full ones: the
// hottest cell with the run of every group by itself, heat and electricity
// together, and the charge with that of the command in steps of ten seconds.
func TestPackOfASpreadAgreesWithTheFullRuns(t *testing.T) {
	t.Parallel()
	f := truck(t, "", lines("state of health", "rolling coefficient")...)
	r := packOf(t, f, "230 V 16 A").Pack
	p := placed(t, f)
	full, err := f.DriveGroups(p, &design.GroupTrip{Schedule: short(t)})
	if err != nil {
		t.Fatal(err)
	}
	const own = "the same equations in smaller steps, with the temperatures fed back"
	start := float64(f.Brief.Road.Ambient)
	rise := float64(full.TemperatureMax) - start
	if !(rise > 1) {
		t.Fatalf("the pack warms by %g K: the run says nothing", rise)
	}
	checktest.Near(t, "rise of the hottest cell in K", r.Stated[0].SI-start, rise, 0, 0.12, own+"; warm cells resist less, pump and fan draw more")
	fill, err := design.ChargeAsked{}.Read()
	if err != nil {
		t.Fatal(err)
	}
	fill.Wiring, fill.Figures = &p.Wiring, &p.Figures
	want, err := f.Charge(fill)
	if err != nil {
		t.Fatal(err)
	}
	checktest.Near(t, "time of a charge in s", r.Stated[1].SI, float64(want.Duration), 40, 0, own+"; a step of half a minute")
	for i, g := range r.Spread.Figures {
		if !(g.P10.Value.SI < g.P50.Value.SI && g.P50.Value.SI < g.P90.Value.SI) || len(g.Steps) != 3 || g.P50.Value.Noun != r.Stated[i].Noun {
			t.Errorf("%s: P10 %v, P50 %v, P90 %v in %d steps", g.Name, g.P10.Value, g.P50.Value, g.P90.Value, len(g.Steps))
		}
	}
	if top := r.Spread.Figures[1].Shares[0]; top.Input != "sources[0].state_of_health" {
		t.Errorf("most of the spread of the charge time comes from %s: the energy to fill follows the capacity", top.Input)
	}
}

// A draw in which cold cells take no charge is counted as the longest charge, and
// a finding says how often that is.
func TestDrawsThatTakeNoChargeAreTold(t *testing.T) {
	checktest.Long(t)
	t.Parallel()
	r := packOf(t, truck(t, "", "ambient: 15 °C", "ambient: 0 °C ± 5 K"), "230 V 16 A")
	if !(r.Pack.Blocked > 0.2 && r.Pack.Blocked < 0.8) {
		t.Errorf("%v of the draws take no charge, about half are below freezing", r.Pack.Blocked)
	}
	if len(r.Pack.Spread.Figures[1].Shares) != 0 || len(r.Pack.LeftOut) != 1 {
		t.Errorf("shares of a time that is counted as 72 h: %+v, left out %q", r.Pack.Spread.Figures[1].Shares, r.Pack.LeftOut)
	}
	if p90 := r.Pack.Spread.Figures[1].P90.Value.SI; p90 != float64(design.PackChargeMost) {
		t.Errorf("P90 of the charge time %g s", p90)
	}
	if !slices.ContainsFunc(r.Findings, func(g check.Finding) bool { return g.Rule == "spread.charge" }) {
		t.Errorf("no finding in %+v", r.Findings)
	}
}

// What cannot be computed is left out with its reason.
func TestPackFiguresThatAreLeftOutSayWhy(t *testing.T) {
	t.Parallel()
	r := packOf(t, truck(t, ""), "dc 50 kW 500 V 125 A") // no inlet
	if len(r.Pack.LeftOut) != 1 || !strings.HasPrefix(r.Pack.LeftOut[0], "time of a charge") || len(r.Pack.Spread.Figures) != 1 {
		t.Errorf("left out %q, %d figures", r.Pack.LeftOut, len(r.Pack.Spread.Figures))
	}
}

// A spread ends soon after it is not wanted any more, and tells how far it is.
func TestSpreadEndsWhenItIsNotWanted(t *testing.T) {
	t.Parallel()
	f := truck(t, "", lines("rolling coefficient")...)
	ctx, stop := context.WithCancel(context.Background())
	told := 0
	_, err := spread.Range(ctx, f, &spread.Trip{Option: placed(t, f), Schedule: short(t)}, spread.Options{Samples: 4096, Workers: 1, Progress: func(done, of int) {
		if told++; told == 3 {
			if done != 3 || of != 4096+8*512 {
				t.Errorf("%d rows of %d are done", done, of)
			}
			stop()
		}
	}})
	if !errors.Is(err, context.Canceled) || told > 4 {
		t.Errorf("after %d rows: %v", told, err)
	}
}

// The outcome depends on nothing but the inputs: not on what a worker did before.
func TestPackFiguresAreTheSameWithAnyNumberOfWorkers(t *testing.T) {
	t.Parallel()
	f := truck(t, "", lines("state of health")...)
	trip := spread.Trip{Option: placed(t, f), Schedule: short(t)}
	var one *spread.RangeReport
	for _, workers := range []int{1, 3} {
		got, err := spread.Range(context.Background(), f, &trip, spread.Options{Samples: 64, Seed: 5, Workers: workers})
		if err != nil {
			t.Fatal(err)
		}
		if one == nil {
			one = got
		}
		if !reflect.DeepEqual(got, one) {
			t.Errorf("%d workers give another report", workers)
		}
	}
}
