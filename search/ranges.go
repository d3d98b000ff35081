package search

import (
	"context"
	"math"

	"packyard/design"
	"packyard/drive"
)

// corner is the range, m, of a pack with the least or the most mass and
// resistance of a block; NaN when it was not run.
type corner struct{ new, end float64 }

// complete makes a complete range run of a candidate at one life.
func (r *runner) complete(w *design.Wiring, g *design.Figures, end bool) (drive.Result, error) {
	r.s.runs.Add(1)
	var err error
	t := r.s.f.Train(g.Test)
	o := drive.DemandOptions{Voltage: r.s.f.VoltageRun(w)}
	if r.demand == nil {
		r.demand, err = drive.NewDemand(t, r.s.f.Brief.Targets.Schedule, o)
	} else {
		err = r.demand.Fill(t, r.s.f.Brief.Targets.Schedule, o)
	}
	if err != nil {
		return drive.Result{}, err
	}
	return r.s.f.Range(&r.run, r.demand, w, g, end)
}

// ranges settles, block by block, which of the options that fit so far reach
// the wanted ranges. Range falls with mass and with resistance, so two runs
// settle most blocks: of the lightest pack with the least resistance and of
// the heaviest with the most. Only where the limit lies between them is every
// option run.
func (s *finder) ranges(ctx context.Context) error {
	t := &s.f.Brief.Targets
	return s.each(ctx, len(s.blocks), func(r *runner, i int) error {
		b := &s.found[i]
		b.high, b.low = corner{math.NaN(), math.NaN()}, corner{math.NaN(), math.NaN()}
		if len(b.fits) == 0 {
			return nil
		}
		light, heavy := corners(b.fits)
		var err error
		if b.high.new, err = r.reach(b, &light, false); err != nil {
			return err
		}
		if t.Range > 0 {
			if b.low.new, err = r.reach(b, &heavy, false); err != nil {
				return err
			}
		}
		if t.RangeEnd > 0 {
			if b.high.end, err = r.reach(b, &light, true); err != nil {
				return err
			}
			if b.low.end, err = r.reach(b, &heavy, true); err != nil {
				return err
			}
		}
		return r.settle(b)
	})
}

// corners returns the lightest pack with the least resistance of the list, and
// the heaviest with the most; neither need be one of the list.
func corners(list []lean) (light, heavy design.Figures) {
	light, heavy = list[0].fig, list[0].fig
	for i := range list {
		g := &list[i].fig
		light.Mass, heavy.Mass = min(light.Mass, g.Mass), max(heavy.Mass, g.Mass)
		light.Test, heavy.Test = min(light.Test, g.Test), max(heavy.Test, g.Test)
		light.Resistance, heavy.Resistance = min(light.Resistance, g.Resistance), max(heavy.Resistance, g.Resistance)
	}
	return light, heavy
}

func (r *runner) reach(b *blockFound, g *design.Figures, end bool) (float64, error) {
	res, err := r.complete(&b.wiring, g, end)
	return float64(res.Distance), err
}

// settle moves the options of a block that do not reach a wanted range from
// what fits to what is missed.
func (r *runner) settle(b *blockFound) error {
	t := &r.s.f.Brief.Targets
	need := corner{float64(t.Range), float64(t.RangeEnd)}
	kept := b.fits[:0]
	for i := range b.fits {
		l := b.fits[i]
		var err error
		l.values.Value[design.RangeNew], err = r.decide(b, &l, need.new, b.high.new, b.low.new, false)
		if err != nil {
			return err
		}
		l.values.Value[design.RangeEnd], err = r.decide(b, &l, need.end, b.high.end, b.low.end, true)
		if err != nil {
			return err
		}
		set := l.values.Broken()
		if set == 0 {
			kept = append(kept, l)
			continue
		}
		b.broken[0]--
		b.broken[set]++
		b.keep(l, set)
	}
	b.fits = kept
	return nil
}

// decide returns a range with which the option is on the right side of need:
// the corner that settles it, or its own.
func (r *runner) decide(b *blockFound, l *lean, need, high, low float64, end bool) (float64, error) {
	switch {
	case need == 0:
		return 0, nil
	case r.s.o.Exhaustive:
		return r.reach(b, &l.fig, end)
	case low >= need:
		return low, nil
	case high < need:
		return high, nil
	}
	return r.reach(b, &l.fig, end)
}

// tally adds up what the blocks found.
func (s *finder) tally() *Result {
	r := &Result{BySource: make([]int, len(s.f.Lots))}
	broken := map[design.Set]int{}
	for i := range s.found {
		b := &s.found[i]
		r.Total += b.total
		r.BySource[s.blocks[i].source] += b.total
		r.NotProven += b.notProven
		r.Fits += len(b.fits)
		for set, n := range b.broken {
			broken[set] += n
		}
		if len(b.fits) > 0 {
			r.PackCount++
		}
	}
	for rule := range design.RuleCount {
		f := Fall{Rule: rule}
		for set, n := range broken {
			switch {
			case set == 1<<rule:
				f.Alone += n
			case set.Has(rule):
				f.Others += n
			}
		}
		if f.Alone+f.Others > 0 {
			r.Falls = append(r.Falls, f)
		}
	}
	return r
}
