package project

import (
	"bytes"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"packyard/check/checktest"
	"packyard/internal/sheet"
)

func TestSchemasAreTheGoldenOnes(t *testing.T) {
	t.Parallel()
	checktest.Golden(t, "testdata/project.schema.json", string(Schema()))
	checktest.Golden(t, "testdata/parts.schema.json", string(PartsSchema()))
}

// validator returns a schema as another program reads it.
func validator(t *testing.T, raw []byte) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("schema.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("schema.json")
	if err != nil {
		t.Fatalf("not a schema of draft 2020-12: %v", err)
	}
	return s
}

func validate(t *testing.T, s *jsonschema.Schema, data []byte) error {
	t.Helper()
	raw, err := sheet.ToJSON(data)
	if err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	return s.Validate(doc)
}

func TestGoodProjectsFitTheSchemaAndWrongOnesDoNot(t *testing.T) {
	t.Parallel()
	s := validator(t, Schema())
	if err := validate(t, s, []byte(minimal(t))); err != nil {
		t.Errorf("the smallest project: %v", err)
	}
	if err := validate(t, s, template); err != nil {
		t.Errorf("the project to start from: %v", err)
	}
	wrong, err := os.ReadFile("testdata/ten-mistakes/" + FileName)
	if err != nil {
		t.Fatal(err)
	}
	if err := validate(t, s, wrong); err == nil {
		t.Error("the schema finds nothing in the file of ten mistakes")
	}
}

func TestBuiltInCatalogueFitsThePartsSchema(t *testing.T) {
	t.Parallel()
	s := validator(t, PartsSchema())
	files, err := filepath.Glob("../*/data/*.yaml")
	if err != nil || len(files) < 5 {
		t.Fatalf("found %v, %v, want the files of cell and part", files, err)
	}
	for _, name := range files {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if err := validate(t, s, data); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// eachField calls f for every field with a sheet tag below t.
func eachField(t reflect.Type, f func(owner reflect.Type, field reflect.StructField)) {
	switch t.Kind() {
	case reflect.Pointer, reflect.Slice, reflect.Array:
		eachField(t.Elem(), f)
	case reflect.Struct:
		for field := range t.Fields() {
			if _, tagged := field.Tag.Lookup("sheet"); tagged || field.Anonymous {
				if tagged {
					f(t, field)
				}
				eachField(field.Type, f)
			}
		}
	}
}

func TestEveryKeySaysWhatItIsAndItsRangeIsReadable(t *testing.T) {
	t.Parallel()
	seen := 0
	for _, top := range []reflect.Type{reflect.TypeFor[File](), reflect.TypeFor[PartsFile]()} {
		eachField(top, func(owner reflect.Type, field reflect.StructField) {
			name := owner.String() + "." + field.Name
			if strings.HasSuffix(field.Tag.Get("sheet"), ",pos") {
				return
			}
			seen++
			if field.Tag.Get("doc") == "" {
				t.Errorf("%s has no doc tag", name)
			}
			bounds := field.Tag.Get("range")
			leaf := field.Type
			for leaf.Kind() == reflect.Slice || leaf.Kind() == reflect.Array {
				leaf = leaf.Elem()
			}
			value, ranged := reflect.New(leaf).Interface().(interface{ Plausible(string) error })
			if bounds == "" && ranged && leaf != reflect.TypeFor[File]().Field(0).Type {
				t.Errorf("%s has no plausible range", name)
			}
			if bounds != "" {
				_ = value.Plausible(bounds) // panics when the bounds cannot be read
			}
		})
	}
	if seen < 200 {
		t.Errorf("saw %d keys, want the 200 and more of both formats", seen)
	}
}
