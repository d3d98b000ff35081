package main

import (
	"math"

	"packyard/check"
	"packyard/search"
	"packyard/unit"
)

// figure prints a figure in the units that the builder asked for.
func (a *app) figure(f check.Figure) string { return f.Text(a.system) }

// of prints a quantity, see figure.
func of[Q unit.Quantity](a *app, q Q) string { return a.figure(check.Of(q)) }

// apart prints a value and its limit so that they can be told apart; a remark
// without a limit has the value alone.
func (a *app) apart(value, limit check.Figure) (string, string) {
	switch {
	case value.IsZero():
		return "", ""
	case limit.IsZero():
		return a.figure(value), ""
	}
	return check.Apart(value, limit, a.system)
}

// move says how far the limit of a near miss would have to move. The new limit
// is rounded to the side on which the option passes.
func (a *app) move(l search.RelaxRow) string {
	rises := l.Value.SI > l.Limit.SI
	verb, to := "fall", math.Floor
	if rises {
		verb, to = "rise", math.Ceil
	}
	x, spelling := l.Value.In(l.Limit, a.system)
	y, _ := l.Limit.In(l.Limit, a.system)
	suffix := " " + spelling
	write := func(v float64, n int) string { return check.Significant(v, n) + suffix }
	switch {
	case l.Limit.IsMoney():
		suffix = " " + l.Limit.Symbol
		write = func(v float64, n int) string { return check.Amount(v, n) + suffix }
	case l.Limit.IsCount():
		write = func(v float64, _ int) string { return check.Whole(int(v)) }
	}
	for n := check.DigitsShown; ; n++ {
		reach := toward(x, n, to)
		if math.Abs(reach-x) > moveRounded*math.Abs(x-y) && n < check.DigitsMost {
			continue
		}
		return a.figure(l.Limit) + " would have to " + verb + " by " + write(math.Abs(reach-y), n) + ", to " + write(reach, n) +
			" (" + check.Percent(l.Share) + ")"
	}
}

// moveRounded is the largest share of a move that rounding may add to it.
const moveRounded = 0.05

// rounding is how much of the last digit counts as none.
const rounding = 1e-6

// toward rounds x to n significant digits by to, math.Floor or math.Ceil. What
// is a rounding error off a digit stays there.
func toward(x float64, n int, to func(float64) float64) float64 {
	scale := math.Pow10(check.Decimals(x, n))
	if near := math.Round(x * scale); math.Abs(x*scale-near) < rounding {
		return near / scale
	}
	return to(x*scale) / scale
}
