package search

import (
	"math/rand/v2"
	"slices"
	"testing"

	"packyard/bay"
	"packyard/check/checktest"
	"packyard/design"
	"packyard/part"
	"packyard/unit"
)

// relax returns the brief with the limit of one rule moved to the given value,
// nil for limits that are not the brief's to move.
func relax(b *design.Brief, l *Relaxed, to float64) *design.Brief {
	c := *b
	c.Bays, c.Sources = slices.Clone(b.Bays), slices.Clone(b.Sources)
	inverter, charger := *b.Drive.Inverter, *b.Drive.Charger
	c.Drive.Inverter, c.Drive.Charger = &inverter, &charger
	top := func(x *part.Bands) { x.ReducedMax, x.NeverExceed = unit.Voltage(to), unit.Voltage(to) }
	switch l.Rule {
	case design.InverterFull:
		top(&inverter.Bands)
	case design.InverterLowest:
		inverter.Bands.ReducedMin = unit.Voltage(to)
	case design.ChargerFull:
		top(&charger.Bands)
	case design.ChargerStart:
		charger.StartMin = unit.Voltage(to)
	case design.MassBattery:
		c.Targets.MassMax = unit.Mass(to)
	case design.MassGross:
		c.Donor.Ratings.GrossMass = unit.Mass(to)
	case design.AxleFront:
		c.Donor.Ratings.AxleFront = unit.Mass(to)
	case design.AxleRear:
		c.Donor.Ratings.AxleRear = unit.Mass(to)
	case design.BayMass:
		for i := range c.Bays {
			if float64(c.Bays[i].MassLimit) == l.Limit {
				c.Bays[i].MassLimit = unit.Mass(to)
			}
		}
	case design.Money:
		c.Targets.PriceMax = to
	case design.Handling:
		c.Targets.HandlingVoltage = unit.Voltage(to)
	case design.ChargeTime:
		c.Targets.ChargeTime = unit.Time(to)
	case design.RangeNew:
		c.Targets.Range = unit.Length(to)
	case design.RangeEnd:
		c.Targets.RangeEnd = unit.Length(to)
	default:
		return nil
	}
	return &c
}

// packsOf returns the packs that fit.
func packsOf(s *finder) []string {
	var out []string
	for i, b := range s.blocks {
		if len(s.found[i].fits) > 0 {
			out = append(out, s.f.Brief.Sources[b.source].Name+s.found[i].wiring.Topology.String()+string(rune('0'+b.form)))
		}
	}
	slices.Sort(out)
	return out
}

func TestRelaxingAsStatedLetsTheMissThroughAndLessDoesNot(t *testing.T) {
	checktest.Long(t)
	t.Parallel()
	seen := map[design.Rule]bool{}
	o := Options{Universe: small}
	for seed := range uint64(9) {
		b := cart(t)
		if int(seed) < len(variants) {
			variants[seed].change(b)
		} else {
			drawn(b, rand.New(rand.NewPCG(seed, 3)))
		}
		s, r := searched(t, frame(t, b), o)
		before := packsOf(s)
		for i := range r.Misses {
			m := &r.Misses[i]
			l := m.Limits[0]
			// Rounding of the moved limit.
			hair := 1e-9 * (l.Value - l.Limit)
			wide := relax(b, &l, l.Value+hair)
			if wide == nil {
				continue
			}
			seen[l.Rule] = true
			got, err := Find(frame(t, wide), m.Option.ID)
			if err != nil || got.Values.Broken() != 0 {
				t.Errorf("seed %d: %s moved from %v to %v: %s still breaks %v (%v)", seed, l.Rule, l.Limit, l.Value, m.Option.ID, got.Values.Broken().Rules(), err)
			}
			// By 0.1 % and 2e-6 of the limit less.
			near := relax(b, &l, l.Value-1e-3*(l.Value-l.Limit)-sign(l.Value-l.Limit)*2e-6*l.Limit)
			if l.Share < 1e-5 {
				continue
			}
			again, _ := searched(t, frame(t, near), o)
			for _, pack := range packsOf(again) {
				if !slices.Contains(before, pack) {
					t.Errorf("seed %d: %s moved by a little less than to %v, from %v: pack %s fits", seed, l.Rule, l.Value, l.Limit, pack)
				}
			}
		}
	}
	for _, r := range []design.Rule{design.InverterLowest, design.MassBattery, design.MassGross, design.AxleRear, design.BayMass, design.Money, design.RangeNew, design.RangeEnd} {
		if !seen[r] {
			t.Errorf("no miss of %s: it is not tested", r)
		}
	}
}

func sign(x float64) float64 {
	if x < 0 {
		return -1
	}
	return 1
}

func TestJointMissIsTheSmallestRelaxationOfAll(t *testing.T) {
	t.Parallel()
	b := cart(t)
	b.Targets.Range, b.Targets.RangeEnd, b.Targets.PriceMax, b.Targets.MassMax = 80e3, 60e3, 1700, 60
	b.Donor.Ratings.GrossMass, b.Donor.Ratings.AxleRear = 850, 440
	o := Options{Universe: small}
	_, r := searched(t, frame(t, b), o)
	if r.Joint == nil || len(r.Joint.Limits) < 2 || r.Fits > 0 || len(r.Misses) > 0 {
		t.Fatalf("joint miss %+v, %d fit, %d misses", r.Joint, r.Fits, len(r.Misses))
	}
	worst, wide := 0.0, b
	for i := range r.Joint.Limits {
		l := &r.Joint.Limits[i]
		worst = max(worst, l.Share)
		if wide = relax(wide, l, l.Value+1e-9*(l.Value-l.Limit)); wide == nil {
			t.Fatalf("%s cannot be moved", l.Rule)
		}
	}
	if got, err := Find(frame(t, wide), r.Joint.Option.ID); err != nil || got.Values.Broken() != 0 {
		t.Errorf("%s still breaks %v (%v)", r.Joint.Option.ID, got.Values.Broken().Rules(), err)
	}
	// Every limit moved by a little less than that share: nothing fits.
	share := worst*(1-1e-3) - 2e-6
	near := *b
	up, down := 1+share, 1-share
	near.Bays = slices.Clone(b.Bays)
	for i := range near.Bays {
		near.Bays[i].MassLimit *= unit.Mass(up)
	}
	inverter, charger := *b.Drive.Inverter, *b.Drive.Charger
	near.Drive.Inverter, near.Drive.Charger = &inverter, &charger
	for _, x := range []*part.Bands{&inverter.Bands, &charger.Bands} {
		x.ReducedMax, x.NeverExceed, x.ReducedMin = x.ReducedMax*unit.Voltage(up), x.NeverExceed*unit.Voltage(up), x.ReducedMin*unit.Voltage(down)
	}
	charger.StartMin *= unit.Voltage(down)
	n := &near.Targets
	n.PriceMax, n.MassMax, n.HandlingVoltage, n.ChargeTime = n.PriceMax*up, n.MassMax*unit.Mass(up), n.HandlingVoltage*unit.Voltage(up), n.ChargeTime*unit.Time(up)
	n.Range, n.RangeEnd = n.Range*unit.Length(down), n.RangeEnd*unit.Length(down)
	g := &near.Donor.Ratings
	g.GrossMass, g.AxleFront, g.AxleRear = g.GrossMass*unit.Mass(up), g.AxleFront*unit.Mass(up), g.AxleRear*unit.Mass(up)
	if _, again := searched(t, frame(t, &near), o); again.Fits > 0 {
		t.Errorf("with every limit moved by %.4f, less than %.4f, %d fit, first %s", share, worst, again.Fits, again.Packs[0].ID)
	}
	// What is one piece or one module more cannot be moved by a part of it.
	for _, l := range r.Joint.Limits {
		if l.Rule == design.Space || l.Rule == design.Supply {
			t.Errorf("%s among the limits: choose a brief without", l.Rule)
		}
	}
}

func TestGrowingTheBayAsStatedMakesTheOptionFit(t *testing.T) {
	checktest.Long(t)
	t.Parallel()
	grown := 0
	for seed := range uint64(6) {
		b := cart(t)
		r := rand.New(rand.NewPCG(seed, 4))
		for i := range b.Bays {
			size := &b.Bays[i].Boxes[0].Size
			size.X *= unit.Length(0.55 + 0.3*r.Float64())
			size.Y *= unit.Length(0.7 + 0.3*r.Float64())
			b.Bays[i].MassLimit = 0
		}
		b.Donor.Ratings.AxleRear, b.Targets.MassMax = 560, 0
		_, found := searched(t, frame(t, b), Options{Universe: Universe{Modules: 5}})
		for i := range found.Misses {
			m := &found.Misses[i]
			if m.Growth == nil {
				continue
			}
			grown++
			growingHelps(t, b, m)
		}
	}
	if grown < 3 {
		t.Errorf("%d misses of space with a bay to grow; too few to test", grown)
	}
}

// growingHelps grows the bay of a miss in a brief that has room in all else: as
// stated the option fits, by one step less it does not.
func growingHelps(t *testing.T, b *design.Brief, m *Miss) {
	t.Helper()
	for less, fits := range map[unit.Length]bool{0: true, growthStep: false} {
		wide := *b
		wide.Bays = slices.Clone(b.Bays)
		g := &wide.Bays[m.Growth.Bay]
		g.Boxes = slices.Clone(g.Boxes)
		edge := []*unit.Length{&g.Boxes[0].Size.X, &g.Boxes[0].Size.Y, &g.Boxes[0].Size.Z}[m.Growth.Axis]
		*edge += m.Growth.By - less
		got, err := Find(frame(t, &wide), m.Option.ID)
		if err != nil {
			t.Fatal(err)
		}
		if (got.Values.Broken() == 0) != fits {
			t.Errorf("%s grown along %d by %v m: %s breaks %v", g.Name, m.Growth.Axis, m.Growth.By-less, m.Option.ID, got.Values.Broken().Rules())
		}
		for k := range got.Places {
			verified(t, &wide.Bays[k], got, k)
		}
	}
}

// TestJointMissSaysHowFarABayMustGrow moves the limits of a joint miss that is
// short of space, and grows the bay, as stated.
func TestJointMissSaysHowFarABayMustGrow(t *testing.T) {
	t.Parallel()
	grown := 0
	for seed := range uint64(4) {
		b := cart(t)
		r := rand.New(rand.NewPCG(seed, 5))
		for i := range b.Bays {
			b.Bays[i].Boxes[0].Size.X *= unit.Length(0.35 + 0.2*r.Float64())
			b.Bays[i].Boxes[0].Size.Y *= 0.8
			b.Bays[i].MassLimit = 0
		}
		b.Targets.Range, b.Targets.RangeEnd, b.Targets.PriceMax, b.Targets.MassMax = 75e3, 55e3, 2400, 100
		_, found := searched(t, frame(t, b), Options{Universe: Universe{Modules: 5}})
		m := found.Joint
		if m == nil || m.Growth == nil {
			continue
		}
		grown++
		wide := b
		for i := range m.Limits {
			l := &m.Limits[i]
			if l.Rule == design.Space {
				continue
			}
			if wide = relax(wide, l, l.Value+1e-9*(l.Value-l.Limit)); wide == nil {
				t.Fatalf("%s cannot be moved", l.Rule)
			}
		}
		if len(m.Limits) < 2 {
			t.Errorf("seed %d: a joint miss of %d limits", seed, len(m.Limits))
		}
		growingHelps(t, wide, m)
	}
	if grown < 2 {
		t.Errorf("%d joint misses with a bay to grow; too few to test", grown)
	}
}

// verified hands the modules of a bay to the independent checker.
func verified(t *testing.T, b *bay.Bay, o *Option, i int) {
	t.Helper()
	free := *b
	free.MassLimit = 0
	var kinds []bay.Kind
	for k := range o.Modules.Count {
		if st := &o.Modules.Stack[k]; st.Slice != nil {
			kinds = append(kinds, bay.Kind{Size: st.Size, Mass: st.Mass, Orientations: st.Orientations, Count: o.Loading.Count[i][k]})
		}
	}
	if err := bay.Verify(&free, kinds, o.Places[i]); err != nil {
		t.Errorf("%s, bay %s: %v", o.ID, b.Name, err)
	}
}
