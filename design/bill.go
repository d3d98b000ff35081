package design

import (
	"packyard/unit"
)

// BillLine is one line of what a pack is paid for. Money is in the currency of
// the brief.
type BillLine struct {
	Item     string    `json:"item"`
	Use      string    `json:"for"`
	Count    int       `json:"count"`
	Each     float64   `json:"price_each"` // dimensionless: money is no quantity
	Together float64   `json:"price"`      // dimensionless, as Each
	Mass     unit.Mass `json:"mass_kg,omitempty"`
	Priced   bool      `json:"priced"` // false: no price is known, and both are 0
}

// Bill lists what the price of a placed option is made of, work last. The sum of
// its prices is the Price of the option's figures. A part of the catalogue
// without a price is a line that is not priced.
func (f *Frame) Bill(p *Placed) []BillLine {
	b, w := &f.Brief.Build, &p.Wiring
	s := &f.Brief.Sources[w.Source]
	title := ""
	switch {
	case s.Module != nil:
		title = s.Module.Title
	case s.Cell != nil:
		title = s.Cell.Title
	}
	var out []BillLine
	add := func(item, use string, n int, each float64) {
		if n > 0 {
			out = append(out, BillLine{Item: item, Use: use, Count: n, Each: each, Together: float64(n) * each, Priced: each > 0})
		}
	}
	add(title, "cells", w.Pieces, w.lot.Price)
	hours := float64(b.HoursFixed)
	if w.Form == Regrouped {
		h, n := w.lot.Hardware, p.Modules.Count[0]+p.Modules.Count[1]
		add("end plates and compression hardware of a module", "modules", n, h.PricePerModule.Amount)
		add("holder, bars and heat spreading of a slice", "modules", w.Slices, h.PricePerSlice.Amount)
		hours += float64(n) * float64(h.HoursPerModule)
	}
	for i, n := range p.Loading.Count {
		if n[0]+n[1] > 0 {
			add("box of bay "+f.Brief.Bays[i].Name, "boxes", 1, b.PricePerBay)
			out[len(out)-1].Mass = f.BoxMass(i)
		}
	}
	add("enclosure parts, contactors, fuses, cable and consumables", "pack", 1, b.FixedPrice)
	add("contactors, fuse and monitoring of each further string", "strings", w.Topology.Strings-1, b.PricePerString)
	if b.HourRate > 0 && hours > 0 {
		cost := hours / 3600 * b.HourRate
		out = append(out, BillLine{Item: "work", Use: "pack", Count: 1, Each: cost, Together: cost, Priced: true})
	}
	return out
}
