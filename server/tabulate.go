package server

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"

	"packyard/check"
)

// sheetOut is a table on its way out.
type sheetOut struct {
	head []string
	body [][]string
}

func (t *sheetOut) rows() [][]string { return append([][]string{t.head}, t.body...) }

// columns takes columns of equal length.
func (t *sheetOut) columns(list []Column) error {
	for _, c := range list {
		t.head = append(t.head, c.Key)
	}
	for i := range list[0].Values {
		row := make([]string, len(list))
		for k, c := range list {
			row[k] = plainNumber(c.Values[i])
		}
		t.body = append(t.body, row)
	}
	return nil
}

func plainNumber(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }

// list takes a slice of structs: one column for each plain value, named by its
// JSON key; a figure gives two, value and unit; lists inside give none, but for
// three coordinates and short lists of counts.
func (t *sheetOut) list(v any) error {
	rv := reflect.ValueOf(v)
	t.head = headOf(rv.Type().Elem(), "")
	for i := range rv.Len() {
		t.body = append(t.body, cellsOf(rv.Index(i), rv.Type().Elem()))
	}
	return nil
}

var figureType = reflect.TypeFor[check.Figure]()

// plainFields calls do for each field of a struct that has a column.
func plainFields(t reflect.Type, do func(i int, key string, ft reflect.Type)) {
	for i := range t.NumField() {
		f := t.Field(i)
		key, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		ft := f.Type
		if ft.Kind() == reflect.Pointer {
			ft = ft.Elem()
		}
		if f.IsExported() && (key != "" || f.Anonymous) && key != "-" {
			do(i, key, ft)
		}
	}
}

func headOf(t reflect.Type, prefix string) []string {
	var out []string
	plainFields(t, func(_ int, key string, ft reflect.Type) {
		switch {
		case ft == figureType:
			out = append(out, prefix+key, prefix+key+"_unit")
		case ft.Kind() == reflect.Struct && key == "":
			out = append(out, headOf(ft, prefix)...)
		case ft.Kind() == reflect.Struct:
			out = append(out, headOf(ft, prefix+key+"_")...)
		case ft.Kind() == reflect.Array && ft.Len() == 3 && ft.Elem().Kind() != reflect.Array:
			for _, axis := range []string{"x", "y", "z"} {
				out = append(out, prefix+axis+"_"+key)
			}
		case ft.Kind() == reflect.Slice && (ft.Elem().Kind() == reflect.Int || ft.Elem().Kind() == reflect.String):
			out = append(out, prefix+key)
		case plainKind(ft):
			out = append(out, prefix+key)
		}
	})
	return out
}

func plainKind(t reflect.Type) bool {
	switch t.Kind() {
	case reflect.Bool, reflect.Int, reflect.Int64, reflect.Uint8, reflect.Float64, reflect.String:
		return true
	}
	return false
}

// cellsOf returns the cells of a struct of type t; v is not valid for one that
// is not there.
func cellsOf(v reflect.Value, t reflect.Type) []string {
	if v.IsValid() && v.Kind() == reflect.Pointer {
		v = v.Elem()
	}
	var out []string
	plainFields(t, func(i int, key string, ft reflect.Type) {
		var f reflect.Value
		if v.IsValid() {
			if f = v.Field(i); f.Kind() == reflect.Pointer {
				f = f.Elem() // not valid for nil
			}
		}
		switch {
		case ft == figureType && !f.IsValid():
			out = append(out, "", "")
		case ft == figureType:
			x := f.Interface().(check.Figure)
			out = append(out, plainNumber(x.SI), x.Symbol)
		case ft.Kind() == reflect.Struct:
			out = append(out, cellsOf(f, ft)...)
		case ft.Kind() == reflect.Array && ft.Len() == 3 && ft.Elem().Kind() != reflect.Array:
			for k := range 3 {
				if f.IsValid() {
					out = append(out, plainCell(f.Index(k)))
				} else {
					out = append(out, "")
				}
			}
		case ft.Kind() == reflect.Slice && (ft.Elem().Kind() == reflect.Int || ft.Elem().Kind() == reflect.String):
			var parts []string
			for k := 0; f.IsValid() && k < f.Len(); k++ {
				parts = append(parts, plainCell(f.Index(k)))
			}
			out = append(out, strings.Join(parts, " "))
		case plainKind(ft):
			out = append(out, plainCell(f))
		}
	})
	return out
}

// plainCell prints a plain value; a text that a spreadsheet would take for a
// formula gets a quote in front.
func plainCell(v reflect.Value) string {
	if !v.IsValid() {
		return ""
	}
	if t, ok := v.Interface().(fmt.Stringer); ok && v.Kind() == reflect.Uint8 {
		return t.String()
	}
	switch v.Kind() {
	case reflect.Float64:
		return plainNumber(v.Float())
	case reflect.String:
		s := v.String()
		if s != "" && strings.ContainsRune("=+-@\t\r", rune(s[0])) {
			if _, err := strconv.ParseFloat(s, 64); err != nil {
				return "'" + s
			}
		}
		return s
	}
	return fmt.Sprint(v.Interface())
}
