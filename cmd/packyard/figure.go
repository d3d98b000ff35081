package main

import (
	"math"
	"strconv"
	"strings"

	"packyard/check"
	"packyard/search"
	"packyard/unit"
)

// digitsShown is how many significant digits a figure is read with. More say
// nothing about an estimate; an axle load needs them all.
const digitsShown = 4

// digitsMost bounds the digits by which two figures are told apart.
const digitsMost = 12

// figure prints a figure as a builder writes it: no zeros that say nothing,
// money above a hundred without cents, a count with its noun.
func (a *app) figure(f check.Figure) string { return a.digits(f, f, digitsShown) }

// of prints a quantity, see figure.
func of[Q unit.Quantity](a *app, q Q) string { return a.figure(check.Of(q)) }

// digits prints f with as many significant digits, in the unit that suits like.
func (a *app) digits(f, like check.Figure, n int) string {
	switch {
	case f.Noun == "yes":
		return map[bool]string{true: "yes", false: "no"}[f.SI != 0]
	case isMoney(f):
		return price(f.SI, n) + " " + f.Symbol
	case isCount(f):
		return plural(int(f.SI), strings.TrimSuffix(f.Noun, "s"))
	}
	if f.SI == 0 && (f.Noun == "power" || f.Noun == "length" && a.system == unit.SI) {
		return "0 " + f.Symbol // not 0 kW or 0 mm
	}
	x, spelling := a.number(f, like)
	if spelling == "°C" || spelling == "°F" {
		// A temperature has one decimal, since its zero is a convention.
		return trimZeros(strconv.FormatFloat(x, 'f', max(1, n-digitsShown), 64)) + " " + spelling
	}
	return strings.TrimSpace(significant(x, n) + " " + spelling)
}

// apart prints a value and its limit with as many digits as it takes to tell
// them apart.
func (a *app) apart(value, limit check.Figure) (string, string) {
	for n := digitsShown; ; n++ {
		v, l := a.digits(value, value, n), a.digits(limit, limit, n)
		if v != l || value.SI == limit.SI || n == digitsMost {
			return v, l
		}
	}
}

func isMoney(f check.Figure) bool { return f.Noun == "money" }

// isCount reports whether f counts things, whose name is its noun.
func isCount(f check.Figure) bool {
	_, quantity := unit.KindOf(f.Noun)
	return f.Symbol == "1" && !quantity && f.SI == math.Trunc(f.SI) && math.Abs(f.SI) < 1e12
}

// number returns f as a number of the unit in which like is printed.
func (a *app) number(f, like check.Figure) (float64, string) {
	k, ok := unit.KindOf(like.Noun)
	if !ok || k.Symbol != like.Symbol {
		return f.SI, strings.TrimPrefix(like.Symbol, "1")
	}
	_, spelling, _ := strings.Cut(k.Format(like.SI, a.system), " ")
	if spelling == "d" {
		spelling = "h" // hours of work or of charging make no days
	}
	for _, r := range k.Rows {
		if r.Spelling == spelling {
			return (f.SI - r.Offset) / r.Factor, spelling
		}
	}
	return f.SI, strings.TrimPrefix(k.Symbol, "1") // a bare number
}

// significant prints x with at most n significant digits and without a tail of zeros.
func significant(x float64, n int) string {
	if x == 0 || math.Abs(x) >= 1e7 || math.Abs(x) < 1e-4 {
		return strconv.FormatFloat(x, 'g', n, 64)
	}
	return trimZeros(strconv.FormatFloat(x, 'f', decimals(x, n), 64))
}

// decimals returns how many decimals show n significant digits of x. A whole
// number keeps all of its digits.
func decimals(x float64, n int) int {
	s := strconv.FormatFloat(x, 'e', n-1, 64)
	e, err := strconv.Atoi(s[strings.IndexByte(s, 'e')+1:])
	if err != nil {
		return 0
	}
	return max(0, n-1-e)
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

// price prints an amount of money: whole above a hundred, unless n asks for
// more digits than are usual.
func price(x float64, n int) string {
	if math.Abs(x) >= 100 && n <= digitsShown || x == math.Trunc(x) {
		return count(int(math.Round(x)))
	}
	return trimZeros(strconv.FormatFloat(x, 'f', max(2, decimals(x, n)), 64))
}

// percent prints a ratio with one decimal below ten per cent.
func percent(x float64) string {
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

// move says how far the limit of a near miss would have to move. The new limit
// is rounded to the side on which the option passes.
func (a *app) move(l search.RelaxRow) string {
	rises := l.Value.SI > l.Limit.SI
	verb, to := "fall", math.Floor
	if rises {
		verb, to = "rise", math.Ceil
	}
	x, spelling := a.number(l.Value, l.Limit)
	y, _ := a.number(l.Limit, l.Limit)
	suffix := " " + spelling
	write := func(v float64, n int) string { return significant(v, n) + suffix }
	switch {
	case isMoney(l.Limit):
		suffix = " " + l.Limit.Symbol
		write = func(v float64, n int) string { return price(v, n) + suffix }
	case isCount(l.Limit):
		write = func(v float64, _ int) string { return count(int(v)) }
	}
	for n := digitsShown; ; n++ {
		reach := toward(x, n, to)
		if math.Abs(reach-x) > moveRounded*math.Abs(x-y) && n < digitsMost {
			continue
		}
		return a.figure(l.Limit) + " would have to " + verb + " by " + write(math.Abs(reach-y), n) + ", to " + write(reach, n) +
			" (" + percent(l.Share) + ")"
	}
}

// moveRounded is the largest share of a move that rounding may add to it.
const moveRounded = 0.05

// rounding is how much of the last digit counts as none.
const rounding = 1e-6

// toward rounds x to n significant digits by to, math.Floor or math.Ceil. What
// is a rounding error off a digit stays there.
func toward(x float64, n int, to func(float64) float64) float64 {
	scale := math.Pow10(decimals(x, n))
	if near := math.Round(x * scale); math.Abs(x*scale-near) < rounding {
		return near / scale
	}
	return to(x*scale) / scale
}
