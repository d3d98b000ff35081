package match

import (
	"fmt"
	"math"
	"slices"
)

// bound returns what the weakest group of a lot can be at most when it makes this
// many groups, those with fixed items included, and what the bound is made of.
func (l *lot) bound(groups int) (float64, string) {
	bound, from := math.Inf(1), ""
	open := groups // groups that are not full with fixed items
	var used []float64
	for _, h := range l.fixed {
		room := l.parallel - len(h.item)
		if room == 0 {
			open--
		}
		if b := h.sum + total(l.cap[:room]); b < bound {
			bound, from = b, fmt.Sprintf("the fixed items of group %d with the strongest that can join them", h.group+1)
		}
	}
	if open == 0 {
		return bound, from
	}
	free := open * l.parallel
	for _, h := range l.fixed {
		if len(h.item) < l.parallel {
			used = append(used, h.caps...)
			free -= len(h.item)
		}
	}
	used = append(used, l.cap[:free]...)
	slices.Sort(used)
	if b, why := spread(used, open, l.parallel); b < bound {
		bound, from = b, why
	}
	return bound, from
}

// spread returns min over k of max over m of (W_k + S_(m·P−k))/m for the items of
// rising capacity: see the package comment.
func spread(used []float64, groups, parallel int) (float64, string) {
	n := len(used)
	weak := make([]float64, n+1)   // of the k weakest
	strong := make([]float64, n+1) // of the j strongest
	for i := range n {
		weak[i+1] = weak[i] + used[i]
		strong[i+1] = strong[i] + used[n-1-i]
	}
	bound, at := math.Inf(1), 0
	for k := 1; k <= n; k++ {
		most := math.Inf(-1)
		for m := (k + parallel - 1) / parallel; m <= min(k, groups); m++ {
			most = max(most, (weak[k]+strong[m*parallel-k])/float64(m))
		}
		if most < bound*(1-provenWithin) {
			bound, at = most, k
		}
	}
	if mean := weak[n] / float64(groups); bound >= mean*(1-provenWithin) {
		return mean, "the mean of all groups"
	}
	if at == 1 {
		return bound, "the weakest item with the strongest"
	}
	return bound, fmt.Sprintf("the %d weakest items with the strongest", at)
}

func total(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v
	}
	return s
}
