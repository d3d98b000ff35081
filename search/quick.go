package search

import (
	"context"
	"sort"
	"sync/atomic"

	"packyard/cell"
	"packyard/design"
)

// keepMisses is how many near misses of each limit a block keeps: enough that
// one of them survives the complete range run.
const keepMisses = 8

// blockFound is what the quick tier found in one block.
type blockFound struct {
	wiring    design.Wiring
	total     int
	broken    map[design.Set]int // candidates by the set of limits they break
	notProven int
	fits      []lean // break nothing by the quick tier
	near      [design.RuleCount][]lean
	joint     []lean // least largest violation
	high, low corner // range of the best and of the worst that fits
}

// lean is a candidate as the quick tier keeps it.
type lean struct {
	cut    design.Cut
	values design.Values
	fig    design.Figures
	miss   float64 // violation of the limit it is kept for, or the largest; dimensionless
}

// quick evaluates every candidate of the universe.
func (s *finder) quick(ctx context.Context) error {
	var done atomic.Int64
	return s.each(ctx, len(s.blocks), func(_ *runner, i int) error {
		s.found[i] = s.quickBlock(i)
		n := done.Add(1)
		if s.o.Progress != nil {
			s.o.Progress(int(n), len(s.blocks))
		}
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
		l, proven := s.placer.load(&out.wiring, &m, lot)
		g := s.f.Evaluate(&out.wiring, &m, l, &v)
		out.total++
		set := v.Broken()
		out.broken[set]++
		if !proven {
			out.notProven++
		}
		switch {
		case set == 0:
			out.fits = append(out.fits, lean{cut: c, values: v, fig: g})
		default:
			out.keep(lean{cut: c, values: v, fig: g}, set)
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

// keep files a candidate that breaks something with the near misses.
func (b *blockFound) keep(l lean, set design.Set) {
	if rules := set.Rules(); len(rules) == 1 {
		l.miss = l.values.Violation(rules[0])
		b.near[rules[0]] = insert(b.near[rules[0]], l)
		return
	}
	l.miss = 0
	for _, r := range set.Rules() {
		l.miss = max(l.miss, l.values.Violation(r))
	}
	b.joint = insert(b.joint, l)
}

// insert keeps the keepMisses smallest misses in order; of equal misses the
// lighter pack comes first.
func insert(list []lean, l lean) []lean {
	at := sort.Search(len(list), func(i int) bool { return less(&l, &list[i]) })
	if at == keepMisses {
		return list
	}
	if len(list) < keepMisses {
		list = append(list, lean{})
	}
	copy(list[at+1:], list[at:])
	list[at] = l
	return list
}

func less(a, b *lean) bool {
	if a.miss != b.miss {
		return a.miss < b.miss
	}
	return a.fig.Mass < b.fig.Mass
}
