package packyard_test

import (
	"encoding/csv"
	"go/ast"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"packyard/check"
)

// TestDataNamesKnownSources: every source key in a data file of a package is in
// check/data/sources.csv.
func TestDataNamesKnownSources(t *testing.T) {
	t.Parallel()
	files := 0
	err := filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && path != "." && (strings.HasPrefix(d.Name(), ".") || d.Name() == "testdata") {
			return filepath.SkipDir
		}
		if d.IsDir() || !strings.Contains(filepath.ToSlash(path), "/data/") || path == filepath.Join("check", "data", "sources.csv") {
			return nil
		}
		switch filepath.Ext(path) {
		case ".csv":
			files++
			sourcesInCSV(t, path)
		case ".yaml":
			files++
			sourcesInYAML(t, path)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if files < 5 {
		t.Errorf("only %d data files found; the walk is wrong", files)
	}
}

// known fails for each key of the text, separated by semicolons, that has no source.
func known(t *testing.T, where, text string) {
	t.Helper()
	for key := range strings.SplitSeq(text, ";") {
		key = strings.TrimSpace(key)
		if _, ok := check.SourceOf(key); !ok && key != "" {
			t.Errorf("%s: the source %q is not in check/data/sources.csv", where, key)
		}
	}
}

func sourcesInCSV(t *testing.T, path string) {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	records, err := r.ReadAll()
	if err != nil || len(records) == 0 {
		t.Errorf("%s: %d lines, %v", path, len(records), err)
		return
	}
	columns := 0
	for i, name := range records[0] {
		if name != "source" && name != "source_key" && !strings.HasSuffix(name, "_source") {
			continue
		}
		columns++
		for line, rec := range records[1:] {
			known(t, path+":"+strconv.Itoa(line+2), rec[i])
		}
	}
	if columns == 0 {
		t.Errorf("%s has no column source; a figure has its source beside it", path)
	}
}

func sourcesInYAML(t *testing.T, path string) {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	line := regexp.MustCompile(`^[\s-]*(?:\w+_)?source:\s*"?([^"#]*)`)
	for i, l := range strings.Split(string(b), "\n") {
		if m := line.FindStringSubmatch(l); m != nil {
			known(t, path+":"+strconv.Itoa(i+1), m[1])
		}
	}
}

// TestCodeNamesKnownSources: every literal given to a field Source or as the
// source of a stand-in is in check/data/sources.csv.
func TestCodeNamesKnownSources(t *testing.T) {
	t.Parallel()
	kebab := regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)
	seen := 0
	for _, f := range apiFiles(t) {
		literal := func(e ast.Expr) {
			lit, ok := e.(*ast.BasicLit)
			if !ok || lit.Kind != token.STRING {
				return
			}
			key, err := strconv.Unquote(lit.Value)
			if err != nil || !kebab.MatchString(key) {
				return
			}
			seen++
			p := f.set.Position(lit.Pos())
			known(t, filepath.ToSlash(p.Filename)+":"+strconv.Itoa(p.Line), key)
		}
		ast.Inspect(f.file, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.KeyValueExpr:
				if id, ok := n.Key.(*ast.Ident); ok && id.Name == "Source" {
					literal(n.Value)
				}
			case *ast.CallExpr:
				if sel, ok := n.Fun.(*ast.SelectorExpr); ok && sel.Sel.Name == "Or" && len(n.Args) == 4 {
					literal(n.Args[3])
				}
			}
			return true
		})
	}
	if seen < 20 {
		t.Errorf("only %d source keys found in the code; the walk is wrong", seen)
	}
}

func TestSourceCommentsNameKnownKeys(t *testing.T) {
	t.Parallel()
	// "Source: key" in a comment, when what follows has the form of a key.
	mention := regexp.MustCompile(`(?im)\bsource: ([a-z0-9]+(?:-[a-z0-9]+)+)(?:[,;.)]| \(|$)`)
	for _, f := range apiFiles(t) {
		for _, g := range f.file.Comments {
			for _, m := range mention.FindAllStringSubmatch(g.Text(), -1) {
				p := f.set.Position(g.Pos())
				known(t, filepath.ToSlash(p.Filename)+":"+strconv.Itoa(p.Line), m[1])
			}
		}
	}
}
