package part

import (
	"embed"
	"fmt"
	"path"
	"slices"
	"sync"

	"packyard/cell"
	"packyard/check"
	"packyard/internal/sheet"
	"packyard/unit"
)

// StageKind is a kind of gear or shaft with its published efficiency.
type StageKind struct {
	ID, Title                     string
	EfficiencyLow, EfficiencyHigh unit.Ratio
	Facts                         []cell.Fact
}

// Efficiency returns the middle of the published range.
func (k *StageKind) Efficiency() unit.Ratio { return (k.EfficiencyLow + k.EfficiencyHigh) / 2 }

// Catalogue is a set of parts, each kind in the order of the files. An id is
// unique over all kinds.
type Catalogue struct {
	DriveUnits []*DriveUnit
	Inverters  []*Inverter
	Chargers   []*Charger
	Converters []*Converter
	StageKinds []*StageKind

	Fuses       []*Fuse
	Contactors  []*Contactor
	Cables      []*CableSize
	Disconnects []*Disconnect
	Monitors    []*IsolationMonitor
	Resistors   []*PulseResistor
}

// DriveUnit returns the unit with the id, or nil.
func (c *Catalogue) DriveUnit(id string) *DriveUnit {
	for _, p := range c.DriveUnits {
		if p.ID == id {
			return p
		}
	}
	return nil
}

// Inverter returns the inverter with the id, or nil.
func (c *Catalogue) Inverter(id string) *Inverter {
	for _, p := range c.Inverters {
		if p.ID == id {
			return p
		}
	}
	return nil
}

// Charger returns the charger with the id, or nil.
func (c *Catalogue) Charger(id string) *Charger {
	for _, p := range c.Chargers {
		if p.ID == id {
			return p
		}
	}
	return nil
}

// Converter returns the converter with the id, or nil.
func (c *Catalogue) Converter(id string) *Converter {
	for _, p := range c.Converters {
		if p.ID == id {
			return p
		}
	}
	return nil
}

// StageKind returns the kind of stage with the id, or nil.
func (c *Catalogue) StageKind(id string) *StageKind {
	for _, p := range c.StageKinds {
		if p.ID == id {
			return p
		}
	}
	return nil
}

// Fuse returns the fuse with the id, or nil.
func (c *Catalogue) Fuse(id string) *Fuse {
	for _, p := range c.Fuses {
		if p.ID == id {
			return p
		}
	}
	return nil
}

// Contactor returns the contactor with the id, or nil.
func (c *Catalogue) Contactor(id string) *Contactor {
	for _, p := range c.Contactors {
		if p.ID == id {
			return p
		}
	}
	return nil
}

// IDs returns the ids of all parts, by kind.
func (c *Catalogue) IDs() []string {
	return slices.Concat(
		idsOf(c.DriveUnits, func(p *DriveUnit) string { return p.ID }), idsOf(c.Inverters, func(p *Inverter) string { return p.ID }),
		idsOf(c.Chargers, func(p *Charger) string { return p.ID }), idsOf(c.Converters, func(p *Converter) string { return p.ID }),
		idsOf(c.StageKinds, func(p *StageKind) string { return p.ID }), idsOf(c.Fuses, func(p *Fuse) string { return p.ID }),
		idsOf(c.Contactors, func(p *Contactor) string { return p.ID }), idsOf(c.Cables, func(p *CableSize) string { return p.ID }),
		idsOf(c.Disconnects, func(p *Disconnect) string { return p.ID }), idsOf(c.Monitors, func(p *IsolationMonitor) string { return p.ID }),
		idsOf(c.Resistors, func(p *PulseResistor) string { return p.ID }),
	)
}

func idsOf[P any](list []*P, id func(*P) string) []string {
	var out []string
	for _, p := range list {
		out = append(out, id(p))
	}
	return out
}

//go:embed data/*.yaml
var files embed.FS

var builtIn = sync.OnceValues(func() (*Catalogue, error) {
	entries, err := files.ReadDir("data")
	if err != nil {
		return nil, fmt.Errorf("built-in parts: %w", err)
	}
	var probs check.Problems
	out := &Catalogue{}
	for _, e := range entries {
		data, err := files.ReadFile(path.Join("data", e.Name()))
		if err != nil {
			return nil, fmt.Errorf("built-in parts: %w", err)
		}
		var s Sheet
		sheet.Decode(e.Name(), data, &s, &probs)
		out = s.Build(out, &probs)
	}
	return out, probs.Err()
})

// BuiltIn returns the built-in catalogue of generic parts, the same at every
// call and not to be changed. Panics if an embedded file does not read, which
// a test rules out.
func BuiltIn() *Catalogue {
	c, err := builtIn()
	if err != nil {
		panic(err)
	}
	return c
}
