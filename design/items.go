package design

import (
	"packyard/unit"
	"packyard/vehicle"
)

// Items returns the pack as lines of the mass ledger: for each bay in use its
// modules, with their share of cooling and fixed parts, and its box.
func (f *Frame) Items(p *Placed) []vehicle.Item { return f.items(p) }

// LineOf returns a state of the vehicle for printing.
func LineOf(s vehicle.State) StateLine { return stateLine(s) }

// BoxMass returns the mass of the battery box of bay i, as stated or estimated.
func (f *Frame) BoxMass(i int) unit.Mass { return unit.Mass(f.bays[i].boxMass) }
