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
func Find(f *design.Frame, id string) (*Option, error) {
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
	s := &finder{f: f, o: Options{}.orDefault(), placer: newPlacer(f), only: &c.Cut}
	s.blocks = []block{{c.Source, c.Form, c.Abreast, c.Strings, c.Cut.Groups()}}
	s.found = []blockFound{{wiring: f.Wire(c.Source, c.Form, c.Abreast, c.Strings, c.Cut.Groups())}}
	if err := s.survey(context.Background()); err != nil {
		return nil, err
	}
	lot := lotKey{c.Source, c.Form}
	m := modulesOf(s.placer.stacks[stackKey{lot, c.Abreast}], c.Cut, c.Strings)
	load, _ := s.placer.load(&s.found[0].wiring, &m, lot)
	l := lean{cut: c.Cut}
	l.fig = f.Evaluate(&s.found[0].wiring, &m, load, &l.values)
	r := &runner{s: s}
	return r.option(0, &l)
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
