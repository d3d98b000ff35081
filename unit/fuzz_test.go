package unit

import (
	"errors"
	"math"
	"strings"
	"testing"
)

// FuzzParse reads any text as every quantity: it does not panic, what it
// accepts is finite, what it refuses says what was found and what is accepted.
func FuzzParse(f *testing.F) {
	for _, row := range refused() {
		f.Add(row.text)
	}
	for _, s := range []string{"39 kg", "5 ft 3 in", "142 kg ± 2 kg max", "2.1 mΩ ± 5 %", "16 1/2 in", "10…18 °C", "15 kWh/100 km", "9.7:1", "1/3 C", "-40 °F", "1 mi 20 yd 2 ft 6 in", "\xff\xfe", "1\x00kg", "1e+", "1 /2 in", "1 2/ in"} {
		f.Add(s)
	}
	kinds := Kinds()
	f.Fuzz(func(t *testing.T, s string) {
		for _, k := range kinds {
			a, err := readText(s, k)
			if err == nil {
				if math.IsNaN(a.si) || math.IsInf(a.si, 0) || math.IsNaN(a.tol) || math.IsInf(a.tol, 0) || a.tol < 0 {
					t.Errorf("%s %q was read as %+v", k.Noun, s, a)
				}
				continue
			}
			var e *SyntaxError
			if !errors.As(err, &e) || e.Found == "" || e.Hint == "" || e.Text != s {
				t.Errorf("%s %q: incomplete error %#v", k.Noun, s, err)
				continue
			}
			if strings.Contains(e.Found, "unknown unit") && !strings.Contains(e.Hint, "is written") {
				t.Errorf("%s %q: %v does not list what is accepted", k.Noun, s, err)
			}
			if len(err.Error()) > 1200 {
				t.Errorf("%s %q: an answer of %d bytes", k.Noun, s, len(err.Error()))
			}
		}
	})
}
