package search

import (
	"packyard/check"
	"packyard/design"
	"packyard/unit"
)

// Report is a Result in the form in which it is printed as JSON, a stable
// interface: numbers are SI, the key names the unit.
type Report struct {
	Project    string        `json:"project"`
	Invented   bool          `json:"invented_data"`
	Schedule   string        `json:"schedule"`
	RankBy     string        `json:"rank_by"`
	Currency   string        `json:"currency"`
	Candidates int           `json:"candidates"`
	Sources    []SourceCount `json:"sources"`
	Fits       int           `json:"options_that_fit"`
	Packs      int           `json:"packs_that_fit"`
	NotProven  int           `json:"space_not_proven"`
	Ranked     []Row         `json:"ranked"` // best cut of each pack
	Pareto     []Row         `json:"pareto"`
	Falls      []FallRow     `json:"falls"`
	Misses     []MissRow     `json:"nearest_misses"`
	Joint      *MissRow      `json:"joint_miss,omitempty"`
	Runs       int           `json:"complete_range_runs"`
	Spared     int           `json:"runs_spared_by_bound"`
}

// SourceCount is how many candidates a source gave.
type SourceCount struct {
	Name        string `json:"name"`
	Candidates  int    `json:"candidates"`
	NotSearched string `json:"not_searched,omitempty"` // why
}

// Row is one option.
type Row struct {
	ID         string       `json:"id"`
	Topology   string       `json:"topology"`
	Cuts       int          `json:"cuts_that_fit,omitempty"`
	Range      unit.Length  `json:"range_m"`
	RangeEnd   unit.Length  `json:"range_end_of_life_m"`
	Usable     unit.Energy  `json:"usable_energy_j"`
	Mass       unit.Mass    `json:"mass_kg"`
	Price      float64      `json:"price"` // in the report's currency
	Full       unit.Voltage `json:"voltage_full_v"`
	Lowest     unit.Voltage `json:"voltage_lowest_v"`
	Margin     float64      `json:"worst_margin"` // dimensionless
	MarginRule string       `json:"worst_margin_rule"`
	Bays       []int        `json:"modules_by_bay"`
	Pareto     bool         `json:"pareto"`
}

// FallRow is how many candidates fell to one limit.
type FallRow struct {
	Rule    string `json:"rule"`
	Subject string `json:"subject"`
	Alone   int    `json:"alone"`
	Others  int    `json:"with_others"`
}

// MissRow is one nearest miss.
type MissRow struct {
	Limits []RelaxRow `json:"limits"`
	Growth *GrowthRow `json:"bay_growth,omitempty"`
	Option Row        `json:"option"`
}

// RelaxRow is one limit to be relaxed.
type RelaxRow struct {
	Rule    string       `json:"rule"`
	Subject string       `json:"subject"`
	Value   check.Figure `json:"value"`
	Limit   check.Figure `json:"limit"`
	By      check.Figure `json:"by"`    // how far the limit must move
	Share   float64      `json:"share"` // relative to the limit, dimensionless
}

// GrowthRow is how far a bay must grow.
type GrowthRow struct {
	Bay  string      `json:"bay"`
	Axis string      `json:"axis"` // "length", "width", "height" of the bay
	By   unit.Length `json:"by_m"`
}

// Report returns the result for printing.
func (r *Result) Report(f *design.Frame) *Report {
	b := f.Brief
	out := &Report{
		Project: b.Title, Invented: b.Invented, Schedule: b.Targets.Schedule.ID, RankBy: b.Choose.RankBy, Currency: b.Currency,
		Candidates: r.Total, Fits: r.Fits, Packs: r.PackCount, NotProven: r.NotProven, Runs: r.Runs, Spared: r.Bound,
		Sources: []SourceCount{}, Ranked: []Row{}, Pareto: []Row{}, Falls: []FallRow{}, Misses: []MissRow{},
	}
	if out.RankBy == "" {
		out.RankBy = rankBy[0]
	}
	for i := range b.Sources {
		out.Sources = append(out.Sources, SourceCount{b.Sources[i].Name, r.BySource[i], f.Lots[i].Why})
	}
	for i := range r.Packs {
		out.Ranked = append(out.Ranked, RowOf(f, &r.Packs[i]))
	}
	for i := range r.Pareto {
		out.Pareto = append(out.Pareto, RowOf(f, &r.Pareto[i]))
	}
	for _, x := range r.Falls {
		in := x.Rule.Info()
		out.Falls = append(out.Falls, FallRow{in.Name, in.Subject, x.Alone, x.Others})
	}
	for i := range r.Misses {
		out.Misses = append(out.Misses, missRow(f, &r.Misses[i]))
	}
	if r.Joint != nil {
		row := missRow(f, r.Joint)
		out.Joint = &row
	}
	return out
}

// RowOf returns one option for printing.
func RowOf(f *design.Frame, o *Option) Row {
	worst, rule := o.Values.Worst()
	row := Row{
		ID: o.ID, Topology: o.Wiring.Topology.String(), Cuts: o.Cuts, Pareto: o.Pareto,
		Range: o.Figures.Range, RangeEnd: o.Figures.RangeEnd,
		Mass: o.Figures.Mass, Price: o.Figures.Price,
		Full: f.VoltageFull(&o.Wiring), Lowest: unit.Voltage(o.Values.Value[design.InverterLowest]),
		Margin: worst, MarginRule: rule.String(),
	}
	if o.Run != nil {
		row.Usable = o.Run.Energy.Terminals
	}
	for _, n := range o.Loading.Count {
		row.Bays = append(row.Bays, n[0]+n[1])
	}
	return row
}

func missRow(f *design.Frame, m *Miss) MissRow {
	out := MissRow{Option: RowOf(f, &m.Option)}
	for _, l := range m.Limits {
		in := l.Rule.Info()
		symbol := in.Symbol
		if symbol == "money" {
			symbol = f.Brief.Currency
		}
		fig := func(x float64) check.Figure { return check.Figure{SI: x, Symbol: symbol, Noun: in.Noun} }
		by := l.Value - l.Limit
		if in.Sense == design.AtLeast {
			by = -by
		}
		out.Limits = append(out.Limits, RelaxRow{in.Name, in.Subject, fig(l.Value), fig(l.Limit), fig(by), l.Share})
	}
	if g := m.Growth; g != nil {
		out.Growth = &GrowthRow{f.Brief.Bays[g.Bay].Name, [3]string{"length", "width", "height"}[g.Axis], g.By}
	}
	return out
}
