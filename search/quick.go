package search

import (
	"context"
	"sync/atomic"

	"packyard/cell"
	"packyard/design"
)

// blockFound is what was found in one block.
type blockFound struct {
	wiring    design.Wiring
	total     int
	broken    map[design.Set]int // candidates by the set of limits they break
	notProven int
	open      []openPair   // pairs of lengths whose space decides over a candidate and is not proven
	pending   []lean       // break one limit or none by what is known so far
	fits      []lean       // break nothing
	shift     []design.Cut // another sharing may break one limit of mass alone
	near      [design.RuleCount][]lean
	high, low corner  // range of the best and of the worst that fits
	guard     float64 // dimensionless: how far beyond the corners a range may lie; infinite: they say nothing
}

// lean is a candidate as the quick tier keeps it.
type lean struct {
	cut    design.Cut
	load   *loaded
	values design.Values
	fig    design.Figures
	miss   float64 // violation of the limit it is kept for, or the largest; dimensionless
	run    corner  // its own complete runs; zero: not run
}

// quick evaluates every candidate of the universe, then those anew whose space
// a second, deeper look settles.
func (s *finder) quick(ctx context.Context) error {
	var done atomic.Int64
	err := s.each(ctx, len(s.blocks), func(_ *runner, i int) error {
		s.found[i] = s.quickBlock(i)
		n := done.Add(1)
		if s.o.Progress != nil {
			s.o.Progress(int(n), len(s.blocks))
		}
		return nil
	})
	if err != nil {
		return err
	}
	again, err := s.deepen(ctx)
	if err != nil {
		return err
	}
	return s.each(ctx, len(again), func(_ *runner, i int) error {
		s.found[again[i]] = s.quickBlock(again[i])
		return nil
	})
}

// quickBlock evaluates every cut of one block.
func (s *finder) quickBlock(i int) blockFound {
	b := s.blocks[i]
	out := blockFound{
		wiring: s.f.Wire(b.source, b.form, b.abreast, b.strings, b.groups),
		broken: map[design.Set]int{},
	}
	lot := lotKey{b.source, b.form}
	stacks := s.placer.stacks[stackKey{lot, b.abreast}]
	var v design.Values
	cuts(s.f, b, s.o.Universe, func(c design.Cut) bool {
		m := modulesOf(stacks, c, b.strings)
		l := s.placer.load(&out.wiring, &m, lot)
		g := s.f.Evaluate(&out.wiring, &m, &l.loading, &v)
		out.total++
		set := v.Broken()
		out.broken[set]++
		if !l.proven {
			out.notProven++
			if set == 1<<design.Space {
				out.open = append(out.open, openPair{lot, slicesOf(&m)})
			}
		}
		if set&(set-1) == 0 {
			out.pending = append(out.pending, lean{cut: c, load: l, values: v, fig: g})
		} else if mayShift(set, &l.loading) {
			out.shift = append(out.shift, c)
		}
		return true
	})
	return out
}

// modulesOf returns the modules of a cut from the stacks of its block.
func modulesOf(stacks []cell.Stack, c design.Cut, strings int) design.Modules {
	var m design.Modules
	for k, p := range c {
		if p.Count == 0 {
			continue
		}
		m.Stack[k], m.String[k], m.Count[k] = stacks[p.Groups], p.Count, p.Count*strings
	}
	return m
}
