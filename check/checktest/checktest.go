// Package checktest compares numbers with published ones in tests, and finds
// the reference data and reference programs that tests need. It is imported by
// tests only.
//
// A test that needs reference data or a reference program skips by name where
// it is missing; with CI=true in the environment it fails instead.
package checktest

import (
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// Near fails the test, and goes on, unless |got − want| <= abs + rel·|want|.
// All numbers are in one unit, said in name. The source is printed on failure:
// where want was published, or "common practice" or "from memory". NaN is near
// nothing; an empty source panics.
func Near(t testing.TB, name string, got, want, abs, rel float64, source string) bool {
	t.Helper()
	if source == "" {
		panic("checktest: " + name + " has no source")
	}
	tolerance := abs + rel*math.Abs(want)
	if difference := math.Abs(got - want); difference <= tolerance || got == want {
		return true
	}
	t.Errorf("%s: got %.10g, want %.10g, off by %.4g (%+.3g %%), allowed %.4g; source: %s",
		name, got, want, got-want, 100*(got-want)/math.Abs(want), tolerance, source)
	return false
}

// Root returns the folder of go.mod above the working directory of the test.
func Root(t testing.TB) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatalf("working directory: %v", err)
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			return dir
		}
		up := filepath.Dir(dir)
		if up == dir {
			t.Fatal("no go.mod in any folder above the test")
		}
		dir = up
	}
}

// Reference returns the path of a file or folder of the reference data, which
// lies in ../shared/reference beside the repository. Without it the test skips,
// or fails if CI=true.
func Reference(t testing.TB, elem ...string) string {
	t.Helper()
	path := filepath.Join(append([]string{Root(t), "..", "shared", "reference"}, elem...)...)
	if _, err := os.Stat(path); err != nil {
		missing(t, "reference data "+filepath.Join(elem...)+" is not beside the repository")
	}
	return path
}

// Tool returns the path of a reference program. Without it the test skips, or
// fails if CI=true.
func Tool(t testing.TB, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		missing(t, "reference program "+name+" is not installed")
	}
	return path
}

func missing(t testing.TB, what string) {
	t.Helper()
	if os.Getenv("CI") == "true" {
		t.Fatal(what + " and CI=true")
	}
	t.Skip(what)
}
