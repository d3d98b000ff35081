package checktest

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// record is a testing.TB that keeps what was said instead of failing.
type record struct {
	testing.TB
	said string
	kind string
}

func (r *record) Helper()                   {}
func (r *record) Errorf(f string, a ...any) { r.kind, r.said = "error", fmt.Sprintf(f, a...) }
func (r *record) Fatalf(f string, a ...any) { r.Fatal(fmt.Sprintf(f, a...)) }
func (r *record) Fatal(a ...any)            { r.kind, r.said = "fatal", fmt.Sprint(a...); panic(r) }
func (r *record) Skip(a ...any)             { r.kind, r.said = "skip", fmt.Sprint(a...); panic(r) }

func TestNearJudgesByAbsolutePlusRelativeTolerance(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		got, want, abs, rel float64
		near                bool
	}{
		{10, 10, 0, 0, true},
		{10.2, 10, 0.1, 0.01, true},
		{10.21, 10, 0.1, 0.01, false},
		{-10.2, -10, 0.1, 0.01, true},
		{9.79, 10, 0.1, 0.01, false},
		{math.NaN(), 10, 1e9, 1, false},
		{10, math.NaN(), 1e9, 1, false},
		{math.Inf(1), 10, 1, 1, false},
	} {
		r := &record{TB: t}
		if near := Near(r, "x", c.got, c.want, c.abs, c.rel, "made up"); near != c.near || (r.said == "") != c.near {
			t.Errorf("Near(%v, %v, %v, %v) = %v and said %q", c.got, c.want, c.abs, c.rel, near, r.said)
		}
	}
}

func TestNearPrintsTheSource(t *testing.T) {
	t.Parallel()
	r := &record{TB: t}
	Near(r, "mass in kg", 1, 2, 0, 0, "a handbook, table 3")
	for _, want := range []string{"mass in kg", "got 1", "want 2", "a handbook, table 3"} {
		if !strings.Contains(r.said, want) {
			t.Errorf("failure text %q lacks %q", r.said, want)
		}
	}
}

// said runs f and returns how it ended.
func said(t *testing.T, f func(testing.TB)) *record {
	r := &record{TB: t}
	func() {
		defer func() { _ = recover() }()
		f(r)
	}()
	return r
}

func TestMissingThingsSkipHereAndFailInCI(t *testing.T) {
	tool := func(t testing.TB) { Tool(t, "no-such-reference-program") }
	data := func(t testing.TB) { Reference(t, "no-such-file.csv") }
	for name, f := range map[string]func(testing.TB){"no-such-reference-program": tool, "no-such-file.csv": data} {
		t.Setenv("CI", "")
		if r := said(t, f); r.kind != "skip" || !strings.Contains(r.said, name) {
			t.Errorf("without CI: %s %q, want a skip that names %s", r.kind, r.said, name)
		}
		t.Setenv("CI", "true")
		if r := said(t, f); r.kind != "fatal" || !strings.Contains(r.said, name) {
			t.Errorf("with CI=true: %s %q, want a failure that names %s", r.kind, r.said, name)
		}
	}
}

func TestRootHoldsTheModule(t *testing.T) {
	t.Parallel()
	b, err := os.ReadFile(filepath.Join(Root(t), "go.mod"))
	if err != nil || !strings.HasPrefix(string(b), "module packyard\n") {
		t.Errorf("go.mod in %s: %v, %.40q", Root(t), err, b)
	}
}

func TestGoldenNamesTheFirstLineThatDiffers(t *testing.T) {
	t.Setenv(goldenVariable, "")
	file := filepath.Join(t.TempDir(), "deep", "page.txt")
	if r := said(t, func(t testing.TB) { Golden(t, file, "a\n") }); r.kind == "" || !strings.Contains(r.said, "make golden") {
		t.Errorf("without a file: %s %q, want a failure that names make golden", r.kind, r.said)
	}
	t.Setenv(goldenVariable, "update")
	if r := said(t, func(t testing.TB) { Golden(t, file, "a\nb\nc\n") }); r.kind != "" {
		t.Errorf("on writing: %s %q", r.kind, r.said)
	}
	t.Setenv(goldenVariable, "")
	if r := said(t, func(t testing.TB) { Golden(t, file, "a\nb\nc\n") }); r.kind != "" {
		t.Errorf("on the same text: %s %q", r.kind, r.said)
	}
	r := said(t, func(t testing.TB) { Golden(t, file, "a\nB\nc\n") })
	for _, want := range []string{"line 2", "got B", "want b", "make golden"} {
		if !strings.Contains(r.said, want) {
			t.Errorf("failure text %q lacks %q", r.said, want)
		}
	}
	if r := said(t, func(t testing.TB) { Golden(t, file, "a\nb\n") }); r.kind != "error" {
		t.Errorf("a shorter text passed")
	}
}
