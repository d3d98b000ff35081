package search

import (
	"context"
	"path/filepath"
	"testing"
	"time"

	"packyard/check/checktest"
	"packyard/design"
	"packyard/drive"
	"packyard/project"
	"packyard/schedule"
)

// BenchmarkSurvey asks the three bays of the test truck what they hold of all
// modules that its two sources can be cut into.
func BenchmarkSurvey(b *testing.B) {
	f := frame(b, truck(b))
	b.ReportAllocs()
	pairs, n := 0, 0
	for b.Loop() {
		s := newFinder(f, Options{Workers: 1})
		if err := s.survey(context.Background()); err != nil {
			b.Fatal(err)
		}
		for _, list := range s.placer.shelves {
			for _, sh := range list {
				pairs += len(sh.pairs)
			}
		}
		n++
	}
	b.ReportMetric(float64(pairs)/b.Elapsed().Seconds(), "pairs/s")
}

// BenchmarkQuick evaluates every candidate of the test truck on one core: cuts,
// sharing among the bays (every need once) and all rules.
func BenchmarkQuick(b *testing.B) {
	f := frame(b, truck(b))
	s := newFinder(f, Options{Workers: 1})
	if err := s.survey(context.Background()); err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		s.placer.loads = map[loadKey]*once[loaded]{}
		for i := range s.blocks {
			found := s.quickBlock(i)
			n += found.total
		}
	}
	b.ReportMetric(float64(n)/b.Elapsed().Seconds(), "options/s")
}

// BenchmarkTiers searches the orchard truck on one core and says what each tier
// costs, in milliseconds and together in lumped range runs on WLTC class 3b of the
// same moment: a machine that is slowed by other work slows both.
func BenchmarkTiers(b *testing.B) {
	p, err := project.Open(filepath.Join(checktest.Root(b), "examples", "orchard-truck"))
	if err != nil {
		b.Fatal(err)
	}
	ctx := context.Background()
	names := []string{"frame", "survey", "quick", "ranges", "rank", "misses"}
	spent, searches, unit := make([]time.Duration, len(names)), 0, time.Duration(0)
	for b.Loop() {
		unit += rangeRuns(b, &p.Brief)
		var s *finder
		var r *Result
		for i, tier := range []func() error{
			func() error {
				f, err := design.NewFrame(&p.Brief)
				s = newFinder(f, Options{Workers: 1})
				return err
			},
			func() error { return s.survey(ctx) },
			func() error { return s.quick(ctx) },
			func() error { return s.ranges(ctx) },
			func() error { r = s.tally(); return s.rank(ctx, r) },
			func() error { return s.misses(ctx, r) },
		} {
			start := time.Now()
			if err := tier(); err != nil {
				b.Fatal(err)
			}
			spent[i] += time.Since(start)
		}
		searches++
	}
	whole := time.Duration(0)
	for i, d := range spent {
		whole += d
		b.ReportMetric(d.Seconds()*1e3/float64(searches), names[i]+"-ms")
	}
	b.ReportMetric(float64(whole)*runsTimed/float64(unit), "range-runs/search")
}

// runsTimed is how many range runs are timed for comparison.
const runsTimed = 300

// rangeRuns times complete runs of a built-in cell on WLTC class 3b.
func rangeRuns(b *testing.B, brief *design.Brief) time.Duration {
	f := frame(b, brief)
	s, err := schedule.Find("wltc-class3b")
	if err != nil {
		b.Fatal(err)
	}
	c, err := f.Parse("new-lfp/110S1P/10x11S")
	if err != nil {
		b.Fatal(err)
	}
	w := f.Wire(c.Source, c.Form, c.Abreast, c.Strings, c.Cut.Groups())
	d, err := drive.NewDemand(f.Train(1900), s, drive.DemandOptions{Voltage: f.VoltageRun(&w)})
	if err != nil {
		b.Fatal(err)
	}
	var run drive.Run
	start := time.Now()
	for range runsTimed {
		if _, err := f.Range(&run, d, &w, &design.Figures{}, false); err != nil {
			b.Fatal(err)
		}
	}
	return time.Since(start)
}
