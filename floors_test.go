package packyard_test

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"packyard/check/checktest"
)

// A floor holds one package. A package imports only from floors strictly below.
type floor struct {
	level int
	path  string
	job   string
	door  []string // outside modules that this package alone imports
}

// The floors of the house, from the ground up. A new package is entered here
// and in ARCHITECTURE.md by `make golden`.
var floors = []floor{
	{0, "unit", "typed SI quantities; reading and printing with units", nil},
	{0, "internal/num", "numerical methods on plain float64", []string{"gonum.org/v1/gonum"}},
	{0, "internal/exact", "closed forms that tests compare with", nil},
	{0, "internal/pdf", "pages of text, lines and areas as PDF", []string{"codeberg.org/go-pdf/fpdf"}},
	{1, "check", "problems of input, findings, workings, given values and assumptions, sources", nil},
	{1, "internal/sheet", "reading and editing of YAML by struct tags, JSON Schema of the same tags", []string{"go.yaml.in/yaml/v4", "github.com/invopop/jsonschema"}},
	{2, "cell", "cells, slices, donor modules: voltage, resistance, limits, ageing", nil},
	{2, "part", "what else can be bought: drive units, inverters, chargers, converters, loads", nil},
	{2, "vehicle", "mass ledger, axle and wheel loads, road load; defines the axes", nil},
	{2, "schedule", "driving schedules and routes", nil},
	{3, "pack", "slices in series and parallel: window, energy, resistance", nil},
	{3, "bay", "spaces and boxes with orientations; placing, proof", nil},
	{3, "heat", "thermal network, fluids, films, cooling; knows no schedule", nil},
	{3, "celltest", "readers and analyses of cell logs", nil},
	{4, "drive", "owns the clock: vehicle, drive unit and pack over a schedule", nil},
	{4, "match", "items to groups: the weakest strongest, with bound", nil},
	{4, "bench", "the store of measured cells: intake, logs, results, grading, sampling", []string{"modernc.org/sqlite"}},
	{5, "charge", "supply, charger, pack, time", nil},
	{5, "circuit", "high-voltage parts: fault currents, fuses, contactors, cables, insulation", nil},
	{6, "design", "one whole design and its assessment", nil},
	{7, "search", "enumerate, prune, rank options; nearest misses", nil},
	{7, "spread", "the design under uncertain inputs: quantiles, and the share of each input", nil},
	{8, "project", "the project folder: read, check, edit in place", nil},
	{8, "drawing", "one neutral drawing model: drawn once, out as SVG, PDF and GLB", nil},
	{9, "document", "what leaves the office: text, tables and drawings on pages, workbooks", []string{"github.com/xuri/excelize/v2"}},
	{10, "book", "the build book of one option: what it holds, and what it lacks", nil},
	{11, "server", "loopback web server: edits, events, live results, the embedded front end", nil},
	{12, "cmd/packyard", "commands", []string{"github.com/spf13/cobra", "github.com/schollz/progressbar/v3", "golang.org/x/term"}},
}

// Packages that only tests import; they may read files.
var testPackages = []string{"check/checktest"}

// Outside modules that only tests import.
var testModules = []string{
	"github.com/google/go-cmp",
	"pgregory.net/rapid",
	"github.com/rogpeppe/go-internal",
	"github.com/santhosh-tekuri/jsonschema/v6",
}

// A step within one floor that is allowed, with its reason.
var sameFloor = map[[2]string]string{
	{"internal/sheet", "check"}: "the reader of files fills given values and collects problems",
	{"part", "cell"}:            "cells and modules of the catalogue are parts that can be bought",
}

// ioLevelMax is the highest floor that does no input or output: readers and
// embedded tables are passed in.
const ioLevelMax = 7

// storePackage is excepted: it is the store of measured cells, with its database.
const storePackage = "bench"

// ioPackages are the packages of the standard library that do it.
var ioPackages = []string{"os", "net", "io/ioutil", "syscall", "log", "plugin", "database/sql"}

// goFile is one parsed file: its imports only.
type goFile struct {
	dir, name string // dir relative to the root, with slashes
	test      bool
	imports   []*ast.ImportSpec
	set       *token.FileSet
}

func (f goFile) where(spec *ast.ImportSpec) string {
	return fmt.Sprintf("%s/%s:%d", f.dir, f.name, f.set.Position(spec.Pos()).Line)
}

// goFiles parses the imports of every Go file of the repository, once.
var goFiles = sync.OnceValues(func() ([]goFile, error) {
	var files []goFile
	err := filepath.WalkDir(".", func(p string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			if name := d.Name(); p != "." && (strings.HasPrefix(name, ".") || name == "testdata" || name == "node_modules") {
				return filepath.SkipDir
			}
			return nil
		}
		if !strings.HasSuffix(p, ".go") {
			return nil
		}
		set := token.NewFileSet()
		parsed, err := parser.ParseFile(set, p, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		p = filepath.ToSlash(p)
		files = append(files, goFile{path.Dir(p), path.Base(p), strings.HasSuffix(p, "_test.go"), parsed.Imports, set})
		return nil
	})
	return files, err
})

func allGoFiles(t *testing.T) []goFile {
	t.Helper()
	files, err := goFiles()
	if err != nil {
		t.Fatal(err)
	}
	return files
}

func floorOf(dir string) (floor, bool) {
	i := slices.IndexFunc(floors, func(f floor) bool { return f.path == dir })
	if i < 0 {
		return floor{}, false
	}
	return floors[i], true
}

func within(importPath, module string) bool {
	return importPath == module || strings.HasPrefix(importPath, module+"/")
}

func anyWithin(importPath string, modules []string) bool {
	return slices.ContainsFunc(modules, func(m string) bool { return within(importPath, m) })
}

func TestEveryPackageStandsOnAFloor(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	for _, f := range allGoFiles(t) {
		if f.test || seen[f.dir] {
			continue
		}
		seen[f.dir] = true
		if _, ok := floorOf(f.dir); !ok && !slices.Contains(testPackages, f.dir) {
			t.Errorf("package %s stands on no floor: enter it in floors_test.go", f.dir)
		}
	}
	for _, f := range floors {
		if !seen[f.path] {
			t.Errorf("floor %d names the package %s, which has no Go files", f.level, f.path)
		}
	}
	if !slices.IsSortedFunc(floors, func(a, b floor) int { return a.level - b.level }) {
		t.Error("the floors are not in order")
	}
}

func TestPackagesImportOnlyFromFloorsBelow(t *testing.T) {
	t.Parallel()
	for _, f := range allGoFiles(t) {
		from, ok := floorOf(f.dir)
		if f.test || !ok {
			continue
		}
		for _, spec := range f.imports {
			to, ours := strings.CutPrefix(importPath(t, spec), "packyard/")
			if !ours {
				continue
			}
			target, ok := floorOf(to)
			switch {
			case slices.Contains(testPackages, to):
				t.Errorf("%s: %s imports %s, which is for tests only", f.where(spec), f.dir, to)
			case !ok:
				t.Errorf("%s: %s imports %s, which stands on no floor", f.where(spec), f.dir, to)
			case target.level >= from.level && sameFloor[[2]string{from.path, to}] == "":
				t.Errorf("%s: %s on floor %d imports %s on floor %d: only floors strictly below are allowed", f.where(spec), f.dir, from.level, to, target.level)
			}
		}
	}
}

func TestOutsideModulesComeInByOneDoor(t *testing.T) {
	t.Parallel()
	used := map[string]bool{}
	for _, f := range allGoFiles(t) {
		for _, spec := range f.imports {
			p := importPath(t, spec)
			if first, _, _ := strings.Cut(p, "/"); within(p, "packyard") || !strings.Contains(first, ".") {
				continue
			}
			for _, m := range slices.Concat(testModules, allDoors()) {
				if within(p, m) {
					used[m] = true
				}
			}
			from, _ := floorOf(f.dir)
			switch {
			case anyWithin(p, from.door):
			// checktest is what tests share; nothing but tests imports it.
			case (f.test || f.dir == "check/checktest") && (anyWithin(p, testModules) || anyWithin(p, allDoors())):
			case anyWithin(p, testModules):
				t.Errorf("%s: %s is for tests only", f.where(spec), p)
			case anyWithin(p, allDoors()):
				t.Errorf("%s: %s has its door in another package: see floors_test.go", f.where(spec), p)
			default:
				t.Errorf("%s: %s has no door: enter it in floors_test.go and write docs/decisions", f.where(spec), p)
			}
		}
	}
	for _, m := range allDoors() {
		if !used[m] {
			t.Errorf("the door for %s is imported by nobody", m)
		}
	}
}

func allDoors() []string {
	var all []string
	for _, f := range floors {
		all = append(all, f.door...)
	}
	return all
}

func TestLowerFloorsDoNoInputOrOutput(t *testing.T) {
	t.Parallel()
	for _, f := range allGoFiles(t) {
		from, ok := floorOf(f.dir)
		if f.test || !ok || from.level > ioLevelMax || f.dir == storePackage {
			continue
		}
		for _, spec := range f.imports {
			if p := importPath(t, spec); anyWithin(p, ioPackages) {
				t.Errorf("%s: %s on floor %d imports %q: floors 0 to %d take readers and embedded tables", f.where(spec), f.dir, from.level, p, ioLevelMax)
			}
		}
	}
}

// Every outside module that is imported has its half page.
func TestEveryOutsideModuleHasADecision(t *testing.T) {
	t.Parallel()
	pages, err := filepath.Glob("docs/decisions/*.md")
	if err != nil {
		t.Fatal(err)
	}
	var text strings.Builder
	for _, p := range pages {
		b, err := os.ReadFile(p)
		if err != nil {
			t.Fatal(err)
		}
		text.Write(b)
	}
	for _, m := range slices.Concat(allDoors(), testModules) {
		if !strings.Contains(text.String(), "`"+m+"`") {
			t.Errorf("docs/decisions says nothing about %s", m)
		}
	}
}

func TestArchitecturePrintsTheFloors(t *testing.T) {
	t.Parallel()
	const begin, end = "<!-- floors: printed by floors_test.go, written by make golden -->\n", "<!-- end of floors -->\n"
	b, err := os.ReadFile("ARCHITECTURE.md")
	if err != nil {
		t.Fatal(err)
	}
	head, rest, ok := strings.Cut(string(b), begin)
	_, tail, okEnd := strings.Cut(rest, end)
	if !ok || !okEnd {
		t.Fatalf("ARCHITECTURE.md has no lines %q and %q around the table", begin, end)
	}
	var table strings.Builder
	table.WriteString("| Floor | Package | Its one job | Only door to |\n| --- | --- | --- | --- |\n")
	for _, f := range floors {
		doors := make([]string, len(f.door))
		for i, d := range f.door {
			doors[i] = "`" + d + "`"
		}
		fmt.Fprintf(&table, "| %d | `%s` | %s | %s |\n", f.level, f.path, f.job, strings.Join(doors, ", "))
	}
	checktest.Golden(t, "ARCHITECTURE.md", head+begin+table.String()+end+tail)
}

func importPath(t *testing.T, spec *ast.ImportSpec) string {
	t.Helper()
	p, err := strconv.Unquote(spec.Path.Value)
	if err != nil {
		t.Fatal(err)
	}
	return p
}
