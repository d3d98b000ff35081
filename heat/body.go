package heat

import (
	"errors"
	"fmt"
	"math"

	"packyard/unit"
)

// ErrBody says that a Body is incomplete or out of range.
var ErrBody = errors.New("pack cannot be computed for its heat")

// Body describes a pack for its heat: groups in modules in boxes, and what
// cools and heats them. A cell stands as one node with its group.
type Body struct {
	Groups  []Group
	Modules []Module
	Boxes   []Box
	Circuit *Circuit   // nil: no coolant
	Pads    unit.Power // heating pads at the holders of all modules together; zero: none
	Control Control
}

// Group is cells in parallel, or one slice of several groups: one source.
type Group struct {
	Name     string
	Capacity unit.HeatCapacity // of its cells
	Module   int               // index into Body.Modules
	Holder   unit.ThermalConductance
	Plate    unit.ThermalConductance // to the metal of the cold plate; not used without a circuit
	Next     unit.ThermalConductance // to the group after it in the list, where that stands in the same module
}

// Module is what holds groups.
type Module struct {
	Name    string
	Box     int               // index into Body.Boxes
	Holder  unit.HeatCapacity // frames, heat-spreading plates, end plates
	Surface unit.Area         // that looks at the air in the box
	Height  unit.Length       // of its sides
	Mount   unit.ThermalConductance
	Plate   Plate             // cold plate; not used without a circuit
	Metal   unit.HeatCapacity // of the cold plate
}

// Box is the battery box of a bay.
type Box struct {
	Name       string
	Capacity   unit.HeatCapacity
	Surface    unit.Area
	Height     unit.Length
	Length     unit.Length // along the air stream
	Insulation Layer       // on its whole surface; zero: bare metal
	AirShare   unit.Ratio  // speed of the air at the box over that of the vehicle
}

// Circuit is the coolant of a pack, round and round: supply, stages one after
// the other, radiator.
type Circuit struct {
	Fluid    *Fluid
	Stages   [][][]int       // of each stage its branches in parallel, of each branch the modules in series
	Flow     unit.VolumeFlow // held by the pump, when no Pump is given
	Pump     *Pump
	Draws    unit.Power // of the pump that holds Flow, beside what moving the coolant takes
	Hose     Duct       // all hoses in series
	Volume   unit.Volume
	Radiator *Radiator
	Chiller  *Chiller
	Heater   *Heater
}

// Radiator gives the heat of the coolant to the air outside while its fan runs.
type Radiator struct {
	Exchanger
	Fan unit.Power
}

// Chiller takes heat from the coolant by refrigeration.
type Chiller struct {
	Power      unit.Power       // heat taken at most
	COP        unit.Ratio       // heat taken over electric power
	CoolantMin unit.Temperature // the coolant is not made colder
}

// Heater heats the coolant electrically.
type Heater struct {
	Power      unit.Power
	CoolantMax unit.Temperature // the coolant is not made warmer
}

// Control is when what runs, by the hottest and the coldest group. A border of
// zero is never met.
type Control struct {
	CoolAbove  unit.Temperature // pump and fan
	ChillAbove unit.Temperature // pump and chiller
	HeatBelow  unit.Temperature // pump and heater, or pads
	Band       unit.TemperatureDelta
	PumpAlways bool // the pump runs all the time
}

// Validate returns ErrBody with the first thing that is missing or out of range.
func (b *Body) Validate() error {
	bad := func(format string, a ...any) error {
		return fmt.Errorf("%w: "+format, append([]any{ErrBody}, a...)...)
	}
	positive := func(v float64) bool { return v > 0 && !math.IsInf(v, 0) }
	fine := func(v float64) bool { return v >= 0 && !math.IsInf(v, 0) }
	if len(b.Groups) == 0 || len(b.Modules) == 0 || len(b.Boxes) == 0 {
		return bad("%d groups in %d modules in %d boxes: at least one of each is needed", len(b.Groups), len(b.Modules), len(b.Boxes))
	}
	for _, g := range b.Groups {
		if g.Module < 0 || g.Module >= len(b.Modules) || !positive(float64(g.Capacity)) ||
			!fine(float64(g.Holder)) || !fine(float64(g.Plate)) || !fine(float64(g.Next)) {
			return bad("group %s in module %d: heat capacity %g J/K must be above 0, conductances %g, %g and %g W/K 0 or more", g.Name, g.Module,
				float64(g.Capacity), float64(g.Holder), float64(g.Plate), float64(g.Next))
		}
	}
	for _, m := range b.Modules {
		if m.Box < 0 || m.Box >= len(b.Boxes) || !positive(float64(m.Holder)) || !positive(float64(m.Surface)) || !positive(float64(m.Height)) || !fine(float64(m.Mount)) {
			return bad("module %s in box %d: holder %g J/K, surface %g m² and height %g m must be above 0, mount %g W/K 0 or more", m.Name, m.Box,
				float64(m.Holder), float64(m.Surface), float64(m.Height), float64(m.Mount))
		}
	}
	for _, x := range b.Boxes {
		if !positive(float64(x.Capacity)) || !positive(float64(x.Surface)) || !positive(float64(x.Height)) || !positive(float64(x.Length)) || !fine(float64(x.AirShare)) {
			return bad("box %s: heat capacity %g J/K, surface %g m², height %g m and length %g m must be above 0, its share of the air stream %g 0 or more", x.Name,
				float64(x.Capacity), float64(x.Surface), float64(x.Height), float64(x.Length), float64(x.AirShare))
		}
		if l := x.Insulation; l != (Layer{}) && (!positive(float64(l.Thickness)) || !positive(float64(l.Conductivity))) {
			return bad("insulation of box %s: %g m of %g W/(m·K): both must be above 0", x.Name, float64(l.Thickness), float64(l.Conductivity))
		}
	}
	if !fine(float64(b.Pads)) || !fine(float64(b.Control.Band)) {
		return bad("heating pads of %g W, band of %g K: both must be 0 or more", float64(b.Pads), float64(b.Control.Band))
	}
	if b.Circuit != nil {
		return b.validateCircuit()
	}
	return nil
}

// validateCircuit holds the circuit against the modules: each is passed once.
func (b *Body) validateCircuit() error {
	bad := func(format string, a ...any) error {
		return fmt.Errorf("%w: "+format, append([]any{ErrBody}, a...)...)
	}
	fine := func(v float64) bool { return v >= 0 && !math.IsInf(v, 0) }
	c := b.Circuit
	if c.Fluid == nil || len(c.Stages) == 0 || !(c.Volume > 0) || math.IsInf(float64(c.Volume), 0) {
		return bad("coolant circuit: a fluid, at least one stage and a volume above 0 are needed, the volume is %g m³", float64(c.Volume))
	}
	if !fine(float64(c.Flow)) || !fine(float64(c.Draws)) || !fine(float64(c.Hose.Length)) || c.Hose.Length > 0 && !(c.Hose.Area() > 0) {
		return bad("coolant circuit: flow %g m³/s, pump %g W and hoses of %g m must be 0 or more", float64(c.Flow), float64(c.Draws), float64(c.Hose.Length))
	}
	if c.Pump != nil {
		if err := c.Pump.Validate(); err != nil {
			return fmt.Errorf("%w: %w", ErrBody, err)
		}
	}
	if x := c.Chiller; x != nil && (!fine(float64(x.Power)) || !(x.COP > 0)) {
		return bad("chiller: power %g W must be 0 or more, coefficient of performance %g above 0", float64(x.Power), float64(x.COP))
	}
	if x := c.Heater; x != nil && !fine(float64(x.Power)) {
		return bad("heater: power %g W must be 0 or more", float64(x.Power))
	}
	if x := c.Radiator; x != nil && (!fine(float64(x.Conductance)) || !fine(float64(x.AirRated)) || !fine(float64(x.Fan))) {
		return bad("radiator: conductance %g W/K, air %g kg/s and fan %g W must be 0 or more", float64(x.Conductance), float64(x.AirRated), float64(x.Fan))
	}
	passed := make([]int, len(b.Modules))
	for _, stage := range c.Stages {
		if len(stage) == 0 {
			return bad("coolant circuit: a stage without a branch")
		}
		for _, branch := range stage {
			if len(branch) == 0 {
				return bad("coolant circuit: a branch without a module")
			}
			for _, m := range branch {
				if m < 0 || m >= len(b.Modules) {
					return bad("coolant circuit: module %d of %d", m, len(b.Modules))
				}
				passed[m]++
			}
		}
	}
	for i, n := range passed {
		p := b.Modules[i].Plate.Channel
		if n != 1 || !(p.Area() > 0) || !(p.Length > 0) || !(b.Modules[i].Metal > 0) {
			return bad("coolant circuit: module %s is passed %d times by a channel of %g m² over %g m: once, above 0 and above 0 are needed", b.Modules[i].Name, n, float64(p.Area()), float64(p.Length))
		}
	}
	return nil
}
