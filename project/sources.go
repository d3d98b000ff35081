package project

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"packyard/bay"
	"packyard/cell"
	"packyard/check"
	"packyard/design"
	"packyard/internal/sheet"
	"packyard/unit"
)

// Stand-ins for what nobody measured: new cells are as rated; modules from
// scrapped vehicles have lost a fifth, where maker guarantees and the 5-year
// line of UN GTR 22 end. The growth of resistance is an assumption.
const (
	healthUsed = unit.Ratio(0.8)
	growthUsed = unit.Ratio(1.5)
)

// sourceName is what a name must look like to stand in the name of an option:
// no blanks and no stroke, so that it can be typed in a shell.
var sourceName = regexp.MustCompile(`^[\pL\pN][\pL\pN._-]*$`)

func (r *reader) sources() {
	if len(r.file.Sources) == 0 {
		r.empty("sources", "list at least one lot of cells or modules")
	}
	seen := map[string]check.Pos{}
	r.health, r.curves = r.measured(), r.circuits()
	for i := range r.file.Sources {
		f := &r.file.Sources[i]
		at := fmt.Sprintf("sources[%d]", i)
		r.onlyOnce(seen, f.Name, at+".name", "source")
		if r.read(f.Name.Pos) && !sourceName.MatchString(f.Name.Value) {
			fixed := strings.Trim(strings.Map(func(c rune) rune {
				if sourceName.MatchString("x" + string(c)) {
					return c
				}
				return '-'
			}, f.Name.Value), "-._")
			hint := "letters, digits, dots and dashes are accepted"
			if sourceName.MatchString(fixed) {
				hint += ", such as " + fixed
			}
			r.probs.Addf(f.Name.Pos, at+".name", hint, "%q cannot stand in the name of an option", f.Name.Value)
		}
		s := design.Source{Name: f.Name.Value, Kind: design.SourceKind(f.Kind.Value), Count: f.Count.Value, Spare: f.Spare.Value, Price: f.Price}
		if r.read(f.Count.Pos) && r.read(f.Spare.Pos) && s.Spare >= s.Count {
			r.probs.Addf(f.Spare.Pos, at+".spare", "fewer than count are accepted", "\"%d\" keeps all of the %d pieces back", s.Spare, s.Count)
		}
		r.price(f.Price, at+".price")
		if !r.read(f.Kind.Pos) || !r.read(f.Part.Pos) || !r.sourcePart(f, &s, at) {
			continue
		}
		r.sourcePrice(f, &s, at)
		r.sourceHealth(f, &s, at)
		r.sourceCurves(&s)
		r.kinds = append(r.kinds, smallestModules(&s))
		r.brief.Sources = append(r.brief.Sources, s)
	}
}

// sourcePart looks the cell or module up, and its hardware.
func (r *reader) sourcePart(f *SourceFile, s *design.Source, at string) bool {
	if f.Hardware.IsGiven() {
		if s.Hardware = r.cells.HardwareByID(f.Hardware.Value); s.Hardware == nil {
			r.unknown(f.Hardware, at+".hardware", "module hardware", ids(r.cells.Hardware, func(h *cell.Hardware) string { return h.ID }))
			return false
		}
	}
	if s.Kind == design.LooseCells {
		return r.looseCells(f, s, at)
	}
	if s.Module = r.cells.Module(f.Part.Value); s.Module == nil {
		if r.cells.Cell(f.Part.Value) != nil {
			r.probs.Addf(f.Part.Pos, at+".part", "write kind: cells, or name a module", "%q is a cell and not a module", f.Part.Value)
			return false
		}
		r.unknown(f.Part, at+".part", "module", ids(r.cells.Modules, func(m *cell.Module) string { return m.ID }))
		return false
	}
	switch {
	case s.Kind == design.Openable && s.Module.Hardware == nil && s.Hardware == nil:
		r.probs.Addf(f.Kind.Pos, at+".kind", "write kind: module, or name hardware that turns its slices into modules", "%q is a closed module: nothing is known about building its slices into modules", f.Part.Value)
		return false
	case s.Kind == design.Closed && s.Hardware != nil:
		r.probs.Addf(f.Hardware.Pos, at+".hardware", "take it out, or write kind: openable module", "stands beside a closed module, which is used as it is")
		return false
	}
	return true
}

func (r *reader) looseCells(f *SourceFile, s *design.Source, at string) bool {
	if s.Cell = r.cells.Cell(f.Part.Value); s.Cell == nil {
		if r.cells.Module(f.Part.Value) != nil {
			r.probs.Addf(f.Part.Pos, at+".part", "write kind: module or kind: openable module, or name a cell", "%q is a module and not a cell", f.Part.Value)
			return false
		}
		r.unknown(f.Part, at+".part", "cell", ids(r.cells.Cells, func(c *cell.Cell) string { return c.ID }))
		return false
	}
	if s.Hardware != nil {
		if !slices.Contains(s.Hardware.Cells, s.Cell.ID) {
			hint := "list the cell in the hardware's cells"
			if fit := r.cells.HardwareFor(s.Cell.ID); fit != nil {
				hint += ", or take " + fit.ID
			}
			r.probs.Addf(f.Hardware.Pos, at+".hardware", hint, "%q is not made for %q", f.Hardware.Value, f.Part.Value)
			return false
		}
		return true
	}
	if s.Hardware = r.cells.HardwareFor(s.Cell.ID); s.Hardware == nil {
		r.missing(f.Pos, at, "hardware", "name what turns the cells into modules: "+strings.Join(ids(r.cells.Hardware, func(h *cell.Hardware) string { return h.ID }), ", "))
		return false
	}
	return true
}

// sourcePrice takes the price of the part where the source has none, and
// refuses one in another currency.
func (r *reader) sourcePrice(f *SourceFile, s *design.Source, at string) {
	if f.Price.IsGiven() {
		return
	}
	var own check.Price
	if s.Cell != nil {
		own = s.Cell.Price
	} else {
		own = s.Module.Price
	}
	switch {
	case !own.IsGiven():
		r.brief.Assumed.Add(check.Assumption{Subject: at + ".price", Value: check.Money(0, r.brief.Currency), Source: "assumption"})
	case own.Currency != r.brief.Currency:
		r.probs.Addf(f.Pos, at+".price", "write price: with the amount in "+r.brief.Currency, "is missing: %q has its price in %s", f.Part.Value, own.Currency)
	}
}

func (r *reader) sourceHealth(f *SourceFile, s *design.Source, at string) {
	health, growth := cell.New.CapacityShare, cell.New.ResistanceGrowth
	if s.Kind != design.LooseCells {
		health, growth = healthUsed, growthUsed
	}
	from, fromGrowth := "assumption", "assumption"
	if m, ok := r.health[s.Name]; ok {
		health, from = m.CapacityShare, "bench"
		if m.ResistanceGrowth > 0 {
			growth, fromGrowth = m.ResistanceGrowth, "bench"
		}
	}
	s.Health = cell.Health{
		CapacityShare:    or(r, f.Health, at+".state_of_health", health, from),
		ResistanceGrowth: or(r, f.Growth, at+".resistance_growth", growth, fromGrowth),
	}
}

// smallestModules returns the smallest modules that can be made of a source:
// as it came, and the shortest stack.
func smallestModules(s *design.Source) []bay.Kind {
	var out []bay.Kind
	add := func(name string, st cell.Stack) {
		out = append(out, bay.Kind{Name: name, Size: st.Size, Mass: st.Mass, Orientations: st.Orientations, Count: 1})
	}
	hw := s.Hardware
	var slice cell.Slice
	if s.Module != nil {
		add(s.Name+" as it came", s.Module.AsBuilt())
		slice = s.Module.Slice
		if hw == nil && s.Kind == design.Openable {
			hw = s.Module.Hardware
		}
	} else {
		slice = cell.SliceOf(s.Cell, hw)
	}
	if hw == nil {
		return out
	}
	if st, err := cell.Build(&slice, hw, 1, max(hw.SlicesMin, 1)); err == nil {
		add(s.Name+" in the shortest stack", st)
	}
	return out
}

// optionForm is the name of an option without its source.
var optionForm = regexp.MustCompile(`^(?:[1-9][0-9]?[x×])?[1-9][0-9]{0,3}S[1-9][0-9]{0,3}P/(?:as-built|[1-9][0-9]{0,3}x[1-9][0-9]{0,3}S(?:\+[1-9][0-9]{0,3}x[1-9][0-9]{0,3}S)?)$`)

func (r *reader) choose() {
	f, c := &r.file.Choose, &r.brief.Choose
	c.RankBy = "range"
	if r.read(f.RankBy.Pos) {
		c.RankBy = f.RankBy.Value
	}
	if !r.read(f.Option.Pos) {
		return
	}
	c.Option = f.Option.Value
	const hint = "an option is written source/104S2P/8x12S+1x8S or source/2x96S1P/as-built, as options prints it"
	source, form, found := strings.Cut(c.Option, "/")
	if !found || !optionForm.MatchString(form) {
		r.probs.Addf(f.Option.Pos, "choose.option", hint, "%q is not the name of an option", c.Option)
		return
	}
	var known []string
	for i := range r.file.Sources {
		known = append(known, r.file.Sources[i].Name.Value)
		if r.file.Sources[i].Name.Value == source {
			return
		}
	}
	near := "sources are " + strings.Join(known, ", ")
	if n := sheet.Nearest(source, known); n != "" {
		near = "did you mean " + n + "?"
	}
	r.probs.Addf(f.Option.Pos, "choose.option", near, "%q names no source of this project", source)
}
