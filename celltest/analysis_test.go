package celltest

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"packyard/cell"
	"packyard/check/checktest"
	"packyard/unit"
)

// pulseLog is a pulse of a cell with known pairs between two rests, rows every
// 0.1 s and then ever rarer.
func pulseLog(current, r0 float64, r, tau []float64, fall, noise float64, seed uint64) *Log {
	l := &Log{Name: "computed"}
	random := rand.New(rand.NewPCG(seed, 1))
	const rest, length = 40.0, 10.0
	add := func(t, i, v float64) {
		l.Time, l.Current, l.Voltage = append(l.Time, t), append(l.Current, i), append(l.Voltage, v+noise*random.NormFloat64())
	}
	for t := 0.0; t < rest; t++ {
		add(t, 0, 3.7)
	}
	add(rest, 0, 3.7)
	for n := 0; ; n++ {
		t := 0.1 * (float64(n) + 0.5) // the current begins between two rows
		if t > 300 {
			return l
		}
		if t > 30 && n%20 != 0 {
			continue
		}
		in := math.Min(t, length)
		v, i := 3.7-fall*in/length, 0.0
		if t < length {
			v, i = v-current*r0, current
		}
		for k := range r {
			v -= current * r[k] * (1 - math.Exp(-in/tau[k])) * math.Exp(-(t-in)/tau[k])
		}
		add(rest+0.05+t, i, v)
	}
}

// Pairs that were put in come out again: exactly without noise, and inside their
// intervals about as often as these say with it.
func TestFittedPairsAreThoseOfTheCell(t *testing.T) {
	t.Parallel()
	r, tau := []float64{0.004, 0.009}, []float64{1.5, 40}
	l := pulseLog(3, 0.025, r, tau, 0.003, 0, 1)
	p := l.Pulses(PulseOptions{})
	if len(p) != 1 {
		t.Fatalf("%d pulses", len(p))
	}
	f, err := l.FitPairs(p[0], 2)
	if err != nil {
		t.Fatal(err)
	}
	const source = "the cell that was put in"
	checktest.Near(t, "R0", float64(f.R0.Value), 0.025, 0, 1e-3, source)
	checktest.Near(t, "fall of the open-circuit voltage", float64(f.Fall.Value), 0.003, 0, 1e-3, source)
	for k := range r {
		checktest.Near(t, "R", float64(f.R[k].Value), r[k], 0, 2e-3, source)
		checktest.Near(t, "τ", float64(f.Tau[k].Value), tau[k], 0, 2e-3, source)
	}
	const trials = 60
	inside := 0
	for seed := range uint64(trials) {
		l := pulseLog(3, 0.025, r, tau, 0.003, 2e-4, seed)
		f, err := l.FitPairs(l.Pulses(PulseOptions{})[0], 2)
		if err != nil {
			t.Fatal(err)
		}
		if float64(f.R[1].Low) <= r[1] && r[1] <= float64(f.R[1].High) {
			inside++
		}
	}
	// 95 % of 60 are 57; fewer than 50 or all of a narrower interval would be 4 deviations off.
	if inside < 50 {
		t.Errorf("the resistance of the long pair lies in its 95 %% interval in %d of %d trials", inside, trials)
	}
}

func TestResistanceOfAComputedPulseIsThatOfItsPairs(t *testing.T) {
	t.Parallel()
	l := pulseLog(-5, 0.02, []float64{0.006}, []float64{3}, 0, 0, 1)
	x, err := l.PulseTable(5*unit.AmpereHour, 0.5, []unit.Time{1, 2, 8, 18}, PulseOptions{})
	if err != nil {
		t.Fatal(err)
	}
	row := x.Rows[0]
	if row.Kind != Charge {
		t.Errorf("a pulse of -5 A is a %s", row.Kind)
	}
	for i, at := range []float64{1, 2, 8} {
		want := 0.02 + 0.006*(1-math.Exp(-at/3))
		checktest.Near(t, "resistance", float64(row.Resistance[i]), want, 0, 2e-4, "closed form of an RC pair; read linearly between rows 0.1 s apart")
	}
	if row.Resistance[3] != 0 {
		t.Errorf("a pulse of 10 s shows %g mΩ after 18 s", row.Resistance[3].Milliohms())
	}
}

// The area under the incremental capacity is the capacity, whatever the window,
// and a straight branch has a flat derivative.
func TestAreaUnderIncrementalCapacityIsTheCapacity(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 60).Draw(t, "rows")
		b := cell.Line{SoC: []float64{0}, Value: []float64{3}}
		for i := 1; i < n; i++ {
			b.SoC = append(b.SoC, b.SoC[i-1]+rapid.Float64Range(0.001, 1).Draw(t, "step"))
			b.Value = append(b.Value, b.Value[i-1]+rapid.SampledFrom([]float64{0, 0.01, 0.05, 0.2}).Draw(t, "rise"))
		}
		last := b.SoC[n-1]
		for i := range b.SoC {
			b.SoC[i] /= last
		}
		w := rapid.Float64Range(0.005, 0.1).Draw(t, "window")
		x, err := IncrementalCapacity(b, 3600, unit.Voltage(w), 20001)
		if err != nil {
			t.Fatal(err)
		}
		area := 0.0
		for i := 1; i < len(x.At); i++ {
			area += (x.Value[i-1] + x.Value[i]) / 2 * (x.At[i] - x.At[i-1])
		}
		step := x.At[1] - x.At[0]
		if math.Abs(area/3600-1) > 3*step/w*float64(n) {
			t.Errorf("area %g of 1, window %g, step %g", area/3600, w, step)
		}
	})
	x, err := DifferentialVoltage(cell.Line{SoC: []float64{0, 1}, Value: []float64{3, 4}}, 0.05, 21)
	if err != nil {
		t.Fatal(err)
	}
	for i := range x.Value {
		checktest.Near(t, "slope of a straight branch in V", x.Value[i], 1, 1e-12, 0, "straight line")
	}
}

// The slow discharge of the nickel-rich cell has the peaks of its graphite: the
// largest between 3.55 and 3.65 V, and none that stands out by a tenth below 3.3 V.
func TestPeaksOfTheSlowDischargeAreThoseOfGraphite(t *testing.T) {
	t.Parallel()
	p, err := NewSlowPair(reference(t, ncr+"c20_25c.csv"))
	if err != nil {
		t.Fatal(err)
	}
	x, err := IncrementalCapacity(p.Discharge, p.Out, 20*unit.Millivolt, 401)
	if err != nil {
		t.Fatal(err)
	}
	peaks := x.Peaks(0.05)
	best := Peak{}
	for _, k := range peaks {
		t.Logf("%.3f V: %.3g Ah/V", k.At, k.Value/3600)
		if k.Value > best.Value {
			best = k
		}
		if k.At < 3.3 {
			t.Errorf("a peak at %.3f V", k.At)
		}
	}
	if best.At < 3.5 || best.At > 3.7 || len(peaks) < 2 {
		t.Errorf("%d peaks, the largest at %.3f V; common practice has it near 3.6 V for a nickel-rich cell with graphite", len(peaks), best.At)
	}
}

func TestSelfDischargeIsReadFromTwoRests(t *testing.T) {
	t.Parallel()
	ocv := cell.Line{SoC: []float64{0, 0.2, 0.5, 0.8, 1}, Value: []float64{3, 3.4, 3.4001, 3.7, 4.2}}
	const month = 30 * 24 * 3600
	steep, err := MeasureSelfDischarge(RestReading{0, 3.9}, RestReading{month, 3.88}, ocv, 10*unit.AmpereHour, unit.Millivolt)
	if err != nil {
		t.Fatal(err)
	}
	if !steep.Known || steep.PerMonth <= 0 || steep.PerMonth > 0.03 {
		t.Errorf("%.3g a month ± %.2g, known: %v", float64(steep.PerMonth), float64(steep.Deviation), steep.Known)
	}
	checktest.Near(t, "mean current in A", steep.Current.Amperes()*month, float64(steep.Charge), 0, 1e-12, "definition")
	checktest.Near(t, "loss in Ah", steep.Charge.AmpereHours(), 10*float64(steep.PerMonth), 0, 1e-12, "definition")
	flat, err := MeasureSelfDischarge(RestReading{0, 3.40008}, RestReading{month, 3.40003}, ocv, 10*unit.AmpereHour, unit.Millivolt)
	if err != nil {
		t.Fatal(err)
	}
	if flat.Known {
		t.Errorf("on a flat curve %.3g a month ± %.2g is said to be known", float64(flat.PerMonth), float64(flat.Deviation))
	}
	for _, bad := range []struct {
		name string
		a, b RestReading
	}{{"times in the wrong order", RestReading{10, 3.9}, RestReading{0, 3.8}}, {"outside the curve", RestReading{0, 4.3}, RestReading{10, 3.8}}, {"not a number", RestReading{0, unit.Voltage(math.NaN())}, RestReading{10, 3.8}}} {
		if _, err := MeasureSelfDischarge(bad.a, bad.b, ocv, 10*unit.AmpereHour, unit.Millivolt); !errors.Is(err, ErrSeries) {
			t.Errorf("%s: %v", bad.name, err)
		}
	}
}

// One call says of each log what it holds.
func TestCharacteriseFindsWhatALogHolds(t *testing.T) {
	t.Parallel()
	rated := Rating{Capacity: 2.9 * unit.AmpereHour, VoltageMax: 4.2, VoltageMin: 2.5}
	c, err := Characterise(reference(t, ncr+"c20_25c.csv"), rated)
	if err != nil {
		t.Fatal(err)
	}
	if c.Slow == nil || c.Pulses != nil || len(c.Discharges) != 1 || !c.Discharges[0].FromFull {
		t.Errorf("slow cycle: slow %v, pulses %v, %d full discharges", c.Slow != nil, c.Pulses != nil, len(c.Discharges))
	}
	told(t, c.Faults, FaultClosing)
	within(t, "capacity in Ah", c.Capacity.AmpereHours(), 2.997, 0.001)
	if c, err = Characterise(reference(t, ncr+"hppc_25c.csv.gz"), rated); err != nil {
		t.Fatal(err)
	}
	if c.Slow != nil || c.Pulses == nil || len(c.Pulses.Rows) != 67 || len(c.Discharges) != 0 {
		t.Errorf("pulse test: slow %v, pulses %v, %d full discharges", c.Slow != nil, c.Pulses != nil, len(c.Discharges))
	}
	if c, err = Characterise(reference(t, "leaf33/discharge_1c.csv"), Rating{Capacity: 33.1 * unit.AmpereHour, VoltageMax: 4.2, VoltageMin: 3.0}); err != nil {
		t.Fatal(err)
	}
	within(t, "capacity in Ah", c.Capacity.AmpereHours(), 30.33, 0.01)
	checktest.Near(t, "share of the rated capacity", float64(c.Health), 0.92, 0.005, 0, readme+": about 92 %")
	if c.Slow != nil {
		t.Error("a discharge in one hour is taken for a slow one")
	}
}

// Whatever the rows, the analyses end without panic and say nothing that is not finite.
func TestAnalysesOfAnyLogAreFinite(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 40).Draw(t, "rows")
		l := &Log{}
		at := 0.0
		counter := rapid.Bool().Draw(t, "counter")
		for range n {
			at += rapid.SampledFrom([]float64{0, 0.1, 1, 10, 60, 2000}).Draw(t, "step")
			l.Time = append(l.Time, at)
			l.Voltage = append(l.Voltage, rapid.Float64Range(-5, 5).Draw(t, "V"))
			l.Current = append(l.Current, rapid.SampledFrom([]float64{0, 0, 0, 1, -1, 1e-3, 30}).Draw(t, "A"))
			if counter {
				l.Charge = append(l.Charge, rapid.Float64Range(-10, 1000).Draw(t, "As"))
			}
		}
		c, err := Characterise(l, Rating{Capacity: 3600, VoltageMax: 4.2, VoltageMin: 3})
		if err != nil {
			if !errors.Is(err, ErrSeries) {
				t.Fatal(err)
			}
			return
		}
		for _, v := range []float64{float64(c.Through.Net), float64(c.Through.Energy()), float64(c.Capacity), float64(c.Health), float64(c.Through.CurrentRMS)} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("%v in %+v", v, c.Through)
			}
		}
		if c.Pulses != nil {
			for _, r := range c.Pulses.Rows {
				for _, v := range r.Resistance {
					if math.IsNaN(float64(v)) || math.IsInf(float64(v), 0) {
						t.Fatalf("%v", r)
					}
				}
				if f, err := l.FitPairs(r.Pulse, 1); err == nil && !(f.R0.Value > 0) {
					t.Fatalf("R0 %v", f.R0)
				}
			}
		}
		if c.Slow != nil && (math.IsNaN(float64(c.Slow.Gap)) || len(c.Slow.Discharge.SoC) == 0) {
			t.Fatalf("gap %v", c.Slow.Gap)
		}
	})
}
