package cell

import (
	"fmt"
	"slices"

	"packyard/check"
	"packyard/internal/sheet"
	"packyard/unit"
)

func (b *builder) hardware(s *HardwareSheet, path string) *Hardware {
	if !b.names.Take(s.ID, path, b.probs) {
		return nil
	}
	ok := all(s.EndPlates.IsGiven(), s.EndPlatesMass.IsGiven(), s.MassPerSlice.IsGiven(), s.MarginWidth.IsGiven(),
		s.MarginHeight.IsGiven(), read(s.StackMax), s.JointResistance.IsGiven())
	h := &Hardware{
		ID: s.ID.Value, Title: s.Title.Value,
		RowCells: s.RowCells.Value, Staggered: s.Staggered.Value, Gap: s.Gap.SI, PlateMass: s.PlateMass.SI, SliceResistance: s.SliceResistance.SI,
		EndPlates: s.EndPlates.SI, EndPlatesMass: s.EndPlatesMass.SI, MassPerSlice: s.MassPerSlice.SI,
		Margin: Size{Y: s.MarginWidth.SI, Z: s.MarginHeight.SI}, StackMax: s.StackMax.SI, SlicesMin: max(s.SlicesMin.Value, 1),
		JointResistance: s.JointResistance.SI, PricePerModule: s.PricePerModule, PricePerSlice: s.PricePerSlice,
		HoursPerModule: s.HoursPerModule.SI, ReusesEndPlates: s.ReusesEndPlates.Value,
	}
	for i, t := range s.Cells {
		c := b.cellNamed(t, fmt.Sprintf("%s.cells[%d]", path, i))
		if c == nil {
			ok = false
			continue
		}
		h.Cells, h.Format = append(h.Cells, c.ID), c.Format
		if c.Format == Cylindrical && h.RowCells < 1 {
			b.probs.Addf(t.Pos, path+".row_cells", "the number of cells in a holder row, all in parallel, is wanted", "is missing for the cylindrical cell %q", t.Value)
			ok = false
		}
	}
	var good bool
	if h.Orientations, good = b.orientations(s.Orientations, s.Pos, path); !good || !ok {
		return nil
	}
	h.Facts = FactsOf(s.Facts, path, []Stated{
		{"row_cells", s.RowCells.IsGiven()}, {"gap", s.Gap.IsGiven()}, {"plate_mass", s.PlateMass.IsGiven()},
		{"slice_resistance", s.SliceResistance.IsGiven()}, {"end_plates", true}, {"end_plates_mass", true}, {"mass_per_slice", true},
		{"margin_width", true}, {"margin_height", true}, {"stack_max", true}, {"slices_min", s.SlicesMin.IsGiven()}, {"orientations", true},
		{"joint_resistance", true}, {"price_per_module", s.PricePerModule.IsGiven()}, {"price_per_slice", s.PricePerSlice.IsGiven()},
		{"hours_per_module", s.HoursPerModule.IsGiven()},
	}, b.probs)
	return h
}

// orientations reads the list; at least one, each once.
func (b *builder) orientations(list []check.Text, pos check.Pos, path string) ([]Orientation, bool) {
	var out []Orientation
	seen := map[string]bool{}
	for i, t := range list {
		if seen[t.Value] {
			b.probs.Addf(t.Pos, fmt.Sprintf("%s.orientations[%d]", path, i), "keep one", "%q is written twice", t.Value)
			return nil, false
		}
		seen[t.Value] = true
		out = append(out, Orientation(t.Value))
	}
	if len(out) == 0 {
		b.probs.Addf(pos, path+".orientations", "at least one of z-up, y-up, x-up is wanted", "names no way to stand")
		return nil, false
	}
	return out, true
}

// cellNamed returns the cell that the text refers to, nil with a problem if
// there is none.
func (b *builder) cellNamed(t check.Text, path string) *Cell {
	if c := b.out.Cell(t.Value); c != nil || !t.IsGiven() {
		return c
	}
	var ids []string
	for _, c := range b.out.Cells {
		ids = append(ids, c.ID)
	}
	b.missing(t, path, "cell", ids)
	return nil
}

func (b *builder) missing(t check.Text, path, kind string, ids []string) {
	if _, tried := b.names[t.Value]; tried && !contains(ids, t.Value) {
		b.probs.Addf(t.Pos, path, "a "+kind+" that reads without faults is wanted", "%q is not a usable %s", clip(t.Value), kind)
		return
	}
	hint := "the id of a " + kind + " in parts/ or in the built-in catalogue is accepted"
	if near := sheet.Nearest(t.Value, ids); near != "" {
		hint = "did you mean " + near + "?"
	}
	b.probs.Addf(t.Pos, path, hint, "no %s is named %q", kind, clip(t.Value))
}

func contains(list []string, s string) bool {
	return slices.Contains(list, s)
}

func (b *builder) module(s *ModuleSheet, path string) *Module {
	if !b.names.Take(s.ID, path, b.probs) {
		return nil
	}
	c := b.cellNamed(s.Cell, path+".cell")
	var hw *Hardware
	if s.Hardware.IsGiven() {
		if hw = b.out.HardwareByID(s.Hardware.Value); hw == nil {
			var ids []string
			for _, h := range b.out.Hardware {
				ids = append(ids, h.ID)
			}
			b.missing(s.Hardware, path+".hardware", "hardware", ids)
			return nil
		}
	}
	if c == nil || s.Slice == nil || s.Groups.Value < 1 {
		return nil
	}
	sl := s.Slice
	if !all(read(sl.Pitch), read(sl.Width), read(sl.Height), read(sl.Mass), sl.Resistance.IsGiven()) {
		return nil
	}
	m := &Module{
		ID: s.ID.Value, Title: s.Title.Value,
		Slice: Slice{
			Cell: c, Series: max(sl.Series.Value, 1), Parallel: max(sl.Parallel.Value, 1),
			Pitch: sl.Pitch.SI, Width: sl.Width.SI, Height: sl.Height.SI, Mass: sl.Mass.SI, Resistance: sl.Resistance.SI,
		},
		Groups: s.Groups.Value, SlicesParallel: max(s.SlicesParallel.Value, 1), Hardware: hw, Price: s.Price,
	}
	if cells := unit.Mass(m.Slice.Series*m.Slice.Parallel) * c.Mass; m.Slice.Mass < cells*(1-1e-9) {
		b.probs.Addf(sl.Mass.Pos, path+".slice.mass", fmt.Sprintf("its %d cells alone weigh %s", m.Slice.Series*m.Slice.Parallel, unit.FormatIn(cells, "kg")), "%q is less than the cells inside", sl.Mass.Text)
		return nil
	}
	if !b.asBuilt(m, s, path) {
		return nil
	}
	m.Facts = FactsOf(s.Facts, path, []Stated{
		{"slice", true}, {"groups", true}, {"slices_parallel", s.SlicesParallel.IsGiven()}, {"size", s.Size[0].IsGiven()}, {"mass", s.Mass.IsGiven()},
		{"resistance", s.Resistance.IsGiven()}, {"orientations", len(s.Orientations) > 0}, {"price", s.Price.IsGiven()},
	}, b.probs)
	return m
}

// asBuilt fills size, mass, resistance and orientations of the module as it
// came: as written, and of an openable module what Build gives.
func (b *builder) asBuilt(m *Module, s *ModuleSheet, path string) bool {
	dims, haveSize := size(s.Size)
	haveMass, haveResistance := read(s.Mass), s.Resistance.IsGiven()
	if m.Hardware != nil && !all(haveSize, haveMass, haveResistance) {
		st, err := Build(&m.Slice, m.Hardware, m.SlicesParallel, m.Groups)
		if err != nil {
			b.probs.Addf(s.Pos, path, "write size, mass and resistance as built", "cannot be computed with its hardware: %v", err)
			return false
		}
		m.Size, m.Mass, m.Resistance = st.Size, st.Mass, st.Resistance
	}
	for _, k := range []struct {
		have bool
		name string
		set  func()
	}{
		{haveSize, "size", func() { m.Size = dims }},
		{haveMass, "mass", func() { m.Mass = s.Mass.SI }},
		{haveResistance, "resistance", func() { m.Resistance = s.Resistance.SI }},
	} {
		if k.have {
			k.set()
		} else if m.Hardware == nil {
			b.probs.Addf(s.Pos, path+"."+k.name, "a closed module has no hardware to compute it from", "is missing")
			return false
		}
	}
	if len(s.Orientations) == 0 && m.Hardware != nil {
		m.Orientations = m.Hardware.Orientations
		return true
	}
	var ok bool
	m.Orientations, ok = b.orientations(s.Orientations, s.Pos, path)
	return ok
}
