package check

import (
	"math"
	"strconv"

	"packyard/unit"
)

// Figure is a value of any quantity, in SI with its symbol, ready to be shown
// or written as JSON.
type Figure struct {
	SI     float64 `json:"si"`     // in the unit that Symbol names
	Symbol string  `json:"symbol"` // SI symbol, "kg"; "1" for a ratio, an ISO code for money
	Noun   string  `json:"noun"`   // "mass"
}

// Of returns q as a Figure.
func Of[Q unit.Quantity](q Q) Figure {
	return Figure{SI: float64(q), Symbol: unit.Symbol[Q](), Noun: unit.Noun[Q]()}
}

// Number returns a count or index, which is dimensionless, as a Figure; noun
// says of what.
func Number(n float64, noun string) Figure { return Figure{SI: n, Symbol: "1", Noun: noun} }

// money is the noun of an amount of money.
const money = "money"

// Money returns an amount, in whole units of the currency, as a Figure.
func Money(amount float64, currency string) Figure {
	return Figure{SI: amount, Symbol: currency, Noun: money}
}

// String prints the figure in units of the SI, see Text.
func (f Figure) String() string { return f.Text(unit.SI) }

// Text prints the figure as a builder of the system reads it: a quantity with
// four significant digits and its unit, a whole number in full, money with the
// decimals of its currency.
func (f Figure) Text(s unit.System) string {
	if f.Noun == money {
		return strconv.FormatFloat(noNegativeZero(f.SI, minorDigits(f.Symbol)), 'f', minorDigits(f.Symbol), 64) + " " + f.Symbol
	}
	if k, ok := unit.KindOf(f.Noun); ok && k.Symbol == f.Symbol {
		return k.Format(f.SI, s)
	}
	// 2^53: above it not every whole number is a float64.
	if f.Symbol == "1" && f.SI == math.Trunc(f.SI) && math.Abs(f.SI) < 1<<53 {
		return strconv.FormatFloat(f.SI+0, 'f', 0, 64)
	}
	if f.Symbol == "1" || f.Symbol == "" {
		return unit.Number(f.SI)
	}
	return unit.Number(f.SI) + " " + f.Symbol
}

// IsZero reports whether there is no figure.
func (f Figure) IsZero() bool { return f == Figure{} }

func noNegativeZero(x float64, decimals int) float64 {
	if math.Abs(x) < 0.5*math.Pow10(-decimals) {
		return 0
	}
	return x
}

// minorDigits returns the decimals of a currency. Source: iso-4217, from
// memory; two where it is not listed.
func minorDigits(currency string) int {
	switch currency {
	case "JPY", "KRW", "VND", "CLP", "ISK", "PYG", "UGX", "XAF", "XOF", "XPF", "RWF", "KMF", "GNF", "DJF", "BIF", "VUV":
		return 0
	case "BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND":
		return 3
	}
	return 2
}
