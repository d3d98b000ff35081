package match

import (
	"fmt"
	"math"
	"slices"
)

// lot is the part of a task that is solved by itself: all items when lots may be
// mixed, else those of one lot, with the groups that are given to it. Capacities
// are in A·s.
type lot struct {
	parallel int
	item     []int     // index in the task, by falling capacity, free items only
	cap      []float64 // A·s, of item
	res      []float64 // Ω, of item, zero where not known
	fixed    []held    // groups with fixed items
	more     int       // further groups that are given to the lot
	place    []int     // group in the task: of the fixed ones first, then of the others
	solution *solution
}

// held is a group with fixed items.
type held struct {
	group       int
	item        []int
	caps        []float64 // A·s, of item
	sum         float64   // A·s
	conductance float64   // S, infinite where a resistance is not known
}

func (l *lot) groups() int { return len(l.fixed) + l.more }

// split makes the lots of a task, and returns how many groups have no fixed item
// and are still to be dealt to them.
func split(t *Task) (lots []*lot, left int, err error) {
	lots, left = lotsOf(t), t.Groups
	most := 0
	for _, l := range lots {
		need := 0
		for _, h := range l.fixed {
			need += l.parallel - len(h.item)
		}
		if need > len(l.item) {
			return nil, 0, fmt.Errorf("%w: the groups with fixed items want %d items more of their lot, and %d are there", ErrTask, need, len(l.item))
		}
		left -= len(l.fixed)
		most += l.most()
	}
	if left > most {
		return nil, 0, fmt.Errorf("%w: lots that are kept apart give %d groups of %d, and %d are wanted", ErrTask, most+t.Groups-left, t.Parallel, t.Groups)
	}
	return lots, left, nil
}

// settle numbers the groups of the lots: the fixed ones as the task has them, the
// others in the numbers that are left. Lots without a group are left out.
func settle(t *Task, lots []*lot) []*lot {
	tied := make([]bool, t.Groups)
	for _, f := range t.Fixed {
		tied[f.Group] = true
	}
	free := 0
	lots = slices.DeleteFunc(lots, func(l *lot) bool { return l.groups() == 0 })
	for _, l := range lots {
		for range l.more {
			for tied[free] {
				free++
			}
			l.place = append(l.place, free)
			free++
		}
	}
	return lots
}

// most returns how many groups a lot can make besides those with fixed items.
func (l *lot) most() int {
	n := len(l.item)
	for _, h := range l.fixed {
		n -= l.parallel - len(h.item)
	}
	return n / l.parallel
}

// deal gives out groups one by one, each to the lot that is worth most with one
// group more. What a lot is worth falls with its groups, so this gives the largest
// least worth there is.
func deal(lots []*lot, groups int, worth func(l *lot, groups int) float64) {
	next := make([]float64, len(lots))
	look := func(i int) {
		next[i] = math.Inf(-1)
		if l := lots[i]; l.more < l.most() {
			next[i] = worth(l, l.groups()+1)
		}
	}
	for i, l := range lots {
		l.more = 0
		if len(lots) == 1 {
			l.more = groups
			return
		}
		look(i)
	}
	for range groups {
		best := 0
		for i := range next {
			if next[i] > next[best] {
				best = i
			}
		}
		lots[best].more++
		look(best)
	}
}

// lotsOf sorts the items of a task into lots, in the order of first appearance.
func lotsOf(t *Task) []*lot {
	group := make(map[int]int, len(t.Fixed)) // by item
	for _, f := range t.Fixed {
		group[f.Item] = f.Group
	}
	byName := map[string]*lot{}
	var lots []*lot
	for i, it := range t.Items {
		name := it.Lot
		if t.Mixed {
			name = ""
		}
		l := byName[name]
		if l == nil {
			l = &lot{parallel: t.Parallel}
			byName[name] = l
			lots = append(lots, l)
		}
		if g, ok := group[i]; ok {
			l.hold(i, g, it)
			continue
		}
		l.item = append(l.item, i)
	}
	for _, l := range lots {
		slices.SortFunc(l.item, t.stronger)
		for _, i := range l.item {
			l.cap = append(l.cap, float64(t.Items[i].Capacity))
			l.res = append(l.res, float64(t.Items[i].Resistance))
		}
		for _, h := range l.fixed {
			l.place = append(l.place, h.group)
		}
	}
	return lots
}

func (l *lot) hold(item, group int, it Item) {
	at := slices.IndexFunc(l.fixed, func(h held) bool { return h.group == group })
	if at < 0 {
		at = len(l.fixed)
		l.fixed = append(l.fixed, held{group: group})
	}
	h := &l.fixed[at]
	h.item = append(h.item, item)
	h.caps = append(h.caps, float64(it.Capacity))
	h.sum += float64(it.Capacity)
	h.conductance += 1 / float64(it.Resistance)
}

// hand writes the solution into the groups of the task.
func (l *lot) hand(groups [][]int) {
	for g, at := range l.place {
		if g < len(l.fixed) {
			groups[at] = append(groups[at], l.fixed[g].item...)
		}
		for _, i := range l.solution.of(g) {
			groups[at] = append(groups[at], l.item[i])
		}
	}
}
