package search

import (
	"cmp"
	"context"
	"maps"
	"slices"

	"packyard/bay"
	"packyard/design"
)

// deepNodes bounds the exact search of one question of the second look.
const deepNodes = 2000

// openPair is a pair of lengths, in slices, for which the space of a candidate
// is neither found nor disproven.
type openPair struct {
	lotKey
	pair [2]int
}

// deepen puts the questions of space anew, with a larger budget, for all pairs
// of lengths of which a candidate breaks nothing but space and is not proven.
// It returns the blocks whose candidates it may settle.
func (s *finder) deepen(ctx context.Context) ([]int, error) {
	open := map[lotKey][][2]int{}
	for i := range s.found {
		for _, o := range s.found[i].open {
			open[o.lotKey] = append(open[o.lotKey], o.pair)
		}
	}
	var jobs []func()
	for lot, pairs := range open {
		slices.SortFunc(pairs, rising)
		open[lot] = slices.Compact(pairs)
		for _, sh := range s.placer.shelves[lot] {
			jobs = append(jobs, func() {
				for _, pair := range open[lot] {
					if ctx.Err() != nil {
						return
					}
					sh.deepen(pair)
				}
			})
		}
	}
	if err := s.each(ctx, len(jobs), func(_ *runner, i int) error { jobs[i](); return nil }); err != nil {
		return nil, err
	}
	for lot, pairs := range open {
		for _, pair := range pairs {
			s.placer.joinDeep(lot, pair)
		}
	}
	return s.unproven(), nil
}

func rising(a, b [2]int) int {
	return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1]))
}

// unproven forgets the needs that a second look may settle, and returns the
// blocks that hold them.
func (s *finder) unproven() []int {
	p := s.placer
	again := map[openPair]bool{}
	maps.DeleteFunc(p.loads, func(k loadKey, l *once[loaded]) bool {
		if l.value.proven || p.deep[k.lotKey][k.slices] == nil {
			return false
		}
		again[openPair{k.lotKey, k.slices}] = true
		return true
	})
	var out []int
	for i, b := range s.blocks {
		if s.found[i].notProven == 0 {
			continue
		}
		for o := range again {
			if o.lotKey == (lotKey{b.source, b.form}) && o.pair[0]%b.abreast == 0 && o.pair[1]%b.abreast == 0 {
				out = append(out, i)
				break
			}
		}
	}
	return out
}

// deepen asks with a larger budget for what the survey of a pair left open, if
// that was not done yet. What it finds depends on the pair alone, so that Find
// finds it again: every pair has a solver of its own.
func (s *shelf) deepen(pair [2]int) {
	if _, done := s.deeper(pair); done {
		return
	}
	solver := s.solver()
	first := s.pairs[pair]
	d := held{room: &design.Room{Placed: slices.Clone(first.Placed), Bound: slices.Clone(first.Bound), Sum: slices.Clone(first.Sum)}}
	if pair[1] == 0 {
		s.deepenOne(solver, pair[0], &d)
	} else {
		d.places = slices.Clone(s.places[pair])
		s.deepenTwo(solver, pair, &d)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.deep[pair] = d
}

// deepenOne asks for one more module of one length, again and again.
func (s *shelf) deepenOne(solver *bay.Solver, n int, d *held) {
	one := s.one[n]
	best := one.placements
	kind := s.kind(n)
	for k := one.n + 1; k <= one.bound; k++ {
		kind.Count = k
		a := solver.Place([]bay.Kind{kind}, bay.Options{Nodes: deepNodes})
		if a.Verdict != bay.Fits {
			if a.Verdict == bay.NotFit {
				d.room.Bound = d.room.Bound[:k]
			}
			break
		}
		best = a.Placements
	}
	if len(best) > one.n {
		*d.room = *s.single(&lone{n: len(best), bound: len(d.room.Bound) - 1, placements: best})
	}
	d.places = [][]bay.Placement{best}
}

// deepenTwo asks for one more module of the second length beside each number of
// the first, again and again.
func (s *shelf) deepenTwo(solver *bay.Solver, pair [2]int, d *held) {
	kinds := []bay.Kind{s.kind(pair[0]), s.kind(pair[1])}
	r := d.room
	for i := range r.Placed {
		for r.Placed[i] < r.Bound[i] {
			kinds[0].Count, kinds[1].Count = i, r.Placed[i]+1
			a := solver.Place(kinds, bay.Options{Nodes: deepNodes})
			if a.Verdict != bay.Fits {
				for k := i; k < len(r.Bound) && a.Verdict == bay.NotFit; k++ {
					r.Bound[k] = min(r.Bound[k], r.Placed[i])
				}
				break
			}
			r.Placed[i]++
			d.places[i], r.Sum[i] = a.Placements, centres(s.bay, a.Placements, r.Placed[i])
		}
	}
}
