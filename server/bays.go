package server

import (
	"fmt"
	"net/http"

	"packyard/bay"
	"packyard/design"
	"packyard/unit"
	"packyard/vehicle"
)

// Bays are the spaces of the vehicle with what stands in them.
type Bays struct {
	Revision   int64               `json:"revision"`
	Option     string              `json:"option"` // whose modules stand there; "" for none
	Wheelbase  unit.Length         `json:"wheelbase_m"`
	TrackFront unit.Length         `json:"track_front_m"`
	TrackRear  unit.Length         `json:"track_rear_m"`
	TyreRadius unit.Length         `json:"tyre_radius_m"`
	Outline    *Outline            `json:"outline"`
	Modules    []design.ModuleLine `json:"modules"`
	Bays       []BayView           `json:"bays"`
}

// BayView is one bay. A point p of the bay frame is at At + Σ Axes[i]·p[i] in
// the vehicle frame.
type BayView struct {
	Path      string         `json:"path"`
	Name      string         `json:"name"`
	At        [3]unit.Length `json:"at_m"`
	Axes      [3][3]float64  `json:"axes"` // unit vectors, dimensionless
	Yaw       unit.Angle     `json:"yaw_rad"`
	Pitch     unit.Angle     `json:"pitch_rad"`
	Boxes     []BoxView      `json:"boxes"`
	KeepOuts  []BoxView      `json:"keep_outs"`
	Corner    [3]unit.Length `json:"corner_m"`   // of the extent, bay frame
	Size      [3]unit.Length `json:"size_m"`     // of the extent, bay frame
	Least     [3]unit.Length `json:"least_m"`    // of the reach, vehicle frame
	Greatest  [3]unit.Length `json:"greatest_m"` // of the reach, vehicle frame
	Wall      unit.Length    `json:"wall_m"`
	Clearance unit.Length    `json:"clearance_m"`
	Gap       unit.Length    `json:"gap_m"`
	Connector unit.Length    `json:"connector_m"`
	MassLimit unit.Mass      `json:"mass_limit_kg"` // 0: none
	BoxMass   unit.Mass      `json:"box_mass_kg"`   // stated or estimated
	Mass      unit.Mass      `json:"mass_kg"`       // in it, box and all
	Opens     string         `json:"opens"`
	Volume    unit.Volume    `json:"volume_m3"`
	Used      unit.Volume    `json:"used_m3"` // by modules
	Places    []PlaceView    `json:"places"`
	Room      []Room         `json:"room"`
}

// BoxView is a box of a bay; the path is "" where the bay is one box.
type BoxView struct {
	Path    string            `json:"path"`
	At      [3]unit.Length    `json:"at_m"`   // bay frame
	Size    [3]unit.Length    `json:"size_m"` // bay frame
	Corners [8][3]unit.Length `json:"corners_m"`
}

// PlaceView is a module in its place.
type PlaceView struct {
	design.PlaceLine
	Corners [8][3]unit.Length `json:"corners_m"`
}

func (s *Server) bays(r *http.Request) (any, error) {
	snap, revision, a, err := s.asked(r)
	if err != nil {
		return nil, err
	}
	f, err := snap.frame()
	if err != nil {
		return nil, err
	}
	return baysOf(snap, f, revision, a), nil
}

func baysOf(snap *snapshot, f *design.Frame, revision int64, a *assessed) *Bays {
	b := &snap.brief
	d := &b.Donor
	out := &Bays{
		Revision: revision, Wheelbase: d.Wheelbase, TrackFront: d.TrackFront, TrackRear: d.TrackRear, TyreRadius: d.TyreRadius,
		Outline: outlineOf(b.Outline), Modules: []design.ModuleLine{},
	}
	if a != nil {
		out.Option, out.Modules = a.report.Option, a.report.Modules
	}
	for i := range b.Bays {
		v := bayView(&b.Bays[i], fmt.Sprintf("bays[%d]", i))
		v.BoxMass = f.BoxMass(i)
		if a != nil {
			line := &a.report.Bays[i]
			v.Mass = line.Mass
			for _, p := range line.Places {
				box := bay.Box{At: bay.Vec{X: p.X, Y: p.Y, Z: p.Z}, Size: bay.Vec{X: p.Length, Y: p.Width, Z: p.Height}}
				v.Places = append(v.Places, PlaceView{p, corners(&b.Bays[i], box)})
				v.Used += unit.Volume(float64(p.Length) * float64(p.Width) * float64(p.Height))
			}
			v.Room = append(v.Room, a.rooms(b)[i]...)
		}
		out.Bays = append(out.Bays, v)
	}
	return out
}

func bayView(b *bay.Bay, path string) BayView {
	corner, size := b.Extent()
	least, greatest := b.Reach()
	v := BayView{
		Path: path, Name: b.Name, At: coordinates(b.At), Yaw: b.Yaw, Pitch: b.Pitch, Corner: vector(corner), Size: vector(size),
		Least: coordinates(least), Greatest: coordinates(greatest), Wall: b.Wall, Clearance: b.Clearance, Gap: b.Gap, Connector: b.Connector,
		MassLimit: b.MassLimit, Opens: string(b.Opens), Volume: b.Volume(), Places: []PlaceView{}, Room: []Room{},
		Boxes: []BoxView{}, KeepOuts: []BoxView{},
	}
	for i, e := range []bay.Vec{{X: 1}, {Y: 1}, {Z: 1}} {
		p := b.ToVehicle(e)
		v.Axes[i] = [3]float64{float64(p.X - b.At.X), float64(p.Y - b.At.Y), float64(p.Z - b.At.Z)}
	}
	for i, x := range b.Boxes {
		at := fmt.Sprintf("%s.boxes[%d]", path, i)
		if len(b.Boxes) == 1 && x.At == (bay.Vec{}) {
			at = "" // written as the size of the bay
		}
		v.Boxes = append(v.Boxes, boxView(b, at, x))
	}
	for i, x := range b.KeepOuts {
		v.KeepOuts = append(v.KeepOuts, boxView(b, fmt.Sprintf("%s.keep_out[%d]", path, i), x))
	}
	return v
}

func boxView(b *bay.Bay, path string, x bay.Box) BoxView {
	return BoxView{Path: path, At: vector(x.At), Size: vector(x.Size), Corners: corners(b, x)}
}

// corners returns the corners of a box in the vehicle frame: bit 0 of the index
// is the far end in x of the bay, bit 1 in y, bit 2 in z.
func corners(b *bay.Bay, x bay.Box) [8][3]unit.Length {
	var out [8][3]unit.Length
	for i := range out {
		p := x.At
		if i&1 != 0 {
			p.X += x.Size.X
		}
		if i&2 != 0 {
			p.Y += x.Size.Y
		}
		if i&4 != 0 {
			p.Z += x.Size.Z
		}
		out[i] = coordinates(b.ToVehicle(p))
	}
	return out
}

func vector(v bay.Vec) [3]unit.Length {
	return coordinates(vehicle.Point{X: v.X, Y: v.Y, Z: v.Z})
}
