package search

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"packyard/bay"
	"packyard/check/checktest"
	"packyard/design"
)

func TestEveryPlaceOfEveryOptionPassesTheIndependentChecker(t *testing.T) {
	checktest.Long(t)
	t.Parallel()
	for _, b := range []*design.Brief{truck(t), cart(t)} {
		f := frame(t, b)
		_, r := searched(t, f, Options{Universe: Universe{Modules: 9}})
		list := append(append([]Option(nil), r.Packs...), r.Pareto...)
		for _, m := range r.Misses {
			list = append(list, m.Option)
		}
		if len(list) < 10 {
			t.Fatalf("%d options; too few", len(list))
		}
		for k := range list {
			o := &list[k]
			placed := [2]int{}
			for i := range b.Bays {
				verified(t, &b.Bays[i], o, i)
				n := o.Loading.Count[i]
				if len(o.Places[i]) != n[0]+n[1] {
					t.Errorf("%s, bay %s: %d places for %v", o.ID, b.Bays[i].Name, len(o.Places[i]), n)
				}
				placed[0], placed[1] = placed[0]+n[0], placed[1]+n[1]
			}
			if placed[0]+placed[1]+o.Loading.Short != o.Modules.Count[0]+o.Modules.Count[1] {
				t.Errorf("%s: %v placed, %d short of %v", o.ID, placed, o.Loading.Short, o.Modules.Count)
			}
			if o.Values.Broken() == 0 && o.Loading.Short > 0 {
				t.Errorf("%s fits with %d modules short", o.ID, o.Loading.Short)
			}
		}
	}
}

// TestEverySurveyedRoomStands takes any number that a room says it holds.
func TestEverySurveyedRoomStands(t *testing.T) {
	t.Parallel()
	f := frame(t, truck(t))
	s := newFinder(f, Options{})
	if err := s.survey(context.Background()); err != nil {
		t.Fatal(err)
	}
	lot := lotKey{0, design.Regrouped}
	kind := s.placer.kindOf(lot)
	checktest.Check(t, func(t *rapid.T) {
		i := rapid.IntRange(0, len(f.Brief.Bays)-1).Draw(t, "bay")
		sh := s.placer.shelves[lot][i]
		long := rapid.IntRange(3, 14).Draw(t, "long")
		short := rapid.IntRange(2, long-1).Draw(t, "short")
		pair := [2]int{long, short}
		r := sh.pairs[pair]
		if r == nil {
			t.Skip("never built")
		}
		n := rapid.IntRange(0, len(r.Placed)-1).Draw(t, "of the long")
		m := rapid.IntRange(0, r.Placed[n]).Draw(t, "of the short")
		kinds := []bay.Kind{kind(long), kind(short)}
		kinds[0].Count, kinds[1].Count = n, m
		free := f.Brief.Bays[i]
		free.MassLimit = 0
		places := sh.in(pair, [2]int{n, m}, false)
		if err := bay.Verify(&free, kinds, places); err != nil {
			t.Fatalf("%d of %d and %d of %d slices in bay %d: %v", n, long, m, short, i, err)
		}
		var sum design.Sums
		for _, p := range places {
			at := free.ToVehicle(bay.Vec{X: p.Box.At.X + p.Box.Size.X/2, Y: p.Box.At.Y + p.Box.Size.Y/2, Z: p.Box.At.Z + p.Box.Size.Z/2})
			sum[p.Kind].X += at.X
			sum[p.Kind].Y += at.Y
		}
		for k := range sum {
			if d := sum[k].X - r.Sum[n][m][k].X; d > 1e-9 || d < -1e-9 {
				t.Fatalf("centres add up to %v, the room says %v", sum[k].X, r.Sum[n][m][k].X)
			}
		}
		if r.Bound[n] < r.Placed[n] {
			t.Fatalf("%d placed, at most %d", r.Placed[n], r.Bound[n])
		}
	})
}

// TestFindWorksOutWhatTheSearchListed: by name alone, with nothing of the
// search, the second look at space included.
func TestFindWorksOutWhatTheSearchListed(t *testing.T) {
	t.Parallel()
	for seed := range uint64(4) {
		b := cart(t)
		if seed == 3 {
			b = truck(t)
		} else {
			drawn(b, rand.New(rand.NewPCG(seed, 5)))
		}
		f := frame(t, b)
		_, r := searched(t, f, Options{Universe: Universe{Modules: 6}})
		list := append(append([]Option(nil), r.Packs...), r.Pareto...)
		for i := range list {
			want := &list[i]
			got, err := Find(f, want.ID)
			if err != nil {
				t.Fatal(err)
			}
			if d := cmp.Diff([]any{want.Loading.Count, want.Places, want.Figures}, []any{got.Loading.Count, got.Places, got.Figures}); d != "" {
				t.Errorf("seed %d, %s: by search (-) and by name (+):\n%s", seed, want.ID, d)
			}
			if got.Values.Value != want.Values.Value || got.Values.Broken() != want.Values.Broken() {
				t.Errorf("seed %d, %s: values differ: %v, %v", seed, want.ID, want.Values.Value, got.Values.Value)
			}
		}
	}
}

// hard is a bay with steps and keep-outs, in which the first look at space
// leaves much open.
func hard(t testing.TB) *design.Brief {
	b := cart(t)
	b.Bays[0].Boxes = []bay.Box{
		{Size: bay.Vec{X: 0.5, Y: 0.7, Z: 0.26}},
		{At: bay.Vec{X: 0.5, Y: 0.12, Z: 0}, Size: bay.Vec{X: 0.23, Y: 0.45, Z: 0.26}},
	}
	b.Bays[0].KeepOuts = []bay.Box{{At: bay.Vec{X: 0.1, Y: 0.1, Z: 0}, Size: bay.Vec{X: 0.1, Y: 0.09, Z: 0.26}}}
	b.Bays[0].MassLimit, b.Bays[1].MassLimit = 0, 0
	b.Bays = b.Bays[:1]
	b.Targets.Range, b.Targets.RangeEnd, b.Targets.MassMax = 0, 0, 0
	b.Donor.Ratings.GrossMass, b.Donor.Ratings.AxleFront, b.Donor.Ratings.AxleRear = 0, 0, 0
	b.Targets.Grade, b.Targets.HandlingVoltage = 0, 0
	return b
}

// TestTheSecondLookOnlySettles: what it decides agrees with the solver given
// far more work, and what was settled before stays.
func TestTheSecondLookOnlySettles(t *testing.T) {
	checktest.Long(t)
	t.Parallel()
	f := frame(t, hard(t))
	o := Options{Universe: Universe{Modules: 10}}
	first := newFinder(f, o)
	ctx := context.Background()
	if err := first.survey(ctx); err != nil {
		t.Fatal(err)
	}
	for i := range first.blocks {
		first.found[i] = first.quickBlock(i)
	}
	before := first.tally()
	s, after := searched(t, f, o)
	if before.NotProven == 0 || after.NotProven >= before.NotProven {
		t.Fatalf("%d not proven at first, %d at the end: nothing to see here", before.NotProven, after.NotProven)
	}
	if after.Total != before.Total {
		t.Errorf("%d candidates, %d before the second look", after.Total, before.Total)
	}
	settled, free := 0, f.Brief.Bays[0]
	free.MassLimit = 0
	for lot, shelves := range s.placer.shelves {
		sh := shelves[0]
		for pair, d := range sh.deep {
			if pair[1] == 0 {
				continue
			}
			kinds := []bay.Kind{s.placer.kindOf(lot)(pair[0]), s.placer.kindOf(lot)(pair[1])}
			for i, n := range d.room.Placed {
				was := sh.pairs[pair]
				if n < was.Placed[i] || d.room.Bound[i] > was.Bound[i] || n > d.room.Bound[i] {
					t.Fatalf("%v beside %d: %d to %d, before %d to %d", pair, i, n, d.room.Bound[i], was.Placed[i], was.Bound[i])
				}
				if n == was.Placed[i] && d.room.Bound[i] == was.Bound[i] {
					continue
				}
				settled++
				kinds[0].Count, kinds[1].Count = i, n
				if err := bay.Verify(&free, kinds, sh.in(pair, [2]int{i, n}, true)); err != nil {
					t.Errorf("%v, %d and %d: %v", pair, i, n, err)
				}
				if d.room.Bound[i] < was.Bound[i] && settled%5 == 0 {
					kinds[1].Count = d.room.Bound[i] + 1
					if a := bay.Place(&free, kinds, bay.Options{Nodes: 20000}); a.Verdict == bay.Fits {
						t.Errorf("%v: %d and %d fit, though disproven", pair, i, kinds[1].Count)
					}
				}
			}
		}
	}
	if settled == 0 {
		t.Error("the second look settled nothing")
	}
	t.Logf("%d not proven, then %d; %d numbers settled", before.NotProven, after.NotProven, settled)
}

// TestModulesWithoutAPlaceAreWeighed: an option that does not go in is assessed
// with all of its mass.
func TestModulesWithoutAPlaceAreWeighed(t *testing.T) {
	t.Parallel()
	f := frame(t, cart(t))
	short := 0
	for _, id := range []string{"lfp/48S6P/12x4S", "lfp/40S9P/10x3S+5x2S", "lfp/2x40S6P/8x4S+4x2S"} {
		o, err := Find(f, id)
		if err != nil {
			t.Fatal(err)
		}
		if o.Loading.Short == 0 {
			continue
		}
		short++
		a := f.Assess(Place(f, o))
		gross, front, rear := 0.0, 0.0, 0.0
		for _, s := range a.Vehicle[1:] {
			gross, front, rear = max(gross, float64(s.Mass)), max(front, float64(s.AxleFront)), max(rear, float64(s.AxleRear))
		}
		for rule, got := range map[design.Rule]float64{design.MassGross: gross, design.AxleFront: front, design.AxleRear: rear} {
			if want := o.Values.Value[rule]; math.Abs(got-want) > 1e-9*want {
				t.Errorf("%s, %d modules short: %s is %v kg in the assessment, %v kg for the search", id, o.Loading.Short, rule, got, want)
			}
		}
	}
	if short == 0 {
		t.Error("all modules of all options have a place: choose others")
	}
}
