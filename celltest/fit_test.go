package celltest

import (
	"errors"
	"fmt"
	"os"
	"strings"
	"sync"
	"testing"

	"packyard/cell"
	"packyard/check/checktest"
	"packyard/unit"
)

// reference reads a log of the reference data.
func reference(t testing.TB, file string) *Log {
	t.Helper()
	in, err := os.Open(checktest.Reference(t, append([]string{"celltests"}, strings.Split(file, "/")...)...))
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = in.Close() }()
	l, _, err := ReadLog(in, Reading{File: file})
	if err != nil {
		t.Fatal(err)
	}
	return l
}

const ncr = "ncr18650pf/"

// ncrHeat is 47.5 g (kollmeyer-2018) times 1000 J/(kg·K) (steinhardt-2022).
const ncrHeat = 47.5 * unit.JoulePerKelvin

// leafHeat is 799 g (wiggins-2019) times 1000 J/(kg·K) (steinhardt-2022).
const leafHeat = 799 * unit.JoulePerKelvin

// ncrFit is the circuit of the 18650 cell, from its C/20 cycle and its pulse
// tests at 25, 0 and −10 °C and nothing else.
var ncrFit struct {
	once sync.Once
	fit  *NetworkFit
	err  error
}

func ncrCell(t testing.TB) (*cell.Cell, *NetworkFit) {
	t.Helper()
	ncrFit.once.Do(func() {
		ncrFit.fit, ncrFit.err = FitNetwork(reference(t, ncr+"c20_25c.csv"), []PulseTest{
			{Log: reference(t, ncr+"hppc_25c.csv.gz"), Between: reference(t, ncr+"hppc_25c_between.csv")},
			{Log: reference(t, ncr+"hppc_0c.csv.gz")},
			{Log: reference(t, ncr+"hppc_n10c.csv.gz")},
		}, FitOptions{
			Capacity:     2.773 * unit.AmpereHour,
			Level:        0.8693 * unit.Ampere,
			HeatCapacity: ncrHeat,
			Source:       "kollmeyer-2018",
		})
	})
	if ncrFit.err != nil {
		t.Fatal(ncrFit.err)
	}
	generic := *cell.BuiltIn().Cell("cylindrical-18650-nca-2.9")
	curves := *generic.Curves
	curves.Fine = ncrFit.fit.Network
	generic.Curves = &curves
	return &generic, ncrFit.fit
}

// The circuit is chosen on the slow discharge and the pulse tests alone; the runs
// here, and a 1C discharge, it never saw. Charge falls by ampere-hours out over
// 2.773 Ah; rows up to 2.50 Ah out, at −10 °C up to 1.8 Ah.
//
// Two bounds stand for each run. The first is what such a circuit must do to be
// used for a pack. The second is what this one reached, rounded up by a tenth, so
// that a change for the worse is seen.
func TestMeasuredRunsOfTheFittedCellAreReproduced(t *testing.T) {
	t.Parallel()
	checktest.Long(t)
	c, _ := ncrCell(t)
	for _, r := range []struct {
		file                    string
		end                     float64 // Ah
		wanted, reached         float64 // mV rms of the settled rows
		wantedAll, reachedAll   float64 // of all rows
		wantedPart, reachedPart float64 // % of the net energy
	}{
		{"discharge_1c_25c_start.csv", 2.5, 30, 16.2, 30, 16.2, 1, 0.4},
		{"us06_25c.csv.gz", 2.5, 25, 14.5, 30, 23.8, 1, 0.3},
		{"hwfet_25c.csv.gz", 2.5, 20, 9.2, 20, 9.7, 1, 0.2},
		{"udds_0c.csv.gz", 2.5, 45, 20, 45, 21.2, 2, 0.2},
		{"us06_n10c.csv.gz", 1.8, 60, 58.8, 100, 63.3, 4, 1},
	} {
		t.Run(r.file, func(t *testing.T) {
			t.Parallel()
			const source = "kollmeyer-2018, read and computed here"
			x, err := RunReplay(c, reference(t, ncr+r.file), ReplayOptions{End: unit.Charge(r.end) * unit.AmpereHour, HeatCapacity: ncrHeat})
			if err != nil {
				t.Fatal(err)
			}
			settled, all, part := x.RMSSettled.Millivolts(), x.RMSAll.Millivolts(), 100*float64(x.EnergyError())
			t.Logf("settled %.1f mV, near steps %.1f mV, all %.1f mV, worst %.0f mV, energy %+.2f %%", settled, x.RMSNear.Millivolts(), all, x.Worst.Millivolts(), part)
			checktest.Near(t, "rms of settled rows in mV", settled, 0, min(r.wanted, r.reached), 0, source)
			checktest.Near(t, "rms of all rows in mV", all, 0, min(r.wantedAll, r.reachedAll), 0, source)
			checktest.Near(t, "error of the net energy in %", part, 0, min(r.wantedPart, r.reachedPart), 0, source)
		})
	}
}

// The fit says how sure it is: the knee of the cold tests to some tenths, the
// slow pair too, and it finds that the colder tests are of an older cell that
// began short of full (celltests, trap 5).
func TestFitSaysHowSureItIs(t *testing.T) {
	t.Parallel()
	checktest.Long(t)
	_, fit := ncrCell(t)
	for i, f := range fit.Tests {
		t.Logf("%.1f °C: %d rows, residual %.1f mV, knee %.3g A ± %.2g of it, slow pair × %.3g ± %.2g of it, short of full %.4f, fade %.4f",
			f.Temperature.Celsius(), f.Rows, f.Residual.Millivolts(), f.Knee.Amperes(), float64(f.KneeDeviation), float64(f.SlowFactor), float64(f.SlowDeviation), float64(f.Short), float64(f.Fade))
		if f.Rows < 2000 || f.Residual > 30*unit.Millivolt || !(f.KneeDeviation > 0 && f.KneeDeviation < 0.3) {
			t.Errorf("%.1f °C: fit of %d rows with a residual of %.1f mV and a knee ± %.2f", f.Temperature.Celsius(), f.Rows, f.Residual.Millivolts(), float64(f.KneeDeviation))
		}
		if i == fit.Reference {
			continue
		}
		if !(f.SlowFactor > 1 && f.SlowDeviation > 0 && f.SlowDeviation < 0.5) {
			t.Errorf("%.1f °C: slow pair × %.2f ± %.2f, wanted is above 1: diffusion is slower in the cold", f.Temperature.Celsius(), float64(f.SlowFactor), float64(f.SlowDeviation))
		}
		if !(f.Short > 0 && f.Short < 0.02 && f.Fade > 0 && f.Fade < 0.1) {
			t.Errorf("%.1f °C: short of full %.4f, fade %.4f; the test is two months younger than the reference", f.Temperature.Celsius(), float64(f.Short), float64(f.Fade))
		}
	}
}

// The chosen circuit is kept as a file, so that a change of it is seen before
// any run is computed with it. It follows from the C/20 cycle and the pulse tests
// alone. Three digits: the fit ends when the sum of squares falls by less than
// 1e-5 of it.
func TestChosenCircuitIsTheRecordedOne(t *testing.T) {
	t.Parallel()
	checktest.Long(t)
	_, fit := ncrCell(t)
	n := fit.Network
	var s strings.Builder
	s.WriteString("temperature_degC,soc_1,ocv_V,r0_mohm,r1_0.5s_mohm,r2_5s_mohm,r3_50s_mohm,r4_500s_mohm,knee_A\n")
	for i, k := range n.Temperature {
		for j := 0; j < len(n.SoC); j += 10 {
			fmt.Fprintf(&s, "%.1f,%.2f,%.3f,%.3g", k-273.15, n.SoC[j], n.OCV[i][j], 1e3*n.R0[i][j])
			for q := range n.R {
				fmt.Fprintf(&s, ",%.3g", 1e3*n.R[q][i][j])
			}
			fmt.Fprintf(&s, ",%.3g\n", n.Knee[i])
		}
	}
	checktest.Golden(t, "testdata/ncr18650pf_circuit.csv", s.String())
}

// A tester without a counter or a thermometer, with pulses of one current and a
// slow cycle that has its leads in the voltage (only the shape of which counts):
// the large pouch cell. Its one-hour and half-hour discharges, to 27 Ah; bounds are
// what was reached and a tenth.
func TestPlainPulseTestsGiveACircuitToo(t *testing.T) {
	t.Parallel()
	checktest.Long(t)
	fit, err := FitNetwork(reference(t, "leaf33/c15_one_cycle.csv"), []PulseTest{
		{Log: reference(t, "leaf33/hppc_25c.csv")},
		{Log: reference(t, "leaf33/hppc_10c.csv"), Temperature: unit.Celsius(10)},
		{Log: reference(t, "leaf33/hppc_40c.csv"), Temperature: unit.Celsius(40)},
	}, FitOptions{Capacity: 30.51 * unit.AmpereHour, HeatCapacity: leafHeat, Source: "wiggins-2019"})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range fit.Tests {
		if f.Residual > 4*unit.Millivolt || f.Knee != 0 {
			t.Errorf("%.0f °C: residual %.1f mV, wanted is below 4, and a knee of %g A from pulses of one current", f.Temperature.Celsius(), f.Residual.Millivolts(), f.Knee.Amperes())
		}
	}
	curves := *cell.BuiltIn().Cell("pouch-lmo-33").Curves
	curves.Fine = fit.Network
	c := &cell.Cell{ID: "pouch", Capacity: 30.51 * unit.AmpereHour, Curves: &curves}
	for file, most := range map[string]float64{"discharge_1c.csv": 16, "discharge_2c.csv": 33} {
		x, err := RunReplay(c, reference(t, "leaf33/"+file), ReplayOptions{End: 27 * unit.AmpereHour, HeatCapacity: leafHeat})
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%s: settled %.1f mV, worst %.0f mV, energy %+.2f %%", file, x.RMSSettled.Millivolts(), x.Worst.Millivolts(), 100*float64(x.EnergyError()))
		checktest.Near(t, file+": rms of settled rows in mV", x.RMSSettled.Millivolts(), 0, most, 0, "wiggins-2019, read and computed here")
		checktest.Near(t, file+": error of the energy in %", 100*float64(x.EnergyError()), 0, 1, 0, "wiggins-2019, read and computed here")
	}
}

func TestFitFaultsAreTold(t *testing.T) {
	t.Parallel()
	slow := pulseLog(1, 0.02, []float64{0.01}, []float64{3}, 0, 0, 1)
	pulses := pulseLog(1, 0.02, []float64{0.01}, []float64{3}, 0, 0, 1)
	o := FitOptions{Capacity: 3600, Level: 1}
	if _, err := FitNetwork(slow, nil, o); !errors.Is(err, ErrSeries) {
		t.Errorf("without a pulse test: %v", err)
	}
	if _, err := FitNetwork(slow, []PulseTest{{Log: pulses}}, FitOptions{}); !errors.Is(err, ErrSeries) {
		t.Errorf("without a capacity: %v", err)
	}
	if _, err := FitNetwork(slow, []PulseTest{{Log: pulses}}, o); !errors.Is(err, ErrNoSlow) {
		t.Errorf("without a slow charge: %v", err)
	}
	cycle := slowCycle()
	if _, err := FitNetwork(cycle, []PulseTest{{Log: pulses}}, o); !errors.Is(err, ErrSeries) || !strings.Contains(err.Error(), "1 levels of charge") {
		t.Errorf("with one level: %v", err)
	}
	holed := &Log{Name: "holed", Time: []float64{0, 1, 2000}, Voltage: []float64{4, 4, 3}, Current: make([]float64, 3), Temperature: []float64{298, 298, 298}, Charge: []float64{0, 0, 3000}}
	if _, err := FitNetwork(cycle, []PulseTest{{Log: holed}}, o); !errors.Is(err, ErrSeries) || !strings.Contains(err.Error(), "the hole of 1999 s") {
		t.Errorf("a hole too short for its charge: %v", err)
	}
	if _, err := RunReplay(&cell.Cell{}, &Log{}, ReplayOptions{}); !errors.Is(err, ErrSeries) {
		t.Errorf("an empty log is replayed: %v", err)
	}
	if _, err := RunReplay(&cell.Cell{}, cycle, ReplayOptions{}); !errors.Is(err, cell.ErrNoCurves) {
		t.Errorf("a cell without curves is replayed: %v", err)
	}
}

// slowCycle is a slow discharge and charge of 1 Ah at 0.1 A.
func slowCycle() *Log {
	l := &Log{Name: "slow cycle"}
	add := func(t, i, v float64) {
		l.Time, l.Current, l.Voltage = append(l.Time, t), append(l.Current, i), append(l.Voltage, v)
	}
	add(0, 0, 4.2)
	for k := 1.0; k <= 360; k++ {
		add(k*100, 0.1, 4.15-k/360)
	}
	add(36600, 0, 3.2)
	for k := 1.0; k <= 360; k++ {
		add(36600+k*100, -0.1, 3.2+k/360)
	}
	return l
}
