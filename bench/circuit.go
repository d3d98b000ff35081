package bench

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"packyard/cell"
	"packyard/celltest"
	"packyard/internal/num"
	"packyard/unit"
)

// LotCircuit is the circuit of one cell of a source, as the tests of its items
// show it: the median over all pulses of like temperature and charge.
type LotCircuit struct {
	Source  string        `json:"source"`
	Items   int           `json:"items_count"`  // with pulses that were fitted; Curves.Growth is the mean of theirs, 0 where it is not known
	Pulses  int           `json:"pulses_count"` // fitted
	Refused int           `json:"pulses_refused_count"`
	Curves  cell.Measured `json:"-"`
	Slow    int           `json:"slow_tests_count"` // that the open-circuit voltage was taken from
}

// Steps into which pulses are sorted.
const (
	circuitKelvin = 5.0  // K
	circuitCharge = 0.05 // of the capacity
)

// slowOpen is the share of its throughput by which a slow pair may fail to close
// and still give an open-circuit voltage; each branch is scaled to its own.
const slowOpen = 0.2 // source: assumption; an offset of the current reading opens a pair at C/20 by a fifth, and scaling each branch takes it out

// Circuits fits R0 and two RC pairs to every discharge pulse of the items, and takes the open-circuit voltage from slow pairs of discharge and
// charge (C/10 or slower), the mean of both branches. What the taps add is taken
// off. Sources are in the order of their names.
//
// Errors: those of celltest and of the database.
func (s *Store) Circuits(ctx context.Context, c *cell.Catalogue, kept []Graded) ([]LotCircuit, error) {
	lots := map[string]*circuitLot{}
	for i := range kept {
		m := &kept[i]
		it := &m.Item
		part, ok := PartOf(c, it.Part, it.Kind)
		if !ok || it.Source == "" {
			continue
		}
		lot := lots[it.Source]
		if lot == nil {
			lot = &circuitLot{out: LotCircuit{Source: it.Source}, bins: map[[2]int][]celltest.PairFit{}}
			lots[it.Source] = lot
		}
		if err := s.circuitOf(ctx, m, part, lot); err != nil {
			return nil, fmt.Errorf("item %s: %w", it.Label, err)
		}
	}
	var out []LotCircuit
	for _, lot := range lots {
		out = append(out, lot.finish())
	}
	slices.SortFunc(out, func(a, b LotCircuit) int { return compareLabels(a.Source, b.Source) })
	return out, nil
}

// Usable returns why the points of a circuit cannot stand for a cell, and takes
// out the temperatures that lack charges. Errors: cell.ErrMeasured when none is left.
func (l *LotCircuit) Usable() error {
	var err error
	points := l.Curves.Points
	l.Curves.Points = nil
	for len(points) > 0 {
		n := 1
		for n < len(points) && points[n].Temperature == points[0].Temperature {
			n++
		}
		m := cell.Measured{Points: points[:n], Growth: 1}
		if e := m.Check(); e != nil {
			err = e
		} else {
			l.Curves.Points = append(l.Curves.Points, points[:n]...)
		}
		points = points[n:]
	}
	switch {
	case len(l.Curves.Points) > 0:
		return nil
	case err != nil:
		return err
	}
	return fmt.Errorf("%w: no pulse", cell.ErrMeasured)
}

// circuitLot gathers fits by temperature and charge, and slow curves.
type circuitLot struct {
	out    LotCircuit
	bins   map[[2]int][]celltest.PairFit
	slow   [][]float64 // V over ocvGrid
	growth []float64   // of the items with pulses, where it is known
}

// ocvGrid are the charges of a measured open-circuit voltage.
func ocvGrid() []float64 { return num.Even(0, 1, 51) }

func (s *Store) circuitOf(ctx context.Context, m *Graded, part Part, lot *circuitLot) error {
	tests, err := s.Tests(ctx, m.Item.Label)
	if err != nil {
		return err
	}
	fitted := lot.out.Pulses
	for i := range tests {
		for run := 1; run <= tests[i].Report.Runs; run++ {
			l, err := s.Log(ctx, tests[i].ID, run)
			if err != nil {
				return err
			}
			if l.Len() < 2 {
				continue
			}
			found, err := s.character(ctx, &tests[i], l, part)
			if err != nil {
				return err
			}
			lot.add(part.OneCell(l), found, part)
		}
	}
	if lot.out.Pulses > fitted {
		lot.out.Items++
		if m.Growth > 0 {
			lot.growth = append(lot.growth, float64(m.Growth))
		}
	}
	return nil
}

// add takes in what one log shows of one cell.
func (lot *circuitLot) add(one *celltest.Log, found *celltest.Character, part Part) {
	if found.Slow != nil && math.Abs(float64(found.Slow.Out-found.Slow.Back)) < slowOpen*float64(found.Slow.Out) {
		lot.out.Slow++
		var v []float64
		for _, q := range ocvGrid() {
			mean := (num.Linear(found.Slow.Discharge.SoC, found.Slow.Discharge.Value, q) + num.Linear(found.Slow.Charge.SoC, found.Slow.Charge.Value, q)) / 2
			v = append(v, mean/float64(part.Series))
		}
		lot.slow = append(lot.slow, v)
	}
	if found.Pulses == nil {
		return
	}
	taps := unit.Resistance(float64(part.Taps) * float64(part.Parallel) / float64(part.Series))
	pulses := one.Pulses(celltest.PulseOptions{})
	for i, row := range found.Pulses.Rows {
		if row.Kind != celltest.Discharge || row.CutShort || row.Charge < -chargeSlack || row.Charge > 1+chargeSlack || row.Temperature == 0 || i >= len(pulses) {
			continue
		}
		fit, err := one.FitPairs(pulses[i], 2)
		if err != nil || !(fit.R0.Value > taps) {
			lot.out.Refused++
			continue
		}
		fit.R0.Value -= taps
		lot.out.Pulses++
		at := [2]int{int(math.Round((row.Temperature.Celsius()) / circuitKelvin)), int(math.Round(float64(row.Charge) / circuitCharge))}
		lot.bins[at] = append(lot.bins[at], fit)
	}
}

// finish takes the medians.
func (lot *circuitLot) finish() LotCircuit {
	out := lot.out
	for at, fits := range lot.bins {
		of := func(f func(*celltest.PairFit) float64) float64 {
			var x []float64
			for i := range fits {
				x = append(x, f(&fits[i]))
			}
			slices.Sort(x)
			return x[len(x)/2]
		}
		out.Curves.Points = append(out.Curves.Points, cell.MeasuredPoint{
			Temperature: unit.Celsius(circuitKelvin * float64(at[0])), Charge: unit.Ratio(circuitCharge * float64(at[1])),
			R0:   unit.Resistance(of(func(p *celltest.PairFit) float64 { return float64(p.R0.Value) })),
			R1:   unit.Resistance(of(func(p *celltest.PairFit) float64 { return float64(p.R[0].Value) })),
			R2:   unit.Resistance(of(func(p *celltest.PairFit) float64 { return float64(p.R[1].Value) })),
			Tau1: unit.Time(of(func(p *celltest.PairFit) float64 { return float64(p.Tau[0].Value) })),
			Tau2: unit.Time(of(func(p *celltest.PairFit) float64 { return float64(p.Tau[1].Value) })),
		})
	}
	slices.SortFunc(out.Curves.Points, func(a, b cell.MeasuredPoint) int {
		if a.Temperature != b.Temperature {
			return cmp.Compare(a.Temperature, b.Temperature)
		}
		return cmp.Compare(a.Charge, b.Charge)
	})
	if len(lot.slow) > 0 {
		grid := ocvGrid()
		out.Curves.OCV = cell.Line{SoC: grid, Value: make([]float64, len(grid))}
		for i := range grid {
			for _, v := range lot.slow {
				out.Curves.OCV.Value[i] += v[i] / float64(len(lot.slow))
			}
		}
	}
	if n := len(lot.growth); n > 0 && n == out.Items {
		for _, g := range lot.growth {
			out.Curves.Growth += unit.Ratio(g / float64(n))
		}
	}
	return out
}
