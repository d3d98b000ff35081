package search

import (
	"context"
	"math"

	"packyard/design"
	"packyard/drive"
)

// corner is a range, m, as bought and at the planned end of life: of the pack
// with the least or the most mass and resistance of a block, or of one option.
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

// ranges settles, block by block, which of the candidates that break one limit
// or none reach the wanted ranges. Range falls with mass and with resistance, so
// two runs settle most blocks: of the lightest pack with the least resistance
// and of the heaviest with the most. Only where the limit lies between them is
// every candidate run. Who is slow may go further, so that a corner that does
// not keep the schedule settles less, see guardSlow.
func (s *finder) ranges(ctx context.Context) error {
	return s.each(ctx, len(s.blocks), func(r *runner, i int) error {
		b := &s.found[i]
		if len(b.pending) == 0 {
			return nil
		}
		if err := r.settle(ctx, b); err != nil {
			return err
		}
		return r.corners(b, b.fits)
	})
}

// guardSlow is how much further than its lightest or less far than its heaviest
// pack one of a block may go when both do not keep the schedule; dimensionless.
// Tested, not proven: a pack that falls behind for some steps spends less on
// them, by less than a hundredth of the run.
const guardSlow = 0.05

// corners runs the corners of a list of the block and sets how far they hold.
func (r *runner) corners(b *blockFound, list []lean) error {
	b.guard = math.Inf(1)
	if r.s.o.Exhaustive || !r.s.f.RangeFallsWithMass() || len(list) == 0 {
		return nil
	}
	light, heavy := corners(list)
	high, err := r.corner(b, &light)
	if err != nil {
		return err
	}
	low, err := r.corner(b, &heavy)
	if err != nil {
		return err
	}
	b.high, b.low = high.corner, low.corner
	switch {
	case high.capped != low.capped:
	case high.keeps && low.keeps:
		b.guard = 0
	default:
		b.guard = guardSlow
	}
	return nil
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

// cornerRun is a corner with how its runs went.
type cornerRun struct {
	corner
	keeps  bool   // the schedule, in both lives
	capped [2]int // how the schedule was lowered, by life: 0 not, 1 by the vehicle, 2 by the pack
}

// corner runs a corner of a block, at the end of life too where that range is
// wanted.
func (r *runner) corner(b *blockFound, g *design.Figures) (cornerRun, error) {
	c := cornerRun{keeps: true}
	for i, to := range []*float64{&c.new, &c.end} {
		if i == 1 && r.s.f.Brief.Targets.RangeEnd == 0 {
			break
		}
		res, err := r.complete(&b.wiring, g, i == 1)
		if err != nil {
			return c, err
		}
		*to = float64(res.Distance)
		c.keeps = c.keeps && res.Capped.Steps == 0 && res.Behind == 0
		switch {
		case res.Capped.ByPack:
			c.capped[i] = 2
		case res.Capped.Steps > 0:
			c.capped[i] = 1
		}
	}
	return c, nil
}

func (r *runner) reach(b *blockFound, g *design.Figures, end bool) (float64, error) {
	res, err := r.complete(&b.wiring, g, end)
	return float64(res.Distance), err
}

// settle decides the ranges of the candidates of a block that are pending, and
// files them with what fits or with the near misses.
func (r *runner) settle(ctx context.Context, b *blockFound) error {
	wanted := [2]struct {
		rule design.Rule
		need float64
	}{
		{design.RangeNew, float64(r.s.f.Brief.Targets.Range)},
		{design.RangeEnd, float64(r.s.f.Brief.Targets.RangeEnd)},
	}
	if wanted[0].need > 0 || wanted[1].need > 0 {
		if err := r.corners(b, b.pending); err != nil {
			return err
		}
	}
	for i := range b.pending {
		l := &b.pending[i]
		if err := ctx.Err(); err != nil {
			return err
		}
		before := l.values.Broken()
		for _, w := range wanted {
			if w.need == 0 || before.Has(w.rule) {
				continue
			}
			if err := r.decide(b, l, w.need, w.rule); err != nil {
				return err
			}
		}
		set := l.values.Broken()
		b.broken[before]--
		b.broken[set]++
		r.s.file(b, l, set)
	}
	b.pending = nil
	return nil
}

// file puts a candidate with what fits or with the near misses.
func (s *finder) file(b *blockFound, l *lean, set design.Set) {
	if set == 0 {
		b.fits = append(b.fits, *l)
		return
	}
	if mayShift(set, &l.load.loading) {
		b.shift = append(b.shift, l.cut)
	}
	if set&massRules == 0 && set&(set-1) == 0 {
		s.keep(b, *l, set)
	}
}

// decide sets a range of l with which it is on the right side of need: that of
// the corner that settles it, or its own.
func (r *runner) decide(b *blockFound, l *lean, need float64, rule design.Rule) error {
	high, low, own, end := b.high.new, b.low.new, &l.run.new, rule == design.RangeEnd
	if end {
		high, low, own = b.high.end, b.low.end, &l.run.end
	}
	switch {
	case low >= need*(1+b.guard) && high >= need*(1+b.guard):
		l.values.Value[rule] = low
		return nil
	case high*(1+b.guard) < need && low*(1+b.guard) < need:
		l.values.Value[rule] = high
		return nil
	}
	var err error
	*own, err = r.reach(b, &l.fig, end)
	l.values.Value[rule] = *own
	return err
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
