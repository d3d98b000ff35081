package unit

import (
	"go/ast"
	goparser "go/parser"
	"go/token"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// quantitiesInSource returns the nouns of all types with a method noun.
func quantitiesInSource(t *testing.T) []string {
	t.Helper()
	entries, err := os.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	var nouns []string
	for _, e := range entries {
		if !strings.HasSuffix(e.Name(), ".go") || strings.HasSuffix(e.Name(), "_test.go") {
			continue
		}
		f, err := goparser.ParseFile(token.NewFileSet(), e.Name(), nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range f.Decls {
			fn, ok := d.(*ast.FuncDecl)
			if !ok || fn.Name.Name != "noun" || fn.Recv == nil {
				continue
			}
			lit := fn.Body.List[0].(*ast.ReturnStmt).Results[0].(*ast.BasicLit)
			s, err := strconv.Unquote(lit.Value)
			if err != nil {
				t.Fatal(err)
			}
			nouns = append(nouns, s)
		}
	}
	slices.Sort(nouns)
	return nouns
}
