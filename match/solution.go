package match

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
)

// solution is an arrangement of one lot: free items in the places that fixed
// items leave. Plain slices, since the search goes over them again and again.
type solution struct {
	lot   *lot
	start []int     // first seat of each group; len groups+1
	seat  []int     // item of the lot in each seat
	sum   []float64 // A·s of each group, fixed items included
	exact bool      // no arrangement is better
}

// of returns the free items of a group.
func (s *solution) of(g int) []int { return s.seat[s.start[g]:s.start[g+1]] }

func (s *solution) least() float64 { return slices.Min(s.sum) }

func (s *solution) weakest() int {
	at := 0
	for g := range s.sum {
		if s.sum[g] < s.sum[at] {
			at = g
		}
	}
	return at
}

func (s *solution) clone() *solution {
	c := *s
	c.seat, c.sum = slices.Clone(s.seat), slices.Clone(s.sum)
	return &c
}

func (s *solution) take(from *solution) {
	copy(s.seat, from.seat)
	copy(s.sum, from.sum)
}

// recount makes the sums anew, so that rounding of many exchanges does not add up.
func (s *solution) recount() {
	for g := range s.sum {
		s.sum[g] = 0
		if g < len(s.lot.fixed) {
			s.sum[g] = s.lot.fixed[g].sum
		}
		for _, i := range s.of(g) {
			s.sum[g] += s.lot.cap[i]
		}
	}
}

// empty returns a solution with seats and nobody in them.
func (l *lot) empty() *solution {
	n := l.groups()
	s := &solution{lot: l, start: make([]int, n+1), sum: make([]float64, n)}
	for g := range n {
		room := l.parallel
		if g < len(l.fixed) {
			room -= len(l.fixed[g].item)
		}
		s.start[g+1] = s.start[g] + room
	}
	s.seat = make([]int, s.start[n])
	for g, h := range l.fixed {
		s.sum[g] = h.sum
	}
	return s
}

// solve arranges a lot, the least sum as near to the bound as the tries bring it.
func (l *lot) solve(ctx context.Context, o Options, bound float64) *solution {
	if s := l.pairs(); s != nil {
		return s
	}
	s := l.longestFirst()
	s.improve()
	if s.exact = s.exhaust(); s.exact {
		return s
	}
	rng := rand.New(rand.NewPCG(o.Seed, uint64(len(l.cap))))
	best := s.clone()
	for idle := 0; idle < o.Tries && best.least() < bound*(1-provenWithin) && ctx.Err() == nil; idle++ {
		s.disturb(rng)
		s.improve()
		s.recount()
		if s.least() > best.least()*(1+provenWithin) {
			best.take(s)
			idle = -1
			continue
		}
		s.take(best)
	}
	best.recount()
	return best
}

// longestFirst puts the strongest item that is left into the weakest group that
// has room.
func (l *lot) longestFirst() *solution {
	s := l.empty()
	filled := slices.Clone(s.start[:len(s.sum)])
	for i := range s.seat {
		to := -1
		for g := range s.sum {
			if filled[g] < s.start[g+1] && (to < 0 || s.sum[g] < s.sum[to]) {
				to = g
			}
		}
		s.seat[filled[to]] = i
		filled[to]++
		s.sum[to] += l.cap[i]
	}
	return s
}

// disturb exchanges items between groups at random: the weakest group and a few
// others with any.
func (s *solution) disturb(rng *rand.Rand) {
	if len(s.seat) == 0 {
		return
	}
	weakest := s.weakest()
	for n := range 2 + len(s.sum)/8 {
		a := weakest
		if n > 0 || len(s.of(a)) == 0 {
			a = rng.IntN(len(s.sum))
		}
		b := rng.IntN(len(s.sum))
		if a == b || len(s.of(a)) == 0 || len(s.of(b)) == 0 {
			continue
		}
		s.exchange(a, rng.IntN(len(s.of(a))), b, rng.IntN(len(s.of(b))))
	}
}

// exchange swaps the i-th free item of group a with the j-th of group b.
func (s *solution) exchange(a, i, b, j int) {
	x, y := &s.seat[s.start[a]+i], &s.seat[s.start[b]+j]
	d := s.lot.cap[*y] - s.lot.cap[*x]
	s.sum[a] += d
	s.sum[b] -= d
	*x, *y = *y, *x
}

// move is an exchange of one or two items between two groups: seats within the
// groups, −1 for the second when there is none.
type move struct {
	a, b   int
	i, j   int
	i2, j2 int
	gain   float64 // A·s, of the smaller of the two sums over the weakest group's; zero: no move
}

// improve raises the weakest group by exchanges with any other until none helps.
// Each exchange raises the smaller of two sums, so the sorted sums rise and the
// loop ends; the bound on its rounds is for rounding.
func (s *solution) improve() {
	const roundsMax = 100_000
	for range roundsMax {
		weakest := s.weakest()
		m := s.single(weakest)
		if m.gain == 0 {
			m = s.double(weakest)
		}
		if m.gain == 0 {
			return
		}
		s.do(m)
	}
}

func (s *solution) do(m move) {
	s.exchange(m.a, m.i, m.b, m.j)
	if m.i2 >= 0 {
		s.exchange(m.a, m.i2, m.b, m.j2)
	}
}

// least gain that counts, relative to a sum: above the rounding of exchanges.
const gainLeast = 1e-12

// single returns the best exchange of one item of group a with one of another.
func (s *solution) single(a int) move {
	best := move{a: a, i2: -1, j2: -1}
	limit := gainLeast * s.sum[a]
	for b := range s.sum {
		between := s.sum[b] - s.sum[a]
		if between/2 <= max(best.gain, limit) {
			continue
		}
		for i, x := range s.of(a) {
			for j, y := range s.of(b) {
				d := s.lot.cap[y] - s.lot.cap[x]
				if g := min(d, between-d); g > max(best.gain, limit) {
					best.b, best.i, best.j, best.gain = b, i, j, g
				}
			}
		}
	}
	return best
}

// doubleSeatsMax bounds the groups in which exchanges of two items are looked
// for: beyond it single exchanges have choice enough.
const doubleSeatsMax = 12

// double returns the best exchange of two items of group a with two of another.
func (s *solution) double(a int) move {
	best := move{a: a, i2: -1, j2: -1}
	limit := gainLeast * s.sum[a]
	from := s.of(a)
	if len(from) > doubleSeatsMax {
		return best
	}
	c := s.lot.cap
	for b := range s.sum {
		between := s.sum[b] - s.sum[a]
		to := s.of(b)
		if between/2 <= max(best.gain, limit) || len(to) > doubleSeatsMax {
			continue
		}
		for i := 1; i < len(from); i++ {
			for i2 := range i {
				out := c[from[i]] + c[from[i2]]
				for j := 1; j < len(to); j++ {
					for j2 := range j {
						d := c[to[j]] + c[to[j2]] - out
						if g := min(d, between-d); g > max(best.gain, limit) {
							best = move{a: a, b: b, i: i, j: j, i2: i2, j2: j2, gain: g}
						}
					}
				}
			}
		}
	}
	return best
}

// balance makes the resistances of the groups equal by exchanges that leave every
// sum at or above the floor, until none helps. Items of unknown resistance stay.
func (s *solution) balance(floor float64) {
	const passesMax = 50
	g := s.conductances()
	for range passesMax {
		moved := false
		for a := range s.sum {
			for b := range a {
				moved = s.level(a, b, g, floor) || moved
			}
		}
		if !moved {
			break
		}
	}
	s.recount()
}

func (s *solution) conductances() []float64 {
	g := make([]float64, len(s.sum))
	for a := range g {
		if a < len(s.lot.fixed) {
			g[a] = s.lot.fixed[a].conductance
		}
		for _, i := range s.of(a) {
			g[a] += 1 / s.lot.res[i]
		}
	}
	return g
}

// level does the exchange between two groups that brings their conductances
// nearest to each other, if one does. The sum of both stays, so that lowers
// Σ (1/R − mean)².
func (s *solution) level(a, b int, g []float64, floor float64) bool {
	apart := g[a] - g[b]
	if math.IsInf(g[a], 0) || math.IsInf(g[b], 0) {
		return false
	}
	best, bi, bj := math.Abs(apart)*(1-1e-9), -1, -1
	for i, x := range s.of(a) {
		for j, y := range s.of(b) {
			d := s.lot.cap[y] - s.lot.cap[x]
			if s.sum[a]+d < floor || s.sum[b]-d < floor {
				continue
			}
			if v := math.Abs(apart + 2*(1/s.lot.res[y]-1/s.lot.res[x])); v < best {
				best, bi, bj = v, i, j
			}
		}
	}
	if bi < 0 {
		return false
	}
	d := 1/s.lot.res[s.of(b)[bj]] - 1/s.lot.res[s.of(a)[bi]]
	g[a] += d
	g[b] -= d
	s.exchange(a, bi, b, bj)
	return true
}
