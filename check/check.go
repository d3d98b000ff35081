// Package check holds what packyard says about an input and a design: problems
// of the input with their place, findings about the design with value, limit,
// margin and source, workings that show how a number came about, values given
// by the builder and the assumptions that stand in for values not given.
package check

import (
	"fmt"

	"packyard/unit"
)

// Pos is a place in a file; the zero Pos means "not given in any file".
type Pos struct {
	File string `json:"file,omitempty"`
	Line int    `json:"line,omitempty"` // from 1
	Col  int    `json:"col,omitempty"`  // from 1, in characters
}

// IsZero reports whether the place is unknown.
func (p Pos) IsZero() bool { return p == Pos{} }

func (p Pos) String() string { return fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Col) }

// Given is a value written by the builder: SI value, spread, the text as
// written and its place. Pos zero means that it was not given.
type Given[Q unit.Quantity] struct {
	SI   Q               // value in SI
	Tol  float64         // spread in SI as a difference, see unit.Amount
	Kind unit.SpreadKind // kind of spread
	Text string          // exactly as written: "560 lb"
	Pos  Pos
}

// IsGiven reports whether the builder wrote the value.
func (g Given[Q]) IsGiven() bool { return !g.Pos.IsZero() }

// Or returns the given value, or the stand-in, which is then recorded in list.
func (g Given[Q]) Or(list *Assumptions, subject string, value Q, sourceKey string) Q {
	if g.IsGiven() {
		return g.SI
	}
	list.Add(Assumption{Subject: subject, Value: Of(value), Source: sourceKey})
	return value
}

// Text is a word or sentence written by the builder, with its place.
type Text struct {
	Value string
	Pos   Pos
}

// IsGiven reports whether the builder wrote the text.
func (t Text) IsGiven() bool { return !t.Pos.IsZero() }

// Count is a whole number written by the builder, with its place.
type Count struct {
	Value int
	Pos   Pos
}

// IsGiven reports whether the builder wrote the number.
func (c Count) IsGiven() bool { return !c.Pos.IsZero() }

// Flag is a yes or no written by the builder, with its place.
type Flag struct {
	Value bool
	Pos   Pos
}

// IsGiven reports whether the builder wrote the answer.
func (f Flag) IsGiven() bool { return !f.Pos.IsZero() }

// Price is an amount of money in an ISO 4217 currency, with its place.
type Price struct {
	Amount   float64 // in Currency
	Currency string  // "EUR"
	Text     string
	Pos      Pos
}

// IsGiven reports whether the builder wrote the price.
func (p Price) IsGiven() bool { return !p.Pos.IsZero() }

// Figure is a value of any quantity, in SI with its symbol, ready to be shown
// or written as JSON.
type Figure struct {
	SI     float64 `json:"si"`
	Symbol string  `json:"symbol"` // SI symbol, "kg"; "1" for a ratio, an ISO code for money
	Noun   string  `json:"noun"`   // "mass"
}

// Of returns q as a Figure.
func Of[Q unit.Quantity](q Q) Figure {
	return Figure{SI: float64(q), Symbol: unit.Symbol[Q](), Noun: unit.Noun[Q]()}
}

// Number returns a bare count or index as a Figure; noun says of what.
func Number(n float64, noun string) Figure { return Figure{SI: n, Symbol: "1", Noun: noun} }

// Money returns an amount as a Figure.
func Money(amount float64, currency string) Figure {
	return Figure{SI: amount, Symbol: currency, Noun: "money"}
}
