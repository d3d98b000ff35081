package part

import (
	"fmt"
	"strings"

	"packyard/cell"
	"packyard/check"
	"packyard/internal/sheet"
	"packyard/unit"
)

// Build returns base with the parts of the sheet added, and records every
// fault. Parts that could not be built are left out. Two parts of one name, in
// the sheet or against base, are a problem. A nil base is empty.
func (s *Sheet) Build(base *Catalogue, probs *check.Problems) *Catalogue {
	out := &Catalogue{}
	if base != nil {
		*out = *base
	}
	b := builder{probs: probs, names: cell.NamesOf(out.IDs())}
	for i := range s.DriveUnits { // one by one: a unit may be like one above it
		if u := b.driveUnit(&s.DriveUnits[i], fmt.Sprintf("drive_units[%d]", i), out); u != nil {
			out.DriveUnits = append(out.DriveUnits[:len(out.DriveUnits):len(out.DriveUnits)], u)
		}
	}
	out.Inverters = built(out.Inverters, s.Inverters, "inverters", b.inverter)
	out.Chargers = built(out.Chargers, s.Chargers, "chargers", b.charger)
	out.Converters = built(out.Converters, s.Converters, "converters", b.converter)
	out.StageKinds = built(out.StageKinds, s.StageKinds, "stages", b.stageKind)
	b.protection(s, out)
	return out
}

// builder carries the problems and the names seen so far.
type builder struct {
	probs *check.Problems
	names cell.Names
}

// above records that low is above high, both given; true when in order.
func above[Q unit.Quantity](b *builder, low, high check.Given[Q], lowPath, highName string) bool {
	if !low.IsGiven() || !high.IsGiven() || low.SI <= high.SI {
		return true
	}
	b.probs.Addf(low.Pos, lowPath, fmt.Sprintf("at most the %q of %s is accepted", high.Text, highName), "%q is above %s", low.Text, highName)
	return false
}

// built returns list with what build makes of the sheets added, on a copy.
func built[P, S any](list []*P, sheets []S, key string, build func(*S, string) *P) []*P {
	for i := range sheets {
		if p := build(&sheets[i], fmt.Sprintf("%s[%d]", key, i)); p != nil {
			list = append(list[:len(list):len(list)], p)
		}
	}
	return list
}

func given[Q unit.Quantity](g check.Given[Q], otherwise Q) Q {
	if g.IsGiven() {
		return g.SI
	}
	return otherwise
}

// bands builds the three bands; what is not given closes up to the inner one.
func (b *builder) bands(s *BandsSheet, path string) (Bands, bool) {
	if s == nil || !s.FullMin.IsGiven() || !s.FullMax.IsGiven() {
		return Bands{}, false // recorded by the reader
	}
	ok := above(b, s.FullMin, s.FullMax, path+".full_min", "full_max")
	ok = above(b, s.ReducedMin, s.FullMin, path+".reduced_min", "full_min") && ok
	ok = above(b, s.FullMax, s.ReducedMax, path+".full_max", "reduced_max") && ok
	ok = above(b, s.ReducedMax, s.NeverExceed, path+".reduced_max", "never_exceed") && ok
	ok = above(b, s.FullMax, s.NeverExceed, path+".full_max", "never_exceed") && ok
	out := Bands{FullMin: s.FullMin.SI, FullMax: s.FullMax.SI}
	out.ReducedMin = given(s.ReducedMin, out.FullMin)
	out.ReducedMax = given(s.ReducedMax, out.FullMax)
	out.NeverExceed = given(s.NeverExceed, out.ReducedMax)
	return out, ok
}

// facts returns the facts of an entry, see cell.FactsOf.
func (b *builder) facts(facts []cell.FactSheet, path string, figures ...cell.Stated) []cell.Fact {
	return cell.FactsOf(facts, path, figures, b.probs)
}

func (b *builder) inverter(s *InverterSheet, path string) *Inverter {
	bands, ok := b.bands(s.Bands, path+".bands")
	named := b.names.Take(s.ID, path, b.probs)
	facts := b.facts(s.Facts, path, cell.Stated{Key: "bands", Given: s.Bands != nil}, cell.Stated{Key: "current_max", Given: s.CurrentMax.IsGiven()},
		cell.Stated{Key: "efficiency", Given: s.Efficiency.IsGiven()}, cell.Stated{Key: "idle", Given: s.Idle.IsGiven()},
		cell.Stated{Key: "capacitance", Given: s.Capacitance.IsGiven()}, cell.Stated{Key: "mass", Given: s.Mass.IsGiven()})
	if !ok || !named || s.Efficiency.SI <= 0 {
		return nil
	}
	return &Inverter{
		ID: s.ID.Value, Title: s.Title.Value, Bands: bands, CurrentMax: s.CurrentMax.SI, Efficiency: s.Efficiency.SI,
		Idle: s.Idle.SI, Capacitance: s.Capacitance.SI, Mass: s.Mass.SI, Price: s.Price, Facts: facts,
	}
}

func (b *builder) charger(s *ChargerSheet, path string) *Charger {
	bands, ok := b.bands(s.Bands, path+".bands")
	named := b.names.Take(s.ID, path, b.probs)
	facts := b.facts(s.Facts, path, cell.Stated{Key: "bands", Given: s.Bands != nil}, cell.Stated{Key: "start_min", Given: s.StartMin.IsGiven()},
		cell.Stated{Key: "power_max", Given: s.PowerMax.IsGiven()}, cell.Stated{Key: "current_max", Given: s.CurrentMax.IsGiven()},
		cell.Stated{Key: "efficiency", Given: s.Efficiency.IsGiven()}, cell.Stated{Key: "idle", Given: s.Idle.IsGiven()}, cell.Stated{Key: "mass", Given: s.Mass.IsGiven()},
		cell.Stated{Key: "phases", Given: s.Phases.IsGiven()}, cell.Stated{Key: "supply_current", Given: s.Supply.IsGiven()})
	if !ok || !named || s.Efficiency.SI <= 0 {
		return nil
	}
	ok = above(b, s.StartMin, s.Bands.FullMax, path+".start_min", "full_max")
	if !ok {
		return nil
	}
	return &Charger{
		ID: s.ID.Value, Title: s.Title.Value, Bands: bands, StartMin: given(s.StartMin, bands.ReducedMin),
		PowerMax: s.PowerMax.SI, CurrentMax: s.CurrentMax.SI, Efficiency: s.Efficiency.SI, Idle: s.Idle.SI,
		Phases: s.Phases.Value, SupplyCurrent: s.Supply.SI, Mass: s.Mass.SI, Price: s.Price, Facts: facts,
	}
}

func (b *builder) converter(s *ConverterSheet, path string) *Converter {
	bands, ok := b.bands(s.Bands, path+".bands")
	named := b.names.Take(s.ID, path, b.probs)
	facts := b.facts(s.Facts, path, cell.Stated{Key: "bands", Given: s.Bands != nil}, cell.Stated{Key: "power_max", Given: s.PowerMax.IsGiven()},
		cell.Stated{Key: "efficiency", Given: s.Efficiency.IsGiven()}, cell.Stated{Key: "idle", Given: s.Idle.IsGiven()}, cell.Stated{Key: "mass", Given: s.Mass.IsGiven()})
	if !ok || !named || s.Efficiency.SI <= 0 {
		return nil
	}
	return &Converter{
		ID: s.ID.Value, Title: s.Title.Value, Bands: bands, PowerMax: s.PowerMax.SI, Efficiency: s.Efficiency.SI,
		Idle: s.Idle.SI, Mass: s.Mass.SI, Price: s.Price, Facts: facts,
	}
}

func (b *builder) stageKind(s *StageKindSheet, path string) *StageKind {
	ok := above(b, s.EfficiencyLow, s.EfficiencyHigh, path+".efficiency_low", "efficiency_high")
	facts := b.facts(s.Facts, path, cell.Stated{Key: "efficiency_low", Given: s.EfficiencyLow.IsGiven()}, cell.Stated{Key: "efficiency_high", Given: s.EfficiencyHigh.IsGiven()})
	if !b.names.Take(s.ID, path, b.probs) || !ok || s.EfficiencyLow.SI <= 0 || s.EfficiencyHigh.SI <= 0 {
		return nil
	}
	return &StageKind{ID: s.ID.Value, Title: s.Title.Value, EfficiencyLow: s.EfficiencyLow.SI, EfficiencyHigh: s.EfficiencyHigh.SI, Facts: facts}
}

// BuildStages returns the kept stages of a project. A kind that the catalogue
// does not hold, and a stage with neither kind nor efficiency, are problems; an
// efficiency that came from a kind goes into the assumptions.
func (c *Catalogue) BuildStages(sheets []StageSheet, path string, assumed *check.Assumptions, probs *check.Problems) []Stage {
	var out []Stage
	var kinds []string
	for _, k := range c.StageKinds {
		kinds = append(kinds, k.ID)
	}
	for i, s := range sheets {
		at := fmt.Sprintf("%s[%d]", path, i)
		st := Stage{Name: s.Name.Value, Ratio: float64(given(s.Ratio, 1)), Efficiency: s.Efficiency.SI, TorqueMax: s.TorqueMax.SI, SpeedMax: s.SpeedMax.SI}
		if s.Kind.IsGiven() {
			kind := c.StageKind(s.Kind.Value)
			if kind == nil {
				probs.Addf(s.Kind.Pos, at+".kind", unknownHint(s.Kind.Value, kinds), "%q is not a known kind of stage", s.Kind.Value)
				continue
			}
			st.Efficiency = s.Efficiency.Or(assumed, at+".efficiency", kind.Efficiency(), kind.source())
		} else if !s.Efficiency.IsGiven() {
			probs.Addf(s.Pos, at, unknownHint("", kinds), "has neither an efficiency nor a kind")
			continue
		}
		if st.Efficiency <= 0 || st.Ratio <= 0 {
			continue // a faulty value was recorded by the reader
		}
		out = append(out, st)
	}
	return out
}

func (k *StageKind) source() string {
	if len(k.Facts) > 0 {
		return k.Facts[0].Source
	}
	return "assumption"
}

// unknownHint names the nearest known word, or all of them.
func unknownHint(word string, known []string) string {
	if near := sheet.Nearest(word, known); near != "" {
		return "did you mean " + near + "?"
	}
	var s strings.Builder
	s.WriteString("known are")
	for i, k := range known {
		if i > 0 {
			s.WriteString(",")
		}
		s.WriteString(" " + k)
	}
	return s.String()
}
