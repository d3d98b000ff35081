package design

import (
	"fmt"

	"packyard/bay"
	"packyard/cell"
	"packyard/unit"
)

// Seat is the place of one series group in the vehicle: the slab of its module
// that its cells fill.
type Seat struct {
	Bay    int     // index into Brief.Bays
	Place  int     // index into Placed.Places of the bay
	String int     // from 0
	Along  byte    // bay axis of the stack: 'x', 'y' or 'z'
	Slab   bay.Box // bay frame
	// Turned: the poles stand the other way round than those of the first group
	// of the module, as they do from one group to the next, so that short bars
	// join them. Source: common-practice.
	Turned bool
}

// Seats returns the place of every group of a placed option in the order of
// drive.Groups, string after string: the order in which Thermal takes them. The
// groups of a module fill its length in equal slabs between the end plates,
// which are taken to be alike. Errors: ErrHeat when a module has no place or the
// coolant does not pass it.
func (f *Frame) Seats(p *Placed) ([]Seat, error) {
	order, _, err := f.path(p)
	if err != nil {
		return nil, err
	}
	var free [2][]Seat
	for _, i := range order {
		if len(p.Places[i]) != p.Loading.Count[i][0]+p.Loading.Count[i][1] {
			return nil, fmt.Errorf("%w: the places of the modules in bay %q are not known", ErrHeat, f.Brief.Bays[i].Name)
		}
		for k, pl := range p.Places[i] {
			free[pl.Kind] = append(free[pl.Kind], Seat{Bay: i, Place: k})
		}
	}
	var out []Seat
	for j := range p.Wiring.Topology.Strings {
		for kind, n := range p.Modules.String {
			for range n {
				if len(free[kind]) == 0 {
					return nil, fmt.Errorf("%w: fewer places than modules", ErrHeat)
				}
				s := free[kind][0]
				free[kind] = free[kind][1:]
				s.String = j
				out = appendSlabs(out, s, &p.Modules.Stack[kind], &p.Places[s.Bay][s.Place])
			}
		}
	}
	return out, nil
}

// appendSlabs adds a seat for each group of a module.
func appendSlabs(out []Seat, s Seat, st *cell.Stack, pl *bay.Placement) []Seat {
	length := float64(st.Size.X)
	n := st.Series()
	cells := min(length, float64(st.Slice.Pitch)*float64(st.Groups*st.SlicesParallel))
	if !(cells > 0) {
		cells = length
	}
	start, each := (length-cells)/2, unit.Length(cells/float64(n))
	for k := range n {
		at := unit.Length(start) + unit.Length(k)*each
		g := s
		g.Slab, g.Turned = pl.Box, k%2 == 1
		switch {
		case pl.Orientation == cell.XUp:
			g.Along = 'z'
			g.Slab.At.Z, g.Slab.Size.Z = pl.Box.At.Z+at, each
		case pl.Turned:
			g.Along = 'y'
			g.Slab.At.Y, g.Slab.Size.Y = pl.Box.At.Y+at, each
		default:
			g.Along = 'x'
			g.Slab.At.X, g.Slab.Size.X = pl.Box.At.X+at, each
		}
		out = append(out, g)
	}
	return out
}

// CoolantPath returns the stages that the coolant passes one after the other, of
// each the bays side by side as indices into Brief.Bays; nil for a passive pack.
// Errors: ErrHeat.
func (f *Frame) CoolantPath(p *Placed) ([][]int, error) {
	if !f.Brief.Cooling.Plates {
		return nil, nil
	}
	_, stages, err := f.path(p)
	return stages, err
}

// groupNames returns a function that says where a group stands, counted from 0:
// bay, module in it, group in the module. Without places it is the number of the
// group; −1 is the pack as a whole.
func (f *Frame) groupNames(p *Placed) func(group int) string {
	seats, err := f.Seats(p)
	if err != nil {
		seats = nil
	}
	names := make([]string, len(seats))
	type place struct{ bay, place int }
	modules, groups := map[place]int{}, map[place]int{}
	inBay := map[int]int{}
	for i, s := range seats {
		at := place{s.Bay, s.Place}
		if groups[at] == 0 {
			inBay[s.Bay]++
			modules[at] = inBay[s.Bay]
		}
		groups[at]++
		names[i] = fmt.Sprintf("%s, module %d, group %d", f.Brief.Bays[s.Bay].Name, modules[at], groups[at])
	}
	return func(group int) string {
		switch {
		case group < 0:
			return "the pack as a whole"
		case group < len(names):
			return names[group]
		}
		return fmt.Sprintf("group %d", group+1)
	}
}
