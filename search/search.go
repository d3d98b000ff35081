package search

import (
	"context"
	"runtime"
	"sync"
	"sync/atomic"

	"packyard/bay"
	"packyard/design"
	"packyard/drive"
)

// Options steer a search; the zero value is the documented default.
type Options struct {
	Universe   Universe
	Top        int                   // packs worked out and ranked; zero: 50
	Exhaustive bool                  // complete range runs for every option: slow, to check the pruning
	Workers    int                   // goroutines; zero: one for each processor
	Memory     *Memory               // of earlier searches; nil: none
	Progress   func(done, total int) // called from time to time with candidates looked at; may be nil
}

func (o Options) orDefault() Options {
	o.Universe = o.Universe.orDefault()
	if o.Top == 0 {
		o.Top = 50
	}
	if o.Workers == 0 {
		o.Workers = runtime.GOMAXPROCS(0)
	}
	return o
}

// Option is one complete candidate pack with its loading and what was found
// about it.
type Option struct {
	ID        string
	Candidate design.Candidate
	Wiring    design.Wiring
	Modules   design.Modules
	Loading   design.Loading
	Places    [][]bay.Placement // by bay, in the bay frame
	Values    design.Values
	Figures   design.Figures // Range and RangeEnd are of complete runs once Run is set
	Run       *drive.Result  // complete range run as bought; nil: not run, Figures.Range is a bound
	RunEnd    *drive.Result  // the same at the planned end of life
	Cuts      int            // how many cuts of this pack fit, this one included; 0: not counted
	Pareto    bool           // no other option is better in range, mass, price and worst margin at once

	block int
	other bool // shared otherwise than Load does
}

// Fall counts what fell to one limit.
type Fall struct {
	Rule   design.Rule
	Alone  int // candidates that break this limit and no other
	Others int // candidates that break it together with others
}

// Result is what a search found.
type Result struct {
	Total     int      // candidates looked at
	BySource  []int    // candidates by source of the brief
	Fits      int      // options that break no limit
	NotProven int      // candidates for which neither a placing nor a proof against one was found; they count under space
	Packs     []Option // the best cut of each pack that fits, ranked, at most Options.Top
	PackCount int      // packs that fit in all
	Pareto    []Option // the Pareto set over range, mass, price and worst margin, by falling range
	Falls     []Fall   // limits that anything fell to, in the order of the rules
	Misses    []Miss   // nearest miss of each limit, in the order of the rules
	Joint     *Miss    // smallest joint relaxation, when nothing fits and no single one lets anything through
	Runs      int      // complete range runs made
	Bound     int      // options whose optimistic range spared a complete run
}

// finder holds the state of one search.
type finder struct {
	f      *design.Frame
	o      Options
	placer *placer
	blocks []block
	found  []blockFound
	runs   atomic.Int64
}

// Run looks at every candidate of the universe, ranks what fits and finds what
// nearly does. It may be cancelled; the error is then that of ctx.
func Run(ctx context.Context, f *design.Frame, o Options) (*Result, error) {
	return newFinder(f, o).search(ctx)
}

func newFinder(f *design.Frame, o Options) *finder {
	s := &finder{f: f, o: o.orDefault(), placer: newPlacer(f)}
	s.blocks = blocks(f, s.o.Universe)
	s.found = make([]blockFound, len(s.blocks))
	return s
}

func (s *finder) search(ctx context.Context) (*Result, error) {
	if err := s.survey(ctx); err != nil {
		return nil, err
	}
	if err := s.quick(ctx); err != nil {
		return nil, err
	}
	if err := s.ranges(ctx); err != nil {
		return nil, err
	}
	r := s.tally()
	if err := s.rank(ctx, r); err != nil {
		return nil, err
	}
	if err := s.misses(ctx, r); err != nil {
		return nil, err
	}
	r.Runs = int(s.runs.Load())
	return r, nil
}

// each calls do for every block index from o.Workers goroutines, until one
// fails or ctx ends.
func (s *finder) each(ctx context.Context, n int, do func(worker *runner, i int) error) error {
	var next atomic.Int64
	var wg sync.WaitGroup
	var once sync.Once
	var first error
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	for range min(s.o.Workers, max(n, 1)) {
		wg.Go(func() {
			w := &runner{s: s}
			for {
				i := int(next.Add(1)) - 1
				if i >= n || ctx.Err() != nil {
					return
				}
				if err := do(w, i); err != nil {
					once.Do(func() { first = err; cancel() })
					return
				}
			}
		})
	}
	wg.Wait()
	if first != nil {
		return first
	}
	return ctx.Err()
}

// runner makes complete range runs with its own buffers.
type runner struct {
	s      *finder
	run    drive.Run
	demand *drive.Demand
}
