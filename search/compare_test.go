package search

import (
	"context"
	"math"
	"slices"
	"sort"
	"testing"

	"packyard/cell"
	"packyard/design"
)

// searched runs a search and keeps what it found on the way.
func searched(t *testing.T, f *design.Frame, o Options) (*finder, *Result) {
	t.Helper()
	s := newFinder(f, o)
	r, err := s.search(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return s, r
}

// variants are briefs of the cart whose limits fall between its candidates in
// different ways.
var variants = []struct {
	name   string
	change func(b *design.Brief)
}{
	{"as it is", func(*design.Brief) {}},
	{"ranges between the cuts of a pack", func(b *design.Brief) { b.Targets.Range, b.Targets.RangeEnd = 60.5e3, 43.3e3 }},
	{"no range wanted, light", func(b *design.Brief) {
		b.Targets.Range, b.Targets.RangeEnd, b.Targets.MassMax, b.Donor.Ratings.GrossMass = 0, 0, 88, 890
	}},
	{"far at the end of life only, dear", func(b *design.Brief) {
		b.Targets.Range, b.Targets.RangeEnd, b.Targets.PriceMax, b.Build.PricePerBay = 0, 40e3, 2300, 210
	}},
	{"nothing fits", func(b *design.Brief) {
		b.Targets.Range, b.Targets.PriceMax, b.Donor.Ratings.AxleRear = 75e3, 1900, 480
	}},
}

func TestSearchEqualsWorkingEveryCandidateOut(t *testing.T) {
	t.Parallel()
	for _, v := range variants {
		t.Run(v.name, func(t *testing.T) {
			t.Parallel()
			b := cart(t)
			v.change(b)
			f := frame(t, b)
			s, r := searched(t, f, Options{Universe: small, Top: 1000})
			p := &plain{t: t, f: f, b: b, s: s, spaces: map[spaceKey]bool{}, tables: map[tableKey]*cell.Table{}}
			var all []plainOption
			cans := map[string]design.Candidate{}
			p.each(small, func(c design.Candidate) {
				o := p.option(c)
				if _, twice := cans[o.id]; twice {
					t.Fatalf("%s is enumerated twice", o.id)
				}
				cans[o.id] = c
				all = append(all, o)
			})
			if len(all) != r.Total || r.Total < 1000 {
				t.Fatalf("%d candidates, enumerated %d", r.Total, len(all))
			}
			sameFits(t, s, all)
			sameFalls(t, r, all)
			samePacks(t, r, all)
			p.sameMisses(r, all, cans)
		})
	}
}

func sameFits(t *testing.T, s *finder, all []plainOption) {
	t.Helper()
	want := map[string]bool{}
	for i := range all {
		if all[i].set == 0 {
			want[all[i].id] = true
		}
	}
	n := 0
	for i := range s.found {
		for k := range s.found[i].fits {
			b := s.blocks[i]
			id := s.f.ID(&design.Candidate{Source: b.source, Form: b.form, Abreast: b.abreast, Strings: b.strings, Cut: s.found[i].fits[k].cut})
			if n++; !want[id] {
				t.Errorf("%s fits for the search only", id)
			}
		}
	}
	if n != len(want) {
		t.Errorf("%d fit, worked out %d", n, len(want))
	}
}

func sameFalls(t *testing.T, r *Result, all []plainOption) {
	t.Helper()
	got := map[design.Rule]Fall{}
	for _, x := range r.Falls {
		got[x.Rule] = x
	}
	for rule := range design.RuleCount {
		var want Fall
		for i := range all {
			switch set := all[i].set; {
			case set == 1<<rule:
				want.Alone++
			case set.Has(rule):
				want.Others++
			}
		}
		g := got[rule]
		// What breaks two limits besides is not run: for a range, with others counts
		// what the bound disproves.
		ranged := rule == design.RangeNew || rule == design.RangeEnd
		if g.Alone != want.Alone || !ranged && g.Others != want.Others || ranged && g.Others < want.Others {
			t.Errorf("%s: %d fell alone, %d with others; worked out %d and %d", rule, g.Alone, g.Others, want.Alone, want.Others)
		}
	}
}

// samePacks picks the best cut of each pack by the stated rule, and compares
// the ranking.
func samePacks(t *testing.T, r *Result, all []plainOption) {
	t.Helper()
	packs := map[string][]plainOption{}
	for _, o := range all {
		if o.set == 0 {
			packs[o.pack] = append(packs[o.pack], o)
		}
	}
	var best []plainOption
	for _, list := range packs {
		lightest := math.Inf(1)
		for _, o := range list {
			lightest = min(lightest, o.test)
		}
		list = slices.DeleteFunc(list, func(o plainOption) bool { return o.test > lightest*1.004 })
		sort.Slice(list, func(i, j int) bool {
			a, b := list[i], list[j]
			if x, y := math.Floor(a.margin*100), math.Floor(b.margin*100); x != y {
				return x > y
			}
			if a.modules != b.modules {
				return a.modules < b.modules
			}
			if math.Abs(a.mass-b.mass) > 1e-9 {
				return a.mass < b.mass
			}
			return a.margin > b.margin
		})
		best = append(best, list[0])
	}
	if len(best) != r.PackCount || len(best) != len(r.Packs) {
		t.Fatalf("%d packs fit, %d listed; worked out %d", r.PackCount, len(r.Packs), len(best))
	}
	sort.Slice(best, func(i, j int) bool { return best[i].distance > best[j].distance })
	for i := range best {
		g := &r.Packs[i]
		if math.Abs(float64(g.Figures.Range)-best[i].distance) > 1e-6*best[i].distance {
			t.Errorf("rank %d: %s goes %v m; worked out %s, %v m", i+1, g.ID, g.Figures.Range, best[i].id, best[i].distance)
		}
		w, _ := g.Values.Worst()
		if g.ID != best[i].id && (math.Abs(w-best[i].margin) > 1e-9 || math.Abs(float64(g.Figures.Mass)-best[i].mass) > 1e-9) {
			t.Errorf("rank %d: %s leads its pack; worked out %s", i+1, g.ID, best[i].id)
		}
		if math.Abs(g.Figures.Price-best[i].price) > 1e-9 || g.Cuts != len(packs[best[i].pack]) {
			t.Errorf("rank %d: price %v, %d cuts; worked out %v, %d", i+1, g.Figures.Price, g.Cuts, best[i].price, len(packs[best[i].pack]))
		}
	}
}

// sameMisses finds the nearest miss of every limit but space among packs of
// which no cut fits.
func (p *plain) sameMisses(r *Result, all []plainOption, cans map[string]design.Candidate) {
	fitting := map[string]bool{}
	for _, o := range all {
		if o.set == 0 {
			fitting[o.pack] = true
		}
	}
	least := map[design.Rule]float64{}
	note := func(rule design.Rule, miss float64) {
		if have, any := least[rule]; !any || miss < have {
			least[rule] = miss
		}
	}
	for _, o := range all {
		if fitting[o.pack] {
			continue
		}
		if o.set&(o.set-1) == 0 && o.set&massRules == 0 {
			note(o.set.Rules()[0], o.values.Violation(o.set.Rules()[0]))
		}
		// Supply, space, handling and full voltages are the same however modules
		// are shared.
		if fixed := design.Set(1<<design.Supply | 1<<design.Space | 1<<design.Handling | 1<<design.InverterFull | 1<<design.ChargerFull | 1<<design.ChargerStart); o.set&fixed == 0 {
			p.otherSharings(cans[o.id], note)
		}
	}
	got := map[design.Rule]float64{}
	for _, m := range r.Misses {
		if len(m.Limits) != 1 || m.Option.Values.Broken() != 1<<m.Limits[0].Rule {
			p.t.Errorf("the miss %s breaks %v", m.Option.ID, m.Option.Values.Broken().Rules())
		}
		got[m.Limits[0].Rule] = m.Limits[0].Share
	}
	for rule := range design.RuleCount {
		want, any := least[rule]
		have, found := got[rule]
		// 1.1e-6: to which sharings are told apart. Powers are read from a grid of
		// masses, with an error below 1e-4.
		tol := 1.1e-6
		if b := rule.Info().Budget; b == "current" || b == "voltage" {
			tol = 1e-4
		}
		if rule != design.Space && (any != found || math.Abs(have-want) > tol) {
			p.t.Errorf("%s: nearest miss by %v (%v); worked out %v (%v)", rule, have, found, want, any)
		}
	}
	if (r.Joint != nil) != (r.Fits == 0 && len(r.Misses) == 0) {
		p.t.Errorf("joint miss %v with %d that fit and %d misses", r.Joint, r.Fits, len(r.Misses))
	}
}

// otherSharings notes, for every sharing of a candidate's modules between the
// two bays that breaks one limit of mass alone, by how much, when both ranges
// are reached.
func (p *plain) otherSharings(c design.Candidate, note func(design.Rule, float64)) {
	m, _ := p.f.Modules(&c)
	w := p.f.Wire(c.Source, c.Form, c.Abreast, c.Strings, c.Cut.Groups())
	shelves := p.s.placer.shelves[lotKey{c.Source, c.Form}]
	a, b := shelves[0].pairs[slicesOf(&m)], shelves[1].pairs[slicesOf(&m)]
	run := &runner{s: p.s}
	for i := range a.Placed {
		for j := range a.Placed[i] + 1 {
			k := [2]int{m.Count[0] - i, m.Count[1] - j}
			if k[0] < 0 || k[1] < 0 || k[0] >= len(b.Placed) || k[1] > b.Placed[k[0]] {
				continue
			}
			l := design.Loading{Count: [][2]int{{i, j}, k}}
			for x := range l.Sum {
				l.Sum[x].X = a.Sum[i][j][x].X + b.Sum[k[0]][k[1]][x].X
			}
			var v design.Values
			g := p.f.Evaluate(&w, &m, &l, &v)
			set := v.Broken()
			if set&(set-1) != 0 || set&massRules == 0 {
				continue
			}
			reached := true
			for end, need := range map[bool]float64{false: float64(p.b.Targets.Range), true: float64(p.b.Targets.RangeEnd)} {
				if need > 0 {
					res, err := run.complete(&w, &g, end)
					if err != nil {
						p.t.Fatal(err)
					}
					reached = reached && float64(res.Distance) >= need
				}
			}
			if reached {
				note(set.Rules()[0], v.Violation(set.Rules()[0]))
			}
		}
	}
}
