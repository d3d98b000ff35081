package server

import "packyard/unit"

// UnitTable holds every quantity with the units in which it is written and shown.
type UnitTable struct {
	Quantities []QuantityView `json:"quantities"`
}

// QuantityView is one quantity.
type QuantityView struct {
	Noun      string     `json:"noun"`
	Symbol    string     `json:"symbol"` // of the SI unit
	Spellings []UnitRow  `json:"spellings"`
	SI        []UnitStep `json:"si"` // units of display, rising
	US        []UnitStep `json:"us"`
}

// UnitRow is one accepted spelling: SI value = number·factor + offset.
type UnitRow struct {
	Spelling string  `json:"spelling"`
	Factor   float64 `json:"factor"` // one unit, in the SI unit of the quantity
	Offset   float64 `json:"offset"` // in the SI unit of the quantity
	System   string  `json:"system"` // "SI" or "US"
	Alias    bool    `json:"alias"`
	Source   string  `json:"source"`
}

// UnitStep is one unit of display.
type UnitStep struct {
	Spelling string  `json:"spelling"`
	Factor   float64 `json:"factor"` // one unit, in the SI unit of the quantity
	Offset   float64 `json:"offset"` // in the SI unit of the quantity
	From     float64 `json:"from"`   // least magnitude shown so, in the SI unit of the quantity
	Home     bool    `json:"home"`   // zero is shown in it
}

func unitTable() *UnitTable {
	out := &UnitTable{}
	for _, k := range unit.Kinds() {
		q := QuantityView{Noun: k.Noun, Symbol: k.Symbol, SI: steps(k, unit.SI), US: steps(k, unit.US)}
		for _, r := range k.Rows {
			q.Spellings = append(q.Spellings, UnitRow{r.Spelling, r.Factor, r.Offset, [...]string{unit.SI: "SI", unit.US: "US"}[r.System], r.Alias, r.Source})
		}
		out.Quantities = append(out.Quantities, q)
	}
	return out
}

func steps(k unit.Kind, s unit.System) []UnitStep {
	var out []UnitStep
	for _, d := range k.Displays(s) {
		out = append(out, UnitStep{d.Spelling, d.Factor, d.Offset, d.From, d.Home})
	}
	return out
}
