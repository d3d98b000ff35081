package design

import (
	"errors"
	"fmt"
	"math"

	"packyard/cell"
	"packyard/heat"
	"packyard/unit"
	"packyard/vehicle"
)

// ErrHeat says that a pack cannot be computed for its heat.
var ErrHeat = errors.New("temperatures cannot be computed")

// Figures of cells, frames and boxes that no part states.
const (
	heatAluminium = 900.0  // J/(kg·K). Source: incropera, Table A.1 (from memory)
	heatSteel     = 480.0  // J/(kg·K). Source: incropera, Table A.1 (from memory)
	aluminium     = 2700.0 // kg/m³. Source: en-sheet-grades, rounded
	conductsSheet = 150.0  // W/(m·K), sheet of a heat-spreading plate. Source: assumption, alloys carry 130 to 210

	acrossLayers   = 0.8  // W/(m·K) through a prismatic or pouch cell, of 0.2 to 1.5. Source: drake-2014 (handbook 6.30)
	alongPouch     = 25.0 // W/(m·K), of 15 to 40. Source: handbook 6.31 (from memory)
	alongPrismatic = 20.0 // W/(m·K). Source: assumption, between pouch and round cell
	alongRound     = 13.0 // W/(m·K), of 11.8 to 16.7. Source: handbook 6.31

	gapFilm    = 30.0      // W/(m²·K) between cells and frame: a millimetre of air and radiation. Source: assumption
	mountEach  = 0.5       // W/K of the feet of a module. Source: assumption
	plateMetal = 4e-3      // m of aluminium in a cold plate, channels taken off. Source: assumption
	gasAir     = 287.05287 // J/(kg·K). Source: iso-2533
)

// ThermalOptions are the surroundings of a run; the zero value is the brief's.
type ThermalOptions struct {
	Air   unit.Temperature // zero: ambient of the range runs
	Speed unit.Speed       // of the vehicle, for the air stream at the boxes
}

// Thermal returns the pack of a placed option as a thermal system, its groups in
// the order of drive.Groups: string after string, in series. The modules of a
// string are taken in the order in which the coolant passes the bays, the longer
// ones first. Errors: ErrHeat, with what is missing; those of heat.
func (f *Frame) Thermal(p *Placed, o ThermalOptions) (*heat.System, error) {
	b, err := f.body(p)
	if err != nil {
		return nil, err
	}
	if o.Air == 0 {
		o.Air = f.Brief.Road.Ambient
	}
	air := vehicle.Air{Temperature: o.Air, Altitude: f.Brief.Road.Altitude}
	s, err := heat.NewSystem(*b, heat.Outside{
		Air: o.Air, Speed: o.Speed, Pressure: unit.Pressure(float64(air.Density()) * gasAir * float64(o.Air)),
	})
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrHeat, err)
	}
	return s, nil
}

// seat is a module with its bay, in the order of the coolant.
type seat struct {
	bay    int
	kind   int
	height unit.Length // as it stands
}

// body describes the pack.
func (f *Frame) body(p *Placed) (*heat.Body, error) {
	c := &f.Brief.Cooling
	order, stages, err := f.path(p)
	if err != nil {
		return nil, err
	}
	var seats []seat
	boxes := map[int]int{} // of the body, by bay
	var b heat.Body
	for _, i := range order {
		boxes[i] = len(b.Boxes)
		b.Boxes = append(b.Boxes, f.thermalBox(i))
		seats = append(seats, seatsOf(p, i)...)
	}
	inBay := make([][]int, len(f.Brief.Bays)) // modules of the body
	for i, s := range seats {
		b.Modules = append(b.Modules, f.thermalModule(p, s, boxes[s.bay], len(inBay[s.bay])+1))
		inBay[s.bay] = append(inBay[s.bay], i)
	}
	if err := f.thermalGroups(p, seats, &b); err != nil {
		return nil, err
	}
	b.Pads, b.Control = c.Pads, c.Control
	if !c.Plates {
		return &b, nil
	}
	b.Circuit = &heat.Circuit{
		Fluid: c.Fluid, Flow: c.Flow, Pump: c.Pump, Draws: c.PumpPower, Hose: c.Hose, Volume: c.Volume,
		Radiator: c.Radiator, Chiller: c.Chiller, Heater: c.Heater,
	}
	for _, stage := range stages {
		var branches [][]int
		for _, i := range stage {
			branches = append(branches, inBay[i])
		}
		b.Circuit.Stages = append(b.Circuit.Stages, branches)
	}
	return &b, nil
}

// path returns the bays that hold modules in the order of the coolant, and its
// stages. Without a stated path it is the order of the brief, one after the other.
func (f *Frame) path(p *Placed) (order []int, stages [][]int, err error) {
	if n := p.Loading.Short; n > 0 {
		return nil, nil, fmt.Errorf("%w: %d modules have no place", ErrHeat, n)
	}
	used := func(i int) bool { return p.Loading.Count[i][0]+p.Loading.Count[i][1] > 0 }
	passed := map[int]bool{}
	for _, stage := range f.Brief.Cooling.Path {
		var bays []int
		for _, i := range stage {
			passed[i] = true
			if used(i) {
				bays = append(bays, i)
			}
		}
		if len(bays) > 0 {
			stages = append(stages, bays)
			order = append(order, bays...)
		}
	}
	for i := range f.Brief.Bays {
		if !used(i) || passed[i] {
			continue
		}
		if len(f.Brief.Cooling.Path) > 0 {
			return nil, nil, fmt.Errorf("%w: bay %q holds modules, and the coolant does not pass it", ErrHeat, f.Brief.Bays[i].Name)
		}
		stages = append(stages, []int{i})
		order = append(order, i)
	}
	return order, stages, nil
}

// seatsOf returns the modules of a bay in the order of their places.
func seatsOf(p *Placed, i int) []seat {
	var out []seat
	if i < len(p.Places) && len(p.Places[i]) == p.Loading.Count[i][0]+p.Loading.Count[i][1] {
		for _, pl := range p.Places[i] {
			out = append(out, seat{bay: i, kind: pl.Kind, height: pl.Box.Size.Z})
		}
		return out
	}
	for kind, n := range p.Loading.Count[i] {
		for range n {
			out = append(out, seat{bay: i, kind: kind, height: p.Modules.Stack[kind].Size.Z})
		}
	}
	return out
}

// thermalBox returns the battery box of a bay.
func (f *Frame) thermalBox(i int) heat.Box {
	b := &f.Brief.Bays[i]
	_, size := b.Extent()
	per := heatAluminium
	if f.Brief.Build.BoxDensity > 5000 {
		per = heatSteel
	}
	return heat.Box{
		Name: b.Name, Capacity: unit.HeatCapacity(f.bays[i].boxMass * per), Surface: b.Surface(),
		Height: size.Z, Length: size.X, Insulation: f.Brief.Cooling.Insulation, AirShare: f.Brief.Cooling.AirShare,
	}
}

// thermalModule returns the frame of a module and its cold plate.
func (f *Frame) thermalModule(p *Placed, s seat, box, number int) heat.Module {
	st, c := &p.Modules.Stack[s.kind], &f.Brief.Cooling
	x, y, z := float64(st.Size.X), float64(st.Size.Y), float64(st.Size.Z)
	cells := float64(st.Series()*st.Parallel()) * float64(st.Slice.Cell.Mass)
	m := heat.Module{
		Name: fmt.Sprintf("%s %d", f.Brief.Bays[s.bay].Name, number), Box: box,
		Holder:  unit.HeatCapacity(math.Max(float64(st.Mass)-cells, 0.02*float64(st.Mass)) * heatAluminium),
		Surface: unit.Area(2 * (x*y + y*z + z*x)), Height: s.height, Mount: mountEach,
	}
	if c.Plates {
		channel := c.Channel
		channel.Length = st.Size.X
		m.Plate = heat.Plate{Channel: channel, Channels: c.Channels, Minor: c.Minor}
		m.Metal = unit.HeatCapacity(x * y * plateMetal * aluminium * heatAluminium)
	}
	return m
}

// thermalGroups adds the groups of all strings: module after module, each
// length of the cut taking the next free seats of its kind.
func (f *Frame) thermalGroups(p *Placed, seats []seat, b *heat.Body) error {
	var free [2][]int
	for i, s := range seats {
		free[s.kind] = append(free[s.kind], i)
	}
	t := p.Wiring.Topology
	for j := range t.Strings {
		for kind, n := range p.Modules.String {
			for range n {
				if len(free[kind]) == 0 {
					return fmt.Errorf("%w: fewer places than modules", ErrHeat)
				}
				m := free[kind][0]
				free[kind] = free[kind][1:]
				f.addGroups(p, kind, m, j, b)
			}
		}
	}
	if len(b.Groups) != t.Series*t.Strings {
		return fmt.Errorf("%w: %d groups in the modules, %d in the pack", ErrHeat, len(b.Groups), t.Series*t.Strings)
	}
	return nil
}

// addGroups adds the groups of one module.
func (f *Frame) addGroups(p *Placed, kind, module, str int, b *heat.Body) {
	st := &p.Modules.Stack[kind]
	c := st.Slice.Cell
	n := float64(st.Parallel())
	hold, plate := cellPaths(st, f.Brief.Cooling.Pad)
	next := 0.0
	if c.Format != cell.Cylindrical {
		next = acrossLayers * float64(c.Size.Y) * float64(c.Size.Z) / (n * float64(c.Size.X))
	}
	for k := range st.Series() {
		name := fmt.Sprintf("%s, group %d", b.Modules[module].Name, k+1)
		if p.Wiring.Topology.Strings > 1 {
			name = fmt.Sprintf("string %d, %s", str+1, name)
		}
		b.Groups = append(b.Groups, heat.Group{
			Name: name, Module: module,
			Capacity: unit.HeatCapacity(n * float64(c.Mass) * float64(c.SpecificHeat)),
			Holder:   unit.ThermalConductance(n * hold), Plate: unit.ThermalConductance(n * plate), Next: unit.ThermalConductance(next),
		})
	}
}

// cellPaths returns the conductances of one cell in W/K: over its free sides to
// the frame of the module, and along its height to the cold plate at its foot.
//
//	to the frame  h·A_sides, the faces in the stack taken off
//	to the plate  1/(1/G_along + 1/G_pad),  G_along = (k·A_foot + k_Al·t·Y)/(Z/2)
//
// t is the thickness of the heat-spreading plate that the slice's mass above its
// cells makes at the face of each cell. Source: incropera, ch. 3.
func cellPaths(st *cell.Stack, pad heat.Layer) (hold, plate float64) {
	s := st.Slice
	c := s.Cell
	x, y, z := float64(c.Size.X), float64(c.Size.Y), float64(c.Size.Z)
	foot, sides, along := x*y, 2*(x*y+x*z), alongPrismatic
	switch c.Format {
	case cell.Cylindrical:
		foot, sides, along = math.Pi/4*x*x, math.Pi*x*z+math.Pi/2*x*x, alongRound
	case cell.Pouch:
		along = alongPouch
	}
	carries := along * foot
	if c.Format != cell.Cylindrical {
		n := float64(s.Series * s.Parallel)
		extra := math.Max(float64(s.Mass)/n-float64(c.Mass), 0)
		carries += conductsSheet * extra / (aluminium * y * z) * y
	}
	g := unit.ThermalConductance(carries / (z / 2))
	return gapFilm * sides, float64(heat.Series(g, pad.Conductance(unit.Area(foot))))
}
