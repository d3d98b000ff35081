package unit

import (
	"math"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	"packyard/check/checktest"
)

// anyValue draws a value of a kind that a reader accepts.
func anyValue(k Kind) *rapid.Generator[float64] {
	if k.hasOffset() {
		return rapid.Float64Range(0, 1e4)
	}
	return rapid.OneOf(rapid.Float64(), rapid.Float64Range(-1e4, 1e4), rapid.Float64Range(-1, 1)).Filter(func(x float64) bool { return !math.IsInf(x, 0) && !math.IsNaN(x) })
}

func ulps(a, b float64) float64 {
	return math.Abs(a-b) / (math.Nextafter(math.Abs(b), math.Inf(1)) - math.Abs(b))
}

func TestExactReadsBackToTheLastBit(t *testing.T) {
	t.Parallel()
	exactly[Mass](t)
	exactly[Length](t)
	exactly[Temperature](t)
	exactly[TemperatureDelta](t)
	exactly[Ratio](t)
	exactly[Slope](t)
	exactly[CRate](t)
	exactly[Resistance](t)
	exactly[Consumption](t)
	exactly[AeroDrag](t)
}

func exactly[Q Quantity](t *testing.T) {
	checktest.Check(t, func(r *rapid.T) {
		want := Q(anyValue(kindOf[Q]()).Draw(r, Noun[Q]()))
		text := Exact(want)
		got, err := Parse[Q](text)
		if err != nil || got != want {
			r.Fatalf("%s: %v is printed as %q and read as %v, %v", Noun[Q](), float64(want), text, float64(got), err)
		}
	})
}

// TestEveryUnitReadsBackWithinTwoUlp prints the shortest exact number of each
// unit and reads it: the way from SI to the unit and back rounds twice.
func TestEveryUnitReadsBackWithinTwoUlp(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(r *rapid.T) {
		k := rapid.SampledFrom(Kinds()).Draw(r, "quantity")
		row := rapid.SampledFrom(k.Rows).Draw(r, "unit")
		si := rapid.Float64Range(1e-6, 1e9).Draw(r, "SI value")
		text := joinUnit(strconv.FormatFloat(row.fromSI(si), 'g', -1, 64), row)
		got, err := readText(text, k)
		if err != nil {
			r.Fatalf("%s: %q: %v", k.Noun, text, err)
		}
		// An offset loses the bits below those of the offset itself.
		scale := si
		if row.Offset != 0 {
			scale = math.Max(si, row.Offset)
		}
		if d := math.Abs(got.si-si) / (math.Nextafter(scale, math.Inf(1)) - scale); d > 2 {
			r.Fatalf("%s: %v printed as %q, read as %v: %v ulp", k.Noun, si, text, got.si, d)
		}
	})
}

func TestFormatReadsBackToFourDigits(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(r *rapid.T) {
		k := rapid.SampledFrom(Kinds()).Draw(r, "quantity")
		s := rapid.SampledFrom([]System{SI, US}).Draw(r, "system")
		si := rapid.Float64Range(1e-9, 1e12).Draw(r, "SI value")
		if k.hasOffset() {
			si++ // one decimal of a temperature can round to below absolute zero
		}
		if !k.hasOffset() && rapid.Bool().Draw(r, "negative") {
			si = -si
		}
		text := k.Format(si, s)
		got, err := readText(text, k)
		if err != nil {
			r.Fatalf("%s: %v is printed as %q: %v", k.Noun, si, text, err)
		}
		allowed := 0.5001e-3 * math.Abs(si) // half of the fourth digit of 1.000
		if k.hasOffset() {
			allowed = 0.0501 // half of the one decimal
			allowed += 4 * (math.Nextafter(math.Abs(si), math.Inf(1)) - math.Abs(si))
		}
		if math.Abs(got.si-si) > allowed {
			r.Fatalf("%s: %v is printed as %q, read as %v", k.Noun, si, text, got.si)
		}
	})
}

func TestFormatAmountReadsBack(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(r *rapid.T) {
		want := Amount[Mass]{
			SI:   Mass(rapid.Float64Range(1, 5e4).Draw(r, "mass")),
			Tol:  rapid.Float64Range(0.01, 100).Draw(r, "spread"),
			Kind: rapid.SampledFrom([]SpreadKind{Deviation, Band}).Draw(r, "kind"),
		}
		s := rapid.SampledFrom([]System{SI, US}).Draw(r, "system")
		text := FormatAmount(want, s)
		got, err := ParseAmount[Mass](text)
		if err != nil {
			r.Fatalf("%+v is printed as %q: %v", want, text, err)
		}
		// The spread keeps two digits, so 5 % of it, and the value ends there too.
		if got.Kind != want.Kind || math.Abs(got.Tol-want.Tol) > 0.0501*want.Tol || math.Abs(float64(got.SI-want.SI)) > 0.0501*want.Tol {
			r.Fatalf("%+v is printed as %q and read as %+v", want, text, got)
		}
	})
}

// TestSumEqualsItsTerms: a sum is the sum of its terms, with one sign for all.
func TestSumEqualsItsTerms(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(r *rapid.T) {
		ft, in := rapid.IntRange(0, 1000).Draw(r, "ft"), rapid.IntRange(0, 100).Draw(r, "in")
		a := strconv.Itoa(ft) + " ft"
		b := strconv.Itoa(in) + " in"
		la, _ := Parse[Length](a)
		lb, _ := Parse[Length](b)
		plus, err1 := Parse[Length](a + " " + b)
		minus, err2 := Parse[Length]("-" + a + " " + b)
		if err1 != nil || err2 != nil || ulps(float64(plus), float64(la+lb)) > 1 || minus != -plus {
			r.Fatalf("%s %s: %v, %v; %v %v", a, b, plus, minus, err1, err2)
		}
	})
}
