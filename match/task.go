package match

import (
	"cmp"
	"errors"
	"fmt"
	"math"

	"packyard/unit"
)

// ErrTask says that no plan can be made of a task.
var ErrTask = errors.New("items cannot be matched")

// Item is one cell or slice that was measured.
type Item struct {
	Name       string
	Capacity   unit.Charge     // above zero
	Resistance unit.Resistance // zero: not known
	Lot        string          // origin; items of different lots are kept apart unless Task.Mixed
}

// Fixed says that an item stands in a group already.
type Fixed struct {
	Item, Group int
}

// Place is where a group stands.
type Place struct {
	Name        string
	Temperature unit.Temperature // of that place in use; zero: not known
}

// Task is what is to be matched.
type Task struct {
	Items    []Item
	Groups   int // in series
	Parallel int // items in a group
	Fixed    []Fixed
	Mixed    bool    // items of different lots may share a group
	Places   []Place // one for each group, or none
}

// Options are the choices of a search; the zero value is the default.
type Options struct {
	Tries int        // disturbances without a gain after which the search ends; zero: 60
	Seed  uint64     // of the disturbances; the same seed gives the same plan
	Give  unit.Ratio // share of the weakest capacity that may be given up for equal resistances; zero: none
}

// triesDefault is the number of disturbances without a gain that end a search:
// from trials, see docs/method/match.md.
const triesDefault = 60

// stronger orders items by falling capacity, equal ones by their place in the list.
func (t *Task) stronger(a, b int) int {
	return cmp.Or(cmp.Compare(t.Items[b].Capacity, t.Items[a].Capacity), a-b)
}

// Check says what makes a task impossible, wrapped in ErrTask.
func (t *Task) Check() error {
	if t.Groups < 1 || t.Parallel < 1 {
		return fmt.Errorf("%w: %d groups of %d, and at least 1 of 1 is needed", ErrTask, t.Groups, t.Parallel)
	}
	if t.Groups > len(t.Items)/t.Parallel {
		return fmt.Errorf("%w: %d groups of %d need %d items, and %d are there", ErrTask, t.Groups, t.Parallel, t.Groups*t.Parallel, len(t.Items))
	}
	if n := len(t.Places); n != 0 && n != t.Groups {
		return fmt.Errorf("%w: %d places for %d groups", ErrTask, n, t.Groups)
	}
	for i, it := range t.Items {
		c, r := float64(it.Capacity), float64(it.Resistance)
		if !(c > 0) || math.IsInf(c, 0) {
			return fmt.Errorf("%w: item %d %q has a capacity of %v Ah, and it must be above zero", ErrTask, i+1, it.Name, it.Capacity.AmpereHours())
		}
		if !(r >= 0) || math.IsInf(r, 0) {
			return fmt.Errorf("%w: item %d %q has a resistance of %v Ω, and it must not be negative", ErrTask, i+1, it.Name, r)
		}
	}
	return t.checkFixed()
}

func (t *Task) checkFixed() error {
	seen := make([]bool, len(t.Items))
	held := make([]int, t.Groups)
	lot := make([]string, t.Groups)
	for _, f := range t.Fixed {
		if f.Item < 0 || f.Item >= len(t.Items) || f.Group < 0 || f.Group >= t.Groups {
			return fmt.Errorf("%w: item %d cannot be fixed to group %d: there are %d items and %d groups", ErrTask, f.Item+1, f.Group+1, len(t.Items), t.Groups)
		}
		it := t.Items[f.Item]
		if seen[f.Item] {
			return fmt.Errorf("%w: item %q is fixed twice", ErrTask, it.Name)
		}
		seen[f.Item] = true
		if held[f.Group] == t.Parallel {
			return fmt.Errorf("%w: group %d has more than %d fixed items", ErrTask, f.Group+1, t.Parallel)
		}
		if held[f.Group] > 0 && lot[f.Group] != it.Lot && !t.Mixed {
			return fmt.Errorf("%w: group %d has fixed items of the lots %q and %q, which are kept apart", ErrTask, f.Group+1, lot[f.Group], it.Lot)
		}
		held[f.Group]++
		lot[f.Group] = it.Lot
	}
	return nil
}
