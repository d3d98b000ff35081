package search

import (
	"context"
	"math"
	"slices"
	"sort"

	"packyard/design"
	"packyard/drive"
)

// RankBy are the ways in which options may be ranked; the first is the default.
var rankBy = []string{"range", "mass", "price", "margin"}

// Ways returns the ways in which options may be ranked.
func Ways() []string { return append([]string(nil), rankBy...) }

// key returns what a pack is ranked by, better when smaller, then what breaks a
// tie.
func key(by string, l *lean, distance float64) [2]float64 {
	worst, _ := l.values.Worst()
	switch by {
	case "mass":
		return [2]float64{float64(l.fig.Mass), -distance}
	case "price":
		return [2]float64{l.fig.Price, -distance}
	case "margin":
		return [2]float64{-worst, -distance}
	}
	return [2]float64{-distance, float64(l.fig.Mass)}
}

func lessKey(a, b [2]float64) bool {
	if a[0] != b[0] {
		return a[0] < b[0]
	}
	return a[1] < b[1]
}

// alike is the difference of vehicle mass within which two cuts of a pack go
// equally far for any purpose: four thousandths, below what a schedule repeats to.
const alike = 0.004

// lead returns the index of the best cut of a list of one pack. By range it is,
// of the cuts that go equally far, the one with the best worst margin in whole
// hundredths, then the fewest modules, then the lightest, then the best margin;
// otherwise the one with the best key.
func lead(by string, list []lean) int {
	lightest := list[0].fig.Test
	for i := range list {
		lightest = min(lightest, list[i].fig.Test)
	}
	best := -1
	for i := range list {
		l := &list[i]
		if by == rankBy[0] && l.fig.Test > lightest*(1+alike) {
			continue
		}
		if best < 0 || leads(by, l, &list[best]) {
			best = i
		}
	}
	return best
}

func leads(by string, a, b *lean) bool {
	wa, _ := a.values.Worst()
	wb, _ := b.values.Worst()
	switch by {
	case "mass":
	case "price":
		if a.fig.Price != b.fig.Price {
			return a.fig.Price < b.fig.Price
		}
	case "margin":
		if wa != wb {
			return wa > wb
		}
	default:
		if x, y := math.Floor(wa*100), math.Floor(wb*100); x != y {
			return x > y
		}
		if x, y := a.cut.Modules(), b.cut.Modules(); x != y {
			return x < y
		}
	}
	if x, y := float64(a.fig.Mass), float64(b.fig.Mass); below(x, y) || below(y, x) {
		return x < y
	}
	return wa > wb+rounding
}

// choice is one option of a block on its way into the ranking.
type choice struct {
	block    int
	at       int // index into the block's fits
	distance float64
	run      bool // distance is of a complete run, else an upper bound
	key      [2]float64
}

// rank works out the best cut of each pack, the first Top packs, and the
// Pareto set.
func (s *finder) rank(ctx context.Context, r *Result) error {
	by := s.f.Brief.Choose.RankBy
	leads, err := s.leads(ctx, by)
	if err != nil {
		return err
	}
	sort.SliceStable(leads, func(i, j int) bool { return lessKey(leads[i].key, leads[j].key) })
	best := make(map[[2]int]bool, len(leads))
	for _, c := range leads {
		best[[2]int{c.block, c.at}] = true
	}
	if len(leads) > s.o.Top {
		leads = leads[:s.o.Top]
	}
	front, err := s.pareto(ctx, r, best)
	if err != nil {
		return err
	}
	if r.Packs, err = s.options(ctx, leads); err != nil {
		return err
	}
	if r.Pareto, err = s.options(ctx, front); err != nil {
		return err
	}
	on := map[string]bool{}
	for i := range r.Pareto {
		r.Pareto[i].Pareto = true
		on[r.Pareto[i].ID] = true
	}
	for i := range r.Packs {
		r.Packs[i].Pareto = on[r.Packs[i].ID]
	}
	return nil
}

// leads returns the best option of every block, by the wanted ranking.
func (s *finder) leads(ctx context.Context, by string) ([]choice, error) {
	if by == "" {
		by = rankBy[0]
	}
	best := make([]choice, len(s.blocks))
	err := s.each(ctx, len(s.blocks), func(r *runner, i int) error {
		b := &s.found[i]
		if len(b.fits) == 0 {
			return nil
		}
		at := lead(by, b.fits)
		d, err := r.own(b, &b.fits[at])
		best[i] = choice{block: i, at: at, distance: d, run: true, key: key(by, &b.fits[at], d)}
		return err
	})
	if err != nil {
		return nil, err
	}
	return slices.DeleteFunc(best, func(c choice) bool { return !c.run }), nil
}

// ranged is one complete run of a block: a heavier pack with no less
// resistance goes no further.
type ranged struct{ mass, resistance, distance float64 }

// own returns the range of an option as bought, by its own run.
func (r *runner) own(b *blockFound, l *lean) (float64, error) {
	if l.run.new > 0 {
		return l.run.new, nil
	}
	var err error
	l.run.new, err = r.reach(b, &l.fig, false)
	return l.run.new, err
}

// upperRange returns an optimistic range of an option of the block.
func upperRange(b *blockFound, done []ranged, l *lean) float64 {
	if l.run.new > 0 {
		return l.run.new
	}
	if math.IsInf(b.guard, 1) {
		return float64(drive.RangeMost)
	}
	d := b.high.new
	for i := range done {
		if done[i].mass <= float64(l.fig.Mass) && done[i].resistance <= float64(l.fig.Resistance)*(1+rounding) {
			d = min(d, done[i].distance)
		}
	}
	return d * (1 + b.guard)
}

// rounding is what the order of adding up may change in a mass or a resistance.
const rounding = 1e-9

// byMass returns the indices of the list from the lightest on; of equal masses
// the better worst margin comes first.
func byMass(list []lean) []int {
	order := make([]int, len(list))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(i, j int) bool {
		a, b := &list[order[i]], &list[order[j]]
		if a.fig.Mass != b.fig.Mass {
			return a.fig.Mass < b.fig.Mass
		}
		wa, _ := a.values.Worst()
		wb, _ := b.values.Worst()
		return wa > wb
	})
	return order
}

// point is an option in the space of the Pareto set, in noticeable steps: half
// a kilometre, a kilogram, a five-hundredth of the price, a hundredth of margin.
// Without steps the set would list hundreds of packs that nobody can tell
// apart. More is better for distance and margin, less for mass and price.
type point struct{ distance, mass, price, margin float64 }

// beats reports whether p is no worse than q in anything.
func (p point) beats(q point) bool {
	return p.distance >= q.distance && p.mass <= q.mass && p.price <= q.price && p.margin >= q.margin
}

func pointOf(l *lean, distance float64) point {
	worst, _ := l.values.Worst()
	price := 0.0
	if l.fig.Price > 0 {
		price = math.Ceil(math.Log(l.fig.Price) * 500)
	}
	return point{math.Floor(distance / 500), math.Ceil(float64(l.fig.Mass)), price, math.Floor(worst * 100)}
}

// member is an option of the Pareto set.
type member struct {
	choice
	point
	lead bool // best cut of its pack
	mass float64
}

// stands reports whether a stands for b at the same point: the best cut of a
// pack first, then the lighter.
func (a *member) stands(b *member) bool {
	if a.lead != b.lead {
		return a.lead
	}
	if a.mass != b.mass {
		return a.mass < b.mass
	}
	if a.block != b.block {
		return a.block < b.block
	}
	return a.at <= b.at
}

// pareto returns the Pareto set of all options that fit. An option whose
// optimistic range is already beaten is not run.
func (s *finder) pareto(ctx context.Context, r *Result, leads map[[2]int]bool) ([]choice, error) {
	var front []member
	done := make(map[int][]ranged)
	w := &runner{s: s}
	for _, c := range s.candidatesByBound() {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		b := &s.found[c.block]
		l := &b.fits[c.at]
		q := member{c, pointOf(l, upperRange(b, done[c.block], l)), leads[[2]int{c.block, c.at}], float64(l.fig.Mass)}
		if beaten(front, &q) && !s.o.Exhaustive {
			r.Bound++
			continue
		}
		d, err := w.own(b, l)
		if err != nil {
			return nil, err
		}
		done[c.block] = append(done[c.block], ranged{float64(l.fig.Mass), float64(l.fig.Resistance), d})
		q.point, q.choice.distance, q.run = pointOf(l, d), d, true
		if beaten(front, &q) {
			continue
		}
		front = slices.DeleteFunc(front, func(m member) bool { return q.beats(m.point) })
		front = append(front, q)
	}
	out := make([]choice, len(front))
	for i := range front {
		out[i] = front[i].choice
	}
	sort.SliceStable(out, func(i, j int) bool {
		a, b := out[i], out[j]
		if a.distance != b.distance {
			return a.distance > b.distance
		}
		return a.block < b.block || a.block == b.block && a.at < b.at
	})
	return out, nil
}

// beaten reports whether one of the front is no worse than q in anything, and
// stands for it where they are equal.
func beaten(front []member, q *member) bool {
	for i := range front {
		m := &front[i]
		if m.beats(q.point) && (m.point != q.point || m.stands(q)) {
			return true
		}
	}
	return false
}

// candidatesByBound lists all options that fit by falling optimistic range,
// the lighter first among equals, so that the front grows early.
func (s *finder) candidatesByBound() []choice {
	var out []choice
	for i := range s.found {
		b := &s.found[i]
		for _, at := range byMass(b.fits) {
			out = append(out, choice{block: i, at: at, distance: upperRange(b, nil, &b.fits[at])})
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].distance > out[j].distance })
	return out
}

// options works out the chosen options in full: both lives, loading, name.
func (s *finder) options(ctx context.Context, list []choice) ([]Option, error) {
	out := make([]Option, len(list))
	err := s.each(ctx, len(list), func(r *runner, i int) error {
		c := list[i]
		l := &s.found[c.block].fits[c.at]
		o, err := r.option(c.block, l)
		if err != nil {
			return err
		}
		o.Cuts = len(s.found[c.block].fits)
		out[i] = *o
		return nil
	})
	return out, err
}

// option turns a candidate of the quick tier into an Option with its complete
// runs.
func (r *runner) option(block int, l *lean) (*Option, error) {
	b, bl := &r.s.found[block], r.s.blocks[block]
	o := &Option{
		Candidate: design.Candidate{Source: bl.source, Form: bl.form, Abreast: bl.abreast, Strings: bl.strings, Cut: l.cut},
		Wiring:    b.wiring, Values: l.values, Figures: l.fig, block: block, other: l.load.other,
	}
	o.ID = r.s.f.ID(&o.Candidate)
	lot := lotKey{bl.source, bl.form}
	o.Modules = modulesOf(r.s.placer.stacks[stackKey{lot, bl.abreast}], l.cut, bl.strings)
	o.Loading = l.load.loading
	for i, sh := range r.s.placer.shelves[lot] {
		o.Places = append(o.Places, sh.in(slicesOf(&o.Modules), o.Loading.Count[i], l.load.deep))
	}
	first, err := r.complete(&o.Wiring, &o.Figures, false)
	if err != nil {
		return nil, err
	}
	// The demand of the runner is already that of this mass.
	last, err := r.s.f.Range(&r.run, r.demand, &o.Wiring, &o.Figures, true)
	if err != nil {
		return nil, err
	}
	r.s.runs.Add(1)
	o.Run, o.RunEnd = &first, &last
	o.Figures.Range, o.Figures.RangeEnd = first.Distance, last.Distance
	o.Values.Value[design.RangeNew], o.Values.Value[design.RangeEnd] = float64(first.Distance), float64(last.Distance)
	o.Figures.Energy, o.Figures.EnergyEnd = first.Energy.Chemical, last.Energy.Chemical
	return o, nil
}
