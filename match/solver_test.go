package match_test

import (
	"bufio"
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"packyard/check/checktest"
	"packyard/match"
)

// program writes the task as a mixed-integer program: maximise t with
// Σ c_i·x_ig ≥ t for every group g, P items in each, every item at most once.
func program(task *match.Task) []byte {
	var b bytes.Buffer
	b.WriteString("Maximize\n t\nSubject To\n")
	for g := range task.Groups {
		for i, it := range task.Items {
			fmt.Fprintf(&b, " + %.9g x%dg%d\n", it.Capacity.AmpereHours(), i, g)
		}
		b.WriteString(" - t >= 0\n")
		for i := range task.Items {
			fmt.Fprintf(&b, " + x%dg%d\n", i, g)
		}
		fmt.Fprintf(&b, " = %d\n", task.Parallel)
	}
	for i := range task.Items {
		for g := range task.Groups {
			fmt.Fprintf(&b, " + x%dg%d", i, g)
		}
		b.WriteString(" <= 1\n")
	}
	b.WriteString("Binary\n")
	for i := range task.Items {
		for g := range task.Groups {
			fmt.Fprintf(&b, " x%dg%d", i, g)
		}
		b.WriteString("\n")
	}
	b.WriteString("End\n")
	return b.Bytes()
}

// TestPlansAreNeverWorseThanAMixedIntegerSolver gives CBC some seconds for each
// task and compares the weakest group, in Ah, with the best it found.
func TestPlansAreNeverWorseThanAMixedIntegerSolver(t *testing.T) {
	checktest.Long(t)
	t.Parallel()
	cbc := checktest.Tool(t, "cbc")
	const seconds = 2
	for _, c := range []struct{ items, groups, parallel int }{{60, 18, 3}, {120, 28, 4}, {300, 48, 6}} {
		task := &match.Task{Items: drawn(c.items, 30, 2, 11), Groups: c.groups, Parallel: c.parallel}
		dir := t.TempDir()
		model, answer := filepath.Join(dir, "m.lp"), filepath.Join(dir, "answer")
		if err := os.WriteFile(model, program(task), 0o600); err != nil {
			t.Fatal(err)
		}
		out, err := exec.Command(cbc, model, "-sec", strconv.Itoa(seconds), "-solve", "-solu", answer).CombinedOutput()
		if err != nil {
			t.Fatalf("cbc: %v\n%s", err, out)
		}
		text, err := os.ReadFile(answer)
		if err != nil {
			t.Fatalf("cbc: %v\n%s", err, out)
		}
		theirs := value(t, text)
		p := plan(t, task, match.Options{})
		t.Logf("%d items, %d groups of %d: weakest %.6f Ah, bound %.6f; CBC in %d s: %.6f", c.items, c.groups, c.parallel,
			p.Weakest.AmpereHours(), p.Bound.AmpereHours(), seconds, theirs)
		if p.Weakest.AmpereHours() < theirs*(1-1e-7) {
			t.Errorf("%d items: weakest %.7f Ah, source CBC: %.7f", c.items, p.Weakest.AmpereHours(), theirs)
		}
		if theirs > p.Bound.AmpereHours()*(1+1e-6) {
			t.Errorf("%d items: bound %.7f Ah, and CBC found %.7f", c.items, p.Bound.AmpereHours(), theirs)
		}
	}
}

// value reads t from the answer of CBC; zero when it found no plan in time.
func value(t *testing.T, answer []byte) float64 {
	t.Helper()
	lines := bufio.NewScanner(bytes.NewReader(answer))
	lines.Buffer(nil, 1<<20)
	for lines.Scan() {
		f := strings.Fields(lines.Text())
		for n := range f {
			if f[n] == "t" && n+1 < len(f) {
				v, err := strconv.ParseFloat(f[n+1], 64)
				if err != nil {
					t.Fatal(err)
				}
				return v
			}
		}
	}
	return 0
}
