package vehicle_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"packyard/check/checktest"
	"packyard/internal/exact"
	"packyard/unit"
	"packyard/vehicle"
)

// roll is an invented road, day and instrument of a coast-down.
type roll struct {
	a, b, c     float64 // N, N/(m/s), N/(m/s)² at the day's density
	mass        float64 // kg
	rotating    float64 // kg
	wind, slope float64 // m/s and tan θ, against the way out
	from, step  float64 // m/s, s
	seconds     float64
	noise       float64 // m/s, one standard deviation of the speed
	memory      float64 // correlation of neighbouring noise
}

var day = roll{a: 195, b: 0, c: 0.46, mass: 1540, rotating: 62, wind: 1.2, slope: 0.002, from: 30, step: 0.5, seconds: 100, noise: 0.08}

// log rolls out with the classical Runge-Kutta method at 0.05 s, the wind in
// the air speed and the slope in the weight, and adds noise to the speeds.
func (r roll) log(back bool, rng *rand.Rand) vehicle.CoastRun {
	sign := 1.0
	if back {
		sign = -1
	}
	th := math.Atan(sign * r.slope)
	slow := func(v float64) float64 {
		air := v + sign*r.wind
		return -(r.a*math.Cos(th) + r.b*v + r.c*air*math.Abs(air) + r.mass*9.80665*math.Sin(th)) / (r.mass + r.rotating)
	}
	run := vehicle.CoastRun{Name: "invented", Back: back}
	v, e := r.from, 0.0
	const h = 0.05
	for i := 0; float64(i)*r.step <= r.seconds; i++ {
		if r.noise > 0 {
			e = r.memory*e + math.Sqrt(1-r.memory*r.memory)*rng.NormFloat64()*r.noise
		}
		run.Time = append(run.Time, float64(i)*r.step)
		run.Speed = append(run.Speed, v+e)
		for range int(math.Round(r.step / h)) {
			k1 := slow(v)
			k2 := slow(v + h/2*k1)
			k3 := slow(v + h/2*k2)
			k4 := slow(v + h*k3)
			v += h / 6 * (k1 + 2*k2 + 2*k3 + k4)
		}
	}
	return run
}

func (r roll) options(form vehicle.CoastForm) vehicle.CoastOptions {
	return vehicle.CoastOptions{Mass: unit.Mass(r.mass), MassRotating: unit.Mass(r.rotating), Air: vehicle.Air{Temperature: 288}, Form: form}
}

// Without noise the fit returns the truth; the slope's cosine is 2e-6 off one.
func TestCoastDownWithoutNoiseReturnsTheTruth(t *testing.T) {
	t.Parallel()
	r := day
	r.noise, r.b = 0, 1.5
	fit, err := vehicle.FitCoastDown([]vehicle.CoastRun{r.log(false, nil), r.log(true, nil)}, r.options(vehicle.Quadratic))
	if err != nil {
		t.Fatal(err)
	}
	const source = "the invented truth"
	checktest.Near(t, "A, N", float64(fit.A.Value), r.a, 0, 1e-5, source)
	checktest.Near(t, "B", float64(fit.B.Value), r.b, 0, 1e-4, source)
	checktest.Near(t, "C", float64(fit.C.Value), r.c, 0, 1e-5, source)
	checktest.Near(t, "wind, m/s", float64(fit.Wind.Value), r.wind, 0, 1e-4, source)
	checktest.Near(t, "slope", float64(fit.Slope.Value), r.slope, 0, 1e-4, source)
	if !fit.BothWays || fit.Form != vehicle.Quadratic {
		t.Errorf("both ways %v, form %v: want true and quadratic", fit.BothWays, fit.Form)
	}
}

// WE-22: 1 560 kg, A 180 N, C 0.45, times by the closed form 5.19.
func TestCoastDownFitReturnsHandbookExample22(t *testing.T) {
	t.Parallel()
	k := exact.Coast{M: 1560, A: 180, C: 0.45}
	var run vehicle.CoastRun
	for kmhSpeed := 100.0; kmhSpeed >= 20; kmhSpeed -= 5 {
		run.Time = append(run.Time, k.Time(100*kmh, kmhSpeed*kmh))
		run.Speed = append(run.Speed, kmhSpeed*kmh)
	}
	fit, err := vehicle.FitCoastDown([]vehicle.CoastRun{run}, vehicle.CoastOptions{Mass: 1500, MassRotating: 60})
	if err != nil {
		t.Fatal(err)
	}
	const source = "handbook WE-22 and line 5.19"
	checktest.Near(t, "A, N", float64(fit.A.Value), 180, 0, 1e-7, source)
	checktest.Near(t, "C", float64(fit.C.Value), 0.45, 0, 1e-7, source)
	checktest.Near(t, "rolling coefficient", float64(fit.Rolling.Value), 180/(1500*9.80665), 0, 1e-7, source)
	checktest.Near(t, "drag area, m²", float64(fit.DragArea.Value), 2*0.45/1.225, 0, 1e-5, source)
	if fit.BothWays || fit.Wind.Value != 0 {
		t.Errorf("one way: got both ways %v, wind %v", fit.BothWays, float64(fit.Wind.Value))
	}
	road := fit.RoadLoad()
	if err := road.Validate(); err != nil {
		t.Fatal(err)
	}
	force := road.Force(vehicle.Motion{Mass: 1500, Speed: 80 * kmh}, vehicle.Air{})
	checktest.Near(t, "force at 80 km/h, N", float64(force), 402.2222, 0, 1e-5, source)
}

// covered counts how often the 95 % intervals hold the truth.
type covered struct {
	trials, a, b, c, area, rolling, wind, slope int
	meanA, meanC, meanSquareA, deviationA       float64
}

func holds[Q unit.Quantity](e vehicle.Estimate[Q], truth float64) int {
	if float64(e.Low) <= truth && truth <= float64(e.High) {
		return 1
	}
	return 0
}

func monteCarlo(t *testing.T, r roll, form vehicle.CoastForm, trials int, seed uint64) covered {
	t.Helper()
	rng := rand.New(rand.NewPCG(seed, 1))
	n := covered{trials: trials}
	for range trials {
		fit, err := vehicle.FitCoastDown([]vehicle.CoastRun{r.log(false, rng), r.log(true, rng)}, r.options(form))
		if err != nil {
			t.Fatal(err)
		}
		n.a += holds(fit.A, r.a)
		n.b += holds(fit.B, r.b)
		n.c += holds(fit.C, r.c)
		n.area += holds(fit.DragArea, 2*r.c/float64(fit.Density))
		n.rolling += holds(fit.Rolling, r.a/(r.mass*9.80665))
		n.wind += holds(fit.Wind, r.wind)
		n.slope += holds(fit.Slope, r.slope)
		d := float64(fit.A.Value) - r.a
		n.meanA += d / float64(trials)
		n.meanSquareA += d * d / float64(trials)
		n.meanC += (float64(fit.C.Value) - r.c) / float64(trials)
		n.deviationA += float64(fit.A.Deviation) / float64(trials)
	}
	return n
}

func share(t *testing.T, name string, hits, trials int) {
	t.Helper()
	p := float64(hits) / float64(trials)
	t.Logf("%s: %.1f %% of %d intervals hold the truth", name, 100*p, trials)
	if p < 0.90 || p > 0.99 {
		t.Errorf("%s: %.1f %% of the 95 %% intervals hold the truth, want 90 to 99 %%", name, 100*p)
	}
}

// 300 trials have a standard deviation of 1.3 % about 95 %: 90 to 99 % is three
// of them or more either way.
func TestConfidenceOfCoastDownHoldsTheTruth(t *testing.T) {
	t.Parallel()
	const trials = 300
	n := monteCarlo(t, day, vehicle.DragAndRolling, trials, 20)
	share(t, "A", n.a, trials)
	share(t, "C", n.c, trials)
	share(t, "drag area", n.area, trials)
	share(t, "rolling coefficient", n.rolling, trials)
	share(t, "wind", n.wind, trials)
	share(t, "slope", n.slope, trials)
	// The mean of the trials is off by no more than four of its own deviations,
	// and the deviation stated is the scatter seen.
	scatter := math.Sqrt(n.meanSquareA)
	checktest.Near(t, "bias of A, N", n.meanA, 0, 4*scatter/math.Sqrt(trials), 0, "the invented truth")
	checktest.Near(t, "stated deviation of A, N", n.deviationA, scatter, 0, 0.15, "scatter of the trials")
	t.Logf("A ± %.2f N of %v N; bias %.3f N; C off by %.2g", scatter, day.a, n.meanA, n.meanC)
}

func TestConfidenceHoldsForThreeCoefficients(t *testing.T) {
	t.Parallel()
	const trials = 200
	r := day
	r.b = 1.5
	n := monteCarlo(t, r, vehicle.Quadratic, trials, 21)
	share(t, "A", n.a, trials)
	share(t, "B", n.b, trials)
	share(t, "C", n.c, trials)
}

// A satellite receiver's noise has a memory: neighbouring errors are alike. The
// intervals are widened for it.
func TestConfidenceHoldsForNoiseWithMemory(t *testing.T) {
	t.Parallel()
	const trials = 200
	r := day
	r.memory = 0.6
	n := monteCarlo(t, r, vehicle.DragAndRolling, trials, 22)
	share(t, "A", n.a, trials)
	share(t, "C", n.c, trials)
}

// One way only, wind and slope stay in: the truth is outside the interval, and
// the mean of both directions brings it back.
func TestBothDirectionsTakeWindAndSlopeOut(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(23, 1))
	r := day
	r.slope = 0.004
	out, back := r.log(false, rng), r.log(true, rng)
	one, err := vehicle.FitCoastDown([]vehicle.CoastRun{out}, r.options(vehicle.DragAndRolling))
	if err != nil {
		t.Fatal(err)
	}
	both, err := vehicle.FitCoastDown([]vehicle.CoastRun{out, back}, r.options(vehicle.DragAndRolling))
	if err != nil {
		t.Fatal(err)
	}
	if holds(one.A, r.a) == 1 || math.Abs(float64(one.A.Value)-r.a) < 30 {
		t.Errorf("one way uphill: A is %v N ± %v, want it clearly off %v N", float64(one.A.Value), float64(one.A.Deviation), r.a)
	}
	if math.Abs(float64(both.A.Value)-r.a) > 4*float64(both.A.Deviation) {
		t.Errorf("both ways: A is %v N ± %v, want %v N", float64(both.A.Value), float64(both.A.Deviation), r.a)
	}
}

func TestCoefficientsOfThreeAreToldToBeCorrelated(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(24, 1))
	fit, err := vehicle.FitCoastDown([]vehicle.CoastRun{day.log(false, rng), day.log(true, rng)}, day.options(vehicle.Quadratic))
	if err != nil {
		t.Fatal(err)
	}
	if !(fit.CorrAB < -0.9 && fit.CorrBC < -0.9 && fit.CorrAC > 0.8) {
		t.Errorf("correlations A-B %v, B-C %v, A-C %v: want strong ones of signs −, −, +", float64(fit.CorrAB), float64(fit.CorrBC), float64(fit.CorrAC))
	}
}

func TestCoastDownNamesWhatItCannotFit(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(25, 1))
	good := day.log(false, rng)
	short := vehicle.CoastRun{Name: "short", Time: good.Time[:4], Speed: good.Speed[:4]}
	gone := vehicle.CoastRun{Name: "gone", Time: []float64{0, 1, 1}, Speed: []float64{30, 29, 28}}
	uneven := vehicle.CoastRun{Name: "uneven", Time: good.Time, Speed: good.Speed[:9]}
	slowOnly := vehicle.CoastRun{Name: "slow", Time: []float64{0, 1, 2, 3}, Speed: []float64{4, 3, 2, 1}}
	faster := vehicle.CoastRun{Name: "faster"}
	for i := range 60 {
		faster.Time = append(faster.Time, float64(i))
		faster.Speed = append(faster.Speed, 10*math.Exp(float64(i)/60))
	}
	o := day.options(vehicle.DragAndRolling)
	for name, c := range map[string]struct {
		runs []vehicle.CoastRun
		o    vehicle.CoastOptions
	}{
		"no runs": {nil, o}, "too few rows": {[]vehicle.CoastRun{short}, o}, "time stands still": {[]vehicle.CoastRun{gone}, o},
		"lengths differ": {[]vehicle.CoastRun{uneven}, o}, "below the lowest speed": {[]vehicle.CoastRun{slowOnly}, o},
		"no mass": {[]vehicle.CoastRun{good}, vehicle.CoastOptions{}}, "vehicle gets faster": {[]vehicle.CoastRun{faster}, o},
	} {
		if _, err := vehicle.FitCoastDown(c.runs, c.o); !errors.Is(err, vehicle.ErrCoastLog) {
			t.Errorf("%s: got %v, want ErrCoastLog", name, err)
		}
	}
	o.Air.Altitude = 20000
	if _, err := vehicle.FitCoastDown([]vehicle.CoastRun{good}, o); !errors.Is(err, vehicle.ErrAir) {
		t.Errorf("altitude: got %v, want ErrAir", err)
	}
}

// Rows outside the speeds asked for do not enter.
func TestSpeedBoundsCutTheRun(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(26, 1))
	run := day.log(false, rng)
	o := day.options(vehicle.DragAndRolling)
	o.SpeedLow, o.SpeedHigh = 40*kmh, 90*kmh
	all, err := vehicle.FitCoastDown([]vehicle.CoastRun{run}, o)
	if err != nil {
		t.Fatal(err)
	}
	want := 0
	for i := len(run.Speed) - 1; i >= 0 && run.Speed[i] <= 25; i-- {
		if run.Speed[i] >= 40*kmh {
			want++
		}
	}
	if d := all.Rows - want; d < -2 || d > 2 {
		t.Errorf("rows: got %d, want %d but for noise at the cuts", all.Rows, want)
	}
}

func BenchmarkFitCoastDown(b *testing.B) {
	rng := rand.New(rand.NewPCG(27, 1))
	runs := []vehicle.CoastRun{day.log(false, rng), day.log(true, rng)}
	b.ReportAllocs()
	rows := 0
	for b.Loop() {
		fit, err := vehicle.FitCoastDown(runs, day.options(vehicle.DragAndRolling))
		if err != nil {
			b.Fatal(err)
		}
		rows += fit.Rows
	}
	b.ReportMetric(float64(rows)/b.Elapsed().Seconds(), "rows/s")
}
