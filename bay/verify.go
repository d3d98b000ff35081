package bay

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// ErrPlacement is what every objection of Verify wraps.
var ErrPlacement = errors.New("placement does not hold")

// checkTolerance absorbs the solver's rounding of lengths to whole micrometres:
// two faces, half a micrometre each, and as much again for a gap or an inset.
const checkTolerance = 2e-6 // m

// solid is a box of the checker: least and greatest corner, m, bay frame.
type solid struct{ lo, hi [3]float64 }

func solidOf(b Box) solid {
	lo := [3]float64{float64(b.At.X), float64(b.At.Y), float64(b.At.Z)}
	size := [3]float64{float64(b.Size.X), float64(b.Size.Y), float64(b.Size.Z)}
	return solid{lo, [3]float64{lo[0] + size[0], lo[1] + size[1], lo[2] + size[2]}}
}

func (s solid) grown(by float64) solid {
	for a := range 3 {
		s.lo[a] -= by
		s.hi[a] += by
	}
	return s
}

func (s solid) overlaps(t solid) bool {
	for a := range 3 {
		if s.hi[a] <= t.lo[a] || s.lo[a] >= t.hi[a] {
			return false
		}
	}
	return true
}

// minus returns what is left of s outside t, in at most six boxes.
func (s solid) minus(t solid) []solid {
	if !s.overlaps(t) {
		return []solid{s}
	}
	var parts []solid
	for a := range 3 {
		if s.lo[a] < t.lo[a] {
			part := s
			part.hi[a] = t.lo[a]
			parts = append(parts, part)
			s.lo[a] = t.lo[a]
		}
		if s.hi[a] > t.hi[a] {
			part := s
			part.lo[a] = t.hi[a]
			parts = append(parts, part)
			s.hi[a] = t.hi[a]
		}
	}
	return parts
}

// outside returns what is left of s outside all boxes of the bay's union.
func (c *checker) outside(s solid) []solid {
	left := []solid{s}
	for _, u := range c.union {
		var next []solid
		for _, part := range left {
			next = append(next, part.minus(u)...)
		}
		left = next
	}
	return left
}

// checker holds the bay for Verify; it shares nothing with the solver.
type checker struct {
	union, keepOuts []solid
	inset, gap      float64
	axis            int     // of the opening
	sign            float64 // +1 if the opening is on the far side of the axis
	placed          []solid // modules with connector room, in order
}

// Verify checks placements against the definitions, with a tolerance of 2 µm:
// each kind is there Count times; each module has the edges of an allowed
// orientation; with its connector room it keeps Wall and Clearance from
// everything outside the bay and Gap from every other module (on at least one
// axis); the modules with the box are not heavier than MassLimit; and taken in
// the order given, each comes in straight along the axis of the opening, or so
// and then by one straight slide along another axis of the bay, keeping the same
// distances on its way from the bay, its keep-outs and the modules already in.
// The opening follows the outline of the bay with its steps: outside the bay
// towards the opening nothing is in the way but keep-outs within the bay's extent. The error
// wraps ErrPlacement.
func Verify(b *Bay, kinds []Kind, placements []Placement) error {
	c := checker{inset: float64(b.Wall + b.Clearance), gap: float64(b.Gap)}
	for _, x := range b.Boxes {
		c.union = append(c.union, solidOf(x))
	}
	at, size := b.Extent()
	for _, x := range b.KeepOuts {
		k, extent := solidOf(x), solidOf(Box{at, size})
		for a := range 3 {
			k.lo[a], k.hi[a] = max(k.lo[a], extent.lo[a]), min(k.hi[a], extent.hi[a])
		}
		if k.lo[0] < k.hi[0] && k.lo[1] < k.hi[1] && k.lo[2] < k.hi[2] {
			c.keepOuts = append(c.keepOuts, k)
		}
	}
	c.axis, c.sign = openingOf(b.Opens)
	if err := checkCounts(b, kinds, placements); err != nil {
		return err
	}
	for i := range placements {
		p := &placements[i]
		whole, err := moduleWithRoom(b, &kinds[p.Kind], p)
		if err != nil {
			return fmt.Errorf("%w: module %d of kind %q: %w", ErrPlacement, i, kinds[p.Kind].Name, err)
		}
		if !c.free(whole) {
			return fmt.Errorf("%w: module %d of kind %q is not within the bay, or nearer than %.4g m to its side or a keep-out",
				ErrPlacement, i, kinds[p.Kind].Name, c.inset)
		}
		for j, q := range c.placed {
			if c.tooNear(whole, q) {
				return fmt.Errorf("%w: modules %d and %d are nearer to one another than %.4g m", ErrPlacement, j, i, c.gap)
			}
		}
		if !c.passes(whole) {
			return fmt.Errorf("%w: module %d of kind %q does not pass the opening in this order", ErrPlacement, i, kinds[p.Kind].Name)
		}
		c.placed = append(c.placed, whole)
	}
	return nil
}

func openingOf(s Side) (axis int, sign float64) {
	switch s {
	case Front:
		return 0, -1
	case Rear:
		return 0, 1
	case Right:
		return 1, -1
	case Left:
		return 1, 1
	case Bottom:
		return 2, -1
	}
	return 2, 1
}

func checkCounts(b *Bay, kinds []Kind, placements []Placement) error {
	counts := make([]int, len(kinds))
	mass := float64(b.BoxMass)
	for i, p := range placements {
		if p.Kind < 0 || p.Kind >= len(kinds) {
			return fmt.Errorf("%w: module %d is of kind %d, there are %d kinds", ErrPlacement, i, p.Kind, len(kinds))
		}
		counts[p.Kind]++
		mass += float64(kinds[p.Kind].Mass)
	}
	for k := range kinds {
		if counts[k] != kinds[k].Count {
			return fmt.Errorf("%w: %d modules of kind %q are placed, %d are asked for", ErrPlacement, counts[k], kinds[k].Name, kinds[k].Count)
		}
	}
	if limit := float64(b.MassLimit); limit > 0 && len(placements) > 0 && mass > limit*(1+1e-12) {
		return fmt.Errorf("%w: modules and box have %.4g kg, the bay may carry %.4g kg", ErrPlacement, mass, limit)
	}
	return nil
}

// moduleWithRoom checks edges, orientation and terminal side of a placement and
// returns the module with its connector room.
func moduleWithRoom(b *Bay, k *Kind, p *Placement) (solid, error) {
	if !slices.Contains(k.Orientations, p.Orientation) {
		return solid{}, fmt.Errorf("it stands %s, allowed is %v", p.Orientation, k.Orientations)
	}
	// own[i] is the bay axis that the module's own axis i lies on: x along its
	// stack, z towards its terminals.
	var own [3]int
	switch p.Orientation {
	case "z-up":
		own = [3]int{0, 1, 2}
	case "y-up":
		own = [3]int{0, 2, 1}
	case "x-up":
		own = [3]int{2, 0, 1}
	default:
		return solid{}, fmt.Errorf("orientation %q is not known", p.Orientation)
	}
	if p.Turned { // a quarter turn about the vertical swaps bay x and y
		for i := range own {
			own[i] = [3]int{1, 0, 2}[own[i]]
		}
	}
	s := solidOf(p.Box)
	edges := [3]float64{float64(k.Size.X), float64(k.Size.Y), float64(k.Size.Z)}
	for i, a := range own {
		if got := s.hi[a] - s.lo[a]; math.Abs(got-edges[i]) > checkTolerance {
			return solid{}, fmt.Errorf("its edge along bay axis %c is %.6g m, its size says %.6g m", 'x'+rune(a), got, edges[i])
		}
	}
	axis, sign := openingOf(p.Terminals)
	if p.Terminals == "" || axis != own[2] {
		return solid{}, fmt.Errorf("its terminals face %q, standing so they lie along bay axis %c", p.Terminals, 'x'+rune(own[2]))
	}
	if own[2] == 2 && sign < 0 {
		return solid{}, errors.New("its terminals face down")
	}
	if sign > 0 {
		s.hi[axis] += float64(b.Connector)
	} else {
		s.lo[axis] -= float64(b.Connector)
	}
	return s, nil
}

// free reports whether the box keeps its distance from all that is not bay.
func (c *checker) free(s solid) bool {
	s = s.grown(c.inset - checkTolerance)
	if slices.ContainsFunc(c.keepOuts, s.overlaps) {
		return false
	}
	return len(c.outside(s)) == 0
}

func (c *checker) tooNear(s, t solid) bool { return s.grown(c.gap - checkTolerance).overlaps(t) }

// passes reports whether the module can be brought to its place past those
// placed so far, straight or with one slide.
func (c *checker) passes(s solid) bool {
	if c.straight(s) {
		return true
	}
	for a := range 3 {
		if a == c.axis {
			continue
		}
		for _, to := range c.entries(s, a) {
			entry, hull := s, s
			entry.lo[a], entry.hi[a] = to, to+s.hi[a]-s.lo[a]
			hull.lo[a] = min(s.lo[a], entry.lo[a])
			hull.hi[a] = max(s.hi[a], entry.hi[a])
			if c.free(hull) && !c.anyNear(hull) && c.straight(entry) {
				return true
			}
		}
	}
	return false
}

func (c *checker) anyNear(s solid) bool {
	return slices.ContainsFunc(c.placed, func(q solid) bool { return c.tooNear(s, q) })
}

// straight reports whether the module at s can leave along the opening's axis.
func (c *checker) straight(s solid) bool {
	const away = 1e6 // m, beyond every bay
	sweep := s
	if c.sign > 0 {
		sweep.hi[c.axis] = away
	} else {
		sweep.lo[c.axis] = -away
	}
	if c.anyNear(sweep) {
		return false
	}
	wide := sweep.grown(c.inset - checkTolerance)
	if slices.ContainsFunc(c.keepOuts, wide.overlaps) {
		return false
	}
	// What lies outside the bay must have no bay beyond it: else it is an overhang.
	for _, part := range c.outside(wide) {
		if c.sign > 0 {
			part.hi[c.axis] = 2 * away
		} else {
			part.lo[c.axis] = -2 * away
		}
		if slices.ContainsFunc(c.union, part.overlaps) {
			return false
		}
	}
	return true
}

// entries returns the places along axis a from which a slide to s may start:
// those where the module just keeps its distance from something.
func (c *checker) entries(s solid, a int) []float64 {
	length := s.hi[a] - s.lo[a]
	var out []float64
	for _, u := range c.union {
		out = append(out, u.lo[a]+c.inset, u.hi[a]+c.inset, u.lo[a]-c.inset-length, u.hi[a]-c.inset-length)
	}
	for _, k := range c.keepOuts {
		out = append(out, k.hi[a]+c.inset, k.lo[a]-c.inset-length)
	}
	for _, q := range c.placed {
		out = append(out, q.hi[a]+c.gap, q.lo[a]-c.gap-length)
	}
	return out
}
