// Package check holds what packyard says about an input and a design: problems
// of the input with their place, findings about the design with value, limit,
// margin and source, workings that show how a number came about, values given
// by the builder and the assumptions that stand in for values not given.
package check

import "fmt"

// Pos is a place in a file; the zero Pos means "not given in any file".
type Pos struct {
	File string `json:"file,omitempty"`
	Line int    `json:"line,omitempty"` // from 1
	Col  int    `json:"col,omitempty"`  // from 1, in characters
}

// IsZero reports whether the place is unknown.
func (p Pos) IsZero() bool { return p == Pos{} }

// String returns "file:line:col", as far as they are known.
func (p Pos) String() string {
	switch {
	case p.Line == 0:
		return p.File
	case p.Col == 0:
		return fmt.Sprintf("%s:%d", p.File, p.Line)
	}
	return fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Col)
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
	Amount   float64 // in whole units of Currency
	Currency string  // "EUR"
	Text     string
	Pos      Pos
}

// IsGiven reports whether the builder wrote the price.
func (p Price) IsGiven() bool { return !p.Pos.IsZero() }
