package schedule

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"packyard/check/checktest"
	"packyard/unit"
)

func TestCutPartsAddUpToTheWhole(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		s := anySchedule(t)
		end := s.Time[len(s.Time)-1]
		at := unit.Time(rapid.Float64Range(0.01, 0.99).Draw(t, "share") * end)
		a, err := s.Between(0, at)
		if err != nil {
			t.Fatal(err)
		}
		b, err := s.Between(at, unit.Time(end))
		if err != nil {
			t.Fatal(err)
		}
		if err := errors.Join(a.Validate(), b.Validate()); err != nil {
			t.Fatal(err)
		}
		whole, sum := s.Figures(), a.Figures().Distance+b.Figures().Distance
		if math.Abs(float64(sum-whole.Distance)) > 1e-9*(1+float64(whole.Distance)) {
			t.Fatalf("distances %g, want %g", float64(sum), float64(whole.Distance))
		}
		if d := rise(a) + rise(b) - rise(s); math.Abs(d) > 1e-9*(1+float64(whole.Distance)) {
			t.Fatalf("rises differ by %g m", d)
		}
		joined := a.Append(b)
		if got := joined.Figures(); got.Stops != whole.Stops || got.Duration != whole.Duration {
			// The cut may fall a rounding apart from the sum of both parts.
			if math.Abs(float64(got.Duration-whole.Duration)) > 1e-9*end || got.Stops != whole.Stops {
				t.Fatalf("put together again %+v, want %+v", got, whole)
			}
		}
	})
}

func TestBetweenRefusesPartsOutside(t *testing.T) {
	t.Parallel()
	s := mustFind(t, "hwfet")
	for _, c := range [][2]unit.Time{{-1, 10}, {10, 10}, {20, 10}, {0, 766}, {unit.Time(math.NaN()), 10}} {
		if _, err := s.Between(c[0], c[1]); err == nil {
			t.Errorf("from %g to %g s passes, want an error", float64(c[0]), float64(c[1]))
		}
	}
}

func TestRepeatMultipliesDistanceAndStops(t *testing.T) {
	t.Parallel()
	s := mustFind(t, "wltc-class3b")
	r, f := s.Repeat(3), s.Figures()
	if err := r.Validate(); err != nil {
		t.Fatal(err)
	}
	got := r.Figures()
	if got.Stops != 3*f.Stops || got.Duration != 3*f.Duration || len(r.Phases) != 3*len(s.Phases) {
		t.Errorf("figures %+v with %d phases, want three times %+v", got, len(r.Phases), f)
	}
	near(t, "distance", float64(got.Distance), 3*float64(f.Distance), 1e-12, "arithmetic")
	if diff := cmp.Diff(s, s.Repeat(1)); diff != "" {
		t.Errorf("repeated once is not the same: %s", diff)
	}
}

func TestPartsThatMeetAtDifferentSpeedsAreJoinedByOneSecond(t *testing.T) {
	t.Parallel()
	s := &Schedule{ID: "s", Time: []float64{0, 1}, Speed: []float64{4, 10}}
	r := s.Repeat(2)
	if !slices.Equal(r.Time, []float64{0, 1, 2, 3}) || len(r.Notes) != 1 {
		t.Errorf("times %v with notes %q, want 0 1 2 3 and one note", r.Time, r.Notes)
	}
	near(t, "distance", float64(r.Figures().Distance), 7+7+7, 1e-15, "closed form")
}

func TestResamplingInOneSecondStepsLeavesBuiltInSchedulesAsTheyAre(t *testing.T) {
	t.Parallel()
	for _, s := range BuiltIn() {
		r, err := s.Resample(1)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(s, r); diff != "" {
			t.Errorf("%s: %s", s.ID, diff)
		}
	}
}

// A step that divides those of the schedule meets every row, so the trapezoids
// add up to the same distance and the same rise.
func TestResamplingFinerKeepsDistanceAndRise(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		s := anySchedule(t)
		for i := range s.Time {
			s.Time[i] = float64(2 * i)
		}
		r, err := s.Resample(unit.Time(2 / float64(rapid.IntRange(1, 9).Draw(t, "parts"))))
		if err != nil {
			t.Fatal(err)
		}
		if err := r.Validate(); err != nil {
			t.Fatal(err)
		}
		a, b := s.Figures(), r.Figures()
		if math.Abs(float64(a.Distance-b.Distance)) > 1e-6*(1+float64(a.Distance)) || math.Abs(rise(s)-rise(r)) > 1e-6*(1+float64(a.Distance)) {
			t.Fatalf("distance %g and rise %g, want %g and %g", float64(b.Distance), rise(r), float64(a.Distance), rise(s))
		}
	})
}

func TestResamplingConvergesWithTheSquareOfTheStep(t *testing.T) {
	t.Parallel()
	// A smooth speed, v = 10 − 10·cos(t/50) over one period, in fine rows.
	s := &Schedule{ID: "wave"}
	for i := range 31416 {
		s.Time, s.Speed = append(s.Time, float64(i)*0.01), append(s.Speed, 10-10*math.Cos(float64(i)*0.01/50))
	}
	half, err := s.Between(0, 100)
	if err != nil {
		t.Fatal(err)
	}
	exact := float64(half.Figures().Distance)
	miss := func(dt unit.Time) float64 {
		r, err := half.Resample(dt)
		if err != nil {
			t.Fatal(err)
		}
		return math.Abs(float64(r.Figures().Distance) - exact)
	}
	near(t, "error of 4 s steps over that of 2 s steps", miss(4)/miss(2), 4, 0.01, "order of the trapezoid rule")
}

func TestResampleRefusesStepsThatMakeNoTable(t *testing.T) {
	t.Parallel()
	s := mustFind(t, "hwfet")
	for _, dt := range []unit.Time{0, -1, 1e-9, unit.Time(math.NaN())} {
		if _, err := s.Resample(dt); err == nil {
			t.Errorf("step of %g s passes, want an error", float64(dt))
		}
	}
}

func TestCappingKeepsTheRoadAndStretchesTheClock(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		s := anySchedule(t)
		s.Phases = []Phase{{Name: "all", From: 0, To: unit.Time(s.Time[len(s.Time)-1])}}
		limits := make([]float64, len(s.Time))
		for i := range limits {
			limits[i] = rapid.Float64Range(0.1, 50).Draw(t, "attainable")
		}
		c, err := Cap(s, limits)
		if err != nil {
			t.Fatal(err)
		}
		if err := c.Validate(); err != nil {
			t.Fatal(err)
		}
		a, b := s.Figures(), c.Figures()
		if math.Abs(float64(a.Distance-b.Distance)) > 1e-9*(1+float64(a.Distance)) || math.Abs(rise(s)-rise(c)) > 1e-9*(1+float64(a.Distance)) {
			t.Fatalf("distance %g and rise %g, want %g and %g", float64(b.Distance), rise(c), float64(a.Distance), rise(s))
		}
		if b.Duration < a.Duration-1e-9*a.Duration || b.Stops != a.Stops {
			t.Fatalf("takes %g s with %d stops, want at least %g s and %d stops", float64(b.Duration), b.Stops, float64(a.Duration), a.Stops)
		}
		lowered := false
		for i, v := range c.Speed {
			lowered = lowered || v < s.Speed[i]
			if v > limits[i] || v > s.Speed[i] {
				t.Fatalf("row %d: %g m/s, attainable %g, wanted %g", i, v, limits[i], s.Speed[i])
			}
		}
		if lowered != (c.Capped > 0) || lowered != (len(c.Notes) > len(s.Notes)) {
			t.Fatalf("lowered %v, share %g, notes %q", lowered, float64(c.Capped), c.Notes)
		}
		if c.Phases[0].To != unit.Time(c.Time[len(c.Time)-1]) {
			t.Fatalf("phase ends at %g s, the schedule at %g s", float64(c.Phases[0].To), c.Time[len(c.Time)-1])
		}
	})
}

func TestCappedRampMatchesClosedForm(t *testing.T) {
	t.Parallel()
	// 10 s from 0 to 20 m/s are 100 m; capped at 10 m/s at the top they take 20 s.
	// 10 s at 20 m/s are 200 m; at 10 m/s they take 20 s.
	// The 150 m down to 10 m/s take 15 s. 450 of 500 m are touched.
	s := &Schedule{ID: "s", Time: []float64{0, 10, 20, 30, 40}, Speed: []float64{0, 20, 20, 10, 0}}
	c, err := Cap(s, []float64{0, 10, 10, 10, 10})
	if err != nil {
		t.Fatal(err)
	}
	if want := []float64{0, 20, 40, 55, 65}; !slices.Equal(c.Time, want) {
		t.Errorf("times %v, want %v, source: closed form", c.Time, want)
	}
	near(t, "share", float64(c.Capped), 450.0/500, 1e-15, "closed form")
}

func TestCapRefusesWhatTellsNothing(t *testing.T) {
	t.Parallel()
	s := &Schedule{ID: "s", Time: []float64{0, 1, 2, 3}, Speed: []float64{0, 5, 5, 0}}
	for name, limits := range map[string][]float64{
		"short":    {1, 1},
		"negative": {0, -1, 1, 1},
		"NaN":      {0, math.NaN(), 1, 1},
	} {
		if _, err := Cap(s, limits); err == nil || errors.Is(err, ErrStuck) {
			t.Errorf("%s: got %v, want an error of its own", name, err)
		}
	}
	for name, limits := range map[string][]float64{"zero": {0, 0, 5, 5}, "creeping": {0, 1e-9, 1e-9, 0}} {
		if _, err := Cap(s, limits); !errors.Is(err, ErrStuck) {
			t.Errorf("%s: got %v, want ErrStuck", name, err)
		}
	}
}

func TestConstantSpeedsAreReadInWords(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		text               string
		speed, time, metre float64
	}{
		{"constant 60 km/h", 60 / 3.6, 3600, 60000},
		{"constant 60 kmh for 30 min", 60 / 3.6, 1800, 30000},
		{"constant 37.5 mph for 20 mi", 37.5 * 0.44704, 1920, 20 * 1609.344},
		{" constant  10 m/s for 1500.5 m ", 10, 150.05, 1500.5},
	} {
		s, err := Parse(c.text)
		if err != nil {
			t.Errorf("%q: %v", c.text, err)
			continue
		}
		if err := s.Validate(); err != nil {
			t.Error(err)
		}
		f := s.Figures()
		const source = "exact factors of NIST SP 811"
		near(t, c.text+" mean", float64(f.Mean), c.speed, 1e-12, source)
		near(t, c.text+" duration", float64(f.Duration), c.time, 1e-12, source)
		near(t, c.text+" distance", float64(f.Distance), c.metre, 1e-12, source)
	}
	if s, err := Parse("hwfet"); err != nil || s.ID != "hwfet" {
		t.Errorf("hwfet: got %v, %v", s, err)
	}
}

func TestNamesThatAreNoScheduleAreAnsweredWithTheNearest(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{
		"wltc":                       `did you mean "wltc-class3b"`,
		"UDSS":                       `did you mean "udds"`,
		"ftp75":                      `did you mean "ftp-75"`,
		"":                           "known are udds, hwfet, us06, ftp-75",
		"constant":                   "is empty: a speed is written in m/s, km/h",
		"constant 60":                `"60" needs a unit: a speed is written in`,
		"constant 60 kph":            "did you mean km/h?",
		"constant 60,5 km/h":         "has a decimal comma: write 60.5 km/h",
		"constant 0 km/h":            "must be above 0",
		"constant 0 km/h for 1 km":   "must be above 0",
		"constant 900 km/h":          "at most 300 km/h",
		"constant 60 km/h for 3 kg":  "neither a time nor a length",
		"constant 60 km/h for 99 d":  "at most 604800 s",
		"constant -60 km/h":          "must be above 0",
		"constant 60 km/h and more":  "has more after km/h",
		"constant 6e999 km/h":        "is too large",
		"constant 60 km/h for 0 min": "must be above 0",
	} {
		_, err := Parse(text)
		if err == nil || !contains(err.Error(), want) {
			t.Errorf("%q: got %v, want %q in it", text, err, want)
		}
	}
	if _, err := Find("nothing"); !errors.Is(err, ErrUnknown) {
		t.Errorf("got %v, want ErrUnknown", err)
	}
	if _, err := mustFind(t, "nedc").Phase("rural"); err == nil || !contains(err.Error(), "urban, extra-urban") {
		t.Errorf("got %v, want the names of the phases", err)
	}
}

func contains(s, part string) bool { return strings.Contains(s, part) }
