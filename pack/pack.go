package pack

import (
	"packyard/cell"
	"packyard/unit"
)

// Topology is how a pack is wired, written 104S2P or 2×104S2P.
type Topology struct {
	Series   int // cells in series in each string
	Parallel int // cells in parallel in each group
	Strings  int // strings in parallel
}

// Pack is a complete battery, electrically: what drive, design and search read.
type Pack struct {
	Topology   Topology
	Cell       *cell.Cell
	Resistance unit.Resistance // of interconnects, modules and cables, the whole pack, without cells
	SoCMin     unit.Ratio      // charge floor of use
	SoCMax     unit.Ratio      // charge at "full"
}
