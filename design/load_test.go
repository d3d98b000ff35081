package design_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"packyard/check/checktest"
	"packyard/design"
	"packyard/schedule"
	"packyard/unit"
	"packyard/vehicle"
)

// massRules are the rules that sharing the modules among the bays decides.
const massRules design.Set = 1<<design.MassBattery | 1<<design.MassGross | 1<<design.AxleFront | 1<<design.AxleRear | 1<<design.BayMass

// grade is how good a loading is: fewer broken limits of mass, then fewer bays,
// then a larger worst margin.
type grade struct {
	broken, bays int
	margin       float64
}

func (a grade) before(b grade) bool {
	if a.broken != b.broken {
		return a.broken < b.broken
	}
	if a.bays != b.bays {
		return a.bays < b.bays
	}
	return a.margin > b.margin
}

// gradeOf works out every rule of mass from the brief: with nothing of Load.
func gradeOf(f *design.Frame, w *design.Wiring, m *design.Modules, l *design.Loading) grade {
	var v design.Values
	f.Evaluate(w, m, l, &v)
	g := grade{broken: len((v.Broken() & massRules).Rules()), margin: math.Inf(1)}
	for _, r := range (massRules & v.Asked).Rules() {
		margin := (v.Limit[r] - v.Value[r]) / v.Limit[r]
		g.margin = min(g.margin, margin)
	}
	for _, n := range l.Count {
		if n[0]+n[1] > 0 {
			g.bays++
		}
	}
	return g
}

// rooms draws what the bays hold: as bays do, fewer of the second length the
// more of the first.
func drawRooms(t *rapid.T, f *design.Frame, most int) []*design.Room {
	var out []*design.Room
	for i := range f.Brief.Bays {
		r := &design.Room{}
		centre := float64(f.Brief.Bays[i].At.X) + 0.3
		n, j := rapid.IntRange(0, most).Draw(t, "most of the first"), rapid.IntRange(0, most).Draw(t, "most of the second")
		for k := 0; k <= n; k++ {
			r.Placed = append(r.Placed, j)
			r.Bound = append(r.Bound, j+rapid.IntRange(0, 1).Draw(t, "not proven"))
			sums := make([]design.Sums, j+1)
			for s := range sums {
				at := func(count int) vehicle.Point {
					return vehicle.Point{X: unit.Length(float64(count) * (centre + rapid.Float64Range(-0.25, 0.25).Draw(t, "x")))}
				}
				sums[s] = design.Sums{at(k), at(s)}
			}
			r.Sum = append(r.Sum, sums)
			j = rapid.IntRange(max(0, j-2), j).Draw(t, "next of the second")
		}
		for k := len(r.Bound) - 1; k > 0; k-- {
			r.Bound[k-1] = max(r.Bound[k-1], r.Bound[k])
		}
		out = append(out, r)
	}
	return out
}

// splits calls do with every way of sharing need among the rooms.
func splits(rooms []*design.Room, need [2]int, do func(count [][2]int)) {
	count := make([][2]int, len(rooms))
	var from func(b int, left [2]int)
	from = func(b int, left [2]int) {
		if b == len(rooms) {
			if left == [2]int{} {
				do(count)
			}
			return
		}
		for i := 0; i <= left[0] && i < len(rooms[b].Placed); i++ {
			for j := 0; j <= left[1] && j <= rooms[b].Placed[i]; j++ {
				count[b] = [2]int{i, j}
				from(b+1, [2]int{left[0] - i, left[1] - j})
			}
		}
		count[b] = [2]int{}
	}
	from(0, need)
}

func loadingOf(rooms []*design.Room, count [][2]int) design.Loading {
	l := design.Loading{Count: append([][2]int(nil), count...), Known: true}
	for b, n := range count {
		s := rooms[b].Sum[n[0]][n[1]]
		for k := range s {
			l.Sum[k].X += s[k].X
		}
	}
	return l
}

// modulesFor returns modules of two lengths of the loose prismatic cells.
func modulesFor(t *rapid.T, f *design.Frame, need [2]int) (design.Wiring, design.Modules) {
	c := design.Candidate{Source: 2, Abreast: 1, Strings: 1}
	c.Cut[0].Groups = rapid.IntRange(5, 14).Draw(t, "groups of the first")
	c.Cut[1].Groups = rapid.IntRange(2, c.Cut[0].Groups-1).Draw(t, "groups of the second")
	c.Cut[0].Count, c.Cut[1].Count = need[0], need[1]
	m, err := f.Modules(&c)
	if err != nil {
		t.Fatal(err)
	}
	return f.Wire(2, design.Regrouped, 1, 1, c.Cut.Groups()), m
}

// drawLimits gives the van limits between which the loadings fall on both sides.
func drawLimits(t *rapid.T, b *design.Brief) {
	in := func(name string, lo, hi float64) unit.Mass {
		if rapid.IntRange(0, 3).Draw(t, name+" stated") == 0 {
			return 0
		}
		return unit.Mass(rapid.Float64Range(lo, hi).Draw(t, name))
	}
	b.Donor.Ratings = vehicle.Ratings{GrossMass: in("gross", 1700, 2100), AxleFront: in("front axle", 700, 950), AxleRear: in("rear axle", 900, 1150)}
	b.Targets.MassMax = in("pack", 100, 400)
	for i := range b.Bays {
		b.Bays[i].MassLimit = in("bay", 60, 260)
		b.Bays[i].BoxMass = unit.Mass(rapid.Float64Range(5, 40).Draw(t, "box"))
	}
}

func TestLoadIsTheBestOfAllSharings(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		b := van(t)
		b.Targets.Schedule = short()
		drawLimits(t, b)
		f := frame(t, b)
		rooms := drawRooms(t, f, 4)
		need := [2]int{rapid.IntRange(1, 6).Draw(t, "first"), rapid.IntRange(0, 6).Draw(t, "second")}
		w, m := modulesFor(t, f, need)
		best, any := grade{}, false
		splits(rooms, need, func(count [][2]int) {
			l := loadingOf(rooms, count)
			if g := gradeOf(f, &w, &m, &l); !any || g.before(best) {
				best, any = g, true
			}
		})
		r := design.NewRooms(rooms, [2]unit.Mass{m.Stack[0].Mass, m.Stack[1].Mass})
		l, proven := f.Load(&w, &m, r)
		if l.Known != any {
			t.Fatalf("Load knows a place for all: %v; enumeration: %v", l.Known, any)
		}
		if !any {
			checkStandIn(t, f, rooms, need, &l)
			if proven != boundBelow(rooms, need) {
				t.Fatalf("proven %v, but the bounds say %v", proven, !proven)
			}
			return
		}
		if !proven {
			t.Fatal("not proven, though all have a place")
		}
		checkHeld(t, rooms, need, &l)
		got := gradeOf(f, &w, &m, &l)
		if got.broken != best.broken || got.bays != best.bays || got.margin < best.margin-0.01-1e-9 || got.margin > best.margin+1e-9 {
			t.Fatalf("Load gives %+v by %v; the best of all is %+v", got, l.Count, best)
		}
	})
}

// boundBelow reports whether the bounds of the rooms forbid the need, by
// enumeration.
func boundBelow(rooms []*design.Room, need [2]int) bool {
	wide := make([]*design.Room, len(rooms))
	for i, r := range rooms {
		wide[i] = &design.Room{Placed: r.Bound}
	}
	below := true
	splits(wide, need, func([][2]int) { below = false })
	return below
}

// checkHeld fails when a loading is not one of the rooms.
func checkHeld(t *rapid.T, rooms []*design.Room, need [2]int, l *design.Loading) {
	var sum [2]int
	for b, n := range l.Count {
		if n[0] >= len(rooms[b].Placed) || n[1] > rooms[b].Placed[n[0]] {
			t.Fatalf("bay %d is given %v, which it does not hold", b, n)
		}
		sum[0], sum[1] = sum[0]+n[0], sum[1]+n[1]
	}
	if sum[0]+sum[1]+l.Short != need[0]+need[1] || sum[0] > need[0] || sum[1] > need[1] {
		t.Fatalf("%v placed and %d short of %v", sum, l.Short, need)
	}
	want := loadingOf(rooms, l.Count)
	if l.Short == 0 && math.Abs(float64(l.Sum[0].X-want.Sum[0].X))+math.Abs(float64(l.Sum[1].X-want.Sum[1].X)) > 1e-9 {
		t.Fatalf("centres %v, want %v", l.Sum, want.Sum)
	}
}

// checkStandIn fails when fewer modules have a place than can have one.
func checkStandIn(t *rapid.T, f *design.Frame, rooms []*design.Room, need [2]int, l *design.Loading) {
	checkHeld(t, rooms, need, l)
	most := 0
	for i := 0; i <= need[0]; i++ {
		for j := 0; j <= need[1]; j++ {
			splits(rooms, [2]int{i, j}, func([][2]int) { most = max(most, i+j) })
		}
	}
	if l.Short != need[0]+need[1]-most {
		t.Fatalf("%d of %v short, but %d have a place", l.Short, need, most)
	}
}

func TestLoadBreakingBreaksTheLeast(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		b := van(t)
		b.Targets.Schedule = short()
		drawLimits(t, b)
		f := frame(t, b)
		rooms := drawRooms(t, f, 4)
		need := [2]int{rapid.IntRange(1, 6).Draw(t, "first"), rapid.IntRange(0, 6).Draw(t, "second")}
		w, m := modulesFor(t, f, need)
		bays := rapid.IntRange(1, 3).Draw(t, "bays")
		list := massRules.Rules()
		allowed := design.Set(1) << list[rapid.IntRange(0, len(list)-1).Draw(t, "rule")]
		if rapid.Bool().Draw(t, "all rules") {
			allowed = massRules
		}
		violation := func(l *design.Loading) (float64, bool) {
			var v design.Values
			f.Evaluate(&w, &m, l, &v)
			worst := 0.0
			for _, r := range allowed.Rules() {
				worst = max(worst, v.Violation(r))
			}
			return worst, v.Broken()&massRules&^allowed == 0
		}
		best := math.Inf(1)
		splits(rooms, need, func(count [][2]int) {
			l := loadingOf(rooms, count)
			if x, ok := violation(&l); ok && gradeOf(f, &w, &m, &l).bays <= bays {
				best = min(best, x)
			}
		})
		r := design.NewRooms(rooms, [2]unit.Mass{m.Stack[0].Mass, m.Stack[1].Mass})
		l, found := f.LoadBreaking(&w, &m, r, allowed, bays)
		if found != !math.IsInf(best, 1) {
			t.Fatalf("found %v, enumeration %v", found, best)
		}
		if !found {
			return
		}
		checkHeld(t, rooms, need, &l)
		got, ok := violation(&l)
		if !ok || got > best+1.1e-6 || got < best-1e-9 || gradeOf(f, &w, &m, &l).bays > bays {
			t.Fatalf("breaks by %v (only what is allowed: %v), the least is %v", got, ok, best)
		}
	})
}

// short is a schedule of half a minute, for frames that are made by the hundred.
func short() *schedule.Schedule {
	s := &schedule.Schedule{ID: "short", Title: "up and down", Source: "made up"}
	for i := range 31 {
		s.Time = append(s.Time, float64(i))
		s.Speed = append(s.Speed, float64(min(i, 30-i)))
	}
	return s
}
