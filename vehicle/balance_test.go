package vehicle_test

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"packyard/check/checktest"
	"packyard/unit"
	"packyard/vehicle"
)

// moments returns the sums that Balance works with.
func moments(items []vehicle.Item) (mass unit.Mass, mx, my vehicle.Moment, mxy unit.Inertia) {
	for _, it := range items {
		m, x, y := float64(it.Mass), float64(it.At.X), float64(it.At.Y)
		mass += it.Mass
		mx += vehicle.Moment(m * x)
		my += vehicle.Moment(m * y)
		mxy += unit.Inertia(m * x * y)
	}
	return mass, mx, my, mxy
}

func TestBalanceEqualsConverted(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		d := anyDonor(t)
		d.Removed = []vehicle.Item{anyItem(t, "removed", 150)}
		d.Added = []vehicle.Item{anyItem(t, "added", 150)}
		d.LoadCases = []vehicle.LoadCase{{Name: "a", Items: []vehicle.Item{anyItem(t, "a", 300)}}, {Name: "b", Items: []vehicle.Item{anyItem(t, "b", 300)}}}
		d.Ratings = vehicle.Ratings{GrossMass: 3000, AxleFront: 1500}
		items := []vehicle.Item{anyItem(t, "one", 200), anyItem(t, "two", 200), anyItem(t, "three", 200)}
		b, err := vehicle.NewBalance(d)
		if err != nil {
			t.Fatal(err)
		}
		want := d.Converted(items)
		mass, mx, my, mxy := moments(items)
		front, rear := b.Axles(mass, mx)
		near(t, "front", float64(front), float64(want.AxleFront))
		near(t, "rear", float64(rear), float64(want.AxleRear))
		fl, fr, rl, rr := b.Wheels(mass, mx, my, mxy)
		for i, g := range []unit.Mass{fl, fr, rl, rr} {
			near(t, "wheel", float64(g), numbers(want)[6+i])
		}
		curb, gross := b.Mass(mass)
		near(t, "curb", float64(curb), float64(want.Mass))
		worst := want
		for _, c := range d.LoadCases {
			l := d.Loaded(want, c)
			worst.Mass, worst.AxleFront, worst.AxleRear = max(worst.Mass, l.Mass), max(worst.AxleFront, l.AxleFront), max(worst.AxleRear, l.AxleRear)
		}
		near(t, "gross", float64(gross), float64(worst.Mass))
		front, rear = b.AxlesLoaded(mass, mx)
		near(t, "front loaded", float64(front), float64(worst.AxleFront))
		near(t, "rear loaded", float64(rear), float64(worst.AxleRear))
		m := b.Margins(mass, mx)
		near(t, "gross margin", float64(m.Gross), (3000-float64(worst.Mass))/3000)
		near(t, "front margin", float64(m.AxleFront), (1500-float64(worst.AxleFront))/1500)
		near(t, "rear margin without a rating", float64(m.AxleRear), 1)
	})
}

// The largest mass that Room gives sits on a limit: its least margin is zero.
func TestRoomUsesUpTheLeastMargin(t *testing.T) {
	t.Parallel()
	d := truck()
	b, err := vehicle.NewBalance(d)
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range []float64{-0.2, 0, 0.6, 1.4, 2.2, 2.8, 3.1} {
		room, bounded := b.Room(unit.Length(x))
		if !bounded || room <= 0 {
			t.Fatalf("room at %v m: got %v kg, bounded %v", x, float64(room), bounded)
		}
		least := b.Margins(room, vehicle.Moment(float64(room)*x)).Least()
		checktest.Near(t, "least margin", float64(least), 0, 1e-12, 0, "definition of the margin")
	}
	d.Ratings = vehicle.Ratings{AxleFront: 1150}
	if b, err = vehicle.NewBalance(d); err != nil {
		t.Fatal(err)
	}
	if room, bounded := b.Room(2.8); bounded {
		t.Errorf("a battery over the rear axle with only a front rating: got bound %v kg, want none", float64(room))
	}
	d.Ratings = vehicle.Ratings{AxleFront: 500}
	if b, err = vehicle.NewBalance(d); err != nil {
		t.Fatal(err)
	}
	if room, bounded := b.Room(3.0); !bounded || room != 0 {
		t.Errorf("front axle over its rating already: got %v kg, bounded %v, want 0 and bounded", float64(room), bounded)
	}
}

func TestBalanceRefusesWhatTheLedgerRefuses(t *testing.T) {
	t.Parallel()
	if _, err := vehicle.NewBalance(&vehicle.Donor{}); !errors.Is(err, vehicle.ErrGeometry) {
		t.Errorf("empty donor: got %v, want ErrGeometry", err)
	}
}

// Not parallel: allocations are counted for the whole process.
func TestBalanceAllocatesNothing(t *testing.T) {
	b, err := vehicle.NewBalance(truck())
	if err != nil {
		t.Fatal(err)
	}
	var sum unit.Ratio
	if n := testing.AllocsPerRun(100, func() { sum += b.Margins(200, 300).Least() }); n != 0 {
		t.Errorf("allocations for one call: got %v, want 0", n)
	}
	if math.IsNaN(float64(sum)) {
		t.Error("margins are not numbers")
	}
}

func BenchmarkBalanceMargins(b *testing.B) {
	k, err := vehicle.NewBalance(truck())
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	var sum unit.Ratio
	n := 0
	for b.Loop() {
		sum += k.Margins(unit.Mass(n%400), vehicle.Moment(n%900)).Least()
		n++
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "batteries/s")
	if math.IsNaN(float64(sum)) {
		b.Fatal("margins are not numbers")
	}
}
