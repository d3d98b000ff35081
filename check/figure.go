package check

import "packyard/unit"

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

// IsZero reports whether there is no figure.
func (f Figure) IsZero() bool { return f == Figure{} }
