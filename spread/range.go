package spread

import (
	"cmp"
	"context"
	"slices"

	"packyard/charge"
	"packyard/check"
	"packyard/design"
	"packyard/drive"
	"packyard/schedule"
	"packyard/unit"
)

// Trip is the range run of an option that is spread.
type Trip struct {
	Option   *design.Placed
	Schedule *schedule.Schedule
	End      bool          // at the planned end of life
	Supply   charge.Supply // of the charge; zero: design.SupplyUsual
	NoPack   bool          // the range only, not hottest cell and charge time
}

// RangeReport is how sure the range run of an option is. Its JSON form is a stable
// interface.
type RangeReport struct {
	Option   string          `json:"option"`
	Life     string          `json:"life"` // "as bought" or "end of life"
	Schedule string          `json:"schedule"`
	Fidelity string          `json:"fidelity"`
	Stated   []check.Figure  `json:"at_stated_values"` // of the figures, in their order
	Spread   *Result         `json:"spread"`
	Pack     *PackReport     `json:"pack,omitempty"`   // hottest cell and charge time; nil: not drawn
	Target   *Target         `json:"target,omitempty"` // nil: no range is wanted on this schedule
	Unused   []Unused        `json:"stated_spreads_not_drawn"`
	Findings []check.Finding `json:"findings"`
}

// Target is the wanted range against the draws.
type Target struct {
	Wanted unit.Length `json:"wanted_m"`
	Share  unit.Ratio  `json:"reached_share"` // of the draws
	Over   check.Hold  `json:"over_spread"`
}

// Unused is a stated spread that does not enter the run.
type Unused struct {
	Input string    `json:"input"`
	Text  string    `json:"text"` // as written
	Pos   check.Pos `json:"pos"`
	Why   string    `json:"why"`
}

// runFigure is an output of a range run.
type runFigure struct {
	Output
	of func(r *drive.Result) float64
}

// figures are the outputs of a range run.
var figures = []runFigure{
	{Output{"range", unit.Symbol[unit.Length](), unit.Noun[unit.Length]()}, func(r *drive.Result) float64 { return float64(r.Distance) }},
	{Output{"energy at the terminals", unit.Symbol[unit.Consumption](), unit.Noun[unit.Consumption]()}, func(r *drive.Result) float64 { return float64(r.Consumption.Terminals) }},
	{Output{fromWall, unit.Symbol[unit.Consumption](), unit.Noun[unit.Consumption]()}, func(r *drive.Result) float64 { return float64(r.Consumption.Wall) }},
	{Output{"usable energy", unit.Symbol[unit.Energy](), unit.Noun[unit.Energy]()}, func(r *drive.Result) float64 { return float64(r.Energy.Terminals) }},
}

// RuleRange is the rule of the finding that holds the wanted range against the
// draws.
const RuleRange = "range.spread"

// fromWall is the figure that only a charger gives.
const fromWall = "energy from the wall"

// rangeIndex is the place of the range among the figures.
const rangeIndex = 0

// Range spreads the range run of an option over the uncertain inputs of its
// brief: complete runs from full to empty, every cell alike. The figures are
// range, energy per distance at the terminals and from the wall (left out
// without a charger), and usable energy. Hottest cell and charge time are drawn
// beside them, see PackReport.
//
// Inputs that cannot move the run are listed in Unused with the reason, so that
// no spread that was stated is dropped silently. A draw that the vehicle cannot
// drive at all has a range of zero. Errors: those of Run and of Frame.Variant.
func Range(ctx context.Context, f *design.Frame, t *Trip, o Options) (*RangeReport, error) {
	inputs, unused := inputsOf(f.Brief, t)
	list := figures
	if f.Brief.Drive.Charger == nil {
		list = slices.DeleteFunc(slices.Clone(list), func(c runFigure) bool { return c.Name == fromWall })
	}
	s := &Study{Worker: func() (Model, error) {
		v, err := f.Variant(t.Option, t.Schedule, t.End, inputs)
		if err != nil {
			return nil, err
		}
		return func(x, y []float64) error {
			r, err := v.Range(x)
			if err != nil {
				return err
			}
			for i := range list {
				y[i] = list[i].of(&r)
			}
			return nil
		}, nil
	}}
	for i := range inputs {
		s.Inputs = append(s.Inputs, Input{inputs[i].Path, inputs[i].Text, inputs[i].Stated})
	}
	for _, c := range list {
		s.Outputs = append(s.Outputs, c.Output)
	}
	rep := &RangeReport{Option: t.Option.ID, Life: "as bought", Schedule: t.Schedule.ID, Fidelity: drive.Fidelity, Unused: unused, Findings: []check.Finding{}}
	if t.End {
		rep.Life = "end of life"
	}
	var err error
	if rep.Stated, err = stated(s); err != nil {
		return nil, err
	}
	whole := o.Progress
	rows, err := o.rows()
	if err != nil {
		return nil, err
	}
	all := rows
	if !t.NoPack {
		all += packShare * packOptions(o).Samples
	}
	if whole != nil {
		o.Progress = func(done, of int) { whole(done, all) }
	}
	if rep.Spread, err = Run(ctx, s, o); err != nil {
		return nil, err
	}
	if !t.NoPack {
		if whole != nil {
			o.Progress = func(done, of int) { whole(rows+packShare*done, all) }
		}
		if rep.Pack, err = packSpread(ctx, f, t, inputs, o); err != nil {
			return nil, err
		}
	}
	rep.judge(f.Brief, t)
	return rep, nil
}

// stated computes the figures of a study at the stated values.
func stated(s *Study) ([]check.Figure, error) {
	m, err := s.Worker()
	if err != nil {
		return nil, err
	}
	x, y := make([]float64, len(s.Inputs)), make([]float64, len(s.Outputs))
	for i := range x {
		x[i] = s.Inputs[i].Stated.Value.SI
	}
	if err := m(x, y); err != nil {
		return nil, err
	}
	var out []check.Figure
	for i, o := range s.Outputs {
		out = append(out, check.Figure{SI: y[i], Symbol: o.Symbol, Noun: o.Noun})
	}
	return out, nil
}

// inputsOf returns the uncertain inputs that enter the run of an option, those
// of the pack before those of the road, so that what the schedule asks for is
// worked out less often; and those that do not.
func inputsOf(b *design.Brief, t *Trip) (used []design.Uncertain, unused []Unused) {
	unused = []Unused{}
	for _, u := range b.Uncertain {
		why := u.Why
		switch {
		case u.Set == nil:
		case u.Source > 0 && u.Source-1 != t.Option.Wiring.Source:
			why = "the option is made of another source"
		case u.Bay > 0 && t.Option.Loading.Count[u.Bay-1] == [2]int{}:
			why = "no module of the option stands in this bay"
		case u.Life && !t.End:
			why = "it holds at the planned end of life"
		default:
			used = append(used, u)
			continue
		}
		unused = append(unused, Unused{u.Path, u.Text, u.Pos, why})
	}
	rank := func(u design.Uncertain) int {
		if u.Source > 0 {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(used, func(a, b design.Uncertain) int { return cmp.Compare(rank(a), rank(b)) })
	return used, unused
}

// judge compares the range with the wanted one, and says what was cut.
func (r *RangeReport) judge(b *design.Brief, t *Trip) {
	wanted := b.Targets.Range
	if t.End {
		wanted = b.Targets.RangeEnd
	}
	f := &r.Spread.Figures[rangeIndex]
	if wanted > 0 && b.Targets.Schedule != nil && t.Schedule.ID == b.Targets.Schedule.ID && len(r.Spread.Inputs) > 0 {
		share := r.Spread.Reaching(rangeIndex, float64(wanted))
		r.Target = &Target{Wanted: wanted, Share: share, Over: check.Partly}
		g := check.Finding{
			Rule: RuleRange, Budget: "range", Subject: "range that 90 of 100 draws reach", Value: f.P10.Value, Limit: check.Of(wanted),
			Margin: (f.P10.Value.SI - float64(wanted)) / float64(wanted), Severity: check.Warning, Source: "given",
		}
		switch share {
		case 1:
			r.Target.Over, g.Severity = check.Always, check.Note
		case 0:
			r.Target.Over, g.Severity = check.Never, check.Failure
		}
		if g.Over = r.Target.Over; g.Severity != check.Note && len(f.Shares) > 0 {
			g.Remedy = "most of the spread comes from " + f.Shares[0].Input + ": know it better, or leave room for it"
		}
		r.Findings = append(r.Findings, g)
	}
	r.Findings = append(r.Findings, r.Pack.findings()...)
	for _, in := range r.Spread.Inputs {
		if in.Cut > cutNone {
			r.Findings = append(r.Findings, check.Finding{
				Rule: "spread.cut", Budget: "range", Subject: "share of the stated spread of " + in.Name + " that lies outside what is accepted and was not drawn",
				Value: check.Of(in.Cut), Severity: severityOf(in.Cut), Source: "given",
				Remedy: "state a narrower spread, or a range",
			})
		}
	}
	for _, u := range r.Unused {
		r.Findings = append(r.Findings, check.Finding{
			Rule: "spread.not-drawn", Budget: "range", Subject: "stated spread that was not drawn: " + u.Input + ", " + u.Text + ": " + u.Why,
			Severity: check.Note, Source: "given",
		})
	}
}

// cutNone is the share below which nothing is said of a cut: five standard
// deviations to one side (common practice).
const cutNone = unit.Ratio(3e-7)

// cutWorth is the share of a distribution from which cutting it is worth a
// warning: three standard deviations to one side (common practice).
const cutWorth = unit.Ratio(0.00135)

func severityOf(cut unit.Ratio) check.Severity {
	if cut > cutWorth {
		return check.Warning
	}
	return check.Note
}
