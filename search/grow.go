package search

import (
	"packyard/bay"
	"packyard/design"
	"packyard/unit"
)

// Growth is the smallest enlargement of one bay along one of its own axes that
// gives every module a place.
type Growth struct {
	Bay  int
	Axis int         // 0 length, 1 width, 2 height of the bay
	By   unit.Length // in steps of growthStep
}

// Bounds of the enlargement looked for.
const (
	growthStep = 5 * unit.Millimetre
	growthMost = 400 * unit.Millimetre
	growthOf   = 12 // nearest misses of space for which bays are grown
)

// grown looks, over the nearest misses of space, for the one that asks for the
// smallest enlargement of a bay.
func (s *finder) grown(w *runner, list []kept, best *Miss) (*Miss, error) {
	for i := range list[:min(len(list), growthOf)] {
		o, err := w.option(list[i].block, &list[i].lean)
		if err != nil {
			return nil, err
		}
		if o.Values.Broken().Without(design.Space) != 0 {
			continue
		}
		if g := s.grow(o, best.Growth); g != nil {
			m := missOf(o, o.Values.Broken())
			m.Growth = g
			best = &m
		}
	}
	return best, nil
}

// grow returns the smallest enlargement that is below that of known, nil when
// there is none. The other bays keep the modules they were found to hold.
func (s *finder) grow(o *Option, known *Growth) *Growth {
	var best *Growth
	short, most := shortOf(o), growthMost
	if known != nil {
		most = known.By - growthStep
	}
	for i := range s.f.Brief.Bays {
		for axis := range 3 {
			steps := int(most/growthStep + 0.5)
			if n := s.leastSteps(o, i, axis, steps, short); n > 0 {
				best = &Growth{Bay: i, Axis: axis, By: unit.Length(n) * growthStep}
				most = best.By - growthStep
			}
		}
	}
	return best
}

// shortOf returns how many modules of each length have no place.
func shortOf(o *Option) [2]int {
	n := o.Modules.Count
	for _, c := range o.Loading.Count {
		n[0] -= c[0]
		n[1] -= c[1]
	}
	return n
}

// leastSteps returns the fewest steps, at most steps, by which bay i must grow
// along the axis to hold what it holds and the modules that are short; 0 when
// steps do not suffice. What fits goes on fitting when a bay grows, so that
// halving finds it.
func (s *finder) leastSteps(o *Option, i, axis, steps int, short [2]int) int {
	fits := func(n int) bool {
		b := enlarged(&s.f.Brief.Bays[i], axis, unit.Length(n)*growthStep)
		kinds := kindsOf(&o.Modules)
		for k := range kinds {
			kinds[k].Count = o.Loading.Count[i][k] + short[k]
		}
		return bay.Place(b, kinds, bay.Options{Nodes: surveyNodes}).Verdict == bay.Fits
	}
	if steps < 1 || !fits(steps) {
		return 0
	}
	lo, hi := 0, steps
	for hi-lo > 1 {
		mid := (lo + hi) / 2
		if fits(mid) {
			hi = mid
		} else {
			lo = mid
		}
	}
	return hi
}

// enlarged returns the bay with its far boxes grown along an axis of the bay.
func enlarged(b *bay.Bay, axis int, by unit.Length) *bay.Bay {
	g := *b
	g.MassLimit = 0
	g.Boxes = append([]bay.Box(nil), b.Boxes...)
	corner, size := b.Extent()
	far := [3]unit.Length{corner.X + size.X, corner.Y + size.Y, corner.Z + size.Z}[axis]
	for i := range g.Boxes {
		at, edge := axisOf(&g.Boxes[i], axis)
		if *at+*edge >= far-unit.Millimetre/1000 {
			*edge += by
		}
	}
	return &g
}

// axisOf returns corner and edge of a box along an axis.
func axisOf(b *bay.Box, axis int) (at, edge *unit.Length) {
	switch axis {
	case 0:
		return &b.At.X, &b.Size.X
	case 1:
		return &b.At.Y, &b.Size.Y
	}
	return &b.At.Z, &b.Size.Z
}

// kindsOf returns the module lengths of a cut as kinds of the solver.
func kindsOf(m *design.Modules) []bay.Kind {
	var out []bay.Kind
	for i := range m.Stack {
		if m.Count[i] == 0 {
			continue
		}
		st := &m.Stack[i]
		out = append(out, bay.Kind{Size: st.Size, Mass: st.Mass, Orientations: st.Orientations})
	}
	return out
}
