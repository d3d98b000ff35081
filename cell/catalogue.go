package cell

import (
	"fmt"
	"path"
	"slices"
	"sync"

	"packyard/check"
	"packyard/internal/sheet"
)

// Catalogue is a set of cells, modules and hardware, each kind in the order of
// the files. An id is unique over all kinds.
type Catalogue struct {
	Cells    []*Cell
	Modules  []*Module
	Hardware []*Hardware
}

// Cell returns the cell with the id, or nil.
func (c *Catalogue) Cell(id string) *Cell {
	return find(c.Cells, id, func(x *Cell) string { return x.ID })
}

// Module returns the module with the id, or nil.
func (c *Catalogue) Module(id string) *Module {
	return find(c.Modules, id, func(x *Module) string { return x.ID })
}

// HardwareByID returns the hardware with the id, or nil.
func (c *Catalogue) HardwareByID(id string) *Hardware {
	return find(c.Hardware, id, func(x *Hardware) string { return x.ID })
}

// HardwareFor returns the hardware that takes the loose cell, the latest entry
// first so that one of the workshop goes before a built-in one; nil if none does.
func (c *Catalogue) HardwareFor(id string) *Hardware {
	for i := len(c.Hardware) - 1; i >= 0; i-- {
		if slices.Contains(c.Hardware[i].Cells, id) {
			return c.Hardware[i]
		}
	}
	return nil
}

// IDs returns the ids of all kinds, in the order of the files.
func (c *Catalogue) IDs() []string {
	var out []string
	for _, x := range c.Cells {
		out = append(out, x.ID)
	}
	for _, x := range c.Modules {
		out = append(out, x.ID)
	}
	for _, x := range c.Hardware {
		out = append(out, x.ID)
	}
	return out
}

func find[T any](list []*T, id string, name func(*T) string) *T {
	for _, x := range list {
		if name(x) == id {
			return x
		}
	}
	return nil
}

var builtIn = sync.OnceValue(func() *Catalogue {
	var probs check.Problems
	c := &Catalogue{}
	entries, err := files.ReadDir("data")
	if err != nil {
		panic("cell: embedded catalogue: " + err.Error())
	}
	var all Sheet
	for _, e := range entries {
		if path.Ext(e.Name()) != ".yaml" {
			continue
		}
		data, err := files.ReadFile("data/" + e.Name())
		if err != nil {
			panic("cell: embedded catalogue: " + err.Error())
		}
		var s Sheet
		sheet.Decode(e.Name(), data, &s, &probs)
		all.Cells = append(all.Cells, s.Cells...)
		all.Hardware = append(all.Hardware, s.Hardware...)
		all.Modules = append(all.Modules, s.Modules...)
	}
	c = all.Build(nil, &probs)
	if err := probs.Err(); err != nil {
		panic(fmt.Sprintf("cell: embedded catalogue: %v", err)) // held by a test
	}
	return c
})

// BuiltIn returns the generic catalogue of the program, read once. It must not
// be changed. Every figure of it has a Fact with source and status.
func BuiltIn() *Catalogue { return builtIn() }
