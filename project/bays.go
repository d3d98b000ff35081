package project

import (
	"fmt"

	"packyard/bay"
	"packyard/cell"
	"packyard/check"
	"packyard/unit"
	"packyard/vehicle"
)

// Stand-ins for a bay, all of them assumptions.
const (
	wallAssumed      = 3 * unit.Millimetre
	clearanceAssumed = 5 * unit.Millimetre
	gapAssumed       = 2 * unit.Millimetre
	connectorAssumed = 30 * unit.Millimetre
)

func (r *reader) bays() {
	if len(r.file.Bays) == 0 {
		r.empty("bays", "list at least one space for modules")
	}
	seen := map[string]check.Pos{}
	for i := range r.file.Bays {
		f := &r.file.Bays[i]
		at := fmt.Sprintf("bays[%d]", i)
		r.onlyOnce(seen, f.Name, at+".name", "bay")
		before := len(r.probs.List) + r.probs.More
		b := r.bay(f, at)
		if len(r.probs.List)+r.probs.More > before || !r.readable(f) {
			continue
		}
		if err := b.Validate(); err != nil {
			r.probs.Addf(f.Pos, at, "", "%v", err)
			continue
		}
		r.bayInside(f, &b, at)
		r.bayHolds(f, &b, at)
		r.brief.Bays = append(r.brief.Bays, b)
	}
}

// readable reports whether everything that shapes the bay was read.
func (r *reader) readable(f *BayFile) bool {
	good := r.read(f.Name.Pos) && r.place(f.At)
	for _, g := range []check.Given[unit.Length]{f.Wall, f.Clearance, f.Gap, f.Connector} {
		good = good && (!g.IsGiven() || ok(r, g))
	}
	for _, g := range []check.Given[unit.Angle]{f.Yaw, f.Pitch} {
		good = good && (!g.IsGiven() || ok(r, g))
	}
	if len(f.Boxes) == 0 {
		good = good && r.place(f.Size)
	}
	for _, list := range [][]BoxFile{f.Boxes, f.KeepOut} {
		for _, x := range list {
			good = good && r.place(x.At) && r.place(x.Size)
		}
	}
	return good && (!f.Opens.IsGiven() || r.read(f.Opens.Pos))
}

// bay turns the words into a bay.
func (r *reader) bay(f *BayFile, at string) bay.Bay {
	b := bay.Bay{
		Name: f.Name.Value, At: vehicle.Point{X: f.At[0].SI, Y: f.At[1].SI, Z: f.At[2].SI},
		Yaw: f.Yaw.SI, Pitch: f.Pitch.SI, MassLimit: f.MassLimit.SI, BoxMass: f.BoxMass.SI, Opens: bay.Side(f.Opens.Value),
		Wall:      or(r, f.Wall, at+".wall", wallAssumed, "assumption"),
		Clearance: or(r, f.Clearance, at+".clearance", clearanceAssumed, "assumption"),
		Gap:       or(r, f.Gap, at+".gap", gapAssumed, "assumption"),
		Connector: or(r, f.Connector, at+".connector", connectorAssumed, "assumption"),
	}
	if !f.Opens.IsGiven() {
		b.Opens = bay.Top
	}
	switch {
	case len(f.Boxes) > 0 && !f.Size[0].Pos.IsZero():
		r.probs.Addf(f.Size[0].Pos, at+".size", "take one of the two out", "stands beside boxes")
	case len(f.Boxes) > 0:
		b.Boxes = boxes(f.Boxes)
	case !f.Size[0].Pos.IsZero():
		b.Boxes = []bay.Box{{Size: bay.Vec{X: f.Size[0].SI, Y: f.Size[1].SI, Z: f.Size[2].SI}}}
	default:
		r.missing(f.Pos, at, "size", "write size: [length, width, height], or boxes")
	}
	b.KeepOuts = boxes(f.KeepOut)
	return b
}

func boxes(list []BoxFile) []bay.Box {
	var out []bay.Box
	for _, x := range list {
		out = append(out, bay.Box{At: bay.Vec{X: x.At[0].SI, Y: x.At[1].SI, Z: x.At[2].SI}, Size: bay.Vec{X: x.Size[0].SI, Y: x.Size[1].SI, Z: x.Size[2].SI}})
	}
	return out
}

// bayInside holds the corners of the bay against the vehicle.
func (r *reader) bayInside(f *BayFile, b *bay.Bay, at string) {
	for _, x := range b.Boxes {
		for corner := range 8 {
			v := x.At
			if corner&1 != 0 {
				v.X += x.Size.X
			}
			if corner&2 != 0 {
				v.Y += x.Size.Y
			}
			if corner&4 != 0 {
				v.Z += x.Size.Z
			}
			if side, outside := r.outside(b.ToVehicle(v)); outside {
				r.probs.Addf(f.At[0].Pos, at+".at", r.envelope().hint(), "%q lies outside the vehicle: a corner of it is %s", b.Name, side)
				return
			}
		}
	}
}

// bayHolds records a bay that takes not one module of any source. Proven, not
// guessed: the bound of the solver is zero for every kind.
func (r *reader) bayHolds(f *BayFile, b *bay.Bay, at string) {
	var smallest *bay.Kind
	for _, kinds := range r.kinds {
		for i := range kinds {
			k := &kinds[i]
			if n, bound, _ := bay.Most(b, *k, bay.Options{Nodes: -1}); n > 0 || bound > 0 {
				return
			}
			if smallest == nil || volume(k.Size) < volume(smallest.Size) {
				smallest = k
			}
		}
	}
	if smallest == nil {
		return // no source could be read
	}
	_, size := b.Extent()
	inset := 2 * (b.Wall + b.Clearance)
	pos, path := f.Size[0].Pos, at+".size"
	if pos.IsZero() {
		pos, path = f.Pos, at
	}
	r.probs.Addf(pos, path, "make it larger, or add a source of smaller modules",
		"%q is too small for every module of the sources: %.0f × %.0f × %.0f mm inside walls and clearance, and the smallest module, %s, is %.0f × %.0f × %.0f mm with room for cables of %.0f mm over its terminals",
		b.Name, (size.X - inset).Millimetres(), (size.Y - inset).Millimetres(), (size.Z - inset).Millimetres(),
		smallest.Name, smallest.Size.X.Millimetres(), smallest.Size.Y.Millimetres(), smallest.Size.Z.Millimetres(), b.Connector.Millimetres())
}

func volume(s cell.Size) float64 { return float64(s.X) * float64(s.Y) * float64(s.Z) }
