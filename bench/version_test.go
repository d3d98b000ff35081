package bench

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"packyard/check"
	"packyard/unit"
)

// A bench of every version that there was opens, is brought to the newest one, and
// holds what it held. The files are written once, when a version is new
// (PACKYARD_GOLDEN=update), and never again.
func TestEveryVersionOpens(t *testing.T) {
	t.Parallel()
	for v := 1; v <= len(migrations()); v++ {
		t.Run(fmt.Sprint(v), func(t *testing.T) {
			t.Parallel()
			kept := filepath.Join("testdata", fmt.Sprintf("version-%d.db", v))
			if _, err := os.Stat(kept); os.IsNotExist(err) && os.Getenv("PACKYARD_GOLDEN") == "update" {
				writeVersion(t, kept, v)
			}
			b, err := os.ReadFile(kept)
			if err != nil {
				t.Fatalf("%v: every version has its file", err)
			}
			path := filepath.Join(t.TempDir(), FileName)
			if err := os.WriteFile(path, b, 0o600); err != nil {
				t.Fatal(err)
			}
			ctx := t.Context()
			s, err := Open(ctx, path, OpenOptions{Existing: true, Now: fixedClock})
			if err != nil {
				t.Fatal(err)
			}
			defer func() { _ = s.Close() }()
			var now int
			if err := s.db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&now); err != nil || now != len(migrations()) {
				t.Errorf("version %d after opening, %v", now, err)
			}
			tests, err := s.Tests(ctx, "S-01")
			if err != nil || len(tests) != 1 || s.Verify(ctx, tests[0].ID) != nil {
				t.Fatalf("tests %v, %v", tests, err)
			}
			if l, err := s.Log(ctx, tests[0].ID, 0); err != nil || l.Len() != 300 {
				t.Errorf("log: %v", err)
			}
			results, err := s.Results(ctx, "S-01")
			if err != nil || len(results) != 1 || results[0].Value != check.Of(28*unit.AmpereHour) {
				t.Errorf("results %v, %v", results, err)
			}
			records, err := s.Records(ctx, "S-01")
			if err != nil || len(records) != 1 || records[0].Verdict != Good {
				t.Errorf("records %v, %v", records, err)
			}
			joints, err := s.Joints(ctx)
			if want := max(v-1, 0); err != nil || len(joints) != min(want, 1) {
				t.Errorf("joints %v, %v", joints, err)
			}
		})
	}
}

// writeVersion makes a bench as version v made it.
func writeVersion(t *testing.T, path string, v int) {
	t.Helper()
	ctx := t.Context()
	dir := t.TempDir()
	s := openBare(t, filepath.Join(dir, FileName))
	if err := migrate(ctx, s.db, migrations()[:v]); err != nil {
		t.Fatal(err)
	}
	got, err := s.Import(ctx, "invented.csv", strings.NewReader(discharge(2, 300)), ImportOptions{Item: Item{Label: "S-01", Lot: "invented"}})
	if err != nil {
		t.Fatal(err)
	}
	r, err := Judge(StepVisual, "good")
	if err != nil {
		t.Fatal(err)
	}
	r.Item = "S-01"
	if err := s.PutRecord(ctx, r); err != nil {
		t.Fatal(err)
	}
	if err := s.PutResults(ctx, []Result{{Item: "S-01", Test: got.Test.ID, Quantity: Capacity, Value: check.Of(28 * unit.AmpereHour), Method: "by hand", Version: 1}}); err != nil {
		t.Fatal(err)
	}
	if v >= 2 {
		if err := s.PutJoint(ctx, Joint{Module: "N1", Place: "1+", Resistance: 2e-5, Torque: 9}); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := s.db.ExecContext(ctx, "VACUUM INTO ?", filepath.Join(dir, "small.db")); err != nil {
		t.Fatal(err)
	}
	b, err := fs.ReadFile(os.DirFS(dir), "small.db")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, b, 0o644); err != nil {
		t.Fatal(err)
	}
}
