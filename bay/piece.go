package bay

import (
	"packyard/cell"
	"packyard/unit"
)

// shape is one way for a module of a kind to stand: its size in the bay frame
// with connector room and with the gap on the far sides.
type shape struct {
	kind        int
	size        vec
	body        Vec // edge lengths of the module itself in the bay frame
	orientation cell.Orientation
	turned      bool
	up          int // bay axis of the module's own z, which its terminals face
	volume      float64
}

// standing returns the edges of a module in the bay frame, and the bay axis
// that its own z lies on.
func standing(s cell.Size, o cell.Orientation, turned bool) (edges Vec, up int) {
	switch {
	case o == cell.YUp && !turned:
		return Vec{s.X, s.Z, s.Y}, 1
	case o == cell.YUp:
		return Vec{s.Z, s.X, s.Y}, 0
	case o == cell.XUp && !turned:
		return Vec{s.Y, s.Z, s.X}, 1
	case o == cell.XUp:
		return Vec{s.Z, s.Y, s.X}, 0
	case !turned:
		return Vec{s.X, s.Y, s.Z}, 2
	default:
		return Vec{s.Y, s.X, s.Z}, 2
	}
}

// shapesOf lists the distinct shapes of the kinds that fit into a container of
// this size alone. Of two ways to stand that take the same room, the first
// allowed orientation is kept.
func shapesOf(b *Bay, kinds []Kind, size vec, out []shape) []shape {
	gap, room := micrometres(float64(b.Gap)), micrometres(float64(b.Connector))
	out = out[:0]
	for k := range kinds {
		first := len(out)
		for _, o := range kinds[k].Orientations {
			for _, turned := range [2]bool{false, true} {
				edges, up := standing(kinds[k].Size, o, turned)
				sh := shape{kind: k, size: vecOf(edges), body: edges, orientation: o, turned: turned, up: up}
				sh.size[up] += room
				sh.volume = 1
				fits := true
				for a := range 3 {
					fits = fits && sh.size[a] > 0
					sh.size[a] += gap
					fits = fits && sh.size[a] <= size[a]
					sh.volume *= float64(sh.size[a])
				}
				for _, other := range out[first:] {
					fits = fits && other.size != sh.size
				}
				if fits {
					out = append(out, sh)
				}
			}
		}
	}
	return out
}

// spot is one shape in its place.
type spot struct {
	shape int
	at    vec
}

// placement turns a spot of the region into the bay frame. Terminals that lie
// level face the opening if it is on their axis, else the rear or the left.
func (s *space) placement(r *region, sh *shape, at vec, room int64) Placement {
	far := true
	if sh.up == s.axis && sh.up != 2 {
		far = s.far
	}
	var corner [3]unit.Length
	for a := range 3 {
		v := at[a] + r.origin[a]
		if a == sh.up && !far {
			v += room
		}
		corner[a] = unit.Length(float64(v) / 1e6)
	}
	return Placement{
		Kind: sh.kind, Orientation: sh.orientation, Turned: sh.turned, Terminals: sideOf(sh.up, far),
		Box: Box{At: Vec{corner[0], corner[1], corner[2]}, Size: sh.body},
	}
}
