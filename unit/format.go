package unit

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Format prints q with four significant digits in the unit that a builder of
// the system expects for its size: "254.0 kg", "1.250 kWh", "77.0 °F".
// A temperature has one decimal, since its zero is a convention. Parse reads
// the text back to those digits.
func Format[Q Quantity](q Q, s System) string { return kindOf[Q]().Format(float64(q), s) }

// FormatIn prints q with four significant digits in the unit spelled so. It
// panics if the quantity does not accept the spelling; see Accepts.
func FormatIn[Q Quantity](q Q, spelling string) string {
	k := kindOf[Q]()
	r, ok := k.row(spelling)
	if !ok {
		panic("unit: " + withArticle(k.Noun) + " has no unit " + spelling)
	}
	return k.formatRow(float64(q), r)
}

// Accepts reports whether the quantity has the spelling.
func Accepts[Q Quantity](spelling string) bool { return kindOf[Q]().accepts(spelling) }

// Exact prints q in its SI unit with the fewest digits that Parse reads back to
// the last bit: "0.0021 Ω".
func Exact[Q Quantity](q Q) string {
	k := kindOf[Q]()
	return joinUnit(strconv.FormatFloat(float64(q), 'g', -1, 64), k.Rows[0])
}

// FormatAmount prints a value with its spread as ParseAmount reads it; the
// spread has two significant digits and the value ends at the same decimal.
func FormatAmount[Q Quantity](a Amount[Q], s System) string {
	k := kindOf[Q]()
	if a.Kind == NoSpread || a.Tol == 0 {
		return k.Format(float64(a.SI), s)
	}
	r := k.rowFor(math.Max(math.Abs(float64(a.SI)), a.Tol), s)
	delta := Row{Factor: r.Factor}
	tol := delta.fromSI(a.Tol)
	decimals := min(max(1-exponentOf(tol, 2), 0), 9)
	print := func(x float64) string { return joinUnit(strconv.FormatFloat(x, 'f', decimals, 64), r) }
	text := print(r.fromSI(float64(a.SI))) + " ± " + print(tol)
	if a.Kind == Band {
		text += " max"
	}
	return text
}

// SystemOf returns the system of the last unit in a text that Parse or
// ParseAmount reads; SI if it does not read.
func SystemOf[Q Quantity](s string) System {
	a, err := readText(s, kindOf[Q]())
	if err != nil {
		return SI
	}
	return a.system
}

// HasSystem reports whether the quantity has units of the system.
func HasSystem[Q Quantity](s System) bool {
	return slices.ContainsFunc(kindOf[Q]().Rows, func(r Row) bool { return r.System == s })
}

// Format prints si, a value in the SI unit of the kind, as the function Format does.
func (k Kind) Format(si float64, s System) string { return k.formatRow(si, k.rowFor(si, s)) }

func (k Kind) formatRow(si float64, r Row) string {
	x := r.fromSI(si)
	if k.hasOffset() {
		return joinUnit(strconv.FormatFloat(positiveZero(x, 1), 'f', 1, 64), r)
	}
	return joinUnit(Number(x), r)
}

// joinUnit puts the unit behind a number; a bare number has none.
func joinUnit(number string, r Row) string {
	if r.Spelling == "1" {
		return number
	}
	return number + " " + r.Spelling
}

// Number prints x, which is dimensionless or in a unit that the caller writes
// behind it, with four significant digits. Between 1e-4 and 1e7 there is no
// power of ten.
func Number(x float64) string {
	const digits = 4
	if x == 0 {
		return "0"
	}
	e := exponentOf(x, digits)
	if e < -4 || e > 6 {
		return strconv.FormatFloat(x, 'e', digits-1, 64)
	}
	if e >= digits {
		p := math.Pow10(e - digits + 1)
		return strconv.FormatFloat(math.Round(x/p)*p, 'f', 0, 64)
	}
	return strconv.FormatFloat(x, 'f', digits-1-e, 64)
}

// exponentOf returns the power of ten of x after rounding to the digits.
func exponentOf(x float64, digits int) int {
	s := strconv.FormatFloat(x, 'e', digits-1, 64)
	_, e, _ := strings.Cut(s, "e")
	n, err := strconv.Atoi(e)
	if err != nil {
		return 0 // NaN and infinities, which no quantity is
	}
	return n
}

// positiveZero returns x, or zero without a sign if x rounds to zero.
func positiveZero(x float64, decimals int) float64 {
	if math.Abs(x) < 0.5*math.Pow10(-decimals) {
		return 0
	}
	return x
}

func (k Kind) row(spelling string) (Row, bool) {
	i := slices.IndexFunc(k.Rows, func(r Row) bool { return r.Spelling == spelling })
	if i < 0 {
		return Row{}, false
	}
	return k.Rows[i], true
}

// rowFor returns the unit in which the SI value si is printed.
func (k Kind) rowFor(si float64, s System) Row {
	steps := ladders(k.Noun, s)
	if k.Noun == "ratio" && math.Abs(si) > 1 {
		steps = nil // a ratio above one is a factor, not a share
	}
	if len(steps) == 0 {
		return k.Rows[0]
	}
	best := steps[0]
	for _, st := range steps {
		// Half of the last digit, so that 999.96 g rise to 1.000 kg.
		if math.Abs(si)*(1+5e-5) >= st.from && si != 0 || si == 0 && st.home {
			best = st
		}
	}
	r, ok := k.row(best.spelling)
	if !ok {
		panic(fmt.Sprintf("unit: ladder of %s has the unknown step %s", k.Noun, best.spelling))
	}
	return r
}
