package search

import (
	"context"
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
	Growth *Growth   // for space: the bay that would have to grow, nil when none within bounds was found
}

// misses finds the nearest miss of each limit and, when nothing fits and no
// single relaxation lets anything through, the smallest joint one.
func (s *finder) misses(ctx context.Context, r *Result) error {
	found := make([]*Miss, design.RuleCount)
	err := s.each(ctx, int(design.RuleCount), func(w *runner, i int) error {
		var err error
		found[i], err = s.nearest(ctx, w, design.Rule(i))
		return err
	})
	if err != nil {
		return err
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
func (s *finder) gather(pick func(*blockFound) []lean) []kept {
	var out []kept
	for i := range s.found {
		for _, l := range pick(&s.found[i]) {
			out = append(out, kept{l, i})
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return less(&out[i].lean, &out[j].lean) })
	return out
}

// triesMax bounds how many near misses of a limit are run in full before the
// limit is said to have none.
const triesMax = 400

// nearest returns the option that breaks rule alone by the least, nil when
// there is none. Packs of which a cut fits already are passed over: the miss is
// to let something new through, not one more cut. Options near a limit of range are kept with their range as an
// optimistic bound; the complete run decides.
func (s *finder) nearest(ctx context.Context, w *runner, rule design.Rule) (*Miss, error) {
	list := s.gather(func(b *blockFound) []lean {
		if len(b.fits) > 0 {
			return nil
		}
		return b.near[rule]
	})
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
		if len(m.Limits) == 1 && (best == nil || m.Limits[0].Share < best.Limits[0].Share) {
			best = &m
		}
	}
	if best != nil && rule == design.Space {
		return s.grown(w, list, best)
	}
	return best, nil
}

func missOf(o *Option, set design.Set) Miss {
	m := Miss{Option: *o}
	for _, r := range set.Rules() {
		m.Limits = append(m.Limits, Relaxed{Rule: r, Value: o.Values.Value[r], Limit: o.Values.Limit[r], Share: o.Values.Violation(r)})
	}
	return m
}

// joint returns the candidate whose largest relative violation is smallest.
func (s *finder) joint(ctx context.Context) (*Miss, error) {
	list := s.gather(func(b *blockFound) []lean {
		all := append([]lean(nil), b.joint...)
		for _, n := range b.near {
			all = append(all, n...)
		}
		return all
	})
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
		if best == nil || share < bestShare {
			best, bestShare = &m, share
		}
	}
	return best, nil
}
