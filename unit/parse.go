package unit

import "fmt"

// Quantity is any quantity type of this package.
type Quantity interface {
	~float64
	noun() string
	symbol() string
	rows() []Row
}

// SpreadKind says how the uncertainty of an Amount was written.
type SpreadKind uint8

// Kinds of spread.
const (
	NoSpread  SpreadKind = iota
	Deviation            // "± x": one standard deviation
	Band                 // "± x max" or "a … b": uniform between the ends
)

// Amount is a quantity as read, with its spread. Tol is in the SI unit of the
// difference (±2 °C is 2 K): one standard deviation, or the half width of a band.
type Amount[Q Quantity] struct {
	SI   Q
	Tol  float64
	Kind SpreadKind
}

// Noun returns the name of the quantity, "mass".
func Noun[Q Quantity]() string { var q Q; return q.noun() }

// Symbol returns the SI symbol of the quantity, "kg".
func Symbol[Q Quantity]() string { var q Q; return q.symbol() }

// Rows returns the accepted spellings of the quantity.
func Rows[Q Quantity]() []Row { var q Q; return q.rows() }

// SyntaxError says what of a text is not a quantity and what would be.
type SyntaxError struct {
	Text  string // the text as written
	Noun  string // "mass"
	Found string // what is wrong: `"39" needs a unit`
	Hint  string // what is accepted: "a mass is written in kg, g, lb …"
}

func (e *SyntaxError) Error() string { return fmt.Sprintf("%s: %s", e.Found, e.Hint) }
