package bench

import (
	"context"
	"fmt"
	"math"
	"slices"

	"packyard/cell"
	"packyard/celltest"
	"packyard/check"
	"packyard/unit"
)

// Part is what the catalogue knows of an item: cells in series and in parallel.
type Part struct {
	Cell             *cell.Cell
	Series, Parallel int
	Taps             unit.Resistance // of taps and joints, beside the cells
}

// PartOf finds the part of an item: a cell, or a slice or the whole of a module.
func PartOf(c *cell.Catalogue, id string, kind ItemKind) (Part, bool) {
	if one := c.Cell(id); one != nil {
		return Part{Cell: one, Series: 1, Parallel: 1}, true
	}
	m := c.Module(id)
	if m == nil {
		return Part{}, false
	}
	s := &m.Slice
	switch kind {
	case Cell:
		return Part{Cell: s.Cell, Series: 1, Parallel: 1}, true
	case Module:
		return Part{Cell: s.Cell, Series: m.Groups * s.Series, Parallel: m.SlicesParallel * s.Parallel, Taps: m.Resistance}, true
	}
	return Part{Cell: s.Cell, Series: s.Series, Parallel: s.Parallel, Taps: s.Resistance}, true
}

// Rating returns what the analyses of a log have to know of the item.
func (p Part) Rating() celltest.Rating {
	n := unit.Voltage(p.Series)
	return celltest.Rating{Capacity: p.Rated(), VoltageMax: n * p.Cell.VoltageMax, VoltageMin: n * p.Cell.VoltageMin}
}

// Rated returns the rated capacity.
func (p Part) Rated() unit.Charge { return unit.Charge(p.Parallel) * p.Cell.Capacity }

// Fresh returns the pulse resistance of a new item; zero for a cell without curves.
func (p Part) Fresh(at Condition) unit.Resistance {
	if p.Cell.Curves == nil {
		return 0
	}
	r, err := p.Cell.Curves.PulseResistance(at.Temperature, at.Charge, at.Time)
	if err != nil {
		return 0
	}
	return r*unit.Resistance(p.Series)/unit.Resistance(p.Parallel) + p.Taps
}

// GradeAt is the condition of the resistance that items are graded and matched by:
// half of their own charge, a pulse of ten seconds, 25 °C. Source: common practice.
func GradeAt() Condition {
	return Condition{Charge: 0.5, Temperature: unit.Celsius(25), Time: 10}
}

// Names and versions of the methods whose results are kept.
const (
	MethodPulse  = "pulse resistance"
	VersionPulse = 1
	MethodGiven  = "given by the builder"
)

// Characterise works out what the log of a test says of its item, keeps the results
// and returns them with what the analyses found odd. A log with several runs of the
// clock is looked at run by run.
//
// Errors: ErrNoTest; those of celltest and of the database.
func (s *Store) Characterise(ctx context.Context, test int64, p Part) ([]Result, []celltest.Fault, error) {
	t, err := s.Test(ctx, test)
	if err != nil {
		return nil, nil, err
	}
	var out []Result
	var faults []celltest.Fault
	for run := 1; run <= t.Report.Runs; run++ {
		l, err := s.Log(ctx, test, run)
		if err != nil {
			return nil, nil, err
		}
		if l.Len() < 2 {
			continue
		}
		c, err := s.character(ctx, &t, l, p)
		if err != nil {
			return nil, nil, fmt.Errorf("test %d of item %s: %w", test, t.Item, err)
		}
		out = append(out, resultsOf(&t, l, c)...)
		faults = append(faults, c.Faults...)
	}
	return out, faults, s.PutResults(ctx, out)
}

// character looks at one log. Where a log without a full discharge has pulses, their
// charges are shares of the item's capacity from another test, if there is one.
func (s *Store) character(ctx context.Context, t *Test, l *celltest.Log, p Part) (*celltest.Character, error) {
	r := p.Rating()
	r.Start = startOf(l, r.Capacity, r.VoltageMax)
	c, err := celltest.Characterise(l, r)
	if err != nil || c.Pulses == nil {
		return c, err
	}
	share := c.Capacity
	if share == 0 {
		results, err := s.Results(ctx, t.Item)
		if err != nil {
			return nil, err
		}
		for _, x := range results {
			if x.Quantity == Capacity {
				share = unit.Charge(x.Value.SI)
			}
		}
	}
	if share == 0 {
		return c, nil
	}
	c.Pulses, err = l.PulseTable(share, startOf(l, share, r.VoltageMax), nil, celltest.PulseOptions{})
	return c, err
}

// fullWithin is how near to its highest voltage an item counts as full.
const fullWithin = 0.01 // of that voltage; source: assumption

// startOf returns the charge at the first row of a log that reaches the full voltage
// somewhere: the most that it took in until then is what it lacked. A log that never
// comes near the full voltage is taken to begin full, and says nothing better.
func startOf(l *celltest.Log, capacity unit.Charge, full unit.Voltage) unit.Ratio {
	given, most := 0.0, 0.0 // A·s out since the start, and the most that was in
	for i := 1; i < l.Len(); i++ {
		if l.Charge != nil {
			given = l.Charge[i] - l.Charge[0]
		} else {
			given += (l.Current[i] + l.Current[i-1]) / 2 * (l.Time[i] - l.Time[i-1])
		}
		if l.Voltage[i] >= float64(full)*(1-fullWithin) {
			most = min(most, given)
		}
	}
	const leastStart = 1e-6 // zero would mean full
	return unit.Ratio(max(1+most/float64(capacity), leastStart))
}

// resultsOf turns what was found in a log into results.
func resultsOf(t *Test, l *celltest.Log, c *celltest.Character) []Result {
	var out []Result
	warm := unit.Temperature(0)
	if len(l.Temperature) > 0 {
		warm = unit.Temperature(l.Temperature[0])
	}
	if c.Capacity > 0 {
		at := Condition{Temperature: warm}
		out = append(out,
			Result{Item: t.Item, Test: t.ID, Quantity: Capacity, Value: check.Of(c.Capacity), At: at, Method: celltest.CapacityMethod, Version: celltest.CapacityVersion},
			Result{Item: t.Item, Test: t.ID, Quantity: EnergyOut, Value: check.Of(c.Energy), At: at, Method: celltest.CapacityMethod, Version: celltest.CapacityVersion})
	}
	if c.Pulses == nil {
		return out
	}
	for _, row := range c.Pulses.Rows {
		if row.Kind != celltest.Discharge || row.Charge < -chargeSlack || row.Charge > 1+chargeSlack {
			continue
		}
		for k, d := range c.Pulses.Times {
			if r := row.Resistance[k]; r > 0 {
				out = append(out, Result{Item: t.Item, Test: t.ID, Quantity: Resistance, Value: check.Of(r), At: Condition{Charge: row.Charge, Temperature: row.Temperature, Time: d}, Method: MethodPulse, Version: VersionPulse})
			}
		}
	}
	return out
}

// chargeSlack is how far outside 0…1 the charge of a pulse may lie by what was not
// counted; beyond it the charge is not known and the pulse no result.
const chargeSlack = 0.05 // source: assumption

// chargeNear is how far from half charge a pulse may lie and still be graded by.
const chargeNear = 0.15 // source: assumption; resistance is flat there

// Measure gathers what counts of every item for grading: its newest capacity, the
// resistance nearest to GradeAt, its part and its intake. The resistance of a new
// item is taken at the very condition of the measured one.
func (s *Store) Measure(ctx context.Context, c *cell.Catalogue) ([]Measured, error) {
	items, err := s.Items(ctx)
	if err != nil {
		return nil, err
	}
	results, err := s.Results(ctx, "")
	if err != nil {
		return nil, err
	}
	records, err := s.Records(ctx, "")
	if err != nil {
		return nil, err
	}
	resultsBy, recordsBy := map[string][]Result{}, map[string][]Record{}
	for _, r := range results {
		resultsBy[r.Item] = append(resultsBy[r.Item], r)
	}
	for _, r := range records {
		recordsBy[r.Item] = append(recordsBy[r.Item], r)
	}
	out := make([]Measured, 0, len(items))
	for _, it := range items {
		out = append(out, measured(it, resultsBy[it.Label], recordsBy[it.Label], c))
	}
	return out, nil
}

func measured(it Item, results []Result, records []Record, c *cell.Catalogue) Measured {
	m := Measured{Item: it, Refused: []string{}, Lacking: []string{}}
	var pulse *Result
	for i := range results {
		r := &results[i]
		switch r.Quantity {
		case Capacity:
			m.Capacity = unit.Charge(r.Value.SI)
		case Resistance:
			if off := r.off(); off <= chargeNear && (pulse == nil || off <= pulse.off()) {
				pulse = r
			}
		}
	}
	if pulse != nil {
		m.Resistance = unit.Resistance(pulse.Value.SI)
	}
	if c != nil {
		if p, ok := PartOf(c, it.Part, it.Kind); ok {
			m.Rated = p.Rated()
			if pulse != nil {
				m.New = p.Fresh(pulse.condition())
			}
		}
	}
	latest, lacking := Latest(records, it.Label)
	for _, r := range latest {
		if r.Verdict == Bad {
			m.Refused = append(m.Refused, r.Step)
		}
	}
	m.Lacking = append(m.Lacking, lacking...)
	return m
}

// condition returns what a result was measured under, GradeAt standing in for what
// it does not say.
func (r *Result) condition() Condition {
	at, g := r.At, GradeAt()
	if at.Charge == 0 {
		at.Charge = g.Charge
	}
	if at.Temperature == 0 {
		at.Temperature = g.Temperature
	}
	if at.Time == 0 {
		at.Time = g.Time
	}
	return at
}

// off returns how far a pulse resistance is from GradeAt: in charge, and far away
// for another time or temperature.
func (r *Result) off() float64 {
	at, g := r.condition(), GradeAt()
	off := math.Abs(float64(at.Charge - g.Charge))
	if at.Time != g.Time || math.Abs(float64(at.Temperature-g.Temperature)) > 10 {
		return math.Inf(1)
	}
	return off
}

// LotHealth is the health of the kept items of one source.
type LotHealth struct {
	Source           string     `json:"source"`
	Items            int        `json:"items_count"`
	CapacityShare    unit.Ratio `json:"capacity_share"`
	ResistanceGrowth unit.Ratio `json:"resistance_growth"` // zero: not known
}

// Health returns the mean health of the kept items of each source of the project, by
// name. The mean is what matching comes near to: the weakest group of a matched pack
// lies at most as far below it as the gap that the match tells.
func (g *Grading) Health() []LotHealth {
	var out []LotHealth
	growths := map[string]int{}
	for _, m := range g.Items {
		if !m.Keep || m.Item.Source == "" || m.Health == 0 {
			continue
		}
		i := slices.IndexFunc(out, func(l LotHealth) bool { return l.Source == m.Item.Source })
		if i < 0 {
			i = len(out)
			out = append(out, LotHealth{Source: m.Item.Source})
		}
		out[i].Items++
		out[i].CapacityShare += m.Health
		if m.Growth > 0 {
			out[i].ResistanceGrowth += m.Growth
			growths[m.Item.Source]++
		}
	}
	for i := range out {
		out[i].CapacityShare /= unit.Ratio(out[i].Items)
		if n := growths[out[i].Source]; n > 0 {
			out[i].ResistanceGrowth /= unit.Ratio(n)
		}
	}
	slices.SortFunc(out, func(a, b LotHealth) int { return compareLabels(a.Source, b.Source) })
	return out
}

// slopeOver is the step of charge over which the slope of the open-circuit voltage is
// taken.
const slopeOver = 0.02

// Slope returns the rise of the open-circuit voltage over the whole capacity, dU/dSoC,
// where the item has the voltage v at rest.
//
// Errors: ErrEqualise for a cell without curves or a voltage outside its curve.
func (p Part) Slope(v unit.Voltage) (unit.Voltage, error) {
	if p.Cell.Curves == nil {
		return 0, fmt.Errorf("%w: nothing is known of the open-circuit voltage of %s", ErrEqualise, p.Cell.ID)
	}
	const n = 501
	tb, err := p.Cell.At(GradeAt().Temperature, cell.New, n)
	if err != nil {
		return 0, fmt.Errorf("%w: %w", ErrEqualise, err)
	}
	one := float64(v) / float64(p.Series)
	i, _ := slices.BinarySearch(tb.OCV, one)
	if i == 0 || i == n {
		return 0, fmt.Errorf("%w: %s a cell at rest lies outside its curve from %s to %s", ErrEqualise, unit.Format(unit.Voltage(one), unit.SI), unit.Format(unit.Voltage(tb.OCV[0]), unit.SI), unit.Format(unit.Voltage(tb.OCV[n-1]), unit.SI))
	}
	h := int(slopeOver * (n - 1) / 2)
	low, high := max(i-h, 0), min(i+h, n-1)
	rise := (tb.OCV[high] - tb.OCV[low]) * float64(n-1) / float64(high-low)
	return unit.Voltage(math.Max(rise, 1e-3) * float64(p.Series)), nil // a flat curve settles without end
}

// OneCell returns the log of an item as that of one of its cells, all taken alike:
// voltage over the cells in series, current over those in parallel, the drop of the
// taps left in. A log of one cell comes back itself.
func (p Part) OneCell(l *celltest.Log) *celltest.Log {
	if p.Series == 1 && p.Parallel == 1 {
		return l
	}
	over := func(x []float64, n int) []float64 {
		out := make([]float64, len(x))
		for i, v := range x {
			out[i] = v / float64(n)
		}
		if x == nil {
			return nil
		}
		return out
	}
	one := *l
	one.Voltage, one.Current, one.Charge = over(l.Voltage, p.Series), over(l.Current, p.Parallel), over(l.Charge, p.Parallel)
	return &one
}
