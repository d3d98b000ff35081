package bench

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"os/exec"
	"testing"

	"pgregory.net/rapid"

	"packyard/check/checktest"
	"packyard/unit"
)

// asked are the questions that SciPy answers too.
type asked struct {
	Share [][3]float64 `json:"share"` // share, certainty, worse
	Mean  [][]any      `json:"mean"`  // capacities, half width, certainty
	Buy   [][]any      `json:"buy"`   // good in the sample, sample, wanted, certainty, mixed
	Mad   [][]float64  `json:"mad"`
}

var capacities = []float64{28.1, 29.4, 30.2, 27.7, 28.8, 29.9, 30.5, 26.9, 29.1} // Ah, invented

func charges(ah []float64) []unit.Charge {
	out := make([]unit.Charge, len(ah))
	for i, x := range ah {
		out[i] = unit.Charge(x) * unit.AmpereHour
	}
	return out
}

func TestSciPyAnswersAlike(t *testing.T) {
	t.Parallel()
	python := checktest.Tool(t, "/usr/bin/python3")
	if exec.Command(python, "-c", "import scipy").Run() != nil {
		checktest.Tool(t, "scipy of python3")
	}
	q := asked{
		Share: [][3]float64{{0.9, 0.95, 0}, {0.95, 0.95, 0}, {0.9, 0.95, 1}, {0.99, 0.99, 2}, {0.5, 0.9, 0}},
		Mean:  [][]any{{capacities, 0.02, 0.95}, {capacities, 0.01, 0.95}, {capacities, 0.2, 0.9}},
		Buy:   [][]any{{16, 20, 40, 0.95, false}, {45, 50, 30, 0.99, false}, {16, 20, 40, 0.95, true}, {27, 30, 100, 0.9, true}},
		Mad:   [][]float64{capacities, {1, 2, 3, 4}},
	}
	in, err := json.Marshal(q)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(python, "testdata/sampling.py")
	cmd.Stdin = bytes.NewReader(in)
	var said bytes.Buffer
	cmd.Stderr = &said
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%v: %s", err, said.String())
	}
	var py struct {
		Share, Mean, Buy, Plain []int
		Mad, SD                 []float64
	}
	if err := json.Unmarshal(out, &py); err != nil {
		t.Fatal(err)
	}
	const source = "SciPy: binom, nbinom, t, median_abs_deviation"
	for i, c := range q.Share {
		n, err := TestsForShare(unit.Ratio(c[0]), unit.Ratio(c[1]), int(c[2]))
		if err != nil || n != py.Share[i] {
			t.Errorf("share %v: %d tests, %v, want %d (source: %s)", c, n, err, py.Share[i], source)
		}
	}
	for i, c := range q.Mean {
		a, err := TestsForMean(charges(capacities), unit.Ratio(c[1].(float64)), unit.Ratio(c[2].(float64)))
		if err != nil || a.More != py.Mean[i] {
			t.Errorf("mean %v: %d more, %v, want %d (source: %s)", c[1:], a.More, err, py.Mean[i], source)
		}
	}
	for i, c := range q.Buy {
		good, n, wanted := c[0].(int), c[1].(int), c[2].(int)
		sample := make([][]unit.Charge, n)
		for k := range good {
			sample[k] = []unit.Charge{unit.AmpereHour}
		}
		a, err := Buy(sample, Need{Groups: wanted, Parallel: 1}, BuyOptions{Certainty: unit.Ratio(c[3].(float64)), AsSampled: !c[4].(bool), Draws: 20_000, Seed: 3})
		// A share of 20 000 draws is known to 0.15 percent of certainty at 95 %, which
		// moves the number by one at most in the sharp cases and by two per hundred
		// in the wide ones.
		if tol := max(1, 0.02*float64(py.Buy[i])); err != nil || math.Abs(float64(a.Modules-py.Buy[i])) > tol {
			t.Errorf("buy %v: %d, %v, want %d within %.1f (source: %s)", c, a.Modules, err, py.Buy[i], tol, source)
		}
		if !c[4].(bool) && py.Plain[i] != py.Buy[i] {
			t.Errorf("the two closed forms differ: %d and %d", py.Plain[i], py.Buy[i])
		}
	}
	for i, x := range q.Mad {
		d := describe(x)
		checktest.Near(t, "MAD", d.mad, py.Mad[i], 0, 1e-14, source)
		checktest.Near(t, "deviation", d.sd, py.SD[i], 0, 1e-14, source)
	}
}

// 59 tests for 95 % of the lot with 95 %, 29 for 90 %, 299 for 99 %: the figures that
// every table of tolerance limits has.
func TestToleranceLimitsAreTheWellKnownOnes(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		share unit.Ratio
		want  int
	}{{0.95, 59}, {0.90, 29}, {0.99, 299}} {
		if n, err := TestsForShare(c.share, 0.95, 0); err != nil || n != c.want {
			t.Errorf("share %v: %d, %v, want %d (source: ln(1 − γ)/ln p, wilks-1941)", c.share, n, err, c.want)
		}
	}
	for _, bad := range [][2]unit.Ratio{{0, 0.9}, {1, 0.9}, {0.9, 0}, {0.9, 1}, {1 - 1e-12, 0.9999}} {
		if _, err := TestsForShare(bad[0], bad[1], 0); !errors.Is(err, ErrSample) {
			t.Errorf("%v: %v, want ErrSample", bad, err)
		}
	}
}

// More is never needed for less: a weaker group, fewer groups, less certainty.
func TestAskingForLessNeverBuysMore(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		var sample [][]unit.Charge
		for range rapid.IntRange(3, 8).Draw(t, "modules") {
			sample = append(sample, charges(rapid.SliceOfN(rapid.Float64Range(20, 33), 1, 4).Draw(t, "module")))
		}
		need := Need{Groups: rapid.IntRange(2, 8).Draw(t, "groups"), Parallel: rapid.IntRange(1, 3).Draw(t, "parallel")}
		need.Weakest = unit.Charge(float64(need.Parallel)*rapid.Float64Range(18, 27).Draw(t, "weakest")) * unit.AmpereHour
		o := BuyOptions{Draws: 60, Seed: 5, Certainty: 0.9}
		a, err := Buy(sample, need, o)
		if err != nil {
			return
		}
		less := need
		less.Weakest *= 0.95
		b, err := Buy(sample, less, o)
		if err != nil || b.Modules > a.Modules {
			t.Errorf("a weaker group: %d after %d, %v", b.Modules, a.Modules, err)
		}
		o.Certainty = 0.5
		if b, err = Buy(sample, need, o); err != nil || b.Modules > a.Modules || b.Modules != a.Half {
			t.Errorf("less certainty: %d after %d, half %d, %v", b.Modules, a.Modules, a.Half, err)
		}
	})
}

func TestBuyingSaysWhenTheSampleCannotTell(t *testing.T) {
	t.Parallel()
	one := [][]unit.Charge{{unit.AmpereHour}}
	for name, c := range map[string]struct {
		sample [][]unit.Charge
		need   Need
	}{
		"no sample":       {nil, Need{Groups: 2, Parallel: 1}},
		"nothing sound":   {[][]unit.Charge{{}, {}}, Need{Groups: 2, Parallel: 1}},
		"too strong":      {one, Need{Groups: 2, Parallel: 1, Weakest: 2 * unit.AmpereHour}},
		"no groups":       {one, Need{}},
		"not a capacity":  {[][]unit.Charge{{unit.Charge(math.NaN())}}, Need{Groups: 1, Parallel: 1}},
		"mostly unsound":  {[][]unit.Charge{{unit.AmpereHour}, {}, {}, {}}, Need{Groups: 5, Parallel: 1}},
		"negative charge": {[][]unit.Charge{{-1}}, Need{Groups: 1, Parallel: 1}},
	} {
		if _, err := Buy(c.sample, c.need, BuyOptions{}); !errors.Is(err, ErrSample) {
			t.Errorf("%s: %v, want ErrSample", name, err)
		}
	}
}

func BenchmarkBuy(b *testing.B) {
	var sample [][]unit.Charge
	for i := range 12 {
		sample = append(sample, charges([]float64{27 + 0.3*float64(i), 28, 29, 28.5 + 0.1*float64(i)}))
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Buy(sample, Need{Groups: 104, Parallel: 2, Weakest: 55 * unit.AmpereHour}, BuyOptions{}); err != nil {
			b.Fatal(err)
		}
	}
}
