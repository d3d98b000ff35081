package vehicle_test

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"packyard/check/checktest"
	"packyard/unit"
	"packyard/vehicle"
)

// truck is an invented flatbed.
func truck() *vehicle.Donor {
	return &vehicle.Donor{
		Wheelbase: 2.8, TrackFront: 1.44, TrackRear: 1.40, HeightCG: 0.62,
		WeighedFront: 880, WeighedRear: 640, LeftShareFront: 0.51, LeftShareRear: 0.5,
		Ratings:        vehicle.Ratings{GrossMass: 2600, AxleFront: 1150, AxleRear: 1650, TyreFront: 600, TyreRear: 850},
		WheelRateFront: 28000, WheelRateRear: 35000,
		Removed: []vehicle.Item{
			{Name: "engine", Mass: 165, At: vehicle.Point{X: 0.05, Y: 0.02, Z: 0.65}},
			{Name: "tank", Mass: 48, At: vehicle.Point{X: 2.1, Y: -0.45, Z: 0.5}},
		},
		Added: []vehicle.Item{{Name: "motor", Mass: 78, At: vehicle.Point{X: 0.2, Z: 0.5}}},
		LoadCases: []vehicle.LoadCase{
			{Name: "two people", Items: []vehicle.Item{
				{Name: "driver", Mass: 75, At: vehicle.Point{X: 1.1, Y: 0.35, Z: 0.9}},
				{Name: "passenger", Mass: 75, At: vehicle.Point{X: 1.1, Y: -0.35, Z: 0.9}}}},
			{Name: "load behind the axle", Items: []vehicle.Item{{Name: "crates", Mass: 300, At: vehicle.Point{X: 3.2, Z: 1.1}}}},
		},
	}
}

func battery() []vehicle.Item {
	return []vehicle.Item{
		{Name: "front box", Mass: 110, At: vehicle.Point{X: 0.1, Y: 0, Z: 0.7}},
		{Name: "left box", Mass: 95, At: vehicle.Point{X: 1.7, Y: 0.5, Z: 0.45}},
		{Name: "right box", Mass: 90, At: vehicle.Point{X: 1.7, Y: -0.5, Z: 0.45}},
	}
}

func anyItem(t *rapid.T, name string, most float64) vehicle.Item {
	return vehicle.Item{
		Name: name, Mass: unit.Mass(rapid.Float64Range(0.1, most).Draw(t, name+" mass")),
		At: vehicle.Point{
			X: unit.Length(rapid.Float64Range(-0.3, 3.2).Draw(t, name+" x")),
			Y: unit.Length(rapid.Float64Range(-0.5, 0.5).Draw(t, name+" y")),
			Z: unit.Length(rapid.Float64Range(0.1, 1.5).Draw(t, name+" z"))},
	}
}

func anyDonor(t *rapid.T) *vehicle.Donor {
	f := func(lo, hi float64, name string) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	return &vehicle.Donor{
		Wheelbase: unit.Length(f(1.8, 4, "wheelbase")), TrackFront: unit.Length(f(1.1, 1.8, "front track")),
		TrackRear: unit.Length(f(1.1, 1.8, "rear track")), HeightCG: unit.Length(f(0.4, 1, "height")),
		WeighedFront: unit.Mass(f(500, 1500, "front")), WeighedRear: unit.Mass(f(500, 1500, "rear")),
		LeftShareFront: unit.Ratio(f(0.45, 0.55, "left front")), LeftShareRear: unit.Ratio(f(0.45, 0.55, "left rear")),
	}
}

// sameState compares two states number by number; the tolerance is rounding of
// a dozen additions of masses of 1 000 kg.
func sameState(t testing.TB, name string, got, want vehicle.State, source string) {
	t.Helper()
	g, w := numbers(got), numbers(want)
	for i, label := range []string{"mass", "x", "y", "z", "front", "rear", "front left", "front right", "rear left", "rear right"} {
		checktest.Near(t, name+": "+label, g[i], w[i], 1e-9, 1e-12, source)
	}
}

func numbers(s vehicle.State) [10]float64 {
	return [10]float64{float64(s.Mass), float64(s.CG.X), float64(s.CG.Y), float64(s.CG.Z), float64(s.AxleFront), float64(s.AxleRear),
		float64(s.WheelFrontLeft), float64(s.WheelFrontRight), float64(s.WheelRearLeft), float64(s.WheelRearRight)}
}

func TestWeighedLoadsComeBackAsWeighed(t *testing.T) {
	t.Parallel()
	s := truck().Before()
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"front axle", float64(s.AxleFront), 880}, {"rear axle", float64(s.AxleRear), 640}, {"mass", float64(s.Mass), 1520},
		{"front left wheel", float64(s.WheelFrontLeft), 0.51 * 880}, {"front right wheel", float64(s.WheelFrontRight), 0.49 * 880},
		{"rear left wheel", float64(s.WheelRearLeft), 320},
		{"x", float64(s.CG.X), 640 * 2.8 / 1520}, {"y", float64(s.CG.Y), 0.01 * 880 * 1.44 / 1520},
	} {
		checktest.Near(t, c.name, c.got, c.want, 1e-9, 0, "statics")
	}
}

// Moments taken by hand about another point than the ledger's: the front axle
// load from moments about the rear axle, the left wheels from moments about the
// right wheel contacts of a vehicle with equal tracks.
func TestConvertedLoadsMatchMomentsAboutTheOtherAxle(t *testing.T) {
	t.Parallel()
	d := truck()
	d.TrackRear = d.TrackFront
	s := d.Converted(battery())
	front, left := 880*2.8, 880*0.51*1.44+640*0.5*1.44
	add := func(items []vehicle.Item, sign float64) {
		for _, it := range items {
			front += sign * float64(it.Mass) * (2.8 - float64(it.At.X))
			left += sign * float64(it.Mass) * (1.44/2 + float64(it.At.Y))
		}
	}
	add(d.Removed, -1)
	add(d.Added, 1)
	add(battery(), 1)
	checktest.Near(t, "front axle load, kg", float64(s.AxleFront), front/2.8, 1e-9, 0, "moments about the rear axle")
	checktest.Near(t, "left wheels, kg", float64(s.WheelFrontLeft+s.WheelRearLeft), left/1.44, 1e-9, 0, "moments about the right wheels")
}

func TestItemOverAnAxleLoadsOnlyItsWheels(t *testing.T) {
	t.Parallel()
	before := truck().Before()
	after, err := vehicle.Combine(before, []vehicle.Item{{Name: "over the left rear wheel", Mass: 100, At: vehicle.Point{X: 2.8, Y: 0.70, Z: 0.5}}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	checktest.Near(t, "rear left", float64(after.WheelRearLeft-before.WheelRearLeft), 100, 1e-9, 0, "statics")
	checktest.Near(t, "rear right", float64(after.WheelRearRight-before.WheelRearRight), 0, 1e-9, 0, "statics")
	checktest.Near(t, "front left", float64(after.WheelFrontLeft-before.WheelFrontLeft), 0, 1e-9, 0, "statics")
}

func TestAxleLoadsSumToWeightAndWheelLoadsToAxles(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		d := anyDonor(t)
		d.Removed = []vehicle.Item{anyItem(t, "removed", 100)}
		d.Added = []vehicle.Item{anyItem(t, "added", 100)}
		s := d.Loaded(d.Converted([]vehicle.Item{anyItem(t, "battery", 300)}), vehicle.LoadCase{Name: "load", Items: []vehicle.Item{anyItem(t, "load", 400)}})
		n := numbers(s)
		near(t, "axles", n[4]+n[5], n[0])
		near(t, "front wheels", n[6]+n[7], n[4])
		near(t, "rear wheels", n[8]+n[9], n[5])
		near(t, "moment about the front axle", n[0]*n[1], n[5]*float64(d.Wheelbase))
		lateral := (n[6]-n[7])*float64(d.TrackFront)/2 + (n[8]-n[9])*float64(d.TrackRear)/2
		near(t, "lateral moment", n[0]*n[2], lateral)
	})
}

// near compares within rounding of sums of some 1 000 kg·m.
func near(t *rapid.T, name string, got, want float64) {
	t.Helper()
	if !(math.Abs(got-want) <= 1e-9+1e-12*math.Abs(want)) {
		t.Fatalf("%s: got %.15g, want %.15g (statics)", name, got, want)
	}
}

func TestOrderOfItemsIsIrrelevant(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		base := anyDonor(t).Before()
		var plus []vehicle.Item
		for i := range rapid.IntRange(2, 8).Draw(t, "count") {
			plus = append(plus, anyItem(t, string(rune('a'+i)), 200))
		}
		minus := []vehicle.Item{anyItem(t, "gone", 50), anyItem(t, "gone too", 50)}
		a, errA := vehicle.Combine(base, plus, minus)
		b, errB := vehicle.Combine(base, rapid.Permutation(plus).Draw(t, "order"), []vehicle.Item{minus[1], minus[0]})
		if (errA == nil) != (errB == nil) {
			t.Fatalf("order changes the verdict: %v against %v", errA, errB)
		}
		na, nb := numbers(a), numbers(b)
		for i := range na {
			near(t, "state", na[i], nb[i])
		}
	})
}

func TestAddingAtTheCentreOfGravityDoesNotMoveIt(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		base := anyDonor(t).Before()
		it := vehicle.Item{Name: "ballast", Mass: unit.Mass(rapid.Float64Range(1, 900).Draw(t, "mass")), At: base.CG}
		after, err := vehicle.Combine(base, []vehicle.Item{it}, nil)
		if err != nil {
			t.Fatal(err)
		}
		n, b := numbers(after), numbers(base)
		for i := 1; i <= 3; i++ {
			near(t, "centre of gravity", n[i], b[i])
		}
	})
}

func TestRemovingThenAddingRestores(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		base := anyDonor(t).Before()
		it := anyItem(t, "seat", 60)
		gone, err := vehicle.Combine(base, nil, []vehicle.Item{it})
		if err != nil {
			t.Fatal(err)
		}
		back, err := vehicle.Combine(gone, []vehicle.Item{it}, nil)
		if err != nil {
			t.Fatal(err)
		}
		nb, na := numbers(base), numbers(back)
		for i := range nb {
			near(t, "state", na[i], nb[i])
		}
	})
}

func TestConvertEqualsConvertedAndCombine(t *testing.T) {
	t.Parallel()
	d := truck()
	got, err := d.Convert(battery())
	if err != nil {
		t.Fatal(err)
	}
	sameState(t, "convert", got, d.Converted(battery()), "one definition")
	if got.Name != "converted" {
		t.Errorf("name: got %q, want converted", got.Name)
	}
}

func TestNegativeLoadNamesTheItem(t *testing.T) {
	t.Parallel()
	base := truck().Before()
	at := func(m, x, y float64) vehicle.Item {
		return vehicle.Item{Name: "culprit", Mass: unit.Mass(m), At: vehicle.Point{X: unit.Length(x), Y: unit.Length(y), Z: 0.5}}
	}
	small := vehicle.Item{Name: "bystander", Mass: 5, At: vehicle.Point{X: 1, Z: 0.5}}
	for _, c := range []struct {
		name        string
		plus, minus []vehicle.Item
		where       string
	}{
		{"mass", nil, []vehicle.Item{small, at(1600, 1.2, 0)}, "vehicle"},
		{"front axle", nil, []vehicle.Item{at(900, 0, 0), small}, "front axle"},
		{"overhang lifts the front", []vehicle.Item{small, at(2000, 4.2, 0)}, nil, "front axle"},
		{"right rear wheel", []vehicle.Item{at(600, 2.8, 1.6)}, nil, "rear right wheel"},
	} {
		_, err := vehicle.Combine(base, c.plus, c.minus)
		if !errors.Is(err, vehicle.ErrNegativeLoad) || !strings.Contains(err.Error(), c.where) || !strings.Contains(err.Error(), `"culprit"`) {
			t.Errorf("%s: got %v, want ErrNegativeLoad about the %s naming culprit", c.name, err, c.where)
		}
	}
}

func TestLedgerRefusesWhatCannotBeWeighed(t *testing.T) {
	t.Parallel()
	for name, it := range map[string]vehicle.Item{
		"zero mass": {Name: "culprit"}, "negative mass": {Name: "culprit", Mass: -3},
		"mass not a number": {Name: "culprit", Mass: unit.Mass(math.NaN())},
		"place not finite":  {Name: "culprit", Mass: 3, At: vehicle.Point{Y: unit.Length(math.Inf(1))}},
	} {
		if _, err := vehicle.Combine(truck().Before(), []vehicle.Item{it}, nil); !errors.Is(err, vehicle.ErrItem) || !strings.Contains(err.Error(), "culprit") {
			t.Errorf("%s: got %v, want ErrItem naming it", name, err)
		}
		d := truck()
		d.Added = append(slices.Clone(d.Added), it)
		if _, err := d.Convert(nil); !errors.Is(err, vehicle.ErrItem) {
			t.Errorf("%s among the added: got %v, want ErrItem", name, err)
		}
	}
	for name, change := range map[string]func(*vehicle.Donor){
		"wheelbase": func(d *vehicle.Donor) { d.Wheelbase = 0 }, "track": func(d *vehicle.Donor) { d.TrackRear = -1 },
		"weight": func(d *vehicle.Donor) { d.WeighedFront = 0 }, "height": func(d *vehicle.Donor) { d.HeightCG = unit.Length(math.NaN()) },
		"share": func(d *vehicle.Donor) { d.LeftShareFront = 1.2 },
	} {
		d := truck()
		change(d)
		if err := d.Validate(); !errors.Is(err, vehicle.ErrGeometry) {
			t.Errorf("%s: got %v, want ErrGeometry", name, err)
		}
	}
}
