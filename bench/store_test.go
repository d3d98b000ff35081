package bench

import (
	"bytes"
	"compress/gzip"
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"packyard/celltest"
	"packyard/check"
	"packyard/check/checktest"
	"packyard/unit"
)

func TestLogsComeBackAsTheyWere(t *testing.T) {
	t.Parallel()
	s, ctx := empty(t), t.Context()
	text := discharge(3, 60_000) // more than one block
	got, err := s.Import(ctx, "lot__S-01__20260301_001.csv", strings.NewReader(text), ImportOptions{Item: Item{Kind: Slice, Lot: "L1"}})
	if err != nil || got.Known {
		t.Fatalf("%+v, %v", got, err)
	}
	if got.Test.Item != "S-01" || got.Test.Report.Rows != 60_000 || len(got.Test.Report.Faults) > 0 {
		t.Errorf("item %q, %d rows, faults %v", got.Test.Item, got.Test.Report.Rows, got.Test.Report.Faults)
	}
	r, err := s.Text(ctx, got.Test.ID)
	if err != nil {
		t.Fatal(err)
	}
	back, err := io.ReadAll(r)
	if err != nil || string(back) != text {
		t.Errorf("%d bytes came back of %d: %v", len(back), len(text), err)
	}
	if err := s.Verify(ctx, got.Test.ID); err != nil {
		t.Error(err)
	}
	l, err := s.Log(ctx, got.Test.ID, 0)
	if err != nil || l.Len() != 60_000 || l.Current[30_000] != 3 {
		t.Errorf("log: %v, %d rows", err, l.Len())
	}
	stored, err := s.Test(ctx, got.Test.ID)
	if err != nil {
		t.Fatal(err)
	}
	unexported := cmp.FilterPath(func(p cmp.Path) bool {
		f, ok := p.Last().(cmp.StructField)
		return ok && (f.Name() == "factor" || f.Name() == "offset")
	}, cmp.Ignore())
	if d := cmp.Diff(got.Test, stored, unexported); d != "" {
		t.Errorf("the test differs after keeping it:\n%s", d)
	}
	if _, err := s.Text(ctx, 99); !errors.Is(err, ErrNoTest) {
		t.Errorf("text of a test that is not there: %v", err)
	}
}

// A log is known by its text: by name, renamed, compressed, through a pipe, and for
// another item.
func TestTheSameLogTwiceIsRecognised(t *testing.T) {
	t.Parallel()
	s, ctx := empty(t), t.Context()
	text := discharge(2, 500)
	var packed bytes.Buffer
	z := gzip.NewWriter(&packed)
	if _, err := z.Write([]byte(text)); err != nil || z.Close() != nil {
		t.Fatal(err)
	}
	first, err := s.Import(ctx, "a.csv", strings.NewReader(text), ImportOptions{})
	if err != nil {
		t.Fatal(err)
	}
	for name, in := range map[string]io.Reader{
		"a.csv": strings.NewReader(text), "renamed.csv": strings.NewReader(text), "a.csv.gz": bytes.NewReader(packed.Bytes()),
		"piped.csv": io.MultiReader(strings.NewReader(text)), "piped.csv.gz": io.MultiReader(bytes.NewReader(packed.Bytes())),
	} {
		again, err := s.Import(ctx, name, in, ImportOptions{Item: Item{Label: "other"}})
		if err != nil || !again.Known || again.Test.ID != first.Test.ID {
			t.Errorf("%s: %v, known %v as test %d", name, err, again.Known, again.Test.ID)
		}
	}
	items, err := s.Items(ctx)
	if err != nil || len(items) != 1 || items[0].Label != "a" {
		t.Errorf("items %v, %v; the second imports must leave no trace", items, err)
	}
}

// What has to be settled first, an interruption, and a reader that breaks off keep
// nothing at all.
func TestFailedImportsKeepNothing(t *testing.T) {
	t.Parallel()
	s, ctx := empty(t), t.Context()
	text := discharge(2, 30_000)
	var problems *check.Problems
	if _, err := s.Import(ctx, "mv.csv", strings.NewReader(strings.Replace(text, "Voltage / V", "Voltage / mV", 1)), ImportOptions{}); !errors.As(err, &problems) {
		t.Errorf("millivolts: %v", err)
	}
	boom := errors.New("boom")
	if _, err := s.Import(ctx, "b.csv", io.MultiReader(strings.NewReader(text), brokenReader{boom}), ImportOptions{}); !errors.Is(err, boom) {
		t.Errorf("broken reader: %v", err)
	}
	ended, cancel := context.WithCancel(ctx)
	if _, err := s.Import(ended, "c.csv", &endless{size: 64 << 20}, ImportOptions{Progress: func(int64) { cancel() }}); !errors.Is(err, context.Canceled) {
		t.Errorf("interrupted: %v", err)
	}
	for _, table := range []string{"item", "test", "block"} {
		var n int
		if err := s.db.QueryRowContext(ctx, "SELECT count(*) FROM "+table).Scan(&n); err != nil || n != 0 {
			t.Errorf("%d rows in %s, %v", n, table, err)
		}
	}
	if err := s.Check(ctx); err != nil {
		t.Error(err)
	}
}

type brokenReader struct{ err error }

func (b brokenReader) Read([]byte) (int, error) { return 0, b.err }

func TestItemsKeepWhatIsSaidOfThem(t *testing.T) {
	t.Parallel()
	s, ctx := empty(t), t.Context()
	for _, it := range []Item{{Label: "M2", Kind: Module, Source: "salvage"}, {Label: "M2-10", Parent: "M2"}, {Label: "M2-9", Parent: "M2", Note: "scratched"}, {Label: "M2-9", Position: "shelf 3"}} {
		if err := s.PutItem(ctx, it); err != nil {
			t.Fatal(err)
		}
	}
	items, err := s.Items(ctx)
	if err != nil {
		t.Fatal(err)
	}
	var labels []string
	for _, i := range items {
		labels = append(labels, i.Label)
	}
	if !slices.Equal(labels, []string{"M2", "M2-9", "M2-10"}) {
		t.Errorf("order %v", labels)
	}
	if i := items[1]; i.Kind != Slice || i.Parent != "M2" || i.Note != "scratched" || i.Position != "shelf 3" {
		t.Errorf("item %+v", i)
	}
	for _, bad := range []Item{{}, {Label: " x"}, {Label: "a\nb"}, {Label: strings.Repeat("x", 81)}, {Label: "x", Kind: "pack"}, {Label: "x", Parent: "x"}} {
		if err := s.PutItem(ctx, bad); !errors.Is(err, ErrRecord) {
			t.Errorf("item %+v: %v, want ErrRecord", bad, err)
		}
	}
	if err := s.PutItem(ctx, Item{Label: "x", Parent: "nobody"}); !errors.Is(err, ErrNoItem) {
		t.Errorf("a parent that is not there: %v", err)
	}
}

func TestIntakeIsJudgedByItsLimits(t *testing.T) {
	t.Parallel()
	s, ctx := empty(t), t.Context()
	if err := s.PutItem(ctx, Item{Label: "M1", Kind: Module}); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		step, entered string
		want          Verdict
	}{
		{StepVisual, "bad swollen", Bad}, {StepVisual, "good", Good}, {StepDate, "2013-07", Good}, {StepWater, "good", Good},
		{StepInsulation, "55 MΩ", Good}, {StepInsulation, "900 kΩ", Bad}, {StepSpread, "12 mV", Good}, {StepSpread, "80 mV", Bad},
		{StepQuarantine, "0.2 mV", Good}, {StepQuarantine, "-0.9 mV", Bad}, {StepCharge, "40 %", Good}, {StepCharge, "95 %", Bad},
		{StepTransport, "open papers are missing", Undecided},
	} {
		r, err := Judge(c.step, c.entered)
		if err != nil || r.Verdict != c.want {
			t.Errorf("%s %q: %v, %v, want %v", c.step, c.entered, r.Verdict, err, c.want)
			continue
		}
		r.Item = "M1"
		if err := s.PutRecord(ctx, r); err != nil {
			t.Error(err)
		}
	}
	for _, c := range [][2]string{{"smell", "good"}, {StepVisual, "swollen"}, {StepSpread, "80"}, {StepSpread, "3 Ah"}, {StepDate, ""}} {
		if _, err := Judge(c[0], c[1]); !errors.Is(err, ErrRecord) {
			t.Errorf("%s %q: %v, want ErrRecord", c[0], c[1], err)
		}
	}
	all, err := s.Records(ctx, "M1")
	if err != nil || len(all) != 13 {
		t.Fatalf("%d records, %v; nothing may be overwritten", len(all), err)
	}
	latest, lacking := Latest(all, "M1")
	if len(latest) != 8 || len(lacking) != 0 || latest[0].Verdict != Good || latest[3].Verdict != Bad || latest[3].Reading != check.Of(unit.Resistance(900e3)) {
		t.Errorf("latest %+v, lacking %v", latest, lacking)
	}
	if _, lacking = Latest(nil, "M1"); len(lacking) != len(Checklist()) {
		t.Errorf("lacking %v of an item without records", lacking)
	}
	loss, err := Quarantine{First: 3.800, Last: 3.786, Between: 14 * 86400}.Loss()
	checktest.Near(t, "loss in a day in V", float64(loss), 0.001, 1e-12, 0, "14 mV over 14 days by hand")
	if err != nil {
		t.Error(err)
	}
	if _, err := (Quarantine{First: 3.8, Last: 3.79, Between: 86400}).Loss(); !errors.Is(err, ErrQuarantine) {
		t.Errorf("one day: %v", err)
	}
}

func TestResultsStandBesideOlderOnes(t *testing.T) {
	t.Parallel()
	s, ctx := empty(t), t.Context()
	got, err := s.Import(ctx, "a.csv", strings.NewReader(discharge(2, 500)), ImportOptions{})
	if err != nil {
		t.Fatal(err)
	}
	r := Result{Item: "a", Test: got.Test.ID, Quantity: Capacity, Value: check.Of(30 * unit.AmpereHour), Method: "integration", Version: 1, At: Condition{Temperature: 298.15}}
	again := r
	again.Value = check.Of(31 * unit.AmpereHour) // the same version of a method has one result of a test
	newer := r
	newer.Version, newer.Deviation = 2, check.Of(0.1*unit.AmpereHour)
	if err := s.PutResults(ctx, []Result{r, r, again, newer}); err != nil {
		t.Fatal(err)
	}
	list, err := s.Results(ctx, "a")
	if err != nil || len(list) != 2 || list[0].Value != r.Value || list[1].Version != 2 || list[1].Deviation != newer.Deviation || list[0].At != r.At {
		t.Errorf("%+v, %v", list, err)
	}
	for _, bad := range []Result{
		{Item: "a", Quantity: "colour", Method: "x"}, {Item: "a", Quantity: Capacity, Method: "x", Value: check.Of(unit.Voltage(3))}, {Item: "a", Quantity: Capacity, Value: r.Value},
	} {
		if err := s.PutResults(ctx, []Result{bad}); !errors.Is(err, ErrRecord) {
			t.Errorf("%+v: %v, want ErrRecord", bad, err)
		}
	}
	for _, c := range []struct {
		change func(*Result)
		want   error
	}{{func(r *Result) { r.Item = "nobody" }, ErrNoItem}, {func(r *Result) { r.Test = 99 }, ErrNoTest}} {
		bad := r
		c.change(&bad)
		if err := s.PutResults(ctx, []Result{bad}); !errors.Is(err, c.want) {
			t.Errorf("%v, want %v", err, c.want)
		}
	}
}

func TestMappingsAreRememberedByName(t *testing.T) {
	t.Parallel()
	s, ctx := empty(t), t.Context()
	m := celltest.Mapping{Name: "station", Positive: celltest.Charging, Columns: []celltest.MappedColumn{
		{Quantity: celltest.QuantityTime, Header: "Zeit"}, {Quantity: celltest.QuantityVoltage, Header: "Uz", Unit: "mV"}, {Quantity: celltest.QuantityCurrent, Header: "Iz"}}}
	if err := s.PutMapping(ctx, m); err != nil {
		t.Fatal(err)
	}
	back, err := s.Mapping(ctx, "station")
	if d := cmp.Diff(&m, back); d != "" || err != nil {
		t.Errorf("%v %s", err, d)
	}
	if _, err := s.Mapping(ctx, "other"); !errors.Is(err, ErrNoMapping) {
		t.Errorf("%v", err)
	}
	if err := s.PutMapping(ctx, celltest.Mapping{}); !errors.Is(err, ErrRecord) {
		t.Errorf("%v", err)
	}
	own := "Zeit;Uz;Iz\n0;3700;0\n1;3701;0,5\n"
	fit, err := s.MappingFor(ctx, strings.NewReader(own))
	if err != nil || fit == nil || fit.Name != "station" {
		t.Errorf("fitting mapping %+v, %v", fit, err)
	}
	if fit, err = s.MappingFor(ctx, strings.NewReader(discharge(1, 50))); err != nil || fit != nil {
		t.Errorf("a file with labels needs no mapping: %+v, %v", fit, err)
	}
	m.Name = "twin"
	if err := s.PutMapping(ctx, m); err != nil {
		t.Fatal(err)
	}
	if fit, err = s.MappingFor(ctx, strings.NewReader(own)); err != nil || fit != nil {
		t.Errorf("of two that fit neither is taken: %+v, %v", fit, err)
	}
}

// Everything goes out, and the Battery Data Format read again is the same log.
func TestExportHoldsEverything(t *testing.T) {
	t.Parallel()
	s, ctx := empty(t), t.Context()
	text := discharge(2, 400)
	twice := text + strings.SplitAfterN(text, "\n", 2)[1]
	for name, in := range map[string]string{"a.csv": text, "b.csv": twice} {
		if _, err := s.Import(ctx, name, strings.NewReader(in), ImportOptions{}); err != nil {
			t.Fatal(err)
		}
	}
	if err := errors.Join(s.PutJoint(ctx, Joint{Module: "N1", Place: "1+", Resistance: 20e-6, Torque: 9}),
		s.PutCellMap(ctx, CellMap{Source: "salvage", Series: 1, Parallel: 2, Groups: []MapGroup{{Group: 1, Items: []string{"a", "b"}, Capacity: 7200}}})); err != nil {
		t.Fatal(err)
	}
	out := exported{}
	if err := s.Export(ctx, out.create); err != nil {
		t.Fatal(err)
	}
	if len(out) != 6+2+1+2 {
		t.Errorf("%d files, want 6 tables, 2 texts and 1 + 2 runs of the clock", len(out))
	}
	runs := 0
	for name, b := range out {
		switch {
		case strings.HasPrefix(name, "raw/"):
			if b.String() != text && b.String() != twice {
				t.Errorf("%s is not what was imported", name)
			}
		case strings.HasPrefix(name, "logs/"):
			runs++
			if !strings.HasPrefix(b.String(), "Test Time / s,Voltage / V,Current / A,Step ID,Net Capacity / Ah,Temperature T1 / degC\n0,4.1,0,1,0,25\n") {
				t.Errorf("%s begins %.120q", name, b.String())
			}
			l, r, err := celltest.ReadLog(b, celltest.Reading{File: name})
			if err != nil || len(r.Faults) > 0 {
				t.Errorf("%s: %v, %v", name, err, r.Faults)
				continue
			}
			want, _, err := celltest.ReadLog(strings.NewReader(text), celltest.Reading{})
			if err != nil {
				t.Fatal(err)
			}
			want.Name, want.Line = l.Name, l.Line
			want.Step, l.Step = nil, nil
			if d := cmp.Diff(want, l, cmp.Comparer(func(a, b float64) bool { return a-b < 1e-7 && b-a < 1e-7 })); d != "" {
				t.Errorf("%s read again differs:\n%s", name, d)
			}
		case strings.Count(b.String(), "\n") < 1:
			t.Errorf("%s is empty", name)
		}
	}
	if runs != 3 || !strings.Contains(out["cell-maps.csv"].String(), "a;b") || !strings.Contains(out["joints.csv"].String(), "2e-05,9") {
		t.Errorf("%d runs; maps %s joints %s", runs, out["cell-maps.csv"], out["joints.csv"])
	}
}

func TestOpenSaysWhatIsWrong(t *testing.T) {
	t.Parallel()
	dir, ctx := t.TempDir(), t.Context()
	if _, err := Open(ctx, filepath.Join(dir, FileName), OpenOptions{Existing: true}); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("missing file: %v", err)
	}
	if _, err := Open(ctx, filepath.Join(dir, "nowhere", FileName), OpenOptions{}); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("missing folder: %v", err)
	}
	text := filepath.Join(dir, "text.db")
	if err := os.WriteFile(text, []byte(strings.Repeat("no database\n", 500)), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(ctx, text, OpenOptions{}); !errors.Is(err, ErrNotBench) {
		t.Errorf("text: %v", err)
	}
	s, err := Open(ctx, filepath.Join(dir, "a b?c#.db"), OpenOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.db.ExecContext(ctx, "PRAGMA user_version = 99"); err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(ctx, filepath.Join(dir, "a b?c#.db"), OpenOptions{Existing: true}); !errors.Is(err, ErrNewer) {
		t.Errorf("newer version: %v", err)
	}
}
