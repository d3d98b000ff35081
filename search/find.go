package search

import (
	"context"
	"fmt"

	"packyard/design"
)

// Find works out the one option of that name in full: its loading, its values
// and complete range runs of both lives. Errors: design.ErrOption for a name
// that is none, those of cell.Build for modules that cannot be built, those of
// drive.
func Find(f *design.Frame, id string) (*Option, error) { return (*Memory)(nil).Find(f, id) }

// Find is the function Find, with what earlier searches found of the bays.
func (m *Memory) Find(f *design.Frame, id string) (*Option, error) {
	c, err := f.Parse(id)
	if err != nil {
		return nil, err
	}
	if why := f.Lots[c.Source].Why; why != "" {
		return nil, fmt.Errorf("%q %w: the source is not searched: %s", id, design.ErrOption, why)
	}
	if _, err := f.Modules(c); err != nil {
		return nil, fmt.Errorf("%q: %w", id, err)
	}
	s := &finder{f: f, o: Options{Memory: m}.orDefault(), placer: newPlacer(f)}
	bl := block{c.Source, c.Form, c.Abreast, c.Strings, c.Cut.Groups()}
	w := f.Wire(c.Source, c.Form, c.Abreast, c.Strings, c.Cut.Groups())
	s.blocks, s.found = []block{bl}, []blockFound{{wiring: w}}
	lot := lotKey{c.Source, c.Form}
	ctx := context.Background()
	if err := s.surveyLengths(ctx, map[lotKey]map[int]bool{lot: lengthsOf(c)}); err != nil {
		return nil, err
	}
	mods := modulesOf(s.placer.build(stackKey{lot, c.Abreast}), c.Cut, c.Strings)
	load := s.placer.load(&w, &mods, lot)
	if !load.proven {
		s.found[0].open, s.found[0].notProven = []openPair{{lot, slicesOf(&mods)}}, 1
		if _, err := s.deepen(ctx); err != nil {
			return nil, err
		}
		load = s.placer.load(&w, &mods, lot)
	}
	l := lean{cut: c.Cut, load: load}
	l.fig = f.Evaluate(&w, &mods, &load.loading, &l.values)
	r := &runner{s: s}
	return r.option(0, &l)
}

// lengthsOf returns the lengths of a candidate's modules, in slices.
func lengthsOf(c *design.Candidate) map[int]bool {
	out := map[int]bool{}
	for _, p := range c.Cut {
		if p.Count > 0 {
			out[p.Groups*c.Abreast] = true
		}
	}
	return out
}

// Place returns the option with every module in its place, as design.Assess
// wants it.
func Place(f *design.Frame, o *Option) *design.Placed {
	p := &design.Placed{
		ID: o.ID, Candidate: o.Candidate, Wiring: o.Wiring, Modules: o.Modules,
		Loading: o.Loading, Places: o.Places, Values: o.Values, Figures: o.Figures,
	}
	if o.Run != nil {
		p.New = *o.Run
	}
	if o.RunEnd != nil {
		p.End = *o.RunEnd
	}
	return p
}
