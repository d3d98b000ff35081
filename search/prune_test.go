package search

import (
	"context"
	"encoding/json"
	"errors"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"packyard/check/checktest"
	"packyard/design"
	"packyard/drive"
	"packyard/unit"
)

// digest is what a user sees of a result, without how many runs it took.
func digest(t *testing.T, f *design.Frame, r *Result) string {
	t.Helper()
	rep := r.Report(f)
	rep.Runs, rep.Spared = 0, 0
	text, err := json.MarshalIndent(rep, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// drawn changes the cart so that limits and ranges fall between its candidates.
func drawn(b *design.Brief, r *rand.Rand) {
	in := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	b.Targets.Range = unit.Length(in(45e3, 75e3))
	if b.Targets.RangeEnd = 0; r.IntN(2) == 0 {
		b.Targets.RangeEnd = unit.Length(in(30e3, 50e3))
	}
	b.Targets.MassMax = unit.Mass(in(70, 150))
	b.Donor.Ratings.GrossMass = unit.Mass(in(860, 930))
	b.Donor.Ratings.AxleRear = unit.Mass(in(470, 560))
	b.Targets.PriceMax = in(1900, 3000)
	b.Bays[0].MassLimit, b.Bays[1].MassLimit = unit.Mass(in(50, 100)), unit.Mass(in(60, 120))
	b.Bays[r.IntN(2)].Boxes[0].Size.X *= unit.Length(in(0.7, 1.1))
	b.Choose.RankBy = rankBy[r.IntN(len(rankBy))]
	switch r.IntN(3) {
	case 0: // a drive unit that cannot keep the schedule with every pack
		u := *b.Drive.Unit
		u.PowerPeak = unit.Power(in(7e3, 14e3))
		b.Drive.Unit = &u
	case 1: // cells that are short of power
		for i := range b.Sources {
			b.Sources[i].Health.ResistanceGrowth *= unit.Ratio(in(2, 5))
		}
	}
}

func TestPruningLosesNothing(t *testing.T) {
	checktest.Long(t)
	t.Parallel()
	slow := 0
	for seed := range uint64(6) {
		b := cart(t)
		drawn(b, rand.New(rand.NewPCG(seed, 1)))
		f := frame(t, b)
		o := Options{Universe: small, Top: 1000}
		s, pruned := searched(t, f, o)
		for i := range s.found {
			if g := s.found[i].guard; g > 0 {
				slow++
			}
		}
		o.Exhaustive = true
		_, full := searched(t, f, o)
		if d := cmp.Diff(digest(t, f, full), digest(t, f, pruned)); d != "" {
			t.Fatalf("seed %d: pruned (+) differs from every candidate run (-):\n%s", seed, d)
		}
		if full.Runs < pruned.Runs {
			t.Errorf("seed %d: %d runs pruned, %d for every candidate", seed, pruned.Runs, full.Runs)
		}
	}
	if slow == 0 {
		t.Error("no block was short of power or speed: the guard is not tested")
	}
}

// TestRangeIsNeverAboveItsBound compares the bound of the quick tier with the
// complete run, weak cells and weak drive units included.
func TestRangeIsNeverAboveItsBound(t *testing.T) {
	checktest.Long(t)
	t.Parallel()
	bounded := 0
	for seed := range uint64(4) {
		b := cart(t)
		drawn(b, rand.New(rand.NewPCG(seed, 2)))
		f := frame(t, b)
		s := newFinder(f, Options{Universe: small})
		if err := s.survey(context.Background()); err != nil {
			t.Fatal(err)
		}
		r := &runner{s: s}
		for i, b := range s.blocks {
			w := f.Wire(b.source, b.form, b.abreast, b.strings, b.groups)
			lot := lotKey{b.source, b.form}
			n := 0
			cuts(f, b, small, func(c design.Cut) bool {
				m := modulesOf(s.placer.stacks[stackKey{lot, b.abreast}], c, b.strings)
				var v design.Values
				g := f.Evaluate(&w, &m, &s.placer.load(&w, &m, lot).loading, &v)
				for end, bound := range map[bool]unit.Length{false: g.Range, true: g.RangeEnd} {
					res, err := r.complete(&w, &g, end)
					if err != nil {
						t.Fatal(err)
					}
					if bound < drive.RangeMost {
						bounded++
					}
					if res.Distance > bound*(1+1e-9) {
						t.Errorf("seed %d, block %d, %v: %v m, above the bound of %v m; capped %+v, behind %d, ended by %s", seed, i, c, res.Distance, bound, res.Capped, res.Behind, res.EndedBy)
					}
				}
				n++
				return n < 3
			})
		}
	}
	if bounded < 500 {
		t.Errorf("only %d bounds: this test is about those", bounded)
	}
}

func TestSameResultWithAnyNumberOfWorkers(t *testing.T) {
	t.Parallel()
	for _, v := range variants[1:4] {
		b := cart(t)
		v.change(b)
		f := frame(t, b)
		first := ""
		for _, workers := range []int{1, 4, 4} {
			_, r := searched(t, f, Options{Universe: small, Workers: workers})
			got := digest(t, f, r)
			if first == "" {
				first = got
			}
			if d := cmp.Diff(first, got); d != "" {
				t.Fatalf("%s, %d workers: differs:\n%s", v.name, workers, d)
			}
		}
	}
}

func TestSearchCanBeCancelled(t *testing.T) {
	t.Parallel()
	f := frame(t, truck(t))
	gone, cancel := context.WithCancel(context.Background())
	cancel()
	if r, err := Run(gone, f, Options{}); !errors.Is(err, context.Canceled) || r != nil {
		t.Errorf("before it began: %v, %v", r, err)
	}
	// In the middle of the quick tier.
	ctx, cancel := context.WithCancel(context.Background())
	seen := 0
	o := Options{Workers: 1, Progress: func(done, total int) {
		if seen++; seen == 3 {
			cancel()
		}
	}}
	if _, err := Run(ctx, f, o); !errors.Is(err, context.Canceled) {
		t.Errorf("in the quick tier: %v", err)
	}
	if seen > 4 {
		t.Errorf("%d blocks were looked at after the end", seen-3)
	}
	// After any time: the survey, ranges, ranking and misses end too.
	for _, after := range []time.Duration{time.Millisecond, 20 * time.Millisecond, 100 * time.Millisecond} {
		ctx, cancel := context.WithTimeout(context.Background(), after)
		if _, err := Run(ctx, f, Options{}); err != nil && !errors.Is(err, context.DeadlineExceeded) {
			t.Errorf("after %v: %v", after, err)
		}
		cancel()
	}
}

func TestProgressCountsEveryBlock(t *testing.T) {
	t.Parallel()
	f := frame(t, cart(t))
	last, all := 0, 0
	_, err := Run(context.Background(), f, Options{Universe: small, Workers: 1, Progress: func(done, total int) {
		if done != last+1 || all != 0 && total != all {
			t.Errorf("%d of %d after %d of %d", done, total, last, all)
		}
		last, all = done, total
	}})
	if err != nil || last != all || all == 0 {
		t.Errorf("ended at %d of %d: %v", last, all, err)
	}
}
