package cell

import (
	"errors"
	"math"
	"testing"

	"packyard/check/checktest"
	"packyard/internal/exact"
	"packyard/internal/num"
	"packyard/unit"
)

// sample is a network with figures that are easy to follow.
func sampleNetwork() *Network {
	grid := func(cold, warm float64) [][]float64 { return [][]float64{{cold, cold}, {warm, warm}} }
	return &Network{
		Capacity: 3 * unit.AmpereHour, SoC: []float64{0, 1}, Temperature: []float64{273.15, 298.15},
		OCV: [][]float64{{3, 4}, {3.1, 4.1}}, R0: grid(0.08, 0.02),
		Tau: []float64{1, 100}, R: [][][]float64{grid(0.04, 0.01), grid(0.02, 0.02)},
		Knee: []float64{1, 4}, Source: "common-practice",
	}
}

func TestNetworkIsArrheniusBetweenItsTests(t *testing.T) {
	t.Parallel()
	n := sampleNetwork()
	for _, celsius := range []float64{-10, 0, 12, 25, 40} {
		tb, err := n.At(unit.Celsius(celsius), New, 11)
		if err != nil {
			t.Fatal(err)
		}
		k := celsius + 273.15
		want := 0.08 * math.Pow(0.25, (1/k-1/273.15)/(1/298.15-1/273.15))
		checktest.Near(t, "R0 in Ω", tb.R0[5], want, 0, 1e-12, "ln R linear in 1/T through two points")
		checktest.Near(t, "knee in A", float64(tb.Knee), math.Pow(4, (1/k-1/273.15)/(1/298.15-1/273.15)), 0, 1e-12, "the same")
		checktest.Near(t, "resistance that is the same at both", tb.R[1][3], 0.02, 0, 1e-12, "the same")
		share := math.Min(math.Max(celsius/25, 0), 1)
		checktest.Near(t, "open-circuit voltage at half", tb.OCV[5], 3.5+0.1*share, 0, 1e-12, "linear between, holds beyond")
	}
	old, err := n.At(unit.Celsius(25), Health{0.8, 1.5}, 2)
	if err != nil {
		t.Fatal(err)
	}
	checktest.Near(t, "aged R0 in Ω", old.R0[0], 0.03, 0, 1e-12, "growth times resistance")
	checktest.Near(t, "aged capacity in Ah", old.Capacity.AmpereHours(), 2.4, 0, 1e-12, "share times capacity")
}

// The share by current is that of the law of charge transfer with equal shares:
// the overvoltage R·Knee·asinh(I/Knee) solves I = Knee·sinh(η/(R·Knee)).
func TestCurrentShareIsThatOfEqualChargeTransfer(t *testing.T) {
	t.Parallel()
	const r, knee = 0.03, 2.0
	for _, i := range []float64{-20, -1, -1e-6, 0, 1e-3, 0.5, 3, 100} {
		eta := i * r * float64(CurrentShare(unit.Current(i), knee))
		checktest.Near(t, "current in A", knee*math.Sinh(eta/(r*knee)), i, 1e-9, 1e-8, "Butler-Volmer with equal shares; the series below 1e-4 of the knee")
	}
	if CurrentShare(100, 0) != 1 {
		t.Error("without a knee the share is not 1")
	}
}

// A step of constant current on a network is the sum of exact RC steps.
func TestRunOfANetworkIsTheSumOfRCSteps(t *testing.T) {
	t.Parallel()
	c := &Cell{ID: "sample", Capacity: 3 * unit.AmpereHour, Curves: &Curves{
		OCV: Line{[]float64{0, 1}, []float64{3, 4}},
		R0:  Surface{[]float64{0, 1}, []float64{298.15}, [][]float64{{0.02, 0.02}}},
		R1:  Surface{[]float64{0, 1}, []float64{298.15}, [][]float64{{0.01, 0.01}}}, Tau1: Surface{[]float64{0, 1}, []float64{298.15}, [][]float64{{5, 5}}},
	}}
	fine := *c
	curves := *c.Curves
	curves.Fine = sampleNetwork()
	curves.Fine.Knee = nil
	fine.Curves = &curves
	for _, x := range []struct {
		name   string
		cell   *Cell
		ocv    float64
		r, tau []float64
	}{{"two pairs", c, 3.5, []float64{0.01}, []float64{5}}, {"network", &fine, 3.6, []float64{0.01, 0.02}, []float64{1, 100}}} {
		run, err := x.cell.NewRun()
		if err != nil {
			t.Fatal(err)
		}
		v := make([]float64, len(x.r))
		for _, s := range []struct{ i, dt float64 }{{2, 0}, {2, 3}, {-5, 0.1}, {0, 40}, {1, 7}} {
			got := run.Step(unit.Current(s.i), unit.Time(s.dt), 0.5, unit.Celsius(25))
			want := x.ocv - s.i*0.02
			for k := range v {
				v[k] = exact.RCStep(v[k], s.i, x.r[k], x.tau[k], s.dt)
				want -= v[k]
			}
			checktest.Near(t, x.name+": voltage", float64(got.Voltage), want, 1e-12, 0, "exact RC steps")
			checktest.Near(t, x.name+": open-circuit voltage", float64(got.OCV), x.ocv, 1e-12, 0, "definition")
		}
	}
	tb, err := fine.At(unit.Celsius(25), New, 5)
	if err != nil {
		t.Fatal(err)
	}
	plain, err := c.At(unit.Celsius(25), New, 5)
	if err != nil {
		t.Fatal(err)
	}
	again, err := fine.At(0.5*(unit.Celsius(0)+unit.Celsius(25)), New, 5)
	if err != nil {
		t.Fatal(err)
	}
	if err := fine.Refill(again, unit.Celsius(25), New); err != nil {
		t.Fatal(err)
	}
	if again.Fine.R0[2] != tb.Fine.R0[2] || again.Fine.OCV[3] != tb.Fine.OCV[3] || again.Fine.R[1][0] != tb.Fine.R[1][0] {
		t.Error("a refilled table is another than one made anew")
	}
	if tb.Fine == nil || plain.Fine != nil || tb.R0[2] != plain.R0[2] || tb.OCV[2] != plain.OCV[2] {
		t.Error("a finer circuit moves the fields of two pairs, or is missing")
	}
}

func TestNetworkFaultsAreTold(t *testing.T) {
	t.Parallel()
	for name, spoil := range map[string]func(*Network){
		"no capacity":           func(n *Network) { n.Capacity = 0 },
		"charge not from 0":     func(n *Network) { n.SoC = []float64{0.1, 1} },
		"falling voltage":       func(n *Network) { n.OCV[0] = []float64{4, 3} },
		"a resistance of zero":  func(n *Network) { n.R0[1][0] = 0 },
		"a row too few":         func(n *Network) { n.R0 = n.R0[:1] },
		"equal time constants":  func(n *Network) { n.Tau = []float64{1, 1} },
		"a time constant less":  func(n *Network) { n.Tau = n.Tau[:1] },
		"a knee of zero":        func(n *Network) { n.Knee[0] = 0 },
		"a knee too few":        func(n *Network) { n.Knee = n.Knee[:1] },
		"a knee not a number":   func(n *Network) { n.Knee[0] = math.NaN() },
		"temperatures in order": func(n *Network) { n.Temperature = []float64{298.15, 273.15} },
	} {
		n := sampleNetwork()
		spoil(n)
		if err := n.Check(); !errors.Is(err, ErrCurves) {
			t.Errorf("%s: %v", name, err)
		}
	}
	n := sampleNetwork()
	if _, err := n.At(0, New, 5); !errors.Is(err, ErrTemperature) {
		t.Errorf("at 0 K: %v", err)
	}
	if _, err := n.At(300, New, 1); !errors.Is(err, ErrTableSize) {
		t.Errorf("one entry: %v", err)
	}
	if !num.NonDecreasing(n.OCV[0]) {
		t.Error("the sample itself falls")
	}
	if _, err := (&Cell{ID: "x"}).NewRun(); !errors.Is(err, ErrNoCurves) {
		t.Errorf("a cell without curves runs: %v", err)
	}
}
