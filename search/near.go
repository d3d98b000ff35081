package search

import (
	"sort"

	"packyard/design"
)

// keepSpace is how many near misses of space a block keeps: as many as bays are
// grown for.
const keepSpace = growthOf

// massRules are the limits that sharing the modules among the bays decides.
const massRules design.Set = 1<<design.MassBattery | 1<<design.MassGross | 1<<design.AxleFront | 1<<design.AxleRear | 1<<design.BayMass

// lighter are the limits that a sharing among fewer bays may keep: their boxes
// cost and weigh.
const lighter design.Set = 1<<design.Money | 1<<design.RangeNew | 1<<design.RangeEnd | 1<<design.CurrentPeak |
	1<<design.CurrentContinuous | 1<<design.Climb | 1<<design.InverterLowest | 1<<design.ConverterLowest

// mayShift reports whether another sharing of the modules may break one limit of
// mass and no other: where one of mass is broken alone, sharings that break
// another; where none of mass is, and only what lighter packs keep, sharings
// among fewer bays.
func mayShift(set design.Set, l *design.Loading) bool {
	if set&massRules != 0 {
		return set&(set-1) == 0
	}
	return set != 0 && set&^lighter == 0 && baysOf(l) > 1
}

func baysOf(l *design.Loading) int {
	n := 0
	for _, c := range l.Count {
		if c[0]+c[1] > 0 {
			n++
		}
	}
	return n
}

// keep files a candidate that breaks one limit alone with the near misses.
func (s *finder) keep(b *blockFound, l lean, set design.Set) {
	rules := set.Rules()
	if len(rules) != 1 {
		return
	}
	r := rules[0]
	l.miss = l.values.Violation(r)
	switch {
	case s.o.Exhaustive:
		b.near[r] = insert(b.near[r], l, len(b.near[r])+1)
	case r == design.Space:
		b.near[r] = insert(b.near[r], l, keepSpace)
	default:
		b.near[r] = front(b.near[r], l)
	}
}

// front keeps what no other covers, by rising miss.
func front(list []lean, l lean) []lean {
	for i := range list {
		if list[i].covers(&l) {
			return list
		}
	}
	kept := list[:0]
	for i := range list {
		if !l.covers(&list[i]) {
			kept = append(kept, list[i])
		}
	}
	return insert(kept, l, len(kept)+1)
}

// covers reports whether a is no further from fitting than b and goes at least
// as far: of one wiring, what is lighter with less resistance does.
func (a *lean) covers(b *lean) bool {
	return !below(b.miss, a.miss) && !below(float64(b.fig.Test), float64(a.fig.Test)) && !below(float64(b.fig.Resistance), float64(a.fig.Resistance))
}

// below reports whether a is smaller than b by more than rounding.
func below(a, b float64) bool { return a < b*(1-rounding) }

// insert keeps the smallest misses in order, at most most; of equal misses the
// lighter pack comes first.
func insert(list []lean, l lean, most int) []lean {
	at := sort.Search(len(list), func(i int) bool { return less(&l, &list[i]) })
	if at == most {
		return list
	}
	if len(list) < most {
		list = append(list, lean{})
	}
	copy(list[at+1:], list[at:])
	list[at] = l
	return list
}

func less(a, b *lean) bool {
	if below(a.miss, b.miss) || below(b.miss, a.miss) {
		return a.miss < b.miss
	}
	return below(float64(a.fig.Mass), float64(b.fig.Mass))
}

// reshare files the candidates of a block that another sharing may help with the
// near misses of each limit of mass, each with the sharing that breaks that
// limit, and no other, by the least.
func (s *finder) reshare(i int) {
	b, bl := &s.found[i], s.blocks[i]
	if len(b.fits) > 0 {
		return
	}
	lot := lotKey{bl.source, bl.form}
	stacks := s.placer.stacks[stackKey{lot, bl.abreast}]
	var v design.Values
	for _, c := range b.shift {
		m := modulesOf(stacks, c, bl.strings)
		first := s.placer.load(&b.wiring, &m, lot)
		g := s.f.Evaluate(&b.wiring, &m, &first.loading, &v)
		bays := s.f.BaysWithin(&g, &first.loading)
		set := v.Broken()
		if set&massRules == 0 {
			bays = min(bays, baysOf(&first.loading)-1)
		} else {
			s.keep(b, lean{cut: c, load: first, values: v, fig: g}, set)
		}
		for _, r := range (massRules & v.Asked).Rules() {
			// More bays may break the limit by less, but their boxes weigh and the
			// range falls: each number of bays is a near miss of its own.
			for n := 1; n <= bays; n++ {
				if set.Has(r) && n <= baysOf(&first.loading) {
					continue // first breaks it by the least
				}
				s.reshareIn(b, &m, first, r, n, c)
			}
		}
	}
	b.shift = nil
}

// reshareIn files the sharing among n bays that breaks rule alone by the least,
// if there is one.
func (s *finder) reshareIn(b *blockFound, m *design.Modules, first *loaded, rule design.Rule, n int, c design.Cut) {
	l, found := s.f.LoadBreaking(&b.wiring, m, first.rooms, 1<<rule, n)
	if !found || baysOf(&l) < n {
		return
	}
	near := lean{cut: c, load: &loaded{loading: l, deep: first.deep, other: true}}
	near.fig = s.f.Evaluate(&b.wiring, m, &l, &near.values)
	if set := near.values.Broken(); set == 1<<rule {
		s.keep(b, near, set)
	}
}
