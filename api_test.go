package packyard_test

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"packyard/unit"
)

// plainByDesign holds the packages whose door is plain float64: numerical
// leaves that know no quantities.
var plainByDesign = []string{"internal/num", "internal/exact", "internal/pdf"}

// namesItsUnit holds the packages where a number may be in a unit that the
// comment names, because reading and printing units is their work.
var namesItsUnit = []string{"unit", "check", "check/checktest"}

// apiFile is one file of the project with its package folder.
type apiFile struct {
	dir  string
	file *ast.File
	set  *token.FileSet
}

func apiFiles(t *testing.T) []apiFile {
	t.Helper()
	var out []apiFile
	err := filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if name := d.Name(); d.IsDir() && path != "." && (strings.HasPrefix(name, ".") || name == "testdata" || name == "node_modules") {
			return filepath.SkipDir
		}
		if d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return nil
		}
		set := token.NewFileSet()
		f, err := parser.ParseFile(set, path, nil, parser.ParseComments)
		if err != nil {
			return err
		}
		out = append(out, apiFile{filepath.ToSlash(filepath.Dir(path)), f, set})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(out) < 10 {
		t.Fatalf("only %d files found; the walk is wrong", len(out))
	}
	return out
}

// TestExportedFloatsSayWhatTheyAre: an exported float64 is dimensionless and
// its comment says so; a series says its unit, or that it is dimensionless.
// Everything else has a type of package unit.
func TestExportedFloatsSayWhatTheyAre(t *testing.T) {
	t.Parallel()
	seen := 0
	for _, f := range apiFiles(t) {
		if slices.Contains(plainByDesign, f.dir) || f.file.Name.Name == "main" {
			continue
		}
		a := apiWalk{apiFile: f, lenient: slices.Contains(namesItsUnit, f.dir)}
		for _, d := range f.file.Decls {
			a.declaration(d)
		}
		seen += a.seen
		for _, v := range a.found {
			t.Error(v)
		}
	}
	if seen < 50 {
		t.Errorf("only %d exported float64 were looked at; the walk is wrong", seen)
	}
}

// apiWalk collects what a file exports without saying what it is.
type apiWalk struct {
	apiFile
	lenient bool // a unit named in words is enough
	seen    int
	found   []string
}

func (a *apiWalk) declaration(d ast.Decl) {
	switch d := d.(type) {
	case *ast.FuncDecl:
		if d.Name.IsExported() && (d.Recv == nil || exportedReceiver(d.Recv)) {
			a.signature(d.Name.Name, d.Type, d.Doc)
		}
	case *ast.GenDecl:
		for _, s := range d.Specs {
			switch s := s.(type) {
			case *ast.TypeSpec:
				if s.Name.IsExported() {
					doc := s.Doc
					if doc == nil {
						doc = d.Doc
					}
					a.typeSpec(s, doc)
				}
			case *ast.ValueSpec:
				for _, n := range s.Names {
					if n.IsExported() && s.Type != nil {
						a.judge(n.Name, s.Type, s.Doc, s.Comment, d.Doc)
					}
				}
			}
		}
	}
}

func exportedReceiver(r *ast.FieldList) bool {
	t := r.List[0].Type
	for {
		switch x := t.(type) {
		case *ast.StarExpr:
			t = x.X
		case *ast.IndexExpr:
			t = x.X
		case *ast.IndexListExpr:
			t = x.X
		case *ast.Ident:
			return x.IsExported()
		default:
			return false
		}
	}
}

func (a *apiWalk) signature(name string, f *ast.FuncType, doc ...*ast.CommentGroup) {
	for _, list := range []*ast.FieldList{f.Params, f.Results} {
		if list == nil {
			continue
		}
		for _, p := range list.List {
			if !a.judge(name, p.Type, doc...) {
				return // one word about a function is enough
			}
		}
	}
}

func (a *apiWalk) typeSpec(s *ast.TypeSpec, doc *ast.CommentGroup) {
	switch t := s.Type.(type) {
	case *ast.StructType:
		for _, f := range t.Fields.List {
			for _, n := range f.Names {
				if n.IsExported() {
					// The comment of a struct on one line stands behind it.
					a.judge(s.Name.Name+"."+n.Name, f.Type, f.Doc, f.Comment, s.Comment)
				}
			}
		}
	case *ast.InterfaceType:
		for _, m := range t.Methods.List {
			if f, ok := m.Type.(*ast.FuncType); ok && len(m.Names) > 0 && m.Names[0].IsExported() {
				a.signature(s.Name.Name+"."+m.Names[0].Name, f, m.Doc, m.Comment)
			}
		}
	case *ast.Ident:
		// A new quantity outside unit says its unit; those of unit have rows.
		if t.Name == "float64" && a.dir != "unit" {
			a.series(s.Name.Name, s.Pos(), doc)
		}
	default:
		a.judge(s.Name.Name, s.Type, doc)
	}
}

// judge reports false and notes the place if the type holds a float64 that the
// comments do not explain.
func (a *apiWalk) judge(name string, t ast.Expr, comments ...*ast.CommentGroup) bool {
	scalar, series := floatsIn(t)
	if !scalar && !series {
		return true
	}
	if series && !scalar {
		return a.series(name, t.Pos(), comments...)
	}
	a.seen++
	text := commentText(comments)
	switch {
	case strings.Contains(text, "dimensionless"), strings.Contains(text, "in the SI unit of"):
		return true // the second is a value whose quantity is known at run time only
	case strings.Contains(strings.ToLower(text), "currency"):
		return true // money is not a unit
	case a.lenient && regexp.MustCompile(`\b(unit|units|SI value|the value in)\b|°C`).MatchString(text):
		return true
	case namesUnit(text, isCompound):
		return true // a coefficient such as W·s/rad, for which there is no type
	}
	return a.note(t.Pos(), name, "is a bare float64 whose comment does not say dimensionless; a value with a dimension has a type of package unit")
}

func (a *apiWalk) series(name string, at token.Pos, comments ...*ast.CommentGroup) bool {
	a.seen++
	text := commentText(comments)
	if strings.Contains(text, "dimensionless") || strings.Contains(text, "0…1") || regexp.MustCompile(`\bSI\b`).MatchString(text) || namesUnit(text, isSymbol) || namesUnit(text, isCompound) {
		return true
	}
	return a.note(at, name, "holds float64 without a type of package unit, and its comment names no SI unit and does not say dimensionless")
}

func (a *apiWalk) note(at token.Pos, name, what string) bool {
	p := a.set.Position(at)
	a.found = append(a.found, fmt.Sprintf("%s:%d: %s %s", filepath.ToSlash(p.Filename), p.Line, name, what))
	return false
}

// floatsIn reports whether a type has a float64 outside and inside a slice,
// array, map, channel or function.
func floatsIn(t ast.Expr) (scalar, series bool) {
	inside := func(parts ...ast.Expr) {
		for _, p := range parts {
			s, m := floatsIn(p)
			series = series || s || m
		}
	}
	switch t := t.(type) {
	case *ast.Ident:
		return t.Name == "float64", false
	case *ast.StarExpr:
		return floatsIn(t.X)
	case *ast.ParenExpr:
		return floatsIn(t.X)
	case *ast.Ellipsis:
		inside(t.Elt)
	case *ast.ArrayType:
		inside(t.Elt)
	case *ast.MapType:
		inside(t.Key, t.Value)
	case *ast.ChanType:
		inside(t.Value)
	case *ast.FuncType:
		for _, list := range []*ast.FieldList{t.Params, t.Results} {
			if list == nil {
				continue
			}
			for _, f := range list.List {
				inside(f.Type)
			}
		}
	}
	return scalar, series
}

func commentText(groups []*ast.CommentGroup) string {
	var b strings.Builder
	for _, g := range groups {
		if g != nil {
			b.WriteString(g.Text() + " ")
		}
	}
	return b.String()
}

// namesUnit reports whether the text names a unit in the sense of is: behind
// "in", in parentheses, or at the head of the text, where "A" may be an article.
func namesUnit(text string, is func(string) bool) bool {
	words := strings.Fields(text)
	for i, w := range words {
		bare := strings.Trim(w, ",;:.")
		behindIn := i > 0 && words[i-1] == "in"
		bracketed := strings.HasPrefix(bare, "(") && is(strings.TrimSuffix(bare[1:], ")"))
		head := i == 0 && (bare != "A" || bare != w || len(words) == 1 || slices.Contains([]string{"at", "for", "over", "by", "of"}, words[1]))
		if is(bare) && (behindIn || head) || bracketed {
			return true
		}
	}
	return false
}

// isSymbol reports whether w is the SI symbol of a quantity of package unit.
func isSymbol(w string) bool {
	return w != "1" && slices.ContainsFunc(unit.Kinds(), func(k unit.Kind) bool { return w == k.Symbol })
}

// isCompound reports whether w is a product or quotient of SI symbols, or one
// over a symbol, that no quantity of package unit has: there is no type for it.
func isCompound(w string) bool {
	known := slices.ContainsFunc(unit.Kinds(), func(k unit.Kind) bool {
		return slices.ContainsFunc(k.Rows, func(r unit.Row) bool { return r.Spelling == w })
	})
	if known || !strings.ContainsAny(w, "·/²³") {
		return false
	}
	parts := strings.FieldsFunc(w, func(r rune) bool { return strings.ContainsRune("·/()²³⁴", r) })
	symbols := append(strings.Fields("kg m s A K N J W V C Ω F H rad Pa"), "1")
	return len(parts) > 0 && !slices.ContainsFunc(parts, func(p string) bool { return !slices.Contains(symbols, p) })
}

// suffixes is the end of a JSON key by the type of its value.
var suffixes = map[string]string{
	"Mass": "_kg", "Length": "_m", "Area": "_m2", "Volume": "_m3", "Time": "_s", "Speed": "_m_per_s", "Acceleration": "_m_per_s2", "Force": "_n", "Torque": "_nm",
	"Energy": "_j", "Power": "_w", "Voltage": "_v", "Current": "_a", "Charge": "_as", "Resistance": "_ohm", "Capacitance": "_f", "Temperature": "_k", "TemperatureDelta": "_k",
	"HeatCapacity": "_j_per_k", "ThermalConductance": "_w_per_k", "SpecificHeat": "_j_per_kg_k", "Density": "_kg_per_m3", "Pressure": "_pa", "AngularSpeed": "_rad_per_s",
	"Angle": "_rad", "Inertia": "_kg_m2", "SpecificEnergy": "_j_per_kg", "Consumption": "_j_per_m", "MassFlow": "_kg_per_s", "VolumeFlow": "_m3_per_s", "Stiffness": "_n_per_m",
}

// TestJSONKeysEndInTheirUnit ties the key of every exported field with a
// quantity to the SI unit in which it is written.
func TestJSONKeysEndInTheirUnit(t *testing.T) {
	t.Parallel()
	for _, f := range apiFiles(t) {
		ast.Inspect(f.file, func(n ast.Node) bool {
			field, ok := n.(*ast.Field)
			if !ok || field.Tag == nil {
				return true
			}
			sel, ok := field.Type.(*ast.SelectorExpr)
			if !ok {
				return true
			}
			if x, ok := sel.X.(*ast.Ident); !ok || x.Name != "unit" {
				return true
			}
			tag, err := strconv.Unquote(field.Tag.Value)
			if err != nil {
				t.Fatal(err)
			}
			key, _, _ := strings.Cut(reflect.StructTag(tag).Get("json"), ",")
			want, known := suffixes[sel.Sel.Name]
			if key != "" && key != "-" && known && !strings.HasSuffix(key, want) {
				p := f.set.Position(field.Pos())
				t.Errorf("%s:%d: the JSON key %s holds a %s in SI, so it ends in %s", filepath.ToSlash(p.Filename), p.Line, key, sel.Sel.Name, want)
			}
			return true
		})
	}
}

// TestAPIWalkFindsWhatItLooksFor: the walk itself is held to a file with one
// fault of each kind and one good form of each.
func TestAPIWalkFindsWhatItLooksFor(t *testing.T) {
	t.Parallel()
	const text = `package p

// Bad takes a mass.
func Bad(m float64) {}

// Good takes a share, dimensionless.
func Good(x float64) {}

// BadSeries takes numbers.
func BadSeries(xs ...float64) {}

// GoodSeries takes speeds in m/s.
func GoodSeries(xs []float64) {}

type T struct {
	A          float64 // A mass
	Bad        float64 // kg
	Good       float64 // W·s/rad
	Price      float64 // in the project's currency
	BadSeries  []float64
	GoodSeries []float64 // V
	hidden     float64
}

// M is a moment in kg·m.
type M float64

// Q is a number.
type Q float64

// Method of an exported type.
func (t *T) Method() float64 { return 0 }

func (hidden) Method() float64 { return 0 }

// I has methods.
type I interface {
	Bad() float64
}

var Bare float64
`
	set := token.NewFileSet()
	f, err := parser.ParseFile(set, "p.go", text, parser.ParseComments)
	if err != nil {
		t.Fatal(err)
	}
	a := apiWalk{apiFile: apiFile{"p", f, set}}
	for _, d := range f.Decls {
		a.declaration(d)
	}
	var names []string
	for _, v := range a.found {
		names = append(names, strings.Fields(v)[1])
	}
	want := []string{"Bad", "BadSeries", "T.A", "T.Bad", "T.BadSeries", "Q", "Method", "I.Bad", "Bare"}
	if !slices.Equal(names, want) {
		t.Errorf("found %v, want %v", names, want)
	}
}
