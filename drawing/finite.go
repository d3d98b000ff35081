package drawing

import (
	"math"
	"reflect"
)

// holdsNotFinite reports whether a number of the values is NaN or infinite. It
// walks structs, slices and pointers, exported fields only.
func holdsNotFinite(values ...any) bool {
	for _, v := range values {
		if notFinite(reflect.ValueOf(v)) {
			return true
		}
	}
	return false
}

func notFinite(v reflect.Value) bool {
	switch v.Kind() {
	case reflect.Float64:
		return math.IsNaN(v.Float()) || math.IsInf(v.Float(), 0)
	case reflect.Pointer:
		return !v.IsNil() && notFinite(v.Elem())
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() && notFinite(v.Field(i)) {
				return true
			}
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			if notFinite(v.Index(i)) {
				return true
			}
		}
	}
	return false
}

// notFinite reports whether a number that pictures of the view show is not one.
func (v View) notFinite() bool {
	bad := holdsNotFinite(v.Brief.Donor, v.Brief.Outline, v.Brief.Bays)
	for _, d := range v.devices() {
		bad = bad || holdsNotFinite(d.bands, d.start)
	}
	if a := v.Assessment; a != nil {
		bad = bad || holdsNotFinite(a.Vehicle, a.Bays, a.Modules, a.Window)
	}
	return bad
}
