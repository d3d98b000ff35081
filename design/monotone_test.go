package design_test

import (
	"testing"

	"pgregory.net/rapid"

	"packyard/check/checktest"
	"packyard/design"
	"packyard/part"
	"packyard/unit"
)

// tightened returns the brief with one limit drawn and made stricter, and the
// rules that it is the limit of.
func tightened(t *rapid.T, b *design.Brief) *design.Brief {
	c := *b
	by := rapid.Float64Range(0.3, 0.999).Draw(t, "stricter by")
	mass := func(m *unit.Mass) {
		if *m == 0 {
			*m = 3000
		}
		*m *= unit.Mass(by)
	}
	inverter, charger, converter := *c.Drive.Inverter, *c.Drive.Charger, *c.Drive.Converter
	c.Drive.Inverter, c.Drive.Charger, c.Drive.Converter = &inverter, &charger, &converter
	narrow := func(x *part.Bands) {
		if rapid.Bool().Draw(t, "from above") {
			x.ReducedMax *= unit.Voltage(by)
			x.NeverExceed *= unit.Voltage(by)
		} else {
			x.ReducedMin /= unit.Voltage(by)
		}
	}
	// The demand of the schedule is worked out at the full function of the
	// inverter, which stays.
	switch rapid.IntRange(0, 13).Draw(t, "limit") {
	case 0:
		mass(&c.Donor.Ratings.GrossMass)
	case 1:
		mass(&c.Donor.Ratings.AxleFront)
	case 2:
		mass(&c.Donor.Ratings.AxleRear)
	case 3:
		mass(&c.Donor.Ratings.TyreRear)
	case 4:
		mass(&c.Targets.MassMax)
	case 5:
		c.Bays = append(c.Bays[:0:0], c.Bays...)
		mass(&c.Bays[rapid.IntRange(0, 2).Draw(t, "bay")].MassLimit)
	case 6:
		c.Targets.PriceMax *= by
	case 7:
		c.Targets.HandlingVoltage *= unit.Voltage(by)
	case 8:
		c.Targets.ChargeTime *= unit.Time(by)
	case 9:
		c.Targets.Range /= unit.Length(by)
		c.Targets.RangeEnd /= unit.Length(by)
	case 10:
		c.Sources = append(c.Sources[:0:0], c.Sources...)
		for i := range c.Sources {
			c.Sources[i].Count = int(float64(c.Sources[i].Count) * by)
		}
	case 11:
		narrow(&inverter.Bands)
	case 12:
		narrow(&charger.Bands)
		charger.StartMin /= unit.Voltage(by)
	case 13:
		narrow(&converter.Bands)
	}
	return &c
}

// drawPlain draws a brief, a candidate, what the bays hold of its modules, and
// a sharing of its modules among the bays.
func drawPlain(t *rapid.T) (*design.Brief, *design.Candidate, []*design.Room, [2]int, [][2]int) {
	b := van(t)
	b.Targets.Schedule = short()
	b.Targets.Range, b.Targets.RangeEnd = 8e3, 5e3
	f := frame(t, b)
	c := candidate(t, f, 10)
	m, _ := f.Modules(c)
	rooms := drawRooms(t, f, 6)
	var list [][][2]int
	splits(rooms, m.Count, func(n [][2]int) {
		if len(list) < 1000 {
			list = append(list, append([][2]int(nil), n...))
		}
	})
	if len(list) == 0 {
		t.Skip("not all modules go in")
	}
	return b, c, rooms, m.Count, list[rapid.IntRange(0, len(list)-1).Draw(t, "sharing")]
}

func TestAStricterLimitNeverImprovesADesign(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		b, c, rooms, _, count := drawPlain(t)
		values := func(b *design.Brief, best bool) design.Values {
			f := frame(t, b)
			m, err := f.Modules(c)
			if err != nil {
				t.Fatal(err)
			}
			w := f.Wire(c.Source, c.Form, c.Abreast, c.Strings, c.Cut.Groups())
			l := loadingOf(rooms, count)
			if best {
				l, _ = f.Load(&w, &m, design.NewRooms(rooms, [2]unit.Mass{m.Stack[0].Mass, m.Stack[1].Mass}))
			}
			var v design.Values
			f.Evaluate(&w, &m, &l, &v)
			return v
		}
		strict := tightened(t, b)
		before, after := values(b, false), values(strict, false)
		if gone := before.Broken() &^ after.Broken(); gone != 0 {
			t.Fatalf("a stricter limit mends %v", gone.Rules())
		}
		for _, r := range before.Asked.Rules() {
			if after.Violation(r) < before.Violation(r)-1e-12 {
				t.Fatalf("%s: violation %v falls to %v", r, before.Violation(r), after.Violation(r))
			}
		}
		// Shared anew, other limits may break than before, but not fewer of mass,
		// and none where one did.
		before, after = values(b, true), values(strict, true)
		if n, k := len((before.Broken() & massRules).Rules()), len((after.Broken() & massRules).Rules()); k < n {
			t.Fatalf("%d limits of mass broken, %d when one is stricter", n, k)
		}
		if before.Broken() != 0 && after.Broken() == 0 {
			t.Fatalf("breaks %v, and fits when a limit is stricter", before.Broken().Rules())
		}
	})
}

func TestHeavierNeverGainsMargin(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		b, c, rooms, _, count := drawPlain(t)
		f := frame(t, b)
		heavy := *b
		heavy.Build.FixedMass += unit.Mass(rapid.Float64Range(0.1, 200).Draw(t, "heavier by"))
		g := frame(t, &heavy)
		m, err := f.Modules(c)
		if err != nil {
			t.Fatal(err)
		}
		w, l := f.Wire(c.Source, c.Form, c.Abreast, c.Strings, c.Cut.Groups()), loadingOf(rooms, count)
		wg := g.Wire(c.Source, c.Form, c.Abreast, c.Strings, c.Cut.Groups())
		var before, after design.Values
		f.Evaluate(&w, &m, &l, &before)
		g.Evaluate(&wg, &m, &l, &after)
		x := 0.0
		for k := range m.Count {
			x += float64(m.Stack[k].Mass) * float64(l.Sum[k].X)
		}
		x /= float64(m.Count[0])*float64(m.Stack[0].Mass) + float64(m.Count[1])*float64(m.Stack[1].Mass)
		for _, r := range before.Asked.Rules() {
			// Mass behind the rear axle relieves the front one, and the other way round.
			if r == design.AxleFront && x > float64(b.Donor.Wheelbase) || r == design.AxleRear && x < 0 {
				continue
			}
			margin := func(v *design.Values) float64 {
				d := (v.Limit[r] - v.Value[r]) / v.Limit[r]
				if r.Info().Sense == design.AtLeast {
					d = -d
				}
				return d
			}
			if a, b := margin(&before), margin(&after); b > a+1e-12 {
				t.Fatalf("%s: margin %v grows to %v", r, a, b)
			}
		}
		if !before.Asked.Has(design.Climb) || !before.Asked.Has(design.RangeNew) {
			t.Fatal("climb and range are not asked for; this test is about them too")
		}
	})
}
