package design

import (
	"packyard/cell"
	"packyard/check"
	"packyard/part"
	"packyard/vehicle"
)

// Uncertain is an input of a brief that was given with a spread. The reader of
// the project lists them; more may be appended, as what a bench of used cells
// measured of a lot: with a Set of its own and Stated.Measured.
type Uncertain struct {
	Path   string // "road.drag_area"
	Text   string // as written
	Pos    check.Pos
	Stated check.Stated
	Set    func(b *Brief, si float64) // puts a value, in the SI unit of Stated, into the brief; nil: range and energy do not depend on it
	Why    string                     // without Set: what the spread is used for instead, or why it is not used
	Source int                        // index into Brief.Sources of the only source it belongs to, plus one; zero: of all
	Bay    int                        // index into Brief.Bays of the only bay it belongs to, plus one; zero: of all
	Life   bool                       // it matters at the planned end of life only
}

// own returns a copy of the brief in which everything that Set may change is its
// own: the lists of masses and loads, and the parts in use.
func (b *Brief) own() Brief {
	o := *b
	o.Donor.Removed = append([]vehicle.Item(nil), b.Donor.Removed...)
	o.Donor.Added = append([]vehicle.Item(nil), b.Donor.Added...)
	o.Road.Load.Coast = copyOf(b.Road.Load.Coast)
	o.Drive.Unit, o.Drive.Inverter = copyOf(b.Drive.Unit), copyOf(b.Drive.Inverter)
	o.Drive.Charger, o.Drive.Converter = copyOf(b.Drive.Charger), copyOf(b.Drive.Converter)
	o.Drive.Stages = append([]part.Stage(nil), b.Drive.Stages...)
	o.Drive.Auxiliary.Loads = append([]part.Load(nil), b.Drive.Auxiliary.Loads...)
	o.Bays = append(o.Bays[:0:0], b.Bays...)
	o.Sources = append([]Source(nil), b.Sources...)
	for i := range o.Sources {
		s := &o.Sources[i]
		if s.Cell != nil {
			s.Cell = copyOf(s.Cell)
		}
		if s.Module != nil {
			s.Module = copyOf(s.Module)
			s.Module.Slice.Cell = copyOf(s.Module.Slice.Cell)
		}
	}
	return o
}

func copyOf[T any](p *T) *T {
	if p == nil {
		return nil
	}
	c := *p
	return &c
}

// restore brings a brief made by own back to b, in the memory it has.
func (o *Brief) restore(b *Brief) {
	was := *o
	*o = *b
	o.Donor.Removed, o.Donor.Added = refill(was.Donor.Removed, b.Donor.Removed), refill(was.Donor.Added, b.Donor.Added)
	o.Road.Load.Coast = put(was.Road.Load.Coast, b.Road.Load.Coast)
	o.Drive.Unit, o.Drive.Inverter = put(was.Drive.Unit, b.Drive.Unit), put(was.Drive.Inverter, b.Drive.Inverter)
	o.Drive.Charger, o.Drive.Converter = put(was.Drive.Charger, b.Drive.Charger), put(was.Drive.Converter, b.Drive.Converter)
	o.Drive.Stages = refill(was.Drive.Stages, b.Drive.Stages)
	o.Drive.Auxiliary.Loads = refill(was.Drive.Auxiliary.Loads, b.Drive.Auxiliary.Loads)
	o.Bays = refill(was.Bays, b.Bays)
	o.Sources = was.Sources
	for i := range o.Sources {
		s, from := &o.Sources[i], &b.Sources[i]
		c, m := s.Cell, s.Module
		*s = *from
		s.Cell = put(c, from.Cell)
		if m != nil {
			inner := m.Slice.Cell
			s.Module = put(m, from.Module)
			s.Module.Slice.Cell = put(inner, from.Module.Slice.Cell)
		}
	}
}

func refill[T any](into, from []T) []T {
	copy(into, from)
	return into
}

func put[T any](into, from *T) *T {
	if into != nil {
		*into = *from
	}
	return into
}

// cellOf returns the cell of a source.
func (s *Source) cellOf() *cell.Cell {
	if s.Module != nil {
		return s.Module.Slice.Cell
	}
	return s.Cell
}
