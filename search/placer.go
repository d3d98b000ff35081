package search

import (
	"context"
	"slices"
	"sync"

	"packyard/bay"
	"packyard/cell"
	"packyard/design"
	"packyard/unit"
	"packyard/vehicle"
)

// placer solves each distinct question of space once: which numbers of two
// module lengths a bay holds, and how a need is best shared among the bays. It
// is safe for concurrent use after survey.
type placer struct {
	frame   *design.Frame
	stacks  map[stackKey][]cell.Stack // by groups in series
	shelves map[lotKey][]*shelf       // by bay
	mu      sync.Mutex
	loads   map[loadKey]*once[loaded]
}

// lotKey names the modules of one source and form: one outside cross-section.
type lotKey struct {
	source int
	form   design.Form
}

type stackKey struct {
	lotKey
	abreast int
}

// loadKey names a need: two lengths, in slices, since a module's outside does
// not depend on how its slices are wired, and how many of each.
type loadKey struct {
	lotKey
	slices  [2]int
	need    need
	strings int
}

// loaded is the best loading found, and whether its verdict is proven.
type loaded struct {
	loading design.Loading
	proven  bool
}

// once is a value that is computed by the first who asks.
type once[T any] struct {
	sync.Once
	value T
}

func newPlacer(f *design.Frame) *placer {
	return &placer{frame: f, stacks: map[stackKey][]cell.Stack{}, shelves: map[lotKey][]*shelf{}, loads: map[loadKey]*once[loaded]{}}
}

// survey asks every bay what it holds of the modules that the blocks can be
// cut into. each runs the bays side by side.
func (s *finder) survey(ctx context.Context) error {
	p := s.placer
	lengths := map[lotKey]map[int]bool{}
	for _, b := range s.blocks {
		k := lotKey{b.source, b.form}
		if lengths[k] == nil {
			lengths[k] = map[int]bool{}
		}
		for g, st := range p.build(stackKey{k, b.abreast}) {
			if st.Slice != nil && (b.form == design.AsBuilt || g <= b.groups) {
				lengths[k][g*b.abreast] = true
			}
		}
	}
	var jobs []func()
	for k, set := range lengths {
		list := make([]int, 0, len(set))
		for n := range set {
			list = append(list, n)
		}
		slices.Sort(list)
		for i := range p.frame.Brief.Bays {
			sh := newShelf(&p.frame.Brief.Bays[i], p.kindOf(k))
			p.shelves[k] = append(p.shelves[k], sh)
			jobs = append(jobs, func() { sh.survey(list) })
		}
	}
	return s.each(ctx, len(jobs), func(_ *runner, i int) error { jobs[i](); return nil })
}

// kindOf returns the outside of a source's modules by their slices.
func (p *placer) kindOf(k lotKey) func(slices int) bay.Kind {
	return func(n int) bay.Kind {
		st, err := p.frame.Stack(k.source, k.form, 1, n)
		if err != nil {
			return bay.Kind{}
		}
		return bay.Kind{Size: st.Size, Mass: st.Mass, Orientations: st.Orientations}
	}
}

// build returns the modules of a source and form by their groups in series;
// lengths that cannot be built are left zero.
func (p *placer) build(k stackKey) []cell.Stack {
	if s, ok := p.stacks[k]; ok {
		return s
	}
	most := 0
	if k.form == design.AsBuilt {
		most = p.frame.Brief.Sources[k.source].Module.Groups
	} else {
		l := &p.frame.Lots[k.source]
		most = cell.SlicesLongest(&l.Slice, l.Hardware) / k.abreast
	}
	out := make([]cell.Stack, most+1)
	for g := 1; g <= most; g++ {
		if k.form == design.AsBuilt && g < most {
			continue
		}
		if st, err := p.frame.Stack(k.source, k.form, k.abreast, g); err == nil {
			out[g] = st
		}
	}
	p.stacks[k] = out
	return out
}

// load returns the best loading of a candidate's modules, and whether it is
// proven that they fit or that they do not.
func (p *placer) load(w *design.Wiring, m *design.Modules, lot lotKey) (*design.Loading, bool) {
	k := loadKey{lotKey: lot, need: m.Count, strings: w.Topology.Strings, slices: slicesOf(m)}
	p.mu.Lock()
	o := p.loads[k]
	if o == nil {
		o = new(once[loaded])
		p.loads[k] = o
	}
	p.mu.Unlock()
	o.Do(func() { o.value = p.solve(w, m, k) })
	return &o.value.loading, o.value.proven
}

func slicesOf(m *design.Modules) [2]int {
	var n [2]int
	for i := range m.Stack {
		n[i] = m.Stack[i].Groups * m.Stack[i].SlicesParallel
	}
	return n
}

// solve shares the modules among the bays, or says how many have no place.
func (p *placer) solve(w *design.Wiring, m *design.Modules, k loadKey) loaded {
	shelves := p.shelves[k.lotKey]
	rooms := make([]*room, len(shelves))
	for i, s := range shelves {
		rooms[i] = s.pairs[k.slices]
	}
	if !possible(rooms, k.need) {
		return loaded{loading: p.overfull(rooms, k.need), proven: true}
	}
	if l, ok := p.best(w, m, rooms, k.need); ok {
		return loaded{loading: l, proven: true}
	}
	return loaded{loading: p.overfull(rooms, k.need)}
}

// overfull stands in for the loading of modules that do not all fit: the bays
// hold what they can, the longer modules first, and the rest counts at the
// mean of the bays' centres, so that masses and axle loads can still be told.
func (p *placer) overfull(rooms []*room, n need) design.Loading {
	l := design.Loading{Count: make([][2]int, len(rooms))}
	left := n
	var sum sums
	var mean vehicle.Point
	for b, r := range rooms {
		i := min(left[0], len(r.placed)-1)
		j := min(left[1], r.placed[i])
		l.Count[b] = [2]int{i, j}
		sum = sum.plus(r.sum[i][j])
		left[0] -= i
		left[1] -= j
		_, c := p.frame.Brief.Bays[b].Centre(nil, nil)
		mean = add(mean, c)
	}
	for i, k := range left {
		part := unit.Length(k) / unit.Length(len(rooms))
		sum[i].X += mean.X * part
		sum[i].Y += mean.Y * part
		sum[i].Z += mean.Z * part
	}
	l.Sum, l.Short = sum, left[0]+left[1]
	return l
}
