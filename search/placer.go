package search

import (
	"context"
	"maps"
	"slices"
	"sync"

	"packyard/bay"
	"packyard/cell"
	"packyard/design"
	"packyard/unit"
)

// placer solves each distinct question of space once: which numbers of two
// module lengths a bay holds, and how a need is best shared among the bays. It
// is safe for concurrent use after survey.
type placer struct {
	frame   *design.Frame
	stacks  map[stackKey][]cell.Stack // by groups in series
	shelves map[lotKey][]*shelf       // by bay
	rooms   map[lotKey]map[[2]int]*design.Rooms
	deep    map[lotKey]map[[2]int]*design.Rooms // of the second look, for pairs that had one
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
	need    [2]int
	strings int
}

// loaded is the best loading found, whether its verdict is proven, and from
// which rooms it is.
type loaded struct {
	loading design.Loading
	proven  bool
	deep    bool // of the second look
	other   bool // chosen for a near miss, not the one that Load chooses
	rooms   *design.Rooms
}

// once is a value that is computed by the first who asks.
type once[T any] struct {
	sync.Once
	value T
}

func newPlacer(f *design.Frame) *placer {
	return &placer{
		frame: f, stacks: map[stackKey][]cell.Stack{}, shelves: map[lotKey][]*shelf{}, loads: map[loadKey]*once[loaded]{},
		rooms: map[lotKey]map[[2]int]*design.Rooms{}, deep: map[lotKey]map[[2]int]*design.Rooms{},
	}
}

// survey asks every bay what it holds of the modules that the blocks can be
// cut into; the bays side by side.
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
	return s.surveyLengths(ctx, lengths)
}

// surveyLengths asks every bay what it holds of modules of the given lengths,
// in slices.
func (s *finder) surveyLengths(ctx context.Context, lengths map[lotKey]map[int]bool) error {
	p := s.placer
	var jobs []func()
	for k, set := range lengths {
		list := slices.Sorted(maps.Keys(set))
		for i := range p.frame.Brief.Bays {
			sh := newShelf(&p.frame.Brief.Bays[i], p.kindOf(k))
			p.shelves[k] = append(p.shelves[k], sh)
			jobs = append(jobs, func() { s.o.Memory.survey(ctx, sh, list) })
		}
	}
	if err := s.each(ctx, len(jobs), func(_ *runner, i int) error { jobs[i](); return nil }); err != nil {
		return err
	}
	for k, list := range p.shelves {
		p.rooms[k] = map[[2]int]*design.Rooms{}
		for pair := range list[0].pairs {
			p.rooms[k][pair] = p.join(k, pair, func(sh *shelf) *design.Room { return sh.pairs[pair] })
		}
	}
	return nil
}

// join puts the rooms of all bays together.
func (p *placer) join(k lotKey, pair [2]int, of func(*shelf) *design.Room) *design.Rooms {
	var room []*design.Room
	for _, sh := range p.shelves[k] {
		room = append(room, of(sh))
	}
	return design.NewRooms(room, p.masses(k, pair))
}

// joinDeep puts the rooms of the second look together.
func (p *placer) joinDeep(k lotKey, pair [2]int) {
	if p.deep[k] == nil {
		p.deep[k] = map[[2]int]*design.Rooms{}
	}
	p.deep[k][pair] = p.join(k, pair, func(sh *shelf) *design.Room { h, _ := sh.deeper(pair); return h.room })
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

// masses returns the masses of modules of two lengths, in slices.
func (p *placer) masses(k lotKey, pair [2]int) [2]unit.Mass {
	var m [2]unit.Mass
	for i, n := range pair {
		if n > 0 {
			m[i] = p.kindOf(k)(n).Mass
		}
	}
	return m
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
func (p *placer) load(w *design.Wiring, m *design.Modules, lot lotKey) *loaded {
	k := loadKey{lotKey: lot, need: m.Count, strings: w.Topology.Strings, slices: slicesOf(m)}
	p.mu.Lock()
	o := p.loads[k]
	if o == nil {
		o = new(once[loaded])
		p.loads[k] = o
	}
	p.mu.Unlock()
	o.Do(func() { o.value = p.solve(w, m, k) })
	return &o.value
}

func slicesOf(m *design.Modules) [2]int {
	var n [2]int
	for i := range m.Stack {
		n[i] = m.Stack[i].Groups * m.Stack[i].SlicesParallel
	}
	return n
}

// solve shares the modules among the bays, or says how many have no place. What
// the first look leaves open is asked of the second, where there was one.
func (p *placer) solve(w *design.Wiring, m *design.Modules, k loadKey) loaded {
	rooms, deep := p.rooms[k.lotKey][k.slices], false
	l, proven := p.frame.Load(w, m, rooms)
	if again := p.deep[k.lotKey][k.slices]; !proven && again != nil {
		rooms, deep = again, true
		l, proven = p.frame.Load(w, m, rooms)
	}
	return loaded{loading: l, proven: proven, deep: deep, rooms: rooms}
}
