package match

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"packyard/unit"
)

// Plan is a complete arrangement.
type Plan struct {
	Groups     [][]int           // items of each group, the strongest first; in the order of the places
	Spare      []int             // items that are left over, the strongest first
	Capacity   []unit.Charge     // of each group
	Resistance []unit.Resistance // of each group; zero where an item's is not known
	Weakest    unit.Charge       // least of Capacity
	Bound      unit.Charge       // no plan has a stronger weakest group
	BoundFrom  string            // what the bound is made of
	Proven     bool              // no plan is better: the bound is reached to 1 part in 10¹², or pairs were solved exactly
}

// Gap returns how far the weakest group lies below the bound, as a share of it.
func (p *Plan) Gap() unit.Ratio {
	if p.Proven {
		return 0
	}
	return unit.Ratio(1 - float64(p.Weakest)/float64(p.Bound))
}

// provenWithin is the relative difference up to which a plan counts as reaching
// its bound: rounding of sums of some tens of capacities.
const provenWithin = 1e-12

// Match returns the best plan it can find. It ends early, with the best plan so
// far, when the context ends; the plan is complete all the same.
//
// Errors: ErrTask.
func Match(ctx context.Context, t *Task, o Options) (Plan, error) {
	if err := t.Check(); err != nil {
		return Plan{}, err
	}
	if o.Tries == 0 {
		o.Tries = triesDefault
	}
	lots, left, err := split(t)
	if err != nil {
		return Plan{}, err
	}
	bound, from := boundOf(lots, left)
	exact := true
	deal(lots, left, func(l *lot, groups int) float64 {
		v, sure := l.worth(ctx, o, groups)
		exact = exact && sure
		return v
	})
	lots = settle(t, lots)
	weakest := math.Inf(1)
	for _, l := range lots {
		b, _ := l.bound(l.groups())
		l.solution = l.solve(ctx, o, b)
		exact = exact && (l.solution.exact || l.solution.least() >= b*(1-provenWithin))
		weakest = min(weakest, l.solution.least())
	}
	p := Plan{Groups: make([][]int, t.Groups), Bound: unit.Charge(bound), BoundFrom: from}
	if exact && weakest < bound*(1-provenWithin) {
		p.Bound, p.BoundFrom = unit.Charge(weakest), "a search to the end"
	}
	for _, l := range lots {
		l.solution.balance(weakest * (1 - float64(o.Give)))
		l.hand(p.Groups)
	}
	p.weigh(t)
	p.lay(t)
	p.Proven = float64(p.Weakest) >= float64(p.Bound)*(1-provenWithin)
	return p, nil
}

// seatsWorth is the number of items of a lot up to which it is solved to learn what
// it is worth to it to have another group; beyond it the bound is near enough.
const seatsWorth = 24

// worth returns the weakest group of a lot that makes this many groups, or a bound
// of it, and whether no better one exists.
func (l *lot) worth(ctx context.Context, o Options, groups int) (float64, bool) {
	b, _ := l.bound(groups)
	if l.parallel > 2 && groups*l.parallel > seatsWorth {
		return b, false
	}
	trial := *l
	trial.more = groups - len(l.fixed)
	s := trial.solve(ctx, o, b)
	return s.least(), s.exact || s.least() >= b*(1-provenWithin)
}

// boundOf deals the groups by the bounds of the lots and returns the least bound,
// which holds for every way of dealing them, and what it is made of.
func boundOf(lots []*lot, left int) (float64, string) {
	deal(lots, left, func(l *lot, groups int) float64 {
		b, _ := l.bound(groups)
		return b
	})
	bound, from := math.Inf(1), ""
	for _, l := range lots {
		if l.groups() == 0 {
			continue
		}
		if b, why := l.bound(l.groups()); b < bound {
			bound, from = b, why
		}
	}
	return bound, from
}

// weigh fills in what follows from the groups.
func (p *Plan) weigh(t *Task) {
	used := make([]bool, len(t.Items))
	p.Capacity = make([]unit.Charge, len(p.Groups))
	p.Resistance = make([]unit.Resistance, len(p.Groups))
	p.Weakest = unit.Charge(math.Inf(1))
	for g, group := range p.Groups {
		slices.SortFunc(group, t.stronger)
		conductance := 0.0
		for _, i := range group {
			used[i] = true
			p.Capacity[g] += t.Items[i].Capacity
			conductance += 1 / float64(t.Items[i].Resistance)
		}
		p.Resistance[g] = unit.Resistance(1 / conductance) // zero when one is not known
		p.Weakest = min(p.Weakest, p.Capacity[g])
	}
	p.Spare = p.Spare[:0]
	for i, u := range used {
		if !u {
			p.Spare = append(p.Spare, i)
		}
	}
	slices.SortFunc(p.Spare, t.stronger)
}

// Weigh returns the plan that given groups of items make, for comparison. Its
// bound is that of the task.
//
// Errors: ErrTask, also when a group has not Parallel items or an item stands in
// two groups.
func Weigh(t *Task, groups [][]int) (Plan, error) {
	if err := t.Check(); err != nil {
		return Plan{}, err
	}
	if len(groups) != t.Groups {
		return Plan{}, fmt.Errorf("%w: %d groups are given and %d wanted", ErrTask, len(groups), t.Groups)
	}
	seen := make([]bool, len(t.Items))
	p := Plan{Groups: make([][]int, len(groups))}
	for g, group := range groups {
		if len(group) != t.Parallel {
			return Plan{}, fmt.Errorf("%w: group %d has %d items and wants %d", ErrTask, g+1, len(group), t.Parallel)
		}
		for _, i := range group {
			if i < 0 || i >= len(t.Items) || seen[i] {
				return Plan{}, fmt.Errorf("%w: item %d of group %d is not there or stands in two groups", ErrTask, i+1, g+1)
			}
			seen[i] = true
		}
		p.Groups[g] = slices.Clone(group)
	}
	p.weigh(t)
	b, why, err := Bound(t)
	if err != nil {
		return Plan{}, err
	}
	p.Bound, p.BoundFrom = b, why
	p.Proven = float64(p.Weakest) >= float64(b)*(1-provenWithin)
	return p, nil
}

// Bound returns a capacity that the weakest group of no plan exceeds, and what it
// is made of: see the package comment.
//
// Errors: ErrTask.
func Bound(t *Task) (unit.Charge, string, error) {
	if err := t.Check(); err != nil {
		return 0, "", err
	}
	lots, left, err := split(t)
	if err != nil {
		return 0, "", err
	}
	bound, from := boundOf(lots, left)
	return unit.Charge(bound), from, nil
}

// lay gives the groups their places: the lower the resistance of a group, the
// hotter its place. Groups with fixed items stay where they are.
func (p *Plan) lay(t *Task) {
	if len(t.Places) == 0 || slices.Contains(p.Resistance, 0) {
		return
	}
	tied := make([]bool, t.Groups)
	for _, f := range t.Fixed {
		tied[f.Group] = true
	}
	var free []int
	for g := range t.Groups {
		if !tied[g] && t.Places[g].Temperature > 0 {
			free = append(free, g)
		}
	}
	places := slices.Clone(free)
	slices.SortStableFunc(places, func(a, b int) int { // hottest first
		return cmp.Compare(float64(t.Places[b].Temperature), float64(t.Places[a].Temperature))
	})
	slices.SortStableFunc(free, func(a, b int) int { // lowest resistance first
		return cmp.Compare(float64(p.Resistance[a]), float64(p.Resistance[b]))
	})
	old := slices.Clone(p.Groups)
	for i, g := range free {
		p.Groups[places[i]] = old[g]
	}
	p.weigh(t)
}
