package design

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"packyard/cell"
	"packyard/pack"
)

// Form says whether modules of a source are used as they came, or slices are
// regrouped into new modules.
type Form uint8

// Forms.
const (
	Regrouped Form = iota
	AsBuilt
)

// Cut is how one string is cut into modules: Count modules of Groups groups in
// series each, of at most two lengths. The second length has Count zero when
// all modules are alike.
type Cut [2]struct{ Groups, Count int }

// Groups returns the groups in series of the string.
func (c Cut) Groups() int { return c[0].Groups*c[0].Count + c[1].Groups*c[1].Count }

// Modules returns the number of modules of the string.
func (c Cut) Modules() int { return c[0].Count + c[1].Count }

// Candidate is one way of making a pack, before it is placed.
type Candidate struct {
	Source  int // index into Brief.Sources
	Form    Form
	Abreast int // slices side by side in parallel in each group; as built: that of the module
	Strings int
	Cut     Cut
}

// hardware returns what rebuilt modules of the source are made with, nil when
// its modules stay closed.
func (s *Source) hardware() *cell.Hardware {
	switch {
	case s.Kind == Closed:
		return nil
	case s.Hardware != nil:
		return s.Hardware
	case s.Module != nil:
		return s.Module.Hardware
	}
	return nil
}

// Topology returns how the candidate is wired.
func (f *Frame) Topology(c *Candidate) pack.Topology {
	sl := &f.Lots[c.Source].Slice
	return pack.Topology{
		Series:   c.Cut.Groups() * sl.Series,
		Parallel: c.Abreast * sl.Parallel,
		Strings:  c.Strings,
	}
}

// ID returns the name of the candidate, stable and fit for a shell:
//
//	source/104S2P/8x12S+1x8S          regrouped: modules by their cells in series
//	source/2x96S2P/as-built           modules used as they came
func (f *Frame) ID(c *Candidate) string {
	t := f.Topology(c)
	name := f.Brief.Sources[c.Source].Name + "/" + t.String() + "/"
	if c.Form == AsBuilt {
		return name + "as-built"
	}
	s0 := f.Lots[c.Source].Slice.Series
	for i, p := range c.Cut {
		if p.Count == 0 {
			continue
		}
		if i > 0 {
			name += "+"
		}
		name += fmt.Sprintf("%dx%dS", p.Count, p.Groups*s0)
	}
	return name
}

// ErrOption is returned for a text that names no option of the brief.
var ErrOption = errors.New("names no option of this project")

var cutForm = regexp.MustCompile(`^([1-9][0-9]{0,3})x([1-9][0-9]{0,3})S(?:\+([1-9][0-9]{0,3})x([1-9][0-9]{0,3})S)?$`)

// Parse reads the ID of a candidate of the brief. Errors: ErrOption, which
// says what part of the name is at fault.
func (f *Frame) Parse(id string) (*Candidate, error) {
	parts := strings.Split(id, "/")
	if len(parts) != 3 {
		return nil, fmt.Errorf("%q %w: an option is written source/104S2P/8x12S+1x8S or source/96S1P/as-built", id, ErrOption)
	}
	c := &Candidate{Source: -1}
	var names []string
	for i := range f.Brief.Sources {
		names = append(names, f.Brief.Sources[i].Name)
		if f.Brief.Sources[i].Name == parts[0] {
			c.Source = i
		}
	}
	if c.Source < 0 {
		return nil, fmt.Errorf("%q %w: source %q is not one of %s", id, ErrOption, parts[0], strings.Join(names, ", "))
	}
	t, err := pack.ParseTopology(parts[1])
	if err != nil {
		return nil, fmt.Errorf("%q %w: %w", id, ErrOption, err)
	}
	if err := f.fill(c, t, parts[2]); err != nil {
		return nil, fmt.Errorf("%q %w: %w", id, ErrOption, err)
	}
	return c, nil
}

// fill sets form, slices abreast, strings and cut of c from a topology and the
// last part of an ID.
func (f *Frame) fill(c *Candidate, t pack.Topology, cut string) error {
	sl, src := &f.Lots[c.Source].Slice, &f.Brief.Sources[c.Source]
	c.Strings = t.Strings
	if t.Series%sl.Series != 0 || t.Parallel%sl.Parallel != 0 {
		return fmt.Errorf("%s cannot be made of slices of %dS%dP", t, sl.Series, sl.Parallel)
	}
	c.Abreast = t.Parallel / sl.Parallel
	groups := t.Series / sl.Series
	if cut == "as-built" {
		m := src.Module
		if m == nil {
			return errors.New("loose cells have no module as built")
		}
		if c.Abreast != m.SlicesParallel || groups%m.Groups != 0 {
			return fmt.Errorf("%s is not a whole number of modules of %dS%dP", t, m.Groups*sl.Series, m.SlicesParallel*sl.Parallel)
		}
		c.Form = AsBuilt
		c.Cut[0].Groups, c.Cut[0].Count = m.Groups, groups/m.Groups
		return nil
	}
	if src.hardware() == nil {
		return errors.New("modules of this source stay closed: write as-built")
	}
	m := cutForm.FindStringSubmatch(cut)
	if m == nil {
		return fmt.Errorf("cut %q: modules are written 8x12S or 8x12S+1x8S", cut)
	}
	for i := range c.Cut {
		if m[1+2*i] == "" {
			break
		}
		n, _ := strconv.Atoi(m[1+2*i])
		series, _ := strconv.Atoi(m[2+2*i])
		if series%sl.Series != 0 {
			return fmt.Errorf("a module of %dS cannot be made of slices of %dS", series, sl.Series)
		}
		c.Cut[i].Count, c.Cut[i].Groups = n, series/sl.Series
	}
	if c.Cut[1].Count > 0 && c.Cut[1].Groups >= c.Cut[0].Groups {
		return fmt.Errorf("cut %q: the longer modules come first", cut)
	}
	if c.Cut.Groups() != groups {
		return fmt.Errorf("cut %q adds up to %dS, the string has %dS", cut, c.Cut.Groups()*sl.Series, t.Series)
	}
	return nil
}

// Modules returns the modules of each length of the candidate's cut, as they
// will be built in. Errors are those of cell.Build: a stack too long or too short.
func (f *Frame) Modules(c *Candidate) (Modules, error) {
	var m Modules
	for i, p := range c.Cut {
		if p.Count == 0 {
			continue
		}
		st, err := f.Stack(c.Source, c.Form, c.Abreast, p.Groups)
		if err != nil {
			return m, err
		}
		m.Stack[i], m.String[i], m.Count[i] = st, p.Count, p.Count*c.Strings
	}
	return m, nil
}

// Stack returns one module of a source: as it came, or rebuilt with groups in
// series of abreast slices side by side. Errors are those of cell.Build.
func (f *Frame) Stack(source int, form Form, abreast, groups int) (cell.Stack, error) {
	if form == AsBuilt {
		return f.Brief.Sources[source].Module.AsBuilt(), nil
	}
	l := &f.Lots[source]
	return cell.Build(&l.Slice, l.Hardware, abreast, groups)
}
