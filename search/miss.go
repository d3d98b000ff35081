package search

import (
	"context"
	"slices"
	"sort"

	"packyard/design"
)

// Relaxed is one limit of a miss: how far it is broken.
type Relaxed struct {
	Rule  design.Rule
	Value float64 // of the option, in the SI unit of the rule
	Limit float64 // of the brief, in the SI unit of the rule
	Share float64 // |value − limit|/limit, dimensionless
}

// Miss is an option that does not fit, and what relaxation would let it
// through. Nothing else stands in its way: its range runs are complete.
type Miss struct {
	Option Option
	Limits []Relaxed // one for a nearest miss of a limit, several for the joint one
	Shared bool      // its modules are shared among the bays otherwise than Find shares them: so that these limits are broken by the least
	Growth *Growth   // for space: the bay that would have to grow, besides the moves of the other limits; nil when none within bounds was found
}

// misses finds the nearest miss of each limit and, when nothing fits and no
// single relaxation lets anything through, the smallest joint one.
func (s *finder) misses(ctx context.Context, r *Result) error {
	err := s.each(ctx, len(s.blocks), func(_ *runner, i int) error { s.reshare(i); return nil })
	if err != nil {
		return err
	}
	found := make([]*Miss, design.RuleCount)
	err = s.each(ctx, int(design.RuleCount), func(w *runner, i int) error {
		var err error
		found[i], err = s.nearest(ctx, w, design.Rule(i))
		return err
	})
	if err != nil {
		return err
	}
	if m := found[design.Space]; m != nil {
		if found[design.Space], err = s.growSpace(ctx, s.nearMisses(design.Space), m); err != nil {
			return err
		}
	}
	for _, m := range found {
		if m != nil {
			r.Misses = append(r.Misses, *m)
		}
	}
	if r.Fits > 0 || len(r.Misses) > 0 {
		return nil
	}
	r.Joint, err = s.joint(ctx)
	return err
}

// kept is a near miss with its block.
type kept struct {
	lean
	block int
}

// gather returns the near misses of all blocks that pick selects, by rising miss.
func (s *finder) gather(pick func(block int) []lean) []kept {
	var out []kept
	for i := range s.found {
		for _, l := range pick(i) {
			out = append(out, kept{l, i})
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return less(&out[i].lean, &out[j].lean) })
	return out
}

// triesMax bounds how many near misses of a limit are run in full before the
// limit is said to have none.
const triesMax = 2000

// nearest returns the option that breaks rule alone by the least, nil when
// there is none. Packs of which a cut fits already are passed over: the miss is
// to let something new through, not one more cut. Options near a limit of range are kept with their range as an
// optimistic bound; the complete run decides.
func (s *finder) nearest(ctx context.Context, w *runner, rule design.Rule) (*Miss, error) {
	list := s.nearMisses(rule)
	var best *Miss
	for i := range list[:min(len(list), triesMax)] {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if best != nil && list[i].miss >= best.Limits[0].Share {
			break
		}
		o, err := w.option(list[i].block, &list[i].lean)
		if err != nil {
			return nil, err
		}
		set := o.Values.Broken()
		if set.Without(rule) != 0 {
			continue
		}
		m := missOf(o, set)
		if len(m.Limits) == 1 && (best == nil || below(m.Limits[0].Share, best.Limits[0].Share)) {
			best = &m
		}
	}
	return best, nil
}

// growSpace replaces the nearest miss of space by the one that asks for the
// smallest growth of a bay, where one is found.
func (s *finder) growSpace(ctx context.Context, list []kept, best *Miss) (*Miss, error) {
	options := make([]*Option, min(len(list), growthOf))
	err := s.each(ctx, len(options), func(w *runner, i int) error {
		o, err := w.option(list[i].block, &list[i].lean)
		if err == nil && o.Values.Broken() == 1<<design.Space {
			options[i] = o
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	g, err := s.growth(ctx, slices.DeleteFunc(options, func(o *Option) bool { return o == nil }), 0)
	if g == nil {
		return best, err
	}
	m := missOf(g.option, g.option.Values.Broken())
	m.Growth = g.growth()
	return &m, nil
}

// nearMisses returns the near misses of a limit among packs of which no cut fits.
func (s *finder) nearMisses(rule design.Rule) []kept {
	return s.gather(func(i int) []lean {
		if b := &s.found[i]; len(b.fits) == 0 {
			return b.near[rule]
		}
		return nil
	})
}

func missOf(o *Option, set design.Set) Miss {
	m := Miss{Option: *o, Shared: o.other}
	for _, r := range set.Rules() {
		m.Limits = append(m.Limits, Relaxed{Rule: r, Value: o.Values.Value[r], Limit: o.Values.Limit[r], Share: o.Values.Violation(r)})
	}
	return m
}

// joint returns the candidate whose largest relative violation is smallest,
// shared among the bays so that it is.
func (s *finder) joint(ctx context.Context) (*Miss, error) {
	near := make([][]lean, len(s.blocks))
	err := s.each(ctx, len(s.blocks), func(_ *runner, i int) error { near[i] = s.jointBlock(i); return nil })
	if err != nil {
		return nil, err
	}
	list := s.gather(func(i int) []lean { return near[i] })
	w := &runner{s: s}
	var best *Miss
	bestShare := 0.0
	for i := range list[:min(len(list), triesMax)] {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if best != nil && list[i].miss >= bestShare {
			break
		}
		o, err := w.option(list[i].block, &list[i].lean)
		if err != nil {
			return nil, err
		}
		m := missOf(o, o.Values.Broken())
		share := 0.0
		for _, l := range m.Limits {
			share = max(share, l.Share)
		}
		if best == nil || below(share, bestShare) {
			best, bestShare = &m, share
		}
	}
	if best == nil || !best.Option.Values.Broken().Has(design.Space) {
		return best, nil
	}
	return best, s.growJoint(ctx, best)
}

// jointBlock returns the candidates of a block that may be the joint miss.
func (s *finder) jointBlock(i int) []lean {
	b, bl := &s.found[i], s.blocks[i]
	lot := lotKey{bl.source, bl.form}
	stacks := s.placer.stacks[stackKey{lot, bl.abreast}]
	var out []lean
	cuts(s.f, bl, s.o.Universe, func(c design.Cut) bool {
		m := modulesOf(stacks, c, bl.strings)
		first := s.placer.load(&b.wiring, &m, lot)
		l := lean{cut: c, load: first}
		l.fig = s.f.Evaluate(&b.wiring, &m, &first.loading, &l.values)
		l.miss = largest(&l.values)
		if again, found := s.f.LoadBreaking(&b.wiring, &m, first.rooms, massRules, len(s.f.Brief.Bays)); found {
			n := lean{cut: c, load: &loaded{loading: again, deep: first.deep, other: true}}
			n.fig = s.f.Evaluate(&b.wiring, &m, &again, &n.values)
			if n.miss = largest(&n.values); below(n.miss, l.miss) {
				l = n
			}
		}
		if s.o.Exhaustive {
			out = insert(out, l, len(out)+1)
		} else {
			out = front(out, l)
		}
		return true
	})
	return out
}

// largest returns the largest violation of all limits.
func largest(v *design.Values) float64 {
	x := 0.0
	for _, r := range v.Broken().Rules() {
		x = max(x, v.Violation(r))
	}
	return x
}
