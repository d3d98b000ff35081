package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"packyard/check/checktest"
)

// TestMain lets a script run the program: the test binary takes its part.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"packyard": func() { os.Exit(interruptible(os.Args[1:])) },
	})
}

// TestCommandLine runs the scripts of testdata/script, which are the
// specification of the command line. Beside the usual commands there are
//
//	code N packyard …     the program ends with exit code N
//	edit FILE OLD NEW     one passage of a file is replaced; it must be there once
//	fill FILE SIZE        a sparse file of that many bytes
//	repeat FILE N TEXT    the text N times
//	units FILE            the file is JSON, and numbers have a key that names their unit
//	narrow FILE N         no line is wider than N characters
//	same FILE FILE        two files are equal byte by byte
//
// The folders small (a project with 97 cells) and ten (a project with ten
// mistakes) lie in the working folder; $EXAMPLES holds the examples.
func TestCommandLine(t *testing.T) {
	checktest.Long(t)
	t.Parallel()
	root := checktest.Root(t)
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script",
		Setup: func(e *testscript.Env) error {
			e.Setenv("EXAMPLES", filepath.Join(root, "examples"))
			for name, from := range map[string]string{"small": "minimal", "ten": "ten-mistakes"} {
				if err := os.CopyFS(filepath.Join(e.WorkDir, name), os.DirFS(filepath.Join(root, "project", "testdata", from))); err != nil {
					return err
				}
			}
			// Fewer cells, so that a search is quick.
			return replace(filepath.Join(e.WorkDir, "small", "packyard.yaml"), "count: 130", "count: 97")
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"code": cmdCode, "edit": cmdEdit, "fill": cmdFill, "repeat": cmdRepeat, "units": cmdUnits, "narrow": cmdNarrow, "same": cmdSame,
		},
		RequireUniqueNames: true,
	})
}

func wants(ts *testscript.TestScript, neg bool, args []string, n int, usage string) {
	if neg || len(args) < n {
		ts.Fatalf("usage: %s", usage)
	}
}

func cmdCode(ts *testscript.TestScript, neg bool, args []string) {
	wants(ts, neg, args, 2, "code N program args…")
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		var exit *exec.ExitError
		if !errors.As(err, &exit) {
			ts.Fatalf("%v", err)
		}
		got = exit.ExitCode()
	}
	if got != want {
		ts.Fatalf("exit code %d, want %d", got, want)
	}
}

func cmdEdit(ts *testscript.TestScript, neg bool, args []string) {
	wants(ts, neg, args, 3, "edit file old new")
	newline := strings.NewReplacer(`\n`, "\n")
	ts.Check(replace(ts.MkAbs(args[0]), newline.Replace(args[1]), newline.Replace(args[2])))
}

// replace changes the one passage of a file.
func replace(file, old, with string) error {
	b, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	if n := strings.Count(string(b), old); n != 1 {
		return fmt.Errorf("%s holds %q %d times", file, old, n)
	}
	return os.WriteFile(file, []byte(strings.Replace(string(b), old, with, 1)), 0o644)
}

func cmdFill(ts *testscript.TestScript, neg bool, args []string) {
	wants(ts, neg, args, 2, "fill file size")
	size, err := strconv.ParseInt(args[1], 10, 64)
	ts.Check(err)
	f, err := os.OpenFile(ts.MkAbs(args[0]), os.O_CREATE|os.O_WRONLY, 0o644)
	ts.Check(err)
	ts.Check(errors.Join(f.Truncate(size), f.Close()))
}

func cmdRepeat(ts *testscript.TestScript, neg bool, args []string) {
	wants(ts, neg, args, 3, "repeat file n text")
	n, err := strconv.Atoi(args[1])
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(strings.Repeat(args[2], n)), 0o644))
}

func cmdNarrow(ts *testscript.TestScript, neg bool, args []string) {
	wants(ts, neg, args, 2, "narrow file n")
	most, err := strconv.Atoi(args[1])
	ts.Check(err)
	for i, line := range strings.Split(ts.ReadFile(args[0]), "\n") {
		if n := columns(line); n > most {
			ts.Fatalf("line %d has %d columns, at most %d are wanted: %s", i+1, n, most, line)
		}
	}
}

func cmdSame(ts *testscript.TestScript, neg bool, args []string) {
	wants(ts, neg, args, 2, "same file file")
	if ts.ReadFile(args[0]) != ts.ReadFile(args[1]) {
		ts.Fatalf("%s and %s differ", args[0], args[1])
	}
}

func cmdUnits(ts *testscript.TestScript, neg bool, args []string) {
	wants(ts, neg, args, 1, "units file")
	var v any
	if err := json.Unmarshal([]byte(ts.ReadFile(args[0])), &v); err != nil {
		ts.Fatalf("%s is not JSON: %v", args[0], err)
	}
	if bad := withoutUnit(v, ""); len(bad) > 0 {
		ts.Fatalf("numbers without a unit in their key: %s", strings.Join(bad, ", "))
	}
}

// keyWithUnit is a key that ends in a unit of the SI, or that says itself that
// its number has none: counts, shares, indices, money in the stated currency,
// and figures that carry their symbol beside them.
var keyWithUnit = regexp.MustCompile(`(_si|_kg|_m|_s|_n|_j|_w|_v|_a|_as|_ohm|_k|_j_per_m|_m_per_s|_share|_of_time|_margin|_growth|_count|_pa|_m3_per_s|_group)$|` +
	`^(seed|candidates|cuts_that_fit|options_that_fit|packs_that_fit|space_not_proven|complete_range_runs|runs_spared_by_bound|problems_not_listed|modules_by_bay|` +
	`test|version|lines|score_capacity|score_resistance|alone|with_others|share|margin|price|count|series|parallel|group|groups|times|\w+_group|group_that_empties_first|grade|\w+_grade|\w+_grade_facing_\w+|cells_charge|slices|module|modules|cycles|stops|line|col|si|factor|offset)$`)

// withoutUnit returns the keys of numbers that say nothing of their unit.
func withoutUnit(v any, key string) []string {
	var out []string
	switch v := v.(type) {
	case map[string]any:
		for k, x := range v {
			out = append(out, withoutUnit(x, k)...)
		}
	case []any:
		for _, x := range v {
			out = append(out, withoutUnit(x, key)...)
		}
	case nil:
		out = append(out, key+" (null)") // a list without entries is []
	case float64:
		if !keyWithUnit.MatchString(key) {
			out = append(out, key)
		}
	}
	return out
}
