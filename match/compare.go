package match

import (
	"math/rand/v2"
	"slices"
)

// Graded returns groups of like items: sorted by capacity and cut into groups, as
// a builder does who keeps good with good. It is there to compare with, and looks
// at neither fixed items nor lots.
func Graded(t *Task) [][]int {
	return cut(t, byStrength(t))
}

// Random returns groups drawn by lot from the items that Graded uses, for
// comparison. The same seed gives the same groups.
func Random(t *Task, seed uint64) [][]int {
	order := byStrength(t)[:t.Groups*t.Parallel]
	rng := rand.New(rand.NewPCG(seed, 0))
	rng.Shuffle(len(order), func(a, b int) { order[a], order[b] = order[b], order[a] })
	return cut(t, order)
}

func byStrength(t *Task) []int {
	order := make([]int, len(t.Items))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, t.stronger)
	return order
}

func cut(t *Task, order []int) [][]int {
	groups := make([][]int, t.Groups)
	for g := range groups {
		groups[g] = slices.Clone(order[g*t.Parallel : (g+1)*t.Parallel])
	}
	return groups
}
