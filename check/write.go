package check

import (
	"math"
	"strconv"
	"strings"

	"packyard/unit"
)

// DigitsShown is how many significant digits a figure is read with. More say
// nothing about an estimate; an axle load needs them all.
const DigitsShown = 4

// DigitsMost bounds the digits by which two figures are told apart.
const DigitsMost = 12

// yes is the noun of a figure that says yes or no.
const yes = "yes"

// Text prints the figure as a builder of the system writes it: a quantity with
// four significant digits and its unit, without zeros that say nothing; a whole
// number in full; money above a hundred without cents; a count with its noun.
// Everything that is shown is printed so, whoever shows it.
func (f Figure) Text(s unit.System) string { return f.TextLike(f, DigitsShown, s) }

// TextLike prints f with as many significant digits, in the unit that suits
// like.
func (f Figure) TextLike(like Figure, digits int, s unit.System) string {
	switch {
	case f.Noun == yes:
		return map[bool]string{true: "yes", false: "no"}[f.SI != 0]
	case f.IsMoney():
		return Amount(f.SI, digits) + " " + f.Symbol
	case f.IsCount():
		return Plural(int(f.SI), strings.TrimSuffix(f.Noun, "s"))
	}
	if f.SI == 0 && f.Noun == "length" && s == unit.SI {
		return "0 " + f.Symbol // of a road and of a gap alike
	}
	x, spelling := f.In(like, s)
	if spelling == "°C" || spelling == "°F" {
		// A temperature has one decimal, since its zero is a convention.
		return trimZeros(strconv.FormatFloat(x, 'f', max(1, digits-DigitsShown), 64)) + " " + spelling
	}
	return strings.TrimSpace(Significant(x, digits) + " " + spelling)
}

// Apart prints a value and its limit with as many digits as it takes to tell
// them apart, twelve at most.
func Apart(value, limit Figure, s unit.System) (string, string) {
	for n := DigitsShown; ; n++ {
		v, l := value.TextLike(value, n, s), limit.TextLike(limit, n, s)
		if v != l || value.SI == limit.SI || n == DigitsMost {
			return v, l
		}
	}
}

// IsMoney reports whether f is an amount of money.
func (f Figure) IsMoney() bool { return f.Noun == money }

// IsCount reports whether f counts things, whose name is its noun.
func (f Figure) IsCount() bool {
	_, quantity := unit.KindOf(f.Noun)
	return f.Symbol == "1" && !quantity && f.SI == math.Trunc(f.SI) && math.Abs(f.SI) < 1e12
}

// In returns f as a number, dimensionless, of the unit in which like is
// printed, and that unit; empty for a bare number.
func (f Figure) In(like Figure, s unit.System) (float64, string) {
	k, ok := unit.KindOf(like.Noun)
	if !ok || k.Symbol != like.Symbol {
		return f.SI, strings.TrimPrefix(like.Symbol, "1")
	}
	_, spelling, _ := strings.Cut(k.Format(like.SI, s), " ")
	for _, r := range k.Rows {
		if r.Spelling == spelling {
			return (f.SI - r.Offset) / r.Factor, spelling
		}
	}
	return f.SI, strings.TrimPrefix(k.Symbol, "1")
}

// Significant prints x, dimensionless, with at most as many significant digits
// and without a tail of zeros. A whole number keeps all of its digits.
func Significant(x float64, digits int) string {
	if x == 0 || math.Abs(x) >= 1e7 || math.Abs(x) < 1e-4 {
		return strconv.FormatFloat(x+0, 'g', digits, 64)
	}
	return trimZeros(strconv.FormatFloat(x, 'f', Decimals(x, digits), 64))
}

// Decimals returns how many decimals show as many significant digits of x,
// dimensionless.
func Decimals(x float64, digits int) int {
	s := strconv.FormatFloat(x, 'e', digits-1, 64)
	e, err := strconv.Atoi(s[strings.IndexByte(s, 'e')+1:])
	if err != nil {
		return 0 // NaN and infinities, which no figure is
	}
	return max(0, digits-1-e)
}

func trimZeros(s string) string {
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}

// Amount prints an amount of money, dimensionless here since its currency is
// written behind it: whole above a hundred, unless more digits are asked for
// than are usual.
func Amount(x float64, digits int) string {
	if math.Abs(x) >= 100 && digits <= DigitsShown || x == math.Trunc(x) {
		return Whole(int(math.Round(x)))
	}
	return trimZeros(strconv.FormatFloat(x, 'f', max(2, Decimals(x, digits)), 64))
}

// Percent prints a ratio, dimensionless, with one decimal below ten per cent.
func Percent(x float64) string {
	digits := 0
	if math.Abs(100*x) < 9.95 {
		digits = 1
	}
	s := strconv.FormatFloat(100*x, 'f', digits, 64)
	if s == "-0.0" {
		s = "0.0"
	}
	return s + " %"
}

// Whole prints a whole number with a gap every three digits.
func Whole(n int) string {
	s := strconv.Itoa(n)
	digits := strings.TrimPrefix(s, "-")
	sign := s[:len(s)-len(digits)]
	for i := len(digits) - 3; i > 0; i -= 3 {
		digits = digits[:i] + " " + digits[i:]
	}
	return sign + digits
}

// Plural prints a count with its noun, which is given for one.
func Plural(n int, noun string) string {
	switch {
	case n == 1:
		return "1 " + noun
	case strings.HasSuffix(noun, "y") && !strings.HasSuffix(noun, "ay"):
		return Whole(n) + " " + strings.TrimSuffix(noun, "y") + "ies"
	}
	return Whole(n) + " " + noun + "s"
}
