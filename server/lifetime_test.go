package server

import (
	"encoding/csv"
	"errors"
	"math"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"

	"packyard/charge"
	"packyard/design"
	"packyard/drive"
	"packyard/project"
	"packyard/search"
	"packyard/spread"
	"packyard/unit"
)

// placedOf returns the leading option of the shared project, worked out without
// the server, as the command line does it.
func placedOf(t *testing.T, b *bench) (*design.Frame, *design.Placed) {
	t.Helper()
	p, err := project.Open(b.dir)
	if err != nil {
		t.Fatal(err)
	}
	f, err := design.NewFrame(&p.Brief)
	if err != nil {
		t.Fatal(err)
	}
	o, err := search.Find(f, b.searched().Report.Ranked[0].ID)
	if err != nil {
		t.Fatal(err)
	}
	return f, search.Place(f, o)
}

func query(pairs ...string) string {
	q := url.Values{}
	for i := 0; i < len(pairs); i += 2 {
		q.Set(pairs[i], pairs[i+1])
	}
	return "?" + q.Encode()
}

// TestHeatIsThatOfTheCommandLine: the page and the command run the same duty.
func TestHeatIsThatOfTheCommandLine(t *testing.T) {
	t.Parallel()
	b := reading(t)
	f, p := placedOf(t, b)
	duty, err := drive.ParseDuty("grade 6 % at 50 km/h")
	if err != nil {
		t.Fatal(err)
	}
	duty.For = 20 * unit.Minute
	want, err := f.Heat(p, design.Warming{Duty: duty, Air: unit.Celsius(35)})
	if err != nil {
		t.Fatal(err)
	}
	got := get[HeatReply](b, "/api/heat"+query("duty", "grade 6 % at 50 km/h", "for", "20 min", "ambient", "35 °C"))
	run := got.Run
	if run.Hottest.Temperature != want.Hottest.Temperature || run.Hottest.Group != want.Hottest.Group+1 || run.Spread != want.Spread ||
		run.Asked != want.Asked || run.Given != want.Given || run.CellHeat != want.CellHeat || run.Ended != string(want.End) || run.Air != unit.Celsius(35) {
		t.Errorf("got %+v, want %+v", run, want.DutyResult)
	}
	same(t, "hottest over time", got.Columns[1].Values, want.Trace.Hottest)
	same(t, "findings", run.Findings, append(want.Findings[:0:0], want.Findings...))
	n := p.Wiring.Topology.Series * p.Wiring.Topology.Strings
	if got.Views.Count != n || len(got.Views.Temperature) != n*len(got.Views.Time) {
		t.Fatalf("%d groups, %d temperatures at %d times, want %d groups", got.Views.Count, len(got.Views.Temperature), len(got.Views.Time), n)
	}
	// The views are rounded to 0.01 K.
	last := got.Views.Temperature[len(got.Views.Temperature)-n:]
	if hot := want.Trace.Hottest[len(want.Trace.Hottest)-1]; math.Abs(slices.Max(last)-hot) > 0.006 {
		t.Errorf("hottest group of the last view %g K, of the trace %g K", slices.Max(last), hot)
	}
	if mapped(got.Map) != n {
		t.Errorf("%d groups have a place, want %d", mapped(got.Map), n)
	}
}

func mapped(m GroupMap) int {
	n := 0
	for _, x := range m.Bays {
		for _, y := range x.Modules {
			n += len(y.Groups)
		}
	}
	return n
}

// TestCoolantFlowsThroughEveryStage: the branches of each stage carry the whole
// flow, and behind the last stage is the outlet of the trace.
func TestCoolantFlowsThroughEveryStage(t *testing.T) {
	t.Parallel()
	b, stop := start(t, projectDir(t, "orchard-truck"))
	defer func() {
		if err := stop(); err != nil {
			t.Error(err)
		}
	}()
	b.searched()
	got := get[HeatReply](b, "/api/heat"+query("duty", "grade 8 % at 50 km/h", "for", "10 min"))
	c := got.Coolant
	if c == nil || len(c.Stages) == 0 || len(c.Time) == 0 {
		t.Fatalf("no coolant: %+v", c)
	}
	flowed := false
	for k := range c.Time {
		for i, stage := range c.Stages {
			sum := 0.0
			for _, x := range stage.Branches {
				sum += x.Flow[k]
			}
			if math.Abs(sum-c.Total[k]) > 1e-9*c.Total[k] {
				t.Fatalf("at %g s %g m³/s pass stage %d, of %g", c.Time[k], sum, i+1, c.Total[k])
			}
		}
		flowed = flowed || c.Total[k] > 0
	}
	i := slices.IndexFunc(got.Columns, func(x Column) bool { return x.Key == "coolant_out_k" })
	last := c.Stages[len(c.Stages)-1].Behind
	if got, want := last[len(last)-1], got.Columns[i].Values[len(got.Columns[i].Values)-1]; math.Abs(got-want) > 0.5 {
		t.Errorf("behind the last stage %g K, outlet %g K", got, want) // the outlet is read before the last step
	}
	if !flowed {
		t.Error("nothing flowed on a hot climb")
	}
}

// TestChargeIsThatOfTheCommandLine: the page and the command fill alike.
func TestChargeIsThatOfTheCommandLine(t *testing.T) {
	t.Parallel()
	b := reading(t)
	f, p := placedOf(t, b)
	supply, err := charge.ParseSupply("230 V 16 A")
	if err != nil {
		t.Fatal(err)
	}
	fill := &design.Fill{Wiring: &p.Wiring, Figures: &p.Figures, Supply: supply, To: 1, Marks: []unit.Ratio{0.1, 0.2, 0.8}}
	if fill.Thermal, err = f.Thermal(p, design.ThermalOptions{}); err != nil {
		t.Fatal(err)
	}
	want, err := f.Charge(fill)
	if err != nil {
		t.Fatal(err)
	}
	got := get[ChargeReply](b, "/api/charge"+query("supply", "230 V 16 A", "price", "0.3"))
	run := got.Run
	if run.Duration != want.Duration || run.Wall != want.EnergyWall || run.Pack != want.EnergyPack || run.Ended != string(want.End) ||
		run.Hottest != want.TemperatureMax || run.Group != want.Group+1 || run.CurrentMax != want.CurrentMax {
		t.Errorf("got %+v, want %+v", run, want.Result)
	}
	d, e, ok := want.Between(0.1, 0.8)
	if len(run.Spans) != 3 || !ok || run.Spans[1].Duration != d || run.Spans[1].Wall != e {
		t.Errorf("spans %+v, want %v s and %v J from 10 to 80 %%", run.Spans, d, e)
	}
	if c := run.Spans[0].Cost; math.Abs(c.SI-0.3*want.EnergyWall.KilowattHours()) > 1e-9 || c.Symbol != "EUR" {
		t.Errorf("cost %+v", c)
	}
	same(t, "findings", run.Findings, want.Findings)
	low := get[ChargeReply](b, "/api/charge"+query("from", "20 %", "to", "50 %", "still", "1"))
	if low.Run.Heat || low.Run.Spans[1].Passed || math.Abs(float64(low.Run.ChargeEnd)-0.5) > 1e-3 {
		t.Errorf("20 to 50 %%: %+v", low.Run)
	}
}

// TestGroupsAreThoseOfTheCommandLine: the page and the command drive alike.
func TestGroupsAreThoseOfTheCommandLine(t *testing.T) {
	t.Parallel()
	b := reading(t)
	f, p := placedOf(t, b)
	trip := &design.GroupTrip{Schedule: f.Brief.Targets.Schedule, Once: true}
	want, err := f.DriveGroups(p, trip)
	if err != nil {
		t.Fatal(err)
	}
	got := get[GroupsReply](b, "/api/groups"+query("once", "1", "points", "500"))
	run := got.Report
	if run.Run.Distance != want.Distance || run.VoltageMin != want.VoltageGroupMin || run.GroupMin != want.GroupMin+1 || run.HottestTemp != want.TemperatureMax ||
		run.Left != want.Left || run.Heat != want.Heat || run.Empties != want.Empties+1 || run.Run.Terminals != want.Energy.Terminals {
		t.Errorf("got %+v, want %+v", run, want.GroupResult)
	}
	if got.Buckets != 500 || got.Rows <= 500 || len(got.Columns[2].Min) != 500 {
		t.Errorf("%d rows in %d buckets", got.Rows, got.Buckets)
	}
	i := slices.IndexFunc(got.Columns, func(c Column) bool { return c.Key == "weakest_group_v" })
	if low := slices.Min(got.Columns[i].Min); math.Abs(low-float64(want.VoltageGroupMin)) > 1e-9 {
		t.Errorf("lowest of the weakest group %g V, want %g V", low, float64(want.VoltageGroupMin))
	}
	if n := got.Views.Count; n != run.Groups || len(got.Views.Voltage) != n*len(got.Views.Time) || mapped(got.Map) != n {
		t.Errorf("%d groups, %d voltages at %d times, %d places", n, len(got.Views.Voltage), len(got.Views.Time), mapped(got.Map))
	}
	if run.GroupMinName == "" || strings.HasPrefix(run.GroupMinName, "group ") {
		t.Errorf("weakest group is called %q", run.GroupMinName)
	}
}

// TestPaceIsThatOfTheCommandLine: full and nearly empty, warm and cold.
func TestPaceIsThatOfTheCommandLine(t *testing.T) {
	t.Parallel()
	b := reading(t)
	f, p := placedOf(t, b)
	got := get[PaceReply](b, "/api/pace")
	if len(got.Cases) != 4 || got.Mass != p.Figures.Test {
		t.Fatalf("got %+v", got)
	}
	pacer, err := f.Pacer(p, design.PaceAt{Charge: 0.2, Temperature: got.Cases[3].Temperature})
	if err != nil {
		t.Fatal(err)
	}
	want, err := pacer.Pace()
	if err != nil {
		t.Fatal(err)
	}
	c := got.Cases[3]
	if c.TopSpeed != want.TopSpeed || c.HillStart != want.HillStart.Grade || c.Sprints[0].Time != want.Sprints[0].Time || c.GradeSpeed != want.GradeSpeed {
		t.Errorf("got %+v, want %+v", c, want)
	}
}

// TestSpreadIsThatOfTheCommandLine: the same seed gives the same figures.
func TestSpreadIsThatOfTheCommandLine(t *testing.T) {
	t.Parallel()
	b := reading(t)
	f, p := placedOf(t, b)
	want, err := spread.Range(t.Context(), f, &spread.Trip{Option: p, Schedule: f.Brief.Targets.Schedule}, spread.Options{Samples: 64, Seed: 7})
	if err != nil {
		t.Fatal(err)
	}
	got := get[SpreadReply](b, "/api/spread"+query("samples", "64", "seed", "7"))
	same(t, "spread", got.Report, want)
}

// TestWordsThatDoNotReadAreRefused: each with what is accepted.
func TestWordsThatDoNotReadAreRefused(t *testing.T) {
	t.Parallel()
	b := reading(t)
	for _, x := range []struct{ path, says string }{
		{"/api/heat" + query("duty", "uphill"), "are accepted"},
		{"/api/heat" + query("duty", "grade 8 kg at 50 km/h"), "are accepted"},
		{"/api/heat" + query("ambient", "200 °C"), "80"},
		{"/api/heat" + query("from", "0 %"), "above 0"},
		{"/api/heat" + query("for", "9 d"), "for"},
		{"/api/charge" + query("supply", "230"), "supply"},
		{"/api/charge" + query("supply", "3 x 400 V 16 A"), "neutral"},
		{"/api/charge" + query("from", "80 %", "to", "20 %"), "goes up"},
		{"/api/charge" + query("price", "cheap"), "price"},
		{"/api/charge" + query("price", "-1"), "price"},
		{"/api/spread" + query("samples", "100"), "power of two"},
		{"/api/spread" + query("samples", "9999999"), "accepted"},
		{"/api/groups" + query("draw", "x"), "accepted"},
		{"/api/groups" + query("draw", "3"), "state_of_health"},
		{"/api/groups" + query("life", "old"), "new and end"},
		{"/api/pace" + query("life", "old"), "new and end"},
	} {
		e := read[ErrorReply](b, http.StatusBadRequest, "GET", x.path, nil).Error
		if e.Kind != "request" || !strings.Contains(e.Message, x.says) {
			t.Errorf("%s: %q, want words with %q", x.path, e.Message, x.says)
		}
	}
}

// TestTablesOfTimeHoldTheTraces: each column has its unit in its name.
func TestTablesOfTimeHoldTheTraces(t *testing.T) {
	t.Parallel()
	b := reading(t)
	for name, wants := range map[string][]string{
		"heat" + query("duty", "full power", "for", "2 min"):        {"time_s", "hottest_k", "cells_charge"},
		"heat-groups" + query("duty", "full power", "for", "2 min"): {"time_s", "group_1_k"},
		"charge" + query("from", "70 %", "to", "80 %"):              {"time_s", "supply_power_w", "strongest_group_v"},
		"groups" + query("once", "1"):                               {"time_s", "weakest_group_v", "weakest_group"},
		"limits" + query("once", "1"):                               {"limiter", "group", "from_s"},
		"pace":                                                      {"cells_charge", "figure", "value", "value_unit"},
	} {
		status, data := b.do("GET", "/api/csv/"+name, nil)
		rows, err := csv.NewReader(strings.NewReader(string(data))).ReadAll()
		if status != http.StatusOK || err != nil {
			t.Errorf("%s: %d, %v: %.200s", name, status, err, data)
			continue
		}
		for _, w := range wants {
			if !slices.Contains(rows[0], w) {
				t.Errorf("%s: columns %v, want %s", name, rows[0], w)
			}
		}
		if len(rows) < 2 && !strings.HasPrefix(name, "limits") {
			t.Errorf("%s: no rows", name)
		}
	}
}

// TestThinnedKeepsBothEnds: no more rows than wanted, the first and last kept.
func TestThinnedKeepsBothEnds(t *testing.T) {
	t.Parallel()
	for _, rows := range []int{1, 2, 239, 240, 241, 100000} {
		got := thinned(rows, 240)
		if len(got) != min(rows, 240) || got[0] != 0 || got[len(got)-1] != rows-1 || !slices.IsSorted(got) {
			t.Errorf("of %d rows: %d, from %d to %d", rows, len(got), got[0], got[len(got)-1])
		}
	}
	if err := textOf(errNotFound); !errors.Is(err, errNotFound) {
		t.Error("another error is changed")
	}
}

// TestBookIsMadeFromTheOptionShown: what the page lists is what the files hold.
func TestBookIsMadeFromTheOptionShown(t *testing.T) {
	t.Parallel()
	b := reading(t)
	got := get[BookReply](b, "/api/book")
	if got.Option == "" || got.Cleared || len(got.Open) == 0 || len(got.Chapters) < 12 || len(got.Bill) < 5 || len(got.Project) != 16 {
		t.Errorf("option %q, cleared %v, %d open, %d chapters, %d lines of the bill, project %q", got.Option, got.Cleared, len(got.Open), len(got.Chapters), len(got.Bill), got.Project)
	}
	for name, begins := range map[string]string{"build-book.pdf": "%PDF-1.", "build-book.html": "<!doctype html>", "bill-of-materials.xlsx": "PK", "vehicle.glb": "glTF"} {
		if status, data := b.do(http.MethodGet, "/api/book/"+name+"?paper=Letter", nil); status != http.StatusOK || !strings.HasPrefix(string(data), begins) {
			t.Errorf("%s: status %d, begins with %q", name, status, data[:min(20, len(data))])
		}
	}
	for path, status := range map[string]int{"/api/book/packyard.yaml": http.StatusNotFound, "/api/book/build-book.pdf?paper=A3": http.StatusBadRequest, "/api/book/..%2Fpackyard.yaml": http.StatusNotFound} {
		if got, _ := b.do(http.MethodGet, path, nil); got != status {
			t.Errorf("%s: status %d, want %d", path, got, status)
		}
	}
}
