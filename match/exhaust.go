package match

// nodesMax bounds the complete search that is tried first: about a hundredth of a
// second, enough for some ten items.
const nodesMax = 200_000

// exhaust looks through all arrangements of a solution's items and keeps the best.
// It tells whether it came to the end; if not, the solution holds the best so far.
type exhaust struct {
	s     *solution
	seat  []int // group of each item
	sum   []float64
	room  []int
	best  float64
	nodes int
}

func (s *solution) exhaust() bool {
	e := exhaust{s: s, seat: make([]int, len(s.seat)), sum: make([]float64, len(s.sum)), room: make([]int, len(s.sum)), best: s.least()}
	for g := range e.sum {
		e.room[g] = len(s.of(g))
		if g < len(s.lot.fixed) {
			e.sum[g] = s.lot.fixed[g].sum
		}
	}
	return e.place(0)
}

// place puts item i, the strongest that is left, into every group in turn.
func (e *exhaust) place(i int) bool {
	if e.nodes++; e.nodes > nodesMax {
		return false
	}
	if i == len(e.seat) {
		e.keep()
		return true
	}
	c := e.s.lot.cap
	for g := range e.sum { // what is left cannot lift this group above the best
		if e.sum[g]+total(c[i:i+e.room[g]]) <= e.best*(1+provenWithin) {
			return true
		}
	}
	whole := true
	for g := range e.sum {
		if e.room[g] == 0 || e.alike(g) {
			continue
		}
		old := e.sum[g]
		e.seat[i], e.sum[g] = g, old+c[i]
		e.room[g]--
		whole = e.place(i+1) && whole
		e.sum[g] = old
		e.room[g]++
	}
	return whole
}

// alike tells whether an earlier group is as full and as strong, so that this one
// would give the same arrangements again.
func (e *exhaust) alike(g int) bool {
	for h := range g {
		if e.room[h] == e.room[g] && e.sum[h] == e.sum[g] {
			return true
		}
	}
	return false
}

func (e *exhaust) keep() {
	filled := make([]int, len(e.sum))
	for i, g := range e.seat {
		e.s.seat[e.s.start[g]+filled[g]] = i
		filled[g]++
	}
	e.s.recount()
	e.best = e.s.least()
}
