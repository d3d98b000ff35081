package spread

import (
	"context"
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"packyard/check"
	"packyard/check/checktest"
	"packyard/unit"
)

// plain makes a study of a function of dimensionless inputs.
func plain(f func(x []float64) float64, inputs ...Input) *Study {
	return &Study{
		Inputs: inputs, Outputs: []Output{{Name: "y", Symbol: "1"}},
		Worker: func() (Model, error) {
			return func(x, y []float64) error { y[0] = f(x); return nil }, nil
		},
	}
}

func band(name string, mid, half float64) Input {
	return Input{name, "", check.Stated{Value: check.Number(mid, name), Tol: half, Kind: unit.Band}}
}

func normal(name string, mid, deviation float64) Input {
	return Input{name, "", check.Stated{Value: check.Number(mid, name), Tol: deviation, Kind: unit.Deviation}}
}

func study(t testing.TB, s *Study, o Options) *Result {
	t.Helper()
	r, err := Run(context.Background(), s, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// shareOf finds the share of an input.
func shareOf(t testing.TB, f *Outcome, input string) Share {
	t.Helper()
	i := slices.IndexFunc(f.Shares, func(s Share) bool { return s.Input == input })
	if i < 0 {
		t.Fatalf("no share of %s in %+v", input, f.Shares)
	}
	return f.Shares[i]
}

// holds compares an estimate with a closed form within some of its own
// standard errors and an absolute bound that the standard error must not hide.
func holds(t *testing.T, name string, got, err, want, bound float64, source string) {
	t.Helper()
	const errors = 4 // with eight scrambles one in some 200 lies further out
	checktest.Near(t, name, got, want, bound, 0, source)
	if math.Abs(got-want) > errors*err+1e-12 {
		t.Errorf("%s: %g is %.1f standard errors from %g (source: %s)", name, got, math.Abs(got-want)/err, want, source)
	}
}

// sin x1 + 7·sin² x2 + 0.1·x3⁴·sin x1 over ±π.
func TestIshigamiSharesAreThosePublished(t *testing.T) {
	t.Parallel()
	const a, b = 7, 0.1
	s := plain(func(x []float64) float64 {
		return math.Sin(x[0]) + a*math.Pow(math.Sin(x[1]), 2) + b*math.Pow(x[2], 4)*math.Sin(x[0])
	}, band("x1", 0, math.Pi), band("x2", 0, math.Pi), band("x3", 0, math.Pi))
	r := study(t, s, Options{Samples: 8192, Seed: 1})
	f := &r.Figures[0]
	const source = "ishigami-homma-1990; closed form in homma-saltelli-1996"
	holds(t, "mean", f.Mean.Value.SI, f.Mean.Error, a/2.0, 0.005, source)
	pi4 := math.Pow(math.Pi, 4)
	holds(t, "deviation", f.Deviation.Value.SI, f.Deviation.Error, math.Sqrt(a*a/8.0+b*pi4/5+b*b*pi4*pi4/18+0.5), 0.005, source)
	for _, c := range []struct {
		input        string
		first, total float64
	}{{"x1", 0.3139, 0.5576}, {"x2", 0.4424, 0.4424}, {"x3", 0, 0.2437}} {
		got := shareOf(t, f, c.input)
		holds(t, "first-order share of "+c.input, float64(got.First), float64(got.FirstError)+0.5e-4, c.first, 0.01, source) // four digits printed
		holds(t, "total share of "+c.input, float64(got.Total), float64(got.TotalError)+0.5e-4, c.total, 0.01, source)
	}
	if f.Shares[0].Input != "x1" || f.Shares[2].Input != "x3" {
		t.Errorf("ranked %+v, by total x1, x2, x3", f.Shares)
	}
}

// The product of (|4x − 2| + a)/(1 + a) over the unit cube: with
// V_i = 1/(3·(1 + a_i)²), V = Π(1 + V_i) − 1, S_i = V_i/V and
// T_i = V_i·Π_(j≠i)(1 + V_j)/V.
func TestProductFunctionSharesAreTheClosedForm(t *testing.T) {
	t.Parallel()
	a := []float64{0, 1, 4.5, 9, 99, 99}
	var inputs []Input
	all := 1.0
	for i, ai := range a {
		inputs = append(inputs, band(fmt.Sprint("x", i), 0.5, 0.5))
		all *= 1 + 1/(3*(1+ai)*(1+ai))
	}
	s := plain(func(x []float64) float64 {
		y := 1.0
		for i, ai := range a {
			y *= (math.Abs(4*x[i]-2) + ai) / (1 + ai)
		}
		return y
	}, inputs...)
	r := study(t, s, Options{Samples: 8192, Seed: 2})
	for i, ai := range a {
		v := 1 / (3 * (1 + ai) * (1 + ai))
		got := shareOf(t, &r.Figures[0], fmt.Sprint("x", i))
		holds(t, fmt.Sprintf("first-order share of x%d", i), float64(got.First), float64(got.FirstError), v/(all-1), 0.01, "sobol-1993, g-function")
		holds(t, fmt.Sprintf("total share of x%d", i), float64(got.Total), float64(got.TotalError), v*all/(1+v)/(all-1), 0.01, "sobol-1993, g-function")
	}
}

// A sum has the shares of the variances of its terms, first-order and total
// alike, and that of normal inputs is normal.
func TestSumOfNormalInputsIsNormal(t *testing.T) {
	t.Parallel()
	s := plain(func(x []float64) float64 { return 3*x[0] - 2*x[1] + 0.5*x[2] + 1000 }, normal("a", 10, 1), normal("b", -5, 2), normal("c", 0, 4))
	r := study(t, s, Options{Samples: 4096, Seed: 3})
	f := &r.Figures[0]
	variance := 9.0*1 + 4*4 + 0.25*16
	const source = "sum of independent normal variables; handbook_normal_quantiles.csv: z(0.9) = 1.281552"
	mean, z := 1040.0, 1.281552*math.Sqrt(variance)
	bound := 0.01 * math.Sqrt(variance)
	holds(t, "P10", f.P10.Value.SI, f.P10.Error, mean-z, bound, source)
	holds(t, "P50", f.P50.Value.SI, f.P50.Error, mean, bound, source)
	holds(t, "P90", f.P90.Value.SI, f.P90.Error, mean+z, bound, source)
	holds(t, "deviation", f.Deviation.Value.SI, f.Deviation.Error, math.Sqrt(variance), bound, source)
	for input, v := range map[string]float64{"a": 9, "b": 16, "c": 4} {
		got := shareOf(t, f, input)
		holds(t, "first-order share of "+input, float64(got.First), float64(got.FirstError), v/variance, 0.005, "linear model")
		holds(t, "total share of "+input, float64(got.Total), float64(got.TotalError), v/variance, 0.005, "linear model")
	}
}

// The sum of two equal bands is a triangle: below the middle F(x) = x²/2 with x
// from its lower end in band widths.
func TestSumOfTwoBandsIsATriangle(t *testing.T) {
	t.Parallel()
	s := plain(func(x []float64) float64 { return x[0] + x[1] }, band("a", 1, 0.5), band("b", 2, 0.5))
	f := &study(t, s, Options{Samples: 4096, Seed: 4}).Figures[0]
	const source = "sum of two uniform variables (Irwin, Hall 1927)"
	holds(t, "P10", f.P10.Value.SI, f.P10.Error, 2+math.Sqrt(0.2), 0.005, source)
	holds(t, "P50", f.P50.Value.SI, f.P50.Error, 3, 0.005, source)
	holds(t, "P90", f.P90.Value.SI, f.P90.Error, 4-math.Sqrt(0.2), 0.005, source)
}

// A normal input that is cut where it is not accepted is a truncated normal:
// with α = −μ/σ its mean above zero is μ + σ·φ(α)/(1 − Φ(α)).
func TestNormalInputIsCutWhereItIsNotAccepted(t *testing.T) {
	t.Parallel()
	in := normal("mass", 1, 1)
	in.Stated.Accepted = check.Span{Low: 0, High: 1e9}
	r := study(t, plain(func(x []float64) float64 { return x[0] }, in), Options{Samples: 4096, Seed: 5})
	f := &r.Figures[0]
	const phi = 0.15865525393145707 // Φ(−1)
	want := 1 + math.Exp(-0.5)/math.Sqrt(2*math.Pi)/(1-phi)
	holds(t, "mean", f.Mean.Value.SI, f.Mean.Error, want, 0.002, "truncated normal distribution, closed form")
	checktest.Near(t, "share cut", float64(r.Inputs[0].Cut), phi, 1e-12, 0, "normal distribution")
	if low := slices.Min(r.Columns.Input[0]); low < 0 {
		t.Errorf("a draw of %g", low)
	}
	in = band("share", 0.95, 0.1)
	in.Stated.Accepted = check.Span{Low: 0, High: 1}
	r = study(t, plain(func(x []float64) float64 { return x[0] }, in), Options{Seed: 6})
	checktest.Near(t, "share cut of a band", float64(r.Inputs[0].Cut), 0.25, 1e-12, 0, "0.85 to 1.05 above 1")
	if high := slices.Max(r.Columns.Input[0]); high > 1 {
		t.Errorf("a draw of %g", high)
	}
}

// Measured values are followed: their quantiles come back.
func TestMeasuredValuesAreFollowed(t *testing.T) {
	t.Parallel()
	in := Input{"capacity", "", check.Stated{Value: check.Number(0.8, "share"), Measured: []float64{0.9, 0.7, 0.85, 0.75, 0.8}}}
	r := study(t, plain(func(x []float64) float64 { return x[0] }, in), Options{Samples: 2048, Seed: 7})
	f := &r.Figures[0]
	holds(t, "P10", f.P10.Value.SI, f.P10.Error+1e-6, 0.72, 1e-3, "hyndman-fan-1996: 0.7 + 0.4·0.05")
	holds(t, "P90", f.P90.Value.SI, f.P90.Error+1e-6, 0.88, 1e-3, "hyndman-fan-1996: 0.85 + 0.6·0.05")
	if r.Inputs[0].From != 5 {
		t.Errorf("%+v", r.Inputs[0])
	}
}

// Without width every quantile is the model at the stated values, to the last
// bit, and no input has a share.
func TestWithoutWidthAllQuantilesAreTheStatedOutcome(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		var in []Input
		x := rapid.SliceOfN(rapid.Float64Range(-1e3, 1e3), 0, 4).Draw(t, "values")
		for i, v := range x {
			kind := rapid.SampledFrom([]unit.SpreadKind{unit.NoSpread, unit.Deviation, unit.Band}).Draw(t, "kind")
			in = append(in, Input{fmt.Sprint(i), "", check.Stated{Value: check.Number(v, "x"), Kind: kind}})
		}
		f := func(x []float64) float64 { return math.Exp(math.Sin(float64(len(x)))) + sum(x) }
		r, err := Run(context.Background(), plain(f, in...), Options{Seed: rapid.Int().Draw(t, "seed")})
		if err != nil {
			t.Fatal(err)
		}
		g := &r.Figures[0]
		for _, e := range []Estimate{g.P10, g.P50, g.P90, g.Mean} {
			if e.Value.SI != f(x) || e.Error != 0 {
				t.Fatalf("%+v, the stated values give %g", e, f(x))
			}
		}
		if g.Deviation.Value.SI != 0 || len(g.Shares) != 0 {
			t.Fatalf("%+v", g)
		}
	})
}

func sum(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v
	}
	return s
}

// An input that does not matter has no share, one that alone matters has all.
func TestInputThatDoesNotMatterHasNoShare(t *testing.T) {
	t.Parallel()
	f := &study(t, plain(func(x []float64) float64 { return math.Exp(x[0]) }, normal("matters", 0, 0.3), band("idle", 5, 4)), Options{Seed: 8}).Figures[0]
	if s := shareOf(t, f, "idle"); s.First != 0 || s.Total != 0 {
		t.Errorf("idle: %+v", s)
	}
	s := shareOf(t, f, "matters")
	holds(t, "first-order share", float64(s.First), float64(s.FirstError), 1, 0.05, "one input")
	holds(t, "total share", float64(s.Total), float64(s.TotalError), 1, 0.05, "one input")
}

func TestResultIsThatOfItsSeedWithAnyNumberOfWorkers(t *testing.T) {
	t.Parallel()
	s := plain(func(x []float64) float64 { return x[0] * math.Exp(x[1]) / (1 + x[2]*x[2]) }, normal("a", 2, 1), normal("b", 0, 0.4), band("c", 0, 1))
	one := study(t, s, Options{Seed: 9, Workers: 1})
	for _, workers := range []int{2, 3, 16, 0} {
		if got := study(t, s, Options{Seed: 9, Workers: workers}); !reflect.DeepEqual(got, one) {
			t.Errorf("%d workers give %+v, one gives %+v", workers, got, one)
		}
	}
	if other := study(t, s, Options{Seed: 10}); other.Figures[0].P50 == one.Figures[0].P50 {
		t.Error("another seed gives the same figures")
	}
}

// A quarter, a half and all of the samples come nearer to the truth, and the
// last step is the result.
func TestStepsEndAtTheResult(t *testing.T) {
	t.Parallel()
	f := &study(t, plain(func(x []float64) float64 { return x[0] + x[1]*x[1] }, normal("a", 0, 1), normal("b", 0, 1)), Options{Samples: 1000, Seed: 11}).Figures[0]
	var rows []int
	for _, s := range f.Steps {
		rows = append(rows, s.Samples)
	}
	if !slices.Equal(rows, []int{256, 512, 1024}) {
		t.Errorf("steps at %v samples", rows)
	}
	last := f.Steps[2]
	if last.P10 != f.P10.Value || last.P90 != f.P90.Value || last.First[0] != f.Shares[0].First || last.Total[1] != f.Shares[1].Total {
		t.Errorf("last step %+v, result %+v", last, f)
	}
	if f.Steps[0].P50 == f.Steps[2].P50 {
		t.Error("a quarter of the samples gives the very same median")
	}
}

// The standard error tells how far an estimate is off: over many seeds the mean
// square of the deviation is that of the stated error, within the scatter of both.
func TestStandardErrorIsTheScatterOverSeeds(t *testing.T) {
	t.Parallel()
	checktest.Long(t)
	s := plain(func(x []float64) float64 { return math.Exp(x[0]) + x[1] }, normal("a", 0, 0.5), band("b", 0, 1))
	const seeds = 60
	truth := study(t, s, Options{Samples: 1 << 16, Seed: 999}).Figures[0]
	var off, said [3]float64
	for seed := range seeds {
		f := &study(t, s, Options{Seed: seed}).Figures[0]
		for i, e := range []struct{ got, want, err float64 }{
			{f.P10.Value.SI, truth.P10.Value.SI, f.P10.Error}, {f.P90.Value.SI, truth.P90.Value.SI, f.P90.Error},
			{float64(shareOf(t, f, "a").First), float64(shareOf(t, &truth, "a").First), float64(shareOf(t, f, "a").FirstError)},
		} {
			off[i] += (e.got - e.want) * (e.got - e.want) / seeds
			said[i] += e.err * e.err / seeds
		}
	}
	for i, name := range []string{"P10", "P90", "first-order share"} {
		if ratio := math.Sqrt(off[i] / said[i]); !(ratio > 0.6 && ratio < 1.5) {
			t.Errorf("%s: off by %.2f of the stated standard errors", name, ratio)
		}
	}
}

func TestStudyRefusesBadInput(t *testing.T) {
	t.Parallel()
	f := func(x []float64) float64 { return x[0] }
	nan := band("x", math.NaN(), 1)
	outside := band("x", 2, 1)
	outside.Stated.Accepted = check.Span{Low: 0, High: 1}
	few := Input{"x", "", check.Stated{Measured: []float64{1}}}
	wild := Input{"x", "", check.Stated{Measured: []float64{1, math.Inf(1)}}}
	for _, c := range []struct {
		name string
		s    *Study
		o    Options
		want error
	}{
		{"no number", plain(f, nan), Options{}, ErrInput},
		{"negative width", plain(f, band("x", 0, -1)), Options{}, ErrInput},
		{"endless width", plain(f, normal("x", 0, math.Inf(1))), Options{}, ErrInput},
		{"stated outside", plain(f, outside), Options{}, ErrInput},
		{"one measured value", plain(f, few), Options{}, ErrInput},
		{"endless measured value", plain(f, wild), Options{}, ErrInput},
		{"too many samples", plain(f, band("x", 0, 1)), Options{Samples: SamplesMax + 1}, ErrStudy},
		{"negative samples", plain(f, band("x", 0, 1)), Options{Samples: -1}, ErrStudy},
		{"too many inputs", plain(f, make([]Input, InputsMax+1)...), Options{}, ErrStudy},
		{"no output", &Study{Inputs: []Input{band("x", 0, 1)}}, Options{}, ErrStudy},
		{"no figure", plain(func(x []float64) float64 { return math.Log(x[0]) }, band("x", 0, 1)), Options{}, ErrFigure},
	} {
		if _, err := Run(context.Background(), c.s, c.o); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
	}
}

// The error of a model is that of the lowest row, whoever meets it first, and
// names the values.
func TestErrorNamesTheValuesAndDoesNotDependOnWorkers(t *testing.T) {
	t.Parallel()
	broken := errors.New("the road is gone")
	s := plain(nil, band("speed", 10, 1))
	s.Worker = func() (Model, error) {
		return func(x, y []float64) error {
			if x[0] > 10.9 {
				return broken
			}
			y[0] = x[0]
			return nil
		}, nil
	}
	_, first := Run(context.Background(), s, Options{Workers: 1, Seed: 12})
	if !errors.Is(first, broken) || !strings.Contains(first.Error(), "speed 10.9") || !strings.Contains(first.Error(), "sample ") {
		t.Fatal(first)
	}
	for workers := 2; workers < 6; workers++ {
		if _, err := Run(context.Background(), s, Options{Workers: workers, Seed: 12}); err == nil || err.Error() != first.Error() {
			t.Errorf("%d workers: %v, one: %v", workers, err, first)
		}
	}
	s.Worker = func() (Model, error) { return nil, broken }
	if _, err := Run(context.Background(), s, Options{}); !errors.Is(err, broken) {
		t.Errorf("no model: %v", err)
	}
}

func TestStudyEndsWithItsContext(t *testing.T) {
	t.Parallel()
	ctx, stop := context.WithCancel(context.Background())
	s := plain(func(x []float64) float64 { stop(); return x[0] }, band("x", 0, 1))
	if r, err := Run(ctx, s, Options{}); !errors.Is(err, context.Canceled) || r != nil {
		t.Errorf("%v, %v", r, err)
	}
}

func TestReachingCountsTheDraws(t *testing.T) {
	t.Parallel()
	r := study(t, plain(func(x []float64) float64 { return x[0] }, band("x", 10, 5)), Options{Seed: 13})
	checktest.Near(t, "share at or above 12", float64(r.Reaching(0, 12)), 0.3, 0.005, 0, "uniform distribution from 5 to 15")
	if r.Reaching(0, 4) != 1 || r.Reaching(0, 16) != 0 {
		t.Errorf("%v, %v", r.Reaching(0, 4), r.Reaching(0, 16))
	}
}
