package search

import (
	"context"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"packyard/cell"
	"packyard/check/checktest"
	"packyard/design"
)

// allCuts lists the cuts of so many groups into at most most modules of one
// length, or of two, from shortest to longest, in the plainest way.
func allCuts(groups, shortest, longest, most int) map[design.Cut]bool {
	out := map[design.Cut]bool{}
	for g1 := shortest; g1 <= longest; g1++ {
		for n1 := 1; n1 <= most; n1++ {
			var c design.Cut
			c[0].Groups, c[0].Count = g1, n1
			if g1*n1 == groups {
				out[c] = true
			}
			for g2 := shortest; g2 < g1; g2++ {
				for n2 := 1; n1+n2 <= most; n2++ {
					c[1].Groups, c[1].Count = g2, n2
					if g1*n1+g2*n2 == groups {
						out[c] = true
					}
				}
			}
		}
	}
	return out
}

func TestCutsAreAllThatThereAre(t *testing.T) {
	t.Parallel()
	f := frame(t, truck(t))
	hw := *f.Lots[0].Hardware
	checktest.Check(t, func(t *rapid.T) {
		g := *f
		g.Lots = slices.Clone(f.Lots)
		h := hw
		h.SlicesMin = rapid.IntRange(1, 6).Draw(t, "fewest slices")
		h.StackMax = f.Lots[0].Slice.Pitch * 3 * 4
		g.Lots[0].Hardware = &h
		b := block{source: 0, form: design.Regrouped, abreast: rapid.IntRange(1, 4).Draw(t, "abreast"), strings: rapid.IntRange(1, 3).Draw(t, "strings"), groups: rapid.IntRange(1, 40).Draw(t, "groups")}
		u := Universe{Modules: rapid.IntRange(1, 20).Draw(t, "modules")}
		longest := cell.SlicesLongest(&g.Lots[0].Slice, &h) / b.abreast
		shortest := (h.SlicesMin + b.abreast - 1) / b.abreast
		want := allCuts(b.groups, shortest, longest, u.Modules/b.strings)
		got := map[design.Cut]bool{}
		cuts(&g, b, u, func(c design.Cut) bool {
			if got[c] {
				t.Fatalf("%v comes twice", c)
			}
			got[c] = true
			if !want[c] {
				t.Fatalf("%v is no cut of %+v, modules of %d to %d groups", c, b, shortest, longest)
			}
			if c[1].Count > 0 && c[1].Groups >= c[0].Groups {
				t.Fatalf("%v: the longer modules come first", c)
			}
			for _, p := range c {
				if p.Count > 0 {
					if _, err := cell.Build(&g.Lots[0].Slice, &h, b.abreast, p.Groups); err != nil {
						t.Fatalf("%v cannot be built: %v", c, err)
					}
				}
			}
			return true
		})
		if len(got) != len(want) {
			t.Fatalf("%d cuts of %d, %+v", len(got), len(want), b)
		}
		seen := 0
		cuts(&g, b, u, func(design.Cut) bool { seen++; return seen < 3 })
		if seen != min(3, len(want)) {
			t.Fatalf("%d cuts after no more were wanted at 3, of %d", seen, len(want))
		}
	})
}

// TestBlocksCoverTheUniverse draws a candidate by its own arithmetic and finds
// its block, if and only if it is within the stated bounds.
func TestBlocksCoverTheUniverse(t *testing.T) {
	t.Parallel()
	b := truck(t)
	b.Targets.StringsMax = 2
	m := *cell.BuiltIn().Module("openable-pouch-nmc-21-24s2p")
	b.Sources = append(b.Sources, design.Source{Name: "open", Kind: design.Openable, Module: &m, Count: 9, Spare: 1, Health: cell.New})
	f := frame(t, b)
	u := Universe{}.orDefault()
	list := blocks(f, u)
	set := map[block]bool{}
	for _, b := range list {
		if set[b] {
			t.Fatalf("%+v comes twice", b)
		}
		set[b] = true
	}
	bands := b.Drive.Inverter.Bands
	inside := func(b block) bool {
		s, l := &f.Brief.Sources[b.source], &f.Lots[b.source]
		c := l.Slice.Cell
		full := float64(b.groups*l.Slice.Series) * float64(c.VoltageMax)
		one := float64(l.Slice.Series) * float64(c.VoltageMax)
		pieces := float64(b.groups*b.abreast*b.strings) / l.Pieces
		return full <= 1.2*float64(bands.NeverExceed) && full > 0.8*float64(bands.ReducedMin)-one && pieces <= 1.35*float64(s.Count-s.Spare)
	}
	n := 0
	for source := range f.Lots {
		for strings := 1; strings <= 3; strings++ {
			for a := 1; a <= 30; a++ {
				for g := 1; g <= 200; g++ {
					if f.Lots[source].Hardware != nil {
						x := block{source, design.Regrouped, a, strings, g}
						fits := a*1 <= cell.SlicesLongest(&f.Lots[source].Slice, f.Lots[source].Hardware)
						if want := inside(x) && strings <= 2 && fits; want != set[x] {
							t.Fatalf("%+v: in the list %v, by its bounds %v", x, set[x], want)
						} else if want {
							n++
						}
					}
					if m := f.Brief.Sources[source].Module; m != nil {
						x := block{source, design.AsBuilt, a, strings, g}
						if want := inside(x) && strings <= 2 && a == m.SlicesParallel && g%m.Groups == 0 && g/m.Groups*strings <= 40; want != set[x] {
							t.Fatalf("%+v: in the list %v, by its bounds %v", x, set[x], want)
						} else if want {
							n++
						}
					}
				}
			}
		}
	}
	if n != len(list) {
		t.Fatalf("%d blocks, %d listed", n, len(list))
	}
}

func TestTotalsAddUp(t *testing.T) {
	t.Parallel()
	f := frame(t, cart(t))
	r, err := Run(context.Background(), f, Options{})
	if err != nil {
		t.Fatal(err)
	}
	want, bySource := 0, make([]int, len(f.Lots))
	for _, b := range blocks(f, Universe{}.orDefault()) {
		if b.form == design.AsBuilt {
			want++
			bySource[b.source]++
			continue
		}
		hw := f.Lots[b.source].Hardware
		n := len(allCuts(b.groups, max(1, (hw.SlicesMin+b.abreast-1)/b.abreast), cell.SlicesLongest(&f.Lots[b.source].Slice, hw)/b.abreast, 40/b.strings))
		want += n
		bySource[b.source] += n
	}
	if r.Total != want || !slices.Equal(r.BySource, bySource) {
		t.Errorf("%d candidates, %v by source; enumerated %d, %v", r.Total, r.BySource, want, bySource)
	}
	alone := 0
	for _, x := range r.Falls {
		alone += x.Alone
		if x.Alone+x.Others > r.Total-r.Fits {
			t.Errorf("%s: %d alone and %d with others of %d that fell", x.Rule, x.Alone, x.Others, r.Total-r.Fits)
		}
	}
	if alone+r.Fits > r.Total || r.NotProven > r.Total {
		t.Errorf("%d fit, %d fell to one limit, of %d", r.Fits, alone, r.Total)
	}
}
