package server

import (
	"math"

	"packyard/design"
	"packyard/drive"
	"packyard/unit"
)

// GroupMap is where every series group stands, bay after bay; empty when the
// modules have no proven places.
type GroupMap struct {
	Why  string     `json:"why,omitempty"` // there are no places
	Bays []GroupBay `json:"bays"`
}

// GroupBay is a bay that holds modules.
type GroupBay struct {
	Name    string         `json:"name"`
	Size    [3]unit.Length `json:"size_m"`
	Modules []GroupModule  `json:"modules"`
}

// GroupModule is a module in its place, in the frame of the bay.
type GroupModule struct {
	At        [3]unit.Length `json:"at_m"`
	Size      [3]unit.Length `json:"size_m"`
	Along     string         `json:"along"`     // axis of the stack
	Terminals string         `json:"terminals"` // side of the bay that they face
	String    int            `json:"string"`    // from 1
	Groups    []GroupSlab    `json:"groups"`
}

// GroupSlab is a group in its module, in the frame of the bay.
type GroupSlab struct {
	Group int            `json:"group"` // from 1, string after string
	At    [3]unit.Length `json:"at_m"`
	Size  [3]unit.Length `json:"size_m"`
	// The near pole is the plus pole; the poles turn from one group to the next.
	Plus bool `json:"plus_near"`
}

// GroupViews are all groups at once, at some times: of each time as many
// entries as there are groups, rounded to 0.1 mV and 0.01 K.
type GroupViews struct {
	Count       int       `json:"groups"`
	Time        []float64 `json:"time_s"`                  // s, one entry per view
	Voltage     []float64 `json:"voltage_v,omitempty"`     // V
	Temperature []float64 `json:"temperature_k,omitempty"` // K
}

// viewsMost is how many views of all groups are sent at most.
const viewsMost = 240

// mapOf returns where the groups of an option stand.
func mapOf(f *design.Frame, p *design.Placed) GroupMap {
	out := GroupMap{Bays: []GroupBay{}}
	seats, err := f.Seats(p)
	if err != nil {
		out.Why = err.Error()
		return out
	}
	type place struct{ bay, place int }
	bays, modules := map[int]int{}, map[place]int{}
	for i := range seats {
		s := &seats[i]
		b, ok := bays[s.Bay]
		if !ok {
			b = len(out.Bays)
			bays[s.Bay] = b
			_, size := f.Brief.Bays[s.Bay].Extent()
			out.Bays = append(out.Bays, GroupBay{Name: f.Brief.Bays[s.Bay].Name, Size: vector(size), Modules: []GroupModule{}})
		}
		list := &out.Bays[b].Modules
		at := place{s.Bay, s.Place}
		m, ok := modules[at]
		if !ok {
			m = len(*list)
			modules[at] = m
			pl := &p.Places[s.Bay][s.Place]
			*list = append(*list, GroupModule{
				At: vector(pl.Box.At), Size: vector(pl.Box.Size), Along: string(s.Along), Terminals: string(pl.Terminals), String: s.String + 1, Groups: []GroupSlab{},
			})
		}
		(*list)[m].Groups = append((*list)[m].Groups, slabOf(i+1, s))
	}
	return out
}

func slabOf(group int, s *design.Seat) GroupSlab {
	return GroupSlab{Group: group, At: vector(s.Slab.At), Size: vector(s.Slab.Size), Plus: !s.Turned}
}

// thinned picks at most n of the rows 0 … rows−1, the first and the last among
// them.
func thinned(rows, n int) []int {
	if rows <= n {
		out := make([]int, rows)
		for i := range out {
			out[i] = i
		}
		return out
	}
	out := make([]int, n)
	for i := range out {
		out[i] = i * (rows - 1) / (n - 1)
	}
	return out
}

// viewed returns views of count groups at the picked rows.
func viewed(time []float64, count int, columns ...[]float64) (v GroupViews, picked [][]float64) {
	v = GroupViews{Count: count, Time: []float64{}}
	picked = make([][]float64, len(columns))
	for _, k := range thinned(len(time), viewsMost) {
		v.Time = append(v.Time, time[k])
		for c, col := range columns {
			picked[c] = append(picked[c], col[k*count:(k+1)*count]...)
		}
	}
	return v, picked
}

func rounded(list []float64, step float64) []float64 {
	for i, x := range list {
		list[i] = math.Round(x/step) * step
		// The product carries digits that say nothing: 298.15000000000003.
		list[i] = math.Round(list[i]*1e6) / 1e6
	}
	return list
}

// viewsOfRun are the views of a run per group.
func viewsOfRun(t *drive.GroupTrace) GroupViews {
	v, picked := viewed(t.ViewTime, t.Count, t.Voltage, t.Temperature)
	v.Voltage, v.Temperature = rounded(picked[0], 1e-4), rounded(picked[1], 0.01)
	return v
}
