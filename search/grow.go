package search

import (
	"context"
	"slices"
	"sync/atomic"

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
	growthMost = 80 // steps
	growthOf   = 12 // nearest misses of space for which bays are grown
)

// grown is one bay grown along one axis for one option: it then breaks nothing
// but what is allowed.
type grown struct {
	option *Option
	allow  design.Set // limits that may be broken
	bay    int
	axis   int
	steps  int        // 0: not within bounds
	lean   *lean      // with the bay grown by so many steps
	ranges [2]float64 // m, complete runs of it, as bought and at the end of life; zero: not wanted
}

// share is the largest relative move that the growth asks for: of a limit that
// is broken, or of the edge of the bay; dimensionless.
func (j *grown) share(b *bay.Bay) float64 {
	_, size := b.Extent()
	edge := [3]unit.Length{size.X, size.Y, size.Z}[j.axis]
	return max(largest(&j.lean.values), float64(j.steps)*float64(growthStep)/float64(edge))
}

// growth looks, over misses of space, for the one with the smallest enlargement
// of a bay; nil when there is none within bounds. Where limits may be broken
// besides, it is the one with the smallest largest move of them all.
func (s *finder) growth(ctx context.Context, list []*Option, allow design.Set) (*grown, error) {
	var jobs []grown
	for _, o := range list {
		for i := range s.f.Brief.Bays {
			for axis := range 3 {
				jobs = append(jobs, grown{option: o, allow: allow, bay: i, axis: axis})
			}
		}
	}
	var least atomic.Int64
	least.Store(growthMost)
	err := s.each(ctx, len(jobs), func(w *runner, i int) error {
		var err error
		j := &jobs[i]
		if err = s.leastSteps(ctx, w, j, int(least.Load())); err != nil {
			return err
		}
		for j.steps > 0 && allow == 0 {
			if n := least.Load(); int64(j.steps) >= n || least.CompareAndSwap(n, int64(j.steps)) {
				break
			}
		}
		return nil
	})
	var best *grown
	for i := range jobs {
		if j := &jobs[i]; j.steps > 0 && (best == nil || s.lessGrown(j, best)) {
			best = j
		}
	}
	if best == nil || err != nil {
		return nil, err
	}
	for best.steps > 1 && s.fitsGrown(best, best.steps-1, true) != nil {
		best.steps--
	}
	if l := s.fitsGrown(best, best.steps, true); l != nil {
		best.lean = l
	}
	return best, nil
}

// lessGrown reports whether a asks for less than b.
func (s *finder) lessGrown(a, b *grown) bool {
	if a.allow == 0 {
		return a.steps < b.steps
	}
	bays := s.f.Brief.Bays
	return below(a.share(&bays[a.bay]), b.share(&bays[b.bay]))
}

// growJoint adds to a joint miss that breaks space the growth of a bay, and
// restates its limits for the modules in their places there: a grown box may be
// heavier.
func (s *finder) growJoint(ctx context.Context, m *Miss) error {
	allow := m.Option.Values.Broken().Without(design.Space)
	g, err := s.growth(ctx, []*Option{&m.Option}, allow)
	if g == nil || err != nil {
		return err
	}
	m.Growth = g.growth()
	w := &runner{s: s}
	if _, err := s.reachesGrown(w, g); err != nil {
		return err
	}
	m.Option.Figures = g.lean.fig
	m.Option.Figures.Range, m.Option.Figures.RangeEnd = unit.Length(g.ranges[0]), unit.Length(g.ranges[1])
	limits := m.Limits[:0]
	for _, l := range m.Limits {
		if l.Rule != design.Space {
			if !g.lean.values.Broken().Has(l.Rule) {
				continue
			}
			l.Value, l.Share = g.lean.values.Value[l.Rule], g.lean.values.Violation(l.Rule)
		}
		limits = append(limits, l)
	}
	m.Limits = limits
	return nil
}

func (j *grown) growth() *Growth {
	return &Growth{Bay: j.bay, Axis: j.axis, By: unit.Length(j.steps) * growthStep}
}

// leastSteps finds the fewest steps, at most most, by which the bay must grow
// along the axis for the option to fit; none when they do not suffice. What fits
// goes on fitting when a bay grows, so that halving finds it.
func (s *finder) leastSteps(ctx context.Context, w *runner, j *grown, most int) error {
	if j.lean = s.fitsGrown(j, most, false); j.lean == nil {
		return nil
	}
	lo, hi := 0, most
	for hi-lo > 1 {
		if err := ctx.Err(); err != nil {
			return err
		}
		mid := (lo + hi) / 2
		if l := s.fitsGrown(j, mid, false); l != nil {
			hi, j.lean = mid, l
		} else {
			lo = mid
		}
	}
	reaches, err := s.reachesGrown(w, j)
	if reaches {
		j.steps = hi
	}
	return err
}

// reachesGrown makes the complete runs of the option with the grown bay, whose
// box may be heavier, and reports whether it keeps the wanted ranges that may not
// be broken.
func (s *finder) reachesGrown(w *runner, j *grown) (bool, error) {
	for end, rule := range [2]design.Rule{design.RangeNew, design.RangeEnd} {
		need := [2]unit.Length{s.f.Brief.Targets.Range, s.f.Brief.Targets.RangeEnd}[end]
		if need == 0 && j.allow == 0 {
			continue
		}
		res, err := w.complete(&j.option.Wiring, &j.lean.fig, end == 1)
		if err != nil {
			return false, err
		}
		j.ranges[end], j.lean.values.Value[rule] = float64(res.Distance), float64(res.Distance)
		if float64(res.Distance) < float64(need)*(1-rounding) && !j.allow.Has(rule) {
			return false, nil
		}
	}
	return true, nil
}

// fitsGrown returns the option with the bay grown by so many steps, nil when it
// still breaks a limit that it may not. The modules are shared anew among all bays, of which the
// grown one holds what it did and the modules that are short; with survey, all
// that it is found to hold.
func (s *finder) fitsGrown(j *grown, steps int, survey bool) *lean {
	o := j.option
	b := enlarged(&s.f.Brief.Bays[j.bay], j.axis, unit.Length(steps)*growthStep)
	f, err := s.f.WithBay(j.bay, b)
	if err != nil {
		return nil // a bay that was valid stays so when it grows
	}
	lot, lengths := lotKey{o.Candidate.Source, o.Candidate.Form}, slicesOf(&o.Modules)
	var rooms []*design.Room
	for _, x := range s.placer.shelves[lot] {
		r := x.pairs[lengths]
		if s.placer.deep[lot][lengths] != nil { // not what only an earlier search looked at
			d, _ := x.deeper(lengths)
			r = d.room
		}
		rooms = append(rooms, r)
	}
	if survey {
		rooms[j.bay] = s.surveyGrown(o, b)
	} else if rooms[j.bay] = s.placeGrown(j, b, rooms[j.bay]); rooms[j.bay] == nil {
		return nil
	}
	l := j.load(f, design.NewRooms(rooms, s.placer.masses(lot, lengths)))
	if !l.Known {
		return nil
	}
	var out lean
	out.fig = f.Evaluate(&o.Wiring, &o.Modules, &l, &out.values)
	if out.values.Broken()&^j.allow != 0 {
		return nil
	}
	return &out
}

// load shares the option's modules among the bays: so that the limits of mass
// that may be broken are broken by the least, where there are any.
func (j *grown) load(f *design.Frame, rooms *design.Rooms) design.Loading {
	if mass := j.allow & massRules; mass != 0 {
		l, _ := f.LoadBreaking(&j.option.Wiring, &j.option.Modules, rooms, mass, len(f.Brief.Bays))
		return l
	}
	l, _ := f.Load(&j.option.Wiring, &j.option.Modules, rooms)
	return l
}

// surveyGrown returns what the grown bay holds of the option's modules.
func (s *finder) surveyGrown(o *Option, b *bay.Bay) *design.Room {
	lengths := slicesOf(&o.Modules)
	kind := s.placer.kindOf(lotKey{o.Candidate.Source, o.Candidate.Form})
	sh := newShelf(b, func(n int) bay.Kind {
		k := kind(n)
		k.Count = o.Modules.Count[0]
		if n != lengths[0] {
			k.Count = o.Modules.Count[1]
		}
		return k
	})
	list := lengths[:1]
	if lengths[1] > 0 {
		list = []int{lengths[1], lengths[0]}
	}
	sh.survey(context.Background(), list)
	sh.deepen(lengths)
	return sh.deep[lengths].room
}

// placeGrown returns the room with the modules that are short besides those
// that the bay holds, nil when the grown bay does not take them.
func (s *finder) placeGrown(j *grown, b *bay.Bay, r *design.Room) *design.Room {
	o := j.option
	n, short := o.Loading.Count[j.bay], shortOf(o)
	n[0], n[1] = n[0]+short[0], n[1]+short[1]
	kind := s.placer.kindOf(lotKey{o.Candidate.Source, o.Candidate.Form})
	var kinds []bay.Kind
	for k, length := range slicesOf(&o.Modules) {
		if length > 0 {
			x := kind(length)
			x.Count = n[k]
			kinds = append(kinds, x)
		}
	}
	free := *b
	free.MassLimit = 0
	a := bay.Place(&free, kinds, bay.Options{Nodes: deepNodes})
	if a.Verdict != bay.Fits {
		return nil
	}
	out := &design.Room{Placed: slices.Clone(r.Placed), Bound: slices.Clone(r.Bound), Sum: slices.Clone(r.Sum)}
	for i := range n[0] + 1 {
		if i == len(out.Placed) {
			out.Placed, out.Sum = append(out.Placed, 0), append(out.Sum, nil)
		}
		if i == len(out.Bound) {
			out.Bound = append(out.Bound, 0)
		}
		if out.Sum[i] == nil || out.Placed[i] < n[1] {
			out.Placed[i], out.Sum[i] = n[1], centres(b, firstOnly(a.Placements, i), n[1])
			out.Bound[i] = max(out.Bound[i], n[1])
		}
	}
	return out
}

// firstOnly leaves out the modules of the first length beyond n.
func firstOnly(list []bay.Placement, n int) []bay.Placement {
	var out []bay.Placement
	for _, p := range list {
		if p.Kind == 0 {
			if n == 0 {
				continue
			}
			n--
		}
		out = append(out, p)
	}
	return out
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

// enlarged returns the bay with its far boxes grown along an axis of the bay.
func enlarged(b *bay.Bay, axis int, by unit.Length) *bay.Bay {
	g := *b
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
