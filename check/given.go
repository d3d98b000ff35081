package check

import (
	"encoding/json"

	"packyard/unit"
)

// Given is a value written by the builder: SI value, spread, the text as
// written and its place. Pos zero means that it was not given.
type Given[Q unit.Quantity] struct {
	SI   Q               // value in SI
	Tol  float64         // spread in the SI unit of a difference of two Q, see unit.Amount
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

// Amount returns the value with its spread.
func (g Given[Q]) Amount() unit.Amount[Q] {
	return unit.Amount[Q]{SI: g.SI, Tol: g.Tol, Kind: g.Kind}
}

// Echo returns the text as written with the other system behind it, "560 lb
// (254.0 kg)". A value not given, and a quantity without units of the other
// system, is printed once.
func (g Given[Q]) Echo() string {
	if !g.IsGiven() || g.Text == "" {
		return unit.FormatAmount(g.Amount(), unit.SI)
	}
	other := unit.SI
	if unit.SystemOf[Q](g.Text) == unit.SI {
		other = unit.US
	}
	if !unit.HasSystem[Q](other) {
		return g.Text
	}
	return g.Text + " (" + unit.FormatAmount(g.Amount(), other) + ")"
}

// MarshalJSON writes the value in SI with its symbol, the spread, the text and
// the place.
func (g Given[Q]) MarshalJSON() ([]byte, error) {
	return json.Marshal(struct {
		SI     Q               `json:"si"`
		Symbol string          `json:"symbol"`
		Tol    float64         `json:"spread_si,omitzero"`
		Kind   unit.SpreadKind `json:"spread_kind,omitzero"`
		Text   string          `json:"text,omitempty"`
		Pos    Pos             `json:"pos,omitzero"`
	}{g.SI, unit.Symbol[Q](), g.Tol, g.Kind, g.Text, g.Pos})
}
